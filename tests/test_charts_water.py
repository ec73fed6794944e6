"""Pictures of the stream and the water: to scale, in words, nothing over anything, in both themes."""

import re
import xml.etree.ElementTree as ET
from functools import cache
from html import unescape
from itertools import pairwise
from math import atan2, degrees

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from aerialstream import (
    best_aim,
    load_building,
    load_department,
    quantity,
    show,
    stream_path,
    water_use,
)
from aerialstream.charts import PALETTE, path_chart, section, water_map_plan
from aerialstream.charts.cut import window_of
from aerialstream.charts.labels import Labels, text_width, wrapped
from aerialstream.charts.section import section_rows
from aerialstream.charts.stream_path import path_rows
from aerialstream.charts.svg import FINE, PATTERNS, Picture, figure_html
from aerialstream.charts.water_map import SHADES, cell_of, map_rows
from aerialstream.errors import ImpossibleValue
from aerialstream.figures.sweep import sweep, swept

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

SVG = "{http://www.w3.org/2000/svg}"
FONTS = {
    bold: FontProperties(family="DejaVu Sans", size=10, weight="bold" if bold else "normal")
    for bold in (False, True)
}
SYSTEMS = ("US", "metric")


@cache
def view(name):
    """A view of the demo department's buildings: "building opening" or "building side A"."""
    building_id, _, rest = name.partition(" ")
    building = load_building(building_id)
    if rest.startswith("side "):
        return building.view_from(rest[5:], room_id=building.rooms[0].id)
    return building.room_of(rest)


def shot(name, standoff, height, pitch, tip="1 1/2 in", pressure=80.0, **more):
    """A shot from plain numbers in ft, deg and psi."""
    return water_use(
        view(name),
        standoff=quantity(standoff, "foot"),
        nozzle_height=quantity(height, "foot"),
        stream_pitch=quantity(pitch, "degree"),
        tip_diameter=tip,
        nozzle_pressure=quantity(pressure, "psi"),
        **more,
    )


CASES = {
    "floor": ("weir-street-mill a2-7", 40, 30, -10),
    "far wall and ceiling": ("weir-street-mill a2-7", 30, 8, 18),
    "steep under joists": ("weir-street-mill a3-3", 12, 14, 52),
    "middle on the wall, edge inside": ("weir-street-mill a3-3", 60, 26, 5),
    "over the roof": ("weir-street-mill a3-3", 40, 45, 15),
    "below the sill": ("weir-street-mill a3-3", 40, 30, -20),
    "on the dock's slab": ("weir-street-mill c1-2", 30, 40, -48),
    "under the dock's slab": ("weir-street-mill c1-2", 30, 6, 2),
    "suspended tile": ("gorse-lane-shops shop-1", 30, 3, 20),
    "shop, far wall": ("gorse-lane-shops shop-1", 30, 6, 0),
    "past a canopy": ("gorse-lane-shops shop-6", 30, 40, -50),
    "containers": ("container-stack a1", 20, 12, -20),
    "containers, upper": ("container-stack a2", 20, 6, 26),
    "intact roof": ("saltpan-cold-store side A", 40, 60, -20),
    "holed roof": ("saltpan-cold-store-holed side A", 40, 70, -35),
    "pitched ceiling": ("saltpan-cold-store a-dock-2", 30, 4, 14),
    "from far off": ("weir-street-mill a3-5", 150, 60, 0),
    "nearly straight down": ("weir-street-mill a2-3", 25, 95, -70),
}
TURNED = {"turn": "35 deg", "aside": "-28 ft"}


@cache
def case(name):
    """The result of one of CASES, or of a turned stream."""
    if name == "turned":
        return shot("weir-street-mill a3-3", 40, 26, 7, **TURNED)
    return shot(*CASES[name])


NAMES = (*CASES, "turned")
PICTURES = {"section": section, "plan": water_map_plan}


def tree(picture):
    """A picture as a tree of elements."""
    return ET.fromstring(picture.svg())


@cache
def width_of(text, bold):
    """Width of a text at size 1 in DejaVu Sans, a wide typeface."""
    return text_to_path.get_text_width_height_descent(text, FONTS[bold], False)[0] / 10


