"""Sentences about files for terminals: what is wrong with one, and how to mend it."""

from zoning.words import layer_faults, taskdata_faults

# Name of the rule: what is wrong, and what to do about it.
_FAULTS: dict[str, tuple[str, str]] = {
    "more": ("{count} more of the same kind", "Mend them in the same way."),
    "too_large": (
        "{size_mb:.0f} MB is more than the {limit_mb:.0f} MB that are read",
        "Export the field again, one file for each pass.",
    ),
    "refused_by_disk": ("cannot be read ({why})", "Copy the file anew and check again."),
    "damaged_in_zip": ("is damaged inside its zip", "Make or copy the zip anew."),
    # Maps of polygons, whatever the format.
    "no_polygon": ("no polygon in it", "Export the map again."),
    "not_finite": ("{row}: a coordinate is no number", "Export the map again."),
    "out_of_range": (
        "{row}: {lon:.10g}, {lat:.10g} is no longitude and latitude",
        "Export in degrees on WGS 84 (EPSG:4326).",
    ),
    "swapped": ("latitude stands before longitude", "Write longitude first."),
    "antimeridian": ("{row}: reaches across 180 degrees of longitude", "Cut it there into two polygons."),
    "no_shape": ("{row}: has no polygon", "Delete the row or draw its polygon."),
    "ring_too_short": (
        "{row}: a ring of {points} points",
        "A ring has at least four, the last like the first.",
    ),
    "not_closed": ("{row}: a ring is not closed", "Repeat its first point as the last."),
    "ring_order": ("{row}: {ring} does not run {wanted}", "Turn the order of its points round."),
    "several_parts": ("{row}: {parts} polygons in one row", "Give each polygon a row of its own."),
    "zero_area": ("{row}: a ring encloses no ground", "Delete it."),
    "not_valid": (
        "{row}: the outline is broken ({why})",
        "Repair the outline, so that it crosses itself nowhere.",
    ),
    "duplicate": ("{row}: the same polygon as {other}", "Delete one of them."),
    "overlap": (
        "{row}: lies on {other} over {area_m2:.1f} m2, at {lon:.6f}, {lat:.6f}",
        "Cut one of them, so that each place has one rate.",
    ),
    "outside": (
        "{row}: {area_m2:.0f} m2 lie more than {margin_m:.0f} m outside the field",
        "Cut it at the boundary, or check that it is this field.",
    ),
    "gap": ("a gap of {area_m2:.1f} m2 at {lon:.6f}, {lat:.6f}", "Cover it; write 0 for boom off."),
    "not_covered": (
        "{area_m2:.1f} m2 of the field are not covered, at {lon:.6f}, {lat:.6f}",
        "Cover the field to its boundary; write 0 for boom off.",
    ),
    "too_small": (
        "{row}: {area_m2:.1f} m2 is less than a machine can follow ({least_m2:.0f} m2)",
        "Join it to a neighbour.",
    ),
    "no_rate": ("{row}: no rate", "Write 0 for boom off."),
    "negative_rate": ("{row}: a rate of {rate:g} is below 0", "Write 0 for boom off."),
    "implausible_rate": (
        "{row}: {rate:g} {unit} is no usual volume of spray mix ({low:g} to {high:g})",
        "Look for another unit, or for a factor of ten.",
    ),
    "many_rates": ("{count} rates in one pass", "Use at most {most}: terminals and operators lose track."),
    "decimals": ("rates with {count} decimals", "Round them to {most}."),
    "all_off": ("every rate is 0: nothing is sprayed", "Check that it is the file of this pass."),
    # Shapefile sets.
    "missing": (
        "{member} is missing",
        "Put all files of the set beside each other; terminals want all of them.",
    ),
    "no_cpg": ("{member} is missing", "Add it with one line, UTF-8."),
    "stems_differ": ("names differ in capitals ({stems})", "Give all files of the set the same name."),
    "stem_odd": ("{stem} has other signs than plain letters and digits", "Rename the set, in all its files."),
    "stem_long": ("{stem} is longer than {longest} letters", "Rename the set, in all its files."),
    "many_polygons": ("{count} polygons", "Old terminals take at most {most}: join the smallest."),
    "large_shp": ("{size_kb:.0f} kB", "Old terminals take at most {most_kb:.0f}: make outlines simpler."),
    "cut_short": ("ends in the middle, at byte {at}", "Copy or export it again."),
    "file_code": ("begins with {begins}, which is no shapefile", "Export it again as a shapefile."),
    "record_broken": ("record {row} does not add up", "Export it again."),
    "version": ("version {version} instead of 1000", "Export it again as a plain shapefile."),
    "length": ("its header tells {told} bytes, it has {size}", "Export it again."),
    "kind": ("holds shapes of type {kind}, not polygons (type 5)", "Export plain polygons without heights."),
    "file_box": ("the bounds in its header are not those of its polygons", "Export it again."),
    "record_box": ("record {row}: its bounds are not those of its polygon", "Export it again."),
    "record_number": ("record {row} has the number {number}", "Number records from 1 in order."),
    "index_count": ("tells of {here} polygons, the .shp has {there}", "Make the index anew."),
    "index_offset": ("does not say where record {row} begins and how long it is", "Make the index anew."),
    "table_broken": ("its header does not add up", "Export it again."),
    "table_version": ("a table of version {version} instead of 3", "Export it as a plain dBASE III table."),
    "table_length": ("its header tells rows of {told} bytes, its columns have {width}", "Export it again."),
    "row_count": ("has {rows} rows, the .shp has {shapes} polygons", "Export both again, together."),
    "deleted_row": ("row {row} is marked as deleted but still there", "Pack the table."),
    "column_too_long": ("the name of column {column} has more than 10 letters", "Shorten it."),
    "column_name": ("column {column} has other signs than capitals and digits", "Rename it."),
    "column_twice": ("two columns are called {column}", "Rename one of them."),
    "column_kind": ("column {column} is of type {kind}", "Use numbers (N), texts (C) and days (D) only."),
    "column_width": ("column {column} is {width} wide with {decimals} decimals", "Use 8 with 2 decimals."),
    "no_number": ("row {row}: {column} has no number", "Write 0; an empty number is read as anything."),
    "not_ascii": ("row {row}: {column} has letters that terminals read differently", "Use plain letters."),
    "no_rate_column": ("no column of numbers", "Add one for the rate, RATE_GPA or RATE_LHA."),
    "several_numbers": ("more than one column of numbers ({columns})", "Keep only the rate."),
    "other_columns": ("column {column} beside the rate", "Delete it: some terminals take rates only."),
    "unit_not_named": (
        "column {column} does not name its unit",
        "Call it RATE_GPA (US gal/ac) or RATE_LHA (L/ha).",
    ),
    "prj_broken": ("is no description of coordinates", "Export it again in WGS 84 (EPSG:4326)."),
    "wrong_crs": (
        "{crs} is not longitude and latitude on WGS 84",
        "Export again in WGS 84 (EPSG:4326).",
    ),
    "newer_form": ("is written in a newer form ({word})", "Write the older one, which begins with GEOGCS."),
    "letters": ("the letters {name} are not known to terminals", "Write UTF-8."),
    "not_measurable": ("its outlines are too broken to be laid on each other", "Export the map again."),
    # GeoJSON.
    "json_broken": ("is no JSON, from line {line} on", "Export it again."),
    "not_utf8": ("has letters that are no UTF-8, at byte {at}", "Save it as UTF-8."),
    "no_collection": (
        "is no feature collection",
        "Put the features into one object of type FeatureCollection.",
    ),
    "not_a_number": (
        "{count} times NaN or Infinity, which JSON does not know",
        "Write numbers; 0 for boom off.",
    ),
    "other_crs": ("coordinates in {crs}", "Export in WGS 84; the member crs is to be left out."),
    "old_crs": ("a member crs, which the standard took away", "Leave it out."),
    "no_feature": ("{row}: is no feature with a geometry", "Export it again."),
    "no_rate_property": ("no property is the rate", "Give each feature a number rate_gal_ac or rate_l_ha."),
    "unit_not_in_name": (
        "the property {column} does not name its unit",
        "Call it rate_gal_ac (US gal/ac) or rate_l_ha (L/ha).",
    ),
    "fine_coordinates": (
        "coordinates with {count} decimals",
        "Round them to {most}, a tenth of a millimetre.",
    ),
    "heights": ("{row}: coordinates with heights", "Leave the heights out."),
    "wrong_bbox": ("its bbox is not that of its polygons", "Write it again, or leave it out."),
    # Zips and checksums.
    "no_zip": ("is no zip that can be read", "Make or copy it again."),
    "escapes": ("{member} would be unpacked outside of the folder", "Make a zip with plain names."),
    "bomb": (
        "unpacks to {size_mb:.0f} MB, more than the {limit_mb:.0f} MB that are read",
        "Do not unpack it; get a new one.",
    ),
    "encrypted": ("{member} needs a password", "Make a zip without one."),
    "packed": (
        "{member} is packed in a way that few programs can unpack",
        "Make the zip with the usual packing, deflate.",
    ),
    "twice": ("{member} is in it twice", "Make a zip with one of them."),
    "sub_folder": ("the folder {folder} in it", "Put the files into the root: terminals look nowhere else."),
    "no_readme": ("no README in it", "Say in a few words what it is for and in which unit the rate is."),
    "no_sums": ("no SHA256SUMS in it", "Add the checksums, so that a bad copy is seen."),
    "nothing_known": ("holds no prescription", "Put the files of the pass into it."),
    "sum_line": ("line {line} is no checksum and name", "Write it as sha256sum does."),
    "sum_without_file": ("{member} is not there", "Copy all files of the pass."),
    "sum_differs": ("{member} is not what it was when the checksum was made", "Copy it again."),
}

_ALL = _FAULTS | taskdata_faults.FAULTS | layer_faults.FAULTS

SENTENCES: dict[str, str] = {
    "file_checks.checked": "{files} checked, {findings}",
    "file_checks.limits": (
        "held against published descriptions of the formats; no terminal was at hand: try the file on yours"
    ),
    **{f"file_checks.{name}": what for name, (what, _) in _ALL.items()},
    **{f"file_checks.{name}.mend": mend for name, (_, mend) in _ALL.items()},
}
