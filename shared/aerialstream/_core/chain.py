"""Source, pumper, lines, inlet, waterway and nozzle as one model, in plain numbers: gpm and psi.

A loss that goes with the square of the flow is held as psi per gpm². Everything that the pump
must overcome grows with the flow, so each question has one answer, and a limit one largest flow.
"""

from math import inf, sqrt
from typing import NamedTuple

from aerialstream._core import nozzles, pumps, supply

SMALLEST_STEP = 1e-9  # gpm; how close a largest flow is found
MOST_FLOW = 1e6  # gpm; a limit that lets more through is no limit


class Orifice(NamedTuple):
    """A nozzle with a fixed opening: Q = constant √P, constant in gpm/psi^½."""

    constant: float

    def flow_gpm(self, pressure_psi):
        """gpm at a nozzle pressure."""
        return self.constant * sqrt(max(pressure_psi, 0.0))

    def pressure_psi(self, flow_gpm):
        """psi at a flow."""
        return nozzles.orifice_pressure_psi(self.constant, flow_gpm)


class Automatic(NamedTuple):
    """A nozzle that holds its rated pressure from least to most flow, fixed outside of that."""

    rated_psi: float
    least_gpm: float
    most_gpm: float

    def pressure_psi(self, flow_gpm):
        """psi at a flow."""
        return nozzles.automatic_pressure_psi(*self, flow_gpm)


class Hydrant(NamedTuple):
    """A hydrant by its test, and the loss of the line from it to the pump in psi/gpm²."""

    static_psi: float
    residual_psi: float
    test_flow_gpm: float
    line_loss: float = 0.0
    floor_psi: float = supply.RESIDUAL_FLOOR_PSI

    def intake_psi(self, flow_gpm):
        """psi at the pump's intake."""
        left = supply.residual_at_flow_psi(
            self.static_psi, self.residual_psi, self.test_flow_gpm, flow_gpm
        )
        return left - self.line_loss * flow_gpm**2

    def net_psi(self, discharge_psi, flow_gpm):
        """psi that the pump adds."""
        return discharge_psi - self.intake_psi(flow_gpm)


class Relay(NamedTuple):
    """Water that comes to the pump at a pressure that somebody else holds."""

    held_psi: float
    floor_psi: float = 0.0

    def intake_psi(self, flow_gpm):
        """psi at the pump's intake."""
        return self.held_psi

    def net_psi(self, discharge_psi, flow_gpm):
        """psi that the pump adds."""
        return discharge_psi - self.held_psi


class Draft(NamedTuple):
    """Water lifted from below: lift and intake losses in feet."""

    lift_ft: float
    loss_ft: float = 0.0
    floor_psi: float = -inf

    def intake_psi(self, flow_gpm):
        """psi at the pump's intake, gauge: the lift shows as less than nothing."""
        return -pumps.net_pressure_from_draft_psi(0.0, self.lift_ft, self.loss_ft)

    def net_psi(self, discharge_psi, flow_gpm):
        """psi that the pump adds."""
        return pumps.net_pressure_from_draft_psi(discharge_psi, self.lift_ft, self.loss_ft)


class Chain(NamedTuple):
    """The whole chain. A limit of None is not set.

    lay_loss, inlet_loss, waterway_loss   psi/gpm²; inlet_flat_psi does not change with flow
    elevation_psi                         pump to nozzle
    rated_gpm                             rated flow of the pump
    discharge_limit_psi                   throttle or governor
    hose_limit_psi                        operating pressure of the lay
    inlet_limit_psi                       highest pressure at the aerial's inlet
    waterway_limit_gpm                    highest flow of the waterway
    nozzle_limit_psi                      highest nozzle pressure
    """

    nozzle: Orifice | Automatic
    elevation_psi: float
    lay_loss: float
    inlet_loss: float = 0.0
    inlet_flat_psi: float = 0.0
    waterway_loss: float = 0.0
    source: Hydrant | Relay | Draft | None = None
    rated_gpm: float | None = None
    discharge_limit_psi: float | None = None
    hose_limit_psi: float | None = None
    inlet_limit_psi: float | None = None
    waterway_limit_gpm: float | None = None
    nozzle_limit_psi: float | None = None


