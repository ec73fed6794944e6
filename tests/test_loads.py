"""Loads on the device: against vectors in earth axes, worked tables, and rules that must hold."""

import math
import re

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from test_published import worked_out

from aerialstream import (
    compare_set_ups,
    load_department,
    overturning,
    quantity,
    reaction_at_tip,
    set_up_loads,
    sudden_shutdown,
    sway_ratio,
)
from aerialstream._core import loads as core
from aerialstream.department import DEMO_FOLDER, Apparatus, Masses, Stabilisers
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.sources import source
from aerialstream.worked import in_system

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

DEMO = load_department(DEMO_FOLDER)
TOWER, LADDER, PLATFORM = (DEMO.device(d) for d in ("tower-3", "ladder-9", "platform-2"))
SUMS = (
    "torsion",
    "in_plane_moment",
    "side_moment",
    "slew_torque",
    "overturning_along",
    "overturning_sideways",
)
ENTRY = {  # a made-up rig with only what every device has
    "id": "made-up",
    "name": "Made-up 1",
    "kind": "rear-mount ladder",
    "turntable_height": "8 ft",
    "extension": {"least": "30 ft", "most": "100 ft"},
    "elevation": {"least": "-10 deg", "most": "80 deg"},
    "nozzle_travel": {"up": "45 deg", "down": "120 deg", "left": "90 deg", "right": "90 deg"},
    "nozzles": ["tip-2"],
}
WHOLE = ENTRY | {  # the truck of the worked table: 60,000 lb centred, tipping line 8 ft out
    "heel_offset": "0 ft",
    "stabilisers": {"ahead": "10 ft", "behind": "-10 ft", "spread": "16 ft"},
    "masses": {
        "vehicle": "60,000 lb",
        "vehicle_ahead": "0 ft",
        "vehicle_height": "4 ft",
        "ladder": "8,000 lb",
        "ladder_centre": "40 %",
        "waterway_bore": f"{math.sqrt(545 / (62.4 * 90 * math.pi / 4)) * 12:.8f} in",
        "side_area": "1 sq ft",
        "tip_load": "500 lb",
    },
}
TRUCK = Apparatus.model_validate(WHOLE)
BARE = Apparatus.model_validate(ENTRY)
FLAT = {"reaction": "505 lbf", "extension": "90 ft", "elevation": "0 deg"}

forces = st.floats(50, 1500)
lengths = st.floats(36, 100)
elevations = st.floats(-10, 80)
angles = st.floats(-180, 180)
pitches = st.floats(-120, 60)
slopes = st.floats(-8, 8)
winds = st.floats(1, 60)
offsets = st.floats(-3, 3)


def text(number, unit):
    """A quantity from a plain number."""
    return quantity(number, unit)


def aimed(force, length, elevation, rotation=0.0, pitch=0.0, **more):
    """Inputs of a set-up from plain numbers."""
    return {
        "reaction": text(force, "lbf"),
        "extension": text(length, "foot"),
        "elevation": text(elevation, "degree"),
        "rotation": text(rotation, "degree"),
        "pitch": text(pitch, "degree"),
        **more,
    }


def numbers(result, names=SUMS):
    """Named quantities as plain numbers."""
    return [getattr(result, name).magnitude for name in names]


def close(value, scale=1.0):
    """Equal but for float dust, against the size of what was reckoned with."""
    return pytest.approx(value, rel=1e-9, abs=1e-9 * scale)


# --- an independent model: vectors in the axes of the chassis -------------------------------


def about(axis, degrees):
    """Matrix of a right-handed turn about one of the axes x (0), y (1), z (2)."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    i, j = ((1, 2), (2, 0), (0, 1))[axis]
    matrix = np.eye(3)
    matrix[i, i], matrix[i, j], matrix[j, i], matrix[j, j] = c, -s, s, c
    return matrix


def entered(entry, name, unit):
    """A plain number of a department's entry."""
    return getattr(entry, name).to(unit).magnitude


