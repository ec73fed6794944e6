"""Scene plans: geometry against shapely and hand-worked cases, files with faults, made-up files."""

import json
import math
import tomllib
from types import SimpleNamespace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Point, Polygon, box, unary_union
from shapely.affinity import rotate, translate

from aerialstream import quantity
from aerialstream._core import plan_geometry as plan
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.site import SceneDataError, load_scene, read_scene, scene_of

DEMO = load_department(DEMO_FOLDER)
SITES = [site.id for site in DEMO.sites]
FILES = {site: DEMO_FOLDER / "scenes" / f"{site}.toml" for site in SITES}


@st.composite
def stars(draw, least=3, most=9):
    """Simple polygons, convex or not: corners at rising bearings around a middle."""
    count = draw(st.integers(least, most))
    cx, cy = draw(st.integers(-80, 80)), draw(st.integers(-80, 80))
    radii = [draw(st.integers(4, 60)) for _ in range(count)]
    start = draw(st.integers(0, 359))
    return tuple(
        (
            cx + r * math.sin(math.radians(start + 360 * n / count)),
            cy + r * math.cos(math.radians(start + 360 * n / count)),
        )
        for n, r in enumerate(radii)
    )


# --- geometry -----------------------------------------------------------------------------------


def test_area_of_hand_worked_polygons():
    """A 3-4-5 triangle has 6 sq ft; an L of 10 × 10 less 6 × 6 has 64; clockwise is minus."""
    assert plan.signed_area_sq_ft(((0, 0), (4, 0), (0, 3))) == 6
    ell = ((0, 0), (10, 0), (10, 4), (4, 4), (4, 10), (0, 10))
    assert plan.signed_area_sq_ft(ell) == 64
    assert plan.signed_area_sq_ft(ell[::-1]) == -64


def test_distances_worked_by_hand():
    """From (7, 8) to the L's inner corner (4, 4) it is 5 ft (3-4-5); inside it is nothing."""
    ell = ((0, 0), (10, 0), (10, 1), (4, 1), (4, 4), (0, 4))
    assert plan.distance_to_polygon_ft(7, 8, ell) == pytest.approx(5)
    assert plan.distance_to_polygon_ft(2, 2, ell) == 0
    # Two level pieces that cross in the plan, 3 ft one above the other.
    crossing = ((0, 0, 0), (10, 0, 0), (5, -5, 3), (5, 5, 3))
    assert plan.segment_distance_ft(*crossing) == pytest.approx(3)
    # End to end, 3 along, 4 across, 12 up: 13.
    assert plan.segment_distance_ft((0, 0, 0), (1, 0, 0), (4, 4, 12), (9, 4, 12)) == pytest.approx(
        13
    )


@given(stars(), st.integers(-150, 150), st.integers(-150, 150))
def test_area_distance_and_inside_are_shapelys(corners, x, y):
    """Area, distance of a point and whether it lies inside, against an independent library."""
    theirs = Polygon(corners)
    assert abs(plan.signed_area_sq_ft(corners)) == pytest.approx(theirs.area)
    assert plan.distance_to_polygon_ft(x, y, corners) == pytest.approx(
        theirs.distance(Point(x, y)), abs=1e-9
    )
    if theirs.exterior.distance(Point(x, y)) > 1e-9:
        assert plan.point_in_polygon(x, y, corners) == theirs.contains(Point(x, y))


@given(st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)), min_size=3, max_size=7))
def test_crossing_sides_are_shapelys(corners):
    """What shapely calls valid does not cross itself, and what crosses is not valid."""
    assume(len(set(corners)) == len(corners))
    theirs = Polygon(corners)
    assume(theirs.area > 0)
    assert plan.crosses_itself(corners) == (not theirs.is_valid)


@given(st.lists(stars(), max_size=3), st.booleans())
def test_trapezoids_cover_what_shapely_covers(polygons, inside):
    """Pieces of the covered or free part of a box: the same area, none over another."""
    bounds = (-100, -100, 100, 100)
    pieces = [Polygon(p) for p in plan.trapezoids(polygons, bounds, inside)]
    together = unary_union([Polygon(p) for p in polygons]).intersection(box(*bounds))
    wanted = together if inside else box(*bounds).difference(together)
    assert sum(p.area for p in pieces) == pytest.approx(wanted.area, abs=4)  # slivers closed
    assert all(p.is_valid for p in pieces)
    assert unary_union(pieces).symmetric_difference(wanted).area < 4
    assert all(plan.is_convex(tuple(p.exterior.coords)[:-1]) for p in pieces)


