"""rasters/*.tif: zone, R3 day and net return as Cloud Optimized GeoTIFF, in the field's UTM grid.

Cells are those of the field's grid, snapped to whole cells, with their side halved as often as it takes for
every zone to keep its area within `AREA_FRAC`, up to `MOST_CELLS`. A cell belongs to the zone in which its
middle lies. Each raster has its style beside; zone numbers also carry their colours inside. Days
do not: a colour table for their type would hold 65,536 colours and weigh more than all files of the field.
"""

from dataclasses import dataclass
from datetime import date
from math import ceil, floor
from pathlib import Path

import numpy as np
import numpy.typing as npt
import rasterio
import rasterio.shutil
from rasterio import Affine
from rasterio.features import rasterize
from rasterio.io import MemoryFile

from zoning import colours, units
from zoning.inputs.area import from_lonlat
from zoning.plan import Area, Plan, PlanZone
from zoning.prescription.about import about_plan
from zoning.prescription.styles import Shade, Shades, qml, sld
from zoning.words import Said

AREA_FRAC = 0.005  # a zone's cells make up its area within this
MOST_CELLS = 4_000_000
_HALVED = 5  # times that the side of a cell may be halved, down to 1/32
_NO_NUMBER = 0  # as zone or day
_NO_RETURN = -9999.0
_LEAST_END = 5.0  # of the ramp of returns, $ per acre or hectare
_BYTE = 255


@dataclass(frozen=True, slots=True)
class Cells:
    """Number of the zone of each cell, 0 where there is none, north-up; `to_m` leads from cells to metres."""

    zone: npt.NDArray[np.uint16]
    to_m: Affine


def _drawn(outlines_m: list[tuple[Area, int]], bounds_m: tuple[float, ...], side_m: float) -> Cells:
    west, north = floor(bounds_m[0] / side_m) * side_m, ceil(bounds_m[3] / side_m) * side_m
    shape = (ceil((north - bounds_m[1]) / side_m), ceil((bounds_m[2] - west) / side_m))
    to_m = Affine(side_m, 0, west, 0, -side_m, north)
    found = rasterize(outlines_m, out_shape=shape, transform=to_m, fill=_NO_NUMBER, dtype="uint16")
    return Cells(found, to_m)


def _keeps_areas(cells: Cells, plan: Plan) -> bool:
    count = np.bincount(cells.zone.ravel(), minlength=max(zone.zone for zone in plan.zones) + 1)
    cell_ac = units.ac_from_m2(cells.to_m.a**2)
    return all(
        abs(count[zone.zone] * cell_ac - zone.area_ac) <= AREA_FRAC * zone.area_ac for zone in plan.zones
    )


def cells_of(plan: Plan) -> Cells:
    """Draw the zones into cells.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    Cells
        The coarsest that keep every zone's area, or the finest of no more than `MOST_CELLS`.
    """
    bounds_m = from_lonlat(plan.boundary, plan.epsg).bounds
    outlines_m = [(from_lonlat(zone.outline, plan.epsg), zone.zone) for zone in plan.zones]
    cells = _drawn(outlines_m, bounds_m, plan.cell_m)
    for times in range(1, _HALVED + 1):
        if _keeps_areas(cells, plan) or cells.zone.size * 4 > MOST_CELLS:
            break
        cells = _drawn(outlines_m, bounds_m, plan.cell_m / 2**times)
    return cells


@dataclass(frozen=True, slots=True, kw_only=True)
class Raster:
    """One raster before it is written: a value for each zone number, 0 among them."""

    name: str
    of_zone: npt.NDArray[np.generic]
    nothing: float
    unit: str
    about: str
    look: Shades
    table: bool = False
    tags: tuple[tuple[str, str], ...] = ()


def _zone(plan: Plan) -> Raster:
    last = max(zone.zone for zone in plan.zones)
    shades = tuple(
        Shade(
            one.zone,
            colours.zone(one.zone),
            Said("styles.zone", zone=one.zone, block=one.block).text,
        )
        for one in sorted(plan.zones, key=lambda one: one.zone)
    )
    small = last <= _BYTE  # a field with more drawn zones than that has no colour table inside
    return Raster(
        name="zone",
        of_zone=np.arange(last + 1, dtype=np.uint8 if small else np.uint16),
        nothing=_NO_NUMBER,
        unit="",
        about=Said("styles.about_zone").text,
        look=Shades(name="zone", shades=shades, between=False),
        table=small,
    )


