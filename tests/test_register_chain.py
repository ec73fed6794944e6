"""The chain of the register: whatever is changed is found, whatever was written is kept."""

import hashlib
import json
import sqlite3

import pytest
from sqlalchemy.exc import IntegrityError

from gradekit.course import Mark
from gradekit.register import Register, RegisterError, UnreadableRegister


@pytest.fixture
def register(tmp_path):
    """A register with eight lines of several kinds."""
    register = Register(tmp_path)
    fill(register)
    yield register
    register.close()


def fill(register):
    register.post_theory(Mark("101", "nozzle-reaction", 9.0, 10.0, False), 0.8, "v1")
    register.sign_off("101", "rotation-awareness", "102", "Tower 3", held="2026-05-01", hours=1.5)
    register.sign_off(
        "103", "rotation-awareness", "102", passed=False, missed=("pins",), remark="x"
    )
    register.attend("103", "refresher", "102", hours=2)
    register.void(3, "wrong member")
    register.waive("103", "nozzle-reaction", "102", "taught it for ten years")
    register.sign_off("104", "rotation-awareness", "102", conditions="wind 10 mph", token="sheet 7")
    register.note_export("102", "csv", 7, "ab" * 32)


def tamper(folder, *statements):
    """Change the file behind the register's back, its locks taken off first."""
    with sqlite3.connect(folder / "register.db") as file:
        for verb in ("UPDATE", "DELETE"):
            file.execute(f"DROP TRIGGER IF EXISTS evidence_{verb}")
        for statement in statements:
            file.execute(statement)


def test_chain_of_untouched_lines_is_whole(register):
    """Eight lines of every kind: the walk reaches the last."""
    verdict = register.verify()
    assert (verdict.whole, verdict.lines) == (True, 8)
    assert verdict.head == register.all_lines()[-1].digest


def test_digest_is_what_the_description_says(register, tmp_path):
    """An auditor's own sum, from the file alone: SHA-256 of a JSON list, as chain.py describes."""
    with sqlite3.connect(tmp_path / "register.db") as file:
        file.row_factory = sqlite3.Row
        rows = file.execute("SELECT * FROM evidence ORDER BY line").fetchall()
        words = {r["line"]: r for r in file.execute("SELECT * FROM words")}
    before = ""
    order = (
        "line entered member kind objective outcome score most content_version evaluator device "
        "held voids attempt hours missed token words_digest"
    ).split()
    for row in rows:
        listed = ["register line 1", before, *(row[name] for name in order)]
        raw = json.dumps(listed, ensure_ascii=False, separators=(",", ":")).encode()
        before = hashlib.sha256(raw).hexdigest()
        assert row["digest"] == before
        if row["line"] in words:
            said = words[row["line"]]
            listed = [said["salt"], said["remark"], said["conditions"]]
            raw = json.dumps(listed, ensure_ascii=False, separators=(",", ":")).encode()
            assert row["words_digest"] == hashlib.sha256(raw).hexdigest()


@pytest.mark.parametrize(
    "change",
    [
        "entered = '2020-01-01T00:00:00+00:00'", "member = '999'", "kind = 'theory'",
        "objective = 'other'", "outcome = 'passed'", "score = 10.0", "most = 20.0",
        "content_version = 'v9'", "evaluator = '105'", "device = 'Tower 4'",
        "held = '2026-06-01'", "voids = 1", "attempt = 7", "hours = 9.0", "missed = ''",
        "token = 'sheet 1'", "words_digest = ''", "digest = 'x'",
    ],
)  # fmt: skip
def test_chain_names_the_line_with_a_changed_field(register, tmp_path, change):
    """Each field of line 3, changed in the file, is found at line 3."""
    tamper(tmp_path, f"UPDATE evidence SET {change} WHERE line = 3")
    verdict = register.verify()
    assert (verdict.whole, verdict.broken, verdict.lines) == (False, 3, 2)


def test_chain_finds_lines_taken_out_put_in_or_swapped(register, tmp_path):
    """A line that is gone, one that was never written, two that changed places."""
    tamper(tmp_path, "DELETE FROM evidence WHERE line = 4")
    assert register.verify().broken == 4
    tamper(
        tmp_path,
        "INSERT INTO evidence SELECT 4, entered, member, kind, objective, outcome, score, most, "
        "content_version, evaluator, device, held, voids, attempt, hours, missed, 'n', "
        "words_digest, digest FROM evidence WHERE line = 2",
    )
    assert register.verify().broken == 4


