"""The quantity edge: what goes in, what is refused and in what words, and what comes out."""

import math
import re

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_published import ROWS, functions_of, inputs_of

import aerialstream
from aerialstream import (
    fog_reaction,
    half_the_gallonage,
    quantity,
    reaction_at_tip,
    registry,
    show,
    smooth_bore_discharge,
    smooth_bore_reaction,
)
from aerialstream.errors import AerialStreamError, ImpossibleValue, UnitError, UnreadableText
from aerialstream.units import Need, kind_of, quantities

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

Q = registry().Quantity
FOREIGN = pint.UnitRegistry()
GOOD = {"tip_diameter": "1 3/4 in", "nozzle_pressure": "80 psi"}
TURNED = {"reaction": "505 lbf", "rotation": "30 deg", "extension": "75 ft"}


def refusal(function, family=UnitError, **inputs):
    """The message of a refusal that must come."""
    with pytest.raises(AerialStreamError) as refused:
        function(**inputs)
    assert type(refused.value) is family
    return str(refused.value)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (1.75, "has no unit"),
        (2, "has no unit"),
        (True, "has no unit"),
        (None, "has no unit"),
        (np.float64(1.75), "has no unit"),
        (np.array([1.75, 2.0]), "has no unit"),
        ([1.75], "has no unit"),
        (Q(1.75, ""), "has no unit"),
        (registry().inch, "has no unit"),
        (Q(80, "psi"), "not a unit of length"),
        (Q(1.75, "lb"), "not a unit of length"),
        (Q(1.75, "inch**2"), "not a unit of length"),
        (Q(1.75, "degree"), "not a unit of length"),
        (FOREIGN.Quantity(80, "psi"), "not a unit of length"),
        (Q(np.array([1.75, 2.0]), "inch"), "is not one single number"),
        (Q(np.array([1.75]), "inch"), "is not one single number"),
        (Q(1.75 + 1j, "inch"), "is not one single number"),
        ("1.75", "without a unit"),
        ("80 psi", "is a unit of pressure"),
        ("1,75 in", "Write decimals with a point"),
        ("", "Nothing written yet"),
    ],
    ids=repr,
)
def test_input_without_right_unit_is_refused_with_a_line_to_copy(given, said):
    """Bare, wrong kind, several numbers or unreadable: named, with a line to copy."""
    text = refusal(smooth_bore_reaction, **GOOD | {"tip_diameter": given})
    assert "smooth_bore_reaction" in text
    assert "tip_diameter = " in text and said in text
    like = (
        "1.75 in" if repr(given) == "'1.75'" else "1 3/4 in"
    )  # the same figure, where one was read
    assert f'tip_diameter="{like}"' in text


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("0 psi", "must be more than 0 psi"),
        ("-80 psi", "must be more than 0 psi"),
        (Q(math.nan, "psi"), "is not a number"),
        (Q(math.inf, "psi"), "is infinite"),
        (Q(-math.inf, "bar"), "is infinite"),
        (Q(0, "kPa"), "must be more than 0 psi"),
        (Q(1e30, "psi"), "too large to be real"),
        (Q(1e-30, "psi"), "too small to be real"),
        ("9" * 150 + " psi", "too large to be real"),
        (FOREIGN.Quantity(-1, "bar"), "must be more than 0 psi"),
    ],
    ids=repr,
)
def test_input_that_cannot_be_is_refused_with_a_line_to_copy(given, said):
    """Zero, negative, infinite, not a number, out of this world: ImpossibleValue."""
    text = refusal(smooth_bore_reaction, ImpossibleValue, **GOOD | {"nozzle_pressure": given})
    assert "nozzle_pressure = " in text and said in text
    assert 'nozzle_pressure="80 psi"' in text


@pytest.mark.parametrize(
    "rotation",
    ["50 %", "0.5", 0.5, 30, Q(0.5, ""), Q(50, "percent"), FOREIGN.Quantity(0.5, ""), Q(1, "m/ft")],
    ids=repr,
)
def test_angle_without_unit_or_in_percent_is_refused(rotation):
    """An angle has no dimension, so its unit must be said: a share or a bare number is none."""
    text = refusal(reaction_at_tip, **TURNED | {"rotation": rotation})
    assert 'rotation="30 deg"' in text


@pytest.mark.parametrize("rotation", ["180.1 deg", "-181 deg", "4 rad"])
def test_angle_beyond_half_a_turn_is_refused(rotation):
    """More than 180 degrees either way is a slip."""
    text = refusal(reaction_at_tip, ImpossibleValue, **TURNED | {"rotation": rotation})
    assert "180 degree" in text


def test_all_faults_are_named_in_one_message():
    """Five faults of four kinds, one message, a line to copy for each."""
    text = refusal(
        reaction_at_tip,
        reaction=505,
        rotation="30 %",
        extension="-75 ft",
        pitch="up",
        offset_up=Q(1, "psi"),
    )
    lines = text.splitlines()[1:]
    named = [line.split(" = ")[0].strip() for line in lines]
    assert sorted(named) == ["extension", "offset_up", "pitch", "reaction", "rotation"]
    for name, line in zip(named, lines, strict=True):
        assert re.search(rf'{name}="[^"]+ \w+"', line), line


