"""Hostile and broken notebooks, more than sixty kinds, made from a released one.

Each of `CODE` stands in a code cell that is really run. Each of `FILES` is a file as it may come
in. Both keep to bounds: nothing here harms a machine on which nothing holds it back, but for
what the learner's own notebook could do to its own folder.
"""

import functools
import io
import json
import zipfile

# What a cell does, and whether the cells behind it still run.
GOES_ON, ENDED = True, False

CODE = {
    "endless-loop": ("while True: pass", GOES_ON),
    "caught-interrupt": (
        "import signal\n"
        "signal.signal(signal.SIGALRM, signal.SIG_IGN)\n"
        "signal.signal(signal.SIGINT, signal.SIG_IGN)\n"
        "while True:\n"
        "    try:\n"
        "        while True: pass\n"
        "    except BaseException: pass",
        ENDED,
    ),
    "memory-hog": ("hog = []\nwhile True: hog.append(bytearray(64 * 1024 * 1024))", GOES_ON),
    "fork-storm": (
        "import os, time\n"
        "children = 0\n"
        "for _ in range(300):\n"
        "    try:\n"
        "        if os.fork() == 0: time.sleep(600); os._exit(0)\n"
        "        children += 1\n"
        "    except OSError: break\n"
        "print('children', children)",
        GOES_ON,
    ),
    "stays-behind": (
        "import os, time\n"
        "if os.fork() == 0:\n"
        "    os.setsid()\n"
        "    if os.fork() == 0: time.sleep(600)\n"
        "    os._exit(0)",
        GOES_ON,
    ),
    "much-output": ("for _ in range(100): print('x' * 1_000_000)", GOES_ON),
    "many-lines": ("for n in range(300_000): print(n)", GOES_ON),
    "raw-channel": (
        "import os\n"
        "for number in range(3, 64):\n"
        "    try:\n"
        '        os.write(number, b\'{"cell": 1, "outputs": []}\\n\' * 50)\n'
        "    except OSError: pass",
        ENDED,
    ),
    "floods-channel": (
        "import os\n"
        "while True:\n"
        "    for number in range(3, 8):\n"
        "        try: os.write(number, b'y' * 1_000_000)\n"
        "        except OSError: pass",
        ENDED,
    ),
    "closes-channel": ("import os; os.closerange(3, 256)", ENDED),
    "deletes-its-folder": (
        "import os, shutil\nshutil.rmtree(os.getcwd(), ignore_errors=True)\n1 / 0",
        GOES_ON,
    ),
    "opens-a-socket": (
        "import socket\n"
        "tried = []\n"
        "for address in PLACES:\n"
        "    try:\n"
        "        socket.create_connection(address, timeout=2).sendall(b'was here')\n"
        "        tried.append(address)\n"
        "    except OSError: pass\n"
        "print('reached', tried)",
        GOES_ON,
    ),
    "reads-the-class": (
        "import os\n"
        "seen = []\n"
        "for place in SECRETS:\n"
        "    try: seen.append(open(place, 'rb').read(40))\n"
        "    except OSError: pass\n"
        "    try: seen.append(os.listdir(place))\n"
        "    except OSError: pass\n"
        "print('seen', seen)",
        GOES_ON,
    ),
    "looks-for-the-class": (
        "import os, sys\n"
        "found, python = [], ('/proc', '/usr', '/dev', sys.prefix, sys.base_prefix)\n"
        "for folder, inner, files in os.walk('/'):\n"
        "    inner[:] = [i for i in inner if not os.path.join(folder, i).startswith(python)]\n"
        "    found += [os.path.join(folder, f) for f in files\n"
        "              if f in ('gradebook.db', 'register.db', 'roster.csv', 'hand-in.txt')\n"
        "              and 'larkmoor' not in folder]\n"
        "print('found', found)",
        GOES_ON,
    ),
    "writes-the-gradebook": (
        "import sqlite3\n"
        "db = sqlite3.connect(SECRETS[0])\n"
        "db.execute('update grade set manual_score = 2')\n"
        "db.commit()",
        GOES_ON,
    ),
    "writes-the-kit": (
        "import gradekit.run.cells as cells, gradekit.run.steps as steps\n"
        "for module in (cells, steps):\n"
        "    try: open(module.__file__, 'a').write('\\n')\n"
        "    except OSError: print('refused')",
        GOES_ON,
    ),
    "kills-its-parent": (
        "import os, signal\n"
        "for number in [os.getppid(), *range(1, 400)]:\n"
        "    if number not in (0, os.getpid()):\n"
        "        try: os.kill(number, signal.SIGKILL)\n"
        "        except OSError: pass",
        GOES_ON,
    ),
    "kills-everything": ("import os, signal\nos.kill(-1, signal.SIGKILL)", GOES_ON),
    "ends-at-once": ("import os; os._exit(0)", ENDED),
    "system-exit": ("raise SystemExit(0)", GOES_ON),
    "stack-overflow": (
        "import sys, threading\n"
        "sys.setrecursionlimit(10**8)\n"
        "def deeper(f): return f(f)\n"
        "import ctypes\n"
        "ctypes.string_at(0)",
        ENDED,
    ),
    "deep-recursion": ("def deeper(): return deeper()\ndeeper()", GOES_ON),
    "huge-file": (
        "with open('big', 'wb') as big:\n    while True: big.write(b'x' * 1_000_000)",
        GOES_ON,
    ),
    "many-files": (
        "for n in range(200):\n    open(f'f{n}', 'wb').write(b'x' * 1_000_000)",
        GOES_ON,
    ),
    "new-namespaces": (
        "import ctypes\n"
        "c = ctypes.CDLL(None)\n"
        "print('mounted', c.mount(b'none', b'/usr', b'tmpfs', 0, None))",
        GOES_ON,
    ),
    "waits-for-input": ("input()", GOES_ON),
    "stops-itself": ("import os, signal\nos.kill(os.getpid(), signal.SIGSTOP)", ENDED),
    "replaces-itself": (
        "import os, sys\nos.execv(sys.executable, ['python', '-c', 'import time; time.sleep(600)'])",
        ENDED,
    ),
    "endless-threads": (
        "import threading, time\n"
        "for _ in range(10):\n"
        "    threading.Thread(target=lambda: time.sleep(600)).start()",
        GOES_ON,
    ),
    "hostile-error": (
        "class Odd(Exception):\n"
        "    def __str__(self): raise SystemExit('no words')\n"
        "    __repr__ = __str__\n"
        "raise Odd",
        GOES_ON,
    ),
    "endless-repr": (
        "class Odd:\n    def __repr__(self):\n        while True: pass\nOdd()",
        GOES_ON,
    ),
    "deep-output": (
        "from IPython.display import display\n"
        "deep = []\n"
        "for _ in range(100_000): deep = [deep]\n"
        "display({'application/json': deep}, raw=True)\n"
        "display({'application/json': [float('nan'), float('inf')]}, raw=True)",
        GOES_ON,
    ),
    "half-letters": ("print('\\ud800'); '\\udfff'", GOES_ON),
    "many-displays": (
        "from IPython.display import display, HTML\n"
        "for _ in range(20_000): display(HTML('<script>x</script>'))",
        GOES_ON,
    ),
    "patches-the-checker": (
        "import gradekit, gradekit.notebook, gradekit.questions.paper as paper\n"
        "gradekit.check = gradekit.notebook.check_in_notebook = lambda *a: 2.0\n"
        "paper.Paper.judge = lambda *a, **k: 2.0\n"
        "check = lambda *a: 2.0\n"
        "get_ipython().input_transformers_post.append(lambda lines: ['2.0\\n'])",
        GOES_ON,
    ),
    "replaces-run-cell": (
        "shell = get_ipython()\n"
        "type(shell).run_cell = lambda *a, **k: None\n"
        "import gradekit.run.cells as cells\n"
        "cells.KEPT.outputs.append({'output_type': 'execute_result', 'data': {'text/plain': '2.0'},"
        " 'metadata': {}, 'execution_count': 1})",
        GOES_ON,
    ),
    "odd-outputs": (
        "import gradekit.run.cells as cells\n"
        "cells.KEPT.outputs += [None, 3, {}, {'output_type': 'x'}, {'output_type': 'stream'},\n"
        "    {'output_type': 'execute_result', 'data': 5, 'execution_count': 'x'},\n"
        "    {'output_type': 'execute_result', 'data': {'text/plain': 2.0}, 'execution_count': 1},\n"
        "    {'output_type': 'display_data', 'data': {'text/html': '\\ud800'}, 'metadata': {}}]",
        GOES_ON,
    ),
}


