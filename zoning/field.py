"""One field: from its folder to a plan and its files, readable on one screen.

offer    what the field offers: zones, windows, priced options
settle   the plan, once the passes are chosen
run      both, with the whole sprayer to itself
write    the plan as files
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Protocol

from zoning.errors import SETTINGS, InputError
from zoning.inputs import area, read
from zoning.inputs.given import FieldInputs
from zoning.offers import places, pricing
from zoning.offers.offered import Offer, OfferedZone, Options
from zoning.offers.provenance import Provenance, provenance_of
from zoning.offers.settle import settle_offer as settle
from zoning.passes.schedule import schedule
from zoning.plan import Plan
from zoning.prescription import folder as out_folder
from zoning.prescription import formats, plan_json
from zoning.returns import reasons
from zoning.returns.response import Place
from zoning.settings.model import Settings
from zoning.settings.read import load
from zoning.show import map as field_map
from zoning.sprayer.smallest import smallest_zone_ac
from zoning.stage.draws import StageDraws
from zoning.stage.forecast import forecast
from zoning.stage.spread import Situation
from zoning.words import Said
from zoning.zones.why import why_whole
from zoning.zones.zoning import Floats, Ground, Limits, Zone, Zoning

Tell = Callable[[str], None]


class DrawZones(Protocol):
    """What draws the zones of a field."""

    def __call__(
        self, layers: Mapping[str, Floats], ground: Ground, limits: Limits, /, *, seed: int
    ) -> Zoning:
        """Draw them; see `zoning.zones.delineate.delineate`."""


def draw_here(layers: Mapping[str, Floats], ground: Ground, limits: Limits, /, *, seed: int) -> Zoning:
    """Draw the zones in this process."""
    # imported late: where another process draws them, this one need not
    from zoning.zones.delineate import delineate

    return delineate(layers, ground, limits, seed=seed)


def silent(_step: str) -> None:
    """Say nothing."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Run:
    """A plan and what it was made of."""

    plan: Plan
    provenance: Provenance


def run(
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    tell: Tell = silent,
    draw_zones: DrawZones = draw_here,
) -> Run:
    """Plan one field, with the whole sprayer to itself.

    Parameters
    ----------
    folder : Path
        With field.toml; farm.toml in it or in its parent.
    today : date, optional
        The day to plan on; else the settings' `as_of`, else `clock`.
    seed : int
        Of the draws.
    clock : date, optional
        The real day, read at the edge.
    tell : callable
        Is told each step when it starts.
    draw_zones : callable
        Draws the zones, as `zoning.zones.delineate.delineate` does; another process may do it.

    Raises
    ------
    InputError
        Everything that is wrong with what the user gave.
    """
    offered = offer(folder, today=today, seed=seed, clock=clock, tell=tell, draw_zones=draw_zones)
    tell("choosing the passes")
    chosen = None
    if offered.options is not None:
        (chosen,) = schedule([offered.options.problem], offered.options.machine)
    return Run(plan=settle(offered, chosen), provenance=offered.provenance)


def offer(
    folder: Path,
    *,
    today: date | None = None,
    seed: int = 0,
    clock: date | None = None,
    tell: Tell = silent,
    draw_zones: DrawZones = draw_here,
) -> Offer:
    """Read a field folder and work out everything that does not depend on the schedule; see `run`."""
    tell("reading the field")
    settings = load(folder)
    day = _today(today, settings, clock)
    given = read.field(settings, day)
    tell("forecasting the stages")
    situation = Situation(
        field=settings.name,
        habit=settings.habit,
        latitude_deg=given.latitude_deg,
        today=day,
        seed=seed,
    )
    stages = forecast(given.blocks, given.weather, situation)
    tell("drawing the zones")
    layers = {layer.name: layer.values for layer in given.layers}
    zoning = draw_zones(layers, _ground(given), _limits(settings), seed=seed)
    zones = tuple(_offered(zone, given, stages.stages[zone.block]) for zone in zoning.zones)
    whole = (why_whole(one, given.blocks[one.block].name) for one in zoning.quality)
    notes = [*settings.missing, *given.notes, *stages.notes, *(said for said in whole if said is not None)]
    stopped = reasons.stopped(settings.product.target) if settings.product else None
    level = settings.level if stopped is None else 1
    options: Options | None = None
    if level > 1:
        tell("pricing the options")
        zones, options, priced_notes = _priced(zones, zoning, given, settings, (day, seed))
        notes += priced_notes
    return Offer(
        field=settings.name,
        farm=settings.farm_name,
        units=settings.units,
        country=settings.country,
        level=level,
        today=day,
        epsg=given.grid.epsg,
        boundary=given.boundary_lonlat,
        area_ac=given.area_ac,
        zones=zones,
        options=options,
        product=settings.product.name if settings.product else "",
        notes=tuple(notes if stopped is None else [*notes, stopped]),
        provenance=provenance_of(settings, given.files, today=day, seed=seed),
    )


