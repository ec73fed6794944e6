"""The plan of a drill: device, spot, aim, flow, supply and limits, each number with how good it is.

Everything is computed by `aerialstream` from the department's own files. What only the operator's
manual, the owner of a prop or local procedure can say stays blank and marked. A plan permits
nothing.
"""

import re
from dataclasses import asdict, dataclass, field, replace
from math import atan2, degrees, hypot, sqrt
from typing import Any

from aerialstream import (
    buildings_of,
    go_no_go,
    quantity,
    reaction_at_tip,
    scene_of,
    show,
    smooth_bore_discharge,
    smooth_bore_pressure,
    smooth_bore_reaction,
    sudden_shutdown,
    water_chain,
    water_weight,
)
from aerialstream.chain import HydrantPart, LayPart, NozzlePart, PumperPart, RigPart
from aerialstream.constants import METERS_PER_FOOT
from aerialstream.department import NOT_ENTERED, manual_limit_text
from aerialstream.errors import AerialStreamError
from aerialstream.results import MANUAL_DECIDES, Explained, Note
from aerialstream.stream import QUALITIES
from aerialstream.units import Need, in_unit
from aerialstream.worked import both, in_system
from gradekit.drills.aiming import (
    DrillRefused,
    SetDown,
    Wanted,
    barred,
    goal_of,
    in_wind,
    links_of,
    set_down,
    unfit,
)
from gradekit.drills.evolutions import filled, load_evolutions, steps_of

GAUGE_PSI, LOSS_SHARE = 5.0, 0.10  # our numbers, no source: what "how good" is reckoned with
HOSE_LENGTH_FT = 50.0
BLANK = "______"
MANUAL, OWNER, LOCAL = "operator's manual", "owner's sheet of the prop", "local procedure"


@dataclass(frozen=True, kw_only=True)
class Weather:
    """The day, as texts with units; what is None was not looked at. lightning: heard or seen."""

    wind: str | None = None
    wind_from: str = "0 deg"
    gust: str | None = None
    temperature: str | None = None
    lightning: bool | None = None

    def temperature_f(self):
        """Degrees Fahrenheit, or None; DrillRefused where it cannot be read."""
        if self.temperature is None:
            return None
        read = re.fullmatch(
            r"\s*([-−]?\d+(?:\.\d+)?)\s*(?:deg|°)?\s*([FC])\s*", self.temperature, re.I
        )
        if not read:
            raise DrillRefused([f'temperature: read “{self.temperature}”; write "68 F" or "20 C"'])
        number = float(read[1].replace("−", "-"))
        return number if read[2].upper() == "F" else number * 1.8 + 32


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a plan was asked for, as texts: with these and the department it can be made again.

    hydrant is (static, residual, flow of the test); at is (x, y, heading) of a spot that was
    chosen by hand; zone None asks for no collapse zone; lines side by side in the supply.
    """

    evolution: str
    device: str
    site: str
    target: str | None = None
    nozzle: str | None = None
    nozzle_pressure: str | None = None
    pumper: str | None = None
    hydrant: tuple | None = None
    lay: str | None = None
    lines: int = 1
    zone: float | None = 1.5
    tip_accepted: bool = False
    at: tuple | None = None
    weather: Weather = field(default_factory=Weather)


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One number of the plan.

    value   a quantity, a text, or None: a blank, to be filled in from `look_up`
    within  how good it is, in words; part says where on the card it stands
    """

    key: str
    label: str
    part: str
    value: Any = None
    kind: str | None = None
    within: str = ""
    look_up: str = ""

    def shown(self, system="US"):
        """The value as printed, or a blank with where to look."""
        if self.value is None:
            return f"{BLANK} ({self.look_up})"
        if hasattr(self.value, "magnitude"):
            return show(self.value, system, self.kind)
        return in_system(self.value, system)