@given(stars(), st.integers(-90, 90), st.integers(-90, 90), st.integers(0, 359))
def test_overlap_of_a_chassis_is_shapelys(corners, x, y, heading):
    """Whether a turned rectangle overlaps a polygon, convex or not, at a place."""
    body = ((-4, -6), (4, -6), (4, 34), (-4, 34))
    theirs = translate(rotate(Polygon(body), -heading, origin=(0, 0)), x, y)
    shared = theirs.intersection(Polygon(corners)).area
    assume(shared == 0 or shared > 0.01)
    turned = plan.placed(body, 0, 0, heading)
    found = False
    for piece in plan.convex_pieces(corners):
        reach = plan.span(plan.overlap_limits(piece, turned), y)
        found |= reach is not None and reach[0] < x < reach[1]
    assert found == (shared > 0)


@given(stars(), st.integers(1, 60))
def test_zone_outline_is_shapelys_buffer_of_the_hull(corners, distance):
    """The outline of a collapse zone lies within a percent of shapely's."""
    theirs = Polygon(corners).convex_hull.buffer(distance, quad_segs=64)
    ours = Polygon(plan.zone_outline(corners, distance))
    assert ours.area == pytest.approx(theirs.area, rel=0.01)
    assert ours.difference(theirs).area < 0.01 * theirs.area


def test_rectangle_puts_side_a_where_it_faces():
    """A front that faces south with its left end at (100, 100) runs to the east; B is its west."""
    corners = plan.rectangle(100, 100, 120, 60, 180)
    assert [tuple(round(c, 9) for c in p) for p in corners] == [
        (220, 100), (100, 100), (100, 160), (220, 160),
    ]  # fmt: skip


# --- the demo scenes ----------------------------------------------------------------------------


@pytest.mark.parametrize("site", SITES)
def test_demo_scene_loads_with_targets(site):
    """Every site has a plan, on which targets lie on their wall or in their roof."""
    scene = scene_of(DEMO, site)
    assert scene.targets and scene.streets and scene.hydrants
    for target in scene.targets:
        away = min(
            plan.distance_to_side_ft(*target.at, a, b)
            for a, b in plan.edges(target.building.corners)
        )
        assert (away < 1e-9) == (target.side is not None)


def test_mill_stands_as_it_is_told():
    """120 × 60 ft, top of the parapet 40 ft; window 5 of the top floor 58.5 ft from the left."""
    scene = scene_of(DEMO, "weir-street-mill")
    mill = scene.building("mill")
    assert mill.top_ft == 40
    assert [round(mill.side(s).length_ft, 9) for s in "ABCD"] == [120, 60, 120, 60]
    # a3 begins at 8 ft, every 12 ft, 5 ft wide: the fifth has its middle at 8 + 48 + 2.5.
    target = scene.target("top floor A")
    assert target.at == pytest.approx((158.5, 100))
    assert target.height_ft == 30
    # Side C is seen from the north: its left end is the east one, so 58.5 ft is x = 161.5.
    assert scene.target("weaving floor C").at == pytest.approx((161.5, 160))
    assert scene.target("weaving floor C").side.normal == pytest.approx((0, 1))


def test_cold_store_zone_goes_by_its_ridge_and_says_so():
    """The highest wall is the gable; the plan says that this was taken."""
    scene = scene_of(DEMO, "saltpan-cold-store")
    assert scene.building("store").top_ft == 33
    assert any("gable" in said for said in scene.assumed)


def test_grade_becomes_an_angle():
    """5 % is 2.86 deg (arctan 0.05), as grade tables print."""
    scene = scene_of(DEMO, "saltpan-cold-store")
    yard = next(g for g in scene.ground if g.id == "yard")
    assert yard.slope_deg == pytest.approx(2.86, abs=0.005)


