"""Predicted beside measured: figures, differences in words, and which input would explain them."""

from dataclasses import dataclass
from statistics import median

from aerialstream.results import Explained, Note
from aerialstream.units import show
from aerialstream.worked import both
from gradekit.drills.evolutions import MEASURED
from gradekit.drills.fitted import (
    HOSE,
    NOZZLE,
    WATERWAY,
    hose_points,
    nozzle_points,
    waterway_points,
)
from gradekit.drills.measured import questions, said

# How far a reading may lie off the plan before it is called a difference; our numbers, no source.
_PLAY = {
    "flow": 0.05, "nozzle pressure": 0.10, "inlet pressure": 0.08, "discharge pressure": 0.08,
    "intake pressure": 0.15,
}  # fmt: skip
NO_CAUSE = 0.04  # an input so near to the plan's explains nothing; our number, no source
_PLAY_OF_KIND = {
    "pressure": 5.0,
    "flow": 20.0,
    "angle": 1.0,
    "length": 2.0,
    "velocity": 3.0,
    "time": 0.1,
}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One quantity: the plan's number, the middle of the runs, and the difference in words."""

    name: str
    planned: float | None
    middle: float
    runs: int
    differs: bool
    text: str


@dataclass(frozen=True, kw_only=True)
class Comparison(Explained):
    """A drill's plan beside its measurements. causes are sentences; asked the Questions."""

    compared: tuple
    causes: tuple
    asked: tuple

    def lines(self, system="US"):
        """Every quantity, then what would explain the differences, then what is asked."""
        out = [(line.name.capitalize(), _in(line.text, system)) for line in self.compared]
        out += [("Would explain it", _in(cause, system)) for cause in self.causes]
        out += [("Asked", question.text) for question in self.asked]
        return tuple(out)

    def __repr__(self):
        return self.text()


def _in(text, system):
    from aerialstream.worked import in_system

    return in_system(text, system)


def compare(plan, measurements):
    """A plan beside what was measured.

    Takes
      plan          a DrillPlan, or anything with `title`, `model` and `predicted`
      measurements  Measurements
    Gives
      Comparison    nothing that was measured is left out; readings that look wrong are asked about
    """
    lines = [_line(plan, measurements, name) for name in MEASURED]
    lines = tuple(line for line in lines if line is not None)
    return Comparison(
        title=f"Planned and measured: {plan.title}",
        compared=lines,
        causes=tuple(_causes(plan, measurements, lines)),
        asked=questions(plan, measurements),
        notes=(
            Note("estimate", "A difference is called one beyond 5 to 15 % of a pressure or flow, 1 deg, or "
                 "2 ft: our numbers, no source."),
            Note("caution", "One drill explains little: two causes can look alike. Gauges are checked first."),
        ),
    )  # fmt: skip


def _line(plan, measurements, name):
    column = measurements.column(name)
    if not column:
        return None
    middle, planned = median(column), plan.predicted.get(name)
    if planned is None:
        text = both(
            lambda pen: f"{said(name, middle, pen.system)} ({len(column)} runs); not planned"
        )
        return Line(
            name=name, planned=None, middle=middle, runs=len(column), differs=False, text=text
        )
    play = max(_PLAY.get(name, 0.0) * abs(planned), _PLAY_OF_KIND[MEASURED[name][0]])
    off = middle - planned
    differs = abs(off) > play
    return Line(name=name, planned=planned, middle=middle, runs=len(column), differs=differs,
                text=both(lambda pen: _difference(pen.system, name, planned, middle, off, differs, len(column))))  # fmt: skip


def _difference(system, name, planned, middle, off, differs, runs):
    times = "1 run" if runs == 1 else f"middle of {runs} runs"
    head = f"planned {said(name, planned, system)}, measured {said(name, middle, system)} ({times})"
    if not differs:
        return f"{head}: as planned, within what both are good for"
    return f"{head}: {said(name, abs(off), system)} {'more' if off > 0 else 'less'} than planned"


def _causes(plan, measurements, lines):
    """What one input alone would have to be; each from the readings that bear on it."""
    differing = {line.name for line in lines if line.differs}
    for what, points_of, bearing, before in (
        (
            NOZZLE,
            nozzle_points,
            {"flow", "nozzle pressure"},
            plan.model.get("nozzle_share") or 1.0,
        ),
        (
            HOSE,
            hose_points,
            {"discharge pressure", "inlet pressure"},
            plan.model.get("coefficient"),
        ),
        (
            WATERWAY,
            waterway_points,
            {"inlet pressure", "nozzle pressure", "discharge pressure"},
            _waterway(plan.model),
        ),
    ):
        points = [p for run in measurements.runs if (p := points_of(plan.model, run)) is not None]
        if not points or not differing & bearing or before is None:
            continue
        value = median(y / x for x, y, _ in points)
        if abs(value / before - 1) < NO_CAUSE:
            continue
        yield both(
            lambda pen, what=what, value=value, before=before: _cause(pen, what, value, before)
        )
    if "elevation" in differing or "extension" in differing:
        yield "The ladder stood elsewhere than planned: strike and height follow from that first."
    if "wind" in {line.name for line in lines} and differing & {
        "strike depth",
        "strike height",
        "throw",
    }:
        yield "Wind moves the strike: look at the wind of those runs before any number is changed."
    missing = {"inlet pressure", "flow"} - {line.name for line in lines}
    if "discharge pressure" in differing and missing:
        yield f"Hose or waterway? Only with {' and '.join(sorted(missing))} read as well can they be told apart."


def _waterway(model):
    loss, flow = model.get("waterway_psi"), model.get("waterway_gpm")
    return None if loss is None else loss * (1000 / flow) ** 2


def _cause(pen, what, value, before):
    if what == NOZZLE:
        return f"Nozzle: {value:.2f} of the formula's flow (bore, gauge or meter)"
    if what == HOSE:
        return f"Hose: coefficient {value:.3g} in place of {before:.3g} (psi per 100 ft at 100 gpm)"
    from aerialstream import quantity

    now, then, flow = (
        show(quantity(v, u), pen.system)
        for v, u in ((value, "psi"), (before, "psi"), (1000, "gpm"))
    )
    return f"Waterway: {now} in place of {then} at {flow}"
