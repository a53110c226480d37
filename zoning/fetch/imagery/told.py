"""What `get imagery` did, told for people and for programs."""

from zoning.evidence import number
from zoning.fetch.addresses import without_secrets
from zoning.fetch.imagery.got import Got
from zoning.plan import SCHEMA_VERSION


def as_text(got: Got) -> str:
    """Tell what came of it, for people."""
    rows = [("day", "seen", "cloud", "")]
    rows += [
        (
            one.day.isoformat(),
            f"{100 * one.shares.seen:.0f} %",
            f"{100 * one.shares.cloud:.0f} %",
            one.file or ("not needed" if one.shares.seen >= number("inputs.layer_well_seen_frac") else ""),
        )
        for one in got.days
    ]
    days = "day" if len(got.days) == 1 else "days"
    lines = [
        f"{got.field}: {len(got.days)} {days} with images from {got.catalogue.name}, "
        f"{got.catalogue.collection}",
        *(f"  {day:<10}  {seen:>6}  {cloud:>6}  {file}".rstrip() for day, seen, cloud, file in rows),
        *(f"  note: {said.text}" for said in got.notes),
        *(f"  licence: {one}" for one in sorted({one.licence for one in got.kept})),
        f"  field.toml: {len(got.named)} new [[imagery]]" if got.named else "  field.toml has none to add",
    ]
    return "\n".join(lines)


def as_object(got: Got) -> dict[str, object]:
    """Tell the same for programs."""
    return {
        "schema_version": SCHEMA_VERSION,
        "field": got.field,
        "catalogue": without_secrets(got.catalogue.address),
        "collection": got.catalogue.collection,
        "days": [
            {
                "day": one.day.isoformat(),
                "scenes": list(one.scenes),
                "seen_frac": round(one.shares.seen, 4),
                "cloud_frac": round(one.shares.cloud, 4),
                "file": one.file or None,
            }
            for one in got.days
        ],
        "licences": sorted({one.licence for one in got.kept}),
        "read": list(got.read),
        "named": list(got.named),
        "faults": [{"what": one.what, "where": one.where, "mend": one.mend} for one in got.faults],
        "notes": [{"code": said.code, "text": said.text} for said in got.notes],
    }
