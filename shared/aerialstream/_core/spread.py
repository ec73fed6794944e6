"""What a solid stream does where it strikes a surface: the split, the film, the fall. ft and s.

Every equation stands here once. `m` is either `PLAIN` (Python's own math, single numbers) or
`_core.spread_arrays.ARRAYS` (numpy, whole batches); a test holds both to the same answers.

The split of an inviscid round jet over the azimuth φ from its forward direction is
f(φ) = sin³α / (2π (1 - cos α cos φ)²), α the grazing angle. That is the law of areas of an
ellipse of eccentricity cos α, so streamlines at equal steps of the eccentric anomaly E carry
(1 + cos α cos E)/N of the flow each: their sum is 1 and their forward momentum cos α exactly,
however few there are.
"""

import math
from functools import cache
from math import cos, pi, sin, tau
from typing import NamedTuple

GRAVITY_FT_S2 = 32.174
FT3_S_PER_GPM = 231 / 1728 / 60
_NEVER_ZERO = 1e-12


class PLAIN:
    """Python's own math under the names that the equations use."""

    cos, sin, sqrt, exp, log = math.cos, math.sin, math.sqrt, math.exp, math.log
    sinh, asinh, acosh = math.sinh, math.asinh, math.acosh
    least = min

    @staticmethod
    def where(condition, one, other):
        """One of two values, both worked out before."""
        return one if condition else other


class Surface(NamedTuple):
    """How water leaves a surface. None of these was measured on a master stream.

    kept            share of the speed square to the surface that stays in the film, 0 to 1
    splash          share of the flow, times sin²α, that leaves at once as drops
    friction        friction coefficient of the film
    residence_s     mean time that the film stays on the surface
    """

    kept: float = 0.5
    splash: float = 0.4
    friction: float = 0.006
    residence_s: float = 0.30


# Ceiling and floor kinds. Slab: the defaults and ranges of the model's source notes; the others are
# assumptions: ribs and joists break the film up sooner.
SURFACES = {
    "concrete slab": Surface(),
    "open deck": Surface(residence_s=0.20),
    "joists": Surface(splash=0.8, residence_s=0.10),
    "floor": Surface(residence_s=0.60),
}
# What each of them may be instead: (least, most).
RANGES = {
    "kept": (0.2, 1.0),
    "splash": (0.0, 0.8),
    "friction": (0.003, 0.012),
    "residence_s": (0.15, 0.6),
}
# What cannot be more: all of the speed kept, all of the flow splashed.
MOST = {"kept": 1.0, "splash": 1.0, "friction": math.inf, "residence_s": math.inf}
FALL_SPEED_FT_S = 8.0 / 0.3048  # of drops that leave a ceiling
DROP_DIAMETER_FT = 0.003 / 0.3048
# Of the film's first speed: 0.1 to 0.6 evenly.
SPLASH_SPEEDS = tuple(0.1 + 0.5 * (k + 0.5) / 8 for k in range(8))


def streamlines(grazing_deg, count):
    """(weight, cos φ, sin φ, flow per radian as a share) of streamlines at equal steps of E."""
    grazing = math.radians(grazing_deg)
    eccentric, across = cos(grazing), sin(grazing)
    lines = []
    for k in range(count):
        anomaly = tau * (k + 0.5) / count
        swell = 1 + eccentric * cos(anomaly)
        lines.append(
            (
                swell / count,
                (cos(anomaly) + eccentric) / swell,
                across * sin(anomaly) / swell,
                swell * swell / (tau * across),
            )
        )
    return tuple(lines)


def forward_share(grazing_deg):
    """Share of a round jet that goes on forward of the strike: the half with |φ| < 90 deg.

    In closed form by the law of areas: E at φ = 90 deg has cos E = -cos α.
    """
    eccentric = cos(math.radians(grazing_deg))
    anomaly = math.acos(-eccentric)
    return (anomaly + eccentric * sin(anomaly)) / pi


def film_speed(m, speed, grazing_sin, kept):
    """Speed of the film as it leaves the strike: the part along the surface, and some of the rest."""
    along2 = 1 - grazing_sin * grazing_sin
    return speed * m.sqrt(along2 + (kept * grazing_sin) ** 2)


