"""The lesson and the exercise in a real browser, as a member would use them.

Screenshots go to the folder that AERIALSTREAM_SHOTS names, if it names one.
"""

import os
import re
import time
from pathlib import Path

import pytest

from aerialstream import reaction_at_tip, show, smooth_bore_reaction
from gradekit.solutions import worked_answer

pytestmark = pytest.mark.browser

LESSON = "03_nozzle_reaction.ipynb"
EXERCISE = "assignments/nozzle-reaction/nozzle-reaction.ipynb"
PANEL = ".as-panel svg.as-pic"
# Watches the panel: how often it had no picture or more than one between two frames, and how
# often the picture changed.
WATCH = """() => {
  const panel = document.querySelector('.as-panel');
  const seen = window.__seen = {none: 0, many: 0, changes: 0, last: ''};
  const look = () => {
    const n = panel.querySelectorAll('svg.as-pic').length;
    if (n === 0) seen.none++;
    if (n > 1) seen.many++;
    const now = panel.querySelector('svg.as-pic')?.getAttribute('aria-label') || '';
    if (now !== seen.last) { seen.changes++; seen.last = now; }
    if (!window.__stop) requestAnimationFrame(look);
  };
  window.__stop = false;
  requestAnimationFrame(look);
}"""


@pytest.fixture(scope="module")
def opened(browser, lab):
    """(page, messages): the lesson opened from the start page; it runs by itself."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    messages = _listen(page)
    page.goto(lab.address)
    page.wait_for_selector("text=What the stream does to the ladder", timeout=60_000)
    _shot(page, "start")
    page.click("a:has-text('What the stream does to the ladder')")
    page.wait_for_selector(".jp-Notebook")
    page.wait_for_selector("h2:has-text('What you need')")
    page.wait_for_selector(PANEL, timeout=60_000)
    page.wait_for_selector("button:has-text('Compare with my prediction')")
    page.wait_for_timeout(1500)
    yield page, messages
    page.close()


def _listen(page):
    messages = []
    page.on("console", lambda m: messages.append(f"{m.type}: {m.text}"))
    page.on("pageerror", lambda e: messages.append(f"pageerror: {e}"))
    return messages


# JupyterLab's own words when a kernel is started afresh, from its menu too: requests on their way
# are called off.
OF_A_RESTART = re.compile(
    r"warning: (History was unable to be retrieved|Connection lost, reconnecting|Subshell identifier)"
    r"|pageerror: .*Canceled future for \w+ message before replies were done"
)


# The plain notebook page's own words where a part of it is switched off; lesson
# and controls work all the same.
OF_THE_PLAIN_PAGE = re.compile(
    r"pageerror: .*undefined \(reading 'schema'\)|pageerror: Command 'filebrowser:open-path' not"
    r" registered|error: Failed to load resource: .* 40[34]"
)


def _faults(messages):
    return [m for m in messages if m.startswith(("error", "pageerror", "warning"))]


def _run_all(page):
    page.locator(".jp-NotebookPanel-toolbar").get_by_text("Run all").first.click()


def _shot(page, name):
    folder = os.environ.get("AERIALSTREAM_SHOTS")
    if folder:
        page.screenshot(path=Path(folder) / f"{name}.png")


def _row(page, label):
    return page.locator(".as-controls > .widget-vbox", has_text=label)


def _slider(page, label):
    return _row(page, label).locator(".noUi-handle")


def _set(page, label, number):
    box = _row(page, label).locator("input")
    box.fill(str(number))
    box.press("Enter")


def _reading(page):
    return page.locator(".as-reading").inner_text()


def _wait_for(page, words):
    page.wait_for_function(
        "words => document.querySelector('.as-reading').innerText.includes(words)", arg=words
    )


def _side(degrees, feet=100):
    push = smooth_bore_reaction("1 3/4 in", nozzle_pressure="80 psi").value
    split = reaction_at_tip(push, rotation=f"{degrees} deg", extension=f"{feet} ft")
    return show(abs(split.side)), show(abs(split.side_moment))


def _start_again(page):
    page.get_by_text("Reset the controls").click()
    _wait_for(page, "in line with the ladder: of 385 lbf reaction")


def test_start_page_has_no_pop_up_and_code_is_folded(opened):
    """A member sees text and controls: no news, no dialog, no code."""
    page, _ = opened
    assert page.locator(".jp-Dialog, .Toastify__toast").count() == 0
    assert not [e for e in page.locator(".jp-CodeCell .cm-content").all() if e.is_visible()]
    assert page.locator(".jp-Notebook").evaluate("e => e.scrollTop") == 0


def test_slider_moves_number_and_figure(opened):
    """A slider turned by keyboard changes the reading, the picture and the limit line."""
    page, _ = opened
    _start_again(page)
    before = page.locator(PANEL).inner_html()
    handle = _slider(page, "Nozzle off the line")
    handle.focus()
    for _ in range(30):
        page.keyboard.press("ArrowRight")
    side, moment = _side(30)
    _wait_for(page, f"{side} is side load")
    assert moment in _reading(page)
    assert page.locator(PANEL).inner_html() != before
    assert side in page.locator(PANEL).get_attribute("aria-label")
    assert "BEYOND THE ENTERED LIMIT" in page.locator(".as-limit").inner_text()
    page.locator(".as-panel").scroll_into_view_if_needed()
    _shot(page, "panel")


def test_number_box_and_slider_stay_equal(opened):
    """A number typed in the box moves the slider, and the reading follows."""
    page, _ = opened
    _start_again(page)
    _set(page, "Nozzle off the line", -12)
    _wait_for(page, f"{_side(-12)[0]} is side load")
    assert "12 deg to the right" in _reading(page)
    assert float(_slider(page, "Nozzle off the line").get_attribute("aria-valuenow")) == -12


def test_fast_drag_neither_flickers_nor_piles_up(opened):
    """Dragged fast, there is always exactly one picture, and it ends where the slider ends."""
    page, _ = opened
    _start_again(page)
    page.locator(".as-panel").scroll_into_view_if_needed()
    box = _slider(page, "Nozzle off the line").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.evaluate(WATCH)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(120):
        page.mouse.move(x + 55 * (1 - abs(1 - step % 40 / 20)), y)
    page.mouse.move(x + 40, y)
    page.mouse.up()
    dropped = time.monotonic()
    degrees = float(_row(page, "Nozzle off the line").locator("input").input_value())
    handle = float(_slider(page, "Nozzle off the line").get_attribute("aria-valuenow"))
    _wait_for(page, f"{_side(handle)[0]} is side load")
    assert time.monotonic() - dropped < 5
    page.evaluate("window.__stop = true")
    seen = page.evaluate("window.__seen")
    assert seen["none"] == 0 and seen["many"] == 0
    assert seen["changes"] > 5
    assert degrees != 0 and page.locator(PANEL).count() == 1


def test_device_without_entered_limits_says_so(opened):
    """A device whose limits nobody entered is never said to be within any."""
    page, _ = opened
    _start_again(page)
    _row(page, "Device").locator("select").select_option("Ladder 9")
    page.wait_for_function(
        "() => document.querySelector('.as-limit').innerText.includes('not entered')"
    )
    assert "see the operator's manual" in page.locator(".as-limit").inner_text()
    _row(page, "Device").locator("select").select_option("Tower 3")
    page.wait_for_function("() => document.querySelector('.as-limit').innerText.includes('Tower')")


def test_fog_shows_gallonage_instead_of_tip(opened):
    """The control that does not belong to the chosen nozzle is out of the way."""
    page, _ = opened
    _start_again(page)
    assert _row(page, "Tip").is_visible() and not _row(page, "gallonage").is_visible()
    _row(page, "Nozzle").first.locator("select").select_option("Fog, straight stream")
    _set(page, "Nozzle pressure", 100)
    _wait_for(page, "505 lbf reaction")
    assert not _row(page, "Tip").is_visible() and _row(page, "gallonage").is_visible()


def test_prediction_is_kept_and_compared(opened):
    """A prediction stands until the learner asks what is the case."""
    page, _ = opened
    page.locator(".as-ask input[type=radio]").first.click()
    page.get_by_text("Keep my prediction").click()
    page.wait_for_selector("text=Kept:")
    page.get_by_text("Compare with my prediction").click()
    page.wait_for_selector("text=You predicted")


def test_task_is_ticked_quietly_when_it_is_met(opened):
    """What is to be found gets its mark, and nothing else happens on the page."""
    page, _ = opened
    _start_again(page)
    _set(page, "Nozzle off the line", 30)
    page.wait_for_selector(".as-tasks li:has-text('half of the push') >> text=✓")
    assert page.locator(".jp-Dialog").count() == 0


def test_numbers_in_the_picture_stay_open_while_the_slider_moves(opened):
    """The table below the picture follows and does not fold by itself."""
    page, _ = opened
    _start_again(page)
    page.get_by_text("The numbers in this picture").click()
    page.wait_for_selector(".as-table")
    _set(page, "Nozzle off the line", 45)
    page.wait_for_selector(f".as-table:has-text('{_side(45)[0]}')")
    page.get_by_text("The numbers in this picture").click()
    page.wait_for_selector(".as-table", state="detached")


def test_set_up_is_copied_and_brought_back(opened):
    """The text of a set-up, pasted after a reset, brings the same reading back."""
    page, _ = opened
    _start_again(page)
    _set(page, "Nozzle off the line", 25)
    _wait_for(page, f"{_side(25)[0]} is side load")
    page.get_by_text("Copy this set-up").click()
    box = page.locator(".as-set-up input")
    page.wait_for_function("() => document.querySelector('.as-set-up input').value.includes('25')")
    text = box.input_value()
    _start_again(page)
    box.fill("")
    box.press("Enter")
    box.fill(text)
    box.press("Enter")
    _wait_for(page, f"{_side(25)[0]} is side load")


def test_those_who_listen_meet_names_and_the_result_before_the_picture(opened):
    """Every control has a name, the result is announced, and it stands before the picture."""
    page, _ = opened
    page.wait_for_function(
        "() => !document.querySelector('.as-control .noUi-handle:not([aria-label])')"
    )
    unnamed = page.locator(".as-control input:not([aria-label]):not([type=checkbox])")
    assert unnamed.count() == 0
    assert page.locator(".as-words").get_attribute("role") == "status"
    assert page.evaluate(
        """() => document.querySelector('.as-words').compareDocumentPosition(
          document.querySelector('.as-picture')) & Node.DOCUMENT_POSITION_FOLLOWING"""
    )
    label = _slider(page, "Nozzle pressure").get_attribute("aria-label")
    assert label == "Nozzle pressure (psi)"


def test_words_of_the_glossary_are_linked(opened):
    """A trade word leads to its plain words, which also show when it is pointed at."""
    page, _ = opened
    link = page.locator("a[title]", has_text="waterway").first
    assert "pipe along the ladder" in link.get_attribute("title")
    assert page.locator("a[title^='The part of the reaction']").count() == 1


def test_section_by_section_shows_one_at_a_time(opened):
    """The room sees one section in large type; arrows go on and back, Escape ends it."""
    page, _ = opened
    page.evaluate("() => document.querySelector('.jp-Notebook .jp-Cell').scrollIntoView()")
    page.get_by_text("Section by section").click()
    page.wait_for_selector(".as-sections")
    seen = []
    for _ in range(6):
        heads = page.locator(".jp-Notebook h1:visible, .jp-Notebook h2:visible")
        assert heads.count() == 1
        seen.append(heads.inner_text())
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(150)
    assert len(set(seen)) == 6
    _shot(page, "sections")
    size = page.locator(".jp-Notebook .jp-RenderedHTMLCommon:visible").first
    assert float(size.evaluate("e => parseFloat(getComputedStyle(e).fontSize)")) >= 22
    page.keyboard.press("Escape")
    assert page.locator(".as-sections").count() == 0
    assert page.locator(".jp-Notebook h2:visible").count() > 6


def test_self_check_answered_wrong_then_right(opened):
    """A known slip gets its own sentence, the right number its tick."""
    page, _ = opened
    box = page.locator(".as-ask input[type=text]").first
    check = page.locator(".as-ask", has_text="Work one out").locator("button.mod-primary")
    box.fill(f"{1.57 * 1.625 * 75:.0f} lbf")
    check.click()
    page.wait_for_selector("text=diameter was not squared")
    box.fill(f"{1.57 * 1.625**2 * 75:.0f} lbs")
    check.click()
    page.wait_for_selector("text=✓ Right.")


def test_lesson_leaves_no_error_in_the_console(opened):
    """After all of the above the console holds no error and no warning."""
    _, messages = opened
    assert _faults(messages) == []
    messages.clear()


def test_lesson_reopened_works_at_once(opened):
    """A member who was called away comes back to working controls, and nothing asks them to stay."""
    page, messages = opened
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.message), dialog.accept()))
    page.reload()
    page.wait_for_selector(".jp-Notebook")
    page.wait_for_selector(PANEL, timeout=60_000)
    page.wait_for_timeout(4000)
    assert page.locator("text=Click to show javascript error").count() == 0
    _set(page, "Nozzle off the line", 20)
    _wait_for(page, f"{_side(20)[0]} is side load")
    _run_all(page)
    page.wait_for_timeout(5000)
    page.wait_for_selector(PANEL, timeout=60_000)
    assert page.locator("text=Click to show javascript error").count() == 0
    _set(page, "Nozzle off the line", 25)
    _wait_for(page, f"{_side(25)[0]} is side load")
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []


def test_what_was_done_stands_there_when_the_lesson_is_opened_again(opened):
    """Prediction, self-check and place come back after the page was closed; the start page knows."""
    page, messages = opened
    page.locator(".as-ask input[type=radio]").first.click()
    page.get_by_text("Keep my prediction").click()
    page.wait_for_selector("text=Kept:")
    page.reload()
    page.wait_for_selector(PANEL, timeout=60_000)
    page.wait_for_selector("text=Kept:")
    page.wait_for_selector("text=✓ Right.")
    page.wait_for_selector(".as-tasks >> text=✓")
    page.wait_for_timeout(4000)  # the page goes to where it was left before
    page.evaluate(
        "() => [...document.querySelectorAll('h2')].find(h => h.innerText.startsWith('Recap')).scrollIntoView()"
    )
    page.wait_for_timeout(3500)
    page.reload()
    page.wait_for_selector(PANEL, timeout=60_000)
    page.wait_for_function(
        """() => { const h = [...document.querySelectorAll('h2')].find(
          h => h.innerText.startsWith('Recap'));
          const top = h && h.getBoundingClientRect().top; return top > 0 && top < 600; }""",
        timeout=30_000,
    )
    page.locator("a:has-text('start page')").last.click()
    page.wait_for_selector("text=of 5 checks")
    page.wait_for_selector("text=you were at “Recap”")
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []


OTHER_LESSON = "00_start_here.ipynb"
# After a saving the page hears three seconds late what the server now holds of the file.
SLOW_TO_TELL = """
const plain = window.fetch;
let saved = false;
window.fetch = async (asked, ...more) => {
  const answer = await plain(asked, ...more);
  if ((asked.method || more[0]?.method) === 'PUT') saved = true;
  else if (saved && String(asked.url || asked).includes('hash=1')) {
    saved = false;
    await new Promise((done) => setTimeout(done, 3000));
  }
  return answer;
};"""


def test_saving_again_while_it_saves_asks_nothing(browser, lab):
    """A second saving waits for the first; at once, each took the other for somebody else's."""
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    page.add_init_script(SLOW_TO_TELL)
    saved = lambda answer: answer.request.method == "PUT" and OTHER_LESSON in answer.url  # noqa: E731
    with page.expect_response(saved, timeout=90_000):
        page.goto(lab.page(OTHER_LESSON))  # a lesson saves when it has run
    page.wait_for_timeout(1000)
    page.keyboard.press("Control+s")
    page.wait_for_timeout(6000)
    assert page.locator(".jp-Dialog").count() == 0
    page.close()


