"""What a question is, and how an answer to it is judged.

A question draws a row of numbers that belong together, computes the right answer and each
known slip from the numbers as shown, and gives one Outcome: points, words, and a note that
never depends on the numbers drawn, so that notes of different members can be counted.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from html import escape

from aerialstream.quantity_text import UNIT_SPELLINGS
from aerialstream.units import quantity
from gradekit.answers import as_text, example, read_answer
from gradekit.draw import draw

NO_UNIT_CREDIT = 0.5
ROUNDING_CREDIT = 0.75
SIGN_CREDIT = 0.75
TEN_CREDIT = 0.5
UNIT_LABEL_CREDIT = 0.5
ROUNDING_BAND = 3  # times the tolerance


@dataclass(frozen=True)
class Outcome:
    """What a check gives back.

    points, most   built-in floats
    message        for the learner; never the right number
    note           for the instructor: question/branch/reason
    question, answer   what was judged; None where there was no answer to be had
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
class Slip:
    """A known wrong way to work it out.

    name       part of the note
    wrong      row -> the number this slip gives, in the question's unit
    sentence   which slip it is and where to look; no number of the scenario
    credit     share of the points
    """

    name: str
    wrong: Callable
    sentence: str
    credit: float = 0.25


@dataclass(frozen=True)
class Question:
    """A question with a number and a unit for an answer.

    id          also the nbgrader id, with "-check" and "-answer" behind it
    variable    the name that the learner's notebook gives the answer
    rows        the rows it draws from: dictionaries of displayable numbers
    ask         row -> the question in words
    right       row -> the right number in `unit`
    tolerance   share of the right number, told to the learner as `tolerance_words`
    first_step  what to do first, for an answer nobody recognises
    """

    id: str
    variable: str
    kind: str
    unit: str
    points: float
    rows: tuple
    ask: Callable
    right: Callable
    slips: tuple
    first_step: str
    reread: str
    tolerance: float = 0.01
    tolerance_words: str = "within 1 percent"

    def row(self, version, member):
        """The row of numbers this member gets."""
        return self.rows[self.row_number(version, member)]

    def row_number(self, version, member):
        """Its place in the table: part of the variant key."""
        return draw(version, member, self.id, len(self.rows))

    def _outcome(self, share, branch, message, text=""):
        return Outcome(
            points=round(self.points * share, 2),
            most=float(self.points),
            message=message,
            note=f"{self.id}/{branch}",
            question=self.id,
            answer=text,
        )

    def judge(self, row, answer):
        """The outcome for an answer: read first, then compared with right and known slips."""
        text = as_text(answer)
        reading = read_answer(text, self.kind, self.unit)
        if reading.status in ("blank", "unreadable", "wrong kind"):
            return self._outcome(0.0, reading.status.replace(" ", "-"), reading.advice, text)
        share, branch, message = self._compare(row, reading.number)
        if reading.status == "no unit":
            good = branch == "right"
            return self._outcome(
                NO_UNIT_CREDIT if good else 0.0,
                "no-unit/right" if good else f"no-unit/{branch}",
                ("The number is right, but it has no unit. " if good else "There is no unit. ")
                + f"Write it like {example(self.kind)}."
                + ("" if good else f" {message}"),
                text,
            )
        return self._outcome(share, branch, message, text)

    def _compare(self, row, number):
        """(share of the points, branch of the note, words) for a number in the question's unit."""
        right = self.right(row)
        off = abs(number - right) / abs(right)
        if off <= self.tolerance * (1 + 1e-9):
            return 1.0, "right", f"That is it ({self.tolerance_words})."
        found = self._slip(row, number)
        if found:
            return found
        if off <= ROUNDING_BAND * self.tolerance:
            return (
                ROUNDING_CREDIT,
                "rounding",
                f"Close, but not {self.tolerance_words}: keep more digits until the end.",
            )
        if abs(number + right) <= self.tolerance * abs(right):
            return SIGN_CREDIT, "sign", "The size is right; write it without a minus sign."
        for power in (-3, -2, -1, 1, 2, 3):
            if _near(number, right * 10**power, self.tolerance):
                way = "large" if power > 0 else "small"
                return (
                    TEN_CREDIT,
                    "off-by-ten",
                    f"The digits are right, but it is {10 ** abs(power):,} times too {way}: "
                    "mind the decimal point.",
                )
        label = self._other_unit(right, number)
        if label:
            return (
                UNIT_LABEL_CREDIT,
                "unit-label",
                f"The number would be right in {label}: convert it, or write that unit.",
            )
        return 0.0, "other", f"Not the number, and no slip I know. {self.first_step} {self.reread}"

    def _slip(self, row, number):
        near = []
        for slip in self.slips:
            wrong = slip.wrong(row)
            if _near(number, wrong, self.tolerance):
                near.append((abs(number - wrong) / abs(wrong), slip))
        if not near:
            return None
        slip = min(near, key=lambda pair: pair[0])[1]
        return slip.credit, f"mistake/{slip.name}", f"{slip.sentence} {self.reread}"

    def _other_unit(self, right, number):
        for unit, factor in _other_units(self.kind, self.unit).items():
            if _near(number, right * factor, self.tolerance):
                # pint sorts by letter, and its dot differs between versions: N·m, lbf·in.
                parts = f"{quantity(1.0, unit).units:~P}".replace("⋅", "·").split("·")
                return "·".join(sorted(parts, key=lambda part: part in ("m", "ft", "in")))
        return None

    def distinct(self, row):
        """Whether every slip stands clear of the right answer and of every other slip.

        Clear means by more than twice the tolerance. Rows that fail are left out of the table.
        """
        values = [self.right(row), *(slip.wrong(row) for slip in self.slips)]
        return all(
            abs(a - b) > 2 * self.tolerance * min(abs(a), abs(b))
            for i, a in enumerate(values)
            for b in values[i + 1 :]
        )


