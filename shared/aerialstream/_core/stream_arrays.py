"""Many streams at once, as numpy arrays: metres, seconds, pascals and degrees.

The equations and the step are those of `_core.stream`; here all inputs may be arrays of one
shape (or scalars).
"""

from typing import NamedTuple

import numpy as np

from aerialstream._core import stream
from aerialstream.constants import AIR_DENSITY, STREAM_QUALITY


class Landings(NamedTuple):
    """Where streams come down and how high they rise: arrays in m; nan where they do not."""

    ahead: np.ndarray
    left: np.ndarray
    highest: np.ndarray
    to_highest: np.ndarray


def landings(
    tip_diameter_m,
    nozzle_pressure_pa,
    elevation_deg,
    *,
    height_m=0.0,
    wind_m_s=stream.STILL,
    quality=STREAM_QUALITY.value,
    air_kg_m3=AIR_DENSITY.value,
    step_s=stream.STEP_S,
    drag=None,
):
    """Landing and highest place of each stream, started at height_m above the ground.

    drag   a stream.Drag of arrays in place of the usual one, to try other constants
    """
    tip, pressure, elevation, height, quality, air = _alike(
        tip_diameter_m, nozzle_pressure_pa, elevation_deg, height_m, quality, air_kg_m3
    )
    drag = drag or stream.stream_drag(tip, quality, air)
    state = _start(pressure, elevation, height)
    ahead, left = np.full(tip.shape, np.nan), np.full(tip.shape, np.nan)
    highest, to_highest = height.copy(), np.zeros(tip.shape)
    while np.isnan(ahead).any() and state[0] < stream.LONGEST_S:
        new = stream.step(state, wind_m_s, drag, step_s, np.exp, np.sqrt)
        down = np.isnan(ahead) & (new[3] < 0)
        if down.any():
            one, other = _some(state, down), _some(new, down)
            share = _share(one, other, step_s, 3, 0.0)
            ahead[down] = _at(one, other, step_s, 1, share)
            left[down] = _at(one, other, step_s, 2, share)
        top = (state[6] > 0) & (new[6] <= 0)
        if top.any():
            one, other = _some(state, top), _some(new, top)
            share = _level(one, other, step_s)
            highest[top] = _at(one, other, step_s, 3, share)
            to_highest[top] = _at(one, other, step_s, 1, share)
        state = new
    return Landings(ahead, left, highest, to_highest)


def heights_m(
    tip_diameter_m,
    nozzle_pressure_pa,
    elevation_deg,
    distance_m,
    *,
    quality=STREAM_QUALITY.value,
    air_kg_m3=AIR_DENSITY.value,
    step_s=stream.STEP_S,
):
    """m above the nozzle of each still-air stream at its own distance_m ahead; nan if never."""
    tip, pressure, elevation, distance, quality, air = _alike(
        tip_diameter_m, nozzle_pressure_pa, elevation_deg, distance_m, quality, air_kg_m3
    )
    drag = stream.stream_drag(tip, quality, air)
    state = _start(pressure, elevation, np.zeros(tip.shape))
    height = np.full(tip.shape, np.nan)
    while np.isnan(height).any() and state[0] < stream.LONGEST_S:
        new = stream.step(state, stream.STILL, drag, step_s, np.exp, np.sqrt)
        there = np.isnan(height) & (new[1] >= distance)
        if there.any():
            one, other = _some(state, there), _some(new, there)
            share = _share(one, other, step_s, 1, distance[there])
            height[there] = _at(one, other, step_s, 3, share)
        state = new
    return height


def _alike(*inputs):
    return np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in inputs))


def _start(pressure, elevation, height):
    speed, up, zero = np.sqrt(2 * pressure / stream.WATER_KG_M3), np.radians(elevation), 0 * height
    return (0.0, zero, zero, height, speed * np.cos(up), zero, speed * np.sin(up), zero)


def _some(state, chosen):
    return (state[0], *(part[chosen] for part in state[1:]))


def _at(one, other, h, part, share):
    """A coordinate at a share of the step: the cubic of `stream.between`."""
    s2, s3 = share * share, share**3
    return (
        (2 * s3 - 3 * s2 + 1) * one[part]
        + (3 * s2 - 2 * s3) * other[part]
        + h * (s3 - 2 * s2 + share) * one[part + 3]
        + h * (s3 - s2) * other[part + 3]
    )


def _share(one, other, h, part, wanted):
    """Share of the step at which a coordinate has a value, by Newton; the cubic is nearly straight."""
    a, b = one[part], other[part]
    share = (wanted - a) / (b - a)
    for _ in range(12):
        s2 = share * share
        slope = 6 * (s2 - share) * (a - b)
        slope = slope + h * ((3 * s2 - 4 * share + 1) * one[part + 3])
        slope = slope + h * ((3 * s2 - 2 * share) * other[part + 3])
        off = _at(one, other, h, part, share) - wanted
        share = np.clip(share - np.divide(off, slope, where=slope != 0, out=0 * off), 0, 1)
    return share


def _level(one, other, h):
    """Share of the step at which the cubic of the height is level; as in `stream`."""
    rise, c, d = other[3] - one[3], h * one[6], h * other[6]
    p, q = 3 * (c + d - 2 * rise), 6 * rise - 4 * c - 2 * d
    return 2 * c / (np.sqrt(q * q - 4 * p * c) - q)
