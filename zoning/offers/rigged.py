"""What would spray a field: the volumes that label and machine allow, what each costs, and the pace.

Of the sprayers in the settings the first is weighed; which sprayers may come is said by `that_may_come`.
"""

from collections.abc import Sequence
from dataclasses import replace

from zoning.errors import SETTINGS, InputError
from zoning.inputs.given import FieldInputs
from zoning.offers.basis import Basis, Rig
from zoning.passes import label
from zoning.passes.half_days import HalfDays
from zoning.passes.problem import Machine
from zoning.returns import costs
from zoning.returns.terms import Terms
from zoning.settings.model import Money, Product, Settings, Sprayer
from zoning.sprayer.reach import Reach, nearest, reach
from zoning.sprayer.travel import served_by
from zoning.units import h_from_min
from zoning.words import Said


def volumes_and_terms(basis: Basis) -> tuple[tuple[float, ...], tuple[Terms, ...]]:
    """List the carrier volumes that can be sprayed, and the terms at each; level 2 has no volume, one terms.

    Raises
    ------
    InputError
        When the sprayer reaches none of the volumes that the label allows.
    """
    if basis.rig is None:
        return (), (terms_without_rig(basis),)
    return at_volumes(usable(basis.settings, basis.rig)[0], basis, basis.rig)


def at_volumes(
    reaches: tuple[Reach, ...], basis: Basis, rig: Rig
) -> tuple[tuple[float, ...], tuple[Terms, ...]]:
    """Give the volumes that are reached, and the terms at each."""
    terms = tuple(_terms(basis.money, rig.sprayer, one) for one in reaches)
    return tuple(one.volume_gal_ac for one in reaches), terms


def _terms(money: Money, sprayer: Sprayer, at: Reach) -> Terms:
    """Prices and costs with one sprayer at one volume: its bill, and its hours where there is none."""
    return costs.terms(
        money,
        sprayer.machine_usd_h / at.acres_per_hour,
        bill_usd_ac=sprayer.pass_usd_ac,
        filling_usd_ac=sprayer.machine_usd_h * h_from_min(sprayer.fill_min) / at.acres_per_load,
    )


def first_sprayer(basis: Basis) -> Sprayer | None:
    """Give the sprayer that is used, None where none is given."""
    return next(iter(basis.settings.sprayers), None)


def terms_without_rig(basis: Basis) -> Terms:
    """Prices and costs where no label is given: the first sprayer's bill, or its slowest volume."""
    first = first_sprayer(basis)
    if first is None:
        return costs.terms(basis.money)
    reaches = reach(first, basis.settings.carrier.volumes_gal_ac)
    reached = [one for one in reaches if one.reachable]
    if reached:
        return _terms(basis.money, first, min(reached, key=lambda one: one.acres_per_hour))
    if first.pass_usd_ac is None and basis.money.pass_usd_ac is None and not basis.money.goes_anyway:
        raise _reaches_none(first, [one.why_not for one in reaches if one.why_not is not None])
    return costs.terms(basis.money, bill_usd_ac=first.pass_usd_ac)


def that_may_come(settings: Settings, given: FieldInputs) -> tuple[Settings, tuple[Said, ...]]:
    """Keep the sprayers that serve a field and can spray there what the label allows, in their order.

    Parameters
    ----------
    settings : Settings
        Of any level; below 3 nothing is asked of a sprayer, and nothing is left out.
    given : FieldInputs
        For the place of the field.

    Returns
    -------
    Settings
        With those sprayers only.
    tuple of Said
        Why others do not come.

    Raises
    ------
    InputError
        When none can spray; all of their reasons together.

    Notes
    -----
    Where another pass goes over the field anyway its sprayer is the first one, and no other comes.
    """
    if settings.level < 3 or settings.product is None:
        return settings, ()
    near = served_by(settings.sprayers, given.latitude_deg, given.longitude_deg)
    if settings.money is not None and settings.money.goes_anyway:
        near = near[:1]
    able, faults = _able(settings.model_copy(update={"allow_unreachable": False}), settings.product, near)
    if not able and settings.allow_unreachable:  # a machine that holds a volume comes before one that is let
        able, faults = _able(settings, settings.product, near)
    if not able:
        raise InputError.together(faults)
    notes = tuple(Said("offers.sprayer_cannot", why=fault.what) for fault in faults)
    return settings.model_copy(update={"sprayers": tuple(able)}), notes


def _able(
    settings: Settings, product: Product, places: Sequence[int]
) -> tuple[list[Sprayer], list[InputError]]:
    """Give the sprayers that can spray some volume, and why others cannot."""
    able, faults = list[Sprayer](), list[InputError]()
    for place in places:
        sprayer = settings.sprayers[place]
        try:
            usable(settings, Rig(sprayer=sprayer, product=product))
            able.append(sprayer)
        except InputError as fault:
            faults.append(fault)
    return able, faults


def usable(settings: Settings, rig: Rig) -> tuple[tuple[Reach, ...], tuple[Said, ...]]:
    """List the volumes that the label allows and the machine reaches, and why the others are not.

    Where there is none and `settings` allow it, those are listed that the machine does not hold.
    """
    reaches = reach(rig.sprayer, settings.carrier.volumes_gal_ac)
    allowed, why_not = label.allowed_volumes(rig.product, rig.sprayer, reaches)
    if not allowed.any():
        let, of_label = _let(reaches, rig)
        if not let or not settings.allow_unreachable:
            raise _reaches_none(rig.sprayer, why_not, may_be_let=bool(let))
        return let, of_label
    return tuple(one for one, fits in zip(reaches, allowed, strict=True) if fits), why_not


def _let(reaches: Sequence[Reach], rig: Rig) -> tuple[tuple[Reach, ...], tuple[Said, ...]]:
    """List the volumes that the label allows, as near as the machine comes to them."""
    near = [nearest(rig.sprayer, one) for one in reaches]
    as_if = [replace(one, why_not=None) for one in near]
    allowed, why_not = label.allowed_volumes(rig.product, rig.sprayer, as_if)
    driven = [one.speed_mph is not None for one in near]
    return tuple(one for one, *fits in zip(near, allowed, driven, strict=True) if all(fits)), why_not


def _reaches_none(sprayer: Sprayer, why_not: Sequence[Said], *, may_be_let: bool = False) -> InputError:
    mend = "Change the volumes, the nozzle or the speed, as the label allows."
    if may_be_let:
        mend += " `sprayworth run FIELD --allow-unreachable` plans it all the same, with a warning inside."
    return InputError(
        f"{sprayer.name} can spray none of the carrier volumes: "
        + "; ".join(dict.fromkeys(one.text for one in why_not)),
        where="farm.toml: carrier.volumes",
        mend=mend,
        code=SETTINGS,
    )


def machine(sprayer: Sprayer, reaches: tuple[Reach, ...], half_days: HalfDays) -> Machine:
    """Give the sprayer as the passes see it."""
    return Machine(
        name=sprayer.name,
        acres_per_hour=tuple(one.acres_per_hour for one in reaches),
        acres_per_load=tuple(one.acres_per_load for one in reaches),
        set_up_h=h_from_min(sprayer.set_up_min),
        hours=half_days,
        hub=sprayer.hub,
        fill_h=h_from_min(sprayer.fill_min),
    )
