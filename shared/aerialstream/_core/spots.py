"""Is a rig at this place and heading any good for this target? Plain numbers: feet, degrees.

Bearings are clockwise from the plan's up. A place is where the turntable's centre stands. Every
finding is one bit of a code, so that many places can be judged as arrays (`spots_arrays.py`, the
same equations). Bits below `PLACE_BITS_FROM` depend on the heading, the others do not.
"""

from math import acos, atan2, ceil, cos, degrees, floor, hypot, nan, radians, sin, sqrt, tan
from typing import NamedTuple

from aerialstream._core import plan_geometry as plan
from aerialstream._core.aerials import elevation_and_extension

OFF_STREET = 1 << 0
CHASSIS_HITS = 1 << 1
RIG_IN_ZONE = 1 << 2
PAD_HITS = 1 << 3
PAD_SOFT = 1 << 4
PAD_UNKNOWN = 1 << 5
CHASSIS_HOLLOW = 1 << 6
OVER_SIDE = 1 << 7
ACROSS_SLOPE = 1 << 8
PLACE_BITS_FROM = 1 << 9
FACES_AWAY = 1 << 9
TOO_CLOSE = 1 << 10
TOO_FAR = 1 << 11
TOO_LOW = 1 << 12
TOO_HIGH = 1 << 13
NOZZLE_TRAVEL = 1 << 14
NOT_STEEP = 1 << 15
LADDER_BLOCKED = 1 << 16
LINE_NEAR = 1 << 17
LINE_UNKNOWN = 1 << 18
TIP_IN_ZONE = 1 << 19
TURNTABLE_IN_ZONE = 1 << 20
SLOPE_BEYOND = 1 << 21
SLOPE_NO_LIMIT = 1 << 22
OBLIQUE = 1 << 23
LOW_AND_LONG = 1 << 24
LAY_TOO_LONG = 1 << 25
TOO_OBLIQUE = 1 << 26
ALL_BITS = (1 << 27) - 1

NOT_REACHED = FACES_AWAY | TOO_CLOSE | TOO_FAR | TOO_LOW | TOO_HIGH
COSTS = (
    PAD_UNKNOWN | CHASSIS_HOLLOW | OVER_SIDE | ACROSS_SLOPE | SLOPE_NO_LIMIT
    | OBLIQUE | LOW_AND_LONG | LAY_TOO_LONG
)  # fmt: skip

OVER_END = cos(radians(45))  # nearer to nose or tail than to a side
_EDGE = 1e-6  # ft or deg: a limit met exactly is met
FEASIBLE, WITH_COST, NOT = 0, 1, 2


class Rig(NamedTuple):
    """One device. reach_height and reach_heel already hold a platform's up and ahead.

    chassis: corners around the turntable's centre (x right, y toward the cab), () where nobody
    entered it; pads: centres of the pads; pad: corners of one pad around its centre.
    """

    root_height_ft: float
    reach_height_ft: float
    reach_heel_ft: float
    least_ft: float
    most_ft: float
    lowest_deg: float
    highest_deg: float
    nozzle_up_deg: float
    nozzle_down_deg: float
    levels: bool
    chassis: tuple
    pads: tuple
    pad: tuple


class Aim(NamedTuple):
    """The target and where the tip is to stand for it.

    (x, y) and height_ft are its middle; (out_x, out_y) is the way its wall faces, (0, 0) for a
    roof. standoff_ft is square from the wall to the tip, for a roof level from the middle.
    rise_deg is what the stream has to rise under the head, None where nothing is asked.
    (left_x, left_y) is the left end of the wall, face_ft its length, 0 for a roof.
    """

    x: float
    y: float
    height_ft: float
    head_ft: float
    out_x: float
    out_y: float
    standoff_ft: float
    tip_height_ft: float
    rise_deg: float | None
    left_x: float
    left_y: float
    face_ft: float


class Wire(NamedTuple):
    """One straight piece of an overhead line and the distance to be kept from it."""

    start: tuple
    end: tuple
    clearance_ft: float
    voltage_known: bool


