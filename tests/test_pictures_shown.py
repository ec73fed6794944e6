"""The pictures of the live panels as a page shows them: words large enough, apart, and inside.

Each panel is put at both ends and the middle of every number and at every choice, one after the
other, in both unit systems; Chromium lays the pictures out in columns as wide as those of the
lessons and measures the words.
"""

import importlib
from functools import cache
from io import BytesIO
from itertools import product

import pytest

from aerialstream.charts.limit_lines import limit_lines
from aerialstream.charts.svg import PALETTE, Picture, style_sheet
from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.units import quantity
from lessonkit.controls import ChoiceControl, NumberControl
from lessonkit.page import STYLE, style_html

pytestmark = pytest.mark.browser

PANELS = "first water spot tip chain reach window low weight drill".split()
# Page -> (px of a panel's picture column there, the smallest words that may be shown in it).
SHOWN = {"1280x800": (719, 13.9), "820x1180": (725, 13.9), "600 wide": (525, 12.9), "390x844": (315, 12.9)}  # fmt: skip
SLOW = 24  # set-ups of the drill panel, which searches for a spot at each new choice
ALIKE = 1.0  # px that the boxes of two texts may share: their edges are above and below the ink

MEASURE = """() => [...document.querySelectorAll('svg.as-pic')].map((svg) => {
  const held = svg.closest('.widget-html-content');
  const whole = svg.getBoundingClientRect(), scale = whole.width / svg.viewBox.baseVal.width;
  const said = [...svg.querySelectorAll('text')].map((text) => {
    const size = parseFloat(text.getAttribute('font-size')) * scale;
    const box = text.getBoundingClientRect(), edge = 0.12 * size;
    return {words: text.textContent, size,
      left: box.left, right: box.right, top: box.top + edge, bottom: box.bottom - edge}; });
  const faults = [];
  said.forEach((one, n) => {
    if (one.left < whole.left - 1 || one.right > whole.right + 1 ||
        one.top < whole.top - 1 || one.bottom > whole.bottom + 1)
      faults.push('leaves the picture: ' + one.words);
    for (const two of said.slice(n + 1))
      if (Math.min(one.right, two.right) - Math.max(one.left, two.left) > ALIKE &&
          Math.min(one.bottom, two.bottom) - Math.max(one.top, two.top) > ALIKE)
        faults.push(one.words + ' | ' + two.words); });
  return {set_up: svg.closest('[data-set-up]').dataset.setUp, faults,
    least: Math.min(...said.map((one) => one.size)),
    hidden: whole.right - held.getBoundingClientRect().right,
    scrolls: getComputedStyle(held).overflowX}; })""".replace("ALIKE", str(ALIKE))


def set_ups(panel):
    """What is put on the controls, one control moved at a time, under each choice of the first list."""
    lists = [c for c in panel.controls.values() if isinstance(c, ChoiceControl)][:1]
    bases = [{c.name: value} for c in lists for _, value in c.options] or [{}]
    for base in bases:
        yield base
        for name, control in panel.controls.items():
            if name in base:
                continue
            if isinstance(control, NumberControl):
                low, high = control.slider.min, control.slider.max
                middle = low + round((high - low) / 2 / control.scale.step) * control.scale.step
                values = low, middle, high
            elif isinstance(control, ChoiceControl):
                values = [value for _, value in control.options]
            else:
                values = (not control.start,)
            yield from ({**base, name: value} for value in values)


