"""A farm from Python: the tables are the files that were written, and a field that fails is a row."""

import re
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from made_broken import broken
from made_farm_plans import bare_farm, small_farm
from made_region import TODAY, made_region

from zoning.errors import InputError
from zoning.farm import FarmRun
from zoning.service import PlannedFarm, plan_farm

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "python.md"


@pytest.fixture(scope="module")
def farm(tmp_path_factory):
    """Four fields, of which one is broken."""
    made = made_region(tmp_path_factory.mktemp("farm") / "region", 4, small=True).farm
    broken(made / "q00002", "planting dates in words")
    return made


@pytest.fixture(scope="module")
def planned(farm):
    return plan_farm(farm, today=TODAY)


def of_plan(plan, folder):
    return PlannedFarm(folder=folder, run=FarmRun(outcomes=(), plan=plan))


def check_same(made, read):
    """Compare a table with what another library reads from its file."""
    assert list(made.columns) == list(read.columns)
    for name in set(made.columns) - {"geometry"}:
        ours, theirs = made[name], read[name]
        assert ours.isna().tolist() == theirs.isna().tolist(), name
        if ours.dtype.kind == "M":
            theirs = theirs.dropna().astype("datetime64[s]")
        assert ours.dropna().tolist() == theirs.dropna().tolist(), name


def test_every_table_is_the_file_that_was_written(planned):
    pandas = pytest.importorskip("pandas")
    geopandas = pytest.importorskip("geopandas")
    out = planned.folder / "out"
    zones = planned.zones
    check_same(zones, geopandas.read_parquet(out / "farm.parquet"))
    fields, read = planned.fields.drop(columns="geometry"), pandas.read_csv(out / "farm.csv")
    assert list(fields.columns) == list(read.columns)
    check_same(fields.drop(columns="page"), read.drop(columns="page"))
    written = [(planned.folder / one / "out" / "page.html").is_file() for one in fields["folder"]]
    assert fields["page"].notna().tolist() == written
    check_same(planned.schedule, pandas.read_csv(out / "schedule.csv", dtype={"zones": str}))
    check_same(planned.failures, pandas.read_csv(out / "failures.csv"))
    assert planned.failures["field"].tolist() == ["q00002"] * len(planned.failures)
    assert planned.fields["folder"].tolist() == ["q00001", "q00003", "q00004"]
    assert len(zones) == planned.fields["zones"].sum()


@pytest.mark.parametrize("units", ["us", "metric"])
def test_a_column_has_the_same_type_whatever_is_in_it(units, tmp_path):
    one = of_plan(small_farm(units), tmp_path)
    none = of_plan(replace(bare_farm(fields=0), units=units), tmp_path)
    for name in ("fields", "zones", "schedule"):
        full, empty = getattr(one, name), getattr(none, name)
        assert len(full) > len(empty) == 0
        assert full.dtypes.to_dict() == empty.dtypes.to_dict(), name


def test_it_shows_what_the_command_prints_and_what_failed(planned):
    shown = planned._repr_html_()
    assert "q00002" in shown
    assert "second week of May" in shown
    assert not re.search(r"<(script|style|link)", shown)
    assert repr(planned).startswith("<PlannedFarm ")
    assert repr(planned).endswith("1 field failed>")


def test_what_comes_out_does_not_depend_on_the_workers(farm, planned, tmp_path):
    again = shutil.copytree(farm, tmp_path / "region", ignore=shutil.ignore_patterns("out*"))
    other = plan_farm(again, today=TODAY, workers=2)
    assert other.as_dict() == planned.as_dict()


def test_the_example_of_the_page_runs(planned, monkeypatch, capsys):
    import matplotlib as mpl

    mpl.use("agg")
    (block,) = [
        one
        for one in re.findall(r"```python\n(.*?)```", PAGE.read_text(encoding="utf-8"), flags=re.DOTALL)
        if "plan_farm" in one
    ]
    monkeypatch.chdir(planned.folder.parent)
    exec(block.replace('"my_farm"', '"region"'), {})
    assert "q00002" in capsys.readouterr().out


def test_without_a_day_the_farm_says_so(farm, tmp_path):
    bare = shutil.copytree(farm, tmp_path / "region")
    text = (bare / "farm.toml").read_text(encoding="utf-8")
    (bare / "farm.toml").write_text(re.sub(r"(?m)^as_of.*\n", "", text), encoding="utf-8")
    with pytest.raises(InputError, match="no day to plan on"):
        plan_farm(bare)


@pytest.mark.parametrize("workers", [0, -2, 1.5, "two"])
def test_workers_are_a_whole_number(farm, workers):
    with pytest.raises(InputError, match="cannot be"):
        plan_farm(farm, today=TODAY, workers=workers)


def test_a_script_that_lets_no_process_begin_is_told_so_once(farm, tmp_path):
    """Whoever imports it again would plan again: none of its processes can start, no field is to blame."""
    script = tmp_path / "script.py"
    script.write_text(
        f"from zoning.service import plan_farm\nplan_farm({str(farm)!r}, today='2026-07-08', workers=2)\n"
    )
    ended = subprocess.run([sys.executable, script], capture_output=True, text=True, check=False)
    assert ended.returncode == 1
    told = [line for line in ended.stderr.splitlines() if "InputError" in line]
    assert len(told) == 1
    assert "workers: no process" in told[0]
    assert "__main__" in told[0]
