"""Hydrants, tank, draft and relay: EPANET, invariants, both unit systems, and what is refused."""

import math
import tempfile
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_hose import agree_and_read_well

from aerialstream import (
    hydrant_flow_at,
    hydrant_rating,
    hydrant_residual_at,
    lift_limit,
    outlet_flow,
    percentage_method,
    quantity,
    relay_distance,
    relay_pumpers,
    tank_minutes,
)
from aerialstream._core import supply as core
from aerialstream.errors import ImpossibleValue, UnitError

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

PSI = 6894.757293168361  # Pa
GPM = 231 * 0.0254**3 / 60  # m³/s
METRES_OF_WATER = 0.7031  # for one psi

statics = st.floats(25, 150)
shares = st.floats(0.02, 0.98)
flows = st.floats(50, 5000)


def psi(number):
    """A pressure in psi."""
    return quantity(number, "psi")


def gpm(number):
    """A flow in gpm."""
    return quantity(number, "gpm")


def flow_at(static, residual, flow, at):
    """The public call with plain numbers, in gpm."""
    result = hydrant_flow_at(
        psi(static), residual=psi(residual), test_flow=gpm(flow), at_residual=psi(at)
    )
    return result.value.magnitude


class Main:
    """One Hazen-Williams main from a reservoir to a hydrant, solved by EPANET."""

    def __init__(self, static_psi, length_ft, diameter_in, roughness):
        wntr = pytest.importorskip("wntr")
        self.wntr, self.model = wntr, wntr.network.WaterNetworkModel()
        self.model.options.hydraulic.headloss = "H-W"
        self.model.add_reservoir("town", base_head=static_psi * METRES_OF_WATER)
        self.model.add_junction("hydrant", base_demand=0, elevation=0)
        self.model.add_pipe(
            "main", "town", "hydrant", length_ft * 0.3048, diameter_in * 0.0254, roughness, 0
        )
        self.model.options.time.duration = 0

    def residual_psi(self, flow_gpm):
        """psi at the hydrant while it flows."""
        hydrant = self.model.get_node("hydrant")
        hydrant.demand_timeseries_list.clear()
        hydrant.add_demand(flow_gpm * GPM, None)
        with tempfile.TemporaryDirectory() as folder:
            simulator = self.wntr.sim.EpanetSimulator(self.model)
            found = simulator.run_sim(file_prefix=str(Path(folder) / "main"))
        return float(found.node["pressure"]["hydrant"].iloc[0]) / METRES_OF_WATER


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("static", "length", "diameter", "roughness", "test_flow", "residual", "at_20"),
    [
        (80, 3000, 8, 100, 800, 54.465, 1268.9),
        (65, 2000, 6, 120, 600, 36.054, 761.4),
        (95, 5000, 12, 110, 2000, 67.987, 3471.5),
    ],
)
def test_hydrant_on_one_main_gives_what_epanet_gives(
    static, length, diameter, roughness, test_flow, residual, at_20
):
    """Tested in EPANET and carried on by the law, EPANET finds the same residual again."""
    main = Main(static, length, diameter, roughness)
    tested = main.residual_psi(test_flow)
    assert tested == pytest.approx(residual, abs=0.02)
    flow = flow_at(static, tested, test_flow, 20)
    assert flow == pytest.approx(at_20, rel=1e-3)
    assert main.residual_psi(flow) == pytest.approx(20, abs=0.02)
    halfway = flow_at(static, tested, test_flow, (static + 20) / 2)
    told = hydrant_residual_at(
        psi(static), residual=psi(tested), test_flow=gpm(test_flow), flow=gpm(halfway)
    )
    assert main.residual_psi(halfway) == pytest.approx(told.value.magnitude, abs=0.02)


@pytest.mark.physics
@given(statics, shares, flows)
def test_flow_at_tested_residual_is_tested_flow(static, share, flow):
    """The curve goes through the test, and through no flow at the static."""
    assert flow_at(static, static * share, flow, static * share) == pytest.approx(flow, rel=1e-9)
    assert flow_at(static, static * share, flow, static) == 0


