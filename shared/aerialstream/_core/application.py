"""Where the water of a stream goes, from the tip to the floor: path, opening, strike, map. ft, s.

The axes are those of an opening (see `surfaces`): x into the building, y to the right seen from
outside, z up from the ground. All shares are of the flow that leaves the nozzle.
"""

from itertools import pairwise
from math import erf, exp, hypot, inf, pi, radians, sin, sqrt, tan
from typing import NamedTuple

from aerialstream._core import spread
from aerialstream._core import stream as air
from aerialstream._core.surfaces import (
    Patch,
    clear_bounds,
    facade_crossing,
    facade_spread_ft,
    first_strike,
    roof_height_ft,
    share_between,
)
from aerialstream.constants import AIR_DENSITY, KILOPASCALS_PER_PSI, METERS_PER_FOOT

PASCALS_PER_PSI = 1000 * KILOPASCALS_PER_PSI
AIR_TO_WATER = AIR_DENSITY.value / air.WATER_KG_M3
SWAY_DEG = 0.5  # how far tip and aim wander, one standard deviation; an assumption
D90_IN_SIGMAS = 4.292  # nine tenths of a round normal spread lie within this many across
ROOF_SPLASH = 0.1
THINGS_HIGH_FT = 3.0  # how high what burns stands on the floor; an assumption
NOTHING = 1e-6  # a share below this is none
UNDER_GROUND_FT = -3.0  # a path is followed below the ground, so that it surely crosses it

AROUND = (
    "wall below the opening",
    "wall above the opening",
    "wall left of the opening",
    "wall right of the opening",
    "another opening",
    "head of the opening",
    "sill of the opening",
    "left jamb of the opening",
    "right jamb of the opening",
    "face of the parapet",
)
FACADE = ("wall", *AROUND)
CEILINGS = ("ceiling", "layer above the tile")
WALLS = ("far wall", "left wall of the room", "right wall of the room", "partition")
ABOVE = (
    "floor of the storey above",
    "upper side of the ceiling",
    "upper side of the suspended tile",
)
# Where a share of the flow ends, in the order in which people ask.
FATES = (
    "on the fire",
    "elsewhere on the floor",
    "down the walls inside",
    "inside, where is not known",
    "held above the ceiling",
    "shed by the roof",
    "outside",
)


class Shot(NamedTuple):
    """A stream as it leaves the tip.

    place      of the tip: x (before the wall: minus), y, z in ft
    pitch_deg  of the stream above level
    turn_deg   to the right of straight into the building, seen from above
    """

    place: tuple
    pitch_deg: float
    turn_deg: float
    tip_diameter_in: float
    nozzle_pressure_psi: float
    flow_gpm: float
    wind_ft_s: tuple = (0.0, 0.0, 0.0)  # where it blows to, in the axes of the opening
    quality: float = 1.1
    sway_deg: float = SWAY_DEG


class Outcome(NamedTuple):
    """Where the water of a shot goes.

    points      of the path, (time, x, y, z, vx, vy, vz) in ft and ft/s
    crossing    where the middle goes through the plane of the facade, or None
    strike      first surface outside or inside, as if the stream had no width, or None
    inside      the strike in the room of most of what comes in, or None
    dropped     name of a ceiling that the stream brought down on its way: "suspended tile" or ""
    cleared     share that comes into the building
    room        (front, back, left, right) that the water is kept in, or None
    parts       (x, y, share of what comes in, along a wall) of what lands in the room
    fates       share of each of FATES; their sum is 1
    things      whether the stream shown by `inside` strikes what burns before that
    broken      whether it strikes inside beyond its usable reach, as spray
    by_other_openings  share that goes in beside the opening looked at
    """

    points: tuple
    crossing: object
    strike: object
    inside: object
    dropped: str
    cleared: float
    room: tuple | None
    parts: object
    fates: dict
    usable_reach_ft: float
    things: bool
    broken: bool
    by_other_openings: float


