"""The files of a preview: their names, the page that shows them all, and how they take their places.

A folder may hold other files too: only files of an earlier preview are replaced or taken away.
"""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from html import escape
from pathlib import Path

from zoning import colours
from zoning.errors import SETTINGS, WORLD, InputError
from zoning.inputs import store
from zoning.show.figures import plain

PAGE = "index.html"
_MARK = '<meta name="generator" content="sprayworth check --preview">'
_SHOWN = re.compile(r'<img src="(\d\d_[a-z0-9_.-]+\.png)"')
_LETTERS = 40  # of the name of a file
_STYLE = (
    f"body{{font:16px/1.4 sans-serif;margin:1rem;color:{colours.INK};background:{colours.PAPER}}}"
    "main{display:flex;flex-wrap:wrap;gap:1rem}"
    f"figure{{margin:0;max-width:640px;background:{colours.WHITE};border:1px solid {colours.LINE}}}"
    f"img{{display:block;width:100%;height:auto}}figcaption{{padding:.5rem .75rem;color:{colours.SECONDARY}}}"
    f"li{{margin:.25rem 0}}"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One picture: its file, what it is of, what is said of it, and its bytes."""

    file: str
    title: str
    lines: tuple[str, ...]
    png: bytes


def names(wanted: Sequence[tuple[str, str]]) -> list[str]:
    """Name the files of pictures by kind and name: small letters, digits, no two alike.

    Examples
    --------
    >>> names([("01_boundary", ""), ("04_layer", "Lehm (%)"), ("04_layer", "lehm"), ("05_walk", "walk")])
    ['01_boundary.png', '04_layer_lehm.png', '04_layer_lehm_2.png', '05_walk.png']
    """
    found: list[str] = []
    for kind, name in wanted:
        letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        tidy = re.sub(r"[^a-z0-9.-]+", "_", letters).strip("_.")[:_LETTERS]
        is_new = tidy and tidy != kind.partition("_")[2]
        whole = f"{kind}_{tidy}" if is_new else kind
        count, one = 1, whole
        while f"{one}.png" in found:
            count += 1
            one = f"{whole}_{count}"
        found.append(f"{one}.png")
    return found


def write(folder: Path, field: str, pictures: Sequence[Drawn], missing: Sequence[str]) -> tuple[str, ...]:
    """Write pictures and the page that shows them: all of them or none.

    Parameters
    ----------
    folder : Path
        Made where it is not there. What an earlier preview wrote into it is replaced; other files stay.
    field : str
        The name of the field.
    pictures : sequence of Drawn
    missing : sequence of str
        Faults of inputs that have no picture.

    Returns
    -------
    tuple of str
        Names of the files, the page first.

    Raises
    ------
    InputError
        When it is a file, or a file that no preview wrote has one of the names (code 2), or the disk refuses
        (code 4).
    """
    page = _page(field, pictures, missing)
    contents = {folder / one.file: one.png for one in pictures} | {folder / PAGE: page.encode("utf-8")}
    earlier = _earlier(folder)
    if folder.exists() and not folder.is_dir():
        mend = "Name a folder, as --preview pictures."
        raise InputError("this is a file, not a folder", where=folder, mend=mend, code=SETTINGS)
    for path in contents:
        if path.name not in earlier and (path.exists() or path.is_symlink()):
            mend = "Name another folder, as --preview pictures, or move it away."
            raise InputError("no preview wrote this file", where=path, mend=mend, code=SETTINGS)
    try:
        store.write_all(contents)
        _tidy(folder, contents, earlier)
    except OSError as error:
        mend = "Allow writing there, or name another folder, as --preview pictures."
        what = f"the pictures cannot be written ({(error.strerror or 'refused').lower()})"
        raise InputError(what, where=folder, mend=mend, code=WORLD) from error
    return (PAGE, *(one.file for one in pictures))


def _earlier(folder: Path) -> set[str]:
    """List what an earlier preview wrote, as its page says."""
    try:
        page = (folder / PAGE).read_text(encoding="utf-8")
    except (OSError, ValueError):
        return set()
    return {PAGE, *_SHOWN.findall(page)} if _MARK in page else set()


def _tidy(folder: Path, contents: Mapping[Path, bytes], earlier: set[str]) -> None:
    """Take away pictures of inputs that are no more, and the copies that the store keeps of the last ones."""
    for name in earlier - {path.name for path in contents}:
        with suppress(FileNotFoundError):
            (folder / name).unlink()
    for name in earlier:
        with suppress(FileNotFoundError):
            (folder / f"{name}.bak").unlink()


def _page(field: str, pictures: Sequence[Drawn], missing: Sequence[str]) -> str:
    """Give a page that shows every picture with its words; no scripts, and nothing from elsewhere."""
    title = escape(plain(field))
    figures = []
    for one in pictures:
        words = escape(plain(f"{one.title}: {'; '.join(one.lines)}"))
        figures.append(
            f'<figure><img src="{one.file}" alt="{words}"><figcaption>{words}</figcaption></figure>'
        )
    without = "".join(f"<li>{escape(plain(text))}</li>\n" for text in missing)
    faults = f"<h2>Not shown as it is, because of a fault</h2>\n<ul>\n{without}</ul>\n" if missing else ""
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n{_MARK}\n'
        '<meta name="viewport" content="width=device-width">\n'
        f"<title>Inputs of {title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        f"<h1>Inputs of {title}</h1>\n{faults}<main>\n" + "\n".join(figures) + "\n</main>\n</body>\n</html>\n"
    )
