"""The table of formats: one row each."""

from zoning.file_checks import (
    geojson,
    gpkg,
    gpkg_rules,
    parquet,
    parquet_rules,
    shapefile_set,
    sums,
    taskdata,
    tiff,
    tiff_rules,
    zipped,
)
from zoning.file_checks.formats import Format
from zoning.file_checks.geometry import COORDINATES, RINGS
from zoning.file_checks.ground import GROUND
from zoning.file_checks.rates import OF_A_PASS

FORMATS: tuple[Format, ...] = (
    Format("shapefile set", shapefile_set.groups, shapefile_set.check, shapefile_set.RULES),
    Format("zip", zipped.groups, zipped.check, zipped.ZIP, zipped.inner),
    Format("SHA256SUMS", sums.groups, sums.check, sums.SUMS),
    Format("GeoJSON", geojson.groups, geojson.check, geojson.COLLECTION),
    Format("TASKDATA", taskdata.groups, taskdata.check, taskdata.RULES),
    Format("GeoPackage", gpkg.groups, gpkg.check, gpkg_rules.RULES),
    Format("GeoTIFF", tiff.groups, tiff.check, tiff_rules.RULES),
    Format("GeoParquet", parquet.groups, parquet.check, parquet_rules.RULES),
)
# What polygons are held to in every format; one may take a rule for a doubt, or have one of its own for it.
OF_POLYGONS = (*COORDINATES, *RINGS, *GROUND, *OF_A_PASS)
