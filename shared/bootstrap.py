"""Makes the kit's own Python environment, `.venv`, and hands a command over to it.

Only the standard library is used here, and nothing newer than Python 3.6 grammar: an old Python
must be able to read this file far enough to say in one sentence that it is too old.

The environment is made in one go or not at all. A stamp is written into it last; an environment
without a stamp is half made and is replaced. A stamped one that is out of date is put aside while
the new one is made, and is put back if that fails.
"""

import contextlib
import errno
import hashlib
import importlib.util
import json
import os
import queue
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
OLDEST = (3, 11)
# Raise this number when an environment made by an older bootstrap must not be used any more.
SCHEME = 1
# Free space, in GB, that making the environment takes (measured: 0.55 and 0.9), with some air.
ROOM = {"lessons": 1.0, "tests": 1.5}
STAMP = "aerialstream-stamp.json"
PACKAGES = ("aerialstream", "lessonkit", "gradekit")
FRESH, ADD, STALE = "fresh", "add", "stale"


class Trouble(Exception):
    """A failure that can be told in one sentence; `sort` says which failure it is."""

    def __init__(self, sort, sentence):
        super().__init__(sentence)
        self.sort = sort


# ---------------------------------------------------------------- words to the user


def say(text):
    """Print a line on standard error, whatever letters that stream can show."""
    write(text + "\n")


def write(text):
    """Write on standard error; a closed or poor terminal must not break the work."""
    encoding = getattr(sys.stderr, "encoding", None) or "ascii"
    try:
        sys.stderr.write(text.encode(encoding, "backslashreplace").decode(encoding))
        sys.stderr.flush()
    except (OSError, ValueError):
        pass


def stop(sentence, status=2):
    """Leave with one sentence."""
    say(sentence)
    sys.exit(status)


def check_python():
    """Refuse a Python that the kit cannot run on."""
    if sys.version_info[:2] < OLDEST:
        stop(
            f"This kit needs Python 3.11 or newer, and this is Python {python_version()}: install "
            "a newer one from your system's software manager or from python.org, and start again "
            "with that one (for example: python3.12 lessons)."
        )


def python_version():
    """The running interpreter's version, such as 3.12.1."""
    return ".".join(str(number) for number in sys.version_info[:3])


class Progress:
    """Shows where a long step stands.

    On a terminal one line is rewritten. In a pipe or a file only every tenth count and one line
    per half minute of waiting are printed, so that a log stays short.
    """

    def __init__(self):
        self.rewriting = hasattr(sys.stderr, "isatty") and sys.stderr.isatty()
        self.width = 0
        self.started = self.told = time.monotonic()

    def show(self, text, count=0):
        """Say the state; `count` is the number reached, 0 for a state without a number."""
        if self.rewriting:
            text = text[: shutil.get_terminal_size().columns - 1]
            write("\r" + text.ljust(self.width))
            self.width = len(text)
        elif count % 10 == 0:
            say(text)
        self.told = time.monotonic()

    def wait(self, text):
        """Show that a step without any number still goes on."""
        now = time.monotonic()
        if now - self.told >= (1 if self.rewriting else 30):
            self.show(f"{text} ({now - self.started:.0f} s so far)")

    def end(self):
        """Clear the rewritten line."""
        if self.rewriting and self.width:
            write("\r" + " " * self.width + "\r")
            self.width = 0


# ---------------------------------------------------------------- is there work to do?


def venv_folder(root):
    """Where the environment lies."""
    return os.path.join(root, ".venv")


def aside_folder(root):
    """Where the older environment waits while a new one is made."""
    return os.path.join(root, ".venv.old")


def venv_python(root):
    """The environment's own interpreter."""
    parts = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
    return os.path.join(venv_folder(root), *parts)


def base_python():
    """The interpreter outside any virtual environment, even when started from inside one."""
    base = getattr(sys, "_base_executable", None) or sys.executable
    return base if os.path.exists(base) else sys.executable


def lock_file(kind, root):
    """The list of exact packages for "lessons" or "tests"."""
    return os.path.join(root, "shared", "lock", kind + ".txt")


def read(path):
    """A text file, with the same line ends on every system."""
    with open(path, encoding="utf-8") as file:
        return file.read()


