"""The page writes a figure as the report and the map do: the same text from both languages, ties included."""

import json
import random

import pytest
from node import evaluate

from zoning import units
from zoning.plan import NO_PRICE_PAYS
from zoning.show import figures, money
from zoning.show.page.data import in_tables

FACTORS = {
    "ha_per_ac": units.ha_from_ac(1),
    "l_ha_per_gal_ac": units.l_ha_from_gal_ac(1),
    "kg_ha_per_bu_ac": units.kg_ha_from_bu_ac(1),
    "usd_t_per_usd_bu": units.usd_t_from_usd_bu(1),
    "l_per_gal": units.l_from_gal(1),
    "no_price_pays_usd_bu": NO_PRICE_PAYS,
    "highest_price_usd_bu": figures.HIGHEST_PRICE_USD_BU,
}
TIES = [
    0,
    0.5,
    1.5,
    2.5,
    -0.5,
    -1.5,
    -0.4,
    0.05,
    0.25,
    0.35,
    1.15,
    1.45,
    1.55,
    2.675,
    99.95,
    0.005,
    1234.5,
    -1234.5,
]


def _some(seed: int) -> list[float]:
    chance = random.Random(seed)
    eighths = [chance.randrange(-4000, 4000) / 8 for _ in range(300)]
    tenths = [round(chance.uniform(-50, 50), 1) for _ in range(300)]
    return TIES + eighths + tenths + [chance.uniform(-3000, 3000) for _ in range(600)]


@pytest.mark.parametrize("metric", [False, True])
def test_both_languages_write_a_figure_alike(metric):
    written = figures.Units(metric=metric)
    anywhere = _some(1)
    positive = [abs(value) for value in anywhere]
    shares = [abs(value) % 1 for value in anywhere]
    ours = {
        "whole": [figures.whole(value) for value in anywhere],
        "signed": [figures.signed(value) for value in anywhere],
        "dollars": [figures.dollars(value) for value in anywhere],
        "net": [figures.signed(written.net(value)) for value in anywhere],
        "response": [written.response(value) for value in anywhere],
        "area": [written.area(value) for value in positive],
        "wholeArea": [written.whole_area(value) for value in positive],
        "rate": [written.rate(value) for value in positive],
        "price": [written.price(value) for value in positive],
        "cost": [money.cents(written.net(value)) for value in positive],
        "chance": [figures.chance(value) for value in shares],
    }
    given = {"units": "metric" if metric else "us", "factors": FACTORS}
    given |= {"anywhere": anywhere, "positive": positive, "shares": shares}
    calls = ", ".join(
        f"{name}: given.{'anywhere' if place < 5 else 'shares' if name == 'chance' else 'positive'}"
        f".map((value) => written.{name}(value))"
        for place, name in enumerate(ours)
    )
    theirs = evaluate(["written"], f"(written.start(given), {{{calls}}})", given)
    for name, texts in ours.items():
        values = shares if name == "chance" else anywhere if name in list(ours)[:5] else positive
        wrong = [(v, a, b) for v, a, b in zip(values, texts, theirs[name], strict=True) if a != b]
        assert not wrong, (name, wrong[:3])


def test_no_price_and_a_price_that_nobody_pays_are_said_alike():
    written = figures.Units(metric=False)
    given = {"units": "us", "factors": FACTORS}
    told = evaluate(
        ["written"],
        "(written.start(given), [written.price(9999), written.price(41), written.day('2026-07-04')])",
        given,
    )
    assert told == [written.price(9999.0), written.price(41.0), "Jul 4"]


def test_a_change_of_units_comes_back_to_the_same_figure():
    given = {"units": "us", "factors": FACTORS}
    page = "{querySelectorAll: () => []}"
    expression = (
        f"(written.start(given), [written.rate(15), (written.units({page}, 'metric'), written.rate(15)), "
        f"written.unit('rate'), (written.units({page}, 'us'), written.rate(15))])"
    )
    assert evaluate(["written"], expression, given) == ["15", "140", "L/ha", "15"]


@pytest.mark.parametrize(
    "thing",
    [
        {"zones": [{"zone": 1, "held": [{"a": None}, {"a": "x"}]}, {"zone": 2, "held": []}], "none": None},
        {"alone": [{"a": 1}], "differ": [{"a": 1}, {"b": 2}], "order": [{"a": 1, "b": 2}, {"b": 1, "a": 2}]},
        {"numbers": [1, 2, [3]], "empty": [], "table": [{"keys": 1}, {"keys": 2}]},
    ],
)
def test_what_is_written_in_tables_is_read_as_it_was(thing):
    assert evaluate(["written"], "written.read(given)", json.dumps(in_tables(thing))) == thing