def test_line_to_copy_is_accepted_as_it_stands():
    """What a refusal tells to copy is itself read without a refusal."""
    text = refusal(reaction_at_tip, reaction=1, rotation=1, extension=1, pitch=1, offset_up=1)
    copied = dict(re.findall(r'(\w+)="([^"]+)"', text))
    assert len(copied) == 5
    assert reaction_at_tip(**copied).reaction.magnitude == 505


def test_input_of_a_foreign_registry_works():
    """A quantity of another pint registry, in its units, gives the same as our text."""
    ours = smooth_bore_reaction(**GOOD).value.magnitude
    inches, psi = FOREIGN.Quantity(1.75, "inch"), FOREIGN.Quantity(80, "psi")
    assert smooth_bore_reaction(inches, nozzle_pressure=psi).value.magnitude == pytest.approx(ours)
    metric = smooth_bore_reaction(inches.to("mm"), nozzle_pressure=psi.to("bar"))
    assert metric.value.magnitude == pytest.approx(ours, rel=1e-12)
    turned = reaction_at_tip(**TURNED | {"rotation": FOREIGN.Quantity(math.pi / 6, "radian")})
    assert turned.side.magnitude == pytest.approx(-252.5)


def test_input_of_a_foreign_registry_keeps_that_registrys_meaning():
    """A unit that another registry made up, or named as we name another, is taken at its word."""
    other = pint.UnitRegistry()
    other.define("tankful = 500 gallon")
    other.define("gpm = gram / mole")
    flow = other.Quantity(2, "tankful/minute")
    assert half_the_gallonage(flow).value.magnitude == pytest.approx(500)
    text = refusal(half_the_gallonage, flow=other.Quantity(1000, "gpm"))
    assert "not a unit of flow" in text
    other.define("blip = [blip]")
    text = refusal(half_the_gallonage, flow=other.Quantity(1, "blip"))
    assert "blip" in text and 'flow="1,000 gpm"' in text


def test_registry_is_the_kits_own():
    """What another library does to pint's shared registry does not reach ours."""
    assert registry() is registry()
    assert registry() is not pint.get_application_registry()
    pint.get_application_registry().define("gpm = meter")
    assert quantity(1, "gpm").to("gallon/minute").magnitude == pytest.approx(1)


def test_registry_is_built_in_silence(caplog, capfd):
    """Building it logs and prints nothing: nbgrader marks a cell that writes to stderr as zero."""
    built = registry.__wrapped__()
    assert f"{built.Quantity(5, 'GPM'):~P} {built.Quantity(5, 'LPM'):~P}" == "5 gpm 5 lpm"
    assert caplog.records == [] and capfd.readouterr() == ("", "")


@pytest.mark.parametrize(("unit", "size"), [("gpm", 231 / 60), ("cfm", 12**3 / 60)])
def test_trade_unit_is_defined_by_us(unit, size):
    """gpm is unknown to pint and cfm a length to it; by ours both are flows."""
    assert quantity(1, unit).to("inch**3/second").magnitude == pytest.approx(size)


@pytest.mark.parametrize("unit", ["furlongish", "psi)", "12", "lb of force"])
def test_unknown_unit_is_refused(unit):
    """A unit pint does not know is refused in the kit's family, and named."""
    with pytest.raises(UnitError, match=re.escape(unit)):
        quantity(5, unit)


@pytest.mark.parametrize("number", ["x", None, [1], "1 3/4"])
def test_number_that_is_none_is_refused_as_such(number):
    """The fault is told to lie in the number, not in its unit."""
    with pytest.raises(UnreadableText, match="is not a number"):
        quantity(number, "psi")


@pytest.mark.parametrize("coefficient", ["0.9", True, [0.9], math.nan, 0.49, 1.01])
def test_coefficient_out_of_order_is_refused(coefficient):
    """A discharge coefficient is a plain number from 0.5 to 1."""
    with pytest.raises(AerialStreamError, match="coefficient = "):
        smooth_bore_discharge(**GOOD, coefficient=coefficient)


def test_edge_leaves_its_plain_function_reachable():
    """`.plain` works in the printed units and agrees with the edge."""
    plain = smooth_bore_reaction.plain(1.75, 80)
    assert smooth_bore_reaction(**GOOD).value.magnitude == plain


def test_edge_passes_a_default_of_none():
    """An input whose default is None may be left out or be None."""

    @quantities(flow=Need("flow", "gpm", above=0, at_most=2000))
    def doubled(flow=None):
        return None if flow is None else 2 * flow

    assert doubled() is None and doubled(None) is None
    assert doubled("60 l/s") == pytest.approx(120 * 60 / 3.785411784)
    assert "at most 2000 gpm" in refusal(doubled, ImpossibleValue, flow="2,001 gpm")