def digest(text):
    """A short name for exactly this text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def project_part(text):
    """The sections of pyproject.toml that decide what is installed and how.

    Settings of the checkers are left out: changing one must not rebuild the environment.
    """
    kept, keep = [], False
    for line in text.splitlines():
        if line.startswith("["):
            name = line.strip("[] ")
            keep = name.split(".")[0] in ("project", "build-system") or ".hatch." in name
        if keep and line.strip() and not line.startswith("#"):
            kept.append(line)
    return "\n".join(kept)


def wanted(kind, root):
    """What the stamp of an environment made now would say."""
    kinds = ["lessons"] if kind == "lessons" else ["lessons", "tests"]
    return {
        "scheme": SCHEME,
        "root": os.path.realpath(root),
        "python": python_version(),
        "base": os.path.realpath(base_python()),
        "project": digest(project_part(read(os.path.join(root, "pyproject.toml")))),
        "locks": {name: digest(read(lock_file(name, root))) for name in kinds},
    }


def read_stamp(folder):
    """The stamp of an environment, or None for a missing or half-made one."""
    try:
        stamp = json.loads(read(os.path.join(folder, STAMP)))
    except (OSError, ValueError):
        return None
    return stamp if isinstance(stamp, dict) and isinstance(stamp.get("locks"), dict) else None


def write_stamp(kind, root):
    """Declare the environment whole."""
    path = os.path.join(venv_folder(root), STAMP)
    with open(path + ".new", "w", encoding="utf-8") as file:
        json.dump(wanted(kind, root), file, indent=1)
        file.flush()
        os.fsync(file.fileno())
    os.replace(path + ".new", path)


def judge(kind, root):
    """FRESH, ADD (only the packages for tests are missing) or STALE, with the reason."""
    if not os.path.lexists(venv_folder(root)):
        return STALE, "there is none yet"
    stamp, now = read_stamp(venv_folder(root)), wanted(kind, root)
    if stamp is None:
        return STALE, "an earlier start did not finish it"
    reasons = (
        ("scheme", "the way it is made changed"),
        ("root", "the folder was moved or renamed"),
        ("python", "this is another Python version"),
        ("project", "pyproject.toml changed"),
    )
    for key, reason in reasons:
        if stamp.get(key) != now[key]:
            return STALE, reason
    if not os.path.exists(venv_python(root)) or not os.path.exists(str(stamp.get("base"))):
        return STALE, "the Python it was made with is gone"
    if stamp["locks"].get("lessons") != now["locks"]["lessons"]:
        return STALE, "the list of packages changed"
    if kind == "tests" and stamp["locks"].get("tests") != now["locks"]["tests"]:
        if "tests" in stamp["locks"]:
            return STALE, "the list of packages for the tests changed"
        return ADD, "the packages for the tests are missing"
    return FRESH, ""


# ---------------------------------------------------------------- making it


def prepare(kind, root=ROOT):
    """See that the environment for "lessons" or "tests" is there and up to date.

    Leaves with one sentence and status 2 if that cannot be done.
    """
    check_python()
    try:
        if judge(kind, root)[0] != FRESH or os.path.lexists(aside_folder(root)):
            with stop_signals(), only_start(root) as lock:
                make_ready(kind, root, lock)
    except Trouble as trouble:
        stop(str(trouble))
    except OSError as error:
        stop(str(os_trouble(error, root)))
    except KeyboardInterrupt:
        stop("Stopped before the environment was ready; start again whenever you like.", 130)


def make_ready(kind, root, lock):
    """The part of `prepare` that only one start may do at a time."""
    mend(root)
    state, reason = judge(kind, root)
    if state == FRESH:
        return
    check_room(kind, root)
    began = time.monotonic()
    say(f"Preparing the environment in {venv_folder(root)}: {reason}.")
    say(
        "This may take a minute or two, and needs the internet unless the packages lie on this computer."
    )
    with open_log(kind, root) as log:
        if state == ADD:
            fill(kind, root, lock, log)
            write_stamp(kind, root)
        else:
            rebuild(kind, root, lock, log)
    say(f"The environment is ready ({time.monotonic() - began:.0f} s).")


def mend(root):
    """Tidy up after a start that was killed: drop what is half made, put back what was aside."""
    venv, aside = venv_folder(root), aside_folder(root)
    if read_stamp(venv) is None:
        discard(venv)
        if read_stamp(aside) is not None:
            os.rename(aside, venv)
    with contextlib.suppress(Trouble):
        discard(aside)


def rebuild(kind, root, lock, log):
    """Make a new environment; an older whole one comes back if this fails."""
    venv, aside = venv_folder(root), aside_folder(root)
    if os.path.lexists(venv):
        put_aside(venv, aside)
    try:
        build(kind, root, lock, log)
        write_stamp(kind, root)
    except BaseException:
        discard(venv)
        if os.path.lexists(aside):
            os.rename(aside, venv)
        raise
    with contextlib.suppress(Trouble):
        discard(aside)


def put_aside(venv, aside):
    """Rename the older environment; Windows refuses that while a program runs from it."""
    try:
        os.rename(venv, aside)
    except OSError as error:
        if os.name != "nt":
            raise
        raise in_use(venv) from error


def discard(folder):
    """Remove an environment, its stamp first, so that a rest of it never looks whole."""
    try:
        if os.path.islink(folder) or os.path.isfile(folder):
            os.unlink(folder)
        elif os.path.isdir(folder):
            with contextlib.suppress(FileNotFoundError):
                os.unlink(os.path.join(folder, STAMP))
            shutil.rmtree(folder)
    except OSError as error:
        raise in_use(folder) from error


def in_use(folder):
    """The trouble of a folder that cannot be renamed or removed."""
    return Trouble(
        "in use",
        f"The folder {folder} could not be replaced: close every program that was started from it "
        "(JupyterLab, a terminal), see that you may write there, and start again.",
    )


def build(kind, root, lock, log):
    """Make the environment with uv if it is there and works, else with pip."""
    uv = find_uv()
    if uv:
        try:
            build_with(uv, kind, root, lock, log)
            return
        except Trouble as trouble:
            first = trouble
        # uv does not read pip's settings (a proxy, a mirror), so pip may succeed where uv did not.
        if first.sort not in ("network", "missing", "other"):
            raise first
        discard(venv_folder(root))
        say("uv could not do it; trying once more with pip.")
        try:
            build_with(None, kind, root, lock, log)
        except Trouble as second:
            raise (first if second.sort == "no venv" else second) from first
    else:
        build_with(None, kind, root, lock, log)


def build_with(uv, kind, root, lock, log):
    """Create the environment and install everything into it, with uv or, without it, pip."""
    if uv:
        command = [uv, "venv", "--python", base_python(), venv_folder(root)]
    else:
        check_venv_module()
        command = [base_python(), "-m", "venv", venv_folder(root)]
    perform(command, "Creating the environment", root, lock, log)
    install(uv, kind, root, lock, log)


def fill(kind, root, lock, log):
    """Add what is missing to a whole environment."""
    uv = find_uv()
    if uv:
        try:
            install(uv, kind, root, lock, log)
            return
        except Trouble as trouble:
            if trouble.sort not in ("network", "missing", "other"):
                raise
            say("uv could not do it; trying once more with pip.")
    if not has_pip(root):
        check_venv_module()
        command = [venv_python(root), "-m", "ensurepip"]
        perform(command, "Adding pip", root, lock, log)
    install(None, kind, root, lock, log)


def install(uv, kind, root, lock, log):
    """Install the locked packages, then the project itself as an editable package.

    The paths are relative to the root on purpose: a root with a comma, a bracket or a number
    sign in its name would be misread as part of a requirement.
    """
    python = venv_python(root)
    if uv:
        tool = [uv, "pip", "install", "--python", python, "--compile-bytecode"]
    else:
        tool = [python, "-m", "pip", "install", "--no-input", "--progress-bar", "off"]
        tool += ["--disable-pip-version-check", "--target", ""]
    locked = ["--no-deps", "--require-hashes", "-r", os.path.join("shared", "lock", kind + ".txt")]
    perform(tool + locked, "Fetching packages", root, lock, log)
    itself = ["--no-deps", "--no-build-isolation", "-e", "."]
    perform(tool + itself, "Installing the kit itself", root, lock, log)
    plain_links(root)
    found = f"all(map(importlib.util.find_spec, {PACKAGES}))"
    probe = [python, "-c", f"import importlib.util, sys; sys.exit(not {found})"]
    perform(probe, "Checking the environment", root, lock, log)


def plain_links(root):
    """Write the links to the project's folders in ASCII.

    Such a link (a .pth file) is read in the system's encoding by Python 3.11 and 3.12. With
    another letter in the folder's name that fails on Windows and wherever the locale is C, and
    then the environment's Python does not start at all.
    """
    for name in os.listdir(packages_folder(root)):
        path = os.path.join(packages_folder(root), name)
        if not name.endswith(".pth") or read(path).isascii():
            continue
        folders = [line for line in read(path).splitlines() if not line.startswith("import")]
        with open(path, "w", encoding="ascii") as file:
            file.write(f"import sys; sys.path.extend({folders!a})\n")


def has_pip(root):
    """Whether the environment holds pip (one made by uv does not)."""
    return any(name.startswith("pip-") for name in installed(root))


def installed(root):
    """The names of the packages that are fully installed."""
    try:
        names = os.listdir(packages_folder(root))
    except OSError:
        return []
    return [name for name in names if name.endswith(".dist-info")]


def packages_folder(root):
    """Where the environment's packages lie."""
    if os.name == "nt":
        return os.path.join(venv_folder(root), "Lib", "site-packages")
    version = "python" + python_version().rpartition(".")[0]
    return os.path.join(venv_folder(root), "lib", version, "site-packages")


