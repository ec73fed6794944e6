"""Where the water goes: from the tip through the opening to the floor, and the aim helper."""

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import application as public
from aerialstream import best_aim, load_building, load_department, show, water_use
from aerialstream._core import aim as core_aim
from aerialstream._core import application as core
from aerialstream._core import spread, spread_arrays
from aerialstream._core.surfaces import Canopy, Opening, Patch, Roof, Room
from aerialstream.errors import ImpossibleValue, UnitError

MILL = load_building("weir-street-mill")
SHOPS = load_building("gorse-lane-shops")
STORE = load_building("saltpan-cold-store")
HOLED = load_building("saltpan-cold-store-holed")
STACK = load_building("container-stack")
DEMO = load_department()
CUTTING = MILL.room_of("a2-7")  # window 15 to 21 ft, joists at 23 ft, 30 ft deep
HOLED_ROOM = HOLED.view_from("A", room_id=HOLED.rooms[0].id).room
TIP = {"tip_diameter": "2 in", "nozzle_pressure": "80 psi"}


def use(view=CUTTING, *, standoff=30, height=12, pitch=15, **more):
    """`water_use` with plain numbers."""
    return water_use(
        view,
        standoff=f"{standoff:.9f} ft",
        nozzle_height=f"{height:.9f} ft",
        stream_pitch=f"{pitch:.9f} deg",
        **(TIP | more),
    )


VIEWS = {
    "mill": CUTTING,
    "mill, long room": MILL.room_of("a2-5"),
    "shop": SHOPS.room_of("shop-1"),
    "container": STACK.room_of(next(o for r in STACK.rooms for o in r.openings)),
    "cold store, intact": STORE.view_from("A", room_id=STORE.rooms[0].id),
    "cold store, holed": HOLED.view_from("A", room_id=HOLED.rooms[0].id),
}


@given(
    view=st.sampled_from(list(VIEWS)),
    standoff=st.floats(2, 90),
    height=st.floats(1, 90),
    pitch=st.floats(-80, 70),
    turn=st.floats(-60, 60),
    aside=st.floats(-30, 30),
    wind=st.floats(0, 30),
    wind_from=st.floats(0, 360),
)
@settings(max_examples=150, deadline=None)
def test_all_of_the_flow_is_accounted_for(
    view, standoff, height, pitch, turn, aside, wind, wind_from
):
    """Whatever the shot: the shares add up to one, none is below nothing, and there are words."""
    result = use(
        VIEWS[view],
        standoff=standoff,
        height=height,
        pitch=pitch,
        turn=f"{turn:.9f} deg",
        aside=f"{aside:.9f} ft",
        wind=f"{wind:.9f} mph",
        wind_from=f"{wind_from:.9f} deg",
    )
    assert set(result.shares) == set(core.FATES)
    assert sum(result.shares.values()) == pytest.approx(1, abs=1e-9)
    assert min(result.shares.values()) >= -1e-12
    assert result.text() and result.text("metric") and result.html()
    cells, _ = result.water_map()
    if cells is not None:
        landed = sum(result.shares[f] for f in core.FATES[:3])
        assert sum(map(sum, cells)) == pytest.approx(landed, abs=1e-9)


@pytest.mark.parametrize("height", [40, 50, 60])
def test_an_intact_roof_lets_in_nothing(height):
    """Water on an intact roof runs off, wherever it comes from; practice and mass balance agree."""
    result = use(VIEWS["cold store, intact"], standoff=40, height=height, pitch=-20)
    assert result.strike == "roof"
    assert result.cleared.magnitude == 0
    assert result.on_fire.magnitude == 0
    assert result.shares["shed by the roof"] == pytest.approx(1)
    assert any("intact roof" in note.text for note in result.notes)


def test_a_stream_over_the_ridge_passes_the_building():
    """It comes down behind: no wall of the room stands above the roof."""
    result = use(VIEWS["cold store, intact"], standoff=40, height=85, pitch=-20)
    assert result.strike == "ground"
    assert result.shares["outside"] == pytest.approx(1)


def test_a_stream_through_the_hole_in_the_roof_comes_in():
    """The same building with its hole: aimed at it, most of the flow comes in."""
    view = VIEWS["cold store, holed"]
    found = best_aim(DEMO.device("tower-3"), view, turntable_distance="40 ft", tip_diameter="2 in")
    assert found.use.strike == "roof"
    assert found.use.cleared.magnitude > 50
    assert found.on_fire.magnitude > 30


