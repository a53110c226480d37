"""Differences of strips by pair and zone as a mixed model: how far zones differ, and how far by chance alone.

The difference of pair p in zone z is d = mu + zone_z + pair_p + e. Zones, pairs and e are normal with SDs of
their own; the variance of e falls with the length of the part. All variances are taken as shares of that of
e: V = var_e (1/w + a Z Z' + b P P').
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_STEPS = 20  # method: shares of the variance that are tried, of zones and of pairs
NOTHING = 1e-12  # method: squares below this share of the differences' are rounding
_MOST = 1e3  # method: an SD of zones or of pairs this many times that of e leaves nothing to e
_CLOSE = 1e-6  # method: of the likelihood, and of the roots of the shares, when the search ends
_ROUNDS = 60  # method: of the search for a quantile, at most
_STILL = 1e-9  # method: of the largest scale: a quantile that moves less stands still


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """Which parts there are: zone and pair of each, counted from 0, and its weight; shapes (parts,).

    `weight` is the length as a share of the mean length.
    """

    zone: Ints
    pair: Ints
    weight: Floats

    @property
    def zones(self) -> int:
        """How many zones."""
        return int(self.zone.max()) + 1

    @property
    def pairs(self) -> int:
        """How many pairs."""
        return int(self.pair.max()) + 1

    @property
    def compares(self) -> bool:
        """Whether any pair crosses two zones, so that pairs can be told from what is left."""
        return bool((np.bincount(self.pair) > 1).any())

    @property
    def repeats(self) -> bool:
        """Whether two pairs cross any zone, so that zones can be told from what is left."""
        return bool((np.bincount(self.zone) > 1).any())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Tried:
    """Variances of zones and of pairs as shares of that of e, and what follows; first axis (tried,).

    With U = [Z P], D the shares and w the weights, 1 / V = w - w U `inner` U' w.
    """

    zone_share: Floats
    pair_share: Floats
    inner: Floats  # shape (tried, zones + pairs, zones + pairs)
    log_det: Floats  # of V / var_e, but for a constant


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The most likely variances by REML: SDs of zones, of pairs and of what is left, and the general mean."""

    mean_bu_ac: float
    zone_sd_bu_ac: float
    pair_sd_bu_ac: float
    rest_sd_bu_ac: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spread:
    """What the mean response of each zone may be: a mixture of t distributions, one for each tried variance.

    `at` and `scale` have the shape (tried, zones), `weight` (tried,).
    """

    at: Floats
    scale: Floats
    weight: Floats
    free: int

    @property
    def mean(self) -> Floats:
        """Means, shape (zones,)."""
        return np.asarray(self.weight @ self.at)

    @property
    def sd(self) -> Floats:
        """Spreads as if the variance of e were known, shape (zones,)."""
        return np.asarray(np.sqrt(self.weight @ (self.scale**2 + (self.at - self.mean) ** 2)))

    def below(self, value: Floats | float) -> Floats:
        """Chance that each zone lies below a value, shape (zones,)."""
        from scipy.special import stdtr  # late: scipy is slow to import

        return np.asarray(self.weight @ stdtr(self.free, (value - self.at) / self.scale))

    def quantile(self, chance: float) -> Floats:
        """Give the value below which each zone lies with a chance, shape (zones,)."""
        from scipy.special import stdtrit  # late: as above

        ends = self.at + self.scale * stdtrit(self.free, chance)  # of each alone: the mixture's lies between
        low, high = ends.min(axis=0), ends.max(axis=0)
        value = self.weight @ ends
        for _ in range(_ROUNDS):  # eq. Newton's, and halving where that leaves what is known
            over = self.below(value) - chance
            low, high = np.where(over > 0, low, value), np.where(over > 0, value, high)
            nearer = value - over / self._density(value)
            value, last = np.where((nearer > low) & (nearer < high), nearer, (low + high) / 2), value
            if (np.abs(value - last) <= _STILL * self.scale.max()).all():
                break
        return np.asarray(value)

    def _density(self, value: Floats) -> Floats:
        """Density of each zone at a value, shape (zones,)."""
        from scipy.special import gammaln  # late: as above

        free = self.free
        # eq. Student's t: G((f + 1) / 2) / (G(f / 2) sqrt(pi f)) (1 + x^2 / f)^-((f + 1) / 2)
        log = gammaln((free + 1) / 2) - gammaln(free / 2) - np.log(np.pi * free) / 2
        score = (value - self.at) / self.scale
        each = np.exp(log - (free + 1) / 2 * np.log1p(score**2 / free))
        return np.asarray(self.weight @ (each / self.scale))


