"""Loads on the device as it is set up: ladder's base, turntable, pads, and set-ups compared.

Signs, everywhere here. Everything is told looking outward along the ladder.

    axial            + pulls outward, - presses toward the turntable
    side             + to the left
    in_plane         + to the upper side of the ladder
    in_plane_moment  + lowers the tip (adds to gravity), - lifts it
    side_moment      + bends the ladder to the left
    torsion          + left side up
    slew_torque      + turns the turntable to the left
    overturning_along     + tips the rig the way the ladder points
    overturning_sideways  + tips it to the left of the ladder
    rotation         of the nozzle off the ladder's line, + left; pitch + up from that line
    slope_along      + where the ladder points downhill
    slope_across     + where the ground falls to the left of the ladder
    bearing          of the ladder on the chassis, 0 over the cab, + to the left

Moments at the base are about the heel pin, those at the turntable about its centre at ground
level. Elevation counts from the turntable's plane. Everything is statics of a still rig: nothing
here knows what a ladder, a brake or the ground can bear.
"""

from dataclasses import dataclass
from math import acos, degrees, pi
from typing import Any, NamedTuple

from aerialstream._checks import NeedLike, choice_fault, number_fault, refuse
from aerialstream._core import loads as core
from aerialstream.constants import (
    LATTICE_DRAG,
    LONG_SHARE,
    LOW_ELEVATION,
    WATER_DENSITY,
    WIND_PRESSURE,
)
from aerialstream.department import NOT_ENTERED, manual_limit_text
from aerialstream.errors import AerialStreamError, ImpossibleValue, UnitError
from aerialstream.results import MANUAL_DECIDES, Explained, Note, Result
from aerialstream.units import Need, in_unit, kind_of, quantities, quantity, show
from aerialstream.worked import both, in_system, worked

_ANGLE = Need("angle", "degree", at_least=-180, at_most=180)
_SLOPE = NeedLike("angle", "degree", at_least=-30, at_most=30, like="3 deg")
_AIM = {
    "reaction": Need("force", "lbf", above=0),
    "extension": Need("length", "foot", above=0, at_most=400),
    "elevation": Need("angle", "degree", at_least=-90, at_most=90),
    "rotation": _ANGLE,
    "pitch": _ANGLE,
    "tip_load": Need("force", "lbf", at_least=0, at_most=1_000_000),
    "offset_left": Need("length", "foot"),
    "offset_up": Need("length", "foot"),
}
_SET_UP = {
    **_AIM,
    "wind": NeedLike("velocity", "mile/hour", at_least=0, at_most=200, like="20 mph"),
    "slope_along": _SLOPE,
    "slope_across": _SLOPE,
}
_WINDS = ("worse side", "left", "right")
_SUMS = {  # name -> label, words for plus and minus
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
_NEEDS_HEEL = ("slew_torque", "overturning_along")
_PARTS = {
    "reaction": "reaction",
    "ladder": "ladder's weight",
    "tip_load": "tip load",
    "water": "water in the waterway",
    "wind": "wind",
    "slope": "slope",
}
_WEIGHTS = ("ladder", "tip_load", "water")
_UPRIGHT = ("in_plane_moment", "overturning_along")
_SIDEWAYS = ("side_moment", "slew_torque", "overturning_sideways")
# A part that cannot be reckoned leaves these sums unknown; the others it does not touch.
_TOUCHES = {
    "reaction": tuple(_SUMS),
    **dict.fromkeys(_WEIGHTS, _UPRIGHT),
    "wind": _SIDEWAYS,
    "slope": (*_UPRIGHT, *_SIDEWAYS),
}
_STATICS = "first_principles_rig_statics"
_TIP_STATICS = "first_principles_tip_statics"

_STILL = Note(
    "caution",
    "Still loads only. Sweeping, opening or shutting fast, gusts, ice and anything that moves come "
    "on top. Nothing here says what the ladder, the turntable or the ground can bear.",
)
_DECIDES = Note("caution", MANUAL_DECIDES)
_SWAP = Note(
    "estimate",
    "Raising the ladder swaps slew torque for sideways overturning; the side load and the side "
    "moment at the base stay what they are.",
)
_LOW_AND_LONG = Note(
    "caution",
    "Low elevation with a long ladder. A report on five collapses says that four of the ladders "
    "were being extended at a low angle of elevation. A low angle is not the gentle case in itself: "
    "short extension, modest flow and a nozzle in line are.",
)
_SHUTDOWN = Note(
    "caution",
    "Here the stream lifts the tip. Shut the nozzle slowly: shut at once, it lets the tip drop.",
)


class _Case(NamedTuple):
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


class _Gathered(NamedTuple):
    """Every part as a tuple of loads from the heel pin, None where an entry is missing."""

    parts: dict
    missing: tuple
    height_ft: float
    heel_ft: float | None
    notes: tuple


def _plain(entry, name, unit):
    """An entry's quantity as a plain number, None where there is none."""
    value = getattr(entry, name, None)
    return None if value is None else float(value.to(unit).magnitude)


def _faults(case, apparatus):
    platform = apparatus.kind.endswith("platform")
    return (
        choice_fault("wind_from", case.wind_from, _WINDS),
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
            _plain(apparatus.platform, "ahead", "foot"),
            case.offset_left,
            _plain(apparatus.platform, "up", "foot"),
        ),
    )


def _weights(apparatus, case, missing):
    """Ladder, tip load and water as loads on level ground."""
    masses, found = apparatus.masses, dict.fromkeys(_WEIGHTS)
    ladder, share = _plain(masses, "ladder", "lbf"), _plain(masses, "ladder_centre", "")
    if ladder is None:
        missing.append("the ladder's weight and centre (masses)")
    else:
        centre = core.along_ladder_ft(share * case.extension, case.elevation)
        found["ladder"] = core.weight_load(ladder, centre)
    tip = case.tip_load if case.tip_load is not None else _plain(masses, "tip_load", "lbf")
    at_tip = core.along_ladder_ft(case.extension, case.elevation)
    if apparatus.platform is not None:
        ahead, up = (_plain(apparatus.platform, n, "foot") for n in ("ahead", "up"))
        at_tip = (at_tip[0] + ahead, 0.0, at_tip[2] + up)
    if tip is None:
        missing.append('the tip load (masses.tip_load, or tip_load="0 lb")')
    elif apparatus.kind.endswith("platform") and apparatus.platform is None and tip:
        missing.append("where the tip load stands (platform)")
    else:
        found["tip_load"] = core.weight_load(tip, at_tip)
    bore = _plain(masses, "waterway_bore", "inch")
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
    area = _plain(apparatus.masses, "side_area", "foot**2")
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


def _gather(apparatus, case):
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
    heel = _plain(apparatus, "heel_offset", "foot")
    if heel is None:
        missing.append("the heel pin's place (heel_offset)")
    height = _plain(apparatus, "turntable_height", "foot")
    notes = _range_notes(apparatus, case)
    return _Gathered(parts, tuple(missing), height, heel, notes)


