"""What a user should do something about in zones that are otherwise fine, in words. Measures nothing."""

from collections.abc import Sequence

from zoning.evidence import number
from zoning.words import Said
from zoning.zones.quality import Quality


def zones_said(quality: Quality, block_names: Sequence[str], zone_names: Sequence[str]) -> tuple[Said, ...]:
    """Say which zones are mixed or scattered, and in which blocks their edges are unsure.

    Parameters
    ----------
    quality : Quality
    block_names : sequence of str
        By the blocks' index.
    zone_names : sequence of str
        In the order of the zones.

    Examples
    --------
    >>> from zoning.zones.quality import ZonePatches
    >>> zones = (ZonePatches(zone=1, patches=2, purity_frac=0.7),)
    >>> unread = {"explained_frac": None, "uncleaned_frac": None, "unconstrained_frac": None}
    >>> quality = Quality(layers=(), zones=zones, agreement=(), **unread)
    >>> zones_said(quality, ["A"], ["1"])[0].text.partition(";")[0]
    "zone 1 is mixed: only 70 % of its ground has values like the zone's own"
    """
    said = []
    for name, zone in zip(zone_names, quality.zones, strict=True):
        if zone.purity_frac is not None and zone.purity_frac < number("zones.pure_frac"):
            percent = 100 * zone.purity_frac  # eq. a share in per cent
            said.append(Said("zones.impure", zone=name, percent=percent))
        if zone.patches > number("zones.most_patches"):
            said.append(Said("zones.patches", zone=name, patches=zone.patches))
    for one in quality.agreement:
        if one.mean < number("zones.least_agreement"):
            said.append(Said("zones.unsure", block=block_names[one.block]))
    return tuple(said)
