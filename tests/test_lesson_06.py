"""Lesson 06: through the window, straight, swept or off the ceiling."""

from math import atan, degrees, radians, tan

import pytest

from aerialstream import load_department
from lessonkit import frame, progress, window_panel
from lessonkit.content import lesson_06 as content
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def panel():
    return window_panel()


def _text(name):
    cells = frame.cells_of(LESSONS / "06_work_the_window.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s6-{name}")


def test_panel_starts_with_the_worked_example(panel):
    """Nearly the line of rise over run 12/15, 38.7 deg; 29.7 × 2 × 2 × √80 = 1,062.6 gpm."""
    rows = dict(panel.view.rows)
    assert rows["Flow"] == "1,063 gpm"
    assert panel.controls["pitch"].value == pytest.approx(degrees(atan(12 / 15)), abs=1)
    assert "it strikes the ceiling" in panel.view.reading
    assert "✓" not in panel.list.value


def test_real_stream_strikes_farther_in_than_the_straight_line(panel):
    line = (23 - 8) / tan(radians(38)) - 15
    assert panel.results.depth_inside.magnitude > line
    assert panel.results.depth_inside.magnitude < line + 3


def test_each_task_can_be_met(panel):
    panel.set(scene="rear", away=30, height=8, pitch=22)
    assert panel.list.value.count("✓") == 1
    panel.set(scene="open", away=40, height=30, pitch=-13)
    assert panel.list.value.count("✓") == 2
    panel.set(scene="slab", away=25, height=20, pitch=-20)
    assert panel.list.value.count("✓") == 3


def test_near_miss_meets_no_task(panel):
    """Steep on the rear; straight into racks; over the slab's set-up but missing it by far."""
    panel.set(scene="rear", away=15, height=8, pitch=38)
    panel.set(scene="rear", away=40, height=24, pitch=-8)
    panel.set(scene="slab", away=25, height=30, pitch=20)
    assert "✓" not in panel.list.value


def test_each_control_moves_the_strike(panel):
    start = panel.results.depth_inside.magnitude
    for change in ({"away": 13}, {"height": 7}, {"pitch": 36}):
        panel.reset()
        panel.set(**change)
        assert panel.results.depth_inside.magnitude != pytest.approx(start, abs=0.2), change


def test_racks_stop_a_straight_stream_and_not_one_off_the_ceiling(panel):
    panel.set(scene="rear", away=40, height=24, pitch=-8)
    assert panel.results.strike == "partition"
    panel.set(away=30, height=8, pitch=22)
    assert panel.results.strike == "ceiling"


def test_metric_department_reads_metres():
    metric = window_panel(load_department().model_copy(update={"units": "metric"}))
    assert metric.controls["height"].unit == "meter"
    metric.set(scene="rear", away=9, height=2.5, pitch=22)
    assert "✓" in metric.list.value


def test_steep_falls_near_and_flat_falls_deep_whatever_the_constants_of_the_model():
    """The lesson's one claim about ceilings; no constant that was assumed may turn it round."""
    assert content._STEEP_NEAR.range_on_fire()[0] > content._FLAT_NEAR.range_on_fire()[1]
    assert content._FLAT_ON_REAR.range_on_fire()[0] > content._STEEP_ON_REAR.range_on_fire()[1]


def test_sums_in_the_text_can_be_keyed_in():
    """School trigonometry, written here anew."""
    words, tile, floor = _text("steepest-words"), _text("tile-title"), _text("floor-title")
    assert f"{degrees(atan(12 / 30)):.0f} degrees" in words
    assert f"{(23 - 8) / (12 / 30) - 30:.1f} ft" in words
    assert f"{tan(radians(14)):.3f}" in tile and f"**{2 / tan(radians(14)):.1f} ft**" in tile
    slope = tan(radians(20))
    assert f"{slope:.3f}" in floor
    assert f"**{22 - 12 * slope:.1f} ft**" in floor
    assert f"**{10 / slope - 12:.1f} ft**" in floor


def test_slab_question_says_what_the_kit_finds():
    """Over the slab's edge: (20 - 7) / 25 a foot down; at 12 ft before the wall it is 13.2 ft up."""
    at_edge = 20 - (20 - 7) / 25 * (25 - 12)
    assert at_edge > 11 + 8 / 12
    assert content._ON_SLAB.cleared.magnitude < 1
    assert content._UNDER_SLAB.on_fire.magnitude > 85
