"""Pictures of a scene, its spot map, a device from the side, its loads and its pads.

What they are made of comes from results; here it is looked up in the drawing again.
"""

import re
import xml.etree.ElementTree as ET
from functools import cache
from importlib import import_module
from math import atan2, degrees, hypot

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from aerialstream import (
    aim_through_opening,
    load_department,
    overturning,
    quantity,
    scene_of,
    set_up_loads,
    show,
    spot_map,
    stream_direction,
    tip_position,
)
from aerialstream._core import plan_geometry as plan
from aerialstream.charts.nearby import Nearby, evenly
from aerialstream.charts.plan_frame import Frame, clipped, clipped_line, dotted, hatch
from aerialstream.charts.svg import FINE, PALETTE, Picture, figure_html
from aerialstream.department import DEMO_FOLDER
from aerialstream.spots import codes_of

# The package hands out the functions under the names of their modules.
arrows, on_pads, scenes, sides, maps = (
    import_module(f"aerialstream.charts.{name}")
    for name in ("load_arrows", "pads", "scene_plan", "side_view", "spot_map")
)

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

SVG = "{http://www.w3.org/2000/svg}"
SYSTEMS = ("US", "metric")
SITES = ("weir-street-mill", "gorse-lane-shops", "saltpan-cold-store", "drill-ground")
MAPS = {
    "mill, yard": ("weir-street-mill", "weaving floor C", "tower-3"),
    "mill, street: no place": ("weir-street-mill", "top floor A", "ladder-9"),
    "shops": ("gorse-lane-shops", "shop 3", "ladder-9"),
    "shops, canopy": ("gorse-lane-shops", "shop 6", "platform-2"),
    "store, dock": ("saltpan-cold-store", "dock 2", "platform-2"),
    "store, roof: no place": ("saltpan-cold-store", "front slope", "tower-3"),
    "drill ground": ("drill-ground", "upper window", "tower-3"),
    "drill ground, side": ("drill-ground", "side window", "platform-2"),
}
FONTS = {
    bold: FontProperties(family="DejaVu Sans", size=10, weight="bold" if bold else "normal")
    for bold in (False, True)
}


@cache
def department():
    """The demo department."""
    return load_department(DEMO_FOLDER)


@cache
def spots(name):
    """One of MAPS worked out."""
    site, target, device = MAPS[name]
    return spot_map(scene_of(department(), site), department().device(device), target)


# --- what every picture has to be ----------------------------------------------------------------


def tree(picture):
    """A picture as a tree of elements."""
    return ET.fromstring(picture.svg())


@cache
def width_of(text, bold):
    """Width of a text at size 1 in DejaVu Sans, a wide typeface."""
    return text_to_path.get_text_width_height_descent(text, FONTS[bold], False)[0] / 10


