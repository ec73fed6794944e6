"""The whole chain, against the reference's operating points and against EPANET.

EPANET (through wntr) solves the same networks by its own method: a reservoir at the pump's
discharge pressure, pipes whose minor loss takes the place of hose and waterway, and an emitter for
the nozzle. Expected values of the operating table are closed-form solutions printed to 0.1 gpm.
"""

import math
import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_hose import agree_and_read_well

from aerialstream._core import chain as core
from aerialstream.chain import RigPart, water_chain
from aerialstream.department import load_department
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.worked import in_system

settings.register_profile("chain", deadline=None)
settings.load_profile("chain")

FOG = {"kind": "fixed fog", "rated_flow": "1000 gpm", "rated_pressure": "100 psi"}
TWO_INCH = {"kind": "smooth bore", "tip_diameter": "2 in"}
SMALLER = {"kind": "smooth bore", "tip_diameter": "1 3/4 in"}
AUTOMATIC = {
    "kind": "automatic fog", "rated_pressure": "100 psi", "least_flow": "1 gpm",
    "most_flow": "5000 gpm",
}  # fmt: skip
# Reference problems: nozzle 80 ft above the pump, waterway 40 psi at 1,000 gpm, inlet 10 psi flat.
RIG = {"height": "80 ft", "waterway_loss": "40 psi", "inlet_loss": "10 psi"}
FIVE_INCH = {"coefficient": 0.08, "length": "100 ft"}
TWO_THREES = {"coefficient": 0.8, "length": "200 ft", "lines": 2}


def psi(value):
    return value.to("psi").magnitude


def gpm(value):
    return value.to("gpm").magnitude


@pytest.mark.physics
@pytest.mark.parametrize(
    ("nozzle", "lay", "flow", "expected"),
    [
        (FOG, FIVE_INCH, "1000 gpm", 192.72),  # problem A
        (TWO_INCH, FIVE_INCH, "1062.6 gpm", 178.92),  # problem B
        (SMALLER, TWO_THREES, "813.5 gpm", 177.67),  # problem C
        (FOG, TWO_THREES, "1000 gpm", 224.72),  # problem D
    ],
)
def test_chain_reference_problems_give_pump_discharge_pressure(nozzle, lay, flow, expected):
    """Problems A to D of the hydraulics reference, each within 0.05 psi."""
    point = water_chain(nozzle=nozzle, rig=RIG, lay=lay).at_flow(flow)
    assert psi(point.discharge_pressure) == pytest.approx(expected, abs=0.05)
    parts = (point.nozzle_pressure, point.elevation, point.waterway, point.inlet, point.lay)
    assert sum(psi(part) for part in parts) == pytest.approx(psi(point.discharge_pressure))


@pytest.mark.physics
@pytest.mark.parametrize(
    ("pressure", "fog", "two_inch", "smaller", "automatic"),
    [
        (150, 854, 946, 803, 513),
        (170, 925, 1025, 870, 780),
        (192.72, 1000, 1107, 940, 1000),
        (200, 1023, 1133, 961, 1061),
    ],
)
def test_chain_operating_table_a_starved_automatic_flows_least(
    pressure, fog, two_inch, smaller, automatic
):
    """Loss 58 psi at 1,000 gpm, lift 34.72 psi: the reference's table, within half a gallon."""
    rig = {"height": "80 ft", "waterway_loss": "58 psi"}
    lay = {"coefficient": 0.08, "length": "0 ft"}
    for nozzle, expected in (
        (FOG, fog), (TWO_INCH, two_inch), (SMALLER, smaller), (AUTOMATIC, automatic),
    ):  # fmt: skip
        chain = water_chain(nozzle=nozzle, rig=rig, lay=lay)
        point = chain.at_discharge_pressure(f"{pressure} psi")
        assert gpm(point.flow) == pytest.approx(expected, abs=0.51)
    assert any("still looks good" in note.text for note in point.notes)


def test_chain_above_the_hoses_marking_is_said():
    """Problem A needs 192.7 psi: more than a marking of 185 psi, and the next limit is named."""
    chain = water_chain(
        nozzle=FOG,
        rig=RIG,
        lay={**FIVE_INCH, "operating_pressure": "185 psi"},
        pumper={"rated_flow": "1500 gpm"},
    )
    assert "the hose's operating pressure" in chain.at_flow("1000 gpm").broken
    best = chain.best()
    assert best.binding.name == "hose pressure" and best.next_limit.name == "pump"
    assert psi(best.point.discharge_pressure) == pytest.approx(185, abs=1e-3)
    without = water_chain(
        nozzle=FOG, rig=RIG, lay=FIVE_INCH, pumper={"rated_flow": "1500 gpm"}
    ).best()
    assert without.binding.name == "pump"
    assert gpm(without.binding.flow) == pytest.approx(gpm(best.next_limit.flow))


