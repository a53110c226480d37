"""Two questions that need no plan: when R3 is, and whether a pass pays.

`plantings` answers the first for what is `asked` at a place, `of_field` for a field folder; `windows` writes
the answer down. `bet` reads what is asked of the second, `worth` answers it, `worth_told` and `worth_object`
write the answer down.
"""

from zoning.questions.asked import Crop
from zoning.questions.bet import Typed, bet_of
from zoning.questions.of_field import stage_of_field
from zoning.questions.plantings import stage_of
from zoning.questions.windows import StageAnswer, StageRow, stage_object, stage_text
from zoning.questions.worth import answer_of
from zoning.questions.worth_object import worth_object
from zoning.questions.worth_told import worth_text

__all__ = [
    "Crop",
    "StageAnswer",
    "StageRow",
    "Typed",
    "answer_of",
    "bet_of",
    "stage_object",
    "stage_of",
    "stage_of_field",
    "stage_text",
    "worth_object",
    "worth_text",
]
