"""The completion table: each status, what lapses when, and what is kept out of the databases."""

import csv
import sqlite3
from datetime import date
from types import SimpleNamespace

import pytest

from aerialstream.department import load_department
from gradekit.completion import (
    COLUMNS,
    COMPLETE,
    DUE_SOON,
    LAPSED,
    NOT_STARTED,
    THEORY_DONE,
    UNDER_WAY,
    WAITING_FOR_SIGN_OFF,
    WAITING_FOR_THEORY,
    Standing,
    post_marks,
    standings,
    write_csv,
    write_page,
)
from gradekit.course import Course, Mark
from gradekit.demo import short_course
from gradekit.register import Register
from gradekit.roster import Member

NAME, EVOLUTION = "nozzle-reaction", "rotation-awareness"


class ToyCourse:
    """A course as far as the table reads it: marks and hand-ins that a test sets."""

    def __init__(self, folder):
        self.scores, self.states = {}, {}
        self._file = folder / "released.ipynb"
        self._file.write_text("{}")

    def released(self, assignment):
        return self._file

    def graded_version(self, assignment, member):
        return f"v1 {self.scores[member].score}"  # another mark is another hand-in here

    def marks(self, assignment):
        return self.scores

    def hand_in_state(self, assignment, member):
        return self.states.get(member, "nothing handed in")


@pytest.fixture
def place(tmp_path):
    """Course, register and a department: pass 80 %, theory 24 months, practical 12."""
    demo = load_department(short_course(tmp_path / "department"))
    rule = demo.completion
    assert (rule.pass_mark.to("").magnitude, rule.theory_lasts_months) == (pytest.approx(0.8), 24)
    assert rule.practical_lasts_months == 12
    assert (rule.assignments, rule.evolutions) == ((NAME,), (EVOLUTION,))
    register = Register(tmp_path)
    yield SimpleNamespace(course=ToyCourse(tmp_path), register=register, department=demo)
    register.close()


def entered(place, day, kind, passed=True, score=9.0, member="101"):
    """A line as if it had been entered on that day."""
    theory = kind == "theory"
    return place.register._add(
        entered=f"{day}T09:00:00+00:00",
        member=member,
        kind=kind,
        objective=NAME if theory else EVOLUTION,
        outcome="passed" if passed else "not passed",
        score=score if theory else None,
        most=10.0 if theory else None,
        evaluator="" if theory else "102",
    )


def mark(place, score, waiting=False, member="101"):
    place.course.scores[member] = Mark(member, NAME, score, 10.0, waiting)
    place.course.states[member] = "handed in, not graded"


def standing(place, today="2024-06-01", member="101"):
    (found,) = standings(
        place.course, place.register, place.department, (Member(member),),
        date.fromisoformat(today),
    )  # fmt: skip
    return found


def test_standing_nothing_at_all_is_not_started(place):
    """No line and no hand-in."""
    found = standing(place)
    assert (found.status, found.theory, found.practical) == (
        NOT_STARTED, "nothing handed in", "no sign-off",
    )  # fmt: skip
    assert found.until is None


def test_standing_hand_in_alone_is_under_way(place):
    """Handed in, not graded yet."""
    place.course.states["101"] = "handed in, not readable"
    found = standing(place)
    assert (found.status, found.theory) == (UNDER_WAY, "handed in, not readable")


def test_standing_waiting_mark_is_under_way_and_not_entered(place):
    """A full mark that waits for the marker completes nothing yet."""
    mark(place, 8, waiting=True)
    assert post_marks(place.course, place.register, place.department) == []
    found = standing(place)
    assert (found.status, found.theory) == (UNDER_WAY, "8 of 10, waiting for marking")
    assert found.disagreement == ""


def test_standing_theory_alone_waits_for_sign_off(place):
    """Theory never stands for the practical."""
    mark(place, 9)
    entered(place, "2024-05-01", "theory")
    found = standing(place)
    assert (found.status, found.until) == (WAITING_FOR_SIGN_OFF, None)


def test_standing_practical_alone_waits_for_theory(place):
    """The practical never stands for the theory."""
    entered(place, "2024-05-01", "practical")
    found = standing(place)
    assert (found.status, found.practical) == (
        WAITING_FOR_THEORY, "signed 2024-05-01 by 102",
    )  # fmt: skip


