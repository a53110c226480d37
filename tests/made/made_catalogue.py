"""A catalogue of invented scenes on loopback: a STAC API over local COGs, that counts what is asked of it.

Written from the standards alone; shares no code with what asks. `ways` makes an answer go wrong: a path ->
how, as a status, "half" (ends in the middle), "html" (a page instead), "slow" or "lost" (no answer), "around"
(leads to itself), "later" (asks to wait a day), "endless" (spaces that do not end) or bytes (these instead).
"""

import contextlib
import json
import threading
import time
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import numpy as np
import rasterio
from rasterio import Affine
from rasterio.io import MemoryFile
from rasterio.shutil import copy

EPSG = 32615
SLOW_S = 4.0  # until a slow answer comes
COLLECTION = "sentinel-2-l2a"
# Reflectance of what grows there, and of bare ground: red, first red edge, near infrared.
CANOPY, SOIL = {"red": 0.04, "rededge1": 0.10, "nir": 0.45}, {"red": 0.18, "rededge1": 0.20, "nir": 0.25}
WAVES = {"red": 0.665, "rededge1": 0.704, "nir": 0.833}
COMMON = {"red": "red", "rededge1": "rededge", "nir": "nir"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """Where scenes lie: the corner of the tile in EPSG:32615 and its side, in pixels of 10 m."""

    name: str
    west_m: float
    north_m: float
    side: int = 256

    def frame(self, pixel_m: float = 10.0) -> tuple[Affine, int]:
        """The place of its pixels and how many there are on a side."""
        return Affine(pixel_m, 0, self.west_m, 0, -pixel_m, self.north_m), int(self.side * 10 / pixel_m)


TILE = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0)


@dataclass(kw_only=True)
class Catalogue:
    """What the server has, and what was asked of it."""

    folder: Path
    items: list[dict] = field(default_factory=list)
    ways: dict[str, object] = field(default_factory=dict)
    collection: dict = field(default_factory=dict)
    landing: dict | None = None
    page: int = 100
    asked: list[tuple[str, str]] = field(default_factory=list)
    sent: dict[str, int] = field(default_factory=dict)
    address: str = ""

    def bytes_of(self, end: str = ".tif") -> int:
        """How many bytes of files were sent."""
        return sum(count for path, count in self.sent.items() if path.endswith(end))

    def forget(self) -> None:
        """Count anew."""
        self.asked.clear()
        self.sent.clear()


def cog(path: Path, values: np.ndarray, transform: Affine, *, block: int = 512, epsg: int = EPSG) -> None:
    """Write a band as a cloud-optimised GeoTIFF: 0 is no data."""
    shape = {"height": values.shape[0], "width": values.shape[1]}
    with MemoryFile() as made:
        with made.open(
            driver="GTiff", count=1, dtype=values.dtype, crs=epsg, transform=transform, nodata=0, **shape
        ) as file:
            file.write(values, 1)
        path.parent.mkdir(parents=True, exist_ok=True)
        with made.open() as file:
            options = {"BLOCKSIZE": block, "COMPRESS": "DEFLATE", "PREDICTOR": 2, "NUM_THREADS": 1}
            copy(file, path, driver="COG", OVERVIEW_RESAMPLING="AVERAGE", **options)


def green(tile: Tile, pixel_m: float) -> np.ndarray:
    """Share of canopy on each pixel of a tile, the same ground in every tile: a wave over 400 m."""
    transform, side = tile.frame(pixel_m)
    east = transform.c + (np.arange(side) + 0.5) * pixel_m
    north = transform.f - (np.arange(side) + 0.5) * pixel_m
    return 0.7 + 0.3 * np.sin(east[None, :] / 400 * 2 * np.pi) * np.sin(north[:, None] / 400 * 2 * np.pi)


