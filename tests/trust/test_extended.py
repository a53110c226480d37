"""docs/extend.md is followed on a copy of the program: a stage model, a format, a layer, a run with all.

The copy is a folder of its own that stands first where Python looks; the program itself is left as it is.
"""

import csv
import json
import os
import shutil
import subprocess
import sys
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from followed_pages import write
from page_blocks import blocks
from shapely import from_wkt
from shapely.geometry import shape

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "extend.md"
DEMO = ROOT / "demo_fields" / "heron_slough"
PLANTED, TODAY = date(2026, 5, 6), date(2026, 7, 8)
FIELD = f"""name = "Clay Forty"
maturity_group = 1.9
[boundary]
file = "boundary.geojson"
[planting]
date = {PLANTED}
[zones]
divide_by = "layers"
"""
CORNERS = [[-95.400, 44.310], [-95.395, 44.310], [-95.395, 44.314], [-95.400, 44.314], [-95.400, 44.310]]
SHIM = '#!/bin/sh\nexec "{python}" -c "from cli.main import main; main()" "$@"\n'


@pytest.fixture(scope="module")
def copy(tmp_path_factory):
    """The program, the tests that the page names, and a farm with one field."""
    folder = tmp_path_factory.mktemp("copy")
    ours = shutil.ignore_patterns("__pycache__")
    for name in ("zoning", "cli", "tests/made"):
        shutil.copytree(ROOT / name, folder / name, ignore=ours)
    (folder / "tests" / "prescription").mkdir()
    for name in ("pyproject.toml", "tests/conftest.py", "tests/prescription/test_round_trips.py"):
        shutil.copy(ROOT / name, folder / name)
    field = folder / "farm" / "field"
    (field / "layers").mkdir(parents=True)
    for name in ("farm.toml", "weather.csv", "hourly.csv", "hourly_forecast.csv"):
        shutil.copy(DEMO / name, field.parent)
    (field / "field.toml").write_text(FIELD, encoding="utf-8")
    ring = {"type": "Polygon", "coordinates": [CORNERS]}
    (field / "boundary.geojson").write_text(json.dumps(ring), encoding="utf-8")
    (folder / "bin").mkdir()
    shim = folder / "bin" / "sprayworth"
    shim.write_text(SHIM.format(python=sys.executable), encoding="utf-8")
    shim.chmod(0o755)
    return folder


def run(line, folder):
    path = os.pathsep.join((str(folder / "bin"), str(Path(sys.executable).parent), os.environ["PATH"]))
    env = {**os.environ, "PATH": path, "PYTHONPATH": str(folder), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        ["sh", "-c", line], cwd=folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    assert done.returncode == 0, f"{line}\n{done.stdout}"
    return done.stdout


def plan_of(folder):
    return json.loads((folder / "farm" / "field" / "out" / "plan.json").read_text(encoding="utf-8"))


def r3_of_each_year(need_c_d):
    """By hand, from the file: when heat above 10 C has added up, this season and then each past year."""
    with (DEMO / "weather.csv").open(encoding="utf-8", newline="") as file:
        of_day = {
            date.fromisoformat(row["date"]): (float(row["tmin_c"]), float(row["tmax_c"]))
            for row in csv.DictReader(file)
        }
    wave = np.cos(2 * np.pi * (np.arange(24) + 0.5) / 24)

    def heat_c_d(day):
        low, high = of_day[day]
        return np.maximum((low + high) / 2 + (high - low) / 2 * wave - 10.0, 0).mean()

    found = []
    for year in {day.year for day in of_day} - {2026}:
        at, total = PLANTED, 0.0
        while total < need_c_d:
            total += heat_c_d(at if at < TODAY else at.replace(year=year))
            at += timedelta(days=1)
        found.append((at - timedelta(days=1)).toordinal())
    return found


def test_the_page_is_followed_and_a_run_shows_all_three(copy):
    run("sprayworth run farm/field --quiet", copy)
    before = plan_of(copy)
    assert len(before["zones"]) == 1
    for block in blocks(PAGE):
        if block.language == "sh":
            for line in block.text.splitlines():
                run(f"{line} -p no:cacheprovider" if line.startswith("pytest") else line, copy)
        else:
            write(block, copy)
    plan = plan_of(copy)
    # the stage model: its days, in the median of the past years, and not those of before
    years = r3_of_each_year(900.0)
    assert len(years) >= 10
    likely = [date.fromisoformat(zone["stage"]["r3_likely"]).toordinal() for zone in plan["zones"]]
    assert all(abs(day - np.median(years)) <= 2 for day in likely)
    was = date.fromisoformat(before["zones"][0]["stage"]["r3_likely"]).toordinal()
    assert all(abs(day - was) > 4 for day in likely)
    # the layer: a zone on each side of the edge of the clay, which runs down the middle of its map
    assert len(plan["zones"]) == 2
    with (copy / "farm" / "field" / "out" / "zones.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    middle = [from_wkt(row["ground"]).centroid.x for row in rows]
    assert min(middle) < -95.3985
    assert max(middle) > -95.3970
    # the format: listed among the files of the run, with the ground of the whole field
    assert "zones.csv" in plan["files"]
    edge = shape({"type": "Polygon", "coordinates": [CORNERS]})
    assert sum(from_wkt(row["ground"]).area for row in rows) == pytest.approx(edge.area, rel=0.01)
    assert {row["zone"] for row in rows} == {str(zone["zone"]) for zone in plan["zones"]}


def test_the_program_itself_is_as_it_was():
    assert "heat_alone" not in (ROOT / "zoning" / "stage" / "phenology.py").read_text(encoding="utf-8")
