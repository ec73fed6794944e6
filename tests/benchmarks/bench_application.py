"""How long a whole what-if takes. Run: python -m pytest tests/benchmarks/bench_application.py"""

import pytest

from aerialstream import best_aim, load_building, load_department, water_use
from aerialstream._core import application as core
from aerialstream._core import spread, spread_arrays

VIEW = load_building("weir-street-mill").room_of("a2-7")
SHOT = core.Shot((-15.0, 0.0, 8.0), 33.0, 0.0, 2.0, 80.0, 1062.0)


@pytest.mark.parametrize("kit", [spread, spread_arrays], ids=["own math", "arrays"])
def test_path_strike_map_and_share(benchmark, kit):
    """From the tip to the map, plain numbers; lesson size: 48 streamlines, 12 times, 1 ft cells."""

    def whole():
        outcome = core.what_if(VIEW, SHOT, kit=kit)
        return kit.water_map(outcome.parts, outcome.room, 30, 56)

    benchmark(whole)


def test_what_if_through_the_public_edge(benchmark):
    """Texts in, result with words out."""
    benchmark(
        water_use,
        VIEW,
        standoff="15 ft",
        nozzle_height="8 ft",
        stream_pitch="33 deg",
        tip_diameter="2 in",
        nozzle_pressure="80 psi",
    )


def test_aim_helper(benchmark):
    """The best set-up from one spot, with its sensitivities."""
    rig = load_department().device("tower-3")
    benchmark(best_aim, rig, VIEW, turntable_distance="55 ft", tip_diameter="2 in")
