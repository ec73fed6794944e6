"""The spot map drawn: every place with its verdict as a mark, the best few numbered.

Full dot, ring and small cross differ in shape, so that they stay apart without colour.
"""

from collections import Counter
from math import cos, radians, sin

from aerialstream._plan_words import VERDICTS, tenth
from aerialstream.charts.labels import wrapped
from aerialstream.charts.plan_frame import Frame
from aerialstream.charts.scene_plan import (
    LOWEST,
    SIDE,
    TALLEST,
    WIDTH,
    SceneView,
    in_full,
    length,
    whole,
    write_head,
)
from aerialstream.charts.svg import FINE, Picture
from aerialstream.worked import in_system

MOST_REASONS = 5


def chosen_codes(spots):
    """For each place the number of what was found there, with its best heading."""
    places = spots.columns * spots.rows
    return [spots.codes[heading * places + n] for n, heading in enumerate(spots.best)]


def commonest_faults(spots, most=MOST_REASONS):
    """(Code, at how many places) of what most often rules a place out, the commonest first."""
    from aerialstream.spots import codes_of  # loads much; a result has loaded it already

    costs, counted = spots.problem.costs, Counter()
    for code, times in Counter(chosen_codes(spots)).items():
        for one in codes_of(code & ~costs):
            counted[one] += times
    return counted.most_common(most)


def describe(spots, system="US"):
    """What the map shows, with its key numbers, for those who cannot see it."""
    counts = _counts(spots)
    said = [
        f"Map of places for {spots.apparatus.name} on {spots.scene.name}, target "
        f"{spots.target.name}: {counts}."
    ]
    said += [place_words(n, place, system) for n, place in enumerate(spots.places, 1)]
    said += [in_system(c, system) for c in spots.conflicts]
    return " ".join(said)


def _counts(spots):
    return "; ".join(f"{in_full(word)}: {count:,}" for word, count in spots.counts.items())


def place_words(number, place, system):
    """One of the best places in words."""
    costs = "; ".join(f.code.short for f in place.findings)
    ladder = f"ladder {length(place.extension_ft, system)} at {place.elevation_deg:.0f} deg"
    ladder += f", stream {tenth(place.stream_ft, system)}"
    lay = "" if place.lay_ft is None else f", supply lay about {whole(place.lay_ft, system)}"
    return (
        f"{number}: {in_full(place.verdict)}{f' ({costs})' if costs else ''}; heading "
        f"{place.heading_deg:.5g} deg, {ladder}{lay}."
    )


def fault_words(spots, code, system):
    """What rules places out, with the device's own number where it is the ladder's length."""
    from aerialstream._core.spots import TOO_CLOSE, TOO_FAR

    rig = spots.problem.rig
    if code.bit == TOO_CLOSE:
        return f"{code.short} (bedded {tenth(rig.least_ft, system)})"
    if code.bit == TOO_FAR:
        return f"{code.short} ({tenth(rig.most_ft, system)})"
    return code.short


def spot_rows(spots, *, system="US"):
    """The map's counts, places and commonest faults as (label, text) pairs."""
    rows = list(spots.lines(system))
    rows += [
        (f"Wrong: {fault_words(spots, code, system)}", f"{count:,} places")
        for code, count in commonest_faults(spots)
    ]
    return tuple(rows)


def spot_map_chart(spots, *, around=None, system="US"):
    """Every place of a SpotMap as a mark on the plan; the best few numbered, with reasons below.

    Takes
      spots    a SpotMap
      around   part of the plan to show, (left, bottom, right, top) in ft; None takes all that was
               judged and the target's building
      system   "US" or "metric", for the labels
    Gives
      Picture
    """
    part = around or _part(spots)
    head = _head_lines(spots, system)
    top = 14 + sum(size + 5 for _, size, _ in head)
    wide = WIDTH - 2 * SIDE
    high = min(TALLEST + 60, max(LOWEST, (part[3] - part[1]) / (part[2] - part[0]) * wide))
    frame = Frame(part, (SIDE, top, WIDTH - SIDE, top + high))
    picture = Picture(WIDTH, 0, describe(spots, system))
    view = SceneView(picture, frame, spots.scene, system, rig_shown=True)
    view.under(zone=spots.zone, of=spots.target.building)
    _marks(picture, frame, spots)
    view.over((spots.target,))
    _numbers(view, spots)
    view.words(zone_ft=spots.zone_ft)
    write_head(picture, head)
    picture.height = round(_reasons(picture, spots, view.foot(_signs()), system))
    return picture


def _part(spots):
    x, y = spots.origin
    points = [
        (x, y),
        (x + (spots.columns - 1) * spots.cell_ft, y + (spots.rows - 1) * spots.cell_ft),
    ]
    points += spots.target.building.corners
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    edge = max(6.0, spots.cell_ft)
    return min(xs) - edge, min(ys) - edge, max(xs) + edge, max(ys) + edge


