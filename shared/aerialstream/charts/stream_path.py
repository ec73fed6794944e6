"""Path of a stream seen from the side, and from above where it drifts, from `stream_path`."""

from math import hypot

from aerialstream._core.stream import width_m
from aerialstream.charts.labels import Labels, wrapped
from aerialstream.charts.svg import FINE, Picture
from aerialstream.constants import METERS_PER_FOOT
from aerialstream.units import quantity, show

WIDTH, SIDE = 720, 16
TALLEST, LOWEST = 330.0, 110.0
BELOW = 84
PLAN_LOWEST, PLAN_TALLEST, PLAN_EDGE = 70.0, 240.0, 30.0
THROW_BAND = 0.15  # what the throw is good to, by its own notes
LEAST_DRIFT_FT = 0.5
DASHES = ("10 5", "3 5", "12 4 3 4", "1 6")  # of the paths to compare with


def whole(value, system):
    """A long distance in whole feet or metres, as the result itself prints it."""
    unit, label = ("foot", "ft") if system == "US" else ("meter", "m")
    return f"{value.to(unit).magnitude:,.0f} {label}"


def lands(path, system):
    """How far out the last water lands; strong wind may bring it down behind the nozzle."""
    way = "behind the nozzle" if path.throw.magnitude < 0 else "ahead"
    return f"{whole(abs(path.throw), system)} {way}"


def _feet(value):
    return float(value.to("foot").magnitude)


def wind_words(path, system):
    """The wind of a path in words, or an empty text."""
    ahead, left = path.flight.wind[:2]
    speed = hypot(ahead, left)
    if speed < 0.05:
        return ""
    parts = []
    if abs(ahead) > 0.26 * speed:
        parts.append("from behind" if ahead > 0 else "from ahead")
    if abs(left) > 0.26 * speed:
        parts.append("from the right" if left > 0 else "from the left")
    return f"wind {show(quantity(speed, 'meter/second'), system, 'wind')} {' and '.join(parts)}"


def name_of(path, system, other=None):
    """A path in a few words: tip and elevation, and the wind where the other path's differs."""
    words = f"{show(path.tip_diameter, system, 'bore')} at {show(path.elevation, system)}"
    if other is not None and path.flight.wind != other.flight.wind:
        words += f", {wind_words(path, system) or 'no wind'}"
    return words


def describe(path, compare=(), system="US"):
    """One sentence with the key numbers, for the picture's label."""
    said = f"Stream of a {show(path.tip_diameter, system, 'bore')} tip at {show(path.elevation, system)}"
    if path.throw is None:
        said += f": highest point {whole(path.apex_height, system)}; no landing is given"
    else:
        said += (
            f": lands {lands(path, system)}, give or take 15 %, highest point "
            f"{whole(path.apex_height, system)} up"
        )
    said += f"; {_reach_words(path, system)}{'' if _blown(path) else ' the stream'}"
    if wind_words(path, system):
        said += f"; {wind_words(path, system)}"
    if drifts(path):
        said += f", it lands {_aside(path.drift, system)}, could be half or double"
    for other in compare:
        far = "no landing" if other.throw is None else lands(other, system)
        said += f"; beside it {name_of(other, system, path)}: {far}"
    return said + "."


def _aside(drift, system):
    return f"{whole(abs(drift), system)} to the {'left' if drift.magnitude > 0 else 'right'}"


def drifts(path):
    """Whether a plan has anything to show."""
    return path.drift is not None and abs(_feet(path.drift)) >= LEAST_DRIFT_FT


def path_rows(path, compare=(), system="US"):
    """The numbers of the picture as (label, text) pairs."""
    rows = list(path.lines(system))
    words = wind_words(path, system)
    if words:
        rows.append(("Wind", words.removeprefix("wind ")))
    for other in compare:
        name = name_of(other, system, path)
        rows += [(f"{name}: {label}", text) for label, text in other.lines(system)]
    return tuple(rows)