def text_boxes(root):
    """(words, left, top, right, bottom) of every text."""
    out = []
    for element in root.iter(f"{SVG}text"):
        size, x, y = (float(element.get(key)) for key in ("font-size", "x", "y"))
        width = size * width_of(element.text, element.get("font-weight") == "600")
        left = x - {"start": 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
        out.append((element.text, left, y - 0.76 * size, left + width, y + 0.22 * size))
    return out


def overlapping(root):
    """Pairs of words that lie over each other."""
    boxes, found = text_boxes(root), []
    for n, (words, *one) in enumerate(boxes):
        for other_words, *other in boxes[n + 1 :]:
            if one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]:
                found.append((words, other_words))
    return found


def outside(root):
    """Words that leave the picture."""
    _, _, width, height = map(float, root.get("viewBox").split())
    return [
        box for box in text_boxes(root)
        if box[1] < 0 or box[2] < 0 or box[3] > width or box[4] > height
    ]  # fmt: skip


def words_in(root):
    """All words of a picture."""
    return [element.text for element in root.iter(f"{SVG}text")]


def sound(picture):
    """What every picture has to be: well-formed, labelled, legible, nothing over anything."""
    root = tree(picture)
    assert root.get("role") == "img" and len(root.get("aria-label")) > 40
    assert overlapping(root) == []
    assert outside(root) == []
    assert all(float(e.get("font-size")) >= FINE for e in root.iter(f"{SVG}text"))
    return root


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", PICTURES)
def test_words_neither_overlap_nor_leave_the_picture(kind, name, system):
    """In every case, in both unit systems; letters no smaller than 13 px at 720 px."""
    root = sound(PICTURES[kind](case(name), system=system))
    assert root.get("viewBox").split()[2] == "720"


VIEWS = sorted({entry[0] for entry in CASES.values()})
shots = st.builds(
    shot,
    st.sampled_from(VIEWS),
    st.floats(8, 120),
    st.floats(1, 100),
    st.floats(-75, 70),
    st.sampled_from(["1 in", "1 3/8 in", "2 in"]),
    st.floats(40, 120),
    aside=st.floats(-25, 25).map(lambda n: quantity(n, "foot")),
    turn=st.floats(-40, 40).map(lambda n: quantity(n, "degree")),
)


@given(shots, st.sampled_from(SYSTEMS))
@settings(max_examples=60)
def test_any_shot_can_be_drawn(result, system):
    """Whatever it strikes or misses: both pictures are sound, and say what the result says."""
    for draw in (section, water_map_plan):
        root = sound(draw(result, system=system))
        first = words_in(root)[0]
        assert first.startswith("On what burns") and str(result) in first


def test_label_has_the_key_numbers_and_the_table_repeats_them():
    """For those who cannot see the picture."""
    result = case("steep under joists")
    label = section(result).label
    depth, angle = show(result.depth_inside), result.outcome.inside.grazing_angle_deg
    for said in ("12 ft before the wall", "14 ft up", "52.0 deg up", depth, f"{angle:.0f} deg"):
        assert said in label
    assert "7 ft from the face of the wall" in water_map_plan(result).label
    for picture, rows in ((section(result), section_rows(result)), (water_map_plan(result), map_rows(result))):  # fmt: skip
        table = ET.fromstring(figure_html(picture, rows))
        assert [(r[0].text, r[1].text) for r in table.iter("tr")] == list(rows)
    assert ("Sill, head", "27 ft, 33 ft") in section_rows(result)
    assert any(label.startswith("Map, very much water") for label, _ in map_rows(result))


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("floor", "strikes the floor, 20 deg"),
        ("below the sill", "strikes the wall below the opening, "),
        ("on the dock's slab", "strikes the top of the canopy, "),
        ("middle on the wall, edge inside", "edge strikes the floor, "),
        ("middle on the wall, edge inside", "middle strikes the wall below the opening, "),
        ("holed roof", "comes through the roof here, "),
        ("intact roof", "None comes in: it strikes the roof."),
        ("over the roof", "None comes in: it passes the building."),
        ("suspended tile", "suspended tile 10 ft"),
        ("suspended tile", "joists 12 ft"),
        ("steep under joists", "joists 37 ft"),
        ("under the dock's slab", "concrete slab 11 ft"),
        ("containers, upper", "open deck 17.5 ft"),
        ("turned", "Stream turned 35 deg to the right: "),
        ("floor", "burning: cloth on tables"),
        ("steep under joists", "burning, off to the right"),
        ("floor", "sill 15 ft"),
        ("floor", "head 21 ft"),
        ("floor", "nozzle 30 ft up"),
        ("floor", "40 ft"),
        ("floor", "26.3 ft in"),
    ],
)
def test_section_says_what_it_shows(name, words):
    """Each thing has its words; colour alone tells nothing."""
    assert [t for t in words_in(tree(section(case(name)))) if t.startswith(words)]