@pytest.mark.physics
@pytest.mark.parametrize(
    ("rated", "enough"), [("1000 gpm", False), ("1250 gpm", False), ("1500 gpm", True)]
)
def test_chain_problem_a_from_draft_needs_the_larger_pump(rated, enough):
    """At about 198 psi net the reference finds 1,000 and 1,250 gpm ratings short, 1,500 enough."""
    chain = water_chain(
        nozzle=FOG, rig=RIG, lay=FIVE_INCH, pumper={"rated_flow": rated},
        source={"kind": "draft", "lift": "10 ft", "intake_loss": "2 ft"},
    )  # fmt: skip
    point = chain.at_flow("1000 gpm")
    assert psi(point.net_pressure) == pytest.approx(192.7 + 12 / 2.3, abs=0.1)
    assert ("the pump's rating" in point.broken) is not enough


@pytest.mark.physics
def test_chain_hydrant_binds_at_its_residual_floor():
    """Static 80, residual 55 at 839.3 gpm: 1,346.5 gpm at 20 psi is the printed figure."""
    chain = water_chain(
        nozzle=FOG, rig=RIG, lay=FIVE_INCH,
        source={"kind": "hydrant", "static": "80 psi", "residual": "55 psi", "test_flow": "839.3 gpm"},
    )  # fmt: skip
    assert chain.best().binding.name == "source"
    assert gpm(chain.best().binding.flow) == pytest.approx(1346.5, abs=0.3)


# --- EPANET -----------------------------------------------------------------------------------

PSI_TO_METRES = 0.70307  # of water at 4 degrees C, as EPANET counts its heads
GPM_TO_M3_S = 6.30902e-5


def epanet_flow_gpm(tmp_path, discharge_psi, loss_psi_at_1000, height_ft, constant):
    """gpm by EPANET: reservoir, one or more pipes with a minor loss, an emitter at the height.

    loss_psi_at_1000   losses in a row, psi at 1,000 gpm each
    constant           of the nozzle, gpm/psi^0.5
    """
    wntr = pytest.importorskip("wntr")
    network = wntr.network.WaterNetworkModel()
    network.options.hydraulic.headloss = "D-W"
    network.options.hydraulic.accuracy = 1e-7
    network.options.hydraulic.emitter_exponent = 0.5
    network.add_reservoir("pump", base_head=discharge_psi * PSI_TO_METRES)
    before, bore = "pump", 0.3
    area = math.pi / 4 * bore**2
    height_m = height_ft * 0.434 * PSI_TO_METRES  # so that both count 0.434 psi a foot
    for number, loss in enumerate(loss_psi_at_1000):
        here = f"j{number}"
        last = number == len(loss_psi_at_1000) - 1
        network.add_junction(here, base_demand=0, elevation=height_m if last else 0)
        speed = 1000 * GPM_TO_M3_S / area
        minor = loss * PSI_TO_METRES / (speed**2 / (2 * 9.81))
        network.add_pipe(
            f"p{number}", before, here, length=0.01, diameter=bore, roughness=1e-6, minor_loss=minor
        )
        before = here
    network.get_node(before).emitter_coefficient = constant * GPM_TO_M3_S / math.sqrt(PSI_TO_METRES)
    results = wntr.sim.EpanetSimulator(network).run_sim(file_prefix=str(tmp_path / "net"))
    return float(results.node["demand"][before].iloc[0]) / GPM_TO_M3_S


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("nozzle", "constant", "rig", "lay", "losses", "pressure"),
    [
        (FOG, 100.0, {**RIG, "inlet_flow": "1000 gpm"}, FIVE_INCH, [8, 10, 40], 170),
        (TWO_INCH, 29.7 * 4, {**RIG, "inlet_flow": "1000 gpm"}, TWO_THREES, [40, 10, 40], 210),
        (
            SMALLER, 29.7 * 1.75**2,
            {"height": "35 ft", "waterway_loss": "55 psi", "inlet_loss": "15 psi",
             "inlet_flow": "1000 gpm"},
            {"coefficient": 0.8, "length": "300 ft", "lines": 3}, [0.8 * 100 * 3 / 9, 15, 55], 160,
        ),
        (FOG, 100.0, {"height": "-10 ft", "waterway_loss": "40 psi"}, FIVE_INCH, [8, 40], 120),
    ],
)  # fmt: skip
def test_chain_flow_agrees_with_epanet(tmp_path, nozzle, constant, rig, lay, losses, pressure):
    """EPANET's flow through the same network, within 0.2 percent; and (a) leads back to it."""
    height = float(rig["height"].split()[0])
    expected = epanet_flow_gpm(tmp_path, pressure, losses, height, constant)
    chain = water_chain(nozzle=nozzle, rig=rig, lay=lay)
    point = chain.at_discharge_pressure(f"{pressure} psi")
    assert gpm(point.flow) == pytest.approx(expected, rel=0.002)
    back = chain.at_flow(f"{expected} gpm")
    assert psi(back.discharge_pressure) == pytest.approx(pressure, rel=0.004)


# --- properties -------------------------------------------------------------------------------

