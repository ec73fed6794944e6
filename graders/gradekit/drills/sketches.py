"""Plan and side sketch of a planned drill, to scale, for the card: few words, large, no colour needed.

Drawn so that a pixel is a point on paper: sizes of letters are what they are on the card.
"""

import itertools
from math import cos, hypot, radians, sin

from aerialstream.aerials import plain_rig
from aerialstream.charts.labels import Labels
from aerialstream.charts.plan_frame import Frame, clipped, hatch, scale_bar
from aerialstream.charts.svg import Picture
from gradekit.drills.aiming import said_ft

WIDE, HIGH = 268, 190
SIZE = 12
MARGIN_FT = 9.0
FARTHEST_HYDRANT_FT = 70.0


def _whole(feet, system):
    from aerialstream import quantity, show

    unit = "meter" if system == "metric" else "foot"
    return show(quantity(round(quantity(feet, "foot").to(unit).magnitude), unit), system)


def plan_sketch(plan, system="US", high=HIGH):
    """The rig on its spot, seen from above, to scale: a Picture."""
    made, place = plan.made, plan.made.place
    picture = Picture(WIDE, high, _plan_words(plan, system))
    near = [h for h in plan.scene.hydrants if hypot(h.at[0] - place.x_ft, h.at[1] - place.y_ft)
            <= FARTHEST_HYDRANT_FT]  # fmt: skip
    points = [made.goal.target.at, made.tip[:2], (place.x_ft, place.y_ft), *place.chassis]
    points += [p for pad in place.pads for p in pad] + [h.at for h in near]
    points += _about_target(made.goal.target)
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    part = (min(xs) - MARGIN_FT, min(ys) - MARGIN_FT, max(xs) + MARGIN_FT, max(ys) + MARGIN_FT)
    box = (1, 1, WIDE - 1, high - 1)
    frame, labels = Frame(part, box), Labels(picture, (3, 3, WIDE - 3, high - 3))
    labels.block((6, high - 34, 96, high - 2))
    _ground(picture, labels, plan, frame, box)
    _rig(picture, labels, plan, frame, system)
    for hydrant in near:
        at = frame.px(hydrant.at)
        picture.circle(at, 6, "paper", "ink", 2)
        picture.text((at[0], at[1] + 4), "H", size=10, anchor="middle", bold=True)
        labels.block((at[0] - 7, at[1] - 7, at[0] + 7, at[1] + 7))
    _far_hydrant(picture, labels, plan, frame, near, system)
    _obstacle_labels(labels, plan, frame)
    taken = points + [p for o in plan.scene.obstacles for p in o.corners]
    _north(picture, labels, plan, [frame.px(p) for p in taken], high)
    scale_bar(picture, (10, high - 10), frame.scale, system, longest=80)
    _plan_labels(labels, plan, frame, system)
    picture.polygon([(1, 1), (WIDE - 1, 1), (WIDE - 1, high - 1), (1, high - 1)], "none", "ink", 1)
    return picture


def _plan_words(plan, system):
    made = plan.made
    return (
        f"Plan: {plan.apparatus.name} {_whole(made.out_ft, system)} before {made.goal.target.name}, "
        f"tip {_whole(made.standoff_ft, system)} off it."
    )


def _ground(picture, labels, plan, frame, box):
    for building in plan.scene.buildings:
        corners = frame.corners(building.corners)
        if corners:
            picture.strokes(hatch([corners], 7, 45), "steel", 0.8)
            picture.polygon(corners, "none", "ink", 2)
            labels.keep_off([*corners, corners[0]])
    for ground in plan.scene.ground:
        if ground.kind != "paved" and (corners := frame.corners(ground.corners)):
            picture.strokes(hatch([corners], 9, 0), "steel", 1.2)
            labels.put(ground.what, [(_mid(corners)[0], _mid(corners)[1], "middle")], size=SIZE)
    for obstacle in plan.scene.obstacles:
        if corners := frame.corners(obstacle.corners):
            picture.polygon(corners, "steel", "ink", 1.5, 0.5)
            labels.keep_off([*corners, corners[0]])
    for line in plan.scene.lines:
        ends = [frame.px(p) for p in line.points]
        for a, b in itertools.pairwise(ends):
            piece = frame_piece(a, b, box)
            if piece:
                picture.line(*piece, "ink", 2.5, "9 4 2 4")
                middle = ((piece[0][0] + piece[1][0]) / 2, (piece[0][1] + piece[1][1]) / 2)
                labels.put("WIRES", [(middle[0], middle[1] - 5, "middle")], size=SIZE, bold=True)


