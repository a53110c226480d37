"""How the errors of places go together, and what normal sites at some of them say of them all.

x = loads z + own: z are the parts that places of several units share, one for each variety and season; own is
independent between units, and a unit is a field in all its seasons. So the work grows with the number of
places, not with its cube. Which likelihoods stand behind the sites is not known here.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from zoning.evidence import named
from zoning.stage.daylength import Floats

Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]
_LARGE = 120  # method: of a field with more counted places the zones are units, and its own part is shared


@dataclass(frozen=True, slots=True)
class Place:
    """A zone of a field in a season, and how far the model may be off there.

    `zone` is unique within its field; `variety` is the key of the shared part (`spread.variety_key`). [d]
    `season` is empty for the one that is forecast; of its errors a past one shares what persists.
    """

    variety: str
    field: str
    zone: str
    sd_d: float
    season: str = ""


def covariance(places_a: Sequence[Place], places_b: Sequence[Place]) -> Floats:
    """Give the prior covariance of the shifts of places, shape (a, b), in d2.

    Each part of the error has a share that is the same in every season and one that is a season's own, so
    that places of two seasons share no more than `stage.error_persists_frac` of it.

    Examples
    --------
    >>> here, there = Place("v", "North", "1", 5.0), Place("v", "North", "2", 5.0)
    >>> covariance([here], [here, there]).round(2).tolist()
    [[25.0, 21.0]]
    """
    both = _coded([*places_a, *places_b])
    count = len(places_a)
    a, b = np.arange(count)[:, None], np.arange(count, len(both.sd_d))[None]
    return both.sd_d[a] * _correlation(both, a, b) * both.sd_d[b]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Coded:
    """Places with a number for each name, shape (places,)."""

    parts: dict[str, Ints]  # variety, field and block
    season: Ints
    sd_d: Floats


def _numbers(names: Sequence[object]) -> Ints:
    number_of: dict[object, int] = {}
    return np.array([number_of.setdefault(name, len(number_of)) for name in names], dtype=np.int64)


def _coded(places: Sequence[Place]) -> _Coded:
    return _Coded(
        parts={
            "variety": _numbers([one.variety for one in places]),
            "field": _numbers([one.field for one in places]),
            "block": _numbers([(one.field, one.zone) for one in places]),
        },
        season=_numbers([one.season for one in places]),
        sd_d=np.array([one.sd_d for one in places], dtype=np.float64),
    )


def _correlation(of: _Coded, a: Ints, b: Ints, apart: dict[str, Bools] | None = None) -> Floats:
    """Add up what places a and b share, rows of `of` that are broadcast; not what is held `apart`."""
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")
    together = (of.season[a] == of.season[b]).astype(np.float64)
    found = np.zeros(together.shape)
    for part, code in of.parts.items():
        same = code[a] == code[b]
        if apart is not None and part in apart:
            same &= ~apart[part][a]
        found += share[part] * same * (together + (1 - together) * lasts[part])
    return found


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Units:
    """Units with as many counted places and shared parts as each other, along the first axis."""

    rows: Ints  # (units, places)
    parts: Ints  # (units, parts)
    own_d2: Floats  # (units, places, places)
    loads_d: Floats  # (units, places, parts)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Structure:
    """The prior of counted places and of asked ones, which stand behind them, taken apart.

    `shared` is the covariance of the shared parts; `part_of` has their numbers for each place, -1 for none.
    """

    counted: int
    coded: _Coded
    apart: dict[str, Bools]
    unit: Ints
    shared: Floats
    part_of: dict[str, Ints]
    units: tuple[_Units, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Normals:
    """Means and variances of the shifts of places, shape (places,), in d and d2."""

    mean_d: Floats
    var_d2: Floats


def structure(counted: Sequence[Place], asked: Sequence[Place]) -> Structure:
    """Take the prior of places apart into what several units share and what is each unit's own.

    Parameters
    ----------
    counted : sequence of Place
        Where sites will be; no zone of a season twice.
    asked : sequence of Place
        Further places of which something is wanted.
    """
    coded = _coded([*counted, *asked])
    field, n = coded.parts["field"], len(counted)
    is_large = (np.bincount(field[:n], minlength=field.max(initial=-1) + 1) > _LARGE)[field]
    unit = np.unique(np.where(is_large, coded.parts["block"] + len(field), field), return_inverse=True)[1]
    pairs = np.unique(np.stack([coded.parts["variety"], unit]), axis=1)
    spans = np.bincount(pairs[0], minlength=1) > 1
    apart = {"variety": spans[coded.parts["variety"]] if len(field) else is_large, "field": is_large}
    part_of, shared = _shared_parts(coded, apart)
    units = _units(coded, apart, unit[:n], {part: of[:n] for part, of in part_of.items()})
    return Structure(
        counted=n, coded=coded, apart=apart, unit=unit, shared=shared, part_of=part_of, units=units
    )


def _shared_parts(coded: _Coded, apart: dict[str, Bools]) -> tuple[dict[str, Ints], Floats]:
    """Give each place the numbers of its shared parts, one for each name and season, and their covariance."""
    share, lasts = named("stage.error_variance_share"), named("stage.error_persists_frac")
    part_of: dict[str, Ints] = {}
    blocks: list[Floats] = []
    first = 0
    for part, held in apart.items():
        code, season = coded.parts[part], coded.season
        pairs, number = np.unique(np.stack([code, season])[:, held], axis=1, return_inverse=True)
        part_of[part] = np.full(len(code), -1)
        part_of[part][held] = first + number
        first += pairs.shape[1]
        same = pairs[0][:, None] == pairs[0]
        together = pairs[1][:, None] == pairs[1]
        blocks.append(share[part] * same * (together + ~together * lasts[part]))
    shared = np.zeros((first, first))
    at = 0
    for block in blocks:
        shared[at : at + len(block), at : at + len(block)] = block
        at += len(block)
    return part_of, shared


def _units(
    coded: _Coded, apart: dict[str, Bools], unit: Ints, part_of: dict[str, Ints]
) -> tuple[_Units, ...]:
    """Put units of one size side by side."""
    of_part = np.concatenate([np.stack([unit, of])[:, of >= 0] for of in part_of.values()], axis=1)
    needed = np.unique(of_part, axis=1)
    count = unit.max(initial=-1) + 1
    places, parts = np.bincount(unit, minlength=count), np.bincount(needed[0], minlength=count)
    rows = np.argsort(unit, kind="stable")
    row_at, part_at = np.cumsum(places) - places, np.cumsum(parts) - parts
    found = []
    for size, width in np.unique(np.stack([places, parts]), axis=1).T:
        which = np.flatnonzero((places == size) & (parts == width) & (places > 0))
        if not len(which):
            continue
        of = rows[row_at[which][:, None] + np.arange(size)]
        named_parts = needed[1][part_at[which][:, None] + np.arange(width)]
        is_of = sum(
            (one[of][:, :, None] == named_parts[:, None]).astype(np.float64) for one in part_of.values()
        )
        a, b = of[:, :, None], of[:, None]
        own_d2 = coded.sd_d[a] * _correlation(coded, a, b, apart) * coded.sd_d[b]
        loads_d = coded.sd_d[of][:, :, None] * is_of
        found.append(_Units(rows=of, parts=named_parts, own_d2=own_d2, loads_d=loads_d))
    return tuple(found)


def after_sites(of: Structure, precision: Floats, shift: Floats) -> Normals:
    """Give the marginals of the counted places under a normal site at each.

    Parameters
    ----------
    of : Structure
        From `structure`.
    precision, shift : ndarray
        Shape (counted,): of each site, in 1/d2, and times its mean, in 1/d.

    References
    ----------
    Woodbury 1950, "Inverting modified matrices": the shared parts are few beside the places.
    """
    solved = [_solved(units, precision, shift) for units in of.units]
    z, z_cov = _shared_after(of, precision, shift, solved)
    mean_d, var_d2 = np.zeros(of.counted), np.zeros(of.counted)
    for units, (own_d2, loads_d) in zip(of.units, solved, strict=True):
        mean_d[units.rows] = (own_d2 @ shift[units.rows][..., None] + loads_d @ z[units.parts][..., None])[
            ..., 0
        ]
        here = z_cov[units.parts[:, :, None], units.parts[:, None]]
        var_d2[units.rows] = np.diagonal(own_d2, axis1=1, axis2=2) + ((loads_d @ here) * loads_d).sum(axis=2)
    return Normals(mean_d=mean_d, var_d2=var_d2)


def _solved(units: _Units, precision: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """Give covariance and loads of a unit's places once its own sites are known and the shared parts too."""
    size = units.rows.shape[1]
    # eq. (I + own precision)^-1 (own, loads)
    system = np.eye(size) + units.own_d2 * precision[units.rows][:, None]
    both = np.linalg.solve(system, np.concatenate([units.own_d2, units.loads_d], axis=2))
    return both[:, :, :size], both[:, :, size:]


