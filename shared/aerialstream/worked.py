"""Worked steps and notes written once, read in either unit system.

A step is written by a function that is given a pen: the US pen prints every number in the unit
the formula was printed in, the metric pen the same number in kPa, L/min, mm, m and N, constants
of the formula included. What both print is the same sum.

    steps = worked(
        lambda pen: (
            f"Flow = {pen.constant(29.7, flow=1, bore=-2, pressure=-0.5)} × …"
            f" = {pen.of(flow_gpm, 'flow', 1)}",
        )
    )
"""

from functools import cache

# Kind -> (US unit, its label), (metric unit, its label): the units that sums are written in.
_UNITS = {
    "flow": (("gpm", "gpm"), ("lpm", "L/min")),
    "pressure": (("psi", "psi"), ("kilopascal", "kPa")),
    "force": (("lbf", "lbf"), ("newton", "N")),
    "moment": (("lbf*foot", "lbf·ft"), ("newton*meter", "N·m")),
    "length": (("foot", "ft"), ("meter", "m")),
    "bore": (("inch", "in"), ("millimeter", "mm")),
    "velocity": (("foot/second", "ft/s"), ("meter/second", "m/s")),
    "area": (("foot**2", "sq ft"), ("meter**2", "m²")),
    "volume": (("gallon", "gal"), ("liter", "L")),
    "space": (("foot**3", "ft³"), ("meter**3", "m³")),
    "load": (("psf", "psf"), ("kilopascal", "kPa")),
    "weight": (("lbf", "lb"), ("kgf", "kg")),
    "wind": (("mile/hour", "mph"), ("meter/second", "m/s")),
    "density": (("pound/foot**3", "lb/ft³"), ("kilogram/meter**3", "kg/m³")),
    "power": (("horsepower", "hp"), ("kilowatt", "kW")),
}

# US numbers are round, what they convert to is not: with fewer figures than this a metric sum
# does not come out as printed.
_METRIC_DIGITS = 5


@cache
def _factor(kind):
    """What a US number of this kind is multiplied by to be metric."""
    from aerialstream.units import registry

    (us, _), (metric, _) = _UNITS[kind]
    return float(registry().Quantity(1.0, us).to(metric).magnitude)


@cache
def _constant_factor(powers):
    factor = 1.0
    for kind, power in powers:
        factor *= _factor(kind) ** power
    return factor


class Pen:
    """Writes the numbers of a step in one unit system."""

    def __init__(self, system):
        self.system = system
        self._metric = system == "metric"

    def number(self, value, kind=None, digits=5):
        """A US number of a kind, in this system, to so many figures, without its unit.

        kind None is a plain number (a ratio, a count), the same in both. The metric pen writes
        five figures at least.
        """
        if self._metric:
            digits = max(digits, _METRIC_DIGITS)
            value = value if kind is None else value * _factor(kind)
        return _figures(value, digits)

    def unit(self, kind):
        """The label of a kind's unit: "gpm" or "L/min"."""
        return _UNITS[kind][self._metric][1]

    def of(self, value, kind, decimals=None, digits=5):
        """A US number of a kind with its unit; to fixed decimals where they are given.

        Metric figures go by `digits`: the same decimals would claim another exactness.
        """
        if decimals is not None and not self._metric:
            return f"{value:,.{decimals}f} {self.unit(kind)}"
        return f"{self.number(value, kind, digits)} {self.unit(kind)}"

    def shown(self, value, kind):
        """A US number of a kind with its unit, rounded as results are: for words, not for sums."""
        from aerialstream.units import quantity, show

        return show(quantity(value, _UNITS[kind][0][0]), self.system, kind)

    def bore(self, inches):
        """A tip or hose diameter as it is stamped, without its unit: 1 3/4, or 44.45."""
        if self._metric:
            return self.number(inches, "bore")
        from aerialstream.units import quantity, show

        return show(quantity(inches, "inch"), "US", "bore").removesuffix(" in")

    def square(self, inches, digits=5):
        """The square of a diameter, without its unit."""
        return _figures((inches * (_factor("bore") if self._metric else 1)) ** 2, digits)

    def root(self, psi, digits=4):
        """The root of a pressure, without its unit; metric to five figures."""
        if self._metric:
            return _figures((psi * _factor("pressure")) ** 0.5, _METRIC_DIGITS)
        return _figures(psi**0.5, digits)

    def constant(self, value, **powers):
        """A constant of a formula printed in US units, in this system; metric to five figures.

        powers are those of the constant's own unit: 29.7 gpm/(in² √psi) is
        `constant(29.7, flow=1, bore=-2, pressure=-0.5)`; the metric pen prints 0.066366.
        """
        if not self._metric:
            return f"{value:g}"
        factor = _constant_factor(tuple(sorted(powers.items())))
        return _figures(value * factor, _METRIC_DIGITS)

    def made(self, value, digits=5, **powers):
        """A US number whose unit is made of kinds, in this system, to so many figures.

        powers as in `constant`: the root of a loss in psi for gpm is
        `made(root, pressure=0.5, flow=-1)`.
        """
        factor = _constant_factor(tuple(sorted(powers.items()))) if self._metric else 1
        return _figures(value * factor, digits)

    def choose(self, us, metric):
        """One of two wordings, where a step has to be told differently."""
        return metric if self._metric else us


def _figures(value, digits):
    """A number to so many figures, with thousands, never with an exponent for what crews meet."""
    if abs(value) < 1e-10:  # what cos 90° leaves of a force, and a minus nought
        return "0"
    text = f"{value:,.{digits}g}"
    if "e" in text and 1e-7 < abs(value) < 1e9:
        text = f"{value:,.0f}" if abs(value) >= 1 else f"{value:.{digits + 6}f}".rstrip("0")
    return text


US, METRIC = Pen("US"), Pen("metric")


class Both(str):
    """A text in US units that also knows its metric wording."""

    metric: str


def both(write):
    """One text in both systems. `write` takes a Pen and gives a text."""
    text = Both(write(US))
    text.metric = write(METRIC)
    return text


def worked(write):
    """Steps in both systems. `write` takes a Pen and gives the steps, as many for either."""
    steps = []
    for us, metric in zip(write(US), write(METRIC), strict=True):
        step = Both(us)
        step.metric = metric
        steps.append(step)
    return tuple(steps)


def in_system(text, system):
    """A text as it reads in a unit system; one without a metric wording reads the same in both."""
    return getattr(text, "metric", text) if system == "metric" else str(text)
