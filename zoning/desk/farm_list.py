"""The first page of the desk of a farm: its fields, each with the headline of its last plan."""

from html import escape
from pathlib import Path

from zoning.desk import last_plan
from zoning.desk.last_plan import LastPlan
from zoning.desk.opened import Opened
from zoning.settings.read import name_of_farm
from zoning.show.figures import Units, dollars, full_day


def inner(home: Opened) -> str:
    """Write the list as HTML to stand in a page; names from files are escaped."""
    rows = [_row(home, number, folder) for number, folder in enumerate(home.fields, 1)]
    more = [
        f"<p>{escape(name)} is a link to another place and is not opened here.</p>" for name in home.elsewhere
    ]
    if (home.root / "out" / "farm.html").is_file():
        more.append('<p><a href="farm/">All fields on one map and in one calendar</a></p>')
    name = name_of_farm(home.root, home.fields) or home.root.name
    return "\n".join((f"<h1>{escape(name)}</h1>", '<ul class="fields">', *rows, "</ul>", *more))


def _row(home: Opened, number: int, folder: Path) -> str:
    plan = last_plan.of_field(home, folder)
    name = str(plan.whole.get("field") or folder.name) if plan else folder.name
    told = _headline(plan) if plan else "not planned yet"
    return f'<li><a href="field/{number}/">{escape(name)}</a> <span>{escape(told)}</span></li>'


def _headline(plan: LastPlan) -> str:
    day = f"plan of {full_day(plan.today)}"
    totals = plan.whole.get("totals")
    if not totals:
        return f"{day}: zones and dates"
    if totals["spray_ac"] <= 0:
        return f"{day}: spray nothing"
    units = Units(metric="area_ha" in plan.whole)
    spray = units.whole_area(totals["spray_ac"])
    whole = units.whole_area(totals["spray_ac"] + totals["skip_ac"])
    return f"{day}: spray {spray} of {whole} {units.area_unit}, expected net {dollars(totals['net_usd'])}"
