"""TASKDATA, GeoPackage, raster and GeoParquet, cut and changed: there are findings, and never a traceback."""

import json
import random

import pytest
from made_layers import geo, gpkg_bytes, parquet_bytes, tiff_bytes
from made_taskdata import FIELD, with_grid, with_polygons

from zoning.file_checks import check
from zoning.file_checks.finding import Finding

GOOD = {
    "P1.gpkg": lambda: gpkg_bytes(),
    "zone.tif": lambda: tiff_bytes(),
    "farm.parquet": lambda: parquet_bytes(),
}
CUTS, FLIPS = 25, 60
ODD = ("", "0", "-1", "1e300", "NaN", "999999999999999999999", "\u0661", "é", "a" * 99, "PFD1", "-93.6")
ODD_JSON = (
    None,
    True,
    0,
    -1.5,
    1e300,
    "",
    "WKB",
    [],
    [[]],
    [None] * 4,
    {},
    {"bbox": 3},
    {"id": 7},
    [1, 2, 3, 4],
)


def found(path):
    checked = check(path)
    assert all(isinstance(one, Finding) and str(one).count("\n") == 0 for one in checked.findings)
    return checked.findings


def changed(data, draw):
    made = bytearray(data)
    for _ in range(draw.randint(1, 8)):
        made[draw.randrange(len(data))] = draw.randrange(256)
    return bytes(made)


@pytest.mark.parametrize("name", GOOD)
def test_a_file_that_ends_too_early_is_told(name, tmp_path):
    data = GOOD[name]()
    for end in range(0, len(data) - 1, len(data) // CUTS):
        (tmp_path / name).write_bytes(data[:end])
        assert found(tmp_path / name), f"{end} of {len(data)} bytes"


@pytest.mark.parametrize("name", GOOD)
def test_changed_bytes_never_end_in_a_traceback(name, tmp_path):
    data, draw = GOOD[name](), random.Random(name)
    (tmp_path / "zones.gpkg").write_bytes(gpkg_bytes(layer="zones"))
    for _ in range(FLIPS):
        (tmp_path / name).write_bytes(changed(data, draw))
        found(tmp_path / name)


@pytest.mark.parametrize("make", [with_polygons, lambda: with_grid(1), lambda: with_grid(2)])
def test_changed_bytes_of_a_folder_never_end_in_a_traceback(make, tmp_path):
    folder = make().write(tmp_path)
    draw = random.Random(len(list(folder.iterdir())))
    good = {path: path.read_bytes() for path in folder.iterdir()}
    for end in range(0, len(good[folder / "TASKDATA.XML"]) - 1, 500):
        (folder / "TASKDATA.XML").write_bytes(good[folder / "TASKDATA.XML"][:end])
        assert found(tmp_path)
    for _ in range(FLIPS):
        for path, data in good.items():
            path.write_bytes(changed(data, draw))
        found(tmp_path)


@pytest.mark.parametrize("make", [with_polygons, lambda: with_grid(1), lambda: with_grid(2)])
def test_odd_attributes_never_end_in_a_traceback(make, tmp_path):
    # The field is known, so that the rules about ground have something to lay the file on.
    draw = random.Random(7)
    for number in range(FLIPS):
        folder = make()
        nodes = list(folder.root.iter())
        for _ in range(draw.randint(1, 6)):
            node = draw.choice(nodes)
            name = draw.choice([*node.attrib, "A", "Z"])
            if draw.random() < 0.3:
                node.attrib.pop(name, None)
            else:
                node.set(name, draw.choice(ODD))
        path = folder.write(tmp_path / str(number))
        assert FIELD.is_valid
        found(path)


def test_odd_metadata_never_end_in_a_traceback(tmp_path):
    draw = random.Random(7)
    path = tmp_path / "farm.parquet"
    for _ in range(FLIPS):
        about = geo()
        places = [about, about["columns"], about["columns"]["geometry"]]
        places += [about["columns"]["geometry"]["covering"], about["columns"]["geometry"]["covering"]["bbox"]]
        for place in draw.sample(places, 2):
            place[draw.choice(sorted(place))] = draw.choice(ODD_JSON)
        path.write_bytes(parquet_bytes(metadata={b"geo": json.dumps(about).encode()}))
        found(path)


def test_odd_cells_of_tables_never_end_in_a_traceback(tmp_path):
    draw = random.Random(7)
    tables = {
        "gpkg_contents": ("table_name", "data_type", "min_x", "max_y", "srs_id"),
        "gpkg_geometry_columns": ("table_name", "column_name", "geometry_type_name", "srs_id"),
        "gpkg_spatial_ref_sys": ("organization", "organization_coordsys_id"),
        "prescription": ("geom", "zone", "rate_gal_ac"),
        "layer_styles": ("f_table_name", "styleQML"),
    }
    values = ("", "'; --", 'a"b', b"\xff\xfe", -1, 2**62, 1e308, "NaN", b"GP\0\3", b"GP\0\1" + b"\0" * 40)
    for number in range(FLIPS):
        queries = []
        for table in draw.sample(sorted(tables), 2):
            column = draw.choice(tables[table])
            query = f"update or ignore {table} set {column} = ? where rowid = ?"
            queries.append((query, (draw.choice(values), draw.randint(1, 3))))
        path = tmp_path / f"{number}.gpkg"
        path.write_bytes(gpkg_bytes(*queries))
        found(path)
