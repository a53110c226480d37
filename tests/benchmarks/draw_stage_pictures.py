"""The two pictures of docs/explanation/stage.md: forecast against observed R3, and a window that narrows.

Run it by hand: SPRAYWORTH_REFERENCE=... PYTHONPATH=tests/made python tests/benchmarks/draw_stage_pictures.py
Without the variable only the second is drawn.
"""

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import matplotlib
import numpy as np
from made_plots import Z_80, ByFactor, Plot, observed_plots
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MultipleLocator

from zoning import colours
from zoning.inputs.given import Tally, Weather
from zoning.inputs.weather_files import weather as daily
from zoning.stage.counted import Spot, after_counts
from zoning.stage.draws import StageDraws
from zoning.stage.forecast import Situation, Sown, forecast
from zoning.stage.likelihood import Visit, count_rules
from zoning.stage.spread import model_sd_d

HERE = Path(__file__).resolve().parents[2]
DOCS = HERE / "docs" / "explanation"
FAINT = "#d8d3c7"
LOOK: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 10,
    "text.color": colours.INK,
    "axes.edgecolor": colours.SECONDARY,
    "axes.labelcolor": colours.INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "xtick.color": colours.SECONDARY,
    "ytick.color": colours.SECONDARY,
    "path.simplify": False,
}
BLUE, ORANGE, GREEN, PINK, _, RED = colours.ZONES
GROUPS = (  # name, from, to, colour, marker
    ("000 to 0", -2, 0, BLUE, "o"),
    ("III", 3, 3, GREEN, "s"),
    ("V", 5, 5, PINK, "D"),
    ("VI", 6, 6, ORANGE, "^"),
    ("VII", 7, 7, RED, "v"),
)


def month_day(when: date) -> str:
    return f"{when:%b} {when.day}"


def from_doy(doy: float, _place: int | None = None) -> str:
    return month_day(date(2025, 1, 1) + timedelta(days=round(doy) - 1))


def paper(width: float, height: float, title: str, under: str) -> Figure:
    """An empty sheet with its title and the line under it."""
    figure = Figure(figsize=(width, height), dpi=200, facecolor=colours.WHITE)
    FigureCanvasAgg(figure)
    figure.text(0.02, 1 - 0.28 / height, title, size=13, weight="bold", va="center")
    figure.text(0.02, 1 - 0.56 / height, under, size=9.5, color=colours.SECONDARY, va="center")
    return figure


# -- observed ------------------------------------------------------------------------------------------------


def draw_observed(plots: Sequence[Plot]) -> Figure:
    """Forecast R3, each site-year left out, with its 80 % interval, against the day that was seen."""
    foretold, _ = ByFactor(plots).left_out()
    figure = paper(
        7.4,
        6.6,
        "R3 as forecast and as seen, 43 published plots",
        "each site-year forecast without its own plots; bars: 80 % interval of the model's error",
    )
    axes = figure.add_axes((0.1, 0.09, 0.87, 0.79))
    reach = (186, 272)  # all but one plot
    axes.plot(reach, reach, color=colours.SECONDARY, linewidth=1, zorder=1)
    for name, least, most, colour, marker in GROUPS:
        rows = [
            index
            for index, plot in enumerate(plots)
            if least <= plot.group <= most and np.isfinite(plot.observed["R3"])
        ]
        # plots of one day stand side by side
        seen = beside(np.array([plots[index].observed["R3"] for index in rows]))
        half = Z_80 * np.array([model_sd_d(plots[index].group, "indeterminate") for index in rows])
        axes.errorbar(
            seen,
            foretold[rows] - 0.5,
            yerr=half,
            fmt=marker,
            color=colour,
            ecolor=colour,
            elinewidth=1,
            markersize=5.5,
            markeredgecolor=colours.WHITE,
            markeredgewidth=0.6,
            label=f"group {name}, {len(rows)} plots",
        )
    axes.set(xlim=reach, ylim=reach, xlabel="R3 seen", ylabel="R3 forecast")
    axes.set_aspect("equal")
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_major_locator(MultipleLocator(14, offset=188 % 14))
        axis.set_major_formatter(FuncFormatter(from_doy))
    axes.legend(loc="upper left", frameon=False, handletextpad=0.3, borderaxespad=0.2)
    axes.text(
        265,
        264.4,
        "forecast = seen",
        size=9,
        color=colours.SECONDARY,
        rotation=45,
        rotation_mode="anchor",
        ha="center",
        va="top",
    )
    beyond = [index for index, plot in enumerate(plots) if plot.observed["R3"] < reach[0]]
    lines = [
        f"not on the sheet: group {plots[index].group:g}, planted {from_doy(plots[index].planted_doy)},\n"
        f"seen {from_doy(plots[index].observed['R3'])}, forecast {from_doy(foretold[index] - 0.5)}"
        for index in beyond
    ]
    axes.text(271, 188, "\n".join(lines), size=9, color=colours.SECONDARY, ha="right", va="bottom")
    return figure


