"""Needed-flow estimates, each with what it rests on and where it ends.

None of them sizes a defensive master stream: all say so. In the decorated bodies below every
input is already a plain number in the unit that the formula was printed in; `.plain` is the
bare function for loops and figures.
"""

from dataclasses import dataclass
from typing import Any, ClassVar

from aerialstream._checks import NeedLike, choice, choice_fault, number, refuse
from aerialstream._core import demand as core
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.results import Note, Result
from aerialstream.units import quantities, quantity, show
from aerialstream.worked import both, worked

SIDE = NeedLike("length", "foot", above=0, like="60 ft")
AREA = NeedLike("area", "foot**2", above=0, like="10,000 sq ft")
EXPOSURE = ("exposed", "not exposed")

# Construction of the building -> coefficient F.
ISO_CONSTRUCTION = (
    ("frame", 1.5),
    ("joisted masonry", 1.0),
    ("non-combustible, masonry non-combustible", 0.8),
    ("fire resistive, modified fire resistive", 0.6),
)
# construction, square feet from and to, gpm, hours, source, whether edges and hours are confirmed
FIRE_CODE_ROWS = (
    ("dwelling", 0, 3600, 1000, 1, "fire_code_dwelling_city", True),
    ("IA", 128_701, 145_900, 4000, 4, "fire_code_engineers_example", False),
    ("VB", 20_601, 23_300, 4000, 4, "fire_chief_memo_2007", False),
)
# What nobody has read for this kit yet: looked up and entered by the department, never computed.
# The first four have their place in the department's confirmed.toml, under these names.
TO_BE_CONFIRMED = {
    "iso-rounding": "ISO: whether C is rounded before it is used",
    "iso-dwellings": "ISO schedule for dwellings by distance in its newer form (said to change at "
    "30, 20 and 10 ft)",
    "fire-code-rows": "IFC table B105.1(2): all rows but the ones that carry a printed example",
    "rural-dwelling-number": "NFPA 1142: the dwelling's limit of 1.0 for the construction number",
    "iso-factors": "ISO occupancy factors of the single classes, C's own least and greatest values, "
    "the limit of (X + P), effective area by class",
    "rural-tables": "NFPA 1142: number for type IV construction, delivery rates",
}
ENTERED_SOURCE = "department_confirmed"
_CONFIRM = "Confirm it in the book: edition ____, clause ____."

_FULLY_INVOLVED = Note(
    "caution",
    "A fully involved building is outside this basis. There the questions are: which stream "
    "reaches, which exposures need water first, and how many devices the supply can feed.",
)


@dataclass(frozen=True, kw_only=True)
class NeededFlow(Result):
    """An estimate with its basis: what the method is for, in one sentence."""

    basis: str
    OTHERS: ClassVar[tuple] = ()  # (name, label) of figures that stand beside the value

    def lines(self, system="US"):
        """The value, each other figure, and the basis as (label, text) pairs."""
        others = (
            (label, show(getattr(self, name), system))
            for name, label in self.OTHERS
            if getattr(self, name) is not None
        )
        return (*super().lines(system), *others, ("Basis", self.basis))

    def __repr__(self):
        return self.text()


@dataclass(frozen=True, kw_only=True, repr=False)
class AcademyFlow(NeededFlow):
    """The value has 25 % of the involved figure for each exposure, on_full of the full one."""

    on_full: Any
    OTHERS = (("on_full", "With 25 % of the full figure"),)


@dataclass(frozen=True, kw_only=True, repr=False)
class IsoFlow(NeededFlow):
    """The value is not rounded; beside it C, and the needed flow rounded in both orders.

    as_entered is the one of the two that the department's own entry asks for, or None.
    """

    construction: Any
    rounded_at_end: Any
    rounded_c_first: Any
    as_entered: Any = None
    OTHERS = (
        ("construction", "C, not rounded"),
        ("rounded_at_end", "Rounded at the end"),
        ("rounded_c_first", "C rounded first, then the end"),
        ("as_entered", "Rounded as your department's entry has it"),
    )


def _outside(text):
    return Note("outside range", text)


def _entry(confirmed, name):
    """What the department entered under a name of TO_BE_CONFIRMED, or None."""
    entries = getattr(confirmed, "confirmed", confirmed)  # a Department, or what it confirmed
    return next((entry for entry in entries if entry.source == name), None)


