"""Operator's files that follow the sprayer's swaths instead of the zones, through a whole run."""

import json
from pathlib import Path

import pytest
import shapefile
import shapely
from made_demo import TODAY, three_dates
from pyproj import Geod
from shapely.geometry import shape

from zoning import field

GEOD = Geod(ellps="WGS84")


def run(tmp_path: Path, wanted: str):
    folder = three_dates(tmp_path / wanted.replace(" ", "_"))
    settings = folder / "field.toml"
    settings.write_text(settings.read_text().replace("[zones]\n", f'[zones]\ntreatment = "{wanted}"\n'))
    made = field.run(folder, today=TODAY, seed=3, measured_by=lambda *_, **__: lambda: None)
    field.write(made, folder / "out")
    return made.plan, folder / "out"


@pytest.fixture(scope="module")
def both(tmp_path_factory):
    root = tmp_path_factory.mktemp("farm")
    return run(root, "zones"), run(root, "swath cells")


def rates(out: Path):
    (path,) = (out / "passes" / "P1").glob("*.shp")
    with shapefile.Reader(path) as reader:
        return [(shape(one.shape.__geo_interface__), one.record[0]) for one in reader.iterShapeRecords()]


def acres(polygon) -> float:
    return abs(GEOD.geometry_area_perimeter(polygon)[0]) / 4046.8564224


def test_the_file_covers_the_field_and_treats_what_is_said(both):
    _, (plan, out) = both
    found = rates(out)
    assert all(polygon.is_valid and polygon.geom_type == "Polygon" for polygon, _ in found)
    assert shapely.coverage_is_valid([polygon for polygon, _ in found])
    assert sum(acres(polygon) for polygon, _ in found) == pytest.approx(plan.area_ac, rel=1e-4)
    treated_ac = sum(acres(polygon) for polygon, rate in found if rate > 0)
    assert treated_ac == pytest.approx(plan.treatment.treated_ac, rel=1e-3)
    assert {rate for _, rate in found} == {0.0, plan.passes[0].rate_gal_ac}


def test_little_of_the_field_gets_another_action_than_its_zone(both):
    (_, zones_out), (plan, out) = both
    as_zones = shapely.union_all([polygon for polygon, rate in rates(zones_out) if rate > 0])
    as_cells = shapely.union_all([polygon for polygon, rate in rates(out) if rate > 0])
    differs = acres(as_zones.symmetric_difference(as_cells).buffer(0)) / plan.area_ac
    assert 0 < plan.treatment.differs_frac < 0.05
    assert differs == pytest.approx(plan.treatment.differs_frac, abs=0.005)


def test_zones_and_money_stay_and_it_is_said(both):
    (plain, zones_out), (plan, out) = both
    assert plain.treatment is None
    assert [zone.money for zone in plan.zones] == [zone.money for zone in plain.zones]
    assert [note.code for note in plan.notes].count("offers.swath_cells") == 1
    written = json.loads((out / "plan.json").read_text())["zoning"]["treatment"]
    assert written["heading_deg"] == 90
    assert written["differs_frac"] == pytest.approx(plan.treatment.differs_frac, abs=1e-4)
    assert json.loads((zones_out / "plan.json").read_text())["zoning"]["treatment"] is None