def vectors(rig, bearing, force, length, elevation, rotation, pitch, slope, wind, left):
    """(vehicle, others, heel, bearing's turn, ladder's turn): forces in lbf with places in ft."""
    turn = about(2, bearing)
    raised = turn @ about(1, -elevation)  # a turn about the left axis lowers: minus raises
    heel = turn @ [entered(rig, "heel_offset", "ft"), 0, entered(rig, "turntable_height", "ft")]

    def out(distance):
        return heel + raised @ [distance, 0, 0]

    if rig.platform:
        frame = turn
        edge = [entered(rig.platform, "ahead", "ft"), 0, entered(rig.platform, "up", "ft")]
    else:
        frame, edge = raised, [0, 0, 0]
    jet = frame @ about(2, rotation) @ about(1, -pitch) @ [1, 0, 0]
    dips = np.sin(np.radians(slope))
    down = turn @ [*dips, -math.sqrt(1 - dips @ dips)]
    masses = rig.masses
    water = math.pi / 4 * (entered(masses, "waterway_bore", "ft")) ** 2 * length * 62.4
    push = 0.00256 * wind**2 * 1.6 * entered(masses, "side_area", "ft**2") * length
    others = [
        (
            entered(masses, "ladder", "lbf") * down,
            out(entered(masses, "ladder_centre", "") * length),
        ),
        (entered(masses, "tip_load", "lbf") * down, out(length) + turn @ edge),
        (water * down, out(length / 2)),
        (-force * jet, out(length) + frame @ np.add(edge, [0, left, 0])),
        (turn @ [0, push, 0], out(length / 2)),
    ]
    at = np.array(
        [entered(masses, "vehicle_ahead", "ft"), 0, entered(masses, "vehicle_height", "ft")]
    )
    return (entered(masses, "vehicle", "lbf") * down, at), others, heel, turn, raised


@given(
    st.sampled_from([TOWER, LADDER, PLATFORM, TRUCK]),
    angles, forces, lengths, elevations, st.floats(-90, 90), pitches,
    st.tuples(slopes, slopes), winds, offsets,
)  # fmt: skip
def test_every_sum_agrees_with_vectors_in_chassis_axes(
    rig, bearing, force, length, elevation, rotation, pitch, slope, wind, left
):
    """All loads at once: cross products in the axes of the chassis give the same six moments."""
    _, others, heel, turn, raised = vectors(
        rig, bearing, force, length, elevation, rotation, pitch, slope, wind, left
    )
    at_heel = raised.T @ sum(np.cross(at - heel, push) for push, at in others)
    at_ground = turn.T @ sum(np.cross(at, push) for push, at in others)
    found = set_up_loads(
        rig,
        **aimed(force, length, elevation, rotation, pitch),
        slope_along=text(slope[0], "degree"),
        slope_across=text(slope[1], "degree"),
        wind=text(wind, "mile/hour"),
        wind_from="right",
        offset_left=text(left, "foot"),
    )
    expected = [*at_heel, at_ground[2], at_ground[1], -at_ground[0]]
    assert numbers(found) == close(expected, 1e6)


@given(
    st.sampled_from([TOWER, LADDER, PLATFORM, TRUCK]),
    angles, forces, lengths, elevations, st.floats(-90, 90), pitches,
    st.tuples(slopes, slopes), winds, offsets,
)  # fmt: skip
def test_pads_and_tipping_lines_agree_with_vectors_and_least_squares(
    rig, bearing, force, length, elevation, rotation, pitch, slope, wind, left
):
    """Moments about each edge by vectors; four pads by numpy's least-norm solution of statics."""
    truck, others, *_ = vectors(
        rig, bearing, force, length, elevation, rotation, pitch, slope, wind, left
    )
    pads = rig.stabilisers
    half, ahead, behind = (
        entered(pads, "spread", "ft") / 2,
        entered(pads, "ahead", "ft"),
        entered(pads, "behind", "ft"),
    )
    found = overturning(
        rig,
        over=text(bearing, "degree"),
        **aimed(force, length, elevation, rotation, pitch),
        slope_along=text(slope[0], "degree"),
        slope_across=text(slope[1], "degree"),
        wind=text(wind, "mile/hour"),
        wind_from="right",
        offset_left=text(left, "foot"),
    )
    edges = {"left": (0, half), "right": (0, -half), "front": (ahead, 0), "rear": (behind, 0)}
    ways = {"left": (0, 1), "right": (0, -1), "front": (1, 0), "rear": (-1, 0)}
    for name, edge in edges.items():
        axis, foot = np.cross([0, 0, 1], [*ways[name], 0]), np.array([*edge, 0.0])
        held, turned = (
            sum(np.dot(np.cross(at - foot, push), axis) for push, at in loads)
            for loads in ([truck], others)
        )
        line = getattr(found, name)
        assert line.holding.magnitude == close(-held, 1e6)
        assert line.overturning.magnitude == close(turned, 1e6)
    everything = [truck, *others]
    down = -sum(push for push, _ in everything)[2]
    moment = sum(np.cross(at, push) for push, at in everything)
    places = np.array([(ahead, half), (ahead, -half), (behind, half), (behind, -half)])
    # Sum of loads, and their moments about the forward and left axes, balance everything.
    statics = np.array([np.ones(4), places[:, 1], -places[:, 0]])
    wanted = np.array([down, -moment[0], -moment[1]])
    assert found.down.magnitude == close(down, 1e5)
    if not found.pads:
        assert min(line.ratio.magnitude for line in (found.left, found.right, found.front, found.rear)
                   if line.ratio is not None) < 1 + 1e-6  # fmt: skip
        return
    given_loads = np.array([pad.load.magnitude for pad in found.pads])
    assert statics @ given_loads == pytest.approx(wanted, rel=1e-9, abs=1e-3)
    assert given_loads.min() >= -1e-6 * down
    least_norm = np.linalg.lstsq(statics, wanted, rcond=None)[0]
    if found.lifted is None:
        assert given_loads == pytest.approx(least_norm, abs=1e-6 * down)
    else:
        # The plane through the three springs that push leaves the fourth pad hanging.
        three = given_loads > 0
        plane = np.linalg.solve(np.c_[np.ones(3), places[three]], given_loads[three])
        (hanging,) = np.c_[np.ones(1), places[~three]] @ plane
        assert hanging <= 1e-9 * down
        assert least_norm.min() < 0


