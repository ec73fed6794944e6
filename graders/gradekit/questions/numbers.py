"""Questions with a number for an answer: computed, carried forward, estimated, looked up."""

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cache
from itertools import combinations, product

from aerialstream.quantity_text import UNIT_SPELLINGS, spellings_of
from aerialstream.units import quantity
from gradekit.answers import BARE_KINDS, as_text, example, read_answer, says_not_entered
from gradekit.questions.asked import Asked
from gradekit.questions.outcome import (
    NEAR_BAND_CREDIT,
    NO_UNIT_CREDIT,
    ROUNDING_BAND,
    ROUNDING_CREDIT,
    SIGN_CREDIT,
    TEN_CREDIT,
    UNIT_LABEL_CREDIT,
    ShownSlip,
)

_EDGE = 1 + 1e-9
_LEAST = 1e-12  # an allowance is divided by
_UNITS = {
    **UNIT_SPELLINGS,
    "weight": spellings_of("weight"),
    **{kind: ("",) for kind in BARE_KINDS},
}
_TONS = {"force_ton": "short tons", "force_metric_ton": "tonnes"}
_IN_WORDS = {"force": _TONS, "weight": {**_TONS, "kgf": "kg"}}


@dataclass(frozen=True)
class Slip:
    """A known wrong way to work it out.

    name       part of the note
    wrong      row -> the number this slip gives, in the question's unit; None where it gives none
    sentence   what was done, why it is wrong on the fireground, where to look; no number of the
               scenario
    credit     share of the points
    did        the slip behind "Did you ...", for rows in which two slips give one number
    minor      shown only in rows in which its number stands clear of the right one and of every
               other slip's, so that a rare slip neither costs a row nor clouds a common one;
               elsewhere it is told where it alone explains an answer, or fits it far better
    part       the part of the working that it spoils, such as "height"; two slips of one answer
               are looked for in two parts (see `together` of Question), without a part in none
    """

    name: str
    wrong: Callable
    sentence: str
    credit: float = 0.25
    did: str = ""
    minor: bool = False
    part: str = ""


RADIANS = (
    "degrees-as-radians",
    "The calculator stood on radians, so the sine or cosine belongs to quite another angle. Set it "
    "to degrees before you trust a number on the fireground.",
    "leave the calculator on radians",
)


NOT_FAR = 0.1  # share of the right number
ROUNDED_ON_THE_WAY = (
    "Not far off, yet more than a last digit makes. If you rounded on the way, a root or a square, "
    "say, keep all digits until the end. If not, look for a step that is missing or was done twice."
)

WRONG_LABEL = (
    "The number is fine, but not in the unit that you wrote behind it. Whoever reads it takes the "
    "unit at its word: write the one that the question asks for."
)


