"""The kit's own wheel for the browser: what lessons and self-checks need, and nothing else.

Left out: the worked answers, the marking guides of written questions, everything that grades,
collects, keeps records or reads rosters, and the instructor's pages.
"""

import ast
import hashlib
import zipfile
from pathlib import Path

import aerialstream
import gradekit
import lessonkit

VERSION = aerialstream.__version__
DEPARTMENT = "aerialstream_department"
# Of gradekit only what a check cell runs: this module, the papers, and what these import.
CHECKS, PAPERS = "notebook", "papers"
# Whatever imports one of these would bring answers, marks or names into the browser.
NEVER = (
    "solutions", "course", "classroom", "register", "roster", "autograde", "merge", "records_cli",
    "completion", "release", "assembly", "trial", "demo", "backup", "exports", "signoffs", "cli",
)  # fmt: skip
IN_BROWSER = "gradekit/site/in_browser.py"
NOT_OF_LESSONKIT = ("lab", "start.py", "prompt_server.py", "teach.py", "frame.py", "reading.py")
KINDS = (".py", ".toml", ".svg")
EARLIEST = (1980, 1, 1, 0, 0, 0)  # what zip can say; no time of making in it


def _files(package, wanted=None, unwanted=()):
    """{path in the wheel: bytes} of a package."""
    folder = Path(package.__file__).parent
    found = {}
    for path in sorted(folder.rglob("*")):
        inner = path.relative_to(folder)
        first, whole = inner.parts[0], inner.as_posix()
        if path.suffix not in KINDS or not path.is_file() or "__pycache__" in inner.parts:
            continue
        if (wanted and first not in wanted) or first in unwanted or whole in unwanted:
            continue
        found[f"{folder.name}/{whole}"] = path.read_bytes()
    return found


def of_gradekit():
    """Names of the modules and packages of gradekit that a check needs, found by their imports.

    Fails when
      ValueError   one that may never be in a browser would come along
    """
    folder = Path(gradekit.__file__).parent
    wanted, found = [CHECKS, PAPERS], set()
    for name, source in _files(lessonkit, unwanted=NOT_OF_LESSONKIT).items():
        wanted += _imported(source.decode("utf-8")) if name.endswith(".py") else ()
    while wanted:
        name = wanted.pop()
        if name in found:
            continue
        if name in NEVER:
            raise ValueError(f"gradekit.{name} may not be in a browser, and a check imports it")
        found.add(name)
        inner = folder / name
        files = inner.rglob("*.py") if inner.is_dir() else [folder / f"{name}.py"]
        for path in files:
            wanted += _imported(path.read_text(encoding="utf-8"))
    return found


def _imported(source):
    """First names below gradekit that a source imports, at its top or within a function."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("gradekit."):
            yield node.module.split(".")[1]
        elif isinstance(node, ast.ImportFrom) and node.module == "gradekit":
            yield from (one.name for one in node.names if one.name != "check")
        elif isinstance(node, ast.Import):
            names = [one.name for one in node.names if one.name.startswith("gradekit.")]
            yield from (name.split(".")[1] for name in names)


def without_guides(source):
    """A paper's source with the marking guides of its written questions emptied."""
    text = source.decode("utf-8")
    guides = [
        keyword.value
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "WrittenQuestion"
        for keyword in node.keywords
        if keyword.arg == "guide"
    ]
    lines = text.splitlines(keepends=True)
    # ast counts columns in bytes of UTF-8.
    raw = [line.encode("utf-8") for line in lines]
    for guide in sorted(guides, key=lambda g: -g.lineno):
        first, last = guide.lineno - 1, guide.end_lineno - 1
        rest = raw[last][guide.end_col_offset :]
        raw[first : last + 1] = [raw[first][: guide.col_offset] + b"()" + rest]
    return b"".join(raw)


def department_files(folder):
    """{path in the wheel: bytes} of a department's data; no roster, nothing but what is read."""
    folder = Path(folder)
    return {
        f"{DEPARTMENT}/{path.relative_to(folder).as_posix()}": path.read_bytes()
        for path in sorted(folder.rglob("*.toml"))
        if not any(part.startswith(".") for part in path.relative_to(folder).parts)
    }


def contents(department):
    """{path in the wheel: bytes} of the whole wheel, without its own list."""
    files = _files(aerialstream)
    files.update(_files(lessonkit, unwanted=NOT_OF_LESSONKIT))
    ours = {"__init__.py", *(f"{name}.py" for name in of_gradekit()), *of_gradekit()}
    files.update(_files(gradekit, wanted=ours))
    files = {name: data for name, data in files.items() if not _is_for_instructors(name)}
    for name in files:
        if name.startswith("gradekit/papers/"):
            files[name] = without_guides(files[name])
    here = Path(__file__).with_name("in_browser.py")
    files["gradekit/site/__init__.py"] = b""
    files[IN_BROWSER] = here.read_bytes()
    files.update(department_files(department))
    return files


def _is_for_instructors(name):
    return name.startswith("lessonkit/content/teach_")


def write(folder, department):
    """Write the wheel into a folder; the same input gives the same bytes. Gives its path.

    A digest of what is in it is part of its version, so that no cache takes an old one for new.
    """
    files = contents(department)
    digest = hashlib.sha256()
    for name, data in sorted(files.items()):
        digest.update(f"{name}\n{len(data)}\n".encode() + data)
    version = f"{VERSION}+{digest.hexdigest()[:12]}"
    return _wheel(folder, "aerialstream", version, files)


def write_stand_in(folder, name, files):
    """A wheel of this name with little or nothing, {path: text}, in it."""
    return _wheel(folder, name, "0", {path: text.encode() for path, text in files.items()})


def _wheel(folder, name, version, files):
    info = f"{name}-{version}.dist-info"
    about = f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n"
    made = "Wheel-Version: 1.0\nGenerator: aerialstream\nRoot-Is-Purelib: true\nTag: py3-none-any\n"
    files = {**files, f"{info}/METADATA": about.encode(), f"{info}/WHEEL": made.encode()}
    files[f"{info}/RECORD"] = "".join(f"{one},,\n" for one in sorted(files)).encode()
    path = folder / f"{name}-{version}-py3-none-any.whl"
    write_zip(path, files)
    return path


def write_zip(path, files):
    """A zip of {name: bytes}, sorted and without times."""
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in sorted(files.items()):
            entry = zipfile.ZipInfo(name, EARLIEST)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data, compresslevel=9)
