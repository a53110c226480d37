"""How good the zones of a field are: the figures. Values only; they are measured in `measured`."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerQuality:
    """How much of the variance of one layer the zones explain.

    1 - (squares about the mean of the zone) / (squares about the mean of the field), over the cells in which
    the layer was seen; `within_blocks_frac` with the mean of the block in the place of that of the field.
    `used` says whether the layer was clustered. None where there is nothing to explain.
    """

    name: str
    used: bool
    explained_frac: float | None
    within_blocks_frac: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ZonePatches:
    """One zone: of how many patches it is made, and how pure it is.

    `purity_frac` is the share of its seen cells that ask for it by their own values, before their neighbours
    voted; None where somebody else drew the zones, or nothing was seen.
    """

    zone: int
    patches: int
    purity_frac: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How far zones made from resampled ground agree with those of the plan: adjusted Rand index.

    1 is the same division, 0 what chance would give.
    """

    block: int
    mean: float
    least: float
    resamples: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Quality:
    """How good the zones of a field are.

    Shares of variance over all clustered layers, each on one robust scale: of our zones, of k-means without
    cleaning inside the same blocks and with the same numbers of clusters, and of k-means over the whole field
    that may cross the blocks, with as many clusters as there are zones. None where nothing was clustered.
    """

    layers: tuple[LayerQuality, ...]
    zones: tuple[ZonePatches, ...]
    agreement: tuple[Agreement, ...]  # for the blocks that have several zones
    explained_frac: float | None
    uncleaned_frac: float | None
    unconstrained_frac: float | None
