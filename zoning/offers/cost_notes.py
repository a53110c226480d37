"""What should be said of the costs: another pass that goes anyway, and other sprayers. Prices nothing."""

from collections.abc import Sequence

from zoning.offers.basis import Basis, left_tracks
from zoning.returns import costs
from zoning.returns.terms import Terms
from zoning.settings.model import Product, Sprayer
from zoning.units import usd_ha_from_usd_ac
from zoning.words import Said
from zoning.words.bill import COST_LINES


def cost_notes(basis: Basis, terms: Sequence[Terms]) -> tuple[Said, ...]:
    """Say what of the costs counts, and what other sprayers would bill.

    Parameters
    ----------
    basis : Basis
        Settings of the field.
    terms : sequence of Terms
        One for each volume.
    """
    return (
        *_crop_share(basis),
        *_goes_anyway(basis, terms[0]),
        *_tracks_there(basis),
        *_sprayers(basis, terms),
    )


def _crop_share(basis: Basis) -> tuple[Said, ...]:
    """Say that the figures are the grower's own share: a bill on paper is the whole."""
    grain, cost = basis.money.share_of_grain_frac, basis.money.share_of_cost_frac
    if grain == cost == 1:
        return ()
    return (Said("offers.crop_share", grain=100 * grain, cost=100 * cost),)


def _goes_anyway(basis: Basis, terms: Terms) -> tuple[Said, ...]:
    money = basis.money
    if not money.goes_anyway:
        return ()
    other = " ".join(money.other_pass.split())
    # any volume will do: only which lines there are is asked
    names = [COST_LINES[line.name] for line in costs.lines(terms, 1.0) if line.counted]
    load_usd = costs.by_visit(money, None).split_load_usd
    charged = f"{load_usd:.0f} USD" if load_usd > 0 else "nothing (no split_load is set)"
    said = [
        Said("offers.goes_anyway", other=other, what=" and ".join(names) or "nothing, all of it is bought"),
        Said("offers.own_load", other=other, charged=charged),
    ]
    if "insect" in other.casefold():
        said.append(Said("offers.insecticide", other=other))
    return tuple(said)


def _tracks_there(basis: Basis) -> tuple[Said, ...]:
    """Say that an earlier pass left tracks, where the settings say there are none."""
    if basis.rig is None or basis.money.goes_anyway:
        return ()
    as_typed = basis.settings.sprayers[0]
    earlier = left_tracks(as_typed, basis.given)
    if earlier is None or as_typed.tracks_exist:
        return ()
    return (Said("offers.tracks_there", sprayer=as_typed.name, on=earlier.on),)


def _sprayers(basis: Basis, terms: Sequence[Terms]) -> tuple[Said, ...]:
    """Say which of several sprayers is planned with, and what the others would bill for the pass."""
    rig, settings = basis.rig, basis.settings
    if rig is None or len(settings.sprayers) < 2:
        return ()
    said = [Said("offers.first_sprayer", sprayer=rig.sprayer.name)]
    if basis.money.goes_anyway:
        return tuple(said)
    metric = settings.units == "metric"
    first_usd_ac = _pass_usd_ac(basis, rig.sprayer, terms)
    for other in settings.sprayers[1:]:
        if other.pass_usd_ac is None or not _is_allowed(rig.product, other):
            continue
        each = (_pass_usd_ac(basis, other, terms), first_usd_ac)
        usd, first_usd = (usd_ha_from_usd_ac(one) if metric else one for one in each)
        no_tracks = other.kind != "ground" and rig.sprayer.kind == "ground" and not rig.sprayer.tracks_exist
        said.append(
            Said(
                "offers.other_sprayer",
                sprayer=other.name,
                usd=usd,
                first=rig.sprayer.name,
                first_usd=first_usd,
                area="ha" if metric else "ac",
                tracks=", and would press no new wheel tracks" if no_tracks else "",
            )
        )
    return tuple(said)


def _pass_usd_ac(basis: Basis, sprayer: Sprayer, terms: Sequence[Terms]) -> float:
    """Price of the pass: the bill, or the own machine at the volume at which it costs least."""
    money = basis.money
    bill_usd_ac = sprayer.pass_usd_ac if sprayer.pass_usd_ac is not None else money.pass_usd_ac
    if bill_usd_ac is None:
        return min(one.pass_usd_ac for one in terms)
    return money.share_of_cost_frac * bill_usd_ac


def _is_allowed(product: Product, sprayer: Sprayer) -> bool:
    allowed = {"ground": True, "aerial": product.aerial_allowed, "drone": product.drone_allowed}
    return allowed[sprayer.kind]
