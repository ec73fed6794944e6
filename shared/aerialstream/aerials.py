"""What an aerial can aim at: where its tip is, where its nozzle points, what stops it.

Straight lines and angles only. The sag of ladder and stream, weight, wind and slope are left
out. The ranges are the department's own entries; what its manual allows while flowing is more
than geometry, and is only repeated where the department has entered it.
"""

from dataclasses import dataclass
from math import atan2, ceil, cos, degrees, floor, hypot, inf, radians, sin
from typing import Any

from aerialstream._checks import refuse
from aerialstream._core import aerials as core
from aerialstream.department import NOT_ENTERED
from aerialstream.results import Explained, Note
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

_SOURCE = "first_principles_aerial_geometry"
_EXTENSION = Need("length", "foot", above=0)
_ELEVATION = Need("angle", "degree", at_least=-90, at_most=90)
_TURN = Need("angle", "degree", at_least=-180, at_most=180)
_HEIGHT = Need("length", "foot")
_DISTANCE = Need("length", "foot", above=0)
_MARGIN = Need("length", "foot", at_least=0)

_GEOMETRY_ONLY = Note(
    "caution",
    "Geometry says what the nozzle can point at; it permits nothing. The operator's manual of the "
    "device and local procedure decide what is allowed, flow by flow and length by length.",
)
_IN_LINE_FIRST = Note(
    "caution",
    "Bring the ladder's centre line to the target with the turntable; the nozzle turns for fine "
    "corrections only. Shut down before the ladder moves, unless the manual of the device allows "
    "moving while flowing.",
)
_LOW_CASE = (
    Note(
        "caution",
        "Low is not the gentle case in itself: ladders have failed at low angles. Short ladder, "
        "modest flow and a nozzle in line are. A stream from street level and close up is for "
        "places where command has ruled out a collapse and everybody inside is accounted for.",
    ),
    Note(
        "estimate",
        "The stream is a straight line here. A real one sags: it passes lower through the opening "
        "and strikes further inside, or not at all.",
    ),
)
_BELOW_LEVEL = Note(
    "caution",
    "Below level the cradle, the cab, the body or the hose bed often stand in the way, and many "
    "devices have a least elevation (common practice, no source): see the operator's manual.",
)
_UNDERGROUND = Note(
    "caution", "This is lower than the ground at the rig: the ladder would meet the ground first."
)
_INSTEAD = (
    "sweep the floor or hit what burns directly with a lower stream",
    "use another window or door that is nearer or taller",
    "use a deck gun or a ground monitor",
    "use a rig whose nozzle or ladder reaches this",
    "have the glazing or sign above the opening taken out, only if command orders it",
)
_NOT_AGAINST_THE_BUILDING = Note(
    "caution", "Never rest or push the ladder against the building to gain angle."
)


@dataclass(frozen=True)
class _Rig:
    """An apparatus as plain numbers; a platform's offset is taken into offset and height."""

    name: str
    height_ft: float
    offset_ft: float
    extension_ft: tuple
    elevation_deg: tuple
    travel: core.Travel
    levels: bool
    notes: tuple

    def nozzle_ft(self, extension, elevation):
        """(out, up) of the nozzle."""
        return core.tip_position_ft(self.height_ft, self.offset_ft, extension, elevation)

    def base_deg(self, elevation):
        """Elevation of what the nozzle stands on."""
        return 0.0 if self.levels else elevation


def plain_rig(apparatus):
    """The plain numbers of an apparatus, with a note for each that nobody entered."""
    notes = []
    heel = apparatus.heel_offset
    if heel is None:
        notes.append(Note("estimate", "heel offset not entered: taken at the turntable's centre."))
    levels = apparatus.kind.endswith("platform")
    platform = apparatus.platform
    if levels and platform is None:
        notes.append(
            Note("estimate", "platform not entered: its nozzle is taken at the ladder's tip pin.")
        )
    ahead, up = (platform.ahead, platform.up) if platform else (0, 0)
    travel = apparatus.nozzle_travel
    return _Rig(
        name=apparatus.name,
        height_ft=_feet(apparatus.turntable_height) + (_feet(up) if up else 0.0),
        offset_ft=(_feet(heel) if heel is not None else 0.0) + (_feet(ahead) if ahead else 0.0),
        extension_ft=(_feet(apparatus.extension.least), _feet(apparatus.extension.most)),
        elevation_deg=(_deg(apparatus.elevation.least), _deg(apparatus.elevation.most)),
        travel=core.Travel(*(_deg(getattr(travel, w)) for w in ("up", "down", "left", "right"))),
        levels=levels,
        notes=tuple(notes),
    )


def _feet(value):
    return float(value.to("foot").magnitude)


def _deg(value):
    return float(value.to("degree").magnitude)


def _angle(degrees_):
    """An angle in words, to a tenth."""
    return show(quantity(degrees_, "degree"))


def _length(feet, pen):
    """A length in words, in the pen's system."""
    return show(quantity(feet, "foot"), pen.system)


def _range_fault(name, value, bounds, unit, whose):
    """Why a value cannot be set on this device, or an empty text."""
    least, most = bounds
    if least - 1e-9 <= value <= most + 1e-9:
        return ""
    said, low, high = (show(quantity(v, unit)) for v in (value, least, most))
    return f"{name} = {said}: {whose} goes from {low} to {high}. Choose one between them"


def _check_ranges(function, rig, extension, elevation):
    """Refuse an extension or elevation that the device does not have, both at once."""
    refuse(
        function,
        _range_fault("extension", extension, rig.extension_ft, "foot", rig.name),
        ""
        if elevation is None
        else _range_fault("elevation", elevation, rig.elevation_deg, "degree", rig.name),
    )


def _place_notes(apparatus, elevation, up=0.0, where_to=""):
    """Cautions that go with a low ladder, and the least elevation that the department entered."""
    notes = [_UNDERGROUND] if up < 0 else []
    if elevation >= 0:
        return tuple(notes)
    entered = getattr(apparatus.manual_conditions, "elevation_at_least", None)
    if entered is None:
        text = f"{where_to}Least elevation: {NOT_ENTERED}."
    else:
        where = f"{show(entered)} ({apparatus.manual_conditions.page})"
        below = elevation < _deg(entered) - 1e-9
        text = (
            f"{where_to}{'Below' if below else 'Not beyond'} the entered least elevation, {where}."
        )
    return (*notes, _BELOW_LEVEL, Note("caution", text))


