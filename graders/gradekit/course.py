"""A course folder: release, hand-out, collection and the grading run, all through nbgrader.

Below the working folder:

    class/roster.csv, gradebook.db, register.db, nbgrader_config.py
    class/source/ release/ submitted/ autograded/ feedback/     nbgrader's own steps
    class/handout/<member>/<assignment>/                        to give out
    class/collected/<assignment>/<member>/<time>.ipynb          every hand-in, as it came
    class/under-way/<assignment>/<member>                       there while a mark is being written
    class/grading-run.txt, .json                                what became of everybody
"""

import contextlib
import copy
import hashlib
import io
import json
import logging
import os
import re
import shutil
import stat
import sys
import time
import zipfile
import zlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import nbformat

from gradekit import nbgrader_config
from gradekit.classroom import department_of, retake_of, set_retake
from gradekit.draw import member_number
from gradekit.mail import UnreadableMail, read_mail
from gradekit.merge import (
    LARGEST_FILE,
    MEMBER_VARIABLE,
    UnreadableHandIn,
    read_and_mend,
    read_notebook,
)
from gradekit.nbgrader_config import TEMPLATES, configure, gradebook_address
from gradekit.notebook import member_cell
from gradekit.questions import papers
from gradekit.run.report import FAILED, GRADED, Graded, plain, replace_file

WORK_VARIABLE = "AERIALSTREAM_WORK"
PROJECT = Path(__file__).resolve().parents[2]
SOURCES = PROJECT / "source_assignments"
MOST_FILES_IN_ZIP = 2000
VERSION_FILE = "version.txt"
LAST_DAYS_FILE = "last-days.json"
KEPT_AS = "%Y%m%d-%H%M%S-%f"


class CourseError(ValueError):
    """Something about the course that the instructor has to put right; one sentence."""


def work_folder(given=None):
    """The working folder: as given, else the environment's, else `work` in the project."""
    chosen = given or os.environ.get(WORK_VARIABLE)
    if chosen:
        return Path(chosen).expanduser().resolve()
    return (PROJECT if SOURCES.is_dir() else Path.cwd()) / "work"


@dataclass(frozen=True)
class HandIn:
    """One file that came in. `problem` is empty when it was taken."""

    path: Path
    member: str = ""
    assignment: str = ""
    problem: str = ""
    news: bool = True
    late: str = ""

    def __post_init__(self):
        object.__setattr__(self, "problem", plain(self.problem))


