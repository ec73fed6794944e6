"""The whole chain as one model: source, pumper, lay, inlet, waterway, nozzle. Solved both ways.

Each part is described by a small table of texts with units, as in a department's files:

    chain = water_chain(
        nozzle={"kind": "smooth bore", "tip_diameter": "2 in"},
        rig={"height": "80 ft", "waterway_loss": "40 psi", "inlet_loss": "10 psi"},
        lay={"coefficient": 0.08, "length": "100 ft", "operating_pressure": "185 psi"},
        pumper={"rated_flow": "1500 gpm"},
        source={"kind": "hydrant", "static": "80 psi", "residual": "55 psi", "test_flow": "839 gpm"},
    )
    chain.at_flow("1000 gpm")              what the pump must give, part by part, and what it breaks
    chain.at_discharge_pressure("170 psi") what flows
    chain.best()                           the most that can be had, which limit binds, and the next
    chain.reach("1000 gpm", lays)          how far apart source and aerial may be

Unlike lines side by side go into `lay` as a list.
"""

import re
from dataclasses import dataclass
from math import inf
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    ConfigDict,
    Field,
    PrivateAttr,
    TypeAdapter,
    ValidationError,
    create_model,
)

from aerialstream._chain_steps import point_steps, shares_of, sources_of
from aerialstream._checks import NeedLike, number_fault, refuse
from aerialstream._core import chain as core
from aerialstream._core import nozzles as core_nozzles
from aerialstream._core import supply as core_supply
from aerialstream._core.elevation import elevation_pressure_psi
from aerialstream.department import Bore, Flow, Loss, Pressure, _Entry, _fault
from aerialstream.department import _quantity_type as quantity_type
from aerialstream.errors import ImpossibleValue, UnitError
from aerialstream.hose import coefficient_in, hose_coefficient
from aerialstream.pumps import high_lift_notes
from aerialstream.results import Explained, Note
from aerialstream.supply import ONE_MAIN, small_drop_notes
from aerialstream.units import Need, in_unit, quantity, show
from aerialstream.worked import both, in_system, worked

_FLOW = Need("flow", "gpm", above=0, at_most=20_000)
_PRESSURE = Need("pressure", "psi", above=0, at_most=1000)
LayLength = quantity_type(Need("length", "foot", at_least=0, at_most=50_000))
Height = quantity_type(Need("length", "foot", at_least=-400, at_most=400))
# No pump lifts higher: what the air at sea level holds up.
MOST_LIFT_FT = round(core_supply.lift_limit_ft(14.7), 1)
Lift = quantity_type(NeedLike("length", "foot", at_least=0, at_most=MOST_LIFT_FT, like="10 ft"))
Coefficient = Annotated[
    float,
    Field(strict=True, gt=0, lt=2000, description="a plain number, psi per 100 ft at 100 gpm"),
]
Lines = Annotated[int, Field(strict=True, gt=0, le=12, description="a whole number of lines")]

_NOZZLE_NEEDS = {
    "smooth bore": ("tip_diameter",),
    "fixed fog": ("rated_flow", "rated_pressure"),
    "selectable fog": ("setting", "rated_pressure"),
    "automatic fog": ("rated_pressure", "least_flow", "most_flow"),
}