def beside(days: np.ndarray) -> np.ndarray:
    """Spread equal days a little, so that their bars can be told apart."""
    out = days.astype(float)
    for day in np.unique(days):
        same = np.flatnonzero(days == day)
        out[same] += 0.7 * (np.arange(len(same)) - (len(same) - 1) / 2)
    return out


# -- narrowing -----------------------------------------------------------------------------------------------

SEASON = 2025  # the last one of the demo weather that is complete
FIELD = Sown(name="Level Eighty", planted=date(SEASON, 5, 9), maturity_group=1.8)
LATITUDE_DEG = 44.3
COUNT = Tally(plants=(0, 7, 12, 1, 0, 0))  # twenty plants: before R1, R1, R2, R3, R4, R5 and later
COUNT_BEFORE_D = 8  # days before the likely R3


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What is said on one day: quantiles of R3, its SD, and the weather's part of it."""

    early: float
    likely: float
    late: float
    sd_d: float
    weather_sd_d: float


def told_on(weather: Weather, today: date, visits: tuple[Visit, ...] = ()) -> Told:
    """The forecast as it reads on a day, with the counts made until then."""
    situation = Situation(
        field=FIELD.name, habit="indeterminate", latitude_deg=LATITUDE_DEG, today=today, seed=0
    )
    made = forecast([FIELD], weather, situation)
    spots = [Spot(block=0, name="A", visits=visits)]
    (spot,), _ = after_counts(made, [FIELD], spots, (), situation, count_rules())
    of_block = made.blocks[0]
    if spot is None or of_block is None:
        raise ValueError("the demo field has no date")
    stage: StageDraws = spot.draws
    early, likely, late = np.quantile(stage.of("R3"), [0.1, 0.5, 0.9])
    return Told(
        early=float(early),
        likely=float(likely),
        late=float(late),
        sd_d=float(stage.of("R3").std()),
        weather_sd_d=float(of_block.r3_day.std()),
    )


def band(axes: Axes, days: Sequence[int], told: Sequence[Told], colour: str, alpha: float) -> None:
    early, likely, late = np.array([(each.early, each.likely, each.late) for each in told]).T
    axes.fill_between(days, early, late, color=colours.WHITE, linewidth=0)
    axes.fill_between(days, early, late, color=colour, alpha=alpha, linewidth=0)
    axes.plot(days, likely, color=colour, linewidth=2)