# --- the worked table -----------------------------------------------------------------------


@pytest.mark.physics
@pytest.mark.parametrize(
    ("pitch", "by_reaction", "turned", "ratio"),
    [("0 deg", -4040, 281_125, 1.71), ("30 deg", 17_206, 302_371, 1.59),
     ("-30 deg", -24_204, 260_961, 1.84)],
)  # fmt: skip
def test_worked_table_of_a_60000_lb_truck(pitch, by_reaction, turned, ratio):
    """Ladder 8,000 lb at 36 ft, 500 lb at 90 ft, 545 lb of water at 45 ft, over the side, by hand.

    8,000 × 28 + 500 × 82 + 545 × 37 = 285,165; the stream adds Fu × 8 ft - Fz × (90 - 8) ft.
    """
    found = overturning(TRUCK, over="side", pitch=pitch, **FLAT)
    level = 285_165
    assert found.left.holding.magnitude == pytest.approx(480_000, abs=0.5)
    assert found.left.overturning.magnitude == pytest.approx(turned, abs=2)
    assert found.left.overturning.magnitude - level == pytest.approx(by_reaction, abs=2)
    assert found.ratio.magnitude == pytest.approx(ratio, abs=0.005)
    assert found.toward == "left"


@pytest.mark.physics
def test_worked_table_loads_multiplied_and_pads():
    """1.5 × tip load and reaction: 331,474; pads 29,098 each on the loaded side, 11,102 opposite."""
    found = overturning(TRUCK, over="side", pitch="30 deg", load_multiplier=1.5, **FLAT)
    assert found.left.overturning.magnitude == pytest.approx(331_474, abs=2)
    assert "1.5 times, a number that you entered" in found.text()
    pads = [p.load.magnitude for p in overturning(TRUCK, over="side", pitch="30 deg", **FLAT).pads]
    assert pads[0] == pads[2] == pytest.approx(29_098, abs=1)
    assert pads[1] + pads[3] == pytest.approx(11_102, abs=1)


@pytest.mark.physics
def test_worked_table_sideways_stream_shifts_the_pads():
    """Ladder 75 deg over the cab, 90 ft, 505 lbf to the side: ± 2,996 lbf between sides of 16 ft."""
    stream = {"reaction": "505 lbf", "extension": "90 ft", "elevation": "75 deg"}
    turned = overturning(TRUCK, over="front", rotation="90 deg", **stream)
    left, right = (
        sum(p.load.magnitude for p in turned.pads if side in p.name) for side in ("left", "right")
    )
    assert (right - left) / 2 == pytest.approx(2996, abs=1)
    loads = set_up_loads(TRUCK, rotation="90 deg", **stream)
    assert loads.slew_torque.magnitude == pytest.approx(-11_763, abs=1)
    flat = set_up_loads(TRUCK, rotation="90 deg", **FLAT)
    assert flat.slew_torque.magnitude == pytest.approx(-45_450, abs=0.1)
    assert flat.overturning_sideways.magnitude == pytest.approx(-4040, abs=0.1)


@pytest.mark.physics
def test_wind_for_scale_is_like_the_reaction_at_30_degrees():
    """35 mph on 90 ft of ladder at 1 sq ft a foot: 452 lbf, 20,321 lbf·ft."""
    wind = set_up_loads(TRUCK, wind="35 mph", wind_from="right", **FLAT).wind
    assert wind.side.magnitude == pytest.approx(452, abs=0.6)
    assert wind.side_moment.magnitude == pytest.approx(20_321, abs=5)


# --- rules that must hold -------------------------------------------------------------------


