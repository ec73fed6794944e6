"""Hydrants, in plain numbers: psi, gpm, inches."""

from math import sqrt

from aerialstream.constants import SMOOTH_BORE_FLOW_FULL

FLOW_EXPONENT = 0.54
RESIDUAL_FLOOR_PSI = 20.0
# (pitot psi, factor) for a pumper outlet; the last holds for more.
PUMPER_OUTLET = ((2, 0.97), (3, 0.92), (4, 0.89), (5, 0.86), (6, 0.84), (7, 0.83))
# (gpm at the residual floor from which the class holds, class, colour)
CLASSES = ((1500, "AA", "light blue"), (1000, "A", "green"), (500, "B", "orange"), (0, "C", "red"))


def outlet_flow_gpm(outlet_diameter_in, pitot_psi, coefficient):
    """gpm from an outlet by pitot: 29.84 c d² √p."""
    return SMOOTH_BORE_FLOW_FULL.value * coefficient * outlet_diameter_in**2 * sqrt(pitot_psi)


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
    return 3 if drop_percent <= 10 else 2 if drop_percent <= 15 else 1 if drop_percent <= 25 else 0
