"""Result in, SVG text out, for live panels. Computes nothing; Python's own library only."""

from aerialstream.charts.chain_bars import chain_bars
from aerialstream.charts.load_arrows import load_arrows
from aerialstream.charts.pads import pads
from aerialstream.charts.scene_plan import scene_plan, wall_reach
from aerialstream.charts.section import section
from aerialstream.charts.side_view import side_view
from aerialstream.charts.spot_map import spot_map_chart
from aerialstream.charts.stream_path import path_chart
from aerialstream.charts.svg import PALETTE, Picture
from aerialstream.charts.tip_plan import tip_plan
from aerialstream.charts.water_map import water_map_plan
from aerialstream.charts.water_rise import water_rise

__all__ = [
    "PALETTE",
    "Picture",
    "chain_bars",
    "load_arrows",
    "pads",
    "path_chart",
    "scene_plan",
    "section",
    "side_view",
    "spot_map_chart",
    "tip_plan",
    "wall_reach",
    "water_map_plan",
    "water_rise",
]
