"""Reading "number unit" as crews write it: what is read, what is refused and how, and fuzz."""

import math
import re

import pint
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from aerialstream import quantity, registry, show
from aerialstream.errors import AerialStreamError, UnreadableText
from aerialstream.quantity_text import (
    EXAMPLES,
    UNIT_SPELLINGS,
    read_quantity_text,
    spellings_of,
    unit_named,
)
from aerialstream.units import SYSTEMS, kind_of

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

READ = [
    ("1 3/4 in", 1.75, "inch", "length"),
    ("1-3/4 in", 1.75, "inch", "length"),
    ('1 3/4"', 1.75, "inch", "length"),
    ("1¾ in", 1.75, "inch", "length"),
    ("1 ¾ inches", 1.75, "inch", "length"),
    ("1-½ in", 1.5, "inch", "length"),
    ("½ in", 0.5, "inch", "length"),
    ("1⁄2 in", 0.5, "inch", "length"),
    ("7/8 in", 0.875, "inch", "length"),
    ("1.75 in", 1.75, "inch", "length"),
    (".5 in.", 0.5, "inch", "length"),
    ("5. in", 5, "inch", "length"),
    ("1.5''", 1.5, "inch", "length"),
    ("2”", 2, "inch", "length"),
    ("2⅔ ft", 8 / 3, "foot", "length"),
    ("75 ft", 75, "foot", "length"),
    ("75ft", 75, "foot", "length"),
    ("75 Feet", 75, "foot", "length"),
    ("75'", 75, "foot", "length"),
    ("75’", 75, "foot", "length"),
    ("5 ft 6 in", 66, "inch", "length"),
    ("5 ft. 6 in.", 66, "inch", "length"),
    ("5' 6\"", 66, "inch", "length"),
    ("5’ 11 7/8”", 71.875, "inch", "length"),
    ("7 feet, 6 inches", 90, "inch", "length"),
    ("1½ ft", 1.5, "foot", "length"),
    ("30.48 m", 30.48, "meter", "length"),
    ("44.45 mm", 44.45, "millimeter", "length"),
    ("12 metres", 12, "meter", "length"),
    ("1,000 gpm", 1000, "gpm", "flow"),
    ("1 000 gpm", 1000, "gpm", "flow"),
    ("1\u202f000 gpm", 1000, "gpm", "flow"),
    ("1000GPM", 1000, "gpm", "flow"),
    ("1,234,567.5 gpm", 1234567.5, "gpm", "flow"),
    ("1000 gal/min", 1000, "gpm", "flow"),
    ("1000 gallons per minute", 1000, "gpm", "flow"),
    ("1000 gal / min", 1000, "gpm", "flow"),
    ("1000 US gpm", 1000, "gpm", "flow"),
    ("800 imperial gpm", 800, "imperial_gallon/minute", "flow"),
    ("3785 L/min", 3785, "lpm", "flow"),
    ("3785 lpm", 3785, "lpm", "flow"),
    ("60 l/s", 60, "liter/second", "flow"),
    ("227 m³/h", 227, "meter**3/hour", "flow"),
    ("80 psi", 80, "psi", "pressure"),
    ("80 PSI.", 80, "psi", "pressure"),
    ("80 p.s.i.", 80, "psi", "pressure"),
    ("80 psig", 80, "psi", "pressure"),
    ("80 pounds per square inch", 80, "psi", "pressure"),
    ("5.5 bar", 5.5, "bar", "pressure"),
    ("552 kPa", 552, "kilopascal", "pressure"),
    ("505 lbf", 505, "lbf", "force"),
    ("505 lb", 505, "lbf", "force"),
    ("505 lbs", 505, "lbf", "force"),
    ("505#", 505, "lbf", "force"),
    ("505 pounds of force", 505, "lbf", "force"),
    ("505 pounds-force", 505, "lbf", "force"),
    ("2236 N", 2236, "newton", "force"),
    ("2.236 kN", 2.236, "kilonewton", "force"),
    ("37.5 tons", 37.5, "force_ton", "force"),
    ("1 ton", 1, "force_ton", "force"),
    ("4.2 Short Tons", 4.2, "force_ton", "force"),
    ("18,938 lbf ft", 18938, "lbf*foot", "moment"),
    ("18,938 lbf·ft", 18938, "lbf*foot", "moment"),
    ("18938 ft-lb", 18938, "lbf*foot", "moment"),
    ("18938 foot pounds", 18938, "lbf*foot", "moment"),
    ("25.7 kN·m", 25.7, "kilonewton*meter", "moment"),
    ("30 deg", 30, "degree", "angle"),
    ("30°", 30, "degree", "angle"),
    ("-5 degrees", -5, "degree", "angle"),
    ("−5°", -5, "degree", "angle"),
    ("+ 5 deg", 5, "degree", "angle"),
    ("0.5 rad", 0.5, "radian", "angle"),
    ("109 ft/s", 109, "foot/second", "velocity"),
    ("35 mph", 35, "mile/hour", "velocity"),
    ("10 min", 10, "minute", "time"),
    ("90 s", 90, "second", "time"),
    ("7 min 18 s", 7.3, "minute", "time"),
    ("7min18s", 7.3, "minute", "time"),
    ("7 min, 18 sec.", 7.3, "minute", "time"),
    ("1 h 5 min", 65, "minute", "time"),
    ("1 hour and 5 minutes", 65, "minute", "time"),
    ("about 1 h 5 min 30 s", 65.5, "minute", "time"),
    ("2 hrs 0.5 s", 120 + 0.5 / 60, "minute", "time"),
    ("70 %", 70, "percent", "share"),
    ("70percent", 70, "percent", "share"),
    ("about 505 lbf", 505, "lbf", "force"),
    ("~505 lbf", 505, "lbf", "force"),
    ("R = 505 lbf", 505, "lbf", "force"),
    ("  505   lbf  ", 505, "lbf", "force"),
]

