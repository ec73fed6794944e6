"""Words set beside the things they name: round about, as near as there is room."""

from math import cos, hypot, pi, sin

from aerialstream.charts.labels import Labels, text_width

_AWAY = (8, 15, 25, 38, 54, 74, 98, 126, 160)
_WAYS = tuple((cos(k * pi / 6), -sin(k * pi / 6)) for k in (0, 6, 3, 9, 1, 5, 11, 7, 2, 4, 10, 8))
_LEADER_FROM = 26  # px; words farther from what they name get a thin line to it


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

    def beside(self, at, words, *, colour="ink", size=14, bold=False, gap=0.0):
        """Words beside a point. gap is how far the thing itself reaches; words may be lines."""
        lines = (words,) if isinstance(words, str) else tuple(words)
        wide, high = _size(lines, size, bold)
        centres = (
            (at[0] + ux * (away + gap + wide / 2), at[1] + uy * (away + gap + high / 2))
            for away in _AWAY
            for ux, uy in _WAYS
        )
        if self._settle(tuple(centres), lines, (colour, size, bold), at, gap):
            return True
        self.left_out.append(" ".join(lines))
        return False

    def centred(self, centres, words, *, colour="ink", size=14, bold=False):
        """Words centred on the first of some points where there is room; True if there was."""
        lines = (words,) if isinstance(words, str) else tuple(words)
        return self._settle(tuple(centres), lines, (colour, size, bold), None, 0.0)

    def _settle(self, centres, lines, look, at, gap):
        wide, high = _size(lines, look[1], look[2])
        for over_lines in (False, True):
            for x, y in centres:
                box = (x - wide / 2 - 2, y - high / 2, x + wide / 2 + 2, y + high / 2)
                if not self._free(box) or (not over_lines and self._on_a_line(box)):
                    continue
                near = at and (min(max(at[0], box[0]), box[2]), min(max(at[1], box[1]), box[3]))
                if at and hypot(near[0] - at[0], near[1] - at[1]) > _LEADER_FROM + gap:
                    if not self._clear_way(at, near, gap):
                        continue
                    self.picture.line(at, near, "muted", 1)
                    self.keep_off([at, near])
                self.taken.append(box)
                self._waiting.append(((x, box[1]), lines, look))
                return True
        return False

    def _on_a_line(self, box):
        left, top, right, bottom = box
        return any(left < x < right and top < y < bottom for x, y in self.lines)

    def _clear_way(self, start, end, gap):
        """Whether a thin line would cross no other words or marks."""
        long = hypot(end[0] - start[0], end[1] - start[1])
        count = int(long / 6) + 1
        for n in range(count):
            if n * long / count <= gap + 8:  # the mark that the line starts from
                continue
            x = start[0] + (end[0] - start[0]) * n / count
            y = start[1] + (end[1] - start[1]) * n / count
            if any(b[0] < x < b[2] and b[1] < y < b[3] for b in self.taken):
                return False
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
