"""Path of a solid stream: where it goes, how far, how wide, and what wind does to it.

Solid streams of smooth-bore tips only. A stream seen from behind the nozzle: ahead is the way
the barrel points over the ground, left and right are those of whoever stands at the nozzle.
"""

import re
from dataclasses import dataclass, field
from math import cos, radians, sin, sqrt, tan
from typing import Any, NamedTuple

from aerialstream._checks import NeedLike, number_fault
from aerialstream._core import stream as core
from aerialstream.constants import (
    AIR_DENSITY,
    GRAVITY,
    KILOPASCALS_PER_PSI,
    METERS_PER_FOOT,
    PENCIL_THROW,
    STREAM_QUALITY,
    STREAM_QUALITY_BAND,
    WATER_DENSITY,
)
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

TIP_DIAMETER = Need("length", "inch", at_least=0.25, at_most=6)
NOZZLE_PRESSURE = Need("pressure", "psi", at_least=5, at_most=300)
ELEVATION = Need("angle", "degree", at_least=-90, at_most=90)
STEEPEST = 75.0  # above it a stream falls back on itself, and only its top is given
THROW_ELEVATION = Need("angle", "degree", at_least=-90, at_most=STEEPEST)
HEIGHT = Need("length", "foot", at_least=0, at_most=1000)
DISTANCE = Need("length", "foot", at_least=0, at_most=1000)
WIND = NeedLike("velocity", "mile/hour", at_least=0, at_most=100, like="15 mph")
WIND_FROM = Need("angle", "degree", at_least=-360, at_most=360)
ALTITUDE = NeedLike("length", "foot", at_least=-1500, at_most=20_000, like="5,000 ft")

QUALITIES = {  # the words are ours; where the numbers come from: see `stream_path`
    "long straight barrel": STREAM_QUALITY_BAND[0],
    "good": 1.0,
    "usual": STREAM_QUALITY.value,
    "ordinary": 1.2,
    "disturbed": STREAM_QUALITY_BAND[1],
}
_QUALITY_RANGE = (0.5, 3.0)
_FEET_PER_SECOND = 1 / METERS_PER_FOOT
_PASCALS = 1000 * KILOPASCALS_PER_PSI
_METERS_PER_INCH = METERS_PER_FOOT / 12
_MPH = 5280 * METERS_PER_FOOT / 3600
_SPEED_PER_ROOT_PSI = sqrt(2 * GRAVITY.value * 144 / WATER_DENSITY.value)
_DROPS_MM = (3, 6)
_SOLID_BORES = 200  # measured break-up began at 160 to 250 bores

HOW_GOOD = both(
    lambda pen: (
        f"Path to the window: {'15 cm' if pen.system == 'metric' else 'half a foot'} plus your aim. "
        "Farthest throw: 15 %. Usable reach: 20 %. Wind shift: direction sure, size could be half or "
        "double."
    )
)
_NOTES = (
    Note("estimate", HOW_GOOD),
    Note("caution", "Never for stand-off, electrical or structural distances."),
    Note("outside range", "Solid streams only: fog and straight patterns are not covered."),
)
_WINDY = Note(
    "estimate",
    "What wind does here was not checked against any measured stream: take half to double of it. "
    "The spray at the edges goes farther aside than the middle of the stream. "
    "Gusts, the flow around buildings and the fire's own draught are left out.",
)
_FIT = ("stream_drag_fit", "theobald_1981_throws")


def outside_notes(tip_diameter, nozzle_pressure):
    """Notes on inputs beyond what was measured."""
    notes = []
    if not 0.5 <= tip_diameter <= 1:
        notes.append(both(lambda pen: (
            f"Throws were measured with tips of {pen.number(0.5, 'bore', 3)} to"
            f" {pen.number(1, 'bore', 3)} {pen.unit('bore')};"
            f" {pen.bore(tip_diameter)} {pen.unit('bore')} is beyond them."
        )))  # fmt: skip
    if not 30 <= nozzle_pressure <= 120:
        notes.append(both(lambda pen: (
            f"{pen.of(nozzle_pressure, 'pressure', digits=4)} is outside the pressures this was made for,"
            f" {pen.number(30, 'pressure', 3)} to {pen.of(120, 'pressure', digits=3)}."
        )))  # fmt: skip
    return tuple(Note("outside range", text) for text in notes)


def _quality(quality):
    """The number of a quality given as a word or a plain number; a fault in words otherwise."""
    if isinstance(quality, str):
        if quality in QUALITIES:
            return QUALITIES[quality], ""
        known = ", ".join(f'"{word}"' for word in QUALITIES)
        return None, f"quality = {quality!r}: must be one of {known}, or a plain number"
    return quality, number_fault("quality", quality, *_QUALITY_RANGE)


