"""`aerialstream question`: what an author sees of a question, and how papers are found."""

import pytest
from learners.made_up import drill_ground
from typer.testing import CliRunner

from gradekit.cli import app
from gradekit.course import CourseError
from gradekit.questions import found, paper_named, paper_of, papers


def said(*words):
    """What a command prints."""
    result = CliRunner().invoke(app, ["question", *words], terminal_width=200)
    assert result.exit_code == 0, result.output
    return result.output


def test_list_names_every_question_of_the_kit():
    """Id, kind, points, variants, slips."""
    text = said("list")
    for paper in papers().values():
        assert paper.title in text
        assert all(question.id in text for question in paper.questions)
    assert "drill-ground" not in text


def test_try_shows_question_right_answer_and_each_slip_with_number_and_sentence():
    """All that an author needs to see of one member's variant."""
    question = drill_ground.HEIGHT
    row = drill_ground.PAPER.row(question.id, "2058")
    text = " ".join(said("try", question.id, "--member", "2058").split())
    assert f"right: {question.worked_answer(row)}" in text
    for slip in question.shown_slips(row):
        assert slip.answer in text and slip.sentence.strip() in text and slip.branch in text
    assert "All 18 variants were gone through: in order." in text
    assert "rows are dealt" not in text  # all of them are


def test_try_retake_and_answer_are_judged_for_that_variant():
    """Another retake, other numbers; a given answer is judged with its note."""
    question = drill_ground.HEIGHT
    worked = question.worked_answer(drill_ground.PAPER.row(question.id, "2041", 1))
    text = said("try", question.id, "--member", "2041", "--retake", "1", "--answer", worked)
    assert f"“{worked}”: 2 of 2 (drill-ground-q1/right)" in text
    assert said("try", question.id) != said("try", question.id, "--retake", "1")


def test_try_every_kind_can_be_shown():
    """Choices, orders, plans, faults, look-ups, written answers."""
    for question in drill_ground.PAPER.questions:
        assert question.title and "right: " in said("try", question.id)


@pytest.mark.parametrize(
    "words", [("nozzle-reaction-q99",), ("nozzle-reaction-q1", "--member", "../x")]
)
def test_try_unknown_question_or_member_is_one_sentence(words):
    """What there is stands in the refusal."""
    result = CliRunner().invoke(app, ["question", "try", *words])
    assert isinstance(result.exception, CourseError) and len(str(result.exception)) > 20


def test_paper_of_another_name_than_its_file_is_refused(tmp_path, monkeypatch):
    """A paper must be called like its file, or nothing would find its questions."""
    import gradekit.papers

    file = tmp_path / "made_up_misnamed.py"
    file.write_text("from gradekit.papers.nozzle_reaction import PAPER\n", encoding="utf-8")
    monkeypatch.setattr(gradekit.papers, "__path__", [*gradekit.papers.__path__, str(tmp_path)])
    with pytest.raises(ValueError, match="must be called 'made-up-misnamed'"):
        paper_named("made-up-misnamed")
    assert "made-up-misnamed" not in papers()


def test_paper_of_reads_only_the_file_that_it_needs(monkeypatch):
    """A draft with a fault in it stops nobody else's questions."""
    read = []
    monkeypatch.setattr(found, "import_module", lambda name: read.append(name))
    found._paper.cache_clear()
    with pytest.raises(AttributeError):
        paper_of("nozzle-reaction-q1")
    assert read == ["gradekit.papers.nozzle_reaction"]
    for name in ("", "q1", "x-q1", None, "nozzle-reaction"):
        with pytest.raises(KeyError):
            paper_of(name)