@dataclass(frozen=True, kw_only=True)
class DrillPlan(Explained):
    """A planned drill. figures are Figures; model has the plain numbers that a fit starts from."""

    asked: Asked
    department: Any
    evolution: Any
    evolution_whose: str
    apparatus: Any
    site: Any
    scene: Any
    made: SetDown
    wanted: Wanted
    water: Any
    figures: tuple
    limits: tuple
    faults: tuple
    model: dict
    predicted: dict
    drill_steps: tuple
    supply: Any = None

    def figure(self, key):
        """The figure of this key, or None."""
        return next((f for f in self.figures if f.key == key), None)

    def lines(self, system="US"):
        """Every figure with how good it is, then the limits, as (label, text) pairs."""
        out = [("Site", self.site.name), ("Device", self.apparatus.name)]
        for figure in self.figures:
            within = in_system(figure.within, system)
            out.append((figure.label, figure.shown(system) + (f" ({within})" if within else "")))
        out += [("Limit", in_system(limit, system)) for limit in self.limits]
        out += [("Stands against it", in_system(fault, system)) for fault in self.faults]
        return tuple(out)

    def names(self, system="US"):
        """What the texts of the evolution are filled in with."""
        said = {f.key: f.shown(system) for f in self.figures if f.value is not None}
        said["objective"] = self.evolution.objective
        said["stop_word"] = self.stop_word
        if self.evolution.most_flow is not None:
            said["most_flow"] = show(self.evolution.most_flow, system)
        return said

    @property
    def stop_word(self):
        """The word for stop from the department's own go/no-go list; empty where none is entered."""
        lines = (answered.line for answered in go_no_go(self.department).answers)
        return next((line.value.strip() for line in lines if line.id == "stop-word"), "")

    def filled(self, text, system="US"):
        """A text of the evolution with this plan's figures."""
        return filled(text, self.names(system))

    def __repr__(self):
        return self.text()


def plan_drill(department, asked, *, evolutions=None):
    """Plan an evolution for a device and a site from the department's files.

    Takes
      department   a Department
      asked        an Asked
      evolutions   what `load_evolutions` gave; None loads them
    Gives
      DrillPlan
    Fails when
      DrillRefused   with every reason in words; the department's own errors for faulty files
    """
    evolutions = load_evolutions(department) if evolutions is None else evolutions
    evolution = evolutions.find(asked.evolution)
    device, site = (
        _one(department, "apparatus", asked.device),
        _one(department, "sites", asked.site),
    )
    scene = scene_of(department, asked.site)
    links, buildings = links_of(department.folder / site.plan), buildings_of(department)
    water = _water(department, device, evolution, asked)
    needs_water = evolution.water == "stream"
    wanted = Wanted(
        scene=scene, apparatus=device, evolution=evolution,
        water=water if needs_water else None, flow=water["flow"] if water else None,
        zone=asked.zone, tip_accepted=asked.tip_accepted, at=asked.at, **_wind_of(asked),
    )  # fmt: skip
    made = _first(wanted, asked, [goal_of(t, links, buildings) for t in scene.targets])
    return _plan(
        department, asked, evolution, evolutions.whose[evolution.id], site, wanted, water, made
    )


def replan(plan, **changes):
    """The same drill with something changed: weather, hydrant, device, any of `Asked`."""
    return plan_drill(plan.department, replace(plan.asked, **changes))


DAILY = ("weather", "hydrant", "lay", "lines", "pumper")


def on_the_day(plan, **changes):
    """The same set-up on another day: nothing is searched anew, so that it is there at once.

    Takes
      plan       a DrillPlan
      changes    of weather, hydrant, lay, lines, pumper; spot, ladder and nozzle stay
    Gives
      DrillPlan   `replan` may find another set-up for the same day
    Fails when
      DrillRefused   something is named that needs a new search
    """
    other = sorted(set(changes) - set(DAILY))
    if other:
        raise DrillRefused(
            [f"{', '.join(other)}: needs a new plan; of the day are {', '.join(DAILY)}"]
        )
    asked = replace(plan.asked, **changes)
    wind = _wind_of(asked)
    wanted = replace(plan.wanted, **wind)
    made = plan.made if wind == _wind_of(plan.asked) else in_wind(wanted, plan.made)
    # Wind does not reach the pump: what was worked out from hydrant to tip still holds.
    same = all(getattr(asked, n) == getattr(plan.asked, n) for n in DAILY if n != "weather")
    return _plan(
        plan.department, asked, plan.evolution, plan.evolution_whose, plan.site, wanted, plan.water, made,
        plan.supply if same else None,
    )  # fmt: skip


def _wind_of(asked):
    weather = asked.weather
    return {
        "wind": weather.wind or "0 mph",
        "wind_from_compass": in_unit(weather.wind_from, Need("angle", "degree")),
    }


