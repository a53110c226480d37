"""How the figures of a trial are written, in the units of the farm."""

from math import isfinite

from zoning import units
from zoning.show.figures import NONE, whole
from zoning.show.machine_units import MachineUnits
from zoning.show.money import cents


class TrialUnits(MachineUnits):
    """The units of one farm, with the sign before what is less than nothing.

    Parameters
    ----------
    metric : bool
    minus : str, optional
        A terminal takes the short one, paper and page the long one.

    Examples
    --------
    >>> written = TrialUnits(metric=False, minus="−")
    >>> written.more(-3.14), written.more(0.01), written.span(-0.4, 6.2)
    ('−3.1', '0.0', '−0.4 to 6.2')
    """

    __slots__ = ("minus",)

    def __init__(self, *, metric: bool, minus: str = "-") -> None:
        super().__init__(metric=metric)
        self.minus = minus

    def _with(self, text: str) -> str:
        return text.replace("-", self.minus)

    def plain_response(self, response_bu_ac: float) -> str:
        """Write a yield or a response without a plus; nothing known is a dash."""
        return self._with(self.response(response_bu_ac)) if isfinite(response_bu_ac) else NONE

    def more(self, difference_bu_ac: float) -> str:
        """Write a difference with its sign."""
        if not isfinite(difference_bu_ac):
            return NONE
        text = self.response(difference_bu_ac)
        return self._with(text if text.startswith("-") or not text.strip("0.") else f"+{text}")

    def span(self, low_bu_ac: float, high_bu_ac: float) -> str:
        """Write a range of responses."""
        return f"{self.plain_response(low_bu_ac)} to {self.plain_response(high_bu_ac)}"

    def with_unit(self, response_bu_ac: float) -> str:
        """Write a response and its unit."""
        return f"{self.plain_response(response_bu_ac)} {self.response_unit}"

    def usd(self, net_usd_ac: float, *, sign: bool = False) -> str:
        """Write money by area, whole, without its unit."""
        number = round(self.net(net_usd_ac))
        plus = "+" if sign and number > 0 else ""
        return f"{self.minus if number < 0 else plus}${abs(number):,}"

    def usd_span(self, low_usd_ac: float, high_usd_ac: float) -> str:
        """Write a range of money by area."""
        return f"{self.usd(low_usd_ac)} to {self.usd(high_usd_ac)}"

    def cost(self, cost_usd_ac: float) -> str:
        """Write a figure of a bill by area, without its unit; one that is billed otherwise is a dash."""
        return self._with(cents(self.net(cost_usd_ac))) if isfinite(cost_usd_ac) else NONE

    @property
    def per_bu_ac(self) -> float:
        """The farm's unit for 1 bu/ac."""
        return units.kg_ha_from_bu_ac(1.0) if self.metric else 1.0

    @property
    def area_one(self) -> str:
        """One unit of area, in a sentence."""
        return "a hectare" if self.metric else "an acre"

    @property
    def bushel(self) -> str:
        """What grain is sold by, in a sentence."""
        return "a tonne" if self.metric else "a bushel"

    def money(self, price_usd_bu: float) -> str:
        """Write a price of grain."""
        return f"${self.price(price_usd_bu)}"

    def way(self, length_m: float) -> str:
        """Write a length in whole metres or feet, without its unit."""
        return whole(length_m if self.metric else units.ft_from_m(length_m))

    @property
    def way_unit(self) -> str:
        """Unit of a length."""
        return "m" if self.metric else "ft"


def points(count: int) -> str:
    """Write a number of points.

    Examples
    --------
    >>> points(48494)
    '48,494'
    """
    return whole(count)


def share(part: float, of: float) -> str:
    """Write a share in percent, with a decimal where it is small.

    Examples
    --------
    >>> share(34, 1000), share(340, 1000), share(0, 0), share(1, 10_000)
    ('3.4 %', '34 %', '0 %', '<0.1 %')
    """
    percent = 100 * part / of if of else 0.0
    if 0 < percent < 0.05:
        return "<0.1 %"
    return f"{percent:.0f} %" if percent >= 9.95 or percent == 0 else f"{percent:.1f} %"
