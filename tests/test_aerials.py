"""What an aerial can aim at: places of the tip, directions, remedies, the shop front, the footprint.

Expected numbers are worked by hand or by scipy's rotations and root finder; none comes from the
code under test.
"""

import math

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from aerialstream import quantity
from aerialstream._core import aerials as core
from aerialstream.aerials import (
    aim,
    aim_through_opening,
    footprint,
    scrub_half_width,
    stream_direction,
    tip_position,
    tip_to_reach,
)
from aerialstream.department import DEMO_FOLDER, Apparatus, load_department
from aerialstream.errors import ImpossibleValue, UnitError

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

pytestmark = pytest.mark.physics

DEMO = load_department(DEMO_FOLDER)
TOWER, LADDER, PLATFORM = (DEMO.device(d) for d in ("tower-3", "ladder-9", "platform-2"))
DEVICES = st.sampled_from([TOWER, LADDER, PLATFORM])

elevations = st.floats(-85, 85)
rotations = st.floats(-179, 179)
pitches = st.floats(-89, 89)


def device(**changed):
    """An invented ladder without heel offset: heel pin 8 ft up, -5 to 75 deg, all else as changed."""
    entries = {
        "id": "made-up",
        "name": "Made-up ladder",
        "kind": "rear-mount ladder",
        "turntable_height": "8 ft",
        "extension": {"least": "30 ft", "most": "100 ft"},
        "elevation": {"least": "-5 deg", "most": "75 deg"},
        "nozzle_travel": {"up": "45 deg", "down": "120 deg", "left": "60 deg", "right": "60 deg"},
        "nozzles": ["tip"],
    }
    return Apparatus(**(entries | changed))


def travel(up, down, side=60):
    """Nozzle travel as it is entered."""
    each = {"up": up, "down": down, "left": side, "right": side}
    return {way: f"{angle} deg" for way, angle in each.items()}


LOW_NOZZLE = device(nozzle_travel=travel(10, 135, 45))  # the reference's ladder A
HIGH_NOZZLE = device(nozzle_travel=travel(45, 120))  # and ladder B
SHOP = {"sill": "0 ft", "head": "9 ft", "ceiling": "12 ft", "extension": "40 ft"}


def feet(number):
    """A plain number as feet."""
    return quantity(number, "foot")


def degrees(number):
    """A plain number as degrees."""
    return quantity(number, "degree")


def ray(elevation, rotation, pitch):
    """The stream's unit vector by scipy's rotations: x ahead, y left, z up."""
    in_ladder = Rotation.from_euler("ZY", [rotation, -pitch], degrees=True).apply([1, 0, 0])
    return Rotation.from_euler("y", -elevation, degrees=True).apply(in_ladder)


def unit_vector(world_pitch, shift):
    """The unit vector of a world pitch and a bearing shift, by sines and cosines."""
    up, left = math.radians(world_pitch), math.radians(shift)
    return [math.cos(up) * math.cos(left), math.cos(up) * math.sin(left), math.sin(up)]


# Directions


@given(elevations, rotations, st.floats(-179, 179))
def test_direction_agrees_with_rotation_matrices(elevation, rotation, pitch):
    """Turn, pitch, raise by scipy: the same ray, to 1e-9."""
    found = core.stream_direction_deg(elevation, rotation, pitch)
    assert unit_vector(*found) == pytest.approx(ray(elevation, rotation, pitch), abs=1e-9)


@given(elevations, st.floats(-90, 90), rotations)
def test_both_settings_point_where_they_should(elevation, world_pitch, shift):
    """By scipy, each of the two settings sends the stream the way that was asked for."""
    wanted = unit_vector(world_pitch, shift)
    for rotation, pitch in core.nozzle_settings_deg(elevation, world_pitch, shift):
        assert ray(elevation, rotation, pitch) == pytest.approx(wanted, abs=1e-9)
        assert abs(rotation) <= 180 and abs(pitch) <= 180


@given(elevations, rotations, pitches)
@example(80, 0, -89)
@example(75, 0, -10)
def test_setting_undoes_direction(elevation, rotation, pitch):
    """A setting turned into a direction and back is itself, where it is the smaller of the two."""
    assume(abs(rotation) + abs(pitch) < 179)
    up, shift = core.stream_direction_deg(elevation, rotation, pitch)
    assume(abs(up) < 89.9)  # straight up or down the shift means nothing
    found = core.nozzle_setting_deg(elevation, up, shift)
    assert found == pytest.approx((rotation, pitch), abs=1e-5)


