"""Lesson 09: the drill panel starts on the worked example, keeps up, and each task can be met."""

from math import radians, sin

import pytest

from aerialstream import load_department
from gradekit.drills.plan import Asked, Weather, on_the_day, plan_drill
from lessonkit import drill_shown, progress
from lessonkit.content.lesson_09 import ASKED
from lessonkit.drill_panel import WORKING, drill_panel


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def found(panel):
    """Which tasks are ticked."""
    return [n for n in range(len(panel.tasks)) if n in panel._met]


def test_panel_starts_on_the_worked_example():
    """By the printed formulas: 29.7 d² √p gpm, 1.57 d² p lbf, and the sum of the losses to the pump."""
    flow, push = 29.7 * 1.5**2 * 55**0.5, 1.57 * 1.5**2 * 55
    height = 0.434 * (8 + 36.4 * sin(radians(6.7)))
    pump = 55 + height + 50 * (flow / 1000) ** 2 + 0.066 * (flow / 100) ** 2 * 2
    assert (flow, push, pump) == pytest.approx((495.6, 194.3, 75.8), abs=0.2)
    panel = drill_panel()
    for words in ("36.4 ft at 6.7 deg", "55 psi", "496 gpm", "194 lbf", "pump 76 psi"):
        assert words in panel.view.reading
    assert "NO GO" in panel.view.reading and "open line" in panel.view.reading
    assert not found(panel)


def test_wind_beyond_the_entry_cannot_be_answered_away():
    """Tower 3's entry is 35 mph."""
    panel = drill_panel()
    panel.set(wind=35, answers="all")
    assert panel.view.reading.startswith("GO on paper")
    panel.set(wind=36)
    assert (
        panel.view.reading.startswith("NO GO: 1 failing, 0 open") and "BEYOND" in panel.view.reading
    )
    assert ">NO GO</th>" in panel.picture.value


def test_one_line_that_is_no_holds_the_drill():
    panel = drill_panel()
    panel.set(answers="radio")
    assert "1 failing, 0 open" in panel.view.reading
    panel.set(answers="all", lightning=True)
    assert "lightning" in panel.view.reading.casefold() and "NO GO" in panel.view.reading


def test_a_device_without_entries_leaves_blanks():
    panel = drill_panel()
    panel.set(device="ladder-9")
    assert "pump: blank" in panel.view.reading
    assert "not entered: see the operator's manual" in panel.view.limit


def test_every_control_changes_what_is_shown():
    panel = drill_panel()
    for name, value in {
        "evolution": "floor-sweep", "device": "platform-2", "site": "weir-street-mill", "wind": 30,
        "hydrant": 100, "lightning": True, "answers": "all",
    }.items():  # fmt: skip
        panel.reset()
        before = panel.words.value, panel.picture.value
        panel.set(**{name: value})
        assert (panel.words.value, panel.picture.value) != before, name
    panel.reset()
    rows = panel.view.rows
    panel.set(evolution="floor-sweep", wind=40)
    calm = panel.view.rows
    panel.set(wind_from="90 deg")
    assert panel.view.rows != calm != rows


def test_each_task_can_be_met():
    """A weak hydrant; every line go; a drill that there is no target for."""
    panel = drill_panel()
    panel.set(hydrant=100)
    assert found(panel) == [0]
    panel.reset()
    panel.set(answers="all")
    assert found(panel) == [0, 1]
    panel.set(site="gorse-lane-shops")
    assert "not on an upper storey" in panel.view.reading and found(panel) == [0, 1, 2]


def test_a_plan_is_searched_for_once_and_announced():
    """Moving wind or hydrant searches nothing; a new device says that it is at work."""
    panel, said = drill_panel(), []
    panel.words.observe(lambda change: said.append(change["new"]), names="value")
    for wind in range(10, 20):
        panel.set(wind=wind)
    assert len(panel.plans) == 1 and not any(WORKING in words for words in said)
    panel.set(device="platform-2")
    assert len(panel.plans) == 2 and any(WORKING in words for words in said)
    assert WORKING not in panel.words.value
    panel.set(device="tower-3")
    assert len(panel.plans) == 2


