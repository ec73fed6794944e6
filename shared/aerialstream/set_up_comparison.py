"""Set-ups of one device beside each other: which is worse in what, and what lightens them.

Signs as in `loads.py`. A ranking says which load is larger; it calls none of them allowed.
"""

from dataclasses import dataclass
from math import acos, degrees
from typing import Any

from aerialstream._core import loads as core
from aerialstream._load_parts import (
    DECIDES,
    SET_UP,
    STILL,
    SUMS,
    Case,
    case_faults,
    clean,
    gather,
    numbers_of,
    plain_entry,
    sums_of,
)
from aerialstream.department import NOT_ENTERED, manual_limit_text
from aerialstream.errors import AerialStreamError, ImpossibleValue, UnitError
from aerialstream.loads import SetUpLoads, set_up_result
from aerialstream.results import Explained, Note
from aerialstream.units import Need, in_unit, kind_of, quantity, show
from aerialstream.worked import both, in_system

_RESPECTS = ("in_plane_moment", "side_moment", "slew_torque", "overturning_sideways")
_LOOK_UP = "flow, extension, elevation, rotation, wind and slope"
_FREE = ("wind_from", "waterway_full", "drag_coefficient")
_FLOW = Need("flow", "gpm", above=0, at_most=20_000)


@dataclass(frozen=True, kw_only=True)
class Ranking:
    """Set-ups from the worst to the least in one respect.

    alone is True where the reaction alone is compared, because an entry for the rest is missing.
    order holds (name, size in lbf·ft, how many times the least, None where the least is nothing).
    """

    respect: str
    alone: bool
    order: tuple[tuple[str, Any, float | None], ...]


@dataclass(frozen=True, kw_only=True)
class Lever:
    """What one change would make of a set-up's loads, as factors; None where there is nothing."""

    set_up: str
    change: str
    in_plane_moment: float | None
    side_moment: float | None
    slew_torque: float | None
    overturning_sideways: float | None


@dataclass(frozen=True, kw_only=True)
class Comparison(Explained):
    """Set-ups of one device, ranked; what would lighten each; what the department's entries say.

    loads holds (name, SetUpLoads); rankings one Ranking for each respect that could be reckoned;
    worse the sentences "A is worse than B in ..."; limits (name, sentence); levers the Levers.
    """

    loads: tuple[tuple[str, SetUpLoads], ...]
    rankings: tuple[Ranking, ...]
    worse: tuple[str, ...]
    limits: tuple[tuple[str, str], ...]
    levers: tuple[Lever, ...]
    missing: tuple[str, ...] = ()

    def lines(self, system="US"):
        """Rankings, what the entries say, and the levers, as (label, text) pairs."""
        out = []
        for ranking in self.rankings:
            alone = ", reaction alone" if ranking.alone else ""
            order = [f"{name} {show(size, system)}" for name, size, _ in ranking.order]
            out.append((f"{SUMS[ranking.respect][0]}{alone}, worst first", "; ".join(order)))
        out += [(f"{name}: the manual", in_system(text, system)) for name, text in self.limits]
        for lever in self.levers:
            factors = [
                f"{SUMS[respect][0].lower()} × {factor:.2g}"
                for respect in _RESPECTS
                if (factor := getattr(lever, respect)) is not None
            ]
            text = "; ".join(factors) if factors else "no load of its own to lighten"
            out.append((f"{lever.set_up}: {in_system(lever.change, system)}", text))
        return tuple(out)

    def __repr__(self):
        return self.text()


