"""What a checker says, and the rows of its tables.

A rule is one row: its name, how bad it is, and a function over the parsed file that yields what it saw. The
name is also the code of its sentence in `zoning/words/file_checks.py`, which has what is wrong and how to
mend it.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar

from zoning.words import Said

Severity = Literal["refused", "doubtful"]
Seen = Mapping[str, object]  # the values that the sentence names
Parsed = TypeVar("Parsed")

_LONGEST = 200  # letters of a text from a file that are told
_LISTED = 3  # hits of one rule in one file that are told one by one; the rest is counted


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that an operator's terminal may refuse ("refused") or take in another way ("doubtful").

    Examples
    --------
    >>> print(finding("refused", "no_rate", "P1_0714.dbf", {"row": "row 3"}))
    refused: P1_0714.dbf: row 3: no rate. Write 0 for boom off.
    """

    severity: Severity
    code: str
    where: str
    text: str
    mend: str

    def __str__(self) -> str:
        return f"{self.severity}: {self.where}: {self.text}. {self.mend}"


def finding(severity: Severity, name: str, where: str, seen: Seen) -> Finding:
    """Say one thing: `name` is a rule's or a fault's, `seen` what its sentence names."""
    told = {key: _in_one_line(value) for key, value in seen.items()}
    text = Said(f"file_checks.{name}", **told).text
    mend = Said(f"file_checks.{name}.mend", **told).text
    return Finding(severity, f"file_checks.{name}", where, text, mend)


def _in_one_line(value: object) -> object:
    """Take out of a text from a file what would break the line or speak to the terminal that prints it."""
    if not isinstance(value, str):
        return value
    return "".join(letter if letter.isprintable() else " " for letter in value[:_LONGEST])


@dataclass(frozen=True, slots=True)
class Rule(Generic[Parsed]):
    """One row of a format's table: `sees` yields the values of the sentence, once for each place."""

    name: str
    severity: Severity
    sees: Callable[[Parsed], Iterable[Seen]]


def apply(rules: Iterable[Rule[Parsed]], parsed: Parsed, where: str) -> Iterator[Finding]:
    """Hold a parsed file against a table of rules: the first hits of each, then how many more there are."""
    for rule in rules:
        hits = list(rule.sees(parsed))
        for seen in hits[:_LISTED]:
            yield finding(rule.severity, rule.name, where, seen)
        if len(hits) > _LISTED:
            yield finding(rule.severity, "more", where, {"count": len(hits) - _LISTED})


class UnreadableError(Exception):
    """A file that cannot be parsed: becomes one finding, "refused", and its other rules are left out.

    Parameters
    ----------
    name : str
        Its sentence, as the name of a rule.
    **seen : object
        What the sentence names.
    """

    def __init__(self, name: str, **seen: Any) -> None:
        super().__init__(name)
        self.name, self.seen = name, seen

    def found(self, where: str) -> Finding:
        """Make the finding."""
        return finding("refused", self.name, where, self.seen)
