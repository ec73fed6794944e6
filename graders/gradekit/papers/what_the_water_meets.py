"""Questions of the assignment on what the water meets.

Right answers come from `aerialstream`; each slip has its own wrong formula. Openings, rooms and
ceilings are those of the department's own buildings; where the nozzle stands is made up, always near
enough for a straight line to stand for the stream.
"""

from math import acos, asin, atan, cos, degrees, isfinite, radians, sin, tan

from aerialstream._core import aerials, spread, surfaces, water
from aerialstream.buildings import buildings_of
from aerialstream.errors import DepartmentDataError
from gradekit.questions import (
    Carried,
    Choice,
    Estimate,
    Option,
    Ordering,
    Paper,
    Question,
    Rule,
    Slip,
    broken_rules,
)

VERSION = "2026.1"
EXAMPLE = "Lesson 01, worked example, has the same steps."
PANEL = "Lesson 01 shows it: move the nozzle in the panel and watch what the stream meets first."
RECAP = "Lesson 01, recap: what a roof sheds and what an opening lets in."

# --- the department's own openings as rows ----------------------------------------------------

FARTHEST_FT = 32  # from the tip: up to here a straight line stands for the stream


MOST_UP_DEG = 35  # no question asks for a steeper pitch


def round_half(feet):
    """To half a foot, as one reads a tape from below."""
    return round(2 * feet) / 2


def feet(number):
    """Feet as they are shown: 12, 12.5, or 9.84 where somebody entered metres."""
    return f"{round(number, 2):g} ft"


def _looks_alike(row):
    return tuple(row[key] for key in ("place", "sill", "head", "floor", "ceiling", "kind"))


def _canopies_before(view):
    return [canopy for canopy in view.canopies if canopy.y0_ft < 2 and canopy.y1_ft > -2]


def openings(department, *, canopies=False):
    """One row for each kind of opening with a room behind it and a level ceiling.

    canopies   True gives those with a canopy, slab or platform before them; else those without

    Buildings with limits of the department's own are left out: no question may ask for a stream
    that such a limit forbids.
    """
    try:
        buildings = buildings_of(department)
    except DepartmentDataError:  # told by `department check`; the demo's rows are dealt meanwhile
        return ()
    found = {}
    for building in buildings:
        for opening in building.openings if not building.own_limits else ():
            view = building.room_of(opening.id)
            if bool(_canopies_before(view)) != canopies or view.room is None:
                continue
            if not isfinite(view.room.ceiling.height_ft):
                continue
            row = {
                "place": f"a {opening.kind} on side {opening.side} of {building.name}",
                "building": building.name,
                "sill": view.opening.sill_ft,
                "head": view.opening.head_ft,
                "floor": view.room.floor_ft,
                "ceiling": view.room.ceiling.height_ft,
                "kind": view.room.ceiling.kind,
                "deep": view.room.depth_ft,
                "view": view,
            }
            found.setdefault(_looks_alike(row), row)
    return tuple(found.values())


def _moves_up(device):
    return device.nozzle_travel.up.to("degree").magnitude >= MOST_UP_DEG + 5


def rigged(department, rows, shown):
    """The rows, each with the name of a device of the department.

    shown   keys that the question shows: of rows alike in all of them one is left
    Devices whose nozzle hardly moves up from the ladder's line get none: what they can aim at is
    the matter of another lesson.
    """
    names = [device.name for device in department.apparatus if _moves_up(device)]
    names = names or ["The aerial"]
    apart = {tuple(row[key] for key in ("place", *shown)): row for row in reversed(rows)}
    return tuple(
        {**row, "rig": names[n % len(names)]} for n, row in enumerate(reversed(apart.values()))
    )


def pitched(row):
    """The pitch in words."""
    return f"pitched {abs(row['deg'])} degrees {'up' if row['deg'] > 0 else 'down'}"


# --- 1. what it meets first -------------------------------------------------------------------

_MEETS = {
    "roof": "roof",
    "wall below the opening": "below",
    "wall above the opening": "above",
    "ceiling": "ceiling",
    "suspended tile": "ceiling",
    "floor": "floor",
    "far wall": "floor",
    "partition": "floor",
}


def _line(tip, away, deg):
    rise = tan(radians(deg))
    return ((-away, 0.0, tip), (100.0, 0.0, tip + (100 + away) * rise))


def _first(view, tip, away, deg):
    """What a straight line meets first; None for anything that is not among the choices."""
    strike = surfaces.first_strike(_line(tip, away, deg), view)
    if strike is None or strike.distance_along_ft > FARTHEST_FT + 8:
        return None
    return _MEETS.get(strike.surface)


def _clearly(view, tip, away, deg, met):
    """Whether a foot or a degree more or less changes nothing."""
    return all(
        _first(view, tip + up, away, deg + turn) == met for up in (-0.9, 0.9) for turn in (-1, 1)
    )


_LINES = ((12, -25), (16, 20), (20, -15), (10, 30), (12, -35), (20, 12), (10, 25), (16, -20))


