"""Papers as typeset PDF: certificate, transcript, evaluation sheets, the division's report.

The files are tagged for readers who listen (PDF/UA-1). What is printed comes in as data: a name
with signs of the typesetter's language in it is printed as it is written.
"""

import json
import secrets
from pathlib import Path

from gradekit.completion import STANDS, row
from gradekit.pages import (
    CLAIM,
    EVIDENCE_COLUMNS,
    HANDED_COLUMNS,
    SLIP_COLUMNS,
    as_words,
    earlier_words,
    evidence_cells,
    exercise_rows,
    handed_rows,
    slip_rows,
)
from gradekit.register import RegisterError

FOLDER = Path(__file__).parent / "templates" / "printed"
PAPERS = {"US": "us-letter", "metric": "a4"}
SUBJECT = "Elevated master streams"
NOT_SAID = CLAIM.replace("This page", "This paper")
CAUTION = (
    "Before water: the operator's manual of this device, local procedure and the briefing decide. "
    "Nobody on or under the ladder while it is charged or moved. Line up with the turntable first; "
    "open and shut slowly. Anybody may call stop."
)


def _pdf(name, department, /, **data):
    """The bytes of a PDF from the template of this name."""
    import typst

    data |= {"department": department.name, "paper": PAPERS[department.units]}
    data.setdefault("footer", f"{department.name}. {data['title']}")
    text = json.dumps(data, ensure_ascii=True)
    return typst.compile(
        str(FOLDER / f"{name}.typ"), sys_inputs={"data": text}, pdf_standards=["ua-1"]
    )


def title_of(rule, objective):
    """What a part is called: its sheet's title, else its name as words."""
    titles = {e.id: e.title for e in rule.evolution}
    return titles.get(objective) or as_words(objective)


def _parts(view, with_line, rule):
    rows = []
    for part, words in view.parts:
        kind = "practical" if part.practical else "theory"
        cells = [title_of(rule, part.objective), kind, words, str(part.until or "")]
        rows.append([*cells, str(part.evidence.line)] if with_line else cells)
    return rows


def certificate(view, department):
    """A certificate of completed training, with its evidence and what it does not say.

    Fails when
      RegisterError   the member has not completed
    """
    person = view.standing
    if person.status not in STANDS:
        raise RegisterError(f"{person.member} is not complete ({person.status}): no certificate")
    return _pdf(
        "certificate",
        department,
        title="Certificate of completed training",
        name=person.name or f"Member {person.member}",
        member=person.member,
        sentence=f"has completed the training module “{SUBJECT}”.",
        days=f"Complete until {person.until}. Printed {view.day}.",
        parts=_parts(view, True, department.completion),
        claim=NOT_SAID,
        signatures=["for the training division, day", "member"],
        footer=f"{department.name}, {view.day}. Newest line of this member in the register: "
        f"digest {view.head[:16]}",
    )


def transcript(view, department):
    """One member's record with every line of evidence, voided ones too."""
    person = view.standing
    return _pdf(
        "transcript",
        department,
        title=f"Training record of {person.name or 'member'} ({person.member})",
        sentence=f"{department.name}, {view.day}. {SUBJECT}: {person.status}"
        + (f", complete until {person.until}." if person.until else ".")
        + earlier_words(view),
        parts=_parts(view, False, department.completion),
        columns=list(EVIDENCE_COLUMNS),
        evidence=[list(evidence_cells(e, becomes)) for e, becomes in view.evidence],
        hours=f"Hours on the lines that stand: {view.hours:g}.",
        claim=NOT_SAID,
    )


def _sheet_number():
    """A number that a spreadsheet leaves as it is, and that is read in handwriting.

    A letter first, and none that makes a power of ten or a month of it; no 0, 1, I or O.
    """
    letters, digits = "BCDFGHJKLMNPQRSTVWXZ", "23456789"
    more = (secrets.choice(letters + digits) for _ in range(6))
    return secrets.choice(letters) + "".join(more)


