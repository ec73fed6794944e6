"""Our own notebooks keep the rules, and the checker of the rules does find each fault."""

import ast
import json
import re

import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

from gradekit.assembly import assembled
from gradekit.notebooks import ROOT, faults, main, make, normalised, our_notebooks
from gradekit.questions import papers

OURS = our_notebooks()
ASSIGNMENTS = [path for path in OURS if path.parent.parent.name == "source_assignments"]
EACH = pytest.mark.parametrize("path", OURS, ids=lambda p: p.stem)
EACH_ASSIGNMENT = pytest.mark.parametrize("path", ASSIGNMENTS, ids=lambda p: p.stem)


def paper_of_notebook(path):
    """The paper that an assignment's notebook asks."""
    return papers()[path.stem]


def cells(path):
    return nbformat.read(path, as_version=4).cells


def test_our_notebooks_finds_lessons_and_assignments():
    """There is something to check in both rooms."""
    assert ASSIGNMENTS and len(OURS) > len(ASSIGNMENTS)
    assert all(path.is_relative_to(ROOT) for path in OURS)


@EACH
def test_notebook_keeps_the_rules(path):
    """Canonical form, unique ids, short cells, nothing defined in lessons."""
    assert faults(path) == []


@EACH
def test_notebook_has_no_address_and_no_local_path(path):
    """Nothing in it points off the machine or to somebody's disk."""
    text = path.read_text(encoding="utf-8")
    assert not re.search(r"https?://|/home/|/Users/|[A-Z]:\\\\", text)


@EACH
def test_notebook_outputs_only_in_examples(path):
    """Only cells tagged `example` hold outputs; assignments hold none."""
    for cell in cells(path):
        if cell.cell_type == "code" and "example" not in cell.metadata.get("tags", []):
            assert cell.outputs == [] and cell.execution_count is None, cell.id


@EACH_ASSIGNMENT
def test_assignment_has_no_widgets_and_no_outputs(path):
    """Answers live in the text of cells: grading runs the notebook anew."""
    data = json.loads(path.read_text(encoding="utf-8"))
    assert "widgets" not in data["metadata"]
    for cell in data["cells"]:
        source = "".join(cell["source"])
        assert not re.search(r"ipywidgets|lessonkit|interact\(|widget", source), cell["id"]
        assert cell.get("outputs", []) == []


@EACH_ASSIGNMENT
def test_assignment_answer_cells_first_line_sets_the_variable(path):
    """The released cell runs clean when blank, and gives its question's variable a text."""
    paper = paper_of_notebook(path)
    wanted = {f"{q.id}-answer": q.variable for q in paper.questions}
    wanted[f"{paper.name}-member"] = "member"
    seen = {}
    for cell in cells(path):
        marks = cell.metadata.nbgrader
        if not marks.solution:
            continue
        above = cell.source.partition("### BEGIN SOLUTION")[0]
        (statement,) = ast.parse(above).body
        assert above.splitlines()[0].startswith(f"{statement.targets[0].id} =")
        assert isinstance(statement.value.value, str) and not statement.value.value.strip()
        assert "### END SOLUTION" in cell.source
        seen[cell.id] = statement.targets[0].id
    assert seen == wanted


@EACH_ASSIGNMENT
def test_assignment_checks_are_locked_and_worth_what_the_paper_says(path):
    """Each question has its locked check with its points, and the check names its question."""
    by_id, paper = {c.id: c for c in cells(path)}, paper_of_notebook(path)
    for question in paper.auto_questions:
        check = by_id[f"{question.id}-check"]
        marks = check.metadata.nbgrader
        assert (marks.grade, marks.locked, marks.solution) == (True, True, False)
        assert marks.points == question.points
        assert check.source.splitlines()[-1] == f'check("{question.id}")'
        assert "import" in check.source.splitlines()[0]
    total = sum(c.metadata.nbgrader.get("points", 0) for c in by_id.values())
    assert total == sum(q.points for q in paper.questions)


@EACH_ASSIGNMENT
def test_assignment_is_what_its_paper_assembles(path):
    """Nothing in it was typed by hand: `python -m gradekit.notebooks make NAME` gives it anew."""
    assert path.read_text(encoding="utf-8") == normalised(assembled(paper_of_notebook(path)))


