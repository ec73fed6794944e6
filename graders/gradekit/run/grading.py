"""The grading of a class: who is to be graded, the runs in parallel, and the one writer of marks.

Notebooks run wherever the executor runs them. Everything that makes a mark happens here, in one
process and one after the other: nbgrader's own steps, the judgement, the gradebook, the feedback
page. That process never runs a cell.
"""

import contextlib
import os
import time
from collections import deque
from concurrent.futures import FIRST_COMPLETED, wait
from dataclasses import dataclass, replace
from datetime import datetime

import nbformat

from gradekit.classroom import retake_of
from gradekit.merge import merge, read_notebook
from gradekit.run import book, shut_in, workers
from gradekit.run.job import Job, Limits, Ran
from gradekit.run.marking import EACH, Markers, Setting, ToMark
from gradekit.run.report import BEFORE, FAILED, GRADED, OLDER, UNREADABLE, Graded, RunReport
from gradekit.run.steps import code_sources

TRUSTED_VARIABLE = "AERIALSTREAM_TRUSTED"
AHEAD = 4  # notebooks for each worker that are merged and waiting; more would only fill memory


@dataclass(frozen=True, kw_only=True)
class Todo:
    """One hand-in, merged and ready to run."""

    assignment: str
    member: str
    notebook: object
    version: str
    handed_in: datetime
    problems: tuple = ()
    late: str = ""


@dataclass(frozen=True, kw_only=True)
class State:
    """How the run stands, for a progress bar."""

    done: int
    total: int
    running: tuple
    in_trouble: int


class CannotShutIn(RuntimeError):
    """Notebooks would run without bubblewrap, and nobody said that they may."""


def how_shut_in(trusted):
    """(whether to use bubblewrap, words for the report).

    Fails when
      CannotShutIn   bubblewrap does not work here and the hand-ins were not called trusted
    """
    reason = shut_in.missing()
    if not reason:
        return True, "yes, by bubblewrap"
    if trusted or os.environ.get(TRUSTED_VARIABLE) == "1":
        return False, f"no ({reason}); the instructor called these hand-ins trusted"
    raise CannotShutIn(
        f"{reason}. Notebooks run shut in or not at all. Where you trust everybody who handed in, "
        "add --trusted: they then run under the limits of the system alone"
    )


def prepare(course, assignment, member, files, released):
    """What is to be done about one member: a Todo, or a Graded where nothing is to be run."""
    path, data, unreadable, mended = course.newest_readable(files)
    if data is None:
        return Graded(member, assignment, UNREADABLE, unreadable)
    retake = retake_of(course.folder, assignment, member)
    merged = merge(data, released, member, course.variant(assignment, member, retake), retake)
    problems = (*mended, *merged.problems)
    if unreadable:
        told = f"{unreadable[0]} (the one handed in before it is graded)"
        problems = (told, *problems)
    late = course.lateness(assignment, path)
    metadata = data.get("metadata")
    made_on = metadata.get("paper_version", "") if isinstance(metadata, dict) else ""
    now = course.paper_version(assignment)
    if isinstance(made_on, str) and made_on and made_on != now:
        told = f"made on version {made_on[:40]}; now it is {now}"
        return Graded(member, assignment, OLDER, (told, *problems), late=late)
    version = course.version_of(merged.notebook, assignment)
    if course.graded_before(assignment, member, version):
        # Grading it again would ask the marker for the written answers again.
        return Graded(member, assignment, BEFORE, problems, late=late)
    return Todo(
        assignment=assignment,
        member=member,
        notebook=merged.notebook,
        version=version,
        handed_in=course.handed_in_at(path),
        problems=problems,
        late=late,
    )


def everybody(course, assignments):
    """(assignment, member, files newest first) of everybody who handed in."""
    found = []
    for assignment in assignments:
        kept = course.folder / "collected" / assignment
        if not kept.is_dir():
            continue
        for folder in sorted(p for p in kept.iterdir() if p.is_dir()):
            files = sorted(folder.glob("*.ipynb"), reverse=True)
            if files:
                found.append((assignment, folder.name, files))
    return found


