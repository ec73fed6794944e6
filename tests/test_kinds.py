"""The kinds of questions beyond one number: choices, orders, plans, faults, look-ups, carrying on.

The right answers are worked out here anew, from the definitions of sine and cosine and from the
rules that the questions state; `made_up_papers` holds the questions.
"""

import json
import re
from dataclasses import replace
from itertools import permutations
from math import cos, radians, sin
from types import SimpleNamespace

import pytest
from learners.made_up import drill_ground as made_up

from aerialstream import set_up_order
from aerialstream.department import DEMO_FOLDER, load_department
from gradekit.answers import LETTERS
from gradekit.questions import (
    Carried,
    Choice,
    Option,
    Ordering,
    Plan,
    Question,
    Rule,
    Slip,
    broken_rules,
)
from gradekit.trial import faults, trial

PAPER = made_up.PAPER
DEMO = load_department(DEMO_FOLDER)
ONE_ROW = {"turntable": 8, "out": 75, "deg": 50}
HEIGHT_FT = 8 + 75 * sin(radians(50))  # 65.45 ft


def note(question, row, answer, earlier=None):
    """Note without the question's id, and points."""
    outcome = question.judge(row, answer, earlier)
    return outcome.note.partition("/")[2], outcome.points


# --- one slip costs once -----------------------------------------------------------------------


def test_carried_right_number_from_a_right_one_is_simply_right():
    """0.434 psi a foot of 65.45 ft."""
    answer = f"{0.434 * HEIGHT_FT:.1f} psi"
    earlier = {"drill-ground-q1": f"{HEIGHT_FT:.1f} ft"}
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, earlier) == ("right", 2.0)
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, {}) == ("right", 2.0)


@pytest.mark.parametrize(
    "own", ["83 ft", "57.5 feet", "996 in", "25.3 m", "83", "-12 ft", "83 ft 0 in"]
)
def test_carried_right_number_from_a_wrong_one_costs_nothing_again(own):
    """The earlier slip cost points once; what follows from it is right, and is said to follow."""
    feet = {"83 ft": 83, "57.5 feet": 57.5, "996 in": 83, "25.3 m": 25.3 / 0.3048, "83": 83,
            "-12 ft": -12, "83 ft 0 in": 83}[own]  # fmt: skip
    answer = f"{0.434 * feet:.3f} psi"
    outcome = made_up.HEIGHT_LOSS.judge(ONE_ROW, answer, {"drill-ground-q1": own})
    assert (outcome.note, outcome.points) == ("drill-ground-q2/carried", 2.0)
    assert "your own earlier answer" in outcome.message and not re.search(r"\d", outcome.message)
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, {})[0] != "carried"


def test_carried_slip_on_a_wrong_number_is_named_all_the_same():
    """A second slip on top of the first one is a slip of its own."""
    earlier = {"drill-ground-q1": "83 ft"}
    answer = f"{83 / 0.434:.1f} psi"
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, earlier) == ("mistake/divided", 0.5)
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, {})[0] == "other"


def test_carried_rounded_number_is_right_not_carried():
    """Whoever works on with a rounded height is right, without talk of a slip."""
    earlier, answer = {"drill-ground-q1": "65 ft"}, f"{0.434 * 65 * 0.995:.2f} psi"
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, answer, earlier) == ("right", 2.0)


@pytest.mark.parametrize("own", ["", "no idea", "80 psi", "0 ft", "nan", "83 ft; 2 ft"])
def test_carried_unreadable_earlier_answer_is_left_aside(own):
    """What cannot be read is not worked on with, and a zero makes no zero right."""
    earlier = {"drill-ground-q1": own}
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, "36.0 psi", earlier)[0] == "other"
    assert note(made_up.HEIGHT_LOSS, ONE_ROW, "0 psi", earlier)[0] == "other"


def test_carried_part_tells_of_the_same_scene():
    """The later part has the earlier one's row for every member, and at every retake."""
    for n in range(300):
        for retake in (0, 1, 5):
            rows = [PAPER.row(f"drill-ground-q{k}", str(n), retake) for k in (1, 2)]
            assert rows[0] == rows[1]


