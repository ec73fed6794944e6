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
    tip, pressure, elevation, height, quality, air = np.broadcast_arrays(
        *(
            np.asarray(a, dtype=float)
            for a in (
                tip_diameter_m, nozzle_pressure_pa, elevation_deg, height_m, quality, air_kg_m3,
            )
        )
    )  # fmt: skip
    drag = drag or stream.stream_drag(tip, quality, air)
    speed, up = np.sqrt(2 * pressure / stream.WATER_KG_M3), np.radians(elevation)
    zero = np.zeros(tip.shape)
    state = (zero, zero, zero, height.copy(), speed * np.cos(up), zero, speed * np.sin(up), zero)
    ahead, left = np.full(tip.shape, np.nan), np.full(tip.shape, np.nan)
    highest, to_highest = height.copy(), zero.copy()
    while np.isnan(ahead).any() and state[0].flat[0] < stream.LONGEST_S:
        new = stream.step(state, wind_m_s, drag, step_s, np.exp, np.sqrt)
        for i in np.argwhere(np.isnan(ahead) & (new[3] < 0)):
            i = tuple(i)
            one, other = _one(state, i), _one(new, i)
            share = stream._root(one, other, (0.0, 0.0, 1.0), 0.0)
            down = stream.between(one, other, share)
            ahead[i], left[i] = down.x, down.y
        for i in np.argwhere((state[6] > 0) & (new[6] <= 0)):
            i = tuple(i)
            one, other = _one(state, i), _one(new, i)
            top = stream.between(one, other, stream._level(one, other))
            highest[i], to_highest[i] = top.z, top.x
        state = new
    return Landings(ahead, left, highest, to_highest)


def _one(state, index):
    return tuple(float(part[index]) for part in state)


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
    """m above the nozzle of each still-air stream at its own distance_m ahead; nan if it ends short."""
    tip, pressure, elevation, distance = np.broadcast_arrays(
        *(
            np.asarray(a, float)
            for a in (tip_diameter_m, nozzle_pressure_pa, elevation_deg, distance_m)
        )
    )
    drag = stream.stream_drag(tip, quality, air_kg_m3)
    speed, up = np.sqrt(2 * pressure / stream.WATER_KG_M3), np.radians(elevation)
    zero = np.zeros(tip.shape)
    state = (zero, zero, zero, zero, speed * np.cos(up), zero, speed * np.sin(up), zero)
    height = np.full(tip.shape, np.nan)
    while np.isnan(height).any() and state[0].flat[0] < stream.LONGEST_S:
        new = stream.step(state, stream.STILL, drag, step_s, np.exp, np.sqrt)
        for i in np.argwhere(np.isnan(height) & (new[1] >= distance)):
            i = tuple(i)
            one, other = _one(state, i), _one(new, i)
            share = stream._root(one, other, (1.0, 0.0, 0.0), float(distance[i]))
            height[i] = stream.between(one, other, share).z
        state = new
    return height
