"""Every lesson of the syllabus: its frame, its cells run, its questions and panels hold together."""

import json
import re
import time
from html import unescape
from html.parser import HTMLParser
from importlib import import_module

import nbformat
import pytest
from nbclient import NotebookClient

from aerialstream.charts.svg import PALETTE
from lessonkit import frame, progress, start, teach
from lessonkit.asking import asked_in
from lessonkit.panel import Panel
from lessonkit.reading import readability

SECONDS = 20
# What a text for crews may ask of its reader; the figures of each lesson are printed by the lint.
MOST_WORDS_A_SENTENCE, MOST_LONG_WORDS = 16, 14
PLAN = start.syllabus()["lesson"]
EACH = pytest.mark.parametrize("lesson", PLAN, ids=lambda lesson: lesson["number"])
FULL = pytest.mark.parametrize(
    "lesson", [one for one in PLAN if not one.get("short")], ids=lambda lesson: lesson["number"]
)


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch):
    monkeypatch.delenv(progress.FOLDER_VARIABLE, raising=False)
    progress.forget()


def cells(lesson):
    return frame.cells_of(start.LESSONS / lesson["notebook"])


def questions(lesson):
    """(call, name, what is asked) of a lesson's notebook."""
    for call in ("predict", "self_check"):
        for number, name in frame.calls(cells(lesson), call):
            assert number == lesson["number"]
            yield call, name, asked_in(number)[name]


def test_syllabus_numbers_are_in_order_and_name_their_notebooks():
    """One entry for each notebook, in order."""
    numbers = [lesson["number"] for lesson in PLAN]
    assert numbers == sorted(set(numbers))
    notebooks = {path.name for path in start.LESSONS.glob("*.ipynb")}
    assert notebooks == {lesson["notebook"] for lesson in PLAN}
    assert all(one["notebook"].startswith(one["number"] + "_") for one in PLAN)


@EACH
def test_lesson_keeps_the_frame(lesson):
    """Order, minutes, objectives, folded code, self-checks, recap, sources, cautions, sheet."""
    assert frame.faults(lesson) == []


@EACH
def test_lesson_cells_have_ids_of_their_lesson(lesson):
    """Chosen by hand, so that a place can be kept from version to version."""
    prefix = f"s{int(lesson['number'])}-"
    assert [c["id"] for c in cells(lesson) if not c["id"].startswith(prefix)] == []


@EACH
def test_lesson_text_is_plain(lesson):
    """Short sentences, few long words; never a word that permits."""
    text = frame.text_of(cells(lesson))
    figure = readability(text)
    assert figure.sentence <= MOST_WORDS_A_SENTENCE and figure.long_words <= MOST_LONG_WORDS
    assert not re.search(r"\bsafe\b|within (the )?limits?\b", text, re.IGNORECASE)


@EACH
def test_lesson_runs_offline_from_a_fresh_kernel_in_time(lesson, tmp_path):
    """Top to bottom, nothing on standard error, in less than 20 seconds."""
    nb = nbformat.read(start.LESSONS / lesson["notebook"], as_version=4)
    client = NotebookClient(nb, timeout=60, resources={"metadata": {"path": str(tmp_path)}})
    started = time.monotonic()
    client.execute()
    assert time.monotonic() - started < SECONDS
    said = [o for c in nb.cells for o in c.get("outputs", []) if o.get("name") == "stderr"]
    assert said == []
    assert "another version" not in json.dumps(nb)
    assert list(tmp_path.iterdir()) == []  # nothing is kept where there is no study folder


@EACH
def test_lesson_worked_examples_show_every_step(lesson):
    """A stored example has numbered steps and its sources."""
    stored = [
        json.dumps(c["outputs"])
        for c in cells(lesson)
        if "nbval-check-output" in c["metadata"].get("tags", [])
    ]
    assert stored or lesson.get("short")
    assert all(" 1. " in one and "Source: " in one for one in stored)


@EACH
def test_lesson_asks_with_a_reason_for_every_option(lesson):
    """Right or wrong, nobody is left without a reason; the right answer is judged right."""
    for _, name, kind in questions(lesson):
        if kind.name in ("choice", "several", "fault"):
            options = kind.steps if kind.name == "fault" else kind.options
            assert all(len(option.reason) > 20 for option in options), name
            right = [n for n, option in enumerate(options) if option.right]
            assert right and (len(right) == 1 or kind.name == "several"), name
            assert kind.judge(right if kind.name == "several" else right[0]).right is True, name
            assert len({option.words for option in options}) == len(options), name
        assert kind.judge(None).right is None, name
        assert kind.solution and kind.on_paper, name


