"""What stands on a load sheet beside the loads: label limits, the place, and what must be known."""

from zoning.evidence import number
from zoning.passes.loads.dose import dose_of, refused, season_allows
from zoning.passes.loads.sheet import SIDES, LabelLimits, Site
from zoning.returns.remarks import leaf_burn
from zoning.settings.model import Product, Settings, Sprayer
from zoning.units import l_from_gal, l_ha_from_gal_ac
from zoning.words import Said

_SLACK = 1e-9  # method: rounding, so that one volume typed in two units is one volume


def label_limits(product: Product, settings: Settings) -> LabelLimits:
    """Give what was typed from the label and is the operator's to keep."""
    typed = settings.given.get("product.max_wind", "").strip('"')
    return LabelLimits(
        max_wind=typed or f"{product.max_wind_mph:g} mph",
        droplet=product.droplet,
        re_entry_h=product.re_entry_h,
        pre_harvest_interval_d=product.pre_harvest_interval_d,
        hay_grazing_d=product.hay_grazing_d,
        rainfast_h=product.rainfast_h,
        latest_stage=product.latest_stage,
        max_dose=product.max_dose,
        max_applications=product.max_applications,
    )


def site(settings: Settings) -> Site:
    """Give what was typed of the field's surroundings."""
    around = settings.neighbours
    of_side = (around.north, around.east, around.south, around.west)
    return Site(
        entrance=settings.entrance,
        wires=settings.wires,
        contact=settings.contact,
        neighbours=tuple(zip(SIDES, of_side, strict=True)),
    )


def notes(
    product: Product, sprayer: Sprayer, settings: Settings, *, rate_gal_ac: float, applied: int
) -> tuple[Said, ...]:
    """Say what the operator must know of this mix.

    Parameters
    ----------
    product : Product
        In the tank, or injected.
    sprayer : Sprayer
        What sprays it.
    settings : Settings
        Of the field.
    rate_gal_ac : float
        Carrier volume of the pass. [gal/ac]
    applied : int
        Applications of the product on this ground before this one, this season.

    Returns
    -------
    tuple of Said
    """
    volumes, dose = settings.carrier.volumes_gal_ac, dose_of(product.dose)
    is_metric = settings.units == "metric"
    others = (
        refused(dose, rate_gal_ac, volume, injects=sprayer.injection, is_metric=is_metric)
        for volume in volumes
    )
    said = [one for one in others if one is not None]
    if sprayer.injection:
        said.append(Said("loads.injected"))
    if sprayer.overage_gal > 0:
        overage = l_from_gal(sprayer.overage_gal) if is_metric else sprayer.overage_gal
        said.append(Said("loads.overage", amount=overage, unit="L" if is_metric else "gal"))
    else:
        said.append(Said("loads.no_overage"))
    most, whole = product.max_applications, product.max_dose
    _, too_often = season_allows(product, applied)
    said.append(too_often or Said("loads.application", number=applied + 1, most=most, dose=whole))
    if settings.money is not None and settings.money.goes_anyway:
        said.append(Said("loads.own_load", other=settings.money.other_pass))
    if settings.irrigated:
        rainfast = f" ({product.rainfast_h:g} h)" if product.rainfast_h is not None else ""
        said.append(Said("loads.irrigated", rainfast=rainfast))
    return (*said, *leaf_burn(settings), *_from_the_air(sprayer, rate_gal_ac, is_metric=is_metric))


def _from_the_air(sprayer: Sprayer, rate_gal_ac: float, *, is_metric: bool) -> tuple[Said, ...]:
    if sprayer.kind == "ground":
        return ()
    usual_gal_ac, said = number("passes.usual_air_gal_ac"), []
    if rate_gal_ac < usual_gal_ac * (1 - _SLACK):
        said.append(
            Said(
                "loads.little_by_air",
                volume=l_ha_from_gal_ac(rate_gal_ac) if is_metric else rate_gal_ac,
                usual=l_ha_from_gal_ac(usual_gal_ac) if is_metric else usual_gal_ac,
                unit="L/ha" if is_metric else "gal/ac",
            )
        )
    if sprayer.kind == "drone":
        said.append(Said("loads.battery"))
    return tuple(said)
