"""The panel of lesson 08: what stays in the building, as weight and depth, minute by minute."""

from aerialstream.charts.water_rise import water_rise
from aerialstream.department import load_department
from aerialstream.units import quantity, show
from aerialstream.water import floor_load, time_to_depth
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

STOCKROOM, ROOF, ROOM, MILL = 2500, 5000, 600, 7200  # square feet
FLOORS = (
    ("Upper stockroom", STOCKROOM),
    ("Flat roof with a parapet", ROOF),
    ("One room", ROOM),
    ("Mill floor", MILL),
)
DEEP = quantity(1, "foot")
# What the tasks name, in numbers that the controls can show: flow, a depth, half of it.
ASKED_FOR = {"US": ("1,000 gpm", "4 in", "2 in"), "metric": ("3,800 L/min", "100 mm", "50 mm")}
NEAR = 0.08  # a task is met so near to what it asks


def _compute(at):
    """(now, what a minute adds, if nothing ran off, time to the mark or None)."""
    area = quantity(at.floor, "foot**2")
    off = {"area": area, "running_off": at.running_off}
    now = floor_load(at.flow, time=at.time, **off)
    minute = floor_load(at.flow, time="1 min", **off)
    all_stays = floor_load(at.flow, time=at.time, area=area)
    stays = at.running_off < quantity(100, "percent")
    mark = time_to_depth(at.mark, flow=at.flow, **off) if stays else None
    return now, minute, all_stays, mark


def _reading(at, results):
    now, minute, _, mark = results
    system = at.system
    if mark is None:
        return "All of it runs off: nothing stays. Believe that only while you see it come out."
    said = (
        f"After {show(at.time, system)}, {show(now.weight, system, 'weight')} of water have stayed: "
        f"{show(now.depth, system, 'depth')} deep, {show(now.load, system, 'load')} if spread evenly. "
        f"Each minute adds {show(minute.weight, system, 'weight')}. "
    )
    if now.depth > DEEP:
        return (
            f"By the sum, {show(now.weight, system, 'weight')} would have stayed after "
            f"{show(at.time, system)}: more than {show(DEEP, system, 'depth')} deep. So deep it finds "
            "a way: down the stairs, into the basement, into the stock. The time to look again is past."
        )
    deep, when = show(at.mark, system, "depth"), show(mark.value, system)
    if mark.value <= at.time:
        return f"{said}It stood {deep} deep after {when}: the time to look again is past."
    return f"{said}It stands {deep} deep after {when}: look again before that."


def _view(at, results):
    now, minute, all_stays, mark = results
    system = at.system
    when = None if mark is None else mark.value.to("minute").magnitude
    return View(
        reading=_reading(at, results),
        pictures=(
            water_rise(
                now,
                all_stays,
                minutes=at.time.to("minute").magnitude,
                mark=at.mark,
                mark_minutes=when,
                system=system,
            ),
        ),
        rows=(
            *now.lines(system),
            ("Each minute adds", show(minute.weight, system, "weight")),
            ("If nothing ran off", show(all_stays.weight, system, "weight")),
            (
                "It stands as deep as the mark",
                "never" if mark is None else show(mark.value, system),
            ),
        ),
    )


def _about(value, wanted):
    return abs((value / wanted).to("").magnitude - 1) <= NEAR


def _drains_block(at, results):
    full = _about(at.flow, quantity(1000, "gpm")) and at.floor == STOCKROOM
    return full and not at.running_off.magnitude and _about(results[0].load, quantity(20, "psf"))


def _half_an_hour(at, results):
    mark = results[3]
    return (
        at.flow >= quantity(990, "gpm")
        and at.floor == STOCKROOM
        and at.mark >= quantity(99, "mm")
        and at.mark <= quantity(4, "inch")
        and mark is not None
        and mark.value > quantity(30, "minute")
    )


def _two_inches(at, results):
    return (
        _about(at.flow, quantity(1000, "gpm"))
        and at.floor == STOCKROOM
        and at.time == quantity(10, "minute")
        and _about(results[0].depth, quantity(2, "inch"))
    )


def weight_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    system = department.units
    full, four, two = ASKED_FOR[system]
    load = show(quantity(20, "psf"), system, "load")
    floors = [(f"{w}, {show(quantity(n, 'foot**2'), system)}", n) for w, n in FLOORS]
    return Panel(
        "08",
        "weight",
        controls=(
            Number(
                "flow",
                "Flow that goes in",
                Scale("gpm", 250, 2000, 50, 1000),
                Scale("L/min", 1000, 7600, 100, 3800),
            ),
            Number("time", "Minutes of flow", Scale("min", 1, 60, 1, 15)),
            Number("running_off", "Share that runs off", Scale("%", 0, 100, 1, 60)),
            Choice("floor", "Where it lies", floors, STOCKROOM),
            Number(
                "mark",
                "Look again when it would stand",
                Scale("in", 1, 12, 0.5, 4),
                Scale("mm", 25, 300, 5, 100),
            ),
        ),
        compute=_compute,
        view=_view,
        tasks=(
            Task(
                f"Stockroom, {full}: the way out is blocked and nothing runs off. After how many minutes "
                f"does the floor hold {load}?",
                _drains_block,
            ),
            Task(
                f"Stockroom, {full} or more: how much must run off so that it takes more than half "
                f"an hour to stand {four} deep?",
                _half_an_hour,
            ),
            Task(
                f"After 10 minutes of {full} the stockroom stands {two} deep. How much has run off?",
                _two_inches,
            ),
        ),
        department=department,
    )