class NozzlePart(_Entry):
    """The nozzle. A smooth bore needs tip_diameter, the fogs rated_pressure and their flow.

    setting is the rated flow of the chosen setting of a selectable fog. An automatic fog holds
    rated_pressure from least_flow to most_flow and is a fixed opening outside of that.
    highest_pressure is a limit that the department sets.
    """

    keys_of_kind: ClassVar[dict] = _NOZZLE_NEEDS

    kind: Literal["smooth bore", "fixed fog", "selectable fog", "automatic fog"]
    tip_diameter: Bore | None = None
    rated_flow: Flow | None = None
    rated_pressure: Pressure | None = None
    setting: Flow | None = None
    least_flow: Flow | None = None
    most_flow: Flow | None = None
    highest_pressure: Pressure | None = None

    @classmethod
    def of(cls, nozzle, *, setting=None, highest_pressure=None):
        """A nozzle of the department's data; a selectable fog needs the setting.

        Fails when
          ImpossibleValue   the nozzle has no such setting, or several and none was named
        """
        from aerialstream.nozzles import setting_of

        same = ((key, getattr(nozzle, key, None)) for key in cls.model_fields)
        given = {key: value for key, value in same if value is not None}
        if nozzle.kind == "selectable fog":
            wanted = None if setting is None else in_unit(setting, _FLOW)
            given["setting"] = quantity(setting_of(nozzle, wanted), "gpm")
        return cls(highest_pressure=highest_pressure, **given)

    def plain(self):
        """The nozzle as the plain model has it; UnitError names what is missing."""
        missing = [name for name in _NOZZLE_NEEDS[self.kind] if getattr(self, name) is None]
        if missing:
            raise UnitError(f"nozzle: a {self.kind} needs {' and '.join(missing)}")
        if self.kind == "smooth bore":
            bore = self.tip_diameter.to("inch").magnitude
            return core.Orifice(core_nozzles.smooth_bore_constant(bore))
        rated = _psi(self.rated_pressure)
        if self.kind != "automatic fog":
            flow = self.setting if self.kind == "selectable fog" else self.rated_flow
            return core.Orifice(core_nozzles.orifice_constant(_gpm(flow), rated))
        if self.least_flow > self.most_flow:
            raise ImpossibleValue("nozzle: least_flow is more than most_flow")
        return core.Automatic(rated, _gpm(self.least_flow), _gpm(self.most_flow))


class RigPart(_Entry):
    """The rig between inlet and nozzle. height is the nozzle above the pump.

    Losses are the department's own, at the flow they were tested at; an inlet_loss without
    inlet_flow does not change with the flow. The limits are those that the department enters.
    """

    model_config = ConfigDict(validate_default=True)

    height: Height
    waterway_loss: Loss = "0 psi"
    waterway_flow: Flow = "1000 gpm"
    inlet_loss: Loss = "0 psi"
    inlet_flow: Flow | None = None
    highest_inlet_pressure: Pressure | None = None
    highest_flow: Flow | None = None
    _sources: tuple = PrivateAttr(default=())

    @property
    def sources(self):
        """Ids of the sources of its own losses, where they come from a department's test."""
        return self._sources

    @classmethod
    def of(cls, apparatus, *, extension, elevation, pump_height="0 ft", **more):
        """The rig part of a department's apparatus in a position, with its own tested losses.

        Fails when
          UnitError   the department entered no waterway or inlet loss and none is given
        """
        from aerialstream._core.elevation import nozzle_height_ft

        height = nozzle_height_ft(
            apparatus.turntable_height.to("foot").magnitude,
            in_unit(extension, Need("length", "foot")),
            in_unit(elevation, Need("angle", "degree")),
            in_unit(pump_height, Need("length", "foot")),
        )
        own = False
        for part in ("waterway", "inlet"):
            tested = getattr(apparatus, part)
            if tested is not None and f"{part}_loss" not in more:
                own = True
                more[f"{part}_loss"], more[f"{part}_flow"] = tested.loss, tested.at_flow
            if f"{part}_loss" not in more:
                raise UnitError(
                    f"{apparatus.name} has no tested {part} loss: enter it in apparatus.toml, or give "
                    f'{part}_loss="0 psi" if there is none'
                )
        rig = cls(height=quantity(height, "foot"), **more)
        rig._sources = (*(("department_flow_test",) if own else ()), "first_principles_height")
        return rig