def _tries(row):
    """(tip's height, distance from the wall, pitch) that might show each thing once."""
    top = row["view"].parapet_tops_ft[0]
    middle = (row["sill"] + row["head"]) / 2
    for away, deg in _LINES:
        for at_wall in (row["sill"] - 2, middle, row["head"] - 1.5, row["head"] + 2, top + 2.5):
            tip = round_half(at_wall - away * tan(radians(deg)))
            if tip >= 3:
                yield tip, away, deg


def _first_strikes(department):
    rows = []
    for number, row in enumerate(openings(department)):
        seen, tries = {}, list(_tries(row))
        start = 17 * number % len(tries)
        for tip, away, deg in tries[start:] + tries[:start]:
            met = _first(row["view"], tip, away, deg)
            if met and met not in seen and _clearly(row["view"], tip, away, deg, met):
                seen[met] = {**row, "tip": tip, "away": away, "deg": deg, "met": met}
        rows += [seen[met] for n, met in enumerate(sorted(seen)) if (n + number) % 5 < 3]
    return rigged(department, rows, ("sill", "head", "floor", "ceiling", "away", "tip", "deg"))


def _met(name):
    return lambda row: row["met"] == name


FIRST = Choice(
    id="what-the-water-meets-q1",
    title="What it meets first",
    variable="meets_first",
    points=1,
    rows_from=_first_strikes,
    ask=lambda row: (
        f"{row['rig']} works square to the wall at {row['place']}. The nozzle is {feet(row['away'])} "
        f"out from the wall and {feet(row['tip'])} above the ground, {pitched(row)}. Heights above "
        f"the ground: sill {feet(row['sill'])}, head {feet(row['head'])}, floor behind it "
        f"{feet(row['floor'])}, ceiling {feet(row['ceiling'])}, top of the wall "
        f"{feet(row['view'].parapet_tops_ft[0])}. Take the stream as a straight line. What does it "
        "meet first?"
    ),
    options=(
        Option(
            name="roof",
            text="The roof, from outside",
            reason="For that the line has to cross the front of the building above the top of the wall. "
            "An intact roof then sheds the water.",
            right=_met("roof"),
        ),
        Option(
            name="below",
            text="The wall, under the sill",
            reason="For that the line has to come to the wall lower than the sill. Such water runs down "
            "the front of the building.",
            right=_met("below"),
        ),
        Option(
            name="above",
            text="The wall, over the head",
            reason="For that the line has to come to the wall higher than the head, and lower than the "
            "top of the wall. Such water runs down the front of the building.",
            right=_met("above"),
        ),
        Option(
            name="ceiling",
            text="The ceiling, once it is inside",
            reason="For that the line has to pass between sill and head, and still be climbing.",
            right=_met("ceiling"),
        ),
        Option(
            name="floor",
            text="The floor or a wall of the room, once it is inside",
            reason="For that the line has to pass between sill and head, and not be climbing.",
            right=_met("floor"),
        ),
    ),
    reread=PANEL,
)

# --- 2. height at the wall; 3. how far inside it strikes --------------------------------------


def _climbs(department):
    """A nozzle below an opening, pitched up through it against the ceiling."""
    rows = []
    for row in openings(department):
        for away, deg in ((12, 20), (15, 25), (10, 30), (18, 15), (14, 18), (16, 22), (11, 28)):
            tip = round_half(row["head"] - 1.5 - away * tan(radians(deg)))
            at_wall = tip + away * tan(radians(deg))
            inside = (row["ceiling"] - at_wall) / tan(radians(deg))
            clears = row["sill"] + 1 < at_wall < row["head"] - 1 and tip >= 3
            if clears and 3 < inside < min(row["deep"] - 4, FARTHEST_FT - away):
                rows.append({**row, "tip": tip, "away": away, "deg": deg})
    return rigged(department, rows, ("sill", "head", "away", "tip", "deg"))


def _slope(row):
    return tan(radians(row["deg"]))


def _unless_near(right, wrong, share):
    """A slip's number, or None where it can hardly be told from the right one."""
    return None if abs(wrong - right) <= share * abs(right) else wrong


def _at_wall(row):
    crossing = surfaces.facade_crossing(_line(row["tip"], row["away"], row["deg"]))
    return crossing.point[2]


