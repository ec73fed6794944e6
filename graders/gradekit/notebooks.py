"""Our own notebooks in their one canonical form: `python -m gradekit.notebooks fix|check`.

`python -m gradekit.notebooks make NAME` writes an assignment's notebook from its paper.

Sorted keys, one kernel name, no run-time metadata; outputs only in cells tagged `example`
(plain text and HTML with a normalised count); cell ids chosen by hand, in assignments equal
to the nbgrader id.
"""

import json
import sys
from collections import Counter
from pathlib import Path

import nbformat

ROOT = Path(__file__).resolve().parents[2]
KERNEL = {"display_name": "Python 3", "language": "python", "name": "python3"}
MOST_VISIBLE_LINES = 6
MOST_WORDS = 120


def our_notebooks(root=ROOT):
    """Paths of the lessons and the instructors' assignment notebooks."""
    return sorted([*root.glob("lessons/*.ipynb"), *root.glob("source_assignments/*/*.ipynb")])


def normalised(text):
    """A notebook's text in its canonical form."""
    nb = nbformat.reads(text, as_version=4)
    nb.metadata = {
        "aerialstream": {"run_on_open": True},
        "kernelspec": KERNEL,
        "language_info": {"name": "python"},
    }
    nb.nbformat, nb.nbformat_minor = 4, 5
    for cell in nb.cells:
        cell.metadata.pop("execution", None)
        cell.metadata.pop("trusted", None)
        cell.pop("attachments", None)
        if cell.cell_type != "code":
            continue
        example = "example" in cell.metadata.get("tags", [])
        cell.execution_count = 1 if example and cell.outputs else None
        if not example:
            cell.outputs = []
        for output in cell.outputs:
            if output.output_type == "execute_result":
                output.execution_count = 1
    nbformat.validate(nb)
    return json.dumps(nb, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def faults(path):
    """What breaks the notebook rules, one sentence each."""
    text = path.read_text(encoding="utf-8")
    nb = nbformat.reads(text, as_version=4)
    assignment = path.parent.parent.name == "source_assignments"
    # nbformat gives a doubled id a new one as it reads, so the ids are counted in the file itself.
    ids = Counter(cell.get("id") for cell in json.loads(text)["cells"])
    found = [f"cell id {name} is there {n} times" for name, n in ids.items() if n > 1]
    for cell in nb.cells:
        marks = cell.metadata.get("nbgrader")
        if assignment and marks and marks.grade_id != cell.id:
            found.append(f"{cell.id}: the nbgrader id is {marks.grade_id}")
        lines = cell.source.count("\n") + 1
        if cell.cell_type == "code" and not assignment:
            if lines > MOST_VISIBLE_LINES:
                found.append(f"{cell.id}: {lines} lines of code, at most {MOST_VISIBLE_LINES}")
            if any(
                line.lstrip().startswith(("def ", "class ")) for line in cell.source.split("\n")
            ):
                found.append(f"{cell.id}: defines code of its own")
        if cell.cell_type == "markdown" and len(cell.source.split()) > MOST_WORDS:
            found.append(f"{cell.id}: {len(cell.source.split())} words, at most {MOST_WORDS}")
    if text != normalised(text):
        found.append("not in canonical form: run `python3 tests fix`")
    return found


def make(name, root=ROOT):
    """Write the notebook of a paper from its questions; gives its path."""
    from gradekit.assembly import assembled
    from gradekit.questions import paper_named

    path = root / "source_assignments" / name / f"{name}.ipynb"
    text = normalised(assembled(paper_named(name)))
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")
    return path


def main(arguments):
    """`fix` writes the canonical form; `check` names every fault and exits 1 if there is one."""
    if len(arguments) == 2 and arguments[0] == "make":
        print(f"written {make(arguments[1]).relative_to(ROOT)}")
        return 0
    if arguments not in (["fix"], ["check"]):
        print("usage: python -m gradekit.notebooks fix|check|make NAME")
        return 2
    bad = 0
    for path in our_notebooks():
        if arguments == ["fix"]:
            text = path.read_text(encoding="utf-8")
            if normalised(text) != text:
                path.write_text(normalised(text), encoding="utf-8", newline="\n")
                print(f"normalised {path.relative_to(ROOT)}")
            continue
        for fault in faults(path):
            print(f"{path.relative_to(ROOT)}: {fault}")
            bad += 1
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
