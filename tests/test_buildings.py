"""Buildings: the demo ones load, every fault is named in plain words, and each opening sees its room."""

import json
import re
import shutil
import tomllib
from copy import deepcopy
from math import atan, degrees, hypot
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import aerialstream
from aerialstream import quantity
from aerialstream._core.surfaces import first_strike, surfaces
from aerialstream.buildings import (
    SIDES,
    Building,
    _in_plan,
    _of_plan,
    buildings_of,
    load_building,
)
from aerialstream.department import DEMO_FOLDER, FOLDER_VARIABLE, load_department
from aerialstream.errors import AerialStreamError, DepartmentDataError

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

FOLDER = DEMO_FOLDER / "buildings"
MILL, SHOPS, STORE, HOLED, STACK = (
    "weir-street-mill",
    "gorse-lane-shops",
    "saltpan-cold-store",
    "saltpan-cold-store-holed",
    "container-stack",
)
ALL = (MILL, SHOPS, STORE, HOLED, STACK)
LOADED = {name: load_building(name, DEMO_FOLDER) for name in ALL}


def ft(length):
    """A length as a plain number of feet."""
    return length.to("foot").magnitude


@pytest.fixture
def folder(tmp_path):
    """A copy of the demo department to spoil."""
    return Path(shutil.copytree(DEMO_FOLDER, tmp_path / "department"))


def spoil(folder, name, old, new):
    """Put one text in the place of another, once, in a building's file."""
    path = folder / "buildings" / f"{name}.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def faults_of(folder, name):
    """The faults of a building that must have some."""
    with pytest.raises(DepartmentDataError) as refused:
        load_building(name, folder)
    assert all(fault in str(refused.value) for fault in refused.value.faults)
    return refused.value.faults


# --- loading -----------------------------------------------------------------------------------------


def test_demo_buildings_load_as_their_files_have_them():
    """Sizes, rows spelled out, and lengths as quantities in feet."""
    assert {b.id for b in buildings_of(load_department(DEMO_FOLDER))} == set(ALL)
    mill = LOADED[MILL]
    assert isinstance(mill, Building)
    assert [ft(q) for q in (mill.width, mill.depth, mill.wall_height, mill.parapet_height)] == [
        120,
        60,
        38,
        2,
    ]
    fourth = mill.opening("a2-4")
    assert [ft(q) for q in (fourth.left, fourth.width, fourth.sill, fourth.head)] == [44, 5, 15, 21]
    assert fourth.side == "A" and mill.room_behind("a2-4").id == "weaving floor"
    assert mill.room("top floor").openings[-1] == "b3-3"
    assert len(mill.openings) == 1 + 9 + 9 + 3 + 3 + 9


def test_building_is_found_by_id_by_path_and_in_the_department_of_the_variable(folder, monkeypatch):
    """The id in a folder, the path of a file as text or path, the environment variable."""
    path = folder / "buildings" / f"{STACK}.toml"
    for given_as in (path, str(path)):
        assert load_building(given_as).file == path
    assert load_building(STACK, folder).file == path
    assert load_building(STACK).file == FOLDER / f"{STACK}.toml"
    monkeypatch.setenv(FOLDER_VARIABLE, str(folder))
    assert load_building(STACK).file == path


def test_names_are_part_of_the_public_edge():
    """Both functions are reachable from the package itself."""
    assert aerialstream.load_building is load_building
    assert aerialstream.buildings_of is buildings_of


@pytest.mark.parametrize("name", ["mill", "../department", "", "a/b", "\0"])
def test_building_that_there_is_not_is_refused_with_those_there_are(folder, name):
    """Whatever is asked for, nothing outside the folder is opened."""
    (fault,) = faults_of(folder, name)
    assert MILL in fault and STACK in fault


def test_path_that_leads_nowhere_is_named(tmp_path):
    """A .toml path without a file."""
    with pytest.raises(DepartmentDataError, match="there is no such file"):
        load_building(tmp_path / "x.toml")


def test_department_without_buildings_has_none(folder):
    """No folder `buildings` is no fault."""
    shutil.rmtree(folder / "buildings")
    assert buildings_of(load_department(folder)) == ()