AT_WALL = Question(
    id="what-the-water-meets-q2",
    title="Height at the wall",
    variable="at_wall",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_climbs,
    keep=lambda row: INSIDE.fits(row),
    angles=("deg",),
    ask=lambda row: (
        f"{row['rig']}'s nozzle is {feet(row['away'])} out from {row['place']} and "
        f"{feet(row['tip'])} above the ground, {pitched(row)}, square to the wall. The sill is at "
        f"{feet(row['sill'])}, the head at {feet(row['head'])} above the ground. Taken as a straight "
        "line: how high above the ground is the stream when it comes to the wall? Answer in feet, "
        "within 1 percent."
    ),
    right=_at_wall,
    slips=(
        Slip(
            "tip-height-forgotten",
            lambda row: row["away"] * _slope(row),
            "That is how far the stream climbs on its way. It starts at the nozzle, not at the ground: "
            "add the nozzle's height, or you think that it strikes the wall.",
            0.5,
            did="leave out the height of the nozzle",
        ),
        Slip(
            "climb-taken-off",
            lambda row: row["tip"] - row["away"] * _slope(row),
            "The climb was taken off. The nozzle is pitched up: the stream comes to the wall higher than "
            "it left.",
            did="take the climb off",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _unless_near(
                _at_wall(row), row["tip"] + row["away"] * sin(radians(row["deg"])), 0.025
            ),
            "The sine was taken. It belongs to a length along the stream; the way to the wall is measured "
            "over the ground, so take the tangent.",
            0.5,
            did="take the sine",
        ),
        Slip(
            "cosine",
            lambda row: row["tip"] + row["away"] * cos(radians(row["deg"])),
            "The cosine was taken. How much a line climbs on its way over the ground is the tangent of its "
            "pitch.",
            did="take the cosine",
        ),
        Slip(
            "tangent-divided",
            lambda row: row["tip"] + row["away"] / _slope(row),
            "The way to the wall was divided by the tangent. A steeper stream climbs more, not less: "
            "multiply.",
            did="divide by the tangent",
        ),
        Slip(
            "degrees-as-percent",
            lambda row: row["tip"] + row["away"] * row["deg"] / 100,
            "Degrees were taken as percent. A pitch in degrees climbs much more than the same number in "
            "percent.",
            did="take the degrees as percent",
        ),
        Slip(
            "way-added",
            lambda row: row["tip"] + row["away"],
            "The way to the wall was added whole. Only a stream pitched halfway to upright climbs as much "
            "as it goes ahead.",
            did="add the whole way to the wall",
        ),
        Slip(
            "lengths-swapped",
            lambda row: row["away"] + row["tip"] * _slope(row),
            "Height and way were swapped. The tangent belongs to the way over the ground.",
            did="swap height and way",
        ),
        Slip(
            "from-the-sill",
            lambda row: row["sill"] + row["away"] * _slope(row) if row["sill"] else None,
            "It was counted from the sill. The stream starts at the nozzle: its height and "
            "the climb together.",
            did="start at the sill",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row: row["tip"] + row["away"] * row["deg"] / 45,
            "The pitch was taken as a share of 45 degrees. That is right at both ends only: "
            "the line climbs with the tangent.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: row["tip"] + row["away"] * row["deg"] / 90,
            "The pitch was taken as a share of ninety degrees. The line climbs with the tangent.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "radians-without-sign",
            lambda row: (
                row["tip"] + row["away"] * abs(tan(row["deg"])) if tan(row["deg"]) < 0 else None
            ),
            "The calculator stood on radians. Set it to degrees before you trust a number on "
            "the fireground.",
            did="leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "height-alone",
            lambda row: row["tip"],
            "That is the height of the nozzle. The stream climbs on its way to the wall.",
            did="give the nozzle's height",
            minor=True,
        ),
        Slip(
            "climb-by-sine",
            lambda row: row["away"] * sin(radians(row["deg"])),
            "That is a climb by the sine, and the nozzle's height is missing. Over level "
            "ground it is the tangent, on top of that height.",
            did="take the sine and leave the nozzle's height out",
            minor=True,
        ),
        Slip(
            "cosine-divided",
            lambda row: row["tip"] + row["away"] / cos(radians(row["deg"])),
            "The length of the line was added. A line climbs its way over the ground times "
            "the tangent.",
            did="add the length of the line",
            minor=True,
        ),
    ),
    example="400 ft",
    first_step="First find how far the stream climbs on its way to the wall.",
    reread=EXAMPLE,
)


def _known_ceiling(row):
    return {"suspended tile": "suspended tile hangs", "joists": "joists have their underside"}.get(
        row["kind"], "ceiling is"
    )


