"""The stream quality of a nozzle from where its stream was seen to land or strike, with its spread.

The package's stream model has one number for a nozzle and its waterway (1 is good, more is worse).
It is fitted by weighted least squares to throws on open ground and strikes on a wall. Throws tell
most; a strike close by tells next to nothing, and then that is said.
"""

from dataclasses import dataclass
from math import cos, hypot, radians, sin, sqrt

from aerialstream._core import stream as core
from aerialstream.constants import KILOPASCALS_PER_PSI, METERS_PER_FOOT

LEAST, MOST, START = 0.5, 3.0, 1.1
# Our numbers, no source: how well a landing and a strike are read, how far an angle may steadily
# be off, and how much of a wind is calm enough not to need its direction.
THROW_READ_FT, STRIKE_READ_FT = 5.0, 1.0
ANGLE_OFF_DEG, WIND_OFF, CALM_MPH = 1.0, 0.5, 3.0
WIDEST = 0.5  # share of the quality; with a wider spread the runs do not tell it
_MPH, _PSI, _INCH = 5280 * METERS_PER_FOOT / 3600, 1000 * KILOPASCALS_PER_PSI, METERS_PER_FOOT / 12


@dataclass(frozen=True, kw_only=True)
class Thrown:
    """One reading. away_ft None: `read_ft` is the throw to the ground; else the height struck at away_ft.

    wind_from_deg counts clockwise from the way the stream points: 0 is from ahead.
    """

    tip_diameter_in: float
    nozzle_pressure_psi: float
    pitch_deg: float
    height_ft: float
    read_ft: float
    away_ft: float | None = None
    wind_mph: float = 0.0
    wind_from_deg: float = 0.0

    @property
    def weight(self):
        """One over the square of how well such a reading is taken."""
        return 1 / (THROW_READ_FT if self.away_ft is None else STRIKE_READ_FT) ** 2

    def expected_ft(self, quality, *, psi=0.0, degrees=0.0, wind=1.0):
        """What the model has for this reading; with pressure, angle or wind off by something.

        None where the stream does not come as far as the wall.
        """
        path = core.stream(
            self.tip_diameter_in * _INCH,
            (self.nozzle_pressure_psi + psi) * _PSI,
            min(self.pitch_deg + degrees, 89.0),
            place_m=(0.0, 0.0, self.height_ft * METERS_PER_FOOT),
            wind_m_s=core.wind_m_s(self.wind_mph * wind * _MPH, self.wind_from_deg),
            quality=quality,
        )
        if self.away_ft is None:
            return path.last.x / METERS_PER_FOOT
        state = path.at_distance(self.away_ft * METERS_PER_FOOT)
        return None if state is None else state.z / METERS_PER_FOOT


def thrown_of(model, run):
    """(Thrown ones of a run, why a reading could not be used or "")."""
    values, bore = run.values, model.get("tip_diameter_in")
    if bore is None or not {"throw", "strike height"} & set(values):
        return (), ""
    if values.get("nozzle pressure", 0) < 5:
        return (), f"run {run.number}: throw without a nozzle pressure"
    wind, way = values.get("wind", 0.0), values.get("wind from")
    if wind > CALM_MPH and way is None:
        return (), f"run {run.number}: wind without where it came from"
    elevation = values.get("elevation", model.get("elevation_deg"))
    extension = values.get("extension", model.get("extension_ft"))
    if elevation is None or extension is None or model.get("heel_ft") is None:
        return (), f"run {run.number}: elevation or extension not known"
    pitch = model["nozzle_pitch_deg"] + (0.0 if model.get("levels") else elevation)
    same = {
        "tip_diameter_in": bore, "nozzle_pressure_psi": values["nozzle pressure"], "pitch_deg": pitch,
        "height_ft": model["turntable_ft"] + model["platform_up_ft"] + extension * sin(radians(elevation)),
        "wind_mph": wind, "wind_from_deg": way or 0.0,
    }  # fmt: skip
    if same["height_ft"] < 0 or not -80 <= pitch <= 75:
        return (), f"run {run.number}: no stream that the model has (tip or angle)"
    found = []
    if "throw" in values:
        found.append(Thrown(read_ft=values["throw"], **same))
    away = model["target_ft"] - model["heel_ft"] - extension * cos(radians(elevation))
    if "strike height" in values and away > 0:
        found.append(Thrown(read_ft=values["strike height"], away_ft=away, **same))
    return tuple(found), ""


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """quality by least squares, standard_error by the scatter, steady by what may steadily be off."""

    quality: float
    standard_error: float
    steady: float
    scatter: float


def fit_quality(points, *, gauge_off_psi):
    """Fitted, or a text that says why there is none.

    Takes
      points          Thrown ones, at least two
      gauge_off_psi   how far the nozzle's gauge may steadily read off
    """
    quality = START
    for _ in range(40):
        slopes, rests = _lines(points, quality)
        if slopes is None:
            return "a stream that was read at the wall does not come so far in the model"
        bends = sum(p.weight * s * s for p, s in zip(points, slopes, strict=True))
        if bends <= 0:
            return "the strikes are so near that the quality does not show"
        pull = sum(p.weight * s * r for p, s, r in zip(points, slopes, rests, strict=True))
        new = min(max(quality + pull / bends, LEAST), MOST)
        if abs(new - quality) < 1e-6:
            break
        quality = new
    if not LEAST < quality < MOST:
        return f"no quality from {LEAST:g} to {MOST:g} explains the readings; look at gauge, angle and wind"
    rest = sum(p.weight * r * r for p, r in zip(points, rests, strict=True))
    scatter = sqrt(rest / (len(points) - 1))
    parts = ({"psi": gauge_off_psi}, {"degrees": ANGLE_OFF_DEG}, {"wind": 1 + WIND_OFF})
    steady = hypot(*(_shift(points, slopes, quality, part) / bends for part in parts))
    if steady + scatter / sqrt(bends) > WIDEST * quality:
        return (
            "the strikes are so near that the quality hardly shows; measure throws on open ground"
        )
    return Fitted(
        quality=quality, standard_error=scatter / sqrt(bends), steady=steady, scatter=scatter
    )


def _lines(points, quality, step=0.01):
    """(what each reading gains for each unit of quality, what is left of it); None, None if too far."""
    slopes, rests = [], []
    for point in points:
        middle, more = point.expected_ft(quality), point.expected_ft(quality + step)
        if middle is None or more is None:
            return None, None
        slopes.append((more - middle) / step)
        rests.append(point.read_ft - middle)
    return slopes, rests


def _shift(points, slopes, quality, part):
    """How far something that is steadily off moves the sum that the fit solves."""
    total = 0.0
    for point, slope in zip(points, slopes, strict=True):
        off, middle = point.expected_ft(quality, **part), point.expected_ft(quality)
        total += point.weight * slope * ((off if off is not None else middle) - middle)
    return total
