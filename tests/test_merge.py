"""Damaged hand-ins: the answers are found and put into a fresh copy, or the file is refused."""

import copy
import json
import zipfile

import nbformat
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from learners.notebooks import NAME, VARIABLES, answer_all, cell_of

from gradekit.course import SOURCES
from gradekit.merge import (
    LARGEST_FILE,
    UnreadableHandIn,
    merge,
    read_and_mend,
    read_hand_in,
    read_notebook,
)

ANSWERS = ("100 lbf", "200 lbf", "300 lbf", "4,000 lbf ft")
MEMBER = "101"


@pytest.fixture(scope="module")
def released():
    """The instructor's notebook without its solutions: what nbgrader releases, made at once."""
    nb = read_notebook(SOURCES / NAME / f"{NAME}.ipynb")
    for cell in nb.cells:
        lines, inside = [], False
        for line in cell.source.splitlines():
            inside = inside or "BEGIN SOLUTION" in line
            if not inside:
                lines.append(line)
            inside = inside and "END SOLUTION" not in line
        cell.source = "\n".join(lines)
    return nb


@pytest.fixture
def answered(released):
    """A hand-in with the four answers."""
    nb = copy.deepcopy(released)
    cell_of(nb, "member").source = f'member = "{MEMBER}"'
    answer_all(nb, ANSWERS)
    return nb


def as_json(nb):
    return json.loads(json.dumps(nb))  # nbformat's own writer would mend doubled ids


def answers(nb):
    """The four answers that stand in a notebook."""
    found = []
    for number, variable in enumerate(VARIABLES, 1):
        names = {}
        exec(cell_of(nb, f"q{number}-answer").source, names)
        found.append(names[variable])
    return tuple(found)


def locked(nb):
    return {
        c.id: (c.source, c.cell_type, dict(c.metadata.nbgrader))
        for c in nb.cells
        if c.metadata.get("nbgrader", {}).get("locked")
    }


def sound(nb, released):
    """Valid, and everything but the answers is as it was released."""
    nbformat.validate(nb)
    assert locked(nb) == locked(released)
    assert [c.id for c in nb.cells] == [c.id for c in released.cells]
    assert [c.cell_type for c in nb.cells] == [c.cell_type for c in released.cells]
    assert [c.metadata for c in nb.cells] == [c.metadata for c in released.cells]
    assert nb.metadata == released.metadata
    nbformat.writes(nb).encode("utf-8")
    return True


def test_merge_untouched_hand_in_has_no_problems(answered, released):
    """The usual case: answers kept, nothing to tell."""
    merged = merge(as_json(answered), released, MEMBER)
    assert merged.problems == () and answers(merged.notebook) == ANSWERS
    assert sound(merged.notebook, released)


def test_merge_leaves_the_released_notebook_alone(answered, released):
    """The next member gets a fresh copy."""
    before = nbformat.writes(released)
    merge(as_json(answered), released, MEMBER)
    assert nbformat.writes(released) == before


def _delete_checks(nb):
    for number in (1, 3):
        nb.cells.remove(cell_of(nb, f"q{number}-check"))


def _edit_checks(nb):
    cell_of(nb, "q1-check").source = "2.0"
    cell_of(nb, "q4-ask").source = "print('What is two and two?')"


def _retype(nb):
    for suffix in ("q1-answer", "q2-check"):
        cell = cell_of(nb, suffix)
        cell.cell_type = "markdown"
        cell.pop("outputs", None)
        cell.pop("execution_count", None)


def _move(nb):
    nb.cells.reverse()


def _lose_metadata(nb):
    for cell in nb.cells:
        cell.metadata.clear()


def _lose_ids_and_metadata(nb):
    _lose_metadata(nb)
    for number, cell in enumerate(nb.cells):
        cell.id = f"new-{number}"


def _rename_ids(nb):
    for number, cell in enumerate(nb.cells):
        cell.id = f"new-{number}"


def _double_ids(nb):
    for cell in nb.cells:
        cell.id = "same"


def _wrong_kernel(nb):
    nb.metadata = {"kernelspec": {"name": "julia", "display_name": "Julia", "language": "julia"}}


def _outputs(nb):
    for cell in nb.cells:
        if cell.cell_type == "code":
            cell.outputs = [
                nbformat.v4.new_output(
                    "execute_result", data={"text/plain": "2.0"}, execution_count=1
                )
            ]


def _extra_cells(nb):
    nb.cells.insert(0, nbformat.v4.new_code_cell("import os"))
    nb.cells.append(nbformat.v4.new_markdown_cell("x" * 100_000))


def _more_points(nb):
    for cell in nb.cells:
        cell.metadata.nbgrader.update(points=100, grade=True, solution=True, locked=False)


