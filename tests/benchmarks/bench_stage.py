"""How long the stage forecast of 20 blocks takes: 512 draws, 12 past years. Budget: 50 ms after import.

Run it by hand: python tests/benchmarks/bench_stage.py
"""

import timeit
from datetime import date, timedelta

import numpy as np

from zoning.inputs.given import Weather
from zoning.stage.forecast import Situation, Sown, forecast

TODAY = date(2026, 6, 20)


def main() -> None:
    day = np.arange(date(2014, 1, 1).toordinal(), TODAY.toordinal() + 1)
    wave = np.cos(2 * np.pi * (day - date(2001, 1, 20).toordinal()) / 365.25)
    mean = 9 - 15.5 * wave + np.random.default_rng(1).normal(0, 4, len(day))
    weather = Weather(day=day, tmin_c=mean - 5.5, tmax_c=mean + 5.5, rain_mm=np.full(len(day), np.nan))
    first = date(2026, 4, 25)
    blocks = [
        Sown(name=f"{index}", planted=first + timedelta(days=2 * index), maturity_group=1.5 + index / 10)
        for index in range(20)
    ]
    where = Situation(field="bench", habit="indeterminate", latitude_deg=43.0, today=TODAY, seed=1)
    told = forecast(blocks, weather, where)
    times_ms = [
        1000 * each
        for each in timeit.repeat(lambda: forecast(blocks, weather, where).stages, number=1, repeat=20)
    ]
    print(
        f"stage forecast, {len(blocks)} blocks x {len(told.weather_years)} years x {where.draws} draws: "
        f"best {min(times_ms):.1f} ms, median {np.median(times_ms):.1f} ms"
    )


if __name__ == "__main__":
    main()
