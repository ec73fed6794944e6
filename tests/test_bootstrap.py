"""The two commands' way from a bare Python to a ready environment, and every way it can fail.

The environments made here are real ones, of a tiny project laid out like the kit, with a tiny
package that is fetched from a folder; so nothing here needs the internet.
"""

import ast
import base64
import contextlib
import errno
import fcntl
import hashlib
import importlib.util
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ENTRY = [Path("shared/bootstrap.py"), Path("lessons/__main__.py"), Path("tests/__main__.py")]
CLOSED = "http://127.0.0.1:9/simple"
ODD = "Lösch zug, 1 [x]#"

BACKEND = '''
"""A build backend that only links the project's folders."""
import os, zipfile

def build_editable(wheel_directory, config_settings=None, metadata_directory=None):
    name = "aerialstream-0.1.0-py3-none-any.whl"
    info = "aerialstream-0.1.0.dist-info/"
    links = "".join(os.path.join(os.getcwd(), d) + "\\n" for d in ("shared", "lessons", "graders"))
    files = {
        "aerialstream.pth": links,
        info + "METADATA": "Metadata-Version: 2.1\\nName: aerialstream\\nVersion: 0.1.0\\n",
        info + "WHEEL": "Wheel-Version: 1.0\\nGenerator: t\\nRoot-Is-Purelib: true\\n"
        "Tag: py3-none-any\\n",
    }
    files[info + "RECORD"] = "".join(f"{n},,\\n" for n in [*files, info + "RECORD"])
    with zipfile.ZipFile(os.path.join(wheel_directory, name), "w") as wheel:
        for path, text in files.items():
            wheel.writestr(path, text)
    return name
'''
PYPROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "aerialstream"
version = "0.1.0"

