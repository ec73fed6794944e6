"""Sign-offs from the drill ground: every fault by row and column, all rows or none, twice is once."""

import csv
import io
import re
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from aerialstream.department import Completion, load_department
from gradekit.register import Register, RegisterError
from gradekit.roster import Member, RosterError, read_roster
from gradekit.signoffs import (
    BEFORE,
    COLUMNS,
    NEW,
    TAKEN_BACK,
    Run,
    enter,
    faults_of,
    may_sign,
    read_missed,
    read_runs,
)

ROSTER = (
    Member("0101", "Ansel", rank="Firefighter"),
    Member("102", "Ida", rank="Lieutenant"),
    Member("103", "Ole", rank="Lieutenant", active=False),
)
TODAY = date(2026, 6, 15)
E = "rotation-awareness"
GOOD = {
    "sheet": "A1", "member": "0101", "evolution": E, "evaluator": "102", "device": "Tower 3",
    "day": "2026-06-01", "result": "pass", "hours": "1.5", "conditions": "wind 5 mph",
}  # fmt: skip


@pytest.fixture(scope="module")
def department():
    return load_department()


@pytest.fixture
def register(tmp_path):
    register = Register(tmp_path)
    yield register
    register.close()


def write(tmp_path, *rows, columns=COLUMNS, delimiter=","):
    path = tmp_path / "runs.csv"
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, delimiter=delimiter)
    writer.writeheader()
    writer.writerows(rows)
    path.write_text("\ufeff" + out.getvalue(), encoding="utf-8")
    return path


def test_read_runs_of_a_spreadsheet(tmp_path, department):
    """Semicolons, a mark in front, a comma for the decimal point."""
    path = write(tmp_path, GOOD | {"hours": "1,5"}, delimiter=";")
    ((row, run),) = read_runs(path, department, ROSTER, TODAY)
    assert (row, run.member, run.hours, run.passed, run.held) == (
        2,
        "0101",
        1.5,
        True,
        "2026-06-01",
    )


def test_read_runs_missed_steps_by_number_or_words(department):
    """As ticked on the sheet, by its numbers, or written out."""
    rule = department.completion
    steps = rule.steps_of(E)
    assert read_missed("2, 3", rule, E) == (steps[1].text, steps[2].text)
    assert read_missed("2;5", rule, E) == (steps[1].text, steps[4].text)
    assert read_missed(steps[0].text, rule, E) == (steps[0].text,)
    assert read_missed("", rule, E) == ()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"member": ""}, "member: empty"),
        ({"member": "0199"}, "member: 0199 is not on the roster"),
        ({"member": "../x"}, "member: read “../x”"),
        ({"evaluator": "0101"}, "nobody signs for themselves"),
        ({"evaluator": "0101", "member": "102"}, "0101 may not sign here: rank Lieutenant"),
        ({"evaluator": "103"}, "103 is not active"),
        ({"evolution": "flying"}, "no evolution “flying”"),
        ({"device": "Tower 9"}, "no device “Tower 9”"),
        ({"day": "06/01/2026"}, "day: read “06/01/2026”"),
        ({"day": "2026-02-30"}, "day: read “2026-02-30”"),
        ({"day": "2026-06-16"}, "has not been yet"),
        ({"day": "1901-01-01"}, "too long ago"),
        ({"result": "ok"}, "result: read “ok”"),
        ({"result": ""}, "result: empty"),
        ({"missed": "2"}, "a critical step was missed: that is no pass"),
        ({"missed": "4", "result": "no pass"}, "no critical step “Turns the nozzle slowly"),
        ({"missed": "99", "result": "no pass"}, "no critical step “99”"),
        ({"hours": "many"}, "hours: read “many”"),
        ({"hours": "0"}, "hours: read “0”"),
        ({"hours": "25"}, "hours: read “25”"),
        ({"sheet": "A 1"}, "sheet: read “A 1”"),
        ({"remark": "x" * 2001}, "remark: longer than"),
    ],
)
def test_read_runs_names_row_and_column(tmp_path, department, change, words):
    """The second row has the fault; nothing of the file is given."""
    path = write(tmp_path, GOOD, GOOD | {"sheet": "A2"} | change)
    with pytest.raises(RegisterError) as caught:
        read_runs(path, department, ROSTER, TODAY)
    said = str(caught.value)
    assert words in said and "row 3" in said and "row 2," not in said and "nothing entered" in said