def text_boxes(root):
    """(words, left, top, right, bottom) of every text."""
    out = []
    for element in root.iter(f"{SVG}text"):
        size, x, y = (float(element.get(key)) for key in ("font-size", "x", "y"))
        width = size * width_of(element.text, element.get("font-weight") == "600")
        left = x - {"start": 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
        out.append((element.text, left, y - 0.76 * size, left + width, y + 0.22 * size))
    return out


def overlapping(root):
    """Pairs of words that lie over each other."""
    boxes = text_boxes(root)
    return [
        (words, other_words)
        for n, (words, *one) in enumerate(boxes)
        for other_words, *other in boxes[n + 1 :]
        if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
    ]


def words_in(root):
    """All words of a picture, in order."""
    return [element.text for element in root.iter(f"{SVG}text")]


def sound(picture):
    """Well-formed, 720 wide, labelled, legible, off-palette colours none, words apart and inside."""
    root = tree(picture)
    _, _, width, height = map(float, root.get("viewBox").split())
    assert width == 720 and 150 < height < 1800
    assert root.get("role") == "img" and len(root.get("aria-label")) > 40
    assert overlapping(root) == []
    assert [
        box for box in text_boxes(root)
        if box[1] < 0 or box[2] < 0 or box[3] > width or box[4] > height
    ] == []  # fmt: skip
    for element in root.iter():
        if element.tag == f"{SVG}text":
            assert float(element.get("font-size")) >= FINE
        for attribute in ("fill", "stroke"):
            paint = element.get(attribute, "none")
            named = re.fullmatch(r"var\(--(\w+)\)", paint)
            assert paint == "none" or named[1] in PALETTE
    assert "—" not in root.get("aria-label") and "nan" not in picture.svg()
    return root


def named(words, root):
    """Whether some words stand in a picture, on one line or over several."""
    return words in " ".join(words_in(root))


# --- frame and patterns --------------------------------------------------------------------------

CORNER = st.tuples(st.floats(-300, 1000), st.floats(-300, 900))
BOX = (10.0, 60.0, 710.0, 560.0)


@given(CORNER, CORNER)
def test_a_clipped_line_lies_in_the_box_and_on_the_line(start, end):
    """Both ends inside, and on the straight way from start to end; cut, not bent."""
    piece = clipped_line(start, end, BOX)
    if piece is None:
        return
    long = hypot(end[0] - start[0], end[1] - start[1])
    for x, y in piece:
        assert BOX[0] - 1e-6 <= x <= BOX[2] + 1e-6 and BOX[1] - 1e-6 <= y <= BOX[3] + 1e-6
        cross = (end[0] - start[0]) * (y - start[1]) - (end[1] - start[1]) * (x - start[0])
        assert abs(cross) <= 1e-6 * max(1.0, long) * 1000


@given(st.lists(CORNER, min_size=3, max_size=3))
def test_a_clipped_triangle_has_the_area_that_lies_in_the_box(corners):
    """Against shapely's intersection, a library that knows nothing of ours."""
    shapely = pytest.importorskip("shapely")
    ours = clipped(corners, BOX)
    theirs = shapely.Polygon(corners).intersection(shapely.box(*BOX)).area
    area = abs(plan.signed_area_sq_ft(ours)) if len(ours) > 2 else 0.0
    assert area == pytest.approx(theirs, abs=1e-3, rel=1e-6)


@given(st.lists(CORNER, min_size=3, max_size=7), st.floats(4, 20), st.floats(-90, 90))
@settings(max_examples=60)
def test_hatching_stays_inside_of_what_it_fills(corners, apart, turn):
    """The middle of each line lies inside; lines are as far apart as asked."""
    for start, end in hatch([corners], apart, turn):
        middle = [(a + b) / 2 for a, b in zip(start, end, strict=True)]
        if hypot(end[0] - start[0], end[1] - start[1]) > 1e-3:
            crossings = sum(
                (a[1] > middle[1]) != (b[1] > middle[1])
                and middle[0] < (b[0] - a[0]) * (middle[1] - a[1]) / (b[1] - a[1]) + a[0]
                for a, b in plan.edges(corners)
            )
            near = min(plan.distance_to_side_ft(*middle, a, b) for a, b in plan.edges(corners))
            assert crossings % 2 == 1 or near < 1e-3


def test_hatching_of_a_ring_leaves_out_its_hole():
    """A square of 100 with a hole of 50: three quarters of the length of all lines are left."""
    square = [(0, 0), (100, 0), (100, 100), (0, 100)]
    hole = [(25, 25), (75, 25), (75, 75), (25, 75)]
    length = {
        n: sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in hatch(rings, 1.0, 0.0))
        for n, rings in enumerate(([square], [square, hole]))
    }
    assert length[1] / length[0] == pytest.approx(0.75, abs=0.01)
    assert all(not (25 < x < 75 and 25 < y < 75) for x, y in dotted([square, hole], 3))