INSIDE = Carried(
    id="what-the-water-meets-q3",
    title="How far inside",
    variable="inside",
    kind="length",
    unit="foot",
    points=2,
    same_row_as=AT_WALL,
    carries=(AT_WALL,),
    tolerance=0.03,
    tolerance_words="within 3 percent",
    ask=lambda row: (
        f"Same stream, still {pitched(row)}. It clears the head. In the room its "
        f"{_known_ceiling(row)} {feet(row['ceiling'])} above the ground outside. With your height from "
        "question 2: how far inside the wall does the stream strike it? Measure from the outside face "
        "of the wall. Answer in feet, within 3 percent."
    ),
    right=lambda row, at_wall: (row["ceiling"] - at_wall) / _slope(row),
    slips=(
        Slip(
            "from-the-nozzle",
            lambda row, at_wall: (row["ceiling"] - at_wall) / _slope(row) + row["away"],
            "That is how far it strikes ahead of the nozzle. The part in front of the wall is not inside.",
            0.5,
            did="measure from the nozzle",
        ),
        Slip(
            "tangent-multiplied",
            lambda row, at_wall: (row["ceiling"] - at_wall) * _slope(row),
            "The rise was multiplied by the tangent. The flatter the stream, the farther in it strikes: "
            "divide.",
            did="multiply by the tangent",
        ),
        Slip(
            "sine-for-tangent",
            lambda row, at_wall: _unless_near(
                (row["ceiling"] - at_wall) / _slope(row),
                (row["ceiling"] - at_wall) / sin(radians(row["deg"])),
                0.07,
            ),
            "The sine was taken: that is the way along the stream, not the way over the floor.",
            0.5,
            did="take the sine",
        ),
        Slip(
            "cosine",
            lambda row, at_wall: (row["ceiling"] - at_wall) / cos(radians(row["deg"])),
            "The cosine was taken. Rise and way ahead go together by the tangent of the pitch.",
            did="take the cosine",
        ),
        Slip(
            "rise-for-way",
            lambda row, at_wall: row["ceiling"] - at_wall,
            "That is how much the stream still has to climb, not how far it goes meanwhile.",
            did="stop at what it still has to climb",
        ),
        Slip(
            "up-to-the-head",
            lambda row, at_wall: (row["head"] - at_wall) / _slope(row),
            "It was taken up to the head of the opening. The stream goes on climbing inside, up to the "
            "ceiling.",
            did="go up to the head only",
        ),
        Slip(
            "ceiling-from-its-floor",
            lambda row, at_wall: (row["ceiling"] - row["floor"]) / _slope(row),
            "The whole height of the room was taken. The stream comes in well above the floor: only what is "
            "left to the ceiling counts.",
            did="take the whole height of the room",
        ),
        Slip(
            "degrees-as-radians",
            lambda row, at_wall: (row["ceiling"] - at_wall) / abs(tan(row["deg"])),
            "The calculator stood on radians. Set it to degrees before you trust a number on the "
            "fireground.",
            did="leave the calculator on radians",
        ),
        Slip(
            "from-the-head",
            lambda row, at_wall: (row["ceiling"] - row["head"]) / _slope(row),
            "It was counted from the head of the opening. The stream comes in lower and has "
            "more to climb.",
            did="count from the head",
            minor=True,
        ),
        Slip(
            "from-the-sill",
            lambda row, at_wall: (row["ceiling"] - row["sill"]) / _slope(row),
            "It was counted from the sill. The stream comes in higher and has less to climb.",
            did="count from the sill",
            minor=True,
        ),
        Slip(
            "from-the-ground",
            lambda row, at_wall: row["ceiling"] / _slope(row),
            "The ceiling's whole height was taken. Only what is left from the stream at the "
            "wall up to it counts.",
            did="take the ceiling's whole height",
            minor=True,
        ),
        Slip(
            "ground-less-way",
            lambda row, at_wall: row["ceiling"] / _slope(row) - row["away"],
            "The ceiling's whole height was taken. The stream starts at the nozzle, not at "
            "the ground.",
            did="take the ceiling's whole height",
            minor=True,
        ),
        Slip(
            "way-taken-off",
            lambda row, at_wall: (
                (row["ceiling"] - at_wall) / _slope(row) - row["away"]
                if (row["ceiling"] - at_wall) / _slope(row) > row["away"]
                else None
            ),
            "The way in front of the wall was taken off. The climb was counted from the wall "
            "already.",
            did="take the way to the wall off",
            minor=True,
        ),
        Slip(
            "degrees-as-percent",
            lambda row, at_wall: 100 * (row["ceiling"] - at_wall) / row["deg"],
            "Degrees were taken as percent. A pitch in degrees climbs much more than the same "
            "number in percent.",
            did="take the degrees as percent",
            minor=True,
        ),
        Slip(
            "rise-from-the-nozzle",
            lambda row, at_wall: row["ceiling"] - row["tip"],
            "That is the rise from the nozzle to the ceiling, not how far in it strikes.",
            did="stop at the rise from the nozzle",
            minor=True,
        ),
        Slip(
            "cosine-multiplied",
            lambda row, at_wall: (row["ceiling"] - at_wall) * cos(radians(row["deg"])),
            "The rise was multiplied by the cosine. Rise and way ahead go together by the "
            "tangent of the pitch.",
            did="multiply by the cosine",
            minor=True,
        ),
    ),
    example="3 in",
    first_step="First find how far it still has to climb from the wall to the ceiling.",
    reread=EXAMPLE,
)

# --- 4. the grazing angle ---------------------------------------------------------------------


def _seen_strikes(department):
    """Where a stream was seen to strike the ceiling, in whole feet."""
    rows = []
    for row in openings(department):
        for away, deg in ((10, 24), (12, 28), (14, 20), (16, 17), (13, 32), (18, 14)):
            tip = round_half(row["head"] - 1.5 - away * tan(radians(deg)))
            inside = round((row["ceiling"] - tip) / tan(radians(deg)) - away)
            if tip >= 3 and 2 < inside < row["deep"] - 4:
                rows.append({**row, "tip": tip, "away": away, "inside": inside})
    return rigged(department, rows, ("ceiling", "away", "tip", "inside"))