def path_of(shot, *, far_ft=inf, ground_ft=0.0):
    """The path as points (time, x, y, z, vx, vy, vz) in ft and ft/s, in the opening's axes."""
    to_m = METERS_PER_FOOT
    x, y, z = shot.place
    wx, wy, wz = shot.wind_ft_s
    flight = air.stream(
        shot.tip_diameter_in * to_m / 12,
        shot.nozzle_pressure_psi * PASCALS_PER_PSI,
        shot.pitch_deg,
        place_m=(x * to_m, -y * to_m, z * to_m),
        heading_deg=-shot.turn_deg,
        wind_m_s=(wx * to_m, -wy * to_m, wz * to_m),
        quality=shot.quality,
        ground_z_m=ground_ft * to_m,
        farthest_m=far_ft * to_m,
    )
    back = 1 / to_m
    return tuple(
        (t, px * back, -py * back, pz * back, vx * back, -vy * back, vz * back)
        for t, px, py, pz, vx, vy, vz, _ in flight.states
    )


def spread_ft(shot, along_ft):
    """One standard deviation of the stream, square to it, at a way from the tip, sway included."""
    usable = air.usable_reach_ft(shot.tip_diameter_in, shot.nozzle_pressure_psi)
    bore = shot.tip_diameter_in / 12
    width = bore + (15 / 12 - bore) * along_ft / usable
    return hypot(width / D90_IN_SIGMAS, along_ft * tan(radians(shot.sway_deg)))


# --- the stream as threads: what its upper and its lower edge meet --------------------------------

EDGE_SIGMAS = 2.5  # 99 in 100 parts of the water lie no farther above or below the middle
_BISECTIONS = 5


class Thread(NamedTuple):
    """A part of the stream. fate is "in" (by the opening), "roof" or "outside".

    things: whether it strikes what burns itself, on its way to what it strikes inside.
    """

    fate: str
    strike: object
    inside: object
    dropped: str
    points: tuple
    things: bool = False


class Group(NamedTuple):
    """A share of the flow that meets the same thing inside, and where it comes down.

    thread is its mean one; shown the stream's middle where that is among them.
    """

    share: float
    thread: Thread
    shown: Thread
    parts: object = None
    room: tuple | None = None


def _normal_density(k):
    return exp(-k * k / 2) / sqrt(2 * pi)


def _normal_below(k):
    return (1 + erf(k / sqrt(2))) / 2


def _normal_between(low, high):
    return _normal_below(high) - _normal_below(low)


def _mean_between(low, high):
    """Mean of a standard normal spread between two bounds."""
    weight = _normal_between(low, high)
    if weight < NOTHING:
        return min(max(0.0, low), high)
    return (_normal_density(low) - _normal_density(high)) / weight


def _nearly(low, high):
    """The mean between two bounds; the middle where that is as good."""
    mean = _mean_between(low, high)
    return mean if abs(mean) > 0.02 else 0.0