@given(st.floats(-500, 500), st.floats(-500, 500), st.floats(20, 600), st.floats(20, 600))
def test_a_frame_has_one_scale_and_shows_all_of_its_part(left, bottom, wide, high):
    """North and east by the same factor; y turned over; all corners inside the box."""
    frame = Frame((left, bottom, left + wide, bottom + high), BOX)
    a = frame.px((left, bottom))
    b = frame.px((left + wide, bottom + high))
    assert b[0] - a[0] == pytest.approx(wide * frame.scale)
    assert a[1] - b[1] == pytest.approx(high * frame.scale)
    assert all(BOX[0] - 1e-6 <= x <= BOX[2] + 1e-6 for x, _ in (a, b))
    assert all(BOX[1] - 1e-6 <= y <= BOX[3] + 1e-6 for _, y in (a, b))


@given(st.lists(st.tuples(st.floats(40, 680), st.floats(90, 500)), min_size=1, max_size=25))
@settings(max_examples=40)
def test_words_that_find_room_never_overlap_and_the_others_are_kept(points):
    """However crowded: each word is set or listed, and none lies over another."""
    picture = Picture(720, 560, "a crowd of words beside points, for a test of where they go")
    labels = Nearby(picture, BOX)
    for number, at in enumerate(points):
        labels.beside(at, f"thing number {number}", gap=5)
    labels.draw()
    root = tree(picture)
    assert overlapping(root) == []
    assert len(words_in(root)) + len(labels.left_out) == len(points)


def test_words_are_broken_evenly():
    """No last line of a single letter."""
    assert evenly("top floor window, side A", 14, 190, bold=True)[-1] != "A"


# --- the scene -----------------------------------------------------------------------------------


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("site", SITES)
def test_a_scene_names_what_is_on_it(site, system):
    """Buildings with all their sides, heights, lines, bad ground, targets, in the chosen units."""
    scene = scene_of(department(), site)
    root = sound(scenes.scene_plan(scene, system=system))
    words = words_in(root)
    for building in scene.buildings:
        assert set(building.letters) <= set(words)
        assert named(f"{scenes.length(building.top_ft, system)} high", root)
    for target in scene.targets:
        assert named(target.name, root)
    for line in scene.lines:
        assert all(named(words, root) for words in scenes.line_words(line, system))
    for ground in scene.ground:
        if ground.kind != "paved":
            assert named(f"{ground.kind} ground", root)
    assert "N" in words and any(re.fullmatch(r"\d+ (ft|m)", w) for w in words)


def test_north_points_the_way_the_scene_says():
    """The arrow of a plan turned by 30 degrees leans 30 degrees to the right."""
    from dataclasses import replace

    scene = replace(scene_of(department(), "drill-ground"), north_deg=30.0)
    root = tree(scenes.scene_plan(scene))
    (letter,) = [e for e in root.iter(f"{SVG}text") if e.text == "N"]
    circle = min(
        (e for e in root.iter(f"{SVG}circle") if e.get("r") == "22.0"),
        key=lambda e: abs(float(e.get("cx")) - float(letter.get("x"))),
    )
    dx = float(letter.get("x")) - float(circle.get("cx"))
    dy = float(circle.get("cy")) - (float(letter.get("y")) - 5)
    assert degrees(atan2(dx, dy)) == pytest.approx(30, abs=1)


def test_a_line_of_unknown_voltage_is_kept_as_far_off_as_the_spot_map_keeps_it():
    """50 ft and the words say that nobody knows; 12 kV is kept 10 ft, as the printed rules say."""
    store, mill = (scene_of(department(), s) for s in ("saltpan-cold-store", "weir-street-mill"))
    assert scenes.line_words(store.lines[0], "US")[0] == "overhead line, voltage not known"
    assert "keep 50 ft" in scenes.line_words(store.lines[0], "US")[1]
    assert scenes.line_words(mill.lines[0], "US") == (
        "overhead line, 12 kV",
        "32 ft up, keep 10 ft",
    )


def place_picture(name, place, system="US"):
    """The plan of a place with the wall that the tip can touch."""
    found = spots(name)
    reach = None
    if found.target.side is not None:
        reach = scenes.wall_reach(found.apparatus, place, found.target)
    return scenes.scene_plan(found.scene, place=place, spots=found, scrub=reach, system=system)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", MAPS)
