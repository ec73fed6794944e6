"""Hose: friction loss, lines side by side, speed of the water, and two formulas to compare with.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from math import log10
from typing import Any

from aerialstream._checks import each_of, entry, number
from aerialstream._core import hose as core
from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    CUBIC_INCHES_PER_GALLON,
    FAST_IN_HOSE,
    GRAVITY,
    HAZEN_WILLIAMS,
    HOSE_COEFFICIENTS,
    METERS_PER_FOOT,
    WATER_DENSITY,
    WATER_VISCOSITY,
)
from aerialstream.errors import ImpossibleValue
from aerialstream.results import Explained, Note, Result
from aerialstream.sources import source
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

FLOW = Need("flow", "gpm", above=0)
DIAMETER = Need("length", "inch", above=0)
LENGTH = Need("length", "foot", above=0)
FORMULA_SOURCE = "friction_loss_formula"
OWN_COEFFICIENT = "entered_coefficient"
ROUGHEST = 0.05  # of the bore; Colebrook's equation ends there

_LOSS_UNIT = {"pressure": 1, "flow": -2, "length": -1}  # powers in a coefficient's unit

COEFFICIENT = number(0.001, 2000)

_OWN_HOSE = Note(
    "estimate",
    "Tests of 82 hoses found most below the printed coefficients, with a large scatter. "
    "Flow-test your own hose.",
)


def coefficient_in(pen, coefficient):
    """A hose coefficient for a step: as given, or converted for 100 m at 100 L/min."""
    return pen.choose(f"{coefficient:g}", pen.made(coefficient, **_LOSS_UNIT))


def coefficient_told(pen, coefficient):
    """What opens a metric step with a coefficient: that it is converted. Nothing in US units."""
    converted = pen.made(coefficient, **_LOSS_UNIT)
    return pen.choose(
        "", f"Coefficient {coefficient:g} of US units is {converted} for kPa, 100 m and 100 L/min. "
    )


def lines_told(pen, flow, line_count):
    """What opens a step of like lines side by side: what each carries. Nothing for one line."""
    if line_count == 1:
        return ""
    each = pen.of(flow / line_count, "flow", digits=6)
    return f"Each of {line_count:g} lines carries {pen.number(flow, 'flow', 6)} / {line_count:g} = {each}. "


@quantities(flow=FLOW, length=LENGTH, plain={"coefficient": COEFFICIENT})
def friction_loss(flow, *, coefficient, length):
    """Pressure lost in one line of hose: C (Q/100)² (L/100).

    For pump discharge pressure. The coefficient belongs to the hose: your own flow test first
    (`hose_coefficient`).

    Takes
      flow         flow in this line; any flow unit; usual unit gpm; symbol Q
      coefficient  psi lost per 100 ft at 100 gpm, a plain number; symbol C
      length       length of the line; any length unit; usual unit ft; symbol L
    Gives
      Result       loss in psi; shown to 1 psi
    Holds for
      flows usual for that size of hose; see `hose_velocity`
    How close
      as close as the coefficient: printed ones for one size differ by up to 55 %. The square
      reads a little high at high flow and low at low flow (real hose goes as 1.85 to 1.9).
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      friction_loss_formula: formula and worked losses; entered_coefficient
    Check value
      >>> print(friction_loss("300 gpm", coefficient=2, length="200 ft"))
      36 psi
    """
    loss = core.friction_loss_psi(coefficient, flow, length)

    def steps(pen):
        hundreds, lengths = pen.number(flow / 100, "flow"), pen.number(length / 100, "length")
        return (
            f"Flow in hundreds: {pen.number(flow, 'flow', 6)} / 100 = {hundreds}",
            f"Length in hundreds of {pen.choose('feet', 'metres')}: "
            f"{pen.number(length, 'length', 6)} / 100 = {lengths}",
            f"{coefficient_told(pen, coefficient)}Loss = {coefficient_in(pen, coefficient)}"
            f" × {hundreds} × {hundreds} × {lengths} = {pen.of(loss, 'pressure')}",
        )

    return Result(
        title="Friction loss",
        value=quantity(loss, "psi"),
        steps=worked(steps),
        sources=(FORMULA_SOURCE, OWN_COEFFICIENT),
    )


@quantities(loss=Need("pressure", "psi", above=0), flow=FLOW, plain={"coefficient": COEFFICIENT})
def length_for_loss(loss, *, flow, coefficient):
    """Length of a lay that uses up a pressure at a flow: 100 FL / (C (Q/100)²).

    For how far water can be pushed: discharge pressure less what must be left at the end. For
    lines side by side take their flow together and their coefficient together (`parallel_lines`).

    Takes
      loss         pressure that may be lost; any pressure unit; usual unit psi; symbol FL
      flow         flow of the lay; any flow unit; usual unit gpm; symbol Q
      coefficient  psi lost per 100 ft at 100 gpm, a plain number; symbol C
    Gives
      Result       length in ft; shown to 0.1 ft
    Holds for
      level ground; add the pressure for height to what must be left
    How close
      as close as the coefficient
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      friction_loss_formula: turned round; entered_coefficient
    Check value
      >>> print(length_for_loss("36 psi", flow="300 gpm", coefficient=2))
      200 ft
    """
    length = core.length_for_loss_ft(loss, flow, coefficient)

    def steps(pen):
        hundreds = pen.number(flow / 100, "flow", 6)
        each = pen.made(coefficient * (flow / 100) ** 2, 6, pressure=1, length=-1)
        return (
            f"{coefficient_told(pen, coefficient)}Loss in 100 {pen.unit('length')} = "
            f"{coefficient_in(pen, coefficient)} × {hundreds} × {hundreds} = {each}"
            f" {pen.unit('pressure')}",
            f"Length = 100 × {pen.number(loss, 'pressure', 6)} / {each}"
            f" = {pen.of(length, 'length', digits=6)}",
        )

    return Result(
        title="Length",
        value=quantity(length, "foot"),
        steps=worked(steps),
        sources=(FORMULA_SOURCE, OWN_COEFFICIENT),
    )


# --- which coefficient ------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class HoseCoefficient(Explained):
    """The coefficient of a hose and where it comes from.

    value     without unit: psi lost per 100 ft at 100 gpm
    basis     "own flow test" or "printed table"
    printed   every printed value for this size, as (coefficient, source id)
    """

    value: Any
    basis: str
    printed: tuple[tuple[float, str], ...] = ()

    @property
    def coefficient(self):
        """The value as the plain number that the other functions take."""
        return self.value.magnitude

    def lines(self, system="US"):
        """Coefficient, basis and what is printed; metric is for kPa per 100 m at 100 L/min."""
        metric = system == "metric"
        of = "kPa per 100 m at 100 L/min" if metric else "psi per 100 ft at 100 gpm"

        def number(coefficient):
            return f"{core.metric_coefficient(coefficient) if metric else coefficient:.4g}"

        return (
            (f"Coefficient ({of})", number(self.coefficient)),
            ("Basis", self.basis),
            *(
                ("Printed for this size", f"{number(value)} ({source(source_id).title})")
                for value, source_id in self.printed
            ),
        )

    def __str__(self):
        return f"{self.coefficient:g}"

    def __repr__(self):
        return self.text()


@quantities(plain={"hose": entry('hose_kind("supply-5")', "diameter", "coefficient")})
def hose_coefficient(hose):
    """Coefficient of a department's hose: its own flow test first, else a printed value.

    Where sources print different values all are shown, none is averaged, and the one with the
    higher loss is used until the department has tested its hose.

    Takes
      hose             a Hose of the department's data
    Gives
      HoseCoefficient  value, basis and all printed values
    Holds for
      the hose that was tested; a printed value for the hose of its time and couplings
    How close
      tests of 82 hoses found most below the printed values, with a large scatter
    Fails when
      UnitError        it is no entry of the department's data
      ImpossibleValue  no test was entered, and no table has this size: flow-test the hose
    Sources
      department_flow_test; city_training_records; city_hydraulics_text; hose_training_page;
      hose_foundation_2013
    Check value
      >>> from aerialstream import load_department
      >>> print(hose_coefficient(load_department().hose_kind("attack-3")))
      0.8
    """
    inches = hose.diameter.to("inch").magnitude
    rows = [row for row in HOSE_COEFFICIENTS if abs(row.diameter_in - inches) < 1e-3]
    if hose.coefficient is not None:
        chosen, basis, cited = hose.coefficient, "own flow test", ["department_flow_test"]
        notes = [Note("estimate", f"Flow-tested by the department on {hose.tested}.")]
    elif rows:
        chosen, basis = max(row.coefficient for row in rows), "printed table"
        cited = [*(row.source for row in rows), "hose_foundation_2013"]
        notes = [*_disagreement(rows), _OWN_HOSE]
    else:
        raise ImpossibleValue(
            f"{hose.name}: no coefficient was entered and no table has {inches:g}-in hose. "
            "Flow-test it and enter coefficient and day (tested) in hose.toml."
        )
    return HoseCoefficient(
        title="Coefficient of the hose",
        value=quantity(chosen, "dimensionless"),
        basis=basis,
        printed=tuple((row.coefficient, row.source) for row in rows),
        steps=worked(lambda pen: (_loss_of_a_hundred(pen, chosen),)),
        notes=tuple(notes),
        sources=tuple(cited),
    )


def _loss_of_a_hundred(pen, coefficient):
    """What a coefficient means, as a sum: at 200 gpm, or at 1,000 L/min."""
    told, number = coefficient_told(pen, coefficient), coefficient_in(pen, coefficient)
    metric = core.metric_coefficient(coefficient)
    return pen.choose(
        f"Loss of 100 ft at 200 gpm: {number} × 2 × 2 × 1 = {4 * coefficient:g} psi",
        f"{told}Loss of 100 m at 1,000 L/min: {number} × 10 × 10 × 1 = {100 * metric:,.5g} kPa",
    )


def _disagreement(rows):
    """A note where more than one value is printed for a size."""
    if len(rows) < 2:
        return ()

    def text(pen):
        values = " and ".join(coefficient_in(pen, row.coefficient) for row in rows)
        in_us = " and ".join(f"{row.coefficient:g}" for row in rows)
        converted = pen.choose("", f" (for US units, as printed: {in_us})")
        return (
            f"Sources disagree: {values}{converted} are both printed for this size. "
            "The higher loss is used."
        )

    return (Note("caution", both(text)),)


# --- lines side by side -----------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class ParallelLines(Explained):
    """Lines side by side between the same two points.

    flows         flow in each line, in the order given
    loss          pressure lost, the same in every line
    coefficient   of all lines together, without unit: psi at 100 gpm through the whole lay
    """

    flow: Any
    flows: tuple[Any, ...]
    loss: Any
    coefficient: Any

    def lines(self, system="US"):
        """Loss, then the flow of each line, as (label, text) pairs."""
        each = [
            (f"Flow in line {number}", show(flow, system))
            for number, flow in enumerate(self.flows, 1)
        ]
        return (("Loss, the same in every line", show(self.loss, system)), *each)

    def __repr__(self):
        return self.text()


def _plain_lines(lines):
    """(coefficients, lengths in ft) of lines given as (coefficient, length) pairs."""

    @quantities(length=LENGTH, plain={"coefficient": COEFFICIENT})
    def line(coefficient, length):
        return coefficient, length

    try:
        pairs = [(coefficient, length) for coefficient, length in lines]
    except (TypeError, ValueError):
        pairs = []
    if not pairs:
        raise ImpossibleValue(
            'lines: pairs of coefficient and length are needed, such as [(0.8, "300 ft")]'
        )
    return zip(*each_of("line", line, pairs), strict=True)


@quantities(flow=FLOW)
def parallel_lines(flow, *, lines):
    """Flow in each of several lines side by side, and the loss they share.

    For two or more lines from the pumper to the aerial, like or unlike, of any lengths. All
    lose the same pressure, so each takes its share 1/√(C L). n like lines: C / n².

    Takes
      flow           flow through all lines together; any flow unit; usual unit gpm; symbol Q
      lines          (coefficient, length) of each line, a list; lengths in any length unit
    Gives
      ParallelLines  flows in gpm, loss in psi, coefficient of all together; shown to 1 gpm, 1 psi
    Holds for
      lines that start and end together, level with one another
    How close
      0.8 % from EPANET for a 3-in beside a 2 1/2-in line; averaging unequal lengths, the trade's
      short cut, is off by 3 % for 200 and 300 ft
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or there is no line
    Sources
      first_principles_parallel_lines; friction_loss_formula; entered_coefficient
    Check value
      >>> lay = parallel_lines("1000 gpm", lines=[(0.8, "300 ft"), (2, "300 ft")])
      >>> print(show(lay.flows[0]))
      613 gpm
    """
    coefficients, lengths = _plain_lines(lines)
    together = core.parallel_coefficient(coefficients, lengths)
    flows = core.parallel_flows_gpm(coefficients, lengths, flow)
    loss = together * (flow / 100) ** 2
    legs = tuple(zip(coefficients, lengths, flows, strict=True))
    return ParallelLines(
        title="Lines side by side",
        flow=quantity(flow, "gpm"),
        flows=tuple(quantity(one, "gpm") for one in flows),
        loss=quantity(loss, "psi"),
        coefficient=quantity(together, "dimensionless"),
        steps=worked(lambda pen: _shares(pen, flow, legs, loss)),
        sources=("first_principles_parallel_lines", FORMULA_SOURCE, OWN_COEFFICIENT),
    )


def _shares(pen, flow, legs, loss):
    """Steps of the split; legs are (coefficient, length in ft, flow in gpm) of each line."""
    roots = [(c * length / 100) ** 0.5 for c, length, _ in legs]
    shown = [pen.made(root, 6, pressure=0.5, flow=-1) for root in roots]
    total = pen.made(sum(1 / root for root in roots), 6, pressure=-0.5, flow=1)
    yield from (
        f"Line {number}, root of C × L / 100{pen.choose('', f' (C {c:g} of US units, converted)')}: "
        f"√({coefficient_in(pen, c)} × {pen.number(length, 'length', 6)} / 100) = {root}"
        for number, ((c, length, _), root) in enumerate(zip(legs, shown, strict=True), 1)
    )
    yield f"All shares together: {' + '.join(f'1 / {root}' for root in shown)} = {total}"
    yield from (
        f"Flow in line {number} = {pen.number(flow, 'flow', 6)} / {root} / {total}"
        f" = {pen.of(one, 'flow')}"
        for number, ((*_, one), root) in enumerate(zip(legs, shown, strict=True), 1)
    )
    hundreds = pen.number(flow / 100, "flow", 6)
    yield f"Loss = {hundreds} × {hundreds} / ({total} × {total}) = {pen.of(loss, 'pressure')}"


# --- speed, and two formulas to compare with --------------------------------------------------


@quantities(flow=FLOW, diameter=DIAMETER)
def hose_velocity(flow, *, diameter):
    """Speed of the water in a hose.

    For seeing whether a hose is asked for more than its size is meant for: a note is added
    above 35 ft/s (common practice).

    Takes
      flow      flow in this line; any flow unit; usual unit gpm
      diameter  inside diameter of the hose; any length unit; usual unit in
    Gives
      Result    speed in ft/s; shown to 0.1 ft/s
    Holds for
      a hose that runs full
    How close
      exact for the bore given; hose swells under pressure, so the real bore may be larger
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      first_principles_pipe_velocity; definition_us_gallon: 0.13368 ft³; practice_hose_velocity:
      35 ft/s (common practice)
    Check value
      >>> print(hose_velocity("1000 gpm", diameter="5 in"))
      16.3 ft/s
    """
    speed = core.velocity_ft_s(flow, diameter)
    notes, cited = (), ("first_principles_pipe_velocity", CUBIC_INCHES_PER_GALLON.source)
    if speed > FAST_IN_HOSE.value:
        text = both(
            lambda pen: (
                f"Faster than {pen.shown(FAST_IN_HOSE.value, 'velocity')}: more than this "
                "size is meant for (common practice). The printed coefficients are for less; use a "
                "larger or another line."
            )
        )
        notes, cited = (Note("outside range", text),), (*cited, FAST_IN_HOSE.source)
    return Result(
        title="Speed in the hose",
        value=quantity(speed, "foot/second"),
        steps=worked(lambda pen: _speed_steps(pen, flow, diameter, speed)),
        notes=notes,
        sources=cited,
    )


def _speed_steps(pen, flow, diameter, speed):
    across, area = diameter / 12, 3.14159 / 4 * (diameter / 12) ** 2
    bore, square = pen.number(across, "length", 6), pen.number(area, "area", 6)
    volume = pen.choose(f"× {CUBIC_FEET_PER_GALLON:.5f}", "/ 1,000")
    return (
        f"Bore in {pen.choose('feet', 'metres')}: {pen.number(diameter, 'bore', 6)} / "
        f"{pen.choose('12', '1,000')} = {bore}",
        f"Area, square {pen.choose('feet', 'metres')}: 3.14159 / 4 × {bore} × {bore} = {square}",
        f"Speed = {pen.number(flow, 'flow', 6)} {volume} / 60 / {square}"
        f" = {pen.of(speed, 'velocity', 2)}",
    )


@quantities(
    flow=FLOW, diameter=DIAMETER, length=LENGTH, roughness=Need("length", "inch", at_least=0)
)
def darcy_loss(flow, *, diameter, length, roughness="0 in"):
    """Pressure lost in a hose or pipe by Darcy-Weisbach with Colebrook's friction factor.

    The physics beside the trade's coefficient, for comparing: f (L/D) ρ v²/2.

    Takes
      flow       flow in this line; any flow unit; usual unit gpm
      diameter   inside diameter; any length unit; usual unit in
      length     length; any length unit; usual unit ft
      roughness  height of the wall's roughness; any length unit; 0 for a smooth lining
    Gives
      Result     loss in psi; shown to 1 psi
    Holds for
      a round bore that runs full, roughness up to a twentieth of it, water at 60 °F
    How close
      0.5 % from the fluids library; real hose has its own bore and roughness, so this is a band
      to compare with and no replacement for a flow test
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      darcy_colebrook; water_viscosity_60f; water_density_handbook; definition_us_gallon:
      0.13368 ft³; definition_standard_gravity: 32.174 ft/s²
    Check value
      >>> print(darcy_loss("500 gpm", diameter="3 in", length="100 ft"))
      18 psi
    """
    if roughness > ROUGHEST * diameter:
        raise ImpossibleValue(
            f"roughness {roughness:g} in: must be at most a twentieth of the bore, {diameter:g} in"
        )
    loss = core.darcy_loss_psi(flow, diameter, length, roughness)
    speed = core.velocity_ft_s(flow, diameter)
    reynolds = core.reynolds_number(flow, diameter)
    factor = core.darcy_friction_factor(reynolds, roughness / diameter)
    return Result(
        title="Friction loss by Darcy-Weisbach",
        value=quantity(loss, "psi"),
        steps=worked(
            lambda pen: (
                *_speed_steps(pen, flow, diameter, speed),
                f"Reynolds number = {pen.number(speed, 'velocity')} × "
                f"{pen.number(diameter / 12, 'length', 6)} / {_viscosity(pen)} = {reynolds:,.0f}",
                _factor_step(reynolds, roughness / diameter, factor),
                f"Loss = {factor:.6f} × {pen.number(length, 'length', 6)} / "
                f"({pen.number(diameter, 'bore', 6)} / {pen.choose('12', '1,000')}) × "
                f"{pen.number(speed, 'velocity')} × {pen.number(speed, 'velocity')} / "
                + pen.choose(
                    f"(2 × {GRAVITY.value:g}) × {WATER_DENSITY.value:g} / 144",
                    f"2 × {pen.number(WATER_DENSITY.value, 'density')} / 1,000",
                )
                + f" = {pen.of(loss, 'pressure')}",
            )
        ),
        notes=(Note("estimate", "For comparing only: use the coefficient of your own hose."),),
        sources=(
            "darcy_colebrook",
            WATER_VISCOSITY.source,
            WATER_DENSITY.source,
            CUBIC_INCHES_PER_GALLON.source,
            GRAVITY.source,
        ),
    )


def _viscosity(pen):
    """Kinematic viscosity, square feet or square metres a second."""
    return pen.choose(
        f"{WATER_VISCOSITY.value:.9f}", f"{WATER_VISCOSITY.value * METERS_PER_FOOT**2:.10f}"
    )


def _factor_step(reynolds, rough, factor):
    """The friction factor, and the two sides of Colebrook's equation that it makes equal."""
    if reynolds < 2300:
        return f"Friction factor = 64 / {reynolds:,.0f} = {factor:.6f}"
    root = factor**-0.5
    other = -2 * log10(rough / 3.7 + 2.51 / reynolds * root)
    return (
        f"Friction factor {factor:.6f} by Colebrook's equation: with k/D {rough:.5g} its sides, "
        f"1/√f and -2 log(k/D / 3.7 + 2.51 / (Re √f)), are {root:.4f} and {other:.4f}"
    )


