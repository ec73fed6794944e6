"""A building as a stream meets it: walls, openings, rooms, ceilings, canopies and the roof.

Read from one TOML file for each building, in the folder `buildings` of a department, with units
in the text. Every fault is reported in one message. Sides are A to D, clockwise from A seen from
above; left and right are as seen from outside. What nobody entered and the kit had to take is
listed in `Building.assumed`.
"""

import os
from math import atan, degrees
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field, ValidationError, create_model, model_validator

from aerialstream._checks import NeedLike
from aerialstream._core import surfaces as core
from aerialstream.department import (
    DEMO_FOLDER,
    FOLDER_VARIABLE,
    Day,
    Length,
    Share,
    Text,
    Weight,
    _Entry,
    _fault,
    _quantity_type,
    _said,
    _toml,
    reading_in,
    told_in,
)
from aerialstream.errors import DepartmentDataError
from aerialstream.units import Need, in_unit, quantity, show

SIDES = ("A", "B", "C", "D")
_CLOSE = 1e-6  # ft: edges entered in other units may meet exactly

Height = _quantity_type(Need("length", "foot", at_least=0, at_most=400))
FloorLoad = _quantity_type(NeedLike("pressure", "psf", above=0, at_most=5000, like="40 psf"))
Thickness = _quantity_type(Need("length", "foot", at_least=0, at_most=10))
Pitch = _quantity_type(Need("angle", "degree", above=0, at_most=75))
Side = Literal["A", "B", "C", "D"]
Storey_number = Annotated[
    int, Field(strict=True, ge=1, le=60, description="a whole number, 1 at the ground, no quotes")
]
SolidCeiling = Literal["concrete slab", "joists", "open deck"]


class LayerAbove(_Entry):
    """What a suspended tile hangs under. height is above the same floor."""

    height: Length
    kind: SolidCeiling


class Ceiling(_Entry):
    """Ceiling of a storey or room. height is from the floor to its underside.

    A suspended tile also needs the layer above it. An open deck of the top storey under a pitched
    roof is the roof's own underside, and has no height.
    """

    kind: Literal["concrete slab", "joists", "suspended tile", "open deck"]
    height: Length | None = None
    above: LayerAbove | None = None

    @model_validator(mode="after")
    def _keys_of_its_kind(self):
        tile = self.kind == "suspended tile"
        if self.height is None and self.kind != "open deck":
            raise ValueError(f"a ceiling of kind {self.kind} needs height, such as '10 ft'")
        if tile and self.above is None:
            raise ValueError(
                "a suspended tile needs what is above it: "
                'above = { height = "12 ft", kind = "joists" }'
            )
        if self.above is not None and not tile:
            raise ValueError(f"above belongs to a suspended tile only, not to {self.kind}")
        if tile and self.above.height <= self.height:
            raise ValueError(
                f"the layer above the tile, {_said(self.above.height)}, is not above the tile, "
                f"{_said(self.height)}; both are heights above the floor"
            )
        return self


class Storey(_Entry):
    """One storey, from the ground up. floor is the height of its floor above the ground.

    Its ceiling's height counts from that floor, not from the ground.
    """

    floor: Height
    ceiling: Ceiling


class Repeat(_Entry):
    """A row of openings alike: how many, and how far from one to the next along the wall."""

    count: Annotated[int, Field(strict=True, ge=2, le=60, description="a whole number, 2 to 60")]
    every: Length


class Opening(_Entry):
    """One opening in a side. left is from the left end of that side; sill and head above ground.

    repeat makes a row of it; the row's openings are named id-1, id-2 and so on, from the left.
    """

    id: Text
    side: Side
    storey: Storey_number
    kind: Literal["window", "door", "shop front", "dock door"]
    left: Height
    width: Length
    sill: Height
    head: Length
    repeat: Repeat | None = None


class Partition(_Entry):
    """A wall inside a room, upright, without openings.

    runs "across": along the room's own outside wall, `at` deep, `start` from the left end of the
    side. runs "inward": away from that wall, `at` from the left end of the side, `start` deep.
    Left out, start and length run through the whole room, and height goes to the ceiling.
    """

    id: Text
    runs: Literal["across", "inward"]
    at: Length
    start: Height | None = None
    length: Length | None = None
    height: Length | None = None


class Burning(_Entry):
    """What burns in a room, as a rectangle on its floor, in the room's own measures."""

    what: Text
    left: Height
    from_wall: Height
    width: Length
    depth: Length


class Room(_Entry):
    """A room behind openings of one storey, against the wall of one side.

    left is from the left end of that side, depth from the outside face of its wall. openings may
    be on that side or on another whose wall the room reaches; a row's id stands for the whole row.
    """

    id: Text
    storey: Storey_number
    openings: Annotated[
        tuple[Text, ...], Field(min_length=1, description='a list of opening ids, such as ["a1"]')
    ]
    side: Side
    left: Height
    width: Length
    depth: Length
    ceiling: Ceiling | None = None
    partitions: tuple[Partition, ...] = ()
    burning: Burning | None = None


