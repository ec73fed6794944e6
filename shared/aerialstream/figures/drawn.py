"""A matplotlib figure with its description."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Drawn:
    """figure: a matplotlib Figure, or a charts Picture where there is none; alt: one sentence on what it shows, one with key numbers."""

    figure: Any
    alt: str
