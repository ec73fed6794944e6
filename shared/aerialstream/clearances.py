"""Distances to keep: from power lines, and from walls that may fall.

A printed distance is where the thinking starts. The utility, the incident commander, the operator's
manual and local procedure decide.
"""

from dataclasses import dataclass
from math import ceil
from typing import Any

from aerialstream._checks import NeedLike, number_fault, refuse
from aerialstream._core import clearances as core
from aerialstream.constants import (
    COLLAPSE_ZONE_FACTORS,
    LINE_CLEARANCE_FROM,
    LINE_CLEARANCE_HANDBOOK,
    LINE_CLEARANCE_LEAST,
    LINE_CLEARANCE_PER_KV,
    LINE_CLEARANCE_STEPS,
    LINE_CLEARANCE_UNKNOWN,
    LINE_CLEARANCE_UNKNOWN_HIGH,
    LOW_VOLTAGE,
)
from aerialstream.errors import UnitError
from aerialstream.results import Explained, Note
from aerialstream.units import quantities, quantity, show
from aerialstream.worked import both, worked

VOLTAGE = NeedLike("voltage", "kilovolt", above=0, at_most=100_000, like="12 kV")
HEIGHT = NeedLike("length", "foot", above=0, at_most=2000, like="16 ft")
DISTANCE = NeedLike("length", "foot", at_least=0, at_most=10_000, like="40 ft")

_TABLE_END = LINE_CLEARANCE_STEPS[-1].up_to_kv
_UTILITY_SAYS = "as the utility says"
_LINE_SOURCES = (
    "osha_1408_table_a",
    "wac_296_305_lines",
    "handbook_line_practice",
    "practice_stream_off_lines",
)
_LINE_NOTES = (
    Note(
        "caution",
        "For every part of the ladder, its tip in all its movement, the load on it and people. Lines "
        "sway and sag, ladders bend: keep more. Nobody can tell a voltage from the ground: ask the "
        "utility, and have the line shut off and grounded where work near it cannot be helped.",
    ),
    Note(
        "caution",
        "Not a distance for streams. Water conducts: keep streams off lines and insulators. Take "
        "every line as live until the utility itself says otherwise.",
    ),
    Note(
        "outside range",
        "Table A was written for cranes on building sites and the other rule for one state's "
        "firefighters; the law and procedure at your place decide. Both are for alternating current.",
    ),
)

_LOW_VOLTAGE = Note(
    "caution",
    both(
        lambda pen: (
            "At 600 V and less the firefighters' rule names no distance: work so that nothing can touch "
            f"the line. The kit keeps the {pen.shown(10, 'length')} of Table A, since from the "
            "ground no line looks low."
        )
    ),
)


def shown_up(length, system):
    """A least distance as printed, never rounded to a smaller one."""
    unit, steps = ("meter", 100) if system == "metric" else ("foot", 10)
    number = length.to(unit).magnitude
    return show(quantity(ceil(round(number * steps, 6)) / steps, unit), system)


@dataclass(frozen=True, kw_only=True)
class LineClearance(Explained):
    """How far to keep from a power line, by each printed rule; lengths in ft.

    value             the largest of the next three; None where the voltage is not known
    crane_rule        Table A; where the voltage is not known what the rule asks then
    firefighter       firefighters' rule, its addition for each kV above 50; None if not known
    firefighter_full  the same, its addition for each kV of the whole voltage; None if not known
    handbook          common practice as told second-hand
    """

    voltage: Any
    value: Any
    crane_rule: Any
    firefighter: Any
    firefighter_full: Any
    handbook: Any

    def lines(self, system="US"):
        """The distance to keep and what each rule says, as (label, text) pairs."""
        if self.voltage is None:
            return (
                ("Keep at least", f"{_UTILITY_SAYS}; voltage not known"),
                ("Crane rule, voltage not found out", show(self.crane_rule, system)),
                ("Handbook practice (second-hand)", show(self.handbook, system)),
            )
        return (
            ("Keep at least", shown_up(self.value, system)),
            ("Crane rule, Table A", show(self.crane_rule, system)),
            ("Firefighters' rule, for each kV above 50", show(self.firefighter, system)),
            ("Firefighters' rule, for each kV of all", show(self.firefighter_full, system)),
            ("Handbook practice (second-hand)", show(self.handbook, system)),
        )

    def __str__(self):
        return self.lines()[0][1]

    def __repr__(self):
        return self.text()


