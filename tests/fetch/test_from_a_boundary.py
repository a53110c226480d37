"""From a boundary alone to a filled field folder: planting, weather, images got, looked at, and planned."""

import csv
import json
from datetime import datetime, timedelta

import numpy as np
import pytest
from made_catalogue import EPSG, TILE, Catalogue, field_folder, scene, served
from made_weather_service import running
from pyproj import Transformer

from cli.main import _code

WEST_M, NORTH_M, SIDE_M = TILE.west_m + 803.0, TILE.north_m - 807.0, 806.0
FARM = 'name = "Invented Farm"\nas_of = 2026-07-08\n'
FIELD = 'name = "Invented Sixty-five"\nmaturity_group = 2.1\n'


def planter(path) -> None:
    """What a planter wrote: the south half on 5 May, the north half on 28 May, in rows 9 m apart."""
    to_deg = Transformer.from_crs(EPSG, 4326, always_xy=True)
    with path.open("w", encoding="utf-8", newline="") as stream:
        rows = csv.writer(stream)
        rows.writerow(["Longitude", "Latitude", "Planting time", "Variety", "Population (seeds/ac)"])
        for day, first_m in (("2026-05-05", -SIDE_M), ("2026-05-28", -SIDE_M / 2)):
            at = datetime.fromisoformat(f"{day} 09:00")
            for north in np.arange(first_m + 4.5, first_m + SIDE_M / 2, 9):
                for east in np.arange(4, SIDE_M, 12):
                    lon, lat = to_deg.transform(WEST_M + east, NORTH_M + north)
                    at += timedelta(seconds=3)
                    rows.writerow(
                        [f"{lon:.7f}", f"{lat:.7f}", f"{at:%m/%d/%Y %H:%M:%S}", "Invented 21", 135_000]
                    )


@pytest.fixture
def farm(tmp_path):
    """A farm with one field, of which only the boundary is known."""
    folder = tmp_path / "farm"
    folder.mkdir()
    (folder / "farm.toml").write_text(FARM, encoding="utf-8")
    field = field_folder(folder / "sixty_five", WEST_M, NORTH_M, SIDE_M)
    (field / "field.toml").write_text(FIELD, encoding="utf-8")
    return folder


def test_a_boundary_becomes_a_plan(farm, tmp_path, capsys):
    field, records = farm / "sixty_five", tmp_path / "planter.csv"
    planter(records)

    def sprayworth(*words):
        code = _code([*(str(one) for one in words)])
        told = capsys.readouterr()
        assert code == 0, told.err
        return told.out

    sprayworth("get", "planting", field, records, "--confirm", "--quiet")
    with running() as double:
        table = double.table(tmp_path)
        sprayworth("get", "weather", farm, "--services", table, "--hourly", "--quiet")
    with served(Catalogue(folder=tmp_path / "files")) as made:
        for day in ("2026-06-21", "2026-06-26", "2026-07-01"):
            scene(made, TILE, day)
        june = ("--from", "2026-06-15", "--to", "2026-07-07")
        sprayworth("get", "imagery", field, *june, "--catalog", made.address, "--quiet")
    told = sprayworth("check", farm, "--preview")
    assert "block A: planted 2026-05-05" in told
    assert "block B: planted 2026-05-28" in told
    drawn = {path.name.split("_")[1] for path in (field / "preview").glob("0*.png")}
    assert {"boundary.png", "planting.png", "imagery"} <= drawn
    sprayworth("run", field, "--quiet")
    plan = json.loads((field / "out" / "plan.json").read_text(encoding="utf-8"))
    assert {zone["planted"] for zone in plan["zones"]} == {"2026-05-05", "2026-05-28"}
    assert len(plan["zones"]) > 2  # the images divide the blocks
    early, late = (
        {zone["stage"]["r3_likely"] for zone in plan["zones"] if zone["planted"] == day}
        for day in ("2026-05-05", "2026-05-28")
    )
    assert max(early) < min(late)
    assert not [note for note in plan["notes"] if note["code"].startswith("inputs.image_offset")]