def test_a_stream_that_misses_the_opening_strikes_the_wall_beside_it():
    """Too high, too low, and to either side: the first surface is named and nothing comes in."""
    for more, surface in (
        ({"pitch": 25}, "wall above the opening"),
        ({"pitch": 2}, "wall below the opening"),
        ({"aside": "6 ft"}, "wall right of the opening"),
        ({"aside": "-6 ft"}, "wall left of the opening"),
    ):
        result = use(**more)
        assert result.strike == surface
        assert result.cleared.magnitude < 1
        assert result.shares["outside"] > 0.99


def test_a_concrete_slab_over_the_dock_keeps_water_out_of_the_windows_above():
    """Side C of the mill: a stream from below strikes the underside of the slab, none comes in."""
    canopy = next(c for c in MILL.canopies if c.kind == "concrete slab")
    view = next(
        view
        for o in MILL.openings
        if o.side == canopy.side and o.sill > canopy.underside + canopy.thickness
        for view in [MILL.room_of(o.id)]
        if any(c.y0_ft < -4 and c.y1_ft > 4 for c in view.canopies)
    )
    result = use(view, standoff=10, height=3, pitch=60)
    assert result.strike.startswith("underside of the")
    assert result.cleared.magnitude == 0


@pytest.mark.physics
@pytest.mark.parametrize(("standoff", "height", "pitch"), [(15, 8, 35), (20, 10, 25), (25, 13, 17)])
def test_strike_on_the_ceiling_is_where_a_parabola_meets_it(standoff, height, pitch):
    """Near the tip drag is nothing: y = h + x tan a - g x²/(2 v² cos² a), solved by hand."""
    result = use(standoff=standoff, height=height, pitch=pitch)
    assert result.strike_inside == "ceiling"
    slope, v2 = math.tan(math.radians(pitch)), 2 * 80 * 144 / 62.4 * 32.174
    bend = 32.174 / (2 * v2 * math.cos(math.radians(pitch)) ** 2)
    rise = 23 - height
    way = (slope - math.sqrt(slope**2 - 4 * bend * rise)) / (2 * bend)
    assert result.depth_inside.magnitude == pytest.approx(way - standoff, abs=0.1)
    grazing = math.degrees(math.atan(slope - 2 * bend * way))
    assert result.grazing_angle.magnitude == pytest.approx(grazing, abs=0.2)


def test_half_of_a_stream_aimed_at_the_edge_of_the_opening_comes_in():
    """Middle on the jamb: half clears, half strikes the wall."""
    edge = use(standoff=40, height=18, pitch=1, aside="2.5 ft")
    assert edge.cleared.magnitude == pytest.approx(50, abs=2)


def test_more_sway_lets_less_through_a_narrow_opening():
    """The steadier the tip, the more clears."""
    steady, shaky = use(sway="0 deg"), use(sway="3 deg")
    assert steady.cleared.magnitude > shaky.cleared.magnitude


def near_and_far(view, **shot):
    """Share in the front third and the back third of the room."""
    result = use(view, **shot)
    depth = view.room.depth_ft
    thirds = []
    for area in ((0, depth / 3), (2 * depth / 3, depth)):
        inside = replace(result, burning=(*area, -400, 400))
        made = core.what_if(view, inside.shot, kit=spread_arrays, burning=inside.burning)
        thirds.append(made.fates["on the fire"])
    return thirds


@pytest.mark.parametrize("kind", ["concrete slab", "open deck", "joists"])
def test_steep_breaks_near_the_window_and_shallow_carries_in(kind):
    """The trade's rule (common practice) off any hard ceiling."""
    room = CUTTING.room._replace(ceiling=CUTTING.room.ceiling._replace(kind=kind))
    view = CUTTING._replace(room=room)
    shallow = near_and_far(view, standoff=35, height=8, pitch=19)
    steep = near_and_far(view, standoff=8, height=9, pitch=50)
    assert steep[0] > shallow[0] and shallow[1] > steep[1]


def test_suspended_tile_comes_down_and_the_joists_above_take_over():
    """A shop: the stream drops the tile at 10 ft and strikes the joists at 12 ft."""
    view = SHOPS.room_of("shop-1")
    result = use(view, standoff=12, height=5, pitch=15)
    assert result.strike == "suspended tile"
    assert result.ceiling_down
    assert result.strike_inside == "layer above the tile"
    assert any("tile" in note.text.lower() for note in result.notes)


