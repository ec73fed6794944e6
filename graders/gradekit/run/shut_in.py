"""Bubblewrap around one notebook: its own network (none), processes, files and scratch space.

Bubblewrap makes the room. The child that was forked from the preloaded template steps into it,
gives up every privilege, and only then runs a cell. When the room is taken down, everything that
was started in it is gone.
"""

import contextlib
import ctypes
import json
import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

SCRATCH = "/scratch"
FIRST_OF_OURS = 2_000_000_000  # where root runs the class: a user number for each notebook
NAMESPACES = ("mnt", "pid", "net", "ipc", "uts", "cgroup", "user")
_SYSTEM = ("/usr", "/lib", "/lib32", "/lib64", "/bin", "/sbin")
_SETTINGS = ("/etc/fonts", "/etc/ld.so.cache", "/etc/localtime", "/etc/alternatives")
_SET_DEATH_SIGNAL, _DROP_BOUNDING, _NO_NEW_PRIVILEGES = 1, 24, 38
_LAST_CAPABILITY = 63
_OWNING_USER_NAMESPACE = 0xB701


class NotShutIn(RuntimeError):
    """Bubblewrap is missing or not allowed to work; the message says what to do."""


def missing():
    """Why notebooks cannot be shut in on this machine, or an empty text."""
    if sys.platform != "linux":
        return "bubblewrap exists for Linux only"
    if shutil.which("bwrap") is None:
        return "bubblewrap was not found: install Debian's package bubblewrap"
    said = subprocess.run(
        [*_command(SCRATCH_BYTES_FOR_TRIAL), "true"], capture_output=True, text=True
    )
    if said.returncode:
        words = (said.stderr.strip().splitlines() or ["no reason given"])[-1]
        return f"bubblewrap is there, but this machine does not let it work ({words})"
    return ""


SCRATCH_BYTES_FOR_TRIAL = 1024**2


def _kit_folders():
    """The folders that a notebook may read: Python, its packages, the kit, the department."""
    import importlib.util

    found = [sys.prefix, sys.base_prefix]
    for name in ("aerialstream", "lessonkit", "gradekit"):
        spec = importlib.util.find_spec(name)
        if spec and spec.origin:
            found.append(os.path.dirname(os.path.realpath(spec.origin)))
    department = os.environ.get("AERIALSTREAM_DEPARTMENT")
    if department and os.path.isdir(department):
        found.append(os.path.realpath(department))
    return [f for f in dict.fromkeys(found) if not f.startswith("/usr/") and f != "/usr"]


def _command(scratch_bytes):
    """Bubblewrap's command line up to the program that it is to run."""
    words = [shutil.which("bwrap"), "--die-with-parent", "--new-session", "--clearenv"]
    words += ["--unshare-ipc", "--unshare-pid", "--unshare-net", "--unshare-uts"]
    words += ["--unshare-cgroup-try", "--cap-drop", "ALL"]
    # The first process of a room cannot be signalled from inside it, whoever's processes they are.
    words += ["--as-pid-1"]
    if os.geteuid() != 0:
        words += ["--unshare-user"]
    for folder in _SYSTEM:
        if os.path.islink(folder):
            words += ["--symlink", os.readlink(folder), folder]
        elif os.path.isdir(folder):
            words += ["--ro-bind", folder, folder]
    for folder in _SETTINGS:
        words += ["--ro-bind-try", folder, folder]
    words += ["--proc", "/proc", "--dev", "/dev"]
    words += ["--size", str(1024**2), "--tmpfs", "/dev/shm"]
    words += ["--size", str(1024**2), "--perms", "1777", "--tmpfs", "/tmp"]
    words += ["--size", str(scratch_bytes), "--perms", "1777", "--tmpfs", SCRATCH]
    made = {"/", "/tmp", SCRATCH}
    for folder in _kit_folders():
        for parent in reversed(Path(folder).parents):
            if str(parent) not in made:  # bubblewrap itself would make it for its owner only
                words += ["--perms", "0755", "--dir", str(parent)]
                made.add(str(parent))
        words += ["--ro-bind", folder, folder]
    return [*words, "--remount-ro", "/", "--chdir", SCRATCH, "--"]