REFUSED = [
    ("", "blank"),
    ("   ", "blank"),
    ("\u00a0\t\n", "blank"),
    ("R =", "blank"),
    ("psi", "unreadable"),
    ("eighty psi", "unreadable"),
    ("nan psi", "unreadable"),
    ("inf psi", "unreadable"),
    ("-inf psi", "unreadable"),
    ("1e3 gpm", "unreadable"),
    ("1e400 psi", "unreadable"),
    ("80 + 5 psi", "unreadable"),
    ("80*2 psi", "unreadable"),
    ("2^3 psi", "unreadable"),
    ("2**3 psi", "unreadable"),
    ("80-90 psi", "unreadable"),
    ("80 to 90 psi", "unreadable"),
    ("80 x 2 psi", "unreadable"),
    ("80 × 2", "unreadable"),
    ("<80 psi", "unreadable"),
    ("1/0 in", "unreadable"),
    ("1 3/0 in", "unreadable"),
    ("1.2.3 psi", "unreadable"),
    ("1 - 3/4 in", "unreadable"),
    ("1 3/4 3/4 in", "unreadable"),
    ("1 2 gpm", "unreadable"),
    ("1 0000 gpm", "unreadable"),
    ("--5 deg", "unreadable"),
    ("5' 13\"", "unreadable"),
    ("__import__('os')", "unreadable"),
    ("²3 psi", "unreadable"),
    ("7 min 75 s", "unreadable"),
    ("1 h 65 min", "unreadable"),
    ("1 h 5", "unreadable"),
    ("18 s 7 min", "unreadable"),
    ("7 min 7 min", "unreadable"),
    ("1 h" + " " * 150 + "x", "unknown unit"),
    ("80 psi" + " " * 250 + "or 90 psi", "unreadable"),
    ("0." + "0" * 250 + "1 psi", "unreadable"),
    ("0,75 in", "decimal comma"),
    ("1,75 in", "decimal comma"),
    ("5,5 bar", "decimal comma"),
    ("1,00 gpm", "decimal comma"),
    ("1.000,5 gpm", "decimal comma"),
    ("0,750 in", "decimal comma"),
    ("00,750 in", "decimal comma"),
    ("80", "no unit"),
    ("80.", "no unit"),
    ("1 3/4", "no unit"),
    ("-1,000", "no unit"),
    ("80 foo", "unknown unit"),
    ("80 psi psi", "unknown unit"),
    ("80 psi (gauge)", "unknown unit"),
    ("80 cfm", "unknown unit"),
    ("80 kg", "unknown unit"),
    ("80 psi!", "unknown unit"),
    ("80 psia", "unknown unit"),
    ("80 furlongs", "unknown unit"),
]


@pytest.mark.parametrize(("text", "number", "unit", "kind"), READ)
def test_text_as_crews_write_it_is_read(text, number, unit, kind):
    """Number, unit and kind come out, and asking for that kind changes nothing."""
    read = read_quantity_text(text)
    assert (read.unit, read.kind) == (unit, kind)
    assert read.number == pytest.approx(number, rel=1e-12)
    assert read_quantity_text(text, kind) == read