def _rise(row):
    return row["ceiling"] - row["tip"]


def _share(row):
    return _rise(row) / (row["away"] + row["inside"])


def _arc(function, row):
    """The angle of another function; None where it has none."""
    return degrees(function(_share(row))) if abs(_share(row)) <= 1 else None


def _grazing(row):
    return aerials.elevation_and_extension(
        row["tip"], 0, row["away"] + row["inside"], row["ceiling"]
    )[1]


GRAZING = Question(
    id="what-the-water-meets-q4",
    title="How steeply it strikes",
    variable="grazing",
    kind="angle",
    unit="degree",
    points=2,
    rows_from=_seen_strikes,
    tolerance=0.0,
    allow=1.0,
    tolerance_words="within 1 degree",
    ask=lambda row: (
        f"Through {row['place']} the stream of {row['rig']} strikes a level ceiling, "
        f"{feet(row['ceiling'])} above the ground outside. The nozzle is {feet(row['away'])} out from "
        f"the wall and {feet(row['tip'])} above the ground; the strike is seen {feet(row['inside'])} "
        "inside the outside face of the wall. Taken as a straight line: what is the angle between "
        "stream and ceiling? Answer in degrees, within 1 degree."
    ),
    right=_grazing,
    slips=(
        Slip(
            "square-on",
            lambda row: 90 - _grazing(row),
            "That is the angle to a plumb line. Against the ceiling, nothing would mean that the stream "
            "just runs along it, and a right angle that it strikes square on.",
            did="measure from the plumb line",
        ),
        Slip(
            "outside-only",
            lambda row: degrees(atan(_rise(row) / row["away"])),
            "Only the way up to the wall was counted. The stream goes on to where it strikes: both pieces "
            "lie under its rise.",
            did="count only the way up to the wall",
        ),
        Slip(
            "inside-only",
            lambda row: degrees(atan(_rise(row) / row["inside"])),
            "Only the way inside was counted. The stream climbs all the way from the nozzle.",
            did="count only the way inside",
        ),
        Slip(
            "nozzle-on-the-ground",
            lambda row: degrees(atan(row["ceiling"] / (row["away"] + row["inside"]))),
            "The whole height of the ceiling was taken. The stream starts at the nozzle: take off the "
            "nozzle's height.",
            did="take the ceiling's height from the ground",
        ),
        Slip(
            "percent-for-degrees",
            lambda row: 100 * _share(row),
            "That is the slope in percent. Turn it into an angle: the tangent backwards.",
            0.5,
            did="stop at the slope in percent",
        ),
        Slip(
            "radians-for-degrees",
            lambda row: radians(_grazing(row)),
            "The calculator answered in radians. Set it to degrees before you trust an angle.",
            0.5,
            did="leave the calculator on radians",
        ),
        Slip(
            "doubled",
            lambda row: 2 * _grazing(row),
            "That is how far the stream would be turned back, like a ball off a wall. Water spreads along "
            "the ceiling; asked is the angle at which it comes.",
            did="double the angle",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _arc(asin, row),
            "The way was taken as the long side. Rise over level way is the tangent.",
            did="take the sine",
            minor=True,
        ),
        Slip(
            "cosine-for-tangent",
            lambda row: _arc(acos, row),
            "The cosine was taken. Rise over level way is the tangent.",
            did="take the cosine",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: 90 * _share(row),
            "The slope was taken as a share of ninety degrees. Take the angle whose tangent it is.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row: 45 * _share(row),
            "The slope was taken as a share of 45 degrees. That is right at both ends only: "
            "take the angle whose tangent it is.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "room-height",
            lambda row: degrees(
                atan((row["ceiling"] - row["floor"]) / (row["away"] + row["inside"]))
            ),
            "The height of the room was taken for the rise. The stream climbs from the nozzle "
            "to the ceiling.",
            did="take the height of the room",
            minor=True,
        ),
        Slip(
            "from-straight-back",
            lambda row: 180 - _grazing(row),
            "That is the angle on the other side. Asked is the one between the stream and the "
            "ceiling ahead of it.",
            did="take the angle on the other side",
            minor=True,
        ),
    ),
    example="77 deg",
    first_step="First find how far the stream climbs and how far it goes ahead, nozzle to strike.",
    reread=EXAMPLE,
)

# --- 5. sweeping over a hole ------------------------------------------------------------------


def _found_hole(row):
    share = row["wide"] * row["deep"] / (row["over"] * row["by"])
    return row["gpm"] * spread.roof_shed(share, splash=0.0)[0]


def _beyond_band(row, gpm):
    """A slip's number; None where the band around the right one takes it in."""
    return gpm if abs(gpm / _found_hole(row) - 1) > 0.17 else None


