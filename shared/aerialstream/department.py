"""A department's own data: rigs, nozzles, hose, sites and its completion rule.

Read from a folder of TOML files with units in the text ("2 in", "80 psi"). Every fault is
reported in one message; nothing is guessed. A limit that nobody entered stays "not entered".
"""

import os
import re
import tomllib
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, get_args

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationError, model_validator

from aerialstream._checks import NeedLike
from aerialstream._toml_words import toml_fault
from aerialstream.errors import AerialStreamError, DepartmentDataError, UnreadableText
from aerialstream.quantity_text import read_quantity_text
from aerialstream.units import Need, in_unit, quantities, quantity, show
from aerialstream.worked import both, in_system

DEMO_FOLDER = Path(__file__).parent / "larkmoor"
FOLDER_VARIABLE = "AERIALSTREAM_DEPARTMENT"
NOT_ENTERED = "not entered: see the operator's manual"
# The unit system in which the faults of what is being read are told.
_READ_IN = ContextVar("unit system of the file being read", default="US")
_ROUNDING = 1 + 1e-9  # a limit met exactly, in other units, is not gone beyond


@contextmanager
def told_in(system):
    """Tell the faults of what is read meanwhile in a unit system ("US" or "metric")."""
    before = _READ_IN.set(system)
    try:
        yield
    finally:
        _READ_IN.reset(before)


def reading_in():
    """The unit system in which faults are told now."""
    return _READ_IN.get()


def _said(value):
    """A quantity in a fault, in the unit system of the file that is being read."""
    return show(value, _READ_IN.get())


_KILOGRAMS = re.compile(r"(?<=[\d.\s])kgs?\.?\s*$|(?<=[\d.\s])kilograms?\s*$", re.I)


_BARE_TONS = re.compile(r"[^a-z\s]\s*tons?\.?\s*$", re.I)


def _weight_text(text):
    """A weight's text with kg read as the weight of that mass: kgf.

    A metric department's tons are refused: they may be tonnes or the short tons of the US.
    """
    if _READ_IN.get() == "metric" and _BARE_TONS.search(text):
        raise ValueError(f"“{text.strip()[:40]}” may be tonnes or short tons: write it in kg")
    return _KILOGRAMS.sub("kgf", text)


def _quantity_type(need, tidy=None):
    """A pydantic type that reads a text with a unit, and says what is needed when it cannot."""
    wanted = f'a {need.kind} with its unit in quotes, such as "{need.example}"'
    if need.kind == "angle":
        wanted = wanted.replace("a angle", "an angle")

    def read(value):
        if not isinstance(value, str):
            return quantity(_number(value, need), need.unit)
        try:
            given = read_quantity_text(tidy(value) if tidy else value, need.kind, need.example)
        except UnreadableText as error:
            not_this = " ".join(["not", *wanted.split()[:2]])
            raise ValueError(not_this if error.code == "wrong kind" else str(error)) from None
        number = float(quantity(given.number, given.unit).to(need.unit).magnitude)
        fault = need.fault(number, _READ_IN.get())
        if fault:
            raise ValueError(fault)
        return quantity(number, need.unit)

    return Annotated[Any, PlainValidator(read), Field(description=wanted)]


def _number(value, need):
    """A quantity that a program hands over, in the unit of the need; ValueError says why not."""
    if not hasattr(value, "magnitude"):
        raise ValueError("no unit")
    try:
        number = in_unit(value, need)
    except AerialStreamError as error:
        raise ValueError(str(error)) from None
    fault = need.fault(number)
    if fault:
        raise ValueError(fault)
    return number


Length = _quantity_type(Need("length", "foot", above=0, at_most=400))
Bore = _quantity_type(Need("length", "inch", above=0, at_most=12))
Pressure = _quantity_type(Need("pressure", "psi", above=0, at_most=1000))
Loss = _quantity_type(Need("pressure", "psi", at_least=0, at_most=1000))
Flow = _quantity_type(Need("flow", "gpm", above=0, at_most=20_000))
Elevation = _quantity_type(Need("angle", "degree", at_least=-90, at_most=90))
Travel = _quantity_type(Need("angle", "degree", at_least=0, at_most=180))
Share = _quantity_type(Need("share", "percent", above=0, at_most=100))
Offset = _quantity_type(Need("length", "foot", at_least=-100, at_most=100))
# A scale or a plate says kg; elsewhere a mass is no force, and "lb" is always one.
Weight = _quantity_type(Need("force", "lbf", above=0, at_most=1_000_000), _weight_text)
Area = _quantity_type(Need("area", "foot**2", above=0, at_most=10_000))
Wind = _quantity_type(Need("velocity", "mile/hour", above=0, at_most=200))
Slope = _quantity_type(Need("angle", "degree", at_least=0, at_most=45))
FloorArea = _quantity_type(NeedLike("area", "foot**2", at_least=0, at_most=1e8, like="3,600 sq ft"))
Hours = Annotated[float, Field(strict=True, gt=0, le=24, description="a plain number of hours")]
FlowShare = Annotated[
    float, Field(strict=True, ge=0.7, le=1.1, description="a plain number, 0.7 to 1.1")
]
StreamQuality = Annotated[
    float, Field(strict=True, ge=0.5, le=3, description="a plain number, 0.5 to 3")
]
Text = Annotated[str, Field(min_length=1, description="a text in quotes")]
Months = Annotated[int, Field(strict=True, gt=0, le=120, description="whole months, no quotes")]
DueDays = Annotated[int, Field(strict=True, ge=0, le=366, description="whole days, no quotes")]
Day = Annotated[date, Field(strict=True, description="a day without quotes, such as 2026-05-14")]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