def test_each_of_the_best_places_can_be_drawn(name, system):
    """With rig, ladder, stream, zone and lay, in words and without overlap."""
    for place in spots(name).places:
        root = sound(place_picture(name, place, system))
        for words in ("turntable", "cab", f"at {place.elevation_deg:.0f} deg"):
            assert named(words, root)
        assert named(f"ladder {scenes.length(place.extension_ft, system)}", root)
        assert named(f"collapse zone {scenes.length(spots(name).zone_ft, system)}", root)
        assert named("supply lay about", root)


@given(
    st.sampled_from(list(MAPS)),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0, 360),
    st.sampled_from(SYSTEMS),
)
@settings(max_examples=60)
def test_any_place_can_be_drawn_good_or_bad(name, right, up, heading, system):
    """Also where the rig stands in a building or off the street; what is wrong is said."""
    found = spots(name)
    x = found.origin[0] + right * found.columns * found.cell_ft
    y = found.origin[1] + up * found.rows * found.cell_ft
    place = found.why_not(f"{x:.3f} ft", f"{y:.3f} ft", f"{heading:.3f} deg")
    root = sound(place_picture(name, place, system))
    for finding in place.findings:
        assert named(finding.code.short, root)
    if place.tip is None:
        assert named("no ladder drawn: it does not get there", root)


def test_turntable_and_tip_are_drawn_where_the_place_has_them():
    """Their distance on the page is the tip's distance on the plan times the scale."""
    found = spots("mill, yard")
    place = found.places[0]
    root = tree(place_picture("mill, yard", place))
    (table,) = [e for e in root.iter(f"{SVG}circle") if e.get("r") == "7.0"]
    tips = [
        e for e in root.iter(f"{SVG}circle")
        if e.get("r") == "5.0" and e.get("fill") == "var(--ink)"
    ]  # fmt: skip
    bar = [
        (float(e.get("x1")), float(e.get("x2"))) for e in root.iter(f"{SVG}line")
        if e.get("x1") != e.get("x2") and e.get("y1") == e.get("y2") and e.get("x1") == "14.0"
    ]  # fmt: skip
    (words,) = [w for w in words_in(root) if re.fullmatch(r"\d+ ft", w)]
    px_per_ft = (bar[0][1] - bar[0][0]) / float(words.split()[0])
    dx, dy = (float(tips[0].get(k)) - float(table.get(k)) for k in ("cx", "cy"))
    assert hypot(dx, dy) / px_per_ft == pytest.approx(
        hypot(place.tip[0] - place.x_ft, place.tip[1] - place.y_ft), abs=0.2
    )
    assert dx / px_per_ft == pytest.approx(place.tip[0] - place.x_ft, abs=0.2)


def test_the_rows_below_a_scene_say_what_the_place_says():
    """Everything that the place prints, and what was assumed."""
    found = spots("shops")
    rows = scenes.scene_rows(found.scene, place=found.places[0], spots=found)
    assert set(found.places[0].lines()) <= set(rows)
    assert ("Collapse zone", "24 ft") in rows
    assert "<table>" in figure_html(place_picture("shops", found.places[0]), rows)


# --- the spot map --------------------------------------------------------------------------------


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", MAPS)
def test_a_spot_map_is_drawn_with_counts_places_and_what_is_wrong(name, system):
    """The counts, each numbered place with its verdict and costs, the commonest faults."""
    found = spots(name)
    root = sound(maps.spot_map_chart(found, system=system))
    said = " ".join(words_in(root))
    for word, count in found.counts.items():
        assert f"{scenes.in_full(word)}: {count:,}" in said
    for number, place in enumerate(found.places, 1):
        assert str(number) in words_in(root)
        assert maps.place_words(number, place, system) in said
    for code, count in maps.commonest_faults(found):
        assert f"{maps.fault_words(found, code, system)}: {count:,}" in said
        assert code.short in maps.fault_words(found, code, system)


