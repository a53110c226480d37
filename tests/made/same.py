"""Whether two values are the same to the last bit and of the same types; uses nothing that it tries."""

import struct
from dataclasses import fields, is_dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from zoning.settings.quantities import Part
from zoning.words import Said


def difference(one, other, at="it"):
    """Say where two values differ first; None where they are the same."""
    if type(one) is not type(other):
        return f"{at}: {type(one).__name__} and {type(other).__name__}"
    if isinstance(one, float):
        return None if struct.pack("<d", one) == struct.pack("<d", other) else f"{at}: {one} and {other}"
    if isinstance(one, np.ndarray):
        return None if _array(one) == _array(other) else f"{at}: another array"
    if isinstance(one, np.generic):
        return None if _array(np.asarray(one)) == _array(np.asarray(other)) else f"{at}: {one} and {other}"
    if isinstance(one, BaseGeometry):
        same = shapely.to_wkb(one) == shapely.to_wkb(other) and shapely.get_srid(one) == shapely.get_srid(
            other
        )
        return None if same else f"{at}: another shape"
    pairs = list(_parts(one))
    others = list(_parts(other))
    if not pairs and not others:
        return None if one == other else f"{at}: {one!r} and {other!r}"
    if [name for name, _ in pairs] != [name for name, _ in others]:
        return f"{at}: other parts"
    found = (difference(a, b, f"{at}.{name}") for (name, a), (_, b) in zip(pairs, others, strict=True))
    return next((told for told in found if told is not None), None)


def _array(one):
    return one.dtype.str, one.shape, one.flags.c_contiguous, one.flags.f_contiguous, one.tobytes()


def _parts(one):
    """List the parts of a value by name: in the order that they have, of sets in one of their own."""
    if isinstance(one, Said):
        return [("code", one.code), ("text", one.text), ("values", one.values)]
    if isinstance(one, Part):
        state = one.__getstate__()
        return [
            *state["__dict__"].items(),
            *((key, state[key]) for key in sorted(state) if key != "__dict__"),
        ]
    if is_dataclass(one):
        return [(each.name, getattr(one, each.name)) for each in fields(one)]
    if isinstance(one, dict):
        return [
            (f"{place}{side}", part)
            for place, pair in enumerate(one.items())
            for side, part in zip("kv", pair, strict=True)
        ]
    if isinstance(one, set | frozenset):
        return [(str(place), part) for place, part in enumerate(sorted(one, key=repr))]
    if isinstance(one, tuple | list):
        return [(str(place), part) for place, part in enumerate(one)]
    return []
