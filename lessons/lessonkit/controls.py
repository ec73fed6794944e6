"""Controls of a panel: number (slider and box), choice from a list, on/off; each under its label."""

from contextlib import ExitStack
from dataclasses import dataclass

import ipywidgets as widgets

from aerialstream.units import quantity

ROW = widgets.Layout(align_items="center", width="100%")


def fills():
    """A layout of its own that fills the width there is; a shared one would hide all at once."""
    return widgets.Layout(width="auto")


# As a control shows it -> the unit as the registry knows it; "" is a plain number.
UNITS = {
    "psi": "psi", "kPa": "kilopascal", "gpm": "gpm", "L/min": "lpm", "ft": "foot", "m": "meter",
    "in": "inch", "mm": "millimeter", "deg": "degree", "mph": "mile/hour", "km/h": "kilometer/hour",
    "m/s": "meter/second", "%": "percent", "min": "minute", "lbf": "lbf", "N": "newton",
}  # fmt: skip


@dataclass(frozen=True)
class Scale:
    """How a number control counts: unit as shown, ends, step, where it stands at first."""

    unit: str
    low: float
    high: float
    step: float
    start: float


@dataclass(frozen=True)
class Number:
    """A number to be set by slider or box.

    name     how `compute` and `view` know it; also in the text of a set-up
    words    its label without the unit, such as "Nozzle pressure"
    us       Scale for a department that works in US units
    metric   Scale for one that works in metric; None: the same
    """

    name: str
    words: str
    us: Scale
    metric: Scale | None = None

    def control(self, system):
        """The control for a unit system."""
        scale = self.metric if system == "metric" and self.metric else self.us
        return NumberControl(self.name, self.words, scale)


@dataclass(frozen=True)
class Choice:
    """One of a list; options are (words, value) pairs, start a value (None: the first)."""

    name: str
    words: str
    options: tuple
    start: object = None

    def control(self, system):
        """The control."""
        return ChoiceControl(self.name, self.words, self.options, self.start)


@dataclass(frozen=True)
class Switch:
    """On or off."""

    name: str
    words: str
    start: bool = False

    def control(self, system):
        """The control."""
        return SwitchControl(self.name, self.words, self.start)


def _labelled(label, control):
    """A control under its label; the words are on the control too, for those who listen."""
    box = widgets.VBox([widgets.Label(label), control], layout=fills())
    box.add_class("as-control")
    return box


class Control:
    """What every control has: name, words, value, set, on_change, show, reset, said, read."""

    def __init__(self, name, words, source, widget, start):
        self.name, self.words, self._source = name, words, source
        self.widget, self.start = widget, start
        self.parts = (source,)

    def held(self):
        """While this is open nothing goes to the page; then ends and value go as one message.

        One by one, the slider on the page would answer new ends with the value it had before.
        """
        held = ExitStack()
        for part in self.parts:
            held.enter_context(part.hold_sync())
        return held

    @property
    def value(self):
        """What stands there."""
        return self._source.value

    def set(self, value):
        """Put a value there."""
        self._source.value = value

    def reset(self):
        """Back to where it stood at first."""
        self.set(self.start)

    def show(self, visible):
        """Show or hide the whole row."""
        display = None if visible else "none"
        if self.widget.layout.display != display:
            self.widget.layout.display = display

    def on_change(self, call):
        """Call with no arguments whenever the value changes."""
        self._source.observe(lambda change: call(), names="value")


class NumberControl(Control):
    """A labelled slider and a number box that stay equal."""

    def __init__(self, name, words, scale):
        self.scale, self.unit = scale, UNITS.get(scale.unit, "")
        self.label = f"{words} ({scale.unit})" if scale.unit else words
        ends = {"min": scale.low, "max": scale.high, "step": scale.step, "value": scale.start}
        self.slider = widgets.FloatSlider(
            **ends,
            readout=False,
            continuous_update=True,
            tooltip=self.label,
            layout=widgets.Layout(flex="1 1 180px", min_width="140px"),
        )
        self.box = widgets.BoundedFloatText(
            **ends, tooltip=self.label, layout=widgets.Layout(width="92px")
        )
        # The slider on the page gives back 7.9999999 for 8; the box shows what was meant.
        meant = (lambda value: round(value, 6), lambda value: value)
        self._alike = widgets.link((self.slider, "value"), (self.box, "value"), transform=meant)
        both = widgets.HBox([self.slider, self.box], layout=ROW)
        super().__init__(name, words, self.slider, _labelled(self.label, both), scale.start)
        self.parts = (self.slider, self.box)

    def on_change(self, call):
        """Call with no arguments whenever the value changes; the box follows after that.

        The picture a call draws so leaves for the page before the number does.
        """
        self._alike.unlink()
        super().on_change(call)
        self._alike.link()

    @property
    def given(self):
        """The value with its unit, as a public call takes it."""
        value = round(self.value, 6)
        return quantity(value, self.unit) if self.unit else value

    def set(self, value):
        """Put a number there; one beyond the ends goes to the nearer end."""
        self.slider.value = min(max(float(value), self.slider.min), self.slider.max)

    def set_range(self, low, high):
        """New ends; a value outside them moves to the nearer end."""
        value = min(max(self.slider.value, low), high)
        with self.held():
            for part in self.parts:
                # Widen first: a trait with min above max is refused.
                part.min, part.max = min(part.min, low), max(part.max, high)
                part.value = value
                part.min, part.max = low, high

    def said(self):
        """The value as the text of a set-up says it."""
        return f"{self.value:g} {self.scale.unit}".strip()

    def read(self, text):
        """Take a value from the text of a set-up; ValueError says what is wrong with it."""
        try:
            number = float(text)
        except ValueError:
            try:
                number = quantity(text).to(self.unit).magnitude
            except Exception:
                raise ValueError(
                    f"{self.words}: “{text}” is no number in {self.scale.unit}"
                ) from None
        return number


class ChoiceControl(Control):
    """A labelled list to choose from."""

    def __init__(self, name, words, options, start=None):
        options = tuple(options)
        start = options[0][1] if start is None else start
        self.options = options
        self.list = widgets.Dropdown(options=options, value=start, tooltip=words, layout=fills())
        super().__init__(name, words, self.list, _labelled(words, self.list), start)

    @property
    def given(self):
        """The chosen value."""
        return self.value

    def said(self):
        """The words of the chosen value."""
        return next(words for words, value in self.options if value == self.value)

    def read(self, text):
        """Take a value from the text of a set-up; ValueError says what is wrong with it."""
        for words, value in self.options:
            if text.casefold() in (words.casefold(), str(value).casefold()):
                return value
        raise ValueError(f"{self.words}: there is no “{text}” here")


class SwitchControl(Control):
    """A box to tick."""

    def __init__(self, name, words, start=False):
        self.box = widgets.Checkbox(
            value=start, description=words, indent=False, tooltip=words, layout=fills()
        )
        row = widgets.VBox([self.box], layout=fills())
        row.add_class("as-control")
        super().__init__(name, words, self.box, row, start)

    @property
    def given(self):
        """Whether it is ticked."""
        return self.value

    def said(self):
        """On or off."""
        return "on" if self.value else "off"

    def read(self, text):
        """Take a value from the text of a set-up; ValueError says what is wrong with it."""
        if text.casefold() not in ("on", "off"):
            raise ValueError(f"{self.words}: “{text}” is neither on nor off")
        return text.casefold() == "on"
