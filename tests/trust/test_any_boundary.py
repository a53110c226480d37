"""Any boundary gives the same ground from GeoJSON, GeoPackage and shapefile, in any CRS."""

import pytest
import shapely
from any_boundary import FORMATS, any_boundary, ground, write
from hypothesis import given, settings
from hypothesis import strategies as st
from pyproj import Geod

from zoning.inputs import area
from zoning.inputs.ground import boundary

NEAR_M = 0.01  # drawn fields lie on a grid of 1 mm; edges are divided where they are longer than 100 m


@settings(max_examples=40)
@given(any_boundary(), st.sampled_from(["lonlat", "utm", "web"]))
def test_a_boundary_is_the_same_ground_from_every_format(tmp_path_factory, drawn, crs_name):
    folder = tmp_path_factory.getbasetemp()
    crs = drawn.crs(crs_name)
    for ending in FORMATS:
        if ending == "geojson" and crs_name != "lonlat":
            continue
        path = write(drawn, folder / f"any.{ending}", crs)
        found = boundary.read(path, path.name)
        wanted = ground(drawn, crs, found.epsg)
        assert found.area.is_valid
        assert not found.area.is_empty
        off = shapely.symmetric_difference(found.area, wanted).area
        assert off <= NEAR_M * wanted.length + 1e-6 * wanted.area, (ending, off, wanted.area)
        lonlat = area.to_lonlat(found.area, found.epsg)
        theirs, _ = Geod(ellps="WGS84").geometry_area_perimeter(shapely.orient_polygons(lonlat))
        assert area.geodesic_ac(lonlat) == pytest.approx(abs(theirs) / 4046.8564224, rel=1e-9)
