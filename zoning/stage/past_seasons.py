"""What past seasons tell of the stage model in a field and a variety: how far off R3 was, with shrinkage.

A past season is a place of another season: it shares the lasting part of the errors of its variety and field.
Which files seasons stand in is not known here.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

import numpy as np

from zoning.evidence import named, number
from zoning.inputs.season_book import Book, BookRow
from zoning.stage.counted import Heard
from zoning.stage.daylength import Floats
from zoning.stage.likelihood import GRID, count_rules
from zoning.stage.posterior import Marginal, Place, posterior
from zoning.stage.spread import key_of, model_sd_d

Kind = Literal["field", "variety"]
_NOBODY = "\0"  # a name that no variety and no field has


@dataclass(frozen=True, slots=True, kw_only=True)
class StageBias:
    """How much earlier (-) or later (+) than the model R3 came, of one field or variety, with shrinkage."""

    kind: Kind
    name: str
    seasons: int
    seen_d: float  # mean of what was seen less what was forecast
    shrunk_d: float
    sd_d: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """What one block of a past season tells: `error_d` of the model there, give or take `sd_d`.

    `seen_d` is what was seen less what was forecast, as it stands in the book.
    """

    row: BookRow
    seen_d: float
    error_d: float
    sd_d: float


def past(rows: Sequence[BookRow], season: int, habit: str, called: Mapping[str, str]) -> tuple[Heard, ...]:
    """Say what the seasons before one tell of it.

    Parameters
    ----------
    rows : sequence of BookRow
        Of all fields of the farm; rows of `season` and later tell nothing.
    season : int
        The one that is forecast.
    habit : str
        "indeterminate" or "determinate", of the crop.
    called : mapping of str to str
        Folder of a field -> its name in `Place`. A field that is not named there shares no more than its
        varieties with those that are.

    Returns
    -------
    tuple of Heard
        One for each block of each season in which R3 was forecast and seen.

    Notes
    -----
    A row that has both SDs holds what was known before and after counts; the counts alone say the quotient
    of the two normals. Where that has no positive precision nothing was counted, and the row tells nothing.
    A day that somebody wrote down is taken as seen, give or take `stage.r3_noted_sd_d`. What the forecast
    did not know beyond the model's own error, as the weather of a calendar forecast, is that season's alone
    and widens what it tells.

    Examples
    --------
    >>> from datetime import date
    >>> row = BookRow(
    ...     season=2025, field="n", variety="P19", r3_forecast=date(2025, 7, 10), r3_seen=date(2025, 7, 6)
    ... )
    >>> (one,) = past([row], 2026, "indeterminate", {"n": "North"})
    >>> one.place.season, one.place.field, round(float(GRID[one.log_likelihood.argmax()]), 1)
    ('2025', 'North', -4.0)
    """
    told = _blocks([row for row in rows if row.season < season], habit)
    return tuple(_heard(one, habit, called) for one in told)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mattering:
    """Which past seasons matter to a field: those of its varieties (`spread.variety_key`), and its own.

    `name` is how its places are called.
    """

    varieties: frozenset[str]
    name: str


def past_of(
    book: Book, season: int, habit: str, called: Mapping[str, str], matter: Mattering
) -> tuple[Heard, ...]:
    """Say what the seasons before one tell of a field: of `past`, those that matter there.

    What a book says is weighed once for all fields of a farm.
    """
    told = _of_book(book, season, habit)
    fields = {row_field for row_field in told.fields if _called(row_field, called) == matter.name}
    at = {place for field in fields for place in told.fields[field]}
    at |= {place for variety in matter.varieties for place in told.varieties.get(variety, ())}
    return tuple(_heard(told.blocks[place], habit, called) for place in sorted(at))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _OfBook:
    """What each block tells, and which ones are of a field or variety."""

    blocks: tuple[_Told, ...]
    fields: Mapping[str, tuple[int, ...]]
    varieties: Mapping[str, tuple[int, ...]]


@lru_cache(maxsize=8)  # method: books remembered
def _of_book(book: Book, season: int, habit: str) -> _OfBook:
    blocks = _blocks([row for row in book.rows if row.season < season], habit)
    fields: dict[str, list[int]] = {}
    varieties: dict[str, list[int]] = {}
    for place, one in enumerate(blocks):
        fields.setdefault(one.row.field, []).append(place)
        varieties.setdefault(_place(one, habit, {}).variety, []).append(place)
    return _OfBook(
        blocks=tuple(blocks),
        fields={name: tuple(places) for name, places in fields.items()},
        varieties={name: tuple(places) for name, places in varieties.items()},
    )


def biases(rows: Sequence[BookRow], season: int, habit: str = "indeterminate") -> tuple[StageBias, ...]:
    """Say how far off R3 was in the seasons up to one, by field and by variety, and what of it lasts.

    Parameters
    ----------
    rows : sequence of BookRow
        Of all fields of the farm; those of seasons after `season` are left out.
    season : int
    habit : str
        "indeterminate" or "determinate".

    Returns
    -------
    tuple of StageBias
        Fields first, then varieties. `seen_d` is the mean over the seasons; `shrunk_d` and `sd_d` are of the
        lasting part of the error of that field, or variety, after all rows together.

    Examples
    --------
    >>> from datetime import date
    >>> row = BookRow(season=2025, field="n", r3_forecast=date(2025, 7, 10), r3_seen=date(2025, 7, 6))
    >>> [(one.kind, one.seen_d, round(one.shrunk_d, 2)) for one in biases([row], 2025)]
    [('field', -4.0, -0.39)]
    """
    told = _blocks([row for row in rows if row.season <= season], habit)
    of_fields = _grouped(told, lambda one: one.row.field)
    of_varieties = _grouped([one for one in told if _variety(one.row)], lambda one: _variety(one.row))
    kinds: list[tuple[Kind, str, list[_Told]]] = [("field", *one) for one in of_fields.items()]
    kinds += [("variety", *one) for one in of_varieties.items()]
    # a place that shares nothing but the field, or the variety, in a season to come
    places = [_sharing(kind, key, of_one[-1].row, habit) for kind, key, of_one in kinds]
    heard = [_heard(one, habit, {}) for one in told]
    logs = np.array([one.log_likelihood for one in heard]).reshape(len(heard), len(GRID))
    rules = replace(count_rules(), floor_d=0.0)
    after = posterior([one.place for one in heard], logs, places, rules)
    return tuple(
        _bias(kind, key, of_one, place, marginal)
        for (kind, key, of_one), place, marginal in zip(kinds, places, after, strict=True)
    )


def _sharing(kind: Kind, key: str, row: BookRow, habit: str) -> Place:
    is_field = kind == "field"
    return Place(
        variety=_NOBODY if is_field else key,
        field=_called(row.field, {}) if is_field else _NOBODY,
        zone=_NOBODY,
        sd_d=_model_sd_d(row, habit),
    )


def _bias(kind: Kind, key: str, told: Sequence[_Told], place: Place, after: Marginal) -> StageBias:
    # what does not last is as uncertain as before
    lasts = named("stage.error_variance_share")[kind] * named("stage.error_persists_frac")[kind]
    variance_d2 = after.sd_d**2 - (1 - lasts) * place.sd_d**2
    by_season = _grouped(told, lambda one: str(one.row.season))
    row = told[-1].row
    return StageBias(
        kind=kind,
        name=row.field if kind == "field" else row.variety or key,
        seasons=len(by_season),
        seen_d=float(np.mean([np.mean([one.seen_d for one in of_one]) for of_one in by_season.values()])),
        shrunk_d=after.mean_d,
        sd_d=float(np.sqrt(max(variance_d2, 0))),
    )


def _grouped(told: Iterable[_Told], key: Callable[[_Told], str]) -> dict[str, list[_Told]]:
    found: dict[str, list[_Told]] = {}
    for one in told:
        found.setdefault(key(one), []).append(one)
    return dict(sorted(found.items()))


def _blocks(rows: Sequence[BookRow], habit: str) -> list[_Told]:
    """Take what each block tells, once: the zones of a block repeat it.

    A row of the whole field beside rows of its blocks that tell says the same once more, and is left out.
    """
    told = [one for row in rows if (one := _told(row, habit)) is not None]
    with_blocks = {(one.row.season, one.row.field) for one in told if one.row.block}
    found: dict[tuple[int, str, str, str], list[_Told]] = {}
    for one in told:
        row = one.row
        if row.block or (row.season, row.field) not in with_blocks:
            found.setdefault((row.season, row.field, row.block, _variety(row)), []).append(one)
    return [_together(of_block) for _, of_block in sorted(found.items())]


def _together(told: Sequence[_Told]) -> _Told:
    """Average rows of one block that differ: they are no further seasons, so none makes it surer."""
    apart = {(one.seen_d, one.error_d, one.sd_d): one for one in told}.values()
    return replace(
        told[0],
        seen_d=float(np.mean([one.seen_d for one in apart])),
        error_d=float(np.mean([one.error_d for one in apart])),
        sd_d=max(one.sd_d for one in apart),
    )


def _told(row: BookRow, habit: str) -> _Told | None:
    if row.r3_forecast is None or row.r3_seen is None:
        return None
    seen_d = float((row.r3_seen - row.r3_forecast).days)
    before_d, after_d = row.r3_forecast_sd_d, row.r3_seen_sd_d
    floor_d, model_d = number("stage.count_floor_d"), _model_sd_d(row, habit)
    error_d, precision = seen_d, 0.0
    if before_d is not None and after_d is not None:
        # eq. quotient of two normals: what counts alone say
        precision = 1 / max(after_d, floor_d) ** 2 - 1 / before_d**2
        if precision <= 0:
            return None
        error_d = seen_d / max(after_d, floor_d) ** 2 / precision
    else:
        precision = max(after_d or number("stage.r3_noted_sd_d"), floor_d) ** -2
    beyond_d2 = 0.0 if before_d is None else max(before_d**2 - model_d**2, 0)
    return _Told(row=row, seen_d=seen_d, error_d=error_d, sd_d=float(np.sqrt(1 / precision + beyond_d2)))


def _model_sd_d(row: BookRow, habit: str) -> float:
    group = row.maturity_group
    return model_sd_d(number("stage.early_groups_to") if group is None else group, habit)


def _variety(row: BookRow) -> str:
    return key_of(row.variety, row.maturity_group)


def _called(folder: str, called: Mapping[str, str]) -> str:
    return called.get(folder, f"folder {folder}")


def _heard(told: _Told, habit: str, called: Mapping[str, str]) -> Heard:
    return Heard(place=_place(told, habit, called), log_likelihood=_log_normal(told.error_d, told.sd_d))


@lru_cache(maxsize=4096)  # method: rows remembered
def _log_normal(mean_d: float, sd_d: float) -> Floats:
    """Log of a normal density on `GRID`: days are whole and SDs few, so that many blocks say the same."""
    found = np.asarray(-(((GRID - mean_d) / sd_d) ** 2) / 2)  # eq. log normal
    found.setflags(write=False)
    return found


def _place(told: _Told, habit: str, called: Mapping[str, str]) -> Place:
    row = told.row
    return Place(
        variety=_variety(row) or f"unknown, {row.field} {row.season}",
        field=_called(row.field, called),
        zone=f"block {row.block}",
        sd_d=_model_sd_d(row, habit),
        season=str(row.season),
    )