def _celsius(text):
    """Degrees Celsius from a text such as "68 F"; a fault in words otherwise."""
    match = re.fullmatch(
        r"\s*([+-]?\d+(?:\.\d*)?)\s*(?:°|deg)?\s*([FC])\s*",
        text.replace("−", "-") if isinstance(text, str) else "",
        re.I,
    )
    if not match:
        raise UnitError(f'air_temperature = {text!r}: write a text such as "68 F" or "20 C"')
    number = float(match[1])
    celsius = (number - 32) / 1.8 if match[2] in "Ff" else number
    if not -60 <= celsius <= 60:
        return None, f"air_temperature = {text!r}: must be -76 F to 140 F"
    return celsius, ""


def _surroundings(function, quality, altitude=0.0, air_temperature="68 F"):
    """(quality, air density in kg/m³); every fault in one message."""
    number, bad_quality = _quality(quality)
    celsius, bad_temperature = _celsius(air_temperature)
    faults = [fault for fault in (bad_quality, bad_temperature) if fault]
    if faults:
        raise ImpossibleValue(f"{function} cannot work with this:\n  " + "\n  ".join(faults))
    return float(number), core.air_kg_m3(altitude * METERS_PER_FOOT, celsius)


def _flight(tip, pressure, elevation, height=0.0, wind=0.0, wind_from=0.0, *, quality, air):
    """The core's path for inputs in in, psi, deg, ft and mph."""
    return core.stream(
        tip * _METERS_PER_INCH,
        pressure * _PASCALS,
        elevation,
        place_m=(0.0, 0.0, height * METERS_PER_FOOT),
        wind_m_s=core.wind_m_s(wind * _MPH, wind_from),
        quality=quality,
        air_kg_m3=air,
    )


def _feet(metres):
    return quantity(metres / METERS_PER_FOOT, "foot")


def _whole(value, system):
    """A long distance in whole feet or metres: more would claim an exactness there is not."""
    unit, label = ("foot", "ft") if system == "US" else ("meter", "m")
    return f"{value.to(unit).magnitude + 0.0:,.0f} {label}".replace("-0 ", "0 ")


def _aside(value, system="US"):
    """A distance to the left (+) or right (-) in words."""
    if abs(value.to("foot").magnitude) < 0.05:
        return "none"
    return f"{show(abs(value), system)} to the {'left' if value.magnitude > 0 else 'right'}"


def _speed_step(pen, pressure):
    return (
        f"Speed at the tip = {pen.constant(round(_SPEED_PER_ROOT_PSI, 2), velocity=1, pressure=-0.5)}"
        f" × {pen.root(pressure)} = {pen.of(_SPEED_PER_ROOT_PSI * sqrt(pressure), 'velocity', 1)}"
    )


def _reach_step(pen, tip, pressure):
    reach = core.usable_reach_ft(tip, pressure)
    return (
        f"Usable reach = {pen.constant(0.5, length=1, pressure=-1)} × {pen.number(pressure, 'pressure')}"
        f" + {pen.number(26, 'length')} + {pen.constant(40, length=1, bore=-1)}"
        f" × ({pen.bore(tip)} - {pen.number(0.75, 'bore')}) = {pen.of(reach, 'length', 1)}"
    )


class PathPoint(NamedTuple):
    """A point of a path for pictures, in ft: ahead, to the left (+), above the ground."""

    ahead_ft: float
    left_ft: float
    height_ft: float


class Spray(NamedTuple):
    """Where drops land that leave the stream at its usable reach: quantities."""

    drop_diameter: Any
    ahead: Any
    left: Any


@dataclass(frozen=True, kw_only=True)
class StreamPoint(Explained):
    """The stream at one distance ahead.

    height  above the ground; left + to the left; along is the way of the water through the air;
    condition is "solid column", "good stream" (to the usable reach) or "broken into spray".
    """

    distance: Any
    height: Any
    left: Any
    along: Any
    speed: Any
    angle: Any
    width: Any
    time: Any
    condition: str

    def lines(self, system="US"):
        """The point as (label, text) pairs."""
        return (
            ("Distance ahead", show(self.distance, system)),
            ("Height above the ground", show(self.height, system)),
            ("Off to the side", _aside(self.left, system)),
            ("Speed", show(self.speed, system)),
            ("Angle above level", show(self.angle, system)),
            ("Width with nine tenths of the water", show(self.width, system)),
            ("Time from the tip", f"{self.time.to('second').magnitude:.1f} s"),
            ("The stream here", self.condition),
        )

    def __repr__(self):
        return self.text()


