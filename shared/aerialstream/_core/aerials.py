"""What an aerial can aim at, in plain numbers: ft and degrees.

Places are seen from the turntable's centre at ground level: out along the ladder, up from the
ground. Axes at the tip as in `reaction.py`: a outward along the ladder, l to the left, n square
to the ladder on its upper side. The nozzle turns first (rotation, + left, about n), then pitches
(+ up from the ladder's line). On a platform that levels itself the base of the nozzle is level:
elevation 0 stands for it, and the nozzle lies (ahead, up) from the ladder's tip pin; adding ahead
to the heel offset and up to the turntable's height gives the nozzle in the formulas for the tip.
"""

from math import asin, atan2, ceil, copysign, cos, degrees, hypot, inf, radians, sin, sqrt, tan
from typing import NamedTuple

_HALVINGS = 60  # of an interval of 180 deg: far below what a double can tell apart
_DUST = 1e-9


def tip_position_ft(turntable_height_ft, heel_offset_ft, extension_ft, elevation_deg):
    """(out, up) of the ladder's tip in ft: x_h + L cos(elevation), h + L sin(elevation)."""
    elevation = radians(elevation_deg)
    out_ft = heel_offset_ft + extension_ft * cos(elevation)
    return out_ft, turntable_height_ft + extension_ft * sin(elevation)


def elevation_and_extension(turntable_height_ft, heel_offset_ft, out_ft, up_ft):
    """(extension in ft, elevation in deg) that put the ladder's tip at a place: the inverse."""
    ahead, above = out_ft - heel_offset_ft, up_ft - turntable_height_ft
    return hypot(ahead, above), degrees(atan2(above, ahead))


def stream_direction_deg(elevation_deg, rotation_deg, pitch_deg):
    """(world pitch, bearing shift) in deg of the stream: + up from level, + left of the ladder.

    The nozzle's own direction, raised with the ladder about its left axis.
    """
    theta, psi, phi = radians(elevation_deg), radians(rotation_deg), radians(pitch_deg)
    along, left, square = cos(phi) * cos(psi), cos(phi) * sin(psi), sin(phi)
    ahead = along * cos(theta) - square * sin(theta)
    up = along * sin(theta) + square * cos(theta)
    return _pitch_and_turn(ahead, left, up)


def nozzle_settings_deg(elevation_deg, world_pitch_deg, bearing_shift_deg):
    """The two (rotation, pitch) in deg that send the stream one way, the smaller first.

    A nozzle reaches every direction twice: turned by ψ and pitched by φ, or turned to the other
    side by 180 - ψ and pitched over by 180 - φ. A steep ladder with its nozzle straight ahead
    and pitched 100 deg down is the second way.
    """
    theta, alpha, shift = map(radians, (elevation_deg, world_pitch_deg, bearing_shift_deg))
    ahead, left, up = cos(alpha) * cos(shift), cos(alpha) * sin(shift), sin(alpha)
    along = ahead * cos(theta) + up * sin(theta)
    square = up * cos(theta) - ahead * sin(theta)
    pitch, rotation = _pitch_and_turn(along, left, square)
    over = (rotation - copysign(180.0, rotation), copysign(180.0, square) - pitch)
    return tuple(sorted([(rotation, pitch), over], key=lambda s: abs(s[0]) + abs(s[1])))


def nozzle_setting_deg(elevation_deg, world_pitch_deg, bearing_shift_deg):
    """(rotation, pitch) in deg of the nozzle for a direction of the stream: the exact inverse.

    Of the two settings that there are, the one with less turning and pitching in all.
    """
    return nozzle_settings_deg(elevation_deg, world_pitch_deg, bearing_shift_deg)[0]


def _pitch_and_turn(ahead, left, up):
    """(angle up from the plane, angle + left in it) of a unit vector, in degrees.

    Straight up or down the angle in the plane means nothing; it is given as 0.
    """
    level = hypot(ahead, left)
    if level < 1e-12:
        return copysign(90.0, up), 0.0
    return degrees(atan2(up, level)), degrees(atan2(left, ahead))


class Travel(NamedTuple):
    """How far a nozzle moves from the ladder's line, each way, as positive degrees."""

    up_deg: float
    down_deg: float
    left_deg: float
    right_deg: float


