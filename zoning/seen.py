"""The farm's table of counts: what was counted in every field, weighed against that field's own forecast.

Gathered before any field is planned, because a count moves the other fields of its variety too. What past
seasons tell, from season.csv, stands beside it.
"""

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np

from zoning.errors import InputError
from zoning.inputs import done, read, season_book
from zoning.inputs.given import FieldInputs
from zoning.inputs.planted.sown import season_of
from zoning.offers import spots
from zoning.offers.joined import is_wanted, joined
from zoning.settings.model import Settings
from zoning.settings.read import fields_of, load
from zoning.stage.counted import Heard
from zoning.stage.forecast import Forecast, forecast
from zoning.stage.past_seasons import Mattering, past_of
from zoning.stage.spread import Situation, variety_key
from zoning.words import Said

_NAMED = 3  # fields that one note names


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenCounts:
    """What was counted where, one entry for each block with counts, and which fields could not be read.

    `folders` holds the folder of the field of each entry, links resolved.
    """

    heard: tuple[Heard, ...] = ()
    folders: tuple[Path, ...] = ()
    notes: tuple[Said, ...] = ()

    def beside(self, settings: Settings) -> tuple[Heard, ...]:
        """List the counts of the other fields; one of the same name is called by its folder too."""
        own = settings.folder.resolve()
        return tuple(
            _called(one, folder) if one.place.field == settings.name else one
            for one, folder in zip(self.heard, self.folders, strict=True)
            if folder != own
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Told:
    """What one field tells the others, or why it tells nothing.

    `folder` has its links resolved; `called` is the folder's name as it was given. `fault` is one line where
    counts that the field has, or may have, could not be read; else empty.
    """

    folder: Path
    called: str
    name: str = ""
    heard: tuple[Heard, ...] = ()
    fault: str = ""


def past_seasons(settings: Settings, given: FieldInputs, today: date, table: SeenCounts) -> tuple[Heard, ...]:
    """Say what season.csv tells of the season that is planned, where it matters to this field.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
    today : date
        The day to plan on: its season, and later ones, tell nothing.
    table : SeenCounts
        Its fields share their own part of the error with their past seasons.

    Raises
    ------
    InputError
        For all that is wrong in season.csv.
    """
    book = season_book.book_of(settings)
    if not book.rows:
        return ()
    here = settings.folder.resolve()
    others = [folder for folder in table.folders if folder != here]
    called = {
        folder.name: one.place.field for folder, one in zip(others, table.beside(settings), strict=True)
    }
    own = done.names_of({row.field for row in book.rows}, settings)
    season = season_of(settings, today, given.latitude_deg)
    matter = Mattering(varieties=frozenset(variety_key(block) for block in given.blocks), name=settings.name)
    return past_of(book, season, settings.habit, called | dict.fromkeys(own, settings.name), matter)


def digest(heard: Sequence[Heard]) -> str:
    """Hash of what others told, as part of what a run is made of."""
    found = hashlib.sha256()
    for one in heard:
        found.update(repr((one.place, one.log_likelihood.round(6).tolist())).encode())
    return found.hexdigest()


def told_by(folder: Path, *, today: date | None, clock: date | None, seed: int) -> Told:
    """Read what was counted in one field, weighed against its own forecast.

    Nothing but this field is read, so fields can be asked in any order, each by another process.

    Parameters
    ----------
    folder : Path
        The field's folder.
    today, clock, seed
        As for `zoning.field.run`.

    Returns
    -------
    Told
        A field that cannot be read is named there with its first fault, and stops nothing.
    """
    told = Told(folder=folder.resolve(), called=folder.name)
    try:
        settings = load(folder)
        heard = _heard(settings, today or settings.as_of or clock, seed) if settings.scouting else ()
    except InputError as fault:
        return replace(told, fault=str(fault.faults[0]).rstrip("."))
    return replace(told, name=settings.name, heard=heard)


def together(told: Iterable[Told]) -> SeenCounts:
    """Put what several fields told into one table, in the order in which they are given.

    Of a field that stands there twice, by a link, the second is left out; of two fields of one name the later
    is called by its folder too, as they share no more than their varieties.

    Examples
    --------
    >>> here = Told(folder=Path("farm/here"), called="here", fault="boundary.geojson: no polygon in it")
    >>> [note.text for note in together([here, here]).notes]
    ['the counts of field here were not used here: boundary.geojson: no polygon in it']
    """
    heard: list[tuple[Heard, Path]] = []
    names: set[str] = set()
    fields = {one.folder: one for one in told}.values()
    for one in fields:
        if one.fault:
            continue
        heard += [(_called(of, one.folder) if one.name in names else of, one.folder) for of in one.heard]
        names.add(one.name)
    return SeenCounts(
        heard=tuple(of for of, _ in heard),
        folders=tuple(folder for _, folder in heard),
        notes=_not_read([one for one in fields if one.fault]),
    )


def gather(folders: Sequence[Path], *, today: date | None, clock: date | None, seed: int) -> SeenCounts:
    """Read the counts of several fields; a field that cannot be read is named and stops nothing."""
    apart = {one.resolve(): one for one in folders}.values()  # a link is no second field
    return together(told_by(one, today=today, clock=clock, seed=seed) for one in apart)


def _not_read(fields: Sequence[Told]) -> tuple[Said, ...]:
    """Say once which fields could not be read: the note stands in the plan of every other field."""
    if not fields:
        return ()
    if len(fields) == 1:
        return (Said("seen.not_read", field=fields[0].called, why=fields[0].fault),)
    named = ", ".join(one.called for one in fields[:_NAMED])
    if len(fields) > _NAMED:
        return (Said("seen.many_not_read", fields=named, more=len(fields) - _NAMED),)
    return (Said("seen.some_not_read", fields=named),)


def _called(one: Heard, folder: Path) -> Heard:
    """Tell a field from another of the same name: they share no more than their variety."""
    return replace(one, place=replace(one.place, field=f"{one.place.field} ({folder.name})"))


def beside(settings: Settings, *, today: date | None, clock: date | None, seed: int) -> SeenCounts:
    """Read the counts of the other fields of a field's farm."""
    if settings.farm_folder is None or settings.farm_folder == settings.folder:
        return SeenCounts()
    others = [one for one in fields_of(settings.farm_folder) if one.resolve() != settings.folder.resolve()]
    return gather(others, today=today, clock=clock, seed=seed)


def situation_of(settings: Settings, given: FieldInputs, today: date, seed: int) -> Situation:
    """Say where, when and under which seed a field is forecast."""
    return Situation(
        field=settings.name,
        habit=settings.habit,
        latitude_deg=given.latitude_deg,
        today=today,
        seed=seed,
    )


def known_of(settings: Settings, given: FieldInputs, today: date, seed: int) -> spots.Known:
    """Forecast a field's blocks by the model alone; alike neighbours are joined first, where that is wanted.

    The blocks that count from here on are those of the result.
    """
    situation = situation_of(settings, given, today, seed)
    made = forecast(given.blocks, given.weather, situation)
    now = _alike_joined(settings, given, made)
    if now is not given:
        made = forecast(now.blocks, now.weather, situation)
    return spots.Known(given=now, made=made, situation=situation)


def alike_joined(settings: Settings, given: FieldInputs, today: date, seed: int) -> FieldInputs:
    """Join neighbouring blocks that are alike and reach R3 together, where that is wanted, and say it."""
    if not is_wanted(settings, given):
        return given
    return known_of(settings, given, today, seed).given


def _alike_joined(settings: Settings, given: FieldInputs, made: Forecast) -> FieldInputs:
    r3_day = [np.nan if one is None else float(np.median(one.of("R3"))) for one in made.stages]
    now, told = joined(given, r3_day, is_wanted(settings, given))
    return replace(now, notes=(*now.notes, *told)) if told else given


def _heard(settings: Settings, today: date | None, seed: int) -> tuple[Heard, ...]:
    if today is None:
        raise ValueError("no day to look back from: give today or clock")
    given = read.field(settings, today, layers=False)
    return spots.heard_in(known_of(settings, given, today, seed)) if given.counts else ()
