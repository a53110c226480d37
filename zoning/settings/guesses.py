"""What was probably meant by a figure out of range: another unit, cents, percent, or no minus.

Guesses only; nothing is ever changed. A guess is made where the figure would then be a usual one.
"""

import re

from zoning import evidence, units

# Units that are mistaken for each other, our own first; and what such a figure usually is.
_UNITS = {
    "usd_bu": ("USD/bu", "USD/t", "USD/kg"),
    "usd_ac": ("USD/ac", "USD/ha"),
    "bu_ac": ("bu/ac", "kg/ha", "t/ha"),
}
_USUAL = {
    "usd_bu": "returns.usual_price_usd_bu",
    "usd_ac": "returns.usual_cost_usd_ac",
    "bu_ac": "returns.usual_response_bu_ac",
}
_USUAL_OF = {"money.haul": "returns.usual_haul_usd_bu", "expected_yield": "returns.usual_yield_bu_ac"}
# What a figure out of range is often mistaken for.
_HINTS = {
    "response.mean": "it is sprayed less unsprayed, not the yield",
    "response.se": "it is the SD of the differences divided by the square root of their number",
    "sprayer.fill_min": "it is the minutes from an empty tank to a full one, the way there included",
}
_MOST_PERCENT = 100


def unit_of(text: str) -> str:
    """Give the unit of a quantity as it was typed.

    Examples
    --------
    >>> unit_of(" 386 USD/bu"), unit_of("8 fl oz/ac")
    ('USD/bu', 'fl oz/ac')
    """
    return re.sub(r"^[-+\d.eE\s]+(?=\D)", "", text).strip()


def hint(pattern: str) -> str:
    """Say what a key holds, where another figure is often typed; "" for most keys.

    Examples
    --------
    >>> hint("response.mean")
    'it is sprayed less unsprayed, not the yield'
    """
    return _HINTS.get(pattern, "")


def meant(text: str, quantity: str, pattern: str = "") -> str:
    """Guess what was meant by a quantity out of range.

    Parameters
    ----------
    text : str
        As it was typed, as "386 USD/bu".
    quantity : str
        What is asked for, as "usd_bu".
    pattern : str
        The key, as "money.haul", where what is usual depends on it.

    Returns
    -------
    str
        A question, "" where nothing usual comes out.

    Examples
    --------
    >>> meant("386 USD/bu", "usd_bu")
    'Did you mean 386 USD/t, which is 10.51 USD/bu?'
    >>> meant("1040 USD/bu", "usd_bu")
    'Did you mean 10.40 USD/bu, as 1040 looks like cents?'
    >>> meant("-19 USD/ac", "usd_ac")
    'Did you mean 19 USD/ac, without the minus?'
    """
    if quantity not in _UNITS:
        return ""
    unit = unit_of(text)
    number = float(text.strip().removesuffix(unit))
    low, high = evidence.numbers(_USUAL_OF.get(pattern, _USUAL[quantity])).tolist()
    is_money = quantity.startswith("usd")

    def usual(figure: float, its_unit: str) -> bool:
        return bool(low <= units.parse(f"{figure!r} {its_unit}", quantity) <= high)

    if number < 0:
        is_small = is_money and units.parse(f"{-number!r} {unit}", quantity) <= high
        return f"Did you mean {_shown(-number)} {unit}, without the minus?" if is_small else ""
    if pattern.startswith("response.") and _is_a_yield(text):
        return ""
    found = [
        f"{_shown(number)} {other}{_in_our_unit(number, other, quantity)}"
        for other in _UNITS[quantity]
        if other.lower() != unit.lower() and usual(number, other)
    ]
    if is_money and usual(number / 100, unit):
        found.append(f"{_shown(number / 100)} {unit}, as {_shown(number)} looks like cents")
    return f"Did you mean {'? Or '.join(found)}?" if found else ""


def _is_a_yield(text: str) -> bool:
    low, high = evidence.numbers(_USUAL_OF["expected_yield"]).tolist()
    return bool(low <= units.parse(text, "bu_ac") <= high)


def _in_our_unit(number: float, unit: str, quantity: str) -> str:
    own = _UNITS[quantity][0]
    return "" if unit == own else f", which is {units.parse(f'{number!r} {unit}', quantity):.2f} {own}"


def _shown(number: float) -> str:
    """Write a whole number as it is, another with two decimals, as money is."""
    return f"{number:g}" if number % 1 == 0 else f"{number:.2f}"


def share_meant(number: object) -> str:
    """Guess that a share above 1 is a percentage; "" where it is none.

    Examples
    --------
    >>> share_meant(50), share_meant(1.5)
    ('Did you mean 0.5, which is 50 %?', '')
    """
    if not isinstance(number, int | float) or not 2 <= number <= _MOST_PERCENT:
        return ""
    return f"Did you mean {number / 100:g}, which is {number:g} %?"
