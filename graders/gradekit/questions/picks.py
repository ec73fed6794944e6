"""Questions answered with letters: one choice of several, or steps put in order."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import permutations
from typing import ClassVar

from gradekit.answers import LETTERS, as_text, read_choice, read_order
from gradekit.questions.asked import Asked
from gradekit.questions.outcome import BROKEN_CREDIT, ShownSlip

DEAL = "_deal"  # key of a dealt row: which order its choices stand in
MOST_STEPS = 6  # 720 orders; more would be hard to read, too


def _order(count, deal):
    """The `deal`-th order of `count` things."""
    left, order = list(range(count)), []
    for remaining in range(count, 0, -1):
        place, deal = divmod(deal, math.factorial(remaining - 1))
        order.append(left.pop(place))
    return tuple(order)


@dataclass(frozen=True, kw_only=True)
class Option:
    """One choice.

    name     part of the note: the letter changes from member to member, the name does not
    text     what it says, or row -> what it says
    reason   why it is right or wrong; of a wrong one it must not tell the right one
    right    whether it is right, or row -> whether
    credit   share of the points for a wrong one that is not all wrong
    words    what else may be typed for it, such as ("yes",)
    """

    name: str
    text: str | Callable
    reason: str
    right: bool | Callable = False
    credit: float = 0.0
    words: tuple = ()

    def said(self, row):
        """What it says in this row."""
        return self.text(row) if callable(self.text) else self.text

    def is_right(self, row):
        """Whether it is right in this row."""
        return bool(self.right(row) if callable(self.right) else self.right)


@dataclass(frozen=True, kw_only=True)
class Choice(Asked):
    """One of several choices; each has its reason, and each member gets them in another order.

    shuffled   False leaves them as they stand, for choices such as yes and no
    """

    options: tuple
    shuffled: bool = True

    typed_as: ClassVar[str] = "one letter"

    def fits(self, row):
        """Whether just one choice is right and no two say the same."""
        said = {option.said(row) for option in self.options}
        right = sum(option.is_right(row) for option in self.options)
        return right == 1 and len(said) == len(self.options)

    def deals(self, row):
        """The number of orders of the choices."""
        return math.factorial(len(self.options)) if self.shuffled else 1

    def dealt(self, row, deal):
        """The row with the choices in one of their orders."""
        return {**row, DEAL: deal}

    def laid_out(self, row):
        """The choices as this row's member sees them, A first."""
        return tuple(self.options[n] for n in _order(len(self.options), row.get(DEAL, 0)))

    def words(self, row):
        """The question and its lettered choices."""
        choices = "\n".join(
            f"{letter}) {option.said(row)}"
            for letter, option in zip(LETTERS, self.laid_out(row), strict=False)
        )
        return f"{self.ask(row)}\n{choices}"

    def judge(self, row, answer, earlier=None):
        """The outcome for a letter, or for the words of a choice."""
        text, options = as_text(answer), self.laid_out(row)
        pick = read_choice(text, len(options), [(o.said(row), *o.words) for o in options])
        if pick.status != "read":
            return self._refused(pick, text)
        (place,) = pick.places
        option = options[place]
        read = f"You picked {LETTERS[place]}."
        if option.is_right(row):
            return self._outcome(1.0, "right", f"{read} {option.reason}", text)
        words = f"{read} {option.reason} {self.reread}"
        return self._outcome(option.credit, f"mistake/{option.name}", words, text)

    def worked_answer(self, row):
        """The letter of the right choice."""
        options = self.laid_out(row)
        return next(LETTERS[n] for n, option in enumerate(options) if option.is_right(row))

    def shown_slips(self, row):
        """Every wrong choice."""
        return tuple(
            ShownSlip(o.name, LETTERS[n], o.reason, o.credit, f"mistake/{o.name}")
            for n, o in enumerate(self.laid_out(row))
            if not o.is_right(row)
        )


@dataclass(frozen=True)
class Rule:
    """One step that must come before another, and why."""

    earlier: str
    later: str
    why: str

    @property
    def name(self):
        """Part of the note."""
        return f"{self.earlier}-before-{self.later}"


@dataclass(frozen=True)
class Broken:
    """A rule that an order breaks: name for the note, sentence for the learner.

    earlier, later   step ids, where the sentence does not name the steps: the learner is then told
                     the letters of both
    """

    name: str
    sentence: str
    earlier: str = ""
    later: str = ""


def broken_rules(rules):
    """`faults` for an Ordering from rules of one's own: (row, step ids) -> Broken ones."""

    def faults(row, ids):
        place = {name: n for n, name in enumerate(ids)}
        return tuple(
            Broken(rule.name, rule.why)
            for rule in rules
            if {rule.earlier, rule.later} <= set(place) and place[rule.earlier] > place[rule.later]
        )

    return faults


