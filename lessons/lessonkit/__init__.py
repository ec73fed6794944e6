"""What the lessons are built from: panels, predictions, self-checks, worked steps.

A lesson's cells call these names and nothing else; no learner has to write code.
"""

from lessonkit.asking import compare, predict, self_check
from lessonkit.manual_sheet import manual_sheet
from lessonkit.page import show_figure, show_picture
from lessonkit.tip_panel import tip_panel

__all__ = [
    "compare",
    "manual_sheet",
    "predict",
    "self_check",
    "show_figure",
    "show_picture",
    "tip_panel",
]