def test_site_without_plan_is_said():
    """A department whose site has no plan is told what to add."""
    bare = SimpleNamespace(sites=(SimpleNamespace(id="quay", plan=None),), folder=DEMO_FOLDER)
    with pytest.raises(SceneDataError, match='site "quay" has no plan; add plan ='):
        scene_of(bare, "quay", buildings=())


# --- faults ---------------------------------------------------------------------------------------

GOOD = """
name = "Made up"
coordinates = "feet"

[[building]]
id = "shed"
at = [0, 0]
facing = "180 deg"
width = "40 ft"
depth = "30 ft"
wall_height = "12 ft"

[[street]]
id = "lane"
along = [[-100, -40], [100, -40]]
width = "24 ft"

[[overhead_line]]
id = "wire"
points = [[-100, -60], [100, -60]]
height = "30 ft"
voltage = "unknown"

[[obstacle]]
id = "car"
kind = "car"
at = [10, -34]
length = "16 ft"
width = "6 ft"
bearing = "90 deg"

[[target]]
id = "door"
kind = "opening"
building = "shed"
side = "A"
left = "4 ft"
width = "3 ft"
sill = "0 ft"
head = "7 ft"
"""


def faults_of(text, **more):
    """The faults of a made-up file."""
    with pytest.raises(SceneDataError) as caught:
        read_scene(tomllib.loads(text), file_name="made-up.toml", **more)
    return caught.value.faults


def changed(*pairs):
    """GOOD with texts replaced; each must be there."""
    text = GOOD
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    return text


def test_good_scene_says_what_it_assumed():
    """North, parapet, car's height, missing hydrant and slope were filled in: all are listed."""
    scene = read_scene(tomllib.loads(GOOD))
    said = " | ".join(scene.assumed)
    for word in ("north", "parapet", "car", "hydrant", "slope"):
        assert word in said
    assert scene.lines[0].volts is None


@pytest.mark.parametrize(
    ("pairs", "said"),
    [
        ([('side = "A"', 'side = "F"')], "side: read 'F'; shed has A to D"),
        ([('width = "3 ft"', 'width = "38 ft"')], "reach beyond side A, which is 40 ft wide"),
        ([("[[-100, -60], [100, -60]]", "[[-100, -60]]")], "two points or more"),
        ([("[[-100, -60], [100, -60]]", "[[5, -60], [5, -60]]")], "the same point again"),
        ([("wall_height =", "wal_height =")], "did you mean wall_height?"),
        ([('width = "24 ft"', 'width = "24"')], "without a unit"),
        ([('"feet"', '"degrees"')], "a degree is no length"),
        ([('"feet"', '"miles"')], '"feet" or "metres"'),
        ([('voltage = "unknown"', 'voltage = "12"')], "not a voltage"),
        ([('voltage = "unknown"', 'voltage = "1200 kV"')], "its owner sets"),
        ([('head = "7 ft"', 'head = "14 ft"')], "higher than 12 ft"),
        ([('sill = "0 ft"', 'sill = "7 ft"')], "sill is not lower than head"),
        ([('building = "shed"', 'building = "barn"')], "there are: shed"),
        ([('kind = "car"', 'kind = "wall"')], "height is missing"),
        ([("at = [0, 0]", "at = [0, 0, 0]")], "not a pair of numbers"),
        ([("at = [0, 0]", "at = [0, nan]")], "not a pair of plain numbers"),
        ([("at = [0, 0]", "at = [1e9, 0]")], "not on a local plan"),
        ([('depth = "30 ft"', 'corners = [[0, 0], [1, 0], [1, 1]]')], "its place is given by"),
        ([('facing = "180 deg"', 'building = "mill"')], "beside building"),
        ([('id = "wire"', 'id = "wire"\ncolour = "red"')], "not a key the kit knows"),
    ],
)  # fmt: skip
def test_fault_is_told_in_words(pairs, said):
    """Each made-up fault is named with what was read and what is needed."""
    assert any(said in fault for fault in faults_of(changed(*pairs))), faults_of(changed(*pairs))