def set_up_rules(department=None):
    """`faults` for an Ordering from the set-up order of `aerialstream`: ids are its step ids."""

    @cache
    def found(ids):
        from aerialstream import order_faults

        return tuple(
            Broken(
                f"{fault.other or 'the-list'}-before-{fault.step}",
                # The text begins with step ids, which a learner does not see.
                fault.text.removeprefix(f"“{fault.step}” before “{fault.other}”. "),
                fault.other,
                fault.step,
            )
            for fault in order_faults(list(ids), department=department, among=ids)
        )

    return lambda row, ids: found(tuple(ids))


@dataclass(frozen=True, kw_only=True)
class Ordering(Asked):
    """Steps to be put in order; any order that breaks no rule is right.

    steps    row -> ((id, text), ...) in one right order; every member sees them in another
    faults   (row, ids in the learner's order) -> Broken ones; see broken_rules, set_up_rules
    """

    steps: Callable
    faults: Callable

    typed_as: ClassVar[str] = "the letters in order"

    def fits(self, row):
        """Whether the order that is given as right breaks no rule, and some order does."""
        ids = tuple(name for name, _ in self.steps(row))
        return (
            2 < len(ids) <= MOST_STEPS
            and len(set(ids)) == len(ids)
            and not self.faults(row, ids)
            and bool(self.faults(row, ids[::-1]))
        )

    def deals(self, row):
        """The number of orders in which the steps can be shown."""
        return math.factorial(len(self.steps(row)))

    def dealt(self, row, deal):
        """The row with its steps shown in one order."""
        return {**row, DEAL: deal}

    def laid_out(self, row):
        """The steps as this row's member sees them, A first.

        An order that would be right as it stands gives way to its reverse, so that the letters in
        their own order earn nothing.
        """
        steps = tuple(self.steps(row))
        shown = tuple(steps[n] for n in _order(len(steps), row.get(DEAL, 0)))
        ids = tuple(name for name, _ in shown)
        return shown if self.faults(row, ids) else shown[::-1]

    def words(self, row):
        """The question and its lettered steps."""
        steps = "\n".join(
            f"{letter}) {text}"
            for letter, (_, text) in zip(LETTERS, self.laid_out(row), strict=False)
        )
        return f"{self.ask(row)}\n{steps}"

    def judge(self, row, answer, earlier=None):
        """The outcome for an order of letters."""
        text, shown = as_text(answer), self.laid_out(row)
        read = read_order(text, len(shown))
        if read.status != "read":
            return self._refused(read, text)
        order = " ".join(LETTERS[place] for place in read.places)
        broken = self.faults(row, tuple(shown[place][0] for place in read.places))
        if not broken:
            return self._outcome(1.0, "right", f"I read {order}: an order that works.", text)
        share = (*BROKEN_CREDIT, *[0.0] * len(broken))[len(broken) - 1]
        count = "One rule is" if len(broken) == 1 else f"{len(broken)} rules are"
        told = " ".join(self._told(row, fault) for fault in broken[:3])
        return self._outcome(
            share,
            "broken/" + "/and/".join(fault.name for fault in broken[:3]),
            f"I read {order}. {count} broken. {told} {self.reread}",
            text,
        )

    def _letters(self, row, ids):
        at = {name: LETTERS[n] for n, (name, _) in enumerate(self.laid_out(row))}
        return " ".join(at[name] for name in ids)

    def _told(self, row, fault):
        if not (fault.earlier and fault.later):
            return fault.sentence
        later, earlier = self._letters(row, (fault.later, fault.earlier)).split()
        return f"{later} stands before {earlier}. {fault.sentence}"

    def worked_answer(self, row):
        """One right order of the letters."""
        return self._letters(row, [name for name, _ in self.steps(row)])

    def shown_slips(self, row):
        """For each rule that can be broken alone, an order that breaks only this one."""
        ids, found = tuple(name for name, _ in self.steps(row)), {}
        for one, other in ((i, j) for i in range(len(ids)) for j in range(i + 1, len(ids))):
            moved = [*ids[:one], *ids[one + 1 : other + 1], ids[one], *ids[other + 1 :]]
            back = [*ids[:one], ids[other], *ids[one:other], *ids[other + 1 :]]
            for order in (moved, back):
                broken = self.faults(row, tuple(order))
                if len(broken) == 1 and broken[0].name not in found:
                    found[broken[0].name] = ShownSlip(
                        broken[0].name,
                        self._letters(row, order),
                        broken[0].sentence,
                        BROKEN_CREDIT[0],
                        f"broken/{broken[0].name}",
                    )
        return tuple(found.values())

    def right_orders(self, row):
        """Every order that breaks no rule, as step ids; for the tests."""
        ids = [name for name, _ in self.steps(row)]
        return [order for order in permutations(ids) if not self.faults(row, order)]
