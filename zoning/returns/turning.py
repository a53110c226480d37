"""Where skip becomes spray as one figure rises."""

from collections.abc import Callable

_HALVINGS = 60  # method: of a bracket, down to the last bit of a float


def turning(
    is_sprayed: Callable[[float], bool], low: float, high: float, halvings: int = _HALVINGS
) -> float | None:
    """Find where a decision turns by halving a bracket; None where it does not turn between its ends.

    Parameters
    ----------
    is_sprayed : callable
        Whether a pass is made at a figure; once it is, it stays so at every higher one.
    low, high : float
        Ends of the bracket.
    halvings : int
        Fewer where asking is dear and the last digits tell nothing.

    Returns
    -------
    float or None
        A figure at which the pass is made, within the last halving of the lowest such one.

    Examples
    --------
    >>> round(turning(lambda usd_bu: usd_bu > 7.5, 0.0, 60.0), 9), turning(lambda usd_bu: True, 0.0, 60.0)
    (7.5, None)
    """
    if is_sprayed(low) or not is_sprayed(high):
        return None
    for _ in range(halvings):
        half = 0.5 * (low + high)
        low, high = (low, half) if is_sprayed(half) else (half, high)
    return high
