"""How good the stage forecast is on published plots, beside simpler ways; prints the tables of the docs.

Run it by hand: SPRAYWORTH_REFERENCE=... PYTHONPATH=tests/made python tests/benchmarks/bench_stage_accuracy.py
"""

import os
import sys
from collections.abc import Sequence

import numpy as np
from made_plots import (
    CLAYTON,
    Z_80,
    ByFactor,
    Floats,
    Plot,
    by_model,
    calendar_interval,
    interval_after_r1,
    judged,
    left_out,
    observed_plots,
    regression,
    rmse,
    whole_days_off,
)

from zoning.stage.forecast import MODEL
from zoning.stage.phenology import MODELS, jones_boote
from zoning.stage.spread import model_sd_d

SHIPPED = MODELS[MODEL]


def cells(foretold: Floats, plots: Sequence[Plot], stage: str) -> str:
    """RMSE (bias) of all rows, up to III, V and later, without Clayton."""
    off = whole_days_off(foretold, plots, stage)
    groups = np.array([plot.group for plot in plots])
    clayton = np.array([plot.site_year == CLAYTON for plot in plots])
    told = []
    for rows in (groups > -3, groups <= 3, groups >= 5, ~clayton):
        part = off[rows]
        known = np.isfinite(part)
        told.append(f"{rmse(part):.1f} ({np.nanmean(part):+.1f})" if known.any() else "")
    return " | ".join(told)


def left_out_altogether(plots: Sequence[Plot]) -> tuple[Floats, dict[str, float]]:
    """R3 with Clayton neither fitted nor judged; NaN there."""
    others = [index for index, plot in enumerate(plots) if plot.site_year != CLAYTON]
    foretold = np.full(len(plots), np.nan)
    foretold[others], chosen = ByFactor([plots[index] for index in others]).left_out()
    return foretold, chosen


def spread(plots: Sequence[Plot], foretold: Floats) -> Floats:
    """One SD for all plots of a site-year: the RMSE on the others."""
    sites = np.array([plot.site_year for plot in plots])
    off = whole_days_off(foretold, plots, "R3")
    return np.array([rmse(off[sites != site]) for site in sites])


def print_dates(plots: Sequence[Plot]) -> None:
    """Print the table of errors."""
    by_factor = ByFactor(plots)
    ours, chosen = by_factor.left_out()
    without, chosen_without = left_out_altogether(plots)
    r1, r3 = "R1", "R3"
    lines = [
        ("R3, our model as shipped", by_model(SHIPPED, r3, plots), r3),
        ("R3, our model, left out", ours, r3),
        ("R3, the same, never shown Clayton", without, r3),
        ("R3, plain model", by_model(jones_boote, r3, plots), r3),
        ("R3, regression fitted to these rows", regression(r3)(plots, plots), r3),
        ("R3, regression, left out", left_out(regression(r3), plots), r3),
        ("R3, mean days after planting, left out", left_out(calendar_interval(r3), plots), r3),
        ("R3, mean days after observed R1, left out", left_out(interval_after_r1, plots), r3),
        ("R1, our model", by_model(SHIPPED, r1, plots), r1),
        ("R1, plain model", by_model(jones_boote, r1, plots), r1),
        ("R1, regression fitted to these rows", regression(r1)(plots, plots), r1),
        ("R1, regression, left out", left_out(regression(r1), plots), r1),
        ("R1, mean days after planting, left out", left_out(calendar_interval(r1), plots), r1),
    ]
    print("RMSE (bias) in days, predicted less observed")
    print("| | all plots | groups up to III | V and later | without Clayton 1988 |")
    print("| --- | --- | --- | --- | --- |")
    for name, foretold, stage in lines:
        print(f"| {name} | {cells(foretold, plots, stage)} |")
    for stage in (r3, r1):
        counts = [int(part) for part in rows_of(plots, stage)]
        print(f"rows with {stage}: {counts}")
    print(f"factor chosen without each site-year: {chosen}; without Clayton: {chosen_without}")


def rows_of(plots: Sequence[Plot], stage: str) -> list[int]:
    """How many plots have the stage: all, up to III, V and later, without Clayton."""
    seen = [plot for plot in plots if np.isfinite(plot.observed[stage])]
    return [
        len(seen),
        sum(plot.group <= 3 for plot in seen),
        sum(plot.group >= 5 for plot in seen),
        sum(plot.site_year != CLAYTON for plot in seen),
    ]


def print_intervals(plots: Sequence[Plot]) -> None:
    """Print the table of 80 % intervals."""
    ours, _ = ByFactor(plots).left_out()
    plain = by_model(jones_boote, "R3", plots)
    shipped_d = np.array([model_sd_d(plot.group, "indeterminate") for plot in plots])
    lines = [
        ("our model as shipped, its SD by group", by_model(SHIPPED, "R3", plots), shipped_d),
        ("our model, left out, its SD by group", ours, shipped_d),
        ("our model, left out, one SD from the other site-years", ours, spread(plots, ours)),
        ("plain model, one SD from the other site-years", plain, spread(plots, plain)),
        ("plain model, one SD from the same rows", plain, rmse(whole_days_off(plain, plots, "R3"))),
        ("plain model, SD 5 d", plain, 5.0),
    ]
    print("\n| 80 % interval of R3 | observed R3 inside | mean interval score, days |")
    print("| --- | --- | --- |")
    for name, foretold, sd_d in lines:
        half = Z_80 * np.asarray(sd_d)
        told = judged(foretold - half, foretold + half, plots)
        print(f"| {name} | {told.inside} of {told.of} | {told.score:.1f} |")


def main() -> None:
    folder = os.environ.get("SPRAYWORTH_REFERENCE", "")
    if not folder:
        sys.exit("SPRAYWORTH_REFERENCE is unset: it names the folder with the observed stage dates.")
    plots = observed_plots(folder)
    print_dates(plots)
    print_intervals(plots)


if __name__ == "__main__":
    main()
