"""The farm's own files: its `out` is replaced whole or not at all."""

import shutil
from pathlib import Path

from zoning.farm.asked import FarmRun, Outcome
from zoning.prescription import failures, farm_layers, field_table, taskdata
from zoning.prescription import folder as out_folder
from zoning.prescription.as_json import farm_json, plan_json
from zoning.words import Said

_FARM_JSON = "farm.json"


def as_object(result: FarmRun) -> dict[str, object]:
    """Give the object that farm.json holds: the schedule, the plans, and what failed."""
    files = {one.field: one.files for one in result.outcomes}
    return farm_json.as_object(result.plan, files, result.failures)


def as_text(result: FarmRun, farm: Path) -> str:
    """Give the text of farm.json of a result that was just written into a farm's folder."""
    if result.stays is not None:  # the file there is of an earlier plan
        return plan_json.as_text(as_object(result))
    return (farm / "out" / _FARM_JSON).read_text(encoding="utf-8")


def write(result: FarmRun, farm: Path, *, with_pages: bool) -> Said | None:
    """Write the farm's files; where no field came through, only failures.csv, and the last plan stays.

    Parameters
    ----------
    result : FarmRun
        Its fields' own files are written.
    farm : Path
        The farm's folder.
    with_pages : bool
        The fields have pages, to which the farm's page leads.

    Returns
    -------
    Said or None
        What stays as it was, None where all was replaced.

    Raises
    ------
    InputError
        Code 4, when the disk refuses.
    """
    out = farm / "out"
    out_folder.heal(out)
    last_day = None if result.plans else field_table.day_of(out)

    def fill(new: Path) -> None:
        if last_day is not None:
            shutil.copytree(out, new, dirs_exist_ok=True)
            failures.write(result.failures, new)
        else:
            _fill(result, farm, new, with_pages=with_pages)

    out_folder.replace(out, fill)
    return None if last_day is None else Said("schedule.kept", out=str(out), day=last_day)


def _fill(result: FarmRun, farm: Path, new: Path, *, with_pages: bool) -> None:
    """Write the farm's files into a new folder."""
    # imported late: no step before needs to wait for the library that draws
    from zoning.show import calendar_picture, farm_page

    plan = result.plan
    pages = plan.folders if with_pages else ()

    came = {one.field: one for one in result.outcomes}

    def text_of(folder: str) -> str:
        try:
            return (farm / folder / "out" / "plan.json").read_text(encoding="utf-8")
        except FileNotFoundError:  # somebody took it away a moment ago
            return _text_of(came[folder])

    farm_json.write(plan, new / _FARM_JSON, text_of, result.failures)
    failures.write(result.failures, new)
    (new / farm_json.SCHEDULE_CSV).write_text(farm_json.schedule_csv(plan), encoding="utf-8", newline="")
    taskdata.write_farm(plan, new, is_checked=True)  # by who wrote the fields
    if plan.plans:
        calendar_picture.write(plan, new / "calendar.png")
        farm_page.write(plan, new / "farm.html", pages)
        farm_layers.write(plan, new, pages)


def _text_of(one: Outcome) -> str:
    """Give the text of a field's plan.json anew."""
    if one.plan is None:
        raise ValueError(f"{one.field} has no plan")
    return plan_json.as_text(plan_json.as_object(one.plan, one.files))
