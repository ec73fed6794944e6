"""Many chains at once, as numpy arrays: gpm and psi, all arrays of one shape (or scalars).

The same closed forms as `_core.chain`, for maps and studies; numpy is imported only here.
"""

import numpy as np


def discharge_psi(flow_gpm, constant, elevation_psi, flat_psi, loss):
    """psi at the pump for each flow through a fixed opening.

    constant in gpm/psi^½, elevation_psi and flat_psi in psi, loss in psi/gpm².
    """
    flow_gpm = np.asarray(flow_gpm, dtype=float)
    return (flow_gpm / constant) ** 2 + elevation_psi + flat_psi + loss * flow_gpm**2


def flow_gpm(pump_discharge_psi, constant, elevation_psi, flat_psi, loss):
    """gpm at each discharge pressure through a fixed opening; 0 where nothing flows."""
    head = np.maximum(np.asarray(pump_discharge_psi, float) - elevation_psi - flat_psi, 0.0)
    return constant * np.sqrt(head / (1 + loss * np.square(constant)))


def automatic_flow_gpm(
    pump_discharge_psi, rated_psi, least_gpm, most_gpm, elevation_psi, flat_psi, loss
):
    """gpm of automatic nozzles: held pressure inside the range, a fixed opening outside of it."""
    head = np.asarray(pump_discharge_psi, float) - elevation_psi - flat_psi
    held = np.sqrt(np.maximum(head - rated_psi, 0.0) / loss)
    end = np.where(held < least_gpm, least_gpm, most_gpm) / np.sqrt(rated_psi)
    fixed = flow_gpm(pump_discharge_psi, end, elevation_psi, flat_psi, loss)
    return np.where((held >= least_gpm) & (held <= most_gpm), held, fixed)
