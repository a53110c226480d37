"""What an offer is made of, found before anything is parsed: a kept one holds only while none of it changed.

Rather too much than too little: a file more costs one reckoning, a file less a wrong plan. What other fields
counted is not in here; `zoning.farm.of_fields` adds what a field hears of it.
"""

import hashlib
import os
import platform
import stat
from collections.abc import Iterator, Mapping
from datetime import date
from functools import cache, lru_cache
from importlib import metadata, resources
from importlib.resources.abc import Traversable
from pathlib import Path, PurePath

from pydantic import BaseModel

from zoning import __version__, evidence
from zoning.farm.kept import codec
from zoning.inputs import done, files, season_book
from zoning.offers.offered import Offer
from zoning.settings import learned
from zoning.settings.model import Settings

_LIBRARIES = ("numpy", "scipy", "scikit-learn", "shapely", "pyproj", "fiona", "rasterio", "pydantic")
_OWN_RESULTS = ("history", "harvest")  # a plan reads of a harvest what it taught: learned.toml, season.csv
_NOTES = ("overrides.jsonl", "scouting_refused.csv")  # what we note down there and no plan reads
_TOML = ("field.toml", "farm.toml")  # the settings tell what they say, and where it stands
_WITH_PARTS = (".shp", ".tif", ".tiff", ".gpkg")  # files that may have others beside them
_DEEPEST = 8  # folders in folders of a field


def made_of(settings: Settings, *, today: date, seed: int, measured: bool) -> dict[str, str]:
    """Say what the offer of a field is made of.

    Parameters
    ----------
    settings : Settings
        As `zoning.settings.read.load` gives them.
    today : date
        The day that is planned on.
    seed : int
        Of the draws.
    measured : bool
        Whether the zones of the offer are measured.

    Returns
    -------
    dict of str to str
        By what it is; of a file by its name as seen from the field's folder, its SHA-256. Offers made of the
        same are the same, as far as they do not depend on other fields.
    """
    paths = dict(_below(settings.folder))
    for path in (*_named(settings), *_of_farm(settings)):
        paths.setdefault(os.path.relpath(path, settings.folder), path)
    return {
        "version": __version__,
        "code": _code(),
        "libraries": _libraries(),
        "evidence": _evidence(),
        "settings": codec.digest(settings),
        "today": today.isoformat(),
        "seed": str(seed),
        "measured": str(measured),
        **{f"file {name}": _sum(path) for name, path in sorted(paths.items())},
    }


def varieties_of(offer: Offer) -> frozenset[str]:
    """Name the varieties that grow in the field: what other fields counted of these is part of its offer."""
    return offer.varieties


def _below(folder: Path) -> Iterator[tuple[str, Path]]:
    """List the files of a field's folder, by name, without those that we put there as results."""
    waiting, seen = [("", folder, 0)], set[tuple[int, int]]()
    while waiting:
        inside, at, depth = waiting.pop()
        try:
            with os.scandir(at) as entries:
                found = sorted((inside + one.name, _is_folder(one)) for one in entries)
            state = at.stat()
        except OSError:  # what may not be looked into is not read either
            continue
        if (state.st_dev, state.st_ino) in seen:  # a link may lead back
            continue
        seen.add((state.st_dev, state.st_ino))
        for name, is_folder in found:
            if is_folder and depth < _DEEPEST and not _is_of_results(name):
                waiting.append((f"{name}/", folder / name, depth + 1))
            elif not is_folder and not _is_no_input(name):
                yield name, folder / name


def _is_folder(entry: "os.DirEntry[str]") -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _is_of_results(name: str) -> bool:
    """Tell whether a folder in a field's folder holds what we put there."""
    first, _, second = name.partition("/")
    if second:
        return (first == "strips" and second.isdecimal()) or second.startswith(".")
    return first in _OWN_RESULTS or first.startswith(("out", "."))