class Block(NamedTuple):
    """A convex piece of something that stands on the ground."""

    corners: tuple
    halves: tuple
    top_ft: float
    box: tuple


class Patch(NamedTuple):
    """A convex piece of ground; uphill () where nobody said which way it rises."""

    corners: tuple
    halves: tuple
    uphill: tuple = ()


class Problem(NamedTuple):
    """Everything that places are judged by."""

    rig: Rig
    aim: Aim
    building: tuple
    zone_ft: float
    zone: tuple
    blocks: tuple
    wires: tuple
    hydrants: tuple
    lay_factor: float
    hose_ft: float | None
    off_hard: tuple
    soft: tuple
    hollow: tuple
    slope_beyond: tuple
    slope_no_limit: tuple
    sloping: tuple
    oblique_deg: float
    too_oblique_deg: float
    low_deg: float
    long_share: float
    costs: int


class Found(NamedTuple):
    """What a place gives. Not a number where there is nothing to give."""

    extension_ft: float
    elevation_deg: float
    obliquity_deg: float
    swept_share: float
    lay_ft: float
    toward_x: float
    toward_y: float
    tip_x: float
    tip_y: float


class Grid(NamedTuple):
    """Places in rows from (x0, y0), all one cell apart."""

    x0_ft: float
    y0_ft: float
    cell_ft: float
    columns: int
    rows: int


class Judged(NamedTuple):
    """Codes of every heading and place (heading by heading, row by row), and the best heading.

    best: number of the best heading of each place; score: the lower the better, in millionths.
    """

    codes: object
    best: object
    score: object
    found: tuple


def block(corners, top_ft):
    """A Block from a convex polygon."""
    return Block(tuple(corners), plan.half_planes(corners), top_ft, plan.box(corners))


def patch(corners, uphill=()):
    """A Patch from a convex polygon."""
    return Patch(tuple(corners), plan.half_planes(corners), uphill)


def tip_and_reach(aim, x_ft, y_ft):
    """(bits, away, square, run, tip x, tip y, way x, way y) of a place.

    away is the level distance to the target, square the distance from its wall, run the level
    distance that the stream has from the tip.
    """
    to_x, to_y = aim.x - x_ft, aim.y - y_ft
    away = hypot(to_x, to_y)
    if away < _EDGE:
        return FACES_AWAY, away, 0.0, nan, nan, nan, 0.0, 0.0
    way_x, way_y = to_x / away, to_y / away
    square, run, bits = away, aim.standoff_ft, 0
    if aim.face_ft:
        square = -(to_x * aim.out_x + to_y * aim.out_y)
        if square < _EDGE:
            return FACES_AWAY, away, square, nan, nan, nan, way_x, way_y
        run = aim.standoff_ft * away / square
    if away - run < _EDGE:
        bits = TOO_CLOSE
    return bits, away, square, run, aim.x - way_x * run, aim.y - way_y * run, way_x, way_y


def reach_bits(rig, extension_ft, elevation_deg):
    """Which range of the device a tip's place lies outside of."""
    bits = 0
    if extension_ft > rig.most_ft + _EDGE:
        bits |= TOO_FAR
    if extension_ft < rig.least_ft - _EDGE:
        bits |= TOO_CLOSE
    if elevation_deg < rig.lowest_deg - _EDGE:
        bits |= TOO_LOW
    if elevation_deg > rig.highest_deg + _EDGE:
        bits |= TOO_HIGH
    return bits


def stream_pitch_deg(aim, run_ft):
    """World pitch that the stream needs: the rise that is asked, else straight at the middle."""
    if aim.rise_deg is not None:
        return aim.rise_deg
    return degrees(atan2(aim.height_ft - aim.tip_height_ft, run_ft))


