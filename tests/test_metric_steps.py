"""Every result as a metric department reads it: no US unit left over, every sum true.

The calls are those of tests/published, so every public function is looked at.
"""

import re
from functools import cache
from math import isfinite

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_published import ROWS, functions_of, inputs_of, public_functions, result_of, worked_out

import aerialstream
from aerialstream.quantity_text import UNIT_SPELLINGS, unit_named
from aerialstream.units import Need, in_unit, quantity, show
from aerialstream.worked import METRIC, US, both, in_system, worked

US_UNIT = re.compile(
    r"\b(gpm|psi|psf|lbf|lbs?|pounds?|ft³?|feet|foot|inch(es)?|gal|hp|mph|Btu|cfm|tons?|yards?)\b"
    r"|\bsq ft\b|[\d/][ -]in\b(?! (?:a|the|its|place)\b)|\bin²|°F"
)
METRIC_UNIT = re.compile(
    r"\d[ -]?(kPa|MPa|bar|L/min|L/s|L|lpm|mm|cm|m|m²|m³|km|N|kN|N·m|kg|kgf|m/s|kW|kJ|MJ|°C)(?![\w·/])"
    r"|\b(kPa|L/min|N·m|mm²)"
)
# Words (as a search) of a metric text that name a US unit on purpose -> why.
ON_PURPOSE = {
    "half a psi to the foot": "the name of a rule of thumb, beside what it is in kPa to the metre",
    r"A gallon (?:a minute )?for (?:a|\d+) (?:square|cubic) f(?:oo|ee)t": "the formula as it was "
    "printed, beside what it is in litres",
    "read as pounds": "the name of a rule of thumb that is made for US units",
}
ON_PURPOSE_IN_US = {"In L/min": "the older schedule is told in both units"}


@cache
def results_of(name):
    """The inputs and result of every different call of a function in the tables."""
    texts = {
        text.strip()
        for row in ROWS
        for function, text in zip(functions_of(row), row["inputs"].split("|"), strict=True)
        if function == name
    }
    return [(text, result_of(name, text)) for text in sorted(texts)]


def words(result, system):
    """Everything a result says of itself in a unit system, but for its sources."""
    for label, value in result.lines(system):
        yield f"{label}: {value}"
    yield from result.steps_in(system)
    for note in result.notes:
        yield in_system(note.text, system)


@pytest.mark.parametrize("name", public_functions())
def test_every_public_function_is_looked_at(name):
    """The tables call them all."""
    assert results_of(name)


def us_units_in(text):
    """The US units that a metric text names, but not on purpose."""
    text = re.sub("|".join(ON_PURPOSE), "", text)
    return [found.group() for found in US_UNIT.finditer(text)]


@pytest.mark.parametrize("name", public_functions())
def test_metric_text_has_no_us_unit(name):
    """A metric department reads no gpm, psi, lbf, ft or in, but where it is said on purpose."""
    left_over = {
        text
        for _, result in results_of(name)
        for text in words(result, "metric")
        if us_units_in(text)
    }
    assert not left_over


@pytest.mark.parametrize("name", public_functions())
def test_us_text_has_no_metric_unit(name):
    """Nor does a US department read kPa, L/min, mm, m or N."""
    left_over = {
        text
        for _, result in results_of(name)
        for text in words(result, "US")
        if METRIC_UNIT.search(text) and not re.search("|".join(ON_PURPOSE_IN_US), text)
    }
    assert not left_over


def test_what_is_said_on_purpose_is_said():
    """No exception without a text that needs it."""
    for system, phrases in (("metric", ON_PURPOSE), ("US", ON_PURPOSE_IN_US)):
        every = [
            text
            for name in public_functions()
            for _, result in results_of(name)
            for text in words(result, system)
        ]
        for phrase, reason in phrases.items():
            assert reason and any(re.search(phrase, text) for text in every), phrase


@pytest.mark.parametrize(
    "text", ["80 psi", "1 3/4 in", "a 2-in tip", "= 4 in²", "505 lbf", "2,500 sq ft", "8 ft/s"]
)
def test_us_units_are_noticed(text):
    """The search finds each way they are written."""
    assert US_UNIT.search(text) and not METRIC_UNIT.search(text)


@pytest.mark.parametrize(
    "text", ["552 kPa", "44.45 mm", "= 4 mm²", "2,246 N", "25,676 N·m", "22.86 m", "33 m/s", "5 L"]
)
def test_metric_units_are_noticed(text):
    """And words that only look like one are left alone."""
    assert METRIC_UNIT.search(text) and not US_UNIT.search(text)
    assert not METRIC_UNIT.search("5 minutes in 3 Lines, 2 notes, 1 maker, 250 MW")
    assert not US_UNIT.search("0.5 in a line; the minimum, a loft, the gallonage")


