"""What the water does to the building: weight, depth, load, heat and steam.

In the decorated bodies below every input is already a plain number in the unit that the
formula was printed in; `.plain` is the bare function for loops and figures.
"""

from dataclasses import dataclass
from typing import Any

from aerialstream._checks import NeedLike, refuse
from aerialstream._core import water as core
from aerialstream.constants import (
    CUBIC_FEET_PER_GALLON,
    HEAT_TO_STEAM,
    LITERS_PER_GALLON,
    MEGAWATTS_PER_BTU_MINUTE,
    POUNDS_PER_GALLON,
    PSF_PER_INCH_OF_WATER,
    STEAM_FROM_A_GALLON,
)
from aerialstream.results import Explained, Note, Result
from aerialstream.units import Need, quantities, quantity, show
from aerialstream.worked import both, in_system, worked

FLOW = Need("flow", "gpm", above=0)
TIME = Need("time", "minute", above=0)
AREA = NeedLike("area", "foot**2", above=0, like="2,500 sq ft")
RUNNING_OFF = NeedLike("share", "percent", at_least=0, at_most=100, like="60 %")
LOAD = NeedLike("pressure", "psf", above=0, like="20 psf")
DEPTH = NeedLike("length", "inch", above=0, like="5 in")

# Use of the floor -> design live load in psf, spread evenly.
DESIGN_LIVE_LOADS = (
    ("roof, ordinary, flat", 20),
    ("residential rooms", 40),
    ("classrooms", 40),
    ("garage for passenger cars", 40),
    ("offices", 50),
    ("assembly, fixed seats", 60),
    ("retail, upper floors", 75),
    ("corridors above the first floor", 80),
    ("assembly, no fixed seats", 100),
    ("lobbies and first-floor corridors", 100),
    ("retail, first floor", 100),
    ("storage, light", 125),
    ("storage, heavy", 250),
)

_DESIGN_NOT_COLLAPSE = Note(
    "caution",
    "A design load is what a sound, empty floor was planned for. It is not the load at which a "
    "burning one comes down: fire takes strength away, stock and soaked contents add weight. "
    "No figure here tells that a structure holds.",
)
_SPREAD = Note(
    "caution",
    "Spread evenly. Water gathers where a floor or roof sags, and the sag deepens with it; "
    "paper, cloth and insulation hold water where it fell.",
)


# A kilogram spread on a square metre, in kPa: standard gravity.
_KILOPASCAL_PER_KILOGRAM = "0.00980665"


def _per_volume(pen):
    """What a gallon, or a litre, of water weighs."""
    return pen.constant(POUNDS_PER_GALLON.value, weight=1, volume=-1)


def _weight(pen, pounds):
    return pen.of(pounds, "weight", 1, 6)


def _bare(pen, value, decimals, kind):
    """A number that the step before has with its unit."""
    return pen.of(value, kind, decimals, 6).removesuffix(f" {pen.unit(kind)}")


def _staying(pen, flow, share, pounds):
    """What stays in a minute, as a sum."""
    return (
        f"Staying in a minute = {pen.of(flow, 'flow', digits=6)} × {_per_volume(pen)} × {share:.4g}"
        f" = {_weight(pen, pounds)}"
    )


def _weight_steps(pen, flow, minutes):
    minute, weight = core.weight_lb(flow, 1), core.weight_lb(flow, minutes)
    first = f"In one minute = {pen.of(flow, 'flow', digits=6)} × {_per_volume(pen)}"
    steps = [f"{first} = {_weight(pen, minute)}"]
    if minutes != 1:
        steps.append(
            f"In the time = {_weight(pen, minute)} × {minutes:.5g} = {_weight(pen, weight)}"
        )
    tonnes = f"{_weight(pen, weight)} / 1,000 = {pen.number(weight / 1000, 'weight')} t"
    tons = f"{weight:,.1f} lb / 2,000 = {weight / 2000:,.2f} tons"
    return (*steps, pen.choose(f"In short tons = {tons}", f"In tonnes = {tonnes}"))


