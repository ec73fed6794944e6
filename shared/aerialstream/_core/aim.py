"""The set-up that puts most water on what burns: a search over tip, aim and pressure. ft and deg.

The nozzle stays in line: the turntable points ladder and stream at a place in the opening (or on
the roof). What is searched is how far out the tip stands, how steep the stream is, which place it
goes through, and the nozzle pressure; how high the tip stands follows from them.
"""

from math import atan2, cos, degrees, hypot, radians, sin, tan
from typing import NamedTuple

from aerialstream._core import spread
from aerialstream._core.aerials import Travel, beyond_travel_deg, elevation_and_extension
from aerialstream._core.application import Shot, what_if
from aerialstream._core.nozzles import smooth_bore_discharge_gpm
from aerialstream._core.surfaces import roof_height_ft

_SPEED_PER_ROOT_PSI = 12.19  # ft/s, for a first guess of the sag only
_COARSE = {"lines": 12, "times": 4, "fan": False}
_CLIMB = {"lines": 24, "times": 6, "fan": False}
_STEPS = (6.0, 8.0)  # out ft, pitch deg
_HALVINGS = 4
_SEEDS = 5
_APART_FT = 6.0  # two beginnings of the search are no nearer to each other than this
_OUTS = 5
_PITCHES_DEG = (-60, -45, -33, -24, -16, -8, -2, 5, 12, 20, 30, 42, 55)
_ALL = 0.97  # as good as all of the flow
_WORTH_IT = 0.02  # more of the flow, for another than the usual pressure
LEAST_SHARE = 0.02  # less than this on the fire is not worth a proposal
_SAME = 0.005  # shares nearer to each other than this are decided by the shorter ladder


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
    """Places to aim at: over the height and width of the opening, or on the roof."""
    if view.opening is not None:
        o = view.opening
        rise, wide = o.head_ft - o.sill_ft, o.y1_ft - o.y0_ft
        middle = (o.y0_ft + o.y1_ft) / 2
        return [
            (0.0, middle + across * wide, o.sill_ft + up * rise)
            for across in (0.0, -0.3, 0.3)
            for up in (0.25, 0.55, 0.85)
        ]
    return [
        _on_roof(view, x0 + deep * (x1 - x0), y0 + across * (y1 - y0))
        for x0, x1, y0, y1 in _burnt_through(view)
        for deep in (0.25, 0.5, 0.75)
        for across in (0.5, 0.25, 0.75)
    ]


def _on_roof(view, x, y):
    return x, y, roof_height_ft(view.roof, x, y)


def _burnt_through(view):
    """Where the roof lets water in: its holes, or all of it where only a share is known."""
    roof = view.roof
    if roof.holes:
        return [hole[:4] for hole in roof.holes]
    return [(0.0, roof.depth_ft, roof.y0_ft, roof.y1_ft)] if roof.open_share else []


def height_to(level_ft, pitch_deg, point, pressure_psi):
    """Height of a tip whose stream goes through a point so far ahead, gravity's sag put in."""
    speed = _SPEED_PER_ROOT_PSI * pressure_psi**0.5 * cos(radians(pitch_deg))
    return point[2] - level_ft * tan(radians(pitch_deg)) + 16.087 * (level_ft / speed) ** 2


