"""The register: it only grows, and every line can be traced."""

from datetime import date

import pytest
from sqlalchemy import Engine, event

from gradekit.course import Mark
from gradekit.register import NOT_PASSED, PASSED, Register, RegisterError, months_later

FULL = Mark("101", "nozzle-reaction", 10.0, 10.0, False)


@pytest.fixture
def statements():
    """Every SQL statement that any engine runs during the test."""
    seen = []

    def note(connection, cursor, statement, parameters, context, executemany):
        seen.append(statement)

    event.listen(Engine, "before_cursor_execute", note)
    yield seen
    event.remove(Engine, "before_cursor_execute", note)


@pytest.fixture
def register(tmp_path):
    """An empty register."""
    register = Register(tmp_path)
    yield register
    register.close()


def mark(score, member="101", waiting=False):
    return Mark(member, "nozzle-reaction", score, 10.0, waiting)


def test_register_whole_life_only_ever_inserts(statements, tmp_path):
    """Marks, sign-offs, corrections, reading, reopening: no UPDATE, no DELETE, no REPLACE."""
    Register(tmp_path).close()  # makes the tables
    statements.clear()
    register = Register(tmp_path)
    register.post_theory(mark(5), 0.8, "v1")
    line = register.post_theory(mark(9), 0.8, "v2")
    register.post_theory(mark(9), 0.8, "v2")
    register.sign_off("101", "rotation-awareness", "102", "Tower 3", passed=False)
    register.void(line, "wrong notebook")
    register.close()
    again = Register(tmp_path)
    assert len(again.all_lines()) == 4
    again.close()
    verbs = {statement.split()[0].upper() for statement in statements}
    assert "INSERT" in verbs and verbs <= {"INSERT", "SELECT", "PRAGMA", "BEGIN"}


def test_register_line_numbers_grow_and_lines_stay_equal(register):
    """What was read once reads the same after anything that is entered later."""
    register.post_theory(mark(5), 0.8, "v1")
    before = register.all_lines()
    register.sign_off("101", "rotation-awareness", "102")
    register.void(1, "mistyped")
    after = register.all_lines()
    assert after[: len(before)] == before
    assert [e.line for e in after] == [1, 2, 3]


def test_void_takes_a_line_back_and_leaves_both_readable(register):
    """The voided line no longer stands; it, its voiding and the reason can still be read."""
    line = register.post_theory(mark(9), 0.8, "v1")
    voiding = register.void(line, "handed in for somebody else")
    assert register.lines() == []
    old, new = register.all_lines()
    assert (old.line, old.outcome, old.score) == (line, PASSED, 9)
    assert (new.line, new.voids, new.remark) == (voiding, line, "handed in for somebody else")


@pytest.mark.parametrize("reason", ["", "   ", "\n"])
def test_void_without_a_reason_is_refused(register, reason):
    """No reason, no correction."""
    line = register.post_theory(mark(9), 0.8, "v1")
    with pytest.raises(RegisterError, match="needs a reason"):
        register.void(line, reason)
    assert len(register.all_lines()) == 1


def test_void_of_what_does_not_stand_is_refused(register):
    """A line that is not there, is void already, or is itself a voiding cannot be voided."""
    line = register.post_theory(mark(9), 0.8, "v1")
    voiding = register.void(line, "mistyped")
    for number in (99, line, voiding):
        with pytest.raises(RegisterError, match="does not stand"):
            register.void(number, "again")


def test_post_theory_same_mark_is_not_entered_twice(register):
    """A grading run that changes nothing adds nothing; another hand-in or member adds a line."""
    assert register.post_theory(mark(9), 0.8, "v1") == 1
    assert register.post_theory(mark(9), 0.8, "v1") is None
    assert register.post_theory(mark(9), 0.8, "v2") == 2
    assert register.post_theory(mark(9, member="102"), 0.8, "v2") == 3


def test_post_theory_corrected_mark_voids_the_line_it_corrects(register):
    """One hand-in has one standing line; both marks stay readable, in either direction."""
    for score, outcome in ((10, PASSED), (5, NOT_PASSED), (10, PASSED)):
        register.post_theory(mark(score), 0.8, "v1")
        (standing,) = register.lines()
        assert (standing.score, standing.outcome) == (score, outcome)
    assert [e.score for e in register.all_lines() if e.voids is None] == [10, 5, 10]


