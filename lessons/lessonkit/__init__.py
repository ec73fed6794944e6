"""What the lessons are built from: panels, predictions, self-checks, worked steps.

A lesson's cells call these names and nothing else; no learner has to write code.
"""

from lessonkit.asking import compare, predict, self_check
from lessonkit.chain_panel import chain_panel
from lessonkit.first_panel import first_panel
from lessonkit.low_panel import low_panel
from lessonkit.manual_sheet import manual_sheet
from lessonkit.page import show_figure, show_picture
from lessonkit.reach_panel import reach_panel
from lessonkit.refresher_page import refresher
from lessonkit.spot_panel import spot_panel
from lessonkit.tip_panel import tip_panel
from lessonkit.water_panel import water_panel
from lessonkit.weight_panel import weight_panel
from lessonkit.window_panel import window_panel

__all__ = [
    "chain_panel",
    "compare",
    "first_panel",
    "low_panel",
    "manual_sheet",
    "predict",
    "reach_panel",
    "refresher",
    "self_check",
    "show_figure",
    "show_picture",
    "spot_panel",
    "tip_panel",
    "water_panel",
    "weight_panel",
    "window_panel",
]
