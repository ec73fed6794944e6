"""Sign-offs that come as a CSV from the drill ground, and the checks that each of them passes.

One row is one run by one member. A row names its sheet; a sheet is entered once, however often
the file is sent. Either all rows of a file are entered or none.
"""

import csv
import hashlib
import io
import json
import re
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path

from gradekit.draw import member_number
from gradekit.register import SHEET, RegisterError
from gradekit.roster import hidden_in

COLUMNS = (
    "sheet", "member", "evolution", "evaluator", "device", "day", "result", "missed", "hours",
    "conditions", "remark",
)  # fmt: skip
NEEDED = ("member", "evolution", "evaluator", "day", "result")
PRINTED = ("sheet", "member", "evolution")  # stand in the CSV before anything is typed in
RESULTS = {"pass": True, "passed": True, "no pass": False, "not passed": False, "fail": False}
NEW, BEFORE = "new", "entered before"
TAKEN_BACK = "entered before and taken back since: nothing stands; give it a new sheet number"
MOST_FAULTS = 50
LARGEST = 5_000_000
EARLIEST = date(1990, 1, 1)
LONGEST_TEXT = 2000


@dataclass(frozen=True)
class Run:
    """One run of an evolution, as a sheet says it. `missed` holds texts of critical steps."""

    member: str
    evolution: str
    evaluator: str
    device: str = ""
    held: str = ""
    passed: bool = True
    missed: tuple = ()
    hours: float | None = None
    conditions: str = ""
    remark: str = ""
    sheet: str = ""

    @property
    def token(self):
        """What names the sheet in the register: its own number, else a digest of the row."""
        if self.sheet:
            return f"{SHEET}{self.sheet}"
        parts = (
            self.member, self.evolution, self.evaluator, self.device, self.held, self.passed,
            self.missed, self.hours, self.conditions, self.remark,
        )  # fmt: skip
        return "row " + hashlib.sha256(json.dumps(parts).encode()).hexdigest()[:40]


def faults_of(run, department, roster, today=None):
    """What speaks against entering a run, as [(column, words)]."""
    rule, found = department.completion, []
    people = {m.member: m for m in roster}
    for column, number in (("member", run.member), ("evaluator", run.evaluator)):
        if number not in people:
            found.append((column, f"{number} is not on the roster{_zeros_lost(number, people)}"))
        elif not people[number].active:
            found.append(
                (
                    column,
                    f"{number} is not active; for a run from before they left, list them as active, "
                    "enter it, and take them off again",
                )
            )
    if run.member == run.evaluator:
        found.append(("evaluator", "nobody signs for themselves: the evaluator is another member"))
    signer = people.get(run.evaluator)
    if signer and not may_sign(rule, signer):
        found.append(("evaluator", f"{run.evaluator} may not sign here: {who_may_sign(rule)}"))
    known = [*rule.evolutions, *(r.id for r in rule.refresher if r.kind == "practical")]
    if run.evolution not in known:
        said = f"no evolution “{run.evolution}”; the department has: {', '.join(known)}"
        found.append(("evolution", said))
    devices = [d.name for d in department.apparatus]
    if run.device and run.device not in devices:
        said = f"no device “{run.device}”; the department has: {', '.join(devices)}"
        found.append(("device", said))
    if run.held and not EARLIEST.isoformat() <= run.held <= (today or date.today()).isoformat():
        has_been = "has not been yet" if run.held > EARLIEST.isoformat() else "is too long ago"
        found.append(("day", f"{run.held} {has_been}"))
    steps = [step.text for step in rule.steps_of(run.evolution) if step.critical]
    found += [
        ("missed", f"no critical step “{text}” on the sheet of {run.evolution}")
        for text in run.missed
        if steps and text not in steps
    ]
    if run.passed and run.missed:
        found.append(("result", "a critical step was missed: that is no pass"))
    return found


def _zeros_lost(number, people):
    """A question, where a member's number differs only by zeros in front."""
    like = [known for known in people if known != number and known.lstrip("0") == number]
    return f"; the roster has {like[0]}: did a spreadsheet drop the zeros?" if like else ""


