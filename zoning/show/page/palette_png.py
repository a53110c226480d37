"""A picture of few colours as a PNG file with a palette: small, crisp, and the same bytes on every machine.

References
----------
.. [1] W3C, "Portable Network Graphics (PNG) Specification (Third Edition)".
"""

import base64
import struct
import zlib
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.colours import rgb

MOST = 26  # colours, the clear one among them
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_PALETTE = 3  # kind of colour
_DEPTHS = (1, 2, 4, 8)  # bits a cell may have
_AS_IT_IS, _AVERAGE = b"\x00", b"\x03"  # kinds of filter of a row


def _chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def _rows(classes: npt.NDArray[np.uint8], depth: int) -> bytes:
    """Pack the cells of each row, as they are."""
    bits = np.unpackbits(classes[:, :, np.newaxis], axis=2)[:, :, 8 - depth :]
    packed = np.packbits(bits.reshape(classes.shape[0], -1), axis=1)
    return b"".join(_AS_IT_IS + row.tobytes() for row in packed)


def _rows_by_neighbours(classes: npt.NDArray[np.uint8]) -> bytes:
    """Give each cell by what it is above the mean of its left and upper neighbour."""
    around = np.pad(classes, ((1, 0), (1, 0))).astype(np.int64)
    mean = (around[1:, :-1] + around[:-1, 1:]) // 2
    differ = ((classes - mean) % 256).astype(np.uint8)  # eq. [1] 9.2, filter 3
    return b"".join(_AVERAGE + row.tobytes() for row in differ)


def _smallest(classes: npt.NDArray[np.uint8], depth: int) -> bytes:
    """Compress the rows in the ways that suit even, smooth and uneven pictures; keep the shortest."""
    ways = [(_rows(classes, depth), zlib.Z_DEFAULT_STRATEGY)]
    if depth == max(_DEPTHS):
        rows = _rows_by_neighbours(classes)
        ways += [(rows, zlib.Z_FILTERED), (rows, zlib.Z_HUFFMAN_ONLY)]
    return min((_compressed(*way) for way in ways), key=len)


def _compressed(rows: bytes, strategy: int) -> bytes:
    work = zlib.compressobj(9, strategy=strategy)
    return work.compress(rows) + work.flush()


def png(classes: npt.NDArray[np.uint8], palette: Sequence[str]) -> bytes:
    """Write a table of classes as a PNG file.

    Parameters
    ----------
    classes : array of uint8, shape (rows, columns)
        0 is clear, 1 the first colour of the palette.
    palette : sequence of str
        At most 25 colours.

    Examples
    --------
    >>> len(png(np.array([[0, 1], [1, 1]], dtype=np.uint8), ["#0b4f80"]))
    100
    """
    if len(palette) >= MOST:
        raise ValueError(f"{len(palette)} colours and a clear one are more than {MOST}")
    depth = next(bits for bits in _DEPTHS if len(palette) < 2**bits)
    rows, columns = classes.shape
    head = struct.pack(">IIBBBBB", columns, rows, depth, _PALETTE, 0, 0, 0)
    colours = b"".join(bytes(rgb(colour)) for colour in ("#ffffff", *palette))
    return b"".join(
        (
            _SIGNATURE,
            _chunk(b"IHDR", head),
            _chunk(b"PLTE", colours),
            _chunk(b"tRNS", b"\x00"),
            _chunk(b"IDAT", _smallest(classes, depth)),
            _chunk(b"IEND", b""),
        )
    )


def data_uri(classes: npt.NDArray[np.uint8], palette: Sequence[str]) -> str:
    """Write the same as an address that holds the file itself."""
    return "data:image/png;base64," + base64.b64encode(png(classes, palette)).decode("ascii")
