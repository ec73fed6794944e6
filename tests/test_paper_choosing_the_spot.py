"""The paper on choosing the spot: right answers worked out anew, and answers as crews type them.

Everything here is trigonometry on the numbers as shown, written down without the kit: the reach of
the tip is x_h + L cos θ, its height h + L sin θ, and a collapse zone is a multiple of the wall's height (the
multiple is what command says in the question).
"""

from itertools import permutations
from math import atan2, cos, degrees, dist, hypot, pi, radians, sin

import pytest
from paper_rows import DEMO, note, row_of

from gradekit.questions import papers

PAPER = papers()["choosing-the-spot"]
REACH, LENGTH, ELEVATION, SCRUB, SPOT, ORDER, PLACE, FAULT = PAPER.questions


# --- right answers, worked out anew ---------------------------------------------------------------


def test_reach_is_the_level_side_of_the_triangle():
    """Level part by the cosine, plus where the heel pin lies."""
    for row in REACH.table(DEMO):
        level = row["heel"] + row["out"] * sin(pi / 2 - radians(row["deg"]))
        assert REACH.value(row) == pytest.approx(level, rel=1e-9)


def test_reach_takes_the_heel_pin_from_the_department():
    """Tower 3: 2 ft behind; Ladder 9: 18 in behind (apparatus.toml)."""
    assert {(row["rig"], row["heel"]) for row in REACH.table(DEMO)} == {
        ("Tower 3", -2.0),
        ("Ladder 9", -1.5),
    }


def test_length_is_the_distance_between_two_points():
    """Heel pin at the turntable's height, tip at its place."""
    for row in LENGTH.table(DEMO):
        heel, tip = (0.0, row["turntable"]), (row["wall"] - row["standoff"], row["up"])
        assert LENGTH.value(row) == pytest.approx(dist(heel, tip), rel=1e-9)


def test_length_and_elevation_put_the_tip_where_it_was_wanted():
    """The two right answers together lead back to the place in the question."""
    for row in LENGTH.table(DEMO):
        out, theta = LENGTH.value(row), radians(ELEVATION.value(row))
        assert row["turntable"] + out * sin(theta) == pytest.approx(row["up"], abs=1e-6)
        assert row["wall"] - out * cos(theta) == pytest.approx(row["standoff"], abs=1e-6)


@pytest.mark.published
def test_scrub_of_the_reference_case():
    """Ladder of 95 ft, wall 35 ft off, 30 ft up, turntable 8 ft: 85.5 ft each way (worked by hand:
    95² - 22² - 35² = 9025 - 484 - 1225 = 7316, root 85.53)."""
    row = {"rig": "", "turntable": 8.0, "most": 95.0, "wall": 35, "up": 30}
    assert SCRUB.right(row) == pytest.approx(85.53, abs=0.01)


def test_scrub_reaches_with_all_of_the_ladder_and_no_more():
    """From the turntable to that point on the wall is just the whole length, in three dimensions."""
    for row in SCRUB.table(DEMO):
        point = (SCRUB.value(row), row["wall"], row["up"] - row["turntable"])
        assert dist((0, 0, 0), point) == pytest.approx(row["most"], rel=1e-9)


def test_order_has_one_right_order():
    """The chain leaves no freedom: of 720 orders one breaks no rule."""
    ids = [name for name, _ in ORDER.steps({})]
    assert [list(p) for p in permutations(ids) if not ORDER.faults({}, p)] == [ids]


def test_place_found_meets_the_words_of_the_question():
    """Zone of one and a half times the parapet's top; tip height and ladder as the words have them."""
    for row in PLACE.table(DEMO):
        plan = PLACE.found(row)
        theta = radians(plan["elevation"])
        gap = plan["turntable to wall"] - plan["length out"] * cos(theta)
        up = row["turntable"] + plan["length out"] * sin(theta)
        assert 1.5 * row["top"] <= gap <= 1.5 * row["top"] + 20
        assert row["sill"] <= up <= row["sill"] + 12
        assert row["least"] <= plan["length out"] <= row["cap"]