def _signed(number, pen=None, digits=5):
    """A number for a printed sum, minus ones in brackets."""
    text = pen.number(number, "length", digits) if pen else f"{number:.{digits}g}"
    return f"({text})" if number < 0 else text


def _sine(angle):
    return round(sin(radians(angle)), 9)


def _cosine(angle):
    return round(cos(radians(angle)), 9)


def _tip_steps(rig, extension, elevation):
    """Worked steps for the nozzle's place."""
    out, up = rig.nozzle_ft(extension, elevation)
    s, c = f"{_signed(_sine(elevation))}", f"{_cosine(elevation):.5g}"
    return worked(
        lambda pen: (
            f"The cosine of {elevation:.4g} deg is {c}, the sine {s}",
            f"Out from the turntable's centre = {_signed(rig.offset_ft, pen)} + "
            f"{pen.number(extension, 'length')} × {c} = {pen.of(out, 'length')}",
            f"Up from the ground = {_signed(rig.height_ft, pen)} + "
            f"{pen.number(extension, 'length')} × {s} = {pen.of(up, 'length')}",
        )
    )


@dataclass(frozen=True, kw_only=True)
class TipPosition(Explained):
    """Where the nozzle is: out from the turntable's centre, up from the ground, east and north.

    On a platform it is the platform's nozzle, else the ladder's tip.
    """

    extension: Any
    elevation: Any
    bearing: Any
    out: Any
    up: Any
    east: Any
    north: Any

    def lines(self, system="US"):
        """The place as (label, text) pairs."""
        return (
            ("Out from the turntable's centre", show(self.out, system)),
            ("Up from the ground", show(self.up, system)),
            ("East of the turntable's centre", show(self.east, system)),
            ("North of the turntable's centre", show(self.north, system)),
        )

    def __repr__(self):
        return self.text()


@quantities(extension=_EXTENSION, elevation=_ELEVATION, bearing=Need("angle", "degree"))
def tip_position(apparatus, *, extension, elevation, bearing="0 deg"):
    """Where the nozzle at the tip of the aerial is: out, up, east and north.

    For laying out a spot: out = heel offset + L cos(elevation), up = turntable height +
    L sin(elevation). On a platform its nozzle's offset from the tip pin is added.

    Takes
      apparatus    an Apparatus of the department's data
      extension    heel pin to tip; any length unit; usual unit ft; symbol L
      elevation    ladder above (+) or below (-) level; any angle unit; usual unit deg
      bearing      way the ladder points, clockwise from north; any angle unit; usual unit deg
    Gives
      TipPosition  out, up, east, north in ft, from the turntable's centre at ground level; shown
                   to 0.1 ft
    Holds for
      a straight ladder on level ground, inside the ranges entered for the device
    How close
      exact geometry; the sag of the ladder is left out, so a real tip hangs a little lower. A
      heel offset that was not entered counts as none, and a note says so
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  the device has no such extension or elevation
    Sources
      first_principles_aerial_geometry
    Check value
      >>> from aerialstream import load_department
      >>> device = load_department().device("tower-3")
      >>> there = tip_position(device, extension="40 ft", elevation="-5 deg")
      >>> print(show(there.out), "|", show(there.up))
      37.8 ft | 4.5 ft
    """
    rig = plain_rig(apparatus)
    _check_ranges("tip_position", rig, extension, elevation)
    out, up = rig.nozzle_ft(extension, elevation)
    east, north = out * sin(radians(bearing)), out * cos(radians(bearing))
    return TipPosition(
        title="Place of the nozzle",
        extension=quantity(extension, "foot"),
        elevation=quantity(elevation, "degree"),
        bearing=quantity(bearing, "degree"),
        out=quantity(out, "foot"),
        up=quantity(up, "foot"),
        east=quantity(east, "foot"),
        north=quantity(north, "foot"),
        steps=_tip_steps(rig, extension, elevation),
        notes=(*rig.notes, *_place_notes(apparatus, elevation, up)),
        sources=(_SOURCE,),
    )


@dataclass(frozen=True, kw_only=True)
class StreamDirection(Explained):
    """Where the stream points: stream_pitch + above level, bearing_shift + left of the ladder."""

    stream_pitch: Any
    bearing_shift: Any

    def lines(self, system="US"):
        """Both angles as (label, text) pairs."""
        return (
            ("Stream above level", show(self.stream_pitch, system)),
            ("Off the ladder's bearing", _side(self.bearing_shift.magnitude)),
        )

    def __repr__(self):
        return self.text()


def _side(degrees_):
    """An angle to the left (+) or right in words."""
    if abs(degrees_) < 0.05:
        return "0 deg, in line"
    return f"{_angle(abs(degrees_))} to the {'left' if degrees_ > 0 else 'right'}"


