"""The weather of a made region: daily, hourly, what is still to come, and when crops in it reach R3.

Nothing of `zoning` is used here. `made_region` draws one weather for all fields, with the wetness of the
season that `made_seasons` draws; past years have a wetness of their own.

Figures (source, or assumed):

- Development by degree days above 10 C, none beyond 30 C: the plainest clock of a warm-season crop (common
  practice). A crop of group 1.9 planted on 5 May needs 76 days in the mean of this climate: set so that the
  forecast of the program that is tried here is neither early nor late on average over seasons, as it is on
  published plots; what it misses is drawn in `made_region`. 0.1 of a maturity group is a day of R3 (Iowa, as
  read in the project's handbook).
- A wet season rains more often, and its nights are damper: on a day with rain some ten hours lie at 95 %
  humidity (assumed; 20 of 21 published sites met the rule that asks for two such days in a week).
- An hour can be sprayed from 7 to 20 o'clock, with wind below 10 mph, dry, and an hour dry after it, as the
  label of the farm says (assumed; plainer than any rule of a planner).
"""

import math
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

YEARS = 13  # of past weather
LEAST_C, MOST_C = 10.0, 30.0
REFERENCE = (date(2026, 5, 5), 1.9, 76)  # planted, group, days to R3
GROUP_D = 10.0  # of R3, for a whole group
FIRST_HOUR, LAST_HOUR, MOST_WIND_M_S = 7, 20, 4.47
HOURS_BACK_D, FORECAST_D, TO_COME_D = 30, 7, 45


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueWeather:
    """What really comes: daily from years ago to the season's end, hourly from a month before today on."""

    first: date
    mean_c: Floats  # (days,)
    rain_mm: Floats
    hourly_first: date
    hourly: Floats  # (hours, 4): C, %, m/s, mm

    def r3_day(self, planted: date, maturity_group: float) -> float:
        """Day on which R3 begins by degree days, before all that makes fields miss it."""
        start = (planted - self.first).days
        warm = np.cumsum(degree_days(self.mean_c[start:]))
        needed = needed_degree_days(maturity_group)
        return planted.toordinal() + float(np.interp(needed, np.append(0.0, warm), np.arange(warm.size + 1)))

    def spray_hours_h(self, today: date) -> Floats:
        """Hours that can really be sprayed, from today on, before noon and after; shape (days, 2)."""
        hours = self.hourly[24 * (today - self.hourly_first).days :]
        clock = np.arange(len(hours)) % 24
        dry = (hours[:, 3] == 0) & (np.append(hours[1:, 3], 0.0) == 0)
        calm = hours[:, 2] <= MOST_WIND_M_S
        usable = dry & calm & (clock >= FIRST_HOUR) & (clock < LAST_HOUR)
        return usable.reshape(-1, 2, 12).sum(axis=2).astype(float)


def normal_c(days: list[date]) -> Floats:
    """Mean temperature of the climate on each day."""
    of_year = np.array([day.timetuple().tm_yday for day in days])
    return np.asarray(8 - 16 * np.cos(2 * math.pi * (of_year - 20) / 365.25))


def degree_days(mean_c: Floats) -> Floats:
    """Degree days of each day."""
    return np.asarray(np.clip(mean_c, LEAST_C, MOST_C) - LEAST_C)


def needed_degree_days(maturity_group: float) -> float:
    """Degree days from planting to R3: those of the reference, and the July days of further groups."""
    planted, group, to_r3_d = REFERENCE
    days = [planted + timedelta(n) for n in range(to_r3_d)]
    daily = degree_days(normal_c(days))
    return float(daily.sum() + GROUP_D * (maturity_group - group) * daily[-1])


def drawn_weather(rng: np.random.Generator, wet: float, today: date) -> TrueWeather:
    """Draw the weather; `wet` is that of the season, in standard deviations."""
    first, last = date(today.year - YEARS, 1, 1), date(today.year, 9, 30)
    days = [first + timedelta(n) for n in range((last - first).days + 1)]
    noise = np.convolve(rng.standard_normal(len(days) + 6), np.ones(7) / 7 * 6.0, "valid")
    of_year = np.append(rng.standard_normal(YEARS), wet)[[day.year - first.year for day in days]]
    rains = rng.random(len(days)) < np.clip(0.28 * np.exp(0.25 * of_year), 0, 0.7)
    rain = np.where(rains, rng.gamma(0.8, 9.0, len(days)), 0.0)
    hourly_first = today - timedelta(HOURS_BACK_D)
    return TrueWeather(
        first=first,
        mean_c=normal_c(days) + noise,
        rain_mm=rain,
        hourly_first=hourly_first,
        hourly=_hours(rng, HOURS_BACK_D + TO_COME_D, wet),
    )


def _hours(rng: np.random.Generator, days: int, wet: float) -> Floats:
    rows = []
    for _ in range(days):
        windy, rains = rng.uniform(1.5, 5.5), rng.random() < 0.25 * math.exp(0.25 * wet)
        humid = 80 + 10 * rains + 3 * wet + rng.normal(0, 4)
        for hour in range(24):
            sun = math.cos(2 * math.pi * (hour - 15) / 24)
            wind = max(0.3, windy * (1 + 0.5 * sun) + rng.normal(0, 0.4))
            rain = rng.gamma(0.7, 3.0) if rains and rng.random() < 0.3 else 0.0
            rows.append((22 + 6 * sun + rng.normal(0, 0.5), min(humid - 18 * sun, 100.0), wind, rain))
    return np.array(rows)


def write_weather(folder: Path, weather: TrueWeather, today: date) -> None:
    """Write what a planner has on a day: the past, and a forecast of seven days that comes true."""
    known = (today - weather.first).days
    rows = [
        f"{weather.first + timedelta(n)},{mean - 6:.1f},{mean + 6:.1f},{rain:.1f}"
        for n, (mean, rain) in enumerate(zip(weather.mean_c[:known], weather.rain_mm[:known], strict=True))
    ]
    (folder / "weather.csv").write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *rows]) + "\n")
    _write_hours(folder / "hourly.csv", weather, (0, HOURS_BACK_D))
    _write_hours(folder / "hourly_forecast.csv", weather, (HOURS_BACK_D, HOURS_BACK_D + FORECAST_D))


def _write_hours(path: Path, weather: TrueWeather, between: tuple[int, int]) -> None:
    rows = ["time,temp_c,rh_pct,wind_m_s,rain_mm"]
    for number in range(24 * between[0], 24 * between[1]):
        temp, humid, wind, rain = weather.hourly[number]
        day = weather.hourly_first + timedelta(number // 24)
        rows.append(f"{day} {number % 24:02d}:00,{temp:.1f},{humid:.0f},{wind:.1f},{rain:.2f}")
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
