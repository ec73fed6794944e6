"""Every variant of every question of every paper: the right answer, each slip, nothing given away.

The rules are in `gradekit.trial`; the tests of the kinds show that each of its rules does find its
fault. `made_up_papers` holds one question of each kind.
"""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from learners.made_up import drill_ground

from gradekit.questions import FindFault, papers
from gradekit.trial import faults, twins

ALL = {**papers(), "drill-ground": drill_ground.PAPER}
QUESTIONS = [q for paper in ALL.values() for q in paper.questions]
EACH = pytest.mark.parametrize("question", QUESTIONS, ids=lambda q: q.id)


@EACH
def test_question_every_variant_is_in_order(question, record_property):
    """Full marks for the right answer, its own note for each slip, no points for the example."""
    found = faults(question)
    assert not found, "\n" + "\n".join(found)
    record_property("variants", len(question.variants()))


@pytest.mark.parametrize("paper", ALL.values(), ids=lambda p: p.name)
def test_paper_ids_variables_and_points(paper):
    """Ids count up, no variable is there twice, every question is worth something."""
    assert [q.id for q in paper.questions] == [
        f"{paper.name}-q{n}" for n in range(1, len(paper.questions) + 1)
    ]
    variables = [q.variable for q in paper.questions]
    assert len(set(variables)) == len(variables) and all(v.isidentifier() for v in variables)
    assert not set(variables) & {"member", "retake"}
    assert all(q.points > 0 and q.title and q.ask for q in paper.questions)
    assert not [name for name in ALL if name != paper.name and name in paper.name]


@EACH
@settings(max_examples=60, deadline=None)
@given(answer=st.text(max_size=60) | st.from_regex(r"[-0-9 ./,;a-h)(°'\"]{0,30}", fullmatch=True))
def test_question_any_text_ends_in_points_and_words(question, answer):
    """Whatever is typed: points between nothing and all, words, and a note of this question."""
    variants = question.variants()
    if not question.judged or not variants:  # without rows: named above
        return
    outcome = question.judge(variants[0], answer)
    assert type(outcome.points) is float and 0 <= outcome.points <= outcome.most
    assert outcome.message and outcome.note.startswith(f"{question.id}/")


def test_count_of_variants(capsys):
    """How many variants were gone through; printed, so that the developer guide can say it."""
    kits = [q for q in QUESTIONS if not q.id.startswith("drill-ground")]
    variants = sum(len(q.variants()) for q in kits)
    slips = sum(len(q.slips) if hasattr(q, "slips") else len(q.shown_slips(q.variants()[0]))
                for q in kits)  # fmt: skip
    with capsys.disabled():
        print(
            f"\n{len(ALL) - 1} papers, {len(kits)} questions, {slips} slips, {variants:,} variants, "
            f"{sum(twins(q) for q in kits if q.judged)} with a follow-up"
        )
    assert variants > len(kits)


@pytest.mark.parametrize(
    "question", [q for q in QUESTIONS if isinstance(q, FindFault)], ids=lambda q: q.id
)
def test_find_fault_knows_the_number_that_stands_there(question):
    """Who copies the wrong number is told so, in every row; the number stands in that step."""
    for row in question.table():
        stands = question.stands(row)
        (copied,) = [s for s in question.shown_slips(row) if s.name == "wrong-again"]
        assert "wrong-again" in question.judge(row, copied.answer).note
        text = dict(question.steps(row))[question.fault(row)]
        shown = [float(n.replace(",", "")) for n in re.findall(r"\d[\d,]*\.?\d*", text)]
        assert any(abs(n - stands) <= 0.02 * abs(stands) + 0.06 for n in shown), (text, stands)
