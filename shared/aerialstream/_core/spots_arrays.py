"""Many places judged at once, as numpy arrays: the same equations as `_core.spots`.

numpy is imported only here.
"""

import numpy as np

from aerialstream._core import plan_geometry as plan
from aerialstream._core import spots as one

_EDGE = 1e-6


def covered(all_limits, x0_ft, y0_ft, cell_ft, columns, rows):
    """True for each place of a grid (rows, columns) where any of the limits is met."""
    a, b, c = _padded([limits.halves for limits in all_limits])
    y = y0_ft + np.arange(rows) * cell_ft
    rest = c[:, :, None] - b[:, :, None] * y
    level = np.abs(a) <= 1e-12
    with np.errstate(divide="ignore", invalid="ignore"):
        x = rest / a[:, :, None]
    high = np.where((a > 1e-12)[:, :, None], x, np.inf).min(axis=1)
    low = np.where((a < -1e-12)[:, :, None], x, -np.inf).max(axis=1)
    met = (low < high) & ~(level[:, :, None] & (rest <= 0)).any(axis=1)
    piece, row = np.nonzero(met)
    low, high = low[piece, row], high[piece, row]
    first = np.clip(np.floor((low - x0_ft) / cell_ft) + 1, 0, columns).astype(np.int64)
    last = np.clip(np.ceil((high - x0_ft) / cell_ft), 0, columns).astype(np.int64)
    some = first < last
    base = row[some] * (columns + 1)
    size = rows * (columns + 1)
    steps = np.bincount(base + first[some], minlength=size)
    steps -= np.bincount(base + last[some], minlength=size)
    return steps.reshape(rows, columns + 1).cumsum(axis=1)[:, :columns] > 0


def _padded(many):
    """a, b, c of all pieces as arrays; short pieces filled up with limits always met."""
    most = max(len(halves) for halves in many)
    always = (0.0, 0.0, 1.0)
    table = np.array([(*halves, *(always,) * (most - len(halves))) for halves in many])
    return table[:, :, 0], table[:, :, 1], table[:, :, 2]


def _distance_to_polygon(x, y, corners):
    inside = np.zeros(x.shape, bool)
    nearest = np.full(x.shape, np.inf)
    for (x0, y0), (x1, y1) in plan.edges(corners):
        if y0 != y1:
            crossing = ((y0 > y) != (y1 > y)) & (x < x0 + (y - y0) / (y1 - y0) * (x1 - x0))
            inside ^= crossing
        along_x, along_y = x1 - x0, y1 - y0
        to_x, to_y = x - x0, y - y0
        share = (to_x * along_x + to_y * along_y) / (along_x * along_x + along_y * along_y)
        share = np.clip(share, 0.0, 1.0)
        nearest = np.minimum(nearest, np.hypot(to_x - share * along_x, to_y - share * along_y))
    return np.where(inside, 0.0, nearest)


def _segment_distance(x, y, z, tip_x, tip_y, tip_z, start, end):
    """Shortest distance of each ladder from one straight piece of a line."""
    ux, uy, uz = tip_x - x, tip_y - y, tip_z - z
    vx, vy, vz = (end[n] - start[n] for n in range(3))
    rx, ry, rz = x - start[0], y - start[1], z - start[2]
    a, e = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz
    b, c = ux * vx + uy * vy + uz * vz, ux * rx + uy * ry + uz * rz
    f = vx * rx + vy * ry + vz * rz
    flat = a * e - b * b
    s = np.where(flat > 1e-9 * a * e, np.clip((b * f - c * e) / flat, 0.0, 1.0), 0.0)
    t = (b * s + f) / e
    s = np.where(t < 0, np.clip(-c / a, 0.0, 1.0), s)
    s = np.where(t > 1, np.clip((b - c) / a, 0.0, 1.0), s)
    t = np.clip(t, 0.0, 1.0)
    dx, dy, dz = rx + s * ux - t * vx, ry + s * uy - t * vy, rz + s * uz - t * vz
    return np.sqrt(dx * dx + dy * dy + dz * dz)


def _passes_under_top(x, y, z, tip_x, tip_y, tip_z, halves, top_ft):
    vx, vy = tip_x - x, tip_y - y
    enters, leaves = np.zeros(x.shape), np.ones(x.shape)
    beside = np.zeros(x.shape, bool)
    for a, b, c in halves:
        away, room = a * vx + b * vy, c - a * x - b * y
        share = room / away
        leaves = np.where(away > 1e-12, np.minimum(leaves, share), leaves)
        enters = np.where(away < -1e-12, np.maximum(enters, share), enters)
        beside |= (np.abs(away) <= 1e-12) & (room <= plan.TOUCH_FT)
    climb = tip_z - z
    lowest = z + climb * (leaves if climb < 0 else enters)
    return ~beside & (leaves - enters > 1e-9) & (lowest < top_ft - plan.TOUCH_FT)


