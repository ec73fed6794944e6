"""What a stream can meet at and behind an opening, in plain numbers: ft and degrees.

Axes of an opening: origin at the middle of its foot on the outside face of the wall, at ground
level; x into the building, y to the right seen from outside, z up. A stream strikes a surface
when it comes from the surface's front, the side its normal points to. Glass, curtains and what
stands in a room are not surfaces here. Grazing angle: between stream and surface (90 is square-on).
"""

from functools import lru_cache
from itertools import pairwise
from math import asin, degrees, erf, inf, isfinite, sqrt
from typing import NamedTuple

_EDGE = 1e-9  # ft: an edge met exactly counts as clear of the wall, and as part of a surface
_SQUARE_ROOT_OF_TWO = sqrt(2)
# Nodes and weights of five-point Gauss-Legendre on 0..1, for the length of a curved leg.
_GAUSS = tuple(
    ((1 + side * node) / 2, weight / 2)
    for node, weight in (
        (0.0, 128 / 225),
        (sqrt(5 - 2 * sqrt(10 / 7)) / 3, (322 + 13 * sqrt(70)) / 900),
        (sqrt(5 + 2 * sqrt(10 / 7)) / 3, (322 - 13 * sqrt(70)) / 900),
    )
    for side in ((1,) if node == 0 else (-1, 1))
)


# Every name that a surface can have, besides those of canopies ("top of the balcony").
NAMES = frozenset(
    (
        "roof",
        "inner face of the parapet",
        "face of the parapet",
        "wall",
        "wall below the opening",
        "wall above the opening",
        "wall left of the opening",
        "wall right of the opening",
        "another opening",
        "another side of the building",
        "ground",
        "head of the opening",
        "sill of the opening",
        "left jamb of the opening",
        "right jamb of the opening",
        "ceiling",
        "suspended tile",
        "layer above the tile",
        "floor of the storey above",
        "upper side of the ceiling",
        "upper side of the suspended tile",
        "floor",
        "far wall",
        "left wall of the room",
        "right wall of the room",
        "partition",
    )
)


class Opening(NamedTuple):
    """A hole in the facade plane x = 0."""

    y0_ft: float
    y1_ft: float
    sill_ft: float
    head_ft: float
    id: str = ""


class Patch(NamedTuple):
    """A rectangle in plan: a hole in the roof, a partition (one pair equal), what burns."""

    x0_ft: float
    x1_ft: float
    y0_ft: float
    y1_ft: float
    id: str = ""
    top_ft: float = inf


class Canopy(NamedTuple):
    """A balcony, canopy or platform before the wall, from x = -projection to the wall.

    One of kind "open" (bars, a grating) stops no stream here.
    """

    what: str
    kind: str
    projection_ft: float
    y0_ft: float
    y1_ft: float
    underside_ft: float
    top_ft: float
    id: str = ""


class Ceiling(NamedTuple):
    """Heights above ground. An open deck under a pitched roof has none: height_ft is infinite."""

    kind: str
    height_ft: float
    above_kind: str = ""
    above_ft: float = 0.0


class Room(NamedTuple):
    """The room behind an opening: x from the outside face of the wall to depth_ft."""

    id: str
    depth_ft: float
    y0_ft: float
    y1_ft: float
    floor_ft: float
    ceiling: Ceiling
    top_storey: bool
    partitions: tuple[Patch, ...] = ()
    burning: Patch | None = None


class Roof(NamedTuple):
    """Roof over the footprint x 0..depth, y y0..y1.

    ridge_along is "" for a flat roof, "y" or "x" for the axis that a pitched roof's ridge runs
    along. open_share is the share burnt through where no holes are placed.
    """

    depth_ft: float
    y0_ft: float
    y1_ft: float
    eaves_ft: float
    ridge_ft: float
    ridge_along: str = ""
    holes: tuple[Patch, ...] = ()
    open_share: float = 0.0


