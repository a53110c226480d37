"""Whole fields: typed in other units the decision is the same; what a neighbour changes, and what not."""

import json
import re
import shutil
from datetime import date
from pathlib import Path

import pytest
from made_fields import make_field
from made_folders import PRODUCT, SPRAYER
from made_offers import choose_alone

from zoning import farm, field
from zoning.plan import Plan

# Exact definitions, written down here and not taken from the code.
KG_PER_LB, M_PER_FT, L_PER_GAL = 0.45359237, 0.3048, 3.785411784
T_PER_BU = 60 * KG_PER_LB / 1000
HA_PER_AC = 43_560 * M_PER_FT**2 / 10_000
METRIC = {
    "USD/bu": (1 / T_PER_BU, "USD/t"),
    "USD/ac": (1 / HA_PER_AC, "USD/ha"),
    "USD/gal": (1 / L_PER_GAL, "USD/L"),
    "bu/ac": (T_PER_BU / HA_PER_AC, "t/ha"),
    "gal/ac": (L_PER_GAL / HA_PER_AC, "L/ha"),
    "fl oz/ac": (1000 * L_PER_GAL / 128 / HA_PER_AC, "mL/ha"),
    "gal": (L_PER_GAL, "L"),
    "ac": (HA_PER_AC, "ha"),
    "ft": (M_PER_FT, "m"),
    "in": (M_PER_FT / 12, "m"),
    "mph": (1.609344, "km/h"),
    "psi": (KG_PER_LB * 9.80665 / (M_PER_FT / 12) ** 2 / 100_000, "bar"),
}
FARM = """name = "Made farm"
units = "us"
season = 2026
country = "US"

[weather]
daily = "daily.csv"

[zones]
min_area = "2.5 ac"
cell = "66 ft"

[money]
grain_price = "{price} USD/bu"
product = "18 USD/ac"
adjuvant = "0.25 % v/v"
adjuvant_price = "24 USD/gal"
foliar_feed = "1.5 USD/ac"
pass = "8.5 USD/ac"
per_visit = "45 USD"
minimum_bill = "250 USD"
water = "0.02 USD/gal"
haul = "0.2 USD/bu"
rule = "{rule}"
min_net = "0.5 USD/ac"
min_chance = 0.35
loss_weight = 1.2

[response]
source = "{source}"
pressure = "{pressure}"
mean = "3.1 bu/ac"
se = "0.7 bu/ac"
years = 3
trials = 9

[carrier]
volumes = ["10 gal/ac", "15 gal/ac", "20 gal/ac"]

"""
FARM += PRODUCT + "\n" + SPRAYER.replace("tracks_exist = true", "tracks_exist = false")
MADE = 5  # level 3, US units, with a year's weather and an image


def metric(text: str) -> str:
    """Type every quantity of a settings file in metric units."""

    def turned(match: re.Match[str]) -> str:
        factor, unit = METRIC[match[2]]
        return f'"{float(match[1]) * factor!r} {unit}"'

    units = "|".join(sorted(map(re.escape, METRIC), key=len, reverse=True))
    return re.sub(rf'"([0-9.]+) ({units})"', turned, text).replace('units = "us"', 'units = "metric"')


def made(root: Path, **asked: object):
    """A made field under a farm.toml of our own; gives its folder and its day."""
    folder = root / "farm" / "made"
    truth = make_field(folder, MADE)
    (root / "farm" / "farm.toml").write_text(FARM.format(**asked), encoding="utf-8")
    return folder, truth.today


def in_metric(folder: Path) -> None:
    for path in (folder / "field.toml", folder.parent / "farm.toml"):
        before = path.read_text(encoding="utf-8")
        after = metric(before)
        assert after != before
        assert not re.search(r"[0-9] (bu|ac|gal|ft|in|mph|psi|fl oz)\b", after)
        path.write_text(after, encoding="utf-8")


def planned(folder: Path, today: date) -> Plan:
    """Plan without measuring how good the zones are, which takes most of the time."""
    offered = field.offer(folder, today=today, seed=2)
    assert offered.options is not None
    return field.settle(offered, choose_alone(offered.zones, offered.options))