class _Range(_Entry):
    least: Any
    most: Any

    @model_validator(mode="after")
    def _in_order(self):
        if self.least > self.most:
            raise ValueError(
                f"least {_said(self.least)} is more than most {_said(self.most)}; "
                "needed: the smaller one as least"
            )
        return self


class ExtensionRange(_Range):
    """Ladder from heel pin to nozzle, bedded and fully extended."""

    least: Length
    most: Length


class ElevationRange(_Range):
    """Lowest and highest elevation, + above level."""

    least: Elevation
    most: Elevation


class NozzleTravel(_Entry):
    """How far the nozzle moves from the ladder's line, each way, as positive angles."""

    up: Travel
    down: Travel
    left: Travel
    right: Travel


class Waterway(_Entry):
    """Loss from the inlet to the nozzle, as the department tested it."""

    loss: Loss
    at_flow: Flow
    tested: Day | None = None


class Inlet(Waterway):
    """Loss of the aerial's inlet (siamese or large inlet), as the department tested it."""


class ManualLimit(_Entry):
    """One line that the department copied from the operator's manual of its own device."""

    flow_up_to: Flow
    extension_up_to: Length
    rotation_up_to: Travel
    page: Text


class Chassis(_Entry):
    """The vehicle seen from above. turntable_from_front: front bumper to the centre of rotation."""

    length: Length
    width: Length
    turntable_from_front: Length

    @model_validator(mode="after")
    def _turntable_on_it(self):
        if self.turntable_from_front >= self.length:
            raise ValueError("turntable_from_front is not less than length")
        return self


class Stabilisers(_Entry):
    """Where the pads stand, fully set. One pair or two, the same on both sides.

    ahead and behind are the distances of the front and rear pair from the turntable's centre,
    along the chassis, + toward the cab; a rig with one pair gives both the same. spread is pad
    centre to pad centre across; pad the side of a square auxiliary pad.
    """

    ahead: Offset
    behind: Offset
    spread: Length
    pad: Length | None = None

    @model_validator(mode="after")
    def _in_order(self):
        if self.behind > self.ahead:
            raise ValueError("behind lies ahead of ahead; both are + toward the cab")
        return self


class Masses(_Entry):
    """Weights for the overturning and stabiliser sums, from the department's own papers.

    vehicle is everything but the aerial; vehicle_ahead its centre from the turntable's centre, +
    toward the cab; vehicle_height that of its centre. ladder is the aerial from the heel pin
    out; ladder_centre how far out its centre lies, as a share of the extension. waterway_bore
    is the pipe along the ladder; side_area what each foot of ladder shows a side wind; tip_load
    people and gear at the tip.
    """

    vehicle: Weight
    vehicle_ahead: Offset
    vehicle_height: Length
    ladder: Weight
    ladder_centre: Share
    waterway_bore: Bore | None = None
    side_area: Area | None = None
    tip_load: Weight | None = None


class Platform(_Entry):
    """A platform that levels itself: its nozzle from the ladder's tip pin, level and upward."""

    ahead: Offset
    up: Offset


class ManualConditions(_Entry):
    """Limits besides rotation that the department copied from the operator's manual."""

    wind_up_to: Wind | None = None
    slope_up_to: Slope | None = None
    elevation_at_least: Elevation | None = None
    page: Text


