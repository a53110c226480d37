"""Digests of what a field hears of others, so that its kept offer is taken only where that is unchanged.

Worked out once for a farm: among all fields by themselves it would be the square of the work.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

from zoning.farm.kept import codec
from zoning.inputs import season_book
from zoning.seen import SeenCounts

# keys that no variety has
_NOTES, _WHO = "\0notes", "\0who"


def hearsay(seen: SeenCounts, farm: Path) -> dict[str, str]:
    """Give a digest of the counts of each variety, and of what every field hears.

    Parameters
    ----------
    seen : SeenCounts
        The farm's table of counts. A field's own counts are among them: where these change, its inputs do.
    farm : Path
        Where season.csv is there, or in a field with a farm.toml of its own, past seasons are told by the
        names of folders, so that these count too.
    """
    of_variety: dict[str, list[object]] = {}
    for one, folder in zip(seen.heard, seen.folders, strict=True):
        of_variety.setdefault(one.place.variety, []).append((folder.name, one))
    pairs = sorted(
        (folder.name, one.place.field) for one, folder in zip(seen.heard, seen.folders, strict=True)
    )
    has_past = (farm / season_book.FILE).exists() or any(farm.glob(f"*/{season_book.FILE}"))
    who = tuple(pairs) if has_past else ()
    return {
        _NOTES: codec.digest(seen.notes),
        _WHO: codec.digest(who),
        **{variety: codec.digest(tuple(told)) for variety, told in of_variety.items()},
    }


def heard_digest(varieties: Sequence[str], of_farm: Mapping[str, str]) -> str:
    """Give the digest of what a field with these varieties hears.

    Examples
    --------
    >>> of_farm = {"early": "a", "late": "b"}
    >>> heard_digest(["early"], of_farm) == heard_digest(["early"], {**of_farm, "late": "c"})
    True
    >>> heard_digest(["early"], of_farm) == heard_digest(["early"], {**of_farm, "early": "c"})
    False
    """
    return codec.digest(tuple(of_farm.get(key) for key in (_NOTES, _WHO, *sorted(varieties))))
