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

    def beside(self, at, words, *, colour="ink", size=14, bold=False, gap=0.0, off=()):
        """Words beside a point; words may be several lines.

        gap is how far the thing itself reaches, one number or (across, up). off are boxes that the
        words should rather not lie over.
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
        if self._settle(tuple(centres), lines, look, at, (over, up), off):
            return True
        self.left_out.append(" ".join(lines))
        return False

    def centred(self, centres, words, *, colour="ink", size=14, bold=False):
        """Words centred on the first of some points where there is room; True if there was."""
        lines = (words,) if isinstance(words, str) else tuple(words)
        return self._settle(tuple(centres), lines, (colour, size, bold), None, (0.0, 0.0))

    def _settle(self, centres, lines, look, at, gap, off=()):
        wide, high = _size(lines, look[1], look[2])
        for over_lines in (False, True):
            for x, y in centres:
                box = (x - wide / 2 - 2, y - high / 2, x + wide / 2 + 2, y + high / 2)
                if not self._free(box):
                    continue
                if not over_lines and (self._on_a_line(box) or any(_meet(box, o) for o in off)):
                    continue
                if at is not None and not self._led(at, box, gap):
                    continue
                self.taken.append(box)
                self._waiting.append(((x, box[1]), lines, look))
                return True
        return False

    def _on_a_line(self, box):
        left, top, right, bottom = box
        return any(left < x < right and top < y < bottom for x, y in self.lines)

    def _led(self, at, box, gap):
        """Draw a thin line to words that stand far off; False where it would cross others."""
        start = tuple(
            p + min(max(min(max(p, low), high) - p, -reach), reach)
            for p, low, high, reach in zip(at, box[:2], box[2:], gap, strict=True)
        )
        end = tuple(
            min(max(p, low), high) for p, low, high in zip(start, box[:2], box[2:], strict=True)
        )
        long = hypot(end[0] - start[0], end[1] - start[1])
        if long <= _LEADER_FROM:
            return True
        count = int(long / 6) + 1
        for n in range(count):
            if n * long / count <= 11:  # the mark that the line starts from
                continue
            x, y = (a + (b - a) * n / count for a, b in zip(start, end, strict=True))
            if any(b[0] < x < b[2] and b[1] < y < b[3] for b in self.taken):
                return False
        self.picture.line(start, end, "muted", 1)
        self.keep_off([start, end])
        return True

    def draw(self):
        """Paint the words."""
        for (x, top), lines, (colour, size, bold) in self._waiting:
            for number, line in enumerate(lines):
                base = top + number * (size + 4) + size
                self.picture.text((x, base), line, colour, size, "middle", bold)
        self._waiting = []


def _size(lines, size, bold):
    return max(text_width(line, size, bold) for line in lines), len(lines) * (size + 4)


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