@functools.cache
def zip_bomb():
    """A small zip with a notebook that unpacks to 50 MB."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("nozzle-reaction.ipynb", b" " * 50_000_000)
    return held.getvalue()


@functools.cache
def lying_zip_bomb():
    """The same, but its table of contents says that the file is small."""
    raw = bytearray(zip_bomb())
    size = (50_000_000).to_bytes(4, "little")
    small = (1000).to_bytes(4, "little")
    return bytes(raw.replace(size, small))


def climbing_zip(text):
    """Paths that climb out of the folder that they are unpacked to."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("../../../../nozzle-reaction.ipynb", text)
        archive.writestr("/etc/nozzle-reaction.ipynb", text)
    return held.getvalue()


def link_in_zip():
    """An entry that says of itself that it is a link to a file of the machine that unpacks it."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        link = zipfile.ZipInfo("nozzle-reaction.ipynb")
        link.create_system, link.external_attr = 3, 0o120777 << 16
        archive.writestr(link, "/etc/passwd")
    return held.getvalue()


def two_in_a_zip(text):
    """A damaged notebook and a whole one, both called the same, in one folder."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as archive:
        archive.writestr("nozzle-reaction.ipynb", text[:300])
        archive.writestr("nozzle-reaction (1).ipynb", text)
    return held.getvalue()