def test_the_commonest_faults_are_counted_place_by_place():
    """The same count the slow way, over every place with its best heading."""
    found = spots("shops, canopy")
    slow = {}
    for row in range(found.rows):
        for column in range(found.columns):
            for code in codes_of(found.code_at(column, row) & ~found.problem.costs):
                slow[code] = slow.get(code, 0) + 1
    assert maps.commonest_faults(found, 3) == sorted(slow.items(), key=lambda s: -s[1])[:3]


def marks(root):
    """(dots, rings, crosses): how many of each mark lie on the plan, by their shape alone."""
    paths = [
        (e.get("d"), e.get("stroke"), float(e.get("stroke-width", 0)))
        for e in root.iter(f"{SVG}path")
    ]
    round_ones = [(d.count("h0"), paint, width) for d, paint, width in paths if "h0" in d]
    crossed = [d.count("M") for d, *_ in paths if "m0-" in d]
    paper = [n for n, paint, _ in round_ones if paint == "var(--paper)"]
    return round_ones, paper, crossed


def test_the_three_verdicts_differ_in_shape_and_not_only_in_colour():
    """Every place has a mark: full dot, dot with a hole of paper, cross; as many as were counted."""
    found = spots("drill ground")
    round_ones, holes, crossed = marks(tree(maps.spot_map_chart(found)))
    counts = list(found.counts.values())
    dots = [n for n, paint, _ in round_ones if paint != "var(--paper)"]
    assert counts[0] in dots and counts[1] in dots
    assert counts[1] in holes and counts[0] not in holes
    assert counts[2] in crossed
    hole, ring = (
        next(w for n, p, w in round_ones if n == counts[1] and (p == "var(--paper)") is inside)
        for inside in (True, False)
    )
    assert 0.35 * ring < hole < 0.75 * ring


def test_a_map_at_lesson_size_is_light():
    """40 by 40 places in less than 300 kB, and the whole plan of every demo scene too."""
    site, target, device = MAPS["mill, yard"]
    area = ("60 ft", "160 ft", "256 ft", "356 ft")
    small = spot_map(
        scene_of(department(), site), department().device(device), target, area=area, cell="5 ft"
    )
    assert small.columns * small.rows >= 1600
    for found in (small, *map(spots, MAPS)):
        assert len(maps.spot_map_chart(found).svg()) < 300_000


def test_the_map_says_in_words_that_there_is_no_place():
    """The conflict in words over the picture, in the picture's label and in the rows."""
    found = spots("mill, street: no place")
    picture = maps.spot_map_chart(found)
    assert named("No place is free of faults.", tree(picture))
    assert str(found.conflicts[0]) in picture.label
    assert set(found.lines()) <= set(maps.spot_rows(found))


# --- side view -----------------------------------------------------------------------------------

SHOP = ("1 ft", "9 ft", "12 ft")


def low(device, extension, elevation, system="US", opening=SHOP, standoff="15 ft"):
    """(through, picture) of a low aerial before a shop front."""
    rig = department().device(device)
    sill, head, ceiling = opening
    through = aim_through_opening(
        rig, standoff=standoff, sill=sill, head=head, ceiling=ceiling, extension=extension,
        elevation=elevation,
    )  # fmt: skip
    position = tip_position(rig, extension=extension, elevation=elevation)
    picture = sides.side_view(
        rig, position=position, through=through, opening=opening, system=system
    )
    return through, picture


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("elevation", ["-6 deg", "-2 deg", "0 deg", "5 deg", "20 deg"])
@pytest.mark.parametrize("device", ["tower-3", "ladder-9", "platform-2"])
def test_a_low_aerial_before_an_opening_is_told_by_the_picture(device, elevation, system):
    """The stream, the strike, what stops it, and a tip above the head, all in words."""
    through, picture = low(device, "40 ft", elevation, system)
    root = sound(picture)
    assert named(through.reason, root)
    assert named(f"nozzle {show(through.nozzle_height, system)} up", root)
    assert named("above the head of the opening", root) == (
        through.nozzle_height.to("foot").magnitude > 9
    )
    if through.strike_depth is not None:
        assert named(f"{show(through.strike_depth, system)} inside", root)
    assert show(through.setback, system) in " ".join(words_in(root))


