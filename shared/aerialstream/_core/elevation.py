"""Pressure for height, and loss on the rig, in plain numbers: feet, psi, gpm, degrees."""

from math import radians, sin

from aerialstream.constants import ELEVATION_PRESSURE


def nozzle_height_ft(turntable_height_ft, extension_ft, elevation_deg, pump_height_ft=0.0):
    """Feet of the nozzle above the pump: turntable height + L sin(elevation) - pump height."""
    return turntable_height_ft + extension_ft * sin(radians(elevation_deg)) - pump_height_ft


def elevation_pressure_psi(height_ft):
    """psi for a height: 0.434 psi a foot; minus below the pump."""
    return ELEVATION_PRESSURE.value * height_ft


def scaled_loss_psi(loss_psi, at_flow_gpm, flow_gpm):
    """psi at another flow: a loss goes with the square of the flow."""
    return loss_psi * (flow_gpm / at_flow_gpm) ** 2
