"""The chain at one flow, worked out part by part: steps that can be keyed in, and their sources."""

from itertools import pairwise
from math import sqrt

from aerialstream._core import chain as core
from aerialstream._core import pumps
from aerialstream.constants import (
    ELEVATION_PRESSURE,
    FEET_OF_WATER_PER_PSI_ROUNDED,
    PUMP_RATED_POINTS,
    SMOOTH_BORE_FLOW,
)
from aerialstream.hose import (
    FORMULA_SOURCE,
    OWN_COEFFICIENT,
    coefficient_in,
    coefficient_told,
    lines_told,
)

_PART_WORDS = {
    "nozzle": "nozzle",
    "elevation": "height",
    "waterway": "waterway",
    "inlet": "inlet",
    "lay": "lines",
}


def point_steps(pen, parts, plain, flow, losses, intake, net, asked_psi=None, tip_psi=None):
    """Steps of a chain at a flow; losses as `core.parts_psi` gives them, intake and net in psi.

    asked_psi   the discharge pressure that the flow was found for, or None
    tip_psi     the nozzle pressure that it was found for, or None
    """
    if asked_psi is not None:
        yield _found_step(pen, flow, asked_psi)
    if tip_psi is not None:
        yield _given_step(pen, parts.nozzle, plain.nozzle, flow, tip_psi)
    elif flow > 0:
        yield _nozzle_step(pen, parts.nozzle, plain.nozzle, flow, losses["nozzle"])
    yield _height_step(pen, parts.rig, losses["elevation"])
    yield from _rig_steps(pen, parts.rig, flow, losses)
    if flow > 0 and losses["lay"] > 0:
        yield from _lay_steps(pen, parts.lays, flow, losses["lay"])
    total = sum(losses.values())
    adding = " + ".join(f"{_tenth(pen, losses[name])} {word}" for name, word in _PART_WORDS.items())
    yield f"Pump discharge pressure = {adding} = {pen.of(total, 'pressure', 1)}"
    if net is not None:
        yield from _intake_steps(pen, parts.source, plain.source, flow, intake)
        less = _tenth(pen, intake) if intake >= 0 else f"({_tenth(pen, intake)})"
        yield f"Net pump pressure = {_tenth(pen, total)} - {less} = {pen.of(net, 'pressure', 1)}"
    if plain.rated_gpm is not None and flow > 0:
        yield _rating_step(pen, plain.rated_gpm, total if net is None else net)


def _found_step(pen, flow, asked_psi):
    asked = pen.of(asked_psi, "pressure")
    if flow > 0:
        return (
            f"Flow {pen.of(flow, 'flow', digits=6)}: the one at which the parts below add up "
            f"to {asked}"
        )
    return f"Nothing flows: {asked} does not lift the water to the nozzle"


def _tenth(pen, psi):
    """A pressure inside a sum, without its unit."""
    return pen.choose(f"{psi:.1f}", pen.number(psi, "pressure"))


def _squared(pen, says, loss, at_flow, flow, found):
    """A pressure that goes with the square of the flow, as a sum."""
    share = f"({pen.number(flow, 'flow', 6)} / {pen.number(at_flow, 'flow', 6)})"
    first = pen.number(loss, "pressure", 6)
    return f"{says} = {first} × {share} × {share} = {pen.of(found, 'pressure')}"


def _nozzle_step(pen, part, nozzle, flow, found):
    if part.kind == "smooth bore":
        constant = pen.constant(SMOOTH_BORE_FLOW.value, flow=1, bore=-2, pressure=-0.5)
        bore = part.tip_diameter.to("inch").magnitude
        share = f"({pen.number(flow, 'flow', 6)} / ({constant} × {pen.square(bore, 6)}))"
        return f"Nozzle pressure = {share} × {share} = {pen.of(found, 'pressure')}"
    rated = part.rated_pressure.to("psi").magnitude
    if isinstance(nozzle, core.Automatic):
        end = min(max(flow, nozzle.least_gpm), nozzle.most_gpm)
        if end == flow:
            return f"Nozzle pressure: the automatic nozzle holds {pen.of(rated, 'pressure')}"
    else:
        end = nozzle.flow_gpm(rated)
    return _squared(pen, "Nozzle pressure", rated, end, flow, found)


