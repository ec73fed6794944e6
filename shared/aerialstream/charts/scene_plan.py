"""Plan of a scene to scale, and of a rig set down on it: ladder, stream, zones, supply.

Everything is told apart by shape or pattern and named in words; colour only helps.
"""

from math import atan2, cos, hypot, radians, sin

from aerialstream._core import plan_geometry as plan
from aerialstream._plan_words import in_words as in_full
from aerialstream._plan_words import slope_words
from aerialstream.charts.labels import text_width, wrapped
from aerialstream.charts.nearby import Nearby, evenly
from aerialstream.charts.plan_frame import Frame, clipped_line, dotted, hatch, scale_bar
from aerialstream.charts.svg import FINE, Picture
from aerialstream.constants import LINE_CLEARANCE_UNKNOWN_HIGH
from aerialstream.units import quantity, show

WIDTH, SIDE = 720, 10
TALLEST, LOWEST = 500.0, 260.0  # px of the plan itself
MARGIN_FT = 14.0
NEAR_FT = 165.0  # what lies farther off than this from all buildings is left out
GROUND_WORDS = {"soft": "soft ground", "hollow": "hollow ground", "paved": "paved ground"}


def length(feet, system):
    """A length as it is printed."""
    return show(quantity(feet, "foot"), system)


def whole(feet, system):
    """A length to the whole foot or metre, for what is only about so long."""
    unit = "meter" if system == "metric" else "foot"
    return show(quantity(round(quantity(feet, "foot").to(unit).magnitude), unit), system)


def kept_from_line_ft(line):
    """What has to be kept from an overhead line, as the spot map keeps it."""
    if line.volts is None:
        return LINE_CLEARANCE_UNKNOWN_HIGH.value
    from aerialstream.clearances import line_clearance  # pint comes with it

    return line_clearance(quantity(line.volts / 1000, "kilovolt")).value.magnitude


def line_words(line, system):
    """An overhead line in words: voltage, height, what to keep."""
    volts = (
        "voltage not known" if line.volts is None else show(quantity(line.volts / 1000, "kilovolt"))
    )
    return (
        f"overhead line, {volts}",
        f"{length(line.height_ft, system)} up, keep {length(kept_from_line_ft(line), system)}",
    )


def ground_words(ground, system="US"):
    """A patch of ground in words."""
    kind = "" if ground.kind in ground.what else f" ({ground.kind})"
    said = ground.what + ("" if ground.kind == "paved" else kind)
    if ground.slope_deg:
        said += f", slope {slope_words(ground.slope_deg)}"
    return said


def describe(scene, place=None, target=None, system="US"):
    """What the plan shows, with its key numbers, for those who cannot see it."""
    said = [f"Plan of {scene.name}, seen from above."]
    said += [f"An {', '.join(line_words(line, system))}." for line in scene.lines]
    bad = [ground_words(g, system) for g in scene.ground if g.kind != "paved"]
    if bad:
        said.append(f"Bad ground: {', '.join(bad)}.")
    if target is not None:
        said.append(f"Target: {target.name}.")
    if place is not None:
        said.append(f"Rig heading {place.heading_deg:.5g} deg: {in_full(place.verdict)}.")
        if place.extension_ft is not None:
            said.append(
                f"Ladder {length(place.extension_ft, system)} at {place.elevation_deg:.0f} deg, "
                f"stream {length(place.stream_ft, system)} from the tip to the target."
            )
    return " ".join(said)


def scene_rows(scene, *, place=None, spots=None, system="US"):
    """What the plan shows as (label, text) pairs, for the table below it."""
    rows = [("Scene", f"{scene.name}: {scene.what}" if scene.what else scene.name)]
    rows += [
        (
            b.name,
            f"{length(b.top_ft, system)} to the top of its walls, sides {', '.join(b.letters)}",
        )
        for b in scene.buildings
    ]
    rows += [(line.id, " ".join(line_words(line, system))) for line in scene.lines]
    rows += [("Ground", ground_words(g, system)) for g in scene.ground]
    rows += [(f"Obstacle: {o.id}", f"{length(o.height_ft, system)} high") for o in scene.obstacles]
    rows += [(f"Target: {t.name}", _target_words(t, system)) for t in scene.targets]
    if spots is not None and spots.zone_ft:
        rows.append(("Collapse zone", length(spots.zone_ft, system)))
    if place is not None:
        rows += place.lines(system)
    rows += [("Assumed", text) for text in scene.assumed]
    return tuple(rows)


def _target_words(target, system):
    if target.side is None:
        return f"hole in the roof, {length(target.height_ft, system)} up"
    sill, head = length(target.sill_ft, system), length(target.head_ft, system)
    return f"side {target.side.letter}, sill {sill}, head {head}"


