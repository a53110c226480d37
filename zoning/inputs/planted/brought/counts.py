"""A planter's population in seeds per acre: its unit as told, by the column's name, or by its size."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from zoning import units
from zoning.errors import InputError
from zoning.evidence import numbers
from zoning.inputs.grid import Floats
from zoning.inputs.harvest.points.columns import words_of

Source = Literal["told", "name", "size", "farm"]
Ways = dict[str, Callable[[Floats], Floats]]
_THOUSAND = 1000.0

# Unit -> seeds per acre.
_TO_AC: Ways = {
    "seeds/ac": lambda counted: counted,
    "seeds/ha": lambda counted: units.ha_from_ac(1.0) * counted,
    "seeds/m2": lambda counted: units.m2_from_ac(1.0) * counted,
    "thousand/ac": lambda counted: _THOUSAND * counted,
    "thousand/ha": lambda counted: _THOUSAND * units.ha_from_ac(1.0) * counted,
}
UNITS = tuple(_TO_AC)
_METRIC = frozenset({"seeds/ha", "seeds/m2", "thousand/ha"})
_SQUARE_METRE = re.compile(r"m2|m²|m\^2|sq\.?\s?m|square met", re.IGNORECASE)
_AREAS = {"ac": frozenset({"ac", "acre", "acres"}), "ha": frozenset({"ha", "hectare", "hectares"})}
_THOUSANDS = frozenset({"k", "ks", "ksds", "kseeds", "thousand", "thousands", "1000"})


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Population:
    """Seeds per acre of each row, NaN where nothing stands; the unit they were read in, and who says so."""

    seeds_ac: Floats
    unit: str
    source: Source


def unit_in(text: str) -> str:
    """Find the unit of a population in a name or in what was typed; "" where it says none.

    Examples
    --------
    >>> unit_in("Population (ksds/ac)"), unit_in("seeds per hectare"), unit_in("pop_m2"), unit_in("Rate")
    ('thousand/ac', 'seeds/ha', 'seeds/m2', '')
    """
    words = words_of(text)
    if _SQUARE_METRE.search(text):
        return "seeds/m2"
    area = next((name for name, spelled in _AREAS.items() if words & spelled), "")
    if not area:
        return ""
    return f"thousand/{area}" if words & _THOUSANDS else f"seeds/{area}"


def read(cells: Floats, column: str, told: str, *, is_metric: bool, where: str) -> Population:
    """Bring a column of populations to seeds per acre.

    Parameters
    ----------
    cells : ndarray of float, shape (n,)
    column : str
        Its name, which may say the unit.
    told : str
        The unit as typed, or "".
    is_metric : bool
        How the farm counts, where two units would do.
    where : str
        File, for a fault.

    Raises
    ------
    InputError
        Where in no unit, or in two of the farm's, soybeans are planted as densely, or nothing was counted.

    Examples
    --------
    >>> found = read(np.array([350_000.0]), "Population", "", is_metric=False, where="x.csv")
    >>> found.unit, found.source, round(float(found.seeds_ac[0]))
    ('seeds/ha', 'size', 141640)
    """
    named = told or unit_in(column)
    if named:
        source: Source = "told" if told else "name"
        return Population(seeds_ac=_TO_AC[named](cells), unit=named, source=source)
    may_be = _by_size(cells)
    ours = [unit for unit in may_be if (unit in _METRIC) == is_metric]
    chosen = may_be if len(may_be) == 1 else ours
    if np.isnan(_median(cells)):
        mend = "Take the column out with --column population= ."
        raise InputError(f'"{column}" holds no number that counts seeds', where=where, mend=mend)
    if len(chosen) != 1:
        mend = f"Say it with --unit population=UNIT, one of {', '.join(UNITS)}."
        what = f'the unit of "{column}" is not known by its name or size (median {shown(_median(cells))})'
        raise InputError(what, where=where, mend=mend)
    unit = chosen[0]
    return Population(seeds_ac=_TO_AC[unit](cells), unit=unit, source="size" if len(may_be) == 1 else "farm")


def shown(number_of: float) -> str:
    """Write a number of a cell: a large one without its parts.

    Examples
    --------
    >>> shown(5_000_000.0), shown(34.5)
    ('5,000,000', '34.5')
    """
    return f"{number_of:,.0f}" if abs(number_of) >= _THOUSAND else f"{number_of:.6g}"


def _median(cells: Floats) -> float:
    good = cells[is_planted(cells)]
    return float(np.median(good)) if len(good) else float("nan")


def is_planted(cells: Floats) -> npt.NDArray[np.bool_]:
    """Tell where a number is above 0: elsewhere the planter was lifted, or nothing was counted."""
    return np.asarray(np.isfinite(cells) & (cells > 0))


def is_usual(seeds_ac: float) -> bool:
    """Tell whether soybeans are planted about as densely."""
    low, high = numbers("inputs.population_range_ac")
    return bool(low <= seeds_ac <= high)


def _by_size(cells: Floats) -> list[str]:
    typical = np.array([_median(cells)])
    return [unit for unit, way in _TO_AC.items() if is_usual(float(way(typical)[0]))]
