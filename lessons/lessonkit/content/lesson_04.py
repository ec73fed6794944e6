"""What lesson 04 asks: how much water, and whether it can be supplied."""

from dataclasses import replace

from aerialstream import friction_loss, parallel_lines, show, smooth_bore_discharge, water_chain
from gradekit.papers.flow_and_supply import LAY
from gradekit.questions import Carried, Question, Slip
from lessonkit.kinds import GAP, Choice, Complete, Gap, Match, Number, Option, Order, Pair, Step
from lessonkit.manual_sheet import LookUp

_RIG = {
    "height": "80 ft",
    "waterway_loss": "40 psi",
    "waterway_flow": "1000 gpm",
    "inlet_loss": "10 psi",
    "inlet_flow": "1000 gpm",
}
_THREE_INCH = {"coefficient": 0.8, "operating_pressure": "275 psi"}
_FIVE_INCH = {"coefficient": 0.066, "operating_pressure": "185 psi"}


def chain(tip, *, length="350 ft", lines=2, hose=_THREE_INCH):
    """The chain of the worked example, with something in it changed."""
    return water_chain(
        nozzle={"kind": "smooth bore", "tip_diameter": tip},
        rig=_RIG,
        lay={**hose, "length": length, "lines": lines},
        pumper={"rated_flow": "1500 gpm", "intake_floor": "20 psi"},
        source={
            "kind": "hydrant",
            "static": "80 psi",
            "residual": "60 psi",
            "test_flow": "1100 gpm",
            "line": {**_FIVE_INCH, "length": "300 ft"},
        },
    )


def _at_80(tip, **lay):
    return chain(tip, **lay).at_nozzle_pressure("80 psi")


_START = _at_80("1 3/4 in")
_FULL = _at_80("2 in")
_NEARER = _at_80("2 in", length="200 ft")
_ONE_FIVE = _at_80("2 in", lines=1, hose=_FIVE_INCH)
_LOW = smooth_bore_discharge("2 in", nozzle_pressure="40 psi").value
_SMALL = smooth_bore_discharge("1 1/2 in", nozzle_pressure="63 psi").value
_ONE_LINE = friction_loss(_START.flow, coefficient=0.8, length="350 ft").value
_TWO_LINES = parallel_lines(_START.flow, lines=[(0.8, "350 ft"), (0.8, "350 ft")]).loss
_DOUBLED = show(2 * _TWO_LINES)

_LAY_ROW = {"residual": 56, "floor": 20, "c": 0.066, "gpm": 1000, "static": 78, "printed": 0.08}

# --- a sum to complete: the chain of the worked example at another nozzle pressure -------------

_EXAMPLE = "See the worked example above."


def _point(row):
    return chain("1 3/4 in").at_nozzle_pressure(f"{row['psi']} psi")


def _psi(value):
    return value.to("psi").magnitude


def _each(row):
    """Hundreds of gpm in each of the two lines."""
    return _point(row).flow.to("gpm").magnitude / 200


def _upward(row):
    """All that comes on top of the lines: nozzle, height, waterway and inlet."""
    return _psi(_point(row).discharge_pressure - _point(row).lay)


