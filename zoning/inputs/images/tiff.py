"""A GeoTIFF is opened here and nowhere else: by its own driver, and only where it leads to no other place.

An image may say, in itself or in a file beside it, that its overviews lie elsewhere; the library would open
whatever is named there, an address on the network too, and by any driver.
"""

import html
import re
import warnings
from pathlib import Path

import rasterio

# The library has no public name for what it raises at a head that contradicts itself.
from rasterio._err import CPLE_BaseError
from rasterio.errors import NotGeoreferencedWarning, RasterioIOError

from zoning.errors import InputError
from zoning.inputs import grid_files, signature

# Added to the name, in whatever letters: overviews and a mask, which are GeoTIFFs too, and tags. Those of an
# older program are opened where they begin so, and have files of their own.
_IMAGES, _TAGS, _OLDER = (".ovr", ".msk"), ".aux.xml", ".aux"
_OLDER_BEGINS = b"EHFA_HEADER_TAG"
# Where tags tell a CRS: not all of their text, as the model of a camera may stand there, too.
_CRS_TOLD = re.compile(r"<\s*SRS\b.*?(?:</\s*SRS|\Z)|Projection\s*=.*?>", re.IGNORECASE | re.DOTALL)
_OVERVIEWS = "OVERVIEWS"  # where it is said that they lie elsewhere


def opened(path: Path, file: str, level: int | None = None) -> rasterio.DatasetReader:
    """Open an image to read; its place on earth may be missing.

    Parameters
    ----------
    path : Path
    file : str
        As the user calls it.
    level : int, optional
        Open this overview instead.

    Raises
    ------
    InputError
        Where it would have other files opened.
    RasterioIOError
        Where it is no GeoTIFF, or its head contradicts itself.
    """
    _check_beside(path, file)
    source = _open(path)
    _check(source, file)
    try:
        _ = source.crs, source.transform, source.colorinterp, source.scales, source.nodatavals
    except CPLE_BaseError as error:
        source.close()
        raise RasterioIOError("its head contradicts itself") from error
    if level is None:
        return source
    source.close()
    return _open(path, overview_level=level)


def _open(path: Path, **options: int) -> rasterio.DatasetReader:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", NotGeoreferencedWarning)  # the caller says it, with how to mend it
        try:
            return rasterio.open(path, driver="GTiff", **options)
        except UnicodeDecodeError as error:  # in the name of its CRS
            raise RasterioIOError("its head holds letters that are not understood") from error


def _check(source: rasterio.DatasetReader, file: str) -> None:
    if source.tags(ns=_OVERVIEWS):
        source.close()
        what = "it says that its overviews lie in another file, which is not opened"
        raise InputError(what, where=file, mend="Export it again as one GeoTIFF.")


def _check_beside(path: Path, file: str) -> None:
    """Check overviews and masks in files of their own, which may have such files beside them again."""
    ends = {path.name.lower() + end for end in (*_IMAGES, _TAGS, _OLDER)} | {path.stem.lower() + _OLDER}
    for beside in sorted(one for one in path.parent.iterdir() if one.name.lower() in ends):
        called = file.removesuffix(path.name) + beside.name
        name = beside.name.lower()
        if not beside.is_file():
            raise InputError("it lies beside an image and is no file", where=called, mend="Remove it.")
        if name.endswith(_TAGS):
            for wkt in _CRS_TOLD.findall(beside.read_text(encoding="latin-1")):
                grid_files.refuse(html.unescape(wkt), called)
            continue
        if name.endswith(_OLDER) and not signature.begins(beside, _OLDER_BEGINS):
            continue
        if not signature.is_tiff(beside):
            what = "it lies beside an image and is no GeoTIFF, so it may lead anywhere"
            raise InputError(what, where=called, mend="Remove it, or make it again from the image.")
        _check_beside(beside, called)
        with _open(beside) as source:
            _check(source, called)
