"""Questions 6 to 8 of the paper on the reaction: worked out anew, and what learners type.

Questions 1 to 5 stand in test_questions.py. The table is read here from the demo department's own
file; reaction 1.57 d² P as printed in the trade's handbooks, the side part by a scalar product.
"""

import tomllib
from fractions import Fraction
from math import cos, pi

import pytest

from aerialstream.department import DEMO_FOLDER, load_department
from gradekit.questions import papers

PAPER = papers()["nozzle-reaction"]
Q = {question.id.rpartition("-")[2]: question for question in PAPER.questions}


def entered():
    """{device: [(gpm, ft, deg), ...]} straight from the file's text."""
    with (DEMO_FOLDER / "apparatus.toml").open("rb") as file:
        rigs = tomllib.load(file)["apparatus"]
    keys = ("flow_up_to", "extension_up_to", "rotation_up_to")
    return {
        rig["name"]: [
            tuple(float(line[key].split()[0]) for key in keys)
            for line in rig.get("manual_limits", [])
        ]
        for rig in rigs
    }


def test_look_up_is_the_widest_line_that_covers_flow_and_length():
    """Read from the demo department's file; devices without lines have no answer but "not entered"."""
    lines, seen = entered(), set()
    for row in Q["q6"].table():
        covering = [
            deg
            for gpm, feet, deg in lines[row["device"]]
            if row["gpm"] <= gpm and row["feet"] <= feet
        ]
        assert Q["q6"].value(row) == max(covering, default=None)
        seen.add(Q["q6"].value(row))
    assert seen == {15, 30, None}


def test_every_second_look_up_has_a_line():
    """Not entered is one answer among others, not the usual one."""
    values = [Q["q6"].value(row) for row in Q["q6"].table()]
    assert 0.2 < values.count(None) / len(values) < 0.6


def test_fault_is_the_first_step_that_differs():
    """Each step anew, and the number that belongs there."""
    for row in Q["q7"].table():
        size = float(sum(Fraction(part) for part in row["tip_text"].split()))
        pounds = 1.57 * size**2 * row["psi"]
        side = pounds * cos((90 - row["deg"]) * pi / 180)
        shown = dict(Q["q7"].steps(row))
        assert f"{size**2:.3f}" in shown["square"]
        right = {"reaction": pounds, "side": side}
        first = next(name for name in right if f"{right[name]:.1f} lbf" not in shown[name])
        assert first == Q["q7"].fault(row)
        assert Q["q7"].number.value(row) == pytest.approx(right[first], rel=1e-3)


def test_department_without_entered_lines_falls_back_to_the_demo():
    """A department that has entered no limit still learns to read a table."""
    demo = load_department(DEMO_FOLDER)
    bare = [device.model_copy(update={"manual_limits": ()}) for device in demo.apparatus]
    assert Q["q6"].table(demo.model_copy(update={"apparatus": tuple(bare)})) == Q["q6"].table(demo)


def row_of(device, gpm, feet):
    found = (
        r for r in Q["q6"].table() if (r["device"], r["gpm"], r["feet"]) == (device, gpm, feet)
    )
    return next(found)


LONG, SHORT = row_of("Tower 3", 1000, 70), row_of("Tower 3", 500, 60)
MUCH, NOTHING = row_of("Tower 3", 1500, 60), row_of("Ladder 9", 700, 60)
FACTOR = {"tip_text": "1 3/4", "tip": 1.75, "psi": 75, "deg": 35, "ft": 55, "slip": "factor"}
COSINE, SHARE = {**FACTOR, "slip": "cosine"}, {**FACTOR, "slip": "share"}
OPEN, SHUT = {"device": "Tower 3", "shut": False}, {"device": "Tower 3", "shut": True}

# question, row, as typed, the note it must earn. By hand: 1.57 × 3.0625 × 75 = 360.6 lbf, half of it
# 180.3; × sin 35° = 206.8, × cos 35° = 295.4, × tan 35° = 252.5, × 35/90 = 140.2.
TYPED = [
    ("q6", LONG, "15 deg", "right"),
    ("q6", LONG, "15°", "right"),
    ("q6", LONG, "30 deg", "mistake/another-line"),
    ("q6", LONG, "60 degrees", "mistake/travel-for-limit"),
    ("q6", LONG, "not entered", "mistake/not-found"),
    ("q6", SHORT, "30 deg", "right"),
    ("q6", SHORT, "15 deg", "mistake/another-line"),
    ("q6", MUCH, "not entered", "right"),
    ("q6", MUCH, "15 deg", "mistake/another-line"),
    ("q6", NOTHING, "not entered", "right"),
    ("q6", NOTHING, "15 deg", "mistake/another-rig"),
    ("q6", NOTHING, "45 deg", "mistake/travel-for-limit"),
    ("q6", NOTHING, "20 deg", "mistake/no-line"),
    ("q7", FACTOR, "step 2; 360.6 lbf", "right"),
    ("q7", FACTOR, "2; 361 lbs", "right"),
    ("q7", FACTOR, "step 3; 206.8 lbf", "mistake/blamed-side"),
    ("q7", FACTOR, "step 2; 412 lbf", "number/mistake/diameter-doubled"),
    ("q7", FACTOR, "step 2; 240 lbf", "number/mistake/handline-pressure"),
    ("q7", FACTOR, "step 2", "step-only"),
    ("q7", COSINE, "step 3; 206.8 lbf", "right"),
    ("q7", COSINE, "step 3; 140 lbf", "number/mistake/share-of-ninety"),
    ("q7", SHARE, "step 3; 206.8 lbf", "right"),
    ("q7", SHARE, "step 3; 252.5 lbf", "number/mistake/tangent"),
    ("q7", SHARE, "step 3; 295.4 lbf", "number/mistake/along-the-ladder"),
    ("q7", SHARE, "step 4; 11,374 lbf ft", "mistake/blamed-moment"),
    ("q8", OPEN, "A", "right"),
    ("q8", OPEN, "B", "mistake/at-once"),
    ("q8", SHUT, "a", "right"),
    ("q8", SHUT, "C", "mistake/while-turning"),
    ("q8", SHUT, "D", "mistake/to-the-side"),
    ("q8", SHUT, "(E)", "mistake/somebody-at-the-tip"),
]


@pytest.mark.parametrize(("name", "row", "typed", "note"), TYPED)
def test_typed_answer_earns_its_note(name, row, typed, note):
    """What crews type, each with the note that the instructor must see."""
    assert Q[name].judge(row, typed).note == f"{PAPER.name}-{name}/{note}"