@dataclass(frozen=True, kw_only=True)
class StreamPath(Explained):
    """The path of a stream from the tip to the ground.

    throw          ahead to where its middle lands
    shortest, longest  the throw with a disturbed stream and with a long straight barrel
    still_throw    the throw without wind (the same where there is none)
    drift          where it lands aside, + to the left
    apex_height    of its highest point above the ground; apex_distance ahead to it
    usable_reach   along the stream; reach_distance ahead and reach_height above the ground
                   where it ends (None if the stream lands before)
    width_at_reach, landing_angle, landing_speed, flight_time, start_speed
    spray          Spray of small and large drops that leave at the usable reach
    Above 75 deg all that has to do with the landing is None.
    """

    throw: Any
    shortest: Any
    longest: Any
    still_throw: Any
    drift: Any
    apex_height: Any
    apex_distance: Any
    usable_reach: Any
    reach_distance: Any
    reach_height: Any
    width_at_reach: Any
    landing_angle: Any
    landing_speed: Any
    flight_time: Any
    start_speed: Any
    air_density: Any
    spray: tuple
    tip_diameter: Any
    elevation: Any
    flight: Any = field(repr=False, compare=False)

    @property
    def value(self):
        """The throw."""
        return self.throw

    @property
    def points(self):
        """The path as points for pictures, in ft."""
        return tuple(
            PathPoint(*(part / METERS_PER_FOOT for part in state[1:4]))
            for state in self.flight.states
        )

    @quantities(distance=DISTANCE)
    def at_distance(self, distance):
        """The stream at a distance ahead (over the ground, along the way the barrel points)."""
        state = self.flight.at_distance(distance * METERS_PER_FOOT)
        end = self.apex_distance if self.throw is None else self.throw
        far = max(0.0, end.to("foot").magnitude)
        if state is None or (self.throw is None and distance > far):
            raise ImpossibleValue(
                f"distance = {distance:g} ft: the stream comes no farther than {far:.0f} ft."
                f' Write a shorter one, such as distance="{0.9 * far:.0f} ft"'
            )
        return self._point(state)

    def _point(self, state):
        bore_m, reach_m = (
            self.tip_diameter.to("meter").magnitude,
            self.usable_reach.to("meter").magnitude,
        )
        condition = "good stream"
        if state.gone > reach_m:
            condition = "broken into spray"
        elif state.gone < _SOLID_BORES * bore_m:
            condition = "solid column"
        return StreamPoint(
            title="The stream at a distance",
            distance=_feet(state.x),
            height=_feet(state.z),
            left=_feet(state.y),
            along=_feet(state.gone),
            speed=quantity(state.speed * _FEET_PER_SECOND, "foot/second"),
            angle=quantity(state.angle, "degree"),
            width=_feet(core.width_m(bore_m, state.gone, reach_m)),
            time=quantity(state.time, "second"),
            condition=condition,
            steps=self.steps,
            notes=self.notes,
            sources=self.sources,
        )

    def _throw_lines(self, system):
        if self.throw is None:
            return (("Throw", "not given above 75 deg: the stream falls back on itself"),)
        lines = [
            ("Throw, give or take 15 %", _whole(self.throw, system)),
            (
                "With a disturbed stream, with a long straight barrel",
                f"{_whole(self.shortest, system)}, {_whole(self.longest, system)}",
            ),
        ]
        if self.still_throw != self.throw or self.drift.magnitude:
            lines += [
                ("Throw without wind", _whole(self.still_throw, system)),
                ("Wind shift where it lands, could be half or double", _aside(self.drift, system)),
            ]
            lines += [
                (
                    f"Drops of {show(s.drop_diameter, 'metric', 'bore')} shed on the way land",
                    f"{_whole(s.ahead, system)} ahead; aside: {_aside(s.left, system)}",
                )
                for s in self.spray
            ]
        return tuple(lines)

    def lines(self, system="US"):
        """The path in a few figures as (label, text) pairs."""
        top = f"{_whole(self.apex_height, system)}, {_whole(self.apex_distance, system)} ahead"
        if self.reach_distance is None:
            end = "not before it lands"
        else:
            end = (
                f"{_whole(self.reach_distance, system)} ahead, "
                f"{_whole(self.reach_height, system)} above the ground"
            )
        return (
            ("Speed at the tip", show(self.start_speed, system)),
            *self._throw_lines(system),
            ("Highest point above the ground", top),
            ("Usable reach along the stream, give or take 20 %", _whole(self.usable_reach, system)),
            ("It ends", end),
            ("Width there", show(self.width_at_reach, system, "depth")),
        )

    def __str__(self):
        return "none" if self.throw is None else _whole(self.throw, "US")

    def __repr__(self):
        return self.text()


