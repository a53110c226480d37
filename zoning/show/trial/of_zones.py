"""The answer zone by zone, where zones were told apart: one figure for all of them would mislead.

"Would have paid" is said of zones that the plan skipped: there only check strips were sprayed.
"""

from zoning.plan.trial import TrialResult
from zoning.show.figures import chance
from zoning.show.trial.trial_units import TrialUnits
from zoning.strips.terms import Money, Told, ZoneResponse
from zoning.words import Said, amounts

_SAID: dict[tuple[Told, bool], str] = {
    ("paid", False): "trial_page.zone_paid",
    ("did not pay", False): "trial_page.zone_did_not",
    ("paid", True): "trial_page.zone_would_have",
    ("did not pay", True): "trial_page.zone_would_not_have",
}
_MOST_NAMED = 5  # zones; of more than these only their number has room in a headline
_MOST_BESIDE = 3  # zones whose chances have room below one figure


def are_apart(result: TrialResult) -> bool:
    """Tell whether zones may be called different, and more than one has an answer."""
    by_zone = result.by_zone
    return (
        by_zone is not None
        and by_zone.differ
        and sum(bool(one.told and one.pairs) for one in by_zone.zones) > 1
    )


def in_a_headline(result: TrialResult, money: Money, written: TrialUnits) -> str:
    """Say where spraying paid; empty where the answer of the field is to stand for all zones.

    Parameters
    ----------
    result : TrialResult
        Any.
    money : Money
        Of its response.
    written : TrialUnits
        Of its farm.
    """
    told = _sorted(result)
    if not any(told[one] for one in _SAID):
        return ""
    parts = [
        Said(code, zones=_named(told[one]), net=_net(told[one], money, written)).text
        for one, code in _SAID.items()
        if told[one]
    ]
    spraying = Said("trial_page.zones", told=", ".join(parts)).text
    if left := told["cannot tell", False]:
        said = Said("trial_page.zone_cannot", zones=_named(left), net=_likely(left, money, written)).text
        return f"{spraying}; {said}"
    return spraying


def chances(result: TrialResult) -> str:
    """Name the chance of each zone; empty where zones are not told apart, or are many."""
    if not are_apart(result) or result.by_zone is None or len(result.by_zone.zones) > _MOST_BESIDE:
        return ""
    return ", ".join(
        Said("trial_page.zone_chance", zone=one.zone, chance=chance(one.chance_pays)).text
        for one in result.by_zone.zones
        if one.chance_pays is not None and one.pairs
    )


def _sorted(result: TrialResult) -> dict[tuple[Told, bool], list[ZoneResponse]]:
    """Sort the zones by their answer, and by whether the plan skipped them; none where they are not apart."""
    found: dict[tuple[Told, bool], list[ZoneResponse]] = {one: [] for one in _SAID}
    found["cannot tell", False] = []
    if not are_apart(result) or result.by_zone is None:
        return found
    skipped = {one.zone for one in result.judged if one.action == "skip" and not one.sprayed_frac >= 0.5}
    for one in result.by_zone.zones:
        if one.told is not None and one.pairs:
            found[one.told, one.told != "cannot tell" and one.zone in skipped].append(one)
    return found


def _named(zones: list[ZoneResponse]) -> str:
    if len(zones) > _MOST_NAMED:
        return Said("trial_page.zones_many", count=len(zones)).text
    return amounts.zones([one.zone for one in zones])


def _net(zones: list[ZoneResponse], money: Money, written: TrialUnits) -> str:
    if len(zones) > 1:
        return ""
    usd = written.usd(money.net_usd_ac(zones[0].mean_bu_ac), sign=True)
    return Said("trial_page.zone_net", net=usd, area=written.area_one).text


def _likely(zones: list[ZoneResponse], money: Money, written: TrialUnits) -> str:
    """Say how likely it paid in a zone that has no answer."""
    if len(zones) > 1 or zones[0].chance_pays is None:
        return ""
    usd = written.usd(money.net_usd_ac(zones[0].mean_bu_ac), sign=True)
    said = chance(zones[0].chance_pays)
    return Said("trial_page.zone_likely", net=usd, area=written.area_one, chance=said).text
