"""The card of a drill: two printed pages, and one page for a tablet without network."""

import json
import re
from dataclasses import dataclass
from html import escape
from pathlib import Path

from aerialstream import quantity, show
from aerialstream.set_up import NO_GO
from aerialstream.worked import in_system
from gradekit.drills.day import day_list
from gradekit.drills.evolutions import MEASURED
from gradekit.drills.plan import BLANK, GAUGE_PSI
from gradekit.drills.sketches import plan_sketch, side_sketch

TEMPLATE = Path(__file__).parent / "card.typ"
PAPERS = {"US": "us-letter", "metric": "a4"}
PAGES = 2
CAUTION = (
    "This card permits nothing. The operator's manual of this device, local procedure and the "
    "people on the spot decide. Fill in blanks from the book, not from memory."
)
# On paper everything is black, white or grey.
_PRINT = {"paper": "#ffffff", "steel": "#8a8a8a", "muted": "#555555"}
# Figures that the sketches or the head of the card show already.
_LEFT_OFF = ("target", "rotation", "minutes")
_SAID_ELSEWHERE = ("Owner's sheet",)  # in the go/no-go list
_ENTRIES = "Entered:"  # every entry of the manual's table, where turning is what is drilled
# How a card is set, from roomy to close: height of the sketches, whether the figures say how good
# they are, whether the steps are kept together, height of the rows to write in.
_FITS = (
    (215, True, True, 5.5), (190, True, True, 4.2), (170, True, True, 3.4), (170, True, False, 3.4),
    (150, True, False, 3.0), (136, True, False, 2.4), (150, False, False, 3.0),
)  # fmt: skip


@dataclass(frozen=True)
class Card:
    """A typeset card: bytes of the PDF, how many pages, and whether the figures' words were left off."""

    pdf: bytes
    pages: int
    full: bool


def printed_svg(picture):
    """A Picture as SVG for paper: no style sheet, no variables, black on white."""
    text = re.sub(r"<style>.*?</style>", "", picture.svg())
    text = re.sub(r"var\(--(\w+)\)", lambda m: _PRINT.get(m[1], "#000000"), text)
    return text.replace('class="as-pic"', 'font-family="Libertinus Serif, DejaVu Sans"', 1)


def card_data(plan, listed=None, *, system=None, words=True, high=225):
    """All that stands on a card, as plain data.

    Takes
      plan     a DrillPlan
      listed   a DayList; None makes it from the plan with nothing answered
      system   "US" or "metric"; None takes the department's
      words    False leaves off how good each figure is, where room is short
      high     height of the sketches, in points
    """
    system = system or plan.department.units
    listed = day_list(plan) if listed is None else listed
    evolution = plan.evolution
    plan_picture, side_picture = (
        sketch(plan, system, high) for sketch in (plan_sketch, side_sketch)
    )
    return {
        "title": plan.title,
        "department": plan.department.name,
        "heading": f"{evolution.title}",
        "device": plan.apparatus.name,
        "site": f"{plan.site.name}, {plan.made.goal.target.name}",
        "objective": evolution.objective,
        "standard": evolution.standard,
        "system": system,
        "paper": PAPERS[system],
        "footer": f"{plan.department.name}. {evolution.id}, version {evolution.version}, reviewed "
        f"{evolution.reviewed}",
        "plan": {"svg": printed_svg(plan_picture), "words": plan_picture.label},
        "side": {"svg": printed_svg(side_picture), "words": side_picture.label},
        "figures": [_figure(f, system, words) for f in plan.figures if _on_card(f)],
        "spread": _spread(plan, system),
        "limits": [in_system(limit, system) for limit in plan.limits if not str(limit).startswith(_left_out(plan))],
        "day": listed.said(),
        "list": [
            {"id": r.id, "role": r.role, "text": in_system(r.text, system), "answer": r.answer,
             "no": r.answer == NO_GO, "why": in_system(r.why, system)}
            for r in listed.rows
        ],
        "prerequisites": list(evolution.prerequisites),
        "roles": list(evolution.roles),
        "briefing": [plan.filled(b, system) for b in evolution.briefing],
        "steps": [{"text": plan.filled(s.text, system), "critical": s.critical} for s in plan.drill_steps],
        "situations": [{"says": s.says, "line": s.line} for s in evolution.situation],
        "measure": [_measure(plan, name, system) for name in evolution.measure],
        "restoration": list(evolution.restoration),
        "after": list(evolution.after_action),
        "caution": CAUTION,
        "notes": [in_system(n.text, system) for n in plan.notes],
    }  # fmt: skip


def _spread(plan, system):
    """What the ± on the card stand for."""
    if plan.water is None:
        return ""
    gauge = show(quantity(GAUGE_PSI, "psi"), system)
    return f"±: gauge {gauge} off, losses 10 % off (our numbers, no source)."