def tried(layout: Layout) -> Tried:
    """Lay out the variances that are tried: even steps of the share by which zones and pairs are drawn in.

    Parameters
    ----------
    layout : Layout

    Notes
    -----
    A prior even in the share s / (s + a), with s the variance of a zone's mean by e alone, says that being
    drawn in little, much, or anything between are equally likely. It needs no figure of its own, and the
    intervals that follow from it hold in simulated trials. The same is done for pairs.
    """
    drawn_in = (np.arange(_STEPS) + 0.5) / _STEPS
    spread = (1 - drawn_in) / drawn_in
    zone_share = float(np.mean(1 / np.bincount(layout.zone, layout.weight))) * spread
    pair_share = float(np.mean(1 / np.bincount(layout.pair, layout.weight))) * spread
    zones, pairs = (one.ravel() for one in np.meshgrid(zone_share, pair_share))
    return at_shares(layout, zones, pairs)


def at_shares(layout: Layout, zone_share: Floats, pair_share: Floats) -> Tried:
    """Work out what follows from variances of zones and of pairs, each as a share of that of e; (tried,)."""
    effects = _effects(layout)
    shares = [zone_share[:, np.newaxis]] * layout.zones + [pair_share[:, np.newaxis]] * layout.pairs
    root = np.sqrt(np.hstack(shares))
    # eq. Woodbury: the inverse and the determinant of V by those of 1 + D^1/2 U' w U D^1/2, which is smaller
    both = root[:, :, np.newaxis] * root[:, np.newaxis, :]
    small = np.eye(root.shape[1]) + both * ((effects * layout.weight) @ effects.T)
    return Tried(
        zone_share=zone_share,
        pair_share=pair_share,
        inner=both * np.linalg.inv(small),
        log_det=np.linalg.slogdet(small)[1],
    )


def _effects(layout: Layout) -> Floats:
    """Which parts lie in each zone, and then in each pair; shape (zones + pairs, parts)."""
    in_zone = layout.zone == np.arange(layout.zones)[:, np.newaxis]
    in_pair = layout.pair == np.arange(layout.pairs)[:, np.newaxis]
    return np.vstack([in_zone, in_pair]).astype(np.float64)


def _product(on: Tried, layout: Layout, one: Floats, other: Floats) -> Floats:
    """Products one' V^-1 other of rows of parts; shape (tried, rows of one, rows of other)."""
    effects = _effects(layout) * layout.weight
    plain = (one * layout.weight) @ other.T
    return np.asarray(plain - (one @ effects.T) @ on.inner @ (effects @ other.T))


