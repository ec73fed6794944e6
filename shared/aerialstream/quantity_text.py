"""Reading "number unit" as crews write it: "1 3/4 in", "80 psi", "1,000 GPM", "5' 6\\"".

Our own small grammar: a general expression parser reads `1 3/4 in` as 0.75 in and `lb` as
a mass. Used for department files and for what learners type. No pint needed here.
"""

import re
from functools import cache
from typing import NamedTuple

from aerialstream.errors import UnreadableText

# Kind -> the unit as our registry knows it -> spellings (lower case, single spaces, no dots).
UNIT_SPELLINGS = {
    "flow": {
        "gpm": "gpm gpms gal/min gals/min gallon/min gallons/min usgpm|us gpm|gallons per minute|"
        "gallon per minute|gal per min|gallons a minute|us gallons per minute",
        "imperial_gallon/minute": "igpm|imperial gpm|imperial gallons per minute|imp gal/min",
        "lpm": "lpm l/min litre/min liter/min litres/min liters/min|litres per minute|"
        "liters per minute|l per min",
        "liter/second": "l/s lps|litres per second|liters per second",
        "meter**3/hour": "m3/h m³/h m^3/h|cubic metres per hour|cubic meters per hour",
    },
    "pressure": {
        "psi": "psi psig lb/in2 lbf/in2 lb/in² lbf/in² lb/sqin|lb/sq in|lbs/sq in|"
        "pounds per square inch|pound per square inch",
        "bar": "bar bars barg|bar g",
        "kilopascal": "kpa kilopascal kilopascals",
        "megapascal": "mpa megapascal megapascals",
        "psf": "psf lb/ft2 lbf/ft2 lb/ft²|lb/sq ft|lbs/sq ft|pounds per square foot",
    },
    "force": {
        "lbf": "lbf lb lbs lbsf pound pounds #|pounds force|pound force|pounds-force|pound-force|"
        "lb force|lbs force|lb-force|pounds of force|lb of force|lbs of force",
        "kip": "kip kips",
        "newton": "n newton newtons",
        "kilonewton": "kn kilonewton kilonewtons",
        "kgf": "kgf kp|kg force|kg-force",
        "force_ton": "tons ton|short tons|short ton|us tons|us ton",
    },
    "moment": {
        "lbf*foot": "lbf*ft lb*ft lbs*ft ft*lb ft*lbs ft*lbf lbf*feet lb*feet lbs*feet lbft ftlb "
        "ftlbs ftlbf lbfft foot*pound foot*pounds pound*foot pound*feet pounds*feet pounds*foot "
        "feet*pounds foot*lb foot*lbs",
        "lbf*inch": "lbf*in lb*in lbs*in in*lb in*lbs in*lbf inch*pounds inch*pound",
        "newton*meter": "n*m nm newton*metre newton*metres newton*meter newton*meters",
        "kilonewton*meter": "kn*m knm",
    },
    "length": {
        "foot": "ft foot feet '",
        "inch": "in inch inches \" ''",
        "meter": "m metre metres meter meters",
        "centimeter": "cm centimetre centimetres centimeter centimeters",
        "millimeter": "mm millimetre millimetres millimeter millimeters",
        "yard": "yd yard yards",
    },
    "angle": {
        "degree": "deg degs degree degrees °",
        "radian": "rad rads radian radians",
    },
    "velocity": {
        "foot/second": "ft/s ft/sec fps f/s|feet per second|foot per second|feet a second",
        "mile/hour": "mph mi/h|miles per hour|miles an hour",
        "meter/second": "m/s m/sec|metres per second|meters per second",
        "kilometer/hour": "km/h kph kmh|kilometres per hour|kilometers per hour",
    },
    "share": {"percent": "% percent pct|per cent"},
    "area": {
        "foot**2": "ft2 ft² sqft sf|sq ft|square feet|square foot",
        "meter**2": "m2 m² sqm|sq m|square metres|square meters",
        "inch**2": "in2 in² sqin|sq in|square inches|square inch",
    },
    "volume": {
        "gallon": "gal gals gallon gallons|us gal|us gallons",
        "imperial_gallon": "igal|imperial gal|imperial gallons|imp gal",
        "liter": "l litre litres liter liters",
        "meter**3": "m3 m³|cubic metres|cubic meters",
        "foot**3": "ft3 ft³ cuft|cu ft|cubic feet",
    },
    "time": {
        "minute": "min mins minute minutes",
        "second": "s sec secs second seconds",
        "hour": "h hr hrs hour hours",
    },
    "power": {
        "megawatt": "mw megawatt megawatts",
        "kilowatt": "kw kilowatt kilowatts",
        "Btu/minute": "btu/min|btu per minute",
    },
    "voltage": {
        "kilovolt": "kv kilovolt kilovolts",
        "volt": "v volt volts",
    },
}

