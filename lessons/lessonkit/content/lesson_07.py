"""What lesson 07 asks: whether this nozzle can do the low job."""

from math import atan2, degrees

from aerialstream.aerials import aim, tip_position
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.units import quantity, show
from gradekit.questions import Carried, Question, Slip
from lessonkit.kinds import (
    GAP,
    Choice,
    Complete,
    Gap,
    Match,
    Number,
    Option,
    Order,
    Pair,
    Several,
    Step,
)
from lessonkit.manual_sheet import LookUp

_LARKMOOR = load_department(DEMO_FOLDER)
_TOWER, _LADDER, _PLATFORM = (
    _LARKMOOR.device(name) for name in ("tower-3", "ladder-9", "platform-2")
)
_LOW = {"extension": "40 ft", "elevation": "-5 deg"}


def _degrees(angle):
    return f"{angle.to('degree').magnitude:g} degrees"


def _steepest(device):
    """The steepest that its nozzle can point from a ladder 5 degrees below level."""
    base = "0 deg" if device.kind.endswith("platform") else _LOW["elevation"]
    return _degrees(quantity(base) + device.nozzle_travel.up)


_UP = _degrees(_LADDER.nozzle_travel.up)
_TRIED = aim(_LADDER, **_LOW, stream_pitch="14 deg")
_NEEDED = show(_TRIED.pitch)
_RAISED = tip_position(_LADDER, extension="40 ft", elevation="4 deg")
_RAISED_UP = show(_RAISED.up)

# --- a sum to complete: from the joists to the ladder's line -----------------------------------


def _front(out, below, away, deep):
    nozzle = tip_position(_TOWER, extension=f"{out} ft", elevation=f"-{below} deg").up
    return {
        "out": out,
        "below": below,
        "away": away,
        "deep": deep,
        "joists": 12,
        "nozzle": round(nozzle.to("foot").magnitude, 1),
    }


_FRONT, _OTHER_FRONT = _front(40, 4, 12, 13), _front(50, 3, 9, 11)
_EXAMPLE = "See the worked example above."


def _climb(row):
    return row["joists"] - row["nozzle"]


def _pitched(row, pitch):
    """Degrees above the ladder's line for a stream so many degrees above level."""
    tried = aim(
        _TOWER,
        extension=f"{row['out']} ft",
        elevation=f"-{row['below']} deg",
        stream_pitch=f"{pitch} deg",
    )
    return tried.pitch.to("degree").magnitude


_WAY = Question(
    id="lesson-07-way",
    variable="way",
    points=1,
    rows=(_FRONT, _OTHER_FRONT),
    ask=lambda row: "",
    kind="length",
    unit="foot",
    right=lambda row: row["away"] + row["deep"],
    slips=(
        Slip(
            "depth-forgotten",
            lambda row: row["away"],
            "Only the way to the window was counted. The strike lies farther in.",
        ),
        Slip(
            "standoff-forgotten",
            lambda row: row["deep"],
            "Only the way inside was counted. The stream climbs from the nozzle on.",
        ),
        Slip(
            "taken-off",
            lambda row: row["deep"] - row["away"],
            "The two ways were taken from each other. The stream goes both.",
        ),
    ),
    first_step="Take the way from the nozzle to the strike, over the ground.",
    reread=_EXAMPLE,
)
_ABOVE_LEVEL = Carried(
    id="lesson-07-above-level",
    variable="above_level",
    points=1,
    same_row_as=_WAY,
    carries=(_WAY,),
    ask=lambda row: "",
    kind="angle",
    unit="degree",
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    right=lambda row, way: degrees(atan2(_climb(row), way)),
    slips=(
        Slip(
            "turned-round",
            lambda row, way: degrees(atan2(way, _climb(row))),
            "That is the angle from straight up. The tangent is climb over way.",
        ),
        Slip(
            "percent-for-degrees",
            lambda row, way: 100 * _climb(row) / way,
            "That is the slope in percent. Take the angle whose tangent it is.",
        ),
        Slip(
            "tangent-itself",
            lambda row, way: _climb(row) / way,
            "So small a number is the tangent itself, or a calculator on radians. Asked is the "
            "angle, in degrees.",
        ),
        Slip(
            "joists-for-climb",
            lambda row, way: degrees(atan2(row["joists"], way)),
            "The whole height of the joists was taken. The nozzle is above the ground already.",
        ),
    ),
    first_step="Divide the climb by the way. On most calculators the angle is tan⁻¹ of that.",
    reread=_EXAMPLE,
)
_ABOVE_LADDER = Carried(
    id="lesson-07-above-ladder",
    variable="above_ladder",
    points=1,
    same_row_as=_WAY,
    carries=(_ABOVE_LEVEL,),
    ask=lambda row: "",
    kind="angle",
    unit="degree",
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    right=_pitched,
    slips=(
        Slip(
            "ladder-forgotten",
            lambda row, pitch: pitch,
            "The ladder was taken as level. The nozzle must make up for the ladder first.",
        ),
        Slip(
            "minus-forgotten",
            lambda row, pitch: pitch - row["below"],
            "The ladder was counted as pointing up. Below level its angle is a minus, and less a "
            "minus is more.",
        ),
        Slip(
            "ladder-twice",
            lambda row, pitch: pitch + 2 * row["below"],
            "The ladder's angle was counted twice.",
        ),
    ),
    first_step="Ask how far the nozzle must rise to point level. The climb comes on top.",
    reread=_EXAMPLE,
)