def test_unknown_ids_are_refused_with_those_there_are():
    """opening, room and view_from name what there is."""
    for call in (
        lambda b: b.opening("z9"),
        lambda b: b.room("z9"),
        lambda b: b.room_of("z9"),
        lambda b: b.view_from("E"),
        lambda b: b.view_from("A", room_id="z9"),
    ):
        with pytest.raises(KeyError, match="there are"):
            call(LOADED[STACK])
    with pytest.raises(AerialStreamError):
        LOADED[STACK].view_from("A", left="3 psi")


def test_limits_of_the_department_are_read_back_word_for_word():
    """The stack's own limits stand in its lines, with the page they were copied from."""
    text = "\n".join(f"{a}: {b}" for a, b in LOADED[STACK].lines())
    assert "own limit: No stream on the heat-protection lining" in text
    assert "invented drill-ground sheet, line 3" in text
    assert "12.19 m by 4.88 m" in dict(LOADED[STACK].lines("metric"))["Side A by depth"]


# --- what was taken ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "old", "new", "words"),
    [
        (MILL, 'wall_thickness = "18 in"\n', "", "wall_thickness was not entered"),
        (MILL, 'parapet_sides = ["A", "B", "C", "D"]\n', "", "all four sides"),
        (SHOPS, '"shop-1", "rear-6"', '"shop-1"', "no room was entered behind rear-6"),
        (STACK, "burning = {", "# {", 'room "lower left": burning was not entered'),
    ],
)
def test_what_was_not_entered_is_listed(folder, name, old, new, words):
    """Nothing is taken silently."""
    before = load_building(name, folder).assumed
    spoil(folder, name, old, new)
    (more,) = set(load_building(name, folder).assumed) - set(before)
    assert words in more


def test_partition_without_measures_is_listed_as_running_through():
    """The stock room wall of shop 1 gave only its depth."""
    (said,) = [text for text in LOADED[SHOPS].assumed if "shop 1" in text]
    assert "start, length, height not entered" in said and "whole room" in said


