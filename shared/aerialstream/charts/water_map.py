"""Plan of a room with the water that comes down in it, in bands, from what `water_use` gives.

The wall with the opening lies at the foot of the page, as whoever stands outside sees it: into
the building is up, right is right.
"""

from itertools import pairwise
from math import hypot

from aerialstream.charts.cut import drawn_to, use_of
from aerialstream.charts.labels import Labels, wrapped
from aerialstream.charts.section import (
    SIDE,
    WIDTH,
    burning_words,
    length,
    on_fire_words,
    pitched,
    share_words,
    strike_mark,
    the,
)
from aerialstream.charts.svg import FINE, Picture

TALLEST = 400.0
OUTSIDE_FT = 7.0  # of ground shown before the wall
SHADES = ("", "dots", "lines", "dense", "solid")  # of the bands, in grey from light to dark
LEGEND = 76
FEWEST_CELLS = 14  # along the shorter side of the room


def cell_of(room):
    """Side of a cell in ft for a room of (front, back, left, right)."""
    shorter = min(room[1] - room[0], room[3] - room[2])
    return 2.0 if shorter >= 2.0 * FEWEST_CELLS else 1.0


def band_names():
    """Names of the bands, the driest first."""
    from aerialstream.application import MAP_BANDS  # loads much; a result has loaded it already

    return tuple(name for _, name in MAP_BANDS)


def describe(result, system="US"):
    """One sentence with the key numbers, for the picture's label."""
    use = use_of(result)
    outcome = use.outcome
    words = on_fire_words(use)
    said = f"{words[0].lower()}{words[1:]}; {share_words(use)} of the flow comes in"
    if outcome.cleared < 0.005:
        return f"{words[0].lower()}{words[1:]}; none of the flow comes in"
    inside = outcome.inside
    if inside is None:
        return said
    return (
        f"{said} and strikes {the(inside.surface)} {length(inside.point[0], system)} from the face "
        f"of the wall, {_aside(inside.point[1], system)}; stream {pitched(use.shot)}"
    )


def _aside(y, system):
    if abs(y) < 0.05:
        return "straight behind the middle of the opening"
    return f"{length(abs(y), system)} to the {'right' if y > 0 else 'left'} of its middle"


def map_rows(result, system="US"):
    """The map in words: what each band covers, as (label, text) pairs."""
    use = use_of(result)
    rows = list(use.lines(system))
    if use.burning is not None:
        rows.append((burning_words(use).capitalize(), _place(use.burning, system)))
    if use.outcome.parts is None:
        return (*rows, ("Map", "nothing comes down in the room"))
    bands, room = use.map_bands(cell_of(use.outcome.room))
    deep, wide = (room[1] - room[0]) / len(bands), (room[3] - room[2]) / len(bands[0])
    for number, name in enumerate(band_names()):
        cells = [
            (r, c) for r, line in enumerate(bands) for c, band in enumerate(line) if band == number
        ]
        if not cells or not number:
            continue
        at = [r for r, _ in cells], [c for _, c in cells]
        box = (
            room[0] + min(at[0]) * deep, room[0] + (max(at[0]) + 1) * deep,
            room[2] + min(at[1]) * wide, room[2] + (max(at[1]) + 1) * wide,
        )  # fmt: skip
        rows.append((f"Map, {name} water: within", _place(box, system)))
    return tuple(rows)


def _place(box, system):
    front, back, left, right = box
    return (
        f"{length(front, system)} to {length(back, system)} in; from {_side(left, system)} to "
        f"{_side(right, system)} of the opening's middle"
    )


def _side(y, system):
    if abs(y) < 0.05:
        return "straight behind it"
    return f"{length(abs(y), system)} {'right' if y > 0 else 'left'}"