def _completed(row, again=None):
    climb, way = _climb(row), _WAY.value(row)
    return Complete(
        f"Complete the sum. Tower 3, {row['out']} ft of ladder, {row['below']} degrees below level. "
        f"Nozzle {row['nozzle']:g} ft up, {row['away']} ft before the window. Joists {row['joists']} "
        f"ft up. Strike wanted {row['deep']} ft inside.",
        (
            f"Climb: {row['joists']} - {row['nozzle']:g} = {climb:.1f} ft",
            f"Way from the nozzle to the strike: {GAP}",
            f"Stream above level, the angle whose tangent is climb over way: {GAP}",
            f"Nozzle above the ladder's line: {GAP}",
        ),
        (
            Gap("Way", _WAY, row, "ft", "To the window and on to the strike."),
            Gap(
                "Stream above level",
                _ABOVE_LEVEL,
                row,
                "degrees",
                f"{climb:.1f} / {way} is {climb / way:.3f}, the tangent of that angle.",
            ),
            Gap(
                "Nozzle above the ladder's line",
                _ABOVE_LADDER,
                row,
                "degrees",
                f"Less minus {row['below']} is {row['below']} more.",
            ),
        ),
        again,
    )


# --- a sum of one's own ------------------------------------------------------------------------

_TRAVEL_ROW, _OTHER_TRAVEL = {"climb": 12, "below": 4}, {"climb": 17, "below": 5}

TRAVEL = Question(
    id="lesson-07-rise",
    variable="rise",
    points=1,
    rows=(_TRAVEL_ROW, _OTHER_TRAVEL),
    ask=lambda row: "",
    kind="angle",
    unit="degree",
    tolerance=0.0,
    allow=0.5,
    tolerance_words="within half a degree",
    right=lambda row: row["climb"] + row["below"],
    slips=(
        Slip(
            "ladder-forgotten",
            lambda row: row["climb"],
            "The ladder was taken as level. It points below level, so the nozzle must make up for "
            "that first.",
        ),
        Slip(
            "minus-forgotten",
            lambda row: row["climb"] - row["below"],
            "The ladder was counted as pointing up. Below level it costs the nozzle, it does not "
            "help.",
        ),
        Slip(
            "ladder-alone",
            lambda row: row["below"],
            "That only brings the stream to level. The climb comes on top.",
        ),
    ),
    example="88 deg",
    first_step="First ask how far the nozzle must rise to point level.",
    reread="See the worked example above.",
)