@given(elevations, st.floats(-170, 170))
def test_in_line_the_angles_add(elevation, pitch):
    """With the nozzle in line the stream's pitch is elevation + pitch, and the bearing stays."""
    assume(abs(elevation + pitch) < 89.9)
    up, shift = core.stream_direction_deg(elevation, 0, pitch)
    assert (up, shift) == pytest.approx((elevation + pitch, 0), abs=1e-9)


@given(elevations, rotations, pitches)
def test_mirrored_rotation_mirrors_the_bearing_only(elevation, rotation, pitch):
    """Nozzle to the other side: the bearing shift changes sign, the pitch stays."""
    up, shift = core.stream_direction_deg(elevation, rotation, pitch)
    other_up, other_shift = core.stream_direction_deg(elevation, -rotation, pitch)
    assert other_up == pytest.approx(up, abs=1e-9)
    assert math.sin(math.radians(other_shift + shift)) == pytest.approx(0, abs=1e-6)


def test_past_square_is_kept_in_line():
    """Ladder 75 deg, stream 60 deg down ahead: -135 deg in line, not turned about and -45."""
    assert core.nozzle_setting_deg(75, -60, 0) == pytest.approx((0, -135))
    assert (180, -45) == pytest.approx(core.nozzle_settings_deg(75, -60, 0)[1])


def test_public_direction_refuses_bare_numbers():
    """Without units nothing is worked out, and every fault is named."""
    with pytest.raises(UnitError, match=r"(?s)elevation.*rotation.*pitch"):
        stream_direction(30, rotation=60, pitch=0)


# Places


@pytest.mark.parametrize(
    ("extension", "elevation", "out", "up"),
    [(75, 60, 37.5, 72.95), (100, 75, 25.9, 104.6), (40, -5, 39.85, 4.51), (50, -8, 49.5, 1.0)],
)
def test_tip_of_a_ladder_without_heel_offset(extension, elevation, out, up):
    """L cos and 8 + L sin, to the figures that a hand calculation keeps."""
    wide = device(elevation={"least": "-10 deg", "most": "75 deg"})
    found = tip_position(wide, extension=feet(extension), elevation=degrees(elevation))
    assert found.out.magnitude == pytest.approx(out, abs=0.05)
    assert found.up.magnitude == pytest.approx(up, abs=0.05)


def test_heel_offset_not_entered_is_said_and_only_then():
    """Taken at the turntable's centre, and the result says so."""
    said = "heel offset not entered: taken at the turntable's centre"
    assert said in tip_position(device(), extension="40 ft", elevation="0 deg").text()
    assert said not in tip_position(TOWER, extension="40 ft", elevation="0 deg").text()
    assert "platform" in aim(
        device(kind="rear-mount platform"), elevation="0 deg", extension="40 ft", stream_pitch="0 deg"
    ).text()  # fmt: skip


def test_setting_outside_the_device_names_range_and_value():
    """Both faults at once, each with the device's own range."""
    with pytest.raises(ImpossibleValue) as refused:
        tip_position(TOWER, extension="140 ft", elevation="-25 deg")
    for part in ("140 ft", "36 ft to 100 ft", "-25 deg", "-6 deg to 75 deg", "Tower 3"):
        assert part in str(refused.value)


@given(DEVICES, st.floats(0, 1), st.floats(0, 1), st.floats(0, 360))
def test_tip_to_reach_undoes_tip_position(rig, longer, higher, bearing):
    """The place of a setting asks for that setting; east and north make up out."""
    least, most = (rig.extension.least.magnitude, rig.extension.most.magnitude)
    low, high = rig.elevation.least.magnitude, rig.elevation.most.magnitude
    extension, elevation = least + longer * (most - least), low + higher * (high - low)
    there = tip_position(
        rig, extension=feet(extension), elevation=degrees(elevation), bearing=degrees(bearing)
    )
    back = tip_to_reach(rig, out=there.out, up=there.up)
    assert back.extension.magnitude == pytest.approx(extension, rel=1e-9)
    assert back.elevation.magnitude == pytest.approx(elevation, abs=1e-6)
    level = math.hypot(there.east.magnitude, there.north.magnitude)
    assert level == pytest.approx(abs(there.out.magnitude))


