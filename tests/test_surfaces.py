"""What a stream meets at an opening: hand-worked lines and parabolas, and shares that clear it.

Depths of the shop-front cases are straight-line trigonometry: tan(angle) = rise / run.
"""

from math import asinh, atan, cos, degrees, exp, hypot, radians, sin, sqrt, tan

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from aerialstream._core import surfaces as core
from aerialstream._core.surfaces import (
    Canopy,
    Ceiling,
    Opening,
    Patch,
    Roof,
    Room,
    RoomView,
    clear_share,
    facade_crossing,
    facade_spread_ft,
    first_strike,
    sampled,
    surfaces,
)

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

GRAVITY = 32.174  # ft/s²


def shop(**changed):
    """A shop 60 ft deep and 30 ft wide: front 16 ft wide from 1 to 9 ft, joists at 12 ft, flat roof."""
    given_ceiling = changed.pop("ceiling", Ceiling("joists", 12.0))
    room = Room("shop", 60.0, -15.0, 15.0, 0.0, given_ceiling, True)
    view = RoomView(
        opening=Opening(-8.0, 8.0, 1.0, 9.0, "front"),
        wall_thickness_ft=0.0,
        roof=Roof(60.0, -30.0, 30.0, 13.0, 13.0),
        parapet_tops_ft=(16.0, 13.0, 13.0, 13.0),
        room=room._replace(**changed.pop("room", {})),
    )
    return view._replace(**changed)


def line(start, elevation, bearing=0.0, length=300.0):
    """A straight path: elevation above level, bearing to the right of square-on, in degrees."""
    up, aside = radians(elevation), radians(bearing)
    way = (cos(up) * cos(aside), cos(up) * sin(aside), sin(up))
    return (start, tuple(p + length * d for p, d in zip(start, way, strict=True)))


def thrown(start, elevation, speed, seconds=4.0, count=1):
    """A parabola without air, as time, place and velocity."""
    up = radians(elevation)
    vx, vz = speed * cos(up), speed * sin(up)

    def at(t):
        return (
            start[0] + vx * t,
            start[1],
            start[2] + vz * t - GRAVITY * t * t / 2,
            vx,
            0.0,
            vz - GRAVITY * t,
        )

    return sampled(at, 0.0, seconds, count)


# --- ceilings, by hand -----------------------------------------------------------------------------


@pytest.mark.physics
@pytest.mark.parametrize(("standoff", "depth"), [(6, 4.0), (10, 6.7), (15, 10.0), (24, 16.0)])
def test_steepest_line_under_the_head_strikes_the_ceiling_where_trigonometry_says(standoff, depth):
    """Tip at 4.51 ft, head 9 ft, ceiling 12 ft: the line that touches the head goes on rising 3 ft."""
    angle = degrees(atan((9 - 4.51) / standoff))
    strike = first_strike(line((-standoff, 0.0, 4.51), angle), shop())
    assert strike.surface == "ceiling" and strike.kind == "joists"
    assert strike.depth_inside_ft == pytest.approx(depth, abs=0.05)
    assert strike.grazing_angle_deg == pytest.approx(angle, abs=1e-9)
    assert strike.distance_along_ft == pytest.approx((12 - 4.51) / sin(radians(angle)))


@pytest.mark.physics
def test_nozzle_that_cannot_aim_up_strikes_far_inside_at_a_flat_angle():
    """A nozzle 10 deg above its ladder at best: 8.29 deg from 6.81 ft, 15 ft out: 20.6 ft inside."""
    strike = first_strike(line((-15.0, 0.0, 6.81), 8.29), shop())
    assert strike.surface == "ceiling"
    assert strike.depth_inside_ft == pytest.approx(20.6, abs=0.05)
    assert strike.grazing_angle_deg == pytest.approx(8.29, abs=1e-9)


@pytest.mark.physics
def test_line_to_15_ft_inside_clears_the_head_and_to_5_ft_inside_hits_above_it():
    """From 15 ft: 14.04 deg passes the front at 8.25 ft; 20.56 deg meets the wall at 10.1 ft."""
    aimed = line((-15.0, 0.0, 4.5), degrees(atan((12 - 4.5) / 30)))
    assert facade_crossing(aimed).point[2] == pytest.approx(8.25, abs=0.005)
    assert first_strike(aimed, shop()).depth_inside_ft == pytest.approx(15, abs=1e-9)
    high = first_strike(line((-15.0, 0.0, 4.51), 20.56), shop())
    assert high.surface == "wall above the opening"
    assert high.point[2] == pytest.approx(10.1, abs=0.05)
    assert high.grazing_angle_deg == pytest.approx(90 - 20.56)
    assert high.depth_inside_ft == 0


