"""Set-up order and go/no-go list as data: shipped, or a department's own in its folder.

What only the operator's manual or local procedure can say stays blank until the department enters
it. Nothing here allows a rig to be used; a list without a fault is a list without a fault.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, model_validator

from aerialstream._checks import choice_fault, refuse
from aerialstream.department import Text, _Entry, _fault, _toml
from aerialstream.errors import DepartmentDataError
from aerialstream.results import Explained, Note
from aerialstream.sources import SOURCES
from aerialstream.units import show

SHIPPED = Path(__file__).parent / "procedures"
ORDER_FILE, LIST_FILE = "set_up.toml", "go_no_go.toml"
OWN_STATUS = ("local procedure", "operator's manual")
BLANK = "____"

_WHO_DECIDES = Note(
    "caution",
    "In general, not for any one device: the operator's manual and local procedure go before this, "
    "and the operator and the officers on the spot decide.",
)


class _Sourced(_Entry):
    """What every line has: where it stands, and how far that was seen."""

    source: Text
    status: Literal[
        "read",
        "second-hand",
        "first principles",
        "common practice",
        "local procedure",
        "operator's manual",
    ]

    @model_validator(mode="after")
    def _status_is_the_sources(self):
        known = SOURCES.get(self.source)
        if known is None and self.status not in OWN_STATUS:
            raise ValueError(
                f'source "{self.source}" is none of the kit\'s; needed: status "local procedure" or '
                '"operator\'s manual" for a source of your own'
            )
        if known is not None and self.status != known.status:
            raise ValueError(
                f'status "{self.status}" does not fit; source "{self.source}" is "{known.status}"'
            )
        return self


class _Item(_Sourced):
    """One thing to do or to answer, by whom, with the value it must meet."""

    id: Text
    text: Text
    role: Text
    value: Annotated[
        str, Field(strict=True, description='a text in quotes, or "" where it is not known')
    ]
    value_from: Annotated[
        Literal["operator's manual", "local procedure", "none"],
        Field(description='"operator\'s manual", "local procedure" or "none"'),
    ]

    @model_validator(mode="after")
    def _value_comes_from_somewhere(self):
        if self.value.strip() and self.value_from == "none":
            raise ValueError(
                f'value "{self.value}" with value_from "none"; needed: "operator\'s manual" or '
                '"local procedure", whichever it was copied from'
            )
        return self

    def value_text(self, entered=""):
        """The value as printed after the text: entered, blank to fill in, or nothing to fill in."""
        if self.value_from == "none":
            return ""
        return self.value.strip() or entered or f"{BLANK} ({self.value_from})"


class SetUpStep(_Item):
    """One step of the set-up order."""


class OrderRule(_Sourced):
    """One step must come before another, and why."""

    earlier: Text
    later: Text
    why: Text


class GoNoGoLine(_Item):
    """One line of the go/no-go list. entered names the device's own entry that holds the value."""

    entered: Annotated[
        Literal["wind_up_to", "slope_up_to", "elevation_at_least"] | None,
        Field(description='"wind_up_to", "slope_up_to" or "elevation_at_least", or left out'),
    ] = None


class _OrderFile(_Entry):
    step: Annotated[tuple[SetUpStep, ...], Field(min_length=1, description="at least one [[step]]")]
    rule: tuple[OrderRule, ...] = ()


class _ListFile(_Entry):
    line: Annotated[
        tuple[GoNoGoLine, ...], Field(min_length=1, description="at least one [[line]]")
    ]


_READ = {}  # file name -> (what was written there, what was read): a live list asks again and again


def _read(file_name, model, folder, faults):
    """A file of the department's folder, or the shipped one where it has none; None if faulty."""
    own = folder is not None and (Path(folder) / file_name).exists()
    where = Path(folder) if own else SHIPPED
    try:
        written = (where / file_name).read_bytes()
    except OSError:  # told by the reading below
        written = None
    if written is not None and _READ.get(file_name, ("",))[0] == written:
        return _READ[file_name][1]
    data = _toml(where, file_name, faults)
    if data is None:
        return None
    try:
        read = model.model_validate(data)
        _READ[file_name] = written, read
        return read
    except ValidationError as error:
        faults += [
            _fault(file_name, model, data, e)
            for e in error.errors()
            if not (e["type"] == "too_short" and e["input"])
        ]
    return None


def _twice(file_name, key, items):
    seen, faults = set(), []
    for item in items:
        if item.id in seen:
            faults.append(f'{file_name}: {key} "{item.id}": this id is given twice')
        seen.add(item.id)
    return faults


def _rule_faults(file):
    """Rules that name no step, or that the file's own order breaks (so no circle can be either)."""
    place = {step.id: n for n, step in enumerate(file.step)}
    faults = []
    for n, rule in enumerate(file.rule, 1):
        where = f"{ORDER_FILE}: rule.number {n}"
        for key in ("earlier", "later"):
            name = getattr(rule, key)
            if name not in place:
                near = get_close_matches(name, place, 1)
                hint = f"; did you mean {near[0]}?" if near else ""
                faults.append(f"{where}.{key}: read {name!r}; needed: the id of a step{hint}")
        if {rule.earlier, rule.later} <= set(place) and place[rule.earlier] >= place[rule.later]:
            faults.append(
                f'{where}: "{rule.earlier}" before "{rule.later}", but the steps stand the other way '
                "round; change the rule or the order of the steps"
            )
    return faults