def test_standing_both_is_complete_until_the_first_lapses(place):
    """Theory of May 2024 lasts to May 2026, the practical to May 2025: complete until then."""
    mark(place, 9)
    entered(place, "2024-05-01", "theory")
    entered(place, "2024-05-20", "practical")
    found = standing(place)
    assert (found.status, found.until) == (COMPLETE, date(2025, 5, 20))
    assert found.theory == "done 2024-05-01, 9 of 10"


@pytest.mark.parametrize(
    ("theory", "practical", "today", "status"),
    [
        ("2024-02-29", "2025-03-01", "2025-12-29", COMPLETE),  # 61 days left
        ("2024-02-29", "2025-03-01", "2025-12-30", DUE_SOON),  # 60 days left
        ("2024-02-29", "2025-03-01", "2026-02-28", DUE_SOON),  # the last day counts
        ("2024-02-29", "2025-03-01", "2026-03-01", LAPSED),
        ("2024-01-31", "2024-02-29", "2025-02-28", DUE_SOON),
        ("2024-01-31", "2024-02-29", "2025-03-01", LAPSED),
        ("2020-01-01", "2024-05-01", "2024-06-01", LAPSED),
        ("2024-05-01", "2020-01-01", "2024-06-01", LAPSED),
    ],
)
def test_standing_lapses_by_date(place, theory, practical, today, status):
    """On the last day it stands; on the next it does not."""
    mark(place, 9)
    entered(place, theory, "theory")
    entered(place, practical, "practical")
    assert standing(place, today).status == status


def test_standing_lapsed_practical_without_theory_is_under_way(place):
    """What has lapsed waits for nothing: both are needed again."""
    entered(place, "2020-01-01", "practical")
    assert standing(place).status == UNDER_WAY


def test_standing_lapsed_theory_without_practical_is_under_way(place):
    """The same the other way round."""
    mark(place, 9)
    entered(place, "2020-01-01", "theory")
    assert standing(place).status == UNDER_WAY


def test_standing_failed_practical_is_under_way(place):
    """Run but not passed is said so; a later pass counts."""
    entered(place, "2024-05-01", "practical", passed=False)
    found = standing(place)
    assert (found.status, found.practical) == (UNDER_WAY, "not passed 2024-05-01 by 102")
    entered(place, "2024-05-02", "practical")
    assert standing(place).status == WAITING_FOR_THEORY


def test_standing_practical_failed_after_a_pass_counts(place):
    """The latest run on the drill ground counts: a later "not passed" takes the pass away."""
    mark(place, 9)
    entered(place, "2024-05-01", "theory")
    entered(place, "2024-05-02", "practical")
    assert standing(place).status == COMPLETE
    entered(place, "2024-05-03", "practical", passed=False)
    assert standing(place).status == THEORY_DONE  # to be run again, not only to be signed


def test_standing_unsound_written_answer_is_no_pass(place):
    """8 of 10 meets the pass mark, but not with 0 of 2 for the judgement in words."""
    full = Mark("101", NAME, 8.0, 10.0, False, 0.0, 2.0)
    half = Mark("101", NAME, 9.0, 10.0, False, 1.0, 2.0)
    for given, outcome in ((full, "not passed"), (half, "passed")):
        line = place.register.post_theory(given, 0.8, "v1", least_written=0.5)
        (entry,) = [e for e in place.register.lines() if e.line == line]
        assert entry.outcome == outcome
        assert ("written answer" in entry.remark) is (outcome == "not passed")


def test_standing_retake_after_a_fail_counts(place):
    """Not passed first, passed then: done."""
    mark(place, 5)
    post_marks(place.course, place.register, place.department)
    assert standing(place, "2099-01-01").theory == "not passed, 5 of 10"
    mark(place, 8)
    post_marks(place.course, place.register, place.department)
    today = date.today().isoformat()
    found = standing(place, today)
    assert (found.status, found.theory) == (WAITING_FOR_SIGN_OFF, f"done {today}, 8 of 10")
    assert len(place.register.lines()) == 2


def test_standing_pass_is_kept_after_a_worse_try(place):
    """A later, worse try is entered, but takes nothing away."""
    for score in (9, 4):
        mark(place, score)
        post_marks(place.course, place.register, place.department)
    today = date.today().isoformat()
    found = standing(place, today)
    assert (found.status, found.theory, found.disagreement) == (
        WAITING_FOR_SIGN_OFF, f"done {today}, 9 of 10", "",
    )  # fmt: skip