def confirmed_fault(name, value):
    """What a department confirmed, or the department; UnitError says what is needed."""
    entries = getattr(value, "confirmed", value)
    if isinstance(entries, list | tuple) and all(hasattr(entry, "source") for entry in entries):
        return ""
    raise UnitError(
        f"{name} = {value!r}: what the department confirmed is needed, such as "
        "load_department().confirmed"
    )


def _tenth(pen, gpm):
    """A flow inside a sum, without its unit."""
    return pen.choose(f"{gpm:,.1f}", pen.number(gpm, "flow"))


@quantities(
    length=SIDE,
    width=SIDE,
    involved=NeedLike("share", "percent", above=0, at_most=100, like="25 %"),
    plain={"floors": number(1, 100, whole=True), "exposures": number(0, 20, whole=True)},
)
def fire_academy_flow(length, *, width, involved, floors=1, exposures=0):
    """Needed flow by the National Fire Academy's quick method.

    For an interior attack on part of a building: length × width / 3 for each floor, times the
    share involved, and 25 % more for each exposure. Whether the 25 % is taken of the involved
    figure or of the figure for full involvement is told both ways; both are given.

    Takes
      length      of the building; any length unit; usual unit ft; symbol L
      width       of the building; any length unit; usual unit ft; symbol W
      involved    share of the building involved; usual unit %
      floors      floors that count
      exposures   how many exposures
    Gives
      AcademyFlow
                  value in gpm with 25 % of the involved figure (a printed example has it so);
                  on_full with 25 % of the full figure
    Holds for
      offensive interior attack, up to 50 % involved and 1,000 gpm; outside them a note is added
    How close
      not stated: a rule from experience; one of its makers finds most printed uses of it wrong
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero, negative, more than 100 % involved, a count that cannot be
    Sources
      fire_flow_quick_drill; fire_flow_journal; fire_flow_limits_post: the exposure and limits
    Check value
      >>> print(fire_academy_flow("30 ft", width="50 ft", involved="25 %"))
      125 gpm
    """
    share = involved / 100
    full = core.fire_academy_gpm(length, width, floors, 1, 0)
    part = full * share
    flow = core.fire_academy_gpm(length, width, floors, share, exposures, on_full=False)
    other = core.fire_academy_gpm(length, width, floors, share, exposures, on_full=True)
    notes = []
    if involved > 50:
        notes.append(_outside(f"{involved:g} % involved is above the 50 % that the method is for."))
    if max(flow, other) > 1000:
        text = both(
            lambda pen: f"More than {pen.shown(1000, 'flow')} is above what the method is for."
        )
        notes.append(_outside(text))
    if exposures and involved < 100:
        text = "Two readings of the 25 % are told; both are shown, neither is averaged."
        notes.append(Note("estimate", text))

    def steps(pen):
        third = pen.made(1 / 3, flow=1, length=-2)
        told = f"A gallon a minute for 3 square feet is {third} L/min for a square metre. "
        whole, burning = _tenth(pen, full), _tenth(pen, part)
        yield (
            f"{pen.choose('', told)}Fully involved = {pen.number(length, 'length')} × "
            f"{pen.number(width, 'length')} {pen.choose('/ 3', f'× {third}')} × {floors:g}"
            f" = {pen.of(full, 'flow', 1)}"
        )
        yield f"Involved part = {whole} × {share:.4g} = {pen.of(part, 'flow', 1)}"
        if exposures:
            more = f"{burning} + 0.25 × {exposures:g} ×"
            yield (
                f"With exposures, 25 % of the involved figure = {more} {burning}"
                f" = {pen.of(flow, 'flow', 1)}"
            )
            yield (
                f"With exposures, 25 % of the full figure = {more} {whole}"
                f" = {pen.of(other, 'flow', 1)}"
            )

    return AcademyFlow(
        title="Needed flow",
        value=quantity(flow, "gpm"),
        on_full=quantity(other, "gpm"),
        basis="offensive interior attack on part of a building",
        steps=worked(steps),
        notes=(*notes, _FULLY_INVOLVED),
        sources=("fire_flow_quick_drill", "fire_flow_journal", "fire_flow_limits_post"),
    )


