"""Bars of a water chain: where the pump's pressure goes, and what each limit lets through."""

from aerialstream.charts.labels import text_width, wrapped
from aerialstream.charts.svg import Picture
from aerialstream.units import show

WIDTH, SIDE = 720, 16
NAMES = 214  # px for the names on the left
ROW, THICK, SIZE = 30, 17, 15
FARTHEST = 2.2  # a limit's bar is cut where it goes beyond so many times the flow

PARTS = (
    ("lay", "Lines to the aerial", "push"),
    ("inlet", "Inlet of the aerial", "across"),
    ("waterway", "Waterway", "across"),
    ("elevation", "Height of the tip", "along"),
    ("nozzle_pressure", "Left at the nozzle", "water"),
)
SHORT = {
    "source": "Water source",
    "pump": "Rating of the pump",
    "discharge pressure": "Highest pump pressure",
    "hose pressure": "Marking on the hose",
    "inlet pressure": "Highest inlet pressure",
    "waterway": "Highest waterway flow",
    "nozzle": "Highest nozzle pressure",
    "nozzle range": "Top of the nozzle's range",
}


def short_name(limit):
    """A limit in two or three words."""
    return SHORT.get(limit.name, limit.words)


def describe(point, best, system="US"):
    """One or two sentences with the key numbers, for the picture's label."""
    parts = ", ".join(
        f"{words.lower()} {show(value, system)}"
        for name, words, _ in PARTS
        if (value := getattr(point, name)).magnitude
    )
    said = (
        f"For {show(point.flow, system)} the pump gives {show(point.discharge_pressure, system)}: "
        f"{parts}."
    )
    if best.limits:
        each = ", ".join(
            f"{short_name(limit).lower()} {show(limit.flow, system)}" for limit in best.limits
        )
        said += f" What each limit lets through, the binding one first: {each}."
    return said


def chain_bars(point, best, *, system="US"):
    """Where the pump's pressure goes, and what each limit lets through, as bars.

    Takes
      point    a ChainPoint with a flow
      best     the Best of the same chain
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    rows = len(PARTS) + 1 + len(best.limits)
    lines = _head(point, best, system)
    height = 42 + 20 * len(lines) + ROW * rows + (80 if best.limits else 24) + 22
    picture = Picture(WIDTH, round(height), f"Pressure and limits. {describe(point, best, system)}")
    y = 24.0
    picture.text((SIDE, y), f"Where the pump's {show(point.discharge_pressure, system)} go", "ink", 15, bold=True)  # fmt: skip
    y = _pressures(picture, point, system, y + 14)
    if not best.limits:
        return picture
    y += 40
    for n, words in enumerate(lines):
        picture.text((SIDE, y), words, "ink", 15, bold=True)
        y += 20 if n < len(lines) - 1 else 14
    _limits(picture, point, best, system, y)
    return picture


def _head(point, best, system):
    if not best.limits:
        return []
    words = f"What each limit lets through (now {show(point.flow, system)})"
    return wrapped(words, 15, WIDTH - 2 * SIDE, bold=True)


def _bar(picture, start, end, y, colour, filled=True):
    box = [(start, y), (max(end, start + 1), y), (max(end, start + 1), y + THICK), (start, y + THICK)]  # fmt: skip
    picture.polygon(box, fill=colour if filled else "none", stroke=colour, width=1.6)


def _pressures(picture, point, system, y):
    """Each part as a bar that begins where the one before it ends, from the pump to the tip."""
    values = [getattr(point, name).to("psi").magnitude for name, _, _ in PARTS]
    worth = [show(getattr(point, name), system) for name, _, _ in PARTS]
    total = point.discharge_pressure.to("psi").magnitude
    room = max(text_width(words, SIZE, True) for words in worth) + 14
    # A tip below the pump gives pressure: its bar runs back, and the sum is not the longest.
    sums = [sum(values[:n]) for n in range(len(values) + 1)]
    scale = (WIDTH - SIDE - NAMES - room) / max(*sums, total, 1.0)
    picture.text((SIDE, y + 14), "Pump discharge", "ink", SIZE, bold=True)
    _bar(picture, NAMES, NAMES + total * scale, y, "steel", filled=False)
    picture.text((NAMES + total * scale + 6, y + 14), show(point.discharge_pressure, system), "ink", SIZE, bold=True)  # fmt: skip
    for n, (_, words, colour) in enumerate(PARTS):
        y += ROW
        start, end = (NAMES + scale * part for part in sums[n : n + 2])
        picture.text((SIDE, y + 14), words, "ink", SIZE)
        _bar(picture, min(start, end), max(start, end), y, colour)
        if n + 1 < len(PARTS):
            picture.line((end, y + THICK), (end, y + ROW), "muted", 1, "2 3")
        picture.text((max(start, end) + 6, y + 14), worth[n], "ink", SIZE)
    return y + ROW


def _limits(picture, point, best, system, y):
    """A bar for each limit, the binding one filled; the flow as it is now as a broken line."""
    now = point.flow.to("gpm").magnitude
    most = min(max([limit.flow.to("gpm").magnitude for limit in best.limits] + [now]), FARTHEST * now)  # fmt: skip
    room = max(text_width(show(limit.flow, system), SIZE, True) for limit in best.limits) + 96
    scale = (WIDTH - SIDE - NAMES - room) / max(most, 1.0)
    top, words = y, []
    for n, limit in enumerate(best.limits):
        flow = limit.flow.to("gpm").magnitude
        end = NAMES + min(flow, most) * scale
        binds = n == 0
        picture.text((SIDE, y + 14), short_name(limit), "ink", SIZE, bold=binds)
        _bar(picture, NAMES, end, y, "push" if binds else "steel", filled=binds)
        cut = "» " if flow > most * 1.001 else ""
        said = f"{cut}{show(limit.flow, system)}{', binds' if binds else ''}"
        words.append(((end + 6, y + 14), said, binds))
        y += ROW
    at = NAMES + now * scale
    picture.line((at, top - 5), (at, y), "ink", 2, "6 4")
    picture.text((at, y + 15), "flow now", "ink", SIZE, "middle")
    # Over the broken line, so that their paper edge keeps them readable.
    for place, said, binds in words:
        picture.text(place, said, "ink", SIZE, bold=binds)
