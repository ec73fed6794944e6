"""Water on and in the building: IAPWS, invariants, both unit systems, and what the texts permit."""

import math
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_hose import agree_and_read_well

from aerialstream import (
    design_live_loads,
    floor_load,
    heat_absorbed,
    load_of_depth,
    quantity,
    steam_volume,
    time_to_depth,
    time_to_load,
    water_weight,
)
from aerialstream import water as module
from aerialstream.constants import HEAT_TO_STEAM, POUNDS_PER_GALLON, STEAM_FROM_A_GALLON
from aerialstream.errors import ImpossibleValue

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

flows = st.floats(20, 5000)
areas = st.floats(50, 50_000)
loads = st.floats(0.5, 300)
off = st.integers(0, 9500).map(lambda hundredths: hundredths / 100)
LITRES = 3.785411784
SQUARE_METRE = 0.3048**2


def gpm(number):
    """A flow in gpm."""
    return quantity(number, "gpm")


def pond(flow, minutes, area, running_off):
    """The public call with plain numbers."""
    return floor_load(
        gpm(flow),
        time=quantity(minutes, "minute"),
        area=quantity(area, "foot**2"),
        running_off=f"{running_off!r} %",
    )


def heat_of_a_gallon(celsius):
    """(Btu, cubic feet of steam, pounds) of a US gallon from a temperature, by IAPWS-97."""
    iapws = pytest.importorskip("iapws")
    water = iapws.IAPWS97(T=celsius + 273.15, P=0.101325)
    steam = iapws.IAPWS97(P=0.101325, x=1)
    kilograms = LITRES / 1000 * water.rho
    btu = (steam.h - water.h) * kilograms / 1.05505585262
    return btu, steam.v * kilograms / 0.3048**3, kilograms / 0.45359237


@pytest.mark.agreement
def test_constants_of_water_agree_with_iapws():
    """At 60 °F: heat to steam, volume of the steam, weight of a gallon."""
    btu, cubic_feet, pounds = heat_of_a_gallon((60 - 32) / 1.8)
    assert HEAT_TO_STEAM.value == pytest.approx(btu, rel=1e-3)
    assert STEAM_FROM_A_GALLON.value == pytest.approx(cubic_feet, rel=2e-3)
    assert POUNDS_PER_GALLON.value == pytest.approx(pounds, rel=1e-3)


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("fahrenheit", "printed"),
    [(40, 9532), (50, 9446), (62, 9337), (68, 9281), (70, 9263), (80, 9167)],
)
def test_water_of_another_temperature_changes_the_heat_by_no_more_than_the_docs_say(
    fahrenheit, printed
):
    """2 % more from 40 °F, 2 % less from 80 °F; the values of the reference are IAPWS's."""
    btu, _, _ = heat_of_a_gallon((fahrenheit - 32) / 1.8)
    assert btu == pytest.approx(printed, rel=1e-3)
    assert btu == pytest.approx(HEAT_TO_STEAM.value, rel=0.0205)


@pytest.mark.agreement
@pytest.mark.parametrize(("celsius", "ratio", "heat"), [(300, 2602, 10_786), (600, 3971, 13_048)])
def test_hotter_steam_fills_and_takes_up_more_as_the_docs_say(celsius, ratio, heat):
    """By IAPWS, from water at 60 °F."""
    iapws = pytest.importorskip("iapws")
    water = iapws.IAPWS97(T=15.5556 + 273.15, P=0.101325)
    steam = iapws.IAPWS97(T=celsius + 273.15, P=0.101325)
    assert steam.v * water.rho == pytest.approx(ratio, rel=2e-3)
    kilograms = LITRES / 1000 * water.rho
    assert (steam.h - water.h) * kilograms / 1.05505585262 == pytest.approx(heat, rel=2e-3)


@pytest.mark.physics
@given(loads, flows, areas, off)
def test_time_to_load_undoes_load(load, flow, area, running_off):
    """The load after the time to a load is that load; the same for a depth."""
    give = {
        "flow": gpm(flow),
        "area": quantity(area, "foot**2"),
        "running_off": f"{running_off!r} %",
    }
    minutes = time_to_load(quantity(load, "psf"), **give).value.magnitude
    back = pond(flow, minutes, area, running_off)
    assert back.load.magnitude == pytest.approx(load, rel=1e-9)
    to_depth = time_to_depth(back.depth, **give).value.magnitude
    assert to_depth == pytest.approx(minutes, rel=2e-3)  # 8.34 lb/gal and 5.2 psf are rounded


