"""Lesson 08: its panel starts on the worked example, each task can be met, its numbers come from outside."""

import json

import pytest

from aerialstream import floor_load, load_department
from aerialstream.charts.water_rise import INCHES, MILLIMETERS, water_rise
from aerialstream.units import quantity
from lessonkit import progress, weight_panel
from lessonkit.content.lesson_08 import ASKED
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def found(panel):
    """Which tasks are ticked."""
    return [n for n in range(len(panel.tasks)) if n in panel._met]


def test_panel_starts_on_the_worked_example():
    """1,000 × 15 × 8.34 × 0.4 = 50,040 lb (8.34 lb a gallon, handbook); over 2,500 sq ft 20 psf; 5.2 psf an inch."""
    pounds = 1000 * 15 * 8.34 * 0.4
    assert (pounds, pounds / 2500, pounds / 2500 / 5.2) == pytest.approx(
        (50040, 20.02, 3.85), abs=0.005
    )
    panel = weight_panel()
    for words in ("50,040 lb", "3.85 in deep", "20 psf", "Each minute adds 3,336 lb"):
        assert words in panel.view.reading
    assert not found(panel)


def test_time_to_the_mark_is_volume_over_flow():
    """4 in on 2,500 sq ft are 833.3 cu ft; 400 gpm staying are 400 × 231 / 1728 = 53.47 cu ft a minute."""
    assert 2500 * 4 / 12 / (400 * 231 / 1728) == pytest.approx(15.58, abs=0.01)
    assert "4 in deep after 15.6 min" in weight_panel().view.reading


def test_time_to_look_again_can_be_past():
    """After 16 minutes the mark of 15.6 is behind."""
    panel = weight_panel()
    panel.set(time=16)
    assert "It stood 4 in deep after 15.6 min" in panel.view.reading
    assert "is past" in panel.view.reading


def test_everything_running_off_leaves_nothing_and_no_time():
    """At 100 percent there is no division by nothing, and no promise."""
    panel = weight_panel()
    panel.set(running_off=100)
    assert "nothing stays" in panel.view.reading and "only while you see it" in panel.view.reading
    assert ("It stands as deep as the mark", "never") in panel.view.rows


def test_very_deep_water_says_that_it_finds_a_way():
    """2,000 gpm for an hour on 600 sq ft would stand 27 ft deep: no floor holds a pool like that."""
    panel = weight_panel()
    panel.set(flow=2000, time=60, running_off=0, floor=600)
    assert "finds a way" in panel.view.reading and "look again before" not in panel.view.reading


def test_every_control_changes_what_is_shown():
    """Words or picture follow each control."""
    panel = weight_panel()
    for name, value in {
        "flow": 500,
        "time": 20,
        "running_off": 30,
        "floor": 600,
        "mark": 6,
    }.items():
        panel.reset()
        before = panel.words.value, panel.picture.value
        panel.set(**{name: value})
        assert (panel.words.value, panel.picture.value) != before, name


@pytest.mark.parametrize("units", ["US", "metric"])
def test_each_task_can_be_met(units):
    """Blocked: 20 × 2,500 / 8,340 = 6 min. 80 percent off: 31 min. 70 percent off: 1.9 in."""
    panel = weight_panel(load_department().model_copy(update={"units": units}))
    assert not found(panel)
    panel.set(running_off=0, time=6)
    assert found(panel) == [0]
    panel.set(running_off=80)
    assert found(panel) == [0, 1]
    panel.set(running_off=70, time=10)
    assert found(panel) == [0, 1, 2]


def test_metric_department_reads_kilograms_and_millimetres():
    """3,800 L/min for 15 min, 40 percent staying: 22,800 L, a little less than 22,800 kg."""
    panel = weight_panel(load_department().model_copy(update={"units": "metric"}))
    assert "22,785 kg" in panel.view.reading and "98 mm" in panel.view.reading
    assert " lb" not in panel.view.reading and " in deep" not in panel.view.reading


