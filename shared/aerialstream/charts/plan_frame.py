"""A window on a plan: feet to px, clipping at its edge, and patterns that need no colour."""

from math import cos, radians, sin

from aerialstream.units import quantity, show

_BARS = {  # system -> (unit, round lengths of a scale bar)
    "US": ("foot", (1, 2, 5, 10, 20, 50, 100, 200, 500)),
    "metric": ("meter", (0.5, 1, 2, 5, 10, 20, 50, 100, 200)),
}


class Frame:
    """Part of a plan (left, bottom, right, top in ft) shown in a box of the page, one scale.

    The part is widened to fill the box, so that nothing is stretched.
    """

    def __init__(self, part, box):
        self.box = box
        left, top, right, bottom = box
        wide, high = max(part[2] - part[0], 1.0), max(part[3] - part[1], 1.0)
        self.scale = min((right - left) / wide, (bottom - top) / high)
        self.middle = ((part[0] + part[2]) / 2, (part[1] + part[3]) / 2)
        self.centre = ((left + right) / 2, (top + bottom) / 2)

    def px(self, point):
        """Where a point of the plan lies on the page."""
        return (
            self.centre[0] + (point[0] - self.middle[0]) * self.scale,
            self.centre[1] - (point[1] - self.middle[1]) * self.scale,
        )

    def corners(self, points):
        """Corners on the page, clipped at the edge of the box; () where nothing is left."""
        return clipped([self.px(p) for p in points], self.box)

    def piece(self, start, end):
        """The part of a straight piece that lies in the box, on the page, or None."""
        return clipped_line(self.px(start), self.px(end), self.box)

    def holds(self, point, inside=0):
        """Whether a point of the plan lies in the box, by so many px at least."""
        x, y = self.px(point)
        left, top, right, bottom = self.box
        return left + inside <= x <= right - inside and top + inside <= y <= bottom - inside


def clipped(points, box):
    """Corners of what is left of a polygon inside a box (left, top, right, bottom)."""
    left, top, right, bottom = box
    for axis, bound, sign in ((0, left, 1), (0, right, -1), (1, top, 1), (1, bottom, -1)):
        kept = []
        for here, there in zip(points, [*points[1:], *points[:1]], strict=True):
            a, b = sign * (here[axis] - bound), sign * (there[axis] - bound)
            if a >= 0:
                kept.append(here)
            if (a < 0 < b) or (b < 0 < a):
                share = a / (a - b)
                kept.append(tuple(p + share * (q - p) for p, q in zip(here, there, strict=True)))
        points = kept
        if not points:
            return ()
    return tuple(points)


def clipped_line(start, end, box):
    """The part of a straight piece inside a box, as (start, end), or None."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        step = end[axis] - start[axis]
        near, far = box[axis] - start[axis], box[axis + 2] - start[axis]
        if abs(step) < 1e-12:
            if near > 0 or far < 0:
                return None
            continue
        ends = sorted((near / step, far / step))
        low, high = max(low, ends[0]), min(high, ends[1])
    if low >= high:
        return None
    return tuple(
        tuple(a + share * (b - a) for a, b in zip(start, end, strict=True)) for share in (low, high)
    )


def hatch(polygons, apart_px, turn_deg):
    """Parallel lines inside of polygons; where two cover the same, as in a ring, outside of both."""
    c, s = cos(radians(turn_deg)), sin(radians(turn_deg))
    sides = []
    for points in polygons:
        turned = [(x * c + y * s, y * c - x * s) for x, y in points]
        sides += zip(turned, [*turned[1:], *turned[:1]], strict=True)
    if not sides:
        return []
    lowest, highest = min(a[1] for a, _ in sides), max(a[1] for a, _ in sides)
    made, row = [], int(lowest // apart_px) + 1
    while row * apart_px < highest:
        y = row * apart_px + 1e-7
        hits = sorted(
            a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
            for a, b in sides
            if (a[1] <= y) != (b[1] <= y)
        )
        for first, last in zip(hits[::2], hits[1::2], strict=False):
            made.append(
                ((first * c - y * s, y * c + first * s), (last * c - y * s, y * c + last * s))
            )
        row += 1
    return made


def dotted(polygons, apart_px):
    """Points of a staggered grid inside of polygons."""
    points = []
    for (left, y), (right, _) in hatch(polygons, apart_px, 0):
        odd = round(y / apart_px) % 2
        x = (left // apart_px + 1 + odd / 2) * apart_px
        while x < right:
            points.append((x, y))
            x += apart_px
    return points


def scale_bar(picture, at, px_per_ft, system, longest=150):
    """A bar for lengths, the longest round one that is no longer than so many px."""
    unit, lengths = _BARS[system]
    per_unit = px_per_ft * quantity(1, unit).to("foot").magnitude
    length = max((n for n in lengths if n * per_unit <= longest), default=lengths[0])
    picture.scale_bar(at, length * per_unit, show(quantity(length, unit), system))
