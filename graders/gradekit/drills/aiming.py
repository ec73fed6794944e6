"""Where the rig stands and how ladder and nozzle are set for one evolution's target.

Works with plain numbers in ft and degrees; everything that has to be known comes from
`aerialstream`. What cannot be had is said in words, with what stopped it.
"""

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aerialstream import (
    aim,
    quantity,
    spot_map,
    stream_path,
    tip_to_reach,
    water_use,
)
from aerialstream._core.application import CEILINGS, Shot, what_if
from aerialstream.aerials import plain_rig
from aerialstream.application import kit
from aerialstream.department import manual_limit_text
from aerialstream.errors import AerialStreamError
from aerialstream.units import show

LOW_SILL_FT = 4.0  # our number, no source: what counts as a low opening
CLEARED_LEAST = 0.85  # of the stream that has to come through the opening
TRAVEL_PLAY_DEG = 0.5
ENOUGH_ON_MARK = 0.4  # our number, no source: of the flow; then no other spot is tried
LADDER_STEP_FT = 10.0  # our number, no source: what counts as a shorter ladder
OFF_LINE_DEG = 150.0  # our number, no source: so far off line weighs as much as all of the water
HEIGHTS, PITCHES, SPOTS = 7, 16, 5  # how finely tips and streams are tried, and at how many spots
COARSE = {"lines": 12, "times": 4}  # how finely the water is spread while trying


class DrillRefused(AerialStreamError):
    """No plan: every reason, in words."""

    def __init__(self, reasons):
        self.reasons = tuple(dict.fromkeys(reasons))
        super().__init__("no plan for this:\n" + "\n".join(f"  {r}" for r in self.reasons))


@dataclass(frozen=True)
class Links:
    """What a plan's file says of building files: by building id, and by target the opening."""

    files: dict
    openings: dict


def links_of(path):
    """The building files and openings that a scene's file names."""
    path = Path(path)
    text = path.read_text(encoding="utf-8-sig")
    if path.suffix.lower() in (".geojson", ".json"):
        import json

        listed = [f.get("properties") or {} for f in json.loads(text).get("features", [])]
        buildings = [p for p in listed if p.get("layer") == "building"]
        targets = [p for p in listed if p.get("layer") == "target"]
    else:
        data = tomllib.loads(text)
        buildings, targets = data.get("building", ()), data.get("target", ())
    return Links(
        {b["id"]: b["building"] for b in buildings if "building" in b},
        {t["id"]: t["opening"] for t in targets if "opening" in t},
    )


@dataclass(frozen=True)
class Goal:
    """A target with what its building's file knows of it; each None where nobody entered it."""

    target: Any
    building: Any
    opening: Any
    view: Any

    @property
    def room(self):
        """The room behind the opening, or None."""
        if self.building is None or self.opening is None:
            return None
        return self.building.room_behind(self.opening.id)


def goal_of(target, links, buildings):
    """The target with its building file and its opening, found by name or by its place."""
    file_id = links.files.get(target.building.id)
    building = next((b for b in buildings if b.id == file_id), None)
    if building is None or target.side is None:
        return Goal(target, building, None, None)
    named = links.openings.get(target.id)
    opening = next(
        (o for o in building.openings if o.id == named or _same_place(o, target, named)), None
    )
    view = building.room_of(opening.id) if opening is not None else None
    return Goal(target, building, opening, view)


def _same_place(opening, target, named):
    if named is not None or opening.side != target.side.letter:
        return False
    pairs = (
        (opening.left, target.left_ft), (opening.width, target.width_ft),
        (opening.sill, target.sill_ft), (opening.head, target.head_ft),
    )  # fmt: skip
    return all(abs(_ft(own) - planned) < 0.1 for own, planned in pairs)


