"""The roster: a plain CSV of member number, name, station, shift, rank, active."""

import csv
import io
from dataclasses import astuple, dataclass, fields
from pathlib import Path

from gradekit.draw import member_number

HEADINGS = ("member", "name", "station", "shift", "rank", "active")
_YES = {"yes", "y", "true", "1", "active", ""}
_NO = {"no", "n", "false", "0", "inactive", "left"}


class RosterError(ValueError):
    """A roster file with faults; the message names each by row and column."""


@dataclass(frozen=True)
class Member:
    """One member. The number is what the kit works with; the rest is for people to read."""

    member: str
    name: str = ""
    station: str = ""
    shift: str = ""
    rank: str = ""
    active: bool = True


@dataclass(frozen=True)
class Changes:
    """What a new roster changes: members added, changed, and no longer listed."""

    added: tuple
    changed: tuple
    gone: tuple


def read_roster(path):
    """The members in a CSV file, in its order.

    Commas, semicolons or tabs; a byte-order mark and headings in any case are accepted.

    Fails when
      RosterError   every fault at once, by row and column; nothing is half read
    """
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise RosterError(f"{path}: there is no such file") from None
    except UnicodeDecodeError:
        raise RosterError(f"{path.name}: not UTF-8; save it as “CSV UTF-8”") from None
    try:
        lines = enumerate(csv.reader(io.StringIO(text), delimiter=_delimiter(text)), 1)
        rows = [(n, row) for n, row in lines if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise RosterError(f"{path.name}: does not read as CSV ({error})") from None
    if not rows:
        raise RosterError(f"{path.name}: empty; the first line needs the headings {HEADINGS}")
    headings = [cell.strip().lower() for cell in rows[0][1]]
    faults = [
        f"heading “{h}” is not known; known: {', '.join(HEADINGS)}"
        for h in headings
        if h not in HEADINGS
    ]
    if "member" not in headings:
        faults.append("the heading “member” is missing")
    members, seen = [], {}
    for number, row in rows[1:]:
        if any(cell.strip() for cell in row[len(headings) :]):
            faults.append(
                f"row {number}: {len(row)} cells under {len(headings)} headings; a cell with a "
                "comma in it needs quotes"
            )
        cells = dict(zip(headings, (cell.strip() for cell in row), strict=False))
        given = cells.get("member", "")
        member = member_number(given)
        if "member" in headings and not member:
            faults.append(
                f"row {number}, member: read “{given}”; needed: letters, digits and hyphens, "
                "at most 20"
            )
        elif member in seen:
            faults.append(f"row {number}, member: {member} is in row {seen[member]} already")
        seen.setdefault(member, number)
        active = cells.get("active", "").lower()
        if active not in _YES | _NO:
            faults.append(f"row {number}, active: read “{active}”; needed: yes or no")
        words = {h: cells.get(h, "") for h in ("name", "station", "shift", "rank")}
        members.append(Member(member, **words, active=active not in _NO))
    if faults:
        raise RosterError(f"{path.name}:\n  " + "\n  ".join(faults))
    return tuple(members)


def _delimiter(text):
    first = text.splitlines()[0] if text.splitlines() else ""
    return max(",;\t", key=first.count)


def write_roster(path, members):
    """Write members to a CSV that `read_roster` reads back."""
    with Path(path).open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEADINGS)
        for member in members:
            *words, active = astuple(member)
            writer.writerow([*words, "yes" if active else "no"])


def changes(before, after):
    """What differs between two rosters; members that are gone keep their record."""
    old = {m.member: m for m in before}
    new = {m.member: m for m in after}
    return Changes(
        added=tuple(m for n, m in new.items() if n not in old),
        changed=tuple((old[n], m) for n, m in new.items() if n in old and old[n] != m),
        gone=tuple(m for n, m in old.items() if n not in new),
    )


def differing(before, after):
    """Names of the fields in which two entries of one member differ."""
    return [f.name for f in fields(Member) if getattr(before, f.name) != getattr(after, f.name)]