@pytest.mark.parametrize(
    ("out", "up", "words"),
    [
        ("28 ft", "148 ft", ("longest extension", "highest elevation")),
        ("10 ft", "10 ft", ("shortest extension",)),
        ("60 ft", "-20 ft", ("lowest elevation",)),
        ("-60 ft", "20 ft", ("highest elevation",)),
        ("60 ft", "30 ft", ()),
    ],
)
def test_place_out_of_reach_names_the_range_that_stops_it(out, up, words):
    """Too far, too near, too low, behind the turntable; and one that is reached."""
    found = tip_to_reach(TOWER, out=out, up=up)
    assert found.possible is not bool(words)
    assert len(found.stops) == len(words)
    for stop, word in zip(found.stops, words, strict=True):
        assert word in stop


def test_below_level_says_what_the_department_entered():
    """The entered least elevation is repeated; where there is none, see the manual."""
    low = {"extension": "40 ft", "elevation": "-5 deg"}
    assert "Not beyond the entered least elevation, -6 deg" in tip_position(TOWER, **low).text()
    assert "Least elevation: not entered" in tip_position(LADDER, **low).text()
    assert (
        "least elevation" not in tip_position(LADDER, extension="40 ft", elevation="0 deg").text()
    )
    strict = device(manual_conditions={"elevation_at_least": "-2 deg", "page": "p. 4"})
    assert "Below the entered least elevation, -2 deg (p. 4)" in tip_position(strict, **low).text()


def test_tip_below_the_ground_is_said():
    """75 ft at -8 deg from 7.5 ft would stand 2.9 ft under the ground."""
    found = tip_position(LADDER, extension="75 ft", elevation="-8 deg")
    assert found.up.magnitude == pytest.approx(-2.94, abs=0.005)
    assert "lower than the ground" in found.text()


# Aim

aims = {
    "rig": DEVICES,
    "higher": st.floats(0, 1),
    "stream": st.floats(-85, 85),
    "shift": st.one_of(st.just(0.0), st.floats(-170, 170)),
}


def aimed(rig, higher, stream, shift, extension="50 ft"):
    """An aim at a share of the elevation range."""
    low, high = rig.elevation.least.magnitude, rig.elevation.most.magnitude
    return aim(
        rig,
        elevation=degrees(low + higher * (high - low)),
        extension=extension,
        stream_pitch=degrees(stream),
        bearing_shift=degrees(shift),
    )


def inside(rig, rotation, pitch):
    """Whether a setting lies within the travel entered, by plain comparison."""
    t = {w: getattr(rig.nozzle_travel, w).magnitude for w in ("up", "down", "left", "right")}
    return (
        -t["right"] - 1e-8 <= rotation <= t["left"] + 1e-8
        and -t["down"] - 1e-8 <= pitch <= t["up"] + 1e-8
    )


@given(**aims)
def test_aim_is_reachable_if_and_only_if_its_setting_lies_within_travel(rig, higher, stream, shift):
    """And the setting really points there, by scipy's rotations."""
    found = aimed(rig, higher, stream, shift)
    rotation, pitch = found.rotation.magnitude, found.pitch.magnitude
    assert found.reachable == inside(rig, rotation, pitch) == (not found.stops)
    low, high = rig.elevation.least.magnitude, rig.elevation.most.magnitude
    base = 0 if rig is PLATFORM else low + higher * (high - low)
    assert ray(base, rotation, pitch) == pytest.approx(unit_vector(stream, shift), abs=1e-8)


@given(rig=DEVICES, higher=st.floats(0, 1), across=st.floats(0, 1), over=st.floats(0, 1))
def test_aim_of_any_setting_within_travel_is_reachable(rig, higher, across, over):
    """Whatever the nozzle can be set to, its direction counts as reachable."""
    t = rig.nozzle_travel
    rotation = -t.right.magnitude + across * (t.left + t.right).magnitude
    pitch = -t.down.magnitude + over * (t.up + t.down).magnitude
    low, high = rig.elevation.least.magnitude, rig.elevation.most.magnitude
    elevation = low + higher * (high - low)
    x, y, z = ray(0 if rig is PLATFORM else elevation, rotation, pitch)
    assume(math.hypot(x, y) > 0.01)
    found = aim(
        rig,
        elevation=degrees(elevation),
        extension="50 ft",
        stream_pitch=degrees(math.degrees(math.atan2(z, math.hypot(x, y)))),
        bearing_shift=degrees(math.degrees(math.atan2(y, x))),
    )
    assert found.reachable or sum(s.beyond.magnitude for s in found.stops) < 1e-6


