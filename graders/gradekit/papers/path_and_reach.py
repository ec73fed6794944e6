"""Questions of the assignment on the path and the reach of the stream.

Right answers come from `aerialstream`; each slip has its own wrong formula. Devices and tips are
those of the department's own data; distances, heights and pressures are made up.
"""

from fractions import Fraction
from itertools import pairwise
from math import atan2, cos, degrees, hypot, nan, radians, sin, sqrt, tan

from aerialstream._core import nozzles, stream
from aerialstream.constants import GRAVITY
from gradekit.questions import (
    Carried,
    Choice,
    Condition,
    Estimate,
    Option,
    Paper,
    Part,
    Plan,
    Question,
    Slip,
)

VERSION = "2026.1"
EXAMPLE = "Lesson 05, worked example, has the same steps."
PANEL = "Lesson 05 shows it: move the nozzle in the panel and watch where the stream goes."
RECAP = "Lesson 05, recap, says how sure each figure is."

# --- the department's own data as rows --------------------------------------------------------


def _inches(size):
    """A tip as a crew says it: 1.75 is "1 3/4"."""
    whole, part = divmod(Fraction(size).limit_denominator(16), 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) or "0"


def _tips(department):
    """(device, size in inches) of every smooth-bore tip on every device."""
    bores = {
        nozzle.id: nozzle.tip_diameter.to("inch").magnitude
        for nozzle in department.nozzles
        if nozzle.kind == "smooth bore"
    }
    return [
        (device, bores[name])
        for device in department.apparatus
        for name in device.nozzles
        if name in bores
    ]


def _reach(row):
    return stream.usable_reach_ft(row["tip"], row["psi"])


def _apart(question, row):
    """Whether no two slips lie so near to each other that an answer cannot tell which it was."""
    numbers = sorted(number for _, number in question.wrongs(row))
    return all(b - a > 1.1 * question._allowance(b) for a, b in pairwise(numbers))


def _quiet(question, row):
    """Whether the example of how to write an answer earns nothing, whatever the department's data."""
    return not question.judge(row, question.example_answer).points


# --- 1. usable reach by the rule; 2. what of it is left ---------------------------------------

# How far over the ground and how much higher than the tip.
_WINDOWS = ((58, 24), (62, 26), (66, 24), (60, 28), (55, 26), (70, 28), (64, 22))
_FOOT = 0.3048
_PASCALS = 6894.757


def _landed(tip, psi):
    """Feet to where the last water of a stream falls, to the nearest ten."""
    last = stream.stream(tip * 0.0254, psi * _PASCALS, 35).last
    return round(last.x / _FOOT, -1)


def _streams(department):
    """A tip at a pressure, a window, and how far out the last water of such a stream fell."""
    rows = []
    for device, tip in _tips(department):
        for psi in (65, 70, 75, 80, 85, 90, 100):
            away, above = _WINDOWS[len(rows) % len(_WINDOWS)]
            rows.append(
                {
                    "device": device.name,
                    "tip_text": _inches(tip),
                    "tip": tip,
                    "psi": psi,
                    "landed": round(_landed(tip, psi)),
                    "away": away,
                    "above": above,
                }
            )
    return tuple(rows)


def _by_rule(row, *, pressure=0.5, base=26, an_eighth=5, over=0.75, eighths=8):
    """The rule with something in it changed."""
    return pressure * row["psi"] + base + an_eighth * eighths * (row["tip"] - over)


