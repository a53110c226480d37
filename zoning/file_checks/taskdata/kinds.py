"""Types of attributes in TASKDATA.XML: what a text must look like, and which rule it breaks if not."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

Seen = Mapping[str, object]
Broken = tuple[str, Seen] | None  # the name of the rule, and what its sentence names besides

_WHOLE = re.compile(r"[-+]?[0-9]{1,18}")
_DECIMAL = re.compile(r"[-+]?(?:[0-9]{1,18}(?:\.[0-9]*)?|\.[0-9]+)")
_ID_LENGTH = range(4, 15)  # ISO 11783-10: letters of the element and a number, 4 to 14 characters
_CIRCLE_DEG = 360
MAX_TEXT = 32
MAX_DECIMALS = 9
INT32 = 2**31 - 1


def whole(text: str | None) -> int | None:
    """Read a whole number; None where the text is none.

    Examples
    --------
    >>> whole("-12"), whole("1.0"), whole(None)
    (-12, None, None)
    """
    return int(text) if text is not None and _WHOLE.fullmatch(text) else None


def decimal(text: str | None) -> float | None:
    """Read a decimal number; None where the text is none, as with an exponent.

    Examples
    --------
    >>> decimal("42.5"), decimal("1e-5")
    (42.5, None)
    """
    return float(text) if text is not None and _DECIMAL.fullmatch(text) else None


@dataclass(frozen=True, slots=True)
class Id:
    """An identifier of an element, or a reference to one; `tag` is empty where we know no name for it."""

    tag: str
    is_reference: bool = False

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        tag = self.tag or "[A-Z]{3}"
        good = re.fullmatch(rf"{tag}-?[0-9]+", text) and len(text) in _ID_LENGTH
        return None if good else ("iso_bad_id", {"example": f"{self.tag or 'WKR'}1"})


@dataclass(frozen=True, slots=True)
class Text:
    """A text of at most 32 characters."""

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        return None if len(text) <= MAX_TEXT else ("iso_long_text", {"limit": MAX_TEXT, "length": len(text)})


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number from `low` to `high`."""

    low: int
    high: int

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        value = whole(text)
        if value is not None and self.low <= value <= self.high:
            return None
        return "iso_bad_whole", {"low": self.low, "high": self.high}


@dataclass(frozen=True, slots=True)
class Decimal:
    """A decimal number from `low` to `high` with at most nine digits behind the point.

    `scaled` names the rule for coordinates that are multiplied and cut to whole numbers.
    """

    low: float
    high: float
    scaled: str = ""

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        value = decimal(text)
        if self.scaled and whole(text) is not None and abs(int(text)) > _CIRCLE_DEG:
            return self.scaled, {}
        if self.scaled and value is not None and abs(value) <= _CIRCLE_DEG / 2:
            value = self.low  # a north beyond the pole that is an east: the rule about swapped coordinates
        if value is None or not self.low <= value <= self.high:
            return "iso_bad_decimal", {"low": f"{self.low:g}", "high": f"{self.high:g}"}
        digits = len(text.partition(".")[2])
        return None if digits <= MAX_DECIMALS else ("iso_many_decimals", {"limit": MAX_DECIMALS})


@dataclass(frozen=True, slots=True)
class Hex4:
    """Four hexadecimal digits, as the number of a data dictionary entry."""

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        return None if re.fullmatch(r"[0-9A-Fa-f]{4}", text) else ("iso_bad_hex", {})


@dataclass(frozen=True, slots=True)
class GridName:
    """Name of a file of cells or of a log: three letters and five digits, no ending."""

    tag: str

    def broken(self, text: str) -> Broken:
        """Tell what is wrong with a text."""
        good = re.fullmatch(rf"{self.tag}[0-9]{{5}}", text)
        return None if good else ("iso_bad_file_name", {"example": f"{self.tag}00001"})


Kind = Id | Text | Whole | Decimal | Hex4 | GridName