def _ladders(problem, x, y, tip_x, tip_y):
    """What the ladders of these places come too near to (places that reach only)."""
    root, tip_z = problem.rig.root_height_ft, problem.aim.tip_height_ft
    bits = np.zeros(x.shape, np.uint32)
    least_x, most_x = np.minimum(x, tip_x).min(initial=np.inf), np.maximum(x, tip_x).max(initial=-np.inf)  # fmt: skip
    least_y, most_y = np.minimum(y, tip_y).min(initial=np.inf), np.maximum(y, tip_y).max(initial=-np.inf)  # fmt: skip
    for block in problem.blocks:
        low_x, low_y, high_x, high_y = block.box
        if high_x < least_x or low_x > most_x or high_y < least_y or low_y > most_y:
            continue
        hit = _passes_under_top(x, y, root, tip_x, tip_y, tip_z, block.halves, block.top_ft)
        bits[hit] |= one.LADDER_BLOCKED
    for wire in problem.wires:
        near = (
            _segment_distance(x, y, root, tip_x, tip_y, tip_z, wire.start, wire.end)
            < wire.clearance_ft - _EDGE
        )
        bits[near] |= one.LINE_NEAR if wire.voltage_known else one.LINE_UNKNOWN
    if problem.zone_ft:
        near = _distance_to_polygon(tip_x, tip_y, problem.building) < problem.zone_ft - _EDGE
        bits[near] |= one.TIP_IN_ZONE
    return bits


def _streams(problem, elevation, run):
    rig, aim = problem.rig, problem.aim
    if aim.rise_deg is not None:
        pitch = np.full(run.shape, aim.rise_deg)
    else:
        pitch = np.degrees(np.arctan2(aim.height_ft - aim.tip_height_ft, run))
    pitch = pitch - (0.0 if rig.levels else elevation)
    bits = np.zeros(run.shape, np.uint32)
    bits[(pitch < -rig.nozzle_down_deg - _EDGE) | (pitch > rig.nozzle_up_deg + _EDGE)] |= (
        one.NOZZLE_TRAVEL
    )
    if aim.rise_deg is not None:
        under_head = np.degrees(np.arctan2(aim.head_ft - aim.tip_height_ft, run))
        bits[under_head < aim.rise_deg - _EDGE] |= one.NOT_STEEP
    return bits


def _swept(aim, reaches, square, along):
    away = square - aim.standoff_ft
    near, far = reaches
    none = (far < 0) | (far <= away) | (away <= 0)
    outer = np.sqrt(np.maximum(far * far - away * away, 0.0))
    inner = np.where(near > away, np.sqrt(np.maximum(near * near - away * away, 0.0)), 0.0)
    swept = _within(along, outer, aim.face_ft) - _within(along, inner, aim.face_ft)
    return np.where(none, 0.0, swept / aim.face_ft)


def _within(middle, half, length):
    return np.maximum(0.0, np.minimum(length, middle + half) - np.maximum(0.0, middle - half))


def _reach(problem, x, y, bits):
    """Reach of every place: adds to bits, gives (extension, elevation, run, tip, way, square)."""
    rig, aim = problem.rig, problem.aim
    to_x, to_y = aim.x - x, aim.y - y
    away = np.hypot(to_x, to_y)
    here = away < _EDGE
    way_x, way_y = np.where(here, 0.0, to_x / away), np.where(here, 0.0, to_y / away)
    square, run = away, np.full(x.shape, aim.standoff_ft)
    if aim.face_ft:
        square = -(to_x * aim.out_x + to_y * aim.out_y)
        here = here | (square < _EDGE)
        run = aim.standoff_ft * away / square
    run = np.where(here, np.nan, run)
    bits[here] |= one.FACES_AWAY
    bits[~here & (away - run < _EDGE)] |= one.TOO_CLOSE
    tried = (bits & one.NOT_REACHED) == 0
    ahead, above = away - run - rig.reach_heel_ft, aim.tip_height_ft - rig.reach_height_ft
    extension = np.where(tried, np.hypot(ahead, above), np.nan)
    elevation = np.where(tried, np.degrees(np.arctan2(above, ahead)), np.nan)
    bits[tried & (extension > rig.most_ft + _EDGE)] |= one.TOO_FAR
    bits[tried & (extension < rig.least_ft - _EDGE)] |= one.TOO_CLOSE
    bits[tried & (elevation < rig.lowest_deg - _EDGE)] |= one.TOO_LOW
    bits[tried & (elevation > rig.highest_deg + _EDGE)] |= one.TOO_HIGH
    tip = aim.x - way_x * run, aim.y - way_y * run
    return extension, elevation, run, tip, (way_x, way_y), square, away