def _one(department, what, wanted):
    entries = getattr(department, what)
    for entry in entries:
        if entry.id == wanted:
            return entry
    name = "device" if what == "apparatus" else what.rstrip("s")
    there = ", ".join(e.id for e in entries) or "none"
    raise DrillRefused([f"no {name} “{wanted}”; {department.name} has: {there}"])


def _first(wanted, asked, goals):
    """The first target that fits and can be had, or every reason why none can."""
    if asked.target is not None:
        goals = [g for g in goals if g.target.id == asked.target]
        if not goals:
            there = ", ".join(t.id for t in wanted.scene.targets) or "none"
            raise DrillRefused([f"no target “{asked.target}”; {wanted.scene.name} has: {there}"])
    reasons = [] if goals else [f"{wanted.scene.name} has no target on its plan"]
    for goal in goals:
        stops = [s for s in (unfit(goal, wanted.evolution), barred(goal, wanted.evolution)) if s]
        reasons += stops
        if stops:
            continue
        try:
            return set_down(wanted, goal)
        except DrillRefused as error:
            reasons += error.reasons
            reasons += _without_zone(wanted, goal)
    raise DrillRefused(reasons)


def _without_zone(wanted, goal):
    """Whether the collapse zone alone stands in the way: then that is said."""
    if wanted.zone is None or wanted.at is not None:
        return []
    try:
        made = set_down(replace(wanted, zone=None), goal)
    except DrillRefused:
        return []
    tip = both(lambda pen: _about(pen, made.standoff_ft))
    return [f"{goal.target.name}: with no collapse zone asked for (zone 0) and the tip {tip} off "
            "it can be had; whether this wall needs one is the captain's call"]  # fmt: skip


def _water(department, device, evolution, asked):
    """Nozzle, pressure and flow under the evolution's cap; None for a drill with no figure of flow."""
    carried = department.nozzles_of(device.id)
    if asked.nozzle is not None:
        carried = [n for n in carried if n.id == asked.nozzle]
        if not carried:
            raise DrillRefused([f"{device.name} carries no nozzle “{asked.nozzle}”; it has: "
                                f"{', '.join(device.nozzles)}"])  # fmt: skip
    bores = [n for n in carried if n.kind == "smooth bore" and n.usual_pressure is not None]
    if evolution.most_flow is None:
        return None
    if not bores:
        if evolution.water == "none":
            return None
        raise DrillRefused(["streams are worked out for smooth-bore tips with a usual pressure alone; "
                            f"{device.name} has none among: {', '.join(n.id for n in carried)}"])  # fmt: skip
    cap = evolution.most_flow
    full = [(_flow_of(n, n.usual_pressure), n) for n in bores]
    fitting = [pair for pair in full if pair[0] <= cap]
    if asked.nozzle_pressure is not None:
        nozzle, pressure = bores[0], quantity(asked.nozzle_pressure)
    elif fitting:
        nozzle = max(fitting, key=lambda pair: pair[0])[1]
        pressure = nozzle.usual_pressure
    else:
        nozzle = min(full, key=lambda pair: pair[0])[1]
        pressure = _rounded_down(
            smooth_bore_pressure(cap / _share_of(nozzle), tip_diameter=nozzle.tip_diameter).value,
            department.units,
        )
    flow = _flow_of(nozzle, pressure)
    if flow > cap * 1.0001:
        raise DrillRefused([f"{nozzle.name} at {show(pressure, department.units)} flows "
                            f"{show(flow, department.units)}: more than this evolution's "
                            f"{show(cap, department.units)}"])  # fmt: skip
    reaction = smooth_bore_reaction(nozzle.tip_diameter, nozzle_pressure=pressure).value
    return {"nozzle": nozzle, "tip_diameter": nozzle.tip_diameter, "nozzle_pressure": pressure,
            "flow": flow, "reaction": reaction,
            "quality": nozzle.stream_quality or QUALITIES["usual"]}  # fmt: skip


def _share_of(nozzle):
    """What the department's own test says of its flow, as a share of the formula's; else 1."""
    return nozzle.flow_share or 1.0


def _flow_of(nozzle, pressure):
    flow = smooth_bore_discharge(nozzle.tip_diameter, nozzle_pressure=pressure).value
    return flow * _share_of(nozzle)


