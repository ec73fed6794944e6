"""Panels, predictions, self-checks and what is kept of them, without a browser; the start page."""

import json
import re
import socket
import subprocess
import sys
import threading
from datetime import date
from http.server import BaseHTTPRequestHandler, HTTPServer
from types import SimpleNamespace

import nbformat
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from aerialstream import fog_reaction, load_department, reaction_at_tip, show, smooth_bore_reaction
from lessonkit import (
    compare,
    frame,
    glossary,
    home,
    kinds,
    manual_sheet,
    predict,
    progress,
    reading,
    self_check,
    start,
    teach,
    tip_panel,
)
from lessonkit import manual_sheet as sheet_call
from lessonkit.asking import OtherVersion
from lessonkit.content.lesson_03 import ASKED
from lessonkit.controls import Number as NumberControlRow
from lessonkit.controls import Scale, Switch
from lessonkit.panel import Panel, Task, View


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    """Each test starts without anything kept, and without a study folder."""
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


@pytest.fixture
def study(tmp_path, monkeypatch):
    """A member's study folder, as the start of the lessons makes it known."""
    folder = tmp_path / "study-2041"
    folder.mkdir()
    monkeypatch.setenv(progress.FOLDER_VARIABLE, str(folder))
    return folder


# --- the panel --------------------------------------------------------------------------------


def test_panel_starts_with_the_worked_example():
    """Before anything is moved the panel shows 1 3/4 in at 80 psi: 385 lbf in handbooks' formula."""
    panel = tip_panel()
    assert "385 lbf reaction" in panel.view.reading
    assert "in line with the ladder" in panel.words.value


def test_panel_follows_every_control():
    """Each control changes words and picture, and the numbers are those of the public calls."""
    panel = tip_panel()
    panel.set(rotation=30, extension=75)
    push = smooth_bore_reaction("1 3/4 in", nozzle_pressure="80 psi").value
    split = reaction_at_tip(push, rotation="30 deg", extension="75 ft")
    assert show(abs(split.side)) in panel.words.value
    assert show(abs(split.side_moment)) in panel.words.value
    panel.set(kind="fog", pressure=100)
    assert "505 lbf reaction" in panel.view.reading  # 1,000 gpm at 100 psi, as printed
    seen = panel.picture.value
    panel.controls["flow"].slider.value = 500
    assert panel.picture.value != seen and panel.picture.value.count("<svg") == 1


def test_panel_number_box_is_the_sliders_twin():
    """Typing a number and moving the slider are one and the same."""
    panel = tip_panel()
    panel.controls["rotation"].box.value = -20
    assert panel.controls["rotation"].slider.value == -20
    assert "20 deg to the right" in panel.view.reading


def test_panel_device_change_keeps_controls_in_its_range():
    """A device's own extension and nozzle travel bound the controls."""
    panel = tip_panel()
    panel.set(extension=100, rotation=60)
    panel.controls["device"].list.value = "ladder-9"
    extension, rotation = panel.controls["extension"], panel.controls["rotation"]
    assert extension.slider.max == 75 and extension.value == 75
    assert rotation.slider.max == 45 and rotation.value == 45
    assert "not entered: see the operator&#x27;s manual" in panel.words.value


def test_panel_reset_returns_to_the_start():
    """The reset button brings back what stood there first, whatever device was chosen."""
    panel = tip_panel()
    before = panel.words.value, panel.picture.value, panel.set_up
    panel.set(device="ladder-9", rotation=45, kind="fog")
    panel.reset_button.click()
    assert (panel.words.value, panel.picture.value, panel.set_up) == before


def test_panel_hides_only_the_control_that_does_not_belong():
    """With a smooth bore there is no flow to set, with fog no tip; all else stays."""
    panel = tip_panel()

    def hidden():
        return {n for n, c in panel.controls.items() if c.widget.layout.display == "none"}

    assert hidden() == {"flow"}
    panel.set(kind="fog")
    assert hidden() == {"tip"}


def test_panel_speaks_metric_for_a_metric_department():
    """A department that works in metric sees kPa, L/min, m and N."""
    panel = tip_panel(load_department().model_copy(update={"units": "metric"}))
    panel.more.value = True
    text = panel.words.value + panel.picture.value + panel.table.value
    assert " N reaction" in text and "L/min" in text and "N·m" in text
    assert "lbf" not in text and " psi" not in text


