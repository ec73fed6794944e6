"""Questions of the assignment on choosing the spot: from the fire back to the turntable.

Right answers come from `aerialstream`; each slip has its own wrong formula.
"""

from math import acos, asin, atan, cos, degrees, hypot, inf, radians, sin, sqrt, tan

from aerialstream._core import aerials, clearances
from gradekit.questions import (
    Carried,
    Choice,
    Condition,
    FindFault,
    Option,
    Ordering,
    Paper,
    Part,
    Plan,
    Question,
    Rule,
    Slip,
    broken_rules,
)

VERSION = "2026.1"
WORKED = "Lesson 02, worked example, has the same steps."
RECAP = "Lesson 02, recap: from the fire back to the turntable."
AT_CENTRE = "Take the heel pin to be at the turntable's centre."


def _feet(length):
    """A length of the department's data as shown: feet to a tenth."""
    return round(length.to("foot").magnitude, 1)


def _ladders(department):
    """What the questions take of each ladder that the department entered; platforms are left out."""
    return [
        {
            "rig": device.name,
            "turntable": _feet(device.turntable_height),
            "heel": _feet(device.heel_offset) if device.heel_offset is not None else 0.0,
            "least": _feet(device.extension.least),
            "most": _feet(device.extension.most),
            "highest": device.elevation.most.to("degree").magnitude,
        }
        for device in department.apparatus
        if device.kind.endswith("ladder")
    ]


def _part(ladder, *keys):
    return {key: ladder[key] for key in keys}


# --- 1. how far out the tip is -----------------------------------------------------------------


def _reach_ft(row):
    return aerials.tip_position_ft(0.0, row["heel"], row["out"], row["deg"])[0]


def _heel_words(heel):
    if not heel:
        return "Its heel pin is at the turntable's centre."
    side = "behind" if heel < 0 else "ahead of"
    return f"Its heel pin lies {abs(heel):g} ft {side} the turntable's centre."


