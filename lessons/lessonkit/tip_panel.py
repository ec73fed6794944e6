"""The panel of lesson 03: what the nozzle's reaction does at the tip of the ladder."""

from math import ceil, floor

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
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

SMOOTH_BORE, FOG = "smooth bore", "fog"
HARD = quantity(400, "lbf")  # what the third task calls for
TIPS = ("1 1/4", "1 3/8", "1 1/2", "1 5/8", "1 3/4", "1 7/8", "2")


def _controls(department):
    longest = max(d.extension.most for d in department.apparatus)
    feet, meters = (floor(longest.to(unit).magnitude * 10) / 10 for unit in ("foot", "meter"))
    return (
        Choice("device", "Device", [(d.name, d.id) for d in department.apparatus]),
        Choice("kind", "Nozzle", [("Smooth bore", SMOOTH_BORE), ("Fog, straight stream", FOG)]),
        Choice("tip", "Tip", [(f"{t} in", t) for t in TIPS], "1 3/4"),
        Number(
            "pressure",
            "Nozzle pressure",
            Scale("psi", 40, 150, 1, 80),
            Scale("kPa", 280, 1030, 5, 550),
        ),
        Number(
            "flow",
            "Flow, or gallonage",
            Scale("gpm", 250, 2000, 10, 1000),
            Scale("L/min", 900, 7600, 20, 3800),
        ),
        Number("rotation", "Nozzle off the line, + left", Scale("deg", -60, 60, 1, 0)),
        Number(
            "extension",
            "Ladder, base to nozzle",
            Scale("ft", 1, feet, 1, feet),
            Scale("m", 0.5, meters, 0.5, meters),
        ),
    )


def _fit(at):
    """The device's own extension and nozzle travel bound the controls."""
    device = at.department.device(at.device)
    unit = "meter" if at.system == "metric" else "foot"
    # Rounded inward: the control never goes beyond what the device has.
    least = ceil(device.extension.least.to(unit).magnitude * 10) / 10
    most = floor(device.extension.most.to(unit).magnitude * 10) / 10
    travel = device.nozzle_travel
    return {
        "extension": (least, most),
        "rotation": (-travel.right.magnitude, travel.left.magnitude),
    }


def _compute(at):
    """(flow, reaction Result, TipReaction)."""
    if at.kind == SMOOTH_BORE:
        tip = f"{at.tip} in"
        flow = smooth_bore_discharge(tip, nozzle_pressure=at.pressure).value
        reaction = smooth_bore_reaction(tip, nozzle_pressure=at.pressure)
    else:
        flow = at.flow
        reaction = fog_reaction(flow, nozzle_pressure=at.pressure)
    split = reaction_at_tip(reaction.value, rotation=at.rotation, extension=at.extension)
    return flow, reaction, split


def _view(at, results):
    flow, reaction, split = results
    system, device = at.system, at.department.device(at.device)
    return View(
        reading=(
            f"Flow {show(flow, system)}. {describe(split, system)} "
            f"Half the gallonage would say {show(half_the_gallonage(flow).value, system)}."
        ),
        limit=manual_limit_text(
            device, flow=flow, extension=split.extension, rotation=split.rotation, system=system
        ),
        pictures=(
            tip_plan(
                split,
                longest=max(d.extension.most for d in at.department.apparatus),
                full_scale=nice_full_scale(reaction.value.magnitude),
                system=system,
            ),
        ),
        rows=(("Flow", show(flow, system)), *split.lines(system)),
    )


def _half_is_side(at, results):
    split = results[2]
    return abs(abs(split.side / split.reaction).to("").magnitude - 0.5) < 0.02


def _same_moment_less_push(at, results):
    """Ladder well below its full length, nozzle turned 30 degrees or more, no entry passed."""
    device = at.department.device(at.device)
    limit = manual_limit_text(
        device, flow=results[0], extension=at.extension, rotation=at.rotation, system=at.system
    )
    short = at.extension < 0.6 * device.extension.most
    return abs(at.rotation.magnitude) >= 30 and short and not limit.startswith("BEYOND")


def _fog_in_line(at, results):
    return at.kind == FOG and at.rotation.magnitude == 0 and results[1].value >= HARD


def tip_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    return Panel(
        "03",
        "tip",
        controls=_controls(department),
        compute=_compute,
        view=_view,
        fit=_fit,
        hidden=lambda at: {"flow"} if at.kind == SMOOTH_BORE else {"tip"},
        tasks=(
            Task("An angle at which half of the push is side load.", _half_is_side),
            Task(
                "The nozzle turned 30 degrees or more, the ladder little over half its length out, "
                "and nothing beyond what is entered. (The water is off while the ladder moves.)",
                _same_moment_less_push,
            ),
            Task(
                f"A fog nozzle that pushes with {show(HARD, department.units)} or more, with no side "
                "load at all.",
                _fog_in_line,
            ),
        ),
        department=department,
    )