@quantities(length=SIDE, width=SIDE, height=NeedLike("length", "foot", above=0, like="12 ft"))
def iowa_flow(length, *, width, height):
    """Rate of flow by the Iowa method: cubic feet of the room / 100.

    For the largest single open room, shut, with fog turning to steam in it: the flow that
    fills it with steam in half a minute.

    Takes
      length      of the room; any length unit; usual unit ft
      width       of the room; usual unit ft
      height      of the room; usual unit ft
    Gives
      NeededFlow  flow in gpm; shown to 1 gpm
    Holds for
      one closed compartment, not vented, fog from outside it; nothing open or collapsed
    How close
      a gallon gives 223.5 ft³ of steam; at 90 % that fills 200 ft³, which over 30 s is the 1/100
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      fire_flow_journal; fire_flow_exam_thread; iowa_basis_article: what it rests on
    Check value
      >>> print(iowa_flow("50 ft", width="75 ft", height="12 ft"))
      450 gpm
    """
    flow = core.iowa_gpm(length, width, height)
    volume = length * width * height

    def steps(pen):
        room, each = pen.number(volume, "space", 6), pen.made(1 / 100, flow=1, space=-1)
        sides = (pen.number(side, "length") for side in (length, width, height))
        told = f"A gallon a minute for 100 cubic feet is {each} L/min for a cubic metre. "
        return (
            f"Volume of the room = {' × '.join(sides)} = {room} {pen.unit('space')}",
            f"{pen.choose('', told)}Flow = {room} {pen.choose('/ 100', f'× {each}')}"
            f" = {pen.of(flow, 'flow', 1)}",
        )

    return NeededFlow(
        title="Rate of flow",
        value=quantity(flow, "gpm"),
        basis="largest single open room, closed, steam from fog in it for half a minute",
        steps=worked(steps),
        notes=(
            Note("caution", "Not for a vented, open or collapsed room, or a stream from outside."),
            _FULLY_INVOLVED,
        ),
        sources=("fire_flow_journal", "fire_flow_exam_thread", "iowa_basis_article"),
    )


@quantities(
    effective_area=AREA,
    plain={
        "construction_coefficient": number(0.6, 1.5),
        "occupancy_factor": number(0.5, 1.5),
        "exposure_factor": number(0, 2),
        "confirmed": confirmed_fault,
    },
)
def iso_flow(
    effective_area,
    *,
    construction_coefficient,
    occupancy_factor=1.0,
    exposure_factor=0.0,
    confirmed=(),
):
    """Needed fire flow by the ISO method, not rounded, and rounded in both orders.

    For planning a town's supply: C = 18 F √A, needed flow = C O (1 + (X + P)). The order of
    rounding changes the answer, so three figures are given: not rounded, rounded at the end,
    and C rounded before it is used.

    Takes
      effective_area            by the guide's rules; any area unit; usual unit sq ft; symbol A
      construction_coefficient  0.6 to 1.5: `ISO_CONSTRUCTION`; symbol F
      occupancy_factor          of the occupancy by the guide, 1 in the middle; symbol O
      exposure_factor           exposure and communication, (X + P)
      confirmed                 what the department entered from the book
                                (`Department.confirmed`); its "iso-rounding" chooses the order
    Gives
      IsoFlow                   value in gpm, not rounded; construction (C), rounded_at_end,
                                rounded_c_first, as_entered
    Holds for
      insurance rating of a single building, 500 to 12,000 gpm; outside it a note is added
    How close
      not stated; rounding alone moves the answer by up to 250 gpm
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative area, a factor out of range
    Sources
      iso_fire_flow_training: C and F; iso_public_calculators: worked examples;
      iso_city_ordinance: rounding of the final result; department_confirmed
    Check value
      >>> print(show(iso_flow("20,000 sq ft", construction_coefficient=1.0).rounded_at_end))
      2,500 gpm
    """
    construction = core.iso_construction_gpm(construction_coefficient, effective_area)
    flow = core.iso_needed_gpm(construction, occupancy_factor, exposure_factor)
    first = core.rounded_construction_gpm(construction)
    c_first = core.iso_needed_gpm(first, occupancy_factor, exposure_factor)
    at_end, at_both = core.rounded_iso_gpm(flow), core.rounded_iso_gpm(c_first)
    entry = _entry(confirmed, "iso-rounding")
    rounded = {"at the end": at_end, "C first": at_both}
    factors = (construction_coefficient, occupancy_factor, exposure_factor)
    cited = ("iso_fire_flow_training", "iso_public_calculators", "iso_city_ordinance")
    return IsoFlow(
        title="Needed flow, not rounded",
        value=quantity(flow, "gpm"),
        construction=quantity(construction, "gpm"),
        rounded_at_end=quantity(at_end, "gpm"),
        rounded_c_first=quantity(at_both, "gpm"),
        as_entered=quantity(rounded[entry.rounding], "gpm") if entry else None,
        basis="insurance rating of one building's need, against a town's supply",
        steps=worked(lambda pen: _iso_steps(pen, effective_area, factors, flow)),
        notes=(*_iso_notes(flow, at_end, at_both, entry), _FULLY_INVOLVED),
        sources=(*cited, *((ENTERED_SOURCE,) if entry else ())),
    )


