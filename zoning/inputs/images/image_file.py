"""What a GeoTIFF says of itself before its pixels are read: kinds of numbers, and how they were made.

Refuses bands that hold no measurements. Reads no pixels.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import rasterio
from rasterio.enums import ColorInterp
from rasterio.errors import RasterioIOError

from zoning.errors import InputError
from zoning.inputs.images import tiff

_OFFSET = "BOA_ADD_OFFSET"  # may be followed by the number of a band
_BASELINE = "PROCESSING_BASELINE"
_NUMBER = re.compile(r"\s*N?(-?\d+(?:\.\d+)?)\s*")


@dataclass(frozen=True, slots=True)
class Told:
    """What its tags say: the offset in counts, and the baseline of the processor; None where they do not."""

    offset_counts: float | None = None
    baseline: float | None = None


def told(path: Path, file: str, bands: Sequence[int]) -> Told:
    """Look at the head of an image.

    Parameters
    ----------
    path : Path
    file : str
        As the user calls it.
    bands : sequence of int
        Those that are measurements.

    Raises
    ------
    InputError
        When one of them holds complex numbers, or the numbers of colours in a palette, or the image leads to
        another file. A file that cannot be opened, or lacks a band, is left to the reader of pixels.
    """
    try:
        source = tiff.opened(path, file)
    except RasterioIOError:
        return Told()
    with source:
        within = [band for band in sorted(bands) if band <= source.count]
        for band in within:
            _check_measured(source, band, file)
        tags = [source.tags(), *(source.tags(band) for band in within)]
    named = [(name.upper(), value) for one in tags for name, value in one.items()]
    return Told(
        _first(value for name, value in named if name.startswith(_OFFSET)),
        _first(value for name, value in named if name == _BASELINE),
    )


def _check_measured(source: rasterio.DatasetReader, band: int, file: str) -> None:
    if "complex" in source.dtypes[band - 1]:
        mend = "Export it again with one real number a pixel and band."
        raise InputError(f"band {band} holds complex numbers, as of radar", where=file, mend=mend)
    if source.colorinterp[band - 1] is ColorInterp.palette:
        what = f"band {band} holds the numbers of colours in a palette, which measure nothing"
        raise InputError(what, where=file, mend="Export the measured values instead of the coloured picture.")


def _first(texts: Iterable[str]) -> float | None:
    """Give the first text that is a number."""
    found = (_NUMBER.fullmatch(text) for text in texts)
    return next((float(match[1]) for match in found if match), None)
