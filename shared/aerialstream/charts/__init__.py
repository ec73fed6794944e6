"""Result in, SVG text out, for live panels. Computes nothing; Python's own library only."""

from aerialstream.charts.section import section
from aerialstream.charts.stream_path import path_chart
from aerialstream.charts.svg import PALETTE, Picture
from aerialstream.charts.tip_plan import tip_plan
from aerialstream.charts.water_map import water_map_plan

__all__ = ["PALETTE", "Picture", "path_chart", "section", "tip_plan", "water_map_plan"]
