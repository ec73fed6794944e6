"""Worked answers for the instructor's notebooks; the released notebooks do not have these calls."""

from aerialstream.quantity_text import UNIT_SPELLINGS
from gradekit.draw import member_number
from gradekit.questions import paper_of


def worked_answer(question_id, member):
    """The right answer as a crew would write it, such as "384.7 lbf"."""
    paper = paper_of(question_id)
    question = paper.question(question_id)
    number = question.right(question.row(paper.version, member_number(member)))
    unit = UNIT_SPELLINGS[question.kind][question.unit].split()[0].split("|")[0]
    return f"{number:,.1f} {unit.replace('*', ' ')}"