@cache
def residence_quantiles(count):
    """Times, as shares of their mean, of equal parts of a gamma distribution of shape 4."""

    def gone(x):  # 1 - e^(-4x) Σ (4x)^n/n!, n < 4
        y = 4 * x
        return 1 - math.exp(-y) * (1 + y * (1 + y / 2 * (1 + y / 3)))

    times = []
    for k in range(count):
        low, high, wanted = 0.0, 10.0, (k + 0.5) / count
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if gone(middle) < wanted else (low, middle)
        times.append((low + high) / 2)
    return tuple(times)


def film_run(m, time, first_speed, flow_per_radian, friction):
    """(how far the film has run, its speed there) after a time, slowed by the surface.

    time = r/U + cf r³/(12 q'), the one real root of a cubic; 1/u = 1/U + cf r²/(4 q').
    """
    third = 4 * flow_per_radian / (friction * first_speed)  # p/3 of r³ + p r - s = 0
    half = 6 * flow_per_radian * time / friction  # s/2
    root = m.sqrt(third)
    run = 2 * root * m.sinh(m.asinh(half / (third * root)) / 3)
    speed = 1 / (1 / first_speed + friction * run * run / (4 * flow_per_radian))
    return run, speed


def fall_time(m, height, fall_speed=FALL_SPEED_FT_S):
    """Time that a drop takes to fall, from rest, with drag as the square of its speed."""
    x = GRAVITY_FT_S2 * height / fall_speed**2
    # acosh(e^x) written so that it neither overflows nor loses small heights
    return fall_speed / GRAVITY_FT_S2 * (x + m.log(1 + m.sqrt(1 - m.exp(-2 * x))))


def drift(m, speed, time, air_density_ratio, drop_diameter=DROP_DIAMETER_FT):
    """How far a drop flies sideways while it falls, drag coefficient 0.5."""
    length = 4 * drop_diameter / (3 * 0.5 * air_density_ratio)
    return length * m.log(1 + speed * time / length)


def wall_distance(m, x, y, along_x, along_y, room):
    """Distance from (x, y) to the walls in a direction; room is (front, back, left, right)."""
    front, back, left, right = room
    steep_x = m.where(abs(along_x) < _NEVER_ZERO, _NEVER_ZERO, along_x)
    steep_y = m.where(abs(along_y) < _NEVER_ZERO, _NEVER_ZERO, along_y)
    to_x = (m.where(along_x > 0, back, front) - x) / steep_x
    to_y = (m.where(along_y > 0, right, left) - y) / steep_y
    return m.least(to_x, to_y)


def carried(m, run, speed, height, level, to_wall, air_density_ratio):
    """(distance from the strike where the water comes down, whether a wall stopped it).

    level is the cosine of the lean of the surface along the water's way; distances are measured
    along the surface, so that on a lean they are longer than over the floor.
    """
    flown = run + drift(m, speed * level, fall_time(m, height), air_density_ratio) / level
    return m.least(flown, to_wall), flown >= to_wall


# --- one streamline, one time: where that part of the water comes down ------------------------
# A line is (weight, cos φ, sin φ, flow per radian as a share); each gives (x, y, stopped by a wall).


def turned(line, forward, aside=None):
    """Direction of a streamline; `forward` and `aside` are unit vectors in the surface, in plan."""
    _, ahead, across, _ = line
    aside = aside or (-forward[1], forward[0])
    return (
        forward[0] * ahead + aside[0] * across,
        forward[1] * ahead + aside[1] * across,
    )


def off_ceiling(m, line, time, case):
    """Film along a ceiling, level or leaning, for a time, then a fall."""
    run, speed = film_run(m, time, case.first_speed, case.film_flow * line[3], case.friction)
    return _fallen(m, line, run, speed, case)


def splashed(m, line, share_of_speed, case):
    """Drops that leave the strike at once and fall."""
    return _fallen(m, line, 0.0, share_of_speed * case.first_speed, case)


