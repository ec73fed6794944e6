"""Lesson 00: its small panel can be moved, its tasks met, and its typed check takes what a crew would write."""

from math import cos, radians, sin, sqrt

import pytest

from aerialstream import load_department
from lessonkit import first_panel, progress
from lessonkit.content.lesson_00 import ASKED
from lessonkit.first_panel import landing


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def found(panel):
    """Which tasks are ticked."""
    return [n for n in range(len(panel.tasks)) if n in panel._met]


def feet_without_air(degrees):
    """Where a stone would land that leaves 50 ft up at the speed of 80 psi: sqrt(2 × 80 × 144 / 1.94) ft/s."""
    speed = sqrt(2 * 80 * 144 / 1.94)
    out, up = speed * cos(radians(degrees)), speed * sin(radians(degrees))
    return out * (up + sqrt(up * up + 2 * 32.174 * 50)) / 32.174


@pytest.mark.parametrize("degrees", [10, 30, 60])
def test_stream_lands_nearer_than_it_would_without_air(degrees):
    """Air only slows: the path in a vacuum is an upper bound that owes nothing to the kit."""
    throw = landing("1 3/4", f"{degrees} deg").throw.to("foot").magnitude
    assert 0.3 * feet_without_air(degrees) < throw < feet_without_air(degrees)


def test_panel_starts_where_the_prediction_does():
    """The far end that the question names is the one that the panel shows."""
    panel = first_panel()
    said = panel.view.reading.split(" out,")[0].removeprefix("The last of the water lands ")
    assert f"lands {said} out" in ASKED["raise"].words and not found(panel)


@pytest.mark.parametrize("units", ["US", "metric"])
def test_each_task_can_be_met(units):
    """A steep stream lands near; the smallest tip still throws far when it is not."""
    panel = first_panel(load_department().model_copy(update={"units": units}))
    assert not found(panel)
    panel.set(elevation=70)
    assert found(panel) == [0]
    panel.set(elevation=30, tip="1 3/8")
    assert found(panel) == [0, 1]


def test_every_control_changes_what_is_shown():
    """Words follow each control."""
    panel = first_panel()
    for name, value in {"elevation": 10, "tip": "2"}.items():
        panel.reset()
        before = panel.words.value
        panel.set(**{name: value})
        assert panel.words.value != before, name


def test_metric_department_reads_metres():
    """The same stream in metres."""
    panel = first_panel(load_department().model_copy(update={"units": "metric"}))
    assert " m out" in panel.view.reading and " ft" not in panel.view.reading


def test_typed_check_takes_pounds_in_more_than_one_spelling():
    """1,000 × 8.34 = 8,340 lb, the printed weight of a minute at 1,000 gpm."""
    for text in ("8340 lb", "8,340 lbf", "8340 pounds", "4.17 tons", "3783 kg"):
        assert ASKED["typed"].judge(text).right, text
    assert "8.34" in ASKED["typed"].judge("1000 lb").words
    assert ASKED["typed"].judge("8340").right is not True
