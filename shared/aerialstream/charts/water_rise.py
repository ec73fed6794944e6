"""Water on a floor against time, from `floor_load` and `time_to_depth`."""

from aerialstream.charts.svg import Picture
from aerialstream.units import show

WIDTH, HEIGHT, SIDE = 720, 400, 16
LEFT, RIGHT, TOP, BOTTOM = 74, 640, 104, 338  # px, the edges of the plot
SHOWN_MIN = 60
PARTS = 4  # lines across
ROOM = 1.2  # the scale reaches so far beyond what must be seen
# Where the scale of the depth may end, so that its parts are plain numbers.
INCHES = (2, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128, 192, 256, 384, 512)
MILLIMETERS = (40, 80, 120, 160, 200, 320, 400, 600, 800, 1200, 1600, 2400, 3200, 4800, 6400, 12800)


def describe(now, *, minutes, mark, mark_minutes, system="US"):
    """One or two sentences with the key numbers, for the picture's label."""
    said = (
        f"After {minutes:g} min the water stands {show(now.depth, system, 'depth')} deep, "
        f"{show(now.load, system, 'load')} if spread evenly."
    )
    if mark_minutes is None:
        return f"{said} Nothing stays, so it never stands {show(mark, system, 'depth')} deep."
    return f"{said} It stands {show(mark, system, 'depth')} deep after {mark_minutes:.1f} min."


def water_rise(now, all_stays, *, minutes, mark, mark_minutes, system="US"):
    """Depth and load against minutes: as set, and if nothing ran off.

    Takes
      now            a WaterOnFloor after `minutes`
      all_stays      the same with nothing running off
      minutes        how long it has flowed
      mark           a depth to look again at
      mark_minutes   when it stands so deep, or None where nothing stays
      system         "US" or "metric", for the labels
    Gives
      Picture
    """
    said = describe(now, minutes=minutes, mark=mark, mark_minutes=mark_minutes, system=system)
    picture = Picture(WIDTH, HEIGHT, f"Water on the floor against time. {said}")
    unit, ends = ("inch", INCHES) if system == "US" else ("millimeter", MILLIMETERS)
    depth, full, marked = (v.to(unit).magnitude for v in (now.depth, all_stays.depth, mark))
    top = next((end for end in ends if end >= ROOM * max(depth, marked)), ends[-1])
    _words(picture, now, minutes, system)
    _grid(picture, top, all_stays, full, system)
    _line(picture, full / minutes, top, "muted", 2.5, "9 6")
    _line(picture, depth / minutes, top, "water", 4, "")
    y = _y(marked, top)
    picture.line((LEFT, y), (RIGHT, y), "push", 2, "3 5")
    crossed = [
        m for m in (mark_minutes, marked * minutes / full if full else None) if m is not None
    ]
    if depth >= marked:
        crossed.append(minutes)
    picture.text((_clear_of(crossed), y - 7), "look again", "push", 14, "end", bold=True)
    if mark_minutes is not None and mark_minutes <= SHOWN_MIN:
        x = _x(mark_minutes)
        picture.line((x, y), (x, BOTTOM), "push", 2, "3 5")
    at = (_x(minutes), _y(depth, top))
    picture.line(at, (at[0], BOTTOM), "ink", 1.5)
    picture.circle(at, 7, "water", "ink", 2)
    return picture


def _x(minutes):
    return LEFT + (RIGHT - LEFT) * minutes / SHOWN_MIN


def _y(depth, top):
    return BOTTOM - (BOTTOM - TOP) * depth / top


def _clear_of(crossed):
    """Where words on the mark's line end that take ten minutes of it, off the lines that cross it."""
    free = (e for e in (60, 48, 36, 24, 12) if not any(e - 13 < m < e + 1 for m in crossed))
    return _x(next(free, SHOWN_MIN)) - 6


def _words(picture, now, minutes, system):
    """The result, and what the two lines are."""
    picture.text(
        (SIDE, 26),
        f"After {minutes:g} min: {show(now.weight, system, 'weight')} on the floor",
        "ink",
        17,
        bold=True,
    )
    for x, words, colour, width, dash in (
        (SIDE, "run-off as set", "water", 4, ""),
        (220, "if nothing ran off", "muted", 2.5, "9 6"),
    ):
        picture.line((x, 48), (x + 42, 48), colour, width, dash)
        picture.text((x + 52, 53), words, "ink", 15)


def _grid(picture, top, all_stays, full, system):
    """Minutes along the foot, depth on the left, the load of that depth on the right."""
    names = ("in deep", "psf") if system == "US" else ("mm deep", "kPa")
    picture.text((SIDE, TOP - 16), names[0], "muted", 14)
    picture.text((RIGHT + 8, TOP - 16), names[1], "muted", 14)
    for part in range(PARTS + 1):
        depth = top * part / PARTS
        y = _y(depth, top)
        picture.line((LEFT, y), (RIGHT, y), "steel", 1 if part else 2)
        load = show(all_stays.load * (depth / full), system, "load").split()[0]
        picture.text((LEFT - 8, y + 5), f"{depth:g}", "ink", 14, "end")
        picture.text((RIGHT + 8, y + 5), load, "ink", 14)
    for minutes in range(0, SHOWN_MIN + 1, 10):
        x = _x(minutes)
        picture.line((x, BOTTOM), (x, BOTTOM + 6), "ink", 1.5)
        picture.text((x, BOTTOM + 24), f"{minutes}", "ink", 14, "middle")
    picture.text(((LEFT + RIGHT) / 2, BOTTOM + 48), "minutes of flow", "muted", 14, "middle")


def _line(picture, a_minute, top, colour, width, dash):
    """From nothing at the start, cut where it leaves the plot."""
    last = min(SHOWN_MIN, top / a_minute) if a_minute else SHOWN_MIN
    picture.line((_x(0), _y(0, top)), (_x(last), _y(a_minute * last, top)), colour, width, dash)
