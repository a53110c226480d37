"""The page that the desk shows: the page of the last run, with the desk's part and leave to ask the desk."""

from collections.abc import Sequence
from functools import cache
from html import escape
from importlib import resources
from string import Template
from urllib.parse import quote

# What page.html says of itself is true of the file, not of what the desk makes of it.
_OF_FILE = "it asks nothing of the network and sends nothing"
_OF_DESK = "from here it talks to the desk on this computer and to nothing else"
_MAIN = "<main>"


def with_desk(page: str) -> str | None:
    """Put the desk's part into a page that a run wrote.

    Parameters
    ----------
    page : str
        What page.html holds.

    Returns
    -------
    str or None
        None where it is no page of this version: its style or script are not ours, and must not run here.
    """
    from markupsafe import escape  # as the template that wrote the page does

    from zoning.show.page import own_files
    from zoning.show.page.policy import policy

    style, script = own_files.style(), own_files.script()
    ours = [
        (f'content="{escape(policy(style, script))}"', f'content="{escape(content_policy())}"'),
        (f"<style>{style}</style>", f"<style>{_style()}</style>"),
        (f"<script>{script}</script>", f"<script>{_script()}</script>"),
        (_MAIN, f"{_MAIN}\n{_file('part.html')}"),
    ]
    for old, new in ours:
        if page.count(old) != 1:
            return None
        page = page.replace(old, new)
    return page.replace(_OF_FILE, _OF_DESK)


def of_farm(page: str, folders: Sequence[str]) -> str | None:
    """Lead from the page of a farm to the desk's pages of its fields.

    Parameters
    ----------
    page : str
        What farm.html holds.
    folders : sequence of str
        Names of the fields' folders, in the order of their numbers.

    Returns
    -------
    str or None
        None where it is no page of this version.
    """
    from zoning.show.farm_page import style_and_script

    style, script = style_and_script()
    if page.count(f"<style>{style}</style>") != 1 or page.count(f"<script>{script}</script>") != 1:
        return None
    for number, folder in enumerate(folders, 1):
        page = page.replace(f'"../{quote(folder, safe="")}/out/page.html"', f'"../field/{number}/"')
    return page


@cache
def farm_policy() -> str:
    """Give what the page of a farm may do here."""
    from zoning.show.farm_page import style_and_script
    from zoning.show.page.policy import policy

    return policy(*style_and_script())


def plain(title: str, inner: str) -> str:
    """Give a page of the desk's own, around inner HTML that is escaped already."""
    text = Template(_file("plain.html"))
    return text.substitute(
        title=escape(title),
        style=_style(),
        script=_plain_script(),
        inner=inner,
        policy=escape(plain_policy()),
    )


@cache
def content_policy() -> str:
    """Give what a page of a field may do here."""
    from zoning.show.page.policy import policy

    return policy(_style(), _script(), desk=True)


@cache
def plain_policy() -> str:
    """Give what a page of the desk's own may do."""
    from zoning.show.page.policy import policy

    return policy(_style(), _plain_script(), desk=True)


@cache
def _style() -> str:
    from zoning.show.page import own_files

    return f"{own_files.style()}\n{_file('desk.css')}"


@cache
def _script() -> str:
    from zoning.show.page import own_files

    return own_files.script(desk=True)


@cache
def _plain_script() -> str:
    return _file("waiting.js")


@cache
def _file(name: str) -> str:
    return resources.files(__package__).joinpath("pages", name).read_text(encoding="utf-8")
