"""Where the water of a stream goes: through the opening, off the ceiling, onto what burns.

Solid streams only. Places are seen from outside, square to the wall: ahead is into the building,
right and left are those of whoever looks at the wall. Shares are of the flow that leaves the tip.
"""

from dataclasses import dataclass, field
from functools import cache
from importlib.util import find_spec
from math import cos, radians, sin
from typing import Any

from aerialstream._core import aim as core_aim
from aerialstream._core import application as core
from aerialstream._core import spread
from aerialstream._core.nozzles import smooth_bore_discharge_gpm
from aerialstream.aerials import plain_rig
from aerialstream.constants import METERS_PER_FOOT
from aerialstream.errors import ImpossibleValue
from aerialstream.results import MANUAL_DECIDES, Explained, Note
from aerialstream.stream import NOZZLE_PRESSURE as PRESSURE
from aerialstream.stream import QUALITIES, STEEPEST, TIP_DIAMETER, WIND, WIND_FROM, outside_notes
from aerialstream.units import Need, in_unit, quantities, quantity, show
from aerialstream.worked import both, worked

STANDOFF = Need("length", "foot", above=0, at_most=400)
ASIDE = Need("length", "foot", at_least=-400, at_most=400)
HEIGHT = Need("length", "foot", at_least=0, at_most=400)
PITCH = Need("angle", "degree", at_least=-90, at_most=STEEPEST)
TURN = Need("angle", "degree", at_least=-85, at_most=85)
SWAY = Need("angle", "degree", at_least=0, at_most=5)

# Share of the flow -> how it is said. No decimals: the model knows where most goes, not how much.
BANDS = (
    (0.005, "none"),
    (0.15, "little"),
    (0.40, "some"),
    (0.60, "about half"),
    (0.85, "most"),
    (1.01, "nearly all"),
)
# Cells of the map, by how their water compares with the same flow spread evenly over the floor.
MAP_BANDS = ((0.05, "dry"), (0.5, "a little"), (2.0, "some"), (6.0, "much"), (1e9, "very much"))
HOW_GOOD = both(
    lambda pen: (
        f"Path to the window: {'15 cm' if pen.system == 'metric' else 'half a foot'} plus your aim. "
        "Water map and shares: where most goes, not how much. A share rests on constants that "
        "nobody has measured on a master stream: it may be a band or two off."
    )
)
OFF_CEILING = (
    "No measured map of a master stream off a ceiling was found: how steep compares with shallow is "
    "firm under every change of the constants, the numbers are not."
)
OFF_OTHERS = "How far a sheet runs over a floor or a wall was not measured on a master stream."
STOPPED_LOW = (
    "Water along the floor counts as stopped at the foot of a partition or rack that stands across "
    "it, however low. What climbs over, or passes through an open rack, is not counted."
)
PASSED_LOW = (
    "What comes off the ceiling counts as passing over a partition or rack lower than that. Drops "
    "that fall short of it strike its face instead: a little less gets behind it."
)
_SOURCES = (
    "stream_drag_fit",
    "first_principles_oblique_split",
    "first_principles_film",
    "assumed_surface_constants",
)
_NOTES = (
    Note("estimate", HOW_GOOD),
    Note(
        "caution",
        "Not with crews inside or on the roof. Command approves, crews are accounted for, then "
        "water. Water in a building is weight: watch what runs out again.",
    ),
    Note("outside range", "Solid streams only: fog and straight patterns are not covered."),
)


@cache
def kit():
    """The equations over arrays where numpy is there, else in Python's own math: same answers."""
    if find_spec("numpy"):
        from aerialstream._core import spread_arrays

        return spread_arrays
    return spread


def in_words(share):
    """A share of the flow as a band: "none", "little", "some", "about half", ..."""
    return next(word for most, word in BANDS if share < most)


def in_full(share):
    """A band with what it stands for: "most (60 to 85 %)"."""
    place = next(number for number, (most, _) in enumerate(BANDS) if share < most)
    high, word = BANDS[place]
    if not place:
        return word
    low = BANDS[place - 1][0]
    return f"{word} ({100 * low:.0f} to {min(100.0, 100 * high):.0f} %)"


def from_to(least, most):
    """Two shares as the bands they lie in: "some to most"."""
    one, other = in_words(least), in_words(most)
    return one if one == other else f"{one} to {other}"


