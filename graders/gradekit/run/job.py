"""What is to be run and under which limits, and what came back. Plain data that can travel."""

import json
from dataclasses import asdict, dataclass, field


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What one notebook may use. Sizes in bytes, times in seconds."""

    cell_seconds: float = 60.0
    seconds: float = 180.0
    memory: int = 2 * 1024**3
    processes: int = 48
    file_size: int = 32 * 1024**2
    scratch: int = 64 * 1024**2
    output: int = 4 * 1024**2


@dataclass(frozen=True, kw_only=True)
class Job:
    """One notebook to run.

    name      what the run calls it, for messages only
    sources   source of each code cell, in order
    shut_in   under bubblewrap; without it only under the limits that the system gives
    """

    name: str
    sources: tuple
    limits: Limits = field(default_factory=Limits)
    shut_in: bool = True

    def as_line(self):
        """As one line of JSON."""
        return json.dumps(asdict(self))

    @classmethod
    def from_line(cls, line):
        """Back from a line of JSON."""
        read = json.loads(line)
        limits = Limits(**read.pop("limits"))
        return cls(limits=limits, **read | {"sources": tuple(read["sources"])})


@dataclass(frozen=True, kw_only=True)
class Ran:
    """What came back.

    outputs   for each code cell its outputs in the notebook format, or None if it never ended
    trouble   empty, or one sentence that says what the notebook did
    """

    outputs: tuple
    trouble: str = ""
    seconds: float = 0.0