@quantities(elevation=_ELEVATION, rotation=_TURN, pitch=_TURN)
def stream_direction(elevation, *, rotation, pitch):
    """Where the stream points for a ladder's elevation and the nozzle's rotation and pitch.

    In line the angles add: stream = elevation + pitch. Turned, they do not: the sine of the
    stream's pitch = sin(elevation) cos(pitch) cos(rotation) + cos(elevation) sin(pitch).

    Takes
      elevation        ladder above (+) or below (-) level, 0 for a platform that levels itself;
                       any angle unit; usual unit deg
      rotation         nozzle off the ladder's centre line, + left; usual unit deg
      pitch            nozzle up (+) or down (-) from the ladder's line; usual unit deg
    Gives
      StreamDirection  stream_pitch and bearing_shift in deg, at the nozzle; shown to 0.1 deg
    Holds for
      a nozzle that turns first, about an axis square to the ladder, and then pitches: see the
      manual of the device
    How close
      exact geometry, at the nozzle; further out the stream sags
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an angle that cannot be
    Sources
      first_principles_aerial_geometry
    Check value
      >>> points = stream_direction("30 deg", rotation="60 deg", pitch="0 deg")
      >>> print(show(points.stream_pitch))
      14.5 deg
    """
    alpha, shift = core.stream_direction_deg(elevation, rotation, pitch)
    parts = [_sine(elevation), _cosine(pitch), _cosine(rotation), _cosine(elevation), _sine(pitch)]
    a, b, c, d, e = (_signed(part) for part in parts)
    steps = [
        f"The sine of the stream's pitch = {a} × {b} × {c} + {d} × {e} = {_signed(_sine(alpha))}",
        f"That is {alpha:.4g} deg above level",
    ]
    if rotation == 0 and abs(shift) < 1e-9 and abs(elevation + pitch) <= 90:
        steps = [
            f"In line the angles add: {_signed(elevation)} + {_signed(pitch)} = {alpha:.5g} deg"
        ]
    return StreamDirection(
        title="Direction of the stream",
        stream_pitch=quantity(alpha, "degree"),
        bearing_shift=quantity(shift, "degree"),
        steps=tuple(steps),
        sources=(_SOURCE,),
    )


@dataclass(frozen=True)
class TravelStop:
    """A way in which the nozzle's travel ends: "up", "down", "left" or "right", and by how much."""

    way: str
    travel: Any
    needed: Any
    beyond: Any

    def __str__(self):
        return (
            f"the nozzle's travel {self.way}: {show(self.travel)}, needed {show(self.needed)}, "
            f"{show(self.beyond)} too far"
        )


@dataclass(frozen=True)
class Remedy:
    """What would bring an aim within the nozzle's travel, and what that changes.

    elevation is the ladder's new one, turn what the turntable turns (+ left); out and up the
    nozzle's place afterwards, rise how much higher it stands, moved how far it went in all.
    """

    elevation: Any
    turn: Any
    out: Any
    up: Any
    rise: Any
    moved: Any
    text: str

    def __str__(self):
        return self.text


@dataclass(frozen=True, kw_only=True)
class Aim(Explained):
    """Whether the nozzle can be pointed one way, how it is set for that, and what stops it."""

    reachable: bool
    rotation: Any
    pitch: Any
    stops: tuple
    remedies: tuple

    def lines(self, system="US"):
        """The answer, the setting of the nozzle, what stops it and what would help."""
        pitch = self.pitch.magnitude
        way = "above" if pitch >= 0 else "below"
        out = [
            ("The nozzle can be pointed there", "yes" if self.reachable else "no"),
            ("Nozzle turned", _side(self.rotation.magnitude)),
            ("Nozzle pitched", f"{_angle(abs(pitch))} {way} the line it stands on"),
        ]
        out += [("Stopped by", str(stop)) for stop in self.stops]
        out += [
            ("What would help", getattr(r.text, "metric", r.text) if system == "metric" else r.text)
            for r in self.remedies
        ]
        return tuple(out)

    def __repr__(self):
        return self.text()


@quantities(
    elevation=_ELEVATION,
    extension=_EXTENSION,
    stream_pitch=_ELEVATION,
    bearing_shift=_TURN,
)
def aim(apparatus, *, elevation, extension, stream_pitch, bearing_shift="0 deg"):
    """Whether the nozzle can be pointed one way from where the ladder stands, and what if not.

    Needed in line: pitch = stream - elevation. Off line the nozzle's rotation and pitch follow
    exactly. Each is held against the travel entered for the device.

    Takes
      apparatus      an Apparatus of the department's data
      elevation      ladder above (+) or below (-) level; any angle unit; usual unit deg
      extension      heel pin to tip; any length unit; usual unit ft
      stream_pitch   stream wanted above (+) or below (-) level; usual unit deg
      bearing_shift  stream wanted left (+) or right (-) of the ladder's bearing; usual unit deg
    Gives
      Aim            reachable; rotation and pitch of the nozzle in deg; stops, each a TravelStop;
                     remedies, each a Remedy that makes it reachable; shown to 0.1 deg
    Holds for
      a nozzle that turns first and then pitches; a platform levels its nozzle's base
    How close
      exact geometry; travel is what the nozzle can do, not what the manual allows while flowing
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  the device has no such extension or elevation, or an angle cannot be
    Sources
      first_principles_aerial_geometry
    Check value
      >>> from aerialstream import load_department
      >>> device = load_department().device("ladder-9")
      >>> up = aim(device, elevation="-5 deg", extension="40 ft", stream_pitch="14.04 deg")
      >>> print(show(up.pitch))
      19 deg
    """
    rig = plain_rig(apparatus)
    _check_ranges("aim", rig, extension, elevation)
    rotation, pitch = core.nearest_setting_deg(
        rig.travel, rig.base_deg(elevation), stream_pitch, bearing_shift
    )
    stops = _travel_stops(rig.travel, rotation, pitch)
    remedies = _remedies(rig, extension, elevation, stream_pitch, bearing_shift) if stops else ()
    notes = [
        *rig.notes,
        *_place_notes(apparatus, elevation, rig.nozzle_ft(extension, elevation)[1]),
    ]
    if stops and not remedies:
        notes.append(Note("caution", _no_remedy(rig)))
    if rotation or remedies:
        notes.append(_IN_LINE_FIRST)
    lowest = min((_deg(remedy.elevation) for remedy in remedies), default=elevation)
    if lowest < elevation:
        notes += _place_notes(apparatus, lowest, where_to=f"Lowered to {_angle(lowest)}: ")
    return Aim(
        title="Aim of the nozzle",
        reachable=not stops,
        rotation=quantity(rotation, "degree"),
        pitch=quantity(pitch, "degree"),
        stops=stops,
        remedies=remedies,
        steps=_aim_steps(rig.base_deg(elevation), stream_pitch, bearing_shift, rotation, pitch),
        notes=tuple(dict.fromkeys((*notes, _GEOMETRY_ONLY))),
        sources=(_SOURCE,),
    )


