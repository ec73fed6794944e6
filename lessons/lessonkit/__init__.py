"""What the lessons are built from: panels, predictions, self-checks, worked steps.

A lesson's cells call these names and nothing else; no learner has to write code.
"""

from lessonkit.asking import compare, predict, self_check
from lessonkit.page import show_figure
from lessonkit.tip_panel import tip_panel

__all__ = ["compare", "predict", "self_check", "show_figure", "tip_panel"]
