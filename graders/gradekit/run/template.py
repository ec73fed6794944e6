"""The preloaded process: imports once, then forks for each notebook in place of a fresh kernel.

Reads one job a line from standard input and writes one result a line to standard output. No cell
is ever run in this process: it forks, watches the child's pipe and clock, and ends what does not
end by itself.
"""

import contextlib
import json
import os
import select
import shutil
import signal
import sys
import tempfile
import time

from gradekit.run import shut_in
from gradekit.run.job import Job

GRACE = 2.0  # seconds that a cell has to heed its alarm
CHANNEL = 3  # the child's only open file besides an empty standard input and output


def preload():
    """Import what assignments import, and have the kit ready to judge."""
    os.environ["NBGRADER_EXECUTION"] = "autograde"
    os.environ["MPLBACKEND"] = "module://matplotlib_inline.backend_inline"
    from gradekit.run import cells

    shell = cells.prepare()
    with contextlib.suppress(Exception):  # a paper that does not load spoils its own notebooks only
        import gradekit.notebook
        from gradekit.questions import papers

        for name in papers():
            gradekit.notebook.situation(name, {"member": "1"})
    return cells, shell


class Template:
    """Forks for each job."""

    def __init__(self):
        self._cells, self._shell = preload()
        self._spare = None

    def run(self, job):
        """Run one job in a child; gives the dictionary that travels back."""
        room, folder, started = None, None, time.monotonic()
        try:
            if job.shut_in:
                room = self._room(job)
                first = room.wait()
                self._spare = shut_in.Room(job.limits.scratch)
            else:
                first, folder = None, tempfile.mkdtemp(prefix="aerialstream-run-")
            outputs, trouble = self._watch(job, first, folder)
        except shut_in.NotShutIn as error:
            return {"refused": str(error)}
        finally:
            if room is not None:
                room.close()
            if folder is not None:
                shutil.rmtree(folder, ignore_errors=True)
        return {
            "outputs": outputs,
            "trouble": trouble,
            "seconds": round(time.monotonic() - started, 4),
        }

    def _room(self, job):
        room, self._spare = self._spare, None
        return room or shut_in.Room(job.limits.scratch)

    def close(self):
        """Take down the room that waits."""
        if self._spare is not None:
            self._spare.close()

    def _watch(self, job, first, folder):
        read, write = os.pipe()
        child = os.fork()
        if child == 0:
            _never_back(self._child, job, first, folder, write)
        os.close(write)
        try:
            return _Listener(job, child, read).listen()
        finally:
            os.close(read)
            _end(child, first is None)

    def _child(self, job, first, folder, write):
        os.setsid()
        shut_in.die_with_parent()
        shut_in.first_to_be_ended()
        if first is not None:
            shut_in.step_in(first)
            inner = os.fork()
            if inner:
                os.close(write)
                _, status = os.waitpid(inner, 0)
                os._exit(os.waitstatus_to_exitcode(status) & 255)
            os.setsid()
        else:
            os.chdir(folder)
        os.environ["HOME"] = os.environ["TMPDIR"] = os.getcwd()
        tempfile.tempdir = None
        _close_all_but(write)
        shut_in.set_limits(job.limits)
        if first is not None:
            shut_in.give_up_privileges()
        self._cells.run(self._shell, job.sources, job.limits, self._cells.sender(CHANNEL))


def _never_back(function, *arguments):
    """Call it in a child, and end the child whatever happens: it must not return to the loop."""
    code = 1
    try:
        function(*arguments)
        code = 0
    except BaseException as error:
        with contextlib.suppress(BaseException):
            line = json.dumps({"failed": f"{type(error).__name__}: {error}"[:500]})
            descriptor = CHANNEL if os.environ.get("HOME") == os.getcwd() else arguments[-1]
            os.write(descriptor, line.encode() + b"\n")
    finally:
        os._exit(code)


def _close_all_but(write):
    nothing = os.open(os.devnull, os.O_RDWR)
    for standard in (0, 1, 2):
        os.dup2(nothing, standard)
    if write != CHANNEL:
        os.dup2(write, CHANNEL)
    os.closerange(CHANNEL + 1, 4096)


def _end(child, alone):
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if alone:
            os.killpg(child, signal.SIGKILL)
    with contextlib.suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    with contextlib.suppress(ChildProcessError):
        os.waitpid(child, 0)


class _Listener:
    """Reads a child's lines until it has ended, or has had its time or its output."""

    def __init__(self, job, child, read):
        self.job, self.child, self.read = job, child, read
        self.outputs = [None] * len(job.sources)
        self.next = 0
        self.trouble = ""
        self.room = 2 * job.limits.output + 200_000 * (1 + len(job.sources))

    def listen(self):
        limits, buffer = self.job.limits, b""
        end = time.monotonic() + limits.seconds + GRACE
        cell_end = time.monotonic() + limits.cell_seconds + GRACE
        while self.next < len(self.outputs) and not self.trouble:
            left = min(end, cell_end) - time.monotonic()
            if left <= 0:
                self.trouble = "it did not end in the time it has and was stopped"
                break
            ready, _, _ = select.select([self.read], [], [], min(left, 0.5))
            if not ready:
                continue
            raw = os.read(self.read, 1 << 20)
            if not raw:
                self.trouble = self._how_it_ended()
                break
            self.room -= len(raw)
            if self.room < 0:
                self.trouble = "it put out more than it may and was stopped"
                break
            *lines, buffer = (buffer + raw).split(b"\n")
            for line in lines[: len(self.outputs) - self.next]:
                if self.trouble:
                    break
                if self._take(line):
                    cell_end = time.monotonic() + limits.cell_seconds + GRACE
        return self.outputs, self.trouble

    def _take(self, line):
        """Take one line, if it is the next cell's: anything else is not believed."""
        try:
            read = json.loads(line)
        except (ValueError, RecursionError):
            read = None
        if isinstance(read, dict) and "failed" in read:
            self.trouble = f"it could not be run: {str(read['failed'])[:500]}"
            return False
        if not (isinstance(read, dict) and read.get("cell") == self.next):
            self.trouble = "it wrote into the channel of its outputs and was stopped"
            return False
        self.outputs[self.next] = read.get("outputs")
        self.next += 1
        return True

    def _how_it_ended(self):
        with contextlib.suppress(ChildProcessError):
            end = time.monotonic() + 1
            while time.monotonic() < end:
                pid, status = os.waitpid(self.child, os.WNOHANG)
                if pid:
                    code = os.waitstatus_to_exitcode(status)
                    return f"it ended its own process before its last cell (status {code})"
                time.sleep(0.005)
        return "it closed the channel of its outputs before its last cell"


def main():
    """Serve until standard input ends."""
    channel = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)
    shut_in.die_with_parent()
    template = Template()
    channel.write(json.dumps({"ready": os.getpid()}) + "\n")
    channel.flush()
    for line in sys.stdin:
        channel.write(json.dumps(template.run(Job.from_line(line))) + "\n")
        channel.flush()
    template.close()


if __name__ == "__main__":
    main()
