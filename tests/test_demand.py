"""Needed-flow estimates: each says what it rests on and where it ends; both readings are shown."""

import math
import re
import shutil

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_hose import agree_and_read_well

from aerialstream import demand as module
from aerialstream import (
    fire_academy_flow,
    fire_code_flow,
    iowa_flow,
    iso_dwelling_flow,
    iso_flow,
    quantity,
    rural_supply,
)
from aerialstream._core import demand as core
from aerialstream.department import CONFIRMED_KEYS, DEMO_FOLDER, load_department
from aerialstream.errors import DepartmentDataError, ImpossibleValue, UnitError

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

feet = st.floats(5, 500)
FOOT = 0.3048


def examples():
    """One result of each method."""
    return {
        "academy": fire_academy_flow("60 ft", width="40 ft", involved="50 %", exposures=2),
        "iowa": iowa_flow("50 ft", width="75 ft", height="12 ft"),
        "iso": iso_flow("10,000 sq ft", construction_coefficient=1.5, exposure_factor=0.2),
        "dwellings": iso_dwelling_flow("25 ft"),
        "code": fire_code_flow("22,000 sq ft", construction="VB"),
        "rural": rural_supply("24,000 cu ft", hazard_number=7, construction_number=1.5),
    }


@pytest.mark.parametrize("name", examples())
def test_each_method_has_a_basis_and_says_a_fully_involved_building_is_outside(name):
    """Whoever reads the result is told what decides a defensive fire instead."""
    result = examples()[name]
    text = result.text()
    assert result.basis and result.basis in text
    assert "fully involved building is outside this basis" in text
    for word in ("reaches", "exposures", "how many devices"):
        assert word in text


@pytest.mark.parametrize("name", examples())
def test_texts_permit_nothing_and_print_in_both_systems(name):
    """No word that allows; US and metric both print, in HTML too."""
    result = examples()[name]
    for text in (result.text(), result.text("metric"), result.html("metric"), repr(result)):
        assert not re.search(r"\bsafe\b|within limits", text, re.IGNORECASE)
    assert "gpm" in result.lines()[0][1] or "gal" in result.lines()[0][1]
    assert " L" in result.lines("metric")[0][1]


def test_both_readings_of_the_quarter_are_shown():
    """60 × 40 ft, half involved, two exposures: 600 and 800 gpm, and no mean of them."""
    result = examples()["academy"]
    assert (result.value.magnitude, result.on_full.magnitude) == pytest.approx((600, 800))
    assert "600 gpm" in result.text() and "800 gpm" in result.text()
    assert "700 gpm" not in result.text()


@pytest.mark.parametrize(
    ("involved", "exposures", "codes"),
    [("25 %", 0, 0), ("60 %", 0, 1), ("100 %", 0, 1)],
)
def test_academy_notes_where_its_basis_ends(involved, exposures, codes):
    """Above half involved a note; at 25 % of a small building none."""
    result = fire_academy_flow("30 ft", width="50 ft", involved=involved, exposures=exposures)
    assert [n.code for n in result.notes].count("outside range") == codes


def test_academy_notes_more_than_1000_gpm():
    """125 × 175 ft fully involved: 7,292 gpm, outside on both counts."""
    result = fire_academy_flow("125 ft", width="175 ft", involved="100 %")
    assert [n.code for n in result.notes].count("outside range") == 2


def test_iso_shows_the_order_of_rounding_both_ways():
    """3,240 gpm: 3,000 rounded at the end, 3,500 with C rounded first; the doubt is printed."""
    result = examples()["iso"]
    assert result.value.magnitude == pytest.approx(3240)
    assert (result.rounded_at_end.magnitude, result.rounded_c_first.magnitude) == (3000, 3500)
    assert "clause ____" in result.text()


@pytest.mark.parametrize(
    ("flow", "rounded"),
    [(100, 500), (620, 500), (630, 750), (2370, 2250), (2380, 2500), (2700, 2500), (2760, 3000),
     (3240, 3000), (20_000, 12_000)],
)  # fmt: skip
def test_iso_rounding(flow, rounded):
    """To 250 up to 2,500 gpm, to 500 beyond, 500 to 12,000."""
    assert core.rounded_iso_gpm(flow) == rounded


def test_dwelling_schedule_names_the_other_edition():
    """The newer schedule is only said to exist, with a place to confirm it."""
    text = examples()["dwellings"].text()
    assert "newer schedule is said" in text and "edition ____" in text


