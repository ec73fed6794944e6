"""The paper on flow and supply: right answers worked out anew, and what learners type.

Formulas as they stand in print: discharge of a tip 29.7 d² √P (an instruction sheet's table of tips,
2015); loss C (Q/100)² (L/100) with each of n like lines taking Q/n; 0.434 psi to the foot; pump
rating 100, 70 and 50 percent at 150, 200 and 250 psi net, straight in between. Nothing here is
taken from the kit but the rows.
"""

import re
from itertools import pairwise
from math import sqrt

import pytest

from gradekit.questions import papers

PAPER = papers()["flow-and-supply"]
Q = {question.id.rpartition("-")[2]: question for question in PAPER.questions}


def flow(row):
    return 29.7 * row["tip"] ** 2 * sqrt(row["psi"])


def loss(row):
    each = flow(row) / row["lines"] / 100
    return row["c"] * each * each * row["feet"] / 100


def discharge(row):
    rig = row["rig"] * (flow(row) / row["rig_at"]) ** 2
    return row["psi"] + 0.434 * row["height"] + rig + loss(row)


def lay(row):
    of_a_hundred = row["c"] * (row["gpm"] / 100) ** 2
    return 100 * (row["residual"] - row["floor"]) / of_a_hundred


def comes_in(row):
    return row["gpm_b"] * row["in_b"] / 10 - row["gpm_a"] * row["in_a"] / 10


RIGHT = {"q1": flow, "q2": loss, "q3": discharge, "q4": lay, "q7": comes_in}


@pytest.mark.parametrize("name", RIGHT)
def test_right_number_is_that_of_the_printed_formula(name):
    """Every row of the table, from the values as shown."""
    for row in Q[name].table():
        assert Q[name].value(row) == pytest.approx(RIGHT[name](row), rel=1e-9)


def test_reference_problem_two_lines_of_3_in_hose_at_1000_gpm():
    """60 psi: a reference sheet's worked value for 1,000 gpm through two 3-in lines of 300 ft."""
    row = {"c": 0.8, "lines": 2, "feet": 300}
    assert Q["q2"].right(row, 1000) == pytest.approx(60, abs=0.01)


def test_marking_of_the_lay_is_the_lowest_in_the_list_or_not_entered():
    """Read anew from the words of the question."""
    for row in Q["q5"].table():
        listed = dict(re.findall(r"(?:^|; )([^:;]+): (\d+) psi", row["table"]))
        marks = [listed.get(hose) for hose in row["lay"].split(" and then ")]
        right = None if None in marks else min(map(float, marks))
        assert Q["q5"].value(row) == right


def test_what_limits_is_found_from_rating_marking_and_floor():
    """Own arithmetic: one limit is broken at most, and clearly."""
    for row in Q["q6"].table():
        net = row["psi"] - row["intake"]
        points = [(150, 1.0), (200, 0.7), (250, 0.5)]
        share = 1.0 if net <= 150 else 0.0
        for (low, more), (high, less) in pairwise(points):
            if low < net <= high:
                share = more + (less - more) * (net - low) / (high - low)
        broken = [
            name
            for name, bad in (
                ("hose", row["psi"] > row["marked"]),
                ("pump", share * row["rated"] < row["gpm"]),
                ("hydrant", row["intake"] < row["floor"]),
            )
            if bad
        ]
        assert len(broken) < 2
        right = [option.name for option in Q["q6"].options if option.is_right(row)]
        assert right == (broken or ["nothing"])


def test_every_limit_is_the_right_answer_in_some_row():
    """No option of the choice on limits is only there to fill up."""
    right = {o.name for row in Q["q6"].table() for o in Q["q6"].options if o.is_right(row)}
    assert right == {"hose", "pump", "hydrant", "nothing"}


def test_fault_is_the_first_step_that_cannot_be_got_again():
    """Each step worked out from the facts in the question and the steps above it."""
    for row in Q["q8"].table():
        shown = {
            name: float(re.findall(r"-?[\d.]+(?= psi)", text)[-1])
            for name, text in Q["q8"].steps(row)
        }
        mine = {
            "nozzle": row["psi"],
            "height": 0.434 * row["height"],
            "rig": row["rig"] * (row["gpm"] / 1000) ** 2,
            "hose": row["c"] * (row["gpm"] / 200) ** 2 * row["feet"] / 100,
        }
        mine["total"] = sum(shown[name] for name in mine)
        first = next(name for name in mine if abs(mine[name] - shown[name]) > 0.16)
        assert first == Q["q8"].fault(row)
        assert Q["q8"].number.value(row) == pytest.approx(mine[first], abs=0.16)