def _left_out(plan):
    return _SAID_ELSEWHERE if "side load" in plan.evolution.shows else (*_SAID_ELSEWHERE, _ENTRIES)


def _on_card(figure):
    return figure.key not in _LEFT_OFF and not (
        figure.key == "verdict" and "nothing" in figure.value
    )


def _figure(figure, system, words):
    within = in_system(figure.within, system) if words else ""
    if figure.value is None:
        return {
            "label": in_system(figure.label, system),
            "value": BLANK,
            "within": f"({figure.look_up})",
        }
    return {
        "label": in_system(figure.label, system),
        "value": figure.shown(system),
        "within": within,
    }


def _measure(plan, name, system):
    kind, unit = MEASURED[name]
    number = plan.predicted.get(name)
    planned = "" if number is None else show(quantity(number, unit), system, _kind(name))
    return {"name": name, "label": name.capitalize(), "planned": planned, "kind": kind}


def _kind(name):
    return "wind" if name == "wind" else None


def print_card(plan, listed=None, *, system=None):
    """The card as PDF; set closer where it would run to more than two pages.

    Gives
      Card   pages says how many there are; a department's own long evolution may run over
    """
    import typst

    card = None
    for high, words, whole, row in _FITS:
        data = card_data(plan, listed, system=system, words=words, high=high)
        data |= {"whole": whole, "row": row}
        given = {"sys_inputs": {"data": json.dumps(data, ensure_ascii=True)}}
        pages = json.loads(typst.query(str(TEMPLATE), "<pages>", field="value", one=True, **given))
        if card is None or pages <= card[0]:
            card = (pages, given, words)
        if pages <= PAGES:
            break
    pages, given, words = card
    return Card(typst.compile(str(TEMPLATE), pdf_standards=["ua-1"], **given), pages, words)


_PAGE_STYLE = (
    "body{font:20px/1.4 system-ui,sans-serif;margin:0 auto;max-width:60rem;padding:1rem;color:#000;"
    "background:#fff}h1{font-size:1.9rem;margin:.2rem 0}h2{background:#000;color:#fff;padding:.4rem "
    ".6rem;font-size:1.25rem;margin:1.4rem 0 .5rem}table{border-collapse:collapse;width:100%}td,th{"
    "text-align:left;vertical-align:top;padding:.5rem .5rem .5rem 0;border-bottom:1px solid #666}"
    "b.v{font-size:1.25em}.c{background:#000;color:#fff;padding:0 .35em;font-weight:700}"
    "input[type=checkbox],input[type=radio]{width:2rem;height:2rem;vertical-align:middle}"
    "input[type=text]{font:inherit;width:100%;box-sizing:border-box;min-height:2.6rem;border:2px "
    "solid #000}button{font:inherit;font-weight:700;padding:.7rem 1.2rem;border:3px solid #000;"
    "background:#fff;min-height:3rem}.s{display:flex;flex-wrap:wrap;gap:1rem}.s svg{flex:1 1 18rem;"
    "max-width:100%;height:auto}.no{font-weight:700;border-left:.6rem solid #000;padding-left:.5rem}"
    "label{display:block;padding:.35rem 0}p.k{border:3px solid #000;padding:.6rem}"
)
# Writes what was typed as a CSV that `aerialstream drill measured` reads; nothing leaves the tablet.
_SAVE = """<script>
document.getElementById("save").addEventListener("click", () => {
  const quoted = t => '"' + t.replaceAll('"', '""') + '"';
  const names = [...document.querySelectorAll("tr[data-name]")].map(r => r.dataset.name);
  const lines = [["run", ...names, "remark"].map(quoted).join(",")];
  for (const run of ["1", "2", "3"]) {
    const cells = names.map(n => document.querySelector(`tr[data-name="${n}"] input[data-run="${run}"]`).value);
    const remark = document.querySelector(`input[data-remark="${run}"]`).value;
    if (cells.some(c => c.trim()) || remark.trim()) lines.push([run, ...cells, remark].map(quoted).join(","));
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob(["\\ufeff" + lines.join("\\r\\n") + "\\r\\n"], {type: "text/csv"}));
  link.download = document.body.dataset.file;
  link.click();
});
</script>"""


def card_page(plan, listed=None, *, system=None):
    """The card as one page that holds everything it needs: for a tablet, without network."""
    data = card_data(plan, listed, system=system)
    return page_of(data, f"{plan.evolution.id}-{plan.apparatus.id}-measured.csv")