def test_carried_sum_of_two_own_numbers_is_right_in_every_mixture():
    """A third part that takes up both: right from right ones, own ones, or one of each."""
    total = Carried(
        id="drill-ground-q11", variable="total", kind="pressure", unit="psi", points=1,
        same_row_as=made_up.HEIGHT, carries=(made_up.HEIGHT, made_up.HEIGHT_LOSS),
        ask=lambda row: "", right=lambda row, height, loss: height + 2 * loss,
    )  # fmt: skip
    right_loss = 0.434 * HEIGHT_FT
    for height, loss in ((83, 40), (83, right_loss), (HEIGHT_FT, 40)):
        earlier = {"drill-ground-q1": f"{height} ft", "drill-ground-q2": f"{loss} psi"}
        answer = f"{height + 2 * loss:.3f} psi"
        assert note(total, ONE_ROW, answer, earlier) == ("carried", 1.0)
        assert note(total, ONE_ROW, answer, {})[0] not in ("carried", "right")
    assert note(total, ONE_ROW, f"{HEIGHT_FT + 2 * right_loss:.3f} psi")[0] == "right"
    assert [q.id for q in total.needs] == ["drill-ground-q1", "drill-ground-q2"]


# --- two slips, one number ---------------------------------------------------------------------


def test_twin_slips_are_asked_after_not_guessed():
    """Half the loss of one line is also the sum of two quarters: the message asks which it was."""
    for row in made_up.TWO_LINES.table():
        outcome = made_up.TWO_LINES.judge(row, f"{row['one'] / 2} psi")
        assert outcome.note == "drill-ground-q3/mistake/halved/or/added"
        assert "Did you halve the loss" in outcome.message and "or did you add" in outcome.message
        assert outcome.points == 0.5


def test_twin_slips_without_a_question_of_their_own_are_both_told():
    """Where no `did` is given both sentences stand there."""
    slips = tuple(replace(slip, did="") for slip in made_up.TWO_LINES.slips)
    outcome = replace(made_up.TWO_LINES, slips=slips).judge({"one": 96}, "48 psi")
    assert all(slip.sentence in outcome.message for slip in slips)
    assert "which one was yours?" in outcome.message


def number_question(**changes):
    """A made-up question whose right answer is 100 lbf."""
    kept = {
        "id": "made-up-q1", "variable": "x", "kind": "force", "unit": "lbf", "points": 4,
        "reread": "Lesson 01.", "first_step": "First.", "rows": ({"n": 100},),
        "ask": lambda row: f"What of {row['n'] + 11}, within 1 percent?",
        "right": lambda row: row["n"], "example": "7,777 lbf",
    }  # fmt: skip
    return Question(**{**kept, **changes})


def slip(number, name="slip", sentence="So it was done."):
    return Slip(name, lambda row: number, sentence)


def test_rows_whose_slip_is_the_right_answer_are_not_dealt():
    """Within twice the tolerance of the right answer, a row is left out; beyond it, not."""
    assert number_question(slips=(slip(101.9),)).table() == ()
    assert len(number_question(slips=(slip(102.1),)).table()) == 1
    assert number_question(slips=(slip(float("nan")), slip(None, "none"))).wrongs({"n": 100}) == []


def test_small_number_has_an_allowance_of_its_own():
    """“Within 1 degree” holds at 3 degrees as at 60."""
    question = number_question(
        kind="angle", unit="degree", right=lambda row: 3.0, tolerance=0.0, allow=1.0,
        slips=(slip(7.0),),
    )  # fmt: skip
    for text, branch in (("3.9 deg", "right"), ("2.1 deg", "right"), ("4.1 deg", "rounding")):
        assert note(question, {"n": 1}, text)[0] == branch
    assert note(question, {"n": 1}, "7.5 deg")[0] == "mistake/slip"


def test_radians_slip_comes_for_free_and_is_right():
    """Sine of 50 radians: 8 + 75 sin(50 rad) = -11.68 ft."""
    number = 8 + 75 * sin(50)
    outcome = made_up.HEIGHT.judge(ONE_ROW, f"{number:.2f} ft")
    assert outcome.note.endswith("mistake/degrees-as-radians") and "radians" in outcome.message


