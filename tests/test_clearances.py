"""Power lines and collapse zones: the printed steps, the larger of the rules, words at the edge."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import collapse_zone, collapse_zone_check, line_clearance, quantity
from aerialstream.clearances import EDGE, INSIDE, OUTSIDE
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.sources import SOURCES

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

# 29 CFR 1926.1408, Table A, typed in anew from a public copy: up to and including kV -> ft.
TABLE_A = ((50, 10), (200, 15), (350, 20), (500, 25), (750, 35), (1000, 45))
volts = st.floats(0.01, 1000)
heights = st.floats(5, 200)
distances = st.floats(0, 500)


def kv(number):
    """A voltage in kV."""
    return quantity(number, "kilovolt")


def ft(number):
    """A length in feet."""
    return quantity(number, "foot")


# --- power lines ------------------------------------------------------------------------------


@pytest.mark.published
@given(volts)
def test_crane_rule_is_the_table_at_every_voltage(voltage):
    """Not only at the ends of its steps."""
    printed = next(feet for top, feet in TABLE_A if voltage <= top)
    assert line_clearance(kv(voltage)).crane_rule.magnitude == printed


@given(volts)
def test_line_clearance_is_the_largest_rule_and_never_below_ten_feet(voltage):
    """The larger of the two rules, the second in both its readings."""
    said = line_clearance(kv(voltage))
    rules = [said.crane_rule, said.firefighter, said.firefighter_full]
    assert said.value == max(rules)
    assert said.value.magnitude >= 10
    assert said.firefighter <= said.firefighter_full


@given(volts, volts)
def test_more_voltage_never_needs_less_distance(one, other):
    """Rising by steps and by the kV."""
    low, high = sorted((one, other))
    assert line_clearance(kv(low)).value <= line_clearance(kv(high)).value


@pytest.mark.published
@pytest.mark.parametrize(("voltage", "reading", "full"), [(115, 12.17, 13.83), (230, 16.0, 17.67)])
def test_both_readings_of_the_firefighters_rule_are_shown(voltage, reading, full):
    """WAC 296-305-04510(4)(c)(ii): 10 ft and 0.4 in for each kV; the text does not say of which."""
    lines = dict(line_clearance(kv(voltage)).lines())
    assert lines["Firefighters' rule, for each kV above 50"] == f"{round(reading, 1):g} ft"
    assert lines["Firefighters' rule, for each kV of all"] == f"{round(full, 1):g} ft"


def test_distance_to_keep_is_never_rounded_down():
    """181 kV: 10 + 0.4 × 181 / 12 = 16.033 ft, printed 16.1; 15 ft = 4.572 m, printed 4.58."""
    assert dict(line_clearance("181 kV").lines())["Keep at least"] == "16.1 ft"
    assert dict(line_clearance("115 kV").lines("metric"))["Keep at least"] == "4.58 m"
    assert dict(line_clearance("12 kV").lines())["Keep at least"] == "10 ft"


def test_unknown_voltage_is_as_the_utility_says():
    """No number is made up; what the crane rule asks then (20 ft) and the handbook stand beside it."""
    said = line_clearance()
    assert said.value is None and str(said) == "as the utility says; voltage not known"
    assert said.crane_rule == ft(20) and said.handbook == ft(50)
    assert "the utility says how far" in said.text()


@given(st.floats(1000.001, 90_000))
def test_voltage_beyond_the_table_is_refused_as_set_by_the_utility(voltage):
    """Table A's last line gives no number."""
    with pytest.raises(ImpossibleValue, match="as set by the utility"):
        line_clearance(kv(voltage))


def test_low_voltage_says_that_the_rule_names_no_distance():
    """At 600 V and below; 601 V says nothing of it. The kit keeps 10 ft."""
    assert "600 V and less" in line_clearance("480 V").text()
    assert "600 V and less" not in line_clearance("601 V").text()
    assert line_clearance("480 V").value == ft(10)


def test_handbook_practice_is_called_second_hand():
    """50 ft above 50 kV is common practice, seen only as told by others, and stands in no sum."""
    said = line_clearance("69 kV")
    assert dict(said.lines())["Handbook practice (second-hand)"] == "50 ft"
    assert said.value == ft(15) and SOURCES["handbook_line_practice"].status == "second-hand"


@pytest.mark.parametrize("wrong", ["12", "12 psi", "unknown", "0 kV", "-5 kV"])
def test_voltages_that_cannot_be_are_refused(wrong):
    """No unit, another kind, no number, nothing, less than nothing; a line to copy is shown."""
    with pytest.raises((UnitError, ImpossibleValue), match='voltage="12 kV"'):
        line_clearance(wrong)


def test_line_clearance_is_no_stream_distance():
    """Said with every result."""
    for voltage in ("12 kV", "345 kV", None):
        assert "Not a distance for streams" in line_clearance(voltage).text()


# --- collapse zone ----------------------------------------------------------------------------


def test_zone_without_a_factor_shows_all_three():
    """Once, one and a half times, twice: the incident commander's call."""
    said = collapse_zone("20 ft")
    assert said.value is None
    assert [value for _, value in said.lines()] == ["20 ft", "30 ft", "40 ft"]
    assert "incident commander's call" in said.text() and "top of the parapet" in said.text()


