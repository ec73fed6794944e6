"""What lesson 03 asks: the reaction of the nozzle on the aerial."""

from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.nozzles import (
    fog_reaction,
    half_the_gallonage,
    smooth_bore_discharge,
    smooth_bore_reaction,
)
from aerialstream.reaction import reaction_at_tip
from aerialstream.units import show
from gradekit.papers.nozzle_reaction import SMOOTH_BORE
from lessonkit.kinds import Choice, Match, Number, Option, Order, Pair, Step
from lessonkit.manual_sheet import LookUp

_REACTION = fog_reaction("1000 gpm", nozzle_pressure="100 psi").value


def _side(degrees, feet=100):
    return reaction_at_tip(_REACTION, rotation=f"{degrees} deg", extension=f"{feet} ft")


_ALL = show(_REACTION)
_AT_30 = show(abs(_side(30).side))
_ALONG_30 = show(abs(_side(30).axial))
_LINEAR_30 = show(_REACTION / 3)
_SHARE_15 = f"{100 * abs(_side(15).side / _REACTION).to('').magnitude:.0f} percent"


def _rule_over(formula, flow):
    """Percent by which half the gallonage reads above (+) the formula."""
    return 100 * ((half_the_gallonage(flow).value / formula.value).to("").magnitude - 1)


_FOG_100 = _rule_over(fog_reaction("1000 gpm", nozzle_pressure="100 psi"), "1000 gpm")
_FOG_50 = _rule_over(fog_reaction("1000 gpm", nozzle_pressure="50 psi"), "1000 gpm")
_SMOOTH_80 = _rule_over(
    smooth_bore_reaction("1 3/4 in", nozzle_pressure="80 psi"),
    smooth_bore_discharge("1 3/4 in", nozzle_pressure="80 psi").value,
)

_DEMO = load_department(DEMO_FOLDER)
_TOWER, _LADDER = _DEMO.device("tower-3"), _DEMO.device("ladder-9")
_LONG, _SHORT = _TOWER.manual_limits


def _degrees(angle):
    return f"{angle.to('degree').magnitude:g} degrees"


def _line(entry):
    """A line of the device's table in words."""
    return (
        f"up to {show(entry.flow_up_to)} and {show(entry.extension_up_to)}: "
        f"{_degrees(entry.rotation_up_to)}"
    )


_WIDE, _NARROW = _degrees(_SHORT.rotation_up_to), _degrees(_LONG.rotation_up_to)
_TRAVEL = _degrees(_TOWER.nozzle_travel.left)
_ANOTHER_RIG = (
    f"That was entered for {_TOWER.name}. Rigs differ: no number of another rig stands in for "
    f"{_LADDER.name}."
)

_TIP_ROW = {"tip_text": "1 5/8", "tip": 1.625, "psi": 75}
_OTHER_TIP = {"tip_text": "1 1/2", "tip": 1.5, "psi": 70}


def _by_the_formula(row):
    """Why the reaction of a row is what it is."""
    square = row["tip"] ** 2
    return (
        f"Square the tip: {row['tip']:g} × {row['tip']:g} = {square:.3f}. "
        f"Then 1.57 × {square:.3f} × {row['psi']} psi."
    )


