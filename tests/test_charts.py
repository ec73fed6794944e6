"""Pictures: contrast, well-formed, inside their frame, to scale, with words; and the figure."""

import io
import re
import warnings
import xml.etree.ElementTree as ET
from functools import cache
from math import cos, hypot, radians, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from aerialstream import quantity, reaction_at_tip, show
from aerialstream.charts import PALETTE, Picture, tip_plan
from aerialstream.charts.svg import figure_html, style_sheet
from aerialstream.figures import side_load, side_load_curve

settings.register_profile("steady", deadline=None)
settings.load_profile("steady")

SVG = "{http://www.w3.org/2000/svg}"
THEMES = {"light": 0, "dark": 1}
LONGEST = quantity("100 ft")
FONT = FontProperties(family="DejaVu Sans", size=10)


def split(force=505.0, rotation=30.0, extension=75.0, pitch=0.0):
    """A reaction at the tip from plain numbers."""
    return reaction_at_tip(
        quantity(force, "lbf"),
        rotation=quantity(rotation, "degree"),
        extension=quantity(extension, "foot"),
        pitch=quantity(pitch, "degree"),
    )


splits = st.builds(
    split,
    st.floats(1, 4000),
    st.one_of(st.floats(-180, 180), st.sampled_from([0.0, 5.0, -5.0, 45.0, 90.0, -90.0, 180.0])),
    st.floats(1, 100),
    st.one_of(st.just(0.0), st.floats(-120, 60)),
)


def drawn(result, system="US"):
    """The picture of a result as a tree of elements."""
    return ET.fromstring(tip_plan(result, longest=LONGEST, system=system).svg())


def luminance(colour):
    """Relative luminance by WCAG 2, of an RGB triple from 0 to 1."""
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def rgb(text):
    """#rrggbb as numbers from 0 to 1."""
    return tuple(int(text[i : i + 2], 16) / 255 for i in (1, 3, 5))


