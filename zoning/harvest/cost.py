"""What the pass cost that the strips judge: its volume, its machine, and the tracks that it left."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from math import isfinite

from zoning.inputs.given import FieldInputs, Sprayed, as_compared
from zoning.inputs.harvest.ground import recorded
from zoning.offers.basis import left_tracks
from zoning.returns.terms import CostLine
from zoning.returns.tracks import loss_frac
from zoning.settings.model import Settings, Sprayer
from zoning.strips.answer.money import lines_of, money_of
from zoning.strips.terms import Money


def cost_of_trial(
    settings: Settings, given: FieldInputs, treated_on: Sequence[date], mean_yield_bu_ac: float
) -> tuple[Money | None, tuple[CostLine, ...]]:
    """Give price and cost of the pass of a trial, and the lines of its bill.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
        With what done.csv says of this season.
    treated_on : sequence of date
        The days of the pass.
    mean_yield_bu_ac : float
        Of the harvest, for crop pressed down; where it is not known, the expected one counts. [bu/ac]

    Returns
    -------
    money : Money or None
        None without [money].
    costs : tuple of CostLine
    """
    rows = [one for one in given.sprayed if one.on in treated_on and _is_of_product(settings, one)]
    volume = next((one.rate_gal_ac for one in rows if one.rate_gal_ac is not None), None)
    sprayer = _sprayer(settings, rows)
    if not isfinite(mean_yield_bu_ac):  # no point is kept; then no pair counts either
        mean_yield_bu_ac = settings.expected_yield_bu_ac or 0.0
    tracks = 0.0 if sprayer is None else _pressed_frac(settings, given, sprayer, rows) * mean_yield_bu_ac
    money = money_of(settings, volume, tracks, sprayer=sprayer)
    return money, lines_of(settings, volume, sprayer=sprayer)


def _sprayer(settings: Settings, rows: Sequence[Sprayed]) -> Sprayer | None:
    """Find the sprayer of the pass: the one on record, else the first."""
    return next(iter(recorded.sprayers(settings, rows)), None)


def _is_of_product(settings: Settings, row: Sprayed) -> bool:
    """Whether a pass was with the product that is tried: others of the same day cost what they cost."""
    return settings.product is None or as_compared(row.product) == as_compared(settings.product.name)


def _pressed_frac(settings: Settings, given: FieldInputs, sprayer: Sprayer, rows: Sequence[Sprayed]) -> float:
    """Share of the crop that new tracks of this pass pressed down; 0 where an earlier pass had made them."""
    first = min((one.on for one in rows), default=date.max)
    before = replace(given, sprayed=tuple(one for one in given.sprayed if one.on < first))
    if left_tracks(sprayer, before) is not None:
        return 0.0
    planted = max(block.planted for block in given.blocks)
    return loss_frac(sprayer, settings.row_spacing_m, planted, given.latitude_deg)
