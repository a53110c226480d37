"""Patches that are too small join others. Knows areas, borders and costs, so it serves cells and polygons."""

from dataclasses import dataclass

import numpy as np

from zoning.evidence import number as evidence
from zoning.zones.zoning import Floats, Ints, Limits


def least_patch_ac(limits: Limits) -> float:
    """Give the smallest patch on the plane of the grid that is large enough on the ground, in acres."""
    return limits.min_area_ac * evidence("zones.plane_area_most")


def least_zone_ac(limits: Limits, block_ac: float) -> float:
    """Give the smallest zone of a block, in acres: the smallest patch, or the least share of the block."""
    return max(least_patch_ac(limits), evidence("zones.least_share_frac") * block_ac)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patches:
    """Patches of one block: label and area of each, and the borders between them.

    `pairs` has shape (borders, 2), indices of patches; `border_m` the length of each. [m] `cost` has shape
    (patches, labels): the squares that are left in a patch under each label; None where values do not matter.
    """

    label: Ints
    area_ac: Floats
    pairs: Ints
    border_m: Floats
    cost: Floats | None = None


class _Groups:
    """Patches that grow together. Each group is known by its smallest patch."""

    def __init__(self, patches: Patches) -> None:
        count = len(patches.label)
        self.group = list(range(count))
        self.label = dict(enumerate(patches.label.tolist()))
        self.area_ac = dict(enumerate(patches.area_ac.tolist()))
        self.cost = None if patches.cost is None else patches.cost.tolist()
        self.near: dict[int, dict[int, float]] = {patch: {} for patch in range(count)}
        for (one, other), length in zip(patches.pairs.tolist(), patches.border_m.tolist(), strict=True):
            self.near[one][other] = self.near[one].get(other, 0.0) + length
            self.near[other][one] = self.near[other].get(one, 0.0) + length
        for patch in range(count):
            if patch in self.label:
                self.fuse(patch)

    def join(self, one: int, other: int) -> int:
        """Make two groups one, under the label of the first."""
        keep, gone = min(one, other), max(one, other)
        label = self.label[one]
        for near, length in self.near.pop(gone).items():
            del self.near[near][gone]
            if near != keep:
                self.near[keep][near] = self.near[keep].get(near, 0.0) + length
                self.near[near][keep] = self.near[keep][near]
        self.area_ac[keep] += self.area_ac.pop(gone)
        if self.cost:
            self.cost[keep] = [a + b for a, b in zip(self.cost[keep], self.cost[gone], strict=True)]
        del self.label[gone]
        self.label[keep] = label
        self.group = [keep if group == gone else group for group in self.group]
        return keep

    def fuse(self, group: int) -> int:
        """Join a group with its neighbours of the same label, and theirs."""
        while True:
            alike = [near for near in self.near[group] if self.label[near] == self.label[group]]
            if not alike:
                return group
            group = self.join(group, min(alike))

    def absorb(self, group: int) -> None:
        """Give a group to the neighbour that costs least; of equals, to the longest common border."""
        near = self.near[group]
        cost = {other: self.cost[group][self.label[other]] if self.cost else 0.0 for other in near}
        self.fuse(
            self.join(
                min(near, key=lambda other: (cost[other], -near[other], -self.area_ac[other], other)), group
            )
        )

    def smallest(self, least_ac: float) -> int | None:
        """Find the smallest group below a size that has a neighbour to go to."""
        small = [group for group, area in self.area_ac.items() if area < least_ac and self.near[group]]
        return min(small, key=lambda group: (self.area_ac[group], group), default=None)

    def zone_areas_ac(self) -> dict[int, float]:
        """Area of each label."""
        total: dict[int, float] = {}
        for group, label in self.label.items():
            total[label] = total.get(label, 0.0) + self.area_ac[group]
        return total

    def dissolve(self, label: int, heir: int) -> None:
        """Give every group of a label to its neighbours, or, where it has none, to the heir."""
        while mine := [group for group, of in self.label.items() if of == label]:
            group = min(mine, key=lambda one: (self.area_ac[one], one))
            if self.near[group]:
                self.absorb(group)
            else:
                self.label[group] = heir


def settle(patches: Patches, *, least_patch_ac: float, least_zone_ac: float) -> Ints:
    """Relabel patches until each patch and each zone is large enough.

    Parameters
    ----------
    patches : Patches
    least_patch_ac : float
        A smaller patch joins the neighbour under whose label it leaves the fewest squares, or else the one
        with which it shares the longest border, the smallest patch first. A patch without neighbours stays:
        the block has a part of that size. [ac]
    least_zone_ac : float
        A zone whose patches are together smaller is dissolved, the smallest zone first; the last zone
        stays. [ac]

    Returns
    -------
    ndarray of int, shape (patches,)
        The new label of each patch, one of the old ones.

    Examples
    --------
    >>> three = Patches(
    ...     label=np.array([0, 1, 2]),
    ...     area_ac=np.array([5.0, 0.5, 5.0]),
    ...     pairs=np.array([[0, 1], [1, 2]]),
    ...     border_m=np.array([10.0, 20.0]),
    ... )
    >>> settle(three, least_patch_ac=1.0, least_zone_ac=1.0).tolist()
    [0, 2, 2]
    """
    if large_enough(
        patches.label, patches.area_ac, least_patch_ac=least_patch_ac, least_zone_ac=least_zone_ac
    ):
        return patches.label
    groups = _Groups(patches)
    while True:
        while (group := groups.smallest(least_patch_ac)) is not None:
            groups.absorb(group)
        zones = sorted(groups.zone_areas_ac().items(), key=lambda zone: (zone[1], zone[0]))
        if len(zones) < 2 or zones[0][1] >= least_zone_ac:
            return np.array([groups.label[group] for group in groups.group], dtype=np.int64)
        groups.dissolve(zones[0][0], zones[-1][0])


def large_enough(label: Ints, area_ac: Floats, *, least_patch_ac: float, least_zone_ac: float) -> bool:
    """Say whether there is nothing to settle: every patch and every zone has its smallest size."""
    zones_ac = np.bincount(label, area_ac)
    return bool(area_ac.min() >= least_patch_ac and zones_ac[zones_ac > 0].min() >= least_zone_ac)


def borders(one: Ints, other: Ints, length_m: Floats) -> tuple[Ints, Floats]:
    """Sum the lengths of common edges by pair of patches.

    Parameters
    ----------
    one, other : ndarray of int, shape (edges,)
        The patches on the two sides of each edge.
    length_m : ndarray of float, shape (edges,)
        [m]

    Returns
    -------
    pairs : ndarray of int, shape (borders, 2)
    border_m : ndarray of float, shape (borders,)
        [m]
    """
    count = int(max(one.max(initial=0), other.max(initial=0))) + 1
    pair, which = np.unique(np.minimum(one, other) * count + np.maximum(one, other), return_inverse=True)
    total_m: Floats = np.bincount(which, length_m, len(pair)).astype(np.float64)
    return np.stack(np.divmod(pair, count), axis=1), total_m
