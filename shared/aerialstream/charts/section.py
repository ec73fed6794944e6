"""Side view of a building with a stream in it, to scale, from what `water_use` gives.

What is cut (openings, canopies, roof, walls) lies on the line of the stream over the ground. The
page shows distance from the wall and height; a stream turned out of square looks shorter here.
"""

from itertools import pairwise
from math import atan2, cos, hypot, radians, sin

from aerialstream._core.application import D90_IN_SIGMAS, spread_ft
from aerialstream.charts.cut import (
    ceiling_height,
    cut_of,
    drawn_to,
    middle_to,
    roof_height,
    roof_profile,
    use_of,
    window_of,
)
from aerialstream.charts.labels import Labels, wrapped
from aerialstream.charts.svg import FINE, Picture
from aerialstream.units import quantity, show

WIDTH, SIDE = 720, 14
TALLEST, LOWEST = 400.0, 150.0  # px of the view itself
BELOW = 112  # px under the ground: distances, scale bar, a line of words
DROPS = 12
CEILINGS = ("ceiling", "layer above the tile")
SKETCH = "Thin lines: a twelfth each of what comes in. Where they end is worked out, their way is a sketch."
ON_FLOOR = "Dots on the floor: where each twelfth of what comes in ends up."


def length(feet, system):
    """A length as it is printed."""
    return show(quantity(feet, "foot"), system)


def pitched(shot):
    """The pitch of a stream in words."""
    if abs(shot.pitch_deg) < 0.05:
        return "level"
    return f"{abs(shot.pitch_deg):.1f} deg {'up' if shot.pitch_deg > 0 else 'down'}"


def the(surface):
    """A surface's name with its article."""
    if surface.startswith("another"):
        return surface
    return f"a {surface}" if surface == "partition" else f"the {surface}"


def share_words(use):
    """What comes in, as words that can stand before "of the flow comes in"."""
    from aerialstream.application import in_words  # loads much; a result has loaded it already

    words = in_words(use.outcome.cleared)
    return f"a {words}" if words == "little" else words


def on_fire_words(use):
    """The picture's first line: how much of the water comes down on what burns."""
    if use.burning is None:
        return "What burns was not entered"
    return f"On what burns: {'a ' if str(use) == 'little' else ''}{use} of the water"


def strike_words(use, system):
    """What comes in and what it strikes, in a sentence."""
    outcome, inside, strike = use.outcome, use.outcome.inside, use.outcome.strike
    if outcome.cleared < 0.005:
        if strike is None:
            return "None comes in: it passes the building."
        return f"None comes in: it strikes {the(strike.surface)}."
    said = f"{share_words(use).capitalize()} of the flow comes in"
    if inside is None:
        return f"{said}. What it strikes there was not entered."
    said += (
        f"; it strikes {the(inside.surface)} {length(inside.point[0], system)} in, "
        f"at a grazing angle of {inside.grazing_angle_deg:.0f} deg."
    )
    if outcome.dropped:
        said += " Suspended tile comes down."
    if outcome.broken:
        said += " Beyond its usable reach it comes as spray."
    return said


def describe(result, system="US"):
    """One sentence with the key numbers, for the picture's label."""
    use = use_of(result)
    x, _, z = use.shot.place
    said = (
        f"Nozzle {length(-x, system)} before the wall and {length(z, system)} up, stream "
        f"{pitched(use.shot)}; {on_fire_words(use)[0].lower()}{on_fire_words(use)[1:]}; "
    )
    words = strike_words(use, system)
    return said + words[0].lower() + words[1:]


