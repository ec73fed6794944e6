"""The plan of a scene: buildings, streets, overhead lines, ground, obstacles, hydrants, targets.

Read from a small TOML file, or from GeoJSON with the same keys as properties. Points are plain
numbers on a local plan, x to the right and y up the plan, in the unit that the key `coordinates`
names; lengths are texts with a unit. Every fault is reported at once. What the file leaves open
and the kit fills in stands in `Scene.assumed`.

Sides of a building are lettered clockwise from A (common practice). `left` of an opening is
measured from the left end of its side, seen from outside.
"""

import json
import math
import re
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, PlainValidator, ValidationError, model_validator

from aerialstream._core import plan_geometry as plan
from aerialstream._toml_words import toml_fault
from aerialstream.constants import LINE_CLEARANCE_STEPS, METERS_PER_FOOT
from aerialstream.department import (
    Length,
    Slope,
    Text,
    _Entry,
    _fault,
    _quantity_type,
    told_in,
)
from aerialstream.errors import AerialStreamError
from aerialstream.units import Need
from aerialstream.worked import both

CAR_HEIGHT_FT = 6.0
MOST_KV = LINE_CLEARANCE_STEPS[-1].up_to_kv
_FARTHEST = 20_000  # plan units; beyond this it is no local plan
_MOST_CORNERS = 200
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_NO_DEGREES = (
    "longitude and latitude are not read: a degree is no length, so every distance would be "
    'wrong. Give a local plan and say coordinates = "feet" or "metres"'
)


class SceneDataError(AerialStreamError):
    """A scene's plan has faults; the message lists every one of them."""

    def __init__(self, faults):
        self.faults = tuple(faults)
        count = "1 fault" if len(self.faults) == 1 else f"{len(self.faults)} faults"
        super().__init__(
            f"{count} in the plan of the scene:\n" + "\n".join(f"  {f}" for f in self.faults)
        )


def _point(value):
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise ValueError("not a pair of numbers")
    for part in value:
        if isinstance(part, bool) or not isinstance(part, int | float) or not math.isfinite(part):
            raise ValueError("not a pair of plain numbers")
        if abs(part) > _FARTHEST:
            raise ValueError(f"farther out than {_FARTHEST:,}, so not on a local plan")
    return float(value[0]), float(value[1])


def _voltage(value):
    if isinstance(value, str) and value.strip().lower() == "unknown":
        return None
    match = re.fullmatch(r"\s*([\d,]+(?:\.\d+)?)\s*(k?v)\s*", str(value), re.I)
    if not isinstance(value, str) or not match:
        raise ValueError("not a voltage")
    volts = float(match[1].replace(",", "") or 0) * (1000 if match[2].lower() == "kv" else 1)
    if not 0 < volts:
        raise ValueError("not a voltage that a line has")
    if volts > MOST_KV * 1000:
        raise ValueError(f"above {MOST_KV:g} kV its owner sets the distance, no table does")
    return volts


Point = Annotated[
    Any, PlainValidator(_point), Field(description="a pair of plain numbers, such as [40, 12.5]")
]
Points = Annotated[
    tuple[Point, ...],
    Field(min_length=2, max_length=_MOST_CORNERS, description="two points or more"),
]
Corners = Annotated[
    tuple[Point, ...],
    Field(min_length=3, max_length=_MOST_CORNERS, description="three corners or more"),
]
Voltage = Annotated[
    Any, PlainValidator(_voltage), Field(description='such as "12 kV", "480 V" or "unknown"')
]
Bearing = _quantity_type(Need("angle", "degree", at_least=-360, at_most=360))
Distance = _quantity_type(Need("length", "foot", above=0, at_most=5_000))
Height = _quantity_type(Need("length", "foot", at_least=0, at_most=1_000))
Grade = _quantity_type(Need("share", "percent", at_least=0, at_most=100))
Storeys = Annotated[int, Field(strict=True, ge=1, le=100, description="a whole number, no quotes")]


def _given(entry, *keys):
    return [key for key in keys if getattr(entry, key) is not None]


