"""What each sprayer can do, as people read it: a table of the carrier volumes, and lines of what follows.

Gives text; works out nothing but units.
"""

import textwrap
from dataclasses import dataclass

from zoning import units
from zoning.evidence import named
from zoning.settings.model import Sprayer
from zoning.show.figures import NONE, plain, whole
from zoning.show.layout import REASON, WIDTH, Table, as_text
from zoning.show.machine_units import MachineUnits, short
from zoning.sprayer.nozzle import (
    colour,
    metric_reference_psi,
    rated_l_min,
    reference_psi,
    sizes_gal_min,
)
from zoning.sprayer.reach import Reach
from zoning.words import Said

_STATE = "possible"


@dataclass(frozen=True, slots=True, kw_only=True)
class AtVolume:
    """What one sprayer does at one carrier volume.

    `refused` are all the reasons against it, of the machine and of the label; `would_do` says what pressure
    would reach it. `at_slowest` is the pressure in psi or the duty at the lowest speed. `label_allows` is
    None where no label is given.
    """

    reach: Reach
    at_slowest: float | None
    spraying_min: float | None
    label_allows: bool | None
    refused: tuple[Said, ...]
    would_do: Said | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two carrier volumes, the smaller first, and the speeds at which a sprayer can make both; None: none."""

    low: Reach
    high: Reach
    speeds_mph: tuple[float, float] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Able:
    """What one sprayer can do; sides of zones are across the track and along it."""

    sprayer: Sprayer
    volumes: tuple[AtVolume, ...]
    on_off_m: tuple[float, float]
    on_off_ac: float
    on_off_step_m: float
    rate_m: tuple[float, float]
    rate_ac: float
    rate_step_m: float
    most_ratio: float | None
    pairs: tuple[Pair, ...]
    forbidden: Said | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SprayersAnswer:
    """The sprayers of a farm or field; `droplet` is the label's word, None where no label is given."""

    name: str
    metric: bool
    droplet: str | None
    min_area_ac: float
    steps: float
    sprayers: tuple[Able, ...]
    notes: tuple[Said, ...]


def sprayers_text(answer: SprayersAnswer | None, width: int = WIDTH, *, with_nozzles: bool = False) -> str:
    """Write what each sprayer can do, and the table of nozzle sizes where it is asked for.

    Parameters
    ----------
    answer : SprayersAnswer or None
        None where only the table is asked for.
    width : int
        Most letters in a line.
    with_nozzles : bool
        Whether the table of sizes is added.
    """
    parts = []
    if answer is not None:
        written = MachineUnits(metric=answer.metric)
        parts = [[f"{plain(answer.name, 60)}: what each sprayer can do"]] if answer.name else []
        parts += [_of_sprayer(one, answer, written, width) for one in answer.sprayers]
        parts.append([_listed(said.text, width) for said in answer.notes])
    if with_nozzles:
        parts.append([_nozzles(width)])
    return "\n\n".join("\n".join(part) for part in parts)


def _listed(text: str, width: int) -> str:
    return textwrap.fill(plain(text), width, initial_indent="- ", subsequent_indent="  ")


def _of_sprayer(one: Able, answer: SprayersAnswer, written: MachineUnits, width: int) -> list[str]:
    head = textwrap.fill(_machine(one.sprayer, written), width, subsequent_indent="  ")
    lines = [head, "", as_text(_table(one, written), width), ""]
    return lines + [_listed(said.text, width) for said in _follows(one, answer, written)]


def _machine(sprayer: Sprayer, written: MachineUnits) -> str:
    """Name the machine and what it is, as the settings have it."""
    sections = f" in {sprayer.sections} sections" if sprayer.sections > 1 else ""
    width = "boom" if sprayer.kind == "ground" else "swath"
    parts = [
        f"{plain(sprayer.name, 40)} ({sprayer.kind}): {written.length(sprayer.boom_m)} {width}{sections}",
        f"{written.tank(sprayer.tank_gal)} tank",
        f"{short(sprayer.fill_min)} min a fill",
        f"{written.speeds(sprayer.speed_mph)} {written.speed_unit}",
    ]
    if sprayer.nozzle is not None and sprayer.nozzle_spacing_m is not None:
        named_colour = colour(sprayer.nozzle)
        coloured = f" ({named_colour})" if named_colour else ""
        gap = written.gap(sprayer.nozzle_spacing_m)
        parts.append(f"nozzles of size {sprayer.nozzle}{coloured}, {gap} apart")
    if sprayer.pressure_psi is not None:
        parts.append(written.pressures(sprayer.pressure_psi))
    if sprayer.duty_frac is not None:
        parts.append(f"duty {'–'.join(f'{100 * frac:.0f}' for frac in sprayer.duty_frac)} %")
    return ", ".join(parts)


def _table(one: Able, written: MachineUnits) -> Table:
    rows = [_row(at, one.sprayer, written) for at in one.volumes]
    return Table(tuple(rows[0]), tuple(tuple(row.values()) for row in rows))


