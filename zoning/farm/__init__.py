"""Many fields: an offer of each, one schedule over all, a plan for each; one that fails stops no other.

run         the whole farm, phase by phase, readable on one screen
asked       what is asked of each field, and what comes back
of_fields   what is done for one field in each phase; every worker calls the same
chunks      many fields, one after the other, each with its own fault
workers     who does it: this process, processes of this machine; cluster: those of a Dask scheduler
hearsay     what a field hears of others, as a digest
kept        offers and plans of the last run, so that what did not change is not made again
scheduled   one schedule over all fields, part by part where sprayers are not shared
written     the farm's own files
hushed      what a solver prints
"""

from zoning.farm.asked import FarmRun as FarmRun
from zoning.farm.asked import Outcome as Outcome
from zoning.farm.run import SCHEDULED as SCHEDULED
from zoning.farm.run import Watch as Watch
from zoning.farm.run import run as run
from zoning.farm.written import as_object as as_object
from zoning.farm.written import as_text as as_text
