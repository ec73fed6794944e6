"""Docstrings: present everywhere, true to the signatures, and with check values that are printed."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re
from contextlib import suppress
from pathlib import Path

import pytest
from pint import DimensionalityError
from test_published import NO_PROOF, ROWS, inputs_of

import aerialstream
from aerialstream import quantity, show
from aerialstream.errors import AerialStreamError
from aerialstream.sources import SOURCES
from aerialstream.units import _BY_NAME

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("shared/aerialstream", "graders/gradekit", "lessons/lessonkit")
HEADINGS = (
    "Takes",
    "Gives",
    "Holds for",
    "How close",
    "Fails when",
    "Sources",
    "Check value",
)


NO_CALCULATION = {  # these repeat what was entered
    "aerialstream.department.manual_limit_text",
    "aerialstream.department.operating_pressure_check",
}


def calculations():
    """Every function of aerialstream that has the quantity edge, by its full name."""
    found = {}
    for info in pkgutil.iter_modules(aerialstream.__path__, "aerialstream."):
        if info.name.rpartition(".")[2].startswith("_"):
            continue
        module = importlib.import_module(info.name)
        for name, thing in vars(module).items():
            if hasattr(thing, "needs") and getattr(thing, "__module__", "") == module.__name__:
                found[f"{module.__name__}.{name}"] = thing
    return {name: thing for name, thing in found.items() if name not in NO_CALCULATION}


CALCULATIONS = calculations()
each_calculation = pytest.mark.parametrize("name", CALCULATIONS)


def sections(docstring):
    """Heading -> lines below it, of a docstring in the kit's template."""
    found, lines = {}, inspect.cleandoc(docstring).splitlines()
    for line in lines:
        if line in HEADINGS:
            assert line not in found, f"heading twice: {line}"
            found[line] = []
        elif found:
            found[list(found)[-1]].append(line)
    return found


def names_under(lines):
    """The names that open an entry: two spaces in, two spaces before the meaning."""
    opened = (re.match(r"  (\w+)  +\S", line) for line in lines)
    return [match[1] for match in opened if match]


def problems(function, docstring):
    """What is wrong with the docstring of a calculation, in words."""
    found = sections(docstring)
    wrong = [f"no heading {h}" for h in HEADINGS if h not in found]
    if list(found) != [h for h in HEADINGS if h in found]:
        wrong.append("headings out of order")
    wrong += [f"nothing under {h}" for h, lines in found.items() if not "".join(lines).strip()]
    takes, parameters = (
        names_under(found.get("Takes", ())),
        list(inspect.signature(function).parameters),
    )
    wrong += [f"{p} not under Takes" for p in parameters if p not in takes]
    wrong += [f"{t} is no parameter" for t in takes if t not in parameters]
    if sorted(takes) == sorted(parameters) and takes[0] != parameters[0]:
        wrong.append("the first input is not named first")
    return wrong


def test_calculations_are_found():
    """The search for calculations finds what the package publishes."""
    assert len(CALCULATIONS) >= 8
    assert "aerialstream.reaction.reaction_at_tip" in CALCULATIONS


@each_calculation
def test_docstring_of_calculation_follows_template(name):
    """All headings are there in order; Takes names each parameter and no other."""
    function = CALCULATIONS[name]
    assert problems(function, function.__doc__) == []


def test_docstring_check_notices_what_is_missing():
    """A heading taken out, a parameter renamed or left out is noticed."""
    function = aerialstream.fog_reaction
    right = inspect.cleandoc(function.__doc__)
    assert problems(function, right.replace("How close", "Accuracy")) == ["no heading How close"]
    assert problems(function, right.replace("  flow   ", "  gallons")) == [
        "flow not under Takes",
        "gallons is no parameter",
    ]


@each_calculation
def test_docstring_of_calculation_names_its_errors(name):
    """Under Fails when stand errors of the kit's family, both that the edge can raise."""
    named = names_under(sections(CALCULATIONS[name].__doc__)["Fails when"])
    assert set(named) == {"UnitError", "ImpossibleValue"}


def sources_named(docstring):
    """The source ids under Sources; each entry starts with one, entries parted by semicolons."""
    text = " ".join(sections(docstring)["Sources"])
    return [re.match(r"\w+", entry.strip())[0] for entry in text.split(";")]