def _one_way(entry, *ways):
    """Refuse an entry whose shape is given in no way, in part, or in two ways at once."""
    all_keys = [key for way in ways for key in way]
    given = _given(entry, *all_keys)
    if not any(set(given) == set(way) for way in ways):
        said = " or ".join(" with ".join(way) for way in ways)
        raise ValueError(f"its place is given by {', '.join(given) or 'nothing'}; needed: {said}")


class BuildingEntry(_Entry):
    """A building: corners clockwise from the right end of side A, or a rectangle.

    `at` is the left end of side A seen from outside, `facing` the bearing that side A faces.
    `building` names a building file that gives width, depth and heights.
    """

    id: Text
    name: Text | None = None
    building: Text | None = None
    corners: Corners | None = None
    at: Point | None = None
    facing: Bearing | None = None
    width: Distance | None = None
    depth: Distance | None = None
    wall_height: Distance | None = None
    parapet: Height | None = None
    ridge: Distance | None = None
    storeys: Storeys | None = None

    @model_validator(mode="after")
    def _shape(self):
        if self.building is not None:
            twice = _given(self, "corners", "width", "depth", "wall_height", "parapet")
            if twice:
                raise ValueError(
                    f"{' and '.join(twice)} given beside building; the building file gives it"
                )
            if len(_given(self, "at", "facing")) < 2:
                raise ValueError(
                    "at and facing are needed to put the building file's building down"
                )
            return self
        _one_way(self, ("corners",), ("at", "facing", "width", "depth"))
        if self.wall_height is None:
            raise ValueError("wall_height is missing")
        if self.ridge is not None and self.ridge < self.wall_height:
            raise ValueError("ridge is lower than wall_height; both are heights above ground")
        return self


class StreetEntry(_Entry):
    """Where a rig may stand: a street, a yard, a car park. corners, or a line and a width."""

    id: Text
    corners: Corners | None = None
    along: Annotated[tuple[Point, ...], Field(min_length=2, max_length=2, description="two points")] | None = None  # fmt: skip
    width: Distance | None = None

    @model_validator(mode="after")
    def _shape(self):
        _one_way(self, ("corners",), ("along", "width"))
        if self.along and self.along[0] == self.along[1]:
            raise ValueError("along is the same point twice; needed: two ends")
        return self


class LineEntry(_Entry):
    """An overhead line: height of its lowest wire above ground."""

    id: Text
    points: Points
    height: Distance
    voltage: Voltage


class GroundEntry(_Entry):
    """A patch of ground: what it is, and its slope or grade if somebody measured it.

    uphill is the bearing in which it rises.
    """

    id: Text
    kind: Literal["soft", "hollow", "paved"]
    corners: Corners
    what: Text | None = None
    slope: Slope | None = None
    grade: Grade | None = None
    uphill: Bearing | None = None

    @model_validator(mode="after")
    def _one_slope(self):
        if len(_given(self, "slope", "grade")) == 2:
            raise ValueError("slope and grade are both given; needed: one of them")
        if self.uphill is not None and not _given(self, "slope", "grade"):
            raise ValueError("uphill is given without slope or grade")
        return self


class ObstacleEntry(_Entry):
    """Something in the way: corners; or at (its centre) with length, width and bearing; or at
    with across for something round."""

    id: Text
    kind: Literal["car", "tree", "wall", "other"]
    corners: Corners | None = None
    at: Point | None = None
    length: Distance | None = None
    width: Distance | None = None
    bearing: Bearing | None = None
    across: Distance | None = None
    height: Distance | None = None

    @model_validator(mode="after")
    def _shape(self):
        _one_way(self, ("corners",), ("at", "length", "width", "bearing"), ("at", "across"))
        if self.height is None and self.kind != "car":
            raise ValueError("height is missing; only a car's may be left out")
        return self


class HydrantEntry(_Entry):
    """A hydrant."""

    id: Text
    at: Point