class LayPart(_Entry):
    """Like lines side by side from the pump to the inlet; operating_pressure is their marking."""

    model_config = ConfigDict(validate_default=True)

    coefficient: Coefficient
    length: LayLength = "0 ft"
    lines: Lines = 1
    operating_pressure: Pressure | None = None
    name: str = ""
    _sources: tuple = PrivateAttr(default=())
    _carried: Any = PrivateAttr(default=None)

    @property
    def sources(self):
        """Ids of the sources of its coefficient, where it comes from a department's hose."""
        return self._sources

    @property
    def carried(self):
        """How long a lay of so many lines the carried hose makes; None where it is not known."""
        return self._carried

    @classmethod
    def of(cls, hose, *, length="0 ft", lines=1):
        """A lay of the department's hose: its own flow-tested coefficient first, its own marking.

        Fails when
          ImpossibleValue   neither a flow test nor a printed value for this size
        """
        found = hose_coefficient(hose)
        lay = cls(
            coefficient=found.coefficient,
            length=length,
            lines=lines,
            operating_pressure=hose.operating_pressure,
            name=f"{lines} x {hose.name}" if lines > 1 else hose.name,
        )
        lay._sources = found.sources
        lay._carried = hose.carried / lines
        return lay

    def called(self, pen):
        """Its name; a lay without one is called by its lines and their coefficient."""
        return self.name or f"{self.lines} x C {coefficient_in(pen, self.coefficient)}"

    @property
    def together(self):
        """Coefficient of all lines together: C / n²."""
        return self.coefficient / self.lines**2

    @property
    def loss(self):
        """psi/gpm² of the lay."""
        return self.together * self.length.to("foot").magnitude / 100 / 100**2


class PumperPart(_Entry):
    """The pump by its rating; highest_discharge is the throttle's or the governor's limit.

    intake_floor is the lowest intake pressure that the department works at.
    """

    rated_flow: Flow
    highest_discharge: Pressure | None = None
    intake_floor: Loss | None = None

    @classmethod
    def of(cls, pumper, *, highest_discharge=None):
        """A pumper of the department's data."""
        return cls(
            rated_flow=pumper.rated_flow,
            highest_discharge=highest_discharge,
            intake_floor=pumper.intake_floor,
        )


class HydrantPart(_Entry):
    """A hydrant by its flow test, and the line from it to the pump.

    residual_floor is how far the pressure at the pump's intake may be drawn down: the pumper's
    intake_floor where it has one, else 20 psi.
    """

    kind: Literal["hydrant"]
    model_config = ConfigDict(validate_default=True)

    static: Pressure
    residual: Loss
    test_flow: Flow
    residual_floor: Loss | None = None
    line: LayPart | None = None

    def plain(self, intake_floor=None):
        """The source as the plain model has it."""
        if self.residual >= self.static:
            raise ImpossibleValue("source: the residual must be below the static pressure")
        floor = self.residual_floor if self.residual_floor is not None else intake_floor
        return core.Hydrant(
            static_psi=_psi(self.static),
            residual_psi=_psi(self.residual),
            test_flow_gpm=_gpm(self.test_flow),
            line_loss=self.line.loss if self.line else 0.0,
            floor_psi=core_supply.RESIDUAL_FLOOR_PSI if floor is None else _psi(floor),
        )


class RelayPart(_Entry):
    """Water that another pump holds at a pressure at this pump's intake."""

    kind: Literal["relay"]
    held: Pressure

    def plain(self, intake_floor=None):
        """The source as the plain model has it."""
        return core.Relay(_psi(self.held), _maybe(intake_floor, _psi) or 0.0)


class DraftPart(_Entry):
    """Water lifted from below."""

    kind: Literal["draft"]
    model_config = ConfigDict(validate_default=True)

    lift: Lift
    intake_loss: Lift = "0 ft"

    def plain(self, intake_floor=None):
        """The source as the plain model has it."""
        return core.Draft(self.lift.to("foot").magnitude, self.intake_loss.to("foot").magnitude)


class _Parts(_Entry):
    nozzle: NozzlePart
    rig: RigPart
    lay: LayPart
    beside: tuple[LayPart, ...] = ()
    pumper: PumperPart | None = None
    source: HydrantPart | RelayPart | DraftPart | None = None

    @property
    def lays(self):
        """All lays from the pump to the inlet, side by side."""
        return (self.lay, *self.beside)


# Kind of source -> the parts with just that one, so that a fault is told of it alone.
_PARTS_WITH = {
    kind: create_model(f"_PartsWith{part.__name__}", __base__=_Parts, source=(part, ...))
    for kind, part in (("hydrant", HydrantPart), ("relay", RelayPart), ("draft", DraftPart))
}


def _psi(value):
    return value.to("psi").magnitude


def _gpm(value):
    return value.to("gpm").magnitude


