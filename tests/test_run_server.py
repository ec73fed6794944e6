"""The gradebook on a real PostgreSQL server, and the instructor's marking view in a real browser."""

import os
import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from learners.notebooks import NAME
from test_register_writers import postgres  # noqa: F401  (a fixture: a server of our own)
from test_run_class import (
    AUTO,
    BY_HAND,
    MEMBERS,
    WRITTEN,
    copy_of,
    fast,  # noqa: F401
    gradebook,
    hand_in,
    released,  # noqa: F401
    start,  # noqa: F401
)

from gradekit.course import Course


@pytest.mark.thread
def test_gradebook_on_postgresql_is_the_same(postgres, fast, tmp_path):  # noqa: F811
    """By its address alone: release, run, a kill's marks, marks by hand; the same as in a file."""
    reference, _ = fast
    course = Course(tmp_path, postgres)
    course.release(NAME)
    hand_in(course, MEMBERS, tmp_path / "inbox")
    report = course.run([NAME])
    assert {item.status for item in report.items} == {"graded"}
    assert gradebook(course) == gradebook(reference)
    assert {item.status for item in course.run([NAME]).items} == {"graded before"}
    course.mark_written(NAME, MEMBERS[0], BY_HAND.id, 1.5, "Good.")
    assert course.marks(NAME)[MEMBERS[0]].score == 2 * AUTO + 1.5


@pytest.fixture
def marking_view(start, tmp_path):  # noqa: F811
    """(address of JupyterLab with nbgrader's marking view on a graded class, course)."""
    course = copy_of(start, tmp_path)
    course.run([NAME])
    with socket.create_server(("127.0.0.1", 0)) as free:
        port = free.getsockname()[1]
    kept = {**os.environ, "JUPYTER_CONFIG_DIR": str(tmp_path / "settings")}
    kept |= {"IPYTHONDIR": str(tmp_path / "ipython"), "HOME": str(tmp_path)}
    command = [sys.executable, "-W", "ignore", "-m", "jupyterlab", "--no-browser", "--allow-root"]
    command += [f"--port={port}", "--IdentityProvider.token=marking", "--ServerApp.port_retries=0"]
    command += [f"--ServerApp.root_dir={course.folder}", "--LabApp.news_url=None"]
    said = (tmp_path / "said.txt").open("w")
    server = subprocess.Popen(
        command, cwd=course.folder, env=kept, stdout=said, stderr=subprocess.STDOUT
    )
    end = time.monotonic() + 60
    while time.monotonic() < end:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
            break
        except OSError:
            time.sleep(0.2)
    yield f"http://127.0.0.1:{port}", course
    server.terminate()
    server.wait(20)
    said.close()


@pytest.mark.browser
def test_marking_view_shows_the_answer_and_takes_the_points(browser, marking_view):
    """nbgrader's own view, in JupyterLab: the written answer is read, its points reach the mark."""
    address, course = marking_view
    page = browser.new_page(viewport={"width": 1280, "height": 900})
    page.goto(f"{address}/lab?token=marking")
    page.wait_for_selector("#jp-MainLogo, .jp-Launcher", timeout=60_000)
    page.click("text=Nbgrader")
    page.click("text=Formgrader")
    frame = page.frame_locator("iframe").first
    frame.locator(f"text={NAME}").first.wait_for(timeout=60_000)
    _shot(page, "marking-view-assignments")
    with course.gradebook() as book:
        number = book.find_submission_notebook(NAME, NAME, MEMBERS[0]).id
    page.goto(f"{address}/formgrader/submissions/{number}/?token=marking")
    page.wait_for_selector("text=bring the ladder round", timeout=60_000)
    box = page.locator(f'input.score[id="{BY_HAND.id}-answer"]')
    assert WRITTEN.split(",")[0] in page.content()
    _shot(page, "marking-view-answer")
    box.fill("1.5")
    box.press("Tab")
    end = time.monotonic() + 20
    while time.monotonic() < end and course.marks(NAME)[MEMBERS[0]].score != 2 * AUTO + 1.5:
        time.sleep(0.3)
    assert course.marks(NAME)[MEMBERS[0]].score == 2 * AUTO + 1.5
    assert not re.search("worked_answer", page.content())
    page.close()


def _shot(page, name):
    folder = os.environ.get("AERIALSTREAM_SHOTS")
    if folder:
        Path(folder).mkdir(parents=True, exist_ok=True)
        page.screenshot(path=str(Path(folder) / f"{name}.png"))
