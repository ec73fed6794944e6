"""What the class, the division and one member's record show, as plain data for page and print."""

import re
from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from gradekit.completion import (
    DUE_SOON,
    LAPSED,
    STANDS,
    STATUSES,
    by_member,
    division,
    parts_of,
    standings,
    status_of,
    words_of,
)
from gradekit.register import EXPORT, NOT_PASSED, PASSED, number_today, owner_of

DUE_DAYS = (30, 60, 90)
GROUPS = ("station", "shift", "company")
TREND_MONTHS = 12
TRIES_UNTIL_STUCK = 2


# --- the class --------------------------------------------------------------------------------


@dataclass(frozen=True)
class ClassView:
    """A class at a glance.

    questions   (question id, its short name) of every graded exercise
    rows        (standing, {question id: words}) for each member
    slips       (question id, slip, the sentence for it, how many members) most often first
    stuck       (member, name, why)
    handed      a HandedIn for each graded exercise
    """

    questions: tuple
    rows: tuple
    slips: tuple
    stuck: tuple
    handed: tuple = ()

    @property
    def exercises(self):
        """{exercise: ((question id, its short name), ...)} in the order of the questions."""
        found = {}
        for question, short in self.questions:
            found.setdefault(question.removesuffix(f"-{short}"), []).append((question, short))
        return found


@dataclass(frozen=True)
class HandedIn:
    """How far the class is with one exercise; each a tuple of (member, name)."""

    exercise: str
    graded: tuple
    not_graded: tuple
    not_readable: tuple
    nothing_yet: tuple


def class_view(course, register, department, roster, today=None):
    """The class at a glance, from hand-ins, gradebook and register: for its instructor."""
    from gradekit.questions import papers

    people = standings(course, register, department, roster, today)
    needed = department.completion.assignments
    names = [a for a in needed if a in papers()]
    names += [a for a in course.handed_out() if a not in needed]
    questions = tuple(
        (q.id, q.id.removeprefix(f"{a}-")) for a in names for q in papers()[a].questions
    )
    rows, slips = [], Counter()
    for person in people:
        cells = {}
        for name in names:
            for question, note in course.notes(name, person.member).items():
                branch = note.partition("/")[2]
                cells[question] = branch.removeprefix("mistake/")
                if branch.startswith("mistake/"):
                    slips[question, branch.removeprefix("mistake/")] += 1
        rows.append((person, cells))
    said = {
        (q.id, slip.name): getattr(slip, "sentence", "")
        for a in names
        for q in papers()[a].questions
        for slip in getattr(q, "slips", ())
    }
    told = tuple((q, s, said.get((q, s), ""), n) for (q, s), n in slips.most_common())
    lines = by_member(register.all_lines())
    handed = tuple(_handed_in(course, name, people) for name in names)
    return ClassView(questions, tuple(rows), told, tuple(_stuck(people, lines)), handed)


def _handed_in(course, exercise, people):
    marks = course.marks(exercise) if course.released(exercise).is_file() else {}
    found = {}
    for person in people:
        graded = person.member in marks
        state = "graded" if graded else course.hand_in_state(exercise, person.member)
        found.setdefault(state, []).append((person.member, person.name))
    order = ("graded", "handed in, not graded", "handed in, not readable", "nothing handed in")
    return HandedIn(exercise, *(tuple(found.get(state, ())) for state in order))


def _stuck(people, lines):
    for person in people:
        theirs = lines.get(person.member, ())
        passed = {e.objective for e in theirs if e.outcome == PASSED}
        tries = Counter(e.objective for e in theirs if e.outcome == NOT_PASSED)
        for objective, count in tries.items():
            if objective not in passed and count >= TRIES_UNTIL_STUCK:
                yield person.member, person.name, f"{objective}: {count} tries, none passed"
        if "not readable" in person.theory:
            yield person.member, person.name, "the hand-in cannot be read"


# --- the division -----------------------------------------------------------------------------


@dataclass(frozen=True)
class DivisionView:
    """The division's table.

    people   a Standing each
    counts   {status: how many}
    groups   {"station": [(name, how many, complete, due soon, lapsed)], "shift": ..., ...}
    due      {30: [standings that lapse within 30 days], 60: [...], 90: [...]}, each once
    trend    [(day, complete, of how many)], month by month, the last one today
    """

    day: date
    people: tuple
    counts: dict
    groups: dict
    due: dict
    trend: tuple
    lines: int
    head: str


