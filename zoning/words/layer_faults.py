"""Sentences about GeoPackages, rasters and GeoParquet files: what is wrong with one, and how to mend it."""

# Name of the rule: what is wrong, and what to do about it.
FAULTS: dict[str, tuple[str, str]] = {}
