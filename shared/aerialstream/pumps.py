"""A fire pump: what its rating promises, what it must add, and the power in the water.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from aerialstream._checks import NeedLike
from aerialstream._core import pumps as core
from aerialstream._core.supply import lift_limit_ft
from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    FEET_OF_WATER_PER_PSI_ROUNDED,
    PUMP_OVERLOAD,
    PUMP_RATED_POINTS,
    SQUARE_INCHES_PER_SQUARE_FOOT,
    WATER_HORSEPOWER,
)
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

FLOW = Need("flow", "gpm", above=0)
DISCHARGE = NeedLike("pressure", "psi", above=0, like="185 psi")
INTAKE = NeedLike("pressure", "psi", like="50 psi")
SEA_LEVEL_AIR_PSI = 14.7
LIFT = NeedLike(
    "length", "foot", at_least=0, at_most=round(lift_limit_ft(SEA_LEVEL_AIR_PSI), 1), like="10 ft"
)
INTAKE_LOSS = NeedLike("length", "foot", at_least=0, like="2 ft")
RATING_SOURCE = PUMP_RATED_POINTS[0].source
_EXACT_HORSEPOWER = 33_000 / (CUBIC_FEET_PER_GALLON * SQUARE_INCHES_PER_SQUARE_FOOT)


@dataclass(frozen=True, kw_only=True)
class RatedPoint:
    """Flow that the rating promises at a net pressure."""

    net_pressure: Any
    flow: Any


@dataclass(frozen=True, kw_only=True)
class RatedPoints(Explained):
    """The points of a pump's rating, falling flow; overload is held for 5 minutes in the test."""

    points: tuple[RatedPoint, ...]
    overload: RatedPoint

    def lines(self, system="US"):
        """A (net pressure, flow) pair for each point, then the overload."""
        each = [
            (f"At {show(point.net_pressure, system)} net", show(point.flow, system))
            for point in self.points
        ]
        return (
            *each,
            (
                f"Overload, at {show(self.overload.net_pressure, system)} net, 5 minutes in the test",
                show(self.overload.flow, system),
            ),
        )

    def __repr__(self):
        return self.text()


def _point(point, rated_flow):
    return RatedPoint(
        net_pressure=quantity(point.net_psi, "psi"), flow=quantity(point.share * rated_flow, "gpm")
    )


@quantities(rated_flow=FLOW)
def rated_points(rated_flow):
    """Flows that a pump's rating promises: 100 % at 150, 70 % at 200, 50 % at 250 psi net.

    For knowing what an aerial can be fed with. Net pressure is what the pump adds; the rating
    is tested from draft. In the test the pump also gives 100 % at 165 psi for 5 minutes.

    Takes
      rated_flow   flow on the pump's plate; any flow unit; usual unit gpm
    Gives
      RatedPoints  points, each with net_pressure in psi and flow in gpm, and overload
    Holds for
      a pump in the state of its last service test
    How close
      what is promised, not what the pump can do at most
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      pump_test_page
    Check value
      >>> print(show(rated_points("1500 gpm").points[1].flow))
      1,050 gpm
    """
    return RatedPoints(
        title="Rated points",
        points=tuple(_point(point, rated_flow) for point in PUMP_RATED_POINTS),
        overload=_point(PUMP_OVERLOAD, rated_flow),
        steps=worked(
            lambda pen: (
                f"At {pen.shown(point.net_psi, 'pressure')} net: {point.share:g} × "
                f"{pen.number(rated_flow, 'flow', 6)}"
                f" = {pen.of(point.share * rated_flow, 'flow', digits=6)}"
                for point in PUMP_RATED_POINTS
            )
        ),
        sources=(RATING_SOURCE,),
    )


@quantities(rated_flow=FLOW, net_pressure=Need("pressure", "psi"))
def pump_capacity(rated_flow, *, net_pressure):
    """Flow that a pump's rating promises at a net pressure.

    Straight lines between the rated points: the real curve lies above them, so this promises
    too little rather than too much. Below 150 psi the rated flow, above 250 psi nothing.

    Takes
      rated_flow    flow on the pump's plate; any flow unit; usual unit gpm
      net_pressure  what the pump adds: discharge less intake; any pressure unit; usual unit psi
    Gives
      Result        flow in gpm; shown to 1 gpm
    Holds for
      0 to 250 psi net; outside it a note is added
    How close
      exact at the rated points, low between them
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a flow that cannot be, or a pressure that is infinite
    Sources
      pump_test_page
    Check value
      >>> print(pump_capacity("1500 gpm", net_pressure="200 psi"))
      1,050 gpm
    """
    net_pressure = round(net_pressure, 9)
    capacity = core.capacity_gpm(rated_flow, net_pressure)
    return Result(
        title="Flow that the rating promises",
        value=quantity(capacity, "gpm"),
        steps=_capacity_steps(rated_flow, net_pressure, capacity),
        notes=_capacity_notes(net_pressure),
        sources=(RATING_SOURCE,),
    )