def _aim_steps(base, alpha, shift, rotation, pitch):
    """Worked steps for the setting of the nozzle."""
    if shift == 0 and abs(rotation) < 1e-9:
        return (
            f"In line: pitch from the line it stands on = {_signed(alpha)} - {_signed(base)}"
            f" = {pitch:.5g} deg",
        )
    parts = [_sine(alpha), _cosine(base), _cosine(alpha), _cosine(shift), _sine(base)]
    a, b, c, d, e = (_signed(part) for part in parts)
    return (
        f"The sine of the nozzle's pitch = {a} × {b} - {c} × {d} × {e} = {_signed(_sine(pitch))}",
        f"That is a pitch of {pitch:.4g} deg with the nozzle turned {_side(rotation)}",
    )


def _travel_stops(travel, rotation, pitch):
    """A TravelStop for each way in which a setting lies beyond the travel."""
    needed = {"up": pitch, "down": -pitch, "left": rotation, "right": -rotation}
    return tuple(
        TravelStop(
            way=way,
            travel=quantity(getattr(travel, f"{way}_deg"), "degree"),
            needed=quantity(needed[way], "degree"),
            beyond=quantity(by, "degree"),
        )
        for way, by in core.beyond_travel_deg(travel, rotation, pitch).items()
    )


def _no_remedy(rig):
    if rig.levels:
        return (
            "The platform levels its nozzle: raising or lowering the ladder does not change the "
            "nozzle's angle. Move the nozzle's place, so that another angle reaches the target."
        )
    return (
        "Neither the turntable nor the elevation range brings this within the nozzle's travel. "
        "Move the nozzle's place, so that another angle reaches the target."
    )


def _remedies(rig, extension, elevation, alpha, shift):
    """What brings an aim within travel: the turntable, the elevation, or both together."""

    def fits(new_elevation, turn):
        if new_elevation != elevation and rig.nozzle_ft(extension, new_elevation)[1] < 0:
            return False  # the ground is in the way
        return core.reachable(rig.travel, rig.base_deg(new_elevation), alpha, shift - turn)

    found = []
    if shift and fits(elevation, shift):
        found.append((elevation, shift))
        least = core.first_that_fits(lambda turn: fits(elevation, turn), 0.0, shift)
        if abs(least - shift) > 0.05:
            found.append((elevation, least))
    new = _nearest_elevation(rig, elevation, lambda e: fits(e, 0.0))
    if new is not None:
        found.append((new, 0.0))
    if shift and not found:
        new = _nearest_elevation(rig, elevation, lambda e: fits(e, shift))
        if new is not None:
            found.append((new, shift))
    return tuple(_remedy(rig, extension, elevation, *change) for change in found)


def _nearest_elevation(rig, elevation, fits):
    """The elevation of the device's range nearest to this one that fits, or None."""
    ends = [core.first_that_fits(fits, elevation, end) for end in rig.elevation_deg]
    there = [e for e in ends if e is not None]
    return min(there, key=lambda e: abs(e - elevation)) if there else None


def _remedy(rig, extension, elevation, new_elevation, turn):
    """A change of the ladder in words, with what it does to the nozzle's place."""
    was_out, was_up = rig.nozzle_ft(extension, elevation)
    out, up = rig.nozzle_ft(extension, new_elevation)
    aside, ahead = out * sin(radians(turn)), out * cos(radians(turn))
    moved = hypot(ahead - was_out, aside, up - was_up)
    change = []
    if turn:
        change.append(f"turn the turntable {_side(turn)}")
    if new_elevation != elevation:
        verb = "raise" if new_elevation > elevation else "lower"
        change.append(f"{verb} the ladder to {_angle(new_elevation)}")
    rise = up - was_up

    def words(pen):
        height = f"stands {_length(up, pen)} up as before"
        if abs(rise) > 1e-6:
            way = "higher" if rise > 0 else "lower"
            height = f"then stands {_length(up, pen)} up, {_length(abs(rise), pen)} {way}"
        return (
            f"{' and '.join(change)}; the nozzle {height}, {_length(moved, pen)} from where it "
            "was: aim anew from there"
        )

    return Remedy(
        elevation=quantity(new_elevation, "degree"),
        turn=quantity(turn, "degree"),
        out=quantity(out, "foot"),
        up=quantity(up, "foot"),
        rise=quantity(rise, "foot"),
        moved=quantity(moved, "foot"),
        text=both(words),
    )


@dataclass(frozen=True, kw_only=True)
class TipReach(Explained):
    """The extension and elevation that put the nozzle at a place, and what range stops that."""

    possible: bool
    extension: Any
    elevation: Any
    stops: tuple

    def lines(self, system="US"):
        """The setting of the ladder, and whether the device has it."""
        out = [
            ("The nozzle can be put there", "yes" if self.possible else "no"),
            ("Extension", show(self.extension, system)),
            ("Elevation", show(self.elevation, system)),
        ]
        out += [
            ("Stopped by", getattr(stop, "metric", stop) if system == "metric" else stop)
            for stop in self.stops
        ]
        return tuple(out)

    def __repr__(self):
        return self.text()