@settings(max_examples=60)
@given(**aims)
def test_remedies_work_when_they_are_applied(rig, higher, stream, shift):
    """The ladder set and the turntable turned as told: reachable, and the tip as high as told."""
    found = aimed(rig, higher, stream, shift)
    assert not (found.reachable and found.remedies)
    for remedy in found.remedies:
        left = shift - remedy.turn.magnitude
        again = aim(
            rig,
            elevation=remedy.elevation,
            extension="50 ft",
            stream_pitch=degrees(stream),
            bearing_shift=degrees(left),
        )
        assert again.reachable, remedy
        there = tip_position(rig, extension="50 ft", elevation=remedy.elevation)
        assert there.up.magnitude == pytest.approx(remedy.up.magnitude)


@settings(max_examples=60)
@given(rig=st.sampled_from([TOWER, LADDER]), higher=st.floats(0, 1), stream=st.floats(-85, 85))
def test_aim_in_line_is_remedied_just_where_arithmetic_says(rig, higher, stream):
    """In line some elevation works if and only if stream - up <= elevation <= stream + down."""
    found = aimed(rig, higher, stream, 0.0)
    t = rig.nozzle_travel
    low = max(rig.elevation.least.magnitude, stream - t.up.magnitude)
    high = min(rig.elevation.most.magnitude, stream + t.down.magnitude)
    low = max(low, math.degrees(math.asin(-rig.turntable_height.magnitude / 50)))  # the ground
    assume(abs(high - low) > 0.5)
    assert (found.reachable or bool(found.remedies)) == (low <= high)
    for remedy in found.remedies:
        to = remedy.elevation.magnitude
        assert low - 1e-6 <= to <= high + 1e-6
        assert min(abs(to - low), abs(to - high)) < 0.11  # no further than needed


@pytest.mark.parametrize(
    ("way", "stream", "shift"),
    [("up", 1, 0), ("down", -1, 0), ("left", 0, 1), ("right", 0, -1)],
)
def test_travel_ends_at_the_angle_entered_for_its_way(way, stream, shift):
    """From a level ladder, a tenth inside each of four different travels, and a tenth beyond."""
    ends = {"up": 20, "down": 50, "left": 30, "right": 40}
    rig = device(nozzle_travel={end: f"{angle} deg" for end, angle in ends.items()})
    for more, stops in ((-0.1, []), (0.1, [way])):
        angle = ends[way] + more
        found = aim(
            rig,
            elevation="0 deg",
            extension="50 ft",
            stream_pitch=degrees(stream * angle),
            bearing_shift=degrees(shift * angle),
        )
        assert [stop.way for stop in found.stops] == stops
        assert all(stop.beyond.magnitude == pytest.approx(0.1) for stop in found.stops)


def test_remedy_that_would_bury_the_tip_is_not_told():
    """Down 10 deg only, stream -15: -5 deg is needed; 100 ft would stand 0.7 ft under the ground."""
    rig = device(nozzle_travel=travel(45, 10))
    low = {"elevation": "5 deg", "stream_pitch": "-15 deg"}
    assert not aim(rig, extension="100 ft", **low).remedies
    short = aim(rig, extension="75 ft", **low).remedies  # 8 - 75 sin 5 = 1.5 ft
    assert [remedy.elevation.magnitude for remedy in short] == pytest.approx([-5])


def test_remedy_is_told_with_what_it_changes():
    """Raised from -5 to 4.1 deg, a 40-ft ladder's tip climbs 40 (sin 4.1 + sin 5) = 6.3 ft."""
    found = aim(LADDER, elevation="-5 deg", extension="40 ft", stream_pitch="14.04 deg")
    assert [stop.way for stop in found.stops] == ["up"]
    assert "raise the ladder to 4.1 deg" in str(found.remedies[0])
    assert "10.4 ft up, 6.3 ft higher" in str(found.remedies[0])
    assert "1.93 m higher" in found.text("metric")


