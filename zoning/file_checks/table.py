"""The table of formats: one row each."""

from zoning.file_checks import geojson, geopackage, geoparquet, geotiff, shapefile, sums, taskdata, zipped
from zoning.file_checks.formats import Format
from zoning.file_checks.of_polygons.geometry import COORDINATES, RINGS
from zoning.file_checks.of_polygons.ground import GROUND
from zoning.file_checks.of_polygons.rates import OF_A_PASS

FORMATS: tuple[Format, ...] = (
    Format("shapefile set", shapefile.groups, shapefile.check, shapefile.RULES),
    Format("zip", zipped.groups, zipped.check, zipped.ZIP, zipped.inner),
    Format("SHA256SUMS", sums.groups, sums.check, sums.SUMS),
    Format("GeoJSON", geojson.groups, geojson.check, geojson.COLLECTION),
    Format("TASKDATA", taskdata.groups, taskdata.check, taskdata.RULES),
    Format("GeoPackage", geopackage.groups, geopackage.check, geopackage.RULES),
    Format("GeoTIFF", geotiff.groups, geotiff.check, geotiff.RULES),
    Format("GeoParquet", geoparquet.groups, geoparquet.check, geoparquet.RULES),
)
# What polygons are held to in every format; one may take a rule for a doubt, or have one of its own for it.
OF_POLYGONS = (*COORDINATES, *RINGS, *GROUND, *OF_A_PASS)
