"""Every lesson of the syllabus in a real browser: opened, run, panel moved, checks answered.

Screenshots go to the folder that AERIALSTREAM_SHOTS names: desk, tablet and dark.
"""

import os
from pathlib import Path

import pytest
from test_browser import OF_A_RESTART, _faults, _listen

from lessonkit import frame, start
from lessonkit.asking import asked_in

pytestmark = pytest.mark.browser

PLAN = start.syllabus()["lesson"]
EACH = pytest.mark.parametrize("lesson", PLAN, ids=lambda lesson: lesson["number"])
# WCAG 2.1: contrast of each visible text with what lies behind it, where that is one colour.
POOR = """() => {
  const parts = (c) => (c.match(/[\\d.]+/g) || []).map(Number);
  const light = (c) => { const l = c.slice(0, 3).map((v) => { v /= 255;
    return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; });
    return 0.2126 * l[0] + 0.7152 * l[1] + 0.0722 * l[2]; };
  const behind = (e) => { for (; e; e = e.parentElement) {
    const c = parts(getComputedStyle(e).backgroundColor);
    if (c.length && (c[3] === undefined || c[3] === 1)) return c; } return [255, 255, 255]; };
  const poor = [];
  const looked = '.as-panel p, .as-panel li, .as-panel .widget-label, .as-panel button, .as-ask p,' +
    '.as-ask label, .as-ask button, .as-said, .as-limit, .jp-RenderedMarkdown p, .jp-RenderedMarkdown li,' +
    '.jp-RenderedMarkdown a, .as-result td, .as-result li';
  for (const e of document.querySelectorAll(looked)) {
    if (!e.innerText || !e.offsetParent || e.disabled) continue;
    const one = light(parts(getComputedStyle(e).color)), other = light(behind(e));
    const ratio = (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
    if (ratio < 4.5) poor.push(`${ratio.toFixed(2)} ${e.className} ${e.innerText.slice(0, 40)}`);
  }
  return poor;
}"""


def _open(browser, lab, lesson, width=1280, height=800, scheme="light"):
    page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
    messages = _listen(page)
    page.goto(lab.page(lesson["notebook"]))
    page.wait_for_selector(".as-panel .as-reading", timeout=90_000)
    last = frame.cells_of(start.LESSONS / lesson["notebook"])[-1]["source"].splitlines()[0]
    page.wait_for_selector(f".jp-Notebook h2:has-text('{last.lstrip('# ')}')", state="attached")
    page.wait_for_timeout(2500)
    return page, messages


def _shots(page, lesson, name):
    """The page piece by piece."""
    folder = os.environ.get("AERIALSTREAM_SHOTS")
    if not folder:
        return
    height = page.viewport_size["height"]
    page.set_viewport_size({"width": page.viewport_size["width"], "height": height})
    ids = page.evaluate(
        "() => [...document.querySelectorAll('.jp-Notebook h1, .jp-Notebook h2')].length"
    )
    for n in range(ids):
        page.evaluate(
            "n => document.querySelectorAll('.jp-Notebook h1, .jp-Notebook h2')[n].scrollIntoView()",
            n,
        )
        page.wait_for_timeout(120)
        page.screenshot(path=Path(folder) / f"{lesson['number']} {name} {n:02d}.png")


def _box_of(page, kind):
    # Its first words are enough, and hold no quotes that a selector would stumble over.
    return page.locator(".as-ask", has_text=kind.words[:60]).last


def _give(box, kind, right):
    """Answer a question on the page, right or wrong."""
    if kind.name in ("choice", "fault"):
        options = kind.steps if kind.name == "fault" else kind.options
        place = next(n for n, option in enumerate(options) if option.right is right)
        box.locator("input[type=radio]").nth(place).click()
    elif kind.name == "several":
        for n, option in enumerate(kind.options):
            box.locator("input[type=checkbox]").nth(n).set_checked(option.right is right)
    elif kind.name == "number":
        typed = kind.question.worked_answer(kind.row) if right else "7"
        box.locator("input[type=text]").fill(typed)
        box.locator("input[type=text]").press("Tab")
    elif kind.name == "complete":
        for n, gap in enumerate(kind.gaps):
            box.locator("input[type=text]").nth(n).fill(gap.right if right else "7")
            box.locator("input[type=text]").nth(n).press("Tab")
    elif kind.name == "match":
        for n, pair in enumerate(kind.pairs):
            other = next(o for o in kind.offered if o != pair.right)
            box.locator("select").nth(n).select_option(pair.right if right else other)
    else:
        _put_in_order(box, kind, right)


