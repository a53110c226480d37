"""Ways to spoil the bytes of a file that need not know its format, and the words that spoil any text.

Everything is drawn from the generator that comes in, so that a seed gives the same change again.
"""

import random
import re
import struct
from collections.abc import Callable

NUMBERS = (
    "0", "-0", "1", "-1", "2", "1e-320", "5e-324", "1e308", "-1e308", "1e309", "-1e309", "nan", "NaN",
    "inf", "-inf", "Infinity", "1e400", "9" * 40, "-" + "9" * 400, "2147483647", "2147483648",
    "-2147483649", "4294967296", "9223372036854775807", "9223372036854775808", "1e16", "0.1", "1,5",
    "1.000,5", "0x10", "1_0", "180", "-180", "180.0000001", "90", "-90", "91", "1e5", "٣", "½", "1e", ".",
    "+", "0.0000000001",
)  # fmt: skip
DAYS = (
    "0001-01-01", "9999-12-31", "2026-02-29", "2024-02-29", "2026-02-30", "0000-00-00", "2026-13-01",
    "20260714", "2026-W29-2", "14.07.2026", "07/14/2026", "2026-07-14T24:00", "2026-07-14T23:60",
    "2026-07-14T12:00:00+99:00", "2026-07-14T12:00:00+14:00", "0001-01-01T00:00:00+14:00",
    "9999-12-31T23:59:59-12:00", "2026-07-14 12:00:60", "10000-01-01", "-2026-07-14", "2026-11-01T01:30",
)  # fmt: skip
WORDS = (
    "", " ", "\t", "\n", "\r", "\r\n", "\0", "\x1b[31m", "\x7f", "\x85", "\u2028", "\u202e", "\u200b",
    "\ufeff", "\ufffe", "\ud7ff", "\U0001f33e", "é", "e\u0301", "ß", "İ", "ı", "ﬁ",
    "<script>alert(1)</script>", "&amp;", "&#0;", "]]>", "<!--", "{{7*7}}", "${x}", "%s", "%n", "{0}", "{",
    "}", "[", "]", '"', "'", '"""', "'''", "\\", "\\u0000", "=1+1", "@SUM(A1)", "+1", "-",
    "../../etc/passwd", "/dev/zero", "/dev/stdin", "C:\\", "CON", "~", "file:///etc/passwd",
    "http://127.0.0.1/x", "/vsicurl/x", "a" * 300, "a" * 70_000, "null", "None", "true", "false", "#",
    "date", "lat", "lon", "zone", "name", "geometry", "USD", "bu/ac", "gal/ac", "%", "sprayer", "R3", "R9",
    "NDVI", "unknown",
)  # fmt: skip
_WHOLE = (0, 1, -1, 2, 127, 128, 255, 256, 32767, 65535, 65536, 2**31 - 1, -(2**31), 2**32 - 1, 2**63 - 1)
_FLOATS = (0.0, -0.0, float("nan"), float("inf"), -float("inf"), 1e308, 5e-324, 1e30, -1e30)
_NUMBER = re.compile(r"[-+]?\d+\.?\d*(?:[eE][-+]?\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}(?:[T ]\d{2}:\d{2}(?::\d{2})?Z?)?")
Draw = random.Random


def _span(draw: Draw, length: int) -> slice:
    """Draw a part of something, mostly a short one."""
    start = draw.randrange(length + 1)
    return slice(start, min(length, start + int(2 ** draw.uniform(0, 12))))


def _flip(draw: Draw, data: bytes) -> bytes:
    changed = bytearray(data)
    for _ in range(int(2 ** draw.uniform(0, 5))):
        changed[draw.randrange(len(changed))] ^= 1 << draw.randrange(8)
    return bytes(changed)


def _poke(draw: Draw, data: bytes) -> bytes:
    """Put a number that is at an edge over some bytes, whichever way round."""
    kind = draw.choice(("<b", "<h", ">h", "<i", ">i", "<q", ">q", "<d", ">d", "<f"))
    size = struct.calcsize(kind)
    if kind[-1] in "df":
        value = struct.pack(kind, draw.choice(_FLOATS) if kind[-1] == "d" else draw.choice(_FLOATS[:5]))
    else:
        value = (draw.choice(_WHOLE) % 256**size).to_bytes(size, "little" if kind[0] == "<" else "big")
    at = draw.randrange(max(1, min(len(data), draw.choice((128, 512, 1 << 30))) - size + 1))
    return data[:at] + value + data[at + size :]


def _cut(draw: Draw, data: bytes) -> bytes:
    return data[: draw.randrange(len(data))]


def _drop(draw: Draw, data: bytes) -> bytes:
    part = _span(draw, len(data))
    return data[: part.start] + data[part.stop :]


def _copy(draw: Draw, data: bytes) -> bytes:
    part, at = _span(draw, len(data)), draw.randrange(len(data))
    times = draw.choice((1, 1, 1, 2, 50))
    return data[:at] + data[part] * times + data[at if draw.random() < 0.5 else at + part.stop - part.start :]


def _rubbish(draw: Draw, data: bytes) -> bytes:
    part = _span(draw, len(data))
    filled = draw.choice((b"\0", b"\xff", None))
    length = part.stop - part.start
    return (
        data[: part.start]
        + (draw.randbytes(length) if filled is None else filled * length)
        + data[part.stop :]
    )


