"""The panel of lesson 05: where a stream goes, how far it is good, and what wind does to it."""

from functools import lru_cache

from aerialstream.charts.stream_path import lands, path_chart, path_rows
from aerialstream.department import load_department
from aerialstream.errors import ImpossibleValue
from aerialstream.stream import sag, stream_path
from aerialstream.units import quantity, show
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

TIPS = ("1 1/4", "1 3/8", "1 1/2", "1 5/8", "1 3/4", "1 7/8", "2")
# Where the wind comes from, seen from behind the nozzle.
WINDS = (
    ("Ahead", "0 deg"),
    ("The right", "90 deg"),
    ("Behind", "180 deg"),
    ("The left", "270 deg"),
)


@lru_cache(maxsize=64)
def _still(tip, pressure, elevation, height):
    """The same stream in still air, kept while only the wind is moved."""
    return stream_path(
        f"{tip} in",
        nozzle_pressure=quantity(*pressure),
        elevation=quantity(*elevation),
        height=quantity(*height),
    )


def _plain(value):
    return value.magnitude, str(value.units)


def _compute(at):
    """(path, the same in still air or None, the stream at the window or None)."""
    set_up = {"nozzle_pressure": at.pressure, "elevation": at.elevation}
    still = None
    if at.wind.magnitude:
        path = stream_path(
            f"{at.tip} in", height=at.height, wind=at.wind, wind_from=at.wind_from, **set_up
        )
        still = _still(at.tip, *(_plain(v) for v in (at.pressure, at.elevation, at.height)))
    else:
        path = _still(at.tip, *(_plain(v) for v in (at.pressure, at.elevation, at.height)))
    try:
        there = path.at_distance(at.window)
    except ImpossibleValue:
        there = None
    return path, still, there


CONDITIONS = {
    "solid column": "still a solid column",
    "good stream": "still a good stream",
    "broken into spray": "already broken into spray",
}


def above_tip(at, there):
    """How far the stream is above the tip where it comes to the window."""
    return there.height - at.height


def _whole(value, system):
    unit, label = ("foot", "ft") if system == "US" else ("meter", "m")
    return f"{value.to(unit).magnitude:,.0f} {label}"


def _at_window(at, there):
    if there is None:
        return f"The stream comes down before the window, {show(at.window, at.system)} ahead."
    rise = above_tip(at, there)
    way = "above" if rise.magnitude >= 0 else "below"
    said = (
        f"At the window, {show(at.window, at.system)} ahead, the stream is "
        f"{CONDITIONS[there.condition]}, {show(abs(rise), at.system)} {way} the tip. "
    )
    if at.wind.magnitude or there.condition == "broken into spray":
        return said.strip()  # a drop is worked out in still air, and of spray it says nothing
    low = sag(
        f"{at.tip} in", nozzle_pressure=at.pressure, elevation=at.elevation, distance=at.window
    )
    return said + f"It has dropped {show(low.value, at.system)} below the barrel's line."


def _wind_words(at, path, there):
    if not at.wind.magnitude:
        return ""
    parts = []
    if there is not None and abs(path.drift) >= quantity(1, "foot"):
        near = show(abs(there.left), at.system)
        parts.append(
            f"The wind puts it {near} aside at the window and {_whole(abs(path.drift), at.system)} "
            "where it lands: could be half or double."
        )
    change = path.throw - path.still_throw
    if abs(change) >= quantity(3, "foot"):
        more = "shorter" if change.magnitude < 0 else "farther"
        parts.append(
            f"It lands {_whole(abs(change), at.system)} {more} than in still air: could be half or double."
        )
    return " ".join(parts)


def _view(at, results):
    path, still, there = results
    system = at.system
    good = f"Good for {_whole(path.usable_reach, system)} along the stream, give or take 20 %."
    if at.wind.magnitude and path.reach_distance is not None:
        # The way through the moving air is not the way over the ground.
        good = f"In this wind it is good to about {_whole(path.reach_distance, system)} ahead."
    ends = f"{good} Last water lands {lands(path, system)}, give or take 15 %."
    if path.throw.magnitude < 0:
        ends += " The wind brings it back over the ladder."
    compare = (still,) if still is not None else ()
    return View(
        reading=" ".join(
            part for part in (_at_window(at, there), ends, _wind_words(at, path, there)) if part
        ),
        pictures=(path_chart(path, compare=compare, system=system, window=at.window),),
        rows=path_rows(path, (), system),
    )


def _far_window(at, results):
    there = results[2]
    return (
        at.window >= quantity(28.9, "meter")
        and there is not None
        and there.condition != "broken into spray"
        and above_tip(at, there) >= quantity(6, "meter")
    )


def _fifth_off(at, results):
    path = results[0]
    return at.wind_from == "0 deg" and path.throw <= 0.8 * path.still_throw


def _near_and_far(at, results):
    path, _, there = results
    return (
        there is not None
        and at.window >= quantity(12, "meter")
        and abs(there.left) < quantity(1, "foot")
        and abs(path.drift) >= quantity(4.5, "meter")
    )


def _controls():
    return (
        Choice("tip", "Tip", [(f"{t} in", t) for t in TIPS], "1 3/4"),
        Number(
            "pressure",
            "Nozzle pressure",
            Scale("psi", 40, 120, 1, 80),
            Scale("kPa", 280, 830, 5, 550),
        ),
        Number("elevation", "Barrel above level", Scale("deg", -20, 70, 1, 30)),
        Number(
            "height", "Tip above ground", Scale("ft", 5, 100, 1, 40), Scale("m", 2, 30, 0.5, 12)
        ),
        Number(
            "window",
            "Window ahead of the tip",
            Scale("ft", 10, 150, 1, 50),
            Scale("m", 3, 45, 0.5, 15),
        ),
        Number("wind", "Wind", Scale("mph", 0, 30, 1, 0), Scale("km/h", 0, 50, 1, 0)),
        Choice("wind_from", "Wind comes from", WINDS, "0 deg"),
    )


def _tasks(system):
    far, up, near, one, aside = (
        _whole(quantity(feet, "foot"), system) for feet in (95, 20, 40, 1, 15)
    )
    if system == "metric":
        one = "30 cm"
    return (
        Task(
            f"A window {far} ahead or more, and a stream that is still good there, {up} or more "
            "above the tip.",
            _far_window,
        ),
        Task("A wind from ahead that takes a fifth off the throw.", _fifth_off),
        Task(
            f"A window {near} ahead or more, where wind from the side moves the stream less than "
            f"{one}, and yet {aside} or more where it lands.",
            _near_and_far,
        ),
    )


def reach_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    return Panel(
        "05",
        "reach",
        controls=_controls(),
        compute=_compute,
        view=_view,
        tasks=_tasks(department.units),
        department=department,
    )
