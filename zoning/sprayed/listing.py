"""What is recorded and what is not: every field's plan held against done.csv. Writes nothing."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from zoning.errors import SETTINGS, InputError
from zoning.plan import SCHEMA_VERSION
from zoning.prescription.as_json.twins import Json
from zoning.settings.model import Settings
from zoning.show.record import RecordKnown, record_object, record_text
from zoning.show.sprayed import DoneAnswer, OpenPass
from zoning.sprayed.known import KnownFarm, KnownField, known_farm
from zoning.sprayed.typed import option_of
from zoning.words import Said


def listed(folder: Path, *, today: date | None, clock: date, field: str = "") -> DoneAnswer:
    """List what is recorded, and the passes of the plans that are not.

    Parameters
    ----------
    folder : Path
        A farm's folder, or a field's.
    today, clock
        As for `zoning.field.run`.
    field : str
        Only this one; "" for all.

    Raises
    ------
    InputError
        What is wrong with done.csv; a field's own faults are in the answer.
    """
    farm = known_farm(folder, today=today, clock=clock)
    fields = (field_called(farm, field),) if field else farm.fields
    notes = [
        (one.settings.name, Said("done.no_plan"))
        for one in fields
        if one.plan is None and one.settings.level > 2
    ]
    return DoneAnswer(
        name=fields[0].settings.name if field else farm.name,
        today=farm.today,
        metric=farm.is_metric,
        recorded=tuple(sorted((row for one in fields for row in one.rows), key=lambda row: row.end)),
        still_open=tuple(
            sorted((p for one in fields for p in still_open(one)), key=lambda p: (p.day, p.field))
        ),
        notes=tuple(notes),
        failures=farm.failures,
    )


def field_called(farm: KnownFarm, name: str) -> KnownField:
    """Find a field by its name or by that of its folder.

    Raises
    ------
    InputError
        When there is none, or several fields have that name.
    """
    from zoning.inputs.done import is_of

    found = [one for one in farm.fields if is_of(name, one.settings)]
    if len(found) == 1:
        return found[0]
    of_farm = ", ".join(one.settings.folder.name for one in farm.fields)
    for folder, fault in farm.failures:
        if folder == name:
            raise fault
    what = f"several fields are called {name}" if found else f"there is no field {name}"
    mend = f"Give the name of its folder, one of {of_farm}."
    raise InputError(what, where=option_of("field"), mend=mend, code=SETTINGS)


def still_open(one: KnownField) -> list[OpenPass]:
    """List the passes of a field's plan that are not recorded, or not in all of their zones."""
    if one.plan is None:
        return []
    left = []
    for planned in one.plan.passes:
        gone = one.recorded_of(planned)
        zones = tuple(zone for zone in planned.zones if zone not in gone)
        if not zones:
            continue
        area_ac = sum(one.plan.zone_ac.get(zone, 0.0) for zone in zones) if gone else planned.area_ac
        left.append(replace(planned, zones=zones, area_ac=area_ac))
    return left


def records(
    folder: Path, *, today: date | None, clock: date, field: str = "", number: int | None = None
) -> tuple[RecordKnown, ...]:
    """Give the records to fill in, one for each pass that is not recorded yet.

    Parameters
    ----------
    folder, today, clock
        As for `listed`.
    field : str
        Only this one; "" for all. A field that is named and has no pass gets one that is blank.
    number : int, optional
        Only this pass of it, recorded or not.

    Raises
    ------
    InputError
        When there is no such field or pass.
    """
    farm = known_farm(folder, today=today, clock=clock)
    if number is not None and not field and len(farm.fields) > 1:
        raise InputError(
            "a pass belongs to a field", where=option_of("pass"), mend="Give --field too.", code=SETTINGS
        )
    fields = (field_called(farm, field),) if field else farm.fields
    if number is not None:
        return (_record(fields[0].settings, farm, pass_called(fields[0], number)),)
    found = [_record(one.settings, farm, planned) for one in fields for planned in still_open(one)]
    return tuple(found) or tuple(_record(one.settings, farm, None) for one in fields)


def pass_called(one: KnownField, number: int) -> OpenPass:
    """Find a pass of a field's plan.

    Raises
    ------
    InputError
        When there is no plan, or no such pass in it.
    """
    where = option_of("pass")
    if one.plan is None:
        mend = "Run the field first, or leave out --pass and give --product, --zones and --rate."
        raise InputError(f"{one.settings.name} has no plan", where=where, mend=mend, code=SETTINGS)
    for planned in one.plan.passes:
        if planned.number == number:
            return planned
    has = ", ".join(str(planned.number) for planned in one.plan.passes)
    mend = f"The plan of {one.plan.today} has {f'pass {has}' if has else 'no pass'}."
    raise InputError(f"{one.settings.name} has no pass {number}", where=where, mend=mend, code=SETTINGS)


def _record(settings: Settings, farm: KnownFarm, planned: OpenPass | None) -> RecordKnown:
    label = settings.product
    known = RecordKnown(
        field=settings.name,
        farm=settings.farm_name,
        product=label.name if label else "",
        dose=label.dose if label else "",
        re_entry_h=label.re_entry_h if label else None,
        is_metric=settings.units == "metric",
    )
    if planned is None:
        return known
    return replace(
        known,
        pass_number=planned.number,
        zones=planned.zones,
        planned=planned.day,
        half=planned.half,
        sprayer=planned.sprayer,
        rate_gal_ac=planned.rate_gal_ac,
        area_ac=planned.area_ac,
        loads=planned.loads,
    )


def records_text(found: tuple[RecordKnown, ...]) -> str:
    """Write records, one below the other."""
    return "\n\n\n".join(record_text(one) for one in found)


def records_object(found: tuple[RecordKnown, ...]) -> Json:
    """Give records as an object for JSON."""
    return {"schema_version": SCHEMA_VERSION, "records": [record_object(one) for one in found]}