@quantities(out=_HEIGHT, up=_HEIGHT)
def tip_to_reach(apparatus, *, out, up):
    """Extension and elevation that put the nozzle at a place, or which range stops it.

    The inverse of `tip_position`: extension = √(ahead² + above²) from the heel pin; the tangent
    of the elevation is above / ahead.

    Takes
      apparatus  an Apparatus of the department's data
      out        level distance from the turntable's centre; any length unit; usual unit ft
      up         height above the ground at the rig; any length unit; usual unit ft
    Gives
      TipReach   possible; extension in ft and elevation in deg, also where the device has them
                 not; stops in words; shown to 0.1 ft and 0.1 deg
    Holds for
      a straight ladder on level ground with its turntable turned toward the place
    How close
      exact geometry; the sag of the ladder is left out
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a length that cannot be
    Sources
      first_principles_aerial_geometry
    Check value
      >>> from aerialstream import load_department
      >>> device = load_department().device("tower-3")
      >>> there = tip_to_reach(device, out="28 ft", up="48 ft")
      >>> print(show(there.extension), "|", show(there.elevation))
      50 ft | 53.1 deg
    """
    rig = plain_rig(apparatus)
    extension, elevation = core.elevation_and_extension(rig.height_ft, rig.offset_ft, out, up)
    ahead, above = out - rig.offset_ft, up - rig.height_ft
    stops = _range_stops(rig, extension, elevation)
    return TipReach(
        title="Ladder for a place of the nozzle",
        possible=not stops,
        extension=quantity(extension, "foot"),
        elevation=quantity(elevation, "degree"),
        stops=stops,
        steps=worked(
            lambda pen: (
                f"Ahead of the heel pin = {_signed(out, pen)} - {_signed(rig.offset_ft, pen)}"
                f" = {pen.of(ahead, 'length')}",
                f"Above the heel pin = {_signed(up, pen)} - {_signed(rig.height_ft, pen)}"
                f" = {pen.of(above, 'length')}",
                f"Extension = √({_signed(ahead, pen)}^2 + {_signed(above, pen)}^2)"
                f" = {pen.of(extension, 'length')}",
                f"The elevation with this rise over this run is {elevation:.4g} deg",
            )
        ),
        notes=(*rig.notes, *_place_notes(apparatus, elevation, up), _GEOMETRY_ONLY),
        sources=(_SOURCE,),
    )


def _range_stops(rig, extension, elevation):
    """Which end of a range a setting of the ladder lies beyond, in words."""
    (short, long), (low, high) = rig.extension_ft, rig.elevation_deg
    stops = []
    for beyond, what, bound in (
        (extension - long, "the longest extension", long),
        (short - extension, "the shortest extension", short),
    ):
        if beyond > 1e-9:
            stops.append(
                both(
                    lambda pen, what=what, bound=bound, beyond=beyond: (
                        f"{what}, {_length(bound, pen)}: {_length(beyond, pen)} beyond it"
                    )
                )
            )
    if elevation - high > 1e-9:
        stops.append(f"the highest elevation, {_angle(high)}: {_angle(elevation - high)} beyond it")
    if low - elevation > 1e-9:
        stops.append(f"the lowest elevation, {_angle(low)}: {_angle(low - elevation)} beyond it")
    return tuple(stops)


def _with_elevations(low, high):
    """At which elevations something can be had, rounded into the interval where it has a tenth."""
    inner = ceil(low * 10 - 1e-6) / 10, floor(high * 10 + 1e-6) / 10
    if high - low < 1e-9:
        return f"yes, at {_angle(low)}"
    if inner[0] > inner[1]:
        return f"yes, only near {low:.2f} deg"
    return f"yes, with the ladder from {_angle(inner[0])} to {_angle(inner[1])}"


_STOP_WORDS = {
    "travel up": "the nozzle's travel up",
    "travel down": "the nozzle's travel down",
    "head": "the head of the opening",
    "sill": "the sill of the opening",
    "lowest elevation": "the lowest elevation",
    "highest elevation": "the highest elevation",
    "ground": "the ground under the tip",
}


@dataclass(frozen=True, kw_only=True)
class ThroughOpening(Explained):
    """A stream in line through an opening: what the device can take, and where it strikes.

    possible       whether any stream goes through the opening from this standoff
    elevation      the ladder's: the one asked about, or the best of its range
    steepest, lowest   streams through the opening above (+) level; None where there is none
    nozzle_pitch   nozzle from the line it stands on, for the steepest
    strike_depth   where the steepest meets the ceiling, inside the wall; None if it never does.
                   It grazes a level ceiling at the angle `steepest`
    stops          what keeps it from being steeper (keys "travel up", "travel down", "head",
                   "sill", "lowest elevation", "highest elevation", "ground")
    reason         the same as a sentence
    wanted_depth, depth_possible, depth_elevations, depth_streams, depth_stops, depth_reason
                   the same for a strike depth that was asked for; depth_elevations is (from, to)
                   and depth_streams the streams above level that strike there from the two
    alternatives   what to do instead where it cannot be done; else empty
    """

    possible: bool
    elevation: Any
    extension: Any
    standoff: Any
    setback: Any
    nozzle_height: Any
    steepest: Any
    lowest: Any
    nozzle_pitch: Any
    strike_depth: Any
    stops: tuple
    reason: str
    wanted_depth: Any = None
    depth_possible: Any = None
    depth_elevations: Any = None
    depth_streams: Any = None
    depth_stops: tuple = ()
    depth_reason: str = ""
    alternatives: tuple = ()

    def lines(self, system="US"):
        """The stream, its strike and its limits as (label, text) pairs."""

        def said(value):
            return "none" if value is None else show(value, system)

        strike = "never" if self.strike_depth is None else f"{said(self.strike_depth)} inside"
        out = [
            ("A stream goes through the opening", "yes" if self.possible else "no"),
            ("Ladder elevation", said(self.elevation)),
            ("Nozzle above the ground", said(self.nozzle_height)),
            ("Turntable's centre to the wall", said(self.setback)),
            ("Steepest stream through the opening", said(self.steepest)),
            ("Lowest stream through the opening", said(self.lowest)),
            ("Nozzle pitch for the steepest", said(self.nozzle_pitch)),
            ("It strikes the ceiling", strike),
            ("What stops it", self.reason),
        ]
        if self.wanted_depth is not None:
            verdict = self.depth_reason
            if self.depth_possible:
                verdict = _with_elevations(*(_deg(e) for e in self.depth_elevations))
            out.append((f"A strike {said(self.wanted_depth)} inside", verdict))
        out += [("Instead", way) for way in self.alternatives]
        return tuple(out)

    def __repr__(self):
        return self.text()