REACH = Question(
    id="choosing-the-spot-q1",
    title="How far out is the tip?",
    variable="reach",
    kind="length",
    unit="foot",
    points=2,
    rows_from=lambda department: tuple(
        {**_part(ladder, "rig", "turntable", "heel"), "out": out, "deg": deg}
        for ladder in _ladders(department)
        for out in (45, 55, 65, 75)
        for deg in (30, 35, 50, 55, 60, 65)
        if ladder["least"] <= out <= ladder["most"] and deg <= ladder["highest"]
    ),
    keep=lambda row: REACH.distinct(row),
    ask=lambda row: (
        f"{row['rig']} has {row['out']} ft of ladder out at {row['deg']} degrees. Its turntable "
        f"stands {row['turntable']:g} ft above the ground. {_heel_words(row['heel'])} How far out "
        "from the turntable's centre is the tip, measured level? Answer in feet, within 1 percent."
    ),
    right=_reach_ft,
    angles=("deg",),
    slips=(
        Slip(
            "length-as-reach",
            lambda row: row["out"],
            "The whole length was taken as reach. Only a level ladder reaches as far as it is "
            "long: a spot chosen like that is too far from the fire.",
        ),
        Slip(
            "sine-for-cosine",
            lambda row: row["heel"] + row["out"] * sin(radians(row["deg"])),
            "The sine gives how high the ladder rises. How far out it goes takes the cosine.",
        ),
        Slip(
            "heel-forgotten",
            lambda row: row["out"] * cos(radians(row["deg"])) if row["heel"] else None,
            "That is measured from the heel pin. The spot is marked for the turntable's centre, so "
            "the heel pin's place counts too.",
            0.5,
        ),
        Slip(
            "heel-the-wrong-way",
            lambda row: (
                row["out"] * cos(radians(row["deg"])) - row["heel"] if row["heel"] else None
            ),
            "The heel pin's place was put on the wrong side. A heel pin behind the centre takes "
            "reach away; one ahead of it adds.",
            0.5,
        ),
        Slip(
            "turntable-height-added",
            lambda row: row["heel"] + row["out"] * cos(radians(row["deg"])) + row["turntable"],
            "The turntable's height was added. It belongs to how high the tip is, not to how far "
            "out.",
        ),
        Slip(
            "tangent",
            lambda row: row["heel"] + row["out"] * tan(radians(row["deg"])),
            "The tangent was used. The ladder is the long side of the triangle: its level part is "
            "the length times the cosine.",
        ),
        Slip(
            "height-for-reach",
            lambda row: row["turntable"] + row["out"] * sin(radians(row["deg"])),
            "That is how high the tip is above the ground. How far out it is takes the cosine.",
            did="work out the height of the tip",
            minor=True,
        ),
        Slip(
            "rise-alone",
            lambda row: row["out"] * sin(radians(row["deg"])),
            "That is how far the ladder rises. How far out it goes takes the cosine, from the "
            "turntable's centre.",
            did="give the rise of the ladder",
            minor=True,
        ),
        Slip(
            "angle-forgotten",
            lambda row: row["out"] + row["heel"] if row["heel"] else None,
            "The heel pin was counted, but the ladder was taken as level. A raised ladder "
            "does not come out as far as it is long.",
            did="leave out the elevation",
            minor=True,
        ),
        Slip(
            "turntable-height-taken-off",
            lambda row: _reach_ft(row) - row["turntable"],
            "The turntable's height was taken off. It belongs to how high the tip is, not to "
            "how far out.",
            did="take the turntable's height off",
            minor=True,
        ),
        Slip(
            "turntable-as-rise",
            lambda row: row["heel"] + sqrt(row["out"] ** 2 - row["turntable"] ** 2),
            "The turntable's height was taken as the rise of the ladder. How far it rises "
            "follows from the elevation.",
            did="take the turntable's height for the rise",
            minor=True,
        ),
        Slip(
            "radians-without-sign",
            lambda row: (
                row["heel"] + row["out"] * abs(cos(row["deg"])) if cos(row["deg"]) < 0 else None
            ),
            "The calculator stood on radians. Set it to degrees before you trust a number on "
            "the fireground.",
            did="leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "cosine-divided",
            lambda row: row["heel"] + row["out"] / cos(radians(row["deg"])),
            "It was divided by the cosine. A ladder never reaches farther than it is long: "
            "multiply.",
            did="divide by the cosine",
            minor=True,
        ),
        Slip(
            "share-of-ninety",
            lambda row: row["heel"] + row["out"] * (90 - row["deg"]) / 90,
            "The elevation was taken as a share of ninety degrees. Reach falls off slowly at "
            "first, then fast: take the cosine.",
            did="take a share of ninety degrees",
            minor=True,
        ),
        Slip(
            "turntable-as-rise-from-the-pin",
            lambda row: sqrt(row["out"] ** 2 - row["turntable"] ** 2),
            "The turntable's height was taken as the rise of the ladder. How far it rises "
            "follows from the elevation, and the heel pin counts too.",
            did="take the turntable's height for the rise",
            minor=True,
        ),
        Slip(
            "tangent-from-the-pin",
            lambda row: row["out"] * tan(radians(row["deg"])) if row["heel"] else None,
            "The tangent was used, and the heel pin left out. The level part of the ladder is "
            "the length times the cosine, from the turntable's centre.",
            did="take the tangent and leave the heel pin out",
            minor=True,
        ),
        Slip(
            "cosine-of-the-rest",
            lambda row: (row["out"] - row["turntable"]) * cos(radians(row["deg"])) + row["heel"],
            "The turntable's height was taken off the length. It belongs to how high the tip is.",
            did="take the turntable's height off the length",
            minor=True,
        ),
    ),
    example="850 ft",
    first_step="First take the cosine of the elevation.",
    reread=WORKED,
)

# --- 2 and 3. length and elevation for a place of the tip ----------------------------------------


def _level_ft(row):
    return row["wall"] - row["standoff"]


def _rise_ft(row):
    return row["up"] - row["turntable"]


def _length_and_elevation(row):
    return aerials.elevation_and_extension(row["turntable"], 0.0, _level_ft(row), row["up"])


def _place_rows(department):
    rows = (
        {**_part(ladder, "rig", "turntable", "least", "most", "highest"), **place}
        for ladder in _ladders(department)
        for place in (
            {"wall": wall, "standoff": standoff, "up": up}
            for wall in (50, 60, 70, 80)
            for standoff in (15, 20, 25)
            for up in (35, 42, 50)
        )
    )
    return tuple(row for row in rows if _within_the_device(row))


def _within_the_device(row):
    out, deg = _length_and_elevation(row)
    return row["least"] <= out <= 0.9 * row["most"] and 30 <= deg <= row["highest"]


