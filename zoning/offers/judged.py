"""Zones judged at the cost that is still avoidable. Chooses no pass.

Where the rule does not want a zone with all of its own wheel tracks, tracks on ground that other zones make
the machine drive anyway are no cost of it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from zoning.offers.offered import Options
from zoning.passes.driven import driven_anyway_frac
from zoning.passes.problem import Visit
from zoning.returns.price import settle
from zoning.returns.terms import Terms, ZoneCase, ZoneReturn

Option = tuple[int, float | None]  # day number, and carrier volume [gal/ac] where there is one


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Judged:
    """What a zone returns at one option. `case` holds the wheel tracks that counted."""

    returned: ZoneReturn
    case: ZoneCase
    terms: Terms
    column: int  # of the carrier volume


def judged(case: ZoneCase, option: Option, anyway_frac: float, options: Options) -> Judged:
    """Settle a zone at one option: with its own tracks, or else with those that are avoidable.

    Parameters
    ----------
    case : ZoneCase
        With all of its own tracks.
    option : Option
    anyway_frac : float
        Share of the zone that other zones make the machine drive. [0-1]
    options : Options
        For volumes and terms.
    """
    day, volume_gal_ac = option
    column = 0 if volume_gal_ac is None else options.priced.volumes_gal_ac.index(volume_gal_ac)
    terms = options.terms[column]
    returned = settle(case, day, volume_gal_ac, terms)
    if not returned.worth_it and case.track_loss_bu_ac * anyway_frac > 0:
        case = replace(case, track_loss_bu_ac=case.track_loss_bu_ac * (1 - anyway_frac))
        returned = settle(case, day, volume_gal_ac, terms)
    return Judged(returned=returned, case=case, terms=terms, column=column)


def judged_together(
    asked: Mapping[int, tuple[ZoneCase, Option]], options: Options, sprayed: Sequence[int] = ()
) -> dict[int, Judged]:
    """Judge zones of which none is known to be sprayed yet, but for those that the user wants sprayed.

    First come those that are worth all of their own tracks. On the ground that these make the machine drive
    the tracks of the others are free; and so on, until no more are worth it. So zones that would pay only
    because of one another's tracks do not.

    Parameters
    ----------
    asked : mapping of int to (ZoneCase, Option)
        By the zone's row in the arrays of the options.
    options : Options
    sprayed : sequence of int
        Rows of zones that are sprayed whatever the rule says: their tracks are there for the others.
    """
    answers = {row: judged(*one, 0.0, options) for row, one in asked.items()}
    taken = np.zeros(len(options.problem.zones), dtype=np.bool_)
    while True:
        more = [
            row
            for row, one in answers.items()
            if (one.returned.worth_it or row in sprayed) and not taken[row]
        ]
        if not more:
            return answers
        taken[more] = True
        anyway_frac = driven_anyway_frac(options.problem, taken)
        waiting = {row: one for row, one in asked.items() if not taken[row]}
        answers |= {row: judged(*one, float(anyway_frac[row]), options) for row, one in waiting.items()}


def option_of(visit: Visit, options: Options) -> Option:
    """Day and volume at which the zones of a visit are judged; a visit of several days: its middle."""
    volume_gal_ac = visit.volume_gal_ac if options.priced.volumes_gal_ac else None
    return (visit.day + visit.last_day) // 2, volume_gal_ac
