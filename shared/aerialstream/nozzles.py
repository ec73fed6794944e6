"""Nozzles: discharge, velocity of the stream, and reaction.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from typing import Any

from aerialstream._checks import choice, each_of, entry, number
from aerialstream._core import nozzles as core
from aerialstream.constants import (
    CUBIC_INCHES_PER_GALLON,
    FOG_REACTION,
    GRAVITY,
    SMOOTH_BORE_FLOW,
    SMOOTH_BORE_FLOW_FULL,
    SMOOTH_BORE_REACTION,
    WATER_DENSITY,
)
from aerialstream.errors import ImpossibleValue
from aerialstream.results import MANUAL_DECIDES, Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

TIP_DIAMETER = Need("length", "inch", above=0)
NOZZLE_PRESSURE = Need("pressure", "psi", above=0)
FLOW = Need("flow", "gpm", above=0)
COEFFICIENT_RANGE = (0.5, 1.0)

_MANUAL = Note("caution", MANUAL_DECIDES)


def _outside(name, value, low, high, kind, basis):
    if low <= value <= high:
        return ()
    text = both(
        lambda pen: (
            f"{name} {pen.of(value, kind, digits=6)} is outside {pen.number(low, kind)} to "
            f"{pen.of(high, kind)}, {basis}."
        )
    )
    return (Note("outside range", text),)


def _tip_notes(tip_diameter_in):
    return _outside("tip", tip_diameter_in, 0.875, 2.75, "bore", "the sizes that our checks cover")


def _pressure_notes(nozzle_pressure_psi):
    return _outside(
        "nozzle pressure",
        nozzle_pressure_psi,
        40,
        175,
        "pressure",
        "the pressures that our checks cover",
    )


def _flow_constant(pen, constant=SMOOTH_BORE_FLOW):
    return pen.constant(constant.value, flow=1, bore=-2, pressure=-0.5)


def _square_step(pen, tip_diameter):
    bore, unit = pen.bore(tip_diameter), pen.unit("bore")
    return f"Square the tip: {bore} {unit} × {bore} {unit} = {pen.square(tip_diameter)} {unit}²"


def _root_step(pen, nozzle_pressure):
    return (
        f"Root of the nozzle pressure: √{pen.number(nozzle_pressure, 'pressure', 4)}"
        f" = {pen.root(nozzle_pressure)}"
    )


def _coefficient_fault(name, value):
    return "" if value is None else number(*COEFFICIENT_RANGE)(name, value)


@quantities(
    tip_diameter=TIP_DIAMETER,
    nozzle_pressure=NOZZLE_PRESSURE,
    plain={"coefficient": _coefficient_fault},
)
def smooth_bore_discharge(tip_diameter, *, nozzle_pressure, coefficient=None):
    """Flow of a smooth-bore tip.

    For sizing the flow from tip and nozzle pressure. Without a coefficient the trade's
    practice form 29.7 d² √NP; with one, 29.84 c d² √P.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in; symbol d
      nozzle_pressure  velocity pressure of the jet at the tip (pitot), gauge; any pressure
                       unit; usual unit psi; symbol NP
      coefficient      discharge coefficient, 0.5 to 1, or None for the practice form; symbol c
    Gives
      Result           flow in gpm; shown to 1 gpm
    Holds for
      tips 7/8 to 2 3/4 in, 40 to 175 psi; outside it a note is added, not an error
    How close
      the printed tip table agrees within 1 gpm (1.5 below 300 gpm); 29.7 is 29.84 with a
      coefficient of 0.995. A gauge on the wall behind the tip reads less than NP.
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative, infinite, or the coefficient is out of range
    Sources
      instruction_sheet_2015_tips: p. 5; first_principles_discharge: the constant 29.84
    Check value
      >>> print(smooth_bore_discharge("1 3/8 in", nozzle_pressure="80 psi"))
      502 gpm
    """
    flow_gpm = core.smooth_bore_discharge_gpm(tip_diameter, nozzle_pressure, coefficient)
    constant = SMOOTH_BORE_FLOW if coefficient is None else SMOOTH_BORE_FLOW_FULL
    c_text = "" if coefficient is None else f" × {coefficient:g}"
    return Result(
        title="Flow",
        value=quantity(flow_gpm, "gpm"),
        steps=worked(
            lambda pen: (
                _square_step(pen, tip_diameter),
                _root_step(pen, nozzle_pressure),
                f"Flow = {_flow_constant(pen, constant)}{c_text} × "
                f"{pen.square(tip_diameter)} × {pen.root(nozzle_pressure)}"
                f" = {pen.of(flow_gpm, 'flow', 1)}",
            )
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(nozzle_pressure)),
        sources=(constant.source,),
    )


@quantities(rated_flow=FLOW, rated_pressure=NOZZLE_PRESSURE, nozzle_pressure=NOZZLE_PRESSURE)
def fog_discharge(rated_flow, *, rated_pressure, nozzle_pressure):
    """Flow of a fog nozzle with a fixed opening, on or off its rated pressure.

    For constant-gallonage nozzles and one setting of a selectable one: Qr √(P / Pr). An
    automatic nozzle changes its opening and does not follow this.

    Takes
      rated_flow       flow stamped on the nozzle or setting; any flow unit; usual unit gpm
      rated_pressure   pressure that the rating is for, gauge; any pressure unit; usual psi
      nozzle_pressure  pressure at the nozzle, gauge; any pressure unit; usual unit psi
    Gives
      Result           flow in gpm; shown to 1 gpm
    Holds for
      a fixed opening at any pressure; 40 to 175 psi, outside it a note is added
    How close
      exact for a fixed opening; the rating itself may be off (the maker says how far)
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      first_principles_fixed_orifice
    Check value
      >>> print(fog_discharge("1000 gpm", rated_pressure="100 psi", nozzle_pressure="64 psi"))
      800 gpm
    """
    flow_gpm = core.fog_discharge_gpm(rated_flow, rated_pressure, nozzle_pressure)
    ratio = nozzle_pressure / rated_pressure
    return Result(
        title="Flow",
        value=quantity(flow_gpm, "gpm"),
        steps=worked(
            lambda pen: (
                f"Share of the rated pressure: {pen.number(nozzle_pressure, 'pressure', 4)} / "
                f"{pen.number(rated_pressure, 'pressure', 4)} = {pen.number(ratio, digits=4)}",
                f"Its root: √{pen.number(ratio, digits=4)} = {pen.number(ratio**0.5, digits=4)}",
                f"Flow = {pen.number(rated_flow, 'flow')} × {pen.number(ratio**0.5, digits=4)}"
                f" = {pen.of(flow_gpm, 'flow', 1)}",
            )
        ),
        notes=_pressure_notes(nozzle_pressure),
        sources=("first_principles_fixed_orifice",),
    )


@quantities(nozzle_pressure=NOZZLE_PRESSURE)
def stream_velocity(nozzle_pressure):
    """Speed of the stream as it leaves the nozzle.

    For reach and for the force of the stream: v = √(2P/ρ), about 12.19 √P in ft/s and psi.

    Takes
      nozzle_pressure  velocity pressure at the tip, gauge; any pressure unit; usual unit psi
    Gives
      Result           speed in ft/s; shown to 0.1 ft/s
    Holds for
      any full jet; 40 to 175 psi, outside it a note is added
    How close
      water at 62.4 lb/ft³; a fog nozzle's real speed is a few per cent lower
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      first_principles_velocity; water_density_handbook: 62.4 lb/ft³;
      definition_standard_gravity: 32.174 ft/s²
    Check value
      >>> print(stream_velocity("80 psi"))
      109 ft/s
    """
    speed = core.stream_velocity_ft_s(nozzle_pressure)
    return Result(
        title="Speed of the stream",
        value=quantity(speed, "foot/second"),
        steps=worked(
            lambda pen: (
                f"Speed = √(2 × {pen.of(nozzle_pressure, 'pressure', digits=4)} × "
                f"{pen.choose('144 × 32.174', '1,000')} / "
                f"{pen.constant(WATER_DENSITY.value, density=1)})"
                f" = {pen.of(speed, 'velocity', 1)}",
            )
        ),
        notes=_pressure_notes(nozzle_pressure),
        sources=("first_principles_velocity", WATER_DENSITY.source, GRAVITY.source),
    )


@quantities(tip_diameter=TIP_DIAMETER, nozzle_pressure=NOZZLE_PRESSURE)
def smooth_bore_reaction(tip_diameter, *, nozzle_pressure):
    """Reaction of a smooth-bore tip: the push back along the stream.

    For knowing what the stream does to the ladder: 1.57 d² NP, which is twice the pressure
    times the area of the tip.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in; symbol d
      nozzle_pressure  velocity pressure at the tip, gauge; any pressure unit; usual unit psi
    Gives
      Result           force in lbf; shown to 1 lbf
    Holds for
      tips 7/8 to 2 3/4 in, 40 to 175 psi; outside it a note is added
    How close
      momentum theory for a coefficient of 1; printed values agree within 1 lbf
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      shapiro_handlines_reaction: p. 5; first_principles_momentum: 2 × π/4 = 1.5708
    Check value
      >>> print(smooth_bore_reaction("1 3/8 in", nozzle_pressure="80 psi"))
      237 lbf
    """
    force = core.smooth_bore_reaction_lbf(tip_diameter, nozzle_pressure)
    return Result(
        title="Reaction of the nozzle",
        value=quantity(force, "lbf"),
        steps=worked(
            lambda pen: (
                _square_step(pen, tip_diameter),
                f"Reaction = {_reaction_constant(pen)} × {pen.square(tip_diameter)} × "
                f"{pen.of(nozzle_pressure, 'pressure', digits=4)} = {pen.of(force, 'force', 1)}",
            )
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(nozzle_pressure), _MANUAL),
        sources=(SMOOTH_BORE_REACTION.source, "first_principles_momentum"),
    )


def _reaction_constant(pen):
    return pen.constant(SMOOTH_BORE_REACTION.value, force=1, bore=-2, pressure=-1)


def _fog_constant(pen):
    return pen.constant(FOG_REACTION.value, force=1, flow=-1, pressure=-0.5)


@quantities(flow=FLOW, nozzle_pressure=NOZZLE_PRESSURE)
def fog_reaction(flow, *, nozzle_pressure):
    """Reaction of a fog nozzle by the trade's formula 0.0505 Q √NP.

    For a straight stream or narrow fog from a fog nozzle of known flow.

    Takes
      flow             flow at that pressure; any flow unit; usual unit gpm; symbol Q
      nozzle_pressure  pressure at the nozzle, gauge; any pressure unit; usual unit psi
    Gives
      Result           force in lbf; shown to 1 lbf
    Holds for
      40 to 175 psi; outside it a note is added
    How close
      96 % of what momentum theory gives; `momentum_reaction` gives the other figure
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      shapiro_handlines_reaction: p. 5; first_principles_momentum: the figure in the note;
      water_density_handbook: for that figure
    Check value
      >>> print(fog_reaction("500 gpm", nozzle_pressure="80 psi"))
      226 lbf
    """
    force = core.fog_reaction_lbf(flow, nozzle_pressure)
    physics = core.momentum_reaction_lbf(flow, nozzle_pressure)
    return Result(
        title="Reaction of the nozzle",
        value=quantity(force, "lbf"),
        steps=worked(
            lambda pen: (
                _root_step(pen, nozzle_pressure),
                f"Reaction = {_fog_constant(pen)} × {pen.of(flow, 'flow')} × "
                f"{pen.root(nozzle_pressure)} = {pen.of(force, 'force', 1)}",
            )
        ),
        notes=(
            *_pressure_notes(nozzle_pressure),
            Note(
                "estimate",
                both(
                    lambda pen: (
                        f"Momentum theory gives {pen.shown(physics, 'force')}; the trade's "
                        f"formula is {100 * (1 - force / physics):.0f} % lower."
                    )
                ),
            ),
            _MANUAL,
        ),
        sources=(FOG_REACTION.source, "first_principles_momentum", WATER_DENSITY.source),
    )


@quantities(flow=FLOW, nozzle_pressure=NOZZLE_PRESSURE)
def momentum_reaction(flow, *, nozzle_pressure):
    """Reaction of any nozzle from the momentum of its jet: ρ Q v.

    The physics beside the trade's formulas, for comparing a fog with a smooth-bore nozzle.

    Takes
      flow             flow of the nozzle; any flow unit; usual unit gpm; symbol Q
      nozzle_pressure  velocity pressure of the jet, gauge; any pressure unit; usual unit psi
    Gives
      Result           force in lbf; shown to 1 lbf
    Holds for
      a full jet that leaves at the speed its pressure gives; 40 to 175 psi
    How close
      a real fog nozzle's jet is a few per cent slower than its pressure gives
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      first_principles_momentum; chin_2017_reaction; water_density_handbook: 62.4 lb/ft³;
      definition_us_gallon: 0.13368 ft³; definition_standard_gravity: 32.174 ft/s²
    Check value
      >>> print(momentum_reaction("1000 gpm", nozzle_pressure="100 psi"))
      527 lbf
    """
    force = core.momentum_reaction_lbf(flow, nozzle_pressure)
    speed = core.stream_velocity_ft_s(nozzle_pressure)
    return Result(
        title="Reaction by momentum",
        value=quantity(force, "lbf"),
        steps=worked(
            lambda pen: (
                f"Speed of the stream at {pen.of(nozzle_pressure, 'pressure', digits=4)}: "
                f"{pen.of(speed, 'velocity', 1)}",
                f"Reaction = water per second{pen.choose(' / 32.174', '')} × speed"
                f" = {pen.of(flow, 'flow')} × {pen.choose('0.13368 ft³/gal', '0.001 m³/L')} × "
                f"{pen.constant(WATER_DENSITY.value, density=1)} {pen.unit('density')} / 60"
                f"{pen.choose(' / 32.174', '')} × "
                f"{pen.choose(f'{speed:.1f}', pen.number(speed, 'velocity'))}"
                f" = {pen.of(force, 'force', 1)}",
            )
        ),
        notes=(*_pressure_notes(nozzle_pressure), _MANUAL),
        sources=(
            "first_principles_momentum",
            "chin_2017_reaction",
            WATER_DENSITY.source,
            CUBIC_INCHES_PER_GALLON.source,
            GRAVITY.source,
        ),
    )


def _rule_constant(pen, share):
    return pen.constant(share, force=1, flow=-1)


@quantities(flow=FLOW)
def half_the_gallonage(flow):
    """The rule of thumb: reaction in pounds is about half the gallonage.

    For a first idea on the ground. Close for a fog nozzle at 100 psi and a smooth bore at
    80 psi; at other pressures it is off (at 75 psi fog it reads 14 % high).

    Takes
      flow    flow of the nozzle; any flow unit; usual unit gpm
    Gives
      Result  force in lbf; shown to 1 lbf
    Holds for
      fog about 100 psi, smooth bore about 80 psi
    How close
      fog at 100 psi -1 %; smooth bore at 80 psi +6 %, against the trade's formulas
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      practice_half_the_gallonage (common practice, no source)
    Check value
      >>> print(half_the_gallonage("1000 gpm"))
      500 lbf
    """
    force = flow / 2
    return Result(
        title="Reaction by the rule of thumb",
        value=quantity(force, "lbf"),
        steps=worked(
            lambda pen: (
                pen.choose(
                    f"Half of {flow:,.5g} gpm, read as pounds: {force:,.1f} lbf",
                    f"Half the US gallons read as pounds is {_rule_constant(pen, 1 / 2)} N for "
                    f"each L/min: {_rule_constant(pen, 1 / 2)} × {pen.of(flow, 'flow')}"
                    f" = {pen.of(force, 'force')}",
                ),
            )
        ),
        notes=(
            Note("estimate", "A rule of thumb: common practice, no source. Use the formulas."),
            _MANUAL,
        ),
        sources=("practice_half_the_gallonage",),
    )


# --- the gauge behind the tip ---------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class WallGauge(Explained):
    """What a gauge in the wall behind a tip stands for: the jet's own pressure, and the flow."""

    velocity_pressure: Any
    flow: Any

    def lines(self, system="US"):
        """Pressure and flow as (label, text) pairs."""
        return (
            ("Velocity pressure of the jet", show(self.velocity_pressure, system)),
            ("Flow", show(self.flow, system)),
        )

    def __repr__(self):
        return self.text()