def _put_in_order(box, kind, right):
    words = [step.words for step in kind.steps]
    wanted = words if right else words[::-1]
    for place, step in enumerate(wanted):
        steps = box.locator(".as-step")
        texts = [t.partition(".")[2].strip() for t in steps.all_inner_texts()]
        for at in range(texts.index(step), place, -1):
            box.locator("button", has_text="▲").nth(at).click()
            box.page.wait_for_timeout(120)


def _press(page, box, words):
    before = box.locator(".as-answer").inner_html()
    box.locator("button.mod-primary").click()
    page.wait_for_function(
        "([e, before]) => e.innerHTML !== before && e.innerText.trim()",
        arg=[box.locator(".as-answer").element_handle(), before],
    )
    assert words in box.locator(".as-answer").inner_text()


@EACH
def test_lesson_opened_run_moved_and_answered_without_an_error(browser, lab, lesson):
    """It runs by itself; each control of its panels moves it; right and wrong are told apart."""
    page, messages = _open(browser, lab, lesson)
    assert not [e for e in page.locator(".jp-CodeCell .cm-content").all() if e.is_visible()]
    _shots(page, lesson, "desk")
    for panel in page.locator(".as-panel").all():
        seen = panel.inner_html()
        for handle in panel.locator(".noUi-handle").all():
            if handle.is_visible():
                handle.focus()
                page.keyboard.press("ArrowLeft")
                page.keyboard.press("ArrowLeft")
        page.wait_for_timeout(600)
        assert panel.inner_html() != seen
        panel.get_by_text("Reset the controls").click()
        page.wait_for_timeout(300)
    cells = frame.cells_of(start.LESSONS / lesson["notebook"])
    for number, name in frame.calls(cells, "self_check"):
        kind = asked_in(number)[name]
        box = _box_of(page, kind)
        _give(box, kind, right=False)
        _press(page, box, "Not yet")
        _give(box, kind, right=True)
        _press(page, box, "✓ Right")
    assert page.evaluate(POOR) == []
    assert page.locator(".jp-RenderedText[data-mime-type*=stderr]").count() == 0
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []
    page.close()


@EACH
@pytest.mark.parametrize(("name", "width", "height", "scheme"), [("tablet", 820, 1180, "light"), ("dark", 1280, 800, "dark")])  # fmt: skip
def test_lesson_on_a_tablet_and_in_the_dark(browser, lab, lesson, name, width, height, scheme):
    """Nothing hangs over the side, and text stands out from what lies behind it."""
    page, messages = _open(browser, lab, lesson, width, height, scheme)
    dark = page.evaluate("() => document.body.dataset.jpThemeLight === 'false'")
    assert dark is (scheme == "dark")
    _shots(page, lesson, name)
    wide = page.evaluate(
        """() => [...document.querySelectorAll('.as-panel, .as-ask, .as-picture svg')].filter(
          (e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.className)"""
    )
    assert wide == []
    assert page.evaluate(POOR) == []
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []
    page.close()


def test_check_missed_twice_is_shown_by_keyboard_and_stays_shown(browser, lab):
    """The steps are a status for who listens, the focus stays, new numbers are asked and count."""
    lesson = next(one for one in PLAN if one["number"] == "05")
    kind = asked_in("05")["buy"]
    page, messages = _open(browser, lab, lesson, 820, 1180)
    box = _box_of(page, kind)
    for wrong, said in (("7 psi", "no slip I know"), ("10 psi", "foot was counted for each psi")):
        assert not box.get_by_text("Show how").is_visible()
        box.locator("input[type=text]").fill(wrong)
        for key in ("Tab", "Enter"):
            page.keyboard.press(key)
        box.get_by_text(said).wait_for()
    box.get_by_text("Show how").wait_for()
    for key in ("Tab", "Enter"):
        page.keyboard.press(key)
    page.wait_for_function("() => document.activeElement.innerText === 'Hide how'")
    assert box.locator(".as-how").get_attribute("role") == "status"
    assert box.locator("input[type=text]").input_value() == ""
    page.close()
    page, again = _open(browser, lab, lesson, 820, 1180)
    box = _box_of(page, kind)
    assert kind.solution in box.locator(".as-how").inner_text()
    assert kind.again.words in box.inner_text()
    box.locator("input[type=text]").fill(kind.again.question.worked_answer(kind.again.row))
    _press(page, box, "✓ Right")
    assert page.evaluate(POOR) == []
    assert [m for m in [*messages, *again] if _faults([m]) and not OF_A_RESTART.match(m)] == []
    page.close()