class _Stream:
    """A shot's path, and its threads: up and aside count standard deviations from its middle."""

    def __init__(self, view, shot, points, burning):
        self.view, self.shot, self.points, self.burning = view, shot, points, burning
        self.closed = view._replace(roof=view.roof._replace(holes=()))
        self.crossing = facade_crossing(points)
        self.known = {}
        if self.crossing is not None:
            sigma = spread_ft(shot, self.crossing.distance_along_ft)
            self.facade_spread = facade_spread_ft(self.crossing.direction, sigma, sigma)

    def moved(self, up, aside):
        """The path of the thread that lies so far above and to the right of the middle."""
        if not up and not aside:
            return self.points
        out, along, before = [], 0.0, self.points[0]
        for point in self.points:
            time, x, y, z, vx, vy, vz = point
            along += sqrt(sum((b - a) ** 2 for a, b in zip(before[1:4], point[1:4], strict=True)))
            before = point
            level = hypot(vx, vy)
            ex, ey = (vx / level, vy / level) if level > 1e-9 else (1.0, 0.0)
            speed, sigma = hypot(level, vz), spread_ft(self.shot, along)
            rise, right = up * sigma, aside * sigma
            lean = rise * vz / speed
            place = (x - lean * ex - right * ey, y - lean * ey + right * ex)
            out.append((time, *place, z + rise * level / speed, vx, vy, vz))
        return tuple(out)

    def thread(self, up, aside=0.0, *, through):
        """What a thread meets; `through` if it is at the height of the opening."""
        key = (up, aside, through)
        if key not in self.known:
            self.known[key] = self._thread(self.moved(up, aside), through)
        return self.known[key]

    def _thread(self, points, through):
        crossing = facade_crossing(points) if through else None
        if crossing is None:
            strike = first_strike(points, self.closed)
            roof = strike is not None and strike.surface == "roof"
            return Thread("roof" if roof else "outside", strike, None, "", points)
        inside, dropped = _inside(self.view, points, AROUND)
        if inside is not None and inside.distance_along_ft < crossing.distance_along_ft - 1e-6:
            return Thread("outside", inside, None, "", points)  # a canopy, the ground
        if self.view.room is None:
            inside = None
        things = _strikes_things(points, inside, self.burning, self.view.room)
        return Thread("in", inside, inside, dropped, points, things)

    def gap(self, opening):
        """((lowest, highest), (left, right)) that clear an opening, in standard deviations."""
        if opening is None or self.crossing is None:
            return None
        _, y, z = self.crossing.point
        across, upward = self.facade_spread
        y0, y1, z0, z1 = clear_bounds(opening, self.crossing.direction, self.view.wall_thickness_ft)
        if y0 >= y1 or z0 >= z1:
            return None
        return ((z0 - z) / upward, (z1 - z) / upward), ((y0 - y) / across, (y1 - y) / across)

    def zones(self, gap):
        """(lowest, highest, at the height of the opening) from the lower edge to the upper."""
        if gap is None:
            return ((-inf, inf, False),)
        (low, high), (left, right) = gap
        if _normal_between(left, right) < NOTHING:
            return ((-inf, inf, False),)
        return ((-inf, low, False), (low, high, True), (high, inf, False))

    def segments(self, low, high, through, fan, aside):
        """(lowest, highest, a thread) of stretches whose threads meet the same thing."""
        first, last = max(low, -EDGE_SIGMAS), min(high, EDGE_SIGMAS)
        if last - first < 1e-3:
            return []
        if not fan:
            return [(low, high, self.thread(_nearly(low, high), aside, through=through))]
        nodes = sorted({first, last, 0.0 if first < 0.0 < last else (first + last) / 2})
        threads = [self.thread(node, through=through) for node in nodes]
        out, start = [], low
        for (a, b), (one, other) in zip(pairwise(nodes), pairwise(threads), strict=True):
            if _meets(one) == _meets(other):
                continue
            for _ in range(_BISECTIONS):
                middle = (a + b) / 2
                found = self.thread(middle, through=through)
                if _meets(found) == _meets(one):
                    a = middle
                else:
                    b, other = middle, found
            out.append((start, (a + b) / 2, one))
            start = (a + b) / 2
        return [*out, (start, high, threads[-1])]


def _meets(thread):
    inside = thread.inside
    return (
        thread.fate,
        thread.dropped,
        thread.things,
        inside and (inside.surface, inside.part),
        _at_the_facade(thread),
    )


def _at_the_facade(thread):
    """Whether a thread comes as far as the wall of this side."""
    if thread.fate == "in":
        return True
    return thread.strike is not None and thread.strike.surface in FACADE


def _inside(view, points, passing):
    """(strike, ceiling brought down): suspended tile drops out, and what is above takes over."""
    inside, dropped = first_strike(points, view, passing), ""
    if inside is not None and inside.surface == "suspended tile":
        dropped = inside.surface
        inside = first_strike(points, view, (*passing, dropped))
    return inside, dropped


class _Met(NamedTuple):
    """What a stream meets: groups that come in, what the roof sheds, what goes in elsewhere."""

    groups: list
    shed: float
    by_other_openings: float


def _met(stream, fan):
    """The stream from its lower edge to its upper one."""
    view = stream.view
    gap, others = stream.gap(view.opening), map(stream.gap, view.other_openings)
    others = [other for other in others if other and _clears(-inf, inf, other) > NOTHING]
    groups, shed, elsewhere = [], 0.0, 0.0
    for low, high, through in stream.zones(gap):
        aside = _nearly(*gap[1]) if through else 0.0
        for a, b, thread in stream.segments(low, high, through, fan, aside):
            share = _normal_between(a, b)
            if _at_the_facade(thread):
                elsewhere += sum(_clears(a, b, other) for other in others)
            if thread.fate == "in":
                groups.append(_by_opening(stream, gap, a, b, thread, fan))
            elif thread.fate == "roof":
                mean = stream.thread(_mean_between(a, b), through=False)
                thread = mean if mean.fate == "roof" else thread
                within, below = _through_roof(view, stream.shot, thread, stream.burning)
                shed += share * (1 - within)
                groups.append(Group(share * within, below, below))
    return _Met([g for g in groups if g.share > NOTHING], shed, elsewhere)


