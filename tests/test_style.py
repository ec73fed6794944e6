"""The code and the notebooks are in their set form: the same as `python3 tests lint`."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.mark.parametrize(
    "command", ["ruff check", "ruff format --check", "gradekit.notebooks check"]
)
def test_style_is_kept(command):
    """Each check ends with status 0; if not, its own words say where."""
    said = subprocess.run(
        [sys.executable, "-m", *command.split()], cwd=ROOT, capture_output=True, text=True
    )
    assert said.returncode == 0, said.stdout + said.stderr
