"""Who has completed, on what evidence, until when: read from register and gradebook."""

import csv
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path

from gradekit.register import PASSED, PRACTICAL, THEORY, months_later

COMPLETE = "complete"
WAITING_FOR_SIGN_OFF = "waiting for sign-off"
WAITING_FOR_THEORY = "waiting for theory"
UNDER_WAY = "under way"
NOT_STARTED = "not started"
LAPSED = "lapsed"


@dataclass(frozen=True)
class Standing:
    """One member's place. `until` is the day the first of the evidence lapses, if complete."""

    member: str
    name: str
    theory: str
    practical: str
    status: str
    until: date | None = None
    disagreement: str = ""


def post_marks(course, register, department):
    """Enter every final mark of the gradebook in the register; gives the new line numbers."""
    share, written = (
        part.to("").magnitude
        for part in (department.completion.pass_mark, department.completion.least_written)
    )
    lines = []
    for assignment in department.completion.assignments:
        if not course.released(assignment).is_file():
            continue
        for mark in course.marks(assignment).values():
            version = course.graded_version(assignment, mark.member)
            line = register.post_theory(mark, share, version, written)
            lines += [line] if line else []
    return lines


def standings(course, register, department, roster, today=None):
    """A Standing for each active member of the roster, in its order."""
    today = today or date.today()
    rule = department.completion
    marks = {a: course.marks(a) for a in rule.assignments if course.released(a).is_file()}
    lines = register.lines()
    return [
        _standing(
            member, course, rule, marks, [e for e in lines if e.member == member.member], today
        )
        for member in roster
        if member.active
    ]


def _latest(lines, kind, objective, outcome=None):
    found = [
        e
        for e in lines
        if e.kind == kind and e.objective == objective and outcome in (None, e.outcome)
    ]
    return found[-1] if found else None


def _standing(member, course, rule, marks, lines, today):
    states = [course.hand_in_state(a, member.member) for a in rule.assignments]
    theory = [
        _theory(a, marks.get(a, {}).get(member.member), state, lines, rule.theory_lasts_months)
        for a, state in zip(rule.assignments, states, strict=True)
    ]
    practical = [_practical(e, lines, rule.practical_lasts_months) for e in rule.evolutions]
    disagreement = "; ".join(d for *_, d in theory if d)
    until = [day for _, day, *_ in (*theory, *practical)]
    theory_days, practical_days = until[: len(theory)], until[len(theory) :]
    if all(until):
        status = COMPLETE if min(until) >= today else LAPSED
    elif all(theory_days) and min(theory_days) >= today:
        status = WAITING_FOR_SIGN_OFF
    elif all(practical_days) and min(practical_days) >= today:
        status = WAITING_FOR_THEORY
    elif lines or any(state != "nothing handed in" for state in states):
        status = UNDER_WAY
    else:
        status = NOT_STARTED
    return Standing(
        member=member.member,
        name=member.name,
        theory="; ".join(words for words, *_ in theory),
        practical="; ".join(words for words, *_ in practical),
        status=status,
        until=min(until) if status == COMPLETE else None,
        disagreement=disagreement,
    )


def _theory(assignment, mark, state, lines, months):
    """(words, day it lapses or None, disagreement with the gradebook) for one assignment."""
    passed = _latest(lines, THEORY, assignment, PASSED)
    last = _latest(lines, THEORY, assignment)
    disagreement = ""
    if mark and not mark.waiting and (last is None or last.score != mark.score):
        disagreement = (
            f"{assignment}: gradebook {mark.score:g}, register "
            f"{'no line' if last is None else format(last.score, 'g')}"
        )
    if passed:
        until = months_later(passed.day, months)
        return f"done {passed.day}, {passed.score:g} of {passed.most:g}", until, disagreement
    if mark is None:
        return state, None, disagreement
    if mark.waiting:
        return f"{mark.score:g} of {mark.most:g}, waiting for marking", None, disagreement
    why = f" ({last.remark})" if last and last.remark else ""
    return f"not passed, {mark.score:g} of {mark.most:g}{why}", None, disagreement


def _practical(evolution, lines, months):
    """(words, day it lapses or None): the latest line counts, passed or not."""
    last = _latest(lines, PRACTICAL, evolution)
    if last is None:
        return "no sign-off", None
    on = f", {last.device}" if last.device else ""
    words = f"{last.day} by {last.evaluator}{on}"
    if last.outcome == PASSED:
        return f"signed {words}", months_later(last.day, months)
    return f"not passed {words}", None


COLUMNS = ("Member", "Name", "Theory", "Practical", "Status", "Complete until")


def row(standing):
    """A standing as the six texts of COLUMNS."""
    until = standing.until.isoformat() if standing.until else ""
    return (
        standing.member,
        standing.name,
        standing.theory,
        standing.practical,
        standing.status,
        until,
    )


def write_csv(path, people):
    """The table as CSV; a text that a spreadsheet would run as a formula gets an apostrophe."""
    with Path(path).open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for person in people:
            writer.writerow([f"'{cell}" if cell[:1] in "=+-@\t\r" and cell else cell
                             for cell in row(person)])  # fmt: skip


def write_page(path, people, department, today=None):
    """The table as a page that opens in a browser with no server."""
    today = today or date.today()
    head = "".join(f"<th scope='col'>{c}</th>" for c in COLUMNS)
    body = "".join(
        "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row(person)) + "</tr>"
        for person in people
    )
    count = sum(p.status == COMPLETE for p in people)
    mark = department.completion.pass_mark.magnitude
    written = department.completion.least_written.magnitude
    Path(path).write_text(
        f"""<!doctype html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Completion, {escape(department.name)}</title>
<style>body{{font:16px/1.5 system-ui,sans-serif;margin:2rem;color:#1b2126;background:#fff}}
table{{border-collapse:collapse}}th,td{{text-align:left;padding:.4rem .8rem;
border-bottom:1px solid #b9c1c9}}caption{{text-align:left;font-weight:600;padding:.4rem 0}}</style>
<h1>Elevated master streams: who has completed</h1>
<p>{escape(department.name)}, {today.isoformat()}. {count} of {len(people)} complete.</p>
<table><caption>Theory is graded; practical is signed by an evaluator. Both must stand.</caption>
<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>
<p>Theory needs {mark:g} percent of the points, and {written:g} percent of those for the written
answer. This page records completed training. It does not
say that anybody is fit to operate a device; the operator's manual, local procedure and qualified
people decide that.</p></html>
""",
        encoding="utf-8",
    )
