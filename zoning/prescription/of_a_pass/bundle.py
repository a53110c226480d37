"""The operator's set of a pass in one zip, with its README and checksums; and checksums of a pass's folder.

The zip holds no folders and the same bytes for the same plan: its dates are the plan's. What the set itself
holds, `operator` decides.
"""

import hashlib
import unicodedata
import zipfile
from collections.abc import Mapping
from datetime import date
from io import BytesIO
from pathlib import Path

from zoning.plan import Plan
from zoning.prescription.of_a_pass.each_pass import folder_of

SUMS = "SHA256SUMS"
_LETTERS = 40  # of the field's name in the name of a zip
_DIGITS = 4  # hexadecimal, where letters were lost
_PLAIN = "-_"
_READ_BY_ALL = 0o100644 << 16


def field_in_name(field: str) -> str:
    """Write a field's name as part of a file's name that every system takes, never the same for two fields.

    Parameters
    ----------
    field : str
        As typed, of any length and in any script.

    Returns
    -------
    str
        ASCII letters, digits, `-` and `_`; blanks become `_`. Where anything else was lost, or a word is not
        one capital and small letters, four digits of a hash of the whole name stand behind: sticks do not
        tell North from north.

    Examples
    --------
    >>> field_in_name("North 40"), field_in_name("north/40"), field_in_name("Señor's")
    ('North_40', 'north_40-6d01', 'Senor_s-d561')
    >>> field_in_name("north 40"), field_in_name("NE 40")
    ('north_40-0658', 'NE_40-3af7')
    """
    plain = "".join(one for one in unicodedata.normalize("NFKD", field) if not unicodedata.combining(one))
    letters = "".join(one if one.isascii() and (one.isalnum() or one in _PLAIN) else "_" for one in plain)
    kept = letters[:_LETTERS].strip(_PLAIN)
    if kept == field.replace(" ", "_") == kept.title() and "_" not in field:
        return kept
    digest = hashlib.sha256(field.encode("utf-8", "surrogatepass")).hexdigest()[:_DIGITS]
    return f"{kept}-{digest}" if kept else f"field-{digest}"


def sums(files: Mapping[str, bytes]) -> bytes:
    r"""Write checksums as `sha256sum -c` reads them, by name.

    Examples
    --------
    >>> sums({"a.txt": b""})[:10], sums({"a.txt": b""})[-8:]
    (b'e3b0c44298', b'  a.txt\n')
    """
    lines = [f"{hashlib.sha256(files[name]).hexdigest()}  {name}\n" for name in sorted(files)]
    return "".join(lines).encode("ascii")


def zipped(files: Mapping[str, bytes], today: date) -> bytes:
    """Pack files, and their checksums, into a zip without folders.

    Parameters
    ----------
    files : mapping of str to bytes
        Names and contents, in the order in which they are packed.
    today : date
        The day that each of them bears.
    """
    stamp = (min(max(today.year, 1980), 2107), today.month, today.day, 0, 0, 0)  # a zip knows no others
    made = BytesIO()
    with zipfile.ZipFile(made, "w") as together:
        for name, content in (*files.items(), (SUMS, sums(files))):
            about = zipfile.ZipInfo(name, stamp)
            about.compress_type = zipfile.ZIP_DEFLATED
            about.create_system = 3  # Unix, whatever system this is: the same bytes
            about.external_attr = _READ_BY_ALL
            together.writestr(about, content)
    return made.getvalue()


def write_sums(plan: Plan, out: Path) -> tuple[str, ...]:
    """Write the checksums of all files in each pass's folder; the last thing that is written there.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `out`.
    """
    names = []
    for one in plan.passes:
        folder = out / folder_of(one)
        if not folder.is_dir():
            continue
        found = [path for path in folder.rglob("*") if path.is_file() and path.name != SUMS]
        files = {path.relative_to(folder).as_posix(): path.read_bytes() for path in found}
        (folder / SUMS).write_bytes(sums(files))
        names.append((folder / SUMS).relative_to(out).as_posix())
    return tuple(names)
