"""Whether amounts can be in the unit in which they were read, by what soybeans yield and by the places.

A unit that does not fit is refused where another one does, and that one is named; nothing is changed.
"""

from collections.abc import Callable, Iterator, Mapping

import numpy as np

from zoning import units
from zoning.errors import InputError
from zoning.evidence import number, numbers
from zoning.inputs.harvest.given import Floats
from zoning.inputs.harvest.points.cells import Amount, factor, median

_OTHERS = {
    "yield": ("bu/ac", "t/ha", "kg/ha", "lb/ac"),
    "flow": ("lb/s", "kg/s", "t/h", "bu/h"),
    "speed": ("mph", "km/h", "m/s"),
    "distance": ("ft", "m", "in", "cm"),
    "swath": ("ft", "m", "in", "cm"),
    "moisture": ("%", "share"),
}


def faults(
    read: Mapping[str, Amount], steps_m: Floats, gaps_s: Floats, header_m: float | None, file: str
) -> list[InputError]:
    """Find the columns that were read in a unit that does not fit while another one does.

    Parameters
    ----------
    read : mapping of str to Amount
    steps_m, gaps_s : arrays, shape (n,)
        From the row before, NaN where it is not known. [m], [s]
    header_m : float or None
        Width of the header. [m]
    file : str
        How the user calls it.
    """
    speeds = np.divide(steps_m, gaps_s, out=np.full(len(steps_m), np.nan), where=gaps_s > 0)
    found: list[InputError | None] = []
    for role, key in (
        ("yield", "inputs.harvest_yield_range_bu_ac"),
        ("moisture", "inputs.harvest_moisture_range_frac"),
        ("swath", "inputs.harvest_swath_range_m"),
    ):
        if role in read:
            low, high = numbers(key).tolist()
            found.append(_judged(read[role], _within(read[role].typical, low, high), file))
    for role, witness in (("speed", speeds), ("distance", steps_m)):
        if role in read and read[role].source == "farm":  # else a file that was thinned out would be refused
            ratios = _ratios(read[role].values, witness)
            if len(ratios) >= number("inputs.harvest_fewest_steps"):
                most = number("inputs.harvest_unit_ratio")
                found.append(_judged(read[role], _within(float(np.median(ratios)), 1 / most, most), file))
    if "flow" in read and not any(found):  # it is judged by the others
        low, high = numbers("inputs.harvest_yield_range_bu_ac").tolist()
        found.append(_judged(read["flow"], _within(_yield_of_flow(read, speeds, header_m), low, high), file))
    return [one for one in found if one is not None]


def _within(value: float, low: float, high: float) -> Callable[[float], bool]:
    """Give the question whether a value fits when it is multiplied."""
    return lambda ratio: not np.isfinite(value) or bool(low <= value * ratio <= high)


def _ratios(values: Floats, witness: Floats) -> Floats:
    both = np.isfinite(values) & np.isfinite(witness) & (values > 0) & (witness > 0)
    return np.asarray(values[both] / witness[both])


def _yield_of_flow(read: Mapping[str, Amount], speeds: Floats, header_m: float | None) -> float:
    """Give the median yield that a flow means, NaN where it cannot be worked out. [bu/ac]."""
    speed_m_s = read["speed"].typical if "speed" in read else median(speeds)
    swath_m = read["swath"].typical if "swath" in read else (header_m or float("nan"))
    kg_m2 = np.float64(read["flow"].typical) / (speed_m_s * swath_m)
    return units.bu_ac_from_t_ha(float(kg_m2) * units.M2_PER_HA / 1000)


def _judged(amount: Amount, fits: Callable[[float], bool], file: str) -> InputError | None:
    """Refuse a unit that does not fit, where another one of that role does."""
    if fits(1.0):
        return None
    own = factor(amount.role, amount.unit)
    others = [unit for unit in _others(amount) if fits(factor(amount.role, unit) / own)]
    if not others:
        return None
    said = {
        "told": "as it was told",
        "name": "as its name or its numbers say",
        "farm": "as is usual on this farm",
    }
    fitting = " or ".join(f'"{unit}"' for unit in others)
    what = f'{amount.column} was read in "{amount.unit}", {said[amount.source]}, but fits {fitting}'
    mend = f"Say its unit with --unit {amount.role}={others[0]} or in [harvest.units]."
    return InputError(what, where=file, mend=mend)


def _others(amount: Amount) -> Iterator[str]:
    own = factor(amount.role, amount.unit)
    return (unit for unit in _OTHERS[amount.role] if factor(amount.role, unit) != own)
