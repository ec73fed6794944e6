"""`aerialstream refresher`: whether a member's refresher is due, from what, and where to do it.

Where there is a class in the working folder, what the register and the graded hand-ins say is taken
up into the member's study folder, so that a member who passed on another machine has one, too.
"""

import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from gradekit.course import CourseError, work_folder
from gradekit.draw import member_number
from gradekit.refresher import MINUTES, RIGHT, Refreshers, branch_of, is_answer, take_up

LESSONS = Path(__file__).resolve().parents[2] / "lessons"


def from_class(thread, member):
    """What the class has on file of a member: {paper: day passed}, {question id: slips}."""
    from gradekit.completion import by_member
    from gradekit.questions import papers
    from gradekit.register import PASSED, THEORY

    passed, slips = {}, {}
    known = papers()
    if (thread.course.folder / "register.db").is_file() or os.environ.get("AERIALSTREAM_REGISTER"):
        register = thread.register()
        try:
            lines = by_member(register.lines()).get(member, ())
        finally:
            register.close()
        for line in lines:
            if line.kind == THEORY and line.outcome == PASSED and line.objective in known:
                passed[line.objective] = min(line.day, passed.get(line.objective, line.day))
    for name in known:
        for question, note in thread.course.notes(name, member).items():
            branch = branch_of(note)
            if is_answer(branch) and branch not in RIGHT:
                slips[question] = 1
    return passed, slips


def tell(mine, say):
    """Say what lies behind a member's refresher and when it is due."""
    if mine.due is None:
        say(
            f"{mine.member}: no passed exercise is known here, so no refresher yet. It begins two "
            "weeks after the first one."
        )
        return
    for paper, day in sorted(mine.behind.passed.items(), key=lambda one: (one[1], one[0])):
        slips = sum(n for name, n in mine.behind.slips.items() if name.startswith(f"{paper}-q"))
        say(f"passed   {day}  {paper}" + (f", {slips} slips on the way" if slips else ""))
    for one in mine.state.get("done", ()):
        say(f"done     {one['on']}  {one['right']} of {one['asked']} right at the first answer")
    if mine.under_way:
        said = f"begun, {mine.answered} of {mine.asked} answered, about {mine.minutes_left} minutes left"
    elif mine.is_due:
        said = f"due since {mine.due}, about {MINUTES} minutes"
    else:
        said = (
            f"next on {mine.due}, in {(mine.due - mine.today).days} days, about {MINUTES} minutes"
        )
    say(f"Refresher: {said}. Practice: it does not count for the record.")


def add_refresher(app, thread_of, console):
    """Put the command into the program; `thread_of` makes a Thread of a working folder."""

    @app.command("refresher")
    def refresher(
        member: Annotated[str, typer.Option(help="Member number.")],
        work: Annotated[Path | None, typer.Option(help="Working folder.")] = None,
        department: Annotated[Path | None, typer.Option(help="Department's data.")] = None,
        open_it: Annotated[
            bool, typer.Option("--open", help="Start the lessons; their start page has the link.")
        ] = False,
    ):
        """Say whether MEMBER's ten-minute refresher is due; --open to do it. Not for the record."""
        number = member_number(member)
        if not number:
            raise CourseError(f"“{member}” is no member number: letters, digits and hyphens")
        if department:
            os.environ["AERIALSTREAM_DEPARTMENT"] = str(department.resolve())
        folder = work_folder(work)
        study = folder / f"study-{number}"
        if (folder / "class").is_dir():
            passed, slips = from_class(thread_of(work, department), number)
            if passed or slips:
                take_up(study, number, passed, slips)
        mine = Refreshers(study, number, date.today())

        def say(words):
            console.print(words, markup=False, soft_wrap=True)

        tell(mine, say)
        if open_it:
            command = [sys.executable, str(LESSONS), "--member", number, "--work", str(folder)]
            raise typer.Exit(subprocess.call(command))
        if mine.is_due or mine.under_way:
            say(f"Open it: python3 lessons --member {number}, then “Refresher” on the start page.")
