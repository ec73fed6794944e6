"""Backup and restore of register, roster and the choice of department: one zip, plain JSON inside.

The lines are written out with their digests, so that a backup can be read, checked and restored
by anything; it serves SQLite and PostgreSQL alike. A restore never writes over lines: what was
there before is set aside first.
"""

import hashlib
import json
import zipfile
from datetime import datetime
from pathlib import Path

from gradekit.chain import walk
from gradekit.register import ERASURE, Register, RegisterError, UnreadableRegister, register_address

FORMAT = "aerialstream register backup 1"
FILES = ("roster.csv", "department.txt")
LARGEST = 2_000_000_000


def backup(folder, register, to=None):
    """Write a backup of a course folder; gives (path, how many lines)."""
    folder = Path(folder)
    now = datetime.now().astimezone()
    path = Path(to) if to else folder / "backups" / f"register-{now:%Y%m%d-%H%M%S}.zip"
    path.parent.mkdir(parents=True, exist_ok=True)
    rows = register.raw_lines()
    verdict = walk(rows, _erased(rows))
    if not verdict.whole:
        raise RegisterError(
            f"the register does not hold at line {verdict.broken} ({verdict.why}): keep its files "
            "as they are and restore an earlier backup beside them"
        )
    parts = {"lines.jsonl": "".join(json.dumps(r, ensure_ascii=True) + "\n" for r in rows).encode()}
    parts |= {n: (folder / n).read_bytes() for n in FILES if (folder / n).is_file()}
    manifest = {
        "format": FORMAT,
        "made": now.isoformat(timespec="seconds"),
        "lines": verdict.lines,
        "head": verdict.head,
        "files": {name: hashlib.sha256(raw).hexdigest() for name, raw in parts.items()},
    }
    beside = path.with_name(path.name + ".new")
    with zipfile.ZipFile(beside, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("manifest.json", json.dumps(manifest, indent=1))
        for name, raw in parts.items():
            archive.writestr(name, raw)
    read(beside)  # what cannot be read back is no backup
    beside.replace(path)
    return path, verdict.lines


def _erased(rows):
    return [(r["member"], r["line"]) for r in rows if r["kind"] == ERASURE]


def read(path):
    """(manifest, rows, {file: bytes}) of a backup that was checked through.

    Fails when
      RegisterError   damaged, of another form, changed, or with a broken chain
    """
    path = Path(path)
    try:
        with zipfile.ZipFile(path) as archive:
            if sum(i.file_size for i in archive.infolist()) > LARGEST:
                raise RegisterError(f"{path.name}: larger than any register")
            manifest = json.loads(archive.read("manifest.json"))
            if not isinstance(manifest, dict) or manifest.get("format") != FORMAT:
                raise RegisterError(f"{path.name}: not a backup of this version’s form")
            parts = {n: archive.read(n) for n in manifest["files"] if n in ("lines.jsonl", *FILES)}
            rows = [json.loads(line) for line in parts["lines.jsonl"].splitlines()]
    except FileNotFoundError:
        raise RegisterError(f"{path}: there is no such file") from None
    except RegisterError:
        raise
    except Exception as error:  # whatever a damaged zip or its texts can raise
        raise RegisterError(f"{path.name}: damaged ({error or type(error).__name__})") from None
    for name, raw in parts.items():
        if hashlib.sha256(raw).hexdigest() != manifest["files"][name]:
            raise RegisterError(f"{path.name}: {name} was changed since the backup was made")
    try:
        verdict = walk(rows, _erased(rows))
    except (KeyError, TypeError):
        raise RegisterError(f"{path.name}: the lines lack fields") from None
    if not verdict.whole or (verdict.lines, verdict.head) != (manifest["lines"], manifest["head"]):
        raise RegisterError(f"{path.name}: the chain does not hold at line {verdict.broken}")
    return manifest, rows, parts


def restore(folder, path, address=None):
    """Restore a backup into a course folder; gives (lines, [where what was there before went]).

    A register that the backup continues or equals is set aside and replaced. One that holds lines
    which the backup lacks is not: its lines would be lost.

    Fails when
      RegisterError   the backup is not whole, or the register has lines that it lacks
    """
    folder = Path(folder)
    manifest, rows, parts = read(path)
    aside, now = [], f"{datetime.now().astimezone():%Y%m%d-%H%M%S}"
    target = address or register_address(folder)
    if _lines_there(folder, address, rows):
        aside.append(_set_aside(target, now))
    register = Register(folder, address)
    try:
        register.restore(rows)
    finally:
        register.close()
    for name in FILES:
        if name in parts:
            old, new = folder / name, folder / f"{name}.new"
            if old.is_file() and old.read_bytes() != parts[name]:
                aside.append(old.with_name(f"{old.stem}-before-restore-{now}{old.suffix}"))
                old.replace(aside[-1])
            new.write_bytes(parts[name])
            new.replace(old)
    return manifest["lines"], aside


def _lines_there(folder, address, rows):
    """Whether the register has lines, or cannot be read at all; both are to be set aside first.

    Fails when
      RegisterError   it is whole and has lines that the backup lacks
    """
    try:
        register = Register(folder, address)
    except UnreadableRegister:
        return True
    try:
        have, whole = register.raw_lines(), register.verify().whole
    except UnreadableRegister:
        return True
    finally:
        register.close()
    digests = [r["digest"] for r in rows]
    lost = [r["line"] for n, r in enumerate(have) if n >= len(rows) or r["digest"] != digests[n]]
    if lost and whole:
        raise RegisterError(
            f"the register holds lines that the backup lacks, from line {lost[0]} on; set the "
            "file aside yourself if they are to go"
        )
    return bool(have)


def _set_aside(address, now):
    """Move the SQLite file (closed, so that it is one file) out of the way; gives its new path."""
    if not address.startswith("sqlite:///"):
        raise RegisterError("restore into an empty database: this one has lines")
    old = Path(address.removeprefix("sqlite:///"))
    new = old.with_name(f"{old.stem}-before-restore-{now}{old.suffix}")
    for ending in ("-wal", "-shm"):
        beside = old.with_name(old.name + ending)
        if beside.exists():
            beside.rename(new.with_name(new.name + ending))
    old.rename(new)
    return new