def test_target_that_says_it_is_no_fire_is_not_called_burning():
    """The drill ground marks a target; nothing burns there."""
    texts = words_in(tree(section(case("containers")))) + words_in(
        tree(water_map_plan(case("containers")))
    )
    assert [t for t in texts if t.startswith("marked target")]
    assert not [t for t in texts if "burning" in t]


def pixels_per_foot(root, system="US"):
    """From the scale bar: its length over what its words say."""
    lines = [e for e in root.iter(f"{SVG}line")]
    for text in root.iter(f"{SVG}text"):
        x, y = float(text.get("x")), float(text.get("y")) + 10
        for line in lines:
            start, end = float(line.get("x1")), float(line.get("x2"))
            if abs(start - x) < 0.2 and abs(float(line.get("y1")) - y) < 0.2 and end > start:
                return (end - start) / quantity(text.text).to("foot").magnitude
    raise AssertionError("no scale bar")


def marks(root):
    """Centres of the strike marks: the rings of 7 px."""
    return [
        (float(c.get("cx")), float(c.get("cy"))) for c in root.iter(f"{SVG}circle")
        if c.get("r") == "7.0"
    ]  # fmt: skip


def tip(root):
    """Where the nozzle is drawn."""
    (disc,) = (
        c for c in root.iter(f"{SVG}circle")
        if c.get("fill") == "var(--ink)" and c.get("r") == "4.5"
    )  # fmt: skip
    return float(disc.get("cx")), float(disc.get("cy"))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", [n for n in NAMES if n != "over the roof"])
def test_strike_is_drawn_to_scale_from_the_nozzle(name, system):
    """By the picture's own scale bar, across and up."""
    result = case(name)
    root = tree(section(result, system=system))
    scale, (x0, y0) = pixels_per_foot(root), tip(root)
    strike = result.outcome.inside or result.outcome.strike
    place = result.shot.place
    expected = (
        x0 + (strike.point[0] - place[0]) * scale,
        y0 - (strike.point[2] - place[2]) * scale,
    )
    assert any(mark == pytest.approx(expected, abs=1.5) for mark in marks(root))


@given(st.floats(14, 30))
@settings(max_examples=25)
def test_moving_the_strike_moves_the_mark(pitch):
    """A steeper stream strikes elsewhere, in the section and in the plan."""
    result = shot("weir-street-mill a2-7", 20, 8, pitch)
    strike = result.outcome.inside or result.outcome.strike
    root, plan = tree(section(result)), tree(water_map_plan(result))
    wall = tip(root)[0] + 20 * pixels_per_foot(root)
    assert any(
        (x - wall) / pixels_per_foot(root) == pytest.approx(strike.point[0], abs=0.05)
        for x, _ in marks(root)
    )
    if strike.point[0] > 1:
        (mark,) = marks(plan)
        higher = shot("weir-street-mill a2-7", 20, 8, pitch + 0.5)
        other = higher.outcome.inside or higher.outcome.strike
        if other.point[0] > 1:
            ((_, y),) = marks(tree(water_map_plan(higher)))
            moved = (mark[1] - y) / pixels_per_foot(plan)
            assert moved == pytest.approx(other.point[0] - strike.point[0], abs=0.05)


def areas(root):
    """{pattern: [(left, top, right, bottom)]} of the patterned shapes."""
    found = {}
    for element in root.iter(f"{SVG}path"):
        if element.get("class") != "as-area":
            continue
        name = re.fullmatch(r"url\(#as[0-9a-f]{8}([a-z]+)\)", element.get("fill"))[1]
        for x0, y0, x1, y1 in re.findall(
            r"M([-\d.]+) ([-\d.]+)H([-\d.]+)V([-\d.]+)H", element.get("d")
        ):
            found.setdefault(name, []).append(tuple(map(float, (x0, y0, x1, y1))))
    return found


