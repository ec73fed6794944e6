"""The commands about places and devices: a scene's plan, its spot map, one place, a device's data.

Everything is worked out in `aerialstream`; here it is read, printed and written to a page.
"""

import re
import sys
from html import escape
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from aerialstream.errors import AerialStreamError, ImpossibleValue, UnitError

scene_app = typer.Typer(help="A plan of a place, and where the rig goes.", no_args_is_help=True)
device_app = typer.Typer(help="The department's aerial devices.", no_args_is_help=True)
console = Console(highlight=False)

_MARKS = "o+."  # nothing against it, something it costs, ruled out
# Entries that are not printed as their dimension is.
_SHOWN_AS = {
    "stabilisers.pad": "pad",
    **dict.fromkeys(("masses.vehicle", "masses.ladder", "masses.tip_load"), "weight"),
    "masses.waterway_bore": "bore",
    "masses.side_area": "pad area",
}
_WIDEST = 110  # columns of a map in the terminal
_STYLE = (
    "body{font:16px/1.5 system-ui,sans-serif;max-width:56rem;margin:2rem auto;padding:0 1rem;"
    "color:#1b2126;background:#fff}table{border-collapse:collapse}th,td{text-align:left;"
    "vertical-align:top;padding:.25rem .8rem .25rem 0;border-bottom:1px solid #c9d0d6}"
    "svg{max-width:100%;height:auto}"
)

Folder = Annotated[
    Path | None,
    typer.Option(
        "--department", help="Department's data (else AERIALSTREAM_DEPARTMENT, else demo)."
    ),
]
Plan = Annotated[str, typer.Argument(help="A scene file, or the id of one of the sites.")]
Device = Annotated[str, typer.Option(help="Id of the device; `aerialstream device list`.")]
Target = Annotated[str, typer.Option(help="Id of the target; `aerialstream scene check FILE`.")]
Zone = Annotated[
    float,
    typer.Option(help="Collapse zone: 1, 1.5 or 2 times the wall's height; 0 for none."),
]
Accepted = Annotated[
    bool, typer.Option("--tip-accepted", help="The incident commander accepts the tip in the zone.")
]
Standoff = Annotated[str | None, typer.Option(help='Tip from the wall, such as "20 ft".')]
TipHeight = Annotated[str | None, typer.Option(help='Tip above ground, such as "16 ft".')]
Rise = Annotated[str | None, typer.Option(help='What the stream must rise, such as "14 deg".')]
Hose = Annotated[str | None, typer.Option(help='Supply hose that is there, such as "800 ft".')]
Cell = Annotated[str, typer.Option(help="Distance between places.")]


class NotThere(AerialStreamError):
    """A device, target or file that there is not; the message names those there are."""


def _say(text=""):
    console.print(text, markup=False, soft_wrap=True)


# Option of a command -> what the calculation calls it.
_OPTION = {"rise": "stream_rise", "hose": "hose_carried"}


def _as_options(error):
    """A refusal of the calculation with its inputs named as the options that were typed."""
    named = {name: option for option, name in _OPTION.items()}

    def option(name):
        return f"--{named.get(name, name).replace('_', '-')}"

    first, *rest = str(error).splitlines()
    said = [re.sub(r"^  (\w+) = ", lambda m: f"  {option(m[1])} ", line) for line in rest]
    said = [re.sub(r'(\w+)="([^"]+)"', lambda m: f'{option(m[1])} "{m[2]}"', line) for line in said]
    if not rest:
        return NotThere(first)
    return NotThere("\n".join(("these options cannot be read:", *said)))


def _department(folder):
    from aerialstream.department import load_department

    return load_department(folder)


def _scene(plan, department):
    """The scene of a file, or of a site of the department."""
    from aerialstream.buildings import buildings_of
    from aerialstream.site import load_scene, scene_of

    if Path(plan).is_file():
        return load_scene(plan, buildings=buildings_of(department))
    sites = [site.id for site in department.sites]
    if plan not in sites:
        raise NotThere(
            f"no file “{plan}”, and no site of that name; sites of {department.name}: "
            f"{', '.join(sites) or 'none'}. `aerialstream scene new FILE` writes a file to start from"
        )
    return scene_of(department, plan)