def _spray(reach, wind_m_s, air):
    """Where drops land that are shed where the usable reach ends."""
    if reach is None:
        return ()
    found = []
    for mm in _DROPS_MM:
        last = core.drops(reach, mm / 1000, wind_m_s=wind_m_s, air_kg_m3=air).last
        found.append(Spray(quantity(mm, "millimeter"), _feet(last.x), _feet(last.y)))
    return tuple(found)


_LANDING = (
    "throw", "shortest", "longest", "still_throw", "drift", "landing_angle", "landing_speed",
    "flight_time", "spray",
)  # fmt: skip


def _landing(flight, reach, place, wind, wind_from, quality, air):
    """What a StreamPath says of the landing, by name."""
    down = flight.last
    shortest, longest = (
        _flight(*place, wind, wind_from, quality=other, air=air).last.x
        for other in reversed(STREAM_QUALITY_BAND)
    )
    still = _flight(*place, quality=quality, air=air).last.x if wind else down.x
    values = (
        *(_feet(x) for x in (down.x, shortest, longest, still, down.y)),
        quantity(down.angle, "degree"),
        quantity(down.speed * _FEET_PER_SECOND, "foot/second"),
        quantity(down.time, "second"),
        _spray(reach, flight.wind, air),
    )
    return dict(zip(_LANDING, values, strict=True))


def _path_steps(tip, pressure, elevation, height):
    return worked(lambda pen: (
        _speed_step(pen, pressure),
        _reach_step(pen, tip, pressure),
        f"From {pen.of(height, 'length', digits=4)} above the ground at {elevation:.4g} deg the path is"
        " followed 20 times a second: gravity on all of it, drag on what has broken up, wind across it",
    ))  # fmt: skip


@quantities(
    tip_diameter=TIP_DIAMETER,
    nozzle_pressure=NOZZLE_PRESSURE,
    elevation=ELEVATION,
    height=HEIGHT,
    wind=WIND,
    wind_from=WIND_FROM,
    altitude=ALTITUDE,
)
def stream_path(
    tip_diameter,
    *,
    nozzle_pressure,
    elevation,
    height="0 ft",
    wind="0 mph",
    wind_from="0 deg",
    quality="usual",
    altitude="0 ft",
    air_temperature="68 F",
):
    """Path of a solid stream from the tip of the ladder to the ground.

    For seeing where water goes before it flows. Gravity pulls on all of it; air drags on what
    has broken up, S = 1 - exp(-(s/500d)²) of it after a way s; wind blows across it.

    Takes
      tip_diameter     bore of the tip, 1/4 to 6 in; any length unit; usual unit in; symbol d
      nozzle_pressure  velocity pressure at the tip, gauge, 5 to 300 psi; usual unit psi
      elevation        of the stream above level, -90 to 90 deg; minus points down
      height           of the nozzle above the ground; any length unit; usual unit ft
      wind             steady wind; any velocity unit; usual unit mph
      wind_from        where it comes from, clockwise seen from above: 0 head wind, 90 from the
                       right, 180 tail wind, 270 (or -90) from the left
      quality          of nozzle and waterway: "long straight barrel" 0.87, "good" 1, "usual"
                       1.1, "ordinary" 1.2, "disturbed" 1.4, or a number 0.5 to 3; times the
                       drag of a good nozzle
      altitude         of the ground above the sea; any length unit; usual unit ft
      air_temperature  a text such as "68 F" or "20 C"
    Gives
      StreamPath       throw, highest point, usable reach, drift and more; long distances
                       shown to 1 ft; `at_distance` gives the stream at one distance
    Holds for
      solid streams of 1/2 to 1 in at 30 to 120 psi and 20 to 45 deg, as measured; larger tips
      are extrapolated. Not fog or straight pattern. Above 75 deg only the highest point
    How close
      86 measured throws are met within 4.7 % RMS, 12 % at most; show it as 15 %. Path to the
      window: half a foot plus your aim. Wind: direction sure, size could be half or double.
      Measured nozzles had qualities 1, 1, 1.2 and 1.75; 0.87 and 1.4 as ends are assumed
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or a quality that is not known
    Sources
      stream_drag_fit; theobald_1981_throws; first_principles_trajectory;
      first_principles_column; first_principles_drop; first_principles_air; range_rule_1960;
      good_stream_quoted: 15 in across where it ends, even growth before that is assumed
    Check value
      >>> path = stream_path("1 in", nozzle_pressure="50 psi", elevation="30 deg")
      >>> print(show(path.usable_reach))
      61 ft
    """
    q, air = _surroundings("stream_path", quality, altitude, air_temperature)
    place = (tip_diameter, nozzle_pressure, elevation, height)
    flight = _flight(*place, wind, wind_from, quality=q, air=air)
    usable = core.usable_reach_ft(tip_diameter, nozzle_pressure) * METERS_PER_FOOT
    end, top = flight.at_length(usable), flight.apex
    wide = core.width_m(tip_diameter * _METERS_PER_INCH, min(usable, flight.length_m), usable)
    if elevation > STEEPEST:
        landing = dict.fromkeys(_LANDING) | {"spray": ()}
    else:
        landing = _landing(flight, end, place, wind, wind_from, q, air)
    return StreamPath(
        title="Path of the stream",
        **landing,
        apex_height=_feet(top.z),
        apex_distance=_feet(top.x),
        usable_reach=_feet(usable),
        reach_distance=None if end is None else _feet(end.x),
        reach_height=None if end is None else _feet(end.z),
        width_at_reach=_feet(wide),
        start_speed=quantity(_SPEED_PER_ROOT_PSI * sqrt(nozzle_pressure), "foot/second"),
        air_density=quantity(air, "kg/m**3"),
        tip_diameter=quantity(tip_diameter, "inch"),
        elevation=quantity(elevation, "degree"),
        flight=flight,
        steps=_path_steps(*place),
        notes=(
            *outside_notes(tip_diameter, nozzle_pressure),
            *_NOTES,
            *((_WINDY,) if wind else ()),
        ),
        sources=(
            *_FIT,
            "first_principles_trajectory",
            "first_principles_air",
            "range_rule_1960",
            "good_stream_quoted",
            *(("first_principles_column", "first_principles_drop") if wind else ()),
        ),
    )