def test_fire_code_keeps_to_rows_that_were_found():
    """Rows with edges from memory say so; what was not found is refused, not guessed."""
    assert "told from memory" in examples()["code"].text()
    assert "memory" not in fire_code_flow("3,000 sq ft", construction="dwelling").text()
    with pytest.raises(ImpossibleValue, match="Look it up in the adopted edition"):
        fire_code_flow("50,000 sq ft", construction="VB")
    with pytest.raises(ImpossibleValue, match="must be one of"):
        fire_code_flow("50,000 sq ft", construction="IIIA")
    assert module.TO_BE_CONFIRMED


def test_fire_code_memo_stores_as_much_as_its_flow_needs():
    """4,000 gpm for 4 h is 960,000 gal."""
    assert "960,000 gal" in examples()["code"].text()


def test_rural_supply_notes_the_dwelling_conflict():
    """Above 1.0 the two readings are named; at 1.0 there is nothing to name."""
    assert "told from memory" in examples()["rural"].text()
    brick = rural_supply("24,000 cu ft", hazard_number=7, construction_number=1.0)
    assert "memory" not in brick.text()


@pytest.mark.physics
@given(feet, feet, st.floats(6, 40), st.floats(1, 100), st.integers(0, 4))
def test_metric_inputs_agree(length, width, height, involved, exposures):
    """Metres give what feet give."""
    metre = [quantity(side * FOOT, "meter") for side in (length, width, height)]
    foot = [quantity(side, "foot") for side in (length, width, height)]
    for one, two, three in (foot, metre):
        academy = fire_academy_flow(one, width=two, involved=f"{involved!r} %", exposures=exposures)
        full = length * width / 3
        assert academy.value.magnitude == pytest.approx(
            full * involved / 100 * (1 + exposures / 4), rel=1e-9
        )
        assert academy.on_full.magnitude == pytest.approx(
            full * (involved / 100 + exposures / 4), rel=1e-9
        )
        iowa = iowa_flow(one, width=two, height=three).value.magnitude
        assert iowa == pytest.approx(length * width * height / 100, rel=1e-9)


@pytest.mark.physics
@given(st.floats(100, 1e5), st.floats(0.6, 1.5))
def test_iso_and_rural_in_metric_units_agree(area, coefficient):
    """Square and cubic metres give what feet give."""
    one = iso_flow(quantity(area, "foot**2"), construction_coefficient=coefficient)
    two = iso_flow(quantity(area * FOOT**2, "meter**2"), construction_coefficient=coefficient)
    assert two.value.magnitude == pytest.approx(one.value.magnitude, rel=1e-9)
    assert one.value.magnitude == pytest.approx(18 * coefficient * math.sqrt(area), rel=1e-9)
    give = {"hazard_number": 3, "construction_number": 1.0}
    one = rural_supply(quantity(area, "foot**3"), **give).value.magnitude
    two = rural_supply(quantity(area * FOOT**3, "meter**3"), **give).value.magnitude
    assert two == pytest.approx(one, rel=1e-9)
    assert one == pytest.approx(max(area / 3, 2000), rel=1e-9)


@pytest.mark.physics
@given(st.integers(3, 120), st.integers(3, 120), st.integers(2, 15), st.integers(1, 100))
def test_demand_asked_in_metric_agrees_and_reads_well(length, width, height, involved):
    """Whole metres, none of them round in feet; every method."""
    one, two, three = (f"{side} m" for side in (length, width, height))
    foot, feet, tall = (quantity(side / FOOT, "foot") for side in (length, width, height))
    area, square = f"{length * width} m²", quantity(length * width / FOOT**2, "foot**2")
    room, cubic = f"{length * width} m³", quantity(length * width / FOOT**3, "foot**3")
    give = {"involved": f"{involved} %", "exposures": 2, "floors": 2}
    agree_and_read_well(
        fire_academy_flow(one, width=two, **give), fire_academy_flow(foot, width=feet, **give)
    )
    agree_and_read_well(
        iowa_flow(one, width=two, height=three), iowa_flow(foot, width=feet, height=tall)
    )
    give = {"construction_coefficient": 0.8, "exposure_factor": 0.15}
    agree_and_read_well(iso_flow(area, **give), iso_flow(square, **give))
    agree_and_read_well(iso_dwelling_flow(one), iso_dwelling_flow(foot))
    give = {"hazard_number": 4, "construction_number": 1.5, "exposure": "exposed"}
    agree_and_read_well(rural_supply(room, **give), rural_supply(cubic, **give))
    agree_and_read_well(
        fire_code_flow("2,000 m²", construction="VB"),
        fire_code_flow(quantity(2000 / FOOT**2, "foot**2"), construction="VB"),
    )