def test_wind_from_the_left_and_from_the_right_are_mirror_images():
    """A room that is the same on both sides sees the same shares."""
    room = CUTTING.room._replace(y0_ft=-12.0, y1_ft=12.0, burning=None, partitions=())
    view = CUTTING._replace(room=room)
    left = use(view, wind="20 mph", wind_from="-90 deg", burning=(0, 30, -12, 0))
    right = use(view, wind="20 mph", wind_from="90 deg", burning=(0, 30, 0, 12))
    assert left.on_fire.magnitude == pytest.approx(right.on_fire.magnitude, abs=1e-9)


@given(
    view=st.sampled_from(list(VIEWS)),
    standoff=st.floats(3, 60),
    height=st.floats(2, 60),
    pitch=st.floats(-60, 60),
)
@settings(max_examples=40, deadline=None)
def test_with_and_without_numpy_the_answers_are_the_same(view, standoff, height, pitch):
    """One set of equations: every share agrees to 1e-9."""
    view = VIEWS[view]
    shot = core.Shot((-standoff, 0.5, height), pitch, 3.0, 2.0, 80.0, 1062.0)
    plain = core.what_if(view, shot, kit=spread)
    batch = core.what_if(view, shot, kit=spread_arrays)
    assert plain.fates == pytest.approx(batch.fates, abs=1e-9)


