"""The spot map: every place and heading on a scene's plan judged for one rig and one target.

A place is where the turntable's centre stands. The map shows what is wrong or costs something at
each place; it permits nothing. It judges the ladder where it works, not the way there: raising,
turning and extending past lines and trees has to be looked at on the spot.
"""

import math
from array import array
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Any, Literal

from aerialstream._checks import NeedLike, choice_fault, number_fault, refuse
from aerialstream._core import clearances as rules
from aerialstream._core import plan_geometry as plan
from aerialstream._core import spots as core
from aerialstream._plan_words import VERDICTS, in_words, tenth, where
from aerialstream._spot_words import (
    HYDRANT_ACROSS_FT,
    HYDRANT_HEIGHT_FT,
    Spot,
    codes_of,
    findings_of,
    hydrant_corners,
)
from aerialstream.aerials import footprint, plain_rig
from aerialstream.clearances import shown_up
from aerialstream.constants import LINE_CLEARANCE_UNKNOWN_HIGH, LONG_SHARE, LOW_ELEVATION
from aerialstream.department import NOT_ENTERED
from aerialstream.results import Explained, Note
from aerialstream.units import Need, in_unit, quantities, quantity, show
from aerialstream.worked import both, in_system, worked

MAP_CAUTION = (
    "The operator's manual of the device, local procedure and qualified people decide. A map "
    "compares places on a plan: it permits nothing, and what nobody put on the plan it does not know."
)
USUAL_STANDOFF_FT = 15.0
ABOVE_ROOF_FT = 10.0
_MOST_PLACES = 4_000_000
_LENGTH = Need("length", "foot", above=0, at_most=5_000)
_ANGLE = Need("angle", "degree", at_least=0, at_most=90)
_BEARING = NeedLike("angle", "degree", at_least=-360, at_most=360, like="90 deg")
_SOURCES = ("first_principles_aerial_geometry", "wieder_positioning_1", "usfa_tr_081")
_ZONE_SOURCES = ("dunn_collapse_zone", "practice_collapse_zone")
_LINE_SOURCES = ("osha_1408_table_a", "wac_296_305_lines")


@dataclass(frozen=True, kw_only=True)
class Place(Explained):
    """What one place and heading is good for. Lengths in ft, angles in degrees, plan coordinates.

    verdict is one of VERDICTS. heading is a compass bearing, the way the cab points. extension,
    elevation and tip are None where the ladder cannot get there; obliquity and swept are None
    for a roof; lay is None without a hydrant. stream is from the tip to the target's middle, along
    the stream, None where the ladder cannot get there. chassis and pads are corners on the plan.
    """

    verdict: str
    findings: tuple
    x_ft: float
    y_ft: float
    heading_deg: float
    code: int
    extension_ft: float | None
    elevation_deg: float | None
    tip: tuple | None
    obliquity_deg: float | None
    swept: float | None
    lay_ft: float | None
    stream_ft: float | None
    side: str
    chassis: tuple
    pads: tuple

    @property
    def said(self):
        """What the plan says of the place, in a few words."""
        ruled_out = [f.code.name for f in self.findings if f.wrong]
        if ruled_out:
            return f"ruled out by {', '.join(ruled_out)}"
        return in_words(self.verdict).removesuffix(" on the plan")

    def lines(self, system="US"):
        """What was found, the ladder and the stream, as (label, text) pairs."""
        out = [
            ("Place", f"{where(self.x_ft, self.y_ft, system)} from [0, 0] of the plan"),
            ("Heading", f"{self.heading_deg:.5g} deg"),
            ("On the plan", self.said),
        ]
        out += [("Wrong" if f.wrong else "Cost", in_system(f.text, system)) for f in self.findings]
        if self.extension_ft is not None:
            out.append(("Extension", _ft(self.extension_ft, system)))
            out.append(("Elevation", f"{self.elevation_deg:.1f} deg"))
            out.append(("Stream, from the tip to the target's middle", _ft(self.stream_ft, system)))
        if self.obliquity_deg is not None:
            out.append(("Off square to the wall", f"{self.obliquity_deg:.1f} deg"))
        if self.swept is not None:
            reached = self.extension_ft is not None
            out.append(
                (
                    f"Part of side {self.side} that the tip can pass along, at its height and "
                    "distance from the wall, turning and extending from here",
                    f"{self.swept:.0%}" if self.swept or reached else "none: it does not get there",
                )
            )
        if self.lay_ft is not None:
            out.append(("Supply lay", _ft(self.lay_ft, system)))
        return tuple(out)

    def __repr__(self):
        return self.text()


def _ft(feet, system="US"):
    return show(quantity(feet, "foot"), system)