@pytest.mark.parametrize(
    ("text", "kind"),
    [("505 lbf", "force"), ("80 psi", "pressure"), ("1 m3/h", "flow"), ("9 lbf ft", "moment"),
     ("3 ft/s", "velocity"), ("75 ft", "length"), ("3 rad", "angle"), ("7 %", "share")],
)  # fmt: skip
def test_kind_of_quantity_is_told(text, kind):
    """Angles and shares are told by their unit, the others by dimension."""
    assert kind_of(quantity(text)) == kind


@pytest.mark.parametrize("value", [Q(1, ""), Q(1, "lb"), Q(1, "degree*percent"), Q(1, "kelvin")])
def test_kind_of_quantity_that_the_kit_has_not_is_none(value):
    """A mass, a time or a bare number is of no kind, and is still printed."""
    assert kind_of(value) is None
    assert show(value)


@pytest.mark.parametrize(
    ("value", "system", "kind", "shown"),
    [
        (Q(252.5, "lbf"), "US", None, "253 lbf"),
        (Q(252.49999999999997, "lbf"), "US", None, "253 lbf"),
        (Q(252.49, "lbf"), "US", None, "252 lbf"),
        (Q(-0.2, "lbf"), "US", None, "0 lbf"),
        (Q(-0.04, "foot"), "US", None, "0 ft"),
        (Q(1062.6, "gpm"), "US", None, "1,063 gpm"),
        (Q(1000, "gpm"), "metric", None, "3,785 L/min"),
        (Q(100, "foot"), "metric", None, "30.48 m"),
        (Q(100, "foot"), "US", None, "100 ft"),
        (Q(37.5, "foot"), "US", None, "37.5 ft"),
        (Q(1.75, "inch"), "US", "bore", "1 3/4 in"),
        (Q(2, "inch"), "US", "bore", "2 in"),
        (Q(0.9375, "inch"), "US", "bore", "15/16 in"),
        (Q(-1.75, "inch"), "US", "bore", "-1 3/4 in"),
        (Q(44, "mm"), "US", "bore", "1.732 in"),
        (Q(1.75, "inch"), "metric", "bore", "44.5 mm"),
        (Q(math.radians(30), "radian"), "US", None, "30 deg"),
        (Q(1e30, "psi"), "US", None, "1," + ",".join(["000"] * 10) + " psi"),
        (Q(math.inf, "psi"), "US", None, "inf psi"),
        (Q(math.nan, "psi"), "US", None, "nan psi"),
    ],
)
def test_quantity_is_printed_for_crews(value, system, kind, shown):
    """Whole pounds and gallons, thousands parted, tips as stamped, no minus zero, no crash."""
    assert show(value, system, kind) == shown


FINITE_OR_NOT = st.floats(allow_nan=True, allow_infinity=True)
UNITS = st.sampled_from(["gpm", "psi", "lbf", "degree", "percent", "foot", "inch", "", "kPa"])
THINGS = st.one_of(
    st.builds(Q, FINITE_OR_NOT, UNITS),
    st.builds(FOREIGN.Quantity, FINITE_OR_NOT, st.sampled_from(["psi", "gallon/minute", "degree"])),
    st.builds("{} {}".format, FINITE_OR_NOT, UNITS),
    st.text(max_size=20),
    FINITE_OR_NOT,
    st.none(),
)


# Function -> the inputs of its first row, for those that are no quantities.
ROW_INPUTS = {}
for row in ROWS:
    ROW_INPUTS.setdefault(functions_of(row)[0], inputs_of(row["inputs"].split("|")[0]))
FUNCTIONS = [
    function
    for name in aerialstream.__all__
    if hasattr(function := getattr(aerialstream, name), "needs") and name in ROW_INPUTS
]


@given(st.data(), st.sampled_from(FUNCTIONS))
def test_any_input_gives_a_printable_result_or_a_refusal(data, function):
    """Whatever goes in: a result that prints finite numbers, or an error of the family."""
    likely = {"length": "2 in", "pressure": "80 psi", "flow": "500 gpm", "force": "505 lbf"}
    inputs = ROW_INPUTS[function.__name__] | {
        key: data.draw(THINGS | st.just(likely.get(need.kind, "30 deg")))
        for key, need in function.needs.items()
    }
    try:
        result = function(**inputs)
    except AerialStreamError:
        return
    for system in ("US", "metric"):
        text = result.text(system)
        assert not re.search(r"\b(inf|nan)\b", text)
        assert result.html(system)


@given(st.floats(1e-9, 1e9), st.floats(1e-9, 1e9))
def test_extremes_that_are_let_in_do_not_overflow(flow, pressure):
    """The bounds of the edge leave no number with which the formulas break down."""
    result = fog_reaction(Q(flow, "gpm"), nozzle_pressure=Q(pressure, "psi"))
    assert math.isfinite(result.value.magnitude) and result.value.magnitude > 0
    assert result.text("metric")
