"""A file is what its name promises, by its first bytes. Reads no content into meaning.

A library that is handed a file may choose the format by what stands in it, and some formats only name other
files and addresses, which the library then opens. What is let through here leads nowhere.
"""

from pathlib import Path

# Those of the other formats that name files are letters, of which none stands before the first zero byte.
_BEGINS = {"GPKG": b"SQLite format 3\0", "ESRI Shapefile": b"\0\0\x27\x0a"}
_ENDS = {"GPKG": ".gpkg", "ESRI Shapefile": ".shp"}  # by which the library leaves it to the one driver
_TIFF = (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")  # in either order of bytes; the last two may be larger


def is_of(path: Path, driver: str) -> bool:
    """Tell whether a file begins as files of a format do; of text, which may begin anyhow, nothing is said.

    Parameters
    ----------
    path : Path
        A file that is there.
    driver : str
        As in `vector.DRIVERS`.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "boundary.gpkg"
    >>> _ = path.write_text("<OGRVRTDataSource/>")
    >>> is_of(path, "GPKG"), is_of(path, "GeoJSON")
    (False, True)
    """
    begins = _BEGINS.get(driver, b"")
    return _first(path, len(begins)) == begins and path.suffix.lower() == _ENDS.get(
        driver, path.suffix.lower()
    )


def begins(path: Path, content: bytes) -> bool:
    """Tell whether a file begins with these bytes."""
    return _first(path, len(content)) == content


def is_tiff(path: Path) -> bool:
    """Tell whether a file begins as a TIFF."""
    return _first(path, 4) in _TIFF


def plain_json(path: Path) -> Path | bytes:
    r"""Give a JSON file as it may be handed over; its content instead, where an element of XML stands in it.

    A name such as `<OGRVRTDataSource>` near the beginning makes the library take JSON for a list of other
    files. `<` stands in JSON within texts only, where `\u003c` is the same.
    """
    content = path.read_bytes()
    return content.replace(b"<", rb"\u003c") if b"<" in content else path


def _first(path: Path, count: int) -> bytes:
    with path.open("rb") as stream:
        return stream.read(count)
