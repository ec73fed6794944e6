"""Lesson 04: how much water, and can we supply it?"""

from math import sqrt

import pytest

from aerialstream import load_department
from lessonkit import chain_panel, frame, progress
from lessonkit.content import lesson_04 as content
from lessonkit.start import LESSONS


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def panel():
    return chain_panel()


def _text(name):
    cells = frame.cells_of(LESSONS / "04_size_and_supply_the_flow.ipynb")
    return next(cell["source"] for cell in cells if cell["id"] == f"s4-{name}")


def _psi(value):
    return value.to("psi").magnitude


def test_panel_starts_with_the_worked_example(panel):
    """The trade's sums keyed in by hand: 29.7 d² √P; 0.434 psi a foot; squares of flow."""
    gpm = 29.7 * 1.75 * 1.75 * sqrt(80)
    lines = 0.8 * (gpm / 200) ** 2 * 3.5
    needed = 80 + 0.434 * 80 + 50 * (gpm / 1000) ** 2 + lines
    point, _ = panel.results
    assert point.flow.to("gpm").magnitude == pytest.approx(gpm, rel=0.002)
    assert _psi(point.lay) == pytest.approx(lines, rel=0.005)
    assert _psi(point.discharge_pressure) == pytest.approx(needed, abs=0.5)
    assert "None of the limits entered stands in the way" in panel.view.reading
    assert "✓" not in panel.list.value


def test_intake_follows_the_hydrant_test_and_its_line(panel):
    """Drop of the main as the flow to 1.85, the line's loss by the trade's formula."""
    point, _ = panel.results
    gpm = point.flow.to("gpm").magnitude
    by_hand = 80 - 20 * (gpm / 1100) ** (1 / 0.54) - 0.066 * (gpm / 100) ** 2 * 3
    assert _psi(point.intake) == pytest.approx(by_hand, abs=0.2)


def test_one_line_loses_four_times_what_two_lose(panel):
    two = _psi(panel.results[0].lay)
    panel.set(lay=("attack-3", 1))
    assert _psi(panel.results[0].lay) == pytest.approx(4 * two)
    panel.set(lay=("attack-3", 3))
    assert _psi(panel.results[0].lay) == pytest.approx(4 * two / 9)


def test_each_control_changes_what_it_should(panel):
    start = {name: getattr(panel.results[0], name) for name in ("flow", "lay", "elevation")}
    panel.set(height=40)
    assert panel.results[0].elevation < start["elevation"]
    panel.reset()
    panel.set(length=700)
    assert _psi(panel.results[0].lay) == pytest.approx(2 * _psi(start["lay"]))
    panel.reset()
    intake = panel.results[0].intake
    panel.set(supply=800)
    assert panel.results[0].intake < intake
    panel.reset()
    most = panel.results[1].binding.flow
    panel.set(pumper="engine-9")
    assert panel.results[1].binding.flow < most


def test_each_task_can_be_met(panel):
    panel.set(nozzle="tip-2", length=200)
    assert panel.list.value.count("✓") == 1
    panel.set(hydrant="lock")
    assert panel.list.value.count("✓") == 2
    panel.set(nozzle="tip-1-1/2", pressure=63)
    assert panel.list.value.count("✓") == 3


def test_near_miss_meets_no_task(panel):
    """More hose than there is; a marking gone beyond; half the flow by starving the tip."""
    panel.set(nozzle="tip-2", lay=("attack-3", 3))
    assert "the list shows" in panel.view.reading
    panel.set(lay=("supply-5", 1))
    assert "the hose's operating pressure" in panel.view.reading
    panel.set(lay=("attack-3", 2), pressure=40, nozzle="tip-1-3/4")
    assert "✓" not in panel.list.value


def test_what_nobody_tested_is_told_as_not_entered(panel):
    panel.set(device="ladder-9")
    assert dict(panel.view.rows)["Inlet"] == "not entered, taken as none"


def test_metric_department_reads_kilopascals():
    metric = chain_panel(load_department().model_copy(update={"units": "metric"}))
    assert metric.controls["pressure"].unit == "kilopascal"
    assert "L/min" in metric.view.reading and "psi" not in metric.list.value
    metric.set(nozzle="tip-2", length=60)
    assert metric.list.value.count("✓") == 1


def test_sums_in_the_text_can_be_keyed_in():
    """Written here anew."""
    two_inch = 29.7 * 4 * sqrt(80)
    assert f"{two_inch:,.0f} gpm" in _text("choose-title")
    assert f"{round(two_inch) * 8.34:,.0f} lb come in each minute" in _text("choose-title")
    assert round(sqrt(0.5), 1) == 0.7 and "seven tenths" in _text("choose-more")
    assert f"0.8 × 4.07 × 4.07 × 3.5 = {0.8 * 4.07**2 * 3.5:.0f} psi" in _text("pump-title")
    assert f"{60 - 20} psi may be spent" in _text("far-title")


def test_questions_say_what_the_sums_say():
    """Half of the 2-in tip's flow; the nearer engine; the marking of the 5-in hose."""
    full = 29.7 * 4 * sqrt(80)
    assert content._SMALL.to("gpm").magnitude == pytest.approx(full / 2, rel=0.02)
    assert content._FULL.broken and not content._NEARER.broken
    assert _psi(content._ONE_FIVE.discharge_pressure) > 185


def test_bars_end_where_the_pump_begins_and_name_the_limit_that_binds(panel):
    """The parts add up; the label has the numbers; nothing is lost in a set-up that cannot be."""
    point, _ = panel.results
    parts = (point.lay, point.inlet, point.waterway, point.elevation, point.nozzle_pressure)
    assert sum(map(_psi, parts)) == pytest.approx(_psi(point.discharge_pressure))
    assert "194 psi" in panel.view.pictures[0].label
    assert "the binding one first: rating of the pump" in panel.view.pictures[0].label
    panel.set(nozzle="tip-2", hydrant="lock")
    assert "the binding one first: water source" in panel.view.pictures[0].label
    assert panel.results[1].binding.flow < panel.results[0].flow


def test_department_without_pumpers_gets_an_invented_one_and_is_told():
    own = load_department().model_copy(update={"pumpers": ()})
    panel = chain_panel(own)
    assert "invented here: pumpers" in panel.view.limit
    assert "at the pump" in panel.view.reading
    assert "invented" not in chain_panel().view.limit


def test_sum_to_complete_by_hand():
    """29.7 d² √40 is 575; 0.8 × 2.876² × 3.5; and 40 + 34.7 + 16.5 on top."""
    kind = content.ASKED["fill"]
    for one, psi in ((kind, 40), (kind.again, 50)):
        gpm = 29.7 * 1.75 * 1.75 * sqrt(psi)
        lines = 0.8 * (gpm / 200) ** 2 * 3.5
        total = psi + 0.434 * 80 + 50 * (gpm / 1000) ** 2 + lines
        assert [float(gap.right) for gap in one.gaps] == pytest.approx([lines, total], abs=0.06)
        assert f"{gpm:.0f} gpm" in one.words
    assert kind.judge(["23", "114"]).right
    assert "through one line" in kind.judge(["92.7", "114"]).words