# --- what the department confirms in its own books ---------------------------------------------

# Invented figures: they show that an entry is used, and prove nothing about any book.
ENTERED = """
[[confirmed]]
source = "iso-rounding"
edition = "edition A"
clause = "chapter 1"
rounding = "C first"
by = "2077"
day = 2026-05-14

[[confirmed]]
source = "iso-dwellings"
edition = "edition B"
clause = "chapter 2"
rows = [
  { up_to = "12 ft", flow = "1,600 gpm" },
  { up_to = "40 ft", flow = "900 gpm" },
  { flow = "600 gpm" },
]
by = "2077"
day = 2026-05-15

[[confirmed]]
source = "fire-code-rows"
edition = "edition C"
clause = "table 3"
rows = [
  { construction = "IIB", area_from = "0 sq ft", area_to = "9,000 sq ft", flow = "1,700 gpm", hours = 2 },
  { construction = "VB", area_from = "0 sq ft", area_to = "4,000 sq ft", flow = "1,550 gpm", hours = 2 },
]
by = "2077"
day = 2026-05-16

[[confirmed]]
source = "rural-dwelling-number"
edition = "edition D"
clause = "clause 4"
number = 1.2
by = "2077"
day = 2026-05-17
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A copy of the demo department for the tests below to write confirmed.toml in."""
    return shutil.copytree(DEMO_FOLDER, tmp_path_factory.mktemp("confirmed") / "department")


def confirmed_from(folder, text):
    """What a department has confirmed whose confirmed.toml says this."""
    (folder / "confirmed.toml").write_text(text, encoding="utf-8")
    return load_department(folder).confirmed


def test_nothing_is_confirmed_where_nobody_entered_anything(folder):
    """The demo department has read no book; a department may have no such file at all."""
    assert load_department(DEMO_FOLDER).confirmed == ()
    (folder / "confirmed.toml").unlink(missing_ok=True)
    assert load_department(folder).confirmed == ()


def test_names_of_what_may_be_confirmed_are_those_that_are_open():
    """Whatever a department can enter is told as unconfirmed by the kit."""
    assert set(CONFIRMED_KEYS) <= set(module.TO_BE_CONFIRMED)


def test_confirmed_entries_are_used_and_named(folder):
    """Each of the four goes before the kit's own figure, with edition, clause, reader and day."""
    own = confirmed_from(folder, ENTERED)
    iso = iso_flow("10,000 sq ft", construction_coefficient=1.5, exposure_factor=0.2, confirmed=own)
    assert iso.as_entered.magnitude == 3500 and "clause ____" not in iso.text()
    assert "Rounded as your department's entry has it: 13,249 L/min" in iso.text("metric")
    dwellings = {ft: iso_dwelling_flow(f"{ft} ft", confirmed=own) for ft in (12, 13, 40, 41)}
    assert {ft: flow.value.magnitude for ft, flow in dwellings.items()} == pytest.approx(
        {12: 1600, 13: 900, 40: 900, 41: 600}
    )
    code = fire_code_flow("8,000 sq ft", construction="IIB", confirmed=own)
    assert code.value.magnitude == 1700 and "204,000 gal" in code.text()
    rural = rural_supply("24,000 cu ft", hazard_number=7, construction_number=1.5, confirmed=own)
    for result, edition, clause, day in (
        (iso, "A", "chapter 1", 14), (dwellings[12], "B", "chapter 2", 15),
        (code, "C", "table 3", 16), (rural, "D", "clause 4", 17),
    ):  # fmt: skip
        said = f"entered by the department: edition {edition}, {clause} (read by 2077 on 2026-05-{day})"
        assert said in result.text() and "department_confirmed" in result.sources
        assert "from memory" not in result.text()


def test_a_department_itself_may_be_given(folder):
    """Its own entries are taken from it."""
    confirmed_from(folder, ENTERED)
    own = load_department(folder)
    assert iso_dwelling_flow("12 ft", confirmed=own).value.magnitude == pytest.approx(1600)


