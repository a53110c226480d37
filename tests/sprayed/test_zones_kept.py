"""After a part of a field was sprayed its zones stay as they are, with their numbers, whatever is learned."""

import shutil
from datetime import date
from pathlib import Path

import fiona
import pytest
import shapely
from made_sprayed import LATER, PRODUCT, sprayed_farm

from zoning import field, sprayed
from zoning.errors import InputError
from zoning.plan import Plan

Farm = tuple[Path, Plan]
SPRAYED_ON = date(2026, 7, 7)  # the weather of the demo farm ends with that day
TODAY = date(2026, 7, 8)
CHANGED_M2 = 1e-5  # of a zone's area: outlines are written in degrees and read back onto 1 mm


@pytest.fixture
def farm(tmp_path: Path) -> Farm:
    return sprayed_farm(tmp_path)


def record(folder: Path, zones: str = "", product: str = PRODUCT, on: date = SPRAYED_ON) -> None:
    typed = sprayed.Typed(field="three_dates", zones=zones, end=on.isoformat(), product=product)
    sprayed.record(folder, typed, today=max(on, TODAY), clock=LATER)


def planned(folder: Path, today: date = TODAY) -> Plan:
    return field.run(folder / "three_dates", today=today, measured_by=lambda *_, **__: lambda: None).plan


def change_what_is_known(folder: Path) -> None:
    """Take the counts away, and let the layers have two zones in a block at most."""
    path = folder / "three_dates" / "field.toml"
    text = path.read_text().split("[[scouting]]")[0]
    path.write_text(text.replace("max_zones_per_block = 3", "max_zones_per_block = 2"))


def assert_same_zones(before: Plan, after: Plan) -> None:
    assert [(z.zone, z.block, z.name) for z in after.zones] == [
        (z.zone, z.block, z.name) for z in before.zones
    ]
    for old, new in zip(before.zones, after.zones, strict=True):
        assert new.area_ac == pytest.approx(old.area_ac, rel=CHANGED_M2)
        assert new.outline.symmetric_difference(old.outline).area < CHANGED_M2 * old.outline.area


def test_without_a_recorded_pass_the_change_moves_the_zones(farm: Farm) -> None:
    """What the next tests rest on."""
    folder, plan = farm
    change_what_is_known(folder)
    assert len(planned(folder).zones) < len(plan.zones)


def test_zones_and_numbers_stay_after_a_pass_over_some(farm: Farm) -> None:
    folder, plan = farm
    record(folder, "1 4")
    change_what_is_known(folder)
    after = planned(folder)
    assert_same_zones(plan, after)
    assert [note.code for note in after.notes if note.code.startswith("done.")] == ["done.zones_kept"]


def test_a_second_pass_keeps_the_zones_of_the_first(farm: Farm) -> None:
    folder, plan = farm
    record(folder, "1")
    kept = (folder / "three_dates" / "applied" / "zones.gpkg").read_bytes()
    change_what_is_known(folder)
    made = field.run(folder / "three_dates", today=TODAY, measured_by=lambda *_, **__: lambda: None)
    field.write(made, folder / "three_dates" / "out")
    record(folder, "2")
    assert (folder / "three_dates" / "applied" / "zones.gpkg").read_bytes() == kept
    assert_same_zones(plan, planned(folder))


def test_a_pass_over_the_whole_field_keeps_no_zones(farm: Farm) -> None:
    folder, plan = farm
    record(folder, product="Herbicide B")
    assert not (folder / "three_dates" / "applied").exists()
    change_what_is_known(folder)
    assert len(planned(folder).zones) < len(plan.zones)


def test_before_the_pass_and_in_another_crop_zones_are_drawn_anew(farm: Farm) -> None:
    folder, plan = farm
    record(folder, "1 4")
    change_what_is_known(folder)
    assert len(planned(folder, date(2026, 7, 6)).zones) < len(plan.zones)
    table = folder / "done.csv"
    table.write_text(table.read_text().replace("2026-07-07", "2025-07-07"))
    assert len(planned(folder).zones) < len(plan.zones)