class Apparatus(_Entry):
    """One aerial device.

    heel_offset is the heel pin from the turntable's centre, + outward along the ladder (minus on
    most rigs: the heel lies behind the centre). What is left out stays unknown: results that need
    it say so.
    """

    id: Text
    name: Text
    kind: Literal[
        "rear-mount ladder",
        "mid-mount ladder",
        "tractor-drawn ladder",
        "rear-mount platform",
        "mid-mount platform",
    ]
    turntable_height: Length
    extension: ExtensionRange
    elevation: ElevationRange
    nozzle_travel: NozzleTravel
    waterway: Waterway | None = None
    inlet: Inlet | None = None
    nozzles: Annotated[
        tuple[Text, ...], Field(min_length=1, description='a list of nozzle ids, such as ["tip-2"]')
    ]
    manual_limits: tuple[ManualLimit, ...] = ()
    manual_conditions: ManualConditions | None = None
    heel_offset: Offset | None = None
    chassis: Chassis | None = None
    stabilisers: Stabilisers | None = None
    masses: Masses | None = None
    platform: Platform | None = None

    @model_validator(mode="after")
    def _platform_by_its_kind(self):
        if self.platform is not None and not self.kind.endswith("platform"):
            raise ValueError(f"a {self.kind} has no platform table")
        return self

    @model_validator(mode="after")
    def _limits_fit_the_device(self):
        widest = max(self.nozzle_travel.left, self.nozzle_travel.right)
        for number, line in enumerate(self.manual_limits, 1):
            where = f"manual_limits line {number}"
            if line.rotation_up_to > widest:
                raise ValueError(
                    f"{where}: rotation_up_to {_said(line.rotation_up_to)} is more than the nozzle's "
                    f"travel ({_said(widest)})"
                )
            if line.extension_up_to > self.extension.most:
                raise ValueError(
                    f"{where}: extension_up_to {_said(line.extension_up_to)} is more than the longest "
                    f"extension ({_said(self.extension.most)})"
                )
            for other, wider in enumerate(self.manual_limits, 1):
                if (
                    wider.rotation_up_to > line.rotation_up_to
                    and wider.flow_up_to >= line.flow_up_to
                    and wider.extension_up_to >= line.extension_up_to
                ):
                    raise ValueError(
                        f"{where} says {_said(line.rotation_up_to)}, line {other} allows more for no "
                        "less flow and length: enter the strictest of them, for the worst elevation"
                    )
        return self


# Kind of nozzle -> the keys that it needs.
NOZZLE_KEYS = {
    "smooth bore": ("tip_diameter", "nozzle_pressure"),
    "fixed fog": ("rated_flow", "rated_pressure"),
    "selectable fog": ("settings", "rated_pressure"),
    "automatic fog": ("least_flow", "most_flow", "rated_pressure"),
}


class Nozzle(_Entry):
    """One nozzle; which keys it needs depends on its kind.

    settings are the rated flows of a selectable fog; least_flow and most_flow the range in which
    an automatic fog holds its rated pressure. flow_share is what a smooth bore flowed in the
    department's own test, as a share of the formula's flow; stream_quality what its throws said
    (1 is good, more is worse). Each needs the day of its test.
    """

    id: Text
    name: Text
    kind: Literal["smooth bore", "fixed fog", "selectable fog", "automatic fog"]
    tip_diameter: Bore | None = None
    nozzle_pressure: Pressure | None = None
    rated_flow: Flow | None = None
    rated_pressure: Pressure | None = None
    settings: Annotated[
        tuple[Flow, ...],
        Field(description='a list of flows with their unit, such as ["500 gpm", "750 gpm"]'),
    ] = ()
    least_flow: Flow | None = None
    most_flow: Flow | None = None
    flow_share: FlowShare | None = None
    flow_tested: Day | None = None
    stream_quality: StreamQuality | None = None
    throw_tested: Day | None = None
    keys_of_kind: ClassVar[dict] = NOZZLE_KEYS

    @model_validator(mode="after")
    def _keys_of_its_kind(self):
        missing = [key for key in NOZZLE_KEYS[self.kind] if not getattr(self, key)]
        if missing:
            article = "an" if self.kind.startswith("a") else "a"
            raise ValueError(f"{article} {self.kind} nozzle needs {' and '.join(missing)}")
        if self.kind == "automatic fog" and self.least_flow >= self.most_flow:
            raise ValueError(
                f"least_flow {_said(self.least_flow)} is not less than most_flow "
                f"{_said(self.most_flow)}; needed: the smaller one as least_flow"
            )
        return self

    @model_validator(mode="after")
    def _tests_have_a_day(self):
        for key, day in (("flow_share", "flow_tested"), ("stream_quality", "throw_tested")):
            if getattr(self, key) is None:
                continue
            if self.kind != "smooth bore":
                raise ValueError(f"{key} is for smooth-bore tips alone")
            if getattr(self, day) is None:
                raise ValueError(f"{key} needs the day of its test ({day})")
        return self

    @property
    def usual_pressure(self):
        """The pressure this nozzle is usually run at."""
        return self.nozzle_pressure or self.rated_pressure