def beyond_travel_deg(travel, rotation_deg, pitch_deg):
    """Degrees that a setting lies beyond the travel, by the way it does: empty if it does not."""
    beyond = {
        "up": pitch_deg - travel.up_deg,
        "down": -pitch_deg - travel.down_deg,
        "left": rotation_deg - travel.left_deg,
        "right": -rotation_deg - travel.right_deg,
    }
    return {way: by for way, by in beyond.items() if by > _DUST}


def nearest_setting_deg(travel, elevation_deg, world_pitch_deg, bearing_shift_deg):
    """(rotation, pitch) for a direction: of the two, the one within travel or least beyond it."""
    return min(
        nozzle_settings_deg(elevation_deg, world_pitch_deg, bearing_shift_deg),
        key=lambda setting: sum(beyond_travel_deg(travel, *setting).values()),
    )


def reachable(travel, elevation_deg, world_pitch_deg, bearing_shift_deg):
    """Whether some setting within travel sends the stream this way."""
    settings = nozzle_settings_deg(elevation_deg, world_pitch_deg, bearing_shift_deg)
    return any(not beyond_travel_deg(travel, *setting) for setting in settings)


def first_that_fits(fits, start, end, step=0.25):
    """The value nearest to start on the way to end for which fits(value), or None.

    Looked for in steps, then halved down, and rounded on to the next tenth where that fits:
    what is printed to a tenth then holds when it is typed in.
    """
    way = copysign(1.0, end - start)
    last, count = start, max(1, int(abs(end - start) / step) + 1)
    for number in range(count + 1):
        value = start + way * min(number * step, abs(end - start))
        if fits(value):
            found = _edge(fits, last, value) if number else value
            tenth = round(ceil(found * way * 10 - _DUST) * way / 10, 1)
            inside = min(start, end) <= tenth <= max(start, end)
            return tenth if inside and fits(tenth) else found
        last = value
    return None


def _edge(fits, wrong, right):
    """Between a value that does not fit and one that does: the outermost that does."""
    for _ in range(_HALVINGS):
        middle = (wrong + right) / 2
        wrong, right = (wrong, middle) if fits(middle) else (middle, right)
    return right


def scrub_half_width_ft(turntable_height_ft, heel_offset_ft, extension_ft, standoff_ft, height_ft):
    """ft along a wall, each way from square, that the tip can touch; None if it touches nothing.

    The heel offset turns with the ladder, so it adds to the level reach:
    √((x_h + √(L² - (z - h)²))² - d²). Without it this is √(L² - (z - h)² - d²).
    """
    level_square = extension_ft**2 - (height_ft - turntable_height_ft) ** 2
    if level_square < 0:
        return None
    return _along_wall_ft(heel_offset_ft + sqrt(level_square), standoff_ft)


def _along_wall_ft(level_reach_ft, standoff_ft):
    if level_reach_ft < standoff_ft:
        return None
    return sqrt(level_reach_ft**2 - standoff_ft**2)


def scrub_nearest_ft(turntable_height_ft, heel_offset_ft, extension_ft, elevations_deg,
                     standoff_ft, height_ft):  # fmt: skip
    """ft along the wall from square, each way, that the tip comes too near to touch: 0 if none.

    By the bedded extension and by the elevation range; elevations_deg is (least, most).
    """
    rise = height_ft - turntable_height_ft
    steepest = radians(elevations_deg[1] if rise > 0 else -elevations_deg[0])
    if rise and steepest <= 0:
        return inf
    level = sqrt(max(0.0, extension_ft**2 - rise**2))
    if rise:
        level = max(level, abs(rise) / tan(steepest))
    return _along_wall_ft(heel_offset_ft + level, standoff_ft) or 0.0


class Device(NamedTuple):
    """An aerial for the stream through an opening: nozzle height at no elevation, and its moves.

    levels: the nozzle's base levels itself (a platform). base_height_ft has the platform's up in it.
    """

    base_height_ft: float
    extension_ft: float
    levels: bool
    up_deg: float
    down_deg: float

    def height_ft(self, elevation_deg):
        """The nozzle above the ground."""
        return self.base_height_ft + self.extension_ft * sin(radians(elevation_deg))

    def elevation_deg(self, height_ft):
        """The elevation that puts the nozzle at a height; minus or plus infinity beyond reach."""
        sine = (height_ft - self.base_height_ft) / self.extension_ft
        return copysign(inf, sine) if abs(sine) > 1 else degrees(asin(sine))

    def steepest_deg(self, elevation_deg):
        """The steepest stream that the nozzle's travel allows."""
        return (0.0 if self.levels else elevation_deg) + self.up_deg

    def lowest_deg(self, elevation_deg):
        """The lowest stream that the nozzle's travel allows."""
        return (0.0 if self.levels else elevation_deg) - self.down_deg