@pytest.mark.physics
@given(statics, st.floats(0, 40), shares, flows)
def test_more_static_never_gives_less(static, more, share, flow):
    """With the drop of the test the same, a higher static gives at least the flow."""
    drop = (static - 20) * (1 - share)
    low = flow_at(static, static - drop, flow, 20)
    assert flow_at(static + more, static + more - drop, flow, 20) >= low * (1 - 1e-12)


@pytest.mark.physics
@given(statics, shares, flows, shares)
def test_residual_at_undoes_flow_at(static, share, flow, wanted):
    """Flow at a residual, then the residual at that flow: back where it began."""
    at = static * wanted
    given_flow = flow_at(static, static * share, flow, at)
    assume(given_flow < 1e8)
    back = hydrant_residual_at(
        psi(static), residual=psi(static * share), test_flow=gpm(flow), flow=gpm(given_flow)
    )
    assert back.value.magnitude == pytest.approx(at, abs=1e-6)


@pytest.mark.physics
@given(statics, shares, flows)
def test_hydrant_in_metric_units_agrees(static, share, flow):
    """The same test typed in kPa and L/min gives the same flow."""
    kilopascal = PSI / 1000
    metric = hydrant_flow_at(
        quantity(static * kilopascal, "kilopascal"),
        residual=quantity(static * share * kilopascal, "kilopascal"),
        test_flow=quantity(flow * GPM * 60_000, "lpm"),
        at_residual=quantity(20 * kilopascal, "kilopascal"),
    )
    right = flow_at(static, static * share, flow, 20)
    assert metric.value.to("gpm").magnitude == pytest.approx(right, rel=1e-9)


@pytest.mark.physics
@given(st.floats(1, 6), st.floats(7, 80), st.floats(0.5, 1), st.integers(1, 4))
def test_outlets_in_metric_units_agree_and_add_up(diameter, pitot, coefficient, outlets):
    """mm and bar give what inches and psi give; n outlets flow n times one; jets are no faster."""
    one = outlet_flow(
        quantity(diameter, "inch"), pitot_pressure=psi(pitot), coefficient=coefficient
    ).value.magnitude
    many = outlet_flow(
        quantity(diameter * 25.4, "millimeter"),
        pitot_pressure=quantity(pitot * PSI / 1e5, "bar"),
        coefficient=coefficient,
        outlets=outlets,
    ).value.magnitude
    assert many == pytest.approx(outlets * one, rel=1e-9)
    area = math.pi / 4 * (diameter * 0.0254) ** 2
    ideal = coefficient * area * math.sqrt(2 * pitot * PSI / 999.02) / GPM
    assert one == pytest.approx(ideal, rel=1e-3)


@pytest.mark.physics
@given(
    st.integers(300, 1000), st.integers(5, 95), st.integers(500, 9000), st.integers(30, 150),
    st.integers(20, 500),
)  # fmt: skip
def test_supply_asked_in_metric_agrees_and_reads_well(static, share, flow, bore, length):
    """Whole kPa, L/min, mm and m, none of them round in US units; every public function."""

    def both(function, first, **inputs):
        """The same call with (number, metric unit) texts and with US quantities."""
        us_units = {"kPa": psi, "lpm": gpm}
        factors = {"kPa": 1000 / PSI, "lpm": 1 / (GPM * 60_000), "mm": 1 / 25.4, "m": 1 / 0.3048}
        lengths = {"mm": "inch", "m": "foot"}

        def metric(value):
            return f"{value[0]} {value[1]}" if isinstance(value, tuple) else value

        def us(value):
            if not isinstance(value, tuple):
                return value
            number, unit = value[0] * factors[value[1]], value[1]
            return us_units[unit](number) if unit in us_units else quantity(number, lengths[unit])

        agree_and_read_well(
            function(metric(first), **{k: metric(v) for k, v in inputs.items()}),
            function(us(first), **{k: us(v) for k, v in inputs.items()}),
        )

    test = {"residual": (static * share / 100, "kPa"), "test_flow": (flow, "lpm")}
    both(hydrant_flow_at, (static, "kPa"), at_residual=(138, "kPa"), **test)
    both(hydrant_residual_at, (static, "kPa"), flow=(flow * 0.9, "lpm"), **test)
    both(hydrant_rating, (static, "kPa"), **test)
    both(percentage_method, (static, "kPa"), residual=test["residual"], flow=test["test_flow"])
    pitot = {"pitot_pressure": (static / 4, "kPa"), "coefficient": 0.9, "outlets": 2}
    both(outlet_flow, (bore, "mm"), **pitot)
    relay = {"discharge_pressure": (static + 300, "kPa"), "residual": (140, "kPa")}
    relay |= {"coefficient": 0.08, "line_count": 2}
    both(relay_distance, (flow, "lpm"), **relay)
    both(relay_pumpers, (length, "m"), flow=(flow, "lpm"), climb=(-12, "m"), **relay)
    agree_and_read_well(
        tank_minutes(f"{length * 10} L", flow=f"{flow} lpm"),
        tank_minutes(
            quantity(length * 10 / 3.785411784, "gallon"), flow=gpm(flow / (GPM * 60_000))
        ),
    )
    agree_and_read_well(lift_limit("101.3 kPa"), lift_limit(psi(101_300 / PSI)))


