"""What stands on the load sheet of a pass, in names and texts: for the plain text and for the printed page.

Blanks are for the pen: nothing is guessed. Lays nothing out.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from zoning import units
from zoning.passes.loads.dose import Amount
from zoning.passes.loads.sheet import LabelLimits, Load, LoadSheet
from zoning.plan import Plan, PlanPass, PlanZone, decided
from zoning.show import check_strips
from zoning.show.edge_line import edge_line
from zoning.show.figures import Units, day, full_day, plain, when
from zoning.show.record import RecordKnown
from zoning.words import Said

_BLANK = "_" * 16
_SHORT_BLANK = "_" * 8
_NOT_GIVEN = f"amount not given {_SHORT_BLANK}"


@dataclass(frozen=True, slots=True)
class LoadTable:
    """What goes into each load: names of the columns, rows with a cell for each, and what stands below."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    below: tuple[str, ...]


def title(plan: Plan, one: PlanPass) -> str:
    """Name the sheet."""
    named = ", ".join(plain(part, 40) for part in (plan.farm, plan.field) if part)
    return f"LOAD SHEET AND ORDER: {named}, pass {one.number}"


def warnings(one: PlanPass) -> list[str]:
    """Say what the machine cannot follow; nothing where it can follow its map."""
    why = (said.text for said in one.map.not_followed)
    return [plain(Said("prescription.readme_not_followed", why=text).text.upper()) for text in why]


def notes(plan: Plan, sheet: LoadSheet) -> list[str]:
    """Give what is to be known, and the cautions."""
    return [plain(text) for text in (*(note.text for note in sheet.notes), *plan.cautions)]


def place(plan: Plan, one: PlanPass, sheet: LoadSheet) -> Iterator[tuple[str, str]]:
    """When, where and how it is driven."""
    written = _written(plan)
    zones = {zone.zone: zone for zone in plan.zones}
    mine = [zones[number] for number in one.zones if number in zones]
    yield "when", f"{when(one)}, by {plain(one.sprayer, 40)}; sheet of {full_day(plan.today)}"
    if plan.since is not None:
        yield "changed", plain(plan.since.text)
    yield "spray", _window(mine)
    asked = (("loads.order_by", one.order_by), ("loads.call_by", one.call_by))
    if ahead := [Said(code, day=day(last)).text for code, last in asked if last is not None]:
        yield "before", "; ".join(ahead)
    yield "calls it off", plain(sheet.site.contact) or _BLANK
    yield "entrance", plain(sheet.site.entrance) or _BLANK
    yield "wires", plain(sheet.site.wires) or _BLANK
    yield "neighbours", "; ".join(f"{side} {plain(text) or '_' * 7}" for side, text in sheet.site.neighbours)
    if not all(text for _, text in sheet.site.neighbours):
        yield "", Said("loads.ask_neighbours").text
    names = {zone.zone: f"{zone.zone} ({plain(zone.name, 14)})" if zone.name else zone.zone for zone in mine}
    unit = written.area_unit
    yield (
        "zones",
        "; ".join(
            f"{names.get(part.zone, part.zone)}: {written.area(part.area_ac)} {unit} "
            f"at {_speed(part.speed_mph, written)}"
            for part in sheet.zones
        ),
    )
    yield (
        "speed",
        _driven(sheet, written, is_held=not any(_is_of_rate(said) for said in one.map.not_followed)),
    )
    if of_user := decided.of_pass(plan, one):
        yield "decided", of_user
    if edges := edge_line(sheet, written):
        yield "edges", edges
    if strips := check_strips.for_operator(plan, one):
        yield "strips", strips


def _window(zones: Sequence[PlanZone]) -> str:
    """Write the days on which every zone of a pass still returns nearly what it can."""
    first = [zone.spray_from for zone in zones if zone.spray_from is not None]
    last = [zone.spray_by for zone in zones if zone.spray_by is not None]
    if not first or not last:
        return f"from {_SHORT_BLANK} by {_SHORT_BLANK}"
    if max(first) <= min(last):
        return f"from {day(max(first))} by {day(min(last))}"
    return f"from {day(min(first))} by {day(max(last))}, no one day being best for all zones"


def _speed(speed_mph: float, written: Units) -> str:
    if written.metric:
        return f"{units.kmh_from_mph(speed_mph):.1f} km/h"
    return f"{speed_mph:.1f} mph"


def _is_of_rate(said: Said) -> bool:
    """Tell whether it is the volume that the machine cannot follow."""
    return said.code.startswith("sprayer.")


