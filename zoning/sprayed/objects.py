"""What was sprayed and what was not recorded yet, as objects for JSON. Decides and prints nothing."""

from pathlib import Path

from zoning.inputs.given import Sprayed
from zoning.plan import SCHEMA_VERSION
from zoning.prescription.as_json.twins import Json, with_twins
from zoning.show.sprayed import DoneAnswer, OpenPass, Recorded, names_of_files


def row_object(row: Sprayed, *, metric: bool) -> Json:
    """Give a pass that was sprayed as an object for JSON."""
    return with_twins(
        {
            "field": row.field,
            "pass": row.pass_number,
            "zones": sorted(row.zone_numbers),
            "start": None if row.start is None else row.start.isoformat(),
            "day": row.on.isoformat(),
            "end": row.end.isoformat(),
            "half": row.half or None,
            "rate_gal_ac": row.rate_gal_ac,
            "loads": row.loads,
            "area_ac": row.area_ac,
            "sprayer": row.sprayer or None,
            "wind": row.wind or None,
            "temperature": row.temperature or None,
            "applicator": row.applicator or None,
            "product": row.product or None,
            "source": row.source or None,
        },
        metric,
    )


def _open_object(one: OpenPass, answer: DoneAnswer) -> Json:
    return with_twins(
        {
            "field": one.field,
            "pass": one.number,
            "day": one.day.isoformat(),
            "half": one.half,
            "zones": list(one.zones),
            "rate_gal_ac": one.rate_gal_ac,
            "area_ac": one.area_ac,
            "loads": one.loads,
            "sprayer": one.sprayer,
            "is_due": one.day <= answer.today,
        },
        answer.metric,
    )


def listed_object(answer: DoneAnswer) -> Json:
    """Give the list as an object for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "name": answer.name,
        "today": answer.today.isoformat(),
        "recorded": [row_object(one, metric=answer.metric) for one in answer.recorded],
        "not_recorded": [_open_object(one, answer) for one in answer.still_open],
        "notes": [{"field": field, "code": said.code, "text": said.text} for field, said in answer.notes],
        "failures": [
            {"field": field, "what": one.what, "where": one.where, "mend": one.mend}
            for field, fault in answer.failures
            for one in fault.faults
        ],
    }


def recorded_object(found: Recorded, folder: Path) -> Json:
    """Give a recorded pass as an object for JSON."""
    shares = found.share_of_zone
    return {
        "schema_version": SCHEMA_VERSION,
        "recorded": row_object(found.row, metric=found.metric),
        "from_plan": list(found.from_plan),
        "treated_frac": (
            None if shares is None else {str(zone): round(share, 4) for zone, share in shares.items()}
        ),
        "notes": [{"code": said.code, "text": said.text} for said in found.notes],
        "files_written": names_of_files(found, folder),
    }