class RoomView(NamedTuple):
    """All that a stream can meet through one opening, in that opening's axes.

    opening is None for a view of the side as a whole; room is None where nobody entered one.
    parapet_tops_ft: front, rear, left, right; the roof's height where there is no parapet.
    """

    opening: Opening | None
    wall_thickness_ft: float
    roof: Roof
    parapet_tops_ft: tuple[float, float, float, float]
    room: Room | None = None
    canopies: tuple[Canopy, ...] = ()
    other_openings: tuple[Opening, ...] = ()


class Surface(NamedTuple):
    """A named plane with bounds.

    normal points to the front; offset is normal · point on the plane. box is (x0, x1, y0, y1, z0,
    z1); cutouts are boxes where it is missing; under are planes (normal, offset) it stays below.
    axis is 0, 1, 2 for a plane square to x, y, z, and 3 for an oblique one.
    """

    name: str
    kind: str
    part: str
    axis: int
    normal: tuple[float, float, float]
    offset: float
    box: tuple[float, ...]
    cutouts: tuple[tuple[float, ...], ...] = ()
    under: tuple[tuple[tuple[float, float, float], float], ...] = ()


class Strike(NamedTuple):
    """Where the middle of a stream first meets a surface.

    kind is what the surface is made of or is; part the id of the canopy, opening or partition;
    normal points to the side that the stream came from.
    """

    surface: str
    kind: str
    part: str
    point: tuple[float, float, float]
    direction: tuple[float, float, float]
    grazing_angle_deg: float
    depth_inside_ft: float
    distance_along_ft: float
    normal: tuple[float, float, float]


class Crossing(NamedTuple):
    """Where the middle of a stream goes through the plane of the facade."""

    point: tuple[float, float, float]
    direction: tuple[float, float, float]
    distance_along_ft: float


def _flat(name, kind, part, axis, front, offset, box, cutouts=(), under=()):
    """A surface square to one axis; front is +1 or -1 along that axis."""
    normal = tuple(float(front) if k == axis else 0.0 for k in range(3))
    spans = list(box)
    spans[2 * axis : 2 * axis + 2] = (offset, offset)
    return Surface(name, kind, part, axis, normal, front * offset, tuple(spans), cutouts, under)


def _doorway(opening):
    return (-inf, inf, opening.y0_ft, opening.y1_ft, opening.sill_ft, opening.head_ft)


def _from_above(patch):
    return (patch.x0_ft, patch.x1_ft, patch.y0_ft, patch.y1_ft, -inf, inf)


def roof_height_ft(roof, x, y):
    """Height of the roof above the ground over a place."""
    return min((offset - a * x - b * y) / c for (a, b, c), offset, *_ in roof_planes(roof))


def roof_planes(roof):
    """(normal upward, offset, x0, x1, y0, y1) of each plane of the roof."""
    depth, y0, y1, eaves = roof.depth_ft, roof.y0_ft, roof.y1_ft, roof.eaves_ft
    if not roof.ridge_along:
        return (((0.0, 0.0, 1.0), eaves, 0.0, depth, y0, y1),)
    rise = roof.ridge_ft - eaves
    if roof.ridge_along == "y":
        half, middle = depth / 2, depth / 2
        slope = rise / half
        length = sqrt(1 + slope * slope)
        near = ((-slope / length, 0.0, 1 / length), eaves / length, 0.0, middle, y0, y1)
        far_offset = (eaves + slope * depth) / length
        return near, ((slope / length, 0.0, 1 / length), far_offset, middle, depth, y0, y1)
    middle = (y0 + y1) / 2
    slope = rise / ((y1 - y0) / 2)
    length = sqrt(1 + slope * slope)
    left_offset = (eaves - slope * y0) / length
    right_offset = (eaves + slope * y1) / length
    return (
        ((0.0, -slope / length, 1 / length), left_offset, 0.0, depth, y0, middle),
        ((0.0, slope / length, 1 / length), right_offset, 0.0, depth, middle, y1),
    )


