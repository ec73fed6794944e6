"""Plane geometry of a scene plan on plain numbers: feet, x to the right, y up the plan.

A polygon is a tuple of (x, y) corners without the first one repeated. Bearings are degrees
clockwise from the plan's up; the caller turns compass bearings into these.
"""

from itertools import pairwise
from math import atan2, ceil, cos, degrees, floor, hypot, inf, pi, radians, sin, tau
from typing import NamedTuple

TOUCH_FT = 1e-6  # bodies that only touch do not overlap
_SLIVER_FT = 0.001  # gaps narrower than this are closed
_SAME_FT = 1e-9


def unit_vector(bearing_deg):
    """(x, y) of a bearing, one foot long."""
    return sin(radians(bearing_deg)), cos(radians(bearing_deg))


def bearing_of(x_ft, y_ft):
    """Bearing in degrees, 0 to 360, of the way from (0, 0) to a point."""
    return degrees(atan2(x_ft, y_ft)) % 360.0


def signed_area_sq_ft(corners):
    """Area, + where the corners run anticlockwise (the shoelace sum)."""
    total = 0.0
    for (x0, y0), (x1, y1) in edges(corners):
        total += x0 * y1 - x1 * y0
    return total / 2


def edges(corners):
    """The sides of a polygon, each as its two corners, the closing one last."""
    return tuple(zip(corners, (*corners[1:], corners[0]), strict=True))