@given(forces, lengths, elevations, angles, pitches, offsets, offsets)
def test_reaction_part_is_the_one_of_the_tip_statics(
    force, length, elevation, rotation, pitch, left, up
):
    """Forces and base moments of the reaction are those of `reaction_at_tip`, at any elevation."""
    aim = aimed(force, length, elevation, rotation, pitch)
    place = {"offset_left": text(left, "foot"), "offset_up": text(up, "foot")}
    part = set_up_loads(TOWER, **aim, **place).reaction
    aim.pop("elevation")
    tip = reaction_at_tip(aim.pop("reaction"), **aim, **place)
    names = ("axial", "side", "in_plane", "torsion", "in_plane_moment", "side_moment")
    assert numbers(part, names) == close(numbers(tip, names), 1e5)
    assert math.hypot(*numbers(part, names[:3])) == close(force)


@given(forces, lengths, elevations, angles, pitches, st.sampled_from([TOWER, LADDER, PLATFORM]))
def test_nozzle_to_the_other_side_mirrors_what_goes_sideways(
    force, length, elevation, rotation, pitch, rig
):
    """Side moment, slew torque, sideways overturning and torsion change sign; the rest stays."""
    one, other = (
        set_up_loads(rig, **aimed(force, length, elevation, turn, pitch))
        for turn in (rotation, -rotation)
    )
    flipped = ("torsion", "side_moment", "slew_torque", "overturning_sideways")
    kept = ("in_plane_moment", "overturning_along")
    assert numbers(one, flipped) == close([-x for x in numbers(other, flipped)], 1e5)
    assert numbers(one, kept) == close(numbers(other, kept), 1e6)


@given(forces, lengths, st.floats(0.1, 60), st.floats(1, 20), st.floats(-90, 90))
def test_raising_swaps_slew_torque_for_sideways_overturning(force, length, low, more, rotation):
    """The side moment at the base does not change; slew follows X, overturning follows Z."""
    high = low + more
    one, other = (set_up_loads(TOWER, **aimed(force, length, e, rotation)) for e in (low, high))
    assert one.side_moment.magnitude == close(other.side_moment.magnitude, 1e5)
    assert abs(other.slew_torque.magnitude) <= abs(one.slew_torque.magnitude) + 1e-6
    assert (
        abs(other.overturning_sideways.magnitude) >= abs(one.overturning_sideways.magnitude) - 1e-6
    )


@given(forces, lengths, elevations, st.floats(-90, 90), pitches, st.floats(1.1, 3))
def test_reaction_part_is_linear_in_the_reaction(force, length, elevation, rotation, pitch, times):
    """So many times the reaction, so many times each of its moments; the weights stay."""
    one, other = (
        set_up_loads(TOWER, **aimed(f, length, elevation, rotation, pitch))
        for f in (force, times * force)
    )
    assert numbers(other.reaction) == close([times * x for x in numbers(one.reaction)], 1e6)
    assert other.ladder == one.ladder and other.water == one.water


@given(forces, lengths, elevations, angles, pitches, slopes, slopes, winds)
def test_parts_add_up_to_the_sums(force, length, elevation, rotation, pitch, along, across, wind):
    """Each sum is that of its parts, whatever is switched on."""
    found = set_up_loads(
        PLATFORM,
        **aimed(force, length, elevation, rotation, pitch),
        slope_along=text(along, "degree"),
        slope_across=text(across, "degree"),
        wind=text(wind, "mile/hour"),
    )
    for name in SUMS:
        total = sum(getattr(part, name).magnitude for part in found.parts)
        assert getattr(found, name).magnitude == close(total, 1e6)


@given(forces, lengths, elevations, st.floats(-90, 90), winds)
@example(505.0, 90.0, 0.0, 0.0, 20.0)
def test_wind_from_the_worse_side_adds_to_the_side_moment(force, length, elevation, turn, wind):
    """Left to itself the wind comes from the side that adds; the other side gives no more."""
    sizes = {
        side: abs(
            set_up_loads(
                TOWER,
                **aimed(force, length, elevation, turn),
                wind=text(wind, "mile/hour"),
                wind_from=side,
            ).side_moment.magnitude
        )
        for side in ("worse side", "left", "right")
    }
    assert sizes["worse side"] == close(max(sizes.values()), 1e5)


@given(forces, lengths, elevations, st.floats(-90, 90), pitches, angles)
def test_pads_carry_all_the_weight_and_the_stream_s_push(
    force, length, elevation, rotation, pitch, bearing
):
    """On level ground the pads sum to the weights less what the stream lifts; none pulls."""
    found = overturning(
        TRUCK, over=text(bearing, "degree"), **aimed(force, length, elevation, rotation, pitch)
    )
    raised, up = math.radians(elevation), math.radians(pitch)
    jet_up = math.sin(raised) * math.cos(up) * math.cos(math.radians(rotation))
    jet_up += math.cos(raised) * math.sin(up)
    water = 545 * length / 90
    weight = 60_000 + 8_000 + 500 + water + force * jet_up
    assert found.down.magnitude == pytest.approx(weight, rel=1e-6)
    if found.pads:
        assert sum(p.load.magnitude for p in found.pads) == pytest.approx(weight, rel=1e-6)
        assert min(p.load.magnitude for p in found.pads) >= 0


