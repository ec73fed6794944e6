"""The whole thread: roster, hand-out, collection, nbgrader, marks by hand, completion table.

The expected marks are worked out by hand from the credits that the questions state: 2 points a
question, 1 for the last; a known slip earns a quarter (the rule of thumb a half), early rounding three quarters.
"""

import csv
import re
import shutil
import subprocess
import sys

import pytest

from gradekit.completion import COMPLETE, UNDER_WAY, WAITING_FOR_SIGN_OFF
from gradekit.solutions import worked_answer

pytestmark = pytest.mark.thread

ASSIGNMENT = "nozzle-reaction"
MARKS = {
    "2041": 2 + 2 + 2 + 2 + 2 + 2 + 2 + 1,
    "2058": 2 + 2 + 1.5 + 2 + 1.5 + 2 + 2 + 1,
    "2063": 0.5 + 1 + 0.5 + 0.5 + 0.5,
    "2077": 2,
    "2085": 2 + 2 + 2,
}
JUDGED = (1, 2, 3, 4, 6, 7, 8)  # question 5 is marked by hand
NOTES = {
    "2041": ["right", "right", "right", "right", "right", "right", "right"],
    "2058": ["right", "right", "rounding", "right", "right", "right", "right"],
    "2063": [
        "mistake/diameter-not-squared",
        "mistake/half-the-gallonage-or-100-psi",
        "mistake/cosine-for-sine",
        "mistake/extension-forgotten",
        "blank",
        "blank",
        "blank",
    ],
    "2077": ["right", "blank", "blank", "blank", "blank", "blank", "blank"],
    "2085": ["right", "right", "right", "blank", "blank", "blank", "blank"],
}
STATUS = {
    "2041": COMPLETE,
    "2058": WAITING_FOR_SIGN_OFF,
    "2063": UNDER_WAY,
    "2077": UNDER_WAY,
    "2085": UNDER_WAY,
    "2090": UNDER_WAY,
}


def test_demo_marks_in_gradebook_are_exact(demo):
    """Each of the six gets the mark that their answers are worth, and a damaged file gets none."""
    thread, _ = demo
    marks = thread.course.marks(ASSIGNMENT)
    assert {m: mark.score for m, mark in marks.items() if mark.score or m in MARKS} == MARKS
    assert all(mark.most == 15 for mark in marks.values())
    assert not any(mark.waiting for member, mark in marks.items() if member in MARKS)


@pytest.mark.parametrize("member", NOTES)
def test_demo_notes_name_what_each_member_did(demo, member):
    """The instructor's notes name the branch, never a number."""
    thread, _ = demo
    notes = thread.course.notes(ASSIGNMENT, member)
    expected = {
        f"{ASSIGNMENT}-q{i}": f"{ASSIGNMENT}-q{i}/{branch}"
        for i, branch in zip(JUDGED, NOTES[member], strict=True)
    }
    assert notes == expected


def test_demo_completion_table_agrees_with_the_gradebook(demo):
    """The table shows the gradebook's marks, and only who has theory and practical is complete."""
    thread, people = demo
    assert {p.member: p.status for p in people} == STATUS
    marks = thread.course.marks(ASSIGNMENT)
    for person in people:
        assert person.disagreement == ""
        if person.member in MARKS:
            assert f"{marks[person.member].score:g} of 15" in person.theory
    unreadable = next(p for p in people if p.member == "2090")
    assert unreadable.theory == "handed in, not readable"
    with (thread.course.folder / "completion.csv").open(encoding="utf-8-sig") as file:
        rows = {row["Member"]: row for row in csv.DictReader(file)}
    assert rows["2041"]["Status"] == "complete" and rows["2041"]["Complete until"]
    assert not rows["2058"]["Complete until"]


