"""The panel of lesson 02: a rig put on the plan of a scene, and what stands against that place."""

from functools import lru_cache

from aerialstream.charts.scene_plan import scene_plan, wall_reach
from aerialstream.charts.spot_map import spot_map_chart, spot_rows
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.site import scene_of
from aerialstream.spots import spot_map
from aerialstream.units import quantity, show
from aerialstream.worked import in_system
from lessonkit.controls import Choice, Number, Scale, Switch
from lessonkit.panel import Panel, Task, View

# Scenes of the lesson: (site, target, words). They are the demo's own, whatever the department.
TARGETS = (
    ("weir-street-mill", "weaving floor C", "Mill, side C: weaving floor"),
    ("weir-street-mill", "top floor A", "Mill, side A: top floor"),
    ("gorse-lane-shops", "shop 3", "Shops, side A: front of shop 3"),
)
MILL_C, MILL_A, SHOP = ((site, target) for site, target, _ in TARGETS)
# As a crew would look at it: eight ways to head, a mark every ten feet.
MARKS = {"headings": 8, "cell": "10 ft"}
ONE_PLACE = {"headings": ["0 deg"], "cell": "10 ft", "area": ("0 ft", "0 ft", "1 ft", "1 ft")}
NEAR_FT, BEFORE_FT = 60, 180  # what is shown round the building, and before the target's side
MOST_SAID = 3


@lru_cache(maxsize=16)
def _scene(site):
    return scene_of(load_department(DEMO_FOLDER), site)


def _around(chosen):
    """The part of a plan that is shown, (left, bottom, right, top) in ft; it does not move."""
    site, target = chosen
    scene = _scene(site)
    goal, ends = scene.target(target), scene.extent()
    xs, ys = zip(*goal.building.corners, strict=True)
    grown = [min(xs), min(ys), max(xs), max(ys)]
    for place, along, way in ((0, 0, -1), (1, 1, -1), (2, 0, 1), (3, 1, 1)):
        grown[place] += way * max(NEAR_FT, BEFORE_FT * goal.side.normal[along] * way)
    return (
        max(grown[0], ends[0] - 10), max(grown[1], ends[1] - 10),
        min(grown[2], ends[2] + 10), min(grown[3], ends[3] + 10),
    )  # fmt: skip


def _fit(at):
    """The plan's ends bound where the rig can be put."""
    left, bottom, right, top = _around(at.target)
    unit = "meter" if at.system == "metric" else "foot"
    ends = [round(quantity(feet, "foot").to(unit).magnitude) for feet in (left, right, bottom, top)]
    return {"x": tuple(ends[:2]), "y": tuple(ends[2:])}


def _judged(devices):
    """What spot_map says of (target, device, zone, tip from the wall); the last ones are kept."""

    @lru_cache(maxsize=40)
    def judged(chosen, device, factor, standoff_ft, everywhere):
        site, target = chosen
        return spot_map(
            _scene(site),
            devices[device],
            target,
            collapse_factor=factor,
            standoff=quantity(standoff_ft, "foot"),
            **(MARKS if everywhere else {**ONE_PLACE, "best": 0, "engine": "plain"}),
        )

    return judged


def _compute(judged):
    def compute(at):
        """(SpotMap, Place, ScrubReach) of what stands in the controls."""
        standoff_ft = at.standoff.to("foot").magnitude
        spots = judged(at.target, at.device, at.zone, standoff_ft, at.everywhere)
        place = spots.why_not(at.x, at.y, at.heading)
        return spots, place, wall_reach(spots.apparatus, place, spots.target)

    return compute


def _found_words(place, system):
    """Findings as a sentence: what is wrong first, then what costs."""
    wrong = [in_system(f.text, system) for f in place.findings if f.wrong]
    costs = [in_system(f.text, system) for f in place.findings if not f.wrong]
    if not wrong and not costs:
        return "Nothing on the plan stands against this place. Walk it before you set the brake."
    said = wrong or costs
    more = f"; and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
    start = "Not here" if wrong else "It can be had, at a cost"
    return f"{start}: {'; '.join(said[:MOST_SAID])}{more}."


