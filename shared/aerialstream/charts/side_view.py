"""Side view of an aerial to scale: truck, ladder, nozzle and its travel, and an opening to hit.

The truck's length and the turntable's height are the department's entries; the shape between is
a sketch.
"""

from math import cos, hypot, radians, sin

from aerialstream.charts.labels import text_width, wrapped
from aerialstream.charts.nearby import Nearby, evenly
from aerialstream.charts.plan_frame import Frame, clipped, clipped_line, hatch, scale_bar
from aerialstream.charts.svg import FINE, Picture
from aerialstream.units import quantity, show

WIDTH, SIDE = 720, 10
TALLEST = 520.0
WEDGE_PX = 84.0


def _feet(value):
    if isinstance(value, str):
        value = quantity(value)
    return float(value.to("foot").magnitude)


def _deg(value):
    return float(value.to("degree").magnitude)


def _said(feet, system):
    return show(quantity(feet, "foot"), system)


def _signed(angle):
    return (
        f"{abs(angle):.1f} deg {'up' if angle >= 0 else 'down'}" if abs(angle) >= 0.05 else "level"
    )


def describe(apparatus, position, through=None, stream=None, system="US"):
    """What the side view shows, with its key numbers, for those who cannot see it."""
    said = [
        f"Side view of {apparatus.name}: ladder {show(position.extension, system)} at "
        f"{show(position.elevation)}, nozzle {show(position.up, system)} above the ground and "
        f"{show(position.out, system)} out from the turntable's centre."
    ]
    if through is not None:
        said.append(_through_words(through, system))
    elif stream is not None:
        said.append(f"The stream points {_signed(_deg(stream.stream_pitch))}.")
    return " ".join(said)


def _through_words(through, system):
    if not through.possible:
        return f"No stream goes through the opening: {through.reason}."
    strike = (
        "it never strikes the ceiling"
        if through.strike_depth is None
        else f"it strikes the ceiling {show(through.strike_depth, system)} inside"
    )
    return (
        f"The steepest stream through the opening is {_signed(_deg(through.steepest))}; {strike}. "
        f"What stops it: {through.reason}."
    )


def side_rows(apparatus, position, through=None, stream=None, system="US"):
    """The numbers of the side view as (label, text) pairs."""
    travel = apparatus.nozzle_travel
    rows = [
        ("Device", f"{apparatus.name}, {apparatus.kind}"),
        ("Ladder", f"{show(position.extension, system)} at {show(position.elevation)}"),
        *position.lines(system)[:2],
        (
            "Nozzle's travel",
            f"{show(travel.up)} up, {show(travel.down)} down from what it stands on",
        ),
    ]
    if through is not None:
        rows += through.lines(system)
    elif stream is not None:
        rows += stream.lines(system)
    return tuple(rows)


def side_view(
    apparatus, *, position, through=None, opening=None, stream=None, over="rear", wall_top=None,
    system="US",
):  # fmt: skip
    """An aerial from the side, to scale, with what its nozzle can point at.

    Takes
      apparatus  an Apparatus of the department's data
      position   the TipPosition of its ladder
      through    a ThroughOpening for the same ladder, or None
      opening    with it (sill, head, ceiling) as lengths above the ground at the rig
      stream     a StreamDirection to draw where there is no opening
      over       "rear" or "front": which end of the chassis the ladder works over
      wall_top   top of the wall, a length; None draws a little more than the ceiling
      system     "US" or "metric", for the labels
    Gives
      Picture
    """
    scene = _Side(apparatus, position, through, opening, stream, over, wall_top, system)
    return scene.drawn()