SWEPT = Estimate(
    id="what-the-water-meets-q5",
    title="Swept over the roof",
    variable="into_hole",
    kind="flow",
    unit="gpm",
    points=1,
    rows=tuple(
        {"gpm": gpm, "over": over, "by": by, "wide": wide, "deep": deep}
        for gpm in (750, 800, 1000, 1200)
        for over, by, wide, deep in (
            (60, 20, 12, 10),
            (50, 24, 10, 12),
            (60, 30, 12, 10),
            (80, 20, 10, 16),
            (50, 20, 10, 8),
        )
    ),
    ask=lambda row: (
        f"The fire has burnt a hole {row['wide']} ft by {row['deep']} ft through the roof of a cold "
        f"store. A tower sweeps {row['gpm']:,} gpm evenly over a strip {row['over']} ft by {row['by']} "
        "ft of that roof, the hole within it. All that falls beside the hole runs off. About how many "
        "gpm go in? In your head, within 15 percent."
    ),
    right=_found_hole,
    band=0.15,
    tolerance_words="within 15 percent",
    slips=(
        Slip(
            "all-of-it",
            lambda row: row["gpm"],
            "That is what leaves the nozzle. Only what falls on the hole goes in; the roof is built to shed "
            "the rest.",
            0.0,
            did="count all that flows",
        ),
        Slip(
            "what-runs-off",
            lambda row: row["gpm"] - _found_hole(row),
            "That is what runs off. Asked is what goes in.",
            0.5,
            did="take what runs off",
        ),
        Slip(
            "along-only",
            lambda row: row["gpm"] * row["wide"] / row["over"],
            "Only the lengths along the strip were compared. The stream also passes in front of and behind "
            "the hole: compare areas.",
            did="compare lengths along the strip only",
        ),
        Slip(
            "across-only",
            lambda row: row["gpm"] * row["deep"] / row["by"],
            "Only the lengths across the strip were compared. The stream also passes left and right of the "
            "hole: compare areas.",
            did="compare lengths across the strip only",
        ),
        Slip(
            "sides-added",
            lambda row: row["gpm"] * (row["wide"] + row["deep"]) / (row["over"] + row["by"]),
            "Sides were added up. Water falls on areas: multiply the sides.",
            did="add the sides",
        ),
        Slip(
            "half-of-it",
            lambda row: row["gpm"] / 2,
            "Half is a hope, not an estimate. Compare the area of the hole with the area that is swept.",
            did="take half",
        ),
        Slip(
            "turned-round",
            lambda row: row["gpm"] * row["over"] * row["by"] / (row["wide"] * row["deep"]),
            "The areas stand the wrong way up. Less goes in than is swept over the whole strip.",
            did="turn the areas round",
            minor=True,
        ),
        Slip(
            "area-for-flow",
            lambda row: _beyond_band(row, row["wide"] * row["deep"]),
            "That is the area of the hole. How much falls on it is its share of the strip.",
            did="give the area of the hole",
            minor=True,
        ),
        Slip(
            "flow-over-area",
            lambda row: row["gpm"] / (row["wide"] * row["deep"]),
            "The flow was divided by the area of the hole. Compare that area with the strip.",
            did="divide the flow by the area of the hole",
            minor=True,
        ),
        Slip(
            "flow-of-a-square-foot",
            lambda row: row["gpm"] / (row["over"] * row["by"]),
            "That is what falls on each square foot. Take it times the area of the hole.",
            did="stop at what falls on a square foot",
            minor=True,
        ),
        Slip(
            "per-cent-for-gpm",
            lambda row: _beyond_band(
                row, 100 * row["wide"] * row["deep"] / (row["over"] * row["by"])
            ),
            "That is the share in percent. Take it of the flow.",
            did="stop at the share in percent",
            minor=True,
        ),
        Slip(
            "sides-swapped",
            lambda row: _beyond_band(row, row["gpm"] * row["wide"] / row["by"]),
            "Sides of two different ways were compared. Compare areas.",
            did="compare sides of different ways",
            minor=True,
        ),
    ),
    example="7 gpm",
    first_step="Compare the area of the hole with the area that is swept.",
    reread=RECAP,
)

# --- 6. where to put it -----------------------------------------------------------------------

_SCENES = (
    {
        "scene": "Saltpan cold store, pitched roof without a mark on it. Thick smoke pushes from the "
        "middle dock door on side A, which stands open, and fire glows behind it.",
        "best": "opening",
    },
    {
        "scene": "Saltpan cold store. All doors are shut and cool to the hand. Flames stand out of a "
        "hole about 12 ft across, burnt through the front slope of the roof.",
        "best": "hole",
    },
    {
        "scene": "Weir Street Mill, flat roof with parapet, whole. On the top floor of side A two windows "
        "have failed, and fire shows in both.",
        "best": "opening",
    },
    {
        "scene": "Weir Street Mill. The roof has fallen in over the rear half of the top floor, and the "
        "fire burns there under the open sky. The windows that you reach lead to rooms in front where "
        "nothing burns, cut off by a wall.",
        "best": "hole",
    },
    {
        "scene": "Gorse Lane shops, flat roof, whole. The front of shop 3 is out, and paint and hardware "
        "burn a few steps behind it.",
        "best": "opening",
    },
)

