"""Questions of the last assignment: one scene from size-up to the order to shut down.

All questions of a paper tell of one scene, so they share the row of the flow question. Right
answers come from `aerialstream`; each slip has its own wrong formula. Devices, tips and hose are
the department's own; the scenes, their numbers and the local rules in them are made up.
"""

from fractions import Fraction
from itertools import pairwise
from math import asin, cos, degrees, floor, pi, radians, sin, sqrt

from aerialstream._core import aerials, clearances, elevation, hose, nozzles, reaction, water
from gradekit.questions import (
    Carried,
    Choice,
    Condition,
    Option,
    Paper,
    Part,
    Plan,
    Question,
    Slip,
    WrittenQuestion,
)

VERSION = "2026.1"
EXAMPLE = "Lesson 09, worked example, has the same steps."
FLOWS = "Lesson 09, worked example, has the same steps; lesson 04 has them one by one."
LOADS = "Lesson 09, worked example, has the same steps; lesson 03 has them one by one."
SPOTS = "Lesson 09, the spot, has the same steps; lesson 02 has them one by one."

# --- scenes -----------------------------------------------------------------------------------

# Heights in ft above the ground. `over` is the nozzle above the pump: the engines stand lower.
_SCENES = (
    {
        "place": "Weir Street Mill, side C",
        "window": "the second-floor window under which the dock slab lies",
        "other": "the second-floor window at the far end",
        "inside": "racks of cloth",
        "roof": 38, "parapet": 2, "sill": 16, "head": 21, "over": 24,
        "floor": "the second floor", "area": 1680,
    },
    {
        "place": "Weir Street Mill, side B",
        "window": "the middle window of the top floor",
        "other": "the end window of the same floor",
        "inside": "stacks of paper",
        "roof": 38, "parapet": 2, "sill": 27, "head": 33, "over": 36,
        "floor": "the top floor", "area": 2100,
    },
    {
        "place": "Gorse Lane shops, shop 3",
        "window": "the window of shop 3",
        "other": "the window of shop 1",
        "inside": "paint and hardware",
        "roof": 13, "parapet": 3, "sill": 1, "head": 9, "over": 15,
        "floor": "the shop's floor, over a cellar", "area": 1500,
    },
    {
        "place": "Gorse Lane shops, shop 5",
        "window": "the window of shop 5",
        "other": "the window of shop 2",
        "inside": "bicycles and tyres",
        "roof": 13, "parapet": 3, "sill": 1, "head": 9, "over": 17,
        "floor": "the shop's floor, over a cellar", "area": 1240,
    },
)  # fmt: skip
_FLAWS = ("none", "waterway", "count", "ground")
_FEET = (150, 175, 200, 225, 250, 275, 300, 325, 350, 375, 400)  # of each line
_TURNS = (10, 12, 14, 16, 18, 22, 24, 26, 28, 32, 34, 36)  # deg off the ladder's line


def _in(value, unit):
    return round(value.to(unit).magnitude, 3)


def _inches(size):
    """A tip as a crew says it: 1.75 is "1 3/4"."""
    whole, part = divmod(Fraction(size).limit_denominator(16), 1)
    return " ".join(str(piece) for piece in (whole, part) if piece) or "0"


def _run_together(tip_text):
    """What a calculator gets where a fraction is typed as decimals: "1 3/4" as 1.34."""
    whole, _, part = tip_text.partition(" ")
    return float(f"{whole}.{part.replace('/', '')}") if part else float(Fraction(whole))


def _set_ups(department):
    """(device, tip in inches, hose) that belong together."""
    bores = {
        nozzle.id: _in(nozzle.tip_diameter, "inch")
        for nozzle in department.nozzles
        if nozzle.kind == "smooth bore"
    }
    # At 2 in the diameter squared is the diameter doubled: no slip could be told.
    return [
        (device, bores[name])
        for device in department.apparatus
        for name in device.nozzles
        if device.kind.endswith("ladder") and device.waterway and 1.3 < bores.get(name, 2) < 1.95
    ]


def _first(row, key, values, question):
    """The row with the first of these values that keeps the question's slips apart."""
    tried = ({**row, key: value} for value in values)
    return next((new for new in tried if question.fits(new) and _apart(question, new)), None)


def _from(values, start):
    """The values, begun at another place: so that rows differ."""
    start %= len(values)
    return values[start:] + values[:start]


