"""Where the water of a stream goes, from the tip to the floor: path, opening, strike, map. ft, s.

The axes are those of an opening (see `surfaces`): x into the building, y to the right seen from
outside, z up from the ground. All shares are of the flow that leaves the nozzle.
"""

from itertools import pairwise
from math import hypot, inf, radians, sin, sqrt, tan
from typing import NamedTuple

from aerialstream._core import spread
from aerialstream._core import stream as air
from aerialstream._core.surfaces import (
    Patch,
    clear_share,
    facade_crossing,
    first_strike,
    share_between,
)
from aerialstream.constants import AIR_DENSITY, KILOPASCALS_PER_PSI, METERS_PER_FOOT

PASCALS_PER_PSI = 1000 * KILOPASCALS_PER_PSI
AIR_TO_WATER = AIR_DENSITY.value / air.WATER_KG_M3
SWAY_DEG = 0.5  # how far tip and aim wander, one standard deviation; an assumption
D90_IN_SIGMAS = 4.292  # nine tenths of a round normal spread lie within this many across
ROOF_SPLASH = 0.1
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
WALLS = {  # name -> (runs along, which bound of the room it is)
    "far wall": "y",
    "left wall of the room": "x",
    "right wall of the room": "x",
    "partition": "",
}
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
    inside      the strike in the room of what clears the opening (or a hole), or None
    dropped     name of a ceiling that the stream brought down on its way: "suspended tile" or ""
    cleared     share that comes into the building
    room        (front, back, left, right) that the water is kept in, or None
    parts       (x, y, share, along a wall) of what lands in the room
    fates       share of each of FATES; their sum is 1
    broken      whether it strikes inside beyond its usable reach, as spray
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
    broken: bool


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


def _kept_in(view, strike):
    """The part of the room that the strike lies in: whole partitions end it."""
    room = view.room
    front, back = 0.0, room.depth_ft
    left, right = room.y0_ft, room.y1_ft
    x, y, _ = strike.point
    for wall in room.partitions:
        if wall.top_ft < _top_ft(room) - 0.01:
            continue
        whole_across = wall.y0_ft <= left + 0.01 and wall.y1_ft >= right - 0.01
        whole_inward = wall.x0_ft <= front + 0.01 and wall.x1_ft >= back - 0.01
        if wall.x0_ft == wall.x1_ft and whole_across:
            front, back = (front, min(back, wall.x0_ft)) if x <= wall.x0_ft else (wall.x0_ft, back)
        elif wall.y0_ft == wall.y1_ft and whole_inward:
            left, right = (left, min(right, wall.y0_ft)) if y <= wall.y0_ft else (wall.y0_ft, right)
    return front, back, left, right


def _top_ft(room):
    ceiling = room.ceiling
    return ceiling.above_ft if ceiling.kind == "suspended tile" else ceiling.height_ft


def _along(direction, normal_axis):
    """Unit vector of a direction along a surface square to an axis (0 x, 1 y, 2 z): the other two."""
    first, second = (d for axis, d in enumerate(direction) if axis != normal_axis)
    length = hypot(first, second)
    return (first / length, second / length) if length > 1e-9 else (1.0, 0.0)


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

    kit is `spread` or `spread_arrays`; surfaces may put other constants in place of
    `spread.SURFACES`.
    """
    table = surfaces or spread.SURFACES
    room = _kept_in(view, strike)
    x, y, z = strike.point
    grazing = max(strike.grazing_angle_deg, 1.0)
    across = sin(radians(grazing))
    if strike.surface in CEILINGS:
        surface, rule = table[strike.kind], spread.off_ceiling
        splash = surface.splash * across * across
        forward, at, height = _along(strike.direction, 2), (x, y), z - view.room.floor_ft
    elif strike.surface == "floor":
        surface, rule, splash = table["floor"], spread.along_floor, 0.0
        forward, at, height = _along(strike.direction, 2), (x, y), 0.0
    elif strike.surface in WALLS:
        return _on_wall(view, points, strike, flow_gpm, room, kit, table, lines, times), room
    else:
        return None, room
    case = spread.Case(
        x=at[0],
        y=at[1],
        forward=forward,
        first_speed=spread.film_speed(
            spread.PLAIN, _speed_ft_s(points, strike), across, surface.kept
        ),
        film_flow=flow_gpm * spread.FT3_S_PER_GPM * (1 - splash),
        friction=surface.friction,
        height=height,
        room=room,
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
    return parts, room


def _on_wall(view, points, strike, flow_gpm, room, kit, table, lines, times):
    """Parts of a stream that strikes an upright wall, turned into the room's axes."""
    surface = table["concrete slab"]
    x, y, z = strike.point
    dx, dy, dz = strike.direction
    runs = WALLS[strike.surface] or ("y" if abs(dx) > abs(dy) else "x")
    level, place = (dy, y) if runs == "y" else (dx, x)
    length = hypot(level, dz)
    forward = (level / length, dz / length) if length > 1e-9 else (0.0, -1.0)
    across = sin(radians(max(strike.grazing_angle_deg, 1.0)))
    front, back, left, right = room
    top = min(_top_ft(view.room), z + 30) - view.room.floor_ft
    case = spread.Case(
        x=place,
        y=0.0,
        forward=forward,
        first_speed=spread.film_speed(
            spread.PLAIN, _speed_ft_s(points, strike), across, surface.kept
        ),
        film_flow=flow_gpm * spread.FT3_S_PER_GPM,
        friction=surface.friction,
        height=z - view.room.floor_ft,
        top=top,
        across=(back - front) if runs == "y" else (right - left),
        air_density_ratio=AIR_TO_WATER,
    )
    parts = kit.landings(
        spread.down_wall,
        case,
        grazing_deg=max(strike.grazing_angle_deg, 1.0),
        splash=0.0,
        residence_s=surface.residence_s,
        lines=lines,
        times=times,
    )
    if runs == "y":
        return kit.from_wall(parts, x, -1.0 if dx > 0 else 1.0, (left, right), along_x=False)
    return kit.from_wall(parts, y, -1.0 if dy > 0 else 1.0, (front, back), along_x=True)


