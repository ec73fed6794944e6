"""The panel of lesson 01: where the water of a stream goes that is aimed at a building."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from aerialstream.application import water_use
from aerialstream.buildings import load_building
from aerialstream.charts.cut import Window, window_of
from aerialstream.charts.section import on_fire_words, section, section_rows, strike_words
from aerialstream.clearances import collapse_zone
from aerialstream.department import DEMO_FOLDER
from aerialstream.units import quantity, show
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

CONTENT = Path(__file__).parent / "content"
TIP, PRESSURE = "2 in", "80 psi"
ABOUT_HALF, NEARLY_ALL = (
    40,
    85,
)  # percent: where the kit's words "about half" and "nearly all" begin


@dataclass(frozen=True)
class Scene:
    """What is aimed at.

    words     for the list of set-ups
    building  id of an invented building, or the path of one that stands with the lessons
    opening   id of its opening
    burning   (front, back, left, right) of what burns; None: the building's own
    """

    words: str
    building: object
    opening: str
    burning: tuple | None = None


@cache
def view_of(scene):
    """What the stream sees there. The lessons stand in the invented town, whoever reads them."""
    return load_building(scene.building, DEMO_FOLDER).room_of(scene.opening)


@cache
def zone_of(wall_ft):
    """One and a half times a wall's height, a quantity."""
    return collapse_zone(quantity(wall_ft, "foot"), factor=1.5).value


def use_at(scene, *, away, height, pitch):
    """Where the water goes of a 2-in tip at 80 psi, square to the wall."""
    return water_use(
        view_of(scene),
        standoff=away,
        nozzle_height=height,
        stream_pitch=pitch,
        tip_diameter=TIP,
        nozzle_pressure=PRESSURE,
        burning=scene.burning,
    )


def reading(use, system):
    """The result in words: on the fire, what it strikes, and whether the tip is near the wall."""
    said = f"{on_fire_words(use)}. {strike_words(use, system)}"
    if use.shares["shed by the roof"] > 0.005:
        said += " What comes down on the roof runs off."
    zone = zone_of(use.view.parapet_tops_ft[0])
    if quantity(-use.shot.place[0], "foot") < zone:
        said += (
            f" Tip nearer to the wall than {show(zone, system)}, one and a half times its height: "
            "command's call."
        )
    return said


def numbers(away, height, pitch, *, farthest, highest):
    """The three controls of an aim; away, height and pitch are where they stand at first."""
    feet = 0.3048
    return (
        Number(
            "away",
            "Nozzle, from the wall",
            Scale("ft", 6, farthest, 1, away),
            Scale("m", 2, round(farthest * feet), 0.5, round(away * feet * 2) / 2),
        ),
        Number(
            "height",
            "Nozzle, above the ground",
            Scale("ft", 3, highest, 1, height),
            Scale("m", 1, round(highest * feet), 0.5, round(height * feet * 2) / 2),
        ),
        Number("pitch", "Stream, + up, - down", Scale("deg", -60, 60, 1, pitch)),
    )


SCENES = {
    "whole": Scene("Cold store, roof whole", "saltpan-cold-store", "a-dock-2"),
    "holed": Scene("Cold store, hole in the roof", "saltpan-cold-store-holed", "a-dock-2"),
    "mill": Scene("Mill, window of the top floor", "weir-street-mill", "a3-4"),
}
_SHOWN = Window(-88, 74, 0, 63)


def _compute(at):
    return use_at(SCENES[at.scene], away=at.away, height=at.height, pitch=at.pitch)


def _view(at, use):
    window = _SHOWN | window_of(use)
    return View(
        reading=reading(use, at.system),
        pictures=(section(use, window=window, system=at.system),),
        rows=section_rows(use, at.system),
    )


def on_fire(use):
    """Percent of the flow on what burns."""
    return use.on_fire.magnitude


def _by_the_door(at, use):
    return at.scene == "whole" and on_fire(use) >= NEARLY_ALL


def _by_the_hole(at, use):
    strike = use.outcome.strike
    by_roof = strike is not None and strike.surface == "roof"
    return at.scene == "holed" and by_roof and on_fire(use) >= ABOUT_HALF


def _from_outside_the_zone(at, use):
    zone = zone_of(use.view.parapet_tops_ft[0])
    return at.scene == "mill" and at.away >= zone and on_fire(use) >= ABOUT_HALF


def water_panel(department=None):
    """The panel, for a lesson's cell."""
    return Panel(
        "01",
        "water",
        controls=(
            Choice("scene", "Building", [(s.words, key) for key, s in SCENES.items()], "whole"),
            *numbers(45, 50, -15, farthest=80, highest=60),
        ),
        compute=_compute,
        view=_view,
        tasks=(
            Task("Roof whole: put nearly all of the water on what burns.", _by_the_door),
            Task(
                "Hole in the roof: through the hole, put about half of the water or more on what "
                "burns.",
                _by_the_hole,
            ),
            Task(
                "Mill: put about half of the water or more on what burns, with the nozzle one and "
                "a half times the wall's height away or farther.",
                _from_outside_the_zone,
            ),
        ),
        department=department,
    )
