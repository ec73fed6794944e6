"""Who has completed, on what evidence, until when: the department's rule applied to the register.

What a part is worth is read from the register alone; the gradebook adds words about work that is
under way. Theory and practical are separate, and neither stands for the other.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import NamedTuple

from gradekit.register import (
    ATTENDANCE,
    EVIDENCE_KINDS,
    NOT_PASSED,
    PASSED,
    PRACTICAL,
    RENUMBERING,
    THEORY,
    WAIVER,
    months_later,
    owner_of,
    standing,
)

COMPLETE = "complete"
DUE_SOON = "due soon"
WAITING_FOR_SIGN_OFF = "waiting for sign-off"
WAITING_FOR_THEORY = "waiting for theory"
THEORY_DONE = "theory done"  # and the evolution was run, but not passed: it must be run again
UNDER_WAY = "under way"
NOT_STARTED = "not started"
LAPSED = "lapsed"
STATUSES = (
    COMPLETE, DUE_SOON, WAITING_FOR_SIGN_OFF, THEORY_DONE, WAITING_FOR_THEORY, UNDER_WAY,
    NOT_STARTED, LAPSED,
)  # fmt: skip
STANDS = (COMPLETE, DUE_SOON)


class Part(NamedTuple):
    """One thing that completion needs, as the register has it.

    evidence   the line that it stands by, or the last that did not pass; None without any
    until      the last day it stands, in the past when it has lapsed; None if it never stood
    renewed    the refresher's line that moved `until`, or None
    """

    objective: str
    practical: bool
    evidence: object = None
    until: date | None = None
    renewed: object = None


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
    parts: tuple = ()
    person: object = field(default=None, compare=False)


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


# --- the rule -----------------------------------------------------------------------------------


def by_member(lines, links=None):
    """The evidence that stands, as {member: [lines]}; of a member's earlier numbers too.

    Takes
      links   the renumberings that stand, where `lines` are not the whole register
    """
    found, stand = {}, standing(lines)
    if links is None:
        links = [e for e in stand if e.kind == RENUMBERING]
    before = {e.objective for e in links}
    for line in stand:
        if line.kind in EVIDENCE_KINDS:
            member = owner_of(line, links) if line.member in before else line.member
            found.setdefault(member, []).append(line)
    return found


def parts_of(rule, lines):
    """A Part for each thing that the rule needs, from one member's standing lines."""
    by_objective = {}
    for line in lines:
        by_objective.setdefault(line.objective, []).append(line)
    return tuple(
        _part(rule, objective, objective in rule.evolutions, by_objective)
        for objective in (*rule.assignments, *rule.sessions, *rule.evolutions)
    )


def _when(line):
    return line.day, line.line


def _part(rule, objective, practical, by_objective):
    own = PRACTICAL if practical else ATTENDANCE if objective in rule.sessions else THEORY
    kinds = (own, WAIVER)
    lines = [e for e in by_objective.get(objective, ()) if e.kind in kinds]
    if not lines:
        return Part(objective, practical)
    # On the drill ground the latest run counts; a pass in theory stays one after a worse try.
    last = max(lines, key=_when)
    if not practical:
        last = max((e for e in lines if e.outcome == PASSED), key=_when, default=last)
    if last.outcome != PASSED:
        return Part(objective, practical, last)
    until, renewed = months_later(last.day, rule.lasts_months(objective)), None
    for day, months, grace, line in _refreshers(rule, objective, practical, by_objective):
        in_time = grace is None or day <= months_later(until, grace)
        if day >= last.day and in_time and months_later(day, months) > until:
            until, renewed = months_later(day, months), line
    return Part(objective, practical, last, until, renewed)


def _refreshers(rule, objective, practical, by_objective):
    """(day, months, months of grace, line) of each refresher of this part, oldest first."""
    kind = PRACTICAL if practical else ATTENDANCE
    found = [
        (line.day, one.lasts_months, one.lapsed_up_to_months, line)
        for one in rule.refresher
        if objective in one.renews
        for line in by_objective.get(one.id, ())
        if line.kind == kind and line.outcome == PASSED
    ]
    return sorted(found, key=lambda each: (each[0], each[3].line))


def status_of(rule, parts, today, begun):
    """The status in plain words.

    Takes
      begun   whether there is any line or hand-in of this member
    """
    if parts and all(part.until for part in parts):
        left = min(part.until for part in parts) - today
        if left < timedelta(0):
            return LAPSED
        return DUE_SOON if left <= timedelta(days=rule.due_soon_days) else COMPLETE
    theory = [part for part in parts if not part.practical]
    practical = [part for part in parts if part.practical]
    if all(part.until and part.until >= today for part in theory):
        run = any(p.evidence and p.evidence.outcome == NOT_PASSED for p in practical)
        return THEORY_DONE if run else WAITING_FOR_SIGN_OFF
    if practical and all(part.until and part.until >= today for part in practical):
        return WAITING_FOR_THEORY
    return UNDER_WAY if begun else NOT_STARTED


