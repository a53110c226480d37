"""docs/reference/errors.md and notes.md, written from what the program itself says."""

import re
from types import ModuleType

from faults_in_code import GAP, Told, faults

from zoning import words

ERRORS_FIRST = """# What can be wrong: every fault, and how to mend it

A fault is one line, on standard error: where it is, what is wrong, and what you can do about it. All faults
of a file are told at once, and nothing is written until they are mended.

```text
error: farm.toml:15: money.grain_price = "10.40": a unit is missing. Write it as "10.40 USD/bu".
```

| exit code | means | what to do |
| --- | --- | --- |
| 0 | done, also where nothing pays | - |
| 1 | a bug of ours | tell us, with the lines that were printed |
| 2 | the command line or the settings are wrong, or a file is missing | mend the line that is named |
| 3 | the content of an input file is wrong, or a field of a farm failed | mend the file, or take it out |
| 4 | the world refused: disk, permission, network | make room, or get permission, and run again |
| 130 | interrupted | run again |

Below stands every fault that the program knows, by what it reads, with its exit code; `…` stands for what is
filled in: a file, a value, a number. A farm goes on with its other fields, names the one that failed, and
ends with 3.

What only makes one think is no fault: it stands in the [notes](notes.md). What a terminal may refuse stands
in [checks of files](file_checks.md).

This page is written by `python tests/trust/test_docs_complete.py` from the source.
"""
NOTES_FIRST = """# Notes: every sentence, by its code

What a plan says beside its figures has a code, and in `plan.json` both stand (`code`, `text`); programs go by
the code, for words may be improved. Below stands every sentence of the program by the room that says it, also
those of its pages and of its checks; what stands in braces is filled in. Where the answer is a setting, the
sentence names it.

This page is written by `python tests/trust/test_docs_complete.py` from `zoning/words`.
"""
# What is read or done -> the parts of the program that tell its faults; the first that fits counts.
GROUPS = {
    "Settings: farm.toml, field.toml, learned.toml": ("zoning/settings", "zoning/units"),
    "Boundary, drawn zones, setbacks, guidance lines": ("zoning/inputs/ground", "zoning/offers/places"),
    "Planting": ("zoning/inputs/planted",),
    "Images and layers": ("zoning/inputs/images", "zoning/inputs/declared"),
    "Weather": ("zoning/inputs/weather_files", "zoning/inputs/dates", "zoning/stage"),
    "Scouting": ("zoning/inputs/scouting", "zoning/scout"),
    "Decisions": ("zoning/inputs/decisions", "zoning/offers/overruled"),
    "What was sprayed": ("zoning/inputs/done", "zoning/inputs/applied", "zoning/sprayed"),
    "Check strips": ("zoning/inputs/strips",),
    "Harvest and past seasons": ("zoning/inputs/harvest", "zoning/inputs/season", "zoning/harvest"),
    "Getting the inputs": ("zoning/fetch",),
    "Any file that is read": ("zoning/inputs", "zoning/file_checks"),
    "Results that are written": ("zoning/prescription", "zoning/field_out", "zoning/preview"),
    "A plan that cannot be made": (
        "zoning/offers",
        "zoning/passes",
        "zoning/zones",
        "zoning/seen",
        "zoning/field",
    ),
    "A farm": ("zoning/farm",),
    "Answers without a field, and the command line": ("zoning/questions", "cli"),
    "The desk": ("zoning/desk",),
    "From Python": ("zoning/service",),
}


def group_of(told: Told) -> str:
    """Name the group that a fault belongs to.

    Raises
    ------
    LookupError
        Where no group names its module.
    """
    for title, parts in GROUPS.items():
        if told.module.startswith(parts):
            return title
    raise LookupError(told.module)


def errors_page() -> str:
    """Write the page of faults."""
    places: dict[str, dict[tuple[str, str, str], set[str]]] = {title: {} for title in GROUPS}
    for told in faults():
        fault = _cell(told.what), _cell(told.mend), told.code
        places[group_of(told)].setdefault(fault, set()).add(_cell(told.where))
    parts = [ERRORS_FIRST]
    for title, found in places.items():
        lines = []
        for (what, mend, code), where in sorted(found.items(), key=lambda one: one[0][0].casefold()):
            always = where.pop() if len(where) == 1 else GAP
            lines.append(f"| {what} | {mend} | {'' if always.startswith(GAP) else always} | {code} |")
        head = (
            f"## {title}\n\n| what | mend | where, if always the same | exit |\n| --- | --- | --- | --- |\n"
        )
        parts.append(head + "\n".join(lines) + "\n")
    return "\n".join(parts)


def notes_page() -> str:
    """Write the page of sentences, a table for each module of the words, in the order of `words`."""
    parts = [NOTES_FIRST]
    for module in _rooms():
        lines = [f"| `{code}` | {_cell(text)} |" for code, text in module.SENTENCES.items()]
        name = module.__name__.rsplit(".", 1)[-1].replace("_", " ")
        told = (module.__doc__ or "").strip().splitlines()[0]
        parts.append(f"## {name}\n\n{told}\n\n| code | sentence |\n| --- | --- |\n" + "\n".join(lines) + "\n")
    return "\n".join(parts)


def _rooms() -> list[ModuleType]:
    found = [one for one in vars(words).values() if isinstance(one, ModuleType) and hasattr(one, "SENTENCES")]
    return sorted(found, key=lambda one: one.__name__)


def _cell(text: str) -> str:
    """Fit a text into a cell: on one line, and what is code to the page's format as text."""
    plain = " ".join(text.split()).replace("|", "\\|").replace("<", "&lt;")
    return re.sub(r"(\[[^\]]*\])(?=\()", r"\1 ", plain)