def find_uv():
    """The uv program if it is there, works and was not turned off."""
    if os.environ.get("AERIALSTREAM_NO_UV") == "1":
        return None
    uv = shutil.which("uv")
    if uv is None:
        return None
    try:
        answer = subprocess.run(
            [uv, "--version"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=20
        )
    except (OSError, subprocess.SubprocessError):
        return None
    return uv if answer.returncode == 0 else None


def check_venv_module():
    """Refuse a Python whose venv or ensurepip was split off."""
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        return
    raise Trouble(
        "no venv",
        "This Python lacks the parts that make an environment (venv and ensurepip): on Debian or "
        "Ubuntu run `sudo apt install python3-venv`, elsewhere install Python from python.org, "
        "and start again.",
    )


def check_room(kind, root):
    """Refuse to begin on a disk that is too full to finish."""
    free = shutil.disk_usage(root).free / 1e9
    if free < ROOM[kind]:
        raise Trouble(
            "disk",
            f"The environment needs about {ROOM[kind]:.1f} GB of free space in {root}, and only "
            f"{free:.1f} GB are free: make room there and start again.",
        )


# ---------------------------------------------------------------- one start at a time


@contextlib.contextmanager
def only_start(root):
    """Hold the project's lock; a second start waits until the first is done."""
    with open(os.path.join(root, ".venv.lock"), "a+") as handle:
        if not try_lock(handle):
            say("Another start is preparing the environment; waiting until it is done.")
            while not try_lock(handle):
                time.sleep(0.2)
        yield handle


def try_lock(handle):
    """Take the lock if it is free. Closing the file gives it back, and so does being killed."""
    try:
        if os.name == "nt":
            import msvcrt

            handle.seek(0)
            msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as error:
        # A file system that knows no locks must not keep anybody from starting.
        return error.errno in (errno.ENOLCK, errno.ENOTSUP, errno.ENOSYS)
    return True


@contextlib.contextmanager
def stop_signals():
    """Let a polite kill or a closed terminal end like Ctrl-C, so that the tidying up is done."""
    names = [name for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name)]
    if threading.current_thread() is not threading.main_thread():
        names = []
    before = [(getattr(signal, name), signal.getsignal(getattr(signal, name))) for name in names]
    for number, handler in before:
        if handler == signal.SIG_DFL:
            signal.signal(number, interrupt)
    try:
        yield
    finally:
        for number, handler in before:
            signal.signal(number, handler)


