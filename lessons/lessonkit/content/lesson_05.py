"""What lesson 05 asks: how far a stream reaches, and what is left of it there."""

from math import hypot

from aerialstream import sag, show, stream_path, throw, usable_reach
from gradekit.papers.path_and_reach import REACH, TIP_OR_PRESSURE
from gradekit.questions import Carried, Question, Slip
from lessonkit.kinds import GAP, Choice, Complete, Gap, Match, Number, Option, Pair, Several
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


def _reach_row(tip_text, tip, psi):
    lands = throw(f"{tip_text} in", nozzle_pressure=f"{psi} psi", elevation="35 deg").value
    return {
        "device": "Ladder 9",
        "tip_text": tip_text,
        "tip": tip,
        "psi": psi,
        "landed": round(lands.to("foot").magnitude, -1),
        "away": 60,
        "above": 25,
    }


def _by_the_rule(row):
    """Why the usable reach of a row is what it is."""
    return (
        "Half the pressure, then 26, then the eighths over 3/4 at 5 ft each: "
        f"{row['psi'] / 2:.0f} + 26 + {40 * (row['tip'] - 0.75):.0f} ft."
    )


_REACH_ROW, _OTHER_REACH = _reach_row("1 1/2", 1.5, 70), _reach_row("1 3/4", 1.75, 60)
_MORE_ROW = {"small_text": "1 1/2", "small": 1.5, "large_text": "1 3/4", "large": 1.75, "psi": 70}
_OTHER_MORE = {
    "small_text": "1 1/4",
    "small": 1.25,
    "large_text": "1 3/4",
    "large": 1.75,
    "psi": 80,
}

# --- a sum to complete: from the eighths to what is left beyond the window ---------------------

_SUM = {"tip_text": "2", "tip": 2.0, "psi": 70, "away": 60, "above": 25}
_OTHER_SUM = {"tip_text": "1 1/2", "tip": 1.5, "psi": 80, "away": 48, "above": 20}
_EXAMPLE = "See the worked example above."


def _reach_ft(tip, psi):
    return usable_reach(f"{tip} in", nozzle_pressure=f"{psi} psi").value.to("foot").magnitude


def _small(row):
    """What the rule gives a 3/4-in tip."""
    return _reach_ft(0.75, row["psi"])


def _way(row):
    return hypot(row["away"], row["above"])


_LARGER = Question(
    id="lesson-05-larger",
    variable="larger",
    points=1,
    rows=(_SUM, _OTHER_SUM),
    ask=lambda row: "",
    kind="length",
    unit="foot",
    right=lambda row: _reach_ft(row["tip"], row["psi"]) - _small(row),
    slips=(
        Slip(
            "eighths-from-nothing",
            lambda row: 40 * row["tip"],
            "All the eighths of the tip were counted. The rule starts at a tip of 3/4 in.",
        ),
        Slip(
            "eighths-from-an-inch",
            lambda row: 40 * (row["tip"] - 1),
            "The eighths were counted from one inch. The rule starts at a tip of 3/4 in.",
        ),
        Slip(
            "quarters-for-eighths",
            lambda row: 20 * (row["tip"] - 0.75),
            "Quarters of an inch were counted. An eighth goes twice into each.",
        ),
        Slip(
            "eighths-alone",
            lambda row: 8 * (row["tip"] - 0.75),
            "That is how many eighths there are. Each of them adds more than one foot.",
        ),
    ),
    first_step="Count how often an eighth goes into what the tip has over 3/4 in.",
    reread=_EXAMPLE,
)
_GOOD = Carried(
    id="lesson-05-good",
    variable="good",
    points=1,
    same_row_as=_LARGER,
    carries=(_LARGER,),
    ask=lambda row: "",
    kind="length",
    unit="foot",
    right=lambda row, larger: _small(row) + larger,
    slips=(
        Slip("tip-forgotten", lambda row, larger: _small(row), "What the tip adds was left out."),
        Slip(
            "base-forgotten",
            lambda row, larger: row["psi"] / 2 + larger,
            "The 26 was left out. It belongs to every tip.",
        ),
        Slip(
            "whole-pressure",
            lambda row, larger: _small(row) + row["psi"] / 2 + larger,
            "The whole pressure was counted. Only half of it counts.",
        ),
        Slip(
            "taken-off",
            lambda row, larger: _small(row) - larger,
            "What the larger tip adds was taken off.",
        ),
    ),
    first_step="Add the first two lines.",
    reread=_EXAMPLE,
)
_LEFT = Carried(
    id="lesson-05-left",
    variable="left",
    points=1,
    same_row_as=_LARGER,
    carries=(_GOOD,),
    ask=lambda row: "",
    kind="length",
    unit="foot",
    right=lambda row, good: good - _way(row),
    slips=(
        Slip(
            "level-only",
            lambda row, good: good - row["away"],
            "Only the way over the ground was taken off. The water climbs as well.",
        ),
        Slip(
            "legs-added",
            lambda row, good: good - row["away"] - row["above"],
            "Distance and height were both taken off. The water goes straight across.",
        ),
        Slip(
            "added-to-reach",
            lambda row, good: good + _way(row),
            "The way was added. The water spends its reach on the way: take it off.",
        ),
        Slip(
            "fifth-alone",
            lambda row, good: good / 5,
            "That is the fifth by which the reach may be off. Asked is what lies beyond the window.",
        ),
    ),
    first_step="Take the way to the window off the reach.",
    reread=_EXAMPLE,
)


