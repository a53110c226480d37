"""How templates of pages are filled in: every value escaped, a missing one an error. Knows no page."""

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def templates(package: str) -> "Environment":
    """Give the templates that lie in a package.

    Parameters
    ----------
    package : str
        Its dotted name.

    Examples
    --------
    >>> sorted(templates("zoning.show.farm_page").list_templates(extensions=["j2"]))
    ['farm.html.j2']
    """
    # imported late: no command but those that write a page needs to wait for it
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader(package, ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
