"""Every row of tests/published, run through the public functions.

`kind` of a row: published (read in print), physics (first principles), agreement (worked out by
an independent library), practice (the trade's habit, proof of nothing but itself) and evaluated
(a formula worked out: a change alarm only); a misprint is printed but wrong: ours must differ.
"""

import csv
import re
from collections import Counter
from math import sqrt
from pathlib import Path

import pytest

import aerialstream
from aerialstream import (
    aerials,
    application,
    buildings,
    clearances,
    demand,
    ground,
    hose,
    loads,
    nozzles,
    pumps,
    quantity,
    reaction,
    registry,
    rig,
    spots,
    stream,
    supply,
    tipping,
    water,
)
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.results import Explained
from aerialstream.sources import SOURCES, Source
from aerialstream.units import show

FOLDER = Path(__file__).parent / "published"
COLUMNS = "id source locator function inputs expected unit tolerance kind remark".split()
MARKS = {
    "published": pytest.mark.published,
    "physics": pytest.mark.physics,
    "agreement": pytest.mark.agreement,
    "evaluated": pytest.mark.alarm,
    "practice": (),
    "misprint": (),
}
NO_PROOF = {"evaluated", "misprint"}
PLAIN = {
    *("coefficient", "hazen_williams_c", "collapse_factor"),
    *("outlets", "line_count", "floors", "exposures", "construction_coefficient"),
    *("occupancy_factor", "exposure_factor", "hazard_number", "construction_number"),
    "factor",
    *("drag_coefficient", "load_multiplier", "required_ratio"),
}
DEMO = load_department(DEMO_FOLDER)


def view_of(text):
    """`building opening` or `building side A` as what a stream meets there."""
    building, *where = text.split(" ")
    found = buildings.load_building(building)
    return found.view_from(where[1]) if where[0] == "side" else found.room_of(where[0])


READ = {  # inputs that are neither a quantity's text nor a plain number
    "apparatus": DEMO.device,
    "view": view_of,
    "hose": DEMO.hose_kind,
    "nozzle": DEMO.nozzle,
    "quality": lambda text: float(text) if text[0].isdigit() else text,
    "tips": lambda text: [tip.strip() for tip in text.split(",")],
    "lines": lambda text: [
        (float(coefficient), length)
        for coefficient, length in (line.split(" x ") for line in text.split(","))
    ],
}
COMPARE = {
    "minus": lambda one, other: one - other,
    "per": lambda one, other: one / other,
    "against": lambda one, other: (one / other).to("") - 1,
}


def zone_of(text):
    """`16 ft x 1.5`: the collapse zone of a wall of that height."""
    height, factor = text.split(" x ")
    return aerialstream.collapse_zone(height, factor=float(factor))


READ["zone"] = zone_of


def rows():
    """All rows of all tables, each a dict with its file's name."""
    found = []
    for path in sorted(FOLDER.glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            table = csv.DictReader(file)
            assert table.fieldnames == COLUMNS, f"{path.name}: columns are {table.fieldnames}"
            found += [{**row, "file": path.stem} for row in table]
    return found


def functions_of(row):
    """The public functions that a row puts to the test."""
    names = [word for word in row["function"].split() if word not in COMPARE]
    return [name.split(".")[0] for name in names]


def inputs_of(text):
    """`name=text; name=text` as keyword arguments."""
    pairs = (pair.split("=", 1) for pair in text.split(";"))
    given = {name.strip(): value.strip() for name, value in pairs}
    read = dict.fromkeys(PLAIN, float) | READ
    return {name: read.get(name, str)(value) for name, value in given.items()}


def result_of(function, text):
    """The result of one public call."""
    return getattr(aerialstream, function.split(".")[0])(**inputs_of(text))


def value_of(function, text):
    """The quantity that `function` or `function.attribute` or `function.items.0.attribute` names."""
    _, *path = function.split(".")
    value = result_of(function, text)
    for part in path or ["value"]:
        value = value[int(part)] if part.isdigit() else getattr(value, part)
    return value


def calculated(row):
    """What our public functions give for a row, as a plain number in the row's unit."""
    first, *rest = row["function"].split()
    texts = row["inputs"].split("|")
    value = value_of(first, texts[0])
    if rest:
        word, second = rest
        value = COMPARE[word](value, value_of(second, texts[1]))
    return value.to(registry().Unit(row["unit"])).magnitude


def allowed(row):
    """The row's tolerance as a number in its unit."""
    number = float(row["tolerance"].removesuffix("%"))
    return number / 100 * abs(float(row["expected"])) if "%" in row["tolerance"] else number


ROWS = rows()


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(r, id=f"{r['kind']}-{r['file']}-{r['id']}", marks=MARKS[r["kind"]])
        for r in ROWS
    ],
)
def test_row_of_table_agrees(row):
    """The public function gives the row's value within the row's tolerance; a misprint it does not."""
    agrees = calculated(row) == pytest.approx(float(row["expected"]), rel=0, abs=allowed(row))
    assert agrees != (row["kind"] == "misprint")


def test_rows_are_well_formed():
    """Ids differ; each row names a source there is, not from memory; tolerances are tight."""
    assert max(Counter(row["id"] for row in ROWS).values()) == 1
    for row in ROWS:
        assert SOURCES[row["source"]].status != "memory", row["id"]
        assert row["locator"] and None not in row.values(), row["id"]
        assert allowed(row) > 0, row["id"]
        wide = allowed(row) > 0.02 * abs(float(row["expected"]))
        assert (
            not wide
            or row["kind"] == "practice"
            or row["unit"] == "percent"
            or (allowed(row) <= 0.51)
        ), f"{row['id']}: tolerance without reason"