def test_lining_up_with_the_turntable_comes_first():
    """Stream 80 deg off a level ladder: the turntable's whole turn, then the least one."""
    found = aim(
        TOWER, elevation="0 deg", extension="60 ft", stream_pitch="0 deg", bearing_shift="80 deg"
    )
    assert [r.turn.magnitude for r in found.remedies] == pytest.approx([80, 20])
    assert "turn the turntable 80 deg to the left" in str(found.remedies[0])


def test_turntable_and_ladder_are_told_together_where_neither_is_enough():
    """Stream 14.04 up and 60 to the right of a ladder at -5 with 10 deg up: line up and raise."""
    found = aim(
        LADDER, elevation="-5 deg", extension="40 ft", stream_pitch="14.04 deg",
        bearing_shift="-60 deg",
    )  # fmt: skip
    (remedy,) = found.remedies
    assert (remedy.turn.magnitude, remedy.elevation.magnitude) == pytest.approx((-60, 4.1))
    assert {stop.way for stop in found.stops} == {"up", "right"}


def test_platform_cannot_gain_pitch_by_raising():
    """Its nozzle's base stays level: no remedy, and the result says why."""
    found = aim(PLATFORM, elevation="20 deg", extension="50 ft", stream_pitch="60 deg")
    assert not found.reachable and not found.remedies
    assert "levels its nozzle" in found.text()


def test_no_result_calls_anything_allowed():
    """Geometry permits nothing: never the word safe, never within limits."""
    found = [
        aim(LADDER, elevation="-5 deg", extension="40 ft", stream_pitch="5 deg").text(),
        aim_through_opening(TOWER, standoff="15 ft", **SHOP).text(),
        scrub_half_width(TOWER, standoff="30 ft", height="30 ft").text(),
        tip_to_reach(TOWER, out="60 ft", up="30 ft").text(),
    ]
    for text in found:
        assert "permits nothing" in text and "manual" in text
        assert " safe" not in text and "within limits" not in text


# The shop front


@pytest.mark.parametrize(
    ("standoff", "steepest", "strike"), [(6, 36.8, 4.0), (10, 24.2, 6.7), (15, 16.7, 10.0), (24, 10.6, 16.0)]
)  # fmt: skip
def test_shop_front_table(standoff, steepest, strike):
    """Head 9 ft, ceiling 12 ft, nozzle 4.51 ft up: atan(4.49 / s), and s × 3 / 4.49 inside."""
    found = aim_through_opening(HIGH_NOZZLE, standoff=feet(standoff), elevation="-5 deg", **SHOP)
    assert found.steepest.magnitude == pytest.approx(steepest, abs=0.05)
    assert found.strike_depth.magnitude == pytest.approx(strike, abs=0.05)
    assert found.stops == ("head",)


def test_low_nozzle_at_the_shop_front_is_held_by_travel_and_head_together():
    """Best -1.7 deg, stream 8.3 deg, nozzle 6.81 ft up, strike 20.6 ft inside, by scipy's brentq."""

    def up(elevation):
        return 8 + 40 * np.sin(np.radians(elevation))

    best = brentq(lambda e: np.degrees(np.arctan((9 - up(e)) / 15)) - e - 10, -30, 30)
    assert best == pytest.approx(-1.71, abs=0.01)  # as worked by hand
    found = aim_through_opening(LOW_NOZZLE, standoff="15 ft", **SHOP)
    assert found.elevation.magnitude == pytest.approx(best, abs=1e-6)
    assert found.steepest.magnitude == pytest.approx(best + 10, abs=1e-6)
    assert found.nozzle_height.magnitude == pytest.approx(up(best), abs=1e-6)
    inside_ft = (12 - up(best)) / np.tan(np.radians(best + 10)) - 15
    assert found.strike_depth.magnitude == pytest.approx(inside_ft, abs=1e-5)
    assert inside_ft == pytest.approx(20.6, abs=0.05)
    assert set(found.stops) == {"head", "travel up"}
    assert "raising the ladder lifts the tip past the head" in found.reason