def test_panel_every_set_up_of_the_demo_renders():
    """Every device, nozzle kind and tip at the ends of every slider gives one picture."""
    panel = tip_panel()
    for device in [value for _, value in panel.controls["device"].options]:
        for kind in ("smooth bore", "fog"):
            panel.set(device=device, kind=kind)
            for name in ("pressure", "rotation", "extension", "flow"):
                for end in ("min", "max"):
                    slider = panel.controls[name].slider
                    slider.value = getattr(slider, end)
                    assert panel.picture.value.count("<svg") == 1
                    assert not re.search(r"\bnan\b", panel.words.value, re.IGNORECASE)


def test_panel_words_come_before_the_picture():
    """Who listens to the page meets the result first."""
    panel = tip_panel()
    side = panel.words.comm and panel.widget.children[-1].children
    assert side.index(panel.words) < side.index(panel.picture) < side.index(panel.table)


def test_panel_table_stays_open_while_numbers_change():
    """An opened table follows the controls and does not fold by itself."""
    panel = tip_panel()
    assert panel.table.value == ""
    panel.more.value = True
    before = panel.table.value
    panel.set(rotation=30)
    assert panel.more.value and panel.table.value != before and "Side load" in panel.table.value


# --- a set-up as text -------------------------------------------------------------------------


@settings(deadline=None, max_examples=40)
@given(
    st.sampled_from(["tower-3", "ladder-9"]),
    st.sampled_from(["smooth bore", "fog"]),
    st.integers(40, 150),
    st.integers(-45, 45),
    st.integers(40, 75),
)
def test_set_up_pasted_elsewhere_brings_the_same_page_back(device, kind, psi, degrees, feet):
    """Whatever stands in the controls survives the way through its text."""
    one, other = tip_panel(), tip_panel()
    one.set(device=device, kind=kind, pressure=psi, rotation=degrees, extension=feet)
    assert other.restore(one.set_up) == []
    assert other.set_up == one.set_up
    assert (other.words.value, other.picture.value) == (one.words.value, one.picture.value)


def test_set_up_box_copies_and_takes_back():
    """The button fills the box; a text put into the box moves the controls."""
    panel = tip_panel()
    panel.set(rotation=30)
    panel.copy_button.click()
    text = panel.set_up_box.value
    assert text == panel.set_up and "rotation 30 deg" in text
    panel.reset()
    assert panel.set_up_box.value == ""  # else the same text, pasted, would be no change
    panel.set_up_box.value = text
    assert panel.controls["rotation"].value == 30
    assert "back" in panel.set_up_said.value


def test_reset_sends_new_ends_and_value_as_one_message(monkeypatch):
    """One by one, the slider on the page answers the new ends with its old value."""
    panel = tip_panel()
    panel.set(device="ladder-9", extension=40)
    slider, sent = panel.controls["extension"].slider, []
    monkeypatch.setattr(slider, "send_state", lambda key=None: sent.append(set(key)))
    panel.reset()
    assert len(sent) == 1 and {"max", "value"} <= sent[0]


def test_set_up_text_from_a_metric_station_is_converted():
    """550 kPa pasted at a station that works in psi is 80 psi."""
    panel = tip_panel()
    assert panel.restore("tip; pressure 551.6 kPa") == []
    assert panel.controls["pressure"].value == pytest.approx(80, abs=0.01)


def test_set_up_that_cannot_be_read_names_every_fault_and_moves_nothing():
    """Faults are told at once, and half a set-up is not taken over."""
    panel = tip_panel()
    faults = panel.restore("tip; rotation 20 deg; colour red; tip banana; pressure much")
    assert [w in f for w, f in zip(("colour", "banana", "much"), faults, strict=True)] == [True] * 3
    assert panel.controls["rotation"].value == 0
    assert "no set-up of this panel" in panel.restore("spot; x 3 ft")[0]


# --- tasks, and a small panel of our own ------------------------------------------------------


def test_tasks_of_the_panel_are_open_at_first_and_ticked_when_met():
    """None is met before anything is moved; each can be met; a met one stays met."""
    panel = tip_panel()
    assert "✓" not in panel.list.value
    panel.set(rotation=30)
    panel.set(rotation=35, extension=45)  # beyond what Larkmoor entered for this flow
    assert panel.view.limit.startswith("BEYOND") and panel.list.value.count("✓") == 1
    panel.set(rotation=30, tip="1 1/2")
    assert panel.list.value.count("✓") == 2
    panel.reset()
    panel.set(kind="fog", pressure=100)
    assert panel.list.value.count("✓") == len(panel.tasks)
    assert tip_panel().list.value.count("✓") == len(panel.tasks)  # when opened again


