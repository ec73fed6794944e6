"""The after-action note: planned, happened, what explains it, lessons, who acts on what. One page.

Roles stand in it, no names: a role that the evolution does not have is refused, and so is a text
with a name or number of the roster in it.
"""

import json
import re
from dataclasses import dataclass
from datetime import date
from html import escape
from pathlib import Path

from aerialstream.errors import AerialStreamError
from aerialstream.worked import in_system
from gradekit.drills.card import _PAGE_STYLE, PAPERS
from gradekit.drills.compared import compare
from gradekit.drills.measured import said
from gradekit.drills.parcel import roster_words

TEMPLATE = Path(__file__).parent / "after.typ"
MOST, LONGEST = 6, 200  # of a kind, and signs of a text: one page has to hold it
COMMAND_ROLES = ("Training officer", "Command")  # besides the roles of the evolution
CAUTION = (
    "A drill explains what happened on one day. Nothing here changes an entry, a limit or a "
    "procedure. The operator's manual of this device, local procedure and qualified people decide."
)
# The figures of the plan that stand in the note, where the plan has them.
_PLANNED = ("mark", "extension", "elevation", "pitch", "nozzle", "nozzle_pressure", "flow",
            "discharge_pressure", "strike", "strike_depth")  # fmt: skip


class NoteRefused(AerialStreamError):
    """The note was not made; every reason at once."""


@dataclass(frozen=True, kw_only=True)
class Action:
    """Who does what until when: a role, a text, a day or None."""

    role: str
    what: str
    until: date | None = None


def read_action(text):
    """An Action from "role: what: day"; the day may be left out.

    Fails when
      NoteRefused   it does not read so
    """
    parts = [part.strip() for part in text.split(":")]
    until = None
    if len(parts) > 2 and re.fullmatch(r"\d{4}-\d\d-\d\d", parts[-1]):
        try:
            until = date.fromisoformat(parts.pop())
        except ValueError:
            raise NoteRefused(f"action “{text}”: there is no such day") from None
    if len(parts) < 2 or not all(parts):
        raise NoteRefused(f'action “{text}”: write "Pump operator: read the gauge: 2026-12-01"')
    return Action(role=parts[0], what=": ".join(parts[1:]), until=until)


def note_data(
    plan, listed, measurements, *, keep=(), change=(), actions=(), day, roster=(), system=None
):
    """All that stands in the note, as plain data.

    Takes
      plan, listed, measurements   DrillPlan, DayList, Measurements
      keep, change                 lessons as texts: what is kept, what is changed
      actions                      Action ones
      day, roster                  day of the drill; members whose names may not stand in it
      system                       "US" or "metric"; None takes the department's
    Fails when
      NoteRefused   a role that there is not, a name of the roster, too many or too long texts
    """  # fmt: skip
    system = system or plan.department.units
    _refuse_faults(plan, measurements, keep, change, actions, roster)
    found, evolution = compare(plan, measurements), plan.evolution
    figures = [f for key in _PLANNED if (f := plan.figure(key)) is not None and f.value is not None]
    return {
        "title": f"After-action: {plan.title}",
        "department": plan.department.name,
        "heading": evolution.title,
        "device": plan.apparatus.name,
        "site": f"{plan.site.name}, {plan.made.goal.target.name}",
        "day": day.isoformat(),
        "paper": PAPERS[system],
        "objective": evolution.objective,
        "runs": _runs_said(measurements),
        "list": listed.said(),
        "planned": [[in_system(f.label, system), f.shown(system)] for f in figures],
        "happened": [compared_row(line, system) for line in found.compared],
        "remarks": [f"Run {r.number}: {r.remark}" for r in measurements.runs if r.remark],
        "causes": [in_system(cause, system) for cause in found.causes] or _no_cause(found),
        "asked": [q.text for q in found.asked],
        "keep": list(keep),
        "change": list(change),
        "actions": [
            {"role": a.role, "what": a.what, "until": a.until.isoformat() if a.until else ""}
            for a in actions
        ],
        "caution": CAUTION,
    }


def _runs_said(measurements):
    count = len(measurements.runs)
    return "1 run was written down" if count == 1 else f"{count} runs were written down"


def _no_cause(found):
    if any(line.differs for line in found.compared):
        return ["No number of the plan explains it alone: look at gauges, wind and aim."]
    return ["Nothing to explain: as planned, as far as gauges and aim tell."]


