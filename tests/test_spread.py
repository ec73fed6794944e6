"""The split of a stream on a surface, the film, the fall and the map of the floor."""

import math
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp

from aerialstream._core import application
from aerialstream._core import spread as core
from aerialstream._core import spread_arrays as arrays
from aerialstream._core.surfaces import Ceiling, Opening, Roof, Room, RoomView, first_strike

ROOM = (0.0, 30.0, -12.0, 12.0)  # front, back, left, right in ft
AIR = 1.2 / 998
GRAZING = st.floats(4, 90)


def split(grazing_deg, angle):
    """f(φ) of an inviscid oblique round jet, written out from its momentum balance."""
    alpha = math.radians(grazing_deg)
    return math.sin(alpha) ** 3 / (math.tau * (1 - math.cos(alpha) * math.cos(angle)) ** 2)


def ceiling(x=8.0, *, grazing_deg=27.0, speed=100.0, gpm=1062.0, height=9.0, surface=None, **more):
    """A stream straight ahead on a ceiling: everything that `landings` takes."""
    surface = surface or core.SURFACES["concrete slab"]
    across = math.sin(math.radians(grazing_deg))
    splash = surface.splash * across**2
    case = core.Case(
        x=x,
        y=0.0,
        forward=(1.0, 0.0),
        first_speed=core.film_speed(core.PLAIN, speed, across, surface.kept),
        film_flow=gpm * core.FT3_S_PER_GPM * (1 - splash),
        friction=surface.friction,
        height=height,
        room=ROOM,
        air_density_ratio=AIR,
    )
    return (core.off_ceiling, case._replace(**more)), {
        "grazing_deg": grazing_deg,
        "splash": splash,
        "residence_s": surface.residence_s,
        "lines": 48,
        "times": 12,
        "splash_rule": core.splashed,
    }


@given(grazing_deg=GRAZING, count=st.integers(3, 60))
def test_streamlines_carry_all_of_the_flow_and_all_of_the_momentum_along_the_surface(
    grazing_deg, count
):
    """Mass and tangential momentum are conserved exactly, however few streamlines there are."""
    lines = core.streamlines(grazing_deg, count)
    assert sum(line[0] for line in lines) == pytest.approx(1, abs=1e-12)
    forward = sum(line[0] * line[1] for line in lines)
    assert forward == pytest.approx(math.cos(math.radians(grazing_deg)), abs=1e-12)
    assert all(math.hypot(line[1], line[2]) == pytest.approx(1, abs=1e-9) for line in lines)


@pytest.mark.physics
@pytest.mark.parametrize("grazing_deg", [10, 20, 30, 45, 60, 75, 90])
def test_forward_share_is_the_integral_of_the_split(grazing_deg):
    """Closed form against numerical integration of f over the forward half."""
    total, _ = quad(lambda a: split(grazing_deg, a), -math.pi, math.pi, limit=400)
    forward, _ = quad(lambda a: split(grazing_deg, a), -math.pi / 2, math.pi / 2, limit=400)
    assert total == pytest.approx(1, abs=1e-7)
    assert core.forward_share(grazing_deg) == pytest.approx(forward, abs=1e-7)


@pytest.mark.physics
def test_each_streamline_stands_where_its_share_of_the_split_lies():
    """Flow per radian of a streamline is f at its own angle."""
    for weight, ahead, aside, density in core.streamlines(35, 24):
        assert weight > 0
        assert density == pytest.approx(split(35, math.atan2(aside, ahead)), rel=1e-9)


@given(one=GRAZING, other=GRAZING)
def test_the_steeper_the_strike_the_less_goes_forward(one, other):
    """Monotone between grazing (all forward) and square-on (half)."""
    low, high = sorted((one, other))
    assert core.forward_share(high) <= core.forward_share(low) + 1e-12
    assert core.forward_share(90) == pytest.approx(0.5)