@pytest.mark.physics
@pytest.mark.parametrize("count", [1, 7, 200])
def test_parabola_level_through_the_front_lands_where_free_fall_says(count):
    """From 8 ft, 10 ft out, 70 ft/s: falls 8 ft in sqrt(16/g) s; length by the arc's own formula."""
    seconds = sqrt(2 * 8 / GRAVITY)
    strike = first_strike(thrown((-10.0, 0.0, 8.0), 0, 70, count=count), shop())
    assert strike.surface == "floor"
    assert strike.depth_inside_ft == pytest.approx(70 * seconds - 10, abs=1e-9)
    slope = GRAVITY * seconds / 70
    assert strike.grazing_angle_deg == pytest.approx(degrees(atan(slope)), abs=1e-9)
    arc = 70**2 / GRAVITY * (slope * hypot(1, slope) + asinh(slope)) / 2
    assert strike.distance_along_ft == pytest.approx(arc, abs=1e-5)


@pytest.mark.physics
@pytest.mark.parametrize("count", [1, 40])
def test_parabola_rising_to_a_ceiling_strikes_at_the_first_root(count):
    """60 ft/s at 20 deg from 5 ft, 8 ft out: 12 ft is met at the earlier time of the quadratic."""
    vx, vz = 60 * cos(radians(20)), 60 * sin(radians(20))
    at_head = 8 / vx
    assert 5 + vz * at_head - GRAVITY * at_head**2 / 2 < 9
    meets = 10.5 - 5
    seconds = (vz - sqrt(vz**2 - 2 * GRAVITY * meets)) / GRAVITY
    low = shop(ceiling=Ceiling("concrete slab", 10.5))
    strike = first_strike(thrown((-8.0, 0.0, 5.0), 20, 60, 2.0, count), low)
    assert (strike.surface, strike.kind) == ("ceiling", "concrete slab")
    assert strike.depth_inside_ft == pytest.approx(vx * seconds - 8, abs=1e-9)
    assert strike.grazing_angle_deg == pytest.approx(degrees(atan((vz - GRAVITY * seconds) / vx)))


@pytest.mark.alarm
@pytest.mark.parametrize(
    ("elevation", "out", "inside", "grazing"), [(35, 40, 8.0, 27), (58, 20, 2.8, 54)]
)
def test_shallow_and_steep_case_of_the_water_map(elevation, out, inside, grazing):
    """2 in at 80 psi (109 ft/s), by gravity alone: the grazing angles that the stream model gave."""
    run, speed = out + inside, 12.2 * sqrt(80)
    seconds = run / (speed * cos(radians(elevation)))
    rise = speed * sin(radians(elevation)) * seconds - GRAVITY * seconds**2 / 2
    room = {"floor_ft": rise - 9.0, "depth_ft": 30.0, "ceiling": Ceiling("concrete slab", rise)}
    high = shop(
        opening=Opening(-8.0, 8.0, rise - 8.5, rise - 0.1),
        room=room,
        roof=Roof(60.0, -30.0, 30.0, rise + 2, rise + 2),
        parapet_tops_ft=(rise + 2,) * 4,
    )
    strike = first_strike(thrown((-out, 0.0, 0.0), elevation, speed, 2.0), high)
    assert strike.surface == "ceiling"
    assert strike.depth_inside_ft == pytest.approx(inside, abs=1e-6)
    assert strike.grazing_angle_deg == pytest.approx(grazing, abs=0.5)


# --- each surface ------------------------------------------------------------------------------------

SLAB = Canopy("canopy", "concrete slab", 6.0, -10.0, 10.0, 10.0, 10.5, "walk")
PITCHED = {
    "roof": Roof(60.0, -30.0, 30.0, 13.0, 28.0, "y"),
    "parapet_tops_ft": (13.0,) * 4,
    "ceiling": Ceiling("open deck", core.inf),
}
GABLE = {**PITCHED, "roof": Roof(60.0, -30.0, 30.0, 13.0, 28.0, "x")}
HOLE = Patch(10.0, 20.0, -5.0, 5.0, "burnt")
WALL = Patch(20.0, 20.0, -15.0, 15.0, "stock room")


