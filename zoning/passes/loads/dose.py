"""The dose of the product: as the label words it, never changed by a plan, counted over the season.

A tank is mixed for one carrier volume. Sprayed at another it puts on another dose, so a second volume is a
second pass with its own mix, unless the sprayer injects the product.
"""

import re
from dataclasses import dataclass, replace

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.settings.model import Product
from zoning.settings.tank import read_dose
from zoning.words import Said

_TYPED = re.compile(r"\s*((?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([^/]+?)\s*/\s*(\S.*?)\s*")
_SLACK = 1e-9  # method: rounding, so that one dose typed in two units is one dose


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """So much of something: in the unit that was typed, and as a volume or a weight.

    `unit` is empty where none was typed, as of a share of the tank. What is weighed has `gal` 0, what is
    measured has `lb` 0.
    """

    value: float
    unit: str
    gal: float
    lb: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """An amount on the ground: in the units that were typed, and in our own on an acre."""

    value: float
    unit: str
    area_unit: str
    gal_ac: float  # 0 where it is weighed: then it takes no volume
    lb_ac: float

    @property
    def text(self) -> str:
        """As it was typed, or would have been.

        Examples
        --------
        >>> dose_of("8 fl oz/ac").text, dose_of("13.125 fl oz/ac").text
        ('8 fl oz/ac', '13.125 fl oz/ac')
        """
        return f"{self.value:.10g} {self.unit}/{self.area_unit}"  # method: none cut

    @property
    def rounded_text(self) -> str:
        """As people are told what was worked out: to three figures, or two decimals where these are more.

        Examples
        --------
        >>> [dose_of(f"{typed} pt/ac").rounded_text for typed in (5.33333, 10.66667, 0.266667)]
        ['5.33 pt/ac', '10.67 pt/ac', '0.267 pt/ac']
        """
        figures = ".2f" if self.value >= 1 else ".3g"  # method: figures shown
        return f"{float(f'{self.value:{figures}}'):.10g} {self.unit}/{self.area_unit}"  # method: none cut

    def times(self, factor: float) -> "Dose":
        """Give a multiple of it."""
        return replace(
            self, value=self.value * factor, gal_ac=self.gal_ac * factor, lb_ac=self.lb_ac * factor
        )

    def on(self, area_ac: float) -> Amount:
        """Give what an area takes.

        Examples
        --------
        >>> two_ha = dose_of("600 mL/ha").on(units.parse("2 ha", "ac"))
        >>> two_ha.value, two_ha.unit, round(two_ha.gal, 4)
        (1200.0, 'mL', 0.317)
        """
        area = area_ac / units.parse(f"1 {self.area_unit}", "ac")
        return Amount(
            value=self.value * area, unit=self.unit, gal=self.gal_ac * area_ac, lb=self.lb_ac * area_ac
        )


def dose_of(text: str) -> Dose:
    """Read a dose that the settings have accepted.

    Parameters
    ----------
    text : str
        As "8 fl oz/ac", "0.5 kg/ha".

    Returns
    -------
    Dose
        In the units that were typed.

    Raises
    ------
    InputError
        When it is no dose, with code 2.

    Examples
    --------
    >>> dose_of("0.5 kg/ha").unit, round(dose_of("0.5 kg/ha").lb_ac, 4)
    ('kg', 0.4461)
    """
    read, typed = read_dose(text), _TYPED.fullmatch(text)
    if read is None or typed is None:
        what = f'"{text}" is not a dose of product on an area'
        mend = 'Write it as the label does, as "8 fl oz/ac" or "0.5 kg/ha".'
        raise InputError(what, where="product.dose", mend=mend, code=SETTINGS)
    quantity, per_ac = read
    return Dose(
        value=float(typed[1]),
        unit=typed[2],
        area_unit=typed[3],  # method: third part of what was typed
        gal_ac=per_ac if quantity == "gal_ac" else 0.0,
        lb_ac=per_ac if quantity == "lb_ac" else 0.0,
    )


def sprayed_at(dose: Dose, mixed_gal_ac: float, sprayed_gal_ac: float) -> Dose:
    """Give the dose that results where a tank mixed for one carrier volume is sprayed at another.

    Parameters
    ----------
    dose : Dose
        That the tank was mixed for.
    mixed_gal_ac, sprayed_gal_ac : float
        [gal/ac]

    Returns
    -------
    Dose

    Examples
    --------
    >>> eight = dose_of("8 fl oz/ac")
    >>> sprayed_at(eight, 15, 10).rounded_text, sprayed_at(eight, 15, 20).rounded_text
    ('5.33 fl oz/ac', '10.67 fl oz/ac')
    """
    return dose.times(sprayed_gal_ac / mixed_gal_ac)


def refused(
    dose: Dose, mixed_gal_ac: float, sprayed_gal_ac: float, *, injects: bool, is_metric: bool = False
) -> Said | None:
    """Say why a tank mixed for one carrier volume may not be sprayed at another, and what would do it.

    Parameters
    ----------
    dose : Dose
        That the tank was mixed for.
    mixed_gal_ac, sprayed_gal_ac : float
        [gal/ac]
    injects : bool
        Whether the sprayer injects the product: then its dose does not hang on the volume.
    is_metric : bool
        Whether volumes are said in L/ha.

    Returns
    -------
    Said or None
        None where the dose stays what it is.

    Examples
    --------
    >>> refused(dose_of("8 fl oz/ac"), 15, 15, injects=False) is None
    True
    >>> refused(dose_of("8 fl oz/ac"), 15, 20, injects=False).code
    'loads.other_volume'
    """
    if injects or abs(sprayed_gal_ac / mixed_gal_ac - 1) <= _SLACK:
        return None
    return Said(
        "loads.other_volume",
        mixed=units.l_ha_from_gal_ac(mixed_gal_ac) if is_metric else mixed_gal_ac,
        sprayed=units.l_ha_from_gal_ac(sprayed_gal_ac) if is_metric else sprayed_gal_ac,
        unit="L/ha" if is_metric else "gal/ac",
        got=sprayed_at(dose, mixed_gal_ac, sprayed_gal_ac).rounded_text,
        dose=dose.text,
    )


def season_allows(product: Product, applied: int) -> tuple[bool, Said | None]:
    """Whether the label's limits of a season leave room for one more application.

    Parameters
    ----------
    product : Product
        Its dose, `max_dose` and `max_applications` are used.
    applied : int
        Applications of this product on this ground so far, each at this dose.

    Returns
    -------
    bool
        False where one more would be too many, or too much.
    Said or None
        Why not.

    Examples
    --------
    >>> label = Product.model_validate({
    ...     "name": "A", "groups": ["3"], "dose": "8 fl oz/ac", "max_dose": "12 fl oz/ac", "re_entry_h": 12,
    ...     "min_carrier_ground": "10 gal/ac", "pre_harvest_interval_d": 30, "max_applications": 2,
    ...     "latest_stage": "R5", "max_wind": "10 mph"})
    >>> season_allows(label, 0)
    (True, None)
    >>> season_allows(label, 1)[1].code
    'loads.season_dose'
    """
    if applied + 1 > product.max_applications:
        said = Said("loads.season_applications", applied=applied, most=product.max_applications)
        return False, said
    dose, most = dose_of(product.dose), dose_of(product.max_dose)
    one, limit = (dose.gal_ac, most.gal_ac) if dose.gal_ac else (dose.lb_ac, most.lb_ac)
    if (applied + 1) * one > limit * (1 + _SLACK):
        whole = dose.times(applied + 1).text
        return False, Said("loads.season_dose", applied=applied, whole=whole, most=most.text)
    return True, None
