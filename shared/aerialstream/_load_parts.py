"""What set-ups are reckoned from: the set-up itself, its loads part by part, and shared words.

Signs as in `loads.py`. Used by `loads.py`, `tipping.py` and `set_up_comparison.py`.
"""

from typing import NamedTuple

from aerialstream._checks import NeedLike, choice_fault, number_fault
from aerialstream._core import loads as core
from aerialstream.constants import (
    LATTICE_DRAG,
    LONG_SHARE,
    LOW_ELEVATION,
    WATER_DENSITY,
    WIND_PRESSURE,
)
from aerialstream.results import MANUAL_DECIDES, Note
from aerialstream.units import Need, quantity, show
from aerialstream.worked import both

ANGLE = Need("angle", "degree", at_least=-180, at_most=180)
SLOPE = NeedLike("angle", "degree", at_least=-30, at_most=30, like="3 deg")
AIM = {
    "reaction": Need("force", "lbf", above=0),
    "extension": Need("length", "foot", above=0, at_most=400),
    "elevation": Need("angle", "degree", at_least=-90, at_most=90),
    "rotation": ANGLE,
    "pitch": ANGLE,
    "tip_load": Need("force", "lbf", at_least=0, at_most=1_000_000),
    "offset_left": Need("length", "foot"),
    "offset_up": Need("length", "foot"),
}
SET_UP = {
    **AIM,
    "wind": NeedLike("velocity", "mile/hour", at_least=0, at_most=200, like="20 mph"),
    "slope_along": SLOPE,
    "slope_across": SLOPE,
}
WINDS = ("worse side", "left", "right")
SUMS = {  # name -> label, words for plus and minus
    "in_plane_moment": ("In-plane moment at the base", "lowers the tip", "lifts the tip"),
    "side_moment": ("Side moment at the base", "to the left", "to the right"),
    "torsion": ("Torsion at the base", "left side up", "right side up"),
    "slew_torque": ("Slew torque at the turntable", "to the left", "to the right"),
    "overturning_along": (
        "Overturning along the ladder's line",
        "the way the ladder points",
        "away from where the ladder points",
    ),
    "overturning_sideways": ("Overturning sideways", "to the left", "to the right"),
}
NEEDS_HEEL = ("slew_torque", "overturning_along")
PARTS = {
    "reaction": "reaction",
    "ladder": "ladder's weight",
    "tip_load": "tip load",
    "water": "water in the waterway",
    "wind": "wind",
    "slope": "slope",
}
WEIGHTS = ("ladder", "tip_load", "water")
UPRIGHT = ("in_plane_moment", "overturning_along")
SIDEWAYS = ("side_moment", "slew_torque", "overturning_sideways")
# A part that cannot be reckoned leaves these sums unknown; the others it does not touch.
TOUCHES = {
    "reaction": tuple(SUMS),
    **dict.fromkeys(WEIGHTS, UPRIGHT),
    "wind": SIDEWAYS,
    "slope": (*UPRIGHT, *SIDEWAYS),
}
STATICS = "first_principles_rig_statics"
TIP_STATICS = "first_principles_tip_statics"

STILL = Note(
    "caution",
    "Still loads only. Sweeping, opening or shutting fast, gusts, ice and anything that moves come "
    "on top. Nothing here says what the ladder, the turntable or the ground can bear.",
)
DECIDES = Note("caution", MANUAL_DECIDES)
SWAP = Note(
    "estimate",
    "Raising the ladder swaps slew torque for sideways overturning; the side load and the side "
    "moment at the base stay what they are.",
)
LOW_AND_LONG = Note(
    "caution",
    "Low elevation with a long ladder. A report on five collapses says that four of the ladders "
    "were being extended at a low angle of elevation. A low angle is not the gentle case in itself: "
    "short extension, modest flow and a nozzle in line are.",
)
SHUTDOWN = Note(
    "caution",
    "Here the stream lifts the tip. Shut the nozzle slowly: shut at once, it lets the tip drop.",
)


class Case(NamedTuple):
    """A set-up in plain numbers, as the public functions get it."""

    reaction: float
    extension: float
    elevation: float
    rotation: float = 0.0
    pitch: float = 0.0
    tip_load: float | None = None
    offset_left: float = 0.0
    offset_up: float = 0.0
    wind: float = 0.0
    wind_from: str = "worse side"
    slope_along: float = 0.0
    slope_across: float = 0.0
    waterway_full: bool = True
    drag_coefficient: float = LATTICE_DRAG.value


