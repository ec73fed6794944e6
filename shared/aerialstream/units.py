"""The one registry, the quantity edge, and how quantities are printed.

The registry is the kit's own: another library may redefine names in pint's shared one.
All pressures are gauge pressures. A gallon is the US liquid gallon.
"""

import math
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from functools import cache, wraps
from inspect import signature

from aerialstream.errors import ImpossibleValue, UnitError, UnreadableText
from aerialstream.quantity_text import EXAMPLES, read_quantity_text

_DEFINITIONS = (
    "gpm = gallon / minute = _ = GPM",
    "lpm = liter / minute = _ = LPM",
    "psf = lbf / foot ** 2",
    "cfm = foot ** 3 / minute",  # pint alone reads centifemtometre
)

# Kind -> what it is measured in for each unit system, and decimals when printed.
_PRINTED = {
    "flow": {"US": ("gpm", "gpm", 0), "metric": ("lpm", "L/min", 0)},
    "pressure": {"US": ("psi", "psi", 0), "metric": ("kilopascal", "kPa", 0)},
    "force": {"US": ("lbf", "lbf", 0), "metric": ("newton", "N", 0)},
    "moment": {"US": ("lbf*foot", "lbf·ft", 0), "metric": ("newton*meter", "N·m", 0)},
    "length": {"US": ("foot", "ft", 1), "metric": ("meter", "m", 2)},
    "bore": {"US": ("inch", "in", 3), "metric": ("millimeter", "mm", 1)},
    "velocity": {"US": ("foot/second", "ft/s", 1), "metric": ("meter/second", "m/s", 1)},
    "angle": {"US": ("degree", "deg", 1), "metric": ("degree", "deg", 1)},
    "share": {"US": ("percent", "%", 0), "metric": ("percent", "%", 0)},
    "area": {"US": ("foot**2", "sq ft", 0), "metric": ("meter**2", "m²", 1)},
    "volume": {"US": ("gallon", "gal", 0), "metric": ("liter", "L", 0)},
    "time": {"US": ("minute", "min", 1), "metric": ("minute", "min", 1)},
    "power": {"US": ("megawatt", "MW", 1), "metric": ("megawatt", "MW", 1)},
    "voltage": {"US": ("kilovolt", "kV", 2), "metric": ("kilovolt", "kV", 2)},
    # Asked for by name: the same dimension as another kind, printed in other units.
    "load": {"US": ("psf", "psf", 1), "metric": ("kilopascal", "kPa", 2)},
    "weight": {"US": ("lbf", "lb", 0), "metric": ("kgf", "kg", 0)},
    "pump power": {"US": ("horsepower", "hp", 0), "metric": ("kilowatt", "kW", 0)},
    "depth": {"US": ("inch", "in", 2), "metric": ("millimeter", "mm", 0)},
    "wind": {"US": ("mile/hour", "mph", 0), "metric": ("kilometer/hour", "km/h", 0)},
    "grade": {"US": ("percent", "%", 2), "metric": ("percent", "%", 2)},
    "pad": {"US": ("inch", "in", 1), "metric": ("millimeter", "mm", 0)},
    "pad area": {"US": ("foot**2", "sq ft", 1), "metric": ("meter**2", "m²", 2)},
}
SYSTEMS = ("US", "metric")
_ANY_LENGTH = Context(prec=400)
_TOLD_BY_UNIT = ("angle", "share")  # no dimension of their own
# Never found out, only asked for.
_BY_NAME = ("bore", "load", "weight", "depth", "pump power", "grade", "pad", "pad area", "wind")


@cache
def registry():
    """The kit's own pint registry, built on first use.

    Gives
      pint.UnitRegistry   with gpm, lpm, psf and cfm defined; quantities of another registry
                          cannot be mixed with it, but public functions convert them
    """
    import pint

    ureg = pint.UnitRegistry()
    for line in _DEFINITIONS:
        ureg.define(line)
    ureg.formatter.default_format = "~P"
    return ureg


