"""How good forecast chances were: zones by their chance, against what the strips then said of them."""

from collections.abc import Sequence

import numpy as np

from zoning.evidence import number
from zoning.inputs.season_book import BookRow
from zoning.strips.learned.learned_terms import ReliabilityBin
from zoning.words import Said

_BINS = 5  # method: chances are sorted into fifths, so that a few seasons fill them


def reliability(rows: Sequence[BookRow]) -> tuple[tuple[ReliabilityBin, ...], float | None, float | None]:
    """Compare chances that were forecast with what came.

    Parameters
    ----------
    rows : sequence of BookRow
        Those that have both a chance forecast and a chance by the strips count, each the same.

    Returns
    -------
    bins : tuple of ReliabilityBin
        From low to high chances; those without a zone are left out. A chance on an edge is in the upper one.
    brier : float or None
        Mean squared error of the chances; None without outcomes.
    brier_of_mean : float or None
        That of a forecast that always says the mean of what came, which no such forecast beats.

    Notes
    -----
    Strips say with a chance whether a pass paid. A zone counts as paid with that chance, and as not paid with
    the rest of it: its squared error is the mean over both, q (f - 1)^2 + (1 - q) f^2. Strips that tell
    little have q near a half, and so draw what came towards a half. Zones of one field and season are no
    independent witnesses.

    References
    ----------
    Brier 1950, "Verification of forecasts expressed in terms of probability", Monthly Weather Review 78:1-3.

    Examples
    --------
    >>> rows = [BookRow(season=2025, field="n", zone=z, chance_pays=0.7, chance_paid=z / 2) for z in (1, 2)]
    >>> bins, brier, brier_of_mean = reliability(rows)
    >>> [(one.low, one.high, one.zones, round(one.paid_frac, 2)) for one in bins], round(brier, 3)
    ([(0.6, 0.8, 2, 0.75)], 0.19)
    """
    told = _told(rows)
    if not told:
        return (), None, None
    forecast = np.array([row.chance_pays for row in told], dtype=np.float64)
    paid = np.array([row.chance_paid for row in told], dtype=np.float64)
    season = np.array([row.season for row in told])
    edges = np.linspace(0, 1, _BINS + 1).round(1)
    place = np.clip(np.searchsorted(edges, forecast, side="right") - 1, 0, _BINS - 1)
    bins = tuple(
        ReliabilityBin(
            low=float(edges[at]),
            high=float(edges[at + 1]),
            zones=int((place == at).sum()),
            seasons=len(np.unique(season[place == at])),
            mean_forecast=float(forecast[place == at].mean()),
            paid_frac=float(paid[place == at].mean()),
        )
        for at in np.unique(place)
    )
    return bins, _brier(forecast, paid), _brier(np.full_like(paid, paid.mean()), paid)


def few(rows: Sequence[BookRow]) -> tuple[Said, ...]:
    """Say where zones are too few to judge chances by; nothing where none or enough of them are known."""
    told, least = _told(rows), number("strips.reliability_few_zones")
    if not told or len(told) >= least:
        return ()
    seasons = len({row.season for row in told})
    zones = f"{len(told)} zone{'s' if len(told) > 1 else ''} of {seasons} season{'s' if seasons > 1 else ''}"
    return (Said("season.few_zones", zones=zones, least=least),)


def _told(rows: Sequence[BookRow]) -> list[BookRow]:
    return [row for row in rows if row.chance_pays is not None and row.chance_paid is not None]


def _brier(forecast: np.ndarray, paid: np.ndarray) -> float:
    return float(np.mean(paid * (forecast - 1) ** 2 + (1 - paid) * forecast**2))
