"""The command `aerialstream`: the class, the records, and a demo of the whole thread."""

import os
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from aerialstream.errors import AerialStreamError
from gradekit.course import CourseError
from gradekit.drill_commands import drill_app
from gradekit.records_cli import add_commands
from gradekit.refresher_command import add_refresher
from gradekit.register import RegisterError
from gradekit.roster import RosterError
from gradekit.site.commands import site_app
from gradekit.spotting import check_department, device_app, scene_app

DEFAULT_ASSIGNMENT = "nozzle-reaction"

app = typer.Typer(
    help="Training kit on elevated master streams: class, records, demo.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
)
class_app = typer.Typer(help="Roster, hand-out, collection, grading.", no_args_is_help=True)
records_app = typer.Typer(help="Who has completed, on what evidence.", no_args_is_help=True)
department_app = typer.Typer(help="A department's own data.", no_args_is_help=True)
question_app = typer.Typer(help="For authors and instructors: questions.", no_args_is_help=True)
app.add_typer(class_app, name="class")
app.add_typer(records_app, name="records")
app.add_typer(department_app, name="department")
app.add_typer(scene_app, name="scene")
app.add_typer(device_app, name="device")
app.add_typer(drill_app, name="drill")
app.add_typer(question_app, name="question")
app.add_typer(site_app, name="site")

Work = Annotated[
    Path | None,
    typer.Option("--work", help="Working folder (else AERIALSTREAM_WORK, else work/ in the kit)."),
]
DepartmentFolder = Annotated[
    Path | None,
    typer.Option(
        "--department", help="Department's data (else AERIALSTREAM_DEPARTMENT, else demo)."
    ),
]
Gradebook = Annotated[
    str | None,
    typer.Option("--gradebook", help="SQLAlchemy address of the gradebook (else SQLite)."),
]
Assignment = Annotated[str, typer.Argument(help="Name of the graded exercise.")]

console = Console(highlight=False)


