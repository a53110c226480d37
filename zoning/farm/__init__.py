"""Many fields: an offer of each, one schedule over all, a plan for each; one that fails stops no other.

run         the whole farm, phase by phase, readable on one screen
of_fields   what is done for one field in each phase; every worker calls the same
workers     who does it: this process, processes of this machine, or a Dask cluster
kept        offers and plans of the last run, so that what did not change is not made again
scheduled   one schedule over all fields, part by part where sprayers are not shared
written     the farm's own files
"""

from zoning.farm.run import FarmRun as FarmRun
from zoning.farm.run import Outcome as Outcome
from zoning.farm.run import as_object as as_object
from zoning.farm.run import run as run