def test_the_stream_ends_on_the_ceiling_where_the_result_says():
    """In the nearer view: 10 ft inside the wall and 12 ft up, by the scale of the 15 ft standoff."""
    through, picture = low("tower-3", "40 ft", "-5 deg")
    root = tree(picture)
    streams = [e for e in root.iter(f"{SVG}polygon") if e.get("fill") == "var(--water)"]
    points = [tuple(map(float, p.split(","))) for p in streams[-1].get("points").split()]
    start = [(points[0][k] + points[3][k]) / 2 for k in (0, 1)]
    end = [(points[1][k] + points[2][k]) / 2 for k in (0, 1)]
    run = through.standoff.magnitude + through.strike_depth.magnitude
    rise = 12 - through.nozzle_height.magnitude
    per = (end[0] - start[0]) / run
    assert (start[1] - end[1]) / per == pytest.approx(rise, abs=0.1)


settings_of_a_ladder = st.tuples(
    st.sampled_from(["tower-3", "ladder-9", "platform-2"]),
    st.floats(0, 1), st.floats(0, 1), st.floats(-60, 40), st.sampled_from(["front", "rear"]),
    st.sampled_from(SYSTEMS),
)  # fmt: skip


@given(settings_of_a_ladder)
@settings(max_examples=60)
def test_any_set_up_can_be_seen_from_the_side(case):
    """Any extension and elevation of the device, with a stream."""
    device, long, steep, pitch, over, system = case
    rig = department().device(device)
    extension = rig.extension.least + long * (rig.extension.most - rig.extension.least)
    elevation = rig.elevation.least + steep * (rig.elevation.most - rig.elevation.least)
    position = tip_position(rig, extension=extension, elevation=elevation)
    stream = stream_direction(elevation, rotation="0 deg", pitch=quantity(pitch, "degree"))
    root = sound(sides.side_view(rig, position=position, stream=stream, over=over, system=system))
    assert named(f"ladder {show(position.extension, system)}", root)
    assert named(f"{show(position.out, system)} to the nozzle", root)


def test_the_rows_of_the_side_view_are_those_of_its_results():
    """Position and opening, as printed."""
    rig = department().device("ladder-9")
    through, _ = low("ladder-9", "40 ft", "-5 deg")
    position = tip_position(rig, extension="40 ft", elevation="-5 deg")
    rows = sides.side_rows(rig, position, through)
    assert set(through.lines()) <= set(rows) and position.lines()[1] in rows


# --- loads ---------------------------------------------------------------------------------------

LOADS = {
    "wind and side": ("tower-3", {"extension": "90 ft", "elevation": "30 deg", "rotation": "45 deg", "wind": "25 mph"}),
    "low and in line": ("ladder-9", {"extension": "40 ft", "elevation": "-5 deg", "pitch": "10 deg"}),
    "all of it": ("platform-2", {"extension": "80 ft", "elevation": "70 deg", "rotation": "-30 deg", "pitch": "-40 deg", "slope_along": "3 deg", "slope_across": "-2 deg", "wind": "20 mph"}),
    "upright": ("tower-3", {"extension": "100 ft", "elevation": "75 deg", "rotation": "90 deg"}),
}  # fmt: skip


def loads(name, force="505 lbf"):
    """The loads of one of LOADS."""
    device, more = LOADS[name]
    return set_up_loads(department().device(device), reaction=force, **more)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", LOADS)