def test_read_runs_names_all_faults_at_once(tmp_path, department):
    """Three faults in two rows, and one sheet twice."""
    path = write(tmp_path, GOOD | {"member": "9", "day": "x"}, GOOD | {"result": "maybe"})
    with pytest.raises(RegisterError) as caught:
        read_runs(path, department, ROSTER, TODAY)
    said = str(caught.value)
    assert len(re.findall("row 2", said)) >= 1 and "result: read “maybe”" in said
    path = write(tmp_path, GOOD, GOOD)
    with pytest.raises(RegisterError, match="row 3, sheet: A1 is in row 2 already"):
        read_runs(path, department, ROSTER, TODAY)


@pytest.mark.parametrize(
    "raw",
    [b"", b"member\n", "sheet,member\nä".encode("latin-1"), b"a,b\n1,2\n", b"\x00\x01\x02\n\xff"],
)
def test_read_runs_what_is_no_list_is_refused(tmp_path, department, raw):
    """In words, with the file's name."""
    path = tmp_path / "runs.csv"
    path.write_bytes(raw)
    with pytest.raises(RegisterError, match=r"runs\.csv"):
        read_runs(path, department, ROSTER, TODAY)


@pytest.mark.parametrize(
    "change, words",
    [
        ({"member": "101"}, "the roster has 0101: did a spreadsheet drop the zeros?"),
        ({"day": "6/1/2026"}, "a column that is set to text"),
        ({"remark": "late \u202egnitide"}, "a sign that cannot be seen (U+202E)"),
        ({"evaluator": "103"}, "list them as active, enter it"),
    ],
)
def test_read_runs_says_what_to_do(tmp_path, department, change, words):
    """What a spreadsheet did, a sign that turns the line round, an evaluator who has left."""
    with pytest.raises(RegisterError, match=re.escape(words)):
        read_runs(write(tmp_path, GOOD | change), department, ROSTER, TODAY)


def test_printed_sheets_that_were_not_used_are_passed_over(tmp_path, department):
    """Sheets for all, three came: the other rows have only what was printed, and are no fault."""
    blank = {"sheet": "A2", "member": "0101", "evolution": E}
    runs = read_runs(write(tmp_path, GOOD, blank), department, ROSTER, TODAY)
    assert [(row, run.sheet) for row, run in runs] == [(2, "A1")]
    with pytest.raises(RegisterError, match="row 2, evaluator: empty"):
        read_runs(write(tmp_path, blank | {"result": "pass"}), department, ROSTER, TODAY)


def test_enter_twice_is_once(tmp_path, department, register):
    """The same file, sent again, adds nothing; without a sheet's number neither."""
    rows = (GOOD, GOOD | {"sheet": "", "day": "2026-06-02"})
    runs = read_runs(write(tmp_path, *rows), department, ROSTER, TODAY)
    first, second = enter(register, runs), enter(register, runs)
    assert [(line, state) for _, line, state in first] == [(1, NEW), (2, NEW)]
    assert [(line, state) for _, line, state in second] == [(1, BEFORE), (2, BEFORE)]
    assert len(register.all_lines()) == 2


def test_enter_a_sheet_with_other_words_is_refused_whole(tmp_path, department, register):
    """A sheet that was changed afterwards is told, and the good row beside it is not entered."""
    enter(register, read_runs(write(tmp_path, GOOD), department, ROSTER, TODAY))
    changed = GOOD | {"result": "no pass"}
    runs = read_runs(write(tmp_path, GOOD | {"sheet": "A2"}, changed), department, ROSTER, TODAY)
    with pytest.raises(
        RegisterError, match="row 3: sheet A1 is line 1 already, with another result"
    ):
        enter(register, runs, "runs.csv")
    assert len(register.all_lines()) == 1


def test_enter_voided_run_does_not_come_back_by_the_file(tmp_path, department, register):
    """Taken back stays taken back; a run typed in singly is entered anew."""
    runs = read_runs(write(tmp_path, GOOD | {"sheet": ""}), department, ROSTER, TODAY)
    enter(register, runs)
    register.void(1, "wrong member")
    assert enter(register, runs)[0][2] == TAKEN_BACK and register.lines() == []
    assert enter(register, runs, again=True)[0][2] == NEW
    assert enter(register, runs, again=True)[0][2] == BEFORE
    assert [e.line for e in register.lines()] == [3]


