"""What is found at a place, as codes and in words. Used by `spots.py`."""

import math
from dataclasses import dataclass
from typing import NamedTuple

from aerialstream._core import plan_geometry as plan
from aerialstream._core import spots as core
from aerialstream._plan_words import apart, slope_words, tenth
from aerialstream.department import NOT_ENTERED
from aerialstream.worked import both

# What a hydrant takes up on a plan, on which only its point is entered. Assumed, no source.
HYDRANT_ACROSS_FT, HYDRANT_HEIGHT_FT = 1.5, 3.0


@dataclass(frozen=True)
class Code:
    """One thing that can be wrong with a place, or cost something there.

    name for tables and figures, short the words for a legend.
    """

    bit: int
    name: str
    short: str


CODES = (
    Code(core.OFF_STREET, "off street", "chassis not wholly on a street or paved ground"),
    Code(core.CHASSIS_HITS, "chassis blocked", "chassis overlaps a building or an obstacle"),
    Code(core.RIG_IN_ZONE, "rig in zone", "part of the rig inside the collapse zone"),
    Code(core.PAD_HITS, "stabiliser blocked", "a stabiliser comes down on something"),
    Code(core.PAD_SOFT, "stabiliser on bad ground", "a stabiliser on soft or hollow ground"),
    Code(core.PAD_UNKNOWN, "stabiliser off street", "a stabiliser on ground nobody entered"),
    Code(core.CHASSIS_HOLLOW, "chassis over hollow", "chassis over hollow ground"),
    Code(core.OVER_SIDE, "over the side", "ladder works over the side of the chassis"),
    Code(core.ACROSS_SLOPE, "across slope", "chassis stands across the slope"),
    Code(core.FACES_AWAY, "target faces away", "the target cannot be seen from there"),
    Code(
        core.TOO_CLOSE,
        "too close",
        "too close, the ladder even bedded reaches past where the tip should be",
    ),
    Code(core.TOO_FAR, "too far", "farther than the ladder is long"),
    Code(core.TOO_LOW, "below elevation range", "ladder would have to go too low"),
    Code(core.TOO_HIGH, "above elevation range", "ladder would have to go too steep"),
    Code(core.NOZZLE_TRAVEL, "nozzle travel", "nozzle does not move far enough"),
    Code(core.NOT_STEEP, "not steep enough", "tip too far off for the rise that is asked"),
    Code(core.LADDER_BLOCKED, "ladder blocked", "something stands in the ladder's way"),
    Code(core.LINE_NEAR, "line too near", "ladder or tip too near to an overhead line"),
    Code(core.LINE_UNKNOWN, "unknown line too near", "near a line whose voltage nobody knows"),
    Code(core.TIP_IN_ZONE, "tip in zone", "tip inside the collapse zone"),
    Code(core.TURNTABLE_IN_ZONE, "turntable in zone", "turntable inside the collapse zone"),
    Code(core.SLOPE_BEYOND, "slope beyond limit", "slope beyond the entered limit"),
    Code(core.SLOPE_NO_LIMIT, "slope limit not entered", "sloping ground, no limit entered"),
    Code(core.OBLIQUE, "oblique", "stream comes at the opening from the side"),
    Code(core.TOO_OBLIQUE, "too oblique", "so far off square that hardly any stream goes in"),
    Code(core.LOW_AND_LONG, "low and long", "long ladder at a low elevation"),
    Code(core.LAY_TOO_LONG, "lay too long", "supply lay longer than the hose carried"),
)


def codes_of(number):
    """The Code objects that a place's number holds."""
    return tuple(c for c in CODES if number & c.bit)


@dataclass(frozen=True)
class Finding:
    """One finding at a place: its code, whether it is wrong (else it costs), and it in words."""

    code: Code
    wrong: bool
    text: str


class Spot(NamedTuple):
    """One place with its numbers: what `_MORE` puts into words."""

    here: core.Found
    x_ft: float
    y_ft: float
    chassis: tuple
    pads: tuple


def findings_of(found, code, spot):
    """The findings of a place in words, what is wrong first."""
    costs = found.problem.costs
    said = []
    for one in codes_of(code):
        more = _MORE.get(one.bit)
        text = one.short if more is None else _told(one, more, found, spot)
        said.append(Finding(one, not one.bit & costs, text))
    return tuple(sorted(said, key=lambda f: not f.wrong))


