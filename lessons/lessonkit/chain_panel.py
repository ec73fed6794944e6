"""The panel of lesson 04: the whole chain from hydrant to tip, with the limit that binds."""

from dataclasses import dataclass

from aerialstream.chain import LayPart, NozzlePart, PumperPart, water_chain
from aerialstream.charts.chain_bars import chain_bars, short_name
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.errors import AerialStreamError
from aerialstream.units import quantity, show
from lessonkit.controls import Choice, Number, Scale
from lessonkit.panel import Panel, Task, View

MOST_LINES = 3


@dataclass(frozen=True)
class Hydrant:
    """An invented hydrant by its flow test."""

    words: str
    static: str
    residual: str
    test_flow: str


HYDRANTS = {
    "weir": Hydrant("Weir Street", "80 psi", "60 psi", "1100 gpm"),
    "lock": Hydrant("Lock Lane", "62 psi", "38 psi", "620 gpm"),
    "kiln": Hydrant("Kiln Road", "90 psi", "78 psi", "1300 gpm"),
}
MANUAL = "Highest flow and highest inlet pressure: look them up in the device's own manual."


def nozzles_of(department):
    """The nozzles whose flow follows from their pressure: name and id."""
    return [(n.name, n.id) for n in department.nozzles if n.kind in ("smooth bore", "fixed fog")]


def lays_of(department):
    """One to three like lines of each hose with a known coefficient: (words, (id, lines))."""
    found = []
    for hose in department.hose:
        try:
            LayPart.of(hose)
        except AerialStreamError:
            continue
        for lines in range(1, MOST_LINES + 1):
            words = f"{lines} line{'s' if lines > 1 else ''} of {hose.name}"
            found.append((words, (hose.id, lines)))
    return found


def _supply_of(department):
    """The largest hose of the department, for the line from the hydrant."""
    known = {hose_id for _, (hose_id, _) in lays_of(department)}
    return max((h for h in department.hose if h.id in known), key=lambda hose: hose.diameter)


def filled(department):
    """(the department with what the panel cannot do without, words on what was put in)."""
    demo = load_department(DEMO_FOLDER)
    lacking = {
        "nozzles": not nozzles_of(department),
        "hose": not lays_of(department),
        "pumpers": not department.pumpers,
    }
    put_in = {name: getattr(demo, name) for name, lacks in lacking.items() if lacks}
    if not put_in:
        return department, ""
    words = f" Not entered in your department, so invented here: {', '.join(put_in)}."
    return department.model_copy(update=put_in), words


def _rig(device, height):
    """The rig with what was tested on it; what was not is told as not entered."""
    rig = {"height": height}
    if device.waterway is not None:
        rig |= {"waterway_loss": device.waterway.loss, "waterway_flow": device.waterway.at_flow}
    if device.inlet is not None:
        rig |= {"inlet_loss": device.inlet.loss, "inlet_flow": device.inlet.at_flow}
    return rig


def chain_of(department, *, device, nozzle, height, lay, length, hydrant, supply, pumper):
    """The chain of a set-up, from the department's own data."""
    hose_id, lines = lay
    test = HYDRANTS[hydrant]
    return water_chain(
        nozzle=NozzlePart.of(next(n for n in department.nozzles if n.id == nozzle)),
        rig=_rig(department.device(device), height),
        lay=LayPart.of(department.hose_kind(hose_id), length=length, lines=lines),
        pumper=PumperPart.of(next(p for p in department.pumpers if p.id == pumper)),
        source={
            "kind": "hydrant",
            "static": test.static,
            "residual": test.residual,
            "test_flow": test.test_flow,
            "line": LayPart.of(_supply_of(department), length=supply),
        },
    )


def _compute(at):
    """(ChainPoint at the nozzle pressure, Best)."""
    names = ("device", "nozzle", "height", "lay", "length", "hydrant", "supply", "pumper")
    chain = chain_of(at.department, **{name: getattr(at, name) for name in names})
    return chain.at_nozzle_pressure(at.pressure), chain.best()


def hose_needed(at):
    """(what the lay takes, what is carried) of the hose from engine to aerial."""
    hose_id, lines = at.lay
    return lines * at.length, at.department.hose_kind(hose_id).carried


