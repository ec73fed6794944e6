"""What lesson 06 asks: through the window, straight, swept or off the ceiling."""

from dataclasses import replace
from math import radians, sin, tan

from aerialstream.units import quantity
from gradekit.papers.openings_sweep_and_ceiling import STEEPEST
from gradekit.questions import Question, Slip
from lessonkit.kinds import Choice, FindFault, Match, Number, Option, Order, Pair, Step
from lessonkit.manual_sheet import LookUp
from lessonkit.window_panel import SCENES, use_at


def _use(scene, away, height, pitch):
    return use_at(
        SCENES[scene],
        away=quantity(away, "foot"),
        height=quantity(height, "foot"),
        pitch=quantity(pitch, "degree"),
    )


def _so_small(question):
    """The question, with one sentence for both ways to a number under one."""
    said = (
        "So small a number is the tangent itself, or a calculator on radians. Asked is the angle, "
        "in degrees."
    )
    slips = (
        replace(slip, sentence=said) if slip.name == "radians-for-degrees" else slip
        for slip in question.slips
    )
    return replace(question, slips=tuple(slips))


_STEEP_ON_REAR = _use("rear", 15, 8, 38)
_FLAT_ON_REAR = _use("rear", 30, 8, 22)
_STRAIGHT_ON_REAR = _use("rear", 40, 24, -8)
_OVER_TO_REAR = _use("rear", 15, 18, 9)
_STEEP_NEAR = _use("middle", 15, 8, 38)
_FLAT_NEAR = _use("middle", 30, 8, 22)
_IN_VIEW = _use("open", 40, 30, -13)
_ON_SLAB = _use("slab", 25, 20, -20)
_UNDER_SLAB = _use("slab", 25, 13, -14)

_NOT_BY_CEILING = "A ceiling breaks the water up. Does anything here force you to go by it?"

_STEEP_ROW = {"away": 14, "tip": 6, "sill": 12, "head": 16, "ceiling": 18, "floor": 9}


def _slope(row):
    return tan(radians(STEEPEST.value(row)))


def _climb(row):
    return row["ceiling"] - row["tip"]


STRIKES = Question(
    id="lesson-06-strikes",
    variable="strikes",
    points=1,
    rows=(_STEEP_ROW,),
    ask=lambda row: "",
    kind="length",
    unit="foot",
    tolerance=0.0,
    allow=0.25,
    tolerance_words="within a quarter of a foot",
    right=lambda row: _climb(row) / _slope(row) - row["away"],
    slips=(
        Slip(
            "from-the-nozzle",
            lambda row: _climb(row) / _slope(row),
            "That is how far it strikes ahead of the nozzle. The way in front of the wall is not "
            "inside.",
        ),
        Slip(
            "way-added",
            lambda row: _climb(row) / _slope(row) + row["away"],
            "The way in front of the wall was added. It is a part of the way from the nozzle: take "
            "it off.",
        ),
        Slip(
            "from-the-ground",
            lambda row: row["ceiling"] / _slope(row) - row["away"],
            "The climb was taken from the ground. The stream starts at the nozzle: take off the "
            "nozzle's height.",
        ),
        Slip(
            "from-the-head",
            lambda row: (row["ceiling"] - row["head"]) / _slope(row),
            "It was counted from the head itself. The middle of the stream passes a foot lower "
            "and so strikes farther in.",
        ),
        Slip(
            "spare-foot-forgotten",
            lambda row: _climb(row) * row["away"] / (row["head"] - row["tip"]) - row["away"],
            "That is the line through the head itself. A foot lower it is flatter and strikes "
            "farther in.",
        ),
        Slip(
            "tangent-multiplied",
            lambda row: _climb(row) * _slope(row),
            "The climb was multiplied by the tangent. The flatter a stream, the farther it goes "
            "while it climbs: divide.",
        ),
        Slip(
            "sine-for-tangent",
            lambda row: _climb(row) / sin(radians(STEEPEST.value(row))) - row["away"],
            "The sine was taken: that is the way along the stream. Over the floor it is shorter.",
        ),
        Slip(
            "climb-for-way",
            _climb,
            "That is how far it climbs, not how far in it strikes.",
        ),
    ),
    example="70 ft",
    first_step="First find how far the stream climbs from the nozzle to the ceiling.",
    reread="See the worked example above.",
)

