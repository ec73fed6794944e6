"""The instructor's pages: set-ups that paste, prompts that are answered, minutes that add up."""

import re
import shutil

import pytest

from aerialstream.department import DEMO_FOLDER
from aerialstream.department import FOLDER_VARIABLE as DEPARTMENT_VARIABLE
from lessonkit import frame, progress, start, teach

LESSONS = start.syllabus()["lesson"]
EACH = pytest.mark.parametrize("lesson", LESSONS, ids=lambda lesson: lesson["number"])


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.setattr(progress, "_memory", {})


def cells_of(lesson):
    return frame.cells_of(start.LESSONS / lesson["notebook"])


def fresh_panel(lesson):
    """The panel as a member gets it, with its tasks."""
    source = next(c["source"] for c in cells_of(lesson) if "_panel(" in c["source"])
    return teach._value(source, {})


def texts(lesson):
    return [c["source"] for c in cells_of(lesson) if c["cell_type"] == "markdown"]


@EACH
def test_every_set_up_of_the_page_pastes_into_its_panel(lesson):
    """Word for word as “Copy this set-up” gives it: no fault, and the same set-up stands there."""
    page = teach.instructor_page(lesson, cells_of(lesson))
    panel = fresh_panel(lesson)
    lines = re.findall(rf"^`({panel.name}; .+)`$", page, re.MULTILINE)
    notes = teach.teaching(lesson["number"])
    assert len(lines) == len(notes["show"]) + len(notes["find"])
    for line in lines:
        assert panel.restore(line) == []
        assert panel.set_up == line
    assert "left out of this line" not in page


@EACH
def test_two_or_three_set_ups_are_shown_and_the_panels_words_stand_there(lesson):
    """What the panel says is worked out, and no figure is typed beside it."""
    notes, panel = teach.teaching(lesson["number"]), fresh_panel(lesson)
    page = teach.instructor_page(lesson, cells_of(lesson))
    assert 2 <= len(notes["show"]) <= 3
    for one in notes["show"]:
        assert teach.put(panel, one["set_up"]) == []
        assert panel.results is not None and f"*The panel says:* {panel.view.reading}" in page
        assert one["ask"].rstrip().endswith("?")
        assert not re.search(r"\d", one["ask"] + one["then"])
        for label in one.get("read", ()):
            assert f"{label}: {dict(panel.view.rows)[label]}" in page


@EACH
def test_vote_expects_a_wrong_answer_and_names_a_set_up(lesson):
    """Nothing is told before the second vote."""
    number = lesson["number"]
    notes, cells = teach.teaching(number), cells_of(lesson)
    (kind,) = [kind for title, kind in teach._questions(number, cells) if title == "Prediction"]
    votes = notes["votes"]
    assert not kind.options[votes["expect"] - 1].right
    assert 1 <= votes["show"] <= len(notes["show"]) and votes["ask"].rstrip().endswith("?")
    page = teach.instructor_page(lesson, cells)
    part = page[page.index("## The prediction") : page.index("## Show this")]
    assert part.index("Vote again") < part.index(kind.solution)


@EACH
def test_every_try_prompt_is_answered_with_the_panels_own_numbers(lesson):
    """Each prompt of the lesson, in order; each column says something."""
    tried = teach.teaching(lesson["number"]).get("tried", [])
    asked = teach.prompts(cells_of(lesson))
    assert len(tried) == len(asked) and bool(asked) == (not lesson.get("short"))
    for one, prompt in zip(tried, asked, strict=True):
        assert len(one["prompt"]) >= 12 and prompt.startswith(one["prompt"])
    panel = fresh_panel(lesson)
    panel.tasks = ()
    for one in tried:
        rows = [line.strip("| ").split(" | ") for line in teach.tried_table(panel, one)[2:]]
        assert all(len(row) == len(one["read"]) + 1 for row in rows)
        for column in range(1, len(one["read"]) + 1):
            assert any(row[column] != "-" for row in rows), (one["prompt"], column)
        if "move" in one:
            assert len(rows) >= 2, f"nothing changes: {one['prompt']}"
        if "until" in one:
            assert one["until"] in rows[-1][1]
        if len(rows) > 1:
            assert len({tuple(row[1:]) for row in rows}) > 1, f"nothing changes: {one['prompt']}"
        assert not re.search(r"\d", one["said"])


@EACH
def test_every_task_of_the_panel_has_a_set_up_that_meets_it(lesson):
    """One way each, and it is one."""
    panel = fresh_panel(lesson)
    finds = teach.teaching(lesson["number"])["find"]
    assert len(finds) == len(panel.tasks)
    for set_up, number in zip(finds, range(len(finds)), strict=True):
        assert teach.put(panel, set_up) == []
        assert number in panel._met, panel.tasks[number].words


@EACH
def test_short_version_is_half_the_lesson_by_headings_that_exist(lesson):
    """Prediction, one example, panel, two checks."""
    short = teach.teaching(lesson["number"])["short"]
    assert sum(part["minutes"] for part in short) == lesson["minutes"] // 2
    headings = [line for text in texts(lesson) for line in text.splitlines()]
    for part in short:
        assert f"## {part['heading']}" in headings
    assert [part["heading"] for part in (short[0], *short[-2:])] == [
        "First, your guess",
        short[-2]["heading"],
        "Check yourself",
    ]
    assert short[-2]["heading"].startswith("Try it")
    asked = {name for number, name in frame.calls(cells_of(lesson), "self_check")}
    assert len(short[-1]["checks"]) == 2 and set(short[-1]["checks"]) <= asked


