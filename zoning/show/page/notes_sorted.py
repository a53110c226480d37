"""The notes of a plan, sorted by what a reader does with them: what was seen, where to go, what is missing.

Words nothing; every note of the plan has exactly one place.
"""

from collections.abc import Sequence
from typing import NamedTuple

from zoning.show.figures import of_day
from zoning.show.page.spans import sentence
from zoning.show.report import BACKGROUND
from zoning.words import Said

# Beginnings of the codes of notes; the first list that knows a note takes it.
SEEN = (
    *("offers.count_", "offers.counts_elsewhere", "offers.seen_on_part", "offers.scouted_never"),
    *("stage.count_", "stage.two_ages", "seen.", "season.", "inputs.count_", "inputs.scouting_"),
)
WALKS = ("passes.walk_",)
MISSING = (
    *("offers.walk", "offers.unpinned", "offers.no_", "offers.stage_only", "stage.", "settings."),
    "sprayer.nozzle_missing",
    *("hours.triple", "hours.no_column", "hours.one_past", "hours.past_", "hours.years_", "hours.forecast_"),
    *("inputs.weather_ends", "inputs.hourly_", "inputs.layer_mostly", "inputs.layer_partly"),
    *("inputs.layer_constant", "inputs.image_cloudy", "inputs.image_later", "zones.no_layer"),
    *("passes.no_air", "passes.strips_none", "offers.beyond_horizon"),
)


class Sorted(NamedTuple):
    """Sentences by what they are for; `background` says why figures are as they are on every farm."""

    seen: tuple[str, ...]
    walks: tuple[str, ...]
    missing: tuple[str, ...]
    background: tuple[str, ...]
    other: tuple[str, ...]


def sort(notes: Sequence[Said]) -> Sorted:
    """Sort the notes of a plan.

    Examples
    --------
    >>> sort([Said("offers.no_yield"), Said("zones.one_response", block="A")]).missing
    ('No expected yield given: the response is not cut for poor ground',)
    """
    lists: tuple[list[str], ...] = ([], [], [], [], [])
    groups = (SEEN, WALKS, MISSING, BACKGROUND)
    for note in notes:
        place = next((at for at, codes in enumerate(groups) if note.code.startswith(codes)), len(groups))
        lists[place].append(sentence(_told(note)))
    return Sorted(*(tuple(one) for one in lists))


def _told(note: Said) -> str:
    """Write the day in the name of a layer as people write days."""
    name = str(note.values.get("name", ""))
    return note.text.replace(name, of_day(name, " of ")) if name else note.text