def test_works_where_numpy_is_not_there():
    """As in a browser: numpy cannot be imported, the words are the same."""
    code = (
        "import sys; sys.modules['numpy'] = None; sys.path.insert(0, 'shared')\n"
        "import importlib.util as u; find = u.find_spec\n"
        "u.find_spec = lambda name, *a: None if name == 'numpy' else find(name, *a)\n"
        "from aerialstream import load_building, water_use\n"
        "v = load_building('weir-street-mill').room_of('a2-7')\n"
        "r = water_use(v, standoff='30 ft', nozzle_height='12 ft', stream_pitch='15 deg',\n"
        "    tip_diameter='2 in', nozzle_pressure='80 psi')\n"
        "assert isinstance(r.outcome.parts, list)\n"
        "print([pair for pair in r.lines()])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == str([pair for pair in use().lines()])


def test_map_bands_do_not_hang_on_the_cells():
    """A coarser map shows the same: each band's share of the floor moves little."""
    result = use(standoff=15, height=8, pitch=33)

    def wet(cell):
        bands, _ = result.map_bands(cell)
        flat = [band for row in bands for band in row]
        return sum(band >= 2 for band in flat) / len(flat)

    assert wet(1.0) == pytest.approx(wet(2.0), abs=0.08)


def test_range_on_fire_holds_the_value():
    """The usual constants lie within their ranges, so does what comes of them."""
    result = use()
    least, most = result.range_on_fire()
    assert least - 1e-9 <= result.on_fire.magnitude / 100 <= most + 1e-9
    assert most > least


@pytest.mark.parametrize(
    ("share", "words"),
    [(0, "none"), (0.004, "none"), (0.1, "little"), (0.3, "some"), (0.5, "about half"),
     (0.8, "most"), (0.95, "nearly all"), (1.0, "nearly all")],
)  # fmt: skip
def test_a_share_is_said_in_a_band(share, words):
    """No decimals for what is not known to a decimal."""
    assert public.in_words(share) == words


def test_every_fault_is_named_at_once():
    """Impossible and hostile input: one error, all faults, with the fix."""
    with pytest.raises(UnitError) as caught:
        water_use(
            CUTTING,
            standoff="30",
            nozzle_height="12 psi",
            stream_pitch="80 deg",
            tip_diameter="-2 in",
            nozzle_pressure="inf psi",
        )
    said = str(caught.value)
    for name in ("standoff", "nozzle_height", "stream_pitch", "tip_diameter", "nozzle_pressure"):
        assert name in said
    with pytest.raises(ImpossibleValue, match="quality"):
        use(quality="marvellous")
    with pytest.raises(ImpossibleValue, match="front < back"):
        use(burning=(3, 2, 0, 1))


# --- where the stream is partly stopped, and what is beside the room ---------------------------------


DRAGS = {
    "over the canopy's edge": ("shop 6", -25, 20, -45, -15),
    "from the far wall to the ceiling": ("container", -15, 8, 14, 32),
    "over the roof's edge": ("mill", -35, 40, -10, 8),
    "from the ground into a door": ("dock", -40, 10, -14, 12),
}
DRAGGED = {
    "shop 6": SHOPS.room_of("shop-6"),
    "container": STACK.room_of("a2"),
    "mill": MILL.room_of("c2-3"),
    "dock": HOLED.room_of("a-dock-2"),
}


@pytest.mark.parametrize("way", list(DRAGS))
def test_shares_change_smoothly_while_the_pitch_is_dragged(way):
    """A tenth of a degree moves no share by more than 0.15, whatever edge the stream goes over."""
    view, x, z, low, high = DRAGS[way]
    before = None
    for tenth in range(10 * low, 10 * high):
        shot = core.Shot((x, 0.0, z), tenth / 10, 0.0, 2.0, 80.0, 1062.0)
        now = core.what_if(DRAGGED[view], shot, kit=spread_arrays).fates
        if before:
            assert max(abs(now[f] - before[f]) for f in now) < 0.15, tenth / 10
        before = now


@pytest.mark.physics
def test_half_of_a_stream_aimed_at_the_edge_of_a_slab_comes_in():
    """Middle on the slab's lower edge, level: what is below passes, what is above strikes the edge."""
    slab = Canopy("canopy", "concrete slab", 6.0, -30.0, 30.0, 18.0, 19.0)
    view = CUTTING._replace(canopies=(slab,))
    drop = 32.174 * 24**2 / (2 * 2 * 80 * 144 / 62.4 * 32.174)
    result = use(view, standoff=30, height=18 + drop, pitch=0)
    assert result.cleared.magnitude == pytest.approx(50, abs=5)
    assert use(view, standoff=30, height=18 + drop + 0.7, pitch=0).cleared.magnitude < 3
    grating = CUTTING._replace(canopies=(slab._replace(kind="open"),))
    through = use(grating, standoff=30, height=18 + drop + 0.7, pitch=0)
    assert through.cleared.magnitude > 97
    assert any("grating" in note.text for note in through.notes)


@pytest.mark.physics
@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize(("aside", "turn"), [(12, -40), (-12, 40)])
def test_water_off_a_partition_stays_on_the_side_it_came_from(aside, turn, order):
    """Walls from front to back to the left and right, and one more between them far in."""
    sides = (Patch(0, 30, -4, -4, "left"), Patch(0, 30, 4, 4, "right"))
    walls = (Patch(20, 20, -4, 4, "far"), *sides)[::order]
    room = CUTTING.room._replace(partitions=walls, burning=None)
    view = CUTTING._replace(room=room)
    result = use(view, standoff=12, height=17, pitch=2, aside=f"{aside} ft", turn=f"{turn} deg")
    assert result.strike_inside == "partition"
    assert result.outcome.room == pytest.approx((1.5, 20.0, -4.0, 4.0))
    side = math.copysign(1, turn)
    assert result.outcome.inside.point[1] == pytest.approx(4 * side)
    x, y, _, _ = result.outcome.parts
    assert x.min() >= 1.5 - 1e-9 and x.max() <= 20 + 1e-9
    assert y.min() >= -4 - 1e-9 and y.max() <= 4 + 1e-9
    assert (np.abs(y - 4 * side) < 1e-9).any()


def test_water_over_a_low_screen_falls_at_its_foot():
    """A screen of 7 ft in a room of 8: the part of the film that runs over it goes down there."""
    screen = Patch(10.0, 10.0, CUTTING.room.y0_ft, CUTTING.room.y1_ft, "screen", 19.0)
    view = CUTTING._replace(room=CUTTING.room._replace(partitions=(screen,), burning=None))
    result = use(view, standoff=20, height=18, pitch=0)
    assert result.strike_inside == "partition"
    assert result.shares["down the walls inside"] == pytest.approx(
        result.cleared.magnitude / 100, abs=1e-9
    )
    assert result.outcome.room[1] == CUTTING.room.depth_ft


def _with_racks(top_ft):
    """The cutting room, floor 12 ft up, with a row of racks across it 12 ft in."""
    room = CUTTING.room
    racks = Patch(12.0, 12.0, room.y0_ft, room.y1_ft, "racks", top_ft)
    return CUTTING._replace(room=room._replace(partitions=(racks,), burning=None))


BEHIND = (13, 28, -12, 12)


@pytest.mark.physics
@pytest.mark.parametrize("top_ft", [12.5, 15.0, 18.0, math.inf])
def test_water_on_the_floor_does_not_pass_a_rack_that_stands_on_it(top_ft):
    """It ran through below a low one, and counted as on the fire behind."""
    result = use(_with_racks(top_ft), standoff=15, height=21, pitch=-18, burning=BEHIND)
    assert result.strike_inside == "floor" and result.depth_inside.magnitude < 10
    assert result.on_fire.magnitude < 1
    assert result.outcome.room[1] == 12
    assert result.outcome.parts[0].max() <= 12 + 1e-9
    assert any("however low" in note.text for note in result.notes) == (top_ft != math.inf)


@pytest.mark.physics
def test_water_on_the_floor_behind_a_low_rack_stays_behind_it():
    """Over the rack and down close behind it: the foot of the rack is the front of the floor."""
    shot = core.Shot((-12.0, 0.0, 22.0), -20.0, 0.0, 2.0, 80.0, 1062.0)
    outcome = core.what_if(_with_racks(12.1), shot, kit=spread_arrays, burning=BEHIND, fan=False)
    assert outcome.inside.surface == "floor" and 12.5 < outcome.inside.point[0] < 13
    assert outcome.room[:2] == (12, CUTTING.room.depth_ft)
    assert outcome.parts[0].min() >= 12 - 1e-9
    assert outcome.fates["on the fire"] > 0.85


def test_water_on_the_floor_runs_round_a_rack_that_leaves_a_gap():
    """Only what runs from wall to wall ends the floor; the model is not finer than that."""
    room = CUTTING.room
    short = Patch(12.0, 12.0, room.y0_ft + 3, room.y1_ft, "racks", 18.0)
    view = CUTTING._replace(room=room._replace(partitions=(short,), burning=None))
    result = use(view, standoff=15, height=21, pitch=-18, burning=BEHIND)
    assert result.outcome.room[1] == room.depth_ft
    assert not any("however low" in note.text for note in result.notes)


def test_water_off_the_ceiling_passes_over_a_low_rack():
    """The rack neither ends its floor nor changes a share; a note says what is left out."""
    aim = {"standoff": 15, "height": 8, "pitch": 38, "burning": BEHIND}
    racked, free = use(_with_racks(18.0), **aim), use(_with_racks(12.0), **aim)
    assert racked.strike_inside == "ceiling"
    assert racked.outcome.room[1] == CUTTING.room.depth_ft
    assert racked.shares == pytest.approx(free.shares)
    assert any("strike its face" in note.text for note in racked.notes)


def test_a_stream_into_the_next_window_is_inside_but_not_followed():
    """It is not called outside: the share goes in somewhere, and a note says it is not followed."""
    result = use(standoff=20, height=17, pitch=3, aside="12 ft")
    assert result.strike == "another opening"
    assert result.cleared.magnitude < 0.01
    assert result.shares["inside, where is not known"] > 0.95
    assert any("another opening" in note.text for note in result.notes)


@pytest.mark.physics
def test_a_hole_over_another_room_brings_no_water_into_this_one():
    """The room ends 30 ft before the hole: what falls in is inside, where nobody entered anything."""
    room = Room("left end", 60.0, -40.0, -10.0, 0.0, HOLED_ROOM.ceiling, True, burning=None)
    view = VIEWS["cold store, holed"]._replace(room=room)
    hole = view.roof.holes[0]
    middle = ((hole.x0_ft + hole.x1_ft) / 2, (hole.y0_ft + hole.y1_ft) / 2)
    shot = core.Shot((-20.0, middle[1], 45.0), -22.0, 0.0, 2.0, 80.0, 1062.0)
    outcome = core.what_if(view, shot, kit=spread_arrays)
    assert outcome.cleared > 0.3
    assert outcome.fates["inside, where is not known"] == pytest.approx(outcome.cleared)


@pytest.mark.agreement
@pytest.mark.parametrize(("pitch", "turn"), [(-40, 0), (-25, 20), (-60, -30)])
def test_share_through_a_hole_agrees_with_parallel_rays(pitch, turn):
    """A round normal bundle laid on the slope, ray by ray, against the product of two shares."""
    roof = Roof(60.0, -40.0, 40.0, 20.0, 40.0, "y", (Patch(8.0, 11.0, -2.0, 1.5),))
    view = VIEWS["cold store, holed"]._replace(roof=roof)
    shot = core.Shot((-20.0, -0.3, 45.0), pitch, turn, 2.0, 80.0, 1062.0)
    normal = np.array([-20 / 30, 0, 1]) / math.hypot(20 / 30, 1)
    direction = np.array([
        math.cos(math.radians(pitch)) * math.cos(math.radians(turn)),
        math.cos(math.radians(pitch)) * math.sin(math.radians(turn)),
        math.sin(math.radians(pitch)),
    ])  # fmt: skip
    point = np.array([9.0, -0.5, 26.0])
    strike = core.first_strike(
        (tuple(point - 30 * direction), tuple(point + direction)),
        view._replace(roof=roof._replace(holes=())),
    )
    assert strike.point == pytest.approx(tuple(point))
    sigma = core.spread_ft(shot, strike.distance_along_ft)
    across = np.cross(direction, [0, 0, 1.0])
    across /= np.linalg.norm(across)
    grid = np.random.default_rng(5).normal(0, sigma, (200_000, 2))
    rays = grid[:, :1] * across + grid[:, 1:] * np.cross(direction, across)
    rays = rays - (rays @ normal / (direction @ normal))[:, None] * direction + point
    through = (rays[:, 0] > 8) & (rays[:, 0] < 11) & (rays[:, 1] > -2) & (rays[:, 1] < 1.5)
    assert core.hole_share(view, shot, strike) == pytest.approx(through.mean(), abs=0.03)


def test_a_view_without_a_room_says_so_wherever_the_stream_goes():
    """In at the front with nothing entered behind: no strike is made up, and nothing breaks."""
    view = CUTTING._replace(room=None)
    for pitch in (12, 15, 18):
        result = use(view, pitch=pitch)
        assert result.strike_inside is None
        known = result.shares["inside, where is not known"]
        assert known == pytest.approx(result.cleared.magnitude / 100, abs=1e-6)


def test_what_burns_may_be_written_with_units():
    """Texts and plain feet are the same; what is neither is refused with the fix."""
    plain = use(burning=(20, 30, -6, 6))
    texts = use(burning=("20 ft", "9.144 m", "-6 ft", "72 in"))
    assert texts.on_fire.magnitude == pytest.approx(plain.on_fire.magnitude, abs=1e-9)
    for wrong in ((1, 2, 3), 5, ("a", 2, 3, 4), (0, float("nan"), 0, 1), ("5 psi", 8, 0, 1)):
        with pytest.raises((ImpossibleValue, UnitError), match=r"burning|psi"):
            use(burning=wrong)


# --- the aim helper ------------------------------------------------------------------------------


@pytest.mark.parametrize("device", ["tower-3", "ladder-9", "platform-2"])
def test_the_proposed_set_up_fits_the_device_and_makes_the_share_it_says(device):
    """Extension, elevation and nozzle travel are the device's; shot again, it gives the same."""
    rig = DEMO.device(device)
    found = best_aim(rig, CUTTING, turntable_distance="55 ft", tip_diameter="2 in")
    assert found.extension is not None
    assert rig.extension.least <= found.extension <= rig.extension.most
    assert rig.elevation.least <= found.elevation <= rig.elevation.most
    assert -rig.nozzle_travel.down <= found.nozzle_pitch <= rig.nozzle_travel.up
    again = water_use(
        CUTTING,
        standoff=found.tip_standoff,
        nozzle_height=found.tip_height,
        stream_pitch=found.stream_pitch,
        turn=found.bearing,
        aside=f"{found.set_up.tip[1]} ft",
        tip_diameter="2 in",
        nozzle_pressure=found.nozzle_pressure,
    )
    assert again.on_fire.magnitude == pytest.approx(found.on_fire.magnitude, abs=0.5)
    assert show(found.extension) in found.text()


def test_where_no_set_up_fits_the_device_it_says_what_stops_it():
    """A spot nearer than the bedded ladder is long."""
    rig = DEMO.device("platform-2")
    found = best_aim(rig, SHOPS.room_of("shop-1"), turntable_distance="9 ft", tip_diameter="2 in")
    assert found.extension is None
    assert "extension too short" in found.reason
    assert "none found" in found.text()


def test_where_nothing_can_be_found_the_reason_is_the_true_one():
    """Nobody entered what burns; nothing lets water in; set-ups fit, but none reaches."""
    rig, shop = DEMO.device("tower-3"), SHOPS.room_of("shop-6")
    spot = {"turntable_distance": "45 ft", "tip_diameter": "2 in"}
    cold = shop._replace(room=shop.room._replace(burning=None))
    assert "nobody entered what burns" in best_aim(rig, cold, **spot).reason
    assert "lets nothing in" in best_aim(rig, VIEWS["cold store, intact"], **spot).reason
    behind = best_aim(rig, CUTTING, burning=(2, 4, 40, 45), **spot)
    assert behind.reason.startswith(f"none of the {behind.tried} set-ups")


def test_wind_from_the_left_is_from_the_left_of_the_stream():
    """Two set-ups, mirror images: left of one is right of the other, head wind the same for both."""
    room = CUTTING.room._replace(y0_ft=-12.0, y1_ft=12.0, burning=None, partitions=())
    view = CUTTING._replace(room=room, other_openings=(Opening(9.5, 14.5, 15, 21),))
    water = core_aim.Water(1.0, (60.0,))
    said = []
    for side in (1, -1):
        tip = (-30.0, -30.0 * side, 18.0)
        made = core_aim.SetUp(50.0, 20.0, 45.0 * side, 0.0, 3.0, 60.0, tip)
        area = (0, 30, 0, 12) if side > 0 else (0, 30, -12, 0)
        said.append(core_aim.sensitivity(view, made, water, kit=spread_arrays, burning=area))
    one, other = said
    assert one["10 mph wind from the left"] == pytest.approx(other["10 mph wind from the right"])
    assert one["10 mph head wind"] == pytest.approx(other["10 mph head wind"])
    assert one["10 mph tail wind"] == pytest.approx(other["10 mph tail wind"])
    assert one["10 mph wind from the left"] != pytest.approx(one["10 mph wind from the right"])


SPOTS = {
    "fire near": ("tower-3", CUTTING, (-55.0, 0.0), (4, 12, -6, 6)),
    "fire off the line": ("tower-3", CUTTING, (-55.0, 0.0), (8, 18, 10, 22)),
    "turntable aside": ("tower-3", CUTTING, (-50.0, 25.0), (10, 20, -8, 7)),
    "under the canopy": ("platform-2", DRAGGED["shop 6"], (-50.0, -12.0), None),
    "hole in the roof": ("tower-3", VIEWS["cold store, holed"], (-45.0, 0.0), None),
    "low door": ("tower-3", MILL.room_of("a-door"), (-50.0, 0.0), None),
}


@pytest.mark.alarm
@pytest.mark.parametrize("spot", list(SPOTS))
def test_a_general_optimiser_finds_little_better(spot):
    """Change alarm over the same model: scipy's differential evolution, free in all five numbers."""
    from scipy.optimize import differential_evolution

    device, view, place, burning = SPOTS[spot]
    rig = public.plain_rig(DEMO.device(device))
    rig = core_aim.Rig(
        place, rig.height_ft, rig.offset_ft, rig.extension_ft, rig.elevation_deg, rig.travel,
        rig.levels,
    )  # fmt: skip
    water = core_aim.Water(2.0, (60.0, 80.0, 100.0))
    detail = {"kit": spread_arrays, "burning": burning}
    found = core_aim.find(view, rig, water, **detail)

    def lost(numbers):
        out, up, bearing, pitch, pressure = map(float, numbers)
        made, _ = core_aim.set_up_for(rig, out, up, bearing, pitch, pressure)
        if made is None or made.tip[0] > -3:
            return 1.0
        made = core.what_if(
            view, core_aim.shot_of(made, water), lines=16, times=5, fan=False, **detail
        )
        return -made.fates["on the fire"] - 0.01 * made.cleared

    straight = math.degrees(math.atan2(-place[1], -place[0]))
    bounds = [(5, 55), (1, 70), (straight - 6, straight + 6), (-70, 60), (60, 100)]
    best = differential_evolution(lost, bounds, popsize=8, maxiter=25, seed=1, polish=False)
    assert found.outcome.fates["on the fire"] >= -best.fun - 0.01 - 0.05


def test_the_helper_says_how_touchy_its_answer_is():
    """A degree of aim, ten psi, ten mph of wind: each with what would then be on the fire."""
    found = best_aim(
        DEMO.device("tower-3"), CUTTING, turntable_distance="55 ft", tip_diameter="2 in"
    )
    assert {"1 deg higher", "10 psi more", "10 mph head wind"} <= set(found.if_otherwise)
    assert all(0 <= share <= 1 for share in found.if_otherwise.values())