class Hose(_Entry):
    """One kind of hose the department carries."""

    id: Text
    name: Text
    diameter: Bore
    use: Literal["supply", "attack"]
    operating_pressure: Pressure
    carried: _quantity_type(Need("length", "foot", above=0, at_most=20_000))
    coefficient: (
        Annotated[
            float,
            Field(
                strict=True, gt=0, lt=2000, description="a plain number, psi per 100 ft at 100 gpm"
            ),
        ]
        | None
    ) = None
    tested: Day | None = None

    @model_validator(mode="after")
    def _test_has_a_day(self):
        if self.coefficient is not None and self.tested is None:
            raise ValueError("a coefficient needs the day of its flow test (tested)")
        return self


class Pumper(_Entry):
    """One pumper that can feed the aerial.

    intake_floor is the lowest intake pressure the department works at; hose the ids it carries.
    """

    id: Text
    name: Text
    rated_flow: Flow
    intake_floor: Loss | None = None
    hose: Annotated[
        tuple[Text, ...], Field(description='a list of hose ids, such as ["supply-5"]')
    ] = ()


class Site(_Entry):
    """One place. plan is the file of its scene plan in the department's folder (see site.py)."""

    id: Text
    name: Text
    what: Text
    plan: Text | None = None


class Step(_Entry):
    """One step of an evaluation sheet. A critical one that is missed is no pass."""

    text: Text
    critical: Annotated[bool, Field(strict=True, description="true or false")] = False


class Evolution(_Entry):
    """The evaluation sheet of an evolution on the drill ground."""

    id: Text
    title: Text
    steps: Annotated[tuple[Step, ...], Field(min_length=1, description="a list of steps")]


class Refresher(_Entry):
    """What renews parts that were passed before, and for how long.

    A theory refresher is a class (attendance), a practical one is signed by an evaluator.
    lapsed_up_to_months is how long after a lapse it still renews; longer ago the part itself is
    needed again. Left out, it renews however long ago.
    """

    id: Text
    kind: Literal["theory", "practical"]
    renews: Annotated[tuple[Text, ...], Field(min_length=1, description="a list of names")]
    lasts_months: Months
    lapsed_up_to_months: Annotated[
        int | None, Field(strict=True, ge=0, le=120, description="whole months, no quotes")
    ] = None


class Completion(_Entry):
    """What a member needs for completion, and how long it lasts.

    least_written is the share of the points for written answers that a pass needs as well: a
    good head for numbers does not make up for an unsound judgement. sessions are classes that the
    theory needs beside the assignments; lasts gives single parts months of their own. Who may
    sign: any other member, unless evaluator_ranks or evaluators say who. issuer is the web address
    that stands for the department in exported records.
    """

    pass_mark: Share
    least_written: Share
    theory_lasts_months: Months
    practical_lasts_months: Months
    assignments: Annotated[tuple[Text, ...], Field(min_length=1, description="a list of names")]
    evolutions: Annotated[tuple[Text, ...], Field(min_length=1, description="a list of names")]
    sessions: Annotated[tuple[Text, ...], Field(description="a list of names")] = ()
    due_soon_days: DueDays = 60
    evaluator_ranks: Annotated[tuple[Text, ...], Field(description="a list of ranks")] = ()
    evaluators: Annotated[tuple[Text, ...], Field(description="a list of member numbers")] = ()
    lasts: dict[str, Months] = {}
    evolution: tuple[Evolution, ...] = ()
    refresher: tuple[Refresher, ...] = ()
    issuer: Text | None = None

    @model_validator(mode="after")
    def _names_that_belong_together(self):
        theory, practical = (*self.assignments, *self.sessions), self.evolutions
        names = [*theory, *practical, *(r.id for r in self.refresher)]
        faults = [f"{n} stands twice" for n in sorted({n for n in names if names.count(n) > 1})]
        for key, given, known in (
            ("lasts", self.lasts, (*theory, *practical)),
            ("evolution", [e.id for e in self.evolution], practical),
        ):
            faults += [f"{key}: {n} is not required above" for n in given if n not in known]
        ids = [e.id for e in self.evolution]
        faults += [f"evolution: {n} stands twice" for n in {n for n in ids if ids.count(n) > 1}]
        for one in self.refresher:
            known = theory if one.kind == "theory" else practical
            faults += [
                f"refresher {one.id}: {n} is no {one.kind} part above"
                for n in one.renews
                if n not in known
            ]
        if faults:
            raise ValueError("; ".join(faults))
        return self

    def lasts_months(self, objective):
        """Months that a part lasts: its own, else those of its kind."""
        practical = objective in self.evolutions
        usual = self.practical_lasts_months if practical else self.theory_lasts_months
        return self.lasts.get(objective, usual)

    def steps_of(self, evolution):
        """The steps of an evolution's evaluation sheet; empty where the department has none."""
        return next((e.steps for e in self.evolution if e.id == evolution), ())


