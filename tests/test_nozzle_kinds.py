"""Nozzles of every kind: flow at a pressure, pressure at a flow, and where a chain of them ends up."""

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from test_published import DEMO

import aerialstream
from aerialstream._core import nozzles as core
from aerialstream.department import DEMO_FOLDER, Nozzle, load_department
from aerialstream.errors import DepartmentDataError, ImpossibleValue, UnitError
from aerialstream.nozzles import opening_constant

LOSS, HEIGHT = 5.8e-5, 34.72  # psi/gpm², psi
FIXED = {"id": "f", "name": "f", "kind": "fixed fog", "rated_flow": "1000 gpm"}
FOG = Nozzle(**FIXED, rated_pressure="100 psi")
AUTOMATIC = ("100 psi", "250 gpm", "1250 gpm")

psi = st.floats(20, 250)
flows = st.floats(50, 3000)


def fixed_pressure(nozzle):
    """psi at a flow through a fixed opening."""
    constant = opening_constant(nozzle)
    return lambda flow: core.orifice_pressure_psi(constant, flow)


def automatic_pressure(flow):
    """psi at a flow through the automatic nozzle."""
    return core.automatic_pressure_psi(100, 250, 1250, flow)


@pytest.mark.physics
@pytest.mark.parametrize(
    ("nozzle", "discharge", "pressure", "flow"),
    [
        ("fog", 150, 73.0, 854.2), ("tip-2", 150, 63.4, 946), ("tip-1-3/4", 150, 77.9, 803),
        ("auto", 150, 100, 513), ("fog", 170, 85.6, 925.3), ("tip-2", 170, 74.4, 1025),
        ("tip-1-3/4", 170, 91.4, 870), ("auto", 170, 100, 779.9), ("fog", 192.72, 100, 1000),
        ("tip-2", 192.72, 86.9, 1107), ("tip-1-3/4", 192.72, 106.8, 940),
        ("auto", 192.72, 100, 1000), ("fog", 200, 104.6, 1022.8), ("tip-2", 200, 90.9, 1132.6),
        ("tip-1-3/4", 200, 111.7, 961.2), ("auto", 200, 100, 1060.9),
    ],
)  # fmt: skip
def test_operating_point_is_where_pump_and_nozzle_meet(nozzle, discharge, pressure, flow):
    """Nozzle pressure + height + loss = discharge pressure, solved by scipy.

    A starved automatic keeps its pressure and gives away flow; a fixed opening shows it.
    """
    named = {"fog": FOG, "tip-2": DEMO.nozzle("tip-2"), "tip-1-3/4": DEMO.nozzle("tip-1-3/4")}
    at = automatic_pressure if nozzle == "auto" else fixed_pressure(named[nozzle])
    found = brentq(lambda q: at(q) + HEIGHT + LOSS * q**2 - discharge, 1, 5000)
    assert found == pytest.approx(flow, abs=0.6)
    assert at(found) == pytest.approx(pressure, abs=0.06)


@pytest.mark.physics
@given(psi, psi)
def test_flow_and_pressure_of_every_own_nozzle_turn_each_other_round(one, other):
    """Pressure at the flow at a pressure is that pressure; more pressure, more flow."""
    low, high = sorted((one, other))
    for nozzle in DEMO.nozzles:
        setting = nozzle.settings[0] if nozzle.settings else None
        at = [
            aerialstream.nozzle_flow(nozzle, nozzle_pressure=f"{p} psi", setting=setting)
            for p in (low, high)
        ]
        assert at[0].least <= at[1].least and at[0].most <= at[1].most
        back = aerialstream.pressure_of_nozzle(nozzle, flow=at[0].least, setting=setting)
        assert back.value.magnitude == pytest.approx(low)


@pytest.mark.physics
@given(flows, flows)
def test_pressure_of_an_automatic_never_falls_with_flow_and_holds_inside(one, other):
    """Flat inside its range, rising outside, without a step at the ends."""
    low, high = sorted((one, other))
    assert automatic_pressure(low) <= automatic_pressure(high)
    if 250 <= low <= high <= 1250:
        assert automatic_pressure(low) == automatic_pressure(high) == 100
    for end in (250, 1250):
        assert automatic_pressure(end * 1.000001) == pytest.approx(
            automatic_pressure(end), rel=1e-5
        )


def test_automatic_says_which_it_is_in_its_steps():
    """Held inside the range, closed below, wide open above; and that a real one creeps."""
    rated, least, most = AUTOMATIC

    def steps(pressure):
        return aerialstream.automatic_discharge(
            rated, least_flow=least, most_flow=most, nozzle_pressure=pressure
        ).text()

    assert "flows what comes: 250 to 1,250 gpm" in steps("100 psi")
    assert "closed as far as it goes" in steps("90 psi")
    assert "wide open" in steps("110 psi")
    assert "creeps up" in steps("100 psi")
    held = aerialstream.automatic_discharge(
        rated, least_flow=least, most_flow=most, nozzle_pressure="100 psi"
    )
    assert str(held) == "250 gpm to 1,250 gpm"
    assert [text for _, text in held.lines("metric")] == ["946 L/min", "4,732 L/min"]