def _row(at: AtVolume, sprayer: Sprayer, written: MachineUnits) -> dict[str, str]:
    it, farm = at.reach, written
    row = {f"carrier {farm.rate_unit}": farm.rate(it.volume_gal_ac), _STATE: _state(at)}
    row[f"speed {written.speed_unit}"] = (
        NONE
        if it.slowest_mph is None or it.speed_mph is None
        else written.speeds((it.slowest_mph, it.speed_mph))
    )
    if sprayer.nozzle is not None:
        pulsed = sprayer.duty_frac is not None
        unit = "duty %" if pulsed else written.pressure_unit
        top = it.duty_frac if pulsed else it.pressure_psi
        for head, value in (("at lowest speed", at.at_slowest), ("at top speed", top)):
            share = NONE if value is None else f"{100 * value:.0f}" if pulsed else written.pressure(value)
            row[f"{unit} {head}"] = share
        row[f"nozzle {written.flow_unit} at top"] = (
            NONE if it.nozzle_gal_min is None else written.flow(it.nozzle_gal_min)
        )
    row[f"{farm.area_unit} an hour"] = farm.area(it.acres_per_hour) if it.reachable else NONE
    row[f"{farm.area_unit} a load"] = farm.area(it.acres_per_load)
    row["spraying min a load"] = NONE if at.spraying_min is None else whole(at.spraying_min)
    row["filling min a load"] = short(sprayer.fill_min)
    told = [said.text for said in (*at.refused, at.would_do) if said is not None]
    return row | {REASON: "; ".join(told)}


def _state(at: AtVolume) -> str:
    """Say in two words whether a volume can be sprayed."""
    label = "" if at.label_allows is not False else "label: no"
    machine = "" if at.reach.reachable else "out of reach"
    return ", ".join(text for text in (machine, label) if text) or "yes"


def _follows(one: Able, answer: SprayersAnswer, written: MachineUnits) -> list[Said]:
    """Say what follows for zones, for two volumes in a field, and for droplets."""
    said = [Said("sprayer.forbidden", why=one.forbidden.text)] if one.forbidden is not None else []
    if one.forbidden is None and not any(not at.refused for at in one.volumes):
        said.append(Said("sprayer.reaches_none"))
    said += [*_zones(one, answer, written), *_ratio(one, written)]
    if answer.droplet is not None:
        word = answer.droplet.strip()
        said.append(Said("sprayer.droplet", droplet=plain(word)) if word else Said("sprayer.no_droplet"))
    return said


def _zones(one: Able, answer: SprayersAnswer, written: MachineUnits) -> list[Said]:
    sprayer = one.sprayer
    counts = "min_area" if answer.min_area_ac >= one.on_off_ac else "machine"
    return [
        Said(
            "sprayer.smallest_on_off",
            area=written.small_area(one.on_off_ac),
            across=written.length(one.on_off_m[0]),
            along=written.length(one.on_off_m[1]),
            sections="one section" if sprayer.sections > 1 else "the whole width: it has no sections",
            step=written.length(one.on_off_step_m),
            lag=sprayer.section_lag_s,
            speed=f"{written.speed(sprayer.speed_mph[1])} {written.speed_unit}",
            steps=answer.steps,
        ),
        Said(
            "sprayer.smallest_rate",
            area=written.small_area(one.rate_ac),
            across=written.length(one.rate_m[0]),
            along=written.length(one.rate_m[1]),
            step=written.length(one.rate_step_m),
            lag=sprayer.rate_lag_s,
        ),
        Said(f"sprayer.{counts}_counts", min_area=written.small_area(answer.min_area_ac)),
    ]


def _ratio(one: Able, written: MachineUnits) -> list[Said]:
    if one.most_ratio is None:
        return [Said("sprayer.takes_all")] if one.sprayer.kind != "ground" else []
    why = Said("sprayer.by_pressure" if one.sprayer.duty_frac is None else "sprayer.by_duty").text
    said = [Said("sprayer.ratio", ratio=one.most_ratio, why=why)]
    said += _shared(one.pairs, written)
    if one.sprayer.injection:
        return [*said, Said("sprayer.injected")]
    if one.pairs:
        widest = max(one.pairs, key=lambda pair: pair.high.volume_gal_ac / pair.low.volume_gal_ac)
        low, high = widest.low.volume_gal_ac, widest.high.volume_gal_ac
        names = {"low": written.rate(low), "high": written.rate(high)}
        said.append(Said("sprayer.one_tank", unit=written.rate_unit, share=100 * low / high, **names))
    return said


def _shared(pairs: tuple[Pair, ...], written: MachineUnits) -> list[Said]:
    """Say which two volumes share a speed and which do not."""
    share, apart = [], []
    for pair in pairs:
        both = " and ".join(written.rate(at.volume_gal_ac) for at in (pair.low, pair.high))
        if pair.speeds_mph is None:
            apart.append(both)
        else:
            share.append(f"{both} at {written.speeds(pair.speeds_mph)} {written.speed_unit}")
    unit = written.rate_unit
    said = [Said("sprayer.pairs", pairs=", ".join(share), unit=unit)] if share else []
    return said + ([Said("sprayer.pairs_apart", pairs=", ".join(apart), unit=unit)] if apart else [])


def _nozzles(width: int) -> str:
    """Write the table of nozzle sizes: colour, flow in both ratings."""
    us_psi, metric_psi = reference_psi(), metric_reference_psi()
    head = Said(
        "sprayer.nozzle_table",
        psi=us_psi,
        bar=units.bar_from_psi(us_psi),
        metric_bar=units.bar_from_psi(metric_psi),
        metric_psi=metric_psi,
    ).text
    rows = tuple(
        (size, colour(size) or NONE, f"{gal_min:.2f}", f"{rated_l_min(size):.3f}")
        for size, gal_min in sizes_gal_min().items()
    )
    heads = (
        "size",
        "colour",
        f"gal/min at {us_psi:g} psi",
        f"L/min at {units.bar_from_psi(metric_psi):g} bar",
    )
    of_standard = list(named("sprayer.nozzle_flow_gal_min"))
    last = Said("sprayer.from_memory", last=of_standard[-1]).text
    return "\n\n".join([textwrap.fill(head, width), as_text(Table(heads, rows), width), _listed(last, width)])