nozzles = st.one_of(
    st.floats(20, 300).map(core.Orifice),
    st.tuples(st.floats(50, 120), st.floats(50, 400), st.floats(1.1, 6)).map(
        lambda t: core.Automatic(t[0], t[1], t[1] * t[2])
    ),
)
chains = st.builds(
    core.Chain,
    nozzle=nozzles,
    elevation_psi=st.floats(-20, 60),
    lay_loss=st.floats(1e-7, 2e-4),
    inlet_loss=st.floats(0, 2e-5),
    inlet_flat_psi=st.floats(0, 20),
    waterway_loss=st.floats(0, 1e-4),
    source=st.none(),
)


@given(chains, st.floats(1, 4000))
def test_chain_both_ways_undo_each_other(chain, flow):
    """Pressure for a flow, then flow at that pressure: the same flow to 0.1 percent."""
    assert core.flow_gpm(chain, core.discharge_psi(chain, flow)) == pytest.approx(flow, rel=1e-3)


@given(chains, st.floats(0, 400), st.floats(0, 200))
def test_chain_more_pressure_never_less_flow(chain, pressure, more):
    """The flow never falls when the pump gives more."""
    assert core.flow_gpm(chain, pressure + more) >= core.flow_gpm(chain, pressure) - 1e-9


@given(chains, st.floats(60, 300), st.floats(100, 3000), st.floats(500, 2500))
def test_chain_largest_flow_breaks_nothing_and_a_little_more_does(chain, hose, flow, rated):
    """At its largest flow a limit holds; one gallon more and it does not."""
    chain = chain._replace(hose_limit_psi=hose, waterway_limit_gpm=flow, rated_gpm=rated)
    for name, most in core.largest_flows_gpm(chain).items():
        if 0 < most < math.inf:
            assert core.margins(chain, most)[name] >= -1e-6
            assert core.margins(chain, most + 1)[name] < 0


@pytest.mark.physics
def test_chain_metric_and_us_inputs_agree():
    """The same chain in bar, metres and litres gives the same answer."""
    metric = water_chain(
        nozzle={"kind": "fixed fog", "rated_flow": "3785.411784 lpm", "rated_pressure": "689.4757293 kPa"},
        rig={"height": "24.384 m", "waterway_loss": "275.7902917 kPa", "waterway_flow": "3785.411784 lpm",
             "inlet_loss": "68.94757293 kPa"},
        lay={"coefficient": 0.08, "length": "30.48 m"},
    )  # fmt: skip
    us = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH)
    assert psi(metric.at_flow("3785.411784 lpm").discharge_pressure) == pytest.approx(
        psi(us.at_flow("1000 gpm").discharge_pressure), rel=1e-8
    )


PSI, GPM, FOOT = 6.894757293168361, 3.785411784, 0.3048


def in_both(part):
    """A part in metric texts, and the same in US texts; numbers without a unit stay."""
    units = {"kPa": (PSI, "psi"), "lpm": (GPM, "gpm"), "m": (FOOT, "ft"), "mm": (25.4, "in")}
    metric, us = {}, {}
    for key, value in part.items():
        metric[key] = us[key] = value
        if isinstance(value, tuple):
            number, unit = value
            metric[key] = f"{number} {unit}"
            us[key] = f"{number / units[unit][0]!r} {units[unit][1]}"
    return metric, us


@pytest.mark.physics
@given(
    st.integers(25, 70), st.integers(-5, 40), st.integers(50, 500), st.integers(5, 400),
    st.integers(1, 4), st.integers(300, 900), st.integers(20, 90), st.integers(500, 6000),
)  # fmt: skip
def test_chain_asked_in_metric_agrees_and_reads_well(
    bore, height, loss, length, lines, static, share, flow
):
    """The whole chain in mm, m, kPa and L/min: all four questions within 0.1 % of US units."""
    parts = {
        "nozzle": {"kind": "smooth bore", "tip_diameter": (bore, "mm"), "highest_pressure": (690, "kPa")},
        "rig": {
            "height": (height, "m"), "waterway_loss": (loss, "kPa"), "waterway_flow": (4000, "lpm"),
            "inlet_loss": (70, "kPa"), "inlet_flow": (3800, "lpm"), "highest_flow": (5700, "lpm"),
        },
        "lay": {
            "coefficient": 0.08, "length": (length, "m"), "lines": lines,
            "operating_pressure": (1275, "kPa"),
        },
        "pumper": {"rated_flow": (5700, "lpm"), "highest_discharge": (1400, "kPa")},
        "source": {
            "kind": "hydrant", "static": (static, "kPa"), "residual": (static * share / 100, "kPa"),
            "test_flow": (flow, "lpm"), "residual_floor": (140, "kPa"),
        },
    }  # fmt: skip
    pairs = {name: in_both(part) for name, part in parts.items()}
    metric = water_chain(**{name: pair[0] for name, pair in pairs.items()})
    us = water_chain(**{name: pair[1] for name, pair in pairs.items()})
    agree_and_read_well(metric.at_flow(f"{flow} lpm"), us.at_flow(f"{flow / GPM!r} gpm"))
    agree_and_read_well(
        metric.at_discharge_pressure("1,100 kPa"), us.at_discharge_pressure(f"{1100 / PSI!r} psi")
    )
    agree_and_read_well(
        metric.at_nozzle_pressure("550 kPa"), us.at_nozzle_pressure(f"{550 / PSI!r} psi")
    )
    agree_and_read_well(metric.best(), us.best())
    lay = {"coefficient": 0.2, "lines": lines}
    (one,), (other,) = metric.reach(f"{flow} lpm", [lay]), us.reach(f"{flow / GPM!r} gpm", [lay])
    assert one.length.magnitude == pytest.approx(other.length.magnitude, rel=1e-3, abs=1e-6)


