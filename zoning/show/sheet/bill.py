"""The bill and the check strips on page 1 of the sheet. Values and words only."""

from math import isfinite

from zoning.plan import Plan
from zoning.show import check_strips, money
from zoning.show.figures import Units, dollars
from zoning.show.sheet.look import sentence
from zoning.words import Said
from zoning.words.bill import COST_LINES


def bill(plan: Plan) -> dict[str, object]:
    """Give the bill as a table where something is sprayed, and in lines what stands on no bill.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    dict
        `head` and `rows` of three cells each, the last row the sum; both empty where nothing is sprayed:
        then the lines say what a treated acre would cost.
    """
    lines = [sentence(line) for line in money.bill_lines(plan)]
    counted = [] if plan.totals is None else money.on_paper(plan.totals)
    if not counted or all(zone.action != "spray" for zone in plan.zones):
        return {"head": [], "rows": [], "lines": lines}
    written = Units(metric=plan.units == "metric")
    rows = []
    for one in counted:
        by_area = money.cents(written.net(one.usd_ac)) if isfinite(one.usd_ac) else ""
        rows.append([COST_LINES[one.name], by_area, dollars(one.usd)])
    rows.append(["together", "", dollars(sum(one.usd for one in counted))])
    of = "The bill" if plan.strips is None else "The bill of the zones alone"
    return {"head": [of, written.net_unit, "in all"], "rows": rows, "lines": lines[1:]}


def strips(plan: Plan) -> list[str]:
    """Say all of the check strips; nothing where there are none."""
    line = check_strips.line(plan)
    return [sentence("; ".join([line, *check_strips.off_time(plan)]))] if line else []


def strips_short(plan: Plan) -> list[str]:
    """Say of the check strips what the legend of the map does not, in one line."""
    laid = plan.strips
    if laid is None:
        return []
    count, written = laid.pairs, Units(metric=plan.units == "metric")
    pairs = Said("strips.one") if count == 1 else Said("strips.pairs", pairs=count)
    line = f"Check strips: {pairs.text}"
    if plan.totals is not None:
        line = Said("strips.net", line=line, usd=dollars(plan.totals.net_usd - laid.cost_usd)).text
    if count == 1:
        return [f"{line}; {Said('strips.shows_nothing').text}"]
    response = f"{written.response(laid.shows_bu_ac, 0)} {written.response_unit}"
    shown = Said("strips.shows", pairs=count, response=response, trials=100 * laid.shows_frac)
    return [f"{line}; {shown.text}"]
