"""A zip for the operator: what a stick must not hold, and what it must. Nothing is unpacked to a disk."""

import io
import lzma
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath

from zoning.evidence import number
from zoning.file_checks.finding import Finding, Rule, Seen, UnreadableError, apply
from zoning.file_checks.formats import Field, Names, ending
from zoning.file_checks.place import BYTES_PER_MB, Place

groups = ending(".zip")

_TASKDATA = "taskdata"  # the one folder that a stick must hold
_ENCRYPTED = 0x1
_USUAL = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # as they are, or deflated: any program can unpack them
# What zipfile raises at broken directories, headers and data.
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, ValueError)


@dataclass(frozen=True, slots=True)
class Member:
    """One file of a zip, as its directory tells."""

    name: str
    size: int
    is_encrypted: bool
    is_usual: bool

    @property
    def parts(self) -> tuple[str, ...]:
        """Folders and name, whatever stroke stands between them."""
        return tuple(self.name.replace("\\", "/").split("/"))

    @property
    def is_inside(self) -> bool:
        """Say whether it would be unpacked below where the zip is opened."""
        return ".." not in self.parts and self.parts[0] != "" and ":" not in self.parts[0]


@dataclass(frozen=True, slots=True)
class Zipped:
    """A zip, before anything in it is read."""

    members: tuple[Member, ...]

    @property
    def size(self) -> int:
        """Bytes of all members."""
        return sum(one.size for one in self.members)


def _read(data: bytes) -> tuple[Zipped, zipfile.ZipFile]:
    try:
        file = zipfile.ZipFile(io.BytesIO(data))
        # not is_dir(), which fails at a name with nothing in it
        infos = [one for one in file.infolist() if not one.filename.endswith("/")]
    except (*_BROKEN, struct.error) as error:
        raise UnreadableError("no_zip") from error
    members = tuple(
        Member(
            name=one.orig_filename,
            size=one.file_size,
            is_encrypted=bool(one.flag_bits & _ENCRYPTED),
            is_usual=one.compress_type in _USUAL,
        )
        for one in infos
    )
    return Zipped(members), file


def escapes(one: Zipped) -> Iterator[Seen]:
    """See names that would be unpacked elsewhere: from the root, from a drive, or upwards."""
    return ({"member": member.name[:80]} for member in one.members if not member.is_inside)


def bomb(one: Zipped) -> Iterator[Seen]:
    """See more bytes than any prescription has."""
    limit_mb = number("file_checks.largest_file_mb")
    if one.size > limit_mb * BYTES_PER_MB:
        yield {"size_mb": one.size / BYTES_PER_MB, "limit_mb": limit_mb}


def encrypted(one: Zipped) -> Iterator[Seen]:
    """See members that need a password."""
    return ({"member": member.name} for member in one.members if member.is_encrypted)


def packed(one: Zipped) -> Iterator[Seen]:
    """See members that plain programs cannot unpack."""
    return ({"member": member.name} for member in one.members if not member.is_usual)


def twice(one: Zipped) -> Iterator[Seen]:
    """See two members of one name: which is unpacked last is up to the program."""
    count = Counter(member.name.lower() for member in one.members)
    return ({"member": name} for name, times in count.items() if times > 1)


def sub_folder(one: Zipped) -> Iterator[Seen]:
    """See folders other than TASKDATA: terminals look in the root of the stick."""
    folders = {member.parts[0] for member in one.members if len(member.parts) > 1 and member.is_inside}
    return ({"folder": folder} for folder in sorted(folders) if folder.lower() != _TASKDATA)


def no_readme(one: Zipped) -> Iterator[Seen]:
    """See a zip that does not say in words what it is."""
    if not any(member.parts[-1].lower().startswith("readme") for member in one.members):
        yield {}


def no_sums(one: Zipped) -> Iterator[Seen]:
    """See a zip without checksums."""
    if not any(member.parts[-1].upper() == "SHA256SUMS" for member in one.members):
        yield {}


def nothing_known(one: Zipped) -> Iterator[Seen]:
    """See a zip without a prescription."""
    known = (".shp", ".geojson", ".gpkg", ".tif", ".parquet")
    ends = {PurePosixPath(member.parts[-1]).suffix.lower() for member in one.members}
    if not ends & set(known) and not any(m.parts[-1].upper() == "TASKDATA.XML" for m in one.members):
        yield {}


ZIP: tuple[Rule[Zipped], ...] = (
    Rule("escapes", "refused", escapes),
    Rule("bomb", "refused", bomb),
    Rule("encrypted", "refused", encrypted),
    Rule("packed", "refused", packed),
    Rule("twice", "refused", twice),
    Rule("sub_folder", "doubtful", sub_folder),
    Rule("no_readme", "doubtful", no_readme),
    Rule("no_sums", "doubtful", no_sums),
    Rule("nothing_known", "refused", nothing_known),
)


def check(place: Place, names: Names, _field: Field) -> Iterator[Finding]:
    """Check the directory of a zip; what is in it is checked by `inner`."""
    zipped, _ = _read(place.read(names[0]))
    yield from apply(ZIP, zipped, place.told(names[0]))


def inner(place: Place, names: Names) -> Place | None:
    """Give what lies in a zip, to be checked like a folder; None where it is not to be opened."""
    if place.inside:
        return None  # a zip in a zip is no file for a terminal
    try:
        zipped, file = _read(place.read(names[0]))
    except UnreadableError:
        return None
    if list(bomb(zipped)) or list(twice(zipped)):
        return None
    sizes = {one.name: one.size for one in zipped.members if one.is_inside and not one.is_encrypted}
    folder = place.disk / PurePosixPath(names[0]).parent

    def unpacked(name: str) -> bytes:
        try:
            return file.read(name)
        except (*_BROKEN, KeyError, RuntimeError, lzma.LZMAError, struct.error) as error:
            raise UnreadableError("damaged_in_zip") from error

    return Place(sizes, folder, place.told(names[0]), unpacked)