@dataclass(frozen=True, kw_only=True)
class Question(Asked):
    """A question with a number and a unit for an answer.

    kind, unit  of the answer; the kinds "times" and "count" have no unit (unit "")
    right       row -> the right number in `unit`
    tolerance   share of the right number, told to the learner as `tolerance_words`
    allow       the least allowance in `unit`, for small numbers ("within 1 deg")
    angles      keys of the row that hold angles in degrees: the slip with radians comes for free
    first_step  what to do first, for an answer nobody recognises
    example     an answer of the right form that earns nothing, where the usual one would
    together    how slips made in two parts of the working meet: in a "sum" what each is off adds
                up, in a "product" it multiplies; empty: pairs are not looked for
    """

    kind: str
    unit: str
    right: Callable
    slips: tuple = ()
    first_step: str = ""
    tolerance: float = 0.01
    allow: float = 0.0
    tolerance_words: str = "within 1 percent"
    angles: tuple = ()
    example: str = ""
    together: str = ""

    def __post_init__(self):
        """Refuse a kind or unit that no answer can be read in, and name those there are."""
        super().__post_init__()
        if self.unit not in _UNITS.get(self.kind, ()):
            of = f"unit {self.unit!r} of kind" if self.kind in _UNITS else "kind"
            names = _UNITS.get(self.kind, _UNITS)
            raise ValueError(
                f"{self.id}: there is no {of} {self.kind!r}; there are: "
                + ", ".join(repr(name) for name in names)
            )

    # --- numbers ------------------------------------------------------------------------------

    def value(self, row):
        """The right number of this row."""
        return self.right(row)

    def wrongs(self, row):
        """[(slip, number)] of this row, the slip with radians included."""
        pairs = [(slip, slip.wrong(row)) for slip in self.slips]
        names = {slip.name for slip in self.slips}
        if self.angles and RADIANS[0] not in names:
            pairs.append((Slip(RADIANS[0], None, RADIANS[1], did=RADIANS[2]), self._radians(row)))
        pairs = [(s, n) for s, n in pairs if n is not None and math.isfinite(n)]
        if not any(slip.minor for slip, _ in pairs):
            return pairs
        right = self.value(row)
        told = [(s, n) for s, n in pairs if not s.minor]
        for slip, number in pairs:
            others = [n for _, n in told] + ([] if right is None else [right])
            if slip.minor and all(self._clear(number, other) for other in others):
                told.append((slip, number))
        return told

    def _radians(self, row):
        turned = {**row, **{key: math.degrees(row[key]) for key in self.angles}}
        try:
            return self.value(turned)
        except (ValueError, ArithmeticError):  # a formula that refuses such an angle
            return None

    def _allowance(self, number):
        """How far from a number still counts as that number."""
        return max(self.tolerance * abs(number), self.allow, _LEAST) * _EDGE

    def _right_allowance(self, right):
        return self._allowance(right)

    def _near(self, number, target):
        return abs(number - target) <= self._allowance(target)

    def _clear(self, one, other):
        """Whether two numbers stand apart by more than twice the tolerance."""
        return abs(one - other) > 2 * max(self.tolerance * min(abs(one), abs(other)), self.allow)

    def fits(self, row):
        """Whether no slip comes within twice the tolerance of the right answer."""
        right = self.value(row)
        return math.isfinite(right) and all(
            self._clear(number, right) and abs(number - right) > self._right_allowance(right)
            for _, number in self.wrongs(row)
        )

    def distinct(self, row):
        """Whether every slip stands clear of the right answer and of every other slip."""
        values = [self.value(row), *(number for _, number in self.wrongs(row))]
        return all(self._clear(a, b) for i, a in enumerate(values) for b in values[i + 1 :])

    # --- judging ------------------------------------------------------------------------------

    @property
    def example_answer(self):
        """An answer of the right form that earns nothing."""
        return self.example or example(self.kind)

    @property
    def typed_as(self):
        """What the answer cell says behind the quotes."""
        return "a number" if self.kind in BARE_KINDS else "number, then unit"

    def read(self, text):
        """The Reading of a typed text."""
        return read_answer(text, self.kind, self.unit, self.example_answer)

    def judge(self, row, answer, earlier=None):
        """The outcome for an answer: read first, then compared with right and known slips."""
        text = as_text(answer)
        reading = self.read(text)
        if reading.status in ("blank", "unreadable", "wrong kind"):
            return self._refused(reading, text)
        share, branch, message = self._compare(row, reading.number, earlier or {})
        if branch == "other" and self._wrong_label(row, reading):
            share, branch, message = UNIT_LABEL_CREDIT, "unit-label", WRONG_LABEL
        elif branch == "other":
            guess = self._guess(row, reading.number, earlier or {})
            share, branch, message = guess or (share, branch, message)
        if reading.status == "no unit":
            good = branch in ("right", "carried")
            return self._outcome(
                NO_UNIT_CREDIT if good else 0.0,
                f"no-unit/{branch}",
                ("The number is right, but it has no unit. " if good else "There is no unit. ")
                + f"Write it like {self.example_answer}."
                + ("" if good else f" {message}"),
                text,
            )
        return self._outcome(share, branch, message, text)

    def _compare(self, row, number, earlier):
        """(share of the points, branch of the note, words) for a number in the question's unit."""
        right = self.value(row)
        if abs(number - right) <= self._right_allowance(right):
            return 1.0, "right", f"That is it ({self.tolerance_words})."
        return (
            self._slip(row, number)
            or self._almost(number, right)
            or self._generic(number, right)
            or (
                0.0,
                "other",
                f"Not the number, and no slip I know. {self.first_step} {self.reread}",
            )
        )

    def _almost(self, number, right):
        if abs(number - right) <= ROUNDING_BAND * self._allowance(right):
            words = (
                f"Close, but not {self.tolerance_words}: keep more digits until the end. If you "
                "did, go through the steps again."
            )
            return ROUNDING_CREDIT, "rounding", words
        return None

    def _generic(self, number, right):
        """The slips that every number can have: sign, decimal point, label of another unit."""
        if right and abs(number + right) <= self._right_allowance(right):
            words = "without a minus sign" if right > 0 else "with the other sign"
            return SIGN_CREDIT, "sign", f"The size is right; write it {words}."
        for power in (-3, -2, -1, 1, 2, 3) if right else ():
            if abs(number - right * 10**power) <= self.tolerance * abs(right * 10**power) * _EDGE:
                way = "large" if power > 0 else "small"
                return (
                    TEN_CREDIT,
                    "off-by-ten",
                    f"The digits are right, but it is {10 ** abs(power):,} times too {way}: "
                    "mind the decimal point.",
                )
        label = self._other_unit(right, number) if right else None
        if label:
            return (
                UNIT_LABEL_CREDIT,
                "unit-label",
                f"The number would be right in {label}: convert it, or write that unit.",
            )
        return None

    def _wrong_label(self, row, reading):
        """Whether the right number has another unit behind it than the one it is in."""
        right = self.value(row)
        if not right or reading.typed is None:
            return False
        return abs(reading.typed - right) <= self.tolerance * abs(right) * _EDGE

    def _untold(self, row):
        """[(slip, number)] of the minor slips that another one hides, clear of the right answer."""
        told = {slip.name for slip, _ in self.wrongs(row)}
        right, found = self.value(row), []
        for slip in self.slips:
            wrong = slip.wrong(row) if slip.minor and slip.name not in told else None
            if wrong is None or not math.isfinite(wrong) or right is None:
                continue
            if self._clear(wrong, right) and abs(wrong - right) > self._right_allowance(right):
                found.append((slip, wrong))
        return found

    def _rare(self, row, number):
        """A hidden minor slip, where nothing else explains the answer."""
        near = [pair for pair in self._untold(row) if self._near(number, pair[1])]
        offs = [abs(number - wrong) / self._allowance(wrong) for _, wrong in near]
        alike = [slip for (slip, _), off in zip(near, offs, strict=True) if off < min(offs) + 0.25]
        return self._told(alike) if alike else None

    def _guess(self, row, number, earlier):
        """What most likely happened, where no slip alone and nothing that comes for free fits."""
        tries = [self._rare, self._not_far, self._pair]
        if self.together == "sum":  # what was left out may well be small beside the whole
            tries = [self._rare, self._pair, self._not_far]
        return next((found for found in (ask(row, number) for ask in tries) if found), None)

    def _not_far(self, row, number):
        right = self.value(row)
        if not right or abs(number - right) > NOT_FAR * abs(right):
            return None
        return 0.0, "near", f"{ROUNDED_ON_THE_WAY} {self.first_step} {self.reread}"

    def _pair(self, row, number):
        """Slips in two parts of the working, where one pair alone fits; see `together`."""
        right = self.value(row)
        told = self.wrongs(row) if right and self.together else ()
        common = [(slip, wrong) for slip, wrong in told if slip.part and not slip.minor]
        found = []
        for (one, a), (other, b) in combinations(common, 2):
            together = a + b - right if self.together == "sum" else a * b / right
            near = abs(number - together) <= self._allowance(together) / 3
            if near and one.part != other.part:
                found.append((one, other))
        if len(found) != 1:
            return None
        ((one, other),) = found
        words = f"Two slips together give this number, it seems. {one.sentence} {other.sentence}"
        return 0.0, f"mistake/{one.name}/and/{other.name}", f"{words} {self.reread}"

    def _nearer(self, row, number, near):
        """Hidden minor slips that fit the answer far better than any slip told does."""
        off = min(abs(number - target) / self._allowance(target) for _, target in near)
        if off <= 0.5:
            return []
        return [
            (slip, target)
            for slip, target in self._untold(row)
            if abs(number - target) <= self._allowance(target) / 4
        ][:1]

    def _slip(self, row, number):
        near = [pair for pair in self.wrongs(row) if self._near(number, pair[1])]
        if not near:
            return None
        return self._told([slip for slip, _ in near + self._nearer(row, number, near)])

    def _told(self, slips):
        if len(slips) == 1:
            (slip,) = slips
            return slip.credit, f"mistake/{slip.name}", f"{slip.sentence} {self.reread}"
        # Within the tolerance their numbers are one: a follow-up question names them all.
        return (
            max(slip.credit for slip in slips),
            "mistake/" + "/or/".join(slip.name for slip in slips),
            f"{_follow_up(slips)} {self.reread}",
        )

    def _other_unit(self, right, number):
        if self.kind in BARE_KINDS:
            return None
        for unit, factor in _other_units(self.kind, self.unit).items():
            there = right * factor
            if abs(number - there) <= self.tolerance * abs(there) * _EDGE:
                if unit in _IN_WORDS.get(self.kind, ()):
                    return _IN_WORDS[self.kind][unit]
                # pint sorts by letter, and its dot differs between versions: N·m, lbf·in.
                parts = f"{quantity(1.0, unit).units:~P}".replace("⋅", "·").split("·")
                return "·".join(sorted(parts, key=lambda part: part in ("m", "ft", "in")))
        return None

    # --- for authors --------------------------------------------------------------------------

    def _typed(self, number):
        return f"{_digits(number)} {unit_text(self.kind, self.unit)}".strip()

    def worked_answer(self, row):
        """The right answer to a digit more than is asked for, such as "384.7 lbf"."""
        return self._typed(self.value(row))

    def said_answer(self, row):
        """The right answer as a crew says it, such as "385 lbf": with the fewest decimals that
        lose no more than half of what an answer may be off.
        """
        right = self.value(row)
        if right is None:
            return self.worked_answer(row)
        most = self._right_allowance(right) / 2
        decimals = (n for n in range(6) if abs(round(right, n) - right) <= most)
        said = f"{right:,.{next(decimals, 6)}f}"
        return f"{said} {unit_text(self.kind, self.unit)}".strip()

    def shown_slips(self, row):
        """Every slip of this row with the number it gives."""
        shown = []
        for slip, number in self.wrongs(row):
            _, branch, words = self._slip(row, number)
            shown.append(ShownSlip(slip.name, self._typed(number), words, slip.credit, branch))
        return tuple(shown)


