"""`imagery/sources.json`: what lies in the folder, from where, under which licence; and what was looked at.

Written after each image, so that a run that was stopped goes on where it was. No address in it holds more
than the place of a file: what a catalogue adds to let somebody in is left out.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from zoning.fetch.imagery.clear import Shares
from zoning.settings.model import ImageProduct
from zoning.words import SENTENCES

FOLDER, FILE = "imagery", "sources.json"
_VERSION = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """One image in the folder, with the hash of its content, and its passport.

    `said` is the code of what is to be said about its counts, "" where there is nothing.
    """

    file: str
    sha256: str
    day: str
    scenes: tuple[str, ...]
    files: tuple[str, ...]
    bands: tuple[str, ...]
    product: ImageProduct
    scale: float
    offset: float
    baseline: float | None
    seen_frac: float
    cloud_frac: float
    catalogue: str
    collection: str
    licence: str
    got_on: str
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """All images, and the shares of every day that was looked at; of one boundary and one catalogue."""

    boundary: str
    catalogue: str
    kept: tuple[Kept, ...] = ()
    looked: Mapping[str, tuple[tuple[str, ...], Shares]] = field(default_factory=dict)

    def shares(self, day: date, scenes: tuple[str, ...]) -> Shares | None:
        """Give what these scenes of a day showed, where they were looked at."""
        known = self.looked.get(day.isoformat())
        return known[1] if known is not None and known[0] == scenes else None

    def with_looks(self, found: Mapping[date, tuple[tuple[str, ...], Shares]]) -> "Sources":
        """Add what was looked at."""
        more = {day.isoformat(): one for day, one in found.items()}
        return replace(self, looked={**self.looked, **more})

    def with_image(self, new: Kept) -> "Sources":
        """Add an image, in the place of one of its file."""
        others = [one for one in self.kept if one.file != new.file]
        return replace(self, kept=tuple(sorted((*others, new), key=lambda one: one.file)))

    def knows(self, file: str) -> bool:
        """Tell whether a file of this name was got, for whatever boundary."""
        return any(one.file == file for one in self.kept)

    def image(self, folder: Path, file: str, scenes: tuple[str, ...]) -> Kept | None:
        """Give the image of these scenes, where it lies in the field's folder as it was written."""
        known = next((one for one in self.kept if one.file == file and one.scenes == scenes), None)
        path = folder / file
        if known is None or not path.is_file() or digest(path.read_bytes()) != known.sha256:
            return None
        return known


def digest(content: bytes) -> str:
    """Hash a file's content."""
    return hashlib.sha256(content).hexdigest()


def as_bytes(sources: Sources) -> bytes:
    """Write it down."""
    told = {
        "schema_version": _VERSION,
        "boundary": sources.boundary,
        "catalogue": sources.catalogue,
        "images": [asdict(one) for one in sources.kept],
        "looked": {
            day: {"scenes": list(scenes), **asdict(shares)}
            for day, (scenes, shares) in sorted(sources.looked.items())
        },
    }
    return (json.dumps(told, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def read(folder: Path, boundary: str, catalogue: str) -> Sources:
    """Read what is known; nothing where the file is absent or damaged: then all is looked at anew.

    Parameters
    ----------
    folder : Path
        Of the field.
    boundary, catalogue : str
        Hash of the ground that is asked for, and who is asked: what was looked at for others tells nothing.
    """
    nothing = Sources(boundary=boundary, catalogue=catalogue)
    try:
        told = json.loads((folder / FOLDER / FILE).read_bytes())
        kept = tuple(_kept(one) for one in told["images"])
        looked = {day: _looked(one) for day, one in told["looked"].items()}
        is_same = told["boundary"] == boundary and told["catalogue"] == catalogue
        is_ours = told["schema_version"] == _VERSION
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return nothing
    if not is_ours:
        return nothing
    return replace(nothing, kept=kept, looked=looked) if is_same else replace(nothing, kept=_others(kept))


def _others(kept: tuple[Kept, ...]) -> tuple[Kept, ...]:
    """Keep the passports of images of another boundary, but so that none is taken for one of this."""
    return tuple(replace(one, sha256="") for one in kept)


def _kept(told: Mapping[str, Any]) -> Kept:
    lists = {name: tuple(map(str, told[name])) for name in ("scenes", "files", "bands")}
    if told["said"] and told["said"] not in SENTENCES:
        raise ValueError("of another version")
    return Kept(**{**told, **lists})


def _looked(told: Mapping[str, Any]) -> tuple[tuple[str, ...], Shares]:
    seen, cloud, data = (float(told[name]) for name in ("seen", "cloud", "data"))
    return tuple(map(str, told["scenes"])), Shares(seen=seen, cloud=cloud, data=data)