class Canopy(_Entry):
    """What stands out from a side: underside above the ground, thickness of the slab itself.

    One of kind "open" (bars, a grating) is taken to stop no stream.
    """

    id: Text
    what: Literal["balcony", "canopy", "loading platform"]
    side: Side
    left: Height
    width: Length
    projection: Length
    underside: Height
    thickness: Length
    kind: Literal["concrete slab", "sheet", "open"]


class Hole(_Entry):
    """A hole in the roof. left along side A from its left end; from_front behind side A's face."""

    id: Text
    left: Height
    from_front: Height
    width: Length
    depth: Length


class Roof(_Entry):
    """The roof. ridge is its height above the ground; ridge_along "A" if it runs along side A.

    A holed roof needs holes with their places, or open_share where only the share is known.
    """

    kind: Literal["flat", "pitched"]
    state: Literal["intact", "holed"]
    ridge: Length | None = None
    ridge_along: Literal["A", "B"] | None = None
    pitch: Pitch | None = None
    holes: tuple[Hole, ...] = ()
    open_share: Share | None = None

    @model_validator(mode="after")
    def _keys_of_its_kind(self):
        wrong = []
        if self.kind == "pitched":
            wrong += [
                f"a pitched roof needs {k}"
                for k in ("ridge", "ridge_along")
                if not getattr(self, k)
            ]
        else:
            keys = ("ridge", "ridge_along", "pitch")
            wrong += [f"a flat roof has no {k}" for k in keys if getattr(self, k) is not None]
        if self.state == "intact" and (self.holes or self.open_share is not None):
            wrong.append('an intact roof has no holes and no open_share; write state = "holed"')
        if self.state == "holed" and not self.holes and self.open_share is None:
            wrong.append("a holed roof needs holes, or open_share where their places are not known")
        if self.holes and self.open_share is not None:
            wrong.append("holes and open_share are both given; needed: one of them")
        if wrong:
            raise ValueError("; ".join(wrong))
        return self


class OwnLimit(_Entry):
    """A limit that the department set for this building itself, word for word, and where it stands."""

    says: Text
    page: Text


class TestedLoad(_Entry):
    """What the owner had tested for a floor or the roof, and where it stands.

    weight is for all of that floor together, load for each square foot: one of the two.
    """

    on: Annotated[Literal["floor", "roof"], Field(description='"floor" or "roof"')]
    storey: Storey_number | None = None
    weight: Weight | None = None
    load: FloorLoad | None = None
    tested: Day | None = None
    page: Text

    @model_validator(mode="after")
    def _one_of_each(self):
        wrong = []
        if (self.weight is None) == (self.load is None):
            wrong.append("needed: weight, or load for each square foot; one of them")
        if (self.on == "floor") != (self.storey is not None):
            wrong.append("a floor needs its storey; the roof has none")
        if wrong:
            raise ValueError("; ".join(wrong))
        return self

    @property
    def where(self):
        """Which floor, or the roof, in words."""
        return "roof" if self.on == "roof" else f"floor of storey {self.storey}"

    def said(self, system="US"):
        """The load as it is printed, with where it stands."""
        number = (
            show(self.weight, system, "weight")
            if self.load is None
            else show(self.load, system, "load")
        )
        return f"{number} ({self.page})"


class _BuildingFile(_Entry):
    id: Text
    name: Text
    width: Length
    depth: Length
    wall_height: Length
    parapet_height: Height
    parapet_sides: Annotated[
        tuple[Side, ...] | None, Field(description='a list of sides, such as ["A"]')
    ] = None
    wall_thickness: Thickness | None = None
    storey: Annotated[
        tuple[Storey, ...], Field(min_length=1, description="at least one [[storey]]")
    ]
    roof: Roof
    opening: tuple[Opening, ...] = ()
    room: tuple[Room, ...] = ()
    canopy: tuple[Canopy, ...] = ()
    own_limit: tuple[OwnLimit, ...] = ()
    tested_load: tuple[TestedLoad, ...] = ()


# The same with every key free to be missing: what could be read is checked even if the rest is faulty.
_PartlyRead = create_model(
    "_PartlyRead",
    __base__=_Entry,
    **{
        name: (field.rebuild_annotation() | None, () if field.default == () else None)
        for name, field in _BuildingFile.model_fields.items()
    },
)