# --- numbers without a unit --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "right", "texts"),
    [
        ("times", 4, "4|four|4 times|4x|4 x|four times|4.0|quadruple|4 times as much|4-fold"),
        ("times", 0.5, "half|0.5|1/2|½|one half|halved|a half"),
        ("times", 2, "twice|double|doubled|two times|2"),
        ("count", 3, "3|three|3 lines|three lines|3.0|about 3"),
        ("share", 50, "half|50 %|50%|50 percent|one half"),
    ],
)
def test_plain_numbers_are_read_as_they_are_said(kind, right, texts):
    """How many times, how many pieces, what share."""
    unit = "percent" if kind == "share" else ""
    question = number_question(kind=kind, unit=unit, right=lambda row: right)
    for text in texts.split("|"):
        assert note(question, {"n": 1}, text) == ("right", 4.0), text
    assert note(question, {"n": 1}, "lots")[0] == "unreadable"


# --- choices -----------------------------------------------------------------------------------


@pytest.mark.parametrize("like", ["{}", "{})", "({})", "answer {}", "{}.", " {} ", "Option {}",
                                  "{} - because it is so", "[{}]", "{}: I think", "it is {}"])  # fmt: skip
def test_choice_each_letter_each_order_names_its_choice(like):
    """Every order of the choices: the letter means what stands behind it on this page."""
    for row in made_up.PIN.variants():
        lines = made_up.PIN.words(row).splitlines()[1:]
        assert len(lines) == 4
        for n, option in enumerate(made_up.PIN.laid_out(row)):
            assert lines[n] == f"{LETTERS[n]}) {option.text}"
            for letter in (LETTERS[n], LETTERS[n].lower()):
                outcome = made_up.PIN.judge(row, like.format(letter))
                branch = "right" if option.name == "pin" else f"mistake/{option.name}"
                assert outcome.note == f"drill-ground-q4/{branch}"
                assert option.reason in outcome.message


def test_choice_orders_are_dealt_evenly_and_each_member_keeps_theirs():
    """Each of the four letters is the right one for about a quarter of the members."""
    letters = [made_up.PIN.worked_answer(PAPER.row("drill-ground-q4", str(n))) for n in range(800)]
    again = [made_up.PIN.worked_answer(PAPER.row("drill-ground-q4", str(n))) for n in range(800)]
    assert letters == again
    assert all(150 <= letters.count(letter) <= 250 for letter in "ABCD")


@pytest.mark.parametrize(
    "text", ["E", "5", "A or B", "A, C", "AB", "?", "the pin", "B C", "A and B"]
)
def test_choice_unclear_letter_is_refused_and_costs_nothing(text):
    """What is not one of the letters is told what to type."""
    outcome = made_up.PIN.judge(made_up.PIN.variants()[0], text)
    assert outcome.note.endswith("/unreadable") and "one letter from A to D" in outcome.message


def test_choice_yes_and_no_may_be_written_out():
    """A go/no-go question takes the words as well as the letters."""
    question = Choice(
        id="made-up-q2", reread="Lesson 01.", variable="go", points=1, rows=({"wind": 40},), shuffled=False,
        ask=lambda row: f"Gusts of {row['wind']} mph are beyond the entered limit. Do you open?",
        options=(
            Option(name="yes", text="Yes", reason="The entered limit says no.", words=("go",)),
            Option(name="no", text="No", reason="So it is.", right=True, words=("no go", "no-go")),
        ),
    )  # fmt: skip
    assert faults(question) == ()
    for text in ("no", "No.", "NO", "no-go", "b", "B)"):
        assert question.judge({"wind": 40}, text).right, text
    assert note(question, {"wind": 40}, "yes") == ("mistake/yes", 0.0)


# --- orders ------------------------------------------------------------------------------------


