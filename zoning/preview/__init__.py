"""A picture of every input on the field's outline, so that a file of another place is seen at once.

`check` says what is wrong in words; this shows what lies where. Changes no input, and judges none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from zoning.errors import InputError
from zoning.inputs import area, files
from zoning.inputs.ground import boundary
from zoning.preview import drawn, folder, ground, points, rasters, season
from zoning.preview.folder import Drawn
from zoning.preview.known import Known
from zoning.preview.lies import Plane
from zoning.preview.picture import Picture
from zoning.settings.model import Settings
from zoning.settings.read import fields_of, is_farm, load

FOLDER = "preview"


@dataclass(frozen=True, slots=True, kw_only=True)
class Previewed:
    """The pictures of one field: where they are, and their names, the page that shows all first."""

    field: str
    folder: Path
    files: tuple[str, ...]


def write(path: Path, into: Path | None, *, today: date | None, clock: date) -> tuple[Previewed, ...]:
    """Draw the inputs of a field, or of every field of a farm.

    Parameters
    ----------
    path : Path
        A field or a farm.
    into : Path or None
        Where the pictures go, of a farm into a folder for each field; None: `preview` in the field's folder.
    today : date or None
        As for `checks.check`.
    clock : date
        The real day, read at the edge.

    Returns
    -------
    tuple of Previewed
        Fields whose boundary cannot be read have no pictures and are not among them.

    Raises
    ------
    InputError
        When a folder holds files of others by our names (code 2), or the disk refuses (code 4).
    """
    is_many = is_farm(path) and not (path / "field.toml").exists()
    made = []
    for one in fields_of(path) if is_many else (path,):
        name = one.resolve().name
        there = one / FOLDER if into is None else into / name if is_many else into
        known = _known(one, today, clock)
        if known is not None:
            written = folder.write(there, known.settings.name, *_drawn(known))
            made.append(Previewed(field=name, folder=there, files=written))
    return tuple(made)


def _known(one: Path, today: date | None, clock: date) -> Known | None:
    """Read settings and boundary; None where that fails, which `check` tells."""
    try:
        settings = load(one)
        edge = _edge(settings)
    except InputError:
        return None
    plane = Plane(area.to_lonlat(edge.area, edge.epsg))
    return Known(settings=settings, today=today or settings.as_of or clock, edge=edge, plane=plane)


def _edge(settings: Settings) -> boundary.Boundary:
    file = settings.boundary.file
    return boundary.read(files.find(settings, "boundary.file", file), file)


def _drawn(known: Known) -> tuple[list[Drawn], list[str]]:
    """Draw everything, in the order of the names; and the faults of what could not be."""
    pictures: list[Picture] = [*ground.pictures(known), *rasters.pictures(known), *points.pictures(known)]
    pictures.sort(key=lambda one: one.kind)
    named = folder.names([(one.kind, one.name) for one in pictures])
    found = [
        Drawn(file=name, title=one.title, lines=one.lines, png=drawn.png(one))
        for name, one in zip(named, pictures, strict=True)
    ]
    found += known.attempt(partial(_weather, known))
    return found, list(dict.fromkeys(str(fault) for fault in known.faults))


def _weather(known: Known) -> list[Drawn]:
    made = season.chart(known)
    if made is None:
        return []
    file, lines, png = made
    return [Drawn(file=f"{season.KIND}.png", title=file, lines=lines, png=png)]


def as_text(made: Sequence[Previewed]) -> str:
    """Write which files were made, a line each."""
    files = [f"picture: {one.folder / name}" for one in made for name in one.files]
    return "\n".join(files) or "no pictures: settings or boundary cannot be read"


def as_object(made: Sequence[Previewed]) -> list[dict[str, object]]:
    """Give the same for JSON."""
    return [{"field": one.field, "folder": one.folder.as_posix(), "files": list(one.files)} for one in made]