def path_chart(path, *, compare=(), system="US", window=None):
    """The path from tip to landing from the side, to scale, and a plan where wind drifts it.

    Takes
      path      a StreamPath
      compare   other StreamPaths, drawn in broken lines; at most four
      system    "US" or "metric", for the labels
      window    a distance ahead to mark, or None
    Gives
      Picture
    """
    compare = tuple(compare)[: len(DASHES)]
    shown = (path, *compare)
    tracks = [_track(p) for p in shown]
    most = max(max(t[0] for t in track) for track in tracks)
    if path.throw is not None:
        most = max(most, *(_feet(p.throw) for p in shown if p.throw is not None))
        most = max(most, _feet(path.throw) * (1 + THROW_BAND))
    if window is not None:
        most = max(most, _feet(window))
    least = min(min(t[0] for t in track) for track in tracks)
    high = max(max(t[2] for t in track) for track in tracks) * 1.12 + 4
    span = max(most - least, 12.0) * 1.1
    scale = min((WIDTH - 2 * SIDE) / span, TALLEST / high)
    head = _head(path, system)
    top = 12 + sum(1.45 * size for _, size, _ in head) + 18
    body = max(LOWEST, high * scale)
    plan = 0.0
    if any(map(drifts, shown)):
        wide = (
            max(0.0, *(p[1] for t in tracks for p in t)),
            min(0.0, *(p[1] for t in tracks for p in t)),
        )
        plan = min(max((wide[0] - wide[1]) * scale + 2 * PLAN_EDGE + 16, PLAN_LOWEST), PLAN_TALLEST)
    picture = Picture(
        WIDTH,
        round(top + body + BELOW + plan),
        f"Path of the stream. {describe(path, compare, system)}",
    )
    y = 4.0
    for words, size, bold in head:
        y += 1.45 * size
        picture.text((SIDE, y), words, "ink" if bold else "muted", size, bold=bold)
    left = (WIDTH - span * scale) / 2 + (0.05 * span - least) * scale
    side = _Side(
        picture, (left, top + body, scale), (4, y + 6, WIDTH - 4, top + body + BELOW - 30), system
    )
    side.draw(path, compare, tracks)
    if window is not None:
        side.window(window, tracks[0])
    if plan:
        place = (left, top + body + BELOW, scale, plan)
        _plan(picture, path, tracks, place, wide, system)
    return picture


def _head(path, system):
    room = WIDTH - 2 * SIDE
    first = f"Usable reach {whole(path.usable_reach, system)} along the stream"
    if path.throw is not None:
        first = f"Lands {lands(path, system)}, give or take 15 %"
    words = f"{name_of(path, system)}, nozzle {show(quantity(path.points[0].height_ft, 'foot'), system)} up"
    if wind_words(path, system):
        words += f"; {wind_words(path, system)}"
    if drifts(path):
        words += f": it lands {_aside(path.drift, system)}, could be half or double"
    words += ". Past the usable reach it is spray."
    out = [(line, 17, True) for line in wrapped(first, 17, room, True)]
    return out + [(line, 14, False) for line in wrapped(words, 14, room)]


def _track(path):
    """(ahead, left, height, way through the air) of each point, ft; no landing above 75 deg."""
    feet = [tuple(part / METERS_PER_FOOT for part in (*s[1:4], s[7])) for s in path.flight.states]
    if path.throw is None:
        top = max(range(len(feet)), key=lambda n: feet[n][2])
        return feet[: top + 1]
    return feet


def _blown(path):
    """Whether wind works on the path: its way through the air is then not its way over the ground."""
    return path.reach_distance is not None and wind_words(path, "US") != ""


def _reach_words(path, system):
    if _blown(path):
        return f"usable reach ends {whole(path.reach_distance, system)} ahead"
    return f"usable reach {whole(path.usable_reach, system)} along"


def _cut(track, reach):
    """(as far as the usable reach, beyond it) of a track; they share the point between."""
    for n in range(1, len(track)):
        if track[n][3] >= reach:
            share = (reach - track[n - 1][3]) / (track[n][3] - track[n - 1][3] or 1.0)
            between = tuple(
                a + (b - a) * share for a, b in zip(track[n - 1], track[n], strict=True)
            )
            return [*track[:n], between], [between, *track[n:]]
    return track, []