def _device(department, wanted):
    there = [device.id for device in department.apparatus]
    if wanted not in there:
        raise NotThere(f"no device “{wanted}”; {department.name} has: {', '.join(there)}")
    return department.device(wanted)


def _map(plan, department, device, target, zone, options):
    from aerialstream.spots import spot_map

    apparatus = _device(department, device)
    scene = _scene(plan, department)
    try:
        scene.target(target)
    except KeyError as error:
        raise NotThere(error.args[0]) from None
    accepted = options.pop("accepted")
    given = {name: value for name, value in options.items() if value is not None}
    try:
        return spot_map(
            scene,
            apparatus,
            target,
            collapse_factor=zone or None,
            tip_in_zone="accepted" if accepted else "not",
            **given,
        )
    except (UnitError, ImpossibleValue) as error:
        raise _as_options(error) from None


@scene_app.command("new")
def scene_new(file: Annotated[Path, typer.Argument(help="File to write, such as mine.toml.")]):
    """Write a plan to start from, with a word on every key; never over a file that is there."""
    import aerialstream

    starter = Path(aerialstream.__file__).parent / "starter" / "scene.toml"
    text = starter.read_text(encoding="utf-8").replace("THIS_FILE", file.name)
    try:
        with file.open("x", encoding="utf-8") as new:
            new.write(text)
    except FileExistsError:
        raise NotThere(
            f"{file} is there already, and stays as it is; choose another name"
        ) from None
    except OSError as error:
        raise NotThere(f"{file}: cannot be written: {error.strerror}") from None
    _say(f"Written: {file}. Change it, then: aerialstream scene check {file}")


@scene_app.command("check")
def scene_check(file: Plan, department: Folder = None):
    """Read a scene and name every fault in it; else tell what is on it and what was assumed."""
    scene = _scene(file, _department(department))
    _say(
        f"{scene.name}: no fault found in the file. Whether the place is like that, only you know."
    )
    from aerialstream._plan_words import slope_words, tenth
    from aerialstream.worked import in_system

    for building in scene.buildings:
        sides = ", ".join(
            f"{s} {tenth(building.side(s).length_ft, scene.system)}" for s in building.letters
        )
        _say(f"  building {building.id}: top {tenth(building.top_ft, scene.system)}; sides {sides}")
    for word, things in (
        ("streets", scene.streets),
        ("overhead lines", scene.lines),
        ("ground", scene.ground),
        ("obstacles", scene.obstacles),
        ("hydrants", scene.hydrants),
    ):
        _say(f"  {word}: {', '.join(thing.id for thing in things) or 'none entered'}")
    for target in scene.targets:
        where = f"side {target.side.letter}" if target.side else "roof"
        _say(f"  target {target.id}: {target.name}, {where} of {target.building.id}")
    if not scene.targets:
        _say("  targets: none entered; a map needs one")
    for ground in scene.ground:
        if ground.slope_deg:
            _say(f"  slope of {ground.id}: {slope_words(ground.slope_deg)}")
    for text in scene.assumed:
        _say(f"  Not entered: {in_system(text, scene.system)}")


@scene_app.command("map")
def scene_map(
    file: Plan,
    device: Device,
    target: Target,
    out: Annotated[Path | None, typer.Option("--out", "-o", help="Page to write.")] = None,
    zone: Zone = 1.5,
    tip_accepted: Accepted = False,
    standoff: Standoff = None,
    tip_height: TipHeight = None,
    rise: Rise = None,
    hose: Hose = None,
    cell: Cell = "5 ft",
    department: Folder = None,
):
    """Judge every place and heading for a device and a target; print it, and write it as a page."""
    whose = _department(department)
    found = _map(file, whose, device, target, zone, {
        "standoff": standoff, "tip_height": tip_height, "stream_rise": rise,
        "hose_carried": hose, "cell": cell, "accepted": tip_accepted,
    })  # fmt: skip
    for row in text_map(found):
        _say(row)
    _say(found.text(whose.units))
    if out is not None:
        try:
            out.write_text(map_page(found, whose.units), encoding="utf-8")
        except OSError as error:
            raise NotThere(f"{out}: cannot be written: {error.strerror}") from None
        _say(f"As a page with the picture: {out}")


