"""Where an input file lies, how the user calls it, and its hash. Reads no content into meaning."""

import hashlib
import os
import stat
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from pathlib import Path

from zoning import once_read
from zoning.errors import SETTINGS, WORLD, InputError, raise_all
from zoning.settings.model import Settings

_PARTS_OF_SHAPEFILE = (".shx", ".dbf", ".prj", ".cpg")
_SHAPES = (".geojson", ".gpkg", ".shp")  # endings of files that may hold a boundary
_MOST_LINES = 20  # faults of one file that are printed one by one
_Stamp = tuple[int, ...]
_watched: ContextVar[dict[Path, tuple[str, _Stamp]] | None] = ContextVar("watched", default=None)


def find(settings: Settings, key: str, file: str) -> Path:
    """Give the path of a file that the settings name; `key` as in "imagery[1].file".

    Raises
    ------
    InputError
        When there is no such file (exit 2), nothing in it (exit 3), or no permission to read it (exit 4).
    """
    path = settings.path(key, file)
    try:
        is_there = path.exists()
    except PermissionError as error:  # the folder around it may not be looked into
        raise _not_allowed(file) from error
    except OSError:  # a name longer than the system can have
        is_there = False
    if not is_there:
        mend = "Put it there, or name another."
        beside = _may_be_boundary(settings, path.parent) if key == "boundary.file" else ""
        if beside:
            mend = f"Name {beside}, which lies there, in [boundary] file, or put the file in its place."
        raise InputError(f"there is no file {file}", where=settings.where(key), mend=mend, code=SETTINGS)
    if not path.is_file():
        what = f"{file} is a folder, not a file" if path.is_dir() else f"{file} is no file with content"
        raise InputError(what, where=settings.where(key), mend="Name a file.", code=SETTINGS)
    watch(path, file)
    if path.stat().st_size == 0:
        raise InputError("the file is empty", where=file, mend="Save or export it again.")
    if not os.access(path, os.R_OK):
        raise _not_allowed(file)
    return path


def _may_be_boundary(settings: Settings, folder: Path) -> str:
    """Name the file that somebody may have meant for the boundary; "" where there is none, or several."""
    others = {"planting", "zones", "design", *_stems_named(settings)}
    try:
        found = sorted(
            one.name for one in folder.iterdir() if one.suffix.lower() in _SHAPES and one.is_file()
        )
    except OSError:
        return ""
    called = [name for name in found if Path(name).stem.casefold() == "boundary"]
    free = called or [name for name in found if Path(name).stem.casefold() not in others]
    return free[0] if called or len(free) == 1 else ""


def _stems_named(settings: Settings) -> set[str]:
    """List the files that the settings name for something else: in small letters, without their endings."""
    named = [settings.planting.file, settings.zones.file, settings.guidance.file, settings.harvest.file]
    named += [one.file for one in settings.setbacks] + [one.file for one in settings.dead_ground]
    named += [one.file for one in settings.scouting]
    return {Path(one).stem.casefold() for one in named if one}


@contextmanager
def unchanged() -> Iterator[None]:
    """Refuse what is read and hashed in this context if somebody changed a file in between.

    Raises
    ------
    InputError
        Code 4, for every file that `find` or `watch` saw otherwise: what was read of it is perhaps half of
        it, and not what its hash says.
    """
    seen: dict[Path, tuple[str, _Stamp]] = {}
    token = _watched.set(seen)
    try:
        yield
    except InputError:  # a fault of a file that is half there is none
        raise_all(_changed(seen))
        raise
    finally:
        _watched.reset(token)
    raise_all(_changed(seen))


def watch(path: Path, called: str) -> None:
    """Note how a file is just before it is read, with its companions; see `unchanged`."""
    seen = _watched.get()
    if seen is not None and path not in seen:
        seen[path] = (called, _stamp(path))


def _changed(seen: dict[Path, tuple[str, _Stamp]]) -> list[InputError]:
    mend = "Wait until it is written to its end, and run again."
    what = "the file was changed while it was read"
    return [
        InputError(what, where=called, mend=mend, code=WORLD)
        for path, (called, before) in seen.items()
        if _stamp(path) != before
    ]


def _stamp(path: Path) -> _Stamp:
    found: list[int] = []
    for part in parts(path):
        try:
            state = part.stat()
        except OSError:
            found.append(-1)
        else:
            found += [state.st_dev, state.st_ino, state.st_size, state.st_mtime_ns, state.st_ctime_ns]
    return tuple(found)


def parts(path: Path) -> list[Path]:
    """List a file with the companions of a shapefile, there or not."""
    ends = _PARTS_OF_SHAPEFILE if path.suffix.lower() == ".shp" else ()
    return [path, *(path.with_suffix(end) for end in ends)]


def _not_allowed(file: str) -> InputError:
    mend = "Get permission to read it, and run again."
    return InputError("you are not allowed to read the file", where=file, mend=mend, code=WORLD)


def is_endless(path: Path) -> bool:
    """Tell whether a pipe or a device lies at a path, also by a link: reading it may never end."""
    try:
        mode = path.stat().st_mode
    except (OSError, ValueError):
        return False  # who reads it says why
    return not (stat.S_ISREG(mode) or stat.S_ISDIR(mode))


def at_most(faults: Sequence[InputError], file: str) -> list[InputError]:
    """Keep the first faults of a file and count the rest, so that one mistake in every row stays readable."""
    kept = list(faults[:_MOST_LINES])
    if len(faults) > len(kept):
        more = len(faults) - len(kept)
        kept.append(
            InputError(
                f"{more} more faults of this kind", where=file, mend="Mend the first ones and run again."
            )
        )
    return kept


def name_in(settings: Settings, path: Path) -> str:
    """Name a file relative to the field's folder ("../" for the farm's); never with the machine's folders.

    A file outside the farm goes by its bare name.
    """
    return _name_in(_homes(settings), path)


def _homes(settings: Settings) -> tuple[Path, Path]:
    """Give the folders of the farm and of the field, links resolved."""
    own = settings.folder.resolve()
    return (settings.farm_folder.resolve() if settings.farm_folder else own), own


def _name_in(homes: tuple[Path, Path], path: Path) -> str:
    whole = path.resolve()
    if any(whole.is_relative_to(home) for home in homes):
        return Path(os.path.relpath(whole, homes[1])).as_posix()
    return path.name


def hashes(settings: Settings, paths: Iterable[Path]) -> dict[str, str]:
    """SHA-256 of every file that was read, with the companions of a shapefile, by name."""
    found: dict[str, str] = {}
    homes = _homes(settings)
    for path in paths:
        for part in parts(path):
            if part.is_file():
                found[_name_in(homes, part)] = sha256(part)
    return dict(sorted(found.items()))


def sha256(path: Path) -> str:
    """SHA-256 of a file, worked out once while the file stays as it is."""
    return once_read.of_file(path, "hash", partial(_hash, path), is_little=True)


def _hash(path: Path) -> str:
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