@quantities(
    tip_diameter=TIP_DIAMETER,
    pipe_diameter=Need("length", "inch", above=0),
    gauge_pressure=NOZZLE_PRESSURE,
)
def wall_gauge_discharge(tip_diameter, *, pipe_diameter, gauge_pressure):
    """Flow of a smooth-bore tip from a gauge in the wall of the pipe just behind it.

    For a monitor whose gauge sits at the base of the tip. The water already moves past such a
    gauge, so it reads less than the jet's pressure: P_jet = P_gauge / (1 - (d/D)⁴), and the
    flow is 1/√(1 - (d/D)⁴) times what the gauge alone would give in 29.7 d² √NP.

    Takes
      tip_diameter    bore of the tip; any length unit; usual unit in; symbol d
      pipe_diameter   bore of the pipe where the gauge sits, wider than the tip; usual unit in;
                      symbol D
      gauge_pressure  what the gauge reads; any pressure unit; usual unit psi
    Gives
      WallGauge       velocity_pressure in psi and flow in gpm; shown to 1 psi and 1 gpm
    Holds for
      a gauge just behind the tip, nothing between them that loses pressure
    How close
      exact for a jet without contraction or loss; the wider the pipe, the smaller the difference
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or the tip is as wide as the pipe
    Sources
      first_principles_wall_gauge; instruction_sheet_2015_tips: the constant 29.7
    Check value
      >>> read = wall_gauge_discharge("2 in", pipe_diameter="3 1/2 in", gauge_pressure="80 psi")
      >>> print(show(read.flow))
      1,124 gpm
    """
    if tip_diameter > 0.99 * pipe_diameter:
        raise ImpossibleValue(
            f"tip_diameter {tip_diameter:g} in, pipe_diameter {pipe_diameter:g} in: the pipe must "
            "be wider, by 1 % at least"
        )
    velocity = core.wall_gauge_velocity_pressure_psi(tip_diameter, pipe_diameter, gauge_pressure)
    flow_gpm = core.smooth_bore_discharge_gpm(tip_diameter, velocity)
    ratio = tip_diameter / pipe_diameter
    return WallGauge(
        title="Flow by a gauge in the wall",
        velocity_pressure=quantity(velocity, "psi"),
        flow=quantity(flow_gpm, "gpm"),
        steps=worked(
            lambda pen: (
                f"Tip against pipe: {pen.number(tip_diameter, 'bore', 6)} / "
                f"{pen.number(pipe_diameter, 'bore', 6)} = {ratio:.5g}",
                f"Its fourth power: {ratio:.5g} × {ratio:.5g} × {ratio:.5g} × {ratio:.5g}"
                f" = {ratio**4:.5g}",
                f"Velocity pressure = {pen.number(gauge_pressure, 'pressure')} / "
                f"(1 - {ratio**4:.5g}) = {pen.of(velocity, 'pressure')}",
                f"Flow = {_flow_constant(pen)} × {pen.square(tip_diameter)} × "
                f"√{pen.number(velocity, 'pressure')} = {pen.of(flow_gpm, 'flow', 1)}",
            )
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(velocity)),
        sources=("first_principles_wall_gauge", SMOOTH_BORE_FLOW.source),
    )


