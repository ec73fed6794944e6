"""What a text that is no TOML most likely has wrong, told by line. For those who type it by hand."""

import re
from datetime import date

_LINE = re.compile(r"\(at line (\d+)")
_DAY = re.compile(r"=\s*\"?(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})\b")
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}")
_BARE = re.compile(r"=\s*(-?\d[\d.,]*(?:\s+\d+/\d+)?\s*(?:[A-Za-z%]+[A-Za-z/ ]*))\s*(?:#.*)?$")
_WORD = re.compile(r"=\s*([A-Za-z][^\"#=\[\]{}]*?)\s*(?:#.*)?$")


def toml_fault(text, error):
    """One sentence on what tomllib could not read, with the line and how to write it."""
    said = str(error)
    found = _LINE.search(said)
    lines = text.splitlines()
    if not found or not 1 <= int(found[1]) <= len(lines):
        return f"not readable as TOML: {said}"
    number = int(found[1])
    guess = _guess(lines[number - 1])
    if guess:
        return f"line {number}: {guess}"
    return f"not readable as TOML: {said}: {lines[number - 1].strip()[:60]}"


def _guess(line):
    """What is wrong with a line, or an empty text."""
    code = _without_comment(line)
    if code.replace('"""', "").count('"') % 2:
        return f"a quote is missing: {line.strip()[:60]}"
    day = next((d for d in _DAY.finditer(code) if not _ISO.fullmatch(d[0].lstrip("= "))), None)
    if day:
        return f"read {day[0].lstrip('= ')}; write a day as year-month-day, {_written(day)}"
    bare = _BARE.search(code)
    if bare:
        return f'read {bare[1].strip()} without quotes; write "{bare[1].strip()}"'
    word = _WORD.search(code)
    if word and word[1] not in ("true", "false", "inf", "nan"):
        return f'read {word[1]} without quotes; write "{word[1]}"'
    return ""


def _without_comment(line):
    """A line up to its comment; a # between quotes is none."""
    inside = False
    for at, sign in enumerate(line):
        if sign == '"':
            inside = not inside
        elif sign == "#" and not inside:
            return line[:at]
    return line


def _written(day):
    """The day as TOML wants it, where only one day can be meant; else how to write one."""
    first, sign, second, third = day[1], day[2], day[3], day[4]
    if len(first) == 4:
        parts = (first, second, third)
    elif sign == ".":  # day.month.year; with a slash both orders are used, so none is guessed
        parts = (third, second, first)
    else:
        return "such as 2026-06-02, without quotes"
    try:
        return f"{date(*map(int, parts)).isoformat()}, without quotes"
    except ValueError:
        return "such as 2026-06-02, without quotes"