def scene(
    made: Catalogue,
    tile: Tile,
    day: str,
    *,
    classes=None,
    offset: int = -1000,
    says: object = "offset",
    seed: int = 0,
    version: int = 0,
    noise: float = 0.002,
    block: int = 512,
) -> dict:
    """Make the files of a scene and its item.

    `classes` changes the scene classification in its place, given the array and the tile; `offset` is what
    must be added to the counts; `says` is what the item says of it: "offset" (rightly), "none", "taken off"
    or "not taken off" (a flag, right or wrong), or a number that stands for the offset of its bands.
    """
    rng = np.random.default_rng([seed, int(day.replace("-", "")), version])
    name = f"S2_{tile.name}_{day.replace('-', '')}_{version}_L2A"
    assets = {}
    for band in CANOPY:
        pixel_m = 20.0 if band == "rededge1" else 10.0
        share = green(tile, pixel_m)
        reflectance = share * CANOPY[band] + (1 - share) * SOIL[band] + rng.normal(0, noise, share.shape)
        counts = np.rint(reflectance * 10_000 - offset).clip(1, 65_535).astype(np.uint16)
        cog(made.folder / name / f"{band}.tif", counts, tile.frame(pixel_m)[0], block=block)
        told = {"nodata": 0, "data_type": "uint16"}
        if says == "offset":
            told |= {"scale": 0.0001, "offset": offset * 0.0001}
        elif isinstance(says, float):
            told |= {"scale": 0.0001, "offset": says}
        assets[band] = {
            "href": f"/files/{name}/{band}.tif",
            "type": "image/tiff; application=geotiff; profile=cloud-optimized",
            "eo:bands": [{"name": band, "common_name": COMMON[band], "center_wavelength": WAVES[band]}],
            "raster:bands": [told],
        }
    transform, side = tile.frame(20.0)
    mask = np.full((side, side), 4, dtype=np.uint8)
    if classes is not None:
        classes(mask, tile)
    cog(made.folder / name / "scl.tif", mask, transform, block=block)
    assets["scl"] = {"href": f"/files/{name}/scl.tif", "type": "image/tiff; application=geotiff"}
    assets["thumbnail"] = {"href": f"/files/{name}/small.jpg", "type": "image/jpeg"}
    assets["red-jp2"] = {"href": "s3://elsewhere/red.jp2", "type": "image/jp2"}
    flags = {"taken off": True, "not taken off": False}
    told = {
        "datetime": f"{day}T17:05:12.024000Z",
        "updated": f"{day}T2{version}:00:00Z",
        "eo:cloud_cover": 20.0,
        "grid:code": f"MGRS-{tile.name}",
        "s2:processing_baseline": "05.09",
        **({"earthsearch:boa_offset_applied": flags[says]} if says in flags else {}),
    }
    return _item(made, tile, name, told, assets)


def _item(made: Catalogue, tile: Tile, name: str, told: dict, assets: dict) -> dict:
    """Put an item into a catalogue."""
    item = {
        "type": "Feature",
        "stac_version": "1.0.0",
        "id": name,
        "collection": COLLECTION,
        "geometry": _footprint(tile),
        "bbox": _bbox(tile),
        "properties": told,
        "links": [],
        "assets": assets,
    }
    made.items.append(item)
    return item


def landsat(made: Catalogue, tile: Tile, day: str) -> dict:
    """Make a scene of another satellite: pixels of 30 m, no red edge, a mask of bits, counts of its own."""
    name = f"LC09_{tile.name}_{day.replace('-', '')}"
    transform, side = tile.frame(30.0)
    share, assets = green(tile, 30.0), {}
    for key, band, common in (("red", "red", "red"), ("nir08", "nir", "nir08")):
        values = share * CANOPY[band] + (1 - share) * SOIL[band]
        counts = np.rint((values + 0.2) / 0.0000275).astype(np.uint16)
        cog(made.folder / name / f"{key}.TIF", counts, transform)
        told = {"eo:bands": [{"name": key, "common_name": common}]}
        assets[key] = {"href": f"/files/{name}/{key}.TIF", "type": "image/vnd.stac.geotiff", **told}
    mask = np.full((side, side), 21824, dtype=np.uint16)  # clear, nothing else
    mask[:3] = 22280  # cloud
    cog(made.folder / name / "qa_pixel.TIF", mask, transform)
    assets["qa_pixel"] = {"href": f"/files/{name}/qa_pixel.TIF"}
    told = {"datetime": f"{day}T17:05:12Z", "landsat:wrs_path": "028", "landsat:wrs_row": "029"}
    return _item(made, tile, name, told, assets)


def _bbox(tile: Tile) -> list[float]:
    from rasterio.warp import transform_bounds

    south = tile.north_m - tile.side * 10
    bounds = (tile.west_m, south, tile.west_m + tile.side * 10, tile.north_m)
    return list(transform_bounds(f"EPSG:{EPSG}", "EPSG:4326", *bounds))