def box(corners):
    """(least x, least y, most x, most y)."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), min(ys), max(xs), max(ys)


def placed(body, x_ft, y_ft, heading_deg):
    """Corners of a body (x right of the vehicle, y toward the cab) set down on the plan."""
    ahead_x, ahead_y = unit_vector(heading_deg)
    return tuple(
        (x_ft + bx * ahead_y + by * ahead_x, y_ft - bx * ahead_x + by * ahead_y) for bx, by in body
    )


def rectangle(x_ft, y_ft, width_ft, depth_ft, facing_deg):
    """Corners of a building whose front faces a bearing, clockwise, the front first.

    (x, y) is the left end of the front as seen from outside. Clockwise on the plan the front
    runs from its right end to its left end.
    """
    out_x, out_y = unit_vector(facing_deg)
    right_x, right_y = -out_y, out_x  # right hand of somebody who looks at the front
    right = (x_ft + right_x * width_ft, y_ft + right_y * width_ft)
    back = (-out_x * depth_ft, -out_y * depth_ft)
    return (
        right,
        (x_ft, y_ft),
        (x_ft + back[0], y_ft + back[1]),
        (right[0] + back[0], right[1] + back[1]),
    )


def strip(start, end, width_ft):
    """Corners of a straight strip of a width along a line."""
    along_x, along_y = end[0] - start[0], end[1] - start[1]
    length = hypot(along_x, along_y)
    off_x, off_y = -along_y / length * width_ft / 2, along_x / length * width_ft / 2
    return (
        (start[0] + off_x, start[1] + off_y),
        (end[0] + off_x, end[1] + off_y),
        (end[0] - off_x, end[1] - off_y),
        (start[0] - off_x, start[1] - off_y),
    )


def round_corners(x_ft, y_ft, across_ft, count=8):
    """A regular polygon around a round thing: no part of the round lies outside of it."""
    radius = across_ft / 2 / cos(pi / count)
    return tuple(
        (x_ft + radius * sin(tau * (n + 0.5) / count), y_ft + radius * cos(tau * (n + 0.5) / count))
        for n in range(count)
    )


def point_in_polygon(x_ft, y_ft, corners):
    """Whether a point lies inside, by counting the sides that a line from it crosses."""
    inside = False
    for (x0, y0), (x1, y1) in edges(corners):
        if (y0 > y_ft) != (y1 > y_ft) and x_ft < x0 + (y_ft - y0) / (y1 - y0) * (x1 - x0):
            inside = not inside
    return inside


def distance_to_side_ft(x_ft, y_ft, start, end):
    """Shortest distance from a point to a straight piece."""
    along_x, along_y = end[0] - start[0], end[1] - start[1]
    to_x, to_y = x_ft - start[0], y_ft - start[1]
    square = along_x * along_x + along_y * along_y
    share = (to_x * along_x + to_y * along_y) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(to_x - share * along_x, to_y - share * along_y)


def distance_to_polygon_ft(x_ft, y_ft, corners):
    """Shortest distance from a point to a polygon; 0 inside of it."""
    if point_in_polygon(x_ft, y_ft, corners):
        return 0.0
    return min(distance_to_side_ft(x_ft, y_ft, start, end) for start, end in edges(corners))


def _turn(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def sides_meet(one, other):
    """Whether two straight pieces cross or touch."""
    (a, b), (c, d) = one, other
    abc, abd, cda, cdb = _turn(a, b, c), _turn(a, b, d), _turn(c, d, a), _turn(c, d, b)
    if abc * abd < 0 and cda * cdb < 0:
        return True

    def on(p, q, r, turn):
        return turn == 0 and (
            min(p[0], q[0]) <= r[0] <= max(p[0], q[0])
            and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])
        )

    return on(a, b, c, abc) or on(a, b, d, abd) or on(c, d, a, cda) or on(c, d, b, cdb)


def crosses_itself(corners):
    """Whether two sides meet that are not neighbours, or neighbours run back on each other."""
    sides = edges(corners)
    for n, one in enumerate(sides):
        for m in range(n + 1, len(sides)):
            if m == n + 1 or (n == 0 and m == len(sides) - 1):
                first, second = (one, sides[m]) if m == n + 1 else (sides[m], one)
                back = (first[1][0] - first[0][0]) * (second[1][0] - second[0][0]) + (
                    first[1][1] - first[0][1]
                ) * (second[1][1] - second[0][1])
                if back < 0 and _turn(first[0], first[1], second[1]) == 0:
                    return True
            elif sides_meet(one, sides[m]):
                return True
    return False


def is_convex(corners):
    """Whether no corner of a polygon points inward."""
    turns = [_turn(corners[n - 2], corners[n - 1], corners[n]) for n in range(len(corners))]
    return all(t >= 0 for t in turns) or all(t <= 0 for t in turns)


class _Side(NamedTuple):
    """A side that is not upright, with the polygon it belongs to."""

    owner: int
    x0: float
    y0: float
    x1: float
    y1: float

    def at(self, x_ft):
        """Its y at an x."""
        return self.y0 + (x_ft - self.x0) / (self.x1 - self.x0) * (self.y1 - self.y0)


def _slab_ends(sides, corner_xs, least_x, most_x):
    """Rising x between which no two sides cross and no side begins or ends."""
    found = {least_x, most_x, *(x for x in corner_xs if least_x < x < most_x)}
    for n, one in enumerate(sides):
        for other in sides[n + 1 :]:
            left, right = max(one.x0, other.x0), min(one.x1, other.x1)
            if left >= right:
                continue
            before, after = one.at(left) - other.at(left), one.at(right) - other.at(right)
            if before * after < 0:
                x = left + before / (before - after) * (right - left)
                if least_x < x < most_x:
                    found.add(x)
    rising = sorted(found)
    kept = [rising[0]]
    for x in rising[1:]:
        if x - kept[-1] > _SAME_FT:
            kept.append(x)
    return kept


def _sides_not_upright(polygons):
    found = []
    for owner, corners in enumerate(polygons):
        for (x0, y0), (x1, y1) in edges(corners):
            if x0 < x1:
                found.append(_Side(owner, x0, y0, x1, y1))
            elif x1 < x0:
                found.append(_Side(owner, x1, y1, x0, y0))
    return found


def trapezoids(polygons, bounds, inside):
    """Convex pieces of what the polygons cover together (inside), or of what they leave free.

    The box `bounds` (least x, least y, most x, most y) is cut at every corner and crossing into
    upright slabs; between two neighbouring sides a slab has a trapezoid. Pieces that go on in
    the next slab between the same sides are joined.
    """
    least_x, least_y, most_x, most_y = bounds
    sides = _sides_not_upright(polygons)
    floor_side = _Side(-1, least_x, least_y, most_x, least_y)
    roof_side = _Side(-1, least_x, most_y, most_x, most_y)
    ends = _slab_ends(
        [*sides, floor_side, roof_side],
        [x for corners in polygons for x, _ in corners],
        least_x,
        most_x,
    )
    pieces, growing = [], {}
    for left, right in pairwise(ends):
        middle = (left + right) / 2
        here = sorted(
            (s for s in sides if s.x0 <= middle <= s.x1), key=lambda s: (s.at(middle), s.owner)
        )
        still = {}
        for low, high in _runs(here, floor_side, roof_side, middle, inside):
            if high.at(middle) - low.at(middle) <= _SLIVER_FT:
                continue
            still[low, high] = growing.pop((low, high), left)
        pieces += [(*key, start, left) for key, start in growing.items()]
        growing = still
    pieces += [(*key, start, most_x) for key, start in growing.items()]
    return tuple(_piece(*p) for p in pieces if p[3] - p[2] > _SLIVER_FT)


def _runs(here, floor_side, roof_side, middle, inside):
    """(lower side, upper side) of each run in one slab that is covered, or that is free."""
    low_end, high_end = floor_side.at(middle), roof_side.at(middle)
    open_owners, begun = set(), (None if inside else floor_side)
    for side in here:
        before = bool(open_owners)
        open_owners ^= {side.owner}
        after = bool(open_owners)
        if before == after:
            continue
        clipped = side
        if side.at(middle) <= low_end:
            clipped = floor_side
        elif side.at(middle) >= high_end:
            clipped = roof_side
        if after == inside:
            begun = clipped
        elif begun is not None:
            yield begun, clipped
            begun = None
    if begun is not None and not inside:
        yield begun, roof_side


def _piece(low, high, left, right):
    """The corners between two sides; where they meet, rounding must not cross them over."""
    low_left, low_right = low.at(left), low.at(right)
    corners = (
        (left, low_left),
        (right, low_right),
        (right, max(low_right, high.at(right))),
        (left, max(low_left, high.at(left))),
    )
    return tuple(c for n, c in enumerate(corners) if c != corners[n - 1])


def convex_pieces(corners):
    """A polygon as convex pieces that cover it without overlapping."""
    if is_convex(corners):
        return (tuple(corners),)
    return trapezoids([corners], box(corners), inside=True)


class Limits(NamedTuple):
    """Where a body's reference point must lie for the body to overlap a piece.

    halves: (a, b, c), met where a x + b y < c, with (a, b) one foot long. The rest is a box
    around the place, to look nowhere else.
    """

    halves: tuple
    least_y: float
    most_y: float


def _support(corners, a, b):
    return max(a * x + b * y for x, y in corners)


def _outward(corners):
    """Outward (a, b), one foot long, for each side of a convex polygon."""
    anticlockwise = signed_area_sq_ft(corners) > 0
    found = []
    for (x0, y0), (x1, y1) in edges(corners):
        length = hypot(x1 - x0, y1 - y0)
        if length > 1e-9:
            a, b = (y1 - y0) / length, (x0 - x1) / length
            found.append((a, b) if anticlockwise else (-a, -b))
    return found


def half_planes(corners):
    """(a, b, c) for each side of a convex polygon: inside where a x + b y <= c."""
    return tuple((a, b, _support(corners, a, b)) for a, b in _outward(corners))


def overlap_limits(piece, body, piece_halves=None):
    """Limits on the reference point of a body so that it overlaps a convex piece.

    Two convex bodies overlap unless one of their own sides separates them. The body is given by
    its corners around its reference point, turned as it stands; a single corner is a point.
    """
    mirrored = [(-x, -y) for x, y in body]
    halves = [
        (a, b, c + _support(mirrored, a, b) - TOUCH_FT)
        for a, b, c in (piece_halves or half_planes(piece))
    ]
    if len(body) > 2:
        halves += [
            (a, b, _support(piece, a, b) + _support(mirrored, a, b) - TOUCH_FT)
            for a, b in _outward(mirrored)
        ]
    ys = [y for _, y in piece]
    down, up = [y for _, y in mirrored], [y for _, y in mirrored]
    return Limits(tuple(halves), min(ys) + min(down), max(ys) + max(up))


def shifted(limits, x_ft, y_ft):
    """The same limits for a body whose corners all lie (x, y) further from the reference point."""
    return Limits(
        tuple((a, b, c - a * x_ft - b * y_ft) for a, b, c in limits.halves),
        limits.least_y - y_ft,
        limits.most_y - y_ft,
    )


def span(limits, y_ft):
    """(least x, most x) between which the limits are met on one row, or None."""
    low, high = -inf, inf
    for a, b, c in limits.halves:
        rest = c - b * y_ft
        if a > 1e-12:
            high = min(high, rest / a)
        elif a < -1e-12:
            low = max(low, rest / a)
        elif rest <= 0:
            return None
    return (low, high) if low < high else None


def mark_row(mask, start, columns, x0_ft, cell_ft, low, high):
    """Set the bytes of those columns of one row whose x lies between low and high."""
    first = max(0, floor((low - x0_ft) / cell_ft) + 1) if low > -inf else 0
    last = min(columns, ceil((high - x0_ft) / cell_ft)) if high < inf else columns
    if first < last:
        mask[start + first : start + last] = b"\1" * (last - first)


def covered(all_limits, x0_ft, y0_ft, cell_ft, columns, rows):
    """A byte for each place of a grid, row by row: 1 where any of the limits is met."""
    mask = bytearray(columns * rows)
    for limits in all_limits:
        first = max(0, floor((limits.least_y - y0_ft) / cell_ft))
        last = min(rows, ceil((limits.most_y - y0_ft) / cell_ft) + 1)
        for row in range(first, last):
            found = span(limits, y0_ft + row * cell_ft)
            if found:
                mark_row(mask, row * columns, columns, x0_ft, cell_ft, *found)
    return mask


def segment_distance_ft(start, end, other_start, other_end):
    """Shortest distance between two straight pieces in space (x, y, z)."""
    ux, uy, uz = (end[n] - start[n] for n in range(3))
    vx, vy, vz = (other_end[n] - other_start[n] for n in range(3))
    rx, ry, rz = (start[n] - other_start[n] for n in range(3))
    a, e = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    b, c = ux * vx + uy * vy + uz * vz, ux * rx + uy * ry + uz * rz
    f = vx * rx + vy * ry + vz * rz
    if a <= 1e-12 or e <= 1e-12:
        s, t = _one_is_a_point(a, c, e, f)
    else:
        flat = a * e - b * b
        s = min(1.0, max(0.0, (b * f - c * e) / flat)) if flat > 1e-9 * a * e else 0.0
        t = (b * s + f) / e
        if t < 0.0:
            s, t = min(1.0, max(0.0, -c / a)), 0.0
        elif t > 1.0:
            s, t = min(1.0, max(0.0, (b - c) / a)), 1.0
    dx, dy, dz = rx + s * ux - t * vx, ry + s * uy - t * vy, rz + s * uz - t * vz
    return (dx * dx + dy * dy + dz * dz) ** 0.5


def _one_is_a_point(a, c, e, f):
    s = min(1.0, max(0.0, -c / a)) if a > 1e-12 else 0.0
    t = min(1.0, max(0.0, f / e)) if e > 1e-12 else 0.0
    return s, t


def passes_under_top(start, end, halves, top_ft):
    """Whether a straight piece in space goes through a convex block that stands on the ground.

    halves are the block's sides (half_planes), top_ft its height.
    """
    vx, vy = end[0] - start[0], end[1] - start[1]
    enters, leaves = 0.0, 1.0
    for a, b, c in halves:
        away, room = a * vx + b * vy, c - a * start[0] - b * start[1]
        if away > 1e-12:
            leaves = min(leaves, room / away)
        elif away < -1e-12:
            enters = max(enters, room / away)
        elif room <= TOUCH_FT:
            return False
    if leaves - enters <= 1e-9:
        return False
    climb = end[2] - start[2]
    lowest = start[2] + climb * (leaves if climb < 0 else enters)
    return lowest < top_ft - TOUCH_FT


def zone_outline(corners, distance_ft, step_deg=7.5):
    """Corners of the zone within a distance of a polygon's outer hull, corners rounded."""
    hull = convex_hull(corners)
    found = []
    for n, (x, y) in enumerate(hull):
        (px, py), (nx, ny) = hull[n - 1], hull[(n + 1) % len(hull)]
        first = atan2(px - x, y - py)
        last = atan2(x - nx, ny - y)
        turn = (last - first) % tau
        count = max(1, ceil(degrees(turn) / step_deg))
        found += [
            (
                x + distance_ft * cos(first + turn * k / count),
                y + distance_ft * sin(first + turn * k / count),
            )
            for k in range(count + 1)
        ]
    return tuple(found)


def convex_hull(points):
    """The outer hull of points, anticlockwise."""
    ordered = sorted(set(points))

    def half(sequence):
        kept = []
        for point in sequence:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return tuple(half(ordered) + half(ordered[::-1]))
