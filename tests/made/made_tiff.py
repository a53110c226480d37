"""A GeoTIFF written tag by tag, so that any of its tags may lie: what it holds need not be what it says."""

import struct
from collections.abc import Mapping
from pathlib import Path

SHORT, LONG, DOUBLE, LONG8 = 3, 4, 12, 16
_CODES = {SHORT: "H", LONG: "I", DOUBLE: "d", LONG8: "Q"}
Tag = tuple[int, tuple[float, ...]]

WIDTH, HEIGHT, BITS, COMPRESSION, PHOTOMETRIC = 256, 257, 258, 259, 262
OFFSETS, SAMPLES, ROWS_PER_STRIP, COUNTS = 273, 277, 278, 279
TILE_WIDTH, TILE_HEIGHT, TILE_OFFSETS, TILE_COUNTS = 322, 323, 324, 325
SIDE = 30
SCALE, _TIE, _KEYS = 33550, 33922, 34735
_UTM_15 = (1, 1, 0, 3, 1024, 0, 1, 1, 1025, 0, 1, 1, 3072, 0, 1, 32615)


def tags(west_m: float, north_m: float) -> dict[int, Tag]:
    """Tags of a good image of bytes, 30 x 30 pixels of 10 m, in one strip behind them."""
    return {
        WIDTH: (LONG, (SIDE,)),
        HEIGHT: (LONG, (SIDE,)),
        BITS: (SHORT, (8,)),
        COMPRESSION: (SHORT, (1,)),
        PHOTOMETRIC: (SHORT, (1,)),
        OFFSETS: (LONG, (4096,)),
        SAMPLES: (SHORT, (1,)),
        ROWS_PER_STRIP: (LONG, (SIDE,)),
        COUNTS: (LONG, (SIDE * SIDE,)),
        SCALE: (DOUBLE, (10.0, 10.0, 0.0)),
        _TIE: (DOUBLE, (0.0, 0.0, 0.0, west_m, north_m, 0.0)),
        _KEYS: (SHORT, _UTM_15),
    }


def write(path: Path, said: Mapping[int, Tag], *, next_at: int = 0, pixels: bool = True) -> None:
    """Write a TIFF with one directory at byte 8, which says that the next one stands at `next_at`."""
    first_free = 8 + 2 + 12 * len(said) + 4
    entries, beyond = b"", b""
    for code, (kind, values) in sorted(said.items()):
        packed = struct.pack(f"<{len(values)}{_CODES[kind]}", *values)
        if len(packed) > 4:
            place, packed = first_free + len(beyond), packed + b"\0" * (len(packed) % 2)
            beyond += packed
            packed = struct.pack("<I", place)
        entries += struct.pack("<HHI", code, kind, len(values)) + packed.ljust(4, b"\0")
    whole = b"II*\0" + struct.pack("<IH", 8, len(said)) + entries + struct.pack("<I", next_at) + beyond
    if pixels:
        whole = whole.ljust(4096, b"\0") + bytes(range(100, 100 + SIDE)) * SIDE
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(whole)