@scene_app.command("why")
def scene_why(
    file: Plan,
    device: Device,
    target: Target,
    x: Annotated[str, typer.Option(help='Turntable to the right on the plan, such as "40 ft".')],
    y: Annotated[str, typer.Option(help='Turntable up the plan, such as "66 ft".')],
    heading: Annotated[
        str | None,
        typer.Option(help='Where the cab points, such as "90 deg"; left out, the best is told.'),
    ] = None,
    zone: Zone = 1.5,
    tip_accepted: Accepted = False,
    standoff: Standoff = None,
    tip_height: TipHeight = None,
    rise: Rise = None,
    hose: Hose = None,
    department: Folder = None,
):
    """Tell of one place and heading what is wrong with it, what it costs, and why."""
    whose = _department(department)
    found = _map(file, whose, device, target, zone, {
        "standoff": standoff, "tip_height": tip_height, "stream_rise": rise,
        "hose_carried": hose, "cell": "20 ft", "headings": 16 if heading is None else 1, "accepted": tip_accepted,
    })  # fmt: skip
    try:
        place = found.why_not(x, y, heading)
    except (UnitError, ImpossibleValue) as error:
        raise _as_options(error) from None
    _say(place.text(whose.units))


def text_map(found):
    """The map in letters, top row first; nothing where it is wider than a terminal."""
    from aerialstream._core.plan_geometry import point_in_polygon

    if found.columns > _WIDEST:
        return ()
    x0, y0 = found.origin
    best = {}
    for number, place in enumerate(found.places, 1):
        column = round((place.x_ft - x0) / found.cell_ft)
        best[column, round((place.y_ft - y0) / found.cell_ft)] = str(number % 10)
    walls = [b.corners for b in found.scene.buildings]
    rows = []
    for row in reversed(range(found.rows)):
        signs = []
        for column in range(found.columns):
            x, y = x0 + column * found.cell_ft, y0 + row * found.cell_ft
            verdict = found.verdicts[row * found.columns + column]
            sign = "#" if any(point_in_polygon(x, y, w) for w in walls) else _MARKS[verdict]
            signs.append(best.get((column, row), sign))
        rows.append("".join(signs))
    return (
        *rows,
        "o nothing against it on the plan, + something it costs, . ruled out on the plan, # building, "
        "1 2 3 the best few",
    )


def map_page(found, system="US"):
    """A page with the picture, its numbers, and everything in words; needs no network."""
    from aerialstream.charts.spot_map import spot_map_chart, spot_rows
    from aerialstream.charts.svg import figure_html

    picture = figure_html(spot_map_chart(found, system=system), spot_rows(found, system=system))
    why = "".join(
        f"<h2>Spot {number}</h2>{place.html(system)}"
        for number, place in enumerate(found.places, 1)
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{escape(found.title)}</title><style>{_STYLE}</style></head><body>"
        f"<h1>{escape(found.title)}</h1>{picture}<h2>In words</h2>{found.html(system)}{why}"
        "</body></html>\n"
    )


@device_app.command("list")
def device_list(department: Folder = None):
    """The department's devices: id, name, kind."""
    whose = _department(department)
    for device in whose.apparatus:
        _say(f"{device.id}  {device.name}, {device.kind}")


@device_app.command("show")
def device_show(
    device: Annotated[str, typer.Argument(help="Id; `aerialstream device list`.")],
    department: Folder = None,
):
    """What the department entered for a device, and what it left open."""
    whose = _department(department)
    apparatus = _device(whose, device)
    _say(f"{apparatus.name}, {apparatus.kind}")
    for name, value in entries_of(apparatus):
        if name == "platform" and not apparatus.kind.endswith("platform"):
            continue
        _say(f"  {name}: {entry_text(value, whose.units, _SHOWN_AS.get(name))}")


def entries_of(entry, before=""):
    """(dotted name, value) of every key of an entry, those of its tables too."""
    for name in type(entry).model_fields:
        value = getattr(entry, name)
        if name in ("id", "name", "kind") and not before:
            continue
        if hasattr(type(value), "model_fields"):
            yield from entries_of(value, f"{before}{name}.")
        elif isinstance(value, tuple) and value and hasattr(type(value[0]), "model_fields"):
            for number, one in enumerate(value, 1):
                yield from entries_of(one, f"{before}{name} {number}.")
        else:
            yield f"{before}{name}", value


