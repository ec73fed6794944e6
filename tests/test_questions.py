"""Every row of every question: right, each slip, each generic outcome, and nothing given away.

Right answers and slips are worked out here, from the formulas of the references (reaction in
print: 1.57 d² P and 0.0505 Q √P; discharge 29.7 d² √P; side part R sin ψ), never from the kit.
"""

import re
from collections import defaultdict
from fractions import Fraction
from math import cos, pi, radians, sin, sqrt, tan

import pytest

from gradekit.papers.nozzle_reaction import SMOOTH_BORE, _fog, _moment, _side, _smooth_bore
from gradekit.questions import Paper, Question, WrittenQuestion, paper_of, papers
from gradekit.solutions import worked_answer

PAPER = papers()["nozzle-reaction"]
# The four computed ones; questions 6 to 8 stand in test_paper_nozzle_reaction.py.
Q1, Q2, Q3, Q4 = AUTO = PAPER.auto_questions[:4]
NAME = PAPER.name


def tip(row):
    """The tip as the learner reads it, in inches."""
    return float(sum(Fraction(part) for part in row["tip_text"].split()))


def tip_flow(row):
    return 29.7 * tip(row) ** 2 * sqrt(row["psi"])


def momentum(row):
    """lbf from first principles in SI: F = Q √(2 ρ p), water at 1000 kg/m³."""
    return row["gpm"] * 6.30902e-5 * sqrt(2 * 1000 * row["psi"] * 6894.757) / 4.4482216


def side(row):
    return row["lbf"] * sin(radians(row["deg"]))


def along(row):
    return row["lbf"] * cos(radians(row["deg"]))


RIGHT = {
    Q1.id: lambda row: 1.57 * tip(row) ** 2 * row["psi"],
    Q2.id: lambda row: 0.0505 * row["gpm"] * sqrt(row["psi"]),
    Q3.id: side,
    Q4.id: lambda row: side(row) * row["ft"],
}
# name of the slip -> (how it goes wrong, share of the points, words that the sentence must have)
SIDE_SLIPS = {
    "cosine-for-sine": (along, 0.25, "sine of the angle"),
    "degrees-as-radians": (lambda r: abs(r["lbf"] * sin(r["deg"])), 0.25, "radians"),
    "linear-share": (lambda r: r["lbf"] * r["deg"] / 90, 0.25, "share of 90 degrees"),
    "all-of-it": (lambda r: r["lbf"], 0.25, "whole reaction"),
    "tangent": (lambda r: r["lbf"] * tan(radians(r["deg"])), 0.25, "tangent"),
    "half-of-it": (lambda r: r["lbf"] / 2, 0.25, "half the reaction"),
    "parts-added": (lambda r: side(r) + along(r), 0.25, "added up"),
}
SLIPS = {
    Q1.id: {
        "diameter-not-squared": (lambda r: 1.57 * tip(r) * r["psi"], 0.25, "not squared"),
        "diameter-doubled": (lambda r: 1.57 * 2 * tip(r) * r["psi"], 0.25, "doubled"),
        "radius-for-diameter": (
            lambda r: 1.57 * (tip(r) / 2) ** 2 * r["psi"],
            0.25,
            "Half the tip",
        ),
        "factor-two-forgotten": (
            lambda r: r["psi"] * pi * tip(r) ** 2 / 4,
            0.25,
            "area of the tip",
        ),
        "root-of-pressure": (lambda r: 1.57 * tip(r) ** 2 * sqrt(r["psi"]), 0.25, "flow formula"),
        "handline-pressure": (lambda r: 1.57 * tip(r) ** 2 * 50, 0.25, "50 psi was used"),
        "fog-pressure": (lambda r: 1.57 * tip(r) ** 2 * 100, 0.25, "100 psi was used"),
        "fog-formula": (lambda r: 0.0505 * tip_flow(r) * sqrt(r["psi"]), 0.5, "fog formula"),
        "half-the-gallonage": (lambda r: tip_flow(r) / 2, 0.5, "half the gallonage"),
        "third-of-the-gallonage": (lambda r: tip_flow(r) / 3, 0.25, "third of the gallonage"),
        "flow-for-reaction": (tip_flow, 0.25, "flow of the tip"),
    },
    Q2.id: {
        "no-root": (lambda r: 0.0505 * r["gpm"] * r["psi"], 0.25, "root"),
        "hundreds-of-gpm": (lambda r: 0.0505 * r["gpm"] / 100 * sqrt(r["psi"]), 0.25, "hundreds"),
        "pressure-forgotten": (lambda r: 0.0505 * r["gpm"], 0.25, "pressure was left out"),
        "smooth-bore-pressure-80": (
            lambda r: 0.0505 * r["gpm"] * sqrt(80),
            0.25,
            "80 psi was used",
        ),
        "half-the-gallonage-or-100-psi": (lambda r: r["gpm"] / 2, 0.5, "half the gallonage"),
        "third-of-the-gallonage": (lambda r: r["gpm"] / 3, 0.25, "third of the gallonage"),
        "two-inch-tip": (lambda r: 1.57 * 2**2 * r["psi"], 0.25, "2-in tip"),
        "momentum": (momentum, 0.75, "momentum theory"),
    },
    Q3.id: SIDE_SLIPS,
    Q4.id: {
        **{
            name: (lambda r, wrong=wrong: wrong(r) * r["ft"], credit, words)
            for name, (wrong, credit, words) in SIDE_SLIPS.items()
            if name != "half-of-it"
        },
        "extension-forgotten": (side, 0.25, "length of ladder out"),
        "length-in-inches": (lambda r: 12 * side(r) * r["ft"], 0.5, "inches"),
        "half-the-length": (lambda r: side(r) * r["ft"] / 2, 0.25, "Half the length"),
    },
}
UNIT = {Q1.id: "lbf", Q2.id: "lbf", Q3.id: "lbf", Q4.id: "lbf ft"}
# What 1 lbf, 1 lbf ft is in other units, from the definitions of pound, foot and inch.
OTHER_UNITS = {
    "force": {"N": 4.4482216, "kN": 0.0044482216, "kgf": 0.45359237, "kip": 0.001},
    "moment": {"N m": 1.3558179, "kN m": 0.0013558179, "lbf in": 12},
}
SPELLINGS = {
    "force": ("lbf", "lb", "lbs", "LBS", "pounds", "pounds of force"),
    "moment": ("lbf ft", "ft-lb", "ft-lbs", "lb-ft", "foot-pounds", "pound-feet", "ft lbs"),
}
EACH = pytest.mark.parametrize("question", AUTO, ids=lambda q: q.id)