REACH = Question(
    id="path-and-reach-q1",
    title="Usable reach",
    variable="usable_reach",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_streams,
    keep=lambda row: (
        LEFT.fits(row)
        and LEFT.value(row) >= 8
        and all(_apart(question, row) and _quiet(question, row) for question in (REACH, LEFT))
    ),
    ask=lambda row: (
        f"{row['device']} has its {row['tip_text']}-in smooth-bore tip on, {row['psi']} psi nozzle "
        f"pressure. At the last drill the farthest water of such a stream fell about "
        f"{row['landed']} ft out. How far along the stream is it still a good, solid stream, by the "
        "handbook rule for a 3/4-in tip and what it adds for larger ones? Answer in feet, within 1 "
        "percent."
    ),
    right=_reach,
    slips=(
        Slip(
            "throw-for-reach",
            lambda row: row["landed"],
            "That is the throw: where the last drops fall. They are spray by then and wet little; "
            "the usable reach is about half as far.",
            0.0,
            did="take the throw",
        ),
        Slip(
            "half-of-the-throw",
            lambda row: row["landed"] / 2,
            "That is half the throw, a fair check of the size. The rule was asked for, from pressure "
            "and tip.",
            did="halve the throw",
        ),
        Slip(
            "whole-pressure",
            lambda row: _by_rule(row, pressure=1),
            "The whole pressure was counted. The rule gives half a foot for each psi; counting more "
            "sends the ladder to a spot too far off.",
            did="count the whole pressure",
        ),
        Slip(
            "base-forgotten",
            lambda row: _by_rule(row, base=0),
            "The fixed part of the rule was left out. It holds for every tip and is added to half "
            "the pressure.",
            did="leave out the fixed part",
        ),
        Slip(
            "tip-forgotten",
            lambda row: _by_rule(row, an_eighth=0),
            "That is the reach of a small tip. A larger one holds together longer: add for each "
            "eighth of an inch over three quarters.",
            did="leave out what a larger tip adds",
        ),
        Slip(
            "eighths-from-nothing",
            lambda row: _by_rule(row, over=0),
            "All the eighths of the tip were counted. The rule starts at a tip of three quarters: "
            "only what is over that adds.",
            did="count all the eighths of the tip",
        ),
        Slip(
            "eighths-from-an-inch",
            lambda row: _by_rule(row, over=1),
            "The eighths were counted from one inch. The rule starts at a tip of three quarters.",
            did="count the eighths from one inch",
        ),
        Slip(
            "quarters-for-eighths",
            lambda row: _by_rule(row, eighths=4),
            "Quarters of an inch were counted. The rule adds for each eighth.",
            did="count quarters of an inch",
        ),
        Slip(
            "one-step-only",
            lambda row: row["psi"] / 2 + 26 + 5,
            "One eighth was counted, however many there are. Count how often an eighth goes into "
            "what the tip has over three quarters.",
            did="count one eighth only",
        ),
        Slip(
            "a-foot-for-an-eighth",
            lambda row: _by_rule(row, an_eighth=1),
            "One foot was added for each eighth. The rule adds more: look it up in the worked "
            "example.",
            did="add one foot for each eighth",
        ),
        Slip(
            "upward-rule",
            lambda row: _by_rule(row, pressure=0.625),
            "Five eighths of a foot were counted for each psi. That is the rule for a stream "
            "straight up; along its way it is half a foot.",
            did="take the rule for straight up",
            minor=True,
        ),
        Slip(
            "halved-all",
            lambda row: (row["psi"] + 26 + 40 * (row["tip"] - 0.75)) / 2,
            "All of it was halved. Only the pressure is.",
            did="halve all of it",
            minor=True,
        ),
        Slip(
            "base-and-tip-forgotten",
            lambda row: row["psi"] / 2,
            "That is what the pressure gives. The rule adds a fixed part, and more for a "
            "larger tip.",
            did="give what the pressure gives",
            minor=True,
        ),
        Slip(
            "whole-pressure-and-no-tip",
            lambda row: row["psi"] + 26,
            "The whole pressure was counted, and what a larger tip adds was left out.",
            did="count the whole pressure and leave the tip out",
            minor=True,
        ),
        Slip(
            "tip-taken-off",
            lambda row: _by_rule(row, an_eighth=-5),
            "What a larger tip adds was taken off. A larger stream holds together longer.",
            did="take off what a larger tip adds",
            minor=True,
        ),
        Slip(
            "sixteenths-for-eighths",
            lambda row: _by_rule(row, eighths=16),
            "Sixteenths of an inch were counted. The rule adds for each eighth.",
            did="count sixteenths",
            minor=True,
        ),
        Slip(
            "tenths-for-eighths",
            lambda row: _by_rule(row, eighths=10),
            "Tenths of an inch were counted. The rule adds for each eighth.",
            did="count tenths",
            minor=True,
        ),
    ),
    example="333 ft",
    first_step="First take half the pressure, then count the eighths over three quarters.",
    reread=EXAMPLE,
)


def _way(row):
    return hypot(row["away"], row["above"])


def _up_to(row, reach):
    """How high the reach goes over that distance; not a number where it does not come so far."""
    return sqrt(reach**2 - row["away"] ** 2) if reach > row["away"] else nan


