"""What importing the kit costs, beside what importing pint alone costs. A script, no test.

`python tests/benchmarks/import_cost.py [runs]` starts fresh Pythons in turn, so that a busy
moment of the machine falls on all alike, and prints medians less that of a bare Python.
"""

import subprocess
import sys
import time
from statistics import median

SNIPPETS = {
    "bare Python": "pass",
    "import pint; pint.UnitRegistry()": "import pint; pint.UnitRegistry()",
    "import aerialstream": "import aerialstream",
    "import aerialstream; aerialstream.registry()": "import aerialstream; aerialstream.registry()",
}
BARE, PINT, ALONE, OURS = SNIPPETS
LIMIT = 1.3


def seconds(code):
    """Wall time of one fresh Python."""
    start = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True)
    return time.perf_counter() - start


def main(runs=31):
    """Measure, print, and give 1 if the ratio is over the limit."""
    taken = {name: [] for name in SNIPPETS}
    for _ in range(runs + 1):
        for name, code in SNIPPETS.items():
            taken[name].append(seconds(code))
    # The first round only fills the machine's file cache.
    middle = {name: median(times[1:]) for name, times in taken.items()}
    print(f"{runs} rounds; medians, less a bare Python of {1000 * middle[BARE]:.0f} ms:")
    for name in (PINT, ALONE, OURS):
        print(f"  {name:46} {1000 * (middle[name] - middle[BARE]):7.1f} ms")
    ratio = (middle[OURS] - middle[BARE]) / (middle[PINT] - middle[BARE])
    alone = (middle[ALONE] - middle[BARE]) / (middle[PINT] - middle[BARE])
    print(f"with registry over pint: {ratio:.2f} (limit {LIMIT}); import alone: {alone:.3f}")
    return int(ratio > LIMIT)


if __name__ == "__main__":
    sys.exit(main(*map(int, sys.argv[1:])))
