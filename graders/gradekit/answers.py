"""Reading what a learner typed, before any judging."""

import ast
from dataclasses import dataclass
from numbers import Real

from aerialstream.errors import UnreadableText
from aerialstream.quantity_text import EXAMPLES, read_quantity_text
from aerialstream.units import quantity

LONGEST_ANSWER = 200
NOT_A_TEXT = "(neither text nor number)"

# Advice shows how to write an answer, so the number in it must earn nothing: the tests put these
# to every row of every question.
_EXAMPLES = {"force": "2,000 lbf", "moment": "1,200 lbf ft"}

# UnreadableText.code -> what the record calls it
_STATUS = {
    "blank": "blank",
    "no unit": "no unit",
    "wrong kind": "wrong kind",
}


@dataclass(frozen=True)
class Reading:
    """What was read.

    status    "read", "blank", "unreadable", "no unit" or "wrong kind"
    number    the number in the unit asked for; with "no unit" the bare number; else None
    advice    for anything but "read": what was read and how to write it
    """

    status: str
    number: float | None = None
    advice: str = ""


def as_text(answer):
    """An answer as text: learners type text, but a bare number or a quantity may arrive.

    Anything else, and anything that cannot even be looked at without an error, becomes
    NOT_A_TEXT, which is then refused in words.
    """
    try:
        if answer is None:
            return ""
        if isinstance(answer, str):
            text = answer
        elif type(answer) is int:
            text = str(answer)
        elif isinstance(answer, Real) and not isinstance(answer, bool):
            text = f"{float(answer):.10g}"
        else:
            text = str(answer) if hasattr(answer, "magnitude") else NOT_A_TEXT
        text = str.__getitem__(text, slice(LONGEST_ANSWER))
    except Exception:  # a learner's own object may do anything
        return NOT_A_TEXT
    # Half a surrogate pair cannot be sent or written.
    return text.encode("utf-8", "replace").decode()


_QUOTES = "\"'“”„‘’`´ "


def misquoted_answer(source, variable):
    """The answer in a cell whose quotes are wrong, where one line plainly gives it; else None.

    `reaction_1 = ""505 lbf""`, `= "505 lbf`, `= 505 lbf` and curly quotes all mean 505 lbf. A cell
    that Python can read, or with other code in it, is left alone.
    """
    try:
        ast.parse(source)
        return None
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        pass
    lines = [line for line in source.splitlines() if line.strip(" #") and line.strip()[0] != "#"]
    if len(lines) != 1:
        return None
    name, sign, rest = lines[0].partition("=")
    text = rest.split("#")[0].strip(_QUOTES)
    plain = text and not set(text) & set('()[]{}=\\"“”;')
    return as_text(text) if sign and name.strip() == variable and plain else None


def typed_answer(source, variable):
    """The text that a cell's source gives to a variable between quotes, without running anything.

    Takes
      source     source of an answer cell
      variable   the name that the answer has
    Gives
      (text, alone)   text is None where no plain text or number is given to the variable; alone
                      tells whether the cell holds nothing but that, to plain names, and comments:
                      only then would it run nothing. Where it is given several times the last
                      one counts, as it would if the cell ran.
    """
    try:
        body = ast.parse(source).body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return misquoted_answer(source, variable), False
    text = None
    for statement in body:
        if isinstance(statement, ast.Assign) and any(
            isinstance(target, ast.Name) and target.id == variable for target in statement.targets
        ):
            try:
                value = ast.literal_eval(statement.value)
            except (ValueError, TypeError, SyntaxError, RecursionError, MemoryError):
                text = None
                continue
            plain = isinstance(value, str | int | float) and not isinstance(value, bool)
            text = as_text(value) if plain else None
    # A target such as `x[call()] = answer = "..."` would run the call.
    alone = len(body) == 1 and all(
        isinstance(target, ast.Name) for target in getattr(body[0], "targets", ())
    )
    return text, alone


def read_answer(text, kind, unit):
    """A typed answer as a number in the unit asked for, or what is wrong with it.

    Takes
      text   what was typed, as `as_text` gives it
      kind   kind of quantity asked for, such as "force"
      unit   unit the number is wanted in, as the registry knows it
    Gives
      Reading
    """
    try:
        read = read_quantity_text(text, kind, example(kind))
    except UnreadableText as error:
        if error.code == "unknown unit":
            known = f"{error}."
            return Reading("unreadable", None, known)
        number = error.number if error.code == "no unit" else None
        return Reading(_STATUS.get(error.code, "unreadable"), number, str(error))
    number = quantity(read.number, read.unit).to(unit).magnitude
    return Reading("read", float(number))


def example(kind):
    """How an answer of this kind is written."""
    return _EXAMPLES.get(kind) or EXAMPLES[kind]
