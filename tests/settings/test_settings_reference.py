"""Models, words, templates and docs name the same keys; origins say where each value came from."""

import re
import tomllib
from importlib import resources
from pathlib import Path

import pytest
from made_folders import FIELD, MONEY, PRODUCT, RESPONSE, SPRAYER, TOP, field_folder, read

from zoning import evidence
from zoning.settings.keys import FILLED_IN, keys, tables
from zoning.settings.model import Money, Response, Settings
from zoning.settings.origins import rows
from zoning.settings.read import load
from zoning.settings.templates import template

ROOT = Path(__file__).parents[2]
DOCS = (ROOT / "docs/reference/settings.md").read_text(encoding="utf-8")
OFF = re.compile(r"^#(?=[a-z\[])", re.MULTILINE)


def told_words():
    text = resources.files("zoning.settings").joinpath("keys.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


# -- keys.toml against the models ----------------------------------------------------------------------------


def test_every_key_has_words_and_no_words_are_left_over():
    told = {f"{table}.{name}" if table else name for table, names in told_words().items() for name in names}
    assert told == set(keys())
    assert all(key.words and not key.words.endswith(".") for key in keys().values())


def test_only_what_has_no_default_is_asked():
    assert set(FILLED_IN) <= {*Settings.model_fields, *Money.model_fields, *Response.model_fields}
    for key in keys().values():
        assert (key.kind == "asked") <= (key.default == ""), key.pattern
        assert key.kind != "asked" or key.example, f"{key.pattern} needs an example to show"
        assert key.kind not in ("neutral", "choice", "name") or key.default, key.pattern


def test_examples_can_be_read(tmp_path):
    text = ""
    for table in ["", *tables()]:
        header = f"[[{table}]]\n" if tables().get(table) else f"[{table}]\n" if table else ""
        lines = [
            f"{key.name} = {key.example}" for key in keys().values() if key.table == table and key.example
        ]
        text += header + "\n".join(lines) + "\n" if lines else ""
    text = text.replace("duty = [0.3, 1.0]\n", "").replace('adjuvant_price = "20 USD/gal"\n', "")
    text = text.replace('column = "clay"\n', "")  # of polygons, and the file is a raster
    assert load(field_folder(tmp_path, None, text)).level == 3


def test_every_evidence_entry_stands_for_a_key():
    used = {key.pattern for key in keys().values() if key.kind in evidence.KINDS}
    assert len(evidence.table("settings")) == len(used)


def test_every_key_is_read_by_a_step():
    sources = [*(ROOT / "zoning").glob("**/*.py"), *(ROOT / "cli").glob("**/*.py")]
    code = "\n".join(path.read_text() for path in sources if path.parent.name != "settings")
    folded = {
        "crop",
        "money.adjuvant_price",
    }  # one crop is handled; the price is read by `Money.adjuvant_usd_gal`
    shared = {
        "zones.file",
        "setback.file",
        "setback.width",
        "dead_ground.file",
        "sprayer.base",
        "check_strips.pairs",
    }  # names of others
    for key in keys().values():
        is_read = re.search(rf"\.{key.attribute}\b", code) is not None
        if key.pattern not in folded | shared:
            assert is_read, f"{key.pattern} is typed for nothing: no step reads it"


# -- docs ----------------------------------------------------------------------------------------------------


def documented():
    """Every row of the reference: key -> (words, default, kind)."""
    found, table = {}, None
    for line in DOCS.splitlines():
        header = re.fullmatch(r"## (?:`\[+(\w+)\]+`|The field and the farm)", line)
        table = (header[1] or "") if header else None if line.startswith("## ") else table
        row = re.fullmatch(r"\| `(\w+)` \| (.+) \| (?:`(.*)`)? ?\| ([a-z ]+) \|", line)
        if row and table is not None:
            found[f"{table}.{row[1]}" if table else row[1]] = (row[2], row[3] or "", row[4])
    return found


def test_the_docs_name_every_key_with_its_default_and_kind():
    expected = {}
    for key in keys().values():
        words = f"{key.words}: {', '.join(key.choices)}" if key.choices else key.words
        expected[key.pattern] = (words, key.default, key.kind)
    assert documented() == expected


def test_the_docs_explain_every_kind_of_default():
    for kind in {key.kind for key in keys().values()}:
        assert re.search(rf"^\| .*\b{kind}\b.* \| .+ \|$", DOCS, re.MULTILINE), kind


def test_the_docs_show_faults_as_they_are(tmp_path):
    shown = re.findall(r"^(?:farm)\.toml:\d+: (.+)$", DOCS, re.MULTILINE)
    assert shown[0] == 'money.grain_price = "10.4": a unit is missing. Write it as "10.4 USD/bu".'
    wrong = (
        MONEY.replace("10.40 USD/bu", "10.4")
        + SPRAYER
        + SPRAYER.replace("90 ft", "900 ft").replace("ground", "old")
    )
    with pytest.raises(ValueError, match="a unit is missing") as caught:
        load(field_folder(tmp_path, TOP + wrong + RESPONSE))
    assert [re.sub(r"^farm\.toml:\d+: ", "", line) for line in str(caught.value).splitlines()] == shown


# -- templates -----------------------------------------------------------------------------------------------

ANSWERS = {
    "name": '"Filled In"', "adjuvant": '"0.25 % v/v"', "pass": '"9 USD/ac"', "source": '"own trials"',
    "hay_grazing_d": "30", "rainfast_h": "1", "droplet": '"medium"', "mask": '"clouds.tif"', "mask_band": "4",
    "unit": '"ft"', "header": '"35 ft"', "width": '"30 ft"', "expected_yield": '"58 bu/ac"',
}  # fmt: skip


def filled(text):
    """Turn every setting on and answer what is asked: by keys.toml's own example where there is one."""
    lines, table = [], ""
    for line in OFF.sub("", text).splitlines():
        header = re.match(r"\[+(\w+)\]+", line)
        table = header[1] if header else table
        asked = re.match(r'(\w+) = (?:""|\[\])(?= |$)', line)
        if asked:
            key = keys()[f"{table}.{asked[1]}" if table else asked[1]]
            answer = (
                ANSWERS.get(asked[1])
                if asked[1] in ("name", "source")
                else key.example or ANSWERS.get(asked[1])
            )
            line = f"{asked[1]} = {answer}" if answer else line
        lines.append(line)
    return "\n".join(lines)


def test_the_templates_name_every_key_and_no_other():
    named = set()
    for name in ("farm.toml", "field.toml"):
        data = tomllib.loads(OFF.sub("", template(name)))
        for top, value in data.items():
            inside = value[0] if isinstance(value, list) else value
            named |= {f"{top}.{key}" for key in inside} if top in tables() else {top}
    assert named == set(keys())


def test_what_is_off_shows_its_default_or_nothing_or_an_example():
    for name in ("farm.toml", "field.toml"):
        table = ""
        for line in template(name).splitlines():
            header = re.match(r"#?\[+(\w+)\]+", line)
            table = header[1] if header else table
            off = re.match(r"#?(\w+) = (.+?)(?:\s+# (.*))?$", line)
            if off and not off[2].startswith(("{", '""', "[]")) and "example" not in (off[3] or ""):
                key = keys()[f"{table}.{off[1]}" if table else off[1]]
                assert tomllib.loads(f"x = {off[2]}") == tomllib.loads(f"x = {key.default}"), line


def test_a_new_farm_and_field_ask_only_for_what_level_1_needs(tmp_path):
    folder = field_folder(tmp_path, template("farm.toml"), template("field.toml"))
    with pytest.raises(ValueError, match="nothing is filled in") as caught:
        load(folder)
    assert [line.split(" = ")[0] for line in str(caught.value).splitlines()] == [
        "field.toml:7: name",
        "field.toml:8: maturity_group",
    ]
    answered = template("field.toml").replace('name = ""', 'name = "x"').replace('group = ""', "group = 2.4")
    assert load(field_folder(tmp_path, template("farm.toml"), answered)).level == 1


def test_templates_with_everything_on_and_filled_in_are_level_3(tmp_path):
    farm = filled(template("farm.toml")).replace('adjuvant = "0 USD/ac"', 'adjuvant = "0.25 % v/v"')
    farm = re.sub(r'pressure = \["30 psi", "90 psi"\]', 'pressure = "50 psi"', farm)
    field = re.sub(r'(?m)^(date = 2026-05-06|column = "clay").*$', "", filled(template("field.toml")))
    settings = load(field_folder(tmp_path, farm, field))
    assert settings.level == 3
    assert settings.missing == ()


# -- origins -------------------------------------------------------------------------------------------------


def test_every_setting_says_where_it_came_from(tmp_path):
    field = FIELD.replace("[planting]", 'heading_deg = 90\nprevious_crop = "maize"\n[planting]')
    second = SPRAYER.replace("ground rig", "old rig").replace("90 ft", "27 m")
    header = '[harvest]\nheader = "35 ft"\n'
    settings = read(tmp_path, TOP, MONEY, PRODUCT, SPRAYER, second, RESPONSE, header, field=field)
    by_key = {row.key: row for row in rows(settings)}
    assert by_key["money.grain_price"].value == '"10.40 USD/bu"'
    assert by_key["money.grain_price"].came_from == "farm.toml:3"
    assert by_key["heading_deg"].came_from == "field.toml:3"
    assert by_key["row_spacing"].value == '"30 in"'
    assert by_key["row_spacing"].came_from == "default (assumption)"
    assert by_key["sprayer[1].boom"].value == '"90 ft"'
    assert by_key["sprayer[2].boom"].value == '"27 m"'
    assert by_key["sprayer[2].efficiency"].came_from == "default (published)"
    assert by_key["name"].value == '"Some Field"'
    assert by_key["farm_name"].came_from == "farm.toml:1"
    assert by_key["harvest.header"].value == '"35 ft"'
    assert "product.droplet" not in by_key
    assert all(row.words and row.value for row in by_key.values())


def test_absent_tables_have_no_rows(tmp_path):
    named = {row.key for row in rows(read(tmp_path))}
    assert not [key for key in named if key.startswith(("money", "product", "response", "sprayer"))]
    assert {"zones.cell", "boundary.file", "schedule.horizon_d"} <= named
