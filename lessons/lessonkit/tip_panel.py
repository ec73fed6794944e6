"""The panel of lesson 03: what the nozzle's reaction does at the tip of the ladder."""

from html import escape
from math import ceil, floor

import ipywidgets as widgets

from aerialstream.charts.svg import figure_html, style_sheet
from aerialstream.charts.tip_plan import describe, nice_full_scale, tip_plan
from aerialstream.department import load_department, manual_limit_text
from aerialstream.nozzles import (
    fog_reaction,
    half_the_gallonage,
    smooth_bore_discharge,
    smooth_bore_reaction,
)
from aerialstream.reaction import reaction_at_tip
from aerialstream.units import quantity, show
from lessonkit.controls import ChoiceControl, NumberControl
from lessonkit.page import style_html

SMOOTH_BORE, FOG = "smooth bore", "fog"
TIPS = ("1 1/4", "1 3/8", "1 1/2", "1 5/8", "1 3/4", "1 7/8", "2")
# What a control is measured in: (unit for the calculation, label, lowest, highest, step, start)
RANGES = {
    "US": {
        "pressure": ("psi", "psi", 40, 150, 1, 80),
        "flow": ("gpm", "gpm", 250, 2000, 10, 1000),
        "length": ("foot", "ft", None, None, 1, None),
    },
    "metric": {
        "pressure": ("kilopascal", "kPa", 280, 1030, 5, 550),
        "flow": ("lpm", "L/min", 900, 7600, 20, 3800),
        "length": ("meter", "m", None, None, 0.5, None),
    },
}


class TipPanel:
    """Controls on top, then the result in words, then the picture; one HTML piece is swapped.

    Takes
      department   a Department, or None for the one the environment names (else the demo)
    """

    def __init__(self, department=None):
        self.department = department or load_department()
        self.system = self.department.units
        self._ranges = RANGES[self.system]
        devices = [(d.name, d.id) for d in self.department.apparatus]
        self.device = ChoiceControl("Device", devices, devices[0][1])
        self.kind = ChoiceControl(
            "Nozzle", [("Smooth bore", SMOOTH_BORE), ("Fog, straight stream", FOG)], SMOOTH_BORE
        )
        self.tip = ChoiceControl("Tip", [(f"{t} in", t) for t in TIPS], "1 3/4")
        self.pressure = self._number("Nozzle pressure", "pressure")
        self.flow = self._number("Gallonage (flow)", "flow")
        self.rotation = NumberControl("Nozzle off the line (deg, + left)", -60, 60, 1, 0)
        self.extension = self._length_control()
        self.reset = widgets.Button(
            description="Reset the controls", icon="undo", layout=widgets.Layout(width="auto")
        )
        self.reset.on_click(lambda button: self._reset())
        self.output = widgets.HTML()
        self._updating = False
        self._controls = (
            self.device, self.kind, self.tip, self.pressure, self.flow, self.rotation,
            self.extension,
        )  # fmt: skip
        self.device.on_change(self._device_changed)
        for control in self._controls[1:]:
            control.on_change(self.update)
        self._start = {c: c.value for c in self._controls[1:]}
        # Beside each other where there is room, else controls first: see the style sheet.
        controls = widgets.VBox([*(c.widget for c in self._controls), self.reset])
        controls.add_class("as-controls")
        self.output.add_class("as-result-side")
        # The style is put out once; what a slider swaps is the reading and the picture alone.
        style = widgets.HTML(f"{style_html()}<style>{style_sheet()}</style>")
        style.layout.display = "none"
        self.widget = widgets.Box([style, controls, self.output])
        self.widget.add_class("as-panel")
        self._device_changed()

    def _number(self, words, what):
        _, label, low, high, step, start = self._ranges[what]
        return NumberControl(f"{words} ({label})", low, high, step, start)

    def _length_control(self):
        unit, label, _, _, step, _ = self._ranges["length"]
        most = max(d.extension.most for d in self.department.apparatus).to(unit).magnitude
        return NumberControl(f"Ladder, base to nozzle ({label})", step, most, step, step)

    def _device_changed(self):
        device = self.department.device(self.device.value)
        unit = self._ranges["length"][0]
        least, most = (
            end.to(unit).magnitude for end in (device.extension.least, device.extension.most)
        )
        # Rounded inward: the control never goes beyond what the device has.
        ends = [ceil(least * 10) / 10, floor(most * 10) / 10]
        travel = device.nozzle_travel
        self._updating = True
        self.extension.set_range(*ends)
        self.rotation.set_range(-travel.right.magnitude, travel.left.magnitude)
        if self.extension.value == ends[0]:
            self.extension.slider.value = ends[1]
            self._start[self.extension] = ends[1]
        self._updating = False
        self.update()

    def _reset(self):
        self._updating = True
        for control, value in self._start.items():
            part = control.slider if isinstance(control, NumberControl) else control.list
            part.value = value
        self._updating = False
        self._device_changed()

    def results(self):
        """What the controls stand for: (flow, reaction Result, TipReaction)."""
        pressure = quantity(self.pressure.value, self._ranges["pressure"][0])
        if self.kind.value == SMOOTH_BORE:
            tip = f"{self.tip.value} in"
            flow = smooth_bore_discharge(tip, nozzle_pressure=pressure).value
            reaction = smooth_bore_reaction(tip, nozzle_pressure=pressure)
        else:
            flow = quantity(self.flow.value, self._ranges["flow"][0])
            reaction = fog_reaction(flow, nozzle_pressure=pressure)
        split = reaction_at_tip(
            reaction.value,
            rotation=quantity(self.rotation.value, "degree"),
            extension=quantity(self.extension.value, self._ranges["length"][0]),
        )
        return flow, reaction, split

    def update(self):
        """Compute and show; the whole output is one value of one HTML widget."""
        if self._updating:
            return
        smooth = self.kind.value == SMOOTH_BORE
        self.tip.show(smooth)
        self.flow.show(not smooth)
        self.output.value = self._html(*self.results())

    def _html(self, flow, reaction, split):
        device = self.department.device(self.device.value)
        limit = manual_limit_text(
            device,
            flow=flow,
            extension=split.extension,
            rotation=split.rotation,
            system=self.system,
        )
        beyond = " beyond" if limit.startswith("BEYOND") else ""
        rule = half_the_gallonage(flow)
        picture = tip_plan(
            split,
            longest=max(d.extension.most for d in self.department.apparatus),
            full_scale=nice_full_scale(reaction.value.magnitude),
            system=self.system,
        )
        reading = (
            f"Flow {show(flow, self.system)}. {describe(split, self.system)} "
            f"Half the gallonage would say {show(rule.value, self.system)}."
        )
        rows = (("Flow", show(flow, self.system)), *split.lines(self.system))
        return (
            f"<p class='as-reading'>{escape(reading)}</p>"
            f"<p class='as-limit{beyond}'>{escape(limit)}</p>{figure_html(picture, rows, styled=False)}"
        )

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.widget._repr_mimebundle_(include=include, exclude=exclude)


def tip_panel(department=None):
    """The panel, for a lesson's cell."""
    return TipPanel(department)
