"""The page of the class in the instructor's notebook server: what it shows, to whom, how often."""

import json
import os
import re
import shutil
import subprocess
import sys
import urllib.error
import urllib.request
from pathlib import Path

import nbformat
import pytest
from conftest import ROOT, _address
from nbformat.v4 import new_code_cell, new_notebook, new_output

from aerialstream.department import DEMO_FOLDER
from gradekit.live_class import Glance
from gradekit.register import Register
from gradekit.roster import Member, write_roster
from lessonkit import home, start

NAME = "nozzle-reaction"
PEOPLE = (Member("2041", "Imre Talbot-Vane"), Member("2058", "<i>Odalys</i> Fenwright"))


def with_roster(work):
    """A working folder whose class has two members and one exercise handed out."""
    folder = work / "class"
    (folder / "release" / NAME).mkdir(parents=True)
    write_roster(folder / "roster.csv", PEOPLE)
    nbformat.write(new_notebook(), folder / "release" / NAME / f"{NAME}.ipynb")
    return folder


def hand_in(folder, member):
    """Lay a hand-in where `class collect` does."""
    target = folder / "collected" / NAME / member
    target.mkdir(parents=True)
    nbformat.write(new_notebook(), target / "20260101-120000.ipynb")


def grade(folder, member, *notes):
    """Lay an autograded notebook with these notes where nbgrader does."""
    cells = [
        new_code_cell("", outputs=[new_output("display_data", data={
            "text/html": f"<p data-note='{NAME}-{note}'></p>"})])
        for note in notes
    ]  # fmt: skip
    target = folder / "autograded" / member / NAME
    target.mkdir(parents=True)
    nbformat.write(new_notebook(cells=cells), target / f"{NAME}.ipynb")


# --- the page, without a server -----------------------------------------------------------------


def test_without_a_class_the_page_says_so_and_makes_nothing(tmp_path):
    """A look must not make a class."""
    status, page = Glance(tmp_path).page()
    assert status == 404 and "no class in this working folder" in page
    assert not list(tmp_path.iterdir())


def test_page_is_worked_out_again_only_when_something_was_written(tmp_path, monkeypatch):
    """Hand-in, grading, a line of the register, the roster: each shows; looking alone costs little."""
    folder = with_roster(tmp_path)
    glance, looks = Glance(tmp_path), []
    real = glance._look
    monkeypatch.setattr(glance, "_look", lambda: looks.append(1) or real())
    status, page = glance.page()
    assert status == 200 and "&lt;i&gt;Odalys" in page and "<i>Odalys" not in page
    glance.page(), glance.page()
    settled = len(looks)  # the first look makes the register's file: seen once more
    glance.page()
    assert len(looks) == settled <= 2
    hand_in(folder, "2041")
    assert "<td>2041 Imre Talbot-Vane</td>" in glance.page()[1]  # not graded yet
    grade(folder, "2041", "q1/mistake/diameter-not-squared", "q2/right")
    page = glance.page()[1]
    assert "diameter not squared" in page and "Graded hand-ins: 1 of 2" in page
    register = Register(folder)
    register.sign_off("2058", "rotation-awareness", "2041")
    register.close()
    assert "waiting for theory" in glance.page()[1]
    write_roster(folder / "roster.csv", PEOPLE[:1])
    assert "Odalys" not in glance.page()[1]
    assert len(looks) == settled + 4


def test_page_follows_the_department_of_the_class(tmp_path):
    """Its file is changed while the server runs; a fault in it is told, and gone when mended."""
    folder = with_roster(tmp_path)
    shutil.copytree(DEMO_FOLDER, tmp_path / "department")
    (folder / "department.txt").write_text(str(tmp_path / "department"), "utf-8")
    glance, file = Glance(tmp_path), tmp_path / "department" / "department.toml"
    text = file.read_text("utf-8")
    file.write_text(text.replace("Larkmoor Fire Department", "Ashcombe Brigade"), "utf-8")
    assert "Ashcombe Brigade" in glance.page()[1]
    file.write_text("name = ", "utf-8")
    status, page = glance.page()
    assert status == 503 and "department.toml" in page
    file.write_text(text, "utf-8")
    assert glance.page()[0] == 200