def compare_set_ups(apparatus, set_ups):
    """Set-ups of one device beside each other: which is worse in what, and what lightens them.

    For choosing a set-up with lighter loads. A ranks as worse than B only in a respect that is
    named: in-plane moment, side moment, slew torque, sideways overturning. No set-up is called
    good; the department's entries from its manual are quoted, and where there are none the kit says
    what to look up.

    Takes
      apparatus  an Apparatus of the department's data
      set_ups    name -> table of texts with units: reaction, extension and elevation, and where
                 they differ from nothing rotation, pitch, wind, slope_along, slope_across, tip_load
                 and the other inputs of `set_up_loads`; flow for the look-up in the manual's table
    Gives
      Comparison
    Fails when
      UnitError        an input has no unit or one of another kind; every fault of every set-up is
                       named
      ImpossibleValue  a value that cannot be, a key that is not known, no set-up at all
    """
    if not set_ups:
        raise ImpossibleValue(
            'compare_set_ups needs a set-up, such as {"short": {"reaction": "505 lbf", '
            '"extension": "40 ft", "elevation": "10 deg"}}'
        )
    cases, flows = _read_set_ups(apparatus, set_ups)
    loads = tuple(
        (name, set_up_result(apparatus, case, gather(apparatus, case)))
        for name, case in cases.items()
    )
    rankings = tuple(r for r in (_ranking(respect, loads) for respect in _RESPECTS) if r)
    missing = tuple(dict.fromkeys(entry for _, found in loads for entry in found.missing))
    return Comparison(
        title=f"Set-ups of {apparatus.name}",
        loads=loads,
        rankings=rankings,
        worse=tuple(text for ranking in rankings for text in _worse(ranking)),
        limits=tuple(
            (name, _limit_text(apparatus, case, flows[name], set_ups[name]))
            for name, case in cases.items()
        ),
        levers=tuple(
            lever
            for name, case in cases.items()
            for lever in _levers(apparatus, name, case, rankings)
        ),
        missing=missing,
        steps=tuple(text for ranking in rankings for text in _worse(ranking)),
        notes=_comparison_notes(loads, missing),
        sources=tuple(dict.fromkeys(cited for _, found in loads for cited in found.sources)),
    )


def _read_set_ups(apparatus, set_ups):
    """Each set-up in plain numbers, and its flow or None; every fault of all of them at once."""
    cases, flows, faults, impossible_only = {}, {}, [], True
    for name, table in set_ups.items():
        values = {}
        unknown = [k for k in table if k not in (*SET_UP, *_FREE, "flow")]
        absent = [k for k in ("reaction", "extension", "elevation") if k not in table]
        said = [f"{k}: not a key the kit knows; known: {', '.join(SET_UP)}, flow" for k in unknown]
        said += [f'{k}: missing; write {k}="{SET_UP[k].example}"' for k in absent]
        for key, need in {**SET_UP, "flow": _FLOW}.items():
            if table.get(key) is None:
                continue
            try:
                values[key] = in_unit(table[key], need)
            except AerialStreamError as error:
                said.append(
                    f'{key} = {table[key]!r}: {str(error).rstrip(".")}. Write {key}="{need.example}"'
                )
                impossible_only = False
                continue
            fault = need.fault(values[key])
            if fault:
                said.append(f'{key} = {table[key]}: {fault}. Write {key}="{need.example}"')
        flows[name] = values.pop("flow", None)
        if not said:
            cases[name] = Case(**values, **{k: table[k] for k in _FREE if k in table})
            said = [fault for fault in case_faults(cases[name], apparatus) if fault]
        faults += [f"set-up {name}: {text}" for text in said]
    if faults:
        family = ImpossibleValue if impossible_only else UnitError
        raise family("compare_set_ups cannot work with this:\n  " + "\n  ".join(faults))
    return cases, flows


def _sizes(respect, loads):
    """Name -> size of a moment, and whether the reaction alone was taken; None where not known."""
    whole = {name: getattr(found, respect) for name, found in loads}
    alone = None in whole.values()
    if alone:
        parts = {name: found.reaction for name, found in loads}
        whole = {name: None if p is None else getattr(p, respect) for name, p in parts.items()}
        if None in whole.values():
            return None, True
    return {name: abs(clean(value.magnitude)) for name, value in whole.items()}, alone


def _ranking(respect, loads):
    sizes, alone = _sizes(respect, loads)
    if sizes is None:
        return None
    order = sorted(sizes, key=sizes.get, reverse=True)
    least = sizes[order[-1]]
    return Ranking(
        respect=respect,
        alone=alone,
        order=tuple(
            (name, quantity(sizes[name], "lbf*foot"), sizes[name] / least if least > 0.5 else None)
            for name in order
        ),
    )


def _worse(ranking):
    """The worst against each of the others, in words."""
    (worst, size, _), *others = ranking.order
    label = SUMS[ranking.respect][0].lower() + (" (reaction alone)" if ranking.alone else "")
    for name, other, _ in others:
        if size.magnitude - other.magnitude <= 1e-6 * size.magnitude:
            yield f"{worst} and {name} are alike in {label}"
        elif other.magnitude <= 0.5:
            yield f"{worst} is worse than {name} in {label}: {name} has none"
        else:
            times = size.magnitude / other.magnitude
            yield f"{worst} is worse than {name} in {label}: {times:.3g} times as much"