def _double_cell(nb):
    nb.cells.append(copy.deepcopy(cell_of(nb, "q1-answer")))


def _attachments(nb):
    cell_of(nb, "title")["attachments"] = {"a.png": {"image/png": "AAAA"}}


@pytest.mark.parametrize(
    ("damage", "told"),
    [
        (
            _delete_checks,
            [
                "q1-check: a part that is no answer was missing",
                "q3-check: a part that is no answer was mi",
            ],
        ),
        (
            _edit_checks,
            [
                "q1-check: a part that is no answer was changed",
                "q4-ask: a part that is no answer was changed",
            ],
        ),
        (_retype, []),
        (_move, []),
        (_lose_metadata, ["q1-check: a part that is no answer was missing"]),
        (_lose_ids_and_metadata, ["q1-check: a part that is no answer was missing"]),
        (_rename_ids, []),
        (_double_ids, []),
        (_wrong_kernel, []),
        (_outputs, []),
        (_extra_cells, []),
        (_more_points, []),
        (_double_cell, ["q1-answer: the answer cell was there 2 times"]),
        (_attachments, []),
    ],
    ids=lambda x: x.__name__.strip("_") if callable(x) else "",
)
def test_merge_damage_is_undone_and_told(answered, released, damage, told):
    """Whatever was done around the answers, they count, and the rest is as released."""
    damage(answered)
    merged = merge(as_json(answered), released, MEMBER)
    assert sound(merged.notebook, released)
    assert answers(merged.notebook) == ANSWERS
    problems = "\n".join(merged.problems)
    for words in told:
        assert words in problems
    assert bool(problems) == bool(told)


def test_merge_two_different_answers_the_last_counts(answered, released):
    """Two copies of an answer cell with different answers: the last one, and it is said."""
    other = copy.deepcopy(cell_of(answered, "q1-answer"))
    other.source = 'reaction_1 = "111 lbf"'
    answered.cells.append(other)
    merged = merge(as_json(answered), released, MEMBER)
    assert answers(merged.notebook)[0] == "111 lbf"
    assert any("2 different answers; the last one counts" in p for p in merged.problems)


def test_merge_copy_left_blank_does_not_wipe_the_answer(answered, released):
    """A second, untouched copy of an answer cell is no answer."""
    answered.cells.append(copy.deepcopy(cell_of(released, "q1-answer")))
    merged = merge(as_json(answered), released, MEMBER)
    assert answers(merged.notebook) == ANSWERS


def test_merge_deleted_answer_counts_as_blank(answered, released):
    """A deleted answer cell is blank, as released, and it is said."""
    answered.cells.remove(cell_of(answered, "q2-answer"))
    merged = merge(as_json(answered), released, MEMBER)
    assert answers(merged.notebook) == (ANSWERS[0], "", *ANSWERS[2:])
    assert any("q2-answer: the answer cell was missing" in p for p in merged.problems)


def test_merge_answer_typed_in_a_cell_of_ones_own_is_found(answered, released):
    """The cell was deleted and typed again elsewhere: its variable tells which it is."""
    answered.cells.remove(cell_of(answered, "q2-answer"))
    answered.cells.append(nbformat.v4.new_code_cell('\nreaction_2 = "222 lbf"'))
    merged = merge(as_json(answered), released, MEMBER)
    assert answers(merged.notebook)[1] == "222 lbf"


@pytest.mark.parametrize("typed", ['member = "102"', "member = '102'", 'member="102"  # mine'])
def test_merge_other_members_number_is_replaced_and_told(answered, released, typed):
    """The notebook names somebody else: it is judged for the one who handed it in."""
    cell_of(answered, "member").source = typed
    merged = merge(as_json(answered), released, MEMBER)
    assert cell_of(merged.notebook, "member").source == f'member = "{MEMBER}"'
    assert [p for p in merged.problems if "names member 102, but was handed in for 101" in p]


def test_merge_member_cell_with_code_in_it_is_not_run(answered, released):
    """Nothing that stands in the member cell reaches the grading run."""
    cell_of(answered, "member").source = 'import os; member = "101"; os._exit(0)'
    merged = merge(as_json(answered), released, MEMBER)
    assert cell_of(merged.notebook, "member").source == f'member = "{MEMBER}"'