@dataclass(frozen=True, kw_only=True)
class WaterUse(Explained):
    """Where the water of one shot goes.

    on_fire        share that strikes what burns, runs over it or comes down on it
    shares         {what becomes of it: share}; they add up to 1
    cleared        share that comes through the opening or the hole
    strike         what the middle of the stream meets first, in words; strike_inside in the room
    depth_inside   of that strike from the outside face (None if it does not come in)
    grazing_angle  between the stream and that surface (90 is square-on)
    ceiling_down   whether the stream brings suspended tile down on its way
    flow           that leaves the tip
    outcome        plain numbers of the model, for pictures
    """

    on_fire: Any
    shares: dict
    cleared: Any
    strike: str
    strike_inside: str | None
    depth_inside: Any
    grazing_angle: Any
    ceiling_down: bool
    flow: Any
    view: Any = field(repr=False, compare=False)
    shot: Any = field(repr=False, compare=False)
    burning: Any = field(repr=False, compare=False)
    outcome: Any = field(repr=False, compare=False)

    @property
    def value(self):
        """The share on the fire."""
        return self.on_fire

    def lines(self, system="US"):
        """Where it goes, in bands, as (label, text) pairs."""
        out = [("On what burns", in_full(self.on_fire.magnitude / 100))]
        for fate, share in self.shares.items():
            if fate != "on the fire" and share >= BANDS[0][0]:
                out.append((fate[0].upper() + fate[1:], in_full(share)))
        out.append(("First strike", self.strike))
        if self.strike_inside:
            depth, angle = show(self.depth_inside, system), show(self.grazing_angle, system)
            if self.strike_inside != self.strike:
                out.append(("Inside it strikes", self.strike_inside))
            out.append(("Strike, from the face of the wall", f"{depth} in"))
            out.append(("Grazing angle (90 is square-on)", angle))
        out.append(("Flow", show(self.flow, system)))
        return tuple(out)

    def water_map(self, cell=1.0):
        """Share of the flow in each cell of the floor, and the cells' corner.

        Takes
          cell   wanted side of a cell in ft; the nearest that divides the room is taken
        Gives
          (cells, room)   cells[row][column] front to back and left to right, adding up to what
                          comes down in the room; room (front, back, left, right) in ft, or
                          (None, None) where nothing comes in
        """
        if self.outcome.parts is None:
            return None, None
        front, back, left, right = room = self.outcome.room
        rows = max(1, round((back - front) / cell))
        columns = max(1, round((right - left) / cell))
        tools = _tools_of(self.outcome.parts)
        share = self.outcome.cleared
        cells = tools.water_map(self.outcome.parts, room, rows, columns)
        return tuple(tuple(float(c) * share for c in row) for row in cells), room

    def map_bands(self, cell=1.0):
        """The map in bands, 0 to 4 as MAP_BANDS names them, and the room; see `water_map`.

        A band compares the water of a cell with the same flow spread evenly over the floor.
        """
        cells, room = self.water_map(cell)
        if cells is None:
            return None, None
        even = 1 / (len(cells) * len(cells[0]))
        bands = tuple(
            tuple(next(n for n, (most, _) in enumerate(MAP_BANDS) if c / even < most) for c in row)
            for row in cells
        )
        return bands, room

    def range_on_fire(self):
        """(least, most) share on the fire over all that the surfaces' constants may be."""
        found = [self.on_fire.magnitude / 100]
        for factors in _corners():
            table = {
                name: surface._replace(
                    **{
                        key: min(getattr(surface, key) * by, spread.MOST[key])
                        for key, by in factors.items()
                    }
                )
                for name, surface in spread.SURFACES.items()
            }
            made = core.what_if(
                self.view, self.shot, kit=kit(), burning=self.burning, surfaces=table
            )
            found.append(made.fates["on the fire"])
        return min(found), max(found)

    def __str__(self):
        return in_words(self.on_fire.magnitude / 100)

    def __repr__(self):
        return self.text()


def _corners():
    """Factors on each constant of a surface that take it to either end of its range."""
    usual = spread.Surface()
    keys = tuple(spread.RANGES)
    for number in range(2 ** len(keys)):
        yield {
            key: spread.RANGES[key][number >> place & 1] / getattr(usual, key)
            for place, key in enumerate(keys)
        }


