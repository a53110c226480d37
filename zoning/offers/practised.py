"""What practice asks to be said of a field: gathers what the remarks need to know."""

from collections.abc import Sequence

import numpy as np

from zoning.offers.basis import Basis
from zoning.offers.offered import OfferedZone, Options
from zoning.returns.hearsay import disagreements, practice_says
from zoning.returns.price import best_option
from zoning.returns.remarks import Situation, remarks
from zoning.returns.tracks import is_late
from zoning.words import Said


def notes(zones: Sequence[OfferedZone], basis: Basis, options: Options) -> tuple[Said, ...]:
    """Say what practice knows of the field, and where sources disagree on what matters in it."""
    latitude_deg = basis.given.latitude_deg
    of = Situation(
        sprayer_kind=basis.rig.sprayer.kind if basis.rig is not None else "",
        volumes_gal_ac=options.priced.volumes_gal_ac,
        is_contrasted=any(one.plain_case is not None for one in zones),
        is_late=any(is_late(one.planted, latitude_deg, "returns.late_planting_after") for one in zones),
        is_past_middle=any(_is_past_middle(one, row, options) for row, one in enumerate(zones)),
    )
    settings = basis.settings
    return (*remarks(settings, of), *disagreements(settings, of), *practice_says(settings, of))


def _is_past_middle(one: OfferedZone, row: int, options: Options) -> bool:
    """Whether the best day that a zone still has lies after the likely middle of R3."""
    option = best_option(options.priced, row)
    middle_day = float(np.median((one.dated.of("R3") + one.dated.of("R4")) / 2))
    return option is not None and option[0] > middle_day
