"""Who imports whom: only the arrows that the plan has, and nothing heavy before it is needed."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
HOMES = {"aerialstream": "shared", "lessonkit": "lessons", "gradekit": "graders"}
OURS = {*HOMES, "bootstrap"}
LESSON, ASSIGNMENT = "a lesson notebook", "an assignment notebook"
ENTRY, TEST = "an entry file", "a test"


def module_of(path, root=ROOT):
    """The dotted name of one of our files, or what sort of file it is."""
    parts = path.relative_to(root).with_suffix("").parts
    if path.suffix == ".ipynb":
        return LESSON if parts[0] == "lessons" else ASSIGNMENT
    if len(parts) == 2 and parts[1] in ("__main__", "bootstrap"):
        return ENTRY
    if parts[0] == "tests":
        return TEST
    return ".".join(p for p in parts[1:] if p != "__init__")


def our_files(root=ROOT):
    """All Python files and notebooks of the project."""
    found = []
    for pattern in (
        "shared/**/*.py",
        "lessons/**/*.py",
        "graders/**/*.py",
        "tests/**/*.py",
        "lessons/*.ipynb",
        "source_assignments/*/*.ipynb",
    ):
        found += sorted(root.glob(pattern))
    return found


def code_of(path):
    """The Python text of a file; of a notebook the code cells without magic lines."""
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".ipynb":
        return text
    cells = [c for c in json.loads(text)["cells"] if c["cell_type"] == "code"]
    lines = "\n".join("".join(c["source"]) for c in cells).splitlines()
    return "\n".join(line for line in lines if not line.lstrip().startswith(("%", "!")))


def head_of(node):
    """The text, or its fixed beginning, that a call of import_module is given."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr) and isinstance(node.values[0], ast.Constant):
        return node.values[0].value
    return "a name not known beforehand"