@pytest.mark.physics
@given(st.floats(0.5, 3), st.floats(1.01, 4), psi)
def test_wall_gauge_gives_more_flow_than_the_gauge_alone_and_less_in_a_wider_pipe(tip, times, p):
    """The jet's pressure is above the gauge's, and nears it as the pipe gets wider."""
    near = core.wall_gauge_velocity_pressure_psi(tip, tip * times, p)
    far = core.wall_gauge_velocity_pressure_psi(tip, tip * times * 2, p)
    assert p < far < near
    # Bernoulli: the gauge and the speed behind the tip together are the jet's pressure.
    assert p + near * (1 / times) ** 4 == pytest.approx(near)


def test_opening_constants_are_flow_over_root_of_pressure():
    """A 1,000-gpm fog at 100 psi has 100; an automatic has none, a selectable one for each."""
    assert opening_constant(DEMO.nozzle("fog-1000")) == pytest.approx(100)
    assert opening_constant(DEMO.nozzle("fog-select"), 750) == pytest.approx(75)
    assert opening_constant(DEMO.nozzle("tip-2")) == pytest.approx(29.7 * 4)
    with pytest.raises(ImpossibleValue, match="automatic"):
        opening_constant(DEMO.nozzle("fog-auto"))


@pytest.mark.parametrize(
    ("setting", "words"), [(None, "none was named"), ("600 gpm", "600 gpm is none of them")]
)
def test_setting_that_is_not_there_is_refused_with_those_that_are(setting, words):
    """The three settings of the demo's selectable fog are named."""
    with pytest.raises(ImpossibleValue, match=words) as refused:
        aerialstream.nozzle_flow(
            DEMO.nozzle("fog-select"), nozzle_pressure="80 psi", setting=setting
        )
    assert "500 gpm, 750 gpm, 1,000 gpm" in str(refused.value)


@pytest.mark.parametrize(
    ("call", "error", "words"),
    [
        (lambda: aerialstream.wall_gauge_discharge("2 in", pipe_diameter="2 in",
                                                   gauge_pressure="80 psi"),
         ImpossibleValue, "wider"),
        (lambda: aerialstream.stack_of_tips([], nozzle_pressure="80 psi"), ImpossibleValue, "list"),
        (lambda: aerialstream.stack_of_tips("2 in", nozzle_pressure="80 psi"), ImpossibleValue,
         "list"),
        (lambda: aerialstream.stack_of_tips(["2"], nozzle_pressure="80 psi"), UnitError, "2"),
        (lambda: aerialstream.rule_error("80 psi", kind="straight"), ImpossibleValue, "fog"),
        (lambda: aerialstream.automatic_pressure("9 gpm", rated_pressure="9 psi",
                                                 least_flow="9 gpm", most_flow="9 gpm"),
         ImpossibleValue, "least must be less"),
    ],
)  # fmt: skip
def test_impossible_inputs_are_refused_in_words(call, error, words):
    """Each refusal names what is wrong."""
    with pytest.raises(error, match=words):
        call()


def test_third_of_the_gallonage_is_said_to_be_low_for_a_master_stream():
    """The rule that is low by 30 % comes with the word not to use it there."""
    result = aerialstream.rule_error("80 psi", kind="smooth bore")
    assert "do not use it there" in result.text()
    assert [text for _, text in result.lines()] == ["6 % high", "29 % low"]


def test_stack_has_a_line_for_each_tip():
    """Bore, flow and reaction, in both systems."""
    stack = aerialstream.stack_of_tips(["1 3/8 in", "2 in"], nozzle_pressure="80 psi")
    assert stack.lines() == (
        ("1 3/8 in tip", "502 gpm, 237 lbf"),
        ("2 in tip", "1,063 gpm, 502 lbf"),
    )
    assert stack.lines("metric")[1][0] == "50.8 mm tip"


# --- a department's data ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('least_flow = "300 gpm"', "", ['"fog-auto"', "an automatic fog nozzle needs least_flow"]),
        ('most_flow = "1250 gpm"', 'most_flow = "250 gpm"',
         ['"fog-auto"', "300 gpm is not less than most_flow 250 gpm"]),
        ('settings = ["500 gpm", "750 gpm", "1000 gpm"]', "",
         ['"fog-select"', "a selectable fog nozzle needs settings"]),
        ('settings = ["500 gpm", "750 gpm", "1000 gpm"]', "settings = []",
         ['"fog-select"', "a selectable fog nozzle needs settings"]),
        ('"750 gpm"', "750", ['"fog-select".settings', "read 750", "no unit", '["500 gpm", "750 gpm"]']),
        ('"750 gpm"', '"750 psi"', ['"fog-select".settings', "not a flow"]),
        ('"selectable fog"', '"dual fog"', ["kind", "read 'dual fog'", '"selectable fog"']),
    ],
)  # fmt: skip
def test_faults_of_nozzle_kinds_are_named(tmp_path, old, new, words):
    """One spoilt place, one fault in words."""
    folder = Path(shutil.copytree(DEMO_FOLDER, tmp_path / "department"))
    path = folder / "nozzles.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(DepartmentDataError) as refused:
        load_department(folder)
    (fault,) = refused.value.faults
    assert fault.startswith("nozzles.toml: ")
    assert [word for word in words if word not in fault] == []
