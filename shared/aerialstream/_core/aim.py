"""The set-up that puts most water on what burns: a search over tip, aim and pressure. ft and deg.

The nozzle stays in line: the turntable points ladder and stream at the opening (or the hole in
the roof), and what is searched is how far out and how high the tip stands, how steep the stream
is, where across the opening it goes, and the nozzle pressure.
"""

from math import atan2, cos, degrees, hypot, radians, sin
from typing import NamedTuple

from aerialstream._core import spread
from aerialstream._core.aerials import Travel, beyond_travel_deg, elevation_and_extension
from aerialstream._core.application import Shot, what_if
from aerialstream._core.nozzles import smooth_bore_discharge_gpm

_SPEED_PER_ROOT_PSI = 12.19  # ft/s, for a first guess of the sag only
_COARSE = {"lines": 12, "times": 4}
_STEPS = (3.0, 3.0, 2.0, 1.0)  # out ft, up ft, pitch deg, turn deg
_HALVINGS = 5
LEAST_SHARE = 0.02  # less than this on the fire is not worth a proposal


class Rig(NamedTuple):
    """A device on its spot. place is the turntable's centre (x, y) in the opening's axes."""

    place: tuple
    height_ft: float
    offset_ft: float
    extension_ft: tuple
    elevation_deg: tuple
    travel: Travel
    levels: bool


class Water(NamedTuple):
    """What the nozzle gives: the tip, and the pressures that may be chosen."""

    tip_diameter_in: float
    pressures_psi: tuple
    quality: float = 1.1
    wind_ft_s: tuple = (0.0, 0.0, 0.0)


class SetUp(NamedTuple):
    """One set-up. bearing_deg of the ladder to the right of straight in; pitch of the nozzle."""

    extension_ft: float
    elevation_deg: float
    bearing_deg: float
    nozzle_pitch_deg: float
    stream_pitch_deg: float
    nozzle_pressure_psi: float
    tip: tuple


class Found(NamedTuple):
    """The best set-up, its outcome, how many were tried, and what kept the others out.

    set_up is None where no set-up fits the device or none brings water to what burns.
    """

    set_up: SetUp | None
    outcome: object
    tried: int
    stopped: dict


def set_up_for(rig, out_ft, up_ft, bearing_deg, stream_pitch_deg, pressure_psi):
    """(SetUp, "") for a tip and a stream, or (None, what stops it)."""
    extension, elevation = elevation_and_extension(rig.height_ft, rig.offset_ft, out_ft, up_ft)
    if not rig.extension_ft[0] - 1e-6 <= extension <= rig.extension_ft[1] + 1e-6:
        short = extension < rig.extension_ft[0]
        return None, "extension too short" if short else "extension too long"
    if not rig.elevation_deg[0] - 1e-6 <= elevation <= rig.elevation_deg[1] + 1e-6:
        low = elevation < rig.elevation_deg[0]
        return None, "elevation too low" if low else "elevation too high"
    pitch = stream_pitch_deg - (0.0 if rig.levels else elevation)
    beyond = beyond_travel_deg(rig.travel, 0.0, pitch)
    if beyond:
        return None, f"nozzle travel {next(iter(beyond))}"
    turn = radians(bearing_deg)
    tip = (rig.place[0] + out_ft * cos(turn), rig.place[1] + out_ft * sin(turn), up_ft)
    return (
        SetUp(extension, elevation, bearing_deg, pitch, stream_pitch_deg, pressure_psi, tip),
        "",
    )


def shot_of(set_up, water, **changes):
    """The shot that a set-up makes."""
    shot = Shot(
        place=set_up.tip,
        pitch_deg=set_up.stream_pitch_deg,
        turn_deg=set_up.bearing_deg,
        tip_diameter_in=water.tip_diameter_in,
        nozzle_pressure_psi=set_up.nozzle_pressure_psi,
        flow_gpm=smooth_bore_discharge_gpm(water.tip_diameter_in, set_up.nozzle_pressure_psi),
        wind_ft_s=water.wind_ft_s,
        quality=water.quality,
    )
    return shot._replace(**changes)


def _aim_points(view):
    """Points to aim at: over the height and width of the opening, or over the roof's holes."""
    if view.opening is not None:
        o = view.opening
        rise, wide = o.head_ft - o.sill_ft, o.y1_ft - o.y0_ft
        middle = (o.y0_ft + o.y1_ft) / 2
        return [
            (0.0, middle + across * wide, o.sill_ft + up * rise)
            for across in (0.0, -0.25, 0.25)
            for up in (0.2, 0.4, 0.6, 0.8)
        ]
    z = (view.roof.eaves_ft + view.roof.ridge_ft) / 2
    points = []
    for hole in view.roof.holes:
        x, y = (hole.x0_ft + hole.x1_ft) / 2, (hole.y0_ft + hole.y1_ft) / 2
        for part in (-0.25, 0.0, 0.25):
            points.append((x + part * (hole.x1_ft - hole.x0_ft), y, z))
    return points