def _range_notes(apparatus, case):
    """Where the department's own data say that the device cannot be set so; low and long."""
    said = []
    for what, value, unit, kind in (
        ("extension", case.extension, "foot", "length"),
        ("elevation", case.elevation, "degree", None),
    ):
        entered = getattr(apparatus, what)
        least, most = _plain(entered, "least", unit), _plain(entered, "most", unit)
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
    longest = _plain(apparatus.extension, "most", "foot")
    if case.elevation < LOW_ELEVATION.value and case.extension > LONG_SHARE.value * longest:
        said.append(_LOW_AND_LONG)
    return tuple(said)


def _range_text(name, what, value, least, most, kind):
    def write(pen):
        low, high, asked = (
            pen.shown(v, kind) if kind else f"{v:g} deg" for v in (least, most, value)
        )
        return f"{name} has {what} from {low} to {high} by your department's entry, not {asked}."

    return write


@dataclass(frozen=True, kw_only=True)
class LoadPart:
    """One load of a set-up: its force at the ladder and its moments. Signs: see the module.

    axial, side, in_plane in lbf; the moments in lbf·ft. slew_torque and overturning_along are
    None where the heel pin's place was not entered.
    """

    name: str
    axial: Any
    side: Any
    in_plane: Any
    in_plane_moment: Any
    side_moment: Any
    torsion: Any
    slew_torque: Any
    overturning_along: Any
    overturning_sideways: Any


@dataclass(frozen=True, kw_only=True)
class SetUpLoads(Explained):
    """Every load of one set-up, each a LoadPart, and their sums. Signs: see the module.

    A part is None where an entry of the department's data is missing; a sum that it belongs to is
    None too. missing names those entries.
    """

    device: str
    extension: Any
    elevation: Any
    reaction: LoadPart | None
    ladder: LoadPart | None
    tip_load: LoadPart | None
    water: LoadPart | None
    wind: LoadPart | None
    slope: LoadPart | None
    in_plane_moment: Any
    side_moment: Any
    torsion: Any
    slew_torque: Any
    overturning_along: Any
    overturning_sideways: Any
    missing: tuple[str, ...] = ()

    @property
    def parts(self):
        """The parts that could be reckoned, in order."""
        return tuple(part for name in _PARTS if (part := getattr(self, name)) is not None)

    def lines(self, system="US"):
        """Each sum with its way in words, and below it its parts, as (label, text) pairs."""
        out = []
        for name, words in _SUMS.items():
            value = getattr(self, name)
            if name == "torsion" and value is not None and abs(value.magnitude) < 0.5:
                continue
            out.append((words[0], _with_way(value, words, system, self.missing)))
            shares = [
                f"{part.name} {show(share, system)}"
                for part in self.parts
                if (share := getattr(part, name)) is not None and abs(share.magnitude) >= 0.5
            ]
            if len(shares) > 1 or (value is None and shares):
                out.append((f"{words[0]}, part by part", "; ".join(shares)))
        return tuple(out)

    def __repr__(self):
        return self.text()


def _with_way(value, words, system, missing):
    """A sum as printed, with the way it acts, or why it is not known."""
    if value is None:
        return "not known: not entered are " + "; ".join(missing)
    text = show(abs(value), system)
    return text if abs(value.magnitude) < 0.5 else f"{text}, {words[1 + (value.magnitude < 0)]}"


def _numbers(loads, case, gathered):
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
        found |= dict.fromkeys(_NEEDS_HEEL)
    return found


def _sums(numbers):
    """The sums of the parts; None where a part that belongs to one is not known."""
    found = {}
    for name in _SUMS:
        shares = [
            None if part is None else part[name]
            for key, part in numbers.items()
            if part is not None or name in _TOUCHES[key]
        ]
        found[name] = None if None in shares else sum(shares)
    return found


def _quantity_or_none(number, unit):
    return None if number is None else quantity(number, unit)


def _part(name, numbers):
    if numbers is None:
        return None
    forces = {n: quantity(numbers[n], "lbf") for n in ("axial", "side", "in_plane")}
    moments = {n: _quantity_or_none(numbers[n], "lbf*foot") for n in _SUMS}
    return LoadPart(name=_PARTS[name], **forces, **moments)


@quantities(**_SET_UP)
def set_up_loads(
    apparatus,
    *,
    reaction,
    extension,
    elevation,
    rotation="0 deg",
    pitch="0 deg",
    wind="0 mph",
    wind_from="worse side",
    slope_along="0 deg",
    slope_across="0 deg",
    tip_load=None,
    waterway_full=True,
    offset_left="0 ft",
    offset_up="0 ft",
    drag_coefficient=LATTICE_DRAG.value,
):
    """Every load on the device as it is set up: at the ladder's base and at the turntable.

    For seeing what loads the device, and what of it comes from where: the reaction, the weights
    of ladder, tip load and water, a side wind, a slope. The tip stands X = heel + L cos(elevation)
    out and Z = turntable + L sin(elevation) up; a side load F there gives side moment L F, slew
    torque X F, sideways overturning Z F. Signs: see the module.

    Takes
      apparatus         an Apparatus of the department's data
      reaction          reaction of the nozzle; any force unit; usual unit lbf; symbol R
      extension         heel pin to nozzle (platform: to the tip pin); usual unit ft; symbol L
      elevation         of the ladder from the turntable's plane; usual unit deg
      rotation          nozzle off the ladder's line, + left; usual unit deg
      pitch             nozzle up (+) or down (-) from the ladder's line, on a platform that keeps
                        level from level; usual unit deg
      wind              steady wind square to the ladder; any velocity unit; usual unit mph
      wind_from         "left", "right" or "worse side": the one that adds to the side moment
      slope_along       turntable's tilt along the ladder, + where it points downhill; usual unit deg
      slope_across      tilt across the ladder, + where it falls to the left; usual unit deg
      tip_load          people and gear at the tip; left out, the department's entry; usual unit lb
      waterway_full     False for a ladder flown dry
      offset_left       nozzle left (+) of the ladder's section axis; usual unit ft
      offset_up         nozzle on the upper (+) or lower (-) side of that axis; usual unit ft
      drag_coefficient  of the ladder's side in the wind, a plain number
    Gives
      SetUpLoads        parts and sums, forces in lbf, moments in lbf·ft; shown to 1; a sum is
                        None where an entry it needs is missing, and missing names the entry
    Holds for
      a straight ladder, weight as entered, pipe along the whole ladder, wind on the ladder alone
    How close
      exact statics of what was entered; the wind's coefficient is good to about 25 %. No gusts,
      ice, sag, basket or hose in it, nothing that moves
    Fails when
      UnitError         an input has no unit or one of another kind
      ImpossibleValue   a force or length that cannot be, an angle out of range, an unknown wind side
    Sources
      first_principles_rig_statics; first_principles_tip_statics; water_density_handbook;
      wind_pressure_quoted; lattice_drag_quoted; usfa_tr_081
    Check value
      >>> from aerialstream import load_department
      >>> rig = load_department().device("tower-3")
      >>> loads = set_up_loads(
      ...     rig, reaction="505 lbf", extension="90 ft", elevation="75 deg", rotation="90 deg"
      ... )
      >>> print(show(abs(loads.overturning_sideways)))
      47,941 lbf·ft
    """
    case = _Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up, wind=wind,
        wind_from=wind_from, slope_along=slope_along, slope_across=slope_across,
        waterway_full=waterway_full, drag_coefficient=drag_coefficient,
    )  # fmt: skip
    refuse("set_up_loads", *_faults(case, apparatus))
    return _set_up_result(apparatus, case, _gather(apparatus, case))