class Course:
    """The class of one working folder.

    Takes
      work      working folder; see `work_folder`
      address   SQLAlchemy address of the gradebook, or None for SQLite in the folder
    """

    def __init__(self, work=None, address=None):
        self.folder = work_folder(work) / "class"
        self.folder.mkdir(parents=True, exist_ok=True)
        self.address = address or gradebook_address(self.folder)
        self._write_config()
        _programs_on_path()

    def _write_config(self):
        """A config that makes plain nbgrader, formgrader included, work in this folder."""
        text = (
            "# Written by the kit, for plain nbgrader commands in this folder.\n"
            "from gradekit.nbgrader_config import configure\n\n"
            "configure(get_config(), __file__.rsplit('nbgrader_config.py', 1)[0] or '.')\n"
        )
        path = self.folder / "nbgrader_config.py"
        if not path.is_file() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")

    @property
    def cell_seconds(self):
        """How long a cell may run."""
        return nbgrader_config.CELL_SECONDS

    def _api(self):
        return self.api()

    def api(self, in_place_of_the_run=None):
        """nbgrader's own commands on this course.

        `in_place_of_the_run` is a step that stands where nbgrader would start a kernel.
        """
        from nbgrader.apps import NbGraderAPI
        from nbgrader.coursedir import CourseDirectory
        from traitlets.config import Config

        logging.getLogger("traitlets").setLevel(logging.CRITICAL)
        config = configure(Config(), self.folder, self.address)
        if in_place_of_the_run is not None:
            nbgrader_config.replace_run(config, in_place_of_the_run)
            config.Exporter.optimistic_validation = True  # once after all steps, not after each
        # Our plain page for members; not in the config file, where it would hide formgrader's own.
        config.HTMLExporter.extra_template_basedirs = [str(TEMPLATES)]
        return NbGraderAPI(coursedir=CourseDirectory(config=config), config=config)

    def gradebook(self):
        """nbgrader's gradebook, as a context manager."""
        from nbgrader.api import Gradebook

        return Gradebook(self.address)

    @contextlib.contextmanager
    def quiet(self):
        """Send what nbgrader, its kernels and its database warn about to the log, not the screen."""
        sys.stderr.flush()
        with (self.folder / "nbgrader.log").open("ab") as log:
            screen = os.dup(2)
            os.dup2(log.fileno(), 2)
            try:
                yield
            finally:
                sys.stderr.flush()
                os.dup2(screen, 2)
                os.close(screen)

    def _kept_log(self, result):
        """Put what nbgrader said into a file for the instructor; gives its path."""
        path = self.folder / "nbgrader.log"
        with path.open("a", encoding="utf-8") as log:
            log.write((result.get("log") or "") + (result.get("error") or "") + "\n")
        return path

    # --- release and hand-out -----------------------------------------------------------------

    def release(self, assignment):
        """Make the learners' version of an assignment with nbgrader; gives its path.

        Fails when
          CourseError   there is no such assignment, or nbgrader refuses it
        """
        source = SOURCES / assignment
        if assignment not in papers() or not source.is_dir():
            raise CourseError(f"no assignment “{assignment}”; there are: {', '.join(papers())}")
        target = self.folder / "source" / assignment
        shutil.rmtree(target, ignore_errors=True)
        shutil.copytree(source, target, ignore=shutil.ignore_patterns(".ipynb_checkpoints"))
        with self.quiet():
            result = self._api().generate_assignment(assignment, force=True, create=True)
        if not result["success"]:
            raise CourseError(
                f"nbgrader could not release {assignment}: {_last_line(result)} "
                f"(the whole of it: {self._kept_log(result)})"
            )
        path = self.released(assignment)
        released = read_notebook(path)
        # Goes with every copy: a later version deals new numbers, and tells old hand-ins by this.
        released.metadata["paper_version"] = papers()[assignment].version
        nbformat.write(released, path)
        return path

    def released(self, assignment):
        """Path of the released notebook."""
        return self.folder / "release" / assignment / f"{assignment}.ipynb"

    def handed_out(self):
        """Names of the assignments that were released in this folder."""
        return [name for name in papers() if self.released(name).is_file()]

    def graded_version(self, assignment, member):
        """Which hand-in a member's mark is for: version of the paper and digest of the answers."""
        path = self.folder / "submitted" / member / assignment / VERSION_FILE
        return path.read_text(encoding="utf-8") if path.is_file() else ""

    def hand_out(self, assignment, members):
        """A folder for each member with the released notebook, member number filled in.

        Gives (folder, members whose notebook was there already and is not as handed out).
        """
        released, left = read_notebook(self.release(assignment)), []
        for member in members:
            nb = copy.deepcopy(released)
            for cell in nb.cells:
                if cell.source.startswith(f"{MEMBER_VARIABLE} ="):
                    retake = retake_of(self.folder, assignment, member)
                    cell.source = member_cell(member, retake)
            target = self.folder / "handout" / member / assignment / f"{assignment}.ipynb"
            target.parent.mkdir(parents=True, exist_ok=True)
            if (
                target.is_file()
                and target.read_text(encoding="utf-8") != nbformat.writes(nb) + "\n"
            ):
                left.append(member)  # somebody may have worked in it
                continue
            nbformat.write(nb, target)
        return self.folder / "handout", tuple(left)

    def grant_retake(self, assignment, member):
        """Let a member take an assignment again with other numbers.

        What was handed out to the member before is laid aside in `handout-before`, never deleted.
        Gives (number of the retake, folder with the new notebook).
        """
        if assignment not in papers():
            raise CourseError(f"no assignment “{assignment}”; there are: {', '.join(papers())}")
        before = self.folder / "handout" / member / assignment
        now = retake_of(self.folder, assignment, member)
        if not before.is_dir():
            raise CourseError(
                f"{member} was never handed out {assignment}: `aerialstream class hand-out` first"
            )
        aside = self.folder / "handout-before" / member / f"{assignment}-{now}"
        if aside.exists():
            raise CourseError(
                f"{aside} is there already: move it away, then grant the retake again"
            )
        aside.parent.mkdir(parents=True, exist_ok=True)
        before.rename(aside)
        number = set_retake(self.folder, assignment, member, now + 1)
        self.hand_out(assignment, [member])
        return number, before

    def pack_handout(self, members, each=False):
        """Zip what was handed out: one file for all, or one for each member; gives the paths."""
        folder, target = self.folder / "handout", self.folder / "handout-zips"
        files = {
            m: [(p, p.relative_to(folder)) for p in sorted((folder / m).rglob("*.ipynb"))]
            for m in members
        }
        if each:
            return [_zip(target / f"{m}.zip", found) for m, found in files.items() if found]
        return [_zip(target / "everybody.zip", [f for found in files.values() for f in found])]

    def pack_feedback(self, assignments):
        """Zip the feedback pages, a folder for each member; gives the path."""
        folder = self.folder / "feedback"
        pages = [p for a in assignments for p in sorted(folder.glob(f"*/{a}/{a}.html"))]
        if not pages:
            raise CourseError("no feedback pages yet: run `aerialstream class grade` first")
        files = [(p, f"{p.relative_to(folder).parts[0]}/{p.name}") for p in pages]
        return _zip(self.folder / "feedback.zip", files)

    # --- collection ---------------------------------------------------------------------------

    def collect(self, folder, members):
        """Take in every notebook below a folder (and in its zips and mails); gives a HandIn for each.

        A hand-in belongs to the member that its folder or file name says, else to the one
        named inside it. What belongs to nobody on the roster is reported, not taken. A folder into
        which nbgrader itself collected is read as well: `timestamp.txt` beside a notebook says
        when it was handed in, and what a grading run put there is passed over.
        """
        folder = Path(folder)
        if not folder.is_dir():
            raise CourseError(f"{folder}: there is no such folder")
        taken, files = [], []
        for path in folder.rglob("*"):
            if path.is_file() and not path.is_symlink():
                files.append(path)
            elif _is_notebook(path) and not _is_litter(path):
                taken += _no_file(path, path.relative_to(folder))
        for path in sorted(files, key=lambda p: (p.stat().st_mtime, p)):
            if _is_litter(path):
                continue
            name = path.relative_to(folder)
            if _is_notebook(path):
                taken += self._take_file(path, name, members)
            elif path.suffix.lower() == ".zip":
                taken += self._take_zip(path, name, members)
            elif path.suffix.lower() == ".eml":
                taken += self._take_mail(path, name, members)
        return sorted(taken, key=lambda item: item.path)

    def _take_file(self, path, name, members):
        ours = self.folder / "submitted"
        if path.is_relative_to(ours) and (path.parent / VERSION_FILE).is_file():
            return []  # a grading run put it there
        if path.stat().st_size > LARGEST_FILE:
            raw = path.open("rb").read(LARGEST_FILE + 1)  # kept, so that the run says what it is
        else:
            raw = path.read_bytes()
        return [self._take(path, name, raw, members, _said_beside(path))]

    def _take_mail(self, path, name, members):
        try:
            mail = read_mail(path)
        except UnreadableMail as error:
            return [HandIn(path, problem=f"{name}: {error}")]
        taken, told = [], name / mail.subject.replace("/", " ") if mail.subject else name
        for attached in mail.attachments:
            inner = told / attached.name
            if _is_litter(inner):
                continue
            if inner.suffix.lower() == ".zip":
                opened = io.BytesIO(attached.raw)
                taken += self._take_zip(path, inner, members, opened, mail.arrived)
            elif _is_notebook(inner) and len(attached.raw) > LARGEST_FILE:
                said = f"{inner}: larger than {LARGEST_FILE // 1_000_000} MB"
                taken.append(HandIn(path, problem=said))
            elif _is_notebook(inner):
                taken.append(self._take(path, inner, attached.raw, members, mail.arrived))
        return taken or [HandIn(path, problem=f"{name}: no notebook is attached to this mail")]

    def _take_zip(self, path, name, members, opened=None, changed=None):
        taken = []
        try:
            with zipfile.ZipFile(opened or path) as archive:
                for info in archive.infolist()[:MOST_FILES_IN_ZIP]:
                    inner = name / info.filename
                    if _is_litter(inner) or not _is_notebook(inner) or info.is_dir():
                        continue
                    if stat.S_ISLNK(info.external_attr >> 16):
                        taken.append(HandIn(path, problem=f"{inner}: {_A_LINK}"))
                        continue
                    if info.file_size > LARGEST_FILE:
                        said = f"{inner}: larger than {LARGEST_FILE // 1_000_000} MB"
                        taken.append(HandIn(path, problem=said))
                        continue
                    taken.append(self._take(path, inner, archive.read(info), members, changed))
        except (zipfile.BadZipFile, RuntimeError, OSError, EOFError, zlib.error, ValueError):
            taken.append(HandIn(path, problem=f"{name} is damaged: it does not open as a zip"))
        return taken

    def _take(self, path, name, raw, members, changed=None):
        assignment = next((a for a in papers() if a in name.as_posix().lower()), None)
        member = _member_in_name(name, members)
        inside = _look_inside(raw)
        named = inside.get("member") if inside.get("member") in members else None
        assignment = assignment or inside.get("assignment")
        if member and named and member != named:
            problem = f"{name}: the name says {member}, the notebook says {named}; whose is it?"
            return HandIn(path, "", assignment or "", problem)
        member = member or named
        if assignment is None:
            return HandIn(path, member or "", problem=f"{name}: no assignment of ours")
        if member is None:
            read = _look_inside(raw).get("member")
            read = f" (it names {read})" if read else ""
            problem = f"{name}: belongs to nobody on the roster{read}"
            return HandIn(path, "", assignment, problem)
        kept = self.folder / "collected" / assignment / member
        kept.mkdir(parents=True, exist_ok=True)
        changed = path.stat().st_mtime if changed is None else changed
        when = datetime.fromtimestamp(changed).strftime(KEPT_AS)
        old = sorted(kept.glob("*.ipynb"))
        if any(o.stem == when and o.read_bytes() == raw for o in old) or (
            old and old[-1].read_bytes() == raw
        ):
            return HandIn(path, member, assignment, news=False)
        # Named by its time of change, so that the newest sorts last whenever it came in.
        while (kept / f"{when}.ipynb").exists():  # two of the same moment: both are kept
            when = (datetime.strptime(when, KEPT_AS) + timedelta(microseconds=1)).strftime(KEPT_AS)
        (kept / f"{when}.ipynb").write_bytes(raw)
        late = self.lateness(assignment, kept / f"{when}.ipynb")
        return HandIn(path, member, assignment, late=late)

    # --- grading ------------------------------------------------------------------------------

    def grade(self, assignment, **how):
        """Grade each member's newest hand-in of one assignment; gives a Graded for each."""
        return list(self.run([assignment], **how).items)

    def run(self, assignments, **how):
        """Grade the newest hand-ins of some assignments; gives a RunReport, which is also written.

        A broken notebook costs its owner a sentence and nobody else anything. `how` is what
        `gradekit.run.grading.GradingRun` takes besides.

        Fails when
          CourseError   an assignment was not handed out, another run is at work, or notebooks
                        cannot be shut in here and were not called trusted
        """
        from gradekit.run.grading import CannotShutIn, GradingRun

        for assignment in assignments:
            if not self.released(assignment).is_file():
                raise CourseError(f"{assignment} was not handed out from this folder yet")
        try:
            report = GradingRun(self, assignments, **how).run()
        except CannotShutIn as error:
            raise CourseError(str(error)) from None
        report.write(self.folder)
        return report

    @contextlib.contextmanager
    def alone(self):
        """Hold the folder for one grading run; the system lets go of it when that run is killed."""
        with (self.folder / "run.lock").open("a+") as held:
            if not _held_within(held, seconds=2.0):
                raise CourseError(
                    f"another grading run is at work in {self.folder}: wait until it has ended"
                )
            yield

    def _grade_one(self, api, assignment, member, files, released):
        from gradekit.run.grading import Todo, prepare

        todo = prepare(self, assignment, member, files, released)
        return self.write(api, todo) if isinstance(todo, Todo) else todo

    def write(self, api, todo):
        """Let nbgrader grade one merged notebook and make its feedback page; gives a Graded."""
        self.begin(todo)
        try:
            with self.quiet():
                self.mark(api, todo.assignment, todo.member)
                self.make_page(api, todo.assignment, todo.member)
        except NotDone as error:
            return self.not_done(todo, error.args[0])
        return self.finish(todo)

    def begin(self, todo):
        """Put a merged notebook where nbgrader looks for it.

        While its marking is under way a file says so. Whoever finds it after a kill knows that
        mark, version and page may not belong together; the next run does all of it again.
        """
        from gradekit.run.grading import write_hand_in

        flag = self._under_way(todo.assignment, todo.member)
        flag.parent.mkdir(parents=True, exist_ok=True)
        flag.write_text(todo.version, encoding="utf-8")
        # An old page would pass this text off as graded before, should its grading fail.
        self.feedback_page(todo.assignment, todo.member).unlink(missing_ok=True)
        write_hand_in(self._submitted(todo), todo.assignment, todo)

    def mark(self, api, assignment, member):
        """nbgrader's autograde of what lies below `submitted`; NotDone if it does not succeed."""
        _must(api.autograde(assignment, member, force=True))
        self._forget_old_marks(assignment, member)

    def make_page(self, api, assignment, member):
        """nbgrader's feedback page of what was marked; NotDone if it does not succeed."""
        _must(api.generate_feedback(assignment, member, force=True))

    def finish(self, todo):
        """Say that mark, version and page belong together; gives a Graded."""
        replace_file(self._submitted(todo) / VERSION_FILE, todo.version)
        self._under_way(todo.assignment, todo.member).unlink()
        return Graded(todo.member, todo.assignment, GRADED, todo.problems, late=todo.late)

    def not_done(self, todo, result):
        """A Graded that says in words what nbgrader gave back."""
        said = f"{_last_line(result)} (the whole of it: {self._kept_log(result)})"
        problems = (*todo.problems, said)
        return Graded(todo.member, todo.assignment, FAILED, problems, late=todo.late)

    def _submitted(self, todo):
        return self.folder / "submitted" / todo.member / todo.assignment

    def _under_way(self, assignment, member):
        return self.folder / "under-way" / assignment / member

    def under_way(self, assignment, member):
        """Whether a run was ended while it wrote this member's mark."""
        return self._under_way(assignment, member).is_file()

    def newest_readable(self, files):
        """(path, data, problems, mended): the first of the files that reads as a notebook."""
        return _newest_readable(files)

    def paper_version(self, assignment):
        """Version of the paper as it is now."""
        return papers()[assignment].version

    def variant(self, assignment, member, retake):
        """Key of the variant that the class's own department and records give a member."""
        whose = department_of(self.folder)()
        return papers()[assignment].variant_key(member, retake, whose)

    def version_of(self, notebook, assignment):
        """Version of the paper and a digest of the answers in a merged notebook."""
        return _version_of(notebook, assignment)

    # --- the last day -------------------------------------------------------------------------

    def set_last_day(self, assignment, moment):
        """Enter until when hand-ins are in time, here and in nbgrader's gradebook; None: no end."""
        days = self._last_days()
        days.pop(assignment, None)
        if moment is not None:
            days[assignment] = moment.astimezone().isoformat()
        replace_file(self.folder / LAST_DAYS_FILE, json.dumps(days, indent=1) + "\n")
        when = moment.astimezone(UTC).replace(tzinfo=None) if moment else None
        with self.quiet(), self.gradebook() as gradebook:
            gradebook.update_or_create_assignment(assignment, duedate=when)

    def _last_days(self):
        path = self.folder / LAST_DAYS_FILE
        return json.loads(path.read_text(encoding="utf-8")) if path.is_file() else {}

    def last_day(self, assignment):
        """Until when hand-ins are in time, or None."""
        entered = self._last_days().get(assignment)
        return datetime.fromisoformat(entered) if entered else None

    def handed_in_at(self, path):
        """When a collected hand-in was last changed: by its name; a copy's own time tells nothing."""
        try:
            return datetime.strptime(path.stem, KEPT_AS).astimezone()
        except ValueError:
            return datetime.fromtimestamp(path.stat().st_mtime).astimezone()

    def lateness(self, assignment, path):
        """How late a collected hand-in is, in words; empty if in time or if there is no last day.

        It goes by the time of the last change in its name: no mail or copy later changes that.
        """
        due = self.last_day(assignment)
        if due is None:
            return ""
        changed = self.handed_in_at(path)
        minutes = int((changed - due).total_seconds() // 60)
        if changed <= due:
            return ""
        if minutes < 120:
            return f"{max(1, minutes)} minutes"
        return f"{minutes // 60} hours" if minutes < 2880 else f"{minutes // 1440} days"

    def _forget_old_marks(self, assignment, member):
        """A mark by hand and its comment belonged to the answer before: the new one waits."""
        with self.gradebook() as gradebook:
            for notebook in gradebook.find_submission(assignment, member).notebooks:
                for grade in notebook.grades:
                    if grade.needs_manual_grade:
                        grade.manual_score = None
                        comment = gradebook.find_comment(grade.name, assignment, assignment, member)
                        comment.manual_comment = None
            gradebook.db.commit()

    def graded_before(self, assignment, member, version):
        """Whether these very answers were graded and their feedback made."""
        return (
            not self.under_way(assignment, member)
            and self.graded_version(assignment, member) == version
            and self.feedback_page(assignment, member).is_file()
        )

    def feedback_page(self, assignment, member):
        """Path of a member's feedback page."""
        return self.folder / "feedback" / member / assignment / f"{assignment}.html"

    # --- marks --------------------------------------------------------------------------------

    def marks(self, assignment):
        """Marks as they stand in nbgrader's gradebook: {member: Mark}.

        Where a run was ended while it wrote a mark, there is none until the next run.
        """
        from nbgrader.api import MissingEntry

        found = {}
        with self.gradebook() as gradebook:
            try:
                submissions = gradebook.assignment_submissions(assignment)
            except MissingEntry:
                return found
            for submission in submissions:
                if self.under_way(assignment, submission.student.id):
                    continue
                found[submission.student.id] = Mark(
                    submission.student.id,
                    assignment,
                    float(submission.score),
                    float(submission.max_score),
                    bool(submission.needs_manual_grade),
                    float(submission.written_score),
                    float(submission.max_written_score),
                )
        return found

    def hand_in_state(self, assignment, member):
        """Where a member without a mark stands, in words."""
        kept = (self.folder / "collected" / assignment / member).glob("*.ipynb")
        files = sorted(kept, reverse=True)
        if not files:
            return "nothing handed in"
        readable = _newest_readable(files)[1] is not None
        return "handed in, not graded" if readable else "handed in, not readable"

    def notes(self, assignment, member):
        """{question id: note} from a member's autograded notebook."""
        path = self.folder / "autograded" / member / assignment / f"{assignment}.ipynb"
        found = {}
        for cell in read_notebook(path).cells if path.is_file() else ():
            for output in cell.get("outputs", ()):
                html = output.get("data", {}).get("text/html", "")
                match = re.search(r"data-note='([^']*)'", html)
                if match:
                    note = match.group(1)
                    found[note.partition("/")[0]] = note
        return found

    def written_answers(self, assignment):
        """Answers that wait for a marker: [(member, question id, text)]."""
        waiting = []
        with self.gradebook() as gradebook:
            for submission in gradebook.assignment_submissions(assignment):
                for notebook in submission.notebooks:
                    for grade in notebook.grades:
                        if grade.needs_manual_grade:
                            waiting.append((submission.student.id, grade.name))
        out = []
        for member, name in sorted(waiting):
            path = self.folder / "submitted" / member / assignment / f"{assignment}.ipynb"
            cells = {c.id: c.source for c in read_notebook(path).cells}
            out.append((member, name.removesuffix("-answer"), cells.get(name, "")))
        return out

    def mark_written(self, assignment, member, question_id, points, comment=""):
        """Enter a marker's points for a written answer in nbgrader's gradebook.

        Fails when
          CourseError   no such answer, or points out of its range
        """
        from nbgrader.api import MissingEntry

        if self.under_way(assignment, member):
            raise CourseError(
                f"the grading of {member} was ended in the middle: run `aerialstream class grade`"
            )
        with self.gradebook() as gradebook:
            try:
                cell = f"{question_id}-answer"
                grade = gradebook.find_grade(cell, assignment, assignment, member)
            except MissingEntry:
                raise CourseError(
                    f"no answer of {member} to {question_id} in the gradebook"
                ) from None
            if not 0 <= points <= grade.max_score:
                raise CourseError(f"{points:g} points: must be 0 to {grade.max_score:g}")
            grade.manual_score = points
            grade.needs_manual_grade = False
            found = gradebook.find_comment(cell, assignment, assignment, member)
            found.manual_comment = comment or None
            gradebook.db.commit()
        with self.quiet():
            self._api().generate_feedback(assignment, member, force=True)


@dataclass(frozen=True)
class Mark:
    """A member's mark for an assignment. `waiting`: a written answer is not marked yet.

    written, most_written   the part of it that was marked by hand
    """

    member: str
    assignment: str
    score: float
    most: float
    waiting: bool
    written: float = 0.0
    most_written: float = 0.0


def _version_of(notebook, assignment):
    """Version of the paper and a digest of the answers alone: a mended typo elsewhere counts not."""
    answers = [
        (cell.id, cell.source)
        for cell in notebook.cells
        if cell.metadata.get("nbgrader", {}).get("solution")
    ]
    digest = hashlib.sha256(repr(answers).encode()).hexdigest()[:12]
    return f"{papers()[assignment].version} {digest}"


def _is_notebook(path):
    """Also one that a mail program or an editor gave a second ending."""
    return re.search(r"\.ipynb(\.(txt|json))?$", path.name.lower()) is not None


_A_LINK = "a link to a file, not a file: hand in the notebook itself"


def _no_file(path, name):
    """What to tell of something that is called like a notebook and is no file."""
    if path.is_symlink():
        return [HandIn(path, problem=f"{name}: {_A_LINK}")]
    if not path.is_dir():
        return [HandIn(path, problem=f"{name}: no ordinary file: hand in the notebook itself")]
    if any(_is_notebook(inner) for inner in path.rglob("*")):
        return []  # what lies in it is taken
    return [HandIn(path, problem=f"{name}: a folder, and no notebook in it: hand in the notebook")]


def _said_beside(path):
    """The moment that nbgrader noted beside a notebook that it collected, or None."""
    beside = path.with_name("timestamp.txt")
    if not beside.is_file() or beside.stat().st_size > 1000:
        return None
    from nbgrader.utils import parse_utc

    try:
        return parse_utc(beside.read_text(encoding="utf-8").strip()).replace(tzinfo=UTC).timestamp()
    except (ValueError, OverflowError, UnicodeDecodeError):
        return None


def _is_litter(path):
    """What systems and JupyterLab leave beside the files that people mean."""
    return path.name.startswith("._") or not {".ipynb_checkpoints", "__MACOSX"}.isdisjoint(
        path.parts
    )


def _newest_readable(files):
    """(path, data, problems, mended): the first that reads as a notebook, newest first.

    problems   why newer ones do not read
    mended     what had to be mended to read this one
    """
    problems = []
    for path in files:
        try:
            data, mended = read_and_mend(path)
            return path, data, tuple(problems), mended
        except UnreadableHandIn as error:
            problems.append(str(error))
    return None, None, tuple(problems), ()


def _zip(target, files):
    """Pack (path, name inside) pairs; the zip is whole or as it was before."""
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(f".{target.name}.part")
    with zipfile.ZipFile(part, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, name in files:
            archive.write(path, str(name))
    part.replace(target)
    return target


def _held_within(file, seconds):
    """Whether the lock was had; a killed run's own processes keep it until they, too, are gone."""
    end = time.monotonic() + seconds
    while True:
        try:
            _lock(file)
            return True
        except OSError:
            if time.monotonic() >= end:
                return False
            time.sleep(0.05)


def _lock(file):
    """Hold a file for this process, or OSError; where a system has no locks, nothing."""
    try:
        import fcntl
    except ImportError:
        import msvcrt

        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
    else:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _programs_on_path():
    """nbgrader calls `alembic` by name when it makes a gradebook: let it find ours."""
    programs = str(Path(sys.executable).parent)
    if programs not in os.environ.get("PATH", "").split(os.pathsep):
        os.environ["PATH"] = os.pathsep.join([programs, os.environ.get("PATH", "")])


class NotDone(Exception):
    """What nbgrader gave back when it did not succeed."""


def _must(result):
    if not result["success"]:
        raise NotDone(result)


def _last_line(result):
    lines = (result.get("error") or result.get("log") or "").strip().splitlines()
    return lines[-1] if lines else "no reason given"


def _member_in_name(name, members):
    """The member whose whole number stands in the name; numbers may have hyphens of their own."""
    ours = "|".join(re.escape(assignment) for assignment in papers())
    for part in reversed(name.parts):
        part = re.sub(r"\(\d{1,2}\)", " ", part)  # a browser's "(1)" is nobody's number
        part = re.sub(rf"-?({ours}|\.ipynb|\.zip|-copy\d*)-?", " ", part, flags=re.IGNORECASE)
        found = {word.upper() for word in re.split(r"[^A-Za-z0-9-]+", part)} & set(members)
        if len(found) == 1:
            return found.pop()
    return None


def _look_inside(raw):
    """Member and assignment that a notebook itself names, as far as it can be read."""
    text = raw[:5_000_000].decode("utf-8", "replace")
    found = {}
    match = re.search(rf'{MEMBER_VARIABLE} = \\?["\']([^"\'\\]*)', text)
    if match and member_number(match.group(1)):
        found["member"] = member_number(match.group(1))
    found["assignment"] = next((a for a in papers() if f"{a}-q1" in text), None)
    return found