def _driven(sheet: LoadSheet, written: Units, *, is_held: bool) -> str:
    """Say how the volume is held: speed, nozzle, pressure or duty; or how near the machine comes to it."""
    if not is_held:
        speed = _speed(sheet.slowest_mph, written)
        return Said("loads.not_held", speed=speed, nozzle=sheet.nozzle).text
    fastest = max((one.speed_mph for one in sheet.zones), default=sheet.slowest_mph)
    said = f"{written.rate(sheet.rate_gal_ac)} {written.rate_unit} is held from "
    said += f"{_speed(sheet.slowest_mph, written)} to {_speed(fastest, written)}"
    if not sheet.nozzle:
        return said
    said += f"; nozzle {sheet.nozzle}"
    psi = sheet.pressure_psi
    if psi is not None:
        pressure = f"{units.bar_from_psi(psi):.1f} bar" if written.metric else f"{psi:.0f} psi"
        said += f", {pressure}{_at_speed(sheet)}"
    if sheet.duty_frac is not None:
        said += f", duty {100 * sheet.duty_frac:.0f} % at the higher speed"
    return said if psi is None else f"{said}; {Said('loads.nozzle_chart').text}"


def _at_speed(sheet: LoadSheet) -> str:
    """Say at which speed the pressure stands: pulsed nozzles keep it, with others it falls with the speed."""
    if sheet.duty_frac is not None:
        return " at any speed"
    return " at the higher speed, less at the lower" if has_speeds(sheet) else ""


def has_speeds(sheet: LoadSheet) -> bool:
    """Tell whether the volume is held over a range of speeds, not at one only."""
    return any(one.speed_mph > sheet.slowest_mph for one in sheet.zones)


def dose_and_mix(plan: Plan, sheet: LoadSheet) -> Iterator[tuple[str, str]]:
    """Give the dose, and the mix of the whole pass."""
    written = _written(plan)
    yield (
        "dose",
        f"{sheet.dose.text} {plain(sheet.product)}; {_amount(_product_in_all(sheet), written)} in all",
    )
    mix = f"{_volume(sheet.mix_gal, written)} for {written.area(sheet.area_ac)} {written.area_unit}"
    mix += f" at {written.rate(sheet.rate_gal_ac)} {written.rate_unit}, in {sheet.loads} load"
    mix += f"{'s' if sheet.loads > 1 else ''}; overage {_volume(sheet.overage_gal, written)}"
    yield "mix", mix


def table(plan: Plan, sheet: LoadSheet, longest_name: int = 0) -> LoadTable:
    """Give what goes into each load; the last one stands in the last column.

    Parameters
    ----------
    plan : Plan
    sheet : LoadSheet
    longest_name : int
        Of a product, in letters; longer ones are cut. 0: as long as it is.
    """
    written = _written(plan)
    columns: list[tuple[str, Load]] = [("last load" if sheet.full else "the one load", sheet.last)]
    if sheet.full is not None:
        count = sheet.full_loads
        columns.insert(0, ("first load" if count == 1 else f"each of first {count} loads", sheet.full))
    loads = [load for _, load in columns]
    additives = {"adjuvant": sheet.adjuvant, "foliar feed": sheet.foliar_feed}
    product = f"{plain(sheet.product, longest_name)}{' *' if sheet.injected else ''}"
    rows: list[tuple[str, list[str]]] = [
        ("spray mix", [_volume(load.mix_gal, written) for load in loads]),
        ("treats", [f"{written.area(load.area_ac)} {written.area_unit}" for load in loads]),
        (product, [_amount(load.product, written) for load in loads]),
    ]
    for name, typed in additives.items():
        amounts = [load.adjuvant if name == "adjuvant" else load.foliar_feed for load in loads]
        cut = longest_name + 1 if longest_name else None
        rows.append((f"{name} {typed}"[:cut], [_amount(one, written) for one in amounts]))
    rows.append(("water", [_volume(load.water_gal, written) for load in loads]))
    return LoadTable(
        columns=tuple(name for name, _ in columns),
        rows=tuple((name, tuple(cells)) for name, cells in rows),
        below=("* injected, not in the tank",) if sheet.injected else (),
    )


def _product_in_all(sheet: LoadSheet) -> Amount:
    """Add up the product of all loads: what is to be ordered for this pass."""
    last, full = sheet.last.product, sheet.full
    if full is None:
        return last
    each, count = full.product, sheet.full_loads
    return Amount(
        value=count * each.value + last.value,
        unit=last.unit,
        gal=count * each.gal + last.gal,
        lb=count * each.lb + last.lb,
    )


