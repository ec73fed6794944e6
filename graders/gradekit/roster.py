"""The roster: a plain CSV of member number, name, station, shift, rank, active.

A OneRoster 1.1 users.csv, alone or in its zip, is read too. What spreadsheets do to a list is
either undone without doubt (byte-order mark, semicolons, tabs) or told and not guessed (leading
zeros lost, numbers made into dates or powers of ten).
"""

import csv
import io
import re
import zipfile
import zlib
from dataclasses import dataclass, fields, replace
from pathlib import Path

from gradekit.draw import member_number
from gradekit.tables import harmless, plain

HEADINGS = ("member", "name", "station", "shift", "rank", "active")
MORE_HEADINGS = ("company",)  # may be there
ONEROSTER = {"sourcedid", "givenname", "familyname"}
LARGEST_ROSTER = 20_000_000  # bytes
MOST_FAULTS = 50
_NUMBER_COLUMNS = ("identifier", "username", "sourcedid")
_MONTHS = "JAN|FEB|MAR|APR|MAY|JUN|JUL|AUG|SEP|OCT|NOV|DEC"
_SPOILT = (
    (re.compile(r"^[\d.,]+E[+-]?\d+$", re.I), "a spreadsheet made a power of ten of it"),
    (re.compile(r"^\d+[.,]0+$"), "a spreadsheet made a decimal of it"),
    (re.compile(rf"^(\d{{1,2}}-({_MONTHS})|({_MONTHS})-\d{{2}})$", re.I), "it looks like a date"),
)
# Signs that cannot be seen and that turn round or break up the line they are printed in.
_HIDDEN = re.compile("[\x00-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufeff]")
LONGEST_NAME = 120
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
    company: str = ""


@dataclass(frozen=True)
class Changes:
    """What a new roster changes: members added, changed, no longer listed, and back again."""

    added: tuple
    changed: tuple
    gone: tuple
    returned: tuple = ()

    @property
    def any(self):
        """Whether anything changes at all."""
        return bool(self.added or self.changed or self.gone or self.returned)


def read_roster(path, known=()):
    """The members in a CSV file (or a OneRoster zip), in its order.

    Commas, semicolons or tabs; a byte-order mark and headings in any case are accepted.

    Takes
      known   members of the roster so far: a number that differs from one of theirs only by zeros
              in front is a fault, since a spreadsheet may have dropped them
    Fails when
      RosterError   every fault at once, by row and column; nothing is half read
    """
    path = Path(path)
    text, stations = _text(path)
    rows = _rows(path, text)
    if not rows:
        raise RosterError(f"{path.name}: empty; the first line needs the headings {HEADINGS}")
    headings = [cell.strip().lower() for cell in rows[0][1]]
    oneroster = ONEROSTER <= set(headings)
    faults = _heading_faults(headings, oneroster)
    column = _number_column(headings, rows) if oneroster else "member"
    members, seen = [], {}
    zeroless = {m.member.lstrip("0"): m.member for m in known if m.member.startswith("0")}
    for number, row in rows[1:]:
        if any(cell.strip() for cell in row[len(headings) :]):
            faults.append(
                f"row {number}: {len(row)} cells under {len(headings)} headings; a cell with a "
                "comma in it needs quotes"
            )
        cells = dict(zip(headings, (cell.strip() for cell in row), strict=False))
        member, fault = _member_number(cells.get(column, ""), zeroless)
        if column in headings and fault:
            faults.append(f"row {number}, {column}: {fault}")
        elif member in seen:
            faults.append(f"row {number}, {column}: {member} is in row {seen[member]} already")
        seen.setdefault(member, number)
        made, fault = (_from_oneroster if oneroster else _from_plain)(member, cells, stations)
        if fault:
            faults.append(f"row {number}, {fault}")
        members.append(made)
    if faults:
        more = len(faults) - MOST_FAULTS
        shown = faults[:MOST_FAULTS] + ([f"and {more} more"] if more > 0 else [])
        raise RosterError(f"{path.name}:\n  " + "\n  ".join(shown))
    return tuple(members)


def _text(path):
    """(the text of the list, {station id: name} where a zip tells them)."""
    try:
        if path.stat().st_size > LARGEST_ROSTER:
            raise RosterError(f"{path.name}: larger than {LARGEST_ROSTER // 1_000_000} MB")
        if zipfile.is_zipfile(path):
            return _from_zip(path)
        return path.read_bytes().decode("utf-8-sig"), {}
    except FileNotFoundError:
        raise RosterError(f"{path}: there is no such file") from None
    except UnicodeDecodeError:
        raise RosterError(f"{path.name}: not UTF-8; save it as “CSV UTF-8”") from None
    except OSError as error:
        raise RosterError(f"{path.name}: cannot be read ({error.strerror})") from None


def _from_zip(path):
    try:
        with zipfile.ZipFile(path) as archive:
            names = {Path(i.filename).name.lower(): i for i in archive.infolist()}
            if "users.csv" not in names:
                raise RosterError(f"{path.name}: a zip without users.csv is no OneRoster list")
            if any(i.file_size > LARGEST_ROSTER for i in names.values()):
                raise RosterError(f"{path.name}: a file in it is too large")
            text = archive.read(names["users.csv"]).decode("utf-8-sig")
            orgs = archive.read(names["orgs.csv"]) if "orgs.csv" in names else b""
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, zlib.error):
        raise RosterError(f"{path.name}: damaged; it does not open as a zip") from None
    try:
        rows = csv.DictReader(io.StringIO(orgs.decode("utf-8-sig")))
        stations = {row.get("sourcedId"): row.get("name") or "" for row in rows}
    except csv.Error as error:
        raise RosterError(f"{path.name}: orgs.csv does not read as CSV ({error})") from None
    return text, stations


