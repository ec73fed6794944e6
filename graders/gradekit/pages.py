"""Pages that open in a browser with no server and no network: class, division, one member."""

import re
from html import escape

from gradekit.completion import COLUMNS, STANDS, row

STYLE = """
:root{color-scheme:light dark;--ink:#1b2126;--paper:#fff;--faint:#47525c;--rule:#c9d0d6;--line:#0b5cad;
--slip:#fdf1dc;--right:#1c6b3a;--blank:#5d6871;--lapsed:#fbe3e0}
@media screen and (prefers-color-scheme:dark){:root{--ink:#e6eaed;--paper:#15191d;--faint:#aab4bd;
--rule:#3a434b;--line:#7db8f0;--slip:#4a3814;--right:#7fd3a0;--blank:#a3adb6;--lapsed:#5a2620}}
body{font:16px/1.5 system-ui,sans-serif;margin:2rem;color:var(--ink);background:var(--paper);max-width:90rem}
h1{font-size:1.6rem;line-height:1.25;margin:0 0 .3rem}h2{font-size:1.15rem;margin:2rem 0 .4rem}
table{border-collapse:collapse;font-variant-numeric:tabular-nums}
.wide{overflow-x:auto}.wide:focus-visible{outline:3px solid var(--line)}
th,td{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-bottom:1px solid var(--rule)}
th{white-space:nowrap}
td{min-width:3.5rem}td.n{text-align:right}td.d{white-space:nowrap}td.l{min-width:17rem}
th button{font:inherit;font-weight:600;color:inherit;background:none;border:0;padding:.2rem 0;min-height:1.5rem;
cursor:pointer;text-align:left}
th button:focus-visible{outline:3px solid var(--line);outline-offset:2px}
th[aria-sort=ascending] button::after{content:" \\25B2"}
th[aria-sort=descending] button::after{content:" \\25BC"}
caption{text-align:left;padding:.3rem 0;color:var(--faint)}
td.slip,td.right,td.blank{padding-left:.4rem}
.slip{background:var(--slip)}.right{color:var(--right)}.blank{color:var(--blank)}.lapsed{background:var(--lapsed)}
.small{color:var(--faint);font-size:.9rem;max-width:48rem}code{overflow-wrap:anywhere}
svg{max-width:100%;height:auto;fill:var(--ink)}.axis{stroke:var(--rule)}
.trend{stroke:var(--line);stroke-width:2;fill:none}.dot{fill:var(--line)}
@media (max-width:600px){body{margin:1rem}table{font-size:.92rem}
th:first-child,td:first-child{position:sticky;left:0;background:var(--paper)}}
@media print{body{margin:0;font-size:11px}.wide{overflow:visible}}
"""
PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">{head}
<title>{title}</title>
<style>{style}</style></head><body>
{body}
{script}</body></html>
"""
# Sorts a table by the column whose heading was pressed; numbers as numbers, days as texts. How each
# was sorted is kept by the heading above it, for a page whose tables are put in anew.
SORT = """<script>
const sorted = new Map();
function sortBy(table, column, up) {
  const heads = table.querySelectorAll("thead th");
  heads.forEach(t => t.removeAttribute("aria-sort"));
  heads[column].setAttribute("aria-sort", up ? "ascending" : "descending");
  const text = r => r.cells[column].textContent;
  const rows = [...table.tBodies[0].rows].sort((a, b) => {
    const x = text(a), y = text(b);
    if (x === "" || y === "") return (x === "") - (y === "");
    return (up ? 1 : -1) * x.localeCompare(y, undefined, {numeric: true});
  });
  table.tBodies[0].append(...rows);
}
function makeSortable() {
  for (const table of document.querySelectorAll("table.sorts")) {
    const name = table.closest(".wide").previousElementSibling?.textContent || "";
    table.querySelectorAll("thead th").forEach((th, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.append(...th.childNodes);
      th.append(button);
      button.addEventListener("click", () => {
        const up = th.getAttribute("aria-sort") !== "ascending";
        sorted.set(name, [column, up]);
        sortBy(table, column, up);
      });
    });
    if (sorted.has(name)) sortBy(table, ...sorted.get(name));
  }
  for (const box of document.querySelectorAll(".wide")) {
    if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
  }
}
makeSortable();
</script>
"""
# Looks every so many seconds, only while it is seen, and puts in what became different; where
# the reader has got to, what is sorted and what has the focus stay.
LIVE = """<script>
const every = EVERY * 1000;
let asking = false;
function nameOf(button) {
  const above = button?.closest(".wide")?.previousElementSibling;
  return above ? `${above.textContent}: ${button.textContent}` : "";
}
async function look() {
  if (document.hidden || asking) return;
  asking = true;
  const told = document.querySelector("#told");
  try {
    const answer = await fetch(location.pathname, {cache: "no-store"});
    const text = await answer.text();
    const next = new DOMParser().parseFromString(text, "text/html");
    const fresh = next.querySelector("main"), here = document.querySelector("main");
    if (!answer.ok || !fresh) throw new Error();
    document.querySelector("#when").textContent = next.querySelector("#when").textContent;
    if (told.textContent) told.textContent = "";
    if (fresh.innerHTML !== look.had) {
      const at = [...document.querySelectorAll(".wide")].map(box => box.scrollLeft);
      const focus = nameOf(document.activeElement);
      look.had = fresh.innerHTML;
      here.innerHTML = look.had;
      makeSortable();
      document.querySelectorAll(".wide").forEach((box, n) => { box.scrollLeft = at[n] || 0; });
      const again = [...here.querySelectorAll("button")].find(b => nameOf(b) === focus);
      if (focus) again?.focus({preventScroll: true});
    }
  } catch {
    const words = "Not reached just now; this is what was last seen. Are the lessons still open?";
    if (told.textContent !== words) told.textContent = words;
  }
  asking = false;
}
setInterval(look, every);
document.addEventListener("visibilitychange", look);
</script>
"""
_SHORT = re.compile(r"\d{4}-\d{2}-\d{2}\b.{0,16}$|(?=.*[ -]).{1,12}$")  # kept in one line
CLAIM = (
    "This page records completed training. It does not say that anybody is fit to operate a "
    "device; the operator's manual, local procedure and qualified people decide that."
)


def _page(title, body, head="", script=""):
    script = (SORT if "table class='sorts'" in body else "") + script
    return PAGE.format(title=escape(title), style=STYLE, body=body, head=head, script=script)


def sentence_page(title, words):
    """A page that says one thing, where there is nothing to show."""
    return _page(title, f"<h1>{escape(title)}</h1><p>{escape(words)}</p>")


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
    mark = " class='d'" if _SHORT.match(str(cell)) else " class='l'" if len(str(cell)) > 60 else ""
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
    several = len(view.exercises) > 1
    names = [question if several else short for question, short in view.questions]
    columns = ("Member", "Name", *names, "Status")
    rows = [
        (p.member, p.name, *(cells.get(q, "") for q, _ in view.questions), p.status)
        for p, cells in view.rows
    ]
    return columns, rows


def exercise_rows(view, questions):
    """One exercise's rows: member, name, (words, how they stand) of each answer, status."""
    rows = []
    for person, cells in view.rows:
        begun = any(q in cells for q, _ in questions)
        answers = [_answer(cells.get(q, "by hand" if begun else "")) for q, _ in questions]
        rows.append((person.member, person.name, *answers, person.status))
    return rows


