"""Pages that open in a browser with no server and no network: class, division, one member."""

import re
from html import escape

from gradekit.completion import COLUMNS, STANDS, row

PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">{head}
<title>{title}</title>
<style>
body{{font:16px/1.5 system-ui,sans-serif;margin:2rem;color:#1b2126;background:#fff;max-width:90rem}}
h1{{font-size:1.6rem;margin:0 0 .3rem}}h2{{font-size:1.15rem;margin:2rem 0 .4rem}}
table{{border-collapse:collapse;font-variant-numeric:tabular-nums}}
.wide{{overflow-x:auto}}
th,td{{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-bottom:1px solid #c9d0d6}}
th{{white-space:nowrap;position:sticky;top:0;background:#fff}}
td.n{{text-align:right}}td.d{{white-space:nowrap}}
th button{{font:inherit;font-weight:600;color:inherit;background:none;border:0;padding:0;cursor:pointer;text-align:left}}
th button:focus-visible{{outline:3px solid #0b5cad;outline-offset:2px}}
th[aria-sort=ascending] button::after{{content:" \\25B2"}}
th[aria-sort=descending] button::after{{content:" \\25BC"}}
caption{{text-align:left;padding:.3rem 0;color:#47525c}}
.slip{{background:#fdf1dc}}.right{{color:#1c6b3a}}.blank{{color:#5d6871}}.lapsed{{background:#fbe3e0}}
.small{{color:#47525c;font-size:.9rem;max-width:48rem}}svg{{max-width:100%;height:auto}}
@media print{{body{{margin:0;font-size:11px}}th{{position:static}}}}
</style></head><body>
{body}
{script}</body></html>
"""
# Sorts a table by the column whose heading was pressed; numbers as numbers, days as texts.
SORT = """<script>
for (const table of document.querySelectorAll("table.sorts")) {
  table.querySelectorAll("thead th").forEach((th, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...th.childNodes);
    th.append(button);
    button.addEventListener("click", () => {
      const up = th.getAttribute("aria-sort") !== "ascending";
      th.parentNode.querySelectorAll("th").forEach(t => t.removeAttribute("aria-sort"));
      th.setAttribute("aria-sort", up ? "ascending" : "descending");
      const text = r => r.cells[column].textContent;
      const rows = [...table.tBodies[0].rows].sort((a, b) => {
        const x = text(a), y = text(b);
        if (x === "" || y === "") return (x === "") - (y === "");
        return (up ? 1 : -1) * x.localeCompare(y, undefined, {numeric: true});
      });
      table.tBodies[0].append(...rows);
    });
  });
}
</script>
"""
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}\b.{0,16}$")
CLAIM = (
    "This page records completed training. It does not say that anybody is fit to operate a "
    "device; the operator's manual, local procedure and qualified people decide that."
)


def _page(title, body, head=""):
    script = SORT if "table class='sorts'" in body else ""
    return PAGE.format(title=escape(title), body=body, head=head, script=script)


def _table(columns, rows, caption="", classes=None):
    """A table; a cell may be (text, class). `classes` gives each row a class."""
    head = "".join(f"<th scope='col'>{escape(c)}</th>" for c in columns)
    body = []
    for place, cells in enumerate(rows):
        mark = f" class='{classes[place]}'" if classes and classes[place] else ""
        body.append(f"<tr{mark}>{''.join(_cell(cell) for cell in cells)}</tr>")
    said = f"<caption>{escape(caption)}</caption>" if caption else ""
    return (
        f"<div class='wide'><table class='sorts'>{said}<thead><tr>{head}</tr></thead>"
        f"<tbody>{''.join(body)}</tbody></table></div>"
    )


def _cell(cell):
    if isinstance(cell, tuple):
        return f"<td class='{cell[1]}'>{escape(str(cell[0]))}</td>"
    if isinstance(cell, int | float):
        return f"<td class='n'>{cell:g}</td>"
    mark = " class='d'" if _DAY.match(str(cell)) else ""
    return f"<td{mark}>{escape(str(cell))}</td>"


def _rule(department):
    rule = department.completion
    return (
        f"<p class='small'>Theory needs {rule.pass_mark.magnitude:g} percent of the points, and "
        f"{rule.least_written.magnitude:g} percent of those for the written answer. {CLAIM}</p>"
    )


def completion_page(people, department, today):
    """Who has completed: the table of one class."""
    count = sum(p.status in STANDS for p in people)
    body = (
        "<h1>Elevated master streams: who has completed</h1>"
        f"<p>{escape(department.name)}, {today.isoformat()}. {count} of {len(people)} complete.</p>"
    )
    caption = "Theory is graded; practical is signed by an evaluator. Both must stand."
    body += _table(COLUMNS, [row(p) for p in people], caption) + _rule(department)
    return _page(f"Completion, {department.name}", body)


def class_table(view):
    """(columns, rows) of a class at a glance, as plain texts."""
    columns = ("Member", "Name", *(short for _, short in view.questions), "Status")
    rows = [
        (p.member, p.name, *(cells.get(q, "") for q, _ in view.questions), p.status)
        for p, cells in view.rows
    ]
    return columns, rows


def class_page(view, department, day, refresh=None):
    """The class at a glance; with `refresh` the page loads itself anew after so many seconds."""
    columns, _ = class_table(view)
    rows = [
        (
            p.member,
            p.name,
            *(_answer(cells.get(q, "by hand" if cells else "")) for q, _ in view.questions),
            p.status,
        )
        for p, cells in view.rows
    ]
    handed = sum(bool(cells) for _, cells in view.rows)
    body = (
        "<h1>The class at a glance</h1>"
        f"<p>{escape(department.name)}, {day}. Graded hand-ins: {handed} of {len(view.rows)}.</p>"
        "<p class='small'>For the instructor of this class. The division's page has outcomes "
        "only.</p>"
        + _table(columns, rows, "How each answer of the newest graded hand-in stands.")
        + "<h2>Where the class slips</h2>"
    )
    if view.slips:
        body += _table(
            ("Question", "Slip", "What the member is told", "Members"),
            [(q.rsplit("-", 1)[-1], s.replace("-", " "), w, n) for q, s, w, n in view.slips],
        )
    else:
        body += "<p>No known slip so far.</p>"
    body += "<h2>Who is stuck</h2>"
    body += _table(("Member", "Name", "Why"), view.stuck) if view.stuck else "<p>Nobody so far.</p>"
    head = f'<meta http-equiv="refresh" content="{refresh:d}">' if refresh else ""
    return _page(f"Class, {department.name}", body, head)


def _answer(branch):
    if branch == "right":
        return ("right", "right")
    if branch in ("", "blank"):
        return ("no answer" if branch else "", "blank")
    if branch == "by hand":
        return ("marked by hand", "blank")
    return (branch.replace("-", " "), "slip")


def division_page(view, department):
    """The division: outcomes by status and group, what falls due, the trend, every member."""
    complete = sum(p.status in STANDS for p in view.people)
    body = (
        "<h1>Elevated master streams: the division</h1>"
        f"<p>{escape(department.name)}, {view.day}. {complete} of {len(view.people)} complete.</p>"
        "<p class='small'>Outcomes of the register. Work that was handed in and not graded yet "
        "does not show here.</p>"
        f"{_trend(view.trend)}<h2>By status</h2>"
        + _table(("Status", "Members"), list(view.counts.items()))
    )
    for by, groups in view.groups.items():
        body += f"<h2>By {by}</h2>" + _table(
            (by.capitalize(), "Members", "Complete", "Of these due soon", "Lapsed"), groups
        )
    body += "<h2>Due next</h2>"
    start = 0
    for days, people in view.due.items():
        body += _table(
            ("Member", "Name", "Station", "Shift", "Complete until"),
            [(p.member, p.name, p.person.station, p.person.shift, p.until) for p in people],
            f"In {start} to {days} days: {len(people)}",
        )
        start = days + 1
    body += "<h2>Every member</h2>" + _table(
        ("Member", "Name", "Station", "Shift", *COLUMNS[2:]),
        [(*row(p)[:2], p.person.station, p.person.shift, *row(p)[2:]) for p in view.people],
        classes=["lapsed" if p.status == "lapsed" else "" for p in view.people],
    )
    body += _rule(department) + _anchor(view.lines, view.head)
    return _page(f"Division, {department.name}", body)


def _anchor(lines, head):
    if not head:
        return ""
    return (
        f"<p class='small'>Read from the register up to line {lines}, digest "
        f"<code>{head[:16]}</code>. Kept on paper, this shows later that nothing before it was "
        "changed: <code>records verify --written "
        f"{lines}:{head[:16]}</code></p>"
    )


def _trend(trend):
    """Complete members, month by month, as a drawing with the numbers in words beside it."""
    width, height, left, base = 640, 150, 40, 120
    most = max(1, *(of for *_, of in trend))
    step = (width - left - 20) / max(1, len(trend) - 1)
    points = [(left + n * step, base - 100 * c / most) for n, (_, c, _) in enumerate(trend)]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    labels = "".join(
        f"<text x='{x:.1f}' y='{base + 18}' text-anchor='middle' font-size='11'>{day:%b %y}</text>"
        for (x, _), (day, _, _) in list(zip(points, trend, strict=True))[::3]
    )
    dots = "".join(f"<circle cx='{x:.1f}' cy='{y:.1f}' r='3' fill='#0b5cad'/>" for x, y in points)
    said = (
        f"Complete members at the ends of the last {len(trend) - 1} months and today, of the "
        f"{trend[-1][2]} on today's roster: " + ", ".join(f"{d:%b %Y} {c}" for d, c, _ in trend)
    )
    return (
        f"<h2>Trend</h2><svg viewBox='0 0 {width} {height}' width='{width}' role='img' "
        f"aria-label='{escape(said, quote=True)}'><line x1='{left}' y1='{base}' "
        f"x2='{width - 20}' y2='{base}' stroke='#8b959e'/><line x1='{left}' y1='{base - 100}' "
        f"x2='{width - 20}' y2='{base - 100}' stroke='#dfe4e8'/><text x='{left - 6}' "
        f"y='{base - 96}' text-anchor='end' font-size='11'>{most}</text><text x='{left - 6}' "
        f"y='{base + 4}' text-anchor='end' font-size='11'>0</text><polyline points='{line}' "
        f"fill='none' stroke='#0b5cad' stroke-width='2'/>{dots}{labels}</svg>"
        f"<p class='small'>{escape(said)}.</p>"
    )


EVIDENCE_COLUMNS = (
    "Line", "Entered", "Kind", "What", "Outcome", "Score", "Attempt", "Hours", "Held", "By",
    "Device", "Remark",
)  # fmt: skip


def evidence_cells(line, becomes=""):
    """One line of evidence as the texts of EVIDENCE_COLUMNS."""
    score = "" if line.score is None else f"{line.score:g} of {line.most:g}"
    missed = f"missed: {'; '.join(line.missed_steps)}" if line.missed else ""
    sheet = f"sheet {line.sheet}" if line.sheet else ""
    words = "; ".join(w for w in (sheet, missed, line.conditions, line.remark, becomes) if w)
    return (
        str(line.line),
        line.entered.replace("T", " "),
        line.kind,
        line.objective,
        line.outcome,
        score,
        "" if line.attempt is None else str(line.attempt),
        "" if line.hours is None else f"{line.hours:g}",
        line.held,
        line.evaluator,
        line.device,
        words,
    )


def earlier_words(view):
    """The numbers that a member had before, as a sentence, or empty."""
    return f" Earlier numbers: {', '.join(view.earlier)}." if view.earlier else ""


def member_page(view, department):
    """One member's own record, with every line of evidence."""
    person = view.standing
    until = f", complete until {person.until}" if person.until else ""
    body = (
        f"<h1>Training record of <bdi>{escape(person.name or 'member')}</bdi> "
        f"({escape(person.member)})</h1>"
        f"<p>{escape(department.name)}, {view.day}. Elevated master streams: "
        f"<strong>{person.status}</strong>{until}.{escape(earlier_words(view))}</p>"
        "<h2>What is needed, and how it stands</h2>"
        + _table(
            ("Part", "Kind", "How it stands", "Until"),
            [
                (p.objective, "practical" if p.practical else "theory", words, p.until or "")
                for p, words in view.parts
            ],
        )
        + "<h2>Evidence</h2>"
        + _table(EVIDENCE_COLUMNS, [evidence_cells(e, b) for e, b in view.evidence])
        + f"<p>Hours on the lines that stand: {view.hours:g}.</p><p class='small'>{CLAIM}</p>"
    )
    return _page(f"Record of {person.member}", body)