def _r3_day(plan: Plan) -> Raster | None:
    likely = {zone.zone: zone.window.r3_likely for zone in plan.zones if zone.window is not None}
    if not likely:
        return None
    first, last = min(likely.values()), max(likely.values())
    day_0 = date(first.year, 1, 1).toordinal() - 1  # over new year days are counted on: 366, 367
    values = np.zeros(max(zone.zone for zone in plan.zones) + 1, dtype=np.uint16)
    for zone, day in likely.items():
        values[zone] = day.toordinal() - day_0
    span = (last - first).days
    shades = tuple(
        Shade(
            day.toordinal() - day_0,
            colours.ramp(colours.DATE, (day - first).days / span if span else 0.25),
            Said("styles.r3_day", day=f"{day:%b} {day.day}").text,
        )
        for day in sorted(set(likely.values()))
    )
    return Raster(
        name="r3_day",
        of_zone=values,
        nothing=_NO_NUMBER,
        unit="day of the year",
        about=Said("styles.about_r3_day", year=first.year).text,
        look=Shades(name="R3 day", shades=shades, between=False),
        tags=(("day_1", date(first.year, 1, 1).isoformat()),),
    )


def _usd(zone: PlanZone, metric: bool) -> float:
    if zone.money is None:
        return _NO_RETURN
    usd_ac = zone.money.net_mean_usd_ac
    return units.usd_ha_from_usd_ac(usd_ac) if metric else usd_ac


def _net_return(plan: Plan) -> Raster | None:
    known = [zone for zone in plan.zones if zone.money is not None]
    if not known:
        return None
    metric = plan.units == "metric"
    values = np.full(max(zone.zone for zone in plan.zones) + 1, _NO_RETURN, dtype=np.float32)
    for zone in known:
        values[zone.zone] = _usd(zone, metric)
    unit = "USD/ha" if metric else "USD/ac"
    most = max(abs(_usd(zone, metric)) for zone in known)
    end = max(ceil(most / _LEAST_END) * _LEAST_END, _LEAST_END)
    stops = [end * step for step in np.linspace(-1, 1, len(colours.NET)).tolist()]
    shades = tuple(
        Shade(usd, colour, f"{usd:+g} {unit}" if usd else f"0 {unit}")
        for usd, colour in zip(stops, colours.NET, strict=True)
    )
    return Raster(
        name="net_return",
        of_zone=values,
        nothing=_NO_RETURN,
        unit=unit,
        about=Said("styles.about_net_return", unit=unit).text,
        look=Shades(name="net return", shades=shades, between=True),
    )


def _as_cog(one: Raster, cells: Cells, plan: Plan) -> bytes:
    about = about_plan(plan) | {"crs": f"EPSG:{plan.epsg}", **dict(one.tags)}
    with MemoryFile() as made:
        with rasterio.open(
            "",
            "w",
            driver="MEM",
            height=cells.zone.shape[0],
            width=cells.zone.shape[1],
            count=1,
            dtype=one.of_zone.dtype,
            crs=f"EPSG:{plan.epsg}",
            transform=cells.to_m,
            nodata=one.nothing,
        ) as file:
            file.write(one.of_zone[cells.zone], 1)
            file.update_tags(
                TIFFTAG_IMAGEDESCRIPTION=one.about,
                TIFFTAG_DATETIME=f"{plan.today:%Y:%m:%d} 00:00:00",
                **about,
            )
            file.set_band_description(1, one.about)
            if one.unit:
                file.set_band_unit(1, one.unit)
            if one.table:
                clear = {_NO_NUMBER: (0, 0, 0, 0)}
                inks = {int(shade.value): (*colours.rgb(shade.colour), 255) for shade in one.look.shades}
                file.write_colormap(1, clear | inks)
            # Overviews only where the raster has more than one tile; they repeat values and mix none.
            rasterio.shutil.copy(
                file, made.name, driver="COG", BLOCKSIZE=256, COMPRESS="DEFLATE", RESAMPLING="NEAREST"
            )
        return bytes(made.read())


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write rasters/zone.tif, r3_day.tif and net_return.tif with a .qml and .sld beside each.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    folder : Path
        Existing folder.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `folder`: of what the plan knows.
    """
    place = Path("rasters")
    (folder / place).mkdir(exist_ok=True)
    cells = cells_of(plan)
    names = []
    for one in (_zone(plan), _r3_day(plan), _net_return(plan)):
        if one is None:
            continue
        made = {
            ".tif": _as_cog(one, cells, plan),
            ".qml": qml.of_shades(one.look).encode(),
            ".sld": sld.of_shades(one.look).encode(),
        }
        for suffix, content in made.items():
            name = place / f"{one.name}{suffix}"
            (folder / name).write_bytes(content)
            names.append(name.as_posix())
    return tuple(names)
