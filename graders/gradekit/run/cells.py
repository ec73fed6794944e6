"""Runs the cells of one notebook in this process and hands their outputs on, cell by cell.

This is the one module in whose process the text of a notebook is executed. It comes to life in a
child of the template, after that child has been shut in, and ends with it.
"""

import builtins
import contextlib
import json
import os
import signal
import sys
import time

from IPython.core.displayhook import DisplayHook
from IPython.core.displaypub import DisplayPublisher
from IPython.core.interactiveshell import InteractiveShell
from traitlets.config import Config

LEAST_OUTPUT = 50_000
CUT_OFF = "\n[the rest of the output is cut off]\n"


class _Kept:
    """The outputs of the cell that runs, up to a number of bytes."""

    def __init__(self):
        self.start(0)

    def start(self, room):
        self.outputs, self.room = [], room

    def stream(self, name, text):
        if self.room <= 0:
            return
        self.room -= len(text) + 1
        if self.room <= 0:
            text, self.room = text[: max(0, len(text) + self.room)] + CUT_OFF, 0
        last = self.outputs[-1] if self.outputs else {}
        if last.get("output_type") == "stream" and last["name"] == name:
            last["text"].append(text)
        else:
            self.outputs.append({"output_type": "stream", "name": name, "text": [text]})

    def data(self, kind, data, metadata, count=None):
        clean = _clean(data)
        size = len(json.dumps(clean))
        if size > self.room:
            self.stream("stdout", CUT_OFF)
            self.room = 0
            return
        self.room -= size
        output = {"output_type": kind, "data": clean, "metadata": _clean(metadata) or {}}
        if kind == "execute_result":
            output["execution_count"] = count
        self.outputs.append(output)

    def error(self, name, value, lines):
        self.room -= sum(map(len, lines))
        self.outputs.append(
            {
                "output_type": "error",
                "ename": str(name)[:1000],
                "evalue": str(value)[:10_000],
                "traceback": [line[:10_000] for line in lines[-100:]],
            }
        )

    def finished(self):
        for output in self.outputs:
            if output["output_type"] == "stream":
                output["text"] = "".join(output["text"])
        return self.outputs


KEPT = _Kept()


def _clean(data):
    """The same as JSON can carry it; what it cannot is left out."""
    import base64

    clean = {}
    for key, value in dict(data or {}).items():
        if isinstance(value, bytes):
            value = base64.b64encode(value).decode("ascii")
        try:
            clean[str(key)] = json.loads(json.dumps(value))
        except Exception:
            continue
    return clean


class _Stream:
    """Stands in for sys.stdout and sys.stderr."""

    encoding, errors, closed = "utf-8", "strict", False

    def __init__(self, name):
        self.name = name

    def write(self, text):
        if not isinstance(text, str):
            raise TypeError(f"write() argument must be str, not {type(text).__name__}")
        KEPT.stream(self.name, text)
        return len(text)

    def writelines(self, lines):
        for line in lines:
            self.write(line)

    def flush(self):
        pass

    def isatty(self):
        return False

    def writable(self):
        return True

    def readable(self):
        return False


class _Hook(DisplayHook):
    """A cell's last value becomes its result, as in a kernel."""

    def start_displayhook(self):
        pass

    def write_output_prompt(self):
        pass

    def finish_displayhook(self):
        pass

    def write_format_data(self, format_dict, md_dict=None):
        KEPT.data("execute_result", format_dict, md_dict, self.prompt_count)


class _Publisher(DisplayPublisher):
    """What `display` shows."""

    def publish(self, data, metadata=None, *, transient=None, update=False, **kwargs):
        KEPT.data("display_data", data, metadata)

    def clear_output(self, wait=False):
        KEPT.outputs.clear()


class Shell(InteractiveShell):
    """IPython's shell with its outputs kept instead of printed."""

    displayhook_class = _Hook
    display_pub_class = _Publisher

    def _showtraceback(self, etype, evalue, stb):
        if etype is _CellTookTooLong:
            KEPT.error("CellTimeoutError", "", ["the cell took too long and was stopped"])
            return
        KEPT.error(getattr(etype, "__name__", etype), evalue, [str(line) for line in stb])

    def enable_gui(self, gui=None):
        """No windows here."""


def prepare():
    """The shell, made once in the template and inherited by every child."""
    config = Config()
    config.HistoryManager.enabled = False
    config.InteractiveShell.colors = "nocolor"
    config.InteractiveShell.cache_size = 100
    return Shell.instance(config=config)


class _CellTookTooLong(BaseException):
    pass


def _ring(signum, frame):
    raise _CellTookTooLong


def _no_input(*args, **kwargs):
    raise RuntimeError("input() is not possible here: nobody can answer")


def run(shell, sources, limits, send):
    """Run each source and `send` (number, outputs) when it ends.

    A cell that takes too long is stopped, and the next one runs; one that cannot be stopped is
    the business of the process outside.
    """
    sys.stdout, sys.stderr = _Stream("stdout"), _Stream("stderr")
    builtins.input = _no_input
    room, end = limits.output, time.monotonic() + limits.seconds
    for number, source in enumerate(sources):
        # However noisy a cell was, the checks behind it can still say what they have to.
        before = max(LEAST_OUTPUT, min(room, limits.output // 2))
        KEPT.start(before)
        _one(shell, source, min(limits.cell_seconds, max(1.0, end - time.monotonic())))
        room -= before - KEPT.room
        try:
            outputs = KEPT.finished()
        except Exception:  # somebody had their hands in the outputs
            outputs = []
        send(number, outputs)


def _one(shell, source, seconds):
    with contextlib.suppress(ValueError, OSError):
        signal.signal(signal.SIGALRM, _ring)
        signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        shell.run_cell(source, store_history=True)
    except _CellTookTooLong:
        KEPT.error("CellTimeoutError", "", ["the cell took too long and was stopped"])
    except SystemExit as end:
        KEPT.error("SystemExit", end.code, ["the cell asked Python to end"])
    except BaseException as error:
        KEPT.error(type(error).__name__, "", ["the cell ended in an error"])
    finally:
        with contextlib.suppress(Exception):
            signal.setitimer(signal.ITIMER_REAL, 0)


def sender(descriptor):
    """A function that writes one cell's outputs as a line of JSON to a pipe."""

    def send(number, outputs):
        try:
            line = json.dumps({"cell": number, "outputs": outputs})
        except Exception:
            line = json.dumps({"cell": number, "outputs": []})
        raw = line.encode("utf-8", "replace") + b"\n"
        while raw:
            raw = raw[os.write(descriptor, raw) :]

    return send
