"""The line of a load sheet that says what sections spray along the edges of a pass, and what it takes."""

from zoning import units
from zoning.passes.loads.sheet import LoadSheet
from zoning.passes.sections import SectionCover
from zoning.show.figures import Units, whole
from zoning.show.machine_units import MachineUnits
from zoning.words import Said

_NOTHING = "0.0"  # as an area is written that is too small to be told


def edge_line(sheet: LoadSheet, written: Units) -> str:
    """Say what is sprayed beyond the ground of a pass, what stays dry beside setbacks, and the mix for it.

    Parameters
    ----------
    sheet : LoadSheet
    written : Units
        Of the farm.

    Returns
    -------
    str
        Empty where no area is large enough to be written, or where nothing was reckoned.
    """
    cover = sheet.cover
    if cover is None:
        return ""
    beyond = _beyond(cover, written)
    dry = _area(cover.missed_ac, written)
    said = [beyond] if beyond else []
    if dry:
        said.append(Said("loads.stay_dry", area=dry).text)
    more_gal = (cover.sprayed_ac - cover.treated_ac) * sheet.rate_gal_ac
    if beyond and _whole_units(more_gal, written) > 0:
        said.append(_taken(more_gal, sheet.overage_gal, written))
    return "; ".join(said)


def _beyond(cover: SectionCover, written: Units) -> str:
    places = {"loads.edge_left": cover.over_ac, "loads.edge_off": cover.off_crop_ac}
    parts = [Said(code, area=_area(ac, written)).text for code, ac in places.items() if _area(ac, written)]
    if not parts:
        return ""
    return Said(
        "loads.edges" if cover.sections > 1 else "loads.edges_of_one",
        width=MachineUnits(metric=written.metric).length(cover.section_m),
        percent=100 * cover.beyond_ac / cover.treated_ac,
        parts=", ".join(parts),
    ).text


def _taken(more_gal: float, overage_gal: float, written: Units) -> str:
    """Say what the edges take beyond the loads, and whether the overage holds it."""
    more, overage = _volume(more_gal, written), _volume(overage_gal, written)
    if overage_gal < more_gal:
        return Said("loads.edges_take", more=more, overage=overage).text
    left = _volume(overage_gal - more_gal, written)
    return Said("loads.edges_held", more=more, overage=overage, left=left).text


def _area(area_ac: float, written: Units) -> str:
    shown = written.area(area_ac)
    return "" if shown == _NOTHING else f"{shown} {written.area_unit}"


def _whole_units(volume_gal: float, written: Units) -> int:
    """Round a volume as it is written."""
    return round(units.l_from_gal(volume_gal) if written.metric else volume_gal)


def _volume(volume_gal: float, written: Units) -> str:
    return f"{whole(_whole_units(volume_gal, written))} {'L' if written.metric else 'gal'}"