class TargetEntry(_Entry):
    """What the stream is meant for: an opening or shop front on a side, or a hole in the roof.

    A roof hole has at, across and height (of the roof there, above ground). `opening` names an
    opening of the building's file in place of side, left, width, sill and head.
    """

    id: Text
    name: Text | None = None
    kind: Literal["opening", "shop front", "roof hole"]
    building: Text
    opening: Text | None = None
    side: Annotated[str, Field(pattern=r"^[A-Z]$", description='a letter, such as "A"')] | None = None  # fmt: skip
    left: Height | None = None
    width: Length | None = None
    sill: Height | None = None
    head: Length | None = None
    at: Point | None = None
    across: Length | None = None
    height: Length | None = None

    @model_validator(mode="after")
    def _keys_of_its_kind(self):
        wall, roof = ("side", "left", "width", "sill", "head"), ("at", "across", "height")
        needed, foreign = (roof, (*wall, "opening")) if self.kind == "roof hole" else (wall, roof)
        if self.opening is not None and self.kind != "roof hole":
            needed, foreign = (), (*wall, *roof)
        optional = {"sill"} if self.kind == "shop front" else set()
        missing = [k for k in needed if k not in optional and getattr(self, k) is None]
        wrong = []
        if missing:
            wrong.append(f"a {self.kind} needs {' and '.join(missing)}")
        if _given(self, *foreign):
            what = f"a {self.kind}" if self.opening is None else "a target given by its opening"
            wrong.append(f"{what} has no {' and no '.join(_given(self, *foreign))}")
        if self.sill is not None and self.head is not None and self.sill >= self.head:
            wrong.append("sill is not lower than head")
        if wrong:
            raise ValueError("; ".join(wrong))
        return self


class _SceneFile(_Entry):
    name: Text
    what: Text | None = None
    coordinates: Annotated[Literal["feet", "metres"], Field(description='"feet" or "metres"')]
    north: Bearing | None = None
    building: tuple[BuildingEntry, ...] = ()
    street: tuple[StreetEntry, ...] = ()
    overhead_line: tuple[LineEntry, ...] = ()
    ground: tuple[GroundEntry, ...] = ()
    obstacle: tuple[ObstacleEntry, ...] = ()
    hydrant: tuple[HydrantEntry, ...] = ()
    target: tuple[TargetEntry, ...] = ()


_LAYERS = ("building", "street", "overhead_line", "ground", "obstacle", "hydrant", "target")


@dataclass(frozen=True, kw_only=True)
class Side:
    """One side of a building: its ends seen from outside, its length, and the way it faces."""

    letter: str
    left_end: tuple
    right_end: tuple
    length_ft: float
    normal: tuple


@dataclass(frozen=True, kw_only=True)
class SceneBuilding:
    """A building on the plan. Corners in feet, clockwise, the first side is A."""

    id: str
    name: str
    corners: tuple
    wall_height_ft: float
    parapet_ft: float
    ridge_ft: float | None
    storeys: int | None

    @property
    def top_ft(self):
        """Height of the highest part of a wall: the parapet's top, or the ridge of a gable."""
        return max(self.wall_height_ft + self.parapet_ft, self.ridge_ft or 0.0)

    @property
    def letters(self):
        """The letters of its sides, clockwise from A."""
        return _LETTERS[: len(self.corners)]

    def side(self, letter):
        """The side of a letter; KeyError if there is none."""
        number = self.letters.find(letter)
        if number < 0 or not letter:
            raise KeyError(f"{self.name} has sides {self.letters[0]} to {self.letters[-1]}")
        (rx, ry), (lx, ly) = plan.edges(self.corners)[number]
        length = math.hypot(rx - lx, ry - ly)
        # Clockwise the outside is on the left hand of the way from right end to left end.
        normal = (-(ly - ry) / length, (lx - rx) / length)
        return Side(
            letter=letter, left_end=(lx, ly), right_end=(rx, ry), length_ft=length, normal=normal
        )


@dataclass(frozen=True, kw_only=True)
class Street:
    """Where a rig may stand."""

    id: str
    corners: tuple


@dataclass(frozen=True, kw_only=True)
class OverheadLine:
    """An overhead line; volts is None where nobody knows."""

    id: str
    points: tuple
    height_ft: float
    volts: float | None


@dataclass(frozen=True, kw_only=True)
class Ground:
    """A patch of ground; slope_deg None where nobody measured, uphill_deg None where not said.

    uphill_deg is counted clockwise from the plan's up.
    """

    id: str
    kind: str
    what: str
    corners: tuple
    slope_deg: float | None
    uphill_deg: float | None


@dataclass(frozen=True, kw_only=True)
class Obstacle:
    """Something in the way, with its height."""

    id: str
    kind: str
    corners: tuple
    height_ft: float


