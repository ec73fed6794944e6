"""A fire pump: what its rating promises, what it must add, and the power in the water.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from aerialstream._core import pumps as core
from aerialstream.constants import (
    FEET_OF_WATER_PER_PSI_ROUNDED,
    PUMP_OVERLOAD,
    PUMP_RATED_POINTS,
    WATER_HORSEPOWER,
)
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show

FLOW = Need("flow", "gpm", above=0)
DISCHARGE = Need("pressure", "psi", above=0)
FEET = Need("length", "foot", at_least=0)
RATING_SOURCE = PUMP_RATED_POINTS[0].source


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
                f"Overload, at {show(self.overload.net_pressure, system)} net",
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
        steps=tuple(
            f"At {point.net_psi:g} psi net: {point.share:g} × {rated_flow:,.6g}"
            f" = {point.share * rated_flow:,.6g} gpm"
            for point in PUMP_RATED_POINTS
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
        return (f"At or below {first.net_psi:g} psi net: the rated flow {rated_flow:,.6g} gpm",)
    if net_pressure > last.net_psi:
        return (f"Above {last.net_psi:g} psi net the rating promises nothing",)
    low, high = next(
        pair for pair in pairwise(PUMP_RATED_POINTS) if net_pressure <= pair[1].net_psi
    )
    way = (net_pressure - low.net_psi) / (high.net_psi - low.net_psi)
    share = low.share + (high.share - low.share) * way
    return (
        f"Way from {low.net_psi:g} to {high.net_psi:g} psi: ({net_pressure:.6g} - {low.net_psi:g})"
        f" / ({high.net_psi:g} - {low.net_psi:g}) = {way:.5g}",
        f"Share of the rated flow = {low.share:g} - ({low.share:g} - {high.share:g}) × {way:.5g}"
        f" = {share:.5g}",
        f"Flow = {share:.5g} × {rated_flow:,.6g} = {capacity:,.6g} gpm",
    )


def _capacity_notes(net_pressure):
    notes = [
        Note(
            "estimate",
            "Straight lines between the rated points: the real curve lies above them, so this "
            "promises too little rather than too much.",
        )
    ]
    if not 0 <= net_pressure <= PUMP_RATED_POINTS[-1].net_psi:
        notes.append(
            Note("outside range", f"Net pressure {net_pressure:g} psi is outside 0 to 250 psi.")
        )
    return tuple(notes)


@quantities(discharge=DISCHARGE, intake=Need("pressure", "psi"))
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
    less = f"{intake:,.6g}" if intake >= 0 else f"({intake:,.6g})"
    notes = ()
    if intake < 0:
        notes = (
            Note("outside range", "The intake reads below nothing: see the formula for draft."),
        )
    return Result(
        title="Net pump pressure",
        value=quantity(net, "psi"),
        steps=(f"Net pressure = {discharge:,.6g} - {less} = {net:,.6g} psi",),
        notes=notes,
        sources=("first_principles_net_pressure",),
    )


@quantities(discharge=DISCHARGE, lift=FEET, intake_loss=FEET)
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
      a lift that the pump can hold; about 20 ft and less
    How close
      2.3 ft to a psi is rounded from 2.31
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is negative or infinite, or the discharge is zero
    Sources
      study_cards_draft: 2.3 ft to a psi; first_principles_net_pressure
    Check value
      >>> print(net_pump_pressure_from_draft("150 psi", lift="20 ft", intake_loss="3 ft"))
      160 psi
    """
    net = core.net_pressure_from_draft_psi(discharge, lift, intake_loss)
    feet = FEET_OF_WATER_PER_PSI_ROUNDED.value
    more = (lift + intake_loss) / feet
    return Result(
        title="Net pump pressure from draft",
        value=quantity(net, "psi"),
        steps=(
            f"Lift and losses: ({lift:.6g} + {intake_loss:.6g}) / {feet:g} = {more:.6g} psi",
            f"Net pressure = {discharge:,.6g} + {more:.6g} = {net:,.6g} psi",
        ),
        sources=(FEET_OF_WATER_PER_PSI_ROUNDED.source, "first_principles_net_pressure"),
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
        steps=(
            f"Power = {flow:,.6g} gpm × {pressure:,.6g} psi / {WATER_HORSEPOWER.value:g}"
            f" = {power:,.5g} hp",
        ),
        sources=(WATER_HORSEPOWER.source,),
    )


pump_capacity.plain = core.capacity_gpm
net_pump_pressure.plain = core.net_pressure_psi
net_pump_pressure_from_draft.plain = core.net_pressure_from_draft_psi
water_horsepower.plain = core.water_horsepower