@quantities(
    standoff=_DISTANCE,
    sill=_HEIGHT,
    head=_HEIGHT,
    ceiling=_HEIGHT,
    extension=_EXTENSION,
    margin=_MARGIN,
    elevation=_ELEVATION,
    strike_depth=_MARGIN,
)
def aim_through_opening(
    apparatus,
    *,
    standoff,
    sill,
    head,
    ceiling,
    extension,
    margin="0 ft",
    elevation=None,
    strike_depth=None,
):
    """The steepest stream that a low aerial can take through an opening, and where it strikes.

    For a shop front: ladder low, nozzle in line, stream up into the ceiling inside. The line
    under the head is tan = (head - nozzle) / standoff; the nozzle's travel adds to the ladder's
    elevation; strike depth = (ceiling - nozzle) / tan - standoff. Closer and lower is steeper.

    Takes
      apparatus       an Apparatus of the department's data
      standoff        nozzle to the plane of the wall, level; kept the same at every elevation (the
                      turntable stands as far back as that needs); usual unit ft
      sill            lower edge of the opening above the ground at the rig; usual unit ft
      head            upper edge of the opening; usual unit ft
      ceiling         level ceiling inside; usual unit ft
      extension       heel pin to tip; usual unit ft
      margin          to keep from sill and head; usual unit ft
      elevation       ladder above (+) or below (-) level; left out: the best of its range
      strike_depth    strike on the ceiling wanted, inside the wall; usual unit ft
    Gives
      ThroughOpening  steepest, lowest, nozzle_pitch in deg, strike_depth, nozzle_height in ft, what
                      stops it, and whether the wanted depth can be had
    Holds for
      a nozzle in line, square to the wall, floor level with the ground at the rig
    How close
      exact for a straight stream; a real one sags and strikes further in
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  the device has no such extension or elevation; sill, head and ceiling do not
                       stand in this order; the margins leave no opening
    Sources
      first_principles_aerial_geometry; dunn_master_streams
    Check value
      >>> from aerialstream import load_department
      >>> shop = aim_through_opening(
      ...     load_department().device("tower-3"), standoff="15 ft", sill="0 ft", head="9 ft",
      ...     ceiling="12 ft", extension="40 ft", elevation="-5 deg")
      >>> print(show(shop.steepest), "|", show(shop.strike_depth))
      16.7 deg | 10 ft
    """
    rig = plain_rig(apparatus)
    _check_opening(rig, sill, head, ceiling, extension, margin, elevation)
    opening = core.Opening(standoff, sill + margin, head - margin, ceiling)
    travel = rig.travel
    device = core.Device(rig.height_ft, extension, rig.levels, travel.up_deg, travel.down_deg)
    found = _through(rig, device, opening, elevation)
    wish = _wish(rig, device, opening, elevation, strike_depth)
    failed = found["strike_depth"] is None or wish.get("depth_possible") is False
    at = found["elevation"].magnitude
    height = device.height_ft(at)
    return ThroughOpening(
        title="Stream through an opening",
        extension=quantity(extension, "foot"),
        standoff=quantity(standoff, "foot"),
        setback=quantity(rig.nozzle_ft(extension, at)[0] + standoff, "foot"),
        **found,
        **wish,
        alternatives=_INSTEAD if failed else (),
        steps=_opening_steps(rig, device, opening, found),
        notes=(
            *rig.notes,
            *_place_notes(apparatus, at, height),
            *_LOW_CASE,
            *((_NOT_AGAINST_THE_BUILDING,) if failed else ()),
            _GEOMETRY_ONLY,
        ),
        sources=(_SOURCE, "dunn_master_streams"),
    )


def _check_opening(rig, sill, head, ceiling, extension, margin, elevation):
    """Refuse an opening that cannot be, and settings that the device does not have, all at once."""
    faults = [
        _range_fault("extension", extension, rig.extension_ft, "foot", rig.name),
        elevation is not None
        and _range_fault("elevation", elevation, rig.elevation_deg, "degree", rig.name),
        sill >= head and f"sill = {sill:g} ft: not below the head ({head:g} ft)",
        head > ceiling and f"head = {head:g} ft: above the ceiling ({ceiling:g} ft)",
        sill < head <= sill + 2 * margin
        and f"margin = {margin:g} ft: twice that leaves nothing of the opening's {head - sill:g} ft",
    ]
    refuse("aim_through_opening", *faults)


def _elevations_open(rig, device, elevation):
    """((least, its limit), (most, its limit)) of the elevations that may be tried."""
    if elevation is not None:
        return (elevation, "elevation"), (elevation, "elevation")
    least, most = rig.elevation_deg
    ground = device.elevation_deg(0.0)
    if least < ground <= most:
        return (ground, "ground"), (most, "highest elevation")
    return (least, "lowest elevation"), (most, "highest elevation")


def _through(rig, device, opening, elevation):
    """The stream through the opening: best elevation, angles, strike, and what stops it."""
    (least, low), (most, high) = _elevations_open(rig, device, elevation)
    at = core.best_elevation_deg(device, opening, least, most)
    lowest, steepest = core.stream_through_deg(device, opening, at)
    height = device.height_ft(at)
    possible = lowest <= steepest + 1e-9 and height >= -1e-9
    depth = opening.strike_depth_ft(height, steepest) if possible else None
    stops = _what_stops(device, opening, at, possible)
    if elevation is None:
        stops += tuple(
            limit
            for bound, limit in ((least, low), (most, high))
            if abs(at - bound) < 1e-9 and len(stops) < 2
        )
    return {
        "possible": possible,
        "elevation": quantity(at, "degree"),
        "nozzle_height": quantity(height, "foot"),
        "steepest": quantity(steepest, "degree") if possible else None,
        "lowest": quantity(lowest, "degree") if possible else None,
        "nozzle_pitch": quantity(steepest - rig.base_deg(at), "degree") if possible else None,
        "strike_depth": None if depth is None else quantity(depth, "foot"),
        "stops": stops,
        "reason": _reason(stops, possible, rig.levels),
    }


def _what_stops(device, opening, at, possible):
    """What keeps the stream from being steeper, or from going through at all."""
    height = device.height_ft(at)
    head, travel = opening.steepest_deg(height), device.steepest_deg(at)
    if height < -1e-9:
        return ("ground",)
    if not possible:
        over_sill = opening.lowest_deg(height) > travel
        return ("travel up", "sill") if over_sill else ("travel down", "head")
    return tuple(
        name
        for name, bound in (("head", head), ("travel up", travel))
        if bound <= min(head, travel) + 1e-6
    )