def _fallen(m, line, run, speed, case):
    """Where water comes down that leaves the ceiling after a run along it."""
    ex, ey = turned(line, case.forward, case.aside)
    rise = case.lean[0] * ex + case.lean[1] * ey
    level = m.sqrt(ex * ex + ey * ey)
    height = case.height + rise * run
    height = m.where(height > 0, height, 0.0)
    to_wall = wall_distance(m, case.x, case.y, ex, ey, case.room)
    far, stopped = carried(m, run, speed, height, level, to_wall, case.air_density_ratio)
    return case.x + ex * far, case.y + ey * far, stopped


def along_floor(m, line, time, case):
    """Sheet along the floor for a time: the water is where it has come to."""
    ex, ey = turned(line, case.forward)
    run, _ = film_run(m, time, case.first_speed, case.film_flow * line[3], case.friction)
    to_wall = wall_distance(m, case.x, case.y, ex, ey, case.room)
    far = m.least(run, to_wall)
    return case.x + ex * far, case.y + ey * far, run >= to_wall


def down_wall(m, line, time, case):
    """Film on an upright wall for a time, then down to its foot.

    What runs past the ceiling goes on below it, by as much to the side as before, and falls.
    case.x runs along the wall, case.forward is (along the wall, up), case.height the strike above
    the floor, case.top the ceiling above the floor, case.room (0, depth before the wall, and the
    ends along it). Gives (along the wall, out from the wall, still at a wall).
    """
    along, up = turned(line, case.forward)
    run, speed = film_run(m, time, case.first_speed, case.film_flow * line[3], case.friction)
    steep = m.where(abs(up) < _NEVER_ZERO, _NEVER_ZERO, up)
    to_edge = m.where(up > 0, case.top - case.height, -case.height) / steep
    first, last = case.room[2:]
    edge = case.x + along * m.least(run, to_edge)
    edge = m.where(edge < first, first, m.where(edge > last, last, edge))
    past = m.where((up > 0) & (run > to_edge), run - to_edge, 0.0)
    flown = past + drift(m, speed, fall_time(m, case.top), case.air_density_ratio)
    to_wall = wall_distance(m, 0.0, edge, up, along, case.room)
    far = m.where(past > 0, m.least(flown, to_wall), 0.0)
    return edge + along * far, up * far, (past <= 0) | (flown >= to_wall)


class Case(NamedTuple):
    """One strike, as the equations above take it. ft, ft/s, ft³/s.

    x, y          strike; on a wall x runs along it
    forward       unit vector of the stream along the surface, seen in plan
    aside         the one square to it in the surface, in plan; None where the surface is level
    lean          rise of the surface for each foot along x and along y
    first_speed   of the film as it leaves the strike
    film_flow     flow in the film
    friction      of the surface
    height        fall to the floor, or strike above the floor on a wall
    room          (front, back, left, right); on a wall (0, depth before it, its two ends)
    top           on a wall: ceiling above the floor
    """

    x: float
    y: float
    forward: tuple
    first_speed: float
    film_flow: float
    friction: float
    height: float
    room: tuple = ()
    top: float = 0.0
    aside: tuple | None = None
    lean: tuple = (0.0, 0.0)
    air_density_ratio: float = 0.0012


def landings(rule, case, *, grazing_deg, splash, residence_s, lines, times, splash_rule=None):
    """Parts of the struck flow and where each comes down: (x, y, share, stopped). Sum of shares 1.

    rule is one of `off_ceiling`, `along_floor`, `down_wall`. splash is the share that leaves as
    drops by splash_rule; the residence times are those of a gamma distribution.
    """
    out, rows = [], streamlines(grazing_deg, lines)
    waits = [residence_s * q for q in residence_quantiles(times)]
    for line in rows:
        part = line[0] * (1 - splash) / times
        for wait in waits:
            x, y, stopped = rule(PLAIN, line, wait, case)
            out.append((x, y, part, stopped))
    for line in rows if splash else ():
        part = line[0] * splash / len(SPLASH_SPEEDS)
        for share in SPLASH_SPEEDS:
            x, y, stopped = splash_rule(PLAIN, line, share, case)
            out.append((x, y, part, stopped))
    return out


