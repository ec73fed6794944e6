"""Every number of the kit: discharge, reaction, loads at the tip, and the pictures drawn from them.

The names below are the public edge. They take quantities or text with a unit
("1 3/4 in", "80 psi") and give results that carry value, steps, notes and sources.
Nothing is imported until a name is asked for, so that `import aerialstream` stays
quick and also runs where only Python's own library is present.
"""

from importlib import import_module

__version__ = "0.1.0"

_HOME = {
    "fog_discharge": "nozzles",
    "fog_reaction": "nozzles",
    "half_the_gallonage": "nozzles",
    "load_department": "department",
    "momentum_reaction": "nozzles",
    "quantity": "units",
    "reaction_at_tip": "reaction",
    "registry": "units",
    "show": "units",
    "smooth_bore_discharge": "nozzles",
    "smooth_bore_reaction": "nozzles",
    "stream_velocity": "nozzles",
}

__all__ = sorted(_HOME)


def __getattr__(name):
    if name not in _HOME:
        raise AttributeError(f"module 'aerialstream' has no attribute {name!r}")
    return getattr(import_module(f"aerialstream.{_HOME[name]}"), name)


def __dir__():
    return sorted([*globals(), *_HOME])