@pytest.mark.physics
@given(flows, st.floats(0.5, 240), areas, off)
def test_metric_inputs_agree(flow, minutes, area, running_off):
    """L/min, square metres and seconds give the same pond, weight and times."""
    us = pond(flow, minutes, area, running_off)
    metric = {
        "flow": quantity(flow * LITRES, "lpm"),
        "area": quantity(area * SQUARE_METRE, "meter**2"),
        "running_off": f"{running_off!r} %",
    }
    si = floor_load(time=quantity(minutes * 60, "second"), **metric)
    for name in ("weight", "volume", "depth", "load"):
        one, two = getattr(us, name).magnitude, getattr(si, name).magnitude
        assert two == pytest.approx(one, rel=1e-9)
    again = time_to_load(quantity(us.load.to("kilopascal").magnitude, "kilopascal"), **metric)
    assert again.value.magnitude == pytest.approx(minutes, rel=1e-9)
    deep = time_to_depth(quantity(us.depth.to("millimeter").magnitude, "millimeter"), **metric)
    right = time_to_depth(
        us.depth, flow=gpm(flow), **{k: metric[k] for k in ("area", "running_off")}
    )
    assert deep.value.magnitude == pytest.approx(right.value.magnitude, rel=1e-9)
    weight = water_weight(metric["flow"], time=quantity(minutes / 60, "hour")).value.magnitude
    assert weight == pytest.approx(us.weight.magnitude / (1 - running_off / 100), rel=1e-9)


@pytest.mark.physics
@given(st.integers(50, 20_000), st.integers(5, 5000), st.integers(0, 90), st.integers(1, 300))
def test_water_asked_in_metric_agrees_and_reads_well(flow, area, running_off, minutes):
    """Whole L/min, m², mm and kPa, none of them round in US units; every public function."""
    share = f"{running_off} %"
    lpm, metres = f"{flow} lpm", f"{area} m²"
    us, feet = gpm(flow / LITRES), quantity(area / SQUARE_METRE, "foot**2")
    time = f"{minutes} min"
    mm, inches = f"{minutes} mm", quantity(minutes / 25.4, "inch")
    kpa, psf = f"{minutes / 10} kPa", quantity(minutes * 100 / 47.88025898, "psf")
    at, also = {"running_off": share, "flow": lpm, "area": metres}, {"running_off": share}
    also |= {"flow": us, "area": feet}
    agree_and_read_well(water_weight(lpm, time=time), water_weight(us, time=time))
    agree_and_read_well(floor_load(time=time, **at), floor_load(time=time, **also))
    agree_and_read_well(time_to_load(kpa, **at), time_to_load(psf, **also))
    agree_and_read_well(time_to_depth(mm, **at), time_to_depth(inches, **also))
    agree_and_read_well(load_of_depth(mm), load_of_depth(inches))
    agree_and_read_well(heat_absorbed(lpm, efficiency="30 %"), heat_absorbed(us, efficiency="30 %"))
    agree_and_read_well(steam_volume(f"{flow} L"), steam_volume(quantity(flow / LITRES, "gallon")))


@pytest.mark.physics
def test_metric_sums_of_water_are_those_of_the_si():
    """2.6077 MJ and 1.672 m³ of steam for a litre, 0.0098 kPa for a millimetre (IAPWS, gravity)."""
    heat = heat_absorbed("60 L/min", efficiency="100 %")
    assert heat.steps_in("metric")[0].startswith("Heat in a minute = 2.6077 × 60 L/min × 1 =")
    litre = 1 / LITRES
    btu, _, _ = heat_of_a_gallon((60 - 32) / 1.8)
    assert 2.6077 == pytest.approx(btu * litre * 1055.05585262e-6, rel=1e-3)
    assert "1.6719 × 100 L" in steam_volume("100 L").text("metric")
    assert steam_volume("100 L").lines("metric")[0] == ("Steam at 100 °C", "167 m³")
    assert "0.0098023" in load_of_depth("25 mm").text("metric")
    assert "0.52 MW for each L/s (20 %)" in heat.text("metric")


@pytest.mark.physics
@given(flows, st.floats(1, 100))
def test_heat_in_metric_units_agrees_and_grows_with_the_share(flow, efficiency):
    """L/min give the same power; the share counts in proportion."""
    share = f"{efficiency!r} %"
    us = heat_absorbed(gpm(flow), efficiency=share).value.magnitude
    si = heat_absorbed(quantity(flow * LITRES, "lpm"), efficiency=share).value.magnitude
    assert si == pytest.approx(us, rel=1e-9)
    full = heat_absorbed(gpm(flow), efficiency="100 %").value.magnitude
    assert us == pytest.approx(full * efficiency / 100, rel=1e-9)