def test_metric_supply_texts_keep_to_the_departments_units():
    """Cautions and the floor are told in kPa; the digit of the gauge is said to be a US one."""
    low = hydrant_flow_at(
        "552 kPa", residual="379 kPa", test_flow="3,176 lpm", at_residual="69 kPa"
    )
    assert "A residual of 69 kPa is under 138 kPa." in low.text("metric")
    lift = lift_limit("101.35 kPa").text("metric")
    assert "9.8173 kPa a metre" in lift and "6.88 m, for a pump" in lift
    estimate = percentage_method("552 kPa", residual="414 kPa", flow="1,893 lpm")
    assert "First-digit method, of a gauge in US units" in estimate.text("metric")
    assert "more than the law gives" in estimate.text("metric")
    relay = relay_distance("3,785 lpm", discharge_pressure="1,034 kPa", residual="69 kPa",
                           coefficient=0.2).text("metric")  # fmt: skip
    assert "Coefficient 0.2 of US units is 0.31572" in relay and "the usual 138 kPa" in relay


def test_pumper_outlet_factor_stands_between_its_printed_neighbours():
    """At a printed psi the printed factor; between them no jump; from 7 psi on 0.83."""
    for pitot, factor in core.PUMPER_OUTLET:
        assert core.pumper_outlet_factor(pitot) == pytest.approx(factor)
    assert core.pumper_outlet_factor(2.5) == pytest.approx(0.945)
    assert core.pumper_outlet_factor(40) == 0.83


@pytest.mark.parametrize(
    ("flow", "hydrant_class", "colour"),
    [(1500, "AA", "light blue"), (1499, "A", "green"), (999, "B", "orange"), (499, "C", "red")],
)
def test_class_goes_by_the_rated_flow(flow, hydrant_class, colour):
    """The test itself was at 20 psi, so that its flow is the rated flow."""
    rating = hydrant_rating("60 psi", residual="20 psi", test_flow=gpm(flow))
    assert (rating.hydrant_class, rating.colour) == (hydrant_class, colour)
    assert hydrant_class in rating.text() and colour in rating.text()


def test_published_hydrant_is_class_b():
    """86 psi static, 42 psi at 789 gpm: 982 gpm at 20 psi."""
    assert hydrant_rating("86 psi", residual="42 psi", test_flow="789 gpm").hydrant_class == "B"


def test_low_static_is_rated_at_half_and_says_so():
    """Under 40 psi half the static, with a place to confirm it; from 40 on nothing of it."""
    low = hydrant_rating("30 psi", residual="22 psi", test_flow="500 gpm")
    assert low.floor.magnitude == 15
    assert any("half of it" in n.text and "clause" in n.text for n in low.notes)
    assert "hydrant_half_static" in low.sources
    assert hydrant_rating("40 psi", residual="30 psi", test_flow="500 gpm").floor.magnitude == 20


def test_small_drop_is_noted():
    """Under 10 % of the static the test tells little; at 10 % it is accepted."""
    small = hydrant_rating("80 psi", residual="73 psi", test_flow="500 gpm")
    assert small.notes[0].code == "outside range"
    right = hydrant_rating("70 psi", residual="63 psi", test_flow="500 gpm")
    assert "outside range" not in [n.code for n in right.notes]