@dataclass(frozen=True, kw_only=True)
class Throw(Explained):
    """A throw: value, and the shortest and longest by the quality of the stream."""

    value: Any
    shortest: Any
    longest: Any

    def lines(self, system="US"):
        """Throw and band as (label, text) pairs."""
        return (
            ("Throw, give or take 15 %", _whole(self.value, system)),
            (
                "With a disturbed stream, with a long straight barrel",
                f"{_whole(self.shortest, system)}, {_whole(self.longest, system)}",
            ),
        )

    def __str__(self):
        return _whole(self.value, "US")

    def __repr__(self):
        return self.text()


@quantities(
    tip_diameter=TIP_DIAMETER,
    nozzle_pressure=NOZZLE_PRESSURE,
    elevation=THROW_ELEVATION,
    height=HEIGHT,
    wind=WIND,
    wind_from=WIND_FROM,
    altitude=ALTITUDE,
)
def throw(
    tip_diameter,
    *,
    nozzle_pressure,
    elevation,
    height="0 ft",
    wind="0 mph",
    wind_from="0 deg",
    quality="usual",
    altitude="0 ft",
    air_temperature="68 F",
):
    """How far ahead the middle of a solid stream comes down.

    For comparing set-ups and for what gets wet beyond the building. It is the farthest water,
    not the useful stream: see `usable_reach`. The path is that of `stream_path`.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi
      elevation        of the stream above level, -90 to 75 deg
      height           of the nozzle above the ground; usual unit ft
      wind             steady wind; any velocity unit; usual unit mph
      wind_from        clockwise from ahead: 0 head wind, 90 from the right, 180 tail wind
      quality          a word or a number, as in `stream_path`
      altitude         of the ground above the sea; usual unit ft
      air_temperature  a text such as "68 F" or "20 C"
    Gives
      Throw            value, shortest and longest in ft; shown to 1 ft
    Holds for
      as `stream_path`
    How close
      86 measured throws within 4.7 % RMS, 12 % at most; take 15 %
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or a quality that is not known
    Sources
      stream_drag_fit; theobald_1981_throws; first_principles_trajectory;
      first_principles_air; first_principles_column
    Check value
      >>> print(throw("2 1/2 in", nozzle_pressure="50 psi", elevation="0 deg", height="4 ft"))
      43 ft
    """
    q, air = _surroundings("throw", quality, altitude, air_temperature)
    place = (tip_diameter, nozzle_pressure, elevation, height, wind, wind_from)
    far, short, long = (
        _flight(*place, quality=other, air=air).last.x / METERS_PER_FOOT
        for other in (q, *reversed(STREAM_QUALITY_BAND))
    )
    return Throw(
        title="Throw",
        value=quantity(far, "foot"),
        shortest=quantity(short, "foot"),
        longest=quantity(long, "foot"),
        steps=(
            *_without_air_steps(nozzle_pressure, elevation, height),
            *worked(lambda pen: (
                f"With the air, followed step by step: {pen.of(far, 'length', digits=4)}",
            )),
        ),
        notes=(*outside_notes(tip_diameter, nozzle_pressure), *_NOTES, *((_WINDY,) if wind else ())),
        sources=(
            *_FIT,
            "first_principles_trajectory",
            "first_principles_air",
            *(("first_principles_column",) if wind else ()),
        ),
    )  # fmt: skip