def division_view(register, department, roster, today=None):
    """Outcomes of the whole roster, from the register alone; no answers and no slips."""
    today = today or date.today()
    every = register.all_lines()
    lines, rule = by_member(every), department.completion
    people = tuple(division(_Read(every), department, roster, today))
    counts = Counter(person.status for person in people)
    last = every[-1] if every else None
    return DivisionView(
        day=today,
        people=people,
        counts={status: counts[status] for status in STATUSES if counts[status]},
        groups={by: g for by in GROUPS if (g := _group(people, by))},
        due=_due(people, today),
        trend=tuple(_trend(lines, rule, people, today)),
        lines=last.line if last else 0,
        head=last.digest if last else "",
    )


@dataclass(frozen=True)
class _Read:
    """Lines that were read already, in place of the register."""

    lines: list

    def all_lines(self):
        return self.lines


def _group(people, by):
    found = {}
    for person in people:
        found.setdefault(getattr(person.person, by) or "none given", []).append(person.status)
    if set(found) == {"none given"}:
        return []
    return [
        (
            name,
            len(states),
            sum(state in STANDS for state in states),
            states.count(DUE_SOON),
            states.count(LAPSED),
        )
        for name, states in sorted(found.items(), key=lambda item: _natural(item[0]))
    ]


def _natural(text):
    """Station 9 before Station 10."""
    return [(0, int(p), "") if p.isdigit() else (1, 0, p) for p in re.split(r"(\d+)", text) if p]


def _due(people, today):
    found, earlier = {}, today - timedelta(days=1)
    for days in DUE_DAYS:
        end = today + timedelta(days=days)
        found[days] = sorted(
            (p for p in people if p.until and earlier < p.until <= end),
            key=lambda p: (p.until, p.member),
        )
        earlier = end
    return found


def month_ends(today, count):
    """The last days of the `count` months before this one, and today."""
    days, first = [today], today.replace(day=1)
    for _ in range(count):
        last = first - timedelta(days=1)
        days.append(last)
        first = last.replace(day=1)
    return days[::-1]


def _trend(lines, rule, people, today):
    """How many of today's roster were complete then, from the lines that stand today.

    Only where a day of evidence lies between two looks can the parts have changed.
    """
    days = month_ends(today, TREND_MONTHS)
    complete = [0] * len(days)
    for person in people:
        theirs = lines.get(person.member)
        if not theirs:
            continue
        held = [e.day for e in theirs]
        parts, count = None, -1
        for place, day in enumerate(days):
            known = sum(h <= day for h in held)
            if known != count:
                now = [e for e, h in zip(theirs, held, strict=True) if h <= day]
                parts, count = parts_of(rule, now), known
            complete[place] += status_of(rule, parts, day, True) in STANDS
    return [(day, n, len(people)) for day, n in zip(days, complete, strict=True)]


# --- one member -------------------------------------------------------------------------------


@dataclass(frozen=True)
class MemberView:
    """One member's own record: the standing, the parts, and every line of evidence.

    evidence   (line, what becomes of it: "", "voided by line N", "takes back line N")
    earlier    numbers that the member had before
    """

    day: date
    standing: object
    parts: tuple
    evidence: tuple
    hours: float
    head: str
    earlier: tuple = ()


def member_view(register, department, roster, member, today=None):
    """One member's record; also of one who has left the roster. None where there is nothing.

    Under a number that the member no longer has, the record is found by the one they have now.
    """
    from gradekit.completion import standing_of
    from gradekit.roster import Member

    today, links = today or date.today(), register.links()
    people = {m.member: m for m in roster}
    if not (member in people and people[member].active):
        member = number_today(member, links)
    earlier = register.earlier_numbers(member)
    every = _lines_of(register, member, earlier, links)
    if member not in people and not every:
        return None
    person = people.get(member) or Member(member, "", active=False)
    stand = by_member(every, links).get(member, [])
    back = {e.voids: e.line for e in every if e.voids is not None}
    evidence = tuple(
        (e, f"voided by line {back[e.line]}" if e.line in back else _takes(e)) for e in every
    )
    found = standing_of(person, department.completion, stand, today)
    return MemberView(
        day=today,
        standing=found,
        parts=tuple((part, words_of(part)) for part in found.parts),
        evidence=evidence,
        hours=sum(e.hours or 0 for e in stand),
        head=every[-1].digest if every else "",
        earlier=earlier,
    )


def _lines_of(register, member, earlier, links):
    """A member's lines under every number, oldest first; without the exports they took."""
    every = {e.line: e for n in (member, *earlier) for e in register.all_lines(n)}
    return [
        e
        for _, e in sorted(every.items())
        if e.kind != EXPORT and owner_of(every.get(e.voids, e), links) == member
    ]


def _takes(line):
    return f"takes back line {line.voids}" if line.voids is not None else ""
