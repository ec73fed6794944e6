"""Side load and push along the ladder against the angle of the nozzle, drawn without matplotlib."""

from math import ceil, floor, log10

from aerialstream.charts.svg import Picture

WIDTH, HEIGHT = 640, 380
LEFT, RIGHT, TOP, BOTTOM = 64, 18, 18, 56


def _step(most):
    """A round step that cuts 0 to `most` into four to eight parts."""
    rough = most / 6
    power = 10 ** floor(log10(rough))
    return next(m * power for m in (1, 2, 5, 10) if m * power >= rough)


def turn_curve(degrees, side, along, words, unit):
    """The picture.

    Takes
      degrees       angles off the ladder's centre line, rising from 0
      side, along   forces at the tip, as many
      words         one sentence with the key numbers
      unit          name of the unit of the forces
    Gives
      Picture
    """
    picture = Picture(WIDTH, HEIGHT, words)
    top = max(*side, *along, 1e-9)
    step = _step(top)
    highest = step * ceil(top / step * 1.001)
    widest = max(degrees[-1], 1e-9)

    def x(angle):
        return LEFT + (WIDTH - LEFT - RIGHT) * angle / widest

    def y(force):
        return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * force / highest

    marks = [step * n for n in range(round(highest / step) + 1)]
    picture.strokes([((LEFT, y(m)), (WIDTH - RIGHT, y(m))) for m in marks], "muted", 0.5)
    for mark in marks:
        picture.text((LEFT - 8, y(mark) + 5), f"{mark:g}", "ink", 14, "end")
    for angle in degrees:
        picture.text((x(angle), HEIGHT - BOTTOM + 22), f"{angle:g}", "ink", 14, "middle")
    picture.line((LEFT, y(0)), (WIDTH - RIGHT, y(0)), "ink", 1.5)
    middle = (LEFT + WIDTH - RIGHT) / 2
    about = f"nozzle off the ladder's centre line (degrees); force at the tip in {unit}"
    picture.text((middle, HEIGHT - 10), about, "ink", 14, "middle")
    for forces, colour, dash in ((along, "along", "7 5"), (side, "across", "")):
        points = [(x(a), y(f)) for a, f in zip(degrees, forces, strict=True)]
        picture.polyline(points, colour, 3, dash)
        picture.spots(points, colour, 9)
    last = len(degrees) - 1
    two, one = min(2, last), min(1, last)
    picture.text((x(degrees[two]) - 10, y(side[two]) - 8), "side load", "across", 16, "end", True)
    picture.text((x(degrees[one]) + 12, y(along[one]) - 10), "along the ladder", "along", 16)
    return picture