def _without_air_steps(pressure, elevation, height):
    """Throw without air as sums that a crew can key in."""
    speed = _SPEED_PER_ROOT_PSI * sqrt(pressure)
    cosine, sine = round(cos(radians(elevation)), 5) + 0.0, round(sin(radians(elevation)), 5) + 0.0
    up = speed * sine
    bare = _without_air_ft(pressure, elevation, height)
    gravity = GRAVITY.value

    def sums(pen):
        g = pen.constant(gravity, length=1)
        rise = pen.number(up, "velocity", 6)
        return (
            _speed_step(pen, pressure),
            f"Cosine of {elevation:.4g} deg: {cosine:g}; sine: {sine:g}; speed upward:"
            f" {pen.number(speed, 'velocity', 6)} × {_signed(f'{sine:g}')} = {pen.of(up, 'velocity', digits=6)}",
            f"Throw without air = {pen.number(speed, 'velocity', 6)} × {cosine:g} × ({rise} +"
            f" √({_signed(rise)}^2 + 2 × {g} × {pen.number(height, 'length')})) / {g}"
            f" = {pen.of(bare, 'length', digits=5)}",
        )

    return worked(sums)


def _signed(text):
    """A number in brackets where it is minus."""
    return f"({text})" if text.startswith("-") else text


def _without_air_ft(pressure, elevation, height=0.0):
    far = core.throw_without_air_m(pressure * _PASCALS, elevation, height * METERS_PER_FOOT)
    return far / METERS_PER_FOOT


@dataclass(frozen=True, kw_only=True)
class BestElevation(Explained):
    """The elevation of the farthest throw, and the range that throws within 2 % of it."""

    value: Any
    throw: Any
    low: Any
    high: Any

    def lines(self, system="US"):
        """Elevation, throw and flat top as (label, text) pairs."""
        low, high = (f"{e.to('degree').magnitude:.0f}" for e in (self.low, self.high))
        return (
            ("Farthest at an elevation of about", str(self)),
            ("Throw there, give or take 15 %", _whole(self.throw, system)),
            ("Within 2 % of it", f"from {low} to {high} deg"),
        )

    def __str__(self):
        return f"{self.value.to('degree').magnitude:.0f} deg"

    def __repr__(self):
        return self.text()


@quantities(
    tip_diameter=TIP_DIAMETER,
    nozzle_pressure=NOZZLE_PRESSURE,
    height=HEIGHT,
    wind=WIND,
    wind_from=WIND_FROM,
    altitude=ALTITUDE,
)
def best_elevation(
    tip_diameter,
    *,
    nozzle_pressure,
    height="0 ft",
    wind="0 mph",
    wind_from="0 deg",
    quality="usual",
    altitude="0 ft",
    air_temperature="68 F",
):
    """Elevation of the stream that throws farthest over the ground.

    The top is flat: see low and high. In still air it lies near 38 to 41 deg for large tips,
    in a head wind lower; the trade's 30 to 34 deg is the better habit where wind blows against.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi
      height           of the nozzle above the ground; usual unit ft
      wind             steady wind; any velocity unit; usual unit mph
      wind_from        clockwise from ahead: 0 head wind, 90 from the right, 180 tail wind
      quality          a word or a number, as in `stream_path`
      altitude         of the ground above the sea; usual unit ft
      air_temperature  a text such as "68 F" or "20 C"
    Gives
      BestElevation    value, low and high in deg, throw in ft; shown to 1 deg
    Holds for
      as `stream_path`; sought from -20 to 70 deg
    How close
      measured best elevations were 30 to 40 deg; within 2 % of the throw it matters little
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or a quality that is not known
    Sources
      stream_drag_fit; theobald_1981_throws; first_principles_trajectory;
      first_principles_air; first_principles_column
    Check value
      >>> print(best_elevation("6 in", nozzle_pressure="5 psi", height="10 ft"))
      36 deg
    """
    q, air = _surroundings("best_elevation", quality, altitude, air_temperature)

    def thrown(elevation):
        place = (tip_diameter, nozzle_pressure, elevation, height, wind, wind_from)
        return _flight(*place, quality=q, air=air).last.x / METERS_PER_FOOT

    best = core.best_elevation_deg(thrown, low=-20.0, high=70.0)
    low, high = core.near_best_deg(thrown, best, 0.98)
    far = thrown(best)
    return BestElevation(
        title="Best elevation",
        value=quantity(best, "degree"),
        throw=quantity(far, "foot"),
        low=quantity(low, "degree"),
        high=quantity(high, "degree"),
        steps=worked(lambda pen: (
            _speed_step(pen, nozzle_pressure),
            f"Paths at many elevations: the farthest throw, {pen.of(far, 'length', digits=4)},"
            f" at {best:.1f} deg",
            f"Two per cent less: 0.98 × {pen.number(far, 'length')} = {pen.of(0.98 * far, 'length')}",
        )),
        notes=(*outside_notes(tip_diameter, nozzle_pressure), *_NOTES, *((_WINDY,) if wind else ())),
        sources=(
            *_FIT,
            "first_principles_trajectory",
            "first_principles_air",
            *(("first_principles_column",) if wind else ()),
        ),
    )  # fmt: skip


