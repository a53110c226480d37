"""README.txt of a pass: what the operator must know before the file is in the terminal. Writes no file.

Plain ASCII with line ends that every editor shows, at most 40 lines of 72 letters: a page that is read.
"""

import math
import textwrap
from collections import defaultdict
from collections.abc import Iterator

from zoning import __version__, units
from zoning.inputs.area import geodesic_ac
from zoning.passes import fitting
from zoning.plan import Plan, PlanPass, decided
from zoning.prescription.plain_text import ascii_text
from zoning.prescription.polygons import CRS
from zoning.prescription.rates import rate_of, rate_unit
from zoning.words import Said

NAME = "README.txt"
WIDTH = 72
_LEFT = 15  # letters of the left column
_NAME = 28  # of a name that somebody typed: two of them fill a line
_LINE_END = "\r\n"
_LINES_AT_MOST = {"warning": 4, "changed": 3, "fitted": 4, "decided": 2}  # so that the page stays one


def text(plan: Plan, one: PlanPass, stem: str, column: str) -> str:
    """Write the README of a pass.

    Parameters
    ----------
    plan : Plan
        One field's plan.
    one : PlanPass
        One of its passes.
    stem, column : str
        Name of its shapefile without ending, and of the one column in it.

    Returns
    -------
    str
        ASCII, at most 40 lines of at most 72 letters, each ending with CR and LF.
    """
    lines = [Said("prescription.readme_title", stem=stem).text, "=" * WIDTH]
    warnings = "; ".join(said.text for said in one.map.not_followed)
    if warnings:
        warning = Said("prescription.readme_not_followed", why=warnings).text.upper()
        lines += _cut(_wrapped(warning, "!! ", "!! "), _LINES_AT_MOST["warning"])
    for name, said in (*_machine(plan, one, stem, column), *_what(plan, one)):
        lines += _cut(_wrapped(said, f"{name:<{_LEFT}}", " " * _LEFT), _LINES_AT_MOST.get(name))
    lines += _wrapped("; ".join(plan.cautions), "", "")
    return "".join(f"{line}{_LINE_END}" for line in lines)


def _wrapped(said: str, first: str, then: str) -> list[str]:
    plain = ascii_text(said, len(said))
    return textwrap.wrap(plain, WIDTH, initial_indent=first, subsequent_indent=then, break_on_hyphens=False)


def _cut(lines: list[str], most: int | None) -> list[str]:
    if most is None or len(lines) <= most:
        return lines
    return [*lines[: most - 1], f"{lines[most - 1][: WIDTH - 4]} ..."]


def _machine(plan: Plan, one: PlanPass, stem: str, column: str) -> Iterator[tuple[str, str]]:
    """Say how the terminal must be set."""
    unit = rate_unit(plan.units == "metric")
    yield "terminal", Said("prescription.readme_unit", unit=unit).text
    yield "column", Said("prescription.readme_column", column=column, unit=unit).text
    yield "outside", Said("prescription.readme_outside").text
    yield "position lost", Said("prescription.readme_lost").text
    yield "load", Said("prescription.readme_load", stem=stem).text


def _what(plan: Plan, one: PlanPass) -> Iterator[tuple[str, str]]:
    """Say what is sprayed, and where that comes from."""
    yield "field", ", ".join(ascii_text(name, _NAME) for name in (plan.field, plan.farm) if name)
    when = f"{one.day.isoformat()} {one.half}"
    yield "pass", f"{one.number}, {when}, {ascii_text(one.sprayer, _NAME)}"
    dose = one.sheet.dose.text if one.sheet is not None else ""
    yield "product", ", ".join(ascii_text(typed, _NAME) for typed in (plan.product, dose) if typed)
    yield from _rates(plan, one)
    yield "loads", Said("prescription.readme_loads", loads=one.loads).text
    if of_user := decided.of_pass(plan, one):
        yield "decided", of_user
    if plan.strips is not None:
        yield "strips", Said("prescription.readme_strips", strips=2 * plan.strips.pairs).text
    if one.map.fitted is not None:
        yield "fitted", fitting.said(one.map.fitted, one.number, len(one.map.parts)).text
    if plan.since is not None:
        yield "changed", plan.since.text
    made = {"run_id": plan.run_id, "today": plan.today.isoformat(), "version": __version__, "crs": CRS}
    yield "made", Said("prescription.readme_made", **made).text


def _rates(plan: Plan, one: PlanPass) -> Iterator[tuple[str, str]]:
    """Give ground and spray mix at each rate of the file, and all of it."""
    metric = plan.units == "metric"
    area_unit, volume_unit = ("ha", "L") if metric else ("ac", "US gal")
    area: dict[float, float] = defaultdict(float)
    for part in one.map.parts:
        area_ac = geodesic_ac(part.outline)
        area[rate_of(part.rate_gal_ac, metric=metric)] += units.ha_from_ac(area_ac) if metric else area_ac
    for rate in sorted(area, reverse=True):
        volume = f"{rate * area[rate]:,.0f} {volume_unit}" if rate else "boom off"
        yield (
            "rate" if rate == max(area) else "",
            f"{rate:.2f} {rate_unit(metric)} on {area[rate]:,.1f} {area_unit}: {volume}",
        )
    mixed = math.fsum(rate * area[rate] for rate in area)
    yield "in all", f"{math.fsum(area.values()):,.1f} {area_unit}: {mixed:,.0f} {volume_unit} of spray mix"
