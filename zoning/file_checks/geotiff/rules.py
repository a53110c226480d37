"""Rules about rasters: where they lie, how they are laid out and coloured, and whether they fit the plan."""

from collections.abc import Iterator
from xml.parsers import expat

import numpy as np

from zoning.evidence import number
from zoning.file_checks.cells import off_frac
from zoning.file_checks.finding import Rule, Seen
from zoning.file_checks.geotiff.reader import Raster

_ONE_TILE = 512  # cells: smaller rasters need no overviews


def _no_crs(one: Raster) -> Iterator[Seen]:
    if one.crs is None:
        yield {}


def _no_place(one: Raster) -> Iterator[Seen]:
    if one.to_crs.is_identity:
        yield {}


def _rotated(one: Raster) -> Iterator[Seen]:
    if one.to_crs.b != 0 or one.to_crs.d != 0:
        yield {}


def _north_down(one: Raster) -> Iterator[Seen]:
    if one.to_crs.e > 0 and not one.to_crs.is_identity:
        yield {"step": one.to_crs.e}


def _not_metres(one: Raster) -> Iterator[Seen]:
    if one.crs is None or one.crs.is_geographic:
        return
    unit = one.crs.linear_units if one.crs.is_projected else "no length"
    if unit.lower() not in ("metre", "meter", "m"):
        yield {"unit": unit}


def _several_bands(one: Raster) -> Iterator[Seen]:
    if one.bands > 1:
        yield {"count": one.bands}


def _no_nodata(one: Raster) -> Iterator[Seen]:
    if one.nodata is None:
        yield {}


def _nothing(one: Raster) -> Iterator[Seen]:
    if not one.has_value.any():
        yield {}


def _not_finite(one: Raster) -> Iterator[Seen]:
    count = int((~np.isfinite(one.values)).sum())
    if count and (one.nodata is None or np.isfinite(one.nodata)):
        yield {"count": count}


def _layout(one: Raster) -> Iterator[Seen]:
    if one.layout != "COG":
        yield {}


def _no_overviews(one: Raster) -> Iterator[Seen]:
    if max(one.values.shape) > _ONE_TILE and one.overviews == 0:
        yield {"rows": one.values.shape[0], "columns": one.values.shape[1]}


def _no_colours(one: Raster) -> Iterator[Seen]:
    if not one.has_colours and not one.styles:
        yield {}


def _style_broken(one: Raster) -> Iterator[Seen]:
    for name, content in one.styles.items():
        parser = expat.ParserCreate()
        try:
            parser.Parse(content, True)
        except (expat.ExpatError, LookupError, ValueError):
            yield {"name": name}


def _no_about(one: Raster) -> Iterator[Seen]:
    if not one.tags.get("TIFFTAG_IMAGEDESCRIPTION", "").strip():
        yield {}


def _off_field(one: Raster) -> Iterator[Seen]:
    if one.is_beside is not None and one.is_beside.all():
        yield {}


def _frac(part: int, whole: int) -> float:
    return part / whole if whole else 0.0


def _beside(one: Raster) -> tuple[float, float] | None:
    """Share of the cells with a value that lie outside the field; and if the rows were turned."""
    if one.is_beside is None or one.is_beside.all():
        return None
    count, value = int(one.has_value.sum()), one.has_value
    outside = int((value & one.is_beside).sum())
    turned = int((np.flipud(value) & one.is_beside).sum())
    return _frac(outside, count), _frac(turned, count)


def _differ(one: Raster) -> tuple[float, float] | None:
    """Share of the plan's cells whose value is another; and if the rows were turned."""
    if one.expected is None:
        return None
    known = np.isfinite(one.expected)
    if not known.any():
        return None
    values = np.where(one.has_value, one.values, np.nan)
    return off_frac(values, one.expected), off_frac(np.flipud(values), one.expected)


def _is_turned(share: tuple[float, float] | None) -> bool:
    """Say whether the rows fit clearly better when they are turned."""
    least = number("file_checks.beside_frac")
    return share is not None and share[0] - share[1] > least and share[0] > 2 * share[1]


def _upside_down(one: Raster) -> Iterator[Seen]:
    against_plan = _differ(one)
    share = against_plan if _is_turned(against_plan) else _beside(one)
    if share is not None and _is_turned(share):
        yield {"share": share[0], "turned": share[1]}


def _values_beside(one: Raster) -> Iterator[Seen]:
    share = _beside(one)
    if share is not None and share[0] > number("file_checks.beside_frac") and not _is_turned(share):
        yield {"share": share[0]}


def _other_values(one: Raster) -> Iterator[Seen]:
    share = _differ(one)
    if share is not None and share[0] > number("file_checks.beside_frac") and not _is_turned(share):
        yield {"share": share[0]}


RULES: tuple[Rule[Raster], ...] = (
    Rule("tiff_no_crs", "refused", _no_crs),
    Rule("tiff_no_place", "refused", _no_place),
    Rule("tiff_rotated", "refused", _rotated),
    Rule("tiff_north_down", "refused", _north_down),
    Rule("tiff_not_metres", "doubtful", _not_metres),
    Rule("tiff_several_bands", "doubtful", _several_bands),
    Rule("tiff_no_nodata", "doubtful", _no_nodata),
    Rule("tiff_nothing", "refused", _nothing),
    Rule("tiff_not_finite", "doubtful", _not_finite),
    Rule("tiff_layout", "doubtful", _layout),
    Rule("tiff_no_overviews", "doubtful", _no_overviews),
    Rule("tiff_no_colours", "doubtful", _no_colours),
    Rule("tiff_style_broken", "doubtful", _style_broken),
    Rule("tiff_no_about", "doubtful", _no_about),
    Rule("tiff_off_field", "refused", _off_field),
    Rule("tiff_upside_down", "refused", _upside_down),
    Rule("tiff_values_beside", "doubtful", _values_beside),
    Rule("tiff_other_values", "refused", _other_values),
)
