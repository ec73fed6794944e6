"""A fire pump by its rated points, in plain numbers: gpm, psi, feet."""

from itertools import pairwise

from aerialstream.constants import FEET_OF_WATER_PER_PSI_ROUNDED

# (net pump pressure in psi, share of the rated flow), falling.
RATED_POINTS = ((150.0, 1.0), (200.0, 0.7), (250.0, 0.5))


def net_pressure_psi(discharge_psi, intake_psi):
    """psi: what the pump itself adds to water that comes under pressure."""
    return discharge_psi - intake_psi


def net_pressure_from_draft_psi(discharge_psi, lift_ft, intake_loss_ft):
    """psi: discharge plus lift and intake losses, 2.3 ft to a psi."""
    return discharge_psi + (lift_ft + intake_loss_ft) / FEET_OF_WATER_PER_PSI_ROUNDED.value


def capacity_gpm(rated_flow_gpm, net_psi):
    """gpm that the rating promises at a net pressure; straight lines between rated points.

    Below 150 psi the rated flow (the pump may do more, the rating does not say so); above
    250 psi nothing.
    """
    if net_psi <= RATED_POINTS[0][0]:
        return rated_flow_gpm
    for (low, more), (high, less) in pairwise(RATED_POINTS):
        if net_psi <= high:
            return rated_flow_gpm * (more + (less - more) * (net_psi - low) / (high - low))
    return 0.0


def most_net_pressure_psi(rated_flow_gpm, flow_gpm):
    """psi: the highest net pressure at which the rating still promises a flow; 0 if none."""
    share = flow_gpm / rated_flow_gpm
    if share > 1:
        return 0.0
    if share <= RATED_POINTS[-1][1]:
        return RATED_POINTS[-1][0]
    for (low, more), (high, less) in pairwise(RATED_POINTS):
        if share >= less:
            return low + (high - low) * (share - more) / (less - more)
    raise AssertionError("unreachable: the points cover every share from 0.5 to 1")


def water_horsepower(flow_gpm, pressure_psi):
    """Hydraulic horsepower: Q P / 1,714."""
    return flow_gpm * pressure_psi / 1714