def test_each_load_stands_in_the_picture_with_its_number(name, system):
    """Every part by name, its moment beside its bar, the sums in words."""
    found = loads(name)
    root = sound(arrows.load_arrows(found, system=system))
    said = " ".join(words_in(root))
    for part in found.parts:
        for moment in (part.in_plane_moment, part.side_moment):
            if abs(moment.magnitude) >= 0.5:
                assert part.name in said and show(abs(moment), system) in said
    assert show(abs(found.in_plane_moment), system) in said
    assert show(abs(found.overturning_along), system) in said


@given(
    st.sampled_from(["tower-3", "ladder-9", "platform-2"]),
    st.floats(1, 1500), st.floats(0, 1), st.floats(-5, 72), st.floats(-90, 90), st.floats(-90, 45),
    st.floats(0, 40), st.floats(-5, 5), st.sampled_from(SYSTEMS),
)  # fmt: skip
@settings(max_examples=60)
def test_any_set_up_of_loads_can_be_drawn(device, force, long, steep, turn, pitch, wind, slope, system):  # fmt: skip
    """Whatever way the forces point: no words overlap."""
    rig = department().device(device)
    found = set_up_loads(
        rig,
        reaction=quantity(force, "lbf"),
        extension=rig.extension.least + long * (rig.extension.most - rig.extension.least),
        elevation=quantity(steep, "degree"), rotation=quantity(turn, "degree"),
        pitch=quantity(pitch, "degree"), wind=quantity(wind, "mile/hour"),
        slope_across=quantity(slope, "degree"),
    )  # fmt: skip
    sound(arrows.load_arrows(found, system=system))


def view_of(found, **more):
    """A view with its place on the page, without drawing it."""
    return arrows._View(Picture(720, 900, "for its coordinates only"), found, "US", 60, **more)


def test_arrows_have_the_direction_and_length_of_their_forces():
    """Weights straight down; the reaction's part in the ladder's plane against axial and in_plane."""
    found = loads("all of it")
    view = view_of(found, from_side=True)
    ways = {part.name: way for part, way, _ in view.forces}
    assert ways["ladder's weight"] == (pytest.approx(0, abs=1e-6), pytest.approx(-12_500))
    size = hypot(found.reaction.axial.magnitude, found.reaction.in_plane.magnitude)
    assert hypot(*ways["reaction"]) == pytest.approx(size)
    start, end = view._ends(ways["ladder's weight"], 0.5)
    assert end[1] - start[1] == pytest.approx(12_500 / view.full * arrows.ARROW_PX)
    above = view_of(found, from_side=False)
    ways = {part.name: way for part, way, _ in above.forces}
    assert ways["wind"] == pytest.approx((0, found.wind.side.magnitude))


def test_weights_are_drawn_at_their_arms():
    """The ladder's own centre, 43 % of its length by the department's entry; water in the middle."""
    view = view_of(loads("wind and side"), from_side=True)
    at = {part.name: share for part, _, share in view.forces}
    assert at["ladder's weight"] == pytest.approx(0.43, abs=1e-6)
    assert at["water in the waterway"] == pytest.approx(0.5, abs=1e-6)
    assert at["reaction"] == at["tip load"] == 1.0


def test_a_load_that_would_be_too_short_to_see_is_drawn_once_more_longer():
    """505 lbf beside 6,000 lb."""
    said = words_in(tree(arrows.load_arrows(loads("low and in line"))))
    assert "From the side, the smaller forces alone, drawn longer" in said
    assert said.count("reaction") >= 3


def test_loads_with_missing_entries_say_so():
    """A rig without masses: the reaction alone is drawn, and what is missing is named."""
    rig = department().device("tower-3")
    bare = rig.model_copy(update={"masses": None})
    found = set_up_loads(bare, reaction="505 lbf", extension="60 ft", elevation="20 deg")
    root = sound(arrows.load_arrows(found))
    assert named("Not entered, so not drawn:", root) and named("not known", root)


# --- pads ----------------------------------------------------------------------------------------

