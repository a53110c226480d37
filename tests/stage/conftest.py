"""Invented daily weather for the tests of this room: a yearly wave, warm and cold spells, nights and days."""

from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
import pytest

from zoning.inputs.given import Weather

HALF_YEAR = timedelta(days=183)


def made_weather(
    first: date, last: date, *, mean_c: float = 9.5, south: bool = False, seed: int = 7, noise_c: float = 4.0
) -> Weather:
    """Mid-continental weather: yearly amplitude 15.5 C, coldest about 20 January, 11 C from night to day."""
    day = np.arange(first.toordinal(), last.toordinal() + 1)
    chance = np.random.default_rng(seed)
    spell = np.zeros(len(day))
    shock = chance.normal(0, noise_c * np.sqrt(1 - 0.7**2), len(day))
    for index in range(1, len(day)):
        spell[index] = 0.7 * spell[index - 1] + shock[index]
    phase = 2 * np.pi * (day - date(2001, 1, 20).toordinal()) / 365.25
    mean = mean_c - (-15.5 if south else 15.5) * np.cos(phase) + spell
    return Weather(day=day, tmin_c=mean - 5.5, tmax_c=mean + 5.5, rain_mm=np.full(len(day), np.nan))


@pytest.fixture(scope="session")
def make_weather() -> Callable[..., Weather]:
    return made_weather