def _roof_surfaces(view):
    roof = view.roof
    holes = tuple(_from_above(hole) for hole in roof.holes)
    kind = "pitched roof" if roof.ridge_along else "flat roof"
    for normal, offset, x0, x1, y0, y1 in roof_planes(roof):
        axis = 3 if roof.ridge_along else 2
        yield Surface(
            "roof", kind, "", axis, normal, offset, (x0, x1, y0, y1, -inf, inf), holes, ()
        )
    depth, y0, y1, level = roof.depth_ft, roof.y0_ft, roof.y1_ft, roof.eaves_ft
    whole = (0.0, depth, y0, y1)
    for top, axis, front, offset in zip(
        view.parapet_tops_ft, (0, 0, 1, 1), (1, -1, 1, -1), (0.0, depth, y0, y1), strict=True
    ):
        if top > level:
            name = "inner face of the parapet"
            yield _flat(name, "wall", "", axis, front, offset, (*whole, level, top))


def _facade(view):
    """The wall of this side around its openings, and the parapet's face above it."""
    roof, own = view.roof, view.opening
    openings = (own, *view.other_openings) if own else view.other_openings
    cutouts = tuple(map(_doorway, openings))
    under, top = (), roof.eaves_ft
    if roof.ridge_along == "x":  # a gable
        under, top = tuple((n, o) for n, o, *_ in roof_planes(roof)), roof.ridge_ft
    y0, y1 = roof.y0_ft, roof.y1_ft
    parts = [("wall", (y0, y1, 0.0, top))]
    if own:
        parts = [
            ("wall below the opening", (own.y0_ft, own.y1_ft, 0.0, own.sill_ft)),
            ("wall above the opening", (own.y0_ft, own.y1_ft, own.head_ft, top)),
            ("wall left of the opening", (y0, own.y0_ft, 0.0, top)),
            ("wall right of the opening", (own.y1_ft, y1, 0.0, top)),
        ]
    for name, (a, b, low, high) in parts:
        if b > a and high > low:
            yield _flat(name, "wall", "", 0, -1, 0.0, (0.0, 0.0, a, b, low, high), cutouts, under)
    for other in view.other_openings:
        box = (0.0, 0.0, other.y0_ft, other.y1_ft, other.sill_ft, other.head_ft)
        yield _flat("another opening", "opening", other.id, 0, -1, 0.0, box)
    if view.parapet_tops_ft[0] > roof.eaves_ft:
        box = (0.0, 0.0, y0, y1, roof.eaves_ft, view.parapet_tops_ft[0])
        yield _flat("face of the parapet", "wall", "", 0, -1, 0.0, box)


def _other_sides(view):
    """The outside of the other three sides, openings not looked at, and the ground around."""
    roof, tops = view.roof, view.parapet_tops_ft
    under = tuple((n, o) for n, o, *_ in roof_planes(roof)) if roof.ridge_along else ()
    high = max(roof.ridge_ft, roof.eaves_ft)
    footprint = (0.0, roof.depth_ft, roof.y0_ft, roof.y1_ft)
    for top, axis, front, offset in (
        (tops[1], 0, 1, roof.depth_ft),
        (tops[2], 1, -1, roof.y0_ft),
        (tops[3], 1, 1, roof.y1_ft),
    ):
        box = (*footprint, 0.0, max(high, top))
        name = "another side of the building"
        yield _flat(name, "wall", "", axis, front, offset, box, (), under)
    everywhere = (-inf, inf, -inf, inf, 0.0, 0.0)
    yield _flat("ground", "ground", "", 2, 1, 0.0, everywhere, ((*footprint, -inf, inf),))


def _reveals(view):
    """Head, sill and jambs, as deep as the wall is thick."""
    own, thick = view.opening, view.wall_thickness_ft
    if own is None or thick <= 0:
        return
    box = (0.0, thick, own.y0_ft, own.y1_ft, own.sill_ft, own.head_ft)
    yield _flat("head of the opening", "frame", "", 2, -1, own.head_ft, box)
    yield _flat("sill of the opening", "frame", "", 2, 1, own.sill_ft, box)
    yield _flat("left jamb of the opening", "frame", "", 1, 1, own.y0_ft, box)
    yield _flat("right jamb of the opening", "frame", "", 1, -1, own.y1_ft, box)


