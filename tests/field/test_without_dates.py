"""Without weather, where the calendar does not reach: zones and a map all the same, and what is missing."""

import json
import shutil
from datetime import date
from pathlib import Path

from zoning import field
from zoning.show.report import report

DEMO = Path(__file__).parents[2] / "demo_fields" / "heron_slough"


def test_zones_and_map_come_without_a_stage_date(tmp_path):
    farm = tmp_path / "farm"
    shutil.copytree(DEMO, farm, ignore=shutil.ignore_patterns("out", "out.*", "strips"))
    (farm / "weather.csv").unlink()
    settings = farm / "farm.toml"
    text = settings.read_text(encoding="utf-8")
    head, rest = text.split("[weather]", 1)
    settings.write_text(head + "[money]" + rest.split("[money]", 1)[1], encoding="utf-8")

    run = field.run(farm / "three_dates", clock=date(2026, 7, 8))

    assert run.plan.level == 1
    assert len(run.plan.zones) > 3
    assert all(zone.window is None and zone.action is None for zone in run.plan.zones)
    codes = [note.code for note in run.plan.notes]
    assert codes.count("stage.no_date") == 3
    assert "offers.no_dates" in codes
    assert "add a weather file" in report(run.plan)
    field.write(run, farm / "three_dates" / "out")
    out = farm / "three_dates" / "out"
    assert {path.name for path in out.iterdir()} == {
        "plan.json",
        "run.json",
        "zones.gpkg",
        "map.png",
        "page.html",
        "sheet.pdf",
        "rasters",  # that of the zones
    }
    plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
    assert plan["zones"][0]["stage"] is None
    assert plan["zones"][0]["reason"]["text"] == "R3 is not known here"