def _tools_of(parts):
    """The module that made the parts."""
    if isinstance(parts, list):
        return spread
    from aerialstream._core import spread_arrays

    return spread_arrays


_SHOT_NEEDS = {
    "standoff": STANDOFF,
    "aside": ASIDE,
    "nozzle_height": HEIGHT,
    "stream_pitch": PITCH,
    "turn": TURN,
    "tip_diameter": TIP_DIAMETER,
    "nozzle_pressure": PRESSURE,
    "wind": WIND,
    "wind_from": WIND_FROM,
    "sway": SWAY,
}


@quantities(**_SHOT_NEEDS)
def water_use(
    view,
    *,
    standoff,
    nozzle_height,
    stream_pitch,
    tip_diameter,
    nozzle_pressure,
    aside="0 ft",
    turn="0 deg",
    wind="0 mph",
    wind_from="0 deg",
    quality="usual",
    sway="0.5 deg",
    burning=None,
):
    """Where the water of a stream goes that is aimed at an opening or a roof.

    For seeing which aim brings water to what burns, before it flows. The path by `stream_path`;
    what clears the opening by the width of the stream and the sway of the tip; on a hard ceiling
    the flow splits, f = sin³a / (2 pi (1 - cos a cos p)²) over the direction p, runs on as a
    film, and falls. Suspended tile drops out and the surface above takes over.

    Takes
      view             of an opening, `building.room_of("a2-5")`, or of a side with a roof,
                       `building.view_from("A")`; see `load_building`
      standoff         nozzle before the outside face of the wall; any length unit; usual unit ft
      nozzle_height    nozzle above the ground; any length unit; usual unit ft
      stream_pitch     of the stream above level, -90 to 75 deg; minus points down
      tip_diameter     bore of the tip; any length unit; usual unit in
      nozzle_pressure  velocity pressure at the tip, gauge; usual unit psi
      aside            nozzle to the right (+) or left (-) of the opening's middle; usual unit ft
      turn             of the stream to the right (+) of square into the wall; usual unit deg
      wind             steady wind; any velocity unit; usual unit mph
      wind_from        where it comes from, clockwise seen from above: 0 out of the building
                       toward the nozzle, 90 from the right, 180 onto the building
      quality          of nozzle and waterway, as in `stream_path`
      sway             how far tip and aim wander, one standard deviation; usual unit deg
      burning          (front, back, left, right) of what burns on the floor, from the face of
                       the wall and from the opening's middle (left is minus); texts such as
                       "12 ft" or plain numbers in ft; None takes the building's own
    Gives
      WaterUse         shares of the flow, in bands when printed; what is struck, where and at
                       what grazing angle; `water_map`, `map_bands`, `range_on_fire`
    Holds for
      solid streams on hard surfaces without crews, fire plume, glass or curtains in the way; a
      partition counts as closed, and one across the floor stops what runs along it, however low
    How close
      flow is conserved exactly; the split is exact for a stream without friction; how far
      the film runs was never measured on a master stream. Where most goes, not how much
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range, or a quality that is not known
    Sources
      stream_drag_fit; first_principles_oblique_split; first_principles_film;
      assumed_surface_constants (an assumption, no test behind it)
    Check value
      >>> from aerialstream import load_building
      >>> mill = load_building("weir-street-mill")
      >>> shot = water_use(mill.view_from("A"), standoff="40 ft", nozzle_height="60 ft",
      ...     stream_pitch="-10 deg", tip_diameter="2 in", nozzle_pressure="80 psi")
      >>> print(show(shot.on_fire))
      0 %
    """
    shot = _shot(
        (-standoff, aside, nozzle_height),
        stream_pitch,
        turn,
        tip_diameter,
        nozzle_pressure,
        _wind_ft_s(wind, wind_from),
        _quality_number(quality),
        sway,
    )
    return _use(view, shot, _burning(burning, view))


def _quality_number(quality):
    if isinstance(quality, str) and quality in QUALITIES:
        return QUALITIES[quality]
    if isinstance(quality, int | float) and not isinstance(quality, bool) and 0.5 <= quality <= 3:
        return float(quality)
    known = ", ".join(f'"{word}"' for word in QUALITIES)
    raise ImpossibleValue(f"quality = {quality!r}: must be one of {known}, or 0.5 to 3")


