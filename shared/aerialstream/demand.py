"""Needed-flow estimates, each with what it rests on and where it ends.

None of them sizes a defensive master stream: all say so. In the decorated bodies below every
input is already a plain number in the unit that the formula was printed in; `.plain` is the
bare function for loops and figures.
"""

from dataclasses import dataclass
from typing import Any, ClassVar

from aerialstream._checks import NeedLike, choice_fault, number_fault, refuse
from aerialstream._core import demand as core
from aerialstream.errors import ImpossibleValue
from aerialstream.results import Note, Result
from aerialstream.units import quantities, quantity, show

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
# construction, square feet from and to, gpm, hours, source, whether the edges are confirmed
FIRE_CODE_ROWS = (
    ("dwelling", 0, 3600, 1000, 1, "fire_code_dwelling_city", True),
    ("IA", 128_701, 145_900, 4000, 4, "fire_code_engineers_example", False),
    ("VB", 20_601, 23_300, 4000, 4, "fire_chief_memo_2007", False),
)
# What nobody has read for this kit yet: looked up and entered by the department, never computed.
TO_BE_CONFIRMED = (
    "ISO occupancy factors of the single classes, C's own least and greatest values, the limit "
    "of (X + P), effective area by class, whether C is rounded before it is used",
    "ISO schedule for dwellings by distance in its newer form (said to change at 30, 20 and 10 ft)",
    "IFC table B105.1(2): all rows but the ones that carry a printed example",
    "NFPA 1142: number for type IV construction, the dwelling's limit of 1.0, delivery rates",
)
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
        others = ((label, show(getattr(self, name), system)) for name, label in self.OTHERS)
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
    """The value is not rounded; beside it C, and the needed flow rounded in both orders."""

    construction: Any
    rounded_at_end: Any
    rounded_c_first: Any
    OTHERS = (
        ("construction", "C, not rounded"),
        ("rounded_at_end", "Rounded at the end"),
        ("rounded_c_first", "C rounded first, then the end"),
    )


def _outside(text):
    return Note("outside range", text)