# --- pressure at a flow -----------------------------------------------------------------------


@quantities(flow=FLOW, tip_diameter=TIP_DIAMETER)
def smooth_bore_pressure(flow, *, tip_diameter):
    """Nozzle pressure of a smooth-bore tip at a flow: (Q / (29.7 d²))².

    For reading a flow meter backwards: what pressure the tip must have.

    Takes
      flow          flow of the tip; any flow unit; usual unit gpm; symbol Q
      tip_diameter  bore of the tip; any length unit; usual unit in; symbol d
    Gives
      Result        velocity pressure in psi; shown to 1 psi
    Holds for
      tips 7/8 to 2 3/4 in, 40 to 175 psi; outside it a note is added
    How close
      twice the error of the flow: 1 % of the flow is 2 % of the pressure
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      instruction_sheet_2015_tips: p. 5, read backwards
    Check value
      >>> print(smooth_bore_pressure("502 gpm", tip_diameter="1 3/8 in"))
      80 psi
    """
    constant = core.smooth_bore_constant(tip_diameter)
    pressure = core.smooth_bore_pressure_psi(flow, tip_diameter)
    return Result(
        title="Nozzle pressure",
        value=quantity(pressure, "psi"),
        steps=worked(
            lambda pen: (
                f"Flow at 1 {pen.unit('pressure')} = {_flow_constant(pen)} × "
                f"{pen.square(tip_diameter, 6)}"
                f" = {pen.made(constant, flow=1, pressure=-0.5)} {pen.unit('flow')}",
                f"Root of the nozzle pressure = {pen.number(flow, 'flow', 6)} / "
                f"{pen.made(constant, flow=1, pressure=-0.5)} = {pen.root(pressure, 5)}",
                f"Nozzle pressure = {pen.root(pressure, 5)} × {pen.root(pressure, 5)}"
                f" = {pen.of(pressure, 'pressure', digits=4)}",
            )
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(pressure)),
        sources=(SMOOTH_BORE_FLOW.source,),
    )


