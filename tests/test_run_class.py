"""A class graded by the run: the same marks as plain nbgrader, nothing lost to a kill, a report."""

import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
import zipfile
from datetime import datetime, timedelta

import pytest
from learners.hostile_notebooks import files
from learners.notebooks import NAME, VARIABLES, answer_all, cell_of, handed_in

from gradekit import cli
from gradekit.course import Course, CourseError
from gradekit.merge import read_notebook
from gradekit.questions import papers
from gradekit.run import book, grading, marking, workers
from gradekit.run.grading import State
from gradekit.run.report import Graded, RunReport
from gradekit.run.show import describe
from gradekit.solutions import worked_answer

pytestmark = pytest.mark.thread

AUTO = len(VARIABLES)  # the first questions, two points each; later ones stay blank here
BY_HAND = next(q for q in papers()[NAME].questions if not q.judged)
WRITTEN = "I tell command, stop the flow, bring the ladder round, and open up slowly."


def right(member):
    """The right answers of a member to the questions that a machine judges."""
    return [worked_answer(f"{NAME}-q{n}", member) for n in range(1, AUTO + 1)]


def new_course(folder):
    """A course in a folder with its gradebook there, whatever the environment says."""
    return Course(folder, f"sqlite:///{folder.as_posix()}/class/gradebook.db")


def _all_right(nb, member):
    answer_all(nb, right(member))
    cell_of(
        nb, f"{BY_HAND.id.removeprefix(NAME)[1:]}-answer"
    ).source = f'{BY_HAND.variable} = """{WRITTEN}"""'


def _half(nb, member):
    answer_all(nb, [*right(member)[:2], "1 lbf", ""])


def _odd(nb, member):
    answer_all(nb, ["about 500", "'; drop table grade", "½ lbf", "-1,000 ft lb"])


def _blank(nb, member):
    pass


def _changed(nb, member):
    answer_all(nb, right(member))
    nb.cells.remove(cell_of(nb, "q2-check"))
    cell_of(nb, "q1-check").source = "2.0"


KINDS = (_all_right, _half, _odd, _blank, _changed)


def hand_in(course, members, inbox):
    """Collect a hand-in of each member, of one kind after the other."""
    released = read_notebook(course.released(NAME))
    for place, member in enumerate(members):
        path = inbox / member / f"{NAME}.ipynb"
        path.parent.mkdir(parents=True)
        path.write_text(handed_in(released, KINDS[place % len(KINDS)], member), encoding="utf-8")
        os.utime(path, (1_700_000_000 + place,) * 2)
    taken = course.collect(inbox, set(members))
    assert len(taken) == len(members) and not any(item.problem for item in taken)


def gradebook(course):
    """All that a gradebook holds of marks and comments, without its internal numbers."""
    held = {}
    with course.gradebook() as book:
        for assignment in book.assignments:
            for submission in book.assignment_submissions(assignment.name):
                key = assignment.name, submission.student.id
                held[key] = [submission.timestamp, submission.score, submission.max_score]
                for notebook in submission.notebooks:
                    for grade in sorted(notebook.grades, key=lambda g: g.name):
                        held[(*key, grade.name)] = (
                            grade.auto_score,
                            grade.manual_score,
                            grade.extra_credit,
                            grade.needs_manual_grade,
                            grade.max_score,
                        )
                    for comment in notebook.comments:
                        held[(*key, "comment", comment.name)] = (
                            comment.auto_comment,
                            comment.manual_comment,
                        )
    return held


def pages(course):
    """{member: text of the feedback page}."""
    found = (course.folder / "feedback").glob(f"*/{NAME}/{NAME}.html")
    return {p.parent.parent.name: p.read_text(encoding="utf-8") for p in found}


def checks(course, member):
    """What the autograded notebook's cells hold."""
    path = course.folder / "autograded" / member / NAME / f"{NAME}.ipynb"
    return [
        (c.id, c.source, [dict(o.get("data", {})) for o in c.get("outputs", ())])
        for c in read_notebook(path).cells
    ]


