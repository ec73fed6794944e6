"""An assignment's notebook, assembled from its paper: the source form that nbgrader releases.

For each question a title, the question, the answer and its check; a written answer has no check
and is marked by hand. Cell ids are the nbgrader ids and follow from the question's id, so that a
notebook made anew fits the hand-ins of the one before.
"""

import json

from gradekit.notebook import MEMBER_VARIABLE

EXAMPLE_MEMBER = "2041"
_NUMBERS = (
    "No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten", "Eleven",
    "Twelve",
)  # fmt: skip
_MINUTES = {10: "ten", 15: "fifteen", 20: "twenty", 25: "twenty-five", 30: "thirty"}

INTRODUCTION = """# {title}

{count} questions, about {minutes} minutes. The numbers follow from your member number.

1. If your member number does not stand between the quotes below, type it there.
2. Press **Run all** at the top. Your questions appear.
3. Type an answer between its quotes, as on a whiteboard{how}.
4. Press **Run all** again. Below it you see how it stands and why. Try as often as you like.
5. Save, and hand the file in as your instructor told you.

A known slip, a missing unit or early rounding earns part of the points. The mark for the record is made on the instructor's machine."""
WRITTEN = "Write between the triple quotes, in your own words. Your instructor marks this one."
ENDING = """## Before you hand in

{closing}

Save with the disk symbol or **Ctrl+S**, then hand the file in."""


def _cell(kind, name, source, *, points=None, solution=False, hidden=False):
    marks = {
        "grade": points is not None,
        "grade_id": name,
        "locked": not solution,
        "schema_version": 3,
        "solution": solution,
        "task": False,
    }
    metadata = {"deletable": False, "nbgrader": marks}
    if points is not None:
        marks["points"] = points
    if not solution:
        metadata["editable"] = False
    if hidden:
        metadata["jupyter"] = {"source_hidden": True}
    if solution:
        metadata["tags"] = ["raises-exception"]
    cell = {"cell_type": kind, "id": name, "metadata": metadata, "source": source}
    return {**cell, "execution_count": None, "outputs": []} if kind == "code" else cell


def _introduction(paper):
    count = len(paper.questions)
    only_numbers = all(q.typed_as in ("number, then unit", "") for q in paper.questions)
    how = ": a number and its unit" if only_numbers else ", in the form that stands behind them"
    return INTRODUCTION.format(
        title=paper.title,
        count=_NUMBERS[count] if count < len(_NUMBERS) else count,
        minutes=_MINUTES.get(paper.minutes, paper.minutes),
        how=how,
    )


def _judged_cells(question):
    name = question.id
    answer = (
        f'{question.variable} = ""  # {question.typed_as}\n'
        "### BEGIN SOLUTION\n"
        "from gradekit.solutions import worked_answer\n"
        f'{question.variable} = worked_answer("{name}", {MEMBER_VARIABLE})\n'
        "### END SOLUTION"
    )
    check = f'from gradekit import check\ncheck("{name}")'
    return [
        _cell("code", f"{name}-answer", answer, solution=True),
        _cell("code", f"{name}-check", check, points=question.points, hidden=True),
    ]


def _written_cells(question):
    answer = (
        f'{question.variable} = """\n\n"""\n'
        "### BEGIN SOLUTION\n"
        "# Marked by hand; the marking guide is shown by `aerialstream class mark`.\n"
        "### END SOLUTION"
    )
    return [
        _cell("code", f"{question.id}-answer", answer, points=question.points, solution=True),
    ]


def _question_cells(number, question):
    title = f"## {number}. {question.title}".rstrip(" .")
    if not question.judged:
        title += f"\n\n{WRITTEN}"
    ask = f'from gradekit.notebook import ask\nask("{question.id}")'
    return [
        _cell("markdown", f"{question.id}-title", title),
        _cell("code", f"{question.id}-ask", ask, hidden=True),
        *(_judged_cells(question) if question.judged else _written_cells(question)),
    ]


def assembled(paper):
    """The notebook of a paper as JSON text; `notebooks.normalised` brings it into its form."""
    name = paper.name
    member = (
        f'{MEMBER_VARIABLE} = ""  # your member number, between the quotes\n'
        "### BEGIN SOLUTION\n"
        f'{MEMBER_VARIABLE} = "{EXAMPLE_MEMBER}"\n'
        "### END SOLUTION"
    )
    situation = f'from gradekit.notebook import situation\nsituation("{name}")'
    cells = [
        _cell("markdown", f"{name}-title", _introduction(paper)),
        _cell("code", f"{name}-member", member, solution=True),
        _cell("code", f"{name}-situation", situation, hidden=True),
    ]
    for number, question in enumerate(paper.questions, 1):
        cells += _question_cells(number, question)
    cells.append(_cell("markdown", f"{name}-end", ENDING.format(closing=paper.closing)))
    return json.dumps({"cells": cells, "metadata": {}, "nbformat": 4, "nbformat_minor": 5})