def sheets(evolution, members, department):
    """Evaluation sheets, one page for each member; gives (bytes, sheet numbers).

    A sheet's number goes into the file or the command with which it is typed in: a sheet is
    entered once, however often it is sent.
    """
    rule = department.completion
    known = [*rule.evolutions, *(r.id for r in rule.refresher if r.kind == "practical")]
    if evolution not in known:
        raise RegisterError(f"no evolution “{evolution}”; the department has: {', '.join(known)}")
    title = next((e.title for e in rule.evolution if e.id == evolution), evolution)
    numbers = [_sheet_number() for _ in members]
    made = [
        {"number": number, "member": m.member, "name": m.name}
        for number, m in zip(numbers, members, strict=True)
    ]
    steps = [{"text": s.text, "critical": s.critical} for s in rule.steps_of(evolution)]
    pdf = _pdf(
        "sheet", department, title=f"Evaluation sheets: {title}", evolution=title, sheets=made,
        steps=steps, caution=CAUTION,
    )  # fmt: skip
    return pdf, numbers


def class_report(view, department, day):
    """The class at a glance on paper: who has handed in, slips, who is stuck, every answer."""
    graded = sum(bool(cells) for _, cells in view.rows)
    slips = [(q, s, words, str(n)) for q, s, words, n in slip_rows(view)]
    tables = [
        _listing("Who has handed in", zip(HANDED_COLUMNS, (2, 1, 2, 2, 3), strict=True),
                 handed_rows(view)),
        _listing("Where the class slips", zip(SLIP_COLUMNS, (1, 2, 6, 0.8), strict=True), slips),
        _listing("Who is stuck", [("Member", 1), ("Name", 2), ("Why", 5)], view.stuck),
    ]  # fmt: skip
    for exercise, questions in view.exercises.items():
        rows = [
            [cell[0] if isinstance(cell, tuple) else cell for cell in cells]
            for cells in exercise_rows(view, questions)
        ]
        shape = [("Member", 0.8), ("Name", 1.6), *((short, 1.1) for _, short in questions)]
        tables.append(_listing(as_words(exercise), [*shape, ("Status", 1.3)], rows))
    return _pdf(
        "division",
        department,
        title=f"{SUBJECT}: the class at a glance",
        sentence=f"{department.name}, {day}. Graded hand-ins: {graded} of {len(view.rows)} "
        "members. For the instructor of this class.",
        tables=tables,
        claim=NOT_SAID,
        footer=f"{department.name}, {day}. For the instructor of this class.",
    )


def division_report(view, department):
    """The division's report: counts, groups, what falls due, every member."""
    complete = sum(p.status in STANDS for p in view.people)
    tables = [_listing("By status", [("Status", 3), ("Members", 1)], view.counts.items())]
    shape = [("", 3), ("Members", 1), ("Complete", 1), ("Of these due soon", 1), ("Lapsed", 1)]
    for by, groups in view.groups.items():
        tables.append(_listing(f"By {by}", [(by.capitalize(), 3), *shape[1:]], groups))
    start = 0
    for days, people in view.due.items():
        tables.append(
            _listing(
                f"Due in {start} to {days} days",
                [("Member", 1), ("Name", 2), ("Station", 1), ("Shift", 1), ("Complete until", 1)],
                [(p.member, p.name, p.person.station, p.person.shift, p.until) for p in people],
            )
        )
        start = days + 1
    shape = [
        ("Member", 0.8), ("Name", 1.8), ("Station", 1), ("Shift", 0.5), ("Theory", 2),
        ("Practical", 2.4), ("Status", 1.2), ("Complete until", 1),
    ]  # fmt: skip
    rows = [(*row(p)[:2], p.person.station, p.person.shift, *row(p)[2:]) for p in view.people]
    tables.append(_listing("Every member", shape, rows))
    return _pdf(
        "division",
        department,
        title=f"{SUBJECT}: the division",
        sentence=f"{department.name}, {view.day}. {complete} of {len(view.people)} complete.",
        tables=tables,
        claim=NOT_SAID,
        footer=f"{department.name}, {view.day}. Register up to line {view.lines}, digest "
        f"{view.head[:16]}",
    )


def _listing(title, columns, rows):
    return {
        "title": title,
        "columns": list(columns),
        "rows": [[str("" if c is None else c) for c in r] for r in rows],
    }
