"""The paper on low-level work: right answers worked out anew, and what learners type.

Geometry, statics and the uniform cantilever (end deflection F L³ / 3 E I, any book on the strength
of materials) from first principles, by vectors where the paper uses angles. Nothing here is taken
from the kit but the rows.
"""

from math import acos, cos, degrees, hypot, pi, radians, sin

import pytest

from gradekit.questions import papers

PAPER = papers()["low-level-shops"]
Q = {question.id.rpartition("-")[2]: question for question in PAPER.questions}
HEAD, CEILING = 9, 12


def climb(row):
    """Degrees between the level and the line from nozzle to ceiling, by their scalar product."""
    run, rise = row["away"] + row["deep"], CEILING - row["nozzle"]
    return degrees(acos(run / hypot(run, rise)))


def from_ladder(row):
    """Degrees between the ladder's line and the stream: again a scalar product."""
    run, rise = row["away"] + row["deep"], CEILING - row["nozzle"]
    ladder = cos(-row["below"] * pi / 180), sin(-row["below"] * pi / 180)
    return degrees(acos((run * ladder[0] + rise * ladder[1]) / hypot(run, rise)))


def bending(row):
    """Down-bending at the foot of a level ladder, force by force."""
    own = row["weight"] * row["out"] * row["centre"] / 100
    stream = row["lbf"] * sin(row["up"] * pi / 180)  # water up, tip down
    return own + stream * row["out"]


def sway(load, length):
    return load * length**3 / 3


RIGHT = {
    "q1": climb,
    "q2": from_ladder,
    "q6": bending,
    "q7": lambda row: sway(row["long_lbf"], row["long"]) / sway(row["short_lbf"], row["short"]),
}


@pytest.mark.parametrize("name", RIGHT)
def test_right_number_follows_from_first_principles(name):
    """Every row of the table, from the values as shown."""
    for row in Q[name].table():
        assert Q[name].value(row) == pytest.approx(RIGHT[name](row), rel=1e-6)


def test_nozzle_height_shown_is_that_of_the_ladder_shown():
    """To the tenth of a foot: turntable less the drop of the ladder."""
    for row in Q["q1"].table():
        drop = row["out"] * sin(radians(row["below"]))
        assert row["nozzle"] == pytest.approx(row["turntable"] - drop, abs=0.051)


def test_stream_of_every_row_passes_under_the_head():
    """Half a foot to spare at the window, by the straight line from nozzle to ceiling."""
    for row in Q["q1"].table():
        share = row["away"] / (row["away"] + row["deep"])
        assert row["nozzle"] + share * (CEILING - row["nozzle"]) <= HEAD - 0.5 + 1e-9


def test_quarter_slope_is_fourteen_degrees():
    """Tables of tangents: 0.25 is 14.04 deg; with a ladder 5 deg below level 19.04."""
    row = {"nozzle": 4.5, "away": 15, "deep": 15, "below": 5, "turntable": 8, "out": 40}
    assert Q["q1"].value(row) == pytest.approx(14.04, abs=0.01)
    assert Q["q2"].value(row) == pytest.approx(19.04, abs=0.01)


def test_look_up_is_what_the_department_entered():
    """The demo department's file says so: 45 and 120, 10 and 135; a borrowed rig has no line."""
    found = {(row["device"], row["way"]): Q["q3"].value(row) for row in Q["q3"].table()}
    assert found.pop(("Ladder 31", "up")) is None and found.pop(("Ladder 31", "down")) is None
    assert found == {
        ("Tower 3", "up"): 45,
        ("Tower 3", "down"): 120,
        ("Ladder 9", "up"): 10,
        ("Ladder 9", "down"): 135,
    }


def test_rig_that_is_right_has_the_travel_and_the_others_have_not():
    """Worked from the words shown, not from the options."""
    seen = set()
    for row in Q["q4"].table():
        able = [row["less_up"] >= row["needed"], row["more_up"] >= row["needed"]]
        (right,) = [o.name for o in Q["q4"].options if o.is_right(row)]
        wanted = {0: "neither", 1: "only-the-longer-travel", 2: "either"}[sum(able)]
        assert right == wanted
        seen.add(right)
    assert len(seen) == 3


