"""Rows of season.csv: what was forecast for each zone of a field in a season, and what came; no file."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from zoning.inputs.given import Block, FieldInputs
from zoning.inputs.planted.sown import season_of
from zoning.inputs.season_book import BookRow
from zoning.offers import spots
from zoning.seen import known_of, situation_of
from zoning.settings.model import Settings
from zoning.stage.forecast import forecast
from zoning.stage.likelihood import count_rules
from zoning.stage.modelled import Modelled
from zoning.stage.posterior import posterior
from zoning.strips.learned.judged import PlannedZone
from zoning.strips.learned.learned_terms import JudgedZone
from zoning.units import date_from_day

_DIGITS = 4  # of figures in the book: more than anybody reads, few enough to edit


@dataclass(frozen=True, slots=True, kw_only=True)
class _BlockSeen:
    """A block, and R3 there: by the model alone, and by the counts in it, each with its SD."""

    block: Block
    forecast: date | None = None
    forecast_sd_d: float | None = None
    seen: date | None = None
    seen_sd_d: float | None = None


def book_rows(
    settings: Settings,
    given: FieldInputs,
    when: tuple[date, int],
    planned: Sequence[PlannedZone],
    judged: Sequence[JudgedZone],
) -> tuple[BookRow, ...]:
    """Give the rows of this season for a field.

    Parameters
    ----------
    settings : Settings
    given : FieldInputs
        With the season's weather and counts.
    when : tuple of date and int
        The day to look back from, and the seed.
    planned : sequence of PlannedZone
        Of the plan that counts; without one each block has a row.
    judged : sequence of JudgedZone
        Of the same zones.

    Returns
    -------
    tuple of BookRow
        In the order of the zones.

    Raises
    ------
    InputError
        Where the stage model cannot run.

    Notes
    -----
    Each block is looked at by itself: its day of R3 after its own counts and nothing else, so that the book
    holds every count once. Counts in other blocks and fields, and past seasons, have rows of their own. A
    block without a count has none. The forecast is that of the weather that really came, where it is known,
    so that it differs from what was seen by the model's error.
    """
    ways = _blocks(settings, given, *when)
    whole = BookRow(
        season=season_of(settings, when[0], given.latitude_deg), field=settings.folder.resolve().name
    )
    if not planned:
        return tuple(_with_block(whole, one) for one in ways[-1])
    by_zone = {one.zone: one for one in judged}
    return tuple(
        _with_outcome(_with_plan(whole, zone, _block_of(zone, ways)), by_zone.get(zone.zone))
        for zone in planned
    )


def _with_plan(row: BookRow, zone: PlannedZone, of_block: _BlockSeen | None) -> BookRow:
    row = row if of_block is None else _with_block(row, of_block)
    return replace(
        row,
        zone=zone.zone,
        block=zone.block,
        planted=zone.planted or row.planted,
        maturity_group=row.maturity_group if zone.maturity_group is None else zone.maturity_group,
        action=zone.action,
        chance_pays=_rounded(zone.forecast_chance),
        net_usd_ac=_rounded(zone.forecast_net_usd_ac),
    )


def _with_block(row: BookRow, one: _BlockSeen) -> BookRow:
    return replace(
        row,
        block=one.block.name,
        variety=one.block.variety,
        maturity_group=one.block.maturity_group,
        planted=one.block.planted,
        r3_forecast=one.forecast,
        r3_forecast_sd_d=_rounded(one.forecast_sd_d),
        r3_seen=one.seen,
        r3_seen_sd_d=_rounded(one.seen_sd_d),
    )


def _with_outcome(row: BookRow, judged: JudgedZone | None) -> BookRow:
    if judged is None:
        return row
    return replace(
        row,
        sprayed=None if np.isnan(judged.sprayed_frac) else judged.sprayed_frac >= 0.5,
        response_bu_ac=_rounded(judged.response_bu_ac),
        response_se_bu_ac=_rounded(judged.response_se_bu_ac),
        chance_paid=_rounded(judged.chance_pays),
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None or not np.isfinite(value) else round(value, _DIGITS)


def _block_of(zone: PlannedZone, ways: Sequence[Sequence[_BlockSeen]]) -> _BlockSeen | None:
    """Find the block of a zone: by its name, where planting day and group are those of the plan.

    Blocks that are alike may have been joined then and not now, or the other way round, and letters then
    stand for others: so where the name does not fit, planting day and group must, and of one block alone.
    """
    alike = [[one for one in way if _is_like(zone, one.block)] for way in ways]
    named = [one for way in alike for one in way if one.block.name == zone.block]
    alone = [way[0] for way in alike if len(way) == 1]
    return next(iter([*named, *alone]), None)


def _is_like(zone: PlannedZone, block: Block) -> bool:
    same_day = zone.planted is None or zone.planted == block.planted
    return same_day and zone.maturity_group in (None, block.maturity_group)


def _blocks(
    settings: Settings, given: FieldInputs, today: date, seed: int
) -> tuple[tuple[_BlockSeen, ...], ...]:
    """Look at the blocks in each way a plan may: alike ones joined, and where any are, each alone."""
    known = known_of(settings, given, today, seed)
    if known.given is given:
        return (tuple(_seen(known)),)
    situation = situation_of(settings, given, today, seed)
    made = forecast(given.blocks, given.weather, situation)
    alone = spots.Known(given=given, made=made, situation=situation)
    return tuple(_seen(known)), tuple(_seen(alone))


def _seen(known: spots.Known) -> Iterator[_BlockSeen]:
    heard = {one.place.zone: one for one in spots.heard_in(known)}
    for block, made in zip(known.given.blocks, known.made.blocks, strict=True):
        one = _BlockSeen(block=block)
        if made is not None:
            sd_d = _sd_d(made)
            forecast_day = made.expected().r3_day
            one = replace(one, forecast=date_from_day(forecast_day), forecast_sd_d=sd_d)
            told = heard.get(spots.block_name(block.name))
            if told is not None:
                place = replace(told.place, sd_d=sd_d)
                (after,) = posterior([place], told.log_likelihood[None], [place], count_rules())
                # whole days: the move is rounded, not two days with it
                seen = date_from_day(forecast_day) + timedelta(days=round(after.mean_d))
                one = replace(one, seen=seen, seen_sd_d=after.sd_d)
        yield one


def _sd_d(made: Modelled) -> float:
    """SD of R3 by the model: its own error, and the weather that nobody knew, as in a calendar forecast."""
    return float(np.hypot(made.sd_d, made.r3_day.std()))
