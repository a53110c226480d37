"""The time logs of the tasks that were asked for, as one table of records."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from zoning.errors import InputError
from zoning.evidence import named, number
from zoning.inputs.grid import Floats
from zoning.inputs.harvest.points.rows import Rows
from zoning.inputs.planted.brought import stamps
from zoning.inputs.planted.brought.asked import Asked
from zoning.inputs.planted.brought.given import Opened
from zoning.inputs.planted.brought.packed import TASKDATA
from zoning.inputs.planted.brought.places import points_at
from zoning.inputs.planted.brought.taskdata.folder import Files
from zoning.inputs.planted.brought.taskdata.tasks import Planted, Task, chosen, of_files
from zoning.inputs.planted.brought.taskdata.timelog import Log, layout, records
from zoning.inputs.planted.brought.taskdata.tree import parse
from zoning.words import Said

TIME, PRODUCT, VARIETY = "time of the record", "product of the task", "variety of the field"
ACTUAL, SETPOINT = "count per area, actual (seeds/m2)", "count per area, setpoint (seeds/m2)"


def read(files: Files, asked: Asked) -> Opened:
    """Read the records of the tasks that are asked for.

    Raises
    ------
    InputError
        Exit 2: tasks to choose from. Exit 3: no task data, no time log, records without time or position, a
        header that does not belong to its records, more records than are read.
    """
    tasks = chosen(of_files(files), asked, files)
    notes: list[Said] = []
    logs: list[tuple[Task, Log]] = []
    for task in tasks:
        for name in task.logs:
            found = _log(files, name, notes)
            if found is not None and found.count:
                logs.append((task, found))
    if not logs:
        mend = "Export it again with the TLG files of its tasks."
        raise InputError("no record is in its time logs", where=files.called, mend=mend)
    used = [TASKDATA, *(f"{name}.{end}" for task in tasks for name in task.logs for end in ("XML", "BIN"))]
    return Opened(
        rows=_rows(logs, files.called),
        shapes=points_at(_joined(logs, "longitude_deg"), _joined(logs, "latitude_deg")),
        kind="task data",
        paths=tuple(dict.fromkeys(files.path(name) for name in used if name in files.names)),
        known=_known(logs),
        is_off=np.concatenate([_is_off(log) for _, log in logs]),
        tasks=tuple(dict.fromkeys(task.called for task, _ in logs)),
        notes=(*notes, *_of_products(logs)),
    )


def _log(files: Files, name: str, notes: list[Said]) -> Log | None:
    """Read one log; one whose files are not there is told, and passed over."""
    missing = [part for part in (f"{name}.XML", f"{name}.BIN") if part not in files.names]
    if missing:
        notes.append(Said("brought.log_missing", file=files.called, name=missing[0]))
        return None
    where = f"{files.called}: {name}"
    header = layout(parse(files.take(f"{name}.XML"), f"{where}.XML"), f"{where}.XML")
    codes = named("inputs.iso_ddi")
    wanted = tuple(int(codes[key]) for key in ("count_actual", "count_setpoint", "work_state"))
    found = records(files.take(f"{name}.BIN"), header, wanted, f"{where}.BIN")
    if found.left_bytes:
        said = Said("brought.log_cut", file=f"{where}.BIN", count=found.count, bytes=found.left_bytes)
        notes.append(said)
    return found


def _joined(logs: Sequence[tuple[Task, Log]], name: str) -> Floats:
    return np.concatenate([getattr(log, name) for _, log in logs])


def _count(log: Log, code: str) -> Floats:
    """Give seeds per square metre, the mean of all device elements that tell it."""
    found = log.values.get(int(named("inputs.iso_ddi")[code]))
    if found is None:
        return np.full(log.count, np.nan)
    known = np.isfinite(found)
    mean = np.where(known, found, 0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    return np.where(known.any(axis=0), mean * number("inputs.iso_count_step_m2"), np.nan)


def _is_off(log: Log) -> npt.NDArray[np.bool_]:
    """Tell where no device element works, of those that say so."""
    states = log.values.get(int(named("inputs.iso_ddi")["work_state"]))
    if states is None:
        return np.zeros(log.count, dtype=np.bool_)
    return np.asarray(((states == 0) | np.isnan(states)).all(axis=0) & (states == 0).any(axis=0))


def _rows(logs: Sequence[tuple[Task, Log]], file: str) -> Rows:
    days = np.concatenate([log.day for _, log in logs])
    texts = stamps.written(days, _joined(logs, "of_day_s"))
    products = [name for task, log in logs for name in _product(task, log)]
    varieties = [task.variety for task, log in logs for _ in range(log.count)]
    return Rows(
        file=file,
        names=(TIME, PRODUCT, VARIETY, ACTUAL, SETPOINT),
        row=np.arange(1, len(texts) + 1, dtype=np.int64),
        columns=(
            texts,
            tuple(products),
            tuple(varieties),
            np.concatenate([_count(log, "count_actual") for _, log in logs]),
            np.concatenate([_count(log, "count_setpoint") for _, log in logs]),
        ),
        is_table=False,
    )


def _known(logs: Sequence[tuple[Task, Log]]) -> dict[str, int]:
    """Say which column is what: products before the field's variety, what was counted before what was set."""
    known = {"date": 0}
    if any(task.products for task, _ in logs):
        known["variety"] = 1
    elif any(task.variety for task, _ in logs):
        known["variety"] = 2
    for place, code in ((3, "count_actual"), (4, "count_setpoint")):
        if "population" not in known and any(np.isfinite(_count(log, code)).any() for _, log in logs):
            known["population"] = place
    return known


def _product(task: Task, log: Log) -> list[str]:
    """Name the product of each record: by the times of the allocations, or all that have none."""
    timed = [one for one in task.products if one.start is not None]
    always = [one.name for one in task.products if one.start is None]
    if not timed:
        return [_together(always)] * log.count
    stamp = log.day * 86_400.0 + log.of_day_s
    names = np.full(log.count, _together(always), dtype=object)
    for one in timed:
        names[(stamp >= _second(one, "start")) & (stamp <= _second(one, "stop"))] = one.name
    return [str(name) for name in names]


def _second(one: Planted, end: str) -> float:
    moment = getattr(one, end)
    if moment is None:
        return float("inf")
    of_day = moment - moment.replace(hour=0, minute=0, second=0, microsecond=0)
    return float(moment.toordinal() * 86_400.0 + of_day.total_seconds())


def _together(names: Sequence[str]) -> str:
    return " and ".join(dict.fromkeys(names))


def _of_products(logs: Sequence[tuple[Task, Log]]) -> list[Said]:
    """Say where a task has several products at once: which of them lies where is not in the log."""
    told: dict[str, Said] = {}
    for task, _ in logs:
        names = list(dict.fromkeys(one.name for one in task.products if one.start is None))
        if len(names) > 1:
            told[task.id] = Said("brought.several_products", task=task.called, names=", ".join(names))
    return list(told.values())