@quantities(flow=FLOW, time=TIME)
def water_weight(flow, *, time):
    """Weight of the water that a stream puts in or on a building.

    For saying what a master stream adds: 8.34 lb for each gallon.

    Takes
      flow    all the water that goes in; any flow unit; usual unit gpm
      time    how long it flows; any time unit; usual unit min
    Gives
      Result  weight in lb; shown to 1 lb; the steps give it for one minute
    Holds for
      any
    How close
      8.33, 8.34 and 8.35 are all printed: 0.1 %
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      water_weight_handbook; first_principles_weight
    Check value
      >>> print(water_weight("1,500 gpm", time="1 min"))
      12,510 lb
    """
    return Result(
        title="Weight of the water",
        value=quantity(core.weight_lb(flow, time), "lbf"),
        kind="weight",
        steps=worked(lambda pen: _weight_steps(pen, flow, time)),
        notes=(_SPREAD,),
        sources=(POUNDS_PER_GALLON.source, "first_principles_weight"),
    )


@dataclass(frozen=True, kw_only=True)
class WaterOnFloor(Explained):
    """Water that stays on a floor or roof: its weight, volume, depth and load."""

    weight: Any
    volume: Any
    depth: Any
    load: Any

    def lines(self, system="US"):
        """Load, depth, weight and volume as (label, text) pairs."""
        return (
            ("Load, spread evenly", show(self.load, system, "load")),
            ("Depth", show(self.depth, system, "depth")),
            ("Weight of the water that stays", show(self.weight, system, "weight")),
            ("Its volume", show(self.volume, system)),
        )

    def __repr__(self):
        return self.text()


@quantities(flow=FLOW, time=TIME, area=AREA, running_off=RUNNING_OFF)
def floor_load(flow, *, time, area, running_off="0 %"):
    """Load and depth of the water that stays on a floor or roof.

    For watching what a stream from outside builds up: weight of what does not run off, over
    the area it spreads on; 5.2 psf is an inch.

    Takes
      flow          water that lands there; any flow unit; usual unit gpm
      time          how long; any time unit; usual unit min
      area          that it spreads over; any area unit; usual unit sq ft
      running_off   share that runs off or drains; usual unit %
    Gives
      WaterOnFloor  load in psf, depth in in, weight in lb, volume in gal
    Holds for
      a level floor that the water spreads over evenly
    How close
      as good as the share running off, which nobody measures: try more than one
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative; a share outside 0 to 100 %
    Sources
      water_weight_handbook; rain_load_published: 5.2 psf an inch; first_principles_weight
    Check value
      >>> print(show(floor_load("1000 gpm", time="10 min", area="2,500 sq ft").weight))
      83,400 lbf
    """
    share = 1 - running_off / 100
    weight = core.weight_lb(flow, time) * share
    load = core.floor_load_psf(flow, time, area, running_off / 100)
    depth = core.depth_in(load)
    return WaterOnFloor(
        title="Water on the floor",
        weight=quantity(weight, "lbf"),
        volume=quantity(flow * time * share, "gallon"),
        depth=quantity(depth, "inch"),
        load=quantity(load, "psf"),
        steps=worked(
            lambda pen: (
                f"Share that stays = 1 - {running_off / 100:.4g} = {share:.4g}",
                f"Weight that stays = {pen.of(flow, 'flow', digits=6)} × {time:.5g} × "
                f"{_per_volume(pen)} × {share:.4g} = {_weight(pen, weight)}",
                f"Load = {_weight(pen, weight)}"
                f"{pen.choose('', f' × {_KILOPASCAL_PER_KILOGRAM}')} / "
                f"{pen.number(area, 'area', 6)} = {pen.of(load, 'load', 2)}",
                f"Depth = {pen.of(load, 'load', 2)} / {_per_depth(pen)} = {pen.of(depth, 'bore', 2)}",
            )
        ),
        notes=(_SPREAD, _DESIGN_NOT_COLLAPSE),
        sources=(
            POUNDS_PER_GALLON.source,
            PSF_PER_INCH_OF_WATER.source,
            "first_principles_weight",
        ),
    )


