"""Styles inside a GeoPackage: the table `layer_styles`, from which a layer opens already styled.

The table is a convention, not part of the standard: one row a layer, with the text for one family of programs
and the open one side by side. Written by sqlite in memory, so that no file is touched.
"""

from collections.abc import Mapping
from contextlib import closing
from datetime import date

from zoning.prescription.styles import qml, sld
from zoning.prescription.styles.style import Style

TABLE = "layer_styles"
_MAKE = f"""
CREATE TABLE {TABLE} (
  id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  f_table_catalog TEXT(256),
  f_table_schema TEXT(256),
  f_table_name TEXT(256),
  f_geometry_column TEXT(256),
  styleName TEXT(30),
  styleQML TEXT,
  styleSLD TEXT,
  useAsDefault BOOLEAN,
  description TEXT,
  owner TEXT(30),
  ui TEXT(30),
  update_time DATETIME
)
"""
_ROW = f"""
INSERT INTO {TABLE} (
  f_table_catalog, f_table_schema, f_table_name, f_geometry_column, styleName, styleQML, styleSLD,
  useAsDefault, description, owner, ui, update_time
) VALUES ('', '', ?, ?, ?, ?, ?, 1, ?, '', '', ?)
"""
# What the file says of itself stands with every table.
_LISTED = f"""
INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change, srs_id)
SELECT '{TABLE}', 'attributes', '{TABLE}', description, ?, 0 FROM gpkg_contents ORDER BY rowid LIMIT 1
"""


def with_styles(gpkg: bytes, styles: Mapping[str, Style], today: date) -> bytes:
    """Put styles into a GeoPackage.

    Parameters
    ----------
    gpkg : bytes
        A whole GeoPackage without such a table.
    styles : mapping of str to Style
        By the name of the layer; those of layers that it does not hold are left out.
    today : date
        The day that the table gives as its last change: same input, same bytes.

    Returns
    -------
    bytes
        The GeoPackage with the table.
    """
    import sqlite3  # its library is slow to load, and most commands write no file

    when = f"{today.isoformat()}T00:00:00.000Z"
    with closing(sqlite3.connect(":memory:")) as base:
        base.deserialize(gpkg)
        places = dict(base.execute("SELECT table_name, column_name FROM gpkg_geometry_columns"))
        rows = [
            (layer, places[layer], style.name, qml.of_style(style), sld.of_style(style), style.name, when)
            for layer, style in styles.items()
            if layer in places
        ]
        base.execute(_MAKE)
        base.executemany(_ROW, rows)
        base.execute(_LISTED, (when,))
        base.commit()
        return base.serialize()
