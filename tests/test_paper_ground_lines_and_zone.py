"""The paper on ground, lines and zone: right answers worked out anew, and answers as they are typed.

Without the kit: pressure is load over area; percent of grade is fall over length; Table A of
29 CFR 1926.1408; WAC 296-305-04510(4)(c), in its strict reading (0.4 in for each kV of the whole voltage);
building code table 1806.2 (clay and silt 1,500 psf, sand 2,000 psf, sandy gravel 3,000 psf).
"""

from itertools import permutations
from math import cos, radians, sqrt, tan

import pytest
from paper_rows import DEMO, note, row_of

from gradekit.questions import papers

PAPER = papers()["ground-lines-and-zone"]
PRESSURE, PAD, SLOPE, ENTRY, LINES, FINDS, ZONE, ORDER = PAPER.questions


# --- right answers, worked out anew ---------------------------------------------------------------


def test_pressure_is_load_over_area_in_feet():
    """Pounds over square feet."""
    for row in PRESSURE.table(DEMO):
        feet = row["side"] / 12
        assert PRESSURE.value(row) == pytest.approx(row["load"] / feet**2, rel=1e-9)


@pytest.mark.published
def test_pad_rows_have_the_table_of_the_building_code():
    """Table 1806.2: clay 1,500, sand and silty sand 2,000, sandy gravel 3,000 psf."""
    printed = {"clay": 1500, "silty sand": 2000, "sandy gravel": 3000}
    assert {(row["soil"], row["psf"]) for row in PAD.table(DEMO)} == set(printed.items())


def test_pad_found_brings_the_load_down_to_the_table():
    """The pad that is asked for carries the load at just that pressure, and is larger than the first."""
    for row in PAD.table(DEMO):
        inches = PAD.value(row)
        assert row["load"] / (inches / 12) ** 2 == pytest.approx(row["psf"], rel=1e-9)
        assert inches > row["side"]


@pytest.mark.published
def test_pad_of_the_reference_case():
    """29,098 lb on 1,500 psf: 19.4 sq ft, 52.9 in on a side."""
    row = {"side": 24, "psf": 1500}
    assert PAD.right(row, 29_098 / 4) == pytest.approx(52.85, abs=0.05)


@pytest.mark.published
@pytest.mark.parametrize(("percent", "deg"), [(5, 2.86), (10, 5.71)])
def test_slope_of_known_grades(percent, deg):
    """10 percent, the steepest grade of the fire code's access roads, is 5.71 degrees; 5 are 2.86."""
    assert SLOPE.right({"percent": percent}) == pytest.approx(deg, abs=0.005)


def test_slope_tangent_leads_back_to_the_percent():
    """Every row."""
    for row in SLOPE.table():
        assert 100 * tan(radians(SLOPE.value(row))) == pytest.approx(row["percent"], rel=1e-9)


def test_entry_is_what_stands_in_the_department_file():
    """apparatus.toml: Tower 3 has a slope of 5 deg; nothing is entered for the other two."""
    assert {(row["rig"], row["slope"]) for row in ENTRY.table(DEMO)} == {
        ("Tower 3", 5.0),
        ("Ladder 9", None),
        ("Platform 2", None),
    }


TABLE_A = {50: 10, 200: 15, 350: 20, 500: 25, 750: 35, 1000: 45}  # 29 CFR 1926.1408


@pytest.mark.published
def test_lines_right_is_the_farther_of_the_two_printed_rules():
    """Worked out from the printed text, in every row; both rules decide some rows."""
    decided = set()
    for row in LINES.table():
        table = next(feet for up_to, feet in TABLE_A.items() if row["kv"] <= up_to)
        inches = 120 + 0.4 * row["kv"]
        assert LINES.value(row) == pytest.approx(max(table, inches / 12), rel=1e-9)
        decided.add(table > inches / 12)
    assert decided == {True, False} and len(LINES.table()) >= 10


def test_lines_words_hold_the_table_as_printed():
    """The learner reads the same table."""
    words = LINES.ask(LINES.table()[0]).replace(",", "")
    assert all(f"{up_to} kV {feet} ft" in words for up_to, feet in TABLE_A.items())


