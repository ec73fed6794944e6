"""Answers as members slip and type them, against the names that a marker would give.

The questions are those of member 7 of the demo department. Each number was worked out by hand from
the words of the question with the slip put into the printed formula (29.7 d² √p, 1.57 d² p,
0.0505 Q √p, C (Q/100)² L/100, 0.434 psi a foot, 8.34 lb a gallon; sine, cosine, tangent), rounded to
three figures and typed as crews type, in US or metric units. If a paper's rows change, the members
draw other rows and this list has to be worked out anew.
"""

from aerialstream.department import DEMO_FOLDER, load_department
from gradekit.questions import paper_of, papers

MEMBER = "7"
# question, as typed, words one of which has to be in the note
TYPED = [
    ("flow-and-supply-q1", "435 gpm", ("diameter-not-squared",)),
    ("flow-and-supply-q1", "870gpm", ("diameter-doubled",)),
    ("flow-and-supply-q1", "6370 GPM", ("no-root",)),
    ("flow-and-supply-q1", "about 643 gpm", ("handline-pressure",)),
    ("flow-and-supply-q1", "910 gal/min", ("fog-pressure",)),
    ("flow-and-supply-q1", "446 gpm", ("fraction",)),
    ("flow-and-supply-q1", "190 gpm", ("radius-for-diameter",)),
    ("flow-and-supply-q1", "685 gpm.", ("hydrant-coefficient",)),
    ("flow-and-supply-q1", "25.6 gpm", ("constant-forgotten",)),
    ("flow-and-supply-q1", "17.1 gpm", ("metric",)),
    ("flow-and-supply-q1", "2260 L/min", ("area-of-the-tip",)),
    ("flow-and-supply-q1", "634 gpm", ("imperial", "larger-gallon", "unit-label")),
    ("flow-and-supply-q1", "2880 gpm", ("unit-label",)),
    ("flow-and-supply-q1", "761 L/min", ("unit-label",)),
    ("flow-and-supply-q2", "232 psi", ("single-line",)),
    ("flow-and-supply-q2", "116 psi", ("loss-shared-out",)),
    ("flow-and-supply-q2", "116 PSI", ("losses-added",)),
    ("flow-and-supply-q2", "23.2 psi", ("coefficient",)),
    ("flow-and-supply-q2", "15.2 psi", ("flow-not-squared",)),
    ("flow-and-supply-q2", "30.4 psi", ("flow-doubled",)),
    ("flow-and-supply-q2", "5790 psi", ("length-in-feet",)),
    ("flow-and-supply-q2", "399 kPa", ("right",)),
    ("flow-and-supply-q2", "29 psi", ("length-forgotten",)),
    ("flow-and-supply-q2", "399 psi", ("unit-label",)),
    ("flow-and-supply-q3", "157 psi", ("height-forgotten",)),
    ("flow-and-supply-q3", "116 psi", ("height-subtracted",)),
    ("flow-and-supply-q3", "169 psi", ("rig-forgotten",)),
    ("flow-and-supply-q3", "228 psi", ("fog-pressure",)),
    ("flow-and-supply-q3", "178 psi", ("handline",)),
    ("flow-and-supply-q3", "223 psi", ("allowance-on-top",)),
    ("flow-and-supply-q3", "135 psi", ("intake-subtracted",)),
    ("flow-and-supply-q3", "204 psi", ("half-a-psi",)),
    ("flow-and-supply-q3", "373 psi", ("divided",)),
    ("flow-and-supply-q3", "9.64 bar", ("hose-forgotten",)),
    ("flow-and-supply-q4", "330 ft", ("drop-for-rest",)),
    ("flow-and-supply-q4", "756 feet", ("nothing-left",)),
    ("flow-and-supply-q4", "811'", ("static-for-residual",)),
    ("flow-and-supply-q4", "5050 ft", ("flow-not-squared",)),
    ("flow-and-supply-q4", "397 ft", ("printed-coefficient",)),
    ("flow-and-supply-q5", "275", ("stronger-hose",)),
    ("flow-and-supply-q5", "275 psi", ("stronger-hose",)),
    ("flow-and-supply-q7", "260 gpm", ("flows-compared",)),
    ("flow-and-supply-q8", "step 3, 19.2 psi", ("blamed-rig",)),
    ("flow-and-supply-q8", "4; 92.3 psi", ("one-line-for-all",)),
    ("nozzle-reaction-q1", "221 lbf", ("diameter-not-squared",)),
    ("nozzle-reaction-q1", "442 lbs", ("diameter-doubled",)),
    ("nozzle-reaction-q1", "207 pounds", ("factor-two-forgotten",)),
    ("nozzle-reaction-q1", "276 lb", ("handline-pressure",)),
    ("nozzle-reaction-q1", "552#", ("fog-pressure",)),
    ("nozzle-reaction-q1", "47.8 lbs", ("root-of-pressure",)),
    ("nozzle-reaction-q1", "395 lbf", ("fog-formula",)),
    ("nozzle-reaction-q1", "452 lbs", ("half-the-gallonage",)),
    ("nozzle-reaction-q1", "1.34 kN", ("third-of-the-gallonage",)),
    ("nozzle-reaction-q1", "1840 lbf", ("unit-label",)),
    ("nozzle-reaction-q1", "188 lbf", ("unit-label",)),
    ("nozzle-reaction-q1", "103 lbf", ("radius-for-diameter",)),
    ("nozzle-reaction-q1", "904 lbf", ("flow-for-reaction",)),
    ("nozzle-reaction-q1", "373 lbf", ("fraction",)),
    ("nozzle-reaction-q2", "3030 lbf", ("no-root",)),
    ("nozzle-reaction-q2", "226 lbf", ("smooth-bore-pressure",)),
    ("nozzle-reaction-q2", "2.77 lbf", ("hundreds",)),
    ("nozzle-reaction-q2", "754 lbs", ("two-inch-tip",)),
    ("nozzle-reaction-q2", "167 lbf", ("third-of",)),
    ("nozzle-reaction-q2", "250 lbf", ("half-the-gallonage",)),
    ("nozzle-reaction-q3", "331 lbf", ("cosine",)),
    ("nozzle-reaction-q3", "322 lbf", ("radians",)),
    ("nozzle-reaction-q3", "192 lb", ("linear",)),
    ("nozzle-reaction-q3", "2710 N", ("parts-added",)),
    ("nozzle-reaction-q3", "-278 lbf", ("sign",)),
    ("nozzle-reaction-q3", "half of it, 216 lbf", ("half",)),
    ("nozzle-reaction-q4", "112 lbf ft", ("extension-forgotten",)),
    ("nozzle-reaction-q4", "35500 ft-lbs", ("cosine",)),
    ("nozzle-reaction-q4", "6120 lb-ft", ("linear",)),
    ("nozzle-reaction-q4", "49800 Nm", ("all-of-it",)),
    ("nozzle-reaction-q4", "114000 ft lb", ("inches",)),
    ("nozzle-reaction-q6", "30 deg", ("another-line",)),
    ("nozzle-reaction-q6", "60°", ("travel-for-limit",)),
    ("nozzle-reaction-q7", "step 3; 195 lbs", ("along-the-ladder",)),
    ("nozzle-reaction-q8", "e) off to the side", ("to-the-side",)),
    ("choosing-the-spot-q1", "45 ft", ("length-as-reach",)),
    ("choosing-the-spot-q1", "37 ft", ("sine",)),
    ("choosing-the-spot-q1", "-44.9 ft", ("radians",)),
    ("choosing-the-spot-q1", "6.86 m", ("heel-forgotten",)),
    ("choosing-the-spot-q1", "24 ft 6 in", ("heel-the-wrong-way",)),
    ("choosing-the-spot-q2", "65.3 feet", ("turntable-forgotten",)),
    ("choosing-the-spot-q2", "77.8 ft", ("standoff-forgotten",)),
    ("choosing-the-spot-q3", "44 deg", ("turntable-forgotten",)),
    ("choosing-the-spot-q4", "63.4 ft", ("height-forgotten",)),
    ("choosing-the-spot-q4", "119 ft", ("both-sides",)),
    ("choosing-the-spot-q7", "79.4 ft; 51 ft; 14.2 deg", ("tip-in-the-zone",)),
    ("choosing-the-spot-q8", "step 2; 65 ft", ("wrong-again",)),
    ("choosing-the-spot-q8", "step 5; 22.7 ft", ("blamed-gap",)),
    ("ground-lines-and-zone-q1", "282 psf", ("twelve",)),
    ("ground-lines-and-zone-q1", "3390 psi", ("unit-label",)),
    ("ground-lines-and-zone-q1", "23.5 psf", ("unit-label",)),
    ("ground-lines-and-zone-q1", "847 lb/ft2", ("shared-by-four",)),
    ("ground-lines-and-zone-q1", "7340 psf", ("side-not-squared",)),
    ("ground-lines-and-zone-q3", "8 degrees", ("percent-as-degrees",)),
    ("ground-lines-and-zone-q3", "14.1 deg", ("degrees-to-percent",)),
    ("ground-lines-and-zone-q4", "5 deg", ("another-rig",)),
    ("ground-lines-and-zone-q5", "10 ft", ("ten-feet",)),
    ("ground-lines-and-zone-q5", "62.8 ft", ("inches-as-feet",)),
    ("ground-lines-and-zone-q7", "46.5 ft", ("only-the-truck",)),
    ("ground-lines-and-zone-q7", "84.3 ft", ("parapet",)),
    ("ground-lines-and-zone-q7", "104 ft", ("twice",)),
    ("ground-lines-and-zone-q7", "61.9 ft", ("sine",)),
    ("ground-lines-and-zone-q7", "27.9 m", ("length-as-reach",)),
    ("low-level-shops-q1", "42 deg", ("standoff-forgotten",)),
    ("low-level-shops-q1", "15°", ("head-for-ceiling",)),
    ("low-level-shops-q2", "17.1 deg", ("minus-forgotten",)),
    ("low-level-shops-q5", "step 3; 8.71 ft", ("wrong-again",)),
    ("low-level-shops-q6", "56300 ft-lb", ("stream-lifts",)),
    ("low-level-shops-q6", "82.2 kNm", ("stream-forgotten",)),
    ("low-level-shops-q6", "68500 lb ft", ("cosine",)),
    ("low-level-shops-q7", "10.4 times", ("load-forgotten",)),
    ("low-level-shops-q7", "1.88x", ("lengths-forgotten",)),
    ("what-the-water-meets-q2", "6.99 ft", ("tip-height",)),
    ("what-the-water-meets-q2", "38.1 ft", ("cosine",)),
    ("what-the-water-meets-q2", "30.8 ft", ("sine",)),
    ("what-the-water-meets-q3", "26.8 ft", ("from-the-nozzle",)),
    ("what-the-water-meets-q4", "35 deg", ("inside-only",)),
    ("what-the-water-meets-q7", "7200 lbs", ("gallons-for-pounds",)),
    ("what-the-water-meets-q7", "449000 lb", ("cubic-foot",)),
    ("what-the-water-meets-q7", "40,000 pounds", ("what-ran-off",)),
    ("what-the-water-meets-q7", "30 tons", ("right",)),
    ("what-the-water-meets-q7", "30 lb", ("tons", "unit-label")),
    ("what-the-water-meets-q7", "60100 lb", ("right",)),
    ("openings-sweep-and-ceiling-q1", "18.4 deg", ("spare-foot",)),
    ("openings-sweep-and-ceiling-q2", "53.1°", ("swapped",)),
    ("openings-sweep-and-ceiling-q6", "26.1 ft", ("from-the-nozzle",)),
    ("openings-sweep-and-ceiling-q6", "46.3 ft", ("ground-for-floor",)),
    ("openings-sweep-and-ceiling-q7", "26.4 ft, 23.7 deg", ("through-the-opening",)),
    ("path-and-reach-q1", "230 ft", ("throw",)),
    ("path-and-reach-q1", "66 ft", ("tip-forgotten",)),
    ("path-and-reach-q3", "2.99 ft", ("pitch-forgotten",)),
    ("path-and-reach-q3", "6.77 ft", ("half-forgotten",)),
    ("path-and-reach-q4", "17 ft 1 in", ("fall-forgotten",)),
    ("path-and-reach-q8", "90 psi", ("new-pressure",)),
    ("putting-it-together-q3", "419 gpm", ("diameter-not-squared",)),
    ("putting-it-together-q3", "660 gpm", ("hydrant",)),
    ("putting-it-together-q3", "24.7 gpm", ("constant",)),
    ("putting-it-together-q4", "180 psi", ("loss-shared", "losses-added")),
    ("putting-it-together-q5", "118 lbf", ("linear",)),
    ("putting-it-together-q5", "259 lbs", ("cosine",)),
    ("putting-it-together-q7", "42.3 min", ("gallons",)),
    ("putting-it-together-q7", "3.3 minutes", ("all-stays",)),
]


def _judged():
    """(question, typed, words, outcome) for each line of the list."""
    department = load_department(DEMO_FOLDER)
    for name, typed, words in TYPED:
        paper = paper_of(name)
        row = paper.row(name, MEMBER, 0, department)
        yield name, typed, words, paper.question(name).judge(row, typed)


def test_list_of_slipped_answers_covers_all_papers():
    """Over a hundred answers, from each of the papers."""
    assert len(TYPED) >= 120
    assert {paper_of(name).name for name, _, _ in TYPED} == set(papers())


def test_slipped_answers_are_named_rightly_in_ninety_five_of_a_hundred():
    """What is not named is refused or called unknown; the miss list is shown when it grows."""
    missed = [
        (name, typed, outcome.note)
        for name, typed, words, outcome in _judged()
        if not any(word in outcome.note for word in words)
    ]
    assert len(missed) <= 0.05 * len(TYPED), missed


def test_no_right_answer_is_called_a_slip_and_no_slip_right():
    """A refused text costs nothing; a right one earns all, a slipped one never does."""
    for name, typed, words, outcome in _judged():
        if words == ("right",):
            assert outcome.right or outcome.note.endswith("unreadable"), (name, typed)
        else:
            assert not outcome.right, (name, typed, outcome.note)