@quantities(flow=FLOW, rated_flow=FLOW, rated_pressure=NOZZLE_PRESSURE)
def fog_pressure(flow, *, rated_flow, rated_pressure):
    """Nozzle pressure of a fog nozzle with a fixed opening at a flow: Pr (Q / Qr)².

    For constant-gallonage nozzles and one setting of a selectable one.

    Takes
      flow            flow of the nozzle; any flow unit; usual unit gpm; symbol Q
      rated_flow      flow stamped on the nozzle or setting; any flow unit; symbol Qr
      rated_pressure  pressure that the rating is for, gauge; any pressure unit; symbol Pr
    Gives
      Result          pressure in psi; shown to 1 psi
    Holds for
      a fixed opening; 40 to 175 psi, outside it a note is added
    How close
      exact for a fixed opening; the rating itself may be off (the maker says how far)
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      first_principles_fixed_orifice
    Check value
      >>> print(fog_pressure("800 gpm", rated_flow="1000 gpm", rated_pressure="100 psi"))
      64 psi
    """
    ratio = flow / rated_flow
    pressure = core.fog_pressure_psi(flow, rated_flow, rated_pressure)
    return Result(
        title="Nozzle pressure",
        value=quantity(pressure, "psi"),
        steps=worked(
            lambda pen: (
                f"Share of the rated flow: {pen.number(flow, 'flow', 6)} / "
                f"{pen.number(rated_flow, 'flow', 6)} = {ratio:.5g}",
                f"Nozzle pressure = {pen.number(rated_pressure, 'pressure')} × {ratio:.5g} × "
                f"{ratio:.5g} = {pen.of(pressure, 'pressure', digits=4)}",
            )
        ),
        notes=_pressure_notes(pressure),
        sources=("first_principles_fixed_orifice",),
    )