def test_fault_number_is_the_plain_trigonometry():
    """The number that belongs there, from the numbers above it as they stand."""
    for row in FAULT.table(DEMO):
        theta = radians(row["deg"])
        shown = {name: text for name, text in FAULT.steps(row)}
        level = round(row["out"] * cos(theta), 1)
        want = {
            "rise": row["out"] * sin(theta),
            "height": round(row["out"] * sin(theta), 1) + row["turntable"],
            "level": row["out"] * cos(theta),
            "gap": row["wall"] - level,
        }[row["fault"]]
        assert FAULT.number.value(row) == pytest.approx(want, rel=1e-9)
        assert f"{want:.1f} ft" not in shown[row["fault"]]


# --- answers as they are typed ---------------------------------------------------------------------


TOWER = {"rig": "Tower 3", "out": 75, "deg": 55}  # level 43.02, rise 61.44


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("41.0 ft", "right"),
        ("41 feet", "right"),
        ("41'", "right"),
        ("12.5 m", "right"),
        ("about 41 ft", "right"),
        ("75 ft", "mistake/length-as-reach"),
        ("59.4 ft", "mistake/sine-for-cosine"),
        ("43 ft", "mistake/heel-forgotten"),
        ("45 ft", "mistake/heel-the-wrong-way"),
        ("49 ft", "mistake/turntable-height-added"),
        ("105 ft", "mistake/tangent"),
        ("41", "no-unit/right"),
        ("41 in", "unit-label"),
        ("410 ft", "off-by-ten"),
        ("41 deg", "wrong-kind"),
        ("", "blank"),
        ("far enough", "unreadable"),
    ],
)
def test_reach_typed_answers(text, branch):
    """Tower 3, 75 ft out at 55 degrees, heel pin 2 ft behind: 75 cos 55° - 2 = 41.02 ft."""
    assert note(REACH, row_of(REACH, **TOWER), text) == branch


PLACED = {"rig": "Tower 3", "wall": 80, "standoff": 20, "up": 50}  # level 60, rise 42


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("73.2 ft", "right"),
        ("73 ft 3 in", "right"),
        ("78.1 ft", "mistake/turntable-forgotten"),
        ("83.5 ft", "mistake/turntable-added"),
        ("90.4 ft", "mistake/standoff-forgotten"),
        ("108.5 ft", "mistake/standoff-added"),
        ("102 ft", "mistake/sides-added"),
        ("60 ft", "mistake/level-distance-only"),
        ("50 ft", "mistake/height-as-length"),
    ],
)
def test_length_typed_answers(text, branch):
    """√(60² + 42²) = 73.24 ft."""
    assert note(LENGTH, row_of(LENGTH, **PLACED), text) == branch


