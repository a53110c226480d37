"""What somebody says of a pass when recording it: the text of each option, and nothing made of it."""

from dataclasses import dataclass, fields
from pathlib import Path


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """Options of `sprayworth done`, as typed; empty where they were left out.

    Names are those of the columns of done.csv, but for the file of the machine and the column in it.
    """

    field: str = ""
    number: str = ""
    zones: str = ""
    start: str = ""
    end: str = ""
    rate: str = ""
    loads: str = ""
    area: str = ""
    sprayer: str = ""
    wind: str = ""
    temperature: str = ""
    applicator: str = ""
    product: str = ""
    as_applied: Path | None = None
    rate_column: str = ""

    @property
    def cells(self) -> dict[str, str]:
        """The columns of done.csv that were typed."""
        typed = {one.name: getattr(self, one.name) for one in fields(self)}
        del typed["as_applied"], typed["rate_column"]
        typed["pass"] = typed.pop("number")
        return {name: text.strip() for name, text in typed.items() if text.strip()}


def option_of(column: str) -> str:
    """Name the option that gives a column.

    Examples
    --------
    >>> option_of("wind"), option_of("pass")
    ('--wind', '--pass')
    """
    return f"--{column}"
