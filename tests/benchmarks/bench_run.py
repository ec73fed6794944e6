"""The grading run against plain nbgrader, on the same machine in one go.

    python tests/benchmarks/bench_run.py                 a class of 30 by 6 notebooks
    python tests/benchmarks/bench_run.py --members 500 --hand-ins 1      flat memory, linear time
    python tests/benchmarks/bench_run.py --kills 50      killed at 50 random moments, same gradebook

The six notebooks of a member are hand-ins of the exercises that there are, in turn: where there are
fewer than six, one exercise stands in for several classes. Plain nbgrader is the command `nbgrader
autograde NAME` in a folder with the same merged hand-ins; it is timed on a part of the class
(--plain members) and scaled, which the last line says. Both are timed as a command of their own,
with the start of Python: ours once for all exercises, nbgrader's once for each.
"""

import argparse
import json
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from gradekit.course import SOURCES, Course
from gradekit.merge import read_notebook
from gradekit.questions import papers

RUN = """
import json, os, sys, time
from gradekit.course import Course
from gradekit.run import grading
start, each = time.monotonic(), []
def watch(state):
    pages = int(open("/proc/self/statm").read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    each.append((state.done, time.monotonic() - start, pages // 1024**2))
course = Course(sys.argv[1], "sqlite:///" + sys.argv[1] + "/class/gradebook.db")
run = grading.GradingRun(course, sys.argv[3:], count=int(sys.argv[2]) or None, watch=watch)
report = run.run()
print(json.dumps({"statuses": [item.status for item in report.items], "each": each,
                  "feedback": run.feedback_seconds}))
"""


def ours(course, names, count):
    """(what the run says, seconds, processor seconds) of one grading run in a process of its own."""
    folder = course.folder.parent.as_posix()
    command = [sys.executable, "-W", "ignore", "-c", RUN, folder, str(count or 0), *names]
    start, used = time.monotonic(), _processor_seconds()
    said = subprocess.run(command, capture_output=True, text=True)
    if said.returncode:
        raise SystemExit(said.stderr[-2000:])
    took = time.monotonic() - start
    return json.loads(said.stdout), took, _processor_seconds() - used


def course_of(folder, members, names):
    """A class that has handed in: right numbers for nobody, a text for every answer."""
    course = Course(folder, f"sqlite:///{Path(folder).as_posix()}/class/gradebook.db")
    for name in names:
        released = read_notebook(course.release(name))
        for cell in released.cells:
            marks = cell.metadata.get("nbgrader", {})
            if marks.get("solution") and not marks.grade_id.endswith("-member"):
                cell.source = cell.source.replace('""', '"505 lbf"', 1)
        import nbformat

        text = nbformat.writes(released)
        for place in range(members):
            target = course.folder / "collected" / name / f"{4000 + place}"
            target.mkdir(parents=True)
            (target / f"20260101-120000-{place:06}.ipynb").write_text(text, encoding="utf-8")
    return course


def plain(course, name, count):
    """Seconds of `nbgrader autograde NAME` on the hand-ins of some members."""
    with tempfile.TemporaryDirectory() as folder:
        other = Course(folder, f"sqlite:///{folder}/class/gradebook.db")
        other.release(name)
        for member in sorted((course.folder / "submitted").iterdir())[:count]:
            target = other.folder / "submitted" / member.name / name
            target.mkdir(parents=True)
            (target / f"{name}.ipynb").write_bytes((member / name / f"{name}.ipynb").read_bytes())
        command = [sys.executable, "-W", "ignore", "-m", "nbgrader", "autograde", name]
        start, used = time.monotonic(), _processor_seconds()
        said = subprocess.run(command, cwd=other.folder, capture_output=True, text=True)
        if said.returncode:
            raise SystemExit(said.stderr[-2000:])
        return time.monotonic() - start, _processor_seconds() - used


def killed(start, names, times):
    """Kill a run at random moments of its writing until all is graded; gives how often."""
    chance, kills = random.Random(1), 0
    while kills < times:
        before, first = _pages(start), ["-W", "ignore", "-c", RUN]
        command = [sys.executable, *first, start.folder.parent.as_posix(), "0", *names]
        run = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        while _pages(start) == before and run.poll() is None:
            time.sleep(0.005)
        time.sleep(chance.uniform(0, 0.25))
        if run.poll() is not None:
            break
        run.send_signal(signal.SIGKILL)
        run.wait()
        kills += 1
    return kills


def _pages(course):
    return sum(1 for _ in (course.folder / "feedback").glob("*/*/*.html"))


def main():
    """Measure and print."""
    words = argparse.ArgumentParser()
    words.add_argument("--members", type=int, default=30)
    words.add_argument("--hand-ins", type=int, default=6)
    words.add_argument("--plain", type=int, default=6, help="members in the plain run; 0: none")
    words.add_argument("--workers", type=int, default=None)
    words.add_argument("--kills", type=int, default=0)
    given = words.parse_args()
    names = [name for name in papers() if (SOURCES / name).is_dir()][: given.hand_ins]
    classes = 2 if given.kills else -(-given.hand_ins // len(names))
    total, seconds, processor, each = 0, 0.0, 0.0, []
    with tempfile.TemporaryDirectory() as folder:
        courses = [course_of(Path(folder) / str(n), given.members, names) for n in range(classes)]
        if given.kills:
            return kill_and_compare(courses, names, given.kills)
        pages = 0.0
        for course in courses:
            said, took, used = ours(course, names, given.workers)
            assert set(said["statuses"]) == {"graded"}, said["statuses"]
            seconds, processor = seconds + took, processor + used
            total, each, pages = (
                total + len(said["statuses"]),
                said["each"],
                pages + said["feedback"],
            )
        print(f"{total} notebooks ({given.members} members, {classes} x {len(names)} exercises): "
              f"{seconds:.1f} s, {seconds / total:.3f} s each (processor {processor / total:.3f} s, "
              f"of which feedback pages {pages / total:.3f} s)")  # fmt: skip
        for part in (0.25, 0.5, 0.75, 1.0):
            done, at, memory = each[min(len(each) - 1, int(part * len(each)) - 1)]
            print(f"  after {done:4}: {at:6.1f} s, memory of the writer {memory} MB")
        if given.plain:
            took = [plain(courses[0], name, given.plain) for name in names]
            count = given.plain * len(names)
            one, used = (sum(t[n] for t in took) / count for n in (0, 1))
            print(f"plain nbgrader autograde: {one:.3f} s each (processor {used:.3f} s), "
                  f"{given.plain} members, {len(names)} exercises, no feedback: "
                  f"{one * total / seconds:.1f} times slower, "
                  f"{used * total / (processor - pages):.1f} times the processor's time without "
                  "our feedback pages")  # fmt: skip


def kill_and_compare(courses, names, times):
    """The first class undisturbed, the second killed again and again."""
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
    from test_run_class import gradebook

    courses[0].run(names)
    kills = killed(courses[1], names, times)
    report = courses[1].run(names)
    same = gradebook(courses[0]) == gradebook(courses[1])
    print(f"killed {kills} times; then {report.summary()}; same gradebook: {same}")
    raise SystemExit(0 if same else 1)


def _processor_seconds():
    """Of this process and of all its children that have ended."""
    return sum(sum(resource.getrusage(who)[:2])
               for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))  # fmt: skip


if __name__ == "__main__":
    main()