@pytest.mark.physics
@pytest.mark.parametrize(
    ("start", "aim", "changed", "surface", "part"),
    [
        ((-20, 0, 5), (60, 0, 7), {}, "far wall", ""),
        ((-20, 0, 6), (30, 0, 0), {}, "floor", ""),
        ((-10, 0, 5), (20, -15, 6), {}, "left wall of the room", ""),
        ((-10, 0, 5), (20, 15, 6), {}, "right wall of the room", ""),
        ((-20, 0, 6), (-5, 0, 0), {}, "ground", ""),
        ((-20, 0, 6), (0, 0, 0.5), {}, "wall below the opening", ""),
        ((-20, 0, 6), (0, 0, 11), {}, "wall above the opening", ""),
        ((-20, 0, 6), (0, -9, 6), {}, "wall left of the opening", ""),
        ((-20, 0, 6), (0, 9, 6), {}, "wall right of the opening", ""),
        ((-20, 0, 6), (0, 9, 6), {"opening": None}, "wall", ""),
        ((-20, 0, 6), (0, 0, 14), {}, "face of the parapet", ""),
        ((-20, 0, 25), (20, 0, 13), {}, "roof", ""),
        ((-20, 0, 25), (60, 0, 14), {"parapet_tops_ft": (13, 16, 13, 13)}, "inner face of the parapet", ""),
        ((-20, 0, 25), (80, 0, 0), {"roof": Roof(10, -30, 30, 13, 13), "room": {"depth_ft": 10.0}}, "ground", ""),
        ((-20, -50, 5), (20, -30, 6), {}, "another side of the building", ""),
        ((90, 0, 30), (60, 0, 6), {}, "another side of the building", ""),
        ((-20, 0, 5), (0, 20, 5), {"other_openings": (Opening(18, 22, 1, 9, "next"),)}, "another opening", "next"),
        ((-20, 0, 5), (-3, 0, 10), {"canopies": (SLAB,)}, "underside of the canopy", "walk"),
        ((-20, 0, 8), (-6, 0, 10.2), {"canopies": (SLAB,)}, "edge of the canopy", "walk"),
        ((-20, 0, 30), (-3, 0, 10.5), {"canopies": (SLAB,)}, "top of the canopy", "walk"),
        ((-4, 20, 10.2), (-2, 10, 10.2), {"canopies": (SLAB,)}, "right end of the canopy", "walk"),
        ((-4, -20, 10.2), (-2, -10, 10.2), {"canopies": (SLAB,)}, "left end of the canopy", "walk"),
        ((-10, 0, 5), (5, 0, 10), {"ceiling": Ceiling("suspended tile", 10.0, "joists", 12.0)}, "suspended tile", ""),
        ((-20, 0, 5), (20, 0, 6), {"room": {"partitions": (WALL,)}}, "partition", "stock room"),
        ((-20, 0, 5), (60, 0, 9.9), {"room": {"partitions": (WALL._replace(top_ft=6.0),)}}, "far wall", ""),
        ((-20, 0, 8.5), (0.5, 0, 9), {"wall_thickness_ft": 1.0}, "head of the opening", ""),
        ((-20, 0, 4), (0.5, 0, 1), {"wall_thickness_ft": 1.0}, "sill of the opening", ""),
        ((-20, 0, 5), (0.5, -8, 5), {"wall_thickness_ft": 1.0}, "left jamb of the opening", ""),
        ((-20, 0, 5), (0.5, 8, 5), {"wall_thickness_ft": 1.0}, "right jamb of the opening", ""),
        ((-20, 0, 40), (15, 0, 20.5), PITCHED, "roof", ""),
        ((-20, 0, 5), (34 / 0.7, 0, 5 + 0.2 * (34 / 0.7 + 20)), PITCHED, "ceiling", ""),
        ((-20, 0, 5), (0, 0, 20), GABLE, "wall above the opening", ""),
        ((-20, 0, 5), (0, -25, 15), GABLE, "wall left of the opening", ""),
        ((5, 0, 50), (5 + 9 * 50 / 37, 0, 0), {"roof": Roof(60, -30, 30, 13, 13, "", (HOLE,)), "ceiling": Ceiling("open deck", 12.5)}, "floor", ""),
        ((-20, 0, 40), (15, 0, 12), {"roof": Roof(60, -30, 30, 13, 13, "", (HOLE,))}, "upper side of the ceiling", ""),
        ((-20, 0, 40), (15, 0, 12), {"roof": Roof(60, -30, 30, 13, 13, "", (HOLE,)), "room": {"top_storey": False}}, "floor of the storey above", ""),
    ],
)  # fmt: skip
def test_aimed_line_strikes_the_surface_it_is_aimed_at(start, aim, changed, surface, part):
    """A straight line laid through a known point of a surface meets that one, at that point."""
    end = tuple(a + 2 * (a - s) for s, a in zip(start, aim, strict=True))
    strike = first_strike((start, end), shop(**changed))
    assert (strike.surface, strike.part) == (surface, part)
    assert strike.point == pytest.approx(aim, abs=1e-9)
    long = sqrt(sum((p - s) ** 2 for s, p in zip(start, strike.point, strict=True)))
    assert strike.distance_along_ft == pytest.approx(long)