def test_missed_step_stands_in_the_register(department, register):
    """What was missed can be read years later."""
    text = department.completion.steps_of(E)[0].text
    run = Run("0101", E, "102", passed=False, missed=(text,), held="2026-06-01")
    assert faults_of(run, department, ROSTER, TODAY) == []
    enter(register, [(1, run)])
    assert register.lines()[0].missed_steps == (text,)


def test_may_sign_by_rank_number_or_anybody():
    """No rule: anybody else. With one: rank or number."""
    rule = load_department().completion
    free = rule.model_copy(update={"evaluator_ranks": ()})
    named = free.model_copy(update={"evaluators": ("a-7",)})
    assert may_sign(free, Member("1")) and not may_sign(rule, Member("1", rank="Engineer"))
    assert may_sign(rule, Member("1", rank="Lieutenant"))
    assert may_sign(named, Member("A-7")) and not may_sign(named, Member("8"))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"lasts": {"flying": 3}}, "lasts: flying is not required"),
        ({"refresher": [{"id": "r", "kind": "theory", "renews": [E], "lasts_months": 3}]},
         "is no theory part"),
        ({"sessions": ["nozzle-reaction"]}, "stands twice"),
        ({"evolution": [{"id": "x", "title": "X", "steps": [{"text": "a"}]}]}, "evolution: x"),
    ],
)  # fmt: skip
def test_rule_with_names_that_do_not_fit_is_refused(change, words):
    """A rule may only speak of parts that it needs; theory and practical stay apart."""
    plain = {
        "pass_mark": "80 %", "least_written": "50 %", "theory_lasts_months": 24,
        "practical_lasts_months": 12, "assignments": ["nozzle-reaction"], "evolutions": [E],
    }  # fmt: skip
    Completion.model_validate(plain)
    with pytest.raises(ValueError, match=words):
        Completion.model_validate(plain | change)


# --- hostile files ------------------------------------------------------------------------------

CELL = st.one_of(
    st.sampled_from(["", "0101", "102", E, "pass", "2026-06-01", "Tower 3", "1", "=1+1", "'"]),
    st.text(max_size=30),
)
quick = settings(
    max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@quick
@given(rows=st.lists(st.fixed_dictionaries({c: CELL for c in COLUMNS}), max_size=4))
def test_read_runs_of_any_cells_gives_runs_or_named_faults(tmp_path, department, rows):
    """Either every row is a run that may be entered, or a refusal that names rows."""
    path = write(
        tmp_path, *({k: v.encode("utf-8", "replace").decode() for k, v in r.items()} for r in rows)
    )
    try:
        runs = read_runs(path, department, ROSTER, TODAY)
    except RegisterError as error:
        assert "runs.csv" in str(error)
        return
    assert all(faults_of(run, department, ROSTER, TODAY) == [] for _, run in runs)


@quick
@given(raw=st.binary(max_size=300))
def test_hostile_bytes_are_refused_in_words(tmp_path, department, raw):
    """Neither list falls over on any bytes."""
    path = tmp_path / "any.csv"
    path.write_bytes(raw)
    with pytest.raises(RegisterError, match=r"any\.csv"):
        read_runs(path, department, ROSTER, TODAY)
    with pytest.raises(RosterError, match=r"any\.csv"):
        read_roster(path)


@quick
@given(
    head=st.permutations(["member", "name", "active", "company"]),
    rows=st.lists(st.lists(CELL, max_size=6), max_size=5),
    delimiter=st.sampled_from(",;\t"),
)
def test_read_roster_of_any_cells_gives_members_or_named_faults(tmp_path, head, rows, delimiter):
    """Every number that is read is a number, each once; else rows and columns are named."""
    path = tmp_path / "roster.csv"
    out = io.StringIO()
    csv.writer(out, delimiter=delimiter).writerows([head, *rows])
    path.write_bytes(out.getvalue().encode("utf-8", "replace"))
    try:
        members = read_roster(path)
    except RosterError as error:
        assert "roster.csv" in str(error)
        return
    numbers = [m.member for m in members]
    assert all(re.fullmatch(r"[A-Z0-9][A-Z0-9-]{0,19}", n) for n in numbers)
    assert len(numbers) == len(set(numbers))
