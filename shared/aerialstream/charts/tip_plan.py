"""Plan view of the ladder's tip: the stream, the reaction, and its two parts, to scale."""

from math import ceil, cos, radians, sin

from aerialstream.charts.svg import Picture
from aerialstream.units import quantity, show

WIDTH, HEIGHT = 720, 580  # below the base there is room for the longest arrow
BASE = (360.0, 420.0)
LADDER_PX = 205.0  # the longest ladder of the panel
ARROW_PX = 150.0  # the full scale of force
HALF_WIDTH = 9.0


def nice_full_scale(force_lbf, system="US"):
    """A force in lbf, not below the given one, round as it is read: 200 lbf or 1,000 N apart."""
    step = 200.0 if system == "US" else quantity(1000, "newton").to("lbf").magnitude
    return step * max(1, ceil(force_lbf / step - 1e-9))


def describe(result, system="US"):
    """One sentence with the key numbers, for the picture's label and the panel's first line."""
    degrees = result.rotation.magnitude
    way = "in line with the ladder"
    if abs(degrees) >= 0.05:
        way = (
            f"{abs(degrees):g} deg to the {'left' if degrees > 0 else 'right'} of the ladder's line"
        )
    return (
        f"Nozzle {way}: of {show(result.reaction, system)} reaction, "
        f"{show(abs(result.side), system)} is side load and {show(abs(result.axial), system)} "
        f"{'pushes back along' if result.axial.magnitude <= 0 else 'pulls outward along'} the "
        f"ladder; side moment at the base {show(abs(result.side_moment), system)}."
    )


def tip_plan(result, *, longest, full_scale=None, system="US"):
    """The forces at the tip seen from above, ladder and arrows each to its own scale.

    Takes
      result       a TipReaction
      longest      length (a quantity) drawn as the longest ladder
      full_scale   force in lbf of the longest arrow, raised to a round one; None: the reaction
      system       "US" or "metric", for the labels
    Gives
      Picture
    """
    words = f"Plan view of the tip. {describe(result, system)}"
    picture = Picture(WIDTH, HEIGHT, words, middle=True)
    full_scale = nice_full_scale(full_scale or result.reaction.magnitude, system)
    length_px = LADDER_PX * (result.extension / longest).to("").magnitude
    tip = (BASE[0], BASE[1] - length_px)
    _ladder(picture, tip)
    _stream(picture, tip, result)
    _forces(picture, tip, result, ARROW_PX / full_scale, system)
    _scales(picture, result, full_scale, system)
    return picture


def _ladder(picture, tip):
    x, y = BASE
    for side in (-HALF_WIDTH, HALF_WIDTH):
        picture.line((x + side, y), (tip[0] + side, tip[1]), "steel", 3)
    rung = y - 12
    while rung > tip[1] + 4:
        picture.line((x - HALF_WIDTH, rung), (x + HALF_WIDTH, rung), "steel", 1.5)
        rung -= 14
    picture.circle(BASE, 17, fill="paper", stroke="steel", width=3)


def _stream(picture, tip, result):
    """The jet: to the left on the page where the nozzle is turned left, looking outward."""
    angle = radians(result.rotation.magnitude)
    ahead = (-sin(angle), -cos(angle))
    reach = 150
    end = (tip[0] + ahead[0] * reach, tip[1] + ahead[1] * reach)
    across = (ahead[1], -ahead[0])
    picture.polygon(
        [
            (tip[0] + across[0] * 2, tip[1] + across[1] * 2),
            (end[0] + across[0] * 7, end[1] + across[1] * 7),
            (end[0] - across[0] * 7, end[1] - across[1] * 7),
            (tip[0] - across[0] * 2, tip[1] - across[1] * 2),
        ],
        fill="water",
        opacity=0.75,
    )
    picture.line(tip, (tip[0], tip[1] - reach - 8), "muted", 1.2, "3 6")
    degrees = result.rotation.magnitude
    if abs(degrees) >= 1:
        picture.arc(tip, 92, 0, -degrees)
        half = radians(degrees / 2)
        beside = 0 if abs(degrees) > 20 else (-20 if degrees > 0 else 20)
        at = (tip[0] - 112 * sin(half) + beside, tip[1] - 108 * cos(half) + 5)
        picture.text(at, f"{abs(degrees):g}°", "muted", 15, "middle")
    away = 1 if degrees < 0 else -1
    anchor = "end" if away < 0 else "start"
    label_x = end[0] + (away * 14 if abs(ahead[0]) < 0.9 else 0)
    picture.text((label_x, max(end[1] - 8, 20)), "stream", "water", 15, anchor, bold=True)


def _forces(picture, tip, result, px_per_lbf, system):
    axial, side = result.axial.magnitude, result.side.magnitude
    # Page: outward is up (-y), left of the ladder is left (-x).
    axial_end = (tip[0], tip[1] - axial * px_per_lbf)
    side_end = (tip[0] - side * px_per_lbf, tip[1])
    push_end = (side_end[0], axial_end[1])
    toward_right = side_end[0] >= tip[0]
    outer, inner = ("start", "end") if toward_right else ("end", "start")
    shift = 10 if toward_right else -10
    all_along = abs(side) < 0.5
    all_side = abs(axial) < 0.5
    if not (all_along or all_side):
        for corner in (axial_end, side_end):
            picture.line(corner, push_end, "muted", 1, "2 4")
        picture.arrow(tip, axial_end, "along", 3.5, "7 4")
        picture.arrow(tip, side_end, "across", 3.5, "1 5")
        picture.text(
            (axial_end[0] - shift * 1.8, axial_end[1] + 4),
            f"along the ladder {show(abs(result.axial), system)}",
            "along", 15, inner,
        )  # fmt: skip
        picture.text(
            (side_end[0] + shift, side_end[1] + (-8 if axial < 0 else 20)),
            f"side load {show(abs(result.side), system)}",
            "across", 15, outer, bold=True,
        )  # fmt: skip
    picture.arrow(tip, push_end, "push", 5)
    words = f"reaction {show(result.reaction, system)}"
    level = abs(result.in_plane.magnitude) < 0.5  # else a part of it is not seen from above
    if all_along and level:
        words += ", all along the ladder"
    elif all_side and level:
        words += ", all side load"
    beside = min(push_end[1] + (20 if axial < -0.5 else -10), HEIGHT - 6)
    at = (push_end[0] + shift * 1.8, beside)
    if all_side:  # over the arrow, where there is room for the longer words
        at = (tip[0] + shift, tip[1] - 14)
    picture.text(at, words, "push", 15, outer, bold=True)
    picture.circle(tip, 5, fill="ink", stroke="paper")


def _scales(picture, result, full_scale, system):
    bar = full_scale / 2
    picture.scale_bar(
        (24, HEIGHT - 24), ARROW_PX / 2, f"force: {show(quantity(bar, 'lbf'), system)}"
    )
    words = f"Seen from above: {show(result.extension, system)} of ladder, turntable below"
    picture.text((24, 30), words, "muted", 14)
    if abs(result.pitch.magnitude) >= 0.5:
        picture.text(
            (24, 50), f"nozzle {show(abs(result.pitch), system)} "
            f"{'up' if result.pitch.magnitude > 0 else 'down'} (not shown)", "muted", 14
        )  # fmt: skip