@given(st.floats(-1.2, 1.2), st.floats(-1.2, 1.2))
def test_pads_balance_exactly_where_the_resultant_falls_inside(u, v):
    """Inside the pads there is a balance, outside there is none; at most one pad lifts."""
    pads, lifted = core.pad_loads_lbf(70_000, 2 + 9 * u, 8 * v, 11, -7, 16)
    inside = abs(u) <= 1 and abs(v) <= 1
    # Within float dust of an edge either is right.
    assume(min(abs(abs(u) - 1), abs(abs(v) - 1)) > 1e-9)
    assert (pads is not None) == inside
    if inside:
        assert (lifted is not None) == (abs(u) + abs(v) > 1 + 1e-8) or abs(
            abs(u) + abs(v) - 1
        ) < 1e-6
        assert sum(pads) == close(70_000)
        assert 11 * (pads[0] + pads[1]) - 7 * (pads[2] + pads[3]) == close(
            70_000 * (2 + 9 * u), 1e6
        )
        assert 8 * (pads[0] + pads[2] - pads[1] - pads[3]) == close(70_000 * 8 * v, 1e6)


def test_resultant_on_an_edge_leaves_two_pads():
    """Exactly on the line between two pads, those two carry all."""
    pads, _ = core.pad_loads_lbf(1000, 0, 8, 10, -10, 16)
    assert pads == pytest.approx((500, 0, 500, 0))


def test_less_loads_never_turn_more():
    """Shorter, less flow or a higher ladder over the side: the ratio is never smaller."""
    base = overturning(TRUCK, over="side", **FLAT).ratio
    for change in (
        {"extension": "60 ft"},
        {"elevation": "60 deg"},
        {"tip_load": "0 lb"},
        {"waterway_full": False},
        {"slope_along": "-4 deg"},
    ):
        assert overturning(TRUCK, over="side", **{**FLAT, **change}).ratio > base
    assert overturning(TRUCK, over="side", slope_along="4 deg", **FLAT).ratio < base


@given(forces, lengths, st.floats(1.05, 2))
def test_sway_grows_with_the_cube_of_the_length(force, length, times):
    """Twice the length, eight times the sway; the load in proportion."""
    one = {"other_side_load": text(force, "lbf"), "other_extension": text(length, "foot")}
    longer = sway_ratio(text(force, "lbf"), extension=text(times * length, "foot"), **one)
    assert longer.value.magnitude == close(100 * times**3)
    more = sway_ratio(text(times * force, "lbf"), extension=text(length, "foot"), **one)
    assert more.value.magnitude == close(100 * times)


@given(forces, lengths, elevations, angles, pitches)
def test_shutdown_leaves_the_ladder_without_the_stream(force, length, elevation, rotation, pitch):
    """Before plus the change is after, and after does not depend on where the stream pointed."""
    aim = aimed(force, length, elevation, rotation, pitch)
    shut = sudden_shutdown(TOWER, **aim)
    after = shut.with_stream.magnitude + shut.in_plane_change.magnitude
    assert shut.without_stream.magnitude == pytest.approx(after, abs=1e-3)
    aim |= {"rotation": "0 deg", "pitch": "0 deg"}
    still = set_up_loads(TOWER, **aim)
    assert shut.without_stream.magnitude == close(still.in_plane_moment.magnitude, 1e6)


# --- missing entries ------------------------------------------------------------------------


def test_bare_rig_gives_the_reaction_and_says_what_is_missing():
    """Only the reaction's own parts are known; sums with a weight in them are not."""
    found = set_up_loads(BARE, rotation="30 deg", **FLAT)
    assert found.reaction.side_moment.magnitude == pytest.approx(-22_725)
    assert found.side_moment == found.reaction.side_moment
    assert found.in_plane_moment is None and found.slew_torque is None
    assert found.ladder is None and found.water is None and found.tip_load is None
    printed = found.text()
    for entry in ("masses", "masses.waterway_bore", "masses.tip_load", "heel_offset"):
        assert entry in printed
    assert "not known" in dict(found.lines())["In-plane moment at the base"]


def test_bare_rig_says_nothing_of_overturning():
    """Neither ratio nor pads, and every entry that is missing is named."""
    found = overturning(BARE, over="side", **FLAT)
    assert found.ratio is None and found.pads == () and found.left is None
    for entry in ("masses", "stabilisers", "heel_offset"):
        assert any(entry in missing for missing in found.missing)
        assert entry in found.text()