def contrast(colour, paper, opacity=1.0):
    """Contrast ratio by WCAG 2 of a colour laid on paper."""
    on, under = rgb(colour), rgb(paper)
    mixed = [opacity * a + (1 - opacity) * b for a, b in zip(on, under, strict=True)]
    light, dark = sorted((luminance(mixed), luminance(under)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_wcags():
    """Black on white is 21 to 1 and #777777 on white 4.48 to 1, as WCAG's own examples have it."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def used(results):
    """(palette name, opacity, whether text) of everything painted in some pictures."""
    found = set()
    for result in results:
        for element in drawn(result).iter():
            tag = element.tag.removeprefix(SVG)
            if tag == "style":
                continue
            opacity = float(element.get("fill-opacity", 1))
            for attribute in ("fill", "stroke"):
                paint = re.fullmatch(r"var\(--(\w+)\)", element.get(attribute, ""))
                if paint and not (tag == "text" and attribute == "stroke"):
                    found.add((paint[1], opacity, tag == "text"))
                elif not paint:
                    assert element.get(attribute, "none") == "none", "a colour off the palette"
    return {entry for entry in found if entry[0] != "paper"}


USED = sorted(used([split(), split(rotation=-90), split(rotation=0, pitch=20), split(rotation=3)]))


def test_colours_in_use_are_found():
    """The search finds text and lines in several colours of the palette."""
    assert len([name for name, _, text in USED if text]) >= 5
    assert {name for name, _, _ in USED} == set(PALETTE) - {"paper"}


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("name", "opacity", "is_text"), USED)
def test_colour_has_enough_contrast(name, opacity, is_text, theme):
    """Text 4.5 to 1 and lines 3 to 1 against the paper, in both themes."""
    colour, paper = PALETTE[name][THEMES[theme]], PALETTE["paper"][THEMES[theme]]
    assert contrast(colour, paper, opacity) >= (4.5 if is_text else 3)


def test_style_sheet_carries_the_palette_of_both_themes():
    """Every colour of the palette is in the style that a picture carries."""
    light, dark = style_sheet().split("[data-jp-theme-light='false']")
    for name, pair in PALETTE.items():
        assert f"--{name}:{pair[0]};" in light and f"--{name}:{pair[1]};" in dark


@cache
def width_of(text):
    """Width of a text at size 1 in DejaVu Sans, a wide typeface."""
    return text_to_path.get_text_width_height_descent(text, FONT, False)[0] / 10


def corners(root):
    """(what, x, y) of all ends, corners and boxes in a picture."""
    for element in root.iter():
        tag, number = element.tag.removeprefix(SVG), lambda key, e=element: float(e.get(key))
        if tag == "line":
            yield tag, number("x1"), number("y1")
            yield tag, number("x2"), number("y2")
        elif tag == "polygon":
            for point in element.get("points").split():
                yield tag, *map(float, point.split(","))
        elif tag == "circle":
            for way in (-1, 1):
                yield tag, number("cx") + way * number("r"), number("cy") + way * number("r")
        elif tag == "path":
            x0, y0, *_, x1, y1 = map(float, re.findall(r"-?[\d.]+", element.get("d")))
            yield tag, x0, y0
            yield tag, x1, y1
        elif tag == "text":
            size, x, y = number("font-size"), number("x"), number("y")
            width = size * width_of(element.text)
            left = x - {"start": 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
            yield f"text {element.text}", left, y - 0.8 * size
            yield f"text {element.text}", left + width, y + 0.25 * size


@given(splits, st.sampled_from(["US", "metric"]))
@settings(max_examples=300)
def test_picture_is_well_formed_inside_its_frame_and_has_its_numbers_in_words(result, system):
    """Any drawn result: XML, role and label with the numbers, all of it inside the viewBox."""
    root = drawn(result, system)
    assert root.tag == f"{SVG}svg" and root.get("role") == "img"
    label = root.get("aria-label")
    for value in (result.reaction, result.side, result.axial, result.side_moment):
        assert show(abs(value), system) in label
    left, top, width, height = map(float, root.get("viewBox").split())
    assert (left, top) == (0, 0)
    outside = [c for c in corners(root) if not (0 <= c[1] <= width and 0 <= c[2] <= height)]
    assert outside == []


def arrow_ends(root, colour):
    """Points of the arrow heads of a colour: the first corner of its three-cornered shapes."""
    heads = []
    for shape in root.iter(f"{SVG}polygon"):
        points = [tuple(map(float, p.split(","))) for p in shape.get("points").split()]
        if len(points) == 3 and shape.get("fill") == f"var(--{colour})":
            heads.append(points[0])
    return heads


def tip_of(root):
    """Where the ladder's tip is drawn: the only disc of ink."""
    (disc,) = (c for c in root.iter(f"{SVG}circle") if c.get("fill") == "var(--ink)")
    return float(disc.get("cx")), float(disc.get("cy"))


def pixels_per_pound(root):
    """From the scale bar: its length over what its words say."""
    words = next(t.text for t in root.iter(f"{SVG}text") if t.text.startswith("force: "))
    bar = quantity(words.removeprefix("force: "))
    lines = [e for e in root.iter(f"{SVG}line") if e.get("stroke") == "var(--ink)"]
    length = max(abs(float(e.get("x2")) - float(e.get("x1"))) for e in lines)
    return length / bar.to("lbf").magnitude


@given(splits)
@settings(max_examples=150)
def test_arrows_are_as_long_as_the_forces_and_point_the_right_way(result):
    """By the picture's own scale bar; left is left, outward is up the page."""
    root = drawn(result)
    tip, scale = tip_of(root), pixels_per_pound(root)
    along, side = -result.axial.magnitude * scale, -result.side.magnitude * scale
    expected = {"push": (side, along), "along": (0, along), "across": (side, 0)}
    for colour, (right, down) in expected.items():
        heads = arrow_ends(root, colour)
        if not heads:  # left out where it would be no arrow or the same as the reaction's
            pounds = min(abs(result.axial.magnitude), abs(result.side.magnitude))
            assert hypot(right, down) < 2.1 or (colour != "push" and pounds < 0.5)
            continue
        ((x, y),) = heads
        assert (x - tip[0], y - tip[1]) == pytest.approx((right, down), abs=0.11)


@given(splits)
def test_stream_is_drawn_against_the_reaction_and_ladder_to_scale(result):
    """The jet leaves the tip on the side that the nozzle is turned to; the ladder has its length."""
    root = drawn(result)
    tip = tip_of(root)
    (jet,) = (p for p in root.iter(f"{SVG}polygon") if p.get("fill") == "var(--water)")
    points = [tuple(map(float, p.split(","))) for p in jet.get("points").split()]
    far = [(points[1][i] + points[2][i]) / 2 - tip[i] for i in (0, 1)]
    angle = radians(result.rotation.magnitude)
    assert far == pytest.approx([-150 * sin(angle), -150 * cos(angle)], abs=0.11)
    full = tip_of(drawn(split(extension=100)))
    base = next(root.iter(f"{SVG}circle"))
    y = float(base.get("cy"))
    share = result.extension.magnitude / 100
    assert y - tip[1] == pytest.approx(share * (y - full[1]), abs=0.11)


@given(st.text(max_size=30).filter(lambda t: all(c >= " " and c < "\ud800" for c in t)))
def test_text_in_picture_is_escaped(words):
    """Words with <, & and quotes come out of the XML as they went in."""
    picture = Picture(100, 100, f"label {words}")
    picture.text((5, 50), words)
    root = ET.fromstring(picture.svg())
    assert root.get("aria-label") == f"label {words}"
    assert (root.find(f"{SVG}text").text or "") == words


def test_markup_in_words_does_no_harm():
    """A script in a label, a text or a table of numbers stays text."""
    evil = "<script>alert('&\")</script>"
    picture = Picture(100, 100, evil)
    picture.text((5, 50), evil)
    html = figure_html(picture, [(evil, evil)])
    assert "<script" not in html
    figure = ET.fromstring(html)
    assert [cell.text for row in figure.iter("tr") for cell in row] == [evil, evil]


def test_figure_html_repeats_the_numbers_in_a_table():
    """Below the picture stands every value of the result, labelled."""
    result = split()
    html = ET.fromstring(figure_html(tip_plan(result, longest=LONGEST), result.lines()))
    table = [(row[0].text, row[1].text) for row in html.iter("tr")]
    assert table == list(result.lines())
    assert ("Side load at the tip", "253 lbf, to the right") in table


@pytest.mark.parametrize(
    ("rotation", "pitch", "words"),
    [
        (0, 0, "reaction 505 lbf, all along the ladder"),
        (90, 0, "reaction 505 lbf, all side load"),
        (0, -60, "reaction 505 lbf"),
        (90, 45, "reaction 505 lbf"),
        (0, -90, "reaction 505 lbf"),
        (30, 0, "reaction 505 lbf"),
    ],
)
def test_reaction_is_called_all_of_one_kind_only_where_it_is(rotation, pitch, words):
    """A pitched nozzle once had its whole reaction called "all along the ladder"; it is not."""
    texts = [t.text for t in drawn(split(rotation=rotation, pitch=pitch)).iter(f"{SVG}text")]
    assert [t for t in texts if t.startswith("reaction")] == [words]


@pytest.mark.parametrize(
    ("rotation", "words"),
    [
        (0, "in line with the ladder"),
        (30, "30 deg to the left"),
        (-30, "30 deg to the right"),
        (120, "pulls outward along"),
    ],
)
def test_label_says_which_way_the_nozzle_is_turned(rotation, words):
    """Left and right are looking outward; beyond square-on the reaction pulls outward."""
    assert words in drawn(split(rotation=rotation)).get("aria-label")


ROW = [split(rotation=d) for d in range(0, 91, 15)]


@pytest.mark.parametrize("system", ["US", "metric"])
def test_side_load_figure_shows_the_results_and_says_them(system):
    """A matplotlib Figure with both curves, axes in words with units, and alt with each number."""
    out = side_load_curve(ROW, system)
    assert isinstance(out.figure, Figure)
    (axes,) = out.figure.axes
    unit, word = ("lbf", "pounds") if system == "US" else ("newton", "newtons")
    side, along = (line.get_ydata() for line in axes.lines)
    assert list(axes.lines[0].get_xdata()) == pytest.approx([0, 15, 30, 45, 60, 75, 90])
    assert list(side) == pytest.approx([abs(r.side).to(unit).magnitude for r in ROW])
    assert list(along) == pytest.approx([abs(r.axial).to(unit).magnitude for r in ROW])
    assert "degrees" in axes.get_xlabel() and word in axes.get_ylabel()
    assert show(ROW[0].reaction, system) in out.alt
    for result in ROW:
        assert f"{result.rotation.magnitude:g} degrees {show(abs(result.side), system)}" in out.alt
    styles = {(line.get_linestyle(), line.get_marker()) for line in axes.lines}
    assert len(styles) == 2, "curves told apart by colour alone"


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_side_load_figure_is_drawn_in_silence(count, capfd):
    """Any number of results from one up; nothing on standard error, no warning, no pyplot."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        buffer = io.BytesIO()
        side_load_curve(ROW[:count]).figure.savefig(buffer, format="svg")
    assert ET.fromstring(buffer.getvalue()).tag == f"{SVG}svg"
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("colour", [side_load.INK, side_load.ACROSS, side_load.ALONG])
def test_side_load_figure_colours_have_enough_contrast(colour):
    """Labels and curves on the white paper of a handout reach 4.5 to 1."""
    assert contrast(colour, "#ffffff") >= 4.5
