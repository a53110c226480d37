"""One field: its plan, and what a notebook, a script or a service wants of it."""

from dataclasses import dataclass, replace
from datetime import date
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING, Any

from zoning.errors import SETTINGS, InputError
from zoning.service import asked

if TYPE_CHECKING:  # libraries of numbers are waited for when a field is planned, not before
    from geopandas import GeoDataFrame

    from zoning.field import Run
    from zoning.plan import Plan


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class PlannedField:
    """A field with its plan; what `plan_field` gives.

    In a notebook it shows the decision, the money, the map and the table of zones. Tables are made anew each
    time, so that changing one changes no plan.

    Parameters
    ----------
    folder : Path
        The field's folder.
    run : Run
        The plan, and what it was made of.
    """

    folder: Path
    run: "Run"

    @property
    def plan(self) -> "Plan":
        """The plan itself: frozen, every figure of plan.json as a plain value."""
        return self.run.plan

    @property
    def zones(self) -> "GeoDataFrame":
        """The zones, a row each, in EPSG:4326: the columns of the layer `zones` of zones.gpkg."""
        return self._layer("zones")

    @property
    def passes(self) -> "GeoDataFrame":
        """The passes, a row each, with the ground that is sprayed: the columns of `passes` of zones.gpkg."""
        return self._layer("passes")

    def _layer(self, name: str) -> "GeoDataFrame":
        from zoning.prescription.frame import layer_frame

        return layer_frame(self.plan, name)

    def map_png(self) -> bytes:
        """Draw the map: the bytes of map.png."""
        from zoning.show.map import png

        with asked.ONE_AT_A_TIME:
            return png(self.plan)

    def page_html(self) -> str:
        """Write the page of the field: the text of page.html, one file that needs no network."""
        from zoning.show.page import text

        with asked.ONE_AT_A_TIME:
            return text(self.plan)

    def sheet_pdf(self) -> bytes:
        """Set the sheet for grower and operators: the bytes of sheet.pdf."""
        from zoning.show.sheet import pdf

        with asked.ONE_AT_A_TIME:
            return pdf(self.plan)

    def as_dict(self) -> dict[str, Any]:
        """Give the object that plan.json holds; its `files` are empty, as nothing is written."""
        from zoning.field import as_object

        return as_object(self.run)

    def write(self, out: "str | PathLike[str] | None" = None) -> tuple[str, ...]:
        """Write everything that `sprayworth run` does.

        Check strips that the plan lays are written into the field's folder too, wherever `out` is: the files
        of the passes leave them out.

        Parameters
        ----------
        out : str or path, optional
            The folder to make or to replace, whole or not at all; else `out` in the field's folder.

        Returns
        -------
        tuple of str
            Names of the files, relative to `out`.

        Raises
        ------
        InputError
            Code 2 when `out` holds something that is no result of this field, or one that belongs to the
            schedule of a farm, or when the machine cannot follow the map of a pass; 4 when the disk refuses.
        """
        with asked.ONE_AT_A_TIME:
            return _write(self, self.folder / "out" if out is None else Path(fspath(out)).absolute())

    def __repr__(self) -> str:
        from zoning.show.table import summary

        return f"<PlannedField {summary(self.plan)}>"

    def _repr_html_(self) -> str:
        from zoning.show.notebook import text

        return text(self.plan, self.map_png())


def plan_field(
    folder: "str | PathLike[str]", *, today: date | str | None = None, seed: int = 0
) -> PlannedField:
    """Plan one field, with its sprayers to itself.

    Parameters
    ----------
    folder : str or path
        With field.toml; farm.toml in it or in its parent.
    today : date or str, optional
        The day to plan on, as a date or as "2026-07-08"; else `as_of` of the settings. The clock is not read,
        so that the same call gives the same plan; for today's give `date.today()`.
    seed : int
        Of the draws, 0 or more.

    Returns
    -------
    PlannedField
        The same inputs, day and seed give the same plan.

    Raises
    ------
    InputError
        Everything that is wrong with what was given; `faults` has them one by one, `code` is 2 for settings
        and arguments, 3 for the content of a file, 4 when the world refused.

    Examples
    --------
    >>> plan_field("demo_fields/heron_slough/three_dates", today="8 July")
    Traceback (most recent call last):
    zoning.errors.InputError: today: '8 July' is not a day. Write it as 2026-07-08, or give a date.
    """
    path, day, number = Path(fspath(folder)), asked.day(today), asked.whole(seed, "seed", 0)
    from zoning import field

    with asked.ONE_AT_A_TIME:
        as_of = None if day else asked.as_of(path)
        return PlannedField(folder=path.absolute(), run=field.run(path, today=day, clock=as_of, seed=number))


def _write(planned: PlannedField, out: Path) -> tuple[str, ...]:
    from zoning import field
    from zoning.inputs.strips import design

    run, strips = planned.run, planned.plan.strips
    _check(out, planned)
    if out.parent == planned.folder or strips is None or not strips.new_design:
        return field.write(run, out)
    # laid strips belong beside field.toml, where the next run and the trial look for them
    run = replace(run, plan=replace(run.plan, strips=replace(strips, new_design="")))
    names = field.write(run, out)
    design.write(planned.folder, strips.new_design)
    return names


def _check(out: Path, planned: PlannedField) -> None:
    """Refuse to replace what is not the last result of this field by itself."""
    from zoning.prescription.folder import last_object

    mend = "Give a new folder, or one that holds a result of this field."
    if not out.parent.is_dir():
        raise InputError("there is no such folder", where=out.parent, mend="Make it first.", code=SETTINGS)
    beside = [out.with_name(f"{out.name}.{ending}") for ending in ("new", "last")]
    for one in (out,) if out == planned.folder / "out" else (out, *beside):
        if (
            one.exists()
            and not (one / "plan.json").is_file()
            and not (one.is_dir() and not any(one.iterdir()))
        ):
            raise InputError("this is no result of a field", where=one, mend=mend, code=SETTINGS)
    field = last_object(out, "plan.json").get("field", planned.plan.field)
    if field != planned.plan.field:
        raise InputError(f"this is the result of field {field}", where=out, mend=mend, code=SETTINGS)
    if last_object(out, "run.json").get("schedule") == "farm":
        what = "this result belongs to the farm's shared schedule"
        raise InputError(what, where=out, mend="Plan the farm again, or give a new folder.", code=SETTINGS)
