"""Strips that somebody drew after the fact, or laid by hand: polygons with a treatment and a pair."""

from collections.abc import Sequence
from pathlib import Path
from typing import cast

import numpy as np
import shapely
from shapely import Polygon

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.evidence import number
from zoning.inputs import files, vector
from zoning.inputs.given import Area, Strip, StripTreatment
from zoning.inputs.ground.boundary import mended
from zoning.inputs.harvest.ground.laid import Laid, sides_m
from zoning.inputs.planted.azimuth import off_deg
from zoning.inputs.strips.outlines import overlaps
from zoning.words import Said, amounts

TREATMENT, PAIR = "treatment", "pair"  # columns
_WORDS: dict[str, StripTreatment] = {
    **dict.fromkeys(("treated", "sprayed"), "treated"),
    **dict.fromkeys(("untreated", "unsprayed", "check"), "untreated"),
}
_LAYER = "strips"
_LARGEST_PAIR = 999_999


def read(path: Path, epsg: int, crop: Area, *, is_metric: bool) -> Laid:
    """Read drawn strips.

    Parameters
    ----------
    path : Path
        GeoJSON, GeoPackage or shapefile with polygons and the columns `treatment` ("treated" or "sprayed",
        "untreated", "unsprayed" or "check") and `pair` (its number, from 1 on). A strip in several parts is
        several polygons, or one of several parts.
    epsg : int
        The plane of the field's grid.
    crop : Polygon or MultiPolygon
        In that plane.
    is_metric : bool
        For the sentences.

    Returns
    -------
    Laid
        Width and heading are those of the middle strip. A pair may lack a strip: then it does not count.

    Raises
    ------
    InputError
        For all rows together: shapes that are no polygons, words that are no treatment, pairs without a
        number; strips that overlap or run in different directions; none of them in the field; a missing
        column or file.
    """
    file = path.name
    if not path.is_file():
        mend = "Name a GeoJSON (.geojson), GeoPackage (.gpkg) or shapefile (.shp)."
        raise InputError("there is no such file", where=file, mend=mend, code=SETTINGS)
    found = vector.read(path, file, layer=_LAYER)
    vector.only_polygons(found, "Save the strips as polygons.")
    rows = _rows(found)
    drawn: list[tuple[int, Strip]] = []
    shapes = found.projected(epsg)
    for feature, shape, (pair, treatment) in zip(found.features, shapes, rows, strict=True):
        for part in shapely.get_parts(mended(shape, file, feature.number)):
            outline = cast(Polygon, part)
            drawn.append((feature.number, Strip(pair=pair, treatment=treatment, outline=outline)))
    raise_all(files.at_most(overlaps([(count, one.outline) for count, one in drawn], file), file))
    inside, notes = _inside(drawn, crop, file)
    heading_deg = _heading_deg(inside, file)
    widths_m = np.array([one.outline.area / sides_m(one.outline)[1] for _, one in inside])
    middle_m = float(np.median(widths_m))
    strips = tuple(sorted((one for _, one in inside), key=lambda one: one.pair))
    notes += _doubts(strips, widths_m, file, is_metric=is_metric)
    return Laid(
        strips=strips,
        source="drawn",
        width_m=middle_m,
        heading_deg=heading_deg,
        paths=(path,),
        notes=tuple(notes),
    )


def _rows(found: vector.Vector) -> list[tuple[int, StripTreatment]]:
    """Read pair and treatment of every row."""
    theirs = list(found.features[0].columns)
    named = {name: vector.column(theirs, name) for name in (TREATMENT, PAIR)}
    lacking = [name for name, column in named.items() if column is None]
    if lacking:
        mend = f"Add it; the file has {', '.join(theirs) or 'no columns'}."
        raise InputError(f"there is no column {' and no column '.join(lacking)}", where=found.file, mend=mend)
    faults: list[InputError] = []
    rows: list[tuple[int, StripTreatment]] = []
    for feature in found.features:
        where = f"{found.file}: row {feature.number}"
        word = str(feature.columns[str(named[TREATMENT])] or "").strip().casefold()
        pair = _pair(feature.columns[str(named[PAIR])])
        if word not in _WORDS:
            what = f"treatment {word or 'is empty'}{' is none' if word else ''}"
            faults.append(InputError(what, where=where, mend='Write "treated" or "untreated".'))
        if pair is None:
            told = feature.columns[str(named[PAIR])]
            what = "pair is empty" if told in (None, "") else f"pair {told} is no number of a pair"
            faults.append(InputError(what, where=where, mend="Write the number of its pair, from 1 on."))
        rows.append((pair or 0, _WORDS.get(word, "treated")))
    raise_all(files.at_most(faults, found.file))
    return rows


def _pair(told: object) -> int | None:
    try:
        pair = float(str(told))
    except ValueError:
        return None
    return int(pair) if pair.is_integer() and 1 <= pair <= _LARGEST_PAIR else None


def _inside(
    drawn: Sequence[tuple[int, Strip]], crop: Area, file: str
) -> tuple[list[tuple[int, Strip]], list[Said]]:
    """Leave out strips outside the field, and say which."""
    inside = [one for one in drawn if shapely.intersection(one[1].outline, crop).area > 0]
    if not inside:
        mend = "Check the CRS of the file, and that it is of this field."
        raise InputError("none of its strips lies in the field", where=file, mend=mend)
    kept = {id(strip) for _, strip in inside}
    notes = [
        Said("trial_ground.drawn_outside", number=count, file=file)
        for count, strip in drawn
        if id(strip) not in kept
    ]
    return inside, notes


def _heading_deg(drawn: Sequence[tuple[int, Strip]], file: str) -> float:
    """Give the direction of the longest strip.

    Raises
    ------
    InputError
        When others run in another one.
    """
    sides = [sides_m(strip.outline) for _, strip in drawn]
    longest = max(range(len(sides)), key=lambda place: sides[place][1])
    deg = sides[longest][2]
    most_deg = number("inputs.guidance_within_deg")
    faults = [
        InputError(
            f"strip {count} runs at {theirs:.0f} degrees from north, strip {drawn[longest][0]} at {deg:.0f}",
            where=file,
            mend="Give strips of one direction, as the combine was driven.",
        )
        for (count, _), (_, _, theirs) in zip(drawn, sides, strict=True)
        if abs(off_deg(theirs, deg)) > most_deg
    ]
    raise_all(files.at_most(faults, file))
    return deg


def _doubts(strips: Sequence[Strip], widths_m: np.ndarray, file: str, *, is_metric: bool) -> list[Said]:
    """Say where widths differ, and which strips of a pair lie far from each other."""
    notes = []
    middle_m = float(np.median(widths_m))
    if np.ptp(widths_m) > 2 * number("inputs.drawn_width_frac") * middle_m:
        narrow, wide = (amounts.length(float(one), is_metric=is_metric) for one in np.sort(widths_m)[[0, -1]])
        notes.append(Said("trial_ground.drawn_widths", file=file, narrow=narrow, wide=wide))
    for pair in sorted({one.pair for one in strips}):
        sides = [
            shapely.union_all(
                [one.outline for one in strips if (one.pair, one.treatment) == (pair, treatment)]
            )
            for treatment in ("treated", "untreated")
        ]
        if any(one.is_empty for one in sides):
            continue
        apart_m = float(shapely.distance(*sides))
        if apart_m > number("inputs.drawn_apart_widths") * middle_m:
            apart = amounts.length(apart_m, is_metric=is_metric)
            notes.append(Said("trial_ground.drawn_apart", pair=pair, file=file, apart=apart))
    return notes