# --- faults -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "old", "new", "words"),
    [
        (MILL, 'id = "weir-street-mill"', 'id = "mill"', ["id: read 'mill'", "name of the file"]),
        (MILL, 'width = "120 ft"', "width = 120", ["width", "read 120", "no unit", '"75 ft"']),
        (MILL, 'width = "120 ft"', 'width = "120 psi"', ["width", "not a length"]),
        (MILL, 'wall_height = "38 ft"', 'wall_height = "36 ft"', ["storey number 3.ceiling", "37 ft", "the roof's edge"]),
        (MILL, 'floor = "12 ft"', 'floor = "10 ft"', ["storey number 1.ceiling", "11 ft", "floor of storey 2"]),
        (MILL, 'floor = "12 ft"', 'floor = "25 ft"', ["storey number 3.floor", "not above that of storey 2"]),
        (MILL, 'kind = "concrete slab", height = "11 ft"', 'kind = "concrete slab"', ["needs height"]),
        (MILL, 'kind = "concrete slab", height = "11 ft"', 'kind = "open deck"', ["height is missing", "pitched roof"]),
        (MILL, 'kind = "concrete slab", height', 'kind = "suspended tile", height', ["what is above it"]),
        (MILL, 'kind = "concrete slab", height', 'kind = "glass", height', ["read 'glass'", '"joists"']),
        (SHOPS, 'above = { height = "12 ft"', 'above = { height = "9 ft"', ["9 ft", "not above the tile", "10 ft"]),
        (SHOPS, '{ kind = "suspended tile"', '{ kind = "joists"', ["above belongs to a suspended tile only"]),
        (SHOPS, '{ height = "12 ft", kind = "joists" } }', '{ height = "14 ft", kind = "joists" } }', ['room "shop 1".ceiling', "14 ft", "roof's edge"]),
        (MILL, 'head = "33 ft"', 'head = "39 ft"', ['opening "a3-1".head', "39 ft", "above the wall, 38 ft"]),
        (MILL, 'sill = "27 ft"', 'sill = "34 ft"', ['opening "a3-9".head', "33 ft is not above sill 34 ft"]),
        (MILL, 'sill = "27 ft"', 'sill = "20 ft"', ['opening "a3-1".sill', "below the floor of storey 3 (24 ft)"]),
        (MILL, 'width = "12 ft"', 'width = "80 ft"', ['opening "a-door"', "134 ft", "side A, which is 120 ft long"]),
        (MILL, 'every = "12 ft"', 'every = "4 ft"', ['"a2-2"', 'overlaps opening "a2-1"']),
        (MILL, "count = 9", "count = 1", ["repeat.count", "read 1", "2 to 60"]),
        (MILL, "storey = 3", "storey = 4", ["storey: read 4", "there are 3 [[storey]]"]),
        (MILL, "storey = 3", "storey = true", ["storey", "read True", "a whole number"]),
        (MILL, 'kind = "window"', 'kind = "hatch"', ["kind", "read 'hatch'", '"dock door"']),
        (MILL, 'side = "B"', 'side = "E"', ["side", "read 'E'", '"A", "B", "C", "D"']),
        (MILL, 'id = "c2"', 'id = "c1"', ['opening "c1": this id is given twice']),
        (MILL, 'id = "b3"', 'id = "a3-2"', ['opening "a3-2": this id is given twice']),
        (MILL, 'projection = "12 ft"', 'projection = "12 gpm"', ["projection", "not a length"]),
        (MILL, 'underside = "11 ft"', 'underside = "38 ft"', ['canopy "dock-slab"', "above the wall (38 ft)"]),
        (MILL, 'width = "100 ft"', 'width = "115 ft"', ['canopy "dock-slab"', "125 ft", "120 ft long"]),
        (MILL, 'id = "dock"', 'id = "dock-slab"', ['canopy "dock-slab": this id is given twice']),
        (MILL, 'width = "64 ft"\ndepth = "60 ft"', 'width = "64 ft"\ndepth = "70 ft"', ['room "weaving floor".depth', "70 ft is deeper than the building there (60 ft)"]),
        (MILL, 'width = "56 ft"\ndepth = "30 ft"', 'width = "70 ft"\ndepth = "30 ft"', ['room "cutting room"', "134 ft", "120 ft long"]),
        (MILL, 'width = "64 ft"', 'width = "70 ft"', ['room "cutting room"', 'overlaps room "weaving floor"']),
        (MILL, '["a2-6", "a2-7"', '["a2-5", "a2-7"', ['"a2-5"', "is listed by room", "weaving floor"]),
        (MILL, '["a2-6", "a2-7"', '["a2-5", "a2-7"', ['"a2-5" (56 ft to 61 ft) is not within the room (64 ft to 120 ft']),
        (MILL, '["a2-6", "a2-7"', '["a3-6", "a2-7"', ['"a3-6" is in storey 3, the room in 2']),
        (MILL, '["a2-6", "a2-7"', '["c2-1", "a2-7"', ['the room does not reach side C, where "c2-1" is']),
        (MILL, '["a2-6", "a2-7"', '["a9", "a2-7"', ['room "cutting room".openings', "read 'a9'", "a-door, a2, a3"]),
        (MILL, '["a2-6", "a2-7", "a2-8", "a2-9"]', "[]", ["openings", "read []", "empty"]),
        (MILL, 'from_wall = "10 ft", width', 'from_wall = "25 ft", width', ['room "cutting room".burning', "not within the room"]),
        (MILL, 'at = "96 ft"', 'at = "121 ft"', ['room "top floor".partitions "office wall"', "not within the room"]),
        (MILL, 'runs = "inward"', 'runs = "along"', ["runs", "read 'along'", '"across", "inward"']),
        (MILL, 'roof = { kind = "flat", state = "intact" }', 'roof = { kind = "flat", state = "intact", ridge = "50 ft" }', ["a flat roof has no ridge"]),
        (MILL, 'kind = "flat", state = "intact"', 'kind = "pitched", state = "intact"', ["a pitched roof needs ridge", "needs ridge_along"]),
        (MILL, 'state = "intact"', 'state = "holed"', ["a holed roof needs holes, or open_share"]),
        (STORE, 'ridge = "33 ft"', 'ridge = "17 ft"', ["roof.ridge: read 17 ft", "wall_height 18 ft"]),
        (STORE, 'ridge = "33 ft"', 'ridge = "33 ft", pitch = "30 deg"', ["roof.pitch: read 30 deg", "23.2 deg"]),
        (STORE, 'ridge = "33 ft"', 'ridge = "33 ft", open_share = "20 %"', ["an intact roof has no holes"]),
        (STORE, 'parapet_height = "0 ft"', 'parapet_height = "1 ft"', ["a pitched roof has no parapet"]),
        (HOLED, 'from_front = "14 ft"', 'from_front = "64 ft"', ['"front slope"', "76 ft deep", "70 ft"]),
        (HOLED, 'left = "42 ft"', 'left = "90 ft"', ['"front slope"', "102 ft along side A", "100 ft"]),
        (HOLED, "holes = [", 'open_share = "5 %"\nholes = [', ["holes and open_share are both given"]),
        (HOLED, "holes = [", 'holes = [{ id = "b", left = "50 ft", from_front = "20 ft", width = "9 ft", depth = "9 ft" }, ', ['"front slope": overlaps hole "b"']),
        (STACK, 'head = "16 ft"', 'head = "17.8 ft"', ['room "upper"', 'the head of "a2", 17.8 ft', "ceiling (8.5 ft above its floor, so 17.5 ft above the ground)"]),
        (STACK, 'says = "No stream', 'sayz = "No stream', ["own_limit", "did you mean says?"]),
    ],
)  # fmt: skip
def test_fault_is_named_in_words(folder, name, old, new, words):
    """One fault, with its place, what was read and what is needed; the file's name comes first."""
    spoil(folder, name, old, new)
    faults = faults_of(folder, name)
    assert all(fault.startswith(f"{name}.toml: ") for fault in faults)
    assert [word for word in words if not any(word in fault for fault in faults)] == []