def _shared_after(
    of: Structure, precision: Floats, shift: Floats, solved: Sequence[tuple[Floats, Floats]]
) -> tuple[Floats, Floats]:
    """Give mean and covariance of the shared parts under all sites."""
    told = np.zeros(of.shared.shape)
    told_shift = np.zeros(len(of.shared))
    for units, (_, loads_d) in zip(of.units, solved, strict=True):
        turned = loads_d.swapaxes(1, 2)
        here = turned @ (precision[units.rows][..., None] * units.loads_d)
        np.add.at(told, (units.parts[:, :, None], units.parts[:, None]), here)
        np.add.at(told_shift, units.parts, (turned @ shift[units.rows][..., None])[..., 0])
    # eq. (shared^-1 + told)^-1, without the inverse of what may be singular
    covariance_after = np.linalg.solve(np.eye(len(told)) + of.shared @ told, of.shared)
    return np.asarray(covariance_after @ told_shift), np.asarray(covariance_after)


def asked_after(of: Structure, precision: Floats, shift: Floats) -> Normals:
    """Give the marginals of the asked places under a normal site at each counted one; see `after_sites`."""
    z, z_cov = _shared_after(of, precision, shift, [_solved(units, precision, shift) for units in of.units])
    n = of.counted
    asked = np.arange(n, len(of.unit))
    loads_d = _loads(of, asked)
    before_d2 = ((loads_d @ of.shared) * loads_d).sum(axis=1)
    mean_d, told_d2 = np.zeros(len(asked)), np.zeros(len(asked))
    by_unit = np.argsort(of.unit[:n], kind="stable")
    first = np.searchsorted(of.unit[:n][by_unit], np.arange(of.unit.max(initial=-1) + 2))
    for unit in np.unique(of.unit[n:]):
        at, rows = np.flatnonzero(of.unit[n:] == unit), by_unit[first[unit] : first[unit + 1]]
        # eq. normal conditional in the unit: (I + precision own)^-1 (shift, precision across')
        system = np.eye(len(rows)) + precision[rows][:, None] * _own(of, rows, rows)
        across_d2 = _own(of, asked[at], rows)
        gain = np.linalg.solve(system, precision[rows][:, None] * across_d2.T)
        mean_d[at] = across_d2 @ np.linalg.solve(system, shift[rows])
        told_d2[at] = (across_d2 * gain.T).sum(axis=1)
        loads_d[at] -= gain.T @ _loads(of, rows)
    left_d2 = ((loads_d @ z_cov) * loads_d).sum(axis=1)
    return Normals(
        mean_d=mean_d + loads_d @ z,
        var_d2=of.coded.sd_d[n:] ** 2 - told_d2 - (before_d2 - left_d2),
    )


def _own(of: Structure, a: Ints, b: Ints) -> Floats:
    """Give what places of one unit share beyond the shared parts, in d2."""
    sd_d = of.coded.sd_d
    return sd_d[a][:, None] * _correlation(of.coded, a[:, None], b[None], of.apart) * sd_d[b]


def _loads(of: Structure, rows: Ints) -> Floats:
    """Give the weights of the shared parts in places, shape (rows, parts), in d."""
    found = np.zeros((len(rows), len(of.shared)))
    for parts in of.part_of.values():
        held = parts[rows] >= 0
        found[np.flatnonzero(held), parts[rows][held]] = of.coded.sd_d[rows][held]
    return found
