"""Figures of the page: each one in an element that says what it is, so that the page can write it again.

Rounds as `zoning.show.figures` does and computes nothing; text that is no figure of ours is never trusted.
A page of 30 zones has a thousand such elements: `i` is the shortest, and the style takes its slant away.
"""

import re
from math import isfinite

from markupsafe import Markup, escape

from zoning.plan import Plan
from zoning.show.figures import Units, chance, dollars, plain, signed
from zoning.show.money import cents

_SETTING = re.compile(r" \(setting: [^()]*\)")
_DIGITS = 6  # as plan.json holds them


def span(quantity: str, value: float | None, text: str) -> Markup:
    """Put a figure into an element with its quantity and its exact value.

    Examples
    --------
    >>> span("usd", 772.471324, "$772")
    Markup('<i data-q=usd data-v=772.471324>$772</i>')
    """
    is_known = value is not None and isfinite(value)
    exact = f"={round(value or 0.0, _DIGITS) + 0.0:.{_DIGITS + 10}g}" if is_known else ""
    # put together by hand: a page of 200 zones has five thousand of them
    return Markup(f"<i data-q={quantity} data-v{exact}>{escape(text)}</i>")


def placed(id_: str, inside: Markup | str) -> Markup:
    """Put a figure, or any text, where a script finds it.

    Examples
    --------
    >>> placed("n-range", "$1")
    Markup('<span id="n-range">$1</span>')
    >>> placed("n-net", span("usd", 1.0, "$1"))
    Markup('<i id="n-net" data-q=usd data-v=1>$1</i>')
    """
    start = "<i data-q="
    text = str(escape(inside))
    if text.startswith(start) and text.count("<i ") == 1:
        return Markup(text.replace("<i", f'<i id="{id_}"', 1))
    return Markup('<span id="{}">{}</span>').format(id_, inside)


def sentence(text: str) -> str:
    """Begin with a capital letter what stands alone; take out what is no letter, and the names of settings.

    Who reads the page need not know them; report and how-to name them.

    Examples
    --------
    >>> sentence("four pairs would (setting: pairs = 4 in [check_strips]), and more")
    'Four pairs would, and more'
    >>> sentence("as zone 1"), sentence("")
    ('As zone 1', '')
    """
    clean = _SETTING.sub("", plain(text))
    return clean[:1].upper() + clean[1:]


class Figures:
    """The figures of one plan, as elements in the plan's own units.

    Examples
    --------
    >>> Figures(Units(metric=False)).net(16.072812)
    Markup('<i data-q=net_usd_ac data-v=16.072812>+16</i>')
    """

    __slots__ = ("written",)

    def __init__(self, written: Units) -> None:
        self.written = written

    def area(self, area_ac: float) -> Markup:
        """Area with one decimal."""
        return span("area_ac", area_ac, self.written.area(area_ac))

    def whole_area(self, area_ac: float) -> Markup:
        """Area for a sentence."""
        return span("whole_area_ac", area_ac, self.written.whole_area(area_ac))

    def rate(self, rate_gal_ac: float | None) -> Markup:
        """Carrier volume."""
        return span("rate_gal_ac", rate_gal_ac, self.written.rate(rate_gal_ac))

    def net(self, net_usd_ac: float) -> Markup:
        """Return of an acre with its sign."""
        return span("net_usd_ac", net_usd_ac, signed(self.written.net(net_usd_ac)))

    def cost(self, cost_usd_ac: float) -> Markup:
        """Line of a bill for an acre."""
        return span("cost_usd_ac", cost_usd_ac, cents(self.written.net(cost_usd_ac)))

    def usd(self, value_usd: float) -> Markup:
        """Money of a field."""
        return span("usd", value_usd, dollars(value_usd))

    def response(self, response_bu_ac: float) -> Markup:
        """Response of a crop."""
        text = self.written.response(response_bu_ac) if isfinite(response_bu_ac) else "-"
        return span("response_bu_ac", response_bu_ac, text)

    def price(self, price_usd_bu: float) -> Markup:
        """Break-even price."""
        return span("price_usd_bu", price_usd_bu, self.written.price(price_usd_bu))

    def chance(self, share: float) -> Markup:
        """Chance in percent."""
        return span("chance", share, chance(share))

    def unit(self, kind: str) -> Markup:
        """Name the unit of an area, rate, net, response or price."""
        return Markup("<i data-u={}>{}</i>").format(kind, getattr(self.written, f"{kind}_unit"))


def of_plan(plan: Plan) -> Figures:
    """Give the figures in the units of a plan."""
    return Figures(Units(metric=plan.units == "metric"))


def with_figure(text: str | Markup, words: str, figure: Markup) -> Markup:
    """Put a figure in the place of the first words of a sentence that are the same text.

    Examples
    --------
    >>> with_figure("spray <5 acres", "5", span("whole_area_ac", 5.0, "5"))
    Markup('spray &lt;<i data-q=whole_area_ac data-v=5>5</i> acres')
    """
    return Markup(str(escape(text)).replace(str(escape(words)), str(figure), 1))
