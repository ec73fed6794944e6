"""What a department entered of a device's limit: each line covers a box of flow and ladder out."""

from math import floor, log10

from aerialstream.charts.labels import Labels
from aerialstream.charts.svg import Picture
from aerialstream.units import show

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 64, 24, 34, 58
ROOM = 1.2  # beyond the farthest line, where nothing is entered


def _marks(most):
    """Round numbers from 0 to `most`, five to nine of them."""
    rough = most / 6
    power = 10 ** floor(log10(rough))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= rough)
    return [step * n for n in range(floor(most / step) + 1)]


def _words(apparatus, flow, extension, system):
    lines = "; ".join(
        f"up to {show(e.flow_up_to, system)} and {show(e.extension_up_to, system)}: "
        f"{show(e.rotation_up_to, system)}"
        for e in apparatus.manual_limits
    )
    return (
        f"Flow against ladder out, with a box for each line entered for {apparatus.name}: {lines}. "
        f"A dot at {show(flow, system)} and {show(extension, system)}."
    )


def limit_lines(apparatus, *, flow, extension, system="US"):
    """The lines of a device's table as boxes, and one set-up as a dot among them.

    Takes
      apparatus         an Apparatus with at least one line of manual_limits
      flow, extension   the set-up (quantities)
      system            "US" or "metric", for the labels
    Gives
      Picture
    """
    flow_unit, length_unit = ("gpm", "foot") if system == "US" else ("lpm", "meter")
    lines = sorted(
        (
            (e.flow_up_to.to(flow_unit).magnitude, e.extension_up_to.to(length_unit).magnitude, e)
            for e in apparatus.manual_limits
        ),
        key=lambda line: line[2].rotation_up_to,
    )
    at = flow.to(flow_unit).magnitude, extension.to(length_unit).magnitude
    most = [ROOM * max(at[n], *(line[n] for line in lines)) for n in (0, 1)]

    def x(value):
        return LEFT + (WIDTH - LEFT - RIGHT) * value / most[0]

    def y(value):
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * value / most[1]

    picture = Picture(WIDTH, HEIGHT, _words(apparatus, flow, extension, system))
    labels = Labels(picture, (LEFT + 4, TOP - 4, WIDTH - 4, HEIGHT - BOTTOM - 2))
    dot = (x(at[0]), y(at[1]))
    labels.block((dot[0] - 9, dot[1] - 9, dot[0] + 9, dot[1] + 9))
    for gpm, feet, entry in lines:
        box = [(x(0), y(0)), (x(gpm), y(0)), (x(gpm), y(feet)), (x(0), y(feet))]
        picture.polygon(box, "water", "water", 2.5, 0.12)
        labels.keep_off(box[1:])
        words = f"up to {show(entry.rotation_up_to, system)}"
        places = [(x(gpm) - 10, y(feet) + 24, "end"), (x(gpm) - 24, y(feet) + 24, "end")]
        labels.put(words, places, size=16, bold=True)
    picture.text((WIDTH - RIGHT, TOP - 10), "beyond: not entered", "muted", 15, "end")
    _axes(picture, x, y, most, system)
    picture.circle(dot, 7, fill="push", stroke="paper", width=2)
    right, left = ((dot[0] + 12, y(at[1]) + 20, "start"), (dot[0] - 12, y(at[1]) + 20, "end"))
    places = [right, left] if at[0] < 0.6 * most[0] else [left, right]
    places += [(px, py - 32, anchor) for px, py, anchor in places]
    words = f"{show(flow, system)}, {show(extension, system)}"
    labels.put(words, places, colour="push", size=16, bold=True, point=dot)
    return picture


def _axes(picture, x, y, most, system):
    picture.line((x(0), y(0)), (x(most[0]), y(0)))
    picture.line((x(0), y(0)), (x(0), y(most[1])))
    for mark in _marks(most[0]):
        picture.text((x(mark), y(0) + 22), f"{mark:,g}", "ink", 14, "middle")
    for mark in _marks(most[1]):
        picture.text((LEFT - 8, y(mark) + 5), f"{mark:g}", "ink", 14, "end")
    flow, feet = ("gpm", "ft") if system == "US" else ("L/min", "m")
    picture.text(((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 12), f"flow ({flow})", "ink", 15, "middle")
    picture.text((8, TOP - 12), f"ladder out ({feet})", "ink", 15)