def test_chain_prints_sums_limits_and_unnamed_lays_in_metric():
    """Problem A as a metric department reads it, worked with a psi of 6.894757 kPa by hand."""
    chain = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH, pumper={"rated_flow": "1500 gpm"})
    (step,) = (step for step in chain.at_flow("1000 gpm").steps_in("metric") if "discharge" in step)
    assert step == (
        "Pump discharge pressure = 689.48 nozzle + 239.39 height + 275.79 waterway + 68.948 inlet + "
        "55.158 lines = 1,328.8 kPa"
    )
    limits = [s for s in chain.best().steps_in("metric") if s.startswith("If only")]
    assert limits and all("L/min" in step for step in limits)
    (reach,) = chain.reach("1000 gpm", [{"coefficient": 0.8, "lines": 2}])
    assert (str(reach.name), in_system(reach.name, "metric")) == ("2 x C 0.8", "2 x C 1.2629")


# --- what is refused --------------------------------------------------------------------------


def test_chain_faults_are_all_named_at_once():
    """Bare numbers, misspelt keys and wrong kinds come in one message with what is needed."""
    with pytest.raises(UnitError) as caught:
        water_chain(
            nozzle={"kind": "smooth bore", "tip_diameter": "80 psi"},
            rig={"height": 80, "waterway_los": "40 psi"},
            lay={"coefficient": "0.08"},
        )
    said = str(caught.value)
    for words in ("tip_diameter", "height: read 80", "did you mean waterway_loss", "coefficient"):
        assert words in said


@pytest.mark.parametrize(
    "call",
    [
        lambda c: c.at_flow(1000),
        lambda c: c.at_flow("-5 gpm"),
        lambda c: c.at_flow("80 psi"),
        lambda c: c.at_discharge_pressure("0 psi"),
        lambda c: c.at_nozzle_pressure("100 gpm"),
        lambda c: c.reach("1000 gpm", [{"coefficient": 0}]),
    ],
)
def test_chain_impossible_questions_are_refused(call):
    """A number without a unit, another kind, or nothing at all is one clear error."""
    chain = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH)
    with pytest.raises((UnitError, ImpossibleValue, ValueError)) as caught:
        call(chain)
    assert len(str(caught.value)) > 20


def test_chain_automatic_has_no_flow_for_a_pressure():
    """An automatic nozzle holds one pressure over many flows."""
    chain = water_chain(nozzle=AUTOMATIC, rig=RIG, lay=FIVE_INCH)
    with pytest.raises(ImpossibleValue, match="ask for a flow"):
        chain.at_nozzle_pressure("100 psi")


def test_chain_pressure_that_only_holds_the_column_flows_nothing():
    """Below the height's pressure nothing flows, and that is no error."""
    chain = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH)
    assert gpm(chain.at_discharge_pressure("30 psi").flow) == 0


def test_rig_part_of_a_departments_device():
    """Height and waterway come from the device's own data and its position."""
    tower = load_department().device("tower-3")
    rig = RigPart.of(tower, extension="100 ft", elevation="70 deg")
    # 8 ft of turntable and 100 ft at 70 degrees: 102.0 ft in the reference's table
    assert rig.height.to("foot").magnitude == pytest.approx(102.0, abs=0.05)
    assert psi(rig.waterway_loss) == 40
    assert psi(rig.inlet_loss) == psi(tower.inlet.loss) > 0
    bare = tower.model_copy(update={"waterway": None})
    with pytest.raises(UnitError, match="no tested waterway loss"):
        RigPart.of(bare, extension="100 ft", elevation="70 deg")


def test_best_names_the_limits_that_nobody_entered():
    """Where the waterway's limit is not entered the result says so, and what decides."""
    best = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH, pumper={"rated_flow": "1500 gpm"}).best()
    said = " ".join(note.text for note in best.notes)
    assert "waterway: not entered: see the operator's manual" in said
    assert "operator's manual of the device and local procedure decide" in said