def _capacity_steps(rated_flow, net_pressure, capacity):
    first, last = PUMP_RATED_POINTS[0], PUMP_RATED_POINTS[-1]
    if net_pressure <= first.net_psi:
        return worked(
            lambda pen: (
                f"At or below {pen.shown(first.net_psi, 'pressure')} net: "
                f"the rated flow {pen.of(rated_flow, 'flow', digits=6)}",
            )
        )
    if net_pressure > last.net_psi:
        return worked(
            lambda pen: (
                f"Above {pen.shown(last.net_psi, 'pressure')} net the rating promises nothing",
            )
        )
    low, high = next(
        pair for pair in pairwise(PUMP_RATED_POINTS) if net_pressure <= pair[1].net_psi
    )
    way = (net_pressure - low.net_psi) / (high.net_psi - low.net_psi)
    share = low.share + (high.share - low.share) * way

    def way_step(pen):
        below, at, above = (
            pen.number(psi, "pressure", 6) for psi in (low.net_psi, net_pressure, high.net_psi)
        )
        return (
            f"Way from {below} to {above} {pen.unit('pressure')}: ({at} - {below})"
            f" / ({above} - {below}) = {way:.5g}"
        )

    return worked(
        lambda pen: (
            way_step(pen),
            f"Share of the rated flow = {low.share:g} - ({low.share:g} - {high.share:g}) × "
            f"{way:.5g} = {share:.5g}",
            f"Flow = {share:.5g} × {pen.number(rated_flow, 'flow', 6)}"
            f" = {pen.of(capacity, 'flow', digits=6)}",
        )
    )


def _capacity_notes(net_pressure):
    notes = [
        Note(
            "estimate",
            "Straight lines between the rated points: the real curve lies above them, so this "
            "promises too little rather than too much.",
        )
    ]
    most = PUMP_RATED_POINTS[-1].net_psi
    if not 0 <= net_pressure <= most:
        text = both(
            lambda pen: (
                f"Net pressure {pen.of(net_pressure, 'pressure', digits=6)} is outside 0 to "
                f"{pen.of(most, 'pressure')}."
            )
        )
        notes.append(Note("outside range", text))
    return tuple(notes)


@quantities(discharge=DISCHARGE, intake=INTAKE)
def net_pump_pressure(discharge, *, intake):
    """Pressure that the pump itself adds to water from a hydrant or another pump.

    For reading the rating: what comes in under pressure the pump need not make.

    Takes
      discharge  pump discharge pressure, gauge; any pressure unit; usual unit psi
      intake     pressure at the intake, gauge, while flowing; any pressure unit; usual unit psi
    Gives
      Result     net pressure in psi; shown to 1 psi
    Holds for
      water under pressure at the intake; for draft see `net_pump_pressure_from_draft`
    How close
      as close as the gauges
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a discharge that is zero, negative or infinite
    Sources
      first_principles_net_pressure
    Check value
      >>> print(net_pump_pressure("193 psi", intake="50 psi"))
      143 psi
    """
    net = core.net_pressure_psi(discharge, intake)

    def step(pen):
        less = pen.number(intake, "pressure", 6)
        return (
            f"Net pressure = {pen.number(discharge, 'pressure', 6)} - "
            f"{less if intake >= 0 else f'({less})'} = {pen.of(net, 'pressure', digits=6)}"
        )

    notes = ()
    if intake < 0:
        notes = (
            Note("outside range", "The intake reads below nothing: see the formula for draft."),
        )
    if net < 0:
        text = "More comes in than goes out: the pump adds nothing, and its rating does not limit."
        notes = (Note("outside range", text),)
    return Result(
        title="Net pump pressure",
        value=quantity(net, "psi"),
        steps=worked(lambda pen: (step(pen),)),
        notes=notes,
        sources=("first_principles_net_pressure",),
    )


