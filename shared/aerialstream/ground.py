"""What the stabilisers stand on: pads, soil, slope, and the questions to ask of the ground.

Nothing here judges that ground holds. It sizes the load and raises flags; a flag means bigger pads,
another spot, or somebody who knows. Directions are seen from above: along is + where the cab end is
the higher one, across + where the left side is, bearings run clockwise from the cab.
"""

from dataclasses import dataclass
from math import radians, tan
from typing import Any

from aerialstream._checks import NeedLike, choice_fault, refuse
from aerialstream._core import ground as core
from aerialstream.constants import KILOPASCALS_PER_PSI, SOILS, SOILS_WITHOUT_BEARING
from aerialstream.department import _ROUNDING, NOT_ENTERED
from aerialstream.errors import UnitError
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, in_system, worked

LOAD = NeedLike("force", "lbf", above=0, at_most=1_000_000, like="29,000 lb")
SIDE = NeedLike("length", "inch", above=0, at_most=240, like="24 in")
CONTACT = NeedLike("area", "inch**2", above=0, at_most=57_600, like="576 sq in")
BEARING = NeedLike("pressure", "psf", above=0, at_most=1_000_000, like="1,500 psf")
TILT = NeedLike("angle", "degree", at_least=-45, at_most=45, like="5 deg")
KILOPASCALS_PER_PSF = KILOPASCALS_PER_PSI / 144

_FLAG_ONLY = Note(
    "caution",
    "A flag, not a verdict. These pressures are for foundations: they are set by how far a building "
    "may settle, over years, and they know nothing of pavement, water in the ground or hollows.",
)
_SETTLES = Note(
    "caution",
    "Watch the pads as the load comes on and when the ladder turns: the load under each one "
    "changes. The operator's manual says what the pads must stand on.",
)


@dataclass(frozen=True, kw_only=True)
class PadPressure(Explained):
    """Pressure under a pad, one value; printed in psi and in psf, since both are in use."""

    kind = "load"  # how `value` is printed beside the pressures of soils
    value: Any

    def lines(self, system="US"):
        """The pressure as it is printed for pads and, in US units, for soils too."""
        lines = ((self.title, show(self.value, system)),)
        if system == "metric":
            return lines
        return (*lines, ("The same as soil tables print it", show(self.value, kind="load")))

    def __str__(self):
        return f"{show(self.value)} ({show(self.value, kind='load')})"

    def __repr__(self):
        return self.text()


def _area_step(side_in, area_sq_in):
    """Where the area comes from: the side of a square pad, or what was given."""

    def write(pen):
        metric = f"{side_in * 0.0254:.4g}" if side_in else ""
        square_metres = f"{area_sq_in * 0.0254**2:.5g}"
        if not side_in:
            return (
                pen.choose(f"Area: {area_sq_in:,.6g} sq in as given", f"Area: {square_metres} m²"),
            )
        return (
            pen.choose(
                f"Area = {side_in:.6g} in × {side_in:.6g} in = {area_sq_in:,.6g} sq in",
                f"Area = {metric} m × {metric} m = {square_metres} m²",
            ),
        )

    return worked(write)


