"""Predictions before a panel, and self-checks after it. Nothing here counts for the record.

What is asked stands in `lessonkit.content`, one module for each lesson, as kinds of
`lessonkit.kinds`. What is answered is kept as it happens (`lessonkit.progress`) and stands there
again when the lesson is opened the next time.
"""

from html import escape
from importlib import import_module

import ipywidgets as widgets

from lessonkit import progress
from lessonkit.page import style_html

BUTTON = widgets.Layout(width="auto", align_self="flex-start", padding="0 22px")
WRONG_TRIES = 2  # running, before it can be shown how a self-check is done
SHOW, HIDE = "Show how", "Hide how"


class OtherVersion:
    """Said in place of something that this version of the kit does not have."""

    words = (
        "This page was written for another version of the kit. Stop the lessons and start them "
        "again with “python3 lessons”: it brings both to the same version. Your work is kept."
    )

    def _repr_html_(self):
        return f"<p class='as-said'>{self.words}</p>{style_html()}"

    def __repr__(self):
        return self.words


def as_lines(words):
    """Words as HTML, a new line of the text on a new line of the page."""
    return "<br>".join(escape(line) for line in words.split("\n"))


def _as_points(words):
    """What is said to an answer: one line as it is, several as a list below the mark."""
    lines = words.split("\n")
    if len(lines) == 1:
        return escape(words)
    points = "".join(f"<li style='margin-top:6px'>{escape(line)}</li>" for line in lines)
    return f"<ul style='margin:0;padding-left:14px;list-style:none'>{points}</ul>"


def asked_in(lesson):
    """{name: what is asked} of a lesson."""
    return import_module(f"lessonkit.content.lesson_{lesson}").ASKED


def _content(lesson, name):
    try:
        return asked_in(lesson)[name]
    except (ModuleNotFoundError, KeyError):
        return None


class Asked:
    """A question on the page: where to answer, a button, and a line for what is said to it."""

    def __init__(self, kind, button):
        self.kind = kind
        self.field = kind.field()
        self.said = widgets.HTML()
        self.said.add_class("as-answer")
        self.button = widgets.Button(description=button, button_style="primary", layout=BUTTON)
        self.button.on_click(lambda pressed: self.press())
        self.widget = widgets.VBox(
            [widgets.HTML(f"{style_html()}<p>{as_lines(kind.words)}</p>"), self.field.widget, self.button, self.said],
            layout=widgets.Layout(max_width="760px"),
        )  # fmt: skip
        self.widget.add_class("as-ask")

    def say(self, html):
        """Show words below the button."""
        self.said.value = f"<div class='as-said'>{html}</div>"

    def handout_html(self):
        """The question on paper."""
        lines = "".join(f"<li>{escape(line)}</li>" for line in self.kind.on_paper)
        return f"<p><strong>{escape(self.kind.words)}</strong></p><ul class='plain'>{lines}</ul>"

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


class Prediction(Asked):
    """Keeps a guess; what is the case is told by `compare`."""

    def __init__(self, lesson, name, kind):
        super().__init__(kind, "Keep my prediction")
        self.lesson, self.name = lesson, name
        kept = progress.entries(lesson, "predictions").get(name)
        if kept:
            self.field.answer = kept["answer"]
            self._confirm()

    def press(self):
        """Keep what stands there."""
        answer = self.field.answer
        if answer is None:
            self.say("Answer first. A wrong guess helps as well.")
            return
        progress.note(self.lesson, "predictions", self.name, {"answer": answer})
        self._confirm()

    def _confirm(self):
        answer = self.field.answer
        if answer is not None:
            told = escape(self.kind.told(answer))
            self.say(f"Kept: {told}. You will compare it further down.")