def test_post_theory_same_points_otherwise_split_are_entered(register):
    """8 of 10 without the written part is no pass; 8 of 10 with it is."""
    split = [Mark("101", "nozzle-reaction", 8.0, 10.0, False, w, 2.0) for w in (0.0, 1.0)]
    for given, outcome in zip(split, (NOT_PASSED, PASSED), strict=True):
        register.post_theory(given, 0.8, "v1", least_written=0.5)
        (standing,) = register.lines()
        assert standing.outcome == outcome


@pytest.mark.parametrize("waiting", [mark(8, waiting=True), Mark("101", "x", 0.0, 0.0, False)])
def test_post_theory_mark_that_is_not_final_is_not_entered(register, waiting):
    """A mark that waits for the marker, or of an exercise without points, is no evidence."""
    assert register.post_theory(waiting, 0.8, "v1") is None
    assert register.all_lines() == []


@pytest.mark.parametrize(
    ("score", "outcome"), [(8.0, PASSED), (7.99, NOT_PASSED), (0.0, NOT_PASSED), (10.0, PASSED)]
)
def test_post_theory_pass_mark_exactly_met_is_a_pass(register, score, outcome):
    """80 percent of 10 points is 8; that is enough, and a hundredth less is not."""
    register.post_theory(mark(score), 0.8, "v1")
    assert register.lines()[0].outcome == outcome


def test_post_theory_pass_mark_that_no_float_meets_exactly(register):
    """70 percent of 9 points is 6.3, though 0.7 × 9 is a little less or more in the machine."""
    register.post_theory(Mark("101", "x", 6.3, 9.0, False), 0.7, "v1")
    assert register.lines()[0].outcome == PASSED


@pytest.mark.parametrize(("member", "evaluator"), [("A-12", "A-12"), ("A-12", "a-12"), ("7", " 7")])
def test_sign_off_for_oneself_is_refused(register, member, evaluator):
    """The evaluator is another member, however the number is typed."""
    with pytest.raises(RegisterError, match="nobody signs for themselves"):
        register.sign_off(member, "rotation-awareness", evaluator)
    assert register.all_lines() == []


@pytest.mark.parametrize(
    "parts", [("", "e", "2"), ("1", "", "2"), ("1", "e", ""), ("1", "e", None)]
)
def test_sign_off_with_a_name_missing_is_refused(register, parts):
    """Member, evolution and evaluator are all needed."""
    with pytest.raises(RegisterError, match="all needed"):
        register.sign_off(*parts)


def test_register_texts_are_data_not_statements(register):
    """Quotes and statements in a remark are kept as text."""
    nasty = "'); DROP TABLE evidence; --"
    register.sign_off("1", "rotation-awareness", "2", device=nasty, remark=nasty)
    assert register.lines()[0].remark == nasty == register.lines()[0].device


# Typed in from a calendar: day, months on, the day it falls on.
CALENDAR = """
2023-01-15  1 2023-02-15
2023-01-31  1 2023-02-28
2024-01-31  1 2024-02-29
2023-01-30  1 2023-02-28
2024-01-29  1 2024-02-29
2023-01-29  1 2023-02-28
2023-03-31  1 2023-04-30
2023-05-31 12 2024-05-31
2024-02-29 12 2025-02-28
2024-02-29 24 2026-02-28
2024-02-29 48 2028-02-29
2023-02-28 12 2024-02-28
2023-12-31  2 2024-02-29
2022-12-31  2 2023-02-28
2023-11-30  3 2024-02-29
2023-10-31  1 2023-11-30
2023-12-01  1 2024-01-01
2023-12-31 12 2024-12-31
2023-06-30 18 2024-12-30
2023-08-31 18 2025-02-28
2099-12-31  2 2100-02-28
2023-07-04  0 2023-07-04
""".split()


@pytest.mark.parametrize(
    ("day", "months", "expected"), list(zip(*[iter(CALENDAR)] * 3, strict=True))
)
def test_months_later_month_ends_and_leap_days(day, months, expected):
    """The same day of the month; the month's last day where it has none."""
    found = months_later(date.fromisoformat(day), int(months))
    assert found.isoformat() == expected


def test_voided_mark_does_not_come_back_by_itself(register):
    """A hand-in whose line somebody took back is not entered again; a new hand-in is."""
    line = register.post_theory(mark(9), 0.8, "v1")
    register.void(line, "handed in for somebody else")
    assert register.post_theory(mark(9), 0.8, "v1") is None
    assert register.lines() == []
    assert register.post_theory(mark(9), 0.8, "v2") is not None


def test_sign_off_counts_from_the_day_it_was_held(register):
    """A drill typed in later lapses by its own day."""
    register.sign_off("101", "rotation-awareness", "102", held="2024-05-01")
    (line,) = register.lines()
    assert line.day == date(2024, 5, 1)
