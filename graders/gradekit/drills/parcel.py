"""One file that carries a drill to another company: plan, card, measurements, lessons, no names.

A file that arrives is a stranger's text: read with limits, checked key by key, never run. Its
digest tells a damaged file from a whole one; it is no signature.
"""

import hashlib
import json
import re
from datetime import date
from pathlib import Path
from typing import Annotated, Literal
from xml.etree import ElementTree

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from aerialstream.errors import AerialStreamError
from gradekit.drills.card import card_data
from gradekit.drills.evolutions import MEASURED
from gradekit.drills.measured import Measurements, Run
from gradekit.drills.plan import asked_data

KIND, VERSION = "aerialstream drill", 1
LARGEST = 2_000_000
_SVG = "{http://www.w3.org/2000/svg}"
_SHAPES = {
    "svg",
    "g",
    "line",
    "polygon",
    "polyline",
    "path",
    "circle",
    "rect",
    "text",
    "defs",
    "pattern",
}
_ATTRIBUTES = {
    "aria-label", "class", "cx", "cy", "d", "dominant-baseline", "fill", "fill-opacity", "font-family",
    "font-size", "font-weight", "height", "id", "paint-order", "patternUnits", "points", "r", "role",
    "stroke", "stroke-dasharray", "stroke-linecap", "stroke-linejoin", "stroke-width", "text-anchor",
    "viewBox", "width", "x", "x1", "x2", "y", "y1", "y2",
}  # fmt: skip


class ParcelRefused(AerialStreamError):
    """A drill's file that is not taken: damaged, hostile, too large, or from a later kit."""


def _plain(text):
    bad = re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", text)
    if bad:
        raise ValueError(f"has a control sign (U+{ord(bad[0]):04X})")
    return text


Words = Annotated[str, Field(max_length=2000, strict=True)]
Number = Annotated[float, Field(ge=-1e9, le=1e9, allow_inf_nan=False)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    @field_validator("*", mode="after")
    @classmethod
    def _no_control_signs(cls, value):
        for text in _texts(value):
            _plain(text)
        return value


def _texts(value):
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from (*_texts(key), *_texts(one))
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _texts(one)


class _Picture(_Strict):
    svg: Annotated[str, Field(max_length=400_000)]
    words: Words

    @field_validator("svg")
    @classmethod
    def _only_shapes(cls, text):
        return checked_svg(text)


class _Figure(_Strict):
    label: Words
    value: Words
    within: Words


class _Row(_Strict):
    id: Words
    role: Words
    text: Words
    answer: Literal["go", "no go", "not answered"]
    no: bool
    why: Words


class _CardStep(_Strict):
    text: Words
    critical: bool


class _Said(_Strict):
    says: Words
    line: Words


class _Measure(_Strict):
    name: Literal[tuple(MEASURED)]
    label: Words
    planned: Words
    kind: Words


Listed = Annotated[tuple[Words, ...], Field(max_length=100)]


class _Card(_Strict):
    title: Words
    department: Words
    heading: Words
    device: Words
    site: Words
    objective: Words
    standard: Words
    system: Literal["US", "metric"]
    paper: Literal["us-letter", "a4"]
    footer: Words
    plan: _Picture
    side: _Picture
    figures: Annotated[tuple[_Figure, ...], Field(max_length=100)]
    spread: Words
    limits: Listed
    day: Words
    list: Annotated[tuple[_Row, ...], Field(max_length=100)]
    prerequisites: Listed
    roles: Listed
    briefing: Listed
    steps: Annotated[tuple[_CardStep, ...], Field(max_length=100)]
    situations: Annotated[tuple[_Said, ...], Field(max_length=100)]
    measure: Annotated[tuple[_Measure, ...], Field(max_length=50)]
    restoration: Listed
    after: Listed
    caution: Words
    notes: Listed


class _Run(_Strict):
    number: Annotated[str, Field(pattern=r"^[A-Za-z0-9]{1,12}$")]
    values: Annotated[dict[Literal[tuple(MEASURED)], Number], Field(max_length=50)]
    remark: Annotated[str, Field(max_length=500)]


class _Body(_Strict):
    asked: Annotated[dict[Words, Words | Number | bool | list | dict | None], Field(max_length=40)]
    card: _Card
    model: Annotated[dict[Words, Words | Number | bool | None], Field(max_length=40)]
    predicted: Annotated[dict[Literal[tuple(MEASURED)], Number], Field(max_length=50)]
    runs: Annotated[tuple[_Run, ...], Field(max_length=200)]
    compared: Listed
    lessons: Listed


class _Outer(_Strict):
    kind: Literal["aerialstream drill"]
    version: Literal[1]
    made: date
    digest: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    body: _Body


class Parcel:
    """A drill's file that was opened and checked. `model`, `predicted`, `title` serve `compare`."""

    def __init__(self, outer):
        body = outer.body
        self.made, self.digest = outer.made, outer.digest
        self.card = body.card.model_dump()
        self.title = body.card.title
        self.model, self.predicted = dict(body.model), dict(body.predicted)
        self.lessons, self.compared = body.lessons, body.compared
        self.measurements = Measurements(
            runs=tuple(
                Run(number=r.number, values=dict(r.values), remark=r.remark) for r in body.runs
            )
        )


def checked_svg(text):
    """An SVG of plain shapes and words alone; ValueError names the first thing that is neither."""
    if "<!" in text or "<?" in text:
        raise ValueError("has a declaration in it")
    try:
        root = ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError, RecursionError) as error:
        raise ValueError(f"is no picture ({error})") from None
    for element in root.iter():
        name = element.tag.removeprefix(_SVG) if isinstance(element.tag, str) else "?"
        if name not in _SHAPES:
            raise ValueError(f"has <{name[:40]}> in it")
        for key, value in element.attrib.items():
            url = re.search(r"url\s*\((?!#[A-Za-z0-9]+\))|javascript:|data:|https?:", value, re.I)
            if key not in _ATTRIBUTES or url:
                raise ValueError(f"has {key[:40]} = “{value[:40]}” in it")
    return text


