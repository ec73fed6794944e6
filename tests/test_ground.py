"""Ground: pads, soils, slope against vectors and handbook triangles, and flags that stay flags."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import (
    angle_of_grade,
    centre_shift,
    grade,
    ground_flags,
    ground_questions,
    load_department,
    pad_pressure,
    pad_size,
    presumptive_bearing,
    quantity,
    slope_across_and_along,
)
from aerialstream.constants import SOILS, SOILS_WITHOUT_BEARING
from aerialstream.department import DEMO_FOLDER, NOT_ENTERED
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.sources import SOURCES

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

DEMO = load_department(DEMO_FOLDER)
TOWER, LADDER = DEMO.device("tower-3"), DEMO.device("ladder-9")
IDS = [question.id for question in ground_questions()]
ALL_NO = dict.fromkeys(IDS, "no")
loads = st.floats(500, 100_000)
tilts = st.floats(-30, 30)


def deg(number):
    """An angle in degrees."""
    return quantity(number, "degree")


def lbf(number):
    """A load in pounds."""
    return quantity(number, "lbf")


# --- pads -------------------------------------------------------------------------------------


@pytest.mark.physics
@given(loads, st.floats(500, 20_000))
def test_pad_of_the_size_asked_for_presses_with_the_bearing_asked_for(load, bearing):
    """Pad size and pad pressure undo each other, by its side and by its area."""
    size = pad_size(lbf(load), bearing=quantity(bearing, "psf"))
    for pad in ({"pad": size.side}, {"area": size.area}):
        pressure = pad_pressure(lbf(load), **pad).value
        assert pressure.to("psf").magnitude == pytest.approx(bearing, rel=1e-9)


@pytest.mark.physics
@given(loads, st.floats(6, 60))
def test_pad_twice_as_wide_presses_a_quarter(load, side):
    """Area goes as the square of the side."""
    one = pad_pressure(lbf(load), pad=quantity(side, "inch")).value
    wide = pad_pressure(lbf(load), pad=quantity(2 * side, "inch")).value
    assert wide.magnitude == pytest.approx(one.magnitude / 4, rel=1e-12)


def test_pad_pressure_is_shown_in_psi_and_psf():
    """29,098 lb on a 24-in pad: 50.5 psi and 7,274.5 psf, 144 times as many (psi against psf)."""
    said = pad_pressure("29,098 lb", pad="24 in")
    assert str(said) == "51 psi (7,274.5 psf)"
    assert [value for _, value in said.lines()] == ["51 psi", "7,274.5 psf"]
    assert [value for _, value in said.lines("metric")] == ["348 kPa"]


@pytest.mark.parametrize(
    ("given_pad", "word"),
    [({}, "neither"), ({"pad": "24 in", "area": "1 sq ft"}, "both"), ({"pad": "24 psi"}, "length")],
)
def test_pad_is_a_side_or_an_area(given_pad, word):
    """Exactly one of the two is needed."""
    with pytest.raises((ImpossibleValue, UnitError), match=word):
        pad_pressure("29,098 lb", **given_pad)


def test_faults_of_a_pad_come_all_at_once():
    """A load without a unit and a pad of nothing are named together."""
    with pytest.raises(UnitError) as error:
        pad_pressure("29098", pad="0 in")
    assert "load" in str(error.value) and "pad" in str(error.value)
    assert 'load="29098 lb"' in str(error.value)


# --- soils ------------------------------------------------------------------------------------


@pytest.mark.parametrize("soil", SOILS_WITHOUT_BEARING)
def test_soil_without_bearing_is_refused_with_the_reason(soil):
    """Mud, organic soil, peat and unprepared fill: the code presumes nothing for them."""
    with pytest.raises(ImpossibleValue, match="no bearing may be presumed"):
        presumptive_bearing(soil)


def test_soil_that_is_not_in_the_table_is_refused_with_what_there_is():
    """Pavement is no class of soil; a number is no text."""
    with pytest.raises(ImpossibleValue) as error:
        presumptive_bearing("asphalt")
    assert all(f'"{row.name}"' in str(error.value) for row in SOILS)
    with pytest.raises(UnitError, match="text"):
        presumptive_bearing(1500)


def test_bearing_is_called_a_flag_and_its_source_was_read():
    """A value of a building code, for foundations, and said so."""
    said = presumptive_bearing("clay")
    assert "not a verdict" in said.text() and SOURCES[said.sources[0]].status == "read"


# --- slope ------------------------------------------------------------------------------------


@pytest.mark.physics
@given(st.floats(0, 80))
def test_grade_and_angle_undo_each_other(angle):
    """There and back."""
    percent = grade(deg(angle)).value
    assert angle_of_grade(percent).value.magnitude == pytest.approx(angle, abs=1e-9)


@pytest.mark.physics
@given(tilts, tilts)
def test_steepest_slope_is_the_tilt_of_the_plane_by_vectors(along, across):
    """Two lines on the ground, one along and one across; numpy's cross product is upright to it."""
    ahead = np.array([1, 0, math.tan(math.radians(along))])
    left = np.array([0, 1, math.tan(math.radians(across))])
    upright = np.cross(ahead, left)
    tilt = math.degrees(math.acos(upright[2] / np.linalg.norm(upright)))
    said = slope_across_and_along(deg(along), across=deg(across))
    assert said.steepest.magnitude == pytest.approx(tilt, abs=1e-5)
    if tilt > 0.01:  # the upright leans downhill: x ahead, y left
        way = math.degrees(math.atan2(-upright[1], upright[0])) % 360
        off = (said.downhill.magnitude - way + 180) % 360 - 180
        assert off == pytest.approx(0, abs=1e-6)


