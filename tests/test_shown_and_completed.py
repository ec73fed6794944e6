"""A self-check that a member is stuck with is shown and asked anew; a worked sum is completed."""

import json
import re

import pytest

from gradekit.questions import Carried, Question, Slip
from lessonkit import frame, kinds, predict, progress, self_check, start
from lessonkit.asking import HIDE, SHOW
from lessonkit.content.lesson_05 import ASKED

PLAN = start.syllabus()["lesson"]


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def study(tmp_path, monkeypatch):
    """A member's study folder."""
    monkeypatch.setenv(progress.FOLDER_VARIABLE, str(tmp_path))
    return tmp_path


def answer(asked, *answers):
    """Answer a self-check, one try after the other."""
    for one in answers:
        asked.field.answer = one
        asked.button.click()
    return asked


def offered(asked):
    """Whether the button stands there."""
    return asked.how_button.layout.display != "none"


def kept(lesson, name):
    return progress.entries(lesson, "checks")[name]


# --- shown, and asked anew --------------------------------------------------------------------


def test_how_is_offered_after_the_second_wrong_answer_not_after_blanks(study):
    """Nothing answered is no try; a right answer between starts the count anew."""
    asked = self_check("05", "rule")
    asked.button.click()
    asked.button.click()
    answer(asked, "80 ft")
    assert not offered(asked)
    answer(asked, "91 ft", "80 ft")
    assert not offered(asked)
    answer(asked, "7 ft")
    assert offered(asked) and asked.how_button.description == SHOW and asked.how.value == ""


def test_number_is_shown_then_asked_with_other_numbers_and_counts_as_done(study):
    """1 1/2 in at 70 psi: 35 + 26 + 30. Then 1 3/4 in at 60 psi: 30 + 26 + 40."""
    asked = answer(self_check("05", "rule"), "80 ft", "7 ft")
    asked.how_button.click()
    assert "91 ft" in asked.how.value and "35 + 26 + 30 ft" in asked.how.value
    assert "1 3/4-in tip at 60 psi" in asked.anew.value
    assert asked.field.answer is None and asked.said.value == ""
    shown = kept("05", "rule")
    assert shown["shown"] and shown["tries"] == 2 and not shown["first_right"]
    answer(asked, "91 ft")
    assert "✓" not in asked.said.value and not kept("05", "rule")["first_right"]
    answer(asked, "96 ft")
    assert "✓ Right" in asked.said.value and "30 + 26 + 40 ft" in asked.said.value
    assert kept("05", "rule")["first_right"] and kept("05", "rule")["shown"]


def test_what_was_shown_stands_there_when_the_lesson_is_opened_again(study):
    """Solution and new numbers, with nothing answered; later with the answer to the new ones."""
    asked = answer(self_check("05", "rule"), "80 ft", "7 ft")
    asked.how_button.click()
    again = self_check("05", "rule")
    assert "35 + 26 + 30 ft" in again.how.value and "60 psi" in again.anew.value
    assert offered(again) and again.field.answer is None and again.said.value == ""
    answer(again, "96 ft")
    last = self_check("05", "rule")
    assert last.field.answer == "96 ft" and "✓ Right" in last.said.value and last.how.value


def test_two_wrong_answers_before_the_lesson_was_closed_count(study):
    """Also where an older version of the kit has kept them."""
    answer(self_check("05", "rule"), "80 ft", "7 ft")
    assert offered(self_check("05", "rule"))
    path = next(study.rglob("lesson-05.json"))
    old = json.loads(path.read_text(encoding="utf-8"))
    del old["checks"]["rule"]["wrong"]
    path.write_text(json.dumps(old), encoding="utf-8")
    assert offered(self_check("05", "rule"))
    old["checks"]["rule"]["right"] = True
    path.write_text(json.dumps(old), encoding="utf-8")
    assert not offered(self_check("05", "rule"))


def test_steps_can_be_put_away_and_back_and_the_answer_stays(study):
    """Pressed again, the button hides and shows; the question is not dealt anew."""
    asked = answer(self_check("05", "rule"), "80 ft", "7 ft")
    asked.how_button.click()
    asked.field.answer = "96 ft"
    asked.how_button.click()
    assert asked.how.value == "" and asked.how_button.description == SHOW
    asked.how_button.click()
    assert asked.how.value and asked.how_button.description == HIDE
    assert asked.field.answer == "96 ft" and "60 psi" in asked.anew.value


def wrong_and_right(kind):
    """A wrong and a right answer to a question of any kind."""
    if kind.name == "number":
        return "7 bananas", kind.question.worked_answer(kind.row)
    if kind.name == "complete":
        right = [gap.right for gap in kind.gaps]
        return ["7", *right[1:]], right
    if kind.name == "match":
        right = [pair.right for pair in kind.pairs]
        return [*right[1:], right[0]], right
    if kind.name == "order":
        right = list(range(len(kind.steps)))
        return right[::-1], right
    options = kind.steps if kind.name == "fault" else kind.options
    ways = [[n for n, o in enumerate(options) if o.right is right] for right in (False, True)]
    return ways if kind.name == "several" else [way[0] for way in ways]


