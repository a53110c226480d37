"""What it would be worth to know the season's response before deciding."""

import numpy as np

from zoning.returns.terms import Floats


def perfect_information(net: Floats) -> float:
    """Value of perfect information on a pass: the mean of the better choice less the better mean.

    Parameters
    ----------
    net : array, shape (draws,)
        Net return of the pass in each draw; of no pass it is 0. [USD or USD/ac]

    Returns
    -------
    float
        Never below 0: no count, test or forecast is worth more than that. [unit of `net`]

    Notes
    -----
    E max(0, net) - max(0, E net).

    Examples
    --------
    >>> perfect_information(np.array([-10.0, 30.0]))  # 15 with it, 10 without
    5.0
    """
    return max(0.0, float(np.maximum(net, 0).mean()) - max(0.0, float(net.mean())))
