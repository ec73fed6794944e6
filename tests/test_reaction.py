"""The reaction at the tip: invariants, an independent rigid body, and both unit systems."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import (
    fog_discharge,
    fog_reaction,
    half_the_gallonage,
    momentum_reaction,
    quantity,
    reaction_at_tip,
    smooth_bore_discharge,
    smooth_bore_reaction,
    stream_velocity,
)

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

pytestmark = pytest.mark.physics

FORCES = ("axial", "side", "in_plane")
MOMENTS = ("torsion", "in_plane_moment", "side_moment")
LBF, FOOT, INCH, PSI = 0.45359237 * 9.80665, 0.3048, 0.0254, 0.45359237 * 9.80665 / 0.0254**2
GPM = 231 * INCH**3 / 60

reactions = st.floats(1, 5000)
angles = st.floats(-180, 180)
pitches = st.floats(-120, 60)
lengths = st.floats(1, 150)
offsets = st.floats(-5, 5)
tips = st.floats(0.5, 4)
flows = st.floats(50, 5000)
pressures = st.floats(10, 300)


def at_tip(reaction, rotation, extension, pitch=0.0, left=0.0, up=0.0):
    """The public call with plain numbers in lbf, degrees and feet."""
    return reaction_at_tip(
        quantity(reaction, "lbf"),
        rotation=quantity(rotation, "degree"),
        extension=quantity(extension, "foot"),
        pitch=quantity(pitch, "degree"),
        offset_left=quantity(left, "foot"),
        offset_up=quantity(up, "foot"),
    )


def numbers(result, names):
    """The named quantities of a result as plain numbers."""
    return [getattr(result, name).magnitude for name in names]


def close(value, scale=1.0):
    """Equal but for float dust, against the size of what was reckoned with."""
    return pytest.approx(value, rel=1e-9, abs=1e-9 * scale)


@given(reactions, angles, lengths, pitches, offsets, offsets)
def test_forces_at_tip_make_up_the_reaction(force, rotation, extension, pitch, left, up):
    """The squares of the three parts sum to the square of the reaction."""
    parts = numbers(at_tip(force, rotation, extension, pitch, left, up), FORCES)
    assert math.hypot(*parts) == close(force)


@given(reactions, angles, lengths, pitches, offsets)
def test_forces_at_tip_mirrored_flip_side_parts_only(force, rotation, extension, pitch, up):
    """Nozzle to the other side: side load, side moment and torsion change sign, nothing else."""
    one = at_tip(force, rotation, extension, pitch, 0, up)
    other = at_tip(force, -rotation, extension, pitch, 0, up)
    for name in ("side", "side_moment", "torsion"):
        assert getattr(one, name).magnitude == close(-getattr(other, name).magnitude, 1e6)
    for name in ("axial", "in_plane", "in_plane_moment"):
        assert getattr(one, name).magnitude == getattr(other, name).magnitude


@given(reactions, lengths, pitches, offsets)
def test_side_load_in_line_is_none(force, extension, pitch, up):
    """With the nozzle on the centre line there is neither side load, side moment nor torsion."""
    result = at_tip(force, 0, extension, pitch, 0, up)
    assert numbers(result, ("side", "side_moment", "torsion")) == [0, 0, 0]


@given(reactions, st.floats(1, 179), lengths, st.floats(-89, 89), st.sampled_from([1, -1]))
def test_forces_at_tip_push_against_the_stream(force, rotation, extension, pitch, way):
    """Stream left pushes right, ahead pushes in, up pushes down."""
    result = at_tip(force, way * rotation, extension, pitch)
    axial, side, in_plane = numbers(result, FORCES)
    assert side * way < 0
    assert axial * math.cos(math.radians(rotation)) <= 0
    assert in_plane * pitch <= 0
    assert numbers(result, ["side_moment"])[0] * way < 0


@given(reactions, angles, lengths, pitches, st.floats(1.1, 4))
def test_side_moment_longer_ladder_grows_in_proportion(force, rotation, extension, pitch, times):
    """Without offset the moments are proportional to the extension; the forces do not change."""
    one, other = (
        at_tip(force, rotation, length, pitch) for length in (extension, times * extension)
    )
    assert numbers(one, FORCES) == numbers(other, FORCES)
    for name in ("side_moment", "in_plane_moment"):
        assert getattr(other, name).magnitude == close(times * getattr(one, name).magnitude, 1e6)


@given(reactions, angles, pitches)
def test_forces_at_tip_double_reaction_doubles(force, rotation, pitch):
    """The split is linear in the reaction."""
    one, other = at_tip(force, rotation, 75, pitch), at_tip(2 * force, rotation, 75, pitch)
    assert numbers(other, FORCES) == close([2 * part for part in numbers(one, FORCES)])


@given(st.floats(0, 89), st.floats(0.5, 1))
def test_side_load_nearer_the_beam_is_never_less(rotation, more):
    """From straight ahead to square across, more rotation never means less side load."""
    further = rotation + (90 - rotation) * more
    less, greater = (abs(at_tip(505, r, 75).side.magnitude) for r in (rotation, further))
    assert greater >= less


@given(reactions, angles, lengths, pitches, offsets, offsets, st.floats(-10, 80), angles)
def test_tip_loads_agree_with_a_rigid_body_in_earth_axes(
    force, rotation, extension, pitch, left, up, elevation, heading
):
    """Same loads from matrices and cross products in SI, x east, y north, z up; any elevation.

    In these axes the ladder is raised and slewed, so the parts along the ladder must come out
    the same whatever its elevation: the side moment does not depend on it.
    """

    def turn(axis, degrees):
        """Rotation about an axis by Rodrigues' formula."""
        x, y, z = axis
        cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
        a = math.radians(degrees)
        return np.eye(3) + math.sin(a) * cross + (1 - math.cos(a)) * cross @ cross

    # A ladder lying level to the east, raised about the axis that points south, then slewed.
    pose = turn((0, 0, 1), heading) @ turn((0, -1, 0), elevation)
    outward, leftward, upper = pose.T
    stream = turn(upper, rotation) @ outward
    trunnion = turn(upper, rotation) @ leftward
    stream = turn(-trunnion, pitch) @ stream
    push = -force * LBF * stream
    arm = FOOT * (extension * outward + left * leftward + up * upper)
    moment = np.cross(arm, push)
    result = at_tip(force, rotation, extension, pitch, left, up)
    expected_forces = [push @ axis for axis in (outward, leftward, upper)]
    expected_moments = [moment @ axis for axis in (outward, leftward, upper)]
    found_forces = [getattr(result, n).to("newton").magnitude for n in FORCES]
    found_moments = [getattr(result, n).to("newton*meter").magnitude for n in MOMENTS]
    assert found_forces == close(expected_forces, force * LBF)
    assert found_moments == close(expected_moments, force * LBF * FOOT * (extension + 10))
    assert push @ outward == close(-force * LBF * math.cos(math.radians(pitch))
                                   * math.cos(math.radians(rotation)), force * LBF)  # fmt: skip


