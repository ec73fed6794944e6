"""Path of a solid stream through the air, in metres, seconds, pascals and degrees.

x is ahead along the barrel's heading, y to the left, z up; wind is given by where it blows to.
One set of equations: `rates` takes floats here and numpy arrays in `stream_arrays`.
"""

from math import atan2, cos, degrees, exp, hypot, inf, radians, sin, sqrt
from typing import NamedTuple

from aerialstream.constants import (
    AIR_DENSITY,
    DROP_DRAG,
    GRAVITY,
    METERS_PER_FOOT,
    STREAM_ACROSS,
    STREAM_DRAG,
    STREAM_QUALITY,
    STREAM_RAMP,
    WATER_DENSITY,
)

GRAVITY_M_S2 = GRAVITY.value * METERS_PER_FOOT
WATER_KG_M3 = WATER_DENSITY.value * 0.45359237 / METERS_PER_FOOT**3
STILL = (0.0, 0.0, 0.0)
STEP_S = 0.05  # a hundredth of it changes a throw in the sixth figure
LONGEST_S = 60.0
BROKEN_M = 1e9  # length through the air after which nothing of the column is left
GOOD_STREAM_WIDTH_M = 15 * 0.0254


class State(NamedTuple):
    """Where the water is: seconds, metres, metres a second, and metres gone through the air."""

    time: float
    x: float
    y: float
    z: float
    vx: float
    vy: float
    vz: float
    gone: float

    @property
    def speed(self):
        """Speed in m/s."""
        return sqrt(self.vx * self.vx + self.vy * self.vy + self.vz * self.vz)

    @property
    def angle(self):
        """Direction above level in degrees."""
        return degrees(atan2(self.vz, hypot(self.vx, self.vy)))


class Drag(NamedTuple):
    """What the air does: full drag and cross drag in 1/m, and one over the break-up length in 1/m."""

    full: float
    across: float
    per_ramp: float


def start_speed_m_s(nozzle_pressure_pa):
    """m/s at the tip: all of the pressure turned into speed."""
    return sqrt(2 * nozzle_pressure_pa / WATER_KG_M3)


def stream_drag(tip_diameter_m, quality=STREAM_QUALITY.value, air_kg_m3=AIR_DENSITY.value):
    """The drag of a stream of a tip in m; quality 1 is good, more is worse."""
    per_metre = air_kg_m3 / WATER_KG_M3 / tip_diameter_m
    return Drag(
        full=quality * STREAM_DRAG.value * per_metre,
        across=STREAM_ACROSS.value * per_metre,
        per_ramp=1 / (STREAM_RAMP.value * tip_diameter_m),
    )


def drop_drag(drop_diameter_m, air_kg_m3=AIR_DENSITY.value):
    """The drag of a single round drop of a diameter in m."""
    full = 0.75 * DROP_DRAG.value * air_kg_m3 / (WATER_KG_M3 * drop_diameter_m)
    return Drag(full=full, across=0.0, per_ramp=1.0)


def drop_fall_m_s(drop_diameter_m, air_kg_m3=AIR_DENSITY.value):
    """m/s at which a drop falls in the end: weight equals drag."""
    return sqrt(GRAVITY_M_S2 / drop_drag(drop_diameter_m, air_kg_m3).full)


def rates(vx, vy, vz, gone, wind, drag, exp=exp, sqrt=sqrt):
    """Acceleration in m/s² (three) and how fast the way through the air grows, m/s.

    Broken share S = 1 - exp(-(gone/ramp)²). Drag on what is broken is full·S·|r|·r with r the
    speed through the air; a solid column feels only what blows across it, across·(1-S)·|n|·n.
    """
    rx, ry, rz = vx - wind[0], vy - wind[1], vz - wind[2]
    through = sqrt(rx * rx + ry * ry + rz * rz)
    ramp = gone * drag.per_ramp
    solid = exp(-ramp * ramp)
    # At the top of a stream straight up there is no direction: the tiny number keeps 0/0 away.
    along = (rx * vx + ry * vy + rz * vz) / (vx * vx + vy * vy + vz * vz + 1e-30)
    nx, ny, nz = rx - along * vx, ry - along * vy, rz - along * vz
    broken = drag.full * (1 - solid) * through
    column = drag.across * solid * sqrt(nx * nx + ny * ny + nz * nz)
    return (
        -broken * rx - column * nx,
        -broken * ry - column * ny,
        -GRAVITY_M_S2 - broken * rz - column * nz,
        through,
    )


