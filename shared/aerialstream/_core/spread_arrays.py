"""The same equations as `spread.py` over whole batches: numpy in, numpy out."""

import numpy as np

from aerialstream._core import spread as core


class ARRAYS:
    """numpy under the names that the equations use."""

    cos, sin, sqrt, exp, log = np.cos, np.sin, np.sqrt, np.exp, np.log
    sinh, asinh, acosh = np.sinh, np.arcsinh, np.arccosh
    least, where = staticmethod(np.minimum), staticmethod(np.where)


def landings(rule, case, *, grazing_deg, splash, residence_s, lines, times, splash_rule=None):
    """As `spread.landings`, as four arrays (x, y, share, stopped) of equal length."""
    weight, ahead, aside, density = (
        np.array(column)[:, None]
        for column in zip(*core.streamlines(grazing_deg, lines), strict=True)
    )
    line = (weight, ahead, aside, density)
    waits = residence_s * np.array(core.residence_quantiles(times))[None, :]
    found = [(*rule(ARRAYS, line, waits, case), weight * (1 - splash) / times)]
    if splash:
        speeds = np.array(core.SPLASH_SPEEDS)[None, :]
        part = weight * splash / len(core.SPLASH_SPEEDS)
        found.append((*splash_rule(ARRAYS, line, speeds, case), part))
    columns = []
    for x, y, stopped, share in found:
        columns.append([a.ravel() for a in np.broadcast_arrays(x, y, share, stopped)])
    return tuple(np.concatenate(parts) for parts in zip(*columns, strict=True))


def from_wall(parts, wall, inward, *, along_x):
    """As `spread.from_wall`."""
    along, away, share, stopped = parts
    across = wall + inward * away
    place = (along, across) if along_x else (across, along)
    return (*place, share, stopped)


def joined(weighted):
    """As `spread.joined`."""
    columns = zip(
        *((x, y, w * share, stopped) for w, (x, y, share, stopped) in weighted), strict=True
    )
    return tuple(np.concatenate(column) for column in columns)


def along_walls(parts):
    """As `spread.along_walls`."""
    return tuple(column[parts[3]] for column in parts)


def total(parts):
    """As `spread.total`."""
    return float(parts[2].sum())


def _edges(centre, low, high):
    if high - low <= core.PATCH_FT:
        return np.full_like(centre, low)
    return np.clip(centre - core.PATCH_FT / 2, low, high - core.PATCH_FT)


def share_within(parts, room, area):
    """As `spread.share_within`."""
    x, y, share, _ = parts
    wide, deep = (
        np.minimum(edge + core.PATCH_FT, high) - np.maximum(edge, low)
        for edge, low, high in (
            (_edges(x, *room[:2]), *area[:2]),
            (_edges(y, *room[2:]), *area[2:]),
        )
    )
    wet = np.clip(wide, 0, None) * np.clip(deep, 0, None)
    return float((share * wet).sum() / core.PATCH_FT**2)


def share_over(parts, start, room, area):
    """As `spread.share_over`."""
    x, y, share, _ = parts
    over = core.crossed(ARRAYS, start, x, y, area)
    rest = tuple(column[~over] for column in parts)
    return float(share[over].sum()) + share_within(rest, room, area)


def water_map(parts, room, rows, columns):
    """As `spread.water_map`, as an array (rows, columns): patch by cell overlaps as a product.

    By einsum, not by a matrix product: that one starts threads, which on a busy machine of two
    cores made 0.3 ms into 30.
    """
    front, back, left, right = room
    x, y, share, _ = parts
    over_x = _overlaps(_edges(x, front, back) - front, (back - front) / rows, rows)
    over_y = _overlaps(_edges(y, left, right) - left, (right - left) / columns, columns)
    return np.einsum("ia,ib->ab", over_x * share[:, None], over_y)


def _overlaps(edge, cell, count):
    """Share of each patch in each cell, array (parts, count); each row adds up to 1."""
    ends = np.arange(1, count + 1) * cell
    gone = np.clip((ends[None, :] - edge[:, None]) / core.PATCH_FT, 0, 1)
    gone[:, -1] = 1.0
    return np.diff(gone, axis=1, prepend=0.0)
