"""All seasons of a farm, as learned.toml and season.csv hold them: what trials said, and what came."""

from dataclasses import dataclass
from pathlib import Path

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.harvest.asked import Asked
from zoning.inputs import season_book
from zoning.plan import SCHEMA_VERSION
from zoning.prescription.as_json.twins import Json
from zoning.prescription.of_a_trial import learned_json
from zoning.settings import learned
from zoning.settings.learned import LearnedTrial
from zoning.settings.model import Pressure, Settings
from zoning.settings.read import faults_of_farm, fields_of, load
from zoning.settings.read import is_farm as is_farm
from zoning.show.trial import book
from zoning.stage.past_seasons import biases
from zoning.strips.answer.money import money_of
from zoning.strips.learned.believed import beliefs
from zoning.strips.learned.learned_terms import Belief, SeasonBook
from zoning.strips.learned.reliability import few, reliability


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FarmBook:
    """What a farm learned so far; `season` is the last one of it, None where there is none."""

    name: str
    season: int | None
    is_metric: bool
    trials: tuple[LearnedTrial, ...]
    beliefs: tuple[Belief, ...]
    book: SeasonBook


def book_of_farm(folder: Path, asked: Asked) -> FarmBook:
    """Read what a farm learned.

    Parameters
    ----------
    folder : Path
        With farm.toml.
    asked : Asked
        Must be empty: its options are of one field.

    Raises
    ------
    InputError
        Code 2 for an option, and for what every field has wrong; what is wrong with one of the two files.
    """
    if asked != Asked():
        mend = "Name the folder of a field, or leave the options out."
        raise InputError("options of a harvest are of one field", where=folder, mend=mend, code=SETTINGS)
    fields = fields_of(folder)
    raise_all(faults_of_farm(fields))
    settings = _first(fields)
    trials = learned.read(folder / learned.FILE)
    rows = season_book.read(folder / season_book.FILE)
    seasons = [*(one.season for one in trials), *(one.season for one in rows)]
    last = max(seasons, default=None)
    habit = settings.habit if settings is not None else "indeterminate"
    money = None if settings is None else money_of(settings, None, 0.0)
    classes: tuple[Pressure, ...] = tuple(dict.fromkeys(("unknown", *(one.pressure for one in trials))))
    return FarmBook(
        name=(settings.farm_name if settings is not None else "") or folder.resolve().name,
        season=last,
        is_metric=settings is not None and settings.units == "metric",
        trials=trials,
        beliefs=() if last is None else beliefs(trials, last, money, classes),
        book=book_of(rows, last, habit),
    )


def book_of(rows: tuple[season_book.BookRow, ...], season: int | None, habit: str) -> SeasonBook:
    """Say of the rows of a farm how reliable its chances were, and how far off R3 was."""
    bins, brier, brier_of_mean = reliability(rows)
    return SeasonBook(
        rows=rows,
        reliability=bins,
        brier=brier,
        brier_of_mean=brier_of_mean,
        biases=() if season is None else biases(rows, season, habit),
        notes=few(rows),
    )


def book_object(found: FarmBook) -> Json:
    """Give what a farm learned as an object for JSON."""
    metric = found.is_metric
    return {
        "schema_version": SCHEMA_VERSION,
        "farm": found.name,
        "season": found.season,
        "trials": learned_json.trial_rows(found.trials, metric=metric),
        "beliefs": learned_json.belief_rows(found.beliefs, metric=metric),
        "season_book": learned_json.book_object(found.book, metric=metric),
    }


def _first(fields: tuple[Path, ...]) -> Settings | None:
    """Read the settings of the first field that has some: what its farm.toml says holds for the farm."""
    for field in fields:
        try:
            return load(field, is_over=True)
        except InputError:
            continue
    return None


def book_text(found: FarmBook, width: int) -> str:
    """Give what a farm learned as text for a terminal."""
    return book.text(found.book, found.trials, found.beliefs, found.name, metric=found.is_metric, width=width)
