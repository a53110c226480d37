"""One TASKDATA set as bytes: ISO 11783-10, version 4, a task for each pass, for one field or many.

Every task has treatment zones with setpoint volume per area (data dictionary identifier 0001); its polygons
are those of the pass's map, or a grid stands in their place, never both. Default, position-lost and
out-of-field zone are the one with rate 0. Touches no file; docs/reference/files.md lists every attribute.
"""

import re
from collections.abc import Iterable, Sequence
from itertools import count
from xml.etree.ElementTree import Element, SubElement, indent, tostring

import numpy as np
import shapely
from shapely import Polygon

from zoning import __version__, units
from zoning.passes.ground import single_parts
from zoning.plan import Area, Plan, PlanPass
from zoning.prescription.about import about_pass, as_line
from zoning.prescription.rates import rate_of, short_unit
from zoning.prescription.taskdata.grid import DIGITS, Grid, laid
from zoning.prescription.taskdata.texts import LONGEST, comment, short, unlike

XML = "TASKDATA.XML"
_SETPOINT = "0001"  # setpoint volume per area, in hundredths of mm3/m2
_PER_MM3_M2 = 100
_OFF = "0"  # code of the zone without spray
_TEMPLATE = "1"  # code of the zone that says what the numbers of a grid of type 2 are
_MOST_CODES = 255  # 0 to 254
_BOUNDARY, _TREATMENT = "1", "2"  # types of a polygon
_RIM, _HOLE = "1", "2"  # types of a ring
_OTHER_POINT = "2"
_PLANNED = "1"
_ABOUT = (
    "PDV 0001: setpoint volume of spray mix per area, B in 0.01 mm3/m2; PNT: WGS 84 degrees, C north, D east"
)
_AND, _ENDS = ";", '" />'  # between the points of a ring, and behind each
_RING = re.compile(r'^( *)(<LSG A="\d">)([^<]*)</LSG>', flags=re.MULTILINE)
_DECIMALS = "2"  # that a terminal shows of a rate: as many as the shapefile has

Carried = tuple[Plan, PlanPass]


def raw_of(rate: float, *, metric: bool) -> int:
    """Give a rate as the number that the machine reads, the nearest whole one.

    One step is 0.00001 gal/ac, far below what a sprayer can hold or a terminal shows, so that the nearest
    one keeps a label's minimum as well as the next higher one would.

    Examples
    --------
    >>> [raw_of(rate, metric=False) for rate in (0.0, 10.0, 15.0, 20.0)], raw_of(93.54, metric=True)
    ([0, 935396, 1403093, 1870791], 935400)
    """
    rate_l_ha = rate if metric else units.l_ha_from_gal_ac(rate)
    return round(units.mm3_m2_from_l_ha(rate_l_ha) * _PER_MM3_M2)


def written(carried: Sequence[Carried]) -> dict[str, bytes]:
    """Write a set: TASKDATA.XML and the grids that it names.

    Parameters
    ----------
    carried : sequence of (Plan, PlanPass)
        What the operator carries along, of one farm, in the order of the tasks; at least one.

    Returns
    -------
    dict of str to bytes
        The content of each file by its name.
    """
    plans = list({id(plan): plan for plan, _ in carried}.values())
    root = Element(
        "ISO11783_TaskData",
        VersionMajor="4",
        VersionMinor="3",
        ManagementSoftwareManufacturer="sprayworth",
        ManagementSoftwareVersion=__version__[:LONGEST],
        DataTransferOrigin="1",
    )
    farm = short(plans[0].farm, "farm")
    SubElement(root, "CTR", A="CTR1", B=farm)
    SubElement(root, "FRM", A="FRM1", B=farm, I="CTR1")
    names = unlike(short(plan.field, f"field {number}") for number, plan in enumerate(plans, start=1))
    for number, (plan, name) in enumerate(zip(plans, names, strict=True), start=1):
        _add_field(root, f"PFD{number}", name, plan)
    products = _add_products(root, plans)
    shown = _add_units(root, plans)
    field_of = {id(plan): (f"PFD{number}", names[number - 1]) for number, plan in enumerate(plans, start=1)}
    grids: dict[str, bytes] = {}
    for number, (plan, one) in enumerate(carried, start=1):
        field, name = field_of[id(plan)]
        task = SubElement(root, "TSK", A=f"TSK{number}", B=_task_name(one, name), C="CTR1", D="FRM1", E=field)
        task.attrib |= {"G": _PLANNED, "H": _OFF, "I": _OFF, "J": _OFF}
        target = {"C": products[_product(plan)], "E": shown[plan.units]}
        grids |= _add_zones(task, plan, one, target, f"GRD{number:05d}")
    indent(root, " ")
    runs = (f"TSK{number}: {as_line(about_pass(*each))}" for number, each in enumerate(carried, start=1))
    about = comment([_ABOUT, *runs])
    made = _with_points(tostring(root, encoding="unicode"))
    text = f'<?xml version="1.0" encoding="UTF-8"?>\n{about}\n{made}\n'
    return {XML: text.encode(), **grids}


def _task_name(one: PlanPass, field: str) -> str:
    """Name a task: pass, day, and what is left of the field's name."""
    warning = "UNREACHABLE " if one.map.not_followed else ""
    return short(f"{warning}P{one.number} {one.day.isoformat()} {field}", f"P{one.number}")


def _product(plan: Plan) -> str:
    return short(f"spray mix {plan.product}", "spray mix")


