"""An adjuvant: money on a treated acre, or a share of the tank with a price of its own."""

import math
import re
from collections.abc import Iterator

from zoning.errors import InputError
from zoning.settings.given import Given
from zoning.settings.plain import fault, missing_fault

_SHARE = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*%\s*(?:v/v)?\s*")
_MEANT_AS_SHARE = re.compile(r".*(?:%|v/v)\s*")


def tank_share(adjuvant: object) -> float | None:
    """Read an adjuvant given as a share of the tank; None where it is given as money, NaN where unreadable.

    Examples
    --------
    >>> tank_share("0.25 % v/v"), tank_share("2 USD/ac"), tank_share("0,25 %")
    (0.0025, None, nan)
    """
    if not isinstance(adjuvant, str):
        return None
    match = _SHARE.fullmatch(adjuvant)
    if match is not None:
        return float(match[1]) / 100
    return math.nan if _MEANT_AS_SHARE.fullmatch(adjuvant) else None


def _adjuvant(given: Given) -> Iterator[InputError]:
    steps = ("money", "adjuvant")
    share, price = tank_share(given.get(*steps)), given.get("money", "adjuvant_price")
    if share is not None and math.isnan(share):
        mend = 'Write it with a point and without a sign, as "0.25 % v/v".'
        yield fault(given, steps, "not a share of the tank", mend)
    elif share is not None and share > 1:
        yield fault(given, steps, "out of range", "Give at most 100 % v/v.")
    if share is not None and price is None:
        yield missing_fault(given, ("money", "adjuvant_price"), ", and the adjuvant is a share of the tank")
    elif share is None and price not in (None, ""):
        mend = 'Give adjuvant as a share of the tank, as "0.25 % v/v", or take the price out.'
        yield fault(given, ("money", "adjuvant_price"), "a price without a share of the tank", mend)


RULES = (_adjuvant,)
