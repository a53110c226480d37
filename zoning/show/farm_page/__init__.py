"""The page of a farm, farm.html: all its fields on one map, ranked, in one calendar, with one total.

`text` writes it from the farm's plan and nothing else; its script only sorts the table and colours the map.
"""

from functools import cache
from importlib import resources
from pathlib import Path

from zoning import __version__
from zoning.plan import FarmPlan
from zoning.show.templates import templates


def text(farm: FarmPlan) -> str:
    """Write the page of a farm.

    Parameters
    ----------
    farm : FarmPlan
        With any number of fields, and fields of any level.

    Returns
    -------
    str
        HTML that asks nothing of the network; the same plan gives the same text. Its links lead to the pages
        of the fields, from where the page lies in a farm's folder.
    """
    return templates(__name__).get_template("farm.html.j2").render(_context(farm))


def write(farm: FarmPlan, path: Path) -> None:
    """Write the page of a farm into a file, at once."""
    path.write_bytes(text(farm).encode("utf-8"))


@cache
def _own(folder: str, name: str) -> str:
    """Read style or script of the page, without indentation and lines that hold only a comment."""
    path = resources.files(__package__).joinpath(folder, name)
    lines = (line.strip() for line in path.read_text(encoding="utf-8").splitlines())
    return "\n".join(line for line in lines if line and not line.startswith("//"))


@cache
def style_and_script() -> tuple[str, str]:
    """Give style and script of the page, which are the same for every farm."""
    from zoning.show.page import own_files

    return f"{own_files.style()}\n{_own('css', 'farm.css')}", _own("js", "farm.js")


def _context(farm: FarmPlan) -> dict[str, object]:
    from markupsafe import Markup

    from zoning.show.farm_page import farm_map, farm_weeks, ranked, whole_farm
    from zoning.show.figures import day
    from zoning.show.page.policy import policy

    style, script = style_and_script()
    fields = ranked.ranked(farm)
    drawn = farm_map.draw(farm, fields)
    return {
        "farm": farm,
        "policy": policy(style, script),
        "style": Markup(style),
        "script": Markup(script),
        "fields": fields,
        "has_walks": any(plan.walks for plan in farm.plans),
        "themes": {"decision": "decision", "return": "net return", "date": "first R3 date"},
        "written": ranked.written(farm),
        "whole": whole_farm.whole_farm(farm),
        "map": drawn,
        "calendar": Markup(farm_weeks.svg(farm, fields)) if fields else "",
        "day": day,
        "version": __version__,
    }