def _per_depth(pen):
    """Load of an inch, or of a millimetre, of water."""
    return pen.constant(PSF_PER_INCH_OF_WATER.value, load=1, bore=-1)


def _refuse_all_off(function, running_off):
    refuse(function, "running_off 100 %: all of it runs off" if running_off == 100 else "")


@quantities(load=LOAD, flow=FLOW, area=AREA, running_off=RUNNING_OFF)
def time_to_load(load, *, flow, area, running_off="0 %"):
    """Time until the water that stays weighs so much on each square foot.

    For setting a time to look again: load × area over the pounds a minute that stay.

    Takes
      load         spread evenly; any pressure unit; usual unit psf
      flow         water that lands there; any flow unit; usual unit gpm
      area         that it spreads over; any area unit; usual unit sq ft
      running_off  share that runs off or drains; usual unit %
    Gives
      Result       time in min; shown to 0.1 min
    Holds for
      a level floor that the water spreads over evenly
    How close
      as good as the share running off; a time to look again by, not a time that is allowed
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative; everything runs off
    Sources
      water_weight_handbook; first_principles_weight
    Check value
      >>> print(time_to_load("50 psf", flow="1000 gpm", area="2,500 sq ft"))
      15 min
    """
    _refuse_all_off("time_to_load", running_off)
    share = 1 - running_off / 100
    minutes = core.minutes_to_load(load, flow, area, running_off / 100)
    weight, staying = load * area, core.weight_lb(flow, 1) * share
    return Result(
        title="Time to this load",
        value=quantity(minutes, "minute"),
        steps=worked(
            lambda pen: (
                f"Weight at this load = {pen.of(load, 'load')} × {pen.number(area, 'area', 6)}"
                f"{pen.choose('', f' / {_KILOPASCAL_PER_KILOGRAM}')} = {_weight(pen, weight)}",
                _staying(pen, flow, share, staying),
                f"Time = {_bare(pen, weight, 1, 'weight')} / {_bare(pen, staying, 1, 'weight')}"
                f" = {minutes:.2f} min",
            )
        ),
        notes=(_SPREAD, _DESIGN_NOT_COLLAPSE),
        sources=(POUNDS_PER_GALLON.source, "first_principles_weight"),
    )


@quantities(depth=DEPTH, flow=FLOW, area=AREA, running_off=RUNNING_OFF)
def time_to_depth(depth, *, flow, area, running_off="0 %"):
    """Time until the water stands so deep.

    For a roof with a parapet, or a basement: depth × area over the cubic feet that stay.

    Takes
      depth        of standing water; any length unit; usual unit in
      flow         water that lands there; any flow unit; usual unit gpm
      area         that it spreads over; any area unit; usual unit sq ft
      running_off  share that runs off or drains; usual unit %
    Gives
      Result       time in min; shown to 0.1 min
    Holds for
      a level floor that the water spreads over evenly
    How close
      as good as the share running off
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative; everything runs off
    Sources
      definition_us_gallon: 0.13368 ft³; first_principles_minutes
    Check value
      >>> print(time_to_depth("6.42 in", flow="1000 gpm", area="2,500 sq ft"))
      10 min
    """
    _refuse_all_off("time_to_depth", running_off)
    share = 1 - running_off / 100
    minutes = core.minutes_to_depth(depth, flow, area, running_off / 100)
    volume, staying = depth / 12 * area, flow * CUBIC_FEET_PER_GALLON * share
    return Result(
        title="Time to this depth",
        value=quantity(minutes, "minute"),
        steps=worked(
            lambda pen: (
                f"Volume at this depth = {pen.number(depth, 'bore')} / {pen.choose('12', '1,000')}"
                f" × {pen.number(area, 'area', 6)} = {pen.of(volume, 'space', 2, 6)}",
                f"Staying in a minute = {pen.of(flow, 'flow', digits=6)} "
                f"{pen.choose(f'× {CUBIC_FEET_PER_GALLON:.5g}', '/ 1,000')} × {share:.4g}"
                f" = {pen.of(staying, 'space', 2, 6)}",
                f"Time = {_bare(pen, volume, 2, 'space')} / {_bare(pen, staying, 2, 'space')}"
                f" = {minutes:.2f} min",
            )
        ),
        notes=(_SPREAD, _DESIGN_NOT_COLLAPSE),
        sources=("definition_us_gallon", "first_principles_minutes"),
    )