def _breaks(ids):
    """Which of the five steps' rules an order breaks, from the rule list that print supports."""
    before = {(r.earlier, r.later) for r in set_up_order().rules}
    pairs = {(a, b) for a, b in before if a in ids and b in ids}
    return {(a, b) for a, b in pairs if ids.index(a) > ids.index(b)}


def test_order_every_order_that_breaks_no_rule_is_right():
    """All 120 orders of the five steps: right exactly where no rule is broken."""
    row = made_up.SET_UP.variants()[7]
    shown = [name for name, _ in made_up.SET_UP.laid_out(row)]
    rights = 0
    for places in permutations(range(5)):
        ids = [shown[place] for place in places]
        outcome = made_up.SET_UP.judge(row, " ".join(LETTERS[place] for place in places))
        # “chocks before level before raise” binds chocks to raise as well.
        broken = _breaks(ids)
        assert outcome.right is (not broken), ids
        rights += outcome.right
        if len(broken) == 1 and outcome.note.count("/") == 2:
            ((earlier, later),) = broken
            assert outcome.note == f"drill-ground-q5/broken/{earlier}-before-{later}"
            assert outcome.points == 1.0
    assert rights == len(made_up.SET_UP.right_orders(row)) == 8


@pytest.mark.parametrize(
    "text", ["C A D B E", "c, a, d, b, e", "CADBE", "3 1 4 2 5", "C-A-D-B-E", "C > A > D > B > E",
             "1. C 2. A 3. D 4. B 5. E", "C then A then D then B then E", "order: C A D B E", "(C) (A) (D) (B) (E)",
             "C; A; D; B; E", "31425", "C→A→D→B→E"],
)  # fmt: skip
def test_order_is_read_in_every_way_it_is_written(text):
    """Letters or places, with whatever between them."""
    outcome = made_up.SET_UP.judge(made_up.SET_UP.variants()[0], text)
    assert "I read C A D B E" in outcome.message


@pytest.mark.parametrize(
    ("text", "said"),
    [("A B C D", "E left out"), ("A A B C D", "A there more than once"), ("A B C D F", "I read"),
     ("A B C D E A", "more than once"), ("first the chocks", "I read"), ("0 1 2 3 4", "I read")],
)  # fmt: skip
def test_order_unclear_one_is_refused_and_costs_nothing(text, said):
    """Letters left out, doubled or unknown are told."""
    outcome = made_up.SET_UP.judge(made_up.SET_UP.variants()[0], text)
    assert outcome.note.endswith("/unreadable") and said in outcome.message


def test_order_letters_in_their_own_order_never_earn_it():
    """Nobody gets the points by typing A B C D E."""
    for row in made_up.SET_UP.variants():
        assert not made_up.SET_UP.judge(row, "A B C D E").right


def test_order_rules_of_ones_own_are_named():
    """An author's own rules work like those of the set-up order."""
    rules = (Rule("a", "b", "A comes first."), Rule("b", "c", "B comes before C."))
    question = Ordering(
        id="made-up-q3", reread="Lesson 01.", variable="order", points=4, rows=({},), ask=lambda row: "In order, please.",
        steps=lambda row: (("a", "First"), ("b", "Second"), ("c", "Third")),
        faults=broken_rules(rules),
    )  # fmt: skip
    assert faults(question) == ()
    row = next(r for r in question.variants() if question.laid_out(r)[0][0] == "c")
    worked = question.worked_answer(row).split()
    swapped = " ".join([worked[1], worked[0], worked[2]])
    outcome = question.judge(row, swapped)
    assert (outcome.note, outcome.points) == ("made-up-q3/broken/a-before-b", 2.0)
    assert "A comes first." in outcome.message


# --- plans -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text",
    ["55 ft; 30 deg; 0 deg", "55 ft; 30 deg; 5 deg left", "55 ft, 30 deg, 5 deg left", "55' ; 30° ; 5° right",
     "length out 55 ft; elevation 30 deg; rotation 5 deg right", "660 in; 30 deg; 5 deg to the left",
     "16.76 m; 30 degrees; 0 degrees", "elevation = 30 deg; length out: 55 ft; rotation 5 deg left"],
)  # fmt: skip
def test_plan_any_answer_that_meets_all_conditions_is_right(text):
    """55 ft at 30 degrees: 47.6 ft out (at most 60), tip 35.5 ft up (sill 30)."""
    row = {"wall": 70, "sill": 30}
    assert 55 * cos(radians(30)) < 60 and 8 + 55 * sin(radians(30)) > 30
    assert note(made_up.AIM, row, text) == ("right", 2.0)


