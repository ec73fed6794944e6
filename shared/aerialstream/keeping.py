"""What lessons and exercises keep of a member's work: in which folder, and written how.

Files are small, written whole and put in place in one go, so that a closed lid loses nothing. One
that cannot be read is set aside, never fatal. Nothing kept here counts for the record.
"""

import contextlib
import json
import os
import tempfile
from calendar import monthrange
from datetime import date
from pathlib import Path

FOLDER_VARIABLE = "AERIALSTREAM_STUDY"
KEPT_IN = "my progress"


def study():
    """The member's study folder, or None."""
    named = os.environ.get(FOLDER_VARIABLE)
    return Path(named) if named and Path(named).is_dir() else None


def set_aside(path):
    """Move a file that cannot be read out of the way; nothing of it is thrown away."""
    number = 1
    while (aside := path.with_name(f"{path.stem} unreadable {number}{path.suffix}")).exists():
        number += 1
    with contextlib.suppress(OSError):
        path.rename(aside)


def read_kept(path, sound):
    """What a file of ours holds; an empty dict where there is none or none that can be read.

    Takes
      path    path of a JSON file
      sound   called with what was read; raises ValueError, KeyError, TypeError or AttributeError
              where that is not what we write, and the file is set aside
    """
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
        sound(kept)
    except FileNotFoundError:
        return {}
    except (ValueError, KeyError, TypeError, AttributeError):
        set_aside(path)
        return {}
    except OSError:
        return {}
    return kept


def dict_of_dicts(kept):
    """Raise ValueError unless this is a dict of dicts, as most kept files are."""
    if not isinstance(kept, dict) or not all(isinstance(part, dict) for part in kept.values()):
        raise ValueError("not what we write")


def write_whole(path, text):
    """Write a file in one go: there is the old one or the new one, never half of one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(name, path)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def months_later(day, months):
    """The same day of the month, or the month's last."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))