def test_a_dry_drill_has_no_hydrant_and_a_refused_one_no_day():
    panel = drill_panel()
    panel.set(evolution="dry-alignment")
    assert panel.controls["hydrant"].widget.layout.display == "none"
    assert panel.controls["wind"].widget.layout.display != "none"
    panel.set(evolution="window-in-line", site="gorse-lane-shops")
    assert panel.controls["wind"].widget.layout.display == "none"


def test_every_evolution_device_and_site_of_the_panel_shows_something():
    """A plan or its reasons, whatever is chosen; the dry ones too."""
    panel = drill_panel()
    for evolution in ("spot-and-plan", "rotation-awareness", "no-go-decision", "loss-and-shutdown"):
        for device in ("tower-3", "ladder-9", "platform-2"):
            panel.set(evolution=evolution, device=device)
            assert panel.view.reading and "None" not in panel.view.reading, (evolution, device)


def test_metric_department_reads_metres_and_meets_a_task():
    panel = drill_panel(load_department().model_copy(update={"units": "metric"}))
    for unit in (" ft", " psi", " gpm", " lbf", " mph"):
        assert unit not in panel.view.reading and unit + "<" not in panel.picture.value
    panel.set(hydrant=400)
    assert found(panel) == [0]


def test_set_up_comes_back_from_its_text():
    panel = drill_panel()
    panel.set(evolution="floor-sweep", wind=20, answers="all")
    text = panel.set_up
    panel.reset()
    assert panel.restore(text) == [] and panel.set_up == text


def test_made_up_day_differs_at_the_pump_alone_and_the_hose_would_explain_it():
    text = repr(drill_shown.drill_compared())
    assert text.count("more than planned") == 1 and "Discharge pressure" in text
    assert "Hose: coefficient" in text and "Waterway:" not in text
    assert "Pump operator" in repr(drill_shown.drill_note())


def test_card_is_offered_as_two_files_or_without_a_typesetter_as_one_and_it_is_said(monkeypatch):
    both = drill_shown.drill_card()._repr_html_()
    assert "drill-card.pdf" in both and "drill-card.html" in both
    monkeypatch.setattr(drill_shown, "find_spec", lambda name: None)
    alone = drill_shown.drill_card()
    assert "drill-card.pdf" not in alone._repr_html_() and "typesetter" in alone._repr_html_()
    assert "http" not in alone._repr_html_().replace("http-equiv", "")


def test_typed_question_takes_the_right_number_and_names_the_slips():
    """(400 / (29.7 × 1.5625))² = 74.3 psi."""
    assert (400 / (29.7 * 1.25**2)) ** 2 == pytest.approx(74.30, abs=0.01)
    assert ASKED["cap"].judge("74 psi").right
    assert "Square it" in ASKED["cap"].judge("8.6 psi").words
    assert "bore" in ASKED["cap"].judge("116 psi").words
    assert "usual" in ASKED["cap"].judge("80 psi").words


def test_a_day_from_another_day_is_the_same_as_from_the_plan():
    """What is kept from the day before must not be what has changed since."""
    asked = Asked(evolution="window-in-line", device="tower-3", site="drill-ground")
    plan = plan_drill(load_department(), asked)
    weak = {"hydrant": ("65 psi", "20 psi", "300 gpm")}
    windy = {"weather": Weather(wind="30 mph", wind_from="90 deg")}
    at_once = on_the_day(plan, **weak, **windy)
    by_steps = on_the_day(on_the_day(on_the_day(plan, **windy), **weak), **windy)
    assert at_once.lines() == by_steps.lines() != on_the_day(plan, **windy).lines()
    assert at_once.faults == by_steps.faults and at_once.predicted == by_steps.predicted


def test_answer_that_breaks_the_cap_is_not_right():
    """75 psi through 1 1/4 in flow 29.7 × 1.5625 × √75 = 402 gpm: over a cap of 400."""
    assert 29.7 * 1.25**2 * 75**0.5 > 400 > 29.7 * 1.25**2 * 74**0.5
    assert not ASKED["cap"].judge("75 psi").right and "cap" in ASKED["cap"].judge("75 psi").words
    assert "keeps the cap" in ASKED["cap"].judge("70 psi").words