class Thread:
    """What the commands share: course, department, roster and register of one working folder."""

    def __init__(self, work=None, department=None, gradebook=None):
        from aerialstream.department import FOLDER_VARIABLE, load_department
        from gradekit.course import Course

        self.course = Course(work, gradebook)
        self.roster_path = self.course.folder / "roster.csv"
        self._chosen = self.course.folder / "department.txt"
        if not department and not os.environ.get(FOLDER_VARIABLE) and self._chosen.is_file():
            department = self._chosen.read_text(encoding="utf-8").strip()
        self.department = load_department(department)

    @property
    def roster(self):
        """The members that `class roster` took in."""
        from gradekit.roster import read_roster

        return read_roster(self.roster_path) if self.roster_path.is_file() else ()

    @property
    def members(self):
        """Numbers of the active members; CourseError when there is no roster yet."""
        members = [m.member for m in self.roster if m.active]
        if not members:
            raise CourseError("no roster yet: run `aerialstream class roster FILE.csv` first")
        return members

    def register(self):
        """The completion register."""
        from gradekit.register import Register

        return Register(self.course.folder)

    def take_roster(self, file, ask=None):
        """Read a roster file, tell what it changes, keep it, and enter it in the gradebook.

        `ask` is called before anything is changed, where something is; False leaves all as it was.
        """
        from gradekit.roster import changes, merged, read_roster, write_roster

        listed = read_roster(file, self.roster)
        after = merged(self.roster, listed)
        told = changes(self.roster, after)
        self._tell_changes(told, changes(self.roster, listed).gone)
        self._tell_erased(listed)
        if ask and told.any and not ask():
            console.print("Nothing was changed.")
            return
        write_roster(self.roster_path, after)
        with self.course.quiet(), self.course.gradebook() as gradebook:
            for member in after:
                gradebook.update_or_create_student(member.member)
        self._chosen.write_text(str(self.department.folder.resolve()), encoding="utf-8")
        rule = self.department.completion
        console.print(
            f"{len(listed)} members on the roster of {self.department.name}; theory needs "
            f"{rule.pass_mark.magnitude:g} percent, and {rule.least_written.magnitude:g} percent of "
            "the written answer"
        )

    @staticmethod
    def _tell_changes(told, gone):
        from gradekit.roster import differing

        left = {m.member for m in gone}
        for member in told.added:
            console.print(f"new      {member.member}  {member.name}", markup=False)
        for old, new in told.changed:
            if new.member not in left:
                fields = ", ".join(differing(old, new))
                console.print(f"changed  {new.member}  {new.name}: {fields}", markup=False)
        for old, member in told.returned:
            whose = "" if old.name in (member.name, "") else f" of {old.name}: the same person?"
            console.print(
                f"back     {member.member}  {member.name} (with the record{whose})", markup=False
            )
        for member in gone:
            console.print(
                f"gone     {member.member}  {member.name} (the record stays)", markup=False
            )

    def _tell_erased(self, listed):
        """Say whose name was erased on request and comes back by this list."""
        from gradekit.register import ERASURE

        register = self.register()
        erased = {e.member for e in register.all_lines() if e.kind == ERASURE}
        register.close()
        for member in listed:
            if member.member in erased and member.name:
                console.print(
                    f"note     {member.member}: the name was erased on request; this list brings it "
                    "back",
                    markup=False,
                )

    def hand_out(self, assignment, zips="", last_day=None):
        """Make the folders to give out, zipped if so wanted ("one" or "each")."""
        folder, left = self.course.hand_out(assignment, self.members)
        if left:
            console.print(f"Left as they are, since they were worked in: {', '.join(left)}")
        console.print(f"{len(self.members)} folders to hand out in {folder}")
        if last_day is not None:
            self.course.set_last_day(assignment, last_day)
            console.print(f"In time until {last_day:%Y-%m-%d %H:%M}")
        if zips:
            packed = self.course.pack_handout(self.members, zips == "each")
            console.print(f"{len(packed)} zip files in {packed[0].parent}", soft_wrap=True)
        return folder

    def collect(self, folder):
        """Take in hand-ins and tell what became of each."""
        taken = self.course.collect(folder, set(self.members))
        for item in taken:
            if item.problem:
                console.print(f"not taken  {item.problem}", markup=False)
            else:
                new = "taken    " if item.news else "had it   "
                late = f"  late by {item.late}" if item.late else ""
                console.print(f"{new}  {item.member}  {item.assignment}{late}")
        if not taken:
            console.print(f"No notebook below {folder}", soft_wrap=True)
        for assignment in sorted({item.assignment for item in taken if item.assignment}):
            owing = [
                f"{m.member} {m.name}".strip()
                for m in self.roster
                if m.active
                and self.course.hand_in_state(assignment, m.member) == "nothing handed in"
            ]
            if owing:
                console.print(f"{assignment}, nothing yet from: {'; '.join(owing)}")

    def grade(self, *assignments, **how):
        """Grade the hand-ins; tell what was repaired, refused, stopped, graded. Gives a RunReport."""
        from gradekit.run import show

        with show.bar(console) as watch:
            report = self.course.run(assignments, watch=watch, **how)
        show.tell(console, report, {a: self.course.marks(a) for a in assignments})
        self.post()
        return report

    def post(self):
        """Enter final marks in the register."""
        from gradekit.completion import post_marks

        register = self.register()
        lines = post_marks(self.course, register, self.department)
        register.close()
        if lines:
            console.print(f"{len(lines)} new lines in the completion register")

    def standings(self):
        """Who has completed."""
        from gradekit.completion import standings

        register = self.register()
        try:
            return standings(self.course, register, self.department, self.roster)
        finally:
            register.close()

    def report(self):
        """Print the completion table and write it as page and CSV; gives the standings."""
        from rich.markup import escape

        from gradekit.completion import COLUMNS, row, write_csv, write_page

        people = self.standings()
        table = Table(title="Who has completed", title_justify="left")
        for column in COLUMNS:
            table.add_column(column)
        for person in people:
            table.add_row(*(escape(cell) for cell in row(person)))
        console.print(table)
        page = self.course.folder / "completion.html"
        write_page(page, people, self.department)
        write_csv(page.with_suffix(".csv"), people)
        for person in people:
            if person.disagreement:
                console.print(f"Register and gradebook disagree on {person.member}: "
                              f"{person.disagreement}. Run `aerialstream class grade`.")  # fmt: skip
        console.print(f"As a page: {page}\nAs a table: {page.with_suffix('.csv')}", soft_wrap=True)
        return people