def _set_up_result(apparatus, case, gathered):
    numbers = {
        name: None
        if gathered.parts[name] is None
        else _numbers(gathered.parts[name], case, gathered)
        for name in _PARTS
    }
    sums = _sums(numbers)
    return SetUpLoads(
        title=f"Loads on {apparatus.name}",
        device=apparatus.name,
        extension=quantity(case.extension, "foot"),
        elevation=quantity(case.elevation, "degree"),
        **{name: _part(name, part) for name, part in numbers.items()},
        **{name: _quantity_or_none(value, "lbf*foot") for name, value in sums.items()},
        missing=gathered.missing,
        steps=worked(lambda pen: _steps(pen, case, gathered, numbers, sums, apparatus)),
        notes=_notes(case, gathered, numbers),
        sources=_sources(case, gathered),
    )


def _notes(case, gathered, numbers):
    notes = list(gathered.notes)
    if gathered.missing:
        text = "Not entered, so not reckoned: " + "; ".join(gathered.missing) + "."
        notes.append(Note("caution", text))
    push = numbers["reaction"]
    if push and push["in_plane_moment"] < -0.5:
        notes.append(_SHUTDOWN)
    if push and abs(push["side"]) > 0.5:
        notes.append(_SWAP)
    if case.wind:
        text = (
            "The wind's push is steady, square to the ladder and on the ladder alone. Its "
            f"coefficient, {case.drag_coefficient:g}, stands for a flat-sided lattice 0.3 to 0.7 "
            "solid, on the solid area; 2.0 and 1.8 are printed for more open ones."
        )
        notes.append(Note("estimate", text))
    return (*notes, _STILL, _DECIDES)


def _sources(case, gathered):
    cited = [_STATICS, _TIP_STATICS]
    if case.waterway_full and gathered.parts["water"]:
        cited.append(WATER_DENSITY.source)
    if case.wind:
        cited += [WIND_PRESSURE.source, LATTICE_DRAG.source]
    if _LOW_AND_LONG in gathered.notes:
        cited.append("usfa_tr_081")
    return tuple(cited)


def _clean(number):
    """Without the dust that cos 90° leaves, and without a minus before nothing."""
    return round(number, 7) + 0.0


def _moment(pen, number):
    return pen.of(_clean(number), "moment", 0, digits=7)


def _steps(pen, case, gathered, numbers, sums, apparatus):
    """The sums as they are worked out, in one unit system."""
    lines = [
        *_weight_steps(pen, case, gathered, apparatus),
        *_reaction_steps(pen, case, gathered, numbers["reaction"]),
    ]
    if gathered.parts["wind"]:
        area = case.extension * _plain(apparatus.masses, "side_area", "foot**2")
        factor = pen.constant(WIND_PRESSURE.value, force=1, length=-2, wind=-2)
        speed = pen.number(case.wind, "wind")
        lines.append(
            f"Wind on the ladder's side = {factor} × {case.drag_coefficient:g} × "
            f"{pen.number(area, 'area')} × {speed} × {speed}"
            f" = {pen.of(abs(numbers['wind']['side']), 'force', 1)}"
        )
    for name, (label, *_) in _SUMS.items():
        shares = [p[name] for p in numbers.values() if p and abs(p[name] or 0) > 0.05]
        if sums[name] is None or len(shares) < 2:
            continue
        terms = " + ".join(f"({_moment(pen, share)})" for share in shares)
        lines.append(f"{label}, all parts = {terms} = {_moment(pen, sums[name])}")
    return lines


def _weight_steps(pen, case, gathered, apparatus):
    """Weights on level ground: each with its level arm from the heel pin."""
    lines = []
    if gathered.parts["water"] and case.waterway_full:
        factor = WATER_DENSITY.value * pi / 4 / 144
        bore = pen.number(_plain(apparatus.masses, "waterway_bore", "inch"), "bore")
        weight = -gathered.parts["water"][0].force_lbf[2]
        lines.append(
            f"Water in the waterway = {pen.constant(factor, force=1, bore=-2, length=-1)} × {bore}"
            f" × {bore} × {pen.of(case.extension, 'length')} = {pen.of(weight, 'force', 1)}"
        )
    for name in _WEIGHTS:
        load = (gathered.parts[name] or (None,))[0]
        if load is None or not load.force_lbf[2]:
            continue
        weight, arm = -load.force_lbf[2], load.at_ft[0]
        label = _PARTS[name][0].upper() + _PARTS[name][1:]
        lines.append(
            f"{label}, at the base = {pen.of(weight, 'force', digits=6)} × "
            f"{pen.of(arm, 'length', digits=6)} = {_moment(pen, weight * arm)}"
        )
    return lines


def _reaction_steps(pen, case, gathered, numbers):
    """The reaction's own moments, with signs: arm × force, less what an offset takes."""
    if numbers is None:
        return []
    (load,) = gathered.parts["reaction"]
    along, left, upper = core.in_ladder_axes(load.at_ft, case.elevation)
    out, _, up = core.from_ground(load.at_ft, gathered.heel_ft or 0, gathered.height_ft)
    outward, _, upward = load.force_lbf
    force = {
        n: pen.of(_clean(numbers[n]), "force", digits=6) for n in ("axial", "side", "in_plane")
    }

    def arm(length):
        return pen.of(_clean(length), "length", digits=6)

    def less(length, push):
        if not _clean(length):
            return ""
        return f" - ({arm(length)}) × ({push})"

    level = pen.of(_clean(outward), "force", digits=6)
    lift = pen.of(_clean(upward), "force", digits=6)
    lines = [
        f"Nozzle {case.rotation:g} deg off the line, pitch {case.pitch:g} deg: along "
        f"{force['axial']}, side {force['side']}, square to the ladder {force['in_plane']}",
        f"Side moment by the reaction = {arm(along)} × {force['side']}"
        f"{less(left, force['axial'])} = {_moment(pen, numbers['side_moment'])}",
    ]
    if _clean(numbers["in_plane_moment"]):
        lines.append(
            f"In-plane moment by the reaction = -({arm(along)}) × {force['in_plane']}"
            f"{less(-upper, force['axial'])} = {_moment(pen, numbers['in_plane_moment'])}"
        )
    if _clean(numbers["torsion"]):
        lines.append(
            f"Torsion by the reaction = {arm(left)} × {force['in_plane']}"
            f"{less(upper, force['side'])} = {_moment(pen, numbers['torsion'])}"
        )
    if gathered.heel_ft is not None:
        lines.append(
            f"Slew torque by the reaction, {arm(out)} out = {arm(out)} × {force['side']}"
            f"{less(left, level)} = {_moment(pen, numbers['slew_torque'])}"
        )
    lines.append(
        f"Sideways overturning by the reaction, {arm(up)} up = {arm(up)} × {force['side']}"
        f"{less(left, lift)} = {_moment(pen, numbers['overturning_sideways'])}"
    )
    return lines