LEFT = Carried(
    id="path-and-reach-q2",
    title="To the window",
    variable="reach_left",
    kind="length",
    unit="foot",
    points=2,
    same_row_as=REACH,
    carries=(REACH,),
    tolerance=0.01,
    allow=1.0,
    tolerance_words="within 1 ft",
    ask=lambda row: (
        f"Same stream of {row['device']}. From the tip the window lies {row['away']} ft away over the "
        f"ground and {row['above']} ft higher. Taken as a straight line up to it, how much of your "
        "usable reach from question 1 is left over beyond the window? Answer in feet, within 1 ft."
    ),
    right=lambda row, reach: reach - _way(row),
    slips=(
        Slip(
            "level-only",
            lambda row, reach: reach - row["away"],
            "Only the distance over the ground was counted. The water climbs as well: its way is the "
            "long side of the triangle.",
            did="count only the distance over the ground",
        ),
        Slip(
            "height-only",
            lambda row, reach: reach - row["above"],
            "Only the height was counted. The way of the water is the long side of the triangle.",
            did="count only the height",
        ),
        Slip(
            "legs-added",
            lambda row, reach: reach - row["away"] - row["above"],
            "Distance and height were added up, as if the water went along the ground and then up "
            "the wall. It goes straight across.",
            did="add distance and height",
        ),
        Slip(
            "squares-taken-away",
            lambda row, reach: reach - sqrt(abs(row["away"] ** 2 - row["above"] ** 2)),
            "The squares were taken from each other. For the long side of the triangle they are "
            "added.",
            did="take the squares from each other",
        ),
        Slip(
            "way-for-rest",
            lambda row, reach: _way(row),
            "That is the way to the window. Asked is what is left of the reach beyond it.",
            0.5,
            did="stop at the way to the window",
        ),
        Slip(
            "added-to-reach",
            lambda row, reach: reach + _way(row),
            "The way was added to the reach. The water spends its reach on the way: take it off.",
            did="add the way to the reach",
        ),
        Slip(
            "throw-for-reach",
            lambda row, reach: row["landed"] - _way(row),
            "It was taken from the throw. Out there only spray falls; what counts at the window is "
            "the usable reach.",
            0.0,
            did="take it from the throw",
        ),
        Slip(
            "reach-as-long-side",
            lambda row, reach: _up_to(row, reach) - row["above"],
            "The reach was taken as the long side, and the height taken off what it goes up "
            "there. Take the whole way to the window off the reach.",
            did="take the reach for the long side",
            minor=True,
        ),
        Slip(
            "height-taken-off",
            lambda row, reach: reach - row["above"] - _way(row),
            "The height was taken off twice. It lies in the way to the window already.",
            did="take the height off twice",
            minor=True,
        ),
        Slip(
            "way-squared",
            lambda row, reach: _way(row) ** 2,
            "The root was left out: that is the square of the way.",
            did="leave out the root",
            minor=True,
        ),
        Slip(
            "half-the-way",
            lambda row, reach: reach - (row["away"] + row["above"]) / 2,
            "The mean of distance and height was taken for the way. The way is the long side "
            "of the triangle.",
            did="take the mean for the way",
            minor=True,
        ),
    ),
    example="222 ft",
    first_step="First find the straight way up to the window: the long side of the triangle.",
    reread=EXAMPLE,
)

# --- 3. how far the stream falls; 4. where it meets the wall ----------------------------------


def _flights(department):
    """A nozzle pitched at a wall not far off, with a device of the department."""
    names = list(dict.fromkeys(device.name for device, _ in _tips(department)))
    return tuple(
        {
            "device": name,
            "psi": (60, 65, 70, 80, 85, 90)[(n + m + k) % 6],
            "deg": deg,
            "ft": ft,
        }
        for n, name in enumerate(names)
        for m, deg in enumerate((20, 22, 25, 28, 30, 32, 35, 40))
        for k, ft in enumerate((40, 44, 47, 50, 53, 56))
    )


def _fall_ft(psi, deg, ft):
    """Feet by gravity alone, on the way to a wall so far ahead."""
    seconds = ft / (nozzles.stream_velocity_ft_s(psi) * cos(radians(deg)))
    return GRAVITY.value / 2 * seconds**2


def _fallen(row):
    return _fall_ft(row["psi"], row["deg"], row["ft"])


def _seconds(row, *, speed=None, share=None):
    """Our own time of flight, with something in it changed."""
    level = cos(radians(row["deg"])) if share is None else share
    return row["ft"] / ((speed or 12.19 * sqrt(row["psi"])) * level)