MEMBERS = [str(n) for n in range(4001, 4007)]


@pytest.fixture(scope="module")
def released(tmp_path_factory):
    """A folder in which one paper is released and nobody has handed in."""
    folder = tmp_path_factory.mktemp("class before anything")
    new_course(folder).release(NAME)
    return folder


@pytest.fixture(scope="module")
def start(released, tmp_path_factory):
    """A folder in which a class of six has handed in and nobody is graded."""
    folder = tmp_path_factory.mktemp("class of six")
    hand_in(copy_of(released, folder), MEMBERS, folder / "inbox")
    return folder


def copy_of(start, folder):
    """The same class once more, in a folder of its own."""
    shutil.copytree(start, folder, dirs_exist_ok=True)
    return new_course(folder)


@pytest.fixture(scope="module")
def fast(start, tmp_path_factory):
    """(course, report) of the class, graded by the run, with markers in processes of their own."""
    course = copy_of(start, tmp_path_factory.mktemp("fast"))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(grading, "EACH", 3)
        return course, course.run([NAME])


# --- the same as plain nbgrader -------------------------------------------------------------------


def test_run_gives_the_same_gradebook_and_pages_as_nbgraders_own(fast, start, tmp_path):
    """Cell by cell: points, comments, notebooks, feedback; a kernel for each is the reference."""
    course, report = fast
    assert [item.status for item in report.items] == ["graded"] * len(MEMBERS)
    plain = copy_of(start, tmp_path)
    slow = plain.run([NAME], slow=True)
    assert slow.items == report.items
    assert gradebook(course) == gradebook(plain) and len(gradebook(course)) > 60
    for member in MEMBERS:
        assert checks(course, member) == checks(plain, member)
    assert pages(course) == pages(plain) and len(pages(course)) == len(MEMBERS)


@pytest.mark.parametrize("kind", ["in this process", "started anew"])
def test_run_gives_the_same_wherever_it_marks(fast, start, pool, tmp_path, monkeypatch, kind):
    """Markers forked from the writer, started beside it, or the writer itself: the same of all."""
    reference, report = fast
    if kind == "started anew":
        monkeypatch.setattr(grading, "EACH", 3)
        monkeypatch.setattr(marking.threading, "active_count", lambda: 2)
    course = copy_of(start, tmp_path)
    assert course.run([NAME], executor=pool).items == report.items
    assert gradebook(course) == gradebook(reference) and pages(course) == pages(reference)


def test_run_goes_on_when_a_marker_is_killed(fast, start, pool, tmp_path, monkeypatch):
    """Another is started for the hand-in that it had in hand; nobody's mark is missing."""
    reference, report = fast
    monkeypatch.setattr(grading, "EACH", 3)
    forked, killed = marking._Forked.__init__, []

    def watch(state):
        if state.done == 2 and not killed:
            killed.append(made[0]._child)
            os.kill(made[0]._child, signal.SIGKILL)

    made = []
    monkeypatch.setattr(
        marking._Forked, "__init__", lambda self, *a: (forked(self, *a), made.append(self))[0]
    )
    course = copy_of(start, tmp_path)
    monkeypatch.setattr(marking.threading, "active_count", lambda: 1)
    assert course.run([NAME], executor=pool, watch=watch).items == report.items
    assert killed and gradebook(course) == gradebook(reference)


def test_marks_of_an_assignment_released_anew_are_not_put_into_the_gradebook(fast, tmp_path):
    """Its cells have other keys then: a mark from before belongs nowhere, and is refused in words."""
    course = copy_of(fast[0].folder.parent, tmp_path)
    with book.opened(course.address) as engine, engine.begin() as connection:
        rows = book.handed_in(connection, NAME, MEMBERS[0])
        book.replace_handed_in(connection, NAME, MEMBERS[0], rows)
    assert gradebook(course) == gradebook(fast[0])
    with course.gradebook() as held:
        held.remove_notebook(NAME, NAME)
    with book.opened(course.address) as engine, engine.connect() as connection:
        with pytest.raises(book.NotTaken, match="released anew"):
            book.replace_handed_in(connection, NAME, MEMBERS[0], rows)