@dataclass(frozen=True, kw_only=True)
class SpotMap(Explained):
    """Every place and heading of one scene, for one rig and one target.

    Plan coordinates in ft. The first place is at origin, the others cell_ft apart, rows upward.
    codes      all headings one after the other, each row by row: numbers for codes_of()
    best       for each place the number of its best heading in headings_deg (compass bearings)
    verdicts   for each place with that heading: 0 feasible, 1 with a cost, 2 not
    extension, elevation, obliquity, swept, lay
               for each place, in ft, degrees and shares; not a number where there is none
    places     the best few, spread out; conflicts: in words, what cannot be had together
    zone       corners of the collapse zone, () where none was asked for; zone_ft its depth
    """

    scene: Any
    apparatus: Any
    target: Any
    origin: tuple
    cell_ft: float
    columns: int
    rows: int
    headings_deg: tuple
    codes: array
    best: array
    verdicts: bytes
    extension: array
    elevation: array
    obliquity: array
    swept: array
    lay: array
    places: tuple
    conflicts: tuple
    zone: tuple
    zone_ft: float
    standoff_ft: float
    tip_height_ft: float
    problem: Any

    @property
    def counts(self):
        """How many places have each verdict, with their best heading."""
        return {word: self.verdicts.count(n) for n, word in enumerate(VERDICTS)}

    def code_at(self, column, row, heading=None):
        """The number for codes_of() at a place; heading by its number, None for the best."""
        place = row * self.columns + column
        number = self.best[place] if heading is None else heading
        return self.codes[number * self.columns * self.rows + place]

    def why_not(self, x, y, heading=None):
        """What any place and heading is good for, in words, whether or not it is on the grid.

        Takes
          x, y      where the turntable's centre stands on the plan; any length unit
          heading   compass bearing that the cab points to; any angle unit; None takes that of the
                    map's headings with the least against it
        Gives
          Place
        Fails when
          UnitError        no unit or one of another kind
          ImpossibleValue  not a number, or farther out than any plan
        """
        return _why_not(self)(x, y, heading)

    def lines(self, system="US"):
        """Counts, conflicts and the best places, as (label, text) pairs."""
        out = [("Places judged", f"{self.columns * self.rows:,} with {self._headings_said()}")]
        out += [(in_words(word).capitalize(), f"{n:,}") for word, n in self.counts.items()]
        out += [("Cannot be had together", in_system(c, system)) for c in self.conflicts]
        for number, place in enumerate(self.places, 1):
            costs = "; ".join(f.code.short for f in place.findings)
            out.append(
                (
                    f"Spot {number}",
                    f"{where(place.x_ft, place.y_ft, system)}, heading "
                    f"{place.heading_deg:.5g} deg, ladder {tenth(place.extension_ft, system)} at "
                    f"{place.elevation_deg:.0f} deg, stream {tenth(place.stream_ft, system)}: "
                    f"{in_words(place.verdict)}{f' ({costs})' if costs else ''}",
                )
            )
        if len(self.places) > 1:
            out.append(("Why spot 1 stands before spot 2", _why_before(*self.places[:2], system)))
        return tuple(out)

    def _headings_said(self):
        count = len(self.headings_deg)
        return "1 heading" if count == 1 else f"{count} headings"

    def __repr__(self):
        return self.text()


class _Inputs:
    """The quantity edge of what is not a calculation with one answer."""

    @staticmethod
    @quantities(
        cell=NeedLike("length", "foot", at_least=0.5, at_most=1000, like="5 ft"),
        standoff=_LENGTH,
        tip_height=_LENGTH,
        stream_rise=NeedLike("angle", "degree", above=0, at_most=85, like="14 deg"),
        oblique_from=_ANGLE,
        too_oblique_from=_ANGLE,
        hose_carried=_LENGTH,
        apart=_LENGTH,
    )
    def spot_map(
        *, cell, standoff=None, tip_height=None, stream_rise=None, oblique_from, too_oblique_from,
        hose_carried=None, apart,
    ):  # fmt: skip
        """The inputs of spot_map as plain numbers."""
        return {
            "cell": cell,
            "standoff": standoff,
            "tip_height": tip_height,
            "rise": stream_rise,
            "oblique": oblique_from,
            "too_oblique": too_oblique_from,
            "hose": hose_carried,
            "apart": apart,
        }

    @staticmethod
    @quantities(
        x=Need("length", "foot", at_least=-100_000, at_most=100_000),
        y=Need("length", "foot", at_least=-100_000, at_most=100_000),
        heading=_BEARING,
    )
    def why_not(x, y, heading=None):
        """The inputs of why_not as plain numbers."""
        return x, y, heading


