"""The scenes of a day as one image of a field: first what it shows is looked at, then its bands are read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from zoning.evidence import number
from zoning.fetch.imagery import clear, counts, pixels
from zoning.fetch.imagery.clear import Bools, Shares
from zoning.fetch.imagery.pixels import Counts, Frame, Patch
from zoning.fetch.imagery.scenes import Day, Scene
from zoning.inputs.given import Area
from zoning.inputs.grid import Floats
from zoning.inputs.images.reflectance import Conversion
from zoning.words import Said

_NOBODY = 0  # whose a pixel is that no scene shows


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ground:
    """A field, in the CRS `epsg`."""

    area: Area
    epsg: int


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """What the scenes of a day show: the mask of all, and whose each pixel is, counted from 1 in `scenes`."""

    day: Day
    shares: Shares
    mask: Patch
    owner: Patch
    scenes: tuple[Scene, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Image:
    """The bands of a day around a field: counts on one frame, and what they are."""

    day: Day
    shares: Shares
    frame: Frame
    bands: Mapping[str, Counts]
    mask: Counts
    conversion: Conversion
    scenes: tuple[Scene, ...]
    notes: tuple[Said, ...]


def look(day: Day, ground: Ground) -> Look:
    """Read the masks of a day around a field, of no more scenes than it takes.

    Raises
    ------
    InputError
        Code 4, where a file cannot be read.
    """
    first = day.scenes[0]
    mask = pixels.around(first.mask.href, ground.area, ground.epsg, number("fetch.margin_m"))
    within = clear.inside(ground.area, ground.epsg, mask.frame)
    values, owner = np.zeros_like(mask.values), np.zeros(mask.values.shape, dtype=np.uint8)
    used: list[Scene] = []
    for scene in day.scenes:
        if (owner != _NOBODY)[within].all():
            break
        more = mask if scene is first else pixels.within(scene.mask.href, mask.frame)
        new = (owner == _NOBODY) & (more.values != 0)
        if new[within].any():
            used.append(scene)
            values[new], owner[new] = more.values[new], len(used)
    whole = Patch(frame=mask.frame, values=values)
    return Look(
        day=day,
        shares=clear.shares(whole, within, first.product),
        mask=whole,
        owner=Patch(frame=mask.frame, values=owner),
        scenes=tuple(used),
    )


def image(seen: Look, ground: Ground) -> Image:
    """Read the bands of a day that was looked at.

    Raises
    ------
    InputError
        Code 4, where a file cannot be read.
    """
    first, *others = seen.scenes
    names = [name for name in first.bands if all(name in one.bands for one in others)]
    margin_m = number("fetch.margin_m")
    red = pixels.around(first.bands["red"].href, ground.area, ground.epsg, margin_m)
    owner, mask = (pixels.onto(one, red.frame).values for one in (seen.owner, seen.mask))
    clear_ground = _clear(seen, ground)
    parts: list[dict[str, Counts]] = []
    settled: list[Conversion] = []
    notes: list[Said] = []
    for place, scene in enumerate(seen.scenes, 1):
        read = {name: _band(scene, name, red, is_first=place == 1) for name in names}
        mine = pixels.onto(clear_ground, red.frame).values.astype(bool) & (owner == place)
        known = {name: _known(one, mine) for name, one in read.items()}
        conversion, said = counts.settled(_as_held(scene, read["red"]), known)
        parts.append(read)
        settled.append(conversion)
        notes += said
    return Image(
        day=seen.day,
        shares=seen.shares,
        frame=red.frame,
        bands={name: _joined([one[name] for one in parts], owner, settled) for name in names},
        mask=mask,
        conversion=settled[0],
        scenes=seen.scenes,
        notes=tuple(notes),
    )


def _band(scene: Scene, name: str, red: Patch, *, is_first: bool) -> Counts:
    if is_first and name == "red":
        return red.values
    return pixels.within(scene.bands[name].href, red.frame).values


def _as_held(scene: Scene, red: Counts) -> Scene:
    """Take numbers that are no whole ones for reflectance itself, where the item says nothing of them."""
    if red.dtype.kind != "f" or scene.bands["red"].scale is not None:
        return scene
    bands = {name: replace(one, scale=1.0, offset=one.offset or 0.0) for name, one in scene.bands.items()}
    return replace(scene, bands=bands)


def _clear(seen: Look, ground: Ground) -> Patch:
    """Mark the clear pixels of the field, on the pixels of the mask."""
    within: Bools = clear.inside(ground.area, ground.epsg, seen.mask.frame)
    good = clear.is_clear(seen.mask, seen.scenes[0].product) & within
    return Patch(frame=seen.mask.frame, values=good.astype(np.uint8))


def _known(values: Counts, mine: npt.NDArray[np.bool_]) -> Floats:
    found = values[mine].astype(np.float64)
    return np.where(found == 0, np.nan, found)


def _joined(parts: Sequence[Counts], owner: Counts, settled: Sequence[Conversion]) -> Counts:
    """Put the counts of several scenes together, as the first one counts."""
    first, to = parts[0], settled[0]
    values = np.where(owner == 1, first, 0).astype(first.dtype)
    for place, (more, own) in enumerate(zip(parts[1:], settled[1:], strict=True), 2):
        moved = (own.of(more.astype(np.float64)) - to.offset) / to.scale
        if first.dtype.kind in "iu":
            moved = np.clip(np.rint(moved), 1, np.iinfo(first.dtype.name).max)  # 0 is no data
        mine = (owner == place) & (more != 0)
        values[mine] = moved[mine]
    return values