def interrupt(number, frame):
    """A signal handler that ends the work like Ctrl-C."""
    raise KeyboardInterrupt


# ---------------------------------------------------------------- running pip or uv


class Log:
    """The full output of the tools, in a file to read and in memory to judge."""

    def __init__(self, path, file):
        self.path, self.file, self.lines = path, file, []

    def add(self, line):
        """Keep a line; a full disk must not hide the failure that is being logged."""
        self.lines.append(line)
        if self.file is not None:
            try:
                self.file.write(line + "\n")
                self.file.flush()
            except OSError:
                self.file = None


@contextlib.contextmanager
def open_log(kind, root):
    """A log in the project's ignored work folder, else in the temporary folder, else none."""
    name = f"prepare-{kind}.log"
    path, file = None, None
    for folder in (os.path.join(root, "work", "logs"), tempfile.gettempdir()):
        try:
            os.makedirs(folder, exist_ok=True)
            path = os.path.join(folder, name)
            file = open(path, "w", encoding="utf-8")
            break
        except OSError:
            path = None
    try:
        yield Log(path, file)
    finally:
        if file is not None:
            with contextlib.suppress(OSError):
                file.close()


def clean_environment():
    """The variables for the tools: the user's own settings, less those that would mislead them.

    Where packages come from (index, proxy, certificates, wheel folders) stays the user's choice.
    Where they go to and which versions they are is settled here and in the lock.
    """
    env = dict(os.environ)
    for name in ("PYTHONHOME", "PYTHONPATH", "PYTHONSTARTUP", "VIRTUAL_ENV", "CONDA_PREFIX"):
        env.pop(name, None)
    for name in ("TARGET", "PREFIX", "ROOT", "PYTHON", "DRY_RUN", "QUIET", "VERBOSE", "LOG"):
        env.pop("PIP_" + name, None)
    for name in ("CONSTRAINT", "BUILD_CONSTRAINT", "OVERRIDE", "EXCLUDE", "REQUIRE_HASHES"):
        env.pop("UV_" + name, None)
    for name in ("PIP_USER", "PIP_REQUIRE_VIRTUALENV", "PIP_REQUIRE_HASHES"):
        env[name] = "0"
    # An empty value would leave a constraint of a configuration file in force.
    env["PIP_CONSTRAINT"] = os.devnull
    env.update(PYTHONNOUSERSITE="1", PYTHONIOENCODING="utf-8", PYTHONUNBUFFERED="1")
    if "PIP_TIMEOUT" not in env:
        env.setdefault("PIP_DEFAULT_TIMEOUT", "10")
    env.setdefault("PIP_RETRIES", "1")
    env.setdefault("UV_HTTP_TIMEOUT", "10")
    env.setdefault("UV_HTTP_RETRIES", "1")
    return env