# --- overturning ----------------------------------------------------------------------------

_BEARINGS = {
    "front": 0.0,
    "side": 90.0,
    "left side": 90.0,
    "rear": 180.0,
    "right side": -90.0,
}
_LINES = {"left": (0.0, 1.0), "right": (0.0, -1.0), "front": (1.0, 0.0), "rear": (-1.0, 0.0)}
_TAKEN = ("reaction", "tip_load")  # what a load multiplier is applied to
_PADS = ("front left", "front right", "rear left", "rear right")
_FRAME = Note(
    "estimate",
    "Pads: a rigid frame on four equally stiff pads that can only push, all wheels off the ground, "
    "pads fully set on both sides as entered, ground that does not give. A real frame twists and "
    "real ground gives: single pads can carry more than this says. Wheels that stay on the ground "
    "carry too; where they stand is not in the data.",
)
_RATIO_IS_NO_VERDICT = Note(
    "caution",
    "The ratio is what the vehicle's weight holds over what the aerial and its loads turn over the "
    "line through two pads. It sizes the load and says nothing about the ground. The device's own "
    "chart decides.",
)


@dataclass(frozen=True, kw_only=True)
class TippingLine:
    """The line through two pads: what the vehicle's weight holds there, what turns over it.

    holding and overturning in lbf·ft; ratio a plain number, None where nothing turns over the line.
    """

    name: str
    holding: Any
    overturning: Any
    ratio: Any


@dataclass(frozen=True, kw_only=True)
class PadLoad:
    """What one pad carries, in lbf."""

    name: str
    load: Any


@dataclass(frozen=True, kw_only=True)
class Overturning(Explained):
    """The rig on its pads: the four tipping lines, the one with the least ratio, and the pads.

    left, right, front, rear are TippingLines; toward names the one with the least ratio, ratio is
    that one's. pads are four PadLoads, empty where nothing balances; lifted names a pad that
    carries nothing. verdict speaks only of a ratio that the department entered. Where entries are
    missing all of it is None, and missing names them.
    """

    bearing: Any
    left: TippingLine | None = None
    right: TippingLine | None = None
    front: TippingLine | None = None
    rear: TippingLine | None = None
    toward: str | None = None
    ratio: Any = None
    pads: tuple[PadLoad, ...] = ()
    lifted: str | None = None
    down: Any = None
    verdict: str = ""
    missing: tuple[str, ...] = ()

    def lines(self, system="US"):
        """The tipping lines, the pads and the verdict as (label, text) pairs."""
        if self.missing:
            return ((self.title, "not known: not entered are " + "; ".join(self.missing)),)
        out = []
        for line in (self.left, self.right, self.front, self.rear):
            if line.ratio is None:
                out.append((f"Over the {line.name} pads", "nothing turns over this line"))
                continue
            held, turned = show(line.holding, system), show(line.overturning, system)
            text = f"{held} held against {turned}: ratio {line.ratio.magnitude:.2f}"
            out.append((f"Over the {line.name} pads", text))
        for pad in self.pads:
            text = show(pad.load, system, "weight")
            lifts = ", lifts: the other three carry all" if pad.name == self.lifted else ""
            out.append((f"Pad {pad.name}", text + lifts))
        if not self.pads:
            text = f"nothing balances on the pads alone: the rig goes over the {self.toward} pads"
            out.append(("Pads", text))
        return (*out, ("Required ratio", self.verdict))

    def __repr__(self):
        return self.text()


def _bearing(over):
    """The bearing in degrees that a word or an angle names; the fault is a text."""
    if isinstance(over, str) and over in _BEARINGS:
        return _BEARINGS[over], ""
    try:
        bearing = in_unit(over, _ANGLE)
    except AerialStreamError as error:
        words = ", ".join(f'"{word}"' for word in _BEARINGS)
        said = str(error).rstrip(".")
        return 0.0, f'over = {over!r}: {said}. Write one of {words}, or an angle such as "45 deg"'
    fault = _ANGLE.fault(bearing)
    return bearing, f'over = {over}: {fault}. Write over="45 deg"' if fault else ""


def _frame_missing(apparatus, gathered):
    """Entries that the sum needs beside those of the ladder."""
    missing = list(gathered.missing)
    if apparatus.masses is None:
        missing.append("the vehicle's weight and centre (masses)")
    pads = apparatus.stabilisers
    if pads is None:
        missing.append("where the pads stand (stabilisers)")
    elif pads.ahead == pads.behind:
        missing.append(
            "a second pair of pads (stabilisers): with one pair the wheels carry a part, and "
            "where they stand is not in the data"
        )
    return tuple(missing)


def _on_chassis(gathered, case, bearing, vehicle, multiplier):
    """(vehicle's load, the others by part) in chassis axes, from the turntable's centre."""
    weight, ahead, height = vehicle
    down = core.to_chassis(core.downward(case.slope_along, case.slope_across), bearing)
    truck = core.Load(tuple(weight * part for part in down), (ahead, 0.0, height))
    placed = {}
    for name, loads in gathered.parts.items():
        of = _WEIGHTS if name == "slope" else (name,) * len(loads)
        placed[name] = tuple(
            core.Load(
                core.to_chassis(
                    [(multiplier if what in _TAKEN else 1.0) * part for part in load.force_lbf],
                    bearing,
                ),
                core.to_chassis(
                    core.from_ground(load.at_ft, gathered.heel_ft, gathered.height_ft), bearing
                ),
            )
            for what, load in zip(of, loads, strict=False)
        )
    return truck, placed