ASKED = {
    "rear": Choice(
        "A window, head 21 ft up, bare slab 2 ft above that. Full racks stand across the room, 12 ft "
        "in and as high as the window's head. The fire is at the rear, about 40 ft in. Which stream "
        "brings most water there?",
        (
            Option(
                "As steep as the window lets it, off the ceiling just inside",
                f"It breaks up and comes down soon: {_STEEP_ON_REAR} of the water gets to the rear.",
            ),
            Option(
                "Flat off the ceiling, farther in",
                f"At a flat angle it runs on along the ceiling: {_FLAT_ON_REAR} of the water gets "
                "to the rear.",
                right=True,
            ),
            Option(
                "Straight in, at the racks or just over them",
                f"The racks stop it: {_STRAIGHT_ON_REAR} of the water gets to the rear. Just over "
                f"them it flies on to the far wall: {_OVER_TO_REAR} comes down on the fire.",
            ),
        ),
    ),
    "which": Match(
        "Which stream do you try first?",
        (
            Pair(
                "Fire on an open floor, in plain view from the tip",
                "straight at it, then along the floor",
                f"Nothing is in the way: {_IN_VIEW} of the water gets there.",
                "That needs a clear line from tip to fire. Here racks stand in it.",
                (
                    Option("steep off the ceiling", _NOT_BY_CEILING),
                    Option("flat off the ceiling", _NOT_BY_CEILING),
                ),
            ),
            Pair(
                "Fire right behind a row of racks, bare slab overhead",
                "steep off the ceiling",
                f"Steep, {_STEEP_NEAR} of the water comes down there; flat, {_FLAT_NEAR}.",
                "It breaks up and comes down just inside. The fire is farther in.",
            ),
            Pair(
                "Fire at the far end, racks below, free under the slab",
                "flat off the ceiling",
                f"Flat, {_FLAT_ON_REAR} of the water gets there; steep, {_STEEP_ON_REAR}.",
                "It runs on along the ceiling and comes down far in. The fire is nearer.",
            ),
        ),
        extra=(
            Option(
                "to and fro over all windows",
                "Each window gets a moment of water, and the wall between them gets the rest.",
            ),
        ),
    ),
    "steepest": Number(
        "Head of the window 16 ft, nozzle 6 ft above the ground and 14 ft out. The middle of the "
        "stream shall pass 1 ft under the head. How steep is that line? First rise over run, then "
        "the angle. Tangents: 27 degrees 0.510, 30 degrees 0.577, 33 degrees 0.649, 36 degrees "
        "0.727, 39 degrees 0.810. Write degrees, within half a degree.",
        _so_small(STEEPEST),
        _STEEP_ROW,
        "Rise 16 - 1 - 6 = 9 ft over a run of 14 ft: 9 / 14 = 0.643, a little under 33 degrees. "
        "Steeper than that, and a part of it strikes the wall above.",
    ),
    "strikes": Number(
        "The same line: nozzle 6 ft up and 14 ft out, rise over run as you worked it out. The "
        "ceiling is at 18 ft. Taken as a straight line, how far inside the wall does it strike? "
        "Write feet, within a quarter of a foot.",
        STRIKES,
        _STEEP_ROW,
        "It climbs 18 - 6 = 12 ft, and 12 / 0.643 = 18.7 ft ahead of the nozzle. 14 ft of that lie "
        "before the wall. A real stream sags and strikes a little farther in.",
    ),
    "slab": Choice(
        "A slab stands out 12 ft over a dock door, underside 11 ft, door head 10 ft. The nozzle is "
        "25 ft out and 20 ft up, pointed down at the door. What gets in?",
        (
            Option(
                "Most of it, since the nozzle points straight at the door",
                "Look at the edge of the slab, 12 ft before the wall. How high is the line there?",
            ),
            Option(
                f"{str(_ON_SLAB).capitalize()}: it strikes the slab",
                f"The line is over the slab where it passes its edge. With the nozzle only 13 ft up it "
                f"gets under: then {_UNDER_SLAB} of the water gets to the fire.",
                right=True,
            ),
            Option(
                "About half, the other half splashes in",
                "What comes down on top of a slab runs off it outside. Splash does not turn corners.",
            ),
        ),
    ),
    "tile": FindFault(
        "A crew works a shop with tile at 10 ft and joists at 12 ft. One step of their thinking is "
        "wrong. Which?",
        (
            Option(
                "Everybody is out and accounted for before water",
                "That is in order. A ceiling may come down where the stream strikes.",
            ),
            Option(
                "The nozzle goes low and near, for a steep line under the head",
                "That is in order. Near and low is steep, if command accepts the place.",
            ),
            Option(
                "The tile turns the stream, so it comes down where the line meets the tile",
                "Nobody reckons with tile turning a master stream. Expect it to drop out; the "
                "joists above turn the water, and farther in.",
                right=True,
            ),
            Option(
                "They hold it there and watch what comes out",
                "That is in order. Hold first, then judge.",
            ),
        ),
    ),
    "next": Order(
        "Fire shows in three windows, and one stream works them in turn. Put the steps in order.",
        (
            Step("Command has everybody out of the stream's way and accounted for"),
            Step(
                "Bring ladder and nozzle in line with the first window, dry",
                "Nothing is moved over people who are still in the way.",
            ),
            Step(
                "Open slowly and hold the stream in that window",
                "First in line and dry: a stream swung across the front loads the ladder sideways.",
            ),
            Step(
                "Watch what comes back out",
                "What comes back can be seen only once water goes in.",
            ),
            Step(
                "Gate back slowly, stop the flow, then turn the turntable to the next window",
                "Look what the water has done before you leave a window.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp("travel-up", "How far may the nozzle be raised above the ladder's line?", "45 deg, page 4-11"),
    LookUp("reach-down", "How far below level may the ladder go, and with what flow?", "-5 deg, page 4-8"),
    LookUp("low-flow", "Most flow with the ladder low and the nozzle raised", "750 gpm, page 4-10"),
    LookUp("moving", "What does the manual say about moving the ladder while it flows?", "page 4-15"),
)  # fmt: skip
