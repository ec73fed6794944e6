"""Lesson 07: its panel starts on the worked example, each task can be met, its numbers come from outside."""

from math import atan2, cos, degrees, radians, sin, tan

import pytest

from aerialstream import aim_through_opening, load_department, set_up_loads, sway_ratio
from aerialstream.aerials import tip_position
from aerialstream.department import DEMO_FOLDER
from lessonkit import low_panel, progress
from lessonkit.content.lesson_07 import ASKED
from lessonkit.frame import cells_of
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def found(panel):
    """Which tasks are ticked."""
    return [n for n in range(len(panel.tasks)) if n in panel._met]


def test_panel_starts_on_the_worked_example():
    """Nozzle 8 - 40 sin 5 = 4.51 ft up; under 8.5 ft from 15 ft away: 14.9 deg, 13.2 ft in."""
    up = 8 - 40 * sin(radians(5))
    climb = degrees(atan2(8.5 - up, 15))
    strike = (12 - up) * 15 / (8.5 - up) - 15
    assert (up, climb, strike) == pytest.approx((4.51, 14.9, 13.17), abs=0.03)
    panel = low_panel()
    for words in (
        "4.5 ft above the ground",
        "climbs 14.9 deg",
        "13.2 ft in",
        "15 ft in can be had",
    ):
        assert words in panel.view.reading
    assert not found(panel)


def test_small_travel_stops_ladder_9_whatever_the_distance():
    """10 degrees from a ladder 5 below level leave 5 above level, near or far."""
    panel = low_panel()
    panel.set(device="ladder-9")
    for away in (8, 15, 30):
        panel.set(standoff=away)
        assert "climbs 5 deg" in panel.view.reading and "nozzle's travel up" in panel.view.reading


def test_raised_nozzle_stands_above_the_head():
    """At 4 degrees 40 ft of Ladder 9 stand 7.5 + 2.79 = 10.3 ft up; the window ends at 9."""
    panel = low_panel()
    panel.set(device="ladder-9", elevation=4)
    assert "10.3 ft above the ground" in panel.view.reading
    assert "falls" in panel.view.reading and "never meets the joists" in panel.view.reading


def test_best_of_ladder_9_is_what_a_root_finder_found():
    """-1.70 degrees, 8.3 degrees up, 24.0 ft in (scipy's brentq on the two limits)."""
    panel = low_panel()
    panel.set(device="ladder-9", elevation=-2)
    assert "climbs 8 deg" in panel.view.reading
    assert "27 ft in" in panel.view.reading


def test_every_control_changes_what_is_shown():
    """Words or picture follow each control."""
    panel = low_panel()
    for name, value in {
        "device": "platform-2",
        "elevation": 2,
        "extension": 50,
        "standoff": 10,
        "depth": 9,
    }.items():
        panel.reset()
        before = panel.words.value, panel.picture.value
        panel.set(**{name: value})
        assert (panel.words.value, panel.picture.value) != before, name


def test_each_task_can_be_met():
    """Ladder 9 a little below level; close up; and far off with a longer, lower ladder."""
    panel = low_panel()
    panel.set(device="ladder-9", elevation=-2)
    assert found(panel) == [0]
    panel.set(device="tower-3", elevation=-5, standoff=6)
    assert found(panel) == [0, 1]
    panel.set(standoff=25, elevation=-6, extension=46)
    assert found(panel) == [0, 1, 2]


def test_controls_keep_to_the_chosen_device():
    """Ladder 9 has 32 to 75 ft and no less than -8 degrees."""
    panel = low_panel()
    panel.set(device="ladder-9", extension=100, elevation=-15)
    assert panel.controls["extension"].value == 75
    assert panel.controls["elevation"].value == -8


def test_least_elevation_is_the_departments_entry_or_none():
    """The kit has no limit of its own."""
    panel = low_panel()
    assert "-6 deg" in panel.view.limit and "chart 7-4" in panel.view.limit
    panel.set(device="ladder-9")
    assert "not entered" in panel.view.limit


def test_typed_questions_take_the_right_number_and_name_the_slips():
    """12 up from 4 below: 16; the worked example has 19."""
    assert ASKED["rise"].judge("16 deg").right
    assert "level" in ASKED["rise"].judge("12 deg").words
    assert "pointing up" in ASKED["rise"].judge("8 deg").words


