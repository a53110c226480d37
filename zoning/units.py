"""The only module that converts units, and the closed table that reads "10.50 USD/bu".

Inside the project every quantity has one unit, and its name ends with it: `_m`, `_ac`, `_gal_ac`,
`_bu_ac`, `_usd_ac`, `_usd_bu`, `_c`, `_h`, `_mph`, `_psi`, `_frac`; a day that can be computed with is a
float whose name ends in `_day`: `date.toordinal()` plus the part of the day that has passed.
"""

import math
import re
from datetime import date

M_PER_IN = 0.0254
M_PER_FT = 0.3048  # international foot
M2_PER_AC = 43_560 * M_PER_FT**2
M2_PER_HA = 10_000.0
AC_PER_HA = M2_PER_HA / M2_PER_AC
L_PER_GAL = 231 * (M_PER_IN * 10) ** 3  # US gallon = 231 cubic inches
KG_PER_LB = 0.45359237
KG_PER_BU = 60 * KG_PER_LB  # soybean bushel: 60 lb
KMH_PER_MPH = 1.609344
PSI_PER_BAR = 100_000 * M_PER_IN**2 / (KG_PER_LB * 9.80665)

# What a unit measures, and how many of our own internal unit it holds.
_UNITS: dict[str, tuple[str, float]] = {
    "USD": ("money", 1.0),
    "bu": ("grain", 1.0),
    "t": ("grain", 1000 / KG_PER_BU),
    "kg": ("grain", 1 / KG_PER_BU),
    "lb": ("grain", KG_PER_LB / KG_PER_BU),
    "ac": ("area", 1.0),
    "ha": ("area", AC_PER_HA),
    "m2": ("area", 1 / M2_PER_AC),
    "gal": ("volume", 1.0),
    "L": ("volume", 1 / L_PER_GAL),
    "mL": ("volume", 1 / (1000 * L_PER_GAL)),
    "qt": ("volume", 1 / 4),
    "pt": ("volume", 1 / 8),
    "fl oz": ("volume", 1 / 128),
    "m": ("length", 1.0),
    "cm": ("length", 0.01),
    "in": ("length", M_PER_IN),
    "ft": ("length", M_PER_FT),
    "mph": ("speed", 1.0),
    "km/h": ("speed", 1 / KMH_PER_MPH),
    "m/s": ("speed", 3.6 / KMH_PER_MPH),
    "psi": ("pressure", 1.0),
    "bar": ("pressure", PSI_PER_BAR),
    "kPa": ("pressure", PSI_PER_BAR / 100),
    "h": ("time", 1.0),
    "min": ("time", 1 / 60),
}
_SPELLINGS = {
    "$": "USD", "usd": "USD", "acre": "ac", "acres": "ac", "l": "L", "liter": "L", "litre": "L", "ml": "mL",
    "gallon": "gal", "gallons": "gal", "floz": "fl oz", "fl_oz": "fl oz", "bushel": "bu", "bushels": "bu",
    "tonne": "t", "kmh": "km/h", "kph": "km/h", "hour": "h", "inch": "in", "meter": "m", "metre": "m",
    "feet": "ft", "foot": "ft",
}  # fmt: skip

# The ending of a name -> numerator, denominator, and what to suggest when the unit is missing.
_QUANTITIES: dict[str, tuple[str, str | None, str]] = {
    "usd": ("money", None, "USD"),
    "usd_bu": ("money", "grain", "USD/bu or USD/t"),
    "usd_ac": ("money", "area", "USD/ac or USD/ha"),
    "usd_gal": ("money", "volume", "USD/gal or USD/L"),
    "usd_h": ("money", "time", "USD/h"),
    "bu_ac": ("grain", "area", "bu/ac or t/ha"),
    "gal_ac": ("volume", "area", "gal/ac or L/ha"),
    "gal": ("volume", None, "gal or L"),
    "ac": ("area", None, "ac or ha"),
    "m": ("length", None, "ft, in or m"),
    "mph": ("speed", None, "mph or km/h"),
    "psi": ("pressure", None, "psi or bar"),
}
_QUANTITY = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S.*?)?\s*")
_CURRENCIES = ("EUR", "BRL", "ARS", "CAD", "R$", "€", "£", "GBP", "PYG", "UYU", "AUD")