ASKED = {
    "turn": Choice(
        f"A stream pushes back on the ladder with {_ALL}. In line with the ladder, all of it goes "
        "along the ladder. Now the nozzle is turned 30 degrees, a third of the way to square. How "
        "much of the push is side load?",
        (
            Option(
                f"About a third: {_LINEAR_30}",
                "Many say so, because 30 is a third of 90. The side load goes with the sine of "
                "the angle, and grows fastest at first.",
            ),
            Option(
                f"About half: {_AT_30}",
                f"The sine of 30 degrees is one half. Even 15 degrees bring {_SHARE_15}.",
                right=True,
            ),
            Option(
                f"Most of it: {_ALONG_30}",
                "That much still goes along the ladder (the cosine of 30 degrees).",
            ),
            Option(
                "Hardly any",
                "It feels small from the pedestal, but the ladder takes half the push sideways.",
            ),
        ),
    ),
    "lighter": Choice(
        f"The nozzle is at {_ALL} and 90 degrees off, 100 feet of ladder out. Which one change "
        "takes most off the side moment at the base?",
        (
            Option(
                "Bring the centre line round so that the nozzle is in line",
                "In line there is no side load at all, and no side moment, at any length. Tell "
                "command and the pump operator, gate back slowly and stop the flow first: nobody "
                "moves a ladder at full flow.",
                right=True,
            ),
            Option(
                "Pull the ladder in to 50 feet",
                "That halves the side moment, but the whole side load stays at the tip; and nobody "
                "pulls in a ladder at full flow.",
            ),
            Option(
                "Halve the flow at the same nozzle pressure",
                "That halves the reaction and so the moment. Good, but half remains.",
            ),
            Option(
                "Raise the ladder to 75 degrees",
                "The side moment at the base does not depend on elevation at all. Raising it "
                "trades turning force on the turntable for overturning to the side.",
            ),
        ),
    ),
    "rule": Choice(
        "Half the gallonage is a handy rule. Where does it mislead most?",
        (
            Option(
                "Fog nozzle at 100 psi",
                f"There it is {abs(_FOG_100):.0f} percent off the trade's formula.",
            ),
            Option(
                "Smooth bore at 80 psi",
                f"There it reads about {_SMOOTH_80:.0f} percent high: near enough for a first idea.",
            ),
            Option(
                "Fog nozzle at 50 psi",
                f"There it reads {_FOG_50:.0f} percent high. The rule knows nothing of pressure.",
                right=True,
            ),
        ),
    ),
    "tip": Number(
        "Work one out. A smooth-bore 1 5/8-in tip runs at 75 psi nozzle pressure. How large is "
        "its reaction? Write it as on a whiteboard: a number and its unit.",
        SMOOTH_BORE,
        _TIP_ROW,
        _by_the_formula(_TIP_ROW),
        again=Number(
            "A smooth-bore 1 1/2-in tip runs at 70 psi: how large is its reaction?",
            SMOOTH_BORE,
            _OTHER_TIP,
            _by_the_formula(_OTHER_TIP),
        ),
    ),
    "target": Order(
        "The fire has moved to the next window, and the nozzle would have to turn 40 degrees. Put "
        "the crew's steps in order.",
        (
            Step("Tell command and the pump operator"),
            Step(
                "Gate back slowly and stop the flow",
                "The pump operator must know first: a stream shut off unannounced sends its "
                "pressure back to the pump.",
            ),
            Step(
                "Bring the ladder round until the nozzle is in line with the new target",
                "The stream is stopped first: swung at full flow, the push turns with the ladder "
                "and the tip swings.",
            ),
            Step(
                "Open up slowly",
                "The ladder stands still, in line, before it is loaded again.",
            ),
        ),
    ),
    "limit": Match(
        f"Larkmoor entered for {_TOWER.name}: {_line(_LONG)}; {_line(_SHORT)}. Nothing is entered for "
        f"{_LADDER.name}. How far may the nozzle be turned off the line, as entered?",
        (
            Pair(
                f"{_TOWER.name}, 700 gpm, 70 ft out",
                _WIDE,
                "Both lines cover flow and length. The wider one holds.",
                f"That stands in the line up to {show(_SHORT.flow_up_to)} and "
                f"{show(_SHORT.extension_up_to)}. Flow and length must both lie in it.",
            ),
            Pair(
                f"{_TOWER.name}, 700 gpm, 90 ft out",
                _NARROW,
                f"700 gpm is within {show(_SHORT.flow_up_to)}, but 90 ft is beyond "
                f"{show(_SHORT.extension_up_to)}. Only the line of the long ladder covers both.",
                "That line covers this flow and length. Look whether the other one does too: where "
                "both do, the wider one holds.",
            ),
            Pair(
                f"{_LADDER.name}, 700 gpm, 70 ft out",
                "not entered, ask its manual",
                "The kit has no number for it. The book on the rig is asked.",
                f"There are lines for {_TOWER.name}. Read each: does it cover flow and length?",
                (Option(_WIDE, _ANOTHER_RIG), Option(_NARROW, _ANOTHER_RIG)),
            ),
        ),
        (
            Option(
                _TRAVEL,
                f"That is how far {_TOWER.name}'s nozzle can move. How far it may, with water on, is "
                "what the department entered.",
            ),
        ),
    ),
}

MANUAL = (
    LookUp(
        "rotation",
        "How far may the nozzle turn off the centre line while flowing?",
        "15 deg, page 4-12",
    ),
    LookUp(
        "flow",
        "Most flow at full extension, and at which nozzle angle",
        "1,000 gpm in line, page 4-10",
    ),
    LookUp(
        "lower",
        "What flow or length must be cut when the nozzle is turned?",
        "500 gpm beyond 75 ft, page 4-13",
    ),
    LookUp("pinned", "How is the waterway pinned for each use, and who checks it?", "page 5-2"),
    LookUp(
        "moving", "What does the manual say about moving the ladder while it flows?", "page 4-15"
    ),
)
