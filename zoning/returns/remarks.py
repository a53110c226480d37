"""What practice asks to be said beside the figures: resistance, crop, neighbours of the sum. Prices nothing.

Each remark is said only where it matters. Products are spoken of by their FRAC codes, never by name.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from zoning.evidence import named, number
from zoning.settings.model import Product, Settings
from zoning.units import kg_ha_from_bu_ac
from zoning.words import Said

_CODE = re.compile(r"([A-Z]*)\s*0*(\d+)")
_STROBILURINS = "11"  # method: FRAC codes are names
_TRIAZOLES = "3"  # method: a FRAC code
_CEREALS = ("wheat", "barley", "rye")


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What is known of a field beside its settings.

    `sprayer_kind` is empty where there is no sprayer. `is_contrasted`: canopy or wet ground moved a zone;
    `is_late`: a block was planted late; `is_past_middle`: the best day of a zone lies after the middle of R3.
    """

    sprayer_kind: str = ""
    volumes_gal_ac: tuple[float, ...] = ()
    is_contrasted: bool = False
    is_late: bool = False
    is_past_middle: bool = False


def remarks(settings: Settings, of: Situation) -> tuple[Said, ...]:
    """Say what practice knows of a crop and a product like these, and the figures do not hold.

    Parameters
    ----------
    settings : Settings
        Of the field.
    of : Situation
        What else is known of it.

    Returns
    -------
    tuple of Said
        Empty where nothing is to be said.
    """
    return (
        *_resistance(settings.product),
        *leaf_burn(settings),
        *_after(settings),
        *_before(settings, of),
        *_canopy(settings, of),
        *_buyer(settings),
    )


def codes(groups: Iterable[str]) -> tuple[str, ...]:
    """Read FRAC codes as people write them, each once, in order.

    Examples
    --------
    >>> codes(["FRAC 11", "3 + 7", "m05", "group 03"])
    ('11', '3', '7', 'M5')
    """
    found = (match for text in groups for match in _CODE.finditer(text.upper()))
    prefixed = (("" if one[1] in ("FRAC", "GROUP") else one[1]) + one[2] for one in found)
    return tuple(dict.fromkeys(prefixed))


def keeps_out(settings: Settings, sprayer_kind: str) -> bool:
    """Whether a lodged or very tall crop keeps this kind of sprayer out.

    Examples
    --------
    >>> from pathlib import Path
    >>> flat = Settings(name="North", maturity_group=2.4, lodged=True, folder=Path())
    >>> keeps_out(flat, "ground"), keeps_out(flat, "aerial")
    (True, False)
    """
    return settings.lodged and sprayer_kind == "ground"


def _resistance(product: Product | None) -> tuple[Said, ...]:
    """Warn of one mode of action alone and of repeats; a code that is a number acts on one site only."""
    if product is None:
        return ()
    groups = codes(product.groups)
    said = []
    if len(groups) == 1 and groups[0].isdigit():
        is_11 = groups[0] == _STROBILURINS
        said.append(Said("returns.solo_group_11") if is_11 else Said("returns.solo_group", group=groups[0]))
    used = codes(product.groups_used)
    again = [one for one in groups if one in used and one.isdigit()]
    if again and len(again) == len(groups) > 1:
        said.append(Said("returns.same_groups_again", groups=" and ".join(again)))
    elif again:
        plural = "s" if len(again) > 1 else ""
        said.append(Said("returns.group_again", groups=f"group{plural} {' and '.join(again)}"))
    return tuple(said)


def leaf_burn(settings: Settings) -> tuple[Said, ...]:
    """Warn of a triazole on a dry crop; nothing to say elsewhere."""
    burns = settings.product is not None and _TRIAZOLES in codes(settings.product.groups)
    return (Said("returns.leaf_burn"),) if settings.drought and burns else ()


def _after(settings: Settings) -> tuple[Said, ...]:
    return (Said("returns.wheat_follows"),) if settings.wheat_follows else ()


def _before(settings: Settings, of: Situation) -> tuple[Said, ...]:
    """Say what the crop before means: a cereal only where the soybean was planted after its harvest."""
    before = settings.previous_crop.casefold()
    if "double" in before or (of.is_late and any(name in before for name in _CEREALS)):
        is_metric = settings.units == "metric"
        response = named("returns.double_crop_bu_ac")
        return (
            Said(
                "returns.double_crop",
                **{name: kg_ha_from_bu_ac(one) if is_metric else one for name, one in response.items()},
                digits=0 if is_metric else 1,
                unit="kg/ha" if is_metric else "bu/ac",
            ),
        )
    if "soy" in before and settings.effects.previous_crop:
        return (Said("returns.after_soybean", odds=number("returns.after_soybean_odds")),)
    return ()


def _canopy(settings: Settings, of: Situation) -> tuple[Said, ...]:
    said = []
    if keeps_out(settings, of.sprayer_kind):
        said.append(Said("returns.lodged_no_pass"))
    elif settings.lodged and not of.sprayer_kind:
        said.append(Said("returns.lodged"))
    if settings.canopy == "closed":
        said.append(Said("returns.closed_canopy"))
    if of.is_contrasted:
        said.append(Said("returns.roots_and_stems"))
    return tuple(said)


def _buyer(settings: Settings) -> tuple[Said, ...]:
    return (Said("returns.market", market=settings.market),) if settings.market else ()
