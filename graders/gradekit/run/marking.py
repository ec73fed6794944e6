"""Marks one hand-in after the other with nbgrader's own steps, beside the writer.

A marker has a gradebook of its own, in memory, that holds what the assignments are made of. For one
hand-in it takes what the class's gradebook holds of it, lets nbgrader's Autograde, our judge and
nbgrader's GenerateFeedback work on it, and gives back the rows that came of it. The class's
gradebook itself it never sees: the writer puts the rows there. No cell is run here.
"""

import contextlib
import gc
import os
import pickle
import signal
import subprocess
import sys
import threading
import time
import traceback
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from gradekit.run import book, shut_in
from gradekit.run.spared import ADDRESS, Spared
from gradekit.run.steps import TakeOutputs

# By its own name, not as __main__, so that what travels is of the same class on both sides.
_SERVE = "from gradekit.run.marking import main; main()"
EACH = 10  # hand-ins for which a marker in a process of its own is worth its start


@dataclass(frozen=True, kw_only=True)
class Setting:
    """What a marker has to know of the class and the run."""

    work: Path
    made_of: dict
    limits: object
    shut_in: bool


@dataclass(frozen=True, kw_only=True)
class ToMark:
    """One hand-in, in its place below `submitted`, and what its cells put out."""

    assignment: str
    member: str
    sources: tuple
    ran: object
    before: dict


@dataclass(frozen=True, kw_only=True)
class Marked:
    """Rows for the gradebook, or what nbgrader said where it did not succeed."""

    rows: dict = field(default_factory=dict)
    not_done: dict = field(default_factory=dict)
    feedback_seconds: float = 0.0


class _MadeOnce:
    """One of nbgrader's converters, made as its API makes it, then used for all hand-ins.

    `start` does what the converter's own does, but for making its writer, its exporter with the
    templates, and its steps anew.
    """

    def __init__(self, api, converter):
        self._api, self._converter = api, converter
        self._converter.force = True
        self.log, self._ready = converter.log, False

    def start(self):
        """For nbgrader's capture_log."""
        if not self._ready:
            self._ready = True
            return self._converter.start()
        self._converter.init_notebooks()
        self._converter.exporter._nb_metadata.clear()  # else it grows with every hand-in
        before = os.getcwd()
        os.chdir(self._converter.coursedir.root)
        try:
            self._converter.convert_notebooks()
        finally:
            os.chdir(before)

    def _one(self, assignment, member):
        from nbgrader.utils import capture_log, temp_attrs

        with temp_attrs(self._api.coursedir, assignment_id=assignment, student_id=member):
            return capture_log(self)


class Autograding(_MadeOnce):
    """Stands in for nbgrader's API where a hand-in is autograded."""

    def __init__(self, api):
        from nbgrader.converters import Autograde

        converter = Autograde(coursedir=api.coursedir, parent=api)
        for steps in ("sanitize_preprocessors", "autograde_preprocessors"):
            made = [
                s(parent=converter) if isinstance(s, type) else s for s in getattr(converter, steps)
            ]
            setattr(converter, steps, made)
        super().__init__(api, converter)

    def autograde(self, assignment, member, force=True):
        """As nbgrader's API; force is as it always is here."""
        return self._one(assignment, member)


class PageMaking(_MadeOnce):
    """Stands in for nbgrader's API where a feedback page is made."""

    def __init__(self, api):
        from nbgrader.converters import GenerateFeedback
        from traitlets.config import Config

        converter = GenerateFeedback(coursedir=api.coursedir, parent=api)
        config = Config()
        config.HTMLExporter.template_name = "feedback"
        converter.update_config(config)
        super().__init__(api, converter)

    def generate_feedback(self, assignment, member, force=True):
        """As nbgrader's API; force is as it always is here."""
        return self._one(assignment, member)


class Marker:
    """Marks in this process."""

    def __init__(self, setting):
        from gradekit.course import Course

        self._take = TakeOutputs(setting.limits, setting.shut_in)
        self._course = Course(setting.work, ADDRESS)
        self._spared = Spared().__enter__()
        api = self._course.api(self._take)
        self._autograde, self._feedback = Autograding(api), PageMaking(api)
        book.fill(self._spared.connection, setting.made_of)
        self._spared.connection.commit()

    def mark(self, what):
        """A Marked for one ToMark."""
        from gradekit.course import NotDone

        try:
            with self._course.quiet(), self._spared.for_one() as connection:
                return self._mark(connection, what)
        except NotDone as error:
            return Marked(not_done=error.args[0])
        except Exception:  # whatever it is, it costs one member a sentence and not the run
            return Marked(not_done={"error": traceback.format_exc()})

    def _mark(self, connection, what):
        self._take.give(what.assignment, what.member, what.sources, what.ran)
        if what.before["submitted_assignment"]:
            book.add_member(connection, what.member)
            book.fill(connection, what.before)
        self._course.mark(self._autograde, what.assignment, what.member)
        started = time.process_time()
        self._course.make_page(self._feedback, what.assignment, what.member)
        return Marked(
            rows=book.handed_in(connection, what.assignment, what.member),
            feedback_seconds=time.process_time() - started,
        )

    def close(self):
        """Let go of the gradebook in memory."""
        self._spared.__exit__(None, None, None)


