"""Ways to break a field of the made region, each as somebody or a machine would.

`broken(folder, way)` breaks a whole field; `WAYS` says what its one line must hold and how it ends, `ways()`
which of them work here. All work on a field of `made_region`, small or not. `doubtful` spoils one row of
scouting only.
"""

import json
import os
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import fiona
import numpy as np
import rasterio
from rasterio.transform import Affine
from rasterio.warp import transform
from shapely import get_coordinates
from shapely.geometry import shape

Harm = Callable[[Path], None]
EPSG = 32615  # of images; that of the region


@dataclass(frozen=True, slots=True)
class Way:
    """How a field is broken; the exit code, and words that the message must hold."""

    harm: Harm
    code: int
    words: tuple[str, ...]


def _set(folder: Path, key: str, value: str) -> None:
    """Write a key of field.toml anew; it must be there."""
    path = folder / "field.toml"
    text, times = re.subn(rf"(?m)^{key} = .*$", f"{key} = {value}", path.read_text(encoding="utf-8"), count=1)
    assert times == 1, f"{key} is not in {path}"
    path.write_text(text, encoding="utf-8")


def _before_tables(folder: Path, line: str) -> None:
    path = folder / "field.toml"
    path.write_text(f"{line}\n{path.read_text(encoding='utf-8')}", encoding="utf-8")


def _add(folder: Path, table: str) -> None:
    with (folder / "field.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n{table}\n")


def _scouting(folder: Path, rows: str) -> None:
    """Give the field a file of scouting; it may have another one."""
    (folder / "walked.csv").write_text(rows, encoding="utf-8")
    _add(folder, '[[scouting]]\nfile = "walked.csv"')


def _read(folder: Path, name: str) -> dict:
    return json.loads((folder / name).read_text(encoding="utf-8"))


def _write(folder: Path, name: str, whole: object) -> None:
    (folder / name).write_text(json.dumps(whole), encoding="utf-8")


def _each_corner(change: Callable[[list[float]], list[float]], name: str = "boundary.geojson") -> Harm:
    """Move every corner of a file."""

    def moved(nested: list) -> list:
        return [moved(one) for one in nested] if isinstance(nested[0], list) else change(list(nested))

    def harm(folder: Path) -> None:
        whole = _read(folder, name)
        for feature in whole["features"]:
            feature["geometry"]["coordinates"] = moved(feature["geometry"]["coordinates"])
        _write(folder, name, whole)

    return harm


def _corners(folder: Path) -> np.ndarray:
    """Corners of the boundary, longitude and latitude."""
    feature = _read(folder, "boundary.geojson")["features"][0]
    return get_coordinates(shape(feature["geometry"]))


def _one_ring(folder: Path, ring: list[list[float]]) -> None:
    whole = _read(folder, "boundary.geojson")
    whole["features"] = whole["features"][:1]
    whole["features"][0]["geometry"] = {"type": "Polygon", "coordinates": [ring]}
    _write(folder, "boundary.geojson", whole)


def _no_feature(folder: Path) -> None:
    _write(folder, "boundary.geojson", {"type": "FeatureCollection", "features": []})


def _null_geometry(folder: Path) -> None:
    whole = _read(folder, "boundary.geojson")
    whole["features"][0]["geometry"] = None
    _write(folder, "boundary.geojson", whole)


def _shapefile_without_prj(folder: Path) -> None:
    """Copied to a stick by hand: .shp, .shx and .dbf, not .prj."""
    geometry = _read(folder, "boundary.geojson")["features"][0]["geometry"]
    schema = {"geometry": "Polygon", "properties": {"id": "int"}}
    with fiona.open(
        folder / "edge.shp", "w", driver="ESRI Shapefile", schema=schema, crs="EPSG:4326"
    ) as file:
        file.write({"geometry": geometry, "properties": {"id": 1}})
    (folder / "edge.prj").unlink()
    (folder / "boundary.geojson").unlink()
    _set(folder, "file", '"edge.shp"')


def _there_and_back(folder: Path) -> None:
    """A walk along one edge and back: no ground is left however it is repaired."""
    first, second, *_ = _corners(folder).tolist()
    _one_ring(folder, [first, second, first, second, first])


def _dates_in_words(folder: Path) -> None:
    whole = _read(folder, "planting.geojson")
    for feature in whole["features"]:
        feature["properties"]["planted"] = "second week of May"
    _write(folder, "planting.geojson", whole)


def _no_date_column(folder: Path) -> None:
    whole = _read(folder, "planting.geojson")
    for feature in whole["features"]:
        del feature["properties"]["planted"]
    _write(folder, "planting.geojson", whole)


def _field_toml_a_folder(folder: Path) -> None:
    (folder / "field.toml").unlink()
    (folder / "field.toml").mkdir()


def _boundary_a_folder(folder: Path) -> None:
    (folder / "boundary.geojson").unlink()
    (folder / "boundary.geojson").mkdir()