def _told(one, more, found, spot):
    def write(pen):
        words = more(pen, found, spot)
        return f"{one.short}: {words}" if words else one.short

    return both(write)


def _in_zone(pen, found, spot):
    away = plan.distance_to_polygon_ft(spot.x_ft, spot.y_ft, found.problem.building)
    return _from_wall(pen, away, found.zone_ft)


def _from_wall(pen, away, zone):
    there, wanted = apart(away, zone, pen.system)
    return f"{there} from the wall, zone {wanted}"


def _tip_zone(pen, found, spot):
    away = plan.distance_to_polygon_ft(spot.here.tip_x, spot.here.tip_y, found.problem.building)
    word = "the incident commander has accepted it; " if found.problem.costs & core.TIP_IN_ZONE else ""  # fmt: skip
    return f"{word}{_from_wall(pen, away, found.zone_ft)}"


def _needed_extension(found, spot):
    """(extension, elevation) that the place asks for, whether the device has them or not."""
    rig, aim = found.problem.rig, found.problem.aim
    bits, away, _, run, *_ = core.tip_and_reach(aim, spot.x_ft, spot.y_ft)
    if bits:
        return None
    return core.elevation_and_extension(
        rig.reach_height_ft, rig.reach_heel_ft, away - run, aim.tip_height_ft
    )


def _reach_words(pen, found, spot):
    needed = _needed_extension(found, spot)
    rig = found.problem.rig
    if needed is None:
        return (
            "the turntable is nearer to the target than the tip should be; the bedded ladder is "
            f"{tenth(rig.least_ft, pen.system)} long"
        )
    system = pen.system
    end = rig.least_ft if needed[0] < rig.least_ft else rig.most_ft
    return (
        f"needs {apart(needed[0], end, system)[0]} at {needed[1]:.1f} deg; the device has "
        f"{tenth(rig.least_ft, system)} (bedded) to {tenth(rig.most_ft, system)} and "
        f"{rig.lowest_deg:g} to {rig.highest_deg:g} deg"
    )


def _travel_words(pen, found, spot):
    rig, aim = found.problem.rig, found.problem.aim
    _, _, _, run, *_ = core.tip_and_reach(aim, spot.x_ft, spot.y_ft)
    pitch = core.stream_pitch_deg(aim, run) - (0.0 if rig.levels else spot.here.elevation_deg)
    return (
        f"needs {pitch:+.1f} deg from the ladder's line; it moves {rig.nozzle_up_deg:g} up and "
        f"{rig.nozzle_down_deg:g} down"
    )


def _steep_words(pen, found, spot):
    aim = found.problem.aim
    _, _, _, run, *_ = core.tip_and_reach(aim, spot.x_ft, spot.y_ft)
    under = math.degrees(math.atan2(aim.head_ft - aim.tip_height_ft, run))
    return f"{under:.1f} deg is the most under the head; {aim.rise_deg:g} deg is asked"


def _line_words(pen, found, spot):
    start = (spot.x_ft, spot.y_ft, found.problem.rig.root_height_ft)
    end = (spot.here.tip_x, spot.here.tip_y, found.problem.aim.tip_height_ft)
    near = min(
        (plan.segment_distance_ft(start, end, w.start, w.end) - w.clearance_ft, w.clearance_ft)
        for w in found.problem.wires
    )
    away, kept = apart(sum(near), near[1], pen.system)
    return f"{away} from the ladder; {kept} has to be kept"


def _oblique_words(pen, found, spot):
    seen, problem = math.cos(math.radians(spot.here.obliquity_deg)), found.problem
    end = problem.too_oblique_deg
    beyond = f"; more than {end:g} deg is ruled out" if spot.here.obliquity_deg > end else ""
    return (
        f"{spot.here.obliquity_deg:.0f} deg off square, the opening shows {seen:.0%} of its "
        f"width{beyond}"
    )


def _lay_words(pen, found, spot):
    hose = pen.of(found.problem.hose_ft, "length", 0)
    return f"{pen.of(spot.here.lay_ft, 'length', 0)} to the nearest hydrant, {hose} carried"


