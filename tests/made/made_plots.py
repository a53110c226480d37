"""Stage dates that other people observed, and what each way of foretelling them says.

For tests and benchmarks. Read from the folder that SPRAYWORTH_REFERENCE names, never copied. "Left out"
always means: the site-year that is foretold has no say in what is fitted. Days of the year come with their
fraction: 200.5 is noon of day 200.
"""

import csv
import gzip
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from unittest import mock

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.inputs.given import Weather
from zoning.stage import phenology
from zoning.stage.forecast import Sown
from zoning.stage.phenology import StageModel, jones_boote_kantolic, weathers

Floats = npt.NDArray[np.float64]
Foretold = Callable[[Sequence["Plot"], Sequence["Plot"]], Floats]

FACTORS = np.round(np.arange(1.0, 2.001, 0.05), 2)
CLAYTON = "clayton_1988"
NOON = 0.5  # a day that was written down stands for its noon
Z_80 = 1.2815515655446004  # 90 % quantile of a normal


def rows(path: Path) -> list[dict[str, str]]:
    if path.suffix == ".gz":
        with gzip.open(path, "rt", encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file))
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def group(text: str) -> float:
    return {"000": -2.0, "00": -1.0}.get(text) or float(text)


def weather_of(path: Path) -> Weather:
    table = rows(path)
    day = np.array([date.fromisoformat(row["date"]).toordinal() for row in table])
    tmin, tmax = (np.array([float(row[name]) for row in table]) for name in ("tmin_c", "tmax_c"))
    return Weather(day=day, tmin_c=tmin, tmax_c=tmax, rain_mm=np.full(len(day), np.nan))


# -- plots with observed R1 and R3 ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plot:
    """One observed plot. Observed days are days of the year, NaN where nobody saw them."""

    site_year: str
    cultivar: str
    crop: Sown
    latitude_deg: float
    weather: Weather
    observed: Mapping[str, float]

    @property
    def group(self) -> float:
        return self.crop.maturity_group

    @property
    def new_year(self) -> int:
        return date(self.crop.planted.year, 1, 1).toordinal()

    @property
    def planted_doy(self) -> int:
        return self.crop.planted.toordinal() - self.new_year + 1

    def foretold(self, model: StageModel) -> dict[str, float]:
        """Days of the year by a model."""
        tmin, tmax = self.weather.tmin_c[None], self.weather.tmax_c[None]
        season = weathers(int(self.weather.day[0]), tmin, tmax, self.latitude_deg)
        dates = model(season, self.crop)
        days = {"R1": dates.r1_day, "R3": dates.r3_day}
        return {stage: float(day[0]) - self.new_year + 1 for stage, day in days.items()}


def observed_plots(reference: Path | str) -> tuple[Plot, ...]:
    """The 45 plots of `stage_dates`, in the order of the file."""
    folder = Path(reference) / "stage_dates"
    found = []
    for row in rows(folder / "plots.csv"):
        planted = date(int(row["year"]), 1, 1) + timedelta(days=int(row["planted_doy"]) - 1)
        crop = Sown(name=row["plot"], planted=planted, maturity_group=group(row["maturity_group"]))
        found.append(
            Plot(
                site_year=row["weather"].removesuffix(".csv"),
                cultivar=row["cultivar"],
                crop=crop,
                latitude_deg=float(row["latitude_deg"]),
                weather=weather_of(folder / "weather" / row["weather"]),
                observed={
                    stage: float(row[column] or "nan")
                    for stage, column in (("R1", "r1_doy"), ("R3", "r3_doy"))
                },
            )
        )
    return tuple(found)


def observed(plots: Sequence[Plot], stage: str) -> Floats:
    return np.array([plot.observed[stage] for plot in plots])


# -- ways of foretelling -------------------------------------------------------------------------------------


def by_model(model: StageModel, stage: str, plots: Sequence[Plot]) -> Floats:
    return np.array([plot.foretold(model)[stage] for plot in plots])