CHECKS = [
    (lesson["number"], name)
    for lesson in PLAN
    for number, name in frame.calls(frame.cells_of(start.LESSONS / lesson["notebook"]), "self_check")
]  # fmt: skip


@pytest.mark.parametrize(("lesson", "name"), CHECKS)
def test_nobody_stays_stuck_with_any_self_check(lesson, name):
    """Wrong twice, shown, answered right: done, whatever its kind."""
    asked = self_check(lesson, name)
    kind = asked.kind
    wrong, right = wrong_and_right(kind)
    if getattr(kind, "again", None):
        _, right = wrong_and_right(kind.again)
    answer(asked, wrong, wrong)
    assert "Not yet" in asked.said.value and offered(asked)
    asked.how_button.click()
    assert len(re.sub("<[^>]*>", "", asked.how.value)) > 40
    assert asked.field.answer is None
    answer(asked, right)
    assert "✓ Right" in asked.said.value and kept(lesson, name)["first_right"]


@pytest.mark.parametrize(("lesson", "name"), CHECKS)
def test_other_numbers_have_another_answer_and_are_judged(lesson, name):
    """The right answer to the shown one is not right for the new one, and the other way round."""
    kind = self_check(lesson, name).kind
    if getattr(kind, "again", None):
        (_, one), (_, other) = wrong_and_right(kind), wrong_and_right(kind.again)
        assert kind.judge(one).right and kind.again.judge(other).right
        assert not kind.judge(other).right and not kind.again.judge(one).right


def test_prediction_is_never_shown():
    """A guess is compared further down."""
    assert not hasattr(predict("05", "reach"), "how_button")


def test_number_without_a_reason_is_shown_with_its_first_step():
    """A bare number would help nobody."""
    question = ROD
    said = kinds.Number("How long?", question, {"feet": 10}).solution
    assert said == "20 ft. Double it. Page 3."


# --- a worked sum, completed ------------------------------------------------------------------

ROD = Question(
    id="made-up-rod", variable="rod", points=1, rows=({"feet": 10},), ask=lambda row: "",
    kind="length", unit="foot", right=lambda row: 2 * row["feet"], first_step="Double it.", reread="Page 3.",
    slips=(Slip("once", lambda row: row["feet"], "It was not doubled."),),
)  # fmt: skip
ROPE = Carried(
    id="made-up-rope", variable="rope", points=1, same_row_as=ROD, carries=(ROD,), ask=lambda row: "",
    kind="length", unit="foot", right=lambda row, rod: 3 * rod, first_step="Treble it.", reread="Page 3.",
    slips=(Slip("twice", lambda row, rod: 2 * rod, "It was doubled."),),
)  # fmt: skip
ROW = {"feet": 10}


def sum_of_two():
    gaps = (
        kinds.Gap("Rod", ROD, ROW, "ft", "Twice ten."),
        kinds.Gap("Rope", ROPE, ROW, "ft", "Thrice that."),
    )
    return kinds.Complete("Complete it.", ("Pole: 10 ft", "Rod: ____", "Rope: ____, so far"), gaps)


def test_gaps_are_judged_at_once_and_the_right_ones_are_left():
    """Each wrong one by its own slip; where to look again is said once."""
    kind = sum_of_two()
    assert kind.judge(["20", "60"]) == kinds.Said(True, "Rod: Twice ten.\nRope: Thrice that.")
    assert kind.judge(["10", "60"]).words.splitlines() == [
        "Right already, leave it: Rope.", "Rod: It was not doubled.", "Page 3.",
    ]  # fmt: skip
    assert kind.judge(["20", "40"]).words.splitlines() == [
        "Right already, leave it: Rod.", "Rope: It was doubled.", "Page 3.",
    ]  # fmt: skip
    assert kind.judge(["10", "7"]).words.count("Page 3.") == 1


def test_gap_that_follows_from_a_wrong_one_is_told_so():
    """Thirty is three times the wrong ten: it is no slip of its own, and not right either."""
    said = sum_of_two().judge(["10", "30"])
    assert said.right is False and f"Rope: {kinds.FOLLOWS}" in said.words


@pytest.mark.parametrize("typed", ["20", "20 ft", "20.0", "20 feet", "6.096 m", "240 in"])
def test_gap_takes_the_number_alone_or_any_unit(typed):
    """The unit stands behind the gap."""
    assert sum_of_two().judge([typed, "60"]).right


@pytest.mark.parametrize("typed", ["20 psi", "20 m", "banana", "-20"])
def test_gap_with_another_unit_or_no_number_is_not_right(typed):
    assert sum_of_two().judge([typed, "60"]).right is False