def compared_row(line, system="US"):
    """[name, planned, measured, difference] of a line of a comparison, as texts."""
    planned = "" if line.planned is None else said(line.name, line.planned, system)
    off = ""
    if line.planned is not None:
        more = "more" if line.middle > line.planned else "less"
        off = (
            f"{said(line.name, abs(line.middle - line.planned), system)} {more}"
            if line.differs
            else "as planned"
        )
    name = line.name.capitalize()
    return [name, planned, said(line.name, line.middle, system), off]


def _refuse_faults(plan, measurements, keep, change, actions, roster):
    roles = {role.casefold(): role for role in (*plan.evolution.roles, *COMMAND_ROLES)}
    faults = [
        f"action “{a.what}”: no role “{a.role}”; there are: {', '.join(roles.values())}"
        for a in actions
        if a.role.casefold() not in roles
    ]
    typed = [
        *((f"keep {n}", text) for n, text in enumerate(keep, 1)),
        *((f"change {n}", text) for n, text in enumerate(change, 1)),
        *((f"action {n}", a.what) for n, a in enumerate(actions, 1)),
        *((f"run {r.number}, remark", r.remark) for r in measurements.runs),
    ]
    for where, text in typed:
        if not where.endswith("remark") and not 1 <= len(text.strip()) <= LONGEST:
            faults.append(f"{where}: empty, or longer than {LONGEST} signs")
        faults += [f"{where}: “{word}” is on the roster" for word in roster_words(text, roster)]
    for name, texts in (("keep", keep), ("change", change), ("action", actions)):
        if len(texts) > MOST:
            faults.append(f"{name}: {len(texts)} of them; a page holds {MOST}")
    if faults:
        raise NoteRefused("no note for this:\n  " + "\n  ".join(dict.fromkeys(faults)))


def print_note(data):
    """(bytes of the PDF, pages): set closer where it would run over one page."""
    import typst

    best = None
    for size in (12, 11.5, 11, 10.5, 10):
        given = {"sys_inputs": {"data": json.dumps(data | {"size": size}, ensure_ascii=True)}}
        pages = json.loads(typst.query(str(TEMPLATE), "<pages>", field="value", one=True, **given))
        if best is None or pages < best[0]:
            best = (pages, given)
        if pages == 1:
            break
    return typst.compile(str(TEMPLATE), pdf_standards=["ua-1"], **best[1]), best[0]


def note_page(data):
    """The note as one page for a browser; it needs no network."""
    rows = "".join(
        "<tr>" + f"<th scope='row'>{escape(r[0])}</th>" + "".join(f"<td>{escape(c)}</td>" for c in r[1:])
        + "</tr>"
        for r in data["happened"]
    )  # fmt: skip
    planned = "".join(
        f"<tr><th scope='row'>{escape(a)}</th><td>{escape(b)}</td></tr>" for a, b in data["planned"]
    )
    actions = "".join(
        f"<tr><th scope='row'>{escape(a['role'])}</th><td>{escape(a['what'])}</td><td>{escape(a['until'])}</td></tr>"
        for a in data["actions"]
    )  # fmt: skip
    body = [
        f"<h1>{escape(data['title'])}</h1><p>{escape(data['department'])}, {escape(data['day'])}. "
        f"{escape(data['site'])}. {escape(data['objective'])}</p>",
        f"<h2>Planned</h2><table>{planned}</table>",
        f"<h2>What happened</h2><p>{escape(data['runs'])}. Go/no-go list on file: {escape(data['list'])}</p><table><tr><th></th>"
        f"<th>planned</th><th>measured</th><th>difference</th></tr>{rows}</table>{_items(data['remarks'])}",
        f"<h2>What explains it</h2>{_items(data['causes'])}",
        f"<h2>Asked about and kept</h2>{_items(data['asked'])}" if data["asked"] else "",
        f"<h2>Lessons</h2><p><b>Keep</b></p>{_items(data['keep'] or ['______'])}"
        f"<p><b>Change</b></p>{_items(data['change'] or ['______'])}",
        f"<h2>Who acts on what</h2><table><tr><th>role</th><th>what</th><th>until</th></tr>{actions}</table>"
        if actions
        else "<h2>Who acts on what</h2><p>______</p>",
        f"<p class='k'>{escape(data['caution'])}</p>",
    ]  # fmt: skip
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(data['title'])}</title><style>{_PAGE_STYLE}</style></head>"
        f"<body>{''.join(body)}</body></html>\n"
    )


def _items(texts):
    return f"<ul>{''.join(f'<li>{escape(t)}</li>' for t in texts)}</ul>" if texts else ""