@class_app.command("roster")
def class_roster(
    file: Path,
    work: Work = None,
    department: DepartmentFolder = None,
    gradebook: Gradebook = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask before changing.")] = False,
    show: Annotated[bool, typer.Option("--show", help="Only show what would change.")] = False,
):
    """Take in a roster (member,name,station,shift,rank,active, or OneRoster); keep whose it is."""
    import sys

    ask = None
    if show:
        ask = bool  # says no
    elif not yes and sys.stdin.isatty():

        def ask():
            return typer.confirm("Make these changes?", default=True)

    Thread(work, department, gradebook).take_roster(file, ask)


@class_app.command("hand-out")
def class_hand_out(
    assignment: Assignment = DEFAULT_ASSIGNMENT,
    zips: Annotated[
        str, typer.Option("--zip", help="Zip files as well: “one” for all, or “each” member.")
    ] = "",
    last_day: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="In time until the end of this day."),
    ] = None,
    work: Work = None,
    gradebook: Gradebook = None,
):
    """Make one folder for each member with their exercise in it."""
    if zips not in ("", "one", "each"):
        raise CourseError(f"--zip {zips}: must be one or each")
    if last_day is not None:
        last_day = last_day.replace(hour=23, minute=59, second=59)
    Thread(work, None, gradebook).hand_out(assignment, zips, last_day)


@class_app.command("retake")
def class_retake(
    member: Annotated[str, typer.Argument(help="Member number.")],
    assignment: Annotated[str, typer.Option(help="Name of the exercise.")] = DEFAULT_ASSIGNMENT,
    work: Work = None,
    gradebook: Gradebook = None,
):
    """Let MEMBER take an exercise again, with other numbers; the folder before is laid aside."""
    thread = Thread(work, None, gradebook)
    member = member.strip().upper()
    if member not in thread.members:
        raise CourseError(f"{member}: nobody on the roster has this number")
    number, folder = thread.course.grant_retake(assignment, member)
    console.print(f"{member}: retake {number} of {assignment} in {folder}", soft_wrap=True)


@class_app.command("collect")
def class_collect(
    folder: Annotated[Path, typer.Argument(help="Where the hand-ins lie: folders, files, zips.")],
    work: Work = None,
    gradebook: Gradebook = None,
):
    """Take in the hand-ins below FOLDER; the earlier ones are kept."""
    Thread(work, None, gradebook).collect(folder)


@class_app.command("grade")
def class_grade(
    assignments: Annotated[
        list[str] | None, typer.Argument(help="Graded exercises; else all that were handed out.")
    ] = None,
    workers: Annotated[
        int | None, typer.Option(min=1, help="Notebooks at a time; else one for each processor.")
    ] = None,
    cluster: Annotated[
        str | None, typer.Option(help="Address of a dask cluster that runs the notebooks.")
    ] = None,
    trusted: Annotated[
        bool, typer.Option("--trusted", help="Run without bubblewrap where there is none.")
    ] = False,
    slow: Annotated[
        bool, typer.Option("--slow", help="nbgrader's own run: a kernel for each notebook.")
    ] = False,
    work: Work = None,
    department: DepartmentFolder = None,
    gradebook: Gradebook = None,
):
    """Grade each member's newest hand-in with nbgrader and write the feedback pages.

    Ends with 0 when all is well, 1 when somebody's hand-in needs you, 2 when nothing was done.
    """
    import contextlib

    from gradekit.run.workers import NoCluster, cluster_executor

    thread = Thread(work, department, gradebook)
    assignments = assignments or thread.course.handed_out() or [DEFAULT_ASSIGNMENT]
    spread = cluster_executor(cluster) if cluster else contextlib.nullcontext()
    try:
        with spread as executor:
            report = thread.grade(
                *assignments, count=workers, executor=executor, trusted=trusted, slow=slow
            )
    except NoCluster as error:
        raise CourseError(str(error)) from None
    console.print(f"Feedback pages: {thread.course.folder / 'feedback'}", soft_wrap=True)
    console.print(f"Report: {thread.course.folder / 'grading-run.txt'}", soft_wrap=True)
    if any(thread.course.written_answers(assignment) for assignment in assignments):
        console.print("Written answers wait for you: `aerialstream class mark`")
    raise typer.Exit(report.exit_status)


