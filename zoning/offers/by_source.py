"""What each response source says of each zone, side by side, on the best option that the label leaves it."""

import numpy as np

from zoning.offers.judged import judged_together
from zoning.offers.offered import OfferedZone, Options
from zoning.plan import SOURCES, SourceReturn
from zoning.returns.price import best_option, price
from zoning.returns.terms import Priced, ZoneCase, ZoneReturn
from zoning.settings.model import Source

BySource = dict[Source, SourceReturn | None]


def by_source(zones: tuple[OfferedZone, ...], options: Options) -> tuple[BySource, ...]:
    """Say what each response source would do with each zone; visit costs are not in it.

    Parameters
    ----------
    zones : tuple of OfferedZone
        With their cases under every source.
    options : Options
        Days that are closed in a zone are closed under every source.

    Returns
    -------
    tuple of dict of str to SourceReturn or None
        One for each zone; None where a source has no figures or no day is left.
    """
    answers: tuple[BySource, ...] = tuple(dict.fromkeys(SOURCES) for _ in zones)
    cases = {
        (source, row): case
        for source in SOURCES
        for row, one in enumerate(zones)
        if (case := one.cases_by_source.get(source))
    }
    priced = _priced(cases, options)
    best = {key: best_option(priced, at) for at, key in enumerate(cases)}
    for source in SOURCES:
        asked = {
            row: (case, option)
            for (of, row), case in cases.items()
            if of == source and (option := best[of, row]) is not None
        }
        for row, there in judged_together(asked, options).items():
            answers[row][source] = _answer(there.returned)
    return answers


def _priced(cases: dict[tuple[Source, int], ZoneCase], options: Options) -> Priced:
    """Price zones (by source and row) together, as they share stages, on the days that stand open in each."""
    priced = price(list(cases.values()), options.priced.days, options.priced.volumes_gal_ac, options.terms)
    return priced.without(np.isnan(options.priced.net_usd_ac[[row for _, row in cases]]))


def _answer(there: ZoneReturn) -> SourceReturn:
    return SourceReturn(
        action="spray" if there.worth_it else "skip",
        net_usd_ac=there.net_mean_usd_ac,
        chance_pays=there.chance_frac,
        needed_response_bu_ac=there.break_even_response_bu_ac,
    )