def wall_reach(apparatus, place, target):
    """How far along the target's wall the tip can touch from a place, at the target's height.

    A ScrubReach, or None for a hole in the roof.
    """
    if target.side is None:
        return None
    from aerialstream.aerials import scrub_half_width

    away, _ = _before_wall(place, target)
    return scrub_half_width(
        apparatus,
        standoff=quantity(max(away, 0.0), "foot"),
        height=quantity(target.height_ft, "foot"),
    )


def _before_wall(place, target):
    """(distance of the turntable before the wall's plane, the point of the plane before it)."""
    nx, ny = target.side.normal
    away = (place.x_ft - target.at[0]) * nx + (place.y_ft - target.at[1]) * ny
    return away, (place.x_ft - away * nx, place.y_ft - away * ny)


def scene_plan(scene, *, place=None, spots=None, target=None, scrub=None, around=None, system="US"):
    """A scene seen from above, to scale; with a place also the rig, its ladder and the stream.

    Takes
      scene    a Scene
      place    a Place, as a SpotMap's `places` or `why_not` give it; None shows the scene alone
      spots    the SpotMap it comes from: names the rig and gives the target and the collapse zone
      target   id of a target of the scene; None takes that of `spots`, or marks them all
      scrub    a ScrubReach, as `wall_reach` gives it, to show the wall that the tip can touch
      around   part of the plan to show, (left, bottom, right, top) in ft, wider where the rig
               stands outside; None takes what matters
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    aimed = scene.target(target) if target is not None else spots.target if spots else None
    part = _with_rig(around, place) if around else part_of(scene, place, aimed)
    head = _head_lines(scene, place, spots, aimed, system)
    top = 14 + sum(size + 5 for _, size, _ in head)
    wide = WIDTH - 2 * SIDE
    high = min(TALLEST, max(LOWEST, (part[3] - part[1]) / (part[2] - part[0]) * wide))
    frame = Frame(part, (SIDE, top, WIDTH - SIDE, top + high))
    picture = Picture(WIDTH, 0, describe(scene, place, aimed, system))
    view = SceneView(picture, frame, scene, system, rig_shown=place is not None)
    view.under(zone=spots.zone if spots else (), of=aimed.building if aimed else None)
    view.over((aimed,) if aimed else scene.targets)
    if place is not None:
        view.rig(place, aimed)
    if scrub is not None and scrub.half_width is not None:
        view.scrub(place, aimed, scrub)
    view.words(zone_ft=spots.zone_ft if spots else 0)
    write_head(picture, head)
    picture.height = round(view.foot())
    return picture


def part_of(scene, place, target):
    """What is worth seeing: buildings, obstacles, targets, the rig, hydrants that are not far."""
    points = [p for b in scene.buildings for p in b.corners]
    if target is not None and place is not None:
        points = [p for p in target.building.corners]
    if place is not None:
        points += [*place.chassis, *(c for pad in place.pads for c in pad)]
        points.append((place.x_ft, place.y_ft))
        points += [place.tip[:2]] if place.tip else []
    left, bottom, right, top = plan.box(points or [(0, 0), (100, 100)])
    reach = MARGIN_FT if place is not None else NEAR_FT
    box = (left - reach, bottom - reach, right + reach, top + reach)
    if place is None:  # no farther than there is anything
        ends = scene.extent()
        box = (
            max(box[0], ends[0] - 6), max(box[1], ends[1] - 6),
            min(box[2], ends[2] + 6), min(box[3], ends[3] + 6),
        )  # fmt: skip
    for hydrant in scene.hydrants:
        x, y = hydrant.at
        far = max(box[0] - x, x - box[2], box[1] - y, y - box[3])
        if 0 < far + 14 < (60 if place is None else 70):
            box = (
                min(box[0], x - 14),
                min(box[1], y - 14),
                max(box[2], x + 14),
                max(box[3], y + 14),
            )
    return box


def _with_rig(part, place):
    """A part of the plan, widened where it would cut the rig."""
    if place is None:
        return part
    left, bottom, right, top = plan.box([*place.chassis, *(c for pad in place.pads for c in pad)])
    edge = 5.0
    return (
        min(part[0], left - edge), min(part[1], bottom - edge),
        max(part[2], right + edge), max(part[3], top + edge),
    )  # fmt: skip


def _head_lines(scene, place, spots, target, system):
    """The words over the plan, as (text, size, bold)."""
    name = scene.name if spots is None else f"{scene.name}, {spots.apparatus.name}"
    lines = [(name, 17, True)]
    said = []
    if target is not None and (place is not None or spots is not None):
        said.append(f"Target: {target.name}.")
    if place is not None:
        said.append(f"This place: {in_full(place.verdict)}.")
        wrong = [f.code.short for f in place.findings if f.wrong]
        costs = [f.code.short for f in place.findings if not f.wrong]
        said += [f"Wrong: {'; '.join(wrong)}."] if wrong else []
        said += [f"Costs: {'; '.join(costs)}."] if costs else []
    elif scene.what:
        said.append(scene.what[0].upper() + scene.what[1:] + ".")
    lines += [(line, 14, False) for line in wrapped(" ".join(said), 14, WIDTH - 2 * SIDE)]
    return lines


def write_head(picture, lines):
    """Write the words over a plan, as (text, size, bold)."""
    y = 8
    for words, size, bold in lines:
        y += size + 5
        picture.text((SIDE, y - 3), words, "ink", size, "start", bold)


class SceneView:
    """Draws a scene in a Frame of a Picture: first the ground, then things, then the words."""

    def __init__(self, picture, frame, scene, system, rig_shown=False):
        self.picture, self.frame, self.scene, self.system = picture, frame, scene, system
        self.rig_shown = rig_shown
        self.labels = Nearby(picture, frame.box)
        self.key = {}  # words of the legend -> what draws its sign
        self._wanted = []  # words for later: (rank, at, words, options)
        self.zone_at = ()
        self._fall_marks = []
        self.buildings = []  # their boxes on the page
        self._taken = []  # where targets stand: no side letter there

    # --- the ground -----------------------------------------------------------------------------

    def under(self, zone=(), of=None):
        """Streets, ground, the collapse zone and the band to keep from lines."""
        self._streets()
        for ground in self.scene.ground:
            self._ground(ground)
        if zone and of is not None:
            rings = [self.frame.corners(zone), self.frame.corners(of.corners)]
            self.picture.strokes(hatch(rings, 11, 45), "push", 1.1)
            self._outline(zone, "push", 2.4, "9 5")
            self.zone_at = rings[0]
            self.key["collapse zone"] = _zone_sign
        for line in self.scene.lines:
            for band in self._bands(line):
                self.picture.strokes(hatch([band], 8, -45), "across", 1)
                self.key["distance to keep from the line"] = _band_sign

    def _streets(self):
        """One shape: edges first, so that only the outer ones stay."""
        shown = [c for c in (self.frame.corners(s.corners) for s in self.scene.streets) if c]
        for street in self.scene.streets:
            self._outline(street.corners, "steel", 2.6)
        self.picture.area(shown, "paper")
        self.picture.area(shown, "steel", 0.16)
        if shown:
            self.key["street or yard: a rig may stand here"] = _street_sign

    def _outline(self, corners, colour, width, dash=""):
        for start, end in plan.edges(corners):
            piece = self.frame.piece(start, end)
            if piece:
                self.picture.line(*piece, colour, width, dash)

    def _bands(self, line):
        keep = kept_from_line_ft(line)
        for start, end in zip(line.points, line.points[1:], strict=False):
            if start != end:
                band = self.frame.corners(plan.strip(start, end, 2 * keep))
                if band:
                    yield band

    def _ground(self, ground):
        corners = self.frame.corners(ground.corners)
        if not corners:
            return
        if ground.kind == "soft":
            self.picture.spots(dotted([corners], 9), "ink", 2.4)
            self.key["soft ground"] = _soft_sign
        elif ground.kind == "hollow":
            self.picture.polygon(corners, fill="paper")
            for turn in (45, -45):
                self.picture.strokes(hatch([corners], 5, turn), "ink", 1)
            self.key["hollow ground"] = _hollow_sign
        self._outline(ground.corners, "ink" if ground.kind != "paved" else "steel", 1.2)
        if ground.kind != "paved":
            self._ground_name(ground, corners)
        if ground.slope_deg and ground.uphill_deg is not None:
            self._fall(ground, corners)

    def _ground_name(self, ground, corners):
        box = plan.box(corners)
        wide, high = box[2] - box[0], box[3] - box[1]
        cut = any(abs(a - b) < 0.5 for a, b in zip(box, self.frame.box, strict=True))
        if cut and min(wide, high) < 60:
            return  # a sliver at the edge: its pattern stands in the legend
        self._want(
            4, _middle(corners), evenly(ground_words(ground, self.system), 14, 160),
            gap=(wide / 2, high / 2), inside=corners, outside=True,
        )  # fmt: skip

    def _fall(self, ground, corners):
        """An arrow the way a slope falls."""
        box = plan.box(corners)
        down = radians(ground.uphill_deg + 180)
        ux, uy = sin(down), -cos(down)
        room = (box[2] - box[0]) if abs(ux) > abs(uy) else (box[3] - box[1])
        half = min(26.0, room / 2 - 4)
        if half < 8:
            return
        across = (box[3] - box[1]) if abs(ux) > abs(uy) else (box[2] - box[0])
        for share in (0.78, 0.22, 0.6, 0.4):  # not in the middle, where a name may want to stand
            shift = (share - 0.5) * across
            long = (share - 0.5) * (room - 2 * half - 8) * 0.9
            middle = _middle_of_box(box)
            at = (middle[0] - uy * shift + ux * long, middle[1] + ux * shift + uy * long)
            alone = all(hypot(at[0] - x, at[1] - y) > 40 for x, y in self._fall_marks)
            if alone and not self._on_other_ground(ground, at):
                break
        start, end = (at[0] - ux * half, at[1] - uy * half), (at[0] + ux * half, at[1] + uy * half)
        self.picture.arrow(start, end, "ink", 2, "5 3", 10)
        self.labels.keep_off([start, end])
        self._fall_marks.append(at)
        self._want(3, at, f"falls {slope_words(ground.slope_deg)}", gap=6)
        self.key["the way the ground falls"] = _fall_sign

    def _on_other_ground(self, ground, at):
        """Whether a smaller patch lies there, whose own fall the arrow would seem to tell."""
        own = abs(plan.signed_area_sq_ft(ground.corners))
        return any(
            plan.point_in_polygon(*at, [self.frame.px(c) for c in other.corners])
            for other in self.scene.ground
            if other is not ground and abs(plan.signed_area_sq_ft(other.corners)) < own
        )

    # --- things ---------------------------------------------------------------------------------

    def over(self, targets):
        """Buildings, obstacles, lines, hydrants and targets."""
        self._taken = [self.frame.px(t.at) for t in targets]
        for building in self.scene.buildings:
            self._building(building)
        for obstacle in self.scene.obstacles:
            self._obstacle(obstacle)
        for line in self.scene.lines:
            self._line(line)
        for hydrant in self.scene.hydrants:
            self._hydrant(hydrant)
        for target in targets:
            self._target(target)

    def _building(self, building):
        corners = self.frame.corners(building.corners)
        if not corners:
            return
        self.picture.polygon(corners, fill="paper")
        self.picture.polygon(corners, fill="steel", opacity=0.42)
        self._outline(building.corners, "ink", 3)
        self.buildings.append(plan.box(corners))
        for side in plan.edges(corners):
            self.labels.keep_off(side)
        for letter in building.letters:
            side = building.side(letter)
            piece = self.frame.piece(side.left_end, side.right_end)
            if piece is None or hypot(*(b - a for a, b in zip(*piece, strict=True))) < 20:
                continue
            (x0, y0), (x1, y1) = piece
            nx, ny = side.normal
            for share in (0.5, 0.36, 0.64, 0.22, 0.78, 0.12):
                x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
                at = (x - nx * 13, y + ny * 13)
                if all(hypot(at[0] - tx, at[1] - ty) > 26 for tx, ty in self._taken):
                    break
            self.labels.keep_clear(at, 9)
            self.picture.circle(at, 9.5, fill="paper", stroke="ink", width=1.8)
            self.picture.text((at[0], at[1] + 5), letter, "ink", 14, "middle", bold=True)
        name = [building.name, f"{length(building.top_ft, self.system)} high"]
        box = self.buildings[-1]
        reach = ((box[2] - box[0]) / 2, (box[3] - box[1]) / 2)
        self._want(2, _middle(corners), name, bold=True, inside=corners, gap=reach)
        self.key["building, side letters in discs"] = _building_sign

    def _obstacle(self, obstacle):
        corners = self.frame.corners(obstacle.corners)
        if not corners:
            return
        self.picture.polygon(corners, fill="paper", stroke="ink", width=1.8)
        box = plan.box(corners)
        if obstacle.kind == "car" and len(corners) == 4:
            self.picture.polygon(_inner(corners, 0.55), fill="ink", opacity=0.85)
            self.key["vehicle"] = _car_sign
        elif obstacle.kind == "tree":
            self.picture.circle(_middle(corners), max(2.0, (box[2] - box[0]) / 5), "ink")
            self.key["tree"] = _tree_sign
        else:
            for a, b in ((0, 2), (1, 3)) if len(corners) == 4 else ((0, 4), (2, 6)):
                if b < len(corners):
                    self.picture.line(corners[a], corners[b], "ink", 1.2)
            self.key["obstacle"] = _obstacle_sign
        self.labels.keep_off([corners[0], corners[len(corners) // 2]])
        self._want(
            6, _middle(corners), f"{obstacle.id}, {length(obstacle.height_ft, self.system)}",
            gap=((box[2] - box[0]) / 2, (box[3] - box[1]) / 2), size=FINE, outside=True,
        )  # fmt: skip

    def _line(self, line):
        shown = []
        for start, end in zip(line.points, line.points[1:], strict=False):
            piece = self.frame.piece(start, end)
            if piece is None:
                continue
            self.picture.line(*piece, "paper", 6)
            self.picture.line(*piece, "across", 2.6)
            (x0, y0), (x1, y1) = piece
            long = hypot(x1 - x0, y1 - y0)
            if long:
                ux, uy = (x1 - x0) / long, (y1 - y0) / long
                ticks = [
                    ((x0 + ux * d + uy * 5, y0 + uy * d - ux * 5),
                     (x0 + ux * d - uy * 5, y0 + uy * d + ux * 5))
                    for d in range(14, int(long), 28)
                ]  # fmt: skip
                self.picture.strokes(ticks, "across", 2.2)
            shown.append(piece)
            self.labels.keep_off(piece, 6)
            self.key["overhead line"] = _line_sign
        if shown:
            (x0, y0), (x1, y1) = max(
                shown, key=lambda p: hypot(p[1][0] - p[0][0], p[1][1] - p[0][1])
            )
            at = (x0 + 0.2 * (x1 - x0), y0 + 0.2 * (y1 - y0))
            more = [(x0 + s * (x1 - x0), y0 + s * (y1 - y0)) for s in (0.8, 0.5, 0.35, 0.65, 0.1)]
            self._want(
                1, at, line_words(line, self.system), colour="across", gap=8, bold=True, more=more
            )
            return
        for band in self._bands(line):
            keep = length(kept_from_line_ft(line), self.system)
            words = [f"keep {keep}", "from the line", "outside this picture"]
            self._want(1, _middle(band), words, colour="across", size=FINE, inside=band)

    def _hydrant(self, hydrant):
        if self.frame.holds(hydrant.at, 8):
            x, y = self.frame.px(hydrant.at)
            _hydrant_sign(self.picture, x, y)
            self.labels.keep_clear((x, y), 8)
            self._want(5, (x, y), "hydrant", colour="along", gap=7, size=FINE, outside=True)
        elif not self.rig_shown:
            self._beyond(hydrant)

    def _beyond(self, hydrant):
        """An arrow at the edge toward a hydrant that lies outside of the picture."""
        left, top, right, bottom = self.frame.box
        x, y = self.frame.px(hydrant.at)
        middle = self.frame.centre
        edge = (min(max(x, left + 16), right - 16), min(max(y, top + 16), bottom - 16))
        way = atan2(y - middle[1], x - middle[0])
        start = (edge[0] - 22 * cos(way), edge[1] - 22 * sin(way))
        self.picture.arrow(start, edge, "along", 3)
        self.labels.keep_clear(((start[0] + edge[0]) / 2, (start[1] + edge[1]) / 2), 14)
        self._want(5, start, "hydrant, outside this picture", colour="along", gap=12, size=FINE)

    def _target(self, target):
        if not self.frame.holds(target.at):
            return
        x, y = self.frame.px(target.at)
        if target.side is not None:
            along = [
                b - a for a, b in zip(target.side.left_end, target.side.right_end, strict=True)
            ]
            half = target.width_ft / 2 / target.side.length_ft
            ends = [
                self.frame.px([c + s * d for c, d in zip(target.at, along, strict=True)])
                for s in (-half, half)
            ]
            self.picture.line(*ends, "paper", 6)
            self.picture.line(*ends, "push", 3)
        for radius in (9, 4):
            self.picture.circle((x, y), radius, "none" if radius == 4 else "paper", "push", 2.4)
        self.picture.circle((x, y), 1.5, "push", "push")
        self.labels.keep_clear((x, y), 10)
        words = evenly(target.name, 14, 190, bold=True)
        self._want(0, (x, y), words, colour="push", gap=10, bold=True)
        self.key["target"] = _target_sign

    # --- the rig --------------------------------------------------------------------------------

    def rig(self, place, target=None, small=False):
        """A rig at a place: pads, chassis, turntable, ladder, tip, stream, supply lay."""
        centre = self.frame.px((place.x_ft, place.y_ft))
        self._lay(place, centre)
        chassis = [self.frame.px(c) for c in place.chassis]
        pads = [[self.frame.px(c) for c in pad] for pad in place.pads]
        for pad in pads:
            self._beam(pad, chassis)
        if chassis:
            self._chassis(chassis)
        for pad in pads:
            self._pad(pad)
        if place.tip is not None:
            self._ladder(place, centre, target)
        elif target is not None:
            end = self.frame.px(target.at)
            self.picture.line(centre, end, "ink", 1.6, "2 6")
            self._want(
                1, _middle([centre, end]), ["no ladder drawn:", "it does not get there"], gap=6
            )
        self.picture.circle(centre, 7, fill="paper", stroke="ink", width=3)
        self.labels.keep_clear(centre, 9)
        self._want(2, centre, "turntable", gap=9, outside=True)

    def _beam(self, pad, chassis):
        """The arm from the chassis out to a pad, square to the chassis."""
        if not chassis:
            return
        middle = _middle(pad)
        front = _middle(chassis[:2])
        rear = _middle(chassis[2:])
        ax, ay = rear[0] - front[0], rear[1] - front[1]
        share = ((middle[0] - front[0]) * ax + (middle[1] - front[1]) * ay) / (ax * ax + ay * ay)
        self.picture.line((front[0] + share * ax, front[1] + share * ay), middle, "ink", 3)

    def _chassis(self, chassis):
        a, b, c, d = chassis
        self.picture.polygon(chassis, fill="paper", stroke="ink", width=2.2)
        back = 0.17
        nose = [a, b, *(tuple(p + back * (q - p) for p, q in zip(s, e, strict=True)) for s, e in ((b, c), (a, d)))]  # fmt: skip
        self.picture.polygon(nose, fill="ink", opacity=0.85)
        for start, end in plan.edges(chassis):
            self.labels.keep_off([start, end])
        self._want(3, _middle([a, b]), "cab", gap=8)
        self.key["chassis, filled end is the cab"] = _chassis_sign

    def _pad(self, pad):
        if len(pad) >= 3:
            self.picture.polygon(pad, fill="ink", stroke="paper", width=1)
        else:
            self.picture.circle(pad[0], 4, fill="ink", stroke="paper", width=1)
        self.labels.keep_clear(_middle(pad), 6)
        self.key["stabiliser pad"] = _pad_sign

    def _ladder(self, place, centre, target):
        tip = self.frame.px(place.tip[:2])
        long = hypot(tip[0] - centre[0], tip[1] - centre[1])
        if long > 1:
            ux, uy = (tip[0] - centre[0]) / long, (tip[1] - centre[1]) / long
            self.picture.line(centre, tip, "paper", 13)
            rails = [
                [(p[0] + s * uy * 4, p[1] - s * ux * 4) for p in (centre, tip)] for s in (-1, 1)
            ]
            rungs = [
                ((centre[0] + ux * d + uy * 4, centre[1] + uy * d - ux * 4),
                 (centre[0] + ux * d - uy * 4, centre[1] + uy * d + ux * 4))
                for d in range(10, int(long), 9)
            ]  # fmt: skip
            self.picture.strokes(rungs, "ink", 1.3)
            for rail in rails:
                self.picture.line(*rail, "ink", 2)
        self.labels.keep_off([centre, tip], 6)
        if target is not None:
            self._stream(tip, self.frame.px(target.at))
        self.picture.circle(tip, 5, fill="ink", stroke="paper", width=1.5)
        self.labels.keep_clear(tip, 7)
        words = [
            f"ladder {length(place.extension_ft, self.system)}",
            f"at {place.elevation_deg:.0f} deg",
        ]
        self._want(1, _middle([centre, tip]), words, gap=10, bold=True)
        if long > 26:
            self._want(3, tip, "tip", gap=7)
        self.key["ladder, tip and stream"] = _ladder_sign

    def _stream(self, tip, end):
        dx, dy = end[0] - tip[0], end[1] - tip[1]
        long = hypot(dx, dy)
        if long < 3:
            return
        ux, uy = dx / long, dy / long
        self.picture.polygon(
            [(tip[0] + uy * 1.5, tip[1] - ux * 1.5), (end[0] + uy * 4, end[1] - ux * 4),
             (end[0] - uy * 4, end[1] + ux * 4), (tip[0] - uy * 1.5, tip[1] + ux * 1.5)],
            fill="water", stroke="paper",
        )  # fmt: skip
        self.labels.keep_off([tip, end], 6)

    def _lay(self, place, centre):
        """The supply lay, straight to the nearest hydrant as the number is worked out."""
        if place.lay_ft is None or not self.scene.hydrants:
            return
        nearest = min(
            self.scene.hydrants, key=lambda h: hypot(h.at[0] - place.x_ft, h.at[1] - place.y_ft)
        )
        piece = self.frame.piece((place.x_ft, place.y_ft), nearest.at)
        if piece is None:
            return
        self.picture.line(*piece, "paper", 5)
        self.picture.line(*piece, "along", 2.6, "1 6")
        self.labels.keep_off(piece, 6)
        words = [f"supply lay about {whole(place.lay_ft, self.system)}"]
        if self.frame.holds(nearest.at, 8):
            _hydrant_sign(self.picture, *piece[1])
        else:
            words.append("to a hydrant outside this picture")
            self.picture.arrow(_towards(piece[1], piece[0], 20), piece[1], "along", 3)
        at = tuple(a + 0.6 * (b - a) for a, b in zip(*piece, strict=True))
        self._want(2, at, words, colour="along", gap=4, outside=True)
        self.key["supply lay, straight on the plan"] = _lay_sign

    def scrub(self, place, target, reach):
        """The part of the target's wall that the tip can touch, and how far the turntable turns."""
        _, foot = _before_wall(place, target)
        side = target.side
        along = [
            (b - a) / side.length_ft for a, b in zip(side.left_end, side.right_end, strict=True)
        ]
        centre = self.frame.px((place.x_ft, place.y_ft))
        half, nearest = (q.to("foot").magnitude for q in (reach.half_width, reach.nearest))
        start = sum((f - e) * a for f, e, a in zip(foot, side.left_end, along, strict=True))
        nx, ny = side.normal
        for low, high in ((start - half, start - nearest), (start + nearest, start + half)):
            low, high = max(low, 0.0), min(high, side.length_ft)
            if high <= low:
                continue
            ends = [
                self.frame.px([e + d * a for e, a in zip(side.left_end, along, strict=True)])
                for d in (low, high)
            ]
            off = [(x + nx * 7, y - ny * 7) for x, y in ends]
            piece = _in_box(off, self.frame.box)
            if piece:
                self.picture.line(*piece, "paper", 8)
                self.picture.line(*piece, "water", 5, "3 6")
                self.labels.keep_off(piece, 6)
            edge = ends[0] if low < start - nearest else ends[1]
            sweep = _in_box([centre, edge], self.frame.box)
            if sweep:
                self.picture.line(*sweep, "water", 1.4, "8 5")
        words = [
            "tip can touch the wall up to",
            f"{show(reach.half_width, self.system)} left and right",
        ]
        self._want(2, self.frame.px(foot), words, colour="water", gap=12)
        self.key["wall the tip can touch"] = _scrub_sign

    # --- words ----------------------------------------------------------------------------------

    def _want(self, rank, at, words, *, inside=(), more=(), gap=0.0, outside=False, **look):
        options = (inside, more, {"gap": gap, "off": self.buildings if outside else ()})
        self._wanted.append((rank, len(self._wanted), at, words, options, look))

    def words(self, zone_ft=0.0):
        """Set and paint all the words; what finds no room goes to the list below."""
        self._north()
        if zone_ft and self.zone_at:
            words = f"collapse zone {length(zone_ft, self.system)}"
            spots = [_towards(p, _middle(self.zone_at), 16) for p in _along(self.zone_at)]
            if not self.labels.centred(spots, words, colour="push", size=14, bold=True):
                self.labels.left_out.append(words)
        for _, _, at, words, options, look in sorted(self._wanted, key=lambda w: w[:2]):
            self._set(at, words, options, look)
        left, top, right, bottom = self.frame.box
        self.picture.polygon(
            [(left, top), (right, top), (right, bottom), (left, bottom)], stroke="ink", width=1.2
        )
        self.labels.draw()

    def _set(self, at, words, options, look):
        inside, more, room = options
        lines = [words] if isinstance(words, str) else list(words)
        if inside and self.labels.centred(_grid(inside, lines, look), words, **look):
            return
        self.labels.beside_one_of((at, *more), words, **room, **look)

    def _north(self):
        x, y = self.frame.box[2] - 26, self.frame.box[1] + 30
        way = radians(self.scene.north_deg)
        ux, uy = sin(way), -cos(way)
        self.picture.circle((x, y), 22, fill="paper", stroke="ink", width=1.2)
        self.picture.arrow((x - ux * 18, y - uy * 18), (x + ux * 5, y + uy * 5), "ink", 2.4)
        self.picture.text((x + ux * 13, y + uy * 13 + 5), "N", "ink", FINE, "middle", bold=True)
        self.labels.keep_clear((x, y), 24)

    def foot(self, extra=()):
        """Scale bar, legend, and what found no room; gives the height that the page needs."""
        y = self.frame.box[3] + 36
        scale_bar(self.picture, (SIDE + 4, y), self.frame.scale, self.system)
        y += 14
        entries = [*self.key.items(), *extra]
        column, wide = 0, (WIDTH - 2 * SIDE) / 2
        for words, sign in entries:
            x = SIDE + column * wide
            sign(self.picture, x + 18, y + 10)
            self.picture.text((x + 44, y + 15), words, "ink", FINE)
            y += 24 * column
            column = 1 - column
        y += 24 * column
        for words in self.labels.left_out:
            for line in wrapped(f"Also here: {words}", FINE, WIDTH - 2 * SIDE):
                self.picture.text((SIDE, y + 16), line, "ink", FINE)
                y += 19
        return y + 12