@pytest.mark.parametrize("name", ["steep under joists", "far wall and ceiling", "holed roof"])
def test_map_shades_cover_the_cells_of_the_result(name):
    """The area of each shade is that of its cells by the scale bar; the legend has one box each."""
    result = case(name)
    bands, room = result.map_bands(cell_of(result.outcome.room))
    cell = (room[1] - room[0]) / len(bands) * (room[3] - room[2]) / len(bands[0])
    root = tree(water_map_plan(result))
    scale, drawn = pixels_per_foot(root), areas(root)
    for number, pattern in enumerate(SHADES):
        wanted = sum(line.count(number) for line in bands) * cell
        if not number:
            continue
        boxes = [b for b in drawn[pattern + "water"] if (b[2] - b[0], b[3] - b[1]) != (26, 16)]
        area = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes) / scale**2
        assert area == pytest.approx(wanted, rel=0.03, abs=0.2)
        assert len(drawn[pattern + "water"]) == len(boxes) + 1


def test_plan_has_left_on_the_left_and_the_wall_at_the_foot():
    """A stream turned to the right strikes right of where it comes in, and farther in is up."""
    root = tree(water_map_plan(case("turned")))
    ((x, y),) = marks(root)
    opening = next(e for e in root.iter(f"{SVG}text") if e.text.startswith("opening"))
    assert x > float(opening.get("x")) and y < float(opening.get("y"))


def test_shades_of_the_map_are_told_apart_in_grey():
    """Each band covers more of its tile with ink than the one before it."""
    side_and_ink = []
    for name in SHADES[1:]:
        side, way, width = PATTERNS[name]
        inked = width * (
            0.01 + width
            if name == "dots"
            else side * len(re.findall("M", way)) / (1.5 if name == "lines" else 1)
        )
        side_and_ink.append(min(1.0, inked / side**2))
    assert side_and_ink == sorted(side_and_ink) and side_and_ink[-1] == 1
    assert all(b - a > 0.1 for a, b in pairwise(side_and_ink))


def test_patterns_of_two_pictures_have_different_names():
    """Ids hold for the whole page: a hidden picture must not lend its pattern to another."""
    ids = [
        {e.get("id") for e in tree(water_map_plan(case(name))).iter(f"{SVG}pattern")}
        for name in ("steep under joists", "holed roof")
    ]
    assert all(ids) and not ids[0] & ids[1]


