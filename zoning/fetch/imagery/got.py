"""Images of a field got: asked for, looked at, chosen, read and written, in this order; told at the end.

Each image is written as soon as it is whole, with its place in sources.json; field.toml is changed once, at
the end. So a run that was stopped leaves nothing half done, and the next one goes on where it was. A file
that cannot be read keeps no other from being kept.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

import shapely

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.evidence import number
from zoning.fetch.addresses import without_secrets
from zoning.fetch.imagery import catalogues, chosen, scenes, stac, written
from zoning.fetch.imagery import day as of_day
from zoning.fetch.imagery import sources as known_of
from zoning.fetch.imagery.at_once import several
from zoning.fetch.imagery.catalogues import Catalogue
from zoning.fetch.imagery.clear import Shares
from zoning.fetch.imagery.day import Ground, Image, Look
from zoning.fetch.imagery.scenes import Day
from zoning.fetch.imagery.sources import Kept, Sources
from zoning.inputs import area, files, store
from zoning.inputs.given import Area
from zoning.inputs.ground import boundary
from zoning.settings.read import load
from zoning.words import Said

Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is wanted: images of days by the sun of the field, from whom, and how many of the clearest."""

    first: date
    last: date
    keep: int | None = None
    catalog: str | None = None
    collection: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """A day that was looked at; `file` is "" where it was not kept."""

    day: date
    scenes: tuple[str, ...]
    shares: Shares
    file: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Got:
    """What came of it: every day that could be looked at, the newest first, and what field.toml names now.

    `faults` are of files that could not be read: the next run asks for them again.
    """

    field: str
    catalogue: Catalogue
    days: tuple[Looked, ...]
    kept: tuple[Kept, ...]
    read: tuple[str, ...]
    named: tuple[str, ...]
    notes: tuple[Said, ...]
    faults: tuple[InputError, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Work:
    """What every step of a run needs."""

    folder: Path
    ground: Ground
    catalogue: Catalogue
    licence: str
    today: date
    tell: Tell


def imagery(folder: Path, asked: Asked, today: date, tell: Tell) -> Got:
    """Get clear images of a field into its folder.

    Parameters
    ----------
    folder : Path
        Of the field, with a boundary.
    asked : Asked
    today : date
        Noted as the day on which they were got.
    tell : callable
        Hears each step.

    Returns
    -------
    Got

    Raises
    ------
    InputError
        Code 2 for what is asked, 3 for the boundary, 4 for the catalogue and the network: also where it
        has no image of these days, or no clear one.
    """
    _check(asked)
    settings = load(folder)
    catalogue = catalogues.of(settings, asked.catalog, asked.collection)
    file = settings.boundary.file
    edge = boundary.read(files.find(settings, "boundary.file", file), file)
    lonlat = area.to_lonlat(edge.area, edge.epsg)
    tell(f"asking {catalogue.name}")
    days, licence = _days(catalogue, asked, lonlat, edge.longitude_deg)
    ground = Ground(area=edge.area, epsg=edge.epsg)
    work = _Work(folder=folder, ground=ground, catalogue=catalogue, licence=licence, today=today, tell=tell)
    mark = known_of.digest(shapely.to_wkb(shapely.set_precision(lonlat, 1e-7)))  # method: 1 cm
    sources = known_of.read(folder, mark, f"{without_secrets(catalogue.address)} {catalogue.collection}")
    faults: list[InputError] = []
    looks, shares, sources = _look(days, work, sources, faults)
    keep = chosen.days(shares, int(number("fetch.images_kept")) if asked.keep is None else asked.keep)
    if not keep:
        raise _none_clear(shares, catalogue, faults)
    kept, fresh = _read([one for one in days if one.day in keep], looks, work, sources, faults)
    return Got(
        field=settings.name,
        catalogue=catalogue,
        days=_looked(days, shares, kept),
        kept=tuple(kept),
        read=tuple(fresh),
        named=written.named_in_field(folder, kept),
        notes=tuple(_said(kept, shares[keep[0]])),
        faults=tuple(faults),
    )


def _days(
    catalogue: Catalogue, asked: Asked, lonlat: Area, longitude_deg: float
) -> tuple[tuple[Day, ...], str]:
    """Ask for the scenes of each day, and for their licence."""
    wanted = stac.Asked(around=lonlat.convex_hull, first=asked.first, last=asked.last)
    items, licence = stac.search(catalogue, wanted)
    found = scenes.scenes(items, longitude_deg, catalogue.name)
    days = scenes.days(found, asked.first, asked.last)
    if not days:
        what = f"there is no scene over the field from {asked.first} to {asked.last}"
        mend = "Ask for more days, or another catalogue."
        raise InputError(what, where=catalogue.name, mend=mend, code=WORLD)
    return days, licence


def _looked(days: Sequence[Day], shares: Mapping[date, Shares], kept: Sequence[Kept]) -> tuple[Looked, ...]:
    file_of = {one.day: one.file for one in kept}
    return tuple(
        Looked(
            day=one.day,
            scenes=one.names,
            shares=shares[one.day],
            file=file_of.get(one.day.isoformat(), ""),
        )
        for one in days
        if one.day in shares
    )


def _said(kept: Sequence[Kept], best: Shares) -> list[Said]:
    """Say what is doubtful about counts, and where a day is kept that would not be beside others."""
    notes = [Said(one.said, scene=one.scenes[0]) for one in kept if one.said]
    least = number("inputs.layer_well_seen_frac")
    return notes if best.seen >= least else [*notes, Said("fetch.image_alone", least=100 * least)]


def _check(asked: Asked) -> None:
    if asked.first > asked.last:
        mend = "Give the earlier day with --from."
        raise InputError("it lies after --to", where=f"--from {asked.first}", mend=mend, code=SETTINGS)


def _none_clear(
    shares: Mapping[date, Shares], catalogue: Catalogue, faults: Sequence[InputError]
) -> InputError:
    """Say why no day is kept; where files could not be read, that."""
    if faults:
        return InputError.together(faults)
    day = max(shares, key=lambda one: (shares[one].seen, one))
    if not any(one.data for one in shares.values()):
        what = "none of the scenes holds any data over the field"
        mend = "Look whether the boundary lies where it should, or name another catalogue."
        return InputError(what, where=catalogue.name, mend=mend, code=WORLD)
    what = (
        f"no image is clear enough: of {len(shares)} days {day} is the clearest, and shows "
        f"{100 * shares[day].seen:.0f} % of the field"
    )
    return InputError(what, where=catalogue.name, mend="Ask for more days.", code=WORLD)


def _look(
    days: Sequence[Day], work: _Work, sources: Sources, faults: list[InputError]
) -> tuple[dict[date, Look], dict[date, Shares], Sources]:
    """Look at the days that are not known yet; what was seen is written down, also where one fails."""
    known = {one.day: found for one in days if (found := sources.shares(one.day, one.names)) is not None}
    new = [one for one in days if one.day not in known]
    work.tell(f"looking at {len(new)} of {len(days)} days")
    looks: dict[date, Look] = {}
    try:
        for look in several(partial(of_day.look, ground=work.ground), new, faults):
            looks[look.day.day] = look
    finally:
        if looks:
            sources = sources.with_looks({day: (one.day.names, one.shares) for day, one in looks.items()})
            store.write_bytes(_path(work), known_of.as_bytes(sources))
    return looks, {**known, **{day: one.shares for day, one in looks.items()}}, sources


def _read(
    days: Sequence[Day],
    looks: Mapping[date, Look],
    work: _Work,
    sources: Sources,
    faults: list[InputError],
) -> tuple[list[Kept], list[str]]:
    """Read the bands of the days that are kept, and write each as it comes."""
    there = {
        one.day: before
        for one in days
        if (before := sources.image(work.folder, written.file_of(one.day, work.catalogue), one.names))
        is not None
    }
    new = [one for one in days if one.day not in there and not _is_own(one, work, sources, faults)]
    fresh: list[str] = []
    work.tell(f"reading {len(new)} images")
    for image in several(partial(_image, looks=looks, ground=work.ground), new, faults):
        content = written.geotiff(image)
        passport = written.passport(image, content, work.catalogue, work.licence, work.today)
        sources = sources.with_image(passport)
        # known before it is there: what is there and not known is the user's
        store.write_all({_path(work): known_of.as_bytes(sources), work.folder / passport.file: content})
        there[image.day.day] = passport
        fresh.append(passport.file)
        work.tell(f"{passport.file}: {len(fresh)} of {len(new)}")
    return [there[day] for day in sorted(there)], sorted(fresh)


def _is_own(day: Day, work: _Work, sources: Sources, faults: list[InputError]) -> bool:
    """Tell whether a file of the user's lies where an image would go: it stays, and is told."""
    file = written.file_of(day.day, work.catalogue)
    if not (work.folder / file).exists() or sources.knows(file):
        return False
    mend = "Give it another name, and run again."
    faults.append(InputError("this file was not got here, and is kept", where=file, mend=mend, code=SETTINGS))
    return True


def _image(day: Day, looks: Mapping[date, Look], ground: Ground) -> Image:
    look = looks.get(day.day) or of_day.look(day, ground)
    return of_day.image(look, ground)


def _path(work: _Work) -> Path:
    return work.folder / known_of.FOLDER / known_of.FILE