@pytest.mark.physics
@given(tilts, tilts)
def test_steepest_slope_is_no_less_than_either_reading_and_no_more_than_their_sum(along, across):
    """Neither reading alone is the slope."""
    steepest = slope_across_and_along(deg(along), across=deg(across)).steepest.magnitude
    assert max(abs(along), abs(across)) - 1e-9 <= steepest <= abs(along) + abs(across) + 1e-9


@pytest.mark.physics
@given(tilts, tilts)
def test_slope_mirrored_leaves_the_angle_and_mirrors_the_way_down(along, across):
    """Left and right changed over."""
    one = slope_across_and_along(deg(along), across=deg(across))
    other = slope_across_and_along(deg(along), across=deg(-across))
    assert other.steepest.magnitude == pytest.approx(one.steepest.magnitude)
    if one.downhill is not None:
        total = (one.downhill.magnitude + other.downhill.magnitude) % 360
        assert min(total, 360 - total) == pytest.approx(0, abs=1e-6)


def test_level_ground_has_no_way_down():
    """Nothing to turn to; the words say level."""
    said = slope_across_and_along("0 deg")
    assert said.downhill is None and ("The way down", "level") in said.lines()


def test_slope_is_held_against_the_entry_of_the_department_only():
    """5 deg entered for one rig, nothing for the other, and no limit of the kit's own."""
    inside = slope_across_and_along("3 deg", across="3.9 deg", apparatus=TOWER).limit
    assert inside.startswith("Not beyond the entered limit") and "chart 7-4" in inside
    # 10 % is a legal road, and 5.71 deg: more than the 5 deg entered.
    road = slope_across_and_along(angle_of_grade("10 %").value, apparatus=TOWER).limit
    assert road.startswith("BEYOND THE ENTERED LIMIT") and "operator's manual" in road
    assert NOT_ENTERED in slope_across_and_along("1 deg", apparatus=LADDER).limit
    assert "operator's manual" in slope_across_and_along("1 deg").limit


def test_slope_met_exactly_is_not_beyond():
    """The entered 5 deg, given in radians."""
    limit = slope_across_and_along(f"{math.radians(5)!r} rad", apparatus=TOWER).limit
    assert limit.startswith("Not beyond")


def test_per_cent_is_not_taken_for_degrees():
    """10 % read as 10 deg is a known slip: refused, since the two are different things."""
    with pytest.raises(UnitError, match="angle"):
        slope_across_and_along("10 %")