def _is_no_input(name: str) -> bool:
    """Tell whether a file in a field's folder is a copy or a note of ours, or the settings."""
    last = name.rpartition("/")[2]
    return last.startswith(".") or last.endswith(".bak") or name in (*_TOML, *_NOTES)


def _named(settings: Settings) -> Iterator[Path]:
    """List the files that the settings may mean: every text of theirs that is the name of one."""
    folders = dict.fromkeys(one for one in (settings.folder, settings.farm_folder) if one is not None)
    for name in sorted(set(_texts(settings))):
        for folder in folders:
            # hardly any is, and making a `Path` of each takes longer than to look
            if _is_file(os.path.join(folder, _as_path(name))):  # noqa: PTH118
                path = folder / name
                yield path
                if path.suffix.lower() in _WITH_PARTS:
                    yield from _parts(path)


def _is_file(name: str) -> bool:
    try:
        return stat.S_ISREG(os.stat(name).st_mode)  # noqa: PTH116
    except (OSError, ValueError):  # no name of a file, or nobody may look
        return False


@lru_cache(maxsize=4096)
def _as_path(name: str) -> str:
    """Write a name as a path has it: a slash at its end is none, for instance."""
    return str(PurePath(name))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, BaseModel):
        for name, part in value:
            # a combine's file is read once the crop is harvested, and says nothing to a plan
            if name not in ("given", "origin", "harvest"):
                yield from _texts(part)
    elif isinstance(value, tuple | list):
        for part in value:
            yield from _texts(part)
    elif isinstance(value, Mapping):
        for part in value.values():
            yield from _texts(part)


def _parts(path: Path) -> Iterator[Path]:
    """List what may lie beside a shapefile, an image or a database and be read with it."""
    stamp_ns = path.parent.stat().st_mtime_ns if path.parent.is_dir() else 0
    for name in _listed(str(path.parent), stamp_ns):
        if name != path.name and name.startswith((f"{path.stem}.", f"{path.name}-")):
            yield path.parent / name


@lru_cache(maxsize=64)
def _listed(folder: str, _mtime_ns: int) -> tuple[str, ...]:
    try:
        return tuple(sorted(one.name for one in Path(folder).iterdir()))
    except OSError:
        return ()


def _of_farm(settings: Settings) -> tuple[Path, ...]:
    """List the files that every field of a farm reads, whether they are there or not."""
    return (
        done.path_of(settings),
        season_book.path_of(settings),
        learned.path_of(settings.folder, settings.farm_folder),
    )


def _sum(path: Path) -> str:
    """Hash a file; say so where there is none, or nobody may read it."""
    if not path.exists():
        return "a link that leads to nothing" if path.is_symlink() else "none"
    if not path.is_file():
        return "no file"
    try:
        return files.sha256(path)
    except OSError as error:
        return f"not to be read ({error.errno})"


@cache
def _code() -> str:
    """Hash the program itself: its version does not change with every line of it."""
    found = hashlib.sha256()
    for name, part in sorted(_modules(resources.files("zoning"), "")):
        content = part.read_bytes()
        found.update(f"{name} {len(content)}\n".encode())
        found.update(content)
    return found.hexdigest()


def _modules(folder: Traversable, inside: str) -> Iterator[tuple[str, Traversable]]:
    for one in folder.iterdir():
        if one.is_dir():
            yield from _modules(one, f"{inside}{one.name}/")
        elif one.name.endswith(".py"):
            yield inside + one.name, one


@cache
def _libraries() -> str:
    """Name Python and the libraries that reckon: another version may round otherwise."""
    versions = (f"{name} {_version(name)}" for name in _LIBRARIES)
    return ", ".join((f"python {platform.python_version()}", *versions))


def _version(library: str) -> str:
    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return "of which nothing is known"


@cache
def _evidence() -> str:
    return codec.digest(tuple(sorted(evidence.digest().items())))