METRIC_UNITS = (
    r"kg/m³|m³/L|L/min|L/s|N·m|kN|kPa|MPa|MW|MJ/L|a metre|MJ|kJ|kW|m/s|m²/s|mm²|m²|m³"
    r"|(?<=[\d )])(?:mm|kg|deg|min|m|N|L|t)\b"
)


def sum_of(step):
    """(left side, result) of a step that ends in a sum, or None."""
    if " = " not in step:
        return None
    left, _, right = step.rpartition(" = ")
    return re.split(r" = |: |; ", left)[-1], right


def metric_sum(text):
    """A printed metric sum worked out anew."""
    return worked_out(re.sub(METRIC_UNITS, " ", text))


@pytest.mark.parametrize("name", public_functions())
def test_metric_steps_are_true_sums_as_printed(name):
    """Whoever keys a metric step into a calculator gets the printed answer, but for rounding.

    Metric steps are printed to five figures: 0.03 % is what such factors can be off together.
    """
    for _, result in results_of(name):
        for step in result.steps_in("metric"):
            if found := sum_of(step):
                left, right = found
                printed = metric_sum(right)
                slack = 0.51 if "N·m" in right else 0.06
                assert metric_sum(left) == pytest.approx(printed, rel=3e-4, abs=slack), step


@pytest.mark.parametrize("name", public_functions())
def test_both_systems_have_the_same_steps(name):
    """One step in one system, one in the other; where US has a sum, so has metric."""
    for text, result in results_of(name):
        us, metric = result.steps_in("US"), result.steps_in("metric")
        assert len(us) == len(metric), text
        for one, other in zip(us, metric, strict=True):
            assert sum_of(one) is None or sum_of(other), (one, other)
            assert bool(US_UNIT.search(one)) <= (one != other), one


def test_html_says_what_text_says():
    """The page of a result is in the same system."""
    result = aerialstream.smooth_bore_discharge("1 3/8 in", nozzle_pressure="80 psi")
    assert "1,901.2 L/min" in result.html("metric") and "gpm" not in result.html("metric")
    assert "502.2 gpm" in result.html() and "L/min" not in result.html()


# --- the same numbers, whichever way they are given ---------------------------------------------


def in_metric(value, need):
    """A US input as a metric department would write it, digit for digit."""
    if not isinstance(value, str):
        return value
    kind = "bore" if need.unit == "inch" else need.kind
    label = show(quantity(in_unit(value, need), need.unit), "metric", kind).rpartition(" ")[2]
    unit = unit_named(label)
    assert unit, label
    number = quantity(in_unit(value, need), need.unit).to(unit[1]).magnitude
    return f"{number!r} {label}"


def metric_inputs(name, text):
    """The inputs of a row in metric units; lists of tips and lines too."""
    given, needs = inputs_of(text), getattr(aerialstream, name).needs
    length = Need("length", "foot")
    return {
        key: [in_metric(one, Need("length", "inch")) for one in value]
        if key == "tips"
        else [(plain, in_metric(one, length)) for plain, one in value]
        if key == "lines"
        else in_metric(value, needs[key])
        if key in needs
        else value
        for key, value in given.items()
    }


def numbers_of(result, system):
    """All numbers that a result prints in its values, however they are labelled."""
    text = " ".join(value for _, value in result.lines(system))
    return [float(n.replace(",", "")) for n in re.findall(r"-?\d[\d,]*(?:\.\d+)?", text)]


def magnitudes(thing):
    """Every quantity and plain number in a result, field by field, in the order of its fields."""
    if hasattr(thing, "magnitude"):
        return [thing.magnitude]
    if isinstance(thing, bool | str) or thing is None:
        return []
    if isinstance(thing, int | float):
        return [thing]
    if isinstance(thing, tuple | list):
        return [n for part in thing for n in magnitudes(part)]
    fields = getattr(thing, "__dataclass_fields__", {})
    return [n for name in fields if name != "notes" for n in magnitudes(getattr(thing, name))]