@pytest.mark.physics
@given(st.floats(0, 200), st.floats(0, 40))
def test_shift_of_a_weight_follows_its_height(height, slope):
    """Twice as high, twice the shift; level ground, none. Against the sine rule of the triangle."""
    one = centre_shift(quantity(height, "foot"), slope=deg(slope)).value.magnitude
    two = centre_shift(quantity(2 * height, "foot"), slope=deg(slope)).value.magnitude
    assert two == pytest.approx(2 * one)
    by_sines = height * math.sin(math.radians(slope)) / math.sin(math.radians(90 - slope))
    assert one == pytest.approx(by_sines, rel=1e-9, abs=1e-9)


# --- questions and flags ----------------------------------------------------------------------


def test_questions_are_complete_and_cite_sources():
    """Each asks, says what to look for and what is done; none rests on memory."""
    assert len(set(IDS)) == len(IDS) >= 8
    for question in ground_questions():
        assert question.question.endswith("?") and question.look_for and question.do
        assert SOURCES[question.source].status in ("read", "common practice")


@given(st.dictionaries(st.sampled_from(IDS), st.sampled_from(["yes", "no", "not known", None])))
def test_everything_that_is_not_a_no_is_a_flag(answers):
    """Yes, not known and not answered each raise one, in the order of the questions."""
    flags = [flag.code for flag in ground_flags(answers).flags]
    open_ones = [name for name in IDS if answers.get(name) != "no"]
    assert flags == [*open_ones, "pad pressure", "slope"]


def test_flags_never_become_a_verdict():
    """Even with every answer no and nothing found, the list does not say that it holds."""
    slope = slope_across_and_along("1 deg", apparatus=TOWER)
    pressure = pad_pressure("3,000 lb", pad="36 in")
    none = ground_flags(ALL_NO, pressure=pressure, soil="gravel", slope=slope)
    assert none.flags == () and "operator's to judge" in none.text()
    assert "not that it holds" in none.text() and "safe" not in none.text().lower()


def test_pad_pressure_beyond_what_is_presumed_is_a_flag_with_its_factor():
    """29,098 lb on 24 in over clay: 7,274.5 / 1,500 = 4.8 times; with words for both systems."""
    pressure = pad_pressure("29,098 lb", pad="24 in")
    (flag,) = ground_flags(
        ALL_NO,
        pressure=pressure,
        soil="clay",
        slope=slope_across_and_along("0 deg", apparatus=TOWER),
    ).flags
    assert flag.code == "pad pressure" and flag.text.startswith("4.8 times")
    said = ground_flags(ALL_NO, pressure=pressure, soil="clay")
    assert "psf" in dict(said.lines())["Flag: pad pressure"]
    assert "kPa" in dict(said.lines("metric"))["Flag: pad pressure"]


@pytest.mark.parametrize("soil", SOILS_WITHOUT_BEARING)
def test_soil_without_bearing_is_a_flag_whatever_the_pad(soil):
    """No pad makes unprepared fill a foundation."""
    flags = ground_flags(ALL_NO, pressure=pad_pressure("10 lb", pad="60 in"), soil=soil).flags
    assert flags[0].code == "soil" and soil in flags[0].text


def test_soil_not_named_and_slope_beyond_the_entry_are_flags():
    """What nobody named, and what goes beyond the department's own entry."""
    pressure = pad_pressure("3,000 lb", pad="36 in")
    slope = slope_across_and_along("6 deg", apparatus=TOWER)
    flags = ground_flags(ALL_NO, pressure=pressure, slope=slope).flags
    assert [flag.code for flag in flags] == ["soil", "slope"]
    assert "BEYOND" in flags[1].text


def test_unknown_questions_and_answers_are_named_together():
    """All faults at once."""
    with pytest.raises(ImpossibleValue) as error:
        ground_flags({"vualt": "no", "edge": "maybe"}, soil="sponge")
    assert all(word in str(error.value) for word in ("vualt", "maybe", "sponge"))