class GradingRun:
    """One run over the hand-ins of some assignments.

    Takes
      course        the class
      assignments   names; each was handed out
      executor      any `concurrent.futures` executor, or None for threads on this machine
      count         number of workers on this machine
      trusted       hand-ins may run without bubblewrap where there is none
      limits        what each notebook may use
      slow          nbgrader's own run, a kernel for each notebook, one after the other
      watch         called with a State whenever something changes
    """

    def __init__(
        self, course, assignments, *, executor=None, count=None, trusted=False, limits=None,
        slow=False, watch=lambda state: None,
    ):  # fmt: skip
        self.course, self.assignments = course, tuple(assignments)
        self.executor, self.count = executor, count or workers.default_workers()
        self.limits = limits or Limits(cell_seconds=course.cell_seconds)
        self.slow = slow or not hasattr(os, "fork")
        self.shut_in, self.shut_in_words = how_shut_in(trusted)
        if self.slow:
            self.shut_in_words = "no; nbgrader's own kernels, which only texts between quotes reach"
        self.watch, self.items, self.total = watch, [], 0
        self.feedback_seconds = 0.0

    def run(self):
        """Grade; gives a RunReport."""
        started, clock = datetime.now().astimezone(), time.monotonic()
        with self.course.alone():
            self.released = {a: read_notebook(self.course.released(a)) for a in self.assignments}
            waiting = everybody(self.course, self.assignments)
            self.total = len(waiting)
            if self.slow:
                by = "nbgrader's own run, one notebook at a time"
                self._one_by_one(waiting)
            elif self.executor is not None:
                by = type(self.executor).__name__
                self._in_parallel(waiting, self.executor)
            else:
                by = f"{self.count} workers on this machine"
                with _department_of(self.course), workers.local_executor(self.count) as executor:
                    self._in_parallel(waiting, executor, ahead=True)
        order = {(a, m): n for n, (a, m, _) in enumerate(waiting)}
        self.items.sort(key=lambda item: order[item.assignment, item.member])
        return RunReport(
            items=tuple(self.items),
            started=started.isoformat(sep=" ", timespec="seconds"),
            seconds=time.monotonic() - clock,
            workers=by,
            shut_in=self.shut_in_words,
        )

    def _one_by_one(self, waiting):
        api = self.course.api()
        for assignment, member, files in waiting:
            self._tell([f"{member} {assignment}"])
            todo = prepare(self.course, assignment, member, files, self.released[assignment])
            if isinstance(todo, Todo):
                todo = self.course.write(api, todo)
            self.items.append(todo)
        self._tell([])

    def _in_parallel(self, waiting, executor, ahead=False):
        left, running, marking, most = deque(waiting), {}, {}, AHEAD * self.count
        count = min(self.count, len(waiting) // EACH)
        if count:
            if ahead:
                workers.start_ahead(self.count)
            for assignment in self.assignments:  # what is worked out once, before others are forked
                self.course.variant(assignment, waiting[0][1], 0)
        with book.opened(self.course.address) as self._book, self._markers(count) as markers:
            while left or running or marking:
                while left and len(running) + len(marking) < most:
                    self._start(left.popleft(), executor, running)
                if not running and not marking:
                    continue
                done, _ = wait([*marking, *running], timeout=0.5, return_when=FIRST_COMPLETED)
                for future in done:
                    if future in running:
                        self._have_marked(markers, running.pop(future), future, marking)
                    else:
                        self._finish(*marking.pop(future), future.result())
                    self._tell([*running.values(), *(todo for todo, _ in marking.values())])
        self._tell([])

    def _markers(self, count):
        with self._book.connect() as connection:
            made_of = book.made_of(connection, self.assignments)
        setting = Setting(
            work=self.course.folder.parent,
            made_of=made_of,
            limits=self.limits,
            shut_in=self.shut_in,
        )
        return Markers(setting, count)

    def _start(self, what, executor, running):
        assignment, member, files = what
        todo = prepare(self.course, assignment, member, files, self.released[assignment])
        if not isinstance(todo, Todo):
            self.items.append(todo)
            return
        job = Job(
            name=f"{member} {assignment}",
            sources=code_sources(todo.notebook),
            limits=self.limits,
            shut_in=self.shut_in,
        )
        running[executor.submit(workers.execute, job)] = todo

    def _have_marked(self, markers, todo, future, marking):
        try:
            ran = future.result()
        except shut_in.NotShutIn as error:
            raise CannotShutIn(str(error)) from None
        except Exception as error:  # whatever an executor may say of a worker that is gone
            said = f"no worker could run it: {type(error).__name__}: {error}"
            self.items.append(
                Graded(todo.member, todo.assignment, FAILED, (*todo.problems, said[:500]))
            )
            return
        self.course.begin(todo)
        with self._book.connect() as connection:
            before = book.handed_in(connection, todo.assignment, todo.member)
        what = ToMark(
            assignment=todo.assignment,
            member=todo.member,
            sources=code_sources(todo.notebook),
            ran=ran,
            before=before,
        )
        marking[markers.submit(what)] = todo, ran.trouble

    def _finish(self, todo, trouble, marked):
        if marked.not_done:
            graded = self.course.not_done(todo, marked.not_done)
        else:
            try:
                with self._book.begin() as connection:
                    book.replace_handed_in(connection, todo.assignment, todo.member, marked.rows)
                graded = self.course.finish(todo)
            except book.NotTaken as error:
                graded = self.course.not_done(todo, {"error": str(error)})
        self.feedback_seconds += marked.feedback_seconds
        self.items.append(replace(graded, trouble=trouble) if trouble else graded)

    def _tell(self, running):
        names = [r if isinstance(r, str) else f"{r.member} {r.assignment}" for r in running]
        self.watch(
            State(
                done=len(self.items),
                total=self.total,
                running=tuple(names),
                in_trouble=sum(item.needs_you for item in self.items),
            )
        )


@contextlib.contextmanager
def _department_of(course):
    """Let the notebooks see the department whose class this is, as the judge does."""
    chosen = course.folder / "department.txt"
    before = os.environ.get("AERIALSTREAM_DEPARTMENT")
    if not before and chosen.is_file():
        os.environ["AERIALSTREAM_DEPARTMENT"] = chosen.read_text(encoding="utf-8").strip()
    try:
        yield
    finally:
        if before is None:
            os.environ.pop("AERIALSTREAM_DEPARTMENT", None)


def write_hand_in(target, name, todo):
    """Put a merged notebook where nbgrader looks for hand-ins."""
    from gradekit.run.report import replace_file

    target.mkdir(parents=True, exist_ok=True)
    replace_file(target / f"{name}.ipynb", nbformat.writes(todo.notebook))
    replace_file(target / "timestamp.txt", todo.handed_in.isoformat(sep=" "))


__all__ = ["GRADED", "CannotShutIn", "GradingRun", "Ran", "State", "Todo", "prepare"]
