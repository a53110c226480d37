"""How the figures of a machine are written: speeds, pressures, flows, lengths, in the units of the farm."""

from zoning import units
from zoning.show.figures import Units, whole

_SHORT_M = 20  # shorter lengths get a decimal
_LEAST_AREA = 0.01  # smaller areas are not told apart


class MachineUnits(Units):
    """The units of one farm, for machines too.

    Examples
    --------
    >>> MachineUnits(metric=False).speeds((5.0, 14.0)), MachineUnits(metric=True).pressures((30.0, 90.0))
    ('5–14', '2.1–6.2 bar')
    """

    __slots__ = ()

    @property
    def speed_unit(self) -> str:
        """Unit of a speed."""
        return "km/h" if self.metric else "mph"

    @property
    def pressure_unit(self) -> str:
        """Unit of a pressure."""
        return "bar" if self.metric else "psi"

    @property
    def flow_unit(self) -> str:
        """Unit of the flow of a nozzle."""
        return "L/min" if self.metric else "gal/min"

    def speed(self, mph: float) -> str:
        """Write a speed, without its unit."""
        return short(units.kmh_from_mph(mph) if self.metric else mph)

    def speeds(self, mph: tuple[float, float]) -> str:
        """Write a range of speeds, without its unit."""
        low, high = self.speed(mph[0]), self.speed(mph[1])
        return low if low == high else f"{low}–{high}"

    def pressure(self, psi: float) -> str:
        """Write a pressure, without its unit."""
        return f"{units.bar_from_psi(psi):.1f}" if self.metric else whole(psi)

    def pressures(self, psi: tuple[float, float] | float) -> str:
        """Write one pressure or a range of pressures."""
        both = psi if isinstance(psi, tuple) else (psi,)
        return f"{'–'.join(map(self.pressure, both))} {self.pressure_unit}"

    def flow(self, gal_min: float) -> str:
        """Write the flow of a nozzle, without its unit."""
        return f"{units.l_from_gal(gal_min) if self.metric else gal_min:.2f}"

    def small_area(self, area_ac: float) -> str:
        """Write an area that may be far less than an acre."""
        area = units.ha_from_ac(area_ac) if self.metric else area_ac
        if area < _LEAST_AREA:
            return f"under {_LEAST_AREA:g} {self.area_unit}"
        return f"{area:.2g} {self.area_unit}" if area < 1 else f"{short(area)} {self.area_unit}"

    def length(self, length_m: float) -> str:
        """Write the width of a boom, or a length along the track."""
        if self.metric:
            return f"{length_m:.1f} m" if length_m < _SHORT_M else f"{length_m:.0f} m"
        return f"{whole(units.ft_from_m(length_m))} ft"

    def gap(self, length_m: float) -> str:
        """Write the distance between nozzles."""
        return f"{length_m:.2f} m" if self.metric else f"{units.in_from_m(length_m):.3g} in"

    def tank(self, gal: float) -> str:
        """Write the size of a tank."""
        return f"{whole(units.l_from_gal(gal))} L" if self.metric else f"{whole(gal)} gal"


def short(value: float) -> str:
    """Write a figure with one decimal, or none where it is whole.

    Examples
    --------
    >>> short(14.0), short(11.88)
    ('14', '11.9')
    """
    return f"{value:.1f}".removesuffix(".0")