def typed(number, unit, digits=6):
    """A number with so many digits, never in powers of ten, and its unit."""
    text = f"{float(f'{number:.{digits - 1}e}'):,.9f}".rstrip("0").rstrip(".")
    return f"{text} {unit}".strip()


def near(a, b, share):
    return abs(a - b) <= share * abs(b)


def wrong_numbers(question, row):
    return {name: slip[0](row) for name, slip in SLIPS[question.id].items()}


def gives_away(text, right):
    """The numbers in a text that are the right one in some rounding to three or more digits."""
    found = []
    for shown in re.findall(r"\d[\d,]*(?:\.\d+)?", re.sub(r"<[^>]*>", " ", text)):
        plain = shown.rstrip(",").replace(",", "")
        roundings = {f"{float(f'{right:.{digits - 1}e}'):.10g}" for digits in range(3, 9)}
        if f"{float(plain):.10g}" in roundings:
            found.append(shown)
    return found


@pytest.fixture(scope="module")
def members():
    """A made-up member number for every row of every question."""
    found = defaultdict(dict)
    for question in PAPER.questions:
        for n in range(1000, 9999):
            place = question.row_number(PAPER.version, str(n))
            found[question.id].setdefault(place, str(n))
    return found


# --- the tables -------------------------------------------------------------------------------


@EACH
def test_table_of_auto_question_has_ten_rows_all_different(question):
    """Ten rows at least, no two alike in words: neighbours at a table rarely share one."""
    assert len(question.rows) >= 10
    assert len({question.ask(row) for row in question.rows}) == len(question.rows)


@EACH
def test_slips_of_table_are_the_ones_tested_here(question):
    """No slip without an independent wrong formula here; minor ones have a test of their own."""
    assert {slip.name for slip in question.slips if not slip.minor} == set(SLIPS[question.id])


def test_fraction_typed_as_decimals_is_named_where_it_stands_clear():
    """1 3/4 as 1.34: 1.57 × 1.34² × 80 = 225.5; 1 3/8 as 1.38 is too near to 1.375 to tell."""
    row = {"tip_text": "1 3/4", "tip": 1.75, "psi": 80}
    assert Q1.judge(row, "225.5 lbf").note == f"{Q1.id}/mistake/fraction-as-decimal"
    for row in Q1.rows:
        told = "fraction-as-decimal" in {slip.name for slip in Q1.shown_slips(row)}
        assert not (told and row["tip_text"] == "1 3/8")