_LINES = Question(
    id="lesson-04-lines",
    variable="lines",
    points=1,
    rows=({"psi": 40}, {"psi": 50}),
    ask=lambda row: "",
    kind="pressure",
    unit="psi",
    tolerance=0.03,
    tolerance_words="within 3 percent",
    right=lambda row: _psi(_point(row).lay),
    slips=(
        Slip(
            "all-in-one-line",
            lambda row: 4 * _psi(_point(row).lay),
            "All the flow was sent through one line. Each of the two carries half.",
        ),
        Slip(
            "lines-added",
            lambda row: 2 * _psi(_point(row).lay),
            "That is twice the loss. Side by side two lines lose the same pressure, once; and less "
            "flow loses less than in the example.",
        ),
        Slip(
            "square-forgotten",
            lambda row: 0.8 * _each(row) * 3.5,
            "The flow was taken once. It comes in times itself.",
        ),
        Slip(
            "length-forgotten",
            lambda row: 0.8 * _each(row) ** 2,
            "That is the loss in 100 ft. The lines are longer.",
        ),
    ),
    first_step="Take half the flow, in hundreds of gpm, times itself.",
    reread=_EXAMPLE,
)
_PUMP = Carried(
    id="lesson-04-pump",
    variable="pump",
    points=1,
    same_row_as=_LINES,
    carries=(_LINES,),
    ask=lambda row: "",
    kind="pressure",
    unit="psi",
    tolerance_words="within 1 percent",
    right=lambda row, lines: _upward(row) + lines,
    slips=(
        Slip(
            "height-forgotten",
            lambda row, lines: _upward(row) + lines - _psi(_point(row).elevation),
            "The height was left out. The pump lifts the water as well.",
        ),
        Slip(
            "waterway-forgotten",
            lambda row, lines: row["psi"] + _psi(_point(row).elevation) + lines,
            "Waterway and inlet were left out.",
        ),
        Slip(
            "nozzle-forgotten",
            lambda row, lines: _upward(row) + lines - row["psi"],
            "The nozzle pressure was left out. It has to arrive at the tip.",
        ),
        Slip(
            "lines-twice",
            lambda row, lines: _upward(row) + 2 * lines,
            "The loss of the lines was counted twice. Side by side it counts once.",
        ),
    ),
    first_step="Add up all four lines above.",
    reread=_EXAMPLE,
)


def _completed(row, again=None):
    point = _point(row)
    thousands, each = point.flow.to("gpm").magnitude / 1000, _each(row)
    return Complete(
        f"Complete the sum. The same tip, rig and lines, but only {row['psi']} psi at the nozzle: "
        f"{show(point.flow)}.",
        (
            f"Nozzle: {row['psi']} psi",
            f"Height: 0.434 × 80 = {_psi(point.elevation):.1f} psi",
            f"Waterway and inlet: 50 × {thousands:.3f} × {thousands:.3f} = "
            f"{_psi(point.waterway + point.inlet):.1f} psi",
            f"Two lines of 350 ft, each with half the flow: {GAP}",
            f"Pump discharge pressure: {GAP}",
        ),
        (
            Gap("Lines", _LINES, row, "psi", f"0.8 × {each:.2f} × {each:.2f} × 3.5."),
            Gap("Pump discharge pressure", _PUMP, row, "psi", "All four lines together."),
        ),
        again,
    )


