"""TASKDATA folders of ISO 11783-10: which files belong together, and all rules about them."""

from collections import defaultdict
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import Any

from zoning.file_checks.finding import Finding, Rule, UnreadableError, apply
from zoning.file_checks.formats import Field, Names
from zoning.file_checks.place import Place
from zoning.file_checks.taskdata.beside import map_beside
from zoning.file_checks.taskdata.form import RULES as FORM
from zoning.file_checks.taskdata.grid_rules import RULES as GRIDS
from zoning.file_checks.taskdata.grid_rules import grids
from zoning.file_checks.taskdata.ground import RULES as GROUND
from zoning.file_checks.taskdata.ground import on_the_ground
from zoning.file_checks.taskdata.parts import FILE_NAME, FOLDER_NAME, TaskData, boundaries, ground_of
from zoning.file_checks.taskdata.read import parse
from zoning.file_checks.taskdata.rules import RULES as TASKS

# All tables of a folder.
RULES: tuple[Rule[Any], ...] = (*FORM, *TASKS, *GROUND, *GRIDS)


def groups(place: Place) -> Iterator[Names]:
    """Take each folder with the XML, or called TASKDATA: the XML first, then the files of cells."""
    by_folder: dict[PurePosixPath, list[str]] = defaultdict(list)
    for name in place.names:
        by_folder[PurePosixPath(name).parent].append(name)
    for folder, names in by_folder.items():
        heads = [name for name in names if PurePosixPath(name).name.upper() == FILE_NAME]
        cells = [name for name in names if PurePosixPath(name).name.upper().startswith("GRD")]
        if heads:
            heads.sort(key=lambda name: PurePosixPath(name).name != FILE_NAME)
            yield (*heads[:1], *cells)
        elif cells and folder.name.upper() == FOLDER_NAME:
            yield tuple(cells)


def check(place: Place, names: Names, field: Field) -> Iterator[Finding]:
    """Judge one TASKDATA folder.

    Raises
    ------
    UnreadableError
        When there is no XML, or it cannot be read.
    """
    head = PurePosixPath(names[0])
    if head.name.upper() != FILE_NAME:
        raise UnreadableError("iso_no_xml", wanted=FILE_NAME)
    beside = {PurePosixPath(name).name: name for name in names[1:]}
    own_folder = head.parent.name or ("" if place.inside else place.disk.resolve().name)
    data = TaskData(
        parse(place.read(names[0])),
        names[0],
        own_folder,
        {short: place.sizes[name] for short, name in beside.items()},
        lambda short: place.read(beside[short]),
        field,
        map_beside(place, head.parent),
    )
    where = place.told(names[0])
    yield from apply(FORM, data, where)
    yield from apply(TASKS, data, where)
    yield from apply(GROUND, data, where)
    yield from on_the_ground(data, where)
    yield from apply(GRIDS, grids(data), where)


def field_of(place: Place, name: str) -> Field:
    """Give the boundary of the one field of a TASKDATA.XML, None where it has several or none."""
    fields = list(parse(place.read(name)).of("PFD"))
    if len(fields) != 1:
        return None
    return ground_of(boundaries(fields[0]))