LENGTH = Question(
    id="choosing-the-spot-q2",
    title="How much ladder is out?",
    variable="length_out",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_place_rows,
    keep=lambda row: LENGTH.distinct(row) and ELEVATION.distinct(row),
    ask=lambda row: (
        f"{row['rig']}'s turntable (centre) would stand {row['wall']} ft from the wall, "
        f"{row['turntable']:g} ft above the ground. The tip is wanted {row['standoff']} ft in front "
        f"of the wall and {row['up']} ft above the ground, straight in front of the turntable. "
        f"{AT_CENTRE} How much ladder must be out? Answer in feet, within 1 percent."
    ),
    right=lambda row: _length_and_elevation(row)[0],
    slips=(
        Slip(
            "turntable-forgotten",
            lambda row: hypot(_level_ft(row), row["up"]),
            "The tip's height was counted from the ground. The ladder starts at the turntable: "
            "take its height off first.",
            0.5,
        ),
        Slip(
            "turntable-added",
            lambda row: hypot(_level_ft(row), row["up"] + row["turntable"]),
            "The turntable's height was added to the tip's. The ladder starts that much higher, so "
            "it has that much less to rise.",
        ),
        Slip(
            "standoff-forgotten",
            lambda row: hypot(row["wall"], _rise_ft(row)),
            "That ladder touches the wall. The tip stands off from it: take that distance off "
            "before you work out the length.",
        ),
        Slip(
            "standoff-added",
            lambda row: hypot(row["wall"] + row["standoff"], _rise_ft(row)),
            "The distance from tip to wall was added. It would put the tip behind the wall: take it "
            "off.",
        ),
        Slip(
            "sides-added",
            lambda row: _level_ft(row) + _rise_ft(row),
            "The level and the upright distance were added. The ladder goes the short way: square "
            "both, add, take the root.",
        ),
        Slip(
            "level-distance-only",
            lambda row: _level_ft(row),
            "That is the level distance alone. A raised ladder needs more length than that to get "
            "there.",
        ),
        Slip(
            "height-as-length",
            lambda row: row["up"],
            "The tip's height was taken as the length. Length is not height: the ladder leans, and "
            "it starts above the ground.",
        ),
        Slip(
            "squares-taken-away",
            lambda row: sqrt(abs(_rise_ft(row) ** 2 - _level_ft(row) ** 2)),
            "The squares were taken from each other. The ladder is the long side of the "
            "triangle: add them.",
            did="take the squares from each other",
            minor=True,
        ),
        Slip(
            "root-forgotten",
            lambda row: _rise_ft(row) ** 2 + _level_ft(row) ** 2,
            "The root was left out: that is the square of the length.",
            did="leave out the root",
            minor=True,
        ),
        Slip(
            "rise-alone",
            lambda row: _rise_ft(row),
            "That is only how far the ladder rises. It also goes out.",
            did="give the rise",
            minor=True,
        ),
        Slip(
            "nothing-taken-off",
            lambda row: hypot(row["wall"], row["up"]),
            "Neither the turntable's height nor the distance in front of the wall was taken "
            "off. The ladder goes from the turntable to the tip, not from the ground to the "
            "wall.",
            did="take nothing off",
            minor=True,
        ),
        Slip(
            "sides-from-the-ground",
            lambda row: _level_ft(row) + row["up"],
            "The ways were added, and the height counted from the ground. The ladder goes the "
            "short way, and starts at the turntable.",
            did="add the ways from the ground",
            minor=True,
        ),
        Slip(
            "wall-and-turntable-added",
            lambda row: hypot(row["wall"], row["up"] + row["turntable"]),
            "The ladder was laid up to the wall, and the turntable's height was added. Take "
            "off both.",
            did="go to the wall and add the turntable",
            minor=True,
        ),
        Slip(
            "sides-averaged",
            lambda row: (_level_ft(row) + _rise_ft(row)) / 2,
            "The mean of both ways was taken. The long side is the root of their squares together.",
            did="take the mean",
            minor=True,
        ),
        Slip(
            "squares-forgotten",
            lambda row: sqrt(_level_ft(row) + _rise_ft(row)),
            "The root was taken without the squares. Square both ways, add them, then take "
            "the root.",
            did="leave the squares out",
            minor=True,
        ),
        Slip(
            "standoff-twice",
            lambda row: hypot(row["wall"] - 2 * row["standoff"], _rise_ft(row)),
            "The distance in front of the wall was taken off twice.",
            did="take the distance in front of the wall off twice",
            minor=True,
        ),
        Slip(
            "standoff-for-reach",
            lambda row: hypot(row["standoff"], row["up"]),
            "The distance from tip to wall was taken for the reach, and the height from the "
            "ground. The ladder goes from the turntable to the tip.",
            did="take the tip's distance for the reach",
            minor=True,
        ),
        Slip(
            "standoff-and-rise",
            lambda row: hypot(row["standoff"], _rise_ft(row)),
            "The distance from tip to wall was taken for the reach. The ladder goes from the "
            "turntable to the tip.",
            did="take the tip's distance for the reach",
            minor=True,
        ),
    ),
    example="400 ft",
    first_step="First find how far the tip is out from the turntable, and how far above it.",
    reread=WORKED,
)