FALL = Question(
    id="path-and-reach-q3",
    title="The fall of the stream",
    variable="fall",
    kind="length",
    unit="foot",
    points=2,
    rows_from=_flights,
    keep=lambda row: (
        HEIGHT.fits(row)
        and all(_apart(question, row) and _quiet(question, row) for question in (FALL, HEIGHT))
    ),
    tolerance=0.03,
    tolerance_words="within 3 percent",
    angles=("deg",),
    ask=lambda row: (
        f"{row['device']}'s nozzle is pitched {row['deg']} degrees above level, {row['psi']} psi at a "
        f"smooth bore, and the wall stands {row['ft']} ft ahead of the tip over the ground. The "
        "water leaves at 12.2 times the root of the pressure, in feet a second, and falls 16.1 ft "
        "times the seconds squared. How far does it fall below the nozzle's line on the way to the "
        "wall, by gravity alone? Answer in feet, within 3 percent."
    ),
    right=_fallen,
    slips=(
        Slip(
            "pitch-forgotten",
            lambda row: 16.1 * _seconds(row, share=1) ** 2,
            "The pitch was left out of the time. A stream that climbs comes ahead more slowly: only "
            "the level part of its speed counts.",
            0.5,
            did="leave out the pitch",
        ),
        Slip(
            "sine-for-cosine",
            lambda row: 16.1 * _seconds(row, share=sin(radians(row["deg"]))) ** 2,
            "The sine gives how fast the water climbs. How fast it comes to the wall is the cosine.",
            did="take the sine",
        ),
        Slip(
            "seconds-not-squared",
            lambda row: 16.1 * _seconds(row),
            "The seconds were not squared. What falls gets faster and faster.",
            did="leave the seconds unsquared",
        ),
        Slip(
            "half-forgotten",
            lambda row: 32.2 * _seconds(row) ** 2,
            "Gravity was taken whole. A fall is half of it times the seconds squared; the question "
            "gives the half.",
            did="take gravity whole",
        ),
        Slip(
            "root-forgotten",
            lambda row: 16.1 * _seconds(row, speed=12.19 * row["psi"]) ** 2,
            "The root of the pressure was left out: no stream is that fast, and the fall looks like "
            "nothing.",
            did="leave out the root",
        ),
        Slip(
            "metric-fall",
            lambda row: 4.905 * _seconds(row) ** 2,
            "The fall was taken from the metric figure. With feet the question gives its own.",
            did="take the metric figure",
        ),
        Slip(
            "a-hundred-psi",
            lambda row: 16.1 * _seconds(row, speed=121.9) ** 2,
            "That is the fall at a fog nozzle's usual pressure. Slower water falls farther: take the "
            "pressure of the question.",
            did="work with a fog nozzle's pressure",
        ),
        Slip(
            "climb-of-the-line",
            lambda row: row["ft"] * tan(radians(row["deg"])),
            "That is how far the nozzle's line climbs to the wall. Asked is how far the water falls "
            "below it.",
            did="work out the climb of the line",
        ),
        Slip(
            "seconds-for-feet",
            lambda row: _seconds(row),
            "That is the time on the way, in seconds. Asked is how far it falls meanwhile.",
            did="stop at the seconds",
            minor=True,
        ),
        Slip(
            "speed-without-its-figure",
            lambda row: 16.1 * _seconds(row, speed=sqrt(row["psi"])) ** 2,
            "The root alone was taken for the speed. The question tells what it is multiplied by.",
            did="take the root alone for the speed",
            minor=True,
        ),
        Slip(
            "height-at-the-wall",
            lambda row: row["ft"] * tan(radians(row["deg"])) - _fallen(row),
            "That is how high the stream meets the wall. Asked here is only how far it has fallen.",
            did="give the height at the wall",
            minor=True,
        ),
        Slip(
            "seconds-doubled",
            lambda row: 16.1 * 2 * _seconds(row),
            "The seconds were doubled. They are taken times themselves.",
            did="double the seconds",
            minor=True,
        ),
        Slip(
            "cosine-multiplied",
            lambda row: 16.1 * _seconds(row, share=1 / cos(radians(row["deg"]))) ** 2,
            "It was multiplied by the cosine. The level part of the speed is less, so the way "
            "takes longer: divide.",
            did="multiply by the cosine",
            minor=True,
        ),
        Slip(
            "cosine-twice",
            lambda row: 16.1 * _seconds(row, share=cos(radians(row["deg"])) ** 2) ** 2,
            "The cosine was taken twice, once for the way. The wall is measured over the "
            "ground already.",
            did="take the cosine twice",
            minor=True,
        ),
        Slip(
            "pressure-halved",
            lambda row: 16.1 * _seconds(row, speed=12.2 * row["psi"] / 2) ** 2,
            "The pressure was halved. The speed goes with its root, the number that times "
            "itself gives it.",
            did="halve the pressure instead of taking its root",
            minor=True,
        ),
        Slip(
            "tangent",
            lambda row: 16.1 * _seconds(row, share=tan(radians(row["deg"]))) ** 2,
            "The tangent was used. How fast the water comes ahead is the cosine.",
            did="take the tangent",
            minor=True,
        ),
        Slip(
            "speed-for-seconds",
            lambda row: 16.1 * (12.2 * sqrt(row["psi"]) / row["ft"]) ** 2,
            "The speed was divided by the way. Seconds are way over speed.",
            did="divide the speed by the way",
            minor=True,
        ),
        Slip(
            "sum-squared",
            lambda row: (16.1 * _seconds(row)) ** 2,
            "All of it was squared. Only the seconds are.",
            did="square all of it",
            minor=True,
        ),
        Slip(
            "metric-gravity",
            lambda row: 9.8 * _seconds(row) ** 2,
            "The metric pull of the earth was taken, and whole. In feet a fall is 16.1 times "
            "the seconds squared.",
            did="take the metric figure whole",
            minor=True,
        ),
    ),
    example="222 ft",
    first_step="First the speed ahead, then the seconds to the wall, then the fall.",
    reread=EXAMPLE,
)

