"""The rig on its pads, seen from above: what each pad carries, and the lines it would tip over.

Pads stand where the department entered them; the load of each is a bar to one scale.
"""

from math import cos, radians, sin

from aerialstream.charts.labels import wrapped
from aerialstream.charts.nearby import Nearby
from aerialstream.charts.plan_frame import Frame, hatch, scale_bar
from aerialstream.charts.svg import FINE, Picture
from aerialstream.units import show

WIDTH, SIDE = 720, 14
PLAN_HIGH, BAR_PX = 420.0, 90.0
CORNERS = {
    "front left": (-1, 1),
    "front right": (1, 1),
    "rear left": (-1, -1),
    "rear right": (1, -1),
}
LINES = {  # tipping line -> the two pads it runs through
    "left": ("front left", "rear left"),
    "right": ("front right", "rear right"),
    "front": ("front left", "front right"),
    "rear": ("rear left", "rear right"),
}


def _feet(value):
    return float(value.to("foot").magnitude)


def _loads(result):
    return {pad.name: pad.load for pad in result.pads}


def ratio_words(ratio):
    """A ratio in words; where next to nothing turns over a line, its digits say nothing."""
    number = float(ratio.magnitude)
    return "ratio above 100" if number > 100 else f"ratio {number:.2f}"


def describe(result, system="US"):
    """What the pads show, with the key numbers, for those who cannot see them."""
    if result.missing:
        return f"{result.title}: not known, not entered are {'; '.join(result.missing)}."
    said = [f"{result.title}, pads seen from above, cab up the page."]
    if result.pads:
        carried = ", ".join(f"{n} {show(q, system, 'weight')}" for n, q in _loads(result).items())
        said.append(f"Pads carry: {carried}.")
    if result.lifted:
        said.append(f"The {result.lifted} pad lifts: it carries nothing.")
    said.append(_least_words(result))
    return " ".join(said)


def _least_words(result):
    if result.toward is None:
        return "Nothing turns over any of the four lines."
    said = f"Least {ratio_words(result.ratio)}, over the {result.toward} pads."
    if not result.pads:
        said += " Nothing balances on the pads alone: the rig goes over. Do not."
    return said


def pads(result, *, apparatus, system="US"):
    """The four pads with what they carry, the four tipping lines with their ratios.

    Takes
      result      an Overturning
      apparatus   the Apparatus it was worked out for: says where its pads and chassis are
      system      "US" or "metric", for the labels
    Gives
      Picture
    """
    picture = Picture(WIDTH, 0, describe(result, system))
    y = 27
    picture.text((SIDE, y), result.title, "ink", 17, "start", bold=True)
    lines = [_least_words(result), f"Required ratio: {result.verdict}"]
    if result.missing:
        lines = [f"Not known. Not entered are: {'; '.join(result.missing)}."]
    if result.lifted:
        lines.insert(0, f"THE {result.lifted.upper()} PAD LIFTS: it carries nothing, the other three carry all.")  # fmt: skip
    for words in lines:
        for line in wrapped(words, 14, WIDTH - 2 * SIDE, bold=True):
            y += 20
            picture.text((SIDE, y), line, "ink", 14, "start", bold=words.startswith("THE "))
    if apparatus.stabilisers is None:
        picture.height = y + 20
        return picture
    foot = _Plan(picture, result, apparatus, system, y + 10).drawn()
    picture.height = round(foot)
    return picture


