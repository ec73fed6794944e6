"""The paper of the whole scene: right answers worked out anew, and what learners type.

Discharge 29.7 d² √P, reaction 1.57 d² P, loss C (Q/100)² L/100 and 0.434 psi a foot as printed in the
trade's handbooks; a gallon weighs 8.34 lb; one and a half times the height is common practice with
no one source. The rest is plane geometry. Nothing here is taken from the kit but the rows.
"""

from fractions import Fraction
from math import cos, pi, radians, sin, sqrt

import pytest

from gradekit.questions import papers

PAPER = papers()["putting-it-together"]
Q = {question.id.rpartition("-")[2]: question for question in PAPER.questions}


def tip(row):
    """The tip as the learner reads it, in inches."""
    return float(sum(Fraction(part) for part in row["tip_text"].split()))


def flow(row):
    return 29.7 * tip(row) ** 2 * sqrt(row["psi"])


def discharge(row):
    gpm = flow(row)
    lines = row["c"] * (gpm / 2 / 100) ** 2 * row["feet"] / 100
    rig = row["rig"] * gpm**2 / row["rig_at"] ** 2
    return row["psi"] + 0.434 * row["over"] + rig + lines


def minutes(row):
    pounds_a_minute = flow(row) * 8.34 * row["stays"] / 100
    return row["load"] * row["area"] / pounds_a_minute


RIGHT = {
    "q3": flow,
    "q4": discharge,
    "q5": lambda row: 1.57 * tip(row) ** 2 * row["psi"] * sin(row["deg"] * pi / 180),
    "q7": minutes,
}


@pytest.mark.parametrize("name", RIGHT)
def test_right_number_is_that_of_the_printed_formulas(name):
    """Every row of the table, from the values as shown."""
    for row in Q[name].table():
        assert Q[name].value(row) == pytest.approx(RIGHT[name](row), rel=2e-3)


def test_all_questions_tell_of_one_scene():
    """Whoever the member is, each question is dealt the same row."""
    for member in ("2041", "2050", "2077", "7"):
        places = {q.row_number(PAPER.version, member) for q in PAPER.questions}
        assert len(places) == 1


def test_spot_found_meets_the_words_of_the_question():
    """By plane geometry: nozzle outside one and a half walls, level with the window."""
    for row in Q["q2"].table():
        plan = Q["q2"].found(row)
        raised = radians(plan["elevation"])
        away = plan["turntable from the wall"] - plan["length out"] * cos(raised)
        up = row["turntable"] + plan["length out"] * sin(raised)
        assert away >= 1.5 * (row["roof"] + row["parapet"])
        assert row["sill"] < up < row["head"]
        assert row["least"] <= plan["length out"] <= row["cap"]
        assert row["low"] <= plan["elevation"] <= row["high"]


def test_window_is_within_the_reach_of_the_stream():
    """The printed rule, half the pressure, 26 ft and 5 ft an eighth over 3/4 in, from the farthest spot."""
    for row in Q["q2"].table():
        reach = row["psi"] / 2 + 26 + 5 * (tip(row) - 0.75) / 0.125
        assert 1.5 * (row["roof"] + row["parapet"]) + 15 < reach


def test_go_is_right_only_where_every_line_stands():
    """Read from the words shown: hearsay, an open count and a bridged pit are no go."""
    signs = {
        "no-go-waterway": "this morning",
        "no-go-count": "all but one",
        "no-go-ground": "pit cover",
    }
    seen = set()
    for row in Q["q6"].table():
        failed = [name for name, sign in signs.items() if sign in Q["q6"].ask(row)]
        (right,) = [option.name for option in Q["q6"].options if option.is_right(row)]
        assert [right] == (failed or ["go"])
        seen.add(right)
    assert len(seen) == 4


def test_size_up_right_option_is_the_window_that_burns():
    """In every scene the option that goes in where flame shows."""
    for row in Q["q1"].table():
        (right,) = [option.said(row) for option in Q["q1"].options if option.is_right(row)]
        assert row["window"] in right


MILL = {
    "place": "Weir Street Mill, side C", "window": "the window", "other": "the door",
    "inside": "cloth", "roof": 38, "parapet": 2, "sill": 16, "head": 21, "over": 24,
    "floor": "the second floor", "area": 1680, "device": "Ladder 9", "turntable": 7.5, "least": 32,
    "cap": 50, "low": -8, "high": 72, "tip_text": "1 3/4", "tip": 1.75, "psi": 65, "rig": 55,
    "rig_at": 1000, "c": 0.8, "lines": 2, "load": 12, "stays": 65, "flaw": "count", "feet": 350,
    "deg": 34,
}  # fmt: skip
SHOP = {**MILL, "roof": 13, "parapet": 3, "sill": 1, "head": 9}
ALL_STAND = {**MILL, "flaw": "none"}