HEIGHT = Carried(
    id="path-and-reach-q4",
    title="Where it meets the wall",
    variable="meets_wall",
    kind="length",
    unit="foot",
    points=2,
    same_row_as=FALL,
    carries=(FALL,),
    tolerance=0.02,
    tolerance_words="within 2 percent",
    angles=("deg",),
    ask=lambda row: (
        f"Same nozzle of {row['device']}, pitched {row['deg']} degrees, wall {row['ft']} ft ahead. "
        "With your fall from question 3: how high above the tip does the stream meet the wall? "
        "Answer in feet, within 2 percent."
    ),
    right=lambda row, fall: row["ft"] * tan(radians(row["deg"])) - fall,
    slips=(
        Slip(
            "fall-forgotten",
            lambda row, fall: row["ft"] * tan(radians(row["deg"])),
            "That is where the nozzle's line meets the wall. The water comes in lower: sighted like "
            "that, it strikes below the sill.",
            did="leave out the fall",
        ),
        Slip(
            "fall-added",
            lambda row, fall: row["ft"] * tan(radians(row["deg"])) + fall,
            "The fall was added. Water only ever falls below the nozzle's line.",
            did="add the fall",
        ),
        Slip(
            "sine-for-tangent",
            lambda row, fall: row["ft"] * sin(radians(row["deg"])) - fall,
            "The sine was taken. It belongs to a length along the line; the wall is measured over "
            "the ground, so take the tangent.",
            did="take the sine",
        ),
        Slip(
            "cosine-for-tangent",
            lambda row, fall: row["ft"] * cos(radians(row["deg"])) - fall,
            "The cosine was taken. How high a line climbs over a level distance is the tangent.",
            did="take the cosine",
        ),
        Slip(
            "turned-round",
            lambda row, fall: row["ft"] / tan(radians(row["deg"])) - fall,
            "It was divided by the tangent. A line climbs its level distance times the tangent.",
            did="divide by the tangent",
        ),
        Slip(
            "share-of-ninety",
            lambda row, fall: row["ft"] * row["deg"] / 90 - fall,
            "The pitch was taken as a share of ninety degrees. Height does not grow in step with the "
            "angle: take the tangent.",
            did="take the pitch as a share of ninety degrees",
        ),
        Slip(
            "degrees-as-percent",
            lambda row, fall: row["ft"] * row["deg"] / 100 - fall,
            "Degrees were taken as percent. A pitch in degrees climbs much more than the same "
            "number in percent.",
            did="take the degrees as percent",
            minor=True,
        ),
        Slip(
            "share-of-forty-five",
            lambda row, fall: row["ft"] * row["deg"] / 45 - fall,
            "The pitch was taken as a share of 45 degrees. That is right at both ends only: "
            "the line climbs with the tangent.",
            did="take a share of 45 degrees",
            minor=True,
        ),
        Slip(
            "fall-alone",
            lambda row, fall: fall,
            "That is the fall alone. The nozzle's line climbs meanwhile.",
            did="give the fall",
            minor=True,
        ),
        Slip(
            "sine-and-no-fall",
            lambda row, fall: row["ft"] * sin(radians(row["deg"])),
            "The sine was taken, and the fall left out. The line climbs with the tangent, and "
            "water falls below it.",
            did="take the sine and leave the fall out",
            minor=True,
        ),
        Slip(
            "fall-twice",
            lambda row, fall: row["ft"] * tan(radians(row["deg"])) - 2 * fall,
            "The fall was taken off twice.",
            did="take the fall off twice",
            minor=True,
        ),
        Slip(
            "climb-along-the-line",
            lambda row, fall: row["ft"] / cos(radians(row["deg"])) - fall,
            "The length of the line was taken for its climb. It climbs its level distance "
            "times the tangent.",
            did="take the length of the line",
            minor=True,
        ),
    ),
    example="555 ft",
    first_step="First find how high the nozzle's line is at the wall, then take the fall off.",
    reread=EXAMPLE,
)