@pytest.mark.parametrize(("text", "code"), REFUSED)
def test_text_that_is_not_one_quantity_is_refused_with_its_code(text, code):
    """The refusal says which way it failed and is one short sentence or two."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text(text)
    assert refused.value.code == code
    assert 20 < len(str(refused.value)) < 260


@pytest.mark.parametrize(
    ("text", "kind"),
    [("80 psi", "force"), ("505 lb", "pressure"), ("30 %", "angle"), ("75 ft lb", "force")],
)
def test_text_of_another_kind_is_refused_by_kind(text, kind):
    """A readable quantity of the wrong kind is told so, with what was asked and an example."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text(text, kind)
    assert refused.value.code == "wrong kind"
    assert kind in str(refused.value) and EXAMPLES[kind] in str(refused.value)


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("text", "pounds"),
    [
        ("37.5 tons", 75_000),
        ("75,000 lb", 75_000),
        ("75,000 lbf", 75_000),
        ("75 kips", 75_000),
        ("1,000 kg", 1000 / 0.45359237),
        ("1,000 kilos", 1000 / 0.45359237),
        ("1,000 kgf", 1000 / 0.45359237),
        ("1 tonne", 1000 / 0.45359237),
        ("9,806.65 N", 1000 / 0.45359237),
    ],
)
def test_weight_is_read_as_a_scale_or_an_officer_says_it(text, pounds):
    """A short ton is 2,000 lb; a kilogram's weight by the pound's legal 0.45359237 kg."""
    read = read_quantity_text(text, "weight")
    assert read.kind == "weight"
    assert quantity(read.number, read.unit).to("lbf").magnitude == pytest.approx(pounds, rel=1e-9)


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("text", "mass"), [("1 ton", "short_ton"), ("1 kg", "kilogram"), ("1 tonne", "metric_ton")]
)
def test_weight_is_the_mass_under_standard_gravity(text, mass):
    """pint's own masses, in a registry of its own, times its standard gravity."""
    fresh = pint.UnitRegistry()
    newtons = (fresh.Quantity(1.0, mass) * fresh.Quantity(1.0, "g_0")).to("newton").magnitude
    read = read_quantity_text(text, "weight")
    ours = quantity(read.number, read.unit).to("newton").magnitude
    assert ours == pytest.approx(newtons, rel=1e-12)


@pytest.mark.parametrize("kind", [None, "force", "pressure"])
def test_mass_is_no_force_where_no_weight_is_asked(kind):
    """What a nozzle pushes with is not told in kilograms."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text("80 kg", kind)
    assert refused.value.code == "unknown unit"


def test_weight_refuses_another_kind_and_shows_pounds():
    """A pressure is no weight; the advice is in lb, as a crew says it."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text("80 psi", "weight")
    assert refused.value.code == "wrong kind" and str(refused.value).endswith(" lb")


def test_spellings_of_a_weight_mean_one_unit_each():
    """As of every other kind: no spelling under two units."""
    for unit, text in spellings_of("weight").items():
        words, *phrases = text.split("|")
        for spelling in [*words.split(), *phrases]:
            assert unit_named(spelling, "weight") == ("weight", unit), spelling