ASKED = {
    "line": Choice(
        f"{show(_START.flow)} go through two lines of 3-in hose, 350 ft each. They lose "
        f"{show(_TWO_LINES)}. One line bursts and is shut down. With the same flow, how much would "
        "the other line lose alone?",
        (
            Option(
                f"About as much as before: {show(_TWO_LINES)}",
                "The line is as long as before, but all the water is in it now.",
            ),
            Option(
                f"About twice as much: {_DOUBLED}",
                "Twice the water is in the line. The loss goes with the square of the flow.",
            ),
            Option(
                f"About four times as much: {show(_ONE_LINE)}",
                "Twice the flow in a line loses two times two, which is four times, the pressure.",
                right=True,
            ),
        ),
    ),
    "half": Choice(
        "The 2-in tip at 80 psi works into a building. The officer wants about half the flow. Which "
        "way gives half, and a stream that still carries?",
        (
            Option(
                "The 1 1/2-in tip at a little over 60 psi",
                f"It flows {show(_SMALL)}, and the pressure for reach is still there. Shut down "
                "to change the tip.",
                right=True,
            ),
            Option(
                "The same tip at half the pressure",
                f"It still flows {show(_LOW)}: flow goes with the root of the pressure. And the "
                "stream gets weak.",
            ),
            Option(
                "The same tip at a quarter of the pressure",
                "It flows half, but 20 psi is left at the nozzle, and such a stream does not carry.",
            ),
        ),
    ),
    "fill": _completed({"psi": 40}, again=_completed({"psi": 50})),
    "nearer": Choice(
        f"The 2-in tip at 80 psi wants {show(_FULL.flow)}. Over the two 350-ft lines of 3-in hose "
        f"that takes {show(_FULL.discharge_pressure)} at the pump, and the pump's rating stands in "
        "the way. What helps?",
        (
            Option(
                "Open the throttle further",
                "More throttle raises the net pressure, and the rating falls as that rises.",
            ),
            Option(
                "One line of 5-in hose over the same way",
                f"It loses little, but {show(_ONE_FIVE.discharge_pressure)} is still needed, and "
                "this hose is marked 185 psi.",
            ),
            Option(
                "Spot the engine 200 ft from the aerial",
                f"Then {show(_NEARER.discharge_pressure)} is enough, and no limit entered stands in the way.",
                right=True,
            ),
            Option(
                "A larger tip",
                "It takes even more flow, so more is lost in hose and waterway.",
            ),
        ),
    ),
    "far": Number(
        "With 1,000 gpm flowing, the hydrant's gauge still holds 56 psi. The engine must keep 20 psi "
        "at its intake. The 5-in hose loses 6.6 psi in each 100 ft at that flow. How long may the "
        "line from the hydrant be, by friction alone?",
        replace(LAY, reread="See the worked example above."),
        _LAY_ROW,
        "56 - 20 = 36 psi may be spent. 36 / 6.6 = 5.45 lengths of 100 ft.",
    ),
    "where": Match(
        "Where do you find it?",
        (
            Pair(
                "The highest pressure for this hose",
                "the marking on the hose",
                "Each length carries it; the weakest length of the lay counts.",
                "It says what that hose bears, and nothing of aerial, main or pump.",
            ),
            Pair(
                "The highest flow of the waterway",
                "the manual of the device",
                "Only the book of that very device has it, often by length and angle.",
                "It speaks for the device. It knows neither your hose nor your main.",
            ),
            Pair(
                "The loss of the waterway",
                "your own flow test",
                "Measure it once at a known flow. Then bring it to any other flow by the square.",
                "A test tells what was lost at a flow. It does not tell what a thing bears, or what "
                "must be left.",
                (
                    Option(
                        "the manual of the device",
                        "It may give a figure. What your own pipe loses, somebody has to measure.",
                    ),
                ),
            ),
            Pair(
                "The lowest intake pressure to work at",
                "local procedure",
                "It protects the main and the pump. Your department sets it.",
                "It says how you work. It makes no hose or pipe bear more, or lose less.",
            ),
        ),
        extra=(
            Option("a rule of thumb", "It knows neither your rig nor your hose nor your main."),
        ),
    ),
    "charge": Order(
        "The aerial is in place, lines are laid. Put the steps until water flows in order.",
        (
            Step("Check that the waterway is pinned for the way it is used"),
            Step(
                "Fill lines and waterway slowly and let the air out",
                "The pin is checked before any pressure: a pipe that is not held can fly off.",
            ),
            Step(
                "Command confirms: everybody is out and counted",
                "Ready to flow first, then the last check, so that no time lies between it and the "
                "water.",
            ),
            Step(
                "Open the nozzle slowly and bring the pressure up",
                "Nobody is in the way of the water, and the push on the ladder grows step by step.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp("waterway-flow", "What is the highest flow of the waterway?", "1,000 gpm, page 4-10"),
    LookUp("inlet-pressure", "What is the highest pressure at the inlet?", "200 psi, page 4-11"),
    LookUp(
        "waterway-loss",
        "What does waterway and inlet lose, and at which flow was it tested?",
        "50 psi at 1,000 gpm, our test in May",
    ),
    LookUp(
        "inlets",
        "Which inlets may feed the waterway, and how are they relieved?",
        "rear and left side, page 4-12",
    ),
)
