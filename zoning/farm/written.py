"""The farm's own files: its `out` is replaced whole or not at all."""

import shutil
from pathlib import Path

from zoning.farm.asked import FarmRun
from zoning.prescription import failures, farm_layers, taskdata
from zoning.prescription import folder as out_folder
from zoning.prescription.as_json import farm_json, plan_json
from zoning.words import Said


def as_object(result: FarmRun) -> dict[str, object]:
    """Give the object that farm.json holds: the schedule, the plans, and what failed."""
    files = {one.field: one.files for one in result.outcomes}
    return farm_json.as_object(result.plan, files, result.failures)


def as_text(result: FarmRun) -> str:
    """Give the text of farm.json."""
    return plan_json.as_text(as_object(result))


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
    # imported late: no step before needs to wait for the library that draws
    from zoning.show import calendar_picture, farm_page

    out = farm / "out"
    last_day = None if result.plans else _planned_on(out)

    def fill(new: Path) -> None:
        if last_day is not None:
            shutil.copytree(out, new, dirs_exist_ok=True)
            failures.write(result.failures, new)
            return
        (new / "farm.json").write_text(as_text(result), encoding="utf-8")
        failures.write(result.failures, new)
        (new / farm_json.SCHEDULE_CSV).write_text(farm_json.schedule_csv(result.plan), encoding="utf-8")
        taskdata.write_farm(result.plan, new)
        if result.plans:
            calendar_picture.write(result.plan, new / "calendar.png")
            farm_page.write(result.plan, new / "farm.html")
            farm_layers.write(result.plan, new)

    out_folder.replace(out, fill)
    return None if last_day is None else Said("schedule.kept", out=str(out), day=last_day)


def _planned_on(out: Path) -> str | None:
    """Give the day of the plan in a farm's `out`; None where there is none with a field."""
    last = out_folder.last_object(out, "farm.json")
    return str(last.get("today")) if last.get("fields") else None
