"""TASKDATA/TASKDATA.XML: the passes as tasks in the open format of ISO 11783-10, for terminals that read it.

A set lies in a folder TASKDATA: one for each pass of a field, and one for each sprayer of a farm with all its
passes. Whether a given terminal takes it is not verified: see docs/reference/files.md.
"""

import re
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

from zoning.plan import FarmPlan, Plan, PlanPass
from zoning.prescription.of_a_pass.each_pass import write_each
from zoning.prescription.plain_text import ascii_text
from zoning.prescription.polygons import check_cover
from zoning.prescription.shapefile import applies
from zoning.prescription.taskdata.document import Carried, written

FOLDER = "TASKDATA"
OF_FARM = "taskdata"
_LONGEST_FOLDER = 32
_NOT_A_FOLDER = {
    "",
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{n}" for port in ("com", "lpt") for n in range(10)),
}


def _put(carried: Sequence[Carried], folder: Path, place: Path) -> tuple[str, ...]:
    """Write a set into `folder` / `place`; its names relative to `folder`."""
    (folder / place).mkdir(parents=True, exist_ok=True)
    names = []
    for name, made in written(carried).items():
        (folder / place / name).write_bytes(made)
        names.append((place / name).as_posix())
    return tuple(names)


def write(plan: Plan, folder: Path) -> tuple[str, ...]:
    """Write one set for each pass, beside its other files; their names, as `write_each` gives them."""

    def files_of(one: PlanPass) -> dict[str, bytes]:
        return {f"{FOLDER}/{name}": made for name, made in written([(plan, one)]).items()}

    return write_each(plan, folder, files_of)


def write_farm(farm: FarmPlan, folder: Path, *, is_checked: bool = False) -> tuple[str, ...]:
    """Write one set for each sprayer, with its passes over all fields in the order of their days.

    Parameters
    ----------
    farm : FarmPlan
        The farm's plan.
    folder : Path
        Existing folder.
    is_checked : bool
        The files of these very plans were written, and with them it was made sure that their maps cover the
        fields: of many fields that need not be measured again.

    Returns
    -------
    tuple of str
        Names of the files written, relative to `folder`; none where there is no pass.

    Raises
    ------
    ValueError
        When the map of a pass does not cover its field exactly; never where `is_checked`.
    """
    of_sprayer: dict[str, list[Carried]] = defaultdict(list)
    for plan in farm.plans:
        if applies(plan) and plan.passes:
            if not is_checked:
                check_cover(plan)
            for one in plan.passes:
                of_sprayer[one.sprayer].append((plan, one))
    names: list[str] = []
    for place, sprayer in folders(sorted(of_sprayer)).items():
        carried = sorted(of_sprayer[sprayer], key=lambda each: (each[1].day, each[1].half))
        names += _put(carried, folder, Path(OF_FARM) / place / FOLDER)
    return tuple(names)


def folders(sprayers: Sequence[str]) -> dict[str, str]:
    r"""Name a folder for each sprayer that every file system takes, and give the sprayer of each.

    Examples
    --------
    >>> folders(["Rig #1 (90 ft)", "ground rig", "RIG 1 90 ft", "\U0001f681"])
    {'Rig_1_90_ft': 'Rig #1 (90 ft)', 'ground_rig': 'ground rig', 'RIG_1_90_ft_2': 'RIG 1 90 ft', ...}
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for sprayer in sprayers:
        letters = re.sub("[^A-Za-z0-9]+", "_", ascii_text(sprayer, _LONGEST_FOLDER)).strip("_")
        plain = letters if letters.lower() not in _NOT_A_FOLDER else f"sprayer_{letters}".strip("_")
        place, number = plain, 1
        while place.lower() in taken:
            number += 1
            place = f"{plain}_{number}"
        taken.add(place.lower())
        found[place] = sprayer
    return found