def _clears(low, high, gap):
    """Share of the flow between two heights in the stream that clears an opening."""
    (lowest, highest), sides = gap
    a, b = max(low, lowest), min(high, highest)
    return _normal_between(a, b) * _normal_between(*sides) if a < b else 0.0


def _by_opening(stream, gap, low, high, thread, fan):
    """What comes in by the opening between two heights in the stream."""
    sides = gap[1]
    mean = stream.thread(_nearly(low, high), _nearly(*sides), through=True)
    mean = mean if mean.fate == "in" else thread
    middle = stream.thread(0.0, through=True) if fan and low < 0.0 < high else mean
    return Group(_clears(low, high, gap), mean, middle if middle.fate == "in" else mean)


# --- roofs -----------------------------------------------------------------------------------------


def hole_share(view, shot, strike):
    """Share of a stream that comes down on a roof which goes through its holes.

    Where holes are placed, what falls into one is in; where only a share of the roof is known to
    be burnt through, some splashes off what is left.
    """
    roof = view.roof
    if not roof.holes:
        return spread.roof_shed(roof.open_share, ROOF_SPLASH)[0]
    sigma = spread_ft(shot, strike.distance_along_ft)
    (dx, dy, dz), (a, b, c) = strike.direction, strike.normal
    into = min(a * dx + b * dy + c * dz, -0.05)
    # A round stream laid along itself onto the roof's plane, seen in plan.
    sigma_x = sigma * sqrt((1 - dx * a / into) ** 2 + (dx * b / into) ** 2 + (dx * c / into) ** 2)
    sigma_y = sigma * sqrt((dy * a / into) ** 2 + (1 - dy * b / into) ** 2 + (dy * c / into) ** 2)
    x, y, _ = strike.point
    return min(
        1.0,
        sum(
            share_between(hole.x0_ft, hole.x1_ft, x, sigma_x)
            * share_between(hole.y0_ft, hole.y1_ft, y, sigma_y)
            for hole in roof.holes
        ),
    )


def _through_roof(view, shot, thread, burning):
    """(share of what comes down on the roof that comes in, thread with what it strikes below)."""
    within, room = hole_share(view, shot, thread.strike), view.room
    x, y, _ = thread.strike.point
    if within < NOTHING or room is None:
        return within, thread
    if not (x <= room.depth_ft and room.y0_ft <= y <= room.y1_ft):
        return within, thread  # into another room
    opened = view._replace(roof=view.roof._replace(holes=(_EVERYWHERE,)))
    below, dropped = _inside(opened, thread.points, ())
    things = _strikes_things(thread.points, below, burning, room)
    return within, thread._replace(inside=below, dropped=dropped, things=things)


_EVERYWHERE = Patch(-inf, inf, -inf, inf)


# --- after the strike --------------------------------------------------------------------------------


def _kept_in(view, strike):
    """The part of the room that the strike lies in: whole partitions end it.

    What comes off a ceiling or a wall counts as passing over a partition lower than the ceiling;
    drops that fall short of it would strike its face. What strikes the floor does not pass: a sheet
    runs against the foot of whatever stands on it, and ends there. It is fast enough to climb a
    face, so some may come over; nobody has measured how much, and none is counted. A partition
    with a gap at either end stops nothing here.
    """
    on_floor = strike.surface == "floor"
    return _ended_by(view, strike, lambda wall: on_floor or _is_whole(view, strike, wall))