class Room:
    """One bubblewrap, started ahead and waiting for a child to step in."""

    def __init__(self, scratch_bytes):
        read, write = os.pipe()
        try:
            self._wrap = subprocess.Popen(
                [*_command(scratch_bytes)[:-1], "--info-fd", str(write), "--", "cat"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                pass_fds=[write],
            )
        except (OSError, TypeError) as error:
            os.close(read)
            raise NotShutIn(missing() or str(error)) from None
        finally:
            os.close(write)
        self._info, self._first = read, None

    def wait(self):
        """Wait until the room stands; gives the number of its first process."""
        if self._first is None:
            with open(self._info, encoding="utf-8") as info:
                text = info.read()
            try:
                self._wrap.stdin.write(b"here\n")
                self._wrap.stdin.flush()
                answered = self._wrap.stdout.readline() == b"here\n"
            except OSError:
                answered = False
            if not answered:
                self._wrap.kill()
                said = self._wrap.stderr.read().decode("utf-8", "replace").strip()
                raise NotShutIn(f"bubblewrap did not start: {said or 'no reason given'}")
            self._first = json.loads(text)["child-pid"]
        return self._first

    def close(self):
        """End everything in the room."""
        if self._first is not None:
            with contextlib.suppress(ProcessLookupError, PermissionError):
                os.kill(self._first, signal.SIGKILL)
        else:
            with contextlib.suppress(OSError):
                os.close(self._info)
        self._wrap.kill()
        self._wrap.wait()
        for pipe in (self._wrap.stdin, self._wrap.stdout, self._wrap.stderr):
            with contextlib.suppress(OSError):
                pipe.close()


def _c(name, *arguments):
    library = ctypes.CDLL(None, use_errno=True)
    if getattr(library, name)(*arguments):
        number = ctypes.get_errno()
        raise OSError(number, f"{name}: {os.strerror(number)}")


def die_with_parent():
    """Let the system end this process when the one that forked it ends."""
    if sys.platform == "linux":
        _c("prctl", _SET_DEATH_SIGNAL, int(signal.SIGKILL), 0, 0, 0)


def step_in(first):
    """Move this process into the room; its children, not itself, are among the room's processes."""
    import fcntl

    folder = Path(f"/proc/{first}/ns")
    held = {n: os.open(folder / n, os.O_RDONLY) for n in NAMESPACES if (folder / n).exists()}
    here = {n: os.readlink(f"/proc/self/ns/{n}") for n in held}
    there = {n: os.readlink(folder / n) for n in held}
    user = held.pop("user")
    as_root = here["user"] == there["user"]
    if not as_root:
        # Bubblewrap makes the room in one user namespace and lives in another inside that one.
        owner = fcntl.ioctl(held["mnt"], _OWNING_USER_NAMESPACE)
        another = os.readlink(f"/proc/self/fd/{owner}") != there["user"]
        _c("setns", owner, 0)
    for name, descriptor in held.items():
        if here[name] != there[name]:
            _c("setns", descriptor, 0)
    if not as_root and another:
        _c("setns", user, 0)
    os.chdir(SCRATCH)


class _Header(ctypes.Structure):
    _fields_ = (("version", ctypes.c_uint32), ("pid", ctypes.c_int))


def give_up_privileges():
    """After this no program that is run here can gain what this process does not have."""
    for capability in range(_LAST_CAPABILITY + 1):
        with contextlib.suppress(OSError):
            _c("prctl", _DROP_BOUNDING, capability, 0, 0, 0)
    if os.geteuid() == 0:
        _become(FIRST_OF_OURS + int.from_bytes(os.urandom(3), "big"))
    _c("capset", ctypes.byref(_Header(0x20080522, 0)), ctypes.byref((ctypes.c_uint32 * 6)()))
    _c("prctl", _NO_NEW_PRIVILEGES, 1, 0, 0, 0)


def _become(user):
    os.setgroups([])
    try:
        os.setresgid(user, user, user)
        os.setresuid(user, user, user)
    except OSError:  # a container with few user numbers
        os.setresgid(65534, 65534, 65534)
        os.setresuid(65534, 65534, 65534)


def set_limits(limits):
    """What the system itself enforces, with bubblewrap or without."""
    import resource

    wanted = {
        "RLIMIT_AS": limits.memory,
        "RLIMIT_CPU": int(limits.seconds) + 1,
        "RLIMIT_FSIZE": limits.file_size,
        "RLIMIT_NOFILE": 256,
        "RLIMIT_CORE": 0,
        "RLIMIT_NPROC": limits.processes,
    }
    for name, value in wanted.items():
        kind = getattr(resource, name, None)
        if kind is not None:
            with contextlib.suppress(ValueError, OSError):
                resource.setrlimit(kind, (value, value))


def first_to_be_ended():
    """Should memory run out all the same, the system ends this process before any other."""
    with contextlib.suppress(OSError):
        Path("/proc/self/oom_score_adj").write_text("1000")