class _Side:
    """One side view: x out from the turntable's centre, z up from the ground, in ft."""

    def __init__(self, apparatus, position, through, opening, stream, over, wall_top, system):
        self.apparatus, self.position, self.through = apparatus, position, through
        self.stream, self.over, self.system = stream, over, system
        self.nozzle = (_feet(position.out), _feet(position.up))
        self.elevation = _deg(position.elevation)
        platform = apparatus.platform
        self.pin = self.nozzle
        if platform is not None:
            self.pin = (
                self.nozzle[0] - _feet(platform.ahead), self.nozzle[1] - _feet(platform.up)
            )  # fmt: skip
        heel = apparatus.heel_offset
        self.heel = (_feet(heel) if heel is not None else 0.0, _feet(apparatus.turntable_height))
        self.base = 0.0 if apparatus.kind.endswith("platform") else self.elevation
        self.sill, self.head, self.ceiling = map(_feet, opening) if opening else (None,) * 3
        self.wall = self.nozzle[0] + _feet(through.standoff) if through is not None else None
        if opening:
            self.top = _feet(wall_top) if wall_top is not None else self.ceiling + 3.0
        self.truck = self._truck_ends()

    def _truck_ends(self):
        chassis = self.apparatus.chassis
        if chassis is None:
            return (-4.0, 4.0)
        ahead = _feet(chassis.turntable_from_front)
        ends = (-ahead, _feet(chassis.length) - ahead)
        return ends if self.over == "rear" else (-ends[1], -ends[0])

    def _panels(self):
        """(part shown, what it tells, tallest px): the whole, and where it matters a nearer view."""
        left = min(self.truck[0], self.heel[0], self.nozzle[0]) - 3
        if self.wall is None or self.sill is None:
            right = max(self.truck[1], self.nozzle[0] + 18) + 3
            top = max(self.nozzle[1] + 14, self.heel[1] + 8)
            return (((left, -1.0, right, top), ("device", "nozzle"), TALLEST),)
        depth = self.through.strike_depth
        inside = 18.0 if depth is None else min(max(_feet(depth) + 7, 14.0), 32.0)
        top = max(self.nozzle[1] + 3, self.top + 1)
        whole = (left, -1.0, self.wall + 14, max(top, self.heel[1] + 5))
        near = (self.nozzle[0] - 9, -1.0, self.wall + inside, top)
        return (whole, ("device",), 300.0), (near, ("nozzle",), 420.0)

    def drawn(self):
        """The Picture."""
        label = describe(self.apparatus, self.position, self.through, self.stream, self.system)
        self.picture = Picture(WIDTH, 0, label)
        y = 8
        for words, size, bold in self._head_lines():
            y += size + 5
            self.picture.text((SIDE, y - 3), words, "ink", size, "start", bold)
        y += 6
        for number, (part, tells, tallest) in enumerate(self._panels()):
            if number:
                y += 24
                self.picture.text(
                    (SIDE, y - 4), "Nearer, the nozzle and the opening", "ink", 15, bold=True
                )
            y = self._panel(part, tells, tallest, y + 4)
        self.picture.height = round(y)
        return self.picture

    def _panel(self, part, tells, tallest, top):
        wide = WIDTH - 2 * SIDE
        high = min(tallest, max(110.0, (part[3] - part[1]) / (part[2] - part[0]) * wide))
        frame = self.frame = Frame(part, (SIDE, top, WIDTH - SIDE, top + high))
        # The ground at the foot of the box, all room above it.
        spare = (high - (part[3] - part[1]) * frame.scale) / 2
        frame.centre = (frame.centre[0], frame.centre[1] + spare)
        self.labels = Nearby(self.picture, (SIDE, top, WIDTH - SIDE, frame.px((0, 0))[1] - 2))
        self._streams, self._rim, self._taken = None, {}, []
        self._ground()
        if self.sill is not None:
            self._building()
        if "nozzle" in tells:
            self._wedge()
        self._stream()
        self._truck()
        self._ladder()
        if "nozzle" in tells:
            self._heights()
            self._stream_words()
            self._wedge_words()
        if "device" in tells:
            self._ladder_words()
        foot = self._distances(tells)
        self.labels.draw()
        return self._left_over(foot)

    def _head_lines(self):
        ladder = f"ladder {show(self.position.extension, self.system)} at {show(self.position.elevation)}"
        lines = [(f"{self.apparatus.name}, {ladder}", 17, True)]
        said = ""
        if self.through is not None:
            said = _through_words(self.through, self.system)
        elif self.stream is not None:
            said = f"The stream points {_signed(_deg(self.stream.stream_pitch))}."
        return lines + [(line, 14, False) for line in wrapped(said, 14, WIDTH - 2 * SIDE) if line]

    def _line(self, start, end, colour="ink", width=1.5, dash=""):
        piece = self.frame.piece(start, end)
        if piece:
            self.picture.line(*piece, colour, width, dash)
            self.labels.keep_off(piece)
        return piece

    def _ground(self):
        y = self.frame.px((0, 0))[1]
        self.picture.line((SIDE, y), (WIDTH - SIDE, y), "ink", 2)
        ticks = [((x, y + 1), (x - 7, y + 8)) for x in range(SIDE + 10, WIDTH - SIDE, 14)]
        self.picture.strokes(ticks, "steel", 1)

    # --- the building -----------------------------------------------------------------------------

    def _building(self):
        frame, picture = self.frame, self.picture
        thick = 1.0
        for low, high in ((0.0, self.sill), (self.head, self.top)):
            if high - low < 0.05:
                continue
            corners = frame.corners(
                [(self.wall, low), (self.wall + thick, low), (self.wall + thick, high), (self.wall, high)]
            )  # fmt: skip
            if corners:
                picture.polygon(corners, fill="paper", stroke="ink", width=1.6)
                picture.strokes(hatch([corners], 5, -45), "ink", 1)
                (x0, y0), (x1, y1) = corners[0], corners[2]
                self.labels.block((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)))
        _, _, right, _ = frame.box
        edge = self.wall + thick + 500
        ceiling = [(self.wall + thick, self.ceiling), (edge, self.ceiling), (edge, self.ceiling + 0.8), (self.wall + thick, self.ceiling + 0.8)]  # fmt: skip
        corners = frame.corners(ceiling)
        if corners:
            picture.polygon(corners, fill="paper", stroke="ink", width=1.6)
            picture.strokes(hatch([corners], 5, 45), "ink", 1)
        at = frame.px((self.wall, self.ceiling))
        for y in (at[1], at[1] - 0.8 * frame.scale):
            self.labels.keep_off([(at[0], y), (right, y)])
        self.labels.keep_off(
            [frame.px((self.wall + 0.5, 0)), frame.px((self.wall + 0.5, self.top))]
        )

    # --- the nozzle -------------------------------------------------------------------------------

    def _ends(self):
        travel = self.apparatus.nozzle_travel
        return self.base - _deg(travel.down), self.base + _deg(travel.up)

    def _wedge(self):
        """What the nozzle can point at: a hatched sector, its upper edge drawn on and on."""
        low, high = self._ends()
        x, y = self.frame.px(self.nozzle)
        count = max(2, int((high - low) / 6))
        rim = [
            (x + WEDGE_PX * cos(radians(a)), y - WEDGE_PX * sin(radians(a)))
            for a in (low + (high - low) * k / count for k in range(count + 1))
        ]
        ground = self.frame.px((0, 0))[1]
        box = (*self.frame.box[:3], ground)
        sector = clipped([(x, y), *rim], box)
        if sector:
            self.picture.strokes(hatch([sector], 9, 60), "steel", 1)
        for angle in (low, high):
            far = (x + 2000 * cos(radians(angle)), y - 2000 * sin(radians(angle)))
            near = (x + WEDGE_PX * cos(radians(angle)), y - WEDGE_PX * sin(radians(angle)))
            piece = clipped_line((x, y), far if angle == high else near, box)
            if piece:
                self.picture.line(*piece, "ink", 1.6, "8 4 2 4")
                self.labels.keep_off(piece)
        self._rim = {"up": (high, rim[-1]), "down": (low, rim[0])}

    def _wedge_words(self):
        travel = self.apparatus.nozzle_travel
        stands = (
            "from level"
            if self.base == 0 and self.apparatus.kind.endswith("platform")
            else "from the ladder's line"
        )
        high, at = self._rim["up"]
        words = f"nozzle's travel up: {show(travel.up)} {stands}, so at most {_signed(high)}"
        x, y = self.frame.px(self.nozzle)
        along = [
            (x + far * (at[0] - x), y + far * (at[1] - y)) for far in (1.0, 1.7, 2.4, 0.6, 0.35)
        ]
        self.labels.beside_one_of(along, evenly(words, FINE, 215), size=FINE)
        _, at = self._rim["down"]
        ground = self.frame.px((0, 0))[1]
        edge = clipped_line((x, y), at, (*self.frame.box[:3], ground))
        if edge:
            along = [
                tuple(a + k * (b - a) for a, b in zip(*edge, strict=True)) for k in (1.0, 0.7, 0.45)
            ]
            self.labels.beside_one_of(along, f"travel down: {show(travel.down)}", size=FINE)

    def _stream(self):
        start = self.frame.px(self.nozzle)
        if self.through is not None and self.sill is not None:
            if not self.through.possible:
                return
            pitch, depth = _deg(self.through.steepest), self.through.strike_depth
            if depth is not None:
                end = self.frame.px((self.wall + _feet(depth), self.ceiling))
            else:
                end = self._far(start, pitch)
        elif self.stream is not None:
            pitch = _deg(self.stream.stream_pitch)
            end = (start[0] + 150 * cos(radians(pitch)), start[1] - 150 * sin(radians(pitch)))
        else:
            return
        box = (*self.frame.box[:3], self.frame.px((0, 0))[1])
        piece = clipped_line(start, end, box)
        if piece is None:
            return
        (x0, y0), (x1, y1) = piece
        long = hypot(x1 - x0, y1 - y0) or 1.0
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        self.picture.polygon(
            [(x0 + uy * 1.5, y0 - ux * 1.5), (x1 + uy * 4, y1 - ux * 4),
             (x1 - uy * 4, y1 + ux * 4), (x0 - uy * 1.5, y0 + ux * 1.5)],
            fill="water",
        )  # fmt: skip
        self.labels.keep_off(piece, 6)
        self._streams = (piece, pitch, hypot(end[0] - x1, end[1] - y1) < 2)

    def _far(self, start, pitch):
        return start[0] + 2000 * cos(radians(pitch)), start[1] - 2000 * sin(radians(pitch))

    def _stream_words(self):
        if self._streams is None:
            return
        (start, end), pitch, struck = self._streams
        name = "steepest stream" if self.through is not None else "stream"
        along = [
            tuple(a + k * (b - a) for a, b in zip(start, end, strict=True))
            for k in (0.55, 0.35, 0.75, 0.2, 0.9)
        ]
        self.labels.beside_one_of(
            along, f"{name} {_signed(pitch)}", colour="water", bold=True, gap=4
        )
        depth = self.through.strike_depth if self.through is not None else None
        if struck and depth is not None:
            x, y = end
            self.picture.strokes(
                [((x - 7, y - 7), (x + 7, y + 7)), ((x - 7, y + 7), (x + 7, y - 7))], "water", 2.4
            )
            self.labels.keep_clear(end, 8)
            words = [f"strikes {show(depth, self.system)}", "inside the wall"]
            self.labels.beside(end, words, colour="water", gap=9, size=FINE)
        elif self.through is not None:
            where = "never strikes the ceiling" if depth is None else f"strikes {show(depth, self.system)} inside"  # fmt: skip
            where += "" if depth is None else ", outside this picture"
            back = [
                tuple(b + k * (a - b) for a, b in zip(start, end, strict=True))
                for k in (0.0, 0.1, 0.2, 0.3)
            ]
            self.labels.beside_one_of(back, evenly(where, FINE, 170), colour="water", size=FINE)

    # --- the device -------------------------------------------------------------------------------

    def _truck(self):
        (left, right), top = self.truck, self.heel[1] - 1.4
        if self.frame.px((right, 0))[0] < self.frame.box[0]:
            return
        low = min(2.6, top - 1)
        body = [self.frame.px(p) for p in ((left, low), (right, low), (right, top), (left, top))]
        self.picture.polygon(body, fill="paper", stroke="ink", width=2)
        long = right - left
        cab = 0.16 * long
        start = left if self.over == "rear" else right - cab
        if self.apparatus.chassis is not None:
            nose = [self.frame.px(p) for p in ((start, low), (start + cab, low), (start + cab, top), (start, top))]  # fmt: skip
            self.picture.polygon(nose, fill="ink", opacity=0.85)
            shares = (0.11, 0.7, 0.82) if self.over == "rear" else (0.89, 0.3, 0.18)
            for share in shares:
                at = self.frame.px((left + share * long, 1.7))
                self.picture.circle(at, 1.7 * self.frame.scale, "paper", "ink", 2.4)
                self.picture.circle(at, 2, "ink")
        table = [self.frame.px(p) for p in ((-2.6, top), (2.6, top), (2.0, self.heel[1] - 0.3), (-2.0, self.heel[1] - 0.3))]  # fmt: skip
        self.picture.polygon(table, fill="steel", stroke="ink", width=1.6)
        self.labels.block((body[0][0], body[2][1] - 2, body[1][0], body[0][1] + 6))

    def _ladder(self):
        heel, pin = self.frame.px(self.heel), self.frame.px(self.pin)
        dx, dy = pin[0] - heel[0], pin[1] - heel[1]
        long = hypot(dx, dy) or 1.0
        ux, uy = dx / long, dy / long
        half = max(3.0, min(6.0, 0.9 * self.frame.scale))
        self.picture.line(heel, pin, "paper", 2 * half + 4)
        zigzag, step = [], 2.4 * half
        for k in range(int(long / step) + 1):
            side = half if k % 2 else -half
            d = min(k * step, long)
            zigzag.append((heel[0] + ux * d + uy * side, heel[1] + uy * d - ux * side))
        self.picture.polyline(zigzag, "ink", 1.1)
        for side in (-half, half):
            ends = [(p[0] + uy * side, p[1] - ux * side) for p in (heel, pin)]
            self.picture.line(*ends, "ink", 2)
        self.labels.keep_off([heel, pin], 6)
        self.picture.circle(heel, 4.5, "paper", "ink", 2)
        if self.apparatus.platform is not None:
            self._platform(pin)
        x, y = self.frame.px(self.nozzle)
        self.picture.circle((x, y), 5.5, "ink", "paper", 1.5)
        self.labels.keep_clear((x, y), 7)

    def _platform(self, pin):
        x, y = self.frame.px(self.nozzle)
        foot = max(pin[1], y) + 2
        box = [(pin[0], y), (x, y), (x, foot), (pin[0], foot)]
        self.picture.polygon(box, fill="paper", stroke="ink", width=2)
        self.picture.line((pin[0], (y + foot) / 2), (x, (y + foot) / 2), "ink", 1.2)

    def _ladder_words(self):
        heel, pin = self.frame.px(self.heel), self.frame.px(self.pin)
        long = hypot(pin[0] - heel[0], pin[1] - heel[1])
        radius = min(90.0, long * 0.6)
        self.picture.line(heel, (heel[0] + radius + 14, heel[1]), "muted", 1.2, "3 5")
        self.picture.arc(heel, radius, 90, 90 - self.elevation, "ink", 1.8)
        half = radians(self.elevation / 2)
        at = (heel[0] + radius * cos(half), heel[1] - radius * sin(half))
        self.labels.beside(at, f"{show(self.position.elevation)}", size=14, bold=True, gap=4)
        at = tuple(a + 0.62 * (b - a) for a, b in zip(heel, pin, strict=True))
        words = f"ladder {show(self.position.extension, self.system)}"
        self.labels.beside(at, words, bold=True, gap=8)

    # --- measures ---------------------------------------------------------------------------------

    def _heights(self):
        x, z = self.nozzle
        self._line((x, 0), (x, z), "muted", 1.2, "2 4")
        words = [f"nozzle {show(self.position.up, self.system)} up"]
        if self.head is not None and z > self.head:
            words.append("above the head of the opening")
        elif self.through is not None and self.sill is not None and z < self.sill:
            words.append("below the sill of the opening")
        self.labels.beside(self.frame.px((x, z * 0.5)), words, size=FINE, bold=len(words) > 1)
        if self.sill is None:
            return
        for name, height, shift in (("ceiling", self.ceiling, 3.0), ("head", self.head, 0.0), ("sill", self.sill, 0.0)):  # fmt: skip
            if name == "sill" and height < 0.05:
                continue
            at = self.frame.px((self.wall + shift, height))
            words = f"{name} {_said(height, self.system)}"
            self.labels.beside(at, words, size=FINE, gap=3)

    def _distances(self, tells):
        """Level distances under the ground line, and the scale; gives the foot of the panel."""
        y = self.frame.px((0, 0))[1] + 24
        marks = []
        if "device" in tells:
            marks = [(0.0, self.nozzle[0], f"{show(self.position.out, self.system)} to the nozzle")]
        if self.wall is not None and "nozzle" in tells:
            words = f"{show(self.through.standoff, self.system)} to the wall"
            marks.append((self.nozzle[0], self.wall, words))
        for start, end, words in marks:
            a, b = self.frame.px((start, 0))[0], self.frame.px((end, 0))[0]
            self.picture.line((a, y), (b, y), "ink", 1.4)
            for x in (a, b):
                self.picture.line((x, y - 5), (x, y + 5), "ink", 1.4)
            self._measure((a + b) / 2, y + 17, words)
        if self.wall is not None and "device" in tells:
            words = f"turntable's centre to the wall {show(self.through.setback, self.system)}"
            self.picture.text((WIDTH - SIDE - 4, y + 40), words, "ink", FINE, "end")
        scale_bar(self.picture, (SIDE + 4, y + 42), self.frame.scale, self.system)
        return y + 50

    def _measure(self, middle, y, words):
        wide = text_width(words, FINE)
        left = min(max(middle - wide / 2, SIDE), WIDTH - SIDE - wide)
        if self._taken:
            left = max(left, self._taken[-1] + 12)
        self._taken.append(left + wide)
        self.picture.text((left + wide / 2, y), words, "ink", FINE, "middle")

    def _left_over(self, y):
        for words in self.labels.left_out:
            for line in wrapped(f"Also: {words}", FINE, WIDTH - 2 * SIDE):
                y += 19
                self.picture.text((SIDE, y), line, "ink", FINE)
        return y + 8


__all__ = ["describe", "side_rows", "side_view"]