class _Plan:
    """The rig from above: x to its right, y toward the cab, in ft."""

    def __init__(self, picture, result, apparatus, system, top):
        self.picture, self.result, self.system = picture, result, system
        self.apparatus = apparatus
        pads = apparatus.stabilisers
        half = _feet(pads.spread) / 2
        self.size = _feet(pads.pad) if pads.pad is not None else 1.5
        self.at = {
            name: (side * half, _feet(pads.ahead if end > 0 else pads.behind))
            for name, (side, end) in CORNERS.items()
        }
        low, high = _feet(pads.behind), _feet(pads.ahead)
        chassis = apparatus.chassis
        self.front, self.rear = high + 4, low - 4
        if chassis is not None:
            self.front = _feet(chassis.turntable_from_front)
            self.rear = self.front - _feet(chassis.length)
        part = (-half - 12, min(self.rear, low) - 2.5, half + 12, max(self.front, high) + 2.5)
        self.box = (SIDE, top, WIDTH - SIDE, top + PLAN_HIGH)
        self.frame = Frame(part, self.box)
        self.labels = Nearby(picture, self.box)

    def drawn(self):
        """Paint it; gives the foot."""
        self._chassis()
        self._ladder()
        if not self.result.missing:
            for name in LINES:
                self._line(name)
        for name in self.at:
            self._pad(name)
        if not self.result.missing:
            self.labels.beside(self._points, ["ladder", "points here"], size=FINE, gap=14)
            for name in sorted(LINES, key=lambda n: n != self.result.toward):
                self._line_words(name)
        self.labels.draw()
        y = self.box[3] + 34
        scale_bar(self.picture, (SIDE + 4, y), self.frame.scale, self.system)
        x = SIDE + 220
        if self.result.pads:
            self.picture.polygon([(x, y - BAR_PX / 3), (x + 10, y - BAR_PX / 3), (x + 10, y), (x, y)], fill="ink")  # fmt: skip
            third = show(self._fullest() / 3, self.system, "weight")
            self.picture.text(
                (x + 18, y), f"bar beside a pad: its load, this one {third}", "ink", FINE
            )
        for words in self.labels.left_out:
            for line in wrapped(f"Also: {words}", FINE, WIDTH - 2 * SIDE):
                y += 19
                self.picture.text((SIDE, y), line, "ink", FINE)
        return y + 16

    def _chassis(self):
        width = self.apparatus.chassis.width if self.apparatus.chassis is not None else None
        half = _feet(width) / 2 if width is not None else 4.0
        px = self.frame.px
        body = [px(p) for p in ((-half, self.front), (half, self.front), (half, self.rear), (-half, self.rear))]  # fmt: skip
        middle = self.frame.px((0, 0))
        for at in self.at.values():
            pad = px(at)
            self.picture.line((middle[0], pad[1]), pad, "steel", 7)
        self.picture.polygon(body, fill="paper", stroke="ink", width=2)
        cab = self.front - 0.16 * (self.front - self.rear)
        nose = [body[0], body[1], px((half, cab)), px((-half, cab))]
        self.picture.polygon(nose, fill="ink", opacity=0.85)
        for start, end in zip(body, [*body[1:], body[0]], strict=True):
            self.labels.keep_off([start, end])
        self.labels.block((nose[0][0], nose[0][1], nose[1][0], nose[2][1]))
        self.labels.beside((middle[0], px((0, self.front))[1]), "cab", size=FINE)

    def _ladder(self):
        """The way the ladder points, to the left of the cab where the bearing is plus."""
        way = radians(self.result.bearing.to("degree").magnitude)
        ux, uy = -sin(way), -cos(way)
        x, y = self.frame.px((0, 0))
        half = abs(self.at["front left"][0]) * self.frame.scale
        far = round(max(44.0, half - self.size * self.frame.scale / 2 - 26))
        end = (x + ux * far, y + uy * far)
        for off in (-5, 5):
            a, b = ((p[0] - uy * off, p[1] + ux * off) for p in ((x, y), end))
            self.picture.line(a, b, "paper", 6)
            self.picture.line(a, b, "steel", 3)
        rungs = [
            ((x + ux * d - uy * 5, y + uy * d + ux * 5), (x + ux * d + uy * 5, y + uy * d - ux * 5))
            for d in range(14, far, 11)
        ]
        self.picture.strokes(rungs, "steel", 1.5)
        self.picture.arrow((end[0] - ux * 6, end[1] - uy * 6), (end[0] + ux * 16, end[1] + uy * 16), "ink", 3)  # fmt: skip
        self.picture.circle((x, y), 9, "paper", "ink", 2.6)
        self.labels.keep_clear((x, y), 11)
        self.labels.keep_off([(x, y), (end[0] + ux * 16, end[1] + uy * 16)], 6)
        self._points = end

    def _line(self, name):
        a, b = (self.frame.px(self.at[pad]) for pad in LINES[name])
        least = name == self.result.toward
        colour, width, dash = ("push", 3.6, "") if least else ("muted", 1.6, "7 5")
        self.picture.line(a, b, "paper", width + 3)
        self.picture.line(a, b, colour, width, dash)
        self.labels.keep_off([a, b])

    def _line_words(self, name):
        a, b = (self.frame.px(self.at[pad]) for pad in LINES[name])
        line = getattr(self.result, name)
        words = [f"over the {name} pads:"]
        words += ["nothing turns over it"] if line.ratio is None else [ratio_words(line.ratio)]  # fmt: skip
        least = name == self.result.toward
        if least:
            words[1] += ", the least"
        along = [tuple(p + k * (q - p) for p, q in zip(a, b, strict=True)) for k in (0.5, 0.3, 0.7)]
        colour = "push" if least else "ink"
        self.labels.beside_one_of(along, words, colour=colour, size=FINE, bold=least, gap=4)

    def _fullest(self):
        return max(_loads(self.result).values())

    def _pad(self, name):
        x, y = self.frame.px(self.at[name])
        half = max(5.0, self.size * self.frame.scale / 2)
        box = [
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        ]
        lifted = name == self.result.lifted
        self.picture.polygon(box, fill="paper", stroke="ink", width=2.4)
        if not lifted:
            self.picture.strokes(hatch([box], 4, 45), "ink", 1.4)
        self.labels.keep_clear((x, y), half + 2)
        load = _loads(self.result).get(name)
        outside = -1 if x < self.frame.centre[0] else 1
        if load is None:
            self.labels.beside((x, y), [name], size=FINE, gap=half)
            return
        at = x + outside * (half + 13)
        high = BAR_PX * float((load / self._fullest()).to("").magnitude)
        foot = y + half
        self.picture.line((at - 9, foot), (at + 9, foot), "ink", 1.6)
        bar = [(at - 5, foot - high), (at + 5, foot - high), (at + 5, foot), (at - 5, foot)]
        if high > 0.5:
            self.picture.polygon(bar, fill="ink")
        self.labels.block((at - 9, foot - high, at + 9, foot + 2))
        words = [name, show(load, self.system, "weight")]
        if lifted:
            words = [name, "LIFTS,", "carries nothing"]
        self.labels.beside((at + outside * 5, foot - high / 2), words, size=14, bold=True, gap=8)


__all__ = ["describe", "pads"]
