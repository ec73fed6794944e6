"""What lesson 08 asks: what the water does to the building, and when the stream is shut down."""

from dataclasses import replace

from aerialstream.units import quantity, show
from aerialstream.water import floor_load, load_of_depth, time_to_load, water_weight
from gradekit.papers.what_the_water_meets import STAYS
from gradekit.questions import Question, Slip
from lessonkit.kinds import Choice, FindFault, Match, Number, Option, Order, Pair, Several, Step
from lessonkit.manual_sheet import LookUp


def _tons(weight):
    """Short tons in words: "25 tons"."""
    return f"{weight.to('lbf').magnitude / 2000:,.0f} tons"


_FLOW, _TIME, _FLOOR = "1000 gpm", "15 min", "2500 sq ft"
_ALL = water_weight(_FLOW, time=_TIME).value
_MINUTE = water_weight(_FLOW, time="1 min").value
_STAYS = floor_load(_FLOW, time=_TIME, area=_FLOOR, running_off="60 %")
_BLOCKED = time_to_load("20 psf", flow=_FLOW, area=_FLOOR).value

_FAULT = floor_load("800 gpm", time="10 min", area="3000 sq ft", running_off="50 %")
_FAULT_ALL = water_weight("800 gpm", time="10 min").value


def _load(inches):
    return show(load_of_depth(quantity(inches, "inch")).value, "US", "load")


_STAYS_ROW = {"gpm": 900, "minutes": 20, "off": 4}
_OTHER_STAYS = {"gpm": 750, "minutes": 15, "off": 3}
_ROOF_ROW = {"gpm": 1000, "long": 100, "wide": 50, "load": 20}
_OTHER_ROOF = {"gpm": 750, "long": 80, "wide": 40, "load": 20}


def _roof_minutes(row, *, pounds=8.34):
    return row["load"] * row["long"] * row["wide"] / (pounds * row["gpm"])


ROOF = Question(
    id="lesson-08-roof",
    variable="minutes",
    points=1,
    rows=(_ROOF_ROW, _OTHER_ROOF),
    ask=lambda row: "",
    kind="time",
    unit="minute",
    tolerance=0.02,
    tolerance_words="within 2 percent",
    right=_roof_minutes,
    slips=(
        Slip(
            "gallons-for-pounds",
            lambda row: _roof_minutes(row, pounds=1),
            "The gallons were counted as pounds. Each gallon weighs 8.34 lb.",
        ),
        Slip(
            "inches-for-load",
            lambda row: _roof_minutes(row, pounds=8.34 / 5.2),
            "The load was taken as inches of water. It stands there in pounds already.",
        ),
    ),
    example="77 min",
    first_step="First find what the whole roof carries at that load, in pounds.",
    reread="See the worked example above.",
)

