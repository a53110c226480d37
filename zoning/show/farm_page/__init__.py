"""The page of a farm, farm.html: all its fields on one map, ranked, in one calendar, with one total.

`text` writes it from the farm's plan and nothing else; its script only sorts the table and colours the map.
"""

from collections.abc import Collection, Sequence
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING

from zoning import __version__
from zoning.plan import FarmPlan
from zoning.show.templates import templates
from zoning.words import Said

if TYPE_CHECKING:
    from zoning.show.farm_page.ranked import FieldRow

MOST_ROWS = 200  # of the table of fields
MOST_PASSES = 40  # of the table of passes, where fields are many


def text(farm: FarmPlan, pages: Collection[str] | None = None) -> str:
    """Write the page of a farm.

    Parameters
    ----------
    farm : FarmPlan
        With any number of fields, and fields of any level.
    pages : collection of str, optional
        Folders of the fields that have a page; all of them if left out.

    Returns
    -------
    str
        HTML that asks nothing of the network; the same plan gives the same text. Its links lead to the pages
        of the fields, from where the page lies in a farm's folder. Of many fields the table holds the first,
        and the sprayers stand in place of the calendar.
    """
    return templates(__name__).get_template("farm.html.j2").render(_context(farm, pages))


def write(farm: FarmPlan, path: Path, pages: Collection[str] | None = None) -> None:
    """Write the page of a farm into a file, at once; `pages` as for `text`."""
    path.write_bytes(text(farm, pages).encode("utf-8"))


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


def _context(farm: FarmPlan, pages: Collection[str] | None) -> dict[str, object]:
    from markupsafe import Markup

    from zoning.show.farm_page import farm_map, farm_weeks, ranked, rig_rows
    from zoning.show.farm_page import whole_farm as whole
    from zoning.show.figures import day
    from zoning.show.many import counts
    from zoning.show.page.policy import policy

    style, script = style_and_script()
    fields = ranked.ranked(farm, pages)
    is_many = len(fields) > farm_map.MANY
    whole_farm = whole.whole_farm(farm)
    passes = () if whole_farm.passes is None else whole_farm.passes.rows
    most = MOST_PASSES if is_many else len(passes)
    return {
        "farm": farm,
        "policy": policy(style, script),
        "style": Markup(style),
        "script": Markup(script),
        "fields": fields[:MOST_ROWS],
        "first_rows": _first("farm_page.first_rows", MOST_ROWS, len(fields)),
        "links": _links(fields),
        "has_links": any(one.href for one in fields),
        "has_walks": any(one.plan.walks for one in fields[:MOST_ROWS]),
        "themes": {"decision": "decision", "return": "net return", "date": "first R3 date"},
        "written": ranked.written(farm),
        "whole": whole_farm,
        "counts": counts(farm) if is_many else (),
        "map": farm_map.draw(farm, fields),
        "calendar": Markup(farm_weeks.svg(farm, fields)) if fields and not is_many else "",
        "rigs": rig_rows.rig_rows(farm) if is_many else None,
        "passes": passes[:most],
        "first_passes": _first("farm_page.first_passes", most, len(passes)),
        "day": day,
        "version": __version__,
    }


def _first(code: str, most: int, every: int) -> str:
    """Say that the first stand for all; "" where all are shown."""
    return Said(code, count=f"{most:,}", all=f"{every:,}").text if every > most else ""


def _links(fields: "Sequence[FieldRow]") -> str:
    """Say where the name of a field leads to."""
    linked = sum(bool(one.href) for one in fields)
    code = "with_pages" if linked == len(fields) else "some_pages" if linked else "no_pages"
    return Said(f"farm_page.{code}").text
