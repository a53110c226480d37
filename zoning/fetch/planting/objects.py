"""The preview of a planting as an object for JSON."""

from collections.abc import Sequence

from zoning import units
from zoning.fetch.planting.preview import Preview
from zoning.fetch.planting.written import PICTURE
from zoning.plan import SCHEMA_VERSION


def as_object(found: Preview, *, again: str, written: Sequence[str] = ()) -> dict[str, object]:
    """Give the preview as an object: what each role was taken from, the blocks, notes, and what was written.

    Parameters
    ----------
    found : Preview
    again : str
        The command with which the planting is taken.
    written : sequence of str
        Names of files in the field's folder; empty where nothing was taken.
    """
    sowings = found.sowings
    return {
        "schema_version": SCHEMA_VERSION,
        "field": found.settings.name,
        "today": found.on.isoformat(),
        "file": sowings.file,
        "format": sowings.kind,
        "tasks": list(sowings.tasks),
        "records": len(found.rows),
        "records_of_file": found.of_file,
        "roles": [
            {
                "role": one.role,
                "column": one.column,
                "how": one.how,
                "first": one.first,
                "last": one.last,
                "unit": one.unit or None,
                "unit_by": one.source or None,
            }
            for one in sowings.taken
        ],
        "days": [{"day": day, "records": count} for day, count in found.days().items()],
        "varieties": [{"variety": name, "frac": share} for name, share in found.varieties().items()],
        "population_ac": found.population_ac(),
        "blocks": [
            {
                "block": block.name,
                "planted": block.planted.isoformat(),
                "emerged": block.emerged.isoformat() if block.emerged else None,
                "variety": block.variety,
                "maturity_group": block.maturity_group,
                "area_ac": block.area_ac,
                "area_ha": units.ha_from_ac(block.area_ac),
            }
            for block in found.planted.blocks
        ],
        "notes": [{"code": said.code, "text": said.text} for said in found.notes],
        "picture": PICTURE,
        "taken": bool(written),
        "written": list(written),
        "command": None if written else again,
    }
