"""The preview of a planting in words, and what was written."""

from collections.abc import Sequence

from zoning import units
from zoning.fetch.planting.preview import Preview
from zoning.fetch.planting.written import PICTURE
from zoning.show import layout
from zoning.show.figures import plain
from zoning.words import Said

_ROLES = {
    "date": "planted",
    "emerged": "emerged",
    "variety": "variety",
    "group": "maturity group",
    "population": "population",
    "yield": "expected yield",
}
_MOST_LISTED = 8  # days or varieties in a line


def text(found: Preview, width: int, *, again: str, written: Sequence[str] = ()) -> str:
    """Tell what each role was taken from, the blocks that follow, and how to take them.

    Parameters
    ----------
    found : Preview
    width : int
        Of the terminal. [characters]
    again : str
        The command with which they are taken.
    written : sequence of str
        Files that were written; then nothing is left to do.

    Returns
    -------
    str
        Lines; the last one says how to take what is shown, or what was written.
    """
    lines = [_head(found), *_roles(found), *_sums(found)]
    blocks = layout.as_text(_blocks(found), width)
    notes = [f"- {said.text}" for said in found.notes]
    if written:
        last = [Said("fetch.planting_written", files=", ".join(written)).text]
    else:
        last = [
            Said("fetch.planting_picture", file=PICTURE).text,
            Said("fetch.planting_take", command=again).text,
        ]
    parts = [layout.wrapped(lines, width, "  "), blocks]
    parts += [layout.wrapped(notes, width, "  ")] if notes else []
    return "\n\n".join([*parts, "\n".join(last)])


def _head(found: Preview) -> str:
    sowings = found.sowings
    tasks = (
        f", task{'s' if len(sowings.tasks) > 1 else ''} {', '.join(sowings.tasks)}" if sowings.tasks else ""
    )
    days = list(found.days())
    when = days[0] if len(days) == 1 else f"{len(days)} days, {days[0]} to {days[-1]}"
    return plain(f"{sowings.file}: {sowings.kind}{tasks}, {len(found.rows):,} records of this field, {when}")


def _roles(found: Preview) -> list[str]:
    taken = {one.role: one for one in found.sowings.taken}
    lines = []
    for role, name in _ROLES.items():
        one = taken.get(role)
        if one is None:
            lines += _not_there(role, name, found)
            continue
        how = Said(f"fetch.planting_by_{one.how}").text
        values = one.first if one.first == one.last else f"{one.first} ... {one.last}"
        unit = ""
        if one.unit:
            values, unit = (
                f"{values} seeds/ac",
                f", read as {one.unit} {Said(f'fetch.planting_unit_{one.source}').text}",
            )
        lines.append("  " + plain(f'{name}: "{one.column}" ({how}{unit}): {values}'))
    return lines


def _not_there(role: str, name: str, found: Preview) -> list[str]:
    """Say what counts in place of a role that was not found, where it matters."""
    settings = found.settings
    if role == "group":
        return [f"  {name}: not in the file; that of field.toml counts, {settings.maturity_group:g}"]
    if role == "variety":
        instead = f"that of field.toml counts, {settings.variety}" if settings.variety else "none is named"
        return ["  " + plain(f"{name}: not in the file; {instead}")]
    return [f"  {name}: not in the file"] if role == "population" else []


def _sums(found: Preview) -> list[str]:
    days = [f"{day} ({count:,})" for day, count in found.days().items()]
    shares = [f"{name or 'no name'} {100 * share:.0f} %" for name, share in found.varieties().items()]
    lines = [f"  days: {_listed(days)}"]
    if "variety" in found.sowings.cells:
        lines.append("  " + plain(f"varieties: {_listed(shares)}"))
    median_ac = found.population_ac()
    if median_ac is not None:
        lines.append(f"  median population: {population(median_ac, found.settings.units == 'metric')}")
    return lines


def population(median_ac: float, is_metric: bool) -> str:
    """Write a population as the farm counts it."""
    return f"{median_ac / units.m2_from_ac(1.0):.1f} seeds/m2" if is_metric else f"{median_ac:,.0f} seeds/ac"


def _listed(parts: Sequence[str]) -> str:
    more = len(parts) - _MOST_LISTED
    return ", ".join(parts[:_MOST_LISTED]) + (f" and {more} more" if more > 0 else "")


def _blocks(found: Preview) -> layout.Table:
    is_metric = found.settings.units == "metric"
    rows = tuple(
        (
            block.name,
            block.planted.isoformat(),
            plain(block.variety) or "-",
            f"{block.maturity_group:.3g}",
            f"{units.ha_from_ac(block.area_ac) if is_metric else block.area_ac:.1f}",
        )
        for block in found.planted.blocks
    )
    return layout.Table(("block", "planted", "variety", "group", "ha" if is_metric else "ac"), rows)