def _canonical(body):
    return json.dumps(
        body, sort_keys=True, ensure_ascii=True, separators=(",", ":"), allow_nan=False
    )


def _digest(body):
    return hashlib.sha256(_canonical(body).encode()).hexdigest()


def pack(plan, *, listed=None, measurements=None, compared=(), lessons=(), roster=(), made):
    """A drill as one text for another company.

    Takes
      plan, listed    the DrillPlan and the DayList of the card
      measurements    Measurements, or None where the drill was not run yet
      compared        lines of the comparison, as texts
      lessons         what was learned, as texts
      roster          members; a text with one of their names or numbers in it is refused
      made            the day
    Fails when
      ParcelRefused   a name or number of the roster stands in a text; every place is named
    """
    runs = measurements.runs if measurements is not None else ()
    body = {
        "asked": asked_data(plan.asked),
        "card": card_data(plan, listed),
        "model": plan.model,
        "predicted": plan.predicted,
        "runs": [{"number": r.number, "values": r.values, "remark": r.remark} for r in runs],
        "compared": list(compared),
        "lessons": list(lessons),
    }
    _without_names(body, roster)
    body = json.loads(json.dumps(body, allow_nan=False))
    outer = {
        "kind": KIND,
        "version": VERSION,
        "made": made.isoformat(),
        "digest": _digest(body),
        "body": body,
    }
    _read(outer)
    return json.dumps(outer, ensure_ascii=True, indent=1, allow_nan=False) + "\n"


def _without_names(body, roster):
    """Refuse where a member's name or number stands in what somebody typed."""
    typed = [(f"run {r['number']}, remark", r["remark"]) for r in body["runs"]]
    typed += [(f"lesson {n}", text) for n, text in enumerate(body["lessons"], 1)]
    found = []
    for where, text in typed:
        found += [f"{where}: “{word}” is on the roster" for word in roster_words(text, roster)]
    if found:
        raise ParcelRefused(
            "not packed, since it goes out without names:\n  " + "\n  ".join(dict.fromkeys(found))
        )


def roster_words(text, roster):
    """Names and numbers of the roster that stand in a text."""
    found = []
    for member in roster:
        parts = [p for p in re.split(r"[\s,]+", member.name) if len(p) > 2]
        for word in (*parts, member.member):
            if word and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text, re.I):
                found.append(word)
    return found


def _no_twins(pairs):
    keys = [key for key, _ in pairs]
    if len(keys) != len(set(keys)):
        raise ValueError("a key stands twice")
    return dict(pairs)


def _no_constant(word):
    raise ValueError(f"{word} is no number")


def open_parcel(path):
    """Open a drill's file that came from elsewhere, checked through and through.

    Fails when
      ParcelRefused   in words: no such file, too large, damaged, not a drill's file, from a later
                      kit, or with something in it that does not belong there
    """
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST:
            raise ParcelRefused(f"{path.name}: larger than {LARGEST // 1_000_000} MB; no drill is")
        text = path.read_bytes().decode("utf-8")
        data = json.loads(text, object_pairs_hook=_no_twins, parse_constant=_no_constant)
    except OSError as error:
        raise ParcelRefused(f"{path.name}: cannot be read ({error.strerror})") from None
    except RecursionError:
        raise ParcelRefused(f"{path.name}: nested too deep; nothing was taken") from None
    except ValueError as error:
        raise ParcelRefused(f"{path.name}: damaged, or not a drill's file ({error})") from None
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise ParcelRefused(f"{path.name}: not a drill's file")
    version = data.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise ParcelRefused(f"{path.name}: damaged: no version that there ever was")
    if version > VERSION:
        raise ParcelRefused(
            f"{path.name}: made by a later kit (form {version}; this kit reads up to {VERSION}). Bring "
            "this kit up to date, or ask for the file in the older form"
        )
    try:
        if _digest(data.get("body")) != data.get("digest"):
            raise ParcelRefused(
                f"{path.name}: damaged or changed on its way: its digest does not fit"
            )
        return Parcel(_read(data))
    except RecursionError:
        raise ParcelRefused(f"{path.name}: nested too deep; nothing was taken") from None
    except ParcelRefused as error:
        raise ParcelRefused(str(error).replace("the file", path.name, 1)) from None


def _read(data):
    try:
        return _Outer.model_validate(data)
    except ValidationError as error:
        said = [
            f"{'.'.join(str(part) for part in e['loc'])[:80]}: {e['msg'].removeprefix('Value error, ')[:120]}"
            for e in error.errors()[:10]
        ]
        raise ParcelRefused(
            "the file has what does not belong there:\n  " + "\n  ".join(said)
        ) from None