@EACH
def test_rows_slips_stand_clear(question):
    """No slip within twice the tolerance of the right answer or of another slip."""
    for row in question.rows:
        numbers = {"right": RIGHT[question.id](row), **wrong_numbers(question, row)}
        names = list(numbers)
        for i, one in enumerate(names):
            for other in names[i + 1 :]:
                gap = abs(numbers[one] - numbers[other])
                smaller = min(numbers[one], numbers[other])
                # Half a percent of room: 0.5 Q stands for 0.5025 Q, and water for 62.4 lb/ft³.
                assert gap > (2 * question.tolerance - 0.005) * smaller, (row, one, other)


@EACH
def test_question_shows_every_number_that_it_works_with(question):
    """Answers are computed from what is shown: each number of the row stands in the words."""
    for row in question.rows:
        words = question.ask(row).replace(",", "")
        for key, value in row.items():
            shown = row["tip_text"] if key == "tip" else value
            assert re.search(rf"(?<![\d.]){re.escape(str(shown))}(?![\d.])", words), (row, key)
        assert not gives_away(words, RIGHT[question.id](row)), row


def test_smooth_bore_tip_is_the_fraction_that_is_shown():
    """The size that is computed with is the size in the words."""
    assert all(row["tip"] == tip(row) for row in SMOOTH_BORE.rows)


def test_written_question_guide_adds_up_to_its_points():
    """The marker's guide gives out all the points and no more."""
    written = [q for q in PAPER.questions if isinstance(q, WrittenQuestion)]
    assert len(written) == 1
    assert sum(points for points, _ in written[0].guide) == written[0].points
    assert len({written[0].ask(row) for row in written[0].rows}) == len(written[0].rows)


def test_paper_of_unknown_question_is_a_key_error():
    """A question nobody wrote is refused."""
    with pytest.raises(KeyError):
        paper_of("nozzle-reaction-q99")
    with pytest.raises(KeyError):
        PAPER.question("nozzle-reaction-q99")


# --- numbers from the reference ---------------------------------------------------------------


@pytest.mark.published
@pytest.mark.parametrize(
    ("number", "branch"),
    [
        (384.7, "right"),
        (219.8, "mistake/diameter-not-squared"),
        (439.6, "mistake/diameter-doubled"),
        (192.4, "mistake/factor-two-forgotten"),
        (240.4, "mistake/handline-pressure"),
        (480.8, "mistake/fog-pressure"),
        (43.0, "mistake/root-of-pressure"),
        (367.5, "mistake/fog-formula"),
        (406.8, "mistake/half-the-gallonage"),
        (271.2, "mistake/third-of-the-gallonage"),
        (813.5, "mistake/flow-for-reaction"),
        (1711, "unit-label"),
        (174.5, "unit-label"),
    ],
)
def test_smooth_bore_reference_numbers_land_on_their_notes(number, branch):
    """Reference table of slips, 1 3/4-in tip at 80 psi."""
    row = {"tip_text": "1 3/4", "tip": 1.75, "psi": 80}
    assert row in SMOOTH_BORE.rows
    assert SMOOTH_BORE.judge(row, f"{number} lbf").note == f"{NAME}-q1/{branch}"


@pytest.mark.published
@pytest.mark.parametrize(
    ("number", "branch"),
    [
        (505, "right"),
        (5050, "mistake/no-root"),
        (451.7, "mistake/smooth-bore-pressure-80"),
        (5.05, "mistake/hundreds-of-gpm"),
        (628, "mistake/two-inch-tip"),
        (333, "mistake/third-of-the-gallonage"),
    ],
)
def test_fog_reference_numbers_land_on_their_notes(number, branch):
    """Reference table of slips, 1,000 gpm at 100 psi; not dealt, as half the gallonage is right."""
    row = {"gpm": 1000, "psi": 100}
    assert row not in Q2.rows
    assert _fog((row,)).judge(row, f"{number} lbf").note == f"{NAME}-q2/{branch}"


