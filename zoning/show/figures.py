"""How a figure is written for people: whole dollars, dates by the name of the month, never "-0".

The only place of the page that rounds; computes nothing else.
"""

import re
from datetime import date

from zoning import units
from zoning.evidence import number
from zoning.plan import NO_PRICE_PAYS, PlanPass

NONE = "-"
_DAY = re.compile(r"(.*\S) \d{4}-(0[1-9]|1[0-2])-([0-2]\d|3[01])")  # at the end of a name
_FEW_H = 9.95  # hours below it are written with one decimal
HIGHEST_PRICE_USD_BU = number("returns.highest_price_shown_usd_bu")  # above it: only that it is above
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(when: date | None) -> str:
    """Write a date without its year.

    Examples
    --------
    >>> day(date(2026, 7, 11)), day(None)
    ('Jul 11', '-')
    """
    return NONE if when is None else f"{_MONTHS[when.month - 1]} {when.day}"


def full_day(when: date) -> str:
    """Write a date with its year.

    Examples
    --------
    >>> full_day(date(2026, 7, 11))
    'Jul 11, 2026'
    """
    return f"{day(when)}, {when.year}"


def days(first: date, last: date) -> str:
    """Write a run of days, naming the month once where one will do.

    Examples
    --------
    >>> days(date(2026, 7, 4), date(2026, 7, 6)), days(date(2026, 7, 30), date(2026, 8, 2))
    ('Jul 4–6', 'Jul 30–Aug 2')
    """
    if first == last:
        return day(first)
    return f"{day(first)}–{last.day if first.month == last.month else day(last)}"


def when(one: PlanPass) -> str:
    """Write the half-days of a pass, from the first to the last.

    Examples are in the tests: a pass is too long for one here.
    """
    first = f"{day(one.day)} {one.half}"
    if not one.parts:
        return first
    last = one.parts[-1]
    if one.last_day != one.day:
        return f"{first} to {day(one.last_day)} {last.half}"
    return first if last.half == one.half else f"{first} to {last.half}"


def hours(value_h: float) -> str:
    """Write hours: a decimal where they are few.

    Examples
    --------
    >>> hours(4.56), hours(0.0), hours(12.3)
    ('4.6', '0', '12')
    """
    return f"{round(value_h, 1):g}" if value_h < _FEW_H else f"{value_h:.0f}"


def whole(value: float) -> str:
    """Write a number without decimals, thousands apart.

    Examples
    --------
    >>> whole(-0.4), whole(1286.3)
    ('0', '1,286')
    """
    return f"{round(value):,}"


def signed(value: float, minus: str = "-") -> str:
    """Write a number without decimals and with its sign; a map takes the longer minus.

    Examples
    --------
    >>> signed(21.4), signed(-0.3), signed(-14.2, minus="−")
    ('+21', '0', '−14')
    """
    number = round(value)
    return "0" if number == 0 else f"{'+' if number > 0 else minus}{abs(number):,}"


def dollars(value: float) -> str:
    """Write money in whole dollars.

    Examples
    --------
    >>> dollars(1286.3), dollars(-5.2), dollars(-0.2)
    ('$1,286', '-$5', '$0')
    """
    return f"{'-' if round(value) < 0 else ''}${abs(round(value)):,}"


def chance(share: float) -> str:
    """Write a chance in percent; draws never make it certain.

    Examples
    --------
    >>> chance(0.713), chance(1.0), chance(0.0)
    ('71 %', '>99 %', '<1 %')
    """
    percent = 100 * share
    return ">99 %" if percent > 99 else "<1 %" if percent < 1 else f"{round(percent)} %"


def of_day(name: str, between: str = ", ") -> str:
    """Write the day in the name of a layer as people write days.

    Examples
    --------
    >>> of_day("NDRE 2026-06-28"), of_day("NDRE 2026-06-28", " of "), of_day("yield")
    ('NDRE, Jun 28', 'NDRE of Jun 28', 'yield')
    """
    found = _DAY.fullmatch(name)
    if found is None:
        return name
    name, month, number = found.groups()
    return f"{name}{between}{_MONTHS[int(month) - 1]} {int(number)}"


def plain(text: str, width: int = 0) -> str:
    r"""Take out what a terminal would obey rather than show, and cut to a width (0 = as long as it is).

    Examples
    --------
    >>> plain("North\x1b[31m forty"), plain("a very long name", 9)
    ('North [31m forty', 'a very...')
    """
    shown = text if text.isprintable() else "".join(one if one.isprintable() else " " for one in text)
    clean = shown.strip()
    return clean if width == 0 or len(clean) <= width else clean[: width - 3].rstrip() + "..."


class Units:
    """The units of one farm: what stands in heads and legends, and the figure in that unit.

    Examples
    --------
    >>> Units(metric=False).rate(15.0), Units(metric=True).rate(15.0), Units(metric=True).area_unit
    ('15', '140', 'ha')
    """

    __slots__ = ("metric",)

    def __init__(self, *, metric: bool) -> None:
        self.metric = metric

    @property
    def area_unit(self) -> str:
        """Unit of an area."""
        return "ha" if self.metric else "ac"

    @property
    def area_word(self) -> str:
        """Unit of an area in a sentence."""
        return "hectares" if self.metric else "acres"

    @property
    def rate_unit(self) -> str:
        """Unit of a carrier volume."""
        return "L/ha" if self.metric else "gal/ac"

    @property
    def net_unit(self) -> str:
        """Unit of a return."""
        return "$/ha" if self.metric else "$/ac"

    @property
    def response_unit(self) -> str:
        """Unit of a response."""
        return "kg/ha" if self.metric else "bu/ac"

    @property
    def price_unit(self) -> str:
        """Unit of a grain price."""
        return "$/t" if self.metric else "$/bu"

    def area(self, area_ac: float) -> str:
        """Write an area with one decimal."""
        return f"{units.ha_from_ac(area_ac) if self.metric else area_ac:,.1f}"

    def whole_area(self, area_ac: float) -> str:
        """Write an area for a sentence: whole, but a little is not nothing."""
        area = units.ha_from_ac(area_ac) if self.metric else area_ac
        return whole(area) if area == 0 or area >= 1 else f"{area:.1f}"

    def rate(self, rate_gal_ac: float | None) -> str:
        """Write a carrier volume; half gallons are kept."""
        if rate_gal_ac is None:
            return NONE
        return f"{units.l_ha_from_gal_ac(rate_gal_ac):.0f}" if self.metric else f"{round(rate_gal_ac, 1):g}"

    def net(self, net_usd_ac: float) -> float:
        """Return per area in this farm's unit; not yet written."""
        return units.usd_ha_from_usd_ac(net_usd_ac) if self.metric else net_usd_ac

    def response(self, response_bu_ac: float, digits: int = 1) -> str:
        """Write a response; kilograms are whole."""
        if self.metric:
            return whole(units.kg_ha_from_bu_ac(response_bu_ac))
        return f"{round(response_bu_ac, digits) + 0.0:.{digits}f}"

    def price(self, price_usd_bu: float) -> str:
        """Write a break-even price; "none" where no price pays, ">40" where no realistic one does."""
        if price_usd_bu >= NO_PRICE_PAYS:
            return "none"
        if price_usd_bu > HIGHEST_PRICE_USD_BU:
            return f">{self._price(HIGHEST_PRICE_USD_BU)}"
        return self._price(price_usd_bu)

    def _price(self, price_usd_bu: float) -> str:
        return whole(units.usd_t_from_usd_bu(price_usd_bu)) if self.metric else f"{price_usd_bu:.2f}"
