"""Sentences about season.csv: forecasts against what came, and the decisions that were made."""

SENTENCES: dict[str, str] = {
    "season.r3_moved": "R3 of {blocks} moved by {days:+.1f} d by {seasons} of this {of}",
    "season.counts_elsewhere": (
        "{zones}: counts made elsewhere put R3 likely {days} than the model and past seasons did"
    ),
    "season.few_zones": (
        "chances were held against what came in {zones}: {least:.0f} zones or more tell better"
    ),
    "season.zone_judged": (
        "{zone} {was}: the strips say a pass {did} {usd:,.0f} USD/{area} {where} (90 % {low} to {high}): "
        "{judgement}"
    ),
    "season.zone_not_tested": "{zone} {was}: no pair of strips crosses it, so nothing tells",
    "season.zone_no_money": "{zone} {was}: without price and costs nothing tells whether a pass paid there",
    "season.plan_judged": (
        "by the strips, against no pass, the plan is worth {plan} USD; a pass on all of {zones} would be "
        "worth {blanket} USD; the plan over that pass {usd} USD (90 % {low} to {high})"
    ),
    "season.plan_sprays_all": (
        "by the strips the plan, which sprays all of {zones}, is worth {usd} USD against no pass "
        "(90 % {low} to {high})"
    ),
    "season.plan_skips_all": (
        "by the strips the plan, which skips all of {zones}, is worth {usd} USD against a pass there "
        "(90 % {low} to {high})"
    ),
    "season.plan_used": (
        "decisions are those of the plan of {today:%b} {today.day} ({file}), the last one made by "
        "{before:%b} {before.day}"
    ),
    "season.no_plan": "no plan was made by {before:%b} {before.day}: no decision is judged",
}