def _canopies(view):
    for c in view.canopies:
        if c.kind == "open":
            continue
        box = (-c.projection_ft, 0.0, c.y0_ft, c.y1_ft, c.underside_ft, c.top_ft)
        for place, axis, front, offset in (
            ("underside", 2, -1, c.underside_ft),
            ("edge", 0, -1, -c.projection_ft),
            ("left end", 1, -1, c.y0_ft),
            ("right end", 1, 1, c.y1_ft),
            ("top", 2, 1, c.top_ft),
        ):
            yield _flat(f"{place} of the {c.what}", c.kind, c.id, axis, front, offset, box)


def _ceilings(view):
    room, roof = view.room, view.roof
    ceiling = room.ceiling
    plan = (0.0, room.depth_ft, room.y0_ft, room.y1_ft)
    opens = room.top_storey and ceiling.kind == "open deck"
    holes = tuple(map(_from_above, roof.holes)) if opens else ()
    if ceiling.height_ft == inf:
        for (a, b, c), offset, x0, x1, y0, y1 in roof_planes(roof):
            box = (
                *(max(x0, plan[0]), min(x1, plan[1])),
                *(max(y0, plan[2]), min(y1, plan[3]), -inf, inf),
            )
            down = (-a, -b, -c)
            yield Surface("ceiling", ceiling.kind, "", 3, down, -offset, box, holes, ())
        return
    box = (*plan, 0.0, 0.0)
    tile = ceiling.kind == "suspended tile"
    name = "suspended tile" if tile else "ceiling"
    yield _flat(name, ceiling.kind, "", 2, -1, ceiling.height_ft, box, holes)
    top, kind = ceiling.height_ft, ceiling.kind
    if tile:
        top, kind = ceiling.above_ft, ceiling.above_kind
        yield _flat("layer above the tile", kind, "", 2, -1, top, box)
    # A stream that fell through a hole in the roof meets these from above.
    if not room.top_storey:
        yield _flat("floor of the storey above", "floor", "", 2, 1, top, box)
    elif not opens:
        yield _flat("upper side of the ceiling", kind, "", 2, 1, top, box)
        if tile:
            name = "upper side of the suspended tile"
            yield _flat(name, ceiling.kind, "", 2, 1, ceiling.height_ft, box)


def _room_top_ft(view):
    ceiling = view.room.ceiling
    if ceiling.height_ft == inf:
        return view.roof.ridge_ft
    return ceiling.above_ft if ceiling.kind == "suspended tile" else ceiling.height_ft


def _inside(view):
    """Ceilings, floor, walls and partitions of the room."""
    room = view.room
    if room is None:
        return
    yield from _ceilings(view)
    top = _room_top_ft(view)
    box = (0.0, room.depth_ft, room.y0_ft, room.y1_ft, room.floor_ft, top)
    yield _flat("floor", "floor", "", 2, 1, room.floor_ft, box)
    # Under a pitched roof without a ceiling the walls end at the roof, not at its ridge.
    open_above = room.ceiling.height_ft == inf
    under = tuple((n, o) for n, o, *_ in roof_planes(view.roof)) if open_above else ()
    yield _flat("far wall", "wall", "", 0, -1, room.depth_ft, box, (), under)
    yield _flat("left wall of the room", "wall", "", 1, 1, room.y0_ft, box, (), under)
    yield _flat("right wall of the room", "wall", "", 1, -1, room.y1_ft, box, (), under)
    for wall in room.partitions:
        box = (*wall[:4], room.floor_ft, min(wall.top_ft, top))
        axis, offset = (0, wall.x0_ft) if wall.x0_ft == wall.x1_ft else (1, wall.y0_ft)
        for front in (-1, 1):
            yield _flat("partition", "wall", wall.id, axis, front, offset, box, (), under)


@lru_cache(maxsize=64)
def surfaces(view):
    """Every surface of a RoomView that stops a stream, outside first."""
    return (
        *_canopies(view),
        *_roof_surfaces(view),
        *_facade(view),
        *_other_sides(view),
        *_reveals(view),
        *_inside(view),
    )


