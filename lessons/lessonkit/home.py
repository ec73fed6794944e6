"""The start page: what is done, what is next, what to go over again, in minutes; the refresher.

Written when the lessons are started, and anew whenever something is kept while they run.
"""

import contextlib
import json
import os
from dataclasses import dataclass
from datetime import date
from functools import cache

from aerialstream.keeping import months_later
from lessonkit import progress

PAGE, ABOUT = "start.md", ".start.json"
PLACE = "place.json"  # written by the page itself: {notebook: [cell id, heading]}


@dataclass(frozen=True)
class Standing:
    """Where a member stands with a lesson. done_on is the day of the oldest right answer."""

    right: int
    checks: int
    begun: bool
    done_on: date | None
    due: date | None
    minutes: int

    @property
    def done(self):
        """Whether every self-check has been answered right."""
        return self.done_on is not None

    @property
    def minutes_left(self):
        """What is still to do, from the share of self-checks that are open; a whole lesson if none is."""
        if self.done:
            return 0
        open_share = (self.checks - self.right) / self.checks if self.checks else 1
        return max(1, round(self.minutes * open_share))


@cache
def check_names(notebook):
    """The self-checks of a lesson's notebook."""
    from lessonkit.frame import calls, cells_of
    from lessonkit.start import LESSONS

    return tuple(dict.fromkeys(c[1] for c in calls(cells_of(LESSONS / notebook), "self_check")))


def standing(lesson, folder=None, months=None):
    """Where the member of a study folder stands with a lesson of the syllabus.

    Takes
      months   how long the department lets theory last; None: nothing falls due
    """
    kept = progress.read(lesson["number"], folder)
    names, checks = check_names(lesson["notebook"]), kept.get("checks", {})
    right = [n for n in names if checks.get(n, {}).get("first_right")]
    done_on = None
    if names and len(right) == len(names):
        with contextlib.suppress(KeyError, TypeError, ValueError):
            done_on = min(date.fromisoformat(checks[n]["last_right"]) for n in names)
    due = months_later(done_on, months) if done_on and months else None
    return Standing(len(right), len(names), bool(kept), done_on, due, lesson["minutes"])


def months_of_theory(lesson):
    """How long the department's rule lets this lesson's subject last, or None."""
    from aerialstream.department import load_department

    rule = getattr(load_department(), "completion", None)
    if rule is None:
        return None
    try:
        return rule.lasts_months(lesson["assignment"])
    except (KeyError, ValueError, AttributeError):
        return rule.theory_lasts_months


def _stands(lesson, now, place, today):
    if now.done:
        if now.due and now.due <= today:
            return f"go over it again: {lesson['minutes']} minutes"
        return f"✓ done {now.done_on}" + (f", go over it again by {now.due}" if now.due else "")
    if not now.begun:
        return "not begun"
    where = place.get(lesson["notebook"])
    at = f", you were at “{where[1]}”" if where and len(where) > 1 and where[1] else ""
    return f"{now.right} of {now.checks} checks, about {now.minutes_left} minutes left{at}"


def _exercise(name, folder):
    """The link to an exercise, once it lies there."""
    path = f"assignments/{name}/{name}.ipynb"
    if not name:
        return ""
    if folder and not (folder / path).is_file():
        return "being prepared"
    return f"[do it]({path})"


def _summary(plan, stands, today):
    done = sum(s.done for s in stands)
    left = sum(s.minutes_left for s in stands)
    due = [lesson for lesson, s in zip(plan, stands, strict=True) if s.due and s.due <= today]
    upcoming = [lesson for lesson, s in zip(plan, stands, strict=True) if not s.done]
    lines = [f"**Done:** {done} of {len(plan)} lessons. **Still to do:** about {left} minutes."]
    if upcoming:
        one = upcoming[0]
        minutes = stands[plan.index(one)].minutes_left
        lines.append(f"**Next:** [{one['number']} {one['title']}]({one['notebook']}), about {minutes} minutes.")  # fmt: skip
    if due:
        minutes = sum(lesson["minutes"] for lesson in due)
        names = ", ".join(f"[{d['number']}]({d['notebook']})" for d in due)
        lines.append(
            f"**Lessons to go over again:** {names}, {minutes} minutes. Answer their checks again."
        )
    return "  \n".join(lines)


