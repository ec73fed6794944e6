"""Several programs at one register: two writers, four that open an old file, a server."""

import importlib.util
import multiprocessing
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DatabaseError
from test_register_chain import fill, first_file
from test_register_killed import in_memory  # noqa: F401

from gradekit.register import PASSED, Register

# --- two writers --------------------------------------------------------------------------------

WRITER = """
import sys
from gradekit.register import Register
register = Register(sys.argv[1], sys.argv[4] if len(sys.argv) > 4 else None)
for number in range(int(sys.argv[3])):
    register.sign_off(sys.argv[2], "rotation-awareness", "900", remark=str(number))
register.close()
"""


def write_together(folder, count, *address):
    command = [sys.executable, "-c", WRITER, str(folder)]
    both = [subprocess.Popen([*command, who, str(count), *address]) for who in ("101", "102")]
    assert [one.wait(300) for one in both] == [0, 0]


def test_two_writers_of_1000_lines_each_lose_none(in_memory):  # noqa: F811
    """Both open a register that is not there yet, and write at the same time."""
    write_together(in_memory, 1000)
    register = Register(in_memory)
    lines = register.all_lines()
    assert register.verify().whole and len(lines) == 2000
    for who in ("101", "102"):
        assert [e.remark for e in lines if e.member == who] == [str(n) for n in range(1000)]
    register.close()


# --- PostgreSQL ---------------------------------------------------------------------------------


def _programs():
    places = [shutil.which("initdb"), *map(str, Path("/usr/lib/postgresql").glob("*/bin/initdb"))]
    return next((Path(p).parent for p in places if p), None)


def _no_server(reason):
    """Skip; where a server is required, fail."""
    if os.environ.get("AERIALSTREAM_POSTGRESQL_REQUIRED"):
        pytest.fail(f"{reason}, and AERIALSTREAM_POSTGRESQL_REQUIRED is set")
    pytest.skip(reason)


@pytest.fixture(scope="module")
def postgres():
    """The address of a PostgreSQL server of our own, where its programs are installed."""
    if importlib.util.find_spec("psycopg") is None:
        _no_server("the package psycopg is not installed")
    programs = _programs()
    if programs is None:
        _no_server("no PostgreSQL here")
    folder = Path(tempfile.mkdtemp(prefix="register-"))
    as_user = {"user": "nobody", "group": "nogroup"} if os.geteuid() == 0 else {}
    if as_user:
        shutil.chown(folder, "nobody", "nogroup")
    data = str(folder / "data")
    made = subprocess.run(
        [programs / "initdb", "-D", data, "-U", "kit", "-A", "trust", "-E", "UTF8"],
        capture_output=True, text=True, cwd=folder, **as_user,
    )  # fmt: skip
    if made.returncode:
        _no_server(f"PostgreSQL does not start here: {made.stderr[-200:]}")
    server = subprocess.Popen(
        [programs / "postgres", "-D", data, "-k", str(folder), "-c", "listen_addresses="],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=folder, **as_user,
    )  # fmt: skip
    address = f"postgresql+psycopg://kit@/postgres?host={folder}"
    try:
        engine = create_engine(address)
        for _ in range(100):
            try:
                engine.connect().close()
                break
            except DatabaseError:
                time.sleep(0.1)
        engine.dispose()
        yield address
    finally:
        server.send_signal(signal.SIGINT)
        server.wait(30)
        shutil.rmtree(folder, ignore_errors=True)


def test_postgres_keeps_the_same_register(postgres, tmp_path):
    """Lines, chain, erasure, refusal of changes, two writers, and the way from file to server."""
    file = Register(tmp_path)
    fill(file)
    server = Register(tmp_path, postgres)
    server.restore(file.raw_lines())
    assert server.all_lines() == file.all_lines() and server.verify() == file.verify()
    server.erase("103", "102", "asked for")
    assert server.verify().whole and not server.all_lines("103")[0].remark
    engine = create_engine(postgres)
    with pytest.raises(DatabaseError, match="only added"), engine.begin() as connection:
        connection.execute(text("UPDATE evidence SET score = 10"))
    engine.dispose()
    write_together(tmp_path, 200, postgres)
    assert (server.verify().whole, server.verify().lines) == (True, 9 + 400)
    assert sum(e.outcome == PASSED for e in server.lines("101")) == 2 + 200
    server.close()
    file.close()


def test_register_address_comes_from_the_environment(tmp_path, monkeypatch):
    """One variable moves the register elsewhere."""
    other = tmp_path / "other.db"
    monkeypatch.setenv("AERIALSTREAM_REGISTER", f"sqlite:///{other}")
    register = Register(tmp_path)
    register.close()
    assert other.is_file() and not (tmp_path / "register.db").exists()


def _open_first(folder, together, said):
    together.wait(60)
    register = Register(folder)
    found = register.verify()
    register.close()
    said.put((found.lines, found.whole))


def test_first_version_opened_by_four_at_once_is_taken_over_once(tmp_path):
    """Four programs open an old file in the same moment: one takes it over, the others wait."""
    first_file(tmp_path)
    how = multiprocessing.get_context("fork" if hasattr(os, "fork") else "spawn")
    together, said = how.Barrier(4), how.SimpleQueue()
    four = [how.Process(target=_open_first, args=(tmp_path, together, said)) for _ in range(4)]
    for one in four:
        one.start()
    for one in four:
        one.join(120)
    assert [one.exitcode for one in four] == [0] * 4
    assert [said.get() for _ in four] == [(3, True)] * 4