def stream_bits(problem, elevation_deg, run_ft):
    """What the nozzle's travel and the opening's head say to the stream."""
    rig, aim = problem.rig, problem.aim
    pitch = stream_pitch_deg(aim, run_ft) - (0.0 if rig.levels else elevation_deg)
    bits = 0
    if not -rig.nozzle_down_deg - _EDGE <= pitch <= rig.nozzle_up_deg + _EDGE:
        bits = NOZZLE_TRAVEL
    if aim.rise_deg is not None:
        under_head = degrees(atan2(aim.head_ft - aim.tip_height_ft, run_ft))
        if under_head < aim.rise_deg - _EDGE:
            bits |= NOT_STEEP
    return bits


def level_reaches_ft(rig, height_ft):
    """(nearest, farthest) level distance from the turntable at which the tip can be this high.

    Both minus one where it cannot be at all.
    """
    rise = height_ft - rig.reach_height_ft
    if abs(rise) > rig.most_ft:
        return -1.0, -1.0
    farthest = sqrt(rig.most_ft**2 - rise**2)
    nearest = sqrt(max(0.0, rig.least_ft**2 - rise**2))
    steepest = rig.highest_deg if rise > 0 else -rig.lowest_deg
    if rise:
        if steepest <= 0:
            return -1.0, -1.0
        if steepest < 90:
            nearest = max(nearest, abs(rise) / tan(radians(steepest)))
    if nearest > farthest:
        return -1.0, -1.0
    return rig.reach_heel_ft + nearest, rig.reach_heel_ft + farthest


def swept_share(aim, reaches, square_ft, along_ft):
    """Share of the wall along which the tip can be carried at its height and standoff.

    Half-width each way from square: √(level reach² - distance²); the middle that the tip comes
    too near for is taken off. along_ft is the place, along the wall from its left end.
    """
    away = square_ft - aim.standoff_ft
    near, far = reaches
    if far < 0 or far <= away or away <= 0:
        return 0.0
    outer = sqrt(far * far - away * away)
    inner = sqrt(near * near - away * away) if near > away else 0.0
    swept = _within(along_ft, outer, aim.face_ft) - _within(along_ft, inner, aim.face_ft)
    return swept / aim.face_ft


def _within(middle, half, length):
    return max(0.0, min(length, middle + half) - max(0.0, middle - half))


def judge_place(problem, reaches, x_ft, y_ft):
    """(bits, Found) of a place, whatever its heading."""
    rig, aim = problem.rig, problem.aim
    bits, away, square, run, tip_x, tip_y, way_x, way_y = tip_and_reach(aim, x_ft, y_ft)
    extension = elevation = nan
    obliquity = swept = nan
    if aim.face_ft:
        swept = 0.0
        if not bits & FACES_AWAY:
            obliquity = degrees(acos(min(1.0, square / away)))
            along = (x_ft - aim.left_x) * -aim.out_y + (y_ft - aim.left_y) * aim.out_x
            swept = swept_share(aim, reaches, square, along)
            if obliquity > problem.too_oblique_deg + _EDGE:
                bits |= TOO_OBLIQUE
            elif obliquity > problem.oblique_deg + _EDGE:
                bits |= OBLIQUE
    if not bits & NOT_REACHED:
        extension, elevation = elevation_and_extension(
            rig.reach_height_ft, rig.reach_heel_ft, away - run, aim.tip_height_ft
        )
        bits |= reach_bits(rig, extension, elevation)
    if not bits & NOT_REACHED:
        bits |= stream_bits(problem, elevation, run)
        bits |= _ladder_bits(problem, x_ft, y_ft, tip_x, tip_y)
        if elevation < problem.low_deg and extension > problem.long_share * rig.most_ft:
            bits |= LOW_AND_LONG
    if problem.zone_ft and (
        plan.distance_to_polygon_ft(x_ft, y_ft, problem.building) < problem.zone_ft - _EDGE
    ):
        bits |= TURNTABLE_IN_ZONE
    lay = nan
    if problem.hydrants:
        straight = min(hypot(x_ft - hx, y_ft - hy) for hx, hy in problem.hydrants)
        lay = straight * problem.lay_factor
        if problem.hose_ft is not None and lay > problem.hose_ft + _EDGE:
            bits |= LAY_TOO_LONG
    return bits, Found(extension, elevation, obliquity, swept, lay, way_x, way_y, tip_x, tip_y)


