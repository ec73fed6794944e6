"""Panels, predictions and self-checks without a browser; the study folder; the start page."""

import json
import re
import socket

import nbformat
import pytest

from aerialstream import fog_reaction, load_department, reaction_at_tip, show, smooth_bore_reaction
from lessonkit import asking, compare, predict, self_check, start, tip_panel
from lessonkit.content.lesson_03 import ASKED

# --- the panel --------------------------------------------------------------------------------


def test_panel_starts_with_the_worked_example():
    """Before anything is moved the panel shows 1 3/4 in at 80 psi: 385 lbf in handbooks' formula."""
    panel = tip_panel()
    assert "385 lbf reaction" in panel.output.value
    assert "in line with the ladder" in panel.output.value


def test_panel_follows_every_control():
    """Each control changes the one piece of HTML, and the numbers are those of the public calls."""
    panel = tip_panel()
    panel.rotation.slider.value = 30
    panel.extension.slider.value = 75
    push = smooth_bore_reaction("1 3/4 in", nozzle_pressure="80 psi").value
    split = reaction_at_tip(push, rotation="30 deg", extension="75 ft")
    assert show(abs(split.side)) in panel.output.value
    assert show(abs(split.side_moment)) in panel.output.value
    panel.kind.list.value = "fog"
    panel.pressure.slider.value = 100
    assert "505 lbf reaction" in panel.output.value  # 1,000 gpm at 100 psi, as printed
    seen = panel.output.value
    panel.flow.slider.value = 500
    assert panel.output.value != seen and panel.output.value.count("<svg") == 1


def test_panel_number_box_is_the_sliders_twin():
    """Typing a number and moving the slider are one and the same."""
    panel = tip_panel()
    panel.rotation.box.value = -20
    assert panel.rotation.slider.value == -20
    assert "20 deg to the right" in panel.output.value


def test_panel_device_change_keeps_controls_in_its_range():
    """A device's own extension and nozzle travel bound the controls."""
    panel = tip_panel()
    panel.extension.slider.value = 100
    panel.rotation.slider.value = 60
    panel.device.list.value = "ladder-9"
    assert panel.extension.slider.max == 75 and panel.extension.value == 75
    assert panel.rotation.slider.max == 45 and panel.rotation.value == 45
    assert "not entered: see the operator&#x27;s manual" in panel.output.value


def test_panel_reset_returns_to_the_start():
    """The reset button brings back what stood there first."""
    panel = tip_panel()
    before = panel.output.value
    panel.rotation.slider.value = 45
    panel.kind.list.value = "fog"
    panel.reset.click()
    assert panel.output.value == before


def test_panel_speaks_metric_for_a_metric_department():
    """A department that works in metric sees kPa, L/min, m and N."""
    department = load_department().model_copy(update={"units": "metric"})
    panel = tip_panel(department)
    text = panel.output.value
    assert " N reaction" in text and "L/min" in text and "N·m" in text
    assert "lbf" not in text and " psi" not in text


def test_panel_every_set_up_of_the_demo_renders():
    """Every device, nozzle kind and tip at the ends of every slider gives one picture."""
    panel = tip_panel()
    for device in [value for _, value in panel.device.list.options]:
        panel.device.list.value = device
        for kind in ("smooth bore", "fog"):
            panel.kind.list.value = kind
            for control in (panel.pressure, panel.rotation, panel.extension, panel.flow):
                for end in (control.slider.min, control.slider.max):
                    control.slider.value = end
                    assert panel.output.value.count("<svg") == 1
                    assert not re.search(r"\bnan\b", panel.output.value, re.IGNORECASE)


# --- predictions and self-checks --------------------------------------------------------------


@pytest.mark.parametrize("name", [n for n, a in ASKED.items() if isinstance(a, asking.Choice)])
def test_choice_has_one_right_option_and_a_reason_for_each(name):
    """Nobody is told "wrong" without a reason."""
    choice = ASKED[name]
    assert sum(option.right for option in choice.options) == 1
    assert all(len(option.reason) > 20 for option in choice.options)


def test_prediction_kept_then_compared():
    """The comparison quotes what was kept and, where it was wrong, what is the case."""
    asked = predict("03", "turn")
    asked.button.click()
    assert "Choose one first" in asked.said.value
    asked.answer.value = 0
    asked.button.click()
    assert "Kept" in asked.said.value
    box = compare("03", "turn")
    box.children[0].click()
    said = box.children[1].value
    assert "You predicted" in said and "About half" in said
    half = show(fog_reaction("1000 gpm", nozzle_pressure="100 psi").value / 2)
    assert half == "253 lbf" and half in said


def test_compare_without_prediction_asks_for_one():
    """Comparing first is answered calmly."""
    asking._KEPT.clear()
    box = compare("03", "turn")
    box.children[0].click()
    assert "No prediction kept yet" in box.children[1].value


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
        asked.answer.value = typed
        asked.button.click()
        assert words in asked.said.value, typed


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
    page = start.start_page(plan)
    for lesson in plan["lesson"]:
        assert (start.LESSONS / lesson["notebook"]).is_file()
        assert lesson["title"] in page and lesson["question"] in page
        name = lesson.get("assignment")
        assert not name or (start.PROJECT / "source_assignments" / name).is_dir()


def test_two_members_have_two_folders(tmp_path):
    """On a shared station PC one member's work does not meet another's."""
    assert start.study_folder(tmp_path, "2041") != start.study_folder(tmp_path, "2058")


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


def test_faulty_department_is_told_before_anything_opens(tmp_path, monkeypatch, capsys):
    """A department's faults are listed, and no server starts."""
    (tmp_path / "department.toml").write_text('name = "X"\n', encoding="utf-8")
    monkeypatch.setattr(start, "serve", lambda *a: pytest.fail("a server was started"))
    monkeypatch.setenv("AERIALSTREAM_DEPARTMENT", "put back after the test")
    status = start.main(["--no-browser", "--department", str(tmp_path), "--work", str(tmp_path)])
    assert status == 2
    said = capsys.readouterr().out
    assert "apparatus.toml: missing" in said and "department.toml: units: missing" in said