def _to_teach(number, folder):
    page, handout = (f"instructor/{name}" for name in (f"{number}.md", f"handout-{number}.html"))
    if folder and not (folder / page).is_file():
        return "being prepared"
    return f"[page]({page}), [handout]({handout})"


def _refresher(folder, member, today):
    """The line on the refresher; what is kept of it never costs the page."""
    from lessonkit import refreshing

    try:
        return refreshing.line(folder, member, today)
    except (ImportError, OSError, ValueError, KeyError, TypeError):
        return ""


def _place(folder):
    try:
        kept = json.loads((folder / progress.KEPT_IN / PLACE).read_text(encoding="utf-8"))
        return kept if isinstance(kept, dict) else {}
    except (OSError, ValueError, TypeError):
        return {}


def start_page(plan, member="", folder=None, today=None, instructor=False, class_page=""):
    """The start page as Markdown."""
    today = today or date.today()
    lessons = plan["lesson"]
    stands = [standing(one, folder, months_of_theory(one)) for one in lessons]
    place = _place(folder) if folder else {}
    lines = [f"# {plan['title']}", ""]
    lines += [f"Member {member}.", ""] if member else []
    lines += [_summary(lessons, stands, today), ""]
    refresher = _refresher(folder, member, today)
    lines += [refresher, ""] if refresher else []
    if instructor and class_page and (folder.parent / "class" / "roster.csv").is_file():
        words = "who has handed in, and where the class slips. It keeps itself up to date."
        lines += [f"**Your class:** [the class at a glance]({class_page}), {words}", ""]
    lines += ["Click a lesson, read on and use the controls. You never have to write code. If something does not show, press **Run all** at the top.", ""]  # fmt: skip
    heads = ["Lesson", "Minutes", "The question it answers", "Where you stand", "Graded exercise"]
    heads += ["For the instructor"] if instructor else []
    lines += [f"| {' | '.join(heads)} |", "|" + "---|" * len(heads)]
    for lesson, now in zip(lessons, stands, strict=True):
        name, number = lesson.get("assignment", ""), lesson["number"]
        row = [
            f"[{number} {lesson['title']}]({lesson['notebook']})",
            str(lesson["minutes"]),
            lesson["question"],
            _stands(lesson, now, place, today),
            _exercise(name, folder),
        ]
        if instructor:
            row.append(_to_teach(number, folder))
        lines.append(f"| {' | '.join(row)} |")
    lines += [
        "",
        "What you answer is kept as you go: close the lid whenever you must. "
        "[Words of the trade](glossary.md).",
        "",
        "**Hand in** an exercise: save it (disk symbol), then give the file "
        "`assignments/.../....ipynb` to your instructor as your department does it.",
        "",
        "These lessons size loads and show what lightens them. They permit nothing. The "
        "operator's manual of your device, local procedure and qualified people decide.",
        "",
    ]
    return "\n".join(lines)


def write(folder, member="", instructor=False, class_page=None):
    """Put the start page into the study folder, and note for whom it is.

    Takes
      class_page   address of the instructor's page of the class; None keeps the one noted before
    """
    from lessonkit.start import syllabus

    if class_page is None:
        class_page = _about(folder).get("class_page", "")
    about = {"member": member, "instructor": instructor, "class_page": class_page}
    progress.write_whole(folder / ABOUT, json.dumps(about))
    page = start_page(syllabus(), member, folder, instructor=instructor, class_page=class_page)
    progress.write_whole(folder / PAGE, page)


def _about(folder):
    try:
        kept = json.loads((folder / ABOUT).read_text(encoding="utf-8"))
        return kept if isinstance(kept, dict) else {}
    except (OSError, ValueError):
        return {}


def rewrite():
    """Bring the start page up to date after something was kept; never in a lesson's way."""
    folder = progress.study()
    if folder is None or not (folder / ABOUT).is_file():
        return
    with contextlib.suppress(OSError, ValueError, TypeError):
        about = _about(folder)
        write(folder, about.get("member", ""), bool(about.get("instructor")))


def environment(folder):
    """What the kernels must know: where to keep what a member does."""
    return {**os.environ, progress.FOLDER_VARIABLE: str(folder)}
