"""What the strips say, in words: whether the pass paid, and whether zones differ."""

from collections.abc import Iterator
from math import isnan

from zoning.strips.terms import ByZone, Response, ZoneResponse
from zoning.units import kg_ha_from_bu_ac
from zoning.words import Said

_CODE = {"paid": "trial.paid", "did not pay": "trial.did_not_pay", "cannot tell": "trial.cannot_tell"}


def told_text(response: Response, *, is_metric: bool = False) -> Said:
    """Say whether the pass paid, with the figures that it rests on.

    Parameters
    ----------
    response : Response
    is_metric : bool
        Yields in kg/ha.

    Examples
    --------
    >>> from zoning.strips.terms import Money
    >>> told = Response(pairs=4, mean_bu_ac=4.0, sd_bu_ac=0.8, se_bu_ac=0.4, low_bu_ac=3.06, high_bu_ac=4.94,
    ...     p_two_sided=0.002, relabelled_p=0.125, from_pooled_sd=False, chance_pays=0.98, told="paid",
    ...     money=Money(price_usd_bu=10, cost_usd_ac=28, tracks_bu_ac=0), pairs_needed=None,
    ...     se_to_learn_bu_ac=1.6)
    >>> told_text(told).text
    'the pass paid: +4.0 bu/ac (90 % +3.1 to +4.9) against a break-even of 2.8, from 4 pairs of strips'
    """
    figures = {
        "mean": _signed(response.mean_bu_ac, is_metric),
        "unit": "kg/ha" if is_metric else "bu/ac",
        "low": _signed(response.low_bu_ac, is_metric),
        "high": _signed(response.high_bu_ac, is_metric),
        "pairs": f"{response.pairs} pairs" if response.pairs > 1 else "one pair",
    }
    if response.money is None or response.told is None:
        return Said("trial.no_money", **figures)
    figures["needs"] = _plain(response.money.break_even_bu_ac, is_metric)
    if response.told != "cannot tell":
        return Said(_CODE[response.told], **figures)
    if response.pairs_needed is None:
        return Said("trial.too_close", **figures)
    return Said("trial.cannot_tell", needed=response.pairs_needed, **figures)


def zones_text(by_zone: ByZone, *, is_metric: bool = False) -> tuple[Said, ...]:
    """Say whether zones may be called different, and what each returned.

    Parameters
    ----------
    by_zone : ByZone
    is_metric : bool
        Yields in kg/ha.
    """
    return tuple(_zones_text(by_zone, is_metric))


def _zones_text(by_zone: ByZone, is_metric: bool) -> Iterator[Said]:
    if len(by_zone.zones) < 2:
        return
    if isnan(by_zone.differ_p):
        yield Said("trial.zones_not_compared")
    else:
        of_100 = f"{100 * by_zone.differ_p:.0f}"  # eq. percent
        times = "fewer than 1" if of_100 == "0" else of_100
        yield Said("trial.zones_differ" if by_zone.differ else "trial.zones_alike", times=times)
    yield from (_zone_text(one, is_metric) for one in by_zone.zones)


def _zone_text(one: ZoneResponse, is_metric: bool) -> Said:
    return Said(
        "trial.zone",
        zone=one.zone,
        seen=_signed(one.seen_bu_ac, is_metric),
        unit="kg/ha" if is_metric else "bu/ac",
        pairs=f"{one.pairs} pairs" if one.pairs > 1 else "one pair",
        mean=_signed(one.mean_bu_ac, is_metric),
        low=_signed(one.low_bu_ac, is_metric),
        high=_signed(one.high_bu_ac, is_metric),
    )


def _signed(bu_ac: float, is_metric: bool) -> str:
    """Write a gain or a loss; what rounds to nothing has no minus."""
    text = f"{kg_ha_from_bu_ac(bu_ac):+.0f}" if is_metric else f"{bu_ac:+.1f}"
    return text.replace("-", "+") if not float(text) else text


def _plain(bu_ac: float, is_metric: bool) -> str:
    return f"{kg_ha_from_bu_ac(bu_ac):.0f}" if is_metric else f"{bu_ac:.1f}"