def test_tip_load_may_be_given_where_it_was_not_entered():
    """Without an entry the tip load must be given; nothing is made up, zero neither."""
    masses = dict(WHOLE["masses"])
    masses.pop("tip_load")
    rig = Apparatus.model_validate(WHOLE | {"masses": masses})
    assert set_up_loads(rig, **FLAT).in_plane_moment is None
    known = set_up_loads(rig, tip_load="500 lb", **FLAT)
    assert known.in_plane_moment == set_up_loads(TRUCK, **FLAT).in_plane_moment
    assert known.missing == ()


def test_one_missing_entry_hides_only_what_it_touches():
    """No side area: a wind leaves the side sums unknown, the in-plane sum stands."""
    masses = dict(WHOLE["masses"])
    masses.pop("side_area")
    rig = Apparatus.model_validate(WHOLE | {"masses": masses})
    found = set_up_loads(rig, wind="20 mph", **FLAT)
    assert found.side_moment is None and found.overturning_sideways is None
    assert found.in_plane_moment is not None
    assert "masses.side_area" in found.text()
    assert set_up_loads(rig, **FLAT).side_moment is not None


def test_one_pair_of_pads_is_not_reckoned():
    """With one pair the wheels carry a part that the data do not have: nothing is said."""
    one_pair = Stabilisers(ahead="2 ft", behind="2 ft", spread="16 ft")
    rig = TRUCK.model_copy(update={"stabilisers": one_pair})
    found = overturning(rig, over="side", **FLAT)
    assert found.ratio is None
    assert "wheels carry a part" in found.text()


def test_platform_without_its_table_has_no_moments():
    """Where a platform's nozzle stands must be entered."""
    rig = PLATFORM.model_copy(update={"platform": None})
    found = set_up_loads(rig, **FLAT)
    assert found.reaction is None and found.side_moment is None
    assert any("platform" in entry for entry in found.missing)
    with pytest.raises(ImpossibleValue, match="no platform table"):
        sudden_shutdown(rig, **FLAT)


# --- words ----------------------------------------------------------------------------------

CASES = {
    "low and long": {"flow": "1,000 gpm", "rotation": "30 deg", "wind": "40 mph", **FLAT},
    "short": {"flow": "500 gpm", "reaction": "252.5 lbf", "extension": "40 ft",
              "elevation": "10 deg", "rotation": "20 deg"},
    "high": {"flow": "1,000 gpm", "reaction": "505 lbf", "extension": "90 ft",
             "elevation": "70 deg", "rotation": "10 deg", "pitch": "-70 deg"},
}  # fmt: skip


def all_results():
    """Results of every kind, with and without entries."""
    yield from (
        make(rig, **more, **FLAT)
        for rig in (TOWER, TRUCK, BARE)
        for make, more in (
            (set_up_loads, {"wind": "30 mph", "slope_across": "4 deg", "rotation": "40 deg"}),
            (overturning, {"over": "side", "pitch": "30 deg", "required_ratio": 1.5}),
            (overturning, {"over": "front"}),
            (sudden_shutdown, {"pitch": "-40 deg"}),
        )
    )
    yield from (compare_set_ups(rig, CASES) for rig in (TOWER, LADDER, BARE))
    yield sway_ratio("505 lbf", extension="40 ft", other_side_load="1 kN", other_extension="30 m")


def test_results_give_no_verdict_of_their_own_and_name_who_decides():
    """No result says safe, stable or within limits; each names the manual; sources exist."""
    for result in all_results():
        printed = result.text() + result.text("metric") + result.html()
        assert not re.search(r"\b(un)?safe|\bstable\b|within limit|\bOK\b", printed, re.IGNORECASE)
        assert "operator's manual" in printed
        assert result.sources and all(source(s).status != "memory" for s in result.sources)
        assert repr(result) == result.text()


def test_metric_results_read_in_metric_alone():
    """No pound, foot or mph is left in the metric lines, steps and notes of a set-up."""
    for result in all_results():
        lines = [value for label, value in result.lines("metric") if "masses" not in value]
        texts = [*lines, *result.steps_in("metric")]
        texts += [
            in_system(note.text, "metric") for note in result.notes if "entered" not in note.text
        ]
        for said in texts:
            said = said.replace('tip_load="0 lb"', "")
            assert not re.search(r"\d (lbf|lb|ft|mph|gpm)\b", said), said


METRIC_UNITS = r"N·m|N\b|kg\b|kPa|m\b"