def quantity(number_or_text, unit=None):
    """A quantity from a number and a unit, or from a text such as "1 3/4 in".

    Fails when
      UnreadableText   the text is not a number and a unit, or the number not a number
      UnitError        the unit is not one the kit knows
    """
    if unit is None:
        read = read_quantity_text(number_or_text)
        number_or_text, unit = read.number, read.unit
    try:
        number = float(number_or_text)
    except (TypeError, ValueError):
        raise UnreadableText("unreadable", f"“{number_or_text}” is not a number.") from None
    try:
        return registry().Quantity(number, unit)
    except Exception as error:  # pint raises several families of its own
        raise UnitError(f"“{unit}” is not a unit the kit knows ({error}).") from None


@cache
def _kind_dimensions():
    ureg = registry()
    return {
        kind: ureg.Unit(systems["US"][0]).dimensionality
        for kind, systems in _PRINTED.items()
        if kind not in (*_BY_NAME, *_TOLD_BY_UNIT)
    }


def kind_of(value):
    """The kind of a quantity ("force", "flow", "angle", ...), or None where the kit has none.

    An angle and a share have no dimension; their unit tells them apart.
    """
    of_unit = _kind_of_own_unit if value._REGISTRY is registry() else _kind_of_unit
    return of_unit(value.units)


def _kind_of_unit(unit):
    for kind, dimension in _kind_dimensions().items():
        if unit.dimensionality == dimension:
            return kind
    value = 1 * unit
    if value.dimensionless:
        names = {name for name, _ in value.unit_items()}
        if names and names <= {"degree", "radian"}:
            return "angle"
        if names == {"percent"}:
            return "share"
    return None


# Few units are met, and a panel asks dozens of times for one picture. Another registry's units
# are asked each time: under the same name they may mean something else.
_kind_of_own_unit = cache(_kind_of_unit)


def show(value, system="US", kind=None):
    """A quantity as it is printed for a crew: "505 lbf", "1,063 gpm", "1 3/4 in".

    Takes
      value    a quantity of the kit's registry
      system   "US" or "metric"
      kind     found out, unless one is asked for: "bore" prints a tip or hose diameter, "load"
               psf, "weight" pounds of weight, "depth" inches of water
    """
    kind = kind or kind_of(value)
    if kind is None:
        return f"{value:.4g~P}"
    unit, label, decimals = _PRINTED[kind][system]
    number = value.to(unit).magnitude
    if kind == "bore" and system == "US":
        return f"{_inches(number)} in"
    if not math.isfinite(number):
        return f"{number} {label}"
    # Half a pound rounds up, as a crew would; the first rounding takes off float dust.
    step = Decimal(1).scaleb(-decimals)
    rounded = Decimal(repr(round(number, 9))).quantize(step, ROUND_HALF_UP, _ANY_LENGTH)
    text = f"{rounded:,f}"
    if decimals and "." in text:
        text = text.rstrip("0").rstrip(".")
    if text in ("-0", "-0.0"):
        text = "0"
    return f"{text} {label}"


def _inches(number):
    """Inches as stamped on a tip: to the sixteenth where it is one, else decimals."""
    sixteenths = round(number * 16)
    if abs(number * 16 - sixteenths) > 1e-6:
        return f"{number:.3f}".rstrip("0").rstrip(".")
    sign = "-" if sixteenths < 0 else ""
    whole, part = divmod(abs(sixteenths), 16)
    if not part:
        return f"{sign}{whole}"
    divisor = math.gcd(part, 16)
    fraction = f"{part // divisor}/{16 // divisor}"
    return f"{sign}{whole} {fraction}" if whole else f"{sign}{fraction}"


# Beyond these no rig, hose or stream can be; the formulas would overflow further out.
_TOO_LARGE, _TOO_SMALL = 1e9, 1e-9


@dataclass(frozen=True)
class Need:
    """What one input must be: its kind, the unit the formula works in, and hard bounds."""

    kind: str
    unit: str
    above: float = -math.inf
    at_least: float = -math.inf
    at_most: float = math.inf

    @property
    def example(self):
        """How to write one, for messages."""
        return "1 3/4 in" if self.unit == "inch" else EXAMPLES[self.kind]

    def fault(self, number, system="US"):
        """Why this number cannot be, or an empty text; its bounds in a unit system."""
        if math.isnan(number):
            return "is not a number"
        if math.isinf(number):
            return "is infinite"
        if abs(number) > _TOO_LARGE:
            return "is too large to be real"
        if self.above == 0 and 0 < number < _TOO_SMALL:
            return "is too small to be real"
        if number <= self.above:
            return f"must be more than {self._bound(self.above, system)}"
        if number < self.at_least:
            return f"must be at least {self._bound(self.at_least, system)}"
        if number > self.at_most:
            return f"must be at most {self._bound(self.at_most, system)}"
        return ""

    def _bound(self, number, system):
        if system == "US":
            return f"{number:g} {self.unit}"
        return show(quantity(number, self.unit), system, "bore" if self.unit == "inch" else None)