SCENE = {
    "device": "Tower 3", "tip_text": "1 3/4", "tip": 1.75, "psi": 70, "hose": "3-in hose", "c": 0.8,
    "lines": 2, "feet": 200, "height": 76, "rig": 50, "rig_at": 1000, "intake": 57,
}  # fmt: skip
HYDRANT = {
    "pumper": "Engine 3", "hose": "5-in supply hose", "c": 0.066, "whose": "your own flow test",
    "printed": 0.08, "floor": 20, "static": 84, "residual": 57, "gpm": 1050,
}  # fmt: skip
MIXED = {"table": "", "lay": "", "wanted": 212, "marks": [185, 275], "others": [260]}
LENT = {"table": "", "lay": "", "wanted": 212, "marks": [185, None], "others": [275]}
WINDOW = {"gpm_a": 1060, "in_a": 2, "gpm_b": 800, "in_b": 9}
DRILL = {"psi": 80, "gpm": 600, "height": 62, "out": 75, "rig": 50, "c": 0.8, "feet": 200}

# question, row, as typed, the note it must earn. By hand: flow 761.0 gpm, loss 23.2 psi,
# discharge 70 + 33.0 + 29.0 + 23.2 = 155.1 psi; lay 37 / 7.28 psi a hundred = 508 ft.
TYPED = [
    ("q1", SCENE, "761 gpm", "right"),
    ("q1", SCENE, "2,881 L/min", "right"),
    ("q1", SCENE, "about 760 GPM", "right"),
    ("q1", SCENE, "761", "no-unit/right"),
    ("q1", SCENE, "761 psi", "wrong-kind"),
    ("q1", SCENE, "435 gpm", "mistake/diameter-not-squared"),
    ("q1", SCENE, "870 gpm", "mistake/diameter-doubled"),
    ("q1", SCENE, "643 gpm", "mistake/handline-pressure"),
    ("q1", SCENE, "910 gpm", "mistake/fog-pressure"),
    ("q1", SCENE, "25.6 gpm", "mistake/constant-forgotten"),
    ("q1", SCENE, "337 gpm", "mistake/reaction-for-flow"),
    ("q1", SCENE, "446 gpm", "mistake/fraction-as-decimal"),  # 29.7 × 1.34² × √70
    ("q1", SCENE, "17.1 gpm", "mistake/metric-constant"),  # 0.667 × 1.75² × √70
    ("q1", SCENE, "761 L/min", "unit-label"),
    ("q1", SCENE, "2,880 gpm", "unit-label"),
    ("q1", SCENE, "7,610 gpm", "off-by-ten"),
    ("q1", SCENE, "775 gpm", "rounding"),
    ("q2", SCENE, "23.2 psi", "right"),
    ("q2", SCENE, "1.6 bar", "right"),
    ("q2", SCENE, "92.7 psi", "mistake/single-line"),
    ("q2", SCENE, "46.3 psi", "mistake/loss-shared-out/or/losses-added"),
    ("q2", SCENE, "6.1 psi", "mistake/flow-not-squared"),
    ("q2", SCENE, "12.2 psi", "mistake/flow-doubled"),
    ("q2", SCENE, "11.6 psi", "mistake/length-forgotten"),
    ("q2", SCENE, "2,316 psi", "mistake/length-in-feet"),
    ("q3", SCENE, "155 psi", "right"),
    ("q3", SCENE, "157 PSI", "right"),
    ("q3", SCENE, "10.7 bar", "right"),
    ("q3", SCENE, "122 psi", "mistake/height-forgotten"),
    ("q3", SCENE, "89 psi", "mistake/height-subtracted"),
    ("q3", SCENE, "98 psi", "mistake/intake-subtracted"),
    ("q3", SCENE, "176 psi", "mistake/rig-as-tested"),
    ("q3", SCENE, "164 psi", "mistake/rig-in-proportion"),
    ("q3", SCENE, "160 psi", "mistake/half-a-psi-for-each-foot"),
    ("q3", SCENE, "132 psi", "mistake/hose-forgotten"),
    ("q3", SCENE, "180 psi", "mistake/allowance-on-top"),
    ("q4", HYDRANT, "508 ft", "right"),
    ("q4", HYDRANT, "155 m", "right"),
    ("q4", HYDRANT, "783 feet", "mistake/nothing-left"),
    ("q4", HYDRANT, "880 ft", "mistake/static-for-residual"),
    ("q4", HYDRANT, "371 ft", "mistake/drop-for-rest"),
    ("q4", HYDRANT, "420 ft", "mistake/printed-coefficient"),
    ("q4", HYDRANT, "5.09 ft", "mistake/hundreds-for-feet"),
    ("q5", MIXED, "185 psi", "right"),
    ("q5", MIXED, "275 psi", "mistake/stronger-hose"),
    ("q5", MIXED, "212 psi", "mistake/wanted-for-marked"),
    ("q5", MIXED, "203.5 psi", "mistake/service-test"),
    ("q5", MIXED, "not entered", "mistake/not-found"),
    ("q5", LENT, "not entered", "right"),
    ("q5", LENT, "look it up", "right"),
    ("q5", LENT, "185 psi", "mistake/stronger-hose"),
    ("q5", LENT, "275 psi", "mistake/other-hose"),
    ("q5", LENT, "150 psi", "mistake/no-line"),
    ("q7", WINDOW, "about 500 gpm", "right"),
    ("q7", WINDOW, "550 gpm", "right"),
    ("q7", WINDOW, "260 gpm", "mistake/flows-compared"),
    ("q7", WINDOW, "340 gpm", "mistake/large-tip-counted-whole"),
    ("q7", WINDOW, "590 gpm", "mistake/small-tip-counted-whole"),
    ("q7", WINDOW, "720 gpm", "mistake/all-that-comes-in"),
    ("q8", {**DRILL, "slip": "not-split"}, "step 4; 14.4 psi", "right"),
    ("q8", {**DRILL, "slip": "not-split"}, "4, 14.4 psi", "right"),
    ("q8", {**DRILL, "slip": "not-split"}, "step 4; 28.8 psi", "number/mistake/loss-halved"),
    ("q8", {**DRILL, "slip": "not-split"}, "step 5; 139 psi", "mistake/blamed-total"),
    ("q8", {**DRILL, "slip": "in-proportion"}, "3; 18 psi", "right"),
    ("q8", {**DRILL, "slip": "in-proportion"}, "3; 30 psi", "number/mistake/wrong-again"),
    ("q8", {**DRILL, "slip": "ladder-length"}, "step 2", "step-only"),
    ("q8", {**DRILL, "slip": "ladder-length"}, "step 2; 26.9 psi", "right"),
    ("q8", {**DRILL, "slip": "height-away"}, "step 5; 139.3 psi", "right"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "row", "typed", "note"), TYPED)
def test_typed_answer_earns_its_note(name, row, typed, note):
    """What crews type, each with the note that the instructor must see."""
    assert Q[name].judge(row, typed).note == f"{PAPER.name}-{name}/{note}"


def test_slip_in_the_flow_costs_once():
    """434.9 gpm carried on: 2.1745² × 0.8 × 2 = 7.57 psi, then 70 + 33.0 + 9.46 + 7.57 = 120.0."""
    mine = {"flow-and-supply-q1": "434.9 gpm", "flow-and-supply-q2": "7.57 psi"}
    two = Q["q2"].judge(SCENE, "7.57 psi", mine)
    three = Q["q3"].judge(SCENE, "120 psi", mine)
    assert two.note.endswith("/carried") and two.right
    assert three.note.endswith("/carried") and three.right


def test_department_without_hose_or_tips_falls_back_to_the_demo():
    """A department that has entered little still gets questions."""
    from aerialstream.department import DEMO_FOLDER, load_department

    whole = load_department(DEMO_FOLDER)
    bare = whole.model_copy(update={"hose": (), "nozzles": (), "pumpers": ()})
    for name in ("q1", "q4", "q5", "q6"):
        assert Q[name].table(bare)