def water_map_plan(result, *, system="US"):
    """The room seen from above: where the water comes down, in bands, and what burns.

    Takes
      result   a WaterUse, or an AimFound that has a set-up
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    use = use_of(result)
    box = _shown(use)
    scale = min((WIDTH - 2 * SIDE) / (box[3] - box[2]), TALLEST / (box[1] - box[0]))
    lines = _head(use, system)
    top = 12 + sum(1.45 * size for _, size, _ in lines)
    height = round(top + 24 + (box[1] - box[0]) * scale + LEGEND + 40)
    picture = Picture(WIDTH, height, f"Plan of the water. {describe(use, system)}.")
    y = 4.0
    for words, size, bold in lines:
        y += 1.45 * size
        picture.text((SIDE, y), words, "ink" if bold else "muted", size, bold=bold)
    _Plan(picture, use, box, scale, top + 24, system).draw()
    return picture


def _shown(use):
    """(front, back, left, right) in ft of what the picture shows."""
    view = use.view
    if view.room is not None:
        front, back, left, right = 0.0, view.room.depth_ft, view.room.y0_ft, view.room.y1_ft
    else:
        front, back, left, right = 0.0, view.roof.depth_ft, view.roof.y0_ft, view.roof.y1_ft
    return front - OUTSIDE_FT, back + 1.0, left - 1.5, right + 1.5


def _head(use, system):
    """The words over the picture as (text, size, bold)."""
    wide, room = WIDTH - 2 * SIDE, use.view.room
    where = "Seen from above, the wall of this side at the foot."
    if room is not None:
        size = (
            f"{length(room.y1_ft - room.y0_ft, system)} wide, {length(room.depth_ft, system)} deep"
        )
        where = f"{room.id[0].upper()}{room.id[1:]}, {size}, seen from above. "
        where += "The wall of this side is at the foot."
    if use.outcome.cleared < 0.005:
        where += " No water comes in."
    elif room is None:
        where += " No room was entered: where the water goes inside is not known."
    elif use.outcome.parts is None:
        where += " No water comes down in the room: it is held above."
    else:
        where += " Where most goes, not how much."
    out = [(line, 17, True) for line in wrapped(on_fire_words(use), 17, wide, True)]
    return out + [(line, 14, False) for line in wrapped(where, 14, wide)]


class _Plan:
    """One plan being drawn; the order of the calls is the order of the layers."""

    def __init__(self, picture, use, box, scale, top, system):
        self.picture, self.use, self.view, self.system = picture, use, use.view, system
        self.box, self.scale, self.top = box, scale, top
        self.left = (WIDTH - (box[3] - box[2]) * scale) / 2
        self.foot = top + (box[1] - box[0]) * scale
        self.labels = Labels(picture, (4, top - 20, WIDTH - 4, self.foot + 26))

    def at(self, x, y):
        """Page coordinates of a place on the floor."""
        return (
            self.left + (y - self.box[2]) * self.scale,
            self.foot - (x - self.box[0]) * self.scale,
        )

    def page(self, front, back, left, right):
        """(left, top, right, bottom) on the page of a rectangle on the floor."""
        (x0, y0), (x1, y1) = self.at(back, left), self.at(front, right)
        return x0, y0, x1, y1

    def draw(self):
        """All layers."""
        names = self._cells()
        self._walls()
        self._burning()
        self._stream()
        self._burning_words()
        self._measures()
        self._legend(names)

    def _cells(self):
        """The map: rows of cells of one band as one strip each."""
        use = self.use
        if use.outcome.parts is None:
            return ()
        bands, room = use.map_bands(cell_of(use.outcome.room))
        front, back, left, right = room
        deep, wide = (back - front) / len(bands), (right - left) / len(bands[0])
        strips = {number: [] for number in range(1, len(SHADES))}
        for r, line in enumerate(bands):
            start = 0
            for c in range(1, len(line) + 1):
                if c == len(line) or line[c] != line[start]:
                    if line[start]:
                        strips[line[start]].append(
                            self.page(
                                front + r * deep, front + (r + 1) * deep,
                                left + start * wide, left + c * wide,
                            )
                        )  # fmt: skip
                    start = c
        for number, boxes in strips.items():
            if boxes:
                self.picture.patterned(boxes, SHADES[number], "water")
        return band_names()

    def _walls(self):
        view, room = self.view, self.view.room
        box = (
            (0.0, room.depth_ft, room.y0_ft, room.y1_ft)
            if room
            else (0.0, view.roof.depth_ft, view.roof.y0_ft, view.roof.y1_ft)
        )
        x0, y0, x1, y1 = self.page(*box)
        thick = max(4.0, view.wall_thickness_ft * self.scale)
        for line in (((x0, y1), (x0, y0)), ((x0, y0), (x1, y0)), ((x1, y0), (x1, y1))):
            self.picture.line(*line, "steel", 4)
        gaps = sorted(
            (max(o.y0_ft, box[2]), min(o.y1_ft, box[3]))
            for o in ((view.opening,) if view.opening else ())
        )
        start = box[2]
        for low, high in (*gaps, (box[3], box[3])):
            if low > start:
                a, b = self.at(0, start)[0], self.at(0, low)[0]
                self.picture.polygon(
                    [(a, y1 - thick), (b, y1 - thick), (b, y1), (a, y1)], fill="steel"
                )
                self.labels.keep_off([(a, y1), (b, y1)])
            start = high
        for edge in ([(x0, y1), (x0, y0)], [(x0, y0), (x1, y0)], [(x1, y0), (x1, y1)]):
            self.labels.keep_off(edge)
        for wall in room.partitions if room else ():
            line = [self.at(wall.x0_ft, wall.y0_ft), self.at(wall.x1_ft, wall.y1_ft)]
            full = wall.top_ft == float("inf")
            self.picture.polyline(line, "steel", 4, "" if full else "8 5", halo=1)
            self.labels.keep_off(line)
        for hole in view.roof.holes:
            if hole.x0_ft < box[1]:
                self._hole(hole)

    def _hole(self, hole):
        """A hole in the roof, over the floor."""
        x0, y0, x1, y1 = self.page(hole.x0_ft, hole.x1_ft, hole.y0_ft, hole.y1_ft)
        ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
        self.picture.polyline(ring, "ink", 1.6, "2 4", halo=1)
        self.labels.put(
            "hole in the roof above", [(x0, y1 + 16, "start"), (x0, y0 - 6, "start")],
            colour="muted",
        )  # fmt: skip

    def _burning(self):
        if self.use.burning is None:
            return
        x0, y0, x1, y1 = self.page(*self.use.burning)
        ring = _toothed(x0, y0, x1, y1)
        self.picture.polyline(ring, "push", 2.2, halo=2)
        self.labels.keep_off([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])

    def _burning_words(self):
        """What burns; put when the stream is drawn, to keep off it."""
        if self.use.burning is None:
            return
        x0, y0, x1, y1 = self.page(*self.use.burning)
        middle = (x0 + x1) / 2
        self.labels.put(
            burning_words(self.use),
            [(middle, y0 - 9, "middle"), (middle, y1 + 20, "middle"), (x1, y0 - 9, "end"), (x0, y0 - 9, "start"), (x1 + 10, y0 + 12, "start"), (x0 - 10, y0 + 12, "end"), (middle, (y0 + y1) / 2, "middle")],
            colour="push",
            bold=True,
        )  # fmt: skip

    def _stream(self):
        points, strike = drawn_to(self.use)
        first = self.use.outcome.strike
        outer = [p for p in points if p[0] > self.box[0]]
        if len(outer) < 2:
            outer = points[-2:]
        start = self._on_edge(points, outer[0])
        page = [self.at(*start), *(self.at(p[0], p[1]) for p in outer)]
        page = [p for p in page if 6 <= p[0] <= WIDTH - 6 and p[1] >= self.top - 6]
        if len(page) < 2:
            return
        if strike is not None and hypot(page[-1][0] - page[0][0], page[-1][1] - page[0][1]) > 26:
            self.picture.polyline(page, "ink", 2.6, halo=1.6)
            self._head(page)
        else:
            self.picture.polyline(page, "ink", 2.6, "8 5", halo=1.6)
        self.labels.keep_off(page)
        if strike is None:
            return
        x, y = page[-1]
        strike_mark(self.picture, (x, y))
        self.labels.block((x - 9, y - 9, x + 9, y + 9))
        words = f"strikes {the(strike.surface)}"
        if self.use.outcome.inside is None and first is not None and strike.point[0] < 0.1:
            words = "stopped outside"
        spots = [
            (x + 13, y + 5, "start"),
            (x - 13, y + 5, "end"),
            (x, y - 14, "middle"),
            (x, y + 24, "middle"),
        ]
        self.labels.put(words, spots, bold=True, point=(x, y))

    def _on_edge(self, points, first):
        """Where the path comes over the foot of the picture."""
        for one, other in pairwise(points):
            if one[0] <= self.box[0] < other[0]:
                share = (self.box[0] - one[0]) / (other[0] - one[0])
                return self.box[0], one[1] + share * (other[1] - one[1])
        return first[0], first[1]

    def _head(self, page):
        """An arrow head half way, so that the way of the stream is seen beside the strike too."""
        (x0, y0), (x1, y1) = page[0], page[-1]
        long = hypot(x1 - x0, y1 - y0)
        share = max(0.5, 1 - 40 / long) if long < 160 else 0.6
        at = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        shape = [(9, 0), (-5, 6), (-5, -6)]
        self.picture.polygon(
            [(at[0] + a * ux - b * uy, at[1] + a * uy + b * ux) for a, b in shape], "ink", "paper"
        )

    def _measures(self):
        view = self.view
        if view.opening:
            own = view.opening
            x, y = self.at(0, own.y1_ft)
            x0 = self.at(0, own.y0_ft)[0]
            self.labels.put(
                f"opening {own.id}", [(x + 6, y + 17, "start"), (x0 - 6, y + 17, "end")],
                colour="muted", point=((x + x0) / 2, y),
            )  # fmt: skip
        if view.room is None:
            x, y = self.at(view.roof.depth_ft / 2, (view.roof.y0_ft + view.roof.y1_ft) / 2)
            self.labels.put("roof, seen from above", [(x, y, "middle")], colour="muted")

    def _legend(self, names):
        y = self.foot + 34
        if names:
            x = SIDE
            for number, name in enumerate(names):
                box = (x, y, x + 26, y + 16)
                if number:
                    self.picture.patterned([box], SHADES[number], "water", "muted", 1)
                else:
                    ring = [(box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])]
                    self.picture.polygon(ring, stroke="muted")
                self.picture.text((x + 33, y + 13), name, "ink", FINE)
                x += 110
        feet = 10.0 if self.system == "US" else 3.0 / 0.3048
        if feet * self.scale > 160:
            feet /= 2
        self.picture.scale_bar(
            (SIDE, self.picture.height - 14), feet * self.scale, length(feet, self.system)
        )
        if self.use.burning is not None:
            x = 300
            y = self.picture.height - 30
            self.picture.polyline(_toothed(x, y, x + 30, y + 16), "push", 2)
            self.picture.text((x + 40, y + 14), "toothed line: what burns", "ink", FINE)


def _toothed(x0, y0, x1, y1, every=9.0, high=4.0):
    """A ring around a box with teeth that point outward."""
    ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    out = []
    for (xa, ya), (xb, yb) in pairwise(ring):
        long = hypot(xb - xa, yb - ya)
        count = max(1, int(long / every))
        ux, uy = (xb - xa) / (long or 1), (yb - ya) / (long or 1)
        for n in range(count):
            at, mid = long * n / count, long * (n + 0.5) / count
            out.append((xa + ux * at, ya + uy * at))
            out.append((xa + ux * mid + uy * high, ya + uy * mid - ux * high))
    return [*out, ring[0]]