@pytest.mark.parametrize(
    ("text", "branch", "points"),
    [
        ("80 ft; 30 deg; 0 deg", "missed/clear-of-the-wall", 1.0),
        ("55 ft; 10 deg; 0 deg", "missed/above-the-sill", 1.5),
        ("55 ft; 30 deg; 20 deg right", "missed/in-line", 1.5),
        ("55 ft; 10 deg; 20 deg left", "missed/above-the-sill/and/in-line", 1.0),
        (
            "90 ft; 1 deg; 90 deg left",
            "missed/clear-of-the-wall/and/above-the-sill/and/in-line",
            0.0,
        ),
    ],
)
def test_plan_missed_conditions_are_named_and_cost_their_share(text, branch, points):
    """Each condition that is missed costs its own share, with its own sentence."""
    row = {"wall": 70, "sill": 30}
    outcome = made_up.AIM.judge(row, text)
    assert (outcome.note, outcome.points) == (f"drill-ground-q6/{branch}", points)
    for condition in made_up.AIM.conditions:
        assert (condition.sentence in outcome.message) is (condition.name in branch)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("55 ft", "3 values are asked"),
        ("55 ft; 30 deg; 5 deg", "say left or right"),
        ("55 ft; 30 deg; 5 deg up", "say left or right"),
        ("55 ft; 30 deg; -5 deg left", "leave the minus sign out"),
        ("55 psi; 30 deg; 0 deg", "For the length out"),
        ("55; 30; 0", "without a unit"),
        ("55 ft; 30 deg; 0 deg; 1 ft", "3 values are asked"),
    ],
)
def test_plan_unclear_value_is_refused_and_costs_nothing(text, said):
    """Which value, and how to write it."""
    outcome = made_up.AIM.judge({"wall": 70, "sill": 30}, text)
    assert outcome.note.endswith("/unreadable") and said in outcome.message


# --- estimates ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "branch"),
    [("500 lbf", "right"), ("455 lbf", "right"), ("545 lbs", "right"), ("444 lbf", "near"),
     ("570 lbf", "near"), ("333 lbf", "mistake/third-of-the-gallonage"), ("250 lbf", "other"),
     ("1,000 lbf", "mistake/flow-for-reaction"), ("505 lbf", "right"), ("5,000 lbf", "off-by-ten")],
)  # fmt: skip
def test_estimate_within_the_band_is_right(text, branch):
    """Half of 1,000 gpm, give or take a tenth."""
    assert note(made_up.HALF, {"gpm": 1000}, text)[0] == branch


# --- find the fault ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "branch", "points"),
    [
        ("step 2; 3.0625", "right", 2.0),
        ("2; 3.06", "right", 2.0),
        ("Step 2: should be 3.06", "right", 2.0),
        ("line 2, 3.06", "right", 2.0),
        ("step 2", "step-only", 1.0),
        ("2", "step-only", 1.0),
        ("step 2; 9.9", "number/other", 1.0),
        ("step 2; 3.5", "number/mistake/wrong-again", 1.25),
        ("step 3; 3.06", "mistake/blamed-factor", 0.0),
        ("step 4; 430", "mistake/blamed-pressure", 0.0),
        ("step 7; 3.06", "unreadable", 0.0),
        ("3.06", "unreadable", 0.0),
        ("the square", "unreadable", 0.0),
    ],
)
def test_fault_step_and_number_are_judged_apart(text, branch, points):
    """1.75 squared is 3.0625, and 3.50 stands there."""
    row = {"tip": 1.75, "psi": 80, "fault": "square"}
    assert "3.50" in made_up.FAULT.words(row)
    assert note(made_up.FAULT, row, text) == (branch, points)


