"""Result in, matplotlib figure out, for handouts and static pages, and frames that play. Computes nothing; no pyplot."""

from aerialstream.figures.side_load import side_load_curve
from aerialstream.figures.sweep import sweep, swept

__all__ = ["side_load_curve", "sweep", "swept"]