@pytest.mark.physics
def test_tile_let_through_gives_the_layer_above_it():
    """The tile at 10 ft drops out; the same line meets the joists at 12 ft, further in."""
    view = shop(ceiling=Ceiling("suspended tile", 10.0, "joists", 12.0))
    path = line((-10.0, 0.0, 5.0), 20)
    tile = first_strike(path, view)
    joists = first_strike(path, view, passing=("suspended tile",))
    assert (tile.surface, joists.surface) == ("suspended tile", "layer above the tile")
    assert joists.kind == "joists"
    assert tile.depth_inside_ft == pytest.approx(5 / tan(radians(20)) - 10)
    assert joists.depth_inside_ft == pytest.approx(7 / tan(radians(20)) - 10)


@pytest.mark.physics
@pytest.mark.parametrize("changed", [PITCHED, GABLE])
def test_pitched_roof_is_met_square_on_by_a_stream_along_its_normal(changed):
    """Rise 15 ft over a half span of 30 ft: a line straight down meets it at 90 - 26.57 deg."""
    pitch = degrees(atan(15 / 30))
    down = first_strike(((12.0, -8.0, 60.0), (12.0, -8.0, 0.0)), shop(**changed))
    assert down.surface == "roof" and down.kind == "pitched roof"
    assert down.grazing_angle_deg == pytest.approx(90 - pitch)
    run = 12.0 if changed is PITCHED else 30.0 - 8.0
    assert down.point[2] == pytest.approx(13 + run / 2)


def test_view_without_a_room_has_nothing_to_meet_behind_the_opening():
    """Through the opening, and nobody entered what is there: no strike is made up."""
    view = shop()._replace(room=None)
    assert first_strike(line((-20.0, 0.0, 5.0), 0, length=60.0), view) is None


def test_path_that_ends_in_the_air_meets_nothing():
    """A path cut off before the wall has no strike, and does not cross the facade."""
    short = line((-20.0, 0.0, 5.0), 0, length=10.0)
    assert first_strike(short, shop()) is None
    assert facade_crossing(short) is None


@pytest.mark.parametrize("points", [(), ((0, 0, 0),), ((0, 0, 0), (1, 1)), ((0,) * 3, (0,) * 6)])
def test_path_of_no_known_form_is_refused(points):
    """Fewer than two points, or points of different forms."""
    with pytest.raises(ValueError, match="two points"):
        first_strike(points, shop())


def test_path_with_a_point_that_is_no_number_is_refused():
    """Not a number would compare false with everything and seem to meet nothing."""
    with pytest.raises(ValueError, match="no number"):
        first_strike(((0.0, 0.0, 5.0), (float("nan"), 0.0, 5.0)), shop())


def test_path_with_unit_directions_is_met_as_closely_as_its_points_allow():
    """(x, y, z, direction) every 2 ft of the parabola: within a thousandth of a foot of the exact one."""
    exact = thrown((-10.0, 0.0, 5.0), 15, 70, 1.5, 60)
    plain = [(*p[1:4], *(v / sqrt(p[4] ** 2 + p[6] ** 2) for v in p[4:7])) for p in exact]
    one, other = first_strike(exact, shop()), first_strike(plain, shop())
    assert one.surface == other.surface
    assert other.point == pytest.approx(one.point, abs=1e-3)
    assert other.grazing_angle_deg == pytest.approx(one.grazing_angle_deg, abs=0.01)