def _elevation_deg(row, out):
    return degrees(asin(_rise_ft(row) / out))


ELEVATION = Carried(
    id="choosing-the-spot-q3",
    title="At what elevation?",
    variable="elevation",
    kind="angle",
    unit="degree",
    points=2,
    same_row_as=LENGTH,
    carries=(LENGTH,),
    tolerance_words="within 1 degree",
    allow=1.0,
    ask=lambda row: (
        "With your length from question 2: at what elevation must the ladder stand, so that the tip "
        f"is {row['up']} ft above the ground? Answer in degrees, within 1 degree."
    ),
    right=_elevation_deg,
    slips=(
        Slip(
            "cosine-for-sine",
            lambda row, out: degrees(acos(_rise_ft(row) / out)),
            "That is the angle from the upright. Elevation is measured from level: the sine of it "
            "is the rise over the length.",
        ),
        Slip(
            "tangent-for-sine",
            lambda row, out: degrees(atan(_rise_ft(row) / out)),
            "The rise over the length is the sine, not the tangent. With the tangent the tip stays "
            "too low.",
            0.5,
        ),
        Slip(
            "turntable-forgotten",
            lambda row, out: degrees(asin(row["up"] / out)) if row["up"] < out else None,
            "The height was counted from the ground. The ladder starts at the turntable: take its "
            "height off first.",
            0.5,
        ),
        Slip(
            "share-of-ninety",
            lambda row, out: 90 * _rise_ft(row) / out,
            "The rise over the length was taken as a share of 90 degrees. The tip's height goes "
            "with the sine, not evenly with the angle.",
        ),
        Slip(
            "ratio-or-radians",
            lambda row, out: _rise_ft(row) / out,
            "That is the sine itself, or the angle in radians. Neither is degrees.",
            did="stop at the sine, or leave the calculator on radians",
            minor=True,
        ),
        Slip(
            "ratio-in-percent",
            lambda row, out: 100 * _rise_ft(row) / out,
            "That is the sine in percent. Turn it into an angle.",
            did="stop at the sine in percent",
            minor=True,
        ),
        Slip(
            "wall-for-reach",
            lambda row, out: degrees(atan(_rise_ft(row) / row["wall"])),
            "The whole distance to the wall was taken. The tip stands off from it.",
            did="take the whole distance to the wall",
            minor=True,
        ),
        Slip(
            "ground-and-level",
            lambda row, out: degrees(atan(row["up"] / _level_ft(row))),
            "The height was counted from the ground. The ladder starts at the turntable: take "
            "its height off.",
            did="count the height from the ground",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row, out: 45 * _rise_ft(row) / _level_ft(row),
            "The slope was taken as a share of 45 degrees. That is right at both ends only: "
            "take the angle whose tangent it is.",
            did="take a share of 45 degrees",
            minor=True,
        ),
    ),
    example="89 deg",
    first_step="First divide the rise above the turntable by the length out.",
    reread=WORKED,
)

# --- 4. how much of a wall the tip can touch -----------------------------------------------------


def _under_root(number):
    return sqrt(number) if number > 0 else None