def _addition_step(voltage_kv):
    """The firefighters' rule worked out, in both its readings; nothing to work out up to 50 kV."""
    least, rate = LINE_CLEARANCE_LEAST.value, LINE_CLEARANCE_PER_KV.value
    start = LINE_CLEARANCE_FROM.value
    if voltage_kv <= start:
        return worked(lambda pen: (f"Firefighters' rule up to 50 kV: {pen.of(least, 'length')}",))

    def sum_of(pen, counted, total):
        centimetres = f"({least * 0.3048:.4g} m + {rate * 0.0254:.4g} m × {counted})"
        return pen.choose(
            f"{least:g} ft + {rate:g} in × {counted} / 12 = {total:.4g} ft",
            f"{centimetres} = {total * 0.3048:.4g} m",
        )

    over = core.firefighter_rule_ft(voltage_kv)
    full = core.firefighter_rule_full_ft(voltage_kv)
    return worked(
        lambda pen: (
            "Firefighters' rule, each kV above 50 = "
            + sum_of(pen, f"({voltage_kv:g} - {start:g})", over),
            "Firefighters' rule, each kV of all = " + sum_of(pen, f"{voltage_kv:g}", full),
        )
    )


def _line_of_unknown_voltage():
    note = Note(
        "caution",
        both(
            lambda pen: (
                "Voltage not known: the utility says how far, and until it has said so nothing goes near. "
                "The crane rule's distance is for lines up to 350 kV; for a line that may carry more it "
                f"asks {pen.shown(LINE_CLEARANCE_UNKNOWN_HIGH.value, 'length')}."
            )
        ),
    )
    return LineClearance(
        title="Distance from the power line",
        voltage=None,
        value=None,
        crane_rule=quantity(LINE_CLEARANCE_UNKNOWN.value, "foot"),
        firefighter=None,
        firefighter_full=None,
        handbook=quantity(LINE_CLEARANCE_HANDBOOK.value, "foot"),
        notes=(note, *_LINE_NOTES),
        sources=(
            LINE_CLEARANCE_UNKNOWN.source,
            LINE_CLEARANCE_UNKNOWN_HIGH.source,
            *_LINE_SOURCES[2:],
        ),
    )


@quantities(voltage=VOLTAGE)
def line_clearance(voltage=None):
    """Distance of ladder, tip and people from a power line: the largest of the printed rules.

    For planning a spot. Table A of the crane rule goes by steps; the firefighters' rule is 10 ft,
    and above 50 kV 10 ft and 0.4 in for each kV, which can be read in two ways: both are worked out.

    Takes
      voltage        of the line as the utility tells it; any voltage unit; usual unit kV; None where
                     it is not known
    Gives
      LineClearance  value in ft, shown to 0.1 ft, rounded up; never below 10; None if not known
    Holds for
      alternating current up to 1,000 kV
    How close
      as printed; above 50 kV the rules differ by up to 3 ft, handbook practice is far longer
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero or negative; above 1,000 kV, where the distance is as set by the utility
    Sources
      osha_1408_table_a; wac_296_305_lines; handbook_line_practice (second-hand);
      practice_stream_off_lines (common practice); osha_1408_options; osha_1409_high_lines
    Check value
      >>> print(line_clearance("115 kV"))
      15 ft
    """
    if voltage is None:
        return _line_of_unknown_voltage()
    refuse(
        "line_clearance",
        f"voltage = {voltage:,g} kV: the table ends at {_TABLE_END:,g} kV; above it the distance is as "
        "set by the utility or its engineer. Ask them"
        if voltage > _TABLE_END
        else "",
    )
    crane, total = core.crane_rule_ft(voltage), core.line_clearance_ft(voltage)
    above = voltage > LINE_CLEARANCE_FROM.value
    table = worked(lambda pen: (f"Table A for {voltage:,.6g} kV: {pen.of(crane, 'length')}",))
    largest = worked(lambda pen: (f"The largest of them: {pen.of(total, 'length', digits=4)}",))
    return LineClearance(
        title="Distance from the power line",
        voltage=quantity(voltage, "kilovolt"),
        value=quantity(total, "foot"),
        crane_rule=quantity(crane, "foot"),
        firefighter=quantity(core.firefighter_rule_ft(voltage), "foot"),
        firefighter_full=quantity(core.firefighter_rule_full_ft(voltage), "foot"),
        handbook=quantity(
            LINE_CLEARANCE_HANDBOOK.value if above else LINE_CLEARANCE_LEAST.value, "foot"
        ),
        steps=table + _addition_step(voltage) + largest,
        notes=((_LOW_VOLTAGE,) if voltage <= LOW_VOLTAGE.value else ()) + _LINE_NOTES,
        sources=_LINE_SOURCES,
    )