def _iso_steps(pen, area, factors, flow):
    coefficient, occupancy, exposure = factors
    construction = core.iso_construction_gpm(coefficient, area)
    first = core.rounded_construction_gpm(construction)
    c_first = core.iso_needed_gpm(first, occupancy, exposure)
    eighteen = pen.constant(18, flow=1, length=-1)
    told = f"The formula's 18 is for US units; for L/min and square metres it is {eighteen}. "
    return (
        f"{pen.choose('', told)}C = {eighteen} × {coefficient:g} × "
        f"√{pen.choose(f'{area:.7g}', pen.number(area, 'area', 7))}"
        f" = {pen.of(construction, 'flow', 1)}",
        f"Needed flow = {_tenth(pen, construction)} × {occupancy:g} × (1 + {exposure:g})"
        f" = {pen.of(flow, 'flow', 1)}",
        f"With C rounded first = {_tenth(pen, first)} × {occupancy:g} × (1 + {exposure:g})"
        f" = {pen.of(c_first, 'flow', 1)}",
    )


def _iso_notes(flow, at_end, at_both, entry):
    """How it is rounded, by the department's entry or in doubt, and where the method ends."""

    def orders(pen):
        doubt = "Which the guide wants is told from memory. " + _CONFIRM
        settled = entry and f"Which counts here, {entry.rounding}, is {entry.said}."
        c_step = pen.choose("250", pen.shown(250, "flow"))
        return (
            f"Rounded at the end only, as a city's ordinance has it: {pen.shown(at_end, 'flow')}. "
            f"With C rounded to {c_step} first: {pen.shown(at_both, 'flow')}. {settled or doubt}"
        )

    def steps_differ(pen):
        small, large, edge = (pen.shown(gpm, "flow") for gpm in (250, 500, 2500))
        small, large = pen.choose(("250", "500"), (small, large))
        return (
            f"Two public calculators round to {small} throughout, an ordinance to {large} above "
            f"{edge}; the ordinance's way is shown."
        )

    notes = [Note("estimate", both(orders)), Note("estimate", both(steps_differ))]
    if not core.ISO_LEAST <= flow <= core.ISO_MOST:
        text = both(
            lambda pen: (
                f"{pen.choose(f'{flow:,.0f} gpm', pen.shown(flow, 'flow'))} is outside the "
                + pen.choose("500", pen.shown(core.ISO_LEAST, "flow"))
                + f" to {pen.shown(core.ISO_MOST, 'flow')} of the method; the rounded figures stop there."
            )
        )
        notes.append(_outside(text))
    return tuple(notes)


@quantities(
    distance=NeedLike("length", "foot", at_least=0, like="25 ft"),
    plain={"confirmed": confirmed_fault},
)
def iso_dwelling_flow(distance, *, confirmed=()):
    """Needed fire flow of one- and two-family dwellings by the distance between them.

    For homes of up to two floors, from the schedule that was found in print (the older one):
    over 100 ft 500 gpm, 31 to 100 ft 750, 11 to 30 ft 1,000, 10 ft or less 1,500. Or from the
    schedule that the department entered.

    Takes
      distance    between the buildings; any length unit; usual unit ft
      confirmed   what the department entered from the book (`Department.confirmed`); its
                  "iso-dwellings" takes the place of the older schedule
    Gives
      NeededFlow  flow in gpm
    Holds for
      one- and two-family dwellings, two floors at most; distances between whole feet are read
      as the nearer, so with more flow
    How close
      a schedule in steps; the newer edition is said to differ and is not confirmed
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  negative or infinite
    Sources
      iso_dwellings_older; department_confirmed
    Check value
      >>> print(iso_dwelling_flow("25 ft"))
      1,000 gpm
    """
    entry = _entry(confirmed, "iso-dwellings")
    if entry:
        schedule = tuple((row.up_to, row.flow.magnitude) for row in entry.rows)
        ends = ((end.magnitude * (1 + 1e-9) if end else float("inf"), gpm) for end, gpm in schedule)
        flow = next(gpm for end, gpm in ends if distance <= end)
        note = Note("estimate", f"The schedule is {entry.said}.")
    else:
        flow = core.iso_dwelling_gpm(int(round(distance, 6)))
        note = Note("caution", both(_newer_schedule))
    whose = "schedule entered by the department" if entry else "older ISO schedule"

    def steps(pen):
        apart = pen.choose(f"{distance:.4g} ft", pen.of(distance, "length"))
        metric = f"{quantity(flow, 'gpm').to('lpm').magnitude:,.1f}"
        read = "entered" if entry else "older"
        return (
            f"{apart} apart: read from the {read} schedule, "
            f"{pen.choose(f'{flow:,g} gpm', f'{metric} L/min')}",
            pen.choose(
                f"In L/min = {flow:,g} × 3.78541 = {metric}",
                f"In US gallons a minute = {metric} / 3.78541 = {flow:,.5g}",
            ),
        )

    return NeededFlow(
        title="Needed flow",
        value=quantity(flow, "gpm"),
        basis=f"one- and two-family dwellings, two floors at most, {whose}",
        steps=worked(steps),
        notes=(note, _FULLY_INVOLVED),
        sources=(ENTERED_SOURCE if entry else "iso_dwellings_older",),
    )


