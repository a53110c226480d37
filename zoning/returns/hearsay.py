"""What common practice says without a source, and where sources disagree: both sides, and what is used here.

Nothing here moves a figure; where the grower wants one moved, [effects] has the switch.
"""

from datetime import date

from zoning.evidence import entry, named, number
from zoning.returns.curve import MID_R3_POSITION, at
from zoning.returns.remarks import Situation, codes
from zoning.settings.model import Settings
from zoning.units import kg_ha_from_bu_ac, l_ha_from_gal_ac
from zoning.words import Said

_ANY_YEAR = 2000  # method: only day and month are said
_SLACK = 1e-6  # method: rounding, so that a volume typed in L/ha equals the same in gal/ac


def practice_says(settings: Settings, of: Situation) -> tuple[Said, ...]:
    """Say in one line what practice knows of a pass like this, without a source.

    Parameters
    ----------
    settings : Settings
        Of the field.
    of : Situation
        Sprayer and volumes.

    Returns
    -------
    tuple of Said
        One, or none where nothing fits.
    """
    lines = []
    if settings.product is not None and len(codes(settings.product.groups)) == 1:
        lines.append(str(entry("returns.practice_groups").value))
    if of.sprayer_kind == "ground":
        nodes = Said(
            "returns.practice_nodes",
            **named("returns.practice_nodes"),
            **named("returns.practice_nodes_at_r3"),
        )
        lines += [str(entry("returns.practice_coverage").value), nodes.text]
    if settings.money is not None and settings.money.foliar_feed_usd_ac > 0:
        lines.append(str(entry("returns.practice_boron").value))
    return (Said("returns.practice_says", lines="; ".join(lines)),) if lines else ()


def disagreements(settings: Settings, of: Situation) -> tuple[Said, ...]:
    """Say where sources disagree on what matters in this field, and what is used.

    Parameters
    ----------
    settings : Settings
        Of the field, for its switches.
    of : Situation
        What makes a disagreement matter.

    Returns
    -------
    tuple of Said
        At most one for each: late planting, carrier volume, time of day, a late spray.
    """
    said = []
    if of.is_late:
        said.append(_late_planting(settings))
    if len(of.volumes_gal_ac) > 1:
        said.append(_carrier(settings, of))
    said.append(_time_of_day(settings))
    if of.is_past_middle and settings.response is not None:
        low, building = at(settings.response.stage_curve, MID_R3_POSITION + 1)
        said.append(
            Said(
                "returns.disagree_late_spray",
                low=100 * float(low),  # eq. per cent
                building=100 * float(building),  # eq. per cent
            )
        )
    return tuple(said)


def _late_planting(settings: Settings) -> Said:
    used = Said(f"returns.late_{settings.effects.late_planting}")
    says = entry("returns.practice_late_planting").value
    after = named("returns.late_planting_after")
    until = date(_ANY_YEAR, int(after["month"]), int(after["day"]))
    return Said("returns.disagree_late_planting", until=until, practice=says, used=used.text)


def _carrier(settings: Settings, of: Situation) -> Said:
    is_metric = settings.units == "metric"

    def shown(gal_ac: float) -> float:
        return l_ha_from_gal_ac(gal_ac) if is_metric else gal_ac

    unit = "L/ha" if is_metric else "gal/ac"
    full = shown(number("returns.full_coverage_volume_gal_ac"))
    practice = named("returns.practice_volume_gal_ac")
    can_be_both = all(
        any(abs(one - volume) <= _SLACK * volume for one in of.volumes_gal_ac) for volume in practice.values()
    )
    says = ""
    if can_be_both:
        volumes = {name: shown(volume) for name, volume in practice.items()}
        says = Said("returns.practice_volume", **volumes).text
    used = Said("returns.carrier_counts") if settings.effects.carrier else Said("returns.carrier_free")
    return Said("returns.disagree_carrier", full=full, unit=unit, practice=says, used=used.text)


def _time_of_day(settings: Settings) -> Said:
    is_metric = settings.units == "metric"
    gain_bu_ac = number("returns.morning_bu_ac")
    used = Said("returns.morning_counts") if settings.effects.morning else Said("returns.morning_free")
    return Said(
        "returns.disagree_time_of_day",
        gain=kg_ha_from_bu_ac(gain_bu_ac) if is_metric else gain_bu_ac,
        digits=0 if is_metric else 1,
        unit="kg/ha" if is_metric else "bu/ac",
        used=used.text,
    )
