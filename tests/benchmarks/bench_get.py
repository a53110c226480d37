"""Images of a field of 65 ha from scenes of 114 MB on loopback: time, bytes and requests.

PYTHONPATH=tests/made python tests/benchmarks/bench_get.py [DAYS]

Against the plain way: each file fetched whole, then cut. Both ask the same server in the same run; the scenes
differ in their days only, so one set of files stands for all of them.
"""

import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

import rasterio
import requests
from made_catalogue import Catalogue, Tile, field_folder, scene, served
from rasterio.io import MemoryFile
from rasterio.windows import Window

from zoning.fetch.imagery import got

TILE = Tile(name="15TUL", west_m=300_000.0, north_m=4_900_000.0, side=5490)
BANDS = ("red", "rededge1", "nir", "scl")


def catalogue(folder: Path, days: int, block: int) -> Catalogue:
    """Scenes of several days, which share their files."""
    made = Catalogue(folder=folder / "files")
    first = scene(made, TILE, "2026-06-01", block=block)
    for day in range(2, days + 1):
        one = {**first, "id": first["id"].replace("20260601", f"202606{day:02d}")}
        one["properties"] = {**first["properties"], "datetime": f"2026-06-{day:02d}T17:05:12Z"}
        one["assets"] = {
            key: {**asset, "href": asset["href"].replace("20260601", f"202606{day:02d}")}
            for key, asset in first["assets"].items()
        }
        (made.folder / one["id"]).symlink_to(made.folder / first["id"])
        made.items.append(one)
    return made


def whole(made: Catalogue) -> None:
    """Fetch every file of every day, and cut the field out."""
    for item in made.items:
        for band in BANDS:
            content = requests.get(f"{made.address}{item['assets'][band]['href']}", timeout=60).content
            with MemoryFile(content) as file, file.open() as source, rasterio.Env():
                source.read(1, window=Window(2800, 2900, 105, 105))


def measured(made: Catalogue, steps: dict[str, Callable[[], object]]) -> list[tuple[float, float, int]]:
    """Seconds, MB and requests of each step."""
    found = []
    for step in steps.values():
        made.forget()
        began = time.perf_counter()
        step()
        found.append((time.perf_counter() - began, made.bytes_of() / 1e6, len(made.asked)))
    return found


def main() -> None:
    """Measure and print."""
    days = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    june = {"first": date(2026, 6, 1), "last": date(2026, 6, 30), "keep": days}
    for block in (512, 1024):
        with tempfile.TemporaryDirectory() as folder, served(catalogue(Path(folder), days, block)) as made:
            field = field_folder(Path(folder) / "field", 328_000.0, 4_871_000.0)
            asked = got.Asked(**june, catalog=made.address)
            ask = partial(got.imagery, field, asked, date(2026, 7, 1), lambda _: None)
            steps = {"asked for parts": ask, "again": ask, "whole files": partial(whole, made)}
            rows = measured(made, steps)
            plain_s, plain_mb, _ = rows[-1]
            print(f"{days} days, blocks of {block} pixels, {plain_mb / days:.0f} MB a scene")
            for name, (took_s, sent_mb, count) in zip(steps, rows, strict=True):
                times = f"{plain_s / took_s:6.1f}x"
                print(f"  {name:<16} {took_s:6.2f} s  {sent_mb:8.2f} MB  {count:4d} requests  {times}")


if __name__ == "__main__":
    main()