def _newer_schedule(pen):
    first, second, third = (pen.shown(ft, "length") for ft in (30, 20, 10))
    edges = pen.choose("30, 20 and 10 ft", f"{first}, {second} and {third}")
    return (
        f"Editions differ: a newer schedule is said to change at {edges}, told from memory. "
        + _CONFIRM
    )


@quantities(area=AREA, plain={"confirmed": confirmed_fault})
def fire_code_flow(area, *, construction, confirmed=()):
    """Fire flow that the fire code's appendix B asks of a new building, where a row was found.

    For plan review. Only rows with a printed example are held: dwellings up to 3,600 sq ft and
    one row each of types IA and VB. The rest of table B105.1(2) is looked up in the book, and
    may be entered by the department.

    Takes
      area          fire-flow calculation area; any area unit; usual unit sq ft
      construction  "dwelling", "IA" or "VB", or one that the department entered
      confirmed     what the department entered from the book (`Department.confirmed`); its
                    "fire-code-rows" go before the kit's
    Gives
      NeededFlow    flow in gpm; the steps give how long and the stored water
    Holds for
      the rows of `FIRE_CODE_ROWS`; no sprinkler reduction, no local amendment
    How close
      a table in steps; amended by many jurisdictions
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero or negative; no row found for this area and construction
    Sources
      fire_code_dwelling_city; fire_code_engineers_example; fire_chief_memo_2007;
      fire_code_table_copy: edges of the rows; department_confirmed
    Check value
      >>> print(fire_code_flow("22,000 sq ft", construction="VB"))
      4,000 gpm
    """
    entry = _entry(confirmed, "fire-code-rows")
    rows = (*_entered_rows(entry), *FIRE_CODE_ROWS)
    kinds = tuple(dict.fromkeys(row[0] for row in rows))
    refuse("fire_code_flow", choice_fault("construction", construction, kinds))
    found = [row for row in rows if row[0] == construction]
    fits = [row for row in found if row[1] <= round(area, 6) <= row[2]]
    if not fits:
        spans = " and ".join(f"from {low:,g} to {high:,g} sq ft" for _, low, high, *_ in found)
        raise ImpossibleValue(
            f"fire_code_flow has no row for {construction} and {area:,.0f} sq ft: what was found "
            f"runs {spans}. Look it up in the adopted edition of IFC appendix B, table B105.1(2)."
        )
    _, low, high, flow, hours, source, confirmed_edges = fits[0]
    notes = []
    if source == ENTERED_SOURCE:
        notes.append(Note("estimate", f"The row is {entry.said}."))
    elif not confirmed_edges:
        text = both(
            lambda pen: (
                "One printed example stands in this row; its edges, "
                f"{pen.choose(f'{low:,}', pen.number(low, 'area'))} and "
                f"{pen.choose(f'{high:,} sq ft', pen.of(high, 'area'))}, stand in a city's copy of "
                "the table, how long it must last is told from memory. " + _CONFIRM
            )
        )
        notes.append(Note("caution", text))
    minutes = hours * 60

    def steps(pen):
        each = pen.of(flow, "flow", digits=7)
        return (
            f"{construction}, {pen.shown(area, 'area')}: row of {each} for {hours:g} h",
            f"Stored water = {each} × {minutes:,g} = {pen.of(flow * minutes, 'volume', 0)}",
        )

    return NeededFlow(
        title="Fire flow of the code",
        value=quantity(flow, "gpm"),
        basis="supply for a new building in plan review, without reductions",
        steps=worked(steps),
        notes=(
            *notes,
            Note(
                "estimate", "Local amendments and sprinklers change it: the adopted code decides."
            ),
            _FULLY_INVOLVED,
        ),
        sources=(source, *(() if confirmed_edges else ("fire_code_table_copy",))),
    )