def _reason(stops, possible, levels):
    """What stops a stream, as a sentence."""
    if "ground" in stops and not possible:
        return "the tip would be below the ground"
    if not possible:
        return (
            "the nozzle cannot be pitched up over the sill from here"
            if "sill" in stops
            else "the nozzle cannot be pitched down under the head from here"
        )
    named = " and ".join(_STOP_WORDS[stop] for stop in stops)
    if set(stops) == {"head", "travel up"} and not levels:
        return (
            f"{named}: raising the ladder lifts the tip past the head, lowering it takes away "
            "from what the nozzle can point at"
        )
    return named


def _wish(rig, device, opening, elevation, depth):
    """Whether a strike so deep inside can be had, at which elevations, and what stops it."""
    if depth is None:
        return {}
    at_least, at_most = core.elevations_for_depth_deg(device, opening, depth)
    (least, low), (most, high) = _elevations_open(rig, device, elevation)
    at_least[low], at_most[high] = least, most
    lower, upper = max(at_least, key=at_least.get), min(at_most, key=at_most.get)
    possible = at_least[lower] <= at_most[upper] + 1e-9
    found = {"wanted_depth": quantity(depth, "foot"), "depth_possible": possible}
    if possible:
        span = (at_least[lower], max(at_least[lower], at_most[upper]))
        streams = (opening.stream_for_depth_deg(device.height_ft(e), depth) for e in span)
        return {
            **found,
            "depth_elevations": tuple(quantity(e, "degree") for e in span),
            "depth_streams": tuple(quantity(stream, "degree") for stream in streams),
        }
    stops = tuple(dict.fromkeys(s for s in (lower, upper) if s != "elevation"))
    return {
        **found,
        "depth_stops": stops,
        "depth_reason": "no: "
        + " and ".join(
            (
                _asks(lower, at_least[lower], "at least"),
                _asks(upper, at_most[upper], "at most"),
            )
        ),
    }


def _asks(limit, bound, how):
    """What a limit asks of the elevation, in words."""
    if limit == "elevation":
        return f"the elevation asked about is {_angle(bound)}"
    if abs(bound) == inf:
        return f"{_STOP_WORDS[limit]} cannot be met at any elevation"
    return f"{_STOP_WORDS[limit]} asks for an elevation of {how} {_angle(bound)}"


def _opening_steps(rig, device, opening, found):
    """Worked steps for the stream through an opening."""
    at, height = found["elevation"].magnitude, found["nozzle_height"].magnitude
    sine = _sine(at)
    head, travel = opening.steepest_deg(height), device.steepest_deg(at)
    ratio = (opening.head_ft - height) / opening.standoff_ft
    strike = found["strike_depth"]

    def write(pen):
        yield (
            f"Nozzle above the ground = {_signed(rig.height_ft, pen)} + "
            f"{pen.number(device.extension_ft, 'length')} × {_signed(sine)}"
            f" = {pen.of(height, 'length')}"
        )
        yield (
            f"Rise over run under the head = ({pen.number(opening.head_ft, 'length')} - "
            f"{_signed(height, pen)}) / {pen.number(opening.standoff_ft, 'length')} = "
            f"{_signed(ratio)}"
        )
        yield f"That line stands at {head:.4g} deg"
        yield (
            f"What the nozzle's travel up allows = {_signed(rig.base_deg(at))} + "
            f"{device.up_deg:.5g} = {travel:.5g} deg"
        )
        if strike is not None:
            tangent = (opening.ceiling_ft - height) / (strike.magnitude + opening.standoff_ft)
            yield (
                f"Strike inside the wall = ({pen.number(opening.ceiling_ft, 'length')} - "
                f"{_signed(height, pen)}) / {tangent:.5g} - "
                f"{pen.number(opening.standoff_ft, 'length')} = "
                f"{pen.of(strike.magnitude, 'length')}"
            )

    return worked(write)


@dataclass(frozen=True, kw_only=True)
class Footprint(Explained):
    """The rig on the ground, seen from above, from the turntable's centre.

    x is to the right of the chassis, y toward the cab, in ft. chassis holds its four corners
    (front left, front right, rear right, rear left); pads the four corners of each pad, pad by
    pad; pad_centres their middles. None where nobody entered them.
    """

    chassis: Any
    pads: Any
    pad_centres: Any

    def lines(self, system="US"):
        """What is known of the ground that the rig takes, as (label, text) pairs."""
        chassis, pads = "not entered", "not entered"
        if self.chassis is not None:
            (x, ahead), (_, behind) = self.chassis[1], self.chassis[2]
            chassis = (
                f"{show(ahead, system)} ahead of the turntable's centre, {show(-behind, system)} "
                f"behind it, {show(x, system)} to each side"
            )
        if self.pad_centres is not None:
            spread = self.pad_centres[0][0] * 2
            pads = f"{len(self.pad_centres)} pads, {show(abs(spread), system)} centre to centre"
        return (("Chassis", chassis), ("Stabilisers", pads))

    def __repr__(self):
        return self.text()


@quantities()
def footprint(apparatus):
    """The ground that the rig takes: corners of the chassis and of the stabiliser pads.

    For the plan of a scene. All from the department's own entries, with the turntable's centre
    as the origin, since that is what a spot is about.

    Takes
      apparatus  an Apparatus of the department's data
    Gives
      Footprint  chassis, pads and pad_centres in ft, x to the right and y toward the cab; None
                 where the department entered nothing
    Holds for
      stabilisers fully set on both sides, chassis straight (a tractor-drawn rig is drawn straight)
    How close
      as close as the entries; mirrors, bumpers and steps stick out
    Fails when
      UnitError        never by itself: the entries carry their units
      ImpossibleValue  never by itself: the entries are checked when they are read
    Sources
      first_principles_aerial_geometry
    Check value
      >>> from aerialstream import load_department
      >>> front_left = footprint(load_department().device("tower-3")).chassis[0]
      >>> print(show(front_left[1]))
      34 ft
    """
    notes, steps = [], ()
    chassis, pads, centres = None, None, None
    if apparatus.chassis is None:
        notes.append(Note("estimate", "chassis not entered: its corners are not known."))
    else:
        chassis, steps = _chassis_corners(apparatus.chassis)
    if apparatus.stabilisers is None:
        notes.append(Note("estimate", "stabilisers not entered: their pads are not known."))
    else:
        centres, pads = _pad_corners(apparatus.stabilisers)
        if pads is None:
            notes.append(Note("estimate", "size of the pads not entered: only their centres."))
    return Footprint(
        title="Footprint of the rig",
        chassis=chassis,
        pads=pads,
        pad_centres=centres,
        steps=steps,
        notes=tuple(notes),
        sources=(_SOURCE,),
    )


