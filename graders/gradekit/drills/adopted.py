"""Taking a fitted number into a department's own files: only on a yes, and with its history.

The history is a file of lines, `drill_history.jsonl`, in the department's folder. It keeps every
estimate that was recorded, adopted or not, and what stood in the files before.
"""

import json
import os
import re
import tomllib
from datetime import date
from math import isfinite
from pathlib import Path

from aerialstream import load_department
from aerialstream.department import DEMO_FOLDER
from aerialstream.errors import AerialStreamError
from gradekit.drills.fitted import HOSE, NOZZLE, QUALITY, WATERWAY, Estimate, pooled

HISTORY_FILE = "drill_history.jsonl"
_KEYS = {
    "day",
    "what",
    "id",
    "value",
    "spread",
    "standard_error",
    "scatter",
    "runs",
    "before",
    "adopted",
}


class AdoptRefused(AerialStreamError):
    """The number was not taken over; the message says why, and what to write by hand."""


def own_folder(folder):
    """Refuse the kit's invented department: its files and history are not a department's own."""
    if Path(folder).resolve() == DEMO_FOLDER.resolve():
        raise AdoptRefused(
            "the invented department of the kit is not changed; copy its folder and use --department"
        )


def history(folder):
    """Every estimate recorded in a department's folder, oldest first: [(day, Estimate, adopted)].

    Fails when
      AdoptRefused   a line of the file cannot be read; the message names it
    """
    path = Path(folder) / HISTORY_FILE
    if not path.is_file():
        return []
    out = []
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        try:
            data = json.loads(line)
            if set(data) != _KEYS or data["what"] not in (HOSE, WATERWAY, NOZZLE, QUALITY):
                raise ValueError("not an entry of this file")
            entry = {k: data[k] for k in _KEYS - {"day", "adopted"}}
            if not all(
                isinstance(entry[k], int | float) and isfinite(entry[k])
                for k in ("value", "spread")
            ):
                raise ValueError("a number that is none")
            out.append((date.fromisoformat(data["day"]), Estimate(**entry), bool(data["adopted"])))
        except (ValueError, TypeError, KeyError) as error:
            raise AdoptRefused(f"{path.name}, line {number}: {error}") from None
    return out


def record(folder, estimate, *, day, adopted=False):
    """Add an estimate to the history; an estimate that stands there already is not added again."""
    path = Path(folder) / HISTORY_FILE
    entry = {k: getattr(estimate, k) for k in _KEYS - {"day", "adopted"}}
    if any(
        old == estimate and when == day and (was or not adopted)
        for when, old, was in history(folder)
    ):
        return
    line = json.dumps(
        {"day": day.isoformat(), **entry, "adopted": adopted}, sort_keys=True, allow_nan=False
    )
    with path.open("a", encoding="utf-8") as file:
        file.write(line + "\n")


def sharpened(folder, estimate, *, day):
    """An estimate together with all earlier ones of the same thing: (value, spread, agree, how many)."""
    earlier = {
        (when, old.value, old.spread): old
        for when, old, _ in history(folder)
        if (old.what, old.id) == (estimate.what, estimate.id)
    }
    earlier[(day, estimate.value, estimate.spread)] = estimate
    value, spread, agree = pooled(list(earlier.values()))
    return value, spread, agree, len(earlier)


def adopt(folder, estimate, *, day, consent):
    """Write a fitted number into hose.toml, apparatus.toml or nozzles.toml, and the history.

    Takes
      folder     a department's folder
      estimate   an Estimate
      day        day of the drill; it becomes the day of the test
      consent    True only where somebody said yes to this very number
    Gives
      str        what was changed, in words
    Fails when
      AdoptRefused   without consent; for what no file has a place; where the text cannot be changed
                     without touching anything else. Then nothing is written
    """
    if consent is not True:
        raise AdoptRefused("not adopted: nobody said yes")
    if not (isfinite(estimate.value) and estimate.value > 0):
        raise AdoptRefused(f"not adopted: {estimate.value:g} is no {estimate.what}")
    own_folder(folder)
    file, table, changes = _changes(estimate, day)
    path = Path(folder) / file
    text = path.read_text(encoding="utf-8-sig")
    before, changed = tomllib.loads(text), _edited(text, table, estimate.id, changes, file)
    _only_that_changed(before, tomllib.loads(changed), table, estimate.id, changes, file)
    _replace(path, changed)
    try:
        load_department(folder)
    except AerialStreamError as error:
        _replace(path, text)
        raise AdoptRefused(f"not adopted: {file} would not read any more: {error}") from None
    record(folder, estimate, day=day, adopted=True)
    return f"{file}, {estimate.id}: " + ", ".join(
        f"{key} = {value}" for key, value in changes.items()
    )


def _changes(estimate, day):
    """(file, table, key -> TOML text) of an estimate."""
    if estimate.what == HOSE:
        return (
            "hose.toml",
            "hose",
            {"coefficient": f"{estimate.value:.3g}", "tested": day.isoformat()},
        )
    if estimate.what == WATERWAY:
        loss = f'{{ loss = "{estimate.value:.3g} psi", at_flow = "1000 gpm", tested = {day.isoformat()} }}'
        return "apparatus.toml", "apparatus", {"waterway": loss}
    key, tested = ("flow_share", "flow_tested") if estimate.what == NOZZLE else ("stream_quality", "throw_tested")  # fmt: skip
    return "nozzles.toml", "nozzle", {key: f"{estimate.value:.3f}", tested: day.isoformat()}


def _edited(text, table, entry_id, changes, file):
    """The text with the keys of one entry changed, all else as it was."""
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    heads = [
        n
        for n, line in enumerate(lines)
        if re.fullmatch(rf"\s*\[\[\s*{table}\s*\]\]\s*(#.*)?", line)
    ]
    ids = [entry.get("id") for entry in tomllib.loads(text).get(table, ())]
    if entry_id not in ids or len(heads) != len(ids):
        raise _by_hand(file, entry_id, changes)
    start = heads[ids.index(entry_id)]
    end = next(
        (n for n in range(start + 1, len(lines)) if re.match(r"\s*\[", lines[n])), len(lines)
    )
    for key, value in changes.items():
        at = [n for n in range(start + 1, end) if re.match(rf"\s*{key}\s*=", lines[n])]
        if at:
            remark = re.fullmatch(r"[^\"'#]*(#.*)", lines[at[0]])
            lines[at[0]] = f"{key} = {value}" + (f"  {remark[1]}" if remark else "")
        else:
            lines.insert(start + 2, f"{key} = {value}")
            end += 1
    return newline.join(lines) + newline


def _only_that_changed(before, after, table, entry_id, changes, file):
    """Both texts as data: they may differ in the named keys of the entry and in nothing else."""
    for data in (before, after):
        for entry in data.get(table, ()):
            if entry.get("id") == entry_id:
                for key in changes:
                    entry.pop(key, None)
    if before != after:
        raise _by_hand(file, entry_id, changes)


def _by_hand(file, entry_id, changes):
    lines = "\n".join(f"    {key} = {value}" for key, value in changes.items())
    return AdoptRefused(
        f"{file} is written in a way that is not changed here; for “{entry_id}” write:\n{lines}"
    )


def _replace(path, text):
    new = path.with_name(path.name + ".new")
    new.write_text(text, encoding="utf-8", newline="")
    os.replace(new, path)
