"""Words set beside the things they name: round about, as near as there is room."""

from math import cos, hypot, pi, sin

from aerialstream.charts.labels import Labels, text_width, wrapped

_AWAY = (8, 15, 25, 38, 54, 74, 98, 126, 160)
_WAYS = tuple((cos(k * pi / 6), -sin(k * pi / 6)) for k in (0, 6, 3, 9, 1, 5, 11, 7, 2, 4, 10, 8))
_LEADER_FROM = 18  # px; words farther from what they name get a thin line to it


class Nearby(Labels):
    """Labels that look for room all round a point, and are painted when all have found theirs.

    What finds no room is kept in `left_out`, for a list below the picture, so that nothing is lost
    and nothing overlaps.
    """

    def __init__(self, picture, frame):
        super().__init__(picture, frame)
        self._waiting = []

    def keep_clear(self, centre, half):
        """A mark that no words may cover."""
        x, y = centre
        self.block((x - half, y - half, x + half, y + half))

    def beside(
        self, at, words, *, colour="ink", size=14, bold=False, gap=0.0, off=(), strict=False
    ):
        """Words beside a point; words may be several lines.

        gap is how far the thing itself reaches, one number or (across, up). off are boxes that the
        words should rather not lie over; strict takes no place over a line either.
        """
        lines = (words,) if isinstance(words, str) else tuple(words)
        wide, high = _size(lines, size, bold)
        over, up = gap if isinstance(gap, tuple) else (gap, gap)
        centres = (
            (at[0] + ux * (away + over + wide / 2), at[1] + uy * (away + up + high / 2))
            for away in _AWAY
            for ux, uy in _WAYS
        )
        look = (colour, size, bold)
        if self._settle(tuple(centres), lines, look, at, (over, up), off, strict):
            return True
        self.left_out.append(" ".join(lines))
        return False

    def beside_one_of(self, points, words, **look):
        """Words beside the first of several points where they cover no line, else where they fit."""
        inside = [p for p in points if self.holds(p)] or list(points)[:1]
        for strict in (True, False):
            for at in inside:
                if self.beside(at, words, strict=strict, **look):
                    return True
                lost = self.left_out.pop()
        self.left_out.append(lost)
        return False

    def holds(self, at):
        """Whether a point lies in the frame."""
        left, top, right, bottom = self.frame
        return left < at[0] < right and top < at[1] < bottom

    def centred(self, centres, words, *, colour="ink", size=14, bold=False):
        """Words centred on the first of some points where there is room; True if there was."""
        lines = (words,) if isinstance(words, str) else tuple(words)
        return self._settle(tuple(centres), lines, (colour, size, bold), None, (0.0, 0.0))

    def _settle(self, centres, lines, look, at, gap, off=(), strict=False):
        """Take the first place that covers nothing, else one whose thin line crosses others, else
        one over a line of the drawing, else one over a thing to keep off."""
        wide, high = _size(lines, look[1], look[2])
        second = third = fourth = None
        for x, y in centres:
            box = (x - wide / 2 - 2, y - high / 2, x + wide / 2 + 2, y + high / 2)
            if not self._free(box):
                continue
            foreign = any(_meet(box, o) for o in off)
            over = foreign or self._on_a_line(box)
            if over and (strict or third or (foreign and fourth)):
                continue
            leader = None if at is None else _leader(at, box, gap)
            if leader and any(_meet_point(p, b) for p in _steps(*leader) for b in self.taken):
                continue
            if foreign:
                fourth = (box, leader)
            elif over:
                third = (box, leader)
            elif leader and any(_near(p, q) for p in _steps(*leader) for q in self.lines):
                second = second or (box, leader)
            else:
                return self._take(box, leader, lines, look)
        chosen = second or third or fourth
        return bool(chosen) and self._take(*chosen, lines, look)

    def _take(self, box, leader, lines, look):
        if leader:
            self.picture.line(*leader, "muted", 1)
            self.keep_off(leader)
        self.taken.append(box)
        self._waiting.append((((box[0] + box[2]) / 2, box[1]), lines, look))
        return True

    def _on_a_line(self, box):
        left, top, right, bottom = box
        return any(left < x < right and top < y < bottom for x, y in self.lines)

    def draw(self):
        """Paint the words."""
        for (x, top), lines, (colour, size, bold) in self._waiting:
            for number, line in enumerate(lines):
                base = top + number * (size + 4) + size
                self.picture.text((x, base), line, colour, size, "middle", bold)
        self._waiting = []


def _size(lines, size, bold):
    return max(text_width(line, size, bold) for line in lines), len(lines) * (size + 4)


def _leader(at, box, gap):
    """(start, end) of the thin line from a thing to its words, None where they stand close."""
    start = tuple(
        p + min(max(min(max(p, low), high) - p, -reach), reach)
        for p, low, high, reach in zip(at, box[:2], box[2:], gap, strict=True)
    )
    end = tuple(
        min(max(p, low), high) for p, low, high in zip(start, box[:2], box[2:], strict=True)
    )
    return (start, end) if hypot(end[0] - start[0], end[1] - start[1]) > _LEADER_FROM else None


def _steps(start, end):
    """Points along a thin line, without those on the mark that it starts from."""
    long = hypot(end[0] - start[0], end[1] - start[1])
    count = int(long / 6) + 1
    for n in range(count):
        if n * long / count > 11:
            yield tuple(a + (b - a) * n / count for a, b in zip(start, end, strict=True))


def _meet_point(point, box):
    return box[0] < point[0] < box[2] and box[1] < point[1] < box[3]


def _near(point, other):
    return abs(point[0] - other[0]) < 5 and abs(point[1] - other[1]) < 5


def _meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def evenly(words, size, width, bold=False):
    """Words in as few lines as fit a width, the lines about alike in length."""
    lines = wrapped(words, size, width, bold)
    while width > 40:
        width -= 8
        tighter = wrapped(words, size, width, bold)
        if len(tighter) > len(lines):
            break
        lines = tighter
    return lines
