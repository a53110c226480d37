"""The folder that the desk was opened with: its fields, and what may be written there and nowhere else."""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs.renaming import rename
from zoning.prescription.folder import heal
from zoning.settings.read import FIELD_FILE, fields_of, is_farm

# What a run writes in a field's folder, and the desk itself.
_REPLACED = ("out", "out.new", "out.last")  # a farm's own folder has them too
_WRITTEN = (*_REPLACED, "strips", "strips/design.geojson", "history", "history/zones")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A field, or a farm with its fields; `elsewhere` are fields that are links to another place."""

    root: Path
    fields: tuple[Path, ...]
    is_farm: bool
    elsewhere: tuple[str, ...] = ()

    def inside(self, path: Path) -> Path:
        """Give a path back if what it leads to lies in the folder.

        Raises
        ------
        InputError
            Where a link leads out of it, or to itself.
        """
        try:
            leads_to = path.resolve()
        except (OSError, RuntimeError) as error:
            mend = "Put the file itself in place of the link."
            raise InputError("a link that leads to itself", where=path.name, mend=mend, code=WORLD) from error
        if not leads_to.is_relative_to(self.root):
            raise InputError(
                "it lies outside of the folder that is open",
                where=path.name,
                mend="Open the folder that holds it, or put the file itself in place of the link.",
                code=WORLD,
            )
        return path

    def check_written(self, field: Path) -> None:
        """Refuse a run whose files would land elsewhere.

        Raises
        ------
        InputError
            Where one of the names that a run writes is a link out of the folder.
        """
        for name in _WRITTEN:
            self.inside(field / name)
        for name in _REPLACED if self.is_farm else ():
            self.inside(self.root / name)


def opened(folder: Path) -> Opened:
    """Find the field or the fields of a folder.

    Parameters
    ----------
    folder : Path
        With field.toml, or a farm with farm.toml.

    Raises
    ------
    InputError
        Code 2 where it is neither, or a farm without fields.
    """
    root = folder.resolve()
    if (root / FIELD_FILE).is_file():
        _heal(root)
        return Opened(root=root, fields=(root,), is_farm=False)
    if not is_farm(root):
        mend = "Give the folder that holds field.toml or farm.toml; `sprayworth new` makes one."
        raise InputError("this is neither a field nor a farm", where=folder, mend=mend, code=SETTINGS)
    fields = fields_of(root)
    mine = tuple(one for one in fields if one.resolve().is_relative_to(root))
    if not mine:
        mend = "Put each field into a folder of its own with a field.toml; `sprayworth new` makes one."
        raise InputError("no field in this farm", where=folder, mend=mend, code=SETTINGS)
    _heal(root, *mine)
    elsewhere = tuple(one.name for one in fields if one not in mine)
    return Opened(root=root, fields=mine, is_farm=True, elsewhere=elsewhere)


def _heal(*folders: Path) -> None:
    """Bring back last results, as every command does; where that is refused, what is asked later says so."""
    for folder in folders:
        with suppress(InputError):
            heal(folder / "out")


def content(path: Path) -> bytes:
    """Give what a file holds, nothing where there is none.

    Raises
    ------
    InputError
        Code 4 where it may not be read.
    """
    try:
        return path.read_bytes() if path.is_file() else b""
    except OSError as error:
        what = f"cannot be read ({(error.strerror or 'refused').lower()})"
        mend = "Get permission to read it, and try again."
        raise InputError(what, where=path.name, mend=mend, code=WORLD) from error


@contextmanager
def set_aside(path: Path) -> Iterator[None]:
    """Take a file away for a change that it no longer fits; it stays as .bak, or where it is if that fails.

    It goes first: what a crash leaves of the change is then never met by a file that contradicts it.

    Raises
    ------
    InputError
        Code 4 where the disk refuses.
    """
    aside = path.with_name(f"{path.name}.bak")
    is_there = path.is_file()
    if is_there:
        with _removing(path):
            rename(path, aside)
    try:
        yield
    except BaseException:
        if is_there:
            with suppress(OSError):
                rename(aside, path)
        raise


def remove(path: Path) -> None:
    """Take a file away; what is not there stays so.

    Raises
    ------
    InputError
        Code 4 where the disk refuses.
    """
    with _removing(path):
        path.unlink(missing_ok=True)


@contextmanager
def _removing(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        what = f"cannot be removed ({(error.strerror or os.strerror(error.errno or 0)).lower()})"
        raise InputError(what, where=path.name, mend="Allow writing there, and try again.", code=WORLD) from (
            error
        )
