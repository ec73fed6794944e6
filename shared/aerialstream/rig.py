"""Between inlet and nozzle of an aerial: pressure for height, and the losses on the rig.

Losses are the department's own, from its own tests. Where it has entered none, none is made up:
printed allowances disagree by a factor of five.
"""

from dataclasses import dataclass
from math import radians, sin
from typing import Any

from aerialstream._checks import entry
from aerialstream._core import elevation as core
from aerialstream.constants import (
    ELEVATION_PRESSURE,
    FIELD_ELEVATION_PRESSURE,
    MASTER_STREAM_ALLOWANCES,
)
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import METRIC, both, worked

FLOW = Need("flow", "gpm", above=0)
HEIGHT = Need("length", "foot")


def _per_length(pen, constant):
    return pen.constant(constant.value, pressure=1, length=-1)


@dataclass(frozen=True, kw_only=True)
class ElevationPressure(Explained):
    """Pressure for a height: value by the weight of water, field_value by half a psi to the foot."""

    value: Any
    field_value: Any

    def lines(self, system="US"):
        """Both figures as (label, text) pairs."""
        rule = "half a psi to the foot"
        if system == "metric":
            rule = f"{_per_length(METRIC, FIELD_ELEVATION_PRESSURE)} kPa to the metre ({rule})"
        return (
            ("Pressure for height", show(self.value, system)),
            (f"Field figure, {rule}", show(self.field_value, system)),
        )

    def __str__(self):
        return show(self.value)

    def __repr__(self):
        return self.text()


@quantities(height=HEIGHT)
def elevation_pressure(height):
    """Pressure that height costs: 0.434 psi to the foot.

    The nozzle above the pump, not the roof. Below the pump it is a gain (minus). The field
    figure of half a psi to the foot stands beside it.

    Takes
      height             nozzle above (+) or below (-) the pump; any length unit; usual unit ft
    Gives
      ElevationPressure  value and field_value in psi; shown to 1 psi
    Holds for
      any height
    How close
      0.434 is 0.2 % above water at 60 °F; the field figure is 15 % high
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  infinite or not a number
    Sources
      handbook_elevation_pressure; practice_elevation_half_psi (common practice)
    Check value
      >>> print(elevation_pressure("100 ft"))
      43 psi
    """
    pressure = core.elevation_pressure_psi(height)
    field = FIELD_ELEVATION_PRESSURE.value * height
    return ElevationPressure(
        title="Pressure for height",
        value=quantity(pressure, "psi"),
        field_value=quantity(field, "psi"),
        steps=worked(
            lambda pen: (
                f"Pressure = {_per_length(pen, ELEVATION_PRESSURE)} × "
                f"{pen.of(height, 'length', digits=6)} = {pen.of(pressure, 'pressure')}",
                f"Field figure = {_per_length(pen, FIELD_ELEVATION_PRESSURE)} × "
                f"{pen.of(height, 'length', digits=6)} = {pen.of(field, 'pressure')}",
            )
        ),
        notes=(Note("estimate", "The field figure is common practice and 15 % above the weight."),),
        sources=(ELEVATION_PRESSURE.source, FIELD_ELEVATION_PRESSURE.source),
    )


@quantities(
    turntable_height=HEIGHT,
    extension=Need("length", "foot", above=0),
    elevation=Need("angle", "degree", at_least=-90, at_most=90),
    pump_height=HEIGHT,
)
def nozzle_height(turntable_height, *, extension, elevation, pump_height="0 ft"):
    """Height of the nozzle above the pump: turntable + L sin(elevation) - pump.

    For the pressure that height costs. The length of the ladder is not the height of its tip.

    Takes
      turntable_height  ladder's heel pin above the ground; any length unit; usual unit ft
      extension         heel pin to nozzle; any length unit; usual unit ft; symbol L
      elevation         ladder above level; any angle unit; usual unit deg
      pump_height       pump above (+) or below (-) the ground at the rig; usual unit ft
    Gives
      Result            height in ft; shown to 0.1 ft
    Holds for
      a straight ladder; a platform's nozzle sits off the ladder's line: see the manual
    How close
      exact geometry; the sag of the ladder is left out
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an extension that cannot be, or an elevation beyond 90 deg
    Sources
      first_principles_height
    Check value
      >>> print(nozzle_height("8 ft", extension="100 ft", elevation="30 deg"))
      58 ft
    """
    height = core.nozzle_height_ft(turntable_height, extension, elevation, pump_height)
    sine = round(sin(radians(elevation)), 9)

    def less_pump(pen):
        pump = pen.number(pump_height, "length", 6)
        return "" if not pump_height else f" - {pump}" if pump_height > 0 else f" - ({pump})"

    return Result(
        title="Height of the nozzle above the pump",
        value=quantity(height, "foot"),
        steps=worked(
            lambda pen: (
                f"The sine of {elevation:.4g} deg is {sine:.6g}",
                f"Height = {pen.number(turntable_height, 'length', 6)} + "
                f"{pen.number(extension, 'length', 6)} × {sine:.6g}{less_pump(pen)}"
                f" = {pen.of(height, 'length')}",
            )
        ),
        sources=("first_principles_height",),
    )