class Building(_Entry):
    """A building, checked. Lengths are quantities in feet; rows of openings are spelled out.

    wall_height is from the ground to the roof's edge; parapet_height what stands above that, on
    parapet_sides. assumed lists, in words, all that nobody entered and the kit took.
    """

    id: str
    name: str
    width: Any
    depth: Any
    wall_height: Any
    parapet_height: Any
    parapet_sides: tuple[str, ...]
    wall_thickness: Any
    storeys: tuple[Storey, ...]
    roof: Roof
    openings: tuple[Opening, ...]
    rooms: tuple[Room, ...]
    canopies: tuple[Canopy, ...]
    own_limits: tuple[OwnLimit, ...]
    tested_loads: tuple[TestedLoad, ...] = ()
    assumed: tuple[str, ...]
    file: Path

    def opening(self, opening_id):
        """The opening of this id; KeyError if there is none."""
        return _named(self.openings, opening_id, "opening")

    def room(self, room_id):
        """The room of this id; KeyError if there is none."""
        return _named(self.rooms, room_id, "room")

    def side_length(self, side):
        """Length of a side, a quantity."""
        return self.width if side in "AC" else self.depth

    def room_behind(self, opening_id):
        """The room that an opening leads to, or None where nobody entered one."""
        self.opening(opening_id)
        for room in self.rooms:
            if opening_id in room.openings:
                return room
        return None

    def room_of(self, opening_id):
        """What a stream sees through an opening: a RoomView of plain numbers in ft.

        In the opening's own axes, see `_core.surfaces`. Without a room entered its room is None.
        """
        opening = self.opening(opening_id)
        middle = _ft(opening.left) + _ft(opening.width) / 2
        return _view(self, opening.side, middle, opening, self.room_behind(opening_id))

    def view_from(self, side, *, left=None, room_id=None):
        """The view of a side as a whole, such as for a roof or a hole in it.

        Takes
          side      "A" to "D"
          left      where along the side the axes begin, from its left end, as a text or quantity;
                    left out, its middle
          room_id   the room that a hole in the roof opens into; left out, none
        """
        if side not in SIDES:
            raise KeyError(f"no side “{side}”; there are: A, B, C, D")
        middle = (
            _ft(self.side_length(side)) / 2
            if left is None
            else in_unit(left, Need("length", "foot"))
        )
        return _view(self, side, middle, None, self.room(room_id) if room_id else None)

    def lines(self, system="US"):
        """What was entered and what was taken, as (label, text) pairs, to be read back."""
        roof = f"{self.roof.kind}, {self.roof.state}"
        if self.roof.ridge is not None:
            roof += f", ridge {show(self.roof.ridge, system)}"
        return (
            ("Building", self.name),
            ("Side A by depth", f"{show(self.width, system)} by {show(self.depth, system)}"),
            ("Wall", show(self.wall_height, system)),
            (
                "Parapet above it",
                f"{show(self.parapet_height, system)} on {', '.join(self.parapet_sides) or 'no side'}",
            ),
            ("Roof", roof),
            ("Storeys", str(len(self.storeys))),
            ("Openings", str(len(self.openings))),
            ("Rooms", ", ".join(room.id for room in self.rooms) or "not entered"),
            *(("Your department's own limit", f"{o.says} ({o.page})") for o in self.own_limits),
            *((f"Tested load, {t.where}", t.said(system)) for t in self.tested_loads),
            *(("Not entered, taken", text) for text in self.assumed),
        )


def _named(entries, wanted, what):
    for entry in entries:
        if entry.id == wanted:
            return entry
    there = ", ".join(entry.id for entry in entries) or "none"
    raise KeyError(f"no {what} “{wanted}”; there are: {there}")


def _ft(given):
    return float(given.to("foot").magnitude)


def load_building(path_or_id, folder=None):
    """A building from its file, or every fault in it at once.

    Takes
      path_or_id   path of a .toml file, or the id of a building of the department
      folder       the department's folder; None takes the environment variable
                   AERIALSTREAM_DEPARTMENT, and without that the invented demo department
    Gives
      Building
    Fails when
      DepartmentDataError   one line for each fault: file, key, what was read, what is needed
    """
    text = str(path_or_id)
    if isinstance(path_or_id, Path) or text.endswith(".toml"):
        path = Path(path_or_id)
        if not path.is_file():
            raise DepartmentDataError([f"{path}: there is no such file"])
    else:
        home = Path(folder or os.environ.get(FOLDER_VARIABLE) or DEMO_FOLDER) / "buildings"
        there = {p.stem: p for p in sorted(home.glob("*.toml"))}
        if text not in there:
            known = ", ".join(there) or "none"
            raise DepartmentDataError([f"no building “{text}” in {home}; there are: {known}"])
        path = there[text]
    building, faults = _read(path)
    if faults:
        raise DepartmentDataError(faults)
    return building


def buildings_of(department):
    """All buildings of a department, in the order of their files; empty where it has none.

    Takes
      department   a Department
    Gives
      tuple of Building
    Fails when
      DepartmentDataError   the faults of all files in one message
    """
    found, faults = [], []
    for path in sorted((department.folder / "buildings").glob("*.toml")):
        with told_in(department.units):
            building, wrong = _read(path)
        faults += wrong
        found.append(building)
    if faults:
        raise DepartmentDataError(faults)
    return tuple(found)