def _points(corners):
    return tuple((quantity(x, "foot"), quantity(y, "foot")) for x, y in corners)


def _rectangle(left, right, behind, ahead):
    """Corners front left, front right, rear right, rear left."""
    return _points(((left, ahead), (right, ahead), (right, behind), (left, behind)))


def _chassis_corners(chassis):
    """The chassis' corners, and how they were worked out."""
    length, ahead = _feet(chassis.length), _feet(chassis.turntable_from_front)
    half = _feet(chassis.width) / 2
    steps = worked(
        lambda pen: (
            f"Behind the turntable's centre = {pen.number(length, 'length')} - "
            f"{pen.number(ahead, 'length')} = {pen.of(length - ahead, 'length')}",
            f"To each side = {pen.number(2 * half, 'length')} / 2 = {pen.of(half, 'length')}",
        )
    )
    return _rectangle(-half, half, ahead - length, ahead), steps


def _pad_corners(stabilisers):
    """(centres, corners) of the pads, left then right, front pair first; one pair where they match."""
    half = _feet(stabilisers.spread) / 2
    rows = dict.fromkeys((_feet(stabilisers.ahead), _feet(stabilisers.behind)))
    centres = [(side * half, row) for row in rows for side in (-1, 1)]
    if stabilisers.pad is None:
        return _points(centres), None
    edge = _feet(stabilisers.pad) / 2
    corners = tuple(_rectangle(x - edge, x + edge, y - edge, y + edge) for x, y in centres)
    return _points(centres), corners


@dataclass(frozen=True, kw_only=True)
class ScrubReach(Explained):
    """How far along a wall the tip can touch, each way from square to it.

    half_width and nearest are measured along the wall from the point square to the turntable;
    nearest is more than 0 where the tip comes too near in the middle. slew is the turntable's
    turn from square to the furthest point. All are None where the wall is not reached.
    """

    half_width: Any
    nearest: Any
    slew: Any

    def lines(self, system="US"):
        """The part of the wall that can be touched, as (label, text) pairs."""
        if self.half_width is None:
            return (("Along the wall, each way", "not reached at this height"),)
        out = [
            ("Along the wall, each way", show(self.half_width, system)),
            ("Turn of the turntable, each way", show(self.slew, system)),
        ]
        if self.nearest.magnitude > 0:
            out.append(("Not nearer to square than", show(self.nearest, system)))
        return tuple(out)

    def __repr__(self):
        return self.text()


@quantities(standoff=_MARGIN, height=_HEIGHT)
def scrub_half_width(apparatus, *, standoff, height):
    """How far along a wall the tip can touch at one height, each way from square to it.

    For comparing spots: level reach = heel offset + √(L² - (height - turntable height)²), half
    width = √(level reach² - standoff²), with the longest extension L. The heel pin turns with
    the ladder, so its offset belongs to the reach and not to the standoff.

    Takes
      apparatus   an Apparatus of the department's data
      standoff    turntable's centre to the wall, level; any length unit; usual unit ft
      height      height on the wall above the ground at the rig; usual unit ft
    Gives
      ScrubReach  half_width, nearest in ft and slew in deg; None where the wall is not reached;
                  shown to 0.1 ft
    Holds for
      a plain wall with nothing in the way, the tip just touching it, level ground
    How close
      exact geometry for the ranges entered; the sag of the ladder is left out
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a distance that cannot be
    Sources
      first_principles_aerial_geometry
    Check value
      >>> from aerialstream import load_department
      >>> device = load_department().device("tower-3")
      >>> print(show(scrub_half_width(device, standoff="48 ft", height="68 ft").half_width))
      61.5 ft
    """
    rig = plain_rig(apparatus)
    short, long = rig.extension_ft
    furthest = core.scrub_half_width_ft(rig.height_ft, rig.offset_ft, long, standoff, height)
    nearest = core.scrub_nearest_ft(
        rig.height_ft, rig.offset_ft, short, rig.elevation_deg, standoff, height
    )
    notes = (*rig.notes, _GEOMETRY_ONLY)
    if furthest is None or nearest > furthest:
        return ScrubReach(
            title="Reach along a wall",
            half_width=None,
            nearest=None,
            slew=None,
            notes=notes,
            sources=(_SOURCE,),
        )
    reach = hypot(furthest, standoff)
    return ScrubReach(
        title="Reach along a wall",
        half_width=quantity(furthest, "foot"),
        nearest=quantity(nearest, "foot"),
        slew=quantity(degrees(atan2(furthest, standoff)), "degree"),
        steps=_scrub_steps(rig, standoff, height, reach, furthest),
        notes=notes,
        sources=(_SOURCE,),
    )


def _scrub_steps(rig, standoff, height, reach, furthest):
    """Worked steps for the reach along a wall."""
    return worked(
        lambda pen: (
            f"Level reach = {_signed(rig.offset_ft, pen)} + √("
            f"{pen.number(rig.extension_ft[1], 'length')}^2 - ({_signed(height, pen)} - "
            f"{_signed(rig.height_ft, pen)})^2) = {pen.of(reach, 'length')}",
            f"Along the wall = √({pen.number(reach, 'length')}^2 - "
            f"{pen.number(standoff, 'length')}^2) = {pen.of(furthest, 'length')}",
        )
    )


stream_direction.plain = core.stream_direction_deg