def test_run_marks_are_what_the_answers_are_worth(fast):
    """Worked out by hand: two points a question, one slip none, a blank none."""
    course, _ = fast
    scores = {m: course.marks(NAME)[m].score for m in MEMBERS[:5]}
    assert scores[MEMBERS[0]] == 2 * AUTO and scores[MEMBERS[4]] == 2 * AUTO
    assert scores[MEMBERS[1]] == 4 and scores[MEMBERS[3]] == 0


def test_run_again_does_nothing_again(fast):
    """Work that is done already is not done again, and nothing in the gradebook moves."""
    course, _ = fast
    before = gradebook(course)
    report = course.run([NAME])
    assert {item.status for item in report.items} == {"graded before"}
    assert gradebook(course) == before and report.exit_status == 0


# --- files as they come ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def odd_files(released, pool, tmp_path_factory):
    """(course, {kind: member}, {member: Graded}, told at collection) with each kind of odd file."""
    folder = tmp_path_factory.mktemp("odd files")
    course = copy_of(released, folder)
    blank = read_notebook(course.released(NAME))
    who = {kind: str(6001 + place) for place, kind in enumerate(KINDS_OF_FILES)}
    for kind, member in who.items():
        name, raw, _ = files(handed_in(blank, _all_right, member))[kind]
        path = folder / "inbox" / member / name
        path.parent.mkdir(parents=True)
        path.write_bytes(raw)
    told = course.collect(folder / "inbox", set(who.values()))
    report = course.run([NAME], executor=pool)
    return course, who, {item.member: item for item in report.items}, told


KINDS_OF_FILES = list(files('{"cells": [], "metadata": {}}'))


@pytest.mark.parametrize("kind", KINDS_OF_FILES)
def test_odd_file_is_mended_or_refused_in_words(odd_files, kind):
    """Where the answers are plain they count in full; where not, owner and instructor are told."""
    course, who, graded, told = odd_files
    member = who[kind]
    _, _, readable = files('{"cells": [], "metadata": {}}')[kind]
    if readable:
        assert graded[member].status == "graded", graded[member]
        assert course.marks(NAME)[member].score == 2 * AUTO
    else:
        said = [item.problem for item in told if item.path.parent.name == member and item.problem]
        said += list(graded[member].problems) if member in graded else []
        assert said and all(len(words.split()) >= 4 for words in said)
        assert member not in course.marks(NAME)


def test_odd_files_land_nowhere_else(odd_files):
    """A zip whose paths climb, a name with a newline: all that is kept lies in the class."""
    course, who, _, _ = odd_files
    kept = course.folder / "collected" / NAME
    assert {p.name for p in kept.iterdir()} <= set(who.values())
    assert not (course.folder.parent / f"{NAME}.ipynb").exists()
    assert all("\n" not in str(p) for p in course.folder.rglob("*"))


# --- killed ---------------------------------------------------------------------------------------

RUN = (
    "import sys; from gradekit.course import Course; "
    "Course(sys.argv[1], 'sqlite:///' + sys.argv[1] + '/class/gradebook.db').run(sys.argv[2:])"
)