def test_gable_window_may_stand_above_the_eaves_but_not_above_the_slope(folder):
    """Side D of the cold store is a gable: eaves 18 ft, ridge 33 ft over 35 ft."""
    spoil(folder, STORE, 'left = "33 ft"\nwidth = "4 ft"\nsill = "0 ft"\nhead = "7 ft"',
          'left = "33 ft"\nwidth = "4 ft"\nsill = "20 ft"\nhead = "31 ft"')  # fmt: skip
    assert load_building(STORE, folder)
    spoil(folder, STORE, 'left = "33 ft"', 'left = "2 ft"')
    (fault,) = faults_of(folder, STORE)
    assert 'opening "d-door".head: 31 ft is above the wall, 18.857' in fault


def test_key_misspelt_is_named_with_the_nearest(folder):
    """The wrong key and the missing one, and no third fault that only follows from them."""
    spoil(folder, MILL, "wall_height", "wall_hight")
    faults = faults_of(folder, MILL)
    assert len(faults) == 2
    assert any(
        "wall_hight: not a key the kit knows; did you mean wall_height?" in f for f in faults
    )
    assert any("wall_height: missing" in f for f in faults)


def test_faults_of_reading_and_of_sense_come_in_one_message(folder):
    """A misread length, an overlapping row, a deep room and a hole in an intact roof, all at once."""
    spoil(folder, MILL, 'projection = "12 ft"', 'projection = "12 psi"')
    spoil(folder, MILL, 'every = "12 ft"', 'every = "4 ft"')
    spoil(folder, MILL, 'width = "56 ft"\ndepth = "30 ft"', 'width = "56 ft"\ndepth = "70 ft"')
    spoil(folder, MILL, 'state = "intact"', 'state = "intact", open_share = "10 %"')
    said = "\n".join(faults_of(folder, MILL))
    for words in ("projection", "overlaps opening", "deeper than the building", "open_share"):
        assert words in said


def test_faulty_opening_does_not_make_its_room_faulty_too(folder):
    """An opening that could not be read is not called unknown where a room lists it."""
    spoil(folder, STACK, 'sill = "12 ft"', 'sill = "12 psi"')
    (fault,) = faults_of(folder, STACK)
    assert "sill" in fault


