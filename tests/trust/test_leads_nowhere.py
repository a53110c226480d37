"""Files that name other files or addresses in place of their content: nothing that they name is opened.

A server of this machine counts who comes; the library by itself, handed the same file, does come.
"""

import json
import sqlite3
import subprocess
import sys
import warnings
from contextlib import closing, suppress
from pathlib import Path
from uuid import uuid4

import fiona
import numpy as np
import pyogrio.raw
import pytest
import rasterio
import shapely
from affine import Affine
from made_inputs import EAST, EPSG, GRID, NORTH, TODAY, WEST, Folder
from made_points import asked
from rasterio.errors import RasterioError

from zoning.errors import InputError
from zoning.file_checks import check
from zoning.inputs import signature, vector
from zoning.inputs.harvest.points.read import read as read_points
from zoning.inputs.images import image_file, raster
from zoning.inputs.read import field as read_field

SIZE = 2100  # pixels: so many that overviews would be looked for


# In a process of its own: the library holds this one still while it waits for an answer.
HANG_UP = """
import socket, sys
listening = socket.create_server(("127.0.0.1", 0))
print(listening.getsockname()[1], flush=True)
while True:
    one, _ = listening.accept()
    with open(sys.argv[1], "a") as came:
        came.write("x")
    one.close()
"""


class Listening:
    """Hangs up on whoever comes, and counts them."""

    def __init__(self, folder: Path) -> None:
        self.counted = folder / "came"
        self.counted.touch()
        command = [sys.executable, "-c", HANG_UP, str(self.counted)]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        self.port = int(self.process.stdout.readline())
        self.address = ""

    def begin(self) -> None:
        """Count anew, at an address that the library, which remembers failures, was never given."""
        self.counted.write_text("")
        self.address = f"http://127.0.0.1:{self.port}/{uuid4().hex}"

    @property
    def came(self) -> int:
        return self.counted.stat().st_size

    def end(self) -> None:
        self.process.kill()
        self.process.wait()
        self.process.stdout.close()


@pytest.fixture(scope="module")
def started(tmp_path_factory):
    listening = Listening(tmp_path_factory.mktemp("server"))
    yield listening
    listening.end()


@pytest.fixture
def server(started):
    started.begin()
    return started


def drawn(address: str) -> str:
    """A list of layers that lie elsewhere."""
    layer = f'<OGRVRTLayer name="boundary"><SrcDataSource>/vsicurl/{address}/x</SrcDataSource></OGRVRTLayer>'
    return f"<OGRVRTDataSource>{layer}</OGRVRTDataSource>"


def mosaic(address: str, size: int) -> str:
    """A picture whose pixels lie elsewhere."""
    source = f'<SourceFilename relativeToVRT="0">/vsicurl/{address}/x.tif</SourceFilename>'
    band = f"<SimpleSource>{source}</SimpleSource>"
    return (
        f'<VRTDataset rasterXSize="{size}" rasterYSize="{size}">'
        f'<VRTRasterBand dataType="UInt16" band="1">{band}</VRTRasterBand></VRTDataset>'
    )


def image(path, address="", size=SIZE):
    """A GeoTIFF of the field in small pixels; given an address it says that its overviews lie there."""
    pixel_m = 800 / size
    there = Affine(pixel_m, 0, (WEST + EAST) / 2 - 400, 0, -pixel_m, NORTH + 200)
    about = {"width": size, "height": size, "count": 1, "dtype": "uint16"}
    with rasterio.open(
        path, "w", driver="GTiff", crs=f"EPSG:{EPSG}", transform=there, tiled=True, **about
    ) as to:
        to.write(np.full((size, size), 7, "uint16"), 1)
        if address:
            to.update_tags(ns="OVERVIEWS", OVERVIEW_FILE=f"/vsicurl/{address}/x.tif")
    return path


def inside(folder, address):
    return image(folder / "a.tif", address)


def told_beside(folder, address):
    told = f'<MDI key="OVERVIEW_FILE">/vsicurl/{address}/x.tif</MDI>'
    (folder / "a.tif.aux.xml").write_text(
        f'<PAMDataset><Metadata domain="OVERVIEWS">{told}</Metadata></PAMDataset>'
    )
    return image(folder / "a.tif")


