"""GeoPackages, rasters and GeoParquet files made by hand, good ones: nothing here uses the project's writers.

The ground is that of made_taskdata: an L of three squares of 150 m.
"""

import io
import json
import sqlite3
import struct
import warnings
from contextlib import closing

import numpy as np
import pyarrow as pa
import shapely
from made_taskdata import EAST, FIELD, LOW, TOP
from pyarrow import parquet
from pyproj import Transformer
from rasterio import Affine
from rasterio.features import rasterize
from rasterio.io import MemoryFile
from rasterio.shutil import copy as copy_raster

ZONES = ((1, LOW, 20.0), (2, EAST, 15.0), (3, TOP, 0.0))
EPSG, CELL_M = 32615, 10.0
_TABLES = """
create table gpkg_spatial_ref_sys (srs_name text not null, srs_id integer primary key,
 organization text not null, organization_coordsys_id integer not null, definition text not null);
insert into gpkg_spatial_ref_sys values ('none', -1, 'NONE', -1, 'undefined'),
 ('none', 0, 'NONE', 0, 'undefined'),
 ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84"]');
create table gpkg_contents (table_name text primary key, data_type text, identifier text, last_change text,
 min_x double, min_y double, max_x double, max_y double, srs_id integer);
create table gpkg_geometry_columns (table_name text, column_name text, geometry_type_name text,
 srs_id integer, z integer, m integer);
create table gpkg_extensions (table_name text, column_name text, extension_name text, definition text,
 scope text);
create table layer_styles (id integer primary key, f_table_name text, styleQML text);
insert into gpkg_contents (table_name, data_type, srs_id) values ('layer_styles', 'attributes', 0);
"""


def blob(shape, srs=4326, wkb=None):
    """The bytes of a geometry as a GeoPackage holds them, with an envelope."""
    west, south, east, north = shape.bounds
    head = b"GP" + bytes([0, 0b11]) + struct.pack("<i4d", srs, west, east, south, north)
    return head + (shapely.to_wkb(shape, byte_order=1) if wkb is None else wkb)


def base_of(layer="prescription", shapes=ZONES):
    """An open database in memory that is a GeoPackage with one layer."""
    base = sqlite3.connect(":memory:")
    base.executescript(_TABLES)
    base.execute(f"pragma application_id = {0x47504B47}")
    base.execute("pragma user_version = 10300")
    base.execute(f"create table {layer} (fid integer primary key, geom polygon, zone integer,"
                 " rate_gal_ac double, net_usd_ac_mean double)")  # fmt: skip
    for zone, shape, rate in shapes:
        base.execute(
            f"insert into {layer} values (?, ?, ?, ?, ?)", (zone, blob(shape), zone, rate, 10.0 * zone)
        )
    bounds = shapely.total_bounds([shape for _, shape, _ in shapes]).tolist()
    base.execute("insert into gpkg_contents values (?, 'features', ?, '2026-07-01T00:00:00Z', ?, ?, ?, ?,"
                 " 4326)", (layer, layer, *bounds))  # fmt: skip
    base.execute("insert into gpkg_geometry_columns values (?, 'geom', 'POLYGON', 4326, 0, 0)", (layer,))
    base.execute("insert into layer_styles (f_table_name, styleQML) values (?, '<qgis/>')", (layer,))
    return base


def gpkg_bytes(*queries, layer="prescription", shapes=ZONES):
    """A GeoPackage on which queries were run; a query is a text, or a text and its values."""
    with closing(base_of(layer, shapes)) as base:
        for query in queries:
            base.execute(*((query,) if isinstance(query, str) else query))
        base.commit()
        return base.serialize()


def in_metres(shape):
    """A shape in the raster's metres."""
    turned = Transformer.from_crs(4326, EPSG, always_xy=True)
    return shapely.transform(shape, lambda at: np.column_stack(turned.transform(at[:, 0], at[:, 1])))


def zone_cells():
    """Zone number of each cell, north up, and the transform; 0 outside."""
    west, south, east, north = in_metres(FIELD).bounds
    shape = (int((north - south) // CELL_M) + 1, int((east - west) // CELL_M) + 1)
    to_m = Affine(CELL_M, 0, west, 0, -CELL_M, north)
    shapes = [(in_metres(shape), zone) for zone, shape, _ in ZONES]
    return rasterize(shapes, out_shape=shape, transform=to_m, fill=0, dtype="uint8"), to_m


def tiff_bytes(edit=None, *, cells=None, cog=True, colours=True, about="zones", **profile):
    """A raster of zone numbers; `edit` is run on the open file, `profile` replaces what is written."""
    made, to_m = zone_cells()
    made = made if cells is None else cells(made)
    made = made[np.newaxis] if made.ndim == 2 else made
    about = {"TIFFTAG_IMAGEDESCRIPTION": about} if about else {}
    settings = {
        **{"driver": "GTiff", "height": made.shape[1], "width": made.shape[2], "count": made.shape[0]},
        **{"dtype": made.dtype, "crs": f"EPSG:{EPSG}", "transform": to_m, "nodata": 0},
        **profile,
    }
    with warnings.catch_warnings(), MemoryFile() as plain, MemoryFile() as cloud:
        warnings.simplefilter("ignore")  # of a raster that shall have no place
        with plain.open(**{key: value for key, value in settings.items() if value is not None}) as file:
            file.write(made)
            file.update_tags(**about)
            if colours:
                file.write_colormap(1, {zone: (50 * zone, 90, 90, 255) for zone in range(1, 4)})
            if edit is not None:
                edit(file)
        if not cog:
            return plain.read()
        copy_raster(plain.name, cloud.name, driver="COG", OVERVIEWS="NONE")
        return cloud.read()


def geo():
    """Metadata of a good GeoParquet file."""
    west, south, east, north = FIELD.bounds
    sides = {side: ["bbox", side] for side in ("xmin", "ymin", "xmax", "ymax")}
    column = {
        "encoding": "WKB",
        "geometry_types": ["Polygon"],
        "crs": {"type": "GeographicCRS", "name": "WGS 84", "id": {"authority": "EPSG", "code": 4326}},
        "bbox": [west, south, east, north],
        "covering": {"bbox": sides},
    }
    return {"version": "1.1.0", "primary_column": "geometry", "columns": {"geometry": column}}


def parquet_bytes(about=None, *, shapes=None, boxes=None, geometry=None, metadata=None):
    """A GeoParquet file; each argument replaces one thing of a good one."""
    shapes = [shape for _, shape, _ in ZONES] if shapes is None else shapes
    known = (
        [shape.bounds if shape is not None else (None,) * 4 for shape in shapes] if boxes is None else boxes
    )
    sides = ("xmin", "ymin", "xmax", "ymax")
    kind = pa.struct([(side, pa.float64()) for side in sides])
    columns = {
        "zone": pa.array(range(len(shapes)), pa.int32()),
        "geometry": geometry if geometry is not None else pa.array(
            [None if shape is None else shapely.to_wkb(shape) for shape in shapes], pa.binary()),
        "bbox": pa.array([dict(zip(sides, box, strict=True)) for box in known], kind),
    }  # fmt: skip
    table = pa.table(columns)
    raw = {b"geo": json.dumps(geo() if about is None else about).encode()} if metadata is None else metadata
    made = io.BytesIO()
    parquet.write_table(table.replace_schema_metadata(raw), made)
    return made.getvalue()
