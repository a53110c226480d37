"""Which of its possible divisions each block gets: the fewest zones that lose little of what could be had.

The layers say which divisions there are; here cells and zones are priced, and `passes` chooses. Where nothing
is priced the layers alone decide.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from zoning.inputs.given import Sighting
from zoning.offers import places, pricing, rigged
from zoning.offers.basis import Basis
from zoning.offers.sightings import speaking
from zoning.passes import label
from zoning.passes.division import BlockDivision, fewest_enough
from zoning.returns.cells import kept_frac
from zoning.returns.price import price
from zoning.returns.response import Place
from zoning.returns.terms import Floats, Priced, ZoneCase
from zoning.stage.draws import StageDraws
from zoning.words import Said
from zoning.zones.zoning import BlockCandidates, Bools, Division, Ints

# Cells that differ by less are one kind of ground.
_YIELD_STEP_BU_AC = 1.0
_CONTRAST_STEP_SD = 1.0

Kind = tuple[Place, float]


def by_layers(of_blocks: Sequence[BlockCandidates], names: Sequence[str]) -> tuple[BlockDivision, ...]:
    """Give each block the most zones that its layers support."""
    return tuple(
        BlockDivision(
            block=name,
            zones=tuple(division.zones for division in one.divisions),
            kept_frac=(),
            chosen=len(one.divisions) - 1,
        )
        for one, name in zip(of_blocks, names, strict=True)
    )


def by_returns(
    of_blocks: Sequence[BlockCandidates], stages: Sequence[StageDraws], basis: Basis, today: date
) -> tuple[BlockDivision, ...]:
    """Give each block the fewest zones that keep nearly all of what a plan for every cell would return.

    Parameters
    ----------
    of_blocks : sequence of BlockCandidates
        One for each block of the field.
    stages : sequence of StageDraws
        When each block is at which stage.
    basis : Basis
        What cells and zones are priced on.
    today : date
        Days before it are no option.

    Notes
    -----
    What a scout saw speaks for the smallest zone that the layers tell apart around it; the expected yield is
    known cell by cell where there is a yield layer.
    """
    names = [block.name for block in basis.given.blocks]
    divided = []
    for one, stage, as_supported in zip(of_blocks, stages, by_layers(of_blocks, names), strict=True):
        kept = _kept(_Block(of=one, stage=stage, basis=basis), today)
        divided.append(
            BlockDivision(
                block=as_supported.block,
                zones=as_supported.zones,
                kept_frac=kept,
                chosen=fewest_enough(as_supported.zones, kept),
            )
        )
    return tuple(divided)


def said(division: BlockDivision) -> Said | None:
    """Say that a block has fewer zones than its layers tell apart, and what the others would have added."""
    zones, most = division.zones[division.chosen], division.zones[-1]
    if zones == most:
        return None
    kept = 100 * division.kept_frac[division.chosen]
    return Said("offers.fewer_zones", block=division.block, zones=zones, most=most, percent=kept)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Block:
    """One block to be divided, and what its ground is priced on."""

    of: BlockCandidates
    stage: StageDraws
    basis: Basis

    @property
    def inside(self) -> Bools:
        """The block's cells, on its window."""
        return self.of.divisions[0].labels >= 0

    def place(self, seen: Sighting | None, mine: Bools, yield_bu_ac: float) -> Place:
        """Say what moves the response of some cells where somebody saw this, or nobody saw anything."""
        return self._place(seen, self.basis.contrast.of(mine), yield_bu_ac)

    def _place(self, seen: Sighting | None, contrast_sd: tuple[float, float], yield_bu_ac: float) -> Place:
        return places.place_of(self._spot(yield_bu_ac), seen, contrast_sd, self.basis)

    def case(self, kind: Kind) -> ZoneCase:
        """Give the case of one kind of ground; all kinds of a block have the same luck."""
        place, yield_bu_ac = kind
        return places.case_of(self._spot(yield_bu_ac), place, self.basis.response.source, self.basis)

    def _spot(self, yield_bu_ac: float) -> places.Spot:
        return places.Spot(
            zone=0, block=self.of.block, area_ac=1.0, stage=self.stage, expected_yield_bu_ac=yield_bu_ac
        )

    def seen_in(self, division: Division) -> dict[int, Sighting]:
        """Find the sighting that speaks for each zone of a division, by label."""
        grid = self.basis.given.grid
        number_of_cell, part_of_cell = np.zeros((2, *grid.shape), dtype=np.int64)
        number_of_cell[self.of.window] = division.labels + 1
        part_of_cell[self.of.window] = self.of.divisions[-1].labels + 1
        found = speaking(self.basis.given.sightings, number_of_cell, grid, part_of_cell)
        return {number - 1: one for number, one in found.items()}

    def yields(self) -> Floats:
        """Give the expected yield of each cell of the window, in bu/ac; infinite where it is not known."""
        nowhere = np.zeros(self.basis.given.grid.shape, dtype=bool)
        elsewhere = places.expected_yield_bu_ac(self.of.block, nowhere, self.basis)
        layer = self.basis.given.yield_bu_ac
        if layer is None:
            return np.full(self.inside.shape, elsewhere)
        return np.where(np.isnan(layer[self.of.window]), elsewhere, layer[self.of.window])

    def zone_kinds(self, division: Division) -> list[Kind]:
        """List the kinds of ground that the plan takes the zones of a division for."""
        seen = self.seen_in(division)
        whole = np.zeros(self.basis.given.grid.shape, dtype=bool)
        kinds = []
        for label_of in range(division.zones):
            mine = whole.copy()
            mine[self.of.window] = division.labels == label_of
            expected = places.expected_yield_bu_ac(self.of.block, mine, self.basis)
            kinds.append((self.place(seen.get(label_of), mine, expected), expected))
        return kinds

    def cell_kinds(self) -> tuple[Ints, list[Kind]]:
        """Sort the cells by what moves their response: index into the kinds, -1 outside the block."""
        finest = self.of.divisions[-1]
        seen = self.seen_in(finest)
        of_label = [seen.get(label_of) for label_of in range(finest.zones)]
        different = list(dict.fromkeys(of_label))
        inside = self.inside
        which = np.array([different.index(one) for one in of_label])[finest.labels[inside]]
        unseen = np.array([one is None for one in different])[which]
        mine = np.zeros(self.basis.given.grid.shape, dtype=bool)
        mine[self.of.window] = inside
        yields_bu_ac, contrast = self.yields()[inside], self.basis.contrast.cut(mine)
        keys = [which, _steps(yields_bu_ac, _YIELD_STEP_BU_AC)]
        for map_sd in (contrast.canopy_sd, contrast.wet_sd):
            keys.append(np.where(unseen, _steps(map_sd, _CONTRAST_STEP_SD), 0))
        kind, kinds = np.empty(len(which), dtype=np.int64), list[Kind]()
        for cells in _alike(np.stack(keys)):
            kind[cells] = len(kinds)
            expected = float(yields_bu_ac[cells].mean())
            kinds.append((self._place(different[which[cells[0]]], contrast.of(cells), expected), expected))
        kind_of_cell = np.full(inside.shape, -1)
        kind_of_cell[inside] = kind
        return kind_of_cell, kinds


