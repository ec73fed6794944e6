"""The assignment on what the water meets: right answers worked out anew, and answers as typed.

Everything expected here follows from lines in a right triangle (rise over run is the tangent), from
areas, and from 8.34 lb to the US gallon (231 cubic inches of water at 62.4 lb a cubic foot); nothing
is taken from the kit.
"""

from math import atan2, degrees, radians, tan

import pytest

from gradekit.papers import what_the_water_meets as paper

FIRST, AT_WALL, INSIDE, GRAZING, SWEPT, WHERE, STAYS, IN_ORDER = paper.PAPER.questions
POUNDS_PER_GALLON = 62.4 * 231 / 12**3  # 8.342


def climb(row):
    """Feet that a straight line climbs on its way to the wall."""
    return row["away"] * tan(radians(row["deg"]))


def first_met(row):
    """What the line meets, by its height at the wall."""
    at_wall, top = row["tip"] + climb(row), row["view"].parapet_tops_ft[0]
    if at_wall > top:
        return "roof"
    if at_wall < row["sill"]:
        return "below"
    if at_wall > row["head"]:
        return "above"
    rises = (row["ceiling"] - at_wall) / tan(radians(row["deg"]))
    return "ceiling" if 0 < rises < row["deep"] else "floor"


@pytest.mark.parametrize("row", FIRST.table(), ids=lambda row: f"{row['place']} {row['tip']}")
def test_first_surface_follows_from_the_height_at_the_wall(row):
    (right,) = [option.name for option in FIRST.options if option.is_right(row)]
    assert right == first_met(row)


def test_every_first_surface_is_dealt():
    assert {row["met"] for row in FIRST.table()} == {"roof", "below", "above", "ceiling", "floor"}


@pytest.mark.parametrize(
    ("question", "right"),
    [
        (AT_WALL, lambda row: row["tip"] + climb(row)),
        (
            INSIDE,
            lambda row: (row["ceiling"] - row["tip"]) / tan(radians(row["deg"])) - row["away"],
        ),
        (
            GRAZING,
            lambda row: degrees(atan2(row["ceiling"] - row["tip"], row["away"] + row["inside"])),
        ),
        (
            SWEPT,
            lambda row: row["gpm"] * (row["wide"] * row["deep"]) / (row["over"] * row["by"]),
        ),
        (
            STAYS,
            lambda row: row["gpm"] * row["minutes"] * POUNDS_PER_GALLON * (10 - row["off"]) / 10,
        ),
    ],
    ids=lambda part: getattr(part, "id", ""),
)
def test_right_answers_worked_out_anew(question, right):
    """The pounds of a gallon as said (8.34) and as derived (8.342) differ by 0.02 percent."""
    assert len(question.table()) >= 10
    for row in question.table():
        assert question.value(row) == pytest.approx(right(row), rel=3e-4), row


@pytest.mark.parametrize("row", AT_WALL.table(), ids=lambda row: f"{row['place']} {row['tip']}")
def test_streams_that_are_said_to_clear_do_clear(row):
    """The line passes sill and head with half a foot to spare, also on the inner face."""
    for behind in (0, row["view"].wall_thickness_ft):
        height = row["tip"] + climb(row) + behind * tan(radians(row["deg"]))
        assert row["sill"] + 0.5 < height < row["head"] - 0.5
    assert row["away"] + INSIDE.value(row) < paper.FARTHEST_FT


def test_no_stream_is_asked_for_where_the_department_forbids_one():
    """The containers of the drill ground have limits of their own; no row is about them."""
    from aerialstream.buildings import buildings_of
    from gradekit.questions.asked import department_in_use

    department = department_in_use()
    limited = {b.name for b in buildings_of(department) if b.own_limits}
    assert limited
    for question in (FIRST, AT_WALL, GRAZING):
        assert not limited & {row["building"] for row in question.table()}


def test_no_device_is_asked_for_a_pitch_that_its_nozzle_hardly_has():
    """Ladder 9's nozzle moves up 10 degrees only."""
    dealt = {row["rig"] for q in (FIRST, AT_WALL, GRAZING) for row in q.table()}
    assert dealt == {"Tower 3", "Platform 2"}


def test_where_to_put_it_by_scene():
    """Common practice, no source: into what is open and leads to the fire, never on a sound roof."""
    best = ["opening", "hole", "opening", "hole", "opening"]
    for row, expected in zip(WHERE.table(), best, strict=True):
        assert [o.name for o in WHERE.options if o.is_right(row)] == [expected]


# The window on side A of the mill with its sill at 15 ft, head 21 ft, ceiling 23 ft.
CLIMB = {"sill": 15, "away": 15, "tip": 12.5, "deg": 25}
# The same window: nozzle 15 ft up and 10 ft out, strike seen 8 ft inside: atan(8/18) = 24.0 deg.
# Its slope, 44.4 percent, lies within a degree of atan(8/8) = 45 deg, so those two are asked after.
STRIKE = {"ceiling": 23, "away": 10, "tip": 15, "inside": 8}
# A floor up: atan(12/23) = 27.6 deg; outside only atan(12/12), inside only atan(12/11) = 47.5 deg.
HIGHER = {"ceiling": 37, "away": 12, "tip": 25, "inside": 11}
HOLE = {"gpm": 1000, "over": 60, "by": 20, "wide": 12, "deep": 10}  # a tenth: 100 gpm
WET = {"gpm": 800, "minutes": 15, "off": 6}  # 12,000 gal, 4,800 stay: 40,032 lb