class ConfirmedRow(_Entry):
    """One row of a table that the department read in the book.

    up_to is the largest distance that a row of the dwellings' schedule holds for; the last row
    has none. The rows of the fire code need construction, area_from, area_to and hours.
    """

    flow: Flow
    up_to: Length | None = None
    construction: Text | None = None
    area_from: FloorArea | None = None
    area_to: FloorArea | None = None
    hours: Hours | None = None


_CODE_ROW = ("construction", "area_from", "area_to", "hours")
# What may be confirmed -> the key that holds it.
CONFIRMED_KEYS = {
    "iso-rounding": "rounding",
    "iso-dwellings": "rows",
    "fire-code-rows": "rows",
    "rural-dwelling-number": "number",
}


class Confirmed(_Entry):
    """One thing that the department looked up in its own book, with edition and clause.

    source is its name in `demand.TO_BE_CONFIRMED`; by and day say who read it and when.
    """

    source: Literal["iso-rounding", "iso-dwellings", "fire-code-rows", "rural-dwelling-number"]
    edition: Text
    clause: Text
    rounding: Annotated[
        Literal["at the end", "C first"] | None, Field(description='"at the end" or "C first"')
    ] = None
    number: (
        Annotated[float, Field(strict=True, gt=0, le=1.5, description="a plain number")] | None
    ) = None
    rows: Annotated[tuple[ConfirmedRow, ...], Field(description="a list of tables")] = ()
    by: Text
    day: Day

    @model_validator(mode="after")
    def _holds_what_its_source_needs(self):
        needed = CONFIRMED_KEYS[self.source]
        given = {key for key in CONFIRMED_KEYS.values() if getattr(self, key)}
        faults = [f"{self.source} has no {key}" for key in sorted(given - {needed})]
        if needed not in given:
            faults.append(f"{self.source} needs {needed}")
        elif self.source == "fire-code-rows":
            faults += [f for n, row in enumerate(self.rows, 1) if (f := _code_row_fault(n, row))]
        elif self.source == "iso-dwellings":
            *ends, last = (row.up_to for row in self.rows)
            if None in ends or last is not None or ends != sorted(set(ends)):
                faults.append("rows: up_to must rise from row to row, and the last has none")
        if faults:
            raise ValueError("; ".join(faults))
        return self

    @property
    def said(self):
        """Where it stands and who read it, for a sentence."""
        return (
            f"entered by the department: {self.edition}, {self.clause} (read by {self.by} on "
            f"{self.day})"
        )


def _code_row_fault(number, row):
    """What is wrong with a row of the fire code, or an empty text."""
    missing = [key for key in _CODE_ROW if getattr(row, key) is None]
    if missing:
        return f"row {number}: a row of the fire code needs {' and '.join(missing)}"
    return "" if row.area_from <= row.area_to else f"row {number}: area_from is more than area_to"


class _DepartmentFile(_Entry):
    name: Text
    units: Literal["US", "metric"]
    completion: Completion


class _ApparatusFile(_Entry):
    apparatus: Annotated[
        tuple[Apparatus, ...], Field(min_length=1, description="at least one [[apparatus]]")
    ]


class _NozzleFile(_Entry):
    nozzle: Annotated[
        tuple[Nozzle, ...], Field(min_length=1, description="at least one [[nozzle]]")
    ]


class _HoseFile(_Entry):
    hose: Annotated[tuple[Hose, ...], Field(min_length=1, description="at least one [[hose]]")]


class _PumperFile(_Entry):
    pumper: tuple[Pumper, ...] = ()


class _SiteFile(_Entry):
    site: tuple[Site, ...] = ()


class _ConfirmedFile(_Entry):
    confirmed: tuple[Confirmed, ...] = ()

    @model_validator(mode="after")
    def _each_once(self):
        names = [entry.source for entry in self.confirmed]
        twice = sorted({name for name in names if names.count(name) > 1})
        if twice:
            raise ValueError(f"confirmed twice: {', '.join(twice)}")
        return self


_FILES = {
    "department.toml": _DepartmentFile,
    "apparatus.toml": _ApparatusFile,
    "nozzles.toml": _NozzleFile,
    "hose.toml": _HoseFile,
    "pumpers.toml": _PumperFile,
    "sites.toml": _SiteFile,
    "confirmed.toml": _ConfirmedFile,
}
_MAY_BE_MISSING = {"pumpers.toml", "sites.toml", "confirmed.toml"}


