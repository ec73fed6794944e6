"""The class at a glance as a page of the instructor's own notebook server: who has handed in, who
stands where, where the class slips.

An extension of jupyter_server. It reads what the commands of `aerialstream class` have written in the
same working folder and writes nothing of its own. Who has no token of the server is sent to its
login page, as everywhere there.
"""

import asyncio
import os
import threading
from datetime import datetime
from pathlib import Path

from jupyter_server.base.handlers import JupyterHandler
from jupyter_server.utils import url_path_join
from sqlalchemy.exc import SQLAlchemyError
from tornado import web

from aerialstream.department import DEMO_FOLDER, FOLDER_VARIABLE, load_department
from gradekit.classroom import DEPARTMENT_FILE
from gradekit.nbgrader_config import GRADEBOOK_VARIABLE
from gradekit.pages import class_page, sentence_page
from gradekit.register import ADDRESS_VARIABLE
from gradekit.roster import read_roster

SECONDS = 20  # between two looks of an open page
NO_CLASS = (
    "There is no class in this working folder yet. It begins with "
    "“aerialstream class roster FILE.csv”."
)
OUTSIDE = (ADDRESS_VARIABLE, GRADEBOOK_VARIABLE)  # databases whose changes no file here shows
ONLY_ITSELF = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; connect-src 'self'; "
    "frame-ancestors 'self'"
)


class Glance:
    """The view of one working folder's class, worked out again only when something was written.

    Takes
      work   the working folder
    """

    def __init__(self, work):
        self._folder = Path(work) / "class"
        self._lock = threading.Lock()
        self._stamp = self._seen = None

    def page(self):
        """(status, page)."""
        try:
            return self._page()
        except (ValueError, OSError, SQLAlchemyError) as error:  # ours are ValueErrors
            return 503, sentence_page("The class at a glance", str(error))

    def _page(self):
        if not (self._folder / "roster.csv").is_file():
            return 404, sentence_page("The class at a glance", NO_CLASS)
        with self._lock:
            stamp = self._written()
            if self._seen is None or stamp != self._stamp:
                self._seen, self._stamp = self._look(), stamp
            view, department = self._seen
        now = f"{datetime.now().astimezone():%Y-%m-%d %H:%M}"
        return 200, class_page(view, department, now, live=SECONDS)

    def _look(self):
        from gradekit.course import Course
        from gradekit.register import Register
        from gradekit.views import class_view

        course = Course(self._folder.parent)
        department = load_department(self._department())
        register = Register(self._folder)
        try:
            roster = read_roster(self._folder / "roster.csv")
            return class_view(course, register, department, roster), department
        finally:
            register.close()

    def _written(self):
        """What tells that something was written: names and times of files, and the day."""
        now = datetime.now()
        found = [now.date(), any(map(os.environ.get, OUTSIDE)) and now.timestamp() // SECONDS]
        for pattern in (
            "roster.csv", "department.txt", "register.db*", "gradebook.db*", "release/*",
            "under-way/*", "collected/*/*", "autograded/*/*",
        ):  # fmt: skip
            for path in sorted(self._folder.glob(pattern)):
                if path.name.endswith("-shm"):
                    continue  # changes when it is only read
                try:
                    about = path.stat()
                except OSError:
                    continue
                found.append((str(path), about.st_mtime_ns, about.st_size))
        where = self._department().glob("*.toml")
        found += [(p.name, p.stat().st_mtime_ns) for p in sorted(where)]
        return found

    def _department(self):
        """The folder of the department whose class it is."""
        chosen = self._folder / DEPARTMENT_FILE
        text = chosen.read_text("utf-8").strip() if chosen.is_file() else ""
        return Path(text or os.environ.get(FOLDER_VARIABLE) or DEMO_FOLDER)


class ClassPage(JupyterHandler):
    """Answers with the page as it stands now."""

    def initialize(self, glance):
        """Called by the server for each request."""
        self._glance = glance

    @web.authenticated
    async def get(self):
        """The page; worked out beside the server's own work, which goes on meanwhile."""
        loop = asyncio.get_running_loop()
        status, page = await loop.run_in_executor(None, self._glance.page)
        self.set_status(status)
        self.set_header("Content-Type", "text/html; charset=UTF-8")
        self.set_header("Cache-Control", "no-store")
        self.set_header("Content-Security-Policy", ONLY_ITSELF)
        self.finish(page)


def _jupyter_server_extension_points():
    return [{"module": "gradekit.live_class"}]


def _load_jupyter_server_extension(server):
    glance = Glance(Path(server.root_dir).parent)
    address = url_path_join(server.web_app.settings["base_url"], "class")
    server.web_app.add_handlers(".*$", [(address, ClassPage, {"glance": glance})])
