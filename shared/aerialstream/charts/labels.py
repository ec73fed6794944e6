"""Words in a picture that keep off each other: each label takes the best of several places.

Widths of text are guessed on the wide side, since the typeface of a station PC is not known.
"""

from functools import lru_cache
from itertools import pairwise

from aerialstream.charts.plan_frame import clipped_line
from aerialstream.charts.svg import FINE

# Of the size; a wide typeface (DejaVu Sans), since fonts differ from machine to machine.
_WIDTHS = {
    **dict.fromkeys("ijl'", 0.31),
    **dict.fromkeys(" .,:;|!I", 0.35),
    **dict.fromkeys("ftr()[]-/", 0.42),
    **dict.fromkeys("mwMW%@", 0.98),
    **dict.fromkeys("ABCDEFGHJKLNOPQRSTUVXYZ", 0.73),
}
_TALL, _DEEP = 0.82, 0.27  # of the size, above and below the baseline
_SOFT_COST, _RANK_COST = 4.0, 1.0


@lru_cache(4096)  # a live picture asks for the same words at every move
def text_width(words, size, bold=False):
    """About how many px some words take, rather too many than too few."""
    return sum(_WIDTHS.get(c, 0.64) for c in words) * size * (1.14 if bold else 1.0)


def text_box(at, words, size, anchor, bold=False):
    """(left, top, right, bottom) of words at (x, y) of their baseline."""
    wide = text_width(words, size, bold)
    left = at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return left, at[1] - _TALL * size, left + wide, at[1] + _DEEP * size


def wrapped(words, size, room, bold=False):
    """Words as lines that are not wider than `room` px."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width(longer, size, bold) > room:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


def _meet(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


class Labels:
    """Places words in a Picture.

    Takes
      picture   a Picture
      frame     (left, top, right, bottom) that no word may leave
    """

    def __init__(self, picture, frame):
        self.picture, self.frame = picture, frame
        self.taken, self.lines, self.left_out = [], [], []

    def block(self, box):
        """Keep all words out of a box."""
        self.taken.append(box)

    def keep_off(self, points, step=8.0):
        """Let words rather not lie over a line through (x, y) points."""
        for (x0, y0), (x1, y1) in pairwise(points):
            count = int(max(abs(x1 - x0), abs(y1 - y0)) / step) + 1
            self.lines += [
                (x0 + (x1 - x0) * n / count, y0 + (y1 - y0) * n / count) for n in range(count)
            ]
        if points:
            self.lines.append(points[-1])

    def _free(self, box):
        left, top, right, bottom = self.frame
        inside = box[0] >= left and box[1] >= top and box[2] <= right and box[3] <= bottom
        return inside and not any(_meet(box, other) for other in self.taken)

    def _cost(self, box):
        left, top, right, bottom = box
        return sum(left <= x <= right and top <= y <= bottom for x, y in self.lines)

    def clear(self, box):
        """Whether a box is inside the frame, and free of words and lines."""
        return self._free(box) and not self._cost(box)

    def put(self, words, places, *, colour="ink", size=FINE, bold=False, point=None):
        """Write words at the best free place; False, and kept in `left_out`, where there is none.

        Takes
          places   (x, y, anchor) of the baseline, the dearest first
          point    what the words speak of, (x, y) or a box (left, top, right, bottom): a thin line
                   leads to its nearest place where they stand far off
        """
        best = None
        for rank, (x, y, anchor) in enumerate(self._with_shifts(places, size)):
            if best is not None and best[0] <= _RANK_COST * rank:
                break  # no later place can be better
            box = text_box((x, y), words, size, anchor, bold)
            if not self._free(box):
                continue
            cost = _RANK_COST * rank + _SOFT_COST * self._cost(box)
            if best is None or cost < best[0]:
                best = (cost, (x, y), anchor, box)
        if best is None:
            self.left_out.append(words)
            return False
        _, at, anchor, box = best
        if point is not None:
            self._lead(box, point)
        self.picture.text(at, words, colour, size, anchor, bold)
        self.taken.append(box)
        return True

    @staticmethod
    def _with_shifts(places, size):
        """The places, then the same moved up and down by lines."""
        yield from places
        for lines in (1, -1, 2, -2, 3, -3, 4, -4):
            for x, y, anchor in places:
                yield x, y + 1.25 * size * lines, anchor

    def _lead(self, box, point):
        left, top, right, bottom = box
        low, high = point[:2], point[-2:]
        ways = []
        for x in ((left + right) / 2, left + 4, right - 4):
            end = (min(max(x, low[0]), high[0]), min(max(top, low[1]), high[1]))
            ways.append(((min(max(end[0], left), right), min(max(end[1], top), bottom)), end))
        start, end = next((way for way in ways if self._crosses_no_words(*way)), ways[0])
        if max(abs(start[0] - end[0]), abs(start[1] - end[1])) > 22:
            self.picture.line(start, end, "muted", 1)

    def _crosses_no_words(self, start, end):
        return not any(clipped_line(start, end, box) for box in self.taken)
