"""A small helper that writes SVG text: lines, arrows, shapes, labels, a scale bar.

Coordinates are pixels, y down. Colours are names of PALETTE, so that one picture serves the
light and the dark theme; no two things may be told apart by colour alone.
"""

from html import escape
from math import cos, hypot, radians, sin
from zlib import crc32

# name: (on light paper, on dark paper); text colours reach 4.5:1, lines 3:1 (a test checks).
PALETTE = {
    "paper": ("#ffffff", "#14181d"),
    "ink": ("#1b2126", "#eef1f4"),
    "muted": ("#5b6670", "#a4afba"),
    "steel": ("#7d8894", "#7d8894"),
    "water": ("#1769aa", "#6cb8ff"),
    "push": ("#a63600", "#ff9d5c"),
    "along": ("#2c6a2e", "#7fd083"),
    "across": ("#7b2a86", "#e39aee"),
}

# Size of the smallest words: a lesson shows a picture at its own width, or nearly so and scrolled.
FINE = 14

# name: (side of the tile in px, what is drawn in it, width of the line); told apart in grey.
PATTERNS = {
    "dots": (8, "M4 4h.01", 2.2),
    "lines": (7, "M-1 1L1 -1M0 7L7 0M6 8L8 6", 1.4),
    "dense": (5, "M0 2.5H5M2.5 0V5", 1.7),
    "solid": (8, "M0 4H8", 9),
    "falling": (7, "M-1 6L1 8M0 0L7 7M6 -1L8 1", 1.6),
}


def style_sheet():
    """CSS that gives the palette to every picture, in both themes."""
    light = "".join(f"--{name}:{pair[0]};" for name, pair in PALETTE.items())
    dark = "".join(f"--{name}:{pair[1]};" for name, pair in PALETTE.items())
    return (
        f".as-pic{{{light}background:var(--paper);display:block;max-width:100%;height:auto;"
        "border-radius:4px;font-family:system-ui,'DejaVu Sans',sans-serif}"
        f"[data-jp-theme-light='false'] .as-pic{{{dark}}}"
    )


