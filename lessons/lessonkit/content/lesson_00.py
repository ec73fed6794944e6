"""What lesson 00 asks: how the lessons work, and what they cannot do."""

from aerialstream.units import quantity
from aerialstream.water import water_weight
from gradekit.questions import Question, Slip
from lessonkit.first_panel import far, landing
from lessonkit.kinds import Choice, Number, Option
from lessonkit.manual_sheet import LookUp


def _far(degrees):
    return far(landing("1 3/4", quantity(degrees, "degree")), "US")


_TYPED_ROW = {"gpm": 1000}

TYPED = Question(
    id="lesson-00-typed",
    variable="weight",
    points=1,
    rows=(_TYPED_ROW,),
    ask=lambda row: "",
    kind="weight",
    unit="lbf",
    tolerance=0.02,
    tolerance_words="within 2 percent",
    right=lambda row: (
        water_weight(quantity(row["gpm"], "gpm"), time="1 min").value.to("lbf").magnitude
    ),
    slips=(
        Slip(
            "two-minutes",
            lambda row: 2 * 8.34 * row["gpm"],
            "That is twice as much. Count one minute only.",
        ),
        Slip(
            "gallons",
            lambda row: row["gpm"],
            "Those are the gallons. Each of them weighs 8.34 lb.",
        ),
    ),
    example="77 lb",
    first_step="First ask how many gallons flow in one minute.",
    reread="See the worked example above.",
)

ASKED = {
    "raise": Choice(
        f"A nozzle points 30 degrees up, and the last of its water lands {_far(30)} out. You raise "
        "the nozzle to 60 degrees. Nothing else changes. Where does the water land then?",
        (
            Option(
                "Farther out",
                "It goes higher, and spends its way on going up. Move the panel and see.",
            ),
            Option(
                "At about the same place",
                "From the ground and without air that would be so. Water is slowed by the air all the "
                "way, and the high way is the longer one.",
            ),
            Option(
                "Nearer",
                f"At 60 degrees it lands {_far(60)} out: it goes higher, stays in the air longer, and "
                "the air slows it.",
                right=True,
            ),
        ),
    ),
    "typed": Number(
        "Try it with a number. A gallon of water weighs 8.34 lb. What do 1,000 gallons weigh, the water of "
        "one minute at 1,000 gpm? Write a number and its unit, as you would on a whiteboard.",
        TYPED,
        _TYPED_ROW,
        "More than four tons, every minute.",
    ),
    "limit": Choice(
        "A panel shows that a set-up is lighter on the ladder than another. Your captain asks: may "
        "we flow it? Where does the answer stand?",
        (
            Option(
                "In the panel: lighter is fine",
                "Lighter than the other is all that the panel says. It does not know what your "
                "ladder bears.",
            ),
            Option(
                "In the operator's manual of your device, and in local procedure",
                "They say what is allowed, by flow, length and angle. The lessons show which way to "
                "go, and why.",
                right=True,
            ),
            Option(
                "In the lesson's sources",
                "They say where a number comes from. None of them knows your device.",
            ),
            Option(
                "Nowhere: you feel it in the ladder",
                "When you feel it, the load is there already. And much of it is not felt at all.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp(
        "manual-place",
        "Where does the operator's manual of this device lie?",
        "officer's side door pocket of Tower 3, blue cover",
    ),
    LookUp(
        "manual-edition",
        "For which model and year is it written? Is it the one of this device?",
        "first pages: model and year as on the plate",
    ),
)