def test_demo_feedback_pages_give_reasons_and_no_answers(demo):
    """A feedback page has the sentence for each slip and none of the right answers."""
    thread, _ = demo
    page = thread.course.feedback_page(ASSIGNMENT, "2063").read_text(encoding="utf-8")
    for words in ("was not squared", "Half the gallonage", "sine of the angle", "length of ladder"):
        assert words.lower() in page.lower()
    shown = re.sub(r"<(style|script).*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL).replace(",", "")
    for number in (1, 2, 3, 4):
        answer = worked_answer(f"{ASSIGNMENT}-q{number}", "2063").split()[0].replace(",", "")
        assert not re.search(rf"\b{int(float(answer))}\b", shown), number
        assert not re.search(rf"\b{round(float(answer))}\b", shown), number
    assert "worked_answer" not in page
    assert not re.search(r"https?://|<script|import gradekit|In \[", page)
    comment = "You moved the nozzle at full flow: look at the recap again."
    assert comment in page and "3 of 15" in page and "I swing the nozzle over" in page


def test_demo_repairs_are_told(demo):
    """What was mended in the broken notebook stands in the run's report, and its work counts."""
    thread, _ = demo
    graded = {g.member: g for g in thread.course.grade(ASSIGNMENT)}
    told = " ".join(graded["2085"].problems)
    for words in ("there 2 times", "missing; put back", "changed; put back", "quotes were wrong"):
        assert words in told
    assert graded["2090"].status == "not readable"


def test_grading_again_changes_nothing(demo):
    """A second run leaves marks, hand-given ones too, and the register as they are."""
    thread, _ = demo
    before = thread.course.marks(ASSIGNMENT)
    register = thread.register()
    lines = len(register.all_lines())
    assert all(
        g.status in ("graded before", "not readable") for g in thread.course.grade(ASSIGNMENT)
    )
    thread.post()
    assert thread.course.marks(ASSIGNMENT) == before
    assert len(register.all_lines()) == lines
    register.close()


def _run(*words, work):
    command = [sys.executable, "-m", "gradekit.cli", *words, "--work", str(work)]
    return subprocess.run(command, capture_output=True, text=True, timeout=300)


def test_commands_walk_a_class_of_two(tmp_path):
    """The commands an instructor types, each in a process of its own, end in the table."""
    work = tmp_path / "work folder"
    roster = tmp_path / "roster.csv"
    roster.write_text("member,name\n101,Ansel Byrd-Okoro\n102,Wilhelmina Tarn\n", encoding="utf-8")
    said = _run("class", "roster", str(roster), work=work)
    assert said.returncode == 0 and "new      101" in said.stdout
    assert _run("class", "hand-out", work=work).returncode == 0
    handout = work / "class" / "handout"
    path = handout / "101" / ASSIGNMENT / f"{ASSIGNMENT}.ipynb"
    text = path.read_text(encoding="utf-8")
    assert 'member = \\"101\\"' in text and "BEGIN SOLUTION" not in text
    first = worked_answer(f"{ASSIGNMENT}-q1", "101")
    path.write_text(text.replace('reaction_1 = \\"\\"', f'reaction_1 = \\"{first}\\"'), "utf-8")
    said = _run("class", "collect", str(handout), work=work)
    assert said.stdout.count("taken") == 2
    said = _run("class", "grade", work=work)
    assert said.returncode == 0 and said.stderr == "", said.stderr
    said = _run("class", "mark", "101", "1", work=work)
    assert said.returncode == 0 and "101: 1 points" in said.stdout
    said = _run("records", "report", work=work)
    assert said.returncode == 0
    page = (work / "class" / "completion.html").read_text(encoding="utf-8")
    assert "Ansel Byrd-Okoro" in page and "0 of 2 complete" in page
    assert "not passed, 3 of 15" in page and "not passed, 0 of 15" in page


def test_commands_refuse_in_one_sentence(tmp_path):
    """What cannot be done is said without a traceback, with exit status 2."""
    for words in (
        ["class", "hand-out"],
        ["class", "collect", str(tmp_path / "nowhere")],
        ["class", "roster", str(tmp_path / "no.csv")],
        ["class", "grade", "no-such-exercise"],
        ["records", "sign-off", "1", "rotation-awareness", "--evaluator", "1"],
    ):
        said = _run(*words, work=tmp_path)
        assert said.returncode == 2, (words, said.stdout, said.stderr)
        assert "Stopped:" in said.stdout and "Traceback" not in said.stdout + said.stderr


def test_commands_show_and_void_the_register(demo, tmp_path):
    """A line is taken back with a reason, both stay to be read, and the table follows."""
    thread, _ = demo
    copy = tmp_path / "copy"
    shutil.copytree(thread.course.folder.parent, copy)
    said = _run("records", "lines", "2041", work=copy)
    number = next(x for x in said.stdout.splitlines() if "rotation-awareness" in x).split()[0]
    why = ("--reason", "wrong member", "--by", "2077")
    assert _run("records", "void", number, *why, work=copy).returncode == 0
    said = _run("records", "lines", work=copy)
    assert f"by 2077, takes back line {number}, wrong member" in said.stdout
    report = _run("records", "report", work=copy)
    assert "waiting for sign-off" in (copy / "class" / "completion.csv").read_text("utf-8-sig")
    assert ",complete," not in (copy / "class" / "completion.csv").read_text("utf-8-sig")
    assert report.returncode == 0
    who = ("2041", "rotation-awareness", "--evaluator", "2077", "--device", "Tower 3")
    assert _run("records", "sign-off", *who, "--day", "2026-10-01", work=copy).returncode == 0
    assert "held 2026-10-01, by 2077, Tower 3" in _run("records", "lines", work=copy).stdout
    said = _run("records", "void", "999", *why, work=copy)
    assert said.returncode == 2 and "does not stand" in said.stdout
