"""The check strips of a season as GeoJSON: one text, made and read back the same.

Lays no strip, and opens no file but the design of a field.
"""

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any, cast

import shapely
from shapely import Polygon

from zoning.errors import WORLD, InputError, raise_all
from zoning.inputs import area, files, store
from zoning.inputs.given import Area, Strip, StripDesign
from zoning.inputs.ground.boundary import Boundary
from zoning.inputs.planted import sown
from zoning.inputs.reading import Reading
from zoning.inputs.strips import members, outlines
from zoning.words import Said

FILE = "strips/design.geojson"
SCHEMA_VERSION = 1
_DECIMALS = 9  # of a degree: a tenth of a millimetre, as most that the format of a task controller takes
_FIGURES = 6  # decimals of width and heading


def as_text(design: StripDesign, epsg: int, about: Mapping[str, str]) -> str:
    """Give the text of the design's file: a FeatureCollection, one strip a line.

    Parameters
    ----------
    design : StripDesign
    epsg : int
        The plane of its outlines.
    about : mapping of str to str
        What else stands at the head: `field`, and `laid_on`, the day of the plan that laid it.

    Returns
    -------
    str
        RFC 7946: longitude and latitude of WGS 84, outer rings anticlockwise. `parse` gives a design of which
        `as_text` makes the same text again.

    Examples
    --------
    >>> from shapely import box
    >>> pair = [Strip(pair=1, treatment=one, outline=box(east, 4906000, east + 27, 4906500))
    ...         for one, east in (("untreated", 310000), ("treated", 310027))]
    >>> laid = StripDesign(season=2026, width_m=27, heading_deg=0, seed=7, strips=tuple(pair))
    >>> text = as_text(laid, 32615, {"field": "North", "laid_on": "2026-07-08"})
    >>> text == as_text(parse(text, 32615, FILE), 32615, {"field": "North", "laid_on": "2026-07-08"})
    True
    """
    head: dict[str, Any] = {"type": "FeatureCollection", "schema_version": SCHEMA_VERSION, **about}
    head |= {"season": design.season, "seed": design.seed}
    head |= {
        "width_m": round(float(design.width_m), _FIGURES),
        "heading_deg": round(float(design.heading_deg), _FIGURES),
    }
    lines = [f'"{key}": {_json(value)},' for key, value in head.items()]
    rows = ",\n".join(_json(_feature(one, epsg)) for one in design.strips)
    return "{\n" + "\n".join(lines) + '\n"features": [\n' + rows + "\n]\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _feature(strip: Strip, epsg: int) -> dict[str, Any]:
    lonlat = shapely.orient_polygons(cast(Polygon, area.to_lonlat(strip.outline, epsg)))
    rings = [lonlat.exterior, *lonlat.interiors]
    corners = [shapely.get_coordinates(ring).round(_DECIMALS).tolist() for ring in rings]
    return {
        "type": "Feature",
        "properties": {"pair": strip.pair, "treatment": strip.treatment},
        "geometry": {"type": "Polygon", "coordinates": corners},
    }


def parse(text: str, epsg: int, where: str) -> StripDesign:
    """Read the text of a design.

    Parameters
    ----------
    text : str
    epsg : int
        The plane of the field's grid.
    where : str
        How the user calls the file, for its faults.

    Raises
    ------
    InputError
        For all faults of the file together: no JSON, a head without its numbers, a shape that is no polygon,
        an unknown treatment, a pair that is not one treated and one untreated strip, strips that overlap.
    """
    return _design(members.collection(text, where), epsg, where)


def _design(whole: members.Json, epsg: int, where: str) -> StripDesign:
    faults: list[InputError] = []
    head = members.head(whole, where, faults)
    rows = members.rows(whole, where, faults)
    found = outlines.placed(rows, epsg, where, faults)
    raise_all(faults)
    return StripDesign(
        season=head.season,
        width_m=head.width_m,
        heading_deg=head.heading_deg,
        seed=head.seed,
        strips=found,
        laid_on=head.laid_on,
    )