def spot_map(
    scene,
    apparatus,
    target,
    *,
    headings=16,
    cell="5 ft",
    collapse_factor=1.5,
    tip_in_zone: Literal["not", "accepted"] = "not",
    standoff=None,
    tip_height=None,
    stream_rise=None,
    oblique_from="30 deg",
    too_oblique_from="60 deg",
    hose_carried=None,
    lay_factor=1.3,
    area=None,
    best=5,
    apart="40 ft",
    engine: Literal["auto", "plain", "arrays"] = "auto",
):
    """Judge every place and heading on a plan for one rig and one target.

    The tip is put on the straight line from the turntable to the target's middle, in front of
    it. What was assumed stands in the notes. The map sizes and compares; it permits nothing.

    Takes
      scene            a Scene
      apparatus        an Apparatus of the department's data
      target           id of one of the scene's targets
      headings         a number of headings all round, or a list of compass bearings as texts
      cell             distance between places
      collapse_factor  depth of the collapse zone as a multiple of the wall's height to the top of
                       the parapet (1, 1.5 or 2: the incident commander's call); None for no zone
      tip_in_zone      "not": a tip inside the zone rules a place out; "accepted": the incident
                       commander accepts it, so it only costs
      standoff         tip from the wall, square to it (from the middle of a roof hole, level);
                       None: 15 ft, or the depth of the zone if that is more
      tip_height       tip above ground; None: middle of an opening, 10 ft above a roof
      stream_rise      how steeply the stream must rise through the opening; None asks nothing
      oblique_from     from which angle off square an oblique stream counts as a cost
      too_oblique_from from which angle off square it rules a place out: at 60 deg an opening
                       shows half its width (both angles are ours, no source)
      hose_carried     supply hose that is there; None: the lay is shown, not judged
      lay_factor       the lay is the straight distance times this (no source; streets bend)
      area             (left, bottom, right, top) of the part to judge, as lengths; None: as far
                       as the ladder could reach, on the plan
      best, apart      how many places to propose, and how far apart
      engine           "plain" or "arrays" (numpy): both give the same; "auto" takes numpy if
                       it is there
    Gives
      SpotMap
    Fails when
      KeyError         the scene has no such target
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a value that cannot be
    """
    given = _Inputs.spot_map(
        cell=cell, standoff=standoff, tip_height=tip_height, stream_rise=stream_rise,
        oblique_from=oblique_from, too_oblique_from=too_oblique_from, hose_carried=hose_carried,
        apart=apart,
    )  # fmt: skip
    refuse(
        "spot_map",
        "" if collapse_factor is None else number_fault("collapse_factor", collapse_factor, 1, 10),
        number_fault("lay_factor", lay_factor, 1, 5),
        number_fault("best", best, 0, 100, whole=True),
        choice_fault("tip_in_zone", tip_in_zone, ("not", "accepted")),
        choice_fault("engine", engine, ("auto", "plain", "arrays")),
    )
    goal = scene.target(target)
    zone_ft = (
        rules.collapse_zone_ft(goal.building.top_ft, collapse_factor) if collapse_factor else 0.0
    )
    aim, assumed = _aim(goal, given, zone_ft)
    compass = _headings(headings)
    rig, device_notes = _rig(apparatus)
    grid = core.grid_over(_area(scene, rig, aim, area), given["cell"])
    _check_size(grid, len(compass))
    problem = _problem(
        scene, apparatus, goal, rig, aim, grid, zone_ft, given, lay_factor, tip_in_zone
    )
    ways = [scene.plan_bearing(h) for h in compass]
    use, in_rows = _engine(engine), grid.columns * grid.rows
    judged = use.judge(problem, grid, ways)
    codes, best_heading = _flat(judged.codes, "I"), _flat(judged.best, "I")
    chosen = _chosen(codes, best_heading, in_rows)
    verdicts = _verdicts(chosen, problem.costs)
    numbers = use.spread_out(judged.score, _usable(use, verdicts), grid, int(best), given["apart"])
    extension, elevation, obliquity, swept, lay = (_flat(f, "d") for f in judged.found[:5])
    found = SpotMap(
        title=f"Spots for {apparatus.name}, {goal.name}",
        scene=scene, apparatus=apparatus, target=goal, origin=(grid.x0_ft, grid.y0_ft),
        cell_ft=grid.cell_ft, columns=grid.columns, rows=grid.rows, headings_deg=compass,
        codes=codes, best=best_heading, verdicts=verdicts, extension=extension,
        elevation=elevation, obliquity=obliquity, swept=swept, lay=lay, places=(), conflicts=(),
        zone=plan.zone_outline(goal.building.corners, zone_ft) if zone_ft else (),
        zone_ft=zone_ft, standoff_ft=aim.standoff_ft, tip_height_ft=aim.tip_height_ft,
        problem=problem,
        steps=_steps(scene, goal, aim, zone_ft, collapse_factor),
        notes=_notes(
            scene, given, zone_ft, lay_factor, (*assumed, *device_notes, _slope_limit(apparatus))
        ),
        sources=_cited(scene, zone_ft),
    )  # fmt: skip
    places = tuple(_place_of(found, grid, n) for n in numbers)
    conflicts = _conflicts(found, chosen, use, grid, ways, given)
    return _with(found, places=places, conflicts=conflicts)


def _cited(scene, zone_ft):
    """Sources of what was judged: zone and lines only where there are any."""
    known = {line.volts is not None for line in scene.lines}
    return (
        *_SOURCES,
        *(_ZONE_SOURCES if zone_ft else ()),
        *(_LINE_SOURCES if True in known else ()),
        *((LINE_CLEARANCE_UNKNOWN_HIGH.source,) if False in known else ()),
    )


def _with(found, **changed):
    values = {name: getattr(found, name) for name in found.__dataclass_fields__}
    return SpotMap(**values | changed)


def _engine(name):
    if name == "plain" or (name == "auto" and find_spec("numpy") is None):
        return core
    from aerialstream._core import spots_arrays

    return spots_arrays


def _flat(values, kind):
    """An array of the standard library from nested numbers of either engine."""
    if hasattr(values, "astype"):
        made = array(kind)
        made.frombytes(values.astype("uint32" if kind == "I" else "float64").tobytes())
        return made
    return array(kind, values)


def _chosen(codes, best, places):
    """The code of every place with its best heading."""
    if len(set(best)) == 1:
        return codes[best[0] * places : (best[0] + 1) * places]
    return array("I", [codes[h * places + n] for n, h in enumerate(best)])


def _verdicts(chosen, costs):
    known = {code: core.verdict(code, costs) for code in set(chosen)}
    return bytes(map(known.__getitem__, chosen))


def _usable(use, verdicts):
    usable = [v != core.NOT for v in verdicts]
    if use is core:
        return usable
    import numpy

    return numpy.array(usable)