@pytest.mark.parametrize(
    ("text", "first", "branch"),
    [
        ("35 deg", "73.2 ft", "right"),
        ("35°", "", "right"),
        ("55 degrees", "73.2 ft", "mistake/cosine-for-sine"),
        ("29.8 deg", "73.2 ft", "mistake/tangent-for-sine"),
        ("43 deg", "73.2 ft", "mistake/turntable-forgotten"),
        ("51.6 deg", "73.2 ft", "mistake/share-of-ninety"),
        ("27.7 deg", "90.4 ft", "carried"),  # standoff forgotten before: asin(42 / 90.4) = 27.7
        ("24.3 deg", "102 ft", "carried"),  # sides added before: asin(42 / 102) = 24.3
        ("0.611 rad", "73.2 ft", "right"),
    ],
)
def test_elevation_typed_answers(text, first, branch):
    """asin(42 / 73.24) = 34.99 degrees; a slip in the length costs once."""
    row = row_of(LENGTH, **PLACED)
    assert note(ELEVATION, row, text, {LENGTH.id: first}) == branch


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("54.5 ft", "right"),
        ("63.4 ft", "mistake/height-forgotten"),
        ("49.2 ft", "mistake/turntable-forgotten"),
        ("67.6 ft", "mistake/distance-forgotten"),
        ("35 ft", "mistake/length-less-distance"),
        ("75 ft", "mistake/length-as-width"),
        ("109 ft", "mistake/both-sides"),
    ],
)
def test_scrub_typed_answers(text, branch):
    """Ladder 9: 75² - 32.5² - 40² = 2968.75, root 54.49 ft."""
    row = row_of(SCRUB, rig="Ladder 9", wall=40, up=40)
    assert note(SCRUB, row, text) == branch


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("corner", "right"),
        ("close-to-the-middle", "mistake/close-to-the-middle"),
        ("far-with-a-long-ladder", "mistake/far-with-a-long-ladder"),
        ("nozzle-turned-over", "mistake/nozzle-turned-over"),
    ],
)
def test_spot_every_layout_names_the_choice_by_its_reason(text, branch):
    """The letter changes from member to member; the note does not."""
    for row in SPOT.variants(DEMO):
        letter = "ABCD"[[o.name for o in SPOT.laid_out(row)].index(text)]
        assert note(SPOT, row, f"{letter.lower()})") == branch


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        # cap 70, parapet 40, sill 27, turntable 8: 60 ft at 25 deg is 54.4 out and 33.4 up.
        ("125 ft; 60 ft; 25 deg", "right"),
        ("115 ft; 60 ft; 25 deg", "right"),
        ("elevation 25 deg; length out 60 ft; turntable to wall 125 ft", "right"),
        ("38 m; 18.3 m; 25 deg", "right"),
        ("90 ft; 60 ft; 25 deg", "missed/tip-in-the-zone"),
        ("60 ft; 60 ft; 25 deg", "missed/tip-in-the-zone"),  # the truck is out, the tip is not
        ("150 ft; 60 ft; 25 deg", "missed/tip-too-far"),
        ("128 ft; 60 ft; 10 deg", "missed/tip-height"),
        ("110 ft; 60 ft; 45 deg", "missed/tip-height"),
        ("146 ft; 85 ft; 16 deg", "missed/ladder"),
        (
            "60 ft; 85 ft; 45 deg",
            "missed/tip-in-the-zone/and/tip-too-far/and/tip-height/and/ladder",
        ),
        ("125 ft; 60 ft", "unreadable"),
        ("125; 60 ft; 25 deg", "unreadable"),
    ],
)
def test_place_typed_plans(text, branch):
    """A plan is judged by where it puts the tip, whatever its numbers are."""
    row = row_of(PLACE, rig="Tower 3", cap=70, top=40, sill=27)
    assert note(PLACE, row, text) == branch


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("step 5; 26.4 ft", "right"),
        ("5; 26 ft 5 in", "right"),
        ("step 5", "step-only"),
        ("step 5; 133.6 ft", "number/mistake/wrong-again"),
        ("step 4; 45 ft", "mistake/blamed-level"),
        ("step 2; 60 ft", "mistake/blamed-rise"),
        ("the last one", "unreadable"),
    ],
)
def test_fault_typed_answers(text, branch):
    """Tower 3, 70 ft at 40 degrees: 53.6 ft out, wall 80 ft away, 26.4 ft between them."""
    assert note(FAULT, row_of(FAULT, rig="Tower 3", out=70, fault="gap"), text) == branch


def test_length_rows_are_ladders_that_the_device_has():
    """Neither longer than the device's longest, nor shorter than all in, nor steeper than it goes."""
    for row in LENGTH.table(DEMO):
        level, rise = row["wall"] - row["standoff"], row["up"] - row["turntable"]
        assert row["least"] <= hypot(level, rise) <= row["most"]
        assert 30 <= degrees(atan2(rise, level)) <= row["highest"]
