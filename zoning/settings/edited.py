"""A settings file changed so that comments, order and everything else stay as typed. Text in, text out."""

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

_BOM = b"\xef\xbb\xbf"


def document(content: bytes) -> "TOMLDocument":
    """Parse a settings file, UTF-8 with or without its mark; its faults are for whoever loads settings."""
    import tomlkit  # late: most commands change no settings

    return tomlkit.parse(content.decode("utf-8-sig"))


def changed(before: bytes, change: "Callable[[TOMLDocument], None]") -> bytes:
    r"""Change a settings file.

    Parameters
    ----------
    before : bytes
        The file, free of faults.
    change : callable
        Changes the document in its place.

    Returns
    -------
    bytes
        The file, with what was typed where it was not changed.

    Examples
    --------
    >>> def drop(document):
    ...     del document["zones"]["cell"]
    >>> print(changed(b"[zones] # ours\ncell = '5 m'\nmin_area = '2 ac' # large\n", drop).decode(), end="")
    [zones] # ours
    min_area = '2 ac' # large
    """
    import tomlkit

    made = document(before)
    change(made)
    return (_BOM if before.startswith(_BOM) else b"") + tomlkit.dumps(made).encode("utf-8")