def test_make_writes_the_notebook_of_a_paper(tmp_path):
    """A fresh folder gets a notebook that keeps every rule."""
    path = make("nozzle-reaction", tmp_path)
    assert path == tmp_path / "source_assignments" / "nozzle-reaction" / "nozzle-reaction.ipynb"
    assert faults(path) == []


def test_papers_and_notebooks_are_the_same_ones():
    """Each paper has its notebook and each notebook its paper."""
    assert {path.stem for path in ASSIGNMENTS} == set(papers())


# --- the checker is checked -------------------------------------------------------------------


@pytest.fixture
def lesson(tmp_path):
    """Writes a made-up lesson in canonical form and gives its path."""

    def write(*made, canonical=True, folder="lessons", metadata=None):
        path = tmp_path / folder / "99_made_up.ipynb"
        path.parent.mkdir(parents=True)
        nb = new_notebook(cells=list(made), metadata=metadata or {})
        text = json.dumps(nb)
        path.write_text(normalised(text) if canonical else text, encoding="utf-8")
        return path

    return write


def code(source, name="c-1", **metadata):
    return new_code_cell(source, id=name, metadata=metadata)


def test_faults_sound_notebook_has_none(lesson):
    """A lesson that keeps the rules passes, at the very limits too."""
    words = new_markdown_cell("word " * 120, id="c-2")
    assert faults(lesson(code("\n".join(["x = 1"] * 6)), words)) == []


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda: [code("\n".join(["x = 1"] * 7))], "c-1: 7 lines of code, at most 6"),
        (lambda: [code("def f():\n    pass")], "c-1: defines code of its own"),
        (lambda: [code("if True:\n    class C: pass")], "c-1: defines code of its own"),
        (lambda: [new_markdown_cell("word " * 121, id="c-1")], "c-1: 121 words, at most 120"),
    ],
)
def test_faults_each_kind_is_found(lesson, made, said):
    """Each kind of fault is named with its cell, and nothing else is."""
    assert faults(lesson(*made())) == [said]


def test_faults_doubled_cell_id_is_found(lesson):
    """Two cells of one id are told, not silently given new ones."""
    path = lesson(code("x = 1"), code("x = 2", name="c-2"))
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace('"id": "c-2"', '"id": "c-1"'), encoding="utf-8")
    with pytest.warns(nbformat.warnings.DuplicateCellId):
        assert "cell id c-1 is there 2 times" in faults(path)


def test_faults_nbgrader_id_that_is_not_the_cell_id_is_found(lesson):
    """In an assignment the two ids are one."""
    marks = {"grade_id": "other", "grade": False, "solution": False, "locked": True,
             "schema_version": 3, "task": False}  # fmt: skip
    path = lesson(code("x = 1", nbgrader=marks), folder="source_assignments/made-up")
    assert faults(path) == ["c-1: the nbgrader id is other"]


@pytest.mark.parametrize(
    "change",
    [
        lambda nb: nb["cells"][0]["outputs"].append(
            new_output("stream", name="stdout", text="2.0")
        ),
        lambda nb: nb["cells"][0].update(execution_count=7),
        lambda nb: nb["cells"][0]["metadata"].update(trusted=True),
        lambda nb: nb["metadata"].update(kernelspec={"name": "x", "display_name": "x"}),
        lambda nb: nb["metadata"].update(widgets={}),
    ],
)
def test_faults_any_departure_from_canonical_form_is_found(lesson, change):
    """Outputs, counts, run-time metadata, another kernel: not canonical."""
    path = lesson(code("x = 1"))
    data = json.loads(path.read_text(encoding="utf-8"))
    change(data)
    path.write_text(json.dumps(data, indent=1, sort_keys=True) + "\n", encoding="utf-8")
    assert faults(path) == ["not in canonical form: run `python3 tests fix`"]


def test_normalised_twice_changes_nothing(lesson):
    """The canonical form is its own canonical form."""
    path = lesson(code("x = 1", tags=["example"]), new_markdown_cell("é ½", id="c-2"))
    text = path.read_text(encoding="utf-8")
    assert normalised(text) == text and "é ½" in text


def test_check_of_the_project_ends_with_status_zero(capsys):
    """The command that the tests' lint calls finds our notebooks in order."""
    assert main(["check"]) == 0 and capsys.readouterr().out == ""
    assert main(["nonsense"]) == 2
