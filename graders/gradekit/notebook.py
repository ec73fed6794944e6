"""What an assignment notebook shows: the situation, the questions, and help with the answers.

Nothing here writes to standard error: nbgrader scores any stderr of a check cell as zero.
"""

import contextlib
import io
import logging
import re
import warnings
from dataclasses import replace
from html import escape

from aerialstream.errors import AerialStreamError
from gradekit.answers import as_text, misquoted_answer, typed_answer
from gradekit.draw import member_number, retake_number
from gradekit.questions import Outcome, paper_named, paper_of

# The raw answer travels to the grading process under this type; no browser shows it.
ANSWER_TYPE = "application/vnd.aerialstream.answer+json"
MEMBER_VARIABLE = "member"
RETAKE_VARIABLE = "retake"
NO_MEMBER = (
    "Type your member number between the quotes in the first cell, then run the notebook again."
)

NOT_TYPED = (
    "Mind: for the record only a text between the quotes counts; no sums are run. Type the "
    "worked-out number and its unit."
)


class Page:
    """A piece of HTML that a cell shows; `text` is the same for those who read plain text."""

    def __init__(self, html, text):
        self._html, self._text = html, text

    def _repr_html_(self):
        return self._html

    def __repr__(self):
        return self._text


class CheckedAnswer:
    """An outcome as a cell's last value: points as text, advice as HTML, and the raw answers.

    earlier   {question id: text} of the answers that the question takes up
    """

    def __init__(self, outcome, earlier=None):
        self.outcome = outcome
        self.earlier = earlier or {}

    def __repr__(self):
        return repr(self.outcome)

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {
            "text/plain": repr(self.outcome),
            "text/html": self.outcome.html(),
            ANSWER_TYPE: {
                "question": self.outcome.question,
                "answer": self.outcome.answer,
                "earlier": self.earlier,
            },
        }


def _names(namespace):
    if namespace is not None:
        return namespace
    from IPython import get_ipython

    shell = get_ipython()
    return shell.user_ns if shell else {}


def _member(names):
    return member_number(as_text(names.get(MEMBER_VARIABLE)))


def _retake(names):
    return retake_number(names.get(RETAKE_VARIABLE))


def member_cell(member, retake=0):
    """The source of the member cell as it is handed out; a retake has a line of its own."""
    again = f"\n{RETAKE_VARIABLE} = {int(retake)}" if retake else ""
    return f'{MEMBER_VARIABLE} = "{member}"{again}'


def as_page(words, ending=""):
    """Words as HTML: a new line of the text starts a new line of the page; `ending` is HTML."""
    return f"<p>{'<br>'.join(escape(line) for line in words.split(chr(10)))}{ending}</p>"


def mend_quotes(paper):
    """Let an answer with wrong quotes be read as it is meant, here as in the grading run.

    Without this one quotation mark too many shows a learner Python's own error.
    """
    from IPython import get_ipython

    shell = get_ipython()
    if shell is None:
        return
    variables = [MEMBER_VARIABLE, *(q.variable for q in paper.auto_questions)]

    def mended(lines):
        for variable in variables:
            text = misquoted_answer("".join(lines), variable)
            if text is not None:
                return [f"{variable} = {text!r}\n"]
        return lines

    mended.mends = True
    steps = shell.input_transformers_cleanup
    steps[:] = [step for step in steps if not getattr(step, "mends", False)] + [mended]


def situation(paper_name, namespace=None):
    """The situation of an assignment, with the line that tells variants apart."""
    paper = paper_named(paper_name)
    mend_quotes(paper)
    member = _member(_names(namespace))
    if not member:
        return Page(f"<p class='as-note'><strong>{escape(NO_MEMBER)}</strong></p>", NO_MEMBER)
    words, key = paper.situation_for(), paper.variant_key(member, _retake(_names(namespace)))
    return Page(
        f"<div class='as-situation'>{as_page(words)}"
        f"<p><small>Member {escape(member)}, variant {escape(key)}</small></p></div>",
        f"{words}\nMember {member}, variant {key}",
    )


def ask(question_id, namespace=None):
    """One question in words, with this member's numbers."""
    paper = paper_of(question_id)
    names = _names(namespace)
    member = _member(names)
    if not member:
        return Page(f"<p>{escape(NO_MEMBER)}</p>", NO_MEMBER)
    question = paper.question(question_id)
    words = question.words(paper.row(question_id, member, _retake(names)))
    points = f"{question.points:g} points"
    return Page(as_page(words, f" <em>({points})</em>"), f"{words} ({points})")


def check_in_notebook(question_id, namespace=None):
    """Judge the answer that stands in the notebook, for the learner's own eyes."""
    with (
        contextlib.redirect_stderr(io.StringIO()),
        warnings.catch_warnings(),
        _logging_off(),
    ):
        warnings.simplefilter("ignore")
        names = _names(namespace)
        earlier = _earlier(question_id, names)
        outcome = _outcome(question_id, names, earlier)
        # For the member's own refresher; whatever goes wrong there is not the answer's fault.
        with contextlib.suppress(Exception):
            from gradekit import refresher

            refresher.keep_check(outcome, _member(names))
        return CheckedAnswer(outcome, earlier)


def _earlier(question_id, names):
    """The answers that a question takes up, as text; those that are not there are left out."""
    question = paper_of(question_id).question(question_id)
    return {q.id: as_text(names[q.variable]) for q in question.needs if q.variable in names}


def _outcome(question_id, names, earlier):
    paper = paper_of(question_id)
    question = paper.question(question_id)
    answer = names.get(question.variable)
    text = as_text(answer)
    member = _member(names)
    if not member:
        return Outcome(
            0.0, float(question.points), NO_MEMBER, f"{question_id}/no-member", question_id, text
        )
    if question.variable not in names:
        return unanswered(question, "answer-cell-did-not-run")
    try:
        outcome = paper.judge(question_id, member, text, earlier=earlier, retake=_retake(names))
    except AerialStreamError as error:  # the department's files on this machine have faults
        told = f"This answer could not be judged here. {error}"
        note = f"{question_id}/not-judged"
        return Outcome(0.0, float(question.points), told, note, question_id, text)
    if not _typed(question.variable, names):
        outcome = replace(outcome, message=f"{outcome.message} {NOT_TYPED}")
    return outcome


def _typed(variable, names):
    """Whether the last cell that set the answer gave it as a text, as the record will need it."""
    for source in reversed(names.get("In") or ()):
        if isinstance(source, str) and re.search(rf"^\s*{variable}\s*=", source, re.MULTILINE):
            return typed_answer(source, variable)[0] is not None
    return True


def unanswered(question, branch):
    """The outcome where no answer could be had: the cell above was broken or did not run."""
    return Outcome(
        0.0,
        float(question.points),
        f'The cell above has to read {question.variable} = "...", with your answer between the '
        "quotes. Mend it and run it, then this one.",
        f"{question.id}/{branch}",
        question.id,
        None,
    )


@contextlib.contextmanager
def _logging_off():
    before = logging.root.manager.disable
    logging.disable(logging.CRITICAL)
    try:
        yield
    finally:
        logging.disable(before)
