"""Lesson 01: does the water reach what burns?"""

from math import atan, degrees, radians, tan

import pytest

from aerialstream import load_department
from lessonkit import frame, progress, water_panel
from lessonkit import water_panel as panel_call
from lessonkit.content import lesson_01 as content
from lessonkit.start import LESSONS
from lessonkit.water_panel import SCENES


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def panel():
    return water_panel()


def _said(panel):
    return dict(panel.view.rows)


def _text(name):
    cells = frame.cells_of(LESSONS / "01_reach_the_fire.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s1-{name}")


def test_panel_starts_with_a_stream_that_a_whole_roof_sheds(panel):
    """A 2-in tip at 80 psi: 29.7 × 2 × 2 × √80 = 1,062.6 gpm, handbook formula; none comes in."""
    assert _said(panel)["Flow"] == "1,063 gpm"
    assert "it strikes the roof" in panel.view.reading
    assert panel.results.on_fire.magnitude == 0
    assert "✓" not in panel.list.value


def test_each_task_can_be_met(panel):
    panel.set(scene="whole", away=45, height=20, pitch=-10)
    assert panel.list.value.count("✓") == 1
    panel.set(scene="holed", away=30, height=60, pitch=-35)
    assert panel.list.value.count("✓") == 2
    panel.set(scene="mill", away=60, height=45, pitch=-10)
    assert panel.list.value.count("✓") == 3


def test_near_miss_meets_no_task(panel):
    """Right place, wrong building; inside the zone; beside the hole."""
    panel.set(scene="mill", away=59, height=45, pitch=-10)
    panel.set(scene="holed", away=45, height=20, pitch=-10)
    panel.set(scene="holed", away=30, height=60, pitch=-25)
    assert "✓" not in panel.list.value


def test_tip_inside_one_and_a_half_times_the_walls_height_is_told(panel):
    """The mill's wall with its parapet is 40 ft: 60 ft, common practice."""
    panel.set(scene="mill", away=59, height=45, pitch=-10)
    assert "nearer to the wall than 60 ft" in panel.view.reading
    panel.set(away=60)
    assert "nearer" not in panel.view.reading


def test_each_control_changes_what_is_struck(panel):
    for change in ({"height": 45}, {"pitch": 5}, {"away": 80}, {"scene": "mill"}):
        panel.set(scene="whole", away=45, height=20, pitch=-10)
        assert panel.results.strike == "floor"
        panel.set(**change)
        assert panel.results.strike != "floor", change


def test_metric_department_reads_metres(panel):
    metric = panel_call(load_department().model_copy(update={"units": "metric"}))
    assert metric.controls["away"].unit == "meter"
    assert "m" in dict(metric.view.rows)["Nozzle before the wall"]
    metric.set(scene="whole", away=14, height=6, pitch=-10)
    assert "✓" in metric.list.value


def test_sums_in_the_text_can_be_keyed_in():
    """Straight lines: school trigonometry, written here anew."""
    line, grazing = _text("line-title"), _text("grazing")
    slope = tan(radians(35))
    assert f"{slope:.3f}" == "0.700" and "0.700" in line
    at_wall = 20 + 15 * slope
    assert f"{at_wall:.1f} ft" == "30.5 ft" and "**30.5 ft**" in line
    inside = (37 - at_wall) / slope
    assert f"**{inside:.1f} ft**" in line
    assert f"**{degrees(atan(17 / (15 + inside))):.0f} degrees**" in grazing


def test_tons_in_the_text_follow_from_8_34_lb_a_gallon():
    tons = 8.34 * 1000 * 10 * 0.4 / 2000
    assert 16 < tons < 17
    assert "more than 16 tons" in _text("weight-words")


def test_swept_twentieth_in_the_text_is_the_holes_share_of_the_strip():
    assert 10 * 10 / (50 * 40) == pytest.approx(1 / 20)
    assert "a twentieth of the water" in _text("why")


def test_the_predicted_best_stream_is_best_whatever_the_constants_of_the_model():
    """The lesson says that one wins; that must not hang on an assumed constant."""
    least, _ = content._BY_DOOR.range_on_fire()
    for other in (content._ON_ROOF, content._OVER, content._ABOVE_DOOR):
        assert other.range_on_fire()[1] < least


def test_what_each_stream_meets_is_what_its_reason_says():
    met = [pair.right for pair in content.ASKED["meets"].pairs]
    assert met == ["roof", "floor", "ceiling", "wall above the opening"]


def test_scenes_are_those_of_the_invented_town_in_any_department(monkeypatch, tmp_path):
    """A department of one's own need not have the mill."""
    monkeypatch.setenv("AERIALSTREAM_DEPARTMENT", str(tmp_path))
    from lessonkit.water_panel import view_of

    view_of.cache_clear()
    assert all(view_of(scene).opening for scene in SCENES.values())