def _headings(headings):
    """Compass bearings from a number of them, or from a list."""
    if isinstance(headings, int) and not isinstance(headings, bool):
        refuse("spot_map", number_fault("headings", headings, 1, 360, whole=True))
        return tuple(360.0 * n / headings for n in range(headings))
    if not isinstance(headings, list | tuple) or not 1 <= len(headings) <= 360:
        refuse("spot_map", f'headings = {headings!r}: a number, or a list such as ["90 deg"]')
    read = [_Inputs.why_not("0 ft", "0 ft", heading=heading)[2] for heading in headings]
    return tuple(bearing % 360.0 for bearing in read)


def _check_size(grid, headings):
    places = grid.columns * grid.rows * headings
    if places > _MOST_PLACES:
        refuse(
            "spot_map",
            f"{places:,} places and headings: at most {_MOST_PLACES:,}; take larger cells, fewer "
            "headings or a smaller area",
        )


def _area(scene, rig, aim, area):
    """(left, bottom, right, top) of the part of the plan to judge."""
    if area is not None:
        try:
            box = tuple(in_unit(part, Need("length", "foot")) for part in area)
        except (TypeError, ValueError) as error:
            box = refuse("spot_map", f"area = {area!r}: {error}; needed: four lengths with units")
        if len(box) != 4 or not (box[0] < box[2] and box[1] < box[3]):
            refuse("spot_map", f"area = {area!r}: needed: left, bottom, right, top as lengths")
        return box
    reach = rig.most_ft + rig.reach_heel_ft + aim.standoff_ft + 10
    least_x, least_y, most_x, most_y = scene.extent()
    box = (
        max(least_x, aim.x - reach),
        max(least_y, aim.y - reach),
        min(most_x, aim.x + reach),
        min(most_y, aim.y + reach),
    )
    return box if box[0] < box[2] and box[1] < box[3] else (aim.x, aim.y, aim.x + 1, aim.y + 1)


def _rig(apparatus):
    """The device as plain numbers, and notes on what nobody entered."""
    print_, plain = footprint(apparatus), plain_rig(apparatus)
    pads = _plain_points(print_.pad_centres or ())
    edge = _feet(apparatus.stabilisers.pad) / 2 if pads and apparatus.stabilisers.pad else 0.0
    lowest, low_note = _lowest_elevation(apparatus, plain.elevation_deg[0])
    return core.Rig(
        root_height_ft=_feet(apparatus.turntable_height),
        reach_height_ft=plain.height_ft,
        reach_heel_ft=plain.offset_ft,
        least_ft=plain.extension_ft[0],
        most_ft=plain.extension_ft[1],
        lowest_deg=lowest,
        highest_deg=plain.elevation_deg[1],
        nozzle_up_deg=plain.travel.up_deg,
        nozzle_down_deg=plain.travel.down_deg,
        levels=plain.levels,
        chassis=_plain_points(print_.chassis or ()),
        pads=pads,
        pad=((-edge, -edge), (edge, -edge), (edge, edge), (-edge, edge)) if edge else ((0.0, 0.0),),
    ), [note.text for note in (*plain.notes, *print_.notes)] + [low_note]


def _lowest_elevation(apparatus, of_the_device):
    """(lowest elevation in deg that is taken, where it comes from): the range, or the entry."""
    conditions = apparatus.manual_conditions
    entered = conditions and conditions.elevation_at_least
    if entered is None:
        said = f"its range; of the manual's own limit: {NOT_ENTERED}."
        return of_the_device, f"Lowest elevation {of_the_device:g} deg, {said}"
    lowest = max(of_the_device, _degrees(entered))
    return lowest, f"Lowest elevation {lowest:g} deg; entered {show(entered)} ({conditions.page})."


def _plain_points(points):
    return tuple((_feet(x), _feet(y)) for x, y in points)


def _feet(value):
    return float(value.to("foot").magnitude)


def _degrees(value):
    return float(value.to("degree").magnitude)


def _aim(goal, given, zone_ft):
    """Where the tip is to stand, and what was assumed for it."""
    assumed, roof = [], goal.side is None
    standoff, tip_height = given["standoff"], given["tip_height"]
    if standoff is None:
        standoff = USUAL_STANDOFF_FT if roof else max(USUAL_STANDOFF_FT, zone_ft)
        assumed.append(
            both(
                lambda pen: (
                    f"Tip {pen.shown(standoff, 'length')} from the "
                    f"{'middle of the hole, level' if roof else 'wall, square to it'} (not given)."
                )
            )
        )
    if tip_height is None:
        tip_height = goal.height_ft + (ABOVE_ROOF_FT if roof else 0.0)
        assumed.append(
            both(
                lambda pen: (
                    f"Tip {pen.shown(tip_height, 'length')} above ground, "
                    f"{'above the roof' if roof else 'the height of the middle of the opening'} "
                    "(not given)."
                )
            )
        )
    if roof and given["rise"] is not None:
        refuse("spot_map", "stream_rise: a hole in the roof has no head to rise under")
    out = (0.0, 0.0) if roof else goal.side.normal
    left = (0.0, 0.0) if roof else goal.side.left_end
    return core.Aim(
        x=goal.at[0], y=goal.at[1], height_ft=goal.height_ft, head_ft=goal.head_ft,
        out_x=out[0], out_y=out[1], standoff_ft=standoff, tip_height_ft=tip_height,
        rise_deg=given["rise"], left_x=left[0], left_y=left[1],
        face_ft=0.0 if roof else goal.side.length_ft,
    ), assumed  # fmt: skip