def unfit(goal, evolution):
    """Why a target is not what the evolution wants, or an empty text."""
    target = goal.target
    if evolution.wants == "any":
        return ""
    if target.side is None:
        return f"{target.name}: a hole in a roof; this evolution wants an opening in a wall"
    if evolution.wants == "upper opening":
        storey = goal.opening.storey if goal.opening else (2 if target.sill_ft >= 8 else 1)
        return "" if storey >= 2 else f"{target.name}: not on an upper storey"
    if evolution.wants == "low opening":
        if target.sill_ft <= LOW_SILL_FT:
            return ""
        return f"{target.name}: its sill is higher than {LOW_SILL_FT:g} ft"
    if goal.room is None:
        return (
            f"{target.name}: no building file with the room behind it, so nothing inside is known"
        )
    return ""


def barred(goal, evolution):
    """The owner's own limit that names the room behind the target, for water; else empty."""
    if evolution.water == "none" or goal.room is None:
        return ""
    for limit in goal.building.own_limits:
        if goal.room.id.lower() in limit.says.lower():
            return f"{goal.target.name}: {limit.says} ({limit.page})"
    return ""


@dataclass(frozen=True, kw_only=True)
class SetDown:
    """A rig on its spot with ladder and nozzle set. ft and degrees; aside + to the right.

    use is the WaterUse of the shot, None where no water or no building file; path the
    StreamPath, None without water. sweep is (near, far) depth in ft of a floor sweep.
    """

    goal: Goal
    place: Any
    out_ft: float
    aside_ft: float
    standoff_ft: float
    stream_ft: float
    tip_height_ft: float
    extension_ft: float
    elevation_deg: float
    nozzle_pitch_deg: float
    stream_pitch_deg: float
    turn_deg: float
    tip: tuple
    use: Any = None
    path: Any = None
    sweep: tuple | None = None
    in_line: bool = True
    depth_per_deg: tuple | None = None


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """What the search works for. water is None for a dry evolution, else its quantities."""

    scene: Any
    apparatus: Any
    evolution: Any
    water: Any
    flow: Any
    zone: float | None
    tip_accepted: bool
    wind: str
    wind_from_compass: float
    at: tuple | None


def set_down(wanted, goal):
    """The first proposed spot from which the evolution can be had; DrillRefused says why none."""
    found, places = _places(wanted, goal)
    if not places:
        said = [f"{goal.target.name}: {c}" for c in found.conflicts]
        raise DrillRefused(said or [f"{goal.target.name}: no place on this plan"])
    reasons, had = [], []
    for place in places:
        try:
            made = _checked(wanted, goal, _set(wanted, goal, found, place))
        except DrillRefused as error:
            reasons += error.reasons
            continue
        had.append(made)
        if _is_enough(wanted, made):
            return made
    if not had:
        raise DrillRefused(reasons)
    if wanted.evolution.aim in ("ceiling", "floor"):
        return max(had, key=_on_mark)
    return min(had, key=_costs)


def _is_enough(wanted, made):
    """Whether no other spot has to be tried: enough water on the mark, or in line and nothing against it."""
    if wanted.evolution.aim in ("ceiling", "floor"):
        return _on_mark(made) >= ENOUGH_ON_MARK
    return made.in_line and not made.place.findings


def _on_mark(made):
    """Share of the flow on the marked area in tenths; as good as all where nothing is marked."""
    if made.use is None or made.use.burning is None:
        return 1.0
    return round(made.use.on_fire.to("percent").magnitude / 100, 1)


def _costs(made):
    """In line first, then what the plan has against the spot, then the shorter ladder by steps."""
    return not made.in_line, len(made.place.findings), made.extension_ft // LADDER_STEP_FT


def _options(wanted):
    return {
        "collapse_factor": wanted.zone,
        "tip_in_zone": "accepted" if wanted.tip_accepted else "not",
    }


