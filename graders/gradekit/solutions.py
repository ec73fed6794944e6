"""Worked answers for the instructor's notebooks; the released notebooks do not have these calls."""

from gradekit.draw import member_number
from gradekit.questions import paper_of


def worked_answer(question_id, member, retake=0, department=None):
    """The right answer as a crew would write it, such as "384.7 lbf" or "B"."""
    paper = paper_of(question_id)
    row = paper.row(question_id, member_number(member), retake, department)
    return paper.question(question_id).worked_answer(row)