WHERE = Choice(
    id="what-the-water-meets-q6",
    title="Where to put it",
    variable="where",
    points=1,
    rows=_SCENES,
    ask=lambda row: (
        f"{row['scene']} Everybody is out and accounted for, and command orders a master stream. Where "
        "do you put it?"
    ),
    options=(
        Option(
            name="opening",
            text="Through a door or window that shows, held there",
            reason="That is the way where the opening leads to what burns. Look once more whether it does.",
            right=lambda row: row["best"] == "opening",
        ),
        Option(
            name="hole",
            text="Down where the roof is open, held there",
            reason="That is the way where the fire itself has opened the roof above what burns. Look once "
            "more what this roof is like.",
            right=lambda row: row["best"] == "hole",
        ),
        Option(
            name="sweep-the-roof",
            text="To and fro over the whole roof, so that it soaks through",
            reason="A roof is built to shed water. What falls on sound roof runs off or stands on it as "
            "weight, and what burns lies dry below.",
        ),
        Option(
            name="cool-the-wall",
            text="On the outside of the wall, to cool the building",
            reason="Water on the outside of a wall runs to the street. It puts nothing out, and it wets a "
            "wall that may fall.",
        ),
        Option(
            name="high-over-it",
            text="As high as it carries, so that it rains on the building",
            reason="A stream thrown high breaks into spray. Little of it lands where you want it, and the "
            "roof sheds that.",
        ),
    ),
    reread=RECAP,
)

# --- 7. the weight of what stays --------------------------------------------------------------


def _kept(row):
    return 1 - row["off"] / 10


def _stays(row):
    return water.weight_lb(row["gpm"], row["minutes"]) * _kept(row)


STAYS = Question(
    id="what-the-water-meets-q7",
    title="The weight of what stays",
    variable="weight",
    kind="weight",
    unit="lbf",
    points=2,
    rows=tuple(
        {"gpm": gpm, "minutes": minutes, "off": off}
        for gpm in (600, 750, 800, 900, 1000)
        for minutes in (8, 12, 15)
        for off in (3, 4, 6, 7)
    ),
    tolerance=0.02,
    tolerance_words="within 2 percent",
    ask=lambda row: (
        f"A stream of {row['gpm']:,} gpm has gone through a window of the mill for {row['minutes']} "
        f"minutes. From what comes back out of doors and windows the officer thinks that about "
        f"{row['off']} tenths of it have run off. A gallon weighs 8.34 lb. What does the water weigh "
        "that has stayed in the building? Answer in pounds, within 2 percent."
    ),
    right=_stays,
    slips=(
        Slip(
            "nothing-runs-off",
            lambda row: 8.34 * row["gpm"] * row["minutes"],
            "That is all the water. The officer has seen a part of it run off: only what stays weighs on "
            "the floors.",
            0.5,
            did="leave out what runs off",
        ),
        Slip(
            "what-ran-off",
            lambda row: 8.34 * row["gpm"] * row["minutes"] * row["off"] / 10,
            "That is what has run off. The floors carry the rest.",
            0.5,
            did="take what has run off",
        ),
        Slip(
            "gallons-for-pounds",
            lambda row: row["gpm"] * row["minutes"] * _kept(row),
            "Those are gallons. Each weighs more than eight pounds, so the floor carries far more than this "
            "number says.",
            did="count gallons as pounds",
        ),
        Slip(
            "one-minute-only",
            lambda row: 8.34 * row["gpm"] * _kept(row),
            "That is what one minute adds. It adds up as long as the stream flows: log the minutes.",
            did="count one minute only",
        ),
        Slip(
            "cubic-foot-for-gallon",
            lambda row: 62.4 * row["gpm"] * row["minutes"] * _kept(row),
            "That is the weight of a cubic foot, put to gallons. A gallon is a good deal less.",
            did="take the weight of a cubic foot",
        ),
        Slip(
            "larger-gallon",
            lambda row: 10 * row["gpm"] * row["minutes"] * _kept(row),
            "Ten pounds belong to the imperial gallon. Flow in gpm counts US gallons.",
            0.5,
            did="take ten pounds to the gallon",
        ),
        Slip(
            "divided",
            lambda row: row["gpm"] * row["minutes"] * _kept(row) / 8.34,
            "The gallons were divided by what one weighs. Each weighs that much: multiply.",
            did="divide by the weight of a gallon",
        ),
        Slip(
            "seconds",
            lambda row: 8.34 * row["gpm"] * row["minutes"] * 60 * _kept(row),
            "The minutes were turned into seconds. The flow already counts by the minute.",
            did="turn the minutes into seconds",
        ),
        Slip(
            "tons-for-pounds",
            lambda row: 8.34 * row["gpm"] * row["minutes"] * _kept(row) / 2000,
            "That is the weight in short tons, with another unit behind it. A ton read as a pound "
            "hides the load on the floor.",
            0.5,
            did="work it out in tons",
            minor=True,
        ),
        Slip(
            "gallons-that-flowed",
            lambda row: row["gpm"] * row["minutes"],
            "Those are all the gallons that flowed. Each weighs more than eight pounds, and a "
            "part has run off.",
            did="stop at the gallons that flowed",
            minor=True,
        ),
        Slip(
            "gallons-run-off",
            lambda row: row["gpm"] * row["minutes"] * row["off"] / 10,
            "Those are the gallons that have run off. What stays weighs on the floors, more "
            "than eight pounds each.",
            did="give the gallons that ran off",
            minor=True,
        ),
        Slip(
            "a-minute-of-all",
            lambda row: 8.34 * row["gpm"],
            "That is one minute of all the water. Count the minutes, and only what stays.",
            did="count one minute of all",
            minor=True,
        ),
        Slip(
            "hours",
            lambda row: 8.34 * row["gpm"] * row["minutes"] / 60 * _kept(row),
            "The minutes were turned into hours. The flow counts by the minute.",
            did="turn the minutes into hours",
            minor=True,
        ),
        Slip(
            "share-divided",
            lambda row: 8.34 * row["gpm"] * row["minutes"] / _kept(row),
            "It was divided by the share that stays. Less stays than flowed: multiply.",
            did="divide by the share",
            minor=True,
        ),
        Slip(
            "psi-of-a-foot",
            lambda row: 0.434 * row["gpm"] * row["minutes"] * _kept(row),
            "That figure is the pressure of a foot of water. A gallon weighs what the "
            "question says.",
            did="take the pressure of a foot of water",
            minor=True,
        ),
        Slip(
            "cubic-foot-gallons",
            lambda row: 7.48 * row["gpm"] * row["minutes"] * _kept(row),
            "That is how many gallons go into a cubic foot. A gallon weighs what the question "
            "says.",
            did="take the gallons of a cubic foot",
            minor=True,
        ),
    ),
    example="77 lb",
    first_step="First find how many gallons have flowed, then how many of them have stayed.",
    reread=EXAMPLE,
)