def test_confirmed_entries_leave_alone_what_they_do_not_cover(folder):
    """A row that was not entered is still the kit's; below the limit a dwelling has no note."""
    own = confirmed_from(folder, ENTERED)
    kits = fire_code_flow("22,000 sq ft", construction="VB", confirmed=own)
    assert kits.value.magnitude == 4000 and "told from memory" in kits.text()
    with pytest.raises(ImpossibleValue, match="0 to 4,000 sq ft and from 20,601 to 23,300"):
        fire_code_flow("12,000 sq ft", construction="VB", confirmed=own)
    low = rural_supply("9,000 cu ft", hazard_number=7, construction_number=1.1, confirmed=own)
    assert all("dwelling" not in note.text for note in low.notes)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('rounding = "C first"', "", "iso-rounding needs rounding"),
        ('rounding = "C first"', 'rounding = "C second"', 'needed: "at the end" or "C first"'),
        (
            'rounding = "C first"',
            'rounding = "C first"\nnumber = 1.0',
            "iso-rounding has no number",
        ),
        ("number = 1.2", "number = 9.0", "number"),
        ('source = "iso-rounding"', 'source = "iso-roundin"', "source"),
        ('source = "iso-rounding"', 'source = "rural-dwelling-number"', "has no rounding"),
        ('  { flow = "600 gpm" },', "", "the last has none"),
        ('up_to = "40 ft"', 'up_to = "4 ft"', "must rise"),
        ('construction = "IIB", ', "", "row 1: a row of the fire code needs construction"),
        ('area_to = "9,000 sq ft"', 'area_to = "9,000 gpm"', "3,600 sq ft"),
        ('flow = "1,600 gpm"', 'flow = "1,600"', "flow"),
        ("day = 2026-05-14", 'day = "yesterday"', "day"),
        ('clause = "chapter 1"', "", "clause: missing"),
    ],
)
def test_faults_in_confirmed_entries_are_named(folder, old, new, words):
    """File, place and what is needed; nothing is half read."""
    assert old in ENTERED
    with pytest.raises(DepartmentDataError) as refused:
        confirmed_from(folder, ENTERED.replace(old, new, 1))
    assert "confirmed.toml: confirmed" in str(refused.value) and words in str(refused.value)


def test_one_thing_confirmed_twice_is_a_fault(folder):
    """Which of the two would count?"""
    with pytest.raises(DepartmentDataError, match="confirmed twice: iso-rounding"):
        confirmed_from(folder, ENTERED + ENTERED[: ENTERED.index("[[confirmed]]", 20)])


@pytest.mark.physics
def test_iowa_in_litres_and_metres_is_1337():
    """1.337 L/min for each cubic metre."""
    flow = iowa_flow("10 m", width="5 m", height="2 m").value.to("lpm").magnitude
    assert flow == pytest.approx(133.7, rel=1e-3)


@pytest.mark.physics
def test_iowa_rests_on_steam_for_half_a_minute():
    """A gallon gives 223.5 ft³; at 90 % and for 30 s that is the 1/100."""
    volume = 45_000
    gallons = volume / (0.9 * 223.5)
    assert gallons / 0.5 == pytest.approx(volume / 100, rel=0.006)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: fire_academy_flow("0 ft", width="9 ft", involved="9 %"), "more than 0 foot"),
        (lambda: fire_academy_flow("9 ft", width="9 ft", involved="120 %"), "at most 100"),
        (lambda: fire_academy_flow("9 ft", width="9 ft", involved="9 %", floors=0), "floors = 0"),
        (lambda: fire_academy_flow("9 ft", width="9 ft", involved="9 %", exposures=-1), "exposures"),
        (lambda: iowa_flow(quantity(math.nan, "foot"), width="9 ft", height="9 ft"), "not a number"),
        (lambda: iso_flow("900 sq ft", construction_coefficient=2.5), "0.6 to 1.5"),
        (lambda: iso_flow("900 sq ft", construction_coefficient=1, occupancy_factor=3), "0.5 to 1.5"),
        (lambda: rural_supply("900 cu ft", hazard_number=2, construction_number=1), "3 to 7"),
        (lambda: rural_supply("900 cu ft", hazard_number=4, construction_number=1, exposure="yes"),
         "not exposed"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(call, said):
    """The message names the fault."""
    with pytest.raises(ImpossibleValue) as error:
        call()
    assert said in str(error.value)


def test_a_count_that_is_no_number_is_a_unit_error():
    """Words are no count."""
    with pytest.raises(UnitError, match="whole number"):
        fire_academy_flow("9 ft", width="9 ft", involved="9 %", floors="two")