def test_raised_ladder_has_its_nozzle_above_the_head_and_the_fault_is_where_it_is_said():
    """Each step anew by plane geometry; the step named as wrong is the first that differs."""
    for row in Q["q5"].table():
        raised = (row["wanted"] - row["up"]) * pi / 180
        rise = row["out"] * sin(raised)
        height = row["turntable"] + rise
        assert height > HEAD + 1
        shown = dict(Q["q5"].steps(row))
        stand = {
            "rise": f"{rise:.1f}",
            "height": f"{height:.1f}",
            "over": f"{height - HEAD:.1f} ft above",
        }
        first = next(name for name in ("rise", "height", "over") if stand[name] not in shown[name])
        assert first == Q["q5"].fault(row)
        right = {"rise": rise, "height": height, "over": height - HEAD}[first]
        assert Q["q5"].number.value(row) == pytest.approx(right)


def test_order_of_the_moves_is_the_only_one():
    """Raise, turn, extend, lower, line up: each rule binds two neighbours."""
    row = Q["q8"].table()[0]
    assert Q["q8"].right_orders(row) == [("raise", "rotate", "extend", "lower", "line-up")]


def test_up_stream_is_counted_with_the_weight():
    """By hand: 252.5 lbf × 0.5 × 40 ft = 5,050 lbf ft down; 6,000 lb × 18 ft = 108,000."""
    row = {"weight": 6000, "centre": 45, "out": 40, "lbf": 252.5, "up": 30}
    assert Q["q6"].value(row) == pytest.approx(113_050, abs=1)


FRONT = {
    "device": "Ladder 9", "turntable": 7.5, "below": 7, "out": 38, "nozzle": 2.9, "away": 15,
    "deep": 13,
}  # fmt: skip
ENTRY = next(r for r in Q["q3"].table() if (r["device"], r["way"]) == ("Tower 3", "up"))
BORROWED = next(r for r in Q["q3"].table() if r["entered"] is None)
ONE_ABLE = {"less": "Ladder 9", "less_up": 10, "more": "Tower 3", "more_up": 45, "needed": 28}
NONE_ABLE = {**ONE_ABLE, "needed": 53}
BOTH_ABLE = {**ONE_ABLE, "needed": 8}
RISE = {
    "device": "Ladder 9", "turntable": 7.5, "up": 10, "wanted": 18, "out": 41, "slip": "wrong-angle",
}  # fmt: skip
STANDS = {**RISE, "slip": "turntable-left-out"}
OVER = {**RISE, "slip": "from-the-ceiling"}
LEVEL = {"weight": 4600, "centre": 40, "out": 38, "lbf": 283, "up": 29}
LADDERS = {"long": 90, "short": 40, "long_lbf": 470, "short_lbf": 250}
MOVES = {"device": "Tower 3"}

