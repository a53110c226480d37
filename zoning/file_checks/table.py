"""The table of formats: one row each."""

from zoning.file_checks import geojson, gpkg, parquet, shapefile_set, sums, taskdata, tiff, zipped
from zoning.file_checks.formats import Format

FORMATS: tuple[Format, ...] = (
    Format("shapefile set", shapefile_set.groups, shapefile_set.check),
    Format("zip", zipped.groups, zipped.check, zipped.inner),
    Format("SHA256SUMS", sums.groups, sums.check),
    Format("GeoJSON", geojson.groups, geojson.check),
    Format("TASKDATA", taskdata.groups, taskdata.check),
    Format("GeoPackage", gpkg.groups, gpkg.check),
    Format("GeoTIFF", tiff.groups, tiff.check),
    Format("GeoParquet", parquet.groups, parquet.check),
)