def _completed(row, again=None):
    eighths, fifth = 8 * (row["tip"] - 0.75), _GOOD.value(row) / 5
    return Complete(
        f"Complete the sum. A {row['tip_text']}-in tip at {row['psi']} psi. The window is "
        f"{row['away']} ft ahead and {row['above']} ft higher than the tip.",
        (
            f"Half the pressure, and 26: {row['psi'] / 2:g} + 26 = {_small(row):g} ft",
            f"The eighths over 3/4 in add {GAP}",
            f"Usable reach: {GAP}",
            f"Way to the window, the long side of the triangle: {_way(row):g} ft",
            f"Good stream left beyond the window: {GAP}",
        ),
        (
            Gap("What the eighths add", _LARGER, row, "ft", f"{eighths:g} eighths at 5 ft each."),
            Gap("Usable reach", _GOOD, row, "ft", "The two lines above together."),
            Gap(
                "Left beyond the window",
                _LEFT,
                row,
                "ft",
                f"Reach less way. The reach may be off by a fifth, {fifth:.0f} ft: there is more "
                "than that left.",
            ),
        ),
        again,
    )


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
    "fill": _completed(_SUM, again=_completed(_OTHER_SUM)),
    "rule": Number(
        "Work one out. A 1 1/2-in tip at 70 psi. How far along the stream is it still good, by the "
        "handbook rule? Write a number and its unit.",
        REACH,
        _REACH_ROW,
        _by_the_rule(_REACH_ROW),
        again=Number(
            "A 1 3/4-in tip at 60 psi: how far is it still good?",
            REACH,
            _OTHER_REACH,
            _by_the_rule(_OTHER_REACH),
        ),
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
    "buy": Number(
        "A 1 1/2-in tip at 70 psi breaks up 10 ft short. A 1 3/4-in tip at 70 psi would reach. How "
        "many psi more would the smaller tip need to reach as far, by the rule?",
        TIP_OR_PRESSURE,
        _MORE_ROW,
        "Two eighths are 10 ft, and each psi gives half a foot.",
        again=Number(
            "A 1 1/4-in tip at 80 psi breaks up 20 ft short. A 1 3/4-in tip at 80 psi would reach. "
            "How many psi more would the smaller tip need?",
            TIP_OR_PRESSURE,
            _OTHER_MORE,
            "Four eighths are 20 ft, and each psi gives half a foot.",
        ),
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
