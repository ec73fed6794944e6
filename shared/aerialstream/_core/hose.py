"""Loss and velocity in hose, in plain numbers: inches, gpm, feet, psi."""

from math import log10, pi, sqrt

from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    GRAVITY,
    HAZEN_WILLIAMS,
    KILOPASCALS_PER_PSI,
    LITERS_PER_GALLON,
    METERS_PER_FOOT,
    SECONDS_PER_MINUTE,
    SQUARE_INCHES_PER_SQUARE_FOOT,
    WATER_DENSITY,
    WATER_VISCOSITY,
)


def friction_loss_psi(coefficient, flow_gpm, length_ft):
    """psi: C (Q/100)² (L/100)."""
    return coefficient * (flow_gpm / 100) ** 2 * length_ft / 100


def metric_coefficient(coefficient):
    """The coefficient for kPa per 100 m at 100 L/min: the same loss in other units."""
    return coefficient * KILOPASCALS_PER_PSI * (1 / LITERS_PER_GALLON) ** 2 / METERS_PER_FOOT


def parallel_coefficient(coefficients, lengths_ft):
    """psi at 100 gpm through all lines together; each line counts with its own length.

    With Ki = Ci Li/100, lines side by side share one loss: 1/√K = Σ 1/√Ki.
    """
    return (
        1
        / sum(
            1 / sqrt(c * length / 100) for c, length in zip(coefficients, lengths_ft, strict=True)
        )
        ** 2
    )


def parallel_flows_gpm(coefficients, lengths_ft, flow_gpm):
    """gpm in each line, in order: each takes its share 1/√Ki."""
    shares = [
        1 / sqrt(c * length / 100) for c, length in zip(coefficients, lengths_ft, strict=True)
    ]
    return [flow_gpm * share / sum(shares) for share in shares]


def velocity_ft_s(flow_gpm, diameter_in):
    """ft/s in a full bore."""
    area_ft2 = pi / 4 * (diameter_in / 12) ** 2
    return flow_gpm * CUBIC_FEET_PER_GALLON / SECONDS_PER_MINUTE / area_ft2


def reynolds_number(flow_gpm, diameter_in):
    """Reynolds number in a full bore, water at 60 °F."""
    return velocity_ft_s(flow_gpm, diameter_in) * (diameter_in / 12) / WATER_VISCOSITY.value


def darcy_friction_factor(reynolds, relative_roughness):
    """Darcy's factor by Colebrook's equation, solved by Newton's steps; 64/Re below 2,300."""
    if reynolds < 2300:
        return 64 / reynolds
    x = 7.0  # 1/√f
    for _ in range(30):
        inside = relative_roughness / 3.7 + 2.51 * x / reynolds
        value = x + 2 * log10(inside)
        slope = 1 + 2 / 2.302585092994046 * (2.51 / reynolds) / inside
        step = value / slope
        x -= step
        if abs(step) < 1e-13 * x:
            break
    return 1 / x**2


def darcy_loss_psi(flow_gpm, diameter_in, length_ft, roughness_in=0.0):
    """psi: Darcy-Weisbach f (L/D) ρ v²/2, water at 60 °F."""
    speed = velocity_ft_s(flow_gpm, diameter_in)
    factor = darcy_friction_factor(
        reynolds_number(flow_gpm, diameter_in), roughness_in / diameter_in
    )
    head_ft = factor * length_ft / (diameter_in / 12) * speed**2 / (2 * GRAVITY.value)
    return head_ft * WATER_DENSITY.value / SQUARE_INCHES_PER_SQUARE_FOOT


def hazen_williams_loss_psi(flow_gpm, diameter_in, length_ft, hazen_williams_c):
    """psi: 4.52 Q^1.85 / (C^1.85 d^4.87) for each foot."""
    for_each_foot = (
        HAZEN_WILLIAMS.value * flow_gpm**1.85 / (hazen_williams_c**1.85 * diameter_in**4.87)
    )
    return for_each_foot * length_ft


def length_for_loss_ft(loss_psi, flow_gpm, coefficient):
    """Feet of a lay that use up a pressure at a flow. `coefficient` per 100 ft."""
    return 100 * loss_psi / (coefficient * (flow_gpm / 100) ** 2)
