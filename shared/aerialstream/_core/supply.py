"""Hydrants, tank, draft and relay, in plain numbers: psi, gpm, inches, feet, gallons."""

from itertools import pairwise
from math import ceil, sqrt

from aerialstream._core.hose import friction_loss_psi
from aerialstream.constants import ELEVATION_PRESSURE, SMOOTH_BORE_FLOW_FULL

FLOW_EXPONENT = 0.54
RESIDUAL_FLOOR_PSI = 20.0
# (pitot psi, factor) for a pumper outlet; the last holds for more.
PUMPER_OUTLET = ((2, 0.97), (3, 0.92), (4, 0.89), (5, 0.86), (6, 0.84), (7, 0.83))
# (gpm at the residual floor from which the class holds, class, colour)
CLASSES = ((1500, "AA", "light blue"), (1000, "A", "green"), (500, "B", "orange"), (0, "C", "red"))


def outlet_flow_gpm(outlet_diameter_in, pitot_psi, coefficient, factor=1.0, outlets=1):
    """gpm from like outlets by pitot: 29.84 c d² √p each, times the factor of a pumper outlet."""
    one = SMOOTH_BORE_FLOW_FULL.value * coefficient * outlet_diameter_in**2 * sqrt(pitot_psi)
    return one * factor * outlets


def pumper_outlet_factor(pitot_psi):
    """Factor for a pumper outlet by its pitot pressure; straight between the printed whole psi."""
    if pitot_psi < PUMPER_OUTLET[0][0]:
        raise ValueError(pitot_psi)
    for (low, more), (high, less) in pairwise(PUMPER_OUTLET):
        if pitot_psi <= high:
            return more + (less - more) * (pitot_psi - low) / (high - low)
    return PUMPER_OUTLET[-1][1]


def residual_floor_psi(static_psi):
    """psi the rating goes down to: 20, or half of a static below 40."""
    return RESIDUAL_FLOOR_PSI if static_psi >= 40 else static_psi / 2


def available_flow_gpm(static_psi, residual_psi, test_flow_gpm, at_residual_psi):
    """gpm at another residual: Q (h_r / h_f)^0.54."""
    drop, wanted = static_psi - residual_psi, static_psi - at_residual_psi
    return test_flow_gpm * (wanted / drop) ** FLOW_EXPONENT


def residual_at_flow_psi(static_psi, residual_psi, test_flow_gpm, flow_gpm):
    """psi left at a flow: the same law, turned round."""
    return static_psi - (static_psi - residual_psi) * (flow_gpm / test_flow_gpm) ** (
        1 / FLOW_EXPONENT
    )


def hydrant_class(flow_at_floor_gpm):
    """(class, colour) by the flow at the residual floor."""
    for least, name, colour in CLASSES:
        if flow_at_floor_gpm >= least:
            return name, colour
    raise ValueError(flow_at_floor_gpm)


def percent_drop(static_psi, residual_psi):
    """Percent of the static pressure that is gone."""
    return 100 * (static_psi - residual_psi) / static_psi


def lines_more_by_percent(drop_percent):
    """How many more like flows the percentage method promises: 3, 2, 1 or 0 (less than one)."""
    drop = round(drop_percent, 6)  # without the dust of a converted unit
    return 3 if drop <= 10 else 2 if drop <= 15 else 1 if drop <= 25 else 0


def lines_more_by_first_digit(static_psi, residual_psi):
    """The same by the first digit of a static of two digits: 3, 2, 1 or 0; None for another."""
    static, drop = round(static_psi, 6), round(static_psi - residual_psi, 6)
    if not 10 <= static < 100:
        return None
    digit = int(static // 10)
    return 3 if drop <= digit else 2 if drop <= 2 * digit else 1 if drop <= 3 * digit else 0


def percent_drop_for_lines_more(static_psi, floor_psi, lines_more):
    """Largest percent drop at which the 0.54 law still grants so many more like flows."""
    return percent_drop(static_psi, floor_psi) / (1 + lines_more) ** (1 / FLOW_EXPONENT)


def minutes_of_water(volume_gal, flow_gpm):
    """Minutes that a volume lasts."""
    return volume_gal / flow_gpm


def lift_limit_ft(air_pressure_psi):
    """Feet of water that the pressure of the air holds up: 0.434 psi a foot."""
    return air_pressure_psi / ELEVATION_PRESSURE.value


def lay_loss_psi(coefficient, flow_gpm, length_ft, lines=1):
    """psi lost in like lines side by side: C/n² (Q/100)² (L/100)."""
    return friction_loss_psi(coefficient / lines**2, flow_gpm, length_ft)


def relay_distance_ft(flow_gpm, discharge_psi, residual_psi, coefficient, lines=1):
    """Feet from one pumper to the next on level ground."""
    loss_of_100_ft = lay_loss_psi(coefficient, flow_gpm, 100, lines)
    return 100 * (discharge_psi - residual_psi) / loss_of_100_ft


def pumpers_for(loss_psi, pressure_to_spend_psi):
    """Pumpers along a lay that loses so much, each with the same pressure to spend; at least 1."""
    return max(1, ceil(loss_psi / pressure_to_spend_psi - 1e-9))