def _problem(scene, apparatus, goal, rig, aim, grid, zone_ft, given, lay_factor, tip_in_zone):
    reach = max((math.hypot(x, y) for x, y in (*rig.chassis, *rig.pads)), default=0.0) + 5
    bounds = (
        grid.x0_ft - reach,
        grid.y0_ft - reach,
        grid.x0_ft + grid.columns * grid.cell_ft + reach,
        grid.y0_ft + grid.rows * grid.cell_ft + reach,
    )
    hard = [s.corners for s in scene.streets]
    hard += [g.corners for g in scene.ground if g.kind == "paved"]
    limit = apparatus.manual_conditions and apparatus.manual_conditions.slope_up_to
    limit = None if limit is None else _degrees(limit)
    sloping = [g for g in scene.ground if g.slope_deg]
    beyond = [g for g in sloping if limit is not None and g.slope_deg > limit + 1e-9]
    standing = [(b.corners, b.top_ft) for b in scene.buildings]
    standing += [(o.corners, o.height_ft) for o in scene.obstacles]
    standing += [(hydrant_corners(h), HYDRANT_HEIGHT_FT) for h in scene.hydrants]
    return core.Problem(
        rig=rig,
        aim=aim,
        building=goal.building.corners,
        zone_ft=zone_ft,
        zone=_zone(goal, zone_ft),
        blocks=tuple(core.block(p, top) for c, top in standing for p in plan.convex_pieces(c)),
        wires=_wires(scene),
        hydrants=tuple(h.at for h in scene.hydrants),
        lay_factor=float(lay_factor),
        hose_ft=given["hose"],
        off_hard=tuple(core.patch(p) for p in plan.trapezoids(hard, bounds, inside=False)),
        soft=_patches(g for g in scene.ground if g.kind == "soft"),
        hollow=_patches(g for g in scene.ground if g.kind == "hollow"),
        slope_beyond=_patches(beyond),
        slope_no_limit=_patches(sloping if limit is None else ()),
        sloping=_patches(g for g in sloping if g.uphill_deg is not None),
        oblique_deg=given["oblique"],
        too_oblique_deg=given["too_oblique"],
        low_deg=LOW_ELEVATION.value,
        long_share=LONG_SHARE.value,
        costs=core.COSTS | (core.TIP_IN_ZONE if tip_in_zone == "accepted" else 0),
    )


def _zone(goal, zone_ft):
    if not zone_ft:
        return ()
    return (core.patch(plan.zone_outline(goal.building.corners, zone_ft)),)


def _patches(ground):
    return tuple(
        core.patch(piece, () if g.uphill_deg is None else core.heading_vector(g.uphill_deg))
        for g in ground
        for piece in plan.convex_pieces(g.corners)
    )


def _clearance_ft(volts):
    return rules.kept_from_line_ft(None if volts is None else volts / 1000)


def _line_step(pen, line):
    """What is kept from a line on this plan, and by which rules; never rounded down."""

    def ft(feet):
        return shown_up(quantity(feet, "foot"), pen.system)

    kept = ft(_clearance_ft(line.volts))
    if line.volts is None:
        return f"Kept from {line.id}, voltage unknown: {kept}, the farthest that any rule asks"
    kilovolts = line.volts / 1000
    asked = (
        rules.crane_rule_ft(kilovolts),
        rules.firefighter_rule_ft(kilovolts),
        rules.firefighter_rule_full_ft(kilovolts),
    )
    crane, over, full = map(ft, asked)
    return (
        f"Kept from {line.id}, {kilovolts:g} kV: {kept}, the largest of {crane} (crane rule) and "
        f"{over} or {full} (firefighters' rule, its two readings)"
    )


def _wires(scene):
    return tuple(
        core.Wire((*a, line.height_ft), (*b, line.height_ft), _clearance_ft(line.volts),
                  line.volts is not None)
        for line in scene.lines
        for a, b in zip(line.points, line.points[1:], strict=False)
        if a != b
    )  # fmt: skip


def _steps(scene, goal, aim, zone_ft, factor):
    def write(pen):
        said = []
        if zone_ft:
            top = pen.number(goal.building.top_ft, "length")
            said.append(
                f"Collapse zone = {factor:g} × {top} = {pen.of(zone_ft, 'length')} from the wall, "
                "measured to its top"
            )
        for line in scene.lines:
            said.append(_line_step(pen, line))
        if aim.rise_deg is not None:
            farthest = core.steepest_standoff_ft(aim.head_ft, aim.tip_height_ft, aim.rise_deg)
            slope = math.tan(math.radians(aim.rise_deg))
            said.append(
                f"Tip at most ({pen.number(aim.head_ft, 'length')} - "
                f"{pen.number(aim.tip_height_ft, 'length')}) / {slope:.4f} = "
                f"{pen.of(farthest, 'length')} before the opening, for a rise of "
                f"{aim.rise_deg:g} deg under its head"
            )
        return said

    return worked(write)