def hashes(text: str) -> dict[str, str]:
    """Give the name and the SHA-256 that a design will have once it is written, as in `FieldInputs.files`."""
    return {FILE: hashlib.sha256(text.encode("utf-8")).hexdigest()}


def path_of(field_folder: Path) -> Path:
    """Give the path of a field's design, which need not be there."""
    return field_folder / FILE


def is_laid(field_folder: Path) -> bool:
    """Tell whether a field has a design, of whatever season."""
    return os.path.lexists(path_of(field_folder))  # also where nobody may look


def write(field_folder: Path, text: str) -> None:
    """Write a design in one step; the previous one stays as design.geojson.bak.

    Raises
    ------
    InputError
        When the disk or its permissions refuse (exit 4).
    """
    store.write_text(path_of(field_folder), text)


def read(reading: Reading, edge: Boundary, crop: Area) -> StripDesign | None:
    """Read the design of a field, where it has one of this season; faults, notes and file go to `reading`.

    Parameters
    ----------
    reading : Reading
    edge : Boundary
        Gives the plane of the grid, and the half of the earth, whose seasons differ.
    crop : Polygon or MultiPolygon
        What is in blocks, in that plane. A pair of which a strip holds no crop any more is left out.

    Returns
    -------
    StripDesign or None
        None also where no pair is left.

    Raises
    ------
    InputError
        What `parse` refuses, unless the design is that of another season; and a file that may not be read.
    """
    settings = reading.settings
    files.watch(path_of(settings.folder), FILE)
    text = _text(settings.folder)
    if text is None:
        return None
    reading.paths.append(path_of(settings.folder))
    whole = members.collection(text, FILE)
    season = sown.season_of(settings, reading.today, edge.latitude_deg)
    theirs = members.season_of(whole)
    if theirs is not None and theirs != season:
        reading.notes.append(Said("inputs.strips_of_other_season", file=FILE, theirs=theirs, season=season))
        return None
    design = _with_crop(reading, _design(whole, edge.epsg, FILE), crop)
    if design is not None and settings.check_strips.pairs == 0:
        reading.notes.append(Said("inputs.strips_laid_already", file=FILE, count=len(design.strips) // 2))
    return design


def _text(field_folder: Path) -> str | None:
    path = path_of(field_folder)
    if files.is_endless(path):
        raise InputError("it is a pipe or a device, not a file", where=FILE, mend=members.MEND)
    try:
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError as error:
        if not is_laid(field_folder):
            return None
        mend = "Bring back the file that it leads to, or delete the link to have new strips."
        raise InputError(
            "the file is a link that leads to nothing", where=FILE, mend=mend, code=WORLD
        ) from error
    except UnicodeDecodeError as error:
        raise InputError("the file is no text in UTF-8", where=FILE, mend=members.MEND) from error
    except NotADirectoryError as error:
        what, mend = "this is a file, not a folder", "Give it another name, and run again."
        raise InputError(what, where=path.parent.name, mend=mend, code=WORLD) from error
    except OSError as error:
        what = f"the file cannot be read ({(error.strerror or 'refused').lower()})"
        mend = "Get permission to read it, and run again."
        raise InputError(what, where=FILE, mend=mend, code=WORLD) from error


def _with_crop(reading: Reading, design: StripDesign, crop: Area) -> StripDesign | None:
    """Leave out the pairs that show nothing any more; say which."""
    bare = {one.pair for one in design.strips if shapely.intersection(one.outline, crop).area <= 0}
    kept = tuple(one for one in design.strips if one.pair not in bare)
    if bare:
        named = ", ".join(map(str, sorted(bare)))
        reading.notes.append(Said("inputs.strips_without_crop", file=FILE, pairs=named))
    return replace(design, strips=kept) if kept else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """For when and on which day the strips of a file were laid; None where it does not say."""

    season: int | None
    on: date | None


def laid(field_folder: Path) -> Laid | None:
    """Look at the head of a field's design, whatever else is wrong with it; None where there is none."""
    try:
        text = _text(field_folder)
        whole = members.collection(text, FILE) if text is not None else None
    except InputError:
        return Laid(season=None, on=None)
    return None if whole is None else Laid(season=members.season_of(whole), on=members.day_of(whole))