@quantities(load=LOAD, pad=SIDE, area=CONTACT)
def pad_pressure(load, *, pad=None, area=None):
    """Pressure under a stabiliser's pad: load / area.

    For seeing what a pad does to the ground, in psi as pads are rated and in psf as soils are.

    Takes
      load         on that one stabiliser; any force unit; usual unit lb
      pad          side of a square pad; any length unit; usual unit in
      area         contact area, where the pad is not square; any area unit; usual unit sq in
    Gives
      PadPressure  value in psi; shown to 1 psi and to 0.1 psf
    Holds for
      a pad that spreads the load evenly and lies flat on the ground, all of it
    How close
      exact division; a thin pad bends and presses harder in the middle
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative; both pad and area given, or neither
    Sources
      first_principles_pad
    Check value
      >>> print(show(pad_pressure("29,098 lb", pad="24 in").value, kind="load"))
      7,274.5 psf
    """
    refuse(
        "pad_pressure",
        "pad and area are both given; give the side of a square pad or the area"
        * bool(pad and area),
        'neither pad nor area is given; write pad="24 in" or area="576 sq in"'
        * (pad is None and area is None),
    )
    square_inches = pad**2 if pad else area
    psi = core.pad_pressure_psi(load, square_inches)
    kilopascals = psi * KILOPASCALS_PER_PSI
    steps = _area_step(pad, square_inches) + worked(
        lambda pen: (
            pen.choose(
                f"Pressure = {load:,.6g} lb / {square_inches:,.6g} sq in = {psi:,.5g} psi",
                f"Newtons on each square metre = {pen.of(load, 'force', digits=6)} /"
                f" {square_inches * 0.0254**2:.5g} m² = {kilopascals * 1000:,.6g} N",
            ),
            pen.choose(
                f"On each square foot = {psi:,.5g} psi × 144 = {core.psf(psi):,.5g} psf",
                f"Pressure = {kilopascals * 1000:,.6g} N / 1,000 = {kilopascals:,.5g} kPa",
            ),
        )
    )
    return PadPressure(
        title="Pressure under the pad",
        value=quantity(psi, "psi"),
        steps=steps,
        notes=(_SETTLES,),
        sources=("first_principles_pad",),
    )


@dataclass(frozen=True, kw_only=True)
class PadSize(Explained):
    """The pad that brings a load down to a bearing pressure: its area, and the side of a square."""

    kind = "pad"  # how `side` is printed
    area: Any
    side: Any

    def lines(self, system="US"):
        """Side of a square pad and its area as (label, text) pairs."""
        return (
            ("Side of a square pad", show(self.side, system, "pad")),
            ("Area", show(self.area, system, "pad area")),
        )

    def __str__(self):
        return f"{show(self.side, kind='pad')} square, {show(self.area, kind='pad area')}"

    def __repr__(self):
        return self.text()


@quantities(load=LOAD, bearing=BEARING)
def pad_size(load, *, bearing):
    """Pad that brings a load down to a pressure on the ground: area = load / bearing.

    For asking whether the pads on the rig are near to what the ground wants, or far from it.

    Takes
      load     on that one stabiliser; any force unit; usual unit lb
      bearing  pressure to come down to; any pressure unit; usual unit psf
    Gives
      PadSize  area in sq ft and side of a square in in; shown to 0.1
    Holds for
      a pad stiff enough to spread the load over all of it
    How close
      exact; the bearing pressure is the doubtful number, often by more than half
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      first_principles_pad
    Check value
      >>> print(show(pad_size("62,800 lb", bearing="48.5 psi").side, kind="pad"))
      36 in
    """
    area, side = core.pad_area_sq_ft(load, bearing), core.pad_side_in(load, bearing)
    steps = worked(
        lambda pen: (
            pen.choose(
                f"Area = {load:,.6g} lb / {bearing:,.6g} psf = {area:,.5g} sq ft",
                f"Area = {pen.of(load, 'force', digits=6)} / 1,000 / {pen.of(bearing, 'load')}"
                f" = {pen.of(area, 'area')}",
            ),
            pen.choose(
                f"Side of a square = 12 × √({load:,.6g} lb / {bearing:,.6g} psf) = {side:.4g} in",
                f"Side of a square = 1,000 × √({pen.of(area, 'area')}) = {side * 25.4:,.5g} mm",
            ),
        )
    )
    return PadSize(
        title="Pad for the load",
        area=quantity(area, "foot**2"),
        side=quantity(side, "inch"),
        steps=steps,
        notes=(_FLAG_ONLY, _SETTLES),
        sources=("first_principles_pad",),
    )