def _order_file(folder, faults):
    file = _read(ORDER_FILE, _OrderFile, folder, faults)
    if file is not None:
        faults += _twice(ORDER_FILE, "step", file.step) + _rule_faults(file)
    return file


def _list_file(folder, faults):
    file = _read(LIST_FILE, _ListFile, folder, faults)
    if file is not None:
        faults += _twice(LIST_FILE, "line", file.line)
    return file


def procedure_faults(folder):
    """Every fault in a folder's own set-up order and go/no-go list, one line each.

    Takes
      folder   path of a department's folder
    Gives
      tuple of texts; empty where there is no fault, or no file of its own
    """
    faults = []
    _order_file(folder, faults)
    _list_file(folder, faults)
    return tuple(faults)


def _checked(read, department):
    faults = []
    file = read(None if department is None else department.folder, faults)
    if faults:
        raise DepartmentDataError(faults)
    return file


def _whose(file_name, department):
    own = department is not None and (department.folder / file_name).exists()
    return f"{department.name}'s own" if own else "the kit's own, in general"


def _kit_sources(*groups):
    """Ids of the kit's sources that lines cite, once each; a department's own are not among them."""
    cited = dict.fromkeys(item.source for group in groups for item in group)
    return tuple(source for source in cited if source in SOURCES)


def _text_with_value(text, value):
    return f"{text.rstrip('.')} {value}" if value else text


@dataclass(frozen=True, kw_only=True)
class SetUpOrder(Explained):
    """The set-up order.

    order  tuple of SetUpStep, in order
    rules  tuple of OrderRule: what must come before what, and why
    whose  whose list it is, in words
    """

    order: tuple
    rules: tuple
    whose: str

    def lines(self, system="US"):
        """Each step as (number and role, text) pairs."""
        return tuple(
            (f"{n}. {step.role}", _text_with_value(step.text, step.value_text()))
            for n, step in enumerate(self.order, 1)
        )

    def __repr__(self):
        return self.text()


def set_up_order(department=None):
    """The set-up order: the department's own set_up.toml if its folder has one, else the shipped.

    Takes
      department   a Department, or None for the shipped order
    Gives
      SetUpOrder   steps and the rules of what comes before what
    Fails when
      DepartmentDataError   the department's file has faults; the message names every one
    """
    file = _checked(_order_file, department)
    whose = _whose(ORDER_FILE, department)
    return SetUpOrder(
        title=f"Set-up order ({whose})",
        order=file.step,
        rules=file.rule,
        whose=whose,
        notes=(_WHO_DECIDES,),
        sources=_kit_sources(file.step, file.rule),
    )


@dataclass(frozen=True)
class OrderFault:
    """One fault of an order that somebody wrote down.

    code   "too early", "unknown step", "twice" or "left out"
    step   the id it is about; for "too early" the step that came before its time
    other  for "too early" the step that should have come before it, else ""
    text   what is wrong and why, in words
    """

    code: str
    step: str
    other: str
    text: str


def order_faults(order, *, department=None, among=None):
    """What is wrong with an order of set-up steps, and why.

    Only what a rule asks for is a fault: steps that may stand either way round may. A rule also
    holds across steps that the order leaves out.

    Takes
      order       ids of steps, first to last
      department  a Department with its own order and rules, or None
      among       ids that had to be put in order, where not all were asked for
    Gives
      tuple of OrderFault   unknown and doubled steps, steps left out, then each rule broken
    Fails when
      ImpossibleValue       order is no list of texts, or among names a step there is not
      DepartmentDataError   the department's file has faults
    """
    known = set_up_order(department)
    ids = tuple(step.id for step in known.order)
    asked = ids if among is None else tuple(among)
    refuse(
        "order_faults",
        'order: a list of step ids is needed, such as ["waterway", "raise"]'
        if isinstance(order, str) or not all(isinstance(name, str) for name in order)
        else "",
        *(choice_fault("among", name, ids) for name in asked),
    )
    faults, place = [], {}
    for n, name in enumerate(order):
        if name not in ids:
            near = get_close_matches(name, ids, 1)
            hint = f" Did you mean “{near[0]}”?" if near else ""
            faults.append(OrderFault("unknown step", name, "", f"“{name}” is no step.{hint}"))
        elif name in place:
            faults.append(OrderFault("twice", name, "", f"“{name}” stands there twice."))
        else:
            place[name] = n
    faults += [
        OrderFault("left out", name, "", f"“{name}” is left out.")
        for name in asked
        if name not in place
    ]
    return (*faults, *_broken(known.rules, place))