def test_low_nozzle_from_its_lowest_ladder_strikes_far_off():
    """At -5 deg the most is 5 deg up: (12 - 4.51) / tan 5 = 85.6 ft from the nozzle."""
    found = aim_through_opening(LOW_NOZZLE, standoff="15 ft", elevation="-5 deg", **SHOP)
    assert found.steepest.magnitude == pytest.approx(5)
    assert found.strike_depth.magnitude + 15 == pytest.approx(85.6, abs=0.05)
    assert found.stops == ("travel up",)


def test_low_nozzle_cannot_have_a_strike_15_ft_inside_and_is_told_what_else():
    """Travel asks for more elevation than the head leaves: 6 ft is the most for the nozzle."""
    found = aim_through_opening(LOW_NOZZLE, standoff="15 ft", strike_depth="15 ft", **SHOP)
    assert found.depth_possible is False
    assert set(found.depth_stops) == {"travel up", "head"}
    assert "at most -2.9 deg" in found.depth_reason  # asin((6 - 8) / 40) = -2.87
    assert len(found.alternatives) >= 4
    assert "Never rest or push the ladder against the building" in found.text()
    assert not any("against the building" in way for way in found.alternatives)


def test_high_nozzle_at_the_shop_front_is_held_by_the_head():
    """At the lowest elevation the head alone stops it; 6 ft off it needs 41.8 deg of 45."""
    found = aim_through_opening(HIGH_NOZZLE, standoff="15 ft", **SHOP)
    assert found.stops == ("head", "lowest elevation")
    near = aim_through_opening(HIGH_NOZZLE, standoff="6 ft", **SHOP)
    assert near.nozzle_pitch.magnitude == pytest.approx(41.8, abs=0.05)
    assert near.stops == ("head", "lowest elevation")


def test_high_nozzle_strikes_15_ft_inside_but_not_5():
    """15 ft in: 14 deg, 8.26 ft at the wall. 5 ft in would cross the wall at 10.1 ft."""
    fifteen = aim_through_opening(
        HIGH_NOZZLE, standoff="15 ft", strike_depth="15 ft", elevation="-5 deg", **SHOP
    )
    assert fifteen.depth_possible
    assert fifteen.depth_streams[0].magnitude == pytest.approx(14.01, abs=0.01)
    assert not fifteen.alternatives
    five = aim_through_opening(HIGH_NOZZLE, standoff="15 ft", strike_depth="5 ft", **SHOP)
    assert five.depth_possible is False
    assert five.depth_stops == ("lowest elevation", "head")


shops = {
    "rig": st.sampled_from([TOWER, LADDER, PLATFORM, LOW_NOZZLE, HIGH_NOZZLE]),
    "standoff": st.floats(2, 60),
    "sill": st.floats(0, 6),
    "tall": st.floats(2, 10),
    "above": st.floats(0.01, 6),
    "margin": st.floats(0, 0.9),
    "extension": st.floats(38, 75),
}


def shop_of(standoff, sill, tall, above, margin, extension):
    """Inputs of an opening with its sill, its height and the wall above it to the ceiling."""
    return {
        "standoff": feet(standoff),
        "sill": feet(sill),
        "head": feet(sill + tall),
        "ceiling": feet(sill + tall + above),
        "margin": feet(margin),
        "extension": feet(extension),
    }


def brute_force(rig, standoff, sill, tall, margin, extension):
    """(elevation, lowest, steepest) over the elevation range in tenths, by plain trigonometry."""
    level = rig.kind.endswith("platform")
    base_height = rig.turntable_height.magnitude + (rig.platform.up.magnitude if level else 0)
    e = np.arange(rig.elevation.least.magnitude, rig.elevation.most.magnitude + 1e-9, 0.1)
    z = base_height + extension * np.sin(np.radians(e))
    head = np.degrees(np.arctan((sill + tall - margin - z) / standoff))
    foot = np.degrees(np.arctan((sill + margin - z) / standoff))
    base = 0 * e if level else e
    steep = np.minimum(head, base + rig.nozzle_travel.up.magnitude)
    low = np.maximum(foot, base - rig.nozzle_travel.down.magnitude)
    keep = (low <= steep) & (z >= 0)
    return e[keep], low[keep], steep[keep], z[keep]


