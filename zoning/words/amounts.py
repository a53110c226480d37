"""Amounts with their units, as people on such a farm write them."""

from zoning.units import ha_from_ac


def area(area_ac: float, *, is_metric: bool) -> str:
    """Write an area.

    Examples
    --------
    >>> area(4.0, is_metric=False), area(4.0, is_metric=True)
    ('4.00 ac', '1.62 ha')
    """
    return f"{ha_from_ac(area_ac):.2f} ha" if is_metric else f"{area_ac:.2f} ac"