@given(chains, st.lists(st.floats(0, 400), min_size=1, max_size=5))
def test_chain_arrays_agree_with_single_chains(chain, pressures):
    """The array forms give what the single chain gives, at every pressure."""
    from aerialstream._core import chain_arrays

    loss = chain.lay_loss + chain.inlet_loss + chain.waterway_loss
    rest = (chain.elevation_psi, chain.inlet_flat_psi, loss)
    expected = [core.flow_gpm(chain, pressure) for pressure in pressures]
    if isinstance(chain.nozzle, core.Automatic):
        found = chain_arrays.automatic_flow_gpm(pressures, *chain.nozzle, *rest)
    else:
        found = chain_arrays.flow_gpm(pressures, chain.nozzle.constant, *rest)
    assert list(found) == pytest.approx(expected, rel=1e-6, abs=1e-6)


def test_chain_of_a_departments_own_parts():
    """Nozzle, rig, hose and pumper straight from the department's files; hose tested first."""
    from aerialstream.chain import LayPart, NozzlePart, PumperPart

    own = load_department()
    hose = own.hose_kind("supply-5")
    lay = LayPart.of(hose, length="200 ft")
    assert lay.coefficient == hose.coefficient and psi(lay.operating_pressure) == 185
    chain = water_chain(
        nozzle=NozzlePart.of(own.nozzle("tip-1-3/4")),
        rig=RigPart.of(own.device("tower-3"), extension="90 ft", elevation="60 deg"),
        lay=lay,
        pumper=PumperPart.of(own.pumpers[0]),
    )
    point = chain.at_nozzle_pressure("80 psi")
    # by hand: 29.7 x 1.75^2 x sqrt(80) = 813.5 gpm; 8 + 90 sin 60 = 85.94 ft
    q = 29.7 * 1.75**2 * math.sqrt(80)
    inlet = own.device("tower-3").inlet
    expected = (
        80 + 0.434 * (8 + 90 * math.sin(math.pi / 3)) + 40 * (q / 1000) ** 2
        + psi(inlet.loss) * (q / gpm(inlet.at_flow)) ** 2 + hose.coefficient * (q / 100) ** 2 * 2
    )  # fmt: skip
    assert gpm(point.flow) == pytest.approx(813.5, abs=0.1)
    assert psi(point.discharge_pressure) == pytest.approx(expected, rel=1e-9)


def test_chain_selectable_fog_needs_its_setting():
    """A selectable nozzle is a fixed opening for each setting; none named is asked about."""
    from aerialstream.chain import NozzlePart

    own = load_department()
    (nozzle,) = [n for n in own.nozzles if n.kind == "selectable fog"]
    with pytest.raises(ImpossibleValue, match="none was named"):
        NozzlePart.of(nozzle)
    setting = nozzle.settings[-1]
    chain = water_chain(nozzle=NozzlePart.of(nozzle, setting=setting), rig=RIG, lay=FIVE_INCH)
    point = chain.at_nozzle_pressure(nozzle.rated_pressure)
    assert gpm(point.flow) == pytest.approx(gpm(setting))


# --- held back: whole chains that EPANET solved, and the reference's operating points ----------

HELD_BACK = tomllib.loads(
    (Path(__file__).parent / "published" / "chains.toml").read_text(encoding="utf-8")
)["chain"]
each_held_back = pytest.mark.parametrize("row", HELD_BACK, ids=[row["id"] for row in HELD_BACK])


def chain_of(row):
    """The chain that a row of the table describes."""
    return water_chain(**{key: row[key] for key in ("nozzle", "rig", "lay", "pumper", "source")})


@pytest.mark.agreement
@each_held_back
def test_held_back_chain_flows_what_epanet_finds(row):
    """Flow, share of each line and pressure at the intake, as EPANET has them; and back again."""
    right = row["at_pressure"]
    found = chain_of(row).at_discharge_pressure(right["pressure"])
    assert gpm(found.flow) == pytest.approx(right["flow_gpm"], rel=0.005)
    assert [gpm(one) for one in found.line_flows] == pytest.approx(right["line_gpm"], rel=0.005)
    assert psi(found.intake) == pytest.approx(right["intake_psi"], abs=0.1)
    back = chain_of(row).at_flow(found.flow)
    assert psi(back.discharge_pressure) == pytest.approx(
        float(right["pressure"].split()[0]), rel=1e-3
    )


@pytest.mark.agreement
@each_held_back
def test_held_back_chain_gives_most_where_epanet_finds_a_limit_used_up(row):
    """The most that can be had, and the limit that binds there."""
    best = chain_of(row).best()
    assert best.binding.name == row["most"]["binds"]
    assert gpm(best.binding.flow) == pytest.approx(row["most"]["flow_gpm"], rel=0.005)
    assert psi(best.point.discharge_pressure) == pytest.approx(row["most"]["pressure_psi"], abs=0.1)


LAYS = (  # coefficient, lines, feet from 200 and from 250 psi: the reference's table of reach
    (2, 1, 8, 33), (2, 2, 31, 131), (0.8, 1, 19, 82), (0.8, 2, 76, 326), (0.8, 3, 172, 734),
    (0.8, 4, 306, 1306), (0.2, 1, 76, 326), (0.2, 2, 306, 1306), (0.08, 1, 191, 816),
    (0.08, 2, 764, 3264), (0.05, 1, 306, 1306),
)  # fmt: skip