def test_zone_keeps_the_tip_out_by_just_the_zone():
    """From the wall: one and a half times the parapet's top, then the ladder's level part."""
    for row in ZONE.table(DEMO):
        tip = ZONE.value(row) - row["out"] * cos(radians(row["deg"]))
        assert tip == pytest.approx(1.5 * (row["roof"] + row["parapet"]), rel=1e-9)


def test_order_accepts_every_order_that_the_printed_rules_leave():
    """Chocks, stabilisers and pads before the load is taken; that and the pin before the raise."""
    row = ORDER.table()[0]
    ids = [name for name, _ in ORDER.steps(row)]

    def allowed(order):
        at = order.index
        return max(at("chocks"), at("stabilisers-out"), at("pads")) < at("level") < at(
            "raise"
        ) and at("waterway") < at("raise")

    for order in permutations(ids):
        assert bool(ORDER.faults(row, order)) is not allowed(order), order


# --- answers as they are typed ---------------------------------------------------------------------

PLATE = {"rig": "Platform 2", "side": 26, "load": 26_800}  # 39.645 psi, 4.694 sq ft


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("5709 psf", "right"),
        ("5,700 lb/sq ft", "right"),
        ("39.6 psi", "right"),
        ("5709", "no-unit/right"),
        ("39.6 psf", "unit-label"),
        ("475.7 psf", "mistake/twelve-for-144"),
        ("12,369 psf", "mistake/side-not-squared"),
        ("7269 psf", "mistake/round-pad"),
        ("1427 psf", "mistake/shared-by-four"),
        ("125,800 psf", "mistake/times-the-area"),
        ("6185 psf", "mistake/side-doubled"),
        ("26,800 psf", "mistake/the-load-itself"),
        ("26,800 lb", "wrong-kind"),
        ("57 090 psf", "off-by-ten"),
        ("a lot", "unreadable"),
    ],
)
def test_pressure_typed_answers(text, branch):
    """26,800 lb on 26 in × 26 in: 39.645 psi, 5,708.9 psf."""
    assert note(PRESSURE, row_of(PRESSURE, **PLATE), text) == branch


@pytest.mark.parametrize(
    ("text", "first", "branch"),
    [
        ("43.9 in", "5709 psf", "right"),
        ("3 ft 8 in", "5709 psf", "right"),
        ("74.2 in", "5709 psf", "mistake/side-with-the-pressure"),
        ("15.4 in", "5709 psf", "mistake/upside-down"),
        ("13.4 in", "5709 psf", "mistake/area-in-square-feet"),
        ("1930 in", "5709 psf", "mistake/area-in-square-inches"),
        ("160.8 in", "5709 psf", "mistake/root-forgotten"),
        ("21.96 in", "1427 psf", "carried"),  # shared by four before
        ("49.6 in", "7269 psf", "carried"),  # a round pad before
        ("43.9 sq in", "5709 psf", "wrong-kind"),
    ],
)
def test_pad_typed_answers(text, first, branch):
    """12 √(26,800 / 2,000) = 43.93 in; a slip in the pressure costs once."""
    row = row_of(PRESSURE, **PLATE)
    assert row["psf"] == 2000 and 12 * sqrt(26_800 / 2000) == pytest.approx(43.93, abs=0.01)
    assert note(PAD, row, text, {PRESSURE.id: first}) == branch


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("4.6 deg", "right"),
        ("4.57°", "right"),
        ("8 deg", "mistake/percent-as-degrees"),
        ("7.2 degrees", "mistake/share-of-ninety"),
        ("3.6 deg", "mistake/share-of-forty-five"),
        ("14.05 deg", "mistake/degrees-to-percent"),
        ("82.9 deg", "mistake/hundred-forgotten"),
        ("8 %", "wrong-kind"),
        ("4.6", "no-unit/right"),
    ],
)
def test_slope_typed_answers(text, branch):
    """8 percent: the angle whose tangent is 0.08, 4.57 degrees."""
    assert note(SLOPE, row_of(SLOPE, percent=8), text) == branch