def _read(path):
    """(building, ()) or (None, faults) of one file."""
    faults, spoilt = [], set()
    data = _toml(path.parent, path.name, faults)
    if data is None:
        return None, faults
    try:
        whole = _BuildingFile.model_validate(data)
    except ValidationError as error:
        wrong = error.errors()
        faults += [
            _fault(path.name, _BuildingFile, data, e)
            for e in wrong
            if not (e["type"] == "too_short" and e["input"])
        ]
        whole = _partly(data, wrong)
        spoilt = {e["loc"][0] for e in wrong if e["loc"]}
    faults += [f"{path.name}: {said}" for said in _faults_between(whole, path.stem, spoilt)]
    if faults:
        return None, faults
    return _building(whole, path), []


def _partly(data, errors):
    """What of a faulty file could be read; nothing if even that fails."""
    kept = {key: list(v) if isinstance(v, list) else v for key, v in data.items()}
    for error in errors:
        top, *rest = error["loc"] or ("",)
        # A storey gone would number the others anew, so then none is looked at.
        entry = rest and isinstance(rest[0], int) and isinstance(kept.get(top), list)
        if entry and top != "storey":
            kept[top][rest[0]] = None
        else:
            kept.pop(top, None)
    kept = {
        key: [one for one in v if one is not None] if isinstance(v, list) else v
        for key, v in kept.items()
    }
    try:
        return _PartlyRead.model_validate({key: v for key, v in kept.items() if v != []})
    except ValidationError:
        return _PartlyRead()


# --- faults between entries; each check leaves alone what was not read -----------------------


def _faults_between(whole, stem, spoilt):
    """Every fault between entries, in words; `spoilt` are the keys not read whole."""
    faults = []
    if whole.id is not None and whole.id != stem:
        faults.append(f"id: read {whole.id!r}; needed: {stem!r}, the name of the file")
    openings = _spelled_out(whole.opening)
    for kind, entries in (
        ("opening", whole.opening),
        ("opening", [*openings, *(o for o in whole.opening if o.repeat)]),
        ("room", whole.room),
        ("canopy", whole.canopy),
    ):
        faults += [
            said
            for one in _doubled([entry.id for entry in entries])
            if (said := f'{kind} "{one}": this id is given twice') not in faults
        ]
    faults += _storey_faults(whole)
    faults += _roof_faults(whole)
    faults += _load_faults(whole, spoilt)
    for opening in openings:
        faults += _opening_faults(whole, opening)
    faults += _overlaps(openings)
    for canopy in whole.canopy:
        faults += _canopy_faults(whole, canopy)
    for room in whole.room:
        faults += _room_faults(whole, room, openings)
        if "opening" not in spoilt:
            faults += _unknown_openings(whole, room, openings)
    return [*faults, *_rooms_together(whole)]


def _doubled(ids):
    return sorted({one for one in ids if ids.count(one) > 1})


def _spelled_out(openings):
    """Rows of openings written out one by one."""
    found = []
    for one in openings:
        if one.repeat is None:
            found.append(one)
            continue
        for n in range(one.repeat.count):
            left = quantity(_ft(one.left) + n * _ft(one.repeat.every), "foot")
            found.append(
                one.model_copy(update={"id": f"{one.id}-{n + 1}", "left": left, "repeat": None})
            )
    return tuple(found)


def _side_ft(whole, side):
    length = whole.width if side in "AC" else whole.depth
    return None if length is None else _ft(length)


def _deep_ft(whole, side):
    return _side_ft(whole, "B" if side in "AC" else "A")


def _top_ft(storey):
    """Height above ground of the highest layer of a storey's ceiling, or None if it has none."""
    return _ceiling_ft(storey, storey.ceiling)


def _ceiling_ft(storey, ceiling):
    if ceiling.height is None:
        return None
    highest = ceiling.above.height if ceiling.above else ceiling.height
    return _ft(storey.floor) + _ft(highest)


def _storey_faults(whole):
    storeys = whole.storey or ()
    limits = [_ft(storey.floor) for storey in storeys[1:]]
    words = [f"the floor of storey {n}" for n in range(2, len(storeys) + 1)]
    if whole.wall_height is not None and whole.roof is not None:
        limits, words = [*limits, _ft(whole.wall_height)], [*words, "the roof's edge"]
    for number, storey in enumerate(storeys, 1):
        if number < len(storeys) and _ft(storeys[number].floor) <= _ft(storey.floor):
            yield (
                f"storey number {number + 1}.floor: read {_show_ft(storeys[number].floor)}, not "
                f"above that of storey {number} ({_show_ft(storey.floor)})"
            )
            continue
        yield from _ceiling_faults(whole, number, storey.ceiling, f"storey number {number}")
        top = _top_ft(storey)
        if number <= len(limits) and top is not None and top > limits[number - 1] + _CLOSE:
            if _under_pitch(whole, number):
                continue
            yield (
                f"storey number {number}.ceiling: {_from_floor(top, storey)}, above "
                f"{words[number - 1]} ({_feet(limits[number - 1])})"
            )


def _under_pitch(whole, number):
    """Whether a storey reaches up under a pitched roof."""
    return (
        number == len(whole.storey or ())
        and whole.roof is not None
        and whole.roof.kind == "pitched"
    )


