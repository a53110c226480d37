"""Text in a table that people open in a spreadsheet, which reckons with it where it looks like a formula."""

from collections.abc import Mapping

_STARTS = ("=", "+", "-", "@")


def guarded(text: str) -> str:
    r"""Put an apostrophe before a text that a spreadsheet would take for a formula; numbers stay numbers.

    Examples
    --------
    >>> guarded("=1+1"), guarded("-95.38"), guarded("-1+cmd"), guarded("North"), guarded("\t@sum")
    ("'=1+1", '-95.38', "'-1+cmd", 'North', "'\t@sum")
    """
    start = text.lstrip()
    if len(start) < 2 or not start.startswith(_STARTS):
        return text
    try:
        float(start.replace(",", "."))
    except ValueError:
        return f"'{text}"
    return text


def as_meant(text: str) -> str:
    """Take away the apostrophe that `guarded` puts before a text.

    Examples
    --------
    >>> as_meant("'=1+1"), as_meant("'s Gravenhage")
    ('=1+1', "'s Gravenhage")
    """
    bare = text.removeprefix("'")
    return bare if guarded(bare) == text else text


def guarded_row(row: Mapping[str, object]) -> dict[str, object]:
    """Guard every text of a row.

    Examples
    --------
    >>> guarded_row({"field": "=north", "area_ac": -1.5})
    {'field': "'=north", 'area_ac': -1.5}
    """
    return {name: guarded(cell) if isinstance(cell, str) else cell for name, cell in row.items()}