def overviews_beside(folder, address):
    (folder / "a.tif.ovr").write_text(mosaic(address, SIZE // 2))
    return image(folder / "a.tif")


def in_capitals(folder, address):
    (folder / "a.tif.OVR").write_text(mosaic(address, SIZE // 2))
    return image(folder / "a.tif")


def overviews_of_overviews(folder, address):
    image(folder / "b.tif", address, SIZE // 2).replace(folder / "a.tif.ovr")
    return image(folder / "a.tif")


def beside_the_overviews(folder, address):
    image(folder / "a.tif.ovr", size=SIZE // 2)
    (folder / "a.tif.ovr.ovr").write_text(mosaic(address, SIZE // 4))
    return image(folder / "a.tif")


IMAGES = [inside, told_beside, overviews_beside, in_capitals, overviews_of_overviews, beside_the_overviews]


def look_at(path):
    """What the library does by itself."""
    with suppress(RasterioError), rasterio.open(path, driver="GTiff") as source:
        source.overviews(1)
        source.read(1, out_shape=(50, 50))
        with rasterio.open(path, driver="GTiff", overview_level=0) as small:
            small.overviews(1)


@pytest.mark.parametrize("made", IMAGES)
def test_an_image_that_leads_elsewhere_is_refused_and_not_followed(made, server, tmp_path):
    path = made(tmp_path, server.address)
    wanted = raster.Wanted(bands=(1,), combine=lambda parts: parts)
    for do in (
        lambda: raster.onto_grid(path, "a.tif", GRID, wanted),
        lambda: image_file.told(path, "a.tif", [1]),
    ):
        with pytest.raises(InputError, match=r"lie in another file|may lead anywhere") as refused:
            do()
        assert refused.value.where.startswith("a.tif")
        assert refused.value.code == 3
    assert server.came == 0
    look_at(path)
    assert server.came > 0


def test_an_image_with_overviews_of_its_own_beside_it_is_read(tmp_path):
    path = image(tmp_path / "a.tif")
    with rasterio.Env(TIFF_USE_OVR=True), rasterio.open(path, "r+") as source:
        source.build_overviews([2])
    assert (tmp_path / "a.tif.ovr").is_file()
    found = raster.onto_grid(path, "a.tif", GRID, raster.Wanted(bands=(1,), combine=lambda parts: parts))
    assert found.values == pytest.approx(7)


def test_the_checker_of_files_follows_no_image(server, tmp_path):
    path = image(tmp_path / "a.tif", server.address, 300)
    assert "file_checks.tiff_elsewhere" in {one.code for one in check(path).findings}
    assert server.came == 0


# -- shapes and points ---------------------------------------------------------------------------------------


def list_of_layers(folder, address, end):
    path = folder / f"a{end}"
    path.write_text(drawn(address))
    return path


def behind_a_brace(folder, address, end):
    path = folder / f"a{end}"
    path.write_text("{}" + drawn(address))
    return path


def in_a_text(folder, address, end):
    shape = {"type": "Point", "coordinates": [-95.38, 44.31]}
    told = drawn(address).replace('"', "'")
    whole = {"type": "Feature", "properties": {"Flow_lb_s": told}, "geometry": shape}
    path = folder / f"a{end}"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [whole]}))
    return path


def table_elsewhere(folder, address, end):
    """A database with a table whose rows lie elsewhere."""
    path = folder / f"a{end}"
    with closing(sqlite3.connect(path)) as base:
        base.executescript("CREATE TABLE kept (a); PRAGMA writable_schema = 1;")
        sql = f"CREATE VIRTUAL TABLE boundary USING VirtualOGR('/vsicurl/{address}/x.geojson')"
        base.execute("INSERT INTO sqlite_master VALUES ('table', 'boundary', 'boundary', 0, ?)", [sql])
        base.commit()
    return path


SHAPES = [
    *((list_of_layers, end) for end in (".geojson", ".json", ".gpkg", ".shp", ".GPKG", ".SHP")),
    *((made, end) for made in (behind_a_brace, in_a_text) for end in (".geojson", ".json")),
    *((table_elsewhere, end) for end in (".gpkg", ".GPKG")),
]


@pytest.mark.parametrize(("made", "end"), SHAPES)
def test_shapes_that_lie_elsewhere_are_not_followed(made, end, server, tmp_path):
    path = made(tmp_path, server.address, end)
    # the text within a good file is a text: points are asked for columns, a boundary for polygons
    with suppress(InputError):
        found = vector.read(path, path.name, layer="boundary")
        assert made is in_a_text
        assert len(found.features) == 1
    assert vector.has_layer(path, "boundary") is False
    with pytest.raises(InputError) as refused:
        read_points(path, path.name, asked())
    assert all(one.where.startswith(path.name) for one in refused.value.faults)
    assert server.came == 0


@pytest.mark.parametrize("made", [list_of_layers, behind_a_brace, in_a_text])
def test_the_library_by_itself_would_follow_them(made, server, tmp_path):
    path = made(tmp_path, server.address, ".geojson")
    with suppress(ValueError, RuntimeError), warnings.catch_warnings(action="ignore"):
        pyogrio.raw.read(path)
    assert server.came > 0


def test_a_text_with_signs_of_xml_in_points_stays_what_it_was(tmp_path):
    path = tmp_path / "p.geojson"
    shape = json.loads(shapely.to_geojson(shapely.Point(-95.38, 44.31)))
    whole = {"type": "Feature", "properties": {"note": 'a < b, "<i>" \\< é'}, "geometry": shape}
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [whole]}, ensure_ascii=False))
    *_, (notes,) = pyogrio.raw.read(signature.plain_json(path))
    assert notes.tolist() == ['a < b, "<i>" \\< é']


@pytest.mark.parametrize(
    "file",
    [
        "/vsicurl/http://127.0.0.1:{port}/b.geojson",
        "vsicurl/http://127.0.0.1:{port}/b.geojson",
        "http://127.0.0.1:{port}/b.geojson",
        "/vsizip/vsicurl/http://127.0.0.1:{port}/b.zip/b.geojson",
        "WFS:http://127.0.0.1:{port}/b.geojson",
        "GeoJSON:http://127.0.0.1:{port}/b.geojson",
    ],
)
def test_no_setting_names_an_address(file, server, tmp_path):
    folder = Folder(tmp_path)
    name = file.format(port=server.port)
    folder.add(f"[boundary]\nfile = {json.dumps(name)}\n[planting]\ndate = 2026-05-06")
    folder.add(
        f"[[imagery]]\nfile = {json.dumps(name.replace('geojson', 'tif'))}\nbands = {{red = 1, nir = 2}}"
    )
    with pytest.raises(InputError) as refused:
        read_field(folder.settings(), today=TODAY)
    assert refused.value.code == 2
    assert server.came == 0


def test_formats_are_few():
    """By the name of a file only these formats are tried; what else the library can read is not reached."""
    assert set(vector.DRIVERS.values()) == {"GeoJSON", "GPKG", "ESRI Shapefile"}
    assert fiona.supported_drivers.keys() > set(vector.DRIVERS.values())