# question, row, as typed, the note it must earn. By hand: 29.7 × 3.0625 × 8.062 = 733 gpm;
# 65 + 10.4 + 29.6 + 37.6 = 142.6 psi; 312.5 lbf × sin 34° = 174.8; 20,160 lb / (733 × 8.34 × 0.65)
# = 5.07 min. Mill, 40 ft to the parapet: 60 ft. 45 ft at 14 deg: 43.7 ft out, 10.9 ft up, so 18.4.
TYPED = [
    ("q1", MILL, "A", "right"),
    ("q1", MILL, "B", "mistake/whole-roof"),
    ("q1", MILL, "c)", "mistake/smoke"),
    ("q1", MILL, "D", "mistake/to-and-fro"),
    ("q2", MILL, "110 ft; 45 ft; 14 deg", "right"),
    ("q2", MILL, "110 ft, 45 ft, 14°", "right"),
    ("q2", MILL, "102 ft; 45 ft; 14 deg", "missed/collapse-zone"),
    ("q2", MILL, "125 ft; 45 ft; 14 deg", "missed/near-enough"),
    ("q2", MILL, "105 ft; 45 ft; 30 deg", "missed/level-with-the-window"),
    ("q2", MILL, "128 ft; 62 ft; 10 deg", "missed/what-the-ladder-does"),
    ("q2", MILL, "110 ft; 45 ft", "unreadable"),
    ("q2", SHOP, "70 ft; 40 ft; -4 deg", "right"),
    ("q2", SHOP, "60 ft; 40 ft; -4 deg", "missed/collapse-zone"),
    ("q3", MILL, "733 gpm", "right"),
    ("q3", MILL, "730 GPM", "right"),
    ("q3", MILL, "2,776 L/min", "right"),
    ("q3", MILL, "733", "no-unit/right"),
    ("q3", MILL, "419 gpm", "mistake/diameter-not-squared"),
    ("q3", MILL, "838 gpm", "mistake/diameter-doubled"),
    ("q3", MILL, "643 gpm", "mistake/handline-pressure"),
    ("q3", MILL, "910 gpm", "mistake/fog-pressure"),
    ("q3", MILL, "312 gpm", "mistake/reaction-for-flow"),
    ("q3", MILL, "24.7 gpm", "mistake/constant-forgotten"),  # 1.75² × √65
    ("q3", MILL, "663 gpm", "mistake/hydrant-coefficient"),  # 29.84 × 0.9 × 1.75² × √65
    ("q3", MILL, "430 gpm", "mistake/fraction-as-decimal"),  # 29.7 × 1.34² × √65
    ("q4", MILL, "143 psi", "right"),
    ("q4", MILL, "9.83 bar", "right"),
    ("q4", MILL, "132.2 psi", "mistake/height-forgotten"),
    ("q4", MILL, "121.8 psi", "mistake/height-away"),
    ("q4", MILL, "113 psi", "mistake/rig-forgotten"),
    ("q4", MILL, "168 psi", "mistake/rig-as-tested"),
    ("q4", MILL, "255.5 psi", "mistake/one-line-for-all"),
    ("q4", MILL, "105 psi", "mistake/hose-forgotten"),
    ("q4", MILL, "77.6 psi", "mistake/nozzle-forgotten"),
    ("q4", MILL, "180 psi", "mistake/losses-added"),  # 142.6 and once more 37.6
    ("q5", MILL, "175 lbf", "right"),
    ("q5", MILL, "175 lbs", "right"),
    ("q5", MILL, "259 lbf", "mistake/cosine-for-sine"),
    ("q5", MILL, "312.5 lbf", "mistake/whole-reaction"),
    ("q5", MILL, "118 lbf", "mistake/linear-share"),
    ("q5", MILL, "410 lbf", "mistake/flow-for-reaction"),
    ("q5", MILL, "87.4 lbf", "mistake/factor-two-forgotten"),
    ("q6", MILL, "C", "right"),
    ("q6", MILL, "A", "mistake/go"),
    ("q6", MILL, "E", "mistake/go-with-less"),
    ("q6", ALL_STAND, "A", "right"),
    ("q6", ALL_STAND, "B", "mistake/no-go-waterway"),
    ("q7", MILL, "5.07 min", "right"),
    ("q7", MILL, "5.07 minutes", "right"),
    ("q7", MILL, "42.3 min", "mistake/gallons-for-pounds"),
    ("q7", MILL, "3.3 min", "mistake/all-stays"),
    ("q7", MILL, "9.42 min", "mistake/run-off-for-rest"),
    ("q7", MILL, "2.14 min", "mistake/share-multiplied"),
    ("q7", MILL, "0.678 min", "mistake/cubic-foot-weight"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "row", "typed", "note"), TYPED)
def test_typed_answer_earns_its_note(name, row, typed, note):
    """What crews type, each with the note that the instructor must see."""
    assert Q[name].judge(row, typed).note == f"{PAPER.name}-{name}/{note}"


def test_slip_in_the_flow_costs_once():
    """419 gpm: 65 + 10.4 + 9.66 + 12.3 = 97.4 psi and 8.87 min are right from there."""
    earlier = {"putting-it-together-q3": "419 gpm"}
    for name, typed in (("q4", "97.4 psi"), ("q7", "8.88 min")):
        found = Q[name].judge(MILL, typed, earlier)
        assert found.note.endswith("/carried") and found.right


def test_department_without_tips_falls_back_to_the_demo():
    """A department that has entered no smooth bore still gets the scene."""
    from aerialstream.department import DEMO_FOLDER, load_department

    bare = load_department(DEMO_FOLDER).model_copy(update={"nozzles": ()})
    assert Q["q3"].table(bare) == Q["q3"].table()
