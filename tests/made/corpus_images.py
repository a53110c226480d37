"""Bad images and layers: GeoTIFFs that lie, are damaged, show nothing, or lead elsewhere."""

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import rasterio
from corpus_bases import IMAGE, LAYER, write_raster
from corpus_case import Case
from corpus_harms import outline
from corpus_tiffs import CASES as OF_BYTES
from corpus_tiffs import NORTH_UP, NOWHERE, READ, SIDE, Harm, case
from rasterio.enums import ColorInterp
from rasterio.transform import Affine
from shapely import box
from shapely.affinity import translate
from shapely.geometry import mapping


def canopy(side: int = SIDE) -> np.ndarray:
    """Three bands as of a good image."""
    rng = np.random.default_rng(12)
    middle = np.array([500, 1800, 4000])[:, None, None]
    return (rng.uniform(0.9, 1.1, (3, side, side)) * middle).astype("uint16")


def heights(side: int = SIDE) -> np.ndarray:
    """One band as of a good layer."""
    return np.random.default_rng(13).uniform(300, 320, (1, side, side)).astype("float32")


def image(make: Callable[[], np.ndarray] = canopy, **profile: object) -> Harm:
    """Write the image anew."""
    return lambda field: write_raster(field / IMAGE, make(), **profile)


def layer(make: Callable[[], np.ndarray] = heights, **profile: object) -> Harm:
    """Write the layer anew."""
    return lambda field: write_raster(field / LAYER, make(), **profile)


def renamed(name: str) -> Harm:
    """Call the image otherwise, in the settings too."""

    def harm(field: Path) -> None:
        (field / IMAGE).rename(field / "imagery" / name)
        told = field / "field.toml"
        told.write_text(told.read_text(encoding="utf-8").replace(IMAGE, f"imagery/{name}"), encoding="utf-8")

    return harm


def palette(field: Path) -> None:
    write_raster(field / LAYER, heights().astype("uint8"))
    with rasterio.open(field / LAYER, "r+") as file:
        file.write_colormap(1, {value: (value, 0, 0, 255) for value in range(256)})
        file.colorinterp = [ColorInterp.palette]


def soil(columns: dict[str, object], *lines: str, east_deg: float = 0.0) -> Harm:
    """Name polygons instead of the layer's raster, and what else the settings say of it."""

    def harm(field: Path) -> None:
        whole = translate(outline(field), east_deg)
        parts = [box(-180, -90, whole.centroid.x, 90), box(whole.centroid.x, -90, 180, 90)]
        rows = [
            {"type": "Feature", "properties": columns, "geometry": mapping(whole & part)} for part in parts
        ]
        (field / "layers/soil.geojson").write_text(
            json.dumps({"type": "FeatureCollection", "features": rows})
        )
        stated(field, "layers/soil.geojson", *lines)

    return harm


def stated(field: Path, file: str, *lines: str) -> None:
    """Name another file for the layer, and more of its keys."""
    told = field / "field.toml"
    text = told.read_text(encoding="utf-8").replace(f'"{LAYER}"', "\n".join([f'"{file}"', *lines]))
    told.write_text(text, encoding="utf-8")


def shifted(**by: float) -> Affine:
    """The place of a good image, some of its numbers otherwise."""
    return Affine(*(by.get(name, getattr(NORTH_UP, name)) for name in "abcdef"))


def spotted(value: float) -> Callable[[], np.ndarray]:
    """Heights of which every second is some value."""

    def make() -> np.ndarray:
        found = heights()
        found[:, ::2] = value
        return found

    return make


ELSEWHERE = "the image misses the field. Check that it is of this field, and its CRS."


def told(field: Path, name: str) -> None:
    """Name another image in the settings."""
    path = field / "field.toml"
    path.write_text(path.read_text(encoding="utf-8").replace(IMAGE, name), encoding="utf-8")


