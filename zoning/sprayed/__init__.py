"""What was really sprayed: recorded, listed beside what was planned, and put on a record to fill in."""

from zoning.show.sprayed import listed_text as listed_text
from zoning.show.sprayed import recorded_text as recorded_text
from zoning.sprayed.listing import listed as listed
from zoning.sprayed.listing import records as records
from zoning.sprayed.listing import records_object as records_object
from zoning.sprayed.listing import records_text as records_text
from zoning.sprayed.objects import listed_object as listed_object
from zoning.sprayed.objects import recorded_object as recorded_object
from zoning.sprayed.recording import record as record
from zoning.sprayed.typed import Typed as Typed
