"""A fire pump by its rated points, in plain numbers: gpm, psi, feet."""

from itertools import pairwise

from aerialstream.constants import (
    FEET_OF_WATER_PER_PSI_ROUNDED,
    PUMP_RATED_POINTS,
    WATER_HORSEPOWER,
)


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
    net_psi = round(net_psi, 9)  # 250 psi given in kPa is a hair above 250
    if net_psi <= PUMP_RATED_POINTS[0].net_psi:
        return rated_flow_gpm
    for low, high in pairwise(PUMP_RATED_POINTS):
        if net_psi <= high.net_psi:
            way = (net_psi - low.net_psi) / (high.net_psi - low.net_psi)
            return rated_flow_gpm * (low.share + (high.share - low.share) * way)
    return 0.0


def most_net_pressure_psi(rated_flow_gpm, flow_gpm):
    """psi: the highest net pressure at which the rating still promises a flow; 0 if none."""
    share = flow_gpm / rated_flow_gpm
    if share > 1:
        return 0.0
    for low, high in pairwise(PUMP_RATED_POINTS):
        if share > high.share:
            way = (share - low.share) / (high.share - low.share)
            return low.net_psi + (high.net_psi - low.net_psi) * way
    return PUMP_RATED_POINTS[-1].net_psi


def water_horsepower(flow_gpm, pressure_psi):
    """Hydraulic horsepower: Q P / 1,714."""
    return flow_gpm * pressure_psi / WATER_HORSEPOWER.value