def _in_box(ends, box):
    return clipped_line(*ends, box)


def _middle(points):
    return sum(p[0] for p in points) / len(points), sum(p[1] for p in points) / len(points)


def _middle_of_box(box):
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def _inner(corners, share):
    middle = _middle(corners)
    return [tuple(m + share * (c - m) for c, m in zip(p, middle, strict=True)) for p in corners]


def _towards(point, middle, by):
    far = hypot(middle[0] - point[0], middle[1] - point[1]) or 1.0
    return tuple(p + by * (m - p) / far for p, m in zip(point, middle, strict=True))


def _along(corners):
    """Points along the sides of a polygon, the longest side first."""
    sides = sorted(plan.edges(corners), key=lambda s: -hypot(s[1][0] - s[0][0], s[1][1] - s[0][1]))
    for start, end in sides[:14]:
        for share in (0.5, 0.3, 0.7, 0.2, 0.8):
            yield tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))


def _grid(corners, lines, look):
    """Points inside of a polygon where words of this size would lie wholly inside its box."""
    size = look.get("size", 14)
    wide = max(text_width(line, size, look.get("bold", False)) for line in lines) / 2
    high = len(lines) * (size + 4) / 2
    left, top, right, bottom = plan.box(corners)
    if right - left < 2 * wide + 8 or bottom - top < 2 * high + 6:
        return
    for up in (0.5, 0.3, 0.7, 0.15, 0.85):
        for over in (0.5, 0.3, 0.7, 0.15, 0.85):
            x = left + wide + 4 + over * (right - left - 2 * wide - 8)
            y = top + high + 3 + up * (bottom - top - 2 * high - 6)
            if plan.point_in_polygon(x, y, corners):
                yield x, y