@dataclass(frozen=True, kw_only=True)
class Hydrant:
    """A hydrant."""

    id: str
    at: tuple


@dataclass(frozen=True, kw_only=True)
class Target:
    """What the stream is meant for. side is None for a hole in the roof.

    at is its middle on the plan, height_ft that of its middle; sill_ft and head_ft as entered
    (both the roof's height for a hole).
    """

    id: str
    name: str
    kind: str
    building: SceneBuilding
    side: Side | None
    at: tuple
    left_ft: float | None
    width_ft: float
    sill_ft: float
    head_ft: float

    @property
    def height_ft(self):
        """Height of its middle above ground."""
        return (self.sill_ft + self.head_ft) / 2


@dataclass(frozen=True, kw_only=True)
class Scene:
    """A checked plan in feet. north_deg is north, clockwise from the plan's up.

    system is that of the plan's own file: "US" for feet, "metric" for metres. assumed lists what the file left open and how it was filled in.
    """

    name: str
    what: str
    north_deg: float
    buildings: tuple
    streets: tuple
    lines: tuple
    ground: tuple
    obstacles: tuple
    hydrants: tuple
    targets: tuple
    assumed: tuple
    system: str = "US"

    def building(self, building_id):
        """The building of this id; KeyError names those there are."""
        return _by_id("building", self.buildings, building_id)

    def target(self, target_id):
        """The target of this id; KeyError names those there are."""
        return _by_id("target", self.targets, target_id)

    def plan_bearing(self, compass_deg):
        """A compass bearing as degrees clockwise from the plan's up."""
        return (compass_deg + self.north_deg) % 360.0

    def compass_bearing(self, plan_deg):
        """Degrees clockwise from the plan's up as a compass bearing."""
        return (plan_deg - self.north_deg) % 360.0

    def extent(self):
        """(least x, least y, most x, most y) of everything on the plan."""
        points = [p for thing in (*self.buildings, *self.streets) for p in thing.corners]
        points += [p for thing in (*self.ground, *self.obstacles) for p in thing.corners]
        points += [p for line in self.lines for p in line.points]
        points += [h.at for h in self.hydrants]
        return plan.box(points) if points else (0.0, 0.0, 0.0, 0.0)


def _by_id(what, entries, wanted):
    for entry in entries:
        if entry.id == wanted:
            return entry
    there = ", ".join(e.id for e in entries) or "none"
    raise KeyError(f"no {what} “{wanted}”; there are: {there}")


def load_scene(path, *, buildings=(), unreadable=()):
    """A scene's plan from its file, or every fault in it at once.

    Takes
      path        path of a .toml file, or of a .geojson or .json file
      buildings   buildings that the plan may name by `building`: each with id, name, width,
                  depth, wall_height, parapet_height and openings
      unreadable  ids of buildings whose files have faults, told elsewhere: naming one is no
                  further fault
    Gives
      Scene
    Fails when
      SceneDataError   one line for each fault
    """
    path = Path(path)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise SceneDataError([f"{path.name}: not a UTF-8 text; save it as UTF-8"]) from None
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise SceneDataError([f"{path.name}: cannot be opened: {said}"]) from None
    geo = path.suffix.lower() in (".geojson", ".json")
    try:
        data = json.loads(text) if geo else tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = f"not readable as JSON: {error}" if geo else toml_fault(text, error)
        raise SceneDataError([f"{path.name}: {said}"]) from None
    return read_scene(data, file_name=path.name, buildings=buildings, unreadable=unreadable)


def scene_of(department, site_id, *, buildings=None):
    """The plan of one of a department's sites.

    Takes
      department   a Department
      site_id      id of a site whose entry names a plan
      buildings    see load_scene; None takes the department's own building files
    Gives
      Scene
    Fails when
      KeyError         there is no such site
      SceneDataError   the site has no plan, or the plan has faults
    """
    site = _by_id("site", department.sites, site_id)
    if site.plan is None:
        raise SceneDataError(
            [f'sites.toml: site "{site_id}" has no plan; add plan = "scenes/{site_id}.toml"']
        )
    if buildings is None:
        from aerialstream.buildings import buildings_of

        buildings = buildings_of(department)
    return load_scene(department.folder / site.plan, buildings=buildings)


