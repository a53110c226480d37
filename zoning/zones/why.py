"""Why a block stayed whole, in words. Decides nothing."""

from zoning.words import Said
from zoning.zones.zoning import BlockQuality


def why_whole(quality: BlockQuality, block: str) -> Said | None:
    """Say why a block is one zone; None if it has several, or if one was all that was allowed or drawn.

    Parameters
    ----------
    quality : BlockQuality
    block : str
        The block's name.

    Examples
    --------
    >>> whole = BlockQuality(block=0, tried=(1,), explained_frac=(0.0,), chosen=1, stopped="small")
    >>> why_whole(whole, "A").text
    'block A is one zone: it does not hold two zones of the smallest size'
    """
    if quality.chosen > 1 or quality.stopped in ("most", "given"):
        return None
    return Said(f"zones.{quality.stopped}", block=block)