def _given_step(pen, part, nozzle, flow, tip_psi):
    """What flows at a nozzle pressure that was asked for."""
    says = f"Nozzle pressure: {pen.of(tip_psi, 'pressure')}, as asked. Flow"
    found = pen.of(flow, "flow", digits=6)
    if part.kind != "smooth bore":
        rated = part.rated_pressure.to("psi").magnitude
        end = pen.number(nozzle.flow_gpm(rated), "flow", 6)
        return f"{says} = {end} × {pen.root(tip_psi, 6)} / {pen.root(rated, 6)} = {found}"
    constant = pen.constant(SMOOTH_BORE_FLOW.value, flow=1, bore=-2, pressure=-0.5)
    bore = part.tip_diameter.to("inch").magnitude
    return f"{says} = {constant} × {pen.square(bore, 6)} × {pen.root(tip_psi, 6)} = {found}"


def _height_step(pen, rig, found):
    height = rig.height.to("foot").magnitude
    each = pen.constant(ELEVATION_PRESSURE.value, pressure=1, length=-1)
    return (
        f"Height of the nozzle = {each} × {pen.number(height, 'length', 6)}"
        f" {pen.unit('length')} = {pen.of(found, 'pressure')}"
    )


def _rig_steps(pen, rig, flow, losses):
    """Waterway and inlet, where they lose anything."""
    for name in ("waterway", "inlet"):
        loss, at_flow = getattr(rig, f"{name}_loss"), getattr(rig, f"{name}_flow")
        if not losses[name]:
            continue
        says = name.capitalize()
        if at_flow is None:
            yield f"{says}: {pen.of(losses[name], 'pressure')}, entered for any flow"
        else:
            tested = loss.to("psi").magnitude, at_flow.to("gpm").magnitude
            yield _squared(pen, says, *tested, flow, losses[name])


def _lay_steps(pen, lays, flow, found):
    hundreds = pen.number(flow / 100, "flow", 6)
    if len(lays) == 1:
        yield _line_step(pen, "Lines to the aerial", lays[0], flow, found)
        return
    roots = [pen.made(sqrt(lay.loss) * 100, 6, pressure=0.5, flow=-1) for lay in lays]
    for lay, root in zip(lays, roots, strict=True):
        divided = f" / {lay.lines:g} / {lay.lines:g}" if lay.lines > 1 else ""
        yield (
            f"{coefficient_told(pen, lay.coefficient)}{lay.called(pen)}: root of C × L / 100 = "
            f"√({coefficient_in(pen, lay.coefficient)}{divided} × {_feet(pen, lay)} / 100) = {root}"
        )
    total = pen.made(sum(0.01 / sqrt(lay.loss) for lay in lays), 6, pressure=-0.5, flow=1)
    yield f"All shares together: {' + '.join(f'1 / {root}' for root in roots)} = {total}"
    yield (
        f"Lines to the aerial = {hundreds} × {hundreds} / ({total} × {total})"
        f" = {pen.of(found, 'pressure')}"
    )
    for lay, root, share in zip(lays, roots, shares_of(lays), strict=True):
        divided = f" / {lay.lines:g}" if lay.lines > 1 else ""
        yield (
            f"In each line of {lay.called(pen)} = {pen.number(flow, 'flow', 6)} / {root} / {total}"
            f"{divided} = {pen.of(flow * share / lay.lines, 'flow')}"
        )


def shares_of(lays):
    """The share of the flow that each of several lays side by side takes."""
    if len(lays) == 1:
        return (1.0,)
    shares = [1 / sqrt(lay.loss) for lay in lays]
    return tuple(share / sum(shares) for share in shares)


def _feet(pen, lay):
    return pen.number(lay.length.to("foot").magnitude, "length", 6)


def _line_step(pen, says, lay, flow, found):
    """Loss of one lay of like lines, as a sum; of several each carries its share."""
    hundreds = pen.number(flow / lay.lines / 100, "flow", 6)
    each = lines_told(pen, flow, lay.lines)
    return (
        f"{coefficient_told(pen, lay.coefficient)}{each}{says} = "
        f"{coefficient_in(pen, lay.coefficient)} × {hundreds} × {hundreds} × "
        f"{_feet(pen, lay)} / 100 = {pen.of(found, 'pressure')}"
    )


