"""The files in which values are kept. A name holds a whole file or none; it may be gone at any time."""

import os
from collections.abc import Mapping, Set
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

from zoning.errors import WORLD, InputError
from zoning.farm.kept import codec
from zoning.inputs.renaming import rename
from zoning.prescription.folder import refused

_HEAD_BYTES = 1 << 16
_END = ".npz"
_KINDS = ("offer", "plan", "counts")  # what stands before it: anything else is somebody else's
_FRESH = ".new."  # in the name of a file that is being written


def keep(path: Path, about: Mapping[str, object], thing: object) -> None:
    """Write a value into a file, in one step: whoever reads it finds the old value or the new, whole.

    Parameters
    ----------
    path : Path
        The folder around it is made where it is not there.
    about : mapping of str to object
        JSON values that `about` gives back.
    thing : object
        See `codec.to_bytes`.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse; what was there stays.
    """
    content = codec.to_bytes(thing, about)
    fresh = _fresh(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        # it is not forced onto the disk: what a power cut leaves is found to be no kept file, and made again
        fresh.write_bytes(content)
        rename(fresh, path)
    except OSError as error:
        with suppress(OSError):  # else it is pruned later
            fresh.unlink(missing_ok=True)
        if os.path.lexists(path.parent) and not path.parent.is_dir():
            what, mend = "this is no folder, and what is kept goes into one", "Remove it, and run again."
            raise InputError(what, where=path.parent, mend=mend, code=WORLD) from error
        raise refused(error, path) from error


def about(path: Path) -> dict[str, object] | None:
    """Give what is said of the value in a file; reads only its beginning.

    Returns
    -------
    dict or None
        None where there is no such file, or where it does not begin as one.
    """
    try:
        with path.open("rb") as stream:
            return codec.about_of(stream.read(_HEAD_BYTES))
    except OSError:
        return None


def kept(path: Path) -> object | None:
    """Give the value in a file; None where there is none, or the file is not whole to the byte."""
    try:
        return codec.from_bytes(path.read_bytes())
    except (OSError, ValueError):
        return None


def prune(folder: Path, names: Set[str]) -> None:
    """Remove what belongs to no field any more from a folder of kept values.

    Parameters
    ----------
    folder : Path
        Need not be there. Only kept files, and those that were to become some, are removed.
    names : set of str
        Of the fields whose files are to stay: "north" keeps north.offer.npz and north.plan.npz.

    Raises
    ------
    InputError
        Code 4 when the disk or its permissions refuse.
    """
    try:
        for path in sorted(folder.iterdir()) if folder.is_dir() else ():
            if path.is_file() and _is_left(path.name, names):
                path.unlink(missing_ok=True)
    except OSError as error:
        raise refused(error, folder) from error


def _is_left(file: str, names: Set[str]) -> bool:
    """Tell whether a file is a kept one of no field, or what is left of one that was being written."""
    if file.startswith(".") and _FRESH in file:
        return True
    name, _, kind = file.removesuffix(_END).rpartition(".")
    return file.endswith(_END) and kind in _KINDS and name not in names


def _fresh(path: Path) -> Path:
    """Name a file beside another as nobody else does: workers of one farm may be on several machines."""
    return path.with_name(f".{path.name}{_FRESH}{uuid4().hex}")