def _notes(scene, given, zone_ft, lay_factor, assumed):
    notes = [Note("caution", MAP_CAUTION)]
    notes.append(
        Note(
            "caution",
            "The ladder is judged where it works. Look at the way there yourself: up for lines, "
            "down for vaults, round for people.",
        )
    )
    notes.append(
        Note(
            "caution",
            "Whether the stream carries from the tip to the target, how near it passes a line, and "
            "what the ladder bears there, is not judged here.",
        )
    )
    if zone_ft:
        notes.append(
            Note(
                "caution",
                "How deep the collapse zone is, is the incident commander's call. It is that of the "
                "target's building alone, measured on the plan, whatever the height of the tip.",
            )
        )
    else:
        notes.append(Note("caution", "No collapse zone was asked for: none is judged."))
    if any(line.volts is None for line in scene.lines):
        notes.append(
            Note(
                "caution",
                "A line's voltage is not known: ask its owner. Until then it is kept as far from "
                "as from the highest.",
            )
        )
    if scene.hydrants:
        judged = "" if given["hose"] is not None else " Hose not given: the lay is not judged."
        notes.append(
            Note(
                "estimate",
                f"Supply lay: straight to the nearest hydrant × {lay_factor:g} (no source).{judged}",
            )
        )
        notes.append(_HYDRANT_SIZE)
    notes.append(
        Note(
            "estimate",
            f"Low and long: below {LOW_ELEVATION.value:g} deg and more than {LONG_SHARE.value:.0%} of "
            "the longest extension (our numbers, no source). A low angle is not the gentle case in itself.",
        )
    )
    if any(t.side is not None for t in scene.targets):
        notes.append(_oblique_note(given))
    notes.append(_ORDER)
    notes += [Note("estimate", text) for text in assumed]
    notes += [Note("estimate", _sentence(text)) for text in scene.assumed]
    return tuple(notes)


_HYDRANT_SIZE = Note(
    "estimate",
    both(
        lambda pen: (
            f"A hydrant is taken as {tenth(HYDRANT_ACROSS_FT, pen.system)} across and "
            f"{tenth(HYDRANT_HEIGHT_FT, pen.system)} high (assumed), and is in the way of chassis "
            "and pads."
        )
    ),
)
_ORDER = Note(
    "estimate",
    "Order of the spots: the fewest costs first; among places with as many, a shorter ladder and a "
    "chassis more nearly in line with it (our own order, no source). Which cost weighs most is yours "
    "to say.",
)


def _oblique_note(given):
    """From where an oblique stream costs, and from where it rules a place out."""
    seen = math.cos(math.radians(given["too_oblique"]))
    return Note(
        "estimate",
        f"Off square to the wall: a cost beyond {given['oblique']:g} deg, ruled out beyond "
        f"{given['too_oblique']:g} deg, where an opening shows {seen:.0%} of its width (our numbers, "
        "no source).",
    )


def _why_before(one, two, system):
    """What puts one place before another, in words."""
    counts = [len(place.findings) for place in (one, two)]
    if counts[0] != counts[1]:
        return f"fewer costs: {counts[0]} against {counts[1]}"
    said = []
    if one.extension_ft < two.extension_ft - 0.05:
        lengths = (tenth(place.extension_ft, system) for place in (one, two))
        said.append(f"a shorter ladder, {' against '.join(lengths)}")
    off = [_off_line_deg(place) for place in (one, two)]
    if off[0] < off[1] - 0.5:
        said.append(
            f"the chassis more nearly in line with the ladder, {off[0]:.0f} deg off against "
            f"{off[1]:.0f} deg"
        )
    return f"as many costs; {', and '.join(said) or 'alike but for the place'}"


def _off_line_deg(place):
    """How far the ladder lies off the chassis, over nose or tail."""
    if len(place.chassis) < 4:
        return 0.0
    (ax, ay), (bx, by) = place.chassis[1:3]
    way = math.atan2(ax - bx, ay - by)
    ladder = math.atan2(place.tip[0] - place.x_ft, place.tip[1] - place.y_ft)
    off = abs(math.degrees(ladder - way)) % 180
    return min(off, 180 - off)


def _slope_limit(apparatus):
    """What the department entered of slopes, for the notes; where the slope is taken."""
    limit = apparatus.manual_conditions and apparatus.manual_conditions.slope_up_to
    where = "Slope is taken under the turntable's centre alone"
    if limit is None:
        return f"{where}; slope limit of {apparatus.name}: {NOT_ENTERED}."
    return f"{where}; entered limit {show(limit)} ({apparatus.manual_conditions.page})."


def _sentence(text):
    """What a plan assumed, as a sentence in either unit system."""

    def write(pen):
        said = in_system(text, pen.system)
        return f"{said[0].upper()}{said[1:]}."

    return both(write)


def _place_of(found, grid, number):
    """One place of the map, with its best heading."""
    row, column = divmod(number, grid.columns)
    return _judged_at(
        found,
        grid.x0_ft + column * grid.cell_ft,
        grid.y0_ft + row * grid.cell_ft,
        found.headings_deg[found.best[number]],
    )


def _why_not(found):
    def at(x, y, heading):
        x_ft, y_ft, bearing = _Inputs.why_not(x, y, heading)
        if bearing is not None:
            return _judged_at(found, x_ft, y_ft, bearing % 360.0)
        ways = [found.scene.plan_bearing(h) for h in found.headings_deg]
        problem = _around(found, x_ft, y_ft)
        tried = core.judge(problem, core.Grid(x_ft, y_ft, 1.0, 1, 1), ways)
        best = found.headings_deg[tried.best[0]]
        said = (
            f"Heading not given: of {len(ways)} all round, {best:.5g} deg has the least against it."
        )
        return _judged_at(found, x_ft, y_ft, best, (Note("estimate", said),))

    return at