def perform(command, step, root, lock, log):
    """Run one tool, show how it goes, and turn a failure into a sentence.

    The tool inherits the lock: if this process is killed and the tool lives on, the next start
    waits for it instead of working in the same folder.
    """
    first = len(log.lines)
    log.add("$ " + " ".join(command))
    more = {} if os.name == "nt" else {"pass_fds": (lock.fileno(),)}
    try:
        process = subprocess.Popen(
            command,
            cwd=root,
            env=clean_environment(),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            **more,
        )
    except OSError as error:
        raise os_trouble(error, root) from error
    try:
        watch(process, step, root, log)
    finally:
        end_process(process)
    if process.returncode != 0:
        raise classify("\n".join(log.lines[first:]), root, log.path)


def end_process(process):
    """Leave no tool behind when the work was interrupted."""
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
    process.stdout.close()


def watch(process, step, root, log):
    """Follow a tool's output until it ends."""
    lines = queue.Queue()
    threading.Thread(target=pump, args=(process.stdout, lines), daemon=True).start()
    progress, counter = Progress(), Counter(step, root)
    while True:
        try:
            line = lines.get(timeout=0.5)
        except queue.Empty:
            counter.look(progress)
            continue
        if line is None:
            break
        log.add(line)
        counter.hear(line, progress)
    progress.end()
    process.wait()


def pump(stream, lines):
    """Hand over a stream's lines, then None. Runs in a thread of its own."""
    try:
        for line in stream:
            lines.put(line.decode("utf-8", "replace").rstrip())
    except (OSError, ValueError):
        pass
    lines.put(None)


class Counter:
    """Counts packages by what the tool says and by what lies installed.

    pip names each package when it begins on it, then lists all it will install and falls silent;
    from there on the installed packages are counted, so that the total is always pip's own.
    """

    def __init__(self, step, root):
        self.step, self.root = step, root
        self.found = self.total = self.before = self.done = 0

    def hear(self, line, progress):
        """Read one line of output."""
        word, _, rest = line.strip().partition(" ")
        if word in ("Collecting", "Processing") and rest:
            self.found += 1
            file = os.path.basename(rest.split(" (")[0])
            name = file.split("==")[0] if "==" in file else file.split("-")[0]
            progress.show(f"{self.step}: {self.found}, {name}", self.found)
        elif line.startswith("Installing collected packages:"):
            self.total = line.count(",") + 1
            self.before = len(installed(self.root))
        elif word == "Downloading" and self.found == 0:
            self.step = f"Fetching packages, now {rest}"
            progress.show(self.step)

    def look(self, progress):
        """Say how far a silent tool is."""
        done = min(len(installed(self.root)) - self.before, self.total)
        if self.total > 1 and done // 10 > self.done // 10:
            self.done = done
            progress.show(f"Installing packages: {done} of {self.total}")
        elif self.total > 1 and progress.rewriting:
            progress.show(f"Installing packages: {done} of {self.total}")
        else:
            progress.wait(self.step)