@quantities(**_SET_UP)
def overturning(
    apparatus,
    *,
    over,
    reaction,
    extension,
    elevation,
    rotation="0 deg",
    pitch="0 deg",
    wind="0 mph",
    wind_from="worse side",
    slope_along="0 deg",
    slope_across="0 deg",
    tip_load=None,
    waterway_full=True,
    offset_left="0 ft",
    offset_up="0 ft",
    drag_coefficient=LATTICE_DRAG.value,
    load_multiplier=1.0,
    required_ratio=None,
):
    """What turns the rig over the lines through its pads, what holds it, and what each pad carries.

    For seeing how much of the vehicle's weight a set-up uses up. A force (outward Fu, up Fz) at
    distance u and height z turns over a line at s: Fu z - Fz (u - s). Ratio = what the vehicle's
    weight holds over what ladder, tip load, water, reaction and wind turn over, net.

    Takes
      apparatus         an Apparatus of the department's data
      over              where the ladder points: "front", "rear", "left side", "right side",
                        "side" (left), or its bearing from the cab, + to the left; usual unit deg
      reaction          reaction of the nozzle; any force unit; usual unit lbf
      extension         heel pin to nozzle (platform: to the tip pin); usual unit ft
      elevation         of the ladder from the turntable's plane; usual unit deg
      rotation          nozzle off the ladder's line, + left; usual unit deg
      pitch             nozzle up (+) or down (-) from the ladder's line (platform: from level);
                        usual unit deg
      wind              steady wind square to the ladder, on the ladder alone; usual unit mph
      wind_from         "left", "right" or "worse side": the one that adds to the side moment
      slope_along       tilt along the ladder, + where it points downhill; usual unit deg
      slope_across      tilt across the ladder, + where it falls to the left; usual unit deg
      tip_load          people and gear at the tip; left out, the department's entry; usual unit lb
      waterway_full     False for a ladder flown dry
      offset_left       nozzle left (+) of the ladder's section axis; usual unit ft
      offset_up         nozzle on the upper (+) or lower (-) side of that axis; usual unit ft
      drag_coefficient  of the ladder's side in the wind, a plain number
      load_multiplier   your department's own number: tip load and reaction taken so many times
      required_ratio    your department's own number: the least ratio it asks for
    Gives
      Overturning       ratio and moments (lbf·ft) of four tipping lines, pads in lbf; shown to
                        0.01, 1 lbf·ft and 1 lb; None where an entry is missing
    Holds for
      two pairs of pads fully set, wheels off the ground, a rigid frame, firm ground
    How close
      exact statics for the ratio; the pads by equal stiffness, real ones differ. Nothing dynamic,
      no wind on the vehicle, no ground that gives
    Fails when
      UnitError         an input has no unit or one of another kind
      ImpossibleValue   a force or length that cannot be, an angle out of range, a bearing or wind
                        side that is not known, a plain number out of range
    Sources
      first_principles_rig_statics; first_principles_tip_statics; water_density_handbook;
      wind_pressure_quoted; lattice_drag_quoted; usfa_tr_081
    Check value
      >>> from aerialstream import load_department
      >>> found = overturning(
      ...     load_department().device("tower-3"), over="side", reaction="505 lbf",
      ...     extension="90 ft", elevation="0 deg", pitch="30 deg",
      ... )
      >>> print(show(found.ratio))
      1.372
    """
    case = _Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up, wind=wind,
        wind_from=wind_from, slope_along=slope_along, slope_across=slope_across,
        waterway_full=waterway_full, drag_coefficient=drag_coefficient,
    )  # fmt: skip
    bearing, fault = _bearing(over)
    refuse(
        "overturning",
        fault,
        *_faults(case, apparatus),
        number_fault("load_multiplier", load_multiplier, 1, 10),
        "" if required_ratio is None else number_fault("required_ratio", required_ratio, 0.1, 100),
    )
    gathered = _gather(apparatus, case)
    title = f"Overturning of {apparatus.name}"
    missing = _frame_missing(apparatus, gathered)
    if missing:
        text = "Not entered, so nothing is said of overturning: " + "; ".join(missing) + "."
        return Overturning(
            title=title,
            bearing=quantity(bearing, "degree"),
            missing=missing,
            notes=(*gathered.notes, Note("caution", text), _STILL, _DECIDES),
            sources=_sources(case, gathered),
        )
    return _overturning_result(
        title, apparatus, case, gathered, bearing, load_multiplier, required_ratio
    )


def _overturning_result(title, apparatus, case, gathered, bearing, multiplier, required):
    names = (("vehicle", "lbf"), ("vehicle_ahead", "foot"), ("vehicle_height", "foot"))
    vehicle = tuple(_plain(apparatus.masses, name, unit) for name, unit in names)
    ahead, behind, spread = (
        _plain(apparatus.stabilisers, name, "foot") for name in ("ahead", "behind", "spread")
    )
    truck, placed = _on_chassis(gathered, case, bearing, vehicle, multiplier)
    lines, shares = {}, {}
    for name, distance in zip(_LINES, (spread / 2, spread / 2, ahead, -behind), strict=True):
        way = _LINES[name]
        shares[name] = {
            part: sum(core.tipping_moment_lbf_ft(load, way, distance) for load in loads)
            for part, loads in placed.items()
        }
        held = -core.tipping_moment_lbf_ft(truck, way, distance)
        turned = sum(shares[name].values())
        lines[name] = (held, turned, held / turned if turned > 1e-6 else None)
    toward = min(
        (n for n in lines if lines[n][2] is not None), key=lambda n: lines[n][2], default=None
    )
    everything = [truck, *(load for loads in placed.values() for load in loads)]
    resultant = core.resultant(everything)
    pads, lifted = core.pad_loads_lbf(*resultant, ahead, behind, spread)
    ratio = lines[toward][2] if toward else None
    return Overturning(
        title=title,
        bearing=quantity(bearing, "degree"),
        **{name: _tipping_line(name, *numbers) for name, numbers in lines.items()},
        toward=toward,
        ratio=_quantity_or_none(ratio, ""),
        pads=tuple(
            PadLoad(name=name, load=quantity(load, "lbf"))
            for name, load in zip(_PADS, pads or (), strict=False)
        ),
        lifted=None if lifted is None else _PADS[lifted],
        down=quantity(resultant[0], "lbf"),
        verdict=_verdict(ratio, required),
        steps=worked(
            lambda pen: _overturning_steps(pen, lines, shares, toward, vehicle, resultant, pads)
        ),
        notes=_overturning_notes(gathered, multiplier, pads, lifted, toward),
        sources=_sources(case, gathered),
    )


def _tipping_line(name, held, turned, ratio):
    return TippingLine(
        name=name,
        holding=quantity(held, "lbf*foot"),
        overturning=quantity(turned, "lbf*foot"),
        ratio=_quantity_or_none(ratio, ""),
    )


def _verdict(ratio, required):
    if required is None:
        return NOT_ENTERED
    if ratio is not None and ratio < required * (1 - 1e-9):
        return f"BELOW THE ENTERED RATIO of {required:g}. Do not; see the operator's manual."
    return f"Not below the entered ratio of {required:g}. The manual itself decides."


def _overturning_notes(gathered, multiplier, pads, lifted, toward):
    notes = list(gathered.notes)
    if multiplier != 1:
        text = (
            f"Tip load and reaction are taken {multiplier:g} times, a number that you entered; the "
            "ratio and the pads are for that."
        )
        notes.append(Note("estimate", text))
    if pads is None:
        text = f"Nothing balances on the pads alone: the rig goes over the {toward} pads. Do not."
        notes.append(Note("caution", text))
    if lifted is not None:
        text = (
            f"The {_PADS[lifted]} pad lifts: it carries nothing, and the other three carry all. "
            "See the operator's manual before anything else."
        )
        notes.append(Note("caution", text))
    return (*notes, _FRAME, _RATIO_IS_NO_VERDICT, _STILL, _DECIDES)