@given(st.floats(-60, 60), st.floats(-120, 60), st.floats(-5, 5), st.floats(-5, 5))
def test_work_of_the_reaction_agrees_with_the_base_moments(rotation, pitch, left, up):
    """Turning the ladder a little about each axis, the force does the work of its moment."""
    result = at_tip(505, rotation, 75, pitch, left, up)
    force = np.array(numbers(result, FORCES))
    arm, small = np.array([75, left, up]), 1e-6
    ahead, beside, above = arm
    swings = {  # right-handed turns about the outward, leftward and upper axis
        "torsion": (0, -above, beside),
        "in_plane_moment": (above, 0, -ahead),
        "side_moment": (-beside, ahead, 0),
    }
    for name, way in swings.items():
        moved = arm + small * np.array(way, dtype=float)
        work = force @ (moved - arm)
        assert work / small == pytest.approx(getattr(result, name).magnitude, rel=1e-4, abs=1e-2)


@given(reactions, angles, lengths, pitches, offsets, offsets)
def test_tip_loads_from_si_inputs_agree(force, rotation, extension, pitch, left, up):
    """Newtons, radians and metres give the loads that pounds, degrees and feet give, to 1e-9."""
    us = at_tip(force, rotation, extension, pitch, left, up)
    si = reaction_at_tip(
        quantity(force * LBF, "newton"),
        rotation=quantity(max(-math.pi, min(math.pi, math.radians(rotation))), "radian"),
        extension=quantity(extension * FOOT, "meter"),
        pitch=quantity(math.radians(pitch), "radian"),
        offset_left=quantity(left * FOOT * 1000, "millimeter"),
        offset_up=quantity(up * FOOT, "meter"),
    )
    assert numbers(si, FORCES) == close(numbers(us, FORCES), force)
    assert numbers(si, MOMENTS) == close(numbers(us, MOMENTS), force * (extension + 10))