@quantities(
    tip_diameter=TIP_DIAMETER,
    nozzle_pressure=NOZZLE_PRESSURE,
    elevation=THROW_ELEVATION,
    distance=DISTANCE,
)
def sag(tip_diameter, *, nozzle_pressure, elevation, distance, quality="usual"):
    """How far the stream has dropped below the line of the barrel at a distance ahead.

    Why a sight along the barrel strikes low: straight line minus stream, in still air.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi
      elevation        of barrel and stream above level, -90 to 75 deg
      distance         ahead over the ground, not along the stream; usual unit ft
      quality          a word or a number, as in `stream_path`
    Gives
      Result           drop in ft; shown to 0.1 ft
    Holds for
      as `stream_path`, as far as the stream comes before it has fallen 1,000 ft
    How close
      half a foot at a window; 10 psi or 1 deg more or less moves it by as much as the air does
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or the stream does not come so far
    Sources
      stream_drag_fit; theobald_1981_throws; first_principles_trajectory; first_principles_air
    Check value
      >>> print(sag("2 in", nozzle_pressure="80 psi", elevation="30 deg", distance="20 ft"))
      0.7 ft
    """
    q, air = _surroundings("sag", quality)
    flight = _flight(tip_diameter, nozzle_pressure, elevation, 1000.0, quality=q, air=air)
    state = flight.at_distance(distance * METERS_PER_FOOT)
    if state is None:
        far = flight.last.x / METERS_PER_FOOT
        raise ImpossibleValue(
            f"sag cannot work with this:\n  distance = {distance:g} ft: the stream does not come so"
            f' far, not even {far:.0f} ft. Write distance="{0.5 * far:.0f} ft"'
        )
    line, slope = distance * tan(radians(elevation)), tan(radians(elevation))
    stream = state.z / METERS_PER_FOOT - 1000.0
    drop = line - stream

    def sums(pen):
        rise = pen.number(round(stream, 2), "length", 6)
        return (
            f"Rise of the barrel's line: {pen.number(distance, 'length')} × {_signed(f'{slope:.5g}')}"
            f" = {pen.of(line, 'length', 2)}",
            f"The stream is there {pen.of(stream, 'length', 2)} above the nozzle",
            f"Drop = {pen.number(round(line, 2), 'length', 6)} - {_signed(rise)}"
            f" = {pen.of(drop, 'length', 2)}",
        )

    return Result(
        title="Drop below the barrel's line",
        value=quantity(drop, "foot"),
        steps=worked(sums),
        notes=(*outside_notes(tip_diameter, nozzle_pressure), *_NOTES),
        sources=(*_FIT, "first_principles_trajectory", "first_principles_air"),
    )