def _overturning_steps(pen, lines, shares, toward, vehicle, resultant, pads):
    steps = []
    if toward is not None:
        held, turned, ratio = lines[toward]
        terms = " + ".join(
            f"({_moment(pen, share)})" for share in shares[toward].values() if abs(share) > 0.05
        )
        steps = [
            f"The vehicle, {pen.of(vehicle[0], 'weight')}, holds {_moment(pen, held)} over the "
            f"line through the {toward} pads",
            f"Turns over that line, part by part = {terms} = {_moment(pen, turned)}",
            f"Ratio = {_moment(pen, held)} / ({_moment(pen, turned)}) = {ratio:.4g}",
        ]
    if pads:
        loads = " + ".join(pen.of(pad, "force", 0, digits=6) for pad in pads)
        steps.append(
            f"On the pads together = {loads} = {pen.of(resultant[0], 'force', 0, digits=6)}"
        )
    return steps


# --- the nozzle shut at once; sway ----------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class ShutDown(Explained):
    """What changes at the ladder's base when the nozzle is shut at once; lbf·ft, signs of the module.

    in_plane_change + lowers the tip; side_change + bends to the left. with_stream and
    without_stream are the whole in-plane moment before and after, None where entries are missing.
    """

    in_plane_change: Any
    side_change: Any
    with_stream: Any
    without_stream: Any
    missing: tuple[str, ...] = ()

    def lines(self, system="US"):
        """The changes, then the whole moment before and after, as (label, text) pairs."""
        plane, side = _SUMS["in_plane_moment"], _SUMS["side_moment"]
        return (
            ("Change of the in-plane moment", _with_way(self.in_plane_change, plane, system, ())),
            ("Change of the side moment", _with_way(self.side_change, side, system, ())),
            (
                "In-plane moment with the stream",
                _with_way(self.with_stream, plane, system, self.missing),
            ),
            (
                "In-plane moment without it",
                _with_way(self.without_stream, plane, system, self.missing),
            ),
        )

    def __repr__(self):
        return self.text()


@quantities(**_AIM)
def sudden_shutdown(
    apparatus,
    *,
    reaction,
    extension,
    elevation,
    rotation="0 deg",
    pitch="0 deg",
    tip_load=None,
    offset_left="0 ft",
    offset_up="0 ft",
):
    """What the ladder's base loses when the nozzle is shut at once.

    For seeing why valves are shut slowly: a stream pitched down carries part of the ladder, and
    that part goes with the stream. Change = the reaction's moments with the sign turned.

    Takes
      apparatus    an Apparatus of the department's data
      reaction     reaction of the nozzle; any force unit; usual unit lbf
      extension    heel pin to nozzle (platform: to the tip pin); usual unit ft
      elevation    of the ladder from the turntable's plane; usual unit deg
      rotation     nozzle off the ladder's line, + left; usual unit deg
      pitch        nozzle up (+) or down (-) from the ladder's line (platform: from level); usual
                   unit deg
      tip_load     people and gear at the tip; left out, the department's entry; usual unit lb
      offset_left  nozzle left (+) of the ladder's section axis; usual unit ft
      offset_up    nozzle on the upper (+) or lower (-) side of that axis; usual unit ft
    Gives
      ShutDown     changes and whole moments in lbf·ft; shown to 1 lbf·ft
    Holds for
      level ground, no wind, the waterway still full
    How close
      exact statics; the ladder's spring and the water's hammer are not in it, and both make it
      worse
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a force or length that cannot be, an angle out of range; a platform whose
                       nozzle's place was not entered
    Sources
      first_principles_rig_statics; first_principles_tip_statics; water_density_handbook;
      usfa_tr_081
    Check value
      >>> from aerialstream import load_department
      >>> rig = load_department().device("tower-3")
      >>> shut = sudden_shutdown(
      ...     rig, reaction="505 lbf", extension="95 ft", elevation="70 deg", pitch="-70 deg"
      ... )
      >>> print(show(shut.in_plane_change))
      45,082 lbf·ft
    """
    case = _Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up,
    )  # fmt: skip
    gathered = _gather(apparatus, case)
    no_place = (
        f"apparatus: {apparatus.name} has no platform table that says where the nozzle stands"
    )
    refuse(
        "sudden_shutdown",
        *_faults(case, apparatus),
        no_place if gathered.parts["reaction"] is None else "",
    )
    loads = _set_up_result(apparatus, case, gathered)
    push, whole = loads.reaction, loads.in_plane_moment
    before = None if whole is None else whole.magnitude
    lost = _clean(push.in_plane_moment.magnitude)
    text = (
        "The tip does not only sink to its new rest: a springy ladder swings past it, and water that "
        "is stopped at once hammers besides. Open and shut slowly."
    )
    return ShutDown(
        title="Nozzle shut at once",
        in_plane_change=quantity(_clean(-lost), "lbf*foot"),
        side_change=quantity(_clean(-push.side_moment.magnitude), "lbf*foot"),
        with_stream=whole,
        without_stream=None if whole is None else whole - push.in_plane_moment,
        missing=tuple(m for m in gathered.missing if "heel" not in m),
        steps=worked(lambda pen: _shutdown_steps(pen, loads, before, lost)),
        notes=(*gathered.notes, Note("caution", text), _DECIDES),
        sources=loads.sources,
    )


def _shutdown_steps(pen, loads, before, lost):
    square = _clean(loads.reaction.in_plane.magnitude)
    steps = [
        f"Square to the ladder the stream pushes {pen.of(square, 'force', digits=6)}; its in-plane "
        f"moment is {_moment(pen, lost)}",
        f"Lost with the stream = 0 - ({_moment(pen, lost)}) = {_moment(pen, -lost)}",
    ]
    if before is not None:
        steps.append(
            f"In-plane moment without it = {_moment(pen, before)} - ({_moment(pen, lost)})"
            f" = {_moment(pen, before - lost)}"
        )
    return steps


