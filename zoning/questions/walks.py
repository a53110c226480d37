"""Which plantings no count has pinned, and when to walk them: about a week before their R3 is likely."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from zoning.evidence import number
from zoning.stage.counted import SpotStage
from zoning.units import date_from_day
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
    ahead_d = number("stage.walk_before_r3_d")
    by_day: dict[date, list[str]] = {}
    for one in stood:
        if one.stage is None or one.stage.counted or one.planted > today:
            continue
        likely_day = float(np.median(one.stage.draws.of("R3")))
        if float(np.median(one.stage.draws.of("R4"))) > today.toordinal():
            by_day.setdefault(max(date_from_day(likely_day - ahead_d), today), []).append(one.name)
    if len(by_day) > _MOST_DAYS:
        return (Said("questions.walk_each", count=sum(map(len, by_day.values())), ahead=ahead_d),)
    if not by_day:
        return ()
    walks = ", ".join(
        f"{' and '.join(names)} about {day:%b} {day.day}" for day, names in sorted(by_day.items())
    )
    return (Said("questions.walk", walks=walks),)
