"""How much of each point's swath was still standing: ground that an earlier pass had not cut."""

import numpy as np
import numpy.typing as npt

from zoning.strips.cleaned.along import LEFT, Places, Runs, directions, means

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_ACROSS = 12  # method: cells across a header


def new_ground_frac(places: Places, heading_deg: Floats, runs: Runs, header_m: float) -> Floats:
    """Share of the ground under the header that no earlier pass had cut.

    The ground is divided into square cells, a twelfth of the header wide and in line with the passes; a cell
    belongs to the first pass that goes over it. Places are averaged over about a header's length before,
    because each of them is off by itself.

    Parameters
    ----------
    places, heading_deg : arrays of shape (m,)
        Of the points of passes: east + i north [m], clockwise from north [degrees].
    runs : Runs
        Their passes, in the order in which they were driven.
    header_m : float
        Width of the header. [m].

    Returns
    -------
    array of shape (m,)
        1 where the whole swath was standing, 0 where none was.

    Examples
    --------
    >>> from zoning.strips.cleaned.along import runs_of
    >>> runs = runs_of(np.repeat([0, 1], 20))
    >>> places = np.concatenate((2j * np.arange(20), 6 + 2j * np.arange(20)))
    >>> new = new_ground_frac(places, np.zeros(40), runs, 12.0)
    >>> new[10].round(2), new[30].round(2)  # the second pass lies half over the first one
    (np.float64(1.0), np.float64(0.5))
    """
    if not len(places):
        return np.zeros(0)
    ahead = directions(np.where(np.isfinite(heading_deg), heading_deg, 0))
    axis = np.sum(ahead**2)  # opposite ways are one direction
    turn = np.conj(np.sqrt(axis / abs(axis))) if abs(axis) > 0 else 1
    cell_m = header_m / _ACROSS
    places, ahead = (places - places[0]) * turn, ahead * turn
    step_m = np.abs(np.diff(places, append=places[-1:]))
    is_last = runs.last == np.arange(len(places))
    usual_m = np.median(step_m[~is_last]) if not is_last.all() else header_m
    places = _smooth(places, runs, max(1, round(header_m / max(usual_m, cell_m) / 2)))
    owner, at = _spread(places, runs, cell_m)
    key = _cells(at, ahead[owner], cell_m)
    is_new = np.mean(_is_first(key, runs.first[owner]), axis=1)
    return np.asarray(np.bincount(owner, is_new, len(places)) / np.bincount(owner, minlength=len(places)))


def _smooth(places: Places, runs: Runs, half: int) -> Places:
    return means(places.real, runs, half) + LEFT * means(places.imag, runs, half)


def _spread(places: Places, runs: Runs, cell_m: float) -> tuple[Ints, Places]:
    """Places along the passes no further apart than a cell, and the point that each belongs to."""
    here = np.arange(len(places))
    to_next = np.where(here < runs.last, np.diff(places, append=places[-1:]), 0)
    parts = np.maximum(np.ceil(np.abs(to_next) / cell_m), 1).astype(np.int64)
    owner = np.repeat(here, parts)
    part = (np.arange(len(owner)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[owner]
    return owner, places[owner] + part * to_next[owner]


def _cells(at: Places, ahead: Places, cell_m: float) -> Ints:
    """Give numbers to the cells under the header at each place; shape (places, cells across)."""
    low_row, low_column = (int(np.floor(axis.min() / cell_m)) - _ACROSS for axis in (at.imag, at.real))
    columns = int(np.ceil(at.real.max() / cell_m)) + _ACROSS - low_column
    key = np.empty((len(at), _ACROSS), dtype=np.int64)
    for place in range(_ACROSS):
        ground = at / cell_m + LEFT * ahead * (place - _ACROSS / 2 + 0.5)
        row, column = np.floor(ground.imag).astype(np.int64), np.floor(ground.real).astype(np.int64)
        key[:, place] = (row - low_row) * columns + (column - low_column)
    return key


def _is_first(key: Ints, number: Ints) -> npt.NDArray[np.bool_]:
    """Whether the pass at each place is the first one over each of its cells; passes come in their order."""
    order = np.argsort(key, axis=None, kind="stable")
    begins = np.diff(key.reshape(-1)[order], prepend=-1) != 0
    of_place = number[order // _ACROSS]
    out = np.empty(key.size, dtype=np.bool_)
    out[order] = of_place == of_place[np.flatnonzero(begins)[np.cumsum(begins) - 1]]
    return out.reshape(key.shape)