@quantities()
def presumptive_bearing(soil):
    """Pressure that a building code lets one presume for a class of soil where nobody tested it.

    For a flag beside the pressure under a pad. Mud, organic soil, peat and unprepared fill have
    no such value, and are refused.

    Takes
      soil    "bedrock", "layered rock", "gravel", "sand" or "clay" (silt too, if not organic)
    Gives
      Result  pressure in psf; shown to 1 psf
    Holds for
      undisturbed natural soil of that class under the foundation of a building
    How close
      it has a margin for slow settling, and other tables give clay four times as much for the pads
      of machines; the ground at hand may be far worse than its class
    Fails when
      UnitError        soil is not a text
      ImpossibleValue  a soil that has no value, or one that the table does not have
    Sources
      building_code_bearing; outrigger_pad_page
    Check value
      >>> print(presumptive_bearing("clay"))
      1,500 psf
    """
    if not isinstance(soil, str):
        raise UnitError(f'soil = {soil!r}: a text is needed, such as soil="clay"')
    rows = {row.name: row for row in SOILS}
    if soil in SOILS_WITHOUT_BEARING:
        refuse("presumptive_bearing", f"soil = {soil!r}: {_NO_BEARING}")
    refuse("presumptive_bearing", choice_fault("soil", soil, tuple(rows)))
    row = rows[soil]
    psi, psi_of_clay = row.psf / 144, rows["clay"].psf / 144
    newtons = row.psf * KILOPASCALS_PER_PSF * 1000
    other = Note(
        "caution",
        both(
            lambda pen: (
                "Print disagrees: a table made for the pads of machines gives firm clay or silt "
                f"{pen.shown(43, 'pressure')}, the building code "
                f"{pen.shown(psi_of_clay, 'pressure')}. Neither was measured where you stand."
            )
        ),
    )
    return Result(
        title=f"Presumed for {row.what}",
        value=quantity(row.psf, "psf"),
        kind="load",
        steps=worked(
            lambda pen: (
                pen.choose(
                    f"On each square inch = {row.psf:,.6g} psf / 144 = {psi:.4g} psi",
                    f"Newtons on each square metre = {pen.of(row.psf, 'load')} × 1,000"
                    f" = {newtons:,.0f} N",
                ),
            )
        ),
        notes=(_FLAG_ONLY, other),
        sources=(row.source, "outrigger_pad_page"),
    )


_NO_BEARING = (
    "no bearing may be presumed for mud, organic silt or clay, peat and unprepared fill. Take it as "
    "ground that does not carry: another spot, or somebody who has tested it"
)


@quantities(angle=NeedLike("angle", "degree", at_least=0, at_most=85, like="5 deg"))
def grade(angle):
    """Grade of a slope from its angle: 100 × tan(angle), in per cent.

    Limits of rigs are told in degrees, roads in per cent, and 5 of one are not 5 of the other.

    Takes
      angle   above level; any angle unit; usual unit deg
    Gives
      Result  grade in per cent; shown to 0.01 %
    Holds for
      0 to 85 deg
    How close
      exact
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  negative or steeper than 85 deg
    Sources
      first_principles_slope
    Check value
      >>> print(grade("5 deg"))
      8.75 %
    """
    tangent = tan(radians(angle))
    value = core.grade_percent(angle)
    return Result(
        title="Grade",
        value=quantity(value, "percent"),
        kind="grade",
        steps=(
            f"The tangent of {angle:.5g} deg is {tangent:.5g}",
            f"Grade = 100 × {tangent:.5g} = {value:.4g} %",
        ),
        sources=("first_principles_slope",),
    )


@quantities(grade=NeedLike("share", "percent", at_least=0, at_most=1000, like="10 %"))
def angle_of_grade(grade):
    """Angle of a slope from its grade: the angle whose tangent is grade / 100.

    For holding a road's grade against a limit that the manual tells in degrees.

    Takes
      grade   rise over run; usual unit %
    Gives
      Result  angle in deg; shown to 0.1 deg
    Holds for
      0 to 1000 %
    How close
      exact
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  negative or above 1000 %
    Sources
      first_principles_slope
    Check value
      >>> print(angle_of_grade("10 %"))
      5.7 deg
    """
    ratio = grade / 100
    angle = core.angle_of_grade_deg(grade)
    return Result(
        title="Angle of the slope",
        value=quantity(angle, "degree"),
        steps=(
            f"Rise over run = {grade:.5g} / 100 = {ratio:.5g}",
            f"The angle whose tangent is {ratio:.5g} is {angle:.4g} deg",
        ),
        sources=("first_principles_slope",),
    )