def test_lesson_works_in_the_plain_notebook_page_too(browser, lab):
    """Notebook 7 shows the same lesson: it runs by itself, controls work, no error."""
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    messages = _listen(page)
    page.goto(lab.address.replace("/doc/tree/start.md", f"/notebooks/{LESSON}"))
    page.wait_for_selector(PANEL, timeout=60_000)
    page.wait_for_timeout(1500)
    _start_again(page)
    _set(page, "Nozzle off the line", 30)
    _wait_for(page, f"{_side(30)[0]} is side load")
    assert page.locator("text=Formgrader").count() == 0
    _shot(page, "plain notebook page")
    errors = [m for m in _faults(messages) if not m.startswith("warning")]
    known = (OF_A_RESTART, OF_THE_PLAIN_PAGE)
    assert [m for m in errors if not any(words.match(m) for words in known)] == []
    page.close()


def test_exercise_shows_own_numbers_and_reasons(browser, lab):
    """A member types a number and an answer, and sees questions, then how the answer stands."""
    # Exercises are prepared beside the running server.
    end = time.monotonic() + 120
    while not (lab.work / "study" / EXERCISE).is_file() and time.monotonic() < end:
        time.sleep(0.5)
    page = browser.new_page(viewport={"width": 820, "height": 1180})
    messages = _listen(page)
    page.goto(lab.page(EXERCISE))
    page.wait_for_selector("strong:has-text('Type your member number')", timeout=60_000)
    _type_between_quotes(page, "member = ", "2041")
    _run_all(page)
    page.wait_for_selector("text=Member 2041, variant")
    page.wait_for_selector("text=Not yet: 0 of 2 points")
    right = worked_answer("nozzle-reaction-q1", "2041")
    _type_between_quotes(page, "reaction_1 = ", right)
    _run_all(page)
    page.wait_for_selector("text=Right: 2 of 2 points")
    _shot(page, "exercise")
    _type_between_quotes(page, "reaction_2 = ", '"173 lbf"')
    _run_all(page)
    page.wait_for_selector("text=Not the number, and no slip I know")
    assert page.locator("text=SyntaxError").count() == 0
    page.wait_for_selector("text=How large is the side moment")
    shown = page.locator(".jp-Notebook").inner_text()
    number = right.split()[0].split(".")[0]
    assert len(re.findall(rf"\b{number}\b", shown)) == 1  # where the member typed it
    assert [m for m in _faults(messages) if not OF_A_RESTART.match(m)] == []
    page.close()


def _type_between_quotes(page, start, words):
    cell = page.locator(".jp-CodeCell .cm-content", has_text=start).first
    cell.click()
    page.keyboard.press("Control+Home")
    for _ in range(len(start) + 1):
        page.keyboard.press("ArrowRight")
    page.keyboard.type(words)
