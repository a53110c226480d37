"""All images and further layers of one field: which teach the clustering, judge it, or give the yield.

The reading of one file is in `imagery`, of several dates in `dates_of_images`.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path

import numpy as np

from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats
from zoning.inputs.images import dates_of_images, dead, further_layers, imagery
from zoning.settings.model import Settings
from zoning.words import Said

_Step = Callable[[], Sequence[imagery.Read]]
Attempt = Callable[[_Step], Sequence[imagery.Read] | None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """The layers of a field by their use, the files that they came from, and what is to be said.

    `looks` are the images that tell bare ground from canopy.
    """

    zones: tuple[Layer, ...] = ()
    check: tuple[Layer, ...] = ()
    yield_bu_ac: Floats | None = None
    paths: tuple[Path, ...] = ()
    notes: tuple[Said, ...] = ()
    looks: tuple[dead.Look, ...] = ()


def of_field(settings: Settings, ground: imagery.Ground, today: date, attempt: Attempt) -> Seen:
    """Read every image and every further layer of a field.

    Parameters
    ----------
    settings : Settings
    ground : Ground
        Where they go.
    today : date
        Images taken later are not used.
    attempt : callable
        Does one reading, or keeps its fault and gives None, so that the other files are read too.
    """
    steps: list[tuple[str, _Step]] = [
        ("zones", partial(_image, settings, name, ground, today)) for name in dates_of_images.groups(settings)
    ]
    steps += [
        (wanted.use, partial(further_layers.layers, settings, place, ground))
        for place, wanted in enumerate(settings.layers, 1)
    ]
    found = [(use, read) for use, step in steps for read in attempt(step) or ()]
    used = [(use, read.layer) for use, read in found if read.layer is not None]
    named = _named([layer for _, layer in used])
    by_use = [(use, layer) for (use, _), layer in zip(used, named, strict=True)]
    yields = [layer.values for use, layer in by_use if use == "yield"]
    return Seen(
        zones=tuple(layer for use, layer in by_use if use == "zones"),
        check=tuple(layer for use, layer in by_use if use == "check"),
        yield_bu_ac=_mean(yields) if yields else None,
        paths=tuple(path for _, read in found for path in read.paths),
        notes=tuple(note for _, read in found for note in read.notes),
        looks=tuple(look for _, read in found for look in read.looks),
    )


def _image(settings: Settings, name: str, ground: imagery.Ground, today: date) -> tuple[imagery.Read]:
    return (dates_of_images.layer(settings, name, ground, today),)


def _named(layers: Sequence[Layer]) -> list[Layer]:
    """Tell layers of one name apart by a number."""
    taken: list[Layer] = []
    for layer in layers:
        count, name = 1, layer.name
        while name in {one.name for one in taken}:
            count += 1
            name = f"{layer.name} ({count})"
        taken.append(replace(layer, name=name))
    return taken


def _mean(layers: Sequence[Floats]) -> Floats:
    """Average what is known in each cell, NaN where nothing is."""
    stack = np.stack(layers)
    seen = np.isfinite(stack).sum(axis=0)
    with np.errstate(invalid="ignore"):
        return np.where(seen > 0, np.nansum(stack, axis=0) / seen, np.nan)
