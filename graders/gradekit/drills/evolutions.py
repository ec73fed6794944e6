"""Evolutions as data: what is drilled, why, in which steps, what is looked at. Kit's and own.

A department puts files of the same form into the folder `evolutions` of its data; one with the
id of a built-in evolution takes its place.
"""

import re
import string
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, ValidationError, model_validator

from aerialstream.department import Day, Flow, Text, _Entry, _fault, _quantity_type, _toml
from aerialstream.errors import AerialStreamError, DepartmentDataError
from aerialstream.units import Need

BUILT_IN = Path(__file__).parent / "evolutions"
OWN_FOLDER, COMMON_FILE = "evolutions", "common.toml"
LONGEST = 240  # characters of a line; two pages have to hold it all
# Names that a text may hold in braces; the plan fills them in.
FILLED = (
    "discharge_pressure", "elevation", "extension", "flow", "heading", "most_flow",
    "nozzle_pressure", "objective", "pitch", "stop_word", "strike_depth", "sweep", "tip_height",
)  # fmt: skip
# What is read on the day -> (kind, unit it is kept in); None: a text.
MEASURED = {
    "flow": ("flow", "gpm"),
    "nozzle pressure": ("pressure", "psi"),
    "inlet pressure": ("pressure", "psi"),
    "discharge pressure": ("pressure", "psi"),
    "intake pressure": ("pressure", "psi"),
    "elevation": ("angle", "degree"),
    "extension": ("length", "foot"),
    "rotation": ("angle", "degree"),
    "strike height": ("length", "foot"),
    "strike depth": ("length", "foot"),
    "water in to": ("length", "foot"),
    "throw": ("length", "foot"),
    "wind": ("velocity", "mile/hour"),
    "wind from": ("angle", "degree"),  # clockwise from the way the stream points; 0 is from ahead
    "turntable off mark": ("length", "foot"),
    "aim off target": ("angle", "degree"),
    "time to call": ("time", "minute"),
    "lay length": ("length", "foot"),
}
Minutes = _quantity_type(Need("time", "minute", above=0, at_most=120))
Line = Annotated[
    str, Field(min_length=1, max_length=LONGEST, description=f"a text, at most {LONGEST} signs")
]


class NoSuchEvolution(AerialStreamError):
    """An evolution that there is not; the message names those there are."""


class DrillStep(_Entry):
    """One step of the evolution, and whether missing it alone is no pass."""

    text: Line
    critical: Annotated[bool, Field(strict=True, description="true or false")] = False


class Situation(_Entry):
    """A made-up situation, and the line of the go/no-go list that fails in it."""

    says: Line
    line: Text


class _Common(_Entry):
    prerequisites: Annotated[tuple[Line, ...], Field(description="a list of texts")] = ()
    roles: Annotated[tuple[Line, ...], Field(description="a list of texts")] = ()
    briefing: Annotated[tuple[Line, ...], Field(description="a list of texts")] = ()
    restoration: Annotated[tuple[Line, ...], Field(description="a list of texts")] = ()
    after_action: Annotated[tuple[Line, ...], Field(description="a list of texts")] = ()

    @model_validator(mode="after")
    def _names_are_known(self):
        unknown = sorted(_named_in(self) - set(FILLED))
        if unknown:
            raise ValueError(
                f"{{{unknown[0]}}} stands in a text and is no name of a figure; known: "
                f"{', '.join(FILLED)}"
            )
        return self