@given(tips, pressures, flows)
def test_nozzle_results_from_si_inputs_agree(tip, pressure, flow):
    """Millimetres, pascals and cubic metres a second give what inches, psi and gpm give."""
    us = {"nozzle_pressure": quantity(pressure, "psi")}
    si = {"nozzle_pressure": quantity(pressure * PSI, "pascal")}
    d_us, d_si = quantity(tip, "inch"), quantity(tip * INCH * 1000, "mm")
    q_us, q_si = quantity(flow, "gpm"), quantity(flow * GPM, "meter**3/second")
    pairs = [
        (smooth_bore_discharge(d_us, **us), smooth_bore_discharge(d_si, **si)),
        (smooth_bore_reaction(d_us, **us), smooth_bore_reaction(d_si, **si)),
        (fog_reaction(q_us, **us), fog_reaction(q_si, **si)),
        (momentum_reaction(q_us, **us), momentum_reaction(q_si, **si)),
        (stream_velocity(us["nozzle_pressure"]), stream_velocity(si["nozzle_pressure"])),
        (half_the_gallonage(q_us), half_the_gallonage(q_si)),
        (
            fog_discharge(q_us, rated_pressure="100 psi", **us),
            fog_discharge(q_si, rated_pressure=quantity(100 * PSI, "pascal"), **si),
        ),
    ]
    for one, other in pairs:
        assert other.value.magnitude == close(one.value.magnitude)


@given(tips, pressures)
def test_smooth_bore_agrees_with_si_physics(tip, pressure):
    """Speed, flow and reaction by hand in SI for water at 62.4 lb/ft³ (999.55 kg/m³)."""
    density = 62.4 * 0.45359237 / FOOT**3
    speed = math.sqrt(2 * pressure * PSI / density)
    area = math.pi / 4 * (tip * INCH) ** 2
    d, p = quantity(tip, "inch"), quantity(pressure, "psi")
    assert stream_velocity(p).value.to("m/s").magnitude == pytest.approx(speed, rel=1e-4)
    flow = smooth_bore_discharge(d, nozzle_pressure=p, coefficient=1.0).value
    assert flow.to("m**3/s").magnitude == pytest.approx(area * speed, rel=5e-4)
    push = smooth_bore_reaction(d, nozzle_pressure=p).value
    assert push.to("newton").magnitude == pytest.approx(density * area * speed**2, rel=1e-3)
    momentum = momentum_reaction(quantity(area * speed, "m**3/s"), nozzle_pressure=p).value
    assert momentum.to("newton").magnitude == pytest.approx(density * area * speed**2, rel=1e-4)


