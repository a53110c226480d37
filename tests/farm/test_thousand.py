"""A thousand fields, fifty of them broken in twenty ways: the others are planned, each fault is clear."""

import csv
import json
import warnings
from collections import Counter

import pytest
from made_broken import broken, ways
from made_region import made_region
from rasterio.errors import NotGeoreferencedWarning
from read_results import half_written

from cli.main import _code
from zoning.errors import CONTENT

FIELDS, BROKEN, WAYS = 1000, 50, 20


@pytest.fixture(scope="module")
def ran(tmp_path_factory):
    """Make such a farm; gives its folder, its fields, and what must be told of the broken ones."""
    farm = made_region(tmp_path_factory.mktemp("region") / "farm", FIELDS, small=True).farm
    names = sorted(path.parent.name for path in farm.glob("*/field.toml"))
    chosen = names[7 :: FIELDS // BROKEN][:BROKEN]
    some = ways()[::2][:WAYS]
    assert len(some) == WAYS
    with warnings.catch_warnings():  # an image that nobody placed is one of the ways
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        told = {name: broken(farm / name, some[place % WAYS]) for place, name in enumerate(chosen)}
    return farm, names, told


@pytest.fixture(scope="module")
def ended(ran):
    return _code(["farm", str(ran[0]), "--workers", "2", "--quiet"])


def rows(path):
    with path.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def test_the_command_ends_with_3(ran, ended):
    assert ended == CONTENT


def test_all_others_are_planned(ran, ended):
    farm, names, told = ran
    planned = [path.parent.parent.name for path in farm.glob("*/out/plan.json")]
    assert sorted(planned) == [name for name in names if name not in told]
    assert len(planned) == FIELDS - BROKEN
    table = rows(farm / "out" / "farm.csv")
    assert [row["folder"] for row in table] == sorted(planned)


def test_each_broken_field_is_reported_with_what_to_mend(ran, ended):
    farm, _, told = ran
    table = rows(farm / "out" / "failures.csv")
    assert {row["field"] for row in table} == set(told)
    assert len(told) == BROKEN
    for name, way in told.items():
        mine = [row for row in table if row["field"] == name]
        line = " ".join(f"{row['where']}: {row['what']}. {row['mend']}" for row in mine)
        assert str(way.code) in {row["code"] for row in mine}, name
        assert all(word in line for word in way.words), (name, line)
        assert all(row["mend"] for row in mine)
    assert 1 not in {int(row["code"]) for row in table}  # no bug of ours


def test_nothing_is_half_written(ran, ended):
    farm, _, told = ran
    assert not half_written(farm)
    assert not [name for name in told if (farm / name / "out").exists()]


def test_totals_are_those_of_the_fields_that_came(ran, ended):
    farm, _, _ = ran
    whole = json.loads((farm / "out" / "farm.json").read_text(encoding="utf-8"))
    plans = whole["fields"].values()
    assert len(plans) == FIELDS - BROKEN
    for key in ("spray_ac", "skip_ac", "net_usd", "carrier_gal"):
        assert whole["totals"][key] == pytest.approx(sum(plan["totals"][key] for plan in plans), abs=0.5)
    assert Counter(plan["schedule"] for plan in plans) == {"farm": FIELDS - BROKEN}