def test_sum_to_complete_by_hand():
    """8 - 40 sin 4 is 5.2; 6.8 on 12 + 13 is 15.2 degrees; and 4 more from a ladder 4 below level."""
    kind = ASKED["fill"]
    assert 8 - 40 * sin(radians(4)) == pytest.approx(5.2, abs=0.05)
    climb = degrees(atan2(12 - 5.2, 25))
    assert [gap.right for gap in kind.gaps] == ["25", f"{climb:.1f}", f"{climb + 4:.1f}"]
    assert any("12 - 5.2 = 6.8 ft" in line for line in kind.lines)
    said = kind.judge(["25", "15.2", "11.2"])
    assert said.right is False and "counted as pointing up" in said.words
    climb = degrees(atan2(12 - 5.4, 9 + 11))  # 8 - 50 sin 3 is 5.4
    assert [gap.right for gap in kind.again.gaps] == ["20", f"{climb:.1f}", f"{climb + 3:.1f}"]
    for one in (kind, kind.again):  # under the head, 9 ft, with half a foot to spare
        row = one.gaps[0].row
        rise = (12 - row["nozzle"]) / (row["away"] + row["deep"])
        assert row["nozzle"] + rise * row["away"] < 8.5
    assert "tangent itself" in kind.judge(["25", "0.272", "19.2"]).words


def test_steepest_of_each_rig_is_the_sum_of_its_entry():
    """45 - 5, 10 - 5, and 45 from level on the platform."""
    assert [pair.right for pair in ASKED["read"].pairs] == ["40 degrees", "5 degrees", "45 degrees"]


def test_metric_department_reads_metres_and_meets_a_task():
    """The same shop in metres."""
    panel = low_panel(load_department().model_copy(update={"units": "metric"}))
    assert " m above the ground" in panel.view.reading and " ft" not in panel.view.reading
    assert not found(panel)
    panel.set(standoff=1.5)
    assert found(panel) == [1]


def test_what_the_text_says_of_sagging_holds_with_gravity_alone():
    """12.2 √80 ft/s: 8.3 degrees from 6.3 ft up never rise to 12 ft; 14 from 4.5 ft do 24 ft inside."""
    speed = 12.2 * 80**0.5
    assert 6.3 + (speed * sin(radians(8.3))) ** 2 / (2 * 32.2) < 12 - 1
    away = 15 + 24
    time = away / (speed * cos(radians(14)))
    assert 4.5 + away * tan(radians(14)) - 16.1 * time**2 == pytest.approx(12, abs=0.3)


def _printed(name):
    """A cell of the lesson, by its id."""
    (cell,) = [
        one for one in cells_of(LESSONS / "07_work_low_at_a_shop_front.ipynb") if one["id"] == name
    ]
    return cell["source"]


def test_sums_written_out_in_the_text_are_what_the_kit_finds():
    """Each stands in the lesson by hand, with rounded numbers; the kit works with all digits."""
    department = load_department(DEMO_FOLDER)
    tower, ladder = department.device("tower-3"), department.device("ladder-9")
    through = aim_through_opening(
        tower,
        elevation="-5 deg",
        extension="40 ft",
        standoff="15 ft",
        sill="1 ft",
        head="9 ft",
        ceiling="12 ft",
        margin="6 in",
        strike_depth="15 ft",
    )
    steepest = through.steepest.to("degree").magnitude
    assert through.depth_possible
    assert f"tangent of {steepest:.1f} degrees" in _printed("s7-example-window")
    up = tip_position(tower, extension="40 ft", elevation="-5 deg").up.to("foot").magnitude
    climb = degrees(atan2(12 - up, 15 + 15))
    assert f"= {up:.1f} ft" in _printed("s7-example-window")
    assert f"tangent of **{climb:.0f} degrees**" in _printed("s7-example-window")
    raised = tip_position(ladder, extension="40 ft", elevation="4 deg").up.to("foot").magnitude
    assert f"**{raised:.1f} ft**" in _printed("s7-example-ladder")
    bears = set_up_loads(
        tower,
        reaction="283 lbf",
        extension="40 ft",
        elevation="0 deg",
        pitch="33 deg",
        tip_load="0 lb",
        waterway_full=False,
    )
    assert "**169,560 lbf ft**" in _printed("s7-example-bears")
    assert bears.in_plane_moment.to("lbf * foot").magnitude == pytest.approx(169560, abs=10)
    sway = sway_ratio("410 lbf", extension="100 ft", other_side_load="240 lbf", other_extension="40 ft")  # fmt: skip
    assert "nearly 27 times" in _printed("s7-example-sway")
    assert "2,669 %" in str(sway)