@quantities(depth=DEPTH)
def load_of_depth(depth):
    """Load of standing water: 5.2 psf for each inch.

    For reading a depth on a roof or floor as a load.

    Takes
      depth   of standing water; any length unit; usual unit in
    Gives
      Result  load in psf; shown to 0.1 psf
    Holds for
      any depth of still water
    How close
      5.197 at 60 °F
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      rain_load_published; roof_ponding_article
    Check value
      >>> print(load_of_depth("5 in"))
      26 psf
    """
    load = core.load_psf(depth)
    return Result(
        title="Load of the water",
        value=quantity(load, "psf"),
        kind="load",
        steps=worked(
            lambda pen: (
                f"Load = {pen.of(depth, 'bore')} × {_per_depth(pen)} = {pen.of(load, 'load', 2)}",
            )
        ),
        notes=(_SPREAD, _DESIGN_NOT_COLLAPSE),
        sources=(PSF_PER_INCH_OF_WATER.source, "roof_ponding_article"),
    )


@dataclass(frozen=True, kw_only=True)
class DesignLoads(Explained):
    """The table of design live loads, for comparison only."""

    def lines(self, system="US"):
        """Use and design live load as (label, text) pairs."""
        return tuple(
            (use, show(quantity(psf, "psf"), system, "load")) for use, psf in DESIGN_LIVE_LOADS
        )

    def __repr__(self):
        return self.text()


def design_live_loads():
    """Design live loads by the use of the floor: figures to compare with, read second-hand."""
    return DesignLoads(
        title="Design live loads",
        notes=(
            _DESIGN_NOT_COLLAPSE,
            Note(
                "estimate",
                "From tables that quote ASCE 7-22, table 4.3-1; older buildings were planned by "
                "older codes. Confirm it in the book: edition ____, clause ____.",
            ),
        ),
        sources=("live_loads_tables",),
    )


@quantities(flow=FLOW, efficiency=NeedLike("share", "percent", above=0, at_most=100, like="30 %"))
def heat_absorbed(flow, *, efficiency):
    """Heat that a flow takes up if a share of it turns to steam.

    For seeing why water that misses the fire counts for nothing: 9,356 Btu a gallon, from
    60 °F to steam at 212 °F, times the share that does it. The share is yours to set.

    Takes
      flow        water that reaches the fire; any flow unit; usual unit gpm
      efficiency  share of it that turns to steam; usual unit %
    Gives
      Result      power in MW; shown to 0.1 MW
    Holds for
      water at 60 °F and steam at 212 °F: 2 % less from 80 °F, 2 % more from 40 °F; hotter
      steam takes up more (13,048 Btu a gallon at 600 °C)
    How close
      the heat itself 0.2 % (9,330 and 9,346 are printed too); the share is a guess: quoted
      figures are 20 and 32 %, in one text that contradicts itself, and none is for a solid
      stream from outside
    Fails when
      UnitError        an input has no unit or one of another kind
      ImpossibleValue  zero or negative; a share above 100 %
    Sources
      water_heat_iapws; heat_of_water_printed; cooling_efficiency_quoted; sardqvist_1996;
      theobald_1984_loss
    Check value
      >>> print(heat_absorbed("1000 gpm", efficiency="50 %"))
      82.3 MW
    """
    share = efficiency / 100
    power = core.heat_mw(flow, share)
    return Result(
        title="Heat taken up",
        value=quantity(power, "megawatt"),
        steps=worked(lambda pen: _heat_steps(pen, flow, share, power)),
        notes=(
            Note("estimate", both(_quoted_shares)),
            Note(
                "caution",
                "Counts only water that reaches what burns. Of a solid stream near its longest "
                "reach up to 84 % was lost as spray in one study.",
            ),
        ),
        sources=(
            HEAT_TO_STEAM.source,
            "heat_of_water_printed",
            "cooling_efficiency_quoted",
            "sardqvist_1996",
            "theobald_1984_loss",
        ),
    )


