"""What a trial says of its own making: strips, zones, points that were left out, the file that was read."""

from collections.abc import Iterator

from zoning.plan.trial import TrialResult
from zoning.show.figures import plain
from zoning.show.trial.trial_units import points, share
from zoning.strips.answer.told import zones_text
from zoning.strips.paired.pairs import wetter_frac
from zoning.words import Said

_LEAST_POINTS = 0.05  # of moisture; less is as wet
_LAID = {"design": "laid_design", "as-applied": "laid_as_applied", "drawn": "laid_drawn"}
_SPRAYED = {"as-applied": "sprayed_as_applied", "done": "sprayed_done", "drawn": "sprayed_drawn"}


def about_strips(result: TrialResult) -> list[str]:
    """Say of the strips what a mean does not: moisture, chance, mixed strips, who laid them."""
    return list(_about_strips(result))


def _about_strips(result: TrialResult) -> Iterator[str]:
    wetter = wetter_frac(result.pairs)
    if wetter is not None:
        points_wetter = 100 * wetter
        if abs(points_wetter) < _LEAST_POINTS:
            yield Said("trial_page.as_wet").text
        else:
            code = "trial_page.wetter" if wetter > 0 else "trial_page.drier"
            yield Said(code, points=abs(points_wetter)).text
    whole = result.response
    if whole is not None and whole.pairs > 1:
        said = Said("trial_page.relabelled", percent=share(whole.relabelled_p, 1.0)).text
        if whole.relabelled_p <= 2 * 0.5**whole.pairs:  # eq. all differences the same way
            said = Said("trial_page.relabelled_least", said=said, count=whole.pairs).text
        yield said
    yield Said(
        "trial_page.sources",
        laid=Said(f"trial_page.{_LAID[result.strip_source]}").text,
        sprayed=Said(f"trial_page.{_SPRAYED[result.treated_source]}").text,
    ).text


def pairs_out(result: TrialResult) -> list[str]:
    """Say of each pair that does not count why."""
    return [
        Said("trial_page.pair_out", pair=f"S{one.pair}", why=plain(one.why_not.text)).text
        for one in result.pairs
        if one.why_not is not None
    ]


def zones_line(result: TrialResult) -> str:
    """Say whether zones may be called different; empty where there is one or none."""
    if result.by_zone is None:
        return ""
    told = zones_text(result.by_zone, is_metric=result.units == "metric")
    return told[0].text if told else ""


def zones_lines(result: TrialResult) -> list[str]:
    """Say of the zones whether they differ, and when an answer is given."""
    has_money = result.response is not None and result.response.money is not None
    is_told = has_money and result.by_zone is not None and result.by_zone.differ
    told = [Said("trial_page.paid_is_told").text] if is_told else []
    return [*filter(None, [zones_line(result)]), *told]


def cleaned_line(result: TrialResult) -> str:
    """Say how many points were left out."""
    read = len(result.points.removed_by)
    removed = int((result.points.removed_by > 0).sum())
    return Said(
        "trial_page.cleaned", removed=points(removed), all=points(read), percent=share(removed, read)
    ).text


def lag_line(result: TrialResult) -> str:
    """Say how far the flow lags behind the place, or why that cannot be told."""
    lag = result.lag
    if lag.why is not None:
        return plain(lag.why.text)
    code = "trial_page.seconds" if lag.unit == "s" else "trial_page.late_points"
    amount = Said(code, amount=abs(lag.amount)).text
    return Said("trial_page.lag", amount=amount, before=lag.likeness_before, after=lag.likeness).text


def columns_line(result: TrialResult) -> str:
    """Say which columns of the file were read."""
    told = [
        Said(
            f"trial_page.column{'_in' if unit else ''}", role=role, column=plain(column), unit=plain(unit)
        ).text
        for role, column, unit in result.columns
    ]
    return Said("trial_page.read", file=plain(result.file), columns=", ".join(told)).text
