"""Which plantings no count has pinned, and when to walk them: about a week before their R3 is likely."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from zoning.evidence import number
from zoning.stage.counted import SpotStage, walk_day
from zoning.words import Said

_MOST_DAYS = 4  # days of walking that are named one by one


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """A planting as a sentence calls it, when it was planted, and its stages."""

    name: str
    planted: date
    stage: SpotStage | None


def walk_notes(stood: Sequence[Stood], today: date) -> tuple[Said, ...]:
    """Say which plantings to walk when.

    Those that are counted, not planted yet or already past R3 need no walk.
    """
    plants = number("stage.walk_plants")
    by_day: dict[date, list[str]] = {}
    for one in stood:
        day = walk_day(one.stage, today) if one.planted <= today else None
        if day is not None:
            by_day.setdefault(day, []).append(one.name)
    if len(by_day) > _MOST_DAYS:
        count, ahead_d = sum(map(len, by_day.values())), number("stage.walk_before_r3_d")
        return (Said("questions.walk_each", count=count, ahead=ahead_d, plants=plants),)
    if not by_day:
        return ()
    walks = ", ".join(
        f"{' and '.join(names)} about {day:%b} {day.day}" for day, names in sorted(by_day.items())
    )
    return (Said("questions.walk", walks=walks, plants=plants),)