def high_lift_notes(lift_ft):
    """A note where a lift is above two thirds of what the air at sea level holds up."""
    usual = lift_limit_ft(SEA_LEVEL_AIR_PSI) * 2 / 3
    if lift_ft <= usual:
        return ()
    text = both(
        lambda pen: (
            f"A lift of {pen.shown(lift_ft, 'length')} is above {pen.shown(usual, 'length')}, two "
            "thirds of what the air holds up: a printed rule takes no more for a pump in fairly "
            "good condition. The pump's own test decides."
        )
    )
    return (Note("outside range", text),)


@quantities(discharge=DISCHARGE, lift=LIFT, intake_loss=INTAKE_LOSS)
def net_pump_pressure_from_draft(discharge, *, lift, intake_loss):
    """Pressure that the pump itself makes when it lifts its water.

    Discharge + (lift + loss in the intake hose and strainer) / 2.3, both in feet of water.

    Takes
      discharge    pump discharge pressure, gauge; any pressure unit; usual unit psi
      lift         water level up to the pump; any length unit; usual unit ft
      intake_loss  loss in intake hose and strainer as feet of water; usual unit ft
    Gives
      Result       net pressure in psi; shown to 1 psi
    Holds for
      a lift that the pump can hold: a note is added above 22.6 ft, and 33.9 ft is refused
    How close
      2.3 ft to a psi is rounded from 2.31
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is negative or infinite, or the discharge is zero
    Sources
      study_cards_draft: 2.3 ft to a psi; first_principles_net_pressure;
      wildland_drafting_course: the highest lift
    Check value
      >>> print(net_pump_pressure_from_draft("150 psi", lift="20 ft", intake_loss="3 ft"))
      160 psi
    """
    net = core.net_pressure_from_draft_psi(discharge, lift, intake_loss)
    feet = FEET_OF_WATER_PER_PSI_ROUNDED.value
    more = (lift + intake_loss) / feet

    def per_meter(pen):
        return pen.constant(1 / feet, pressure=1, length=-1)

    return Result(
        title="Net pump pressure from draft",
        value=quantity(net, "psi"),
        steps=worked(
            lambda pen: (
                f"Lift and losses: ({pen.number(lift, 'length', 6)} + "
                f"{pen.number(intake_loss, 'length', 6)}) "
                f"{pen.choose(f'/ {feet:g}', f'× {per_meter(pen)}')}"
                f" = {pen.of(more, 'pressure', digits=6)}",
                f"Net pressure = {pen.number(discharge, 'pressure', 6)} + "
                f"{pen.number(more, 'pressure', 6)} = {pen.of(net, 'pressure', digits=6)}",
            )
        ),
        notes=high_lift_notes(lift),
        sources=(
            FEET_OF_WATER_PER_PSI_ROUNDED.source,
            "first_principles_net_pressure",
            "wildland_drafting_course",
        ),
    )


@quantities(flow=FLOW, pressure=DISCHARGE)
def water_horsepower(flow, *, pressure):
    """Power that the water carries: Q P / 1,714.

    For comparing duties of a pump. The engine must give more; the pump's efficiency is not in it.

    Takes
      flow      flow of the pump; any flow unit; usual unit gpm; symbol Q
      pressure  net pump pressure; any pressure unit; usual unit psi; symbol P
    Gives
      Result    power in hp; shown to 1 hp
    Holds for
      any flow and pressure
    How close
      1,714 is rounded from 1,714.3
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is zero, negative or infinite
    Sources
      first_principles_horsepower
    Check value
      >>> print(water_horsepower("1500 gpm", pressure="150 psi"))
      131 hp
    """
    power = core.water_horsepower(flow, pressure)
    return Result(
        title="Power in the water",
        value=quantity(power, "horsepower"),
        kind="pump power",
        steps=worked(
            lambda pen: (
                f"Power = {pen.of(flow, 'flow', digits=6)} × "
                f"{pen.of(pressure, 'pressure', digits=6)} / "
                # The metric divisor is exact; 1,714 converted would be 59,990.
                + pen.choose(
                    f"{WATER_HORSEPOWER.value:g} = {pen.of(power, 'power')}",
                    f"60,000 = {pen.of(flow * pressure / _EXACT_HORSEPOWER, 'power')}",
                ),
            )
        ),
        sources=(WATER_HORSEPOWER.source,),
    )


pump_capacity.plain = core.capacity_gpm
net_pump_pressure.plain = core.net_pressure_psi
net_pump_pressure_from_draft.plain = core.net_pressure_from_draft_psi
water_horsepower.plain = core.water_horsepower
