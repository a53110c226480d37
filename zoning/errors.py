"""What the user gave us is missing, wrong or contradictory: said in one line, with how to mend it.

Nothing here decides what is wrong; the reader that finds a fault says so.
"""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Self

BUG = 1  # a fault of ours
SETTINGS = 2  # wrong command line or settings, a missing file included
CONTENT = 3  # an input file's content is bad
WORLD = 4  # network, service, disk or permission refused
_LONGEST = 1000  # letters of what, where or mend


class InputError(ValueError):
    """A fault in what the user gave us.

    Parameters
    ----------
    what : str
        What is wrong, with the offending value.
    where : str or Path
        File, or file and line, or option.
    mend : str
        What the user can do about it, as a full sentence.
    code : int
        Exit code: 2 settings, 3 content, 4 the world; 1 where a farm goes on after a bug of ours.

    Examples
    --------
    >>> print(InputError("the file has no CRS", where="boundary.shp", mend="Add its .prj file."))
    boundary.shp: the file has no CRS. Add its .prj file.
    """

    def __init__(self, what: str, *, where: str | Path, mend: str, code: int = CONTENT) -> None:
        self.what, self.where, self.mend = (_on_a_screen(one) for one in (what, str(where), mend))
        self.code = code
        self.faults: tuple[InputError, ...] = (self,)
        super().__init__(f"{self.where}: {self.what}. {self.mend}")

    def __reduce__(self) -> tuple[object, ...]:
        """Go from process to process as what it is; an exception would else come back without `where`."""
        return _again, (type(self), [(one.what, one.where, one.mend, one.code) for one in self.faults])

    @classmethod
    def together(cls, faults: Iterable["InputError"]) -> Self:
        """Join several faults into one error: a line each, the lowest code wins."""
        flat = tuple(single for fault in faults for single in fault.faults)
        if not flat:
            raise ValueError("together() needs at least one fault")
        first = min(flat, key=lambda fault: fault.code)
        joined = cls(first.what, where=first.where, mend=first.mend, code=first.code)
        joined.faults = flat
        joined.args = ("\n".join(str(fault) for fault in flat),)
        return joined


def _on_a_screen(text: str) -> str:
    r"""Write a text so that it is one line, and moves nothing on the screen of who reads it.

    What the user gave may stand in it: letters of control, that turn the direction, or far too many.
    """
    if not text.isprintable():
        text = "".join(one if one.isprintable() else _escaped(one) for one in text)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 100]} … {text[-90:]}"


def _escaped(letter: str) -> str:
    code = ord(letter)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _again(kind: type[InputError], faults: list[tuple[str, str, str, int]]) -> InputError:
    made = [kind(what, where=where, mend=mend, code=code) for what, where, mend, code in faults]
    return made[0] if len(made) == 1 else kind.together(made)


def raise_all(faults: Sequence[InputError]) -> None:
    """Raise what was found, if anything was."""
    if faults:
        raise faults[0] if len(faults) == 1 else InputError.together(faults)
