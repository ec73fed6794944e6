"""The grading run's judge: earlier answers, the class's department, retakes; and one judgement.

No kernel runs here: the check cells' outputs are made in this process, as the notebook makes them.
"""

import shutil
import tomllib

import nbformat
import pytest
from learners.made_up import drill_ground
from nbformat.v4 import new_code_cell, new_notebook, new_output
from traitlets.config import Config

from aerialstream.department import DEMO_FOLDER, FOLDER_VARIABLE, load_department
from gradekit.assembly import assembled
from gradekit.autograde import JudgeAnswers, handed_over, judge_outputs
from gradekit.classroom import department_of, retake_of, set_retake
from gradekit.merge import merge, shown_variants
from gradekit.nbgrader_config import configure
from gradekit.notebook import ANSWER_TYPE, ask, check_in_notebook, member_cell, situation
from gradekit.notebooks import normalised

PAPER, TABLE = drill_ground.PAPER, drill_ground.TABLE
NAME = PAPER.name
JUDGED = PAPER.auto_questions


def names_of(member, retake=0, **changed):
    """The names in a learner's notebook whose answers are all right, but for the changed ones."""
    answers = {q.variable: q.worked_answer(PAPER.row(q.id, member, retake)) for q in JUDGED}
    return {"member": member, "retake": retake, **answers, **changed}


def executed(names):
    """A notebook as it comes out of nbgrader's run: each check cell has handed over its text."""
    cells = []
    for question in JUDGED:
        bundle = check_in_notebook(question.id, names)._repr_mimebundle_()
        marks = {"grade": True, "solution": False, "locked": True, "schema_version": 3,
                 "grade_id": f"{question.id}-check", "points": question.points}  # fmt: skip
        output = new_output("execute_result", data=bundle, execution_count=1)
        cells.append(new_code_cell("check", metadata={"nbgrader": marks}, outputs=[output]))
    return new_notebook(cells=cells)


def judged(nb, member, folder=""):
    """{question id: note} and points after the judge of the class in a folder."""
    config = configure(Config(), folder) if folder else Config()
    resources = {"nbgrader": {"student": member, "assignment": NAME}}
    nb, _ = JudgeAnswers(config=config).preprocess(nb, resources)
    notes, points = {}, {}
    for cell in nb.cells:
        question_id = cell.metadata.nbgrader.grade_id.removesuffix("-check")
        (output,) = cell.outputs
        notes[question_id] = output.data["text/html"].split("data-note='")[1].split("'")[0]
        points[question_id] = float(output.data["text/plain"])
    return notes, points


def test_judge_all_right_is_all_points():
    """Every kind of question goes the whole way of the record."""
    notes, points = judged(executed(names_of("2041")), "2041")
    assert points == {q.id: q.points for q in JUDGED}
    assert all(note.endswith("/right") for note in notes.values())


def test_judge_carries_the_learners_own_number():
    """Height slipped, the pressure for it right: points lost once, in notebook and record."""
    row = PAPER.row(f"{NAME}-q1", "2041")
    wrong = row["turntable"] + row["out"]
    names = names_of("2041", height=f"{wrong} ft", height_loss=f"{0.434 * wrong:.2f} psi")
    notes, points = judged(executed(names), "2041")
    assert notes[f"{NAME}-q1"].endswith("mistake/length-as-height") and points[f"{NAME}-q1"] == 0.5
    assert notes[f"{NAME}-q2"].endswith("/carried") and points[f"{NAME}-q2"] == 2.0


def test_judge_and_learners_check_never_disagree():
    """Right, slipped and unreadable answers of twenty members: the same note on both sides."""
    for n in range(20):
        member = str(3000 + n)
        names = names_of(member)
        for place, question in enumerate(JUDGED):
            slips = question.shown_slips(PAPER.row(question.id, member))
            if place % 3 != n % 3 and slips:
                names[question.variable] = slips[n % len(slips)].answer
        shown = {q.id: check_in_notebook(q.id, names).outcome for q in JUDGED}
        notes, points = judged(executed(names), member)
        assert notes == {name: outcome.note for name, outcome in shown.items()}
        assert points == {name: outcome.points for name, outcome in shown.items()}


@pytest.mark.parametrize(
    "earlier", [None, [1], "x", {"drill-ground-q1": {"a": 1}}, {1: 2}, {"x" * 999: "y" * 999}]
)
def test_handed_over_takes_earlier_answers_as_text_only(earlier):
    """Whatever stands in the payload becomes short text or nothing."""
    data = {"question": f"{NAME}-q2", "answer": "20 psi", "earlier": earlier}
    outputs = [{"data": {ANSWER_TYPE: data}}]
    given = handed_over(f"{NAME}-q2", outputs)
    assert given["answer"] == "20 psi"
    assert all(
        type(k) is str and type(v) is str and len(k) <= 60 and len(v) <= 200
        for k, v in given["earlier"].items()
    )
    assert judge_outputs(f"{NAME}-q2", "2041", outputs).points <= 2


# --- the department of the class -----------------------------------------------------------------


@pytest.fixture
def class_folder(tmp_path):
    """A class whose department is a copy of the demo with another name and no limits entered."""
    folder = tmp_path / "department"
    shutil.copytree(DEMO_FOLDER, folder)
    text = (folder / "apparatus.toml").read_text(encoding="utf-8")
    text = text.replace('name = "Tower 3"', 'name = "Tower 31"')
    (folder / "apparatus.toml").write_text(text, encoding="utf-8")
    assert tomllib.loads(text) and load_department(folder)
    home = tmp_path / "class"
    home.mkdir()
    (home / "department.txt").write_text(str(folder), encoding="utf-8")
    return home