def _obstacle_labels(labels, plan, frame):
    """Names of what stands about; written after the rig, which would cover them."""
    for obstacle in plan.scene.obstacles:
        if corners := frame.corners(obstacle.corners):
            (x, y), low = _mid(corners), max(c[1] for c in corners)
            high = min(c[1] for c in corners)
            places = [(x, y + 4, "middle"), (x, low + 13, "middle"), (x, high - 5, "middle"),
                      (min(c[0] for c in corners) - 4, y + 4, "end"),
                      (max(c[0] for c in corners) + 4, y + 4, "start")]  # fmt: skip
            labels.put(obstacle.id, places, size=SIZE, point=(x, y))


def frame_piece(a, b, box):
    """The part of a piece on the page that lies in the box, or None."""
    from aerialstream.charts.plan_frame import clipped_line

    return clipped_line(a, b, box)


def _mid(corners):
    return (sum(c[0] for c in corners) / len(corners), sum(c[1] for c in corners) / len(corners))


def _rig(picture, labels, plan, frame, system):
    made, place = plan.made, plan.made.place
    if place.chassis:
        outline = [frame.px(p) for p in place.chassis]
        picture.polygon(outline, "paper", "ink", 2)
        labels.keep_off([*outline, outline[0], outline[2]])
        front = [frame.px(p) for p in _front(plan)]
        picture.polygon(front, "ink", "ink", 1)
    for pad in place.pads:
        picture.polygon([frame.px(p) for p in pad], "ink", "ink", 1)
        labels.keep_off([frame.px(pad[0])])
    turntable, tip, target = (
        frame.px(p) for p in ((place.x_ft, place.y_ft), made.tip[:2], made.goal.target.at)
    )
    picture.line(turntable, tip, "ink", 5)
    picture.line(turntable, tip, "paper", 2)
    dash = "" if plan.evolution.water == "stream" else "4 4"
    picture.arrow(tip, target, "ink", 2, dash, 9)
    picture.circle(turntable, 6, "paper", "ink", 2.5)
    labels.keep_off([turntable, tip, target])


def _front(plan):
    """The cab: the first 7 ft of the chassis, in the way of the heading."""
    place = plan.made.place
    way = radians(plan.scene.plan_bearing(place.heading_deg))
    ahead = (sin(way), cos(way))
    far = max(x * ahead[0] + y * ahead[1] for x, y in place.chassis)
    return clipped_half(place.chassis, ahead, far - 7.0)


def clipped_half(corners, way, least):
    """The part of a polygon at least so far along a way."""
    turned = [(x * way[0] + y * way[1], x * -way[1] + y * way[0]) for x, y in corners]
    kept = clipped(turned, (least, -1e6, 1e6, 1e6))
    return [(a * way[0] - b * way[1], a * way[1] + b * way[0]) for a, b in kept]


def _about_target(target):
    """Points a little to each side of the target and behind it, so that its wall can be seen."""
    if target.side is None:
        return []
    (nx, ny), (x, y) = target.side.normal, target.at
    return [(x + ny * by - nx * 9, y - nx * by - ny * 9) for by in (-12, 12)]


def _far_hydrant(picture, labels, plan, frame, near, system):
    """An arrow toward the nearest hydrant where it lies off the sketch."""
    place = plan.made.place
    if near or not plan.scene.hydrants:
        return
    ways = [(h.at[0] - place.x_ft, h.at[1] - place.y_ft) for h in plan.scene.hydrants]
    dx, dy = min(ways, key=lambda way: hypot(*way))
    far = hypot(dx, dy)
    x, y = frame.px((place.x_ft, place.y_ft))
    start = (x + 16 * dx / far, y - 16 * dy / far)
    end = (x + 46 * dx / far, y - 46 * dy / far)
    picture.arrow(start, end, "ink", 1.5, "2 3", 8)
    labels.keep_off([start, end])
    anchor = "start" if dx > 0 else "end"
    labels.put(f"hydrant {_whole(far, system)}", [(end[0], end[1] + 4, anchor), (end[0], end[1] + 16, "middle")],
               size=SIZE, point=end)  # fmt: skip


def _north(picture, labels, plan, points, high):
    """The north arrow, in the corner that is farthest from everything."""
    corners = [(WIDE - 22, 24), (28, 24), (WIDE - 22, high - 24)]
    centre = max(corners, key=lambda c: min(hypot(c[0] - x, c[1] - y) for x, y in points))
    way = radians(plan.scene.plan_bearing(0.0))
    dx, dy = 13 * sin(way), -13 * cos(way)
    picture.arrow(
        (centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy), "ink", 2, "", 8
    )
    picture.text((centre[0] - 8, centre[1] + 4), "N", size=SIZE, anchor="end", bold=True)
    labels.block((centre[0] - 24, centre[1] - 16, centre[0] + 16, centre[1] + 16))