# ---------------------------------------------------------------- failures, each one sentence

# The texts are pip's, uv's and the system's own; they were collected by provoking each failure.
SIGNS = (
    ("disk", ("No space left on device", "Disk quota exceeded", "not enough space on the disk")),
    ("hash", ("DO NOT MATCH THE HASHES", "Hash mismatch", "Failed to read from zip file")),
    ("write", ("Permission denied", "Read-only file system", "Access is denied")),
    (
        "network",
        (
            "Failed to establish a new connection",
            "NewConnectionError",
            "ProxyError",
            "Cannot connect to proxy",
            "NameResolutionError",
            "ConnectTimeoutError",
            "ReadTimeoutError",
            "Read timed out",
            "SSLError",
            "problem confirming the ssl certificate",
            "Connection reset",
            "RemoteDisconnected",
            "IncompleteRead",
            "incomplete-download",
            "error sending request",
            "client error (Connect)",
            "dns error",
            "operation timed out",
            "request or response body error",
            "network was disabled",
        ),
    ),
    (
        "missing",
        (
            "No matching distribution found",
            "No solution found when resolving",
            "metadata-generation-failed",
            "Failed building wheel",
            "Failed to build",
        ),
    ),
)


def classify(text, root, log_path):
    """The trouble that a failed tool's output tells of."""
    sort = next((sort for sort, signs in SIGNS if any(sign in text for sign in signs)), "other")
    if sort == "other" and shutil.disk_usage(root).free < 50e6:
        sort = "disk"
    sentence = sentences(root)[sort]
    if log_path and sort != "disk":
        sentence += f" (The full output is in {log_path}.)"
    return Trouble(sort, sentence)


def sentences(root):
    """What to do about each sort of failure."""
    places = " or ".join(sorted({root, tempfile.gettempdir()}))
    return {
        "disk": "The disk became full while the environment was being made: make room in "
        f"{places} (about {ROOM['tests']:.1f} GB) and start again; nothing half done was left.",
        "hash": "A package is not the one in the list of packages (shared/lock): the download was "
        "damaged or the list is old, so start again, and if it stays so get the kit anew.",
        "write": f"The environment could not be written: see that you may write in {root} and in "
        "its .venv, or copy the kit to a folder of your own, and start again.",
        "network": "The packages could not be fetched, because the server was not reached: check "
        "the internet connection (and the proxy, if your station has one) and start again; "
        "nothing half done was left.",
        "missing": "A package in the list was not found in a form that fits this computer and "
        f"Python {python_version()}: start again with Python 3.11, 3.12 or 3.13.",
        "other": "The environment could not be made, for a reason this kit does not know: read "
        "the last lines of the full output, or show them to whoever looks after your computers.",
    }


def os_trouble(error, root):
    """The trouble that an error of the operating system tells of."""
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)):
        return Trouble("disk", sentences(root)["disk"])
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return Trouble("write", sentences(root)["write"])
    if isinstance(error, FileNotFoundError) and error.filename:
        return Trouble(
            "incomplete",
            f"The file {error.filename} is missing: the kit's folder is not complete, so get it "
            "anew and start again.",
        )
    return Trouble(
        "other",
        f"The environment could not be made, because the system refused something ({error}): "
        "put that right and start again.",
    )


# ---------------------------------------------------------------- handing over


def run_environment(root):
    """The variables a command in the environment runs with, as if it had been activated."""
    env = dict(os.environ)
    for name in ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__"):
        env.pop(name, None)
    env["PYTHONNOUSERSITE"] = "1"
    env["VIRTUAL_ENV"] = venv_folder(root)
    programs = os.path.dirname(venv_python(root))
    env["PATH"] = os.pathsep.join([programs, env.get("PATH", os.defpath)])
    return env


def run(arguments, root=ROOT):
    """Become the environment's Python with these arguments; does not come back."""
    python = venv_python(root)
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name == "nt":
        sys.exit(call(arguments, root))
    os.execve(python, [python, *arguments], run_environment(root))


def call(arguments, root=ROOT, cwd=None):
    """Run the environment's Python and return its exit status."""
    process = subprocess.Popen([venv_python(root), *arguments], env=run_environment(root), cwd=cwd)
    while True:
        try:
            return process.wait()
        except KeyboardInterrupt:
            # The command got the same Ctrl-C and ends by itself.
            continue
