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

# What a unit measures, and how many of our own internal unit it holds (grain: bushels of soybean).
_UNITS: dict[str, tuple[str, float]] = {
    "USD": ("money", 1.0),
    "bu": ("grain", 1.0), "t": ("mass", 1000 / KG_PER_BU), "kg": ("mass", 1 / KG_PER_BU),
    "g": ("mass", 1 / (1000 * KG_PER_BU)), "lb": ("mass", KG_PER_LB / KG_PER_BU),
    "oz": ("mass", KG_PER_LB / 16 / KG_PER_BU),
    "ac": ("area", 1.0), "ha": ("area", AC_PER_HA), "m2": ("area", 1 / M2_PER_AC),
    "gal": ("volume", 1.0), "L": ("volume", 1 / L_PER_GAL), "mL": ("volume", 1 / (1000 * L_PER_GAL)),
    "qt": ("volume", 1 / 4), "pt": ("volume", 1 / 8), "fl oz": ("volume", 1 / 128),
    "m": ("length", 1.0), "cm": ("length", 0.01), "mm": ("length", 0.001), "in": ("length", M_PER_IN),
    "ft": ("length", M_PER_FT), "mph": ("speed", 1.0), "km/h": ("speed", 1 / KMH_PER_MPH),
    "m/s": ("speed", 3.6 / KMH_PER_MPH), "psi": ("pressure", 1.0), "bar": ("pressure", PSI_PER_BAR),
    "kPa": ("pressure", PSI_PER_BAR / 100),
    "h": ("time", 1.0), "min": ("time", 1 / 60), "s": ("time", 1 / 3600),
}  # fmt: skip
_SPELLINGS = {
    "$": "USD", "us$": "USD", "acre": "ac", "acres": "ac", "hectare": "ha", "hectares": "ha", "l": "L",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L", "gallon": "gal", "gallons": "gal",
    "quart": "qt", "quarts": "qt", "pint": "pt", "pints": "pt", "floz": "fl oz", "fl_oz": "fl oz",
    "bushel": "bu", "bushels": "bu", "tonne": "t", "tonnes": "t", "pound": "lb", "pounds": "lb", "lbs": "lb",
    "inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "meter": "m", "meters": "m", "metre": "m",
    "metres": "m", "kmh": "km/h", "kph": "km/h", "mps": "m/s", "hour": "h", "hours": "h", "hr": "h",
    "minutes": "min", "sec": "s", "second": "s", "seconds": "s",
}  # fmt: skip
_BY_NAME = {unit.lower(): unit for unit in _UNITS} | _SPELLINGS
_COUNTS_AS = {"grain": ("grain", "mass")}  # a yield may be weighed; a dose is never in bushels

# The ending of a name -> numerator, denominator, and what to suggest when the unit is missing.
_QUANTITIES: dict[str, tuple[str, str | None, str]] = {
    "usd": ("money", None, "USD"), "usd_bu": ("money", "grain", "USD/bu or USD/t"),
    "usd_ac": ("money", "area", "USD/ac or USD/ha"), "usd_gal": ("money", "volume", "USD/gal or USD/L"),
    "usd_h": ("money", "time", "USD/h"), "bu_ac": ("grain", "area", "bu/ac or t/ha"),
    "lb_ac": ("mass", "area", "lb/ac or kg/ha"), "gal_ac": ("volume", "area", "gal/ac or L/ha"),
    "gal": ("volume", None, "gal or L"), "ac": ("area", None, "ac or ha"),
    "m": ("length", None, "ft, in or m"), "mph": ("speed", None, "mph or km/h"),
    "psi": ("pressure", None, "psi or bar"), "m_s": ("speed", None, "mph, km/h or m/s"),
    "kg_s": ("grain", "time", "lb/s, kg/s or t/h"),
}  # fmt: skip
_SECONDS = {"s": ("time", None, "s, min or h")}  # of columns only: names of settings end with it too
# Internal units other than that of the parts.
_OF_A_QUANTITY = {"lb_ac": KG_PER_BU / KG_PER_LB, "m_s": KMH_PER_MPH / 3.6, "kg_s": KG_PER_BU / 3600}
_OF_A_QUANTITY["s"] = 3600
_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_QUANTITY = re.compile(rf"\s*({_NUMBER})\s*(\S.*?)?\s*")
_DOLLAR_FIRST = re.compile(rf"\s*(?:US)?\$\s*({_NUMBER})\s*(/\s*\S.*?)?\s*", re.IGNORECASE)
_WITH_COMMA = re.compile(r"\s*[-+]?\d+(?:,\d+)+")


