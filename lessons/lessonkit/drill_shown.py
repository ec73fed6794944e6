"""What lesson 09 shows besides its panel: the planned drill, its card, and a made-up day after.

The readings are invented: the plan's own, with the pump gauge higher, so that there is something
to explain.
"""

import base64
from functools import cache
from html import escape
from importlib.util import find_spec

from aerialstream.department import DEMO_FOLDER, load_department
from gradekit.drills.after import compared_row, note_data, note_page, read_action
from gradekit.drills.card import card_page, print_card
from gradekit.drills.compared import compare
from gradekit.drills.day import day_list
from gradekit.drills.measured import Measurements, Run
from gradekit.drills.plan import Asked, plan_drill
from lessonkit.drill_panel import DEVICE, EVOLUTION, SITE
from lessonkit.page import Shown, style_html

PUMP_FACTORS = (1.22, 1.25, 1.20)  # by how much the made-up pump gauge reads more than planned
# Made up, like everything of that day.
KEEP = ("Stop word answered at once.",)
CHANGE = ("One person reads the gauges, and says each number twice.",)
ACTION = "Pump operator: hold the gauge against a test gauge: 2026-12-01"
NO_TYPESETTER = (
    "The printed card needs a typesetter, which is not here: a browser alone has none. Take the page "
    "for a tablet; it prints too. On a station PC “aerialstream drill card” makes the two pages."
)


class _Kept(Shown):
    """Files to keep; on paper only what is said of them."""

    def handout_html(self):
        """The words alone: paper has no links."""
        return "".join(f"<p>{escape(line)}</p>" for line in repr(self).splitlines())


@cache
def planned():
    """The lesson's drill, from the demo department's files; planned once."""
    asked = Asked(evolution=EVOLUTION, device=DEVICE, site=SITE)
    return plan_drill(load_department(DEMO_FOLDER), asked)


def readings(plan):
    """Three made-up runs: as planned, but for the pump's gauge."""
    runs = []
    for number, factor in enumerate(PUMP_FACTORS, 1):
        values = {k: v for k, v in plan.predicted.items() if k in plan.evolution.measure}
        values["discharge pressure"] *= factor
        runs.append(Run(number=str(number), values=values))
    return Measurements(runs=tuple(runs))


def drill_planned():
    """The whole plan as a cell's last value: a table, its limits, its notes."""
    plan = planned()
    notes = "".join(f"<p class='as-note'>{escape(str(n.text))}</p>" for n in plan.notes[:2])
    return Shown(f"{_table(plan.lines())}{notes}{style_html()}", plan.text())


def drill_compared():
    """Planned beside measured, and what would explain the difference."""
    plan = planned()
    found = compare(plan, readings(plan))
    head = ("", "planned", "measured", "difference")
    rows = [compared_row(line) for line in found.compared]
    causes = _table([("Would explain it", str(cause)) for cause in found.causes])
    notes = "".join(f"<p class='as-note'>{escape(str(n.text))}</p>" for n in found.notes)
    return Shown(f"{_table(rows, head)}{causes}{notes}{style_html()}", found.text())


def _table(rows, head=()):
    """Rows of texts, the first of each as its head."""
    top = "".join(f"<th scope='col'>{escape(name)}</th>" for name in head)
    body = "".join(
        f"<tr><th scope='row'>{escape(str(row[0]))}</th>"
        + "".join(f"<td>{escape(str(cell))}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    head_row = f"<tr>{top}</tr>" if top else ""
    return f"<table class='as-table' style='font-size:15px'>{head_row}{body}</table>"


def _link(name, kind, data, words):
    text = base64.b64encode(data).decode()
    return f"<li><a download='{name}' href='data:{kind};base64,{text}'>{escape(words)}</a></li>"


def _files(items, said=""):
    note = f"<p>{escape(said)}</p>" if said else ""
    return f"<div class='as-files'>{note}<ul>{''.join(items)}</ul></div>{style_html()}"


def drill_card():
    """The card to keep: two printed pages where there is a typesetter, and the page for a tablet."""
    plan = planned()
    page = card_page(plan).encode()
    items = [_link("drill-card.html", "text/html", page, "The card for a tablet (a page; what is typed in is saved as a CSV)")]  # fmt: skip
    if find_spec("typst") is None:
        return _Kept(_files(items, NO_TYPESETTER), NO_TYPESETTER)
    card = print_card(plan, day_list(plan))
    items.insert(0, _link("drill-card.pdf", "application/pdf", card.pdf, f"The card to print (PDF, {card.pages} pages)"))  # fmt: skip
    said = "Two files to keep. Nothing on them permits anything."
    return _Kept(
        _files(items, said),
        f"The card of the drill: {card.pages} printed pages, or a page for a tablet.",
    )


def drill_note():
    """The after-action note of the made-up day, as a page to keep."""
    from datetime import date

    plan = planned()
    data = note_data(
        plan, day_list(plan), readings(plan), keep=KEEP, change=CHANGE, actions=[read_action(ACTION)],
        day=date(2026, 11, 20),
    )  # fmt: skip
    rows = [
        ("Explains it", data["causes"]), ("Keep", data["keep"]), ("Change", data["change"]),
        ("Who acts", [f"{a['role']}: {a['what']}, by {a['until']}" for a in data["actions"]]),
    ]  # fmt: skip
    link = _link("after-action.html", "text/html", note_page(data).encode(), "The whole note (a page)")  # fmt: skip
    return _Kept(
        _table([(name, " ".join(texts)) for name, texts in rows]) + _files([link]),
        "\n".join(f"{name}: {' '.join(texts)}" for name, texts in rows),
    )
