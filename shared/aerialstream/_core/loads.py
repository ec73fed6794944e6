"""Loads on a standing aerial in plain numbers: lbf, ft, degrees, mph.

Axes of the ladder's line, turning with the turntable: outward (level with the turntable, the way
the ladder points), left (looking outward), up. Right-handed. Places are measured from the heel
pin, or from the turntable's centre at ground level where a name says so. Axes at the tip are
those of `_core/reaction.py`: a along the ladder, l to the left, n square to it, upper side.

Axes of the chassis, for the pads: forward (toward the cab), left, up, from the turntable's
centre. The bearing of the ladder counts from straight over the cab, + to the left.
"""

from math import cos, pi, radians, sin, sqrt
from typing import NamedTuple

from aerialstream._core.reaction import tip_forces_lbf
from aerialstream.constants import WATER_DENSITY, WIND_PRESSURE

_SQUARE_INCHES_PER_SQUARE_FOOT = 144.0


class Load(NamedTuple):
    """A force in lbf and the place in ft where it acts, both as (outward, left, up)."""

    force_lbf: tuple
    at_ft: tuple


def cross(one, other):
    """Vector product."""
    a, b, c = one
    x, y, z = other
    return b * z - c * y, c * x - a * z, a * y - b * x


def along_ladder_ft(distance_ft, elevation_deg):
    """The place so far out along the ladder."""
    raised = radians(elevation_deg)
    return distance_ft * cos(raised), 0.0, distance_ft * sin(raised)


def from_ladder_axes(vector, elevation_deg):
    """(a, l, n) of the ladder as (outward, left, up)."""
    along, left, square = vector
    c, s = cos(radians(elevation_deg)), sin(radians(elevation_deg))
    return along * c - square * s, left, along * s + square * c


def in_ladder_axes(vector, elevation_deg):
    """(outward, left, up) as (a, l, n) of the ladder."""
    return from_ladder_axes(vector, -elevation_deg)


def nozzle_load(reaction_lbf, rotation_deg, pitch_deg, extension_ft, elevation_deg, offsets_ft):
    """The reaction of a nozzle fixed to the ladder; offsets_ft is (left, upper side)."""
    left, upper = offsets_ft
    force = tip_forces_lbf(reaction_lbf, rotation_deg, pitch_deg)
    return Load(
        from_ladder_axes(force, elevation_deg),
        from_ladder_axes((extension_ft, left, upper), elevation_deg),
    )


def platform_nozzle_load(
    reaction_lbf, rotation_deg, pitch_deg, extension_ft, elevation_deg, from_tip_pin_ft
):
    """The reaction on a platform that keeps level; from_tip_pin_ft is (ahead, left, up), level."""
    tip = along_ladder_ft(extension_ft, elevation_deg)
    at = tuple(t + o for t, o in zip(tip, from_tip_pin_ft, strict=True))
    return Load(tip_forces_lbf(reaction_lbf, rotation_deg, pitch_deg), at)


def downward(slope_along_deg, slope_across_deg):
    """Which way weight pulls: unit vector (outward, left, up).

    Each slope is what an inclinometer reads that lies along or across the ladder's line: + where
    the ladder points downhill, + where the ground falls to the left.
    """
    along, across = sin(radians(slope_along_deg)), sin(radians(slope_across_deg))
    return along, across, -sqrt(1 - along**2 - across**2)


def weight_load(weight_lb, at_ft):
    """A weight on level ground."""
    return Load((0.0, 0.0, -weight_lb), at_ft)


def slope_shift(load, down):
    """What a slope changes in the pull of a weight: the tilted pull less the level one."""
    weight = -load.force_lbf[2]
    across, left, up = down
    return Load((weight * across, weight * left, weight * up + weight), load.at_ft)


def water_in_pipe_lb(bore_in, length_ft):
    """Weight of the water that fills a pipe."""
    area = pi / 4 * bore_in**2 / _SQUARE_INCHES_PER_SQUARE_FOOT
    return area * length_ft * WATER_DENSITY.value


def wind_force_lbf(wind_mph, drag_coefficient, area_sqft):
    """Push of a steady wind square onto an area."""
    return WIND_PRESSURE.value * wind_mph**2 * drag_coefficient * area_sqft


