"""Points of a combine on four passes, made by value, and the files that other libraries write of them."""

import csv
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path

import geopandas
import numpy as np
import shapefile
from made_inputs import EPSG, FIELD, SOUTH, WEST
from pyproj import CRS, Transformer

from zoning.inputs.harvest.points.asked import Asked

PASSES, EACH = 4, 60
COUNT = PASSES * EACH
STEP_M, STEP_S, SWATH_M, TURN_S = 4.0, 2.0, 9.144, 20.0
BEGAN = datetime(2026, 10, 5, 9, 0, 0)
KG_HA_PER_BU_AC = 67.25106937  # 60 lb x 0.45359237 kg on 0.40468564224 ha


def truth() -> dict[str, np.ndarray]:
    """What the combine did, in our units, by the names that points have."""
    rng = np.random.default_rng(5)
    number, along = np.divmod(np.arange(COUNT), EACH)
    up = np.where(number % 2 == 0, along, EACH - 1 - along)
    yield_bu_ac = np.round(rng.normal(60, 4, COUNT), 2)
    moisture = np.round(rng.normal(0.12, 0.004, COUNT), 4)
    dry_kg_m2 = yield_bu_ac * KG_HA_PER_BU_AC / 10_000
    return {
        "east_m": WEST + 20 + SWATH_M * number,
        "north_m": SOUTH + 20 + STEP_M * up,
        "time_s": STEP_S * np.arange(COUNT) + TURN_S * number,
        "yield_bu_ac": yield_bu_ac,
        "moisture_frac": moisture,
        "flow_kg_s": dry_kg_m2 * 0.87 / (1 - moisture) * STEP_M / STEP_S * SWATH_M,
        "speed_m_s": np.full(COUNT, STEP_M / STEP_S),
        "distance_m": np.full(COUNT, STEP_M),
        "swath_m": np.full(COUNT, SWATH_M),
        "track": number + 1,
    }


def stamps(time_s: np.ndarray) -> list[str]:
    return [(BEGAN + timedelta(seconds=float(one))).isoformat(" ") for one in time_s]


def lonlat(east_m: np.ndarray, north_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    return Transformer.from_crs(EPSG, 4326, always_xy=True).transform(east_m, north_m)


def us() -> dict[str, Sequence[object]]:
    """The columns of a file in US units, without places; the names say the units."""
    made = truth()
    return {
        "Time": stamps(made["time_s"]),
        "Flow_lb_s": np.round(made["flow_kg_s"] / 0.45359237, 6).tolist(),
        "Moist_pct": np.round(made["moisture_frac"] * 100, 4).tolist(),
        "Speed_mph": np.round(made["speed_m_s"] / 0.44704, 6).tolist(),
        "Dist_in": np.round(made["distance_m"] / 0.0254, 6).tolist(),
        "Swath_ft": np.round(made["swath_m"] / 0.3048, 6).tolist(),
        "Pass": made["track"].tolist(),
    }


def dry() -> dict[str, Sequence[object]]:
    """The columns of a file of dry yields."""
    made = truth()
    return {"Time": stamps(made["time_s"]), "Dry_yield_bu_ac": made["yield_bu_ac"].tolist()}


def with_places(columns: Mapping[str, Sequence[object]]) -> dict[str, Sequence[object]]:
    made = truth()
    lon, lat = lonlat(made["east_m"], made["north_m"])
    return {"Longitude": np.round(lon, 9).tolist(), "Latitude": np.round(lat, 9).tolist(), **columns}


def as_csv(
    path: Path,
    columns: Mapping[str, Sequence[object]],
    *,
    separator: str = ",",
    comma: bool = False,
    encoding: str = "utf-8",
) -> Path:
    """Write a table; with `comma` numbers have a decimal comma."""

    def text(cell: object) -> str:
        return str(cell).replace(".", ",") if comma and isinstance(cell, float) else str(cell)

    with path.open("w", newline="", encoding=encoding) as stream:
        writer = csv.writer(stream, delimiter=separator)
        writer.writerow(columns)
        writer.writerows([text(cell) for cell in row] for row in zip(*columns.values(), strict=True))
    return path


def as_frame(columns: Mapping[str, Sequence[object]], epsg: int = EPSG) -> geopandas.GeoDataFrame:
    made = truth()
    places = geopandas.points_from_xy(made["east_m"], made["north_m"])
    return geopandas.GeoDataFrame(dict(columns), geometry=places, crs=EPSG).to_crs(epsg)


def as_pyshp(path: Path, columns: Mapping[str, Sequence[object]], crs: int | None = EPSG) -> Path:
    """Write a shapefile with the library pyshp."""
    made = truth()
    with shapefile.Writer(str(path), shapeType=shapefile.POINT) as writer:
        for name, cells in columns.items():
            is_text = isinstance(cells[0], str)
            writer.field(name, "C", 40) if is_text else writer.field(name, "N", 18, 6)
        for at, place in enumerate(zip(made["east_m"], made["north_m"], strict=True)):
            writer.point(*map(float, place))
            writer.record(*(cells[at] for cells in columns.values()))
    if crs is not None:
        path.with_suffix(".prj").write_text(CRS.from_epsg(crs).to_wkt("WKT1_ESRI"))
    return path


def asked(**other: object) -> Asked:
    """What is asked of the file; `other` in place of the usual."""
    usual: dict[str, object] = {
        "epsg": EPSG, "boundary": FIELD, "field": ("Field", "north_80"), "columns": {}, "units": {},
        "moisture_frac": None, "yields": "", "is_metric": False, "time_zone": "", "header_m": None,
    }  # fmt: skip
    return Asked(**(usual | other))  # type: ignore[arg-type]