def row_with(question, values):
    """The one row that has these values."""
    found = [r for r in question.table() if all(r[k] == v for k, v in values.items())]
    return found[0]


@pytest.mark.parametrize(
    ("question", "values", "typed", "note"),
    [
        (AT_WALL, CLIMB, "19.5 ft", "right"),
        (AT_WALL, CLIMB, "19' 6\"", "right"),
        (AT_WALL, CLIMB, "about 5.94 m", "right"),
        (AT_WALL, CLIMB, "19.5", "no-unit/right"),
        (AT_WALL, CLIMB, "7 feet", "mistake/tip-height-forgotten"),
        (AT_WALL, CLIMB, "5.5 ft", "mistake/climb-taken-off"),
        (AT_WALL, CLIMB, "18.84ft", "mistake/sine-for-tangent"),
        (AT_WALL, CLIMB, "26.1 ft", "mistake/cosine"),
        (AT_WALL, CLIMB, "44.7 ft", "mistake/tangent-divided"),
        (AT_WALL, CLIMB, "16 ft 3 in", "mistake/degrees-as-percent"),
        (AT_WALL, CLIMB, "27 1/2 ft", "mistake/way-added"),
        (AT_WALL, CLIMB, "10.5 ft", "mistake/degrees-as-radians"),
        (AT_WALL, CLIMB, "19.5 psi", "wrong-kind"),
        (INSIDE, CLIMB, "7 ft 6 in", "right"),
        (INSIDE, CLIMB, "22.5 ft", "mistake/from-the-nozzle"),
        (INSIDE, CLIMB, "1.6 ft", "mistake/tangent-multiplied"),
        (INSIDE, CLIMB, "3.5 ft", "mistake/rise-for-way"),
        (INSIDE, CLIMB, "23.6'", "mistake/ceiling-from-its-floor"),
        (GRAZING, STRIKE, "24°", "right"),
        (GRAZING, STRIKE, "24 degrees", "right"),
        (GRAZING, STRIKE, "45 deg", "mistake/inside-only/or/percent-for-degrees"),
        (GRAZING, HIGHER, "27.6 deg", "right"),
        (GRAZING, HIGHER, "62.5 deg", "mistake/square-on"),
        (GRAZING, HIGHER, "45 deg", "mistake/outside-only"),
        (GRAZING, HIGHER, "47.5°", "mistake/inside-only"),
        (GRAZING, HIGHER, "52.2 deg", "mistake/percent-for-degrees"),
        (GRAZING, HIGHER, "0.481 deg", "mistake/radians-for-degrees"),
        (SWEPT, HOLE, "100 gpm", "right"),
        (SWEPT, HOLE, "110 gpm", "right"),
        (SWEPT, HOLE, "1000 gpm", "mistake/all-of-it"),
        (SWEPT, HOLE, "900 gpm", "mistake/what-runs-off"),
        (SWEPT, HOLE, "200 gpm", "mistake/along-only"),
        (STAYS, WET, "40,000 lbs", "right"),
        (STAYS, WET, "40032 lb", "right"),
        (STAYS, WET, "100,000 lb", "mistake/nothing-runs-off"),
        (STAYS, WET, "60,048 lb", "mistake/what-ran-off"),
        (STAYS, WET, "4,800 lb", "mistake/gallons-for-pounds"),
        (STAYS, WET, "2,669 lb", "mistake/one-minute-only"),
        (STAYS, WET, "299,520 lb", "mistake/cubic-foot-for-gallon"),
    ],
)
def test_typical_answers_as_typed(question, values, typed, note):
    outcome = question.judge(row_with(question, values), typed)
    assert outcome.note == f"{question.id}/{note}", outcome.message


def test_depth_inside_from_an_own_slipped_height_costs_once():
    """With the sine the height was 18.84 ft; from there (23 - 18.84) / tan 25 deg = 8.92 ft."""
    row = row_with(AT_WALL, CLIMB)
    outcome = INSIDE.judge(row, "8.92 ft", {AT_WALL.id: "18.84 ft"})
    assert outcome.note == f"{INSIDE.id}/carried" and outcome.points == outcome.most


@pytest.mark.parametrize(
    ("order", "note"),
    [
        (("choose", "clear", "aim", "open", "watch"), "right"),
        (("clear", "choose", "aim", "open", "watch"), "right"),
        (("choose", "aim", "clear", "open", "watch"), "right"),
        (("choose", "aim", "open", "clear", "watch"), "broken/clear-before-open"),
        (("clear", "choose", "open", "aim", "watch"), "broken/aim-before-open"),
    ],
)
def test_order_of_the_first_stream(order, note):
    row = IN_ORDER.variants()[0]
    letters = {name: "ABCDE"[n] for n, (name, _) in enumerate(IN_ORDER.laid_out(row))}
    outcome = IN_ORDER.judge(row, " ".join(letters[name] for name in order))
    assert outcome.note == f"{IN_ORDER.id}/{note}"