CASES: tuple[Case, ...] = (
    case(
        "image turned by 30 degrees",
        image(
            transform=NORTH_UP
            @ Affine.translation(15, 15)
            @ Affine.rotation(30)
            @ Affine.translation(-15, -15)
        ),
        0,
        IMAGE,
    ),
    case(
        "image sheared to a line",
        image(transform=Affine(10, 10, NORTH_UP.c, 10, 10, NORTH_UP.f)),
        3,
        IMAGE,
        "no area",
    ),
    case("layer with pixels of no size", layer(transform=shifted(a=0.0, e=0.0)), 3, LAYER, "no area"),
    case("layer with the south up", layer(transform=shifted(e=10.0, f=NORTH_UP.f - 300)), 0, READ),
    case("layer in degrees that are metres", layer(crs=4326), 3, LAYER, ELSEWHERE),
    case(
        "layer in metres that are degrees",
        layer(transform=Affine(1e-4, 0, -95.49, 0, -1e-4, 43.79)),
        3,
        LAYER,
        ELSEWHERE,
    ),
    case("layer without a CRS", layer(crs=None), 3, LAYER, "no CRS"),
    case(
        "layer in the CRS of a building site", layer(crs='LOCAL_CS["site",UNIT["metre",1]]'), 3, LAYER, "CRS"
    ),
    case(
        "layer of a place at a pole",
        layer(crs=3413, transform=Affine(10, 0, 0, 0, -10, 0)),
        3,
        LAYER,
        "misses the field",
    ),
    case(
        "layer across longitude 180",
        layer(crs=4326, transform=Affine(1e-3, 0, 179.99, 0, -1e-3, 43.8)),
        3,
        LAYER,
        ELSEWHERE,
    ),
    case(
        "image of nothing but nodata",
        image(lambda: canopy() * 0, nodata=0),
        3,
        IMAGE,
        "no data inside the field",
        "nodata value",
    ),
    case(
        "layer of NaN",
        layer(lambda: heights() * np.nan),
        3,
        LAYER,
        "no data inside the field",
        "nodata value",
    ),
    case("layer half of it infinite", layer(spotted(np.inf)), 0, LAYER, "50 %", "1e+30 or more"),
    case("layer half of it beyond any height", layer(spotted(3e38)), 0, LAYER, "50 %", "1e+30 or more"),
    case("layer that is one value", layer(lambda: heights() * 0 + 7), 0, LAYER, "the same everywhere"),
    case("image that is one value", image(lambda: canopy() * 0 + 2000), 0, IMAGE, "the same everywhere"),
    case("image of complex numbers", image(lambda: canopy().astype("complex64")), 3, IMAGE, "complex"),
    case("layer of complex numbers", layer(lambda: heights().astype("complex64")), 3, LAYER, "complex"),
    case("layer of colours of a palette", palette, 3, LAYER, "palette"),
    case(
        "image of a day that was not",
        renamed("2027-02-29_canopy.tif"),
        0,
        "2027-02-29_canopy.tif",
        "is no date",
        "correct the name",
    ),
    case(
        "image of the year 1",
        renamed("0001-01-01_canopy.tif"),
        0,
        "0001-01-01_canopy.tif",
        "before the field was planted",
    ),
    case(
        "image of the year 9999",
        renamed("9999-12-31_canopy.tif"),
        0,
        "9999-12-31_canopy.tif",
        "after 2026-07-08, and is not used",
    ),
    case(
        "layer of one pixel",
        layer(lambda: heights(1), transform=shifted(a=400.0, e=-400.0)),
        0,
        LAYER,
        "400 m wide, is larger than the field",
    ),
    case(
        "layer with pixels of 5 km",
        layer(lambda: heights(3), transform=Affine(5000, 0, NORTH_UP.c - 7000, 0, -5000, NORTH_UP.f + 7000)),
        0,
        LAYER,
        "5,000 m wide, is larger than the field",
    ),
    case(
        "soil by its name",
        soil({"name": "loam"}, 'column = "name"'),
        3,
        "soil.geojson",
        "'loam'",
        "no number",
    ),
    case("soil without a column", soil({"clay": 20}), 2, "field.toml:", "columns with numbers are clay"),
    case("soil with a band", soil({"clay": 20}, "band = 1"), 2, "field.toml:", "polygons have no bands"),
    case(
        "soil of one number", soil({"clay": 20}, 'column = "clay"'), 0, "soil.geojson", "the same everywhere"
    ),
    case(
        "soil of another place",
        soil({"clay": 20}, 'column = "clay"', east_deg=1.0),
        3,
        "soil.geojson",
        "none of its polygons lies inside the field",
    ),
    case(
        "raster with a column", lambda f: stated(f, LAYER, 'column = "z"'), 2, "field.toml:", "only polygons"
    ),
    case(
        "heights in centimetres",
        lambda f: (layer(lambda: heights() * 100)(f), stated(f, LAYER, 'terrain = ["slope"]')),
        0,
        LAYER,
        "are its heights in feet, or in centimetres?",
    ),
    case(
        "image that is a folder",
        lambda f: ((f / IMAGE).unlink(), (f / IMAGE).mkdir()),
        2,
        IMAGE,
        "field.toml:",
        "folder",
    ),
    case(
        "image on the network",
        lambda f: told(f, f"/vsicurl/{NOWHERE}"),
        2,
        "vsicurl",
        "field.toml:",
        "there is no file",
    ),
    case(
        "image in a zip",
        lambda f: told(f, "/vsizip/x.zip/x.tif"),
        2,
        "vsizip",
        "field.toml:",
        "there is no file",
    ),
    *OF_BYTES,
)
