"""A CRS that names a file of datum shifts: it is not opened, though the library by itself would open it."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing, suppress

import numpy as np
import pyproj
import pytest
import rasterio
import shapely
from affine import Affine
from made_inputs import GRID
from made_points import asked
from pyproj.exceptions import ProjError

from zoning.errors import InputError
from zoning.file_checks import check
from zoning.inputs import grid_files, vector
from zoning.inputs.harvest.points.read import read as read_points
from zoning.inputs.images import raster, tiff

DATUM = 'DATUM["d",SPHEROID["WGS 84",6378137,298.257223563]{more}],PRIMEM["Greenwich",0]'
DEGREES = 'UNIT["degree",0.0174532925199433]'
BESIDE = f'GEOGCS["x",{DATUM},{DEGREES}]'
IN_TEXT = (
    f'PROJCS["u",GEOGCS["x",{DATUM.format(more="")},{DEGREES}],PROJECTION["custom_proj4"],UNIT["metre",1],'
    'EXTENSION["PROJ4","+proj=longlat +ellps=clrk66 +nadgrids={file} +no_defs"]]'
)
FIELD = shapely.box(-95.39, 44.30, -95.38, 44.31)

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs a pipe that has a name")


def beside_the_datum(file):
    return BESIDE.format(more=f',EXTENSION["PROJ4_GRIDS","{file}"]')


def in_the_text(file):
    return IN_TEXT.format(file=file)


# Lets a writer in only where somebody reads. In a process of its own: the library holds this one still.
COUNT = """
import contextlib, os, sys, time
pipe, counted = sys.argv[1:]
print("ready", flush=True)
while True:
    with contextlib.suppress(OSError):
        end = os.open(pipe, os.O_WRONLY | os.O_NONBLOCK)
        with open(counted, "a") as to:
            to.write("x")
        os.close(end)  # only now the reader goes on
    time.sleep(0.005)
"""


class Watched:
    """A file that knows whether it was opened: a pipe."""

    def __init__(self, folder):
        self.path, self._counted = folder / "shifts.gsb", folder / "counted"
        os.mkfifo(self.path)
        self._counted.touch()
        command = [sys.executable, "-c", COUNT, str(self.path), str(self._counted)]
        self._process = subprocess.Popen(command, stdout=subprocess.PIPE)
        self._process.stdout.readline()

    @property
    def times(self):
        return self._counted.stat().st_size

    def end(self):
        self._process.kill()
        self._process.wait()
        self._process.stdout.close()


@pytest.fixture
def watched(tmp_path):
    one = Watched(tmp_path)
    yield one
    one.end()


def shapes(path, wkt, kind):
    """A file of shapes, made with a common CRS which is then replaced."""
    import geopandas

    shape = FIELD if kind == "polygon" else FIELD.centroid
    table = geopandas.GeoDataFrame({"Flow_lb_s": [1.0]}, geometry=[shape], crs=4326)
    table.to_file(path, layer="boundary" if path.suffix == ".gpkg" else None)
    if path.suffix == ".shp":
        path.with_suffix(".prj").write_text(wkt)
        return
    with closing(sqlite3.connect(path)) as base:
        told = "definition = ?, organization = 'own', organization_coordsys_id = 9"
        base.execute(f"UPDATE gpkg_spatial_ref_sys SET {told} WHERE srs_id = 4326", [wkt])
        base.commit()


@pytest.mark.parametrize("named", [beside_the_datum, in_the_text])
@pytest.mark.parametrize("end", [".shp", ".gpkg"])
def test_shapes_whose_crs_names_a_file_are_refused_and_it_is_not_opened(named, end, watched, tmp_path):
    path = tmp_path / f"a{end}"
    shapes(path, named(watched.path), "polygon")
    with pytest.raises(InputError, match="leans on another file") as refused:
        vector.read(path, path.name, layer="boundary")
    assert refused.value.where == path.name
    assert refused.value.code == 3
    for old in tmp_path.glob("a.*"):
        old.unlink()
    shapes(path, named(watched.path), "point")
    with pytest.raises(InputError, match="leans on another file"):
        read_points(path, path.name, asked())
    assert watched.times == 0


def image(path, wkt):
    about = {
        "width": 4,
        "height": 4,
        "count": 1,
        "dtype": "uint8",
        "transform": Affine(10, 0, 5e5, 0, -10, 5e6),
    }
    with rasterio.open(path, "w", driver="GTiff", crs="EPSG:32615", **about) as to:
        to.write(np.ones((1, 4, 4), "uint8"))
    told = wkt.replace('"', "&quot;").replace("grids", "gri&#100;s")
    path.with_name(f"{path.name}.aux.xml").write_text(f"<PAMDataset><SRS>{told}</SRS></PAMDataset>")


def test_an_image_whose_crs_names_a_file_is_refused_and_it_is_not_opened(watched, tmp_path):
    path = tmp_path / "a.tif"
    image(path, in_the_text(watched.path))
    wanted = raster.Wanted(bands=(1,), combine=lambda parts: parts)
    with pytest.raises(InputError, match="leans on another file") as refused:
        raster.onto_grid(path, path.name, GRID, wanted)
    assert refused.value.where == "a.tif.aux.xml"
    check(path)
    assert watched.times == 0


def test_the_model_of_a_camera_is_no_file(tmp_path):
    path = tmp_path / "a.tif"
    image(path, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]]]')
    beside = path.with_name("a.tif.aux.xml")
    camera = '<Metadata domain="xml:XMP"><x Model="M" file="a"/></Metadata></PAMDataset>'
    beside.write_text(beside.read_text().replace("</PAMDataset>", camera))
    with tiff.opened(path, path.name) as source:
        assert source.count == 1


@pytest.mark.parametrize("named", [beside_the_datum, in_the_text])
def test_the_library_by_itself_would_open_it(named, watched):
    with suppress(ProjError):
        pyproj.Transformer.from_crs(named(watched.path), "EPSG:4267").transform(44.3, -95.4)
    assert watched.times > 0


@pytest.mark.parametrize("epsg", [3857, 4267, 4269, 26915, 26847, 32615, 2264, 6588])
@pytest.mark.parametrize("version", ["WKT1_GDAL", "WKT1_ESRI", "WKT2_2019"])
def test_no_crs_in_use_is_taken_for_one_that_names_a_file(epsg, version):
    """Degrees and metres and feet; one of them names "no file" in so many words."""
    wkt = pyproj.CRS.from_epsg(epsg).to_wkt(version)
    assert not grid_files.is_named_in(wkt)
    grid_files.refuse(wkt, "a.shp")


@pytest.mark.parametrize(
    "told",
    [
        "+nadgrids=@null,/a/b.gsb",
        "+nadgrids=@null/../b.gsb",
        "+proj=hgridshift +GRIDS = b.tif",
        "+geoidgrids=b.gtx",
        "+init=/a/b:1",
        "+proj=tinshift +file=b.json",
        "+proj=defmodel +model=b.json",
        'PARAMETERFILE["Latitude and longitude difference file","b.gsb"]',
    ],
)
def test_every_way_to_name_a_file_is_seen(told):
    assert grid_files.is_named_in(f'EXTENSION["PROJ4","{told}"]')