def _rows(department):
    rows = []
    for device, tip in _set_ups(department):
        for scene in _SCENES:
            for psi in (60, 65, 70, 75, 80, 85):
                n = len(rows)
                row = {
                    **scene,
                    "device": device.name,
                    "turntable": round(_in(device.turntable_height, "foot"), 1),
                    "least": round(_in(device.extension.least, "foot")),
                    "cap": max(50, round(_in(device.extension.least, "foot")) + 12),
                    "low": round(_in(device.elevation.least, "degree")),
                    "high": round(_in(device.elevation.most, "degree")),
                    "tip_text": _inches(tip),
                    "tip": tip,
                    "psi": psi,
                    "rig": round(_in(device.waterway.loss, "psi")),
                    "rig_at": round(_in(device.waterway.at_flow, "gpm")),
                    "c": 0.8,
                    "lines": 2,
                    "load": (12, 15, 18)[n % 3],
                    "stays": (30, 35, 60, 65)[(n // 3) % 4],
                    "flaw": _FLAWS[(n + n // 4) % 4],
                }
                row = _first(row, "feet", _from(_FEET, 3 * n), PRESSURE)
                row = row and _first(row, "deg", _from(_TURNS, 5 * n), SIDE)
                rows += [row] if row else []
    return tuple(rows)


def _apart(question, row):
    """Whether no two slips lie so near to each other that an answer cannot tell which it was."""
    numbers = sorted(number for _, number in question.wrongs(row))
    return all(b - a > 1.1 * question._allowance(b) for a, b in pairwise(numbers))


def _quiet(question, row):
    """Whether the example of how to write an answer earns nothing, whatever the department's data."""
    return not question.judge(row, question.example_answer).points


def _sound(row):
    """Whether every question of the scene can be dealt with this row."""
    numbers = (FLOW, PRESSURE, SIDE, MINUTES)
    return all(question.fits(row) for question in (SIZE_UP, SPOT, *numbers, GO)) and all(
        _apart(question, row) and _quiet(question, row) for question in numbers
    )


# --- 3. flow: its rows are those of the whole paper -------------------------------------------


def _flow(row):
    return nozzles.smooth_bore_discharge_gpm(row["tip"], row["psi"])


def _printed_flow(row, *, square=None, root=None, constant=29.7):
    """Our own flow, with something in it changed."""
    square = row["tip"] ** 2 if square is None else square
    return constant * square * (sqrt(row["psi"]) if root is None else root)


FLOW = Question(
    id="putting-it-together-q3",
    title="The flow",
    variable="flow",
    kind="flow",
    unit="gpm",
    together="product",
    points=2,
    rows_from=_rows,
    keep=_sound,
    ask=lambda row: (
        f"{row['place']}: {row['device']} has its {row['tip_text']}-in smooth-bore tip on, to be run "
        f"at {row['psi']} psi nozzle pressure. {row['feet']} ft of hose lie to the engine. How much "
        "will it flow, by the trade's formula? Answer in gpm, within 1 percent."
    ),
    right=_flow,
    slips=(
        Slip(
            "diameter-not-squared",
            lambda row: _printed_flow(row, square=row["tip"]),
            "The tip's diameter was not squared: what comes out goes with its area.",
            did="leave the diameter unsquared",
            part="tip",
        ),
        Slip(
            "diameter-doubled",
            lambda row: _printed_flow(row, square=2 * row["tip"]),
            "The diameter was doubled instead of squared: diameter times diameter.",
            did="double the diameter",
            part="tip",
        ),
        Slip(
            "radius-for-diameter",
            lambda row: _printed_flow(row, square=(row["tip"] / 2) ** 2),
            "Half the tip was squared. The formula takes the whole diameter.",
            did="square half the tip",
            part="tip",
        ),
        Slip(
            "root-forgotten",
            lambda row: _printed_flow(row, root=row["psi"]),
            "The root of the pressure was left out: no pump on the fireground gives so much.",
            did="leave out the root",
            part="pressure",
        ),
        Slip(
            "handline-pressure",
            lambda row: _printed_flow(row, root=sqrt(50)),
            "That is the flow at a handline's pressure. Take the nozzle pressure that the question "
            "gives.",
            did="take a handline's pressure",
            part="pressure",
        ),
        Slip(
            "fog-pressure",
            lambda row: _printed_flow(row, root=10),
            "That is the flow at a fog nozzle's usual pressure. Take the nozzle pressure that the "
            "question gives.",
            did="take a fog nozzle's pressure",
            part="pressure",
        ),
        Slip(
            "area-for-square",
            lambda row: _printed_flow(row, square=pi / 4 * row["tip"] ** 2),
            "The area of the tip was put in. The constant holds the rest of the circle already: only "
            "square the diameter.",
            did="put in the area of the tip",
            part="tip",
        ),
        Slip(
            "reaction-for-flow",
            lambda row: 1.57 * row["tip"] ** 2 * row["psi"],
            "That is the reaction in pounds, not the flow. The pump operator needs gallons a minute.",
            did="work out the reaction",
        ),
        Slip(
            "constant-forgotten",
            lambda row: _printed_flow(row, constant=1),
            "The constant was left out, so the number is in no unit at all: multiply by 29.7 for gpm.",
            did="leave out the constant",
            minor=True,
        ),
        Slip(
            "hydrant-coefficient",
            lambda row: _printed_flow(row, constant=29.84 * 0.9),
            "The coefficient of a hydrant outlet was put to a tip. A smooth-bore tip passes nearly "
            "all of it: use the trade's formula as it stands.",
            did="use the coefficient of a hydrant outlet",
            minor=True,
        ),
        Slip(
            "fraction-as-decimal",
            lambda row: _printed_flow(row, square=_run_together(row["tip_text"]) ** 2),
            "The fraction of the tip was typed as if it were decimals. Divide it out first: a quarter "
            "is 0.25, an eighth 0.125.",
            did="type the fraction as decimals",
            minor=True,
        ),
        Slip(
            "pressure-halved",
            lambda row: _printed_flow(row, root=row["psi"] / 2),
            "The pressure was halved. The formula takes its root, the number that times "
            "itself gives it.",
            did="halve the pressure instead of taking its root",
            minor=True,
        ),
        Slip(
            "usual-pressure",
            lambda row: _printed_flow(row, root=sqrt(80)),
            "That is the flow at the usual pressure of a large smooth-bore tip. Take the "
            "nozzle pressure that the question gives.",
            did="work with the usual pressure of a large tip",
            minor=True,
        ),
        Slip(
            "tip-rounded",
            lambda row: _printed_flow(row, square=(floor(10 * row["tip"] + 0.5) / 10) ** 2),
            "The tip was rounded to a tenth of an inch before it was squared. Squaring "
            "doubles what rounding was off: keep the eighths.",
            did="round the tip first",
            minor=True,
        ),
        Slip(
            "share-of-one-line",
            lambda row: _flow(row) / row["lines"],
            "That is what goes through one of the lines. The tip passes the water of all of "
            "them together.",
            did="give the flow of one line",
            minor=True,
        ),
        Slip(
            "lines-multiplied",
            lambda row: _flow(row) * row["lines"],
            "It was multiplied by the number of lines. The tip alone sets the flow.",
            did="multiply by the lines",
            minor=True,
        ),
        Slip(
            "metric-constant",
            lambda row: _printed_flow(row, constant=0.667),
            "A constant for millimetres and bar was put to inches and psi.",
            did="take the metric constant",
            minor=True,
        ),
        Slip(
            "tip-cubed",
            lambda row: _printed_flow(row, square=row["tip"] ** 3),
            "The tip was taken three times. It belongs in as diameter times diameter.",
            did="cube the diameter",
            minor=True,
        ),
    ),
    example="99 gpm",
    first_step="First square the tip's diameter, then take the root of the pressure.",
    reread=FLOWS,
)

# --- 1. size-up -------------------------------------------------------------------------------

SIZE_UP = Choice(
    id="putting-it-together-q1",
    title="Size-up",
    variable="target",
    points=1,
    same_row_as=FLOW,
    ask=lambda row: (
        f"{row['place']}. Everybody is out and counted, the fight is from outside. Flame shows at "
        f"{row['window']}, where {row['inside']} burn; smoke comes from {row['other']}. The roof is "
        "whole. What is the stream to do?"
    ),
    options=(
        Option(
            name="what-burns",
            text=lambda row: f"Go in at {row['window']} and stay there until it darkens",
            reason="The water meets what burns, through a hole that is there already.",
            right=True,
        ),
        Option(
            name="whole-roof",
            text="Come down from high up on the roof over the fire",
            reason="A roof that is whole was built to shed water: it runs off or stands on the deck, "
            "and the fire lies dry beneath.",
        ),
        Option(
            name="smoke",
            text=lambda row: f"Go in at {row['other']} first, since the smoke comes from there",
            reason="Smoke shows where gas gets out, not where it burns. Water there cools little and "
            "loads the building.",
        ),
        Option(
            name="to-and-fro",
            text="Sweep to and fro along the whole wall, so that each opening gets some",
            reason="Most of it strikes wall, each opening gets a moment, and the sweep pushes the "
            "ladder from side to side.",
        ),
        Option(
            name="from-both-sides",
            text="Wait for a second stream and go in from both sides at once",
            reason="Streams against each other drive heat and water at one another and at whoever "
            "works there.",
        ),
    ),
    reread="Lesson 01 shows what each surface does with the water.",
)

# --- 2. the spot ------------------------------------------------------------------------------

_FACTOR = 1.5  # the local rule of the scene: common practice, no one source
_BEYOND = 15  # ft from the edge of the zone that the captain wants the nozzle to stay within


def _zone(row):
    return clearances.collapse_zone_ft(row["roof"] + row["parapet"], _FACTOR)


def _tip(row, plan):
    """(ft from the wall, ft above the ground) of the nozzle."""
    out, up = aerials.tip_position_ft(row["turntable"], 0, plan["length out"], plan["elevation"])
    return plan["turntable from the wall"] - out, up


def _farthest(row):
    return round(_zone(row)) + _BEYOND


def _spot(row, *, away=None, up=None, out=None):
    """A plan that brings the nozzle so far from the wall and so high."""
    away = _zone(row) + 5 if away is None else away
    up = (row["sill"] + row["head"]) / 2 if up is None else up
    out = row["cap"] - 3 if out is None else out
    raised = asin(max(-1, min(1, (up - row["turntable"]) / out)))
    return {
        "turntable from the wall": away + out * cos(raised),
        "length out": out,
        "elevation": degrees(raised),
    }


SPOT = Plan(
    id="putting-it-together-q2",
    title="The spot",
    variable="spot",
    points=3,
    same_row_as=FLOW,
    ask=lambda row: (
        f"{row['place']}: the wall's roof edge is {row['roof']} ft above the ground and a parapet "
        f"stands {row['parapet']} ft above that. The procedure in this scene (invented): turntable "
        "and nozzle stay away from the wall by at least one and a half times its height. The "
        f"captain wants the nozzle no farther than {_farthest(row)} ft from the wall, and level with "
        f"the window: above its sill ({row['sill']} ft) and below its head ({row['head']} ft). "
        f"{row['device']} has its turntable {row['turntable']:g} ft up; use {row['least']} to "
        f"{row['cap']} ft of ladder, at {row['low']} to {row['high']} degrees. The ladder points "
        "straight at the wall, and its foot counts as the turntable's centre. Give the "
        "turntable's distance from the wall, the length out and the elevation (minus for below level)."
    ),
    parts=(
        Part(name="turntable from the wall", kind="length", unit="foot", example="100 ft"),
        Part(name="length out", kind="length", unit="foot", example="400 ft"),
        Part(name="elevation", kind="angle", unit="degree", example="1 deg"),
    ),
    conditions=(
        Condition(
            name="collapse-zone",
            met=lambda row, v: _tip(row, v)[0] >= _zone(row),
            sentence="The nozzle comes inside the collapse zone, even if the truck stands outside. "
            "Count the wall to the top of its parapet, and measure to the tip as well.",
            share=0.4,
            missing=lambda row: _spot(row, away=_FACTOR * row["roof"]),
        ),
        Condition(
            name="near-enough",
            met=lambda row, v: 0 <= _tip(row, v)[0] <= _farthest(row),
            sentence="The nozzle stands farther from the wall than the captain wants, or would reach "
            "through it.",
            share=0.2,
            missing=lambda row: _spot(row, away=_farthest(row) + 4),
        ),
        Condition(
            name="level-with-the-window",
            met=lambda row, v: row["sill"] <= _tip(row, v)[1] <= row["head"],
            sentence="The nozzle is not level with the window. Length is not height: take the sine of "
            "the elevation, and begin at the turntable.",
            share=0.2,
            missing=lambda row: _spot(row, up=row["head"] + 5),
        ),
        Condition(
            name="what-the-ladder-does",
            met=lambda row, v: (
                row["least"] <= v["length out"] <= row["cap"]
                and row["low"] <= v["elevation"] <= row["high"]
            ),
            sentence="The ladder is shorter, longer, lower or steeper than the question lets you use.",
            share=0.2,
            missing=lambda row: _spot(row, out=row["cap"] + 12),
        ),
    ),
    found=_spot,
    reread=SPOTS,
)

# --- 4. pump discharge pressure ---------------------------------------------------------------


def _losses(row, gpm):
    """(height, rig, hose) in psi."""
    return (
        elevation.elevation_pressure_psi(row["over"]),
        elevation.scaled_loss_psi(row["rig"], row["rig_at"], gpm),
        hose.friction_loss_psi(row["c"], gpm / row["lines"], row["feet"]),
    )


def _own(row, gpm, *, height=0.434, rig=2, share=None, hose_power=2, base=None):
    """Our own sum, with something in it changed."""
    share = row["lines"] if share is None else share
    return (
        (row["psi"] if base is None else base)
        + height * row["over"]
        + (row["rig"] * (gpm / row["rig_at"]) ** rig if rig is not None else 0)
        + row["c"] * (gpm / 100 / share) ** hose_power * row["feet"] / 100
    )


PRESSURE = Carried(
    id="putting-it-together-q4",
    title="The pump",
    variable="discharge",
    kind="pressure",
    unit="psi",
    together="sum",
    points=3,
    same_row_as=FLOW,
    carries=(FLOW,),
    allow=2.0,
    tolerance_words="within 2 psi",
    ask=lambda row: (
        f"Your flow from question 3 goes through {row['lines']} lines of 3-in hose side by side, "
        f"{row['feet']} ft each, coefficient {row['c']:g} (psi for 100 ft at 100 gpm, rising with the "
        f"flow squared). From inlet to nozzle {row['device']} lost {row['rig']} psi at "
        f"{row['rig_at']:,} gpm when tested. The tip, at {row['psi']} psi, is {row['over']} ft above "
        "the pump, 0.434 psi for each foot. Which pump discharge pressure? Answer in psi, within 2 "
        "psi."
    ),
    right=lambda row, gpm: row["psi"] + sum(_losses(row, gpm)),
    slips=(
        Slip(
            "height-forgotten",
            lambda row, gpm: _own(row, gpm, height=0),
            "The height was left out. The pump lifts all of the water up there.",
            did="leave out the height",
            part="height",
        ),
        Slip(
            "height-away",
            lambda row, gpm: _own(row, gpm, height=-0.434),
            "The height was taken away. That fits a nozzle below the pump.",
            did="take the height away",
            part="height",
        ),
        Slip(
            "psi-for-each-foot",
            lambda row, gpm: _own(row, gpm, height=1),
            "A whole psi was counted for each foot of height. A foot of water weighs less than half "
            "of that.",
            did="count a psi for each foot",
            part="height",
        ),
        Slip(
            "rig-forgotten",
            lambda row, gpm: _own(row, gpm, rig=None),
            "Inlet and waterway of the aerial were left out. They take as much as a long line.",
            did="leave out the aerial's loss",
            part="rig",
        ),
        Slip(
            "rig-as-tested",
            lambda row, gpm: _own(row, gpm, rig=0),
            "The aerial's loss was taken as tested. At another flow it is another loss: it goes with "
            "the flow squared.",
            0.5,
            did="take the aerial's loss as tested",
            part="rig",
        ),
        Slip(
            "rig-in-proportion",
            lambda row, gpm: _own(row, gpm, rig=1),
            "The aerial's loss was changed in step with the flow. It goes with the flow squared.",
            0.5,
            did="change the aerial's loss in step with the flow",
            part="rig",
        ),
        Slip(
            "one-line-for-all",
            lambda row, gpm: _own(row, gpm, share=1),
            "All the water was sent through one line. Lines side by side share it.",
            did="send all of it through one line",
            part="hose",
        ),
        Slip(
            "hose-forgotten",
            lambda row, gpm: row["psi"] + _losses(row, gpm)[0] + _losses(row, gpm)[1],
            "The loss in the lines is missing. The nozzle would be short of it.",
            did="leave out the lines",
            part="hose",
        ),
        Slip(
            "flow-not-squared",
            lambda row, gpm: _own(row, gpm, hose_power=1),
            "The flow in the lines was not squared. Twice the flow loses four times as much.",
            did="leave the flow unsquared",
            part="hose",
        ),
        Slip(
            "nozzle-forgotten",
            lambda row, gpm: _own(row, gpm, base=0),
            "The nozzle pressure is missing. All losses paid, nothing would be left to make a stream.",
            did="leave out the nozzle pressure",
            part="nozzle",
        ),
        Slip(
            "losses-added",
            lambda row, gpm: _own(row, gpm) + (row["lines"] - 1) * sum(_losses(row, gpm)[2:]),
            "The loss in the lines was added up, or the loss of one line divided instead of the "
            "flow. Divide the flow, then count the loss of one line once.",
            did="add up the losses of the lines",
            minor=True,
        ),
        Slip(
            "half-a-psi-for-each-foot",
            lambda row, gpm: _own(row, gpm, height=0.5),
            "Half a psi was taken for each foot: a fair field figure that reads a little high. Here "
            "the finer figure was asked for.",
            0.75,
            did="take half a psi for each foot",
            minor=True,
        ),
        Slip(
            "allowance-on-top",
            lambda row, gpm: _own(row, gpm) + 25,
            "A general allowance for a master stream was put on top of this aerial's own tested loss. "
            "That counts one loss twice.",
            0.5,
            did="put a general allowance on top",
            minor=True,
        ),
        Slip(
            "fog-pressure",
            lambda row, gpm: _own(row, gpm, base=100),
            "The usual pressure of a fog nozzle was put in. Start from the nozzle pressure that the "
            "question gives.",
            did="start from a fog nozzle's pressure",
            minor=True,
        ),
        Slip(
            "height-divided",
            lambda row, gpm: _own(row, gpm, height=1 / 0.434),
            "The height was divided by the figure. Each foot takes that part of a psi: multiply.",
            did="divide the height by the figure",
            minor=True,
        ),
        Slip(
            "length-forgotten",
            lambda row, gpm: _own(row, gpm) - _losses(row, gpm)[2] * (1 - 100 / row["feet"]),
            "The loss of the first hundred feet was counted. Take it for every hundred feet "
            "of one line.",
            did="count a hundred feet only",
            minor=True,
        ),
        Slip(
            "flow-doubled",
            lambda row, gpm: (
                _own(row, gpm)
                - _losses(row, gpm)[2]
                + row["c"] * 2 * gpm / 100 / row["lines"] * row["feet"] / 100
            ),
            "The flow in the lines was doubled instead of squared.",
            did="double the flow",
            minor=True,
        ),
        Slip(
            "usual-pressure",
            lambda row, gpm: _own(row, gpm, base=80),
            "The usual pressure of a large smooth-bore tip was put in. Start from the nozzle "
            "pressure that the question gives.",
            did="start from the usual pressure of a large tip",
            minor=True,
        ),
        Slip(
            "handline-pressure",
            lambda row, gpm: _own(row, gpm, base=50),
            "A handline's nozzle pressure was put in. Start from the one that the question gives.",
            did="start from a handline's pressure",
            minor=True,
        ),
        Slip(
            "shared-twice",
            lambda row, gpm: _own(row, gpm) - _losses(row, gpm)[2] * (1 - 1 / row["lines"]),
            "The loss was divided once more after the flow had been. Each line loses this "
            "much; both come to the same pressure.",
            did="divide flow and loss",
            minor=True,
        ),
        Slip(
            "length-in-feet",
            lambda row, gpm: _own(row, gpm) + 99 * _losses(row, gpm)[2],
            "The length was put in as feet. The coefficient is for each hundred feet.",
            did="put the length in as feet",
            minor=True,
        ),
        Slip(
            "losses-alone",
            lambda row, gpm: sum(_losses(row, gpm)[1:]),
            "Those are the losses in the lines and on the aerial. Nozzle pressure and height "
            "are missing.",
            did="add the losses alone",
            minor=True,
        ),
        Slip(
            "height-twice",
            lambda row, gpm: _own(row, gpm, height=0.868),
            "The height was counted twice. It is lifted once, from pump to tip.",
            did="count the height twice",
            minor=True,
        ),
        Slip(
            "height-and-hose",
            lambda row, gpm: _own(row, gpm) - _losses(row, gpm)[0] - _losses(row, gpm)[2],
            "Height and hose were left out. The water has to come up there, and through the lines.",
            did="leave out height and hose",
            minor=True,
        ),
    ),
    example="999 psi",
    first_step="Begin with the nozzle pressure, then add height, aerial and lines one by one.",
    reread=FLOWS,
)

# --- 5. reaction and side load ----------------------------------------------------------------


def _side(row):
    pounds = nozzles.smooth_bore_reaction_lbf(row["tip"], row["psi"])
    return abs(reaction.tip_forces_lbf(pounds, row["deg"], 0)[1])


def _push(row, *, square=None, constant=1.57):
    return constant * (row["tip"] ** 2 if square is None else square) * row["psi"]


SIDE = Question(
    id="putting-it-together-q5",
    title="What the ladder feels",
    variable="side_load",
    kind="force",
    unit="lbf",
    points=2,
    same_row_as=FLOW,
    angles=("deg",),
    ask=lambda row: (
        f"The same stream, {row['tip_text']}-in smooth bore at {row['psi']} psi. The wind shifts and "
        f"somebody wants the nozzle turned {row['deg']} degrees off the ladder's line instead of "
        "moving the ladder. Before anybody does: how large would the side load on the tip be? "
        "Answer in pounds of force, without a sign, within 1 percent."
    ),
    right=_side,
    slips=(
        Slip(
            "cosine-for-sine",
            lambda row: _push(row) * cos(radians(row["deg"])),
            "That is the part along the ladder. What pushes the tip aside takes the sine of the "
            "angle.",
            did="take the cosine",
        ),
        Slip(
            "whole-reaction",
            _push,
            "That is the whole reaction. Only square across the ladder would all of it be side load.",
            0.5,
            did="stop at the whole reaction",
        ),
        Slip(
            "linear-share",
            lambda row: _push(row) * row["deg"] / 90,
            "The angle was taken as a share of ninety degrees. Side load grows faster than that at "
            "first, so this makes it look too small.",
            did="take a share of ninety degrees",
        ),
        Slip(
            "diameter-not-squared",
            lambda row: _push(row, square=row["tip"]) * sin(radians(row["deg"])),
            "The tip's diameter was not squared in the reaction.",
            did="leave the diameter unsquared",
        ),
        Slip(
            "diameter-doubled",
            lambda row: _push(row, square=2 * row["tip"]) * sin(radians(row["deg"])),
            "The diameter was doubled in the reaction instead of squared.",
            did="double the diameter",
        ),
        Slip(
            "factor-two-forgotten",
            lambda row: _push(row, constant=pi / 4) * sin(radians(row["deg"])),
            "That is pressure times the area of the tip. A jet pushes back with twice that.",
            did="take pressure times area",
        ),
        Slip(
            "flow-for-reaction",
            lambda row: _printed_flow(row) * sin(radians(row["deg"])),
            "The flow was taken for the reaction. Gallons a minute are not pounds.",
            did="take the flow for the reaction",
        ),
        Slip(
            "half-the-gallonage",
            lambda row: _printed_flow(row) / 2 * sin(radians(row["deg"])),
            "The reaction was taken as half the gallonage: good for a first idea on the ground, but "
            "the tip's own formula was meant.",
            0.5,
            did="take half the gallonage",
        ),
        Slip(
            "tangent",
            lambda row: _push(row) * sin(radians(row["deg"])) / cos(radians(row["deg"])),
            "The tangent was taken. The part across the ladder is the reaction times the sine.",
            did="take the tangent",
        ),
        Slip(
            "fog-formula",
            lambda row: 0.0505 * _flow(row) * sqrt(row["psi"]) * sin(radians(row["deg"])),
            "The fog formula was put to a smooth-bore tip. The smooth-bore formula works from "
            "the tip itself.",
            did="take the fog formula",
            minor=True,
        ),
        Slip(
            "root-of-pressure",
            lambda row: 1.57 * row["tip"] ** 2 * sqrt(row["psi"]) * sin(radians(row["deg"])),
            "The root of the pressure belongs to the flow formula. In the smooth-bore "
            "reaction the pressure stands as it is.",
            did="take the root of the pressure",
            minor=True,
        ),
        Slip(
            "radius-for-diameter",
            lambda row: _push(row, square=row["tip"] ** 2 / 4) * sin(radians(row["deg"])),
            "Half the tip was squared in the reaction: the formula takes the whole diameter.",
            did="square half the tip",
            minor=True,
        ),
        Slip(
            "usual-pressure",
            lambda row: 1.57 * row["tip"] ** 2 * 80 * sin(radians(row["deg"])),
            "The usual pressure of a large smooth-bore tip was put in. Take the nozzle "
            "pressure that the question gives.",
            did="work with the usual pressure of a large tip",
            minor=True,
        ),
        Slip(
            "constant-forgotten",
            lambda row: _push(row, constant=1) * sin(radians(row["deg"])),
            "The constant of the reaction was left out: multiply by 1.57.",
            did="leave out the constant",
            minor=True,
        ),
        Slip(
            "gradians",
            lambda row: _push(row) * sin(radians(0.9 * row["deg"])),
            "The calculator stood on gradians, a hundred to the right angle. Set it to degrees.",
            did="leave the calculator on gradians",
            minor=True,
        ),
        Slip(
            "left-over",
            lambda row: _push(row) * (1 - cos(radians(row["deg"]))),
            "That is what the push along the ladder has lost. The side load is another part: "
            "the reaction times the sine.",
            did="take what the push along the ladder lost",
            minor=True,
        ),
        Slip(
            "sine-divided",
            lambda row: _push(row) / sin(radians(row["deg"])),
            "It was divided by the sine. No part of the reaction is larger than the whole: "
            "multiply.",
            did="divide by the sine",
            minor=True,
        ),
        Slip(
            "moment-for-side-load",
            lambda row: _side(row) * row["cap"],
            "That is a moment. The load on the tip is asked for, before any length.",
            did="work out a moment",
            minor=True,
        ),
    ),
    example="1 lbf",
    first_step="First the reaction from tip and pressure, then the sine of the angle.",
    reread=LOADS,
)

# --- 6. go or no go ---------------------------------------------------------------------------

_LINES = {
    "waterway": (
        "Waterway: pin seen and touched by the crew, told back.",
        "Waterway: “it was pinned this morning,” says the crew.",
    ),
    "count": (
        "Crews: all counted, nobody under the ladder.",
        "Crews: all but one team have answered the count.",
    ),
    "ground": (
        "Ground: a pad under every stabiliser, flat on paving that was looked at.",
        "Ground: three pads on paving, one across the edge of a pit cover.",
    ),
}


def _list(row):
    return " ".join(_LINES[line][line == row["flaw"]] for line in _LINES)


GO = Choice(
    id="putting-it-together-q6",
    title="Go or no go",
    variable="go",
    points=2,
    same_row_as=FLOW,
    ask=lambda row: (
        f"Before water {row['device']}'s list is read out. Manual: page in hand, flow, length and "
        f"rotation looked up. Wind: read, not beyond the figure on that page. {_list(row)} Radio and "
        "word for stop: tried. Supply: steady. Do you open?"
    ),
    options=(
        Option(
            name="go",
            text="Go: every line stands",
            reason="It takes every line: one that fails, or that nobody looked at today, is a no go.",
            right=lambda row: row["flaw"] == "none",
        ),
        Option(
            name="no-go-waterway",
            text="No go: the waterway first",
            reason="A pin counts when it was seen and touched for this set-up; hearsay does not.",
            right=lambda row: row["flaw"] == "waterway",
        ),
        Option(
            name="no-go-count",
            text="No go: the crews first",
            reason="The count is whole or it is open; a master stream waits for the last answer.",
            right=lambda row: row["flaw"] == "count",
        ),
        Option(
            name="no-go-ground",
            text="No go: the ground first",
            reason="A pad lies flat on ground that bears it all over; what is hollow is not bridged.",
            right=lambda row: row["flaw"] == "ground",
        ),
        Option(
            name="go-with-less",
            text="Go, with half the flow until the officer comes round",
            reason="Less water mends no line of the list. It is go or no go.",
        ),
    ),
    reread="Lesson 09, the list, goes through it line by line.",
)

# --- 7. when to stop --------------------------------------------------------------------------


def _minutes(row, *, pounds=8.34, stays=None, area=None, gpm=1.0):
    stays = row["stays"] / 100 if stays is None else stays
    return row["load"] * (row["area"] if area is None else area) / (gpm * pounds * stays)


MINUTES = Carried(
    id="putting-it-together-q7",
    title="When to stop",
    variable="minutes",
    kind="time",
    unit="minute",
    points=2,
    same_row_as=FLOW,
    carries=(FLOW,),
    tolerance=0.01,
    tolerance_words="within 1 percent",
    ask=lambda row: (
        f"The incident commander has a qualified person's word (invented): no more than "
        f"{row['load']} lb of water on each square foot of {row['floor']}, {row['area']:,} sq ft, "
        f"evenly spread. Of your flow from question 3 about {row['stays']} percent stays up there, "
        "the rest is seen to run off. A gallon weighs 8.34 lb. After how many minutes is that "
        "reached? Answer in minutes, within 1 percent. (A wall that leans, a floor that sags or "
        "water that no longer runs off stops it at once.)"
    ),
    right=lambda row, gpm: water.minutes_to_load(
        row["load"], gpm, row["area"], 1 - row["stays"] / 100
    ),
    slips=(
        Slip(
            "gallons-for-pounds",
            lambda row, gpm: _minutes(row, gpm=gpm, pounds=1),
            "A gallon was counted as a pound. It weighs far more, and the floor would have had its "
            "load long before.",
            0.0,
            did="count a gallon as a pound",
        ),
        Slip(
            "cubic-foot-weight",
            lambda row, gpm: _minutes(row, gpm=gpm, pounds=62.4),
            "That is the weight of a cubic foot. The flow is counted in gallons.",
            did="take the weight of a cubic foot",
        ),
        Slip(
            "all-stays",
            lambda row, gpm: _minutes(row, gpm=gpm, stays=1),
            "All of the flow was counted as staying. The question says which share does. That errs "
            "on the early side, but it is another question.",
            0.5,
            did="let all of it stay",
        ),
        Slip(
            "run-off-for-rest",
            lambda row, gpm: _minutes(row, gpm=gpm, stays=1 - row["stays"] / 100),
            "The share that runs off was taken. What stays is what loads the floor.",
            did="take the share that runs off",
        ),
        Slip(
            "area-forgotten",
            lambda row, gpm: _minutes(row, gpm=gpm, area=1),
            "The area was left out. The figure is for each square foot, and the whole floor takes the "
            "water.",
            did="leave out the area",
        ),
        Slip(
            "share-multiplied",
            lambda row, gpm: _minutes(row, gpm=gpm, stays=100 / row["stays"]),
            "It was multiplied by the share. If less stays, it takes longer, not shorter.",
            did="multiply by the share",
        ),
        Slip(
            "weight-divided",
            lambda row, gpm: _minutes(row, gpm=gpm, pounds=1 / 8.34),
            "It was multiplied by the weight of a gallon. Heavier water fills the floor's load "
            "sooner: divide.",
            0.0,
            did="multiply by the weight of a gallon",
        ),
        Slip(
            "turned-round",
            lambda row, gpm: 1 / _minutes(row, gpm=gpm),
            "The pounds of each minute were divided by what the floor may take. It is the "
            "other way round: how often they go into it.",
            did="turn the ratio round",
            minor=True,
        ),
        Slip(
            "load-forgotten",
            lambda row, gpm: _minutes(row, gpm=gpm) / row["load"],
            "The pounds on each square foot were left out. They and the area tell what the "
            "whole floor may take.",
            did="leave out the load of a square foot",
            minor=True,
        ),
        Slip(
            "pounds-for-minutes",
            lambda row, gpm: row["load"] * row["area"],
            "Those are the pounds that the whole floor may take. Find how many minutes of "
            "water they are.",
            did="stop at the pounds",
            minor=True,
        ),
        Slip(
            "gallons-for-minutes",
            lambda row, gpm: row["load"] * row["area"] / 8.34,
            "Those are the gallons that the whole floor may take. Find how many minutes of "
            "water they are.",
            did="stop at the gallons",
            minor=True,
        ),
        Slip(
            "rate-for-minutes",
            lambda row, gpm: gpm * 8.34 * row["stays"] / 100,
            "Those are the pounds that stay each minute. Find how often they go into what the "
            "whole floor may take.",
            did="stop at the pounds of a minute",
            minor=True,
        ),
        Slip(
            "weight-and-share-forgotten",
            lambda row, gpm: row["load"] * row["area"] / gpm,
            "A gallon was counted as a pound, and all of the flow as staying. Both belong in.",
            did="leave out weight and share",
            minor=True,
        ),
        Slip(
            "run-off-in-gallons",
            lambda row, gpm: _minutes(row, gpm=gpm, pounds=1, stays=1 - row["stays"] / 100),
            "The share that runs off was taken, and gallons as pounds. What stays loads the "
            "floor, and each gallon weighs more than eight pounds.",
            did="take the share that runs off, in gallons",
            minor=True,
        ),
        Slip(
            "cubic-foot-gallons",
            lambda row, gpm: _minutes(row, gpm=gpm, pounds=7.48),
            "That is how many gallons go into a cubic foot. A gallon weighs what the question "
            "says.",
            did="take the gallons of a cubic foot",
            minor=True,
        ),
    ),
    example="999 minutes",
    first_step="First the pounds that the whole floor may take, then the pounds that stay each minute.",
    reread="Lesson 09, when to stop, has the same steps.",
)

# --- 8. the brief -----------------------------------------------------------------------------

BRIEF = WrittenQuestion(
    id="putting-it-together-q8",
    title="Your brief",
    variable="brief",
    points=4,
    same_row_as=FLOW,
    ask=lambda row: (
        f"You run {row['device']} at {row['place']}. Write the brief that you give your crew and the "
        "pump operator before water, as you would say it. Use your numbers. Five to nine sentences; "
        "your instructor marks this one."
    ),
    guide=(
        (0.5, "what the stream is to do: which opening, what burns behind it"),
        (
            0.5,
            "spot and line: turntable and tip outside the collapse zone, counted to the parapet; "
            "ladder lined up with the turntable, nozzle in line",
        ),
        (
            1.0,
            "numbers that fit the member's own answers: tip and nozzle pressure, flow, pump "
            "discharge pressure; side load named if the nozzle is to be turned",
        ),
        (
            0.5,
            "what is looked up in this device's operator's manual (flow, length, rotation, wind), and "
            "that it decides, not a rule of thumb",
        ),
        (
            0.5,
            "crews counted and clear, nobody on or under the ladder, waterway pin touched, word for "
            "stop and who may say it",
        ),
        (0.5, "opened and shut slowly, filled slowly; who watches tip, pads, wind and wall"),
        (
            0.5,
            "when it is shut: darkened, wall or floor moves, water stays up there, supply fails, "
            "or word for stop",
        ),
    ),
    reread="Lesson 09, the brief, has an example.",
)

PAPER = Paper(
    name="putting-it-together",
    title="Putting it together",
    version=VERSION,
    minutes=25,
    situation=(
        "Larkmoor Fire Department, 04:05. One scene from size-up to the order to shut down: read all "
        "eight questions first, for they tell of one building, one ladder and one stream. The command "
        "post has ordered everybody out and fights from outside. What is worked out here sizes the "
        "job; it permits nothing. Lines overhead, hollows under the pads and the people round the rig "
        "are looked for before any number is. (Department, places and rigs are invented, and so is "
        "every local rule in the questions.)"
    ),
    questions=(SIZE_UP, SPOT, FLOW, PRESSURE, SIDE, GO, MINUTES, BRIEF),
)