class SelfCheck(Asked):
    """Judges an answer on the spot, with the reason.

    Whoever was wrong twice running can have it shown how it is done. Then it is asked anew, with
    other numbers where the kind has an `again`; a right answer to that counts like any other.
    """

    def __init__(self, lesson, name, kind):
        super().__init__(kind, "Check")
        self.lesson, self.name, self.asked = lesson, name, kind
        self.how_button = widgets.Button(
            description=SHOW, layout=widgets.Layout(width="auto", padding="0 22px", display="none")
        )
        self.how_button.on_click(lambda pressed: self.turn_how())
        self.how, self.anew = widgets.HTML(), widgets.HTML()
        self.how.add_class("as-how")
        self.place = widgets.VBox([self.field.widget])  # what is beside it stays: so does the focus
        buttons = widgets.HBox([self.button, self.how_button])
        self.widget.children = [
            self.widget.children[0], self.how, self.anew, self.place, buttons, self.said,
        ]  # fmt: skip
        kept = progress.entries(lesson, "checks").get(name, {})
        if kept.get("shown"):
            self._ask_anew()
            self._open(True)
        self._offer(kept)
        if kept.get("answer") is not None:
            self.field.answer = kept["answer"]
            self._tell()

    def press(self):
        """Judge what stands there, say why, and keep it."""
        said = self._tell()
        if said.right is not None:
            progress.note_check(self.lesson, self.name, self.field.answer, bool(said.right))
            self._offer(progress.entries(self.lesson, "checks").get(self.name, {}))

    def turn_how(self):
        """Show how it is done and ask anew; pressed again, put the steps away or back."""
        if self.anew.value:
            self._open(not self.how.value)
            return
        progress.note_shown(self.lesson, self.name)
        self._ask_anew()
        self.said.value = ""
        self._open(True)

    def _offer(self, kept):
        offered = kept.get("shown") or progress.wrong_running(kept) >= WRONG_TRIES
        self.how_button.layout.display = None if offered else "none"

    def _open(self, shown):
        told = f"<strong>How it is done.</strong> {_as_points(self.kind.solution)}"
        self.how.value = f"<div class='as-said'>{told}</div>" if shown else ""
        self.how_button.description = HIDE if shown else SHOW

    def _ask_anew(self):
        again = getattr(self.kind, "again", None)
        words = f"Now with other numbers. {again.words}" if again else "Now answer it yourself."
        self.asked = again or self.kind
        self.field = self.asked.field()
        self.place.children = [self.field.widget]
        self.anew.value = f"<p><strong>{as_lines(words)}</strong></p>"

    def _tell(self):
        said = self.asked.judge(self.field.answer)
        mark = {True: "✓ Right.", False: "• Not yet.", None: ""}[said.right]
        self.say(f"<strong>{mark}</strong> {_as_points(said.words)}")
        return said


class Comparison:
    """Sets the kept prediction beside what is the case."""

    def __init__(self, lesson, name, kind):
        self.lesson, self.name, self.kind = lesson, name, kind
        self.button = widgets.Button(
            description="Compare with my prediction", button_style="primary", layout=BUTTON
        )
        self.said = widgets.HTML(style_html())
        self.said.add_class("as-answer")
        self.button.on_click(lambda pressed: self.press())
        self.widget = widgets.VBox(
            [self.button, self.said], layout=widgets.Layout(max_width="760px")
        )
        self.widget.add_class("as-ask")

    def press(self):
        """Say both."""
        kept = progress.entries(self.lesson, "predictions").get(self.name)
        words = (
            "No prediction kept yet: make one above, it is worth the minute."
            if kept is None
            else self._both(kept["answer"])
        )
        self.said.value = f"{style_html()}<div class='as-said'>{escape(words)}</div>"

    def _both(self, answer):
        try:
            said = self.kind.judge(answer)
            both = f"You predicted {self.kind.told(answer)}. {said.words}"
        except Exception:  # kept by an older version of the lesson
            return "The lesson has changed since you kept a prediction: keep a new one above."
        return both if said.right else f"{both} It is {self.kind.solution}"

    def handout_html(self):
        """Nothing on paper: what is the case stands with the answers."""
        return ""

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


def predict(lesson, name):
    """Ask for a prediction and keep it; `compare` takes it up after the panel."""
    kind = _content(lesson, name)
    return OtherVersion() if kind is None else Prediction(lesson, name, kind)


def compare(lesson, name):
    """Set the kept prediction beside what is the case."""
    kind = _content(lesson, name)
    return OtherVersion() if kind is None else Comparison(lesson, name, kind)


def self_check(lesson, name):
    """A question whose answer is judged on the spot, with the reason. Not for the record."""
    kind = _content(lesson, name)
    return OtherVersion() if kind is None else SelfCheck(lesson, name, kind)
