"""What `sprayworth new` makes: a folder to fill in, or an invented farm that runs."""

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Literal

from zoning.errors import SETTINGS, InputError
from zoning.inputs import store
from zoning.settings.read import is_farm
from zoning.settings.templates import template

_FILES = "add boundary and planting (sprayworth get helps)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """The files that were made and what to do next."""

    files: tuple[Path, ...]
    next_step: str


def make(folder: Path, kind: Literal["farm", "field", "example"]) -> Made:
    """Make a farm with one field, a field inside a farm, or the example farm.

    Parameters
    ----------
    folder : Path
        May exist; no file in it is ever written over. What was begun here and broken off is ended.
    kind : {"farm", "field", "example"}
        What to make.

    Raises
    ------
    InputError
        When a file that would be made is there already, before anything is written (exit 2); when the disk
        refuses, and then nothing is left behind (exit 4).
    """
    if kind == "example":
        files = _example()
        next_step = f"run it: sprayworth run {folder / 'three_dates'}"
    elif kind == "field":
        if not is_farm(folder.parent):
            raise InputError(
                "there is no farm.toml in the folder above",
                where=folder,
                mend="Make the farm first with `sprayworth new`, or leave out --field.",
                code=SETTINGS,
            )
        files = {"field.toml": template("field.toml").encode()}
        next_step = f"fill in {folder / 'field.toml'}, {_FILES}, then: sprayworth check {folder}"
    else:
        files = {
            "farm.toml": template("farm.toml").encode(),
            "first_field/field.toml": template("field.toml").encode(),
        }
        next_step = f"fill in both files, {_FILES}, then: sprayworth check {folder}"
    blocked = next((at for at in (folder, *folder.parents) if at.exists() and not at.is_dir()), None)
    if blocked is not None:
        mend = "Choose another folder; nothing was written."
        raise InputError("this is a file, not a folder", where=blocked, mend=mend, code=SETTINGS)
    missing = {name: content for name, content in files.items() if not (folder / name).exists()}
    other = [name for name in files if name not in missing and not _holds(folder / name, files[name])]
    if other or not missing:
        raise InputError(
            f"{(other or list(files))[0]} is there already",
            where=folder,
            mend="Choose another folder; nothing was written.",
            code=SETTINGS,
        )
    _write(folder, missing)
    return Made(files=tuple(folder / name for name in files), next_step=next_step)


def _holds(path: Path, content: bytes) -> bool:
    """Tell whether a file is as it would be made: left by a command that was broken off."""
    try:
        return path.read_bytes() == content
    except OSError:
        return False


def _write(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write all files, or none: what was made before the disk refused is taken away again."""
    inside = {at for name in files for at in (folder / name).parents}
    new = sorted((at for at in inside if not at.exists()), key=lambda at: len(at.parts), reverse=True)
    try:
        for name, content in files.items():
            store.write_bytes(folder / name, content)
    except InputError:
        for name in files:
            (folder / name).unlink(missing_ok=True)
        for at in new:
            if at.is_dir() and not any(at.iterdir()):
                at.rmdir()
        raise


def _is_made_by_a_run(part: str) -> bool:
    """Tell whether a folder of the example is no input of ours: results, or check strips that a run laid."""
    return part.startswith("out") or part == "strips"


def _example() -> dict[str, bytes]:
    """Read the example farm: inside an installed package, or beside the sources it is installed from."""
    package = resources.files("zoning")
    inside = Path(str(package.joinpath("example")))
    root = inside if inside.is_dir() else Path(str(package)).parent / "demo_fields" / "heron_slough"
    return {
        path.relative_to(root).as_posix(): path.read_bytes()
        for path in sorted(root.rglob("*"))
        if path.is_file() and not any(_is_made_by_a_run(part) for part in path.relative_to(root).parts)
    }