@given(heights, st.floats(1, 10))
def test_zone_grows_with_height_and_factor(height, factor):
    """In proportion to both."""
    zone = collapse_zone(ft(height), factor=factor).value.magnitude
    assert zone == pytest.approx(height * factor)
    assert collapse_zone(ft(2 * height), factor=factor).value.magnitude == pytest.approx(2 * zone)


@pytest.mark.parametrize("factor", [0.5, 0, -1, 11, float("nan"), float("inf")])
def test_factor_that_cannot_be_is_refused(factor):
    """Less than the wall's own height is no zone."""
    with pytest.raises(ImpossibleValue, match="factor"):
        collapse_zone("20 ft", factor=factor)


@pytest.mark.parametrize("factor", ["1.5", True, "1.5 ft"])
def test_factor_is_a_plain_number(factor):
    """Text is not taken for one."""
    with pytest.raises(UnitError, match="plain number"):
        collapse_zone("20 ft", factor=factor)


def test_factor_of_ones_own_is_said_to_be_that():
    """Allowed, since the call is the commander's, but not out of the source."""
    assert "The source names" in collapse_zone("20 ft", factor=1.2).text()
    assert "The source names" not in collapse_zone("20 ft", factor=1.5).text()


@given(heights, st.sampled_from([1, 1.5, 2]), distances, distances)
def test_turntable_and_tip_are_each_told_apart(height, factor, turntable, tip):
    """Inside, outside or on the edge, for each of the two; the tip is never left out."""
    check = collapse_zone_check(
        collapse_zone(ft(height), factor=factor),
        turntable_distance=ft(turntable),
        tip_distance=ft(tip),
    )
    assert [place.what for place in check.places] == ["turntable and crew", "nozzle and tip"]
    for place, distance in zip(check.places, (turntable, tip), strict=True):
        over = distance - factor * height
        expected = EDGE if abs(over) < 0.05 else OUTSIDE if over > 0 else INSIDE
        assert place.where == expected
        assert place.margin.magnitude == pytest.approx(over, abs=1e-9)


def test_rig_outside_with_its_tip_inside_is_said_so():
    """Only the truck checked is a known slip: 24-ft zone, turntable at 30, tip at 15 ft."""
    check = collapse_zone_check(
        collapse_zone("16 ft", factor=1.5), turntable_distance="30 ft", tip_distance="15 ft"
    )
    assert [value for _, value in check.lines()] == [
        "outside the zone by 6 ft",
        "inside the zone by 9 ft",
    ]
    assert "accepts it" in check.text()


def test_edge_of_the_zone_counts_as_inside():
    """24 ft against 24 ft."""
    check = collapse_zone_check(
        collapse_zone("16 ft", factor=1.5), turntable_distance="24 ft", tip_distance="24.2 ft"
    )
    assert [place.where for place in check.places] == [EDGE, OUTSIDE]
    assert "counts as inside" in check.lines()[0][1] and "accepts it" in check.text()


def test_zone_without_a_factor_is_checked_three_times():
    """Each factor, each of the two distances."""
    check = collapse_zone_check(
        collapse_zone("20 ft"), turntable_distance="35 ft", tip_distance="25 ft"
    )
    where = [(place.factor, place.where) for place in check.places]
    assert where == [
        *((1, OUTSIDE), (1, OUTSIDE)),
        *((1.5, OUTSIDE), (1.5, INSIDE)),
        *((2, INSIDE), (2, INSIDE)),
    ]


def test_built_in_conflict_with_the_access_road_is_told_above_thirty_feet():
    """The road at 15 to 30 ft lies inside 1.5 × 31 = 46.5 ft; at 16 ft there is no such road."""
    high = collapse_zone("31 ft", factor=1.5)
    assert high.value == ft(46.5)
    assert "Built-in conflict" in high.text() and "access_road_city" in high.sources
    assert "9.14 m" in high.text("metric")
    assert "Built-in conflict" not in collapse_zone("16 ft", factor=1.5).text()


def test_something_else_than_a_zone_is_refused():
    """A length is not a collapse zone: it does not say of what."""
    with pytest.raises(UnitError, match="collapse_zone"):
        collapse_zone_check("24 ft", turntable_distance="30 ft", tip_distance="15 ft")


@pytest.mark.physics
def test_arc_of_a_falling_wall_at_half_its_height():
    """A rigid wall turning about its foot: at half its height it reaches cos 30° = 0.866 of it."""
    assert round(math.cos(math.radians(30)), 2) == 0.87
    assert "0.87 of its height" in collapse_zone("20 ft").text()


@pytest.mark.published
def test_arc_of_a_thirty_foot_wall_passes_its_straight_line_as_printed():
    """A letter in Fire Engineering, 1990: up to the top 8 feet of a 30-ft wall pass that line.

    The line runs from the top to the ground 30 ft out; farthest from it is the wall at 45°.
    """
    beyond = 30 - 30 / math.sqrt(2)
    assert 8 <= beyond < 9
    assert "wall_arc_letter" in collapse_zone("30 ft").sources