def heel_moments_lbf_ft(load, elevation_deg):
    """(torsion, in-plane, side) about the heel pin; signs as `reaction.base_moments_lbf_ft`."""
    return in_ladder_axes(cross(load.at_ft, load.force_lbf), elevation_deg)


def from_ground(at_ft, heel_offset_ft, turntable_height_ft):
    """A place from the heel pin, measured from the turntable's centre at ground level."""
    out, left, up = at_ft
    return out + heel_offset_ft, left, up + turntable_height_ft


def turntable_moments_lbf_ft(load, heel_offset_ft, turntable_height_ft):
    """(slew, along, sideways) about the turntable's centre at ground level.

    slew + turns the turntable to the left; along + tips the rig the way the ladder points;
    sideways + tips it to the left of the ladder.
    """
    at = from_ground(load.at_ft, heel_offset_ft, turntable_height_ft)
    about_out, about_left, about_up = cross(at, load.force_lbf)
    return about_up, about_left, -about_out


def sideways_lbf_ft(load, turntable_height_ft):
    """The sideways moment alone: the heel's offset along the ladder does not enter it."""
    return turntable_moments_lbf_ft(load, 0.0, turntable_height_ft)[2]


def to_chassis(vector, bearing_deg):
    """(outward, left, up) of the ladder as (forward, left, up) of the chassis."""
    out, left, up = vector
    c, s = cos(radians(bearing_deg)), sin(radians(bearing_deg))
    return out * c - left * s, out * s + left * c, up


def tipping_moment_lbf_ft(load, way, line_ft):
    """Moment of a load about a line on the ground, + tipping over it.

    load is in chassis axes from the turntable's centre at ground level; way the unit vector
    (forward, left) square to the line; line_ft how far out the line lies that way.
    """
    (forward, left, up), (x, y, z) = load
    out = x * way[0] + y * way[1]
    return -up * (out - line_ft) + (forward * way[0] + left * way[1]) * z


def resultant(loads):
    """(weight down, its place forward, its place left) of loads in chassis axes, at ground level.

    The moments of the level parts of the forces are in the places.
    """
    down = -sum(load.force_lbf[2] for load in loads)
    moments = [cross(load.at_ft, load.force_lbf) for load in loads]
    about_forward, about_left = (sum(m[i] for m in moments) for i in (0, 1))
    return down, about_left / down, -about_forward / down


def pad_loads_lbf(down_lbf, forward_ft, left_ft, ahead_ft, behind_ft, spread_ft):
    """Loads on the pads (front left, front right, rear left, rear right), and the one that lifts.

    A rigid chassis on four equally stiff pads that can only push. forward_ft and left_ft place
    the resultant. Gives None, None where it falls outside the pads: then nothing balances.
    The index of the pad that lifts is None where all four push.
    """
    # Shares from -1 (rear, right) to 1 (front, left).
    middle, half = (ahead_ft + behind_ft) / 2, (ahead_ft - behind_ft) / 2
    u, v = (forward_ft - middle) / half, left_ft / (spread_ft / 2)
    if abs(u) > 1 or abs(v) > 1 or down_lbf <= 0:
        return None, None
    ways = ((1, 1), (1, -1), (-1, 1), (-1, -1))
    four = [down_lbf / 4 * (1 + i * u + j * v) for i, j in ways]
    lifted = min(range(4), key=four.__getitem__)
    if four[lifted] >= -1e-9 * down_lbf:
        return tuple(max(0.0, pad) for pad in four), None
    # Three pads are statically determinate: each side pair carries its share of the moment.
    i, j = ways[lifted]
    opposite, same_end, same_side = (ways.index(w) for w in ((-i, -j), (i, -j), (-i, j)))
    three = [0.0] * 4
    three[same_end] = down_lbf * (1 + i * u) / 2
    three[same_side] = down_lbf * (1 + j * v) / 2
    three[opposite] = down_lbf - three[same_end] - three[same_side]
    return tuple(three), lifted


def sway_ratio(side_load_lbf, extension_ft, other_side_load_lbf, other_extension_ft):
    """Sideways tip deflection of a uniform cantilever against another: R L³ over R L³."""
    return side_load_lbf / other_side_load_lbf * (extension_ft / other_extension_ft) ** 3