class Opening(NamedTuple):
    """An opening in a wall seen from a nozzle in front of it; sill and head less their margins."""

    standoff_ft: float
    sill_ft: float
    head_ft: float
    ceiling_ft: float

    def steepest_deg(self, nozzle_height_ft):
        """The steepest line from the nozzle under the head."""
        return degrees(atan2(self.head_ft - nozzle_height_ft, self.standoff_ft))

    def lowest_deg(self, nozzle_height_ft):
        """The lowest line from the nozzle over the sill."""
        return degrees(atan2(self.sill_ft - nozzle_height_ft, self.standoff_ft))

    def strike_depth_ft(self, nozzle_height_ft, stream_deg):
        """ft inside the wall where a straight stream meets the ceiling; None if it never does."""
        if stream_deg <= _DUST or nozzle_height_ft >= self.ceiling_ft:
            return None
        run = (self.ceiling_ft - nozzle_height_ft) / tan(radians(stream_deg))
        return run - self.standoff_ft

    def stream_for_depth_deg(self, nozzle_height_ft, depth_ft):
        """The straight stream that meets the ceiling so many ft inside the wall."""
        run = self.standoff_ft + depth_ft
        return degrees(atan2(self.ceiling_ft - nozzle_height_ft, run))


def stream_through_deg(device, opening, elevation_deg):
    """(lowest, steepest) stream in deg through the opening that the device can take.

    The lowest above the steepest means that there is none.
    """
    height = device.height_ft(elevation_deg)
    lowest = max(opening.lowest_deg(height), device.lowest_deg(elevation_deg))
    return lowest, min(opening.steepest_deg(height), device.steepest_deg(elevation_deg))


def best_elevation_deg(device, opening, least_deg, most_deg):
    """The elevation with the steepest stream through the opening, within a range.

    Raising the ladder raises what the nozzle can point at and lowers the line under the head:
    the best is where the two meet, or the end of the range that lies nearer to it.
    """

    def spare(elevation):
        head = opening.steepest_deg(device.height_ft(elevation))
        return head - device.steepest_deg(elevation)

    return _last_of_falling(spare, least_deg, most_deg)


def _last_of_falling(spare, least, most):
    """The largest value of a range where a falling function is not below 0; least if none is."""
    if spare(most) >= 0:
        return most
    if spare(least) < 0:
        return least
    return _edge(lambda value: spare(value) >= 0, most, least)


def elevations_for_depth_deg(device, opening, depth_ft):
    """What each limit asks of the elevation so that the stream strikes so many ft inside.

    Gives ({limit: at least deg}, {limit: at most deg}). Every limit moves one way with the
    elevation, so together they leave one interval, or none.
    """

    def stream(elevation):
        return opening.stream_for_depth_deg(device.height_ft(elevation), depth_ft)

    def nozzle_up(elevation):
        return stream(elevation) - device.steepest_deg(elevation)  # falls; above 0 is too steep

    def nozzle_down(elevation):
        return stream(elevation) - device.lowest_deg(elevation)

    at_least = {
        "travel up": -inf if nozzle_up(-90) <= 0 else _last_of_falling(nozzle_up, -90, 90),
        "sill": device.elevation_deg(_height_for(opening, depth_ft, opening.sill_ft)),
    }
    at_most = {
        "travel down": -inf if nozzle_down(-90) < 0 else _last_of_falling(nozzle_down, -90, 90),
        # A ceiling is struck from below, also where it meets the head.
        "head": device.elevation_deg(
            min(opening.ceiling_ft, _height_for(opening, depth_ft, opening.head_ft))
        ),
    }
    if nozzle_up(90) > 0:
        at_least["travel up"] = inf
    return at_least, at_most


def _height_for(opening, depth_ft, wall_height_ft):
    """The nozzle height whose stream to that depth crosses the wall at a height."""
    s, ceiling = opening.standoff_ft, opening.ceiling_ft
    if depth_ft == 0:  # every such stream crosses the wall at the ceiling
        return copysign(inf, wall_height_ft - ceiling) if wall_height_ft != ceiling else inf
    return (wall_height_ft * (s + depth_ft) - s * ceiling) / depth_ft