def test_merge_answer_worked_out_by_code_counts_as_not_answered(answered, released):
    """Only a text between quotes is taken over; code stays readable as a comment."""
    cell_of(answered, "q1-answer").source = (
        "from gradekit.solutions import worked_answer\n"
        'reaction_1 = worked_answer("nozzle-reaction-q1", member)'
    )
    merged = merge(as_json(answered), released, MEMBER)
    assert any("q1-answer: no text between quotes" in p for p in merged.problems)
    source = cell_of(merged.notebook, "q1-answer").source
    assert all(line.startswith("#") for line in source.splitlines())


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ('reaction_1 = "1 lbf"', "1 lbf"),
        ('reaction_1 = "1 lbf"\nreaction_1 = "2 lbf"', "2 lbf"),
        ('reaction_1 = "1 lbf"  # so\nprint(reaction_1)', "1 lbf"),
        ('x = reaction_1 = "1 " "lbf"', "1 lbf"),
        ('{}[open("x")] = reaction_1 = "1 lbf"', "1 lbf"),
        ('len(open("x")).y = reaction_1 = "1 lbf"', "1 lbf"),
        ('reaction_1, open("x").y = reaction_1 = "1 lbf"', "1 lbf"),
        ("reaction_1 = -5.5", "-5.5"),
        ('reaction_1 = f"{1} lbf"', None),
        ('reaction_1 = "1 lbf"\nreaction_1 = str(2)', None),
        ('reaction_1 = "1 lbf', "1 lbf"),
        ('reaction_1 = ""1 lbf""', "1 lbf"),
        ("reaction_1 = 1 lbf  # mine", "1 lbf"),
        ("reaction_1 = “1 lbf”", "1 lbf"),
        ('# mine\nreaction_1 = "1 3/4" in"', None),
        ('reaction_1 = "1 lbf\nimport os', None),
        ('reaction_1 = open("x', None),
        ('if True:\n    reaction_1 = "1 lbf"', None),
        ("reaction_1 = [1]", None),
        ("reaction_1 = True", None),
        ('exec("reaction_1 = 1")', None),
    ],
)
def test_merge_takes_only_what_stands_between_quotes(answered, released, source, expected):
    """Whatever else the cell holds, the merged cell gives a plain text or nothing."""
    cell_of(answered, "q1-answer").source = source
    merged = cell_of(merge(as_json(answered), released, MEMBER).notebook, "q1-answer").source
    names = {}
    exec(merged, {"__builtins__": {}}, names)  # nothing is left that could call anything
    given = names.get("reaction_1")
    assert (None if given is None else str(given)) == expected


# --- files that are no notebooks --------------------------------------------------------------


def _nested(depth):
    return b'{"cells": ' + b"[" * depth + b"]" * depth + b"}"


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "empty"),
        (b" \r\n\t", "empty"),
        (b"\xef\xbb\xbf", "damaged"),
        (b'{"cells": [{"cell_type": "co', "damaged"),
        (b"PK\x03\x04 and so on", "zip or a word-processor"),
        (b"\x89PNG\r\n\x1a\n", "damaged"),
        (b"print('hello')", "damaged"),
        (b"{}", "no cells"),
        (b'{"cells": null}', "no cells"),
        (b'{"cells": {"a": 1}}', "no cells"),
        (b'{"worksheets": [{"cells": []}]}', "no cells"),
        (b"[]", "no cells"),
        (b"null", "no cells"),
        (b"3", "no cells"),
        (b'"cells"', "no cells"),
        (b'{"cells": [' + b"9" * 5000 + b"]}", "damaged"),
        (_nested(200_000), "damaged"),
        (b" " * (LARGEST_FILE + 1), "larger than 5 MB"),
    ],
)
def test_read_hand_in_no_notebook_is_refused_in_words(tmp_path, raw, words):
    """The reason stands in the refusal, in words for a member."""
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(raw)
    with pytest.raises(UnreadableHandIn, match=words):
        read_hand_in(path)


ONE = '{"cells": [{"source": "a = \\"1, ]\\"\\n"}]}'
CONFLICT = "<<<<<<< mine\n{}\n||||||| before\n{{}}\n=======\n{}\n>>>>>>> theirs\n"


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (ONE.encode("utf-16"), "saved as utf-16"),
        (ONE.replace("a", "é").encode("latin-1"), "saved as cp1252"),
        (ONE.replace("}]}", "},]}").encode(), "a comma too many"),
        (ONE.replace("}]}", "}, ] ,}").encode(), "a comma too many"),
        (CONFLICT.format(ONE, ONE + " ").encode(), "a saved conflict"),
    ],
)
def test_read_and_mend_leaves_the_answers_as_they_are(tmp_path, raw, told):
    """Encoding, commas, a conflict that is none: mended, told, and nothing inside quotes changed."""
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(raw)
    data, mended = read_and_mend(path)
    assert any(told in words for words in mended)
    assert data["cells"][0]["source"].endswith(' = "1, ]"\n')


def test_read_and_mend_never_chooses_between_two_versions(tmp_path):
    """A saved conflict with two answers is refused: nobody guesses which is meant."""
    path = tmp_path / "hand-in.ipynb"
    path.write_text(CONFLICT.format(ONE, ONE.replace("1", "2")), encoding="utf-8")
    with pytest.raises(UnreadableHandIn, match="two versions"):
        read_and_mend(path)


