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
    >>> changed(b"a = 1\r\n", lambda document: document.update({"b": 2}))
    b'a = 1\r\nb = 2\r\n'
    """
    import tomlkit

    made = document(before)
    change(made)
    text = tomlkit.dumps(made)
    if 0 < before.count(b"\n") == before.count(b"\r\n"):  # what is new ends its lines as what was there
        text = text.replace("\r\n", "\n").replace("\n", "\r\n")
    return (_BOM if before.startswith(_BOM) else b"") + text.encode("utf-8")
