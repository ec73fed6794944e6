"""A retake: other numbers, the folder before laid aside, and a paper without written questions."""

import json

import pytest
from typer.testing import CliRunner

from gradekit.classroom import retake_of
from gradekit.cli import app
from gradekit.course import Course, CourseError

NAME = "nozzle-reaction"


@pytest.fixture
def course(tmp_path):
    """A class in which one member's notebook was handed out and worked in."""
    course = Course(tmp_path / "work", f"sqlite:///{tmp_path.as_posix()}/gradebook.db")
    course.hand_out(NAME, ["2041"])
    path = course.folder / "handout" / "2041" / NAME / f"{NAME}.ipynb"
    path.write_text(path.read_text(encoding="utf-8").replace("sign", "sign "), encoding="utf-8")
    return course


def member_cell(path):
    cells = json.loads((path / f"{NAME}.ipynb").read_text(encoding="utf-8"))["cells"]
    return next("".join(c["source"]) for c in cells if "".join(c["source"]).startswith("member ="))


def test_retake_lays_the_folder_aside_and_names_the_retake(course):
    """The worked-in notebook is still there, and the new one says which retake it is."""
    worked = (course.folder / "handout" / "2041" / NAME / f"{NAME}.ipynb").read_bytes()
    number, folder = course.grant_retake(NAME, "2041")
    assert number == 1 == retake_of(course.folder, NAME, "2041")
    assert "retake = 1" in member_cell(folder)
    aside = course.folder / "handout-before" / "2041" / f"{NAME}-0"
    assert (aside / f"{NAME}.ipynb").read_bytes() == worked
    assert "retake" not in member_cell(aside)
    assert course.grant_retake(NAME, "2041")[0] == 2
    assert retake_of(course.folder, NAME, "2042") == 0


def test_retake_of_what_was_never_handed_out_is_refused(course):
    """Nothing is put on file by a slip in the number or in the name."""
    for name, member in ((NAME, "9999"), ("no-such-paper", "2041")):
        with pytest.raises(CourseError):
            course.grant_retake(name, member)
    assert not (course.folder / "retakes.json").exists()


def test_mark_of_a_paper_without_a_written_question_is_refused_in_words(tmp_path):
    """There is nothing to mark by hand in flow and supply."""
    words = ["class", "mark", "2041", "1", "--assignment", "flow-and-supply"]
    result = CliRunner().invoke(app, [*words, "--work", str(tmp_path / "work")])
    assert result.exit_code != 0
    assert "no written question" in f"{result.output}{result.exception}"
