"""A small farm of the made region, on which runs of many fields are tried quickly."""

from datetime import date
from pathlib import Path

from made_region import TODAY, made_region

FIELDS = 14
STRIPS, BROKEN = ("q00004", "q00009"), "q00006"
DAY: date = TODAY


def small_farm(folder: Path) -> Path:
    """Make fourteen fields: two lay check strips in their first run, some are counted, one is broken."""
    farm = made_region(folder, FIELDS, small=True).farm
    for name in STRIPS:
        settings = farm / name / "field.toml"
        text = settings.read_text(encoding="utf-8")
        if "[check_strips]" not in text:
            settings.write_text(f"{text}\n[check_strips]\npairs = 2\n", encoding="utf-8")
    (farm / BROKEN / "planting.geojson").write_text("no planting", encoding="utf-8")
    return farm
