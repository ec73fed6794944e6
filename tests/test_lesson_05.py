"""Lesson 05: how far does it really reach?"""

from math import cos, hypot, radians, sqrt, tan

import pytest

from aerialstream import best_elevation, load_department, throw
from lessonkit import frame, progress, reach_panel
from lessonkit.content import lesson_05 as content
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def panel():
    return reach_panel()


def _text(name):
    cells = frame.cells_of(LESSONS / "05_reach_the_window.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s5-{name}")


def _feet(value):
    return value.to("foot").magnitude


def _rule(tip, psi):
    """Fire Engineering, August 1960."""
    return psi / 2 + 26 + 5 * (tip - 0.75) / 0.125


def _fall(psi, degrees, feet):
    """Gravity alone, 32.174 ft/s², water of 62.4 lb/ft³."""
    speed = sqrt(2 * 32.174 * 144 / 62.4 * psi)
    return 32.174 / 2 * (feet / (speed * cos(radians(degrees)))) ** 2


def test_panel_starts_with_the_worked_example(panel):
    path, still, there = panel.results
    assert still is None
    assert _feet(path.usable_reach) == pytest.approx(_rule(1.75, 80))
    by_hand = 50 * tan(radians(30)) - _fall(80, 30, 50)
    assert _feet(there.height) - 40 == pytest.approx(by_hand, abs=0.15)
    assert "still a good stream" in panel.view.reading
    assert "✓" not in panel.list.value


def test_each_control_changes_what_it_should(panel):
    start = panel.results[0]
    panel.set(tip="2")
    assert _feet(panel.results[0].usable_reach) == pytest.approx(_rule(2, 80))
    panel.reset()
    panel.set(pressure=100)
    assert _feet(panel.results[0].usable_reach) == pytest.approx(_rule(1.75, 100))
    panel.reset()
    panel.set(elevation=45)
    assert panel.results[0].apex_height > start.apex_height
    panel.reset()
    panel.set(height=80)
    assert panel.results[0].throw > start.throw
    panel.reset()
    panel.set(window=120)
    assert "broken into spray" in panel.view.reading


def test_each_task_can_be_met(panel):
    panel.set(window=95, tip="2", pressure=100, elevation=22)
    assert panel.list.value.count("✓") == 1
    panel.set(wind=25)
    assert panel.list.value.count("✓") == 2
    panel.set(window=50, wind=15, wind_from="90 deg")
    assert panel.list.value.count("✓") == 3


def test_near_miss_meets_no_task(panel):
    """Far but too low; a light head wind; a side wind too light to shift the landing much."""
    panel.set(window=95, elevation=5)
    panel.set(window=50, elevation=30, wind=5)
    panel.set(wind=3, wind_from="90 deg")
    assert "✓" not in panel.list.value


def test_wind_from_left_and_right_are_mirror_images(panel):
    panel.set(wind=15, wind_from="90 deg")
    right = _feet(panel.results[0].drift)
    panel.set(wind_from="270 deg")
    assert _feet(panel.results[0].drift) == pytest.approx(-right)
    assert right > 0  # to the left, away from the wind


def test_still_stream_stands_beside_the_one_in_the_wind(panel):
    panel.set(wind=20)
    path, still, _ = panel.results
    assert still.throw == path.still_throw
    assert "shorter than in still air" in panel.view.reading


def test_stream_that_lands_before_the_window_is_told(panel):
    panel.set(elevation=-20, height=5, window=100)
    assert "comes down before the window" in panel.view.reading
    assert "<svg" in panel.picture.value


def test_metric_department_reads_metres():
    metric = reach_panel(load_department().model_copy(update={"units": "metric"}))
    assert metric.controls["wind"].unit == "kilometer/hour"
    assert " ft" not in metric.list.value + metric.view.reading
    metric.set(window=29, tip="2", pressure=690, elevation=23)
    assert metric.list.value.count("✓") == 1


def test_sums_in_the_text_can_be_keyed_in():
    """Written here anew."""
    way, fall = _text("way"), _text("fall-title") + _text("fall-line")
    assert f"**{hypot(50, 24):.1f} ft**" in way
    assert f"**{106 - 55.5:.1f} ft**" in way
    speed = 12.2 * 8.944
    assert f"**{speed:.1f} ft/s**" in fall and f"**{speed * 0.866:.1f} ft/s**" in fall
    seconds = 50 / 94.5
    assert f"**{seconds:.3f} s**" in fall
    assert f"**{16.1 * 0.529**2:.1f} ft**" in fall
    assert f"{50 * 0.577:.2f}" == "28.85" and f"**{28.9 - 4.5:.1f} ft**" in fall


@pytest.mark.parametrize("tip", ["1 3/4 in", "2 in"])
def test_flat_top_of_the_text_is_what_the_kit_finds(tip):
    """A change alarm on the kit's own path; measured throws show the same flat top to 1 in."""
    best = best_elevation(tip, nozzle_pressure="80 psi")
    assert 34 <= best.value.magnitude < 41
    ends = [
        _feet(throw(tip, nozzle_pressure="80 psi", elevation=f"{e} deg").value) for e in (30, 45)
    ]
    assert min(ends) > 0.94 * _feet(best.throw)
    wind = {"wind": "15 mph", "nozzle_pressure": "80 psi"}
    windy = best_elevation(tip, **wind)
    for elevation in (30, 35):
        far = _feet(throw(tip, elevation=f"{elevation} deg", **wind).value)
        assert far > 0.97 * _feet(windy.throw)


def test_claim_of_1894_is_beyond_what_the_kit_gives_at_100_psi():
    far = _feet(throw("2 in", nozzle_pressure="100 psi", elevation="32 deg").value)
    assert far == pytest.approx(270, abs=5)
    assert far * 1.15 < 334
    assert _rule(2, 100) < 334 / 2


def test_questions_say_what_the_rule_says():
    assert _feet(content._REACH) == pytest.approx(_rule(1.75, 80))
    assert _feet(content._REACH) < _feet(content._PATH.throw) / 2
    assert _feet(content._drop()) == pytest.approx(_fall(80, 30, 50), abs=0.2)
    assert _feet(content._drop()) > 3  # below the sill of a window 6 ft high


def test_strong_wind_that_brings_the_water_back_is_said(panel):
    """No negative distance is printed, in words or picture, and the drop is told in still air alone."""
    panel.set(elevation=70, window=150, wind=30)
    assert (
        "behind the nozzle" in panel.view.reading and "back over the ladder" in panel.view.reading
    )
    assert "-" not in panel.view.reading and "ahead, give" not in panel.picture.value
    panel.reset()
    assert "dropped" in panel.view.reading and "window 50 ft" in panel.picture.value
    panel.set(wind=15)
    assert "dropped" not in panel.view.reading


def test_good_reach_against_the_wind_is_told_over_the_ground():
    """Broken at a window that stands before the end of the good stream would contradict itself."""
    panel = reach_panel()
    panel.set(elevation=15, window=80, wind=25)
    path, _, there = panel.results
    assert there.condition == "broken into spray"
    assert path.reach_distance < panel.at.window < path.usable_reach
    ahead = f"{path.reach_distance.to('foot').magnitude:.0f} ft ahead"
    assert f"good to about {ahead}" in panel.view.reading
    assert f"usable reach ends {ahead}" in panel.view.pictures[0].svg()
    panel.set(wind=0)
    assert "Good for 106 ft along the stream" in panel.view.reading