def _ceiling_faults(whole, number, ceiling, place):
    if ceiling.height is None and whole.roof is not None and not _under_pitch(whole, number):
        yield (
            f"{place}.ceiling: height is missing; an open deck goes without only in the top "
            "storey under a pitched roof"
        )


def _show_ft(length):
    return _feet(_ft(length))


def _feet(feet):
    return f"{feet:g} ft" if reading_in() == "US" else _said(quantity(feet, "foot"))


def _from_floor(top_ft, storey):
    """A ceiling's height as it was entered, and what that makes above the ground."""
    entered = _feet(top_ft - _ft(storey.floor))
    return f"{entered} above its floor, so {_feet(top_ft)} above the ground"


def _load_faults(whole, spoilt):
    """Tested loads of a storey that there is not, or given twice."""
    loads, storeys = whole.tested_load, whole.storey or ()
    for one in _doubled([load.where for load in loads]):
        yield f"tested_load: that of the {one} is given twice"
    if "storey" not in spoilt:
        for load in loads:
            if load.storey is not None and load.storey > len(storeys):
                yield f"tested_load: there is no storey {load.storey}; entered are {len(storeys)}"


def _roof_faults(whole):
    roof = whole.roof
    if roof is None:
        return
    if roof.kind == "pitched" and whole.wall_height is not None:
        rise = _ft(roof.ridge) - _ft(whole.wall_height)
        if rise <= 0:
            yield (
                f"roof.ridge: read {_show_ft(roof.ridge)}, not above wall_height "
                f"{_show_ft(whole.wall_height)}"
            )
        span = _side_ft(whole, "B" if roof.ridge_along == "A" else "A")
        if rise > 0 and roof.pitch is not None and span is not None:
            pitch = degrees(atan(rise / (span / 2)))
            if abs(pitch - float(roof.pitch.magnitude)) > 0.5:
                yield (
                    f"roof.pitch: read {show(roof.pitch)}; ridge, wall_height and span make it "
                    f"{pitch:.1f} deg; needed: agreement within half a degree, or no pitch"
                )
    if roof.kind == "pitched" and whole.parapet_height is not None and _ft(whole.parapet_height):
        yield 'parapet_height: a pitched roof has no parapet here; needed: "0 ft"'
    yield from (f'hole "{i}": this id is given twice' for i in _doubled([h.id for h in roof.holes]))
    yield from _hole_faults(whole, roof)


def _hole_faults(whole, roof):
    width, depth = _side_ft(whole, "A"), _side_ft(whole, "B")
    boxes = []
    for hole in roof.holes:
        left, front = _ft(hole.left), _ft(hole.from_front)
        box = (left, left + _ft(hole.width), front, front + _ft(hole.depth))
        if width is not None and box[1] > width + _CLOSE:
            yield f'roof.holes "{hole.id}": ends {_feet(box[1])} along side A, beyond its {_feet(width)}'
        if depth is not None and box[3] > depth + _CLOSE:
            yield f'roof.holes "{hole.id}": ends {_feet(box[3])} deep, beyond the {_feet(depth)}'
        for other, there in boxes:
            if _meet(box, there):
                yield f'roof.holes "{hole.id}": overlaps hole "{other}"'
        boxes.append((hole.id, box))


def _meet(one, other):
    """Whether two rectangles (a0, a1, b0, b1) overlap by more than an edge."""
    return all(one[k] < other[k + 1] - _CLOSE and other[k] < one[k + 1] - _CLOSE for k in (0, 2))


def _wall_top_ft(whole, side, left, right):
    """Height of a side's wall over a stretch of it, or None; a gable's lower end counts."""
    if whole.wall_height is None:
        return None
    eaves, roof = _ft(whole.wall_height), whole.roof
    length = _side_ft(whole, side)
    if roof is None or length is None:
        return None
    if roof.kind == "flat":
        return eaves
    if (roof.ridge_along == "A") == (side in "AC"):
        return eaves
    rise = (_ft(roof.ridge) - eaves) / (length / 2)
    return eaves + rise * max(0.0, min(left, length - right))


def _opening_faults(whole, opening):
    place = f'opening "{opening.id}"'
    left, right = _ft(opening.left), _ft(opening.left) + _ft(opening.width)
    length = _side_ft(whole, opening.side)
    if length is not None and right > length + _CLOSE:
        yield (
            f"{place}: ends {_feet(right)} from the left end of side {opening.side}, which is "
            f"{_feet(length)} long"
        )
    if opening.head <= opening.sill:
        yield f"{place}.head: {_show_ft(opening.head)} is not above sill {_show_ft(opening.sill)}"
    top = _wall_top_ft(whole, opening.side, left, right)
    if top is not None and _ft(opening.head) > top + _CLOSE:
        yield f"{place}.head: {_show_ft(opening.head)} is above the wall, {_feet(top)} there"
    if not whole.storey:
        return
    if opening.storey > len(whole.storey):
        yield f"{place}.storey: read {opening.storey}; there are {len(whole.storey)} [[storey]]"
        return
    storey = whole.storey[opening.storey - 1]
    if _ft(opening.sill) < _ft(storey.floor) - _CLOSE:
        yield (
            f"{place}.sill: {_show_ft(opening.sill)} is below the floor of storey "
            f"{opening.storey} ({_show_ft(storey.floor)}); both are above the ground"
        )