@dataclass(frozen=True, kw_only=True)
class Slope(Explained):
    """The slope a rig stands on.

    steepest  angle of the steepest line; grade the same in per cent
    downhill  bearing of the way down, clockwise from the cab; None on level ground
    limit     what the department entered from the manual says of it, a sentence
    """

    steepest: Any
    grade: Any
    downhill: Any
    limit: str

    def lines(self, system="US"):
        """Angle, grade, the way down and the entered limit as (label, text) pairs."""
        way = "level" if self.downhill is None else f"{show(self.downhill)} clockwise from the cab"
        return (
            ("Steepest slope", show(self.steepest, system)),
            ("As a grade", show(self.grade, system, "grade")),
            ("The way down", way),
            ("Entered limit", self.limit),
        )

    def __repr__(self):
        return self.text()


def _slope_limit(apparatus, steepest_deg):
    """What the department's entry says of a slope, one sentence; never a limit of our own."""
    if apparatus is None:
        return "no device named: see the operator's manual."
    conditions = apparatus.manual_conditions
    if conditions is None or conditions.slope_up_to is None:
        return f"{apparatus.name}: {NOT_ENTERED}."
    entered = (
        f"the entry your department made for {apparatus.name} allows up to "
        f"{show(conditions.slope_up_to)} ({conditions.page})"
    )
    if steepest_deg > conditions.slope_up_to.magnitude * _ROUNDING:
        return f"BEYOND THE ENTERED LIMIT: {entered}. Do not; see the operator's manual."
    return f"Not beyond the entered limit: {entered}. The manual itself decides."


@quantities(along=TILT, across=TILT)
def slope_across_and_along(along, *, across="0 deg", apparatus=None):
    """The steepest slope under a rig from what its two level indicators read.

    For holding a sloping street against the manual's limit: the two readings do not add up, and
    neither alone is the slope.

    Takes
      along      + where the cab end is the higher one; any angle unit; usual unit deg
      across     + where the left side is the higher one; any angle unit; usual unit deg
      apparatus  an Apparatus of the department's data, for the limit it entered; or None
    Gives
      Slope      steepest and downhill in deg, shown to 0.1 deg; grade in per cent
    Holds for
      a plane, each way up to 45 deg
    How close
      exact for readings along two lines that are square to each other seen from above; on the
      slopes of streets the difference is below 0.1 deg. By eye nobody sees 2 deg
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  steeper than 45 deg, infinite or not a number
    Sources
      first_principles_slope
    Check value
      >>> print(show(slope_across_and_along("3 deg", across="4 deg").steepest))
      5 deg
    """
    one, other = tan(radians(along)), tan(radians(across))
    steepest = core.steepest_deg(along, across)
    percent = core.grade_percent(steepest)
    downhill = core.downhill_deg(along, across)
    return Slope(
        title="Slope under the rig",
        steepest=quantity(steepest, "degree"),
        grade=quantity(percent, "percent"),
        downhill=None if downhill is None else quantity(downhill, "degree"),
        limit=_slope_limit(apparatus, steepest),
        steps=(
            f"Grade along = 100 × {abs(one):.5g} = {100 * abs(one):.4g} %",
            f"Grade across = 100 × {abs(other):.5g} = {100 * abs(other):.4g} %",
            f"Steepest grade = √({100 * abs(one):.6g}^2 + {100 * abs(other):.6g}^2)"
            f" = {percent:.4g} %",
            f"The angle whose tangent is {percent / 100:.5g} is {steepest:.4g} deg",
        ),
        notes=(
            Note(
                "caution",
                "Level with the indicator of the turntable, not by eye. On a slope the load gathers "
                "on the lower pads.",
            ),
        ),
        sources=("first_principles_slope",),
    )