def luminance(colour):
    """Relative luminance by WCAG 2 of #rrggbb."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def painted():
    """(palette name, whether text) of all that the pictures paint, full strength only."""
    found = set()
    pictures = [section(case(n)) for n in NAMES] + [water_map_plan(case(n)) for n in NAMES]
    pictures += [path_chart(windy(), compare=(windy(wind="0 mph"),))]
    for picture in pictures:
        for element in tree(picture).iter():
            tag = element.tag.removeprefix(SVG)
            for attribute in ("fill", "stroke"):
                given_paint = element.get(attribute, "none")
                paint = re.fullmatch(r"var\(--(\w+)\)", given_paint)
                assert paint or given_paint == "none" or given_paint.startswith("url(#as"), (
                    given_paint
                )
                if paint and not (tag == "text" and attribute == "stroke"):
                    found.add((paint[1], tag == "text"))
            assert float(element.get("fill-opacity", 1)) == 1
    return found - {("paper", False)}


def test_colours_have_enough_contrast_in_both_themes():
    """Text 4.5 to 1 and shapes 3 to 1 against the paper, as WCAG 2 asks."""
    used = painted()
    assert {name for name, is_text in used if is_text} >= {"ink", "muted", "push"}
    for name, is_text in used:
        for theme in (0, 1):
            pair = sorted((luminance(PALETTE[n][theme]) for n in (name, "paper")), reverse=True)
            assert (pair[0] + 0.05) / (pair[1] + 0.05) >= (4.5 if is_text else 3), (name, theme)


def test_ladder_is_drawn_only_where_its_elevation_is_known():
    """A shot alone does not say how the ladder stands: then only the nozzle is drawn."""
    result = case("floor")

    def steel(picture):
        return sum(e.get("stroke") == "var(--steel)" for e in tree(picture).iter(f"{SVG}line"))

    assert steel(section(result)) == 0
    assert steel(section(result, ladder=quantity(60, "degree"))) == 7


def test_aim_that_was_found_is_drawn_with_its_ladder():
    """An AimFound is drawn like the shot it holds, the ladder at its own elevation."""
    found = best_aim(
        load_department().device("tower-3"), view("weir-street-mill a2-7"),
        turntable_distance="45 ft", tip_diameter="1 1/2 in", nozzle_pressures=("80 psi",),
    )  # fmt: skip
    root = sound(section(found))
    rails = [
        [float(e.get(key)) for key in ("x1", "y1", "x2", "y2")] for e in root.iter(f"{SVG}line")
        if e.get("stroke") == "var(--steel)" and e.get("stroke-width") == "2.2"
    ]  # fmt: skip
    assert len(rails) == 2
    for x1, y1, x2, y2 in rails:
        leaning = degrees(atan2(y2 - y1, x1 - x2))
        assert leaning == pytest.approx(found.elevation.magnitude, abs=0.5)
    assert sound(water_map_plan(found)).get("aria-label") == water_map_plan(found.use).label


def test_result_without_a_set_up_is_refused_in_words():
    """An aim that was not found has nothing to draw."""

    class NotFound:
        use, reason = None, "extension too long"

    with pytest.raises(ImpossibleValue, match="no set-up to draw: extension too long"):
        section(NotFound())


# --- the path -----------------------------------------------------------------------------------


@cache
def windy(
    tip_size="1 1/2 in", elevation="30 deg", height="40 ft", wind="20 mph", wind_from="90 deg"
):
    """A path in wind from the right."""
    return stream_path(
        tip_size, nozzle_pressure="80 psi", elevation=elevation, height=height, wind=wind,
        wind_from=wind_from,
    )  # fmt: skip


paths = st.builds(
    windy,
    st.sampled_from(["1 in", "1 1/2 in", "2 in"]),
    st.sampled_from([f"{n} deg" for n in (-60, -20, 0, 15, 35, 60, 75, 85, 90)]),
    st.sampled_from(["0 ft", "12 ft", "75 ft"]),
    st.sampled_from(["0 mph", "10 mph", "40 mph"]),
    st.sampled_from([f"{n} deg" for n in range(0, 360, 45)]),
)


@given(paths, st.lists(paths, max_size=3), st.sampled_from(SYSTEMS))
@settings(max_examples=60)
def test_any_path_can_be_drawn(path, compare, system):
    """Words neither overlap nor leave the picture; the throw is in the label."""
    picture = path_chart(path, compare=compare, system=system)
    sound(picture)
    assert ("no landing is given" in picture.label) == (path.throw is None)


def test_path_is_to_scale_with_its_band_and_marks():
    """Where it lands, fifteen per cent either way, and the highest point, by the scale bar."""
    path = windy(wind="0 mph")
    root = tree(path_chart(path))
    scale, (x0, y0) = pixels_per_foot(root), tip(root)
    throw = path.throw.to("foot").magnitude
    band = [
        [float(e.get(k)) for k in ("x1", "x2")] for e in root.iter(f"{SVG}line")
        if e.get("stroke") == "var(--water)" and e.get("y1") == e.get("y2")
    ]  # fmt: skip
    assert [(x - x0) / scale for x in band[0]] == pytest.approx(
        [0.85 * throw, 1.15 * throw], abs=0.3
    )
    (top,) = (c for c in root.iter(f"{SVG}circle") if c.get("r") == "4.0")
    up = 40 + (y0 - float(top.get("cy"))) / scale
    assert up == pytest.approx(path.apex_height.to("foot").magnitude, abs=0.3)
    assert "usable reach 96 ft along" in words_in(root)
    assert not [t for t in words_in(root) if t.startswith("From above")]


def test_plan_of_the_path_stands_only_where_there_is_drift():
    """Wind from the right drives it to the left, which is up in the plan."""
    root = tree(path_chart(windy()))
    assert [t for t in words_in(root) if t.startswith("From above, to the same scale")]
    assert [t for t in words_in(root) if re.match(r"lands \d+ ft to the left", t)]
    against = tree(path_chart(windy(wind_from="0 deg")))
    assert not [t for t in words_in(against) if t.startswith("From above")]
    assert any("wind 20 mph from ahead" in t for t in words_in(against))


def test_compared_paths_are_named_and_in_the_table():
    """Two paths that differ in wind alone are told apart by their names."""
    still = windy(wind="0 mph")
    root = tree(path_chart(windy(), compare=(still,)))
    assert "1 1/2 in at 30 deg, no wind" in words_in(root)
    rows = path_rows(windy(), (still,))
    assert ("Wind", "20 mph from the right") in rows
    assert any(label.startswith("1 1/2 in at 30 deg, no wind: Throw") for label, _ in rows)


# --- a sweep ------------------------------------------------------------------------------------


@cache
def pitched_sweep():
    """Five steps of pitch at a window of the mill."""
    return swept(
        view("weir-street-mill a2-7"), vary="stream_pitch", start="5 deg", end="25 deg", steps=5,
        standoff="25 ft", nozzle_height="8 ft", tip_diameter="1 1/2 in", nozzle_pressure="80 psi",
    )  # fmt: skip


def test_sweep_goes_from_start_to_end_and_each_frame_has_its_words():
    """Frames in order, the angle in the words, two pictures each, nothing from outside."""
    results = pitched_sweep()
    assert [r.shot.pitch_deg for r in results] == pytest.approx([5, 10, 15, 20, 25])
    html = sweep(results, vary="stream_pitch")
    said = [unescape(t) for t in re.findall(r"<figcaption>(.*?)</figcaption>", html)]
    assert [t.split(". ")[0] for t in said] == [
        f"{n} of 5: stream pitched {a}.0 deg up" for n, a in enumerate((5, 10, 15, 20, 25), 1)
    ]
    assert html.count("<svg") == 10
    assert set(re.findall(r"https?://[^'\"\s]+", html)) == {"http://www.w3.org/2000/svg"}
    ids = re.findall(r"<pattern id=\"(\w+)\"", html)
    assert len(ids) == len(set(ids))


def test_sections_of_a_sweep_have_one_scale():
    """So that what moves from frame to frame is the water, not the building."""
    results = pitched_sweep()
    window = window_of(results[0])
    for result in results[1:]:
        window = window | window_of(result)
    roots = [tree(section(r, window=window)) for r in results]
    assert len({r.get("viewBox") for r in roots}) == 1
    assert len({tip(r) for r in roots}) == 1


@pytest.mark.parametrize(
    ("wrong", "words"), [({"vary": "roll"}, "vary = 'roll'"), ({"steps": 1}, "steps = 1")]
)
def test_sweep_refuses_what_it_cannot_do(wrong, words):
    """With the value, and what is needed."""
    with pytest.raises(ImpossibleValue, match=words):
        swept(view("weir-street-mill a2-7"), **{"start": "0 deg", "end": "5 deg", **wrong})


def test_sweep_plays_in_a_browser_and_shows_every_frame_without_a_script(browser):
    """Next, previous and the slider; with scripts off all frames stand below each other."""
    html = f"<body>{sweep(pitched_sweep(), vary='stream_pitch')}</body>"
    page = browser.new_page()
    faults = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.set_content(html)
    assert page.locator("figure:visible").count() == 1
    for button, number in (("Next", 2), ("Next", 3), ("Previous", 2)):
        page.get_by_role("button", name=button).click()
        assert page.locator("[data-words]").inner_text().startswith(f"{number} of 5")
    page.get_by_role("slider").press("End")
    assert page.locator("[data-words]").inner_text().startswith("5 of 5")
    page.get_by_role("button", name="Play").click()
    page.wait_for_function(
        "document.querySelector('[data-words]').textContent.startsWith('1 of 5')"
    )
    page.get_by_role("button", name="Pause").click()
    assert faults == []
    page.close()
    plain = browser.new_context(java_script_enabled=False).new_page()
    plain.set_content(html)
    assert plain.locator("figure:visible").count() == 5
    assert plain.get_by_role("button").count() == 0
    plain.context.close()


# --- the words' places --------------------------------------------------------------------------


@given(st.text("abcmwMWil .,0123456789%", min_size=1, max_size=40), st.booleans())
def test_guessed_width_of_a_text_is_not_less_than_that_of_a_wide_typeface(words, bold):
    """Against the measured widths of DejaVu Sans; two per cent are let through."""
    assert text_width(words, 13, bold) >= 0.98 * 13 * width_of(words, bold)


def test_label_takes_the_free_place_and_says_when_there_is_none():
    """The first place is taken, the second is free; in a full frame the words are left out."""
    picture = Picture(200, 100, "a picture")
    labels = Labels(picture, (0, 0, 200, 100))
    labels.block((0, 0, 100, 100))
    assert labels.put("free", [(10, 50, "start"), (110, 50, "start")])
    assert text_boxes(tree(picture))[0][1] == 110
    labels.block((100, 0, 200, 100))
    assert not labels.put("nowhere", [(110, 50, "start")])
    assert labels.left_out == ["nowhere"]


def test_wrapped_lines_hold_all_words_and_fit():
    """No line wider than asked, but for a single long word."""
    words = "nearly all of the flow comes in and strikes the ceiling"
    lines = wrapped(words, 14, 160)
    assert " ".join(lines) == words and len(lines) > 1
    assert all(text_width(line, 14) <= 160 for line in lines)
