"""The panel of lesson 07: a low ladder before a shop front, and what its nozzle can do there."""

from math import ceil, floor

from aerialstream.aerials import aim_through_opening, tip_position
from aerialstream.charts.side_view import side_rows, side_view
from aerialstream.department import load_department
from aerialstream.units import show
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

# Shop 5 of the invented Gorse Lane shops: sill, head of the window, bare joists; rear wall.
SILL, HEAD, CEILING, WALL_TOP, SHOP_DEPTH = "1 ft", "9 ft", "12 ft", "16 ft", "60 ft"
ROOM = "6 in"  # kept between the stream and sill or head
HIGHEST_DEG = 20  # low work; higher is another lesson


def _in(value, unit):
    return value.to(unit).magnitude


def _fit(at):
    """The device's own ladder and elevation bound the controls, rounded inward."""
    device = at.department.device(at.device)
    unit = "meter" if at.system == "metric" else "foot"
    most = floor(_in(device.extension.most, unit))
    return {
        "extension": (ceil(_in(device.extension.least, unit) * 2) / 2, most),
        "elevation": (_in(device.elevation.least, "degree"), HIGHEST_DEG),
    }


def _compute(at):
    """(TipPosition, ThroughOpening) of what stands in the controls."""
    device = at.department.device(at.device)
    ladder = {"extension": at.extension, "elevation": at.elevation}
    through = aim_through_opening(
        device,
        standoff=at.standoff,
        sill=SILL,
        head=HEAD,
        ceiling=CEILING,
        margin=ROOM,
        strike_depth=at.depth,
        **ladder,
    )
    return tip_position(device, **ladder), through


def _strikes(through):
    """Whether the steepest stream meets the joists inside the shop."""
    return through.strike_depth is not None and _in(through.strike_depth, "foot") <= 60


def _steepest_words(through, system):
    if not through.possible:
        return f"No stream goes through the window: {through.reason}."
    pitch = _in(through.steepest, "degree")
    way = f"{'climbs' if pitch > 0 else 'falls'} {show(abs(through.steepest))}"
    said = f"The steepest stream through the window {way}"
    if through.strike_depth is None:
        said += " and never meets the joists"
    elif _strikes(through):
        said += f" and strikes the joists {show(through.strike_depth, system)} in"
    else:
        said += f" and would meet the joists only behind the rear wall, {show(through.strike_depth, system)} in"  # fmt: skip
    return f"{said}. What stops it: {through.reason}."


def _view(at, results):
    position, through = results
    system, device = at.system, at.department.device(at.device)
    wanted = show(through.wanted_depth, system)
    verdict = "can be had" if through.depth_possible else "cannot be had"
    return View(
        reading=(
            f"{device.name}: nozzle {show(position.up, system)} above the ground. "
            f"{_steepest_words(through, system)} "
            f"A strike {wanted} in {verdict} like this. Straight lines: the real stream sags and "
            "strikes farther in, or not at all."
        ),
        limit=_limit(device),
        pictures=(
            side_view(
                device,
                position=position,
                through=through,
                opening=(SILL, HEAD, CEILING),
                wall_top=WALL_TOP,
                system=system,
            ),
        ),
        rows=side_rows(device, position, through, system=system),
    )


def _limit(device):
    """What the department entered of the least elevation to work at; the kit has none of its own."""
    entered = device.manual_conditions.elevation_at_least if device.manual_conditions else None
    if entered is None:
        return f"Least elevation of {device.name}: not entered: see the operator's manual."
    return f"Least elevation entered for {device.name}: {show(entered)} ({device.manual_conditions.page})."  # fmt: skip


def _least_travel(department):
    """The device whose nozzle rises least: the one that cannot do the job."""
    ladders = [d for d in department.apparatus if d.kind.endswith("ladder")]
    return min(ladders or department.apparatus, key=lambda d: d.nozzle_travel.up)


def _controls(department):
    longest = max(d.extension.most for d in department.apparatus)
    feet, meters = (floor(_in(longest, unit)) for unit in ("foot", "meter"))
    return (
        Choice("device", "Device", [(d.name, d.id) for d in department.apparatus]),
        Number("elevation", "Ladder angle, - is below", Scale("deg", -15, HIGHEST_DEG, 0.5, -5)),
        Number(
            "extension",
            "Ladder, base to nozzle",
            Scale("ft", 20, feet, 1, 40),
            Scale("m", 6, meters, 0.5, 12),
        ),
        Number(
            "standoff",
            "Nozzle to the window",
            Scale("ft", 4, 40, 1, 15),
            Scale("m", 1.5, 12, 0.5, 4.5),
        ),
        Number(
            "depth",
            "Strike wanted, inside",
            Scale("ft", 4, 40, 1, 15),
            Scale("m", 1.5, 12, 0.5, 4.5),
        ),
    )


def _tasks(department):
    worst = _least_travel(department)
    return (
        Task(
            f"{worst.name}, nozzle 15 feet (4.5 m) or more from the window: a ladder angle from "
            "which the stream still meets the joists less than 30 feet (9 m) in.",
            lambda at, results: (
                at.device == worst.id
                and _in(at.standoff, "foot") > 14.5
                and _strikes(results[1])
                and _in(results[1].strike_depth, "foot") < 30
            ),
        ),
        Task(
            "Any device: a strike less than 6 feet (1.8 m) inside the window. What did you change?",
            lambda at, results: _strikes(results[1]) and _in(results[1].strike_depth, "foot") < 5.9,
        ),
        Task(
            "Nozzle outside the collapse zone: more than 24 feet (7.3 m) from this wall. How near to "
            "the window can the strike be? Find one less than 20 feet (6 m) in.",
            lambda at, results: (
                _in(at.standoff, "foot") > 24
                and _strikes(results[1])
                and _in(results[1].strike_depth, "foot") < 20
            ),
        ),
    )


def low_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    return Panel(
        "07",
        "low",
        controls=_controls(department),
        compute=_compute,
        view=_view,
        fit=_fit,
        tasks=_tasks(department),
        department=department,
    )