@pytest.mark.physics
@pytest.mark.parametrize(
    ("number", "branch"),
    [
        (252.5, "right"),
        (437.3, "mistake/cosine-for-sine"),
        (498.9, "mistake/degrees-as-radians"),
        (168.3, "mistake/linear-share"),
        (689.8, "mistake/parts-added"),
    ],
)
def test_side_load_reference_numbers_land_on_their_notes(number, branch):
    """Reference table of slips, 505 lbf at 30 degrees (not dealt: half of it is right there)."""
    row = {"lbf": 505, "deg": 30}
    assert row not in Q3.rows
    assert _side((row,)).judge(row, f"{number} lbf").note == f"{NAME}-q3/{branch}"
    row["ft"] = 100
    judged = _moment((row,)).judge(row, f"{100 * number} lbf ft")
    assert judged.note == f"{NAME}-q4/{branch}"


def test_rows_that_cannot_be_told_apart_are_left_out():
    """A row in which a slip gives the right answer is found out."""
    row = {"tip_text": "2", "tip": 2.0, "psi": 80}  # squared and doubled are one
    assert not _smooth_bore((row,)).distinct(row)
    assert SMOOTH_BORE.distinct(SMOOTH_BORE.rows[0])


# --- every row: right -------------------------------------------------------------------------


@EACH
def test_right_answer_every_row_scores_full(question, members):
    """As worked out here and as the instructor's notebook prints it, in every spelling."""
    for place, row in enumerate(question.rows):
        right, member = RIGHT[question.id](row), members[question.id][place]
        assert question.row(PAPER.version, member) == row
        printed = worked_answer(question.id, member)
        assert float(printed.split()[0].replace(",", "")) == pytest.approx(right, rel=1e-3)
        said = question.said_answer(row)
        assert len(said) < len(printed), "a crew says no digit that it does not need"
        answers = [printed, said, *(typed(right, unit, 4) for unit in SPELLINGS[question.kind])]
        for answer in answers:
            outcome = PAPER.judge(question.id, member, answer)
            assert (outcome.points, outcome.note) == (2.0, f"{question.id}/right"), (row, answer)
            assert outcome.right and "Right" in outcome.html()


@EACH
def test_right_answer_other_units_scores_full(question):
    """The right load in newtons, kilonewtons, kgf, kips is right."""
    for row in question.rows:
        for unit, factor in OTHER_UNITS[question.kind].items():
            outcome = question.judge(row, typed(RIGHT[question.id](row) * factor, unit))
            assert outcome.note == f"{question.id}/right", (row, unit)


@EACH
def test_right_answer_edge_of_tolerance_is_where_the_words_say(question):
    """“Within 1 percent” is so on both sides, and just outside it is not."""
    for row in question.rows:
        right = RIGHT[question.id](row)
        for share, inside in ((1.0099, True), (0.9901, True), (1.0101, False), (0.9899, False)):
            outcome = question.judge(row, typed(right * share, UNIT[question.id], 8))
            assert outcome.right is inside, (row, share)
        assert "within 1 percent" in question.ask(row)


# --- every row: slips -------------------------------------------------------------------------


@EACH
def test_slip_every_row_lands_on_its_own_note(question):
    """Each slip gets its own note, its own sentence, its stated credit and where to reread."""
    for row in question.rows:
        for name, number in wrong_numbers(question, row).items():
            _, credit, words = SLIPS[question.id][name]
            outcome = question.judge(row, typed(number, UNIT[question.id]))
            assert outcome.note == f"{question.id}/mistake/{name}", (row, number)
            assert outcome.points == 2 * credit, (row, name)
            assert words in outcome.message and "Lesson 03" in outcome.message
            assert not outcome.right


@EACH
def test_slip_sentences_are_all_different_and_short(question):
    """Two slips with one sentence would leave the learner guessing."""
    sentences = [slip.sentence for slip in question.slips]
    assert len(set(sentences)) == len(sentences)
    assert all(len(s.split()) <= 30 and s.endswith(".") for s in sentences)


@EACH
def test_slip_without_a_unit_is_told_both(question):
    """No unit and a slip: no points, and both are said."""
    for row in question.rows:
        for name, number in wrong_numbers(question, row).items():
            outcome = question.judge(row, typed(number, ""))
            assert outcome.note == f"{question.id}/no-unit/mistake/{name}", (row, name)
            assert outcome.points == 0
            assert "no unit" in outcome.message and SLIPS[question.id][name][2] in outcome.message


# --- every row: the outcomes that every question has ------------------------------------------


def expected_unless_slip(question, row, number, branch):
    """The note for a number: the branch, but a slip that lies there goes before it."""
    slips = wrong_numbers(question, row)
    close = [n for n in slips if near(number, slips[n], 0.015)]
    return {f"{question.id}/{branch}", *(f"{question.id}/mistake/{name}" for name in close)}