SCRUB = Question(
    id="choosing-the-spot-q4",
    title="How much of the wall?",
    variable="half_width",
    kind="length",
    unit="foot",
    points=2,
    rows_from=lambda department: tuple(
        {**_part(ladder, "rig", "turntable", "most"), "wall": wall, "up": up}
        for ladder in _ladders(department)
        for wall in (30, 35, 40, 45)
        for up in (30, 33, 36, 40)
    ),
    keep=lambda row: SCRUB.distinct(row),
    ask=lambda row: (
        f"From the middle of a long wall {row['rig']}'s turntable stands {row['wall']} ft back and "
        f"{row['turntable']:g} ft above the ground. With all {row['most']:g} ft of ladder out, how "
        f"far along the wall to one side can the tip touch it at {row['up']} ft above the ground? "
        f"{AT_CENTRE} Geometry only; how long a ladder may work there stands in its manual. Answer "
        "in feet, within 1 percent."
    ),
    right=lambda row: (
        aerials.scrub_half_width_ft(row["turntable"], 0.0, row["most"], row["wall"], row["up"])
        or inf  # touches nothing: a row that is not dealt
    ),
    slips=(
        Slip(
            "height-forgotten",
            lambda row: _under_root(row["most"] ** 2 - row["wall"] ** 2),
            "The height was left out. Part of the length goes into rising from the turntable to the "
            "line on the wall.",
        ),
        Slip(
            "turntable-forgotten",
            lambda row: _under_root(row["most"] ** 2 - row["up"] ** 2 - row["wall"] ** 2),
            "The rise was counted from the ground. The ladder starts at the turntable: take its "
            "height off first.",
            0.5,
        ),
        Slip(
            "distance-forgotten",
            lambda row: _under_root(row["most"] ** 2 - _rise_ft(row) ** 2),
            "That is how far the tip is from the turntable, measured level. The wall stands back: "
            "the part along the wall is less.",
        ),
        Slip(
            "length-less-distance",
            lambda row: row["most"] - row["wall"],
            "The distance to the wall was taken off the length. The two are sides of a triangle: "
            "take squares off squares.",
        ),
        Slip(
            "length-as-width",
            lambda row: row["most"],
            "The whole length was taken. What stands on the rig's plate is not what it covers from "
            "this spot.",
        ),
        Slip(
            "both-sides",
            lambda row: 2 * sqrt(row["most"] ** 2 - _rise_ft(row) ** 2 - row["wall"] ** 2),
            "That is the width to both sides together. One side was asked for: it tells whether the "
            "last window still lies within.",
            0.5,
        ),
        Slip(
            "turntable-added",
            lambda row: _under_root(
                row["most"] ** 2 - (row["up"] + row["turntable"]) ** 2 - row["wall"] ** 2
            ),
            "The turntable's height was added to the rise. The ladder starts up there and has "
            "less to rise.",
            did="add the turntable's height",
            minor=True,
        ),
        Slip(
            "root-forgotten",
            lambda row: row["most"] ** 2 - _rise_ft(row) ** 2 - row["wall"] ** 2,
            "The root was left out: that is the square of the way along the wall.",
            did="leave out the root",
            minor=True,
        ),
        Slip(
            "squares-added",
            lambda row: sqrt(row["most"] ** 2 + _rise_ft(row) ** 2 + row["wall"] ** 2),
            "The squares were added. The ladder is the longest side: take the other two off "
            "its square.",
            did="add the squares",
            minor=True,
        ),
        Slip(
            "level-reach-less-distance",
            lambda row: (_under_root(row["most"] ** 2 - _rise_ft(row) ** 2) or inf) - row["wall"],
            "The distance was taken off the level reach. The two are sides of a triangle: "
            "take squares off each other, then the root.",
            did="take the distance off the level reach",
            minor=True,
        ),
        Slip(
            "lengths-taken-off",
            lambda row: row["most"] - row["wall"] - _rise_ft(row),
            "Distance and rise were taken off the length. They are sides of triangles: work "
            "with their squares.",
            did="take all lengths off",
            minor=True,
        ),
        Slip(
            "distance-added",
            lambda row: _under_root(row["most"] ** 2 - _rise_ft(row) ** 2 + row["wall"] ** 2),
            "The square of the distance was added. The farther back, the less of the wall: "
            "take it off.",
            did="add the square of the distance",
            minor=True,
        ),
        Slip(
            "both-sides-from-the-ground",
            lambda row: (
                2 * (_under_root(row["most"] ** 2 - row["up"] ** 2 - row["wall"] ** 2) or inf)
            ),
            "Both sides were counted, and the rise from the ground. One side is asked for, "
            "and the ladder starts at the turntable.",
            did="count both sides from the ground",
            minor=True,
        ),
        Slip(
            "squares-forgotten",
            lambda row: _under_root(row["most"] - row["wall"] - _rise_ft(row)),
            "The root was taken without the squares. Square each length first.",
            did="leave the squares out",
            minor=True,
        ),
        Slip(
            "rise-off-the-length",
            lambda row: _under_root((row["most"] - _rise_ft(row)) ** 2 - row["wall"] ** 2),
            "The rise was taken off the length as it is. The two are sides of a triangle: "
            "take their squares from each other.",
            did="take the rise off the length",
            minor=True,
        ),
    ),
    example="400 ft",
    first_step="First find the rise from the turntable to the line on the wall.",
    reread="Lesson 02 shows it: move the rig in the panel and watch what the tip covers.",
)

# --- 5. which spot -----------------------------------------------------------------------------

