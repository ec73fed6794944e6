"""How fast the loads on a device are worked out. Not part of the suite:

.venv/bin/python -m pytest tests/benchmarks/bench_loads.py
"""

from aerialstream import load_department, overturning, set_up_loads
from aerialstream.department import DEMO_FOLDER
from aerialstream.set_up_comparison import compare_set_ups

TOWER = load_department(DEMO_FOLDER).device("tower-3")
SET_UP = {
    "reaction": "505 lbf", "extension": "75 ft", "elevation": "30 deg", "rotation": "20 deg",
    "pitch": "-15 deg", "wind": "20 mph", "slope_along": "2 deg", "slope_across": "3 deg",
}  # fmt: skip


def test_bench_a_set_up_with_all_loads(benchmark):
    """Every part, sum and step from texts; the limit is 2 ms median."""
    assert benchmark(lambda: set_up_loads(TOWER, **SET_UP)).in_plane_moment.magnitude > 0


def test_bench_overturning_with_pads(benchmark):
    """Four tipping lines and four pads from texts."""
    assert len(benchmark(lambda: overturning(TOWER, over="side", **SET_UP)).pads) == 4


def test_bench_three_set_ups_compared(benchmark):
    """Three set-ups ranked, with three levers each."""
    cases = {name: {**SET_UP, "rotation": turn, "flow": "1,000 gpm"}
             for name, turn in (("A", "0 deg"), ("B", "15 deg"), ("C", "30 deg"))}  # fmt: skip
    assert len(benchmark(lambda: compare_set_ups(TOWER, cases)).rankings) == 4