def entry_text(value, system="US", kind=None):
    """An entry as it is read back: a quantity, a text, a list, or that nobody entered it."""
    from aerialstream.units import kind_of, show

    if value is None or value == ():
        return "not entered"
    if isinstance(value, tuple):
        return ", ".join(entry_text(one, system) for one in value)
    if hasattr(value, "magnitude"):
        wind = "wind" if kind_of(value) == "velocity" else None
        return show(value, system, kind or wind)
    return str(value)


def check_department(folder):
    """Read back what a folder holds, or name every fault of every file in it."""
    from aerialstream.folder_check import check_folder

    found = check_folder(folder)
    if found.faults:
        count = "1 fault" if len(found.faults) == 1 else f"{len(found.faults)} faults"
        _say(f"{count} in {folder}:")
        for fault in found.faults:
            _say(f"  {fault}")
        sys.exit(2)
    whose = found.department
    there = ", ".join((
        _count(whose.apparatus, "device"), _count(whose.nozzles, "nozzle"),
        _count(whose.hose, "kind of hose", "kinds of hose"), _count(found.buildings, "building"),
        _count(found.scenes, "scene"),
    ))  # fmt: skip
    _say(f"{whose.name}: {there}. No fault found in the files.")
    for question in found.questions:
        _say(f"  {question}")
    for device in whose.apparatus:
        _read_back(device, whose.units)
    _noted(folder, whose)
    for confirmed in whose.confirmed:
        _say(f"  {confirmed.source}: read this against the book, {confirmed.said}:")
        for name, value in entries_of(confirmed):
            if name not in ("source", "edition", "clause", "by", "day") and value not in (None, ()):
                _say(f"    {name}: {entry_text(value, whose.units)}")
    _procedures(whose)
    for name, scene in found.scenes.items():
        _say(f"  scene {name}: {_count(scene.targets, 'target')}; left open: {len(scene.assumed)} "
             f"(`aerialstream scene check`)")  # fmt: skip


def _noted(folder, department):
    """What members noted from the manuals while they did the lessons; nothing of it is a limit."""
    from aerialstream.manual_notes import manual_notes

    names = {device.id: device.name for device in department.apparatus}
    for device, notes in manual_notes(folder).items():
        written = [note for note in notes.values() if note.text]
        if written:
            _say(f"  {names.get(device, device)}: noted in lessons, no limit (enter limits yourself, from the book):")  # fmt: skip
        for note in written:
            _say(f"    {note.asked} {note.text} ({note.by or 'no number'}, {note.when[:10]})")


def _count(things, one, many=None):
    return f"{len(things)} {one if len(things) == 1 else many or f'{one}s'}"


def _procedures(department):
    """Whose set-up order and go/no-go list hold, and which values nobody has entered yet."""
    from aerialstream.set_up import go_no_go, set_up_order

    order, listed = set_up_order(department), go_no_go(department)
    _say(f"  set-up order: {order.whose}, {_count(order.order, 'step')}; {_blanks(order.order)}")
    lines = [answered.line for answered in listed.answers]
    _say(f"  {listed.title}: {_count(lines, 'line')}; {_blanks(lines)}")


def _blanks(items):
    blank = [item.id for item in items if item.value_from != "none" and not item.value.strip()]
    return f"values to enter: {', '.join(blank)}" if blank else "no value left blank"


def _read_back(device, system):
    """Limits and conditions of a device, to be held against its manual."""
    from aerialstream.department import NOT_ENTERED

    if not device.manual_limits:
        _say(f"  {device.name}: limits from the operator's manual: {NOT_ENTERED}")
    else:
        _say(f"  {device.name}: read these against the operator's manual:")
    for line in device.manual_limits:
        flow, length, turn = (
            entry_text(v, system)
            for v in (line.flow_up_to, line.extension_up_to, line.rotation_up_to)
        )
        _say(
            f"    up to {flow} and {length}: nozzle up to {turn} off the centre line ({line.page})"
        )
    conditions = device.manual_conditions
    if conditions is None:
        _say(f"  {device.name}: wind, slope and lowest elevation: {NOT_ENTERED}")
        return
    for name in ("wind_up_to", "slope_up_to", "elevation_at_least"):
        value = entry_text(getattr(conditions, name), system)
        _say(f"    {name.replace('_', ' ')}: {value} ({conditions.page})")
