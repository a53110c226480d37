"""What a catalogue's items hold: bands, mask, offset and day of each scene. Asks nobody, opens nothing.

A band is found by the common name that the standard gives it, else by the key of its file.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from urllib.parse import urlsplit

from zoning.errors import WORLD, InputError
from zoning.evidence import number
from zoning.inputs.images.reflectance import LANDSAT, SENTINEL_2
from zoning.settings.model import ImageProduct

Item = Mapping[str, Any]  # of a catalogue, as it came

# Our name of a band -> the common names of the standard, old and new, and keys that catalogues use for it.
_COMMON = {"red": ("red",), "rededge": ("rededge", "rededge071"), "nir": ("nir", "nir08")}
_KEYS = {
    "red": ("red", "B04", "SR_B4"),
    "rededge": ("rededge1", "B05"),
    "nir": ("nir", "B08", "nir08", "SR_B5"),
}
_NEEDED = ("red", "nir")
# Key of a mask -> the product that has it.
_MASKS: dict[str, ImageProduct] = {"scl": SENTINEL_2, "qa_pixel": LANDSAT}
_TAKEN_OFF = "boa_offset_applied"  # a flag of catalogues, whatever stands before its name
_DEG_IN_H = 15  # eq. the earth turns 15 degrees in an hour


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A band in a file of its own: reflectance = count x scale + offset, None where the item does not say."""

    href: str
    scale: float | None = None
    offset: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """One scene of one tile. `is_taken_off` is the item's word on its offset, None where it gives none."""

    name: str
    day: date
    tile: str
    product: ImageProduct
    bands: Mapping[str, Band]
    mask: Band
    baseline: float | None
    is_taken_off: bool | None
    made: str
    licence: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Day:
    """The scenes of one day by the sun: of each tile the newest version."""

    day: date
    scenes: tuple[Scene, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its scenes: the same on a later day unless the catalogue has others."""
        return tuple(one.name for one in self.scenes)


def scenes(items: Sequence[Item], longitude_deg: float, who: str) -> tuple[Scene, ...]:
    """Read items.

    Parameters
    ----------
    items : sequence of dict
        As the catalogue gave them, with whole addresses.
    longitude_deg : float
        Of the field: the day is that of the sun there.
    who : str
        Who gave them, for faults.

    Raises
    ------
    InputError
        Code 4: where not one of them has the bands that are needed, and a mask; it says what is there.
    """
    found: list[Scene] = []
    lacking: dict[str, Item] = {}
    for item in items:
        try:
            scene = _scene(item, longitude_deg)
        except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
            lacking.setdefault("a form that is not read here", item)
            continue
        if isinstance(scene, str):
            lacking.setdefault(scene, item)
        else:
            found.append(scene)
    if items and not found:
        what, item = next(iter(lacking.items()))
        assets = item.get("assets")
        keys = ", ".join(sorted(map(str, assets))[:20] if isinstance(assets, dict) else ()) or "no files"
        mend = "Name a collection of reflectance with a scene classification, as sentinel-2-l2a."
        raise InputError(f"its scenes have {what}: there are {keys}", where=who, mend=mend, code=WORLD)
    return tuple(found)


def days(found: Iterable[Scene], first: date, last: date) -> tuple[Day, ...]:
    """Sort scenes by day, the newest day first; of each tile the version that was made last.

    Parameters
    ----------
    found : iterable of Scene
    first, last : date
        Other days are left out.
    """
    by_day: dict[date, dict[str, Scene]] = {}
    for one in sorted(found, key=lambda one: (one.baseline or 0.0, one.made, one.name)):
        if first <= one.day <= last:
            by_day.setdefault(one.day, {})[one.tile] = one  # the last one stays
    return tuple(
        Day(day=day, scenes=tuple(by_day[day][tile] for tile in sorted(by_day[day])))
        for day in sorted(by_day, reverse=True)
    )


def _scene(item: Item, longitude_deg: float) -> Scene | str:
    """Read an item; a text says what it lacks."""
    told, assets = item["properties"], item["assets"]
    mask = next(((key, assets[key]) for key in sorted(assets) if key.lower() in _MASKS), None)
    bands = {name: band for name in _COMMON if (band := _band(assets, name)) is not None}
    lacking = [name for name in _NEEDED if name not in bands]
    if lacking:
        return f"no band {' and no band '.join(lacking)}"
    if mask is None:
        return "no scene classification, so nothing says where clouds are"
    if any(len({getattr(one, of) for one in bands.values()} - {None}) > 1 for of in ("scale", "offset")):
        return "bands that count differently from each other"
    time = datetime.fromisoformat(str(told["datetime"]))
    name = str(item["id"])
    tile = str(told.get("grid:code") or told.get("s2:mgrs_tile") or _wrs(told) or name)
    return Scene(
        name=name,
        day=(time + timedelta(hours=longitude_deg / _DEG_IN_H)).date(),
        tile=tile,
        product=_MASKS[mask[0].lower()],
        bands=bands,
        mask=Band(href=_href(mask[1])),
        baseline=_number(told.get("s2:processing_baseline") or told.get("processing:version")),
        is_taken_off=_flag(told),
        made=str(told.get("updated") or told.get("created") or ""),
        licence=str(told.get("license") or ""),
    )


def _band(assets: Mapping[str, Any], name: str) -> Band | None:
    """Find the file of a band: by its common name, of several the one nearest to the wanted wavelength."""
    ranked: list[tuple[int, float, str, Any]] = []
    for key, asset in assets.items():
        if not _is_geotiff(asset):
            continue
        told = _only(asset.get("bands")) or _only(asset.get("eo:bands"))
        common = str(told.get("eo:common_name") or told.get("common_name") or "")
        wave = told.get("eo:center_wavelength") or told.get("center_wavelength")
        if common in _COMMON[name]:
            off = 0.0 if wave is None else abs(float(wave) - number(f"fetch.{name}_um"))
            ranked.append((_COMMON[name].index(common), off, key, asset))
        elif not common and key in _KEYS[name]:
            ranked.append((len(_COMMON[name]) + _KEYS[name].index(key), 0.0, key, asset))
    if not ranked:
        return None
    *_, asset = min(ranked, key=lambda one: one[:3])
    told = _only(asset.get("bands")) | _only(asset.get("raster:bands"))
    scale = _number(told.get("raster:scale", told.get("scale")))
    return Band(
        href=_href(asset),
        scale=scale if scale is not None and scale > 0 else None,
        offset=_number(told.get("raster:offset", told.get("offset"))),
    )


def _is_geotiff(asset: Mapping[str, Any]) -> bool:
    kind = str(asset.get("type") or "")
    path = urlsplit(str(asset.get("href") or "")).path.lower()
    return "tif" in kind if kind else path.endswith((".tif", ".tiff"))


def _only(bands: object) -> dict[str, Any]:
    """Give what is said of the one band of a file; nothing where it has several."""
    if isinstance(bands, list) and len(bands) == 1 and isinstance(bands[0], dict):
        return bands[0]
    return {}


def _href(asset: Mapping[str, Any]) -> str:
    return str(asset["href"])


def _wrs(told: Mapping[str, Any]) -> str:
    path, row = told.get("landsat:wrs_path"), told.get("landsat:wrs_row")
    return f"{path}/{row}" if path and row else ""


def _flag(told: Mapping[str, Any]) -> bool | None:
    values = [value for key, value in told.items() if key.rpartition(":")[2] == _TAKEN_OFF]
    return values[0] if len(values) == 1 and isinstance(values[0], bool) else None


def _number(value: object) -> float | None:
    """Read a number, also one that is written as text; None where there is none, or an endless one."""
    try:
        found = float(str(value))
    except ValueError:
        return None
    return found if math.isfinite(found) else None