# --- the department's own table ----------------------------------------------------------------


def test_look_up_rows_are_the_departments_and_the_silence_is_an_answer():
    """Tower 3 has two lines in the demo department, Ladder 9 none."""
    by = {(r["device"], r["gpm"], r["feet"]): r for r in made_up.TABLE.table(DEMO)}
    tower = by[("Tower 3", 500, 60)]
    assert note(made_up.TABLE, tower, "30 deg") == ("right", 2.0)
    assert note(made_up.TABLE, tower, "15 deg")[0] == "mistake/another-line"
    assert note(made_up.TABLE, tower, "not entered") == ("mistake/not-found", 0.0)
    ladder = by[("Ladder 9", 500, 60)]
    for text in ("not entered", "Not entered.", "look it up", "nothing entered", "ask the manual",
                 "look in the operator's manual".replace("'", "")):  # fmt: skip
        assert note(made_up.TABLE, ladder, text) == ("right", 2.0), text
    assert note(made_up.TABLE, ladder, "30 deg") == ("mistake/no-line", 0.0)
    assert note(made_up.TABLE, ladder, "")[0] == "blank"


def test_look_up_other_department_deals_other_rows():
    """The class's department decides the rows; without a fitting row the demo department's serve."""
    line = DEMO.apparatus[0].manual_limits[0]
    mine = SimpleNamespace(
        name="Made-up Falls", apparatus=(SimpleNamespace(name="Truck 1", manual_limits=(line,)),)
    )
    assert {r["device"] for r in made_up.TABLE.table(mine)} == {"Truck 1"}
    row = PAPER.row("drill-ground-q9", "2041", department=mine)
    assert row["device"] == "Truck 1" and row == PAPER.row("drill-ground-q9", "2041", 0, mine)
    assert "Made-up Falls" in PAPER.variant_key("2041", department=mine)
    bare = SimpleNamespace(name="Bare", apparatus=())
    assert made_up.TABLE.table(bare) == made_up.TABLE.table(DEMO)


# --- the proof finds what is wrong ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("question", "said"),
    [
        (number_question(slips=(slip(100.5),)), "no row is left"),
        (number_question(example="100 lbf"), "earns 4 points"),
        (number_question(slips=(slip(50, sentence="No, take 100."),)), "gives the answer away"),
        (number_question(slips=(slip(50, sentence="Never safe."),)), "a verdict"),
        (number_question(slips=(slip(50, sentence="no end"),)), "does not end"),
        (number_question(slips=(slip(50, name="Not_Good"),)), "other signs"),
        (number_question(rows=({"n": 100}, {"n": 100})), "two rows read alike"),
        (number_question(ask=lambda row: "Is it 100.0, within 1 percent?"), "shows its own answer"),
        (number_question(ask=lambda row: "How much?"), "do not say “within 1 percent”"),
        (number_question(reread=""), "`reread` is empty"),
        (number_question(first_step=""), "`first_step` is empty"),
        (number_question(slips=(slip(50, sentence="And so on. " * 16),)), "more than 45 words"),
        (replace(made_up.BRIEF, guide=((2, "all"),)), "does not add up"),
        (replace(made_up.HEIGHT_LOSS, slips=(Slip("same", lambda row, h: 0.434 * h * 1.01, "So."),)),
         "do not fit"),
        (replace(made_up.PIN, options=made_up.PIN.options[1:]), "one choice must be right"),
        (number_question(rows=()), "give it `rows`"),
        (number_question(slips=(slip(50), slip(70))), "is there twice"),
        (replace(made_up.PIN, options=(replace(made_up.PIN.options[1], reason="That the waterway's "
         "pin is in, at the tip, it should be."), *made_up.PIN.options[:1])), "gives the answer away"),
        (replace(made_up.AIM, parts=tuple(replace(p, example="") for p in made_up.AIM.parts)),
         "earns"),
        (replace(made_up.AIM, conditions=made_up.AIM.conditions[:1] * 2), "no row is left"),
    ],
)  # fmt: skip
def test_faults_each_kind_is_found(question, said):
    """A question with one fault gets it named."""
    assert any(said in fault for fault in faults(question)), faults(question)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"slips": slip(50)}, "`slips` holds one thing"),
        ({"rows": {"n": 100}}, "`rows` holds one thing"),
        ({"kind": "heaviness"}, "no kind 'heaviness'; there are: .*'force'"),
        ({"unit": "pounds"}, "no unit 'pounds' of kind .*; there are: .*'lbf'"),
    ],
)
def test_question_refuses_what_it_cannot_be(changed, said):
    """A forgotten comma, a kind or unit that is not there: told when the file is read."""
    with pytest.raises((TypeError, ValueError), match=said):
        number_question(**changed)


