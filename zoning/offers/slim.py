"""What the one schedule needs of a field's choices: small enough to hold those of thousands of fields."""

import hashlib
from collections.abc import MutableMapping
from dataclasses import replace

import numpy as np
from shapely import Polygon

from zoning.offers.choose import may_refuse
from zoning.offers.offered import Choice, OfferedZone
from zoning.passes.half_days import HalfDays
from zoning.returns.terms import Priced


def for_schedule(choice: Choice) -> Choice:
    """Leave of a choice what `choose` and `in_time` look at.

    Parameters
    ----------
    choice : Choice
        As the field offers it.

    Returns
    -------
    Choice
        For which `choose` gives the same. Zones are left only where the rule may refuse one of them, and of
        these only what it judges; prices, notes and reaches are gone. The field is settled with the choice
        as it was.
    """
    options = choice.options
    return replace(
        choice,
        zones=tuple(map(_for_the_rule, choice.zones)) if may_refuse(choice) else (),
        options=replace(
            options, priced=_unpriced(options.priced), spent_by_visit=(), of_hours=(), reaches=()
        ),
        notes=(),
    )


def _for_the_rule(zone: OfferedZone) -> OfferedZone:
    """Leave of a zone its cases."""
    return replace(
        zone,
        outline=Polygon(),
        outline_m=Polygon(),
        stage=None,
        driver=None,
        cases_by_source={},
        spot=None,
        chain=(),
        track_entries=(),
        plain_case=None,
        damage=None,
        afternoon=_for_the_rule(zone.afternoon) if zone.afternoon is not None else None,
    )


def _unpriced(priced: Priced) -> Priced:
    """Leave the days and volumes of priced options."""
    shape = (0, len(priced.days), priced.net_usd_ac.shape[-1])
    return replace(
        priced,
        zones=(),
        net_usd_ac=np.zeros(shape),
        chance_frac=np.zeros(shape),
        passes_rule=np.zeros(shape, dtype=np.bool_),
    )


def interned(choice: Choice, known: MutableMapping[bytes, HalfDays]) -> Choice:
    """Let choices whose hours are the same share one object.

    Parameters
    ----------
    choice : Choice
    known : mutable mapping of bytes to HalfDays
        Hours seen so far, by their content; those of this choice are added where they are new.

    Returns
    -------
    Choice
        Equal to the one given.

    Notes
    -----
    The hours of all weather futures are by far the most of a choice, and fields under one weather file with
    one label mostly have the same.
    """
    machine = choice.options.machine
    hours = known.setdefault(_content(machine.hours), machine.hours)
    if hours is machine.hours:
        return choice
    return replace(choice, options=replace(choice.options, machine=replace(machine, hours=hours)))


def _content(hours: HalfDays) -> bytes:
    told = repr((hours.first_day, hours.source, hours.past_years, hours.futures_h.shape))
    found = hashlib.blake2b(told.encode(), digest_size=20)
    for array in (hours.planned_h, hours.futures_h):
        found.update(np.ascontiguousarray(array).data)
    return found.digest()
