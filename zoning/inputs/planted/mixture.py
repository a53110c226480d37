"""What a block is called, and of which maturity group it is, where several varieties lie in strips in it.

No date is blended: the day of a mixed block is that of its middle record, which the caller knows.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from zoning import units
from zoning.inputs.grid import Floats
from zoning.inputs.planted.sown import Sown
from zoning.words import Said

_MOST_NAMED = 6  # varieties or days that are listed; the rest are counted


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedOf:
    """What lies in strips in one block: days, or what was sown, or both; empty where that does not."""

    days: tuple[date, ...]
    days_width_m: float
    kinds: tuple[Sown, ...]
    kinds_width_m: float


def blended(first: Sown, mixed: MixedOf, shares: Floats) -> Sown:
    """Give what a mixed block is taken for.

    Parameters
    ----------
    first : Sown
        Of its middle record: its days are kept.
    mixed : MixedOf
    shares : ndarray of float
        Share of the ground of each of `mixed.kinds`.

    Returns
    -------
    Sown
        Maturity group and expected yield are means by area; the yield is unknown where one of them is.

    Examples
    --------
    >>> first = Sown(date(2026, 5, 6), None, 1.8, "P", None)
    >>> both = first, replace(first, maturity_group=2.4, variety="Q")
    >>> mixed = MixedOf(days=(), days_width_m=0.0, kinds=both, kinds_width_m=9.0)
    >>> found = blended(first, mixed, np.array([0.25, 0.75]))
    >>> found.variety, found.maturity_group
    ('P and Q, in strips', 2.25)
    """
    if not mixed.kinds:
        return first
    yields = [one.expected_yield_bu_ac for one in mixed.kinds]
    known = [one for one in yields if one is not None]
    groups = [one.maturity_group for one in mixed.kinds]
    names = _names(mixed.kinds)
    return replace(
        first,
        maturity_group=round(float(np.dot(groups, shares)), 2),
        variety=f"{_listed(names)}, in strips" if len(names) > 1 else first.variety,
        expected_yield_bu_ac=float(np.dot(known, shares)) if len(known) == len(yields) else None,
    )


def said(block: str, sown: Sown, mixed: MixedOf, metric: bool) -> list[Said]:
    """Say that a block is mixed, of what, and how wide its strips are."""
    notes = []
    if mixed.days:
        days = _listed([f"{day:%b} {day.day}" for day in mixed.days])
        width = _width(mixed.days_width_m, metric)
        notes.append(Said("inputs.mixed_days", block=block, days=days, width=width, planted=sown.planted))
    if len(_names(mixed.kinds)) > 1:
        notes.append(
            Said(
                "inputs.mixed_varieties",
                block=block,
                names=_listed(_names(mixed.kinds)),
                width=_width(mixed.kinds_width_m, metric),
                group=sown.maturity_group,
            )
        )
    return notes


def _names(kinds: Sequence[Sown]) -> list[str]:
    """Name what was sown by variety, or by maturity group where the variety has no name or is not enough."""
    names = [one.variety or f"group {one.maturity_group:g}" for one in kinds]
    groups = {(name, one.maturity_group) for name, one in zip(names, kinds, strict=True)}
    if len(groups) > len(set(names)):
        names = [
            f"{name} (group {one.maturity_group:g})" if one.variety else name
            for name, one in zip(names, kinds, strict=True)
        ]
    return list(dict.fromkeys(names))


def _listed(words: Sequence[str]) -> str:
    if len(words) > _MOST_NAMED:
        words = [*words[:_MOST_NAMED], f"{len(words) - _MOST_NAMED} more"]
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _width(width_m: float, metric: bool) -> str:
    return f"{width_m:.0f} m" if metric else f"{units.ft_from_m(width_m):.0f} ft"