@dataclass(frozen=True)
class WrittenQuestion:
    """A written judgement, marked by hand.

    guide   for the marker: (points, what earns them) pairs; not shown to learners
    """

    id: str
    variable: str
    points: float
    rows: tuple
    ask: Callable
    guide: tuple
    reread: str = ""

    row = Question.row
    row_number = Question.row_number


@dataclass(frozen=True)
class Paper:
    """The questions of one assignment, and the situation they stand in.

    version   part of every draw: a new version deals the numbers anew
    """

    name: str
    title: str
    version: str
    situation: str
    questions: tuple

    def question(self, question_id):
        """The question of this id; KeyError if there is none."""
        for question in self.questions:
            if question.id == question_id:
                return question
        raise KeyError(question_id)

    @property
    def auto_questions(self):
        """Those that the grading run judges."""
        return tuple(q for q in self.questions if isinstance(q, Question))

    def variant_key(self, member):
        """The line that tells two members' papers apart; equal key, equal paper."""
        places = [str(q.row_number(self.version, member)) for q in self.questions]
        return f"{self.name} {self.version} · {'-'.join(places)}"

    def judge(self, question_id, member, answer):
        """The outcome for one member's answer to one question."""
        question = self.question(question_id)
        return question.judge(question.row(self.version, member), answer)


def _near(number, target, tolerance):
    return abs(number - target) <= tolerance * abs(target) * (1 + 1e-9)


@cache
def _other_units(kind, unit):
    """The other units of a kind, each with the factor that turns `unit` into it."""
    one = quantity(1.0, unit)
    return {
        other: one.to(other).magnitude
        for other in UNIT_SPELLINGS[kind]
        if abs(one.to(other).magnitude - 1) > 0.02
    }


@cache
def papers():
    """Every paper there is, by name."""
    from gradekit.papers import nozzle_reaction

    return {paper.name: paper for paper in (nozzle_reaction.PAPER,)}


def paper_of(question_id):
    """The paper that has this question; KeyError if none has."""
    for paper in papers().values():
        for question in paper.questions:
            if question.id == question_id:
                return paper
    raise KeyError(f"no question “{question_id}”")