ASKED = {
    "stays": Choice(
        "A stream of 1,000 gpm has gone into an upper stockroom for 15 minutes. From what pours out "
        "of the doors, about six tenths of it have come back out. What does the water weigh that is "
        "still up there?",
        (
            Option(
                "About as much as a few members: half a ton",
                f"One minute of that stream alone weighs {show(_MINUTE, 'US', 'weight')}, more than "
                "four tons.",
            ),
            Option(
                f"About {_tons(_MINUTE)}",
                "That is what a single minute brings in. It went on for fifteen.",
            ),
            Option(
                f"About {_tons(_STAYS.weight)}",
                f"15,000 gallons went in, 6,000 stayed, and each weighs 8.34 lb: "
                f"{show(_STAYS.weight, 'US', 'weight')}.",
                right=True,
            ),
            Option(
                f"About {_tons(_ALL)}",
                "That is all the water that went in. More than half of it has come out again.",
            ),
        ),
    ),
    "weight": Number(
        "Work one out. A stream of 900 gpm has gone in for 20 minutes. About 4 tenths have run off. "
        "A gallon weighs 8.34 lb. What does the water weigh that has stayed? In pounds or tons, "
        "within 2 percent.",
        replace(STAYS, reread="See the worked example above."),
        _STAYS_ROW,
        "18,000 gallons went in, 6 tenths of them stayed, and each weighs 8.34 lb: 10,800 × 8.34.",
        again=Number(
            "750 gpm for 15 minutes, and about 3 tenths have run off: what does the water weigh that "
            "has stayed?",
            replace(STAYS, reread="See the worked example above."),
            _OTHER_STAYS,
            "11,250 gallons went in, 7 tenths of them stayed, and each weighs 8.34 lb: 7,875 × 8.34.",
        ),
    ),
    "roof": Number(
        "A stream of 1,000 gpm falls on a flat roof of 100 ft by 50 ft. The drains are blocked: all "
        "of it stays. After how many minutes does it weigh 20 lb on each square foot? Write a "
        "number and its unit.",
        ROOF,
        _ROOF_ROW,
        "5,000 square feet carry 20 × 5,000 = 100,000 lb then; 8,340 lb come in each minute. Look "
        "again before that time is up. It is no time that is allowed.",
        again=Number(
            "750 gpm on a flat roof of 80 ft by 40 ft, and all of it stays: after how many minutes "
            "does it weigh 20 lb on each square foot?",
            ROOF,
            _OTHER_ROOF,
            "3,200 square feet carry 20 × 3,200 = 64,000 lb then; 750 × 8.34 = 6,255 lb come in each "
            "minute.",
        ),
    ),
    "depth": Match(
        "Water stands on a floor. What does each depth weigh on a square foot?",
        (
            Pair(
                "1 in deep",
                _load(1),
                "5.2 psf is the number to keep.",
                "That is a twelfth of 62.4, a cubic foot's weight. How many twelfths of a foot is this?",
                (Option("5 psf", "Twelve times that is 60. A cubic foot weighs 62.4 lb."),),
            ),
            Pair(
                "3 in deep",
                _load(3),
                "Three times one inch.",
                "That is a quarter of 62.4, a cubic foot's weight. Is this a quarter of a foot?",
            ),
            Pair(
                "5 in deep",
                _load(5),
                "Five times one inch: 26 psf is printed for 2 + 3 in.",
                "That is over a third of 62.4, a cubic foot's weight. This is less than a third of a "
                "foot.",
            ),
        ),
        extra=(
            Option("5 psf", "Not even one inch: a cubic foot is 12 in deep and weighs 62.4 lb."),
            Option("62.4 psf", "That is a whole cubic foot: water 12 in deep."),
        ),
    ),
    "signs": Several(
        "You watch the building. Which signs say that water is gathering inside, or that the "
        "building begins to give?",
        (
            Option(
                "The stream goes on, and less water comes out than before",
                "What no longer comes out stays, and every minute adds to it.",
                right=True,
            ),
            Option(
                "Water comes through a wall at the height of an upper floor",
                "It stands there, and has found a crack.",
                right=True,
            ),
            Option(
                "A floor sags, a wall bulges, a door no longer shuts",
                "Something has moved. Nobody can say that it stops there.",
                right=True,
            ),
            Option(
                "White steam comes back out of the opening",
                "Steam says that water meets fire. It says nothing about what stays.",
            ),
            Option(
                "As much water comes out as before, and it is dirty",
                "That is water on its way out, with soot in it. Keep watching that it stays so.",
            ),
        ),
    ),
    "sum": FindFault(
        "An officer works out what 10 minutes of 800 gpm have left on an office floor of 3,000 "
        "square feet. About half has run off. One step is wrong. Which?",
        (
            Option(
                f"All the water weighs {show(_FAULT_ALL, 'US', 'weight')}.",
                "8,000 gallons times 8.34 lb.",
            ),
            Option(
                f"Half of it has stayed: {show(_FAULT.weight, 'US', 'weight')}.",
                "Half has run off, so half is still there.",
            ),
            Option(
                f"Spread evenly, that is {show(_FAULT.load, 'US', 'load')}.",
                "The pounds that stay, over 3,000 square feet.",
            ),
            Option(
                "Floors of offices are designed for more than that, so this one holds.",
                "A design load is for a sound floor, new and empty. This one has burned, carries its "
                "stock, and the water gathers where it sags. No sum says that it holds.",
                right=True,
            ),
        ),
    ),
    "order": Order(
        "You run a stream into a building. Put the steps in order.",
        (
            Step("Command has everybody out and accounted for"),
            Step(
                "Open slowly, and write down time, flow and opening",
                "No water goes in before everybody is out.",
            ),
            Step(
                "Watch from two sides what comes out, and call the minutes",
                "The minutes count from the opening.",
            ),
            Step(
                "Shut down slowly when it does no more good or something moves",
                "You can only see that by watching.",
            ),
            Step(
                "Let it drain, and have the building looked at before anybody goes in",
                "While the stream runs, weight is still being added.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp(
        "shut-down",
        "How is the stream shut down: which valve, how slowly, and by whom?",
        "at the pump panel, over 10 s, page 5-6",
    ),
    LookUp(
        "flow-shown",
        "Where does the device show the flow, and how near is that?",
        "flow meter at the turntable, give or take 5 %, page 3-9",
    ),
    LookUp(
        "move-flowing",
        "May the ladder be moved while it flows?",
        "no: shut down first, page 4-13",
    ),
)
