"""What the upright plane through a stream cuts of a building, for side views. Plain numbers, ft.

The axes are those of the view (`_core.surfaces`). A side view shows x and z; the line over the
ground, from the tip to what is struck, says which openings, canopies and walls it goes through.
"""

from aerialstream._core.surfaces import roof_planes
from aerialstream.errors import ImpossibleValue


def use_of(result):
    """The WaterUse of a result: itself, or that of a set-up that was found."""
    use = getattr(result, "use", result)
    if use is None:
        raise ImpossibleValue(f"There is no set-up to draw: {result.reason}")
    return use


def middle_to(use, along_ft):
    """The middle of the stream as (x, y, z) points, to a way along it from the tip."""
    points, gone = [use.outcome.points[0][1:4]], 0.0
    for one in use.outcome.points[1:]:
        there, last = one[1:4], points[-1]
        leg = sum((a - b) ** 2 for a, b in zip(there, last, strict=True)) ** 0.5
        if gone + leg >= along_ft:
            share = (along_ft - gone) / leg if leg else 0.0
            return [*points, tuple(a + (b - a) * share for a, b in zip(last, there, strict=True))]
        points.append(there)
        gone += leg
    return points


def drawn_to(use):
    """(points, end) of the path as far as it is drawn: to what it strikes, or all of it.

    What comes in may be an edge of the stream: then the path leans off the middle from the tip on,
    so that it ends at that strike.
    """
    strike = use.outcome.inside or use.outcome.strike
    if strike is None:
        return [point[1:4] for point in use.outcome.points], None
    points = middle_to(use, strike.distance_along_ft)
    off = [a - b for a, b in zip(strike.point, points[-1], strict=True)]
    last = len(points) - 1
    leaning = [
        tuple(a + o * n / last for a, o in zip(point, off, strict=True))
        for n, point in enumerate(points)
    ]
    return [*leaning[:-1], strike.point], strike


class Cut:
    """The line over the ground of a side view: y on it for any x."""

    def __init__(self, tip, end):
        ahead = end[0] - tip[0]
        self.tip = tip
        self.slope = (end[1] - tip[1]) / ahead if ahead > 0.5 else 0.0

    def y(self, x):
        """Where the line is at x."""
        return self.tip[1] + self.slope * (x - self.tip[0])

    def within(self, x0, x1, y0, y1):
        """(from, to) in x of the line's part in a rectangle, or None."""
        if abs(self.slope) < 1e-9:
            return (x0, x1) if y0 <= self.tip[1] <= y1 else None
        ends = sorted(self.tip[0] + (y - self.tip[1]) / self.slope for y in (y0, y1))
        low, high = max(x0, ends[0]), min(x1, ends[1])
        return (low, high) if low <= high else None


def cut_of(use):
    """The line of a result's side view."""
    points, strike = drawn_to(use)
    crossing = use.outcome.crossing
    end = strike.point if strike else (crossing.point if crossing else points[-1])
    return Cut(points[0], end)


def roof_height(roof, x, y):
    """Height of the roof over a place of its footprint."""
    y = min(max(y, roof.y0_ft), roof.y1_ft)
    return min((offset - a * x - b * y) / c for (a, b, c), offset, *_ in roof_planes(roof))


def roof_profile(roof, cut):
    """The roof's line in the side view as (x, z) points."""
    stops = [0.0, roof.depth_ft]
    if roof.ridge_along == "y":
        stops.append(roof.depth_ft / 2)
    elif roof.ridge_along == "x" and abs(cut.slope) > 1e-9:
        middle = (roof.y0_ft + roof.y1_ft) / 2
        stops += [
            x for x in (cut.tip[0] + (middle - cut.tip[1]) / cut.slope,) if 0 < x < roof.depth_ft
        ]
    return [(x, roof_height(roof, x, cut.y(x))) for x in sorted(stops)]


def ceiling_height(view, x, cut, *, above=False):
    """Underside of the ceiling over x; with above, of the layer that a suspended tile hangs under."""
    ceiling = view.room.ceiling
    if ceiling.height_ft == float("inf"):
        return roof_height(view.roof, x, cut.y(x))
    return ceiling.above_ft if above and ceiling.above_kind else ceiling.height_ft


class Window:
    """The part of a side view that a picture shows: left, right, low and high in ft."""

    def __init__(self, left, right, low, high):
        self.left, self.right, self.low, self.high = left, right, low, high

    def __or__(self, other):
        return Window(
            min(self.left, other.left),
            max(self.right, other.right),
            min(self.low, other.low),
            max(self.high, other.high),
        )


def window_of(use):
    """What a side view of a result has to show; join several with | for a row of pictures alike."""
    view, cut = use.view, cut_of(use)
    points, strike = drawn_to(use)
    roof, room = view.roof, view.room
    far = roof.depth_ft
    if room is not None and strike is not None and roof.depth_ft - room.depth_ft > 15:
        far = room.depth_ft + 6
    if strike is not None:
        right = max(far + 4, min(strike.point[0] + 4, roof.depth_ft + 12))
    else:
        right = min(max(p[0] for p in points), roof.depth_ft + 25) + 2
        right = max(right, roof.depth_ft + 4)
    seen = [p[2] for p in points if p[0] <= right]
    tops = [z for x, z in roof_profile(roof, cut) if x <= right]
    ahead = max(right - points[0][0], 30.0)
    return Window(
        min(points[0][0], -8.0) - 0.10 * ahead,
        right,
        0.0,
        max(*seen, *tops, *view.parapet_tops_ft[:2]) + 0.06 * ahead,
    )