class Department(_Entry):
    """A department's data, checked.

    name, units ("US" or "metric"), completion, and tuples of apparatus, nozzles, hose,
    pumpers, sites, and confirmed (what it looked up in books that the kit's sources only quote).
    """

    name: str
    units: str
    completion: Completion
    apparatus: tuple[Apparatus, ...]
    nozzles: tuple[Nozzle, ...]
    hose: tuple[Hose, ...]
    pumpers: tuple[Pumper, ...] = ()
    sites: tuple[Site, ...] = ()
    confirmed: tuple[Confirmed, ...] = ()
    folder: Path

    def device(self, apparatus_id):
        """The apparatus of this id; KeyError if there is none."""
        return _by_id(self.apparatus, apparatus_id)

    def nozzle(self, nozzle_id):
        """The nozzle of this id; KeyError if there is none."""
        return _by_id(self.nozzles, nozzle_id)

    def hose_of(self, pumper_id):
        """The kinds of hose that a pumper carries, in its own order."""
        return tuple(self.hose_kind(h) for h in self.pumper(pumper_id).hose)

    def hose_kind(self, hose_id):
        """The kind of hose of this id; KeyError if there is none."""
        return _by_id(self.hose, hose_id)

    def pumper(self, pumper_id):
        """The pumper of this id; KeyError if there is none."""
        return _by_id(self.pumpers, pumper_id)

    def nozzles_of(self, apparatus_id):
        """The nozzles that a device carries, in its own order."""
        return tuple(self.nozzle(n) for n in self.device(apparatus_id).nozzles)


def _by_id(entries, wanted):
    for entry in entries:
        if entry.id == wanted:
            return entry
    raise KeyError(f"no entry “{wanted}”; there are: {', '.join(e.id for e in entries)}")


def load_department(folder=None):
    """A department's data from its folder, or every fault in it at once.

    Takes
      folder   path of the folder; None takes the environment variable
               AERIALSTREAM_DEPARTMENT, and without that the invented demo department
    Gives
      Department
    Fails when
      DepartmentDataError   one line for each fault: file, key, what was read, what is needed
    """
    folder = Path(folder or os.environ.get(FOLDER_VARIABLE) or DEMO_FOLDER)
    if not folder.is_dir():
        raise DepartmentDataError([f"{folder}: there is no such folder"])
    faults, raw, read, system = [], {}, {}, "US"
    for file_name, model in _FILES.items():
        data = _toml(folder, file_name, faults)
        if data is None:
            continue
        raw[file_name] = data
        if data.get("units") == "metric":  # department.toml comes first
            system = "metric"
        with told_in(system):
            _read_file(file_name, model, data, read, faults)
    faults += _cross_faults(raw)
    if faults:
        raise DepartmentDataError(faults)
    sites = read.get("sites.toml")
    pumpers = read.get("pumpers.toml")
    confirmed = read.get("confirmed.toml")
    top = read["department.toml"]
    return Department(
        name=top.name,
        units=top.units,
        completion=top.completion,
        apparatus=read["apparatus.toml"].apparatus,
        nozzles=read["nozzles.toml"].nozzle,
        hose=read["hose.toml"].hose,
        pumpers=pumpers.pumper if pumpers else (),
        sites=sites.site if sites else (),
        confirmed=confirmed.confirmed if confirmed else (),
        folder=folder,
    )


def _read_file(file_name, model, data, read, faults):
    """Check the table of one file, into read or into faults."""
    try:
        read[file_name] = model.model_validate(data)
    except ValidationError as error:
        # A list whose only entry is faulty is also "too short"; its own fault is enough.
        faults += [
            _fault(file_name, model, data, e)
            for e in error.errors()
            if not (e["type"] == "too_short" and e["input"])
        ]


def _toml(folder, file_name, faults):
    path = folder / file_name
    if not path.is_file():
        if file_name not in _MAY_BE_MISSING:
            faults.append(
                f"{file_name}: missing; copy the one of the demo department and change it"
            )
        return None
    text = ""
    try:
        text = path.read_text(encoding="utf-8-sig")
        return tomllib.loads(text)
    except UnicodeDecodeError:
        faults.append(f"{file_name}: not a UTF-8 text; save it as UTF-8")
    except (ValueError, RecursionError) as error:  # TOML's own error is a ValueError
        faults.append(f"{file_name}: {toml_fault(text, error)}")
    except OSError as error:
        faults.append(f"{file_name}: cannot be opened: {error.strerror}")
    return None