@class_app.command("feedback")
def class_feedback(
    assignments: Annotated[
        list[str] | None, typer.Argument(help="Graded exercises; else all that were handed out.")
    ] = None,
    work: Work = None,
    gradebook: Gradebook = None,
):
    """Zip the feedback pages, a folder for each member, to send them."""
    course = Thread(work, None, gradebook).course
    path = course.pack_feedback(assignments or course.handed_out())
    console.print(f"Feedback pages: {path}", soft_wrap=True)


@class_app.command("mark")
def class_mark(
    member: Annotated[str | None, typer.Argument(help="Member number.")] = None,
    points: Annotated[float | None, typer.Argument(help="Points for the written answer.")] = None,
    question: Annotated[
        str | None, typer.Option(help="Which question, if there are several.")
    ] = None,
    comment: Annotated[str, typer.Option(help="A sentence for the member.")] = "",
    assignment: Annotated[str, typer.Option(help="Name of the exercise.")] = DEFAULT_ASSIGNMENT,
    work: Work = None,
    department: DepartmentFolder = None,
    gradebook: Gradebook = None,
):
    """Show the written answers that wait, with the marking guide; or mark one: MEMBER POINTS."""
    from gradekit.questions import papers

    thread = Thread(work, department, gradebook)
    if assignment not in papers():
        raise CourseError(f"no assignment “{assignment}”; there are: {', '.join(papers())}")
    written = [q for q in papers()[assignment].questions if not q.judged]
    if not written:
        raise CourseError(f"{assignment} has no written question: its checks mark all of it")
    if member is not None and points is not None:
        question = question or written[0].id
        thread.course.mark_written(assignment, member.upper(), question, points, comment)
        console.print(f"{member.upper()}: {points:g} points for {question}")
        thread.post()
        return
    waiting = thread.course.written_answers(assignment)
    for q in written:
        console.print(f"{q.id}, {q.points:g} points:")
        for worth, what in q.guide:
            console.print(f"  {worth:g}  {what}")
    for number, name, text in waiting:
        console.print(f"\n{number}, {name}:\n{text}", markup=False)
    if not waiting:
        console.print("No written answer waits for marking.")


@records_app.command("report")
def records_report(
    work: Work = None, department: DepartmentFolder = None, gradebook: Gradebook = None
):
    """Print who has completed, and write it as a page and a CSV."""
    Thread(work, department, gradebook).report()