def _heat_steps(pen, flow, share, power):
    btu = core.heat_btu_min(flow, share)
    sum_of = f"{pen.of(flow, 'flow', digits=6)} × {share:.4g}"
    if pen.system == "US":
        return (
            f"Heat in a minute = {HEAT_TO_STEAM.value:,g} × {sum_of} = {btu:,.0f} Btu",
            f"As power = {btu:,.0f} Btu × 1055.056 / 60 / 1,000,000 = {power:,.2f} MW",
        )
    each = pen.made(HEAT_TO_STEAM.value * MEGAWATTS_PER_BTU_MINUTE * 60, volume=-1)
    return (
        f"Heat in a minute = {each} × {sum_of} = {power * 60:,.5g} MJ",
        f"As power = {power * 60:,.5g} MJ / 60 = {power:,.5g} MW",
    )


def _quoted_shares(pen):
    other = f"{1.96 / LITERS_PER_GALLON:.2f} MW for each L/s (20 %)"
    return (
        "The share is set by you; no figure is proved for a master stream. Quoted for fog "
        "on flame: 0.84 MW for each L/s (32 %) and "
        f"{pen.choose('1.96 MW for each gal/s (20 %)', other)}, which "
        "stand in one text and do not agree. A study for flame in gas finds 30 to 35 % of "
        "the heat enough; it does not hold for a stream from outside."
    )


@dataclass(frozen=True, kw_only=True)
class SteamVolume(Result):
    """A volume of steam, printed in cubic feet or cubic metres."""

    def lines(self, system="US"):
        """The volume as a (label, text) pair."""
        unit, label = {"US": ("foot**3", "cu ft"), "metric": ("meter**3", "m³")}[system]
        return ((in_system(self.title, system), f"{self.value.to(unit).magnitude:,.0f} {label}"),)

    def __str__(self):
        return self.lines()[0][1]

    def __repr__(self):
        return self.text()


@quantities(volume=Need("volume", "gallon", above=0))
def steam_volume(volume):
    """Steam that water makes if all of it boils away: 223.5 ft³ for a gallon.

    For what a closed room does to those in it: 1,672 times the volume at 212 °F, more when
    hotter.

    Takes
      volume       of water at 60 °F; any volume unit; usual unit gal
    Gives
      SteamVolume  volume in ft³ at 212 °F
    Holds for
      212 °F at sea level; about 2,600 times at 300 °C and 4,000 times at 600 °C
    How close
      the trade's 1,700 is 2 % high at 212 °F
    Fails when
      UnitError        no unit or one of another kind
      ImpossibleValue  zero, negative or infinite
    Sources
      water_heat_iapws
    Check value
      >>> print(show(steam_volume("1 gal").value))
      1,672 gal
    """
    steam = core.steam_ft3(volume)
    return SteamVolume(
        title=both(lambda pen: f"Steam at {pen.choose('212 °F', '100 °C')}"),
        value=quantity(steam, "foot**3"),
        steps=worked(
            lambda pen: (
                f"Steam = {pen.constant(STEAM_FROM_A_GALLON.value, space=1, volume=-1)} × "
                f"{pen.of(volume, 'volume', digits=6)} = {pen.of(steam, 'space', 1)}",
            )
        ),
        notes=(Note("estimate", "If all of it turns to steam; hotter steam fills more."),),
        sources=(STEAM_FROM_A_GALLON.source,),
    )


water_weight.plain = core.weight_lb
floor_load.plain = core.floor_load_psf
time_to_load.plain = core.minutes_to_load
time_to_depth.plain = core.minutes_to_depth
load_of_depth.plain = core.load_psf
heat_absorbed.plain = core.heat_mw
steam_volume.plain = core.steam_ft3