@pytest.mark.physics
def test_film_is_the_solution_of_its_own_slowing_down():
    """dr/dt = u(r) integrated by an independent solver gives the same run and speed."""
    first, flow, friction = 95.0, 0.3, 0.006

    def speed_at(run):
        return 1 / (1 / first + friction * run * run / (4 * flow))

    solved = solve_ivp(lambda _, r: [speed_at(r[0])], (0, 0.7), [0], rtol=1e-10, atol=1e-12)
    run, speed = core.film_run(core.PLAIN, 0.7, first, flow, friction)
    assert run == pytest.approx(solved.y[0, -1], rel=1e-6)
    assert speed == pytest.approx(speed_at(run), rel=1e-9)


@pytest.mark.physics
def test_fall_and_drift_are_those_of_a_drop_with_square_law_drag():
    """Time to fall and way flown sideways against an independent solver."""
    vt, g = core.FALL_SPEED_FT_S, core.GRAVITY_FT_S2
    for height in (0.5, 9.0, 30.0):
        time = core.fall_time(core.PLAIN, height)
        solved = solve_ivp(
            lambda _, y: [y[1], g * (1 - (y[1] / vt) ** 2)],
            (0, time),
            [0, 0],
            rtol=1e-10,
            atol=1e-12,
        )
        assert solved.y[0, -1] == pytest.approx(height, rel=1e-6)
    length = 4 * core.DROP_DIAMETER_FT / (3 * 0.5 * AIR)
    solved = solve_ivp(
        lambda _, y: [y[1], -(y[1] ** 2) / length], (0, 0.8), [0, 60], rtol=1e-10, atol=1e-12
    )
    assert core.drift(core.PLAIN, 60, 0.8, AIR) == pytest.approx(solved.y[0, -1], rel=1e-6)


@pytest.mark.physics
def test_residence_times_are_those_of_a_gamma_distribution_of_shape_four():
    """Quantiles against scipy's."""
    from scipy.stats import gamma

    ours = core.residence_quantiles(12)
    assert ours == pytest.approx(gamma(4, scale=0.25).ppf((np.arange(12) + 0.5) / 12), rel=1e-9)


@given(
    grazing_deg=GRAZING,
    speed=st.floats(5, 200),
    gpm=st.floats(50, 3000),
    height=st.floats(6, 30),
    x=st.floats(0.5, 29.5),
    rows=st.integers(1, 90),
    columns=st.integers(1, 90),
)
@settings(max_examples=25, deadline=None)
def test_no_water_is_lost_whatever_the_strike_and_the_cells(
    grazing_deg, speed, gpm, height, x, rows, columns
):
    """All that strikes comes down inside the walls, to 1e-9, and the map holds all of it."""
    args, more = ceiling(x, grazing_deg=grazing_deg, speed=speed, gpm=gpm, height=height)
    parts = core.landings(*args, **more)
    front, back, left, right = ROOM
    assert sum(part[2] for part in parts) == pytest.approx(1, abs=1e-9)
    assert all(front - 1e-9 <= px <= back + 1e-9 for px, *_ in parts)
    assert all(left - 1e-9 <= py <= right + 1e-9 for _, py, *_ in parts)
    cells = core.water_map(parts, ROOM, rows, columns)
    assert sum(map(sum, cells)) == pytest.approx(1, abs=1e-9)
    assert min(map(min, cells)) >= 0
    assert core.share_within(parts, ROOM, ROOM) == pytest.approx(1, abs=1e-9)