def pitch_to(tip, point, pressure_psi):
    """Pitch of a stream whose middle passes a point, gravity's sag put in."""
    level = hypot(point[0] - tip[0], point[1] - tip[1])
    rise, pitch = point[2] - tip[2], 0.0
    for _ in range(3):
        speed = _SPEED_PER_ROOT_PSI * pressure_psi**0.5 * cos(radians(pitch))
        sag = 16.087 * (level / speed) ** 2 if speed else 0.0
        pitch = degrees(atan2(rise + sag, level))
    return pitch


def find(view, rig, water, *, kit=spread, burning=None, nearest_ft=3.0, farthest_ft=80.0):
    """The set-up with the largest share of the flow on what burns.

    nearest_ft    the tip comes no nearer to the facade
    farthest_ft   nor farther from the point aimed at: an aim beyond that is a guess
    Equal shares are decided by the shorter ladder: it bears the reaction more easily.
    """
    stopped, tried, best = {}, 0, (-1.0, None, None, 0.0)

    def judge(out, up, pitch, bearing, pressure, **detail):
        nonlocal tried
        made, why = set_up_for(rig, out, up, bearing, pitch, pressure)
        if made is None:
            stopped[why] = stopped.get(why, 0) + 1
            return -1.0, None, None
        if made.tip[0] > -nearest_ft or up < 1.0:
            return -1.0, None, None
        tried += 1
        outcome = what_if(view, shot_of(made, water), kit=kit, burning=burning, **detail)
        share = outcome.fates["on the fire"]
        return share - 1e-4 * made.extension_ft / rig.extension_ft[1], made, outcome

    usual = water.pressures_psi[len(water.pressures_psi) // 2]
    for point in _aim_points(view):
        for out, up, bearing in _tips(rig, point, nearest_ft, farthest_ft):
            turn = radians(bearing)
            tip = (rig.place[0] + out * cos(turn), rig.place[1] + out * sin(turn), up)
            pitch = pitch_to(tip, point, usual)
            score, made, outcome = judge(out, up, pitch, bearing, usual, **_COARSE)
            if score > best[0]:
                best = (score, (out, up, pitch, bearing), made, outcome)
    if best[2] is None:
        return Found(None, None, tried, stopped)
    result = None
    for pressure in water.pressures_psi:
        place = best[1]
        score, made, outcome = judge(*place, pressure)
        if made is None:
            continue
        steps = _STEPS
        for _ in range(_HALVINGS):
            score, place, made, outcome = _improved(
                judge, score, place, made, outcome, steps, pressure
            )
            steps = tuple(step / 2 for step in steps)
        if result is None or score > result[0] + 1e-9:
            result = (score, made, outcome)
    if result[2].fates["on the fire"] < LEAST_SHARE:
        return Found(None, result[2], tried, stopped)
    return Found(result[1], result[2], tried, stopped)


def _tips(rig, point, nearest_ft, farthest_ft):
    """(out, up, bearing) of tips on the line from the turntable to the point aimed at."""
    ahead, aside = point[0] - rig.place[0], point[1] - rig.place[1]
    way = hypot(ahead, aside)
    bearing = degrees(atan2(aside, ahead))
    straight = cos(radians(bearing)) or 1e-9
    last = (-nearest_ft - rig.place[0]) / straight if point[0] <= 0 else way - nearest_ft
    first = max(1.0, way - farthest_ft)
    count = 6
    for n in range(count):
        out = first + (last - first) * n / (count - 1)
        for drop in (-14.0, -8.0, -4.0, 0.0, 4.0, 12.0, 25.0):
            up = point[2] + drop
            if up >= 1.0:
                yield out, up, bearing


def _improved(judge, score, place, made, outcome, steps, pressure):
    """One round of tries to either side of a place, along each of its four numbers."""
    for index, step in enumerate(steps):
        for way in (1, -1):
            moved = list(place)
            moved[index] += way * step
            new = judge(*moved, pressure)
            if new[0] > score:
                score, made, outcome = new
                place = tuple(moved)
                break
    return score, place, made, outcome


def sensitivity(view, set_up, water, *, kit=spread, burning=None):
    """Share on the fire if one thing is otherwise: {what: share}."""
    wind = 10 * 5280 / 3600
    x, y, z = water.wind_ft_s
    shot = shot_of(set_up, water)
    pressure = set_up.nozzle_pressure_psi

    def at(**changes):
        return what_if(view, shot._replace(**changes), kit=kit, burning=burning).fates[
            "on the fire"
        ]

    def pressed(psi):
        flow = smooth_bore_discharge_gpm(water.tip_diameter_in, psi)
        return at(nozzle_pressure_psi=psi, flow_gpm=flow)

    return {
        "1 deg higher": at(pitch_deg=shot.pitch_deg + 1),
        "1 deg lower": at(pitch_deg=shot.pitch_deg - 1),
        "1 deg to the right": at(turn_deg=shot.turn_deg + 1),
        "1 deg to the left": at(turn_deg=shot.turn_deg - 1),
        "10 psi more": pressed(pressure + 10),
        "10 psi less": pressed(max(pressure - 10, 5.0)),
        "10 mph head wind": at(wind_ft_s=(x - wind, y, z)),
        "10 mph tail wind": at(wind_ft_s=(x + wind, y, z)),
        "10 mph wind from the left": at(wind_ft_s=(x, y + wind, z)),
        "10 mph wind from the right": at(wind_ft_s=(x, y - wind, z)),
    }
