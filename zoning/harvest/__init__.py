"""After harvest: did it pay, where, and what is believed now; behind `strips`.

trial     one field, step by step: points, strips, what was sprayed -> a TrialResult, and what is learned
asked     the options of the command
known     what its steps hand to each other
cost      what the pass cost
learning  what is learned: `planned` finds the plan to judge, `pressed` the pressure of each zone, `book`
          makes the rows of season.csv
result    all of it as one TrialResult
written   its files, then learned.toml and season.csv of the farm
farm      all seasons of a farm, as they stand in these two
"""

from zoning.harvest.asked import Asked as Asked
from zoning.harvest.farm import book_object as book_object
from zoning.harvest.farm import book_of_farm as book_of_farm
from zoning.harvest.farm import book_text as book_text
from zoning.harvest.farm import is_farm as is_farm
from zoning.harvest.trial import trial as trial
from zoning.harvest.written import as_object as as_object
from zoning.harvest.written import place_of as place_of
from zoning.harvest.written import write as write
