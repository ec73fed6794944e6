"""What the measurements say about the department's own numbers, each with its spread.

Three lines through nought, by least squares: the hose's coefficient, the waterway's loss and the
nozzle's flow against the formula; and the quality of its stream (see `thrown.py`). The spread is that of 95 of 100 cases: the scatter of the runs
by Student's t, and with it a gauge or meter that reads steadily off. Nothing here changes a
department's files.
"""

from dataclasses import dataclass
from math import hypot, sqrt

from aerialstream._core.elevation import elevation_pressure_psi, nozzle_height_ft
from aerialstream._core.nozzles import smooth_bore_constant
from aerialstream.worked import both
from gradekit.drills.thrown import fit_quality, thrown_of

LEAST_RUNS = 3
GAUGE_OFF_PSI, METER_OFF = 2.0, 0.02  # our numbers, no source: a steady error that scatter hides
# Student's t, two-sided 95 %, for 1 to 30 degrees of freedom (any statistical table).
_T95 = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.160,
    2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074, 2.069, 2.064, 2.060, 2.056,
    2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
HOSE, WATERWAY, NOZZLE = "hose coefficient", "waterway loss", "nozzle flow"
QUALITY = "stream quality"


def t95(freedom):
    """Student's t for 95 %, two-sided; above 30 its value for 30, which is on the wide side."""
    return _T95[min(freedom, len(_T95)) - 1]


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """One number by the measurements.

    what     HOSE (psi per 100 ft at 100 gpm), WATERWAY (psi at 1,000 gpm), NOZZLE (times the
             formula) or QUALITY (1 good, more is worse); id names the hose, device or nozzle
    value, spread   spread is half of the range that 95 of 100 cases lie in
    scatter  of one reading about the line, in its own unit (psi, or gpm; of QUALITY in how well
             such a reading is taken)
    before   what the plan was made with; runs how many went in
    """

    what: str
    id: str
    value: float
    spread: float
    standard_error: float
    scatter: float
    runs: int
    before: float | None

    def agrees(self):
        """Whether the number that the plan was made with lies within the spread."""
        return self.before is None or abs(self.value - self.before) <= self.spread

    def words(self):
        """The estimate in a sentence, in both unit systems."""
        return both(lambda pen: _words(self, pen))


def _words(estimate, pen):
    def number(value):
        if estimate.what == WATERWAY:
            return pen.shown(value, "pressure")
        return f"{value:.3g}"

    unit = {
        HOSE: " (psi per 100 ft at 100 gpm)", NOZZLE: " of the formula's flow",
        QUALITY: " (1 is good, more is worse)",
    }.get(estimate.what)  # fmt: skip
    unit = unit or f" at {pen.shown(1000, 'flow')}"
    said = f"{estimate.what.capitalize()} of {estimate.id}: {number(estimate.value)} ± {number(estimate.spread)}{unit}, {estimate.runs} {'readings' if estimate.what == QUALITY else 'runs'}"
    if estimate.before is None:
        return f"{said}; nothing entered before"
    word = "agrees with" if estimate.agrees() else "does not agree with"
    return f"{said}; {word} {number(estimate.before)} that the plan was made with"


def through_nought(xs, ys):
    """(slope, its standard error, scatter) of y = slope x by least squares."""
    square = sum(x * x for x in xs)
    slope = sum(x * y for x, y in zip(xs, ys, strict=True)) / square
    rest = sum((y - slope * x) ** 2 for x, y in zip(xs, ys, strict=True))
    scatter = sqrt(rest / (len(xs) - 1))
    return slope, scatter / sqrt(square), scatter


def height_psi(model, run):
    """Pressure of the nozzle's height in a run; by the plan's set-up where it was not read."""
    extension, elevation = run.values.get("extension"), run.values.get("elevation")
    if extension is None or elevation is None:
        return model.get("height_psi")
    return elevation_pressure_psi(
        nozzle_height_ft(model["turntable_ft"], extension, elevation, 0.0)
    )


def hose_points(model, run):
    """(x, y, 0) of the hose's line, or None: y is what the lines take, x what a coefficient of 1 takes."""
    values = run.values
    if not {"flow", "inlet pressure", "discharge pressure"} <= set(values) or not model.get(
        "lines"
    ):
        return None
    length = values.get("lay length", model.get("lay_ft"))
    x = (values["flow"] / model["lines"] / 100) ** 2 * length / 100
    return (x, values["discharge pressure"] - values["inlet pressure"], 0.0) if x > 0 else None


def waterway_points(model, run):
    """(x, y, 0) of the waterway's line, or None; the inlet's tested loss is taken off."""
    values, height = run.values, height_psi(model, run)
    if not {"flow", "inlet pressure", "nozzle pressure"} <= set(values) or height is None:
        return None
    if model.get("inlet_psi") is None:
        return None
    inlet = model["inlet_psi"] * (values["flow"] / model["inlet_gpm"]) ** 2
    x = (values["flow"] / 1000) ** 2
    taken = values["inlet pressure"] - values["nozzle pressure"] - height - inlet
    return (x, taken, 0.0) if x > 0 else None


def nozzle_points(model, run):
    """(x, y, pressure) of the nozzle's line, or None: y the flow read, x the formula's."""
    values, bore = run.values, model.get("tip_diameter_in")
    if (
        bore is None
        or not {"flow", "nozzle pressure"} <= set(values)
        or values["nozzle pressure"] <= 0
    ):
        return None
    pressure = values["nozzle pressure"]
    return smooth_bore_constant(bore) * sqrt(pressure), values["flow"], pressure


