"""Wheels with their sources compiled already: the first load of a lesson takes two seconds less.

Only the interpreter of the browser can do that, and Node can run it. Where there is no Node the
wheels stay as they are, and the site works all the same.
"""

import hashlib
import shutil
import subprocess
import tempfile
from pathlib import Path

SCRIPT = Path(__file__).parent / "static" / "compile.mjs"
SECONDS = 300
MOST_KEPT = 60  # of the kit's own wheel there is a new one with every change


def compile_wheels(folder, store):
    """Compile the wheels in a folder in place; gives whether that could be done.

    What was compiled before is taken from `store`, by the digest of wheel and interpreter.
    """
    node = shutil.which("node")
    store.mkdir(parents=True, exist_ok=True)
    interpreter = hashlib.sha256((folder / "pyodide.asm.wasm").read_bytes() + SCRIPT.read_bytes())
    wheels = {}
    for path in sorted(folder.glob("*.whl")):
        digest = hashlib.sha256(interpreter.digest() + path.read_bytes()).hexdigest()
        wheels[path] = store / f"{digest[:32]}.whl"
    missing = [path for path, kept in wheels.items() if not kept.is_file()]
    if missing and not (node and _compile(node, folder, {p: wheels[p] for p in missing})):
        return False
    for path, kept in wheels.items():
        shutil.copyfile(kept, path)
        kept.touch()
    for old in sorted(store.glob("*.whl"), key=lambda p: p.stat().st_mtime)[:-MOST_KEPT]:
        old.unlink()
    return True


def _compile(node, folder, wheels):
    """{wheel: where to put it}; whether Node did it."""
    with tempfile.TemporaryDirectory() as temporary:
        made = {path: Path(temporary) / path.name for path in wheels}
        files = [str(one) for pair in made.items() for one in pair]
        try:
            done = subprocess.run(
                [node, str(SCRIPT), str(folder), *files], capture_output=True, timeout=SECONDS
            )
        except (OSError, subprocess.TimeoutExpired):
            return False
        if done.returncode != 0 or not all(path.is_file() for path in made.values()):
            return False
        for path, kept in wheels.items():
            part = kept.with_suffix(".part")
            shutil.copyfile(made[path], part)
            part.replace(kept)
    return True