# question, row, as typed, the note it must earn. By hand: 9.1 ft up over 28 ft is tan 0.325, 18.0
# deg, and 7 more from the ladder's line. 41 sin 8° = 5.71, with 7.5 it is 13.2, over 9 it is 4.2 ft.
# 4,600 × 15.2 = 69,920; 283 sin 29° = 137.2, × 38 = 5,214. (90/40)³ × 470/250 = 11.39 × 1.88 = 21.4.
TYPED = [
    ("q1", FRONT, "18 deg", "right"),
    ("q1", FRONT, "18°", "right"),
    ("q1", FRONT, "about 18.3 degrees", "right"),
    ("q1", FRONT, "18", "no-unit/right"),
    ("q1", FRONT, "18 ft", "wrong-kind"),
    ("q1", FRONT, "35 deg", "mistake/standoff-forgotten"),
    ("q1", FRONT, "31 deg", "mistake/depth-forgotten"),
    ("q1", FRONT, "23 deg", "mistake/nozzle-height-forgotten"),
    ("q1", FRONT, "9 deg", "mistake/turntable-for-nozzle"),
    ("q1", FRONT, "12.3 deg", "mistake/head-for-ceiling"),
    ("q1", FRONT, "72 deg", "mistake/turned-round"),
    ("q1", FRONT, "32.5 deg", "mistake/percent-for-degrees"),
    ("q1", FRONT, "11 deg", "mistake/ladder-taken-off"),
    ("q1", FRONT, "25 deg", "mistake/ladder-put-on"),
    ("q2", FRONT, "25 deg", "right"),
    ("q2", FRONT, "18 deg", "mistake/ladder-forgotten"),
    ("q2", FRONT, "11 deg", "mistake/minus-forgotten"),
    ("q2", FRONT, "32 deg", "mistake/ladder-twice"),
    ("q2", FRONT, "7 deg", "mistake/ladder-alone"),
    ("q3", ENTRY, "45 deg", "right"),
    ("q3", ENTRY, "10 deg", "mistake/another-rig"),
    ("q3", ENTRY, "120 deg", "mistake/the-other-way"),
    ("q3", ENTRY, "60°", "mistake/to-the-side"),
    ("q3", ENTRY, "not entered", "mistake/not-found"),
    ("q3", BORROWED, "not entered", "right"),
    ("q3", BORROWED, "33 deg", "mistake/no-line"),
    ("q4", ONE_ABLE, "A", "right"),
    ("q4", ONE_ABLE, "b", "mistake/only-the-shorter-travel"),
    ("q4", ONE_ABLE, "C)", "mistake/either"),
    ("q4", ONE_ABLE, "E", "mistake/raise-the-ladder"),
    ("q4", NONE_ABLE, "D", "right"),
    ("q4", NONE_ABLE, "A", "mistake/only-the-longer-travel"),
    ("q4", BOTH_ABLE, "C", "right"),
    ("q4", BOTH_ABLE, "D", "mistake/neither"),
    ("q5", RISE, "step 2; 5.7 ft", "right"),
    ("q5", RISE, "2; 5.71 ft", "right"),
    ("q5", RISE, "step 2", "step-only"),
    ("q5", RISE, "step 3; 13.2 ft", "mistake/blamed-height"),
    ("q5", RISE, "step 2; 40.6 ft", "number/mistake/cosine-for-sine"),
    ("q5", STANDS, "step 3; 13.2 ft", "right"),
    ("q5", STANDS, "step 3; 5.7 ft", "number/mistake/wrong-again"),
    ("q5", STANDS, "step 3; 1.8 ft", "number/mistake/turntable-taken-away"),
    ("q5", OVER, "step 4; 4.2 ft", "right"),
    ("q5", OVER, "step 4; 13.2 ft", "number/mistake/from-the-ground"),
    ("q6", LEVEL, "75,130 lbf ft", "right"),
    ("q6", LEVEL, "75100 ft-lb", "right"),
    ("q6", LEVEL, "64,700 lbf ft", "mistake/stream-lifts"),
    ("q6", LEVEL, "69,920 lbf ft", "mistake/stream-forgotten"),
    ("q6", LEVEL, "5214 lbf ft", "mistake/weight-forgotten"),
    ("q6", LEVEL, "180,000 lbf ft", "mistake/weight-at-the-tip"),
    ("q6", LEVEL, "92,600 lbf ft", "mistake/weight-half-way"),
    ("q6", LEVEL, "4737 lbf ft", "mistake/arms-forgotten"),
    ("q7", LADDERS, "21.4", "right"),
    ("q7", LADDERS, "21 times", "right"),
    ("q7", LADDERS, "4.23", "mistake/length-alone"),
    ("q7", LADDERS, "9.5 times", "mistake/length-squared"),
    ("q7", LADDERS, "11.4", "mistake/load-forgotten"),
    ("q7", LADDERS, "1.88", "mistake/lengths-forgotten"),
    ("q8", MOVES, "B A C D E", "broken/raise-before-rotate"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "row", "typed", "note"), TYPED)
def test_typed_answer_earns_its_note(name, row, typed, note):
    """What crews type, each with the note that the instructor must see."""
    if name == "q8":  # in an order of its own, so that letters stand for known steps
        shown = [step for step, _ in Q["q8"].laid_out(row)]
        known = dict(zip("ABCDE", ("raise", "rotate", "extend", "lower", "line-up"), strict=True))
        typed = " ".join("ABCDE"[shown.index(known[letter])] for letter in typed.split())
    assert Q[name].judge(row, typed).note == f"{PAPER.name}-{name}/{note}"


def test_slip_in_the_pitch_costs_once():
    """35 deg by leaving out the way to the window: 42 deg from the ladder's line is right from there."""
    found = Q["q2"].judge(FRONT, "42 deg", {"low-level-shops-q1": "35 deg"})
    assert found.note.endswith("/carried") and found.right


def test_department_with_one_ladder_falls_back_to_the_demo():
    """Two unlike nozzles are needed to choose between rigs; a department with one still gets it."""
    from aerialstream.department import DEMO_FOLDER, load_department

    demo = load_department(DEMO_FOLDER)
    one = demo.model_copy(update={"apparatus": demo.apparatus[:1]})
    for question in PAPER.questions:
        assert question.table(one)