def _broken(rules, place):
    """Rules that an order breaks, also by way of steps that are not in it."""
    after = {}
    for rule in rules:
        after.setdefault(rule.earlier, []).append(rule)
    found = []
    for earlier in place:
        for later, chain in _reached(earlier, after, place).items():
            if place[later] < place[earlier]:
                why = " ".join(rule.why for rule in chain)
                found.append(
                    OrderFault("too early", later, earlier, f"“{later}” before “{earlier}”. {why}")
                )
    return tuple(sorted(found, key=lambda fault: (place[fault.step], place[fault.other])))


def _reached(start, after, place):
    """Steps of the order that must come after a step: id -> the shortest chain of rules to it."""
    found, seen, front = {}, {start}, [(start, ())]
    while front:
        coming = []
        for name, chain in front:
            for rule in after.get(name, ()):
                if rule.later in seen:
                    continue
                seen.add(rule.later)
                if rule.later in place:
                    found[rule.later] = (*chain, rule)
                else:  # not in the order: what must follow it must follow the start too
                    coming.append((rule.later, (*chain, rule)))
        front = coming
    return found


GO, NO_GO, NOT_ANSWERED = "go", "no go", "not answered"


@dataclass(frozen=True, kw_only=True)
class LineAnswer:
    """A line of the list with its value as printed ("" where it has none) and how it stands."""

    line: Any
    value: str
    answer: str

    @property
    def blank(self):
        """Whether the line needs a value that nobody entered."""
        return self.value.startswith(BLANK)


@dataclass(frozen=True, kw_only=True)
class GoNoGo(Explained):
    """The list as answered: a tuple of LineAnswer. verdict is GO only if every line is."""

    answers: tuple

    @property
    def verdict(self):
        """GO or NO_GO: one line that fails or is not answered is a no go."""
        return GO if all(line.answer == GO for line in self.answers) else NO_GO

    @property
    def holding(self):
        """The lines that hold it up, tuple of LineAnswer."""
        return tuple(line for line in self.answers if line.answer != GO)

    def lines(self, system="US"):
        """The verdict, then each line as (role, text and answer) pairs."""
        failing = sum(line.answer == NO_GO for line in self.answers)
        open_ones = sum(line.answer == NOT_ANSWERED for line in self.answers)
        said = (
            "every line answered go; the operator and the officers decide"
            if self.verdict == GO
            else f"NO GO: {failing} failing, {open_ones} not answered"
        )
        return (
            ("List", said),
            *(
                (
                    answered.line.role,
                    f"{_text_with_value(answered.line.text, answered.value)}: {answered.answer}",
                )
                for answered in self.answers
            ),
        )

    def __repr__(self):
        return self.text()


def _entered(line, apparatus, system):
    """The device's own entry for a line's value, with its page, or an empty text."""
    conditions = None if apparatus is None else apparatus.manual_conditions
    value = getattr(conditions, line.entered, None) if conditions and line.entered else None
    if value is None:
        return ""
    kind = "wind" if line.entered == "wind_up_to" else None
    return f"{show(value, system, kind)} ({conditions.page})"


def go_no_go(department=None, answers=None, *, apparatus=None):
    """The go/no-go list with its answers: one line that fails or is not answered is a no go.

    Values come from the department's own list, or from what it entered for the device from the
    operator's manual. Where neither says, the line prints a blank and where to look.

    Takes
      department  a Department, or None for the shipped list
      answers     a mapping of line id to "go" or "no go"; what is left out is not answered
      apparatus   an Apparatus, or the id of one of the department's, or None
    Gives
      GoNoGo      verdict, lines, and which of them hold it up
    Fails when
      ImpossibleValue       an id that is no line, an answer that is none, no such device
      DepartmentDataError   the department's file has faults; the message names every one
    """
    answers = {} if answers is None else answers
    file = _checked(_list_file, department)
    ids = tuple(line.id for line in file.line)
    devices = () if department is None else tuple(device.id for device in department.apparatus)
    refuse(
        "go_no_go",
        *(choice_fault("line", name, ids) for name in answers),
        *(
            choice_fault(name, said, (GO, NO_GO))
            for name, said in answers.items()
            if said is not None
        ),
        choice_fault("apparatus", apparatus, devices) if isinstance(apparatus, str) else "",
    )
    device = department.device(apparatus) if isinstance(apparatus, str) else apparatus
    system = "US" if department is None else department.units
    states = tuple(
        LineAnswer(
            line=line,
            value=line.value_text(_entered(line, device, system)),
            answer=answers.get(line.id) or NOT_ANSWERED,
        )
        for line in file.line
    )
    blank = ", ".join(state.line.id for state in states if state.blank and state.answer == GO)
    filled_by_hand = Note(
        "caution",
        f"Answered go against a value that is not entered here: {blank}. Whoever answered must have "
        "read it in the operator's manual or local procedure.",
    )
    return GoNoGo(
        title=f"Go/no-go list ({_whose(LIST_FILE, department)})",
        answers=states,
        notes=((filled_by_hand,) if blank else ()) + (_WHO_DECIDES,),
        sources=_kit_sources(file.line),
    )