def _levers(apparatus, name, case, rankings):
    """Short extension, modest flow, nozzle in line: each worked out anew, the rest as it is."""
    short = max(
        case.extension / 2, min(case.extension, plain_entry(apparatus.extension, "least", "foot"))
    )
    changes = (
        (
            both(lambda pen: f"shorter, {pen.shown(short, 'length')}"),
            case._replace(extension=short),
        ),
        ("half the flow at the same nozzle pressure", case._replace(reaction=case.reaction / 2)),
        ("nozzle in line", case._replace(rotation=0.0)),
    )
    before = _plain_respects(apparatus, case, rankings)
    for change, lighter in changes:
        after = _plain_respects(apparatus, lighter, rankings)
        factors = {
            respect: abs(after[respect] / before[respect])
            if abs(before.get(respect) or 0) > 0.5
            else None
            for respect in _RESPECTS
        }
        yield Lever(set_up=name, change=change, **factors)


def _plain_respects(apparatus, case, rankings):
    """The ranked moments of a set-up as plain numbers, without building its result."""
    gathered = gather(apparatus, case)
    numbers = {
        name: None if loads is None else numbers_of(loads, case, gathered)
        for name, loads in gathered.parts.items()
    }
    sums = sums_of(numbers)
    return {
        r.respect: numbers["reaction"][r.respect] if r.alone else sums[r.respect] for r in rankings
    }


def _limit_text(apparatus, case, flow, given):
    """What the department's own entries say of a set-up, or what to look up; in both systems."""
    return both(lambda pen: " ".join(_limit_sentences(apparatus, case, flow, given, pen.system)))


def _limit_sentences(apparatus, case, flow, given, system):
    if flow is None:
        yield f"No flow was given, so nothing was looked up. Look up {_LOOK_UP}."
    else:
        yield manual_limit_text(
            apparatus,
            flow=quantity(flow, "gpm"),
            extension=quantity(case.extension, "foot"),
            rotation=quantity(case.rotation, "degree"),
            system=system,
        )
        if not apparatus.manual_limits:
            yield f"Look up {_LOOK_UP}."
    yield from _condition_texts(apparatus, case, given, system)


def _condition_texts(apparatus, case, given, system):
    """Wind, slope and elevation against the department's own entries, or that there are none.

    What the set-up does not tell is not held against an entry as if it were nothing.
    """
    entered = apparatus.manual_conditions
    if entered is None:
        yield f"Limits of wind, slope and lowest elevation: {NOT_ENTERED}."
        return
    down = core.downward(case.slope_along, case.slope_across)
    steepest = degrees(acos(min(1.0, -down[2])))
    for what, value, limit, unit, way in (
        ("wind", case.wind, entered.wind_up_to, "mile/hour", 1),
        ("slope", steepest, entered.slope_up_to, "degree", 1),
        ("elevation", case.elevation, entered.elevation_at_least, "degree", -1),
    ):
        if limit is None:
            yield f"Limit of {what}: {NOT_ENTERED}."
            continue
        bound = limit.to(unit).magnitude
        beyond = way * (value - bound) > 1e-9 * max(1.0, abs(bound))
        word = "up to" if way > 0 else "no lower than"
        text = f"{what} {word} {_as_entered(limit, system)} ({entered.page})"
        if not any(key.startswith(what) for key in given):
            yield f"No {what} was given to hold against the entry: {text}."
            continue
        if beyond:
            yield f"BEYOND THE ENTERED LIMIT: {text}. Do not; see the operator's manual."
        else:
            yield f"Not beyond the entered limit: {text}."


def _as_entered(limit, system):
    """A limit as crews say it: wind in mph or m/s, angles in degrees."""
    if kind_of(limit) == "velocity" and system == "US":
        return f"{limit.to('mile/hour').magnitude:.3g} mph"
    return show(limit, system)


def _comparison_notes(loads, missing):
    notes = list(dict.fromkeys(n for _, found in loads for n in found.notes))
    last = [n for n in (STILL, DECIDES) if n in notes]
    said = [n for n in notes if n not in last and not n.text.startswith("Not entered, so")]
    if missing:
        text = (
            "Not entered, so where it says “reaction alone” only that is compared: "
            + "; ".join(missing)
            + "."
        )
        said.append(Note("caution", text))
    text = (
        "What lightens any set-up: a short ladder, a modest flow, a nozzle in line. A ranking says "
        "which load is larger; it calls none of them allowed."
    )
    return (*said, Note("caution", text), *last)
