"""`sprayworth run FIELD --since PLAN.json`: one line for whoever holds the files of an earlier run."""

import hashlib
import json
import shutil
from pathlib import Path

import pytest

from cli.main import main

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"


@pytest.fixture(scope="module")
def field(tmp_path_factory):
    """A field of the demo farm, run once; its plan.json is kept beside."""
    farm = tmp_path_factory.mktemp("since") / "heron_slough"
    shutil.copytree(DEMO, farm, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    assert call(farm / "three_dates") == 0
    shutil.copy(farm / "three_dates/out/plan.json", farm / "before.json")
    return farm / "three_dates"


def call(*arguments):
    with pytest.raises(SystemExit) as end:
        main(["run", *map(str, arguments), "--quiet"])
    return end.value.code


def written(field):
    out = field / "out"
    [readme], [sheet] = out.glob("passes/*/README.txt"), out.glob("passes/*/load_sheet.txt")
    plan, run = (json.loads((out / f"{name}.json").read_text(encoding="utf-8")) for name in ("plan", "run"))
    return plan, run, readme.read_text(encoding="ascii"), sheet.read_text(encoding="utf-8")


def unwrapped(text):
    return " ".join(text.split())


def test_nothing_has_changed_from_one_run_to_the_next(field, capsys):
    before = field.parent / "before.json"
    assert call(field, "--since", before) == 0
    out = unwrapped(capsys.readouterr().out)
    plan, run, readme, sheet = written(field)
    text = plan["since"]["text"]
    assert plan["since"]["code"] == "since.nothing"
    assert all(text in unwrapped(page) for page in (out, readme, sheet))
    # the plan that it is compared with is an input like any other
    assert run["inputs"]["since"] == hashlib.sha256(before.read_bytes()).hexdigest()
    old = json.loads(before.read_text(encoding="utf-8"))
    assert old["since"] is None
    assert plan["run_id"] == run["run_id"] != old["run_id"]
    assert plan["zones_id"] == old["zones_id"]


def test_what_a_change_of_settings_does_to_the_machine_is_told(field, capsys):
    settings = field.parent / "farm.toml"
    typed = settings.read_text(encoding="utf-8")
    assert '"10 gal/ac", "15 gal/ac", "20 gal/ac"' in typed
    settings.write_text(
        typed.replace('"10 gal/ac", "15 gal/ac", "20 gal/ac"', '"20 gal/ac"'), encoding="utf-8"
    )
    try:
        assert call(field, "--since", field.parent / "before.json") == 0
        plan, _, readme, sheet = written(field)
    finally:
        settings.write_text(typed, encoding="utf-8")
    text = plan["since"]["text"]
    assert "pass 1 sprays 20 instead of 15 gal/ac" in text
    old = json.loads((field.parent / "before.json").read_text(encoding="utf-8"))
    more_gal = sum(one["treated_ac"] * one["rate_gal_ac"] for one in plan["passes"])
    more_gal -= sum(one["treated_ac"] * one["rate_gal_ac"] for one in old["passes"])
    assert f"{more_gal:,.0f} gal of spray mix more" in text
    assert text in unwrapped(capsys.readouterr().out)
    assert text in unwrapped(sheet)
    assert text[:80] in unwrapped(readme)


def test_the_plan_in_out_itself_may_be_named(field):
    assert call(field, "--since", field / "out" / "plan.json") == 0
    assert written(field)[0]["since"]["code"].startswith("since.")


@pytest.mark.parametrize(
    ("content", "code"), [(None, 2), ("{}", 3), ("other field", 3)], ids=["missing", "no plan", "other field"]
)
def test_a_plan_that_cannot_be_compared_stops_before_work(field, tmp_path, capsys, content, code):
    path = tmp_path / "plan.json"
    if content == "other field":
        whole = json.loads((field.parent / "before.json").read_text(encoding="utf-8"))
        content = json.dumps(whole | {"field": "North 40"})
    if content is not None:
        path.write_text(content, encoding="utf-8")
    stamp = (field / "out" / "plan.json").stat().st_mtime_ns
    assert call(field, "--since", path) == code
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.strip().count("\n") == 0
    assert str(path) in said.err
    assert (field / "out" / "plan.json").stat().st_mtime_ns == stamp