def _insert(draw: Draw, data: bytes) -> bytes:
    at = draw.randrange(len(data) + 1)
    return data[:at] + word(draw).encode("utf-8", "surrogatepass") + data[at:]


BYTES: tuple[Callable[[Draw, bytes], bytes], ...] = (
    _flip,
    _poke,
    _poke,
    _cut,
    _drop,
    _copy,
    _rubbish,
    _insert,
)


def of_bytes(draw: Draw, data: bytes) -> bytes:
    """Spoil bytes of any kind."""
    return draw.choice(BYTES)(draw, data) if data else word(draw).encode("utf-8", "surrogatepass")


def word(draw: Draw) -> str:
    """Draw a number, a date, a word, or a letter from anywhere."""
    kind = draw.random()
    if kind < 0.35:
        return draw.choice(NUMBERS)
    if kind < 0.5:
        return draw.choice(DAYS)
    if kind < 0.95:
        return draw.choice(WORDS)
    return chr(draw.choice((draw.randrange(0x250), draw.randrange(0xD800), draw.randrange(0xE000, 0x110000))))


# -- text --------------------------------------------------------------------------------------------------


def _number(draw: Draw, text: str) -> str:
    return _replaced(draw, text, _NUMBER, draw.choice(NUMBERS))


def _day(draw: Draw, text: str) -> str:
    return _replaced(draw, text, _DAY, draw.choice(DAYS))


def _replaced(draw: Draw, text: str, pattern: re.Pattern[str], new: str) -> str:
    """Replace one match, or now and then all."""
    found = list(pattern.finditer(text))
    if not found:
        return text + new
    if draw.random() < 0.05:
        return pattern.sub(lambda _: new, text)
    one = draw.choice(found)
    return text[: one.start()] + new + text[one.end() :]


def _said(draw: Draw, text: str) -> str:
    """Put a word in, or in the place of another."""
    found = list(re.finditer(r"[^\s,;:=\"<>{}\[\]]+", text))
    if not found or draw.random() < 0.3:
        at = draw.randrange(len(text) + 1)
        return text[:at] + word(draw) + text[at:]
    one = draw.choice(found)
    return text[: one.start()] + word(draw) + text[one.end() :]


def _lines(draw: Draw, text: str) -> str:
    lines = text.splitlines(keepends=True) or [""]
    at, other = draw.randrange(len(lines)), draw.randrange(len(lines))
    what = draw.randrange(5)
    if what == 0:
        lines.insert(at, lines[other])
    elif what == 1:
        del lines[at]
    elif what == 2:
        lines[at], lines[other] = lines[other], lines[at]
    elif what == 3:
        lines[at] = lines[at] * draw.choice((2, 40))
    else:
        lines[at] = lines[at].rstrip("\r\n")
    return "".join(lines)


def _swapped(draw: Draw, text: str) -> str:
    """Take another sign for one, everywhere, or once."""
    signs = ",;\t|.:\"'[]{}=<>/\n "
    old, new = draw.choice(signs), draw.choice((*signs, "", "\r\n", "  "))
    return text.replace(old, new, -1 if draw.random() < 0.5 else 1)


def _nested(draw: Draw, text: str) -> str:
    opened, closed = draw.choice(
        (("[", "]"), ("{", "}"), ("<a>", "</a>"), ("(", ")"), ('{"a":', "}"), ("a.", ""))
    )
    at, depth = draw.randrange(len(text) + 1), draw.choice((2, 100, 3000, 100_000))
    return text[:at] + opened * depth + (closed * depth if draw.random() < 0.5 else "") + text[at:]


TEXT = (_number, _number, _day, _said, _said, _lines, _swapped, _nested)
_CODINGS = ("utf-16", "utf-32", "utf-8-sig", "utf-16-le", "cp1252", "utf-7")


def of_text(draw: Draw, data: bytes) -> bytes:
    """Spoil a text; now and then write it in another coding."""
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        return of_bytes(draw, data)
    if draw.random() < 0.03:
        return text.encode(draw.choice(_CODINGS), "replace")
    if draw.random() < 0.1:
        return of_bytes(draw, data)
    return draw.choice(TEXT)(draw, text).encode("utf-8", "surrogatepass")


def cell_of_table(draw: Draw, data: bytes) -> bytes:
    """Change a cell, or a column, of a table."""
    text = data.decode("utf-8", "replace")
    sign = max(",;\t", key=text.count)
    rows = [line.split(sign) for line in text.splitlines() if line]
    if not rows:
        return of_text(draw, data)
    row = draw.choice((0, draw.randrange(len(rows))))
    column = draw.randrange(len(rows[row]))
    what = draw.random()
    if what < 0.6:
        rows[row][column] = word(draw).replace("\n", " ")
    elif what < 0.7:
        rows = [[*cells[:column], *cells[column + 1 :]] for cells in rows]
    elif what < 0.8:
        rows = [[*cells, cells[min(column, len(cells) - 1)]] for cells in rows]
    elif what < 0.9:
        new = word(draw).replace("\n", " ")
        rows = [rows[0], *([*cells[:column], new, *cells[column + 1 :]] for cells in rows[1:])]
    else:
        rows[row] = rows[row] * draw.choice((2, 2, 5000))
    return "\n".join(sign.join(cells) for cells in rows).encode("utf-8", "surrogatepass")
