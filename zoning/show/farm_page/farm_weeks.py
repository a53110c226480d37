"""The calendar of a farm on its page: a lane for each field or block, in the order of the table."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from html import escape

from zoning.plan import FarmPlan
from zoning.show.calendar_rows import Row, letters, rows
from zoning.show.farm_page.ranked import FieldRow, written
from zoning.show.figures import day, days, plain
from zoning.show.page.calendar_svg import inks, key
from zoning.show.page.lanes import Lane, draw, period
from zoning.words import Said


def svg(farm: FarmPlan, fields: Sequence[FieldRow]) -> str:
    """Give the weeks to come of all fields: the picture, its key, and the same in a list.

    Parameters
    ----------
    farm : FarmPlan
    fields : sequence of FieldRow
        Its fields in the order of the table.
    """
    ordered = replace(farm, plans=tuple(one.plan for one in fields))
    shown = rows(ordered)
    lanes = [_lane(row) for row in shown]
    signs = inks([one for plan in farm.plans for one in plan.passes])
    signs = replace(signs, letters=letters(farm))
    today = farm.today.toordinal()
    when = period(lanes, today)
    first, last = (day(date.fromordinal(number)) for number in (when[0], when[-1]))
    label = Said("weeks.picture", first=first, last=last).text
    lines = "".join(
        f"<li>{escape(f'{lane.name}: {_told(row)}')}.</li>" for lane, row in zip(lanes, shown, strict=True)
    )
    return (
        f'<div class="weeks-box">{draw(lanes, today, signs, label=label, name="farm")}'
        f"{key(lanes, signs, written(farm))}{_sprayers(signs.letters)}"
        '<details class="weeks-list"><summary>The same days in words</summary>'
        f"<ul>{lines}</ul></details></div>"
    )


def _sprayers(named: dict[str, str] | object) -> str:
    """Say which letter stands for which sprayer; nothing where one does all."""
    if not isinstance(named, dict) or not named:
        return ""
    told = ", ".join(f"{letter} {plain(rig, 40)}" for rig, letter in named.items())
    return f"<p>{escape(Said('farm_page.sprayers', sprayers=told).text)}</p>"


def _runs(numbers: frozenset[int]) -> tuple[tuple[int, int], ...]:
    """Put days that follow each other together: the first and the last of each run."""
    found: list[tuple[int, int]] = []
    for number in sorted(numbers):
        if found and found[-1][1] == number - 1:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return tuple(found)


def _lane(row: Row) -> Lane:
    name = (
        f"{plain(row.field, 30)}: {plain(', '.join(row.blocks), 16)}" if row.blocks else plain(row.field, 30)
    )
    return Lane(
        name=name,
        told=_in_short(row),
        windows=_runs(row.window),
        near_best=_runs(row.near_best),
        marks=row.marks,
        sprayed=tuple(sorted(row.sprayed)),
    )


def _written(runs: tuple[tuple[int, int], ...]) -> str:
    return ", ".join(days(date.fromordinal(first), date.fromordinal(last)) for first, last in runs)


def _pass_days(row: Row) -> list[str]:
    """Say each pass with its half-days."""
    numbers = dict.fromkeys(mark.number for mark in row.marks)
    told = []
    for number in numbers:
        halves = [mark for mark in row.marks if mark.number == number]
        when = ", ".join(f"{day(date.fromordinal(one.day))} {'PM' if one.pm else 'AM'}" for one in halves)
        told.append(Said("weeks.pass", number=number, when=when).text)
    return told


def _in_short(row: Row) -> str:
    told = _pass_days(row)
    if not row.window:
        told.append(Said("weeks.no_date").text)
    return "; ".join(told)


def _told(row: Row) -> str:
    told = _pass_days(row)
    told += [Said("farm_page.open", days=_written(_runs(row.window))).text] if row.window else []
    told += [Said("farm_page.near_best", days=_written(_runs(row.near_best))).text] if row.near_best else []
    told += [Said("weeks.sprayed", day=day(date.fromordinal(one))).text for one in sorted(row.sprayed)]
    return "; ".join(told) or Said("weeks.no_date").text
