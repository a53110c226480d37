"""The page about inputs says of yield points what is done: roles, words, units, limits."""

import re
from pathlib import Path

import pytest
from made_points import asked

from zoning.evidence import number, numbers
from zoning.inputs.harvest.points import cells, columns
from zoning.inputs.harvest.points.rows import ENDINGS
from zoning.settings.harvest import ROLES

PAGE = (Path(__file__).parents[3] / "docs" / "reference" / "inputs.md").read_text(encoding="utf-8")
SECTION = PAGE[PAGE.index("## Yield points") :].partition("\n## ")[0]
PLAIN = " ".join(SECTION.split())
ROWS = [
    (re.findall(r"`(\w+)`", row[0]), row[2].split(", "), row[3])
    for row in (
        re.split(r" \| ", line.strip("| ")) for line in SECTION.splitlines() if line.startswith("| `")
    )
    for row in [[*row, ""] if len(row) < 4 else row]
]


def test_every_role_has_its_row():
    assert sorted(role for roles, _, _ in ROWS for role in roles) == sorted(ROLES)


@pytest.mark.parametrize(("roles", "words"), [(roles, words) for roles, words, _ in ROWS])
def test_every_word_finds_a_column(roles, words):
    found = {columns.may_be(word, has_places=False) for word in words}
    assert found == set(roles)


@pytest.mark.parametrize(("roles", "unit"), [(roles, unit) for roles, _, unit in ROWS if "metric" in unit])
def test_the_units_that_stand_in(roles, unit):
    us, metric = unit.split(", metric ")
    found = columns.Found(place=0, name=roles[0], unit="")
    for is_metric, told in ((False, us), (True, metric)):
        assert cells.unit_of(roles[0], found, 1.0, asked(is_metric=is_metric)) == (told, "farm")


@pytest.mark.parametrize("example", ["Flow_lb_s", "Yield (bu/ac)", "SpeedMPH"])
def test_the_examples_say_their_unit(example):
    assert f"`{example}`" in SECTION
    role = columns.may_be(example, has_places=True)
    assert columns.parted(example, role)[1]


def test_the_limits_are_those_of_the_evidence():
    for words in (
        "outside {:g} to {:g} bu/ac".format(*numbers("inputs.harvest_yield_range_bu_ac")),
        "outside {:g} to {:g} %".format(*(100 * numbers("inputs.harvest_moisture_range_frac"))),
        "outside {:g} to {:g} m".format(*numbers("inputs.harvest_swath_range_m")),
        f"to a factor of {number('inputs.harvest_unit_ratio'):g}",
        f"more than {number('inputs.harvest_step_most_m'):g} m apart at the median",
        f"at more than {100 * number('inputs.harvest_back_most_frac'):g} % of the points",
    ):
        assert words in PLAIN, words
    assert {".csv", ".tsv", ".shp", ".gpkg", ".geojson"} <= set(ENDINGS)