def small_panel(**more):
    return Panel(
        "99",
        "small",
        controls=(
            NumberControlRow("pressure", "Pressure", Scale("psi", 40, 120, 5, 80)),
            Switch("wind", "Wind"),
        ),
        compute=lambda at: smooth_bore_reaction("1 3/4 in", nozzle_pressure=at.pressure),
        view=lambda at, result: View(reading=f"{result} {at.wind}", rows=result.lines(at.system)),
        tasks=(Task("Above 500.", lambda at, result: result.value.magnitude > 500),),
        **more,
    )


def test_panel_switch_reaches_the_result_and_the_set_up():
    """On and off are seen by `view` and kept in the text."""
    panel = small_panel()
    panel.controls["wind"].box.value = True
    assert panel.view.reading == "385 lbf True" and panel.set_up.endswith("wind on")
    assert panel.restore("small; wind off") == [] and panel.view.reading == "385 lbf False"


def test_panel_that_cannot_compute_says_so_and_goes_on():
    """An impossible set-up is told in words; the next one works again."""
    from aerialstream.errors import ImpossibleValue

    def refuse(at):
        if at.pressure.magnitude > 100:
            raise ImpossibleValue("No pump gives that.")
        return smooth_bore_reaction("1 3/4 in", nozzle_pressure=at.pressure)

    panel = small_panel()
    panel._compute = refuse
    panel.set(pressure=110)
    assert "No pump gives that." in panel.words.value and panel.picture.value == ""
    panel.set(pressure=80)
    assert "385 lbf" in panel.words.value


