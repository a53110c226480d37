"""The container of a kept thing: a zip of JSON and `.npy` members whose bytes depend on its content alone.

Any program that opens zips reads it, and `numpy.load` its arrays. Written and read here because it is strict
and quick: no clock, no folders, no extra fields, and a SHA-256 of everything before it as the zip's comment.
"""

import hashlib
import struct
import zlib
from collections.abc import Iterable

_LOCAL = struct.Struct("<4sHHHHHIIIHH")
_CENTRAL = struct.Struct("<4sHHHHHHIIIHHHHHII")
_END = struct.Struct("<4sHHHHIIH")
_LOCAL_SIGN, _CENTRAL_SIGN, _END_SIGN = b"PK\x03\x04", b"PK\x01\x02", b"PK\x05\x06"
_VERSION, _FLAGS, _TIME, _DAY = 20, 0, 0, 0x21  # 1980-01-01, the first day that a zip knows
_STORED, _DEFLATED = 0, 8
_SUM_LETTERS = 64
_MOST_MEMBERS, _MOST_BYTES = 65_000, 1 << 30
_LEAST_TRIED, _SAMPLE_BYTES = 512, 1024
_GAIN = 0.95  # of the sample that may be left; draws that fill all their bits hardly shrink


def packed(members: Iterable[tuple[str, bytes]], *, stored: frozenset[str] = frozenset()) -> bytes:
    """Put members into a zip.

    Parameters
    ----------
    members : iterable of (str, bytes)
        Names and contents, in the order in which they are to stand.
    stored : frozenset of str
        Those that are not to be compressed; of the others, those that gain are.

    Raises
    ------
    ValueError
        For more than a container of this kind holds.

    Examples
    --------
    >>> unpacked(packed([("a.json", b"{}")]))
    {'a.json': b'{}'}
    """
    parts: list[bytes] = []
    central: list[bytes] = []
    at = whole = 0
    for name, content in members:
        called, method, body = name.encode("ascii"), _STORED, content
        if name not in stored and _may_shrink(content):
            shrunk = _deflated(content)
            if len(shrunk) < len(content):
                method, body = _DEFLATED, shrunk
        told = (_VERSION, _FLAGS, method, _TIME, _DAY, zlib.crc32(content), len(body), len(content))
        parts += (_LOCAL.pack(_LOCAL_SIGN, *told, len(called), 0), called, body)
        central.append(_CENTRAL.pack(_CENTRAL_SIGN, _VERSION, *told, len(called), 0, 0, 0, 0, 0, at) + called)
        at += _LOCAL.size + len(called) + len(body)
        whole += len(content)
        if whole > _MOST_BYTES or len(central) > _MOST_MEMBERS:
            raise ValueError("this is too much for one kept file")
    listed = b"".join(central)
    end = _END.pack(_END_SIGN, 0, 0, len(central), len(central), len(listed), at, _SUM_LETTERS)
    body = b"".join((*parts, listed, end))
    return body + hashlib.sha256(body).hexdigest().encode("ascii")


def unpacked(data: bytes) -> dict[str, bytes]:
    """Take the members out of what `packed` made.

    Returns
    -------
    dict of str to bytes
        In their order.

    Raises
    ------
    ValueError
        When the file is not whole and of this kind, to the byte.
    """
    body, told = data[:-_SUM_LETTERS], data[-_SUM_LETTERS:]
    if data[: len(_LOCAL_SIGN)] != _LOCAL_SIGN:
        raise ValueError("this is no kept file")
    if hashlib.sha256(body).hexdigest().encode("ascii") != told:
        raise ValueError("the file is cut or was changed")
    found: dict[str, bytes] = {}
    at = whole = 0
    while body[at : at + len(_LOCAL_SIGN)] == _LOCAL_SIGN:
        name, method, start, (packed_bytes, size) = _member(body, at)
        at, whole = start + packed_bytes, whole + size
        if name in found or whole > _MOST_BYTES or at > len(body):
            raise ValueError("its members do not fit together")
        # a copy of its own: numpy reckons otherwise with numbers that do not lie on a border of words
        found[name] = _content(body[start:at], method, size)
    return found


def first(head: bytes) -> tuple[str, bytes] | None:
    """Give name and content of the first member, from the beginning of a file; None where it is not whole.

    Parameters
    ----------
    head : bytes
        The member must not be compressed.
    """
    try:
        name, method, start, (packed_bytes, size) = _member(head, 0)
    except ValueError:
        return None
    content = head[start : start + size]
    (crc,) = struct.unpack_from("<I", head, _LOCAL.size - 16)
    is_whole = method == _STORED and packed_bytes == size == len(content) and zlib.crc32(content) == crc
    return (name, content) if is_whole else None


def _member(data: bytes, at: int) -> tuple[str, int, int, tuple[int, int]]:
    """Read the header of a member: its name, method, where its content begins, its sizes packed and plain."""
    try:
        sign, *told, _crc, packed_bytes, size, letters, more = _LOCAL.unpack_from(data, at)
    except struct.error as error:
        raise ValueError("a member has no head") from error
    version, flags, method, time, day = told
    start = at + _LOCAL.size + letters
    if (sign, version, flags, time, day, more) != (_LOCAL_SIGN, _VERSION, _FLAGS, _TIME, _DAY, 0):
        raise ValueError("a member has another head than ours")
    return data[start - letters : start].decode("ascii"), method, start, (packed_bytes, size)


def _content(body: bytes, method: int, size: int) -> bytes:
    if method == _DEFLATED:
        opened = zlib.decompressobj(-zlib.MAX_WBITS)
        try:
            body = opened.decompress(body, size + 1)
        except zlib.error as error:
            raise ValueError("a member cannot be inflated") from error
        if not opened.eof:
            raise ValueError("a member is cut")
    elif method != _STORED:
        raise ValueError("a member is packed in another way")
    if len(body) != size:
        raise ValueError("a member has another size than it says")
    return body


def _may_shrink(content: bytes) -> bool:
    """Try a sample from the middle: most large members are draws, and trying each whole costs time."""
    if len(content) < _LEAST_TRIED:
        return False
    if len(content) <= _SAMPLE_BYTES:
        return True
    begin = (len(content) - _SAMPLE_BYTES) // 2
    return len(_deflated(content[begin : begin + _SAMPLE_BYTES])) < _GAIN * _SAMPLE_BYTES


def _deflated(content: bytes) -> bytes:
    return zlib.compress(content, 1, wbits=-zlib.MAX_WBITS)