def _wind_ft_s(wind_mph, from_deg):
    """Where wind blows to, in the opening's axes, ft/s."""
    speed = wind_mph * 5280 / 3600
    turn = radians(from_deg)
    return (-speed * cos(turn), -speed * sin(turn), 0.0)


def _burning(burning, view):
    """What burns as four plain numbers, or None where nobody entered it."""
    if burning is None:
        room = view.room
        return room.burning[:4] if room is not None and room.burning is not None else None
    try:
        front, back, left, right = (
            float(edge) if isinstance(edge, int | float) else in_unit(edge, ASIDE)
            for edge in burning
        )
    except (TypeError, ValueError):
        raise ImpossibleValue(
            f"burning = {burning!r}: write (front, back, left, right), such as "
            '("10 ft", "20 ft", "-6 ft", "6 ft")'
        ) from None
    if not (-1e4 < front < back < 1e4 and -1e4 < left < right < 1e4):
        raise ImpossibleValue(f"burning = {burning!r}: front < back and left < right is needed")
    return front, back, left, right


def _shot(place, pitch, turn, tip, pressure, wind, quality, sway):
    return core.Shot(
        place=place,
        pitch_deg=pitch,
        turn_deg=turn,
        tip_diameter_in=tip,
        nozzle_pressure_psi=pressure,
        flow_gpm=smooth_bore_discharge_gpm(tip, pressure),
        wind_ft_s=wind,
        quality=quality,
        sway_deg=sway,
    )


def _use(view, shot, burning):
    """The result for a shot."""
    tools = kit()
    detail = {} if tools is spread else {"lines": 96, "times": 24}
    outcome = core.what_if(view, shot, kit=tools, burning=burning, **detail)
    inside, fates = outcome.inside, outcome.fates
    return WaterUse(
        title="Where the water goes",
        on_fire=quantity(100 * fates["on the fire"], "percent"),
        shares=dict(fates),
        cleared=quantity(100 * outcome.cleared, "percent"),
        strike=_first_words(outcome),
        strike_inside=None if inside is None else inside.surface,
        depth_inside=None if inside is None else quantity(inside.point[0], "foot"),
        grazing_angle=None if inside is None else quantity(inside.grazing_angle_deg, "degree"),
        ceiling_down=bool(outcome.dropped),
        flow=quantity(shot.flow_gpm, "gpm"),
        view=view,
        shot=shot,
        burning=burning,
        outcome=outcome,
        steps=_steps(view, shot, outcome),
        notes=(
            *outside_notes(shot.tip_diameter_in, shot.nozzle_pressure_psi),
            *_use_notes(outcome, view, burning),
            *_NOTES,
        ),
        sources=_SOURCES,
    )


def _first_words(outcome):
    strike = outcome.strike
    if strike is None:
        return "nothing: it passes the building"
    return strike.surface


def _use_notes(outcome, view, burning):
    """What this case in particular needs said."""
    said, roof = [], view.roof
    if outcome.fates["shed by the roof"] > BANDS[0][0]:
        intact = not roof.holes and not roof.open_share
        said.append(
            ("caution", "An intact roof is built to shed water: none of this comes in.")
            if intact
            else ("caution", "What comes down beside the hole runs off: the roof sheds it.")
        )
    if outcome.dropped:
        said.append(("caution", "Suspended tile comes down here; the surface above takes over."))
    if outcome.broken:
        said.append(
            (
                "estimate",
                "It strikes beyond its usable reach, as spray. The water map takes it as a solid "
                "stream all the same: there it is a guess.",
            )
        )
    if outcome.inside is not None and outcome.parts is not None:
        off_ceiling = outcome.inside.surface in core.CEILINGS
        said.append(("estimate", OFF_CEILING if off_ceiling else OFF_OTHERS))
        tools = _tools_of(outcome.parts)
        by_low = core.share_at_low_partitions(
            tools, view, outcome.inside, outcome.parts, outcome.room
        )
        if by_low > BANDS[0][0]:
            said.append(("estimate", PASSED_LOW if off_ceiling else STOPPED_LOW))
    if any(canopy.kind == "open" for canopy in view.canopies):
        said.append(
            ("estimate", "Bars or a grating before the wall break a stream up: left out here.")
        )
    if outcome.by_other_openings > BANDS[0][0]:
        said.append(("estimate", "What goes in by another opening is not followed."))
    if view.room is None and outcome.cleared:
        said.append(("estimate", "No room was entered where it comes in."))
    elif burning is None and view.room is not None:
        said.append(("estimate", "Nobody entered what burns here: no share on the fire."))
    return tuple(Note(kind, text) for kind, text in said)


