"""How fast paths are worked out. Not part of the suite:

.venv/bin/python -m pytest tests/benchmarks/bench_stream.py
"""

import numpy as np

from aerialstream import best_elevation, stream_path
from aerialstream._core import stream, stream_arrays

TIP_M, PRESSURE_PA, FT = 2 * 0.0254, 80 * 6894.757293168, 0.3048


def test_bench_one_path_to_100_ft(benchmark):
    """Plain numbers, tip 2 in, 80 psi, to a building 100 ft away; the limit is 1 ms median."""
    path = benchmark(lambda: stream.stream(TIP_M, PRESSURE_PA, 10.0, farthest_m=100 * FT))
    assert path.last.x >= 100 * FT


def test_bench_one_path_to_landing(benchmark):
    """The same at 32 deg, in a cross wind, to the ground; the limit is 1 ms median."""
    wind = stream.wind_m_s(6.7, 90.0)
    path = benchmark(lambda: stream.stream(TIP_M, PRESSURE_PA, 32.0, wind_m_s=wind))
    assert path.landed


def test_bench_path_through_the_public_edge(benchmark):
    """From texts to a result with band, wind, spray and steps."""
    inputs = {"nozzle_pressure": "80 psi", "elevation": "32 deg", "wind": "15 mph"}
    assert benchmark(lambda: stream_path("2 in", **inputs)).throw.magnitude > 100


def test_bench_best_elevation(benchmark):
    """Some forty paths."""
    assert benchmark(lambda: best_elevation("2 in", nozzle_pressure="80 psi")).value.magnitude > 35


def test_bench_a_thousand_throws_as_arrays(benchmark):
    """Elevations from 5 to 70 deg."""
    elevation = np.linspace(5, 70, 1000)
    found = benchmark(lambda: stream_arrays.landings(TIP_M, PRESSURE_PA, elevation))
    assert not np.isnan(found.ahead).any()