@contextmanager
def slope_factor(factor: float) -> Iterator[None]:
    """The shipped model with its one fitted number changed."""

    def changed(name: str) -> float:
        return factor if name == "stage.post_r1_slope_factor" else number(name)

    with mock.patch.object(phenology, "number", changed):
        yield


def rmse(off: Floats) -> float:
    return float(np.sqrt(np.nanmean(off**2)))


def whole_days_off(foretold: Floats, plots: Sequence[Plot], stage: str) -> Floats:
    """Foretold less observed, both as whole days of the year; NaN where nobody saw the stage."""
    return np.floor(foretold) - observed(plots, stage)


class ByFactor:
    """R3 of every plot under every factor of the grid, so that a refit is a look-up."""

    def __init__(self, plots: Sequence[Plot]) -> None:
        self.plots = tuple(plots)
        by_factor = []
        for factor in FACTORS:
            with slope_factor(float(factor)):
                by_factor.append(by_model(jones_boote_kantolic, "R3", plots))
        self.r3 = np.array(by_factor)

    def best(self, use: npt.NDArray[np.bool_]) -> int:
        """Row of the factor with the smallest RMSE of R3 on the plots in use."""
        off = np.floor(self.r3) - observed(self.plots, "R3")
        return int(np.argmin(np.nanmean(off[:, use] ** 2, axis=1)))

    def left_out(self) -> tuple[Floats, dict[str, float]]:
        """R3 of each plot with the factor that the other site-years choose, and that factor."""
        names = np.array([plot.site_year for plot in self.plots])
        foretold, chosen = np.full(len(names), np.nan), {}
        for name in dict.fromkeys(names):
            row = self.best(names != name)
            foretold[names == name] = self.r3[row, names == name]
            chosen[str(name)] = float(FACTORS[row])
        return foretold, chosen


def left_out(fit: Foretold, plots: Sequence[Plot]) -> Floats:
    """What `fit(others, held)` says of each site-year's plots."""
    names = [plot.site_year for plot in plots]
    foretold = np.full(len(plots), np.nan)
    for name in dict.fromkeys(names):
        held = [index for index, its in enumerate(names) if its == name]
        others = [plot for plot in plots if plot.site_year != name]
        foretold[held] = fit(others, [plots[index] for index in held])
    return foretold


def regression(stage: str) -> Foretold:
    """Stage ~ planting day + group + latitude + planting day x group, by least squares."""

    def table(plots: Sequence[Plot]) -> Floats:
        doy = np.array([float(plot.planted_doy) for plot in plots])
        groups = np.array([plot.group for plot in plots])
        latitude = np.array([plot.latitude_deg for plot in plots])
        return np.stack([np.ones(len(doy)), doy, groups, latitude, doy * groups], axis=1)

    def fit(others: Sequence[Plot], held: Sequence[Plot]) -> Floats:
        seen = observed(others, stage)
        known = np.isfinite(seen)
        weights, *_ = np.linalg.lstsq(table(others)[known], seen[known], rcond=None)
        return table(held) @ weights + NOON

    return fit


def calendar_interval(stage: str) -> Foretold:
    """Mean days from planting to the stage."""

    def fit(others: Sequence[Plot], held: Sequence[Plot]) -> Floats:
        doy = np.array([plot.planted_doy for plot in others])
        usual_d = np.nanmean(observed(others, stage) - doy)
        return np.array([plot.planted_doy for plot in held]) + usual_d + NOON

    return fit


def interval_after_r1(others: Sequence[Plot], held: Sequence[Plot]) -> Floats:
    """R3 by the mean days from R1, where R1 was seen."""
    return observed(held, "R1") + np.nanmean(observed(others, "R3") - observed(others, "R1")) + NOON


# -- intervals -----------------------------------------------------------------------------------------------