def _add_products(root: Element, plans: Iterable[Plan]) -> dict[str, str]:
    """Write what is in the tank, once for each product: name -> its id."""
    ids = {name: f"PDT{number}" for number, name in zip(count(1), dict.fromkeys(map(_product, plans)))}
    for name, known_as in ids.items():
        SubElement(root, "PDT", A=known_as, B=name)
    return ids


def _add_units(root: Element, plans: Iterable[Plan]) -> dict[str, str]:
    """Write how a terminal shows a rate, once for each system of units: its name -> its id."""
    ids: dict[str, str] = {}
    for system in dict.fromkeys(plan.units for plan in plans):
        metric = system == "metric"
        ids[system] = f"VPN{len(ids) + 1}"
        scale = 1 / (units.mm3_m2_from_l_ha(1 if metric else units.l_ha_from_gal_ac(1)) * _PER_MM3_M2)
        text = short_unit(metric)
        SubElement(root, "VPN", A=ids[system], B="0", C=f"{scale:.{DIGITS}f}", D=_DECIMALS, E=text)
    return ids


def _add_field(root: Element, known_as: str, name: str, plan: Plan) -> None:
    area_m2 = round(units.m2_from_ac(plan.area_ac))
    field = SubElement(root, "PFD", A=known_as, C=name, D=str(area_m2), E="CTR1", F="FRM1")
    _add_polygons(field, _BOUNDARY, plan.boundary)


def _add_polygons(parent: Element, kind: str, area: Area) -> None:
    """Write each polygon by itself, with one outer ring; the first point of a ring is also its last."""
    for polygon in single_parts(area):
        outline = SubElement(parent, "PLN", A=kind)
        for ring, of_kind in ((polygon.exterior, _RIM), *((hole, _HOLE) for hole in polygon.interiors)):
            # + 0.0: no minus before a zero
            places = (np.round(shapely.get_coordinates(ring), DIGITS) + 0.0).tolist()
            points = (f'{north:.{DIGITS}f}" D="{east:.{DIGITS}f}' for east, north in places)
            SubElement(outline, "LSG", A=of_kind).text = _AND.join(points)


def _with_points(xml: str) -> str:
    """Make elements of the points of each ring: most of a file, and slow to make one by one."""

    def ring(found: re.Match[str]) -> str:
        margin, start, points = found.groups()
        begin = f'\n{margin} <PNT A="{_OTHER_POINT}" C="'
        return f"{margin}{start}{begin}{points.replace(_AND, f'{_ENDS}{begin}')}{_ENDS}\n{margin}</LSG>"

    return _RING.sub(ring, xml)


def _add_zones(
    task: Element, plan: Plan, one: PlanPass, target: dict[str, str], grid_name: str
) -> dict[str, bytes]:
    """Write the treatment zones of a task, with polygons or with a grid; the grid's file by its name."""
    metric = plan.units == "metric"
    rates = sorted({rate_of(part.rate_gal_ac, metric=metric) for part in one.map.parts} - {0.0}, reverse=True)
    if len(rates) >= _MOST_CODES:
        raise ValueError(f"pass {one.number} of {plan.field} has {len(rates)} rates")
    code_of = {0.0: 0, **{rate: code for code, rate in enumerate(rates, start=1)}}
    coded = [(code_of[rate_of(part.rate_gal_ac, metric=metric)], part.outline) for part in one.map.parts]
    raws = [raw_of(rate, metric=metric) for rate in code_of]
    names = ["no spray", *(f"{rate:g} {short_unit(metric)}" for rate in rates)]
    if plan.iso_grid == 2:
        _add_zone(task, _OFF, names[0], 0, target)
        _add_zone(task, _TEMPLATE, "rate of each cell", 0, target)
    else:
        for code, (name, raw) in enumerate(zip(names, raws, strict=True)):
            zone = _add_zone(task, str(code), name, raw, target)
            for ground in [] if plan.iso_grid else [part for own, part in coded if own == code]:
                _add_polygons(zone, _TREATMENT, ground)
    if plan.iso_grid == 0:
        return {}
    return _add_grid(task, plan, _grid(plan, one, coded), (grid_name, raws))


def _add_zone(task: Element, code: str, name: str, raw: int, target: dict[str, str]) -> Element:
    zone = SubElement(task, "TZN", A=code, B=name)
    SubElement(zone, "PDV", {"A": _SETPOINT, "B": str(raw), **target})
    return zone


def _grid(plan: Plan, one: PlanPass, coded: Sequence[tuple[int, Polygon]]) -> Grid:
    """Lay the grid: cells as wide as a section of the boom, never wider than those of the field's grid."""
    cover = one.sheet.cover if one.sheet is not None else None
    cell_m = plan.cell_m if cover is None else min(cover.section_m, plan.cell_m)
    return laid([(code, ground) for code, ground in coded if code], plan.boundary, cell_m)


def _add_grid(task: Element, plan: Plan, grid: Grid, named: tuple[str, Sequence[int]]) -> dict[str, bytes]:
    name, raws = named
    rows, columns = grid.shape
    content = grid.codes if plan.iso_grid == 1 else np.asarray(raws, dtype="<i4")[grid.codes]
    made = content.tobytes()
    degrees = (grid.south_deg, grid.west_deg, grid.cell_north_deg, grid.cell_east_deg)
    element = SubElement(task, "GRD")
    element.attrib |= {key: f"{value:.{DIGITS}f}" for key, value in zip("ABCD", degrees, strict=True)}
    element.attrib |= {"E": str(columns), "F": str(rows), "G": name, "H": str(len(made))}
    element.attrib |= {"I": str(plan.iso_grid)} | ({"J": _TEMPLATE} if plan.iso_grid == 2 else {})
    return {f"{name}.BIN": made}