# --- signs of the legend: each draws itself around a point ---------------------------------------


def _box(x, y, half_wide=15, half_high=8):
    return [
        (x - half_wide, y - half_high), (x + half_wide, y - half_high),
        (x + half_wide, y + half_high), (x - half_wide, y + half_high),
    ]  # fmt: skip


def _street_sign(picture, x, y):
    picture.polygon(_box(x, y), fill="steel", opacity=0.16, stroke="steel", width=1.2)


def _zone_sign(picture, x, y):
    picture.strokes(hatch([_box(x, y)], 11, 45), "push", 1.1)
    picture.line((x - 15, y + 8), (x + 15, y + 8), "push", 2.4, "9 5")


def _band_sign(picture, x, y):
    picture.strokes(hatch([_box(x, y)], 8, -45), "across", 1)


def _soft_sign(picture, x, y):
    picture.spots(dotted([_box(x, y)], 9), "ink", 2.4)
    picture.polygon(_box(x, y), stroke="ink", width=1.2)


def _hollow_sign(picture, x, y):
    for turn in (45, -45):
        picture.strokes(hatch([_box(x, y)], 5, turn), "ink", 1)
    picture.polygon(_box(x, y), stroke="ink", width=1.2)


def _fall_sign(picture, x, y):
    picture.arrow((x - 15, y), (x + 15, y), "ink", 2, "5 3", 10)