# --- automatic fog ----------------------------------------------------------------------------

_CREEP = Note(
    "estimate",
    "An automatic nozzle's pressure creeps up over its range; here it is held at its rating. "
    "The stream looks good while the flow is low: watch the flow, not the stream.",
)
_AUTOMATIC_SOURCES = ("first_principles_fixed_orifice", "automatic_nozzles_article")


@dataclass(frozen=True, kw_only=True)
class FlowRange(Explained):
    """Least and most flow at a nozzle pressure; the same but for an automatic nozzle at its rating."""

    least: Any
    most: Any

    def lines(self, system="US"):
        """The one flow, or the least and most, as (label, text) pairs."""
        if self.least == self.most:
            return ((self.title, show(self.least, system)),)
        return (
            (f"{self.title}, least", show(self.least, system)),
            (f"{self.title}, most", show(self.most, system)),
        )

    def __str__(self):
        return " to ".join(dict.fromkeys((show(self.least), show(self.most))))

    def __repr__(self):
        return self.text()


def _refuse_range(least_flow, most_flow):
    if least_flow >= most_flow:
        raise ImpossibleValue(
            f"least_flow {least_flow:g} gpm, most_flow {most_flow:g} gpm: the least must be less"
        )


@quantities(
    rated_pressure=NOZZLE_PRESSURE,
    least_flow=FLOW,
    most_flow=FLOW,
    nozzle_pressure=NOZZLE_PRESSURE,
)
def automatic_discharge(rated_pressure, *, least_flow, most_flow, nozzle_pressure):
    """Flow of an automatic fog nozzle at a nozzle pressure.

    At its rated pressure it flows whatever the supply brings, from least to most. Below the
    rating the baffle is closed as far as it goes, above it is wide open: a fixed opening, for
    which the flow goes as the root of the pressure.

    Takes
      rated_pressure   pressure that the nozzle holds, gauge; any pressure unit; usual unit psi
      least_flow       least flow at that pressure; any flow unit; usual unit gpm
      most_flow        most flow at that pressure; any flow unit; usual unit gpm
      nozzle_pressure  pressure at the nozzle, gauge; any pressure unit; usual unit psi
    Gives
      FlowRange        least and most flow in gpm, the same off the rating; shown to 1 gpm
    Holds for
      an ideal baffle; 40 to 175 psi, outside it a note is added
    How close
      a real one's pressure creeps up over its range
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or least is not less than most
    Sources
      first_principles_fixed_orifice; automatic_nozzles_article: the pressure creeps up
    Check value
      >>> low = automatic_discharge("100 psi", least_flow="250 gpm", most_flow="1000 gpm",
      ...                           nozzle_pressure="64 psi")
      >>> print(low)
      200 gpm
    """
    _refuse_range(least_flow, most_flow)
    least, most = core.automatic_range_gpm(rated_pressure, least_flow, most_flow, nozzle_pressure)
    if least != most:
        steps = worked(
            lambda pen: (
                f"At its rated pressure the nozzle flows what comes: "
                f"{pen.number(least, 'flow')} to {pen.of(most, 'flow')}",
            )
        )
    else:
        fixed = least_flow if nozzle_pressure < rated_pressure else most_flow
        where, way = (
            ("below", "closed as far as it goes") if fixed == least_flow else ("above", "wide open")
        )
        steps = worked(
            lambda pen: (
                f"{pen.of(nozzle_pressure, 'pressure')} is {where} the rating: "
                f"the baffle is {way}, a fixed opening",
                f"Flow = {pen.number(fixed, 'flow', 6)} × "
                f"√({pen.number(nozzle_pressure, 'pressure', 6)} / "
                f"{pen.number(rated_pressure, 'pressure', 6)}) = {pen.of(least, 'flow', 1)}",
            )
        )
    return FlowRange(
        title="Flow",
        least=quantity(least, "gpm"),
        most=quantity(most, "gpm"),
        steps=steps,
        notes=(*_pressure_notes(nozzle_pressure), _CREEP),
        sources=_AUTOMATIC_SOURCES,
    )