_PARAPET = Note(
    "caution",
    "Measured to the top of the parapet, sign or chimney, not to the roof. How many times the height "
    "is the incident commander's call, by size-up; the zone runs along the whole wall and past its "
    "ends.",
)
_ARC = Note(
    "caution",
    "A wall that falls in one piece sweeps an arc: half-way up it still reaches 0.87 of its height "
    "out. A tip or basket above the ground is in its way before the turntable is.",
)


def _access_note(height_ft):
    """The road that suits rescue lies in the zone of a defensive fire: said where it is so."""
    if height_ft <= 30:
        return ()
    return (
        Note(
            "caution",
            both(
                lambda pen: (
                    f"Built-in conflict: an access road for aerials runs {pen.shown(15, 'length')} to "
                    f"{pen.shown(30, 'length')} from a building over "
                    f"{pen.shown(30, 'length')}. The road "
                    "that suits rescue lies in the collapse zone of a defensive fire."
                )
            ),
        ),
    )


@dataclass(frozen=True, kw_only=True)
class ZoneDepth:
    """One way of setting the zone: so many times the height, and the distance that makes."""

    factor: float
    distance: Any


@dataclass(frozen=True, kw_only=True)
class CollapseZone(Explained):
    """Depth of the collapse zone in front of a wall.

    zones   a tuple of ZoneDepth: the chosen one, or all three where none was chosen
    value   the depth in ft where the factor was chosen, else None
    """

    height: Any
    value: Any
    zones: tuple

    def lines(self, system="US"):
        """The depth for each factor as (label, text) pairs."""
        return tuple(
            (f"Collapse zone, {zone.factor:g} times the height", show(zone.distance, system))
            for zone in self.zones
        )

    def __str__(self):
        return " | ".join(show(zone.distance) for zone in self.zones)

    def __repr__(self):
        return self.text()


@quantities(height_to_top=HEIGHT)
def collapse_zone(height_to_top, *, factor=None):
    """Depth of the collapse zone in front of a wall: so many times its height.

    Once, one and a half times or twice the height by size-up. Which one is the incident
    commander's call: without one all three are shown.

    Takes
      height_to_top  ground to the top of the parapet; any length unit; usual unit ft
      factor         times the height, a plain number of 1 or more; None shows 1, 1.5 and 2
    Gives
      CollapseZone   zones, and value where the factor was chosen; ft, shown to 0.1 ft
    Holds for
      a wall on level ground
    How close
      a rule, not a measurement: explosions, tilt-up panels and long overhangs throw farther
    Fails when
      UnitError        no unit or one of another kind; factor not a plain number
      ImpossibleValue  a height that cannot be, or a factor below 1 or above 10
    Sources
      dunn_collapse_zone; practice_collapse_zone (common practice); first_principles_wall_arc;
      wall_arc_letter; access_road_city
    Check value
      >>> print(collapse_zone("16 ft", factor=1.5))
      24 ft
    """
    if factor is not None:
        refuse("collapse_zone", number_fault("factor", factor, 1, 10))
    factors = COLLAPSE_ZONE_FACTORS if factor is None else (float(factor),)
    depths = [core.collapse_zone_ft(height_to_top, f) for f in factors]
    odd = Note("outside range", "The source names once, 1 1/2 times and twice the height.")
    access = _access_note(height_to_top)
    steps = worked(
        lambda pen: tuple(
            f"{f:g} times = {pen.of(height_to_top, 'length')} × {f:g} = {pen.of(depth, 'length')}"
            for f, depth in zip(factors, depths, strict=True)
        )
    )
    return CollapseZone(
        title="Collapse zone",
        height=quantity(height_to_top, "foot"),
        value=None if factor is None else quantity(depths[0], "foot"),
        zones=tuple(
            ZoneDepth(factor=f, distance=quantity(depth, "foot"))
            for f, depth in zip(factors, depths, strict=True)
        ),
        steps=steps,
        notes=(
            _PARAPET,
            *((odd,) if not set(factors) <= set(COLLAPSE_ZONE_FACTORS) else ()),
            _ARC,
            *access,
        ),
        sources=(
            "dunn_collapse_zone",
            "practice_collapse_zone",
            "first_principles_wall_arc",
            "wall_arc_letter",
            *(("access_road_city",) if access else ()),
        ),
    )


