"""How good the zones of a field are: measured anew each run. Changes no zone."""

from collections import Counter
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from zoning.zones.cells import BlockCells, all_cells
from zoning.zones.quality import Agreement, LayerQuality, Quality, ZonePatches
from zoning.zones.resampled import agreements
from zoning.zones.scaling import is_constant, robust
from zoning.zones.yardstick import clustered, explained, inside_blocks
from zoning.zones.zoning import Bools, Floats, Ground, Ints, Limits, Zoning


def measure(
    zoning: Zoning,
    layers: Mapping[str, Floats],
    unused: Mapping[str, Floats],
    ground: Ground,
    limits: Limits,
    *,
    seed: int,
) -> Quality:
    """Measure how good the zones of a field are.

    Parameters
    ----------
    zoning : Zoning
        Drawn from `layers`, or by somebody else.
    layers : mapping of str to ndarray of float, shape (rows, columns)
        Those that were clustered, on `ground.grid`; NaN where nothing was seen.
    unused : mapping of str to ndarray of float, shape (rows, columns)
        Those that were not: what the zones explain of them was never looked at when they were drawn.
    ground : Ground
    limits : Limits
        Those that the zones were drawn with.
    seed : int
        The same seed gives the same figures.

    Returns
    -------
    Quality
        Without layers the overall shares are None. Purity and agreement are only known of our own zones.

    Notes
    -----
    The overall shares are taken over the cells in which every clustered layer was seen; a layer that has one
    value, or was seen on less than half of the field, is left out of them.

    Examples
    --------
    >>> import numpy as np
    >>> from shapely import box
    >>> from zoning.inputs.grid import Grid
    >>> from zoning.zones.delineate import delineate
    >>> grid = Grid.covering((0, 0, 400, 400), 32615, 10.0)
    >>> everywhere = np.ones(grid.shape, dtype=bool)
    >>> ground = Ground(
    ...     grid=grid,
    ...     inside=everywhere,
    ...     fit=everywhere,
    ...     block_of_cell=np.zeros(grid.shape, dtype=np.int16),
    ...     block_outlines=(box(0, 0, 400, 400),),
    ... )
    >>> layers = {"canopy": np.where(grid.east_m() < 150, 0.3, 0.6) + np.zeros(grid.shape)}
    >>> limits = Limits(max_zones_per_block=3, min_area_ac=1.0)
    >>> quality = measure(delineate(layers, ground, limits, seed=1), layers, {}, ground, limits, seed=1)
    >>> round(quality.explained_frac, 3), [zone.patches for zone in quality.zones]
    (1.0, [1, 1])
    """
    number = zoning.number_of_cell.astype(np.int64)
    block = np.array([-1, *(zone.block for zone in zoning.zones)])[number]
    of_layers = [(name, layer, True) for name, layer in layers.items()]
    of_layers += [(name, layer, False) for name, layer in unused.items()]
    shares = _shares(layers, number, block, zoning, seed=seed)
    blocks = list(all_cells(layers, ground)) if zoning.raw_of_cell is not None else []
    return Quality(
        layers=tuple(_of_layer(*one, number, block) for one in of_layers),
        zones=_patches(zoning, blocks),
        agreement=_agreement(zoning, blocks, limits, seed=seed),
        explained_frac=shares[0],
        uncleaned_frac=shares[1],
        unconstrained_frac=shares[2],
    )


def _of_layer(name: str, layer: Floats, used: bool, number: Ints, block: Ints) -> LayerQuality:
    seen = np.isfinite(layer) & (number > 0)
    values, zone = layer[seen], number[seen]
    return LayerQuality(
        name=name,
        used=used,
        explained_frac=explained(values, zone),
        within_blocks_frac=explained(values, zone, block[seen]),
    )


def _scaled(layers: Mapping[str, Floats], inside: Bools) -> tuple[Floats, Bools]:
    """Put the layers on one robust scale of the field: values of the cells seen in all, and which."""
    kept = []
    for name in sorted(layers):
        seen = np.isfinite(layers[name]) & inside
        if 2 * seen.sum() >= max(inside.sum(), 1) and not is_constant(layers[name][seen]):
            kept.append((layers[name], seen))
    complete = inside & np.all([seen for _, seen in kept], axis=0) if kept else np.zeros_like(inside)
    if not complete.any():
        return np.zeros((0, 0)), complete
    scaled = [robust(layer.ravel(), seen.ravel())[complete.ravel()] for layer, seen in kept]
    return np.stack(scaled, axis=-1), complete


def _shares(
    layers: Mapping[str, Floats], number: Ints, block: Ints, zoning: Zoning, *, seed: int
) -> tuple[float | None, float | None, float | None]:
    """Explained share of our zones, of clusters inside the blocks, and of clusters across them."""
    values, complete = _scaled(layers, number > 0)
    if not values.size:
        return None, None, None
    zones_of_block = dict(Counter(zone.block for zone in zoning.zones))
    inside = inside_blocks(values, block[complete], zones_of_block, seed=seed)
    across = clustered(values, len(zoning.zones), seed=seed, key=("field",))
    return explained(values, number[complete]), explained(values, inside), explained(values, across)


def _patches(zoning: Zoning, blocks: Sequence[BlockCells]) -> tuple[ZonePatches, ...]:
    seen = np.zeros(zoning.number_of_cell.shape, dtype=bool)
    for cells in blocks:
        seen[cells.window] |= cells.say > 0
    found = []
    for zone in zoning.zones:
        mine = seen & (zoning.number_of_cell == zone.number)
        pure = None
        if zoning.raw_of_cell is not None and mine.any():
            pure = float((zoning.raw_of_cell[mine] == zone.number).mean())
        patches = len(shapely.get_parts(zone.outline))
        found.append(ZonePatches(zone=zone.number, patches=patches, purity_frac=pure))
    return tuple(found)


def _agreement(
    zoning: Zoning, blocks: Sequence[BlockCells], limits: Limits, *, seed: int
) -> tuple[Agreement, ...]:
    zones_of_block = Counter(zone.block for zone in zoning.zones)
    found = []
    for block, cells in enumerate(blocks):
        if zones_of_block[block] < 2:
            continue
        number = zoning.number_of_cell[cells.window].astype(np.int64)
        indices = agreements(cells, number, limits, seed=seed, block=block)
        if indices:
            mean = float(np.mean(indices))
            found.append(Agreement(block=block, mean=mean, least=min(indices), resamples=len(indices)))
    return tuple(found)