def _nozzle_part(water):
    """The tip in the chain; one with a tested flow as an opening through that very point."""
    if water["nozzle"].flow_share is None:
        return NozzlePart.of(water["nozzle"])
    return NozzlePart(
        kind="fixed fog", rated_flow=water["flow"], rated_pressure=water["nozzle_pressure"]
    )


def _rounded_down(pressure, system):
    """A pressure that can be read on a gauge, never above the one given."""
    unit, step = ("kilopascal", 25.0) if system == "metric" else ("psi", 5.0)
    number = pressure.to(unit).magnitude
    return quantity(max(step, number // step * step), unit).to("psi")


def _plan(department, asked, evolution, whose, site, wanted, water, made, supply=None):
    if supply is None:
        wet = evolution.water == "stream"
        supply = _supply(department, asked, wanted, water, made) if wet else _NO_SUPPLY
    figures = (
        *_spot_figures(made, wanted.scene),
        *(_ladder_figures(made, wanted) if evolution.aim != "none" else ()),
        *(_water_figures(water, evolution, made, wanted) if water else ()),
        *supply.figures,
        *_more_figures(evolution, wanted.apparatus, water, made),
    )
    return DrillPlan(
        title=f"{evolution.title}, {wanted.apparatus.name}, {site.name}",
        asked=asked, department=department, evolution=evolution, evolution_whose=whose,
        apparatus=wanted.apparatus, site=site, scene=wanted.scene, made=made, wanted=wanted, water=water,
        figures=figures, limits=_limits(made, wanted, evolution), faults=supply.faults,
        model=_model(made, wanted, water, supply),
        predicted=_predicted(made, water, evolution, supply),
        drill_steps=steps_of(evolution, department), supply=supply,
        notes=_notes(made, evolution, supply), sources=_sources(made, supply),
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class _Supply:
    figures: tuple = ()
    faults: tuple = ()
    point: Any = None
    lay: Any = None
    hose: Any = None
    pumper: Any = None
    notes: tuple = ()
    sources: tuple = ()


_NO_SUPPLY = _Supply()


def _supply(department, asked, wanted, water, made):
    """From hydrant to tip: what the pump must give, and which entry is missing where it is blank."""
    blank = []
    pumper, hose = _pumper_and_hose(department, asked, blank)
    length = _lay_length(asked, made, department.units, blank)
    chain = None
    if not blank:
        try:
            lay = LayPart.of(hose, length=length, lines=asked.lines)
            chain = water_chain(
                nozzle=_nozzle_part(water),
                rig=RigPart.of(wanted.apparatus, extension=quantity(made.extension_ft, "foot"),
                               elevation=quantity(made.elevation_deg, "degree")),
                lay=lay, pumper=PumperPart.of(pumper), source=_hydrant(asked),
            )  # fmt: skip
        except AerialStreamError as error:
            blank.append(str(error))
    if chain is None:
        return _Supply(
            figures=(Figure(key="discharge_pressure", label="Pump discharge", part="supply",
                            look_up=f"not worked out: {'; '.join(blank)}"),),
            hose=hose, pumper=pumper,
        )  # fmt: skip
    point = chain.at_flow(water["flow"])
    return _Supply(
        figures=_supply_figures(asked, pumper, lay, length, point),
        faults=_supply_faults(point, lay, length), point=point, lay=lay, hose=hose, pumper=pumper,
        notes=point.notes, sources=point.sources,
    )  # fmt: skip


def _pumper_and_hose(department, asked, blank):
    if asked.pumper is not None:
        pumper = _one(department, "pumpers", asked.pumper)
    else:
        pumper = department.pumpers[0] if department.pumpers else None
    if pumper is None:
        blank.append("no pumper in the department's files")
        return None, None
    kinds = [department.hose_kind(h) for h in pumper.hose]
    supply = [h for h in kinds if h.use == "supply"] or kinds
    if not supply:
        blank.append(f"no hose entered for {pumper.name}")
        return pumper, None
    return pumper, supply[0]


def _lay_length(asked, made, system, blank):
    if asked.lay is not None:
        return quantity(asked.lay)
    if made.place.lay_ft is None:
        blank.append("no hydrant on the plan; give the lay")
        return None
    step = HOSE_LENGTH_FT
    return quantity(max(step, -(-made.place.lay_ft // step) * step), "foot")


def _hydrant(asked):
    if asked.hydrant is None:
        return None
    static, residual, flow = asked.hydrant
    return HydrantPart(kind="hydrant", static=static, residual=residual, test_flow=flow)


def _supply_figures(asked, pumper, lay, length, point):
    losses = sum(part.to("psi").magnitude for part in (point.lay, point.waterway, point.inlet))
    off = LOSS_SHARE * losses
    inlet_off = off - LOSS_SHARE * point.lay.to("psi").magnitude
    inlet = point.nozzle_pressure + point.elevation + point.waterway + point.inlet
    straight = "as given" if asked.lay else "straight × 1.3; pace it"
    out = [
        Figure(key="lay", label="Supply lay", part="supply",
               value=both(lambda pen: f"{pumper.name}, {lay.called(pen)}, {_about(pen, length.to('foot').magnitude)}"),
               within=straight),
        Figure(key="discharge_pressure", label="Pump discharge", part="supply",
               value=point.discharge_pressure,
               within=both(lambda pen: f"± {pen.shown(off, 'pressure')}")),
        Figure(key="inlet_pressure", label="Inlet gauge", part="supply", value=inlet,
               within=both(lambda pen: f"± {pen.shown(inlet_off, 'pressure')}")),
    ]  # fmt: skip
    if asked.hydrant is None:
        out.append(Figure(key="intake_pressure", label="Pump intake", part="supply",
                          look_up="flow test"))  # fmt: skip
    else:
        out.append(Figure(key="intake_pressure", label="Pump intake", part="supply", value=point.intake,
                          within="by the flow test that was given"))  # fmt: skip
    return tuple(out)


def _supply_faults(point, lay, length):
    faults = [f"Supply: goes beyond {words}" for words in point.broken]
    if lay.carried is not None and length > lay.carried:
        faults.append(both(lambda pen: (
            f"Supply: the lay needs {_about(pen, length.to('foot').magnitude)}; hose for "
            f"{_about(pen, lay.carried.to('foot').magnitude)} is carried"
        )))  # fmt: skip
    return tuple(faults)


def _spot_figures(made, scene):
    place, target = made.place, made.goal.target
    aside = made.aside_ft
    side = f"side {target.side.letter}" if target.side else "the hole's middle"

    def mark(pen):
        said = f"{_about(pen, made.out_ft)} out from {side}"
        if abs(aside) >= 1:
            said += f", {_about(pen, abs(aside))} {'right' if aside > 0 else 'left'} of the target"
        return said

    return (
        Figure(key="target", label="Target", part="spot", value=target.name),
        Figure(key="mark", label="Turntable", part="spot", value=both(mark),
               within=both(lambda pen: f"± {pen.shown(3, 'length')}")),
        Figure(key="heading", label="Cab toward", part="spot", value=_compass(place.heading_deg),
               within=_over(made, scene)),
        Figure(key="verdict", label="Spot on the plan", part="spot", value=_verdict(place)),
    )  # fmt: skip


def _about(pen, feet):
    """A length to the foot, or to a tenth of a metre: as one paces it."""
    return f"{feet:,.0f} ft" if pen.system == "US" else f"{feet * METERS_PER_FOOT:,.1f} m"


def _fine(pen, feet):
    """A length to a tenth of a foot, or to 5 cm."""
    if pen.system == "US":
        return f"{feet:,.1f} ft"
    return f"{round(feet * METERS_PER_FOOT * 20) / 20:,.2f} m"


def _verdict(place):
    costs = "; ".join(f.code.short for f in place.findings)
    return f"costs: {costs}" if costs else "nothing found against it on the plan"


def _compass(bearing):
    names = (
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    )
    return f"{bearing:.0f} deg ({names[round(bearing / 45) % 8]})"


def _over(made, scene):
    """Which part of the rig the ladder works over."""
    place, tip = made.place, made.tip
    way = degrees(atan2(tip[0] - place.x_ft, tip[1] - place.y_ft))
    off = (way - scene.plan_bearing(place.heading_deg)) % 360
    name = ("the cab", "the right side", "the rear", "the left side")[round(off / 90) % 4]
    return f"ladder over {name}"


def _ladder_figures(made, wanted):
    pitch = made.nozzle_pitch_deg
    rig_levels = wanted.apparatus.kind.endswith("platform")
    straight = "level" if rig_levels else "straight ahead"
    if abs(pitch) < 0.5:
        said = straight
    else:
        base = "from level" if rig_levels else "from the ladder's line"
        said = f"{abs(pitch):.0f} deg {'up' if pitch > 0 else 'down'} {base}"
    move = made.stream_ft * 0.01746
    up_down = made.extension_ft * 0.01746
    return (
        Figure(key="extension", label="Extension", part="ladder", value=quantity(made.extension_ft, "foot"),
               within="by the device's own scale"),
        Figure(key="elevation", label="Elevation", part="ladder", value=_level(made.elevation_deg),
               within=both(lambda pen: f"1 deg: tip {_fine(pen, up_down)}")),
        Figure(key="pitch", label="Nozzle", part="ladder", value=said,
               within=both(lambda pen: f"1 deg: {_fine(pen, move)} there")),
        Figure(key="rotation", label="Nozzle turned", part="ladder", value="0 deg, in line"),
        Figure(key="tip_height", label="Tip above ground", part="ladder", value=quantity(made.tip_height_ft, "foot")),
        Figure(key="standoff", label="Tip before the wall" if made.goal.target.side else "Tip from the hole, level",
               part="ladder", value=quantity(made.standoff_ft, "foot")),
    )  # fmt: skip


def _water_figures(water, evolution, made, wanted):
    psi = water["nozzle_pressure"].to("psi").magnitude
    flow = water["flow"].to("gpm").magnitude
    swing = flow * (sqrt((psi + GAUGE_PSI) / psi) - 1)
    push = water["reaction"].to("lbf").magnitude * GAUGE_PSI / psi
    dry = "" if evolution.water == "stream" else " if water flowed"

    def gauge(pen, amount, kind):
        return f"± {pen.shown(amount, kind)}"

    out = [
        Figure(key="nozzle", label="Nozzle tip", part="water", value=water["nozzle"].name),
        Figure(key="nozzle_pressure", label=f"At the nozzle{dry}", part="water", value=water["nozzle_pressure"],
               within=both(lambda pen: _below_usual(pen, water))),
        Figure(key="flow", label=f"Flow{dry}", part="water", value=water["flow"],
               within=both(lambda pen: gauge(pen, swing, "flow"))),
        Figure(key="reaction", label=f"Reaction{dry}", part="water", value=water["reaction"],
               within=both(lambda pen: gauge(pen, push, "force"))),
    ]  # fmt: skip
    if evolution.water == "stream":
        out += _strike_figures(made, evolution)
        out += _weight_figures(water, evolution)
    return tuple(out)


def _below_usual(pen, water):
    """That a nozzle runs below its usual pressure to keep the evolution's cap, where it does."""
    usual = water["nozzle"].usual_pressure
    if water["nozzle_pressure"] >= usual * 0.999:
        return ""
    return f"held down to keep the cap; usual {show(usual, pen.system)}"


def _strike_figures(made, evolution):
    use, out = made.use, []
    if use is None:
        return [Figure(key="strike", label="First strike inside", part="water",
                       look_up="building file of this target: not entered")]  # fmt: skip
    inside = use.strike_inside or use.strike
    words = f"{inside}"
    out.append(Figure(key="strike", label="First strike", part="water", value=words))
    if use.depth_inside is not None:
        near_far = made.depth_per_deg
        within = both(lambda pen: _depth_words(pen, near_far))
        out.append(Figure(key="strike_depth", label="Strike, in", part="water",
                          value=use.depth_inside, within=within))  # fmt: skip
    if made.sweep is not None:
        near, far = made.sweep
        out.append(Figure(key="sweep", label="Floor swept", part="water",
                          value=both(lambda pen: f"from {_about(pen, near)} to {_about(pen, far)} in"),
                          within="nozzle or elevation, same tip"))  # fmt: skip
    if use.burning is not None and evolution.aim in ("ceiling", "floor"):
        none = f"{use}".startswith("none")
        out.append(Figure(key="on_mark", label="On the marked area", part="water", value=f"{use} of the flow",
                          within="move the mark" if none else "roughly"))  # fmt: skip
    return out


def _depth_words(pen, pair):
    good = "half a foot" if pen.system == "US" else "15 cm"
    said = f"{good} plus aim"
    if pair and None not in pair:
        low, high = sorted(pair)
        said = f"{_fine(pen, low).split()[0]} to {_fine(pen, high)} for ± 1 deg"
    return said


def _weight_figures(water, evolution):
    volume = (water["flow"] * evolution.minutes).to("gallon")
    weight = water_weight(water["flow"], time=evolution.minutes).value
    return [
        Figure(key="minutes", label="Water flows at most", part="water", value=evolution.minutes),
        Figure(key="water_weight", label=both(lambda pen: f"Water in {show(evolution.minutes)}"), part="water",
               value=both(lambda pen: f"{show(volume, pen.system)}, {show(weight, pen.system, 'weight')}"),
               within=""),
    ]  # fmt: skip


def _more_figures(evolution, apparatus, water, made):
    out = []
    extension, elevation = (
        quantity(made.extension_ft, "foot"),
        quantity(made.elevation_deg, "degree"),
    )
    if "side load" in evolution.shows and water:
        for turn in (10, 30, 90):
            split = reaction_at_tip(water["reaction"], rotation=f"{turn} deg", extension=extension)
            out.append(Figure(key=f"side_{turn}", label=f"Side load at the tip, turned {turn} deg", part="loads",
                              value=abs(split.side), within="still ladder; nothing it can bear is in this"))  # fmt: skip
    if "shut-down" in evolution.shows and water:
        loads = sudden_shutdown(apparatus, reaction=water["reaction"], extension=extension, elevation=elevation,
                                pitch=quantity(made.nozzle_pitch_deg, "degree"))  # fmt: skip
        out.append(Figure(key="shut_down", label="Moment lost when shut at once", part="loads",
                          value=abs(loads.in_plane_change), within="in the ladder's plane, still ladder"))  # fmt: skip
    return tuple(out)


def _limits(made, wanted, evolution):
    """What the department entered, and what stays blank, in sentences."""
    apparatus, out = wanted.apparatus, []
    flow = wanted.flow
    if flow is not None:
        out.append(_entered_limit(apparatus, flow, made.extension_ft))
    elif not apparatus.manual_limits:
        out.append(f"Limits of {apparatus.name}: {NOT_ENTERED}.")
    for line in apparatus.manual_limits:
        out.append(both(lambda pen, line=line: (
            f"Entered: up to {show(line.flow_up_to, pen.system)} and {show(line.extension_up_to, pen.system)}, "
            f"nozzle up to {show(line.rotation_up_to)} off line ({line.page})")))  # fmt: skip
    if evolution.water == "stream":
        building = made.goal.building
        own = building.own_limits if building is not None else ()
        out += [f"Owner's sheet: {limit.says} ({limit.page})" for limit in own]
        if not own:
            out.append(f"Owner's sheet of {made.goal.target.building.name}: not entered: {BLANK}")
    return tuple(out)


def _entered_limit(apparatus, flow, extension_ft):
    """What the department's entry says of this set-up, short; a blank where nothing was entered."""
    extension = quantity(extension_ft, "foot")
    said = manual_limit_text(apparatus, flow=flow, extension=extension, rotation="0 deg")
    covering = [
        line
        for line in apparatus.manual_limits
        if flow <= line.flow_up_to * (1 + 1e-9) and extension <= line.extension_up_to * (1 + 1e-9)
    ]
    if not covering or said.startswith("BEYOND"):
        return said
    line = max(covering, key=lambda entry: entry.rotation_up_to)
    return both(lambda pen: (
        f"Not beyond the entered limit: {show(line.flow_up_to, pen.system)}, "
        f"{show(line.extension_up_to, pen.system)}, nozzle turned {show(line.rotation_up_to)} "
        f"({line.page}). The manual decides."
    ))  # fmt: skip


def _level(degrees_):
    """An elevation as it is said: below level in words, not by a minus."""
    if degrees_ < -0.05:
        return f"{show(quantity(-degrees_, 'degree'))} below level"
    return quantity(max(degrees_, 0.0), "degree")


def _model(made, wanted, water, supply):
    """Plain US numbers that measurements are held against."""
    device = wanted.apparatus
    model = {
        "device": device.id,
        "hose": supply.hose.id if supply.hose else None,
        "height_psi": None,
    }
    if water:
        model["tip_diameter_in"] = water["tip_diameter"].to("inch").magnitude
        model["nozzle"] = water["nozzle"].id
        model["nozzle_share"] = _share_of(water["nozzle"])
        model["stream_quality"] = water["quality"]
    model["nozzle_pitch_deg"] = made.nozzle_pitch_deg
    model["levels"] = device.kind.endswith("platform")
    model["turntable_ft"] = device.turntable_height.to("foot").magnitude
    model |= _tip_of(device, made)
    for part in ("waterway", "inlet"):
        tested = getattr(device, part)
        model[f"{part}_psi"] = tested.loss.to("psi").magnitude if tested else None
        model[f"{part}_gpm"] = tested.at_flow.to("gpm").magnitude if tested else None
    if supply.lay is not None:
        model["coefficient"] = supply.lay.coefficient
        model["lay_ft"] = supply.lay.length.to("foot").magnitude
        model["lines"] = supply.lay.lines
    if supply.point is not None:
        model["height_psi"] = supply.point.elevation.to("psi").magnitude
    return model


def _tip_of(device, made):
    """What puts the tip of a run in its place: heel, platform, turntable to target, the planned tip."""
    platform = device.platform
    ahead, up = (
        (platform.ahead.to("foot").magnitude, platform.up.to("foot").magnitude)
        if platform
        else (0.0, 0.0)
    )
    heel = device.heel_offset.to("foot").magnitude if device.heel_offset is not None else 0.0
    return {
        "heel_ft": heel + ahead, "platform_up_ft": up,
        "target_ft": hypot(made.out_ft, made.aside_ft), "extension_ft": made.extension_ft,
        "elevation_deg": made.elevation_deg,
    }  # fmt: skip


def _predicted(made, water, evolution, supply):
    """What is read on the day -> the plan's number in the unit of MEASURED."""
    out = {"elevation": made.elevation_deg, "extension": made.extension_ft, "rotation": 0.0,
           "turntable off mark": 0.0, "aim off target": 0.0}  # fmt: skip
    if evolution.water == "stream":
        out |= {"flow": water["flow"].to("gpm").magnitude,
                "nozzle pressure": water["nozzle_pressure"].to("psi").magnitude}  # fmt: skip
        if made.goal.target.side is not None:
            out["strike height"] = (
                made.goal.target.height_ft if made.use is None else _at_wall(made)
            )
        if made.use is not None and made.use.depth_inside is not None:
            out["strike depth"] = made.use.depth_inside.to("foot").magnitude
    point = supply.point
    if point is not None:
        inlet = point.nozzle_pressure + point.elevation + point.waterway + point.inlet
        out |= {"inlet pressure": inlet.to("psi").magnitude,
                "discharge pressure": point.discharge_pressure.to("psi").magnitude,
                "lay length": supply.lay.length.to("foot").magnitude}  # fmt: skip
        if point.intake is not None:
            out["intake pressure"] = point.intake.to("psi").magnitude
    return out


def _at_wall(made):
    crossing = made.use.outcome.crossing
    return made.goal.target.height_ft if crossing is None else crossing.point[2]


def _notes(made, evolution, supply):
    notes = [
        Note("caution", MANUAL_DECIDES),
        Note("caution", "Nobody on or under the ladder while it is charged or moved. Crews counted before "
             "water. Open and shut slowly. Anybody may call stop."),
        Note("estimate", "How good a figure is, is reckoned with our own numbers (no source): "
             "5 psi on a gauge, 1 deg of aim, losses 10 % off; the path to half a foot plus the aim."),
    ]  # fmt: skip
    if made.use is not None:
        notes += [n for n in made.use.notes if n not in notes]
    return (*notes, *supply.notes)


def _sources(made, supply):
    use = made.use.sources if made.use is not None else ()
    return tuple(dict.fromkeys((*made.place.sources, *use, *supply.sources)))


def asked_data(asked):
    """What a plan was asked for, as plain data for a file."""
    return asdict(asked)


def differences(before, after):
    """What a re-plan changed, in words, one line each; in both systems."""
    said = []
    old = {f.key: f for f in before.figures}
    new = {f.key: f for f in after.figures}
    for key in dict.fromkeys((*old, *new)):
        one, other = old.get(key), new.get(key)
        label = (other or one).label
        if one is None or other is None:
            said.append(f"{label}: {'new' if one is None else 'falls away'}")
        elif one.shown("US") != other.shown("US"):
            said.append(both(lambda pen, a=one, b=other, n=label: (
                f"{n}: {a.shown(pen.system)} becomes {b.shown(pen.system)}")))  # fmt: skip
    gone = [f"No longer against it: {f}" for f in before.faults if f not in after.faults]
    come = [f"Now against it: {f}" for f in after.faults if f not in before.faults]
    return (*said, *come, *gone)