def test_drawing_below_the_floor_is_a_caution():
    """A flow asked for at 10 psi residual carries the warning; at 20 psi it does not."""
    test = {"residual": "55 psi", "test_flow": "839 gpm"}
    assert "caution" in [
        n.code for n in hydrant_flow_at("80 psi", at_residual="10 psi", **test).notes
    ]
    assert "caution" not in [
        n.code for n in hydrant_flow_at("80 psi", at_residual="20 psi", **test).notes
    ]


@pytest.mark.parametrize(
    ("residual", "more", "digit"),
    [(72, 3, 3), (71, 2, 2), (68, 2, 2), (67, 1, 2), (60, 1, 1), (59, 0, 1), (55, 0, 0)],
)
def test_percentage_and_first_digit_bands(residual, more, digit):
    """At 80 psi static: 10, 15 and 25 % are 8, 12 and 20 psi; digits 8, 16, 24 psi."""
    estimate = percentage_method("80 psi", residual=psi(residual), flow="500 gpm")
    assert estimate.lines_more == more
    assert estimate.lines_more_first_digit == digit
    assert estimate.by_rule.magnitude == 500 * more
    assert "Quick estimate" in estimate.text()


def test_percentage_bands_hold_in_metric_units():
    """Exactly 10 % stays 10 % when it was typed in kPa."""
    estimate = percentage_method("700 kPa", residual="630 kPa", flow="500 gpm")
    assert estimate.lines_more == 3


def test_first_digit_is_not_made_up_for_three_digits():
    """Its source speaks of one digit; at 100 psi and above it is left open."""
    estimate = percentage_method("100 psi", residual="90 psi", flow="500 gpm")
    assert estimate.lines_more_first_digit is None
    assert "not two digits" in estimate.text()


@pytest.mark.physics
@given(st.floats(41, 140), st.floats(0, 20), st.sampled_from([3, 2, 1]), flows)
def test_rule_equals_law_at_its_limit(static, floor, more, flow):
    """At the drop named as limit the law grants just so many like flows."""
    names = {3: "three_more", 2: "two_more", 1: "one_more"}
    any_test = percentage_method(
        psi(static), residual=psi(static - 5), flow=gpm(flow), floor=psi(floor)
    )
    limit = getattr(any_test, names[more]).magnitude
    at_limit = percentage_method(
        psi(static), residual=psi(static * (1 - limit / 100)), flow=gpm(flow), floor=psi(floor)
    )
    assert at_limit.by_law.magnitude == pytest.approx(more * flow, rel=1e-6)


def test_nothing_more_below_the_floor():
    """Already at 15 psi: the law gives nothing more and says why."""
    estimate = percentage_method("80 psi", residual="15 psi", flow="900 gpm")
    assert estimate.by_law.magnitude == 0
    assert any("under the floor" in n.text for n in estimate.notes)


@pytest.mark.physics
@given(st.floats(10, 1e5), st.floats(1, 5000))
def test_tank_and_lift_in_metric_units_agree(volume, flow):
    """Litres and L/min give the same minutes; bar and metres the same lift."""
    minutes = tank_minutes(quantity(volume, "gallon"), flow=gpm(flow)).value.magnitude
    metric = tank_minutes(
        quantity(volume * 3.785411784, "liter"), flow=quantity(flow * 3.785411784, "lpm")
    )
    assert metric.value.magnitude == pytest.approx(minutes, rel=1e-9)
    assert minutes * flow == pytest.approx(volume, rel=1e-9)
    assert lift_limit("14.7 psi").value.to("meter").magnitude == pytest.approx(
        14.7 * PSI / (999.02 * 9.80665), rel=3e-3
    )