def run_of_its_own(course):
    """The run in a process of its own, that can be killed."""
    return subprocess.Popen(
        [sys.executable, "-W", "ignore", "-c", RUN, course.folder.parent.as_posix(), NAME],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def done_so_far(course):
    """How many members' pages there are."""
    return len(list((course.folder / "feedback").glob("*/*/*.html")))


def test_killed_again_and_again_it_ends_in_the_same_gradebook(fast, start, tmp_path):
    """SIGKILL at random moments of the writing; the run that is let be finishes what was left."""
    undisturbed, _ = fast
    course, chance = copy_of(start, tmp_path), random.Random(20261)
    for _ in range(3):
        before, run = done_so_far(course), run_of_its_own(course)
        end = time.monotonic() + 60
        while done_so_far(course) == before and run.poll() is None and time.monotonic() < end:
            time.sleep(0.005)
        time.sleep(chance.uniform(0, 0.25))
        run.send_signal(signal.SIGKILL)
        run.wait()
        for member in course.marks(NAME):
            assert not course.under_way(NAME, member)
    report = course.run([NAME])
    assert {item.status for item in report.items} <= {"graded", "graded before"}
    assert gradebook(course) == gradebook(undisturbed)
    assert pages(course) == pages(undisturbed)
    assert not list((course.folder / "under-way").rglob("*/*"))


def test_mark_in_the_middle_is_no_mark(fast, pool, tmp_path):
    """While a mark was being written when the run ended, none is shown, posted or marked by hand."""
    course = copy_of(fast[0].folder.parent, tmp_path)
    flag = course._under_way(NAME, MEMBERS[0])
    flag.parent.mkdir(parents=True, exist_ok=True)
    flag.write_text("x")
    assert MEMBERS[0] not in course.marks(NAME) and MEMBERS[1] in course.marks(NAME)
    with pytest.raises(CourseError, match="run `aerialstream class grade`"):
        course.mark_written(NAME, MEMBERS[0], BY_HAND.id, 1.0)
    report = course.run([NAME], executor=pool)
    statuses = {item.member: item.status for item in report.items}
    assert statuses[MEMBERS[0]] == "graded", report.items
    assert statuses[MEMBERS[1]] == "graded before"


def test_run_after_a_kill_waits_for_the_killed_runs_own_processes(tmp_path):
    """A process forked from a killed run still holds the lock for a moment: no refusal for that."""
    course = Course(tmp_path, f"sqlite:///{tmp_path.as_posix()}/class/gradebook.db")
    held = course.alone()
    held.__enter__()
    threading.Timer(0.3, held.__exit__, (None, None, None)).start()
    with course.alone():
        pass


def test_two_runs_at_once_are_refused(fast):
    """One writer: the second is told to wait, and the lock goes with the process that holds it."""
    course, _ = fast
    with course.alone(), pytest.raises(CourseError, match="another grading run is at work"):
        course.run([NAME])
    course.run([NAME])


# --- one bad apple ----------------------------------------------------------------------------------


def test_worker_that_fails_costs_one_member_a_sentence(start, pool, tmp_path):
    """Whatever an executor says of a job, the others' marks stand and the report says so."""

    class Unlucky:
        def submit(self, function, job):
            return pool.submit(_fail) if MEMBERS[2] in job.name else pool.submit(function, job)

    course = copy_of(start, tmp_path)
    report = course.run([NAME], executor=Unlucky())
    failed = {item.member: item for item in report.items if item.status != "graded"}
    assert set(failed) == {MEMBERS[2]} and "made to fail" in failed[MEMBERS[2]].problems[-1]
    assert report.exit_status == 1
    again = course.run([NAME], executor=pool)
    assert sum(item.status == "graded" for item in again.items) == 1 and again.exit_status == 0


def _fail():
    raise RuntimeError("made to fail")


def test_cluster_of_two_with_one_killed_on_the_way(start, tmp_path):
    """dask.distributed with two worker processes; one is killed, every mark is there."""
    distributed = pytest.importorskip("distributed")
    course = copy_of(start, tmp_path)
    cluster = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    )
    killed = []

    def watch(state):
        if state.done >= 2 and not killed:
            victim = next(iter(cluster.workers.values()))
            killed.append(victim.pid)
            os.kill(victim.pid, signal.SIGKILL)

    try:
        with workers.cluster_executor(cluster.scheduler_address) as executor:
            report = course.run([NAME], executor=executor, watch=watch)
    finally:
        cluster.close()
    assert killed and [item.status for item in report.items] == ["graded"] * len(MEMBERS)
    assert {m: mark.score for m, mark in course.marks(NAME).items()}[MEMBERS[0]] == 2 * AUTO


