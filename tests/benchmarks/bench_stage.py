"""How long the stage forecast of 20 blocks takes: 512 draws, 12 past years. Budget: 50 ms after import.

And how long it takes to hear what places with counts say, by their number: it should grow like that number.

Run it by hand: python tests/benchmarks/bench_stage.py
"""

import time
import timeit
from datetime import date, timedelta

import numpy as np

from zoning.inputs.given import Weather
from zoning.stage.forecast import Situation, Sown, forecast
from zoning.stage.likelihood import GRID, count_rules
from zoning.stage.posterior import Place, posterior

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
    for count in (20, 200, 2_000, 20_000):
        heard(count)


def heard(count: int) -> None:
    """Five blocks of two varieties in each field, 25 varieties; CPU time, the best of three."""
    chance = np.random.default_rng(2)
    places = [
        Place(f"variety {(at // 5 + at % 2) % 25}", f"field {at // 5}", f"block {at % 5}", 5.0)
        for at in range(count)
    ]
    logs = -(((GRID - chance.normal(0, 5, count)[:, None]) / 2.5) ** 2) / 2
    times_s = []
    for _ in range(3):
        start = time.process_time()
        posterior(places, logs, places[:10], count_rules())
        times_s.append(time.process_time() - start)
    print(f"counts at {count} places: {1000 * min(times_s):.1f} ms")


if __name__ == "__main__":
    main()
