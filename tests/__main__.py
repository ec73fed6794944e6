"""`python3 tests`: prepares the environment if need be and runs the test suite or a part of it.

Standard library and Python 3.6 grammar only, for the same reason as in shared/bootstrap.py.
"""

import glob
import os
import shutil
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "shared"))

import bootstrap

ROOT = bootstrap.ROOT
USAGE = """\
usage: python3 tests                 the whole suite
       python3 tests NAME...         a part: a test file (tests/test_NAME.py), a lesson by its
                                     number or name, a source assignment by its name; any other
                                     word selects tests by name, as pytest's -k does
       python3 tests fix             format the code and the notebooks
       python3 tests lint            check the format of the code and the notebooks
       python3 tests lock            make the lists of packages in shared/lock anew (needs uv)

Words that begin with '-' go to pytest as they are, and so does everything after a lone '--'."""

# pytest's own options that take the following word, among those in daily use.
WITH_VALUE = ("-k", "-m", "-n", "-o", "-p", "-W")
NOTHING_COLLECTED = 5
# The whole suite, file by file in two processes: half of its time is waiting for kernels and pages.
WHOLE = ["-n", "2", "--dist", "loadfile"]
# jsonschema's check of international addresses compiles a grammar at every import of nbformat, over
# a second for each process; nothing here asks for that check, and jsonschema does without it.
UNUSED = "--no-emit-package rfc3987-syntax --no-emit-package lark"
COMPILE = (
    f"--universal --python-version 3.11 --generate-hashes --no-header --no-annotate {UNUSED} -q -o"
)


def test_files():
    """Test files by subject."""
    paths = sorted(glob.glob(os.path.join(glob.escape(ROOT), "tests", "test_*.py")))
    return {os.path.basename(path)[len("test_") : -len(".py")]: path for path in paths}


def notebooks(*pattern):
    """Notebooks that match a pattern below the root."""
    return sorted(glob.glob(os.path.join(glob.escape(ROOT), *pattern)))


def lessons():
    """The lesson notebooks."""
    return notebooks("lessons", "*.ipynb")


def assignments():
    """The source assignments' notebooks."""
    return notebooks("source_assignments", "*", "*.ipynb")


def stem(path):
    """A file's name without its ending."""
    return os.path.splitext(os.path.basename(path))[0]


def find(name):
    """The files that a NAME means; none if it is no file's name."""
    subjects = test_files()
    if name in subjects:
        return [subjects[name]]
    found = [path for path in lessons() if stem(path) == name]
    if name.isdigit():
        found += [path for path in lessons() if stem(path).split("_")[0] == name.zfill(2)]
    for path in assignments():
        if name in (stem(path), os.path.basename(os.path.dirname(path))):
            found.append(path)
    return found


def names():
    """The names there are, to be shown when one is not known."""
    known = ["test files: " + ", ".join(test_files())]
    known.append("lessons: " + ", ".join(stem(path) for path in lessons()))
    folders = {os.path.basename(os.path.dirname(path)) for path in assignments()}
    known.append("source assignments: " + ", ".join(sorted(folders)))
    return "\n".join("  " + line for line in known if not line.endswith(": "))


def split(words):
    """Separate names from the words that are pytest's."""
    chosen, rest = [], []
    words = list(words)
    while words:
        word = words.pop(0)
        if word == "--":
            return chosen, rest + words
        if word.startswith("-"):
            rest.append(word)
            if word in WITH_VALUE and words:
                rest.append(words.pop(0))
        else:
            chosen.append(word)
    return chosen, rest


def selection(chosen):
    """pytest's arguments for the names, and the words among them that name no file."""
    files, unknown = [], []
    for name in chosen:
        found = find(name)
        files += [path for path in found if path not in files]
        if not found:
            unknown.append(name)
    if not chosen:
        files = ["tests", *lessons(), *assignments()]
    elif not files:
        files = ["tests"]
    arguments = [os.path.relpath(path, ROOT) if os.path.isabs(path) else path for path in files]
    if any(path.endswith(".ipynb") for path in files):
        arguments.insert(0, "--nbval-lax")
    if unknown:
        arguments += ["-k", " or ".join(f"({word})" for word in unknown)]
    return arguments, unknown


def run_tests(words):
    """Hand over to pytest; come back only to list the names when a word selected nothing."""
    chosen, rest = split(words)
    arguments, unknown = selection(chosen)
    bootstrap.prepare("tests")
    os.chdir(ROOT)
    # Before the words given, so that a -n0 among them has the last say.
    whole = WHOLE if not chosen and (os.cpu_count() or 1) > 1 else []
    command = ["-m", "pytest", *arguments, *whole, *rest]
    if not unknown:
        bootstrap.run(command)
    status = bootstrap.call(command)
    if status == NOTHING_COLLECTED:
        wanted = " or ".join(unknown)
        bootstrap.stop(f"No test is called {wanted}. There are:\n{names()}")
    sys.exit(status)


def each(commands):
    """Run every command, say how each ended, and fail if any failed."""
    bootstrap.prepare("tests")
    os.chdir(ROOT)
    results = [(words, bootstrap.call(["-m", *words.split()])) for words in commands]
    for words, status in results:
        result = "passed" if status == 0 else f"FAILED ({status})"
        print(f"{words:32} {result}")
    sys.exit(1 if any(status for _, status in results) else 0)


def fix():
    """Bring the code and the notebooks into their set form."""
    each(["ruff format", "ruff check --fix", "gradekit.notebooks fix"])


def lint():
    """Check the code and the notebooks without changing them."""
    each(["ruff check", "ruff format --check", "gradekit.notebooks check", "lessonkit.frame"])


def lock():
    """Make both lists of packages anew."""
    uv = shutil.which("uv")
    if uv is None:
        bootstrap.stop("The lists of packages are made with uv: install uv and start again.")
    tests, lessons = "shared/lock/tests.txt", "shared/lock/lessons.txt"
    for extra in (
        ["--extra", "tests", *COMPILE.split(), tests],
        ["-c", tests, *COMPILE.split(), lessons],
    ):
        command = [uv, "pip", "compile", "pyproject.toml", "--extra", "build", *extra]
        status = subprocess.call(command, cwd=ROOT)
        if status != 0:
            bootstrap.stop(f"uv could not make {extra[-1]}; see what it says above.")
        print(f"made {extra[-1]}")


def main():
    """Choose what to do."""
    bootstrap.check_python()
    words = sys.argv[1:]
    if words in (["-h"], ["--help"]):
        print(USAGE)
    elif words in (["fix"], ["lint"], ["lock"]):
        {"fix": fix, "lint": lint, "lock": lock}[words[0]]()
    else:
        run_tests(words)


if __name__ == "__main__":
    main()