def _reml(on: Tried, layout: Layout, difference: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Log of the restricted likelihood (up to a constant), mean, its 1' V^-1 1, variance of e; (tried,)."""
    free = len(difference) - 1
    rows = np.vstack([np.ones(len(difference)), difference])
    products = _product(on, layout, rows, rows)
    of_mean, mixed, own = products[:, 0, 0], products[:, 0, 1], products[:, 1, 1]
    mean = mixed / of_mean
    squares = np.maximum(own - mixed * mean, np.finfo(np.float64).tiny)
    log = -(on.log_det + np.log(of_mean) + free * np.log(squares)) / 2
    return log, mean, of_mean, squares / free


def is_flat(difference: Floats) -> bool:
    """Whether the differences are all alike but for rounding, so that they tell nothing of variances."""
    about = difference - difference.mean()
    return bool(about @ about <= NOTHING * (difference @ difference) or not difference.any())


def spread(on: Tried, layout: Layout, difference: Floats) -> Spread:
    """Say what the mean response of each zone may be.

    Parameters
    ----------
    on : Tried
        From `tried`.
    layout : Layout
    difference : ndarray of float, shape (parts,)
        Not `is_flat`. [bu/ac]

    Returns
    -------
    Spread
        For given variances the best linear unbiased prediction mu + zone_z with its error, that of mu
        included, and a t distribution for the variance of e, which is not known either.

    References
    ----------
    Robinson 1991, "That BLUP is a good thing: the estimation of random effects", Statistical Science 6:15-32,
    doi 10.1214/ss/1177011926
    """
    middle = difference.mean()
    difference = difference - middle  # sums of squares keep their digits
    log, mean, of_mean, var_e = _reml(on, layout, difference)
    in_zone = _effects(layout)[: layout.zones]
    share = on.zone_share[:, np.newaxis]
    rows = np.vstack([in_zone, np.ones(len(difference)), difference])
    products = _product(on, layout, in_zone, rows)
    with_mean, with_difference = products[:, :, -2], products[:, :, -1]  # method: the last two of the rows
    at = middle + mean[:, np.newaxis] + share * (with_difference - with_mean * mean[:, np.newaxis])
    within = np.einsum("tzz->tz", products[:, :, : layout.zones])
    # eq. variance of mu + zone - prediction = a - a^2 z'V^-1 z + (1 - a z'V^-1 1)^2 / (1'V^-1 1)
    error = share - share**2 * within + (1 - share * with_mean) ** 2 / of_mean[:, np.newaxis]
    weight = np.exp(log - log.max())
    return Spread(
        at=at,
        scale=np.sqrt(np.maximum(error, 0) * var_e[:, np.newaxis]),
        weight=weight / weight.sum(),
        free=len(difference) - 1,
    )


def fit(on: Tried, layout: Layout, difference: Floats) -> Fit:
    """Find the most likely variances by REML, starting from the likeliest of those tried.

    Parameters
    ----------
    on : Tried
        From `tried`.
    layout : Layout
    difference : ndarray of float, shape (parts,)
        Not `is_flat`. [bu/ac]

    Returns
    -------
    Fit
        Where no pair crosses two zones, pairs cannot be told from what is left: `pair_sd_bu_ac` is NaN; and
        so is `zone_sd_bu_ac` where no two pairs cross one zone.

    Examples
    --------
    >>> layout = Layout(zone=np.tile([0, 1], 3), pair=np.repeat([0, 1, 2], 2), weight=np.ones(6))
    >>> found = fit(tried(layout), layout, np.array([1.0, 3.0, 2.0, 3.5, 1.2, 2.8]))
    >>> round(found.mean_bu_ac, 2), round(found.zone_sd_bu_ac, 2)
    (2.25, 1.2)
    """
    from scipy.optimize import minimize  # late: as above

    middle = difference.mean()
    difference = difference - middle  # sums of squares keep their digits
    start = int(_reml(on, layout, difference)[0].argmax())
    is_known = np.array([layout.repeats, layout.compares])  # else their SD is a part of what is left

    def against(roots: Floats) -> float:
        shares = roots**2 * is_known
        return -float(_reml(at_shares(layout, shares[:1], shares[1:]), layout, difference)[0][0])

    first = np.sqrt([on.zone_share[start], on.pair_share[start]])
    found = minimize(
        against,
        first,
        method="Nelder-Mead",
        bounds=[(0, _MOST)] * 2,
        options={"xatol": _CLOSE, "fatol": _CLOSE},
    )
    shares = np.asarray(found.x) ** 2 * is_known
    best = at_shares(layout, shares[:1], shares[1:])
    _, mean, _, var_e = _reml(best, layout, difference)
    zone_sd, pair_sd = np.where(is_known, np.sqrt(shares * var_e), np.nan)
    return Fit(
        mean_bu_ac=float(middle + mean[0]),
        zone_sd_bu_ac=float(zone_sd),
        pair_sd_bu_ac=float(pair_sd),
        rest_sd_bu_ac=float(np.sqrt(var_e[0])),
    )
