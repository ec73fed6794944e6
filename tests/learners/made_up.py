"""The made-up papers, put where the kit's own are found; `papers()` lists the kit's own only."""

from pathlib import Path

import gradekit.papers

FOLDER = str(Path(__file__).parent / "made_up_papers")
if FOLDER not in gradekit.papers.__path__:
    gradekit.papers.__path__.append(FOLDER)

from gradekit.papers import drill_ground  # noqa: E402

__all__ = ["drill_ground"]