@EACH
@pytest.mark.parametrize(
    ("times", "branch", "points"),
    [
        (1.0150, "rounding", 1.5),
        (0.9850, "rounding", 1.5),
        (-1, "sign", 1.5),
        (0.001, "off-by-ten", 1),
        (0.01, "off-by-ten", 1),
        (0.1, "off-by-ten", 1),
        (10, "off-by-ten", 1),
        (100, "off-by-ten", 1),
        (1000, "off-by-ten", 1),
        (1.234, "other", 0),
        (7.77, "other", 0),
        (0, "other", 0),
    ],
)
def test_near_miss_every_row_is_told_its_kind(question, times, branch, points):
    """Rounding, sign and decimal point have outcomes of their own; most rows reach them."""
    reached = 0
    for row in question.rows:
        number = RIGHT[question.id](row) * times
        outcome = question.judge(row, typed(number, UNIT[question.id], 8))
        assert outcome.note in expected_unless_slip(question, row, number, branch), (row, number)
        if outcome.note.endswith(f"/{branch}"):
            reached += 1
            assert outcome.points == points
    always_a_slip = question is Q2 and times == 0.01  # hundreds of gpm, by design
    assert reached >= len(question.rows) * (0 if always_a_slip else 0.5), reached


@EACH
def test_label_of_another_unit_every_row_is_named(question):
    """The number right in newtons but labelled pounds: half the points, and the unit is named."""
    units = {"force": {"N": "N", "kgf": "kgf"}, "moment": {"N m": "N·m"}}[question.kind]
    for unit, name in units.items():
        reached = 0
        for row in question.rows:
            number = RIGHT[question.id](row) * OTHER_UNITS[question.kind][unit]
            outcome = question.judge(row, typed(number, UNIT[question.id]))
            assert outcome.note in expected_unless_slip(question, row, number, "unit-label")
            if outcome.note.endswith("unit-label"):
                reached += 1
                assert outcome.points == 1 and f"right in {name}" in outcome.message
        assert reached >= len(question.rows) / 2


@EACH
def test_number_without_unit_earns_half(question):
    """The right number alone is worth half, and the advice shows how to write the unit."""
    for row in question.rows:
        outcome = question.judge(row, typed(RIGHT[question.id](row), ""))
        assert outcome.note == f"{question.id}/no-unit/right"
        assert outcome.points == 1 and "no unit" in outcome.message


@EACH
@pytest.mark.parametrize(
    ("answer", "branch", "words"),
    [
        ("", "blank", "Nothing written yet"),
        ("  \n", "blank", "Nothing written yet"),
        (None, "blank", "Nothing written yet"),
        ("no idea", "unreadable", "Start with a number"),
        ("385 quux", "unreadable", "not the unit"),
        ("2 * 385 lbf", "unreadable", "I read"),
        ("80 psi", "wrong-kind", "unit of pressure"),
        ("1,000 gpm", "wrong-kind", "unit of flow"),
        ("75 ft", "wrong-kind", "unit of length"),
        ("30 deg", "wrong-kind", "unit of angle"),
    ],
)
def test_answer_that_is_no_load_is_told_so(question, answer, branch, words):
    """Nothing written, not readable, another kind: no points, calm words, its own note."""
    for row in question.rows:
        outcome = question.judge(row, answer)
        assert outcome.note == f"{question.id}/{branch}"
        assert outcome.points == 0 and words in outcome.message


def test_answer_force_for_moment_and_moment_for_force_is_wrong_kind():
    """A load is not a moment, even where the number is right."""
    for row in Q4.rows:
        outcome = Q4.judge(row, typed(RIGHT[Q4.id](row), "lbf"))
        assert (outcome.note, outcome.points) == (f"{Q4.id}/wrong-kind", 0)
        outcome = Q3.judge(row, typed(RIGHT[Q3.id](row), "lbf ft"))
        assert (outcome.note, outcome.points) == (f"{Q3.id}/wrong-kind", 0)


# --- nothing is given away --------------------------------------------------------------------


def wrong_answers(question, row):
    """An answer for every branch but the right one."""
    right, unit = RIGHT[question.id](row), UNIT[question.id]
    yield from (typed(n, unit) for n in wrong_numbers(question, row).values())
    yield from (typed(right * t, unit) for t in (1.015, 0.985, 0.1, 100, 1000, 7.77, 4.4482216))
    yield from (typed(right * 7.77, ""), "", "no idea", "80 psi", "3 quux", "3 lbf lbf")


