"""Rules about the rates of any layer of polygons: 0 is boom off, and every row has one."""

import math
from collections.abc import Iterator

from zoning.evidence import number, numbers
from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.of_polygons.polygons import Polygons

_DECIMALS = 2
_ENDS = {"galac": "gal/ac", "gpa": "gal/ac", "lha": "L/ha"}  # of the names of columns, without _ and /
_ENTRIES = {"gal/ac": "file_checks.plausible_gal_ac", "L/ha": "file_checks.plausible_l_ha"}


def unit_of(column: str) -> str:
    """Tell the unit of a rate from the name of its column, "" where it has none.

    Examples
    --------
    >>> unit_of("rate_gal_ac"), unit_of("RATE_LHA"), unit_of("rate")
    ('gal/ac', 'L/ha', '')
    """
    flat = column.lower().replace("_", "").replace("/", "")
    return next((unit for end, unit in _ENDS.items() if flat.endswith(end)), "")


def no_rate(layer: Polygons) -> Iterator[Seen]:
    """See rows without a rate."""
    return ({"row": row.name} for row in layer.rows if row.rate is None or math.isnan(row.rate))


def negative_rate(layer: Polygons) -> Iterator[Seen]:
    """See rates below 0."""
    for row in layer.rows:
        if row.rate is not None and row.rate < 0:
            yield {"row": row.name, "rate": row.rate}


def implausible_rate(layer: Polygons) -> Iterator[Seen]:
    """See rates above 0 that are no usual volume of spray mix: another unit, or a factor of ten or more."""
    if layer.rate_unit not in _ENTRIES:
        return
    low, high = numbers(_ENTRIES[layer.rate_unit])
    for row in layer.rows:
        if row.rate is not None and row.rate > 0 and not low <= row.rate <= high:
            yield {"row": row.name, "rate": row.rate, "unit": layer.rate_unit, "low": low, "high": high}


def many_rates(layer: Polygons) -> Iterator[Seen]:
    """See more rates than a terminal or an operator can keep apart."""
    most = int(number("file_checks.most_rates"))
    rates = {row.rate for row in layer.rows if row.rate is not None and row.rate > 0}
    if len(rates) > most:
        yield {"count": len(rates), "most": most}


def all_off(layer: Polygons) -> Iterator[Seen]:
    """See a map that sprays nothing."""
    rates = [row.rate for row in layer.rows]
    if rates and all(rate == 0 for rate in rates):
        yield {}


def decimals(layer: Polygons) -> Iterator[Seen]:
    """See rates written finer than any machine meters."""
    if layer.rate_decimals > _DECIMALS:
        yield {"count": layer.rate_decimals, "most": _DECIMALS}


RATES: tuple[Rule[Polygons], ...] = (
    Rule("no_rate", "refused", no_rate),
    Rule("negative_rate", "refused", negative_rate),
    Rule("implausible_rate", "refused", implausible_rate),
    Rule("many_rates", "doubtful", many_rates),
    Rule("decimals", "doubtful", decimals),
)
# Of a map that is made for one pass: one that sprays nothing is a mistake.
OF_A_PASS: tuple[Rule[Polygons], ...] = (*RATES, Rule("all_off", "doubtful", all_off))