@records_app.command("void")
def records_void(
    line: Annotated[int, typer.Argument(help="Number of the line to take back.")],
    reason: Annotated[str, typer.Option(help="Why; it stays readable.")],
    by: Annotated[str, typer.Option("--by", help="Number of the member who does this.")],
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Take a line of the register back by a new line; both stay readable."""
    from gradekit.records_cli import take_back

    number = take_back(Thread(work, department), line, reason, by)
    console.print(f"line {number}: takes back line {line}")


@records_app.command("lines")
def records_lines(
    member: Annotated[str | None, typer.Argument(help="Only this member.")] = None,
    work: Work = None,
    department: DepartmentFolder = None,
):
    """Show every line of the register, voided ones too."""
    register = Thread(work, department).register()
    for e in register.all_lines():
        if member is None or e.member == member.upper():
            score = "" if e.score is None else f"{e.score:g} of {e.most:g}"
            by = f"by {e.evaluator}" if e.evaluator else ""
            held = f"held {e.held}" if e.held else ""
            back = f"takes back line {e.voids}" if e.voids else ""
            missed = f"missed: {'; '.join(e.missed_steps)}" if e.missed else ""
            hours = f"{e.hours:g} h" if e.hours else ""
            sheet = f"sheet {e.sheet}" if e.sheet else ""
            words = (e.kind, e.objective, e.outcome, score, held, by, e.device, back, hours,
                     sheet, missed, e.conditions, e.remark)  # fmt: skip
            said = ", ".join(word for word in words if word)
            console.print(
                f"{e.line}  {e.entered}  {e.member}  {said}", markup=False, soft_wrap=True
            )
    register.close()


def sign_off(thread, member, evolution, evaluator, device="", passed=True, remark="", held=""):
    """Check the names against roster and department, then enter the line."""
    from gradekit.records_cli import enter_run
    from gradekit.signoffs import Run

    enter_run(
        thread,
        Run(member, evolution, evaluator, device, held, passed, remark=remark),
    )


add_commands(records_app)
add_refresher(app, Thread, console)


@department_app.command("check")
def department_check(folder: Path):
    """Read every file of a department's folder; name every fault, or read back what it holds."""
    check_department(folder)


@question_app.command("list")
def question_list(department: DepartmentFolder = None):
    """List every question: id, kind, points, variants, slips, what it is about."""
    from gradekit.questions import department_at, papers

    whose = department_at(str(department)) if department else None
    for paper in papers().values():
        console.print(f"{paper.name} ({paper.version}): {paper.title}", markup=False)
        for q in paper.questions:
            slips = len(q.shown_slips(q.variants(whose)[0]))
            console.print(
                f"  {q.id}  {type(q).__name__}, {q.points:g} points, "
                f"{len(q.variants(whose))} variants, {slips} slips  {q.title}",
                markup=False,
                soft_wrap=True,
            )


@question_app.command("try")
def question_try(
    question: Annotated[str, typer.Argument(help="Id, as `question list` shows it.")],
    member: Annotated[str, typer.Option(help="Member number whose numbers are dealt.")] = "2041",
    retake: Annotated[int, typer.Option(help="0 the first time, 1 for the first retake.")] = 0,
    answer: Annotated[str | None, typer.Option(help="Judge this answer, too.")] = None,
    department: DepartmentFolder = None,
):
    """Show a question as a member gets it, its right answer, and each slip with its sentence."""
    from gradekit.draw import member_number
    from gradekit.questions import department_at, paper_of, papers
    from gradekit.trial import faults, trial

    try:
        paper = paper_of(question)
    except KeyError:
        known = ", ".join(q.id for p in papers().values() for q in p.questions)
        raise CourseError(f"no question “{question}”; there are: {known}") from None
    if not member_number(member):
        raise CourseError(f"“{member}” is no member number: letters, digits and hyphens")
    member = member_number(member)
    whose = department_at(str(department)) if department else None
    asked = paper.question(question)
    dealt = len(asked.table(whose))
    if not dealt:
        raise CourseError("; ".join(faults(asked, whose)))
    tried = trial(question, member, retake, whose)

    def say(words):
        console.print(words, markup=False, soft_wrap=True)

    say(
        f"{question}, member {member}, retake {retake}: variant {tried.variant}, one of {tried.variants}"
    )
    if dealt < len(asked.rows):
        say(
            f"{dealt} of {len(asked.rows)} rows are dealt: in the others a slip comes too near the "
            "right answer, or `keep` turns them away."
        )
    say(f"\n{tried.words}\n\nright: {tried.right}")
    for slip in tried.slips:
        say(f"\n{slip.answer}  earns {slip.credit:g}  ({slip.branch})\n  {slip.sentence}")
    if tried.twins:
        say(f"\nIn {tried.twins} variants two slips give one number; a follow-up asks which.")
    if answer is not None:
        judged = paper.judge(question, member, answer, retake=retake, department=whose)
        say(
            f"\n“{answer}”: {judged.points:g} of {judged.most:g} ({judged.note})\n  {judged.message}"
        )
    for fault in tried.faults:
        say(f"\nTo put right: {fault}")
    say("" if tried.faults else f"\nAll {tried.variants} variants were gone through: in order.")


@app.command("demo")
def demo(
    to: Annotated[Path | None, typer.Option(help="Folder for it; else a temporary one.")] = None,
):
    """Walk an invented class of six through the whole thread."""
    from gradekit.demo import run

    run(to)


def main():
    """Run a command; whatever the kit refuses is one plain message, not a traceback."""
    try:
        app()
    except (AerialStreamError, CourseError, RegisterError, RosterError) as error:
        console.print(f"Stopped: {error}", soft_wrap=True, markup=False)
        raise SystemExit(2) from None


if __name__ == "__main__":
    main()