@pytest.mark.parametrize(
    "raw", [b'"' + b'\\"' * 2_000_000, b", " * 2_000_000, b"<<<<<<< \n" * 400_000]
)
def test_read_and_mend_of_a_file_made_to_be_slow_ends(tmp_path, raw):
    """No file within the size limit makes the mending go over it again and again."""
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(raw)
    with pytest.raises(UnreadableHandIn):
        read_and_mend(path)


def test_read_hand_in_zip_named_as_notebook_is_refused(tmp_path):
    """A real zip with the wrong ending is called by its name."""
    path = tmp_path / "hand-in.ipynb"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("nozzle-reaction.ipynb", "{}")
    with pytest.raises(UnreadableHandIn, match="zip"):
        read_hand_in(path)


def test_read_hand_in_byte_order_mark_is_read(tmp_path, answered, released):
    """A file saved by an editor that puts a mark in front is a notebook all the same."""
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(b"\xef\xbb\xbf" + nbformat.writes(answered).encode())
    assert answers(merge(read_hand_in(path), released, MEMBER).notebook) == ANSWERS


def test_read_hand_in_no_cells_at_all_counts_as_blank(tmp_path, released):
    """An emptied notebook is repaired to a blank one, and every loss is told."""
    path = tmp_path / "hand-in.ipynb"
    path.write_text('{"cells": []}')
    merged = merge(read_hand_in(path), released, MEMBER)
    assert sound(merged.notebook, released)
    assert answers(merged.notebook) == ("", "", "", "")
    assert sum("counts as blank" in p for p in merged.problems) == 8


@pytest.mark.parametrize("depth", [50, 300, 900, 990])
def test_merge_nested_source_is_survived(tmp_path, released, depth):
    """A source that is a tower of lists is either refused or read as nothing."""
    tower = b"[" * depth + b"]" * depth
    cell = b'{"id": "nozzle-reaction-q1-answer", "source": ' + tower + b"}"
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(b'{"cells": [' + cell + b"]}")
    try:
        data = read_hand_in(path)
    except UnreadableHandIn:
        return
    assert sound(merge(data, released, MEMBER).notebook, released)


# --- fuzz -------------------------------------------------------------------------------------

IDS = st.sampled_from(
    [f"{NAME}-{s}" for s in ("q1-answer", "q2-answer", "q1-check", "member", "q5-answer", "title")]
)
TEXTS = st.text(st.characters(), max_size=30) | st.sampled_from(
    ['reaction_1 = "385 lbf"', "reaction_1 = ", "member = 7", '"""', "%%bash", "\x00", "\ud800"]
)
LEAVES = st.none() | st.booleans() | st.integers() | st.floats() | TEXTS
TREES = st.recursive(
    LEAVES,
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["cells", "metadata", "nbgrader", "grade_id", "source", "id"]) | TEXTS,
            inner,
            max_size=4,
        )
    ),
    max_leaves=15,
)
CELLS = st.fixed_dictionaries(
    {},
    optional={
        "id": IDS | TREES,
        "source": TEXTS | st.lists(TEXTS) | TREES,
        "cell_type": st.sampled_from(["code", "markdown", "raw"]) | TREES,
        "metadata": TREES | st.fixed_dictionaries(
            {"nbgrader": TREES | st.fixed_dictionaries({"grade_id": IDS | TREES})}
        ),
        "outputs": TREES,
    },
)  # fmt: skip
NOTEBOOKS = st.fixed_dictionaries({"cells": st.lists(CELLS | TREES, max_size=8)})


@settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(tree=TREES | NOTEBOOKS)
def test_hand_in_any_json_gives_a_sound_notebook_or_a_refusal(tree, released, tmp_path):
    """Fuzz: any JSON tree is refused in words, or ends in a valid notebook with nothing lost."""
    path = tmp_path / "hand-in.ipynb"
    path.write_text(json.dumps(tree), encoding="utf-8")
    try:
        data = read_hand_in(path)
    except UnreadableHandIn as error:
        assert len(str(error).split()) >= 4
        return
    merged = merge(data, released, MEMBER)
    assert sound(merged.notebook, released)
    assert all(isinstance(p, str) for p in merged.problems)


@settings(
    max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(raw=st.binary(max_size=200))
def test_hand_in_any_bytes_are_refused_or_read(raw, tmp_path):
    """Fuzz: no file whatsoever raises anything but the refusal."""
    path = tmp_path / "hand-in.ipynb"
    path.write_bytes(raw)
    try:
        assert isinstance(read_hand_in(path)["cells"], list)
    except UnreadableHandIn:
        pass
