"""The files of a task data set by their names in capitals, from a folder or a zip. Reads no content."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.evidence import number
from zoning.inputs.planted.brought.packed import BYTES_PER_MB, TASKDATA, Zip

_MOST_FILES = 10_000


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Files:
    """A set as it lies somewhere.

    `called` names it to the user, `names` are its files in capitals, `take` gives the content of one, and
    `path` says where a file of it lies, the zip where it lies in one.
    """

    called: str
    names: frozenset[str]
    take: Callable[[str], bytes]
    path: Callable[[str], Path]


def of_folder(folder: Path, called: str, xml: str = TASKDATA) -> Files:
    """Look for a set in a folder, or in the folder TASKDATA in it.

    Raises
    ------
    InputError
        Where there is none (exit 2), or the folder may not be looked into (exit 4).
    """
    try:
        for place in (folder, *(one for one in sorted(folder.iterdir()) if one.name.upper() == "TASKDATA")):
            found = {one.name.upper(): one for one in _listed(place) if one.is_file()}
            if xml.upper() in found:
                return _in_folder(found, called, xml.upper())
    except PermissionError as error:
        mend = "Get permission to read what is in it, and run again."
        raise InputError(
            "you are not allowed into this folder", where=called, mend=mend, code=WORLD
        ) from error
    mend = "Give the TASKDATA folder that the terminal wrote, with TASKDATA.XML in it, or another file."
    raise InputError("there is no TASKDATA.XML in this folder", where=called, mend=mend, code=SETTINGS)


def _listed(folder: Path) -> list[Path]:
    return sorted(folder.iterdir())[:_MOST_FILES] if folder.is_dir() else []


def _in_folder(found: dict[str, Path], called: str, xml: str) -> Files:
    found[TASKDATA] = found[xml]

    def take(name: str) -> bytes:
        path, most_mb = found[name], number("inputs.planter_most_mb")
        if path.stat().st_size > most_mb * BYTES_PER_MB:
            what = f"{name} has more than {most_mb:,.0f} MB"
            raise InputError(what, where=called, mend="Export one field only.")
        try:
            return path.read_bytes()
        except PermissionError as error:
            mend = "Get permission to read it, and run again."
            what = f"you are not allowed to read {name}"
            raise InputError(what, where=called, mend=mend, code=WORLD) from error

    return Files(called=called, names=frozenset(found), take=take, path=found.__getitem__)


def of_zip(zipped: Zip, path: Path) -> Files:
    """Look for the one set in a zip.

    Raises
    ------
    InputError
        Where there are several.
    """
    sets = [name for name in zipped.members if PurePosixPath(name).name.upper() == TASKDATA]
    if len(sets) != 1:
        mend = "Give a zip with one of them, or unpack it and give a folder."
        raise InputError(f"it holds {len(sets)} sets of task data", where=zipped.file, mend=mend)
    home = PurePosixPath(sets[0]).parent
    found = {
        PurePosixPath(name).name.upper(): name
        for name in zipped.members
        if PurePosixPath(name).parent == home
    }
    return Files(
        called=zipped.file,
        names=frozenset(found),
        take=lambda name: zipped.read(found[name]),
        path=lambda _: path,
    )
