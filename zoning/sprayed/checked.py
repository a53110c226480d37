"""What cannot be about a pass that somebody records, and what is doubtful about it."""

from zoning import units
from zoning.errors import InputError
from zoning.evidence import number
from zoning.inputs.given import Sprayed
from zoning.sprayed.draft import Draft
from zoning.sprayed.known import KnownField
from zoning.sprayed.typed import option_of
from zoning.words import Said


def faults(row: Sprayed, draft: Draft) -> list[InputError]:
    """List what cannot be, an option each."""
    return [*_of_days(row, draft), *_of_zones(row, draft), *_of_area(row, draft)]


def _fault(column: str, what: str, mend: str) -> InputError:
    return InputError(what, where=option_of(column), mend=mend)


def _of_days(row: Sprayed, draft: Draft) -> list[InputError]:
    found = []
    planted = draft.given.planted
    if row.on > draft.today and not draft.lacks_end:
        what = f"{row.on} lies after {draft.today}"
        found.append(_fault("end", what, "Record a pass once it is over; --today sets the day."))
    if row.on <= planted and not draft.lacks_end:
        mend = "Give the day of a pass over this crop."
        found.append(_fault("end", f"{row.on} is not after planting ({planted})", mend))
    longest_d = number("inputs.done_longest_d")
    if row.start is not None and (row.end - row.start).days > longest_d and not draft.lacks_end:
        mend = "Record passes that lie further apart one by one."
        found.append(_fault("start", f"more than {longest_d:g} days lie between start and end", mend))
    return found


def _of_zones(row: Sprayed, draft: Draft) -> list[InputError]:
    known = draft.known
    if row.zone_numbers and known.plan is None:
        return [_fault("zones", f"{known.settings.name} has no zones yet", "Run the field first.")]
    unknown = sorted(row.zone_numbers - set(draft.zone_ac)) if known.plan else []
    if unknown:
        listed, has = ", ".join(map(str, unknown)), ", ".join(map(str, sorted(draft.zone_ac)))
        return [_fault("zones", f"there is no zone {listed}", f"The field has zones {has}.")]
    zones = row.zone_numbers or frozenset(draft.zone_ac)
    again = known.recorded_of(draft.planned) & zones if draft.planned else frozenset()
    if draft.planned is not None and (again or not draft.left):
        listed = ", ".join(map(str, sorted(again or draft.planned.zones)))
        mend = "Run the field again for a new plan, or correct the row in done.csv."
        what = f"pass {draft.planned.number} is recorded already for zone {listed}"
        return [_fault("pass", what, mend)]
    if any(_is_same(row, other) for other in known.rows):
        mend = "Correct its row in done.csv where something else is meant."
        return [_fault("end", f"a pass with {row.product} on {row.on} is recorded there already", mend)]
    return []


def _is_same(one: Sprayed, other: Sprayed) -> bool:
    """Tell whether two rows speak of the same ground, product and day."""
    same = one.product.casefold() == other.product.casefold() and one.on == other.on
    return same and (
        not one.zone_numbers or not other.zone_numbers or bool(one.zone_numbers & other.zone_numbers)
    )


def _of_area(row: Sprayed, draft: Draft) -> list[InputError]:
    if row.area_ac is None:
        return []
    zones = row.zone_numbers & set(draft.zone_ac)
    there_ac = sum(draft.zone_ac[zone] for zone in zones) if zones else draft.given.area_ac
    if draft.planned is not None:
        there_ac = max(there_ac, draft.planned.area_ac)  # check strips are sprayed in zones that are skipped
    if row.area_ac <= there_ac * number("inputs.done_area_most_ratio"):
        return []
    is_metric = draft.is_metric
    text = f"{units.ha_from_ac(there_ac):.1f} ha" if is_metric else f"{there_ac:.1f} ac"
    ground = f"in zone {' '.join(map(str, sorted(zones)))}" if zones else "in the field"
    return [_fault("area", f"{draft.cells['area']} is more than there is {ground}, {text}", "Compare both.")]


def doubts(row: Sprayed, known: KnownField) -> tuple[Said, ...]:
    """Say what does not fit the settings, though it can be."""
    said = []
    settings = known.settings
    if settings.product and row.product.casefold() != settings.product.name.casefold():
        said.append(Said("done.other_product", product=row.product, ours=settings.product.name))
    names = [one.name for one in settings.sprayers]
    if row.sprayer and names and row.sprayer.casefold() not in [name.casefold() for name in names]:
        said.append(Said("done.other_sprayer", sprayer=row.sprayer, names=", ".join(names)))
    return tuple(said)
