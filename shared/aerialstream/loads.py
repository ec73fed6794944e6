"""Loads on the device as it is set up, at the ladder's base and at the turntable.

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
here knows what a ladder, a brake or the ground can bear. The rig on its pads is in `tipping.py`,
set-ups beside each other in `set_up_comparison.py`.
"""

from dataclasses import dataclass
from math import pi
from typing import Any

from aerialstream._checks import refuse
from aerialstream._core import loads as core
from aerialstream._load_parts import (
    AIM,
    DECIDES,
    PARTS,
    SET_UP,
    SHUTDOWN,
    STILL,
    SUMS,
    SWAP,
    WEIGHTS,
    Case,
    case_faults,
    cited_by,
    clean,
    gather,
    moment_text,
    numbers_of,
    plain_entry,
    quantity_or_none,
    sums_of,
    with_way,
)
from aerialstream.constants import LATTICE_DRAG, WATER_DENSITY, WIND_PRESSURE
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import worked


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
        return tuple(part for name in PARTS if (part := getattr(self, name)) is not None)

    def lines(self, system="US"):
        """Each sum with its way in words, and below it its parts, as (label, text) pairs."""
        out = []
        for name, words in SUMS.items():
            value = getattr(self, name)
            if name == "torsion" and value is not None and abs(value.magnitude) < 0.5:
                continue
            out.append((words[0], with_way(value, words, system, self.missing)))
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


def _part(name, numbers):
    if numbers is None:
        return None
    forces = {n: quantity(numbers[n], "lbf") for n in ("axial", "side", "in_plane")}
    moments = {n: quantity_or_none(numbers[n], "lbf*foot") for n in SUMS}
    return LoadPart(name=PARTS[name], **forces, **moments)


@quantities(**SET_UP)
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
    case = Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up, wind=wind,
        wind_from=wind_from, slope_along=slope_along, slope_across=slope_across,
        waterway_full=waterway_full, drag_coefficient=drag_coefficient,
    )  # fmt: skip
    refuse("set_up_loads", *case_faults(case, apparatus))
    return set_up_result(apparatus, case, gather(apparatus, case))


def set_up_result(apparatus, case, gathered):
    """The SetUpLoads of what was gathered."""
    numbers = {
        name: None
        if gathered.parts[name] is None
        else numbers_of(gathered.parts[name], case, gathered)
        for name in PARTS
    }
    sums = sums_of(numbers)
    return SetUpLoads(
        title=f"Loads on {apparatus.name}",
        device=apparatus.name,
        extension=quantity(case.extension, "foot"),
        elevation=quantity(case.elevation, "degree"),
        **{name: _part(name, part) for name, part in numbers.items()},
        **{name: quantity_or_none(value, "lbf*foot") for name, value in sums.items()},
        missing=gathered.missing,
        steps=worked(lambda pen: _steps(pen, case, gathered, numbers, sums, apparatus)),
        notes=_notes(case, gathered, numbers),
        sources=cited_by(case, gathered),
    )


def _notes(case, gathered, numbers):
    notes = list(gathered.notes)
    if gathered.missing:
        text = "Not entered, so not reckoned: " + "; ".join(gathered.missing) + "."
        notes.append(Note("caution", text))
    push = numbers["reaction"]
    if push and push["in_plane_moment"] < -0.5:
        notes.append(SHUTDOWN)
    if push and abs(push["side"]) > 0.5:
        notes.append(SWAP)
    if case.wind:
        text = (
            "The wind's push is steady, square to the ladder and on the ladder alone. Its "
            f"coefficient, {case.drag_coefficient:g}, stands for a flat-sided lattice 0.3 to 0.7 "
            "solid, on the solid area; 2.0 and 1.8 are printed for more open ones."
        )
        notes.append(Note("estimate", text))
    return (*notes, STILL, DECIDES)


def _steps(pen, case, gathered, numbers, sums, apparatus):
    """The sums as they are worked out, in one unit system."""
    lines = [
        *_weight_steps(pen, case, gathered, apparatus),
        *_reaction_steps(pen, case, gathered, numbers["reaction"]),
    ]
    if gathered.parts["wind"]:
        area = case.extension * plain_entry(apparatus.masses, "side_area", "foot**2")
        factor = pen.constant(WIND_PRESSURE.value, force=1, length=-2, wind=-2)
        speed = pen.number(case.wind, "wind")
        lines.append(
            f"Wind on the ladder's side = {factor} × {case.drag_coefficient:g} × "
            f"{pen.number(area, 'area')} × {speed} × {speed}"
            f" = {pen.of(abs(numbers['wind']['side']), 'force', 1)}"
        )
    for name, (label, *_) in SUMS.items():
        shares = [p[name] for p in numbers.values() if p and abs(p[name] or 0) > 0.05]
        if sums[name] is None or len(shares) < 2:
            continue
        terms = " + ".join(f"({moment_text(pen, share)})" for share in shares)
        lines.append(f"{label}, all parts = {terms} = {moment_text(pen, sums[name])}")
    return lines


