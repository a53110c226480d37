"""A farm: one schedule over all its fields, as tables."""

from dataclasses import dataclass
from datetime import date
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any

from zoning.errors import InputError
from zoning.service import asked

if TYPE_CHECKING:  # libraries of numbers are waited for when a farm is planned, not before
    from geopandas import GeoDataFrame
    from pandas import DataFrame

    from zoning.farm import FarmRun
    from zoning.plan import FarmPlan
    from zoning.prescription.failures import Failure


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class PlannedFarm:
    """A farm with its plan; what `plan_farm` gives.

    In a notebook it shows what `sprayworth farm` prints. Tables are made anew each time, so that changing one
    changes no plan.

    Parameters
    ----------
    folder : Path
        The farm's folder.
    run : FarmRun
        What came of every field.
    """

    folder: Path
    run: "FarmRun"

    @property
    def plan(self) -> "FarmPlan":
        """The plan itself: frozen, the plans of all fields and the schedule that they share."""
        return self.run.plan

    @property
    def fields(self) -> "GeoDataFrame":
        """The fields that were planned, a row each, with their boundaries: the columns of farm.csv."""
        from zoning.prescription.farm_frames import fields_frame
        from zoning.prescription.field_table import PAGE

        return fields_frame(self.plan, {one.field for one in self.run.outcomes if PAGE in one.files})

    @property
    def zones(self) -> "GeoDataFrame":
        """The zones of all fields, a row each: the columns of farm.parquet."""
        from zoning.prescription.farm_frames import zones_frame

        return zones_frame(self.plan)

    @property
    def schedule(self) -> "DataFrame":
        """The half-days of every pass, a row each, in order of time: the columns of schedule.csv."""
        from zoning.prescription.farm_frames import schedule_frame

        return schedule_frame(self.plan)

    @property
    def failures(self) -> "DataFrame":
        """What kept fields from being planned, a row for each fault: the columns of failures.csv."""
        from zoning.prescription.farm_frames import failures_frame

        return failures_frame(self._failed())

    def _failed(self) -> "tuple[Failure, ...]":
        from zoning.prescription.failures import within

        return within(self.folder, self.run.failures)

    def as_dict(self) -> dict[str, Any]:
        """Give the object that farm.json holds."""
        from zoning.farm import as_object

        return as_object(self.run)

    def __repr__(self) -> str:
        from zoning.show.farm_report import headline

        failed = len(self.run.failures)
        told = f"; {failed} field{'' if failed == 1 else 's'} failed" if failed else ""
        return f"<PlannedFarm {self.plan.farm}: {headline(self.plan)}{told}>"

    def _repr_html_(self) -> str:
        from zoning.prescription.failures import rows
        from zoning.show.notebook import farm_text

        return farm_text(self.plan, rows(self._failed()))


def plan_farm(
    folder: "str | PathLike[str]",
    *,
    today: date | str | None = None,
    seed: int = 0,
    workers: int | None = 1,
) -> PlannedFarm:
    """Plan every field of a farm with one schedule, and write the files, as `sprayworth farm` does.

    Unlike `plan_field` it writes, into the folders of the fields and of the farm: what is on disk need not be
    made again, nor held in memory. A field that fails stops no other.

    Parameters
    ----------
    folder : str or path
        With farm.toml and a folder for each field.
    today : date or str, optional
        As for `plan_field`; else `as_of` of the first field whose settings can be read.
    seed : int
        Of the draws, 0 or more.
    workers : int, optional
        Processes that share the work, 1 or more; 1 is this process alone, None one for each core that has
        memory enough. What comes out does not depend on it. More than one need a program that can be
        imported: call from below ``if __name__ == "__main__":``.

    Returns
    -------
    PlannedFarm
        The same inputs, day and seed give the same plan.

    Raises
    ------
    InputError
        What is wrong with the arguments or the farm itself; what is wrong with a field is in `failures`.

    Examples
    --------
    >>> plan_farm("demo_fields/heron_slough", workers=0)
    Traceback (most recent call last):
    zoning.errors.InputError: workers: 0 cannot be. Give a whole number, 1 or more.
    """
    path, day, number = Path(fspath(folder)), asked.day(today), asked.whole(seed, "seed", 0)
    hands = None if workers is None else asked.whole(workers, "workers", 1)
    from zoning import farm

    with asked.ONE_AT_A_TIME:
        as_of = None if day else _as_of(path)
        run = farm.run(path, today=day, clock=as_of, seed=number, workers=hands)
        return PlannedFarm(folder=path.absolute(), run=run)


def _as_of(farm: Path) -> date | None:
    from zoning.settings.read import fields_of, load

    for field in fields_of(farm):
        try:
            load(field)
        except InputError:
            continue
        return asked.as_of(field)
    return None  # no field can be planned: their faults are told