@quantities(height=Need("length", "foot", at_least=0, at_most=400), slope=TILT)
def centre_shift(height, *, slope):
    """How far a weight comes to act downhill because its carrier stands on a slope: h × tan(slope).

    For seeing why a slope costs stability: the weight of a raised ladder lies high.

    Takes
      height  of the weight's centre above the ground; any length unit; usual unit ft
      slope   of the rig after levelling; any angle unit; usual unit deg
    Gives
      Result  distance in ft, shown to 0.1 ft
    Holds for
      a rigid rig; sideways or along, whichever way the slope runs
    How close
      exact geometry; springs, tires and a bending ladder add to it
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  a negative height, or a slope beyond 45 deg
    Sources
      first_principles_slope
    Check value
      >>> print(centre_shift("40 ft", slope="5 deg"))
      3.5 ft
    """
    tangent = tan(radians(slope))
    shift = core.centre_shift_ft(height, slope)
    steps = worked(
        lambda pen: (
            f"The tangent of {slope:.5g} deg is {tangent:.5g}",
            f"Shift = {pen.of(height, 'length')} × {tangent:.5g} = {pen.of(shift, 'length', digits=4)}",
        )
    )
    return Result(
        title="Shift of the weight, downhill",
        value=quantity(shift, "foot"),
        steps=steps,
        sources=("first_principles_slope",),
    )


@dataclass(frozen=True, kw_only=True)
class GroundQuestion:
    """A question to answer about the ground before the stabilisers go down; "yes" is the bad answer.

    id, question, look_for and do (what is done about it) are texts; source an id of sources.py.
    """

    id: str
    question: str
    look_for: str
    do: str
    source: str


_QUESTIONS = (
    GroundQuestion(
        id="vault",
        question="Is there a vault or utility chamber under a pad or wheel?",
        look_for="Lids, gratings, vents, marker plates, transformers; pre-plans; ask the utility.",
        do="Another spot. A pad does not bridge a lid or a vault's roof.",
        source="wieder_positioning_1",
    ),
    GroundQuestion(
        id="culvert",
        question="Does a culvert, drain or large pipe cross under the spot?",
        look_for="Ditches that stop at the road, headwalls, drain lids in a line, a dip in the paving.",
        do="Move until no pad stands over it or beside its edge.",
        source="wieder_positioning_1",
    ),
    GroundQuestion(
        id="basement",
        question="Does a basement or garage reach out under the sidewalk, yard or street?",
        look_for="Glass blocks, hatches, ramps, loading slabs on beams, vents near the wall.",
        do="Another spot, off the slab, unless the owner's papers say what it carries.",
        source="wieder_positioning_1",
    ),
    GroundQuestion(
        id="tank",
        question="Is there a tank, cistern or septic chamber below?",
        look_for="Filling caps, vent pipes, patched paving at filling stations, old farm yards.",
        do="Another spot; keep pads away from its edges too.",
        source="practice_ground",
    ),
    GroundQuestion(
        id="hot asphalt",
        question="Is the asphalt hot enough to soften?",
        look_for="A hot day, a dent under a heel or a chock, fresh paving, fire close by.",
        do="Larger plates, and look at the pads again while working: they go on sinking.",
        source="practice_ground",
    ),
    GroundQuestion(
        id="frozen crust",
        question="Is the ground a frozen crust over something soft?",
        look_for="Lawns, fields and fill in frost or thaw; hollow sound; run-off that thaws it.",
        do="Take it as the soft ground below; another spot or larger plates.",
        source="practice_ground",
    ),
    GroundQuestion(
        id="edge",
        question="Is a pad near the edge of a trench, kerb, bank, wall or excavation?",
        look_for="Open or newly filled trenches, retaining walls, ditches, ponds, broken kerbs.",
        do="Move away from the edge. A rule for how far belongs to the manual or local procedure.",
        source="practice_ground",
    ),
    GroundQuestion(
        id="soft fill",
        question="Is it soft, wet or newly filled?",
        look_for="Lawn, mud, new kerbs and patches, building sites, water from the fire running there.",
        do="Another spot; if there is none, pads and cribbing by local procedure, and watch them.",
        source="wieder_positioning_1",
    ),
)


def ground_questions():
    """The questions to answer about the ground, in the order of walking round the rig.

    Gives
      tuple of GroundQuestion
    """
    return _QUESTIONS


@dataclass(frozen=True)
class GroundFlag:
    """Something about the ground to act on. `code` names it, `text` says what and what to do."""

    code: str
    text: str


