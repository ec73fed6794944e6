"""What lesson 02 asks: where the rig goes."""

from aerialstream.aerials import tip_to_reach
from aerialstream.clearances import collapse_zone
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.site import scene_of
from aerialstream.units import quantity, show
from gradekit.papers.ground_lines_and_zone import ZONE
from lessonkit.kinds import Choice, FindFault, Match, Number, Option, Order, Pair, Step
from lessonkit.manual_sheet import LookUp

_LARKMOOR = load_department(DEMO_FOLDER)
_TOWER = _LARKMOOR.device("tower-3")
_PLAN = scene_of(_LARKMOOR, "weir-street-mill")
_MILL = _PLAN.building("mill")
_FRONT_FT = _MILL.corners[0][1]  # side A runs along the plan
_STREET = next(s for s in _PLAN.streets if s.id == "Weir Street")
_FAR_KERB = show(quantity(_FRONT_FT - min(y for _, y in _STREET.corners), "foot"))
_WALL = quantity(_MILL.wall_height_ft, "foot")
_TOP = quantity(_MILL.top_ft, "foot")
_ZONE = collapse_zone(_TOP, factor=1.5).value
_WRONG_ZONE = collapse_zone(_WALL, factor=1.5).value
_LADDER = tip_to_reach(_TOWER, out="40 ft", up="18.5 ft")

_OWN_WALL = {"rig": "Tower 3", "roof": 20, "parapet": 4, "out": 50, "deg": 35}

ASKED = {
    "where": Choice(
        "The weaving floor has windows to the street (side A) and to the yard (side C). The mill's "
        f"walls are {show(_TOP)} high to the top of the parapet. Command sets a collapse zone of "
        "one and a half times that. Where do you want Tower 3?",
        (
            Option(
                "In Weir Street, close to the wall and to the hydrant",
                f"The zone is {show(_ZONE)} deep, and the far kerb is only {_FAR_KERB} from the "
                "wall: rig and tip would both stand where the wall comes down.",
            ),
            Option(
                "In Weir Street, along the far kerb",
                f"The far kerb is {_FAR_KERB} from the wall, the zone {show(_ZONE)} deep. And the "
                "line along the street hangs in the ladder's way.",
            ),
            Option(
                "In the yard behind the mill, about a hundred feet back",
                f"There rig and tip have room outside the {show(_ZONE)}, no line, and a window that "
                "leads to the fire. The price is a longer supply lay.",
                right=True,
            ),
            Option(
                "At the yard gate beside the mill, ladder long and nozzle turned",
                "The gate lies in the zone of side B, and a long ladder with its nozzle turned off "
                "the line is loaded sideways.",
            ),
        ),
    ),
    "order": Order(
        "You say where the ladder goes. Put your thoughts in order.",
        (
            Step("Find out what burns: floor, room, side"),
            Step(
                "Choose the opening that leads into that room",
                "An opening is worth something only if it leads to what burns.",
            ),
            Step(
                "Say where the tip must be, with ladder and nozzle in one line",
                "Where the tip belongs follows from the opening.",
            ),
            Step(
                "Work back from the tip to a spot for the turntable",
                "Parked first, the ladder has to make do with long, low or turned.",
            ),
            Step(
                "Walk that spot: ground, slope, lines, room for the stabilisers",
                "There must be one certain spot to walk.",
            ),
            Step(
                "Bring the rig to the mark and set the brake",
                "What is found under the pads with the rig in place costs the spot and the time.",
            ),
        ),
    ),
    "sum": FindFault(
        "A crew works out a spot for Tower 3 in the yard. One step is wrong. Which?",
        (
            Option(
                f"The wall is {show(_WALL)} to the roof's edge, so the zone is 1 1/2 × that: "
                f"{show(_WRONG_ZONE)}.",
                f"The parapet comes down too. To its top it is {show(_TOP)}, so the zone is "
                f"{show(_ZONE)}.",
                right=True,
            ),
            Option(
                "The tip goes 65 ft from the wall and 18.5 ft up, the middle of the window.",
                "That is outside the zone, and half way from the sill at 16 ft to the head at 21 ft.",
            ),
            Option(
                f"With the tip 40 ft out from the turntable's centre, {show(_LADDER.extension)} of "
                f"ladder are out at {show(_LADDER.elevation)}.",
                "The heel pin of Tower 3 lies 2 ft behind the centre and 8 ft up. From there it "
                "is 42 ft ahead and 10.5 ft up: the worked example has the same sum.",
            ),
            Option(
                "So the turntable's centre stands 105 ft from the wall.",
                "65 ft and 40 ft: the two lie in one line, square to the wall.",
            ),
        ),
    ),
    "walk": Match(
        "You walk the spot. What do you do about each thing you find?",
        (
            Pair(
                "A covered pit under one pad",
                "Shift the spot",
                "Nobody built the cover of a pit for a stabiliser, and plates do not help.",
                "That is for ground which nothing helps. What would help here?",
                (
                    Option(
                        "Larger plates, and somebody who watches the pads",
                        "Plates spread a load over ground. Under this cover there is none.",
                    ),
                ),
            ),
            Pair(
                "A line; nobody knows its voltage",
                "Keep everything away and ask the utility",
                "Take it as live. Only the utility can tell how far is far enough.",
                "That is for what may be live. Here the trouble is in the ground.",
                (
                    Option(
                        "Shift the spot",
                        "Away from it is right. But how far is far enough? Who knows that?",
                    ),
                ),
            ),
            Pair(
                "Asphalt that is soft from the sun",
                "Larger plates, and somebody who watches the pads",
                "A pad sinks slowly into hot asphalt.",
                "Plates spread a pad's load over more ground. They do nothing about a line or a tilt.",
            ),
            Pair(
                "The ground falls along the yard",
                "Point the rig up or down the slope and read its own indicator",
                "Along the chassis is kinder than across it. The manual says how much is allowed.",
                "That deals with tilt. It makes no ground firmer and no line farther away.",
            ),
        ),
        extra=(
            Option(
                "Set up quickly, before it gets worse",
                "Hurry mends nothing: you find out with the ladder up.",
            ),
        ),
    ),
    "zone": Number(
        "A wall is 20 ft to the roof's edge, and its parapet stands 4 ft above that. "
        "Command sets one and a half times the height. Tower 3 works straight at it with 50 ft of "
        "ladder out at 35 degrees (cosine 0.819, sine 0.574); take its heel pin to be at the "
        "turntable's centre. How far from the wall must the turntable stand, so that the tip is "
        "outside too?",
        ZONE,
        _OWN_WALL,
    ),
}

MANUAL = (
    LookUp("slope", "On how much slope may it be set up, and how is that read?", "5 deg, page 3-8"),
    LookUp(
        "pads", "Which pads or plates, and how large?", "24 in square on paved ground, page 3-4"
    ),
    LookUp(
        "short-side",
        "May one side be set out short, and what may the ladder do then?",
        "never over the short side, page 3-6",
    ),
    LookUp(
        "wide",
        "How wide must the spot be with all stabilisers out?",
        "18 ft with room to walk, page 3-3",
    ),
    LookUp(
        "lines", "How far from power lines, in the manual and in our own procedure?", "page 2-5"
    ),
)