def test_standing_voided_line_no_longer_counts(place):
    """A sign-off that was taken back is gone from the table."""
    line = entered(place, "2024-05-01", "practical")
    place.register.void(line, "wrong member")
    assert standing(place).practical == "no sign-off"


@pytest.mark.parametrize("lines", [[], [7.0]])
def test_standing_disagreement_with_the_gradebook_is_shown(place, lines):
    """Gradebook and register differ: both numbers are shown."""
    mark(place, 9)
    for score in lines:
        entered(place, "2024-05-01", "theory", passed=False, score=score)
    said = standing(place).disagreement
    assert "gradebook 9" in said and ("register 7" if lines else "register no line") in said


def test_standings_leave_out_the_inactive_and_mix_up_nobody(place):
    """One row for each active member, in the roster's order, each with their own lines."""
    entered(place, "2024-05-01", "practical", member="102")
    roster = (Member("103"), Member("102"), Member("101", active=False), Member("10"))
    found = standings(place.course, place.register, place.department, roster, date(2024, 6, 1))
    assert [(p.member, p.status) for p in found] == [
        ("103", NOT_STARTED), ("102", WAITING_FOR_THEORY), ("10", NOT_STARTED),
    ]  # fmt: skip


# --- the table as files -----------------------------------------------------------------------

NASTY = ['=HYPERLINK("http://x")', "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", 'a"b,c\nd', "<b>x</b>"]


def test_write_csv_names_like_formulas_are_harmless(tmp_path):
    """No cell begins with what a spreadsheet would run, and nothing is lost from the text."""
    people = [Standing(str(n), name, "", "", COMPLETE) for n, name in enumerate(NASTY)]
    write_csv(tmp_path / "table.csv", people)
    raw = (tmp_path / "table.csv").read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    with (tmp_path / "table.csv").open(encoding="utf-8-sig", newline="") as file:
        heading, *rows = csv.reader(file)
    assert tuple(heading) == COLUMNS
    assert all(cell[:1] not in tuple("=+-@\t\r") for row in rows for cell in row)
    assert [row[1].removeprefix("'") for row in rows] == NASTY


def test_write_page_names_are_text_not_markup(tmp_path, place):
    """A name with angle brackets is shown as it is written; the page permits nobody anything."""
    people = [Standing("1", "<script>alert(1)</script>", "<i>", "", COMPLETE, date(2025, 1, 2))]
    write_page(tmp_path / "table.html", people, place.department, date(2024, 6, 1))
    page = (tmp_path / "table.html").read_text(encoding="utf-8")
    assert "<script>alert" not in page and "<i>" not in page and "&lt;script&gt;" in page
    assert "1 of 1 complete" in page and "2025-01-02" in page and "80 percent" in page
    assert "http" not in page


# --- privacy ----------------------------------------------------------------------------------


def test_databases_hold_numbers_and_no_names(tmp_path):
    """Names stand in the roster file only: neither gradebook nor register knows one."""
    from gradekit.cli import Thread, sign_off

    roster = tmp_path / "roster.csv"
    names = ("Quillon Vexmoor", "Zebedee Thistlewhite")
    roster.write_text(
        f"member,name,rank\n7101,{names[0]},\n7102,{names[1]},Lieutenant\n", encoding="utf-8"
    )
    address = f"sqlite:///{(tmp_path / 'work' / 'class' / 'gradebook.db').as_posix()}"
    thread = Thread(tmp_path / "work", None, address)
    assert isinstance(thread.course, Course)
    thread.take_roster(roster)
    sign_off(thread, "7101", EVOLUTION, "7102", "Tower 3")
    found = 0
    for path in thread.course.folder.rglob("*"):
        if path.suffix in (".db", ".log", ".db-wal") and path.is_file():
            raw = path.read_bytes()
            found += b"7101" in raw
            for word in " ".join(names).split():
                assert word.encode() not in raw, (path.name, word)
    assert found >= 2
    with sqlite3.connect(thread.course.folder / "gradebook.db") as gradebook:
        row = gradebook.execute("select * from student where id = '7101'").fetchone()
    assert {value for value in row if value} == {"7101"}
