"""Names of files and folders in letters that no file can hold, as every way in may bring one."""

from collections.abc import Iterable
from pathlib import Path

from zoning.errors import SETTINGS, InputError


def odd_letters(names: Iterable[str | Path]) -> list[InputError]:
    r"""Find names that are no UTF-8, as a folder from an old disk or archive may have one.

    Nothing could be written that names it, and libraries that are given its path find nothing there.

    Examples
    --------
    >>> odd_letters(["North", "Müller"])
    []
    >>> str(odd_letters([b"M\xfcller".decode("utf-8", "surrogateescape")])[0])[:41]
    'M\\udcfcller: its letters are not UTF-8. R'
    """
    return [
        InputError(
            "its letters are not UTF-8",
            where=name,
            mend="Rename it, or set the language of the terminal to one in UTF-8, as LC_ALL=C.UTF-8.",
            code=SETTINGS,
        )
        for name in names
        if any("\ud800" <= letter <= "\udfff" for letter in str(name))  # halves of a letter, alone
    ]