@pytest.mark.physics
@pytest.mark.parametrize(("coefficient", "lines", "from_200", "from_250"), LAYS)
def test_reach_of_every_lay_of_the_reference(coefficient, lines, from_200, from_250):
    """By hand: (pressure - 184.72) / (C / n² × 100) × 100 ft at 1,000 gpm; the limit is named."""
    chain = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH)
    lay = {"coefficient": coefficient, "lines": lines}
    marked = [{**lay, "operating_pressure": f"{pressure} psi"} for pressure in (200, 250)]
    for reach, expected in zip(chain.reach("1000 gpm", marked), (from_200, from_250), strict=True):
        assert reach.length.to("foot").magnitude == pytest.approx(expected, abs=0.51)
        assert reach.limit == "the hose's operating pressure"


# --- what binds, thought through by hand --------------------------------------------------------

PUMP = {"rated_flow": "1500 gpm"}
STRONG = {"kind": "hydrant", "static": "80 psi", "residual": "70 psi", "test_flow": "2000 gpm"}
WEAK = {"kind": "hydrant", "static": "50 psi", "residual": "35 psi", "test_flow": "400 gpm"}
AUTO = {
    "kind": "automatic fog", "rated_pressure": "100 psi", "least_flow": "300 gpm",
    "most_flow": "700 gpm",
}  # fmt: skip
# Loss per gpm² by hand: 8 psi of lay + 40 of waterway at 1,000 gpm, 34.72 psi up, 10 flat.
CASES = {
    # 400 x ((50 - 20) / 15)^0.54
    "weak hydrant": ({"source": WEAK}, "source", 400 * 2**0.54),
    # (185 - 44.72) / (1/100² + 48/1000²)
    "low marking of the hose": (
        {"lay": {**FIVE_INCH, "operating_pressure": "185 psi"}},
        "hose pressure",
        math.sqrt(140.28 / 148e-6),
    ),
    "throttle below the marking": (
        {
            "lay": {**FIVE_INCH, "operating_pressure": "185 psi"},
            "pumper": {**PUMP, "highest_discharge": "150 psi"},
        },
        "discharge pressure",
        math.sqrt(105.28 / 148e-6),
    ),
    # the least marking of unlike lines: two lines of C 0.08 share the flow, a quarter of the loss
    "lines with two markings": (
        {
            "lay": [
                {**FIVE_INCH, "operating_pressure": "275 psi"},
                {**FIVE_INCH, "operating_pressure": "185 psi"},
            ]
        },
        "hose pressure",
        math.sqrt(140.28 / 142e-6),
    ),
    "narrow waterway": ({"rig": {**RIG, "highest_flow": "600 gpm"}}, "waterway", 600),
    # (160 - 44.72) / (1/100² + 40/1000²): the lay does not count
    "inlet": (
        {"rig": {**RIG, "highest_inlet_pressure": "160 psi"}},
        "inlet pressure",
        math.sqrt(115.28 / 140e-6),
    ),
    "highest nozzle pressure": ({"nozzle": {**FOG, "highest_pressure": "81 psi"}}, "nozzle", 900),
    "automatic nozzle's range": ({"nozzle": AUTO}, "nozzle range", 700),
    # 34.72 + 10 + Q²(148e-6) = net + 0 at draft + 12/2.3: rating line 1 - 0.3 (net - 150) / 50
    "pump curve at draft": (
        {
            "pumper": {"rated_flow": "1000 gpm"},
            "source": {"kind": "draft", "lift": "10 ft", "intake_loss": "2 ft"},
        },
        "pump",
        None,
    ),
    "relay with little left": (
        {
            "pumper": {**PUMP, "intake_floor": "20 psi"},
            "source": {"kind": "relay", "held": "10 psi"},
        },
        "source",
        0,
    ),
    "tip higher than the hose's marking lifts": (
        {"rig": {"height": "100 ft"}, "lay": {**FIVE_INCH, "operating_pressure": "40 psi"}},
        "hose pressure",
        0,
    ),
}


@pytest.mark.physics
@pytest.mark.parametrize("name", CASES)
def test_the_binding_limit_is_the_one_found_by_hand(name):
    """One part of a roomy chain is made scarce; it binds, at the flow of the hand formula."""
    change, binds, expected = CASES[name]
    roomy = {"nozzle": FOG, "rig": RIG, "lay": FIVE_INCH, "pumper": PUMP, "source": STRONG}
    best = water_chain(**(roomy | change)).best()
    assert best.binding.name == binds
    if expected is None:
        flow = gpm(best.binding.flow)
        net = 44.72 + 148e-6 * flow**2 + 12 / 2.3
        expected = 1000 * (1 - 0.3 * (net - 150) / 50)
        assert 150 < net < 200
    assert gpm(best.binding.flow) == pytest.approx(expected, rel=1e-4, abs=1e-6)
    said = best.text()
    assert best.binding.words in said and best.binding.more in said
    assert ("nothing flows at all" in said) is (expected == 0)
    assert "More flow is more reaction" in said