def _entered_rows(entry):
    """Rows that the department entered, in the form of FIRE_CODE_ROWS."""
    for row in entry.rows if entry else ():
        low, high = row.area_from.magnitude, row.area_to.magnitude
        yield (
            row.construction,
            round(low, 6),
            round(high, 6),
            row.flow.magnitude,
            row.hours,
            ENTERED_SOURCE,
            True,
        )


@quantities(
    volume=NeedLike("volume", "foot**3", above=0, like="24,000 cu ft"),
    plain={
        "hazard_number": number(3, 7, whole=True),
        "construction_number": number(0.5, 1.5),
        "exposure": choice(EXPOSURE),
        "confirmed": confirmed_fault,
    },
)
def rural_supply(
    volume, *, hazard_number, construction_number, exposure="not exposed", confirmed=()
):
    """Minimum water supply of NFPA 1142 for a building where there are no hydrants.

    For planning tanker supply: cubic feet / occupancy hazard number × construction number,
    half as much again with an exposure; never less than 2,000 gal, or 3,000 with an exposure.

    Takes
      volume               whole building, attic with it; any volume unit; usual unit cu ft
      hazard_number        occupancy hazard classification, 3 (severe) to 7 (light)
      construction_number  construction classification, 0.5 to 1.5
      exposure             "exposed" or "not exposed"
      confirmed            what the department entered from the book (`Department.confirmed`);
                           its "rural-dwelling-number" settles the dwelling's limit
    Gives
      NeededFlow           volume of water in gal; shown to 1 gal
    Holds for
      buildings without sprinklers in rural and suburban areas
    How close
      not stated; a minimum. For a dwelling sources disagree on the construction number.
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero or negative, a number out of range
    Sources
      rural_water_article: the formula; rural_water_minimums: the least volumes;
      department_confirmed
    Check value
      >>> print(rural_supply("6,000 cu ft", hazard_number=7, construction_number=1.5))
      2,000 gal
    """
    exposed = exposure == "exposed"
    factor, least = (1.5, 3000) if exposed else (1, 2000)
    gallons = core.rural_supply_gal(volume, hazard_number, construction_number, exposed)
    formula = volume / hazard_number * construction_number * factor
    entry = _entry(confirmed, "rural-dwelling-number")

    def steps(pen):
        each = pen.made(1, volume=1, space=-1)
        told = f"A gallon for a cubic foot is {each} L for a cubic metre. "
        yield (
            f"{pen.choose('', told)}Supply = {pen.number(volume, 'space', 6)} / {hazard_number:g}"
            f" × {construction_number:g} × {factor:g}{pen.choose('', f' × {each}')}"
            f" = {pen.of(formula, 'volume', 1)}"
        )
        if formula < least:
            yield f"Less than the least volume; so {pen.of(least, 'volume', 0)}"

    return NeededFlow(
        title="Minimum water supply",
        value=quantity(gallons, "gallon"),
        basis="water to bring or to store where there are no hydrants; a volume, not a flow",
        steps=worked(steps),
        notes=(*_dwelling_notes(construction_number, entry), _FULLY_INVOLVED),
        sources=(
            "rural_water_article",
            "rural_water_minimums",
            *((ENTERED_SOURCE,) if entry else ()),
        ),
    )


def _dwelling_notes(construction_number, entry):
    """What a dwelling's construction number may be, where the one given is above it."""
    if construction_number <= (entry.number if entry else 1):
        return ()
    if entry:
        text = f"For a dwelling the number goes up to {entry.number:g} only: {entry.said}."
    else:
        text = (
            "For a dwelling one training deck uses 1.5; the standard is said to stop at 1.0, told "
            "from memory. " + _CONFIRM
        )
    return (Note("caution", text),)


fire_academy_flow.plain = core.fire_academy_gpm
iowa_flow.plain = core.iowa_gpm
iso_flow.plain = core.iso_construction_gpm
iso_dwelling_flow.plain = core.iso_dwelling_gpm
rural_supply.plain = core.rural_supply_gal