def _slope_words(pen, found, spot):
    steepest = max(
        g.slope_deg
        for g in found.scene.ground
        if g.slope_deg and plan.distance_to_polygon_ft(spot.x_ft, spot.y_ft, g.corners) < 1e-3
    )
    limit = found.apparatus.manual_conditions and found.apparatus.manual_conditions.slope_up_to
    said = NOT_ENTERED if limit is None else f"limit entered {limit.to('degree').magnitude:g} deg"
    return f"{slope_words(steepest)}; {said}"


def _low_words(pen, found, spot):
    return f"{pen.of(spot.here.extension_ft, 'length', 0)} at {spot.here.elevation_deg:.0f} deg"


def _standing(scene):
    """(name, corners, top in ft) of everything that stands on a plan."""
    things = [(b.name, b.corners, b.top_ft) for b in scene.buildings]
    things += [(o.id, o.corners, o.height_ft) for o in scene.obstacles]
    return things + [
        (f"hydrant {h.id}", hydrant_corners(h), HYDRANT_HEIGHT_FT) for h in scene.hydrants
    ]


def hydrant_corners(hydrant):
    """The ground that a hydrant takes up, as a square."""
    (x, y), half = hydrant.at, HYDRANT_ACROSS_FT / 2
    return tuple((x + half * i, y + half * j) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1)))


def _met(body, corners):
    """Whether a convex body on the ground overlaps a polygon."""
    limits = (
        plan.overlap_limits(p, body, plan.half_planes(p)) for p in plan.convex_pieces(corners)
    )
    spans = (plan.span(one, 0.0) for one in limits)
    return any(found is not None and found[0] < 0.0 < found[1] for found in spans)


def _names(things):
    return ", ".join(dict.fromkeys(things))


def _chassis_words(pen, found, spot):
    return _names(n for n, corners, _ in _standing(found.scene) if _met(spot.chassis, corners))


def _pad_words(pen, found, spot):
    return _names(
        name
        for name, corners, _ in _standing(found.scene)
        if any(_met(pad, corners) for pad in spot.pads)
    )


def _bad_ground_words(pen, found, spot):
    return _names(
        g.what
        for g in found.scene.ground
        if g.kind != "paved" and any(_met(pad, g.corners) for pad in spot.pads)
    )


def _hollow_words(pen, found, spot):
    ground = found.scene.ground
    return _names(g.what for g in ground if g.kind == "hollow" and _met(spot.chassis, g.corners))


def _ladder_words(pen, found, spot):
    start = (spot.x_ft, spot.y_ft, found.problem.rig.root_height_ft)
    end = (spot.here.tip_x, spot.here.tip_y, found.problem.aim.tip_height_ft)
    return _names(
        name
        for name, corners, top in _standing(found.scene)
        for piece in plan.convex_pieces(corners)
        if plan.passes_under_top(start, end, plan.half_planes(piece), top)
    )


def _side_words(pen, found, spot):
    return "over front or rear, in line with the chassis, where it can be had"


_MORE = {
    core.CHASSIS_HITS: _chassis_words,
    core.PAD_HITS: _pad_words,
    core.PAD_SOFT: _bad_ground_words,
    core.CHASSIS_HOLLOW: _hollow_words,
    core.LADDER_BLOCKED: _ladder_words,
    core.TURNTABLE_IN_ZONE: _in_zone,
    core.TIP_IN_ZONE: _tip_zone,
    core.TOO_CLOSE: _reach_words,
    core.TOO_FAR: _reach_words,
    core.TOO_LOW: _reach_words,
    core.TOO_HIGH: _reach_words,
    core.NOZZLE_TRAVEL: _travel_words,
    core.NOT_STEEP: _steep_words,
    core.LINE_NEAR: _line_words,
    core.LINE_UNKNOWN: _line_words,
    core.OBLIQUE: _oblique_words,
    core.TOO_OBLIQUE: _oblique_words,
    core.LAY_TOO_LONG: _lay_words,
    core.SLOPE_BEYOND: _slope_words,
    core.SLOPE_NO_LIMIT: _slope_words,
    core.LOW_AND_LONG: _low_words,
    core.OVER_SIDE: _side_words,
}
