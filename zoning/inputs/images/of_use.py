"""Whether a layer is of use: what it shows of the field, and whether it differs within it."""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs.given import Layer
from zoning.inputs.grid import Floats
from zoning.inputs.images.imagery import Ground, Read
from zoning.words import Said

Bools = npt.NDArray[np.bool_]


def judged(
    found: Layer,
    ground: Ground,
    notes: tuple[Said, ...],
    clear: Bools | None = None,
    *,
    pixel_m: float,
    may_be_even: bool = False,
) -> Read:
    """Cut a layer to the boundary, refuse it when it shows nothing, drop it when it is of no use.

    Parameters
    ----------
    found : Layer
    ground : Ground
    notes : tuple of Said
        What is said already.
    clear : ndarray of bool, optional
        Cells that were seen, where some of them are left out for what they are.
    pixel_m : float
        Side of a pixel of its file on the ground; of several files the smallest.
    may_be_even : bool
        Whether a layer that is the same everywhere is of use too.
    """
    cells = max(1, int(ground.inside.sum()))
    values = np.where(ground.inside, found.values, np.nan)
    seen = float(((np.isfinite(values) if clear is None else clear) & ground.inside).sum()) / cells
    if seen == 0:
        mend = "Take an image of another day, or check mask_keep."
        raise InputError("the whole field is under cloud, by its mask", where=found.file, mend=mend)
    said = list(notes)
    kept: Layer | None = replace(found, values=values, clear_frac=seen)
    if seen < number("inputs.layer_least_seen_frac"):
        said.append(Said("inputs.layer_mostly_empty", file=found.file, percent=100 * seen))
        kept = None
    elif pixel_m**2 > cells * ground.grid.cell_m**2 and not may_be_even:
        said.append(Said("inputs.layer_coarse", file=found.file, m=pixel_m))
        kept = None
    elif constant(values) and not may_be_even:
        said.append(Said("inputs.layer_constant", file=found.file, name=found.name))
        kept = None
    elif seen < number("inputs.layer_well_seen_frac"):
        said.append(Said("inputs.layer_partly_empty", file=found.file, percent=100 * (1 - seen)))
    return Read(layer=kept, notes=tuple(said))


def constant(values: Floats) -> bool:
    """Say whether a layer is known anywhere, and the same wherever it is."""
    if not np.isfinite(values).any():
        return False
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    return high - low <= number("inputs.layer_constant_spread_frac") * max(abs(low), abs(high))