@settings(max_examples=80)
@given(**shops)
def test_best_elevation_is_as_good_as_any_tried(
    rig, standoff, sill, tall, above, margin, extension
):
    """No elevation of the range, tried in tenths of a degree, gives a steeper stream."""
    shop = shop_of(standoff, sill, tall, above, margin, extension)
    found = aim_through_opening(rig, **shop)
    _, _, steep, _ = brute_force(rig, standoff, sill, tall, margin, extension)
    if len(steep):
        assert found.possible
        assert found.steepest.magnitude >= steep.max() - 1e-6
    if found.possible:
        again = aim_through_opening(rig, elevation=found.elevation, **shop)
        assert again.possible and again.steepest.magnitude == pytest.approx(
            found.steepest.magnitude, abs=1e-6
        )


@settings(max_examples=80)
@given(**shops, depth=st.floats(0, 60))
def test_wanted_strike_is_had_just_where_trying_every_elevation_has_it(
    rig, standoff, sill, tall, above, margin, extension, depth
):
    """The interval of elevations agrees with trying them one by one, in tenths of a degree."""
    shop = shop_of(standoff, sill, tall, above, margin, extension)
    found = aim_through_opening(rig, strike_depth=feet(depth), **shop)
    e, low, steep, z = brute_force(rig, standoff, sill, tall, margin, extension)
    need = np.degrees(np.arctan((sill + tall + above - z) / (standoff + depth)))
    good = e[(low + 1e-7 <= need) & (need <= steep - 1e-7)]
    if len(good):
        assert found.depth_possible
        first, last = (angle.magnitude for angle in found.depth_elevations)
        assert first <= good.min() + 1e-6 and good.max() <= last + 1e-6
        assert good.min() - first < 0.11 and last - good.max() < 0.11
    elif found.depth_possible:  # an interval that falls between two of the tenths
        first, last = (angle.magnitude for angle in found.depth_elevations)
        assert last - first < 0.11


@settings(max_examples=60)
@given(**shops, higher=st.floats(0, 1))
def test_streams_through_the_opening_pass_it_and_can_be_aimed(
    rig, standoff, sill, tall, above, margin, extension, higher
):
    """Steepest and lowest cross the wall between sill and head, and `aim` reaches both."""
    low, high = rig.elevation.least.magnitude, rig.elevation.most.magnitude
    elevation = degrees(low + higher * (high - low))
    shop = shop_of(standoff, sill, tall, above, margin, extension)
    found = aim_through_opening(rig, elevation=elevation, **shop)
    assume(found.possible)
    z = found.nozzle_height.magnitude
    for stream in (found.steepest, found.lowest):
        at_wall = z + standoff * math.tan(stream.to("radian").magnitude)
        assert sill + margin - 1e-6 <= at_wall <= sill + tall - margin + 1e-6
        reached = aim(rig, elevation=elevation, extension=shop["extension"], stream_pitch=stream)
        assert reached.reachable or sum(s.beyond.magnitude for s in reached.stops) < 1e-6
    if found.strike_depth is not None:
        run = standoff + found.strike_depth.magnitude
        rise = run * math.tan(found.steepest.to("radian").magnitude)
        assert z + rise == pytest.approx(sill + tall + above, rel=1e-6)
        assert found.strike_depth.magnitude >= -1e-6


def test_ceiling_at_the_head_is_struck_from_below_only():
    """Ceiling 9 ft at the head, strike at the wall itself: the nozzle no higher than 9 ft."""
    shop = SHOP | {"ceiling": "9 ft"}
    found = aim_through_opening(HIGH_NOZZLE, standoff="15 ft", strike_depth="0 ft", **shop)
    highest = math.degrees(math.asin((9 - 8) / 40))
    assert found.depth_elevations[1].magnitude == pytest.approx(highest)


def test_nozzle_that_cannot_go_down_far_enough_is_told():
    """A nozzle held level on a tall ladder cannot look down through a low window."""
    stiff = device(nozzle_travel=travel(45, 2), elevation={"least": "30 deg", "most": "75 deg"})
    found = aim_through_opening(stiff, standoff="10 ft", **SHOP)
    assert not found.possible and found.stops == ("travel down", "head")
    assert found.steepest is None and found.strike_depth is None and found.alternatives


def test_tip_under_the_ground_is_no_stream():
    """At an elevation that would bury the tip nothing is possible; the search keeps above it."""
    shop = SHOP | {"extension": "75 ft"}
    found = aim_through_opening(LADDER, standoff="15 ft", elevation="-8 deg", **shop)
    assert not found.possible and found.stops == ("ground",)
    best = aim_through_opening(LADDER, standoff="15 ft", **shop)
    assert best.nozzle_height.magnitude >= 0


