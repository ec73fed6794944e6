"""Backup and restore, by doing it: nothing is lost, and a damaged file is refused in words."""

import json
import sqlite3
import zipfile

import pytest

from gradekit.backup import backup, read, restore
from gradekit.course import Mark
from gradekit.register import Register, RegisterError, UnreadableRegister


@pytest.fixture
def folder(tmp_path):
    """A course folder with five lines, one of them erased, and a roster."""
    folder = tmp_path / "class"
    folder.mkdir()
    register = Register(folder)
    register.post_theory(Mark("101", "nozzle-reaction", 9.0, 10.0, False), 0.8, "v1")
    register.sign_off("101", "rotation-awareness", "102", remark="Zoë’s run")
    register.sign_off("103", "rotation-awareness", "102", remark="to be erased")
    register.erase("103", "102", "asked for")
    register.void(2, "wrong")
    register.close()
    (folder / "roster.csv").write_text("member,name\n101,Zoë\n", encoding="utf-8")
    return folder


def lines(folder):
    register = Register(folder)
    found, verdict = register.all_lines(), register.verify()
    register.close()
    assert verdict.whole
    return found


def made(folder, to=None):
    register = Register(folder)
    path, count = backup(folder, register, to)
    register.close()
    assert count == len(lines(folder))
    return path


def test_backup_is_restored_on_a_new_machine(folder, tmp_path):
    """Every line, the chain, the roster."""
    path, new = made(folder), tmp_path / "new"
    new.mkdir()
    assert restore(new, path) == (5, [])
    assert lines(new) == lines(folder)
    assert (new / "roster.csv").read_bytes() == (folder / "roster.csv").read_bytes()
    register = Register(new)
    assert register.sign_off("101", "rotation-awareness", "102") == 6
    assert register.verify().whole
    register.close()


def test_restore_over_a_damaged_register_sets_it_aside(folder):
    """A file with holes in it, or one that is no database any more."""
    path, before = made(folder), lines(folder)
    file = folder / "register.db"
    for damage in (b"\x00" * 4096, file.read_bytes()[:5000] + b"\xff" * 20_000):
        file.write_bytes(damage)
        for beside in folder.glob("register.db-*"):
            beside.unlink()
        with pytest.raises(RegisterError, match="records restore"):
            register = Register(folder)
            try:
                register.verify()
            finally:
                register.close()
        count, (aside,) = restore(folder, path)
        assert count == 5 and aside.is_file() and lines(folder) == before
        aside.unlink()


def test_restore_never_loses_lines_that_the_backup_lacks(folder):
    """The register went on after the backup: refused, and left as it is."""
    path = made(folder)
    register = Register(folder)
    register.sign_off("101", "rotation-awareness", "102")
    register.close()
    with pytest.raises(RegisterError, match="from line 6 on"):
        restore(folder, path)
    assert len(lines(folder)) == 6


def test_restore_twice_changes_nothing(folder):
    """Over the very same lines it is set aside and put back."""
    path, before = made(folder), lines(folder)
    _, (aside,) = restore(folder, path)
    assert lines(folder) == before and aside.is_file()


def test_restore_keeps_a_roster_that_went_on_after_the_backup(folder):
    """A restore wrote over a newer roster without a word: now it is set aside and named."""
    path = made(folder)
    newer = (folder / "roster.csv").read_bytes() + b"109,New,,,,yes\r\n"
    (folder / "roster.csv").write_bytes(newer)
    _, aside = restore(folder, path)
    assert [p.read_bytes() for p in aside if p.suffix == ".csv"] == [newer]
    assert b"109" not in (folder / "roster.csv").read_bytes()


def test_restore_over_a_register_with_a_table_torn_out(folder):
    """It opens and cannot be read: that was told as if another program were writing."""
    path, before = made(folder), lines(folder)
    with sqlite3.connect(folder / "register.db") as file:
        file.execute("DROP TABLE words")
    register = Register(folder)
    with pytest.raises(UnreadableRegister, match="records restore"):
        register.verify()
    register.close()
    assert restore(folder, path)[0] == 5 and lines(folder) == before


def _repacked(path, to, name, change):
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(to, "w") as new:
        for one in old.namelist():
            raw = old.read(one)
            new.writestr(one, change(raw) if one == name else raw)
    return to


def _bigger_score(raw):
    rows = [json.loads(line) for line in raw.splitlines()]
    rows[0]["score"] = 10.0
    return "\n".join(json.dumps(row) for row in rows).encode()


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("lines.jsonl", _bigger_score),
        ("lines.jsonl", lambda raw: raw[: len(raw) // 2]),
        ("lines.jsonl", lambda raw: b""),
        ("roster.csv", lambda raw: raw + b"999,X\n"),
        ("manifest.json", lambda raw: raw.replace(b"backup 1", b"backup 2")),
        ("manifest.json", lambda raw: b"{}"),
        ("manifest.json", lambda raw: b"["),
    ],
)
def test_changed_backup_is_refused(folder, tmp_path, name, change):
    """Whatever is changed inside, nothing is restored."""
    path = _repacked(made(folder), tmp_path / "changed.zip", name, change)
    new = tmp_path / "new"
    new.mkdir()
    with pytest.raises(RegisterError, match=r"changed\.zip"):
        restore(new, path)
    assert not (new / "register.db").exists()


def test_backup_changed_with_its_checksums_is_found_by_the_chain(folder, tmp_path):
    """Even with the manifest made to fit, the chain does not."""
    import hashlib

    path = made(folder)
    with zipfile.ZipFile(path) as archive:
        changed = _bigger_score(archive.read("lines.jsonl"))

    def fit(raw):
        manifest = json.loads(raw)
        manifest["files"]["lines.jsonl"] = hashlib.sha256(changed).hexdigest()
        return json.dumps(manifest).encode()

    path = _repacked(path, tmp_path / "a.zip", "lines.jsonl", lambda raw: changed)
    path = _repacked(path, tmp_path / "b.zip", "manifest.json", fit)
    with pytest.raises(RegisterError, match="chain does not hold at line 1"):
        read(path)


@pytest.mark.parametrize("raw", [b"", b"PK\x03\x04 nothing", b"x" * 1000])
def test_what_is_no_backup_is_refused(tmp_path, raw):
    """In words."""
    path = tmp_path / "backup.zip"
    path.write_bytes(raw)
    with pytest.raises(RegisterError, match=r"backup\.zip"):
        read(path)
    with pytest.raises(RegisterError, match="no such file"):
        read(tmp_path / "none.zip")


def test_backup_of_a_broken_register_is_refused(folder):
    """It would pass the damage on as good."""
    import sqlite3

    with sqlite3.connect(folder / "register.db") as file:
        file.execute("DROP TRIGGER evidence_UPDATE")
        file.execute("UPDATE evidence SET score = 10 WHERE line = 1")
    register = Register(folder)
    with pytest.raises(RegisterError, match="does not hold at line 1"):
        backup(folder, register)
    register.close()


def test_register_that_is_busy_is_told_and_not_set_aside(folder, monkeypatch):
    """Another program holds the file: a sentence, and the file stays where it is."""
    import sqlite3

    import gradekit.register

    path = made(folder)
    monkeypatch.setattr(gradekit.register, "SECONDS_TO_WAIT", 0.1)
    other = sqlite3.connect(folder / "register.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(RegisterError, match="is another program writing"):
        restore(folder, path)
    other.execute("ROLLBACK")
    other.close()
    assert len(lines(folder)) == 5