def imports_in(code, module, is_package=False):
    """Dotted names that a piece of code imports, wherever in it and by whatever way."""
    found = set()
    for node in ast.walk(ast.parse(code)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                home = module.split(".")
                home = home[: len(home) - node.level + is_package]
                base = ".".join([*home, *filter(None, [node.module])])
            found |= {f"{base}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Call):
            name = getattr(node.func, "id", getattr(node.func, "attr", ""))
            if name in ("import_module", "__import__") and node.args:
                found.add(head_of(node.args[0]))
    return found


def below(name, *homes):
    """Whether a dotted name is one of `homes` or lies below it."""
    return any(name == home or name.startswith(home + ".") for home in homes)


CORE_MAY = (
    "math",
    "functools",
    "itertools",
    "typing",
    "aerialstream.constants",
    "aerialstream._core",
)
ARRAYS = (
    "aerialstream._core.chain_arrays",
    "aerialstream._core.stream_arrays",
    "aerialstream._core.spots_arrays",
    "aerialstream._core.spread_arrays",
)  # many at once


def objection(module, name):
    """Why a module may not import a name, or an empty text."""
    top = name.partition(".")[0]
    package = module.partition(".")[0]
    standard = top in sys.stdlib_module_names
    if "pyplot" in name.split(".") or top == "pylab":
        return "no pyplot anywhere"
    if module == TEST:
        return ""
    if module == ENTRY:
        return "" if standard or top == "bootstrap" else "an entry file runs on bare Python"
    if module == LESSON:
        return "" if top in HOMES else "lesson notebooks import our three packages only"
    if module == ASSIGNMENT:
        ok = top in ("aerialstream", "gradekit")
        return "" if ok else "assignment notebooks import aerialstream and gradekit only"
    if below(name, "matplotlib") and not below(module, "aerialstream.figures"):
        return "matplotlib only in aerialstream.figures"
    if below(name, "ipywidgets") and package != "lessonkit":
        return "ipywidgets only in lessonkit"
    if below(module, "aerialstream._core"):
        ok = below(name, *CORE_MAY) or (module in ARRAYS and top == "numpy")
        return "" if ok else "_core imports little of Python's own library and our constants only"
    if below(module, "aerialstream.charts"):
        ok = standard or top == "aerialstream"
        return "" if ok else "charts import the standard library and aerialstream only"
    if top in OURS and top != package:
        if package == "lessonkit" and top == "gradekit":
            drills = ("lessonkit.drill_panel", "lessonkit.drill_shown")
            if below(name, "gradekit.drills") and below(module, *drills):
                return ""  # a drill is planned from evolutions, sheets and readings: gradekit's
            self_checks = ("asking", "content", "refreshing", "refresher_page")
            ok = below(module, *(f"lessonkit.{name}" for name in self_checks))
            return "" if ok else f"gradekit in lessonkit only for self-checks {self_checks}"
        if below(module, "gradekit.site") and top == "lessonkit":
            return ""  # the site puts lessons and their checks together
        if (package, top) not in {("lessonkit", "aerialstream"), ("gradekit", "aerialstream")}:
            return f"{package} may not import {top}"
    return "an unknown import" if " " in name else ""


def objections(root=ROOT):
    """Every arrow that the plan does not have, one line each."""
    found = []
    for path in our_files(root):
        module = module_of(path, root)
        for name in sorted(imports_in(code_of(path), module, path.name == "__init__.py")):
            why = objection(module, name)
            if why:
                found.append(f"{path.relative_to(root)}: {name}: {why}")
    return found


def test_imports_of_all_files_follow_the_plan():
    """No file and no notebook imports what the plan does not let it."""
    modules = [module_of(path) for path in our_files()]
    assert {LESSON, ASSIGNMENT, ENTRY, TEST, *HOMES} <= set(modules)
    assert objections() == []


@pytest.mark.parametrize(
    ("path", "line", "why"),
    [
        ("shared/aerialstream/site.py", "import gradekit", "may not import gradekit"),
        ("shared/aerialstream/site.py", "from lessonkit import page", "may not import lessonkit"),
        ("shared/aerialstream/site.py", "import bootstrap", "may not import bootstrap"),
        ("shared/aerialstream/site.py", "def f():\n    from matplotlib import cm", "figures"),
        ("shared/aerialstream/figures/a.py", "import matplotlib.pyplot as plt", "pyplot"),
        ("shared/aerialstream/figures/a.py", "from matplotlib import pyplot", "pyplot"),
        ("shared/aerialstream/charts/a.py", "import numpy", "standard library"),
        ("shared/aerialstream/charts/a.py", "from ..figures.drawn import matplotlib", ""),
        ("shared/aerialstream/_core/a.py", "from aerialstream.units import show", "_core"),
        ("shared/aerialstream/_core/a.py", "import cmath", "_core"),
        ("shared/aerialstream/_core/a.py", "from ..units import show", "_core"),
        ("shared/aerialstream/_core/__init__.py", "from ..units import show", "_core"),
        ("lessons/lessonkit/controls.py", "import gradekit.questions", "self-checks"),
        ("lessons/lessonkit/content/a.py", "from gradekit.papers import x", ""),
        ("lessons/lessonkit/drill_panel.py", "from gradekit.drills.plan import x", ""),
        ("lessons/lessonkit/drill_panel.py", "from gradekit.register import x", "self-checks"),
        (
            "lessons/lessonkit/start.py",
            "from importlib import *\nimport_module('gradekit')",
            "self",
        ),
        ("lessons/lessonkit/start.py", "import importlib as i\ni.import_module(n)", "unknown"),
        ("graders/gradekit/a.py", "import lessonkit", "may not import lessonkit"),
        ("graders/gradekit/a.py", "import ipywidgets", "ipywidgets"),
        ("graders/gradekit/a.py", "from aerialstream._core import nozzles", ""),
        ("lessons/__main__.py", "import pint", "bare Python"),
        ("tests/test_a.py", "import matplotlib.pyplot", "pyplot"),
        ("lessons/01_a.ipynb", "import numpy as np", "three packages"),
        ("lessons/01_a.ipynb", "%matplotlib inline\nfrom gradekit import check", ""),
        ("source_assignments/a/a.ipynb", "from lessonkit import predict", "assignment"),
        ("source_assignments/a/a.ipynb", "import math", "assignment"),
    ],
)
def test_imports_against_the_plan_are_noticed(tmp_path, path, line, why):
    """A made-up file with one import is refused with the reason, or let through."""
    file = tmp_path / path
    file.parent.mkdir(parents=True)
    text = json.dumps({"cells": [{"cell_type": "code", "source": [line]}]})
    file.write_text(text if file.suffix == ".ipynb" else line, encoding="utf-8")
    found = objections(tmp_path)
    assert [why in one for one in found] == ([True] if why else [])


LOADED = "import sys; print(' '.join(sorted({m.partition('.')[0] for m in sys.modules})))"
USE_CHARTS = """
from aerialstream import quantity, reaction_at_tip
from aerialstream.charts import tip_plan
split = reaction_at_tip("505 lbf", rotation="30 deg", extension="75 ft")
assert "side load 253 lbf" in tip_plan(split, longest=quantity("100 ft")).svg()
"""
HIDE = """
import sys
class Hidden:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] in ("numpy", "scipy", "matplotlib"):
            raise ModuleNotFoundError(name)
sys.meta_path.insert(0, Hidden())
"""


def loaded_after(code):
    """Top-level modules in a fresh Python after some code."""
    command = [sys.executable, "-c", f"{code}\n{LOADED}"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert run.returncode == 0, run.stderr
    return set(run.stdout.split())


def test_import_alone_brings_in_nothing_heavy():
    """Neither `import aerialstream` nor importing its charts loads pint or any large library."""
    loaded = loaded_after("import aerialstream, aerialstream.charts")
    assert "aerialstream" in loaded
    assert not loaded & {"pint", "pydantic", "numpy", "scipy", "matplotlib", "ipywidgets"}


def test_charts_work_where_no_large_library_is():
    """A chart is drawn with numpy, scipy and matplotlib out of reach, as in a browser.

    Where numpy and scipy can be found pint itself imports them, so they are hidden here.
    """
    loaded = loaded_after(HIDE + USE_CHARTS)
    assert "pint" in loaded
    assert not loaded & {"numpy", "scipy", "matplotlib", "pydantic"}


def test_charts_load_nothing_heavy_but_what_pint_does():
    """With everything installed a drawn chart adds no library to those that pint imports.

    pint itself imports numpy, and a part of scipy, where it finds them.
    """
    loaded = loaded_after(USE_CHARTS)
    assert not loaded & {"matplotlib", "pydantic"}
    by_pint = loaded_after("import pint; pint.UnitRegistry()")
    assert loaded & {"numpy", "scipy"} <= by_pint