# --- 5. plan: aim above the sight line --------------------------------------------------------

_NEAREST, _FARTHEST = 20, 60


def _at_wall(row, values):
    """Feet above the tip at which the stream meets the wall, by gravity alone."""
    away, pitch = values["distance from the wall"], values["pitch"]
    if not (0 < away and -85 <= pitch <= 85):
        return -999.0
    return away * tan(radians(pitch)) - _fall_ft(row["psi"], pitch, away)


def _aimed(row, above, away=40.0):
    """A distance and the pitch that bring the stream to a height at the wall."""
    low, high = degrees(atan2(above, away)), 70.0
    for _ in range(40):
        middle = (low + high) / 2
        met = _at_wall(row, {"distance from the wall": away, "pitch": middle})
        low, high = (middle, high) if met < above else (low, middle)
    return {"distance from the wall": away, "pitch": low}


def _openings(department):
    names = list(dict.fromkeys(device.name for device, _ in _tips(department)))
    return tuple(
        {"device": name, "psi": psi, "sill": sill, "head": sill + 6}
        for name in names
        for psi in (60, 75, 80)
        for sill in (14, 17, 20, 23)
    )


AIM = Plan(
    id="path-and-reach-q5",
    title="Aim above the sight line",
    variable="aim",
    points=3,
    rows_from=_openings,
    ask=lambda row: (
        f"On the training structure a window begins {row['sill']} ft above the tip of "
        f"{row['device']} (sill) and ends {row['head']} ft above it (head). Smooth bore, {row['psi']} "
        "psi. Nobody is in the structure: everyone has been counted. Bring the stream in at least 1 ft above the sill and 1 ft below "
        f"the head, by gravity alone (speed and fall as in question 3). The instructor wants the tip {_NEAREST} to {_FARTHEST} ft from "
        "the wall. Give the distance of the tip from the wall over the ground, and the pitch of the "
        "nozzle above level."
    ),
    parts=(
        Part(name="distance from the wall", kind="length", unit="foot", example="400 ft"),
        Part(name="pitch", kind="angle", unit="degree", example="80 deg"),
    ),
    conditions=(
        Condition(
            name="above-the-sill",
            met=lambda row, v: _at_wall(row, v) >= row["sill"] + 1,
            sentence="The stream comes to the wall too low and strikes it at or under the sill. Mind "
            "the fall below the nozzle's line.",
            share=0.4,
            missing=lambda row: _aimed(row, row["sill"] - 2),
        ),
        Condition(
            name="below-the-head",
            met=lambda row, v: -10 <= _at_wall(row, v) <= row["head"] - 1,
            sentence="The stream passes over the head of the window, or never comes to the wall.",
            share=0.3,
            missing=lambda row: _aimed(row, row["head"] + 2),
        ),
        Condition(
            name="place-of-the-tip",
            met=lambda row, v: _NEAREST <= v["distance from the wall"] <= _FARTHEST,
            sentence="The tip stands nearer to the wall, or farther from it, than the instructor wants.",
            share=0.3,
            missing=lambda row: _aimed(row, row["sill"] + 3, away=_NEAREST - 6.0),
        ),
    ),
    found=lambda row: _aimed(row, row["sill"] + 3),
    reread=PANEL,
)

# --- 6. the best angle for throw; 7. wind -----------------------------------------------------

_AIRS = ("In still air", "Against a head wind of about 15 mph")


def _throws(department):
    return tuple(
        {"device": device.name, "tip_text": _inches(tip), "air": air}
        for device, tip in _tips(department)
        for air in _AIRS
    )


