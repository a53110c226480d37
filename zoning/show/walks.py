"""Where to walk, as people and programs read it: the zones ranked by what one count there is worth.

Gives text and an object; ranks nothing and prints nothing.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from zoning.errors import InputError
from zoning.passes.walk import Walk
from zoning.plan import SCHEMA_VERSION
from zoning.show.figures import NONE, Units, day, dollars, full_day, plain, whole
from zoning.show.layout import REASON, WIDTH, Table, as_text
from zoning.units import date_from_day
from zoning.words import Said


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScoutRow:
    """What a count in one zone is worth, and where to stand.

    `usd_today` is None where there is no money, or nobody may walk there today. `informs` names field and
    zone of every decision that the count informs on the suggested day; their acres are `informed_ac`.
    """

    field: str
    zone: int
    block: str
    area_ac: float
    lonlat: tuple[float, float]
    r3_likely: date
    usd_today: float | None
    walk: Walk
    informs: tuple[tuple[str, int], ...]
    informed_ac: float

    @property
    def day(self) -> date | None:
        """The suggested day."""
        return None if self.walk.day is None else date_from_day(float(self.walk.day))

    @property
    def best_usd(self) -> float:
        """Value today or on the suggested day, whichever is more; 0 without money."""
        return max(self.usd_today or 0.0, self.walk.usd or 0.0)

    @property
    def gained_d(self) -> float:
        """What the count takes off the SD of R3."""
        return self.walk.sd_now_d - self.walk.sd_after_d

    def usd_ac(self, usd: float | None) -> float | None:
        """Spread a value over the acres whose decision the count informs."""
        return usd / self.informed_ac if usd and self.informed_ac else None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ScoutAnswer:
    """The zones in the order in which to walk them, and what should be known.

    `notes` are of the whole; `field_notes` belong to a field each.
    """

    name: str
    today: date
    metric: bool
    has_money: bool
    walk_cost_usd: float
    rows: tuple[ScoutRow, ...]
    notes: tuple[Said, ...]
    field_notes: tuple[tuple[str, Said], ...]
    failures: tuple[tuple[str, InputError], ...]


def scout_text(answer: ScoutAnswer, width: int = WIDTH) -> str:
    """Write the ranking: where to go first and why, the zones worth a walk, and the others in a line each."""
    worth = [row for row in answer.rows if _is_worth_it(row, answer)]
    idle = [row for row in answer.rows if row not in worth]
    top = [f"{plain(answer.name, 60)}, {full_day(answer.today)}: where a count is worth most"]
    top += [_first(worth, answer)] if worth else []
    parts = ["\n".join(textwrap.fill(line, width, subsequent_indent="  ") for line in top)]
    if worth:
        parts.append(as_text(_table(worth, answer), width))
    lines = [said.text for said in answer.notes] + _idle(idle, answer)
    lines += [f"{plain(field, 30)}: {said.text}" for field, said in answer.field_notes]
    if lines:
        parts.append(
            "\n".join(
                textwrap.fill(plain(line), width, initial_indent="- ", subsequent_indent="  ")
                for line in lines
            )
        )
    return "\n\n".join(parts)


def _is_worth_it(row: ScoutRow, answer: ScoutAnswer) -> bool:
    return row.day is not None and (not answer.has_money or row.best_usd >= answer.walk_cost_usd)


def _first(worth: Sequence[ScoutRow], answer: ScoutAnswer) -> str:
    """Say where to go first, and why."""
    row = worth[0]
    where = f"{plain(row.field, 30)}, zone {row.zone}"
    then = "today" if row.day == answer.today else f"on {day(row.day)}"
    if not answer.has_money:
        return f"first: {where}: {row.walk.plants} plants {then} take {row.gained_d:.1f} d off the SD of R3"
    gains = "gains {} on average, by passes better timed or left out"
    first = f"first: {where}: a count of {row.walk.plants} plants"
    if row.usd_today is None or row.usd_today < answer.walk_cost_usd or row.day == answer.today:
        return f"{first} {then} {gains.format(dollars(row.walk.usd or 0))}"
    later = dollars(row.walk.usd or 0)
    return f"{first} today {gains.format(dollars(row.usd_today))}; {then} it would gain {later}"


def _table(rows: Sequence[ScoutRow], answer: ScoutAnswer) -> Table:
    written = Units(metric=answer.metric)
    cells = [_cells(row, answer, written) for row in rows]
    for at, row in enumerate(rows):
        instead = next((one for one in rows[:at] if set(row.informs) <= set(one.informs) != set()), None)
        if instead is not None and row.informs:
            cells[at][REASON] += f"; worth that instead of zone {instead.zone}, not on top of it"
    return Table(tuple(cells[0]), tuple(tuple(one.values()) for one in cells))


def _cells(row: ScoutRow, answer: ScoutAnswer, written: Units) -> dict[str, str]:
    found = {
        "field": plain(row.field, 24),
        "zone": str(row.zone),
        "block": plain(row.block, 14),
        f"area {written.area_unit}": written.area(row.area_ac),
        "R3 likely": day(row.r3_likely),
        "SD now d": f"{row.walk.sd_now_d:.1f}",
    }
    if answer.has_money:
        found["today $"] = NONE if row.usd_today is None else whole(row.usd_today)
    found["best day"] = day(row.day)
    if answer.has_money:
        per_area = row.usd_ac(row.walk.usd)
        found["then $"] = NONE if row.walk.usd is None else whole(row.walk.usd)
        found[f"then {written.net_unit}"] = NONE if per_area is None else f"{written.net(per_area):.1f}"
    found["plants"] = str(row.walk.plants or NONE)
    found["SD then d"] = f"{row.walk.sd_after_d:.1f}"
    return found | {REASON: _where(row, written, answer)}


def _where(row: ScoutRow, written: Units, answer: ScoutAnswer) -> str:
    """Say where to stand, and whose decision the count informs."""
    longitude, latitude = row.lonlat
    text = f"at {latitude:.5f}, {longitude:.5f}"
    if not answer.has_money or not row.informs:
        return text
    by_field: dict[str, list[str]] = {}
    for field, zone in row.informs:
        by_field.setdefault(field, []).append(str(zone))
    told = []
    for field, zones in by_field.items():
        named = f"zone{'s' if len(zones) > 1 else ''} {', '.join(zones)}"
        told.append(named if field == row.field else f"{named} of {plain(field, 24)}")
    area = f"{written.area(row.informed_ac)} {written.area_unit}"
    return f"{text}; informs the decision on {'; '.join(told)} ({area})"


def _idle(rows: Sequence[ScoutRow], answer: ScoutAnswer) -> list[str]:
    """Name the zones where a count is worth less than the walk, and what they would gain at most."""
    if not rows:
        return []
    by_field: dict[str, list[ScoutRow]] = {}
    for row in rows:
        by_field.setdefault(row.field, []).append(row)
    told = []
    for field, of_field in by_field.items():
        zones = f"{plain(field, 30)} {', '.join(str(zone) for zone in sorted(row.zone for row in of_field))}"
        most = dollars(max(row.best_usd for row in of_field))
        told.append(f"{zones} ({most})" if answer.has_money else zones)
    if not answer.has_money:
        return [f"no count takes anything off the SD there: {'; '.join(told)}"]
    return [f"worth less than a walk of {dollars(answer.walk_cost_usd)}, at most: {'; '.join(told)}"]


def scout_object(answer: ScoutAnswer) -> dict[str, object]:
    """Give the ranking as an object for JSON: every zone that may be walked, in order."""
    return {
        "schema_version": SCHEMA_VERSION,
        "name": answer.name,
        "today": answer.today.isoformat(),
        "walk_cost_usd": answer.walk_cost_usd if answer.has_money else None,
        "rows": [_row_object(row) for row in answer.rows],
        "notes": [{"code": said.code, "text": said.text, "field": None} for said in answer.notes]
        + [{"code": said.code, "text": said.text, "field": field} for field, said in answer.field_notes],
        "failures": [
            {"field": name, "what": single.what, "where": single.where, "mend": single.mend}
            for name, fault in answer.failures
            for single in fault.faults
        ],
    }


def _row_object(row: ScoutRow) -> dict[str, object]:
    walk, suggested = row.walk, row.day
    return {
        "field": row.field,
        "zone": row.zone,
        "block": row.block,
        "area_ac": row.area_ac,
        "lon": row.lonlat[0],
        "lat": row.lonlat[1],
        "r3_likely": row.r3_likely.isoformat(),
        "sd_d": walk.sd_now_d,
        "first_day": date_from_day(float(walk.first_day)).isoformat(),
        "value_today_usd": row.usd_today,
        "value_today_usd_ac": row.usd_ac(row.usd_today),
        "day": None if suggested is None else suggested.isoformat(),
        "plants": walk.plants,
        "value_usd": walk.usd,
        "value_usd_ac": row.usd_ac(walk.usd),
        "sd_after_d": walk.sd_after_d,
        "informs": [{"field": field, "zone": zone} for field, zone in row.informs],
        "informed_ac": row.informed_ac,
    }