def test_only_the_instructors_server_has_the_page(tmp_path):
    """Neither the setting nor the link is in a member's study folder."""
    with_roster(tmp_path)
    assert (
        start.CLASS_PAGE in start.lab_config(tmp_path, 1, True)["ServerApp"]["jpserver_extensions"]
    )
    assert start.CLASS_PAGE not in json.dumps(start.lab_config(tmp_path, 1))
    study = tmp_path / "instructor"
    study.mkdir()
    at = "http://127.0.0.1:1/class"
    home.write(study, "", True, at)
    home.write(study, "", True)  # written again, as while the lessons run
    assert f"({at})" in (study / home.PAGE).read_text("utf-8")
    home.write(study, "2041", False, at)
    assert at not in (study / home.PAGE).read_text("utf-8")
    (tmp_path / "class" / "roster.csv").unlink()
    home.write(study, "", True, at)
    assert at not in (study / home.PAGE).read_text("utf-8")


# --- in a browser -------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    """(address of the start page, folder of the class), served by the README's command."""
    work = tmp_path_factory.mktemp("work folder")
    folder = with_roster(work)
    command = [
        sys.executable,
        str(ROOT / "lessons"),
        "--no-browser",
        "--instructor",
        "--work",
        work,
    ]
    with (work / "said.txt").open("w") as said:
        server = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT, cwd=work)
        try:
            yield _address(server, work / "said.txt"), folder
        finally:
            server.terminate()
            assert server.wait(90) == 0


@pytest.mark.browser
def test_instructor_opens_the_class_and_it_keeps_itself_up_to_date(browser, served):
    """From the start page's link; what comes in shows with no reload, and the sorting stays."""
    address, folder = served
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.context.set_default_timeout(90_000)  # a busy machine takes its time
    messages = []
    page.goto(address, timeout=90_000)
    page.wait_for_selector("a:has-text('the class at a glance')", timeout=60_000)
    with page.context.expect_page() as opened:
        page.click("a:has-text('the class at a glance')")
    glance = opened.value
    glance.on("console", lambda m: messages.append(m.text))
    glance.on("pageerror", lambda e: messages.append(str(e)))
    glance.wait_for_selector("h1:has-text('The class at a glance')")
    assert "2041 Imre Talbot-Vane; 2058 <i>Odalys</i> Fenwright" in glance.inner_text("main")
    by_name = glance.locator("h2:has-text('Nozzle reaction') + .wide button:has-text('Name')")
    by_name.click()
    by_name.click()
    glance.evaluate("window.mark = 1")
    hand_in(folder, "2041")
    grade(folder, "2041", "q1/mistake/diameter-not-squared")
    glance.evaluate("look()")
    glance.wait_for_selector("text=diameter not squared")
    assert glance.evaluate("window.mark") == 1
    heads = glance.locator("th[aria-sort=descending]")
    assert heads.count() == 1 and heads.inner_text().startswith("Name")
    assert glance.evaluate("document.activeElement.textContent").startswith("Name")
    assert not messages
    _shot(glance, "class-live")
    page.close(), glance.close()


def _shot(page, name):
    folder = os.environ.get("AERIALSTREAM_SHOTS")
    if folder:
        page.screenshot(path=str(Path(folder) / f"{name}.png"), full_page=True)


@pytest.mark.browser
def test_page_of_the_class_asks_for_the_servers_token(served):
    """Names are shown to nobody without it; nothing is kept by the browser."""
    address, _ = served
    at = re.match(r"http://[^/]+", address).group(0) + "/class"
    with urllib.request.urlopen(at) as answer:
        assert "/login" in answer.url and "Talbot" not in answer.read().decode()
    with urllib.request.urlopen(f"{at}?token={address.partition('token=')[2]}") as answer:
        assert "Talbot" in answer.read().decode()
        assert answer.headers["Cache-Control"] == "no-store"
        assert "default-src 'none'" in answer.headers["Content-Security-Policy"]
    other = urllib.request.Request(at, headers={"Host": "example.org"})
    with pytest.raises(urllib.error.HTTPError):
        urllib.request.urlopen(other)
