"""What a question is, and how an answer to it is judged.

A question draws a row of values that belong together, computes the right answer and each known
slip from the values as shown, and gives one Outcome: points, words, and a note that never depends
on the values drawn, so that notes of different members can be counted.
"""

from gradekit.questions.asked import Asked, department_at, department_in_use
from gradekit.questions.found import paper_named, paper_of, papers
from gradekit.questions.numbers import Carried, Estimate, LookUp, Question, Slip
from gradekit.questions.outcome import Outcome, ShownSlip
from gradekit.questions.paper import Paper, WrittenQuestion
from gradekit.questions.picks import (
    Broken,
    Choice,
    Option,
    Ordering,
    Rule,
    broken_rules,
    set_up_rules,
)
from gradekit.questions.plans import Condition, FindFault, Part, Plan

__all__ = [
    "Asked",
    "Broken",
    "Carried",
    "Choice",
    "Condition",
    "Estimate",
    "FindFault",
    "LookUp",
    "Option",
    "Ordering",
    "Outcome",
    "Paper",
    "Part",
    "Plan",
    "Question",
    "Rule",
    "ShownSlip",
    "Slip",
    "WrittenQuestion",
    "broken_rules",
    "department_at",
    "department_in_use",
    "paper_named",
    "paper_of",
    "papers",
    "set_up_rules",
]
