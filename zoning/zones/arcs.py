"""Lines between cells of different labels, and what lies beside them. Smooths nothing.

Corners are complex numbers: columns (real) and rows (imaginary), in cells from the outer corner of the first
cell.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import shapely

from zoning.zones.zoning import Geometries, Ints

Complex = npt.NDArray[np.complex128]


class Arcs(NamedTuple):
    """Corners of lines, one line after the other, and the line of each corner."""

    place: Complex
    of: Ints

    @property
    def begins(self) -> Ints:
        """Place of the first corner of each line."""
        return np.flatnonzero(np.append(True, self.of[1:] != self.of[:-1]))

    def lines(self) -> Geometries:
        """Give the lines as geometries, real parts first."""
        xy = self.place.view(np.float64).reshape(-1, 2)
        return np.asarray(shapely.linestrings(xy, indices=self.of), dtype=np.object_)

    @classmethod
    def from_lines(cls, lines: Geometries) -> "Arcs":
        """Give geometries as complex numbers."""
        xy, of = shapely.get_coordinates(lines, return_index=True)
        return cls(xy.view(np.complex128).ravel(), of)

    def neighbours(self) -> tuple[Ints, Ints]:
        """Index of the corners before and after each; an end is its own neighbour, a closed line has none."""
        begins = self.begins
        ends = np.append(begins[1:], len(self.of)) - 1
        closed = self.place[begins] == self.place[ends]
        before, after = np.arange(len(self.of)) - 1, np.arange(len(self.of)) + 1
        before[begins[closed]], after[ends[closed]] = ends[closed] - 1, begins[closed] + 1
        held = np.concatenate([begins[~closed], ends[~closed]])
        before[held] = after[held] = held
        return before, after


def arcs_of(labels: Ints) -> Arcs:
    """Join the middles between unlike cells to lines that end where three labels meet, or labels end.

    Parameters
    ----------
    labels : ndarray of int, shape (rows, columns)
        -1 where there is none.

    Examples
    --------
    >>> arcs_of(np.array([[0, 0], [0, 1]])).place.tolist()
    [(1.5+1j), (1+1.5j)]
    """
    known = labels >= 0
    beside = (labels[:, 1:] != labels[:, :-1]) & known[:, 1:] & known[:, :-1]
    below = (labels[1:] != labels[:-1]) & known[1:] & known[:-1]
    # around each inner corner of the cells: is there an edge to its north, west, east and south?
    edges = np.stack([beside[:-1], below[:, :-1], below[:, 1:], beside[1:]])
    count = np.add.reduce(edges, axis=0, dtype=np.int8)
    row, column = np.nonzero(count)
    there, ends_here = edges[:, row, column], count[row, column] != 2
    # middles of edges by number, on a lattice of half cells
    wide = 2 * labels.shape[1]
    corner = 2 * (row + 1) * wide + 2 * (column + 1)
    middle = corner + np.array([-wide, -1, 1, wide])[:, None]
    # two edges: a link from middle to middle; one, or more: from each middle to an end in the corner
    plain = np.flatnonzero(~ends_here)
    first, last = there.argmax(axis=0)[plain], (len(there) - 1 - there[::-1].argmax(axis=0))[plain]
    way, of = np.nonzero(there & ends_here)
    ends = zip((-1 - np.arange(len(of))).tolist(), middle[way, of].tolist(), strict=True)
    through = zip(middle[first, plain].tolist(), middle[last, plain].tolist(), strict=True)
    chains = _chained([*ends, *through])
    code = np.array([place for chain in chains for place in chain], dtype=np.int64)
    is_end = code < 0
    code[is_end] = corner[of][-1 - code[is_end]]
    down, right = np.divmod(code, wide)
    # eq. rows are the imaginary part
    place = (right + 1j * down) / 2
    return Arcs(place, np.repeat(np.arange(len(chains)), [len(chain) for chain in chains]))


def _chained(links: Iterable[Sequence[int]]) -> list[list[int]]:
    """Join links to chains, from the first links on; a closed one comes back to its start.

    Links that begin at an end stand first.
    """
    near: dict[int, list[int]] = {}
    for one, other in links:
        near.setdefault(one, []).append(other)
        near.setdefault(other, []).append(one)
    chains = []
    for start in near:
        chain = [at := start]
        while near[at]:
            after = near[at].pop()
            near[after].remove(at)
            chain.append(at := after)
        if len(chain) > 1:
            chains.append(chain)
    return chains


def sides_of(arcs: Arcs, labels: Ints) -> Ints:
    """Labels on the two sides of each line, shape (lines, 2)."""
    second = arcs.place[arcs.begins + 1]  # the middle of an edge, never a corner
    on_column = second.real == np.rint(second.real)
    # eq. rows are the imaginary part
    side = np.where(on_column, 0.5, 0.5j)
    both = np.stack([second - side, second + side], axis=-1)
    return np.asarray(labels[both.imag.astype(int), both.real.astype(int)])