INSIDE, OUTSIDE, EDGE = "inside", "outside", "on the edge"
_EDGE_FT = 0.05  # what the distances are printed to


@dataclass(frozen=True, kw_only=True)
class ZonePlace:
    """Where one part of the rig stands against one zone.

    what is "turntable and crew" or "nozzle and tip"; margin is its distance less the zone's, in ft;
    where is INSIDE, OUTSIDE or EDGE. The edge counts as inside.
    """

    what: str
    factor: float
    distance: Any
    margin: Any
    where: str


@dataclass(frozen=True, kw_only=True)
class CollapseZoneCheck(Explained):
    """Turntable and tip against the collapse zone: a tuple of ZonePlace, in words."""

    places: tuple

    def lines(self, system="US"):
        """Where each part stands, for each zone, as (label, text) pairs."""
        return tuple(
            (
                f"{place.what.capitalize()}, zone of {place.factor:g} times the height",
                _in_words(place, system),
            )
            for place in self.places
        )

    def __repr__(self):
        return self.text()


def _in_words(place, system):
    by = show(abs(place.margin), system)
    if place.where == EDGE:
        return "on the edge of the zone: counts as inside"
    return f"{place.where} the zone by {by}"


def _place(what, distance_ft, zone):
    margin = distance_ft - zone.distance.magnitude
    return ZonePlace(
        what=what,
        factor=zone.factor,
        distance=quantity(distance_ft, "foot"),
        margin=quantity(margin, "foot"),
        where=EDGE if abs(margin) < _EDGE_FT else INSIDE if margin < 0 else OUTSIDE,
    )


@quantities(turntable_distance=DISTANCE, tip_distance=DISTANCE)
def collapse_zone_check(zone, *, turntable_distance, tip_distance):
    """Turntable and tip, each held against the collapse zone.

    Both count. A rig outside the zone can have its tip, and whoever is in the basket, inside it.

    Takes
      zone                a CollapseZone, with its factor chosen or with all three
      turntable_distance  wall to the nearest of turntable and crew; any length unit; usual unit ft
      tip_distance        wall to the nozzle, level; any length unit; usual unit ft
    Gives
      CollapseZoneCheck   places: turntable, then tip, for each factor; margin in ft, + outside
    Holds for
      distances square to the wall
    How close
      to the 0.1 ft printed; paced distances are no better than a yard
    Fails when
      UnitError        an input has no unit or one of another kind; zone is no CollapseZone
      ImpossibleValue  a negative or infinite distance
    Sources
      dunn_collapse_zone; practice_collapse_zone (common practice); first_principles_wall_arc;
      wall_arc_letter; access_road_city
    Check value
      >>> check = collapse_zone_check(
      ...     collapse_zone("16 ft", factor=1.5), turntable_distance="30 ft", tip_distance="15 ft"
      ... )
      >>> print(show(check.places[0].margin))
      6 ft
    """
    if not isinstance(zone, CollapseZone):
        raise UnitError(
            f'zone = {zone!r}: a collapse zone is needed, such as collapse_zone("16 ft", factor=1.5)'
        )
    given = (("turntable and crew", turntable_distance), ("nozzle and tip", tip_distance))
    places = tuple(_place(what, far, depth) for depth in zone.zones for what, far in given)
    steps = worked(
        lambda pen: tuple(
            f"{place.what.capitalize()}, {place.factor:g} times = "
            f"{pen.of(place.distance.magnitude, 'length')} -"
            f" {pen.of(place.distance.magnitude - place.margin.magnitude, 'length')}"
            f" = {pen.of(place.margin.magnitude, 'length', digits=4)}"
            for place in places
        )
    )
    inside = [place for place in places if place.where != OUTSIDE]
    accepts = Note(
        "caution",
        "Something stands inside the zone: move it, or the incident commander knows it and accepts it.",
    )
    return CollapseZoneCheck(
        title="Collapse zone",
        places=places,
        steps=steps,
        notes=((accepts,) if inside else ()) + zone.notes,
        sources=zone.sources,
    )


line_clearance.plain = core.line_clearance_ft
collapse_zone.plain = core.collapse_zone_ft