def test_judge_uses_the_department_of_the_class(class_folder):
    """The rows for the record come from whose class it is, not from the machine's setting."""
    whose = department_of(class_folder)()
    assert whose.apparatus[0].name == "Tower 31"
    assert {r["device"] for r in TABLE.table(whose)} >= {"Tower 31"}
    member = next(
        m for m in map(str, range(4000, 4100))
        if TABLE.row("1", m, department=whose)["device"] == "Tower 31"
        and TABLE.row("1", m, department=whose)["limit"] is not None
    )  # fmt: skip
    seen = []
    real = type(TABLE).judge

    def spy(question, row, answer, earlier=None):
        seen.append(row)
        return real(question, row, answer, earlier)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(type(TABLE), "judge", spy)
        nb = executed(names_of(member))
        seen.clear()
        judged(nb, member, class_folder)
    assert [row["device"] for row in seen] == ["Tower 31"]


def test_notebook_uses_the_department_of_the_station(class_folder, monkeypatch):
    """A station that was started with the department's folder shows its devices."""
    folder = (class_folder / "department.txt").read_text(encoding="utf-8")
    monkeypatch.setenv(FOLDER_VARIABLE, folder)
    names = {"member": "2041"}
    assert "drill-ground 1" in repr(situation(NAME, names))
    shown = {repr(ask(f"{NAME}-q9", {"member": str(n)})) for n in range(4000, 4040)}
    assert any("Tower 31," in words for words in shown)


def test_class_without_roster_has_the_machines_department(tmp_path):
    """Before `class roster` nothing is on file."""
    assert department_of(tmp_path)().name == department_of("")().name == load_department().name


# --- retakes -------------------------------------------------------------------------------------


def test_retake_on_file_is_judged_with_its_own_numbers(tmp_path):
    """The class has the number of the retake; what the notebook says of it counts for nothing."""
    set_retake(tmp_path, NAME, "2041", 1)
    assert retake_of(tmp_path, NAME, "2041") == 1 and retake_of(tmp_path, NAME, "2058") == 0
    _, points = judged(executed(names_of("2041", 1)), "2041", tmp_path)
    assert points == {q.id: q.points for q in JUDGED}
    _, points = judged(executed(names_of("2041", 0)), "2041", tmp_path)
    assert sum(points.values()) < sum(q.points for q in JUDGED)


def test_member_cell_of_a_retake_shows_its_numbers_and_merges(tmp_path):
    """The line that hands out a retake is understood by the notebook and by the repair."""
    source = member_cell("2041", 1)
    names = {}
    exec(source, names)
    assert "retake 1" in repr(situation(NAME, names))
    assert member_cell("2041") == 'member = "2041"'
    released = nbformat.reads(normalised(assembled(PAPER)), as_version=4)
    for cell in released.cells:  # as nbgrader releases it, near enough for the repair
        cell.source = cell.source.partition("### BEGIN SOLUTION")[0].rstrip()
    handed_in = nbformat.from_dict(released)
    next(c for c in handed_in.cells if c.id == f"{NAME}-member").source = source
    next(c for c in handed_in.cells if c.id == f"{NAME}-q4-answer").source = "pin = B"
    merged = merge(handed_in, released, "2041")
    cells = {c.id: c.source for c in merged.notebook.cells}
    assert cells[f"{NAME}-q4-answer"].startswith("pin = 'B'\n# pin = B")
    assert [p for p in merged.problems if "quotes" in p] and len(merged.problems) == 1
    assert merge(handed_in, released, "2058").problems[0].startswith("the notebook names member")


def test_merge_tells_of_a_notebook_that_showed_another_variant():
    """Worked on with another department's data, or before the retake: told, not guessed."""
    key = PAPER.variant_key("2041")
    shown = repr(situation(NAME, {"member": "2041"}))
    output = {"output_type": "execute_result", "data": {"text/plain": shown.splitlines()}}
    data = {"cells": [{"cell_type": "code", "source": "situation", "outputs": [output]}]}
    assert shown_variants(data) == (key,)
    released = new_notebook()
    assert merge(data, released, "2041", variant=key).problems == ()
    (problem,) = merge(data, released, "2041", variant=PAPER.variant_key("2041", 1)).problems
    assert key in problem and "retake 1" in problem
    for odd in ({"cells": [{"outputs": 7}, {"outputs": [3, {"data": []}]}]}, {"cells": [4]}):
        assert shown_variants(odd) == ()


# --- nothing is given away -----------------------------------------------------------------------


def test_assembled_notebook_without_solutions_has_no_answer():
    """Neither choices nor steps nor numbers stand in it: all come from the member number."""
    nb = nbformat.reads(normalised(assembled(PAPER)), as_version=4)
    text = "\n".join(c.source.partition("### BEGIN SOLUTION")[0] for c in nb.cells)
    assert "worked_answer" not in text and "marking guide" not in text
    for question in JUDGED:
        for row in question.table()[:5]:
            # A single letter and the form "not entered" stand everywhere.
            worked = question.worked_answer(row)
            assert len(worked) == 1 or worked == "not entered" or worked not in text
            for slip in question.shown_slips(row):
                assert slip.sentence[:25] not in text