# Where a weight is asked for, what a scale says is read, too; elsewhere a mass is no force.
_WEIGHT = {
    "lbf": "lb",
    "kgf": "kg kgs kilo kilos kilogram kilograms",
    "force_metric_ton": "tonne tonnes|metric tons|metric ton",
}

EXAMPLES = {
    "flow": "1,000 gpm",
    "pressure": "80 psi",
    "force": "505 lbf",
    "moment": "12,500 lbf ft",
    "length": "75 ft",
    "angle": "30 deg",
    "velocity": "109 ft/s",
    "share": "70 %",
    "area": "2,500 sq ft",
    "volume": "500 gal",
    "time": "10 min",
    "power": "50 MW",
    "voltage": "12 kV",
    "weight": "12,500 lb",
}

_FRACTIONS = {
    "½": (1, 2), "¼": (1, 4), "¾": (3, 4), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
    "⅓": (1, 3), "⅔": (2, 3),
}  # fmt: skip
_MARKS = str.maketrans({
    "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ", "\n": " ", "\r": " ",
    "−": "-", "–": "-", "—": "-", "‑": "-", "⁄": "/", "∕": "/",
    "”": '"', "“": '"', "″": '"', "’": "'", "‘": "'", "′": "'", "º": "°", "˚": "°",
})  # fmt: skip


class QuantityText(NamedTuple):
    """What was read: the number, its kind, and the unit's name in our registry."""

    number: float
    unit: str
    kind: str


def spellings_of(kind):
    """{unit: spellings} of a kind; a "weight" is a force that is also read in kilograms."""
    if kind != "weight":
        return UNIT_SPELLINGS[kind]
    units = UNIT_SPELLINGS["force"]
    own = {
        unit: f"{text} {units[unit]}" if unit in units else text for unit, text in _WEIGHT.items()
    }
    return {**units, **own}


def _spelling_table(kinds):
    table = {}
    for kind in kinds:
        for unit, text in spellings_of(kind).items():
            words, *phrases = text.split("|")
            for spelling in [*words.split(), *phrases]:
                table[_unit_key(spelling)] = (kind, unit)
    return table


def _unit_key(text):
    """Lower case; a product of units may be written with a dot, a star, a hyphen or a space."""
    text = text.lower().replace(".", "").strip()
    text = re.sub(r"\s*/\s*", "/", text)
    text = re.sub(r"\s*[*·⋅×-]\s*", "*", text)
    return re.sub(r"\s+", " ", text)


@cache
def _table(weight):
    return _spelling_table([*UNIT_SPELLINGS, "weight"] if weight else UNIT_SPELLINGS)


def unit_named(text, kind=None):
    """(kind, unit) for a spelling, or None. `lb ft`, `lb-ft` and `lb*ft` are one spelling.

    With kind "weight" a force, a kilogram and a tonne are weights.
    """
    table, key = _table(kind == "weight"), _unit_key(text)
    return table.get(key) or table.get(key.replace(" ", "*")) or table.get(key.replace("*", " "))


_NUMBER = re.compile(
    r"""\s*(?P<sign>[+-]?)\s*
    (?:(?P<whole>\d+)(?:\s+|-)(?P<top>\d+)\s*/\s*(?P<bottom>\d+)
      |(?P<top2>\d+)\s*/\s*(?P<bottom2>\d+)
      |(?P<plain>\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d{1,3}(?:[ ]\d{3})+(?:\.\d*)?(?![\d/])|\d+(?:\.\d*)?|\.\d+))
    (?P<rest>.*)$""",
    re.VERBOSE | re.DOTALL,
)
_LEAD_IN = re.compile(
    r"^\s*(?:about|approximately|approx\.?|roughly|circa|ca\.?|~|≈|[a-z ]{0,20}=)\s*", re.I
)


def _tidy(text):
    text = text.translate(_MARKS)
    for mark, (top, bottom) in _FRACTIONS.items():
        text = re.sub(rf"(?<=\d)[ -]*{mark}", f" {top}/{bottom}", text)
        text = text.replace(mark, f"{top}/{bottom}")
    return _LEAD_IN.sub("", text).strip()


def _number_and_rest(text, example):
    match = _NUMBER.match(text)
    if not match:
        raise UnreadableText(
            "unreadable", f"I read “{text[:60]}”. Start with a number, then the unit: {example}"
        )
    part = match.groupdict()
    if part["plain"]:
        number = float(re.sub(r"[, ]", "", part["plain"]))
    else:
        bottom = int(part["bottom"] or part["bottom2"])
        if bottom == 0:
            raise UnreadableText("unreadable", f"I read “{text[:60]}”: a fraction over zero.")
        number = int(part["whole"] or 0) + int(part["top"] or part["top2"]) / bottom
    rest = part["rest"]
    if part["plain"] and re.match(r",\d", rest):
        raise UnreadableText(
            "decimal comma",
            f"I read “{text[:60]}”. Write decimals with a point (1.75), thousands with a "
            "comma (1,000).",
        )
    if part["plain"] and re.match("0+,", part["plain"]):
        raise UnreadableText(
            "decimal comma", f"I read “{text[:60]}”. Write decimals with a point (0.75)."
        )
    return (-number if part["sign"] == "-" else number), rest.strip()