def test_numbers_stay_where_the_blocks_change_their_order(farm: Farm) -> None:
    """The planting days of blocks A and B were noted the wrong way round: their names and order change."""
    folder, plan = farm
    record(folder, "1 4")
    path = folder / "three_dates" / "planting.geojson"
    text = path.read_text()
    assert text.count("2026-04-28")
    assert text.count("2026-05-15")
    path.write_text(
        text.replace("2026-04-28", "x").replace("2026-05-15", "2026-04-28").replace("x", "2026-05-15")
    )
    after = planned(folder)
    assert [zone.block for zone in after.zones] != [zone.block for zone in plan.zones]
    for old, new in zip(plan.zones, after.zones, strict=True):
        assert old.zone == new.zone
        assert new.outline.symmetric_difference(old.outline).area < CHANGED_M2 * old.outline.area
        swapped = {date(2026, 4, 28): date(2026, 5, 15), date(2026, 5, 15): date(2026, 4, 28)}
        assert new.planted == swapped.get(old.planted, old.planted)


def test_zones_that_somebody_drew_keep_their_names(farm: Farm) -> None:
    folder, _ = farm
    path = folder / "three_dates" / "field.toml"
    shutil.copy(folder / "three_dates" / "out" / "prescription.shp", folder / "three_dates" / "drawn.shp")
    for end in (".shx", ".dbf", ".prj", ".cpg"):
        shutil.copy(
            (folder / "three_dates" / "out" / "prescription.shp").with_suffix(end),
            (folder / "three_dates" / "drawn.shp").with_suffix(end),
        )
    path.write_text(
        path.read_text().replace("[zones]\n", '[zones]\nfile = "drawn.shp"\nzone_column = "BLOCK"\n')
    )
    made = field.run(folder / "three_dates", today=TODAY, measured_by=lambda *_, **__: lambda: None)
    field.write(made, folder / "three_dates" / "out")
    assert [zone.name for zone in made.plan.zones] == ["A", "B", "C"]
    record(folder, "2")
    for end in (".shp", ".shx", ".dbf", ".prj", ".cpg"):
        (folder / "three_dates" / "drawn.shp").with_suffix(end).unlink()
    assert_same_zones(made.plan, planned(folder))


@pytest.mark.parametrize("lost", [2, "column"])
def test_kept_zones_that_somebody_changed_are_refused(farm: Farm, lost: object) -> None:
    folder, _ = farm
    record(folder, "1 4")
    kept = folder / "three_dates" / "applied" / "zones.gpkg"
    with fiona.open(kept, layer="zones") as source:
        rows, meta = list(source), source.meta
    kept.unlink()
    kind = {"geometry": "MultiPolygon", "properties": {"zone" if lost == 2 else "no": "int", "name": "str"}}
    with fiona.open(kept, "w", **(meta | {"layer": "zones", "schema": kind})) as target:
        for row in rows:
            number = row.properties["zone"]
            if number != lost:
                properties = {"zone" if lost == 2 else "no": number, "name": ""}
                target.write({"geometry": row.geometry, "properties": properties})
    told = "zone 2 has no ground left in the field" if lost == 2 else 'there is no column "zone"'
    with pytest.raises(InputError, match=rf"applied/zones\.gpkg: {told}"):
        planned(folder)


def test_kept_zones_that_cannot_be_read_are_refused(farm: Farm) -> None:
    folder, plan = farm
    record(folder, zones=str(plan.passes[0].zones[0]))
    (folder / "three_dates" / "applied" / "zones.gpkg").write_bytes(b"no GeoPackage")
    with pytest.raises(InputError, match=r"applied/zones\.gpkg: the file cannot be read as GeoPackage"):
        planned(folder)


def test_a_zone_that_left_the_field_is_said(farm: Farm) -> None:
    """The boundary is drawn anew without the ground of block C, and so without its one zone."""
    folder, plan = farm
    record(folder, "1 4")
    rest = shapely.union_all([zone.outline for zone in plan.zones if zone.block != "C"])
    path = folder / "three_dates" / "boundary.geojson"
    path.write_text(shapely.to_geojson(rest))
    with pytest.raises(InputError, match=r"applied/zones\.gpkg: zone 6 has no ground left in the field"):
        planned(folder)
