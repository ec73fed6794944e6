"""What a check gives back, and what part of the points each kind of near miss earns."""

from dataclasses import dataclass
from html import escape

NO_UNIT_CREDIT = 0.5
ROUNDING_CREDIT = 0.75
SIGN_CREDIT = 0.75
TEN_CREDIT = 0.5
UNIT_LABEL_CREDIT = 0.5
NEAR_BAND_CREDIT = 0.5
STEP_ONLY_CREDIT = 0.5
BROKEN_CREDIT = (0.5, 0.25)  # an order that breaks one rule, two rules
ROUNDING_BAND = 3  # times the tolerance


@dataclass(frozen=True)
class Outcome:
    """What a check gives back.

    points, most   built-in floats
    message        for the learner; never the right number
    note           for the instructor: question/branch/reason
    question, answer   what was judged; answer is None where there was none to be had
    """

    points: float
    most: float
    message: str
    note: str
    question: str = ""
    answer: str | None = ""

    def __repr__(self):
        return repr(float(self.points))

    @property
    def right(self):
        """Whether it earned full points."""
        return self.points >= self.most

    def html(self):
        """The advice as HTML, with the note where only a program looks for it."""
        mark, word = ("✓", "Right") if self.right else ("•", "Not yet")
        if 0 < self.points < self.most:
            mark, word = "◐", "Partly"
        return (
            f"<div class='as-outcome' data-note='{escape(self.note, quote=True)}'>"
            f"<strong>{mark} {word}: {self.points:g} of {self.most:g} points.</strong> "
            f"{escape(self.message)}</div>"
        )


@dataclass(frozen=True)
class ShownSlip:
    """One slip of one row, as `aerialstream question try` shows it and the tests prove it.

    answer   what a learner who makes it would type
    branch   the note that it gets, without the question's id
    """

    name: str
    answer: str
    sentence: str
    credit: float
    branch: str