def share_at_low_partitions(kit, view, strike, parts, room):
    """Share of what comes in that a partition lower than the ceiling may have a say in.

    Off a ceiling: what comes down beyond one. On the floor: what comes within two feet of the foot
    of one, so that it ends there or nearly.
    """
    if strike.surface not in ("floor", *CEILINGS):
        return 0.0
    near = _ended_by(view, strike, lambda wall: True)
    whole = _ended_by(view, strike, lambda wall: _is_whole(view, strike, wall))
    if near == whole:
        return 0.0
    if strike.surface != "floor":
        return kit.total(parts) - kit.share_within(parts, room, near)
    share = 0.0
    for n, other in enumerate((1, 0, 3, 2)):
        if near[n] != whole[n]:
            strip = list(near)
            strip[other] = near[n] + (2.0 if n in (0, 2) else -2.0)
            share += kit.share_within(parts, room, strip)
    return share


def _is_whole(view, strike, wall):
    """Whether a partition reaches up to the ceiling."""
    return wall.top_ft >= _top_ft(view, strike) - 0.01


def _ended_by(view, strike, ends):
    """(front, back, left, right) of the part of the room between the partitions that end it."""
    room = view.room
    # A foot back: a strike on a partition belongs to the side that the stream came from. On the
    # floor a hair does: a foot back, a stream over a low partition is still before it.
    back_ft = 0.01 if strike.surface == "floor" else 1.0
    x, y, _ = (p - back_ft * d for p, d in zip(strike.point, strike.direction, strict=True))
    front, back = min(view.wall_thickness_ft, max(strike.point[0], 0.0)), room.depth_ft
    left, right = room.y0_ft, room.y1_ft
    walls = [wall for wall in room.partitions if ends(wall)]
    for _ in walls:  # again, since a partition may run from one that comes later in the list
        for wall in walls:
            across = wall.y0_ft <= left + 0.01 and wall.y1_ft >= right - 0.01
            inward = wall.x0_ft <= front + 0.01 and wall.x1_ft >= back - 0.01
            if wall.x0_ft == wall.x1_ft and across and front < wall.x0_ft < back:
                front, back = (front, wall.x0_ft) if x <= wall.x0_ft else (wall.x0_ft, back)
            elif wall.y0_ft == wall.y1_ft and inward and left < wall.y0_ft < right:
                left, right = (left, wall.y0_ft) if y <= wall.y0_ft else (wall.y0_ft, right)
    return front, back, left, right


def _top_ft(view, strike):
    """Height of the highest layer of the ceiling above the ground, over a strike."""
    ceiling = view.room.ceiling
    if ceiling.height_ft == inf:
        return roof_height_ft(view.roof, *strike.point[:2])
    return ceiling.above_ft if ceiling.kind == "suspended tile" else ceiling.height_ft


def _in_surface(strike):
    """(ahead, aside, rise per foot of x and y) of the stream along a floor or ceiling, in plan."""
    n, d = strike.normal, strike.direction
    square_on = sum(a * b for a, b in zip(n, d, strict=True))
    ahead = [b - square_on * a for a, b in zip(n, d, strict=True)]
    length = sqrt(sum(a * a for a in ahead))
    lean = (-n[0] / n[2], -n[1] / n[2])
    if length < 1e-9:
        slope = sqrt(1 + lean[0] ** 2)
        ahead, length = (1.0, 0.0, lean[0]), slope
    tx, ty, tz = (a / length for a in ahead)
    nx, ny, nz = n if n[2] > 0 else (-a for a in n)
    return (tx, ty), (ny * tz - nz * ty, nz * tx - nx * tz), lean


def _speed_ft_s(points, strike):
    """Speed where it strikes, from the two points of the path around it."""
    along, place = 0.0, strike.distance_along_ft
    for one, other in pairwise(points):
        leg = sqrt(sum((b - a) ** 2 for a, b in zip(one[1:4], other[1:4], strict=True)))
        if along + leg >= place or other is points[-1]:
            share = min(max((place - along) / leg, 0.0), 1.0) if leg else 0.0
            fast = [sqrt(sum(v * v for v in p[4:7])) for p in (one, other)]
            return fast[0] + share * (fast[1] - fast[0])
        along += leg
    return sqrt(sum(v * v for v in points[-1][4:7]))


