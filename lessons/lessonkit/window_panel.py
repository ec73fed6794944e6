"""The panel of lesson 06: a stream through an opening, straight or off the ceiling."""

from aerialstream.charts.cut import Window, window_of
from aerialstream.charts.section import CEILINGS, section, section_rows
from aerialstream.charts.water_map import water_map_plan
from lessonkit.controls import Choice
from lessonkit.panel import Panel, Task, View
from lessonkit.water_panel import (
    ABOUT_HALF,
    CONTENT,
    NEARLY_ALL,
    Scene,
    numbers,
    on_fire,
    reading,
    use_at,
)

WAREHOUSE = CONTENT / "bobbin-row-warehouse.toml"
# What burns, in ft from the outside face of the wall and from the middle of the window.
MIDDLE, REAR = (13, 28, -12, 12), (34, 52, -12, 12)

SCENES = {
    "middle": Scene("Racks in the way, fire right behind them", WAREHOUSE, "window 1", MIDDLE),
    "rear": Scene("Racks in the way, fire at the rear", WAREHOUSE, "window 1", REAR),
    "open": Scene("Open floor, fire in view", WAREHOUSE, "window 2", MIDDLE),
    "tile": Scene("Shop with a tile ceiling", "gorse-lane-shops", "shop-2"),
    "slab": Scene("Dock door under a slab", "weir-street-mill", "c1-2", (20, 35, -10, 10)),
}
_SHOWN = Window(-56, 64, 0, 43)


def _compute(at):
    return use_at(SCENES[at.scene], away=at.away, height=at.height, pitch=at.pitch)


def _view(at, use):
    window = _SHOWN | window_of(use)
    return View(
        reading=reading(use, at.system),
        pictures=(
            section(use, window=window, system=at.system),
            water_map_plan(use, system=at.system),
        ),
        rows=section_rows(use, at.system),
    )


def off_the_ceiling(use):
    """Whether it comes in and strikes the ceiling first."""
    inside = use.outcome.inside
    return inside is not None and inside.surface in CEILINGS


def _deep(at, use):
    return at.scene == "rear" and off_the_ceiling(use) and on_fire(use) >= ABOUT_HALF


def _straight(at, use):
    comes_in = use.outcome.inside is not None
    return (
        at.scene == "open" and comes_in and not off_the_ceiling(use) and on_fire(use) >= NEARLY_ALL
    )


def _kept_out(at, use):
    strike = use.outcome.strike
    by_slab = strike is not None and "canopy" in strike.surface
    return at.scene == "slab" and by_slab and use.cleared.magnitude < 1


def window_panel(department=None):
    """The panel, for a lesson's cell."""
    return Panel(
        "06",
        "window",
        controls=(
            Choice("scene", "Set-up", [(s.words, key) for key, s in SCENES.items()], "middle"),
            *numbers(15, 8, 38, farthest=45, highest=40),
        ),
        compute=_compute,
        view=_view,
        tasks=(
            Task(
                "Racks in the way, fire at the rear: off the ceiling, put about half of the water "
                "or more on it.",
                _deep,
            ),
            Task(
                "Open floor: leave the ceiling alone, and put nearly all of the water on the fire.",
                _straight,
            ),
            Task("Dock door: a stream that the slab keeps out altogether.", _kept_out),
        ),
        department=department,
    )