def _ladder_bits(problem, x_ft, y_ft, tip_x, tip_y):
    """What the ladder and its tip come too near to."""
    bits = 0
    start = (x_ft, y_ft, problem.rig.root_height_ft)
    end = (tip_x, tip_y, problem.aim.tip_height_ft)
    least_x, most_x = min(x_ft, tip_x), max(x_ft, tip_x)
    least_y, most_y = min(y_ft, tip_y), max(y_ft, tip_y)
    for one in problem.blocks:
        low_x, low_y, high_x, high_y = one.box
        if high_x < least_x or low_x > most_x or high_y < least_y or low_y > most_y:
            continue
        if plan.passes_under_top(start, end, one.halves, one.top_ft):
            bits |= LADDER_BLOCKED
            break
    for wire in problem.wires:
        if plan.segment_distance_ft(start, end, wire.start, wire.end) < wire.clearance_ft - _EDGE:
            bits |= LINE_NEAR if wire.voltage_known else LINE_UNKNOWN
    if problem.zone_ft and (
        plan.distance_to_polygon_ft(tip_x, tip_y, problem.building) < problem.zone_ft - _EDGE
    ):
        bits |= TIP_IN_ZONE
    return bits


def heading_vector(heading_deg):
    """(x, y) of a heading; rounded, so that opposite headings are exact opposites."""
    x, y = plan.unit_vector(heading_deg)
    return round(x, 12), round(y, 12)


def _turned(body, heading_deg):
    return plan.placed(body, 0.0, 0.0, heading_deg)


def layers(problem, heading_deg):
    """(bit, limits) pairs: where on the plan a rig with this heading has each finding."""
    rig = problem.rig
    found = []
    if rig.chassis:
        body = _turned(rig.chassis, heading_deg)

        def chassis_on(pieces):
            return [plan.overlap_limits(p.corners, body, p.halves) for p in pieces]

        found += [
            (OFF_STREET, chassis_on(problem.off_hard)),
            (CHASSIS_HITS, chassis_on(problem.blocks)),
            (RIG_IN_ZONE, chassis_on(problem.zone)),
            (CHASSIS_HOLLOW, chassis_on(problem.hollow)),
        ]
    if rig.pads:
        pad = _turned(rig.pad, heading_deg)
        centres = _turned(rig.pads, heading_deg)

        def pads_on(pieces):
            one = [plan.overlap_limits(p.corners, pad, p.halves) for p in pieces]
            return [plan.shifted(limits, x, y) for limits in one for x, y in centres]

        found += [
            (PAD_HITS, pads_on(problem.blocks)),
            (PAD_SOFT, pads_on((*problem.soft, *problem.hollow))),
            (PAD_UNKNOWN, pads_on(problem.off_hard)),
        ]
    found.append((ACROSS_SLOPE, _across(problem, heading_deg)))
    return [(bit, limits) for bit, limits in found if limits]


def _across(problem, heading_deg):
    head_x, head_y = heading_vector(heading_deg)
    return [
        plan.overlap_limits(p.corners, ((0.0, 0.0),), p.halves)
        for p in problem.sloping
        if abs(p.uphill[0] * head_x + p.uphill[1] * head_y) < OVER_END
    ]


def slope_layers(problem):
    """(bit, limits) pairs that hold for every heading: the slope under the turntable."""

    def at_point(pieces):
        return [plan.overlap_limits(p.corners, ((0.0, 0.0),), p.halves) for p in pieces]

    found = (
        (SLOPE_BEYOND, at_point(problem.slope_beyond)),
        (SLOPE_NO_LIMIT, at_point(problem.slope_no_limit)),
    )
    return [(bit, limits) for bit, limits in found if limits]