def test_chain_finds_a_changed_or_vanished_remark(register, tmp_path):
    """A remark that was changed, or that is gone though nobody asked for its erasure."""
    tamper(tmp_path, "UPDATE words SET remark = 'y' WHERE line = 3")
    assert (register.verify().broken, "changed" in register.verify().why) == (3, True)
    tamper(tmp_path, "DELETE FROM words WHERE line = 3")
    assert (register.verify().broken, "gone" in register.verify().why) == (3, True)


def test_chain_cut_off_at_its_end_is_found_by_what_was_written_down(register, tmp_path):
    """Nothing inside a shortened chain shows it; a line and digest kept on paper do."""
    last = register.all_lines()[-1]
    assert register.verify((last.line, last.digest)).whole
    tamper(tmp_path, "DELETE FROM evidence WHERE line = 8")
    assert register.verify().whole
    assert register.verify((last.line, last.digest)).broken == 8
    assert register.verify((2, last.digest)).broken == 2


@pytest.mark.parametrize(
    "statement", ["UPDATE evidence SET score = 10", "DELETE FROM evidence WHERE line = 1"]
)
def test_database_refuses_to_change_or_delete_a_line(register, tmp_path, statement):
    """The file itself says no, to whatever program asks."""
    with sqlite3.connect(tmp_path / "register.db") as file:
        with pytest.raises(sqlite3.IntegrityError, match="only added"):
            file.execute(statement)
    assert register.verify().whole


def test_erasure_takes_the_words_and_keeps_line_and_chain(register, tmp_path):
    """Remarks and conditions go, also from the file's free pages once it is packed."""
    register.sign_off("103", "rotation-awareness", "102", remark="Zebedee was late")
    line = register.erase("103", "102", "asked for on 2026-05-02")
    assert register.verify().whole
    of = [e for e in register.all_lines("103") if e.line < line]
    assert len(of) == 5 and not any(e.remark or e.conditions for e in of)
    assert register.all_lines("103")[-1].remark == "asked for on 2026-05-02"
    assert register.all_lines("104")[0].conditions == "wind 10 mph"
    register.sign_off("103", "rotation-awareness", "102", remark="a later one")
    assert register.verify().whole and register.all_lines("103")[-1].remark == "a later one"
    register.close()
    for path in tmp_path.glob("register.db*"):
        assert b"Zebedee" not in path.read_bytes()


def test_note_of_an_export_or_erasure_cannot_be_taken_back(register):
    """What was taken out, or erased, stays said."""
    with pytest.raises(RegisterError, match="cannot be taken back"):
        register.void(8, "never mind")


def test_token_is_entered_once(register):
    """The database itself keeps a sheet from standing twice."""
    with pytest.raises(IntegrityError):
        register.sign_off("105", "rotation-awareness", "102", token="sheet 7")
    assert register.verify().whole and len(register.all_lines()) == 8


def test_lines_of_one_writing_stand_all_or_none(register):
    """A fault at the third of three lines leaves none of them."""
    with pytest.raises(RegisterError), register.writing() as writer:
        writer.sign_off("105", "rotation-awareness", "102")
        writer.sign_off("106", "rotation-awareness", "102")
        writer.sign_off("102", "rotation-awareness", "102")
    assert len(register.all_lines()) == 8 and register.verify().whole


def test_theory_attempts_are_counted(tmp_path):
    """First and second hand-in, and a corrected mark of the first."""
    register = Register(tmp_path)
    for score, version in ((5.0, "v1 a"), (6.0, "v1 b"), (9.0, "v1 a")):
        register.post_theory(Mark("1", "x", score, 10.0, False), 0.8, version)
    tried = [(e.score, e.attempt) for e in register.lines()]
    assert tried == [(6.0, 2), (9.0, 1)]
    register.close()


# --- the first version's file -------------------------------------------------------------------