@pytest.mark.parametrize("name", public_functions())
def test_metric_inputs_give_what_us_inputs_give(name):
    """For every row, and far closer than the 0.1 % asked for: what is typed in decides nothing."""
    for text, result in results_of(name):
        again = getattr(aerialstream, name)(**metric_inputs(name, text))
        expected = magnitudes(result)
        assert expected, text
        assert magnitudes(again) == pytest.approx(expected, rel=1e-6, abs=1e-6), text
        for system in ("US", "metric"):
            same = pytest.approx(numbers_of(result, system), rel=1e-3)
            assert numbers_of(again, system) == same, (text, system)


# --- the pen ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("us", "powers", "metric"),
    [
        # Units converted by hand: gallon 3.785412 L, psi 6.894757 kPa, inch 25.4 mm, lbf 4.448222 N.
        (29.7, {"flow": 1, "bore": -2, "pressure": -0.5}, 29.7 * 3.785412 / 25.4**2 / 2.625787),
        (1.57, {"force": 1, "bore": -2, "pressure": -1}, 1.57 * 4.448222 / 25.4**2 / 6.894757),
        (
            0.0505,
            {"force": 1, "flow": -1, "pressure": -0.5},
            0.0505 * 4.448222 / 3.785412 / 2.625787,
        ),
        (0.434, {"pressure": 1, "length": -1}, 0.434 * 6.894757 / 0.3048),
        (62.4, {"density": 1}, 62.4 * 0.45359237 / 0.3048**3),
    ],
)
def test_pen_converts_the_constants_of_formulas(us, powers, metric):
    """The US pen leaves the printed constant alone, the metric one has it to five figures."""
    assert US.constant(us, **powers) == f"{us:g}"
    assert float(METRIC.constant(us, **powers)) == pytest.approx(metric, rel=5e-5)


@given(st.floats(1e-3, 1e7), st.sampled_from(["flow", "pressure", "force", "length", "bore"]))
def test_metric_pen_writes_five_figures_at_least(value, kind):
    """However few the US step needs: the converted number is not round."""
    units = {"flow": ("gpm", "lpm"), "pressure": ("psi", "kPa"), "force": ("lbf", "N")}
    us, metric = units.get(kind, ("foot", "m") if kind == "length" else ("inch", "mm"))
    written = float(METRIC.number(value, kind, 2).replace(",", ""))
    assert written == pytest.approx(quantity(value, us).to(metric).magnitude, rel=5e-5)


@given(st.floats(-1e8, 1e8), st.sampled_from([US, METRIC]))
def test_pen_writes_plain_figures_for_what_crews_meet(value, pen):
    """No exponent from a millionth to a hundred million, and no minus nought."""
    written = pen.number(value, "force")
    assert isfinite(float(written.replace(",", ""))) and written != "-0"
    assert "e" not in written or abs(value) < 1e-6


@pytest.mark.parametrize("dust", [0.0, -0.0, 3.1e-14, -1.2e-12])
def test_pen_takes_dust_for_nothing(dust):
    """What cos 90° leaves of a force is no force."""
    assert US.number(dust, "force") == METRIC.number(dust, "force") == "0"


def test_text_without_a_metric_wording_reads_the_same_in_both():
    """A plain note or step is left as it is; a written one knows both."""
    assert in_system("plain", "metric") == in_system("plain", "US") == "plain"
    note = both(lambda pen: pen.of(100, "pressure"))
    assert (str(note), in_system(note, "metric")) == ("100 psi", "689.48 kPa")
    (step,) = worked(lambda pen: [pen.shown(100, "pressure")])
    assert (str(step), in_system(step, "metric")) == ("100 psi", "689 kPa")


def test_worked_refuses_other_steps_in_one_system():
    """A step told in one system only would put the next ones out of order."""
    with pytest.raises(ValueError):
        worked(lambda pen: ("one", "two") if pen.system == "US" else ("one",))


def test_loads_of_the_tip_name_their_way_whenever_a_number_is_printed():
    """0.4 lbf prints as 0, with no way; the same load prints as 2 N, and then says which way."""
    split = aerialstream.reaction_at_tip("0.8 lbf", rotation="-30 deg", extension="1 ft")
    us, metric = dict(split.lines("US")), dict(split.lines("metric"))
    assert us["Side load at the tip"] == "0 lbf"
    assert metric["Side load at the tip"] == "2 N, to the left"


def test_unit_labels_of_results_can_be_typed_in_again():
    """A member may type what the kit prints: every label is a spelling the kit reads."""
    printed = {US.unit(k) for k in ("flow", "pressure", "force", "length", "bore", "moment")}
    printed |= {METRIC.unit(k) for k in ("flow", "pressure", "force", "length", "bore", "moment")}
    assert all(unit_named(label) for label in printed) and UNIT_SPELLINGS
