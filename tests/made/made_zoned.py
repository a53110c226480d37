"""The zones of a survey field, as `zoning.offers.zoned` gives them."""

import numpy as np
from made_survey_fields import CORNER_M, SIDE_M, SurveyField, survey_field

from zoning.inputs.grid import Grid
from zoning.offers.divided import by_layers
from zoning.offers.zoned import Zoned
from zoning.zones.delineate import candidates, drawn
from zoning.zones.zoning import Ground, Limits

LIMITS = Limits(max_zones_per_block=3, min_area_ac=1.0)


def survey_ground(field: SurveyField) -> Ground:
    """Lay the grid over a survey field whose pixels are its cells; two cells along the edge do not teach."""
    west, south = CORNER_M
    grid = Grid.covering((west, south, west + SIDE_M, south + SIDE_M), 32615, field.pixel_m)
    fit = np.zeros_like(field.inside)
    fit[2:-2, 2:-2] = field.inside[2:-2, 2:-2]
    return Ground(
        grid=grid,
        inside=field.inside,
        fit=fit,
        block_of_cell=field.block_of_pixel,
        block_outlines=field.blocks,
    )


def zoned_survey(seed: int, limits: Limits = LIMITS) -> Zoned:
    field = survey_field(seed)
    ground = survey_ground(field)
    of_blocks = candidates(field.layers, ground, limits, seed=seed)
    return Zoned(
        zoning=drawn(of_blocks, field.layers, ground, limits),
        divisions=by_layers(of_blocks, [str(index) for index in range(len(of_blocks))]),
        layers=field.layers,
        checked={"yield": field.unused},
        ground=ground,
        limits=limits,
        notes=(),
    )