class MarkerEnded(RuntimeError):
    """The process of a marker ended by itself."""


class _Beside:
    """A marker in a process of its own, and the pipes to it."""

    def __init__(self, setting):
        kept = {n: v for n, v in os.environ.items() if n != "AERIALSTREAM_GRADEBOOK"}
        with _log(setting).open("ab") as log:
            self._process = subprocess.Popen(
                [sys.executable, "-W", "ignore", "-c", _SERVE],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                env=kept,
            )
        self._to, self._from = self._process.stdin, self._process.stdout
        self._send(setting)

    def _send(self, what):
        pickle.dump(what, self._to)
        self._to.flush()

    def mark(self, what):
        """As Marker.mark."""
        try:
            self._send(what)
            return pickle.load(self._from)
        except (OSError, EOFError, pickle.UnpicklingError) as error:
            self.close()
            raise MarkerEnded(f"the process that marks ended ({type(error).__name__})") from None

    def close(self):
        """End the process."""
        for pipe in (self._to, self._from):
            with contextlib.suppress(OSError):
                pipe.close()
        self._wait()

    def _wait(self):
        try:
            self._process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


class _Forked(_Beside):
    """The same, forked from the writer: what that has imported and worked out is there at once."""

    def __init__(self, setting, others):
        theirs, self_to = os.pipe()
        self_from, their_answer = os.pipe()
        self._child = os.fork()
        if self._child == 0:
            try:
                shut_in.die_with_parent()
                for other in others:  # else they would not see the end of their input
                    os.close(other._to.fileno())
                os.close(self_to)
                os.close(self_from)
                with _log(setting).open("ab") as log:
                    os.dup2(log.fileno(), 1)
                    os.dup2(log.fileno(), 2)
                _serve(setting, os.fdopen(theirs, "rb"), os.fdopen(their_answer, "wb"))
            finally:
                os._exit(0)
        os.close(theirs)
        os.close(their_answer)
        self._to, self._from = os.fdopen(self_to, "wb"), os.fdopen(self_from, "rb")

    def _wait(self):
        end = time.monotonic() + 5
        while time.monotonic() < end:
            if os.waitpid(self._child, os.WNOHANG)[0]:
                return
            time.sleep(0.01)
        os.kill(self._child, signal.SIGKILL)
        os.waitpid(self._child, 0)


class Markers:
    """Some markers, each in a process of its own; with a count of 0 one in this process.

    As a context manager; `submit` gives a future of a Marked. The processes are forked where this
    one has no other thread, which could hold a lock at that moment; else they are started anew.
    """

    def __init__(self, setting, count):
        self._setting, self._count = setting, count
        self._here, self._all, self._forked = threading.local(), [], []

    def __enter__(self):
        if self._count:
            if threading.active_count() == 1 and sys.platform == "linux":
                for _ in range(self._count):
                    self._forked.append(_Forked(self._setting, self._forked))
                self._all += self._forked
            self._threads = ThreadPoolExecutor(self._count, thread_name_prefix="mark")
        return self

    def __exit__(self, *what):
        if self._count:
            self._threads.shutdown(wait=True, cancel_futures=True)
        for marker in self._all:
            marker.close()

    def submit(self, what):
        """Have one hand-in marked; gives a future."""
        if self._count:
            return self._threads.submit(self._mark, what)
        done = Future()
        done.set_result(self._mark(what))
        return done

    def _mark(self, what):
        said = ""
        for _ in range(2):
            marker = getattr(self._here, "marker", None)
            if marker is None:
                marker = self._here.marker = self._another()
            try:
                return marker.mark(what)
            except MarkerEnded as error:
                self._here.marker, said = None, str(error)
                self._all.remove(marker)
        return Marked(not_done={"error": said})

    def _another(self):
        if self._forked:
            return self._forked.pop()
        marker = _Beside(self._setting) if self._count else Marker(self._setting)
        self._all.append(marker)
        return marker


def _log(setting):
    return setting.work / "class" / "nbgrader.log"


def _serve(setting, jobs, answers):
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # it is the writer that is told to stop
    marker = Marker(setting)
    gc.freeze()  # what is there now stays: no need to look through it again and again
    with contextlib.suppress(EOFError):
        while True:
            pickle.dump(marker.mark(pickle.load(jobs)), answers)
            answers.flush()


def main():
    """Serve until standard input ends: first a Setting, then one ToMark after the other."""
    channel = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    shut_in.die_with_parent()
    _serve(pickle.load(sys.stdin.buffer), sys.stdin.buffer, channel)