def _places(wanted, goal):
    scene, target = wanted.scene, goal.target.id
    if wanted.at is not None:
        x, y, heading = wanted.at
        found = spot_map(scene, wanted.apparatus, target, headings=[heading], cell="1000 ft",
                         area=(x, y, _more(x), _more(y)), **_options(wanted))  # fmt: skip
        place = found.why_not(x, y, heading)
        if place.verdict == "not":
            said = "; ".join(str(f.text) for f in place.findings if f.wrong)
            raise DrillRefused([f"{goal.target.name}, the spot you named: {said}"])
        return found, (place,)
    found = spot_map(
        scene, wanted.apparatus, target, headings=16, cell="8 ft", best=SPOTS, apart="24 ft",
        **_options(wanted),
    )  # fmt: skip
    return found, found.places


def _more(text):
    value = quantity(text).to("foot").magnitude if isinstance(text, str) else text
    return f"{value + 1} ft"


def _ft(value):
    return float(value.to("foot").magnitude)


def _lines_of(goal, place):
    """(out, aside, level distance, unit vector from target to turntable)."""
    dx, dy = place.x_ft - goal.target.at[0], place.y_ft - goal.target.at[1]
    far = math.hypot(dx, dy)
    if goal.target.side is None:
        return far, 0.0, far, (dx / far, dy / far)
    nx, ny = goal.target.side.normal
    out = dx * nx + dy * ny
    return out, dx * -ny + dy * nx, far, (dx / far, dy / far)


def _set(wanted, goal, found, place):
    """Ladder and nozzle at one place for the evolution's aim."""
    out, aside, far, unit = _lines_of(goal, place)
    square = out / far
    stream = found.standoff_ft / square
    if wanted.evolution.aim == "none":
        base = place.elevation_deg
        made = _made(wanted, goal, place, (out, aside, stream), unit, place.tip[2], base, None)
    elif wanted.evolution.aim == "middle" or goal.target.side is None:
        made = _to_middle(wanted, goal, place, (out, aside, stream), unit, far - stream)
    else:
        made = _inside(wanted, goal, place, (out, aside, stream), unit, far - stream)
    return made


def _drop_ft(wanted, pitch, height, distance):
    """How high the stream is at a level distance from the tip."""
    straight = height + distance * math.tan(math.radians(pitch))
    if wanted.water is None:
        return straight
    try:
        return _ft(_path(wanted, pitch, height).at_distance(_feet(distance)).height)
    except AerialStreamError:
        return -1e3


def _path(wanted, pitch, height):
    return stream_path(
        wanted.water["tip_diameter"], nozzle_pressure=wanted.water["nozzle_pressure"],
        elevation=_deg(pitch), height=_feet(max(height, 0.0)), quality=wanted.water["quality"],
    )  # fmt: skip


def _bisect(function, low, high, steps=36):
    """Where a rising function goes through nought; None where it does not."""
    if function(low) > 0 or function(high) < 0:
        return None
    for _ in range(steps):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return (low + high) / 2


def _lowest(wanted, rig):
    conditions = wanted.apparatus.manual_conditions
    entered = conditions and conditions.elevation_at_least
    own = rig.elevation_deg[0]
    return own if entered is None else max(own, float(entered.to("degree").magnitude))


def _to_middle(wanted, goal, place, lines, unit, level_ft):
    """Ladder, nozzle and stream on one line through the middle; else the nozzle alone pitched."""
    rig, stream, middle = plain_rig(wanted.apparatus), lines[2], goal.target.height_ft
    low, high = _lowest(wanted, rig), rig.elevation_deg[1]

    def tip_height(elevation):
        return rig.height_ft + (level_ft - rig.offset_ft) * math.tan(math.radians(elevation))

    def miss(elevation):
        return _drop_ft(wanted, elevation, tip_height(elevation), stream) - middle

    if not rig.levels and goal.target.side is not None and level_ft > rig.offset_ft:
        elevation = _bisect(miss, max(low, -60), min(high, 74.0))
        if elevation is not None and tip_height(elevation) > 0:
            height = tip_height(elevation)
            try:
                return _made(wanted, goal, place, lines, unit, height, elevation, level_ft)
            except DrillRefused:
                pass  # the nozzle may be pitched instead
    height = place.tip[2]
    pitch = _bisect(lambda p: _drop_ft(wanted, p, height, stream) - middle, -80.0, 74.0)
    if pitch is None:
        raise DrillRefused([f"{goal.target.name}: no stream from this tip meets its middle"])
    return _made(wanted, goal, place, lines, unit, height, pitch, level_ft)