def _plan_labels(labels, plan, frame, system):
    made, place, target = plan.made, plan.made.place, plan.made.goal.target
    x, y = frame.px((place.x_ft, place.y_ft))
    spots = [
        (x + 12, y - 8, "start"),
        (x - 12, y - 8, "end"),
        (x + 12, y + 18, "start"),
        (x - 12, y + 18, "end"),
    ]
    labels.put(plan.apparatus.name, spots, size=SIZE, bold=True, point=(x, y))
    tx, ty = frame.px(target.at)
    places = [(tx + dx, ty + dy, anchor) for dx, anchor in ((8, "start"), (-8, "end"), (22, "start"), (-22, "end"))
              for dy in (16, -8)]  # fmt: skip
    labels.put("Target", places, size=SIZE, bold=True, point=(tx, ty))
    mx, my = ((a + b) / 2 for a, b in zip(frame.px(made.tip[:2]), (x, y), strict=True))
    labels.put(
        _whole(made.extension_ft, system),
        [(mx + 8, my - 4, "start"), (mx - 8, my - 4, "end")],
        size=SIZE,
    )
    if target.side is not None:
        (nx, ny), (ax, ay) = target.side.normal, target.at
        px, py = frame.px((ax - nx * 5 + ny * 8, ay - ny * 5 - nx * 8))
        labels.put(
            f"side {target.side.letter}",
            [(px, py + 4, "middle"), (px, py - 8, "middle")],
            size=SIZE,
        )


def side_sketch(plan, system="US", high=HIGH, wide=WIDE):
    """Ladder, stream and building cut along the stream, to scale: a Picture."""
    made, target = plan.made, plan.made.goal.target
    picture = Picture(wide, high, _side_words(plan, system))
    far = hypot(made.out_ft, made.aside_ft)
    depth, floor, ceiling = _inside_of(plan)
    top = target.building.top_ft if target.side else max(target.height_ft, made.tip_height_ft)
    right = depth if target.side else 12.0
    part = (-far - 16, -7.0, right + 5, max(top, made.tip_height_ft) + 8)
    frame = Frame(part, (1, 1, wide - 1, high - 1))
    labels = Labels(picture, (3, 3, wide - 3, high - 3))
    picture.line(frame.px((part[0] - 999, 0)), frame.px((part[2] + 999, 0)), "ink", 2)
    if target.side is not None:
        _section(picture, plan, frame, depth, floor, ceiling)
    else:
        picture.line(
            frame.px((-6, target.height_ft)), frame.px((6, target.height_ft)), "ink", 3, "3 3"
        )
    _side_rig(picture, labels, plan, frame, far)
    _side_stream(picture, labels, plan, frame, far)
    scale_bar(picture, (10, high - 10), frame.scale, system, longest=80)
    labels.block((6, high - 34, 96, high - 2))
    _side_labels(labels, plan, frame, far, system, wide)
    picture.polygon([(1, 1), (wide - 1, 1), (wide - 1, high - 1), (1, high - 1)], "none", "ink", 1)
    return picture


def _side_words(plan, system):
    made = plan.made
    return (
        f"Side view: ladder {said_ft(made.extension_ft, system)} at {made.elevation_deg:.1f} deg, tip "
        f"{said_ft(made.tip_height_ft, system)} up and {said_ft(made.standoff_ft, system)} before the target."
    )


def _inside_of(plan):
    """(how deep the cut is drawn, floor, ceiling or None) in ft, behind the target."""
    goal = plan.made.goal
    if goal.room is None:
        return 12.0, goal.target.sill_ft if goal.target.side else 0.0, None
    view = goal.view
    depth = goal.room.depth.to("foot").magnitude
    storey = goal.building.storeys[goal.room.storey - 1]
    floor = storey.floor.to("foot").magnitude
    ceiling = (goal.room.ceiling or storey.ceiling).height
    height = None if ceiling is None else floor + ceiling.to("foot").magnitude
    return min(depth, 40.0), floor, height if view is not None else None


def _section(picture, plan, frame, depth, floor, ceiling):
    target = plan.made.goal.target
    top = target.building.wall_height_ft + target.building.parapet_ft
    for low, high in ((0.0, target.sill_ft), (target.head_ft, top)):
        if high > low:
            picture.line(frame.px((0, low)), frame.px((0, high)), "ink", 5)
    roof = target.building.wall_height_ft
    picture.line(frame.px((0, roof)), frame.px((depth + 999, roof)), "ink", 2)
    if floor > 0.5:
        picture.line(frame.px((0, floor)), frame.px((depth, floor)), "ink", 2)
    if ceiling is not None:
        picture.line(frame.px((0, ceiling)), frame.px((depth, ceiling)), "ink", 2, "7 4")
    if plan.made.goal.room is not None:
        low, high = floor, ceiling or roof
        picture.line(frame.px((depth, low)), frame.px((depth, high)), "steel", 2)