def _overlaps(openings):
    """Openings of one side that overlap, each pair once."""
    boxes = []
    for opening in openings:
        left = _ft(opening.left)
        box = (left, left + _ft(opening.width), _ft(opening.sill), _ft(opening.head))
        for other, there in boxes:
            if other.side == opening.side and _meet(box, there):
                yield f'opening "{opening.id}": overlaps opening "{other.id}" on side {other.side}'
        boxes.append((opening, box))


def _canopy_faults(whole, canopy):
    place = f'canopy "{canopy.id}"'
    right, length = _ft(canopy.left) + _ft(canopy.width), _side_ft(whole, canopy.side)
    if length is not None and right > length + _CLOSE:
        yield f"{place}: ends {_feet(right)} from the left end of side {canopy.side}, which is {_feet(length)} long"
    top = _ft(canopy.underside) + _ft(canopy.thickness)
    highest = _wall_top_ft(whole, canopy.side, _ft(canopy.left), right)
    if highest is not None and top > highest + _CLOSE:
        yield f"{place}: its top, {_feet(top)}, is above the wall ({_feet(highest)})"


def _listed_openings(room, openings):
    """The openings that a room lists, rows spelled out, and the ids that there are not."""
    found, unknown = [], []
    for name in room.openings:
        mine = [o for o in openings if o.id == name or _row_of(o.id) == name]
        found += [o for o in mine if o not in found]
        unknown += [] if mine else [name]
    return found, unknown


def _row_of(opening_id):
    head, _, number = opening_id.rpartition("-")
    return head if number.isdecimal() else ""


def _room_faults(whole, room, openings):
    place = f'room "{room.id}"'
    length, deep = _side_ft(whole, room.side), _deep_ft(whole, room.side)
    left, right, depth = _ft(room.left), _ft(room.left) + _ft(room.width), _ft(room.depth)
    if length is not None and right > length + _CLOSE:
        yield f"{place}: ends {_feet(right)} from the left end of side {room.side}, which is {_feet(length)} long"
    if deep is not None and depth > deep + _CLOSE:
        yield f"{place}.depth: {_feet(depth)} is deeper than the building there ({_feet(deep)})"
    found, _ = _listed_openings(room, openings)
    for opening in found:
        yield from _behind_faults(whole, room, opening)
    yield from _room_storey_faults(whole, room, found)
    yield from _within_faults(room, left, right, depth)


def _unknown_openings(whole, room, openings):
    known = ", ".join(o.id for o in whole.opening) or "none"
    for name in _listed_openings(room, openings)[1]:
        yield f'room "{room.id}".openings: read {name!r}; there are: {known}'


def _behind_faults(whole, room, opening):
    """Whether an opening leads into the room that lists it."""
    place = f'room "{room.id}".openings'
    if opening.storey != room.storey:
        yield f'{place}: "{opening.id}" is in storey {opening.storey}, the room in {room.storey}'
    width, depth = _side_ft(whole, "A"), _side_ft(whole, "B")
    if width is None or depth is None:
        return
    s0, s1, x0, _ = _turned(_room_box(room), room.side, opening.side, width, depth)
    left = _ft(opening.left)
    if x0 > _CLOSE:
        yield f'{place}: the room does not reach side {opening.side}, where "{opening.id}" is'
    elif left < s0 - _CLOSE or left + _ft(opening.width) > s1 + _CLOSE:
        yield (
            f'{place}: "{opening.id}" ({_feet(left)} to {_feet(left + _ft(opening.width))}) is not '
            f"within the room ({_feet(s0)} to {_feet(s1)} of side {opening.side})"
        )


def _room_storey_faults(whole, room, found):
    place = f'room "{room.id}"'
    storeys = whole.storey or ()
    if not storeys:
        return
    if room.storey > len(storeys):
        yield f"{place}.storey: read {room.storey}; there are {len(storeys)} [[storey]]"
        return
    storey = storeys[room.storey - 1]
    ceiling = room.ceiling or storey.ceiling
    if room.ceiling is not None:
        yield from _ceiling_faults(whole, room.storey, ceiling, place)
        top, last = _ceiling_ft(storey, ceiling), room.storey == len(storeys)
        limit = storeys[room.storey].floor if not last else whole.roof and whole.wall_height
        pitched = _under_pitch(whole, room.storey)
        if top and limit is not None and not pitched and top > _ft(limit) + _CLOSE:
            above = "the roof's edge" if last else f"the floor of storey {room.storey + 1}"
            yield f"{place}.ceiling: {_from_floor(top, storey)}, above {above} ({_show_ft(limit)})"
    if ceiling.height is None:
        return
    under = _ft(storey.floor) + _ft(ceiling.height)
    for opening in found:
        if opening.storey == room.storey and _ft(opening.head) > under + _CLOSE:
            yield (
                f'{place}: the head of "{opening.id}", {_show_ft(opening.head)} above the ground, is '
                f"above the room's ceiling ({_from_floor(under, storey)})"
            )


