"""What lesson 05 asks: how far a stream reaches, and what is left of it there."""

from aerialstream import sag, show, stream_path, throw, usable_reach
from gradekit.papers.path_and_reach import REACH, TIP_OR_PRESSURE
from lessonkit.kinds import Choice, Match, Number, Option, Pair, Several
from lessonkit.manual_sheet import LookUp

_PATH = stream_path("1 3/4 in", nozzle_pressure="80 psi", elevation="30 deg", height="40 ft")
_WINDY = stream_path(
    "1 3/4 in",
    nozzle_pressure="80 psi",
    elevation="30 deg",
    height="40 ft",
    wind="15 mph",
    wind_from="90 deg",
)
_REACH = usable_reach("1 3/4 in", nozzle_pressure="80 psi").value
_DROP = show(sag("1 3/4 in", nozzle_pressure="80 psi", elevation="30 deg", distance="50 ft").value)


def _whole(value):
    return f"{value.to('foot').magnitude:.0f} ft"


def _drop(tip="1 3/4 in", psi=80, feet=50):
    return sag(tip, nozzle_pressure=f"{psi} psi", elevation="30 deg", distance=f"{feet} ft").value


_LANDS = throw("1 1/2 in", nozzle_pressure="70 psi", elevation="35 deg").value
_REACH_ROW = {
    "device": "Ladder 9",
    "tip_text": "1 1/2",
    "tip": 1.5,
    "psi": 70,
    "landed": round(_LANDS.to("foot").magnitude, -1),
    "away": 60,
    "above": 25,
}
_MORE_ROW = {"small_text": "1 1/2", "small": 1.5, "large_text": "1 3/4", "large": 1.75, "psi": 70}

ASKED = {
    "reach": Choice(
        "A 1 3/4-in tip at 80 psi, barrel 30 degrees up, 40 ft above the ground. The last of the "
        f"water lands about {_whole(_PATH.throw)} out. How far along the stream is it still good: "
        "solid enough to hit and to soak?",
        (
            Option(
                f"Nearly all the way, {_whole(0.9 * _PATH.throw)}",
                "Far out there is water, but it is spray and rain. It looks good from the pedestal.",
            ),
            Option(
                f"About three quarters, {_whole(0.75 * _PATH.throw)}",
                "Many say so. By then the stream has long come apart.",
            ),
            Option(
                f"Less than half, {_whole(_REACH)}",
                "By the handbook rule, give or take a fifth. The rest of the way is spray.",
                right=True,
            ),
        ),
    ),
    "rule": Number(
        "Work one out. A 1 1/2-in tip at 70 psi. How far along the stream is it still good, by the "
        "handbook rule? Write a number and its unit.",
        REACH,
        _REACH_ROW,
        "Half the pressure, then 26, then the eighths over 3/4 at 5 ft each: "
        f"{_REACH_ROW['psi'] / 2:.0f} + 26 + {40 * (_REACH_ROW['tip'] - 0.75):.0f} ft.",
    ),
    "sight": Choice(
        "You look along the barrel at the middle of a window 50 ft ahead, barrel 30 degrees up, 80 "
        "psi. The window is 6 ft high. Where does the water strike?",
        (
            Option(
                "In the middle of the window",
                "That is where the barrel points. What does the water do on the way?",
            ),
            Option(
                "Over the window",
                "Water only ever falls below the line of the barrel, never above it.",
            ),
            Option(
                "On the wall under the sill",
                f"It has dropped {_DROP}, and the sill is 3 ft below the middle. Aim that much "
                "higher, then look where it strikes.",
                right=True,
            ),
        ),
    ),
    "more": Several(
        "A stream breaks up just short of the window. What helps? Tick all that do. "
        "(More tip or pressure also means more push: work it out anew.)",
        (
            Option(
                "A larger tip at the same pressure",
                "The rule adds 5 ft for each eighth of an inch.",
                right=True,
            ),
            Option(
                "More nozzle pressure",
                "The rule adds half a foot for each psi, so 10 psi buy 5 ft.",
                right=True,
            ),
            Option(
                "The barrel steeper",
                "The reach counts along the stream: steeper only spends it upward.",
            ),
            Option(
                "The tip nearer to the window",
                "That does not make the stream longer, but the way shorter: it counts the same, "
                "if spot and collapse zone allow it.",
                right=True,
            ),
        ),
    ),
    "wind": Match(
        "What does a 15-mph wind do?",
        (
            Pair(
                "From the side, at a window 50 ft ahead",
                "hardly anything",
                f"The column is still solid: {show(abs(_WINDY.at_distance('50 ft').left))} by the "
                "kit's path. Half or double is still little.",
                "That holds while the stream is solid. Out there it has come apart.",
            ),
            Pair(
                "From the side, where the last water lands",
                "many feet downwind",
                f"About {_whole(abs(_WINDY.drift))} by the kit's path, could be half or double.",
                "Spray drifts so far. What is the stream still like at 50 ft?",
            ),
            Pair(
                "From ahead, where the last water lands",
                "it lands much shorter",
                "Once it has come apart, air and wind slow it fast.",
                "That takes a wind against the stream. This one comes from the side.",
                (
                    Option(
                        "many feet downwind",
                        "With the wind from ahead, downwind is back toward you.",
                    ),
                ),
            ),
        ),
        extra=(Option("it carries farther", "That takes a wind from behind."),),
    ),
    "sure": Match(
        "How sure is each figure?",
        (
            Pair(
                "The path to a window near by",
                "half a foot, and your aim",
                "Near the tip gravity decides nearly alone.",
                "Only what gravity decides, near the tip, is that sure.",
            ),
            Pair(
                "The usable reach",
                "a fifth either way",
                "It is a rule drawn from smaller tips. Over 1 3/8 in it is stretched.",
                "That goes with a handbook rule, judged by eye. This is not from that rule.",
            ),
            Pair(
                "The throw",
                "about 15 percent",
                "Measured for tips up to 1 in. For larger ones it is carried on by computing.",
                "That goes with what was measured on small tips and then computed for large ones.",
            ),
            Pair(
                "How far wind shifts it",
                "half or double",
                "No measured shift of a master stream was found. The direction is sure.",
                "It is that wide only where no measured figure was found.",
            ),
        ),
    ),
    "buy": Number(
        "A 1 1/2-in tip at 70 psi breaks up 10 ft short. A 1 3/4-in tip at 70 psi would reach. How "
        "many psi more would the smaller tip need to reach as far, by the rule?",
        TIP_OR_PRESSURE,
        _MORE_ROW,
        "Two eighths are 10 ft, and each psi gives half a foot.",
    ),
}

MANUAL = (
    LookUp(
        "nozzle-range",
        "Which nozzle pressures are the device's nozzles made for?",
        "60 to 100 psi, page 4-9",
    ),
    LookUp(
        "wind",
        "Up to which wind may the ladder be used, and with how much flow?",
        "30 mph in gusts, page 3-6",
    ),
    LookUp(
        "straightener",
        "Is there a stream straightener behind the tip, and when must it be on?",
        "yes, with every smooth bore, page 4-9",
    ),
)
