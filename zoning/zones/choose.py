"""Which numbers of zones a block may have, and which cell belongs to which. Draws no outlines."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from zoning.evidence import number as evidence
from zoning.zones.cells import BlockCells
from zoning.zones.cluster import Teachers, first, grown, one_thread, settled, teachers
from zoning.zones.held_out import Board, Features, board_of, score, smoothed
from zoning.zones.merge import least_zone_ac
from zoning.zones.tidy import divided
from zoning.zones.zoning import BlockCandidates, BlockQuality, Bools, Division, Floats32, Limits, Stopped


def _undivided(cells: BlockCells) -> Division:
    return Division(zones=1, labels=np.where(cells.mask, 0, -1), raw=np.where(cells.say > 0, 0, -1))


def _why_one(cells: BlockCells, limits: Limits) -> Stopped | None:
    if limits.max_zones_per_block < 2:
        return "most"
    if cells.area_ac < 2 * least_zone_ac(limits, cells.area_ac):
        return "small"
    return None if len(cells.values) else "no_layer"


@dataclass(slots=True, kw_only=True, eq=False)
class _Search:
    """One block while its number of zones is raised."""

    cells: BlockCells
    board: Board
    features: Features
    divisions: list[Division]
    fracs: list[float]
    chosen_frac: float = 0.0
    stopped: Stopped = "most"

    def look_at(self, white: Floats32, centre: Floats32, taught: Teachers, limits: Limits) -> bool:
        """Look at one more cluster; say whether to go on."""
        most = self.divisions[-1].zones
        frac, alive = score(self.board, white)
        self.fracs.append(frac)
        if alive <= most:
            self.stopped = "size"
            return True
        if frac - self.chosen_frac < evidence("zones.least_rise_frac"):
            self.stopped = "rise"
            return False
        cut = divided(self.cells, self.features, taught, centre, limits)
        self.stopped = "most" if cut.zones >= alive else "size"
        if self.stopped == "most":
            self.divisions.append(cut)
            self.chosen_frac = frac
        return True


def features_of(cells: BlockCells) -> Features:
    """Give what all cells of a block teach, and what gives each of them to a cluster."""
    return smoothed(cells, cells.fit, evidence("zones.own_window_m"))


def _begun(cells: BlockCells, board: Board) -> _Search:
    return _Search(
        cells=board.cells,
        board=board,
        features=features_of(board.cells),
        divisions=[_undivided(cells)],
        fracs=[0.0],
    )


def _taught(of_blocks: Iterable[tuple[Features, Bools]]) -> Teachers:
    return teachers(
        [
            (features.values[:-1].reshape(len(features.values) - 1, -1), np.flatnonzero(cells))
            for features, cells in of_blocks
        ]
    )


def _raise(searches: Sequence[_Search], limits: Limits) -> None:
    """Raise the number of clusters in all blocks at once, as long as it rises in any.

    Clusters are found in the white cells, which the score rests on; all cells settle from there.
    """
    going = list(searches)
    whites = _taught((one.board.features, one.board.white) for one in going)
    alls = _taught((one.features, one.cells.teach) for one in going)
    white = first(whites)
    for _ in range(2, limits.max_zones_per_block + 1):
        white = grown(whites, white)
        centres = settled(alls, white)
        on = []
        for at, one in enumerate(going):
            layers = len(one.cells.values)
            mine = white[at, :, :layers], centres[at, :, :layers]
            if one.look_at(*mine, alls.alone(at, layers), limits):
                on.append(at)
        if not on:
            return
        if len(on) < len(going):
            going = [going[at] for at in on]
            whites, alls, white = whites.of(on), alls.of(on), white[on]


def candidates_of(blocks: Iterable[BlockCells], limits: Limits) -> tuple[BlockCandidates, ...]:
    """Raise the number of zones of each block from 1 while one more explains enough of the held-out cells.

    Parameters
    ----------
    blocks : iterable of BlockCells
        In the order of their indices.
    limits : Limits

    Returns
    -------
    tuple of BlockCandidates
        One for each block, from one zone upwards; every number in it is supported, and a number may be left
        out.

    Notes
    -----
    A trial of which no more zones than before are large enough (a cluster has less than the least share of
    the block, or no patch of the smallest size) decides nothing: the next number is looked at.
    """
    searches: dict[int, _Search] = {}
    whole: dict[int, tuple[BlockCells, Stopped]] = {}
    for block, cells in enumerate(blocks):
        why = _why_one(cells, limits)
        board = None if why else board_of(cells)
        if board is None:
            whole[block] = (cells, why or "few_cells")
        else:
            searches[block] = _begun(cells, board)
    if searches:
        with one_thread():
            _raise(list(searches.values()), limits)
    return tuple(
        _found(block, searches[block]) if block in searches else _one_zone(block, *whole[block])
        for block in range(len(searches) + len(whole))
    )


def _one_zone(block: int, cells: BlockCells, why: Stopped) -> BlockCandidates:
    quality = BlockQuality(block=block, tried=(1,), explained_frac=(0.0,), chosen=1, stopped=why)
    return BlockCandidates(block=block, window=cells.window, divisions=(_undivided(cells),), quality=quality)


def _found(block: int, search: _Search) -> BlockCandidates:
    quality = BlockQuality(
        block=block,
        tried=tuple(range(1, len(search.fracs) + 1)),
        explained_frac=tuple(search.fracs),
        chosen=search.divisions[-1].zones,
        stopped=search.stopped,
    )
    return BlockCandidates(
        block=block, window=search.cells.window, divisions=tuple(search.divisions), quality=quality
    )