@EACH
def test_lesson_wrong_reason_does_not_give_the_right_option_away(lesson):
    """The words of the right option do not stand in the reason of a wrong one."""
    for call, name, kind in questions(lesson):
        if kind.name in ("choice", "fault") and call == "self_check":
            options = kind.steps if kind.name == "fault" else kind.options
            right = next(option.words for option in options if option.right)
            wrong = [option.reason.casefold() for option in options if not option.right]
            assert not [reason for reason in wrong if right.casefold() in reason], name


def _stands_in(words, text):
    """Whether the words stand in a text as words: “5 degrees” does not in “45 degrees”."""
    return re.search(rf"(?<![\w.]){re.escape(words)}(?!\w)", text, re.IGNORECASE)


@EACH
def test_lesson_every_wrong_pair_has_a_reason_that_keeps_the_right_one_back(lesson):
    """Each left thing with each wrong thing of the list, all else right."""
    for _, name, kind in questions(lesson):
        if kind.name != "match":
            continue
        right = [pair.right for pair in kind.pairs]
        assert kind.judge(right).right is True, name
        for place, pair in enumerate(kind.pairs):
            assert {one.words for one in pair.likely} <= set(kind.offered) - {pair.right}, name
            for chosen in set(kind.offered) - {pair.right}:
                said = kind.judge([*right[:place], chosen, *right[place + 1 :]])
                before = f"{pair.left}: not “{chosen}”. "
                assert said.right is False and said.words.startswith(before), name
                assert len(said.words) > len(before) + 20, (name, pair.left, chosen)
                assert not _stands_in(pair.right, said.words), (name, pair.left, chosen)


@EACH
def test_lesson_every_wrong_order_and_every_missing_tick_has_a_reason(lesson):
    """Each step but the first says what it waits for; a missing tick is hinted at, not named."""
    for _, name, kind in questions(lesson):
        if kind.name == "order":
            assert all(len(step.why) > 20 for step in kind.steps[1:]), name
            for late in range(len(kind.steps) - 1):
                order = [n for n in range(len(kind.steps)) if n != late]
                said = kind.judge([*order, late])
                assert said.right is False and kind.steps[late + 1].why in said.words, name
        if kind.name == "several":
            right = [n for n, option in enumerate(kind.options) if option.right]
            for missing in right:
                said = kind.judge([n for n in right if n != missing])
                assert said.right is False and kind.options[missing].reason in said.words, name
                assert kind.options[missing].words.casefold() not in said.words.casefold(), name


@EACH
def test_lesson_typed_answers_tell_right_from_wrong(lesson):
    """The worked answer is right; a number with a foreign unit is not."""
    for _, name, kind in questions(lesson):
        if kind.name == "number":
            assert kind.judge(kind.question.worked_answer(kind.row)).right is True, name
            assert kind.judge("7 bananas").right is not True, name
            unit = kind.question.worked_answer(kind.row).partition(" ")[2]
            for wrong in ("0.7", "7", "77777"):  # a lesson's own row has all that the slips want
                assert kind.judge(f"{wrong} {unit}").right is not True, name


def panels(lesson):
    """The panels of a lesson's cells."""
    names, found = {}, []
    for cell in cells(lesson):
        if cell["cell_type"] == "code" and "panel" in cell["source"]:
            value = teach._value(cell["source"], names)
            if isinstance(value, Panel):
                found.append(value)
    return found


@EACH
def test_lesson_panel_holds_at_both_ends_of_every_control(lesson):
    """Each end of each control gives words, and a picture or the reason why there is none."""
    made = panels(lesson)
    assert made, "a lesson has a panel"
    for panel in made:
        for control in panel.controls.values():
            ends = [value for _, value in getattr(control, "options", ())]
            if hasattr(control, "slider"):
                ends = [control.slider.min, control.slider.max]
            for end in ends or [True, False]:
                control.set(end)
                assert len(panel.view.reading) > 10, (panel.set_up, control.name)
                assert panel.results is None or panel.picture.value.count("<svg") in (1, 2)
                assert not re.search(r"\b(nan|inf)\b", panel.words.value), panel.set_up
            panel.reset()