def standing_of(member, rule, lines, today, course=None):
    """A Standing from one member's standing lines; `course` adds words about work under way."""
    parts = parts_of(rule, lines)
    told = [course.of(part, member.member, lines) if course else ("", "") for part in parts]
    words = [said or words_of(part) for part, (said, _) in zip(parts, told, strict=True)]
    begun = bool(lines) or bool(course and course.begun(member.member))
    status = status_of(rule, parts, today, begun)
    return Standing(
        member=member.member,
        name=member.name,
        theory="; ".join(w for w, p in zip(words, parts, strict=True) if not p.practical),
        practical="; ".join(w for w, p in zip(words, parts, strict=True) if p.practical),
        status=status,
        until=min(part.until for part in parts) if status in STANDS else None,
        disagreement="; ".join(differs for _, differs in told if differs),
        parts=parts,
        person=member,
    )


def words_of(part):
    """What the register says of a part."""
    line = part.evidence
    if line is None:
        return "no sign-off" if part.practical else "no pass yet"
    if line.kind == WAIVER:
        words = f"waived {line.day} by {line.evaluator}"
    elif line.kind == ATTENDANCE:
        words = f"attended {line.day}"
    elif part.practical:
        on = f", {line.device}" if line.device else ""
        signed = "signed" if line.outcome == PASSED else "not passed"
        words = f"{signed} {line.day} by {line.evaluator}{on}"
    elif line.outcome == PASSED:
        words = f"done {line.day}, {line.score:g} of {line.most:g}"
    else:
        why = f" ({line.remark})" if line.remark else ""
        words = f"not passed, {line.score:g} of {line.most:g}{why}"
    return f"{words}, renewed {part.renewed.day}" if part.renewed else words


def division(register, department, roster, today=None):
    """A Standing for each active member, from the register alone: outcomes, no answers."""
    today = today or date.today()
    lines = by_member(register.all_lines())
    rule = department.completion
    return [standing_of(m, rule, lines.get(m.member, []), today) for m in roster if m.active]


# --- with the gradebook -------------------------------------------------------------------------


class _Desk:
    """What the class's folder and gradebook add to the register's lines."""

    def __init__(self, course, rule):
        self._course, self._rule = course, rule
        self._marks = {a: course.marks(a) for a in rule.assignments if course.released(a).is_file()}

    def _state(self, assignment, member):
        return self._course.hand_in_state(assignment, member)

    def begun(self, member):
        """Whether anything was handed in."""
        return any(self._state(a, member) != "nothing handed in" for a in self._rule.assignments)

    def of(self, part, member, lines):
        """(words in place of the register's own or empty, disagreement with the gradebook)."""
        if part.objective not in self._rule.assignments:
            return "", ""
        mark = self._marks.get(part.objective, {}).get(member)
        tries = [e for e in lines if e.kind == THEORY and e.objective == part.objective]
        last = tries[-1] if tries else None
        differs = ""
        if mark and not mark.waiting and (last is None or last.score != mark.score):
            differs = (
                f"{part.objective}: gradebook {mark.score:g}, register "
                f"{'no line' if last is None else format(last.score, 'g')}"
            )
        if part.until:
            return "", differs
        if mark is None:
            return ("" if last else self._state(part.objective, member)), differs
        if mark.waiting:
            return f"{mark.score:g} of {mark.most:g}, waiting for marking", differs
        why = f" ({last.remark})" if last and last.remark else ""
        return f"not passed, {mark.score:g} of {mark.most:g}{why}", differs


def standings(course, register, department, roster, today=None):
    """A Standing for each active member of the roster, in its order."""
    today = today or date.today()
    rule = department.completion
    desk = _Desk(course, rule)
    lines = by_member(register.all_lines())
    return [standing_of(m, rule, lines.get(m.member, []), today, desk) for m in roster if m.active]


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
    from gradekit.tables import write_csv as write

    write(path, COLUMNS, [row(person) for person in people])


def write_page(path, people, department, today=None):
    """The table as a page that opens in a browser with no server."""
    from gradekit.pages import completion_page

    with open(path, "w", encoding="utf-8") as file:
        file.write(completion_page(people, department, today or date.today()))