def _ladder_words(place, scrub, system):
    if place.extension_ft is None:
        return ""
    said = (
        f" Ladder {show(quantity(place.extension_ft, 'foot'), system)} at "
        f"{place.elevation_deg:.0f} deg."
    )
    if scrub is not None and scrub.half_width is not None:
        said += f" By geometry the tip could touch the wall {show(scrub.half_width, system)} to each side."  # fmt: skip
    return said


def _count_words(spots):
    """How many places are left."""
    clean, costly, _ = spots.counts.values()
    if not clean and not costly:
        return f"None of {sum(spots.counts.values()):,} places is left. What is in the way stands over the plan."
    return (
        f"{sum(spots.counts.values()):,} places, each with its best heading: nothing on the plan "
        f"stands against {clean:,}, and {costly:,} have a cost. Take the marks off to see your rig."
    )


def _view(at, results):
    spots, place, scrub = results
    system, around = at.system, _around(at.target)
    reading = f"{spots.apparatus.name}, {spots.target.name}. "
    if at.everywhere:
        reading += _count_words(spots)
        picture = spot_map_chart(spots, around=around, system=system)
        rows = spot_rows(spots, system=system)
    else:
        reading += _found_words(place, system) + _ladder_words(place, scrub, system)
        picture = scene_plan(
            spots.scene, place=place, spots=spots, scrub=scrub, around=around, system=system
        )
        rows = (*place.lines(system), *(scrub.lines(system) if scrub is not None else ()))
    return View(reading=reading, pictures=(picture,), rows=rows)


def _controls(department):
    feet, meters = Scale("ft", -80, 420, 1, 160), Scale("m", -24, 128, 0.5, 49)
    return (
        Choice("target", "Target", [(words, (site, target)) for site, target, words in TARGETS]),
        Choice("device", "Device", [(d.name, d.id) for d in department.apparatus]),
        Choice(
            "zone",
            "Collapse zone",
            [("1 × the wall", 1), ("1 1/2 × the wall", 1.5), ("2 × the wall", 2)],
            1.5,
        ),
        Number(
            "standoff", "Tip to the wall", Scale("ft", 10, 100, 1, 65), Scale("m", 3, 30, 0.5, 20)
        ),
        Number("x", "Turntable, to the right", feet, meters),
        Number(
            "y",
            "Turntable, up the plan",
            Scale("ft", -80, 420, 1, 265),
            Scale("m", -24, 128, 0.5, 81),
        ),
        Number("heading", "Cab points to, 0 is north", Scale("deg", 0, 355, 5, 0)),
        Switch("everywhere", "Mark every place instead"),
    )


def _nothing_against(place):
    return not place.findings


def _tasks(department):
    first = department.apparatus[0].id
    another = Task(
        "Side C again, with another device: a place with nothing against it and no cost.",
        lambda at, results: (
            at.target == MILL_C and at.device != first and _nothing_against(results[1])
        ),
    )
    return (
        *((another,) if len(department.apparatus) > 1 else ()),
        Task(
            "The fire is on the top floor now, and its windows look onto Weir Street. Choose that "
            "target and mark every place. How many are left?",
            lambda at, results: at.target == MILL_A and at.everywhere,
        ),
        Task(
            "Shop 3, between cars, lamp post and culvert: a place with nothing against it and no "
            "cost. Bring the tip nearer: this wall is lower.",
            lambda at, results: at.target == SHOP and _nothing_against(results[1]),
        ),
    )


def spot_panel(department=None):
    """The panel, for a lesson's cell."""
    department = department or load_department()
    judged = _judged({d.id: d for d in department.apparatus})
    return Panel(
        "02",
        "spot",
        controls=_controls(department),
        compute=_compute(judged),
        view=_view,
        fit=_fit,
        tasks=_tasks(department),
        department=department,
    )
