"""Two questions that need no plan: when R3 is, and whether a pass pays.

`plantings` answers the first for what is `asked` at a place, `of_field` for a field folder; `windows` writes
the answer down; `worth` answers the second.
"""

from zoning.questions.asked import Crop
from zoning.questions.of_field import stage_of_field
from zoning.questions.plantings import stage_of
from zoning.questions.windows import StageAnswer, StageRow, stage_object, stage_text
from zoning.questions.worth import Bet, Trials, worth_object, worth_of, worth_text

__all__ = [
    "Bet",
    "Crop",
    "StageAnswer",
    "StageRow",
    "Trials",
    "stage_object",
    "stage_of",
    "stage_of_field",
    "stage_text",
    "worth_object",
    "worth_of",
    "worth_text",
]