def test_carried_question_without_the_row_of_what_it_takes_up_is_refused():
    """Other rows tell of another scene."""
    with pytest.raises(ValueError, match="same_row_as= the question drill-ground-q1"):
        replace(made_up.HEIGHT_LOSS, same_row_as=None, rows=made_up.HEIGHT.rows)


def test_trial_shows_question_answer_and_slips():
    """What `aerialstream question try` prints comes from the question objects."""
    tried = trial("drill-ground-q3", "2041")
    assert tried.right.endswith("psi") and len(tried.slips) == 2 and tried.twins == 5
    assert tried.variants == 5 and tried.faults == ()
    json.dumps([slip.sentence for slip in tried.slips])


def test_plan_is_a_plan():
    """The kinds are what they say, for those who count them."""
    assert isinstance(made_up.AIM, Plan) and made_up.AIM.judged and not made_up.BRIEF.judged


# --- rare slips, and a right number with another unit behind it ---------------------------------


def _rod(*more):
    """Twice the length is asked; a slip gives three times."""
    return Question(
        id="drill-ground-q99",
        title="Rod",
        variable="rod",
        kind="length",
        unit="foot",
        points=2,
        rows=({"feet": 10}, {"feet": 20}),
        ask=lambda row: f"Twice {row['feet']} ft? Answer in feet, within 1 percent.",
        right=lambda row: 2 * row["feet"],
        slips=(
            Slip("threefold", lambda row: 3 * row["feet"], "Three times was taken.", part="times"),
            *more,
        ),
        first_step="Double it.",
        reread="Read it again.",
    )


def test_minor_slip_is_told_where_it_stands_clear_and_costs_no_row():
    """Fixed at 30 it falls on three times 10, and is told only in the row of 20."""
    question = _rod(Slip("rare", lambda row: 30, "A fixed number was taken.", minor=True))
    assert len(question.variants()) == 2 and faults(question) == ()
    assert note(question, {"feet": 10}, "30 ft") == ("mistake/threefold", 0.5)
    assert note(question, {"feet": 20}, "30 ft") == ("mistake/rare", 0.5)


@pytest.mark.parametrize("number", [20, 20.3, 20.39])
def test_minor_slip_near_the_right_number_is_not_told_and_costs_no_row(number):
    """Within twice the tolerance of the right number nothing but the right answer counts."""
    question = _rod(Slip("rare", lambda row: number, "A fixed number was taken.", minor=True))
    assert len(question.variants()) == 2
    assert question.judge({"feet": 10}, "20 ft").right
    assert "rare" not in {slip.name for slip in question.shown_slips({"feet": 10})}


def test_minor_slips_that_meet_are_not_both_shown():
    """The first one named counts, unless the answer fits the other far better."""
    question = _rod(
        Slip("rare", lambda row: 70, "A fixed number was taken.", minor=True),
        Slip("rarer", lambda row: 70.5, "Another number was taken.", minor=True),
    )
    assert "rarer" not in {slip.name for slip in question.shown_slips({"feet": 10})}
    assert note(question, {"feet": 10}, "70 ft") == ("mistake/rare", 0.5)
    assert note(question, {"feet": 10}, "70.5 ft") == ("mistake/rare/or/rarer", 0.5)


