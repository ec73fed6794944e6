"""Result in, matplotlib figure out, for handouts and static pages. Computes nothing; no pyplot."""

from aerialstream.figures.side_load import side_load_curve

__all__ = ["side_load_curve"]