def _follow_up(slips):
    """A question that asks which of several slips it was, as their numbers cannot tell."""
    if all(slip.did for slip in slips):
        asked = ", or did you ".join(slip.did for slip in slips)
        return f"Two slips give this number. Did you {asked}? " + " ".join(
            slip.sentence for slip in slips
        )
    either = " Or: ".join(slip.sentence for slip in slips)
    return f"More than one slip gives this number: which one was yours? Either: {either}"


@dataclass(frozen=True, kw_only=True)
class Carried(Question):
    """A later part, judged from the learner's own earlier numbers, so that one slip costs once.

    carries    the earlier questions, on the same row (`same_row_as`)
    right      (row, *earlier numbers) -> the right number; the slips' `wrong` likewise
    """

    carries: tuple

    def __post_init__(self):
        """Refuse rows of its own: what it takes up must be of the same scene."""
        super().__post_init__()
        leaders = {(one.same_row_as or one).id for one in (self, *self.carries)}
        if len(leaders) > 1:
            first = self.carries[0].same_row_as or self.carries[0]
            raise ValueError(
                f"{self.id}: it takes up {self.carries[0].id}, so it needs the same rows: give it "
                f"same_row_as= the question {first.id}"
            )

    @property
    def needs(self):
        """The questions whose answers are taken up."""
        return self.carries

    def _with(self, numbers):
        """This question with the earlier numbers put in: an ordinary one."""
        kept = {f.name: getattr(self, f.name) for f in fields(Question)}
        kept["right"] = lambda row: self.right(row, *numbers)
        kept["slips"] = tuple(
            replace(slip, wrong=lambda row, wrong=slip.wrong: wrong(row, *numbers))
            for slip in self.slips
        )
        return Question(**kept)

    def _right_numbers(self, row):
        return tuple(question.value(row) for question in self.carries)

    def value(self, row):
        """The right number, from right numbers."""
        return self.right(row, *self._right_numbers(row))

    def wrongs(self, row):
        """[(slip, number)] from right earlier numbers."""
        return self._with(self._right_numbers(row)).wrongs(row)

    def _own(self, row, earlier):
        """Every mixture of right and own earlier numbers, but for the wholly right one."""
        right = self._right_numbers(row)
        choices = []
        for question, number in zip(self.carries, right, strict=True):
            own = question.read(as_text(earlier.get(question.id))).number
            choices.append((number,) if own is None or own == number else (number, own))
        return [numbers for numbers in product(*choices) if numbers != right]

    def _compare(self, row, number, earlier):
        plain = self._with(self._right_numbers(row))
        first = plain._compare(row, number, {})
        if first[1] == "right":
            return first
        for numbers in self._own(row, earlier):
            own = self._with(numbers)
            try:
                found = own._compare(row, number, {})
            except (ValueError, ArithmeticError):  # no such earlier number can be worked with
                continue
            if found[1] == "right" and own.value(row):
                return self._carried(row, numbers, found)
            if found[1].startswith("mistake/") and not first[1].startswith("mistake/"):
                first = found
        return first

    def _guess(self, row, number, earlier):
        near = None
        for numbers in (self._right_numbers(row), *self._own(row, earlier)):
            try:
                found = self._with(numbers)._guess(row, number, {})
            except (ValueError, ArithmeticError):  # no such earlier number can be worked with
                continue
            if found and found[1] != "near":
                return found
            near = near or found
        return near

    def _carried(self, row, numbers, found):
        slipped = any(
            abs(number - right) > question._right_allowance(right)
            for question, number, right in zip(
                self.carries, numbers, self._right_numbers(row), strict=True
            )
        )
        if not slipped:  # only a rounded number was carried
            return found
        return (
            1.0,
            "carried",
            "Right from your own earlier answer, so that slip costs nothing a second time. Mend the "
            "earlier answer first, then work this one out anew.",
        )


