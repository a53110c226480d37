"""What would turn the decision on a zone: one figure at a time, everything else staying as it is.

Only what really turns it is named. Each figure is read from the zone's own draws, by the user's own rule.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from zoning.evidence import number
from zoning.returns.costs import cost_usd_ac
from zoning.returns.mixture import mean, sorted_draws
from zoning.returns.price import net_usd_ac, settle
from zoning.returns.response import Place, mixture_for
from zoning.returns.rule import margin_usd_ac, spread_margin
from zoning.returns.terms import Flip, Floats, Mixture, Priced, Terms, ZoneCase, ZoneReturn
from zoning.returns.turning import turning
from zoning.settings.model import Response, Source

_MOST_PCT = 100.0  # eq. a leaf area
_HALVINGS = 14  # method: of the bracket of the severity, down to 0.006 %


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stand:
    """One zone at one option: what it returns, what it was priced from, and the rule."""

    returned: ZoneReturn
    case: ZoneCase
    terms: Terms

    @property
    def cost_usd_ac(self) -> float:
        """Avoidable cost of a treated acre."""
        return cost_usd_ac(self.terms, self.returned.volume_gal_ac)

    @property
    def less_tracks_bu_ac(self) -> Floats:
        """Response in each draw less what the wheels press down."""
        return np.asarray(self.returned.response_bu_ac - self.case.track_loss_bu_ac)

    @property
    def net_usd_ac(self) -> Floats:
        """Net return in each draw."""
        response = self.returned.response_bu_ac
        return net_usd_ac(response, self.terms, self.cost_usd_ac, self.case.track_loss_bu_ac)


@dataclass(frozen=True, slots=True, kw_only=True)
class Damage:
    """What a severity near R6 would mean there: by a source that asks for it, and all that moves it there."""

    source: Source
    response: Response
    place: Place

    def at(self, severity_pct: float) -> Mixture:
        """Response there as if so much were foreseen: one normal part, whose SD stays."""
        foreseen = replace(self.place, seen_pct=None, severity_pct=severity_pct)
        return mixture_for(self.source, self.response, foreseen)


def flips(stand: Stand, by_day: Priced, damage: Damage | None) -> tuple[Flip, ...]:
    """Name what would turn the decision that the rule makes on a zone.

    Parameters
    ----------
    stand : Stand
        The zone at its pass, or at the best option it had.
    by_day : Priced
        That zone alone, at that volume, on every day that stands open to it.
    damage : Damage or None
        For the severity near R6 from which a pass would pay; None where none would make it pay.

    Returns
    -------
    tuple of Flip
        "price": the bid at the elevator; above it the rule says spray. "cost": the avoidable cost of a
        treated acre; below it the rule says spray. "response": the mean response at the option from which it
        does, with the spread as it is. "day": the nearest other day with the other answer. "tracks" and
        "severity" only where they would make a skip a spray.
    """
    found: list[Flip] = []
    _add(found, "price", turning_price_usd_bu(stand))
    _add(found, "cost", _turning_cost_usd_ac(stand))
    _add(found, "response", _turning_response_bu_ac(stand))
    _add(found, "day", _other_day(stand, by_day))
    if not stand.returned.worth_it:
        _add(found, "tracks", _tracks_bu_ac(stand))
        if damage is not None:
            _add(found, "severity", _severity_pct(stand, damage))
    return tuple(found)


def _add(found: list[Flip], name: str, value: float | None) -> None:
    if value is not None:
        found.append(Flip(name=name, value=value))  # type: ignore[arg-type]


def turning_price_usd_bu(stand: Stand) -> float | None:
    """Bid at the elevator above which the rule says spray; None where no price does [USD/bu]."""
    terms, cost, gain = stand.terms, stand.cost_usd_ac, stand.less_tracks_bu_ac
    middle, spread = float(gain.mean()), spread_margin(gain, terms)
    if middle <= number("returns.least_response_bu_ac") or spread <= 0:
        return None
    # eq. mean: p m - c > min_net; spread: p (x - c / p) about 0
    share_usd_bu = max((cost + terms.min_net_usd_ac) / middle, cost / spread)
    bid = share_usd_bu / terms.share_of_grain_frac + terms.haul_usd_bu
    return bid if bid > 0 else None


def _turning_cost_usd_ac(stand: Stand) -> float | None:
    most = stand.cost_usd_ac + margin_usd_ac(stand.net_usd_ac, stand.terms)
    return most if most > 0 and np.isfinite(most) else None


def _turning_response_bu_ac(stand: Stand) -> float | None:
    if stand.terms.price_usd_bu <= 0:
        return None
    margin_bu_ac = margin_usd_ac(stand.net_usd_ac, stand.terms) / stand.terms.price_usd_bu
    needed = stand.returned.response_mean_bu_ac - margin_bu_ac
    return needed if np.isfinite(needed) else None


def _other_day(stand: Stand, by_day: Priced) -> float | None:
    """Find the nearest day with the other answer; of two, the later."""
    is_open = np.isfinite(by_day.net_usd_ac[0, :, 0])
    other = by_day.days[is_open & (by_day.passes_rule[0, :, 0] != stand.returned.worth_it)]
    if other.size == 0:
        return None
    return float(min(other.tolist(), key=lambda day: (abs(day - stand.returned.day), -day)))


def _tracks_bu_ac(stand: Stand) -> float | None:
    """Give the crop pressed down, where the zone would be sprayed if tracks were there already."""
    if stand.case.track_loss_bu_ac <= 0:
        return None
    option = (stand.returned.day, stand.returned.volume_gal_ac)
    without = settle(replace(stand.case, track_loss_bu_ac=0.0), *option, stand.terms)
    return stand.case.track_loss_bu_ac if without.worth_it else None


def _severity_pct(stand: Stand, damage: Damage) -> float | None:
    option = (stand.returned.day, stand.returned.volume_gal_ac)

    def is_sprayed(severity_pct: float) -> bool:
        case = under_severity(stand.case, severity_pct, damage)
        return settle(case, *option, stand.terms).worth_it

    return turning_severity_pct(is_sprayed)


def turning_severity_pct(is_sprayed: Callable[[float], bool]) -> float | None:
    """Severity near R6 from which a pass is made; None where it is made at none or at any [%].

    Parameters
    ----------
    is_sprayed : callable
        Whether it is made at a severity; once it is, it stays so at every higher one.
    """
    return turning(is_sprayed, 0.0, _MOST_PCT, _HALVINGS)


def under_severity(case: ZoneCase, severity_pct: float, damage: Damage) -> ZoneCase:
    """Give the case of the same ground, in the same seasons, were a severity near R6 foreseen.

    The draws keep their ranks: a good season stays a good one.
    """
    none, mixture = (damage.at(percent) for percent in (0.0, severity_pct))
    draws = case.response_draws_bu_ac.size
    rank = np.empty(draws, dtype=np.int64)
    rank[np.argsort(case.response_draws_bu_ac, kind="stable")] = np.arange(draws)
    # eq. one normal part: its quantiles move with its mean; so they are found once, for no disease
    moved = sorted_draws(none, draws)[rank] + (mean(mixture) - mean(none))
    return replace(case, mixture=mixture, response_draws_bu_ac=moved)