def in_unit(value, need):
    """A public input as a plain number in the unit the formula works in."""
    if isinstance(value, str):
        read = read_quantity_text(value, need.kind, need.example)
        if read.unit == need.unit:
            return read.number
        value = registry().Quantity(read.number, read.unit)
    if not (hasattr(value, "magnitude") and hasattr(value, "_REGISTRY")):
        raise UnitError("has no unit")
    if value._REGISTRY is not registry():
        value = _into_own_registry(value)
    if value.unitless and kind_of(value) is None:
        raise UnitError("has no unit")
    if kind_of(value) != need.kind:
        raise UnitError(f"is in {value.units}, not a unit of {need.kind}")
    if getattr(value.magnitude, "shape", ()) != ():
        raise UnitError("is not one single number")
    try:
        return float(value.to(need.unit).magnitude)
    except (TypeError, ValueError):
        raise UnitError("is not one single number") from None


def _written(error, need):
    """How to write what could not be read: the same number with a unit, where one was read."""
    if error.code != "no unit" or error.number is None:
        return need.example
    if need.kind == "angle" and abs(error.number) <= 2 * math.pi:
        return need.example  # as likely radians or a share as degrees
    unit = need.example.lstrip("0123456789.,/ ")
    return f"{error.number:g} {unit}"


def _told(name, given):
    """An input as it was given, for a message."""
    return f"{name} = {given!r}" if isinstance(given, str) else f"{name} = {given}"


def _into_own_registry(value):
    """The same quantity in our registry; its root units mean the same in every registry."""
    if kind_of(value) not in _TOLD_BY_UNIT:
        value = value.to_root_units()
    try:
        return registry().Quantity(value.magnitude, str(value.units))
    except Exception:
        raise UnitError(f"is in {value.units}, a unit that the kit does not know") from None


def quantities(plain=None, **needs):
    """Give a function the quantity edge: units read, checked and converted, all faults at once.

    The decorated body gets plain numbers in each Need's unit. Anything without a unit, of
    the wrong kind or impossible is refused in one message that names every fault and shows
    a line to copy. Inputs not named in `needs` pass through untouched. None passes through
    where the signature's default is None. `plain` has a check for each other input, such as
    `_checks.number` makes: called with its name and value, it gives the fault or an empty text.
    """

    def decorate(function):
        parameters = signature(function)

        @wraps(function)
        def edge(*args, **kwargs):
            bound = parameters.bind(*args, **kwargs)
            bound.apply_defaults()
            faults, impossible_only = [], True
            for name, need in needs.items():
                given = bound.arguments[name]
                if given is None and parameters.parameters[name].default is None:
                    continue
                try:
                    number = in_unit(given, need)
                except UnitError as error:
                    faults.append(
                        f'{_told(name, given)}: {error}. Needed: {need.kind}, such as {name}="{need.example}"'
                    )
                    impossible_only = False
                    continue
                except UnreadableText as error:
                    said = str(error).rstrip(".")
                    if error.code == "no unit":
                        said = said.partition(". Write it as")[0]
                    faults.append(
                        f'{_told(name, given)}: {said}. Write {name}="{_written(error, need)}"'
                    )
                    impossible_only = False
                    continue
                fault = need.fault(number)
                if fault:
                    faults.append(f'{_told(name, given)}: {fault}. Write {name}="{need.example}"')
                bound.arguments[name] = number
            for name, check in (plain or {}).items():
                try:
                    fault = check(name, bound.arguments[name])
                except UnitError as error:
                    fault, impossible_only = str(error), False
                faults += [fault] if fault else []
            if faults:
                family = ImpossibleValue if impossible_only else UnitError
                raise family(
                    f"{function.__name__} cannot work with this:\n  " + "\n  ".join(faults)
                )
            return function(*bound.args, **bound.kwargs)

        edge.needs = needs
        return edge

    return decorate
