"""The assignment on openings, sweep and ceiling: right answers worked out anew, answers as typed.

Everything expected here follows from lines in a right triangle (rise over run is the tangent);
nothing is taken from the kit.
"""

from math import atan2, degrees, radians, tan

import pytest

from gradekit.papers import openings_sweep_and_ceiling as paper

STEEPEST, NEXT_ONE, NEXT, WHICH_WAY, TILE, ON_FLOOR, AIM, UNDER_SLAB = paper.PAPER.questions


def steepest(row):
    """Degrees of the line through a point one foot under the head."""
    return degrees(atan2(row["head"] - 1 - row["tip"], row["away"]))


def strikes(row):
    """Feet inside by similar triangles: rise inside is to rise outside as way inside to way out."""
    outside = row["head"] - 1 - row["tip"]
    return row["away"] * (row["ceiling"] - row["head"] + 1) / outside


RIGHT = {
    STEEPEST: steepest,
    NEXT_ONE: lambda row: 90 - degrees(atan2(row["away"], row["along"])),
    TILE: lambda row: (row["deck"] - row["ceiling"]) / tan(radians(row["deg"])),
    ON_FLOOR: lambda row: (row["tip"] - row["floor"]) / tan(radians(row["deg"])) - row["away"],
}


@pytest.mark.parametrize(
    ("question", "right"), RIGHT.items(), ids=lambda part: getattr(part, "id", "")
)
def test_right_answers_worked_out_anew(question, right):
    assert len(question.table()) >= 10
    for row in question.table():
        assert question.value(row) == pytest.approx(right(row), rel=1e-6), row


@pytest.mark.parametrize("row", STEEPEST.table(), ids=lambda row: f"{row['place']} {row['tip']}")
def test_steepest_line_also_clears_the_head_inside(row):
    """A thick wall: the line still passes under the head on the inner face, and over the sill."""
    slope = tan(radians(steepest(row)))
    assert row["head"] - 1 + row["view"].wall_thickness_ft * slope < row["head"]
    assert row["head"] - 1 > row["sill"] + 1
    assert row["away"] + strikes(row) < paper.FARTHEST_FT and steepest(row) <= 35


@pytest.mark.parametrize("row", ON_FLOOR.table(), ids=lambda row: f"{row['place']} {row['tip']}")
def test_swept_floor_is_reached_through_the_opening(row):
    for behind in (0, row["view"].wall_thickness_ft):
        height = row["tip"] - (row["away"] + behind) * tan(radians(row["deg"]))
        assert row["sill"] + 0.5 < height < row["head"] - 0.5
    assert RIGHT[ON_FLOOR](row) < row["deep"]


def line_ends(row):
    """By its height where it passes the edge of the slab."""
    slab, aim = row["slab"], (row["sill"] + row["head"]) / 2
    at_edge = aim + (row["tip"] - aim) * slab.projection_ft / row["away"]
    if at_edge < slab.underside_ft:
        return "in"
    return "top" if at_edge > slab.top_ft else "edge"


@pytest.mark.parametrize("row", UNDER_SLAB.table(), ids=lambda row: f"{row['away']} {row['tip']}")
def test_line_past_the_slab_ends_where_its_height_at_the_edge_says(row):
    (right,) = [option.name for option in UNDER_SLAB.options if option.is_right(row)]
    assert right == line_ends(row)


def test_every_end_at_the_slab_is_dealt():
    assert {row["met"] for row in UNDER_SLAB.table()} == {"in", "top", "edge"}


def test_steep_flat_or_floor_by_scene():
    """By the trend of a jet on a plate: flat, most runs on forward; steep, more comes down near."""
    best = ["steep", "steep", "flat", "flat", "floor", "floor"]
    for row, expected in zip(WHICH_WAY.table(), best, strict=True):
        assert [o.name for o in WHICH_WAY.options if o.is_right(row)] == [expected]


# The window on side A of the mill: sill 15 ft, head 21 ft, ceiling 23 ft, floor 12 ft.
# Nozzle 14 ft up and 20 ft out: 6 up in 20, 16.7 deg; 3 ft more up take 10 ft.
WINDOW = {"sill": 15, "away": 20, "tip": 14}
# 16 ft out, 12 ft along: 3, 4, 5. Tables of the right triangle give 36.87 and 53.13 deg; the sine of
# 48.59 and the cosine of 41.41 deg are 3/4; half of the way along is 6 in 16, 20.56 deg.
THREE_FOUR_FIVE = {"away": 16, "along": 12}
# A shop front: tile at 10 ft, deck at 12 ft, up at 20 deg: 2 / tan 20 = 5.495 ft.
SHOP = {"deg": 20, "away": 11, "tip": 3.5}
# The window: nozzle 22 ft up, 12 ft out, 18 deg down: 10 / tan 18 - 12 = 18.78 ft.
DOWN = {"sill": 15, "away": 12, "tip": 22, "deg": 18}


def row_with(question, values):
    """The first row that has these values."""
    return next(r for r in question.table() if all(r[k] == v for k, v in values.items()))