def _steps(view, shot, outcome):
    """The way of the water in words."""

    def write(pen):
        x, _, z = shot.place
        said = [
            f"Nozzle {_far(pen, -x)} before the wall and "
            f"{_far(pen, z)} up; stream {_pitched(shot.pitch_deg)}"
        ]
        crossing, o = outcome.crossing, view.opening
        if crossing is not None and o is not None:
            height, aside = crossing.point[2], crossing.point[1] - (o.y0_ft + o.y1_ft) / 2
            said.append(
                f"At the wall its middle is {_above(pen, height - o.sill_ft, 'sill')} and "
                f"{_above(pen, height - o.head_ft, 'head')}"
                + (
                    ""
                    if abs(aside) < 0.05
                    else f", {_far(pen, abs(aside))} to the "
                    f"{'right' if aside > 0 else 'left'} of the middle"
                )
                + f": {in_words(outcome.cleared)} of it comes in"
            )
        inside = outcome.inside
        if inside is not None:
            said.append(
                f"Inside it strikes: {inside.surface}, {_far(pen, inside.point[0])}"
                f" from the face of the wall, at a grazing angle of {inside.grazing_angle_deg:.0f} deg"
            )
            if outcome.things:
                said.append("Before that it strikes what burns: all of that part counts as on it")
            if inside.surface in core.CEILINGS:
                ahead = spread.forward_share(max(inside.grazing_angle_deg, 1.0))
                said.append(
                    f"Off a hard ceiling {100 * ahead:.0f} % of it goes on forward, "
                    f"{100 * (1 - ahead):.0f} % comes back"
                )
        return said

    return worked(write)


def _far(pen, feet):
    """A length for words, to a tenth."""
    number = feet * METERS_PER_FOOT if pen.system == "metric" else feet
    return f"{number:.1f} {pen.unit('length')}"


def _otherwise(what, system):
    """What is otherwise, such as "10 psi more", in a unit system."""
    if system == "US":
        return what
    for text, unit in (("10 psi", "psi"), ("10 mph", "mile/hour")):
        what = what.replace(text, show(quantity(10, unit), system))
    return what


def _pitched(degrees_):
    if abs(degrees_) < 0.05:
        return "level"
    return f"{abs(degrees_):.1f} deg {'up' if degrees_ > 0 else 'down'}"


def _above(pen, by, what):
    way = "above" if by >= 0 else "below"
    return f"{_far(pen, abs(by))} {way} the {what}"


