"""The grading run on a terminal: a bar while it works, a line for each hand-in when it is done."""

import contextlib

from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

MOST_SHOWN = 3


@contextlib.contextmanager
def bar(console):
    """A progress bar; gives the function that a run calls with its State."""
    columns = (
        TextColumn("grading"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        TextColumn("{task.description}"),
    )
    # Drawn when there is news, not by a thread of its own: the run forks where there is none.
    with Progress(*columns, console=console, transient=True, auto_refresh=False) as progress:
        task = progress.add_task("")
        yield lambda state: progress.update(
            task, completed=state.done, total=state.total, description=describe(state), refresh=True
        )


def describe(state):
    """What runs, how many are left, how many are in trouble."""
    more = f" and {len(state.running) - MOST_SHOWN} more" if len(state.running) > MOST_SHOWN else ""
    running = ", ".join(state.running[:MOST_SHOWN]) + more
    words = [f"{state.total - state.done} left"]
    words += [f"{state.in_trouble} in trouble"] if state.in_trouble else []
    return ", ".join(words) + (f"; running: {running}" if running else "")


def tell(console, report, marks):
    """A line for each hand-in, and the summary. `marks` is {assignment: {member: Mark}}."""
    several = len(marks) > 1
    for item in report.items:
        mark = marks.get(item.assignment, {}).get(item.member)
        points = f"{mark.score:g} of {mark.most:g}" if mark else ""
        waits = ", the written answer waits for marking" if mark and mark.waiting else ""
        name = f"{item.assignment}  " if several else ""
        console.print(f"{item.status:13}  {name}{item.member}  {points}{waits}", markup=False)
        if item.late:
            console.print(f"               late by {item.late}", markup=False)
        if item.trouble:
            console.print(f"               stopped: {item.trouble}", markup=False)
        for problem in item.problems:
            console.print(f"               {problem}", markup=False)
    console.print(report.summary(), markup=False, soft_wrap=True)
