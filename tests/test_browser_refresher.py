"""The refresher in a real browser: opened from the start page, answered, closed, opened again.

Screenshots go to the folder that AERIALSTREAM_SHOTS names: desk, tablet and dark.
"""

import os
import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from conftest import lessons_served
from test_browser import OF_A_RESTART, _faults, _listen
from test_browser_lessons import POOR
from test_refresher import MEMBER, pass_paper

from gradekit.refresher import Refreshers
from lessonkit import refresher_page

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def due(tmp_path_factory):
    """(lab, study folder): a member who passed four exercises more than two weeks ago."""
    work = tmp_path_factory.mktemp("station")
    study = work / f"study-{MEMBER}"
    study.mkdir()
    for name in ("nozzle-reaction", "choosing-the-spot", "low-level-shops", "path-and-reach"):
        pass_paper(study, name, date.today() - timedelta(days=20))
    with lessons_served(work, "--member", MEMBER) as lab:
        yield lab, study


def _open(browser, address, width=1280, height=800, scheme="light"):
    page = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
    page.set_default_timeout(90_000)  # a busy machine takes its time
    messages = _listen(page)
    page.goto(address)
    return page, messages


def _wait(page):
    page.wait_for_selector(".as-refresher .as-ask", timeout=60_000)
    page.wait_for_timeout(1500)


def _shot(page, name):
    folder = os.environ.get("AERIALSTREAM_SHOTS")
    if folder:
        for n, place in enumerate(page.locator(".as-count, .as-refresher > .as-answer").all()):
            place.scroll_into_view_if_needed()
            page.wait_for_timeout(150)
            page.screenshot(path=Path(folder) / f"refresher {name} {n}.png")


def _give(page, item, text):
    """Type or choose an answer in the question's box and press its button."""
    kind = refresher_page.put(item)
    box = page.locator(".as-refresher .as-ask").nth(item.number - 1)
    if isinstance(kind, refresher_page._Picked):
        box.locator("input[type=radio]").nth("ABCDEFGH".index(text)).click()
    elif isinstance(kind, refresher_page._Found):
        step, _, number = text.partition(";")
        box.locator("input[type=radio]").nth(int(step.split()[1]) - 1).click()
        box.locator("input[type=text]").fill(number.strip())
        box.locator("input[type=text]").press("Tab")
    elif isinstance(kind, refresher_page._Planned):
        for n, part in enumerate(text.split(";")):
            box.locator("input[type=text]").nth(n).fill(part.strip())
            box.locator("input[type=text]").nth(n).press("Tab")
    else:
        box.locator("input[type=text]").fill(text)
        box.locator("input[type=text]").press("Tab")
    said = box.locator(".as-answer")
    before = said.inner_html()
    box.locator("button.mod-primary").click()
    page.wait_for_function(
        "([e, before]) => e.innerHTML !== before", arg=[said.element_handle(), before]
    )
    return said.inner_text()


def _slip(item):
    """A slip of a question as it is typed, and the beginning of its sentence."""
    one = item.question.shown_slips(item.row)[0]
    return one.answer, one.sentence.split(".")[0]


def test_refresher_from_the_start_page_answered_closed_and_opened_again(browser, due):
    """One slip, named; one right; the page is closed; opened again, both stand there."""
    lab, study = due
    page, messages = _open(browser, lab.address)
    page.wait_for_selector("text=does not count for the record", timeout=60_000)
    if os.environ.get("AERIALSTREAM_SHOTS"):
        page.screenshot(path=Path(os.environ["AERIALSTREAM_SHOTS"]) / "refresher start.png")
    page.click("a:has-text('open it')")
    _wait(page)
    items = Refreshers(study, MEMBER).items()
    by_box = [i for i in items if not isinstance(refresher_page.put(i), refresher_page._Ordered)]
    wrong = next(i for i in by_box if not isinstance(refresher_page.put(i), refresher_page._Found))
    right = next(i for i in reversed(by_box) if i is not wrong)
    text, sentence = _slip(wrong)
    said = _give(page, wrong, text)
    assert sentence in said and "✓" not in said
    assert "✓ Right" in _give(page, right, right.question.worked_answer(right.row))
    assert page.evaluate(POOR) == []
    assert page.locator(".jp-RenderedText[data-mime-type*=stderr]").count() == 0
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []
    _shot(page, "desk")
    page.close()

    page, _ = _open(browser, lab.address)
    page.wait_for_selector(f"text=2 of {len(items)} answered", timeout=60_000)
    page.click("a:has-text('go on')")
    _wait(page)
    boxes = page.locator(".as-refresher .as-ask")
    assert boxes.count() == len(items)
    assert sentence in boxes.nth(wrong.number - 1).inner_text()
    assert "✓ Right" in boxes.nth(right.number - 1).inner_text()
    others = [n for n in range(len(items)) if n + 1 not in (wrong.number, right.number)]
    assert all(boxes.nth(n).locator(".as-answer").inner_text().strip() == "" for n in others)
    page.close()


@pytest.mark.parametrize(
    ("name", "width", "height", "scheme"),
    [("tablet", 820, 1180, "light"), ("dark", 1280, 800, "dark")],
)
def test_refresher_on_a_tablet_and_in_the_dark(browser, due, name, width, height, scheme):
    """Nothing hangs over the side, text stands out, and it says what it is not."""
    lab, _ = due
    page, messages = _open(browser, lab.page("refresher.ipynb"), width, height, scheme)
    _wait(page)
    assert re.search("does not count for the record", page.locator(".jp-Notebook").inner_text())
    wide = page.evaluate(
        """() => [...document.querySelectorAll('.as-ask, .as-where, .as-ask input')].filter(
          (e) => e.getBoundingClientRect().right > innerWidth + 1).map((e) => e.className)"""
    )
    assert wide == [] and page.evaluate(POOR) == []
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []
    _shot(page, name)
    page.close()