def _intake_steps(pen, part, source, flow, intake):
    if isinstance(source, core.Relay):
        yield f"At the intake: {pen.of(intake, 'pressure', 1)}, held by the pump before"
    elif isinstance(source, core.Draft):
        feet = FEET_OF_WATER_PER_PSI_ROUNDED.value
        lift, loss = (pen.number(ft, "length", 6) for ft in (source.lift_ft, source.loss_ft))
        each = pen.constant(1 / feet, pressure=1, length=-1)
        yield (
            f"At the intake, less than nothing = -({lift} + {loss}) "
            f"{pen.choose(f'/ {feet:g}', f'× {each}')} = {pen.of(intake, 'pressure', 1)}"
        )
    else:
        line = source.line_loss * flow**2
        static, residual = (
            pen.number(psi, "pressure") for psi in (source.static_psi, source.residual_psi)
        )
        share = f"{pen.number(flow, 'flow', 6)} / {pen.number(source.test_flow_gpm, 'flow', 6)}"
        yield (
            f"Residual at the hydrant = {static} - ({static} - {residual}) × ({share})^(1 / 0.54)"
            f" = {pen.of(intake + line, 'pressure')}"
        )
        if line:
            yield _line_step(pen, "Line from the hydrant", part.line, flow, line)
            first, less = pen.number(intake + line, "pressure"), pen.number(line, "pressure")
            first = first if intake + line >= 0 else f"({first})"
            yield f"At the intake = {first} - {less} = {pen.of(intake, 'pressure')}"


def _rating_step(pen, rated, net):
    promised, first = pumps.capacity_gpm(rated, net), PUMP_RATED_POINTS[0]
    says = f"A rating of {pen.shown(rated, 'flow')}"
    if net <= first.net_psi:
        return (
            f"{says} promises all of it up to {pen.shown(first.net_psi, 'pressure')} net; asked are "
            f"{pen.of(net, 'pressure', 1)}"
        )
    last = PUMP_RATED_POINTS[-1].net_psi
    if net > last:
        return (
            f"{says} promises nothing above {pen.shown(last, 'pressure')} net; asked are "
            f"{pen.of(net, 'pressure', 1)}"
        )
    low, high = next(p for p in pairwise(PUMP_RATED_POINTS) if net <= p[1].net_psi)
    below, at, above = (pen.number(psi, "pressure", 6) for psi in (low.net_psi, net, high.net_psi))
    return (
        f"{says} promises, between its points at {below} and {above} {pen.unit('pressure')} net = "
        f"{pen.number(rated, 'flow', 6)} × ({low.share:g} - ({low.share:g} - {high.share:g}) × "
        f"({at} - {below}) / ({above} - {below})) = {pen.of(promised, 'flow', 0, 6)}"
    )


def sources_of(parts):
    """Ids of the sources that the numbers of a chain stand on, each once, in the order of use."""
    cited = []
    if parts.nozzle.kind == "smooth bore":
        cited.append(SMOOTH_BORE_FLOW.source)
    else:
        cited.append("first_principles_fixed_orifice")
    if parts.nozzle.kind == "automatic fog":
        cited.append("automatic_nozzles_article")
    cited += [ELEVATION_PRESSURE.source, "first_principles_square_law", *parts.rig.sources]
    hydrant_line = getattr(parts.source, "line", None)
    every = [*parts.lays, *([hydrant_line] if hydrant_line else [])]
    cited += [FORMULA_SOURCE, *(one for lay in every for one in lay.sources or (OWN_COEFFICIENT,))]
    if len(parts.lays) > 1 or any(lay.lines > 1 for lay in every):
        cited.append("first_principles_parallel_lines")
    if parts.source is not None:
        cited.append("first_principles_net_pressure")
        cited += {
            "hydrant": ["hydrant_law_published", "hydrant_marking_chapter"],
            "draft": [FEET_OF_WATER_PER_PSI_ROUNDED.source, "wildland_drafting_course"],
            "relay": [],
        }[parts.source.kind]
    if parts.pumper is not None:
        cited.append(PUMP_RATED_POINTS[0].source)
    return tuple(dict.fromkeys(cited))