def may_sign(rule, member):
    """Whether the department's rule lets a member sign for others."""
    if not rule.evaluators and not rule.evaluator_ranks:
        return True
    numbers = {member_number(number) for number in rule.evaluators}
    return member.member in numbers or member.rank in rule.evaluator_ranks


def who_may_sign(rule):
    """Who may, in words."""
    return "; ".join(
        words
        for words in (
            f"rank {' or '.join(rule.evaluator_ranks)}" if rule.evaluator_ranks else "",
            f"member {', '.join(rule.evaluators)}" if rule.evaluators else "",
        )
        if words
    )


def read_runs(path, department, roster, today=None):
    """The runs of a CSV, with the row of each: [(row, Run)].

    A sheet that was printed and not used has nothing typed in: its row is no run and no fault.

    Fails when
      RegisterError   every fault at once, by row and column; nothing is half read
    """
    path = Path(path)
    rows = _rows(path)
    headings = [cell.strip().lower() for cell in rows[0][1]] if rows else []
    faults = [f"the heading “{h}” is missing" for h in NEEDED if h not in headings]
    faults += [f"heading “{h}” is not known" for h in headings if h and h not in COLUMNS]
    faults += [f"heading “{h}” stands twice" for h in {*headings} if h and headings.count(h) > 1]
    if faults:
        _refuse(path, faults)
    runs, sheets = [], {}
    for number, row in rows[1:]:
        cells = dict(zip(headings, (cell.strip() for cell in row), strict=False))
        if any(cell.strip() for cell in row[len(headings) :]):
            faults.append(f"row {number}: more cells than headings; a comma needs quotes")
        elif cells.get("sheet") and not any(cells[h] for h in cells if h not in PRINTED):
            continue
        run, told = _run(cells, department.completion)
        told += faults_of(run, department, roster, today) if not told else []
        if run.sheet and run.sheet in sheets:
            told.append(("sheet", f"{run.sheet} is in row {sheets[run.sheet]} already"))
        sheets.setdefault(run.sheet, number)
        faults += [f"row {number}, {column}: {words}" for column, words in told]
        runs.append((number, run))
    if faults:
        _refuse(path, faults)
    return runs


def _refuse(path, faults):
    more = len(faults) - MOST_FAULTS
    shown = faults[:MOST_FAULTS] + ([f"and {more} more"] if more > 0 else [])
    raise RegisterError(f"{path.name}, nothing entered:\n  " + "\n  ".join(shown))


def _rows(path):
    try:
        if path.stat().st_size > LARGEST:
            raise RegisterError(f"{path.name}: larger than {LARGEST // 1_000_000} MB")
        text = path.read_bytes().decode("utf-8-sig")
        first = text.split("\n", 1)[0]
        delimiter = max(",;\t", key=first.count)
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
        rows = [(n, row) for n, row in enumerate(reader, 1) if any(cell.strip() for cell in row)]
    except FileNotFoundError:
        raise RegisterError(f"{path}: there is no such file") from None
    except UnicodeDecodeError:
        raise RegisterError(f"{path.name}: not UTF-8; save it as “CSV UTF-8”") from None
    except OSError as error:
        raise RegisterError(f"{path.name}: cannot be read ({error.strerror})") from None
    except csv.Error as error:
        raise RegisterError(f"{path.name}: does not read as CSV ({error})") from None
    if len(rows) < 2:
        raise RegisterError(f"{path.name}: no rows; the first line needs: {', '.join(COLUMNS)}")
    return rows