def _building_sign(picture, x, y):
    picture.polygon(_box(x, y), fill="steel", opacity=0.42, stroke="ink", width=2.4)


def _car_sign(picture, x, y):
    picture.polygon(_box(x, y, 12, 6), fill="paper", stroke="ink", width=1.8)
    picture.polygon(_box(x, y, 6.6, 3.3), fill="ink", opacity=0.85)


def _tree_sign(picture, x, y):
    picture.circle((x, y), 8)
    picture.circle((x, y), 2, fill="ink")


def _obstacle_sign(picture, x, y):
    box = _box(x, y, 11, 7)
    picture.polygon(box, fill="paper", stroke="ink", width=1.8)
    picture.line(box[0], box[2], "ink", 1.2)
    picture.line(box[1], box[3], "ink", 1.2)


def _line_sign(picture, x, y):
    picture.line((x - 15, y), (x + 15, y), "across", 2.6)
    picture.strokes([((x + d, y - 5), (x + d, y + 5)) for d in (-8, 8)], "across", 2.2)


def _hydrant_sign(picture, x, y):
    picture.polygon([(x, y - 8), (x + 8, y), (x, y + 8), (x - 8, y)], fill="along", stroke="paper")
    picture.polygon(
        [(x - 4, y - 1.2), (x + 4, y - 1.2), (x + 4, y + 1.2), (x - 4, y + 1.2)], "paper"
    )


