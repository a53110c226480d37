"""What goes into the tank: doses on the ground or shares of the mix, and the room for them.

Amounts are read here as they are typed; what a load takes is worked out in `zoning.passes`.
"""

import math
from collections.abc import Iterator

from zoning import units
from zoning.errors import InputError
from zoning.settings.adjuvant import tank_share
from zoning.settings.given import Given
from zoning.settings.plain import fault, typed_number
from zoning.settings.quantities import usual_texts

_SLACK = 1e-9  # rounding, so that one dose typed in two units is one dose
_AS_THE_LABEL = 'Write it as the label does, as "8 fl oz/ac" or "0.5 kg/ha".'


def read_dose(text: object) -> tuple[str, float] | None:
    """Read a dose: "gal_ac" or "lb_ac", and how much in that unit; None where it is no dose above 0.

    Examples
    --------
    >>> read_dose("8 fl oz/ac"), read_dose("8 oz/ac"), read_dose("8 fl oz")
    (('gal_ac', 0.0625), ('lb_ac', 0.5), None)
    """
    for quantity in ("gal_ac", "lb_ac"):
        try:
            dose = units.parse(text, quantity)
        except units.UnitError:
            continue
        return (quantity, dose) if 0 < dose < math.inf else None
    return None


def _doses(given: Given) -> Iterator[InputError]:
    dose, most = (read_dose(given.get("product", name)) for name in ("dose", "max_dose"))
    for name, read in (("dose", dose), ("max_dose", most)):
        if read is None and given.get("product", name) not in (None, ""):
            yield fault(given, ("product", name), "not a dose of product on an area", _AS_THE_LABEL)
    if dose is None or most is None:
        return
    if dose[0] != most[0]:
        mend = "Give both by volume or both by weight, as the label does."
        yield fault(given, ("product", "max_dose"), "another kind of unit than dose", mend)
    elif dose[1] > most[1] * (1 + _SLACK):
        mend = "Compare both with the label."
        yield fault(given, ("product", "dose"), "above max_dose, the most in a season", mend)


def _additives(given: Given) -> Iterator[InputError]:
    for name in ("adjuvant", "foliar_feed"):
        typed = given.get("product", name)
        if typed in (None, ""):
            continue
        share = tank_share(typed)
        wrong = read_dose(typed) is None if share is None else not 0 < share < 1
        if wrong and isinstance(typed, str):
            mend = 'Write it as "1 pt/ac", or as a share of the tank, "0.25 % v/v".'
            yield fault(given, ("product", name), "not an amount on an area or a share of the tank", mend)
    share, typed = tank_share(given.get("money", "adjuvant")), given.get("product", "adjuvant")
    if share is not None and typed not in (None, "") and tank_share(typed) != share:
        mend = "Take it out, or give the same share in both."
        yield fault(given, ("product", "adjuvant"), "another amount than the share under [money]", mend)


def _room(given: Given) -> Iterator[InputError]:
    """Refuse a tank that would hold no water: at the smallest volume the liquids take the most of it."""
    typed = given.get("carrier", "volumes")
    volumes = [_gal_ac(one) for one in (typed if isinstance(typed, list) else usual_texts("volumes"))]
    known = [volume for volume in volumes if volume is not None and volume > 0]
    machines = [machine for _, machine in given.tables("sprayer")]
    if not known or not machines:
        return
    least = min(known)
    names: tuple[str, ...] = ("adjuvant", "foliar_feed")
    if not all(machine.get("injection") is True for machine in machines):
        names = ("dose", *names)
    taken = math.fsum(_taken_gal_ac(given.get("product", name), least) for name in names)
    if taken >= least:
        mend = "Compare the amounts and [carrier] volumes with the label."
        what = f"leaves no room for water in a mix of {least:g} gal/ac"
        typed_first = next(name for name in names if given.get("product", name))
        yield fault(given, ("product", typed_first), what, mend)


def _gal_ac(text: object) -> float | None:
    try:
        return units.parse(text, "gal_ac")
    except units.UnitError:
        return None


def _taken_gal_ac(typed: object, volume_gal_ac: float) -> float:
    """Mix that an amount takes: a weight takes none, and a faulty amount is told by its own rule."""
    share = tank_share(typed)
    if share is not None:
        return share * volume_gal_ac if 0 < share < 1 else 0.0
    dose = read_dose(typed)
    return dose[1] if dose is not None and dose[0] == "gal_ac" else 0.0


def _overage(given: Given) -> Iterator[InputError]:
    for number, _ in given.tables("sprayer"):
        tank, overage = (typed_number(given, "sprayer", number, name) for name in ("tank", "overage"))
        if tank is not None and overage is not None and overage > tank / 2 > 0:
            mend = "Give what stays in lines and pump only."
            yield fault(given, ("sprayer", number, "overage"), "more than half of the tank", mend)


RULES = (_doses, _additives, _room, _overage)
