"""What was measured on the drill ground: read from a CSV, units as in answers, nothing dropped.

A number that looks wrong is asked about and kept.
"""

import csv
import io
import itertools
from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from statistics import median

from aerialstream import quantity, show
from aerialstream._core.nozzles import smooth_bore_constant
from aerialstream.errors import AerialStreamError
from gradekit.answers import read_answer
from gradekit.drills.evolutions import MEASURED

LARGEST, MOST_RUNS, LONGEST = 1_000_000, 200, 500
NOZZLE_OFF, RUN_OFF = 0.25, 0.10  # our numbers, no source: from when a reading is asked about
_EXAMPLES = {
    "flow": "510 gpm", "pressure": "82 psi", "angle": "12 deg", "length": "41 ft 6 in",
    "velocity": "12 mph", "time": "8 s",
}  # fmt: skip


class MeasurementsRefused(AerialStreamError):
    """The file cannot be read; every fault by row and column."""


@dataclass(frozen=True, kw_only=True)
class Run:
    """One run: name -> number in the unit of MEASURED; remark as typed; row of the file."""

    number: str
    values: dict
    remark: str = ""
    row: int = 0


@dataclass(frozen=True, kw_only=True)
class Question:
    """A reading that is asked about. run and name say which; the reading stays as it is."""

    run: str
    name: str
    text: str


@dataclass(frozen=True, kw_only=True)
class Measurements:
    """All runs of a file."""

    runs: tuple

    def column(self, name):
        """The numbers of one quantity, of the runs that have it."""
        return tuple(run.values[name] for run in self.runs if name in run.values)


THROW = ("nozzle pressure", "elevation", "extension", "throw", "wind", "wind from")


def form(evolution, *, throw=False):
    """An empty CSV for an evolution, with a row to show how numbers are written.

    throw adds what the stream's quality is fitted from: where it lands on open ground.
    """
    names = dict.fromkeys((*evolution.measure, *(THROW if throw else ())))
    head = ["run", *names, "remark"]
    shown = ["", *(f"such as {_EXAMPLES[MEASURED[name][0]]}" for name in names), ""]
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([head, shown, ["1"], ["2"], ["3"]])
    return "\ufeff" + out.getvalue()


def read_measurements(path):
    """The runs of a CSV whose headings are `run`, names of MEASURED, and `remark`.

    An empty cell was not measured. A row that begins its cells with "such as" shows how to write.

    Fails when
      MeasurementsRefused   every fault at once, by row and column; nothing is half read
    """
    path = Path(path)
    rows = _rows(path)
    headings = [cell.strip().lower() for cell in rows[0][1]]
    known = ("run", *MEASURED, "remark")
    faults = [
        f"heading “{h[:40]}” is not known; known: {', '.join(known)}"
        for h in headings
        if h and h not in known
    ]
    faults += [
        f"heading “{h}” stands twice"
        for h in dict.fromkeys(headings)
        if h and headings.count(h) > 1
    ]
    faults += ["the heading “run” is missing"] if "run" not in headings else []
    if faults:
        _refuse(path, faults)
    runs, numbers = [], set()
    for row, cells in rows[1:]:
        if any(cell.strip().lower().startswith("such as") for cell in cells):
            continue
        if any(cell.strip() for cell in cells[len(headings) :]):
            faults.append(f"row {row}: more cells than headings; a comma needs quotes")
        run = _run(row, dict(zip(headings, cells, strict=False)), faults)
        if run is None:
            continue
        if run.number in numbers:
            faults.append(f"row {row}: run {run.number} stands twice")
        numbers.add(run.number)
        runs.append(run)
    if not runs and not faults:
        faults.append("no run with a number in it")
    if faults:
        _refuse(path, faults)
    return Measurements(runs=tuple(runs))


def _refuse(path, faults):
    raise MeasurementsRefused(f"{path.name}, nothing taken:\n  " + "\n  ".join(faults[:50]))


def _rows(path):
    try:
        if path.stat().st_size > LARGEST:
            _refuse(path, [f"larger than {LARGEST // 1_000_000} MB"])
        text = path.read_bytes().decode("utf-8-sig")
        first = text.split("\n", 1)[0]
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count))
        rows = [(n, row) for n, row in enumerate(reader, 1) if any(cell.strip() for cell in row)]
    except UnicodeDecodeError:
        _refuse(path, ["not UTF-8; save it as “CSV UTF-8”"])
    except OSError as error:
        _refuse(path, [f"cannot be read ({error.strerror})"])
    except csv.Error as error:
        _refuse(path, [f"does not read as CSV ({error})"])
    if len(rows) < 2:
        _refuse(path, ["no rows; `aerialstream drill form` writes one to fill in"])
    if len(rows) > MOST_RUNS:
        _refuse(path, [f"more than {MOST_RUNS} rows"])
    return rows