# --- the aim helper ----------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class AimFound(Explained):
    """The set-up that brings most of the flow to what burns, from one spot; or what stops it.

    Where there is none the share is 0 and the set-up's own values are None. tried is how many
    set-ups that fit the device were tried; stopped what kept others out, and how often.
    range_on_fire is (least, most) share over all that the surfaces' constants may be.
    """

    on_fire: Any
    extension: Any
    elevation: Any
    bearing: Any
    nozzle_pitch: Any
    stream_pitch: Any
    nozzle_pressure: Any
    tip_height: Any
    tip_standoff: Any
    wall_top: Any
    range_on_fire: Any
    if_otherwise: dict
    tried: int
    stopped: dict
    use: Any = field(repr=False, compare=False)
    set_up: Any = field(repr=False, compare=False)
    unasked: str = ""

    @property
    def value(self):
        """The share on the fire."""
        return self.on_fire

    def lines(self, system="US"):
        """The set-up and how touchy it is, as (label, text) pairs."""
        if self.extension is None:
            return ((self.title, "none found from this spot"), ("Why", self.reason))
        aside = self.bearing.magnitude
        way = "square to the wall" if abs(aside) < 0.05 else (
            f"{show(abs(self.bearing), system)} to the {'right' if aside > 0 else 'left'} of square"
        )  # fmt: skip
        return (
            ("On what burns", in_full(self.on_fire.magnitude / 100)),
            ("The same over all that the constants may be", from_to(*self.range_on_fire)),
            ("Extension", show(self.extension, system)),
            ("Elevation", show(self.elevation, system)),
            ("Ladder and stream point", way),
            ("Nozzle from the ladder's line", _pitched(self.nozzle_pitch.magnitude)),
            ("Stream", _pitched(self.stream_pitch.magnitude)),
            ("Nozzle pressure", show(self.nozzle_pressure, system)),
            ("Tip above the ground", show(self.tip_height, system)),
            ("Tip before the wall", show(self.tip_standoff, system)),
            ("Top of the wall", show(self.wall_top, system)),
            ("First strike inside", self.use.strike_inside or "none"),
            *self._touchy(system),
        )

    def _touchy(self, system):
        """What changes the band, and that nothing else does."""
        band = in_words(self.on_fire.magnitude / 100)
        moved = [
            (f"With {_otherwise(what, system)}", in_full(share))
            for what, share in self.if_otherwise.items()
            if in_words(share) != band
        ]
        small = _otherwise("a degree of aim, 10 psi, 10 mph of wind", system)
        label = "Of the rest" if moved else "If otherwise"
        return (*moved, (label, f"none of {small} changes the band"))

    @property
    def reason(self):
        """Why no set-up was found, in words."""
        if self.unasked:
            return self.unasked
        most = sorted(self.stopped, key=self.stopped.get, reverse=True)[:3]
        out = f"; others do not fit the device: {', '.join(most)}" if most else ""
        if self.tried:
            return f"none of the {self.tried} set-ups tried brings water to what burns{out}"
        return ", ".join(most) or "no place to aim at: the roof lets nothing in"

    def __str__(self):
        return in_words(self.on_fire.magnitude / 100)

    def __repr__(self):
        return self.text()


@quantities(
    turntable_distance=STANDOFF,
    turntable_aside=ASIDE,
    tip_diameter=TIP_DIAMETER,
    wind=WIND,
    wind_from=WIND_FROM,
    nearest=Need("length", "foot", above=0, at_most=100),
)
def best_aim(
    apparatus,
    view,
    *,
    turntable_distance,
    tip_diameter,
    nozzle_pressures=("60 psi", "80 psi", "100 psi"),
    turntable_aside="0 ft",
    wind="0 mph",
    wind_from="0 deg",
    quality="usual",
    nearest="3 ft",
    burning=None,
):
    """The set-up that puts most of the flow on what burns, from a spot, within the device's travel.

    Tries tips in line with the turntable and a place in the opening, steep and shallow, over its
    height and width, then betters the best few step by step, at each nozzle pressure named; the
    nozzle stays in line with the ladder. Says too how the share moves with a degree of aim,
    10 psi and 10 mph of wind.

    Takes
      apparatus           the device, an Apparatus
      view                of the opening or the roof, as in `water_use`
      turntable_distance  turntable's centre before the wall; any length unit; usual unit ft
      tip_diameter        bore of the tip; usual unit in
      nozzle_pressures    pressures to choose from, a list of texts such as ("80 psi",)
      turntable_aside     turntable to the right (+) of the opening's middle; usual unit ft
      wind                steady wind; usual unit mph
      wind_from           as in `water_use`; usual unit deg
      quality             of nozzle and waterway, as in `stream_path`
      nearest             the tip comes no nearer to the wall; usual unit ft
      burning             as in `water_use`
    Gives
      AimFound            extension, elevation, bearing, nozzle pitch, pressure, the share, and
                          `if_otherwise`; where there is none, what stopped it
    Holds for
      what `water_use` holds for; loads, collapse zone, lines and ground are not looked at here:
      see `set_up_loads` and `spot_map`
    How close
      a search, not a proof: in twelve cases it came within 0.03 of the share that a general
      optimiser found
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  an input is out of its range
    Sources
      stream_drag_fit; first_principles_oblique_split; first_principles_film;
      assumed_surface_constants
    Check value
      >>> from aerialstream import load_building, load_department
      >>> rig, mill = load_department().device("tower-3"), load_building("weir-street-mill")
      >>> found = best_aim(rig, mill.view_from("A"), turntable_distance="60 ft", tip_diameter="2 in")
      >>> print(show(found.on_fire))
      0 %
    """
    rig = plain_rig(apparatus)
    spot = core_aim.Rig(
        place=(-turntable_distance, turntable_aside),
        height_ft=rig.height_ft,
        offset_ft=rig.offset_ft,
        extension_ft=rig.extension_ft,
        elevation_deg=rig.elevation_deg,
        travel=rig.travel,
        levels=rig.levels,
    )
    water = core_aim.Water(
        tip_diameter_in=tip_diameter,
        pressures_psi=_pressures(nozzle_pressures),
        quality=_quality_number(quality),
        wind_ft_s=_wind_ft_s(wind, wind_from),
    )
    area = _burning(burning, view)
    found = core_aim.find(view, spot, water, kit=kit(), burning=area, nearest_ft=nearest)
    return _found(found, view, water, area, rig.notes)


