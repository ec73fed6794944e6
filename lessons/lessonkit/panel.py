"""The base of every live panel: controls from a table, the result in words, then the picture.

A panel computes nothing. It hands what stands in its controls to `compute` (one public call or
two of `aerialstream`) and puts what `view` makes of the result on the page.
"""

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from html import escape
from types import SimpleNamespace

import ipywidgets as widgets

from aerialstream.charts.svg import figure_html, style_sheet
from aerialstream.department import load_department
from aerialstream.errors import AerialStreamError
from lessonkit import progress
from lessonkit.controls import fills
from lessonkit.page import style_html

NARROW = widgets.Layout(width="auto", align_self="flex-start")


@dataclass(frozen=True, kw_only=True)
class View:
    """What a panel shows.

    reading    the result in one to three sentences; it stands before the picture
    limit      what the department entered for this set-up, from `manual_limit_text`; "" for none
    pictures   Pictures of aerialstream.charts, one or two
    rows       (label, text) pairs: the numbers in the picture
    """

    reading: str
    limit: str = ""
    pictures: tuple = ()
    rows: tuple = ()


@dataclass(frozen=True)
class Task:
    """Something to find with the panel.

    words   what to find, such as "Turn the nozzle until half of the push is side load."
    met     (at, results) -> whether it is found
    """

    words: str
    met: Callable