# Limit -> what it is called, the kind of what is left under it, and what makes its flow grow.
_LIMITS = {
    "source": (
        "the water source (the floor of the intake pressure)",
        "pressure",
        "a better hydrant or a second one, a larger or another line to the pump, or a relay",
    ),
    "pump": (
        "the pump's rating",
        "flow",
        "less to overcome (shorter, larger or more lines, a lower tip), more pressure at the "
        "intake, or a pumper with a higher rating",
    ),
    "discharge pressure": (
        "the highest discharge pressure set",
        "pressure",
        "shorter, larger or more lines, a lower tip, or a larger tip",
    ),
    "hose pressure": (
        "the hose's operating pressure",
        "pressure",
        "shorter, larger or more lines, hose marked for more, a lower tip, or a larger tip",
    ),
    "inlet pressure": (
        "the highest pressure at the aerial's inlet",
        "pressure",
        "a lower tip or a larger tip; lines and pump change nothing here",
    ),
    "waterway": (
        "the waterway's highest flow",
        "flow",
        "another device: this waterway is not to carry more",
    ),
    "nozzle": (
        "the highest nozzle pressure set",
        "pressure",
        "a larger tip or setting; more pump pressure changes nothing here",
    ),
    "nozzle range": (
        "the top of the automatic nozzle's range",
        "flow",
        "another nozzle; above its range this one's pressure rises with the flow",
    ),
}
_MORE_REACTION = Note(
    "caution",
    "More flow is more reaction on the ladder. Work the reaction out anew, and look in the "
    "operator's manual, before tip, pressure or flow are changed.",
)
_MANUAL = Note(
    "caution",
    "The operator's manual of the device and local procedure decide what is allowed. These numbers "
    "size the water supply; they permit nothing.",
)
LIMIT_WORDS = {name: words for name, (words, *_) in _LIMITS.items()}


@dataclass(frozen=True, kw_only=True)
class ChainPoint(Explained):
    """The chain at one flow.

    flow, nozzle_pressure, discharge_pressure, and the parts that add up to it: elevation,
    waterway, inlet, lay. line_flows has the flow in each single line of every lay. intake and
    net_pressure are None without a source. broken names each limit that this flow goes beyond;
    not_entered the parts among those above that are 0 only because nobody entered them.
    """

    flow: Any
    nozzle_pressure: Any
    elevation: Any
    waterway: Any
    inlet: Any
    lay: Any
    discharge_pressure: Any
    line_flows: tuple[Any, ...] = ()
    intake: Any = None
    net_pressure: Any = None
    broken: tuple[str, ...] = ()
    not_entered: tuple[str, ...] = ()

    def lines(self, system="US"):
        """(label, text) pairs: flow, the parts in order, their sum, intake and net pressure."""
        labels = (
            ("flow", "Flow"),
            ("nozzle_pressure", "Nozzle pressure"),
            ("elevation", "Height of the nozzle"),
            ("waterway", "Waterway"),
            ("inlet", "Inlet"),
            ("lay", "Lines to the aerial"),
            ("discharge_pressure", "Pump discharge pressure"),
            ("intake", "Pressure at the pump's intake"),
            ("net_pressure", "Net pump pressure"),
        )
        return tuple(
            (
                label,
                "not entered, taken as none"
                if name in self.not_entered
                else show(getattr(self, name), system),
            )
            for name, label in labels
            if getattr(self, name) is not None
        )

    def __repr__(self):
        return self.text()


@dataclass(frozen=True)
class FlowLimit:
    """A limit, the most that flows if it alone held, its words, and what makes that flow grow."""

    name: str
    flow: Any
    words: str
    more: str = ""


@dataclass(frozen=True, kw_only=True)
class Best(Explained):
    """The most that can be had.

    point     the chain at that flow (None where no limit is set)
    limits    every limit with the flow it lets through, the binding one first
    """

    point: Any
    limits: tuple[FlowLimit, ...]

    @property
    def binding(self):
        """The limit that binds."""
        return self.limits[0] if self.limits else None

    @property
    def next_limit(self):
        """What would bind if the binding limit were lifted; None if nothing would."""
        return self.limits[1] if len(self.limits) > 1 else None

    def lines(self, system="US"):
        """(label, text) pairs: the flow, what binds, what would be next."""
        if not self.limits:
            return (("Most that can be had", "no limit was entered"),)
        out = [
            ("Most that can be had", show(self.binding.flow, system)),
            ("What binds", self.binding.words),
        ]
        if self.next_limit:
            following = f"{self.next_limit.words}, {show(self.next_limit.flow, system)}"
            out.append(("Next, if that were lifted", following))
        out.append(("What gives more", self.binding.more))
        return tuple(out)

    def __repr__(self):
        return self.text()