def parts_psi(chain, flow_gpm):
    """What the pump must overcome at a flow: {part: psi}, in the order of the water turned round."""
    return {
        "nozzle": chain.nozzle.pressure_psi(flow_gpm),
        "elevation": chain.elevation_psi,
        "waterway": chain.waterway_loss * flow_gpm**2,
        "inlet": chain.inlet_flat_psi + chain.inlet_loss * flow_gpm**2,
        "lay": chain.lay_loss * flow_gpm**2,
    }


def discharge_psi(chain, flow_gpm):
    """psi at the pump's discharge for a flow."""
    return sum(parts_psi(chain, flow_gpm).values())


def flow_gpm(chain, pump_discharge_psi):
    """gpm that flows at a discharge pressure; 0 where the pressure only holds the column up."""
    head = pump_discharge_psi - chain.elevation_psi - chain.inlet_flat_psi
    if head <= 0:
        return 0.0
    loss = chain.lay_loss + chain.inlet_loss + chain.waterway_loss
    nozzle = chain.nozzle
    if isinstance(nozzle, Automatic):
        spare = head - nozzle.rated_psi
        flow = sqrt(spare / loss) if spare > 0 and loss else (inf if spare > 0 else 0.0)
        if nozzle.least_gpm <= flow <= nozzle.most_gpm:
            return flow
        end = nozzle.least_gpm if flow < nozzle.least_gpm else nozzle.most_gpm
        nozzle = Orifice(nozzles.orifice_constant(end, nozzle.rated_psi))
    return nozzle.constant * sqrt(head / (1 + loss * nozzle.constant**2))


def margins(chain, flow):
    """{limit: how much is left at a flow}, in the limit's own unit; below 0 it is broken."""
    at_pump = discharge_psi(chain, flow)
    left = {}
    if chain.source is not None:
        left["source"] = chain.source.intake_psi(flow) - chain.source.floor_psi
    if chain.rated_gpm is not None:
        net = chain.source.net_psi(at_pump, flow) if chain.source is not None else at_pump
        left["pump"] = pumps.capacity_gpm(chain.rated_gpm, net) - flow
    if chain.discharge_limit_psi is not None:
        left["discharge pressure"] = chain.discharge_limit_psi - at_pump
    if chain.hose_limit_psi is not None:
        left["hose pressure"] = chain.hose_limit_psi - at_pump
    if chain.inlet_limit_psi is not None:
        left["inlet pressure"] = chain.inlet_limit_psi - (at_pump - chain.lay_loss * flow**2)
    if chain.waterway_limit_gpm is not None:
        left["waterway"] = chain.waterway_limit_gpm - flow
    if chain.nozzle_limit_psi is not None:
        left["nozzle"] = chain.nozzle_limit_psi - chain.nozzle.pressure_psi(flow)
    if isinstance(chain.nozzle, Automatic):
        left["nozzle range"] = chain.nozzle.most_gpm - flow
    return left


def largest_flows_gpm(chain):
    """{limit: the largest flow it lets through}; 0 where it is broken at any flow."""
    return {name: _largest(chain, name) for name in margins(chain, 1.0)}


def _largest(chain, name):
    low, high = 0.0, MOST_FLOW
    if margins(chain, SMALLEST_STEP)[name] < 0:
        return 0.0
    if margins(chain, high)[name] >= 0:
        return inf
    while high - low > SMALLEST_STEP * (1 + high):
        middle = (low + high) / 2
        if margins(chain, middle)[name] >= 0:
            low = middle
        else:
            high = middle
    return low


def lay_length_ft(chain, flow, coefficient):
    """(feet, limit) of a lay (psi per 100 ft at 100 gpm) that the limits leave for a flow.

    The least of what discharge, hose and pump limits leave, and its name; (0, limit) where a
    limit is broken by any lay, (inf, None) where nothing limits. The lay that the chain already
    has is not counted.
    """
    without = chain._replace(lay_loss=0.0)
    left = margins(without, flow)
    broken = [name for name, spare in left.items() if spare < 0]
    if broken:
        return 0.0, broken[0]
    spare = {name: left[name] for name in ("discharge pressure", "hose pressure") if name in left}
    if chain.rated_gpm is not None:
        most_net = pumps.most_net_pressure_psi(chain.rated_gpm, flow)
        at_none = discharge_psi(without, flow)
        net = chain.source.net_psi(at_none, flow) if chain.source is not None else at_none
        spare["pump"] = most_net - net
    if not spare:
        return inf, None
    name = min(spare, key=spare.get)
    return max(0.0, 100 * spare[name] / (coefficient * (flow / 100) ** 2)), name