SPOT = Choice(
    id="choosing-the-spot-q5",
    title="Which spot?",
    variable="spot",
    points=2,
    rows=(
        {
            "where": "the top floor of the mill",
            "sides": "A and D",
            "face": "A",
            "corner": "A-D",
            "rig": "Tower 3",
        },
        {
            "where": "the weaving floor of the mill",
            "sides": "B and C",
            "face": "C",
            "corner": "B-C",
            "rig": "Ladder 9",
        },
        {
            "where": "the drill ground's container stack",
            "sides": "A and B",
            "face": "A",
            "corner": "A-B",
            "rig": "Tower 3",
        },
        {
            "where": "the cold store's offices",
            "sides": "C and D",
            "face": "D",
            "corner": "C-D",
            "rig": "Ladder 9",
        },
    ),
    ask=lambda row: (
        f"Fire shows from {row['where']} on sides {row['sides']}. {row['rig']} is the only ladder "
        "that comes, nobody is at a window, and every spot has firm ground and no lines. Which do "
        "you ask for?"
    ),
    options=(
        Option(
            name="corner",
            text=lambda row: (
                f"Off the {row['corner']} corner, outside the collapse zone of both walls"
            ),
            reason="From there the ladder works on two faces by turning the turntable alone. Corner "
            "spots are common practice where walls may fall; the zone of both is still kept.",
            right=True,
        ),
        Option(
            name="close-to-the-middle",
            text=lambda row: f"The middle of side {row['face']}, close up to the wall",
            reason="That serves one face only, and rig and tip stand where the wall comes down.",
        ),
        Option(
            name="far-with-a-long-ladder",
            text="Well back down the street, ladder long and low",
            reason="The number on the plate tells how high it goes, not how far out. Long and low "
            "is how ladders have come down: get closer with a shorter one.",
        ),
        Option(
            name="nozzle-turned-over",
            text=lambda row: (
                f"Past the end of side {row['face']}, nozzle turned far over to see in"
            ),
            reason="A nozzle turned far off the ladder's line loads the ladder sideways, where it "
            "is weakest. The spot is chosen so that ladder and nozzle point at the opening.",
        ),
    ),
    reread=RECAP,
)

# --- 6. in which order to choose ----------------------------------------------------------------

_CHOOSING = (
    ("fire", "Find out what burns: floor, room, side"),
    ("opening", "Choose the opening that lets the stream into that room"),
    ("tip", "Say where the tip must be for that opening, with ladder and nozzle in one line"),
    ("turntable", "Work back from the tip to a spot for the turntable"),
    ("walk", "Walk that spot: ground under each pad, lines overhead, collapse zone"),
    ("brake", "Bring the rig to the mark; parking brake on"),
)

ORDER = Ordering(
    id="choosing-the-spot-q6",
    title="In which order?",
    variable="order",
    points=2,
    rows=(
        {"rig": "Tower 3", "site": "the mill"},
        {"rig": "Ladder 9", "site": "the Gorse Lane shops"},
        {"rig": "Tower 3", "site": "the cold store"},
    ),
    ask=lambda row: (
        f"You choose {row['rig']}'s spot at {row['site']}. The whole district is yours; nobody has "
        "stopped yet. Put these steps in order."
    ),
    steps=lambda row: _CHOOSING,
    faults=broken_rules(
        (
            Rule(
                "fire",
                "opening",
                "An opening is worth something only if it leads to what burns: find the fire "
                "before you pick a way in.",
            ),
            Rule(
                "opening",
                "tip",
                "Where the tip belongs follows from the opening; without one it is a guess.",
            ),
            Rule(
                "tip",
                "turntable",
                "The turntable's place follows from the tip's. Parked first, the ladder has to "
                "make do with long, low or turned.",
            ),
            Rule(
                "turntable",
                "walk",
                "Ground, lines and zone are looked at for one certain spot: it must be named "
                "before it can be walked.",
            ),
            Rule(
                "walk",
                "brake",
                "What is found under the pads or overhead with the rig in place costs the spot and "
                "the time. Look first.",
            ),
        )
    ),
    reread=RECAP,
)

# --- 7. a spot of one's own -----------------------------------------------------------------------

_BAND_FT = 20  # how far behind the zone's edge the tip may be
_WINDOW_FT = 12  # how far above the sill


def _tip(row, values):
    """(tip to wall, tip above the ground) of a plan."""
    out, up = aerials.tip_position_ft(
        row["turntable"], 0.0, values["length out"], values["elevation"]
    )
    return values["turntable to wall"] - out, up


def _zone_ft(row):
    return clearances.collapse_zone_ft(row["top"], 1.5)


def _spot(row, *, behind=_BAND_FT / 2, above=_WINDOW_FT / 2, out=None):
    """A plan with the tip so far behind the zone's edge and so far above the sill."""
    out = (row["least"] + row["cap"]) / 2 if out is None else out
    rise = row["sill"] + above - row["turntable"]
    return {
        "turntable to wall": _zone_ft(row) + behind + sqrt(out**2 - rise**2),
        "length out": out,
        "elevation": degrees(asin(rise / out)),
    }


def _ladder_does(row, values):
    return (
        row["least"] <= values["length out"] <= row["cap"]
        and 0 <= values["elevation"] <= row["highest"]
    )


