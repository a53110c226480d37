"""What [harvest] may say of the combine's file, and the same typed on the command line."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_folders import TOP, faults, read
from shapely import box

from zoning.errors import InputError
from zoning.inputs.harvest import given as terms
from zoning.inputs.harvest.points.asked import asked_of
from zoning.settings.harvest import CLOCKS, QUANTITY_OF, ROLES, SHARES, unit_fault

BOUNDARY = box(0, 0, 100, 100)
DOCS = (Path(__file__).parents[2] / "docs/reference/settings.md").read_text(encoding="utf-8")


def harvest(*lines):
    return "\n".join(["[harvest]", *lines]) + "\n"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('columns = { moist = "M" }', '"moist" is nothing that a column can be. Did you mean moisture?'),
        ('columns = { qqq = "M" }', '"qqq" is nothing that a column can be. Known are time, yield, flow,'),
        ('columns = { yield = "A", flow = "B" }', "a yield and a flow are both named. Keep the one"),
        ("columns = { yield = 3 }", "a text is expected"),
        ('units = { yield = "bushels" }', '"bushels" is the wrong kind of unit. Use bu/ac or t/ha.'),
        ('units = { speed = "knots" }', '"knots" is not a unit known here. Use mph, km/h or m/s.'),
        ('units = { moisture = "percent" }', '"percent" is no unit of moisture. Use "%", "share".'),
        ('units = { header = "m" }', "header has no unit. Take it out."),
        ('units = { time = "US" }', '"US" is no unit of time. Use "s", "ms", "month first", "day first".'),
        ('moisture = "13"', 'not a percentage. Write it as "13 %".'),
        ("moisture = 13", "Did you mean 0.13, which is 13 %?"),
        ('moisture = "90 %"', "out of range. Give at most 0.5."),
        ('yields = "damp"', 'Write one of "dry", "wet"'),
        ('file = ""', "nothing is filled in"),
    ],
)
def test_what_harvest_cannot_say_is_refused(tmp_path, line, told):
    (line_told,) = faults(tmp_path, TOP, harvest(line))
    assert line_told.startswith("farm.toml:")
    assert told in line_told


def test_a_column_and_one_moisture_for_all_are_two(tmp_path):
    (told,) = faults(tmp_path, TOP, harvest("moisture = 0.12", 'columns = { moisture = "M" }'))
    assert "a column of moistures is named too" in told


def test_a_field_has_its_own_columns_beside_those_of_the_farm(tmp_path):
    from made_folders import FIELD

    farm = harvest('columns = { yield = "A", speed = "S" }', 'moisture = "12.5 %"', 'header = "30 ft"')
    settings = read(tmp_path, TOP, farm, field=FIELD + harvest('columns = { yield = "B" }'))
    found = asked_of(settings, 32615, BOUNDARY)
    assert found.columns == {"yield": "B", "speed": "S"}
    assert found.moisture_frac == 0.125
    assert found.header_m == pytest.approx(9.144)
    assert found.field == (settings.name, settings.folder.name)
    assert not found.is_metric


def test_what_is_typed_wins(tmp_path):
    lines = ('columns = { flow = "F", speed = "S" }', 'units = { speed = "mph" }', 'moisture = "12 %"')
    settings = read(tmp_path, TOP, harvest(*lines))
    found = asked_of(
        settings, 32615, BOUNDARY, ["yield=Dry = yield", " moisture = M "], ["speed=km/h", "time=month first"]
    )
    assert found.columns == {"yield": "Dry = yield", "speed": "S", "moisture": "M"}
    assert found.units == {"speed": "km/h", "time": "month first"}
    assert found.moisture_frac is None  # the column that was typed goes before the setting


def test_all_that_is_typed_wrong_is_told_at_once(tmp_path):
    settings = read(tmp_path, TOP)
    with pytest.raises(InputError) as caught:
        asked_of(
            settings,
            32615,
            BOUNDARY,
            ["yeild=Y", "speed", "swath=A", "swath=B", "flow=F", "yield=Y"],
            ["yield=ft", "crop=m", "speed"],
        )
    assert caught.value.code == 2
    assert [str(fault) for fault in caught.value.faults] == [
        '--column yeild=Y: "yeild" is nothing that a column can be. Did you mean yield?',
        "--column speed: an equals sign is missing. Write it as --column yield=Yield.",
        "--column swath=B: swath is given twice. Keep one of them.",
        "--unit speed: an equals sign is missing. Write it as --unit yield=bu/ac.",
        '--unit yield=ft: "ft" is the wrong kind of unit. Use bu/ac or t/ha.',
        "--unit crop=m: crop has no unit. Take it out.",
        "--column: a yield and a flow are both named. Keep the one that the yields are to be taken from.",
    ]


@given(st.text(max_size=20), st.sampled_from(ROLES))
def test_any_unit_is_one_or_is_told(text, role):
    said = unit_fault(role, text)
    assert said is None or (said[0] and said[1].endswith("."))


def test_the_docs_name_every_role_and_word():
    section = DOCS[DOCS.index("## `[harvest]`") :].partition("\n## ")[0]
    named = set(re.findall(r"`\"?([\w%][\w% ]*)\"?`", section))
    assert set(ROLES) | set(SHARES) | set(CLOCKS) <= named
    assert terms.ROLES == ROLES
    assert set(QUANTITY_OF) < set(ROLES)
