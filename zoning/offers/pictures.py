"""The layers that taught the zones, as pictures for the page: one shade a cell on the field's grid."""

import numpy as np

from zoning.inputs.given import FieldInputs, Layer
from zoning.inputs.grid import Grid
from zoning.plan import Picture

_LAST = 255  # the highest shade; 0 is nothing
_ENDS = (0.01, 0.99)  # shares of the cells: a few odd cells must not take the shades from all others


def of_layers(given: FieldInputs) -> tuple[Picture, ...]:
    """Give each layer that the zones are drawn on as a picture.

    Parameters
    ----------
    given : FieldInputs
        Everything that was read for the field.

    Returns
    -------
    tuple of Picture
        In the order of the layers; the cells beyond `low` and `high`, one in a hundred at each end, have the
        shade of that end. Layers of which nothing was seen are left out.
    """
    made = (_picture(layer, given.grid) for layer in given.layers)
    return tuple(one for one in made if one is not None)


def _picture(layer: Layer, grid: Grid) -> Picture | None:
    seen = np.isfinite(layer.values)
    if not seen.any():
        return None
    values = layer.values[seen]
    low, high = np.quantile(values, _ENDS).tolist()
    span = high - low
    share = np.clip((values - low) / span, 0, 1) if span > 0 else np.full(values.shape, 0.5)
    shades = np.zeros(layer.values.shape, dtype=np.uint8)
    shades[seen] = 1 + np.rint(share * (_LAST - 1)).astype(np.uint8)
    return Picture(
        name=layer.name,
        day=layer.day,
        shades=shades,
        low=low,
        high=high,
        west_m=grid.left_m,
        north_m=grid.top_m,
        cell_m=grid.cell_m,
    )