@quantities(flow=FLOW, rated_pressure=NOZZLE_PRESSURE, least_flow=FLOW, most_flow=FLOW)
def automatic_pressure(flow, *, rated_pressure, least_flow, most_flow):
    """Nozzle pressure of an automatic fog nozzle at a flow: its rating within its range.

    Outside the range it is a fixed opening: Pr (Q / least)² below, Pr (Q / most)² above.

    Takes
      flow            flow of the nozzle; any flow unit; usual unit gpm; symbol Q
      rated_pressure  pressure that the nozzle holds, gauge; any pressure unit; symbol Pr
      least_flow      least flow at that pressure; any flow unit; usual unit gpm
      most_flow       most flow at that pressure; any flow unit; usual unit gpm
    Gives
      Result          pressure in psi; shown to 1 psi
    Holds for
      an ideal baffle; 40 to 175 psi, outside it a note is added
    How close
      a real one's pressure creeps up over its range
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or least is not less than most
    Sources
      first_principles_fixed_orifice; automatic_nozzles_article: the pressure creeps up
    Check value
      >>> print(automatic_pressure("1200 gpm", rated_pressure="100 psi", least_flow="250 gpm",
      ...                          most_flow="1000 gpm"))
      144 psi
    """
    _refuse_range(least_flow, most_flow)
    pressure = core.automatic_pressure_psi(rated_pressure, least_flow, most_flow, flow)
    end = min(max(flow, least_flow), most_flow)
    if end == flow:
        steps = worked(
            lambda pen: (
                f"{pen.of(flow, 'flow', digits=6)} is within its range: the nozzle holds its rating",
                f"Nozzle pressure: {pen.of(pressure, 'pressure')}",
            )
        )
    else:
        side = "below" if flow < end else "above"

        def share(pen):
            return f"({pen.number(flow, 'flow', 6)} / {pen.number(end, 'flow', 6)})"

        steps = worked(
            lambda pen: (
                f"{pen.of(flow, 'flow', digits=6)} is {side} its range: a fixed opening",
                f"Nozzle pressure = {pen.number(rated_pressure, 'pressure')} × {share(pen)} × "
                f"{share(pen)} = {pen.of(pressure, 'pressure')}",
            )
        )
    return Result(
        title="Nozzle pressure",
        value=quantity(pressure, "psi"),
        steps=steps,
        notes=(*_pressure_notes(pressure), _CREEP),
        sources=_AUTOMATIC_SOURCES,
    )


# --- a department's own nozzle ----------------------------------------------------------------


def setting_of(nozzle, setting=None):
    """The flow in gpm that a fog nozzle with a fixed opening is rated for.

    Takes
      nozzle   a department's Nozzle, "fixed fog" or "selectable fog"
      setting  gpm of one of a selectable nozzle's settings; None where there is only one
    Fails when
      ImpossibleValue  the nozzle has no such setting, or several and none was named
    """
    flows = [flow.magnitude for flow in nozzle.settings or (nozzle.rated_flow,)]
    if setting is None and len(flows) == 1:
        return flows[0]
    for flow in flows:
        if setting is not None and abs(flow - setting) <= 1e-6 * flow:
            return flow
    there = ", ".join(f"{flow:,.5g} gpm" for flow in flows)
    asked = "none was named" if setting is None else f"{setting:,.5g} gpm is none of them"
    raise ImpossibleValue(f"setting of {nozzle.name}: {asked}; it has {there}")


def opening_constant(nozzle, setting=None):
    """gpm per √psi of a department's nozzle with a fixed opening, for loops and the supply chain.

    An automatic nozzle has none: use its rated_pressure, least_flow and most_flow.
    """
    if nozzle.kind == "smooth bore":
        return core.smooth_bore_constant(nozzle.tip_diameter.magnitude)
    if nozzle.kind == "automatic fog":
        raise ImpossibleValue(f"{nozzle.name}: an automatic nozzle has no fixed opening")
    return core.orifice_constant(setting_of(nozzle, setting), nozzle.rated_pressure.magnitude)


_OWN = {"nozzle": entry('nozzle("fog-1000")', "kind", "rated_pressure")}


@quantities(nozzle_pressure=NOZZLE_PRESSURE, setting=FLOW, plain=_OWN)
def nozzle_flow(nozzle, *, nozzle_pressure, setting=None):
    """Flow of one of the department's nozzles at a nozzle pressure, by the rule of its kind.

    Smooth bore 29.7 d² √NP; fixed and selectable fog Qr √(P / Pr); automatic fog its range at
    its rating and a fixed opening off it.

    Takes
      nozzle           a Nozzle of the department's data
      nozzle_pressure  pressure at the nozzle, gauge; any pressure unit; usual unit psi
      setting          rated flow of the setting of a selectable fog nozzle, else None
    Gives
      FlowRange        least and most flow in gpm, the same but for an automatic nozzle at its
                       rating; shown to 1 gpm
    Holds for
      40 to 175 psi; outside it a note is added
    How close
      as `smooth_bore_discharge`, `fog_discharge` and `automatic_discharge` say
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a pressure that cannot be, or a setting that the nozzle has not
    Sources
      instruction_sheet_2015_tips: p. 5; first_principles_fixed_orifice;
      automatic_nozzles_article: the pressure creeps up
    Check value
      >>> from aerialstream import load_department
      >>> fog = load_department().nozzle("fog-1000")
      >>> print(nozzle_flow(fog, nozzle_pressure="64 psi"))
      800 gpm
    """
    pressure = quantity(nozzle_pressure, "psi")
    if nozzle.kind == "automatic fog":
        return automatic_discharge(
            nozzle.rated_pressure,
            least_flow=nozzle.least_flow,
            most_flow=nozzle.most_flow,
            nozzle_pressure=pressure,
        )
    if nozzle.kind == "smooth bore":
        found = smooth_bore_discharge(nozzle.tip_diameter, nozzle_pressure=pressure)
    else:
        found = fog_discharge(
            quantity(setting_of(nozzle, setting), "gpm"),
            rated_pressure=nozzle.rated_pressure,
            nozzle_pressure=pressure,
        )
    return FlowRange(
        title=found.title,
        least=found.value,
        most=found.value,
        steps=found.steps,
        notes=found.notes,
        sources=found.sources,
    )


