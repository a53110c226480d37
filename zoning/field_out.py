"""The files of one field's result: `out` is replaced whole or not at all.

What stands in them is made in `prescription` and `show`; here they are put together, in the order that a
crash allows.
"""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from zoning.errors import SETTINGS, InputError
from zoning.inputs.strips import design
from zoning.offers import unfollowed
from zoning.offers.provenance import Provenance
from zoning.plan import Plan
from zoning.prescription import folder as out_folder
from zoning.prescription import formats
from zoning.prescription.as_json import plan_json
from zoning.prescription.of_a_pass import bundle
from zoning.show import load_sheet

RUN = "run.json"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A plan and what it was made of."""

    plan: Plan
    provenance: Provenance


def as_object(result: Run, files: tuple[str, ...] = ()) -> dict[str, object]:
    """Give the object that plan.json holds."""
    return plan_json.as_object(result.plan, files)


def check_out(folder: Path, *, alone: bool) -> None:
    """Refuse to replace a result that the farm's schedule made, unless that is wanted.

    Raises
    ------
    InputError
        When `folder`/out was made with one schedule for the farm and `alone` is False.
    """
    out = folder / "out"
    made = out_folder.last_object(out, RUN)
    if not alone and made.get("schedule") == "farm":
        raise InputError(
            "this result belongs to the farm's shared schedule",
            where=out,
            mend="Run the farm again, or add --alone to plan this field as if it had the sprayer to itself.",
            code=SETTINGS,
        )


def write(
    result: Run,
    out: Path,
    *,
    allow_unreachable: bool = False,
    pictures: bool = True,
    about: Mapping[str, object] = {},
) -> tuple[str, ...]:
    """Write a plan as files; `out` is replaced whole or not at all.

    Check strips that the plan lays are written into the field's folder, once everything else is there.

    Parameters
    ----------
    result : Run
    out : Path
        The folder to replace.
    allow_unreachable : bool
        Write maps that the machine cannot follow too; they carry the warning inside.
    pictures : bool
        Write map.png, page.html and sheet.pdf too, which cost more than all the other files.
    about : mapping of str to object
        What run.json says beside what it always does, as JSON values.

    Returns
    -------
    tuple of str
        Names of the files, relative to `out`.

    Raises
    ------
    InputError
        When the machine cannot follow the map of a pass, unless that is allowed; when the disk refuses.
    """
    if not allow_unreachable:
        unfollowed.check(result.plan, out)
    names: list[str] = []

    def fill(new: Path) -> None:
        names.extend(formats.write_all(result.plan, new))
        if pictures:
            names.extend(_write_pictures(result.plan, new))
        for name, text in load_sheet.texts(result.plan).items():
            (new / name).write_text(text, encoding="utf-8", newline="\n")
            names.append(name)
        names.extend(bundle.write_sums(result.plan, new))
        names.extend(("plan.json", RUN))
        _write_object(new / "plan.json", as_object(result, tuple(names)))
        of_run = {**result.provenance.as_object(), "schedule": result.plan.schedule, **about}
        _write_object(new / RUN, {**of_run, "files": _digests(new, names)})

    def lay_strips() -> None:
        if result.plan.strips is not None and result.plan.strips.new_design:
            design.write(out.parent, result.plan.strips.new_design)

    out_folder.replace(out, fill, lay_strips)
    return tuple(names)


def _write_pictures(plan: Plan, new: Path) -> Iterator[str]:
    """Write what is drawn and set; the name of each file."""
    # imported late: where no pictures are wanted, nobody waits for the libraries that draw and set type
    from zoning.show import map as field_map
    from zoning.show import page, sheet

    for name, show in (("map.png", field_map), ("page.html", page), ("sheet.pdf", sheet)):
        show.write(plan, new / name)
        yield name


def _write_object(path: Path, thing: Mapping[str, object]) -> None:
    path.write_text(plan_json.as_text(thing), encoding="utf-8", newline="\n")


def _digests(folder: Path, names: Sequence[str]) -> dict[str, str]:
    """Hash what was written, but run.json: who finds all of it can tell that the result is whole."""
    return {name: _sha256(folder / name) for name in names if name != RUN}


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def written_before(out: Path, plan_hash: str) -> tuple[str, ...] | None:
    """Give the names of the files of a result that is of a plan and complete, to the byte; else None.

    Parameters
    ----------
    out : Path
        Where the result may stand.
    plan_hash : str
        That of `about` with which it was written.
    """
    about = out_folder.last_object(out, RUN)
    files = about.get("files")
    if about.get("plan_hash") != plan_hash or not isinstance(files, dict):
        return None
    if not all((out / name).is_file() and _sha256(out / name) == was for name, was in files.items()):
        return None
    names = out_folder.last_object(out, "plan.json").get("files")
    return tuple(names) if isinstance(names, list) else None
