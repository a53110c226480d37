"""What offers really open, against what they are said to be made of."""

import shutil
import sys
from datetime import date
from pathlib import Path

import fiona
import pytest
import rasterio
from made_demo import HERON_SLOUGH

from zoning import field as one_field
from zoning.farm.kept import made_of as room
from zoning.settings.read import load

TODAY = date(2026, 7, 8)
_OPENED: list[str] = []
_WATCHED: list[bool] = []


def _watch(event, what):
    if _WATCHED and event == "open" and isinstance(what[0], str):
        _OPENED.append(what[0])


@pytest.fixture
def opened(monkeypatch):
    """Remember what is opened."""
    if not hasattr(_watch, "added"):
        sys.addaudithook(_watch)
        _watch.added = True

    def told(real):
        def open_it(path, *rest, **more):
            _OPENED.append(str(path))
            return real(path, *rest, **more)

        return open_it

    for library, names in ((fiona, ("open", "listlayers")), (rasterio, ("open",))):
        for name in names:
            monkeypatch.setattr(library, name, told(getattr(library, name)))
    _OPENED.clear()
    _WATCHED.append(True)
    yield _OPENED
    _WATCHED.clear()


@pytest.mark.parametrize(
    ("name", "reads"),
    [
        ("heron_slough/three_dates", {"planting.geojson", "layers/past_yield.tif", "../hourly_forecast.csv"}),
        ("heron_slough/level_eighty", {"boundary.shp", "scouting.csv", "../hourly.csv"}),
        ("heron_slough/wet_corner", {"boundary.gpkg", "planted.gpkg"}),
        ("plover_rise/long_eighty", {"applied/zones.gpkg", "strips/design.geojson", "../done.csv"}),
        ("ombu_bend/loma_larga", {"layers/elevation.tif", "../weather.csv"}),
    ],
)
def test_all_that_an_offer_opens_is_in_what_it_is_made_of(tmp_path, opened, name, reads):
    farm_name, _, field = name.partition("/")
    ignored = shutil.ignore_patterns("out", "out.*")
    farm = Path(shutil.copytree(HERON_SLOUGH.parent / farm_name, tmp_path / farm_name, ignore=ignored))
    settings = load(farm / field)
    names = {one.removeprefix("file ") for one in room.made_of(settings, today=TODAY, seed=0, measured=False)}
    opened.clear()
    one_field.offer(farm / field, clock=TODAY, today=settings.as_of)
    # a file that is not there changes what is found as soon as it is
    here = {Path(one) for one in opened if Path(one).is_relative_to(farm) and Path(one).is_file()}
    read = {_seen_from(one, farm / field).as_posix() for one in here} - {"field.toml", "../farm.toml"}
    of_others = {one for one in read if one.startswith("../") and "/" in one.removeprefix("../")}
    assert reads <= read
    assert read - of_others <= names


def _seen_from(path, folder):
    if path.is_relative_to(folder):
        return path.relative_to(folder)
    return Path("..") / path.relative_to(folder.parent)
