"""What the user decided against the figures, saved beside the field for the next run."""

import json
from collections.abc import Mapping
from typing import Any

from zoning.desk import last_plan
from zoning.desk.log import Change, Log
from zoning.desk.opened import content, remove
from zoning.errors import InputError
from zoning.inputs import decisions, store


def saved(log: Log, whole: Mapping[str, Any]) -> str:
    """Save decisions as they stand on the page; none left takes the file away.

    Parameters
    ----------
    log : Log
        Each zone that is decided otherwise than before becomes a line of it.
    whole : mapping
        What decisions.json is to hold.

    Raises
    ------
    InputError
        What is wrong with them, or that they are for other zones.
    """
    text = json.dumps(whole, indent=2, ensure_ascii=False) + "\n"
    asked = decisions.of_content(text.encode("utf-8"), decisions.FILE)
    plan = last_plan.wanted(log.home, log.folder, asked.zones_id)
    unknown = sorted({one.zone for one in asked.made} - set(plan.zones))
    if unknown:
        has = ", ".join(map(str, plan.zones))
        what = f"there is no zone {', '.join(map(str, unknown))}"
        raise InputError(what, where=decisions.FILE, mend=f"The field has {has}.")
    path = log.home.inside(log.folder / decisions.FILE)
    before = _by_zone(_last(content(path)))
    after = _by_zone(asked)
    changes = [
        Change(
            what="decision" if zone in after else "decision taken back",
            zone=zone,
            before=_short(before.get(zone)),
            after=_short(after.get(zone)),
            reason=after[zone].reason if zone in after else "",
        )
        for zone in sorted({*before, *after})
        if before.get(zone) != after.get(zone)
    ]
    with log.of(*changes):
        if asked.made:
            store.write_text(path, text)
        else:
            remove(path)
    return f"{len(asked.made)} decision{'' if len(asked.made) == 1 else 's'} saved"


def _last(raw: bytes) -> decisions.Decisions | None:
    """Take the decisions that are saved; a file that cannot be read holds none."""
    try:
        return decisions.of_content(raw, decisions.FILE) if raw else None
    except InputError:
        return None


def _by_zone(found: decisions.Decisions | None) -> dict[int, decisions.Decision]:
    return {one.zone: one for one in found.made} if found else {}


def _short(one: decisions.Decision | None) -> dict[str, object] | None:
    return None if one is None else {"action": one.action, "rate_gal_ac": one.rate_gal_ac}