PADS = {
    "over the side": ("tower-3", {"over": "side", "extension": "90 ft", "elevation": "0 deg", "pitch": "30 deg"}),
    "over the rear": ("platform-2", {"over": "rear", "extension": "60 ft", "elevation": "45 deg"}),
    "to the right": ("ladder-9", {"over": "right side", "extension": "75 ft", "elevation": "10 deg", "rotation": "30 deg", "wind": "30 mph"}),
    "one lifts": ("ladder-9", {"over": "45 deg", "extension": "75 ft", "elevation": "0 deg", "tip_load": "3000 lb"}),
    "goes over": ("ladder-9", {"over": "side", "extension": "75 ft", "elevation": "0 deg", "tip_load": "9000 lb"}),
}  # fmt: skip


def on_its_pads(name, system="US", **more):
    """(Overturning, picture) of one of PADS."""
    device, given_ = PADS[name]
    rig = department().device(device)
    found = overturning(rig, reaction="505 lbf", **(given_ | more))
    return found, on_pads.pads(found, apparatus=rig, system=system)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", PADS)
def test_each_pad_and_each_line_stands_in_the_picture_with_its_number(name, system):
    """Loads, ratios, the least of them, a pad that lifts in words."""
    found, picture = on_its_pads(name, system)
    root = sound(picture)
    for pad in found.pads:
        assert pad.name in words_in(root)
        if pad.name != found.lifted:
            assert show(pad.load, system, "weight") in words_in(root)
    for line in (found.left, found.right, found.front, found.rear):
        assert named(f"over the {line.name} pads:", root)
    assert named("LIFTS", root) == (found.lifted is not None)
    assert named("goes over", root) == (not found.pads)
    assert " ".join(words_in(root)).count("the least") == 1


def test_the_bars_are_as_long_as_the_loads():
    """Heights of the four bars against the four loads."""
    found, picture = on_its_pads("to the right")
    high = []
    for element in tree(picture).iter(f"{SVG}polygon"):
        points = [tuple(map(float, p.split(","))) for p in element.get("points").split()]
        wide = max(x for x, _ in points) - min(x for x, _ in points)
        if element.get("fill") == "var(--ink)" and wide == pytest.approx(10, abs=0.11):
            high.append(max(y for _, y in points) - min(y for _, y in points))
    loads_ = sorted(pad.load.magnitude for pad in found.pads)
    bars = sorted(high[:4])
    assert [b / bars[-1] for b in bars] == pytest.approx([n / loads_[-1] for n in loads_], abs=0.01)


@given(st.floats(-180, 180), st.floats(0, 1), st.floats(-5, 70), st.sampled_from(SYSTEMS))
@settings(max_examples=50)
def test_any_bearing_can_be_drawn(bearing, long, steep, system):
    """All round; no words overlap."""
    rig = department().device("ladder-9")
    found = overturning(
        rig, over=quantity(bearing, "degree"), reaction="800 lbf",
        extension=rig.extension.least + long * (rig.extension.most - rig.extension.least),
        elevation=quantity(steep, "degree"),
    )  # fmt: skip
    sound(on_pads.pads(found, apparatus=rig, system=system))


def test_the_ladder_on_the_pads_points_left_where_its_bearing_is_plus():
    """Bearing + is to the left of the cab, and the cab is up the page."""
    _, picture = on_its_pads("over the side")
    rails = [
        e for e in tree(picture).iter(f"{SVG}line")
        if e.get("stroke") == "var(--steel)" and e.get("stroke-width") == "3"
    ]  # fmt: skip
    assert rails and all(float(e.get("x2")) < float(e.get("x1")) - 30 for e in rails)
    assert all(abs(float(e.get("y2")) - float(e.get("y1"))) < 0.2 for e in rails)


def test_pads_of_a_rig_with_missing_entries_say_what_is_missing():
    """Nothing is drawn as if it were known."""
    rig = department().device("tower-3").model_copy(update={"masses": None})
    found = overturning(rig, over="side", reaction="505 lbf", extension="60 ft", elevation="20 deg")
    root = sound(on_pads.pads(found, apparatus=rig))
    assert named("Not known. Not entered are:", root) and not named("ratio", root)