def test_a_starved_automatic_says_how_far_it_goes_on_looking_good():
    """From most to least flow the pressure stays; below it falls, and the words change."""
    chain = water_chain(nozzle=AUTO, rig=RIG, lay=FIVE_INCH)
    full, starved, low = (chain.at_flow(f"{flow} gpm") for flow in (700, 310, 200))
    assert psi(full.nozzle_pressure) == psi(starved.nozzle_pressure) == 100
    assert psi(low.nozzle_pressure) == pytest.approx(100 * (200 / 300) ** 2)
    assert "down to 300 gpm pressure and reach stay" in starved.text()
    assert "Pressure and reach fall" in low.text()


def test_chain_cites_a_source_for_each_part_it_has():
    """Tip, height, hose, hydrant, pump: each constant in the steps has its line; no more, no less."""
    from aerialstream.sources import SOURCES

    bare = water_chain(nozzle=FOG, rig=RIG, lay=FIVE_INCH).at_flow("1000 gpm")
    full = water_chain(
        nozzle=TWO_INCH, rig=RIG, lay=[FIVE_INCH, TWO_THREES], pumper=PUMP, source=STRONG
    ).at_flow("1000 gpm")
    draft = water_chain(
        nozzle=AUTO, rig=RIG, lay=FIVE_INCH, source={"kind": "draft", "lift": "10 ft"}
    ).at_flow("600 gpm")
    only_full = {
        "instruction_sheet_2015_tips", "first_principles_parallel_lines", "hydrant_law_published",
        "pump_test_page",
    }  # fmt: skip
    assert only_full <= set(full.sources) and not only_full & set(bare.sources)
    assert {"study_cards_draft", "automatic_nozzles_article"} <= set(draft.sources)
    for point in (bare, full, draft):
        assert all(SOURCES[one].status != "memory" for one in point.sources)


@given(
    st.sampled_from([FOG, TWO_INCH, AUTO]), st.integers(50, 1400), st.integers(-20, 120),
    st.lists(
        st.builds(
            lambda c, feet, n: {"coefficient": c, "length": f"{feet} ft", "lines": n},
            st.sampled_from([0.08, 0.2, 0.8]), st.integers(25, 900), st.integers(1, 3),
        ),
        min_size=1, max_size=3,
    ),
    st.sampled_from([STRONG, WEAK, {"kind": "draft", "lift": "12 ft"}, {"kind": "relay", "held": "60 psi"}]),
)  # fmt: skip
def test_steps_of_a_chain_come_out_as_printed_in_both_systems(nozzle, flow, height, lays, source):
    """Whoever keys a step of a chain into a calculator gets what is printed."""
    from test_metric_steps import metric_sum, sum_of
    from test_published import worked_out

    rig = {**RIG, "height": f"{height} ft"}
    chain = water_chain(nozzle=nozzle, rig=rig, lay=lays, pumper=PUMP, source=source)
    point = chain.at_flow(f"{flow} gpm")
    for system, work in (("US", worked_out), ("metric", metric_sum)):
        for step in point.steps_in(system):
            if found := sum_of(step):
                left = re.sub(r"\b(nozzle|height|waterway|inlet|lines)\b", "", found[0])
                slack = 0.26 if left.count("+") == 4 else 0.11
                assert work(left) == pytest.approx(work(found[1]), rel=1e-3, abs=slack), step


def test_lays_that_a_pumper_carries_reach_as_far_as_pressure_and_hose_go():
    """Each kind it carries, one line and two; the length that is carried stands beside."""
    from aerialstream.chain import lays_carried

    own = load_department()
    engine = own.pumpers[0]
    lays = lays_carried(own, engine)
    assert len(lays) == 2 * len(engine.hose)
    chain = water_chain(nozzle=FOG, rig={"height": "40 ft"}, lay=FIVE_INCH)
    one, two = chain.reach("1000 gpm", lays)[:2]
    # by hand: 185 - 100 - 17.36 psi over 6.6 psi a 100 ft of 5-in hose with coefficient 0.066
    assert one.length.to("foot").magnitude == pytest.approx(67.64 / 6.6 * 100, abs=0.1)
    assert two.length.to("foot").magnitude == pytest.approx(4 * 67.64 / 6.6 * 100, abs=0.4)
    assert [r.carried.to("foot").magnitude for r in (one, two)] == [1000, 500]
    assert "ended by the hose's operating pressure; hose for 1,000 ft is carried" in one.line()[1]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"source": {"kind": "river"}}, 'needed: one of "hydrant", "relay", "draft"'),
        ({"source": {"kind": "draft", "lift": "40 ft"}}, "at most 33.9 foot"),
        ({"lay": [FIVE_INCH, {"coefficient": 0.8}]}, "need a length each"),
        ({"lay": [FIVE_INCH, {**FIVE_INCH, "lenght": "5 ft"}]}, "lay, number 2.lenght"),
        ({"source": 5, "lay": {"coefficient": None}}, "lay.coefficient"),
    ],
)
def test_chain_parts_that_cannot_be_are_named(change, words):
    """The part, what was read and what is needed."""
    with pytest.raises((UnitError, ImpossibleValue), match=re.escape(words)):
        water_chain(**({"nozzle": FOG, "rig": RIG, "lay": FIVE_INCH} | change))


