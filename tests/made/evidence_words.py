"""The value of an entry of the evidence in words, as docs/explanation/science.md has it."""

from collections.abc import Mapping

from zoning.evidence import Entry


def value_words(entry: Entry) -> str:
    """Write value and unit: `1.64 bu/ac`, `7, 28 C`, `year 0.68, field 0.1`, `0.7 0.6; 3.2 1`."""
    return f"{_words(entry.value)} {entry.unit.removeprefix('1').strip()}".strip()


def _words(value: object) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{name} {_words(one)}" for name, one in value.items())
    if isinstance(value, list):
        inner = "; " if any(isinstance(one, list) for one in value) else ", "
        return inner.join(
            " ".join(map(_words, one)) if isinstance(one, list) else _words(one) for one in value
        )
    return f"{value:,g}" if isinstance(value, int | float) else str(value)