HANDED_COLUMNS = ("Exercise", "Graded", "Not graded yet", "Not readable", "Nothing yet from")


def handed_rows(view):
    """How far each exercise is: how many are graded, and who is still to come, by name."""
    return [
        (
            as_words(h.exercise), f"{len(h.graded)} of {len(view.rows)}",
            *(_people(some) for some in (h.not_graded, h.not_readable, h.nothing_yet)),
        )
        for h in view.handed
    ]  # fmt: skip


def as_words(name):
    """A part's name as words: `nozzle-reaction` is “Nozzle reaction”."""
    return name.replace("-", " ").capitalize()


def _people(some):
    return "; ".join(f"{number} {name}".strip() for number, name in some) or "nobody"


SLIP_COLUMNS = ("Question", "Slip", "What the member is told", "Members")


def slip_rows(view):
    """Where the class slips, most often first."""
    short, several = dict(view.questions), len(view.exercises) > 1
    return [
        (q if several else short.get(q, q), s.replace("-", " "), words, n)
        for q, s, words, n in view.slips
    ]


def class_page(view, department, day, refresh=None, live=None):
    """The class at a glance.

    Takes
      refresh   the page loads itself anew after so many seconds, as a file
      live      the page asks its server for what became different, every so many seconds
    """
    graded = sum(bool(cells) for _, cells in view.rows)
    body = (
        f"<p>Graded hand-ins: {graded} of {len(view.rows)} members.</p><h2>Who has handed in</h2>"
        + _table(HANDED_COLUMNS, handed_rows(view))
        + "<h2>Where the class slips</h2>"
    )
    body += _table(SLIP_COLUMNS, slip_rows(view)) if view.slips else "<p>No known slip so far.</p>"
    body += "<h2>Who is stuck</h2>"
    body += _table(("Member", "Name", "Why"), view.stuck) if view.stuck else "<p>Nobody so far.</p>"
    for exercise, questions in view.exercises.items():
        body += f"<h2>{escape(as_words(exercise))}</h2>" + _table(
            ("Member", "Name", *(short for _, short in questions), "Status"),
            exercise_rows(view, questions),
            "How each answer of the newest graded hand-in stands.",
        )
    top = (
        "<h1>The class at a glance</h1>"
        f"<p>{escape(department.name)}, <span id='when'>{day}</span>. "
        "<strong id='told' role='status'></strong></p><p class='small'>For the instructor of this "
        "class. The division's page has outcomes only.</p>"
    )
    head = f'<meta http-equiv="refresh" content="{refresh:d}">' if refresh else ""
    script = LIVE.replace("EVERY", f"{live:d}") if live else ""
    title = f"Class, {department.name}"
    return _page(title, f"{top}<main>{body}</main>", head, script)


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
        said = f"In {start} to {days} days: {len(people) or 'nobody'}"
        body += f"<p>{said}</p>"
        if people:
            body += _table(
                ("Member", "Name", "Station", "Shift", "Complete until"),
                [(p.member, p.name, p.person.station, p.person.shift, p.until) for p in people],
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
    dots = "".join(f"<circle cx='{x:.1f}' cy='{y:.1f}' r='3' class='dot'/>" for x, y in points)
    said = (
        f"Complete members at the ends of the last {len(trend) - 1} months and today, of the "
        f"{trend[-1][2]} on today's roster: " + ", ".join(f"{d:%b %Y} {c}" for d, c, _ in trend)
    )
    return (
        f"<h2>Trend</h2><svg viewBox='0 0 {width} {height}' width='{width}' role='img' "
        f"aria-label='{escape(said, quote=True)}'><line x1='{left}' y1='{base}' "
        f"x2='{width - 20}' y2='{base}' class='axis'/><line x1='{left}' y1='{base - 100}' "
        f"x2='{width - 20}' y2='{base - 100}' class='axis'/><text x='{left - 6}' "
        f"y='{base - 96}' text-anchor='end' font-size='11'>{most}</text><text x='{left - 6}' "
        f"y='{base + 4}' text-anchor='end' font-size='11'>0</text><polyline points='{line}' "
        f"class='trend'/>{dots}{labels}</svg>"
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