def _footprint(tile: Tile) -> dict:
    west, south, east, north = _bbox(tile)
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring]}


class _Answers(BaseHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def __init__(self, *more, made: Catalogue) -> None:
        self.made = made
        super().__init__(*more)

    def log_message(self, *_: object) -> None:
        pass

    def do_GET(self) -> None:
        self._answer(b"")

    def do_HEAD(self) -> None:
        self._answer(b"", is_head=True)

    def do_POST(self) -> None:
        self._answer(self.rfile.read(int(self.headers.get("Content-Length", 0))))

    def _answer(self, body: bytes, *, is_head: bool = False) -> None:
        path = self.path.partition("?")[0]
        self.made.asked.append((path, "head" if is_head else self.headers.get("Range", "")))
        way = self.made.ways.get(path)
        if isinstance(way, list):  # how it goes wrong, time by time
            way = way.pop(0) if way else None
        if self._goes_wrong(path, way):
            return None
        if path.startswith("/files/"):
            return self._file(path, way, is_head=is_head)
        if path == "/":
            told = self.made.landing or self._landing()
        elif path == f"/collections/{COLLECTION}":
            told = self._collection()
        elif path == "/search":
            told = self._search(json.loads(body or b"{}"))
        else:
            return self._send(b"{}", status=404)
        content = json.dumps(told).encode()
        return self._send(content[: len(content) // 2] if way == "half" else content)

    def _goes_wrong(self, path: str, way: object) -> bool:
        """Answer something else, or nothing; False where the answer itself is to follow."""
        sent = {
            "html": {"content": b"<html><body>Sign in</body></html>", "kind": "text/html"},
            "around": {"content": b"", "status": 302, "more": {"Location": path}},
            "later": {"content": b"{}", "status": 429, "more": {"Retry-After": "86400"}},
        }
        if way == "slow":
            time.sleep(SLOW_S)
        elif way == "lost":
            self.close_connection = True
        elif way == "endless":
            self._endless()
        elif isinstance(way, int):
            self._send(b"{}", status=way, more={"Retry-After": "0"} if way == 429 else {})
        elif isinstance(way, bytes):
            self._send(way)
        elif way in sent:
            self._send(**sent[way])
        return way not in (None, "slow", "half", "spoilt")

    def _send(self, content: bytes, *, status: int = 200, kind: str = "application/json", more=None) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        for name, value in (more or {}).items():
            self.send_header(name, value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def _endless(self) -> None:
        self.close_connection = True
        self.send_response(200)
        self.send_header("Content-Type", "application/json")
        self.end_headers()
        with contextlib.suppress(OSError):  # who asks has enough
            while True:
                self.wfile.write(b" " * 65_536)

    def _file(self, path: str, way: object, *, is_head: bool) -> None:
        file = self.made.folder / path.removeprefix("/files/")
        if not file.is_file():
            return self._send(b"", status=404)
        size, asked = file.stat().st_size, self.headers.get("Range", "")
        first, last = 0, size - 1
        if asked.startswith("bytes="):
            begin, _, end = asked.removeprefix("bytes=").partition("-")
            first, last = int(begin), min(int(end or last), last)
        with file.open("rb") as stream:
            stream.seek(first)
            part = stream.read(0 if is_head else last + 1 - first)
        if way == "spoilt":  # its head is right, what follows is not
            right = max(0, 2 * size // 3 - first)
            part = part[:right] + b"\xff" * (len(part) - right)
        self.send_response(206 if asked else 200)
        self.send_header("Content-Type", "image/tiff")
        self.send_header("Accept-Ranges", "bytes")
        self.send_header("Content-Range", f"bytes {first}-{last}/{size}")
        self.send_header("Content-Length", str(last + 1 - first))
        self.end_headers()
        if is_head:
            return None
        if way == "half":
            part = part[: len(part) // 2]
            self.close_connection = True
        self.wfile.write(part)
        self.made.sent[path] = self.made.sent.get(path, 0) + len(part)
        return None

    def _landing(self) -> dict:
        here = self.made.address
        core = "https://api.stacspec.org/v1.0.0"
        return {
            "type": "Catalog",
            "id": "invented",
            "stac_version": "1.0.0",
            "description": "Invented scenes.",
            "conformsTo": [f"{core}/core", f"{core}/collections", f"{core}/item-search"],
            "links": [
                {"rel": "self", "href": f"{here}/"},
                {"rel": "root", "href": f"{here}/"},
                {"rel": "data", "href": f"{here}/collections"},
                {"rel": "search", "href": f"{here}/search", "method": "POST", "type": "application/geo+json"},
            ],
        }

    def _collection(self) -> dict:
        return {
            "type": "Collection",
            "id": COLLECTION,
            "stac_version": "1.0.0",
            "description": "Invented scenes.",
            "license": "CC-BY-4.0",
            "providers": [{"name": "An invented agency"}],
            "extent": {
                "spatial": {"bbox": [[-180, -90, 180, 90]]},
                "temporal": {"interval": [["2015-01-01T00:00:00Z", None]]},
            },
            "links": [],
            **self.made.collection,
        }

    def _search(self, asked: dict) -> dict:
        first, last = (
            datetime.fromisoformat(one.replace("Z", "+00:00")) for one in asked["datetime"].split("/")
        )
        west, south, east, north = _around(asked["intersects"]["coordinates"][0])
        found = [
            self._whole(one)
            for one in self.made.items
            if first <= datetime.fromisoformat(one["properties"]["datetime"]).astimezone(UTC) <= last
            and one["bbox"][0] <= east
            and one["bbox"][2] >= west
            and one["bbox"][1] <= north
            and one["bbox"][3] >= south
        ]
        begin = int(asked.get("token", 0))
        page = found[begin : begin + self.made.page]
        links = []
        if begin + self.made.page < len(found):
            body = {"token": str(begin + self.made.page)}
            links = [
                {
                    "rel": "next",
                    "href": f"{self.made.address}/search",
                    "method": "POST",
                    "merge": True,
                    "body": body,
                }
            ]
        return {"type": "FeatureCollection", "features": page, "links": links}

    def _whole(self, item: dict) -> dict:
        """An item with the address of the server in front of its own files."""
        here = self.made.address
        assets = {
            key: {**one, "href": f"{here}{one['href']}"} if str(one.get("href", "")).startswith("/") else one
            for key, one in item["assets"].items()
        }
        return {**item, "assets": assets}


def _around(ring: list) -> tuple[float, float, float, float]:
    east, north = zip(*((one[0], one[1]) for one in ring), strict=True)
    return min(east), min(north), max(east), max(north)


class _Server(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, request: object, client_address: object) -> None:
        """Nothing: who asks breaks off where it has enough."""


@contextlib.contextmanager
def served(made: Catalogue):
    """Serve a catalogue on a free port of loopback."""
    server = _Server(("127.0.0.1", 0), partial(_Answers, made=made))
    made.address = f"http://127.0.0.1:{server.server_address[1]}"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield made
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def field_folder(folder: Path, west_m: float, north_m: float, side_m: float = 806.0) -> Path:
    """A field that has only a boundary and a planting date: a square of 65 ha unless told."""
    from pyproj import Transformer

    to_deg = Transformer.from_crs(EPSG, 4326, always_xy=True)
    corners = [(0, 0), (side_m, 0), (side_m, -side_m), (0, -side_m), (0, 0)]
    ring = [list(to_deg.transform(west_m + east, north_m + north)) for east, north in corners]
    folder.mkdir(parents=True)
    shape = {"type": "Polygon", "coordinates": [ring[::-1]]}
    told = {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": {}, "geometry": shape}],
    }
    (folder / "boundary.geojson").write_text(json.dumps(told), encoding="utf-8")
    lines = (
        'name = "Invented Sixty-five"  # our own words stay',
        "maturity_group = 2.1",
        "as_of = 2026-07-20",
        "[planting]",
        "date = 2026-05-06",
    )
    (folder / "field.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return folder


def reflectance(path: Path, scale: float = 0.0001, offset: float = -0.1) -> dict[str, np.ndarray]:
    """Read an image that was written, by its descriptions; the mask as it is."""
    with rasterio.open(path) as source:
        found = {name: source.read(at) for at, name in enumerate(source.descriptions, 1)}
    return {
        name: values if name == "mask" else np.where(values == 0, np.nan, values * scale + offset)
        for name, values in found.items()
    }