def test_panel_runs_without_numpy():
    """In a browser there is no numpy; the panel and the questions do without."""
    program = (
        "import sys; sys.modules['numpy'] = None\n"
        "from lessonkit import tip_panel, self_check, predict\n"
        "p = tip_panel(); p.set(rotation=30); print(p.view.reading)\n"
        "self_check('03', 'target').press(); predict('03', 'turn').press()\n"
        "assert sys.modules['numpy'] is None"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert "side load" in done.stdout


# --- kinds of questions -----------------------------------------------------------------------

OPTIONS = (
    kinds.Option("one", "one holds because of this", right=True),
    kinds.Option("two", "two does not hold because of that"),
    kinds.Option("three", "three holds because of this", right=True),
)


def test_several_asks_for_all_that_hold_and_no_more():
    """A wrong tick is told with its reason; a missing one is counted, then told by its reason."""
    kind = kinds.Several("Which?", OPTIONS)
    field = kind.field()
    assert kind.judge(field.answer).right is None
    field.answer = [0, 1]
    said = kind.judge(field.answer)
    assert said.right is False and "two does not hold" in said.words and "three" not in said.words
    field.answer = [2]
    said = kind.judge(field.answer)
    assert said.right is False and "one holds because of this" in said.words
    field.answer = [0, 2]
    assert field.answer == [0, 2] and kind.judge([0, 2]).right


def test_order_is_mixed_told_by_reason_and_moved_by_buttons():
    """It never stands right at first; the arrows bring it into order."""
    kind = ASKED["target"]
    field = kind.field()
    assert kind.shown != sorted(kind.shown) and kind.judge(field.answer).right is None
    rows = field.widget.children
    # Bubble sort by the buttons alone.
    for _ in range(len(rows)):
        for place, row in enumerate(rows[:-1]):
            order = field.answer or list(kind.shown)
            if order[place] > order[place + 1]:
                row.children[1].click()
    assert field.answer == sorted(field.answer) and kind.judge(field.answer).right
    wrong = kind.judge([3, 0, 1, 2])
    assert wrong.right is False and "Open up slowly" in wrong.words and "still" in wrong.words


@given(st.permutations(range(4)))
def test_order_only_the_given_one_is_right(order):
    """Any other order is told with a step that stands too early."""
    said = ASKED["target"].judge(list(order))
    assert said.right == (list(order) == [0, 1, 2, 3])
    assert said.right or "too early" in said.words


def test_find_fault_tells_why_each_step_is_or_is_none():
    """Every step has its reason."""
    kind = kinds.FindFault("Which step?", (OPTIONS[1], OPTIONS[0]))
    assert kind.judge(None).right is None
    assert kind.judge(0) == kinds.Said(False, f"No fault in step 1. {OPTIONS[1].reason}")
    assert kind.judge(1).right and "Step 2" in kind.solution


def _match():
    own = (kinds.Option("fourth", "Fourth is what b would like to be."),)
    pairs = (
        kinds.Pair("a", "first", "a is first.", "First has none before it."),
        kinds.Pair("b", "second", "b is second.", "Second has one before it.", own),
    )
    extra = (kinds.Option("third", "Third has two."), kinds.Option("fourth", "Fourth has three."))
    return kinds.Match("Which belongs to which?", pairs, extra)


def test_match_tells_what_the_wrong_choice_is_but_not_the_answer():
    """What was chosen is told by its own sentence; what does belong there is not said."""
    kind = _match()
    field = kind.field()
    field.answer = ["first", "third"]
    said = kind.judge(field.answer)
    assert said == kinds.Said(False, "b: not “third”. Third has two.")
    assert kind.judge(["first", "second"]).right and kind.judge(["first", ""]).right is None
    assert kind.judge(["second", "first"]).words.splitlines() == [
        "a: not “second”. Second has one before it.",
        "b: not “first”. First has none before it.",
    ]


def test_match_likely_wrong_choice_has_its_own_reason_and_one_reason_is_said_once():
    """The same thing chosen twice is told in one line, unless the reasons differ."""
    kind = _match()
    assert kind.judge(["third", "third"]).words == "a; b: not “third”. Third has two."
    assert kind.judge(["fourth", "fourth"]).words.splitlines() == [
        "a: not “fourth”. Fourth has three.",
        "b: not “fourth”. Fourth is what b would like to be.",
    ]
    told = dict(kind.wrong_answers)
    assert told["“first” elsewhere"] == "First has none before it."
    assert told["“fourth” for “b”"] == "Fourth is what b would like to be."


def test_several_reasons_are_a_list_on_the_page(monkeypatch):
    """Each pair has its own point below the button."""
    monkeypatch.setitem(ASKED, "pairs", _match())
    asked = self_check("03", "pairs")
    asked.field.answer = ["second", "first"]
    asked.button.click()
    assert re.search(r"one before it\.</li><li[^>]*>b: not", asked.said.value)
    asked.field.answer = ["first", "second"]
    asked.button.click()
    assert re.search(r">a is first\.</li><li[^>]*>b is second\.</li>", asked.said.value)


@pytest.mark.parametrize("kind", [*ASKED.values(), kinds.Several("Which?", OPTIONS)], ids=lambda k: k.name)  # fmt: skip
def test_kind_answer_that_does_not_fit_any_more_leaves_the_field_blank(kind):
    """What an older version kept never stops the page."""
    field = kind.field()
    field.answer = {"from": "long ago"}
    assert kind.judge(field.answer).right is None
    assert kind.solution and kind.on_paper


# --- predictions and self-checks --------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n, a in ASKED.items() if isinstance(a, kinds.Choice)])
def test_choice_has_one_right_option_and_a_reason_for_each(name):
    """Nobody is told "wrong" without a reason."""
    choice = ASKED[name]
    assert sum(option.right for option in choice.options) == 1
    assert all(len(option.reason) > 20 for option in choice.options)


def test_prediction_kept_then_compared():
    """The comparison quotes what was kept and, where it was wrong, what is the case."""
    asked = predict("03", "turn")
    asked.button.click()
    assert "Answer first" in asked.said.value
    asked.field.answer = 0
    asked.button.click()
    assert "Kept" in asked.said.value
    box = compare("03", "turn")
    box.button.click()
    assert "You predicted" in box.said.value and "About half" in box.said.value
    half = show(fog_reaction("1000 gpm", nozzle_pressure="100 psi").value / 2)
    assert half == "253 lbf" and half in box.said.value


def test_compare_without_prediction_asks_for_one():
    """Comparing first is answered calmly."""
    box = compare("03", "turn")
    box.button.click()
    assert "No prediction kept yet" in box.said.value


def test_self_check_number_tells_slip_from_right():
    """The typed answer is read and judged like those of the graded exercise."""
    asked = self_check("03", "tip")
    for typed, words in (
        ("", "Nothing written yet"),
        (f"{1.57 * 1.625 * 75:.0f} lbf", "was not squared"),
        (f"{1.57 * 1.625**2 * 75:.0f}", "no unit"),
        (f"{1.57 * 1.625**2 * 75:.0f} psi", "unit of pressure"),
        (f"{1.57 * 1.625**2 * 75:.0f} lb", "Right"),
    ):
        asked.field.answer = typed
        asked.button.click()
        assert words in asked.said.value, typed


def test_page_of_another_version_is_told_in_words():
    """A question or a lesson that this kit does not have does not end in an error message."""
    for shown in (self_check("03", "gone"), predict("98", "turn"), compare("98", "turn")):
        assert isinstance(shown, OtherVersion) and "another version" in shown._repr_html_()
    assert isinstance(sheet_call("98"), OtherVersion)


# --- kept as it happens -----------------------------------------------------------------------


def test_answers_stand_there_again_when_the_lesson_is_opened_the_next_time(study):
    """What was predicted and checked comes back, with what was said to it."""
    for name, answer in (("lighter", 0), ("tip", "311 lbf"), ("target", [0, 1, 2, 3])):
        asked = self_check("03", name)
        asked.field.answer = answer
        asked.button.click()
    asked = predict("03", "turn")
    asked.field.answer = 2
    asked.button.click()
    assert predict("03", "turn").field.answer == 2 and "Kept" in predict("03", "turn").said.value
    for name in ("lighter", "tip", "target"):
        again = self_check("03", name)
        assert "✓ Right" in again.said.value, name
    assert self_check("03", "rule").said.value == ""


def test_first_right_answer_stays_and_tries_are_counted(study):
    """A later wrong answer does not take back what was right."""
    for answer in (1, 0, 2):
        asked = self_check("03", "lighter")
        asked.field.answer = answer
        asked.button.click()
    kept = progress.entries("03", "checks")["lighter"]
    assert kept["tries"] == 3 and kept["right"] is False
    assert kept["first_right"] == date.today().isoformat()


@pytest.mark.parametrize("broken", ["", "{", "[1, 2]", '{"checks": 3}', "\x00\x01"])
def test_broken_file_is_set_aside_and_the_lesson_goes_on(study, broken):
    """A file spoiled by a dead battery costs its content only, and even that is kept aside."""
    path = study / progress.KEPT_IN / "lesson-03.json"
    path.parent.mkdir()
    path.write_text(broken, encoding="utf-8")
    asked = self_check("03", "lighter")
    asked.field.answer = 0
    asked.button.click()
    assert "✓ Right" in asked.said.value
    assert progress.entries("03", "checks")["lighter"]["right"]
    (aside,) = path.parent.glob("lesson-03 unreadable*")
    assert aside.read_text(encoding="utf-8") == broken


def test_interrupted_write_leaves_the_old_file_whole(study, monkeypatch):
    """Whatever happens while it is written, what was kept before is still there."""
    progress.note("03", "predictions", "turn", {"answer": 1})

    def no_more(*a):
        raise OSError("disk full")

    monkeypatch.setattr("os.replace", no_more)
    progress.note("03", "predictions", "turn", {"answer": 2})
    assert progress.entries("03", "predictions")["turn"]["answer"] == 1
    assert not list((study / progress.KEPT_IN).glob("*.part"))


def test_nothing_is_written_where_there_is_no_study_folder(tmp_path, monkeypatch):
    """A notebook opened elsewhere leaves no file behind."""
    monkeypatch.chdir(tmp_path)
    asked = self_check("03", "lighter")
    asked.field.answer = 0
    asked.button.click()
    assert list(tmp_path.iterdir()) == [] and "✓ Right" in self_check("03", "lighter").said.value


# --- the manual's sheet -----------------------------------------------------------------------


def test_manual_sheet_is_kept_for_each_device_and_printed(study):
    """What is typed for one device does not show for another; the page to print has both."""
    sheet = manual_sheet("03")
    sheet.boxes["rotation"].value = "15 deg, p. 4-12 <b>"
    sheet.device.value = "ladder-9"
    assert sheet.boxes["rotation"].value == ""
    sheet.boxes["rotation"].value = "10 deg"
    again = manual_sheet("03")
    assert again.boxes["rotation"].value == "15 deg, p. 4-12 <b>"
    page = (study / "my-manual-sheet.html").read_text(encoding="utf-8")
    assert "15 deg, p. 4-12 &lt;b&gt;" in page and "10 deg" in page
    assert "The manual of the device you stand on decides" in page


def test_manual_sheet_broken_file_is_set_aside(study):
    """A spoiled sheet starts anew and is kept aside."""
    path = study / progress.KEPT_IN / "my manual sheet.json"
    path.parent.mkdir()
    path.write_text("[", encoding="utf-8")
    assert manual_sheet("03").boxes["rotation"].value == ""
    assert len(list(path.parent.glob("*unreadable*"))) == 1


# --- start page -------------------------------------------------------------------------------

PLAN = {
    "title": "T",
    "lesson": [
        {"number": "03", "notebook": "03_nozzle_reaction.ipynb", "title": "Ladder", "minutes": 24,
         "question": "?", "assignment": "nozzle-reaction"},
    ],
}  # fmt: skip


def answered(*names, day="2026-01-31"):
    for name in names:
        progress.note("03", "checks", name, {"right": True, "last_right": day, "first_right": day})


def test_start_page_shows_what_is_left_in_minutes(study):
    """Half of the checks done is half of the minutes left."""
    page = home.start_page(PLAN, folder=study)
    assert "not begun" in page and "about 24 minutes" in page
    answered("tip", "rule")
    page = home.start_page(PLAN, folder=study)
    assert "2 of 5 checks, about 14 minutes left" in page


def test_start_page_shows_done_and_due_by_the_departments_rule(study):
    """Done with its date; due when the department's months for theory are over."""
    answered("tip", "rule", "lighter", "target", "limit")
    months = home.months_of_theory(PLAN["lesson"][0])
    assert months == load_department().completion.theory_lasts_months
    now = home.standing(PLAN["lesson"][0], study, months)
    assert now.done and now.minutes_left == 0 and now.due == home.months_later(now.done_on, months)
    before = home.start_page(PLAN, folder=study, today=date(2026, 2, 1))
    assert "✓ done 2026-01-31, go over it again by" in before and "to go over" not in before
    after = home.start_page(PLAN, folder=study, today=now.due)
    assert "go over it again: 24 minutes" in after and "**Lessons to go over again:**" in after


def test_months_later_keeps_to_the_months_last_day():
    """A day that the month does not have becomes its last."""
    assert home.months_later(date(2026, 1, 31), 1) == date(2026, 2, 28)
    assert home.months_later(date(2027, 8, 31), 6) == date(2028, 2, 29)
    assert home.months_later(date(2026, 12, 15), 12) == date(2027, 12, 15)


def test_start_page_is_written_anew_as_things_are_done(study):
    """Coming back from a lesson, the member sees it."""
    home.write(study, "2041")
    assert "not begun" in (study / "start.md").read_text(encoding="utf-8")
    answered("tip")
    page = (study / "start.md").read_text(encoding="utf-8")
    assert "1 of" in page and "Member 2041" in page


# --- words and readability --------------------------------------------------------------------


def test_glossary_links_the_first_use_only_and_no_heading():
    """The first use in running text is linked; headings, bold words and links stay."""
    texts, linked = glossary.marked(["# The reaction", "A **reaction** is a reaction, a reaction."])
    assert texts[0] == "# The reaction"
    assert texts[1].startswith("A **reaction** is a [reaction](glossary.md#reaction ")
    assert texts[1].endswith(", a reaction.") and linked == ["reaction"]


def test_glossary_longer_words_are_not_cut_up():
    """ "operator's manual" is one term."""
    texts, linked = glossary.marked(["See the operator's manual."])
    assert linked == ["operator's manual"] and texts[0].count("](") == 1


def test_glossary_every_term_is_plain_and_there_once():
    """A sentence or two for each, no word twice."""
    words = [w.casefold() for t in glossary.terms() for w in (t["word"], *t.get("also", []))]
    assert len(set(words)) == len(words)
    for term in glossary.terms():
        assert term["means"].endswith(".") and 3 <= len(term["means"].split()) <= 40, term["word"]
    assert all(f"### {t['word']}" in glossary.page() for t in glossary.terms())


def test_readability_counts_by_hand():
    """Two sentences of four words; one word of three syllables or more among eight."""
    figure = reading.readability("The rig stands still. **Elevation** is an angle.")
    assert figure.sentence == 4 and figure.long_words == pytest.approx(12.5)


@pytest.mark.parametrize(("word", "count"), [("hose", 1), ("ladder", 2), ("table", 2), ("pinned", 1), ("elevation", 4)])  # fmt: skip
def test_syllables_counted_by_ear(word, count):
    """Near enough for a measure."""
    assert reading.syllables(word) == count


# --- the frame --------------------------------------------------------------------------------


def sound_lesson():
    lesson = next(one for one in start.syllabus()["lesson"] if one["number"] == "03")
    return lesson, frame.cells_of(start.LESSONS / lesson["notebook"])


def _without(tag):
    return lambda cells: [c for c in cells if frame.frame_tag(c) != tag]


def _moved(cells):
    return [cells[-1], *cells[:-1]]


def _changed(name, **change):
    return lambda cells: [{**c, **change} if c["id"] == name else c for c in cells]


def _three_checks(cells):
    checks = [c["id"] for c in cells if "self_check(" in c["source"]]
    return [c for c in cells if c["id"] not in checks[3:]]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_without("talk"), "there is no cell tagged talk"),
        (_without("sources"), "there is no cell tagged sources"),
        (_without("cautions"), "there is no cell tagged cautions"),
        (_moved, "stands after next"),
        (_changed("s3-talk", metadata={"tags": []}), "s3-talk: needs exactly one tag"),
        (_changed("s3-talk", metadata={"tags": ["talk", "case"]}), "s3-talk: needs exactly one tag"),
        (_changed("s3-panel", metadata={"tags": ["try"]}), "s3-panel: the code is not folded"),
        (_changed("s3-panel", source="x = 1\n" * 7), "s3-panel: 8 lines of code, at most 6"),
        (_three_checks, "3 self-checks, at least 4"),
        (_changed("s3-check-tip", source='self_check("03", "none")'), "nothing called “none”"),
        (_changed("s3-compare", source=""), "the prediction “turn” is never compared"),
        (_changed("s3-recap", source="## Recap"), "the recap lacks “**In line:”"),
        (_changed("s3-goal", source="# What"), "the goal cell does not say 20 minutes"),
        (_changed("s3-manual", source=""), "there is no manual_sheet"),
    ],
)  # fmt: skip
def test_frame_fault_of_each_kind_is_found(change, said):
    """Spoil a sound lesson in one way, and that fault is named."""
    lesson, cells = sound_lesson()
    assert frame.faults(lesson, cells) == []
    assert any(said in fault for fault in frame.faults(lesson, change(cells)))


