"""What lesson 01 asks: does the water reach what burns?"""

from dataclasses import replace

from aerialstream.units import quantity, show
from gradekit.papers.what_the_water_meets import AT_WALL, SWEPT
from lessonkit.kinds import Choice, Match, Number, Option, Order, Pair, Several, Step
from lessonkit.manual_sheet import LookUp
from lessonkit.water_panel import SCENES, use_at


def _use(scene, away, height, pitch):
    return use_at(
        SCENES[scene],
        away=quantity(away, "foot"),
        height=quantity(height, "foot"),
        pitch=quantity(pitch, "degree"),
    )


_ON_ROOF = _use("whole", 45, 50, -15)
_BY_DOOR = _use("whole", 45, 20, -10)
_OVER = _use("whole", 60, 15, 60)
_ABOVE_DOOR = _use("whole", 30, 17, 1)
_OFF_CEILING = _use("mill", 15, 20, 35)
_OVER_WINDOW = _use("mill", 15, 25, 35)

_WALL_ROW = {"rig": "Tower 3", "away": 16, "tip": 8, "deg": 30, "sill": 0}
_SWEPT_ROW = {"gpm": 1000, "over": 60, "by": 24, "wide": 12, "deep": 12}

ASKED = {
    "aim": Choice(
        "Cold store, roof whole. Goods burn in the middle of the hall. The dock door on side A "
        f"stands open. Where does a stream of {show(_BY_DOOR.flow)} put most water on what burns?",
        (
            Option(
                "On the roof, right over the fire",
                f"Of that stream, {_ON_ROOF} of the water gets to the fire: a whole roof lets "
                "nothing in.",
            ),
            Option(
                "In by the dock door, nearly level",
                f"By the door {_BY_DOOR} of the water gets to the fire, from the same distance.",
                right=True,
            ),
            Option(
                "High over the building, so that it rains down",
                f"Thrown high it passes over or comes down on the roof: {_OVER} of it gets to the "
                "fire.",
            ),
            Option(
                "On the wall above the door, to cool the building",
                f"It runs down the front to the street: {_ABOVE_DOOR} of it gets to the fire.",
            ),
        ),
    ),
    "meets": Match(
        "What does each stream meet first? Think of a straight line from the nozzle.",
        (
            Pair(
                "Cold store: 45 ft out, 50 ft up, 15 degrees down. Eaves 18 ft, door head 14 ft",
                _ON_ROOF.strike,
                "It crosses the front far above the eaves, and comes down on the roof.",
                "A line meets that only from above: it is over the eaves as it crosses the front.",
            ),
            Pair(
                "Cold store: 45 ft out, 20 ft up, 10 degrees down. Door head 14 ft",
                _BY_DOOR.strike,
                "It passes under the head of the door and is still going down.",
                "Only a line that comes in through the opening and still falls ends there.",
            ),
            Pair(
                "Mill: 15 ft out, 20 ft up, 35 degrees up. Sill 27 ft, head 33 ft",
                _OFF_CEILING.strike,
                "It passes between sill and head and is still climbing.",
                "Only a line that comes in through the opening and still climbs ends there.",
            ),
            Pair(
                "Mill: 15 ft out, 25 ft up, 35 degrees up. Sill 27 ft, head 33 ft",
                _OVER_WINDOW.strike,
                "Five feet higher, the same line passes over the head.",
                "There ends a line that is over the head of the opening, but not over the eaves.",
            ),
        ),
    ),
    "wall": Number(
        "The nozzle is 16 ft out from the wall and 8 ft above the ground, pitched 30 degrees up. "
        "The tangent of 30 degrees is 0.577. How high above the ground is a straight stream when "
        "it comes to the wall?",
        replace(AT_WALL, reread="See the worked example above."),
        _WALL_ROW,
        "8 + 16 × 0.577: the nozzle's height and the climb. A window with its sill above that, or "
        "its head below, is missed.",
    ),
    "swept": Number(
        "The roof has a hole of 12 ft by 12 ft. A tower sweeps 1,000 gpm evenly over a strip of "
        "60 ft by 24 ft, the hole within it. About how many gpm go in? In your head, within "
        "15 percent.",
        replace(SWEPT, reread="See “Why hold it” above."),
        _SWEPT_ROW,
        "144 of 1,440 square feet are hole: a tenth. Held on the hole, nearly all of it goes in. So "
        "do not sweep: hold.",
    ),
    "useful": Several(
        "Which signs, seen from the street, say that the water gets to the fire?",
        (
            Option(
                "Steam comes back out of the opening",
                "Water that meets fire makes steam, and it shows where it went in.",
                right=True,
            ),
            Option(
                "The smoke changes, and the glow drops",
                "A fire that gets water changes; one that stays dry does not.",
                right=True,
            ),
            Option(
                "Clear water pours off the eaves",
                "That water has only been on the outside. It is what the roof has shed.",
            ),
            Option(
                "The stream looks strong and throws spray",
                "Spray off a wall or roof says only that the stream hit something hard.",
            ),
        ),
    ),
    "order": Order(
        "The rig is set up, pinned and supplied. Put the steps in order.",
        (
            Step("See where it burns, and choose the opening that leads there"),
            Step(
                "Command has everybody out of the stream's way and accounted for",
                "Command must know which opening before it can clear the way.",
            ),
            Step(
                "Bring ladder and nozzle in line with it, dry",
                "Nothing is moved over people who are still in the way.",
            ),
            Step(
                "Open slowly and hold the stream there",
                "First in line and dry: a stream swung across the front loads the ladder sideways.",
            ),
            Step(
                "Watch what comes back out, and log the minutes",
                "What comes back can be seen only once water goes in.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp("reach-down", "How far below level may the ladder go, and with what flow?", "-5 deg, page 4-8"),
    LookUp("travel-up", "How far may the nozzle be raised above the ladder's line?", "45 deg, page 4-11"),
    LookUp("travel-down", "How far may the nozzle be lowered below it?", "100 deg, page 4-11"),
    LookUp("tips", "Which tips and nozzle pressures may be used?", "2 in at 80 psi, page 4-9"),
)  # fmt: skip