@dataclass(frozen=True)
class Reach:
    """How far one lay reaches by pressure, and what ends it.

    length    a quantity, or None where no limit was entered
    limit     the limit that ends it, in words; empty where none does
    carried   how long a lay the carried hose makes; None where that is not known
    """

    name: str
    length: Any
    limit: str = ""
    carried: Any = None

    def line(self, system="US"):
        """The lay and its reach as a (label, text) pair."""
        if self.length is None:
            said = "no limit was entered"
        else:
            said = f"{show(self.length, system)}, ended by {self.limit}"
        if self.carried is not None:
            said += f"; hose for {show(self.carried, system)} is carried"
        return in_system(self.name, system), said


@dataclass(frozen=True)
class WaterChain:
    """A checked chain; made by `water_chain`."""

    parts: Any
    plain: core.Chain

    def at_flow(self, flow):
        """What the pump must give for a flow, part by part, and every limit it would break.

        Takes
          flow   any flow unit; usual unit gpm
        Gives
          ChainPoint
        Fails when
          UnitError, ImpossibleValue   no unit, another kind, or no such flow
        """
        return _point(self, _checked("flow", flow, _FLOW))

    def at_nozzle_pressure(self, nozzle_pressure):
        """The same for a wanted nozzle pressure; an automatic nozzle has no one flow for that.

        Fails when
          UnitError, ImpossibleValue   no unit, another kind, or an automatic nozzle
        """
        pressure = _checked("nozzle_pressure", nozzle_pressure, _PRESSURE)
        if isinstance(self.plain.nozzle, core.Automatic):
            raise ImpossibleValue(
                "an automatic nozzle holds its pressure over a range of flows: ask for a flow"
            )
        return _point(self, self.plain.nozzle.flow_gpm(pressure), tip_psi=pressure)

    def at_discharge_pressure(self, discharge_pressure):
        """What flows at a pump discharge pressure.

        Gives
          ChainPoint   with a flow of 0 where the pressure only holds the column up
        Fails when
          UnitError, ImpossibleValue   no unit or another kind
        """
        pressure = _checked("discharge_pressure", discharge_pressure, _PRESSURE)
        return _point(self, core.flow_gpm(self.plain, pressure), asked_psi=pressure)

    def best(self):
        """The most that can be had under the limits that were entered, and which one binds.

        Gives
          Best
        """
        flows = core.largest_flows_gpm(self.plain)
        limits = tuple(
            FlowLimit(name, quantity(flow, "gpm"), _LIMITS[name][0], _LIMITS[name][2])
            for name, flow in sorted(flows.items(), key=lambda pair: pair[1])
            if flow < inf
        )
        point = _point(self, limits[0].flow.magnitude) if limits else None
        steps = worked(
            lambda pen: (
                f"If only {limit.words} held: {show(limit.flow, pen.system)}" for limit in limits
            )
        )
        return Best(
            title="Most that can be had",
            point=point,
            limits=limits,
            steps=(*steps, *(point.steps if point else ())),
            notes=(
                *(point.notes if point else ()),
                *_nothing_flows(limits),
                *_limits_not_entered(self),
                _MORE_REACTION,
                *(() if point else (_MANUAL,)),
            ),
            sources=sources_of(self.parts),
        )

    def reach(self, flow, lays):
        """How far apart source and aerial may be for a flow, for each lay.

        Takes
          flow   any flow unit
          lays   LayPart tables or objects, such as `lays_carried` gives; each alone, and its
                 length is not used
        Gives
          tuple of Reach, in the order of the lays
        Fails when
          UnitError, ImpossibleValue   no unit, another kind, or a lay that cannot be
        """
        wanted = _checked("flow", flow, _FLOW)
        if not isinstance(lays, list | tuple):
            raise UnitError('lays: a list is needed, such as [{"coefficient": 0.08}]')
        return tuple(self._reach(wanted, lay) for lay in lays)

    def _reach(self, flow, lay):
        part = lay if isinstance(lay, LayPart) else _read(LayPart, "lay", lay)
        plain = self.plain._replace(hose_limit_psi=_maybe(part.operating_pressure, _psi))
        feet, limit = core.lay_length_ft(plain, flow, part.together)
        return Reach(
            name=both(part.called),
            length=quantity(feet, "foot") if feet < inf else None,
            limit=LIMIT_WORDS[limit] if limit else "",
            carried=part.carried,
        )