def _faces(problem, x, y, bits, square, away):
    """Obliquity and swept share; adds OBLIQUE or TOO_OBLIQUE to bits."""
    aim = problem.aim
    if not aim.face_ft:
        return np.full(x.shape, np.nan), np.full(x.shape, np.nan)
    behind = (bits & one.FACES_AWAY) != 0
    obliquity = np.degrees(np.arccos(np.clip(square / away, -1.0, 1.0)))
    along = (x - aim.left_x) * -aim.out_y + (y - aim.left_y) * aim.out_x
    reaches = one.level_reaches_ft(problem.rig, aim.tip_height_ft)
    swept = np.where(behind, 0.0, _swept(aim, reaches, square, along))
    obliquity = np.where(behind, np.nan, obliquity)
    beyond = obliquity > problem.too_oblique_deg + _EDGE
    bits[beyond] |= one.TOO_OBLIQUE
    bits[~beyond & (obliquity > problem.oblique_deg + _EDGE)] |= one.OBLIQUE
    return obliquity, swept


def _places(problem, grid):
    """Bits and findings of every place, whatever its heading."""
    y, x = np.meshgrid(
        grid.y0_ft + np.arange(grid.rows) * grid.cell_ft,
        grid.x0_ft + np.arange(grid.columns) * grid.cell_ft,
        indexing="ij",
    )
    bits = np.zeros(x.shape, np.uint32)
    extension, elevation, run, tip, way, square, away = _reach(problem, x, y, bits)
    obliquity, swept = _faces(problem, x, y, bits, square, away)
    there = (bits & one.NOT_REACHED) == 0
    more = _streams(problem, elevation[there], run[there])
    more |= _ladders(problem, x[there], y[there], tip[0][there], tip[1][there])
    bits[there] |= more
    low_and_long = (elevation < problem.low_deg) & (
        extension > problem.long_share * problem.rig.most_ft
    )
    bits[there & low_and_long] |= one.LOW_AND_LONG
    if problem.zone_ft:
        near = _distance_to_polygon(x, y, problem.building) < problem.zone_ft - _EDGE
        bits[near] |= one.TURNTABLE_IN_ZONE
    lay = np.full(x.shape, np.nan)
    if problem.hydrants:
        straight = [np.hypot(x - hx, y - hy) for hx, hy in problem.hydrants]
        lay = np.minimum.reduce(straight) * problem.lay_factor
        if problem.hose_ft is not None:
            bits[lay > problem.hose_ft + _EDGE] |= one.LAY_TOO_LONG
    for bit, limits in one.slope_layers(problem):
        bits[covered(limits, *grid)] |= bit
    found = (extension, elevation, obliquity, swept, lay, *way, *tip)
    return bits, found


def _counts(values, costs):
    """weight() of many codes, from a table of halves."""
    table = np.array([bin(n).count("1") for n in range(1 << 14)], np.int16)
    wrong, cost = values & np.uint32(one.ALL_BITS & ~costs), values & np.uint32(costs)

    def ones(code):
        return table[code & 0x3FFF] + table[code >> 14]

    return 100 * ones(wrong) + ones(cost)


def judge(problem, grid, headings_deg):
    """Judge every place of a grid with every heading."""
    with np.errstate(divide="ignore", invalid="ignore"):
        place_bits, found = _places(problem, grid)
    reached = (place_bits & one.NOT_REACHED) == 0
    share = np.where(reached, found[0] / problem.rig.most_ft, 1.0)
    base = _counts(place_bits, problem.costs) + 0.5 * share
    weights = np.array(
        [one.weight(code, problem.costs) for code in range(one.PLACE_BITS_FROM)], float
    )
    codes = np.empty((len(headings_deg), grid.rows, grid.columns), np.uint32)
    best = np.zeros(base.shape, np.int64)
    score = np.full(base.shape, 1 << 60, np.int64)
    for number, heading in enumerate(headings_deg):
        head_x, head_y = one.heading_vector(heading)
        in_line = np.abs(found[5] * head_x + found[6] * head_y)
        bits = np.where(in_line < one.OVER_END - 1e-9, np.uint16(one.OVER_SIDE), np.uint16(0))
        for bit, limits in one.layers(problem, heading):
            bits |= covered(limits, *grid) * np.uint16(bit)
        here = np.floor((base + weights[bits] + 0.25 * (1 - in_line)) * 1e6 + 0.5).astype(np.int64)
        better = here < score
        best[better] = number
        np.minimum(score, here, out=score)
        np.bitwise_or(place_bits, bits, out=codes[number])
    return one.Judged(codes, best, score, found)


def spread_out(score, usable, grid, count, apart_ft):
    """Numbers of the best usable places, no two nearer to each other than apart_ft."""
    left = np.where(usable.reshape(score.shape), score, 1 << 60)
    row, column = np.ogrid[: grid.rows, : grid.columns]
    chosen = []
    for _ in range(count):
        place = int(left.argmin())
        r, c = divmod(place, grid.columns)
        if left[r, c] >= 1 << 60:
            break
        chosen.append(place)
        left[np.hypot(row - r, column - c) * grid.cell_ft < apart_ft - _EDGE] = 1 << 60
    return chosen