def interval_score(lower: Floats, upper: Floats, seen: Floats, alpha: float = 0.2) -> Floats:
    """Gneiting and Raftery 2007, J. Am. Stat. Assoc. 102:359-378, eq. 43; smaller is better."""
    below, above = np.maximum(lower - seen, 0), np.maximum(seen - upper, 0)
    return upper - lower + 2 / alpha * (below + above)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """80 % intervals against observed days: how many of how many hold them, and the mean interval score."""

    inside: int
    of: int
    score: float


def judged(lower: Floats, upper: Floats, plots: Sequence[Plot]) -> Judged:
    """Judge intervals of R3 (days of the year with their fraction) against noon of the observed day."""
    noon = observed(plots, "R3") + NOON
    known = np.isfinite(noon)
    lower, upper, noon = lower[known], upper[known], noon[known]
    inside = int(((lower <= noon) & (noon <= upper)).sum())
    return Judged(inside=inside, of=len(noon), score=float(interval_score(lower, upper, noon).mean()))


# -- trials with days to maturity ----------------------------------------------------------------------------

MOST_DAYS_FILLED = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trial:
    """One environment of the uniform tests: its crop, days to maturity and the weather of its season.

    `first_day` is the day number of the first temperature.
    """

    place: str
    crop: Sown
    latitude_deg: float
    maturity_d: float
    first_day: int
    tmin_c: Floats
    tmax_c: Floats

    def days_after_planting(
        self, model: StageModel, *, later_d: int = 0, group: float | None = None
    ) -> dict[str, float]:
        """Days from planting to R1, R3, R5; also if planted later, or with another group."""
        crop = replace(
            self.crop,
            planted=self.crop.planted + timedelta(days=later_d),
            maturity_group=self.crop.maturity_group if group is None else group,
        )
        season = weathers(self.first_day, self.tmin_c[None], self.tmax_c[None], self.latitude_deg)
        dates = model(season, crop)
        days = {"R1": dates.r1_day, "R3": dates.r3_day, "R5": dates.r5_day}
        return {stage: float(day[0]) - crop.planted.toordinal() for stage, day in days.items()}


def uniform_trials(reference: Path | str) -> tuple[Trial, ...]:
    """The usable environments of `uniform_tests`.

    Usable: planting day and days to maturity are known, and the daily weather begins not more than three days
    after planting. Those days get the mean of the first week that is there.
    """
    folder = Path(reference) / "uniform_tests"
    weather: dict[tuple[str, str], list[dict[str, str]]] = {}
    for row in rows(folder / "daily_weather.csv.gz"):
        weather.setdefault((row["location"], row["date"][:4]), []).append(row)
    found = []
    for row in rows(folder / "environments.csv"):
        if not row["plant_date"] or not row["days_plant_to_maturity"]:
            continue
        planted = date.fromisoformat(row["plant_date"])
        table = sorted(weather.get((row["location"], row["year"]), []), key=lambda day: day["date"])
        day = np.array([date.fromisoformat(each["date"]).toordinal() for each in table])
        if not len(day) or day[0] - planted.toordinal() > MOST_DAYS_FILLED or (np.diff(day) != 1).any():
            continue
        fill = max(0, int(day[0]) - planted.toordinal())
        tmin, tmax = (np.array([float(each[name]) for each in table]) for name in ("tmin_c", "tmax_c"))
        tmin, tmax = (np.concatenate([np.full(fill, each[:7].mean()), each]) for each in (tmin, tmax))
        crop = Sown(name="", planted=planted, maturity_group=float(row["maturity_group"]))
        found.append(
            Trial(
                place=row["location"],
                crop=crop,
                latitude_deg=float(row["lat"]),
                maturity_d=float(row["days_plant_to_maturity"]),
                first_day=int(day[0]) - fill,
                tmin_c=tmin,
                tmax_c=tmax,
            )
        )
    return tuple(found)