def _changed(text, change):
    """The notebook once more, with something done to it."""
    data = json.loads(text)
    change(data)
    return json.dumps(data).encode()


def _long_answer(data):
    for cell in data["cells"][-1:]:
        name = cell["source"].partition("=")[0].strip() or "x"
        cell["source"] = f'{name} = """' + "x " * 2_200_000 + '"""'


def _many_cells(data):
    more = {"cell_type": "code", "metadata": {}, "outputs": [], "execution_count": None}
    data["cells"] += [{**more, "id": str(n), "source": "1 / 0"} for n in range(20_000)]


def _nested(data):
    deep = {}
    for _ in range(300):
        deep = {"metadata": deep}
    data["metadata"]["deep"] = deep


def _odd_numbers(data):
    data["metadata"] |= {"a": float("nan"), "b": float("inf")}
    for cell in data["cells"]:
        cell["execution_count"] = float("-inf")


def _half_letters(data):
    data["metadata"]["kernelspec"] = {"name": "\ud800", "display_name": "\udfff"}
    shown = {"text/plain": "Member 1, variant \ud800 \x1b[2J"}
    for cell in data["cells"]:
        cell["id"] = "\ud800"
        cell["outputs"] = [{"output_type": "execute_result", "data": shown}]


def _odd_ids(data):
    for number, cell in enumerate(data["cells"]):
        cell["id"] = "../../../etc/passwd" if number % 2 else "x" * 10_000


def _shell_kernel(data):
    odd = "; touch was-here #$(touch was-here)`touch was-here`"
    data["metadata"]["kernelspec"] = {"name": odd, "display_name": odd, "language": odd}
    data["metadata"]["language_info"] = {"name": odd, "file_extension": odd}


