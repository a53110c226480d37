"""Sentences about GeoPackages, rasters and GeoParquet files: what is wrong with one, and how to mend it."""

_ANEW = "Export or copy the file anew."
_LONLAT = "Export again in WGS 84 (EPSG:4326)."

# Name of the rule: what is wrong, and what to do about it.
FAULTS: dict[str, tuple[str, str]] = {
    "gpkg_not_sqlite": ("is no SQLite database, which a GeoPackage is inside", _ANEW),
    "gpkg_broken": ("cannot be read as a database ({why})", _ANEW),
    "gpkg_too_much": ("gives more than {most} rows, or more bytes than it has", _ANEW),
    "gpkg_damaged": ("the database is damaged ({why})", _ANEW),
    "gpkg_application_id": (
        "the header calls the program {id}, not GPKG",
        "Export it as a GeoPackage; a renamed database is none.",
    ),
    "gpkg_new_version": (
        "is written in version {version}, of which older programs warn",
        "Export version 1.3 or older if your program complains.",
    ),
    "gpkg_left_over": (
        "{name} lies beside it: some of the data may be there and not in the file",
        "Close the program that has it open, then copy it again.",
    ),
    "gpkg_keeps_log": (
        "keeps its changes in a log beside it (WAL)",
        "Close it in the program that wrote it; a stick that cannot be written to may refuse it.",
    ),
    "gpkg_no_table": ("has no table {name}", "Export it as a GeoPackage."),
    "gpkg_systems": (
        "the list of coordinate systems has no right row {srs} of {organization}",
        "Export it with other software.",
    ),
    "gpkg_no_layer": ("holds no layer with rows", "Export the map with it."),
    "gpkg_unlisted": ("layer {layer} is missing in {table}", "Export the layer again."),
    "gpkg_no_rows": (
        "layer {layer} is listed, but its table or geometry is not there",
        "Export the layer again.",
    ),
    "gpkg_srs_differs": (
        "layer {layer} has the coordinate system {srs} in one table and {other} in another",
        "Export the layer again.",
    ),
    "gpkg_not_lonlat": ("layer {layer} is in {srs}, not in longitude and latitude on WGS 84", _LONLAT),
    "gpkg_no_key": ("layer {layer} has no whole number as its key", "Export the layer again."),
    "gpkg_index": ("the index of layer {layer} is listed, but not there", "Export the layer again."),
    "gpkg_bounds": (
        "the bounds of layer {layer} are not those of its rows",
        "Export the layer again: programs may open it in the wrong place.",
    ),
    "gpkg_styles_unlisted": (
        "{name} is not in the list of contents, so some programs do not see it",
        "Save the style again from the program that drew it.",
    ),
    "gpkg_style_of_nothing": ("there is a style for layer {layer}, and no such layer", "Delete the style."),
    "gpkg_no_geometry": ("{row} has no geometry", "Delete the row or draw it."),
    "gpkg_bad_blob": ("{row}: its geometry does not begin as in a GeoPackage", "Export the layer again."),
    "gpkg_bad_geometry": ("{row}: its geometry is damaged", "Export the layer again."),
    "gpkg_blob_srs": (
        "{row} is in the coordinate system {srs}, its layer in {other}",
        "Export the layer again.",
    ),
    "gpkg_envelope": (
        "{row}: its envelope is not that of its points",
        "Export the layer again: programs pass over the row where they search.",
    ),
    "gpkg_other_type": ("{row} is a {kind}, its layer holds {wanted}", "Export the layer with one type."),
    "gpkg_heights": ("layer {layer} has heights", "Export it flat: terminals want none."),
    "gpkg_no_rate_column": (
        "layer {layer} has no column for a rate",
        "Add one, as rate_gal_ac or rate_l_ha.",
    ),
    "gpkg_several_rates": (
        "layer {layer} has more than one column that may be the rate ({columns})",
        "Keep one, so that nobody takes the wrong one.",
    ),
    "gpkg_no_unit": (
        "layer {layer}: column {column} does not name its unit",
        "Call it rate_gal_ac or rate_l_ha.",
    ),
    "gpkg_rate_is_text": ("layer {layer}: column {column} holds texts", "Write numbers."),
    "tiff_broken": ("cannot be read as a GeoTIFF", _ANEW),
    "tiff_elsewhere": (
        "says that its overviews lie in another file or address, which may be anything",
        "Export it as one GeoTIFF.",
    ),
    "tiff_too_large": (
        "has {count} cells, more than the {most} that are read",
        "Export one field by itself.",
    ),
    "tiff_no_crs": ("has no coordinate system, or none that leads to a place", "Export it with one."),
    "tiff_no_place": ("does not say where it lies", "Export it with its place on the map."),
    "tiff_rotated": ("its rows do not run from west to east", "Export it with north up."),
    "tiff_north_down": (
        "its rows run from south to north ({step:g} for each row)",
        "Export it with north up: many programs show it upside down.",
    ),
    "tiff_not_metres": ("its coordinates are in {unit}", "Export it in metres (UTM) or in degrees."),
    "tiff_several_bands": ("has {count} bands", "Keep one: programs show the first, or mix them as colours."),
    "tiff_no_nodata": (
        "does not say which number stands for nothing",
        "Set it, else ground outside the field counts as 0.",
    ),
    "tiff_nothing": ("no cell has a value", "Export it again."),
    "tiff_not_finite": (
        "{count} cells hold no finite number, and that is not the one for nothing",
        "Write the number for nothing there.",
    ),
    "tiff_layout": ("is not laid out for the cloud (COG)", "Export it as COG to open it over a network."),
    "tiff_no_overviews": (
        "{rows} rows of {columns} cells without smaller copies for overviews",
        "Add overviews: it opens slowly without.",
    ),
    "tiff_no_colours": (
        "has neither colours inside nor a style (.qml, .sld) beside it",
        "Copy the style with it, else it opens grey.",
    ),
    "tiff_style_broken": ("the style {name} is no whole XML", "Copy or export it anew."),
    "tiff_no_about": ("does not say what it shows", "Write it into the image description."),
    "tiff_off_field": ("does not touch the field", "Look whether its coordinates and its field are right."),
    "tiff_upside_down": (
        "its rows are upside down: {share:.0%} of its cells do not fit the field, turned round {turned:.0%}",
        "Write the northernmost row first.",
    ),
    "tiff_values_beside": (
        "{share:.0%} of its values lie outside the field",
        "Write the number for nothing there.",
    ),
    "tiff_other_values": (
        "{share:.0%} of its cells differ from the plan in zones.gpkg beside it",
        "Make both again, from the same run.",
    ),
    "parquet_other": ("is no Parquet file", _ANEW),
    "parquet_broken": ("is damaged", _ANEW),
    "parquet_no_geo": ("has no metadata about geometry (geo)", "Export it as GeoParquet."),
    "parquet_geo_broken": ("its metadata about geometry are no JSON object", "Export it as GeoParquet."),
    "parquet_version": ("is written in version {version}, which we do not know", "Export version 1.1.0."),
    "parquet_no_primary": ("does not name its column of geometries", "Export it as GeoParquet."),
    "parquet_not_described": ("says nothing about its column {column}", "Export it as GeoParquet."),
    "parquet_no_column": ("tells of a column {column} that it does not have", "Export it again."),
    "parquet_encoding": ("column {column} is encoded as {encoding}", "Export it as WKB."),
    "parquet_not_binary": ("column {column} holds {kind}, not bytes", "Export it as WKB."),
    "parquet_types": (
        "is said to hold {told} and holds {seen}",
        "Export it again, with the types that it holds.",
    ),
    "parquet_crs": ("is in {crs}, not in longitude and latitude on WGS 84", _LONLAT),
    "parquet_box": ("its bounds are not those of its rows", "Export it again."),
    "parquet_no_rows": ("has no rows", "Export it again."),
    "parquet_no_geometry": ("{row} has no geometry", "Delete the row or draw it."),
    "parquet_bad_geometry": ("{row}: its geometry is damaged", "Export it again."),
    "parquet_covering": (
        "its covering names no column for {side}, or one that is not there",
        "Export it again, with boxes or without.",
    ),
    "parquet_boxes": (
        "{row}: {side} of its box is not that of its geometry",
        "Export it again: programs pass over the row where they search.",
    ),
}