def test_hidden_minor_slip_is_told_where_it_alone_explains_the_answer():
    """1.7 percent apart they hide each other, and yet 71.2 is no 70."""
    question = _rod(
        Slip("rare", lambda row: 70, "A fixed number was taken.", minor=True),
        Slip("rarer", lambda row: 71.2, "Another number was taken.", minor=True),
    )
    assert note(question, {"feet": 10}, "71.2 ft") == ("mistake/rarer", 0.5)
    assert note(question, {"feet": 10}, "74 ft") == ("other", 0.0)


@pytest.mark.parametrize(
    ("text", "branch"), [("21.5 ft", "near"), ("18.4 ft", "near"), ("22.5 ft", "other")]
)
def test_answer_within_a_tenth_is_told_of_rounding_on_the_way(text, branch):
    """Three percent is rounding at the end, ten a number rounded before; it earns nothing."""
    assert note(_rod(), {"feet": 10}, text) == (branch, 0.0)


@pytest.mark.parametrize(("together", "text"), [("sum", "34 ft"), ("product", "36 ft")])
def test_two_common_slips_in_one_answer_are_found_together(together, text):
    """Right 20, slips 30 and 24: together 30 + 24 - 20 in a sum, 30 x 24 / 20 in a product."""
    more = Slip("a-fifth", lambda row: 2.4 * row["feet"], "A fifth was added.", part="end")
    both = replace(_rod(more), together=together)
    pair = "mistake/threefold/and/a-fifth"
    assert note(both, {"feet": 10}, text) == (pair, 0.0)
    assert "Three times was taken. A fifth was added." in both.judge({"feet": 10}, text).message
    assert note(_rod(more), {"feet": 10}, text) == ("other", 0.0)
    assert note(both, {"feet": 10}, "20 yd") == ("unit-label", 1.0)


@pytest.mark.parametrize("part", ["times", ""])
def test_two_ways_with_the_same_part_are_no_pair(part):
    """Nobody forgets a height and halves it; and what spoils no part is never one of a pair."""
    more = Slip("a-fifth", lambda row: 2.4 * row["feet"], "A fifth was added.", part=part)
    both = replace(_rod(more), together="sum")
    assert note(both, {"feet": 10}, "34 ft") == ("other", 0.0)


def test_number_that_two_pairs_give_is_told_as_none_of_them():
    """Right 20; 30 and 24, 40 and 14 give 34 each: which it was nobody can say."""
    more = (
        Slip("a-fifth", lambda row: 2.4 * row["feet"], "A fifth was added.", part="end"),
        Slip("fourfold", lambda row: 4 * row["feet"], "Four times was taken.", part="times"),
        Slip("six-less", lambda row: 2 * row["feet"] - 6, "Six was taken off.", part="end"),
    )
    assert note(replace(_rod(*more), together="sum"), {"feet": 10}, "34 ft") == ("other", 0.0)


def test_number_between_two_hidden_minor_slips_names_both():
    """70.1 lies as near to 70 as to 70.3; 71.3 hides both, and is too far to have been it."""
    question = _rod(
        Slip("rare", lambda row: 70, "A fixed number was taken.", minor=True),
        Slip("rarer", lambda row: 70.3, "Another number was taken.", minor=True),
        Slip("common", lambda row: 71.3, "A third number was taken."),
    )
    assert note(question, {"feet": 10}, "70.1 ft") == ("mistake/rare/or/rarer", 0.5)
    assert note(question, {"feet": 10}, "69.8 ft")[0].startswith("mistake/rare")


@pytest.mark.parametrize("text", ["20 m", "20 in", "20 yd", "20.1 cm"])
def test_right_number_with_another_unit_behind_it_is_named(text):
    """Twenty feet written as metres is no answer in feet, and the reason is said."""
    outcome = _rod().judge({"feet": 10}, text)
    assert outcome.note == "drill-ground-q99/unit-label" and outcome.points == 1
    assert "20" not in outcome.message and "unit" in outcome.message


@pytest.mark.parametrize("text", ["6.096 m", "240 in", "6.667 yd", "20 ft 0 in"])
def test_right_answer_in_another_unit_stays_right(text):
    """0.3048 m to the foot, 12 in, 3 ft to the yard."""
    assert _rod().judge({"feet": 10}, text).right
