"""Which zones changed since an earlier plan, zone by zone: what is, and what it was."""

from collections.abc import Iterator
from datetime import date

from zoning.plan import Plan, PlanZone, ZoneSince
from zoning.show.figures import Units, day
from zoning.words import Said

_LEAST_RATE_GAL_AC = 0.005  # half of the last decimal of the file
_NO_DATE = "without a date"


def since_lines(plan: Plan) -> tuple[str, ...]:
    """Say how many zones changed since the plan that `--since` named, then each of them in a line.

    Parameters
    ----------
    plan : Plan
        With `since_zones`.

    Returns
    -------
    tuple of str
        Empty where no plan was named, or it was of other zones.
    """
    if plan.since is None or not plan.since_zones:
        return ()
    lines = [
        Said("since.zone_changed", zone=zone, what="; ".join(one.text for one in what)).text
        for zone, what in changes(plan).items()
    ]
    since = str(plan.since.values["today"])
    return (how_many(len(lines), since), *lines)


def changes(plan: Plan) -> dict[int, tuple[Said, ...]]:
    """Give what is not as it was of each zone that changed since the plan that `--since` named."""
    before = {one.zone: one for one in plan.since_zones}
    units = Units(metric=plan.units == "metric")
    told = {
        one.zone: tuple(zone_changes(before[one.zone], _now(one), units))
        for one in plan.zones
        if one.zone in before
    }
    return {zone: what for zone, what in told.items() if what}


def how_many(zones: int, since: str) -> str:
    """Say how many zones changed since an earlier plan.

    Examples
    --------
    >>> how_many(3, "Tuesday"), how_many(0, "Jul 1")
    ('3 zones changed since Tuesday', 'no zone has changed since Jul 1')
    """
    if zones == 0:
        return Said("since.zones_same", day=since).text
    return Said("since.zones_changed", zones=f"{zones} zone{'s' if zones > 1 else ''}", day=since).text


def zone_changes(was: ZoneSince, now: ZoneSince, units: Units) -> Iterator[Said]:
    """Say each thing of a zone that is not as it was: its dates, then what is done there.

    Parameters
    ----------
    was, now : ZoneSince
        What two plans say of the zone.
    units : Units
        In which rates are written.

    Examples
    --------
    >>> was = ZoneSince(zone=2, r3_likely=date(2026, 7, 18), spray_on=None, action="skip", rate_gal_ac=None)
    >>> now = ZoneSince(zone=2, r3_likely=date(2026, 7, 16), spray_on=None, action="skip", rate_gal_ac=None)
    >>> [one.text for one in zone_changes(was, now, Units(metric=False))]
    ['R3 likely Jul 16, was Jul 18']
    """
    if now.r3_likely != was.r3_likely:
        yield Said("since.zone_r3", now=_day(now.r3_likely), before=_day(was.r3_likely))
    if was.action != now.action and now.action is not None and was.action is not None:
        yield Said("since.zone_sprayed" if now.action == "spray" else "since.zone_skipped")
    if was.spray_on is not None and now.spray_on is not None and was.spray_on != now.spray_on:
        yield Said("since.zone_day", now=day(now.spray_on), before=day(was.spray_on))
    rates = (now.rate_gal_ac, was.rate_gal_ac)
    if rates[0] is not None and rates[1] is not None and abs(rates[0] - rates[1]) > _LEAST_RATE_GAL_AC:
        written = {"now": units.rate(rates[0]), "before": units.rate(rates[1])}
        yield Said("since.zone_rate", unit=units.rate_unit, **written)


def _now(one: PlanZone) -> ZoneSince:
    return ZoneSince(
        zone=one.zone,
        r3_likely=one.window.r3_likely if one.window is not None else None,
        spray_on=one.spray_on,
        action=one.action,
        rate_gal_ac=one.rate_gal_ac,
    )


def _day(when: date | None) -> str:
    return _NO_DATE if when is None else day(when)