# --- late, zips, feedback ---------------------------------------------------------------------------


def test_late_newer_and_earlier_hand_ins_are_told_apart(released, pool, tmp_path):
    """The newest counts, the earlier is kept, and what came after the last day is called late."""
    course = copy_of(released, tmp_path)
    blank = read_notebook(course.released(NAME))
    due = datetime(2026, 3, 1, 12, 0).astimezone()
    course.set_last_day(NAME, due)
    for place, (work, after) in enumerate(((_blank, -1), (_all_right, 3))):
        path = tmp_path / f"inbox {place}" / "4001" / f"{NAME}.ipynb"
        path.parent.mkdir(parents=True)
        path.write_text(handed_in(blank, work, "4001"), encoding="utf-8")
        os.utime(path, ((due + timedelta(hours=after)).timestamp(),) * 2)
        (item,) = course.collect(path.parent.parent, {"4001"})
        assert item.late == ("3 hours" if after > 0 else "")
        (graded,) = course.run([NAME], executor=pool).items
        assert graded.late == item.late and graded.status == "graded"
    assert course.marks(NAME)["4001"].score == 2 * AUTO
    assert len(list((course.folder / "collected" / NAME / "4001").iterdir())) == 2
    assert course.last_day(NAME) == due
    course.set_last_day(NAME, None)
    assert course.run([NAME], executor=pool).items[0].late == ""


def test_hand_out_as_zips_comes_back_as_hand_ins(released, tmp_path):
    """One zip for each member, or one for all; either is collected as it is."""
    course = copy_of(released, tmp_path)
    course.hand_out(NAME, ["4001", "4002"])
    each = course.pack_handout(["4001", "4002"], each=True)
    assert [p.name for p in each] == ["4001.zip", "4002.zip"]
    (everybody,) = course.pack_handout(["4001", "4002"])
    names = zipfile.ZipFile(everybody).namelist()
    assert names == [f"{m}/{NAME}/{NAME}.ipynb" for m in ("4001", "4002")]
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    shutil.copy(everybody, inbox)
    taken = course.collect(inbox, {"4001", "4002"})
    assert sorted(item.member for item in taken) == ["4001", "4002"]


def test_feedback_zip_has_a_page_for_each_member(fast):
    """One page a member, readable on a phone, no link to anywhere, no right number for a miss."""
    course, _ = fast
    path = course.pack_feedback([NAME])
    with zipfile.ZipFile(path) as archive:
        assert archive.namelist() == [f"{m}/{NAME}.html" for m in MEMBERS]
        page = archive.read(f"{MEMBERS[1]}/{NAME}.html").decode()
    assert 'name="viewport"' in page and not re.search(r"https?://|<script|src=", page)
    assert "esson" in page
    shown = re.sub(r"<(style|script).*?</\1>|<[^>]*>", " ", page, flags=re.DOTALL).replace(",", "")
    for number in (3, 4):
        value = float(right(MEMBERS[1])[number - 1].split()[0].replace(",", ""))
        assert not re.search(rf"(?<![\d.]){value:.0f}(?!\d)", shown)


def test_feedback_before_grading_is_refused(tmp_path):
    """Nothing to send yet: one sentence."""
    with pytest.raises(CourseError, match="no feedback pages yet"):
        new_course(tmp_path).pack_feedback([NAME])


# --- report -------------------------------------------------------------------------------------------