def _bore_in_cm(pen, diameter):
    return pen.choose(f"{diameter:.6g}", f"{diameter * 2.54:.6g}")


@quantities(
    flow=FLOW, diameter=DIAMETER, length=LENGTH, plain={"hazen_williams_c": number(20, 200)}
)
def hazen_williams_loss(flow, *, diameter, length, hazen_williams_c):
    """Pressure lost in a hose or pipe by Hazen-Williams: 4.52 Q^1.85 / (C^1.85 d^4.87) a foot.

    The sprinkler trade's and waterworks' formula beside the hose coefficient, for comparing.

    Takes
      flow              flow in this line; any flow unit; usual unit gpm
      diameter          inside diameter; any length unit; usual unit in
      length            length; any length unit; usual unit ft
      hazen_williams_c  the pipe's C, a plain number: about 140 for a smooth lining
    Gives
      Result            loss in psi; shown to 1 psi
    Holds for
      water near room temperature in turbulent flow
    How close
      EPANET's own form (exponents 1.852 and 4.871) reads 0.3 to 0.7 % higher
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or C is not from 20 to 200
    Sources
      sprinkler_hazen_williams; sprinkler_worksheet: a worked value
    Check value
      >>> print(hazen_williams_loss("250 gpm", diameter="3.068 in", length="100 ft",
      ...                           hazen_williams_c=140))
      6 psi
    """
    loss = core.hazen_williams_loss_psi(flow, diameter, length, hazen_williams_c)

    def steps(pen):
        share = pen.made(flow / hazen_williams_c, 6, flow=1)
        flow_power = pen.made((flow / hazen_williams_c) ** 1.85, 6, flow=1.85)
        # Millimetres to the power 4.87 are too large to read: metric counts in centimetres.
        smaller = pen.choose(1, 10**4.87)
        bore_power = pen.made(diameter**4.87 / smaller, 6, bore=4.87)
        powers = {"pressure": 1, "length": -1, "flow": -1.85, "bore": 4.87}
        constant = pen.made(HAZEN_WILLIAMS.value / smaller, **powers)
        return (
            f"Flow over C: {pen.number(flow, 'flow', 6)} / {hazen_williams_c:g} = {share}",
            f"That to the power 1.85: {share}^1.85 = {flow_power}",
            f"Bore{pen.choose('', ' in cm')} to the power 4.87: {_bore_in_cm(pen, diameter)}^4.87"
            f" = {bore_power}",
            f"Loss = {constant} × {flow_power} / {bore_power} × {pen.number(length, 'length', 6)}"
            f" = {pen.of(loss, 'pressure')}",
        )

    return Result(
        title="Friction loss by Hazen-Williams",
        value=quantity(loss, "psi"),
        steps=worked(steps),
        notes=(Note("estimate", "For comparing only: use the coefficient of your own hose."),),
        sources=(HAZEN_WILLIAMS.source,),
    )


friction_loss.plain = core.friction_loss_psi
length_for_loss.plain = core.length_for_loss_ft
parallel_lines.plain = core.parallel_flows_gpm
hose_velocity.plain = core.velocity_ft_s
darcy_loss.plain = core.darcy_loss_psi
hazen_williams_loss.plain = core.hazen_williams_loss_psi
