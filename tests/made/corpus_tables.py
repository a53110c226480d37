"""Bad tables, and what stands in for them: weather, scouting, and records of what was done and learned."""

import corpus_records
import corpus_walks
import corpus_weather
from corpus_case import Case

CASES: tuple[Case, ...] = (*corpus_weather.CASES, *corpus_walks.CASES, *corpus_records.CASES)
