"""What members read in the operator's manuals of their devices, noted in the department's folder.

One line of JSON for each thing noted, only ever added: the latest of a device and field counts, and
who wrote what before stays readable. A note is no limit: limits are entered by the department in
`apparatus.toml`, with their page, after somebody has held them against the book.
"""

import json
import os
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

FILE = "manual_notes.jsonl"
_KEYS = ("when", "by", "device", "field", "asked", "text")
_LONGEST = 2000


@dataclass(frozen=True, kw_only=True)
class ManualNote:
    """One thing read in a manual.

    when     time with zone, ISO 8601
    by       member number, or "" where the lessons were opened without one
    device   id of the device
    field    name of what was looked up
    asked    the same in words
    text     as it was typed; "" where it was taken back
    """

    when: str
    by: str
    device: str
    field: str
    asked: str
    text: str


def shared_folder():
    """The department's own folder, if one was chosen and can be written; else None."""
    from aerialstream.department import FOLDER_VARIABLE

    named = os.environ.get(FOLDER_VARIABLE)
    if not named or not Path(named).is_dir() or not os.access(named, os.W_OK):
        return None
    return Path(named)


def note_down(folder, *, device, field, asked, text, by=""):
    """Add a note to the folder's file.

    Takes
      folder   path of the department's folder
      device   id of the device
      field    name of what was looked up; asked the same in words
      text     what the manual says, as typed (at most 2,000 characters are kept)
      by       member number
    Fails when
      OSError   the file cannot be written
    """
    when = datetime.now().astimezone().isoformat(timespec="seconds")
    values = (when, by, device, field, asked, text[:_LONGEST])
    line = json.dumps(dict(zip(_KEYS, values, strict=True)), ensure_ascii=False)
    # One write at the end of the file, on a line of its own even after a torn one.
    with (Path(folder) / FILE).open("ab") as file:
        torn = file.tell() and not _ends_whole(Path(folder) / FILE)
        file.write((("\n" if torn else "") + line + "\n").encode("utf-8"))


def _ends_whole(path):
    with path.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


def manual_notes(folder):
    """{device id: {field: ManualNote}}, the latest of each; lines that are not ours are passed over.

    Takes
      folder   path of the department's folder
    """
    latest = {}
    try:
        text = (Path(folder) / FILE).read_text(encoding="utf-8", errors="replace")
    except OSError:
        return {}
    for line in text.splitlines():
        try:
            read = json.loads(line)
        except ValueError:
            continue
        if not isinstance(read, dict) or not all(isinstance(read.get(key), str) for key in _KEYS):
            continue
        note = ManualNote(**{key: read[key] for key in _KEYS})
        latest.setdefault(note.device, {})[note.field] = note
    return latest
