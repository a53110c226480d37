"""Reproducible chance: the same seed and key give the same draws, whoever else draws.

A key is words and numbers (farm-wide "year", a field's name, a zone): adding a field changes no other's
draws. Nothing here reads the clock.
"""

import zlib

import numpy as np
import numpy.typing as npt


def generator(seed: int, *key: str | int) -> np.random.Generator:
    """Give a generator of its own to a key.

    Examples
    --------
    >>> bool(generator(1, "field", "a").normal() == generator(1, "field", "a").normal())
    True
    """
    words = [zlib.crc32(str(part).encode()) for part in key]
    return np.random.default_rng([seed, len(words), *words])


def normals(seed: int, draws: int, *key: str | int) -> npt.NDArray[np.float64]:
    """Give the standard normal draws of a key, with mean 0 and SD 1 exactly; shape (draws,)."""
    raw = generator(seed, *key).standard_normal(draws)
    centred = raw - raw.mean()
    return np.asarray(centred / centred.std() if draws > 1 else centred)