def step(state, wind, drag, h, exp=exp, sqrt=sqrt):
    """The state h seconds later, by the classical fourth-order rule.

    `state` is the eight of `State`; the rates do not depend on the place, so that the
    place needs no stages of its own.
    """
    time, x, y, z, vx, vy, vz, gone = state
    a, b, c, d = rates(vx, vy, vz, gone, wind, drag, exp, sqrt)
    k = h / 2
    a2, b2, c2, d2 = rates(vx + k * a, vy + k * b, vz + k * c, gone + k * d, wind, drag, exp, sqrt)
    a3, b3, c3, d3 = rates(
        vx + k * a2, vy + k * b2, vz + k * c2, gone + k * d2, wind, drag, exp, sqrt
    )
    a4, b4, c4, d4 = rates(
        vx + h * a3, vy + h * b3, vz + h * c3, gone + h * d3, wind, drag, exp, sqrt
    )
    k, w = h / 6, h * h / 6
    return (
        time + h,
        x + h * vx + w * (a + a2 + a3),
        y + h * vy + w * (b + b2 + b3),
        z + h * vz + w * (c + c2 + c3),
        vx + k * (a + 2 * (a2 + a3) + a4),
        vy + k * (b + 2 * (b2 + b3) + b4),
        vz + k * (c + 2 * (c2 + c3) + c4),
        gone + k * (d + 2 * (d2 + d3) + d4),
    )


def start(nozzle_pressure_pa, elevation_deg, place_m=(0.0, 0.0, 0.0), heading_deg=0.0):
    """The state at the tip; heading in degrees to the left of x."""
    speed = start_speed_m_s(nozzle_pressure_pa)
    level = speed * cos(radians(elevation_deg))
    turn = radians(heading_deg)
    up = speed * sin(radians(elevation_deg))
    return State(0.0, *place_m, level * cos(turn), level * sin(turn), up, 0.0)


class Path:
    """A flight from its first state to where it comes down to ground_z_m.

    states   the states, one each STEP_S; the last one lies on the ground, where it came down
    landed   whether it came down (not if it was cut off at farthest_m or LONGEST_S)
    wind     m/s, where it blows to
    """

    def __init__(self, first, drag, wind=STILL, *, ground_z_m=-inf, farthest_m=inf, step_s=STEP_S):
        self.wind, self.drag, self.landed = wind, drag, False
        self.states = states = [first]
        far = farthest_m * farthest_m
        x0, y0 = first[1], first[2]
        state = first
        while state[0] < LONGEST_S:
            state = step(state, wind, drag, step_s)
            states.append(state)
            if state[3] < ground_z_m:
                share = _root(states[-2], state, (0.0, 0.0, 1.0), ground_z_m)
                states[-1] = self._between(len(states) - 2, share)
                self.landed = True
                break
            if far < inf and (state[1] - x0) ** 2 + (state[2] - y0) ** 2 > far:
                break

    def _between(self, index, share):
        return between(self.states[index], self.states[index + 1], share, self.wind)

    @property
    def last(self):
        """Where it came down, or was cut off."""
        return State(*self.states[-1])

    @property
    def apex(self):
        """The highest state; the first one where the stream only falls."""
        for index in range(len(self.states) - 1):
            one, other = self.states[index], self.states[index + 1]
            if one[6] > 0 >= other[6]:
                return self._between(index, _level(one, other))
        return max((self.first, self.last), key=lambda state: state.z)

    @property
    def first(self):
        """The state at the tip."""
        return State(*self.states[0])

    @property
    def length_m(self):
        """Way of the water through the air in m, over the whole flight."""
        return self.states[-1][7]

    def crossing(self, normal, offset, after=0):
        """The first state on the plane normal·(x, y, z) = offset, or None if it is never met.

        Coming from either side counts. A plane that is only grazed, in and out again within one
        step (at the top of the path: by less than an eighth of an inch), may be passed over.
        `after` is the number of the interval to begin with.
        """
        nx, ny, nz = normal
        _, x, y, z, *_ = self.states[after]
        before = nx * x + ny * y + nz * z - offset
        for index in range(after, len(self.states) - 1):
            _, x, y, z, *_ = self.states[index + 1]
            now = nx * x + ny * y + nz * z - offset
            if before == 0:
                return State(*self.states[index])
            if before * now <= 0:
                share = _root(self.states[index], self.states[index + 1], normal, offset)
                return self._between(index, share)
            before = now
        return None

    def at_distance(self, ahead_m):
        """The state where it has come so far ahead, or None if it does not come so far."""
        return self.crossing((1.0, 0.0, 0.0), self.states[0][1] + ahead_m)

    def at_length(self, gone_m):
        """The state where so much way through the air lies behind it, or None."""
        for index in range(len(self.states) - 1):
            one, other = self.states[index], self.states[index + 1]
            if one[7] <= gone_m <= other[7]:
                share = (gone_m - one[7]) / (other[7] - one[7])
                for _ in range(2):
                    found = self._between(index, share)
                    share += (gone_m - found.gone) / (other[7] - one[7])
                return self._between(index, share)
        return None