def verdict(code, costs):
    """FEASIBLE, WITH_COST or NOT for a code."""
    if code & ~costs:
        return NOT
    return WITH_COST if code else FEASIBLE


def weight(code, costs):
    """A hundred for everything that is wrong, one for everything that costs."""
    return 100 * (code & ~costs).bit_count() + (code & costs).bit_count()


def place_score(problem, code, extension_ft):
    """The part of a score that no heading changes: findings, then a short ladder."""
    share = extension_ft / problem.rig.most_ft if not code & NOT_REACHED else 1.0
    return weight(code, problem.costs) + 0.5 * share


def judge(problem, grid, headings_deg):
    """Judge every place of a grid with every heading, without numpy."""
    reaches = level_reaches_ft(problem.rig, problem.aim.tip_height_ft)
    codes, found, base = [], [], []
    for row in range(grid.rows):
        y = grid.y0_ft + row * grid.cell_ft
        for column in range(grid.columns):
            bits, place = judge_place(problem, reaches, grid.x0_ft + column * grid.cell_ft, y)
            codes.append(bits)
            found.append(place)
    for bit, limits in slope_layers(problem):
        for n, on in enumerate(plan.covered(limits, *grid)):
            if on:
                codes[n] |= bit
    base = [place_score(problem, c, f.extension_ft) for c, f in zip(codes, found, strict=True)]
    ways = [(f.toward_x, f.toward_y) for f in found]
    return _with_headings(problem, grid, headings_deg, codes, base, ways, found)


def _with_headings(problem, grid, headings_deg, codes, base, ways, found):
    all_codes, places = [], grid.columns * grid.rows
    best, score = [0] * places, [1 << 60] * places
    weights = [weight(code, problem.costs) for code in range(PLACE_BITS_FROM)]
    for number, heading in enumerate(headings_deg):
        heading_codes = [0] * places
        for bit, limits in layers(problem, heading):
            mask = plan.covered(limits, *grid)
            at = mask.find(1)
            while at >= 0:
                heading_codes[at] |= bit
                at = mask.find(1, at + 1)
        head_x, head_y = heading_vector(heading)
        for n, (way_x, way_y) in enumerate(ways):
            in_line = abs(way_x * head_x + way_y * head_y)
            code = heading_codes[n]
            if in_line < OVER_END - 1e-9:
                code |= OVER_SIDE
            here = floor((base[n] + weights[code] + 0.25 * (1 - in_line)) * 1e6 + 0.5)
            if here < score[n]:
                best[n], score[n] = number, here
            heading_codes[n] = code | codes[n]
        all_codes += heading_codes
    return Judged(all_codes, best, score, tuple(zip(*found, strict=True)))


def spread_out(score, usable, grid, count, apart_ft):
    """Numbers of the best usable places, no two nearer to each other than apart_ft."""
    chosen = []
    for place in sorted((n for n, on in enumerate(usable) if on), key=lambda n: score[n]):
        row, column = divmod(place, grid.columns)
        if all(hypot(row - r, column - c) * grid.cell_ft >= apart_ft - _EDGE for r, c in chosen):
            chosen.append((row, column))
            if len(chosen) == count:
                break
    return [row * grid.columns + column for row, column in chosen]


def grid_over(box, cell_ft):
    """A grid of whole cells over a box, its first place half a cell in."""
    least_x, least_y, most_x, most_y = box
    columns = max(1, ceil((most_x - least_x) / cell_ft - _EDGE))
    rows = max(1, ceil((most_y - least_y) / cell_ft - _EDGE))
    return Grid(least_x + cell_ft / 2, least_y + cell_ft / 2, cell_ft, columns, rows)


def steepest_standoff_ft(head_ft, tip_height_ft, rise_deg):
    """How far in front of an opening a tip may stand for a stream that rises so much under its
    head; 0 where the tip is not below the head."""
    return max(0.0, head_ft - tip_height_ft) / (sin(radians(rise_deg)) / cos(radians(rise_deg)))