def read_scene(data, *, file_name="scene", buildings=(), unreadable=()):
    """A scene's plan from what was read from its file: a table, or a GeoJSON FeatureCollection.

    Takes
      data        the file's content as dictionaries and lists
      file_name   for the words of a fault
      buildings, unreadable   see load_scene
    Gives
      Scene
    Fails when
      SceneDataError   one line for each fault
    """
    coordinates = data.get("coordinates") if isinstance(data, dict) else None
    with told_in(system_of(coordinates)):
        return _read_scene(data, file_name, buildings, unreadable)


def _read_scene(data, file_name, buildings, unreadable):
    faults = []
    if not isinstance(data, dict):
        raise SceneDataError([f"{file_name}: not a table with keys"])
    if data.get("type") == "FeatureCollection" or "features" in data:
        data = _from_geojson(data, file_name, faults)
    if str(data.get("coordinates", "")).lower() in ("degrees", "longitude/latitude", "lonlat"):
        raise SceneDataError([*faults, f"{file_name}: coordinates: {_NO_DEGREES}"])
    try:
        read = _SceneFile.model_validate(data)
    except ValidationError as error:
        wrong = error.errors()
        faults += [_fault(file_name, _SceneFile, data, e) for e in wrong]
        faults += _faults_of_the_rest(data, wrong, file_name, buildings, unreadable)
        raise SceneDataError(faults) from None
    except RecursionError:
        raise SceneDataError([*faults, f"{file_name}: nested too deep"]) from None
    if faults:
        raise SceneDataError(faults)
    return _Builder(read, file_name, buildings, unreadable=unreadable).scene()


def _faults_of_the_rest(data, wrong, file_name, buildings, unreadable):
    """Faults between those entries of a faulty file that can be read, so that all come at once."""
    spoilt = {error["loc"][0] for error in wrong if len(error["loc"]) == 1}
    if "coordinates" in spoilt or "coordinates" not in data:
        return ()
    dropped = {error["loc"][:2] for error in wrong if len(error["loc"]) > 1}
    kept = {"name": "scene"} | {
        key: value
        for key, value in data.items()
        if key in _SceneFile.model_fields and key not in spoilt
    }
    for layer in {key for key, _ in dropped}:
        listed = kept.pop(layer)
        if isinstance(listed, list):
            kept[layer] = [one for n, one in enumerate(listed) if (layer, n) not in dropped]
    try:
        read = _SceneFile.model_validate(kept)
    except ValidationError:
        return ()
    spoilt |= {layer for layer, _ in dropped}
    try:
        _Builder(read, file_name, buildings, unreadable=unreadable, spoilt=spoilt).scene()
    except SceneDataError as error:
        return error.faults
    return ()


_GEOMETRY = {"Polygon": "corners", "LineString": "points", "Point": "at"}


def _from_geojson(data, file_name, faults):
    """The same table that a TOML file gives, from a FeatureCollection."""
    if "coordinates" not in data or "crs" in data:
        faults.append(f"{file_name}: {_NO_DEGREES} beside features")
    table = {k: v for k, v in data.items() if k not in ("type", "features", "crs")}
    table.setdefault("coordinates", "feet")  # only so that the other faults are found too
    features = data.get("features")
    if not isinstance(features, list):
        faults.append(f"{file_name}: features: not a list")
        return table
    for number, feature in enumerate(features, 1):
        where = f"{file_name}: feature {number}"
        properties = feature.get("properties") if isinstance(feature, dict) else None
        if not isinstance(properties, dict):
            faults.append(f"{where}: no properties; needed: layer, id and the keys of the layer")
            continue
        entry = dict(properties)
        layer = entry.pop("layer", None)
        if layer not in _LAYERS:
            faults.append(f"{where}: layer: read {layer!r}; needed: one of {', '.join(_LAYERS)}")
            continue
        _add_geometry(entry, layer, feature.get("geometry"), where, faults)
        listed = table.setdefault(layer, [])
        if isinstance(listed, list):
            listed.append(entry)
    return table