def _in_the_way(point, system):
    """What this flow goes beyond, in words."""
    if not point.broken:
        return "None of the limits entered stands in the way."
    said = f"Not like this: it goes beyond {' and '.join(point.broken)}."
    if point.intake.magnitude < 0:
        return f"{said} The intake gauge would go below zero."
    return said


def _reading(at, results):
    point, best = results
    system = at.system
    said = (
        f"{show(point.flow, system)} at the tip take {show(point.discharge_pressure, system)} "
        f"at the pump. {_in_the_way(point, system)} The most this set-up can give is "
        f"{show(best.binding.flow, system)}; then the {short_name(best.binding).lower()} binds."
    )
    needed, carried = hose_needed(at)
    if needed > carried:
        said += (
            f" The lay takes {show(needed, system)} of hose, and the list shows "
            f"{show(carried, system)}."
        )
    return said


def _view(at, results, put_in):
    point, best = results
    supply = f"{show(at.supply, at.system)} of {_supply_of(at.department).name}"
    return View(
        reading=_reading(at, results),
        limit=MANUAL + put_in,
        pictures=(chain_bars(point, best, system=at.system),),
        rows=(
            *point.lines(at.system),
            ("Hydrant to engine", supply),
            *best.lines(at.system),
        ),
    )


def _enough(at, results):
    point, _ = results
    needed, carried = hose_needed(at)
    return point.flow >= quantity(1000, "gpm") and not point.broken and needed <= carried


def _hydrant_binds(at, results):
    return results[1].binding.name == "source"


def _half(at, results):
    point, _ = results
    flow = point.flow.to("gpm").magnitude
    return 500 <= flow <= 560 and point.nozzle_pressure >= quantity(60, "psi") and not point.broken


def _first(options, wanted):
    """A wanted value where the department has it, else the first there is."""
    values = [value for _, value in options]
    return wanted if wanted in values else values[0]


def _controls(department):
    nozzles, lays = nozzles_of(department), lays_of(department)
    devices = [(d.name, d.id) for d in department.apparatus]
    hydrants = [
        (f"{h.words}, test {show(quantity(h.test_flow), department.units)}", key)
        for key, h in HYDRANTS.items()
    ]
    feet = {"low": 50, "high": 1000, "step": 10}
    metres = {"low": 15, "high": 300, "step": 5}
    return (
        Choice("nozzle", "Nozzle", nozzles, _first(nozzles, "tip-1-3/4")),
        Number(
            "pressure",
            "Nozzle pressure",
            Scale("psi", 40, 120, 1, 80),
            Scale("kPa", 280, 830, 5, 550),
        ),
        Number(
            "height", "Tip above the pump", Scale("ft", 0, 120, 1, 80), Scale("m", 0, 36, 1, 24)
        ),
        Choice("lay", "Engine to aerial", lays, _first(lays, ("attack-3", 2))),
        Number(
            "length",
            "Length of each line",
            Scale("ft", start=350, **feet),
            Scale("m", start=105, **metres),
        ),
        Choice("hydrant", "Hydrant", hydrants, "weir"),
        Number(
            "supply",
            "Hydrant to engine",
            Scale("ft", start=300, **feet),
            Scale("m", start=90, **metres),
        ),
        Choice("device", "Device", devices, _first(devices, "tower-3")),
        Choice("pumper", "Engine", [(p.name, p.id) for p in department.pumpers]),
    )


def chain_panel(department=None):
    """The panel, for a lesson's cell."""
    department, put_in = filled(department or load_department())
    system = department.units
    full, low, high = (show(quantity(gpm, "gpm"), system) for gpm in (1000, 500, 560))
    at_least = show(quantity(60, "psi"), system)
    return Panel(
        "04",
        "chain",
        controls=_controls(department),
        compute=_compute,
        view=lambda at, results: _view(at, results, put_in),
        tasks=(
            Task(
                f"{full} or more at the tip, nothing in the way, and no more hose than the list shows.",
                _enough,
            ),
            Task("A set-up in which the water source binds.", _hydrant_binds),
            Task(
                f"Half flow for work into a building: {low} to {high}, with at least {at_least} "
                "left at the nozzle.",
                _half,
            ),
        ),
        department=department,
    )