def test_opening_that_cannot_be_is_refused_with_every_fault():
    """Sill above head, head above ceiling and an extension that the device does not have."""
    with pytest.raises(ImpossibleValue, match=r"(?s)extension.*sill.*head"):
        aim_through_opening(
            TOWER, standoff="6 ft", sill="5 ft", head="4 ft", ceiling="3 ft", extension="120 ft"
        )
    with pytest.raises(ImpossibleValue, match="margin"):
        aim_through_opening(TOWER, standoff="6 ft", margin="5 ft", **SHOP)


# Footprint and scrub


def test_footprint_has_pads_two_by_two():
    """Tower 3: pads 16 ft across, 14 ft ahead and 3 ft behind, 24 in square."""
    found = footprint(TOWER)
    centres = [(x.magnitude, y.magnitude) for x, y in found.pad_centres]
    assert centres == [(-8, 14), (8, 14), (-8, -3), (8, -3)]
    corners = [round(c.magnitude, 9) for point in found.pads[0] for c in point]
    assert corners == [-9, 15, -7, 15, -7, 13, -9, 13]


def test_footprint_of_one_pair_has_two_pads():
    """A rig with one pair gives ahead and behind the same: two pads, not four in two places."""
    one = device(stabilisers={"ahead": "2 ft", "behind": "2 ft", "spread": "14 ft"})
    found = footprint(one)
    assert len(found.pad_centres) == 2 and found.pads is None
    assert "size of the pads not entered" in found.text()


def test_footprint_says_what_was_not_entered():
    """Nothing is made up for a rig without chassis and stabilisers."""
    found = footprint(device())
    assert found.chassis is None and found.pads is None and found.pad_centres is None
    assert "chassis not entered" in found.text() and "stabilisers not entered" in found.text()


def test_scrub_without_heel_offset():
    """Longest 95 ft, 35 ft off, 30 ft up, heel pin 8 ft up: √(95² - 22² - 35²) = 85.5 ft, 67.7 deg."""
    found = scrub_half_width(
        device(extension={"least": "30 ft", "most": "95 ft"}), standoff="35 ft", height="30 ft"
    )
    assert found.half_width.magnitude == pytest.approx(math.sqrt(95**2 - 22**2 - 35**2))
    assert found.half_width.magnitude == pytest.approx(85.5, abs=0.05)
    assert found.slew.magnitude == pytest.approx(67.7, abs=0.05)
    assert "heel offset not entered" in found.text()


@given(DEVICES, st.floats(5, 60), st.floats(0, 80), st.floats(0, 1.2))
def test_scrub_agrees_with_putting_the_tip_there(rig, standoff, height, share):
    """A point of the wall lies in the scrub if and only if the tip can be put there."""
    found = scrub_half_width(rig, standoff=feet(standoff), height=feet(height))
    widest = 100 if found.half_width is None else found.half_width.magnitude
    along = share * widest
    reach = tip_to_reach(rig, out=feet(math.hypot(standoff, along)), up=feet(height))
    inside_scrub = (
        found.half_width is not None
        and found.nearest.magnitude <= along <= found.half_width.magnitude
    )
    edge = found.half_width is not None and min(
        abs(along - found.nearest.magnitude), abs(along - widest)
    ) < 1e-6 * (1 + widest)  # fmt: skip
    assume(not edge)
    assert reach.possible == inside_scrub


def test_wall_out_of_reach_is_said():
    """60 ft up, 70 ft off: 87 ft from the heel pin of a 75-ft ladder. No number is made up."""
    found = scrub_half_width(LADDER, standoff="70 ft", height="60 ft")
    assert found.half_width is None and "not reached" in found.text()


def test_wall_too_high_for_the_elevation_is_said():
    """79 ft up with all 75 ft out takes asin(71.5 / 75) = 72.4 deg; 72 is the most."""
    assert scrub_half_width(LADDER, standoff="5 ft", height="79 ft").half_width is None
    steeper = LADDER.model_copy(update={"elevation": TOWER.elevation})  # to 75 deg
    assert scrub_half_width(steeper, standoff="5 ft", height="79 ft").half_width is not None