BEST = Choice(
    id="path-and-reach-q6",
    title="The angle for the longest throw",
    variable="best_angle",
    points=1,
    rows_from=_throws,
    ask=lambda row: (
        f"{row['air']}, {row['device']} is to throw the stream of its {row['tip_text']}-in tip, about 80 "
        "psi, as far as it goes, over a burning scrap heap that nobody can come near. Which pitch "
        "above level do you choose?"
    ),
    options=(
        Option(
            name="flat-top",
            text="Somewhere from 30 to 40 degrees; a few degrees more or less hardly matter",
            reason="The throw changes very little around its best angle, so there is room to choose "
            "what suits ladder, wind and target.",
            right=True,
        ),
        Option(
            name="exactly-32",
            text="Just 32 degrees; a few degrees off and much of the throw is lost",
            reason="That angle throws well, but not because it is the only one: a few degrees off "
            "cost next to nothing, measured and computed.",
            credit=0.5,
        ),
        Option(
            name="exactly-45",
            text="Just 45 degrees, as for anything that is thrown",
            reason="That is the best angle of a stone in empty space. Air slows a stream, and it "
            "pays to stay lower; nor is any one angle sharp.",
        ),
        Option(
            name="steep",
            text="As steep as ladder and nozzle allow, so that it stays up long",
            reason="A steep stream comes down near the rig: height is bought with distance.",
        ),
        Option(
            name="level",
            text="Level, since that is the straightest way there",
            reason="A level stream falls to the ground soon. It has to climb first to have the time "
            "to go far.",
        ),
    ),
    reread=PANEL,
)


def _winds(department):
    near = ((40, 10), (40, 15), (40, 20), (50, 10), (50, 15))
    far = ((170, 10), (170, 15), (180, 20), (190, 15), (160, 20))
    tips = _tips(department)
    return tuple(
        {
            "device": tips[n % len(tips)][0].name,
            "tip_text": _inches(tips[n % len(tips)][1]),
            "ft": ft,
            "mph": mph,
            "side": side,
        }
        for n, (ft, mph) in enumerate((*near, *far) if tips else ())
        for side in ("left", "right")
    )


def _near(row):
    return row["ft"] <= 60


WIND = Choice(
    id="path-and-reach-q7",
    title="Wind across the stream",
    variable="wind",
    points=1,
    rows_from=_winds,
    ask=lambda row: (
        f"A steady wind of {row['mph']} mph blows across from the {row['side']}. {row['device']} "
        f"works with its {row['tip_text']}-in tip at about 80 psi. "
        + (
            f"The window is {row['ft']} ft from the tip. "
            if _near(row)
            else f"The last of the water comes down about {row['ft']} ft out. "
        )
        + "How far is the stream off to the side there?"
    ),
    options=(
        Option(
            name="hardly",
            text="Hardly, a foot at the most: aim where you want it",
            reason="That holds close to the tip, where the stream is still a solid column: the wind "
            "has little to push and little time.",
            right=_near,
        ),
        Option(
            name="many-feet",
            text="Many feet to the lee; how many shows only when it is seen to fall",
            reason="That holds far out, where the stream has broken up and drifts. Which way is sure; "
            "how far could be half or double of any figure.",
            right=lambda row: not _near(row),
        ),
        Option(
            name="windward",
            text="Some feet toward the wind, since the nozzle was turned into it",
            reason="Wind carries water with it, never toward itself. Turning the nozzle is what you "
            "do about it, and it costs side load.",
        ),
        Option(
            name="only-shorter",
            text="Not at all to the side; it only falls much shorter",
            reason="That is what a head wind does. Wind from the side takes little of the throw and "
            "pushes across.",
        ),
        Option(
            name="never",
            text="Not at all, at no distance: water is too heavy for wind",
            reason="A solid column is heavy, spray is not. How much is left of the column depends on "
            "how far out you look.",
        ),
    ),
    reread=RECAP,
)

# --- 8. tip or pressure for reach -------------------------------------------------------------


def _extra_psi(row):
    """psi more that give the smaller tip the larger one's reach, by the rule."""
    more = stream.usable_reach_ft(row["large"], 60) - stream.usable_reach_ft(row["small"], 60)
    one_psi = stream.usable_reach_ft(row["small"], 61) - stream.usable_reach_ft(row["small"], 60)
    return more / one_psi


def _beyond_band(row, psi):
    """A slip's number; None where the band around the right one takes it in."""
    return psi if abs(psi / _extra_psi(row) - 1) > 0.17 else None


_PAIRS = (
    (1.25, 1.5), (1.25, 1.625), (1.375, 1.625), (1.375, 1.75), (1.375, 1.875), (1.5, 1.75),
    (1.5, 1.875), (1.5, 2), (1.625, 2), (1.75, 2),
)  # fmt: skip