def test_worked_steps_are_true_sums_in_both_systems():
    """Whoever keys a step into a calculator gets what is printed."""
    checked = 0
    for result in all_results():
        for system in ("US", "metric"):
            for step in result.steps_in(system):
                if " = " not in step:
                    continue
                left, _, right = step.rpartition(" = ")
                left = re.split(r" = |: ", left)[-1]
                if system == "metric":
                    left, right = (re.sub(METRIC_UNITS, " ", side) for side in (left, right))
                slack = 2.0 if "+" in left or "lbf·ft" in right else 0.2
                assert worked_out(left) == pytest.approx(worked_out(right), rel=1e-3, abs=slack), (
                    step
                )
                checked += 1
    assert checked > 80


def test_low_and_long_is_never_shown_as_the_gentle_case():
    """Below 30 deg with more than half the ladder out, the report on collapses is named."""

    def cites(extension, elevation):
        found = set_up_loads(TOWER, reaction="505 lbf", extension=extension, elevation=elevation)
        return "usfa_tr_081" in found.sources and "five collapses" in found.text()

    assert cites("90 ft", "5 deg") and cites("51 ft", "29 deg")
    assert not cites("50 ft", "5 deg") and not cites("90 ft", "30 deg")
    assert source("usfa_tr_081").status == "second-hand"


def test_required_ratio_speaks_only_of_what_was_entered():
    """Without an entry no verdict; with one, below or not below that entry."""
    silent, above, below = (
        overturning(TRUCK, over="side", required_ratio=r, **FLAT).verdict for r in (None, 1.5, 2)
    )
    assert silent == "not entered: see the operator's manual"
    assert above.startswith("Not below the entered ratio of 1.5")
    assert below.startswith("BELOW THE ENTERED RATIO of 2")


def test_set_up_that_the_device_cannot_take_is_noted():
    """Longer, lower or further turned than the department's data allow: noted, still reckoned."""
    found = set_up_loads(
        LADDER, reaction="300 lbf", extension="90 ft", elevation="-9 deg", rotation="60 deg",
        pitch="20 deg",
    )  # fmt: skip
    noted = [note.text for note in found.notes if note.code == "outside range"]
    assert len(noted) == 4
    assert "extension from 32 ft to 75 ft" in noted[0]
    assert all("Ladder 9" in text for text in noted)


def test_rig_that_goes_over_is_said_so_and_a_lifted_pad_too():
    """Nothing balances: no pads are printed. One pad lifts: its name and the other three."""
    over = overturning(
        TRUCK, over="side", **FLAT | {"slope_along": "5 deg", "tip_load": "4,000 lb"}
    )
    assert over.pads == () and over.ratio < 1
    assert "goes over the left pads" in over.text()
    lifts = overturning(TRUCK, over="45 deg", tip_load="3,000 lb", **FLAT)
    assert lifts.lifted == "rear right"
    assert "rear right pad lifts" in lifts.text()


# --- set-ups compared -----------------------------------------------------------------------


def test_comparison_ranks_each_respect_and_says_how_many_times():
    """505 lbf × sin 30° × 90 ft against 252.5 lbf × sin 20° × 40 ft, and the other way round."""
    cases = {name: dict(case) for name, case in CASES.items()}
    cases["low and long"].pop("wind")
    found = compare_set_ups(TOWER, cases)
    side = next(r for r in found.rankings if r.respect == "side_moment")
    assert [name for name, *_ in side.order] == ["low and long", "short", "high"]
    right = {"low and long": 505 * 0.5 * 90, "short": 252.5 * math.sin(math.radians(20)) * 40}
    right["high"] = 505 * math.cos(math.radians(70)) * math.sin(math.radians(10)) * 90
    for name, size, times in side.order:
        assert size.magnitude == pytest.approx(right[name])
        assert times == pytest.approx(right[name] / right["high"])
    assert not side.alone
    assert any(
        text.startswith("low and long is worse than short in side moment at the base: 6.58 times")
        for text in found.worse
    )


def test_comparison_levers_are_the_factors_of_statics():
    """Half the length and half the flow halve the side moment, a nozzle in line ends it."""
    case = {"reaction": "505 lbf", "extension": "90 ft", "elevation": "0 deg", "rotation": "30 deg"}
    shorter, less, in_line = compare_set_ups(TOWER, {"A": case}).levers
    assert shorter.change == "shorter, 45 ft"
    assert shorter.side_moment == pytest.approx(0.5)
    assert shorter.slew_torque == pytest.approx(43 / 88)
    assert less.side_moment == less.slew_torque == pytest.approx(0.5)
    assert in_line.side_moment == in_line.slew_torque == in_line.overturning_sideways == 0
    assert in_line.in_plane_moment == pytest.approx(1)
    shortest = compare_set_ups(TOWER, {"A": {**case, "extension": "40 ft"}}).levers[0]
    assert shortest.change == "shorter, 36 ft"


