"""The first day on which somebody may walk into a field that was sprayed.

The interval stands on the label in hand: where nobody typed it, nobody is sent in.
"""

from collections.abc import Sequence
from datetime import date, time, timedelta

from zoning.evidence import number
from zoning.inputs.done import Sprayed
from zoning.inputs.given import as_compared
from zoning.settings.model import Product
from zoning.words import Said


def first_day(
    passes: Sequence[Sprayed], product: Product | None, today: date
) -> tuple[int | None, Said | None]:
    """Find the first whole day after the re-entry interval of every pass over a field.

    Parameters
    ----------
    passes : sequence of Sprayed
        Over this field.
    product : Product or None
        The label that was typed in; it speaks only of passes with this product.
    today : date

    Returns
    -------
    day : int or None
        Today or later; None where the interval of a pass is not known. [day number]
    why : Said or None
        What keeps people out today.

    Examples
    --------
    >>> from datetime import datetime
    >>> evening = Sprayed(field="North", end=datetime(2026, 7, 8, 19), product="A")
    >>> day, why = first_day([evening], None, date(2026, 7, 9))
    >>> day, why.code
    (None, 'passes.walk_no_interval')
    """
    day, why = today, None
    for one in sorted(passes, key=lambda one: one.end):
        on = one.on
        if product is None or as_compared(product.name) != as_compared(one.product):
            if (today - on).days <= number("passes.re_entry_unknown_d"):
                return None, Said("passes.walk_no_interval", product=one.product, on=on)
            continue
        over = one.end + timedelta(hours=product.re_entry_h)
        first = over.date() if over.time() == time(0) else over.date() + timedelta(days=1)
        if first > day:
            day = first
            why = Said("passes.walk_re_entry", on=on, over=over, first=first)
    return day.toordinal(), why