def _judged_at(found, x_ft, y_ft, heading_deg, notes=()):
    problem, rig = _around(found, x_ft, y_ft), found.problem.rig
    way = found.scene.plan_bearing(heading_deg)
    judged = core.judge(problem, core.Grid(x_ft, y_ft, 1.0, 1, 1), [way])
    here, code = core.Found(*(values[0] for values in judged.found)), judged.codes[0]
    reached = not code & core.NOT_REACHED
    aim, tip = problem.aim, (here.tip_x, here.tip_y, problem.aim.tip_height_ft)
    chassis = plan.placed(rig.chassis, x_ft, y_ft, way)
    pads = tuple(
        plan.placed([(cx + px, cy + py) for px, py in rig.pad], x_ft, y_ft, way)
        for cx, cy in rig.pads
    )
    return Place(
        title="One place",
        verdict=VERDICTS[core.verdict(code, problem.costs)],
        findings=findings_of(found, code, Spot(here, x_ft, y_ft, chassis, pads)),
        x_ft=x_ft, y_ft=y_ft, heading_deg=heading_deg, code=code,
        extension_ft=here.extension_ft if reached else None,
        elevation_deg=here.elevation_deg if reached else None,
        tip=tip if reached else None,
        stream_ft=math.dist(tip, (aim.x, aim.y, aim.height_ft)) if reached else None,
        side=found.target.side.letter if found.target.side else "",
        obliquity_deg=_or_none(here.obliquity_deg), swept=_or_none(here.swept_share),
        lay_ft=_or_none(here.lay_ft), chassis=chassis, pads=pads,
        steps=_place_steps(problem, here, x_ft, y_ft) if reached else (),
        notes=(*notes, Note("caution", MAP_CAUTION)),
        sources=found.sources,
    )  # fmt: skip


def _around(found, x_ft, y_ft):
    """The problem with the free ground worked out around one place, which may lie off the grid."""
    rig, scene = found.problem.rig, found.scene
    reach = max((math.hypot(x, y) for x, y in (*rig.chassis, *rig.pads)), default=0.0) + 5
    bounds = (x_ft - reach, y_ft - reach, x_ft + reach, y_ft + reach)
    hard = [s.corners for s in scene.streets]
    hard += [g.corners for g in scene.ground if g.kind == "paved"]
    free = tuple(core.patch(p) for p in plan.trapezoids(hard, bounds, inside=False))
    return found.problem._replace(off_hard=free)


def _or_none(value):
    return None if math.isnan(value) else value


def _place_steps(problem, here, x_ft, y_ft):
    """How long the ladder is: how far out and how far up from its heel pin."""
    rig, aim = problem.rig, problem.aim
    rise = aim.tip_height_ft - rig.reach_height_ft
    level = math.hypot(here.tip_x - x_ft, here.tip_y - y_ft)
    out = level - rig.reach_heel_ft
    # What the ladder's foot and a platform make of the nozzle's place, before the ladder counts.
    pin = "the heel pin, a platform's own place counted with it," if rig.levels else "the heel pin"
    sign, ahead = ("-", rig.reach_heel_ft) if rig.reach_heel_ft > 0 else ("+", -rig.reach_heel_ft)

    def write(pen):
        def ft(value):
            return pen.number(value, "length")

        return (
            f"Out from {pin} to the tip, level (from the turntable's centre, then what the pin lies "
            f"behind or ahead of it): {ft(level)} {sign} {ft(ahead)} = {pen.of(out, 'length')}",
            f"Up from {pin} to the tip: {ft(aim.tip_height_ft)} - {ft(rig.reach_height_ft)} = "
            f"{pen.of(rise, 'length')}",
            f"Extension = √({ft(out)}^2 + {ft(abs(rise))}^2) = {pen.of(here.extension_ft, 'length')}",
        )

    return worked(write)


def _conflicts(found, chosen, use, grid, ways, given):
    """What cannot be had together, in words."""
    said, aim = [], found.problem.aim
    if aim.rise_deg is not None and found.zone_ft:
        farthest = core.steepest_standoff_ft(aim.head_ft, aim.tip_height_ft, aim.rise_deg)
        if farthest < found.zone_ft - 1e-6:
            said.append(both(lambda pen: _steep_or_clear(pen, aim, farthest, found.zone_ft)))
    if min(found.verdicts) == core.NOT:
        said.append(f"No place is free of faults. {_in_the_way(chosen, found.problem.costs)}")
        if found.zone_ft:
            said.append(_without_zone(found, use, grid, ways, given))
    return tuple(said)


def _steep_or_clear(pen, aim, farthest, zone):
    return (
        f"A stream that rises {aim.rise_deg:g} deg under the head wants the tip within "
        f"{tenth(farthest, pen.system)} of the opening; the collapse zone wants it beyond "
        f"{tenth(zone, pen.system)}. Both cannot be had: another stream, another opening, or the "
        "incident commander decides about the zone."
    )


def _in_the_way(chosen, costs):
    """The fewest faults that places in front of the target have, and the commonest of those."""
    elsewhere = core.FACES_AWAY | core.TOO_FAR
    counted = {}
    for code in chosen:
        wrong = code & ~costs
        if not code & elsewhere:
            counted[wrong] = counted.get(wrong, 0) + 1
    if not counted:
        return "The ladder reaches the target from nowhere on this part of the plan."
    fewest = min(code.bit_count() for code in counted)
    alike = [code for code in counted if code.bit_count() == fewest]
    said = []
    for wrong in sorted(alike, key=lambda c: -counted[c])[:2]:
        words = " and ".join(c.short for c in codes_of(wrong))
        said.append(f"{words} ({counted[wrong]:,} place{'s' if counted[wrong] > 1 else ''})")
    return f"What comes nearest to it: {'; '.join(said)}."