def _place(data, loc):
    """`apparatus "tower-3", extension.least` for a path of keys and indices."""
    words, node = [], data
    for key in loc:
        try:
            node = node[key]
        except (KeyError, IndexError, TypeError):
            node = None
        if isinstance(key, int):
            name = node.get("id") if isinstance(node, dict) else None
            words.append(f'"{name}"' if isinstance(name, str) else f"number {key + 1}")
        else:
            words.append(str(key))
    return ".".join(words) or "the file"


def _model_at(annotation):
    """The entry model inside an annotation such as tuple[X, ...] | None, or None."""
    if isinstance(annotation, type) and issubclass(annotation, _Entry):
        return annotation
    for part in get_args(annotation):
        found = _model_at(part)
        if found:
            return found
    return None


def _description(annotation, info):
    if info is not None and info.description:
        return info.description
    for part in (annotation, *get_args(annotation)):
        for extra in getattr(part, "__metadata__", ()):
            if getattr(extra, "description", None):
                return extra.description
        for inner in get_args(part):
            for extra in getattr(inner, "__metadata__", ()):
                if getattr(extra, "description", None):
                    return extra.description
    return ""


def _needed(model, loc):
    """What the field at this path must be, in words."""
    info = None
    for key in loc:
        if isinstance(key, int):
            continue
        info = model.model_fields.get(key) if model else None
        if info is None:
            return ""
        model = _model_at(info.annotation)
    if info is None:
        return ""
    said = _description(info.annotation, info)
    if said:
        return said
    choices = [c for c in get_args(info.annotation) if isinstance(c, str)]
    if choices:
        return "one of " + ", ".join(f'"{c}"' for c in choices)
    if model:
        return "a table with " + ", ".join(model.model_fields)
    return ""


def _entry_at(data, loc):
    """What stands at a path of keys and indices, or None."""
    for key in loc:
        try:
            data = data[key]
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _keys_for(model, entry):
    """The keys that an entry may have; of a nozzle only those of its kind."""
    if model is None:
        return []
    kind = entry.get("kind") if isinstance(entry, dict) else None
    own = getattr(model, "keys_of_kind", {})
    if not isinstance(kind, str) or kind not in own:
        return list(model.model_fields)
    of_any = {key for keys in own.values() for key in keys}
    return [key for key in model.model_fields if key not in of_any or key in own[kind]]


def _example_in_system(needed):
    """What is needed, with its example in the unit system of the file."""
    if _READ_IN.get() == "US":
        return needed

    def metric(found):
        try:
            given = read_quantity_text(found[1])
        except UnreadableText:
            return found[0]
        kind = "bore" if given.unit == "inch" else None
        kind = "wind" if given.unit == "mile/hour" else kind
        return f'such as "{show(quantity(given.number, given.unit), "metric", kind)}"'

    return re.sub(r'such as "([^"]+)"', metric, needed)


_IN_PLAIN_WORDS = {
    "date_type": "not a day",
    "float_type": "not a plain number",
    "int_type": "not a whole number",
    "literal_error": "not one of the choices",
    "model_type": "not a table",
    "string_too_short": "empty",
    "string_type": "not a text",
    "too_short": "empty",
    "tuple_type": "not a list",
}


def _fault(file_name, model, data, error):
    loc, kind = error["loc"], error["type"]
    place = f"{file_name}: {_place(data, loc)}"
    if kind == "extra_forbidden":
        owner = model
        for key in loc[:-1]:
            if not isinstance(key, int) and owner:
                field = owner.model_fields.get(key)
                owner = _model_at(field.annotation) if field else None
        known = _keys_for(owner, _entry_at(data, loc[:-1]))
        near = get_close_matches(str(loc[-1]), known, 1)
        of_kind = owner is not None and len(known) < len(owner.model_fields)
        listed = f"; known{' for its kind' if of_kind else ''}: {', '.join(known)}"
        meant = f"; did you mean {near[0]}?" if near else ""
        return f"{place}: not a key the kit knows{meant}{listed if of_kind or not near else ''}"
    needed = _example_in_system(_needed(model, loc))
    needs = f"; needed: {needed}" if needed else ""
    if kind == "missing":
        return f"{place}: missing{needs}"
    said = error["msg"].removeprefix("Value error, ").removeprefix("Input ").rstrip(".")
    said = _IN_PLAIN_WORDS.get(kind, said)
    given = error["input"]
    if said.startswith("I read"):
        return f"{place}: {said}{needs}"
    if isinstance(given, dict):  # a rule over several keys names them itself
        return f"{place}: {said if kind == 'value_error' else f'read a table ({said}){needs}'}"
    return f"{place}: read {given!r} ({said[0].lower() + said[1:]}){needs}"