def test_a_name_that_no_surface_bears_is_refused():
    """ "wall" passes the wall outside and no wall of the room; a misspelt name passes nothing."""
    view = shop(opening=None)
    path = line((-20.0, 0.0, 5.0), 0)
    assert first_strike(path, view).surface == "wall"
    assert first_strike(path, view, passing=("wall",)).surface == "far wall"
    with pytest.raises(ValueError, match="no surface is named joists"):
        first_strike(path, view, passing=("joists",))


@given(view=st.deferred(lambda: VIEWS))
def test_every_surface_has_a_known_name(view):
    """What can be let through by name is what there is, besides canopies."""
    assert {s.name for s in surfaces(view) if " of the canopy" not in s.name} <= core.NAMES


# --- invariants -----------------------------------------------------------------------------------


def number(low, high):
    """A plain number of hypothesis between two bounds."""
    return st.floats(low, high, allow_nan=False)


@pytest.mark.physics
@given(
    start=st.tuples(number(-60, -5), number(-20, 20), number(0.5, 30)),
    aim=st.tuples(number(-7.9, 7.9), number(1.1, 8.9)),
)
def test_line_through_the_opening_leaves_the_room_where_a_box_says(start, aim):
    """Independent of the planes' list: the way out of a box is the nearest of its walls ahead."""
    way = np.array([0 - start[0], aim[0] - start[1], aim[1] - start[2]])
    way /= np.linalg.norm(way)
    inside = np.array([0.0, *aim])
    low, high = np.array([0.0, -15.0, 0.0]), np.array([60.0, 15.0, 12.0])
    with np.errstate(divide="ignore", invalid="ignore"):
        ahead = np.where(way > 0, (high - inside) / way, (low - inside) / way)
    ahead = np.where(way == 0, np.inf, ahead)
    gaps = np.sort(ahead)
    assume(gaps[1] - gaps[0] > 1e-6)
    end = inside + 200 * way
    strike = first_strike((start, tuple(map(float, end))), shop())
    assert strike.point == pytest.approx(tuple(inside + ahead.min() * way), abs=1e-7)
    names = {0: ("far wall",) * 2, 1: ("left wall of the room", "right wall of the room"), 2: ("floor", "ceiling")}  # fmt: skip
    axis = int(np.argmin(ahead))
    assert strike.surface == names[axis][int(way[axis] > 0)]
    assert strike.grazing_angle_deg == pytest.approx(degrees(np.arcsin(abs(way[axis]))), abs=1e-5)


WAYS = {
    "start": st.tuples(number(-80, -2), number(-25, 25), number(1, 60)),
    "elevation": number(-60, 60),
    "bearing": number(-60, 60),
}
VIEWS = st.sampled_from(
    [
        shop(),
        shop(wall_thickness_ft=1.0, canopies=(SLAB,)),
        shop(**PITCHED),
        shop(**GABLE),
        shop(ceiling=Ceiling("suspended tile", 10.0, "joists", 12.0)),
        shop(room={"partitions": (WALL,)}, parapet_tops_ft=(16.0, 14.0, 15.0, 13.0)),
    ]
)


@given(view=VIEWS, **WAYS)
def test_strike_lies_on_its_surface_and_comes_from_its_front(view, start, elevation, bearing):
    """The point fits the plane and its bounds; the angle is between 0 and 90; the way ends there."""
    strike = first_strike(line(start, elevation, bearing, 500.0), view)
    if strike is None:  # 500 ft of line at 20 deg down, from 60 ft or less, always meet something
        assert elevation > -20
        return
    fits = [
        s
        for s in surfaces(view)
        if (s.name, s.part) == (strike.surface, strike.part)
        and sum(n * p for n, p in zip(s.normal, strike.point, strict=True))
        == pytest.approx(s.offset, abs=1e-6)
        and sum(n * d for n, d in zip(s.normal, strike.direction, strict=True)) < 1e-9
    ]
    assert fits
    assert 0 <= strike.grazing_angle_deg <= 90
    assert sum(d * d for d in strike.direction) == pytest.approx(1)