def sampled(path, start, end, count):
    """Points for `first_strike` from a path function.

    path(at) gives (x, y, z, dx, dy, dz): the place, and how it changes with `at`, such as time.
    Between the points a cubic is laid: exact for a straight line and for a parabola in time.
    """
    step = (end - start) / count
    return tuple((start + n * step, *path(start + n * step)) for n in range(count + 1))


def _legs(points):
    """Each leg of a path as its two ends and three cubics (c0, c1, c2, c3) over 0..1."""
    size = len(points[0]) if len(points) > 1 else 0
    if size not in (3, 6, 7) or any(len(point) != size for point in points):
        raise ValueError("a path needs two points at least, all (x, y, z), or all with a direction")
    if not all(isfinite(sum(point)) for point in points):
        raise ValueError("a path has a point that is no number")
    for a, b in pairwise(points):
        if size == 3:
            cubics = tuple((p, q - p, 0.0, 0.0) for p, q in zip(a, b, strict=True))
            yield a, b, cubics
            continue
        if size == 7:
            span, first, second = b[0] - a[0], a[1:], b[1:]
        else:
            first, second = a, b
            span = sqrt(sum((q - p) ** 2 for p, q in zip(a[:3], b[:3], strict=True)))
        cubics = []
        for k in range(3):
            p, q, m, n = first[k], second[k], span * first[k + 3], span * second[k + 3]
            cubics.append((p, m, 3 * (q - p) - 2 * m - n, 2 * (p - q) + m + n))
        yield first[:3], second[:3], tuple(cubics)


def _value(cubic, u):
    c0, c1, c2, c3 = cubic
    return c0 + u * (c1 + u * (c2 + u * c3))


def _change(cubic, u):
    _, c1, c2, c3 = cubic
    return c1 + u * (2 * c2 + u * 3 * c3)


def _turns(cubic):
    """Where a cubic turns round within 0..1, in order."""
    _, c1, c2, c3 = cubic
    a, b, c = 3 * c3, 2 * c2, c1
    if abs(a) < 1e-300:
        found = (-c / b,) if b else ()
    else:
        under_root = b * b - 4 * a * c
        if under_root <= 0:
            return ()
        # The form that does not subtract nearly equal numbers.
        half = -(b + (sqrt(under_root) if b >= 0 else -sqrt(under_root))) / 2
        found = (half / a, c / half) if half else (0.0,)
    return tuple(sorted(u for u in found if 0 < u < 1))


def _passages(cubic, end_value):
    """Every u in 0..1 where the cubic goes from above zero to zero or below, in order."""
    low, at_low = 0.0, cubic[0]
    for high in (*_turns(cubic), 1.0):
        # The end point itself decides at the end: rounding must not open a gap between two legs.
        at_high = end_value if high == 1.0 else _value(cubic, high)
        if at_low > 0 >= at_high:
            yield _root(cubic, low, high, at_low, at_high)
        low, at_low = high, at_high


def _root(cubic, low, high, at_low, at_high):
    """The one zero of a falling stretch: Newton, held inside by halving."""
    u = low + (high - low) * at_low / (at_low - at_high)
    for _ in range(60):
        value = _value(cubic, u)
        if value > 0:
            low = u
        else:
            high = u
        slope = _change(cubic, u)
        new = u - value / slope if slope else low
        if not low < new < high:
            new = (low + high) / 2
        if abs(new - u) < 1e-15:
            return new
        u = new
    return u


def _length_to(cubics, u):
    """Length of a leg from its start to u."""
    (_, x1, x2, x3), (_, y1, y2, y3), (_, z1, z2, z3) = cubics
    total = 0.0
    for node, weight in _GAUSS:
        v = u * node
        x = x1 + v * (2 * x2 + v * 3 * x3)
        y = y1 + v * (2 * y2 + v * 3 * y3)
        z = z1 + v * (2 * z2 + v * 3 * z3)
        total += weight * sqrt(x * x + y * y + z * z)
    return u * total


def _within(point, box):
    return all(box[2 * k] - _EDGE <= point[k] <= box[2 * k + 1] + _EDGE for k in range(3))


