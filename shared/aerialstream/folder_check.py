"""Everything in a department's folder checked at once, before a class meets it."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aerialstream._unusual import unusual_figures
from aerialstream.buildings import load_building
from aerialstream.department import load_department, told_in
from aerialstream.errors import DepartmentDataError
from aerialstream.set_up import procedure_faults
from aerialstream.site import SceneDataError, load_scene


@dataclass(frozen=True, kw_only=True)
class FolderCheck:
    """What a department's folder holds.

    department   the Department, None where its own files have faults
    buildings    tuple of Building without a fault
    scenes       file name -> Scene without a fault
    faults       one text for each fault, of every file
    questions    one text for each figure of a device that is not usual: asked, not refused
    """

    department: Any
    buildings: tuple
    scenes: dict
    faults: tuple[str, ...]
    questions: tuple[str, ...] = ()


def check_folder(folder):
    """Read every file of a department's folder: data, buildings, scenes, set-up and go/no-go.

    Takes
      folder   path of the folder
    Gives
      FolderCheck   with every fault; nothing is raised for a fault in a file
    """
    folder, faults = Path(folder), []
    department = None
    try:
        department = load_department(folder)
    except DepartmentDataError as error:
        faults += error.faults
    if folder.is_dir():
        faults += procedure_faults(folder)
    with told_in(department.units if department else "US"):
        buildings, unreadable = _buildings(folder, faults)
    scenes = _scenes(folder, department, buildings, unreadable, faults)
    return FolderCheck(
        department=department,
        buildings=tuple(buildings),
        scenes=scenes,
        faults=tuple(dict.fromkeys(faults)),
        questions=tuple(
            question
            for device in (department.apparatus if department else ())
            for question in unusual_figures(device, department.units)
        ),
    )


def _buildings(folder, faults):
    """(buildings that can be read, ids of those that cannot)."""
    found, unreadable = [], set()
    for path in sorted((folder / "buildings").glob("*.toml")):
        try:
            found.append(load_building(path))
        except DepartmentDataError as error:
            faults += error.faults
            unreadable.add(path.stem)
    return found, unreadable


def _scenes(folder, department, buildings, unreadable, faults):
    """File name -> Scene, of every plan in the folder and every plan that a site names."""
    paths = {}
    for pattern in ("*.toml", "*.geojson", "*.json"):
        paths |= {path.resolve(): path for path in (folder / "scenes").glob(pattern)}
    for site in department.sites if department else ():
        if site.plan is not None:
            path = folder / site.plan
            paths.setdefault(path.resolve(), path)
    scenes = {}
    for path in sorted(paths.values()):
        try:
            scenes[path.name] = load_scene(path, buildings=buildings, unreadable=unreadable)
        except SceneDataError as error:
            faults += error.faults
    return scenes
