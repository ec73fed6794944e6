"""Questions with several values: a plan or aim to be found, and a fault to be found."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import ClassVar

from gradekit.answers import as_text, example, read_answer, split_side, split_step, split_values
from gradekit.questions.asked import Asked
from gradekit.questions.numbers import Question, Slip, _digits, unit_text
from gradekit.questions.outcome import STEP_ONLY_CREDIT, ShownSlip


@dataclass(frozen=True, kw_only=True)
class Part:
    """One value of a plan.

    name    in words, as asked: "length out"; also the key of the value
    sides   the word that makes it positive, then the one that makes it negative, such as
            ("left", "right"); where given, one of them must be said unless the value is zero
    """

    name: str
    kind: str
    unit: str
    sides: tuple = ()
    example: str = ""

    def shown(self):
        """How to write it."""
        return f"{self.example or example(self.kind)}{' ' + self.sides[0] if self.sides else ''}"

    def read(self, text):
        """(number in the unit, "") or (None, advice)."""
        side = ""
        if self.sides:
            text, side = split_side(text)
        reading = read_answer(text, self.kind, self.unit, self.shown())
        if reading.status != "read":
            return None, f"For the {self.name}: {reading.advice}"
        if not self.sides:
            return reading.number, ""
        if side not in (*self.sides, "") or (not side and reading.number != 0):
            return None, (
                f"For the {self.name} I read “{text.strip()[:40]}”: say {self.sides[0]} or "
                f"{self.sides[1]}, like this: {self.shown()}"
            )
        if side and reading.number < 0:
            return None, f"For the {self.name} leave the minus sign out, since you say {side}."
        return (-reading.number if side == self.sides[1] else reading.number), ""

    def typed(self, number):
        """A value as it is typed."""
        unit = unit_text(self.kind, self.unit)
        if not self.sides or number == 0:
            return f"{_digits(number)} {unit}".strip()
        return f"{_digits(abs(number))} {unit} {self.sides[0] if number > 0 else self.sides[1]}"


@dataclass(frozen=True, kw_only=True)
class Condition:
    """What a plan must meet.

    met       (row, values) -> whether; values are keyed by the parts' names, in their units
    sentence  for the learner who missed it: what goes wrong, where to look; never a right value
    share     of the points; the shares of all conditions add up to 1
    missing   row -> values that miss this one condition and no other: the tests prove each with it
    """

    name: str
    met: Callable
    sentence: str
    share: float
    missing: Callable


@dataclass(frozen=True, kw_only=True)
class Plan(Asked):
    """A small plan or aim to be found: any answer that meets all conditions is right.

    found   row -> values of one answer that meets all of them
    """

    parts: tuple
    conditions: tuple
    found: Callable

    @property
    def typed_as(self):
        """What the answer cell says behind the quotes."""
        return "; ".join(part.name for part in self.parts)

    @property
    def example_answer(self):
        """How to write an answer."""
        return "; ".join(part.shown() for part in self.parts)

    def fits(self, row):
        """Whether the known answer meets every condition, and each can be missed alone."""
        return self._missed(row, self.found(row)) == () and all(
            self._missed(row, condition.missing(row)) == (condition,)
            for condition in self.conditions
        )

    def _missed(self, row, values):
        return tuple(c for c in self.conditions if not c.met(row, values))

    def _typed(self, values):
        return "; ".join(part.typed(values[part.name]) for part in self.parts)

    def judge(self, row, answer, earlier=None):
        """The outcome: full where all conditions are met, else the share of those that are."""
        text = as_text(answer)
        if not text.strip():
            words = f"Nothing written yet. Write it like this: {self.example_answer}"
            return self._outcome(0.0, "blank", words, text)
        names = [part.name for part in self.parts]
        pieces = split_values(text, names)
        if pieces is None:
            words = (
                f"I read “{text.strip()[:60]}”. {len(names)} values are asked ({'; '.join(names)}), "
                f"with “;” between them: {self.example_answer}"
            )
            return self._outcome(0.0, "unreadable", words, text)
        values, advice = {}, []
        for part, piece in zip(self.parts, pieces, strict=True):
            values[part.name], told = part.read(piece)
            advice += [told] if told else []
        if advice:
            return self._outcome(0.0, "unreadable", " ".join(advice), text)
        missed = self._missed(row, values)
        if not missed:
            return self._outcome(1.0, "right", "That works: every condition is met.", text)
        share = sum(c.share for c in self.conditions if c not in missed)
        told = " ".join(c.sentence for c in missed)
        return self._outcome(
            share,
            "missed/" + "/and/".join(c.name for c in missed),
            f"{len(self.conditions) - len(missed)} of {len(self.conditions)} conditions are met. "
            f"{told} {self.reread}",
            text,
        )

    def worked_answer(self, row):
        """One answer that meets every condition."""
        return self._typed(self.found(row))

    def shown_slips(self, row):
        """For each condition a plan that misses only this one."""
        return tuple(
            ShownSlip(
                c.name, self._typed(c.missing(row)), c.sentence, 1 - c.share, f"missed/{c.name}"
            )
            for c in self.conditions
        )


def _copied(stands):
    """The slip of writing down the number that the wrong step shows."""
    return Slip(
        "wrong-again",
        stands,
        "That is the number that stands there, and it is the wrong one.",
        did="copy the number that stands there",
    )


@dataclass(frozen=True, kw_only=True)
class FindFault(Asked):
    """A worked solution with one wrong step: which step, and what should stand there?

    steps   row -> ((name, text), ...), numbered from 1 on the page; names stand in the notes
    fault   row -> name of the wrong step
    number  a Question for the number that belongs there; its `ask` is not shown
    stands  row -> the number that stands in the wrong step: copying it is a slip for free
    """

    steps: Callable
    fault: Callable
    number: Question
    stands: Callable | None = None

    typed_as: ClassVar[str] = "step; the right number there, with its unit"

    def __post_init__(self):
        """Give the number the slip of having copied what stands there."""
        super().__post_init__()
        if self.stands is None:
            return
        copied = _copied(self.stands)
        others = [slip for slip in self.number.slips if slip.name != copied.name]
        object.__setattr__(self, "number", replace(self.number, slips=(copied, *others)))

    @property
    def example_answer(self):
        """How to write an answer."""
        return f"step 9; {self.number.example_answer}"

    def fits(self, row):
        """Whether the fault is one of the steps, and the number's slips stand clear."""
        names = [name for name, _ in self.steps(row)]
        return (
            self.fault(row) in names and len(set(names)) == len(names) < 9 and self.number.fits(row)
        )

    def words(self, row):
        """The question and the numbered steps."""
        steps = "\n".join(f"{n}. {text}" for n, (_, text) in enumerate(self.steps(row), 1))
        return f"{self.ask(row)}\n{steps}"

    def judge(self, row, answer, earlier=None):
        """The outcome: half for the step, half for the number that belongs there."""
        text = as_text(answer)
        names = [name for name, _ in self.steps(row)]
        like = f"Write the step, then the number: {self.example_answer}"
        if not text.strip():
            return self._outcome(0.0, "blank", f"Nothing written yet. {like}", text)
        step, rest = split_step(text)
        if step is None or not 1 <= step <= len(names):
            words = f"I read “{text.strip()[:60]}”. There are steps 1 to {len(names)}. {like}"
            return self._outcome(0.0, "unreadable", words, text)
        if names[step - 1] != self.fault(row):
            words = (
                f"Step {step} follows from what stands above it. Work down from the top and stop "
                f"at the first number that you do not get. {self.reread}"
            )
            return self._outcome(0.0, f"mistake/blamed-{names[step - 1]}", words, text)
        if not rest:
            words = f"That is the step. Now the number that belongs there. {like}"
            return self._outcome(STEP_ONLY_CREDIT, "step-only", words, text)
        inner = self.number.judge(row, rest)
        share = STEP_ONLY_CREDIT + (1 - STEP_ONLY_CREDIT) * inner.points / inner.most
        branch = inner.note.partition("/")[2]
        branch = branch if inner.right else f"number/{branch}"
        return self._outcome(share, branch, f"That is the step. {inner.message}", text)

    def _step(self, row):
        return [name for name, _ in self.steps(row)].index(self.fault(row)) + 1

    def worked_answer(self, row):
        """The step and its right number."""
        return f"step {self._step(row)}; {self.number.worked_answer(row)}"

    def shown_slips(self, row):
        """Every step wrongly blamed, and the slips in the number."""
        steps = self.steps(row)
        blamed = (
            ShownSlip(
                f"blamed-{name}",
                f"step {n}; {self.number.worked_answer(row)}",
                "That step follows from what stands above it.",
                0.0,
                f"mistake/blamed-{name}",
            )
            for n, (name, _) in enumerate(steps, 1)
            if name != self.fault(row)
        )
        inner = (
            ShownSlip(
                s.name,
                f"step {self._step(row)}; {s.answer}",
                s.sentence,
                STEP_ONLY_CREDIT + (1 - STEP_ONLY_CREDIT) * s.credit,
                f"number/{s.branch}",
            )
            for s in self.number.shown_slips(row)
        )
        return (*blamed, *inner)