def _run(row, cells, faults):
    number = cells.pop("run", "").strip()
    remark = cells.pop("remark", "").strip()
    typed = {name: text.strip() for name, text in cells.items() if name and text.strip()}
    if not typed and not remark:
        return None
    if not (number.isascii() and number.isalnum() and len(number) <= 12):
        faults.append(f"row {row}, run: read “{number[:40]}”; needed: a number or a letter")
    if len(remark) > LONGEST:
        faults.append(f"row {row}, remark: longer than {LONGEST} signs")
    values = {}
    for name, text in typed.items():
        kind, unit = MEASURED[name]
        reading = read_answer(text, kind, unit, _EXAMPLES[kind])
        if reading.status == "read":
            values[name] = reading.number
        else:
            faults.append(f"row {row}, {name}: {reading.advice}")
    return Run(number=number, values=values, remark=remark, row=row)


def said(name, number, system="US"):
    """A reading as it is printed."""
    return show(quantity(number, MEASURED[name][1]), system, "wind" if name == "wind" else None)


def questions(plan, measurements, system="US"):
    """Readings that look wrong, each with why; none of them is dropped.

    Takes
      plan          a DrillPlan, or anything with `model` and `predicted`
      measurements  Measurements
    Gives
      tuple of Question
    """
    out = []
    for run in measurements.runs:
        out += _within_run(plan, run, system)
        out += _against_plan(plan, run, system)
    out += _between_runs(measurements, system)
    seen = {}
    for question in out:
        seen.setdefault((question.run, question.name), question)
    return tuple(seen.values())


def _ask(run, name, why, system):
    text = f"Run {run.number}, {name}: {said(name, run.values[name], system)}. {why} Right as typed? It is kept."
    return Question(run=run.number, name=name, text=text)


def _within_run(plan, run, system):
    """Readings of one run that do not go together."""
    values = run.values
    for name, number in values.items():
        if MEASURED[name][0] in ("pressure", "flow", "velocity", "time") and number < 0:
            yield _ask(run, name, "Less than nothing.", system)
    order = [n for n in ("nozzle pressure", "inlet pressure", "discharge pressure") if n in values]
    for inner, outer in itertools.pairwise(order):
        if values[inner] > values[outer] + 1:
            yield _ask(
                run,
                inner,
                f"More than the {outer}, {said(outer, values[outer], system)}, that drives it.",
                system,
            )
    bore = plan.model.get("tip_diameter_in")
    if bore and {"flow", "nozzle pressure"} <= set(values) and values["nozzle pressure"] > 0:
        should = smooth_bore_constant(bore) * sqrt(values["nozzle pressure"])
        if abs(values["flow"] / should - 1) > NOZZLE_OFF:
            yield _ask(run, "flow", f"The tip at {said('nozzle pressure', values['nozzle pressure'], system)} "
                       f"flows {said('flow', should, system)}.", system)  # fmt: skip


_FACTORS = ((10, "ten times"), (0.1, "a tenth of"), (6.895, "6.9 times, as if kPa were typed as psi,"),
            (3.785, "3.8 times, as if L/min were typed as gpm,"), (3.281, "3.3 times, as if ft were typed as m,"))  # fmt: skip


def _against_plan(plan, run, system):
    for name, number in run.values.items():
        planned = plan.predicted.get(name)
        if not planned or abs(planned) < 1 or MEASURED[name][0] == "angle":
            continue
        for factor, words in _FACTORS:
            if abs(number / planned / factor - 1) < 0.12:
                yield _ask(
                    run,
                    name,
                    f"That is about {words} the plan's {said(name, planned, system)}.",
                    system,
                )


def _between_runs(measurements, system):
    for name in MEASURED:
        having = [run for run in measurements.runs if name in run.values]
        if len(having) < 3:
            continue
        middle = median(run.values[name] for run in having)
        off = median(abs(run.values[name] - middle) for run in having)
        allowed = max(3.5 * 1.4826 * off, RUN_OFF * abs(middle))
        for run in having:
            if abs(run.values[name] - middle) > allowed > 0:
                yield _ask(run, name, f"The runs lie about {said(name, middle, system)}.", system)