def _target_sign(picture, x, y):
    picture.circle((x, y), 9, "paper", "push", 2.4)
    picture.circle((x, y), 4, "none", "push", 2.4)


def _chassis_sign(picture, x, y):
    picture.polygon(_box(x, y, 15, 5), fill="paper", stroke="ink", width=2)
    picture.polygon(_box(x - 11.5, y, 3.5, 5), fill="ink", opacity=0.85)


def _pad_sign(picture, x, y):
    picture.polygon(_box(x, y, 5, 5), fill="ink")


def _ladder_sign(picture, x, y):
    for off in (-4, 4):
        picture.line((x - 16, y + off), (x + 4, y + off), "ink", 2)
    picture.strokes([((x + d, y - 4), (x + d, y + 4)) for d in (-12, -4)], "ink", 1.3)
    picture.polygon([(x + 4, y - 1.5), (x + 18, y - 4), (x + 18, y + 4), (x + 4, y + 1.5)], "water")
    picture.circle((x + 4, y), 4, fill="ink", stroke="paper")


def _lay_sign(picture, x, y):
    picture.line((x - 15, y), (x + 15, y), "along", 2.6, "1 6")


def _scrub_sign(picture, x, y):
    picture.line((x - 14, y), (x + 14, y), "water", 5, "3 6")


__all__ = ["describe", "scene_plan", "scene_rows", "wall_reach"]