class _Side:
    """The view from the side."""

    def __init__(self, picture, place, frame, system):
        self.picture, self.system = picture, system
        self.left, self.ground, self.scale = place
        self.labels = Labels(picture, frame)

    def at(self, ahead, height):
        """Page coordinates."""
        return self.left + ahead * self.scale, self.ground - height * self.scale

    def draw(self, path, compare, tracks):
        """Ground, paths, marks, words."""
        ground = [(0, self.ground), (WIDTH, self.ground)]
        self.picture.polyline(ground, "ink", 2)
        self.labels.keep_off(ground)
        for other, track, dash in zip(compare, tracks[1:], DASHES, strict=False):
            self._other(other, track, dash)
        self._path(path, tracks[0])
        self._marks(path, tracks[0])
        for other, track in zip(compare, tracks[1:], strict=False):
            self._name(name_of(other, self.system, path), track)
        self._wind(path)
        feet = _round_bar(70 / self.scale, self.system)
        words = show(quantity(feet, "foot"), self.system)
        self.picture.scale_bar((SIDE, self.ground + BELOW - 14), feet * self.scale, words)

    def window(self, distance, track):
        """Where the window stands: a line up to the stream, or to the nozzle's height."""
        ahead = _feet(distance)
        height = next((point[2] for point in track if point[0] >= ahead), track[0][2])
        (x, foot), (_, head) = self.at(ahead, 0), self.at(ahead, max(height, 3.0))
        self.picture.line((x, foot), (x, head), "ink", 1.6, "2 4")
        self.labels.put(
            f"window {show(distance, self.system)}",
            [(x + 6, foot - 8, "start"), (x - 6, foot - 8, "end"), (x + 6, foot - 26, "start")],
        )

    def _other(self, path, track, dash):
        page = [self.at(p[0], p[2]) for p in track]
        self.picture.polyline(page, "ink", 1.6, dash)
        self.labels.keep_off(page)
        good, rest = _cut(track, _feet(path.usable_reach))
        if rest:
            x, y = self.at(good[-1][0], good[-1][2])
            self.picture.line((x, y - 6), (x, y + 6), "ink", 1.6)

    def _name(self, name, track):
        """Words on a compared path, where it is clear of the others."""
        places = []
        for share in (0.55, 0.75, 0.9, 0.35):
            point = track[int(share * (len(track) - 1))]
            x, y = self.at(point[0], point[2])
            places += [(x + 8, y - 8, "start"), (x - 8, y - 8, "end"), (x - 8, y + 18, "end")]
        middle = track[int(0.55 * (len(track) - 1))]
        self.labels.put(name, places, point=self.at(middle[0], middle[2]))

    def _path(self, path, track):
        """The stream as wide as it is: solid to the usable reach, broken beyond."""
        bore, reach = (
            path.tip_diameter.to("meter").magnitude,
            path.usable_reach.to("meter").magnitude,
        )
        good, rest = _cut(track, _feet(path.usable_reach))
        page = [self.at(p[0], p[2]) for p in good]
        upper, lower = [], []
        for n, (x, y) in enumerate(page):
            (xa, ya), (xb, yb) = page[max(n - 1, 0)], page[min(n + 1, len(page) - 1)]
            long = hypot(xb - xa, yb - ya) or 1.0
            wide = width_m(bore, good[n][3] * METERS_PER_FOOT, reach) / METERS_PER_FOOT
            half = max(wide * self.scale, 2.0) / 2
            upper.append((x + (yb - ya) / long * half, y - (xb - xa) / long * half))
            lower.append((x - (yb - ya) / long * half, y + (xb - xa) / long * half))
        self.picture.polygon([*upper, *reversed(lower)], fill="water", stroke="water")
        self.labels.keep_off(page)
        if rest:
            beyond = [self.at(p[0], p[2]) for p in rest]
            self.picture.polyline(beyond, "water", 2.6, "9 6")
            self.labels.keep_off(beyond)

    def _marks(self, path, track):
        x, y = self.at(track[0][0], track[0][2])
        self.picture.circle((x, y), 4.5, fill="ink", stroke="paper")
        self.labels.block((x - 7, y - 7, x + 7, y + 7))
        if track[0][2] > 1:
            self.picture.line((x, y + 6), (x, self.ground), "muted", 1.2, "3 4")
            self.labels.keep_off([(x, y + 6), (x, self.ground)])
        if path.throw is not None:
            self._landing(path)
        good, rest = _cut(track, _feet(path.usable_reach))
        if rest:
            x, y = self.at(good[-1][0], good[-1][2])
            self.picture.line((x, y - 11), (x, y + 11), "ink", 2.4)
            words = _reach_words(path, self.system)
            spots = [
                (x, y - 18, "middle"),
                (x - 8, y + 28, "end"),
                (x + 8, y - 16, "start"),
                (x, y + 30, "middle"),
            ]
            self.labels.put(words, spots, bold=True, point=(x, y))
        self._top(path, track)
        at = self.at(track[0][0], track[0][2])
        spots = [
            (at[0], at[1] - 12, "start"),
            (at[0] + 10, at[1] + 18, "start"),
            (at[0] - 10, at[1] + 5, "end"),
        ]
        self.labels.put("nozzle", spots, colour="muted", point=at)

    def _top(self, path, track):
        if _feet(path.apex_height) < track[0][2] + 0.5:
            return
        x, y = self.at(_feet(path.apex_distance), _feet(path.apex_height))
        self.picture.circle((x, y), 4, fill="paper", stroke="ink", width=1.8)
        words = f"highest point {whole(path.apex_height, self.system)} up"
        self.labels.put(
            words, [(x, y - 14, "middle"), (x, y + 24, "middle")], colour="muted", point=(x, y)
        )

    def _landing(self, path):
        """Where its middle lands, and the band that the throw is good to."""
        throw = _feet(path.throw)
        low, high = (self.at(throw * f, 0)[0] for f in (1 - THROW_BAND, 1 + THROW_BAND))
        x, y = self.at(throw, 0)[0], self.ground + 12
        self.picture.line((low, y), (high, y), "water", 4)
        for end in (low, high):
            self.picture.line((end, y - 7), (end, y + 7), "water", 2)
        self.picture.line((x, self.ground - 7), (x, y + 7), "ink", 2.4)
        self.labels.block((min(low, high) - 2, y - 8, max(low, high) + 2, y + 8))
        words = f"lands {lands(path, self.system)}, 15 % either way"
        spots = [(x, y + 26, "middle"), (WIDTH - 8, y + 26, "end"), (8, y + 26, "start")]
        self.labels.put(words, spots, bold=True)

    def _wind(self, path):
        """The part of the wind along the page; the part across is in the plan."""
        ahead, left = path.flight.wind[:2]
        words = wind_words(path, self.system)
        if not words:
            return
        left_edge, top, right, _ = self.labels.frame
        for x in (right - 150, left_edge + 90, (left_edge + right) / 2):
            box = (x - 75, top + 2, x + 135, top + 24)
            if self.labels.clear(box):
                break
        y = top + 14
        if abs(ahead) > 0.26 * hypot(ahead, left):
            way = 1 if ahead > 0 else -1
            self.picture.arrow((x - 28 * way, y), (x + 28 * way, y), "along", 3)
            self.labels.block((x - 32, y - 8, x + 32, y + 8))
        else:  # across: into the page or out of it
            self.picture.circle((x, y), 8, stroke="along", width=2.4)
            self.labels.block((x - 10, y - 10, x + 10, y + 10))
            if left > 0:  # it goes to the left, away from whoever looks at the stream's right side
                self.picture.line((x - 5, y - 5), (x + 5, y + 5), "along", 2)
                self.picture.line((x - 5, y + 5), (x + 5, y - 5), "along", 2)
            else:
                self.picture.circle((x, y), 2.5, fill="along", stroke="along")
        self.labels.put(
            "wind", [(x + 38, y + 5, "start"), (x - 38, y + 5, "end")], colour="along", bold=True
        )