def _feet_and_inches(text):
    """`5 ft 6 in`, `12'-6"` or `-1 ft 6 in` as inches, else None."""
    match = re.match(
        r"^(?P<sign>[+-]?)\s*(?P<ft>\d+(?:\.\d+)?)\s*(?:ft|feet|foot|')\.?\s*(?:,|-(?=\s*\d)|and\b)?\s*"
        r"(?P<in>\S.*?)\s*(?:inches|inch|in|\"|'')\.?$",
        text,
        re.I,
    )
    if not match:
        return None
    try:
        inches, rest = _number_and_rest(match["in"], "")
    except UnreadableText:
        return None
    if rest or inches < 0 or inches >= 12:
        return None
    # The sign belongs to the whole length: one foot six below is minus 18 inches.
    total = 12 * float(match["ft"]) + inches
    return -total if match["sign"] == "-" else total


_BETWEEN_TIMES = r" ?(?:,|and(?![a-z]))? ?"
_TIME_PARTS = re.compile(
    rf"(?:(?P<h>\d+) ?(?:hours|hour|hrs|hr|h)(?![a-z])\.?)?{_BETWEEN_TIMES}"
    rf"(?:(?P<min>\d+) ?(?:minutes|minute|mins|min)(?![a-z])\.?)?{_BETWEEN_TIMES}"
    r"(?:(?P<s>\d+(?:\.\d+)?) ?(?:seconds|second|secs|sec|s)\.?)?",
    re.I,
)


def _minutes(text):
    """`7 min 18 s` or `1 h 5 min` as minutes, else None."""
    match = _TIME_PARTS.fullmatch(re.sub(r"\s+", " ", text))
    parts = match.groupdict() if match else {}
    given = [part for part in parts.values() if part]
    # A part that would fill the next larger one is a slip of the pen: 7 min 75 s.
    if len(given) < 2 or any(float(part) >= 60 for part in given[1:]):
        return None
    hours, minutes, seconds = (float(part or 0) for part in parts.values())
    return 60 * hours + minutes + seconds / 60


def read_quantity_text(text, kind=None, example=None):
    """The number and unit in a text, or UnreadableText with advice on how to write it.

    Takes
      text   what was typed, e.g. "1 3/4 in", "1,000 gpm", "505 lbs", "5' 6\\"", "7 min 18 s"
      kind   one of UNIT_SPELLINGS, "weight", or None for any kind; "lb" is a force, never a mass,
             and "kg" is read only as a weight
      example  how to write one, for the advice in a refusal
    Gives
      QuantityText(number, unit, kind)
    Fails when
      UnreadableText   blank, no number, a decimal comma, arithmetic, no unit, an unknown
                       unit, or a unit of another kind than asked; `.code` tells which
    """
    example = example or EXAMPLES.get(kind, "80 psi")
    if not isinstance(text, str):
        raise UnreadableText("unreadable", f"A text in quotes is needed, such as “{example}”.")
    if len(text.strip()) > 200:
        raise UnreadableText(
            "unreadable", f"I read “{text.strip()[:60]}…”, too long. Write it as {example}"
        )
    tidy = _tidy(text)
    if not tidy:
        raise UnreadableText("blank", f"Nothing written yet. Write a number and a unit: {example}")
    if kind in (None, "length"):
        inches = _feet_and_inches(tidy)
        if inches is not None:
            return QuantityText(inches, "inch", "length")
    if kind in (None, "time"):
        minutes = _minutes(tidy)
        if minutes is not None:
            return QuantityText(minutes, "minute", "time")
    number, rest = _number_and_rest(tidy, example)
    if not rest or rest == ".":
        raise UnreadableText(
            "no unit", f"I read the number {number:g} without a unit. Write it as {example}", number
        )
    found = unit_named(rest, kind)
    if found is None and re.search(r"[\d*^+=<>]|^[-/x×]", rest):
        raise UnreadableText(
            "unreadable",
            f"I read “{tidy[:60]}”. Write one worked-out number and its unit, no sums, powers "
            f"or ranges: {example}",
        )
    if found is None:
        raise UnreadableText(
            "unknown unit",
            f"I read the number {number:g}, but not the unit “{rest[:40]}”. Write it as {example}",
            number,
            rest[:40],
        )
    if kind is not None and found[0] != kind:
        raise UnreadableText(
            "wrong kind",
            f"“{rest[:40]}” is a unit of {found[0]}. Asked for: {kind}, such as {example}",
            number,
            rest[:40],
        )
    return QuantityText(number, found[1], found[0])
