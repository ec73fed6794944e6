"""Records of 2,000 members with five years of lines: time of the division's report, and memory.

Run it with `python -m pytest tests/benchmarks/bench_records.py -s`. Bounds: report under 2 s,
the whole process under 300 MB.
"""

import resource
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(TESTS))

CLASSES = 50  # lines a member beside those of the rule: about ten a year

REPORT = """
import resource, sys, time
sys.path.insert(0, sys.argv[2])
from division import RULE, TODAY, roster
from aerialstream.department import load_department
from gradekit.pages import division_page
from gradekit.register import Register
from gradekit.views import division_view
department = load_department().model_copy(update={"completion": RULE})
start = time.perf_counter()
register = Register(sys.argv[1])
view = division_view(register, department, roster(2000), TODAY)
page = division_page(view, department)
seconds = time.perf_counter() - start
memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
start = time.perf_counter()
verdict = register.verify()
print(view.lines, seconds, memory, time.perf_counter() - start, verdict.whole)
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A register of 2,000 members and over 100,000 lines."""
    from division import made

    folder = tmp_path_factory.mktemp("records")
    made(folder, 2000, CLASSES).close()
    return folder


def test_division_report_of_2000_members_and_five_years(folder):
    """The report in a process of its own: from opening the file to the finished page."""
    command = [sys.executable, "-c", REPORT, str(folder), str(TESTS)]
    runs = [subprocess.run(command, capture_output=True, text=True, check=True) for _ in range(3)]
    found = [run.stdout.split() for run in runs]
    lines, memory = int(found[0][0]), max(float(f[2]) for f in found)
    seconds = sorted(float(f[1]) for f in found)[1]
    verify = sorted(float(f[3]) for f in found)[1]
    print(f"\n{lines} lines: report {seconds:.2f} s, {memory:.0f} MB; verify {verify:.2f} s")
    assert lines > 100_000 and all(f[4] == "True" for f in found)
    assert seconds < 2 and memory < 300


def test_one_line_is_entered_and_on_the_disk(benchmark, tmp_path):
    """One sign-off, flushed to the disk."""
    from gradekit.register import Register

    register = Register(tmp_path)
    benchmark(lambda: register.sign_off("1", "rotation-awareness", "2"))
    register.close()
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
