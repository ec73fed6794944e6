"""What lesson 09 asks: plan a drill, decide on the day, learn from what was measured."""

from aerialstream.nozzles import smooth_bore_discharge
from aerialstream.units import show
from gradekit.questions import Question, Slip
from lessonkit.kinds import Choice, FindFault, Match, Number, Option, Order, Pair, Several, Step
from lessonkit.manual_sheet import LookUp

_FLOW_CONSTANT = 29.7  # of the printed formula, as in lesson 04
_ROW = {"tip": 1.25, "cap": 400}
_AT_USUAL = show(smooth_bore_discharge("1 1/4 in", nozzle_pressure="80 psi").value)
_AT_CAP = show(smooth_bore_discharge("1 1/4 in", nozzle_pressure="70 psi").value)

CAP = Question(
    id="lesson-09-cap",
    variable="pressure",
    points=1,
    rows=(_ROW,),
    ask=lambda row: "",
    kind="pressure",
    unit="psi",
    tolerance=0.005,
    tolerance_words="within half a percent",
    right=lambda row: (row["cap"] / (_FLOW_CONSTANT * row["tip"] ** 2)) ** 2,
    slips=(
        Slip(
            "not-squared-at-last",
            lambda row: row["cap"] / (_FLOW_CONSTANT * row["tip"] ** 2),
            "That is still the root of the pressure. Square it.",
        ),
        Slip(
            "bore-not-squared",
            lambda row: (row["cap"] / (_FLOW_CONSTANT * row["tip"])) ** 2,
            "The bore has to be squared in the formula.",
        ),
        Slip(
            "usual-pressure",
            lambda row: 80.0,
            "That is the tip's usual pressure. With it this tip flows more than the cap.",
        ),
        Slip(
            "rounded-up",
            lambda row: 75.0,
            "Rounded up it flows more than the cap. Give the pressure itself, to a tenth.",
        ),
        Slip(
            "rounded-down",
            lambda row: 70.0,
            "That keeps the cap, on a gauge in steps of 5 psi. Asked is what flows just the cap.",
        ),
    ),
    example="30 psi",
    first_step="Flow is 29.7 times bore squared times root of pressure. Solve for the root first.",
    reread="See the worked example above.",
)