@EACH
def test_minutes_of_the_room_add_up_and_the_rig_has_its_own(lesson):
    """Sheet and talk are at the rig, not squeezed into the last minutes of the room."""
    notes = teach.teaching(lesson["number"])
    assert sum(part["minutes"] for part in notes["timing"]) == lesson["minutes"]
    said = " ".join(part["what"] for part in notes["timing"])
    assert "manual sheet" not in said and "talk over" not in said
    has_talk = any(frame.frame_tag(cell) == "talk" for cell in cells_of(lesson))
    assert notes["rig"]["minutes"] == (10 if has_talk else 5)
    assert notes["rig"]["caution"] and len(notes["rig"]["do"]) >= 2 and len(notes["bring"]) >= 2
    assert any("sheet" in line for line in notes["rig"]["do"])
    page = teach.instructor_page(lesson, cells_of(lesson))
    assert f"| {notes['rig']['minutes']} more |" in page
    assert page.index("**Caution.**") < page.index(notes["rig"]["do"][0])


def test_set_up_of_a_device_that_is_not_there_is_told_and_left_out():
    """Another department's panel reads the rest."""
    lesson = next(one for one in LESSONS if one["number"] == "03")
    panel = fresh_panel(lesson)
    assert teach.put(panel, "device Ladder 99; rotation 30 deg") == ["device Ladder 99"]
    assert panel.at.rotation.magnitude == 30
    assert "device Ladder 99" in "".join(teach._lacking(["device Ladder 99"]))


def test_a_prompt_on_a_device_that_is_not_there_is_not_answered_with_another(tmp_path, monkeypatch):
    """What Ladder 9 does is not told with the numbers of whatever the panel starts with."""
    folder = tmp_path / "renamed"
    shutil.copytree(DEMO_FOLDER, folder)
    for path in folder.rglob("*.toml"):
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("Ladder 9", "Quint 4"), encoding="utf-8")
    monkeypatch.setenv(DEPARTMENT_VARIABLE, str(folder))
    lesson = next(one for one in LESSONS if one["number"] == "07")
    seen = teach.instructor_page(lesson, cells_of(lesson)).partition("## What they should have seen")[2]  # fmt: skip
    answers = seen.partition("\n## ")[0].split("\n**")[1:]
    of_ladder = [answer for answer in answers if answer.startswith("Ladder 9")]
    assert len(of_ladder) == 2 and len(answers) > 2
    for answer in answers:
        assert ("|---" not in answer) == (answer in of_ladder)
        assert ("not answered here:* device Ladder 9" in answer) == (answer in of_ladder)


@pytest.mark.parametrize("number", ["02", "07", "09"])
def test_pages_are_made_for_a_department_with_one_rig(number, tmp_path, monkeypatch):
    """Nothing is entered for it, a drill cannot be planned, and no task asks for another."""
    folder = tmp_path / "one"
    shutil.copytree(DEMO_FOLDER, folder)
    (folder / "confirmed.toml").unlink()
    rigs = (folder / "apparatus.toml").read_text(encoding="utf-8").split("[[apparatus]]")
    kept = next(rig for rig in rigs if 'name = "Ladder 9"' in rig)
    (folder / "apparatus.toml").write_text(f"{rigs[0]}[[apparatus]]{kept}", encoding="utf-8")
    monkeypatch.setenv(DEPARTMENT_VARIABLE, str(folder))
    lesson = next(one for one in LESSONS if one["number"] == number)
    page, (_, tasks) = teach.instructor_page(lesson, cells_of(lesson)), teach.panel_of(cells_of(lesson))  # fmt: skip
    found = page.partition("one way each")[2].partition("\n## ")[0]
    for task, after in zip(tasks, [*tasks[1:], None], strict=True):
        own = found.partition(f"**{task.words}**")[2]
        own = own.partition(f"**{after.words}**")[0] if after else own
        assert own.count("`") == 2


@pytest.mark.parametrize("number", ["00", "01", "02", "03", "04", "05", "06", "07", "08", "09"])
def test_pages_are_made_for_a_metric_department_too(number, tmp_path, monkeypatch):
    """The same set-ups in that department's units, and they paste there."""
    folder = tmp_path / "metric"
    shutil.copytree(DEMO_FOLDER, folder)
    about = folder / "department.toml"
    about.write_text(about.read_text(encoding="utf-8").replace('"US"', '"metric"'), encoding="utf-8")  # fmt: skip
    monkeypatch.setenv(DEPARTMENT_VARIABLE, str(folder))
    lesson = next(one for one in LESSONS if one["number"] == number)
    page, panel = teach.instructor_page(lesson, cells_of(lesson)), fresh_panel(lesson)
    assert panel.system == "metric" and "left out of this line" not in page
    lines = re.findall(rf"^`({panel.name}; .+)`$", page, re.MULTILINE)
    assert lines and not any(re.search(r"\d (ft|psi|gpm);", line) for line in lines)
    for line in lines:
        assert panel.restore(line) == [] and panel.set_up == line


def test_making_a_page_keeps_nothing_in_the_name_of_a_member(tmp_path, monkeypatch):
    """The set-ups that meet a task are shown, not found."""
    monkeypatch.setenv(progress.FOLDER_VARIABLE, str(tmp_path))
    lesson = next(one for one in LESSONS if one["number"] == "08")
    teach.instructor_page(lesson, cells_of(lesson))
    assert list(tmp_path.rglob("*.json")) == []
