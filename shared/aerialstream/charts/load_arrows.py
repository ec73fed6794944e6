"""What loads a ladder as it is set up: arrows of force in two views, moments at the base as bars.

Each view has its own scale of force, printed beside it. Arrows have the length of the force; where
one is too short to see, its name and number still stand there.
"""

from math import cos, hypot, radians, sin

from aerialstream.charts.labels import text_width, wrapped
from aerialstream.charts.nearby import Nearby
from aerialstream.charts.plan_frame import clipped_line
from aerialstream.charts.svg import FINE, Picture
from aerialstream.units import quantity, show

WIDTH, SIDE = 720, 14
LADDER_PX, ARROW_PX = 400.0, 105.0
SMALL = 0.5  # lbf or lbf·ft that is printed as nothing
NICE = (
    10,
    20,
    50,
    100,
    200,
    500,
    1_000,
    2_000,
    5_000,
    10_000,
    20_000,
    50_000,
    100_000,
    200_000,
    500_000,
    1_000_000,
)
SHORT_PX = 14.0  # arrows shorter than this are drawn once more to a larger scale
# Part -> (colour, dash of its arrow): told apart by dash and name, colour only helps.
LOOKS = {
    "reaction": ("push", ""),
    "ladder's weight": ("ink", ""),
    "tip load": ("ink", "7 4"),
    "water in the waterway": ("water", "2 4"),
    "wind": ("across", "9 3 2 3"),
    "slope": ("muted", "4 4"),
}
AT_TIP = ("reaction", "tip load")
SIDEWAYS = (
    ("slew_torque", "Slew torque at the turntable", "to the left", "to the right"),
    ("overturning_along", "Overturning along the ladder", "the way it points", "away from there"),
    ("overturning_sideways", "Overturning sideways", "to the left", "to the right"),
)


def _number(value):
    return 0.0 if value is None else float(value.magnitude)


def _force(lbf, system):
    return show(quantity(abs(lbf), "lbf"), system)


def _moment(lbf_ft, system):
    return show(quantity(abs(lbf_ft), "lbf*foot"), system)


def describe(loads, system="US"):
    """What the arrows show, with the key numbers, for those who cannot see them."""
    said = [
        f"{loads.title}: ladder {show(loads.extension, system)} at {show(loads.elevation)}, seen from "
        "the side and from above."
    ]
    for name, plus, minus, label in (
        ("in_plane_moment", "lowers the tip", "lifts the tip", "In-plane moment at the base"),
        ("side_moment", "to the left", "to the right", "Side moment at the base"),
    ):
        said.append(f"{label} {_sum_words(loads, name, plus, minus, system)}.")
    return " ".join(said)


def _sum_words(loads, name, plus, minus, system):
    value = getattr(loads, name)
    if value is None:
        return f"not known, not entered: {'; '.join(loads.missing)}"
    number = value.magnitude
    if abs(number) < SMALL:
        return _moment(0, system)
    return f"{_moment(number, system)}, {plus if number > 0 else minus}"