def _add_geometry(entry, layer, geometry, where, faults):
    if geometry is None:
        return
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    points = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if kind not in _GEOMETRY:
        faults.append(f"{where}: geometry: read {kind!r}; needed: {', '.join(_GEOMETRY)}")
        return
    key = "along" if kind == "LineString" and layer == "street" else _GEOMETRY[kind]
    if kind == "Polygon":
        if not isinstance(points, list) or len(points) != 1 or not isinstance(points[0], list):
            faults.append(f"{where}: a polygon needs one ring and no holes")
            return
        points = points[0][:-1] if points[0][:1] == points[0][-1:] else points[0]
    if key in entry:
        faults.append(f"{where}: {key} is given both as geometry and as a property")
    entry[key] = points


def system_of(coordinates):
    """The unit system in which a plan with such coordinates is told."""
    return "metric" if coordinates == "metres" else "US"


def _feet(quantity):
    return None if quantity is None else float(quantity.to("foot").magnitude)


def _degrees(quantity):
    return None if quantity is None else float(quantity.to("degree").magnitude)


class _Builder:
    """Turns checked entries into a Scene and checks what no single entry can show."""

    def __init__(self, read, file_name, buildings, *, unreadable=(), spoilt=()):
        # unreadable: ids of building files with faults of their own; spoilt: layers of which
        # something could not be read. What refers to them is no further fault.
        self.read, self.file_name = read, file_name
        self.unreadable, self.spoilt = unreadable, spoilt
        self.system = system_of(read.coordinates)
        self.scale = 1.0 if read.coordinates == "feet" else 1 / METERS_PER_FOOT
        self.library = {b.id: b for b in buildings}
        self.files = {}  # building of the scene -> its building file
        self.faults, self.assumed = [], []
        self.north = _degrees(read.north)
        if self.north is None:
            self.north = 0.0
            self.assumed.append("north was not given: taken as up the plan")

    def scene(self):
        """The Scene, or SceneDataError with every fault."""
        self._ids_once()
        buildings = [b for b in map(self._building, self.read.building) if b]
        self._apart(buildings)
        by_id = {b.id: b for b in buildings}
        streets = [self._street(s) for s in self.read.street]
        lines = [self._line(entry) for entry in self.read.overhead_line]
        ground = [self._ground(g) for g in self.read.ground]
        obstacles = [self._obstacle(o) for o in self.read.obstacle]
        hydrants = [self._hydrant(h, buildings) for h in self.read.hydrant]
        targets = [t for t in (self._target(t, by_id) for t in self.read.target) if t]
        if self.faults:
            raise SceneDataError(self.faults)
        if not hydrants:
            self.assumed.append("no hydrant was entered: the supply lay is not worked out")
        self._slopes(ground)
        return Scene(
            name=self.read.name,
            what=self.read.what or "",
            north_deg=self.north,
            buildings=tuple(buildings),
            streets=tuple(streets),
            lines=tuple(lines),
            ground=tuple(ground),
            obstacles=tuple(obstacles),
            hydrants=tuple(hydrants),
            targets=tuple(targets),
            assumed=tuple(self.assumed),
            system=self.system,
        )

    def _slopes(self, ground):
        """What nobody entered about slopes."""
        measured = [g for g in ground if g.slope_deg is not None]
        if not measured:
            self.assumed.append("no slope was entered: the ground's slope is not judged")
            return
        there = ", ".join(g.id for g in measured)
        self.assumed.append(f"slope was entered for {there} alone: elsewhere it is not judged")
        self.assumed += [
            f'ground "{g.id}": which way it rises was not given: across or along is not judged'
            for g in measured
            if g.slope_deg and g.uphill_deg is None
        ]

    def _ft(self, feet):
        """A length in the plan's own unit."""
        return f"{feet:g} ft" if self.system == "US" else f"{feet * METERS_PER_FOOT:.5g} m"

    def _say(self, layer, entry_id, words):
        self.faults.append(f'{self.file_name}: {layer} "{entry_id}": {words}')

    def _ids_once(self):
        for layer in _LAYERS:
            seen = set()
            for entry in getattr(self.read, layer):
                if entry.id in seen:
                    self._say(layer, entry.id, "this id is given twice")
                seen.add(entry.id)

    def _points(self, points):
        return tuple((x * self.scale, y * self.scale) for x, y in points)

    def _bearing(self, quantity):
        return (_degrees(quantity) + self.north) % 360.0

    def _polygon(self, layer, entry_id, corners):
        """Corners in feet, clockwise with the first side kept first; faults said."""
        corners = self._points(corners)
        if plan.crosses_itself(corners):
            self._say(layer, entry_id, "corners: its sides cross or touch; give them in order")
        elif abs(plan.signed_area_sq_ft(corners)) < 1:
            self._say(layer, entry_id, "corners: less than a square foot")
        return corners

    def _building(self, entry):
        sizes = self._sizes(entry)
        if sizes is None:
            return None
        width, depth, wall, parapet, ridge = sizes
        if entry.corners is not None:
            corners = self._polygon("building", entry.id, entry.corners)
            if len(corners) > len(_LETTERS):
                self._say("building", entry.id, f"corners: more than {len(_LETTERS)}")
            if plan.signed_area_sq_ft(corners) > 0:
                self._say(
                    "building",
                    entry.id,
                    "corners run anticlockwise; give them clockwise, from the right end of side A "
                    "as seen from outside to its left end, so that B follows A",
                )
        else:
            at = self._points([entry.at])[0]
            corners = plan.rectangle(*at, width, depth, self._bearing(entry.facing))
        if parapet is None:
            parapet = 0.0
            self.assumed.append(f'building "{entry.id}": no parapet was given: none taken')
        if ridge is not None:
            self.assumed.append(
                f'building "{entry.id}": a gable wall is taken to reach the ridge, on every side'
            )
        return SceneBuilding(
            id=entry.id,
            name=entry.name or entry.id,
            corners=corners,
            wall_height_ft=wall,
            parapet_ft=parapet,
            ridge_ft=ridge,
            storeys=entry.storeys,
        )

    def _sizes(self, entry):
        """(width, depth, wall height, parapet, ridge) in feet, from the entry or its file."""
        own = (entry.width, entry.depth, entry.wall_height, entry.parapet, entry.ridge)
        if entry.building is None:
            return tuple(_feet(q) for q in own)
        if entry.building in self.unreadable:
            return None
        if entry.building not in self.library:
            there = ", ".join(self.library) or "none"
            self._say(
                "building",
                entry.id,
                f"building: read {entry.building!r}; needed: the id of a building file ({there})",
            )
            return None
        file = self.library[entry.building]
        self.files[entry.id] = file
        ridge = entry.ridge or getattr(getattr(file, "roof", None), "ridge", None)
        sizes = (file.width, file.depth, file.wall_height, file.parapet_height, ridge)
        return tuple(_feet(q) for q in sizes)

    def _apart(self, buildings):
        pieces = []
        for b in buildings:
            sound = len(b.corners) >= 3 and not plan.crosses_itself(b.corners)
            pieces.append(plan.convex_pieces(b.corners) if sound else ())
        for n, one in enumerate(buildings):
            for m in range(n):
                if any(_overlap(p, q) for p in pieces[n] for q in pieces[m]):
                    self._say("building", one.id, f'overlaps building "{buildings[m].id}"')

    def _street(self, entry):
        if entry.along:
            start, end = self._points(entry.along)
            corners = plan.strip(start, end, _feet(entry.width))
        else:
            corners = self._polygon("street", entry.id, entry.corners)
        return Street(id=entry.id, corners=corners)

    def _line(self, entry):
        points = self._points(entry.points)
        if len(set(points)) < 2:
            self._say("overhead_line", entry.id, "points: the same point again; needed: two ends")
        return OverheadLine(
            id=entry.id, points=points, height_ft=_feet(entry.height), volts=entry.voltage
        )

    def _ground(self, entry):
        slope = _degrees(entry.slope)
        if entry.grade is not None:
            slope = math.degrees(math.atan(entry.grade.to("").magnitude))
        return Ground(
            id=entry.id,
            kind=entry.kind,
            what=entry.what or f"{entry.kind} ground",
            corners=self._polygon("ground", entry.id, entry.corners),
            slope_deg=slope,
            uphill_deg=None if entry.uphill is None else self._bearing(entry.uphill),
        )

    def _obstacle(self, entry):
        if entry.corners is not None:
            corners = self._polygon("obstacle", entry.id, entry.corners)
        else:
            x, y = self._points([entry.at])[0]
            if entry.across is not None:
                corners = plan.round_corners(x, y, _feet(entry.across))
            else:
                long, wide = _feet(entry.length) / 2, _feet(entry.width) / 2
                body = ((-wide, -long), (wide, -long), (wide, long), (-wide, long))
                corners = plan.placed(body, x, y, self._bearing(entry.bearing))
        height = _feet(entry.height)
        if height is None:
            height = CAR_HEIGHT_FT
            self.assumed.append(
                both(
                    lambda pen: (
                        f'obstacle "{entry.id}": height taken as {pen.of(CAR_HEIGHT_FT, "length")}'
                    )
                )
            )
        return Obstacle(id=entry.id, kind=entry.kind, corners=corners, height_ft=height)

    def _hydrant(self, entry, buildings):
        at = self._points([entry.at])[0]
        for b in buildings:
            if plan.point_in_polygon(*at, b.corners):
                self._say("hydrant", entry.id, f'stands inside building "{b.id}"')
        return Hydrant(id=entry.id, at=at)

    def _target(self, entry, buildings):
        building = buildings.get(entry.building)
        if building is None:
            known = {b.id for b in self.read.building}
            if entry.building not in known and "building" not in self.spoilt:
                there = ", ".join(b.id for b in self.read.building) or "none"
                self._say(
                    "target", entry.id, f"building: read {entry.building!r}; there are: {there}"
                )
            return None
        found = {"id": entry.id, "name": entry.name or entry.id, "kind": entry.kind}
        if entry.kind == "roof hole":
            at = self._points([entry.at])[0]
            if not plan.point_in_polygon(*at, building.corners):
                self._say("target", entry.id, f'at: does not lie in building "{building.id}"')
            height = _feet(entry.height)
            if height > building.top_ft:
                self._say(
                    "target", entry.id, f"height: higher than {self._ft(building.top_ft)}, its top"
                )
            return Target(
                **found, building=building, side=None, at=at, left_ft=None,
                width_ft=_feet(entry.across), sill_ft=height, head_ft=height,
            )  # fmt: skip
        return self._opening(entry, building, found)

    def _from_file(self, entry, building):
        """The opening of the building's file that a target names."""
        there = {o.id: o for o in getattr(self.files.get(building.id), "openings", ())}
        if entry.opening not in there:
            known = ", ".join(there) or "none, since no building file is named"
            self._say("target", entry.id, f"opening: read {entry.opening!r}; there are: {known}")
            return None
        found = there[entry.opening]
        keys = ("side", "left", "width", "sill", "head")
        return entry.model_copy(update={key: getattr(found, key) for key in keys})

    def _opening(self, entry, building, found):
        if entry.opening is not None:
            entry = self._from_file(entry, building)
            if entry is None:
                return None
        if entry.side not in building.letters:
            ends = f"{building.letters[0]} to {building.letters[-1]}"
            self._say("target", entry.id, f"side: read {entry.side!r}; {building.id} has {ends}")
            return None
        side = building.side(entry.side)
        left, width, head = _feet(entry.left), _feet(entry.width), _feet(entry.head)
        if left + width > side.length_ft + 1e-6:
            self._say(
                "target",
                entry.id,
                f"left {self._ft(left)} and width {self._ft(width)} reach beyond side "
                f"{side.letter}, which is {self._ft(side.length_ft)} wide",
            )
        if head > building.top_ft:
            self._say(
                "target", entry.id, f"head: higher than {self._ft(building.top_ft)}, the wall's top"
            )
        sill = _feet(entry.sill)
        if sill is None:
            sill = 0.0
            self.assumed.append(f'target "{entry.id}": no sill was given: taken at the ground')
        share = (left + width / 2) / side.length_ft
        at = tuple(a + share * (b - a) for a, b in zip(side.left_end, side.right_end, strict=True))
        return Target(
            **found, building=building, side=side, at=at, left_ft=left,
            width_ft=width, sill_ft=sill, head_ft=head,
        )  # fmt: skip


def _overlap(one, other):
    """Whether two convex pieces overlap: neither has a side that separates them."""
    limits = plan.overlap_limits(one, other)
    found = plan.span(limits, 0.0)
    return found is not None and found[0] < 0.0 < found[1]