def _made(wanted, goal, place, lines, unit, height, stream_pitch, level_ft):
    """The set-up for a tip height and a stream's pitch, if the device has it."""
    out, aside, stream = lines
    rig = plain_rig(wanted.apparatus)
    level_ft = _lines_of(goal, place)[2] - stream if level_ft is None else level_ft
    if height < 0 or level_ft <= 0:
        raise DrillRefused(
            [f"{goal.target.name}: the tip would be in the ground or behind the rig"]
        )
    reach = tip_to_reach(wanted.apparatus, out=_feet(level_ft), up=_feet(height))
    elevation, extension = float(reach.elevation.magnitude), _ft(reach.extension)
    stops = [str(stop) for stop in reach.stops]
    if elevation < _lowest(wanted, rig) - 1e-6 and not stops:
        stops.append(f"elevation {elevation:.1f} deg is below the lowest that was entered")
    if stops:
        raise DrillRefused([f"{goal.target.name}: {stop}" for stop in stops])
    pointed = aim(
        wanted.apparatus, elevation=reach.elevation, extension=reach.extension,
        stream_pitch=_deg(stream_pitch),
    )  # fmt: skip
    if not pointed.reachable:
        raise DrillRefused([f"{goal.target.name}: the nozzle stops: {s}" for s in pointed.stops])
    at = goal.target.at
    turn = 0.0 if goal.target.side is None else math.degrees(math.atan2(-aside, out))
    return SetDown(
        goal=goal, place=place, out_ft=out, aside_ft=aside,
        standoff_ft=stream * out / _lines_of(goal, place)[2], stream_ft=stream,
        tip_height_ft=height, extension_ft=extension, elevation_deg=elevation,
        nozzle_pitch_deg=float(pointed.pitch.magnitude), stream_pitch_deg=stream_pitch,
        turn_deg=turn, tip=(at[0] + unit[0] * stream, at[1] + unit[1] * stream, height),
        path=_path(wanted, stream_pitch, height) if wanted.water else None,
        use=_use(wanted, goal, lines, height, stream_pitch, turn),
        in_line=abs(float(pointed.pitch.magnitude)) < 0.5 or rig.levels,
    )  # fmt: skip


def _use(wanted, goal, lines, height, pitch, turn):
    if wanted.water is None or goal.view is None:
        return None
    out, aside, stream = lines
    share = stream / math.hypot(out, aside)
    return water_use(
        goal.view, standoff=_feet(out * share), aside=_feet(aside * share),
        nozzle_height=_feet(height), stream_pitch=_deg(pitch), turn=_deg(turn),
        tip_diameter=wanted.water["tip_diameter"],
        nozzle_pressure=wanted.water["nozzle_pressure"], quality=wanted.water["quality"], wind=wanted.wind,
        wind_from=_deg(_wind_from(wanted, goal)),
    )  # fmt: skip


def _outcome(wanted, goal, lines, height, pitch, turn, fan=True):
    """The same, coarse and in plain numbers, for trying many; without fan its middle alone."""
    out, aside, stream = lines
    share = stream / math.hypot(out, aside)
    mph = quantity(wanted.wind).to("foot/second").magnitude
    way = math.radians(_wind_from(wanted, goal))
    shot = Shot(
        place=(-out * share, aside * share, height), pitch_deg=pitch, turn_deg=turn,
        tip_diameter_in=wanted.water["tip_diameter"].to("inch").magnitude,
        nozzle_pressure_psi=wanted.water["nozzle_pressure"].to("psi").magnitude,
        flow_gpm=wanted.water["flow"].to("gpm").magnitude,
        wind_ft_s=(-mph * math.cos(way), -mph * math.sin(way), 0.0), quality=wanted.water["quality"],
        sway_deg=0.5,
    )  # fmt: skip
    return what_if(goal.view, shot, kit=kit(), fan=fan, **COARSE)


