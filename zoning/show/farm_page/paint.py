"""How the fields of a farm are coloured by each theme, what stands on them then, and the legends."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from markupsafe import Markup

from zoning import colours
from zoning.plan import FarmPlan
from zoning.show.farm_page.ranked import FieldRow, written
from zoning.show.figures import day, dollars, signed
from zoning.words import Said

THEMES = ("decision", "return", "date")


@dataclass(frozen=True, slots=True, kw_only=True)
class Paint:
    """How a field is filled by each theme but that of the decision, and what stands on it by every theme."""

    fills: Mapping[str, str]
    values: Mapping[str, str]

    @property
    def as_data(self) -> Markup:
        """What stands on the field by every theme, as attributes from which the script takes it."""
        return Markup(" ").join(Markup('data-{}="{}"').format(*pair) for pair in self.values.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class Legend:
    """The legend of one theme: swatches, each with what it means."""

    theme: str
    entries: tuple[tuple[Markup, str], ...]


def _net(farm: FarmPlan, fields: Sequence[FieldRow]) -> dict[int, float]:
    """Give the return of a sprayed acre, or hectare, by the rank of each field with a pass."""
    unit = written(farm)
    known = [(one.rank, one.plan.totals) for one in fields]
    return {
        rank: unit.net(totals.net_usd / totals.spray_ac)
        for rank, totals in known
        if totals is not None and totals.spray_ac > 0
    }


def _likely(fields: Sequence[FieldRow]) -> dict[int, date]:
    """Give the first day of R3 by the rank of each field that has one."""
    found = {}
    for one in fields:
        days = [zone.window.r3_likely for zone in one.plan.zones if zone.window is not None]
        if days:
            found[one.rank] = min(days)
    return found


def _most(net: Mapping[int, float]) -> float:
    return max((abs(value) for value in net.values()), default=1.0) or 1.0


def paints(farm: FarmPlan, fields: Sequence[FieldRow]) -> list[Paint]:
    """Choose the colours of every theme: decision, return by area, first day of R3."""
    net, likely = _net(farm, fields), _likely(fields)
    first, last = min(likely.values(), default=farm.today), max(likely.values(), default=farm.today)
    span = max((last - first).days, 1)
    found, most = [], _most(net)
    for one in fields:
        totals = one.plan.totals
        fills = {"return": colours.WHITE, "date": colours.WHITE}
        values = {"decision": _decided(farm, one), "return": one.net.text, "date": one.r3.text}
        if totals is not None:
            fills["return"] = colours.ramp(colours.NET, 0.5 + net.get(one.rank, 0.0) / most / 2)
            values["return"] = dollars(totals.net_usd)
        if one.rank in likely:
            fills["date"] = colours.ramp(colours.DATE, (likely[one.rank] - first).days / span)
            values["date"] = day(likely[one.rank])
        found.append(Paint(fills=fills, values=values))
    return found


def _swatch(*fills: str, hatched: bool = False) -> Markup:
    """Give a small box of one colour or of several side by side."""
    step = 30 / len(fills)
    parts = "".join(
        f'<rect x="{at * step:.4g}" width="{step:.4g}" height="16" fill="{escape(fill)}"/>'
        for at, fill in enumerate(fills)
    )
    lines = f'<path d="M0 16L16 0M8 16L24 0M16 16L30 2" stroke="{colours.SKIP_HATCH}"/>' if hatched else ""
    rim = f'<rect x=".5" y=".5" width="29" height="15" fill="none" stroke="{colours.INK}"/>'
    return Markup(f'<svg width="30" height="16" aria-hidden="true">{parts}{lines}{rim}</svg>')


def legends(farm: FarmPlan, fields: Sequence[FieldRow]) -> tuple[Legend, ...]:
    """Give the legend of each theme, with nothing in it that is not on the map."""
    decided = {one.decision for one in fields}
    entries = [
        ("spray", _swatch(colours.SPRAY_MOST), "sprayed"),
        ("skip", _swatch(colours.SKIP, hatched=True), "skipped"),
        ("", _swatch(colours.WHITE), "dates only"),
    ]
    # of a sprayed field the rest is skipped
    shown = decided | ({"skip"} if "spray" in decided else set())
    found = [Legend(theme="decision", entries=tuple((box, text) for of, box, text in entries if of in shown))]
    net, likely = _net(farm, fields), _likely(fields)
    if net:
        most, unit = _most(net), written(farm).net_unit
        told = f"{signed(-most, '−')} to {signed(most)} {unit} of the sprayed ground; brown is a loss"
        found.append(Legend(theme="return", entries=((_swatch(*colours.NET), told),)))
    if likely:
        told = f"{day(min(likely.values()))} to {day(max(likely.values()))}, light is early"
        found.append(Legend(theme="date", entries=((_swatch(*colours.DATE), told),)))
    return tuple(found)


def _decided(farm: FarmPlan, one: FieldRow) -> str:
    totals = one.plan.totals
    if totals is None:
        return Said("weeks.dates_only").text
    if not totals.spray_ac:
        return Said("weeks.skip").text
    unit = written(farm)
    told = {"spray": unit.whole_area(totals.spray_ac), "area": unit.whole_area(one.plan.area_ac)}
    return Said("farm_page.sprayed_of", unit=unit.area_unit, **told).text