def _at_1000(model):
    loss, flow = model.get("waterway_psi"), model.get("waterway_gpm")
    return None if loss is None else loss * (1000 / flow) ** 2


_LINES = {
    HOSE: (hose_points, "hose", lambda m: m.get("coefficient")),
    WATERWAY: (waterway_points, "device", _at_1000),
    NOZZLE: (nozzle_points, "nozzle", lambda m: m.get("nozzle_share") or 1.0),
}


def estimates(drills, *, gauge_off_psi=GAUGE_OFF_PSI, meter_off=METER_OFF, aside=()):
    """What one or many drills say of hose, waterway and nozzle.

    Takes
      drills         (model, Measurements) pairs; model as `DrillPlan.model` has it
      gauge_off_psi  how far two gauges may steadily read apart
      meter_off      share by which the flow meter may steadily be off
      aside          (drill's number from 0, run) pairs that are left out on somebody's word
    Gives
      (tuple of Estimate, tuple of texts: what could not be fitted, and why)
    """
    found, missing = [], []
    for what, (points_of, key, before_of) in _LINES.items():
        for name in dict.fromkeys(model.get(key) for model, _ in drills):
            if name is None:
                continue
            points, before = [], None
            for number, (model, measured) in enumerate(drills):
                if model.get(key) != name:
                    continue
                before = before_of(model) if before is None else before
                kept = [run for run in measured.runs if (number, run.number) not in aside]
                points += [p for run in kept if (p := points_of(model, run)) is not None]
            if len(points) < LEAST_RUNS:
                missing.append(
                    f"{what} of {name}: {len(points)} runs with all readings; {LEAST_RUNS} are needed"
                )
                continue
            found.append(_estimate(what, name, points, before, gauge_off_psi, meter_off))
    for name in dict.fromkeys(model.get("nozzle") for model, _ in drills):
        one, why = _quality_of(name, drills, gauge_off_psi, aside) if name else (None, "")
        found += [one] if one is not None else []
        missing += [f"{QUALITY} of {name}: {why}"] if why else []
    return tuple(found), tuple(missing)


def _quality_of(name, drills, gauge_off_psi, aside):
    """(Estimate or None, why there is none); both empty where no throw and no strike was read."""
    points, before, left = [], None, []
    for number, (model, measured) in enumerate(drills):
        if model.get("nozzle") != name:
            continue
        before = model.get("stream_quality") if before is None else before
        for run in measured.runs:
            if (number, run.number) not in aside:
                thrown, why = thrown_of(model, run)
                points += thrown
                left += [why] if why else []
    said = f" ({'; '.join(left)})" if left else ""
    if not points and not left:
        return None, ""
    if len(points) < LEAST_RUNS:
        return (
            None,
            f"{len(points)} throws or strikes that can be used; {LEAST_RUNS} are needed{said}",
        )
    fit = fit_quality(points, gauge_off_psi=gauge_off_psi)
    if isinstance(fit, str):
        return None, fit + said
    return Estimate(
        what=QUALITY, id=name, value=fit.quality,
        spread=t95(len(points) - 1) * fit.standard_error + fit.steady,
        standard_error=fit.standard_error, scatter=fit.scatter, runs=len(points), before=before,
    ), said and f"left out: {said.strip(' ()')}"  # fmt: skip


def _estimate(what, name, points, before, gauge_off_psi, meter_off):
    xs, ys, pressures = zip(*points, strict=True)
    slope, error, scatter = through_nought(xs, ys)
    square = sum(x * x for x in xs)
    if what == NOZZLE:  # flow goes with the root of the pressure: half of a gauge's share
        gauge = (
            0.5
            * gauge_off_psi
            * slope
            * sum(x * x / p for x, p in zip(xs, pressures, strict=True))
            / square
        )
        steady = hypot(slope * meter_off, gauge)
    else:
        steady = hypot(2 * abs(slope) * meter_off, gauge_off_psi * sum(xs) / square)
    return Estimate(
        what=what, id=name, value=slope, spread=t95(len(points) - 1) * error + steady,
        standard_error=error, scatter=scatter, runs=len(points), before=before,
    )  # fmt: skip


def pooled(estimates_):
    """Many estimates of one number as one: weighted by their spreads, widened where they disagree.

    What scatters gets less with every drill; what a gauge reads steadily off does not, since it is
    as a rule the same gauge.

    Gives
      (value, spread, whether they agree)
    """
    weights = [1 / e.spread**2 for e in estimates_]
    total = sum(weights)
    value = sum(w * e.value for w, e in zip(weights, estimates_, strict=True)) / total
    scattered = [t95(e.runs - 1) * e.standard_error for e in estimates_]
    steady = (
        sum(w * (e.spread - s) for w, e, s in zip(weights, estimates_, scattered, strict=True))
        / total
    )
    random = sqrt(sum((w * s) ** 2 for w, s in zip(weights, scattered, strict=True))) / total
    if len(estimates_) < 2:
        return value, random + steady, True
    strain = sum(w * (e.value - value) ** 2 for w, e in zip(weights, estimates_, strict=True))
    ratio = sqrt(strain / (len(estimates_) - 1))
    return value, (random + steady) * max(1.0, ratio), ratio <= 1.0