def _weight_steps(pen, case, gathered, apparatus):
    """Weights on level ground: each with its level arm from the heel pin."""
    lines = []
    if gathered.parts["water"] and case.waterway_full:
        factor = WATER_DENSITY.value * pi / 4 / 144
        bore = pen.number(plain_entry(apparatus.masses, "waterway_bore", "inch"), "bore")
        weight = -gathered.parts["water"][0].force_lbf[2]
        lines.append(
            f"Water in the waterway = {pen.constant(factor, force=1, bore=-2, length=-1)} × {bore}"
            f" × {bore} × {pen.of(case.extension, 'length')} = {pen.of(weight, 'force', 1)}"
        )
    for name in WEIGHTS:
        load = (gathered.parts[name] or (None,))[0]
        if load is None or not load.force_lbf[2]:
            continue
        weight, arm = -load.force_lbf[2], load.at_ft[0]
        label = PARTS[name][0].upper() + PARTS[name][1:]
        lines.append(
            f"{label}, at the base = {pen.of(weight, 'force', digits=6)} × "
            f"{pen.of(arm, 'length', digits=6)} = {moment_text(pen, weight * arm)}"
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
    force = {n: pen.of(clean(numbers[n]), "force", digits=6) for n in ("axial", "side", "in_plane")}

    def arm(length):
        return pen.of(clean(length), "length", digits=6)

    def less(length, push):
        if not clean(length):
            return ""
        return f" - ({arm(length)}) × ({push})"

    level = pen.of(clean(outward), "force", digits=6)
    lift = pen.of(clean(upward), "force", digits=6)
    lines = [
        f"Nozzle {case.rotation:g} deg off the line, pitch {case.pitch:g} deg: along "
        f"{force['axial']}, side {force['side']}, square to the ladder {force['in_plane']}",
        f"Side moment by the reaction = {arm(along)} × {force['side']}"
        f"{less(left, force['axial'])} = {moment_text(pen, numbers['side_moment'])}",
    ]
    if clean(numbers["in_plane_moment"]):
        lines.append(
            f"In-plane moment by the reaction = -({arm(along)}) × {force['in_plane']}"
            f"{less(-upper, force['axial'])} = {moment_text(pen, numbers['in_plane_moment'])}"
        )
    if clean(numbers["torsion"]):
        lines.append(
            f"Torsion by the reaction = {arm(left)} × {force['in_plane']}"
            f"{less(upper, force['side'])} = {moment_text(pen, numbers['torsion'])}"
        )
    if gathered.heel_ft is not None:
        lines.append(
            f"Slew torque by the reaction, {arm(out)} out = {arm(out)} × {force['side']}"
            f"{less(left, level)} = {moment_text(pen, numbers['slew_torque'])}"
        )
    lines.append(
        f"Sideways overturning by the reaction, {arm(up)} up = {arm(up)} × {force['side']}"
        f"{less(left, lift)} = {moment_text(pen, numbers['overturning_sideways'])}"
    )
    return lines


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
        plane, side = SUMS["in_plane_moment"], SUMS["side_moment"]
        return (
            ("Change of the in-plane moment", with_way(self.in_plane_change, plane, system, ())),
            ("Change of the side moment", with_way(self.side_change, side, system, ())),
            (
                "In-plane moment with the stream",
                with_way(self.with_stream, plane, system, self.missing),
            ),
            (
                "In-plane moment without it",
                with_way(self.without_stream, plane, system, self.missing),
            ),
        )

    def __repr__(self):
        return self.text()


@quantities(**AIM)
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
    case = Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up,
    )  # fmt: skip
    gathered = gather(apparatus, case)
    no_place = (
        f"apparatus: {apparatus.name} has no platform table that says where the nozzle stands"
    )
    refuse(
        "sudden_shutdown",
        *case_faults(case, apparatus),
        no_place if gathered.parts["reaction"] is None else "",
    )
    loads = set_up_result(apparatus, case, gathered)
    push, whole = loads.reaction, loads.in_plane_moment
    before = None if whole is None else whole.magnitude
    lost = clean(push.in_plane_moment.magnitude)
    text = (
        "The tip does not only sink to its new rest: a springy ladder swings past it, and water that "
        "is stopped at once hammers besides. Open and shut slowly."
    )
    return ShutDown(
        title="Nozzle shut at once",
        in_plane_change=quantity(clean(-lost), "lbf*foot"),
        side_change=quantity(clean(-push.side_moment.magnitude), "lbf*foot"),
        with_stream=whole,
        without_stream=None if whole is None else whole - push.in_plane_moment,
        missing=tuple(m for m in gathered.missing if "heel" not in m),
        steps=worked(lambda pen: _shutdown_steps(pen, loads, before, lost)),
        notes=(*gathered.notes, Note("caution", text), DECIDES),
        sources=loads.sources,
    )


def _shutdown_steps(pen, loads, before, lost):
    square = clean(loads.reaction.in_plane.magnitude)
    steps = [
        f"Square to the ladder the stream pushes {pen.of(square, 'force', digits=6)}; its in-plane "
        f"moment is {moment_text(pen, lost)}",
        f"Lost with the stream = 0 - ({moment_text(pen, lost)}) = {moment_text(pen, -lost)}",
    ]
    if before is not None:
        steps.append(
            f"In-plane moment without it = {moment_text(pen, before)} - ({moment_text(pen, lost)})"
            f" = {moment_text(pen, before - lost)}"
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
        notes=(Note("estimate", text), STILL, DECIDES),
        sources=("first_principles_cantilever",),
    )


set_up_loads.plain = core.heel_moments_lbf_ft
sudden_shutdown.plain = core.heel_moments_lbf_ft
sway_ratio.plain = core.sway_ratio
