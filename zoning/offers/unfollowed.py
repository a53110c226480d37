"""Maps that the machine cannot follow: each is refused with what would help, unless the user wants it."""

from pathlib import Path

from zoning.errors import SETTINGS, InputError, raise_all
from zoning.plan import Plan
from zoning.words import Said

_MENDS = {
    "passes.runs_too_short": (
        'Larger zones ([zones] min_area), treatment = "swath cells", fewer check strips or a lower top speed '
        "would help"
    ),
    "passes.no_one_speed": "A nozzle that turns down further, or two passes, would help",
}
_MEND_OF_RATE = "Another volume, nozzle or speed would help, as the label allows"


def check(plan: Plan, where: Path) -> None:
    """Refuse a plan with a map that the machine cannot follow.

    Parameters
    ----------
    plan : Plan
    where : Path
        What would have been written.

    Raises
    ------
    InputError
        Code 2, a line for each reason.
    """
    raise_all([_fault(one.number, why, where) for one in plan.passes for why in one.map.not_followed])


def _fault(number: int, why: Said, where: Path) -> InputError:
    mend = _MENDS.get(why.code, _MEND_OF_RATE)
    return InputError(
        f"the machine cannot follow the map of pass {number}: {why.text}",
        where=where,
        mend=f"{mend}; `sprayworth run FIELD --allow-unreachable` writes it with this warning inside.",
        code=SETTINGS,
    )