def _without_zone(found, use, grid, ways, given):
    """What the same plan gives with no collapse zone and the tip at its usual distance."""
    aim = found.problem.aim
    if given["standoff"] is None:
        aim = aim._replace(standoff_ft=USUAL_STANDOFF_FT)
    problem = found.problem._replace(aim=aim, zone_ft=0.0, zone=())
    judged = use.judge(problem, grid, ways)
    codes, best = _flat(judged.codes, "I"), _flat(judged.best, "I")
    chosen = _chosen(codes, best, grid.columns * grid.rows)
    usable = sum(1 for code in chosen if not code & ~problem.costs)

    def write(pen):
        zone, roof = tenth(found.zone_ft, pen.system), found.target.side is None
        tip = f"{tenth(aim.standoff_ft, pen.system)} {'level ' if roof else ''}from the "
        tip += "hole's middle" if roof else "wall, square to it,"
        if not usable:
            return (
                f"The collapse zone ({zone}) is not all: without it, and with the tip {tip} "
                f"there is no place either. {_in_the_way(chosen, problem.costs)}"
            )
        places = "1 place" if usable == 1 else f"{usable:,} places"
        return (
            f"{places} would do with the tip {tip} were it not for the collapse "
            f"zone ({zone}). This target from these streets and a rig and tip outside the zone "
            "cannot both be had: another target, another side, or the incident commander decides."
        )

    return both(write)


@dataclass(frozen=True, kw_only=True)
class TipStandoffs(Explained):
    """How near the steep stream wants the tip, and how far off the collapse zone wants it.

    farthest is for the stream, zone_edge for the zone, both in ft; both_can_be says whether one
    distance meets the two.
    """

    farthest: Any
    zone_edge: Any
    both_can_be: bool

    def lines(self, system="US"):
        """The two distances and whether they agree, as (label, text) pairs."""
        return (
            ("The stream wants the tip within", show(self.farthest, system)),
            ("The collapse zone wants it beyond", show(self.zone_edge, system)),
            ("Both", "can be had" if self.both_can_be else "cannot be had"),
        )

    def __repr__(self):
        return self.text()


@quantities(
    wall_top=_LENGTH,
    opening_head=_LENGTH,
    tip_height=Need("length", "foot", at_least=0, at_most=5_000),
    stream_rise=NeedLike("angle", "degree", above=0, at_most=85, like="14 deg"),
)
def tip_standoffs(wall_top, *, opening_head, tip_height, stream_rise, collapse_factor=1.5):
    """Where the tip may stand: near enough for a steep stream, clear of the collapse zone.

    A stream that is to strike a ceiling steeply through an opening wants the tip close:
    (head - tip) / tan(rise). A wall that may fall wants it far: factor × height to the top.

    Takes
      wall_top         height of the wall to the top of its parapet; any length unit; usual unit ft
      opening_head     top of the opening; any length unit; usual unit ft
      tip_height       tip above ground; any length unit; usual unit ft
      stream_rise      how steeply the stream rises through the opening; any angle unit
      collapse_factor  depth of the zone as a multiple of the height, a plain number: 1, 1.5 or
                       2, the incident commander's call
    Gives
      TipStandoffs     farthest and zone_edge in ft, and whether both can be had
    Holds for
      a straight stream; the tip's distance measured along the stream, on the level
    How close
      the stream's sag is left out: close in it is small, and the stream needs a little more rise
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a length, angle or factor that cannot be
    Sources
      first_principles_aerial_geometry: a line under the head;
      dunn_collapse_zone: once, one and a half times or twice the height;
      practice_collapse_zone: to the top of the parapet
    Check value
      >>> print(show(tip_standoffs("16 ft", opening_head="9 ft", tip_height="4.51 ft", stream_rise="14 deg").zone_edge))
      24 ft
    """
    refuse("tip_standoffs", number_fault("collapse_factor", collapse_factor, 1, 10))
    zone = rules.collapse_zone_ft(wall_top, collapse_factor)
    farthest = core.steepest_standoff_ft(opening_head, tip_height, stream_rise)
    slope = math.tan(math.radians(stream_rise))

    def write(pen):
        zone_said = (
            f"Collapse zone: {collapse_factor:g} × {pen.number(wall_top, 'length')} = "
            f"{pen.of(zone, 'length')}"
        )
        if farthest == 0:
            return zone_said, "The tip is not below the head: no stream rises through the opening"
        return zone_said, (
            f"Tip at most, at {slope:.6f} up for each one along: "
            f"({pen.number(opening_head, 'length')} - {pen.number(tip_height, 'length')}) / "
            f"{slope:.6f} = {pen.of(farthest, 'length')}"
        )

    return TipStandoffs(
        title="Where the tip may stand",
        farthest=quantity(farthest, "foot"),
        zone_edge=quantity(zone, "foot"),
        both_can_be=farthest >= zone - 1e-9,
        steps=worked(write),
        notes=(
            Note("caution", "How deep the zone is, is the incident commander's call."),
            Note("caution", MAP_CAUTION),
        ),
        sources=(
            "first_principles_aerial_geometry",
            "dunn_collapse_zone",
            "practice_collapse_zone",
        ),
    )