TIP_OR_PRESSURE = Estimate(
    id="path-and-reach-q8",
    title="Larger tip or more pressure",
    variable="more_pressure",
    kind="pressure",
    unit="psi",
    points=1,
    rows=tuple(
        {
            "small_text": _inches(small),
            "small": small,
            "large_text": _inches(large),
            "large": large,
            "psi": psi,
        }
        for small, large in _PAIRS
        for psi in (60, 65, 70, 80, 90)
    ),
    keep=lambda row: _apart(TIP_OR_PRESSURE, row),
    ask=lambda row: (
        f"The {row['small_text']}-in tip runs at {row['psi']} psi and its stream breaks just short of "
        f"the window. A {row['large_text']}-in tip at the same {row['psi']} psi would reach. By the "
        "rule for usable reach: about how many psi more would the smaller tip need to reach as far? "
        "(More pressure and a larger tip both mean more reaction: what the device allows stands in "
        "its manual.) In your head, within 15 percent."
    ),
    right=_extra_psi,
    band=0.15,
    tolerance_words="within 15 percent",
    slips=(
        Slip(
            "a-foot-for-a-psi",
            lambda row: 40 * (row["large"] - row["small"]),
            "A whole foot was counted for each psi. The rule gives half a foot, so it takes twice as "
            "much pressure.",
            did="count a foot for each psi",
        ),
        Slip(
            "new-pressure",
            lambda row: row["psi"] + 80 * (row["large"] - row["small"]),
            "That is the new nozzle pressure. Asked is how much more it is.",
            0.5,
            did="give the new pressure",
        ),
        Slip(
            "same-flow",
            lambda row: row["psi"] * ((row["large"] / row["small"]) ** 4 - 1),
            "That pressure would give the flow of the larger tip. Reach follows another rule: feet "
            "for each psi and feet for each eighth.",
            did="work out the pressure for the same flow",
        ),
        Slip(
            "in-proportion",
            lambda row: row["psi"] * (row["large"] / row["small"] - 1),
            "The pressure was raised in proportion to the tip. The rule adds feet for each eighth "
            "and for each psi.",
            did="raise it in proportion to the tip",
        ),
        Slip(
            "one-eighth",
            lambda row: 10 if row["large"] - row["small"] > 0.25 else None,
            "One eighth was counted. Count how many eighths lie between the two tips.",
            did="count one eighth only",
        ),
        Slip(
            "quarters-for-eighths",
            lambda row: 160 * (row["large"] - row["small"]),
            "Twice the eighths were counted, or half the reach of each psi. Count the eighths between "
            "the two tips once more.",
            did="count twice the eighths",
        ),
        Slip(
            "psi-halved",
            lambda row: _beyond_band(row, 20 * (row["large"] - row["small"])),
            "Half a psi was counted for each foot. The rule gives half a foot for each psi, "
            "so each foot takes two.",
            did="count half a psi for each foot",
            minor=True,
        ),
        Slip(
            "square-of-the-tip",
            lambda row: _beyond_band(row, row["psi"] * ((row["large"] / row["small"]) ** 2 - 1)),
            "The pressure was raised with the square of the tip. The rule adds feet for each "
            "eighth and for each psi.",
            did="raise it with the square of the tip",
            minor=True,
        ),
        Slip(
            "whole-in-proportion",
            lambda row: _beyond_band(row, row["psi"] * row["large"] / row["small"]),
            "That is the whole pressure, raised in proportion to the tip. The rule adds feet "
            "for each eighth and each psi; asked is how much more.",
            did="raise the whole in proportion",
            minor=True,
        ),
        Slip(
            "pressure-of-the-question",
            lambda row: _beyond_band(row, row["psi"]),
            "That is the pressure that it runs at now. Asked is how much more the smaller tip "
            "needs.",
            did="give the pressure that it runs at",
            minor=True,
        ),
        Slip(
            "new-pressure-by-feet",
            lambda row: _beyond_band(row, row["psi"] + 40 * (row["large"] - row["small"])),
            "A foot was counted for each psi, and the whole pressure given. Each foot takes "
            "two psi; asked is how much more.",
            did="give the whole pressure, a foot for each psi",
            minor=True,
        ),
    ),
    example="1 psi",
    first_step="First find how many feet the larger tip gains, then how many psi buy that.",
    reread=EXAMPLE,
)

PAPER = Paper(
    name="path-and-reach",
    title="Path and reach of the stream",
    version=VERSION,
    minutes=25,
    situation=(
        "Larkmoor drill ground, a windy evening. Streams are tried on the training structure, "
        "containers stacked four high, before they are needed at a fire: how far they stay whole, how "
        "far they fall on the way, what the wind does to them. The handbook rule for reach is good to "
        "about a fifth either way and is stretched for tips over 1 3/8 in. It helps to choose a spot; "
        "it is never a distance from power lines or from a wall that may fall. The ladder is lined up "
        "first, nobody stands under it or in the way of the water. (Department and ground are "
        "invented.)"
    ),
    questions=(REACH, LEFT, FALL, HEIGHT, AIM, BEST, WIND, TIP_OR_PRESSURE),
)