@quantities(flow=FLOW, setting=FLOW, plain=_OWN)
def pressure_of_nozzle(nozzle, *, flow, setting=None):
    """Nozzle pressure of one of the department's nozzles at a flow, by the rule of its kind.

    The other way round from `nozzle_flow`.

    Takes
      nozzle   a Nozzle of the department's data
      flow     flow of the nozzle; any flow unit; usual unit gpm
      setting  rated flow of the setting of a selectable fog nozzle, else None
    Gives
      Result   pressure in psi; shown to 1 psi
    Holds for
      40 to 175 psi; outside it a note is added
    How close
      as `smooth_bore_pressure`, `fog_pressure` and `automatic_pressure` say
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a flow that cannot be, or a setting that the nozzle has not
    Sources
      instruction_sheet_2015_tips: p. 5, read backwards; first_principles_fixed_orifice;
      automatic_nozzles_article: the pressure creeps up
    Check value
      >>> from aerialstream import load_department
      >>> fog = load_department().nozzle("fog-1000")
      >>> print(pressure_of_nozzle(fog, flow="800 gpm"))
      64 psi
    """
    flow = quantity(flow, "gpm")
    if nozzle.kind == "smooth bore":
        return smooth_bore_pressure(flow, tip_diameter=nozzle.tip_diameter)
    if nozzle.kind == "automatic fog":
        return automatic_pressure(
            flow,
            rated_pressure=nozzle.rated_pressure,
            least_flow=nozzle.least_flow,
            most_flow=nozzle.most_flow,
        )
    return fog_pressure(
        flow,
        rated_flow=quantity(setting_of(nozzle, setting), "gpm"),
        rated_pressure=nozzle.rated_pressure,
    )


# --- a stack of tips --------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Tip:
    """One tip of a stack at the stack's pressure."""

    diameter: Any
    flow: Any
    reaction: Any


@dataclass(frozen=True, kw_only=True)
class StackOfTips(Explained):
    """Flow and reaction of each tip of a stack, at one nozzle pressure."""

    nozzle_pressure: Any
    tips: tuple[Tip, ...]

    def lines(self, system="US"):
        """A (tip, flow and reaction) pair for each tip."""
        return tuple(
            (
                f"{show(tip.diameter, system, 'bore')} tip",
                f"{show(tip.flow, system)}, {show(tip.reaction, system)}",
            )
            for tip in self.tips
        )

    def __repr__(self):
        return self.text()


@quantities(nozzle_pressure=NOZZLE_PRESSURE)
def stack_of_tips(tips, *, nozzle_pressure):
    """Flow and reaction of every tip of a stack at one nozzle pressure.

    For choosing a tip: 29.7 d² √NP and 1.57 d² NP, side by side.

    Takes
      tips             bores of the tips, a list; any length unit; usual unit in
      nozzle_pressure  velocity pressure at the tip, gauge; any pressure unit; usual unit psi
    Gives
      StackOfTips      tips, each with diameter, flow in gpm and reaction in lbf
    Holds for
      tips 7/8 to 2 3/4 in, 40 to 175 psi; outside it a note is added
    How close
      printed values agree within 1 gpm and 1 lbf
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite, or there is no tip
    Sources
      instruction_sheet_2015_tips: p. 5; shapiro_handlines_reaction: p. 5
    Check value
      >>> stack = stack_of_tips(["1 1/4 in", "1 3/8 in"], nozzle_pressure="80 psi")
      >>> print(show(stack.tips[1].flow), "|", show(stack.tips[1].reaction))
      502 gpm | 237 lbf
    """
    if not isinstance(tips, list | tuple) or not tips:
        raise ImpossibleValue('tips: a list of bores is needed, such as ["1 1/2 in", "1 3/4 in"]')

    @quantities(tip_diameter=TIP_DIAMETER)
    def tip(tip_diameter):
        return tip_diameter

    bores = each_of("tip", tip, [(one,) for one in tips])
    found = [_tip_of_stack(bore, nozzle_pressure) for bore in bores]
    return StackOfTips(
        title="Stack of tips",
        nozzle_pressure=quantity(nozzle_pressure, "psi"),
        tips=tuple(found),
        steps=worked(lambda pen: _stack_steps(pen, found, nozzle_pressure)),
        notes=(
            *(note for bore in bores for note in _tip_notes(bore)),
            *_pressure_notes(nozzle_pressure),
            _MANUAL,
        ),
        sources=(SMOOTH_BORE_FLOW.source, SMOOTH_BORE_REACTION.source),
    )


def _tip_of_stack(bore, nozzle_pressure):
    return Tip(
        diameter=quantity(bore, "inch"),
        flow=quantity(core.smooth_bore_discharge_gpm(bore, nozzle_pressure), "gpm"),
        reaction=quantity(core.smooth_bore_reaction_lbf(bore, nozzle_pressure), "lbf"),
    )


