"""What the first map says in words: names of drawn zones, and how far the sprayer's files differ from it.

Draws nothing; gives lines of text.
"""

from zoning.plan import Plan
from zoning.show.figures import plain

_MOST_NAMES = 8  # lines; more would make the legend higher than many a map
_LONGEST = 28  # of a name [characters]


def drawn_names(plan: Plan) -> tuple[str, ...]:
    """Say which numbers each zone has that somebody drew and named, a line each; nothing where nobody did."""
    numbers: dict[str, list[str]] = {}
    for zone in plan.zones:
        if zone.name:  # "" where nobody drew it
            numbers.setdefault(zone.name, []).append(str(zone.zone))
    lines = [f"{plain(name, _LONGEST)}: {', '.join(those)}" for name, those in numbers.items()]
    if len(lines) <= _MOST_NAMES:
        return tuple(lines)
    return (*lines[: _MOST_NAMES - 1], f"{len(lines) - _MOST_NAMES + 1} more names stand in the report")


def swath_notes(plan: Plan) -> tuple[str, ...]:
    """Say how far the sprayer's files are from the zones, where they follow its swaths."""
    if plan.treatment is None or not plan.passes:
        return ()
    return (f"the sprayer's files follow its swaths: {100 * plan.treatment.differs_frac:.1f} % differs",)