def test_comparison_quotes_the_entered_limits_or_says_what_to_look_up():
    """Rotation, wind, slope and elevation against the entries; without a table, what to look up."""
    limits = dict(compare_set_ups(TOWER, CASES).limits)
    assert limits["low and long"].count("BEYOND THE ENTERED LIMIT") == 2  # rotation and wind
    assert "wind up to 35 mph (invented manual, chart 7-4)" in limits["low and long"]
    assert "BEYOND" not in limits["short"]
    for text in dict(compare_set_ups(LADDER, CASES).limits).values():
        assert "not entered: see the operator's manual" in text
        assert "flow, extension, elevation, rotation, wind and slope" in text
    no_flow = compare_set_ups(TOWER, {"A": FLAT}).limits[0][1]
    assert no_flow.startswith("No flow was given")
    steep = compare_set_ups(TOWER, {"A": {**CASES["short"], "slope_across": "6 deg"}}).limits[0][1]
    assert "BEYOND THE ENTERED LIMIT: slope up to 5 deg" in steep


def test_what_a_set_up_does_not_tell_is_not_held_against_an_entry():
    """No wind given is not "not beyond 35 mph"; no entry at all is said, too."""
    case = {"calm or not": {**FLAT, "flow": "900 gpm", "slope_across": "6 deg"}}
    text = in_system(dict(compare_set_ups(TOWER, case).limits)["calm or not"], "US")
    assert "No wind was given to hold against the entry: wind up to 35 mph" in text
    assert "BEYOND THE ENTERED LIMIT: slope up to 5 deg" in text
    assert "Not beyond the entered limit: elevation no lower than -6 deg" in text
    bare = in_system(dict(compare_set_ups(LADDER, case).limits)["calm or not"], "US")
    assert "Limits of wind, slope and lowest elevation: not entered" in bare


def test_comparison_of_a_bare_rig_compares_the_reaction_alone():
    """Without weights the in-plane moment is the reaction's alone; without a heel pin no slew."""
    cases = {name: {k: v for k, v in case.items() if k != "wind"} for name, case in CASES.items()}
    found = compare_set_ups(BARE, cases)
    alone = {ranking.respect: ranking.alone for ranking in found.rankings}
    assert alone == {"in_plane_moment": True, "side_moment": False, "overturning_sideways": False}
    assert "heel_offset" in found.text()
    assert all(lever.slew_torque is None for lever in found.levers)


# --- faults ---------------------------------------------------------------------------------


def test_comparison_names_every_fault_of_every_set_up():
    """A missing key, a wrong unit, an unknown key and a value that cannot be, all at once."""
    with pytest.raises(UnitError) as caught:
        compare_set_ups(
            TOWER,
            {
                "A": {"reaction": "505 lbf", "extension": "90 ft"},
                "B": {**FLAT, "wind": "20 psi", "speed": "3 mph"},
                "C": {**FLAT, "extension": "-4 ft"},
                "D": {**FLAT, "wind_from": "above"},
            },
        )
    said = str(caught.value)
    for words in (
        'set-up A: elevation: missing; write elevation="30 deg"',
        "set-up B: speed: not a key the kit knows",
        "set-up B: wind = '20 psi'",
        "set-up C: extension = -4 ft: must be more than 0",
        "set-up D: wind_from = 'above'",
    ):
        assert words in said
    with pytest.raises(ImpossibleValue, match="needs a set-up"):
        compare_set_ups(TOWER, {})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"over": "up"}, 'Write one of "front", "side"'),
        ({"over": "400 deg"}, "must be at most 180"),
        ({"load_multiplier": 0.5}, "load_multiplier = 0.5: must be 1 to 10"),
        ({"required_ratio": 0}, "required_ratio = 0"),
        ({"drag_coefficient": 9}, "drag_coefficient = 9"),
        ({"wind_from": "behind"}, "wind_from = 'behind': must be one of"),
        ({"slope_across": "31 deg"}, "must be at most 30"),
    ],
)
def test_what_cannot_be_is_refused_in_words(change, words):
    """Each fault says what was read and what may be written."""
    with pytest.raises(ImpossibleValue, match=re.escape(words)):
        overturning(TRUCK, **{"over": "side", **FLAT, **change})


def test_platform_refuses_a_second_place_for_its_nozzle():
    """A platform's nozzle stands where platform.up says."""
    with pytest.raises(ImpossibleValue, match="platform\\.up"):
        set_up_loads(PLATFORM, offset_up="1 ft", **FLAT)


def test_masses_of_the_worked_truck_are_read_as_written():
    """The made-up truck is a department's entry like any other."""
    assert isinstance(TRUCK.masses, Masses)
    assert set_up_loads(TRUCK, **FLAT).water.in_plane_moment.magnitude == pytest.approx(
        545 * 45, rel=1e-6
    )
