"""How fast chains are solved. Not part of the suite:

.venv/bin/python -m pytest tests/benchmarks/bench_chain.py
"""

import numpy as np

from aerialstream._core import chain_arrays
from aerialstream.chain import water_chain

PARTS = {
    "nozzle": {"kind": "smooth bore", "tip_diameter": "2 in"},
    "rig": {"height": "80 ft", "waterway_loss": "40 psi", "inlet_loss": "10 psi"},
    "lay": {"coefficient": 0.08, "length": "100 ft", "operating_pressure": "185 psi"},
    "pumper": {"rated_flow": "1500 gpm"},
    "source": {
        "kind": "hydrant", "static": "80 psi", "residual": "55 psi", "test_flow": "839 gpm",
    },
}  # fmt: skip


def test_bench_one_chain_through_the_public_edge(benchmark):
    """Built from texts and solved for a flow; the limit is 2 ms median."""
    point = benchmark(lambda: water_chain(**PARTS).at_flow("1000 gpm"))
    assert point.discharge_pressure.magnitude > 150


def test_bench_one_chain_with_all_its_limits(benchmark):
    """The most that can be had, with every limit found."""
    chain = water_chain(**PARTS)
    assert benchmark(chain.best).binding is not None


def test_bench_ten_thousand_chains_as_arrays(benchmark):
    """Flow at a pressure and pressure at that flow for 10,000 chains; the limit is 200 ms."""
    draw = np.random.default_rng(1)
    constant, loss = draw.uniform(50, 150, 10_000), draw.uniform(1e-5, 9e-5, 10_000)

    def both():
        flow = chain_arrays.flow_gpm(170.0, constant, 34.72, 10.0, loss)
        return chain_arrays.discharge_psi(flow, constant, 34.72, 10.0, loss)

    assert np.allclose(benchmark(both), 170)
