"""A field that is being read: its settings, and what the steps have gathered on the way."""

import dataclasses
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TypeVar

from zoning.errors import InputError
from zoning.inputs import files
from zoning.settings.model import Settings
from zoning.words import Said

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """The field that is being read, and what has been gathered on the way."""

    settings: Settings
    today: date
    paths: list[Path] = dataclasses.field(default_factory=list)
    notes: list[Said] = dataclasses.field(default_factory=list)
    faults: list[InputError] = dataclasses.field(default_factory=list)

    def attempt(self, step: Callable[[], T]) -> T | None:
        """Do one step, or keep its fault, so that the other files are read too."""
        try:
            return step()
        except InputError as error:
            self.faults.append(error)
            return None

    def path(self, key: str, file: str) -> Path:
        """Find a file and remember that it was used."""
        path = files.find(self.settings, key, file)
        self.paths.append(path)
        return path
