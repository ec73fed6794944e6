"""Who runs the jobs: any `concurrent.futures` executor, each of its workers with a template."""

import atexit
import contextlib
import json
import os
import queue
import socket
import subprocess
import sys
import tempfile
import threading
from concurrent.futures import ThreadPoolExecutor

from gradekit.run.job import Ran
from gradekit.run.shut_in import NotShutIn

# Only these reach the process in which notebooks run; the gradebook's address, say, does not.
PASSED_ON = (
    "AERIALSTREAM_DEPARTMENT", "LANG", "LC_ALL", "LD_LIBRARY_PATH", "PATH", "PYTHONPATH",
    "SYSTEMROOT", "TZ",
)  # fmt: skip
PATIENCE = 30.0  # seconds beyond a job's own time until the template itself is given up


class _Client:
    """One template process and the pipe to it."""

    def __init__(self):
        kept = {name: os.environ[name] for name in PASSED_ON if name in os.environ}
        self._home = tempfile.mkdtemp(prefix="aerialstream-template-")
        kept |= {"HOME": self._home, "IPYTHONDIR": self._home, "PYTHONUTF8": "1"}
        kept |= {"PYTHONDONTWRITEBYTECODE": "1"}
        self._said = tempfile.TemporaryFile()
        self._process = subprocess.Popen(
            [sys.executable, "-m", "gradekit.run.template"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._said,
            env=kept,
            encoding="utf-8",
        )
        self._lines = None

    def ready(self):
        """Wait until it has imported what it needs; gives itself."""
        self._lines = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()
        self._answer(120.0)
        return self

    def _listen(self):
        with contextlib.suppress(ValueError, OSError):
            for line in self._process.stdout:
                self._lines.put(line)
        self._lines.put(None)

    def _answer(self, seconds):
        try:
            line = self._lines.get(timeout=seconds)
        except queue.Empty:
            line = None
        if line is None:
            self.close()
            self._said.seek(0)
            words = self._said.read().decode("utf-8", "replace").strip().splitlines()
            raise TemplateEnded(words[-1] if words else "no reason given")
        return json.loads(line)

    def run(self, job):
        """The dictionary that the template gives back for one job."""
        try:
            self._process.stdin.write(job.as_line() + "\n")
            self._process.stdin.flush()
        except (OSError, ValueError) as error:  # it ended, or somebody closed it
            self.close()
            raise TemplateEnded(str(error)) from None
        return self._answer(job.limits.seconds + PATIENCE)

    def close(self):
        """End the template and, with it, what it started."""
        with contextlib.suppress(OSError):
            self._process.stdin.close()
        try:
            self._process.wait(timeout=2)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        with contextlib.suppress(OSError):
            os.rmdir(self._home)


class NoCluster(RuntimeError):
    """No cluster at the address, or the package for it is missing."""


class TemplateEnded(RuntimeError):
    """The preloaded process ended by itself."""


_HERE = threading.local()
_ALL, _AHEAD = [], []


def start_ahead(count):
    """Start templates that are wanted in a moment; they import while this process does other things."""
    for _ in range(count):
        _AHEAD.append(_another(new=True))


def _another(new=False):
    with contextlib.suppress(IndexError):
        if not new:
            return _AHEAD.pop()
    client = _Client()
    _ALL.append(client)
    return client


def execute(job):
    """Run one job with this thread's template, which is started when it is first needed.

    This is what an executor is given: it needs no more than the kit installed where it runs.
    """
    for attempt in (1, 2):
        try:
            client = getattr(_HERE, "client", None)
            if client is None:
                client = _HERE.client = _another()
                client.ready()
            answer = client.run(job)
        except TemplateEnded as error:
            _HERE.client = None
            if attempt == 1:
                continue
            return Ran(
                outputs=(None,) * len(job.sources),
                trouble=f"the process that runs notebooks ended: {error}",
            )
        if "refused" in answer:
            raise NotShutIn(answer["refused"])
        return Ran(
            outputs=tuple(answer["outputs"]), trouble=answer["trouble"], seconds=answer["seconds"]
        )


def close_templates(but=()):
    """End every template that this process started, but some."""
    _AHEAD.clear()
    for client in [c for c in _ALL if c not in but]:
        _ALL.remove(client)
        client.close()


atexit.register(close_templates)


def default_workers():
    """One for each processor that this process may use."""
    with contextlib.suppress(AttributeError):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


@contextlib.contextmanager
def local_executor(workers=None):
    """Threads that each wait for a template of their own: the work is done in those processes."""
    executor = ThreadPoolExecutor(workers or default_workers(), thread_name_prefix="run")
    others = tuple(_ALL)
    try:
        yield executor
    finally:
        executor.shutdown(wait=True, cancel_futures=True)
        close_templates(others)


def _knock(address):
    kind, _, place = address.rpartition("://")
    host, _, port = place.rpartition(":")
    if kind in ("", "tcp", "tls") and host and port.isdigit():
        socket.create_connection((host.strip("[]"), int(port)), timeout=30).close()


@contextlib.contextmanager
def cluster_executor(address):
    """The workers of a dask cluster at an address such as tcp://10.0.0.5:8786."""
    try:
        from distributed import Client
    except ImportError:
        raise NoCluster(
            "--cluster needs the package distributed: pip install 'aerialstream[cluster]'"
        ) from None
    try:
        _knock(address)  # where nobody listens, the client would go on trying for half a minute
        client = Client(address, timeout=30)
    except (OSError, ValueError) as error:
        raise NoCluster(f"no cluster at {address}: {error}") from None
    with client:
        yield client.get_executor(pure=False, retries=3)