# --- the instructor's side --------------------------------------------------------------------


def test_instructor_page_has_timing_talking_points_and_every_solution():
    """Made from the same notebook and content: it cannot tell another story than the lesson."""
    lesson, cells = sound_lesson()
    page = teach.instructor_page(lesson, cells)
    for name in ("turn", "tip", "lighter", "rule", "target"):
        assert ASKED[name].words in page and ASKED[name].solution in page
    assert "## Timing" in page and "what to ask back" in page
    assert sum(part["minutes"] for part in teach.teaching("03")["timing"]) == lesson["minutes"]


def test_handout_has_text_pictures_questions_and_no_answer():
    """A room without computers gets everything but the controls."""
    lesson, cells = sound_lesson()
    page = teach.handout(lesson, cells)
    assert page.count("<svg") >= 1 and "<img" in page and "☐" in page
    assert "385 lbf" in page and ASKED["lighter"].words in page.replace("&#x27;", "'")
    assert "✓" not in page and ASKED["lighter"].options[0].reason not in page
    assert "http" not in page.replace("http://www.w3.org", "")
    assert "permits anything" in page


def test_handout_is_printed_as_pdf_where_there_is_a_browser(tmp_path):
    """A real PDF comes out."""
    if teach.browser() is None:
        pytest.skip("no Chromium found; install Debian's package chromium")
    (page, pdf) = teach.write_handouts(tmp_path, start.syllabus(), "03")
    assert page.suffix == ".html" and pdf.read_bytes().startswith(b"%PDF-")