def test_picture_says_its_numbers_and_scales_to_what_it_shows():
    """The scale of the depth ends in numbers whose quarters are plain."""
    assert all((end / 4 * 2).is_integer() for end in (*INCHES, *MILLIMETERS))
    ways = {"time": "30 min", "area": "2500 sq ft"}
    now, all_stays = (floor_load("1000 gpm", running_off=off, **ways) for off in ("60 %", "0 %"))
    mark = {"minutes": 30, "mark": quantity(4, "inch"), "mark_minutes": 15.6}
    for system, words in (("US", ("7.7 in", "psf")), ("metric", ("196 mm", "kPa"))):
        picture = water_rise(now, all_stays, system=system, **mark)
        assert all(one in picture.label for one in words)


def test_typed_questions_take_the_right_number_and_name_the_slips():
    """900 × 20 × 8.34 × 0.6 = 90,072 lb, × 0.4 = 60,048; 20 × 5,000 / 8,340 = 11.99 min. Then
    750 × 15 × 8.34 × 0.7 = 65,678 lb; 20 × 3,200 / 6,255 = 10.23 min."""
    for text in ("90072 lb", "90,072 lbf", "45 tons", "45.04 short tons", "40,856 kg"):
        assert ASKED["weight"].judge(text).right, text
    assert not ASKED["weight"].judge("75 tons").right
    assert "has run off" in ASKED["weight"].judge("60,048 lb").words
    assert "lb" in ASKED["weight"].judge("90072").words
    assert "lbf" not in ASKED["weight"].judge("90072").words
    assert ASKED["weight"].again.judge("65,678 lb").right
    assert ASKED["roof"].again.judge("10.2 min").right
    for text in ("12 min", "12 min 0 s", "720 s", "0 h 12 min"):
        assert ASKED["roof"].judge(text).right, text
    assert "8.34" in ASKED["roof"].judge("100 min").words
    assert not ASKED["roof"].judge("100 min").right
    assert not ASKED["roof"].judge("62 min").right


def cell(name):
    """The text of a cell of the lesson."""
    notebook = json.loads((LESSONS / "08_watch_the_water.ipynb").read_text(encoding="utf-8"))
    return next(c["source"] for c in notebook["cells"] if c["id"] == name)


def test_sums_told_in_the_text_are_the_formulas():
    """Pounds = gallons × 8.34; 5.2 psf an inch; a cubic foot is 1,728 / 231 gallons."""
    stays = [f"{1000 * 15 * 8.34 * share:,.0f} lb" for share in (0.5, 0.2, 0.1)]
    assert stays == ["62,550 lb", "25,020 lb", "12,510 lb"]
    assert all(pounds in cell("s8-even") for pounds in stays[:2])
    assert 20 / 5.2 == pytest.approx(4, abs=0.2) and "about 4 in deep" in cell("s8-blocked-title")
    first, then = (20 * 2500 / (1000 * 8.34 * share) for share in (0.4, 1))
    assert (first, then) == pytest.approx((15, 6), abs=0.02)
    assert "took fifteen minutes. The next take six" in cell("s8-blocked-words")
    minutes = {
        off: 2500 * 4 / 12 * 1728 / 231 / (1000 * (1 - off / 100)) for off in (20, 30, 80, 90)
    }
    assert minutes[30] - minutes[20] == pytest.approx(1, abs=0.2)
    assert minutes[90] - minutes[80] == pytest.approx(30, abs=1.5)
    assert f"{stays[2]} less" in cell("s8-try-title")
    assert "a minute later, or half an hour" in cell("s8-try-title")


def test_panel_shows_the_times_of_the_third_thing_to_try():
    """4 in stands after 7.8, 8.9, 31.2 and 62.3 minutes, by volume over flow."""
    panel = weight_panel()
    for off in (20, 30, 80, 90):
        panel.set(running_off=off)
        minutes = 2500 * 4 / 12 * 1728 / 231 / (1000 * (1 - off / 100))
        assert f"4 in deep after {minutes:.1f} min" in panel.view.reading


def test_depths_of_the_match_are_printed_ones():
    """5.2 psf an inch; 26 psf for 2 + 3 in is printed with the rain load."""
    assert [pair.right for pair in ASKED["depth"].pairs] == ["5.2 psf", "15.6 psf", "26 psf"]