# the price and the source are such that some zones are sprayed in each; seen by the test itself
@pytest.mark.parametrize(
    "asked",
    [
        {"price": 11.3, "rule": "expected", "source": "practice series", "pressure": "unknown"},
        {"price": 12.1, "rule": "chance", "source": "pooled trials", "pressure": "seen"},
        {"price": 17.5, "rule": "cautious", "source": "own trials", "pressure": "high"},
        {"price": 9.9, "rule": "expected", "source": "pooled trials", "pressure": "unknown"},
    ],
    ids=lambda asked: asked["source"],
)
def test_units_do_not_change_a_decision(asked, tmp_path):
    folder, today = made(tmp_path, **asked)
    ours = planned(folder, today)
    in_metric(folder)
    theirs = planned(folder, today)
    assert (ours.units, theirs.units) == ("us", "metric")
    decisions = [
        [
            (zone.action, zone.spray_on, zone.pass_number, zone.spray_from, zone.spray_by)
            for zone in plan.zones
        ]
        for plan in (ours, theirs)
    ]
    assert decisions[0] == decisions[1]
    assert {zone.action for zone in ours.zones} == ({"skip"} if asked["price"] < 10 else {"spray"})
    for mine, yours in zip(ours.zones, theirs.zones, strict=True):
        assert mine.reason.code == yours.reason.code
        assert yours.rate_gal_ac == pytest.approx(mine.rate_gal_ac)
        assert yours.area_ac == pytest.approx(mine.area_ac, rel=1e-9)
        for name in ("net_mean_usd_ac", "net_p10_usd_ac", "break_even_price_usd_bu", "chance_pays"):
            assert getattr(yours.money, name) == pytest.approx(getattr(mine.money, name), abs=1e-6)
    assert theirs.totals.net_usd == pytest.approx(ours.totals.net_usd, abs=1e-6)
    assert [one.day for one in theirs.passes] == [one.day for one in ours.passes]


def neighbour(folder: Path) -> Path:
    """Another field of the farm: the same ground under another name, with scouting but without a count."""
    other = folder.parent / "other"
    shutil.copytree(folder, other, ignore=shutil.ignore_patterns("out", "out.*"))
    settings = other / "field.toml"
    text = re.sub(r'name = "[^"]*"', 'name = "Other"', settings.read_text(encoding="utf-8"), count=1)
    settings.write_text(re.sub(r"maturity_group = .*", "maturity_group = 3.1", text), encoding="utf-8")
    return other


def written_alone(folder: Path, today: date) -> dict[str, bytes]:
    """Plan and write the field by itself, and read the objects that it wrote."""
    names = field.write(field.run(folder, today=today, seed=2), folder / "out")
    return {name: (folder / "out" / name).read_bytes() for name in names if name.endswith(".json")}


def test_a_field_without_counts_changes_no_other(tmp_path):
    asked = {"price": 11.3, "rule": "expected", "source": "practice series", "pressure": "unknown"}
    folder, today = made(tmp_path, **asked)
    alone = written_alone(folder, today)
    assert {"plan.json", "run.json"} <= set(alone)
    other = neighbour(folder)
    # with the sprayer to itself: what fields of one farm share is the sprayer's hours
    assert written_alone(folder, today) == alone
    result = farm.run(folder.parent, today=today, seed=2)
    assert not result.failures
    mine, its = (json.loads((one / "out" / "plan.json").read_text()) for one in (folder, other))
    assert mine["schedule"] == its["schedule"] == "farm"
    # windows and returns on offer are those of the field alone; only its passes may give way to the other's
    before = json.loads(alone["plan.json"])
    for then, now in zip(before["zones"], mine["zones"], strict=True):
        assert {key: then[key] for key in ("zone", "area_ac", "stage")} == {
            key: now[key] for key in ("zone", "area_ac", "stage")
        }
    # the other one is another field, with draws of its own
    assert mine["field"] != its["field"]
    assert mine["zones"] != its["zones"]
