"""Where the results of two runs differ, file by file and field by field; judges how much each matters.

Decisions, days, words and shapes must be the same, figures within `LIMIT`. A picture or a container may have
other bytes, as its library packs it otherwise: rasters and tables are then compared by what is in them.
"""

import json
import math
import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import geopandas
import numpy as np
import rasterio

LIMIT = 1e-9  # of a figure, or of 1 where the figure is smaller
# Not compared, by name: they say who made it and how it is packed.
OF_THE_MAKER = {
    "run.json": ("version", "plan_hash", "files"),  # hashes of all bytes, and of the last digits of a plan
}
# Reckoned in single precision and written with four decimals: the last one may be another.
LAST_DIGIT = {"held_out_explained[].frac": 1.0001e-4}
_FIGURE = re.compile(r"-?\d+\.\d+(?:e-?\d+)?")
WORDS = (".html", ".csv", ".txt", ".geojson")  # text with figures between the words
PACKED = (".png", ".pdf", ".svg")  # looked at by other tests; here only counted
OURS = ("out", "strips")


@dataclass(frozen=True, slots=True)
class Difference:
    """One place where two results differ: `size` of figures, None of anything else."""

    file: str
    at: str
    one: object
    other: object
    size: float | None
    told: str = "differs"  # "differs", "last digit", "packed"

    def line(self) -> str:
        """Say it in a line."""
        size = "" if self.size is None else f" ({self.size:.1e})"
        return f"{self.told}: {self.file} {self.at}: {self.one!r} and {self.other!r}{size}"[:300]


def differences(one: Path, other: Path, limit: float = LIMIT) -> list[Difference]:
    """List where the results of two copies of a farm differ."""
    left, right = _files(one), _files(other)
    found = [Difference(name, "", name in left, name in right, None) for name in sorted(left ^ right)]
    for name in sorted(left & right):
        if (one / name).read_bytes() != (other / name).read_bytes():
            found += _of_file(one / name, other / name, name, limit)
    return found


def _files(farm: Path) -> set[str]:
    inside = (path.relative_to(farm) for path in farm.rglob("*") if path.is_file())
    return {
        one.as_posix() for one in inside if any(part in OURS for part in one.parts) and one.suffix != ".bak"
    }


def _of_file(one: Path, other: Path, name: str, limit: float) -> list[Difference]:
    if one.suffix == ".json":
        left, right = (json.loads(path.read_text("utf-8")) for path in (one, other))
        for key in OF_THE_MAKER.get(one.name, ()):
            left.pop(key, None)
            right.pop(key, None)
        return [_judged(name, *found, limit) for found in _walked(left, right, "")]
    if one.suffix == ".toml":
        both = (tomllib.loads(path.read_text("utf-8")) for path in (one, other))
        return [_judged(name, *found, limit) for found in _walked(*both, "")]
    if one.suffix in WORDS:
        left, right = (path.read_text("utf-8") for path in (one, other))
        if _FIGURE.split(left) == _FIGURE.split(right):
            pairs = zip(map(float, _FIGURE.findall(left)), map(float, _FIGURE.findall(right)), strict=True)
            return [_judged(name, "a figure", a, b, limit) for a, b in pairs if a != b]
    if one.suffix in PACKED:
        return [Difference(name, "", one.stat().st_size, other.stat().st_size, None, "packed")]
    if one.suffix == ".tif":
        return _unless(_same_cells(one, other), name)
    if one.suffix == ".parquet":
        left, right = (geopandas.read_parquet(path) for path in (one, other))
        return _unless(left.equals(right) and left.attrs == right.attrs, name)
    return [Difference(name, "", "some bytes", "other bytes", None)]


def _unless(same: bool, name: str) -> list[Difference]:
    return [Difference(name, "", "what is in it", "something else", None, "packed" if same else "differs")]


def _same_cells(one: Path, other: Path) -> bool:
    with rasterio.open(one) as left, rasterio.open(other) as right:
        where = (left.crs, left.transform, left.dtypes) == (right.crs, right.transform, right.dtypes)
        return where and np.array_equal(
            left.read(), right.read(), equal_nan=left.dtypes[0].startswith("float")
        )


Found = tuple[str, object, object]


def _walked(one: object, other: object, at: str) -> Iterator[Found]:
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        for key, value in one.items():
            yield from _walked(value, other[key], f"{at}.{key}" if at else str(key))
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for left, right in zip(one, other, strict=True):
            yield from _walked(left, right, f"{at}[]")
    elif one != other or type(one) is not type(other):
        yield at, one, other


def _judged(name: str, at: str, one: object, other: object, limit: float) -> Difference:
    if not all(isinstance(value, int | float) and not isinstance(value, bool) for value in (one, other)):
        return Difference(name, at, one, other, None)
    size = abs(one - other) / max(1.0, abs(one))
    if math.isfinite(size) and size <= limit:
        return Difference(name, at, one, other, size, "within the limit")
    last = any(at.endswith(key) and size <= most for key, most in LAST_DIGIT.items())
    return Difference(name, at, one, other, size, "last digit" if last else "differs")