def test_every_fault_at_once():
    """Four faults of checked entries come in one message."""
    text = changed(
        ('side = "A"', 'side = "F"'), ("[[-100, -60], [100, -60]]", "[[5, -60], [5, -60]]")
    )
    text += '\n[[building]]\nid = "barn"\ncorners = [[0, 0], [20, 20], [20, 0], [0, 20]]\nwall_height = "10 ft"\n'
    text += '\n[[hydrant]]\nid = "in the wall"\nat = [20, 10]\n'
    faults = faults_of(text)
    assert len(faults) >= 4
    for said in ("cross or touch", "side: read 'F'", "same point again", "inside building"):
        assert any(said in fault for fault in faults)


@pytest.mark.parametrize(("x", "overlaps"), [(39, True), (40, False), (41, False)])
def test_building_on_a_building_is_a_fault(x, overlaps):
    """A shed of 40 ft and one that begins at 39, 40 (wall to wall) and 41 ft."""
    text = GOOD + f'\n[[building]]\nid = "barn"\nat = [{x}, 0]\nfacing = "180 deg"\nwidth = "9 ft"\ndepth = "9 ft"\nwall_height = "9 ft"\n'  # fmt: skip
    if overlaps:
        assert faults_of(text) == ('made-up.toml: building "barn": overlaps building "shed"',)
    else:
        assert len(read_scene(tomllib.loads(text)).buildings) == 2


def test_corners_run_clockwise_from_the_right_end_of_side_a():
    """The same shed by corners: right end of A first; anticlockwise is refused with the reason."""
    place = 'at = [0, 0]\nfacing = "180 deg"\nwidth = "40 ft"\ndepth = "30 ft"'
    right = changed((place, "corners = [[40, 0], [0, 0], [0, 30], [40, 30]]"))
    assert read_scene(tomllib.loads(right)).target("door").at == pytest.approx((5.5, 0))
    wrong = changed((place, "corners = [[0, 0], [40, 0], [40, 30], [0, 30]]"))
    assert "anticlockwise" in faults_of(wrong)[0]


def test_metres_are_read_as_metres():
    """The same plan in metres lies 1 / 0.3048 farther out in feet; lengths keep their own unit."""
    scene = read_scene(tomllib.loads(changed(('"feet"', '"metres"'))))
    assert scene.lines[0].points[0][0] == pytest.approx(-100 / 0.3048)
    assert scene.building("shed").side("A").length_ft == pytest.approx(40)


def test_north_turns_bearings():
    """North 90 deg clockwise of up: a front that faces north faces right on the plan."""
    text = changed(
        ('coordinates = "feet"', 'coordinates = "feet"\nnorth = "90 deg"'), ("180 deg", "0 deg")
    )
    scene = read_scene(tomllib.loads(text))
    assert scene.building("shed").side("A").normal == pytest.approx((1, 0))
    assert scene.compass_bearing(scene.plan_bearing(33)) == pytest.approx(33)


def test_building_file_gives_sizes_by_its_attributes():
    """Anything with width, depth and heights will do; an id that is not there is named."""
    place = 'width = "40 ft"\ndepth = "30 ft"\nwall_height = "12 ft"'
    text = changed((place, 'building = "file"'))
    file = SimpleNamespace(
        id="file",
        width=quantity("40 ft"),
        depth=quantity("30 ft"),
        wall_height=quantity("12 ft"),
        parapet_height=quantity("3 ft"),
    )
    scene = read_scene(tomllib.loads(text), buildings=[file])
    assert scene.building("shed").top_ft == pytest.approx(15)
    assert "needed: the id of a building file (none)" in faults_of(text)[0]


# --- GeoJSON --------------------------------------------------------------------------------------


def as_geojson(data):
    """A TOML scene as a FeatureCollection with the same properties."""
    features = []
    for layer, entries in data.items():
        for entry in entries if isinstance(entries, list) else ():
            properties, geometry = {"layer": layer, **entry}, None
            if "corners" in entry:
                ring = [*entry["corners"], entry["corners"][0]]
                geometry = {"type": "Polygon", "coordinates": [ring]}
                del properties["corners"]
            elif "points" in entry or "along" in entry:
                key = "points" if "points" in entry else "along"
                geometry = {"type": "LineString", "coordinates": properties.pop(key)}
            elif "at" in entry:
                geometry = {"type": "Point", "coordinates": properties.pop("at")}
            features.append({"type": "Feature", "properties": properties, "geometry": geometry})
    top = {k: v for k, v in data.items() if not isinstance(v, list)}
    return {"type": "FeatureCollection", **top, "features": features}


