"""What somebody asks of the strips of a field: the text of each option, and nothing made of it."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Options of `sprayworth strips`, as typed; None or empty where they were left out.

    `columns` and `units` are pairs as "yield=Yld" and "yield=bu/ac". `drawn` is a file of strips that
    somebody drew, `applied` what the sprayer wrote down, with the column of its rate.
    """

    yields: Path | None = None
    columns: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    drawn: Path | None = None
    applied: Path | None = None
    rate_column: str = ""

    @property
    def typed(self) -> str:
        """What was typed beside files, which are known by their hashes."""
        told = [f"--column {one}" for one in self.columns] + [f"--unit {one}" for one in self.units]
        return " ".join([*told, *([f"--rate-column {self.rate_column}"] if self.rate_column else [])])