def test_report_is_written_for_people_and_for_scripts(fast):
    """Text and JSON beside each other say the same of everybody."""
    course, report = fast
    told = json.loads((course.folder / "grading-run.json").read_text(encoding="utf-8"))
    assert {h["member"] for h in told["hand_ins"]} == set(MEMBERS)
    assert told["exit_status"] == 0
    assert report.counts()["graded"] == len(MEMBERS) and report.counts()["repaired"] == 1
    text = report.as_text()
    for item in report.items:
        assert f"{item.member}  {item.status}" in text
        assert all(problem in text for problem in item.problems)


@pytest.mark.parametrize(
    ("items", "status"),
    [
        ((), 0),
        ((Graded("1", NAME, "graded", ("mended",)),), 0),
        ((Graded("1", NAME, "graded before"),), 0),
        ((Graded("1", NAME, "not readable", ("the file is empty",)),), 1),
        ((Graded("1", NAME, "graded"), Graded("2", NAME, "grading failed")), 1),
        ((Graded("1", NAME, "graded", trouble="it did not end"),), 1),
        ((Graded("1", NAME, "older version"),), 1),
    ],
)
def test_exit_status_says_whether_somebody_needs_the_instructor(items, status):
    """0 for all well, 1 for at least one hand-in that somebody has to look at."""
    report = RunReport(items=items, started="", seconds=0, workers="", shut_in="")
    assert report.exit_status == status
    assert json.loads(report.as_json())["exit_status"] == status


def test_progress_says_what_runs_what_is_left_and_what_is_in_trouble():
    """The words beside the bar."""
    state = State(done=3, total=10, running=("1 a", "2 a", "3 a", "4 a"), in_trouble=2)
    assert describe(state) == "7 left, 2 in trouble; running: 1 a, 2 a, 3 a and 1 more"
    assert describe(State(done=1, total=1, running=(), in_trouble=0)) == "0 left"


def test_command_ends_with_a_status_and_names_the_report(tmp_path, monkeypatch, capsys):
    """`class grade` with one damaged hand-in: marks for the rest, status 1, zip of the pages."""
    roster = tmp_path / "roster.csv"
    roster.write_text("member,name\n4001,Orla Venn\n4002,Tobin Ashgrove\n", encoding="utf-8")

    def whole(words):
        return ["aerialstream", "class", *words, "--work", str(tmp_path)]

    def command(*words):
        """In this process: what the command says and how it ends."""
        monkeypatch.setattr(sys, "argv", whole(words))
        with pytest.raises(SystemExit) as end:
            cli.main()
        return end.value.code or 0, capsys.readouterr().out

    assert command("roster", str(roster))[0] == 0
    code, said = command("hand-out", "--zip", "each", "--last-day", "2026-01-05")
    assert code == 0 and "2 zip files" in said, said
    damaged = tmp_path / "class" / "handout" / "4002" / NAME / f"{NAME}.ipynb"
    damaged.write_text(damaged.read_text(encoding="utf-8")[:500], encoding="utf-8")
    assert "late by" in command("collect", str(tmp_path / "class" / "handout"))[1]
    real = [sys.executable, "-m", "gradekit.cli", *whole(["grade"])[1:]]
    said = subprocess.run(real, capture_output=True, text=True, timeout=300)
    assert said.returncode == 1 and "1 graded" in said.stdout, said.stdout + said.stderr
    assert "not readable   4002" in said.stdout and "grading-run.txt" in said.stdout
    assert command("feedback")[0] == 0 and (tmp_path / "class" / "feedback.zip").is_file()
    code, said = command("grade", "--cluster", "tcp://127.0.0.1:9")
    assert code == 2 and "Stopped:" in said


def test_first_questions_are_as_these_tests_take_them():
    """The first questions of the paper that the class works on: judged, two points, these names."""
    first = papers()[NAME].questions[:AUTO]
    assert [q.variable for q in first] == list(VARIABLES)
    assert all(q.judged and q.points == 2 for q in first)
