"""What one bad input of the corpus is."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Case:
    """One way in which an input is bad.

    `harm` spoils the field folder that it gets. `words` are what the message must hold: the file, the place
    in it where there is one, and what mends it. `{field}` and `{farm}` of the command are the folders.
    """

    name: str
    kind: str
    harm: Callable[[Path], None]
    code: int
    words: tuple[str, ...]
    base: str = "plain"
    command: tuple[str, ...] = ("run", "{field}")
