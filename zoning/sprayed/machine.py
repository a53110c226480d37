"""The file that a sprayer wrote of a pass, laid over the zones that the field had then."""

from pathlib import Path

from zoning.evidence import number
from zoning.inputs import applied
from zoning.inputs.applied import Applied, Ground
from zoning.inputs.given import Area
from zoning.inputs.ground import kept_zones
from zoning.sprayed.draft import Draft
from zoning.words import Said

_WHOLE = 0  # the number that stands for a field without zones
_WORTH_SAYING = 0.02  # of a zone, or of what the file treats


def from_machine(draft: Draft, path: Path, rate_column: str) -> Applied:
    """Read what a machine wrote, and say what should be known about it.

    Raises
    ------
    InputError
        What `applied.read` refuses.
    """
    settings, given = draft.known.settings, draft.given
    outlines = _outlines(draft) or {_WHOLE: given.whole}
    ground = Ground(
        epsg=given.epsg,
        zones=outlines,
        swath_m=_boom_m(draft),
        is_metric=settings.units == "metric",
    )
    found = applied.read(path, path.name, ground, rate_column)
    if not found.is_unit_named:
        draft.notes.append(Said("done.rate_unit", column=found.column, file=path.name, unit=found.unit))
    if found.is_points:
        draft.notes.append(Said("done.from_points", file=path.name))
    if found.outside_frac > _WORTH_SAYING:
        draft.notes.append(Said("done.outside", file=path.name, percent=100 * found.outside_frac))
    draft.notes += _partly(found)
    return found


def _partly(found: Applied) -> list[Said]:
    """Name zones that were sprayed in a part: which way each is counted."""
    least = number("inputs.done_treated_least_frac")
    return [
        Said(
            "done.partly",
            zone=zone,
            percent=100 * share,
            counted="sprayed" if share >= least else "not sprayed",
        )
        for zone, share in found.share_of_zone.items()
        if zone != _WHOLE and _WORTH_SAYING < share < 1 - _WORTH_SAYING
    ]


def _outlines(draft: Draft) -> dict[int, Area]:
    """Give the ground of each zone: of those that are kept, else of those of the plan."""
    settings = draft.known.settings
    out = settings.folder / "out" / "zones.gpkg"
    path = kept_zones.of_field(settings, draft.given.blocks, draft.today) or out
    return kept_zones.outlines(path, draft.given.epsg) if path.is_file() else {}


def _boom_m(draft: Draft) -> float | None:
    """Give the boom of the sprayer: of the one that was typed, else of the plan's, else of the only one."""
    sprayers = draft.known.settings.sprayers
    named = draft.cells.get("sprayer", draft.planned.sprayer if draft.planned else "")
    if not named and len(sprayers) == 1:
        return sprayers[0].boom_m
    return next((one.boom_m for one in sprayers if one.name.casefold() == named.casefold()), None)
