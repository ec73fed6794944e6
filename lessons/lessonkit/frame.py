"""The frame every lesson keeps, and its readability: `python -m lessonkit.frame`.

Each cell has one tag of the frame; the tags come in one order, so that a member finds things where
they were in the last lesson and the projection can show one section at a time. Examples, panels and
checks take turns, so that practice can stand next to its example.
"""

import ast
import json
import re
import sys
from pathlib import Path

from lessonkit.asking import asked_in
from lessonkit.glossary import marked, terms
from lessonkit.reading import readability
from lessonkit.start import LESSONS, syllabus

FRAME = (
    "goal", "before", "predict", "example", "try", "check", "case", "recap", "manual", "talk",
    "sources", "cautions", "next",
)  # fmt: skip
MAY_LACK = {"case"}  # where no published report fits
MAY_TAKE_TURNS = {"example", "try", "check"}  # practice may stand next to its example
FEWEST_CHECKS, FEWEST_KINDS = 4, 2
MOST_LINES = 6


def cells_of(path):
    """The cells of a notebook, sources as text."""
    cells = json.loads(Path(path).read_text(encoding="utf-8"))["cells"]
    return [{**cell, "source": "".join(cell["source"])} for cell in cells]


def frame_tag(cell):
    """The cell's tag of the frame, or None; two are a fault and give None too."""
    tags = [tag for tag in cell["metadata"].get("tags", []) if tag in FRAME]
    return tags[0] if len(tags) == 1 else None


def calls(cells, name):
    """Arguments of each call of `name` in the code cells, in order."""
    found = []
    for cell in cells:
        if cell["cell_type"] != "code":
            continue
        for node in ast.walk(ast.parse(cell["source"])):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == name:
                found.append(tuple(getattr(a, "value", None) for a in node.args))
    return found


def _order_faults(cells):
    seen, highest = [], 0
    for cell in cells:
        tag = frame_tag(cell)
        if tag is None:
            yield f"{cell['id']}: needs exactly one tag of the frame: {', '.join(FRAME)}"
            continue
        place = FRAME.index(tag)
        if place < highest and not {tag, FRAME[highest]} <= MAY_TAKE_TURNS:
            yield f"{cell['id']}: {tag} stands after {FRAME[highest]}"
        highest = max(highest, place)
        seen.append(tag)
    for tag in FRAME:
        if tag not in seen and tag not in MAY_LACK:
            yield f"there is no cell tagged {tag}"


def _code_faults(cells):
    for cell in cells:
        if cell["cell_type"] != "code":
            continue
        if not cell["metadata"].get("jupyter", {}).get("source_hidden"):
            yield f"{cell['id']}: the code is not folded"
        lines = cell["source"].count("\n") + 1
        if lines > MOST_LINES:
            yield f"{cell['id']}: {lines} lines of code, at most {MOST_LINES}"


def _asked_faults(number, cells):
    asked = asked_in(number)
    checks = [name for lesson, name in calls(cells, "self_check") if lesson == number]
    guesses = [name for lesson, name in calls(cells, "predict") if lesson == number]
    for name in [*checks, *guesses]:
        if name not in asked:
            yield f"nothing called “{name}” is asked in content/lesson_{number}.py"
            return
    if len(set(checks)) < FEWEST_CHECKS:
        yield f"{len(set(checks))} self-checks, at least {FEWEST_CHECKS}"
    kinds = {asked[name].name for name in checks}
    if len(kinds) < FEWEST_KINDS:
        yield f"self-checks of {len(kinds)} kind ({', '.join(kinds)}), at least {FEWEST_KINDS}"
    compared = {name for lesson, name in calls(cells, "compare") if lesson == number}
    for name in sorted(set(guesses) - compared):
        yield f"the prediction “{name}” is never compared"
    if not guesses:
        yield "no prediction is asked"
    if not calls(cells, "manual_sheet"):
        yield "there is no manual_sheet"


def _objective_faults(lesson, cells):
    said = {
        tag: "\n".join(c["source"] for c in cells if frame_tag(c) == tag)
        for tag in ("goal", "recap")
    }
    objectives = lesson.get("objectives", [])
    if not objectives:
        yield "syllabus.toml gives no objectives"
    for one in objectives:
        if one["can"] not in said["goal"]:
            yield f"the goal cell lacks the objective “{one['can']}”"
        if not re.search(rf"\*\*{re.escape(one['recap'])}", said["recap"]):
            yield f"the recap lacks “**{one['recap']}”, the answer to “{one['can']}”"
    listed = len(re.findall(r"^- ", said["goal"], re.MULTILINE))
    if listed != len(objectives):
        yield f"the goal cell lists {listed} things, syllabus.toml {len(objectives)} objectives"
    if str(lesson["minutes"]) not in said["goal"]:
        yield f"the goal cell does not say {lesson['minutes']} minutes"


def faults(lesson, cells=None):
    """What a lesson of the syllabus lacks, one sentence each.

    A lesson with `short = true` in the syllabus (the first one) is held to order, folded code and
    objectives only.
    """
    cells = cells or cells_of(LESSONS / lesson["notebook"])
    found = [*_code_faults(cells), *_objective_faults(lesson, cells)]
    if lesson.get("short"):
        return [*found, *(f for f in _order_faults(cells) if "there is no cell" not in f)]
    return [*_order_faults(cells), *found, *_asked_faults(lesson["number"], cells)]


def text_of(cells):
    """The lesson's text, without code."""
    return "\n\n".join(c["source"] for c in cells if c["cell_type"] == "markdown")


def main():
    """Name every fault; print how readable each lesson is."""
    bad = 0
    for lesson in syllabus()["lesson"]:
        cells = cells_of(LESSONS / lesson["notebook"])
        for fault in faults(lesson, cells):
            print(f"{lesson['notebook']}: {fault}")
            bad += 1
        _, linked = marked([c["source"] for c in cells if c["cell_type"] == "markdown"])
        print(f"{lesson['number']} {readability(text_of(cells))}; {len(linked)} of {len(terms())} terms of the glossary")  # fmt: skip
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