def _on(surface, point):
    """Whether a point of the surface's plane lies on the surface itself."""
    if not _within(point, surface.box):
        return False
    if any(_within(point, box) for box in surface.cutouts):
        return False
    return all(
        a * point[0] + b * point[1] + c * point[2] <= offset + _EDGE
        for (a, b, c), offset in surface.under
    )


def _against(surface, end, cubics):
    """Distance in front of the plane as a cubic, and its value at the leg's end."""
    if surface.axis < 3:
        cubic, front = cubics[surface.axis], surface.normal[surface.axis]
        c0, c1, c2, c3 = cubic
        return (
            (front * c0 - surface.offset, front * c1, front * c2, front * c3),
            front * end[surface.axis] - surface.offset,
        )
    a, b, c = surface.normal
    mixed = [a * x + b * y + c * z for x, y, z in zip(*cubics, strict=True)]
    mixed[0] -= surface.offset
    return tuple(mixed), a * end[0] + b * end[1] + c * end[2] - surface.offset


def _reaches(cubic, end_value):
    """Whether a cubic can get from above zero to zero; its control points bound it."""
    c0, c1, c2, _ = cubic
    one = c0 + c1 / 3
    two = one + (c1 + c2) / 3
    return min(c0, one, two, end_value) <= 0 < max(c0, one, two, end_value)


def _span(cubic):
    """Least and most of a cubic's control points, which bound it over 0..1."""
    c0, c1, c2, c3 = cubic
    one = c0 + c1 / 3
    two = one + (c1 + c2) / 3
    end = c0 + c1 + c2 + c3
    return min(c0, one, two, end) - _EDGE, max(c0, one, two, end) + _EDGE


def _first_on_leg(listed, end, cubics, spans):
    """(u, surface) of the earliest strike on a leg, or None."""
    best = None
    (low_x, high_x), (low_y, high_y), (low_z, high_z) = spans
    for surface in listed:
        x0, x1, y0, y1, z0, z1 = surface.box
        # The leg's bounds rule out most surfaces.
        if x0 > high_x or x1 < low_x or z0 > high_z or z1 < low_z or y0 > high_y or y1 < low_y:
            continue
        cubic, end_value = _against(surface, end, cubics)
        if not _reaches(cubic, end_value):
            continue
        for u in _passages(cubic, end_value):
            if best is not None and u >= best[0]:
                break
            if _on(surface, tuple(_value(c, u) for c in cubics)):
                best = (u, surface)
                break
    return best


class _Path:
    """Legs of a path as (end, cubics, their bounds, length before), worked out as far as needed."""

    def __init__(self, points):
        self.legs, self.done, self.along = _legs(points), [], 0.0

    def __iter__(self):
        yield from self.done
        for _, end, cubics in self.legs:
            self.done.append((end, cubics, tuple(map(_span, cubics)), self.along))
            self.along += _length_to(cubics, 1.0)
            yield self.done[-1]


@lru_cache(maxsize=32)
def _path(points):
    """The same path is asked several times: what it strikes first, inside, and at the facade."""
    return _Path(points)


def _first(points, listed):
    """(surface, point, direction, length) of the earliest strike on a path, or None."""
    for end, cubics, spans, along in _path(tuple(map(tuple, points))):
        found = _first_on_leg(listed, end, cubics, spans)
        if found:
            u, surface = found
            change = tuple(_change(cubic, u) for cubic in cubics)
            speed = sqrt(sum(part * part for part in change))
            point = [_value(cubic, u) for cubic in cubics]
            if surface.axis < 3:
                # On the plane itself, free of rounding.
                point[surface.axis] = surface.offset * surface.normal[surface.axis]
            return (
                surface,
                tuple(point),
                tuple(part / speed for part in change),
                along + _length_to(cubics, u),
            )
    return None


