"""Discharge, velocity and reaction of a nozzle, in plain numbers. Pressures are gauge."""

from math import pi, sqrt

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


def tip_area_in2(tip_diameter_in):
    """Square inches of the opening."""
    return pi / 4 * tip_diameter_in**2