ASKED = {
    "raise": Choice(
        "Ladder 9 lies low before a shop front, 5 degrees below level. To strike the bare joists "
        f"where you want it, the stream must climb 14 degrees. The nozzle rises {_UP} above the "
        "ladder's line. What gets the stream there?",
        (
            Option(
                "Raise the ladder until the stream is steep enough",
                f"At 4 degrees the stream would climb 14. But the nozzle then stands {_RAISED_UP} "
                "up, above the head of the window, and the stream strikes the wall.",
            ),
            Option(
                "Bring the nozzle closer to the window",
                "Closer in, a steeper stream fits under the head of the window. But this nozzle "
                "points no higher.",
            ),
            Option(
                "More nozzle pressure",
                "Pressure makes the stream straighter and harder. It does not turn the nozzle.",
            ),
            Option(
                "Nothing: with this nozzle the job is done another way",
                f"It needs {_NEEDED} above the ladder's line and has {_UP}. No skill makes up for "
                "that. Another opening, a direct hit, a ground monitor or another rig does the job.",
                right=True,
            ),
        ),
    ),
    "fill": _completed(_FRONT, again=_completed(_OTHER_FRONT)),
    "rise": Number(
        "Work one out. The stream must climb 12 degrees above level. The ladder lies 4 degrees "
        "below level, nozzle in line. How far above the ladder's line must the nozzle be set?",
        TRAVEL,
        _TRAVEL_ROW,
        "From the ladder's line up to level first, then the climb.",
        again=Number(
            "The stream must climb 17 degrees above level, and the ladder lies 5 degrees below. How "
            "far above the ladder's line?",
            TRAVEL,
            _OTHER_TRAVEL,
            "From the ladder's line up to level first, then the climb.",
        ),
    ),
    "read": Match(
        "A ladder lies 5 degrees below level. What is the steepest stream that each rig's nozzle "
        "can give? Entered as travel upward: Tower 3 45 degrees and Ladder 9 10 degrees from the "
        "ladder's line, Platform 2 45 degrees from level.",
        (
            Pair(
                "Tower 3",
                _steepest(_TOWER),
                "The nozzle of Tower 3 starts from a line 5 degrees down.",
                "That is 45 less 5. Is 45 this nozzle's travel, and does it count from the ladder?",
            ),
            Pair(
                "Ladder 9",
                _steepest(_LADDER),
                "So does that of Ladder 9, and little is left of its travel.",
                "That is 10 less 5. This nozzle has more travel than 10.",
                (Option(_steepest(_PLATFORM), "That is the travel of the two other rigs."),),
            ),
            Pair(
                "Platform 2",
                _steepest(_PLATFORM),
                "The platform keeps itself level, so its nozzle starts from level.",
                "That is the travel alone. From which line does it count here?",
            ),
        ),
        extra=(
            Option(
                "10 degrees", "That is Ladder 9's travel, and it counts from the ladder's line."
            ),
            Option("50 degrees", "45 and 5 were added. A ladder below level helps no nozzle."),
        ),
    ),
    "load": Several(
        "The ladder is low. What makes the load on it heavier?",
        (
            Option("More ladder out", "Weight and stream both get a longer arm.", right=True),
            Option(
                "The nozzle pitched up from the ladder",
                "Water thrown up pushes the tip down, on top of the ladder's weight.",
                right=True,
            ),
            Option(
                "The nozzle turned off the ladder's line",
                "Then part of the push goes sideways, where a ladder is weakest.",
                right=True,
            ),
            Option(
                "Less flow at the same nozzle pressure",
                "Less flow pushes back less: half the flow, half the reaction.",
            ),
            Option(
                "The ladder raised steep, at the same length",
                "The other way round: raised, its weight has a shorter arm.",
            ),
        ),
    ),
    "moves": Order(
        "Pads down, level, pinned, waterway pinned and touched, nobody on or under the ladder. Cars "
        "stand between rig and shop. Put the ladder's moves in order.",
        (
            Step("Lift the ladder clear of its bed"),
            Step(
                "Turn the turntable toward the shop front",
                "Turned in its bed the ladder strikes what holds it.",
            ),
            Step(
                "Run the ladder out, no farther than the work needs",
                "It must point at its work before it grows.",
            ),
            Step(
                "Bring the nozzle down under the head of the window",
                "Lowered first, it would be run out into the cars.",
            ),
            Step(
                "Line ladder and nozzle up with what is to be hit",
                "The last fine move is made where the nozzle will work, with the turntable.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp(
        "travel-up",
        "How far does the nozzle rise above the ladder's line, and how far does it drop?",
        "45 deg up, 120 deg down, page 4-11",
    ),
    LookUp(
        "least-elevation",
        "At which least elevation may it flow, and over which side?",
        "-5 deg, over the rear only, page 4-14",
    ),
    LookUp(
        "in-the-way",
        "What stands in the ladder's way below level: cradle, cab, body, hose bed?",
        "cab within 20 deg either side, page 4-15",
    ),
    LookUp(
        "low-flow",
        "Which flow and length at that elevation, with the nozzle pitched up?",
        "500 gpm up to 50 ft, page 4-12",
    ),
    LookUp("pinned", "How is the waterway pinned for each use, and who checks it?", "page 5-2"),
)