def _blocked(strike, crossing):
    """Whether something before the facade stops the middle of the stream: a canopy, the ground."""
    return strike is not None and (
        strike.distance_along_ft < crossing.distance_along_ft - 1e-6
        and strike.surface not in FACADE
    )


def _through_opening(view, shot, points, strike, crossing):
    """(share that clears the opening, strike inside, ceiling brought down on the way)."""
    if view.opening is None or crossing is None or _blocked(strike, crossing):
        return 0.0, None, ""
    sigma = spread_ft(shot, crossing.distance_along_ft)
    share = clear_share(
        crossing.point[1:],
        crossing.direction,
        sigma,
        sigma,
        view.opening,
        view.wall_thickness_ft,
    )
    if share < NOTHING:
        return 0.0, None, ""
    return share, *_inside(view, points, AROUND)


def _inside(view, points, passing):
    """(strike, ceiling brought down): suspended tile drops out, and what is above takes over."""
    inside, dropped = first_strike(points, view, passing), ""
    if inside is not None and inside.surface == "suspended tile":
        dropped = inside.surface
        inside = first_strike(points, view, (*passing, dropped))
    return inside, dropped


def hole_share(view, shot, strike):
    """Share of a stream that comes down on a roof which goes through its holes."""
    roof = view.roof
    if not roof.holes:
        return roof.open_share
    sigma = spread_ft(shot, strike.distance_along_ft)
    dx, dy, _ = strike.direction
    level = hypot(dx, dy) or 1.0
    long = sigma / max(sin(radians(strike.grazing_angle_deg)), 0.05)
    sigma_x = hypot(long * dx / level, sigma * dy / level)
    sigma_y = hypot(long * dy / level, sigma * dx / level)
    x, y, _ = strike.point
    return min(
        1.0,
        sum(
            share_between(hole.x0_ft, hole.x1_ft, x, sigma_x)
            * share_between(hole.y0_ft, hole.y1_ft, y, sigma_y)
            for hole in roof.holes
        ),
    )


def _through_roof(view, shot, points):
    """(share that comes in, shed share, strike on the roof, strike below it) of a shot at a roof."""
    solid = view._replace(roof=view.roof._replace(holes=()))
    on_roof = first_strike(points, solid)
    if on_roof is None or on_roof.surface != "roof":
        return 0.0, 0.0, on_roof, None
    within, shed, splashed = spread.roof_shed(hole_share(view, shot, on_roof), ROOF_SPLASH)
    below = None
    if within > NOTHING and view.room is not None:
        opened = view._replace(
            roof=view.roof._replace(holes=(_EVERYWHERE,)),
        )
        below, _ = _inside(opened, points, ())
    return within, shed + splashed, on_roof, below


_EVERYWHERE = Patch(-inf, inf, -inf, inf)


def what_if(view, shot, *, kit=spread, burning=None, surfaces=None, lines=48, times=12):
    """Where the water of one shot goes.

    view       RoomView of an opening, or of a side for shots at the roof
    kit        `spread` (Python's own math) or `spread_arrays`
    burning    (front, back, left, right) on the floor; None takes the room's own
    surfaces   other constants than `spread.SURFACES`
    """
    far = hypot(view.roof.depth_ft - shot.place[0], shot.place[1]) + 60.0
    points = path_of(shot, far_ft=far, ground_ft=UNDER_GROUND_FT)
    strike, crossing = first_strike(points, view), facade_crossing(points)
    cleared, inside, dropped = _through_opening(view, shot, points, strike, crossing)
    shed = 0.0
    if not cleared and not (strike is not None and strike.surface in FACADE):
        cleared, shed, on_roof, inside = _through_roof(view, shot, points)
        strike = on_roof if shed else strike
    parts, room = None, None
    if inside is not None:
        parts, room = after_strike(
            view,
            points,
            inside,
            shot.flow_gpm,
            kit=kit,
            surfaces=surfaces,
            lines=lines,
            times=times,
        )
    if burning is None and view.room is not None and view.room.burning is not None:
        burning = view.room.burning[:4]
    usable = air.usable_reach_ft(shot.tip_diameter_in, shot.nozzle_pressure_psi)
    return Outcome(
        points=points,
        crossing=crossing,
        strike=strike,
        inside=inside,
        dropped=dropped,
        cleared=cleared,
        room=room,
        parts=parts,
        fates=_fates(kit, cleared, shed, inside, parts, room, burning),
        usable_reach_ft=usable,
        broken=inside is not None and inside.distance_along_ft > usable,
    )


def _fates(kit, cleared, shed, inside, parts, room, burning):
    """Share of the flow of each of FATES."""
    fates = dict.fromkeys(FATES, 0.0)
    fates["shed by the roof"] = shed
    fates["outside"] = max(0.0, 1.0 - cleared - shed)
    if parts is None:
        held = inside is not None and inside.surface in ABOVE
        fates["held above the ceiling" if held else "inside, where is not known"] = cleared
        return fates
    along = kit.along_walls(parts)
    fire = by_wall = 0.0
    if burning is not None:
        fire, by_wall = (kit.share_within(p, room, burning) for p in (parts, along))
    fates["on the fire"] = cleared * fire
    fates["down the walls inside"] = cleared * (kit.total(along) - by_wall)
    fates["elsewhere on the floor"] = max(
        0.0, cleared - fates["on the fire"] - fates["down the walls inside"]
    )
    return fates