@given(view=VIEWS, cuts=st.lists(number(0.01, 0.99), min_size=1, max_size=5, unique=True), **WAYS)
def test_more_points_on_the_same_line_change_nothing(view, cuts, start, elevation, bearing):
    """A straight path told in several pieces strikes where the whole one does."""
    whole = line(start, elevation, bearing, 300.0)
    pieces = [
        tuple(a + c * (b - a) for a, b in zip(*whole, strict=True)) for c in (0, *sorted(cuts), 1)
    ]
    one, other = first_strike(whole, view), first_strike(pieces, view)
    assert (one is None) == (other is None)
    if one is not None:
        assert other.point == pytest.approx(one.point, abs=1e-6)
        assert other.distance_along_ft == pytest.approx(one.distance_along_ft, abs=1e-6)


@given(**WAYS)
def test_stream_mirrored_left_to_right_strikes_the_mirror_image(start, elevation, bearing):
    """The shop is its own mirror image: angle and depth stay, left and right change places."""
    view = shop(wall_thickness_ft=0.5, canopies=(SLAB,))
    one = first_strike(line(start, elevation, bearing), view)
    flipped = (start[0], -start[1], start[2])
    other = first_strike(line(flipped, elevation, -bearing), view)
    assert (one is None) == (other is None)
    if one is None:
        return
    swapped = one.surface.replace("left", "#").replace("right", "left").replace("#", "right")
    if other.surface == swapped:
        assert other.point == pytest.approx((one.point[0], -one.point[1], one.point[2]), abs=1e-6)
        assert other.grazing_angle_deg == pytest.approx(one.grazing_angle_deg, abs=1e-5)
    else:  # an edge hit exactly belongs to either of its surfaces
        assert other.distance_along_ft == pytest.approx(one.distance_along_ft, abs=1e-6)


@pytest.mark.agreement
@given(cubic=st.tuples(*[number(-50, 50)] * 4))
def test_passages_of_a_cubic_are_the_roots_that_numpy_finds(cubic):
    """Falling roots within 0..1, against numpy's polynomial roots (companion matrix)."""
    cubic = tuple(round(c, 6) for c in cubic)
    polynomial = np.polynomial.Polynomial(cubic)
    roots = polynomial.roots() if any(cubic[1:]) else np.array([])
    real = sorted(r.real for r in roots if abs(r.imag) < 1e-9 and 1e-6 < r.real < 1 - 1e-6)
    assume(all(abs(polynomial.deriv()(r)) > 1e-2 for r in roots if abs(r) < 2))
    assume(all(abs(r) > 1e-5 and abs(r - 1) > 1e-5 for r in roots))
    falling = [r for r in real if polynomial.deriv()(r) < 0]
    found = list(core._passages(cubic, sum(cubic)))
    assert found == pytest.approx(falling, abs=1e-8)


# --- the share that clears the opening ----------------------------------------------------------------

WIDE = Opening(-1000.0, 1000.0, -1000.0, 1000.0)
AHEAD = (1.0, 0.0, 0.0)


@pytest.mark.published
@pytest.mark.parametrize(("sigmas", "share"), [(1, 0.6827), (2, 0.9545), (3, 0.9973)])
def test_share_within_so_many_sigma_is_that_of_the_normal_tables(sigmas, share):
    """Tables of the normal distribution: 68.27, 95.45 and 99.73 % within 1, 2 and 3 sigma."""
    slot = Opening(-0.5 * sigmas, 0.5 * sigmas, -1000.0, 1000.0)
    assert clear_share((0.0, 0.0), AHEAD, 0.5, 0.5, slot) == pytest.approx(share, abs=5e-5)


@pytest.mark.physics
def test_share_at_edge_and_corner_is_a_half_and_a_quarter():
    """Aimed at the edge half goes through, at the corner a quarter; with no spread all or nothing."""
    pane = Opening(0.0, 100.0, 0.0, 100.0)
    assert clear_share((0.0, 50.0), AHEAD, 0.4, 0.4, pane) == pytest.approx(0.5)
    assert clear_share((0.0, 0.0), AHEAD, 0.4, 0.4, pane) == pytest.approx(0.25)
    assert clear_share((50.0, 50.0), AHEAD, 0.0, 0.0, pane) == 1
    assert clear_share((-1.0, 50.0), AHEAD, 0.0, 0.0, pane) == 0


