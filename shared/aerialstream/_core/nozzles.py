"""Discharge, velocity and reaction of a nozzle, in plain numbers. Pressures are gauge."""

from math import isclose, sqrt

from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    FOG_REACTION,
    GRAVITY,
    SECONDS_PER_MINUTE,
    SMOOTH_BORE_FLOW,
    SMOOTH_BORE_FLOW_FULL,
    SMOOTH_BORE_REACTION,
    SQUARE_INCHES_PER_SQUARE_FOOT,
    WATER_DENSITY,
)


def smooth_bore_discharge_gpm(tip_diameter_in, nozzle_pressure_psi, coefficient=None):
    """gpm. Without a coefficient the trade's 29.7 d² √NP; with one, 29.84 c d² √P."""
    if coefficient is None:
        return SMOOTH_BORE_FLOW.value * tip_diameter_in**2 * sqrt(nozzle_pressure_psi)
    return (
        SMOOTH_BORE_FLOW_FULL.value * coefficient * tip_diameter_in**2 * sqrt(nozzle_pressure_psi)
    )


def fog_discharge_gpm(rated_flow_gpm, rated_pressure_psi, nozzle_pressure_psi):
    """gpm of a fixed opening off its rated pressure: Qr √(P / Pr)."""
    return rated_flow_gpm * sqrt(nozzle_pressure_psi / rated_pressure_psi)


def stream_velocity_ft_s(nozzle_pressure_psi):
    """ft/s: √(2P/ρ)."""
    pressure_psf = nozzle_pressure_psi * SQUARE_INCHES_PER_SQUARE_FOOT
    return sqrt(2 * pressure_psf * GRAVITY.value / WATER_DENSITY.value)


def smooth_bore_reaction_lbf(tip_diameter_in, nozzle_pressure_psi):
    """lbf: 1.57 d² NP."""
    return SMOOTH_BORE_REACTION.value * tip_diameter_in**2 * nozzle_pressure_psi


def fog_reaction_lbf(flow_gpm, nozzle_pressure_psi):
    """lbf: 0.0505 Q √NP."""
    return FOG_REACTION.value * flow_gpm * sqrt(nozzle_pressure_psi)


def momentum_reaction_lbf(flow_gpm, nozzle_pressure_psi):
    """lbf: ρ Q v, with v from the pressure."""
    pounds_per_second = flow_gpm * CUBIC_FEET_PER_GALLON * WATER_DENSITY.value / SECONDS_PER_MINUTE
    return pounds_per_second / GRAVITY.value * stream_velocity_ft_s(nozzle_pressure_psi)


def smooth_bore_constant(tip_diameter_in):
    """gpm per √psi of a smooth-bore tip: 29.7 d²."""
    return SMOOTH_BORE_FLOW.value * tip_diameter_in**2


def orifice_constant(flow_gpm, pressure_psi):
    """gpm per √psi of a fixed opening that flows so much at a pressure: Q / √P."""
    return flow_gpm / sqrt(pressure_psi)


def orifice_pressure_psi(constant, flow_gpm):
    """psi at a fixed opening for a flow: (Q / K)²."""
    return (flow_gpm / constant) ** 2


def smooth_bore_pressure_psi(flow_gpm, tip_diameter_in):
    """psi at a smooth-bore tip for a flow: (Q / (29.7 d²))²."""
    return orifice_pressure_psi(smooth_bore_constant(tip_diameter_in), flow_gpm)


def fog_pressure_psi(flow_gpm, rated_flow_gpm, rated_pressure_psi):
    """psi at a fixed opening for a flow: Pr (Q / Qr)²."""
    return rated_pressure_psi * (flow_gpm / rated_flow_gpm) ** 2


def automatic_range_gpm(rated_psi, least_gpm, most_gpm, nozzle_psi):
    """(least, most) gpm of an automatic nozzle at a nozzle pressure.

    At its rated pressure it flows whatever comes, from least to most; below that it is a fixed
    opening of its least size, above it one of its widest, and both figures are the same.
    """
    if isclose(nozzle_psi, rated_psi, rel_tol=1e-9):
        return least_gpm, most_gpm
    fixed = least_gpm if nozzle_psi < rated_psi else most_gpm
    flow = fog_discharge_gpm(fixed, rated_psi, nozzle_psi)
    return flow, flow


def automatic_pressure_psi(rated_psi, least_gpm, most_gpm, flow_gpm):
    """psi at an automatic nozzle for a flow: its rating inside its range, fixed outside."""
    inside = min(max(flow_gpm, least_gpm), most_gpm)
    return rated_psi * (flow_gpm / inside) ** 2


def wall_gauge_velocity_pressure_psi(tip_diameter_in, pipe_diameter_in, gauge_psi):
    """psi of the jet from a gauge in the wall of the pipe behind the tip: P / (1 - (d/D)⁴)."""
    return gauge_psi / (1 - (tip_diameter_in / pipe_diameter_in) ** 4)


def reaction_per_gallon(kind, nozzle_pressure_psi):
    """lbf for each gpm by the trade's formulas, of a "smooth bore" or a "fog" nozzle."""
    factor = FOG_REACTION.value
    if kind == "smooth bore":
        factor = SMOOTH_BORE_REACTION.value / SMOOTH_BORE_FLOW.value
    return factor * sqrt(nozzle_pressure_psi)
