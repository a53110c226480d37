"""A pass that is being put on record: its cells, where each comes from, and what is wrong so far."""

from dataclasses import dataclass, field
from datetime import date, time, timedelta
from pathlib import Path

from zoning import units
from zoning.errors import SETTINGS, InputError
from zoning.evidence import number
from zoning.inputs.applied import Applied
from zoning.inputs.done_cells import CellError, zone_numbers
from zoning.inputs.given import Sprayed
from zoning.show.sprayed import OpenPass
from zoning.sprayed.ground import FieldGround
from zoning.sprayed.known import KnownField
from zoning.sprayed.typed import option_of
from zoning.words import Said


@dataclass(slots=True, kw_only=True, eq=False)
class Draft:
    """A pass on its way to done.csv.

    `planned` is the pass of the plan that it is, `left` its zones that are not recorded yet; `applied` is
    what the machine's own file says. `from_plan` lists what nobody typed.
    """

    known: KnownField
    given: FieldGround
    today: date
    cells: dict[str, str]
    planned: OpenPass | None = None
    left: tuple[int, ...] = ()
    applied: Applied | None = None
    file: str = ""
    kept_as: str = ""  # the machine's file, from the field's folder
    lacks_end: bool = False
    from_plan: list[str] = field(default_factory=list)
    notes: list[Said] = field(default_factory=list)
    faults: list[InputError] = field(default_factory=list)

    @property
    def is_metric(self) -> bool:
        """The farm's units."""
        return self.known.settings.units == "metric"

    @property
    def plan_named(self) -> str:
        """The plan and what was taken from it, for the column source; "" where it is no pass of a plan."""
        if self.planned is None or self.known.plan is None:
            return ""
        taken = f": {' '.join(self.from_plan)}" if self.from_plan else ""
        return f"plan {self.known.plan.short_id}{taken}"

    @property
    def source(self) -> str:
        """What the row rests on, for the column source; the machine's file comes first."""
        return "; ".join(part for part in (self.kept_as, self.plan_named) if part) or "typed"

    @property
    def zone_ac(self) -> dict[int, float]:
        """The area of each zone of the plan, by its number; empty without a plan."""
        return self.known.plan.zone_ac if self.known.plan else {}

    def refuse(self, column: str, what: str, mend: str) -> None:
        """Remember what is wrong with an option."""
        self.faults.append(InputError(what, where=option_of(column), mend=mend, code=SETTINGS))

    def fill_in(self, file: Path | None) -> None:
        """Take what nobody typed from the machine's file, and else from the plan."""
        self.file = file.name if file else ""
        self._fill_in_zones()
        planned, applied = self.planned, self.applied
        if applied is not None:
            self._set("rate", self._rate(applied.rate_gal_ac))
            self._set("area", self._area(applied.area_ac))
        if planned is not None:
            zones = self._zones()
            self._set("rate", self._rate(planned.rate_gal_ac), from_plan=True)
            if zones is not None and zones <= set(self.zone_ac):
                sprayed = zones or set(self.zone_ac)
                whole = sprayed == set(planned.zones)
                ground_ac = planned.area_ac if whole else sum(self.zone_ac[zone] for zone in sprayed)
                self._set("area", self._area(ground_ac), from_plan=True)
                if whole:
                    self._set("loads", str(planned.loads), from_plan=True)
            self._set("sprayer", planned.sprayer, from_plan=True)
            self._set("product", self.known.product, from_plan=True)
        elif self.known.product and not {"product", "pass"} & set(self.cells):
            what = "the product is not given"
            mend = (
                f'Name it, as --product "{self.known.product}", or give the --pass of the plan that it was.'
            )
            self.refuse("product", what, mend)
        if not self.cells.get("product") and not self.known.product:
            self.refuse("product", "the product is not given", 'Name it, as --product "...".')

    def _fill_in_zones(self) -> None:
        if "zones" in self.cells:
            if self._zones() == set(self.zone_ac):  # every zone is the whole field
                del self.cells["zones"]
            return
        if self.applied is not None:
            shares = self.applied.share_of_zone
            least = number("inputs.done_treated_least_frac")
            treated = [zone for zone, share in shares.items() if share >= least]
            if not treated:
                most = 100 * max(shares.values())
                what = f"no zone is treated in {100 * least:.0f} % of its area, the most in {most:.0f} %"
                self.faults.append(
                    InputError(what, where=self.file, mend="Name the zones with --zones.", code=SETTINGS)
                )
            self._set_zones(treated)
            return
        if self.planned is not None:
            self._set_zones(list(self.left or self.planned.zones))
            self.from_plan.append("zones")

    def _set_zones(self, zones: list[int]) -> None:
        """Write zones; all of them, or none that has a number, are the whole field."""
        numbered = [zone for zone in zones if zone]
        if numbered and set(numbered) != set(self.zone_ac):
            self.cells["zones"] = " ".join(map(str, sorted(numbered)))

    def _zones(self) -> set[int] | None:
        """Give the zones that were sprayed, none for the whole field; None where they cannot be read."""
        try:
            return set(zone_numbers(self.cells.get("zones", "")))
        except CellError:
            return None

    def _set(self, column: str, text: str, *, from_plan: bool = False) -> None:
        if column in self.cells or not text:
            return
        self.cells[column] = text
        if from_plan:
            self.from_plan.append(column)

    def _rate(self, rate_gal_ac: float) -> str:
        if self.is_metric:
            return f"{units.l_ha_from_gal_ac(rate_gal_ac):.4g} L/ha"
        return f"{rate_gal_ac:.4g} gal/ac"

    def _area(self, area_ac: float) -> str:
        return f"{units.ha_from_ac(area_ac):.2f} ha" if self.is_metric else f"{area_ac:.2f} ac"

    def half_of(self, row: Sprayed) -> str:
        """Say which half of the day it was: by its start, else by its end, else as planned for that day."""
        at = row.start or (row.end - timedelta(minutes=1) if row.end.time() != time(0) else None)
        if at is not None:
            return "AM" if at.hour < 12 else "PM"
        if self.planned is not None and row.on == self.planned.day and self.planned.half:
            self.from_plan.append("half")
            return self.planned.half
        return ""

    def place_of_applied(self, row: Sprayed) -> Path:
        """Give the path under which the machine's file is kept: its day first, and never another's name."""
        folder = self.known.settings.folder / "applied"
        stem = "".join(
            letter if letter.isalnum() or letter in "-_" else "_" for letter in Path(self.file).stem
        )
        path = folder / f"{row.on.isoformat()}_{stem}.geojson"
        taken, number = path, 1
        while taken.is_file() and self.applied and taken.read_bytes() != self.applied.content:
            number += 1
            taken = path.with_stem(f"{path.stem}_{number}")
        return taken
