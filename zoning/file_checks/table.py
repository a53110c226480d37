"""The table of formats: one row each."""

from zoning.file_checks import shapefile_set
from zoning.file_checks.formats import Format

FORMATS: tuple[Format, ...] = (Format("shapefile set", shapefile_set.groups, shapefile_set.check),)
