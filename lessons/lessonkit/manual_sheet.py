"""A sheet of what to look up in the operator's manual of one's own device, filled in by typing.

Kept as it is typed, device by device, in the member's study folder and, where the department has a
folder of its own, there for everybody (`manual_notes.jsonl`, with who and when); printed from a page
that is written beside it. Nothing typed here becomes a limit of the kit: those are entered, with
their page, in the department's own files.
"""

import contextlib
import json
import os
from dataclasses import dataclass
from html import escape
from importlib import import_module

import ipywidgets as widgets

from aerialstream.department import load_department
from aerialstream.manual_notes import manual_notes, note_down, shared_folder
from lessonkit import progress
from lessonkit.asking import OtherVersion
from lessonkit.controls import fills
from lessonkit.page import style_html

FILE, PAGE = "my manual sheet.json", "my-manual-sheet.html"
_memory = {}
CAUTION = (
    "The manual of the device you stand on decides. What you note here is for learning; it sets "
    "no limit in the kit."
)


@dataclass(frozen=True)
class LookUp:
    """One thing to look up: name for the file, words for the page, an example of how to write it."""

    name: str
    words: str
    example: str = ""


def kept():
    """{device id: {field: text}}: the member's own, and what the department's folder has."""
    sheet = {device: dict(filled) for device, filled in _own().items()}
    folder = shared_folder()
    if folder is not None:
        for device, notes in manual_notes(folder).items():
            sheet.setdefault(device, {}).update((n.field, n.text) for n in notes.values())
    return sheet


def _own():
    """What this member typed; a file that cannot be read is set aside."""
    folder = progress.study()
    if folder is None:
        return _memory
    path = folder / progress.KEPT_IN / FILE
    return progress.read_kept(path, progress.dict_of_dicts)


def _keep(device, field, text):
    """Keep a text in both places; says whether the department's folder has it."""
    sheet = _own()
    sheet.setdefault(device, {})[field.name] = text
    shared, given = shared_folder(), False
    if shared is not None:
        with contextlib.suppress(OSError):
            number = os.environ.get("AERIALSTREAM_MEMBER", "")
            note_down(shared, device=device, field=field.name, asked=field.words, text=text, by=number)  # fmt: skip
            given = True
    folder = progress.study()
    if folder is None:
        _memory.update(sheet)
        return given
    with contextlib.suppress(OSError):
        path = folder / progress.KEPT_IN / FILE
        progress.write_whole(path, json.dumps(sheet, ensure_ascii=False, indent=1))
        progress.write_whole(folder / PAGE, printed(kept()))
    return given


def looked_up():
    """{lesson number: its LookUp ones} of all lessons that have a sheet."""
    import pkgutil

    from lessonkit import content

    found = {}
    for module in pkgutil.iter_modules(content.__path__):
        if module.name.startswith("lesson_"):
            fields = getattr(import_module(f"lessonkit.content.{module.name}"), "MANUAL", ())
            if fields:
                found[module.name.removeprefix("lesson_")] = fields
    return dict(sorted(found.items()))


def printed(sheet):
    """The filled-in sheets of all devices as one page to print; what is missing has a line."""
    from lessonkit.page import paper_html

    parts = []
    for device in load_department().apparatus:
        filled = sheet.get(device.id, {})
        rows = "".join(
            f"<tr><th scope='row'>{escape(f.words)}</th>"
            f"<td>{escape(filled.get(f.name, '')) or '&nbsp;'}</td></tr>"
            for fields in looked_up().values()
            for f in fields
        )
        parts.append(f"<h2>{escape(device.name)}</h2><table class='wide'>{rows}</table>")
    return paper_html("What our operator's manual says", f"<p>{escape(CAUTION)}</p>{''.join(parts)}")  # fmt: skip


class Sheet:
    """The sheet on the page: choose the device, type, done."""

    def __init__(self, fields):
        self.fields = fields
        devices = [(d.name, d.id) for d in load_department().apparatus]
        self.device = widgets.Dropdown(options=devices, tooltip="Device", layout=fills())  # fmt: skip
        self.boxes = {
            f.name: widgets.Text(
                placeholder=f.example,
                tooltip=f.words,
                continuous_update=False,
                layout=fills(),
            )
            for f in fields
        }
        self._filling = False
        for field in fields:
            self.boxes[field.name].observe(
                lambda change, field=field: self._typed(field, change["new"]), names="value"
            )
        self.device.observe(lambda change: self._fill(), names="value")
        self.said = widgets.HTML()
        rows = [
            widgets.VBox([widgets.Label(f.words), self.boxes[f.name]], layout=fills())
            for f in fields
        ]
        self.widget = widgets.VBox(
            [widgets.HTML(f"{style_html()}<p>{escape(CAUTION)}</p>"), widgets.Label("Device"), self.device, *rows, self.said],
            layout=widgets.Layout(max_width="760px"),
        )  # fmt: skip
        self.widget.add_class("as-ask")
        self.widget.add_class("as-sheet")
        self._fill()

    def _fill(self):
        self._filling = True
        filled = kept().get(self.device.value, {})
        for name, box in self.boxes.items():
            box.value = str(filled.get(name, ""))
        self._filling = False

    def _typed(self, field, text):
        if self._filling:
            return
        given = _keep(self.device.value, field, text.strip())
        link = (
            f" <a href='/files/{PAGE}' target='_blank'>Open the sheet to print it</a>."
            if progress.study()
            else ""
        )
        where = "Kept, in your department's folder too." if given else "Kept."
        self.said.value = f"<p class='as-said' role='status'>{where}{link}</p>"

    def handout_html(self):
        """The empty sheet on paper."""
        rows = "".join(f"<tr><th scope='row'>{escape(f.words)}</th><td></td></tr>" for f in self.fields)  # fmt: skip
        return f"<p>{escape(CAUTION)}</p><p>Device: ________________</p><table class='wide'>{rows}</table>"  # fmt: skip

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


def manual_sheet(lesson):
    """The sheet of a lesson, for its cell."""
    fields = looked_up().get(lesson)
    return Sheet(fields) if fields else OtherVersion()