ASKED = {
    "open": Choice(
        "Drill day. The plan is made. Wind and slope are under what the manual's page says. Nothing on "
        "the go/no-go list fails, but one line is blank: nobody found the manual's figure for gusts. "
        "The day is calm. Go?",
        (
            Option(
                "Go: nothing fails",
                "A line that nobody answered is not a line that passed. It holds the drill as long as "
                "it is blank.",
            ),
            Option(
                "Go, with the safety officer watching the tip",
                "Watching is right on any day. It does not tell what the device may do in a gust.",
            ),
            Option(
                "No go until the figure is found, or the drill is done without raising the ladder",
                "One blank holds the drill like one no. Find the page, ask the maker's dealer, or run "
                "a drill that needs no ladder.",
                right=True,
            ),
            Option(
                "Go, at half the flow",
                "Less flow lightens the push of the nozzle. What gusts do to the ladder stays unknown.",
            ),
        ),
    ),
    "blank": Several(
        "The plan comes out of the department's own files. What stays blank on the card until "
        "somebody fills it in?",
        (
            Option(
                "Gusts up to which the device may work",
                "Only the operator's manual of that device says it.",
                right=True,
            ),
            Option(
                "What the floor of the prop bears, where no test is entered",
                "Only the owner knows what was tested.",
                right=True,
            ),
            Option(
                "How far lightning has to be",
                "That is local procedure. The kit has no number of its own.",
                right=True,
            ),
            Option(
                "Flow and reaction of the tip",
                "They follow from tip and pressure, and the plan has both.",
            ),
            Option(
                "What the water weighs",
                "It follows from flow and time: 8.34 lb a gallon.",
            ),
        ),
    ),
    "cap": Number(
        "A drill may flow 400 gpm at most. The rig carries a 1 1/4-in tip, usually run at 80 psi. At which "
        "nozzle pressure does it flow just 400 gpm? (Flow = 29.7 × bore² × root of the pressure. "
        "The bore is 1.25 in.)",
        CAP,
        _ROW,
        f"At 80 psi it would flow {_AT_USUAL}. On a gauge in steps of 5 psi the plan takes 70 psi: "
        f"{_AT_CAP}. At 75 psi it would be over the cap.",
    ),
    "walk": Order(
        "From the idea to the next drill. Put it in order.",
        (
            Step("Choose evolution, device and site"),
            Step(
                "Read the plan: spot, ladder, flow, what is blank",
                "There is nothing to read before the three are chosen.",
            ),
            Step(
                "Fill in the blanks from the manual, the owner's sheet and local procedure",
                "The plan shows which ones there are.",
            ),
            Step(
                "On the ground: go/no-go line by line, then brief",
                "The list needs the figures that were looked up.",
            ),
            Step(
                "Run it, and write down what was read",
                "Only after every line was answered go.",
            ),
            Step(
                "Hold what was measured beside the plan",
                "There is nothing to compare before the run.",
            ),
            Step(
                "Write who changes what, and by when",
                "First see what differs and what explains it.",
            ),
        ),
    ),
    "explain": Match(
        "Measured beside planned. Flow and everything else are as planned but for what is said. What "
        "would explain it?",
        (
            Pair(
                "Pump higher, inlet and nozzle as planned",
                "Hose: its coefficient, or a longer lay",
                "With both gauges checked, there is only the hose between them.",
                "The hose ends at the inlet. It raises the pump's pressure, nothing behind it.",
            ),
            Pair(
                "Inlet higher, nozzle as planned",
                "Waterway: its loss",
                "Between inlet and nozzle lie the waterway and the height.",
                "With more loss there the inlet would read higher. It reads as planned.",
            ),
            Pair(
                "Nozzle pressure as planned, flow lower",
                "Nozzle: bore, gauge or meter",
                "Tip and pressure alone make the flow.",
                "That would change the flow at a given nozzle pressure. Both are as planned.",
            ),
            Pair(
                "All pressures as planned, strike elsewhere",
                "Wind, or the ladder stood otherwise",
                "The water left the tip as planned. So look at where it was pointed, and at the air.",
                "That shows in where the water strikes. It strikes as planned.",
            ),
        ),
        extra=(
            Option(
                "Pump: worn out",
                "A worn pump gives too little. Here it gives the planned pressure, or more.",
            ),
        ),
    ),
    "note": FindFault(
        "From a note after a drill (invented). One line does not belong there. Which?",
        (
            Option(
                "Planned 76 psi at the pump, read 93 psi, three runs.",
                "A figure beside a figure, with how many runs: that is what a note is for.",
            ),
            Option(
                "Another coefficient of the hose would explain it. A gauge that reads high would, too.",
                "Two causes look alike, and the note says so.",
            ),
            Option(
                "From now on the new coefficient counts for all our pumpers.",
                "One drill changes no entry by itself. The gauge comes first, then more runs, then "
                "somebody says yes to the number, for that hose.",
                right=True,
            ),
            Option(
                "Pump operator: hold the gauge against a test gauge, by 1 December.",
                "A role, a task and a day: it can be seen whether it was done.",
            ),
        ),
    ),
    "share": Choice(
        "Another company wants your drill. What goes out in the file?",
        (
            Option(
                "Plan, card, readings and lessons, with the roster so that they can ask",
                "Who they may ask is settled by a call. A roster in a file goes on and on.",
            ),
            Option(
                "Plan, card, readings and lessons, and no names of members",
                "Their rig, spot and day differ, so they plan it anew. What you learned is worth as much without names.",
                right=True,
            ),
            Option(
                "The card alone: they have the same device",
                "Another spot, another hose, another manual. The lessons are what they cannot plan themselves.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp(
        "wind", "Up to which wind may the ladder be used, and with how much flow?", "30 mph in gusts, page 3-6"
    ),
    LookUp("cold", "How cold may it be, and what does ice on the ladder change?", "0 F, no ice, page 3-7"),
    LookUp("rotation", "How far may the nozzle turn off the centre line while flowing?", "15 deg, page 4-12"),
    LookUp("after-use", "What is looked at after the ladder was used, and by whom?", "page 6-1, operator"),
    LookUp("prop-sheet", "Our drill prop: what may its floor, roof and lining take? Whose sheet?", "owner's sheet, line 7"),
)  # fmt: skip