class Gathered(NamedTuple):
    """Every part as a tuple of loads from the heel pin, None where an entry is missing."""

    parts: dict
    missing: tuple
    height_ft: float
    heel_ft: float | None
    notes: tuple


def plain_entry(entry, name, unit):
    """An entry's quantity as a plain number, None where there is none."""
    value = getattr(entry, name, None)
    return None if value is None else float(value.to(unit).magnitude)


def case_faults(case, apparatus):
    """What no single input of a set-up can show, one text each; empty texts where nothing is wrong."""
    platform = apparatus.kind.endswith("platform")
    return (
        choice_fault("wind_from", case.wind_from, WINDS),
        number_fault("drag_coefficient", case.drag_coefficient, 0.1, 3),
        f"offset_up = {case.offset_up:g} ft: {apparatus.name} is a platform, its nozzle stands where "
        "platform.up says. Leave offset_up out"
        if platform and case.offset_up
        else "",
    )


def _nozzle(apparatus, case):
    """The nozzle's load, None where a platform's nozzle has no place."""
    if not apparatus.kind.endswith("platform"):
        return core.nozzle_load(
            case.reaction,
            case.rotation,
            case.pitch,
            case.extension,
            case.elevation,
            (case.offset_left, case.offset_up),
        )
    if apparatus.platform is None:
        return None
    return core.platform_nozzle_load(
        case.reaction,
        case.rotation,
        case.pitch,
        case.extension,
        case.elevation,
        (
            plain_entry(apparatus.platform, "ahead", "foot"),
            case.offset_left,
            plain_entry(apparatus.platform, "up", "foot"),
        ),
    )


def _weights(apparatus, case, missing):
    """Ladder, tip load and water as loads on level ground."""
    masses, found = apparatus.masses, dict.fromkeys(WEIGHTS)
    ladder, share = plain_entry(masses, "ladder", "lbf"), plain_entry(masses, "ladder_centre", "")
    if ladder is None:
        missing.append("the ladder's weight and centre (masses)")
    else:
        centre = core.along_ladder_ft(share * case.extension, case.elevation)
        found["ladder"] = core.weight_load(ladder, centre)
    tip = case.tip_load if case.tip_load is not None else plain_entry(masses, "tip_load", "lbf")
    at_tip = core.along_ladder_ft(case.extension, case.elevation)
    if apparatus.platform is not None:
        ahead, up = (plain_entry(apparatus.platform, n, "foot") for n in ("ahead", "up"))
        at_tip = (at_tip[0] + ahead, 0.0, at_tip[2] + up)
    if tip is None:
        missing.append('the tip load (masses.tip_load, or tip_load="0 lb")')
    elif apparatus.kind.endswith("platform") and apparatus.platform is None and tip:
        missing.append("where the tip load stands (platform)")
    else:
        found["tip_load"] = core.weight_load(tip, at_tip)
    bore = plain_entry(masses, "waterway_bore", "inch")
    middle = core.along_ladder_ft(case.extension / 2, case.elevation)
    if not case.waterway_full:
        found["water"] = core.weight_load(0.0, middle)
    elif bore is None:
        missing.append("the waterway's bore (masses.waterway_bore)")
    else:
        found["water"] = core.weight_load(core.water_in_pipe_lb(bore, case.extension), middle)
    return found


def _wind(apparatus, case, others, missing):
    """The wind on the ladder's side, at half its length."""
    if not case.wind:
        return ()
    area = plain_entry(apparatus.masses, "side_area", "foot**2")
    if area is None:
        missing.append("what the ladder shows a side wind (masses.side_area)")
        return None
    push = core.wind_force_lbf(case.wind, case.drag_coefficient, area * case.extension)
    way = {"left": -1.0, "right": 1.0}.get(case.wind_from)
    if way is None:
        bent = sum(core.heel_moments_lbf_ft(load, case.elevation)[2] for load in others)
        way = -1.0 if bent < 0 else 1.0
    middle = core.along_ladder_ft(case.extension / 2, case.elevation)
    return (core.Load((0.0, way * push, 0.0), middle),)


def gather(apparatus, case):
    """Every load of a set-up, and which entries are missing."""
    missing = []
    nozzle = _nozzle(apparatus, case)
    if nozzle is None:
        missing.append("where the nozzle stands (platform)")
    weights = _weights(apparatus, case, missing)
    parts = {"reaction": None if nozzle is None else (nozzle,)}
    parts |= {name: None if load is None else (load,) for name, load in weights.items()}
    down = core.downward(case.slope_along, case.slope_across)
    if not (case.slope_along or case.slope_across):
        parts["slope"] = ()
    elif None in weights.values():
        parts["slope"] = None
    else:
        parts["slope"] = tuple(core.slope_shift(load, down) for load in weights.values())
    others = (*(parts["reaction"] or ()), *(parts["slope"] or ()))
    parts["wind"] = _wind(apparatus, case, others, missing)
    heel = plain_entry(apparatus, "heel_offset", "foot")
    if heel is None:
        missing.append("the heel pin's place (heel_offset)")
    height = plain_entry(apparatus, "turntable_height", "foot")
    notes = _range_notes(apparatus, case)
    return Gathered(parts, tuple(missing), height, heel, notes)


