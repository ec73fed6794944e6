"""Where the water goes: from the tip through the opening to the floor, and the aim helper."""

import math
import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import application as public
from aerialstream import best_aim, load_building, load_department, show, water_use
from aerialstream._core import aim as core_aim
from aerialstream._core import application as core
from aerialstream._core import spread, spread_arrays
from aerialstream.errors import ImpossibleValue, UnitError

MILL = load_building("weir-street-mill")
SHOPS = load_building("gorse-lane-shops")
STORE = load_building("saltpan-cold-store")
HOLED = load_building("saltpan-cold-store-holed")
STACK = load_building("container-stack")
DEMO = load_department()
CUTTING = MILL.room_of("a2-7")  # window 15 to 21 ft, joists at 23 ft, 30 ft deep
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


@pytest.mark.alarm
def test_a_search_over_everything_finds_little_better():
    """Change alarm, by brute force over the same model: 4,000 set-ups are hardly better."""
    rig = public.plain_rig(DEMO.device("tower-3"))
    spot = core_aim.Rig(
        (-55.0, 0.0), rig.height_ft, rig.offset_ft, rig.extension_ft, rig.elevation_deg, rig.travel,
        rig.levels,
    )  # fmt: skip
    water = core_aim.Water(2.0, (80.0,))
    found = core_aim.find(CUTTING, spot, water, kit=spread_arrays)
    best = 0.0
    for out in range(10, 53, 3):
        for up in range(4, 50, 4):
            for pitch in range(-60, 50, 4):
                for bearing in (-1.0, 1.0):
                    made, _ = core_aim.set_up_for(spot, out, up, bearing, pitch, 80.0)
                    if made is None or made.tip[0] > -3:
                        continue
                    shot = core_aim.shot_of(made, water)
                    outcome = core.what_if(CUTTING, shot, kit=spread_arrays, lines=16, times=5)
                    best = max(best, outcome.fates["on the fire"])
    assert found.outcome.fates["on the fire"] >= best - 0.06


def test_where_no_set_up_fits_the_device_it_says_what_stops_it():
    """A spot nearer than the bedded ladder is long."""
    rig = DEMO.device("platform-2")
    found = best_aim(rig, SHOPS.room_of("shop-1"), turntable_distance="9 ft", tip_diameter="2 in")
    assert found.extension is None
    assert "extension too short" in found.reason
    assert "none found" in found.text()


def test_the_helper_says_how_touchy_its_answer_is():
    """A degree of aim, ten psi, ten mph of wind: each with what would then be on the fire."""
    found = best_aim(
        DEMO.device("tower-3"), CUTTING, turntable_distance="55 ft", tip_diameter="2 in"
    )
    assert {"1 deg higher", "10 psi more", "10 mph head wind"} <= set(found.if_otherwise)
    assert all(0 <= share <= 1 for share in found.if_otherwise.values())
