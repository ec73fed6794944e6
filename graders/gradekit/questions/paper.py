"""A paper: the questions of one assignment and the situation they stand in."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from gradekit.questions.asked import Asked, department_in_use

CLOSING = (
    "The formulas size the load; they permit nothing. What your device may do at a given flow, "
    "length and rotation stands in **its** operator's manual. That book, local procedure and "
    "qualified people decide."
)


@dataclass(frozen=True, kw_only=True)
class WrittenQuestion(Asked):
    """A written judgement, marked by hand.

    guide   for the marker: (points, what earns them) pairs; not shown to learners
    """

    guide: tuple

    judged: ClassVar[bool] = False
    typed_as: ClassVar[str] = ""

    def worked_answer(self, row):
        """The marking guide in one text."""
        return "; ".join(f"{worth:g}: {what}" for worth, what in self.guide)


@dataclass(frozen=True)
class Paper:
    """The questions of one assignment, and the situation they stand in.

    version    part of every draw: a new version deals the numbers anew
    situation  a text, or department -> text
    minutes    how long it takes; stands in the notebook's title cell
    closing    the caution before handing in
    """

    name: str
    title: str
    version: str
    situation: str | Callable
    questions: tuple
    minutes: int = 20
    closing: str = CLOSING

    def question(self, question_id):
        """The question of this id; KeyError if there is none."""
        for question in self.questions:
            if question.id == question_id:
                return question
        raise KeyError(question_id)

    @property
    def auto_questions(self):
        """Those that the grading run judges."""
        return tuple(q for q in self.questions if q.judged)

    def situation_for(self, department=None):
        """The situation in words."""
        if callable(self.situation):
            return self.situation(department or department_in_use())
        return self.situation

    def variant_key(self, member, retake=0, department=None):
        """The line that tells two members' papers apart; equal key, equal paper.

        Where rows come from the department, its name is part of the line.
        """
        places = [q.place(self.version, member, retake, department) for q in self.questions]
        again = f" · retake {retake}" if retake else ""
        whose = ""
        if any((q.same_row_as or q).rows_from for q in self.questions):
            whose = f" · {(department or department_in_use()).name}"
        return f"{self.name} {self.version}{again}{whose} · {'-'.join(places)}"

    def row(self, question_id, member, retake=0, department=None):
        """The row of one member for one question."""
        return self.question(question_id).row(self.version, member, retake, department)

    def judge(self, question_id, member, answer, *, earlier=None, retake=0, department=None):
        """The outcome for one member's answer to one question.

        `earlier` holds {question id: text} of the answers that the question takes up.
        """
        question = self.question(question_id)
        row = question.row(self.version, member, retake, department)
        return question.judge(row, answer, earlier)