def _run(cells, rule):
    """(a Run, [(column, words)] of what cannot be read)."""
    told = []
    for column in NEEDED:
        if not cells.get(column):
            told.append((column, "empty"))
    numbers = {}
    for column in ("member", "evaluator"):
        numbers[column] = member_number(cells.get(column))
        if cells.get(column) and not numbers[column]:
            told.append((column, f"read “{cells[column]}”; that is no member number"))
    held = _read_day(cells.get("day", ""), told)
    result = cells.get("result", "").lower()
    if result and result not in RESULTS:
        told.append(("result", f"read “{result}”; needed: pass or no pass"))
    sheet = cells.get("sheet", "")
    if sheet and not re.fullmatch(r"[A-Za-z0-9-]{1,40}", sheet):
        told.append(("sheet", f"read “{sheet}”; needed: letters, digits and hyphens, at most 40"))
    for column in ("conditions", "remark"):
        if len(cells.get(column, "")) > LONGEST_TEXT:
            told.append((column, f"longer than {LONGEST_TEXT} characters"))
        if hidden := hidden_in(cells.get(column, "")):
            told.append((column, hidden))
    run = Run(
        **numbers, evolution=cells.get("evolution", ""), device=cells.get("device", ""), held=held,
        passed=RESULTS.get(result, False), hours=_read_hours(cells.get("hours", ""), told),
        conditions=cells.get("conditions", ""), remark=cells.get("remark", ""), sheet=sheet,
    )  # fmt: skip
    return replace(run, missed=read_missed(cells.get("missed", ""), rule, run.evolution)), told


def read_missed(text, rule, evolution):
    """Missed critical steps: their numbers on the sheet (“2, 5”) or their texts, “;” between."""
    steps = rule.steps_of(evolution)
    parts = [p.strip() for p in text.split(";")] if ";" in text else [text.strip()]
    if re.fullmatch(r"[\d,;\s]+", text):
        parts = re.split(r"[,;\s]+", text.strip())
    found = []
    for part in filter(None, parts):
        number = int(part) if part.isascii() and part.isdigit() and len(part) < 4 else 0
        found.append(steps[number - 1].text if 0 < number <= len(steps) else part)
    return tuple(found)


def _read_day(text, told):
    if not text:
        return ""
    try:
        if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text, re.ASCII):
            raise ValueError
        return datetime.strptime(text, "%Y-%m-%d").date().isoformat()
    except ValueError:
        told.append(
            (
                "day",
                f"read “{text}”; needed: year-month-day, such as 2026-05-14 (a spreadsheet leaves "
                "it so in a column that is set to text)",
            )
        )
        return ""


def _read_hours(text, told):
    if not text:
        return None
    if not re.fullmatch(r"\d{1,2}([.,]\d{1,2})?", text, re.ASCII) or not (
        0 < float(text.replace(",", ".")) <= 24
    ):
        told.append(("hours", f"read “{text}”; needed: a number of hours, such as 1.5"))
        return None
    return float(text.replace(",", "."))


def enter(register, runs, file="", again=False):
    """Enter runs, all or none; gives [(row, line, NEW or BEFORE or TAKEN_BACK)].

    Takes
      again   enter a run without a sheet's number again where its line was taken back; a file
              that is sent twice must not do that

    Fails when
      RegisterError   a sheet was entered before with other words in it
    """
    done, faults = [], []
    with register.writing() as writer:
        for number, run in runs:
            token, before = run.token, writer.with_token(run.token)
            while again and before and not run.sheet and writer.is_voided(before.line):
                token = f"{run.token} {before.line}"
                before = writer.with_token(token)
            if before is None:
                line = writer.sign_off(
                    run.member, run.evolution, run.evaluator, run.device, run.passed, run.remark,
                    run.held, missed=run.missed, hours=run.hours, conditions=run.conditions,
                    token=token,
                )  # fmt: skip
                done.append((number, line, NEW))
                continue
            differs = _differing(before, run)
            if differs:
                faults.append(
                    f"row {number}: sheet {run.sheet} is line {before.line} already, with another "
                    f"{', '.join(differs)}; void that line and give the sheet a new number"
                )
            back = writer.is_voided(before.line)
            done.append((number, before.line, TAKEN_BACK if back else BEFORE))
        if faults:
            raise RegisterError(f"{file}, nothing entered:\n  " + "\n  ".join(faults))
    return done


def _differing(line, run):
    pairs = {
        "member": (line.member, run.member),
        "evolution": (line.objective, run.evolution),
        "evaluator": (line.evaluator, run.evaluator),
        "device": (line.device, run.device),
        "day": (line.held, run.held),
        "result": (line.outcome == "passed", run.passed),
        "missed": (line.missed_steps, run.missed),
        "hours": (line.hours, run.hours),
    }
    return [name for name, (old, new) in pairs.items() if old != new]
