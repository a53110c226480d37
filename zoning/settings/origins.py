"""Each setting in words: its value, and where it came from.

What `sprayworth check` lists. Nothing is read or judged here.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from zoning.settings.keys import Key, keys
from zoning.settings.model import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One setting.

    `value` is as typed, or the default; `came_from` is "farm.toml:12" or "default (assumption)".
    """

    key: str
    words: str
    value: str
    came_from: str
    is_default: bool


def rows(settings: Settings) -> tuple[Row, ...]:
    """List every setting that was typed or has a default, in the order of the reference.

    Keys that were left out and stand for nothing are not listed, nor are absent tables.

    Parameters
    ----------
    settings : Settings
        From `load`.
    """
    return tuple(row for key in keys().values() for row in _rows_of(key, settings))


def _rows_of(key: Key, settings: Settings) -> Iterator[Row]:
    for name in _names(key, settings):
        typed = name in settings.given
        if typed or key.default:
            yield Row(
                key=name,
                words=key.words,
                value=settings.given[name] if typed else key.default,
                came_from=settings.origin[name] if typed else f"default ({key.kind})",
                is_default=not typed,
            )


def _names(key: Key, settings: Settings) -> Iterator[str]:
    """Name the key once for each item of its list of tables."""
    if key.pattern == "name" and settings.farm_name:
        yield "farm_name"
    if not key.is_list:
        absent = {"money": settings.money, "product": settings.product, "response": settings.response}
        if absent.get(key.table, settings) is not None:
            yield key.pattern
        return
    counts = {
        "imagery": len(settings.imagery),
        "layer": len(settings.layers),
        "setback": len(settings.setbacks),
        "dead_ground": len(settings.dead_ground),
        "scouting": len(settings.scouting),
        "sprayer": len(settings.sprayers),
    }
    for number in range(counts[key.table]):
        yield f"{key.table}[{number + 1}].{key.name}"