def _round_bar(feet, system):
    """A round length in ft near a wished one."""
    unit = 1.0 if system == "US" else 1 / METERS_PER_FOOT
    return unit * max((n for n in (1, 2, 5, 10, 20, 50, 100, 200) if n * unit <= feet), default=1)


def _plan(picture, path, tracks, place, wide, system):
    """The paths from above, at the scale of the side view; left of the stream is up."""
    left, top, scale, tall = place
    labels = Labels(picture, (4, top - 4, WIDTH - 4, top + tall))
    room = tall - 2 * PLAN_EDGE - 16
    # A drift that would leave the strip is drawn smaller, and the words say so.
    needed = (wide[0] - wide[1]) * scale
    factor = room / needed if needed > room + 1 else 1.0
    axis = top + 16 + PLAN_EDGE + wide[0] * scale * factor

    def at(ahead, aside):
        return left + ahead * scale, axis - aside * scale * factor

    words = "From above, to the same scale; left is up"
    if factor < 1:
        words = f"From above; left is up; drift drawn {factor:.2g} of its size"
    picture.text((SIDE, top + 8), words, "muted", FINE)
    labels.block((SIDE, top - 6, SIDE + 400, top + 13))
    _plan_wind(picture, labels, path, (WIDTH - 50, top + 32))
    picture.line(at(0, 0), at(max(p[0] for p in tracks[0]), 0), "muted", 1.2, "2 5")
    for track, dash in zip(tracks[1:], DASHES, strict=False):
        picture.polyline([at(p[0], p[1]) for p in track], "ink", 1.6, dash)
    good, rest = _cut(tracks[0], _feet(path.usable_reach))
    picture.polyline([at(p[0], p[1]) for p in good], "water", 3)
    picture.polyline([at(p[0], p[1]) for p in rest], "water", 2.6, "9 6")
    picture.circle(at(0, 0), 4.5, fill="ink", stroke="paper")
    labels.keep_off([at(p[0], p[1]) for p in tracks[0]])
    if drifts(path):
        x, y = at(_feet(path.throw), _feet(path.drift))
        picture.circle((x, y), 4, fill="paper", stroke="ink", width=1.8)
        spots = [(x - 12, y + 24, "end"), (x - 12, y - 12, "end"), (x, y - 12, "middle")]
        if path.drift.magnitude > 0:
            spots = [spots[1], spots[0], spots[2]]
        labels.put(f"lands {_aside(path.drift, system)}", spots, bold=True, point=(x, y))


def _plan_wind(picture, labels, path, middle):
    """The wind as an arrow in the plan."""
    ahead, aside = path.flight.wind[:2]
    speed = hypot(ahead, aside)
    if speed < 0.05:
        return
    (x, y), half = middle, 20 / speed
    picture.arrow(
        (x - ahead * half, y + aside * half), (x + ahead * half, y - aside * half), "along", 3
    )
    labels.block((x - 26, y - 26, x + 26, y + 26))
    labels.put("wind", [(x - 30, y + 5, "end")], colour="along", bold=True)
