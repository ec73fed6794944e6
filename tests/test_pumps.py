"""Pumps: the rated points, the lines between them, draft, and the pumpers of a department."""

import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import aerialstream
from aerialstream._core import pumps as core
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.errors import DepartmentDataError

rated = st.floats(250, 3000)


@pytest.mark.physics
@given(rated, st.floats(0, 250), st.floats(0, 250))
def test_capacity_never_grows_with_pressure(flow, one, other):
    """More net pressure, no more flow; never more than the rating, never less than half."""
    low, high = sorted((one, other))
    assert core.capacity_gpm(flow, high) <= core.capacity_gpm(flow, low) * (1 + 1e-12)
    assert flow / 2 <= core.capacity_gpm(flow, high) * (1 + 1e-12) <= flow * (1 + 1e-9)


@pytest.mark.physics
@given(rated, st.floats(0.5, 1))
def test_most_net_pressure_turns_capacity_round(flow, share):
    """At the highest net pressure for a flow the rating promises just that flow."""
    pressure = core.most_net_pressure_psi(flow, share * flow)
    assert 150 <= pressure <= 250
    assert core.capacity_gpm(flow, pressure * (1 - 1e-12)) == pytest.approx(share * flow)


@pytest.mark.parametrize(
    ("flow", "pressure"), [(1500, 150), (1050, 200), (750, 250), (100, 250), (1501, 0)]
)
def test_most_net_pressure_at_rated_points(flow, pressure):
    """A 1,500-gpm pump; more than its rating is promised at no pressure."""
    assert core.most_net_pressure_psi(1500, flow) == pytest.approx(pressure)


def test_capacity_says_that_it_is_conservative_and_where_it_ends():
    """Straight lines promise too little; above 250 psi nothing; outside gets a note."""
    between = aerialstream.pump_capacity("1500 gpm", net_pressure="175 psi")
    assert "too little rather than too much" in between.text()
    beyond = aerialstream.pump_capacity("1500 gpm", net_pressure="260 psi")
    assert beyond.value.magnitude == 0
    assert [note.code for note in beyond.notes] == ["estimate", "outside range"]
    below = aerialstream.pump_capacity("1500 gpm", net_pressure="-5 psi")
    assert below.value.magnitude == 1500 and len(below.notes) == 2


@pytest.mark.physics
@given(st.floats(50, 300), st.floats(0, 25), st.floats(0, 25))
def test_draft_is_a_minus_intake(discharge, lift, loss):
    """Lifting is the same as an intake that reads below nothing."""
    from_draft = core.net_pressure_from_draft_psi(discharge, lift, loss)
    assert from_draft == pytest.approx(core.net_pressure_psi(discharge, -(lift + loss) / 2.3))
    assert from_draft >= discharge


def test_intake_below_nothing_gets_a_note():
    """From a hydrant the intake cannot read a vacuum."""
    result = aerialstream.net_pump_pressure("150 psi", intake="-5 psi")
    assert result.value.magnitude == 155 and "draft" in result.notes[0].text


def test_rated_points_and_power_are_printed_in_both_systems():
    """hp and kW, psi and kPa."""
    points = aerialstream.rated_points("1500 gpm")
    assert points.lines()[1] == ("At 200 psi net", "1,050 gpm")
    assert points.lines("metric")[1] == ("At 1,379 kPa net", "3,975 L/min")
    power = aerialstream.water_horsepower("1500 gpm", pressure="150 psi")
    assert (str(power), power.lines("metric")[0][1]) == ("131 hp", "98 kW")


# --- pumpers.toml -----------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path):
    """A copy of the demo department to spoil."""
    return Path(shutil.copytree(DEMO_FOLDER, tmp_path / "department"))


def test_demo_pumpers_load_with_their_hose():
    """Rating, intake floor and hose as the file has them."""
    demo = load_department(DEMO_FOLDER)
    engine = demo.pumper("engine-3")
    assert engine.rated_flow.magnitude == 1500 and engine.intake_floor.magnitude == 20
    assert [kind.id for kind in demo.hose_of("engine-3")] == ["supply-5", "attack-3"]
    with pytest.raises(KeyError, match="engine-9"):
        demo.pumper("engine-4")


def test_pumpers_may_be_missing(folder):
    """A department without the file still loads."""
    (folder / "pumpers.toml").unlink()
    assert load_department(folder).pumpers == ()


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"1500 gpm"', '"1500"', ['pumper."engine-3".rated_flow', "1500", '"1,000 gpm"']),
        ('"1500 gpm"', '"150 psi"', ['"engine-3".rated_flow', "not a flow"]),
        ('"20 psi"', '"-20 psi"', ["intake_floor", "at least 0"]),
        ('"attack-3"', '"attack-9"', ['pumper "engine-3".hose', "'attack-9'", "hose.toml"]),
        ('id = "engine-9"', 'id = "engine-3"', ['pumper "engine-3"', "given twice"]),
        ('hose = ["supply-5"]', "hose = 5", ['"engine-9".hose', "read 5", "a list of hose ids"]),
    ],
)
def test_faults_of_pumpers_are_named(folder, old, new, words):
    """One spoilt place, one fault with file, key, what was read and what is needed."""
    path = folder / "pumpers.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(DepartmentDataError) as refused:
        load_department(folder)
    (fault,) = refused.value.faults
    assert fault.startswith("pumpers.toml: ")
    assert [word for word in words if word not in fault] == []


def test_inlet_is_read_like_the_waterway(folder):
    """A loss, the flow and the day of its test; a rig may have none."""
    demo = load_department(folder)
    assert demo.device("tower-3").inlet.loss.magnitude == 10
    assert demo.device("ladder-9").inlet is None
    path = folder / "apparatus.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"10 psi"', '"ten psi"'), encoding="utf-8")
    with pytest.raises(DepartmentDataError, match=r'"tower-3".inlet.loss'):
        load_department(folder)
