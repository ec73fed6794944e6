"""Trying a question out: what a member sees, its right answer and every slip; and its proof.

`faults` goes through every variant and says what an author has to put right. The tests run it
over all papers; `aerialstream question try` shows its findings beside the question.
"""

import re
from collections import Counter
from dataclasses import dataclass

from gradekit.answers import BARE_KINDS
from gradekit.questions import paper_of
from gradekit.questions.numbers import LookUp, Question
from gradekit.questions.picks import Choice, Ordering
from gradekit.questions.plans import FindFault

MOST_FAULTS = 12
LONGEST_SENTENCE = 45  # words
VERDICTS = re.compile(r"\bsafe(?:ly)?\b|within limits", re.IGNORECASE)
NOTE = re.compile(r"[a-z0-9-]+(/[a-z0-9-]+)+")


@dataclass(frozen=True)
class Trial:
    """One question as one member gets it.

    twins   how many variants have slips that a follow-up question has to tell apart
    """

    question: object
    variant: str
    words: str
    right: str
    slips: tuple
    variants: int
    twins: int
    faults: tuple


def trial(question_id, member, retake=0, department=None):
    """The Trial of a question for a member; KeyError where there is no such question."""
    paper = paper_of(question_id)
    question = paper.question(question_id)
    row = paper.row(question_id, member, retake, department)
    return Trial(
        question=question,
        variant=question.place(paper.version, member, retake, department),
        words=question.words(row),
        right=question.worked_answer(row),
        slips=question.shown_slips(row),
        variants=len(question.variants(department)),
        twins=twins(question, department),
        faults=faults(question, department),
    )


def twins(question, department=None):
    """In how many variants two slips give one number."""
    return sum(
        any("/or/" in slip.branch for slip in question.shown_slips(row))
        for row in question.variants(department)
    )


def faults(question, department=None):
    """What breaks the rules in any variant of a question, one sentence each; empty when sound."""
    found = _table_faults(question, department)
    branches = {}
    for row in question.variants(department) if question.judged else ():
        found += _row_faults(question, row, branches)
        if len(found) >= MOST_FAULTS:
            break
    return tuple(dict.fromkeys(found))


def _table_faults(question, department):
    table, found = question.table(department), []
    if not table:
        return [f"{question.id}: {_why_no_row(question)}"]
    said = Counter(question.words(row) for row in table)
    if max(said.values()) > 1 and question.same_row_as is None:
        found.append(f"{question.id}: two rows read alike")
    if question.same_row_as is not None:
        lost = sum(not question.fits(row) for row in table)
        if lost:
            found.append(
                f"{question.id}: {lost} of {len(table)} rows of {question.same_row_as.id} do not "
                f"fit here: give that question keep=lambda row: THIS.fits(row)"
            )
    names = [one.name for one in getattr(question, "slips", getattr(question, "options", ()))]
    for name in sorted({name for name in names if names.count(name) > 1}):
        found.append(f"{question.id}: the name {name} is there twice")
    if question.judged and not question.reread:
        found.append(f"{question.id}: `reread` is empty: say where to look again")
    if isinstance(question, Question) and not question.first_step:
        found.append(f"{question.id}: `first_step` is empty: it stands behind unknown numbers")
    for slip in getattr(question, "slips", ()):
        if not slip.sentence.strip().endswith((".", "?", "!")):
            found.append(f"{question.id}, slip {slip.name}: the sentence does not end")
        if len(slip.sentence.split()) > LONGEST_SENTENCE:
            found.append(f"{question.id}, slip {slip.name}: more than {LONGEST_SENTENCE} words")
    if not question.judged and sum(worth for worth, _ in question.guide) != question.points:
        found.append(f"{question.id}: the marking guide does not add up to {question.points:g}")
    return found


def _why_no_row(question):
    if not (question.rows or question.rows_from or question.same_row_as):
        return "no row is left to deal: give it `rows`, `rows_from` or `same_row_as`"
    if isinstance(question, Choice):
        return "no row is left to deal: one choice must be right and no two may say the same"
    return (
        "no row is left to deal: in every row a slip comes within twice the tolerance of the right "
        "answer, or `keep` turns it away"
    )


def _row_faults(question, row, branches):
    found, name = [], question.id
    right = question.judge(row, question.worked_answer(row))
    if not right.right or right.note != f"{name}/right":
        found.append(f"{name}: {question.worked_answer(row)!r} is right, but gets {right.note}")
    words = question.words(row)
    if VERDICTS.search(words) or "None" in words or "{" in words:
        found.append(f"{name}: an unfit word in the question: {words[:80]}")
    if isinstance(question, Question) and not isinstance(question, LookUp):
        if gives_away(question, row, words):
            found.append(f"{name}: the question shows its own answer: {question.value(row):g}")
        told = question.tolerance_words.lower() in words.lower()
        if not told and question.kind not in BARE_KINDS:
            found.append(f"{name}: the words do not say “{question.tolerance_words}”")
    for slip in question.shown_slips(row):
        found += _slip_faults(question, row, slip)
        branches.setdefault(slip.branch, slip.name)
    for answer in ("", "no idea at all", question.example_answer):
        outcome = question.judge(row, answer)
        if outcome.points or not outcome.message:
            found.append(f"{name}: {answer!r} earns {outcome.points:g} points ({outcome.note})")
    return found


def _slip_faults(question, row, slip):
    found, where = [], f"{question.id}, slip {slip.name}"
    outcome = question.judge(row, slip.answer)
    if outcome.note != f"{question.id}/{slip.branch}":
        found.append(f"{where}: {slip.answer!r} gets {outcome.note}")
    if slip.name not in outcome.note:
        found.append(f"{where}: its note {outcome.note} does not name it")
    if outcome.right:
        found.append(f"{where}: {slip.answer!r} earns full points")
    if not NOTE.fullmatch(outcome.note):
        found.append(f"{where}: the note {outcome.note} has other signs than a-z, 0-9 and -")
    if gives_away(question, row, outcome.message):
        found.append(f"{where}: its sentence gives the answer away: {slip.sentence[:80]}")
    if VERDICTS.search(outcome.message):
        found.append(f"{where}: a verdict that is not ours to give: {outcome.message[:80]}")
    return found


def gives_away(question, row, message):
    """Whether a message holds the right answer: its number in 3 or more digits, or its words."""
    if isinstance(question, Choice):
        option = next(o for o in question.laid_out(row) if o.is_right(row))
        return len(option.said(row)) > 3 and option.said(row).lower() in message.lower()
    if isinstance(question, Ordering):
        return question.worked_answer(row) in message.partition(".")[2]
    if isinstance(question, FindFault):
        return gives_away(question.number, row, message)
    if not isinstance(question, Question) or question.value(row) is None:
        return False
    right = abs(question.value(row))
    roundings = {f"{float(f'{right:.{digits - 1}e}'):.10g}" for digits in range(3, 9)}
    for shown in re.findall(r"\d[\d,]*(?:\.\d+)?", message):
        plain = f"{float(shown.rstrip(',').replace(',', '')):.10g}"
        if plain in roundings and len(plain.replace(".", "")) >= 3:
            return True
    return False