def lays_carried(department, pumper, *, most_lines=2):
    """The lays that a pumper's hose makes: one line of each kind it carries, two, up to most_lines.

    Takes
      department   a department's data
      pumper       one of its pumpers; its `hose` names what it carries
      most_lines   like lines side by side at most, 1 to 12
    Gives
      tuple of LayPart, for `WaterChain.reach`
    Fails when
      UnitError, ImpossibleValue   most_lines is no such number, or a hose has no coefficient
    """
    refuse("lays_carried", number_fault("most_lines", most_lines, 1, 12, whole=True))
    hoses = [department.hose_kind(name) for name in pumper.hose]
    return tuple(
        LayPart.of(hose, lines=lines) for hose in hoses for lines in range(1, int(most_lines) + 1)
    )


def water_chain(*, nozzle, rig, lay, pumper=None, source=None):
    """The chain from its parts, each a table of texts with units, or a part already read.

    Takes
      nozzle   NozzlePart: kind, and what its kind needs
      rig      RigPart: height of the nozzle above the pump, losses, limits
      lay      LayPart: coefficient, length, lines, operating_pressure; or a list of them, side by
               side from the pump to the inlet
      pumper   PumperPart: rated_flow, highest_discharge; None leaves the pump out
      source   HydrantPart, RelayPart or DraftPart: None leaves the source out
    Gives
      WaterChain
    Fails when
      UnitError, ImpossibleValue   every fault in one message: part, key, what was read
    """
    first, *beside = lay if isinstance(lay, list | tuple) and lay else (lay,)
    given = {"nozzle": nozzle, "rig": rig, "lay": first, "pumper": pumper, "source": source}
    given |= {"beside": tuple(beside)} if beside else {}
    kind = source.get("kind") if isinstance(source, dict) else getattr(source, "kind", None)
    model, unknown = _Parts, ""
    if isinstance(kind, str) and kind in _PARTS_WITH:
        model = _PARTS_WITH[kind]
    elif source is not None:
        choices = ", ".join(f'"{name}"' for name in _PARTS_WITH)
        unknown = f"chain: source.kind: read {kind!r}; needed: one of {choices}"
        given["source"] = None
    parts = _read(model, "chain", given, unknown)
    rig, pumper = parts.rig, parts.pumper
    inlet_loss = _psi(rig.inlet_loss)
    floor = pumper.intake_floor if pumper else None
    markings = [one.operating_pressure for one in parts.lays if one.operating_pressure is not None]
    plain = core.Chain(
        nozzle=parts.nozzle.plain(),
        elevation_psi=elevation_pressure_psi(rig.height.to("foot").magnitude),
        lay_loss=_together(parts.lays),
        inlet_loss=inlet_loss / _gpm(rig.inlet_flow) ** 2 if rig.inlet_flow is not None else 0.0,
        inlet_flat_psi=inlet_loss if rig.inlet_flow is None else 0.0,
        waterway_loss=_psi(rig.waterway_loss) / _gpm(rig.waterway_flow) ** 2,
        source=parts.source.plain(floor) if parts.source else None,
        rated_gpm=_gpm(pumper.rated_flow) if pumper else None,
        discharge_limit_psi=_maybe(pumper and pumper.highest_discharge, _psi),
        hose_limit_psi=min(map(_psi, markings), default=None),
        inlet_limit_psi=_maybe(rig.highest_inlet_pressure, _psi),
        waterway_limit_gpm=_maybe(rig.highest_flow, _gpm),
        nozzle_limit_psi=_maybe(parts.nozzle.highest_pressure, _psi),
    )
    return WaterChain(parts, plain)