def from_wall(parts, wall, inward, *, along_x):
    """Parts of a wall, (along, out, share, stopped), as places on the floor.

    The wall stands at `wall` on the axis square to it; inward is +1 or -1.
    """
    out = []
    for along, away, share, stopped in parts:
        across = wall + inward * away
        place = (along, across) if along_x else (across, along)
        out.append((*place, share, stopped))
    return out


def joined(weighted):
    """Parts of several strikes as one, from (weight, parts)."""
    return [
        (x, y, weight * share, stopped)
        for weight, parts in weighted
        for x, y, share, stopped in parts
    ]


def along_walls(parts):
    """Those parts that a wall stopped."""
    return [part for part in parts if part[3]]


def total(parts):
    """Sum of the shares of parts."""
    return sum(part[2] for part in parts)


# --- the floor ---------------------------------------------------------------------------------

PATCH_FT = 2.0  # every part wets a square of this side, pushed back inside the room


def _inside(centre, low, high):
    """The patch's lower edge, with the patch pushed back between the walls."""
    edge = centre - PATCH_FT / 2
    if high - low <= PATCH_FT:
        return low
    return min(max(edge, low), high - PATCH_FT)


def share_within(parts, room, area):
    """Share of the flow that comes down in a rectangle; both are (front, back, left, right).

    From the parts themselves, so that it does not depend on the cells of any map.
    """
    total = 0.0
    for x, y, share, _ in parts:
        edge_x, edge_y = _inside(x, *room[:2]), _inside(y, *room[2:])
        wide = min(edge_x + PATCH_FT, area[1]) - max(edge_x, area[0])
        deep = min(edge_y + PATCH_FT, area[3]) - max(edge_y, area[2])
        if wide > 0 and deep > 0:
            total += share * wide * deep / PATCH_FT**2
    return total


def crossed(m, start, x, y, area):
    """Whether the straight way from start to (x, y) meets a rectangle."""
    first, last = 0.0, 1.0
    for at, end, low, high in ((start[0], x, *area[:2]), (start[1], y, *area[2:])):
        step = end - at
        step = m.where(abs(step) < _NEVER_ZERO, _NEVER_ZERO, step)
        one, other = (low - at) / step, (high - at) / step
        near, far = m.where(one < other, one, other), m.where(one < other, other, one)
        first = m.where(near > first, near, first)
        last = m.least(far, last)
    return first <= last


def share_over(parts, start, room, area):
    """Share of a sheet, spread over the floor from start, that runs over or ends in a rectangle."""
    total = 0.0
    for part in parts:
        if crossed(PLAIN, start, part[0], part[1], area):
            total += part[2]
        else:
            total += share_within([part], room, area)
    return total


def water_map(parts, room, rows, columns):
    """Share of the flow in each cell of a floor: rows from front to back, columns left to right.

    The sum over all cells is the sum of the parts' shares.
    """
    front, back, left, right = room
    cell_x, cell_y = (back - front) / rows, (right - left) / columns
    cells = [[0.0] * columns for _ in range(rows)]
    for x, y, share, _ in parts:
        over_x = _overlaps(_inside(x, front, back) - front, cell_x, rows)
        over_y = _overlaps(_inside(y, left, right) - left, cell_y, columns)
        for row, part_x in over_x:
            line = cells[row]
            for column, part_y in over_y:
                line[column] += share * part_x * part_y
    return cells


def _overlaps(edge, cell, count):
    """(cell number, share of the patch in it) along one side; the shares add up to 1."""
    first = min(max(int(edge / cell), 0), count - 1)
    out, rest, at = [], 1.0, edge
    for number in range(first, count):
        end = (number + 1) * cell
        part = min(rest, (end - at) / PATCH_FT)
        if number == count - 1:
            part = rest
        out.append((number, part))
        rest -= part
        at = end
        if rest <= 1e-12:
            break
    out[-1] = (out[-1][0], out[-1][1] + rest) if rest > 0 else out[-1]
    return out


def roof_shed(share_open, splash=0.1):
    """(in, shed, splashed off) of a stream on a pitched roof; intact lets in nothing."""
    return share_open * (1 - splash), (1 - share_open) * (1 - splash), splash