@quantities(loss=Need("pressure", "psi", at_least=0), at_flow=FLOW, flow=FLOW)
def scaled_loss(loss, *, at_flow, flow):
    """A loss at another flow than the one it was tested at: loss × (Q / Q_test)².

    For a waterway, an inlet, an appliance or a line that was tested at one flow.

    Takes
      loss     loss in the test; any pressure unit; usual unit psi
      at_flow  flow of the test; any flow unit; usual unit gpm
      flow     flow wanted; any flow unit; usual unit gpm
    Gives
      Result   loss in psi; shown to 1 psi
    Holds for
      turbulent flow, and the same valves open as in the test
    How close
      real losses go as about 1.85 to 2: far above the test's flow this reads a little high
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is negative or infinite, or a flow is zero
    Sources
      first_principles_square_law
    Check value
      >>> print(scaled_loss("100 psi", at_flow="1000 gpm", flow="1500 gpm"))
      225 psi
    """
    scaled = core.scaled_loss_psi(loss, at_flow, flow)
    ratio = flow / at_flow
    return Result(
        title="Loss",
        value=quantity(scaled, "psi"),
        steps=worked(
            lambda pen: (
                f"Flow against the test's: {pen.number(flow, 'flow', 6)} / "
                f"{pen.number(at_flow, 'flow', 6)} = {ratio:.6g}",
                f"Loss = {pen.number(loss, 'pressure', 6)} × {ratio:.6g} × {ratio:.6g}"
                f" = {pen.of(scaled, 'pressure')}",
            )
        ),
        sources=("first_principles_square_law",),
    )


@dataclass(frozen=True, kw_only=True)
class RigLoss(Explained):
    """A loss on the rig from the department's own test; value is None where none was entered."""

    value: Any

    def lines(self, system="US"):
        """The loss, or that it is local practice, as a (label, text) pair."""
        if self.value is None:
            return ((self.title, "not entered: local practice"),)
        return ((self.title, show(self.value, system)),)

    def __str__(self):
        return self.lines()[0][1]

    def __repr__(self):
        return self.text()


def _allowances(pen):
    return "; ".join(
        f"{pen.shown(a.psi, 'pressure')} for {a.what}" for a in MASTER_STREAM_ALLOWANCES
    )


def _rig_loss(title, what, entered, flow):
    """The department's own tested loss scaled to a flow, or none with what is printed about it."""
    if entered is None:
        text = both(
            lambda pen: (
                f"No flow test of the {what} was entered. Printed allowances disagree: "
                f"{_allowances(pen)}. None is used here: take local practice, or better flow-test "
                "it and enter the loss."
            )
        )
        return RigLoss(
            title=title,
            value=None,
            notes=(Note("caution", text),),
            sources=tuple(dict.fromkeys(a.source for a in MASTER_STREAM_ALLOWANCES)),
        )
    scaled = scaled_loss(entered.loss, at_flow=entered.at_flow, flow=quantity(flow, "gpm"))
    day = f"on {entered.tested}" if entered.tested else "on a day that was not entered"
    text = both(
        lambda pen: (
            f"From the department's own test {day}: {show(entered.loss, pen.system)} at "
            f"{show(entered.at_flow, pen.system)}."
        )
    )
    return RigLoss(
        title=title,
        value=scaled.value,
        steps=scaled.steps,
        notes=(Note("estimate", text),),
        sources=("department_flow_test", *scaled.sources),
    )


_DEVICE = {"apparatus": entry('device("tower-3")', "waterway", "inlet")}


@quantities(flow=FLOW, plain=_DEVICE)
def waterway_loss(apparatus, *, flow):
    """Loss in the waterway from inlet to nozzle, from the department's own test.

    Scaled from the tested flow by the square. Without a test no number is made up.

    Takes
      apparatus  an Apparatus of the department's data
      flow       flow wanted; any flow unit; usual unit gpm
    Gives
      RigLoss    value in psi, shown to 1 psi; None where no test was entered
    Holds for
      the extension and the valves of the test
    How close
      as close as the test; see `scaled_loss`
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      department_flow_test; first_principles_square_law; city_hydraulics_text;
      practice_allowances (common practice)
    Check value
      >>> from aerialstream import load_department
      >>> print(waterway_loss(load_department().device("tower-3"), flow="1500 gpm"))
      90 psi
    """
    return _rig_loss("Loss in the waterway", "waterway", apparatus.waterway, flow)


@quantities(flow=FLOW, plain=_DEVICE)
def inlet_loss(apparatus, *, flow):
    """Loss in the aerial's inlet, from the department's own test.

    Scaled from the tested flow by the square. Without a test no number is made up.

    Takes
      apparatus  an Apparatus of the department's data
      flow       flow wanted; any flow unit; usual unit gpm
    Gives
      RigLoss    value in psi, shown to 1 psi; None where no test was entered
    Holds for
      the inlet and the valves of the test
    How close
      as close as the test; see `scaled_loss`
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      department_flow_test; first_principles_square_law; city_hydraulics_text;
      practice_allowances (common practice)
    Check value
      >>> from aerialstream import load_department
      >>> print(inlet_loss(load_department().device("tower-3"), flow="2000 gpm"))
      40 psi
    """
    return _rig_loss("Loss in the inlet", "inlet", apparatus.inlet, flow)


elevation_pressure.plain = core.elevation_pressure_psi
nozzle_height.plain = core.nozzle_height_ft
scaled_loss.plain = core.scaled_loss_psi