@pytest.mark.parametrize("rows", [3, 15, 30, 60, 90])
def test_share_of_an_area_is_the_sum_of_its_cells_whatever_their_size(rows):
    """The back third from the parts themselves, and from maps of five cell sizes."""
    args, more = ceiling()
    parts = core.landings(*args, **more)
    cells = core.water_map(parts, ROOM, rows, 24)
    back_third = sum(map(sum, cells[2 * rows // 3 :]))
    assert back_third == pytest.approx(core.share_within(parts, ROOM, (20, 30, -12, 12)), abs=1e-9)


@given(grazing_deg=GRAZING, x=st.floats(0.5, 29.5), rows=st.integers(1, 50))
@settings(max_examples=15, deadline=None)
def test_single_numbers_and_arrays_give_the_same_water(grazing_deg, x, rows):
    """One set of equations: the batch and the loop agree part by part and cell by cell."""
    args, more = ceiling(x, grazing_deg=grazing_deg)
    parts, batch = core.landings(*args, **more), arrays.landings(*args, **more)

    for column, name in enumerate(("x", "y", "share", "stopped")):
        ours = np.array([float(part[column]) for part in parts])
        assert ours == pytest.approx(np.asarray(batch[column], float), abs=1e-7), name
    flat = np.array(core.water_map(parts, ROOM, rows, 24))
    assert flat == pytest.approx(arrays.water_map(batch, ROOM, rows, 24), abs=1e-9)
    area = (3.0, 17.5, -4.0, 9.0)
    assert core.share_within(parts, ROOM, area) == pytest.approx(
        arrays.share_within(batch, ROOM, area), abs=1e-9
    )


@pytest.mark.parametrize("forward", [(1.0, 0.0), (0.0, 1.0), (0.6, -0.8), (-0.28, 0.96)])
@pytest.mark.parametrize("rule", [core.along_floor, core.down_wall])
def test_floor_and_wall_agree_between_single_numbers_and_arrays(rule, forward):
    """The other two surfaces, in four directions."""
    (_, case), more = ceiling(5.0, grazing_deg=50)
    case = case._replace(forward=forward, height=6.0, top=9.0)
    if rule is core.down_wall:
        case = case._replace(room=(0.0, 30.0, -9.0, 14.0))
    more = more | {"splash": 0.0}
    parts = core.landings(rule, case, **more)
    batch = arrays.landings(rule, case, **more)
    for column, name in enumerate(("x", "y", "share", "stopped")):
        ours = np.array([float(part[column]) for part in parts])
        assert ours == pytest.approx(np.asarray(batch[column], float), abs=1e-9), name


def near_and_far(x, grazing_deg, surface):
    """Share in the front third and in the back third of the room."""
    args, more = ceiling(x, grazing_deg=grazing_deg, surface=surface)
    batch = arrays.landings(*args, **more)
    return (
        arrays.share_within(batch, ROOM, (0, 10, -12, 12)),
        arrays.share_within(batch, ROOM, (20, 30, -12, 12)),
    )


@pytest.mark.parametrize("ends", list(product((0, 1), repeat=4)))
def test_steep_wets_near_the_window_and_shallow_far_under_every_change_of_the_constants(ends):
    """The ranking holds at all sixteen corners of the constants' ranges, drops of any size besides."""
    names = ("kept", "splash", "friction", "residence_s")
    surface = core.Surface(**{n: core.RANGES[n][end] for n, end in zip(names, ends, strict=True)})
    shallow, steep = near_and_far(8.0, 27, surface), near_and_far(2.8, 54, surface)
    assert shallow[1] > steep[1] + 0.3
    assert steep[0] > shallow[0] + 0.15


# --- particles: the same physics with random numbers and small steps, written anew -----------------------


class Particles:
    """Water that leaves a strike as 6,000 particles in space; places end where they come down."""

    def __init__(self, point, direction, normal, *, speed, gpm, surface, splash=0.0):
        random, count = np.random.default_rng(11), 6000
        sine = -float(direction @ normal)
        cosine = math.sqrt(1 - sine * sine)
        forward = (direction + sine * normal) / cosine
        angles = np.empty(0)
        while len(angles) < count:  # drawn from f by rejection
            tries = random.uniform(-math.pi, math.pi, 40 * count)
            high = random.uniform(0, sine**3 / (math.tau * (1 - cosine) ** 2), 40 * count)
            angles = np.append(angles, tries[high < split_at(sine, tries)])
        angles = angles[:count, None]
        self.way = np.cos(angles) * forward + np.sin(angles) * np.cross(normal, forward)
        first = speed * math.hypot(cosine, surface.kept * sine)
        flow = gpm * 231 / 1728 / 60 * (1 - splash) * split_at(sine, angles[:, 0])
        waits = random.gamma(4, surface.residence_s / 4, count)
        splashed = random.uniform(size=count) < splash
        run, step = np.zeros(count), 0.004
        for now in np.arange(0, waits.max(), step):
            slow = 1 / (1 / first + surface.friction * run**2 / (4 * flow))
            run += np.where((now < waits) & ~splashed, slow * step, 0)
        slow = 1 / (1 / first + surface.friction * run**2 / (4 * flow))
        self.speed = np.where(splashed, first * random.uniform(0.1, 0.6, count), slow)
        self.place = point + self.way * run[:, None]

    def fall(self, floor, room):
        """Down to the floor, each until a wall stops it; then (x, y) and whether one did."""
        front, back, left, right = room
        x, y, z = self.place.T.copy()
        level = np.hypot(*self.way.T[:2])
        (ex, ey), fast, down = self.way.T[:2] / level, self.speed * level, 0 * z
        length, last = 4 * core.DROP_DIAMETER_FT / (1.5 * AIR), core.FALL_SPEED_FT_S
        stopped = (x < front) | (x > back) | (y < left) | (y > right)
        step = 0.005
        for _ in range(1000):
            falls = (z > floor) & ~stopped
            if not falls.any():
                break
            x, y = (
                x + np.where(falls, ex * fast * step, 0),
                y + np.where(falls, ey * fast * step, 0),
            )
            fast, down = (
                fast / (1 + fast * step / length),
                down + 32.174 * (1 - (down / last) ** 2) * step,
            )
            z = z - np.where(falls, down * step, 0)
            stopped |= falls & ((x < front) | (x > back) | (y < left) | (y > right))
        return np.clip(x, front, back), np.clip(y, left, right), stopped


def split_at(sine, angle):
    """f(φ) again, from the sine of the grazing angle."""
    return sine**3 / (math.tau * (1 - math.sqrt(1 - sine * sine) * np.cos(angle)) ** 2)


def level_view(**changed):
    """A room 30 ft deep and 40 ft wide, slab at 11 ft above its floor."""
    room = Room("hall", 30.0, -20.0, 20.0, 12.0, Ceiling("concrete slab", 23.0), True)
    view = RoomView(
        opening=Opening(-3.0, 3.0, 14.0, 21.0),
        wall_thickness_ft=0.0,
        roof=Roof(70.0, -40.0, 40.0, 38.0, 38.0),
        parapet_tops_ft=(38.0,) * 4,
        room=room,
    )
    return view._replace(**changed)


PITCHED = level_view(
    opening=Opening(-6.0, 6.0, 0.0, 14.0),
    roof=Roof(70.0, -50.0, 50.0, 18.0, 33.0, "y"),
    parapet_tops_ft=(18.0,) * 4,
    room=Room("hall", 70.0, -50.0, 50.0, 0.0, Ceiling("open deck", math.inf), True),
)


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("view", "place", "pitch", "turn"),
    [
        (level_view(), (-15, 0, 8), 33, 0),
        (level_view(), (-13, -8, 8), 33, 30),
        (level_view(), (-14, 9, 14), 19, -32),
        (PITCHED, (-8, 0, 4), 45, 10),
        (PITCHED, (-30, 0, 4), 20, 8),
    ],
    ids=["straight", "to the right", "flat to the left", "near slope", "far slope"],
)
def test_water_off_a_ceiling_is_where_particles_fall(view, place, pitch, turn):
    """Thirds of the room, its left half and its walls: within 0.03 of 6,000 random particles."""
    shot = application.Shot(place, pitch, turn, 2.0, 80.0, 1062.0)
    points = application.path_of(shot, far_ft=150.0, ground_ft=-3.0)
    strike = first_strike(points, view, application.AROUND)
    assert strike.surface == "ceiling"
    parts, room = application.after_strike(
        view, points, strike, 1062.0, kit=arrays, lines=96, times=24
    )
    surface = core.SURFACES[view.room.ceiling.kind]
    sine = math.sin(math.radians(strike.grazing_angle_deg))
    particles = Particles(
        np.array(strike.point), np.array(strike.direction), np.array(strike.normal),
        speed=math.dist(points[2][4:], (0, 0, 0)), gpm=1062.0, surface=surface,
        splash=surface.splash * sine**2,
    )  # fmt: skip
    x, y, stopped = particles.fall(view.room.floor_ft, room)
    front, back, left, right = room
    assert arrays.total(arrays.along_walls(parts)) == pytest.approx(stopped.mean(), abs=0.03)
    for third in range(3):
        near, far = (front + (back - front) * (third + end) / 3 for end in (0, 1))
        ours = arrays.share_within(parts, room, (near, far, left, right))
        theirs = ((x >= near) & (x <= far)).mean()
        assert ours == pytest.approx(theirs, abs=0.03)
    ours = arrays.share_within(parts, room, (front, back, left, 0.0))
    assert ours == pytest.approx((y < 0).mean(), abs=0.03)


@pytest.mark.agreement
@pytest.mark.parametrize(("turn", "pitch"), [(0, 11), (25, 10)])
def test_water_up_a_wall_turns_at_the_ceiling_as_particles_do(turn, pitch):
    """Past the ceiling the film runs back below it, by as much to the side as it ran along the wall."""
    view = level_view()
    shot = application.Shot((-12, -5.0 if turn else 0.0, 14), pitch, turn, 2.0, 80.0, 1062.0)
    points = application.path_of(shot, far_ft=150.0, ground_ft=-3.0)
    strike = first_strike(points, view, application.AROUND)
    assert strike.surface == "far wall"
    parts, room = application.after_strike(
        view, points, strike, 1062.0, kit=arrays, lines=96, times=24
    )
    particles = Particles(
        np.array(strike.point), np.array(strike.direction), np.array(strike.normal),
        speed=math.dist(points[2][4:], (0, 0, 0)), gpm=1062.0,
        surface=core.SURFACES["concrete slab"],
    )  # fmt: skip
    past = np.maximum(particles.place[:, 2] - 23.0, 0)
    upright = past <= 0
    particles.place[:, 0] -= past
    particles.place[:, 2] = 23.0
    particles.way = np.column_stack(
        [-np.maximum(particles.way[:, 2], 1e-6), particles.way[:, 1], 0 * past]
    )
    x, y, stopped = particles.fall(12.0, room)
    x = np.where(upright, 30.0, x)
    y = np.where(upright, np.clip(particles.place[:, 1], -20, 20), y)
    stopped |= upright
    assert arrays.total(arrays.along_walls(parts)) == pytest.approx(stopped.mean(), abs=0.03)
    for area in ((24, 30, -20, 20), (0, 30, -20, 5), (28, 30, -20, 20)):
        theirs = ((x >= area[0]) & (x <= area[1]) & (y >= area[2]) & (y <= area[3])).mean()
        # Ours wet a patch of 2 ft each, so that an edge of the area is that much blurred.
        assert arrays.share_within(parts, room, area) == pytest.approx(theirs, abs=0.04)


@pytest.mark.alarm
def test_shares_of_the_two_worked_strikes_stay_as_they_are():
    """Change alarm. A trial of the same model with other code gave 0.03/0.79 and 0.36/0.04."""
    slab = core.SURFACES["concrete slab"]
    assert near_and_far(8.0, 27, slab) == pytest.approx((0.03, 0.79), abs=0.02)
    assert near_and_far(2.8, 54, slab) == pytest.approx((0.36, 0.04), abs=0.03)


@given(st.floats(0, 1))
def test_a_roof_lets_in_what_its_holes_let_in_and_an_intact_one_nothing(share_open):
    """Mass balance of a stream on a pitched roof."""
    within, shed, splashed = core.roof_shed(share_open)
    assert within + shed + splashed == pytest.approx(1, abs=1e-12)
    assert core.roof_shed(0.0)[0] == 0.0
    assert within <= share_open