@each_calculation
def test_docstring_sources_exist_and_cover_what_results_cite(name):
    """Named ids are in sources.py, none from memory, and every id a result cites is named."""
    function = CALCULATIONS[name]
    named = sources_named(function.__doc__)
    assert all(SOURCES[source_id].status != "memory" for source_id in named)
    plain = [r for r in ROWS if r["function"].split(".")[0] == function.__name__]
    assert plain
    for row in plain:
        cited = function(**inputs_of(row["inputs"].split("|")[0])).sources
        assert set(cited) <= set(named)


def example_of(function):
    """The doctest under Check value, with the names it may use."""
    module = importlib.import_module(function.__module__)
    names = {**vars(module), "show": show}
    lines = sections(function.__doc__)["Check value"]
    return doctest.DocTestParser().get_doctest("\n".join(lines), names, function.__name__, None, 0)


@each_calculation
def test_check_value_runs(name):
    """The example under Check value prints what it says."""
    test = example_of(CALCULATIONS[name])
    said = []
    outcome = doctest.DocTestRunner().run(test, out=said.append)
    assert outcome.attempted and not outcome.failed, "".join(said)


def call_in(example, function):
    """The inputs of the example's call of the function, by name, as written."""
    tree = ast.parse("".join(part.source for part in example.examples))
    names = dict(example.globs)
    for part in example.examples:
        if not part.want:  # imports and names that the call uses
            exec(part.source, names)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == function.__name__:
            given = dict(zip(inspect.signature(function).parameters, node.args, strict=False))
            given |= {k.arg: k.value for k in node.keywords}
            return {name: eval(ast.unparse(value), names) for name, value in given.items()}
    raise AssertionError("the example does not call its function")


def same(one, other):
    """Whether two written inputs are the same quantity."""
    try:
        return quantity(one) == quantity(other)
    except AerialStreamError:  # a plain number, a choice, an entry of a department's data
        return one == other


def printings(value):
    """A quantity as printed, and as printed in each kind that is asked for by name."""
    said = {show(value)}
    for kind in _BY_NAME:
        with suppress(DimensionalityError):
            said.add(show(value, kind=kind))
    return said


@each_calculation
def test_check_value_is_repeated_by_a_row_that_proves(name):
    """The printed answer is, as printed, a value of tests/published for the same inputs."""
    function = CALCULATIONS[name]
    example = example_of(function)
    call = call_in(example, function)
    proving = [
        row
        for row in ROWS
        if row["kind"] not in NO_PROOF
        and len(row["function"].split()) == 1
        and row["function"].split(".")[0] == function.__name__
        and inputs_of(row["inputs"]).keys() == call.keys()
        and all(same(v, call[k]) for k, v in inputs_of(row["inputs"]).items())
    ]
    kind = getattr(function(**call), "kind", None)
    right = [abs(quantity(float(row["expected"]), row["unit"])) for row in proving]
    values = {show(value) for value in right} | {show(value, kind=kind) for value in right}
    printed = [part for e in example.examples for part in e.want.strip().split(" | ") if part]
    assert printed and set(printed) <= values


def undocumented(path):
    """Public functions, classes, methods and the module itself without a docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    missing = [] if ast.get_docstring(tree) else ["(module)"]

    def walk(node, prefix):
        for part in node.body:
            if isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                if part.name.startswith("_"):
                    continue
                if not ast.get_docstring(part):
                    missing.append(prefix + part.name)
                if isinstance(part, ast.ClassDef):
                    walk(part, f"{prefix}{part.name}.")

    walk(tree, "")
    return missing


@pytest.mark.parametrize("package", PACKAGES)
def test_public_names_have_docstrings(package):
    """Every public function, class and method of a package says what it is."""
    paths = sorted((ROOT / package).rglob("*.py"))
    assert paths
    missing = {str(p.relative_to(ROOT)): undocumented(p) for p in paths}
    assert {path: names for path, names in missing.items() if names} == {}


def test_undocumented_names_are_noticed(tmp_path):
    """A made-up module without docstrings is named part by part."""
    path = tmp_path / "made_up.py"
    path.write_text("class Rig:\n    def reach(self):\n        pass\n    def _own(self): ...\n")
    assert undocumented(path) == ["(module)", "Rig", "Rig.reach"]