@EACH
def test_advice_never_has_the_right_number(question):
    """Neither words nor HTML of any outcome hold the right number, in any rounding to 3+ digits."""
    for row in question.rows:
        right = RIGHT[question.id](row)
        for answer in wrong_answers(question, row):
            outcome = question.judge(row, answer)
            assert not outcome.right
            assert gives_away(outcome.message, right) == [], (row, answer, outcome.message)
            assert gives_away(outcome.html(), right) == [], (row, answer)


@EACH
def test_advice_for_right_number_without_unit_or_sign_does_not_repeat_it(question):
    """Where the learner has the number already, the words still do not hold it."""
    for row in question.rows:
        right = RIGHT[question.id](row)
        for answer in (typed(right, ""), typed(-right, UNIT[question.id])):
            assert gives_away(question.judge(row, answer).message, right) == []


@EACH
def test_example_of_an_answer_earns_nothing(question):
    """Whoever copies the example out of the advice gets no points, on any row."""
    for row in question.rows:
        shown = question.judge(row, "no idea").message.rpartition(": ")[2].strip(" .")
        assert re.fullmatch(r"[\d,]+ lbf( ft)?", shown), shown
        outcome = question.judge(row, shown)
        assert (outcome.points, outcome.note) == (0, f"{question.id}/other"), row


@EACH
def test_notes_do_not_depend_on_the_row(question):
    """One branch, one note for all rows: no digit of a scenario can stand in it."""
    notes = defaultdict(set)
    for row in question.rows:
        right, unit = RIGHT[question.id](row), UNIT[question.id]
        answers = {name: typed(n, unit) for name, n in wrong_numbers(question, row).items()}
        answers |= {"blank": "", "unreadable": "no idea", "wrong-kind": "80 psi"}
        answers |= {"right": typed(right, unit), "no-unit": typed(right, "")}
        for name, answer in answers.items():
            notes[name].add(question.judge(row, answer).note)
    assert all(len(found) == 1 for found in notes.values()), notes
    everything = {note for found in notes.values() for note in found}
    assert len(everything) == len(notes)
    assert all(re.fullmatch(r"[a-z0-9-]+(/[a-z0-9-]+){1,2}", note) for note in everything)


@EACH
def test_points_are_plain_numbers_with_two_decimals(question):
    """What nbgrader reads is a built-in float between nothing and all."""
    row = question.rows[0]
    for answer in (
        typed(RIGHT[question.id](row), UNIT[question.id]),
        *wrong_answers(question, row),
    ):
        outcome = question.judge(row, answer)
        assert type(outcome.points) is float and type(outcome.most) is float
        assert 0 <= outcome.points <= outcome.most == 2
        assert re.fullmatch(r"\d\.\d{1,2}", repr(outcome))


# --- the check of the checks: a made-up question with a fault is found out ---------------------


def test_distinct_slip_on_the_right_answer_is_refused():
    """The table builder's test does find a slip that gives the right answer."""
    from gradekit.questions import Slip

    slip = Slip("same", lambda row: row["n"] * 1.005, "The same.")
    question = Question(
        id="made-up-q1",
        variable="x",
        kind="force",
        unit="lbf",
        points=2,
        rows=({"n": 300},),
        ask=lambda row: "?",
        right=lambda row: row["n"],
        slips=(slip,),
    )
    assert not question.distinct({"n": 300})
    paper = Paper("made-up", "Made up", "1", "", (question,))
    assert paper.auto_questions == (question,)


def test_gives_away_finds_the_right_number():
    """The test's own search does find a number that is given away."""
    assert gives_away("It is 385 lbf.", 384.65) == ["385"]
    assert gives_away("<b>12,345.7</b> lbf ft", 12_345.66) == ["12,345.7"]
    assert gives_away("use 1.57, not 0.785; 80 psi; Lesson 03", 384.65) == []


def test_questions_show_no_number_that_is_right_for_another():
    """No load that one question gives is the right answer to another, for any two rows."""
    shown = {row["lbf"] for q in (Q3, Q4) for row in q.rows}
    for question in (Q1, Q2, Q3):
        for row in question.rows:
            right = RIGHT[question.id](row)
            assert not [n for n in shown if near(n, right, 0.02)], (question.id, row)