# --- 8. the order of things -------------------------------------------------------------------


def _steps(row):
    return (
        ("choose", f"See where it burns, and choose {row['way']} that leads there"),
        ("clear", "Command has everybody out of the stream's way and accounted for"),
        ("aim", "Bring ladder and nozzle in line with it, dry"),
        ("open", "Open slowly and hold the stream there"),
        ("watch", "Watch what comes back out, steam and water, and log the minutes"),
    )


IN_ORDER = Ordering(
    id="what-the-water-meets-q8",
    title="In what order",
    variable="in_order",
    points=2,
    rows=(
        {"where": "the mill", "way": "the window"},
        {"where": "the cold store", "way": "the hole in the roof"},
        {"where": "the shops", "way": "the shop front"},
    ),
    ask=lambda row: (
        f"At {row['where']} the rig is set up, pinned and supplied. Put these steps in order, from first "
        "to last."
    ),
    steps=_steps,
    faults=broken_rules(
        (
            Rule(
                "choose",
                "aim",
                "Choosing comes before aiming: a ladder brought round to the wrong place has to be moved "
                "again.",
            ),
            Rule(
                "clear",
                "open",
                "Nobody opens a master stream before everybody in its way is out and accounted for.",
            ),
            Rule(
                "aim",
                "open",
                "Ladder and nozzle are brought in line dry. Sweeping a flowing stream across the front loads "
                "the ladder sideways and wets the wall.",
            ),
            Rule(
                "open",
                "watch",
                "What comes back out can be watched only once water goes in.",
            ),
        )
    ),
    reread="Lesson 01, cautions and recap.",
)

PAPER = Paper(
    name="what-the-water-meets",
    title="What the water meets",
    version=VERSION,
    minutes=25,
    situation=(
        "A night of fires in Larkmoor: the Weir Street Mill, three storeys of brick; the row of shops in "
        "Gorse Lane; the Saltpan cold store. At each, an elevated master stream is to put water on what "
        "burns, not on the outside. You say what the water meets, where it goes, and what stays in the "
        "building as weight. Command has looked at the walls and accepts the distances given here; at a "
        "real fire the collapse zone comes first. Nobody works in, on or under what a master stream "
        "strikes. (Department, places and rigs are invented, or your department's own.)"
    ),
    questions=(FIRST, AT_WALL, INSIDE, GRAZING, SWEPT, WHERE, STAYS, IN_ORDER),
    closing=(
        "Straight lines and a first look say where to begin; the stream shows what it does. Watch what "
        "comes back out. What your device may do stands in **its** operator's manual. That book, local "
        "procedure and qualified people decide."
    ),
)