class Picture:
    """One picture as SVG text.

    Takes
      width, height   size of the drawing in px; it shrinks to the width there is
      label           one sentence on what it shows, with the key numbers, for those who
                      cannot see it
      middle          True where what matters stands in the middle: a page too narrow for the
                      picture shows that first
    """

    def __init__(self, width, height, label, middle=False):
        self.width, self.height, self.label, self.middle = width, height, label, middle
        self._parts = []
        self._defined = {}

    def line(self, start, end, colour="ink", width=1.5, dash=""):
        """A straight line from (x, y) to (x, y)."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<line x1="{start[0]:.1f}" y1="{start[1]:.1f}" x2="{end[0]:.1f}" y2="{end[1]:.1f}" '
            f'stroke="var(--{colour})" stroke-width="{width}" stroke-linecap="round"{dashed}/>'
        )

    def polygon(self, points, fill="none", stroke="none", width=1.0, opacity=1.0):
        """A closed shape through (x, y) points."""
        corner = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        paint = [f"var(--{c})" if c != "none" else c for c in (fill, stroke)]
        self._parts.append(
            f'<polygon points="{corner}" fill="{paint[0]}" stroke="{paint[1]}" '
            f'stroke-width="{width}" fill-opacity="{opacity}"/>'
        )

    def polyline(self, points, colour="ink", width=1.5, dash="", halo=0.0):
        """An open line through (x, y) points; halo px of paper on either side set it off."""
        if len(points) < 2:
            return
        way = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        if halo:
            self._parts.append(
                f'<polyline points="{way}" fill="none" stroke="var(--paper)" '
                f'stroke-width="{width + 2 * halo}" stroke-linejoin="round"/>'
            )
        self._parts.append(
            f'<polyline points="{way}" fill="none" stroke="var(--{colour})" '
            f'stroke-width="{width}" stroke-linejoin="round" stroke-linecap="round"{dashed}/>'
        )

    def patterned(self, boxes, pattern, colour="ink", stroke="none", width=1.0):
        """Upright boxes (left, top, right, bottom) as one shape, filled by a named PATTERNS."""
        # Ids hold for the whole page: a name made of the label keeps two pictures apart.
        name = f"as{crc32(self.label.encode()):08x}{pattern}{colour}"
        self._defined[name] = (PATTERNS[pattern], colour)
        outline = f"var(--{stroke})" if stroke != "none" else stroke
        way = "".join(f"M{x0:.1f} {y0:.1f}H{x1:.1f}V{y1:.1f}H{x0:.1f}Z" for x0, y0, x1, y1 in boxes)
        self._parts.append(
            f'<path class="as-area" d="{way}" fill="url(#{name})" stroke="{outline}" stroke-width="{width}"/>'
        )

    def strokes(self, pieces, colour="ink", width=1.0, dash=""):
        """Many straight pieces, each (start, end), as one light element."""
        if pieces:
            way = "".join(f"M{a[0]:.1f} {a[1]:.1f}L{b[0]:.1f} {b[1]:.1f}" for a, b in pieces)
            dashed = f' stroke-dasharray="{dash}"' if dash else ""
            self._parts.append(
                f'<path d="{way}" fill="none" stroke="var(--{colour})" stroke-width="{width}"{dashed}/>'
            )

    def area(self, polygons, fill, opacity=1.0):
        """Several polygons as one shape: where they overlap it is no darker."""
        way = ""
        for points in polygons:
            sides = zip(points, [*points[1:], points[0]], strict=True)
            turn = sum(a[0] * b[1] - b[0] * a[1] for a, b in sides)
            run = points if turn > 0 else points[::-1]
            way += "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in run) + "Z"
        if way:
            self._parts.append(f'<path d="{way}" fill="var(--{fill})" fill-opacity="{opacity}"/>')

    def crosses(self, points, arm, colour="ink", width=1.0):
        """Many small crosses, `arm` px from middle to end, as one light element."""
        if points:
            step = f"l{2 * arm:.1f} {2 * arm:.1f}m0-{2 * arm:.1f}l-{2 * arm:.1f} {2 * arm:.1f}"
            way = "".join(f"M{x - arm:.1f} {y - arm:.1f}{step}" for x, y in points)
            self._parts.append(
                f'<path d="{way}" fill="none" stroke="var(--{colour})" stroke-width="{width}"/>'
            )

    def spots(self, points, colour="ink", width=5.0):
        """Many round dots, `width` px across, as one light element."""
        if points:
            way = "".join(f"M{x:.1f} {y:.1f}h0" for x, y in points)
            self._parts.append(
                f'<path d="{way}" fill="none" stroke="var(--{colour})" stroke-width="{width}" '
                'stroke-linecap="round"/>'
            )

    def _definitions(self):
        if not self._defined:
            return ""
        made = "".join(
            f'<pattern id="{name}" width="{side}" height="{side}" patternUnits="userSpaceOnUse">'
            f'<path d="{way}" stroke="var(--{colour})" stroke-width="{width}" fill="none" '
            'stroke-linecap="square"/></pattern>'
            for name, ((side, way, width), colour) in self._defined.items()
        )
        return f"<defs>{made}</defs>"

    def circle(self, centre, radius, fill="none", stroke="ink", width=1.5):
        """A circle."""
        paint = f"var(--{fill})" if fill != "none" else fill
        self._parts.append(
            f'<circle cx="{centre[0]:.1f}" cy="{centre[1]:.1f}" r="{radius:.1f}" fill="{paint}" '
            f'stroke="var(--{stroke})" stroke-width="{width}"/>'
        )

    def arc(self, centre, radius, start_deg, end_deg, colour="muted", width=1.5):
        """Part of a circle; degrees clockwise from the top of the page."""
        points = [
            (centre[0] + radius * sin(radians(a)), centre[1] - radius * cos(radians(a)))
            for a in (start_deg, end_deg)
        ]
        large = int(abs(end_deg - start_deg) > 180)
        sweep = int(end_deg > start_deg)
        (x0, y0), (x1, y1) = points
        self._parts.append(
            f'<path d="M{x0:.1f} {y0:.1f} A{radius:.1f} {radius:.1f} 0 {large} {sweep} '
            f'{x1:.1f} {y1:.1f}" fill="none" stroke="var(--{colour})" stroke-width="{width}"/>'
        )

    def arrow(self, start, end, colour="ink", width=3.0, dash="", head=11.0):
        """An arrow whose point lies at `end`; nothing if it would be shorter than 2 px."""
        dx, dy = end[0] - start[0], end[1] - start[1]
        length = hypot(dx, dy)
        if length < 2:
            return
        head = min(head, length * 0.8)
        ux, uy = dx / length, dy / length
        neck = (end[0] - ux * head, end[1] - uy * head)
        half = head * 0.45
        self.line(start, neck, colour, width, dash)
        self.polygon(
            [
                end,
                (neck[0] - uy * half, neck[1] + ux * half),
                (neck[0] + uy * half, neck[1] - ux * half),
            ],
            fill=colour,
        )

    def text(self, at, words, colour="ink", size=15, anchor="start", bold=False):
        """Words at (x, y) of their baseline; anchor "start", "middle" or "end"."""
        weight = ' font-weight="600"' if bold else ""
        self._parts.append(
            f'<text x="{at[0]:.1f}" y="{at[1]:.1f}" fill="var(--{colour})" font-size="{size}" '
            f'text-anchor="{anchor}"{weight} stroke="var(--paper)" stroke-width="4" '
            f'paint-order="stroke" stroke-linejoin="round">{escape(words)}</text>'
        )

    def scale_bar(self, at, length, words):
        """A bar `length` px long from (x, y) to the right, with what it stands for."""
        x, y = at
        self.line((x, y), (x + length, y), "ink", 2)
        for end in (x, x + length):
            self.line((end, y - 5), (end, y + 5), "ink", 2)
        self.text((x, y - 10), words, "ink", FINE)

    def svg(self, styled=True):
        """The picture as text; with its own style, unless the page has that already."""
        style = f"<style>{style_sheet()}</style>" if styled else ""
        return (
            f'<svg class="as-pic{" as-middle" if self.middle else ""}" role="img" aria-label="{escape(self.label, quote=True)}" '
            f'viewBox="0 0 {self.width} {self.height}" width="{self.width}" '
            f'height="{self.height}" xmlns="http://www.w3.org/2000/svg">'
            f"{style}"
            f"{self._definitions()}"
            f'<rect width="{self.width}" height="{self.height}" fill="var(--paper)"/>'
            f"{''.join(self._parts)}</svg>"
        )


def figure_html(picture, rows, styled=True):
    """A picture with its numbers in a small table below, folded.

    Takes
      picture   a Picture
      rows      (label, text) pairs, as `result.lines(system)` gives them
      styled    False where the page has `style_sheet` already: a live panel swaps less
    """
    body = "".join(
        f"<tr><th scope='row'>{escape(label)}</th><td>{escape(value)}</td></tr>"
        for label, value in rows
    )
    return (
        f"<figure class='as-figure'>{picture.svg(styled)}<details><summary>The numbers in this picture"
        f"</summary><table>{body}</table></details></figure>"
    )
