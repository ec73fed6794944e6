"""Water to the pump: outlets by pitot, what a hydrant still gives, tank, draft and relay.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from typing import Any

from aerialstream._checks import NeedLike, choice, number, refuse
from aerialstream._core import supply as core
from aerialstream.constants import ELEVATION_PRESSURE, SMOOTH_BORE_FLOW_FULL
from aerialstream.hose import (
    COEFFICIENT,
    FORMULA_SOURCE,
    OWN_COEFFICIENT,
    coefficient_in,
    coefficient_told,
    lines_told,
)
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, worked

STATIC = NeedLike("pressure", "psi", above=0, like="80 psi")
RESIDUAL = NeedLike("pressure", "psi", at_least=0, like="55 psi")
FLOW = Need("flow", "gpm", above=0)
PRESSURE = NeedLike("pressure", "psi", above=0, like="185 psi")
LENGTH = NeedLike("length", "foot", above=0, like="1,000 ft")

# What the outlet looks like inside -> its usual coefficient.
OUTLET_COEFFICIENTS = (
    ("smooth and rounded into the barrel", 0.90),
    ("square and sharp", 0.80),
    ("square and projecting into the barrel", 0.70),
)
OUTLET_KINDS = ("hose outlet", "pumper outlet")
SMALL_DROP_PERCENT = 10
GAUGE_CANNOT_SHOW_PSI = 0.1

ONE_MAIN = Note(
    "estimate",
    "The 0.54 law is exact for one main fed from one end. Pumps that start, pressure-reducing "
    "valves and looped mains bend the curve: there only a test near that flow tells.",
)
_CHECK_THE_BOOK = "Confirm it in the book: edition ____, clause ____."


def small_drop_notes(static, residual):
    """A note where the test drew the pressure down too little to tell much."""
    drop = core.percent_drop(static, residual)
    if round(drop, 6) >= SMALL_DROP_PERCENT:
        return ()
    text = both(
        lambda pen: (
            f"The test drew the pressure down by {drop:.1f} % of the static. Under "
            f"{SMALL_DROP_PERCENT} % an error of {pen.choose('one psi', 'a few kPa')} on a gauge moves "
            "the answer a lot: open another outlet and test again."
        )
    )
    return (Note("outside range", text),)


def _test_faults(static, residual):
    if residual > static:
        return f"residual {residual:g} psi is above the static {static:g} psi: one was misread"
    if residual == static:
        return f"residual and static are both {static:g} psi: no drop, so nothing can be told"
    return ""


def _drop_step(pen, static, residual):
    """The drop of the test, as a sum."""
    first, then = pen.number(static, "pressure"), pen.number(residual, "pressure")
    return f"Drop in the test = {first} - {then} = {pen.of(static - residual, 'pressure')}"


def _law_steps(pen, static, residual, test_flow, at_residual, flow):
    drop, wanted = static - residual, static - at_residual
    first, last = pen.number(static, "pressure"), pen.number(at_residual, "pressure")
    ratio = f"{wanted / drop:.5g}"
    return (
        _drop_step(pen, static, residual),
        f"Drop down to {pen.of(at_residual, 'pressure')} = {first} - {last}"
        f" = {pen.of(wanted, 'pressure')}",
        f"Their ratio = {pen.number(wanted, 'pressure')} / {pen.number(drop, 'pressure')} = {ratio}",
        f"Flow = {pen.of(test_flow, 'flow')} × {ratio}^0.54 = {pen.of(flow, 'flow', 1)}",
    )


@quantities(
    outlet_diameter=Need("length", "inch", above=0),
    pitot_pressure=NeedLike("pressure", "psi", above=0, like="25 psi"),
    plain={
        "coefficient": number(0.5, 1),
        "outlets": number(1, 20, whole=True),
        "outlet": choice(OUTLET_KINDS),
    },
)
def outlet_flow(outlet_diameter, *, pitot_pressure, coefficient, outlets=1, outlet="hose outlet"):
    """Flow of open hydrant outlets from a pitot reading.

    For the flow half of a hydrant test: 29.84 c d² √p for each outlet. A pumper outlet is too
    wide to run full, so it takes a further factor by its pitot pressure.

    Takes
      outlet_diameter  inside diameter as measured; any length unit; usual unit in; symbol d
      pitot_pressure   pitot in the middle of the stream, gauge; usual unit psi; symbol p
      coefficient      of the outlet, 0.5 to 1: `OUTLET_COEFFICIENTS`; symbol c
      outlets          how many like outlets flow at this pitot pressure
      outlet           "hose outlet" or "pumper outlet"
    Gives
      Result           flow in gpm of all the outlets together; shown to 1 gpm
    Holds for
      coefficients 0.70 to 0.95, outside them a note is added; pumper outlets from 2 psi
    How close
      29.83 and 29.84 are both printed (0.03 %); the coefficient is judged by feel inside the
      outlet, and each step between its three values is 12 %
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative, coefficient or count out of range, a pumper outlet
                       under 2 psi
    Sources
      first_principles_discharge: 29.84; hydrant_outlet_coefficients: what outlets are given;
      pumper_outlet_factors: the factor
    Check value
      >>> print(outlet_flow("2 1/2 in", pitot_pressure="28 psi", coefficient=0.8))
      789 gpm
    """
    pumper = outlet == "pumper outlet"
    too_low = pumper and pitot_pressure < core.PUMPER_OUTLET[0][0]
    low = "pitot_pressure: a pumper outlet has no factor under 2 psi: use a smaller outlet"
    refuse("outlet_flow", low if too_low else "")
    factor = core.pumper_outlet_factor(pitot_pressure) if pumper else 1.0
    one = core.outlet_flow_gpm(outlet_diameter, pitot_pressure, coefficient)
    flow = core.outlet_flow_gpm(outlet_diameter, pitot_pressure, coefficient, factor, outlets)

    def steps(pen):
        bore, square = pen.number(outlet_diameter, "bore"), pen.square(outlet_diameter)
        root = pen.root(pitot_pressure, 5)
        constant = pen.constant(SMOOTH_BORE_FLOW_FULL.value, flow=1, bore=-2, pressure=-0.5)
        yield f"Square the outlet: {bore} × {bore} = {square} {pen.unit('bore')}²"
        yield f"Root of the pitot pressure: √{pen.number(pitot_pressure, 'pressure')} = {root}"
        yield (
            f"Flow of one outlet = {constant} × {coefficient:g} × {square} × {root}"
            f" = {pen.of(one, 'flow', 1)}"
        )
        if pumper or outlets > 1:
            each = pen.of(one, "flow", 1).removesuffix(f" {pen.unit('flow')}")
            yield (
                f"Times factor and number of outlets: {each} × {factor:.4g} × {outlets:g}"
                f" = {pen.of(flow, 'flow', 1)}"
            )

    notes = []
    if not 0.70 <= coefficient <= 0.95:
        text = f"Coefficient {coefficient:g} is outside 0.70 to 0.95, what outlets are given."
        notes.append(Note("outside range", text))
    notes.append(
        Note("caution", "This coefficient is for a hydrant outlet, never for a nozzle tip.")
    )
    if pumper:
        notes.append(
            Note(
                "estimate",
                f"Factor {factor:.3g} of a pumper outlet: read second-hand. " + _CHECK_THE_BOOK,
            )
        )
    return Result(
        title="Flow",
        value=quantity(flow, "gpm"),
        steps=worked(steps),
        notes=tuple(notes),
        sources=(
            SMOOTH_BORE_FLOW_FULL.source,
            "hydrant_outlet_coefficients",
            *(("pumper_outlet_factors",) if pumper else ()),
        ),
    )


@quantities(static=STATIC, residual=RESIDUAL, test_flow=FLOW, at_residual=RESIDUAL)
def hydrant_flow_at(static, *, residual, test_flow, at_residual):
    """Flow that a tested hydrant gives at another residual pressure.

    For what is left in the main when the pressure is drawn down further: Qt (hr / hf)^0.54,
    hf the drop of the test and hr the drop that is wanted.

    Takes
      static       pressure with nothing flowing, gauge; any pressure unit; usual unit psi
      residual     pressure while the test flowed; usual unit psi
      test_flow    all the water of the test; any flow unit; usual unit gpm; symbol Qt
      at_residual  residual pressure asked about; usual unit psi
    Gives
      Result       flow in gpm; shown to 1 gpm
    Holds for
      one main fed from one end; a drop in the test of 10 % of the static or more, under it a
      note is added; a note too below 20 psi (or half of a static under 40)
    How close
      0.54 is 1/1.85 rounded: 0.05 % off; against EPANET 0.01 psi; in town, as good as the test
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  residual at or above static, the wanted residual above static
    Sources
      hydrant_law_published; hydrant_marking_chapter: the floor of 20 psi
    Check value
      >>> print(hydrant_flow_at("65 psi", residual="36.054 psi", test_flow="600 gpm",
      ...                       at_residual="20 psi"))
      761 gpm
    """
    above = f"at_residual {at_residual:g} psi is above the static {static:g} psi"
    refuse("hydrant_flow_at", _test_faults(static, residual), above if at_residual > static else "")
    flow = core.available_flow_gpm(static, residual, test_flow, at_residual)
    return Result(
        title="Flow",
        value=quantity(flow, "gpm"),
        steps=worked(lambda pen: _law_steps(pen, static, residual, test_flow, at_residual, flow)),
        notes=(*small_drop_notes(static, residual), *_below_floor(static, at_residual), ONE_MAIN),
        sources=("hydrant_law_published", "hydrant_marking_chapter"),
    )


def _below_floor(static, residual):
    floor = core.residual_floor_psi(static)
    if residual >= floor - GAUGE_CANNOT_SHOW_PSI:
        return ()
    text = both(
        lambda pen: (
            f"A residual of {_told(pen, residual)} is under {_told(pen, floor)}. So low a "
            "pressure can draw dirty water into the main or collapse it, and starves the pump."
        )
    )
    return (Note("caution", text),)


def _told(pen, psi):
    """A pressure in a sentence: metric to whole kPa, since nobody multiplies with it."""
    return pen.choose(f"{psi:.4g} psi", pen.shown(psi, "pressure"))


@quantities(static=STATIC, residual=RESIDUAL, test_flow=FLOW, flow=FLOW)
def hydrant_residual_at(static, *, residual, test_flow, flow):
    """Residual pressure that a tested hydrant keeps at another flow.

    The law of `hydrant_flow_at` turned round: static - hf (Q / Qt)^(1/0.54).

    Takes
      static     pressure with nothing flowing, gauge; any pressure unit; usual unit psi
      residual   pressure while the test flowed; usual unit psi
      test_flow  all the water of the test; any flow unit; usual unit gpm
      flow       flow asked about; usual unit gpm
    Gives
      Result     pressure in psi; shown to 1 psi
    Holds for
      one main fed from one end; a drop in the test of 10 % of the static or more
    How close
      against EPANET 0.01 psi
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  residual at or above static; more flow than the main can give at all
    Sources
      hydrant_law_published; hydrant_marking_chapter: the floor of 20 psi
    Check value
      >>> print(hydrant_residual_at("65 psi", residual="36.054 psi", test_flow="600 gpm",
      ...                           flow="761.4 gpm"))
      20 psi
    """
    refuse("hydrant_residual_at", _test_faults(static, residual))
    most = core.available_flow_gpm(static, residual, test_flow, 0)
    too_much = f"flow {flow:,.5g} gpm is more than the {most:,.5g} gpm left at 0 psi"
    refuse("hydrant_residual_at", too_much if flow > most * (1 + 1e-9) else "")
    left = max(core.residual_at_flow_psi(static, residual, test_flow, flow), 0.0)

    def steps(pen):
        drop, gone = (
            pen.number(static - residual, "pressure"),
            pen.number(static - left, "pressure"),
        )
        flows = f"{pen.number(flow, 'flow')} / {pen.number(test_flow, 'flow')}"
        ratio = f"{flow / test_flow:.5g}"
        return (
            _drop_step(pen, static, residual),
            f"Share of the test flow = {flows} = {ratio}",
            f"Drop at that flow = {drop} × {ratio}^(1 / 0.54) = {gone} {pen.unit('pressure')}",
            f"Residual = {pen.number(static, 'pressure')} - {gone} = {pen.of(left, 'pressure', 2)}",
        )

    return Result(
        title="Residual pressure",
        value=quantity(left, "psi"),
        steps=worked(steps),
        notes=(*small_drop_notes(static, residual), *_below_floor(static, left), ONE_MAIN),
        sources=("hydrant_law_published", "hydrant_marking_chapter"),
    )


@dataclass(frozen=True, kw_only=True)
class HydrantRating(Explained):
    """What a hydrant is rated at: flow at the residual floor, class, colour, drop of the test."""

    flow: Any
    floor: Any
    drop: Any
    hydrant_class: str
    colour: str

    def lines(self, system="US"):
        """Rated flow, floor, class and the drop of the test as (label, text) pairs."""
        return (
            (f"Rated flow at {show(self.floor, system)}", show(self.flow, system)),
            ("Class", f"{self.hydrant_class}, {self.colour}"),
            ("Drop in the test", show(self.drop, system)),
        )

    def __repr__(self):
        return self.text()


@quantities(static=STATIC, residual=RESIDUAL, test_flow=FLOW)
def hydrant_rating(static, *, residual, test_flow):
    """Rated flow of a hydrant at the residual floor, its class and colour.

    For marking hydrants and for choosing one: the flow at 20 psi; where the static is under
    40 psi, at half the static. AA from 1,500 gpm, A from 1,000, B from 500, else C.

    Takes
      static         pressure with nothing flowing, gauge; any pressure unit; usual unit psi
      residual       pressure while the test flowed; usual unit psi
      test_flow      all the water of the test; any flow unit; usual unit gpm
    Gives
      HydrantRating  flow in gpm, floor in psi, drop in percent, class and colour
    Holds for
      one main fed from one end; a drop in the test of 10 % of the static or more, under it a
      note is added
    How close
      as good as the test; the day and hour of the test matter
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  residual at or above static
    Sources
      hydrant_law_published; hydrant_marking_chapter: 20 psi; hydrant_classes_published: the
      classes; hydrant_half_static: a static under 40 psi
    Check value
      >>> print(show(hydrant_rating("65 psi", residual="36.054 psi", test_flow="600 gpm").flow))
      761 gpm
    """
    refuse("hydrant_rating", _test_faults(static, residual))
    floor = core.residual_floor_psi(static)
    flow = core.available_flow_gpm(static, residual, test_flow, floor)
    hydrant_class, colour = core.hydrant_class(flow)
    notes = list(small_drop_notes(static, residual))
    if static < 40:
        text = both(
            lambda pen: (
                f"Static under {_told(pen, 40)}: rated at half of it, {_told(pen, floor)}. "
                "Read second-hand. " + _CHECK_THE_BOOK
            )
        )
        notes.append(Note("caution", text))
    sources = ["hydrant_law_published", "hydrant_marking_chapter", "hydrant_classes_published"]
    return HydrantRating(
        title="Rating of the hydrant",
        flow=quantity(flow, "gpm"),
        floor=quantity(floor, "psi"),
        drop=quantity(core.percent_drop(static, residual), "percent"),
        hydrant_class=hydrant_class,
        colour=colour,
        steps=worked(
            lambda pen: (
                f"Rated at a residual of {_told(pen, floor)}",
                *_law_steps(pen, static, residual, test_flow, floor, flow),
                f"Class {hydrant_class}: cap or bonnet {colour}",
            )
        ),
        notes=(*notes, ONE_MAIN),
        sources=(*sources, *(("hydrant_half_static",) if static < 40 else ())),
    )


@dataclass(frozen=True, kw_only=True)
class QuickEstimate(Explained):
    """What the rule of thumb promises beside what the 0.54 law gives.

    lines_more                like flows more by the percentage method: 3, 2, 1 or 0
    lines_more_first_digit    the same by the first-digit method; None where it is not defined
    three_more, two_more, one_more   largest drop, in percent, up to which the law grants them
    """

    drop: Any
    by_rule: Any
    by_law: Any
    three_more: Any
    two_more: Any
    one_more: Any
    lines_more: int
    lines_more_first_digit: int | None

    def lines(self, system="US"):
        """Drop, both estimates and the drops up to which the rule holds, as (label, text) pairs."""
        digit = self.lines_more_first_digit
        # The digit is that of a gauge in psi, whatever the department reads.
        in_psi = ", of a gauge in US units" if system == "metric" else ""
        return (
            ("Drop", show(self.drop, system)),
            ("More, quick estimate", f"{_times(self.lines_more)}: {show(self.by_rule, system)}"),
            ("More, by the 0.54 law", show(self.by_law, system)),
            (
                f"First-digit method{in_psi}",
                "static has not two digits" if digit is None else _times(digit),
            ),
            (
                "Drop up to which the law grants 3, 2, 1 more",
                ", ".join(f"{q.magnitude:.1f} %" for q in self._limits),
            ),
        )

    @property
    def _limits(self):
        return self.three_more, self.two_more, self.one_more

    def __repr__(self):
        return self.text()


def _times(lines_more):
    return f"{lines_more} like flow{'s' * (lines_more > 1)}" if lines_more else "less than one"


@quantities(static=STATIC, residual=RESIDUAL, flow=FLOW, floor=RESIDUAL)
def percentage_method(static, *, residual, flow, floor="20 psi"):
    """Water still to be had at a hydrant: the pump operator's quick estimate beside the law.

    With one line flowing, read the drop: up to 10 % of the static three more like it, up to
    15 % two, up to 25 % one. The rule is optimistic at the top of each band; the 0.54 law down
    to the floor stands beside it. The first-digit method is given too.

    Takes
      static         intake pressure before anything flowed, gauge; usual unit psi
      residual       intake pressure now; usual unit psi
      flow           what flows now; any flow unit; usual unit gpm
      floor          residual down to which the law counts; usual unit psi
    Gives
      QuickEstimate  drop, by_rule, by_law, and the drops up to which the rule holds
    Holds for
      the law: one main fed from one end; the rule: a first idea, no more
    How close
      at 80 psi static the law grants three more only up to a drop of 5.8 %, two up to 9.8 %,
      one up to 20.8 %; bands between whole percents are read down (10.4 % is two more)
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  residual at or above static; static at or under the floor
    Sources
      percent_drop_article: both rules; hydrant_law_published: the law;
      hydrant_marking_chapter: the floor of 20 psi
    Check value
      >>> print(show(percentage_method("80 psi", residual="60 psi", flow="500 gpm").by_rule))
      500 gpm
    """
    low = f"static {static:g} psi is not above the floor of {floor:g} psi"
    refuse("percentage_method", _test_faults(static, residual), low if static <= floor else "")
    drop = core.percent_drop(static, residual)
    more = core.lines_more_by_percent(drop)
    at_floor = core.available_flow_gpm(static, residual, flow, floor)
    by_law = max(at_floor - flow, 0.0)
    limits = [core.percent_drop_for_lines_more(static, floor, n) for n in (3, 2, 1)]
    notes = [
        Note(
            "estimate",
            "Quick estimate: the rule says how many more flows like the one flowing. Some read "
            "its 3, 2, 1 as the total flow; ask which is meant.",
        )
    ]
    if residual < floor:
        text = both(
            lambda pen: (
                f"The residual is under the floor of {_told(pen, floor)} already: nothing "
                "more to be had."
            )
        )
        notes.append(Note("caution", text))
    elif more * flow > by_law:
        text = both(
            lambda pen: (
                f"The rule promises {pen.shown(more * flow - by_law, 'flow')} more than the "
                "law gives."
            )
        )
        notes.append(Note("caution", text))
    return QuickEstimate(
        title="Quick estimate",
        drop=quantity(drop, "percent"),
        by_rule=quantity(more * flow, "gpm"),
        by_law=quantity(by_law, "gpm"),
        three_more=quantity(limits[0], "percent"),
        two_more=quantity(limits[1], "percent"),
        one_more=quantity(limits[2], "percent"),
        lines_more=more,
        lines_more_first_digit=core.lines_more_by_first_digit(static, residual),
        steps=worked(lambda pen: _estimate_steps(pen, static, residual, flow, floor)),
        notes=(*notes, *small_drop_notes(static, residual), ONE_MAIN),
        sources=("percent_drop_article", "hydrant_law_published", "hydrant_marking_chapter"),
    )


def _estimate_steps(pen, static, residual, flow, floor):
    drop = core.percent_drop(static, residual)
    at_floor = core.available_flow_gpm(static, residual, flow, floor)
    first, now, least = (pen.number(psi, "pressure") for psi in (static, residual, floor))
    more = pen.of(max(at_floor - flow, 0.0), "flow", 1)
    return (
        f"Drop as a share of the static = ({first} - {now}) / {first} × 100 = {drop:.4g} %",
        f"The rule: {_times(core.lines_more_by_percent(drop))} more",
        f"The law at {_told(pen, floor)} = {pen.of(flow, 'flow')} × (({first} - {least}) / "
        f"({first} - {now}))^0.54 = {pen.of(at_floor, 'flow', 1)}",
        f"Of that flows now {pen.of(flow, 'flow')}; more to be had: {more}",
    )


@quantities(volume=Need("volume", "gallon", above=0), flow=FLOW)
def tank_minutes(volume, *, flow):
    """Time that a tank or any stored water lasts at a flow.

    For how long the first engine can flow before a supply must stand: volume / flow.

    Takes
      volume  what can be pumped of it; any volume unit; usual unit gal
      flow    what flows; any flow unit; usual unit gpm
    Gives
      Result  time in min; shown to 0.1 min
    Holds for
      any; a tank's last gallons and the water in the hose do not count
    How close
      exact for the volume given; a tank rarely gives all that is painted on it
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      first_principles_minutes
    Check value
      >>> print(tank_minutes("45,000 gal", flow="1,500 gpm"))
      30 min
    """
    minutes = core.minutes_of_water(volume, flow)
    return Result(
        title="Time",
        value=quantity(minutes, "minute"),
        steps=worked(
            lambda pen: (
                f"Time = {pen.of(volume, 'volume', digits=6)} / {pen.of(flow, 'flow')}"
                f" = {minutes:.3f} min",
            )
        ),
        notes=(Note("estimate", "Counts all of the volume; take what the pump can really draw."),),
        sources=("first_principles_minutes",),
    )


@quantities(air_pressure=NeedLike("pressure", "psi", above=0, at_most=17, like="14.7 psi"))
def lift_limit(air_pressure):
    """Height that no pump at draft can lift water above, from the pressure of the air.

    For seeing why draft has an end: the air pushes the water up, 1 ft for each 0.434 psi.

    Takes
      air_pressure  pressure of the air itself (absolute, not gauge); usual unit psi; 14.7 at
                    sea level, about 0.5 less for each 1,000 ft of altitude
    Gives
      Result        height in ft; shown to 0.1 ft
    Holds for
      a perfect vacuum and no flow; warm water, hose and strainer lower it further
    How close
      an upper bound; a wildland course takes two thirds of it for a pump in fairly good
      condition. What a pump lifts at what flow, its own test says.
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative, above 17 psi (air is never that heavy on land)
    Sources
      wildland_drafting_course; first_principles_air_column;
      handbook_elevation_pressure: 0.434 psi a foot
    Check value
      >>> print(lift_limit("14.7 psi"))
      33.9 ft
    """
    height = core.lift_limit_ft(air_pressure)
    return Result(
        title="Height that no lift can pass",
        value=quantity(height, "foot"),
        steps=worked(
            lambda pen: (
                f"Column of water = {pen.of(air_pressure, 'pressure', digits=4)} / "
                f"{pen.constant(ELEVATION_PRESSURE.value, pressure=1, length=-1)} "
                f"{pen.choose('psi a foot', 'kPa a metre')} = {pen.of(height, 'length', 1)}",
            )
        ),
        notes=(
            Note(
                "estimate",
                both(
                    lambda pen: (
                        "Not a lift to plan for: a printed rule takes two thirds, "
                        f"{pen.shown(height * 2 / 3, 'length')}, for a pump in fairly good condition. "
                        "The pump's own test decides."
                    )
                ),
            ),
        ),
        sources=(
            "wildland_drafting_course",
            "first_principles_air_column",
            ELEVATION_PRESSURE.source,
        ),
    )


def _relay_fault(discharge_pressure, residual):
    if discharge_pressure > residual:
        return ""
    return (
        f"discharge_pressure {discharge_pressure:g} psi is not above the residual {residual:g} psi:"
        " nothing is left to push the water"
    )


def _of_a_hundred(pen, flow, coefficient, line_count):
    """Loss in 100 ft, or in 100 m, without its unit."""
    loss = core.lay_loss_psi(coefficient, flow, 100, line_count)
    return pen.made(loss, pressure=1, length=-1)


def _loss_step(pen, flow, coefficient, line_count):
    hundreds = pen.number(flow / line_count / 100, "flow", 6)
    return (
        f"{coefficient_told(pen, coefficient)}{lines_told(pen, flow, line_count)}"
        f"Loss in 100 {pen.unit('length')} = {coefficient_in(pen, coefficient)} × {hundreds} × "
        f"{hundreds} = {_of_a_hundred(pen, flow, coefficient, line_count)} {pen.unit('pressure')}"
    )


def _spend_step(pen, says, discharge_pressure, residual):
    first, kept = pen.number(discharge_pressure, "pressure"), pen.number(residual, "pressure")
    return f"{says} {first} - {kept} = {pen.of(discharge_pressure - residual, 'pressure')}"


def _relay_notes(residual):
    notes = []
    if residual < core.RESIDUAL_FLOOR_PSI:
        text = both(
            lambda pen: (
                f"A residual of {_told(pen, residual)} leaves the next pump less than the "
                f"usual {_told(pen, core.RESIDUAL_FLOOR_PSI)}."
            )
        )
        notes.append(Note("caution", text))
    notes.append(
        Note(
            "estimate",
            "Take the coefficient of your own hose as tested. The pressure must not pass what the "
            "hose is marked for, and each pump must give this flow at this pressure.",
        )
    )
    return tuple(notes)


_LINES = {"coefficient": COEFFICIENT, "line_count": number(1, 12, whole=True)}


@quantities(flow=FLOW, discharge_pressure=PRESSURE, residual=RESIDUAL, plain=_LINES)
def relay_distance(flow, *, discharge_pressure, residual, coefficient, line_count=1):
    """How far one pumper can push a flow to the next on level ground.

    For spacing pumpers: the pressure to spend over the loss per 100 ft, C Q² with Q in hundreds
    of gpm; like lines side by side share the flow.

    Takes
      flow                what must arrive; any flow unit; usual unit gpm; symbol Q
      discharge_pressure  pump discharge pressure of the sender, gauge; usual unit psi
      residual            pressure left at the receiver's intake; usual unit psi
      coefficient         of one line, psi per 100 ft at 100 gpm; symbol C
      line_count          like lines side by side
    Gives
      Result              length of the lay in ft; shown to 0.1 ft
    Holds for
      level ground and one kind of hose; a note where the residual is under 20 psi
    How close
      as good as the coefficient: measured ones lie mostly below the printed ones
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  no pressure to spend; coefficient or count out of range
    Sources
      first_principles_relay; first_principles_parallel_lines; friction_loss_formula; entered_coefficient: the loss
      formula; relay_outline_article: 20 psi
    Check value
      >>> print(relay_distance("1000 gpm", discharge_pressure="150 psi", residual="0 psi",
      ...                      coefficient=0.2))
      750 ft
    """
    refuse("relay_distance", _relay_fault(discharge_pressure, residual))
    length = core.relay_distance_ft(flow, discharge_pressure, residual, coefficient, line_count)
    spend = discharge_pressure - residual
    lay = (flow, coefficient, line_count)
    return Result(
        title="Length of the lay",
        value=quantity(length, "foot"),
        steps=worked(
            lambda pen: (
                _spend_step(pen, "Pressure to spend =", discharge_pressure, residual),
                _loss_step(pen, *lay),
                f"Length = {pen.number(spend, 'pressure')} / {_of_a_hundred(pen, *lay)} × 100"
                f" = {pen.of(length, 'length', 1)}",
            )
        ),
        notes=_relay_notes(residual),
        sources=(
            "first_principles_relay",
            "first_principles_parallel_lines",
            FORMULA_SOURCE,
            OWN_COEFFICIENT,
            "relay_outline_article",
        ),
    )


@dataclass(frozen=True, kw_only=True)
class RelayPlan(Explained):
    """Pumpers along a lay: how many with the one at the source, spacing, pressure used up.

    pumpers   the one at the source and those between; the one that receives does not count
    """

    pumpers: int
    spacing: Any
    loss: Any

    def lines(self, system="US"):
        """Pumpers, spacing and what the lay uses up, as (label, text) pairs."""
        return (
            ("Pumpers, with the one at the source", str(self.pumpers)),
            ("Apart, evenly spaced", show(self.spacing, system)),
            ("The lay uses up", show(self.loss, system)),
        )

    def __repr__(self):
        return self.text()


@quantities(
    lay=LENGTH,
    flow=FLOW,
    discharge_pressure=PRESSURE,
    residual=RESIDUAL,
    climb=NeedLike("length", "foot", like="40 ft"),
    plain=_LINES,
)
def relay_pumpers(
    lay, *, flow, discharge_pressure, residual, coefficient, line_count=1, climb="0 ft"
):
    """Pumpers needed along a lay, with the one at the source.

    For a long lay: loss of the whole lay and its climb, over what each pumper may spend,
    rounded up. Each discharges at the same pressure and leaves the next the same residual.

    Takes
      lay                 length of the whole lay; any length unit; usual unit ft
      flow                what must arrive; any flow unit; usual unit gpm
      discharge_pressure  pump discharge pressure of each, gauge; usual unit psi
      residual            pressure left at each next intake; usual unit psi
      coefficient         of one line, psi per 100 ft at 100 gpm; symbol C
      line_count          like lines side by side
      climb               rise (+) or fall (-) of the whole lay; usual unit ft
    Gives
      RelayPlan           pumpers, spacing in ft, loss in psi; the receiver does not count
    Holds for
      an even slope and one kind of hose; a note where the residual is under 20 psi
    How close
      as good as the coefficient; on uneven ground space by pressure, not by length
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  no pressure to spend; coefficient or count out of range
    Sources
      first_principles_relay; first_principles_parallel_lines; friction_loss_formula; entered_coefficient: the loss
      formula; relay_outline_article: 20 psi; handbook_elevation_pressure: the climb
    Check value
      >>> print(show(relay_pumpers("2,000 ft", flow="1000 gpm", discharge_pressure="185 psi",
      ...                          residual="20 psi", coefficient=0.2).loss))
      400 psi
    """
    refuse("relay_pumpers", _relay_fault(discharge_pressure, residual))
    friction = core.lay_loss_psi(coefficient, flow, lay, line_count)
    height = ELEVATION_PRESSURE.value * climb
    loss, spend = friction + height, discharge_pressure - residual
    pumpers = core.pumpers_for(loss, spend)

    def steps(pen):
        hundred = _of_a_hundred(pen, flow, coefficient, line_count)
        height = pen.constant(ELEVATION_PRESSURE.value, pressure=1, length=-1)
        whole, each = pen.number(loss, "pressure"), pen.number(spend, "pressure")
        return (
            _loss_step(pen, flow, coefficient, line_count),
            f"Loss of the lay and its climb = {hundred} × {pen.number(lay, 'length', 6)} / 100 + "
            f"{height} × ({pen.number(climb, 'length')}) = {whole} {pen.unit('pressure')}",
            _spend_step(pen, "Each may spend:", discharge_pressure, residual),
            f"Loss over spend = {whole} / {each} = {loss / spend:.3f}",
            f"Rounded up: {pumpers}, the first at the source",
        )

    return RelayPlan(
        title="Relay",
        pumpers=pumpers,
        spacing=quantity(lay / pumpers, "foot"),
        loss=quantity(loss, "psi"),
        steps=worked(steps),
        notes=_relay_notes(residual),
        sources=(
            "first_principles_relay",
            "first_principles_parallel_lines",
            FORMULA_SOURCE,
            OWN_COEFFICIENT,
            "relay_outline_article",
            "handbook_elevation_pressure",
        ),
    )


outlet_flow.plain = core.outlet_flow_gpm
hydrant_flow_at.plain = core.available_flow_gpm
hydrant_residual_at.plain = core.residual_at_flow_psi
hydrant_rating.plain = core.hydrant_class
percentage_method.plain = core.lines_more_by_percent
tank_minutes.plain = core.minutes_of_water
lift_limit.plain = core.lift_limit_ft
relay_distance.plain = core.relay_distance_ft
relay_pumpers.plain = core.pumpers_for