def after_strike(view, points, strike, flow_gpm, *, kit, surfaces=None, lines=48, times=12):
    """(parts, room) of water that strikes a surface inside; parts None where it stays above.

    flow_gpm is what strikes there. kit is `spread` or `spread_arrays`; surfaces may put other
    constants in place of `spread.SURFACES`.
    """
    table = surfaces or spread.SURFACES
    room = _kept_in(view, strike)
    grazing = max(strike.grazing_angle_deg, 1.0)
    across = sin(radians(grazing))
    wall = strike.surface in WALLS
    if strike.surface in CEILINGS:
        surface, rule = table[strike.kind], spread.off_ceiling
        splash = surface.splash * across * across
    elif strike.surface == "floor":
        surface, rule, splash = table["floor"], spread.along_floor, 0.0
    elif wall:
        surface, rule, splash = table["concrete slab"], spread.down_wall, 0.0
    else:
        return None, room
    place = _on_wall(view, strike, room) if wall else _on_level(view, strike, room)
    case = spread.Case(
        **place,
        first_speed=spread.film_speed(
            spread.PLAIN, _speed_ft_s(points, strike), across, surface.kept
        ),
        film_flow=flow_gpm * spread.FT3_S_PER_GPM * (1 - splash),
        friction=surface.friction,
        air_density_ratio=AIR_TO_WATER,
    )
    parts = kit.landings(
        rule,
        case,
        grazing_deg=grazing,
        splash=splash,
        residence_s=surface.residence_s,
        lines=lines,
        times=times,
        splash_rule=spread.splashed,
    )
    if wall:
        axis, inward = _square_to(strike)
        parts = kit.from_wall(parts, strike.point[axis], inward, along_x=axis == 1)
    return parts, room


def _on_level(view, strike, room):
    """Where and how the stream strikes a floor or a ceiling, as a Case takes it."""
    forward, aside, lean = _in_surface(strike)
    x, y, z = strike.point
    height = z - view.room.floor_ft
    return {"x": x, "y": y, "forward": forward, "aside": aside, "lean": lean, "height": height} | {
        "room": room
    }


def _square_to(strike):
    """(axis that an upright wall is square to, +1 or -1 out from it to where the stream came from)."""
    axis = 0 if strike.normal[0] else 1
    return axis, strike.normal[axis]


def _on_wall(view, strike, room):
    """Where and how the stream strikes an upright wall, as a Case takes it."""
    axis, inward = _square_to(strike)
    level, place = strike.direction[1 - axis], strike.point[1 - axis]
    length = hypot(level, strike.direction[2])
    forward = (level / length, strike.direction[2] / length) if length > 1e-9 else (0.0, -1.0)
    front, back, left, right = room
    ends = (left, right) if axis == 0 else (front, back)
    far_side = {(0, -1): front, (0, 1): back, (1, -1): left, (1, 1): right}[axis, int(inward)]
    before = abs(strike.point[axis] - far_side)
    top = _top_ft(view, strike)
    low = [w.top_ft for w in view.room.partitions if w.id == strike.part and w.top_ft < top - 0.01]
    if strike.surface == "partition" and low:
        # What runs over a low partition falls on either side of its foot.
        top, before = low[0], 0.0
    floor = view.room.floor_ft
    return {
        "x": place,
        "y": 0.0,
        "forward": forward,
        "height": strike.point[2] - floor,
        "room": (0.0, before, *ends),
        "top": max(top, strike.point[2]) - floor,
    }


# --- the whole ---------------------------------------------------------------------------------------


def what_if(view, shot, *, kit=spread, burning=None, surfaces=None, lines=48, times=12, fan=True):
    """Where the water of one shot goes.

    view       RoomView of an opening, or of a side for shots at the roof
    kit        `spread` (Python's own math) or `spread_arrays`
    burning    (front, back, left, right) on the floor; None takes the room's own
    surfaces   other constants than `spread.SURFACES`
    fan        whether the stream's upper and lower edge are followed too, so that the shares
               change smoothly where the middle goes from one surface to the next
    """
    far = hypot(view.roof.depth_ft - shot.place[0], shot.place[1]) + 60.0
    points = path_of(shot, far_ft=far, ground_ft=UNDER_GROUND_FT)
    if burning is None and view.room is not None and view.room.burning is not None:
        burning = view.room.burning[:4]
    stream = _Stream(view, shot, points, burning)
    met = _met(stream, fan)
    how = {"kit": kit, "surfaces": surfaces, "lines": lines, "times": times}
    groups = [_landed(view, group, shot, how) for group in met.groups]
    cleared = sum(group.share for group in groups)
    most = max(groups, key=lambda group: group.share, default=None)
    inside = most.shown.inside if most else None
    parts, room = _together(kit, groups, cleared)
    usable = air.usable_reach_ft(shot.tip_diameter_in, shot.nozzle_pressure_psi)
    return Outcome(
        points=points,
        crossing=stream.crossing,
        strike=stream.thread(0.0, through=False).strike,
        inside=inside,
        dropped=most.shown.dropped if most else "",
        things=bool(most and most.shown.things),
        cleared=cleared,
        room=room,
        parts=parts,
        fates=_fates(kit, groups, met, burning),
        usable_reach_ft=usable,
        broken=inside is not None and inside.distance_along_ft > usable,
        by_other_openings=met.by_other_openings,
    )


