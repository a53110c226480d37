"""prescription.shp: what to do where, one row a polygon, for any desktop GIS and for terminals that read it.

The set follows the ESRI Shapefile Technical Description (1998): file code 9994, version 1000, type 5,
exterior rings clockwise. Column names have at most 10 ASCII capitals, widths are explicit, no value is
missing. Decides nothing; a plan without rates (levels 1 and 2) has no prescription.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

from fiona.io import MemoryFile
from shapely import Polygon
from shapely.geometry import mapping

from zoning import units
from zoning.inputs.area import geodesic_ac
from zoning.passes.ground import single_parts
from zoning.plan import NO_PRICE_PAYS, Piece, Plan, PlanZone
from zoning.prescription.plain_text import NOTHING, ascii_text
from zoning.prescription.polygons import CRS, check_cover
from zoning.prescription.rates import rate_column, rate_of
from zoning.prescription.styles import ours, qml, sld

SUFFIXES = (".shp", ".shx", ".dbf", ".prj", ".cpg")
STEM = "prescription"
_BLOCK_WIDTH = 24
_KINDS = {"zone": "ZONE", "strip": "STRIP", "setback": "SETBACK", "dead ground": "DEAD"}
_ORDER = {"zone": 0, "strip": 1, "setback": 2, "dead ground": 2}
_SAYS_NOTHING: dict[str, str | int | float] = {"str": NOTHING, "int32": 0, "float": 0.0}

Value = str | int | float


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name, its type with width, and how its value is read from a zone and one polygon."""

    name: str
    kind: str
    value: Callable[[PlanZone, Polygon], Value]


def _day(day: date | None) -> str:
    return NOTHING if day is None else day.isoformat()


def _net(zone: PlanZone) -> float:
    """Net return, 0 of a zone that no pass could have reached."""
    return zone.money.net_mean_usd_ac if zone.money is not None else 0.0


def _same(value: float) -> float:
    return value


def _window(name: str) -> Callable[[PlanZone, Polygon], Value]:
    return lambda zone, _: _day(None if zone.window is None else getattr(zone.window, name))


def columns(metric: bool) -> tuple[Column, ...]:
    """Columns of the prescription, in order, in US or metric units."""
    net_of = units.usd_ha_from_usd_ac if metric else _same
    price_of = units.usd_t_from_usd_bu if metric else _same
    area_of = units.ha_from_ac if metric else _same

    def break_even(zone: PlanZone, _: Polygon) -> float:
        price = zone.money.break_even_price_usd_bu if zone.money is not None else NO_PRICE_PAYS
        return NO_PRICE_PAYS if price >= NO_PRICE_PAYS else min(price_of(price), NO_PRICE_PAYS)

    return (
        Column("KIND", "str:8", lambda zone, _: "ZONE"),
        Column("ZONE", "int32:4", lambda zone, _: zone.zone),
        Column("BLOCK", f"str:{_BLOCK_WIDTH}", lambda zone, _: ascii_text(zone.block, _BLOCK_WIDTH)),
        Column("ACTION", "str:5", lambda zone, _: str(zone.action).upper()),
        Column(
            rate_column(metric),
            "float:8.2",
            lambda zone, _: rate_of(zone.rate_gal_ac or 0.0, metric=metric),
        ),
        Column("PASS", "int32:4", lambda zone, _: zone.pass_number or 0),
        Column("SPRAY_ON", "str:10", lambda zone, _: _day(zone.spray_on)),
        Column("SPRAY_FROM", "str:10", lambda zone, _: _day(zone.spray_from)),
        Column("SPRAY_BY", "str:10", lambda zone, _: _day(zone.spray_by)),
        Column("R3_EARLY", "str:10", _window("r3_early")),
        Column("R3_LIKELY", "str:10", _window("r3_likely")),
        Column("R3_LATE", "str:10", _window("r3_late")),
        Column("CLOSES", "str:10", _window("closes")),
        Column(
            "NET_USD_HA" if metric else "NET_USD_AC",
            "float:10.2",
            lambda zone, _: round(net_of(_net(zone)), 2) + 0.0,
        ),
        Column("P_PAYS", "float:5.3", lambda zone, _: zone.money.chance_pays if zone.money else 0.0),
        Column("BE_USD_T" if metric else "BE_USD_BU", "float:8.2", break_even),
        Column(
            "AREA_HA" if metric else "AREA_AC",
            "float:12.4",
            lambda _, polygon: area_of(geodesic_ac(polygon)),
        ),
    )


