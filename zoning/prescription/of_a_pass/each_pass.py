"""The folder of each pass, and what its files are called; one loop for all formats of a pass."""

from collections.abc import Callable, Mapping
from pathlib import Path

from zoning.plan import Plan, PlanPass
from zoning.prescription.polygons import check_cover
from zoning.prescription.shapefile import applies


def stem(one: PlanPass) -> str:
    """Name of a pass's files without their ending: pass number and the month and day of spraying."""
    return f"P{one.number}_{one.day:%m%d}"


def folder_of(one: PlanPass) -> Path:
    """Folder of a pass, relative to that of the plan."""
    return Path("passes") / f"P{one.number}"


def write_each(
    plan: Plan, folder: Path, files_of: Callable[[PlanPass], Mapping[str, bytes]]
) -> tuple[str, ...]:
    """Write the files of each pass into its folder.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    folder : Path
        Existing folder.
    files_of : callable
        Gives the content of each file of a pass by its name, relative to the folder of the pass.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `folder`; none where there is no pass.

    Raises
    ------
    ValueError
        When zones and no-spray ground, or the map of a pass, do not cover the field exactly.
    OSError
        When the disk refuses.
    """
    if not applies(plan) or not plan.passes:
        return ()
    check_cover(plan)
    names = []
    for one in plan.passes:
        for name, content in files_of(one).items():
            place = folder_of(one) / name
            (folder / place).parent.mkdir(parents=True, exist_ok=True)
            (folder / place).write_bytes(content)
            names.append(place.as_posix())
    return tuple(names)