def _together(lays):
    """psi/gpm² of lays side by side: 1/√K = Σ 1/√Ki."""
    if len(lays) == 1:
        return lays[0].loss
    if any(lay.loss == 0 for lay in lays):
        raise ImpossibleValue(
            'lay: lines side by side need a length each, such as length="200 ft"; one has none'
        )
    return 1 / sum(lay.loss**-0.5 for lay in lays) ** 2


def _maybe(value, convert):
    return convert(value) if value is not None else None


def _read(model, name, given, other_fault=""):
    """A part from its table; every fault in one message, other_fault among them."""
    faults = [other_fault] if other_fault else []
    try:
        found = TypeAdapter(model).validate_python(given)
    except ValidationError as error:
        faults += [_fault(name, model, given, e) for e in error.errors()]
    if faults:
        # Lines beside the first are the second and on of `lay`, as it was given.
        told = (
            re.sub(r"beside\.number (\d+)", lambda m: f"lay, number {int(m[1]) + 1}", fault)
            for fault in faults
        )
        raise UnitError(f"{name} cannot be read:\n  " + "\n  ".join(told))
    return found


def _checked(name, value, need):
    try:
        number = in_unit(value, need)
    except UnitError as error:
        raise UnitError(f'{name}: {error}. Write {name}="{need.example}"') from None
    fault = need.fault(number)
    if fault:
        raise ImpossibleValue(f'{name}: {fault}. Write {name}="{need.example}"')
    return number


def _point(chain, flow, asked_psi=None, tip_psi=None):
    """The chain at a flow, as a result.

    asked_psi, tip_psi   the discharge or the nozzle pressure that the flow was found for
    """
    parts, plain = chain.parts, chain.plain
    losses = core.parts_psi(plain, flow) if flow > 0 else {
        "nozzle": 0.0, "elevation": plain.elevation_psi, "waterway": 0.0,
        "inlet": plain.inlet_flat_psi, "lay": 0.0,
    }  # fmt: skip
    total = sum(losses.values())
    source = plain.source
    intake = source.intake_psi(flow) if source is not None else None
    net = source.net_psi(total, flow) if source is not None else None
    left = core.margins(plain, max(flow, 1e-9))
    broken = {name: -spare for name, spare in left.items() if spare < -1e-6}
    return ChainPoint(
        title="The chain at one flow",
        flow=quantity(flow, "gpm"),
        nozzle_pressure=quantity(losses["nozzle"], "psi"),
        elevation=quantity(losses["elevation"], "psi"),
        waterway=quantity(losses["waterway"], "psi"),
        inlet=quantity(losses["inlet"], "psi"),
        lay=quantity(losses["lay"], "psi"),
        discharge_pressure=quantity(total, "psi"),
        line_flows=tuple(
            quantity(flow * share / lay.lines, "gpm")
            for lay, share in zip(parts.lays, shares_of(parts.lays), strict=True)
        ),
        intake=_maybe(intake, lambda psi: quantity(psi, "psi")),
        net_pressure=_maybe(net, lambda psi: quantity(psi, "psi")),
        broken=tuple(LIMIT_WORDS[name] for name in broken),
        not_entered=tuple(
            name for name in ("waterway", "inlet") if not _has(parts.rig, f"{name}_loss")
        ),
        steps=worked(
            lambda pen: point_steps(
                pen, parts, plain, flow, losses, intake, net, asked_psi, tip_psi
            )
        ),
        notes=(*_broken_notes(broken), *_point_notes(chain, flow), *_left_out(parts), _MANUAL),
        sources=sources_of(parts),
    )


def _broken_notes(broken):
    """A note for each limit that is gone beyond, with how far."""
    for name, beyond in broken.items():
        words, kind, _ = _LIMITS[name]
        yield Note(
            "beyond a limit",
            both(
                lambda pen, words=words, kind=kind, beyond=beyond: (
                    f"Goes beyond {words} by {pen.of(beyond, kind, digits=3)}."
                )
            ),
        )