# --- what nobody entered is said ----------------------------------------------------------------------

BARE_RIG = {"height": "80 ft", "waterway_loss": "40 psi"}
BARE_LAY = {"coefficient": 0.08, "length": "100 ft"}


def notes_of(result, code):
    """The texts of a result's notes of one code, together."""
    return " ".join(note.text for note in result.notes if note.code == code)


def test_loss_of_the_inlet_that_nobody_entered_is_not_shown_as_nothing():
    """ "0 psi" would read as a measured loss."""
    bare = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY).at_flow("1000 gpm")
    none = water_chain(nozzle=FOG, rig=BARE_RIG | {"inlet_loss": "0 psi"}, lay=BARE_LAY)
    assert dict(bare.lines())["Inlet"] == "not entered, taken as none"
    assert dict(none.at_flow("1000 gpm").lines())["Inlet"] == "0 psi"
    assert "Loss of the inlet" in notes_of(bare, "not entered")
    assert "taken as 1,000 gpm" in notes_of(bare, "not entered")
    assert "Loss of the inlet" not in none.at_flow("1000 gpm").text()


def test_best_says_that_the_marking_of_the_hose_was_not_entered():
    """Without it the most that can be had is not held to what the hose bears."""
    pump = {"rated_flow": "1500 gpm"}
    bare = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY, pumper=pump).best()
    assert "see the marking on the hose" in notes_of(bare, "not entered")
    marked = BARE_LAY | {"operating_pressure": "185 psi"}
    told = water_chain(nozzle=FOG, rig=BARE_RIG, lay=marked, pumper=pump).best()
    assert "see the marking on the hose" not in notes_of(told, "not entered")


def test_line_to_the_pump_and_the_floor_of_the_intake_are_told():
    """Neither is filled in quietly: no line means no loss, no entry means 20 psi."""
    chain = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY, source=STRONG)
    said = notes_of(chain.at_flow("1000 gpm"), "not entered")
    assert "Line from the hydrant to the pump: not entered" in said
    assert "Floor of the intake pressure: 20 psi, not entered" in said
    given = STRONG | {"line": BARE_LAY, "residual_floor": "10 psi"}
    told = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY, source=given).at_flow("1000 gpm")
    assert "Floor of the intake pressure: 10 psi, as entered" in told.text()
    assert "Line from the hydrant to the pump: not entered" not in told.text()


def test_every_answer_of_a_chain_says_what_decides():
    """A flow, a nozzle pressure, a discharge pressure and the most: each once."""
    chain = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY, pumper={"rated_flow": "1500 gpm"})
    for found in (
        chain.at_flow("900 gpm"), chain.at_nozzle_pressure("90 psi"),
        chain.at_discharge_pressure("150 psi"), chain.best(),
    ):  # fmt: skip
        said = notes_of(found, "caution")
        assert said.count("operator's manual of the device and local procedure decide") == 1


def test_a_coefficient_of_ones_own_is_not_laid_at_somebody_elses_door():
    """The formula has its source; the coefficient was entered."""
    own = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY).at_flow("1000 gpm")
    assert "entered by you" in own.text() and "city_training_records" not in own.sources


def test_flow_of_a_fog_at_a_nozzle_pressure_asked_for_is_a_sum():
    """By hand: a fixed opening rated 1,000 gpm at 100 psi flows 1,000 × √70 / √100 at 70 psi."""
    chain = water_chain(nozzle=FOG, rig=BARE_RIG, lay=BARE_LAY)
    assert chain.at_nozzle_pressure("70 psi").steps[0] == (
        "Nozzle pressure: 70 psi, as asked. Flow = 1,000 × 8.3666 / 10 = 836.66 gpm"
    )


def test_promise_of_a_rating_between_two_points_is_a_sum():
    """1,500 gpm at 186.3 psi: 1,500 × (1 - 0.3 × 36.3 / 50) = 1,173 gpm, printed to be keyed in."""
    from aerialstream import _chain_steps
    from aerialstream.worked import US

    assert _chain_steps._rating_step(US, 1500, 186.3).endswith(
        "1,500 × (1 - (1 - 0.7) × (186.3 - 150) / (200 - 150)) = 1,173 gpm"
    )


def test_wrong_key_of_a_smooth_bore_is_not_taken_for_one_of_a_fog():
    """Only keys of its own kind are proposed."""
    with pytest.raises(UnitError) as caught:
        water_chain(nozzle=TWO_INCH | {"rate_pressure": "80 psi"}, rig=BARE_RIG, lay=BARE_LAY)
    assert "rated_pressure" not in str(caught.value) and "tip_diameter" in str(caught.value)
