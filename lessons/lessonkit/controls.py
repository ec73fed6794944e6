"""Controls of a panel: a slider with a number box beside it, and a choice from a list."""

import ipywidgets as widgets

ROW = widgets.Layout(align_items="center", width="100%")


def _labelled(label, control):
    """A control under its label."""
    return widgets.VBox([widgets.Label(label), control], layout=widgets.Layout(width="100%"))


class NumberControl:
    """A labelled slider and a number box that stay equal; `widget` goes on the page.

    Takes
      label   what it sets, with its unit, such as "Nozzle pressure (psi)"
      low, high, step, value   in that unit
    """

    def __init__(self, label, low, high, step, value):
        self.slider = widgets.FloatSlider(
            value=value,
            min=low,
            max=high,
            step=step,
            readout=False,
            continuous_update=True,
            tooltip=label,
            layout=widgets.Layout(flex="1 1 180px", min_width="140px"),
        )
        self.box = widgets.BoundedFloatText(
            value=value,
            min=low,
            max=high,
            step=step,
            tooltip=label,
            layout=widgets.Layout(width="92px"),
        )
        widgets.link((self.slider, "value"), (self.box, "value"))
        self.widget = _labelled(label, widgets.HBox([self.slider, self.box], layout=ROW))

    @property
    def value(self):
        """The number that stands there."""
        return self.slider.value

    def set_range(self, low, high):
        """New ends; a value outside them moves to the nearer end."""
        value = min(max(self.slider.value, low), high)
        for part in (self.slider, self.box):
            # Widen first: a trait with min above max is refused.
            part.min, part.max = min(part.min, low), max(part.max, high)
            part.value = value
            part.min, part.max = low, high

    def show(self, visible):
        """Show or hide the whole row."""
        self.widget.layout.display = "" if visible else "none"

    def on_change(self, call):
        """Call with no arguments whenever the number changes."""
        self.slider.observe(lambda change: call(), names="value")


class ChoiceControl:
    """A labelled list to choose from; options are (words, value) pairs."""

    def __init__(self, label, options, value):
        self.list = widgets.Dropdown(
            options=options, value=value, tooltip=label, layout=widgets.Layout(width="100%")
        )
        self.widget = _labelled(label, self.list)

    @property
    def value(self):
        """The chosen value."""
        return self.list.value

    def show(self, visible):
        """Show or hide the whole row."""
        self.widget.layout.display = "" if visible else "none"

    def on_change(self, call):
        """Call with no arguments whenever the choice changes."""
        self.list.observe(lambda change: call(), names="value")