@quantities(
    length=SIDE,
    width=SIDE,
    involved=NeedLike("share", "percent", above=0, at_most=100, like="25 %"),
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
    refuse(
        "fire_academy_flow",
        number_fault("floors", floors, 1, 100, whole=True),
        number_fault("exposures", exposures, 0, 20, whole=True),
    )
    share = involved / 100
    full = core.fire_academy_gpm(length, width, floors, 1, 0)
    part = full * share
    flow = core.fire_academy_gpm(length, width, floors, share, exposures, on_full=False)
    other = core.fire_academy_gpm(length, width, floors, share, exposures, on_full=True)
    notes = []
    if involved > 50:
        notes.append(_outside(f"{involved:g} % involved is above the 50 % that the method is for."))
    if max(flow, other) > 1000:
        notes.append(_outside("More than 1,000 gpm is above what the method is for."))
    if exposures and involved < 100:
        text = "Two readings of the 25 % are told; both are shown, neither is averaged."
        notes.append(Note("estimate", text))
    steps = [
        f"Fully involved = {length:.5g} × {width:.5g} / 3 × {floors:g} = {full:,.1f} gpm",
        f"Involved part = {full:,.1f} × {share:.4g} = {part:,.1f} gpm",
    ]
    if exposures:
        steps += [
            f"With exposures, 25 % of the involved figure = {part:,.1f} + 0.25 × {exposures:g}"
            f" × {part:,.1f} = {flow:,.1f} gpm",
            f"With exposures, 25 % of the full figure = {part:,.1f} + 0.25 × {exposures:g}"
            f" × {full:,.1f} = {other:,.1f} gpm",
        ]
    return AcademyFlow(
        title="Needed flow",
        value=quantity(flow, "gpm"),
        on_full=quantity(other, "gpm"),
        basis="offensive interior attack on part of a building",
        steps=tuple(steps),
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
    return NeededFlow(
        title="Rate of flow",
        value=quantity(flow, "gpm"),
        basis="largest single open room, closed, steam from fog in it for half a minute",
        steps=(
            f"Volume of the room = {length:.5g} × {width:.5g} × {height:.5g} = {volume:,.6g} ft³",
            f"Flow = {volume:,.6g} / 100 = {flow:,.1f} gpm",
        ),
        notes=(
            Note("caution", "Not for a vented, open or collapsed room, or a stream from outside."),
            _FULLY_INVOLVED,
        ),
        sources=("fire_flow_journal", "fire_flow_exam_thread", "iowa_basis_article"),
    )


@quantities(effective_area=AREA)
def iso_flow(
    effective_area, *, construction_coefficient, occupancy_factor=1.0, exposure_factor=0.0
):
    """Needed fire flow by the ISO method, not rounded, and rounded in both orders.

    For planning a town's supply: C = 18 F √A, needed flow = C O (1 + (X + P)). The order of
    rounding changes the answer, so three figures are given: not rounded, rounded at the end,
    and C rounded before it is used.

    Takes
      effective_area            by the guide's rules; any area unit; usual unit sq ft; symbol A
      construction_coefficient  0.6 to 1.5: `ISO_CONSTRUCTION`; symbol F
      occupancy_factor          0.75 to 1.25; symbol O
      exposure_factor           exposure and communication, (X + P)
    Gives
      IsoFlow                   value in gpm, not rounded; construction (C), rounded_at_end,
                                rounded_c_first
    Holds for
      insurance rating of a single building, 500 to 12,000 gpm; outside it a note is added
    How close
      not stated; rounding alone moves the answer by up to 250 gpm
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative area, a factor out of range
    Sources
      iso_fire_flow_training: C and F; iso_public_calculators: worked examples;
      iso_city_ordinance: rounding of the final result
    Check value
      >>> print(show(iso_flow("20,000 sq ft", construction_coefficient=1.0).rounded_at_end))
      2,500 gpm
    """
    refuse(
        "iso_flow",
        number_fault("construction_coefficient", construction_coefficient, 0.6, 1.5),
        number_fault("occupancy_factor", occupancy_factor, 0.75, 1.25),
        number_fault("exposure_factor", exposure_factor, 0, 2),
    )
    construction = core.iso_construction_gpm(construction_coefficient, effective_area)
    flow = core.iso_needed_gpm(construction, occupancy_factor, exposure_factor)
    first = core.rounded_construction_gpm(construction)
    c_first = core.iso_needed_gpm(first, occupancy_factor, exposure_factor)
    at_end, at_both = core.rounded_iso_gpm(flow), core.rounded_iso_gpm(c_first)
    notes = [
        Note(
            "estimate",
            f"Rounded at the end only, as a city's ordinance has it: {at_end:,g} gpm. With C "
            f"rounded to 250 first: {at_both:,g} gpm. Which the guide wants is told from memory. "
            + _CONFIRM,
        ),
        Note(
            "estimate",
            "Two public calculators round to 250 throughout, an ordinance to 500 above 2,500 gpm; "
            "the ordinance's way is shown.",
        ),
    ]
    if not core.ISO_LEAST <= flow <= core.ISO_MOST:
        text = f"{flow:,.0f} gpm is outside the 500 to 12,000 gpm of the method; "
        notes.append(_outside(text + "the rounded figures stop there."))
    area = effective_area
    return IsoFlow(
        title="Needed flow, not rounded",
        value=quantity(flow, "gpm"),
        construction=quantity(construction, "gpm"),
        rounded_at_end=quantity(at_end, "gpm"),
        rounded_c_first=quantity(at_both, "gpm"),
        basis="insurance rating of one building's need, against a town's supply",
        steps=(
            f"C = 18 × {construction_coefficient:g} × √{area:.7g} = {construction:,.1f} gpm",
            f"Needed flow = {construction:,.1f} × {occupancy_factor:g} × "
            f"(1 + {exposure_factor:g}) = {flow:,.1f} gpm",
            f"With C rounded first = {first:,.1f} × {occupancy_factor:g} × "
            f"(1 + {exposure_factor:g}) = {c_first:,.1f} gpm",
        ),
        notes=(*notes, _FULLY_INVOLVED),
        sources=("iso_fire_flow_training", "iso_public_calculators", "iso_city_ordinance"),
    )


@quantities(distance=NeedLike("length", "foot", at_least=0, like="25 ft"))
def iso_dwelling_flow(distance):
    """Needed fire flow of one- and two-family dwellings by the distance between them.

    For homes of up to two floors, from the schedule that was found in print (the older one):
    over 100 ft 500 gpm, 31 to 100 ft 750, 11 to 30 ft 1,000, 10 ft or less 1,500.

    Takes
      distance    between the buildings; any length unit; usual unit ft
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
      iso_dwellings_older
    Check value
      >>> print(iso_dwelling_flow("25 ft"))
      1,000 gpm
    """
    flow = core.iso_dwelling_gpm(int(round(distance, 6)))
    metric = quantity(flow, "gpm").to("lpm").magnitude
    return NeededFlow(
        title="Needed flow",
        value=quantity(flow, "gpm"),
        basis="one- and two-family dwellings, two floors at most, older ISO schedule",
        steps=(
            f"{distance:.4g} ft apart: read from the older schedule, {flow:,} gpm",
            f"In L/min = {flow:,} × 3.78541 = {metric:,.1f}",
        ),
        notes=(
            Note(
                "caution",
                "Editions differ: a newer schedule is said to change at 30, 20 and 10 ft, told "
                "from memory. " + _CONFIRM,
            ),
            _FULLY_INVOLVED,
        ),
        sources=("iso_dwellings_older",),
    )


@quantities(area=AREA)
def fire_code_flow(area, *, construction):
    """Fire flow that the fire code's appendix B asks of a new building, where a row was found.

    For plan review. Only rows with a printed example are held: dwellings up to 3,600 sq ft and
    one row each of types IA and VB. The rest of table B105.1(2) is looked up in the book.

    Takes
      area          fire-flow calculation area; any area unit; usual unit sq ft
      construction  "dwelling", "IA" or "VB"
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
      fire_code_dwelling_city; fire_code_engineers_example; fire_chief_memo_2007
    Check value
      >>> print(fire_code_flow("22,000 sq ft", construction="VB"))
      4,000 gpm
    """
    kinds = tuple(row[0] for row in FIRE_CODE_ROWS)
    refuse("fire_code_flow", choice_fault("construction", construction, kinds))
    _, low, high, flow, hours, source, confirmed = next(
        row for row in FIRE_CODE_ROWS if row[0] == construction
    )
    if not low <= round(area, 6) <= high:
        raise ImpossibleValue(
            f"fire_code_flow has no row for {construction} and {area:,.0f} sq ft: the only one "
            f"found runs from {low:,} to {high:,} sq ft. Look it up in the adopted edition of "
            "IFC appendix B, table B105.1(2)."
        )
    notes = []
    if not confirmed:
        text = f"One printed example stands in this row; its edges, {low:,} and {high:,} sq ft, "
        notes.append(Note("caution", text + "are told from memory. " + _CONFIRM))
    minutes = hours * 60
    return NeededFlow(
        title="Fire flow of the code",
        value=quantity(flow, "gpm"),
        basis="supply for a new building in plan review, without reductions",
        steps=(
            f"{construction}, {area:,.0f} sq ft: row of {flow:,} gpm for {hours} h",
            f"Stored water = {flow:,} gpm × {minutes:,} = {flow * minutes:,} gal",
        ),
        notes=(
            *notes,
            Note(
                "estimate", "Local amendments and sprinklers change it: the adopted code decides."
            ),
            _FULLY_INVOLVED,
        ),
        sources=(source,),
    )


@quantities(volume=NeedLike("volume", "foot**3", above=0, like="24,000 cu ft"))
def rural_supply(volume, *, hazard_number, construction_number, exposure="not exposed"):
    """Minimum water supply of NFPA 1142 for a building where there are no hydrants.

    For planning tanker supply: cubic feet / occupancy hazard number × construction number,
    half as much again with an exposure; never less than 2,000 gal, or 3,000 with an exposure.

    Takes
      volume               whole building, attic with it; any volume unit; usual unit cu ft
      hazard_number        occupancy hazard classification, 3 (severe) to 7 (light)
      construction_number  construction classification, 0.5 to 1.5
      exposure             "exposed" or "not exposed"
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
      rural_water_article: the formula; rural_water_minimums: the least volumes
    Check value
      >>> print(rural_supply("6,000 cu ft", hazard_number=7, construction_number=1.5))
      2,000 gal
    """
    refuse(
        "rural_supply",
        number_fault("hazard_number", hazard_number, 3, 7, whole=True),
        number_fault("construction_number", construction_number, 0.5, 1.5),
        choice_fault("exposure", exposure, EXPOSURE),
    )
    exposed = exposure == "exposed"
    factor, least = (1.5, 3000) if exposed else (1, 2000)
    gallons = core.rural_supply_gal(volume, hazard_number, construction_number, exposed)
    formula = volume / hazard_number * construction_number * factor
    steps = [
        f"Supply = {volume:,.6g} / {hazard_number:g} × {construction_number:g} × {factor:g}"
        f" = {formula:,.1f} gal"
    ]
    if formula < least:
        steps.append(f"Less than the least volume; so {least:,} gal")
    notes = []
    if construction_number > 1:
        text = (
            "For a dwelling one training deck uses 1.5; the standard is said to stop at 1.0, told "
            "from memory. "
        )
        notes.append(Note("caution", text + _CONFIRM))
    return NeededFlow(
        title="Minimum water supply",
        value=quantity(gallons, "gallon"),
        basis="water to bring or to store where there are no hydrants; a volume, not a flow",
        steps=tuple(steps),
        notes=(*notes, _FULLY_INVOLVED),
        sources=("rural_water_article", "rural_water_minimums"),
    )


fire_academy_flow.plain = core.fire_academy_gpm
iowa_flow.plain = core.iowa_gpm
iso_flow.plain = core.iso_construction_gpm
iso_dwelling_flow.plain = core.iso_dwelling_gpm
rural_supply.plain = core.rural_supply_gal
