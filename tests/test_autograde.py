"""One class of learners who try to gain marks or to stop the run, graded by nbgrader for real."""

import ast
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import nbformat
import pytest
from learners.cheats import GAIN, STOP
from learners.notebooks import (
    NAME,
    VARIABLES,
    WRONG,
    add_code,
    answer,
    answer_all,
    cell_of,
    handed_in,
)
from nbclient import NotebookClient

from gradekit import nbgrader_config
from gradekit.course import SOURCES, Course
from gradekit.merge import read_notebook
from gradekit.questions import papers
from gradekit.solutions import worked_answer

pytestmark = pytest.mark.thread

PAPER = papers()[NAME]
FOUR = PAPER.auto_questions[:4]  # the computed ones, which the learners below answer
CHECKS = [f"{NAME}-q{number}-check" for number in (1, 2, 3, 4)]
CELL_SECONDS = 3


def right(member):
    """The four right answers of a member."""
    return [worked_answer(q.id, member) for q in FOUR]


# --- learners who do nothing wrong ------------------------------------------------------------


def _honest(nb, member):
    answer_all(nb, right(member))


def _half(nb, member):
    """Two right, one slip (a quarter of 2), one blank."""
    answer_all(nb, right(member)[:2])
    answer(nb, 3, f"{PAPER.question(f'{NAME}-q3').row(PAPER.version, member)['lbf']} lbs")


def _blank(nb, member):
    pass


# --- learners who change the notebook ---------------------------------------------------------


def _own_checks(nb, member):
    """Check cells changed, deleted, unlocked, worth more; the answers are wrong."""
    answer_all(nb, WRONG)
    cell_of(nb, "q1-check").source = "2.0"
    cell_of(nb, "q2-check").source = "print('all right')"
    cell_of(nb, "q3-check").metadata.nbgrader.update(points=200, grade=False, locked=False)
    nb.cells.remove(cell_of(nb, "q4-check"))


def _own_checks_right(nb, member):
    """The same damage, but the answers are right."""
    _own_checks(nb, member)
    answer_all(nb, right(member))


def _copied(nb, member):
    """Another member's right answers, and that member's number in the notebook."""
    cell_of(nb, "member").source = f'member = "{COPIED_FROM}"'
    answer_all(nb, right(COPIED_FROM))


def _stranger(member):
    """A member for whose questions the answers of `member` are worth nothing."""
    for n in range(7000, 9000):
        judged = [PAPER.judge(q.id, member, worked_answer(q.id, str(n))) for q in FOUR]
        if not any(outcome.points for outcome in judged):
            return str(n)
    raise AssertionError("no such pair")


HONEST, HALF, BLANK, CHECKS_WRONG, CHECKS_RIGHT, COPIED = (str(n) for n in range(9001, 9007))
COPIED_FROM = _stranger(COPIED)
LEARNERS = {  # member -> (what to do, points for the four questions)
    HONEST: (_honest, (2, 2, 2, 2)),
    HALF: (_half, (2, 2, 0.5, 0)),
    BLANK: (_blank, (0, 0, 0, 0)),
    CHECKS_WRONG: (_own_checks, (0, 0, 0, 0)),
    CHECKS_RIGHT: (_own_checks_right, (2, 2, 2, 2)),
    COPIED: (_copied, (0, 0, 0, 0)),
}


def _gainer(code):
    def work(nb, member):
        answer_all(nb, WRONG)
        add_code(nb, 1, code)

    return work


def _stopper(code):
    def work(nb, member):
        answer_all(nb, right(member))
        add_code(nb, 2, code)

    return work


GAINERS = {name: f"G-{name}"[:20].upper().rstrip("-") for name in GAIN}
STOPPERS = {name: f"S-{name}"[:20].upper().rstrip("-") for name in STOP}
LEARNERS |= {GAINERS[name]: (_gainer(code), (0, 0, 0, 0)) for name, code in GAIN.items()}
LEARNERS |= {STOPPERS[n]: (_stopper(code), points) for n, (code, points) in STOP.items()}
EVERYBODY = pytest.mark.parametrize("member", LEARNERS)


