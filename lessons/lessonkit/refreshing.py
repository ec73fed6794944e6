"""When a member's refresher is due, and its page in the study folder.

The questions, the dates and what is kept are `gradekit.refresher`'s; the page with its boxes is
`lessonkit.refresher_page`. This module draws nothing, so that the start page stays quick.
"""

import json

from lessonkit import progress

PAGE = "refresher.ipynb"

TITLE = """# Refresher

About ten minutes of mixed questions from the exercises that you have passed, with numbers that are new to you. More of them come from where you slipped.

Answer in any order and press **Check**: you read at once how it stands and why. Try as often as you like; the next refresher goes by your first answers. When the alarm goes, go: what you have answered stays, and you go on where you stood.

**This is practice. It does not count for the record.** A refresher that counts is held, and entered, by your department."""
CAUTIONS = """## Cautions

- The questions size loads and ways. They permit nothing. The operator's manual of the device, local procedure and qualified people decide.
- Line the ladder up first; turn the nozzle only for fine corrections, and only as far as that manual allows.
- Nobody on or under the ladder while it is charged or moved. Crews accounted for before water.

Back to the [start page](start.md)."""


def notebook():
    """The refresher's page: it runs by itself, like a lesson."""
    code = "from lessonkit import refresher\nrefresher()"
    cells = [
        {"cell_type": "markdown", "id": "refresher-title", "metadata": {}, "source": TITLE},
        {
            "cell_type": "code",
            "id": "refresher-questions",
            "metadata": {"jupyter": {"source_hidden": True}},
            "execution_count": None,
            "outputs": [],
            "source": code,
        },
        {"cell_type": "markdown", "id": "refresher-cautions", "metadata": {}, "source": CAUTIONS},
    ]
    metadata = {
        "aerialstream": {"run_on_open": True},
        "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
        "language_info": {"name": "python"},
    }
    whole = {"cells": cells, "metadata": metadata, "nbformat": 4, "nbformat_minor": 5}
    return json.dumps(whole, indent=1, ensure_ascii=False)


def whose(folder, member=""):
    """Whose refresher a study folder has: its member, else the only one who worked there, else ""."""
    from gradekit.refresher import members_of

    if member:
        return member
    found = members_of(folder)
    return found[0] if len(found) == 1 else ""


def line(folder, member="", today=None):
    """What the start page says of the refresher; empty before an exercise was passed."""
    from gradekit.refresher import MINUTES, Refreshers

    if folder is None or not (member := whose(folder, member)):
        return ""
    mine = Refreshers(folder, member, today)
    if mine.due is None:
        return ""
    if mine.under_way:
        said = f"begun, {mine.answered} of {mine.asked} answered, about {mine.minutes_left} minutes left: [go on]({PAGE})."
    elif mine.is_due:
        said = f"due, about {MINUTES} minutes: [open it]({PAGE})."
    else:
        last = f" [Look at the last one]({PAGE})." if mine.done else ""
        return f"**Refresher:** the next one on {mine.due}, about {MINUTES} minutes.{last}"
    return f"**Refresher:** {said} Mixed questions from what you have passed. Practice: it does not count for the record."


def shaky(folder=None):
    """{exercise: 0 to 1}: the share of its lesson's self-checks that took more than one try."""
    from lessonkit.start import syllabus

    found = {}
    for lesson in syllabus()["lesson"]:
        checks = progress.read(lesson["number"], folder).get("checks", {})
        tries = [one.get("tries", 1) for one in checks.values() if isinstance(one, dict)]
        if lesson.get("assignment") and tries:
            found[lesson["assignment"]] = sum(n > 1 for n in tries) / len(tries)
    return found


def lesson_of(paper):
    """(number, title, notebook) of the lesson that goes with an exercise; None where none does."""
    from lessonkit.start import syllabus

    for lesson in syllabus()["lesson"]:
        if lesson.get("assignment") == paper:
            return lesson["number"], lesson["title"], lesson["notebook"]
    return None