@dataclass(frozen=True, kw_only=True)
class GroundFlags(Explained):
    """The flags of a spot, a tuple of GroundFlag. None at all is no verdict either."""

    flags: tuple

    def lines(self, system="US"):
        """Each flag as a (label, text) pair, or that these answers raise none."""
        if not self.flags:
            return (
                ("Flags", "none from these answers. Whether to set up is the operator's to judge."),
            )
        return tuple((f"Flag: {flag.code}", in_system(flag.text, system)) for flag in self.flags)

    def __repr__(self):
        return self.text()


ANSWERS = ("yes", "no", "not known")


def ground_flags(answers, *, pressure=None, soil=None, slope=None):
    """What the answers about the ground, the pad's pressure and the slope call for.

    Every "yes" is a flag, and so is every "not known" and every question left out: nobody has
    looked there. There is no verdict.

    Takes
      answers   a mapping of question id to "yes", "no" or "not known"
      pressure  a PadPressure, or None where nobody worked it out
      soil      as `presumptive_bearing` takes it, also "mud" and the like, or None
      slope     a Slope, or None where nobody read it
    Gives
      GroundFlags  the flags, in the order of the questions, then soil and slope
    Fails when
      ImpossibleValue  an id that is no question, an answer that is none, an unknown soil
    """
    known = {question.id: question for question in _QUESTIONS}
    soils = (*(row.name for row in SOILS), *SOILS_WITHOUT_BEARING)
    refuse(
        "ground_flags",
        *(choice_fault("question", name, tuple(known)) for name in answers),
        *(choice_fault(name, said, ANSWERS) for name, said in answers.items() if said is not None),
        choice_fault("soil", soil, soils) if soil is not None else "",
    )
    flags = [
        _flag_of(question, answers.get(question.id))
        for question in _QUESTIONS
        if answers.get(question.id) != "no"
    ]
    flags += _soil_flags(pressure, soil)
    flags += _slope_flags(slope)
    cited = [question.source for question in _QUESTIONS]
    if soil is not None:
        cited.append("building_code_bearing")
    for result in (pressure, slope):
        cited += result.sources if result is not None else ()
    return GroundFlags(
        title="Ground",
        flags=tuple(flags),
        notes=(
            Note(
                "caution",
                "Flags only. The operator's manual, local procedure and the operator decide where the "
                "rig is set up; an empty list means that nobody saw anything, not that it holds.",
            ),
        ),
        sources=tuple(dict.fromkeys(cited)),
    )


def _flag_of(question, said):
    if said == "yes":
        return GroundFlag(question.id, f"{question.do} (You answered yes: {question.question})")
    word = "not known" if said == "not known" else "not answered"
    return GroundFlag(
        question.id, f"{word}: {question.question} Look for: {question.look_for} Find out first."
    )


def _soil_flags(pressure, soil):
    if soil in SOILS_WITHOUT_BEARING:
        return [GroundFlag("soil", f"{soil}: {_NO_BEARING}.")]
    if pressure is None:
        return [GroundFlag("pad pressure", "not worked out: load of the stabiliser over its pad.")]
    if soil is None:
        return [GroundFlag("soil", "not named: take it as poor, or ask who knows the ground.")]
    bearing = presumptive_bearing(soil).value
    if pressure.value > bearing * _ROUNDING:
        times = (pressure.value / bearing).to("").magnitude
        under, presumed = (p.to("psf").magnitude for p in (pressure.value, bearing))
        text = both(
            lambda pen: (
                f"{times:.1f} times what a building code presumes for {soil} "
                f"({pen.shown(under, 'load')} against {pen.shown(presumed, 'load')}): bigger pads, a "
                "different spot, or advice. Sound paving spreads the load; how far is not known here."
            )
        )
        return [GroundFlag("pad pressure", text)]
    return []


def _slope_flags(slope):
    if slope is None:
        return [GroundFlag("slope", "not read: take it from the rig's own indicators.")]
    if slope.limit.startswith("Not beyond"):
        return []
    return [GroundFlag("slope", f"{show(slope.steepest)}; {slope.limit}")]


pad_pressure.plain = core.pad_pressure_psi
pad_size.plain = core.pad_area_sq_ft
grade.plain = core.grade_percent
angle_of_grade.plain = core.angle_of_grade_deg
slope_across_and_along.plain = core.steepest_deg
centre_shift.plain = core.centre_shift_ft
