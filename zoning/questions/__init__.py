"""Four questions that need no plan: when R3 is, whether a pass pays, what a sprayer can do, and when.

`plantings` answers the first for what is `asked` at a place, `of_field` for a field folder; `windows` writes
the answer down. `bet` reads what is asked of the second, `worth` answers it, `worth_told` and `worth_object`
write the answer down. `sprayers` answers the third, `show.sprayers` and `sprayers_object` write it down;
`hours_of` the last, `hours_told` and `hours_object` write it down.
"""

from zoning.questions.asked import Crop
from zoning.questions.bet import Typed, bet_of
from zoning.questions.hours_object import hours_object
from zoning.questions.hours_of import HoursTyped, hours_of
from zoning.questions.hours_told import hours_text
from zoning.questions.of_field import stage_of_field
from zoning.questions.plantings import stage_of
from zoning.questions.sprayers import sprayers_of
from zoning.questions.sprayers_object import sprayers_object
from zoning.questions.windows import StageAnswer, StageRow, stage_object, stage_text
from zoning.questions.worth import answer_of
from zoning.questions.worth_object import worth_object
from zoning.questions.worth_told import worth_text
from zoning.show.sprayers import sprayers_text

__all__ = [
    "Crop",
    "HoursTyped",
    "StageAnswer",
    "StageRow",
    "Typed",
    "answer_of",
    "bet_of",
    "hours_object",
    "hours_of",
    "hours_text",
    "sprayers_object",
    "sprayers_of",
    "sprayers_text",
    "stage_object",
    "stage_of",
    "stage_of_field",
    "stage_text",
    "worth_object",
    "worth_text",
]