def test_version_clash_is_told_in_words():
    """The package, its version and what to do about it."""
    assert start.version_clash() is None
    said = start.version_clash({"ipywidgets": "7.8.1"})
    assert "ipywidgets is version 7.8.1, version 8 is needed" in said and ".venv" in said


# --- study folder and start -------------------------------------------------------------------


def test_study_folder_keeps_a_members_work(tmp_path):
    """A newer version of a file comes in beside the work that was done on the old one."""
    source, target, kept = tmp_path / "new.ipynb", tmp_path / "study" / "a.ipynb", {}

    def version(text):
        nb = nbformat.v4.new_notebook(cells=[nbformat.v4.new_markdown_cell(text)])
        nbformat.write(nb, source)

    version("one")
    start.copy_in(source, target, kept)
    target.write_text("my own work", encoding="utf-8")
    start.copy_in(source, target, kept)
    assert target.read_text(encoding="utf-8") == "my own work"
    version("two")
    start.copy_in(source, target, kept)
    assert "two" in target.read_text(encoding="utf-8")
    aside = list((target.parent / start.KEPT_ASIDE).iterdir())
    assert [p.read_text(encoding="utf-8") for p in aside] == ["my own work"]
    version("three")
    start.copy_in(source, target, kept)
    assert len(list((target.parent / start.KEPT_ASIDE).iterdir())) == 1