def _stack_steps(pen, tips, nozzle_pressure):
    root, pressure = pen.root(nozzle_pressure, 5), pen.number(nozzle_pressure, "pressure")
    steps = [f"Root of the nozzle pressure: √{pressure} = {root}"]
    for tip in tips:
        bore, unit = tip.diameter.magnitude, pen.unit("bore")
        steps += [
            f"{pen.bore(bore)} {unit}, flow: {_flow_constant(pen)} × {pen.square(bore, 6)} × {root}"
            f" = {pen.of(tip.flow.magnitude, 'flow', 1)}",
            f"{pen.bore(bore)} {unit}, reaction: {_reaction_constant(pen)} × "
            f"{pen.square(bore, 6)} × {pressure} = {pen.of(tip.reaction.magnitude, 'force', 1)}",
        ]
    return steps


# --- rules of thumb for the reaction ----------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class RuleError(Explained):
    """How far off half and a third of the gallonage are as pounds of reaction.

    per_gallon   lbf for each gpm by the trade's formula
    half, third  error of the rule in percent, + reads high
    """

    per_gallon: float
    half: Any
    third: Any

    def lines(self, system="US"):
        """The two errors as (label, text) pairs."""
        return (
            ("Half the gallonage reads", _high_or_low(self.half)),
            ("A third of the gallonage reads", _high_or_low(self.third)),
        )

    def __repr__(self):
        return self.text()


_A_THIRD = Note(
    "caution",
    both(
        lambda pen: (
            f"A third of the gallonage belongs to {pen.choose('50-psi', '345-kPa')} handlines. For "
            "a master stream it reads low by about 30 %: do not use it there."
        )
    ),
)


def _rule_steps(pen, kind, nozzle_pressure, each, half, third):
    root = f"√{pen.number(nozzle_pressure, 'pressure')}"
    if kind == "fog":
        by_formula = f"{_fog_constant(pen)} × {root}"
    else:
        by_formula = f"{_reaction_constant(pen)} / {_flow_constant(pen)} × {root}"
    formula = pen.made(each, force=1, flow=-1)
    if pen.system == "US":
        return (
            f"Pounds for each gpm by the formula: {by_formula} = {each:.4f}",
            f"Half of it against that: 100 × (0.5 / {formula} - 1) = {half:.1f} %",
            f"A third against that: 100 × (1 / 3 / {formula} - 1) = {third:.1f} %",
        )
    a_half, a_third = _rule_constant(pen, 1 / 2), _rule_constant(pen, 1 / 3)
    return (
        f"N for each L/min by the formula: {by_formula} = {formula}",
        f"Half the US gallons read as pounds is {a_half} N for each L/min; against that: "
        f"100 × ({a_half} / {formula} - 1) = {half:.1f} %",
        f"A third of them is {a_third} N for each L/min; against that: "
        f"100 × ({a_third} / {formula} - 1) = {third:.1f} %",
    )


def _high_or_low(error):
    return f"{show(abs(error))} {'high' if error.magnitude > 0 else 'low'}"


@quantities(nozzle_pressure=NOZZLE_PRESSURE, plain={"kind": choice(("smooth bore", "fog"))})
def rule_error(nozzle_pressure, *, kind):
    """Error of "half the gallonage" and "a third of the gallonage" as pounds of reaction.

    Against the trade's formulas 1.57 d² NP and 0.0505 Q √NP. It depends on the kind of nozzle
    and its pressure only, not on the flow.

    Takes
      nozzle_pressure  pressure at the nozzle, gauge; any pressure unit; usual unit psi
      kind             "smooth bore" or "fog"
    Gives
      RuleError        half and third in percent, + reads high; shown to 1 %
    Holds for
      40 to 175 psi; outside it a note is added
    How close
      as close as the trade's formulas; the fog one is 4 % below momentum theory
    Fails when
      UnitError        the pressure has no unit or one of another kind
      ImpossibleValue  the pressure is zero, negative or infinite, or the kind is another one
    Sources
      practice_half_the_gallonage (common practice, no source); practice_third_of_gallonage
      (common practice, no source); shapiro_handlines_reaction: p. 5;
      instruction_sheet_2015_tips: the flow of a smooth bore
    Check value
      >>> print(show(rule_error("80 psi", kind="fog").half))
      11 %
    """
    each = core.reaction_per_gallon(kind, nozzle_pressure)
    half, third = 100 * (1 / 2 / each - 1), 100 * (1 / 3 / each - 1)
    return RuleError(
        title="Error of the rules of thumb",
        per_gallon=each,
        half=quantity(half, "percent"),
        third=quantity(third, "percent"),
        steps=worked(
            lambda pen: _rule_steps(pen, kind, nozzle_pressure, each, half, third),
        ),
        notes=(*_pressure_notes(nozzle_pressure), _A_THIRD, _MANUAL),
        sources=(
            "practice_half_the_gallonage",
            "practice_third_of_gallonage",
            FOG_REACTION.source,
            *((SMOOTH_BORE_FLOW.source,) if kind == "smooth bore" else ()),
        ),
    )


smooth_bore_discharge.plain = core.smooth_bore_discharge_gpm
fog_discharge.plain = core.fog_discharge_gpm
stream_velocity.plain = core.stream_velocity_ft_s
smooth_bore_reaction.plain = core.smooth_bore_reaction_lbf
fog_reaction.plain = core.fog_reaction_lbf
momentum_reaction.plain = core.momentum_reaction_lbf
wall_gauge_discharge.plain = core.wall_gauge_velocity_pressure_psi
smooth_bore_pressure.plain = core.smooth_bore_pressure_psi
fog_pressure.plain = core.fog_pressure_psi
automatic_discharge.plain = core.automatic_range_gpm
automatic_pressure.plain = core.automatic_pressure_psi
rule_error.plain = core.reaction_per_gallon