PLACE = Plan(
    id="choosing-the-spot-q7",
    title="Choose the spot",
    variable="plan",
    points=3,
    rows_from=lambda department: tuple(
        {
            **_part(ladder, "rig", "turntable", "least", "highest"),
            "cap": cap,
            "top": top,
            "sill": sill,
        }
        for ladder in _ladders(department)
        for cap in (60, 65, 70)
        for top, sill in ((40, 27), (40, 15), (30, 16), (24, 14))
        if ladder["least"] + 10 <= cap <= 0.95 * ladder["most"] and ladder["turntable"] < sill - 2
    ),
    ask=lambda row: (
        f"The wall is {row['top']} ft to the top of its parapet. Command sets a collapse zone of one "
        f"and a half times that. {row['rig']} works square to the wall; turntable "
        f"{row['turntable']:g} ft above the ground. Keep the tip outside the zone, but no more than "
        f"{_BAND_FT} ft beyond its edge; not below the sill ({row['sill']} ft above the ground) and "
        f"no more than {_WINDOW_FT} ft above it. The ladder is {row['least']:g} ft long when it is "
        f"all in; have no more than {row['cap']} ft out, and not above {row['highest']:g} degrees. "
        f"{AT_CENTRE} Give: turntable to wall; length out; elevation."
    ),
    parts=(
        Part(name="turntable to wall", kind="length", unit="foot", example="100 ft"),
        Part(name="length out", kind="length", unit="foot", example="400 ft"),
        Part(name="elevation", kind="angle", unit="degree", example="60 deg"),
    ),
    conditions=(
        Condition(
            name="tip-in-the-zone",
            met=lambda row, values: _tip(row, values)[0] >= _zone_ft(row) - 0.05,
            sentence="The tip is inside the collapse zone, even if the truck is not: measure from "
            "the wall to the tip as well, with the zone from the parapet's top.",
            share=0.3,
            missing=lambda row: _spot(row, behind=-6),
        ),
        Condition(
            name="tip-too-far",
            met=lambda row, values: 0 <= _tip(row, values)[0] <= _zone_ft(row) + _BAND_FT + 0.05,
            sentence="The tip is not in front of the wall where the stream was asked to start from: "
            "work out how far out the ladder brings it.",
            share=0.2,
            missing=lambda row: _spot(row, behind=_BAND_FT + 6),
        ),
        Condition(
            name="tip-height",
            met=lambda row, values: (
                row["sill"] - 0.05 <= _tip(row, values)[1] <= row["sill"] + _WINDOW_FT + 0.05
            ),
            sentence="The tip is not at the height asked for. Its height is the turntable's and the "
            "length times the sine of the elevation; length is not height.",
            share=0.3,
            missing=lambda row: _spot(row, above=-1.5),
        ),
        Condition(
            name="ladder",
            met=_ladder_does,
            sentence="That ladder is longer than was allowed here, shorter than it is when it is "
            "all in, or outside the elevations asked for.",
            share=0.2,
            missing=lambda row: _spot(row, out=row["cap"] + 8),
        ),
    ),
    found=_spot,
    reread="Lesson 02, worked example: from the tip back to the turntable.",
)

# --- 8. why not? Somebody else's sum --------------------------------------------------------------

_RIGHT_WAYS = {
    "rise": lambda row, seen: row["out"] * sin(radians(row["deg"])),
    "height": lambda row, seen: seen["rise"] + row["turntable"],
    "level": lambda row, seen: row["out"] * cos(radians(row["deg"])),
    "gap": lambda row, seen: row["wall"] - seen["level"],
}
_WRONG_WAYS = {
    "rise": lambda row, seen: row["out"],
    "height": lambda row, seen: seen["rise"] - row["turntable"],
    "level": lambda row, seen: row["out"] * tan(radians(row["deg"])),
    "gap": lambda row, seen: row["wall"] + seen["level"],
}


def _seen(row):
    """The numbers that stand in the sum, each to a tenth, the wrong one among them."""
    seen = {}
    for name, right in _RIGHT_WAYS.items():
        way = _WRONG_WAYS[name] if name == row["fault"] else right
        seen[name] = round(way(row, seen), 1)
    return seen


def _sum(row):
    seen = _seen(row)
    return (
        (
            "given",
            f"{row['rig']}: {row['out']} ft of ladder out at {row['deg']} degrees, turntable "
            f"{row['turntable']:g} ft above the ground and {row['wall']} ft from the wall.",
        ),
        ("rise", f"The ladder rises {seen['rise']:.1f} ft above the turntable."),
        ("height", f"So the tip is {seen['height']:.1f} ft above the ground."),
        ("level", f"The tip is {seen['level']:.1f} ft out from the turntable, measured level."),
        ("gap", f"So it is {seen['gap']:.1f} ft from the wall."),
    )


