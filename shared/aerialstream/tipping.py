"""The rig on its pads: what turns it over, what holds it, what each pad carries.

Signs and axes as in `loads.py`. A ratio is no verdict; only a ratio that the department entered is
held against anything.
"""

from dataclasses import dataclass
from typing import Any

from aerialstream._checks import number_fault, refuse
from aerialstream._core import loads as core
from aerialstream._load_parts import (
    ANGLE,
    DECIDES,
    SET_UP,
    STILL,
    WEIGHTS,
    Case,
    case_faults,
    cited_by,
    gather,
    moment_text,
    plain_entry,
    quantity_or_none,
)
from aerialstream.constants import LATTICE_DRAG
from aerialstream.department import NOT_ENTERED
from aerialstream.errors import AerialStreamError
from aerialstream.results import Explained, Note
from aerialstream.units import in_unit, quantities, quantity, show
from aerialstream.worked import worked

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
        bearing = in_unit(over, ANGLE)
    except AerialStreamError as error:
        words = ", ".join(f'"{word}"' for word in _BEARINGS)
        said = str(error).rstrip(".")
        return 0.0, f'over = {over!r}: {said}. Write one of {words}, or an angle such as "45 deg"'
    fault = ANGLE.fault(bearing)
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
        of = WEIGHTS if name == "slope" else (name,) * len(loads)
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


@quantities(**SET_UP)
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
    case = Case(
        reaction=reaction, extension=extension, elevation=elevation, rotation=rotation,
        pitch=pitch, tip_load=tip_load, offset_left=offset_left, offset_up=offset_up, wind=wind,
        wind_from=wind_from, slope_along=slope_along, slope_across=slope_across,
        waterway_full=waterway_full, drag_coefficient=drag_coefficient,
    )  # fmt: skip
    bearing, fault = _bearing(over)
    refuse(
        "overturning",
        fault,
        *case_faults(case, apparatus),
        number_fault("load_multiplier", load_multiplier, 1, 10),
        "" if required_ratio is None else number_fault("required_ratio", required_ratio, 0.1, 100),
    )
    gathered = gather(apparatus, case)
    title = f"Overturning of {apparatus.name}"
    missing = _frame_missing(apparatus, gathered)
    if missing:
        text = "Not entered, so nothing is said of overturning: " + "; ".join(missing) + "."
        return Overturning(
            title=title,
            bearing=quantity(bearing, "degree"),
            missing=missing,
            notes=(*gathered.notes, Note("caution", text), STILL, DECIDES),
            sources=cited_by(case, gathered),
        )
    return _overturning_result(
        title, apparatus, case, gathered, bearing, load_multiplier, required_ratio
    )


def _overturning_result(title, apparatus, case, gathered, bearing, multiplier, required):
    names = (("vehicle", "lbf"), ("vehicle_ahead", "foot"), ("vehicle_height", "foot"))
    vehicle = tuple(plain_entry(apparatus.masses, name, unit) for name, unit in names)
    ahead, behind, spread = (
        plain_entry(apparatus.stabilisers, name, "foot") for name in ("ahead", "behind", "spread")
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
        ratio=quantity_or_none(ratio, ""),
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
        sources=cited_by(case, gathered),
    )


def _tipping_line(name, held, turned, ratio):
    return TippingLine(
        name=name,
        holding=quantity(held, "lbf*foot"),
        overturning=quantity(turned, "lbf*foot"),
        ratio=quantity_or_none(ratio, ""),
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
    return (*notes, _FRAME, _RATIO_IS_NO_VERDICT, STILL, DECIDES)


def _overturning_steps(pen, lines, shares, toward, vehicle, resultant, pads):
    steps = []
    if toward is not None:
        held, turned, ratio = lines[toward]
        terms = " + ".join(
            f"({moment_text(pen, share)})" for share in shares[toward].values() if abs(share) > 0.05
        )
        steps = [
            f"The vehicle, {pen.of(vehicle[0], 'weight')}, holds {moment_text(pen, held)} over the "
            f"line through the {toward} pads",
            f"Turns over that line, part by part = {terms} = {moment_text(pen, turned)}",
            f"Ratio = {moment_text(pen, held)} / ({moment_text(pen, turned)}) = {ratio:.4g}",
        ]
    if pads:
        loads = " + ".join(pen.of(pad, "force", 0, digits=6) for pad in pads)
        steps.append(
            f"On the pads together = {loads} = {pen.of(resultant[0], 'force', 0, digits=6)}"
        )
    return steps


overturning.plain = core.tipping_moment_lbf_ft