@pytest.mark.parametrize(
    ("question", "values", "typed", "note"),
    [
        (STEEPEST, WINDOW, "16.7°", "right"),
        (STEEPEST, WINDOW, "17 degrees", "right"),
        (STEEPEST, WINDOW, "16.7", "no-unit/right"),
        (STEEPEST, WINDOW, "19.3 deg", "mistake/spare-foot-forgotten"),
        (STEEPEST, WINDOW, "21.8 deg", "mistake/spare-foot-added"),
        (STEEPEST, WINDOW, "45 deg", "mistake/nozzle-on-the-ground"),
        (STEEPEST, WINDOW, "24.2 deg", "mistake/ceiling-for-head"),
        (STEEPEST, WINDOW, "73.3 deg", "mistake/from-the-plumb-line"),
        (STEEPEST, WINDOW, "30 deg", "mistake/percent-for-degrees"),
        (NEXT_ONE, THREE_FOUR_FIVE, "36.9 deg", "right"),
        (NEXT_ONE, THREE_FOUR_FIVE, "37°", "right"),
        (NEXT_ONE, THREE_FOUR_FIVE, "36.9", "no-unit/right"),
        (NEXT_ONE, THREE_FOUR_FIVE, "53.1 deg", "mistake/way-along-and-out-swapped"),
        (NEXT_ONE, THREE_FOUR_FIVE, "48.6 degrees", "mistake/sine-for-tangent"),
        (NEXT_ONE, THREE_FOUR_FIVE, "41.4 deg", "mistake/cosine-for-tangent"),
        (NEXT_ONE, THREE_FOUR_FIVE, "75 deg", "mistake/percent-for-degrees"),
        (NEXT_ONE, THREE_FOUR_FIVE, "0.644 deg", "mistake/radians-for-degrees"),
        (NEXT_ONE, THREE_FOUR_FIVE, "12 deg", "mistake/feet-for-degrees"),
        (NEXT_ONE, THREE_FOUR_FIVE, "20.6 deg", "mistake/halfway"),
        (NEXT_ONE, THREE_FOUR_FIVE, "73.7 deg", "mistake/to-and-fro"),
        (TILE, SHOP, "5 1/2 ft", "right"),
        (TILE, SHOP, "2 ft", "mistake/rise-for-way"),
        (TILE, SHOP, "0.73 ft", "mistake/tangent-multiplied"),
        (TILE, SHOP, "5.85 ft", "mistake/sine-for-tangent"),
        (TILE, SHOP, "33 ft", "mistake/deck-from-the-ground"),
        (TILE, SHOP, "23.4 ft", "mistake/from-the-nozzle"),
        (ON_FLOOR, DOWN, "18.8 ft", "right"),
        (ON_FLOOR, DOWN, "30.8 ft", "mistake/from-the-nozzle"),
        (ON_FLOOR, DOWN, "42.8 ft", "mistake/way-added"),
        (ON_FLOOR, DOWN, "55.7 ft", "mistake/ground-for-floor"),
        (ON_FLOOR, DOWN, "3.25 ft", "mistake/tangent-multiplied"),
        (ON_FLOOR, DOWN, "18.8 gpm", "wrong-kind"),
    ],
)
def test_typical_answers_as_typed(question, values, typed, note):
    outcome = question.judge(row_with(question, values), typed)
    assert outcome.note == f"{question.id}/{note}", outcome.message


# Window on side A of the mill, sill 15, head 21, ceiling 23; 14 ft out, strike 8 to 12 ft inside.
# Tip 14 ft, 22 deg: 19.66 ft at the wall, 3.34 / tan 22 = 8.3 ft inside.
@pytest.mark.parametrize(
    ("typed", "note"),
    [
        ("14 ft; 22 deg", "right"),
        ("15.5 ft; 17°", "right"),
        ("14 ft; 28 deg", "missed/through-the-opening/and/not-too-near"),
        ("13 ft; 25 deg", "missed/not-too-near"),
        ("15 ft; 15 deg", "missed/not-too-far"),
        ("14 ft; -10 deg", "missed/through-the-opening/and/not-too-near/and/not-too-far"),
        ("14 ft", "unreadable"),
    ],
)
def test_aims_as_typed(typed, note):
    row = row_with(AIM, {"sill": 15, "away": 14, "near": 8})
    assert AIM.judge(row, typed).note == f"{AIM.id}/{note}"


@pytest.mark.parametrize(
    ("order", "note"),
    [
        (("clear", "line-up", "open", "watch", "move"), "right"),
        (("line-up", "clear", "open", "watch", "move"), "right"),
        (("clear", "open", "line-up", "watch", "move"), "broken/line-up-before-open"),
        (("clear", "line-up", "open", "move", "watch"), "broken/watch-before-move"),
    ],
)
def test_order_from_opening_to_opening(order, note):
    row = NEXT.variants()[0]
    letters = {name: "ABCDE"[n] for n, (name, _) in enumerate(NEXT.laid_out(row))}
    outcome = NEXT.judge(row, " ".join(letters[name] for name in order))
    assert outcome.note == f"{NEXT.id}/{note}"