def _range_notes(apparatus, case):
    """Where the department's own data say that the device cannot be set so; low and long."""
    said = []
    for what, value, unit, kind in (
        ("extension", case.extension, "foot", "length"),
        ("elevation", case.elevation, "degree", None),
    ):
        entered = getattr(apparatus, what)
        least, most = plain_entry(entered, "least", unit), plain_entry(entered, "most", unit)
        if not least - 1e-9 <= value <= most + 1e-9:
            ends = both(_range_text(apparatus.name, what, value, least, most, kind))
            said.append(Note("outside range", ends))
    travel = apparatus.nozzle_travel
    for what, value, plus, minus in (
        ("rotation", case.rotation, travel.left, travel.right),
        ("pitch", case.pitch, travel.up, travel.down),
    ):
        most = (plus if value > 0 else minus).to("degree").magnitude
        if abs(value) > most + 1e-9:
            text = (
                f"The nozzle of {apparatus.name} turns no further than {most:g} deg that way, by "
                f"your department's entry; {what} {value:g} deg is asked here."
            )
            said.append(Note("outside range", text))
    longest = plain_entry(apparatus.extension, "most", "foot")
    if case.elevation < LOW_ELEVATION.value and case.extension > LONG_SHARE.value * longest:
        said.append(LOW_AND_LONG)
    return tuple(said)


def _range_text(name, what, value, least, most, kind):
    def write(pen):
        low, high, asked = (
            pen.shown(v, kind) if kind else f"{v:g} deg" for v in (least, most, value)
        )
        return f"{name} has {what} from {low} to {high} by your department's entry, not {asked}."

    return write


def numbers_of(loads, case, gathered):
    """Forces and moments of a part in plain numbers, by name."""
    forces, base, table = [0.0] * 3, [0.0] * 3, [0.0] * 3
    for load in loads:
        for total, new in (
            (forces, core.in_ladder_axes(load.force_lbf, case.elevation)),
            (base, core.heel_moments_lbf_ft(load, case.elevation)),
            (table, core.turntable_moments_lbf_ft(load, gathered.heel_ft or 0, gathered.height_ft)),
        ):
            for i in range(3):
                total[i] += new[i]
    found = dict(zip(("axial", "side", "in_plane"), forces, strict=True))
    found |= zip(("torsion", "in_plane_moment", "side_moment"), base, strict=True)
    found |= zip(("slew_torque", "overturning_along", "overturning_sideways"), table, strict=True)
    if gathered.heel_ft is None:
        found |= dict.fromkeys(NEEDS_HEEL)
    return found


def sums_of(numbers):
    """The sums of the parts; None where a part that belongs to one is not known."""
    found = {}
    for name in SUMS:
        shares = [
            None if part is None else part[name]
            for key, part in numbers.items()
            if part is not None or name in TOUCHES[key]
        ]
        found[name] = None if None in shares else sum(shares)
    return found


def quantity_or_none(number, unit):
    """A quantity, None of None."""
    return None if number is None else quantity(number, unit)


def cited_by(case, gathered):
    """Ids of the sources of what was gathered."""
    cited = [STATICS, TIP_STATICS]
    if case.waterway_full and gathered.parts["water"]:
        cited.append(WATER_DENSITY.source)
    if case.wind:
        cited += [WIND_PRESSURE.source, LATTICE_DRAG.source]
    if LOW_AND_LONG in gathered.notes:
        cited.append("usfa_tr_081")
    return tuple(cited)


def clean(number):
    """Without the dust that cos 90° leaves, and without a minus before nothing."""
    return round(number, 7) + 0.0


def moment_text(pen, number):
    """A moment in a step, in the pen's system."""
    return pen.of(clean(number), "moment", 0, digits=7)


def with_way(value, words, system, missing):
    """A sum as printed, with the way it acts, or why it is not known."""
    if value is None:
        return "not known: not entered are " + "; ".join(missing)
    text = show(abs(value), system)
    return text if abs(value.magnitude) < 0.5 else f"{text}, {words[1 + (value.magnitude < 0)]}"