def _cross_faults(raw):
    """Faults between entries: ids given twice, and ids listed that there are not."""
    faults, ids = [], {}
    for file_name, key in (
        ("apparatus.toml", "apparatus"),
        ("nozzles.toml", "nozzle"),
        ("hose.toml", "hose"),
        ("pumpers.toml", "pumper"),
        ("sites.toml", "site"),
    ):
        entries = raw.get(file_name, {}).get(key, ())
        entries = entries if isinstance(entries, list) else ()
        seen = set()
        for entry in entries:
            name = entry.get("id") if isinstance(entry, dict) else None
            if isinstance(name, str) and name in seen:
                faults.append(f'{file_name}: {key} "{name}": this id is given twice')
            seen.add(name if isinstance(name, str) else None)
        ids[key] = seen
    for file_name, key, listed, of_file, of in (
        ("apparatus.toml", "apparatus", "nozzles", "nozzles.toml", "nozzle"),
        ("pumpers.toml", "pumper", "hose", "hose.toml", "hose"),
    ):
        entries = raw.get(file_name, {}).get(key, ())
        for entry in entries if isinstance(entries, list) else ():
            carried = entry.get(listed) if isinstance(entry, dict) else None
            for name in carried if isinstance(carried, list) else ():
                if of_file in raw and isinstance(name, str) and name not in ids[of]:
                    faults.append(
                        f'{file_name}: {key} "{entry.get("id")}".{listed}: read {name!r}; '
                        f"needed: an id that {of_file} has"
                    )
    return faults


@quantities(
    flow=Need("flow", "gpm", at_least=0),
    extension=Need("length", "foot", above=0),
    rotation=Need("angle", "degree"),
)
def manual_limit_text(apparatus, *, flow, extension, rotation, system="US"):
    """What the department's own entry from the operator's manual says about a set-up.

    The kit never judges by a limit of its own. A line of the department's table covers a
    set-up when flow and extension are not above the line's; of several, the one with the
    widest rotation counts.

    Takes
      apparatus   an Apparatus
      flow        flow of the nozzle; any flow unit
      extension   ladder from heel pin to nozzle; any length unit
      rotation    nozzle off the ladder's centre line, either way; any angle unit
      system      "US" or "metric", for the words
    Gives
      str         one sentence, naming the entry's page; "not entered: see the operator's
                  manual" when the department entered nothing for the device; a sentence that
                  begins with BEYOND when the set-up goes beyond the entries
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a flow or length that cannot be, or not a number
    """
    if not apparatus.manual_limits:
        return f"Limit of {apparatus.name}: {NOT_ENTERED}."
    covering = [
        line
        for line in apparatus.manual_limits
        if flow <= line.flow_up_to.magnitude * _ROUNDING
        and extension <= line.extension_up_to.magnitude * _ROUNDING
    ]
    if not covering:
        ends = "; ".join(
            f"{show(e.flow_up_to, system)} at {show(e.extension_up_to, system)}"
            for e in apparatus.manual_limits
        )
        case = (
            f"{show(quantity(flow, 'gpm'), system)} at {show(quantity(extension, 'foot'), system)}"
        )
        return (
            f"BEYOND EVERY ENTRY that your department made for {apparatus.name}: none covers {case} "
            f"(they go up to {ends}). Do not; see the operator's manual."
        )
    line = max(covering, key=lambda entry: entry.rotation_up_to)
    entered = (
        f"the entry your department made for {apparatus.name} allows up to "
        f"{show(line.rotation_up_to, system)} off the centre line at up to {show(line.flow_up_to, system)} "
        f"and {show(line.extension_up_to, system)} ({line.page})"
    )
    if abs(rotation) > line.rotation_up_to.magnitude * _ROUNDING:
        return f"BEYOND THE ENTERED LIMIT: {entered}. Do not; see the operator's manual."
    return f"Not beyond the entered limit: {entered}. The manual itself decides, for this elevation too."


@quantities(pressure=Need("pressure", "psi", at_least=0))
def operating_pressure_check(hose, *, pressure, system="US"):
    """Whether a pressure is above the marking of the department's hose.

    The marking is the department's own entry (operating_pressure); the kit has none of its own.

    Takes
      hose       a Hose
      pressure   highest pressure in the hose; any pressure unit
      system     "US" or "metric", for the words
    Gives
      str        one sentence: "above its marking" or "not above its marking"
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  negative, infinite or not a number
    """
    marked = hose.operating_pressure.magnitude
    word = "above its marking" if pressure > marked * _ROUNDING else "not above its marking"
    text = both(
        lambda pen: (
            f"{hose.name}: {word} ({pen.of(pressure, 'pressure', 1)} against "
            f"{pen.of(marked, 'pressure')})."
        )
    )
    return in_system(text, system)