@quantities(
    side_load=Need("force", "lbf", above=0),
    extension=Need("length", "foot", above=0),
    other_side_load=Need("force", "lbf", above=0),
    other_extension=Need("length", "foot", above=0),
)
def sway_ratio(side_load, *, extension, other_side_load, other_extension):
    """Sideways sway of the tip in one set-up as a share of that in another: R L³ over R L³.

    For seeing how strongly the length counts. No deflection in inches is given: how stiff a
    ladder is cannot be seen from outside.

    Takes
      side_load        side load at the tip; any force unit; usual unit lbf
      extension        ladder from heel pin to nozzle; any length unit; usual unit ft
      other_side_load  side load of the set-up it is compared with; usual unit lbf
      other_extension  extension of that set-up; usual unit ft
    Gives
      Result           sway as a share of the other's, in percent; shown to 1 %
    Holds for
      a ladder taken as a uniform cantilever, the same in both set-ups
    How close
      a real ladder's sections overlap when it is short, so that it sways even less than this says
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a force or length that cannot be
    Sources
      first_principles_cantilever
    Check value
      >>> print(sway_ratio(
      ...     "505 lbf", extension="40 ft", other_side_load="505 lbf", other_extension="100 ft"
      ... ))
      6 %
    """
    ratio = core.sway_ratio(side_load, extension, other_side_load, other_extension)
    load, length = side_load / other_side_load, extension / other_extension
    text = "A uniform cantilever: a real ladder is none. A share only, no deflection."
    return Result(
        title="Sway of the tip against the other set-up",
        value=quantity(100 * ratio, "percent"),
        steps=worked(
            lambda pen: (
                f"Side load against the other's: {pen.number(side_load, 'force')} / "
                f"{pen.number(other_side_load, 'force')} = {load:.5g}",
                f"Length against the other's: {pen.number(extension, 'length')} / "
                f"{pen.number(other_extension, 'length')} = {length:.5g}",
                f"Sway = 100 × {load:.5g} × {length:.5g} × {length:.5g} × {length:.5g}"
                f" = {100 * ratio:.4g} %",
            )
        ),
        notes=(Note("estimate", text), _STILL, _DECIDES),
        sources=("first_principles_cantilever",),
    )


# --- set-ups compared -----------------------------------------------------------------------

_RESPECTS = ("in_plane_moment", "side_moment", "slew_torque", "overturning_sideways")
_LOOK_UP = "flow, extension, elevation, rotation, wind and slope"
_FREE = ("wind_from", "waterway_full", "drag_coefficient")
_FLOW = Need("flow", "gpm", above=0, at_most=20_000)


@dataclass(frozen=True, kw_only=True)
class Ranking:
    """Set-ups from the worst to the least in one respect.

    alone is True where the reaction alone is compared, because an entry for the rest is missing.
    order holds (name, size in lbf·ft, how many times the least, None where the least is nothing).
    """

    respect: str
    alone: bool
    order: tuple[tuple[str, Any, float | None], ...]


@dataclass(frozen=True, kw_only=True)
class Lever:
    """What one change would make of a set-up's loads, as factors; None where there is nothing."""

    set_up: str
    change: str
    in_plane_moment: float | None
    side_moment: float | None
    slew_torque: float | None
    overturning_sideways: float | None


@dataclass(frozen=True, kw_only=True)
class Comparison(Explained):
    """Set-ups of one device, ranked; what would lighten each; what the department's entries say.

    loads holds (name, SetUpLoads); rankings one Ranking for each respect that could be reckoned;
    worse the sentences "A is worse than B in ..."; limits (name, sentence); levers the Levers.
    """

    loads: tuple[tuple[str, SetUpLoads], ...]
    rankings: tuple[Ranking, ...]
    worse: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    levers: tuple[Lever, ...]
    missing: tuple[str, ...] = ()

    def lines(self, system="US"):
        """Rankings, what the entries say, and the levers, as (label, text) pairs."""
        out = []
        for ranking in self.rankings:
            alone = ", reaction alone" if ranking.alone else ""
            order = [f"{name} {show(size, system)}" for name, size, _ in ranking.order]
            out.append((f"{_SUMS[ranking.respect][0]}{alone}, worst first", "; ".join(order)))
        out += [(f"{name}: the manual", in_system(text, system)) for name, text in self.limits]
        for lever in self.levers:
            factors = [
                f"{_SUMS[respect][0].lower()} × {factor:.2g}"
                for respect in _RESPECTS
                if (factor := getattr(lever, respect)) is not None
            ]
            text = "; ".join(factors) if factors else "no load of its own to lighten"
            out.append((f"{lever.set_up}: {in_system(lever.change, system)}", text))
        return tuple(out)

    def __repr__(self):
        return self.text()


def compare_set_ups(apparatus, set_ups):
    """Set-ups of one device beside each other: which is worse in what, and what lightens them.

    For choosing a set-up with lighter loads. A ranks as worse than B only in a respect that is
    named: in-plane moment, side moment, slew torque, sideways overturning. No set-up is called
    good; the department's entries from its manual are quoted, and where there are none the kit says
    what to look up.

    Takes
      apparatus  an Apparatus of the department's data
      set_ups    name -> table of texts with units: reaction, extension and elevation, and where
                 they differ from nothing rotation, pitch, wind, slope_along, slope_across, tip_load
                 and the other inputs of `set_up_loads`; flow for the look-up in the manual's table
    Gives
      Comparison
    Fails when
      UnitError        an input has no unit or one of another kind; every fault of every set-up is
                       named
      ImpossibleValue  a value that cannot be, a key that is not known, no set-up at all
    """
    if not set_ups:
        raise ImpossibleValue(
            'compare_set_ups needs a set-up, such as {"short": {"reaction": "505 lbf", '
            '"extension": "40 ft", "elevation": "10 deg"}}'
        )
    cases, flows = _read_set_ups(apparatus, set_ups)
    loads = tuple(
        (name, _set_up_result(apparatus, case, _gather(apparatus, case)))
        for name, case in cases.items()
    )
    rankings = tuple(r for r in (_ranking(respect, loads) for respect in _RESPECTS) if r)
    missing = tuple(dict.fromkeys(entry for _, found in loads for entry in found.missing))
    return Comparison(
        title=f"Set-ups of {apparatus.name}",
        loads=loads,
        rankings=rankings,
        worse=tuple(text for ranking in rankings for text in _worse(ranking)),
        limits=tuple(
            (name, _limit_text(apparatus, case, flows[name], set_ups[name]))
            for name, case in cases.items()
        ),
        levers=tuple(
            lever
            for name, case in cases.items()
            for lever in _levers(apparatus, name, case, rankings)
        ),
        missing=missing,
        steps=tuple(text for ranking in rankings for text in _worse(ranking)),
        notes=_comparison_notes(loads, missing),
        sources=tuple(dict.fromkeys(cited for _, found in loads for cited in found.sources)),
    )