def _head_lines(spots, system):
    lines = [(f"{spots.scene.name}: where to stand {spots.apparatus.name}", 17, True)]
    said = f"Target: {spots.target.name}. {spots.columns * spots.rows:,} places, each with its best heading: {_counts(spots)}."  # fmt: skip
    room = WIDTH - 2 * SIDE
    lines += [(line, 14, False) for line in wrapped(said, 14, room)]
    for conflict in spots.conflicts:
        lines += [(line, 14, False) for line in wrapped(in_system(conflict, system), 14, room)]
    return lines


def _marks(picture, frame, spots):
    """The mark of each place, three light paths in all."""
    cell = spots.cell_ft * frame.scale
    size = min(max(cell * 0.62, 2.4), 11.0)
    left, top, right, bottom = frame.box
    marks = ([], [], [])
    x0, y0 = spots.origin
    for row in range(spots.rows):
        y = frame.px((x0, y0 + row * spots.cell_ft))[1]
        if not top + 2 < y < bottom - 2:
            continue
        for column in range(spots.columns):
            x = frame.px((x0 + column * spots.cell_ft, y0))[0]
            if left + 2 < x < right - 2:
                marks[spots.verdicts[row * spots.columns + column]].append((x, y))
    arm = size * 0.28

    picture.crosses(marks[2], arm, "muted", 0.9)
    picture.spots(marks[1], "ink", size)
    picture.spots(marks[1], "paper", size * 0.5)
    picture.spots(marks[0], "along", size * 1.12)


def _numbers(view, spots):
    """The best places: the mark itself, a stroke the way the cab points, a numbered disc behind."""
    for number, place in enumerate(spots.places, 1):
        if not view.frame.holds((place.x_ft, place.y_ft), 4):
            continue
        x, y = view.frame.px((place.x_ft, place.y_ft))
        way = radians(spots.scene.plan_bearing(place.heading_deg))
        ux, uy = sin(way), -cos(way)
        view.picture.line((x, y), (x + ux * 28, y + uy * 28), "paper", 6)
        view.picture.arrow((x, y), (x + ux * 28, y + uy * 28), "ink", 3, head=10)
        # Beside the mark, not on it: dot or ring has to be seen.
        disc = (x - ux * 20, y - uy * 20)
        view.picture.circle(disc, 12, fill="paper", stroke="ink", width=2.6)
        view.picture.text((disc[0], disc[1] + 5), str(number), "ink", 15, "middle", bold=True)
        view.picture.circle((x, y), 7.5, fill="paper", stroke="paper")
        _mark(view.picture, (x, y), place.verdict)
        for at, radius in ((disc, 13), ((x, y), 8)):
            view.labels.keep_clear(at, radius)
        view.labels.keep_off([(x, y), (x + ux * 28, y + uy * 28)])


def _mark(picture, at, verdict):
    """The mark of one of the best places: a full dot, or a ring where it costs something."""
    if verdict == VERDICTS[0]:
        picture.spots([at], "along", 10)
        return
    picture.spots([at], "ink", 10)
    picture.spots([at], "paper", 5)


def _signs():
    return (
        (in_full(VERDICTS[0]), _full_sign),
        (in_full(VERDICTS[1]), _ring_sign),
        (in_full(VERDICTS[2]), _cross_sign),
        ("best places, stroke is the way of the cab", _number_sign),
    )


def _reasons(picture, spots, y, system):
    """The best places with their reasons, then what is wrong most often; gives the new foot."""
    room = WIDTH - 2 * SIDE
    blocks = []
    if spots.places:
        blocks.append(
            ("The best places", [place_words(n, p, system) for n, p in enumerate(spots.places, 1)])
        )
    faults = [
        f"{fault_words(spots, code, system)}: {count:,}" for code, count in commonest_faults(spots)
    ]
    if faults:
        blocks.append(("What is wrong most often, and at how many places", faults))
    for title, lines in blocks:
        y += 30
        picture.text((SIDE, y), title, "ink", 15, "start", bold=True)
        for words in lines:
            for number, line in enumerate(wrapped(words, FINE, room - 20)):
                y += 19
                picture.text((SIDE + (20 if number else 4), y), line, "ink", FINE)
    return y + 14


def _full_sign(picture, x, y):
    picture.spots([(x - 8, y), (x + 2, y), (x + 12, y)], "along", 7.5)


def _ring_sign(picture, x, y):
    points = [(x - 8, y), (x + 2, y), (x + 12, y)]
    picture.spots(points, "ink", 6.8)
    picture.spots(points, "paper", 3.4)


def _cross_sign(picture, x, y):
    picture.crosses([(x - 8, y), (x + 2, y), (x + 12, y)], 2, "muted", 1)


def _number_sign(picture, x, y):
    picture.arrow((x + 6, y), (x + 20, y), "ink", 2.4, head=8)
    picture.circle((x - 8, y), 9, fill="paper", stroke="ink", width=2.2)
    picture.text((x - 8, y + 5), "1", "ink", FINE, "middle", bold=True)
    picture.spots([(x + 6, y)], "along", 7.5)


__all__ = ["commonest_faults", "describe", "spot_map_chart", "spot_rows"]
