"""Amounts with their units, as people on such a farm write them."""

from collections.abc import Sequence

from zoning.units import ft_from_m, ha_from_ac, l_ha_from_gal_ac


def area(area_ac: float, *, is_metric: bool) -> str:
    """Write an area.

    Examples
    --------
    >>> area(4.0, is_metric=False), area(4.0, is_metric=True)
    ('4.00 ac', '1.62 ha')
    """
    return f"{ha_from_ac(area_ac):.2f} ha" if is_metric else f"{area_ac:.2f} ac"


def rate(rate_gal_ac: float, *, is_metric: bool) -> str:
    """Write a carrier volume.

    Examples
    --------
    >>> rate(15.0, is_metric=False), rate(15.0, is_metric=True)
    ('15 gal/ac', '140 L/ha')
    """
    return f"{l_ha_from_gal_ac(rate_gal_ac):.0f} L/ha" if is_metric else f"{rate_gal_ac:.4g} gal/ac"


def length(length_m: float, *, is_metric: bool) -> str:
    """Write a width or a distance.

    Examples
    --------
    >>> length(27.432, is_metric=False), length(27.432, is_metric=True)
    ('90 ft', '27.4 m')
    """
    return f"{length_m:.1f} m" if is_metric else f"{ft_from_m(length_m):.0f} ft"


def zones(numbers: Sequence[int]) -> str:
    """Name zones.

    Examples
    --------
    >>> zones([2]), zones([2, 5])
    ('zone 2', 'zones 2, 5')
    """
    return f"zone{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))}"