def _side_rig(picture, labels, plan, frame, far):
    rig, made = plain_rig(plan.apparatus), plan.made
    base = plan.apparatus.turntable_height.to("foot").magnitude
    wide = 5.0
    picture.polygon([frame.px(p) for p in ((-far - wide, 0), (-far + wide, 0), (-far + wide, base * 0.55),
                                           (-far - wide, base * 0.55))], "paper", "ink", 2)  # fmt: skip
    platform = plan.apparatus.platform
    ahead = platform.ahead.to("foot").magnitude if platform else 0.0
    up = platform.up.to("foot").magnitude if platform else 0.0
    heel = (-far + rig.offset_ft - ahead, base)
    pin = (-made.stream_ft - ahead, made.tip_height_ft - up)
    picture.line(frame.px((-far, base * 0.55)), frame.px(heel), "ink", 4)
    picture.line(frame.px(heel), frame.px(pin), "ink", 5)
    picture.line(frame.px(heel), frame.px(pin), "paper", 2)
    if platform:
        x0, x1, z = pin[0], -made.stream_ft, pin[1]
        picture.polygon([frame.px(p) for p in ((x0, z - 1.5), (x1, z - 1.5), (x1, z + 2.5), (x0, z + 2.5))],
                        "paper", "ink", 2)  # fmt: skip
    labels.keep_off([frame.px(heel), frame.px(pin)])


def _side_stream(picture, labels, plan, frame, far):
    made = plan.made
    tip = frame.px((-made.stream_ft, made.tip_height_ft))
    if plan.evolution.aim == "none":
        return
    if made.path is None:
        picture.arrow(tip, frame.px((0, made.goal.target.height_ft)), "ink", 2, "4 4", 9)
        labels.keep_off([tip, frame.px((0, made.goal.target.height_ft))])
        return
    square = made.out_ft / far
    end = 0.0
    if made.use is not None and made.use.depth_inside is not None:
        end = made.use.depth_inside.to("foot").magnitude / square
    points = [(p[0] - made.stream_ft, p[2]) for p in made.path.points]
    shown = [p for p in points if p[0] <= end]
    last = next((p for p in points if p[0] > end), None)
    if last is not None and shown:
        a = shown[-1]
        share = (end - a[0]) / (last[0] - a[0])
        shown.append((end, a[1] + share * (last[1] - a[1])))
    way = [frame.px(p) for p in shown]
    picture.polyline(way, "ink", 2.5, "", 2)
    labels.keep_off(way)
    if way:
        x, y = way[-1]
        picture.crosses([(x, y)], 5, "ink", 2.5)


def _side_labels(labels, plan, frame, far, system, wide):
    made, target = plan.made, plan.made.goal.target
    x, y = frame.px((-made.stream_ft, made.tip_height_ft))
    lx, ly = frame.px((-(far + made.stream_ft) / 2, (made.tip_height_ft + 8) / 2))
    ladder = f"{_whole(made.extension_ft, system)} at {made.elevation_deg:.0f} deg"
    beside = [(lx - 8, ly - 6, "end"), (lx + 10, ly + 14, "start")]
    labels.put(
        ladder, [(lx, ly - 12, "middle"), (lx, ly + 22, "middle"), *beside], size=SIZE, bold=True
    )
    tip = f"tip {_whole(made.tip_height_ft, system)} up"
    labels.put(tip, [(x, y - 10, "middle"), (x, y + 20, "middle")], size=SIZE, point=(x, y))
    ox, oy = frame.px((-made.stream_ft / 2, 0))
    off = (
        f"{_whole(made.standoff_ft, system)} to wall"
        if target.side
        else f"{_whole(made.standoff_ft, system)} off"
    )
    labels.put(off, [(ox, oy - 5, "middle"), (ox, oy + 15, "middle")], size=SIZE)
    wx, wy = frame.px((0, target.height_ft))
    top = frame.px((0, target.building.top_ft))[1]
    labels.put("Target", [(wx - 7, wy - 16, "end"), (wx - 7, wy + 24, "end"), (wx, top - 8, "middle")],
               size=SIZE, bold=True, point=(wx, wy))  # fmt: skip
    if plan.evolution.water == "stream" and abs(made.stream_pitch_deg) >= 0.5:
        way = "up" if made.stream_pitch_deg > 0 else "down"
        labels.put(f"stream {abs(made.stream_pitch_deg):.0f} deg {way}",
                   [(9, 16, "start"), (wide - 8, 16, "end")], size=SIZE)  # fmt: skip
