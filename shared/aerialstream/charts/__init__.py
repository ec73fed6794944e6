"""Result in, SVG text out, for live panels. Computes nothing; Python's own library only."""

from aerialstream.charts.svg import PALETTE, Picture
from aerialstream.charts.tip_plan import tip_plan

__all__ = ["PALETTE", "Picture", "tip_plan"]