def _within_faults(room, left, right, depth):
    place = f'room "{room.id}"'
    burning = room.burning
    if burning is not None:
        ends = (_ft(burning.left) + _ft(burning.width), _ft(burning.from_wall) + _ft(burning.depth))
        if (
            _ft(burning.left) < left - _CLOSE
            or ends[0] > right + _CLOSE
            or ends[1] > depth + _CLOSE
        ):
            yield f"{place}.burning: it is not within the room"
    yield from (
        f'{place}.partitions "{i}": this id is given twice'
        for i in _doubled([p.id for p in room.partitions])
    )
    for wall in room.partitions:
        a0, a1, x0, x1 = _partition_box(wall, left, right, depth)
        if a1 < a0 or x1 < x0 or min(a0 - left, right - a1, x0, depth - x1) < -_CLOSE:
            yield f'{place}.partitions "{wall.id}": it is not within the room'


def _rooms_together(whole):
    """Openings that two rooms list, and rooms that overlap."""
    openings, taken = _spelled_out(whole.opening), {}
    width, depth = _side_ft(whole, "A"), _side_ft(whole, "B")
    boxes = []
    for room in whole.room:
        for opening in _listed_openings(room, openings)[0]:
            if taken.setdefault(opening.id, room.id) != room.id:
                yield (
                    f'room "{room.id}".openings: "{opening.id}" is listed by room '
                    f'"{taken[opening.id]}" too'
                )
        if width is None or depth is None:
            continue
        box = _turned(_room_box(room), room.side, "A", width, depth)
        for other, there in boxes:
            if other.storey == room.storey and _meet(box, there):
                yield f'room "{room.id}": overlaps room "{other.id}"'
        boxes.append((room, box))


# --- from one side's measures to another's ------------------------------------------------------


def _room_box(room):
    """(s0, s1, x0, x1) of a room: along its side from the left end, and inward."""
    left = _ft(room.left)
    return (left, left + _ft(room.width), 0.0, _ft(room.depth))


def _partition_box(wall, left, right, depth):
    across = wall.runs == "across"
    low, high = (left, right) if across else (0.0, depth)
    start = low if wall.start is None else _ft(wall.start)
    end = high if wall.length is None else start + _ft(wall.length)
    at = _ft(wall.at)
    return (start, end, at, at) if across else (at, at, start, end)


def _turned(box, side, to, width, depth):
    """A rectangle in the measures of one side, in those of another.

    Measures of a side: s along it from its left end seen from outside, x inward.
    """
    corners = [
        _of_plan(*_in_plan(s, x, side, width, depth), to, width, depth)
        for s in box[:2]
        for x in box[2:]
    ]
    along, inward = zip(*corners, strict=True)
    return min(along), max(along), min(inward), max(inward)


def _in_plan(s, x, side, width, depth):
    """(p, q): p to the right along side A, q behind side A."""
    return {
        "A": (s, x),
        "B": (x, depth - s),
        "C": (width - s, depth - x),
        "D": (width - x, s),
    }[side]


def _of_plan(p, q, side, width, depth):
    return {
        "A": (p, q),
        "B": (depth - q, p),
        "C": (width - p, depth - q),
        "D": (q, width - p),
    }[side]


# --- the checked building ------------------------------------------------------------------------


def _building(whole, path):
    """The building of a file without faults, with what was taken put into words."""
    openings = _spelled_out(whole.opening)
    sides, thickness = whole.parapet_sides, whole.wall_thickness
    if not _ft(whole.parapet_height):
        sides = ()
    elif sides is None:
        sides = SIDES
    rooms = tuple(
        room.model_copy(
            update={"openings": tuple(o.id for o in _listed_openings(room, openings)[0])}
        )
        for room in whole.room
    )
    return Building(
        id=whole.id,
        name=whole.name,
        width=whole.width,
        depth=whole.depth,
        wall_height=whole.wall_height,
        parapet_height=whole.parapet_height,
        parapet_sides=tuple(sides),
        wall_thickness=quantity(0, "foot") if thickness is None else thickness,
        storeys=whole.storey,
        roof=whole.roof,
        openings=openings,
        rooms=rooms,
        canopies=whole.canopy,
        own_limits=whole.own_limit,
        tested_loads=whole.tested_load,
        assumed=tuple(_assumed(whole, rooms, openings)),
        file=path,
    )


