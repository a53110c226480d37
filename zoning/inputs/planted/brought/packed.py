"""A zip with one planter's export in it: looked at before anything is unpacked, and bounded while it is.

Names in the zip are never used as paths: what is unpacked lies under names of our own.
"""

import lzma
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs import vector
from zoning.inputs.harvest.points.rows import TABLES

BYTES_PER_MB = 1_000_000
TASKDATA = "TASKDATA.XML"
_ENCRYPTED = 0x1
_USUAL = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)  # others may ask for any memory before they are read
_MOST_MEMBERS = 10_000
_OF_SHAPEFILE = (".shp", ".shx", ".dbf", ".prj", ".cpg")
# What zipfile raises at broken directories, headers and data.
_BROKEN = (
    *(zipfile.BadZipFile, zlib.error, lzma.LZMAError, struct.error, EOFError, NotImplementedError, OSError),
    *(ValueError, KeyError, RuntimeError),
)


class Zip:
    """A zip whose directory is in order; members by names in which only "/" parts folders."""

    def __init__(self, path: Path, file: str) -> None:
        self.file = file
        try:
            self._zip = zipfile.ZipFile(path)
            infos = [one for one in self._zip.infolist() if not one.filename.endswith(("/", "\\"))]
        except _BROKEN as error:
            mend = "Export it again, or give the unpacked files."
            raise InputError("the file cannot be read as a zip", where=file, mend=mend) from error
        self.members = {_name(one): one for one in infos if not _is_beside(_name(one))}
        self._check(infos)

    def _check(self, infos: list[zipfile.ZipInfo]) -> None:
        most_mb = number("inputs.planter_most_mb")
        whole_mb = sum(one.file_size for one in infos) / BYTES_PER_MB
        outside = next((name for name in map(_name, infos) if not _is_inside(name)), None)
        mend = "Unpack it yourself, look at what is in it, and give that."
        if outside is not None:
            what = f"{outside[:60]} would be unpacked outside of its folder"
        elif whole_mb > most_mb or len(infos) > _MOST_MEMBERS:
            what = (
                f"it holds {len(infos):,} files of {whole_mb:,.0f} MB; at most {most_mb:,.0f} MB are unpacked"
            )
        elif any(one.flag_bits & _ENCRYPTED for one in infos):
            what = "it is locked with a password"
        elif any(one.compress_type not in _USUAL for one in infos):
            what = "it is packed in a way that is not read here"
        elif len({name.casefold() for name in map(_name, infos)}) < len(infos):
            what = "two files in it have one name"
        else:
            return
        raise InputError(what, where=self.file, mend=mend)

    def read(self, name: str) -> bytes:
        """Unpack one member into memory, never more than its directory says.

        Raises
        ------
        InputError
            When it is damaged.
        """
        info = self.members[name]
        try:
            with self._zip.open(info) as stream:
                content = stream.read(info.file_size + 1)
        except _BROKEN as error:
            raise self._damaged(name) from error
        if len(content) != info.file_size:
            raise self._damaged(name)
        return content

    def _damaged(self, name: str) -> InputError:
        what = f"{PurePosixPath(name).name[:60]} in it is damaged"
        return InputError(what, where=self.file, mend="Export it again.")

    def holds_task_data(self) -> bool:
        """Tell whether task data is in it."""
        return any(PurePosixPath(name).name.upper() == TASKDATA for name in self.members)

    @contextmanager
    def unpacked(self) -> Iterator[Path]:
        """Unpack the one layer or table in it into a folder that goes again.

        Raises
        ------
        InputError
            Where there is none, or several.
        """
        endings = (*TABLES, *vector.DRIVERS)
        found = [name for name in self.members if PurePosixPath(name).suffix.lower() in endings]
        shapes = [name for name in found if name.lower().endswith(".shp")]
        found = shapes or found
        if len(found) != 1:
            listed = ", ".join(PurePosixPath(name).name[:60] for name in found[:5])
            what = f"it holds several layers: {listed}" if found else "it holds no layer, table or task data"
            mend = "Unpack it, and give the one file that the planter's records are in."
            raise InputError(what, where=self.file, mend=mend)
        whole = PurePosixPath(found[0])
        with TemporaryDirectory(prefix="sprayworth_") as folder:
            path = Path(folder) / f"planting{whole.suffix.lower()}"
            path.write_bytes(self.read(found[0]))
            if shapes:
                stem = str(whole.with_suffix("")).casefold()
                for name in self.members:
                    part = PurePosixPath(name)
                    ending = part.suffix.lower()
                    if str(part.with_suffix("")).casefold() == stem and ending in _OF_SHAPEFILE[1:]:
                        path.with_suffix(ending).write_bytes(self.read(name))
            yield path


def _name(info: zipfile.ZipInfo) -> str:
    return info.orig_filename.replace("\\", "/")


def _is_inside(name: str) -> bool:
    parts = name.split("/")
    return ".." not in parts and parts[0] != "" and ":" not in parts[0] and "\0" not in name


def _is_beside(name: str) -> bool:
    """Tell whether a member is what some systems add for themselves, or has no name."""
    own = PurePosixPath(name).name
    return not own or own.startswith("._") or name.startswith("__MACOSX/")