@pytest.mark.parametrize(
    ("rig", "text", "branch"),
    [
        ("Tower 3", "5 deg", "right"),
        ("Tower 3", "five degrees", "unreadable"),
        ("Tower 3", "not entered", "mistake/not-found"),
        ("Tower 3", "6 deg", "mistake/elevation-for-slope"),
        ("Tower 3", "35 deg", "mistake/wind-for-slope"),
        ("Tower 3", "2 deg", "mistake/what-the-rig-shows"),
        ("Ladder 9", "not entered", "right"),
        ("Ladder 9", "nothing entered", "right"),
        ("Ladder 9", "5 deg", "mistake/another-rig"),
        ("Ladder 9", "2 deg", "mistake/what-the-rig-shows"),
        ("Ladder 9", "4 deg", "mistake/no-line"),
        ("Platform 2", "Not entered.", "right"),
    ],
)
def test_entry_typed_answers(rig, text, branch):
    """A number of another rig never stands in for one that is missing."""
    assert note(ENTRY, row_of(ENTRY, rig=rig, shown=2), text) == branch


@pytest.mark.parametrize(
    ("kv", "text", "branch"),
    [
        (115, "15 ft", "right"),
        (115, "15'", "right"),
        (115, "4.57 m", "right"),
        (115, "10 ft", "mistake/ten-feet"),
        (115, "13.8 ft", "mistake/the-nearer-rule"),
        (115, "56 ft", "mistake/inches-as-feet"),
        (115, "12.2 ft", "mistake/only-above-fifty"),
        (115, "18.8 ft", "mistake/rules-added"),
        (115, "3.83 ft", "mistake/addition-alone"),
        (115, "50 ft", "mistake/handbook-habit"),
        (230, "20 ft", "right"),
        (230, "15 ft", "mistake/a-step-too-low"),
        (230, "16 ft", "mistake/only-above-fifty"),
        (161, "15.4 ft", "right"),
        (161, "15 ft 4 in", "right"),
        (161, "15 ft", "mistake/the-nearer-rule"),
    ],
)
def test_lines_typed_answers(kv, text, branch):
    """115 kV: 15 ft against 10 + 0.4 × 115 / 12 = 13.83; 161 kV: 15 against 15.37."""
    assert note(LINES, row_of(LINES, kv=kv), text) == branch


@pytest.mark.parametrize("name", ["hollow", "hot-asphalt", "crust"])
def test_finds_each_has_its_own_note(name):
    """The letter changes from member to member; the note does not."""
    for row in FINDS.variants():
        letter = "ABCD"[[o.name for o in FINDS.laid_out(row)].index(name)]
        assert note(FINDS, row, f"answer {letter}") == f"mistake/{name}"


@pytest.mark.parametrize(
    ("text", "branch"),
    [
        ("81.3 ft", "right"),
        ("39 ft", "mistake/only-the-truck"),
        ("75.3 ft", "mistake/parapet-forgotten"),
        ("68.3 ft", "mistake/factor-forgotten"),
        ("94.3 ft", "mistake/twice-the-height"),
        ("84 ft", "mistake/length-as-reach"),
        ("54.4 ft", "mistake/sine-for-cosine"),
        ("42.3 ft", "mistake/zone-forgotten"),
        ("3.3 ft", "mistake/reach-taken-off"),
        ("102.4 ft", "mistake/reach-multiplied-too"),
        ("57.4 ft", "mistake/degrees-as-radians"),
        ("81.3 in", "unit-label"),
        ("813 ft", "off-by-ten"),
    ],
)
def test_zone_typed_answers(text, branch):
    """1.5 × (22 + 4) + 45 cos 20° = 39 + 42.29 = 81.29 ft."""
    row = row_of(ZONE, rig="Ladder 9", roof=22, out=45)
    assert (row["parapet"], row["deg"]) == (4, 20)
    assert note(ZONE, row, text) == branch


def test_order_letters_in_many_spellings_are_one_order():
    """Blanks, commas, arrows or nothing between the letters."""
    row = ORDER.variants()[7]
    right = ORDER.worked_answer(row)
    for between in (" ", ", ", "", " > ", "-"):
        assert note(ORDER, row, right.replace(" ", between).lower()) == "right"