def _ids_of_others(data):
    """Each answer cell says that it is the answer to the question behind it."""
    answers = [c for c in data["cells"] if c["metadata"].get("nbgrader", {}).get("solution")]
    ids = [cell["metadata"]["nbgrader"]["grade_id"] for cell in answers]
    for cell, other in zip(answers, ids[1:], strict=False):
        cell["metadata"]["nbgrader"]["grade_id"] = other


def _odd_cells(data):
    odd = [None, 3, "cell", [], {"source": 5}, {"source": [1, {}], "metadata": 7}]
    data["cells"] += [*odd, {"source": {}, "metadata": {"nbgrader": {"grade_id": []}}}]


def held_back(text):
    """More kinds, in the same form as `files`: each was thought of after the run was written."""
    name, whole = "nozzle-reaction.ipynb", text.encode()
    deep = b'{"metadata": ' + b'{"a": ' * 100_000 + b"1" + b"}" * 100_000 + b"," + whole[1:]
    picture = whole.rstrip()[:-1] + b', "attachments": "' + b"A" * 30_000_000 + b'"}'
    return {
        "long-answer": (name, _changed(text, _long_answer), True),
        "many-cells": (name, _changed(text, _many_cells), True),
        "nested-metadata": (name, _changed(text, _nested), True),
        "endlessly-nested": (name, deep, False),
        "large-attachment": (name, picture, False),
        "odd-numbers": (name, _changed(text, _odd_numbers), True),
        "keys-twice": (name, b'{"cells": [], "metadata": 5, ' + whole[1:], True),
        "half-letters": (name, _changed(text, _half_letters), True),
        "odd-ids": (name, _changed(text, _odd_ids), True),
        "shell-kernel": (name, _changed(text, _shell_kernel), True),
        "ids-of-others": (name, _changed(text, _ids_of_others), True),
        "odd-cells": (name, _changed(text, _odd_cells), True),
        "ends-in-zeros": (name, whole + b"\x00" * 10, False),
        "link-in-zip": ("nozzle-reaction.zip", link_in_zip(), False),
        "two-in-a-zip": ("nozzle-reaction.zip", two_in_a_zip(text), True),
    }


def files(text):
    """{name: (file name, bytes, whether an answer can be read from it)} for one honest notebook."""
    whole = text.encode()
    doubled = json.loads(text)
    doubled["cells"] += doubled["cells"]
    nameless = json.loads(text)
    for cell in nameless["cells"]:
        cell["metadata"] = {}
        cell.pop("id", None)
    kernel = json.loads(text)
    kernel["metadata"]["kernelspec"] = {"name": "no-such-kernel", "display_name": "x"}
    old = json.loads(text)
    old.update(nbformat=3, nbformat_minor=0)
    name = "nozzle-reaction.ipynb"
    return {
        "empty": (name, b"", False),
        "truncated": (name, whole[: len(whole) // 2], False),
        "word-processor": (name, b"PK\x03\x04" + b"\x00" * 60, False),
        "saved-conflict": (
            name,
            b"<<<<<<< mine\n" + whole + b"\n=======\n" + whole + b"\n>>>>>>> theirs\n",
            True,
        ),
        "trailing-comma": (name, whole.replace(b"}]", b"},]").replace(b"}\n]", b"},\n]"), True),
        "wrong-encoding": (name, text.encode("utf-16"), True),
        "name-with-newline": ("nozzle-reaction\nfinal.ipynb", whole, True),
        "huge": (name, b" " * 6_000_000, False),
        "doubled": (name, json.dumps(doubled).encode(), True),
        "nameless": (name, json.dumps(nameless).encode(), True),
        "wrong-kernel": (name, json.dumps(kernel).encode(), True),
        "old-format-number": (name, json.dumps(old).encode(), True),
        "zip-bomb": ("nozzle-reaction.zip", zip_bomb(), False),
        "lying-zip-bomb": ("nozzle-reaction.zip", lying_zip_bomb(), False),
        "climbing-zip": ("nozzle-reaction.zip", climbing_zip(text), True),
        **held_back(text),
    }
