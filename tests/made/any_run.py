"""Farm folders drawn for properties: any settings, boundary, planting, weather, image and scouting together.

Mostly what a user has, with something odd in it. Built on the strategies for settings, boundaries and rows.
"""

import json
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import any_boundary
import any_scouting
import any_settings
import numpy as np
from any_settings import Setting
from hypothesis import strategies as st
from made_folders import MONEY, PRODUCT, RESPONSE, SPRAYER, TOP
from made_inputs import weather_rows, write_image
from rasterio import Affine
from shapely.geometry import box, mapping

_SECTIONS = ("", MONEY + RESPONSE, MONEY + RESPONSE + PRODUCT + SPRAYER)
_FILES = {("boundary", "file"), ("planting", "file"), ("weather", "daily"), ("scouting", "file")}
# Keys that name other files, or that only make sense in a table that is not there.
_LEFT = (
    "imagery",
    "layer",
    "setback",
    "dead_ground",
    "guidance",
    "harvest",
    "scouting",
    "weather",
    "boundary",
)
KEYS = {
    key: drawn
    for key in any_settings.every()
    if (drawn := any_settings.meant(key)) is not None
    and key.table not in _LEFT
    and (key.table, key.name) not in {("planting", "file"), ("zones", "file"), ("", "as_of")}
}  # fmt: skip


@dataclass(frozen=True)
class Folder:
    """What is drawn of a field's folder."""

    level: int
    edge: any_boundary.Drawn
    ending: str
    sown: tuple[date, ...]
    typed: Mapping[Setting, Any]
    rows: tuple[any_scouting.Row, ...]
    years: int
    has_image: bool
    is_flat: bool  # the image is the same everywhere

    @property
    def today(self) -> date:
        return date(2026, 7, 8) if self.edge.lat >= 0 else date(2026, 1, 20)

    def __repr__(self) -> str:
        typed = {repr(key): value for key, value in self.typed.items()}
        return (
            f"<level {self.level}, {self.edge!r} as {self.ending}, sown {[str(one) for one in self.sown]}, "
            f"{typed}, {len(self.rows)} rows, {self.years} years, image {self.has_image}>"
        )


@st.composite
def any_folder(draw: st.DrawFn) -> Folder:
    """Draw a folder; one in three is wholly plain but for one thing."""
    level = draw(st.integers(1, 3))
    edge = draw(any_boundary.any_boundary())
    keys = draw(st.lists(st.sampled_from(list(KEYS)), max_size=4, unique=True))
    keys = [
        key for key in keys if not key.table or key.table in ("zones", "effects", "schedule") or level > 1
    ]
    keys = [
        key for key in keys if key.table not in ("product", "sprayer", "check_strips", "files") or level > 2
    ]
    first = date(2026, 4, 20) if edge.lat >= 0 else date(2025, 11, 1)
    return Folder(
        level=level,
        edge=edge,
        ending=draw(st.sampled_from(any_boundary.FORMATS)),
        sown=tuple(
            first + timedelta(days) for days in draw(st.lists(st.integers(0, 40), min_size=1, max_size=4))
        ),
        typed={key: draw(KEYS[key])[0] for key in keys},
        rows=tuple(draw(st.lists(any_scouting.any_row(_around(edge)), max_size=4))),
        years=draw(st.sampled_from([0, 1, 12])),
        has_image=draw(st.booleans()),
        is_flat=draw(st.booleans()),
    )


def _around(edge: any_boundary.Drawn) -> tuple[float, float, float, float]:
    west, south, east, north = edge.to("EPSG:4326").bounds
    return west, south, max(west, min(east, 180.0)), north


def write(drawn: Folder, farm: Path) -> Path:
    """Write the farm and its one field; the field's folder."""
    shutil.rmtree(farm, ignore_errors=True)
    field = farm / "field"
    field.mkdir(parents=True)
    crs = "EPSG:4326" if drawn.ending == "geojson" else drawn.edge.utm
    any_boundary.write(drawn.edge, field / f"edge.{drawn.ending}", crs)
    (farm / "farm.toml").write_text(TOP + _SECTIONS[drawn.level - 1], "utf-8")
    lines = f'name = "Any"\nmaturity_group = 2.1\n[boundary]\nfile = "edge.{drawn.ending}"\n'
    if len(drawn.sown) > 1:
        _planting(drawn, field)
    else:
        lines += f"[planting]\ndate = {drawn.sown[0]}\n"
    if drawn.years:
        first = drawn.today.replace(year=drawn.today.year - drawn.years, month=1, day=1)
        rows = ["date,tmin_c,tmax_c,rain_mm", *weather_rows(first, drawn.today)]
        (farm / "weather.csv").write_text("\n".join(rows) + "\n", "utf-8")
    if drawn.has_image:
        lines += _image(drawn, field)
    if drawn.rows:
        (field / "scouting.csv").write_bytes(any_scouting.as_csv(drawn.rows))
        lines += '[[scouting]]\nfile = "scouting.csv"\n'
    tables = any_settings.tables_of(lines, TOP + _SECTIONS[drawn.level - 1], drawn.typed)
    (field / "field.toml").write_text(any_settings.text_of(tables), "utf-8")
    return field


def _planting(drawn: Folder, field: Path) -> None:
    """Write bands from west to east, one a day."""
    west, south, east, north = drawn.edge.to("EPSG:4326").bounds
    cuts = np.linspace(west, east, len(drawn.sown) + 1)
    features = [
        {
            "type": "Feature",
            "properties": {"planted": day.isoformat()},
            "geometry": mapping(box(cuts[at], south, cuts[at + 1], north)),
        }
        for at, day in enumerate(drawn.sown)
    ]
    (field / "planting.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": features}), "utf-8"
    )


def _image(drawn: Folder, field: Path) -> str:
    west, south, east, north = drawn.edge.to(drawn.edge.utm).bounds
    side = max(east - west, north - south, 100.0) / 40
    shape = (2, int((north - south) / side) + 5, int((east - west) / side) + 5)
    values = np.full(shape, 0.3) if drawn.is_flat else np.random.default_rng(0).uniform(0.05, 0.5, shape)
    values[1] += 0.2
    place = Affine(side, 0, west - 2 * side, 0, -side, north + 2 * side)
    name = f"imagery/{drawn.today - timedelta(10)}_any.tif"
    write_image(field / name, values.astype("float32"), crs=drawn.edge.utm, transform=place)
    return f'[[imagery]]\nfile = "{name}"\nbands = {{ red = 1, nir = 2 }}\nindex = "NDVI"\n'