def test_start_page_names_every_lesson_and_only_files_that_exist():
    """Each lesson of the syllabus is there, and its notebook too."""
    plan = start.syllabus()
    page = home.start_page(plan)
    for lesson in plan["lesson"]:
        assert (start.LESSONS / lesson["notebook"]).is_file()
        assert lesson["title"] in page and lesson["question"] in page
        name = lesson.get("assignment")
        assert not name or (start.PROJECT / "source_assignments" / name).is_dir()


def test_two_members_have_two_folders(tmp_path):
    """On a shared station PC one member's work does not meet another's."""
    folders = {start.study_folder(tmp_path, *who) for who in (("2041",), ("2058",), ("", True))}
    assert len(folders) == 3


def test_member_number_is_filled_in(tmp_path):
    """A member who gave a number need not type it again."""
    released = tmp_path / "released.ipynb"
    cells = [{"cell_type": "code", "source": 'member = ""  # your number'}]
    released.write_text(json.dumps({"cells": cells}), encoding="utf-8")
    nb = json.loads(start._with_member(released, "2041").read_text(encoding="utf-8"))
    assert nb["cells"][0]["source"].startswith('member = "2041"')


def test_taken_port_is_refused():
    """A wanted port that something else uses is not taken."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        assert start.free_port(other.getsockname()[1]) is None
    assert start.free_port() is not None


def test_exercises_come_though_an_instructors_page_cannot_be_made(tmp_path, monkeypatch, capsys):
    """The fault is told on the console."""
    made = tmp_path / "released.ipynb"
    nbformat.write(nbformat.v4.new_notebook(), made)
    study = tmp_path / "instructor"
    study.mkdir()

    def fail(*given):
        raise KeyError("no such control")

    monkeypatch.setattr(teach, "write_instructor", fail)
    monkeypatch.setattr(start, "_released", lambda work, name: made)
    start.fill_beside(study, "", instructor=True)
    names = [
        lesson["assignment"] for lesson in start.syllabus()["lesson"] if "assignment" in lesson
    ]
    assert names and all((study / f"assignments/{n}/{n}.ipynb").is_file() for n in names if n)
    assert "no such control" in capsys.readouterr().err
    assert "[do it](" in (study / home.PAGE).read_text(encoding="utf-8")


def test_port_lost_to_another_start_is_looked_for_again(tmp_path, monkeypatch):
    """The folder is filled once: by then what is beside notes what it lays there."""
    filled, tried = [], []

    def fill(study, *rest):
        filled.append(study)
        study.mkdir()

    def serve(study, port, *rest):
        tried.append(port)
        return None if len(tried) == 1 else 0

    monkeypatch.setattr(start, "fill_study_folder", fill)
    monkeypatch.setattr(start, "fill_beside", lambda *given: None)
    monkeypatch.setattr(start, "serve", serve)
    ports = iter((8890, 8891))
    monkeypatch.setattr(start, "free_port", lambda wanted: next(ports))
    monkeypatch.setenv("AERIALSTREAM_MEMBER", "put back after the test")
    assert start.main(["--no-browser", "--instructor", "--work", str(tmp_path)]) == 0
    assert tried == [8890, 8891] and filled == [tmp_path / "instructor"]
    assert home._about(filled[0])["class_page"] == "http://127.0.0.1:8891/class"


def test_server_is_found_on_a_network_with_a_proxy(monkeypatch):
    """The question whether it is up goes to this machine, not to the proxy."""

    class Up(BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.end_headers()

        def log_message(self, *args):
            pass

    with HTTPServer(("127.0.0.1", 0), Up) as server, socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))  # no listener: whoever goes by this proxy is refused
        for name in ("no_proxy", "NO_PROXY"):
            monkeypatch.delenv(name, raising=False)
        monkeypatch.setenv("http_proxy", f"http://127.0.0.1:{nobody.getsockname()[1]}")
        monkeypatch.setattr(start, "SECONDS_TO_START", 3)
        running = SimpleNamespace(poll=lambda: None)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            assert start.wait_until_up(running, f"http://127.0.0.1:{server.server_port}/api")
        finally:
            server.shutdown()


def test_faulty_department_is_told_before_anything_opens(tmp_path, monkeypatch, capsys):
    """A department's faults are listed, and no server starts."""
    (tmp_path / "department.toml").write_text('name = "X"\n', encoding="utf-8")
    monkeypatch.setattr(start, "serve", lambda *a: pytest.fail("a server was started"))
    monkeypatch.setenv("AERIALSTREAM_DEPARTMENT", "put back after the test")
    status = start.main(["--no-browser", "--department", str(tmp_path), "--work", str(tmp_path)])
    assert status == 2
    said = capsys.readouterr().out
    assert "apparatus.toml: missing" in said and "department.toml: units: missing" in said


def test_every_exercise_belongs_to_a_lesson_and_every_link_leads_to_one():
    """What no lesson names is never laid out for a member; a link to it would lead nowhere."""
    from gradekit.questions import papers

    lessons = start.syllabus()["lesson"]
    named = [lesson["assignment"] for lesson in lessons if "assignment" in lesson]
    assert sorted(named) == sorted(papers())
    for lesson in lessons:
        text = (start.LESSONS / lesson["notebook"]).read_text(encoding="utf-8")
        linked = set(re.findall(r"\(assignments/([a-z-]+)/", text))
        assert lesson.get("assignment") in linked | {None} and linked <= set(named), lesson[
            "number"
        ]