class UnitError(ValueError):
    """A quantity that cannot be read; its two sentences are what is wrong and how to mend it."""

    def __init__(self, what: str, mend: str) -> None:
        super().__init__(f"{what}. {mend}")
        self.what, self.mend = what, mend


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
    >>> round(parse("90 ft", "m"), 3), factor("min", "s")
    (27.432, 60.0)
    """
    number, words = _split(text, quantity)
    return number * factor(words, quantity)


def _unit(text: str) -> tuple[str, float] | None:
    return _UNITS.get(_BY_NAME.get(" ".join(text.lower().split()), ""))


def _split(text: object, quantity: str) -> tuple[float, str]:
    usual = _QUANTITIES[quantity][2].split(" or ")[0].split(",")[0]
    if isinstance(text, str) and _WITH_COMMA.match(text):
        raise UnitError("a comma stands in the number", f'Write it with a point only, as "1200.5 {usual}".')
    dollar = _DOLLAR_FIRST.fullmatch(text) if isinstance(text, str) else None
    if dollar is not None:
        written = f"{dollar[1]} USD{dollar[2] or usual.removeprefix('USD')}"
        raise UnitError("the unit stands before the number", f'Write it as "{written}".')
    match = _QUANTITY.fullmatch(text) if isinstance(text, str) else None
    if match is None:
        is_number = isinstance(text, int | float) and not isinstance(text, bool)
        what = "a unit is missing" if is_number else "not a number with a unit"
        raise UnitError(what, f'Write it as "{text if is_number else 12} {usual}".')
    if not match[2]:
        raise UnitError("a unit is missing", f'Write it as "{match[1]} {usual}".')
    return float(match[1]), match[2]


def factor(words: str, quantity: str) -> float:
    """Say how many of the internal unit one of these units is; `UnitError` where it is none."""
    upper, lower, wanted = (_QUANTITIES | _SECONDS)[quantity]
    whole = _unit(words)
    over, slash, under = words.partition("/")
    parts = (whole,) if whole or not slash else (_unit(over), _unit(under))
    if upper == "money" and parts[0] is None:
        raise UnitError(f"money is in USD here, not {over.strip()}", "Convert it to USD yourself.")
    known = [part for part in parts if part is not None]
    if len(known) < len(parts):
        raise UnitError(f'"{words}" is not a unit known here', f"Use {wanted}.")
    kinds = tuple(kind for kind, _ in known)
    needed = (upper, lower) if lower else (upper,)
    fits = (kind in _COUNTS_AS.get(need, (need,)) for kind, need in zip(kinds, needed, strict=False))
    if len(kinds) != len(needed) or not all(fits):
        raise UnitError(f'"{words}" is the wrong kind of unit', f"Use {wanted}.")
    one = known[0][1] if lower is None else known[0][1] / known[1][1]
    return one * _OF_A_QUANTITY.get(quantity, 1.0)


def quantities() -> dict[str, str]:
    """Give the endings of names that mean a quantity, and the units that it is usually typed in."""
    return {ending: wanted for ending, (_, _, wanted) in _QUANTITIES.items()}


def spellings() -> dict[str, tuple[str, ...]]:
    """Name every accepted unit by what it measures, other spellings after it, for the docs.

    Capital letters are as good as small ones.

    Examples
    --------
    >>> spellings()["money"]
    ('USD', '$', 'us$')
    """
    kinds: dict[str, tuple[str, ...]] = {}
    for unit, (kind, _) in _UNITS.items():
        others = (other for other, meant in _SPELLINGS.items() if meant == unit and other != unit.lower())
        kinds[kind] = (*kinds.get(kind, ()), unit, *others)
    return kinds


def l_ha_from_gal_ac(rate_gal_ac: float) -> float:
    """Carrier volume per area, US to metric.

    Examples
    --------
    >>> round(l_ha_from_gal_ac(10), 5), round(kg_ha_from_bu_ac(1), 5)  # and yields, below
    (93.53956, 67.25107)
    """
    return rate_gal_ac * L_PER_GAL * AC_PER_HA


def gal_ac_from_l_ha(rate_l_ha: float) -> float:
    """Carrier volume per area, metric to US."""
    return rate_l_ha / (L_PER_GAL * AC_PER_HA)


def mm3_m2_from_l_ha(rate_l_ha: float) -> float:
    """Volume per area as a machine's data dictionary counts it; a litre is a million cubic millimetres."""
    return rate_l_ha * 1_000_000 / M2_PER_HA


def kg_ha_from_bu_ac(yield_bu_ac: float) -> float:
    """Soybean yield, US to metric."""
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


def mi_from_m(length_m: float) -> float:
    """Length in miles."""
    return length_m / (KMH_PER_MPH * 1000)


def m_s_from_mph(speed_mph: float) -> float:
    """Speed in metres a second."""
    return speed_mph * KMH_PER_MPH / 3.6


def m_s_from_kmh(speed_kmh: float) -> float:
    """Speed, kilometres an hour to metres a second."""
    return speed_kmh / 3.6


def ac_h_from_mph(speed_mph: float, width_m: float) -> float:
    """Area that a width sweeps in an hour."""
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
    """Temperature, Fahrenheit to Celsius."""
    return (temperature_f - 32) * 5 / 9


def f_from_c(temperature_c: float) -> float:
    """Temperature, Celsius to Fahrenheit."""
    return temperature_c * 9 / 5 + 32


def in_from_mm(rain_mm: float) -> float:
    """Rain, millimetres to inches."""
    return rain_mm / (M_PER_IN * 1000)


def mm_from_in(rain_in: float) -> float:
    """Rain, inches to millimetres."""
    return rain_in * M_PER_IN * 1000


def day_from_date(when: date) -> float:
    """Turn a date into a day number that can be computed with."""
    return float(when.toordinal())


def date_from_day(when_day: float) -> date:
    """Name the date on which a day number falls; its part of the day does not count."""
    return date.fromordinal(math.floor(when_day))
