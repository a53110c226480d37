"""A plan as a notebook shows it: the decision in words, the money, the map and the table of zones.

One piece of HTML that asks nothing of the network and runs no script. It sets neither the colour of letters
nor that of the ground, so it can be read on light and on dark ones.
"""

from base64 import b64encode
from collections.abc import Mapping, Sequence

from zoning.plan import FarmPlan, Plan
from zoning.show import farm_report, money, report
from zoning.show.figures import full_day, plain
from zoning.show.layout import REASON
from zoning.show.table import headline, table
from zoning.show.templates import templates

_MOST_FAILURES = 20


def text(plan: Plan, map_png: bytes) -> str:
    """Write what a notebook shows of a plan.

    Parameters
    ----------
    plan : Plan
        Any level.
    map_png : bytes
        Its map.

    Returns
    -------
    str
        HTML without a head, every value escaped.
    """
    return templates(__name__).get_template("plan.html.j2").render(_context(plan, map_png))


def farm_text(farm: FarmPlan, failures: Sequence[Mapping[str, object]]) -> str:
    """Write what a notebook shows of a farm: what the command prints, and which fields failed.

    Parameters
    ----------
    farm : FarmPlan
    failures : sequence of mapping
        Rows of failures.csv; of many the first are named and the others counted.

    Returns
    -------
    str
        HTML without a head, every value escaped.
    """
    page = farm_report.whole_page(farm)
    shown = failures[:_MOST_FAILURES]
    template = templates(__name__).get_template("farm.html.j2")
    return template.render(page=page, failures=shown, more=len(failures) - len(shown))


def _context(plan: Plan, map_png: bytes) -> dict[str, object]:
    shown = table(plan)
    at = shown.head.index(REASON)  # the last column: below its row, as sentences are long
    is_sprayed = any(zone.action == "spray" for zone in plan.zones)
    where = ", ".join(one for one in (plain(plan.field, 60), plain(plan.farm, 40)) if one)
    shared = report.schedule_line(plan)
    return {
        "where": f"{where}, {full_day(plan.today)}",
        "head": headline(plan),
        "lines": [*money.field_lines(plan), *([shared] if shared else [])],
        "map": b64encode(map_png).decode("ascii"),
        "columns": shown.head[:at],
        "rows": [(row[:at], row[at]) for row in shown.rows],
        "below": report.below_table(plan),
        "passes": [report.pass_line(plan, one) for one in plan.passes],
        "walks": [", ".join(report.walk_line(one)) for one in plan.walks],
        "notes": [plain(note.text) for note in plan.notes],
        # the first caution is for everybody, the others where somebody is to spray
        "cautions": [plain(one) for one in (plan.cautions if is_sprayed else plan.cautions[:1])],
    }