def _read_set_ups(apparatus, set_ups):
    """Each set-up in plain numbers, and its flow or None; every fault of all of them at once."""
    cases, flows, faults, impossible_only = {}, {}, [], True
    for name, table in set_ups.items():
        values = {}
        unknown = [k for k in table if k not in (*_SET_UP, *_FREE, "flow")]
        absent = [k for k in ("reaction", "extension", "elevation") if k not in table]
        said = [f"{k}: not a key the kit knows; known: {', '.join(_SET_UP)}, flow" for k in unknown]
        said += [f'{k}: missing; write {k}="{_SET_UP[k].example}"' for k in absent]
        for key, need in {**_SET_UP, "flow": _FLOW}.items():
            if table.get(key) is None:
                continue
            try:
                values[key] = in_unit(table[key], need)
            except AerialStreamError as error:
                said.append(
                    f'{key} = {table[key]!r}: {str(error).rstrip(".")}. Write {key}="{need.example}"'
                )
                impossible_only = False
                continue
            fault = need.fault(values[key])
            if fault:
                said.append(f'{key} = {table[key]}: {fault}. Write {key}="{need.example}"')
        flows[name] = values.pop("flow", None)
        if not said:
            cases[name] = _Case(**values, **{k: table[k] for k in _FREE if k in table})
            said = [fault for fault in _faults(cases[name], apparatus) if fault]
        faults += [f"set-up {name}: {text}" for text in said]
    if faults:
        family = ImpossibleValue if impossible_only else UnitError
        raise family("compare_set_ups cannot work with this:\n  " + "\n  ".join(faults))
    return cases, flows


def _sizes(respect, loads):
    """Name -> size of a moment, and whether the reaction alone was taken; None where not known."""
    whole = {name: getattr(found, respect) for name, found in loads}
    alone = None in whole.values()
    if alone:
        parts = {name: found.reaction for name, found in loads}
        whole = {name: None if p is None else getattr(p, respect) for name, p in parts.items()}
        if None in whole.values():
            return None, True
    return {name: abs(_clean(value.magnitude)) for name, value in whole.items()}, alone


def _ranking(respect, loads):
    sizes, alone = _sizes(respect, loads)
    if sizes is None:
        return None
    order = sorted(sizes, key=sizes.get, reverse=True)
    least = sizes[order[-1]]
    return Ranking(
        respect=respect,
        alone=alone,
        order=tuple(
            (name, quantity(sizes[name], "lbf*foot"), sizes[name] / least if least > 0.5 else None)
            for name in order
        ),
    )


def _worse(ranking):
    """The worst against each of the others, in words."""
    (worst, size, _), *others = ranking.order
    label = _SUMS[ranking.respect][0].lower() + (" (reaction alone)" if ranking.alone else "")
    for name, other, _ in others:
        if size.magnitude - other.magnitude <= 1e-6 * size.magnitude:
            yield f"{worst} and {name} are alike in {label}"
        elif other.magnitude <= 0.5:
            yield f"{worst} is worse than {name} in {label}: {name} has none"
        else:
            times = size.magnitude / other.magnitude
            yield f"{worst} is worse than {name} in {label}: {times:.3g} times as much"


def _levers(apparatus, name, case, rankings):
    """Short extension, modest flow, nozzle in line: each worked out anew, the rest as it is."""
    short = max(
        case.extension / 2, min(case.extension, _plain(apparatus.extension, "least", "foot"))
    )
    changes = (
        (
            both(lambda pen: f"shorter, {pen.shown(short, 'length')}"),
            case._replace(extension=short),
        ),
        ("half the flow at the same nozzle pressure", case._replace(reaction=case.reaction / 2)),
        ("nozzle in line", case._replace(rotation=0.0)),
    )
    before = _plain_respects(apparatus, case, rankings)
    for change, lighter in changes:
        after = _plain_respects(apparatus, lighter, rankings)
        factors = {
            respect: abs(after[respect] / before[respect])
            if abs(before.get(respect) or 0) > 0.5
            else None
            for respect in _RESPECTS
        }
        yield Lever(set_up=name, change=change, **factors)


def _plain_respects(apparatus, case, rankings):
    """The ranked moments of a set-up as plain numbers, without building its result."""
    gathered = _gather(apparatus, case)
    numbers = {
        name: None if loads is None else _numbers(loads, case, gathered)
        for name, loads in gathered.parts.items()
    }
    sums = _sums(numbers)
    return {
        r.respect: numbers["reaction"][r.respect] if r.alone else sums[r.respect] for r in rankings
    }


def _limit_text(apparatus, case, flow, given):
    """What the department's own entries say of a set-up, or what to look up; in both systems."""
    return both(lambda pen: " ".join(_limit_sentences(apparatus, case, flow, given, pen.system)))


def _limit_sentences(apparatus, case, flow, given, system):
    if flow is None:
        yield f"No flow was given, so nothing was looked up. Look up {_LOOK_UP}."
    else:
        yield manual_limit_text(
            apparatus,
            flow=quantity(flow, "gpm"),
            extension=quantity(case.extension, "foot"),
            rotation=quantity(case.rotation, "degree"),
            system=system,
        )
        if not apparatus.manual_limits:
            yield f"Look up {_LOOK_UP}."
    yield from _condition_texts(apparatus, case, given, system)


def _condition_texts(apparatus, case, given, system):
    """Wind, slope and elevation against the department's own entries; nothing where there are none.

    What the set-up does not tell is not held against an entry as if it were nothing.
    """
    entered = apparatus.manual_conditions
    if entered is None:
        return
    down = core.downward(case.slope_along, case.slope_across)
    steepest = degrees(acos(min(1.0, -down[2])))
    for what, value, limit, unit, way in (
        ("wind", case.wind, entered.wind_up_to, "mile/hour", 1),
        ("slope", steepest, entered.slope_up_to, "degree", 1),
        ("elevation", case.elevation, entered.elevation_at_least, "degree", -1),
    ):
        if limit is None:
            continue
        bound = limit.to(unit).magnitude
        beyond = way * (value - bound) > 1e-9 * max(1.0, abs(bound))
        word = "up to" if way > 0 else "no lower than"
        text = f"{what} {word} {_as_entered(limit, system)} ({entered.page})"
        if not any(key.startswith(what) for key in given):
            yield f"No {what} was given to hold against the entry: {text}."
            continue
        if beyond:
            yield f"BEYOND THE ENTERED LIMIT: {text}. Do not; see the operator's manual."
        else:
            yield f"Not beyond the entered limit: {text}."


def _as_entered(limit, system):
    """A limit as crews say it: wind in mph or m/s, angles in degrees."""
    if kind_of(limit) == "velocity" and system == "US":
        return f"{limit.to('mile/hour').magnitude:.3g} mph"
    return show(limit, system)


def _comparison_notes(loads, missing):
    notes = list(dict.fromkeys(n for _, found in loads for n in found.notes))
    last = [n for n in (_STILL, _DECIDES) if n in notes]
    said = [n for n in notes if n not in last and not n.text.startswith("Not entered, so")]
    if missing:
        text = (
            "Not entered, so where it says “reaction alone” only that is compared: "
            + "; ".join(missing)
            + "."
        )
        said.append(Note("caution", text))
    text = (
        "What lightens any set-up: a short ladder, a modest flow, a nozzle in line. A ranking says "
        "which load is larger; it calls none of them allowed."
    )
    return (*said, Note("caution", text), *last)


set_up_loads.plain = core.heel_moments_lbf_ft
overturning.plain = core.tipping_moment_lbf_ft
sudden_shutdown.plain = core.heel_moments_lbf_ft
sway_ratio.plain = core.sway_ratio