def load_arrows(loads, *, system="US"):
    """The loads of a set-up as arrows, from the side and from above, and what each does at the base.

    Takes
      loads    a SetUpLoads
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    picture = Picture(WIDTH, 0, describe(loads, system))
    y = _head(picture, loads, system)
    whole = _View(picture, loads, system, y, from_side=True)
    y = whole.drawn()
    small = [force[0].name for force in whole.forces if hypot(*force[1]) * whole.per < SHORT_PX]
    if small and len(small) < len(whole.forces):
        y = _View(picture, loads, system, y + 10, from_side=True, only=small).drawn()
    y = _bars(picture, loads, "in_plane_moment", "In-plane moment at the base, part by part",
              ("lifts the tip", "lowers the tip"), system, y)  # fmt: skip
    y = _View(picture, loads, system, y + 14, from_side=False).drawn()
    y = _bars(picture, loads, "side_moment", "Side moment at the base, part by part",
              ("to the left", "to the right"), system, y)  # fmt: skip
    picture.height = round(_turntable(picture, loads, system, y))
    return picture


def _head(picture, loads, system):
    y = 27
    picture.text((SIDE, y), loads.title, "ink", 17, "start", bold=True)
    words = (
        f"Ladder {show(loads.extension, system)} at {show(loads.elevation)}. An arrow is the part of a "
        "force that is seen in that view, a bar is a moment."
    )
    for line in wrapped(words, 14, WIDTH - 2 * SIDE):
        y += 20
        picture.text((SIDE, y), line, "ink", 14)
    if loads.missing:
        for line in wrapped(f"Not entered, so not drawn: {'; '.join(loads.missing)}.", 14, WIDTH - 2 * SIDE):  # fmt: skip
            y += 19
            picture.text((SIDE, y), line, "ink", 14)
    return y + 8


class _View:
    """One view: from the side (ladder at its elevation) or from above (along its own length)."""

    def __init__(self, picture, loads, system, top, from_side, only=()):
        self.picture, self.loads, self.system = picture, loads, system
        self.from_side, self.top, self.only = from_side, top, only
        self.angle = radians(loads.elevation.to("degree").magnitude) if from_side else 0.0
        self.length_ft = float(loads.extension.to("foot").magnitude)
        shown = [p for p in loads.parts if not only or p.name in only]
        self.forces = [f for f in map(self._force_of, shown) if f]
        longest = max((hypot(*way) for _, way, _ in self.forces), default=0.0)
        unit = "newton" if system == "metric" else "lbf"
        per_unit = float(quantity(1, unit).to("lbf").magnitude)
        self.full = next((n * per_unit for n in NICE if n * per_unit >= longest), longest)
        self._place()

    def _force_of(self, part):
        """(part, (right, up) on the page in lbf, share of the ladder's length where it is drawn)."""
        axial, side, plane = map(_number, (part.axial, part.side, part.in_plane))
        if self.from_side:
            c, s = cos(self.angle), sin(self.angle)
            way = (axial * c - plane * s, axial * s + plane * c)
            arm, push = -_number(part.in_plane_moment), plane
        elif part.name in ("reaction", "wind", "slope"):
            way = (axial, side)
            arm, push = _number(part.side_moment), side
        else:
            return None
        if hypot(*way) < SMALL:
            return None
        share = 1.0
        if part.name not in AT_TIP:
            share = arm / push / self.length_ft if abs(push) >= SMALL else 0.5
            share = share if 0.05 < share < 1 else 0.5
        return part, way, share

    def _place(self):
        """Where the ladder lies on the page, with room for every arrow and for words."""
        length = min(LADDER_PX, 250.0 / max(abs(sin(self.angle)), 0.1))
        ux, uy = cos(self.angle), -sin(self.angle)
        ends = [(0.0, 0.0), (ux * length, uy * length)]
        per = ARROW_PX / self.full
        reach = list(ends)
        for _, way, share in self.forces:
            foot = (ux * length * share, uy * length * share)
            reach += [(foot[0] + way[0] * per, foot[1] - way[1] * per)]
        least_y, most_y = min(y for _, y in reach), max(y for _, y in reach)
        least_x, most_x = min(x for x, _ in reach), max(x for x, _ in reach)
        title = 44
        edge = 46 if self.from_side else 40
        self.base = (
            WIDTH / 2 - (least_x + most_x) / 2 - 20,
            self.top + title + edge - least_y,
        )
        self.bottom = self.base[1] + most_y + edge
        self.length, self.u, self.per = length, (ux, uy), per
        self.box = (4, self.top + 24, WIDTH - 4, self.bottom + 8)

    def _at(self, share):
        return tuple(b + u * self.length * share for b, u in zip(self.base, self.u, strict=True))

    def drawn(self):
        """Paint the view; gives its foot."""
        title = "From the side" if self.from_side else "From above, square to the ladder"
        if self.only:
            title += ", the smaller forces alone, drawn longer"
        self.picture.text((SIDE, self.top + 20), title, "ink", 15, "start", bold=True)
        self.labels = Nearby(self.picture, self.box)
        self._ladder()
        for force in self.forces:
            self._arrow(force)
        if not self.only:
            self._sum_arc()
        self.labels.beside(self.base, "base", colour="muted", size=FINE, gap=10)
        if not self.forces:
            self.labels.beside(self._at(0.5), "no force in this view", size=14, gap=10)
        for part, way, share in sorted(self.forces, key=lambda f: -hypot(*f[1])):
            self._name(part, way, share)
        self.labels.draw()
        return self._scale()

    def _ladder(self):
        half = 5 if self.from_side else 9
        (x0, y0), (x1, y1) = self._at(0), self._at(1)
        ux, uy = self.u
        for off in (-half, half):
            a, b = (x0 - uy * off, y0 + ux * off), (x1 - uy * off, y1 + ux * off)
            self.picture.line(a, b, "steel", 3)
        rungs = [
            ((x0 + ux * d - uy * half, y0 + uy * d + ux * half),
             (x0 + ux * d + uy * half, y0 + uy * d - ux * half))
            for d in range(14, int(self.length), 14)
        ]  # fmt: skip
        self.picture.strokes(rungs, "steel", 1.5)
        self.picture.circle((x0, y0), 8, "paper", "steel", 3)
        self.labels.keep_off([(x0, y0), (x1, y1)], 6)
        self.labels.keep_clear((x0, y0), 10)
        if self.from_side:
            piece = clipped_line((x0, y0), (x0 + 120, y0), self.box)
            if abs(self.angle) > 0.02 and piece:
                self.picture.line(*piece, "muted", 1.2, "3 5")

    def _ends(self, way, share):
        start = self._at(share)
        return start, (start[0] + way[0] * self.per, start[1] - way[1] * self.per)

    def _arrow(self, force):
        part, way, share = force
        colour, dash = LOOKS[part.name]
        start, end = self._ends(way, share)
        if hypot(end[0] - start[0], end[1] - start[1]) < 4:
            self.picture.circle(start, 3.5, colour, "paper", 1)
        else:
            self.picture.arrow(start, end, colour, 4 if part.name == "reaction" else 3.2, dash)
            self.picture.circle(start, 3, "ink", "paper", 0.8)
        self.labels.keep_off([start, end], 6)
        self.labels.keep_clear(end, 4)

    def _name(self, part, way, share):
        start, end = self._ends(way, share)
        long = hypot(end[0] - start[0], end[1] - start[1])
        at = end if long > 24 else start
        colour = LOOKS[part.name][0]
        words = [part.name, _force(hypot(*way), self.system)]
        self.labels.beside(at, words, colour=colour, size=FINE, bold=True, gap=4)

    def _sum_arc(self):
        """The sum at the base as an arc that turns the way it acts."""
        name = "in_plane_moment" if self.from_side else "side_moment"
        value = getattr(self.loads, name)
        if value is None or abs(value.magnitude) < SMALL:
            return
        number = value.magnitude
        x, y = self.base
        radius = 34.0
        # Clockwise on the page lowers a tip that lies to the right; from above it is to the right.
        clockwise = number > 0 if self.from_side else number < 0
        start, end = (200, 330) if clockwise else (330, 200)
        self.picture.arc((x, y), radius, start, end, "push", 3)
        tip = radians(end)
        at = (x + radius * sin(tip), y - radius * cos(tip))
        turn = 1 if clockwise else -1
        way = (cos(tip) * turn, sin(tip) * turn)
        self.picture.arrow((at[0] - way[0] * 3, at[1] - way[1] * 3), (at[0] + way[0] * 12, at[1] + way[1] * 12), "push", 3)  # fmt: skip
        self.labels.keep_off([(x + radius * sin(radians(a)), y - radius * cos(radians(a))) for a in range(200, 331, 10)], 6)  # fmt: skip
        self.labels.keep_clear(at, 12)
        if self.from_side:
            words = "lowers the tip" if number > 0 else "lifts the tip"
        else:
            words = "to the left" if number > 0 else "to the right"
        lines = ["moment at the base", _moment(number, self.system), words]
        self.labels.beside((x - radius, y), lines, colour="push", size=FINE, bold=True, gap=8)

    def _scale(self):
        y = self.bottom + 30
        bar = ARROW_PX / 2
        words = f"force: {show(quantity(self.full / 2, 'lbf'), self.system)}"
        self.picture.scale_bar((SIDE, y), bar, words)
        if self.labels.left_out:
            words = f"Also: {'; '.join(self.labels.left_out)}"
            for line in wrapped(words, FINE, WIDTH - 2 * SIDE):
                y += 20
                self.picture.text((SIDE, y), line, "ink", FINE)
        return y + 12


def _bars(picture, loads, name, title, ways, system, y):
    """A part's moment as a bar to the left (minus) or right (plus) of a line; gives the foot."""
    # What turns to the left goes to the left of the page.
    turn = -1 if name == "side_moment" else 1
    shares = [(p.name, turn * _number(getattr(p, name))) for p in loads.parts]
    shares = [(part, number) for part, number in shares if abs(number) >= SMALL]
    y += 18
    picture.text((SIDE, y), title, "ink", 15, "start", bold=True)
    total = getattr(loads, name)
    if not shares:
        picture.text((SIDE, y + 20), "none from any part", "ink", FINE)
        return y + 28
    names = max(text_width(n, FINE) for n, _ in shares) + SIDE + 10
    words = max(text_width(_moment(n, system), FINE) for _, n in shares)
    most = max(abs(n) for _, n in shares)
    both = any(n < 0 for _, n in shares), any(n > 0 for _, n in shares)
    left, right = (
        names + (words + 8 if both[0] else 6),
        WIDTH - SIDE - (words + 8 if both[1] else 6),
    )
    zero = {(True, True): None, (False, True): left, (True, False): right}[both]
    if zero is None:
        least, top = (max(s * n for _, n in shares) for s in (-1, 1))
        zero = left + (right - left) * least / (least + top)
    per = (right - left) / (most if not all(both) else least + top)
    y += 8
    first = y
    for part, number in shares:
        y += 22
        colour, _ = LOOKS[part]
        end = zero + number * per
        box = [(min(zero, end), y - 13), (max(zero, end), y - 13), (max(zero, end), y + 1), (min(zero, end), y + 1)]  # fmt: skip
        picture.polygon(box, fill=colour, stroke=colour)
        picture.text((SIDE, y), part, "ink", FINE)
        side = "start" if number > 0 else "end"
        picture.text(
            (end + (6 if number > 0 else -6), y), _moment(number, system), "ink", FINE, side
        )
    picture.line((zero, first + 4), (zero, y + 7), "ink", 1.6)
    said = [w for w, there in zip((f"← {ways[0]}", f"{ways[1]} →"), both, strict=True) if there]
    y += 22
    tail = ", ".join(said)
    whole = "not known: see what is not entered" if total is None else _whole(turn * total.magnitude, ways, system)  # fmt: skip
    for line in wrapped(f"{tail}. All together {whole}.", FINE, WIDTH - 2 * SIDE):
        picture.text((SIDE, y), line, "ink", FINE)
        y += 18
    return y - 4


def _whole(number, ways, system):
    if abs(number) < SMALL:
        return _moment(0, system)
    return f"{_moment(number, system)}, {ways[number > 0]}"


def _turntable(picture, loads, system, y):
    """The sums at the turntable, in words."""
    y += 24
    picture.text((SIDE, y), "At the turntable, all parts together", "ink", 15, "start", bold=True)
    for name, label, plus, minus in SIDEWAYS:
        words = f"{label}: {_sum_words(loads, name, plus, minus, system)}."
        for line in wrapped(words, FINE, WIDTH - 2 * SIDE):
            y += 19
            picture.text((SIDE, y), line, "ink", FINE)
    return y + 14


__all__ = ["describe", "load_arrows"]