def first_strike(points, view, passing=()):
    """The first surface that the middle of a stream meets, or None where the path meets none.

    points    the path from the tip in the view's axes: (x, y, z), joined by straight lines; or
              (x, y, z, dx, dy, dz) with the unit direction; or (time, x, y, z, vx, vy, vz), which
              makes a parabola exact. See `sampled` for a path function.
    passing   names of surfaces that the stream goes through, of NAMES, such as "suspended tile"
    """
    return strike_among(points, _not_passed(view, tuple(passing)))


@lru_cache(maxsize=128)
def _not_passed(view, passing):
    unknown = set(passing) - NAMES
    if unknown:
        # A name that nothing bears would silently let nothing through.
        raise ValueError(f"no surface is named {', '.join(sorted(unknown))}")
    return tuple(s for s in surfaces(view) if s.name not in passing)


def strike_among(points, listed):
    """The first of the listed surfaces that the middle of a stream meets; see `first_strike`."""
    found = _first(points, listed)
    if found is None:
        return None
    surface, point, direction, along = found
    square_on = sum(n * d for n, d in zip(surface.normal, direction, strict=True))
    return Strike(
        surface=surface.name,
        kind=surface.kind,
        part=surface.part,
        point=point,
        direction=direction,
        grazing_angle_deg=degrees(asin(min(1.0, abs(square_on)))),
        depth_inside_ft=point[0],
        distance_along_ft=along,
        normal=surface.normal,
    )


def facade_crossing(points):
    """Where the middle of a stream goes inward through the plane of the facade, or None.

    Wherever that is: in the opening, beside it or over the roof.
    """
    everywhere = (0.0, 0.0, -inf, inf, -inf, inf)
    found = _first(points, [_flat("facade", "", "", 0, -1, 0.0, everywhere)])
    return Crossing(*found[1:]) if found else None


def share_between(low, high, middle, sigma):
    """Share of a normal spread about `middle` that lies between two bounds."""
    if high <= low:
        return 0.0
    if sigma == 0:
        return 1.0 if low - _EDGE <= middle <= high + _EDGE else 0.0
    scale = sigma * _SQUARE_ROOT_OF_TWO
    return (erf((high - middle) / scale) - erf((low - middle) / scale)) / 2


def facade_spread_ft(direction, sigma_y_ft, sigma_z_ft):
    """Spreads (across, upward) of a stream where it cuts the facade, wider the more oblique.

    sigma_y_ft is the spread square to the stream, level; sigma_z_ft square to it in its upright
    plane. For a stream square to the wall in plan: sigma_z / cos(elevation).
    """
    dx, dy, dz = direction
    if dx <= 0:
        raise ValueError("the stream does not go into the building")
    level = sqrt(dx * dx + dy * dy)
    whole = sqrt(level * level + dz * dz)
    across = sigma_y_ft * level / dx
    lean = sigma_y_ft * dy * dz / (level * dx)
    return across, sqrt((sigma_z_ft * whole / level) ** 2 + lean**2)


def clear_bounds(opening, direction, wall_thickness_ft=0.0):
    """(left, right, lowest, highest) on the outside face of what a stream's parts clear.

    A thick wall cuts what would strike head, sill or jambs on its way through.
    """
    dx, dy, dz = direction
    aside, up = wall_thickness_ft * dy / dx, wall_thickness_ft * dz / dx
    return (
        opening.y0_ft - min(0.0, aside),
        opening.y1_ft - max(0.0, aside),
        opening.sill_ft - min(0.0, up),
        opening.head_ft - max(0.0, up),
    )


def clear_share(centre, direction, sigma_y_ft, sigma_z_ft, opening, wall_thickness_ft=0.0):
    """Share of a stream, 0 to 1, that clears an opening: a product of two normal shares.

    centre is (y, z) of the stream's middle on the outside face. What hangs before the wall is not
    looked at. Exact for a stream square to the wall in plan, or level. Oblique both ways at once
    the product leaves out how across and upward hang together: up to 0.08 of the stream at 45 deg
    both ways.
    """
    across, upward = facade_spread_ft(direction, sigma_y_ft, sigma_z_ft)
    left, right, low, high = clear_bounds(opening, direction, wall_thickness_ft)
    y, z = centre
    return share_between(left, right, y, across) * share_between(low, high, z, upward)