FIRST = """
CREATE TABLE evidence (
    line INTEGER NOT NULL, entered VARCHAR(40) NOT NULL, member VARCHAR(20) NOT NULL,
    kind VARCHAR(20) NOT NULL, objective VARCHAR(80) NOT NULL, outcome VARCHAR(20) NOT NULL,
    score FLOAT, most FLOAT, content_version VARCHAR(40) NOT NULL, evaluator VARCHAR(20) NOT NULL,
    device VARCHAR(80) NOT NULL, held VARCHAR(10) NOT NULL, remark VARCHAR(400) NOT NULL,
    voids INTEGER, PRIMARY KEY (line));
CREATE INDEX ix_evidence_member ON evidence (member);
INSERT INTO evidence VALUES
 (1,'2024-05-01T09:00:00-05:00','101','theory','nozzle-reaction','passed',9.0,10.0,'v1 a','','','','',NULL),
 (2,'2024-05-02T09:00:00-05:00','101','practical','rotation-awareness','passed',NULL,NULL,'','102','Tower 3','2024-05-01','windy',NULL),
 (3,'2024-05-03T09:00:00-05:00','101','practical','rotation-awareness','voided',NULL,NULL,'','','','','wrong',2);
"""
INSERT_AS_FIRST = (
    "INSERT INTO evidence (entered, member, kind, objective, outcome, content_version, evaluator, "
    "device, held, remark) VALUES ('2024', '9', 'theory', 'x', 'passed', '', '', '', '', '')"
)


def first_file(folder):
    """A register as the first version left it."""
    with sqlite3.connect(folder / "register.db") as file:
        file.executescript(FIRST)
    return folder


def test_register_of_the_first_version_is_taken_over(tmp_path):
    """Every line as it was, now chained; new lines follow on."""
    register = Register(first_file(tmp_path))
    one, two, three = register.all_lines()
    assert (one.entered, one.score, one.content_version) == (
        "2024-05-01T09:00:00-05:00", 9.0, "v1 a",
    )  # fmt: skip
    assert (two.held, two.device, two.remark, two.evaluator) == (
        "2024-05-01", "Tower 3", "windy", "102",
    )  # fmt: skip
    assert (three.voids, three.remark) == (2, "wrong")
    assert [e.line for e in register.lines()] == [1]
    assert register.sign_off("101", "rotation-awareness", "102") == 4
    assert register.verify().whole and register.verify().lines == 4
    register.close()


def test_program_of_the_first_version_cannot_write_into_a_chained_file(tmp_path):
    """It is told, instead of adding lines outside the chain."""
    Register(first_file(tmp_path)).close()
    with sqlite3.connect(tmp_path / "register.db") as file:
        with pytest.raises(sqlite3.DatabaseError):
            file.execute(INSERT_AS_FIRST)


def test_first_version_with_a_missing_line_is_left_as_it_is(tmp_path):
    """A line that somebody deleted long ago is told, and the file stays."""
    first_file(tmp_path)
    with sqlite3.connect(tmp_path / "register.db") as file:
        file.execute("DELETE FROM evidence WHERE line = 2")
    with pytest.raises(ValueError, match="line 2 of the old register is missing"):
        Register(tmp_path)
    with sqlite3.connect(tmp_path / "register.db") as file:
        assert file.execute("SELECT count(*) FROM evidence").fetchone() == (2,)


@pytest.mark.parametrize(
    "statements, why",
    [
        (("DROP TABLE alembic_version",), "note of its form was changed or is missing"),
        (
            ("DROP TABLE alembic_version", "DROP TABLE words",
             "ALTER TABLE evidence ADD remark VARCHAR(400) NOT NULL DEFAULT ''",
             "UPDATE evidence SET outcome = 'passed' WHERE line = 3"),
            "note of its form was changed or is missing",
        ),
        (("UPDATE alembic_version SET version_num = '0001'",), "was changed or is missing"),
        (("DELETE FROM alembic_version",), "was changed or is missing"),
        (("UPDATE alembic_version SET version_num = '0999'",), "use the newer version"),
    ],
)  # fmt: skip
def test_chained_register_is_never_chained_anew(register, tmp_path, statements, why):
    """Without its note a file passed for one of the first version, and got a fresh whole chain."""
    tamper(tmp_path, *statements)
    before = (tmp_path / "register.db").read_bytes()
    with pytest.raises(RegisterError, match=why):
        Register(tmp_path)
    assert (tmp_path / "register.db").read_bytes() == before


@pytest.mark.parametrize("table", ["words", "evidence"])
def test_register_without_a_table_is_unreadable_not_busy(register, tmp_path, table):
    """The advice is to restore, not to wait for another program."""
    tamper(tmp_path, f"DROP TABLE {table}")
    with pytest.raises(UnreadableRegister, match="records restore"):
        register.verify()
