"""What several test files share: a browser, lessons served as a member would start them, a class."""

import contextlib
import os
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
# Without these flags Chromium looks for hosts outside the machine.
FLAGS = (
    "--no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync"
).split()


@pytest.fixture(autouse=True)
def _no_settings_of_this_machine(monkeypatch):
    """Tests see neither the working folder nor the department that a user may have set."""
    for name in ("AERIALSTREAM_WORK", "AERIALSTREAM_DEPARTMENT", "AERIALSTREAM_GRADEBOOK"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session", autouse=True)
def _trusted_where_nothing_can_be_shut_in():
    """Without bubblewrap the made-up classes run all the same; `shut_in_works` skips what needs it."""
    from gradekit.run import shut_in

    with pytest.MonkeyPatch.context() as patch:
        if shut_in.missing():
            patch.setenv("AERIALSTREAM_TRUSTED", "1")
        yield


@pytest.fixture(scope="session")
def shut_in_works():
    """Skips where notebooks cannot be shut in; where that is required, fails."""
    from gradekit.run import shut_in

    reason = shut_in.missing()
    if reason and os.environ.get("AERIALSTREAM_SHUT_IN_REQUIRED"):
        pytest.fail(f"{reason}, and AERIALSTREAM_SHUT_IN_REQUIRED is set")
    if reason:
        pytest.skip(reason)


@pytest.fixture(scope="session")
def pool():
    """Two workers that stay: a grading run that is given them starts no process for its notebooks."""
    from gradekit.run import workers

    with workers.local_executor(2) as executor:
        yield executor


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    """The demo class, walked through the whole thread once: (Thread, standings)."""
    from gradekit.demo import run

    return run(tmp_path_factory.mktemp("demo") / "class of six")


def browser_path():
    """Where Debian's or another Chromium lies, or None."""
    for name in ("chromium", "chromium-browser", "google-chrome", "chrome"):
        found = shutil.which(name)
        if found:
            return found
    return None


@pytest.fixture(scope="session")
def browser():
    """A real headless Chromium; where one is required, its absence fails."""
    path = browser_path()
    if path is None:
        if os.environ.get("AERIALSTREAM_BROWSER_REQUIRED"):
            pytest.fail("no Chromium found, and AERIALSTREAM_BROWSER_REQUIRED is set")
        pytest.skip("no Chromium found; install Debian's package chromium")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield chromium
        chromium.close()


class Lab:
    """The lessons as `python3 lessons` serves them."""

    def __init__(self, address, work):
        self.address, self.work = address, work

    def page(self, path):
        """Address of a file of the study folder, on its own."""
        return self.address.replace("start.md", path)


@pytest.fixture(scope="session")
def lab(tmp_path_factory):
    """A running server, started by the command that the README gives."""
    with lessons_served(tmp_path_factory.mktemp("work folder")) as served:
        yield served


@contextlib.contextmanager
def lessons_served(work, *more):
    """The lessons served from a working folder, with more options of the command."""
    command = [sys.executable, str(ROOT / "lessons"), "--no-browser", "--work", str(work), *more]
    said = (work / "said.txt").open("w+", encoding="utf-8")
    server = subprocess.Popen(command, stdout=said, stderr=subprocess.STDOUT, cwd=work)
    try:
        address = _address(server, work / "said.txt")
        yield Lab(address, work)
    finally:
        server.terminate()
        assert server.wait(20) == 0, "the lessons did not stop as they should"
        said.close()


def _address(server, path, seconds=120):
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        text = path.read_text(encoding="utf-8")
        found = re.search(r"http://\S+token=\S+", text)
        if found:
            return found.group(0)
        if server.poll() is not None:
            pytest.fail(f"the lessons did not start: {text}")
        time.sleep(0.2)
    pytest.fail("the lessons did not start in time")
