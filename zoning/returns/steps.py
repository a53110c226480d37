"""How a number came about: from the published mean to what a zone is expected to gain, step by step.

Each step has the entries of evidence behind it, and its kind is the weakest of theirs. So it can be said how
much of a number rests on publications, how much on practice, assumptions, or the user's own figures.
"""

from collections.abc import Mapping, Sequence

from zoning.evidence import entry, number
from zoning.returns.factors import volume_frac, yield_frac
from zoning.returns.mixture import mean
from zoning.returns.response import Link
from zoning.returns.terms import Step, ZoneCase, ZoneReturn

YOURS = "yours"
# The weakest first. What the user knows of the farm is not ours to doubt.
KINDS = ("assumption", "from memory", "common practice", "computed", "standard", "published", YOURS)

_CURVES = {
    "published": ("returns.curve_low_early", "returns.curve_low_late", "returns.curve_responding"),
    "practice": ("returns.curve_practice_positions", "returns.curve_practice_outer"),
}
_LEAST_BU_AC = 1e-12  # method: below it a step is rounding


def build_up(
    chain: Sequence[Link], case: ZoneCase, returned: ZoneReturn, track_entries: tuple[str, ...] = ()
) -> tuple[Step, ...]:
    """Say step by step how the expected response of a zone comes about.

    Parameters
    ----------
    chain : sequence of Link
        Of the zone's place, as `zoning.returns.response.chain` gives it.
    case : ZoneCase
        With the wheel tracks that count.
    returned : ZoneReturn
        The zone at its day and carrier volume.
    track_entries : tuple of str
        Entries behind the loss by wheel tracks.

    Returns
    -------
    tuple of Step
        The changes sum to the expected response less the wheel tracks. Steps that change nothing are left
        out, but for the first.

    Examples
    --------
    >>> from zoning.returns.draws import response_draws
    >>> from zoning.returns.response import Place, chain
    >>> from zoning.returns.price import settle
    >>> from zoning.returns.costs import terms
    >>> from zoning.settings.model import Money, Response
    >>> from zoning.stage.draws import StageDraws
    >>> import numpy as np
    >>> links = chain("pooled trials", Response(source="pooled trials"), Place(pressure="high"))
    >>> mixture = links[-1].mixture
    >>> zone = ZoneCase(zone=1, area_ac=40, mixture=mixture, curve="published", expected_yield_bu_ac=58,
    ...     response_draws_bu_ac=response_draws(mixture, seed=1, field="a", zone=1, draws=512),
    ...     stage=StageDraws(np.tile([0.0, 3, 13, 22, 29, 44, 62], (512, 1))), track_loss_bu_ac=1.0,
    ...     volume_matters=False)
    >>> money = terms(Money(grain_price="10 USD/bu", product="19 USD/ac"), pass_usd_ac=9)
    >>> steps = build_up(links, zone, settle(zone, 17, 15.0, money), ("returns.track_losses",))
    >>> for step in steps[:3]:
    ...     print(step.name, step.kind, round(step.change_bu_ac, 2))
    published_mean published 1.64
    parts assumption -0.04
    pressure assumption 1.29
    """
    first = "returns.published_mean_bu_ac"
    steps = [_step("published_mean", (first,), number(first))]
    before = number(first)
    for link in chain:
        after = mean(link.mixture)
        steps.append(_step(link.name, link.evidence, after - before))
        before = after
    ground = yield_frac(case.expected_yield_bu_ac)
    volume = volume_frac(returned.volume_gal_ac, case.volume_matters)
    steps.append(_step("poor_ground", ("returns.full_response_yield_bu_ac",), before * (ground - 1)))
    carrier = ("returns.full_coverage_volume_gal_ac", "returns.volume_loss_frac_per_gal_ac")
    steps.append(_step("carrier", carrier, before * ground * (volume - 1)))
    staged = returned.response_mean_bu_ac - before * ground * volume
    steps.append(_step("stage", _CURVES[case.curve], staged))
    steps.append(_step("tracks", track_entries, -case.track_loss_bu_ac))
    return (steps[0], *(step for step in steps[1:] if abs(step.change_bu_ac) > _LEAST_BU_AC))


def rests_on(steps: Sequence[Step]) -> Mapping[str, float]:
    """Say how much of the size of all steps is of each kind of evidence.

    Parameters
    ----------
    steps : sequence of Step
        With a first step that is not 0.

    Returns
    -------
    mapping of str to float
        Kinds that there are, the strongest first; the shares sum to 1.

    Examples
    --------
    >>> up = Step(name="published_mean", evidence=(), kind="published", change_bu_ac=1.5)
    >>> down = Step(name="stage", evidence=(), kind="assumption", change_bu_ac=-0.5)
    >>> dict(rests_on((up, down)))
    {'published': 0.75, 'assumption': 0.25}
    """
    total = sum(abs(step.change_bu_ac) for step in steps)
    sums = {kind: sum(abs(step.change_bu_ac) for step in steps if step.kind == kind) for kind in KINDS}
    return {kind: sums[kind] / total for kind in reversed(KINDS) if sums[kind] > 0}


def _step(name: str, entries: tuple[str, ...], change_bu_ac: float) -> Step:
    kinds = [entry(one).kind for one in entries] or [YOURS]
    return Step(name=name, evidence=entries, kind=min(kinds, key=KINDS.index), change_bu_ac=change_bu_ac)
