"""Tasks of task data: their names, what they planted, and their time logs. Reads no binary file."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from zoning.errors import SETTINGS, InputError
from zoning.evidence import named
from zoning.inputs.given import as_compared
from zoning.inputs.planted.brought.asked import Asked
from zoning.inputs.planted.brought.packed import TASKDATA
from zoning.inputs.planted.brought.taskdata.folder import Files
from zoning.inputs.planted.brought.taskdata.tree import Node, parse

_ROOT, _EXTERNAL = "ISO11783_TaskData", "XFC"
_NAME = re.compile(r"[A-Z]{3}\d{5}")  # of a file that is named in another: letters and digits lead nowhere
_MOST_EXTERNAL = 200
_MOST_LISTED = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Planted:
    """A product of a task: its name, and from when to when it was planted, where that is told."""

    name: str
    start: datetime | None = None
    stop: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One task with time logs; `field` is what the field is called, `variety` that of the field's crop."""

    id: str
    name: str
    field: str
    products: tuple[Planted, ...]
    variety: str
    logs: tuple[str, ...]

    @property
    def called(self) -> str:
        """Its name, or its number where it has none."""
        return self.name or self.id


def of_files(files: Files) -> tuple[Task, ...]:
    """List the tasks with time logs.

    Raises
    ------
    InputError
        When TASKDATA.XML is no task data, or no task has a time log.
    """
    where = f"{files.called}: {TASKDATA}"
    root = parse(files.take(TASKDATA), where)
    if root.tag != _ROOT:
        mend = "Give the TASKDATA folder that the terminal wrote."
        raise InputError(f"this is no task data, but <{root.tag[:30]}>", where=where, mend=mend)
    every = [*root.children, *_external(root, files)]
    names = {one.text("A"): one for one in every if one.tag in ("PDT", "PFD")}
    varieties = {cvt.text("A"): cvt for one in every if one.tag == "CTP" for cvt in one.of("CVT")}
    found = tuple(_task(one, names, varieties) for one in every if one.tag == "TSK" and any(_logs(one)))
    if not found:
        mend = "Export what was done, with its time logs (TLG files), not only what is planned."
        raise InputError("none of its tasks has a time log", where=where, mend=mend)
    return found


def _external(root: Node, files: Files) -> Iterator[Node]:
    """Give the elements that stand in files of their own."""
    for one in list(root.of("XFR"))[:_MOST_EXTERNAL]:
        name = f"{one.text('A').upper()}.XML"
        if _NAME.fullmatch(name[:-4]) and name in files.names:
            where = f"{files.called}: {name}"
            outside = parse(files.take(name), where)
            if outside.tag != _EXTERNAL:
                mend = "Export it again."
                raise InputError(
                    f"this is no part of task data, but <{outside.tag[:30]}>", where=where, mend=mend
                )
            yield from outside.children


def _logs(task: Node) -> Iterator[str]:
    return (
        name for one in task.of("TLG") if _NAME.fullmatch(name := one.text("A").upper()) and name[:3] == "TLG"
    )


def _task(task: Node, names: Mapping[str, Node], varieties: Mapping[str, Node]) -> Task:
    field = names.get(task.text("E"))
    variety = varieties.get(field.text("H")) if field is not None else None
    return Task(
        id=task.text("A"),
        name=task.text("B"),
        field=field.text("C") if field is not None else "",
        products=tuple(_products(task, names)),
        variety=variety.text("B") if variety is not None else "",
        logs=tuple(dict.fromkeys(_logs(task))),
    )


def _products(task: Node, names: Mapping[str, Node]) -> Iterator[Planted]:
    """Give what was allocated to a task; where some of it is counted by pieces, only that: it is the seed."""
    counted = {f"{int(ddi):04X}" for name, ddi in named("inputs.iso_ddi").items() if name.startswith("count")}
    given = [one for one in task.of("PAN") if one.text("A") in names and names[one.text("A")].text("B")]
    for one in [pan for pan in given if pan.text("B").upper() in counted] or given:
        spans = list(one.of("ASP")) or [Node("ASP", {})]
        for span in spans:
            yield Planted(
                name=names[one.text("A")].text("B"),
                start=_moment(span.text("A")),
                stop=_moment(span.text("B")),
            )


def _moment(text: str) -> datetime | None:
    """Read a time on the clock of the place; a zone that is named is left out, as logs have none."""
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        return None


def chosen(tasks: tuple[Task, ...], asked: Asked, files: Files) -> tuple[Task, ...]:
    """Choose the tasks to take: as asked, else the only one, else those of this field by its name.

    Raises
    ------
    InputError
        Exit 2: a task that is not there, or several of which nobody says which.
    """
    if asked.tasks:
        wanted = {as_compared(one): one for one in asked.tasks}
        of_wanted = {
            key: [one for one in tasks if key in (as_compared(one.name), as_compared(one.id))]
            for key in wanted
        }
        for key, found in of_wanted.items():
            if not found:
                raise InputError(
                    f'there is no task "{wanted[key]}" with a time log',
                    where=files.called,
                    mend=f"Its tasks are {_listed(tasks)}.",
                    code=SETTINGS,
                )
        return tuple(one for one in tasks if any(one in found for found in of_wanted.values()))
    if len(tasks) == 1:
        return tasks
    here = tuple(one for one in tasks if one.field and as_compared(one.field) in asked.field)
    if here:
        return here
    what = f"it holds several tasks: {_listed(tasks)}"
    mend = "Say which with --task NAME; it may be given several times."
    raise InputError(what, where=files.called, mend=mend, code=SETTINGS)


def _listed(tasks: tuple[Task, ...]) -> str:
    told = [f'"{one.called}"{f" on {one.field}" if one.field else ""}' for one in tasks]
    more = len(told) - _MOST_LISTED
    return ", ".join(told[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")