@cache
def shown(name, system):
    """The pictures of a panel as (set-up, HTML) pairs, each different picture once."""
    department = load_department().model_copy(update={"units": system})
    module = importlib.import_module(f"lessonkit.{name}_panel")
    panel = getattr(module, f"{name}_panel")(department)
    moves = [{}, *set_ups(panel)]
    if name == "drill":
        moves = moves[:: max(1, len(moves) // SLOW)]
    seen = {}
    for values in moves:
        panel.reset()
        panel.set(**values)
        seen.setdefault(panel.picture.value, str(values))
    return tuple((values, html) for html, values in seen.items() if "<svg" in html)


def column(pictures, width, dark=False):
    """A page with pictures in a column so many px wide, as a panel holds them."""
    held = "".join(
        f'<div class="as-panel" data-set-up="{values}"><div class="as-picture widget-html">'
        f'<div class="widget-html-content">{html}</div></div></div>'
        for values, html in pictures
    )
    theme = "false" if dark else "true"
    return (
        f"<!doctype html><body data-jp-theme-light='{theme}' style='margin:0'>{style_html()}"
        f"<style>{style_sheet()}.as-panel{{display:block;padding:0}}</style>"
        f"<div style='width:{width}px'>{held}</div></body>"
    )


def measured(browser, pictures, width):
    """What Chromium measures of pictures in a column."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    try:
        page.set_content(column(pictures, width))
        return page.evaluate(MEASURE)
    finally:
        page.close()


@pytest.mark.parametrize("system", ["US", "metric"])
@pytest.mark.parametrize("name", PANELS)
def test_words_of_a_panels_pictures_are_large_enough_and_apart(browser, name, system):
    """On a desk, a tablet, a narrow window and a phone, where the picture may be scrolled."""
    pictures = shown(name, system)
    assert len(pictures) > 3
    for where, (width, least) in SHOWN.items():
        found = measured(browser, pictures, width)
        small = {f["set_up"]: f["least"] for f in found if f["least"] < least}
        assert not small, where
        assert not {f["set_up"]: f["faults"] for f in found if f["faults"]}, where
        assert all(f["scrolls"] == "auto" for f in found if f["hidden"] > 1), where


@pytest.mark.parametrize("system", ["US", "metric"])
def test_words_of_entered_limits_stay_apart_where_a_set_up_stands_on_a_line(browser, system):
    """The still picture of lesson 03, with its dot on corners and edges of the boxes and off them."""
    tower = load_department(DEMO_FOLDER).device("tower-3")
    pictures = []
    for flow, out in product((200, 500, 750, 814, 1250, 2000), (36, 75, 90, 100)):
        drawn = limit_lines(
            tower, flow=quantity(flow, "gpm"), extension=quantity(out, "foot"), system=system
        )
        html = f"<figure class='as-figure'>{drawn.svg(styled=False)}</figure>"
        pictures.append((f"{flow} gpm {out} ft", html))
    found = measured(browser, pictures, 719)
    assert not {f["set_up"]: f["faults"] for f in found if f["faults"] or f["least"] < 13.9}


def test_a_picture_scrolled_sideways_stays_so_when_the_next_one_comes(browser):
    """On a phone a slider is dragged and the part that was looked at stays in sight."""
    one, two = shown("tip", "US")[:2]
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.set_content(column([one], 315))
    moved = page.evaluate(
        """async (html) => {
          const held = document.querySelector('.as-picture > .widget-html-content');
          const frame = () => new Promise((done) => requestAnimationFrame(() => done()));
          await frame();
          const first = held.scrollLeft;
          held.scrollLeft = 90; await frame();
          held.innerHTML = html; await frame();
          return [first, held.scrollLeft]; }""",
        two[1],
    )
    page.close()
    assert moved[0] == pytest.approx((670 - 315) / 2, abs=2)  # the tip first, not empty paper
    assert moved[1] == 90


def test_small_and_crowded_words_are_found(browser):
    """The measuring itself: a picture with three faults has all three told."""
    picture = Picture(720, 200, "A picture with faults.")
    picture.text((20, 50), "one over the other", size=10)
    picture.text((60, 52), "the other", size=14)
    picture.text((700, 150), "beyond the edge", size=14)
    html = f"<figure class='as-figure'>{picture.svg(styled=False)}</figure>"
    (found,) = measured(browser, [("faulty", html)], 720)
    assert found["least"] == pytest.approx(10)
    assert found["faults"] == ["one over the other | the other", "leaves the picture: beyond the edge"]  # fmt: skip


def luminance(colour):
    """Relative luminance of WCAG 2.1 of (r, g, b) from 0 to 255."""
    parts = [v / 255 for v in colour]
    line = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts]
    return 0.2126 * line[0] + 0.7152 * line[1] + 0.0722 * line[2]


@pytest.mark.parametrize("dark", [False, True])
def test_arrow_of_a_list_to_choose_from_stands_out(browser, dark):
    """WCAG 2.1, 1.4.11: 3 to 1 at least, in both themes, over the widget's own faint arrow."""
    from matplotlib.image import imread

    paper, ink = (PALETTE[name][dark] for name in ("paper", "ink"))
    own = f".widget-dropdown > select{{background:{paper} none;color:{ink};appearance:none;width:200px;border:1px solid}}"  # fmt: skip
    page = browser.new_page(viewport={"width": 400, "height": 100})
    page.set_content(
        f"<!doctype html><body data-jp-theme-light='{'false' if dark else 'true'}'><style>{own}{STYLE}</style>"
        "<div class='as-panel'><div class='widget-dropdown'><select><option>x</option></select></div></div></body>"
    )
    shot = imread(BytesIO(page.locator("select").screenshot()), format="png")
    page.close()
    behind, arrow = shot[5:-5, 60:150, :3].reshape(-1, 3), shot[5:-5, -28:-4, :3].reshape(-1, 3)
    ground = luminance(behind.mean(axis=0) * 255)
    ratios = [(max(ground, one) + 0.05) / (min(ground, one) + 0.05) for one in (luminance(p * 255) for p in arrow)]  # fmt: skip
    assert sum(ratio >= 3 for ratio in ratios) > 20