@pytest.mark.physics
@given(
    st.floats(100, 2000),
    st.floats(60, 250),
    st.floats(0, 50),
    st.floats(0.02, 2),
    st.integers(1, 4),
)
def test_a_relay_of_just_its_distance_needs_one_pumper(flow, discharge, residual, coefficient, n):
    """Twice the distance needs two; n lines side by side reach n² times as far."""
    give = {
        "discharge_pressure": psi(discharge),
        "residual": psi(residual),
        "coefficient": coefficient,
        "line_count": n,
    }
    length = relay_distance(gpm(flow), **give).value.magnitude
    assume(length < 1e8)
    for times in (1, 2):
        plan = relay_pumpers(quantity(length * times, "foot"), flow=gpm(flow), **give)
        assert plan.pumpers == times
        assert plan.loss.magnitude == pytest.approx((discharge - residual) * times, rel=1e-9)
    single = relay_distance(gpm(flow), **{**give, "line_count": 1}).value.magnitude
    assert length == pytest.approx(n**2 * single, rel=1e-9)


def test_climb_counts_and_a_fall_helps():
    """2,000 ft of 4-in at 1,000 gpm: 400 psi; 100 ft up adds 43 psi, down takes it away."""
    lay = {
        "flow": "1000 gpm",
        "discharge_pressure": "185 psi",
        "residual": "20 psi",
        "coefficient": 0.2,
    }
    losses = {
        climb: relay_pumpers("2,000 ft", climb=climb, **lay).loss.magnitude
        for climb in ("0 ft", "100 ft", "-100 ft")
    }
    assert losses == pytest.approx({"0 ft": 400, "100 ft": 443.4, "-100 ft": 356.6})
    steep = relay_pumpers("100 ft", climb="-300 ft", **lay)
    assert steep.pumpers == 1


TEST = {"residual": "55 psi", "test_flow": "839 gpm"}
RELAY = {"discharge_pressure": "185 psi", "residual": "20 psi", "coefficient": 0.2}


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: hydrant_rating("50 psi", **TEST), "above the static 50 psi"),
        (lambda: hydrant_rating("55 psi", **TEST), "no drop"),
        (lambda: hydrant_flow_at("80 psi", at_residual="90 psi", **TEST), "at_residual 90 psi"),
        (lambda: hydrant_rating(psi(math.nan), **TEST), "not a number"),
        (lambda: hydrant_rating("0 psi", **TEST), "more than 0 psi"),
        (lambda: hydrant_residual_at("80 psi", flow="2000 gpm", **TEST), "left at 0 psi"),
        (lambda: percentage_method("20 psi", residual="15 psi", flow="1 gpm"), "floor of 20 psi"),
        (lambda: outlet_flow("4 in", pitot_pressure="1 psi", coefficient=0.9, outlet="pumper outlet"),
         "under 2 psi"),
        (lambda: outlet_flow("4 in", pitot_pressure="9 psi", coefficient=1.2), "0.5 to 1"),
        (lambda: outlet_flow("4 in", pitot_pressure="9 psi", coefficient=math.nan), "plain number"),
        (lambda: outlet_flow("4 in", pitot_pressure="9 psi", coefficient=0.9, outlets=1.5),
         "whole number"),
        (lambda: outlet_flow("4 in", pitot_pressure="9 psi", coefficient=0.9, outlet="steamer"),
         '"pumper outlet"'),
        (lambda: lift_limit("30 psi"), "at most 17 psi"),
        (lambda: relay_distance("900 gpm", **{**RELAY, "residual": "185 psi"}), "not above"),
        (lambda: relay_distance("900 gpm", line_count=0, **RELAY), "line_count = 0"),
        (lambda: tank_minutes("0 gal", flow="100 gpm"), "more than 0"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_message(call, said):
    """The message names the fault."""
    with pytest.raises(ImpossibleValue) as error:
        call()
    assert said in str(error.value)


def test_all_faults_come_in_one_message():
    """Residual above static, and the residual asked about above it too: both are named."""
    with pytest.raises(ImpossibleValue) as error:
        hydrant_flow_at("50 psi", at_residual="60 psi", **TEST)
    assert "residual 55 psi" in str(error.value) and "at_residual 60 psi" in str(error.value)


@pytest.mark.parametrize("coefficient", ["0.9", None, True])
def test_a_coefficient_that_is_no_number_is_a_unit_error(coefficient):
    """Texts, nothing and yes are no coefficients."""
    with pytest.raises(UnitError, match="plain number"):
        outlet_flow("2 1/2 in", pitot_pressure="25 psi", coefficient=coefficient)