class _Search:
    """Tries set-ups and counts them. A try is (out, pitch, place aimed at), and a pressure."""

    def __init__(self, view, rig, water, kit, burning, nearest_ft):
        self.view, self.rig, self.water = view, rig, water
        self.kit, self.burning, self.nearest_ft = kit, burning, nearest_ft
        self.stopped, self.tried = {}, 0

    def judge(self, place, pressure, **detail):
        """(score, place, set-up, outcome); the score is below nothing where it does not fit."""
        out, pitch, point = place
        x, y = self.rig.place
        ahead, aside = point[0] - x, point[1] - y
        turn, level = atan2(aside, ahead), hypot(ahead, aside) - out
        if level <= 0 or x + out * cos(turn) > -self.nearest_ft + 1e-9 or abs(pitch) > 75:
            return -1.0, place, None, None
        up = height_to(level, pitch, point, pressure)
        if up < 1.0:
            return -1.0, place, None, None
        made, why = set_up_for(self.rig, out, up, degrees(turn), pitch, pressure)
        if made is None:
            self.stopped[why] = self.stopped.get(why, 0) + 1
            return -1.0, place, None, None
        self.tried += 1
        shot = shot_of(made, self.water)
        outcome = what_if(self.view, shot, kit=self.kit, burning=self.burning, **detail)
        share = outcome.fates["on the fire"]
        return share - _SAME * made.extension_ft / self.rig.extension_ft[1], place, made, outcome

    def bettered(self, best, pressure, halvings, **detail):
        """The best that small moves lead to: of the tip, and of the place aimed at."""
        best = self.judge(best[1], pressure, **detail)
        scale = 1.0
        for _ in range(halvings):
            if best[0] > _ALL:
                break  # no more than all of it can come there
            for index in range(4):
                for way in (scale, -scale):
                    new = self.judge(self._moved(best[1], index, way), pressure, **detail)
                    if new[0] > best[0]:
                        best = new
                        break
            scale /= 2
        return best

    def _moved(self, place, index, way):
        out, pitch, (x, y, z) = place
        if index == 0:
            return out + way * _STEPS[0], pitch, (x, y, z)
        if index == 1:
            return out, pitch + way * _STEPS[1], (x, y, z)
        o = self.view.opening
        if o is None:
            x, y = (x + 3 * way, y) if index == 2 else (x, y + 3 * way)
            return out, pitch, _on_roof(self.view, x, y)
        if index == 2:
            return out, pitch, (x, y, z + way * (o.head_ft - o.sill_ft) / 4)
        return out, pitch, (x, y + way * (o.y1_ft - o.y0_ft) / 4, z)

    def tips(self, point, farthest_ft):
        """(out, pitch) of tips on the line from the turntable to the place aimed at."""
        x, y = self.rig.place
        ahead, aside = point[0] - x, point[1] - y
        way = hypot(ahead, aside)
        last = (-self.nearest_ft - x) * way / ahead
        first = min(max(1.0, way - farthest_ft), last)
        for n in range(_OUTS):
            for pitch in _PITCHES_DEG:
                yield first + (last - first) * n / (_OUTS - 1), pitch


def find(view, rig, water, *, kit=spread, burning=None, nearest_ft=3.0, farthest_ft=80.0):
    """The set-up with the largest share of the flow on what burns.

    nearest_ft    the tip comes no nearer to the facade
    farthest_ft   nor farther from the point aimed at: an aim beyond that is a guess
    Shares that hardly differ are decided by the shorter ladder: it bears the reaction more easily.
    """
    search = _Search(view, rig, water, kit, burning, nearest_ft)
    usual = water.pressures_psi[len(water.pressures_psi) // 2]
    first = [
        search.judge((*tip, point), usual, **_COARSE)
        for point in _aim_points(view)
        for tip in search.tips(point, farthest_ft)
    ]
    seeds = _apart(sorted((one for one in first if one[2]), key=lambda one: -one[0]))
    if not seeds:
        return Found(None, None, search.tried, search.stopped)
    better = []
    for seed in seeds:
        better.append(search.bettered(seed, usual, _HALVINGS, **_CLIMB))
        if better[-1][0] > _ALL:
            break
    best = max(better, key=lambda one: one[0])
    end = search.judge(best[1], usual)
    for pressure in water.pressures_psi:
        if pressure == usual or end[0] > _ALL:
            continue  # another pressure is worth its while only if it brings more
        other = search.bettered(best, pressure, 3, **_CLIMB)
        other = search.judge(other[1], pressure) if other[2] else other
        if other[0] > end[0] + _WORTH_IT:
            end = other
    _, _, made, outcome = end
    enough = outcome.fates["on the fire"] >= LEAST_SHARE
    return Found(made if enough else None, outcome, search.tried, search.stopped)


def _apart(ranked):
    """The best few that differ from each other."""
    seeds = []
    for one in ranked:
        if len(seeds) == _SEEDS:
            break
        tip = one[2].tip
        if all(
            sum((a - b) ** 2 for a, b in zip(tip, other[2].tip, strict=True)) > _APART_FT**2
            for other in seeds
        ):
            seeds.append(one)
    return seeds


def sensitivity(view, set_up, water, *, kit=spread, burning=None):
    """Share on the fire if one thing is otherwise: {what: share}."""
    wind = 10 * 5280 / 3600
    x, y, z = water.wind_ft_s
    # Head and tail, left and right are those of the stream, not of the wall.
    ahead = wind * cos(radians(set_up.bearing_deg)), wind * sin(radians(set_up.bearing_deg))
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
        "10 mph head wind": at(wind_ft_s=(x - ahead[0], y - ahead[1], z)),
        "10 mph tail wind": at(wind_ft_s=(x + ahead[0], y + ahead[1], z)),
        "10 mph wind from the left": at(wind_ft_s=(x - ahead[1], y + ahead[0], z)),
        "10 mph wind from the right": at(wind_ft_s=(x + ahead[1], y - ahead[0], z)),
    }