def _rows(path, text):
    """[(row number as a spreadsheet counts, cells)] of the rows that hold anything."""
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
        return [(n, row) for n, row in enumerate(reader, 1) if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise RosterError(f"{path.name}: does not read as CSV ({error})") from None


def _heading_faults(headings, oneroster):
    faults = [
        f"heading “{h}” stands twice" for h in sorted(set(headings)) if headings.count(h) > 1 and h
    ]
    if oneroster:
        return faults
    faults += [
        f"heading “{h}” is not known; known: {', '.join((*HEADINGS, *MORE_HEADINGS))}"
        for h in headings
        if h not in (*HEADINGS, *MORE_HEADINGS) and h
    ]
    if "" in headings[: len(headings)] and any(headings[headings.index("") :]):
        faults.append("a heading is empty between others")
    if "member" not in headings:
        faults.append("the heading “member” is missing")
    return faults


def _number_column(headings, rows):
    """The OneRoster column that holds a member number in every row: identifier, username, id."""
    for name in _NUMBER_COLUMNS:
        if name in headings:
            place = headings.index(name)
            if all(len(row) > place and member_number(row[place]) for _, row in rows[1:]):
                return name
    return "sourcedid"


def _member_number(given, zeroless):
    """(number, fault in words or empty)."""
    member = member_number(given)
    for pattern, why in _SPOILT:
        if pattern.match(given):
            return member, f"read “{given}”: {why}; write the number as text"
    if not member:
        return "", f"read “{given}”; needed: letters, digits and hyphens, at most 20"
    if member in zeroless:
        return member, (
            f"read “{given}”; the roster has {zeroless[member]}. Did a spreadsheet drop the zeros? "
            "Write the number as text; if this is another member, they need another number"
        )
    return member, ""


def _from_plain(member, cells, _stations):
    active = cells.get("active", "").lower()
    words = {h: plain(cells.get(h, "")) for h in ("name", "station", "shift", "rank", "company")}
    fault = _text_fault(words)
    if active not in _YES | _NO:
        fault = f"active: read “{active}”; needed: yes or no"
    return Member(member, **words, active=active not in _NO), fault


def hidden_in(text):
    """Which sign in a text cannot be seen and turns round or breaks up its line, in words."""
    found = _HIDDEN.search(text)
    return f"holds a sign that cannot be seen (U+{ord(found[0]):04X})" if found else ""


def _text_fault(words):
    for heading, text in words.items():
        if len(text) > LONGEST_NAME:
            return f"{heading}: longer than {LONGEST_NAME} characters"
        if hidden := hidden_in(text):
            return f"{heading}: {hidden}"
    return ""


def _from_oneroster(member, cells, stations):
    name = " ".join(n for n in (cells.get("givenname"), cells.get("familyname")) if n)
    orgs = [o.strip() for o in cells.get("orgsourcedids", "").split(",") if o.strip()]
    station = ", ".join(stations.get(o) or o for o in orgs)
    enabled, status = cells.get("enableduser", "").lower(), cells.get("status", "").lower()
    fault = ""
    if enabled not in ("true", "false", ""):
        fault = f"enabledUser: read “{enabled}”; needed: true or false"
    elif status not in ("active", "tobedeleted", ""):
        fault = f"status: read “{status}”; needed: active or tobedeleted"
    else:
        fault = _text_fault({"name": name, "station": station})
    active = enabled != "false" and status != "tobedeleted"
    return Member(member, name, station, active=active), fault


def _delimiter(text):
    first = text.splitlines()[0] if text.splitlines() else ""
    return max(",;\t", key=first.count)


def write_roster(path, members):
    """Write members to a CSV that `read_roster` reads back."""
    path = Path(path)
    more = MORE_HEADINGS if any(m.company for m in members) else ()
    beside = path.with_suffix(".new")
    with beside.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow((*HEADINGS, *more))
        for m in members:
            words = (m.member, m.name, m.station, m.shift, m.rank, "yes" if m.active else "no")
            writer.writerow([harmless(word) for word in (*words, *(m.company for _ in more))])
    beside.replace(path)  # a killed program leaves the old file or the new one


def changes(before, after):
    """What differs between two rosters; members that are gone keep their record."""
    old = {m.member: m for m in before}
    new = {m.member: m for m in after}
    back = {n for n, m in new.items() if n in old and m.active and not old[n].active}
    return Changes(
        added=tuple(m for n, m in new.items() if n not in old),
        changed=tuple(
            (old[n], m) for n, m in new.items() if n in old and old[n] != m and n not in back
        ),
        gone=tuple(m for n, m in old.items() if n not in new and m.active),
        returned=tuple((old[n], new[n]) for n in new if n in back),
    )


def merged(before, after):
    """The roster to keep: those listed, and behind them those who left, as not active.

    Where the list says nothing at all of shift, rank or company (a OneRoster list), what was
    known stays.
    """
    old, listed = {m.member: m for m in before}, {m.member for m in after}
    silent = [f for f in ("shift", "rank", "company") if not any(getattr(m, f) for m in after)]
    kept = [
        replace(m, **{f: getattr(old[m.member], f) for f in silent}) if m.member in old else m
        for m in after
    ]
    return (*kept, *(replace(m, active=False) for m in before if m.member not in listed))


def differing(before, after):
    """Names of the fields in which two entries of one member differ."""
    return [f.name for f in fields(Member) if getattr(before, f.name) != getattr(after, f.name)]