class UnitError(ValueError):
    """A quantity that cannot be read; its two sentences are what is wrong and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}. {mend}")
        self.what, self.mend = what, mend


def _unit(text: str) -> tuple[str, float] | None:
    word = " ".join(text.split())
    return _UNITS.get(word) or _UNITS.get(_SPELLINGS.get(word.lower(), ""))


def parse(text: object, quantity: str) -> float:
    """Read a quantity in words into the internal unit that `quantity` names.

    Parameters
    ----------
    text : object
        Number and unit, as "10.50 USD/bu", "187 L/ha", "90 ft".
    quantity : str
        The ending of the name that the value will have: "usd_bu", "gal_ac", "m", ...

    Returns
    -------
    float
        [the unit that `quantity` names]

    Raises
    ------
    UnitError
        Without a unit, with an unknown unit, with the wrong dimension, or in another currency.

    Examples
    --------
    >>> parse("10.50 USD/bu", "usd_bu")
    10.5
    >>> round(parse("187.07912 L/ha", "gal_ac"), 5)
    20.0
    >>> round(parse("90 ft", "m"), 3)
    27.432
    """
    upper, lower, wanted = _QUANTITIES[quantity]
    match = _QUANTITY.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        is_number = isinstance(text, int | float) and not isinstance(text, bool)
        what = "a unit is missing" if is_number else "not a number with a unit"
        raise UnitError(what, f'Write it as "{text if is_number else 12} {wanted.split(" or ")[0]}".')
    number, words = float(match[1]), match[2] or ""
    if not words:
        raise UnitError("a unit is missing", f'Write it as "{match[1]} {wanted.split(" or ")[0]}".')
    if any(words.upper().startswith(currency) for currency in _CURRENCIES):
        raise UnitError(f"money is in USD here, not {words.split('/')[0]}", "Convert it to USD yourself.")
    whole = _unit(words)
    if whole is not None and lower is None and whole[0] == upper:
        return number * whole[1]
    over, slash, under = words.partition("/")
    parts = (_unit(over), _unit(under)) if slash else (whole, None)
    if whole is None and (parts[0] is None or (slash and parts[1] is None)):
        raise UnitError(f'"{words}" is not a unit known here', f"Use {wanted}.")
    if lower is not None and slash and parts[0] is not None and parts[1] is not None:
        (kind, factor), (kind_under, factor_under) = parts
        if (kind, kind_under) == (upper, lower):
            return number * factor / factor_under
    raise UnitError(f'"{words}" is the wrong kind of unit', f"Use {wanted}.")


def spellings() -> dict[str, tuple[str, ...]]:
    """Name every accepted unit by what it measures, for the docs.

    Examples
    --------
    >>> spellings()["pressure"]
    ('psi', 'bar', 'kPa')
    """
    kinds: dict[str, tuple[str, ...]] = {}
    for unit, (kind, _) in _UNITS.items():
        kinds[kind] = (*kinds.get(kind, ()), unit)
    return kinds


def l_ha_from_gal_ac(rate_gal_ac: float) -> float:
    """Carrier volume per area, US to metric.

    Examples
    --------
    >>> round(l_ha_from_gal_ac(10), 5)
    93.53956
    """
    return rate_gal_ac * L_PER_GAL * AC_PER_HA


def gal_ac_from_l_ha(rate_l_ha: float) -> float:
    """Carrier volume per area, metric to US."""
    return rate_l_ha / (L_PER_GAL * AC_PER_HA)


def kg_ha_from_bu_ac(yield_bu_ac: float) -> float:
    """Soybean yield, US to metric.

    Examples
    --------
    >>> round(kg_ha_from_bu_ac(1), 5)
    67.25107
    """
    return yield_bu_ac * KG_PER_BU * AC_PER_HA


def bu_ac_from_t_ha(yield_t_ha: float) -> float:
    """Soybean yield, metric to US."""
    return yield_t_ha * 1000 / (KG_PER_BU * AC_PER_HA)


def usd_ha_from_usd_ac(money_usd_ac: float) -> float:
    """Money per area, US to metric."""
    return money_usd_ac * AC_PER_HA


def usd_t_from_usd_bu(price_usd_bu: float) -> float:
    """Grain price, US to metric."""
    return price_usd_bu * 1000 / KG_PER_BU


def ha_from_ac(area_ac: float) -> float:
    """Area, US to metric."""
    return area_ac / AC_PER_HA


def ac_from_m2(area_m2: float) -> float:
    """Area in acres."""
    return area_m2 / M2_PER_AC


def m2_from_ac(area_ac: float) -> float:
    """Area in square metres."""
    return area_ac * M2_PER_AC


def l_from_gal(volume_gal: float) -> float:
    """Volume, US to metric."""
    return volume_gal * L_PER_GAL


def ft_from_m(length_m: float) -> float:
    """Length in feet."""
    return length_m / M_PER_FT


def in_from_m(length_m: float) -> float:
    """Length in inches."""
    return length_m / M_PER_IN


def m_s_from_mph(speed_mph: float) -> float:
    """Speed in metres a second."""
    return speed_mph * KMH_PER_MPH / 3.6


def ac_h_from_mph(speed_mph: float, width_m: float) -> float:
    """Area that a width sweeps in an hour.

    Examples
    --------
    >>> round(ac_h_from_mph(8.25, 0.3048), 9)  # a foot wide
    1.0
    """
    return ac_from_m2(m_s_from_mph(speed_mph) * 3600 * width_m)


def kmh_from_mph(speed_mph: float) -> float:
    """Speed, US to metric."""
    return speed_mph * KMH_PER_MPH


def per_min_from_per_h(amount_per_h: float) -> float:
    """Amount a minute, as gallons a minute from gallons an hour."""
    return amount_per_h / 60


def h_from_min(time_min: float) -> float:
    """Time in hours."""
    return time_min / 60


def per_day_from_per_week(amount_per_week: float) -> float:
    """Amount a day, averaged over the week."""
    return amount_per_week / 7


def bar_from_psi(pressure_psi: float) -> float:
    """Pressure, US to metric."""
    return pressure_psi / PSI_PER_BAR


def c_from_f(temperature_f: float) -> float:
    """Temperature, Fahrenheit to Celsius.

    Examples
    --------
    >>> c_from_f(212)
    100.0
    """
    return (temperature_f - 32) * 5 / 9


def mm_from_in(rain_in: float) -> float:
    """Rain, inches to millimetres."""
    return rain_in * M_PER_IN * 1000


def day_from_date(when: date) -> float:
    """Turn a date into a day number that can be computed with."""
    return float(when.toordinal())


def date_from_day(when_day: float) -> date:
    """Name the date on which a day number falls.

    Examples
    --------
    >>> date_from_day(day_from_date(date(2026, 7, 8)) + 0.9)
    datetime.date(2026, 7, 8)
    """
    return date.fromordinal(math.floor(when_day))
