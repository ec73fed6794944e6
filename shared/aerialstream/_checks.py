"""Faults that a unit cannot show: plain numbers, choices, inputs that contradict each other."""

import math
from dataclasses import dataclass

from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.units import Need


@dataclass(frozen=True)
class NeedLike(Need):
    """A Need whose messages show their own line to copy."""

    like: str = ""

    @property
    def example(self):
        """How to write one, for messages."""
        return self.like


def number_fault(name, value, at_least, at_most=math.inf, whole=False):
    """Why a plain number cannot be, or an empty text; UnitError if it is no plain number."""
    kind = "whole number" if whole else "plain number"
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError(f"{name} = {value!r}: a {kind} is needed, such as {at_least:g}")
    if isinstance(value, int) and abs(value) > 1e9:  # too long a number for a float
        return f"{name}: must be {at_least:g} to {min(at_most, 1e9):g}"
    if not math.isfinite(value) or (whole and value != int(value)):
        return f"{name} = {value:g}: must be a {kind}"
    if not at_least <= value <= at_most:
        bounds = f"at least {at_least:g}" if at_most == math.inf else f"{at_least:g} to {at_most:g}"
        return f"{name} = {value:g}: must be {bounds}"
    return ""


def choice_fault(name, value, choices):
    """Why a choice cannot be, or an empty text."""
    if isinstance(value, str) and value in choices:
        return ""
    return f"{name} = {value!r}: must be one of " + ", ".join(f'"{c}"' for c in choices)


def number(at_least, at_most=math.inf, whole=False):
    """A check for `quantities(plain=...)`: `number_fault` with these bounds."""
    return lambda name, value: number_fault(name, value, at_least, at_most, whole)


def choice(choices):
    """A check for `quantities(plain=...)`: `choice_fault` with these choices."""
    return lambda name, value: choice_fault(name, value, choices)


def entry(like, *keys):
    """A check for `quantities(plain=...)`: an entry of a department's data that has these keys."""

    def fault(name, value):
        if all(hasattr(value, key) for key in keys):
            return ""
        raise UnitError(
            f"{name} = {value!r}: an entry of the department's data is needed, such as "
            f"load_department().{like}"
        )

    return fault


def each_of(what, read, given):
    """What `read` makes of each given tuple; one error names the faults of them all."""
    found, faults, family = [], [], ImpossibleValue
    for place, inputs in enumerate(given, 1):
        try:
            found.append(read(*inputs))
        except (UnitError, ImpossibleValue) as error:
            family = family if isinstance(error, ImpossibleValue) else UnitError
            faults += [f"{what} {place}, {line.strip()}" for line in str(error).splitlines()[1:]]
    if faults:
        raise family("cannot work with this:\n  " + "\n  ".join(faults))
    return found


def refuse(function, *faults):
    """Raise one ImpossibleValue that names every fault; do nothing if all are empty."""
    said = [fault for fault in faults if fault]
    if said:
        raise ImpossibleValue(f"{function} cannot work with this:\n  " + "\n  ".join(said))
