"""How dense and how wet each spot is against its own planting block, in SD of the block.

A late block is greener or thinner because it is younger, so nothing is compared across blocks. What it means
for the response is for the returns room.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from zoning.evidence import number
from zoning.inputs.given import FieldInputs, Layer
from zoning.zones.zoning import Bools, Floats, Ints


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contrast:
    """Two maps on the field's grid, in SD of the block; 0 where nothing is known."""

    canopy_sd: Floats
    wet_sd: Floats

    def of(self, mine: Bools | Ints) -> tuple[float, float]:
        """Give the mean of both over some cells; a hundredth of an SD is nothing."""
        canopy_sd, wet_sd = self.canopy_sd[mine], self.wet_sd[mine]
        if not canopy_sd.size:
            return 0.0, 0.0
        # asked for each kind of cell: `mean` takes three times as long for so few
        return (
            round(float(np.add.reduce(canopy_sd)) / canopy_sd.size, 2),
            round(float(np.add.reduce(wet_sd)) / wet_sd.size, 2),
        )

    def cut(self, mine: Bools) -> "Contrast":
        """Give the maps of some cells alone, one after another."""
        return Contrast(canopy_sd=self.canopy_sd[mine], wet_sd=self.wet_sd[mine])


def contrast_of(given: FieldInputs) -> Contrast:
    """Compare every cell with its block.

    Parameters
    ----------
    given : FieldInputs
        Layers from images say how dense the canopy is, layers whose wet end the user named how wet the
        ground.

    Returns
    -------
    Contrast
        Several layers of one meaning count alike. A block whose canopy hardly varies counts as even.
    """
    canopy = [layer for layer in given.layers if layer.shows == "canopy"]
    every = (*given.layers, *given.check_layers)
    wet = [layer for layer in every if layer.shows in ("wet high", "wet low")]
    least_cv = number("returns.contrast_least_cv")
    return Contrast(
        canopy_sd=_mean_sd(canopy, given, lambda values: least_cv * abs(float(values.mean()))),
        wet_sd=_mean_sd(wet, given, lambda values: 0.0),
    )


def _mean_sd(layers: Sequence[Layer], given: FieldInputs, least: Callable[[Floats], float]) -> Floats:
    total, known = np.zeros(given.grid.shape), np.zeros(given.grid.shape)
    for layer in layers:
        values = -layer.values if layer.shows == "wet low" else layer.values
        for block in range(len(given.blocks)):
            mine = (given.block_of_cell == block) & np.isfinite(values)
            if not mine.any():
                continue
            spread = max(float(values[mine].std()), least(values[mine]))
            if spread > 0:
                total[mine] += (values[mine] - values[mine].mean()) / spread
                known[mine] += 1
    return np.divide(total, known, out=np.zeros_like(total), where=known > 0)
