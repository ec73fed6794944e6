"""The small panel of lesson 00, to try controls on: where a stream lands."""

from aerialstream.charts.stream_path import path_chart, path_rows
from aerialstream.department import load_department
from aerialstream.stream import stream_path
from aerialstream.units import quantity
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

TIPS = ("1 3/8", "1 3/4", "2")
PRESSURE, HEIGHT = "80 psi", "50 ft"
NEAR = {"US": ("foot", 200, "200 ft"), "metric": ("meter", 60, "60 m")}  # what the tasks name


def landing(tip, elevation):
    """The stream of the panel."""
    return stream_path(f"{tip} in", nozzle_pressure=PRESSURE, elevation=elevation, height=HEIGHT)


def far(path, system):
    """How far out it lands, in whole feet or metres."""
    unit, label = ("foot", "ft") if system == "US" else ("meter", "m")
    return f"{path.throw.to(unit).magnitude:,.0f} {label}"


def _compute(at):
    return landing(at.tip, at.elevation)


def _view(at, path):
    return View(
        reading=(
            f"The last of the water lands {far(path, at.system)} out, give or take 15 percent. "
            "Long before that it is only spray."
        ),
        pictures=(path_chart(path, system=at.system),),
        rows=path_rows(path, system=at.system),
    )


def _lands_beyond(at, path):
    unit, number, _ = NEAR[at.system]
    return path.throw >= quantity(number, unit)


def _short(at, path):
    return not _lands_beyond(at, path)


def _small_and_far(at, path):
    return at.tip == TIPS[0] and _lands_beyond(at, path)


def first_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    words = NEAR[department.units][2]
    return Panel(
        "00",
        "first",
        controls=(
            Number("elevation", "Nozzle above level", Scale("deg", 0, 75, 1, 30)),
            Choice("tip", "Tip", [(f"{tip} in", tip) for tip in TIPS], "1 3/4"),
        ),
        compute=_compute,
        view=_view,
        tasks=(
            Task(f"An angle at which the stream lands less than {words} out.", _short),
            Task(f"The smallest tip, and still {words} or more.", _small_and_far),
        ),
        department=department,
    )
