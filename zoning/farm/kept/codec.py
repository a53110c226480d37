"""Any value of ours as bytes and back, without running anything that stands in them."""

import hashlib
import json
from collections.abc import Mapping

from zoning.farm.kept import container
from zoning.farm.kept.nodes import written
from zoning.farm.kept.read_again import read_again

ABOUT = "about.json"  # the first member, not compressed: the beginning of a file says what is in it
_THING = "thing.json"
_ARRAY = "arrays/{}.npy"


def to_bytes(thing: object, about: Mapping[str, object] | None = None) -> bytes:
    """Write a value as bytes, which depend on it alone.

    Parameters
    ----------
    thing : object
        Made of frozen dataclasses and settings of ours, arrays and numbers of numpy, shapes of shapely, days,
        paths, and what Python has itself. Equal parts that never change are written once.
    about : mapping of str to object, optional
        What `about_of` says of it; JSON values.

    Raises
    ------
    TypeError
        When anything else is in it.
    """
    now = written(thing)
    members = [(ABOUT, _json(about or {})), (_THING, now.text.encode("ascii"))]
    members += [(_ARRAY.format(place), b"".join(array)) for place, array in enumerate(now.arrays)]
    return container.packed(members, stored=frozenset({ABOUT}))


def from_bytes(data: bytes) -> object:
    """Read a value again; parts that were written once are one shared value, arrays cannot be written into.

    Raises
    ------
    ValueError
        When anything is amiss: the bytes are cut or changed, of another version, or hold what is not ours.

    Examples
    --------
    >>> from datetime import date
    >>> from_bytes(to_bytes({"from": date(2026, 7, 9), "draws": (1.5, float("inf"))}))
    {'from': datetime.date(2026, 7, 9), 'draws': (1.5, inf)}
    """
    members = container.unpacked(data)
    names = [_ARRAY.format(place) for place in range(len(members) - 2)]
    if list(members) != [ABOUT, _THING, *names]:
        raise ValueError("it holds something else than a kept value")
    return read_again(members[_THING], [members[name] for name in names])


def about_of(head: bytes) -> dict[str, object] | None:
    """Give what is said of a value in the beginning of its bytes; None where that is not whole."""
    found = container.first(head)
    if found is None or found[0] != ABOUT:
        return None
    try:
        about = json.loads(found[1])
    except (ValueError, RecursionError):
        return None
    return about if isinstance(about, dict) else None


def digest(thing: object) -> str:
    """Hash a value (SHA-256): equal values have equal hashes, whatever is shared in them.

    Raises
    ------
    TypeError
        As for `to_bytes`.

    Examples
    --------
    >>> part = ["a"]
    >>> digest((part, part)) == digest((["a"], ["a"])) != digest((["a"], ["b"]))
    True
    """
    now = written(thing, as_value=True)
    found = hashlib.sha256(now.text.encode("ascii"))
    for header, content in now.arrays:
        found.update(header)
        found.update(content)
    return found.hexdigest()


def _json(about: Mapping[str, object]) -> bytes:
    return json.dumps(about, sort_keys=True, separators=(",", ":")).encode("ascii")