@pytest.mark.parametrize("given", [None, ["20", ""], ["", ""]])
def test_gap_left_open_is_asked_for(given):
    assert sum_of_two().judge(given).right is None


def test_field_has_a_box_at_each_gap_and_keeps_what_stands_there():
    """A box is named by what belongs there, for who listens."""
    field = sum_of_two().field()
    rows = field.widget.children
    boxes = [row.children[1] for row in rows[1:]]
    assert len(rows[0].children) == 1 and "Pole: 10 ft" in rows[0].children[0].value
    assert [box.tooltip for box in boxes] == ["Rod, in ft", "Rope, in ft"]
    assert "ft, so far" in rows[2].children[2].value
    boxes[1].value = " 60 "
    assert field.answer == ["", "60"]
    for old in (["20"], {"a": "20", "b": "60"}, [20, 60], "20"):
        field.answer = old
        assert field.answer == ["", "60"]
    field.answer = ["20", "60"]
    assert [box.value for box in boxes] == ["20", "60"]


def test_sum_on_paper_has_its_gaps_and_no_answer():
    kind = sum_of_two()
    assert kind.on_paper == ["Pole: 10 ft", "Rod: ______ ft", "Rope: ______ ft, so far"]
    assert kind.solution.splitlines() == [
        "Pole: 10 ft", "Rod: 20 ft. Twice ten.", "Rope: 60 ft, so far. Thrice that.",
    ]  # fmt: skip
    assert kind.told(["20", ""]) == "Rod: “20”; Rope: “”"
    assert ("Rod: “10 ft”", "It was not doubled.") in kind.wrong_answers
    assert ("Rope: “40 ft”", "It was doubled.") in kind.wrong_answers


@pytest.mark.parametrize("lines", [("Rod: ____",), ("____ and ____",), ("none", "at all")])
def test_sum_whose_lines_do_not_have_the_gaps_is_refused(lines):
    with pytest.raises(ValueError, match="gaps"):
        kinds.Complete("Complete it.", lines, sum_of_two().gaps)


SUMS = [
    (number, name)
    for number, name in CHECKS
    if self_check(number, name).kind.name == "complete"
]  # fmt: skip


def test_lessons_have_sums_to_complete():
    assert {number for number, _ in SUMS} >= {"05", "07"}


@pytest.mark.parametrize(("lesson", "name"), SUMS)
def test_every_slip_of_every_gap_of_the_lessons_is_told(lesson, name):
    """All else right: one slip, its sentence, and neither the right number nor a second fault."""
    kind = self_check(lesson, name).kind
    for one in filter(None, (kind, kind.again)):
        right = [gap.right for gap in one.gaps]
        assert one.judge(right).right is True
        for place, gap in enumerate(one.gaps):
            assert gap.reason and gap.question.first_step and len(gap.question.slips) >= 3
            assert gap.question.distinct(gap.row), gap.what
            for slip in gap.question.shown_slips(gap.row):
                said = one.judge([*right[:place], slip.answer, *right[place + 1 :]])
                assert said.right is False, slip.name
                found = next(s for s in gap.question.slips if s.name == slip.name)
                assert f"{gap.what}: {found.sentence}" in said.words, slip.name
                assert not re.search(rf"(?<![\d.]){re.escape(gap.right)}(?![\d.]\d)", said.words)
                assert said.words.count("\n") == 2, said.words


def test_reach_sum_by_hand():
    """70/2 + 26 = 61; ten eighths at 5 ft; the long side of 60 and 25 is 65."""
    kind = ASKED["fill"]
    assert [gap.right for gap in kind.gaps] == ["50", f"{61 + 50}", f"{111 - 65}"]
    assert (60**2 + 25**2) ** 0.5 == 65
    assert any("35 + 26 = 61 ft" in line for line in kind.lines)
    assert any("65 ft" in line for line in kind.lines)
    again = kind.again  # 80/2 + 26 = 66; six eighths; the long side of 48 and 20 is 52
    assert [gap.right for gap in again.gaps] == ["30", f"{66 + 30}", f"{96 - 52}"]
    for one in (kind, again):
        reach, left = (gap.question.value(gap.row) for gap in one.gaps[1:])
        assert left > reach / 5  # as the reason says


# --- the frame --------------------------------------------------------------------------------


def _tagged(*tags):
    return [
        {"id": f"c{n}", "cell_type": "markdown", "metadata": {"tags": [tag]}, "source": ""}
        for n, tag in enumerate(tags)
    ]


def _out_of_order(*tags):
    return [f for f in frame._order_faults(_tagged(*tags)) if "stands after" in f]


def test_check_may_stand_between_examples_but_nowhere_else():
    """Practice stands next to its example; what opens or ends a lesson keeps its place."""
    assert _out_of_order("predict", "example", "check", "example", "try", "example", "check") == []
    assert _out_of_order("check", "predict") and _out_of_order("example", "check", "before")
    assert _out_of_order("case", "check") and _out_of_order("recap", "example")
