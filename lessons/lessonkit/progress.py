"""What a member has done in the lessons, kept as it happens in their own study folder.

One small file for each lesson, written whole and put in place in one go, so that a closed lid
loses nothing. A file that cannot be read is set aside, never fatal. Without a study folder (a
notebook opened elsewhere) everything is kept for as long as the page lives. Not for the record.
"""

import contextlib
import json
from datetime import date

from aerialstream.keeping import (
    FOLDER_VARIABLE,
    KEPT_IN,
    dict_of_dicts,
    read_kept,
    study,
    write_whole,
)

__all__ = [
    "FOLDER_VARIABLE", "KEPT_IN", "dict_of_dicts", "entries", "forget", "note", "note_check",
    "note_shown", "read", "read_kept", "study", "write_whole", "wrong_running",
]  # fmt: skip
_memory = {}  # what there is no folder for


def _path(lesson, folder=None):
    folder = folder or study()
    return folder / KEPT_IN / f"lesson-{lesson}.json" if folder else None


def read(lesson, folder=None):
    """All that is kept of a lesson: {"predictions": {...}, "checks": {...}, "tasks": {...}}."""
    path = _path(lesson, folder)
    if path is None:
        return _memory.get(lesson, {})
    return read_kept(path, dict_of_dicts)


def entries(lesson, part):
    """One part of what is kept of a lesson: {name: entry}."""
    return read(lesson).get(part, {})


def note(lesson, part, name, entry):
    """Keep an entry, with today's date; a disk that refuses costs the note, not the lesson."""
    kept = read(lesson)
    kept.setdefault(part, {})[name] = {**entry, "day": date.today().isoformat()}
    path = _path(lesson)
    if path is None:
        _memory[lesson] = kept
    else:
        with contextlib.suppress(OSError):
            write_whole(path, json.dumps(kept, ensure_ascii=False, indent=1))
        from lessonkit import home

        home.rewrite()


def note_check(lesson, name, answer, right):
    """Keep an answer to a self-check: what was answered, how often, and when it was first right."""
    before = entries(lesson, "checks").get(name, {})
    today = date.today().isoformat()
    entry = {
        "answer": answer,
        "right": right,
        "tries": before.get("tries", 0) + 1,
        "wrong": 0 if right else wrong_running(before) + 1,
        "last_right": today if right else before.get("last_right"),
        "first_right": before.get("first_right") or (today if right else None),
    }
    if before.get("shown"):
        entry["shown"] = before["shown"]
    note(lesson, "checks", name, entry)


def wrong_running(entry):
    """How often a self-check was answered wrong since it was last right."""
    return entry.get("wrong", 0 if entry.get("right") else entry.get("tries", 0))


def note_shown(lesson, name):
    """Keep that it was shown how a self-check is done; it is asked anew, so no answer stands."""
    before = entries(lesson, "checks").get(name, {})
    shown = {"answer": None, "right": False, "shown": date.today().isoformat()}
    note(lesson, "checks", name, {**before, **shown})


def forget():
    """Forget what is kept in memory only (tests)."""
    _memory.clear()
