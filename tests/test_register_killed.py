"""The register killed at 200 places, by a process of its own: what was reported is kept."""

import os
import shutil
import signal
import tempfile
from pathlib import Path

import pytest
from sqlalchemy import Engine, event
from test_register_chain import first_file

from gradekit.register import Register

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and signals")


@pytest.fixture
def in_memory(tmp_path):
    """A folder in memory where there is one, else on the disk.

    What a killed process has written stays with the system either way, and locks are the same;
    only the waiting for the disk falls away.
    """
    memory = Path("/dev/shm")
    if not (memory.is_dir() and os.access(memory, os.W_OK)):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


def _killed_at(place, folder, pipe):
    """In a process of its own: write lines, tell each, and die before or after statement `place`."""
    seen = 0

    def die_here(*_):
        nonlocal seen
        seen += 1
        if seen == place:
            os.kill(os.getpid(), signal.SIGKILL)

    for name in ("before_cursor_execute", "after_cursor_execute", "commit"):
        event.listen(Engine, name, die_here)
    register = Register(folder)
    for number in range(1, 9):
        line = register.sign_off(str(number), "rotation-awareness", "900", remark=f"run {number}")
        os.write(pipe, f"{line}\n".encode())
        die_here()
    os._exit(0)


def _told(child, reader):
    raw = b""
    while part := os.read(reader, 4096):
        raw += part
    os.close(reader)
    _, status = os.waitpid(child, 0)
    return [int(line) for line in raw.split()], os.WIFSIGNALED(status)


def _begin(start, whole, folder):
    """The folder as the process finds it; gives how many lines are in it."""
    folder.mkdir()
    if start == "first version":
        first_file(folder)
        return 3
    if start == "made":
        if not (whole / "register.db").is_file():
            Register(whole).close()
        shutil.copy(whole / "register.db", folder)
    return 0


@pytest.mark.parametrize("start, places", [("new", 45), ("first version", 55), ("made", 100)])
def test_register_killed_at_any_place_keeps_every_line_it_told(in_memory, start, places):
    """200 places: while the tables are made, while an old file is taken over, before, in and
    after each of eight lines.

    The register opens, its chain holds, and every line that was reported stands in it.
    """
    killed = 0
    for place in range(1, places + 1):
        folder = in_memory / str(place)
        before = _begin(start, in_memory, folder)
        reader, pipe = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                _killed_at(place, folder, pipe)
            finally:
                os._exit(1)
        os.close(pipe)
        lines, was_killed = _told(child, reader)
        killed += was_killed
        register = Register(folder)
        verdict = register.verify()
        assert verdict.whole, (place, verdict)
        kept = {e.line: e for e in register.all_lines()}
        assert all(line in kept and kept[line].remark == f"run {line - before}" for line in lines)
        assert before <= len(kept) - len(lines) <= before + 1  # at most the one not told yet
        if place % 10 == 0:
            register.sign_off("1", "rotation-awareness", "900")
            assert register.verify().whole
        register.close()
        shutil.rmtree(folder)
    assert killed == places
