"""How fast spots are judged. Not part of the suite:

.venv/bin/python -m pytest tests/benchmarks/bench_spots.py
"""

import pytest

from aerialstream.department import DEMO_FOLDER, load_department
from aerialstream.site import scene_of
from aerialstream.spots import spot_map

DEMO = load_department(DEMO_FOLDER)
SCENE, RIG = scene_of(DEMO, "gorse-lane-shops"), DEMO.device("tower-3")


def spots(places, headings, engine):
    """A map of so many places a side around the shops."""
    area = ("-50 ft", "-50 ft", "350 ft", "350 ft")
    return spot_map(
        SCENE, RIG, "shop 3", area=area, cell=f"{400 / places} ft", headings=headings, engine=engine,
        hose_carried="1000 ft",
    )  # fmt: skip


@pytest.mark.parametrize(("headings", "limit"), [(16, "300 ms"), (1, "40 ms")])
def test_bench_forty_thousand_places_as_arrays(benchmark, headings, limit):
    """200 × 200 places with everything that a map gives; the limits are 300 and 40 ms."""
    found = benchmark(spots, 200, headings, "arrays")
    assert found.columns * found.rows == 40_000 and found.places, limit


def test_bench_lesson_size_without_numpy(benchmark):
    """40 × 40 places, one heading; the limit is 60 ms."""
    found = benchmark(spots, 40, 1, "plain")
    assert found.columns * found.rows == 1600


def test_bench_one_place_in_words(benchmark):
    """What a click on the map asks for."""
    found = spots(40, 1, "arrays")
    assert benchmark(found.why_not, "120 ft", "40 ft", "90 deg").verdict