@pytest.fixture(scope="module")
def graded(pool, tmp_path_factory):
    """(course, {member: Graded}, seconds) of the class, graded once."""
    folder = tmp_path_factory.mktemp("hostile class")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(nbgrader_config, "CELL_SECONDS", CELL_SECONDS)
        course = Course(folder, f"sqlite:///{folder.as_posix()}/class/gradebook.db")
        released = read_notebook(course.release(NAME))
        for member, (work, _) in LEARNERS.items():
            path = folder / "inbox" / member / f"{NAME}.ipynb"
            path.parent.mkdir(parents=True)
            text = handed_in(released, work, member)
            path.write_text(text, encoding="utf-8")
        taken = course.collect(folder / "inbox", set(LEARNERS))
        assert {item.member for item in taken if not item.problem} == set(LEARNERS)
        start = time.monotonic()
        done = {item.member: item for item in course.grade(NAME, executor=pool)}
    return course, done, time.monotonic() - start


def scores(course, member):
    """{check cell: points} as they stand in nbgrader's gradebook."""
    with course.gradebook() as gradebook:
        return {c: gradebook.find_grade(c, NAME, NAME, member).auto_score for c in CHECKS}


@EVERYBODY
def test_class_every_hand_in_is_graded(graded, member):
    """Nobody stops the run: not their own grading, nor that of those who come after."""
    _, done, _ = graded
    assert done[member].status == "graded", done[member].problems


@EVERYBODY
def test_class_marks_are_what_the_answers_are_worth(graded, member):
    """Not a point more, not a point less, whatever the notebook did."""
    course, _, _ = graded
    assert tuple(scores(course, member).values()) == LEARNERS[member][1]


@EVERYBODY
def test_class_every_check_ends_in_points_and_a_sentence(graded, member):
    """In the autograded notebook each check holds one result: a plain float, words, a note."""
    course, _, _ = graded
    path = course.folder / "autograded" / member / NAME / f"{NAME}.ipynb"
    cells = {c.id: c for c in read_notebook(path).cells}
    for check, points in zip(CHECKS, LEARNERS[member][1], strict=True):
        (output,) = cells[check].outputs
        assert output.output_type == "execute_result"
        text = output.data["text/plain"]
        assert type(ast.literal_eval(text)) is float and float(text) == points
        html = output.data["text/html"]
        assert re.search(rf"data-note='{check.removesuffix('-check')}/[a-z/0-9-]+'", html)
        words = re.sub(r"<[^>]*>", " ", html).split()
        assert len(words) >= 8, words