def _assumed(whole, rooms, openings):
    """All that nobody entered and the kit took, in words."""
    if _ft(whole.parapet_height) and whole.parapet_sides is None:
        yield "parapet_sides was not entered: the parapet is taken to stand on all four sides"
    if whole.wall_thickness is None:
        yield "wall_thickness was not entered: the wall is taken as having none, so nothing strikes a frame"
    for number, storey in enumerate(whole.storey, 1):
        if storey.ceiling.height is None:
            yield f"storey {number}: no ceiling height: the underside of the pitched roof is taken"
    for room in rooms:
        place = f'room "{room.id}"'
        if room.ceiling is not None and room.ceiling.height is None:
            yield f"{place}: no ceiling height: the underside of the pitched roof is taken"
        if room.burning is None:
            yield f"{place}: burning was not entered: nothing is taken to burn there"
        for wall in room.partitions:
            free = [k for k in ("start", "length", "height") if getattr(wall, k) is None]
            if free:
                yield (
                    f'{place}, partition "{wall.id}": {", ".join(free)} not entered: it is '
                    "taken to run through the whole room, and up to the ceiling"
                )
    served = {name for room in rooms for name in room.openings}
    without = [o.id for o in openings if o.id not in served]
    if without:
        yield (
            "no room was entered behind "
            + ", ".join(without)
            + ": what a stream meets inside is not known there"
        )


def _view(building, side, middle, opening, room):
    """The RoomView of a side, its axes beginning `middle` ft along it."""
    width, depth = _ft(building.width), _ft(building.depth)

    def patch(box, frame, **more):
        s0, s1, x0, x1 = _turned(box, frame, side, width, depth)
        return core.Patch(x0, x1, s0 - middle, s1 - middle, **more)

    def doorway(one):
        left = _ft(one.left) - middle
        return core.Opening(left, left + _ft(one.width), _ft(one.sill), _ft(one.head), one.id)

    length = _ft(building.side_length(side))
    eaves, roof = _ft(building.wall_height), building.roof
    along = ""
    if roof.ridge_along:
        along = "y" if (roof.ridge_along == "A") == (side in "AC") else "x"
    holes = tuple(patch(_hole_box(hole), "A", id=hole.id) for hole in roof.holes)
    # Front, rear, left and right of this side, by their letters.
    order = {"A": "ACBD", "B": "BDCA", "C": "CADB", "D": "DBAC"}[side]
    tall = eaves + _ft(building.parapet_height)
    return core.RoomView(
        opening=doorway(opening) if opening else None,
        wall_thickness_ft=_ft(building.wall_thickness),
        roof=core.Roof(
            depth_ft=depth if side in "AC" else width,
            y0_ft=-middle,
            y1_ft=length - middle,
            eaves_ft=eaves,
            ridge_ft=eaves if roof.ridge is None else _ft(roof.ridge),
            ridge_along=along,
            holes=holes,
            open_share=0.0 if roof.open_share is None else float(roof.open_share.magnitude) / 100,
        ),
        parapet_tops_ft=tuple(tall if s in building.parapet_sides else eaves for s in order),
        room=_room_seen(building, room, patch) if room else None,
        canopies=tuple(_canopy_seen(c, middle) for c in building.canopies if c.side == side),
        other_openings=tuple(
            doorway(o) for o in building.openings if o.side == side and o is not opening
        ),
    )


def _hole_box(hole):
    left, front = _ft(hole.left), _ft(hole.from_front)
    return left, left + _ft(hole.width), front, front + _ft(hole.depth)


def _canopy_seen(canopy, middle):
    left, under = _ft(canopy.left) - middle, _ft(canopy.underside)
    return core.Canopy(
        what=canopy.what,
        kind=canopy.kind,
        projection_ft=_ft(canopy.projection),
        y0_ft=left,
        y1_ft=left + _ft(canopy.width),
        underside_ft=under,
        top_ft=under + _ft(canopy.thickness),
        id=canopy.id,
    )


def _room_seen(building, room, patch):
    """A room in the axes of a view; `patch` turns rectangles into them."""
    storey = building.storeys[room.storey - 1]
    floor, ceiling = _ft(storey.floor), room.ceiling or storey.ceiling
    box = _room_box(room)
    plan = patch(box, room.side)
    partitions = tuple(
        patch(
            _partition_box(wall, box[0], box[1], box[3]),
            room.side,
            id=wall.id,
            top_ft=core.inf if wall.height is None else floor + _ft(wall.height),
        )
        for wall in room.partitions
    )
    burning = None
    if room.burning is not None:
        b = room.burning
        left, deep = _ft(b.left), _ft(b.from_wall)
        rectangle = (left, left + _ft(b.width), deep, deep + _ft(b.depth))
        burning = patch(rectangle, room.side, id=b.what)
    return core.Room(
        id=room.id,
        depth_ft=plan.x1_ft,
        y0_ft=plan.y0_ft,
        y1_ft=plan.y1_ft,
        floor_ft=floor,
        ceiling=core.Ceiling(
            kind=ceiling.kind,
            height_ft=core.inf if ceiling.height is None else floor + _ft(ceiling.height),
            above_kind=ceiling.above.kind if ceiling.above else "",
            above_ft=floor + _ft(ceiling.above.height) if ceiling.above else 0.0,
        ),
        top_storey=room.storey == len(building.storeys),
        partitions=partitions,
        burning=burning,
    )