def _feet(number):
    return quantity(number, "foot")


def _deg(number):
    return quantity(number, "degree")


def _wind_from(wanted, goal):
    """Where the wind comes from, clockwise from straight out of the building."""
    nx, ny = goal.target.side.normal
    ahead = math.degrees(math.atan2(-nx, -ny))
    return (wanted.scene.plan_bearing(wanted.wind_from_compass) - ahead) % 360.0


def _wished(aim_at):
    return CEILINGS if aim_at == "ceiling" else ("floor",)


def _strikes(outcome, aim_at):
    inside = outcome.inside
    return (
        inside is not None
        and inside.surface in _wished(aim_at)
        and outcome.cleared >= CLEARED_LEAST
    )


def _inside(wanted, goal, place, lines, unit, level_ft):
    """The tip height and pitch that strike ceiling or floor through the opening, and serve best."""
    rig, aim_at = plain_rig(wanted.apparatus), wanted.evolution.aim
    low, high = _lowest(wanted, rig), rig.elevation_deg[1]
    run = level_ft - rig.offset_ft
    if run <= 0:
        raise DrillRefused([f"{goal.target.name}: the rig stands too near for this"])
    best, reasons, tried, beyond = None, [], 0, 0
    turn = math.degrees(math.atan2(-lines[1], lines[0]))
    for height in _heights(goal, aim_at, rig, run, low, high):
        base = 0.0 if rig.levels else _up_deg(height, rig, run)
        for pitch in _pitches(goal, aim_at, height, lines[2]):
            tried += 1
            if not _has_travel(wanted.apparatus, pitch - base):
                beyond += 1
                continue
            middle = _outcome(wanted, goal, lines, height, pitch, turn, fan=False)
            if middle.inside is None or middle.inside.surface not in _wished(aim_at):
                continue  # ten times quicker than the whole stream, which then has to do it as well
            found = _outcome(wanted, goal, lines, height, pitch, turn)
            if not _strikes(found, aim_at):
                continue
            score = _score(found, aim_at, pitch, base)
            if best is not None and score <= best[0]:
                continue
            try:
                best = (score, _made(wanted, goal, place, lines, unit, height, pitch, level_ft))
            except DrillRefused as error:
                reasons += error.reasons
    if best is None:
        said = f"{goal.target.name}: none of {tried} streams from this spot strikes the {aim_at}"
        if beyond:
            said += f"; {beyond} of them lie beyond the nozzle's travel"
        raise DrillRefused([said, *dict.fromkeys(reasons)])
    return _with_sweep(wanted, lines, best[1])


def _has_travel(apparatus, pitch_deg):
    """Whether the nozzle may point so far from its line; a little over, since `aim` judges after."""
    travel = apparatus.nozzle_travel
    up, down = (float(way.to("degree").magnitude) for way in (travel.up, travel.down))
    return -down - TRAVEL_PLAY_DEG <= pitch_deg <= up + TRAVEL_PLAY_DEG


def _up_deg(height, rig, run):
    return math.degrees(math.atan2(height - rig.height_ft, run))


def _score(found, aim_at, pitch, base):
    """On a ceiling most water on the mark in coarse steps, then steep; on a floor water on the mark
    against how far the nozzle is off the ladder's line."""
    on_mark = found.fates["on the fire"]
    if aim_at == "ceiling":
        return round(on_mark, 1), found.inside.grazing_angle_deg
    return (on_mark - abs(pitch - base) / OFF_LINE_DEG,)


