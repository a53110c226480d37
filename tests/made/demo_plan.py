"""The plan of the demo's field, made once for all tests that show it and change nothing."""

from functools import cache

from made_demo import HERON_SLOUGH

from zoning import field
from zoning.plan import Plan


@cache
def demo_plan() -> Plan:
    """The plan of the field with three planting dates, as `sprayworth run` makes it."""
    return field.run(HERON_SLOUGH / "three_dates").plan