def _no_spray_values(kind: str, polygon: Polygon, metric: bool) -> dict[str, Value]:
    """Values of a polygon of no-spray ground; dates and money are those of a zone that has none."""
    area_ac = geodesic_ac(polygon)
    known: dict[str, Value] = {
        "KIND": kind,
        "ACTION": "SKIP",
        "BE_USD_BU": NO_PRICE_PAYS,
        "BE_USD_T": NO_PRICE_PAYS,
        "AREA_AC": area_ac,
        "AREA_HA": units.ha_from_ac(area_ac),
    }
    return {
        column.name: known.get(column.name, _SAYS_NOTHING[column.kind.partition(":")[0]])
        for column in columns(metric)
    }


@dataclass(frozen=True, slots=True)
class Row:
    """One polygon with its values."""

    polygon: Polygon
    values: dict[str, Value]


def set_of(stem: str, kinds: dict[str, str], rows: Iterable[Row], today: date) -> dict[str, bytes]:
    """Give one shapefile set in EPSG:4326: the content of each of its files by its name.

    Parameters
    ----------
    stem : str
        Name of its files without ending.
    kinds : dict of str to str
        Column name to type and width, as "float:8.2".
    rows : iterable of Row
        Single polygons.
    today : date
        What the table's header gives as the day of its last change: the same plan, the same bytes.
    """
    # Made in memory as a zip of the set, then written by us: a full disk is an OSError and never silence.
    with MemoryFile(filename=f"{stem}.shz") as memory:
        with memory.open(
            driver="ESRI Shapefile",
            crs=CRS,
            encoding="UTF-8",
            schema={"geometry": "Polygon", "properties": kinds},
            DBF_DATE_LAST_UPDATE=today.isoformat(),
        ) as file:
            file.writerecords({"geometry": mapping(row.polygon), "properties": row.values} for row in rows)
        made = memory.read()
    with ZipFile(BytesIO(made)) as together:
        return {f"{stem}{suffix}": together.read(f"{stem}{suffix}") for suffix in SUFFIXES}


def _rows(plan: Plan, table: Sequence[Column]) -> list[Row]:
    """Give the rows of a plan: zones, then check strips cut out of them, then no-spray ground."""
    metric = plan.units == "metric"
    pieces = _pieces(plan)
    zone_of = {zone.zone: zone for zone in plan.zones}
    rows = []
    for one in sorted(pieces, key=lambda one: _ORDER[one.kind]):  # stable
        for polygon in single_parts(one.outline):
            if one.zone:
                zone = _as_done(zone_of[one.zone], one, plan)
                values = {column.name: column.value(zone, polygon) for column in table}
                values["KIND"] = _KINDS[one.kind]
            else:
                values = _no_spray_values(_KINDS[one.kind], polygon, metric)
            rows.append(Row(polygon, values))
    return rows


def _pieces(plan: Plan) -> tuple[Piece, ...]:
    """Give the ground of a plan: as strips cut it, else zones and no-spray ground as they are."""
    if plan.strips is not None:
        return plan.strips.pieces
    zones = [
        Piece(
            kind="zone",
            outline=zone.outline,
            area_ac=zone.area_ac,
            zone=zone.zone,
            pass_number=zone.pass_number or 0,
        )
        for zone in plan.zones
    ]
    return (
        *zones,
        *(Piece(kind=one.kind, outline=one.outline, area_ac=one.area_ac) for one in plan.no_spray),
    )


def _as_done(zone: PlanZone, one: Piece, plan: Plan) -> PlanZone:
    """Give a zone as a check strip has it: what is done there may not be what is done around it."""
    if one.kind != "strip":
        return zone
    passed = next((each for each in plan.passes if each.number == one.pass_number), None)
    return replace(
        zone,
        action="skip" if passed is None else "spray",
        rate_gal_ac=passed.rate_gal_ac if passed is not None else None,
        pass_number=passed.number if passed is not None else None,
        spray_on=passed.day if passed is not None else None,
    )


def applies(plan: Plan) -> bool:
    """Say whether a plan has a prescription: it has where rates are known, also when all is skipped."""
    return plan.level > 2


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write prescription.shp, .shx, .dbf, .prj and .cpg, and its style as .qml and .sld.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    folder : Path
        Existing folder.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `folder`; none below level 3.

    Raises
    ------
    ValueError
        When zones and no-spray ground do not cover the field exactly.
    """
    if not applies(plan):
        return ()
    check_cover(plan)
    table = columns(plan.units == "metric")
    kinds = {column.name: column.kind for column in table}
    look = ours.prescription(plan)
    files = set_of(STEM, kinds, _rows(plan, table), plan.today)
    files |= {f"{STEM}.qml": qml.of_style(look).encode(), f"{STEM}.sld": sld.of_style(look).encode()}
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return tuple(files)
