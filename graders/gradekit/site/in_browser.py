"""In the browser's Python: the member's files between the page's storage and the study folder.

The page lays in what is kept before a lesson runs, and asks after each press of a button what has
changed. Nothing else of `gradekit.site` is in the browser.
"""

import json
import os
from pathlib import Path

CARRIED = (".json", ".html")
_seen: dict = {}


def study():
    """The study folder, made where it is missing."""
    folder = Path(os.environ["AERIALSTREAM_STUDY"])
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def lay_in(files):
    """Write what is kept, {path: text}, into the study folder."""
    folder = study()
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        _seen[name] = text


def changed():
    """{path: text} of what was written since it was last asked."""
    folder, news = study(), {}
    for path in sorted(folder.rglob("*")):
        if path.suffix not in CARRIED or path.name.startswith(".") or not path.is_file():
            continue
        name = path.relative_to(folder).as_posix()
        text = path.read_text(encoding="utf-8")
        if _seen.get(name) != text:
            _seen[name] = news[name] = text
    return news


def tell():
    """Print what has changed, as one line of JSON that the page reads."""
    print(json.dumps(changed(), ensure_ascii=False))