def _kept(block: _Block, today: date) -> tuple[float, ...]:
    """Price every division of one block against its cells."""
    kind_of_cell, kinds = block.cell_kinds()
    divisions = block.of.divisions
    if len(kinds) <= 1:  # all alike, or so little ground that no cell has its middle there
        return (1.0,) * len(divisions)
    days = pricing.days_for([block.stage], block.basis.settings, today)
    if block.basis.rig is not None:
        days = days[label.allowed_days(block.stage, days, block.basis.rig.product)[0]]
    if not days.size:  # the label leaves no day: nothing is kept, and nothing is lost
        return (1.0,) * len(divisions)
    volumes, terms = rigged.volumes_and_terms(block.basis)

    def priced(wanted: Sequence[Kind]) -> Priced:
        return price([block.case(kind) for kind in wanted], days, volumes, terms)

    of_kinds = priced(kinds)
    cells_ac = block.basis.given.grid.cell_ac
    inside = block.inside
    return tuple(
        kept_frac(
            priced(block.zone_kinds(division)),
            of_kinds,
            cells_ac * _shared(division.labels[inside], kind_of_cell[inside], (division.zones, len(kinds))),
        )
        for division in divisions
    )


def _alike(keys: Ints) -> list[Ints]:
    """Group the columns that are equal: the places of each group, rising; groups in the order of their keys.

    As `np.unique` along the columns would, which takes thirty times as long.
    """
    order = np.lexsort(keys[::-1])  # it takes the last row for the first key
    first = np.ones(keys.shape[1], dtype=bool)
    first[1:] = (np.diff(keys[:, order], axis=1) != 0).any(axis=0)
    return np.split(order, np.flatnonzero(first))[1:]  # before the first group there is nothing


def _steps(values: Floats, step: float) -> Ints:
    """Sort values into steps about the whole ones; what is not finite into one of its own."""
    finite = np.isfinite(values)
    return np.where(finite, np.round(np.where(finite, values, 0) / step), np.iinfo(np.int32).min).astype(int)


def _shared(one: Ints, other: Ints, shape: tuple[int, int]) -> Floats:
    """Count the cells of each pair."""
    return np.bincount(one * shape[1] + other, minlength=shape[0] * shape[1]).reshape(shape).astype(float)
