"""What sections spray along the edges, through a whole run, against the plan's outlines cut by shapely."""

import json
from pathlib import Path

import pytest
import shapely
from made_demo import TODAY, three_dates
from pyproj import Transformer
from section_witness import sprayed_areas_m2

from zoning import field

M2_PER_AC = 4046.8564224
SECTION_M = 90 * 0.3048 / 9  # of farm.toml


def planned(root: Path, *, heading_deg: float, treatment: str = "zones", setback_m: float = 0.0):
    """The demo field with a slough as its hole, and perhaps a setback from a ditch along its south edge."""
    folder = three_dates(root)
    path = folder / "field.toml"
    text = path.read_text().replace("heading_deg = 90", f"heading_deg = {heading_deg}")
    text = text.replace("[zones]\n", f'[zones]\ntreatment = "{treatment}"\n')
    if setback_m:
        ditch = {"type": "LineString", "coordinates": [[-95.41, 44.305], [-95.4004504, 44.3049996]]}
        (folder / "ditch.geojson").write_text(json.dumps(ditch))
        text += f'\n[[setback]]\nfile = "ditch.geojson"\nwidth = "{setback_m} m"\n'
    path.write_text(text)
    return field.run(folder, today=TODAY, seed=3, measured_by=lambda *_, **__: lambda: None)


def in_metres(outlines, epsg):
    change = Transformer.from_crs(4326, epsg, always_xy=True)
    return [shapely.transform(one, change.transform, interleaved=False) for one in outlines]


def cut_areas_m2(plan, heading_deg, treated):
    crop = in_metres([zone.outline for zone in plan.zones], plan.epsg)
    setbacks = in_metres([spot.outline for spot in plan.no_spray if spot.kind == "setback"], plan.epsg)
    return sprayed_areas_m2(in_metres(treated, plan.epsg), crop, setbacks, heading_deg, SECTION_M)


def of_sheet(one):
    cover = one.sheet.cover
    areas = (cover.treated_ac, cover.sprayed_ac, cover.over_ac, cover.off_crop_ac, cover.missed_ac)
    return [area * M2_PER_AC for area in areas]


@pytest.mark.parametrize(("heading_deg", "setback_m"), [(37.0, 0.0), (37.0, 15.0)])
def test_the_sheet_has_what_the_outlines_give(tmp_path, heading_deg, setback_m):
    made = planned(tmp_path, heading_deg=heading_deg, setback_m=setback_m)
    assert made.plan.passes
    assert bool(made.plan.no_spray) == bool(setback_m)
    for one, written in zip(made.plan.passes, field.as_object(made)["passes"], strict=True):
        treated = [zone.outline for zone in made.plan.zones if zone.zone in one.zones]
        found = of_sheet(one)
        # outlines went to degrees and back, by which edges move some 1e-8 m
        assert found == pytest.approx(cut_areas_m2(made.plan, heading_deg, treated), abs=1.0)
        assert found[3] > 0
        assert (found[4] > 10) == bool(setback_m)
        assert written["load_sheet"]["edges"]["off_crop_ac"] == pytest.approx(found[3] / M2_PER_AC, abs=1e-6)


def test_by_hand_dead_ground_closes_no_section(tmp_path):
    # 70 x 70 m (1.2 ac) of dead ground in a pass, driven at a slant: its rim is sprayed too, and none is dry
    folder = three_dates(tmp_path)
    path = folder / "field.toml"
    path.write_text(path.read_text().replace("heading_deg = 90", "heading_deg = 37"))
    before = field.run(folder, today=TODAY, seed=3, measured_by=lambda *_, **__: lambda: None).plan
    one = before.passes[0]
    zone = max((zone for zone in before.zones if zone.zone in one.zones), key=lambda zone: zone.area_ac)
    x, y = in_metres([zone.outline], before.epsg)[0].representative_point().coords[0]
    back = Transformer.from_crs(before.epsg, 4326, always_xy=True)
    spot = shapely.transform(shapely.box(x - 35, y - 35, x + 35, y + 35), back.transform, interleaved=False)
    (folder / "dead.geojson").write_text(shapely.to_geojson(spot))
    path.write_text(path.read_text() + "\n[[dead_ground]]\nfile = 'dead.geojson'\n")
    after = field.run(folder, today=TODAY, seed=3, measured_by=lambda *_, **__: lambda: None).plan
    assert [ground.kind for ground in after.no_spray] == ["dead ground"]
    assert all(of_sheet(each)[4] < 10 for each in after.passes)


def test_swath_cells_are_met_squarely(tmp_path):
    zones = planned(tmp_path / "zones", heading_deg=37.0).plan
    cells = planned(tmp_path / "cells", heading_deg=37.0, treatment="swath cells").plan
    for one in cells.passes:
        treated = [outline for outline, number in cells.treatment.parts if number == one.number]
        found = of_sheet(one)
        assert found == pytest.approx(cut_areas_m2(cells, 37.0, treated), abs=1.0)
        # cells are whole sections wide and end across the track: nothing of their neighbours is sprayed
        assert found[2] < 0.01
    assert sum(of_sheet(one)[2] for one in zones.passes) > 1000