def between(one, other, share, wind=STILL):
    """The state at a share (0 to 1) of the interval between two: cubic through both ends."""
    h = other[0] - one[0]
    s2, s3 = share * share, share**3
    a, b = 2 * s3 - 3 * s2 + 1, 3 * s2 - 2 * s3
    c, d = h * (s3 - 2 * s2 + share), h * (s3 - s2)
    place = [a * one[i] + b * other[i] + c * one[i + 3] + d * other[i + 3] for i in (1, 2, 3)]
    e = 6 * (s2 - share) / h if h else 0.0
    f, g = 3 * s2 - 4 * share + 1, 3 * s2 - 2 * share
    speed = [e * (one[i] - other[i]) + f * one[i + 3] + g * other[i + 3] for i in (1, 2, 3)]
    gone = a * one[7] + b * other[7] + c * _through(one, wind) + d * _through(other, wind)
    return State(one[0] + share * h, *place, *speed, gone)


def _through(state, wind):
    return sqrt(sum((state[i + 4] - wind[i]) ** 2 for i in range(3)))


def _along(state, normal, first):
    return sum(state[first + i] * normal[i] for i in range(3))


def _root(one, other, normal, offset):
    """Share of the interval at which the cubic meets the plane, by Newton kept inside."""
    h = other[0] - one[0]
    a, b = _along(one, normal, 1) - offset, _along(other, normal, 1) - offset
    c, d = h * _along(one, normal, 4), h * _along(other, normal, 4)
    low, high, share = 0.0, 1.0, a / (a - b) if a != b else 0.0
    for _ in range(60):
        s2, s3 = share * share, share**3
        value = (2 * s3 - 3 * s2 + 1) * a + (3 * s2 - 2 * s3) * b
        value += (s3 - 2 * s2 + share) * c + (s3 - s2) * d
        if value * a > 0:
            low = share
        else:
            high = share
        slope = 6 * (s2 - share) * (a - b) + (3 * s2 - 4 * share + 1) * c + (3 * s2 - 2 * share) * d
        new = share - value / slope if slope else inf
        if not low <= new <= high:
            new = (low + high) / 2
        if abs(new - share) < 1e-15:
            return new
        share = new
    return share


def _level(one, other):
    """Share of the interval at which the cubic is level (its height is greatest)."""
    h = other[0] - one[0]
    rise = other[3] - one[3]
    c, d = h * one[6], h * other[6]
    # Slope of the cubic in the share: (c) + (6 rise - 4c - 2d) s + 3 (c + d - 2 rise) s²
    p, q = 3 * (c + d - 2 * rise), 6 * rise - 4 * c - 2 * d
    if abs(p) < 1e-12 * abs(q):
        return -c / q
    # The form that does not cancel where the cubic is nearly a parabola (q is minus there).
    return 2 * c / (-q + sqrt(q * q - 4 * p * c))


def stream(
    tip_diameter_m,
    nozzle_pressure_pa,
    elevation_deg,
    *,
    place_m=(0.0, 0.0, 0.0),
    heading_deg=0.0,
    wind_m_s=STILL,
    quality=STREAM_QUALITY.value,
    air_kg_m3=AIR_DENSITY.value,
    ground_z_m=0.0,
    farthest_m=inf,
    step_s=STEP_S,
):
    """The path of a solid stream from its tip at place_m to the ground or to farthest_m ahead."""
    return Path(
        start(nozzle_pressure_pa, elevation_deg, place_m, heading_deg),
        stream_drag(tip_diameter_m, quality, air_kg_m3),
        wind_m_s,
        ground_z_m=ground_z_m,
        farthest_m=farthest_m,
        step_s=step_s,
    )