@quantities(tip_diameter=TIP_DIAMETER, nozzle_pressure=NOZZLE_PRESSURE, elevation=ELEVATION)
def usable_reach(tip_diameter, *, nozzle_pressure, elevation="0 deg"):
    """How far along the stream it is still a good, solid stream, by the handbook rule.

    For choosing the spot: S = P/2 + 26 ft for 3/4 in, and 5 ft more for each 1/8 in over it.
    The print calls it maximum range; the farthest water lands more than twice as far.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in; symbol d
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi; symbol P
      elevation        of the stream above level; it changes a note, not the reach
    Gives
      Result           reach along the stream in ft; shown to 0.1 ft
    Holds for
      over 30 psi and from 3/4 in by the print; beyond 1 3/8 in it is extrapolated
    How close
      20 %: a good stream is judged by eye; along the stream and at any elevation is our reading
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range
    Sources
      range_rule_1960; good_stream_quoted
    Check value
      >>> print(usable_reach("1 in", nozzle_pressure="50 psi"))
      61 ft
    """
    reach = core.usable_reach_ft(tip_diameter, nozzle_pressure)
    notes = [Note("estimate", "Usable reach: 20 %. Never for stand-off or electrical distances.")]
    if not (nozzle_pressure > 30 and 0.75 <= tip_diameter <= 1.375):
        notes.append(Note("outside range", both(lambda pen: (
            f"The rule is printed for over {pen.of(30, 'pressure', digits=3)} and from"
            f" {pen.number(0.75, 'bore', 3)} {pen.unit('bore')} up; over"
            f" {pen.number(1.375, 'bore', 4)} {pen.unit('bore')} it is stretched beyond what it"
            " was made for."
        ))))  # fmt: skip
    if elevation > 0:
        steep = core.steep_usable_reach_ft(tip_diameter, nozzle_pressure, elevation)
        notes.append(Note("estimate", both(lambda pen: (
            "Remembered, not found in print and not used: 5/8 in place of 1/2 for a stream straight"
            f" up, which would make it about {pen.of(steep, 'length', digits=3)} here."
        ))))  # fmt: skip
    return Result(
        title="Usable reach along the stream",
        value=quantity(reach, "foot"),
        steps=worked(lambda pen: (_reach_step(pen, tip_diameter, nozzle_pressure),)),
        notes=tuple(notes),
        sources=("range_rule_1960", "good_stream_quoted"),
    )


@quantities(
    tip_diameter=TIP_DIAMETER, nozzle_pressure=NOZZLE_PRESSURE,
    elevation=Need("angle", "degree", at_least=0, at_most=STEEPEST),
)  # fmt: skip
def pencil_throw(tip_diameter, *, nozzle_pressure, elevation, quality="usual"):
    """Throw on level ground by a formula for the classroom.

    R = R0 / (1 + 0.17 q (air/water) R0/d), R0 the throw without air, from the ground.

    Takes
      tip_diameter     bore of the tip; any length unit; usual unit in; symbol d
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi
      elevation        of the stream above level, 0 to 75 deg
      quality          a word or a number, as in `stream_path`; symbol q
    Gives
      Throw            value, shortest and longest in ft; shown to 1 ft
    Holds for
      nozzle and landing at one height, still air of 68 °F at sea level
    How close
      86 measured throws within 6.7 % RMS, 21 % at most; within -10 and +15 % of `throw` for
      1 3/8 to 2 1/2 in, 60 to 120 psi, 20 to 45 deg
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or a quality that is not known
    Sources
      stream_drag_fit; theobald_1981_throws; first_principles_trajectory; first_principles_air
    Check value
      >>> print(pencil_throw("6 in", nozzle_pressure="5 psi", elevation="45 deg"))
      23 ft
    """
    q, _ = _surroundings("pencil_throw", quality)
    bare = _without_air_ft(nozzle_pressure, elevation)
    bore = tip_diameter / 12
    thin = AIR_DENSITY.value / core.WATER_KG_M3
    far, short, long = (
        core.pencil_throw_m(bore, bare, PENCIL_THROW.value, other)
        for other in (q, *reversed(STREAM_QUALITY_BAND))
    )

    def sums(pen):
        r0, d = pen.number(bare, "length"), pen.number(bore, "length")
        return (
            f"Throw = {r0} / (1 + {PENCIL_THROW.value:g} × {q:g} × {thin:.6f} × {r0} / {d})"
            f" = {pen.of(far, 'length', digits=4)}",
        )

    return Throw(
        title="Throw by the pencil formula",
        value=quantity(far, "foot"),
        shortest=quantity(short, "foot"),
        longest=quantity(long, "foot"),
        steps=(*_without_air_steps(nozzle_pressure, elevation, 0.0), *worked(sums)),
        notes=(
            Note(
                "estimate",
                "A formula for the classroom: up to 15 % off the path, besides its 15 %.",
            ),
            *outside_notes(tip_diameter, nozzle_pressure),
            *_NOTES,
        ),
        sources=(*_FIT, "first_principles_trajectory", "first_principles_air"),
    )


stream_path.plain = core.stream
usable_reach.plain = core.usable_reach_ft
pencil_throw.plain = core.pencil_throw_m