@EVERYBODY
def test_class_feedback_page_shows_no_right_number_to_who_missed_it(graded, member):
    """A page exists for everybody; where an answer missed, the right number is not on it."""
    course, _, _ = graded
    page = course.feedback_page(NAME, member).read_text(encoding="utf-8")
    shown = re.sub(r"<(style|script).*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL)
    shown = shown.replace(",", "")
    points = LEARNERS[member][1]
    if member in STOPPERS.values():
        return  # they typed the right answers themselves
    for question, got in zip(FOUR, points, strict=True):
        number = float(worked_answer(question.id, member).split()[0].replace(",", ""))
        if got < 2:
            for text in {f"{number:.1f}", f"{number:.0f}", f"{float(f'{number:.3g}'):g}"}:
                assert not re.search(rf"(?<![\d.]){re.escape(text)}(?![\d.])", shown), text
    assert "worked_answer" not in page and "BEGIN SOLUTION" not in page


def test_class_repairs_and_false_number_are_told(graded):
    """The instructor reads which locked cells were touched and who used another's number."""
    _, done, _ = graded
    for member in (CHECKS_WRONG, CHECKS_RIGHT):
        told = " ".join(done[member].problems)
        for check in (
            "q1-check: a part that is no answer was changed",
            "q4-check: a part that is no answer was missing",
        ):
            assert check in told
    assert any(f"names member {COPIED_FROM}" in p for p in done[COPIED].problems)
    assert done[HONEST].problems == done[BLANK].problems == ()


def test_class_output_does_not_fill_the_disk(graded):
    """20 MB printed by one notebook do not end up in files of 20 MB."""
    course, _, _ = graded
    member = STOPPERS["noise"]
    path = course.folder / "autograded" / member / NAME / f"{NAME}.ipynb"
    assert path.stat().st_size < 200_000
    assert course.feedback_page(NAME, member).stat().st_size < 1_000_000


def test_grading_failed_is_not_passed_off_as_graded_before(graded, monkeypatch):
    """Where grading a newer hand-in fails, the next run tries again instead of calling it done."""
    course, _, _ = graded
    kept = sorted((course.folder / "collected" / NAME / BLANK).glob("*.ipynb"))
    nb = read_notebook(kept[-1])
    answer(nb, 1, "2 lbf")
    newer = kept[-1].with_name("002-newer.ipynb")
    newer.write_text(nbformat.writes(nb), encoding="utf-8")

    class Broken:
        def autograde(self, *args, **kwargs):
            return {"success": False, "error": "made to fail", "log": ""}

    released = read_notebook(course.released(NAME))
    try:
        for _ in range(2):
            done = course._grade_one(Broken(), NAME, BLANK, [newer], released)
            assert done.status == "grading failed" and "made to fail" in done.problems[-1]
    finally:
        newer.unlink()
        done = course._grade_one(course._api(), NAME, BLANK, kept[-1:], released)
    assert done.status == "graded"


# --- plain nbgrader ---------------------------------------------------------------------------


def test_plain_nbgrader_gives_the_same_scores(graded, tmp_path):
    """`nbgrader autograde` in the course folder, as anybody would type it, agrees cell by cell."""
    course, _, _ = graded
    plain = Course(tmp_path)
    plain.release(NAME)
    three = (HONEST, HALF, BLANK)
    for member in three:
        source = course.folder / "submitted" / member / NAME / f"{NAME}.ipynb"
        target = plain.folder / "submitted" / member / NAME / f"{NAME}.ipynb"
        target.parent.mkdir(parents=True)
        target.write_bytes(source.read_bytes())
    command = [sys.executable, "-m", "nbgrader", "autograde", NAME]
    said = subprocess.run(command, cwd=plain.folder, capture_output=True, text=True, timeout=120)
    assert said.returncode == 0, said.stderr
    for member in three:
        assert scores(plain, member) == scores(course, member)


# --- the released notebook --------------------------------------------------------------------


def test_release_holds_no_solution_no_answer_no_slip(graded):
    """What learners get has neither the solution nor a number or a sentence that helps guess."""
    course, _, _ = graded
    folder = course.released(NAME).parent
    assert [path.name for path in folder.rglob("*") if path.is_file()] == [f"{NAME}.ipynb"]
    nb = read_notebook(course.released(NAME))
    text = course.released(NAME).read_text(encoding="utf-8")
    for words in ("SOLUTION", "worked_answer", "solutions", "marking guide", "2041"):
        assert words not in text, words
    sources = "\n".join(c.source for c in nb.cells)
    numbers = {float(n.replace(",", "")) for n in re.findall(r"\d[\d,.]*\d", sources)}
    for question in FOUR:
        for row in question.rows:
            for value in (question.right(row), *(slip.wrong(row) for slip in question.slips)):
                assert not any(abs(n - value) <= 0.01 * value for n in numbers), (row, value)
        assert not any(slip.sentence[:25] in text for slip in question.slips)
    assert not any(c.get("outputs") for c in nb.cells)


def _run(nb, folder):
    NotebookClient(nb, timeout=60, resources={"metadata": {"path": str(folder)}}).execute()
    return {c.id: c for c in nb.cells}


def test_instructor_notebook_run_as_it_is_scores_full(tmp_path):
    """The source, worked answers and all, earns every point that a machine gives."""
    source = read_notebook(SOURCES / NAME / f"{NAME}.ipynb")
    cells = _run(source, tmp_path)
    for check in CHECKS:
        (output,) = cells[check].outputs
        assert ast.literal_eval(output.data["text/plain"]) == cells[check].metadata.nbgrader.points


def test_release_run_blank_scores_nothing_and_advises(graded, tmp_path):
    """A learner who runs the untouched file sees calm advice everywhere and no error."""
    course, _, _ = graded
    nb = read_notebook(course.released(NAME))
    cells = _run(nb, tmp_path)
    for cell in nb.cells:
        for output in cell.get("outputs", ()):
            assert output.output_type == "execute_result", output
    for check in CHECKS:
        (output,) = cells[check].outputs
        assert ast.literal_eval(output.data["text/plain"]) == 0.0
        assert "Type your member number" in output.data["text/html"]


def test_release_run_with_a_number_says_nothing_written_yet(graded, tmp_path):
    """With a member number and no answers, each check says that nothing is written yet."""
    course, _, _ = graded
    nb = read_notebook(course.released(NAME))
    cell_of(nb, "member").source = f'member = "{BLANK}"'
    cells = _run(nb, tmp_path)
    for check in CHECKS:
        (output,) = cells[check].outputs
        assert ast.literal_eval(output.data["text/plain"]) == 0.0
        assert "Nothing written yet" in output.data["text/html"]
    assert all(f"{v} = " in cell_of(nb, f"q{n}-answer").source for n, v in enumerate(VARIABLES, 1))
    assert Path(course.released(NAME)).is_file()


# --- no learner's code is run --------------------------------------------------------------------


def _asks_the_kit(nb, folder):
    add_code(nb, 1, "from gradekit.solutions import worked_answer")
    add_code(nb, 1, f'reaction_1 = worked_answer("{NAME}-q1", member)')


def _asks_within_a_text(nb, folder):
    """Text between quotes, with a call in it that runs while the text is made."""
    call = "__import__('gradekit.solutions', fromlist=[0]).worked_answer"
    for number, name in enumerate(VARIABLES, 1):
        question = f"'{NAME}-q{number}'"
        cell_of(nb, f"q{number}-answer").source = f'{name} = f"{{{call}({question}, member)}}"'


def _writes_the_gradebook(nb, folder):
    address = (folder / "class" / "gradebook.db").as_posix()
    add_code(nb, 4, f'import sqlite3; db = sqlite3.connect("{address}")')
    add_code(nb, 4, 'db.execute("update grade set manual_score = 2"); db.commit()')


def _leaves_a_file(nb, folder):
    for number in (1, 2, 3, 4, 5):
        add_code(nb, number, f'open("{(folder / "was here").as_posix()}", "w").close()')


CODERS = {
    "9101": _asks_the_kit,
    "9102": _writes_the_gradebook,
    "9103": _leaves_a_file,
    "9104": _asks_within_a_text,
}


@pytest.fixture(scope="module")
def coders(graded, pool, tmp_path_factory):
    """The course of those whose answer cells hold code, graded in the ordinary way."""
    folder = tmp_path_factory.mktemp("coders")
    shutil.copytree(graded[0].folder / "release", folder / "class" / "release")
    shutil.copytree(graded[0].folder / "source", folder / "class" / "source")
    shutil.copy(graded[0].folder / "gradebook.db", folder / "class" / "gradebook.db")
    course = Course(folder, f"sqlite:///{folder.as_posix()}/class/gradebook.db")
    released = read_notebook(course.released(NAME))
    for member, work in CODERS.items():
        path = folder / "inbox" / member / f"{NAME}.ipynb"
        path.parent.mkdir(parents=True)
        path.write_text(handed_in(released, work, folder), encoding="utf-8")
    course.collect(folder / "inbox", set(CODERS))
    course.run([NAME], executor=pool)
    return course


@pytest.mark.parametrize("member", CODERS)
def test_class_code_in_answer_cells_is_not_run(coders, member):
    """Code in an answer cell reaches neither the kit, nor the gradebook's file, nor the disk."""
    assert coders.marks(NAME)[member].score == 0
    assert not (coders.folder.parent / "was here").exists()