def test_published_rows_cite_what_was_read():
    """A row counts as published only if its source was read, and as physics only if derived."""
    status = {"published": "read", "physics": "first principles"}
    wrong = [
        row["id"]
        for row in ROWS
        if row["kind"] in status and SOURCES[row["source"]].status != status[row["kind"]]
    ]
    assert not wrong


def public_functions():
    """The calculations that the modules publish."""
    return sorted(
        name
        for module in (
            aerials,
            application,
            clearances,
            demand,
            ground,
            hose,
            loads,
            nozzles,
            pumps,
            reaction,
            rig,
            spots,
            stream,
            supply,
            tipping,
            water,
        )
        for name, thing in vars(module).items()
        if hasattr(thing, "needs") and thing.__module__ == module.__name__
    )


def test_public_functions_are_the_expected_ones():
    """Each is reachable from `aerialstream` itself, and the search finds them."""
    assert {"smooth_bore_discharge", "reaction_at_tip"} <= set(public_functions())
    assert all(hasattr(aerialstream, name) for name in public_functions())


@pytest.mark.parametrize("name", public_functions())
def test_public_function_has_two_rows_that_prove(name):
    """Two rows at least that are no change alarms; a rule of thumb may stand on practice rows."""
    kinds = {"published", "physics", "agreement"} | (
        {"practice"} if name == "half_the_gallonage" else set()
    )
    proving = [r["id"] for r in ROWS if r["function"].split(".")[0] == name and r["kind"] in kinds]
    assert len(proving) >= 2


def test_inputs_of_functions_are_all_varied():
    """No input of a public function is left out of every row that proves."""
    for name in public_functions():
        proving = [r for r in ROWS if name in functions_of(r) and r["kind"] not in NO_PROOF]
        texts = [text for r in proving for text in r["inputs"].split("|")]
        named = {key for text in texts for key in inputs_of(text)}
        assert named >= set(getattr(aerialstream, name).needs), name


def results():
    """One result for every different call in the tables."""
    calls = {
        (function, text.strip())
        for row in ROWS
        for function, text in zip(functions_of(row), row["inputs"].split("|"), strict=True)
    }
    return [(function, result_of(function, text)) for function, text in sorted(calls)]


def test_sources_cited_by_results_exist_and_none_is_from_memory():
    """Every result cites sources; all are in sources.py; none rests on memory."""
    seen = set()
    for function, result in results():
        assert isinstance(result, Explained)
        assert result.sources, function
        for cited in result.sources:
            assert cited in SOURCES, f"{function} cites {cited}"
            assert SOURCES[cited].status != "memory", f"{function} cites {cited}"
        seen.add(function)
    assert seen == set(public_functions())


def test_sources_have_known_status_and_own_id():
    """Each entry of sources.py is kept under its own id, with a status that the module explains."""
    known = {"read", "second-hand", "first principles", "common practice", "assumed", "memory"}
    assert all(isinstance(s, Source) and s.id == key for key, s in SOURCES.items())
    assert {s.status for s in SOURCES.values()} <= known


UNITS = (
    r"ft³/gal|lb/ft³|lbf·ft|in²|ft/s|lbf|gpm|psi|hp\b|in\b|ft\b|deg\b|%"
    r"|ft³|psf|gal\b|min\b|lb\b|tons\b|a foot\b|Btu|MW|sq in\b|sq ft\b"
)


def worked_out(sum_text):
    """A printed sum such as "1.57 × 3.0625 × 80 psi", worked out anew."""
    text = re.sub(UNITS, " ", sum_text).replace(",", "")
    text = re.sub(r"(\d+) (\d+/\d+)", r"(\1+\2)", text)
    text = re.sub(r"√([\d.]+)", r"sqrt(\1)", text).replace("√", "sqrt").replace("×", "*")
    text = text.replace("^", "**")
    assert re.fullmatch(r"(?:sqrt|[\d. ()+*/-])+", text), f"not a sum: {sum_text}"
    return eval(text, {"sqrt": sqrt})


WITHOUT_SUMS = {"half_the_gallonage", "water_use", "best_aim"}  # their steps are words


def test_worked_steps_are_true_sums_as_printed():
    """Whoever keys a printed step into a calculator gets the printed answer, but for rounding."""
    checked = Counter()
    for function, result in results():
        for step in result.steps:
            if "=" not in step:
                continue
            left, _, right = step.rpartition(" = ")
            left = re.split(r" = |: ", left)[-1]
            printed = worked_out(right)
            slack = 0.51 if "lbf·ft" in right else 0.06
            assert worked_out(left) == pytest.approx(printed, rel=1e-3, abs=slack), step
            checked[function] += 1
    assert set(checked) == set(public_functions()) - WITHOUT_SUMS


def test_results_say_who_decides_where_a_load_is_given():
    """Every reaction carries the line that the operator's manual decides."""
    for function, result in results():
        assert ("reaction" not in function) or "manual" in result.text(), function


@pytest.mark.parametrize(
    ("text", "kind", "shown"),
    [
        ("505 lbf", None, "505 lbf"),
        ("252.5 lbf", None, "253 lbf"),
        ("1 3/4 in", "bore", "1 3/4 in"),
    ],
)
def test_show_prints_as_the_tables_do(text, kind, shown):
    """Half a pound rounds up; a tip is printed as stamped."""
    assert show(quantity(text), kind=kind) == shown
