"""Predictions before a panel, and self-checks after it. Nothing here counts for the record.

What is asked stands in `lessonkit.content`, one module for each lesson; its numbers are
computed by `aerialstream` when the module is read.
"""

from dataclasses import dataclass
from html import escape
from importlib import import_module

import ipywidgets as widgets

from lessonkit.page import style_html

BUTTON = widgets.Layout(width="auto", align_self="flex-start", padding="0 22px")
_KEPT = {}  # (lesson, name) -> the option a learner kept


@dataclass(frozen=True)
class Option:
    """One answer to choose, with the reason why it is right or not."""

    words: str
    reason: str
    right: bool = False


@dataclass(frozen=True)
class Choice:
    """A question with options. As a prediction its reasons show only in `compare`."""

    words: str
    options: tuple


@dataclass(frozen=True)
class Number:
    """A question with a number and unit for an answer, judged like those of the assignment.

    question   a gradekit Question; row is the row of numbers it is asked with
    """

    words: str
    question: object
    row: dict


def _content(lesson, name):
    asked = import_module(f"lessonkit.content.lesson_{lesson}").ASKED
    return asked[name]


class Asked:
    """A question on the page: widgets, and a line below for what is said to the answer."""

    def __init__(self, words, answer, button, call):
        self.answer = answer
        self.said = widgets.HTML(style_html())
        self.button = widgets.Button(description=button, button_style="primary", layout=BUTTON)
        self.button.on_click(lambda pressed: call())
        self.widget = widgets.VBox(
            [widgets.HTML(f"<p>{escape(words)}</p>"), answer, self.button, self.said],
            layout=widgets.Layout(max_width="760px"),
        )
        self.widget.add_class("as-ask")

    def say(self, html):
        """Show words below the button."""
        self.said.value = f"{style_html()}{html}"

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


def _radio(choice):
    return widgets.RadioButtons(
        options=[(option.words, i) for i, option in enumerate(choice.options)],
        value=None,
        layout=widgets.Layout(width="100%"),
    )


def predict(lesson, name):
    """Ask for a prediction and keep it; `compare` takes it up after the panel."""
    choice = _content(lesson, name)
    radio = _radio(choice)

    def keep():
        if radio.value is None:
            asked.say("<p class='as-said'>Choose one first. A wrong guess helps as well.</p>")
            return
        _KEPT[lesson, name] = radio.value
        words = escape(choice.options[radio.value].words)
        asked.say(f"<p class='as-said'>Kept: “{words}”. You will compare it further down.</p>")

    asked = Asked(choice.words, radio, "Keep my prediction", keep)
    return asked


def compare(lesson, name):
    """Set the kept prediction beside what is the case."""
    choice = _content(lesson, name)
    right = next(option for option in choice.options if option.right)
    button = widgets.Button(
        description="Compare with my prediction",
        button_style="primary",
        layout=BUTTON,
    )
    said = widgets.HTML(style_html())

    def show(pressed):
        kept = _KEPT.get((lesson, name))
        if kept is None:
            said.value = (
                f"{style_html()}<p class='as-said'>No prediction kept yet: make one above, it is "
                "worth the minute.</p>"
            )
            return
        mine = choice.options[kept]
        both = f"You predicted “{escape(mine.words)}”. {escape(mine.reason)}"
        if not mine.right:
            both += f" It is “{escape(right.words)}”: {escape(right.reason)}"
        said.value = f"{style_html()}<p class='as-said'>{both}</p>"

    button.on_click(show)
    box = widgets.VBox([button, said], layout=widgets.Layout(max_width="760px"))
    box.add_class("as-ask")
    return box


def self_check(lesson, name):
    """A question whose answer is judged on the spot, with the reason. Not for the record."""
    asked_for = _content(lesson, name)
    if isinstance(asked_for, Choice):
        return _check_choice(asked_for)
    return _check_number(asked_for)


def _check_choice(choice):
    radio = _radio(choice)

    def judge():
        if radio.value is None:
            asked.say("<p class='as-said'>Choose one first.</p>")
            return
        option = choice.options[radio.value]
        word = "✓ Right." if option.right else "• Not yet."
        asked.say(f"<p class='as-said'><strong>{word}</strong> {escape(option.reason)}</p>")

    asked = Asked(choice.words, radio, "Check", judge)
    return asked


def _check_number(number):
    from aerialstream.quantity_text import EXAMPLES

    box = widgets.Text(
        placeholder=f"such as {EXAMPLES[number.question.kind]}",
        layout=widgets.Layout(width="220px"),
    )

    def judge():
        outcome = number.question.judge(number.row, box.value)
        word = "✓ Right." if outcome.right else "• Not yet."
        asked.say(f"<p class='as-said'><strong>{word}</strong> {escape(outcome.message)}</p>")

    asked = Asked(number.words, box, "Check", judge)
    return asked