class Panel:
    """Controls beside (or, on a narrow page, above) the result in words and its picture.

    Takes
      lesson, name   "03", "tip": where its tasks are kept
      controls       Number, Choice and Switch in the order they stand
      compute        at -> results; `at` has one attribute for each control (a quantity, a choice's
                     value, True or False), and `department` and `system`
      view           (at, results) -> View
      tasks          Task ones
      fit            at -> {name of a number: (lowest, highest)} for controls whose ends depend on
                     others, such as the ladder of the chosen device
      hidden         at -> names of controls that do not belong to this set-up
      department     a Department, or None for the one the environment names (else the demo)
    """

    def __init__(self, lesson, name, *, controls, compute, view, tasks=(), fit=None, hidden=None, department=None):  # fmt: skip
        self.lesson, self.name, self.tasks = lesson, name, tuple(tasks)
        self.department = department or load_department()
        self.system = self.department.units
        self._compute, self._view, self._fit, self._hidden = compute, view, fit, hidden
        self.controls = {spec.name: spec.control(self.system) for spec in controls}
        self._met = {n for n in range(len(self.tasks)) if self._kept(n)}
        self._updating = False
        self.results = self.view = None
        self._make_page()
        for control in self.controls.values():
            control.on_change(self.update)
        self.update()

    # --- the page -----------------------------------------------------------------------------

    def _make_page(self):
        style = widgets.HTML(f"{style_html()}<style>{style_sheet()}</style>")
        style.layout.display = "none"  # put out once; what a slider swaps is words and picture
        self.words, self.picture = widgets.HTML(), widgets.HTML()
        self.words.add_class("as-words")
        self.picture.add_class("as-picture")
        self.list = widgets.HTML()
        self.list.add_class("as-tasks")
        self.more = widgets.ToggleButton(description="The numbers in this picture", layout=NARROW)
        self.more.observe(lambda change: self._show_table(), names="value")
        self.table = widgets.HTML()
        self.reset_button = widgets.Button(
            description="Reset the controls", icon="undo", layout=NARROW
        )
        self.reset_button.on_click(lambda button: self.reset())
        controls = widgets.VBox(
            [self.list, *(c.widget for c in self.controls.values()), self.reset_button]
        )
        controls.add_class("as-controls")
        result = widgets.VBox(
            [self.words, self.picture, self.more, self.table, *self._set_up_tools()]
        )
        result.add_class("as-result-side")
        self.widget = widgets.Box([style, controls, result])
        self.widget.add_class("as-panel")
        self._show_tasks()

    def _set_up_tools(self):
        """The text that stands for a set-up: copied here, pasted elsewhere."""
        self.copy_button = widgets.Button(
            description="Copy this set-up", icon="copy", layout=NARROW
        )
        self.copy_button.on_click(lambda button: self._copy())
        self.copy_button.add_class("as-copy")
        self.set_up_box = widgets.Text(
            placeholder="or paste one here, then Enter",
            tooltip="A set-up as text: copied from here, or pasted to bring it back",
            continuous_update=False,
            layout=fills(),
        )
        self.set_up_box.observe(lambda change: self._pasted(change["new"]), names="value")
        self.set_up_box.add_class("as-set-up")
        self.set_up_said = widgets.HTML()
        return [self.copy_button, self.set_up_box, self.set_up_said]

    # --- what stands in the controls ----------------------------------------------------------

    @property
    def at(self):
        """What the controls stand for, as `compute` takes it."""
        given = {name: control.given for name, control in self.controls.items()}
        return SimpleNamespace(department=self.department, system=self.system, **given)

    def set(self, **values):
        """Put several controls at once, as if by hand: numbers in the unit shown, choices by value."""
        self._updating = True
        with self._held():
            for name, value in values.items():
                self.controls[name].set(value)
                self._keep_ends()
        self._updating = False
        self.update()

    def _held(self):
        held = ExitStack()
        for control in self.controls.values():
            held.enter_context(control.held())
        return held

    def reset(self):
        """Back to where everything stood at first."""
        self._updating = True
        # Twice: a number waits for the device that gives it its ends.
        with self._held():
            for _ in range(2):
                for control in self.controls.values():
                    control.reset()
                self._keep_ends()
        self._updating = False
        self.update()

    @property
    def set_up(self):
        """This set-up as text; it brings the values back where it is pasted."""
        hidden = self._hidden(self.at) if self._hidden else ()
        parts = [f"{n} {c.said()}" for n, c in self.controls.items() if n not in hidden]
        return "; ".join([self.name, *parts])

    def restore(self, text):
        """Bring back a set-up from its text; gives what could not be read, one sentence each."""
        name, *parts = [part.strip() for part in text.split(";")]
        if name.casefold() != self.name:
            return [f"This is no set-up of this panel: it must begin with “{self.name};”."]
        values, faults = {}, []
        for part in filter(None, parts):
            which, _, said = part.partition(" ")
            if which not in self.controls:
                faults.append(f"There is no control called “{which}”.")
                continue
            try:
                values[which] = self.controls[which].read(said.strip())
            except ValueError as error:
                faults.append(f"{error}.")
        if not faults:
            self.set(**values)
        return faults

    def _copy(self):
        self._say_set_up("Copied. Give it to somebody, or keep it: pasted here it comes back.")
        self._updating = True
        self.set_up_box.value = self.set_up
        self._updating = False

    def _pasted(self, text):
        if self._updating or not text.strip() or text == self.set_up:
            return
        faults = self.restore(text)
        self._say_set_up(" ".join(faults) or "The set-up is back.")

    def _clear_set_up(self):
        """Empty the box once the controls have moved on, so that the same text can be pasted again."""
        if self.set_up_box.value and self.set_up_box.value != self.set_up:
            self.set_up_box.value = self.set_up_said.value = ""

    def _say_set_up(self, words):
        self.set_up_said.value = f"<p class='as-small' role='status'>{escape(words)}</p>"

    # --- from controls to page ----------------------------------------------------------------

    def _keep_ends(self):
        if self._fit:
            for name, ends in self._fit(self.at).items():
                control = self.controls[name]
                if (control.slider.min, control.slider.max) != tuple(ends):
                    control.set_range(*ends)

    def update(self):
        """Compute and show; called by every control."""
        if self._updating:
            return
        self._updating = True
        self._keep_ends()
        self._updating = False
        at = self.at
        if self._hidden:
            hidden = self._hidden(at)
            for name, control in self.controls.items():
                control.show(name not in hidden)
        try:
            self.results = self._compute(at)
            self.view = self._view(at, self.results)
        except AerialStreamError as error:
            # A set-up that cannot be is told in words; the controls stay in hand.
            self.results, self.view = None, View(reading=str(error))
        # The picture leaves first: it is what a hand on the slider waits for.
        self.picture.value = "".join(
            f"<figure class='as-figure'>{p.svg(styled=False)}</figure>" for p in self.view.pictures
        )
        self.words.value = self._words_html(self.view)
        self._show_table()
        self._clear_set_up()
        self._tick(at)

    @staticmethod
    def _words_html(view):
        beyond = " beyond" if view.limit.startswith("BEYOND") else ""
        limit = f"<p class='as-limit{beyond}'>{escape(view.limit)}</p>" if view.limit else ""
        return f"<p class='as-reading'>{escape(view.reading)}</p>{limit}"

    def _show_table(self):
        rows = self.view.rows if self.view and self.more.value else ()
        body = "".join(
            f"<tr><th scope='row'>{escape(label)}</th><td>{escape(text)}</td></tr>"
            for label, text in rows
        )
        html = f"<table class='as-table'>{body}</table>" if body else ""
        if self.table.value != html:
            self.table.value = html

    # --- tasks --------------------------------------------------------------------------------

    def _kept(self, number):
        return f"{self.name}/{number}" in progress.entries(self.lesson, "tasks")

    def _tick(self, at):
        """Mark what is found; what was found once stays found."""
        if self.results is None:
            return
        found = [
            n
            for n, task in enumerate(self.tasks)
            if n not in self._met and task.met(at, self.results)
        ]
        for number in found:
            self._met.add(number)
            progress.note(self.lesson, "tasks", f"{self.name}/{number}", {"set_up": self.set_up})
        if found:
            self._show_tasks()

    def _show_tasks(self):
        if not self.tasks:
            self.list.layout.display = "none"
            return
        items = "".join(
            f"<li><span class='as-mark' aria-label='{'found' if n in self._met else 'to find'}'>"
            f"{'✓' if n in self._met else '○'}</span> {escape(task.words)}</li>"
            for n, task in enumerate(self.tasks)
        )
        self.list.value = f"<p><strong>Find it</strong></p><ul>{items}</ul>"

    # --- without a kernel ---------------------------------------------------------------------

    def handout_html(self):
        """The panel at its start, for paper: words, picture, numbers, tasks."""
        pictures = "".join(
            figure_html(picture, self.view.rows if n == 0 else ())
            for n, picture in enumerate(self.view.pictures)
        ).replace("<details>", "<details open>")
        tasks = "".join(f"<li>{escape(task.words)}</li>" for task in self.tasks)
        tasks = f"<p>Where the lesson is on a screen, find:</p><ul>{tasks}</ul>" if tasks else ""
        return f"{self._words_html(self.view)}{pictures}{tasks}"

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)