def _figure(value: float) -> str:
    """Write an amount as it can be measured out, and never a little as nothing.

    Examples
    --------
    >>> _figure(1234.5), _figure(533.33), _figure(12.0), _figure(4.1667), _figure(0.8254), _figure(0.01234)
    ('1,234', '533.3', '12', '4.17', '0.83', '0.012')
    """
    if value >= 1000:
        return f"{value:,.0f}"
    if value >= 0.1:
        return f"{value:.1f}" if value >= 100 else f"{value:.0f}" if value.is_integer() else f"{value:.2f}"
    return f"{value:.2g}"


def _volume(volume_gal: float, written: Units) -> str:
    if volume_gal == 0:
        return "0 L" if written.metric else "0 gal"
    return f"{_figure(units.l_from_gal(volume_gal))} L" if written.metric else f"{_figure(volume_gal)} gal"


def _amount(amount: Amount | None, written: Units) -> str:
    """Write an amount as it was typed, and in the unit in which it is measured out; a blank if unknown."""
    if amount is None:
        return _NOT_GIVEN
    if amount.gal:
        measured = _volume(amount.gal, written)
    elif written.metric:
        measured = f"{_figure(amount.lb / units.parse('1 kg/ac', 'lb_ac'))} kg"
    else:
        measured = f"{_figure(amount.lb)} lb"
    typed = f"{_figure(amount.value)} {amount.unit}"
    return measured if not amount.unit or typed.split()[0] == measured.split()[0] else f"{typed} = {measured}"


def rules(one: PlanPass, sheet: LoadSheet) -> Iterator[tuple[str, str]]:
    """Give the label's limits, and the lines that are filled in with a pen."""
    if sheet.other_pass:
        other = plain(sheet.other_pass, 30)
        insect = "insect" in other.casefold()
        seen = f"; its threshold was met, seen by {_SHORT_BLANK} on {_SHORT_BLANK}" if insect else ""
        yield "also in tank", f"{other} {_SHORT_BLANK}{seen}"
    yield "label", f"{Said('loads.label').text}: {'; '.join(_limits(sheet.label, one.last_day))}"
    yield "cleanout", f"last product in tank {_SHORT_BLANK}____ rinsed by {_SHORT_BLANK} date _____"
    yield "buffer", Said("loads.buffer").text
    yield "", f"wind speed _____ from _____ distance _____ decision {_SHORT_BLANK}"
    yield "mixing", Said("loads.mixing").text
    yield "left over", Said("loads.short").text
    another = f", {Said('loads.another_mix').text}" if sheet.next_field and not sheet.next_same_mix else ""
    yield "next field", f"{plain(sheet.next_field)}{another}" or _BLANK


def _limits(label: LabelLimits, last_day: date) -> Iterable[str]:
    yield f"wind at most {plain(label.max_wind)}"
    yield f"droplets {plain(label.droplet)}" if label.droplet else f"droplets {_SHORT_BLANK}"
    yield f"nobody goes in for {label.re_entry_h:g} h after it"
    yield f"no harvest for {label.pre_harvest_interval_d} d, before {_after(last_day, label)}"
    hay = label.hay_grazing_d
    yield f"no hay, no grazing for {hay} d" if hay is not None else f"hay and grazing {_SHORT_BLANK}"
    rain = label.rainfast_h
    yield f"no rain for {rain:g} h" if rain is not None else f"rainfast after {_SHORT_BLANK}"
    yield f"stage up to {label.latest_stage}"
    yield f"in a season at most {label.max_applications} applications and {plain(label.max_dose)}"


def _after(last_day: date, label: LabelLimits) -> str:
    return day(last_day + timedelta(days=label.pre_harvest_interval_d))


def record_known(plan: Plan, one: PlanPass, sheet: LoadSheet) -> RecordKnown:
    """Give what an application record of the pass can say before it is sprayed."""
    return RecordKnown(
        field=plan.field,
        farm=plan.farm,
        pass_number=one.number,
        zones=one.zones,
        planned=one.day,
        half=one.half,
        sprayer=one.sprayer,
        product=sheet.product,
        dose=sheet.dose.text,
        rate_gal_ac=sheet.rate_gal_ac,
        area_ac=sheet.area_ac,
        loads=sheet.loads,
        re_entry_h=sheet.label.re_entry_h,
        is_metric=plan.units == "metric",
    )


def _written(plan: Plan) -> Units:
    return Units(metric=plan.units == "metric")
