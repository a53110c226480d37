"""A good `out` folder with the files of one pass, made once; each test spoils a copy."""

import shutil

import pytest
from made_plans import Made, made_plan, smooth_field
from made_sets import zip_of

from zoning.prescription import shapefile
from zoning.prescription.of_a_pass import geojson, operator

ENDS = (".shp", ".shx", ".dbf", ".prj", ".cpg")


@pytest.fixture(scope="session")
def good(tmp_path_factory):
    folder = tmp_path_factory.mktemp("good")
    labels, blocks = smooth_field(3, shape=(40, 39), hole=True)
    plan = made_plan(Made(labels=labels, block_of_zone=blocks, cell_m=20, pass_of_zone={1: 1, 3: 1}))
    for one in (shapefile, operator, geojson):
        one.write(plan, folder)
    own = folder / "passes" / "P1"
    for path in own.iterdir():
        if path.suffix not in (*ENDS, ".geojson"):
            path.unlink()
    names = {path.name: path.read_bytes() for path in own.iterdir() if path.suffix in ENDS}
    zip_of(own / "P1_0706.zip", {**names, "README.txt": b"US gal/ac of spray mix\n"})
    return folder


@pytest.fixture
def out(good, tmp_path):
    return shutil.copytree(good, tmp_path / "out")