class EvolutionEntry(_Common):
    """One evolution.

    water      "none", or "stream": then flow, supply and the prop's limits are planned too
    wants      what its target must be: "any", "upper opening" (second storey or higher), "low
               opening" (sill 4 ft or less), "opening with room" (a building file with its room)
    aim        "none", "middle" of the target in line, "ceiling" behind it, "floor" behind it
    most_flow  the evolution's own cap; a department lowers or raises it in a file of its own
    minutes    how long water flows at most, for what it weighs
    measure    what is read on the day
    shows      besides: "side load", "shut-down"
    """

    id: Annotated[str, Field(pattern=r"^[a-z0-9][a-z0-9-]{0,59}$", description="small letters, digits and hyphens")]  # fmt: skip
    title: Line
    version: Annotated[int, Field(strict=True, ge=1, description="a whole number, no quotes")]
    reviewed: Day
    objective: Line
    standard: Line
    water: Literal["none", "stream"]
    wants: Literal["any", "upper opening", "low opening", "opening with room"]
    aim: Literal["none", "middle", "ceiling", "floor"]
    most_flow: Flow | None = None
    minutes: Minutes | None = None
    shows: tuple[Literal["side load", "shut-down"], ...] = ()
    measure: Annotated[
        tuple[Literal[tuple(MEASURED)], ...], Field(description="a list of what is read")
    ] = ()
    step: Annotated[tuple[DrillStep, ...], Field(min_length=1, description="at least one [[step]]")]
    situation: tuple[Situation, ...] = ()

    @model_validator(mode="after")
    def _water_has_its_cap(self):
        if self.water == "stream" and (self.most_flow is None or self.minutes is None):
            raise ValueError('water = "stream" needs most_flow and minutes')
        if self.water == "stream" and self.aim == "none":
            raise ValueError('water = "stream" needs an aim')
        if not any(step.critical for step in self.step):
            raise ValueError("no step is critical; needed: critical = true for those that are")
        return self


def _texts(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for one in value:
            yield from _texts(one)
    elif isinstance(value, _Entry):
        for name in type(value).model_fields:
            yield from _texts(getattr(value, name))


def _named_in(entry):
    found = set()
    for text in _texts(entry):
        try:
            found |= {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}
        except ValueError:
            raise ValueError(f"a brace without its partner in: {text}") from None
    return found


@dataclass(frozen=True)
class Evolutions:
    """All evolutions there are, by id, and whose each is."""

    entries: dict
    whose: dict

    def find(self, wanted):
        """The evolution of this id; NoSuchEvolution names those there are."""
        if wanted not in self.entries:
            raise NoSuchEvolution(f"no evolution “{wanted}”; there are: {', '.join(self.entries)}")
        return self.entries[wanted]


def load_evolutions(department=None):
    """The kit's evolutions and the department's own.

    Takes
      department   a Department, or None for the kit's alone
    Gives
      Evolutions
    Fails when
      DepartmentDataError   the faults of all files in one message
    """
    folders = [(BUILT_IN, "the kit's")]
    if department is not None and (department.folder / OWN_FOLDER).is_dir():
        folders.append((department.folder / OWN_FOLDER, f"{department.name}'s own"))
    faults, entries, whose = [], {}, {}
    last = next(f for f, _ in reversed(folders) if (f / COMMON_FILE).exists())
    common = _common(last, faults)
    for folder, said in folders:
        seen = {}
        for path in sorted(folder.glob("*.toml")):
            if path.name == COMMON_FILE:
                continue
            found = _read(folder, path.name, common, faults)
            if found is None:
                continue
            if found.id in seen:
                faults.append(f'{path.name}: id "{found.id}" stands in {seen[found.id]} too')
            seen[found.id] = path.name
            entries[found.id], whose[found.id] = found, said
    if faults:
        raise DepartmentDataError(faults)
    return Evolutions(entries, whose)


def _common(folder, faults):
    data = _toml(folder, COMMON_FILE, faults)
    try:
        _Common.model_validate(data or {})
    except ValidationError as error:
        faults += [_fault(COMMON_FILE, _Common, data, e) for e in error.errors()]
        return {}
    return data or {}


def _read(folder, name, common, faults):
    data = _toml(folder, name, faults)
    if data is None:
        return None
    try:
        return EvolutionEntry.model_validate({**common, **data})
    except ValidationError as error:
        faults += [_fault(name, EvolutionEntry, data, e) for e in error.errors()]
    return None


def steps_of(evolution, department=None):
    """Its steps: those of the department's evaluation sheet where it has one of this name."""
    own = department.completion.steps_of(evolution.id) if department is not None else ()
    if not own:
        return evolution.step
    return tuple(DrillStep(text=step.text, critical=step.critical) for step in own)


def filled(text, values):
    """A text with its names filled in; what is not known becomes a blank to write on."""
    return re.sub(r"\{(\w+)\}", lambda m: values.get(m[1]) or "______", text)
