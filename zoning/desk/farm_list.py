"""The first page of the desk of a farm: its fields, each with the headline of its last plan."""

from html import escape
from pathlib import Path

from zoning.desk import last_plan
from zoning.desk.last_plan import LastPlan
from zoning.desk.opened import Opened
from zoning.settings.read import name_of_farm
from zoning.units import ha_from_ac


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
    day = f"plan of {plan.today:%b} {plan.today.day}, {plan.today.year}"
    totals = plan.whole.get("totals")
    if not totals:
        return f"{day}: zones and dates"
    if totals["spray_ac"] <= 0:
        return f"{day}: spray nothing"
    spray, whole, unit = totals["spray_ac"], totals["spray_ac"] + totals["skip_ac"], "ac"
    if "area_ha" in plan.whole:
        spray, whole, unit = ha_from_ac(spray), ha_from_ac(whole), "ha"
    usd = round(totals["net_usd"])
    net = f"{'-' if usd < 0 else ''}${abs(usd):,}"
    return f"{day}: spray {spray:.0f} of {whole:.0f} {unit}, expected net {net}"
