"""One band around a field, out of a GeoTIFF that stays where it is: only the parts that are needed.

The one module that opens a file on the network. It follows http and https, opens nothing else that such a
file may name, and keeps nothing of it.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from urllib.parse import urlsplit

import numpy as np
import numpy.typing as npt
import rasterio
import shapely
from affine import Affine

# The library has no public name for what it raises at a head that contradicts itself.
from rasterio._err import CPLE_BaseError
from rasterio.enums import Resampling
from rasterio.errors import RasterioError
from rasterio.vrt import WarpedVRT
from rasterio.warp import reproject

from zoning.errors import WORLD, InputError
from zoning.evidence import number
from zoning.fetch.imagery.refusals import BUSY, of_status
from zoning.fetch.session import AGENT
from zoning.inputs import area, grid_files
from zoning.inputs.given import Area

Counts = npt.NDArray[np.uint16 | np.int16 | np.uint8 | np.float32]

_STATUS = re.compile(r"response[ _]code:? *(\d{3})", re.IGNORECASE)
_MOST_PIXELS = 25_000_000  # around one field
_BLOCK_BYTES = 128 * 2**20  # a block can only be decoded whole
_HEAD_BYTES = 32_768  # asked for first: the head of a file with some hundred blocks


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """Pixels on the ground: a CRS as WKT, where its first pixel lies, and how many rows and columns."""

    wkt: str
    transform: Affine
    shape: tuple[int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """What a band holds in a frame; 0 beyond the file."""

    frame: Frame
    values: Counts


def settings() -> dict[str, str | int | float]:
    """Give how the library asks: patient with who is busy, no listing of folders, nothing kept afterwards."""
    return {
        "GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR",
        "GDAL_HTTP_TIMEOUT": number("fetch.answer_within_s"),
        "GDAL_HTTP_CONNECTTIMEOUT": number("fetch.answer_within_s"),
        "GDAL_HTTP_MAX_RETRY": int(number("fetch.tries_more")),
        "GDAL_HTTP_RETRY_DELAY": number("fetch.wait_s"),
        "GDAL_HTTP_RETRY_CODES": ",".join(map(str, BUSY)),
        "GDAL_HTTP_USERAGENT": AGENT,
        "GDAL_INGESTED_BYTES_AT_OPEN": _HEAD_BYTES,
        "VSI_CACHE": "FALSE",
    }


def around(href: str, ground: Area, epsg: int, margin_m: float) -> Patch:
    """Read a band around a field, on its own pixels.

    Parameters
    ----------
    href : str
        Address of a GeoTIFF.
    ground : Polygon or MultiPolygon
        The field, in the CRS `epsg`.
    epsg : int
    margin_m : float
        Read as far around it. [m]

    Raises
    ------
    InputError
        Code 4, in one line: who was asked, and what it answered.
    """
    with _opened(href) as source:
        frame = _frame(source, ground, epsg, margin_m, href)
        return Patch(frame=frame, values=_read(source, frame))


def within(href: str, frame: Frame) -> Patch:
    """Read a band onto the pixels of another, each the nearest of its own; raises as `around`."""
    with _opened(href) as source:
        return Patch(frame=frame, values=_read(source, frame))


def onto(patch: Patch, frame: Frame) -> Patch:
    """Bring what was read onto other pixels, each the nearest of its own."""
    values = np.zeros(frame.shape, dtype=patch.values.dtype)
    reproject(
        patch.values,
        values,
        src_transform=patch.frame.transform,
        src_crs=patch.frame.wkt,
        dst_transform=frame.transform,
        dst_crs=frame.wkt,
        resampling=Resampling.nearest,
        init_dest_nodata=False,
    )
    return Patch(frame=frame, values=values)


@contextmanager
def _opened(href: str) -> Iterator[rasterio.DatasetReader]:
    if urlsplit(href).scheme not in ("http", "https"):
        what = "a scene lies at no address that begins with http: or https:, and no other is followed"
        mend = "Name a catalogue whose files lie on the web."
        raise InputError(what, where=_who(href), mend=mend, code=WORLD)
    try:
        with rasterio.Env(**settings()), rasterio.open(f"/vsicurl/{href}", driver="GTiff") as source:
            _check(source, href)
            yield source
    except (RasterioError, CPLE_BaseError, UnicodeDecodeError) as error:
        raise _failed(href, error) from error


def _check(source: rasterio.DatasetReader, href: str) -> None:
    mend = "Name another catalogue or collection."
    if source.tags(ns="OVERVIEWS"):  # of which the library would open the other file, wherever it lies
        what = "a scene leads to another file, which is not opened"
        raise InputError(what, where=_who(href), mend=mend, code=WORLD)
    if source.crs is None or source.transform.is_degenerate or source.transform.is_identity:
        what = "a scene has no place on earth, or came only in part"
        raise InputError(what, where=_who(href), mend=f"Run again; else: {mend}", code=WORLD)
    grid_files.refuse(source.crs.to_wkt(), _who(href))
    rows, columns = source.block_shapes[0]
    kinds = np.dtype(source.dtypes[0])
    if rows * columns * kinds.itemsize * source.count > _BLOCK_BYTES:
        what = "a scene is compressed in blocks of more than 128 MB"
        raise InputError(what, where=_who(href), mend=mend, code=WORLD)
    if kinds.name not in ("uint8", "uint16", "int16", "float32"):
        what = f"a scene holds numbers of the kind {kinds.name}, which are no counts"
        raise InputError(what, where=_who(href), mend=mend, code=WORLD)


def _frame(source: rasterio.DatasetReader, ground: Area, epsg: int, margin_m: float, href: str) -> Frame:
    """Give the pixels of a file around a field, whole ones."""
    wkt = source.crs.to_wkt()
    there = area.reproject(ground.buffer(margin_m).envelope, epsg, wkt)
    east, north = shapely.get_coordinates(there).T
    a, b, c, d, e, f = (~source.transform)[:6]
    columns, rows = a * east + b * north + c, d * east + e * north + f
    if not np.isfinite([*columns, *rows]).all():
        mend = "Name a catalogue with scenes in the CRS of their place."
        raise InputError("a scene's CRS does not reach the field", where=_who(href), mend=mend, code=WORLD)
    left, top = int(np.floor(columns.min())), int(np.floor(rows.min()))
    shape = (int(np.ceil(rows.max())) - top, int(np.ceil(columns.max())) - left)
    if shape[0] * shape[1] > _MOST_PIXELS:
        what = f"a scene has {shape[0] * shape[1]:,} pixels around the field"
        raise InputError(what, where=_who(href), mend="Name a collection of larger pixels.", code=WORLD)
    a, b, c, d, e, f = source.transform[:6]
    transform = Affine(a, b, a * left + b * top + c, d, e, d * left + e * top + f)
    return Frame(wkt=wkt, transform=transform, shape=shape)


def _read(source: rasterio.DatasetReader, frame: Frame) -> Counts:
    """Read the nearest pixels: where both have the same ones, these very pixels; 0 where it has no data."""
    rows, columns = frame.shape
    with WarpedVRT(
        source,
        crs=frame.wkt,
        transform=frame.transform,
        height=rows,
        width=columns,
        resampling=Resampling.nearest,
        src_nodata=0,
        nodata=0,
    ) as near:
        values: Counts = near.read(1)
    nowhere = ~np.isfinite(values)
    if source.nodata is not None:
        nowhere |= values == source.nodata
    values[nowhere] = 0
    return values


def _who(href: str) -> str:
    """Name who has a file: its host and the end of its path, never what an address may keep secret."""
    parts = urlsplit(href)
    return f"{parts.hostname or 'the catalogue'}: {parts.path.rpartition('/')[2]}"


def _failed(href: str, error: Exception) -> InputError:
    text = " ".join(str(one) for one in (error, error.__cause__, error.__context__) if one is not None)
    found = _STATUS.search(text)
    if found is not None and int(found[1]) >= 400:  # method: from here on an answer is a refusal
        what, mend = of_status(int(found[1]))
    elif re.search("timed? ?out|too slow", text, re.IGNORECASE):
        what, mend = "no answer came in time", "Run again later: it goes on where it stopped."
    elif "CURL error" in text:
        what = "it cannot be reached from here"
        mend = "Check the network and run again: it goes on where it stopped."
    elif "not recognized" in text or "Not a TIFF" in text:
        what, mend = "what came is no GeoTIFF", "Run again later, or name another catalogue."
    else:
        what = "a scene came only in part, or damaged"
        mend = "Run again: it goes on where it stopped."
    return InputError(what, where=_who(href), mend=mend, code=WORLD)