@given(tips, flows, pressures, st.floats(1.001, 3))
def test_more_pressure_never_means_less(tip, flow, pressure, times):
    """Flow, speed and reaction rise with the nozzle pressure, by its root or in proportion."""
    d, q = quantity(tip, "inch"), quantity(flow, "gpm")
    for function, first, power in (
        (smooth_bore_discharge, (d,), 0.5),
        (smooth_bore_reaction, (d,), 1),
        (fog_reaction, (q,), 0.5),
        (momentum_reaction, (q,), 0.5),
        (stream_velocity, (), 0.5),
        (lambda x, nozzle_pressure: fog_discharge(
            x, rated_pressure="100 psi", nozzle_pressure=nozzle_pressure), (q,), 0.5),
    ):  # fmt: skip
        low, high = (
            function(*first, nozzle_pressure=quantity(p, "psi")).value.magnitude
            for p in (pressure, times * pressure)
        )
        assert high > low
        assert high / low == pytest.approx(times**power, rel=1e-9)


@given(tips, pressures, st.floats(1.001, 3))
def test_larger_tip_flows_and_pushes_by_its_square(tip, pressure, times):
    """Flow and reaction of a smooth bore go with the square of the tip."""
    p = quantity(pressure, "psi")
    for function in (smooth_bore_discharge, smooth_bore_reaction):
        small, large = (
            function(quantity(d, "inch"), nozzle_pressure=p).value.magnitude
            for d in (tip, times * tip)
        )
        assert large / small == pytest.approx(times**2, rel=1e-9)


@given(flows, pressures, st.floats(1.001, 3))
def test_reaction_more_flow_at_one_pressure_grows_in_proportion(flow, pressure, times):
    """At a fixed nozzle pressure the reaction is linear in the flow, by formula and by physics."""
    p = quantity(pressure, "psi")
    for function in (fog_reaction, momentum_reaction):
        less, more = (
            function(quantity(q, "gpm"), nozzle_pressure=p).value.magnitude
            for q in (flow, times * flow)
        )
        assert more / less == pytest.approx(times, rel=1e-9)


@given(tips, pressures, st.floats(1.01, 2))
def test_smooth_bore_reaction_goes_with_the_square_of_its_flow(tip, pressure, times):
    """One tip, pressure raised so that the flow is `times` as much: reaction by its square."""
    d = quantity(tip, "inch")
    flows, forces = zip(*(
        (smooth_bore_discharge(d, nozzle_pressure=p).value.magnitude,
         smooth_bore_reaction(d, nozzle_pressure=p).value.magnitude)
        for p in (quantity(pressure, "psi"), quantity(pressure * times**2, "psi"))
    ), strict=True)  # fmt: skip
    assert flows[1] / flows[0] == pytest.approx(times, rel=1e-9)
    assert forces[1] / forces[0] == pytest.approx(times**2, rel=1e-9)


@given(flows, pressures)
def test_fog_reaction_is_what_its_note_says_below_momentum(flow, pressure):
    """The trade's formula is 95.9 % of momentum theory at any flow and pressure."""
    q, p = quantity(flow, "gpm"), quantity(pressure, "psi")
    trade, physics = fog_reaction(q, nozzle_pressure=p), momentum_reaction(q, nozzle_pressure=p)
    assert trade.value.magnitude / physics.value.magnitude == pytest.approx(0.959, abs=5e-4)
    assert "4 % lower" in trade.text()


@pytest.mark.parametrize(
    ("tip", "pressure", "noted"),
    [("7/8 in", "40 psi", 0), ("2 3/4 in", "175 psi", 0), ("3 in", "80 psi", 1),
     ("2 in", "39 psi", 1), ("3/4 in", "176 psi", 2)],
)  # fmt: skip
def test_result_outside_printed_range_carries_a_note(tip, pressure, noted):
    """Outside the tips and pressures seen in print there is a note for each, and no error."""
    for function in (smooth_bore_discharge, smooth_bore_reaction):
        notes = function(tip, nozzle_pressure=pressure).notes
        assert sum(note.code == "outside range" for note in notes) == noted