@dataclass(frozen=True, kw_only=True)
class Estimate(Question):
    """An estimate by a rule of thumb: right anywhere within a stated band.

    right      row -> what the rule gives
    band       share of it that counts as right, told to the learner as `tolerance_words`
    tolerance  how near a slip's number must be to be called that slip
    """

    band: float = 0.1
    tolerance: float = 0.02
    tolerance_words: str = "within 10 percent"

    def _right_allowance(self, right):
        return max(self.band * abs(right), self.allow) * _EDGE

    def _almost(self, number, right):
        if abs(number - right) <= 1.5 * self._right_allowance(right):
            words = f"Near, but not {self.tolerance_words}. {self.first_step} {self.reread}"
            return NEAR_BAND_CREDIT, "near", words
        return None


NOT_THERE = "no-line"


@dataclass(frozen=True, kw_only=True)
class LookUp(Question):
    """A number to be looked up in the department's own operator-manual table.

    right   row -> the number that the table holds; None where no line covers what is asked, and
            the right answer is "not entered". Say in `ask` that this may be typed.
    """

    slips: tuple = ()
    not_covered: str = (
        "Read the table again line by line: device, flow, then length out. Only a line that covers "
        "all of it counts, and no number of another rig stands in for it."
    )

    def fits(self, row):
        """Whether no slip comes within twice the tolerance of the entered number."""
        return self.value(row) is None or super().fits(row)

    def distinct(self, row):
        """Whether every slip stands clear of the entered number and of every other slip."""
        return self.value(row) is None or super().distinct(row)

    def judge(self, row, answer, earlier=None):
        """The outcome for a number, or for the words that nothing is entered."""
        text = as_text(answer)
        right = self.value(row)
        if says_not_entered(text):
            if right is None:
                words = "That is it: nothing is entered here, so the operator's manual is asked."
                return self._outcome(1.0, "right", words, text)
            return self._outcome(
                0.0, "mistake/not-found", f"{self.not_covered} {self.reread}", text
            )
        return super().judge(row, answer, earlier)

    def _guess(self, row, number, earlier):
        """Numbers of a table are read, not worked out: nothing is rounded or made of two slips."""
        return self._rare(row, number)

    def _compare(self, row, number, earlier):
        if self.value(row) is None:
            found = self._slip(row, number)
            words = f"{self.not_covered} {self.reread}"
            return found or (0.0, f"mistake/{NOT_THERE}", words)
        return super()._compare(row, number, earlier)

    @property
    def typed_as(self):
        """What the answer cell says behind the quotes."""
        return "number, then unit; or: not entered"

    def worked_answer(self, row):
        """The entered number, or "not entered"."""
        return "not entered" if self.value(row) is None else super().worked_answer(row)

    def shown_slips(self, row):
        """The slips, and the one of not finding the line (or of a number where none stands)."""
        words = f"{self.not_covered} {self.reread}"
        if self.value(row) is None:
            mine = ShownSlip(NOT_THERE, self.example_answer, words, 0.0, f"mistake/{NOT_THERE}")
        else:
            mine = ShownSlip("not-found", "not entered", words, 0.0, "mistake/not-found")
        return (*super().shown_slips(row), mine)


def _digits(number):
    """A number with enough digits for any tolerance: 384.7, 41.08, 1.750, 0.0505."""
    size = abs(number)
    if size >= 100 or size == 0:
        return f"{number:,.1f}"
    return f"{number:.{max(0, 3 - math.floor(math.log10(size)))}f}"


def unit_text(kind, unit):
    """How a crew writes the unit: "lbf ft", "gpm"."""
    if kind in BARE_KINDS:
        return ""
    return spellings_of(kind)[unit].split()[0].split("|")[0].replace("*", " ")


@cache
def _other_units(kind, unit):
    """The other units of a kind, each with the factor that turns `unit` into it."""
    one = quantity(1.0, unit)
    return {
        other: one.to(other).magnitude
        for other in spellings_of(kind)
        if abs(one.to(other).magnitude - 1) > 0.02
    }