@pytest.mark.physics
def test_nine_tenths_of_a_round_stream_lie_within_its_stated_width():
    """Width with 90 % of the water = 4.292 sigma: 1 - exp(-r²/2) is 0.90 at r = 2.146."""
    assert 1 - exp(-((4.292 / 2) ** 2) / 2) == pytest.approx(0.9, abs=1e-4)


def share_by_rays(centre, direction, sigma_y, sigma_z, opening, thickness=0.0, steps=801):
    """The share by a fine grid of parallel rays: each carried along the stream to both faces."""
    way = np.array(direction) / np.linalg.norm(direction)
    level = np.hypot(way[0], way[1])
    across = np.array([-way[1], way[0], 0]) / level
    upright = np.cross(way, across)
    grid = np.linspace(-6, 6, steps)
    weight = np.exp(-(grid**2) / 2)
    weight /= weight.sum()
    a, b = np.meshgrid(grid * sigma_y, grid * sigma_z, indexing="ij")
    place = a[..., None] * across + b[..., None] * upright
    through = np.ones(a.shape, bool)
    for x in (0.0, thickness):
        at = place + ((x - place[..., 0]) / way[0])[..., None] * way
        y, z = at[..., 1] + centre[0], at[..., 2] + centre[1]
        through &= (y >= opening.y0_ft) & (y <= opening.y1_ft)
        through &= (z >= opening.sill_ft) & (z <= opening.head_ft)
    return float((weight[:, None] * weight[None, :] * through).sum())


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("centre", "direction", "thickness", "close"),
    [
        ((0.3, 4.6), (1, 0, 0), 0.0, 0.005),
        ((0.3, 4.6), (0.82, 0, 0.57), 0.0, 0.005),
        ((0.3, 4.6), (0.6, 0.8, 0), 0.0, 0.005),
        ((0.3, 4.6), (0.82, 0, 0.57), 1.0, 0.005),
        ((1.4, 5.7), (0.7, 0.5, 0.5), 0.0, 0.06),
        ((1.4, 5.7), (0.87, -0.35, 0.35), 0.5, 0.03),
    ],
)
def test_share_agrees_with_a_grid_of_parallel_rays(centre, direction, thickness, close):
    """Exact when oblique one way; oblique both ways the product is out by a few hundredths."""
    pane = Opening(-1.5, 1.5, 3.0, 6.0)
    ours = clear_share(centre, direction, 0.5, 0.4, pane, thickness)
    assert ours == pytest.approx(
        share_by_rays(centre, direction, 0.5, 0.4, pane, thickness), abs=close
    )


@pytest.mark.physics
def test_spread_on_the_facade_grows_as_one_over_the_cosine():
    """Square to the wall in plan and 60 deg up: twice as tall, no wider; and the same sideways."""
    up, aside = (cos(radians(60)), 0.0, sin(radians(60))), (cos(radians(60)), sin(radians(60)), 0.0)
    assert facade_spread_ft(up, 1.0, 1.0) == pytest.approx((1.0, 2.0))
    assert facade_spread_ft(aside, 1.0, 1.0) == pytest.approx((2.0, 1.0))
    with pytest.raises(ValueError, match="into the building"):
        facade_spread_ft((-1.0, 0.0, 0.0), 1.0, 1.0)


@given(
    centre=st.tuples(number(-3, 3), number(0, 10)),
    aside=number(-60, 60),
    up=number(-60, 60),
    sigma=number(0.01, 2),
    thickness=number(0, 2),
)
def test_share_is_a_share_and_falls_with_a_thicker_wall(centre, aside, up, sigma, thickness):
    """Between 0 and 1; all of it clears a boundless opening; a thicker wall never lets more by."""
    way = (
        cos(radians(up)) * cos(radians(aside)),
        cos(radians(up)) * sin(radians(aside)),
        sin(radians(up)),
    )
    pane = Opening(-2.0, 2.0, 3.0, 7.0)
    thin = clear_share(centre, way, sigma, sigma, pane)
    assert 0 <= clear_share(centre, way, sigma, sigma, pane, thickness) <= thin + 1e-12 <= 1 + 1e-9
    assert clear_share(centre, way, sigma, sigma, WIDE) == pytest.approx(1)