def _not_allowed(folder: Path) -> None:
    (folder / "field.toml").chmod(0)


def _latin_1(folder: Path) -> None:
    path = folder / "field.toml"
    path.write_bytes(b'variety = "S\xfcdland"\n' + path.read_bytes())


def _cut_settings(folder: Path) -> None:
    """The disk was full: the last line ends in the middle of a text."""
    path = folder / "field.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index('.geojson"')], encoding="utf-8")


def _link_to_itself(name: str) -> Harm:
    def harm(folder: Path) -> None:
        (folder / name).unlink()
        (folder / name).symlink_to(name)

    return harm


def _pipe(name: str) -> Harm:
    """A name at which a program waits for another one that never comes."""

    def harm(folder: Path) -> None:
        (folder / name).unlink(missing_ok=True)
        os.mkfifo(folder / name)

    return harm


def _rubbish(name: str) -> Harm:
    def harm(folder: Path) -> None:
        (folder / name).write_bytes(np.random.default_rng(5).bytes(4096))

    return harm


def _cut(name: str) -> Harm:
    def harm(folder: Path) -> None:
        raw = (folder / name).read_bytes()
        (folder / name).write_bytes(raw[: len(raw) // 2])

    return harm


def _corner_m(folder: Path) -> tuple[float, float]:
    """Southwest corner of the field in the region's plane."""
    x, y = transform("EPSG:4326", f"EPSG:{EPSG}", *_corners(folder).T)
    return min(x), min(y)


def _image(
    folder: Path, corner_m: tuple[float, float], *, bands: int = 3, side: int = 40, crs: bool = True
) -> Path:
    """Add an image of three bands around a place, and name it in field.toml."""
    path = folder / "imagery" / "2026-06-29_drone.tif"
    path.parent.mkdir(exist_ok=True)
    profile = {
        "driver": "GTiff",
        "width": side,
        "height": side,
        "count": bands,
        "dtype": "uint16",
        **(
            {"crs": EPSG, "transform": Affine(10, 0, corner_m[0] - 50, 0, -10, corner_m[1] + 10 * side)}
            if crs
            else {}
        ),
    }
    rng = np.random.default_rng(6)
    with rasterio.open(path, "w", **profile) as file:
        file.write(rng.integers(500, 5000, (bands, side, side)).astype("uint16"))
    _add(
        folder,
        '[[imagery]]\nfile = "imagery/2026-06-29_drone.tif"\n'
        'bands = { red = 1, rededge = 2, nir = 3 }\nscale = 0.0001\nindex = "NDRE"',
    )
    return path


def _image_cut(folder: Path) -> None:
    path = _image(folder, _corner_m(folder), side=400)
    raw = path.read_bytes()
    path.write_bytes(raw[: len(raw) // 3])


def _image_elsewhere(folder: Path) -> None:
    east_m, north_m = _corner_m(folder)
    _image(folder, (east_m - 80_000.0, north_m - 40_000.0))


def _image_without_place(folder: Path) -> None:
    _image(folder, _corner_m(folder), crs=False)


def _image_of_one_band(folder: Path) -> None:
    _image(folder, _corner_m(folder), bands=1)


def _image_no_image(folder: Path) -> None:
    _image(folder, _corner_m(folder)).write_bytes(np.random.default_rng(7).bytes(2000))


def _wide(folder: Path) -> None:
    _one_ring(folder, [[-105.0, 40.0], [-81.0, 40.0], [-81.0, 49.0], [-105.0, 49.0], [-105.0, 40.0]])


def _not_a_number(folder: Path) -> None:
    path = folder / "boundary.geojson"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"(\[\s*-?[\d.]+,\s*)-?[\d.]+", r"\1NaN", text, count=1), encoding="utf-8")


def _two_faults(folder: Path) -> None:
    _set(folder, "row_spacing", '"wide"')
    _before_tables(folder, "colour = 3")


def _settings_and_content(folder: Path) -> None:
    """A fault of a file and one of the settings: those of the settings are told, and come first."""
    _no_feature(folder)
    _set(folder, "maturity_group", "19")


def _no_field_file(folder: Path) -> None:
    (folder / "field.toml").write_bytes(b"")


WAYS: dict[str, Way] = {
    "boundary without a field": Way(_no_feature, 3, ("boundary.geojson",)),
    "boundary without a shape": Way(_null_geometry, 3, ("boundary.geojson",)),
    "boundary without its prj": Way(_shapefile_without_prj, 3, ("edge.shp",)),
    "boundary 100 km off": Way(_each_corner(lambda xy: [xy[0] + 1.3, xy[1]]), 3, ("planting.geojson",)),
    "boundary there and back": Way(_there_and_back, 3, ("boundary.geojson",)),
    "boundary 2,000 km wide": Way(_wide, 3, ("boundary.geojson",)),
    "boundary with a corner that is no number": Way(_not_a_number, 3, ("boundary.geojson",)),
    "boundary with latitude first": Way(_each_corner(lambda xy: xy[::-1]), 3, ("boundary.geojson",)),
    "boundary in metres": Way(_each_corner(lambda xy: [xy[0] * 1e4, xy[1] * 1e5]), 3, ("boundary.geojson",)),
    "boundary rubbish": Way(_rubbish("boundary.geojson"), 3, ("boundary.geojson",)),
    "boundary cut short": Way(_cut("boundary.geojson"), 3, ("boundary.geojson",)),
    "boundary a folder": Way(_boundary_a_folder, 2, ("boundary.geojson",)),
    "boundary a link to itself": Way(_link_to_itself("boundary.geojson"), 2, ("boundary.geojson",)),
    "planting not there": Way(lambda at: (at / "planting.geojson").unlink(), 2, ("planting.geojson",)),
    "planting dates in words": Way(_dates_in_words, 3, ("second week of May",)),
    "planting without dates": Way(_no_date_column, 3, ("planted",)),
    "planting rubbish": Way(_rubbish("planting.geojson"), 3, ("planting.geojson",)),
    "settings with an unknown key": Way(lambda at: _before_tables(at, "colour = 3"), 2, ("colour",)),
    "settings out of range": Way(lambda at: _set(at, "maturity_group", "19"), 2, ("maturity_group",)),
    "settings with two faults": Way(_two_faults, 2, ("colour", "row_spacing")),
    "settings and content at once": Way(_settings_and_content, 2, ("maturity_group",)),
    "settings a folder": Way(_field_toml_a_folder, 2, ("field.toml",)),
    "settings a link to itself": Way(_link_to_itself("field.toml"), 2, ("field.toml",)),
    "settings not for our eyes": Way(_not_allowed, 4, ("field.toml",)),
    "settings not in UTF-8": Way(_latin_1, 2, ("field.toml",)),
    "settings cut short": Way(_cut_settings, 2, ("field.toml",)),
    "settings empty": Way(_no_field_file, 2, ("field.toml", "empty")),
    "settings rubbish": Way(_rubbish("field.toml"), 2, ("field.toml",)),
    "weather not there": Way(
        lambda at: _add(at, '[weather]\ndaily = "my_station.csv"'), 2, ("my_station.csv",)
    ),
    "image cut short": Way(_image_cut, 3, ("2026-06-29_drone.tif",)),
    "image of another place": Way(_image_elsewhere, 3, ("2026-06-29_drone.tif",)),
    "image without a place": Way(_image_without_place, 3, ("2026-06-29_drone.tif",)),
    "image of one band": Way(_image_of_one_band, 2, ("2026-06-29_drone.tif", "band 3")),
    "image that is none": Way(_image_no_image, 3, ("2026-06-29_drone.tif",)),
    "scouting rubbish": Way(
        lambda at: (_scouting(at, ""), _rubbish("walked.csv")(at))[0], 3, ("walked.csv",)
    ),
    "boundary a pipe": Way(_pipe("boundary.geojson"), 2, ("boundary.geojson",)),
    "settings a pipe": Way(_pipe("field.toml"), 2, ("field.toml",)),
    "scouting a pipe": Way(lambda at: (_scouting(at, ""), _pipe("walked.csv")(at))[0], 2, ("walked.csv",)),
    "decisions a pipe": Way(_pipe("decisions.json"), 3, ("decisions.json",)),
    "decisions rubbish": Way(_rubbish("decisions.json"), 3, ("decisions.json",)),
}


# What one row of scouting holds: the field is planned without it, and the plan says so.
DOUBTS: dict[str, tuple[str, str]] = {
    "scouting with a stage that is none": ("2026-07-02,{lat},{lon},R12,3,10", "R12"),
    "scouting with text for a place": ("2026-07-02,north gate,{lon},R3,3,10", "north gate"),
    "scouting with text for a number": ("2026-07-02,{lat},{lon},R3,three,10", "three"),
    "scouting on a day that is none": ("2026-06-31,{lat},{lon},R3,3,10", "2026-06-31"),
    "scouting in another place": ("2026-07-02,44.9,-95.4,R3,3,10", "outside the boundary"),
}


def ways() -> tuple[str, ...]:
    """Name the ways that work here: nothing is hidden from the one who may read all."""
    return tuple(way for way in WAYS if os.geteuid() != 0 or way != "settings not for our eyes")


def broken(folder: Path, way: str) -> Way:
    """Break a whole field in one of the ways of `WAYS`."""
    WAYS[way].harm(folder)
    return WAYS[way]


def doubtful(folder: Path, doubt: str) -> str:
    """Give a field a row of `DOUBTS`; what the plan must say."""
    row, word = DOUBTS[doubt]
    lon, lat = _corners(folder).mean(axis=0)
    _scouting(folder, f"date,lat,lon,stage,k,n\n{row.format(lat=lat, lon=lon)}\n")
    return word