def test_faults_of_all_buildings_come_in_one_message(folder):
    """buildings_of names the faults of every file."""
    spoil(folder, MILL, 'width = "120 ft"', "width = 120")
    spoil(folder, STACK, 'width = "40 ft"', 'width = "40 psi"')
    (folder / "buildings" / f"{STORE}.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(DepartmentDataError) as refused:
        buildings_of(load_department(folder))
    assert {f.split(":")[0] for f in refused.value.faults} == {
        f"{n}.toml" for n in (MILL, STACK, STORE)
    }


# --- whatever stands in the file ---------------------------------------------------------------------


def toml(value):
    """A value as TOML, in one line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(k)} = {toml(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml, value)) + "]"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    return str(value).lower() if isinstance(value, bool) else str(value)


def places(node, path=()):
    """All paths of keys and indices in a tree."""
    for key, child in node.items() if isinstance(node, dict) else enumerate(node):
        yield (*path, key)
        if isinstance(child, dict | list):
            yield from places(child, (*path, key))


TREES = {name: tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8")) for name in ALL}
SCALARS = st.one_of(
    st.text(max_size=15),
    st.sampled_from(["2 ft", "80 psi", "0 ft", "130 ft", "30 %", "A", "B", "pitched", "open deck",
                     "suspended tile", "a2", "a2-1", "c1", "holed", "-3 ft", "1e9 ft"]),
    st.integers(-(10**6), 10**6),
    st.floats(),
    st.booleans(),
    st.dates(),
)  # fmt: skip
ODD = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)


@st.composite
def mutated(draw):
    """(name, tree) of a demo building with one to five places out, changed, renamed or doubled."""
    name = draw(st.sampled_from([SHOPS, HOLED, STACK]))
    tree = deepcopy(TREES[name])
    for _ in range(draw(st.integers(1, 5))):
        paths = list(places(tree))
        if not paths:
            break
        *above, last = draw(st.sampled_from(paths))
        node = tree
        for key in above:
            node = node[key]
        what = draw(st.sampled_from(["out", "odd", "odd", "like", "like", "rename", "double"]))
        value = node.pop(last)
        if what == "odd":
            value = draw(ODD)
        if what == "like" and isinstance(value, str):  # a length for a length, a number for one
            value = draw(st.sampled_from(["1 ft", "9 ft", "13 ft", "40 ft", "A", "C", "shop-1"]))
        if isinstance(node, list):
            node += [] if what == "out" else [value, value] if what == "double" else [value]
        elif what != "out":
            node[draw(st.text(max_size=8)) if what == "rename" else last] = value
    return name, tree


@pytest.fixture(scope="module")
def fuzz_folder(tmp_path_factory):
    """One folder that every fuzz example writes anew."""
    return tmp_path_factory.mktemp("fuzz")


def seen_through_all(building):
    """A view through every opening and of every side, each with its surfaces."""
    views = [building.room_of(o.id) for o in building.openings]
    return [surfaces(view) for view in (*views, *map(building.view_from, SIDES))]


@given(case=mutated())
@settings(max_examples=250)
def test_mutated_file_loads_or_names_faults(fuzz_folder, case):
    """Whatever stands in the file: a building whose openings all can be looked through, or faults in words."""
    name, tree = case
    path = fuzz_folder / f"{name}.toml"
    lines = [f"{json.dumps(k)} = {toml(v)}" for k, v in tree.items()]
    path.write_text("\n".join(lines), encoding="utf-8")
    try:
        building = load_building(path)
    except DepartmentDataError as error:
        assert error.faults
        assert all(fault.startswith(path.name) for fault in error.faults)
        return
    assert seen_through_all(building) and building.lines()


@given(
    name=st.sampled_from(ALL),
    at=st.floats(0, 1),
    cut=st.integers(0, 40),
    put=st.binary(max_size=6) | st.text(max_size=6).map(str.encode),
)
def test_damaged_bytes_load_or_name_faults(fuzz_folder, name, at, cut, put):
    """Bytes cut out of or put into a file lead to no other exception."""
    raw = (FOLDER / f"{name}.toml").read_bytes()
    place = int(at * len(raw))
    path = fuzz_folder / f"{name}.toml"
    path.write_bytes(raw[:place] + put + raw[place + cut :])
    try:
        assert load_building(path).id
    except DepartmentDataError as error:
        assert error.faults


# --- what a stream sees ---------------------------------------------------------------------------------


@given(side=st.sampled_from(SIDES), s=st.floats(0, 60), x=st.floats(0, 60))
def test_measures_of_a_side_turned_to_the_plan_and_back_are_the_same(side, s, x):
    """Along a side and inward, to the plan and back."""
    p, q = _in_plan(s, x, side, 120.0, 60.0)
    assert _of_plan(p, q, side, 120.0, 60.0) == pytest.approx((s, x), abs=1e-9)


@pytest.mark.physics
def test_sides_run_clockwise_from_a_seen_from_above():
    """Each side's right end, seen from outside, is the left end of the side before it."""
    for side, before in zip("BCDA", "ABCD", strict=True):
        length = {"A": 120.0, "B": 60.0, "C": 120.0, "D": 60.0}
        right_end = _in_plan(length[side], 0.0, side, 120.0, 60.0)
        assert right_end == _in_plan(0.0, 0.0, before, 120.0, 60.0)


@pytest.mark.physics
def test_room_of_a_shop_front_has_its_measures_from_the_middle_of_the_front():
    """Shop 2: 25 to 50 ft along side A; its front 29 to 45 ft, so the middle is at 37 ft."""
    view = LOADED[SHOPS].room_of("shop-2")
    assert view.opening[:4] == (-8, 8, 1, 9)
    assert (view.room.y0_ft, view.room.y1_ft, view.room.depth_ft) == (-12, 13, 60)
    assert (view.room.ceiling.height_ft, view.room.ceiling.above_ft) == (10, 12)
    assert view.parapet_tops_ft == (16, 13, 13, 13)
    assert (view.roof.y0_ft, view.roof.y1_ft, view.roof.eaves_ft) == (-37, 113, 13)
    assert view.wall_thickness_ft == pytest.approx(8 / 12)


@pytest.mark.physics
def test_rear_door_sees_the_same_room_turned_about():
    """Rear door 5 of side C stands at 110 to 114 ft from its left end: 36 to 40 ft along side A."""
    view = LOADED[SHOPS].room_of("rear-5")
    assert view.room.id == "shop 2"
    assert (view.room.y0_ft, view.room.y1_ft) == (38 - 50, 38 - 25)
    burning = view.room.burning  # 31 to 43 ft along A, 14 to 24 ft behind it
    assert (burning.x0_ft, burning.x1_ft) == (60 - 24, 60 - 14)
    assert (burning.y0_ft, burning.y1_ft) == (38 - 43, 38 - 31)
    assert view.parapet_tops_ft == (13, 16, 13, 13)


@pytest.mark.physics
def test_end_window_sees_the_long_room_and_its_partition_across():
    """Window b3-2 of the mill, 28 to 32 ft along side B, looks down the 120 ft of the top floor."""
    view = LOADED[MILL].room_of("b3-2")
    assert (view.room.depth_ft, view.room.y0_ft, view.room.y1_ft) == (120, -30, 30)
    (wall,) = view.room.partitions
    assert (wall.x0_ft, wall.x1_ft, wall.top_ft) == (96, 96, 32)
    assert (view.room.floor_ft, view.room.ceiling.height_ft) == (24, 37)


@pytest.mark.physics
def test_stream_from_a_street_level_tip_lobbed_at_the_loading_platform_meets_the_slab():
    """From 24 ft out and 3 ft up, aimed over the dock door's head: the slab catches it, none goes in."""
    view = LOADED[MILL].room_of("c1-2")
    steep = first_strike(((-24.0, 0.0, 3.0), (-24.0 + 80.0, 0.0, 3.0 + 50.0)), view)
    assert (steep.surface, steep.kind, steep.part) == (
        "underside of the canopy",
        "concrete slab",
        "dock-slab",
    )
    assert steep.grazing_angle_deg == pytest.approx(degrees(atan(50 / 80)))
    assert steep.point[0] == pytest.approx(-24 + 8 * 80 / 50)
    low = first_strike(((-24.0, 0.0, 3.0), (56.0, 0.0, 20.0)), view)
    assert low.surface == "ceiling" and low.depth_inside_ft > 0


@pytest.mark.physics
@pytest.mark.parametrize("side", SIDES)
def test_roof_of_the_cold_store_has_its_slope_from_every_side(side):
    """The same plumb line, 20 ft behind side A: the roof is at 18 + 20 × 15/35 ft, at 23.2 deg."""
    store = LOADED[STORE]
    s, x = _of_plan(30.0, 20.0, side, 100.0, 70.0)
    y = s - ft(store.side_length(side)) / 2
    strike = first_strike(((x, y, 60.0), (x, y, -1.0)), store.view_from(side))
    assert strike.surface == "roof"
    assert strike.point[2] == pytest.approx(18 + 20 * 15 / 35)
    assert strike.grazing_angle_deg == pytest.approx(90 - degrees(atan(15 / 35)))


@pytest.mark.physics
def test_intact_roof_keeps_the_stream_out_and_the_hole_lets_it_in():
    """A straight line from 60 ft up, 30 ft out, through the middle of the hole, to the floor."""
    hole = 20.0, 18 + 20 * 15 / 35  # its middle: x behind side A, z of the slope there
    slope = (60 - hole[1]) / (hole[0] + 30)
    end = (-30 + 60 / slope + 5, 0.0, -5 * slope)
    path = ((-30.0, -2.0, 60.0), (end[0], -2.0, end[2]))
    shut = first_strike(path, LOADED[STORE].view_from("A", room_id="cold hall"))
    holed = first_strike(path, LOADED[HOLED].view_from("A", room_id="cold hall"))
    assert (shut.surface, holed.surface) == ("roof", "floor")
    assert holed.point[0] == pytest.approx(-30 + 60 / slope)
    assert (
        first_strike(path, LOADED[HOLED].view_from("A")) is None
    )  # no room named: nothing made up


@pytest.mark.physics
def test_dock_door_of_the_cold_store_sees_the_underside_of_the_roof():
    """From 30 ft out, rising 33 ft in 100: the line meets the far slope, since the near one rises faster."""
    view = LOADED[STORE].room_of("a-dock-2")
    rise = 0.33
    strike = first_strike(((-30.0, 0.0, 3.0), (120.0, 0.0, 3.0 + 150 * rise)), view)
    # 3 + rise (x + 30) = 33 - (x - 35) 15/35, behind the ridge at 35 ft
    x = (33 + 15 - 3 - 30 * rise) / (rise + 15 / 35)
    assert x > 35
    assert (strike.surface, strike.kind) == ("ceiling", "open deck")
    assert strike.depth_inside_ft == pytest.approx(x)


STORE_VIEWS = {side: LOADED[STORE].view_from(side) for side in SIDES}


def on_an_edge(point):
    """Whether a point of the cold store lies on two of its planes at once."""
    p, q, z, _ = point
    roof = 18 + min(q, 70 - q) * 15 / 35
    return sum(abs(gap) < 1e-4 for gap in (p, p - 100, q, q - 70, q - 35, z, z - roof)) > 1


@given(
    start=st.tuples(st.floats(-40, 140), st.floats(-80, 140), st.floats(1, 70)),
    aim=st.tuples(st.floats(0, 100), st.floats(0, 70), st.floats(0, 30)),
)
def test_same_line_seen_from_all_sides_strikes_the_same_point(start, aim):
    """Roof and walls are one building: a straight line in plan axes, turned to each side's axes."""
    store = LOADED[STORE]
    p, q, _ = start
    assume(p < -1 or p > 101 or q < -1 or q > 71)
    struck = []
    for side in SIDES:
        middle = ft(store.side_length(side)) / 2
        turned = []
        for point in (start, tuple(s + 3 * (a - s) for s, a in zip(start, aim, strict=True))):
            s, x = _of_plan(point[0], point[1], side, 100.0, 70.0)
            turned.append((x, s - middle, point[2]))
        strike = first_strike(turned, STORE_VIEWS[side])
        if strike is None:
            struck.append(None)
            continue
        back = _in_plan(strike.point[1] + middle, strike.point[0], side, 100.0, 70.0)
        struck.append((*back, strike.point[2], strike.grazing_angle_deg))
    for other in struck[1:]:
        assert (other is None) == (struck[0] is None)
        if other is not None:
            assert hypot(other[0] - struck[0][0], other[1] - struck[0][1]) < 1e-5
            assert other[2] == pytest.approx(struck[0][2], abs=1e-5)
            if not on_an_edge(other):  # there either of two surfaces may be named
                assert other[3] == pytest.approx(struck[0][3], abs=1e-3)


def test_view_begins_where_it_is_told_to():
    """Axes 10 ft along side A instead of its middle."""
    view = LOADED[STACK].view_from("A", left="10 ft")
    assert (view.roof.y0_ft, view.roof.y1_ft) == (-10, 30)
    assert view.opening is None and view.room is None
    assert LOADED[STACK].view_from("A", left=quantity(120, "inch")) == view


@pytest.mark.parametrize("name", ALL)
def test_demo_buildings_can_be_looked_through_at_every_opening(name):
    """Each opening has a room, and a level line through its middle strikes something in it."""
    building = LOADED[name]
    for opening in building.openings:
        view = building.room_of(opening.id)
        assert view.room is not None, opening.id
        middle = (view.opening.sill_ft + view.opening.head_ft) / 2
        strike = first_strike(((-3.0, 0.0, middle), (130.0, 0.0, middle)), view)
        assert strike.surface in ("far wall", "partition"), opening.id


def test_no_text_of_the_module_gives_a_verdict():
    """Nothing that is read back calls a building or a stream safe."""
    for building in LOADED.values():
        said = " ".join(f"{a} {b}" for a, b in building.lines())
        assert not re.search(r"\bsafe\b|within limits", said)