def _today(today: date | None, settings: Settings, clock: date | None) -> date:
    day = today or settings.as_of or clock
    if day is None:
        raise ValueError("no day to plan on: give today or clock")
    return day


def _ground(given: FieldInputs) -> Ground:
    return Ground(
        grid=given.grid,
        inside=given.inside,
        fit=given.fit,
        block_of_cell=given.block_of_cell,
        block_outlines=tuple(block.outline for block in given.blocks),
    )


def _limits(settings: Settings) -> Limits:
    machine_ac = max((smallest_zone_ac(one) for one in settings.sprayers[:1]), default=0.0)
    return Limits(
        max_zones_per_block=settings.zones.max_zones_per_block,
        min_area_ac=max(settings.zones.min_area_ac, machine_ac),
    )


def _offered(zone: Zone, given: FieldInputs, stage: StageDraws) -> OfferedZone:
    block = given.blocks[zone.block]
    outline = area.to_lonlat(zone.outline, given.grid.epsg)
    return OfferedZone(
        zone=zone.number,
        block=block.name,
        outline=outline,
        outline_m=zone.outline,
        area_ac=area.geodesic_ac(outline),
        planted=block.planted,
        maturity_group=block.maturity_group,
        stage=stage,
    )


def _priced(
    zones: tuple[OfferedZone, ...],
    zoning: Zoning,
    given: FieldInputs,
    settings: Settings,
    when: tuple[date, int],
) -> tuple[tuple[OfferedZone, ...], Options, tuple[Said, ...]]:
    day, seed = when
    if settings.response is None:
        raise ValueError("levels 2 and 3 need the response settings")
    ground = places.Ground(
        settings=settings,
        response=settings.response,
        sprayer=settings.sprayers[0] if settings.level == 3 else None,
        given=given,
        zoning=zoning,
        seed=seed,
    )
    cases = places.with_cases(zones, ground)
    options, notes = pricing.options(cases, zoning, given, settings, day)
    source = reasons.source_note(
        settings.response,
        Place(pressure=settings.response.pressure),
        metric=settings.units == "metric",
    )
    return cases, options, (source, *places.not_known(cases), *places.alike(cases), *notes)


def as_object(result: Run, files: tuple[str, ...] = ()) -> dict[str, object]:
    """Give the object that plan.json holds."""
    return plan_json.as_object(result.plan, files)


def check_out(folder: Path, *, alone: bool) -> None:
    """Refuse to replace a result that the farm's schedule made, unless that is wanted.

    Raises
    ------
    InputError
        When `folder`/out was made with one schedule for the farm and `alone` is False.
    """
    out = folder / "out"
    out_folder.heal(out)
    try:
        made = json.loads((out / "run.json").read_text(encoding="utf-8"))
    except (FileNotFoundError, json.JSONDecodeError):
        return
    if not alone and isinstance(made, dict) and made.get("schedule") == "farm":
        raise InputError(
            "this result belongs to the farm's shared schedule",
            where=out,
            mend="Run the farm again, or add --alone to plan this field as if it had the sprayer to itself.",
            code=SETTINGS,
        )


def write(result: Run, out: Path) -> tuple[str, ...]:
    """Write a plan as files; `out` is replaced whole or not at all.

    Returns
    -------
    tuple of str
        Names of the files, relative to `out`.
    """
    names: list[str] = []

    def fill(new: Path) -> None:
        names.extend(formats.write_all(result.plan, new))
        field_map.write(result.plan, new / "map.png")
        names.extend(("map.png", "plan.json", "run.json"))
        _write_json(new / "plan.json", as_object(result, tuple(names)))
        _write_json(new / "run.json", result.provenance.as_object() | {"schedule": result.plan.schedule})

    out_folder.replace(out, fill)
    return tuple(names)


def _write_json(path: Path, thing: object) -> None:
    path.write_text(json.dumps(thing, indent=2, ensure_ascii=False, allow_nan=False) + "\n", encoding="utf-8")