[tool.ruff]
line-length = 100
"""


def load(name, path):
    """Import a file of the project under a name of its own."""
    spec = importlib.util.spec_from_file_location(name, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


bootstrap = load("bootstrap", ROOT / "shared" / "bootstrap.py")
sys.modules["bootstrap"] = bootstrap
lessons_main = load("lessons_main", ROOT / "lessons" / "__main__.py")
tests_main = load("tests_main", ROOT / "tests" / "__main__.py")


def make_wheel(folder, name, size=0):
    """A package with one module; returns its line for a lock file."""
    info = f"{name}-1.0.dist-info/"
    files = {
        f"{name}.py": "value = 1\n",
        f"{name}_data.bin": "\0" * size,
        info + "METADATA": f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n",
        info + "WHEEL": "Wheel-Version: 1.0\nGenerator: t\nRoot-Is-Purelib: true\n"
        "Tag: py3-none-any\n",
    }
    record = ""
    for path, text in files.items():
        checksum = base64.urlsafe_b64encode(hashlib.sha256(text.encode()).digest()).decode()
        record += f"{path},sha256={checksum.rstrip('=')},{len(text)}\n"
    files[info + "RECORD"] = record + info + "RECORD,,\n"
    path = folder / f"{name}-1.0-py3-none-any.whl"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as wheel:
        for inner, text in files.items():
            wheel.writestr(inner, text)
    return f"{name}==1.0 --hash=sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}\n"


@pytest.fixture(scope="module")
def wheels(tmp_path_factory):
    """A folder of packages and the lock lines for them."""
    folder = tmp_path_factory.mktemp("wheels")
    names = {"hose_a": 0, "hose_b": 0, "hose_big": 70_000_000}
    return folder, {name: make_wheel(folder, name, size) for name, size in names.items()}


def tiny_project(root, wheels):
    """A project laid out like the kit, small enough to be installed in seconds."""
    lines = wheels[1]
    for path in ENTRY:
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / path, root / path)
    for package in ("shared/aerialstream", "lessons/lessonkit", "graders/gradekit"):
        (root / package).mkdir(parents=True)
        (root / package / "__init__.py").write_text("")
    (root / "lessons/lessonkit/start.py").write_text(
        "import hose_a, os, sys\nprint('started', sys.argv[1:], os.environ['PYTHONNOUSERSITE'])\n"
    )
    (root / "backend.py").write_text(BACKEND)
    (root / "pyproject.toml").write_text(PYPROJECT)
    (root / "shared/lock").mkdir()
    (root / "shared/lock/lessons.txt").write_text(lines["hose_a"])
    (root / "shared/lock/tests.txt").write_text(lines["hose_a"] + lines["hose_b"])
    return root


def offline(wheels, **more):
    """Variables that make pip and uv take packages from the folder only."""
    place = wheels[0].as_uri()
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PIP_")}
    settings = {"PIP_CONFIG_FILE": os.devnull, "PIP_NO_INDEX": "1", "PIP_FIND_LINKS": place}
    return {**kept, **settings, "UV_NO_INDEX": "1", "UV_FIND_LINKS": place, **more}


def start(root, env, *words, command="lessons", cwd=None):
    """Run a command of a project as a user would, with the Python outside the environment."""
    return subprocess.run(
        [bootstrap.base_python(), str(root / command), *words],
        env=env,
        cwd=cwd,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )


def sentence_of(result):
    """The last line of a failed start, which must be its sentence and no traceback."""
    assert result.returncode == 2, result.stderr
    assert "Traceback" not in result.stderr
    return result.stderr.strip().splitlines()[-1]


# ---------------------------------------------------------------- old Pythons


@pytest.mark.parametrize("path", ENTRY, ids=str)
def test_parses_on_old_pythons_and_imports_only_the_standard_library(path):
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"), feature_version=(3, 6))
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module.split(".")[0])
    assert names
    assert names - {"bootstrap"} <= sys.stdlib_module_names
    assert "__future__" not in names


def old_pythons():
    """Interpreters on this computer that are too old for the kit."""
    places = [shutil.which(f"python3.{minor}") for minor in range(6, 11)]
    places += sorted((Path.home() / ".pyenv" / "versions").glob("3.[6-9].*/bin/python"))
    found = {}
    for place in filter(None, places):
        answer = subprocess.run(
            [place, "-c", "import sys; print(*sys.version_info[:2])"],
            capture_output=True,
            text=True,
        )
        if answer.returncode == 0:
            found[answer.stdout.strip()] = str(place)
    return sorted(found.values())


@pytest.mark.parametrize("command", ["lessons", "tests"])
def test_an_old_python_is_refused_in_one_sentence(tmp_path, wheels, command):
    pythons = old_pythons()
    if not pythons:
        pytest.skip("no Python older than 3.11 on this computer; see the simulated test")
    root = tiny_project(tmp_path / "kit", wheels)
    for python in pythons:
        result = subprocess.run([python, root / command], capture_output=True, text=True)
        assert re.search(r"needs Python 3\.11 or newer, and this is Python 3\.\d+\.\d+: install",
                         sentence_of(result))  # fmt: skip
        assert len(result.stderr.splitlines()) == 1
        assert not (root / ".venv").exists()


def test_the_refusal_is_by_version(monkeypatch, capsys):
    monkeypatch.setattr(sys, "version_info", (3, 10, 14, "final", 0))
    with pytest.raises(SystemExit) as stopped:
        bootstrap.check_python()
    assert stopped.value.code == 2
    assert "this is Python 3.10.14" in capsys.readouterr().err
    monkeypatch.setattr(sys, "version_info", (3, 11, 0, "final", 0))
    bootstrap.check_python()


# ---------------------------------------------------------------- real environments


@pytest.fixture(scope="module")
def made(tmp_path_factory, wheels):
    """A tiny project with its environment made by pip, in a folder with a difficult name.

    The variables would each send the packages astray or stop the build if they got through.
    """
    root = tiny_project(tmp_path_factory.mktemp("place") / ODD, wheels)
    astray = tmp_path_factory.mktemp("astray")
    (astray / "venv.py").write_text("raise SystemExit('PYTHONPATH got through')")
    constraint = astray / "constraint.txt"
    constraint.write_text("hose_a<1\n")
    config = astray / "pip.conf"
    config.write_text(f"[install]\nuser = true\nconstraint = {constraint}\ntarget = {astray}/t\n")
    env = offline(
        wheels,
        AERIALSTREAM_NO_UV="1",
        PIP_CONFIG_FILE=str(config),
        PIP_PREFIX=str(astray / "p"),
        PYTHONPATH=str(astray),
        PIP_REQUIRE_VIRTUALENV="1",
        PIP_REQUIRE_HASHES="1",
    )
    result = start(root, env, "--work", "w", cwd=astray)
    assert result.returncode == 0, result.stderr
    assert sorted(path.name for path in astray.iterdir()) == [
        "constraint.txt", "pip.conf", "venv.py",
    ]  # fmt: skip
    return root, env, result, astray


def test_first_start_reaches_the_lessons(made):
    root, _, result, astray = made
    assert "started" in result.stdout and str(astray / "w") in result.stdout
    assert "there is none yet" in result.stderr and "is ready" in result.stderr
    stamp = json.loads((root / ".venv" / bootstrap.STAMP).read_text())
    assert stamp["root"] == str(root) and set(stamp["locks"]) == {"lessons"}
    assert "hose_a" in (root / "work/logs/prepare-lessons.log").read_text(encoding="utf-8")


def test_second_start_is_quick_and_says_nothing(made):
    root, env, _, _ = made
    began = time.monotonic()
    result = start(root, env, "--member", "7")
    assert time.monotonic() - began < 2
    assert (result.returncode, result.stderr) == (0, "")
    assert "--member=7" in result.stdout


def test_the_environment_starts_in_the_c_locale(made):
    root, env, _, _ = made
    result = start(root, {**env, "LC_ALL": "C"})
    assert result.returncode == 0, result.stderr


def test_tests_only_add_what_is_missing_and_failing_to_add_leaves_the_rest(made):
    root, env, _, _ = made
    marker = root / ".venv" / "marker"
    marker.write_text("")
    lock = root / "shared/lock/tests.txt"
    good = lock.read_text()
    lock.write_text(good.replace(good[-20:-1], "0" * 19))
    failed = start(root, env, "-q", command="tests")
    assert "damaged or the list is old" in sentence_of(failed)
    assert start(root, env).returncode == 0 and marker.exists()

    lock.write_text(good)
    result = start(root, env, "-q", command="tests")
    assert "packages for the tests are missing" in result.stderr
    assert "No module named pytest" in result.stderr  # the tiny lock has none
    stamp = json.loads((root / ".venv" / bootstrap.STAMP).read_text())
    assert set(stamp["locks"]) == {"lessons", "tests"} and marker.exists()
    assert any("hose_b" in path.name for path in (root / ".venv").rglob("*.dist-info"))
    assert start(root, env).stderr == ""  # it serves the lessons too


def test_uv_makes_the_same_environment(tmp_path, wheels):
    if bootstrap.find_uv() is None:
        pytest.skip("uv is not on this computer")
    root = tiny_project(tmp_path / ODD, wheels)
    result = start(root, offline(wheels))
    assert result.returncode == 0, result.stderr
    assert "with pip" not in result.stderr
    assert not list((root / ".venv").rglob("pip-*.dist-info"))
    added = start(root, offline(wheels, AERIALSTREAM_NO_UV="1"), command="tests")
    assert "is ready" in added.stderr  # pip takes over an environment that uv made


def test_a_wrong_hash_is_told_and_the_older_environment_comes_back(tmp_path, wheels):
    root = tiny_project(tmp_path / "kit", wheels)
    stamped(root)
    lock = root / "shared/lock/lessons.txt"
    lock.write_text(lock.read_text()[:-20] + "0" * 19 + "\n")
    result = start(root, offline(wheels))
    assert "damaged or the list is old" in sentence_of(result)
    assert (root / ".venv" / "older").exists()
    assert not (root / ".venv.old").exists()


def test_a_killed_start_is_made_good_by_the_next(tmp_path, wheels):
    root = tiny_project(tmp_path / "kit", wheels)
    env = offline(wheels, AERIALSTREAM_NO_UV="1")
    process = subprocess.Popen(
        [bootstrap.base_python(), str(root / "lessons")], env=env, stderr=subprocess.DEVNULL
    )
    wait_for(lambda: (root / ".venv" / "pyvenv.cfg").exists())
    process.send_signal(signal.SIGKILL)
    process.wait()
    with open(root / ".venv.lock", "a+") as handle:
        assert not bootstrap.try_lock(handle)  # the tool that lives on keeps the next one off
    assert bootstrap.read_stamp(str(root / ".venv")) is None
    result = start(root, offline(wheels))  # with uv if it is there, which is quicker
    assert result.returncode == 0 and "started" in result.stdout, result.stderr


def wait_for(condition):
    """Wait up to ten seconds for something to become true."""
    end = time.monotonic() + 10
    while not condition():
        assert time.monotonic() < end
        time.sleep(0.02)


# ---------------------------------------------------------------- no network


@pytest.mark.parametrize("no_uv", ["1", "0"], ids=["pip", "uv"])
def test_no_network_is_told_quickly_and_leaves_nothing(tmp_path, no_uv):
    if no_uv == "0" and bootstrap.find_uv() is None:
        pytest.skip("uv is not on this computer")
    root = tmp_path / ODD
    for path in [*ENTRY, Path("pyproject.toml"), Path("shared/lock/lessons.txt")]:
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / path, root / path)
    env = {name: value for name, value in os.environ.items() if name[:3] not in ("PIP", "UV_")}
    env |= {"PIP_CONFIG_FILE": os.devnull, "PIP_INDEX_URL": CLOSED, "UV_DEFAULT_INDEX": CLOSED}
    env |= {"AERIALSTREAM_NO_UV": no_uv, "UV_NO_CACHE": "1"}
    began = time.monotonic()
    result = start(root, env)
    assert time.monotonic() - began < 25
    sentence = sentence_of(result)
    assert "server was not reached" in sentence and "internet connection" in sentence
    assert not list(root.glob(".venv")) and not list(root.glob(".venv.old"))
    log = re.search(r"full output is in (.*)\.\)", sentence).group(1)
    assert "127.0.0.1" in Path(log).read_text(encoding="utf-8")


# ---------------------------------------------------------------- when to make it anew


def stamped(root, kind="tests"):
    """Pretend that a whole environment is there."""
    python = Path(bootstrap.venv_python(str(root)))
    python.parent.mkdir(parents=True)
    python.write_text("")
    (root / ".venv" / "older").write_text("")
    bootstrap.write_stamp(kind, str(root))


@pytest.fixture
def project(tmp_path, wheels, monkeypatch):
    """A tiny project that seems to have a whole environment."""
    monkeypatch.setenv("AERIALSTREAM_NO_UV", "1")
    root = tiny_project(tmp_path / "kit", wheels)
    stamped(root)
    return root


def append(path, text):
    """Add to a file."""
    path.write_text(path.read_text() + text)


CHANGES = {
    "nothing": (lambda root: None, "fresh", "fresh"),
    "lessons lock": (lambda r: append(r / "shared/lock/lessons.txt", "#"), "stale", "stale"),
    "tests lock": (lambda r: append(r / "shared/lock/tests.txt", "#"), "fresh", "stale"),
    "project": (
        lambda r: (r / "pyproject.toml").write_text(PYPROJECT.replace("0.1.0", "0.2.0")),
        "stale",
        "stale",
    ),
    "build": (
        lambda r: (r / "pyproject.toml").write_text(PYPROJECT.replace("= []", '= ["x"]')),
        "stale",
        "stale",
    ),
    "checker": (
        lambda r: (r / "pyproject.toml").write_text(PYPROJECT.replace("100", "99")),
        "fresh",
        "fresh",
    ),
    "python gone": (lambda r: Path(bootstrap.venv_python(str(r))).unlink(), "stale", "stale"),
    "no stamp": (lambda r: (r / ".venv" / bootstrap.STAMP).unlink(), "stale", "stale"),
    "bad stamp": (lambda r: (r / ".venv" / bootstrap.STAMP).write_text("{"), "stale", "stale"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_what_makes_an_environment_stale(project, change):
    make, lessons, tests = CHANGES[change]
    make(project)
    assert bootstrap.judge("lessons", str(project))[0] == lessons
    assert bootstrap.judge("tests", str(project))[0] == tests


def test_a_moved_folder_another_python_and_another_scheme_are_stale(project, monkeypatch):
    moved = project.with_name("moved")
    project.rename(moved)
    assert bootstrap.judge("lessons", str(moved)) == ("stale", "the folder was moved or renamed")
    moved.rename(project)
    with monkeypatch.context() as patch:
        patch.setattr(sys, "version_info", (3, 99, 0, "final", 0))
        assert bootstrap.judge("lessons", str(project))[0] == "stale"
    with monkeypatch.context() as patch:
        patch.setattr(bootstrap, "SCHEME", -1)
        assert bootstrap.judge("lessons", str(project))[0] == "stale"
    assert bootstrap.judge("lessons", str(project))[0] == "fresh"


def test_a_vanished_base_interpreter_is_stale(project):
    path = project / ".venv" / bootstrap.STAMP
    path.write_text(json.dumps({**json.loads(path.read_text()), "base": str(project / "gone")}))
    assert bootstrap.judge("lessons", str(project))[1] == "the Python it was made with is gone"


def test_the_real_check_takes_milliseconds(project):
    shutil.copytree(ROOT / "shared/lock", project / "shared/lock", dirs_exist_ok=True)
    bootstrap.write_stamp("tests", str(project))
    began = time.perf_counter()
    assert bootstrap.judge("tests", str(project))[0] == "fresh"
    assert time.perf_counter() - began < 0.05


def test_the_lock_for_the_tests_holds_the_lock_for_the_lessons():
    # Where a package is not for every system, the longer list may ask for it on more of them.
    entries = [
        {
            re.sub(r" ;.*?(?= +--hash)", "", line)
            for line in (ROOT / f"shared/lock/{kind}.txt")
            .read_text()
            .replace("\\\n", "")
            .splitlines()
        }
        for kind in ("lessons", "tests")
    ]
    assert len(entries[0]) > 50
    assert entries[0] <= entries[1]
    assert all("--hash=sha256:" in line for line in entries[1] if line and line[0] != "#")


# ---------------------------------------------------------------- nothing half done


def prepared(project, monkeypatch, build, kind="lessons"):
    """Run `prepare` with another way to build; returns its exit status, 0 if it came back."""
    monkeypatch.setattr(bootstrap, "build", build)
    try:
        bootstrap.prepare(kind, str(project))
    except SystemExit as stopped:
        return stopped.code
    return 0


def builds(kind, root, lock, log):
    """A build that works."""
    python = Path(bootstrap.venv_python(root))
    python.parent.mkdir(parents=True)
    python.write_text("")
    Path(root, ".venv", "newer").write_text("")


def fails_with(error):
    """A build that breaks off half way."""

    def build(kind, root, lock, log):
        builds(kind, root, lock, log)
        raise error

    return build


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (bootstrap.Trouble("other", "It broke."), 2, "It broke."),
        (KeyboardInterrupt(), 130, "Stopped before"),
        (OSError(errno.ENOSPC, "full"), 2, "make room in"),
        (PermissionError(errno.EACCES, "no"), 2, "see that you may write in"),
        (OSError(errno.EIO, "bad disk"), 2, "bad disk"),
    ],
    ids=["trouble", "ctrl-c", "full disk", "no right", "other"],
)
def test_the_older_environment_comes_back(project, monkeypatch, capsys, error, status, words):
    append(project / "shared/lock/lessons.txt", "#")
    assert prepared(project, monkeypatch, fails_with(error)) == status
    assert words in capsys.readouterr().err.splitlines()[-1]
    assert (project / ".venv" / "older").exists()
    assert not (project / ".venv" / "newer").exists()
    assert not (project / ".venv.old").exists()


def test_a_failed_first_start_leaves_no_environment(project, monkeypatch):
    shutil.rmtree(project / ".venv")
    trouble = bootstrap.Trouble("other", "It broke.")
    assert prepared(project, monkeypatch, fails_with(trouble)) == 2
    assert not (project / ".venv").exists()


def test_a_stale_and_a_half_made_environment_are_replaced(project, monkeypatch, capsys):
    append(project / "shared/lock/lessons.txt", "#")
    assert prepared(project, monkeypatch, builds) == 0
    assert "the list of packages changed" in capsys.readouterr().err
    (project / ".venv" / bootstrap.STAMP).unlink()
    (project / ".venv" / "half").write_text("")
    assert prepared(project, monkeypatch, builds) == 0
    assert not (project / ".venv" / "half").exists()
    assert not (project / ".venv.old").exists()
    assert bootstrap.judge("lessons", str(project))[0] == "fresh"


def never(kind, root, lock, log):
    """A build that must not be asked for."""
    raise AssertionError("built without need")


def test_leftovers_of_a_killed_start_are_tidied_up(project, monkeypatch):
    (project / ".venv").rename(project / ".venv.old")
    (project / ".venv").mkdir()
    assert prepared(project, monkeypatch, never) == 0  # the older one was still good
    assert (project / ".venv" / "older").exists()
    shutil.copytree(project / ".venv", project / ".venv.old")
    assert prepared(project, monkeypatch, never) == 0
    assert not (project / ".venv.old").exists()


def test_a_link_in_the_place_of_the_environment_is_only_unlinked(project, monkeypatch, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    (project / ".venv").rename(elsewhere)
    (elsewhere / bootstrap.STAMP).unlink()
    (project / ".venv").symlink_to(elsewhere)
    assert prepared(project, monkeypatch, builds) == 0
    assert (elsewhere / "older").exists() and not (project / ".venv").is_symlink()


def test_a_second_start_waits_for_the_first(project, monkeypatch, capsys):
    append(project / "shared/lock/lessons.txt", "#")
    handle = open(project / ".venv.lock", "a+")
    fcntl.flock(handle, fcntl.LOCK_EX)

    def first_finishes():
        time.sleep(0.5)
        bootstrap.write_stamp("lessons", str(project))
        handle.close()

    thread = threading.Thread(target=first_finishes)
    thread.start()
    began = time.monotonic()
    assert prepared(project, monkeypatch, never) == 0  # what the first one made is used
    thread.join()
    assert time.monotonic() - began >= 0.4
    assert "Another start is preparing" in capsys.readouterr().err


# ---------------------------------------------------------------- a full disk, no venv module


def test_too_little_room_is_told_before_anything_is_touched(project, monkeypatch, capsys):
    append(project / "shared/lock/lessons.txt", "#")
    usage = shutil._ntuple_diskusage(10**12, 10**12 - 3 * 10**8, 3 * 10**8)
    monkeypatch.setattr(shutil, "disk_usage", lambda path: usage)
    assert prepared(project, monkeypatch, never) == 2
    said = capsys.readouterr().err.strip()
    assert "about 1.0 GB" in said and "only 0.3 GB" in said and str(project) in said
    assert len(said.splitlines()) == 1
    assert (project / ".venv" / "older").exists()


@contextlib.contextmanager
def small_disk(folder, size):
    """A real file system of a few megabytes."""
    folder.mkdir()
    answer = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)])
    if answer.returncode != 0:
        pytest.skip("a small file system cannot be mounted here")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=True)


@pytest.mark.skipif(
    not shutil.which("mount") or os.geteuid() != 0, reason="only root may mount a small disk"
)
def test_a_disk_that_becomes_full_on_the_way(tmp_path, wheels, monkeypatch, capsys):
    for name, value in offline(wheels, AERIALSTREAM_NO_UV="1").items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(bootstrap, "ROOM", {"lessons": 0, "tests": 0})
    with small_disk(tmp_path / "disk", "60m") as disk:
        root = tiny_project(disk / "kit", wheels)
        (root / "shared/lock/lessons.txt").write_text(wheels[1]["hose_big"])
        with pytest.raises(SystemExit) as stopped:
            bootstrap.prepare("lessons", str(root))
        log = (root / "work/logs/prepare-lessons.log").read_text()
        assert stopped.value.code == 2
        assert "disk became full" in capsys.readouterr().err.splitlines()[-1]
        assert "No space left on device" in log
        assert not (root / ".venv").exists()


@pytest.mark.parametrize("lost", ["venv", "ensurepip"])
def test_a_python_without_the_venv_module(project, monkeypatch, capsys, lost):
    shutil.rmtree(project / ".venv")
    real = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *rest: None if name == lost else real(name, *rest)
    )
    assert prepared(project, monkeypatch, bootstrap.build) == 2
    assert "sudo apt install python3-venv" in capsys.readouterr().err.splitlines()[-1]
    assert not (project / ".venv").exists()


def test_pip_is_tried_where_uv_found_no_server(project, monkeypatch, capsys):
    append(project / "shared/lock/lessons.txt", "#")
    used = []

    def build_with(uv, kind, root, lock, log):
        used.append(uv)
        builds(kind, root, lock, log)
        if uv:
            raise bootstrap.Trouble("network", "No server.")

    monkeypatch.setattr(bootstrap, "find_uv", lambda: "uv")
    monkeypatch.setattr(bootstrap, "build_with", build_with)
    assert prepared(project, monkeypatch, bootstrap.build) == 0
    assert used == ["uv", None]
    assert "trying once more with pip" in capsys.readouterr().err


# ---------------------------------------------------------------- what the tools say

NONE_FOUND = "\nERROR: No matching distribution found for six==1.17.0"
RETRY = "WARNING: Retrying (Retry(total=0)) after connection broken by "
NEW = "<pip._vendor.urllib3.connection.HTTPSConnection object at 0x7f>: "
# Each text was got from pip 23 or uv 0.13 by really bringing the failure about.
SAID = [
    (
        "network",
        RETRY + f"'NewConnectionError('{NEW}Failed to establish a new connection: [Errno 111] "
        "Connection refused')': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + f"'NewConnectionError('{NEW}Failed to establish a new connection: [Errno -2] Name "
        "or service not known')': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + "'ProxyError('Cannot connect to proxy.', OSError())': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + "'ReadTimeoutError(\"HTTPConnectionPool(host='127.0.0.1', port=8971): Read timed "
        "out. (read timeout=15.0)\")': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + "'SSLError(SSLError(1, '[SSL: WRONG_VERSION_NUMBER] wrong version number "
        "(_ssl.c:1006)'))': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + "'ProtocolError('Connection aborted.', ConnectionResetError(104, 'Connection reset "
        "by peer'))': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        RETRY + "'ProtocolError('Connection aborted.', RemoteDisconnected('Remote end closed "
        "connection without response'))': /simple/six/" + NONE_FOUND,
    ),
    (
        "network",
        "error: Request failed after 3 retries in 8.7s\n  cause: Failed to fetch: "
        "http://nowhere.invalid/simple/six/\n  cause: error sending request for url\n"
        "  cause: client error (Connect)\n  cause: dns error",
    ),
    (
        "network",
        "error: No solution found when resolving dependencies\n  cause: Because six was not found "
        "in the cache\n\nhint: Packages were unavailable because the network was disabled.",
    ),
    (
        "hash",
        "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE. If you have "
        "updated the package versions, please update the hashes.",
    ),
    ("hash", "error: Failed to download `six==1.17.0`\n  cause: Hash mismatch for `six==1.17.0`"),
    (
        "disk",
        "ERROR: Could not install packages due to an OSError: [Errno 28] No space left on device",
    ),
    (
        "disk",
        "error: Failed to install: cffi-2.1.1.whl (cffi==2.1.1)\n  cause: failed to copy file: "
        "No space left on device (os error 28)",
    ),
    ("write", "Error: [Errno 30] Read-only file system: '.venv'"),
    (
        "write",
        "error: Failed to create virtual environment\n  cause: failed to create directory `u`: "
        "Read-only file system (os error 30)",
    ),
    ("missing", "ERROR: Could not find a version (from versions: none)" + NONE_FOUND),
    (
        "missing",
        "error: No solution found when resolving dependencies\n  cause: Because six was not found "
        "in the package registry and you require six==1.17.0",
    ),
    ("other", "Segmentation fault"),
]


@pytest.mark.parametrize(("sort", "text"), SAID)
def test_failures_are_told_apart(sort, text):
    trouble = bootstrap.classify(text, str(ROOT), "the.log")
    assert trouble.sort == sort
    sentence = str(trouble)
    assert "\n" not in sentence
    assert ("the.log" in sentence) == (sort != "disk")


def test_progress_in_a_pipe_is_short_and_never_counts_too_far(capsys, monkeypatch, tmp_path):
    monkeypatch.setattr(bootstrap, "installed", lambda root: installed)
    installed, names = ["pip"], [f"p-{n}" for n in range(128)]
    progress, counter = bootstrap.Progress(), bootstrap.Counter("Fetching packages", str(tmp_path))
    for name in names:
        counter.hear(f"Collecting {name}==1.0 (from -r lock.txt (line 1))", progress)
        counter.hear(f"  Downloading {name}-1.0-py3-none-any.whl (270 kB)", progress)
    counter.hear("Installing collected packages: " + ", ".join(names), progress)
    for name in [*names, "one more", "and another"]:
        installed.append(name)
        counter.look(progress)
    lines = capsys.readouterr().err.splitlines()
    assert lines[0] == "Fetching packages: 10, p-9"
    assert lines[-1] == "Installing packages: 120 of 128"
    assert len(lines) == 24


# ---------------------------------------------------------------- the commands' own words


def test_help_and_wrong_words_answer_before_any_environment_exists(tmp_path, wheels):
    root = tiny_project(tmp_path / "kit", wheels)
    env = offline(wheels)
    shown = start(root, env, "--help")
    assert shown.returncode == 0 and "--department DIR" in shown.stdout
    assert start(root, env, "--help", command="tests").returncode == 0
    for words in (["--nonsense"], ["--port", "70000"], ["--port", "x"]):
        assert start(root, env, *words).returncode == 2
    refused = start(root, env, "--department", "nowhere", cwd=tmp_path)
    assert str(tmp_path / "nowhere") in sentence_of(refused)
    assert not (root / ".venv").exists()


def test_lessons_hands_on_every_option_with_absolute_folders(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    words = "--no-browser --port 8899 --department d --member 0042 --work w".split()
    assert lessons_main.handover(lessons_main.options(words)) == [
        "-m", "lessonkit.start", "--no-browser", "--port", "8899",
        "--department", str(tmp_path / "d"), "--member=0042", "--work", str(tmp_path / "w"),
    ]  # fmt: skip
    assert lessons_main.handover(lessons_main.options([])) == ["-m", "lessonkit.start"]


@pytest.fixture
def suite(tmp_path, monkeypatch):
    """A project with a few test files and notebooks."""
    for path in (
        "tests/test_flow.py", "lessons/03_reach.ipynb", "lessons/04_hoses.ipynb",
        "source_assignments/pump/first.ipynb",
    ):  # fmt: skip
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).write_text("")
    monkeypatch.setattr(tests_main, "ROOT", str(tmp_path))
    return tmp_path


@pytest.mark.parametrize(
    ("names", "arguments", "unknown"),
    [
        (
            [],
            "--nbval-lax tests lessons/03_reach.ipynb lessons/04_hoses.ipynb "
            "source_assignments/pump/first.ipynb",
            [],
        ),
        (["flow"], "tests/test_flow.py", []),
        (["03"], "--nbval-lax lessons/03_reach.ipynb", []),
        (["3"], "--nbval-lax lessons/03_reach.ipynb", []),
        (["04_hoses", "flow"], "--nbval-lax lessons/04_hoses.ipynb tests/test_flow.py", []),
        (["pump"], "--nbval-lax source_assignments/pump/first.ipynb", []),
        (["nozzle"], "tests -k (nozzle)", ["nozzle"]),
        (["flow", "nozzle"], "tests/test_flow.py -k (nozzle)", ["nozzle"]),
    ],
    ids=str,
)
def test_names_select_a_part(suite, names, arguments, unknown):
    assert tests_main.selection(names) == (arguments.split(), unknown)


def test_words_for_pytest_are_left_alone():
    words = ["flow", "-x", "-k", "reach", "--maxfail=2", "03", "--", "-q", "x"]
    assert tests_main.split(words) == (
        ["flow", "03"], ["-x", "-k", "reach", "--maxfail=2", "-q", "x"],
    )  # fmt: skip


@pytest.mark.parametrize("one", ["-n0", "-n 0", "--numprocesses=0"])
def test_whole_suite_in_one_process_where_that_is_asked(suite, monkeypatch, one):
    """The last word on the number of processes is the one given."""
    monkeypatch.chdir(suite)
    monkeypatch.setattr(bootstrap, "prepare", lambda kind: None)
    monkeypatch.setattr(tests_main.os, "cpu_count", lambda: 2)
    ran = []
    monkeypatch.setattr(bootstrap, "run", ran.extend)
    monkeypatch.setattr(bootstrap, "call", lambda command: 0)
    with pytest.raises(SystemExit):
        tests_main.run_tests(one.split())
    numbers = [n for n, word in enumerate(ran) if word.startswith(("-n", "--num")) and "val" not in word]  # fmt: skip
    assert ran[numbers[-1] :] == one.split() and ran[numbers[0] + 1] == "2"


@pytest.mark.parametrize(("status", "ends", "told"), [(5, 2, True), (1, 1, False), (0, 0, False)])
def test_a_word_that_selects_nothing_lists_the_names(
    suite, monkeypatch, capsys, status, ends, told
):
    monkeypatch.chdir(suite)
    monkeypatch.setattr(bootstrap, "prepare", lambda kind: None)
    monkeypatch.setattr(bootstrap, "call", lambda command: status)
    with pytest.raises(SystemExit) as stopped:
        tests_main.run_tests(["nozzle"])
    assert stopped.value.code == ends
    said = capsys.readouterr().err
    assert ("03_reach" in said and "flow" in said and "pump" in said) == told


@pytest.mark.parametrize(
    "broken", [None, "ruff check", "gradekit.notebooks check", "lessonkit.frame"]
)
def test_lint_runs_everything_and_fails_if_one_fails(suite, monkeypatch, capsys, broken):
    monkeypatch.chdir(suite)
    ran = []

    def call(arguments):
        ran.append(" ".join(arguments[1:]))
        return 1 if ran[-1] == broken else 0

    monkeypatch.setattr(bootstrap, "prepare", lambda kind: None)
    monkeypatch.setattr(bootstrap, "call", call)
    with pytest.raises(SystemExit) as stopped:
        tests_main.lint()
    assert ran == [
        "ruff check",
        "ruff format --check",
        "gradekit.notebooks check",
        "lessonkit.frame",
    ]
    assert stopped.value.code == (1 if broken else 0)
    assert capsys.readouterr().out.count("FAILED") == (1 if broken else 0)