@pytest.mark.physics
def test_a_litre_weighs_a_kilogram_and_a_millimetre_is_nearly_ten_pascal():
    """The SI checks of the reference: 37.1 kN/min at 3,785 L/min, 9.81 Pa for 1 mm."""
    weight = water_weight("3785 lpm", time="1 min")
    assert weight.value.to("kilonewton").magnitude == pytest.approx(37.1, rel=2e-3)
    assert weight.lines("metric")[0][1] == "3,783 kg"
    pascal = load_of_depth("1 mm").value.to("pascal").magnitude
    assert pascal == pytest.approx(9.81, rel=3e-3)


def test_one_minute_is_not_multiplied_by_one():
    """1,500 × 8.34 = 12,510 lb: a minute takes one step, another time takes two."""
    for system in ("US", "metric"):
        minute, two = (water_weight("1500 gpm", time=time) for time in ("1 min", "2 min"))
        assert [step.partition(" =")[0] for step in minute.steps_in(system)][:2] == [
            "In one minute",
            "In short tons" if system == "US" else "In tonnes",
        ]
        assert "In the time = " in two.steps_in(system)[1] and len(two.steps) == 3
    assert "12,510.0 lb × 2 = 25,020.0 lb" in two.steps[1]


def test_steam_is_printed_in_cubic_feet_and_metres():
    """Gallons of steam would mean nothing to anybody."""
    steam = steam_volume("100 gal")
    assert str(steam) == "22,350 cu ft"
    assert steam.lines("metric")[0][1] == "633 m³"


def test_efficiency_has_no_default_and_its_range_is_told():
    """The share is set by whoever asks; the quoted figures stand there with what is wrong in them."""
    with pytest.raises(TypeError):
        heat_absorbed("1000 gpm")
    text = heat_absorbed("1000 gpm", efficiency="33 %").text()
    for word in ("set by you", "32 %", "20 %", "do not agree", "84 %", "from outside"):
        assert word in text


def results():
    """One result of each function."""
    give = {"flow": "1000 gpm", "area": "2,500 sq ft", "running_off": "60 %"}
    return [
        water_weight("1000 gpm", time="10 min"),
        floor_load(time="10 min", **give),
        time_to_load("20 psf", **give),
        time_to_depth("4 in", **give),
        load_of_depth("5 in"),
        heat_absorbed("1000 gpm", efficiency="50 %"),
        steam_volume("100 gal"),
        design_live_loads(),
    ]


@pytest.mark.parametrize("result", results(), ids=lambda r: r.title)
def test_texts_permit_nothing_and_print_in_both_systems(result):
    """No word that allows; US and metric both print."""
    for text in (result.text(), result.text("metric"), result.html(), repr(result)):
        assert not re.search(r"\bsafe\b|within limits", text, re.IGNORECASE)


@pytest.mark.parametrize(
    "result", [r for r in results() if "oad" in r.title], ids=lambda r: r.title
)
def test_loads_say_that_design_is_not_collapse(result):
    """Every load carries the line."""
    assert "not the load at which" in result.text()


def test_design_loads_are_second_hand_and_listed():
    """Thirteen uses, rising, marked as read second-hand, with a place to confirm."""
    text = design_live_loads().text()
    assert "second-hand" in text and "edition ____" in text
    assert "offices: 50 psf" in text and "2.39 kPa" in design_live_loads().text("metric")
    figures = [psf for _, psf in module.DESIGN_LIVE_LOADS]
    assert figures == sorted(figures)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: water_weight("0 gpm", time="1 min"), "more than 0"),
        (lambda: water_weight(gpm(math.nan), time="1 min"), "not a number"),
        (lambda: floor_load("9 gpm", time="1 min", area="9 sq ft", running_off="120 %"), "at most"),
        (lambda: time_to_load("9 psf", flow="9 gpm", area="9 sq ft", running_off="100 %"), "all of it"),
        (lambda: time_to_depth("9 in", flow="9 gpm", area="9 sq ft", running_off="100 %"), "all of it"),
        (lambda: time_to_load("0 psf", flow="9 gpm", area="9 sq ft"), 'load="20 psf"'),
        (lambda: heat_absorbed("9 gpm", efficiency="0 %"), "more than 0 percent"),
        (lambda: steam_volume(quantity(math.inf, "gallon")), "infinite"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(call, said):
    """The message names the fault."""
    with pytest.raises(ImpossibleValue) as error:
        call()
    assert said in str(error.value)