def _in_zone(standoff_ft, top_ft):
    """The caution where the tip stands within twice the height of the wall."""
    return Note(
        "caution",
        both(
            lambda pen: (
                f"The tip stands {_far(pen, standoff_ft)} before a wall {_far(pen, top_ft)} high: "
                f"a collapse zone of 1, 1.5 or 2 times its height reaches {_far(pen, top_ft)}, "
                f"{_far(pen, 1.5 * top_ft)} or {_far(pen, 2 * top_ft)}. Command decides; give "
                "`nearest` to keep the tip farther out."
            )
        ),
    )


def _pressure_list(pen, pressures_psi):
    """Pressures in words."""
    return ", ".join(pen.of(psi, "pressure", digits=3) for psi in pressures_psi)


def _pressures(texts):
    if isinstance(texts, str):
        texts = (texts,)
    if not texts:
        raise ImpossibleValue('nozzle_pressures: needed: at least one, such as ("80 psi",)')
    numbers = tuple(sorted(in_unit(text, PRESSURE) for text in texts))
    for number in numbers:
        fault = PRESSURE.fault(number)
        if fault:
            raise ImpossibleValue(f"nozzle_pressures: {number:g} psi {fault}")
    return numbers


_AIM_FIELDS = (
    "on_fire extension elevation bearing nozzle_pitch stream_pitch nozzle_pressure tip_height "
    "tip_standoff wall_top range_on_fire use set_up"
).split()


def _found(found, view, water, area, rig_notes):
    notes = (
        *rig_notes,
        Note("caution", MANUAL_DECIDES),
        Note("caution", "Loads, collapse zone, overhead lines and ground are not looked at here."),
    )
    if found.set_up is None:
        return AimFound(
            title="Set-up for most water on the fire",
            **dict.fromkeys(_AIM_FIELDS) | {"on_fire": quantity(0.0, "percent")},
            if_otherwise={},
            tried=found.tried,
            stopped=found.stopped,
            unasked="" if area else "nobody entered what burns: give burning",
            notes=(*notes, *_NOTES),
            sources=_SOURCES,
        )
    made, top = found.set_up, max(view.parapet_tops_ft[0], view.roof.eaves_ft)
    use = _use(view, core_aim.shot_of(made, water), area)
    if -made.tip[0] < 2 * top:
        notes = (_in_zone(-made.tip[0], top), *notes)
    return AimFound(
        title="Set-up for most water on the fire",
        on_fire=use.on_fire,
        extension=quantity(made.extension_ft, "foot"),
        elevation=quantity(made.elevation_deg, "degree"),
        bearing=quantity(made.bearing_deg, "degree"),
        nozzle_pitch=quantity(made.nozzle_pitch_deg, "degree"),
        stream_pitch=quantity(made.stream_pitch_deg, "degree"),
        nozzle_pressure=quantity(made.nozzle_pressure_psi, "psi"),
        tip_height=quantity(made.tip[2], "foot"),
        tip_standoff=quantity(-made.tip[0], "foot"),
        wall_top=quantity(top, "foot"),
        range_on_fire=use.range_on_fire(),
        if_otherwise=core_aim.sensitivity(view, made, water, kit=kit(), burning=area),
        tried=found.tried,
        stopped=found.stopped,
        use=use,
        set_up=made,
        steps=(
            both(
                lambda pen: (
                    f"{found.tried} set-ups were tried that fit the device, at "
                    f"{_pressure_list(pen, water.pressures_psi)}; this one has the largest "
                    f"share on what burns, the tip {_far(pen, -made.tip[0])} before "
                    f"the wall and {_far(pen, made.tip[2])} up"
                )
            ),
            *use.steps,
        ),
        notes=(*notes, *use.notes),
        sources=_SOURCES,
    )