def _point_notes(chain, flow):
    """What to mind about a chain at a flow."""
    plain, part = chain.plain, chain.parts.source
    if isinstance(plain.nozzle, core.Automatic):
        yield _automatic_note(plain.nozzle, flow)
    if plain.rated_gpm is not None and plain.source is None:
        yield Note(
            "estimate",
            "No source was entered: the pump's rating is read as if nothing came in at its intake.",
        )
    if isinstance(plain.source, core.Hydrant):
        yield from small_drop_notes(_psi(part.static), _psi(part.residual))
        yield ONE_MAIN
    if isinstance(plain.source, core.Draft):
        yield from high_lift_notes(plain.source.lift_ft)


def _nothing_flows(limits):
    """A note for each limit under which no water comes out at all."""
    for limit in limits:
        if limit.flow.magnitude == 0:
            yield Note("caution", f"Under {limit.words} nothing flows at all in this position.")


def _has(part, key):
    """Whether a part was given a key, or has only what stands there when nothing is said."""
    return key in part.model_fields_set


def _left_out(parts):
    """A note for each loss and pressure that nobody entered, and what was taken in its place."""
    rig, source = parts.rig, parts.source
    missing = [name for name in ("waterway", "inlet") if not _has(rig, f"{name}_loss")]
    if missing:
        yield Note(
            "not entered",
            f"Loss of the {' and of the '.join(missing)}: not entered, taken as none, so the pump "
            "pressure is too low. Test your own.",
        )
    if "waterway" not in missing and not _has(rig, "waterway_flow"):
        yield Note(
            "not entered",
            both(
                lambda pen: (
                    "Flow at which the waterway's loss was tested (waterway_flow): not entered, taken "
                    f"as {pen.shown(_gpm(rig.waterway_flow), 'flow')}."
                )
            ),
        )
    if not isinstance(source, HydrantPart | RelayPart):
        return
    if source.kind == "hydrant" and source.line is None:
        yield Note(
            "not entered",
            "Line from the hydrant to the pump: not entered, so nothing is lost in it here.",
        )
    yield _floor_note(parts)


def _floor_note(parts):
    """How far the intake's pressure may be drawn down, and who said so."""
    source, pumper = parts.source, parts.pumper
    own = source.residual_floor if source.kind == "hydrant" else None
    entered = own if own is not None else (pumper and pumper.intake_floor)
    usual = core_supply.RESIDUAL_FLOOR_PSI if source.kind == "hydrant" else 0.0
    floor = usual if entered is None else _psi(entered)

    def write(pen):
        said = f"Floor of the intake pressure: {pen.shown(floor, 'pressure')}"
        return f"{said}, not entered." if entered is None else f"{said}, as entered."

    return Note("not entered" if entered is None else "estimate", both(write))


def _limits_not_entered(chain):
    """A note for each limit that nobody entered, so that none is missed among those that bind."""
    plain = chain.plain
    for words, limit in (
        ("Highest flow of the waterway", plain.waterway_limit_gpm),
        ("Highest pressure at the aerial's inlet", plain.inlet_limit_psi),
    ):
        if limit is None:
            yield Note("not entered", f"{words}: not entered: see the operator's manual.")
    unmarked = [lay for lay in chain.parts.lays if lay.operating_pressure is None]
    if unmarked:
        names = both(lambda pen: ", ".join(lay.called(pen) for lay in unmarked))
        yield Note(
            "not entered",
            both(
                lambda pen: (
                    f"Operating pressure of the hose ({in_system(names, pen.system)}): not entered: "
                    "see the marking on the hose. The pump pressure above may be more than it bears."
                )
            ),
        )


def _automatic_note(nozzle, flow):
    """What an automatic nozzle shows, and hides, at a flow."""
    if flow < nozzle.least_gpm:
        return Note(
            "caution",
            both(
                lambda pen: (
                    f"Below the automatic nozzle's range ({pen.shown(nozzle.least_gpm, 'flow')}): "
                    "taken as a fixed opening. Pressure and reach fall; only now can it be seen."
                )
            ),
        )
    return Note(
        "caution",
        both(
            lambda pen: (
                "An automatic nozzle holds its pressure, so a starved one still looks good: down "
                f"to {pen.shown(nozzle.least_gpm, 'flow')} pressure and reach stay while the flow "
                "falls. Read the flow, not the stream."
            )
        ),
    )