def _landed(view, group, shot, how):
    """A group with where its water comes down."""
    inside = group.thread.inside
    if inside is None:
        return group
    flow = shot.flow_gpm * group.share
    parts, room = after_strike(view, group.thread.points, inside, flow, **how)
    return group._replace(parts=parts, room=room)


def _together(kit, groups, cleared):
    """(parts as shares of what comes in, the floor that they lie on), or (None, None)."""
    landed = [group for group in groups if group.parts is not None]
    if not landed:
        return None, None
    rooms = tuple(zip(*(group.room for group in landed), strict=True))
    room = (min(rooms[0]), max(rooms[1]), min(rooms[2]), max(rooms[3]))
    return kit.joined([(group.share / cleared, group.parts) for group in landed]), room


def _fates(kit, groups, met, burning):
    """Share of the flow of each of FATES."""
    fates = dict.fromkeys(FATES, 0.0)
    fates["shed by the roof"] = met.shed
    fates["inside, where is not known"] = met.by_other_openings
    for group in groups:
        inside, share = group.thread.inside, group.share
        if group.parts is None:
            held = inside is not None and inside.surface in ABOVE
            fates["held above the ceiling" if held else "inside, where is not known"] += share
            continue
        fire, walls = _of_group(kit, group, burning)
        fates["on the fire"] += share * fire
        fates["down the walls inside"] += share * walls
        fates["elsewhere on the floor"] += share * max(0.0, 1.0 - fire - walls)
    fates["outside"] = max(0.0, 1.0 - sum(fates.values()))
    return fates


def _of_group(kit, group, burning):
    """(share on the fire, share down the walls) of the water of one group.

    On the fire is what strikes the things that burn, runs over them, or comes down on them.
    """
    along, inside = kit.along_walls(group.parts), group.thread.inside
    if burning is None:
        return 0.0, kit.total(along)
    if group.thread.things:
        return 1.0, 0.0
    if inside.surface == "floor":
        start = inside.point[:2]
        fire, by_wall = (
            kit.share_over(p, start, group.room, burning) for p in (group.parts, along)
        )
    else:
        fire, by_wall = (kit.share_within(p, group.room, burning) for p in (group.parts, along))
    return fire, kit.total(along) - by_wall


def _strikes_things(points, inside, burning, room):
    """Whether a path meets the things that burn, as a box on the floor, before it ends."""
    if burning is None or inside is None or inside.surface not in ("floor", *WALLS):
        return False
    floor_ft = room.floor_ft
    front, back, left, right = burning
    box = ((front, back), (left, right), (floor_ft - 1.0, floor_ft + THINGS_HIGH_FT))
    gone, end = 0.0, inside.distance_along_ft
    for one, other in pairwise(points):
        start, way = one[1:4], tuple(b - a for a, b in zip(one[1:4], other[1:4], strict=True))
        leg = sqrt(sum(w * w for w in way))
        if gone > end or leg == 0:
            return False
        first, last = 0.0, min(1.0, (end - gone) / leg + 1e-9)
        for at, step, (low, high) in zip(start, way, box, strict=True):
            if abs(step) < 1e-12:
                if not low <= at <= high:
                    first = 2.0
                continue
            ends = sorted(((low - at) / step, (high - at) / step))
            first, last = max(first, ends[0]), min(last, ends[1])
        if first <= last:
            return True
        gone += leg
    return False