def draw_narrowing(weather: Weather) -> Figure:
    """The window of R3 and its SD, as they read from day to day, with and without a count."""
    planted = FIELD.planted.toordinal()
    last = round(told_on(weather, date(SEASON, 9, 30)).likely)
    days = list(range(planted, last + 1))
    bare = [told_on(weather, date.fromordinal(day)) for day in days]
    counted_on = next(day for day, each in zip(days, bare, strict=True) if each.likely - day < COUNT_BEFORE_D)
    visit = Visit(day=counted_on + 0.5, seen=COUNT)
    after = list(range(counted_on, last + 1))
    counted = [told_on(weather, date.fromordinal(day), (visit,)) for day in after]
    figure = paper(
        7.4,
        6.6,
        "How the R3 window narrows through a season",
        f"{FIELD.name} (demo farm, group {FIELD.maturity_group}) in the weather of {SEASON}, "
        f"planted {month_day(FIELD.planted)}",
    )
    top = figure.add_axes((0.1, 0.43, 0.72, 0.44))
    below = figure.add_axes((0.1, 0.09, 0.72, 0.25), sharex=top)
    show_window(top, days, bare, after, counted)
    show_sd(below, days, bare, after, counted)
    for axes in (top, below):
        axes.axvline(counted_on, color=colours.SECONDARY, linewidth=1, linestyle=(0, (2, 2)))
        axes.xaxis.set_major_locator(MultipleLocator(14, offset=planted % 14))
        axes.xaxis.set_major_formatter(FuncFormatter(lambda day, _: month_day(date.fromordinal(int(day)))))
    top.tick_params(labelbottom=False)
    _, r1, r2, r3, *_ = COUNT.plants
    top.annotate(
        f"count of {sum(COUNT.plants)} plants on {month_day(date.fromordinal(counted_on))}:\n"
        f"{r1} at R1, {r2} at R2, {r3} at R3",
        (counted_on, 1),
        xycoords=("data", "axes fraction"),
        xytext=(-6, -2),
        textcoords="offset points",
        size=9,
        ha="right",
        va="top",
    )
    return figure


def show_window(axes: Axes, days: list[int], bare: list[Told], after: list[int], counted: list[Told]) -> None:
    band(axes, days, bare, BLUE, 0.22)
    band(axes, after, counted, RED, 0.45)
    axes.yaxis.set_major_locator(MultipleLocator(7))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda day, _: month_day(date.fromordinal(int(day)))))
    axes.set_xlim(days[0], days[-1])
    axes.set_ylabel("R3 begins")
    first, end, told = bare[0], bare[-1], counted[-1]
    for day, word in ((first.early, "early"), (first.likely, "likely"), (first.late, "late")):
        axes.annotate(
            word,
            (days[0], day),
            xytext=(6, -16 if word == "late" else 8),
            textcoords="offset points",
            size=9,
            color=colours.SECONDARY,
        )
    label(axes, days[-1], end.late, "model and\nweather")
    label(axes, days[-1], told.likely, "after a count\nof 20 plants")


def show_sd(axes: Axes, days: list[int], bare: list[Told], after: list[int], counted: list[Told]) -> None:
    axes.plot(days, [each.sd_d for each in bare], color=BLUE, linewidth=2)
    axes.plot(days, [each.weather_sd_d for each in bare], color=GREEN, linewidth=2)
    axes.plot(after, [each.sd_d for each in counted], color=RED, linewidth=2)
    axes.set(ylim=(0, None), ylabel="SD, days", xlabel="day on which it is read")
    axes.yaxis.set_major_locator(MultipleLocator(1))
    label(axes, days[-1], bare[-1].sd_d, "model and\nweather")
    label(axes, days[-1], counted[-1].sd_d, "after the\ncount")
    label(axes, days[-1], bare[-1].weather_sd_d, "weather alone")


def label(axes: Axes, x: float, y: float, text: str) -> None:
    """Name a line at its right end."""
    axes.annotate(text, (x, y), xytext=(6, 0), textcoords="offset points", size=9, va="center")


def save(figure: Figure, name: str) -> None:
    figure.savefig(DOCS / name, format="png", metadata={"Software": None})
    print(f"wrote docs/explanation/{name}")


def main() -> None:
    with matplotlib.rc_context(LOOK):
        file = HERE / "demo_fields" / "heron_slough" / "weather.csv"
        save(draw_narrowing(daily.read(file, date(SEASON, 12, 31))), "stage_narrowing.png")
        reference = os.environ.get("SPRAYWORTH_REFERENCE", "")
        if reference:
            save(draw_observed(observed_plots(reference)), "stage_observed.png")


if __name__ == "__main__":
    main()