def _other_part(row):
    """Sine and cosine mixed up in the step that has either."""
    turned = {"rise": cos, "level": sin}.get(row["fault"])
    return row["out"] * turned(radians(row["deg"])) if turned else None


FAULT = FindFault(
    id="choosing-the-spot-q8",
    title="Find the fault",
    variable="fault",
    points=2,
    rows_from=lambda department: tuple(
        {**_part(ladder, "rig", "turntable"), "out": out, "deg": deg, "wall": wall, "fault": fault}
        for ladder in _ladders(department)
        for out, deg, wall in ((60, 35, 75), (70, 40, 80), (65, 55, 60))
        for fault in _RIGHT_WAYS
        if ladder["least"] <= out <= ladder["most"] and deg <= ladder["highest"]
    ),
    ask=lambda row: (
        "The tip did not get to the window. Somebody had worked it out like this, with the heel pin "
        "at the turntable's centre. One step is wrong. Which, and what number belongs there, if all "
        "above it stands? Feet, within 1 percent."
    ),
    steps=_sum,
    fault=lambda row: row["fault"],
    stands=lambda row: _WRONG_WAYS[row["fault"]](row, _seen(row)),
    number=Question(
        id="choosing-the-spot-q8-number",
        variable="",
        points=1,
        kind="length",
        unit="foot",
        ask=lambda row: "",
        right=lambda row: _RIGHT_WAYS[row["fault"]](row, _seen(row)),
        slips=(
            Slip(
                "sine-and-cosine",
                _other_part,
                "Sine and cosine are mixed up: the sine rises, the cosine goes out.",
            ),
            Slip(
                "turntable-put-on",
                lambda row: (
                    _RIGHT_WAYS[row["fault"]](row, _seen(row)) + row["turntable"]
                    if row["fault"] in ("rise", "level")
                    else None
                ),
                "The turntable's height was put on top. It belongs to the tip's height above the "
                "ground alone.",
                did="put the turntable's height on",
                minor=True,
            ),
            Slip(
                "turntable-left-out",
                lambda row: _seen(row)["rise"] if row["fault"] == "height" else None,
                "That is the rise alone. The turntable already stands above the ground.",
                did="leave the turntable out",
                minor=True,
            ),
            Slip(
                "way-out-for-gap",
                lambda row: _seen(row)["level"] if row["fault"] == "gap" else None,
                "That is how far out the tip is. From it and the distance of the turntable "
                "follows what is left to the wall.",
                did="give the way out",
                minor=True,
            ),
            Slip(
                "tangent",
                lambda row: (
                    row["out"] * tan(radians(row["deg"])) if row["fault"] == "rise" else None
                ),
                "The tangent was used. The ladder is the long side: the rise takes the sine.",
                did="take the tangent",
                minor=True,
            ),
            Slip(
                "degrees-as-radians",
                lambda row: (
                    row["out"] * abs({"rise": sin, "level": cos}[row["fault"]](row["deg"]))
                    if row["fault"] in ("rise", "level")
                    else None
                ),
                "The calculator stood on radians. Set it to degrees.",
                did="leave the calculator on radians",
                minor=True,
            ),
            Slip(
                "length-itself",
                lambda row: row["out"] if row["fault"] in ("level", "height") else None,
                "That is the length of the ladder. A raised ladder comes out less far, and rises "
                "less.",
                did="give the length",
                minor=True,
            ),
            Slip(
                "rise-from-the-wall",
                lambda row: row["wall"] - _seen(row)["rise"] if row["fault"] == "gap" else None,
                "The rise was taken off the distance. What the tip comes out goes off, not what "
                "it rises.",
                did="take the rise off",
                minor=True,
            ),
        ),
        example="400 ft",
        first_step="Work that step anew from the numbers above it.",
        reread=WORKED,
    ),
    reread=WORKED,
)

PAPER = Paper(
    name="choosing-the-spot",
    title="Choosing the spot",
    version=VERSION,
    situation=(
        "A week of size-ups in an invented district, with invented rigs: a brick mill, a row of "
        "shops, a cold store, and a stack of containers on the drill ground. Each time you ride in "
        "the seat that says where the ladder goes, and each time the truck can be parked only once. "
        "A sketch and a calculator help."
    ),
    questions=(REACH, LENGTH, ELEVATION, SCRUB, SPOT, ORDER, PLACE, FAULT),
    minutes=25,
    closing=(
        "Geometry tells where the tip would be, not what the ladder may do there. Reach, elevation "
        "and length for a flowing nozzle stand in **its** operator's manual. Look up, down and "
        "around before you set the brake. The manual, local procedure and qualified people decide."
    ),
)