@EACH
def test_lesson_panel_keeps_its_rules(lesson):
    """Tasks open at the start; a label with the key numbers; no table fields left blank."""
    for panel in panels(lesson):
        assert "✓" not in panel.list.value, "a task is met before anything is moved"
        assert lesson.get("short") or 2 <= len(panel.tasks) <= 3
        for picture in panel.view.pictures:
            assert len(picture.label) > 40 and re.search(r"\d", picture.label)
        assert panel.view.rows and all(label and text for label, text in panel.view.rows)
        set_up = panel.set_up
        assert panel.restore(set_up) == [] and panel.set_up == set_up


@FULL
def test_lesson_has_its_instructors_page(lesson):
    """Timing adds up to the lesson's minutes; talking points; wrong answers with what to ask."""
    notes = teach.teaching(lesson["number"])
    assert sum(part["minutes"] for part in notes["timing"]) == lesson["minutes"]
    assert len(notes["say"]) >= 3 and len(notes["likely"]) >= 2
    assert all(one["answer"] and one["ask"].rstrip().endswith("?") for one in notes["likely"])
    page = teach.instructor_page(lesson, cells(lesson))
    for _, _, kind in questions(lesson):
        assert kind.words in page
        assert kind.wrong_answers or kind.name == "number"
        for answer, said in kind.wrong_answers:
            assert f"{answer}: {said}" in page
        assert all(line in page for line in kind.solution.splitlines())


@FULL
def test_lesson_manual_sheet_asks_each_thing_once(lesson):
    """Fields with words and an example of how to write the answer down."""
    fields = import_module(f"lessonkit.content.lesson_{lesson['number']}").MANUAL
    assert len({f.name for f in fields}) == len(fields) >= 2
    assert all(f.words and f.example for f in fields)


class _Heard(HTMLParser):
    """What of a page has no words for those who listen."""

    def __init__(self):
        super().__init__()
        self.silent = []

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "svg" and not given.get("aria-label"):
            self.silent.append("svg")
        if tag == "img" and not given.get("alt"):
            self.silent.append("img")


@EACH
def test_lesson_handout_has_words_for_every_picture(lesson):
    """On the paper page too; nothing comes from outside."""
    page = teach.handout(lesson, cells(lesson))
    heard = _Heard()
    heard.feed(page)
    assert heard.silent == []
    assert not re.search(r"<script|<link|src=['\"]http|url\(http", page)


ONLY_ON_A_SCREEN = (
    r"Find it\b|as you type|\b[Tt]ype (?:what|“|and|the)|\bPress\b|\bpress the\b|\bbutton|Run all|slider|\b[Tt]ap\b"
    r"|\bmouse\b|(?:use|with|Reset) the controls|start page|[Cc]lick|are links|paste|keyboard|be printed"
    r"|\w+\.(?:py|toml|csv|ipynb)\b"
)


@EACH
def test_lesson_handout_says_nothing_that_needs_a_screen(lesson):
    """Paper has no buttons; its first lines are whole sentences, and no file of ours is named."""
    page = re.sub(
        r"<style.*?</style>|<svg.*?</svg>|<title.*?</title>",
        "",
        teach.handout(lesson, cells(lesson)),
        flags=re.DOTALL,
    )
    words = unescape(re.sub(r"<[^>]+>", " ", page))
    assert not (found := re.findall(rf".{{0,30}}(?:{ONLY_ON_A_SCREEN}).{{0,20}}", words)), found
    assert re.search(rf"About {lesson['minutes']} minutes\.\s+After this lesson you can", words)
    ids = {cell["id"] for cell in cells(lesson)}
    assert set(teach.teaching(lesson["number"]).get("on_paper", ())) <= ids


def test_words_of_the_page_reach_contrast_on_the_lesson_papers():
    """Text 4.5:1 on light and dark paper (WCAG 2.1, 1.4.3), by the standard's own formula."""

    def luminance(colour):
        parts = [int(colour[n : n + 2], 16) / 255 for n in (1, 3, 5)]
        lin = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * lin[0] + 0.7152 * lin[1] + 0.0722 * lin[2]

    def ratio(one, other):
        high, low = sorted((luminance(one), luminance(other)), reverse=True)
        return (high + 0.05) / (low + 0.05)

    assert ratio("#000000", "#ffffff") == pytest.approx(21)  # the standard's example
    for theme in (0, 1):
        for name in set(PALETTE) - {"paper", "steel"}:
            assert ratio(PALETTE[name][theme], PALETTE["paper"][theme]) >= 4.5, (name, theme)
    assert ratio("#1b2126", "#ffffff") >= 4.5 and ratio("#ffffff", "#0b5a36") >= 4.5
