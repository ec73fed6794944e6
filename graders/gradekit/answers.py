"""Reading what a learner typed, before any judging."""

import ast
import re
from dataclasses import dataclass
from math import isfinite
from numbers import Real

from aerialstream.errors import UnreadableText
from aerialstream.quantity_text import EXAMPLES, read_quantity_text
from aerialstream.units import quantity

LONGEST_ANSWER = 200
NOT_A_TEXT = "(neither text nor number)"

# Advice shows how to write an answer, so the number in it must earn nothing: the tests put these
# to every row of every question.
_EXAMPLES = {"force": "2,000 lbf", "moment": "1,200 lbf ft", "times": "7", "count": "12"}
# Kinds of numbers without a unit: how many times as much, and how many pieces.
BARE_KINDS = ("times", "count")

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
    typed     the number as it stands in the text, before it was converted; None where none was
    """

    status: str
    number: float | None = None
    advice: str = ""
    typed: float | None = None


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


_QUOTES = "\"'“”„‘’`´"
_INCH_MARK = re.compile(r"[\d½¼¾⅛⅜⅝⅞]\s?(?:\"|''|”|″)$")
# What a learner may type without quotes and Python would take for a name.
_BARE_WORD = re.compile(r"[A-Za-z]|yes|no|half|go", re.IGNORECASE)


def misquoted_answer(source, variable):
    """The answer in a cell whose quotes are wrong, where one line plainly gives it; else None.

    `reaction_1 = ""505 lbf""`, `= "505 lbf`, `= 505 lbf`, `= B` and curly quotes are all read as
    they are meant; so is `"1-3/4""`, where the last mark but one means inches. Any other cell that
    Python can read, or with other code in it, is left alone.
    """
    try:
        if not _bare_word(ast.parse(source), variable):
            return None
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        pass
    lines = [line for line in source.splitlines() if line.strip(" #") and line.strip()[0] != "#"]
    if len(lines) != 1:
        return None
    name, sign, rest = lines[0].partition("=")
    text = _unquoted(rest)
    inside = _INCH_MARK.sub("", text)
    plain = inside and not set(inside) & set('()[]{}=\\"“”' + ("" if _quoted(rest) else ";"))
    return as_text(text) if sign and name.strip() == variable and plain else None


def _bare_word(tree, variable):
    """Whether a cell that Python can read only gives a bare word to the variable."""
    if len(tree.body) != 1 or not isinstance(tree.body[0], ast.Assign):
        return False
    (target, *others), value = tree.body[0].targets, tree.body[0].value
    return (
        not others
        and isinstance(target, ast.Name)
        and target.id == variable
        and isinstance(value, ast.Name)
        and _BARE_WORD.fullmatch(value.id) is not None
    )


def _quoted(rest):
    return rest.strip()[:1] in tuple(_QUOTES)


def _unquoted(rest):
    """What stands between quotes, however many there are; an inch mark at the end stays."""
    text = rest.split("#")[0].strip()
    if text.count("#") == 0 and "#" in rest and _quoted(rest) and rest.count('"') > text.count('"'):
        text = rest.strip()  # "505#": the mark means pounds
    bare = text.lstrip(_QUOTES + " ")
    opened = len(text) - len(bare)
    while bare and bare[-1] in _QUOTES + " " and (opened > 0 or not _INCH_MARK.search(bare)):
        bare, opened = bare[:-1], opened - (bare[-1] != " ")
    return bare


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
    mended = misquoted_answer(source, variable)
    if mended is not None:
        return mended, False
    try:
        body = ast.parse(source).body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        return None, False
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


# --- numbers ------------------------------------------------------------------------------------

_PARTS = {
    "half": 1 / 2, "one half": 1 / 2, "a half": 1 / 2, "by half": 1 / 2, "third": 1 / 3,
    "a third": 1 / 3, "one third": 1 / 3, "two thirds": 2 / 3, "quarter": 1 / 4, "a quarter": 1 / 4,
    "one quarter": 1 / 4, "a fourth": 1 / 4, "one fourth": 1 / 4, "three quarters": 3 / 4,
    "three fourths": 3 / 4, "a tenth": 1 / 10, "one tenth": 1 / 10, "a fifth": 1 / 5,
    "one fifth": 1 / 5,
}  # fmt: skip
_WHOLE = {
    "none": 0, "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "once": 1, "twice": 2,
    "double": 2, "doubles": 2, "doubled": 2, "triple": 3, "triples": 3, "tripled": 3,
    "quadruple": 4, "quadruples": 4, "quadrupled": 4, "the same": 1, "same": 1, "unchanged": 1,
    "halves": 1 / 2, "halved": 1 / 2,
}  # fmt: skip
_TIMES_WORDS = re.compile(r"\s*(?:times(?: as (?:much|large|big|high|many))?|fold|x|×)$")
_COUNT_WORDS = re.compile(r"^([\d,.+/ -]*\d)\s+[a-z][a-z -]{0,30}$")


def _in_words(text):
    """A text for the small tables of words: lower case, single spaces, hyphens and stops gone."""
    return re.sub(r"[\s-]+", " ", text.strip(" \t\n.!").lower())


def _word_number(text, kind):
    """The number that a word or two stands for, or None: "half" is 50 percent or 0.5 times."""
    words = _in_words(text)
    if kind == "share" and words in _PARTS:
        return 100 * _PARTS[words]
    if kind in BARE_KINDS:
        words = _TIMES_WORDS.sub("", words) if kind == "times" else words
        number = _WHOLE.get(words, _PARTS.get(words))
        first = words.partition(" ")[0]
        if number is None and kind == "count" and words.count(" ") <= 2:
            number = _WHOLE.get(first)
        return number
    return None


def _bare_number(text, kind, shown):
    """A Reading of a number that has no unit: "4", "4x", "4 times", "three lines"."""
    words = _in_words(text)
    if kind == "times":
        words = _TIMES_WORDS.sub("", words)
    elif _COUNT_WORDS.match(words):
        words = _COUNT_WORDS.match(words)[1]
    try:
        # The grammar wants a unit; a percent sign is as good as any, and is taken off again.
        number = read_quantity_text(f"{words} %", "share", shown).number
    except UnreadableText:
        return Reading(
            "unreadable",
            None,
            f"I read “{text.strip()[:60]}”. Write one number, like this: {shown}",
        )
    if kind == "count" and number != int(number):
        return Reading("unreadable", None, f"I read {number:g}. A whole number is asked: {shown}")
    return Reading("read", number)


def read_answer(text, kind, unit, shown=""):
    """A typed answer as a number in the unit asked for, or what is wrong with it.

    Takes
      text   what was typed, as `as_text` gives it
      kind   kind of quantity asked for, such as "force"; "times" and "count" have no unit
      unit   unit the number is wanted in, as the registry knows it
      shown  how to write an answer, for the advice
    Gives
      Reading
    """
    shown = shown or example(kind)
    if not _has_ink(text):
        return Reading("blank", None, f"Nothing written yet. Write {_like(kind)}: {shown}")
    number = _word_number(text, kind)
    if number is not None:
        return Reading("read", float(number))
    if kind in BARE_KINDS:
        return _bare_number(text, kind, shown)
    try:
        read = read_quantity_text(text, kind, shown)
    except UnreadableText as error:
        if error.code == "unknown unit":
            known = f"{error}."
            return Reading("unreadable", None, known)
        number = error.number if error.code == "no unit" else None
        return Reading(_STATUS.get(error.code, "unreadable"), number, str(error))
    number = quantity(read.number, read.unit).to(unit).magnitude
    if not isfinite(number):
        return Reading(
            "unreadable", None, f"That number is beyond all measure. Write it as {shown}"
        )
    return Reading("read", float(number), typed=float(read.number))


def _like(kind):
    return "a number" if kind in BARE_KINDS else "a number and a unit"


def _has_ink(text):
    return bool(text.replace("\u00a0", " ").strip())


def example(kind):
    """How an answer of this kind is written."""
    return _EXAMPLES.get(kind) or EXAMPLES[kind]


_NOT_ENTERED = re.compile(
    r"(?:it is |its )?(?:not (?:entered|in the table|there|given|covered|listed)|no (?:entry|line|value|figure)"
    r"(?: entered)?|nothing(?: is)? entered|none(?: entered)?|look it up|look up|not entered,? look it up"
    r"|(?:look|see|ask)[a-z ]{0,20} manual)"
)


def says_not_entered(text):
    """Whether a text says that the table holds no number: "not entered", "look it up"."""
    return _NOT_ENTERED.fullmatch(_in_words(text)) is not None


# --- letters ------------------------------------------------------------------------------------

LETTERS = "ABCDEFGHIJ"


@dataclass(frozen=True)
class Pick:
    """Which of several lettered things was meant: places from 0, or advice where it is unclear."""

    status: str  # "read", "blank" or "unreadable"
    places: tuple = ()
    advice: str = ""


_LETTER = re.compile(
    r"(?:my )?(?:answer|choice|option|letter|it is|its|i(?:'d| would)? (?:pick|choose|say|take))?\s*(?:is)?\s*[:=]?\s*"
    r"[(\[{]?\s*([a-j])\s*[)\]}]?\s*[.:)]?"
)
_LETTER_FIRST = re.compile(
    r"[(\[]?([a-j])\s*(?:[)\].:,;]|\s-|-\s|\b(?=because|since|as\s))\s*(.{1,180})", re.DOTALL
)


_MORE_LETTERS = re.compile(r"(?:[a-j]|and|or|[ ,;/])+")


def read_choice(text, count, words=()):
    """Which of `count` lettered choices a text means.

    Takes
      text    "B", "b)", "(B)", "answer B", "B, because ...", or the words of a choice
      count   how many choices there are
      words   for each choice the texts that mean it, such as ("yes",)
    """
    last = LETTERS[count - 1]
    advice = f"Type one letter from A to {last}."
    if not _has_ink(text):
        return Pick("blank", (), f"Nothing written yet. {advice}")
    plain = re.sub(r"\s+", " ", text.translate(_STRAIGHT).strip(" \t\n.!\"'")).lower()
    for place, meant in enumerate(words):
        if plain in {word.lower().strip(" .") for word in meant}:
            return Pick("read", (place,))
    match = _LETTER.fullmatch(plain) or _LETTER_FIRST.fullmatch(plain)
    if match and match.lastindex == 2 and _MORE_LETTERS.fullmatch(match[2]):
        match = None  # "A, C" picks two
    if match and LETTERS.index(match[1].upper()) < count:
        return Pick("read", (LETTERS.index(match[1].upper()),))
    return Pick("unreadable", (), f"I read “{text.strip()[:60]}”. {advice}")


_STRAIGHT = str.maketrans(
    {"\u00a0": " ", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-"}
)
_BETWEEN = re.compile(r"[\s,;.>=/()\[\]+-]+|→|->|\bthen\b|\band\b|\bfirst\b|\blast\b")


def read_order(text, count):
    """An order of `count` lettered steps: "C A D B", "c, a, d, b", "CADB", "3 1 4 2"."""
    letters = LETTERS[:count]
    advice = f"Type the {count} letters A to {letters[-1]} in your order, each once, with blanks between."
    if not _has_ink(text):
        return Pick("blank", (), f"Nothing written yet. {advice}")
    plain = text.translate(_STRAIGHT).strip(" \"'.!").lower()
    plain = re.sub(r"^(?:my )?(?:order|answer|sequence)\s*(?:is)?\s*[:=]?\s*", "", plain)
    parts = [part for part in _BETWEEN.split(plain) if part]
    if len(parts) == 1 and len(parts[0]) == count:
        parts = list(parts[0])
    parts = _without_numbering(parts, count)
    places = []
    for part in parts:
        if len(part) == 1 and part.upper() in letters:
            places.append(letters.index(part.upper()))
        elif part.isascii() and part.isdigit() and 1 <= int(part[:3]) <= count:
            places.append(int(part[:3]) - 1)
        else:
            return Pick("unreadable", (), f"I read “{text.strip()[:60]}”. {advice}")
    read = " ".join(letters[place] for place in places)
    twice = sorted({letters[p] for p in places if places.count(p) > 1})
    left = [letter for place, letter in enumerate(letters) if place not in places]
    if twice or left:
        told = [f"{', '.join(twice)} there more than once"] if twice else []
        told += [f"{', '.join(left)} left out"] if left else []
        return Pick("unreadable", (), f"I read “{read}”: {'; '.join(told)}. {advice}")
    return Pick("read", tuple(places))


def _without_numbering(parts, count):
    """`1 C 2 A 3 D`: the numbers only count the places, so they are dropped."""
    if len(parts) == 2 * count and parts[::2] == [str(n + 1) for n in range(count)]:
        return parts[1::2]
    return parts


# --- several values -----------------------------------------------------------------------------

_SIDES = re.compile(
    r"^(.*?\S)\s*(?:to the |to |on the )?(left|right|up|down|above|below|l|r)$",
    re.IGNORECASE | re.DOTALL,
)
_SIDE_OF = {"l": "left", "r": "right", "above": "up", "below": "down"}


def split_values(text, names):
    """The pieces of an answer of several values, one for each name, or None.

    Pieces stand behind one another with ";" or on lines of their own, else with ", ". A piece may
    begin with its name: then the names decide, not the order.
    """
    text = text.translate(_STRAIGHT)
    for between in (r"[;\n]", r",\s(?!\d{3}\b)|,(?!\d)", r"\s(?:and|/)\s"):
        pieces = [piece.strip() for piece in re.split(between, text) if piece.strip()]
        if len(pieces) == len(names):
            return _by_name(pieces, names)
    return None


def _by_name(pieces, names):
    bare, named = [], {}
    for piece in pieces:
        for name in names:
            match = re.match(
                rf"{re.escape(name)}\b\s*[:=]?\s*(.+)$", piece, re.IGNORECASE | re.DOTALL
            )
            if match:
                named.setdefault(name, match[1])
                bare.append(match[1])
                break
        else:
            bare.append(piece)
    if len(named) == len(names):
        return [named[name] for name in names]
    return bare


def split_side(text):
    """(rest, side): "5 deg left" is ("5 deg", "left"); side is "" where none is said."""
    match = _SIDES.match(text.strip().rstrip("."))
    if not match:
        return text, ""
    side = match[2].lower()
    return match[1].rstrip(" ,"), _SIDE_OF.get(side, side)


_STEP = re.compile(
    r"\s*(?P<word>(?:in |it is )?(?:step|line|no\.?|number|#))?\s*(?P<step>\d{1,2}(?![\d/.]))\s*"
    r"(?P<rest>.*)",
    re.IGNORECASE | re.DOTALL,
)
_AFTER_STEP = re.compile(
    r"(?:[;:)=,\s]|->|→|(?:is|was|should|be|it|must|wrong|has|to|right)\b)*", re.IGNORECASE
)


def split_step(text):
    """(step, rest): "step 3; 60 psi" is (3, "60 psi"); step is None where none is named.

    A step without the word before it needs ";", ":", ")" or ", " behind it: "3,600 psi" and
    "3 ft" name no step.
    """
    match = _STEP.fullmatch(text.translate(_STRAIGHT))
    if not match:
        return None, text.strip()
    rest = re.sub(r"^-\s+", "; ", match["rest"].strip())  # a dash, no minus sign
    if not match["word"] and rest and not re.match(r"[;:)]|,\s", rest):
        return None, text.strip()
    return int(match["step"]), rest[_AFTER_STEP.match(rest).end() :]
