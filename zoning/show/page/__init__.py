"""The page of one field: one file that holds everything, true without scripts, asking nothing of the network.

`text` writes it from a plan and nothing else; its scripts only improve what stands there already. To read it:

- `page.html.j2` and `parts/` say what stands where, `css/` how it looks; `own_files` and `policy` put it in.
- What the parts say: `first_lines`, `zone_rows`, `stories`, `whole_field`, `notes_sorted`, `evidence_drawer`;
  `spans` gives each figure its exact value, so that scripts can write it again.
- The map: `drawing` (the ground in local metres), `themes` (colour and words of each zone), `map_labels`
  (where there is room for them), `map_marks`, `map_rasters` with `palette_png`, `svg_shapes`; `map_svg` puts
  them together, `map_legend` explains them.
- The weeks to come: `lanes` draws, `calendar_svg` fills.
- `data` is what the scripts start from: `map_data`, `what_if_data`, `decisions_data`, `scouting_data`.
- `js/`: `written` (figures as text), `what_if` (money), `map*`, `decisions*`, `points*` and `scouting`,
  `controls`, `zone_figures` (what follows them) and `rewritten` (what comes back word for word); `page` puts
  them together. `desk` is only in the page that the desk serves.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from zoning import __version__
from zoning.show.templates import templates

if TYPE_CHECKING:  # who only shows a page that stands already waits for no library of shapes
    from zoning.plan import Plan
    from zoning.settings.model import Source

_RULES = ("expected", "chance", "cautious")


def text(plan: "Plan") -> str:
    """Write the page of a plan.

    Parameters
    ----------
    plan : Plan
        Any level.

    Returns
    -------
    str
        HTML; the same plan gives the same text.
    """
    return templates(__name__).get_template("page.html.j2").render(_context(plan))


def write(plan: "Plan", path: Path) -> None:
    """Write the page of a plan into a file, at once."""
    path.write_bytes(text(plan).encode("utf-8"))


def _context(plan: "Plan") -> dict[str, object]:
    from markupsafe import Markup

    from zoning.show.page import calendar_svg, data, map_legend, map_svg, own_files
    from zoning.show.page.both_units import twin
    from zoning.show.page.evidence_drawer import drawer
    from zoning.show.page.first_lines import first_lines
    from zoning.show.page.policy import policy
    from zoning.show.page.spans import of_plan
    from zoning.show.page.stories import stories
    from zoning.show.page.whole_field import heads, whole_field
    from zoning.show.page.zone_rows import rows

    style, script = own_files.style(), own_files.script()
    return {
        **heads(plan),
        "plan": plan,
        "policy": policy(style, script),
        "style": Markup(style),
        "script": Markup(script),
        "data": Markup(data.as_text(plan)),
        "u": of_plan(plan).unit,
        "acre": twin(*(("hectare", "acre") if plan.units == "metric" else ("acre", "hectare"))),
        "top": first_lines(plan),
        "rows": rows(plan),
        "stories": stories(plan),
        "whole": whole_field(plan),
        "drawer": drawer(plan),
        "sources": _sources(plan),
        "rules": _RULES,
        "map": Markup(map_svg.svg(plan)),
        "themes": map_legend.theme_switches(plan),
        "layers": map_legend.layer_switches(plan),
        "legend": Markup(map_legend.legend(plan)),
        "calendar": Markup(calendar_svg.svg(plan)),
        "version": __version__,
    }


def _sources(plan: "Plan") -> "list[Source]":
    """List the response sources that can be chosen: those with figures."""
    from zoning.plan import SOURCES

    if plan.what_if is None:
        return []
    known = {source for zone in plan.what_if.zones for source in zone.steps}
    return [source for source in SOURCES if source in known]