def section_rows(result, system="US"):
    """The numbers of the picture as (label, text) pairs."""
    use = use_of(result)
    view, (x, _, z) = use.view, use.shot.place
    rows = [
        *use.lines(system),
        ("Nozzle before the wall", length(-x, system)),
        ("Nozzle above the ground", length(z, system)),
        ("Stream", pitched(use.shot)),
        ("Usable reach along the stream", length(use.outcome.usable_reach_ft, system)),
    ]
    if view.opening:
        rows.append(
            (
                "Sill, head",
                f"{length(view.opening.sill_ft, system)}, {length(view.opening.head_ft, system)}",
            )
        )
    if view.room:
        ceiling = view.room.ceiling
        rows.append(("Floor of the room", length(view.room.floor_ft, system)))
        if ceiling.height_ft < float("inf"):
            rows.append((f"Ceiling, {ceiling.kind}", length(ceiling.height_ft, system)))
        else:
            rows.append(("Ceiling", f"{ceiling.kind}, the underside of the roof"))
    rows.append(("Edge of the roof", length(view.roof.eaves_ft, system)))
    return tuple(rows)


def section(result, *, ladder=None, window=None, system="US"):
    """The side view of a shot: building, stream, strike, where the water goes.

    Takes
      result   a WaterUse, or an AimFound that has a set-up
      ladder   elevation of the ladder, a quantity, to draw its end; None takes that of the
               AimFound, or draws the nozzle only
      window   what to show, of `window_of`; None takes what this shot needs
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    use = use_of(result)
    if ladder is None:
        ladder = getattr(result, "elevation", None)
    head = _head_lines(use, system)
    above = sum(1.45 * size for _, size, _ in head)
    if window is not None:  # one of a row of pictures: the same room for words in all of them
        above = max(above, 1.45 * (17 + 3 * 14))
    window = window or window_of(use)
    scale = min(
        (WIDTH - 2 * SIDE) / (window.right - window.left), TALLEST / (window.high - window.low)
    )
    top = 14 + above
    body = max(LOWEST, (window.high - window.low) * scale)
    picture = Picture(
        WIDTH, round(top + body + BELOW), f"Section of the building. {describe(use, system)}"
    )
    drawing = _Drawing(picture, use, window, scale, top + body, system)
    y = 4.0
    for words, size, bold in head:
        y += 1.45 * size
        picture.text((SIDE, y), words, "ink" if bold else "muted", size, bold=bold)
    drawing.labels.frame = (4, y + 6, WIDTH - 4, picture.height - 40)
    drawing.draw(None if ladder is None else ladder.to("degree").magnitude)
    return picture


def _head_lines(use, system):
    """The words over the picture as (text, size, bold)."""
    room = WIDTH - 2 * SIDE
    lines = [(line, 17, True) for line in wrapped(on_fire_words(use), 17, room, True)]
    lines += [(line, 14, False) for line in wrapped(strike_words(use, system), 14, room)]
    turn = use.shot.turn_deg
    if abs(turn) >= 5:
        words = (
            f"Stream turned {abs(turn):.0f} deg to the {'right' if turn > 0 else 'left'}: "
            "this view is square to the wall."
        )
        lines += [(line, 14, False) for line in wrapped(words, 14, room)]
    return lines


class _Drawing:
    """One section being drawn; the order of the calls is the order of the layers."""

    def __init__(self, picture, use, window, scale, ground, system):
        self.picture, self.use, self.view = picture, use, use.view
        self.window, self.scale, self.ground, self.system = window, scale, ground, system
        self.cut = cut_of(use)
        self.labels = Labels(picture, (0, 0, WIDTH, picture.height))
        self.left = SIDE + ((WIDTH - 2 * SIDE) - (window.right - window.left) * scale) / 2

    def at(self, x, z):
        """Page coordinates of a place."""
        return (
            self.left + (x - self.window.left) * self.scale,
            self.ground - (z - self.window.low) * self.scale,
        )

    def box(self, x0, x1, z0, z1):
        """(left, top, right, bottom) on the page, cut to the picture."""
        left, bottom = self.at(max(x0, self.window.left), z0)
        right, top = self.at(min(x1, self.window.right), z1)
        return left, top, max(right, left), bottom

    def solid(self, x0, x1, z0, z1, least=3.0):
        """A cut piece of building, at least so many px thick either way."""
        left, top, right, bottom = self.box(x0, x1, z0, z1)
        right, bottom = max(right, left + least), max(bottom, top + least)
        self.picture.polygon(
            [(left, top), (right, top), (right, bottom), (left, bottom)], fill="steel"
        )
        self.labels.keep_off([(left, bottom), (left, top), (right, top), (right, bottom)])
        return left, top, right, bottom

    def drawn(self, line, colour, width, dash="", halo=0.0):
        """A line that words rather keep off."""
        self.picture.polyline(line, colour, width, dash, halo)
        self.labels.keep_off(line)

    def draw(self, ladder_deg):
        """All layers."""
        self.drawn([(0, self.ground), (WIDTH, self.ground)], "ink", 2)
        self._distances()
        self.labels.block((0, self.ground + 32, WIDTH, self.ground + 66))
        self._walls()
        self._roof()
        self._canopies()
        if self.view.room:
            self._room()
            self._burning()
        self._water()
        self._stream(ladder_deg)
        self._words()
        self._foot()

    # --- the building ---------------------------------------------------------------------------

    def _walls(self):
        view, thick = self.view, max(self.view.wall_thickness_ft, 4 / self.scale)
        y = self.cut.y(0.0)
        eaves = max(roof_height(view.roof, 0.0, y), view.parapet_tops_ft[0])
        gaps = sorted(
            (o.sill_ft, o.head_ft)
            for o in (view.opening, *view.other_openings)
            if o is not None and o.y0_ft <= y <= o.y1_ft
        )
        low = 0.0
        for sill, head in (*gaps, (eaves, eaves)):
            if sill > low:
                self.solid(0.0, thick, low, sill)
            low = max(low, head)
        own = view.opening
        if own and not own.y0_ft <= y <= own.y1_ft:  # seen beside the line: only its outline
            for z in (own.sill_ft, own.head_ft):
                self.picture.line(self.at(-0.5, z), self.at(thick + 0.5, z), "ink", 1.5, "3 3")
        rear = view.roof.depth_ft
        if rear + 0.1 < self.window.right:
            back = max(roof_height(view.roof, rear, self.cut.y(rear)), view.parapet_tops_ft[1])
            self.solid(rear - thick, rear, 0.0, back)

    def _roof(self):
        roof = self.view.roof
        line = roof_profile(roof, self.cut)
        holes = self._holes()
        start = 0.0
        for low, high in (*holes, (roof.depth_ft, roof.depth_ft)):
            piece = _between(line, start, min(low, self.window.right))
            if len(piece) > 1:
                self.drawn([self.at(x, z + 2 / self.scale) for x, z in piece], "ink", 4)
            start = high
        struck = self.use.outcome.strike
        for low, high in holes:
            if struck is not None and struck.surface == "roof" and low <= struck.point[0] <= high:
                continue  # that strike has words of its own
            middle = (low + high) / 2
            x, y = self.at(middle, roof_height(roof, middle, self.cut.y(middle)))
            self.labels.put(
                "hole in the roof", [(x, y - 14, "middle")], colour="muted", point=(x, y)
            )

    def _holes(self):
        """(from, to) in x of the holes that the line goes through, in order."""
        return sorted(
            span
            for hole in self.view.roof.holes
            if (span := self.cut.within(hole.x0_ft, hole.x1_ft, hole.y0_ft, hole.y1_ft))
        )

    def _canopies(self):
        for canopy in self.view.canopies:
            span = self.cut.within(-canopy.projection_ft, 0.0, canopy.y0_ft, canopy.y1_ft)
            if span is None or span[1] - span[0] < 0.1:
                continue
            left, top, right, bottom = self.solid(
                *span, canopy.underside_ft, canopy.top_ft, least=4.0
            )
            self.labels.block((left, top, right, bottom))
            self.labels.put(
                canopy.what,
                [(left - 6, bottom, "end"), (left, top - 6, "start"), (left, bottom + 15, "start")],
                colour="muted",
                point=(left, bottom),
            )

    def _room(self):
        view, room = self.view, self.view.room
        if room.floor_ft > 0.1:
            self.solid(0.0, room.depth_ft, room.floor_ft - 0.7, room.floor_ft)
        top = room.depth_ft
        reach = ceiling_height(view, top, self.cut, above=True)
        if room.depth_ft < view.roof.depth_ft - 0.1:
            self.solid(room.depth_ft, room.depth_ft + 0.4, room.floor_ft, reach)
        for wall in room.partitions:
            span = self.cut.within(wall.x0_ft, wall.x1_ft, wall.y0_ft, wall.y1_ft)
            if span is None or span[1] - span[0] > 1:
                continue  # not on the line, or the line runs along it
            up = min(wall.top_ft, ceiling_height(view, span[0], self.cut, above=True))
            self.solid(span[0], span[0] + 0.3, room.floor_ft, up)
        ceiling = room.ceiling
        start, end = view.wall_thickness_ft, min(room.depth_ft, self.window.right)
        burnt = self._holes() if room.top_storey and ceiling.kind == "open deck" else []
        for low, high in (*burnt, (end, end)):
            if low > start:
                self._layer(ceiling.kind, self._ceiling_line(start, low))
            start = high
        if ceiling.kind == "suspended tile":
            start = view.wall_thickness_ft
            self._layer(ceiling.above_kind, self._ceiling_line(start, end, above=True))

    def _ceiling_line(self, start, end, above=False):
        """The underside of a ceiling, on the page."""
        stops = [x for x, _ in _between(roof_profile(self.view.roof, self.cut), start, end)]
        return [self.at(x, ceiling_height(self.view, x, self.cut, above=above)) for x in stops]

    def _layer(self, kind, line):
        """A ceiling that is told by its form: band, teeth, waves, or a broken line."""
        for up in (0, 8):
            self.labels.keep_off([(x, y - up) for x, y in line])
        if kind == "suspended tile":
            (x0, y0), (x1, _) = line[0], line[-1]
            self.picture.line((x0, y0), (x1, y0), "ink", 2.5, "9 5")
            top = self.at(0, self.view.room.ceiling.above_ft)[1]
            for n in range(1, int((x1 - x0) / 36) + 1):
                self.picture.line((x0 + 36 * n - 8, y0), (x0 + 36 * n - 8, top), "muted", 1, "1 3")
        elif kind == "joists":
            self.picture.polyline(_teeth(line, 11.0, 6.0, square=True), "ink", 1.6)
        elif kind == "open deck":
            self.picture.polyline(_teeth(line, 8.0, 4.0), "ink", 1.6)
        else:  # a slab
            (x0, y0), (x1, _) = line[0], line[-1]
            thick = max(5.0, 0.6 * self.scale)
            self.picture.polygon(
                [(x0, y0), (x1, y0), (x1, y0 - thick), (x0, y0 - thick)], "steel", "ink", 1.2
            )

    def _burning(self):
        burning, room = self.use.burning, self.view.room
        if burning is None:
            return
        front, back, left, right = burning
        box = self.box(front, back, room.floor_ft, room.floor_ft)
        box = (box[0], box[3] - max(11.0, 2.2 * self.scale), box[2], box[3])
        on_line = self.cut.within(front, back, left, right) is not None
        words = burning_words(self.use)
        if on_line:
            self.picture.patterned([box], "falling", "push", "push", 1.6)
        else:
            x0, y0, x1, y1 = box
            self.picture.polyline([(x0, y1), (x0, y0), (x1, y0), (x1, y1)], "push", 1.6, "5 4")
            aside = self.cut.y((front + back) / 2)
            first = words.partition(":")[0].partition(",")[0]
            words = f"{first}, off to the {'right' if left > aside else 'left'}"
        middle = (box[0] + box[2]) / 2
        flame(middle, box[1], self.picture)
        self.labels.block(box)
        self.labels.block((middle - 6, box[1] - 15, middle + 6, box[1]))
        self.labels.put(
            words,
            [(middle, box[3] + 18, "middle"), (box[2] + 8, box[3] - 3, "start"), (box[0] - 8, box[3] - 3, "end"), (middle + 10, box[1] - 5, "start")],
            colour="push",
            bold=True,
            point=(middle, box[3]),
        )  # fmt: skip

    # --- the water ------------------------------------------------------------------------------

    def _water(self):
        """Sheet along what is struck, and a few falls that stand for equal parts of the water."""
        outcome, inside = self.use.outcome, self.use.outcome.inside
        if outcome.parts is None or inside is None:
            return
        floor, feet = self.view.room.floor_ft, _equal_parts(outcome.parts)
        x0, _, z0 = inside.point
        leaves = [self._leaving(inside, x) for x in feet]
        sheet = sorted({(x0, z0), *leaves})
        if inside.surface == "floor":
            sheet = sorted({(x0, z0), *((x, floor) for x in feet)})
        elif inside.surface not in CEILINGS:
            sheet = [(x0, max(z0, *(z for _, z in leaves))), (x0, floor)]
        self.picture.polyline([self.at(x, z) for x, z in sheet], "water", 3.5)
        for (x, z), foot in zip(leaves, feet, strict=True):
            start, end = self.at(x, z), self.at(foot, floor)
            if inside.surface != "floor":
                fall = _fall(start, end)
                self.picture.polyline(fall, "water", 1.2)
                self.labels.keep_off(fall, 16.0)
            self.picture.circle(
                (end[0], end[1] - 2.5), 2.6, fill="water", stroke="paper", width=0.8
            )

    def _leaving(self, inside, foot):
        """Where on the surface a fall is drawn from: a sketch, only its foot is worked out."""
        x0, _, z0 = inside.point
        if inside.surface in CEILINGS:
            x = x0 + 0.6 * (foot - x0)
            return x, ceiling_height(self.view, x, self.cut, above=True)
        if inside.surface == "floor":
            return foot, z0
        away = abs(foot - x0)
        if away < 0.5 or "left" in inside.surface or "right" in inside.surface:
            return foot, z0
        return x0, ceiling_height(self.view, x0, self.cut)

    def _stream(self, ladder_deg):
        points, strike = drawn_to(self.use)
        first, reach = self._stopped(), self.use.outcome.usable_reach_ft
        if first is not None:  # the middle is stopped there; another part of the stream goes on
            other = [self.at(p[0], p[2]) for p in points]
            self.drawn(other, "water", 1.2, "3 4")
            points = [*middle_to(self.use, first.distance_along_ft)[:-1], first.point]
        points = [p for p in points if p[0] <= self.window.right and p[2] >= self.window.low - 0.5]
        page = [self.at(p[0], p[2]) for p in points]
        gone, ways = 0.0, [0.0]
        for one, other in pairwise(points):
            gone += sum((a - b) ** 2 for a, b in zip(one, other, strict=True)) ** 0.5
            ways.append(gone)
        good, rest = _split(page, ways, reach)
        self._width(page, ways, min(reach, gone))
        self.picture.polyline(good, "water", 2.4)
        if rest:
            self.picture.polyline(rest, "water", 2.4, "9 6", halo=1.0)
        self.labels.keep_off(page)
        self._tip(page, ladder_deg)
        if rest:
            x, y = rest[0]
            self.picture.line((x, y - 10), (x, y + 10), "ink", 2)
            self.labels.put(
                "usable reach ends", [(x, y - 14, "middle"), (x, y + 24, "middle")], colour="muted",
                point=(x, y),
            )  # fmt: skip
        self._marks(strike)

    def _width(self, page, ways, until):
        """The stream as wide as it is drawn in the model: nine tenths of the water."""
        upper, lower = [], []
        for n, ((x, y), way) in enumerate(zip(page, ways, strict=True)):
            (xa, ya), (xb, yb) = page[max(n - 1, 0)], page[min(n + 1, len(page) - 1)]
            long = hypot(xb - xa, yb - ya) or 1.0
            half = spread_ft(self.use.shot, way) * D90_IN_SIGMAS / 2 * self.scale
            nx, ny = (yb - ya) / long * half, -(xb - xa) / long * half
            upper.append((x + nx, y + ny))
            lower.append((x - nx, y - ny))
            if way > until:
                break
        for edge in (upper, lower):
            self.picture.polyline(edge, "water", 1)

    def _tip(self, page, ladder_deg):
        (x, y), (xn, yn) = page[0], page[1]
        long = hypot(xn - x, yn - y) or 1.0
        ahead = ((xn - x) / long, (yn - y) / long)
        if ladder_deg is not None:
            back = (-cos(radians(ladder_deg)), sin(radians(ladder_deg)))
            self._ladder((x, y), back)
        self.picture.line(
            (x - 3 * ahead[0], y - 3 * ahead[1]), (x + 13 * ahead[0], y + 13 * ahead[1]), "ink", 6
        )
        self.picture.circle((x, y), 4.5, fill="ink", stroke="paper")
        height = length(self.use.shot.place[2], self.system)
        self.labels.block((x - 8, y - 8, x + 14, y + 8))
        self.labels.put(
            f"nozzle {height} up",
            [
                (x - 4, y - 14, "start"), (x - 4, y + 24, "start"), (x + 2, y - 14, "middle"),
                (x - 14, y + 5, "end"),
            ],
            bold=True, point=(x, y),
        )  # fmt: skip

    def _ladder(self, tip, back):
        """The end of the ladder, as far as there is room."""
        far = 46.0
        across = (-back[1] * 3.5, back[0] * 3.5)
        foot = (tip[0] + back[0] * far, tip[1] + back[1] * far)
        for way in (-1, 1):
            self.picture.line(
                (tip[0] + way * across[0], tip[1] + way * across[1]),
                (foot[0] + way * across[0], foot[1] + way * across[1]), "steel", 2.2,
            )  # fmt: skip
        for n in range(1, 6):
            x, y = tip[0] + back[0] * 8 * n, tip[1] + back[1] * 8 * n
            self.picture.line(
                (x - across[0], y - across[1]), (x + across[0], y + across[1]), "steel", 1.2
            )
        self.labels.keep_off([tip, foot])

    def _stopped(self):
        """What the middle strikes where most of what comes in strikes something else, or None."""
        first, inside = self.use.outcome.strike, self.use.outcome.inside
        if first is None or inside is None or first.kind == "suspended tile":
            return None
        return None if first.surface in ("roof", inside.surface) else first

    def _marks(self, strike):
        """What the stream strikes, outside and inside."""
        first, through = self._stopped(), self.use.outcome.strike
        hits = [] if strike is None else [(strike, "strikes {}, {:.0f} deg")]
        if first is not None:
            part = "edge" if self.use.outcome.cleared < 0.5 else "most"
            hits = [
                (first, "middle strikes {}, {:.0f} deg"),
                (strike, part + " strikes {}, {:.0f} deg"),
            ]
        elif strike is not through and through.surface == "roof":
            hits.insert(0, (through, "comes through {} here, {:.0f} deg"))
        for hit, _ in hits:
            strike_mark(self.picture, at := self.at(hit.point[0], hit.point[2]))
            self.labels.block((at[0] - 8, at[1] - 8, at[0] + 8, at[1] + 8))
        for hit, words in hits:
            x, y = self.at(hit.point[0], hit.point[2])
            below, above = (x, y + 26, "middle"), (x, y - 16, "middle")
            beside = [(x - 14, y + 5, "end"), (x + 14, y + 5, "start")]
            slanted = [
                (x - 12, y + 22, "end"),
                (x + 12, y - 14, "start"),
                (x + 12, y + 22, "start"),
                (x - 12, y - 14, "end"),
            ]
            places = [above, *beside, below] if hit.direction[2] < 0 else [below, *beside, above]
            if hit.surface == "roof":
                places.insert(0, (x + 12, y + 22, "start"))
            self.labels.put(
                words.format(the(hit.surface), hit.grazing_angle_deg), [*places, *slanted],
                bold=True, point=(x, y),
            )  # fmt: skip

    # --- words and measures ---------------------------------------------------------------------

    def _distances(self):
        """Distances from the wall, below the ground."""
        y = self.ground + 42
        tip, wall = self.at(self.use.shot.place[0], 0)[0], self.at(0, 0)[0]
        self._measure(tip, wall, y, length(-self.use.shot.place[0], self.system))
        inside = self.use.outcome.inside or self.use.outcome.strike
        if inside is not None and inside.point[0] > 0.3:
            end = self.at(inside.point[0], 0)[0]
            self._measure(wall, end, y, f"{length(inside.point[0], self.system)} in")
            start = self.at(*inside.point[::2])[1] + 9
            if start < self.ground:
                self.picture.line((end, start), (end, y), "muted", 0.8, "1 4")

    def _measure(self, x0, x1, y, words):
        for x in (x0, x1):
            self.picture.line((x, y - 6), (x, y + 6), "ink", 1.4)
        self.picture.line((x0, y), (x1, y), "ink", 1.2)
        middle = (x0 + x1) / 2
        self.labels.block((min(x0, x1) - 2, y - 8, max(x0, x1) + 2, y + 3))
        places = [(middle, y + 17, "middle"), (x1 + 8, y + 17, "start")]
        if self.labels.put(words, places):
            left, top, right, bottom = self.labels.taken[-1]
            self.labels.block((left - 12, top, right + 12, bottom))

    def _words(self):
        """Heights of opening, ceiling, floor and roof."""
        room, names = self.view.room, self._opening_names()
        if room:
            end = self.at(min(room.depth_ft, self.window.right), 0)[0]
            names += self._ceiling_names(end)
            x, y = self.at(0, room.floor_ft)
            if room.floor_ft > 0.1:
                spots = [(end - 14, y + 18, "end"), (x + 14, y + 18, "start")]
                names.append((f"floor {length(room.floor_ft, self.system)}", spots, (x, y, end, y)))
        for words, places, point in (*names, *self._roof_names()):
            self.labels.put(words, places, colour="muted", point=point)

    def _opening_names(self):
        """(words, places, what they speak of) for head and sill."""
        own, names = self.view.opening, []
        if own:
            for what, height, lower in (("head", own.head_ft, -3), ("sill", own.sill_ft, 12)):
                x, y = self.at(0, height)
                words = f"{what} {length(height, self.system)}"
                if height > 0.1:
                    names.append((words, [(x - 6, y + lower, "end")], (x, y)))
        return names

    def _roof_names(self):
        """The same for edge, parapet and ridge."""
        roof, top = self.view.roof, self.view.parapet_tops_ft[0]
        x, y = self.at(0, max(top, roof.eaves_ft))
        right, edge = self.at(min(roof.depth_ft, self.window.right), roof.eaves_ft)
        words = f"{'eaves' if roof.ridge_along else 'roof'} {length(roof.eaves_ft, self.system)}"
        if top > roof.eaves_ft + 0.01:
            words += f", parapet {length(top, self.system)}"
        names = []
        if roof.ridge_along:
            high = f"ridge {length(roof.ridge_ft, self.system)}"
            xr, yr = max((self.at(*p) for p in roof_profile(roof, self.cut)), key=lambda p: -p[1])
            names.append((high, [(xr, yr - 10, "middle"), (xr - 8, yr - 4, "end")], None))
        places = [(right - 4, edge - 9, "end"), (x - 6, y + 4, "end"), (x + 8, y - 8, "start")]
        return [*names, (words, places, None)]

    def _ceiling_names(self, end):
        ceiling, names = self.view.room.ceiling, []
        start = self.at(0, 0)[0] + 14
        layers = [(ceiling.kind, ceiling.height_ft)]
        if ceiling.above_kind:
            layers = [(ceiling.above_kind, ceiling.above_ft), *layers]
        for kind, height in layers:
            if height == float("inf"):
                x, y = self.at(
                    self.view.room.depth_ft / 4,
                    ceiling_height(self.view, self.view.room.depth_ft / 4, self.cut),
                )
                names.append((kind, [(x, y + 28, "start"), (end - 10, y + 40, "end")], None))
                continue
            y = self.at(0, height)[1]
            spots = [
                (end - 14, y + 15, "end"),
                (start, y + 15, "start"),
                ((start + end) / 2, y + 15, "middle"),
                (end - 14, y - 10, "end"),
                (start, y - 10, "start"),
            ]
            names.append((f"{kind} {length(height, self.system)}", spots, (start, y, end, y)))
        return names

    def _foot(self):
        height = self.picture.height
        feet = 10.0 if self.system == "US" else 3.0 / 0.3048
        if feet * self.scale < 26:
            feet *= 2
        self.picture.scale_bar((SIDE, height - 32), feet * self.scale, length(feet, self.system))
        inside = self.use.outcome.inside
        if self.use.outcome.parts is not None and inside is not None:
            words = ON_FLOOR if inside.surface == "floor" else SKETCH
            self.picture.text((SIDE, height - 8), words, "muted", FINE)


# --- small shapes -----------------------------------------------------------------------------


def strike_mark(picture, at):
    """A ring with a cross: where the middle of the stream strikes."""
    x, y = at
    picture.circle(at, 7, fill="paper", stroke="ink", width=2)
    picture.line((x - 4, y - 4), (x + 4, y + 4), "ink", 2)
    picture.line((x - 4, y + 4), (x + 4, y - 4), "ink", 2)


def flame(x, y, picture):
    """A small flame that stands on (x, y)."""
    shape = [(0, 0), (-5, -3), (-5, -8), (-2, -6), (0, -14), (3, -8), (5, -9), (5, -3)]
    picture.polygon([(x + a, y + b) for a, b in shape], fill="push")


def burning_words(use):
    """What burns, in words. A marked target that says that it is no fire is not called one."""
    room = use.view.room
    entered = room.burning if room is not None else None
    if entered is None or tuple(use.burning) != entered[:4] or not entered.id:
        return "burning"
    return entered.id if "no fire" in entered.id else f"burning: {entered.id}"


def _equal_parts(parts):
    """x of DROPS falls that stand for equal parts of the water, in order."""
    rows = parts if isinstance(parts, list) else zip(*(p.tolist() for p in parts[:3]), strict=True)
    rows = sorted((row[0], row[2]) for row in rows)
    whole = sum(share for _, share in rows)
    found, gone = [], 0.0
    for x, share in rows:
        gone += share
        while len(found) < DROPS and gone >= whole * (len(found) + 0.5) / DROPS:
            found.append(x)
    return found


def _fall(start, end):
    """A curve that starts level and comes down steep, on the page."""
    out = []
    for n in range(9):
        t = n / 8
        x = start[0] + (end[0] - start[0]) * (1 - (1 - t) ** 2)
        out.append((x, start[1] + (end[1] - start[1]) * t * t))
    return out


def _between(line, start, end):
    """The part of an (x, z) line from start to end in x."""
    out = []
    for (x0, z0), (x1, z1) in pairwise(line):
        low, high = max(x0, start), min(x1, end)
        if high <= low:
            continue
        slope = (z1 - z0) / (x1 - x0)
        piece = [(x, z0 + slope * (x - x0)) for x in (low, high)]
        out += piece if not out else piece[1:]
    return out


def _split(page, ways, reach):
    """The drawn path as (up to the usable reach, beyond it); they share the point between."""
    if ways[-1] <= reach:
        return page, []
    for n in range(1, len(ways)):
        if ways[n] >= reach:
            share = (reach - ways[n - 1]) / (ways[n] - ways[n - 1] or 1.0)
            (x0, y0), (x1, y1) = page[n - 1], page[n]
            between = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
            return [*page[:n], between], [between, *page[n:]]
    return page, []


def _teeth(line, every, high, square=False):
    """A line with teeth or waves on its upper side, on the page."""
    out = []
    for (x0, y0), (x1, y1) in pairwise(line):
        angle = atan2(y1 - y0, x1 - x0)
        up = (sin(angle) * high, -cos(angle) * high)
        long = hypot(x1 - x0, y1 - y0)
        count = max(1, int(long / every))
        for n in range(count):
            a, b = n / count, (n + 0.5) / count
            low = (x0 + (x1 - x0) * a, y0 + (y1 - y0) * a)
            mid = (x0 + (x1 - x0) * b, y0 + (y1 - y0) * b)
            if square:
                out += [low, mid, (mid[0] + up[0], mid[1] + up[1])]
                end = (n + 1) / count
                out.append((x0 + (x1 - x0) * end + up[0], y0 + (y1 - y0) * end + up[1]))
            else:
                out += [low, (mid[0] + up[0], mid[1] + up[1])]
        out.append((x1, y1))
    return out
