"""Lesson 02: its panel starts on the worked example, each task can be met, its numbers come from outside."""

from math import atan, cos, degrees, radians, sin, sqrt

import pytest

from aerialstream import (
    angle_of_grade,
    line_clearance,
    load_department,
    pad_pressure,
    pad_size,
    tip_position,
)
from lessonkit import frame, progress, spot_panel
from lessonkit.content.lesson_02 import ASKED
from lessonkit.spot_panel import MILL_A, MILL_C, SHOP, TARGETS
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def _text(name):
    cells = frame.cells_of(LESSONS / "02_place_the_rig.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s2-{name}")


def found(panel):
    """Which tasks are ticked."""
    return [n for n in range(len(panel.tasks)) if n in panel._met]


def test_panel_starts_on_the_triangle_of_the_worked_example():
    """40 ft out and 2 ft more to the heel pin, 18.5 - 8 = 10.5 ft up: 43.3 ft at 14.0 deg."""
    panel = spot_panel()
    assert (42**2 + 10.5**2) ** 0.5 == pytest.approx(43.3, abs=0.05)
    assert "43.3 ft at 14 deg" in panel.view.reading
    assert "Nothing on the plan stands against" in panel.view.reading
    assert not found(panel)


def test_zone_is_asked_of_the_tip_as_well():
    """1.5 × 40 ft = 60 ft: a tip at 59 ft is inside, though the rig stands where it stood."""
    panel = spot_panel()
    panel.set(standoff=59)
    assert "tip inside the collapse zone" in panel.view.reading
    panel.set(zone=1)
    assert "tip inside" not in panel.view.reading


def test_rig_in_the_zone_on_the_pit_and_on_the_trailer_is_told():
    """The yard begins 160 ft up the plan: 215 is 55 ft from the wall; pit and trailer stand on the plan."""
    panel = spot_panel()
    panel.set(y=215)
    assert "part of the rig inside the collapse zone" in panel.view.reading
    panel.set(x=78, y=235)
    assert "covered wheel pit" in panel.view.reading or "hollow" in panel.view.reading
    panel.set(x=255, y=230)
    assert "trailer in the yard" in panel.view.reading or "overlaps" in panel.view.reading


def test_every_control_changes_what_is_shown():
    """Words or picture follow each control."""
    panel = spot_panel()
    for name, value in {
        "device": "platform-2",
        "zone": 2,
        "standoff": 70,
        "x": 140,
        "y": 280,
        "heading": 90,
        "everywhere": True,
        "target": MILL_A,
    }.items():
        panel.reset()
        before = panel.words.value, panel.picture.value
        panel.set(**{name: value})
        assert (panel.words.value, panel.picture.value) != before, name
        assert panel.picture.value.count("<svg") == 1


def test_each_task_can_be_met():
    """A place by hand for each; none is met by the other's."""
    panel = spot_panel()
    panel.set(device="ladder-9")
    assert not found(panel)  # 43 ft of 75 at a low angle is a cost
    panel.set(y=256)
    assert found(panel) == [0]
    panel.set(target=MILL_A, everywhere=True)
    assert found(panel) == [0, 1]
    assert "None of" in panel.view.reading
    panel.set(target=SHOP, everywhere=False, device="tower-3", standoff=26, x=133, y=43, heading=45)
    assert found(panel) == [0, 1, 2]


def test_whole_street_lies_in_the_zone_as_the_lesson_says():
    """Kerb at 58 ft up the plan, wall at 100: 42 ft. The zone is 60 ft."""
    options = ASKED["where"].options
    assert "42 ft" in options[0].reason and "60 ft" in options[0].reason


def test_reach_of_the_typed_question_is_the_triangle_of_the_zone():
    """1.5 × 24 = 36 ft, and 50 ft × cos 35 deg = 40.96 ft more."""
    asked = ASKED["zone"]
    assert asked.judge("77 ft").right
    for slip in ("36 ft", "71 ft", "86 ft"):  # rig alone; roof without parapet; length as reach
        assert not asked.judge(slip).right


def test_metric_department_reads_metres_and_meets_the_tasks_too():
    """The same plan, in metres."""
    panel = spot_panel(load_department().model_copy(update={"units": "metric"}))
    assert " m at 14 deg" in panel.view.reading and " ft" not in panel.view.reading
    panel.set(device="ladder-9", y=78)
    assert found(panel) == [0]


def test_department_of_one_rig_has_no_task_for_another():
    """A task that cannot be met is not set."""
    one = load_department()
    panel = spot_panel(one.model_copy(update={"apparatus": one.apparatus[:1]}))
    assert len(panel.tasks) == 2


def test_targets_are_on_the_demo_departments_plans():
    """Each target of the list can be looked at; the first is where the panel starts."""
    panel = spot_panel()
    assert panel.at.target == MILL_C
    for site, target, _ in TARGETS:
        panel.set(target=(site, target))
        assert panel.results is not None


def test_sums_in_the_text_can_be_keyed_in():
    """Written here anew, from the numbers as they stand in the text."""
    tip, pad, larger = _text("example-tip"), _text("example-pad"), _text("example-larger")
    assert (f"{cos(radians(50)):.3f}", f"{sin(radians(50)):.3f}") == ("0.643", "0.766")
    assert f"60 ft × 0.643 - 2 ft = **{60 * 0.643 - 2:.1f} ft**" in tip
    assert f"60 ft × 0.766 + 8 ft = **{60 * 0.766 + 8:.1f} ft**" in tip
    assert f"{29098 / 24**2:.2f} psi × 144 = **{50.52 * 144:,.0f} psf**" in pad
    assert f"= {29098 / 1500:.1f} sq ft" in larger
    assert f"√19.4 = {sqrt(19.4):.2f} ft" in larger and f"**{12 * sqrt(19.4):.1f} in**" in larger
    assert f"0.04, so the angle is **{degrees(atan(0.04)):.1f} degrees**" in _text("example-slope")
    assert f"0.4 in × 115 / 12 = {10 + 0.4 * 115 / 12:.1f} ft" in _text("example-line")


def test_sums_in_the_text_are_those_of_the_kit():
    """The lesson's own sums and the kit's calls give the same."""
    tip = tip_position(load_department().device("tower-3"), extension="60 ft", elevation="50 deg")
    assert tip.out.to("foot").magnitude == pytest.approx(36.6, abs=0.05)
    assert tip.up.to("foot").magnitude == pytest.approx(54.0, abs=0.05)
    psi = pad_pressure("29,098 lb", pad="24 in").value
    assert psi.to("psi").magnitude * 144 == pytest.approx(7275, abs=1)
    larger = pad_size("29,098 lb", bearing="1500 psf")
    assert larger.side.to("inch").magnitude == pytest.approx(52.9, abs=0.06)
    assert angle_of_grade("4 %").value.to("degree").magnitude == pytest.approx(2.3, abs=0.05)
    assert f"keep at least **{line_clearance('115 kV')}**" in _text("example-line")