def _heights(goal, aim_at, rig, run, low, high):
    least = max(2.0, rig.height_ft + run * math.tan(math.radians(max(low, -60.0))))
    top = goal.target.head_ft if aim_at == "ceiling" else goal.target.head_ft + 25.0
    most = min(top, rig.height_ft + run * math.tan(math.radians(min(high, 80.0))))
    if most < least:
        return ()
    return [least + (most - least) * n / (HEIGHTS - 1) for n in range(HEIGHTS)]


def _pitches(goal, aim_at, height, stream):
    """Pitches between sill and head of the opening, a little beyond for the stream's drop."""
    under = math.degrees(math.atan2(goal.target.sill_ft - height, stream))
    over = math.degrees(math.atan2(goal.target.head_ft - height, stream)) + 3.0
    low, high = (max(under, 0.0), over) if aim_at == "ceiling" else (under, min(over, 0.0))
    if high <= low:
        return ()
    return [low + (high - low) * n / (PITCHES - 1) for n in range(PITCHES)]


def _with_sweep(wanted, lines, made):
    """Adds what a degree up or down does, and for the floor how near and far it can be swept."""
    goal, values = made.goal, {}
    depth = {
        step: _depth(wanted, goal, lines, made, made.stream_pitch_deg + step) for step in (-1, 1)
    }
    values["depth_per_deg"] = (depth[-1], depth[1])
    if wanted.evolution.aim == "floor":
        hits = [
            d
            for n in range(-30, 31)
            if (d := _depth(wanted, goal, lines, made, made.stream_pitch_deg + n / 2, "floor"))
            is not None
        ]
        values["sweep"] = (min(hits), max(hits)) if hits else None
    return _changed(made, **values)


def _depth(wanted, goal, lines, made, pitch, only=None):
    if not -89 < pitch < 74:
        return None
    found = _outcome(wanted, goal, lines, made.tip_height_ft, pitch, made.turn_deg)
    if found.inside is None or (only and not _strikes(found, only)):
        return None
    return found.inside.point[0]


def in_wind(wanted, made):
    """The same ladder and nozzle in another wind: where the water then goes. No new search."""
    if wanted.water is None or made.use is None:
        return made
    lines = (made.out_ft, made.aside_ft, made.stream_ft)
    again = _changed(
        made, use=_use(wanted, made.goal, lines, made.tip_height_ft, made.stream_pitch_deg, made.turn_deg)
    )  # fmt: skip
    if made.depth_per_deg is None:
        return again
    depth = [_depth(wanted, made.goal, lines, made, made.stream_pitch_deg + s) for s in (-1, 1)]
    return _changed(again, depth_per_deg=tuple(depth))


def _changed(made, **values):
    fields = {name: getattr(made, name) for name in made.__dataclass_fields__}
    return SetDown(**fields | values)


def _checked(wanted, goal, made):
    """The same set-up, held against the plan and the department's own entries once more."""
    place = made.place
    again = spot_map(
        wanted.scene, wanted.apparatus, goal.target.id, headings=[_deg(place.heading_deg)],
        cell="1000 ft", area=tuple(_feet(v) for v in (place.x_ft, place.y_ft, place.x_ft + 1, place.y_ft + 1)),
        standoff=_feet(made.standoff_ft), tip_height=_feet(max(made.tip_height_ft, 0.1)), best=0,
        **_options(wanted),
    )  # fmt: skip
    judged = again.why_not(_feet(place.x_ft), _feet(place.y_ft), _deg(place.heading_deg))
    if judged.verdict == "not":
        said = "; ".join(str(f.text) for f in judged.findings if f.wrong)
        raise DrillRefused([f"{goal.target.name}: {said}"])
    if wanted.flow is not None:
        entered = manual_limit_text(
            wanted.apparatus, flow=wanted.flow, extension=_feet(made.extension_ft),
            rotation="0 deg",
        )  # fmt: skip
        if entered.startswith("BEYOND"):
            raise DrillRefused([f"{goal.target.name}: {entered}"])
    return _changed(made, place=judged)


def said_ft(feet, system="US"):
    """A length as it is printed."""
    return show(quantity(feet, "foot"), system)