@pytest.mark.parametrize("site", SITES)
def test_geojson_gives_the_same_scene(site, tmp_path):
    """Each demo scene written as GeoJSON is read as the very same plan."""
    from aerialstream.buildings import buildings_of

    data = tomllib.loads(FILES[site].read_text(encoding="utf-8"))
    path = tmp_path / "scene.geojson"
    path.write_text(json.dumps(as_geojson(data)), encoding="utf-8")
    assert load_scene(path, buildings=buildings_of(DEMO)) == scene_of(DEMO, site)


def test_longitude_and_latitude_are_refused_with_the_reason():
    """GeoJSON without `coordinates`, or with a reference system, is no local plan."""
    scene = as_geojson(tomllib.loads(GOOD))
    for wrong in ({k: v for k, v in scene.items() if k != "coordinates"}, {**scene, "crs": {}}):
        with pytest.raises(SceneDataError, match="longitude and latitude are not read"):
            read_scene(wrong)


def test_files_that_cannot_be_read_are_said(tmp_path):
    """No file, no TOML, no JSON, no UTF-8: one sentence each."""
    for name, content in (("a.toml", b"name ="), ("a.geojson", b"{"), ("b.toml", b"\xff\xfe")):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(SceneDataError):
            load_scene(tmp_path / name)
    with pytest.raises(SceneDataError, match="cannot be opened"):
        load_scene(tmp_path / "none.toml")


# --- made-up files ----------------------------------------------------------------------------------

SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10**6),
    st.floats(),
    st.text(max_size=8),
    st.sampled_from(["12 ft", "90 deg", "5 %", "12 kV", "unknown", "shed", "A", "car", "opening"]),
)
POINTS = st.lists(st.tuples(st.integers(-90, 90), st.integers(-90, 90)).map(list), max_size=6)
VALUES = st.recursive(
    SCALARS | POINTS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3), max_leaves=6
)  # fmt: skip
KEYS = sorted({word for line in GOOD.splitlines() if "=" in line for word in [line.split(" =")[0]]})
LAYERS = ["building", "street", "overhead_line", "ground", "obstacle", "hydrant", "target"]


@given(
    st.lists(
        st.tuples(st.sampled_from([*LAYERS, ""]), st.sampled_from([*KEYS, "corners", "across"]), VALUES),
        min_size=1,
        max_size=4,
    )
)  # fmt: skip
def test_made_up_changes_give_a_scene_or_faults_in_words(changes):
    """Whatever a key is set to: a scene, or a list of sentences; never another error."""
    data = tomllib.loads(GOOD)
    for layer, key, value in changes:
        entry = (data.get(layer) or [{}])[0] if layer else data
        if isinstance(entry, dict):
            entry[key] = value
            if layer:
                data[layer] = [entry]
    for made in (data, as_geojson_or_none(data)):
        try:
            scene = read_scene(made)
        except SceneDataError as error:
            assert error.faults and all(isinstance(f, str) and f for f in error.faults)
        else:
            assert scene.buildings is not None and scene.assumed


def as_geojson_or_none(data):
    """The made-up table as GeoJSON where it can be written as one at all."""
    try:
        return as_geojson(data)
    except (TypeError, IndexError, KeyError, AttributeError):
        return None


@given(VALUES)
def test_anything_at_all_is_refused_in_words(value):
    """A file that is no scene at all is refused, not crashed on."""
    with pytest.raises(SceneDataError):
        read_scene(value)
    with pytest.raises(SceneDataError):
        read_scene({"type": "FeatureCollection", "features": value})


def test_unknown_ids_name_those_there_are():
    """A target or building that is not there is answered with the list."""
    scene = scene_of(DEMO, "drill-ground")
    with pytest.raises(KeyError, match="upper window"):
        scene.target("cellar")
    with pytest.raises(KeyError, match="stack"):
        scene.building("mill")