def page_of(data, file_name):
    """The page of a card's data; every text is escaped, the pictures must be the kit's own."""
    parts = [
        f"<h1>{escape(data['heading'])}</h1><p><b>{escape(data['device'])}</b> at "
        f"<b>{escape(data['site'])}</b>. {escape(data['objective'])}</p>",
        f"<div class='s'>{data['plan']['svg']}{data['side']['svg']}</div>",
        "<h2>Set-up</h2>" + _page_figures(data["figures"]),
        f"<p>{escape(data['spread'])}</p>" + _listing(data["limits"]),
        f"<h2>Go / no go: one no or one blank is no go</h2><p class='k'>{escape(data['day'])}</p>",
        _page_list(data["list"]),
        "<h2>Before</h2>" + _boxes(data["prerequisites"]),
        "<h2>Roles</h2>" + _listing(data["roles"]),
        "<h2>Briefing: say it aloud</h2>" + _listing(data["briefing"], "ol"),
        "<h2>Steps and evaluation</h2><p><span class='c'>C</span> one missed is no pass. "
        f"{escape(data['standard'])}</p>" + _page_steps(data["steps"]),
        *(["<h2>Situations: which line fails?</h2>", _boxes([f"{s['says']} ({s['line']})" for s in data["situations"]])]
          if data["situations"] else []),
        "<h2>What was measured</h2>" + _page_form(data["measure"]),
        "<h2>Restoration</h2>" + _boxes(data["restoration"]),
        "<h2>After-action</h2>" + _listing(data["after"]),
        f"<p class='k'>{escape(data['caution'])}</p>",
        "<h2>What to mind about the figures</h2>" + _listing(data["notes"]),
    ]  # fmt: skip
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(data['title'])}</title><style>{_PAGE_STYLE}</style></head>"
        f"<body data-file='{escape(file_name, quote=True)}'>{''.join(parts)}{_SAVE}</body></html>\n"
    )


def _page_figures(group):
    rows = "".join(
        f"<tr><th scope='row'>{escape(f['label'])}</th><td><b class='v'>{escape(f['value'])}</b>"
        f"{' ' + escape(f['within']) if f['within'] else ''}</td></tr>"
        for f in group
    )
    return f"<table>{rows}</table>"


def _page_list(rows):
    out = []
    for row in rows:
        name = escape(row["id"], quote=True)
        why = f" <b>{escape(row['why'])}</b>" if row["why"] else ""
        held = row["no"]
        marks = "".join(
            f"<label><input type='radio' name='{name}'{' checked' if row['answer'] == said else ''}"
            f"{' disabled' if held else ''}> {said}</label>"
            for said in ("go", "no go")
        )
        shown = (
            f"<span class='no'>NO: {escape(row['text'])}</span>" if held else escape(row["text"])
        )
        out.append(
            f"<tr><td>{shown}{why}<br><small>{escape(row['role'])}</small></td><td>{marks}</td></tr>"
        )
    return f"<table>{''.join(out)}</table>"


def _page_steps(steps):
    rows = "".join(
        f"<tr><th scope='row'>{n}{' <span class=c>C</span>' if s['critical'] else ''}</th><td>{escape(s['text'])}</td>"
        f"<td><label><input type='radio' name='step{n}'> did</label><label><input type='radio' name='step{n}'> "
        "missed</label></td></tr>"
        for n, s in enumerate(steps, 1)
    )  # fmt: skip
    return f"<table>{rows}</table>"


def _page_form(measure):
    head = "<tr><th></th><th>plan</th><th>run 1</th><th>run 2</th><th>run 3</th></tr>"
    rows = "".join(
        f"<tr data-name='{escape(m['name'], quote=True)}'><th scope='row'>{escape(m['label'])}</th><td><b>{escape(m['planned'])}"
        "</b></td>" + "".join(f"<td>{_entry(m['label'], run)}</td>" for run in (1, 2, 3)) + "</tr>"
        for m in measure
    )  # fmt: skip
    remarks = "".join(
        f"<td><input type='text' data-remark='{run}' aria-label='Remark, run {run}'></td>"
        for run in (1, 2, 3)
    )
    return (
        f"<p>With its unit, as you would say it: 510 gpm, 82 psi, 41 ft 6 in.</p><table>{head}{rows}<tr><th>Remark</th>"
        f"<td></td>{remarks}</tr></table><p><button id='save' type='button'>Save as CSV</button></p>"
    )  # fmt: skip


def _entry(label, run):
    return (
        f"<input type='text' data-run='{run}' aria-label='{escape(label, quote=True)}, run {run}'>"
    )


def _boxes(texts):
    return "".join(f"<label><input type='checkbox'> {escape(t)}</label>" for t in texts)


def _listing(texts, tag="ul"):
    return f"<{tag}>{''.join(f'<li>{escape(t)}</li>' for t in texts)}</{tag}>"
