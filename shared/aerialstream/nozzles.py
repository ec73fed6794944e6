"""Nozzles: discharge, velocity of the stream, and reaction.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from aerialstream._core import nozzles as core
from aerialstream.constants import (
    FOG_REACTION,
    SMOOTH_BORE_FLOW,
    SMOOTH_BORE_FLOW_FULL,
    SMOOTH_BORE_REACTION,
    WATER_DENSITY,
)
from aerialstream.results import MANUAL_DECIDES, Note, Result
from aerialstream.units import Need, quantities, quantity, show

TIP_DIAMETER = Need("length", "inch", above=0)
NOZZLE_PRESSURE = Need("pressure", "psi", above=0)
FLOW = Need("flow", "gpm", above=0)
COEFFICIENT_RANGE = (0.5, 1.0)

_MANUAL = Note("caution", MANUAL_DECIDES)


def _bore(inches):
    return show(quantity(inches, "inch"), kind="bore")


def _outside(name, value, low, high, unit, basis):
    if low <= value <= high:
        return ()
    text = f"{name} {value:g} {unit} is outside {low:g} to {high:g} {unit}, {basis}."
    return (Note("outside range", text),)


def _tip_notes(tip_diameter_in):
    return _outside(
        "tip", tip_diameter_in, 0.875, 2.75, "in", "the sizes we have seen printed values for"
    )


def _pressure_notes(nozzle_pressure_psi):
    return _outside(
        "nozzle pressure",
        nozzle_pressure_psi,
        40,
        175,
        "psi",
        "the pressures we have seen printed values for",
    )


@quantities(tip_diameter=TIP_DIAMETER, nozzle_pressure=NOZZLE_PRESSURE)
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
    if coefficient is not None:
        _refuse_coefficient(coefficient)
    flow_gpm = core.smooth_bore_discharge_gpm(tip_diameter, nozzle_pressure, coefficient)
    constant = SMOOTH_BORE_FLOW if coefficient is None else SMOOTH_BORE_FLOW_FULL
    c_text = "" if coefficient is None else f" × {coefficient:g}"
    return Result(
        title="Flow",
        value=quantity(flow_gpm, "gpm"),
        steps=(
            f"Square the tip: {_bore(tip_diameter)} × {_bore(tip_diameter)}"
            f" = {tip_diameter**2:.5g} in²",
            f"Root of the nozzle pressure: √{nozzle_pressure:.4g} = {nozzle_pressure**0.5:.4g}",
            f"Flow = {constant.value:g}{c_text} × {tip_diameter**2:.5g} × "
            f"{nozzle_pressure**0.5:.4g} = {flow_gpm:,.1f} gpm",
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(nozzle_pressure)),
        sources=(constant.source,),
    )


def _refuse_coefficient(coefficient):
    from aerialstream.errors import ImpossibleValue, UnitError

    low, high = COEFFICIENT_RANGE
    if isinstance(coefficient, bool) or not isinstance(coefficient, int | float):
        raise UnitError(f"coefficient = {coefficient!r}: a plain number is needed, such as 0.97")
    if not low <= coefficient <= high:
        raise ImpossibleValue(f"coefficient = {coefficient:g}: must be {low:g} to {high:g}")


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
        steps=(
            f"Share of the rated pressure: {nozzle_pressure:.4g} / {rated_pressure:.4g}"
            f" = {ratio:.4g}",
            f"Its root: √{ratio:.4g} = {ratio**0.5:.4g}",
            f"Flow = {rated_flow:,.5g} × {ratio**0.5:.4g} = {flow_gpm:,.1f} gpm",
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
      first_principles_velocity; water_density_handbook: 62.4 lb/ft³
    Check value
      >>> print(stream_velocity("80 psi"))
      109 ft/s
    """
    speed = core.stream_velocity_ft_s(nozzle_pressure)
    return Result(
        title="Speed of the stream",
        value=quantity(speed, "foot/second"),
        steps=(
            f"Speed = √(2 × {nozzle_pressure:.4g} psi × 144 × 32.174 / {WATER_DENSITY.value:g})"
            f" = {speed:.1f} ft/s",
        ),
        notes=_pressure_notes(nozzle_pressure),
        sources=("first_principles_velocity", WATER_DENSITY.source),
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
        steps=(
            f"Square the tip: {_bore(tip_diameter)} × {_bore(tip_diameter)}"
            f" = {tip_diameter**2:.5g} in²",
            f"Reaction = {SMOOTH_BORE_REACTION.value:g} × {tip_diameter**2:.5g} × "
            f"{nozzle_pressure:.4g} psi = {force:,.1f} lbf",
        ),
        notes=(*_tip_notes(tip_diameter), *_pressure_notes(nozzle_pressure), _MANUAL),
        sources=(SMOOTH_BORE_REACTION.source, "first_principles_momentum"),
    )


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
      shapiro_handlines_reaction: p. 5; first_principles_momentum: the figure in the note
    Check value
      >>> print(fog_reaction("500 gpm", nozzle_pressure="80 psi"))
      226 lbf
    """
    force = core.fog_reaction_lbf(flow, nozzle_pressure)
    physics = core.momentum_reaction_lbf(flow, nozzle_pressure)
    return Result(
        title="Reaction of the nozzle",
        value=quantity(force, "lbf"),
        steps=(
            f"Root of the nozzle pressure: √{nozzle_pressure:.4g} = {nozzle_pressure**0.5:.4g}",
            f"Reaction = {FOG_REACTION.value:g} × {flow:,.5g} gpm × {nozzle_pressure**0.5:.4g}"
            f" = {force:,.1f} lbf",
        ),
        notes=(
            *_pressure_notes(nozzle_pressure),
            Note(
                "estimate",
                f"Momentum theory gives {physics:,.0f} lbf; the trade's formula is "
                f"{100 * (1 - force / physics):.0f} % lower.",
            ),
            _MANUAL,
        ),
        sources=(FOG_REACTION.source, "first_principles_momentum"),
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
      first_principles_momentum; chin_2017_reaction
    Check value
      >>> print(momentum_reaction("1000 gpm", nozzle_pressure="100 psi"))
      527 lbf
    """
    force = core.momentum_reaction_lbf(flow, nozzle_pressure)
    speed = core.stream_velocity_ft_s(nozzle_pressure)
    return Result(
        title="Reaction by momentum",
        value=quantity(force, "lbf"),
        steps=(
            f"Speed of the stream at {nozzle_pressure:.4g} psi: {speed:.1f} ft/s",
            f"Reaction = water per second / 32.174 × speed = {flow:,.5g} gpm × 0.13368 ft³/gal × "
            f"{WATER_DENSITY.value:g} lb/ft³ / 60 / 32.174 × {speed:.1f} = {force:,.1f} lbf",
        ),
        notes=(*_pressure_notes(nozzle_pressure), _MANUAL),
        sources=("first_principles_momentum", "chin_2017_reaction"),
    )


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
        steps=(f"Half of {flow:,.5g} gpm, read as pounds: {force:,.1f} lbf",),
        notes=(
            Note("estimate", "A rule of thumb: common practice, no source. Use the formulas."),
            _MANUAL,
        ),
        sources=("practice_half_the_gallonage",),
    )


smooth_bore_discharge.plain = core.smooth_bore_discharge_gpm
fog_discharge.plain = core.fog_discharge_gpm
stream_velocity.plain = core.stream_velocity_ft_s
smooth_bore_reaction.plain = core.smooth_bore_reaction_lbf
fog_reaction.plain = core.fog_reaction_lbf
momentum_reaction.plain = core.momentum_reaction_lbf