def test_text_without_unit_keeps_the_number():
    """The number without its unit is kept, so that it can earn part of the credit."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text("1 3/4", "length")
    assert refused.value.number == 1.75


@pytest.mark.parametrize("thing", [None, 80, 80.0, True, ["80 psi"], b"80 psi"])
def test_thing_that_is_no_text_is_refused(thing):
    """Only a text is read."""
    with pytest.raises(UnreadableText) as refused:
        read_quantity_text(thing)
    assert refused.value.code == "unreadable"


def spellings():
    """Every spelling in the closed table: (spelling, unit, kind)."""
    found = []
    for kind, units in UNIT_SPELLINGS.items():
        for unit, text in units.items():
            words, *phrases = text.split("|")
            found += [(spelling, unit, kind) for spelling in [*words.split(), *phrases]]
    return found


def test_spellings_mean_one_unit_each():
    """No spelling stands for two units, each finds its own, in capitals too."""
    for spelling, unit, kind in spellings():
        assert unit_named(spelling) == (kind, unit), spelling
        assert unit_named(f" {spelling.upper()} ") == (kind, unit), spelling


def test_spelled_units_are_of_the_kind_they_stand_under():
    """The registry agrees about the kind of every unit in the table."""
    units = {(unit, kind) for _, unit, kind in spellings()}
    assert len(units) > 25
    assert [u for u, kind in units if kind_of(registry().Quantity(1.0, u)) != kind] == []


@pytest.mark.agreement
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1 gpm", "m**3/s", 231 * 0.0254**3 / 60),
        ("1 imperial gpm", "m**3/s", 4.54609e-3 / 60),
        ("1 psi", "Pa", 0.45359237 * 9.80665 / 0.0254**2),
        ("1 lbf", "N", 0.45359237 * 9.80665),
        ("1 ton", "N", 2000 * 0.45359237 * 9.80665),
        ("1 kip", "N", 453.59237 * 9.80665),
        ("1 kgf", "N", 9.80665),
        ("1 lbf ft", "N*m", 0.45359237 * 9.80665 * 0.3048),
        ("1 in-lb", "N*m", 0.45359237 * 9.80665 * 0.0254),
        ("1 mph", "m/s", 1609.344 / 3600),
        ("1 bar", "Pa", 1e5),
        ("1 m3/h", "m**3/s", 1 / 3600),
        ("180 deg", "radian", math.pi),
    ],
)
def test_read_unit_has_its_defined_size(text, unit, value):
    """One of each unit in SI, from the legal definitions of inch, pound and gallon."""
    assert quantity(text).to(unit).magnitude == pytest.approx(value, rel=1e-12)


PIECES = st.sampled_from(
    [*"0123456789.,+-*/^=~#%'\"()½¾⅞² \t\u00a0", "in", "ft", "psi", "gpm", "lbf ft", "°", "e", "nan",
     "about", "1,000", "1 3/4", "5' 6\"", "٣", "x", "per", "pounds"]
)  # fmt: skip
TEXTS = st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=12).map("".join))


@given(TEXTS, st.sampled_from([None, "weight", *UNIT_SPELLINGS]))
@example("9" * 4500 + " in", None)
@example("1/" + "9" * 190 + " in", None)
@example("9" * 199, None)
def test_any_text_reads_to_a_finite_number_or_is_refused(text, kind):
    """Never another exception; what is read is finite, of the kind asked, and a known unit."""
    try:
        read = read_quantity_text(text, kind)
    except UnreadableText as error:
        assert error.code in {
            "blank", "unreadable", "decimal comma", "no unit", "unknown unit", "wrong kind",
        }  # fmt: skip
        return
    assert math.isfinite(read.number)
    assert read.unit in spellings_of(read.kind)
    assert kind in (None, read.kind)


@given(TEXTS)
def test_any_text_makes_a_quantity_or_is_refused_in_the_family(text):
    """`quantity` and `show` raise nothing but the kit's own errors."""
    try:
        value = quantity(text)
    except AerialStreamError:
        return
    assert all(show(value, system) for system in SYSTEMS)


PRINTED = {  # kind: (unit, printed step US, printed step metric, unit metric)
    "flow": ("gpm", 1, 1, "liter/minute"),
    "pressure": ("psi", 1, 1, "kilopascal"),
    "force": ("lbf", 1, 1, "newton"),
    "moment": ("lbf*foot", 1, 1, "newton*meter"),
    "length": ("foot", 0.1, 0.01, "meter"),
    "bore": ("inch", 0.001, 0.1, "millimeter"),
    "velocity": ("foot/second", 0.1, 0.1, "meter/second"),
    "angle": ("degree", 0.1, 0.1, "degree"),
    "share": ("percent", 1, 1, "percent"),
}


@given(
    st.sampled_from(sorted(PRINTED)),
    st.floats(-1e6, 1e6, allow_nan=False),
    st.sampled_from(SYSTEMS),
)
def test_printed_quantity_reads_back_within_the_printed_step(kind, number, system):
    """What the kit prints it can read, and no more is lost than half the printed step."""
    unit, step_us, step_metric, unit_metric = PRINTED[kind]
    value = registry().Quantity(number, unit)
    read = quantity(show(value, system, kind))
    shown_in, step = (unit, step_us) if system == "US" else (unit_metric, step_metric)
    lost = abs((read - value).to(shown_in).magnitude)
    assert lost <= step / 2 + 1e-6


@given(st.integers(-200, 200))
def test_bore_in_sixteenths_reads_back_exactly(sixteenths):
    """A tip's size in sixteenths is printed as a fraction and read back to the same number."""
    text = show(registry().Quantity(sixteenths / 16, "inch"), kind="bore")
    assert quantity(text).magnitude == sixteenths / 16
    assert "." not in text


@given(st.integers(0, 10**7))
def test_whole_number_reads_the_same_with_and_without_separators(number):
    """1000, 1,000 and 1 000 are one number."""
    grouped = f"{number:,}"
    texts = [f"{number} gpm", f"{grouped} gpm", f"{grouped.replace(',', ' ')} gpm"]
    assert {read_quantity_text(t).number for t in texts} == {number}


def test_tables_are_as_large_as_they_should_be():
    """Enough spellings and refusals stand in the tables, none twice."""
    assert len({row[0] for row in READ}) == len(READ) >= 60
    assert len({row[0] for row in REFUSED}) == len(REFUSED) >= 40
    assert all(re.search(r"\d|½", row[0]) for row in READ)