def drops(state, drop_diameter_m, *, wind_m_s=STILL, air_kg_m3=AIR_DENSITY.value, ground_z_m=0.0):
    """The path of single drops that leave a stream at a state of it."""
    first = State(*state[:7], BROKEN_M)
    drag = drop_drag(drop_diameter_m, air_kg_m3)
    return Path(first, drag, wind_m_s, ground_z_m=ground_z_m)


def wind_m_s(speed_m_s, from_deg):
    """Where wind blows to, for a direction it comes from: 0 from ahead, 90 from the right.

    Folded so that wind from the right is the exact mirror of wind from the left.
    """
    turn, side = abs(from_deg) % 360.0, 1.0 if from_deg >= 0 else -1.0
    if turn > 180.0:
        turn, side = 360.0 - turn, -side
    if turn == 180.0:
        return (speed_m_s, 0.0, 0.0)
    return (-speed_m_s * cos(radians(turn)), side * speed_m_s * sin(radians(turn)), 0.0)


def width_m(tip_diameter_m, gone_m, usable_m):
    """m across which nine tenths of the water pass: 15 in where the usable reach ends."""
    return tip_diameter_m + (GOOD_STREAM_WIDTH_M - tip_diameter_m) * gone_m / usable_m


def air_kg_m3(altitude_m, temperature_c=None):
    """Density of dry air by the gas law, pressure by the standard atmosphere below 11 km."""
    standard_k = 288.15 - 0.0065 * altitude_m
    pressure_pa = 101325 * (standard_k / 288.15) ** (9.80665 / (287.053 * 0.0065))
    kelvin = standard_k if temperature_c is None else 273.15 + temperature_c
    return pressure_pa / (287.053 * kelvin)


def usable_reach_ft(tip_diameter_in, nozzle_pressure_psi):
    """ft along the stream by the printed rule: half the pressure + 26, + 5 per 1/8 in over 3/4."""
    return nozzle_pressure_psi / 2 + 26 + 40 * (tip_diameter_in - 0.75)


def steep_usable_reach_ft(tip_diameter_in, nozzle_pressure_psi, elevation_deg):
    """The same with 5/8 of the pressure straight up: a slope from memory, only ever mentioned."""
    up = sin(radians(max(elevation_deg, 0.0))) ** 2
    return usable_reach_ft(tip_diameter_in, nozzle_pressure_psi) + nozzle_pressure_psi * up / 8


def throw_without_air_m(nozzle_pressure_pa, elevation_deg, height_m=0.0):
    """m to the ground on a parabola."""
    speed = start_speed_m_s(nozzle_pressure_pa)
    level = speed * cos(radians(elevation_deg))
    up = speed * sin(radians(elevation_deg))
    return level * (up + sqrt(up * up + 2 * GRAVITY_M_S2 * height_m)) / GRAVITY_M_S2


def pencil_throw_m(tip_diameter_m, without_air_m, constant, quality, air_kg_m3=AIR_DENSITY.value):
    """m by the pencil formula R = R0/(1 + b q (air/water) R0/d), R0 the throw without air."""
    share = constant * quality * air_kg_m3 / WATER_KG_M3 * without_air_m / tip_diameter_m
    return without_air_m / (1 + share)


def best_elevation_deg(throw_at, low=0.0, high=70.0, within=0.01):
    """Degrees at which throw_at(degrees) is greatest, by the golden section."""
    part = (sqrt(5) - 1) / 2
    left, right = high - part * (high - low), low + part * (high - low)
    at_left, at_right = throw_at(left), throw_at(right)
    while high - low > within:
        if at_left < at_right:
            low, left, at_left = left, right, at_right
            right = low + part * (high - low)
            at_right = throw_at(right)
        else:
            high, right, at_right = right, left, at_left
            left = high - part * (high - low)
            at_left = throw_at(left)
    return (low + high) / 2


def near_best_deg(throw_at, best_deg, share, low=-20.0, high=75.0):
    """Lowest and highest degrees at which the throw is still `share` of the best one."""
    least = share * throw_at(best_deg)
    ends = []
    for end in (low, high):
        inside, outside = best_deg, end
        if throw_at(end) >= least:
            ends.append(end)
            continue
        while abs(outside - inside) > 0.05:
            middle = (inside + outside) / 2
            if throw_at(middle) >= least:
                inside = middle
            else:
                outside = middle
        ends.append(inside)
    return tuple(ends)
