"""What the yields of a combine's file are taken from: flows or yields, dry or wet, at which moisture."""

from collections.abc import Mapping

from zoning.errors import InputError
from zoning.inputs.harvest.points.asked import Asked
from zoning.inputs.harvest.points.columns import Found, parted
from zoning.words import Said


def chosen(
    found: Mapping[str, Found], asked: Asked, file: str, *, has_time: bool
) -> tuple[dict[str, Found], bool, list[Said]]:
    """Choose between flows and yields.

    Parameters
    ----------
    found : mapping of str to Found
        Columns in which something stands; a yield or a flow among them.
    asked : Asked
    file : str
        How the user calls it.
    has_time : bool
        Whether points have a time.

    Returns
    -------
    dict of str to Found
        Without the column that is not used.
    bool
        Whether the yields are dry, at the standard moisture.
    list of Said

    Raises
    ------
    InputError
        Exit 3, all at once: no moisture where one is needed, or flows without what turns them into yields.
    """
    notes: list[Said] = []
    lacks = _lacks(found, asked, has_time=has_time)
    used = dict(found)
    if {"yield", "flow"} <= set(found):
        flow_is_named = bool(found["flow"].unit) or "flow" in asked.units
        whole = flow_is_named and not lacks and _has_moisture(found, asked)
        takes_flow = bool(asked.columns.get("flow")) or (
            whole and not asked.yields and not asked.columns.get("yield")
        )
        taken, other = ("flow", "yield") if takes_flow else ("yield", "flow")
        del used[other]
        notes.append(Said(f"harvest.took_{taken}", column=found[taken].name, other=found[other].name))
    if "moisture" in used and asked.moisture_frac is not None:
        column = used.pop("moisture").name
        notes.append(Said("harvest.moisture_fixed", column=column, percent=100 * asked.moisture_frac))
    is_dry = "flow" not in used and _is_dry(used["yield"], asked, notes)
    faults: list[InputError] = []
    if "flow" in used and lacks:
        what = f"the flow {used['flow'].name} makes no yields without {' and '.join(lacks)}"
        mend = "Name the columns with --column, or a column of yields."
        faults.append(InputError(what, where=file, mend=mend))
    if not is_dry and not _has_moisture(found, asked):
        kind = "flows" if "flow" in used else "wet yields"
        mend = 'Name it with --column moisture=NAME, or give moisture = "13 %" under [harvest]'
        mend += "." if "flow" in used else ', or yields = "dry" where they are.'
        faults.append(InputError(f"{kind} need a moisture, and no column has one", where=file, mend=mend))
    if faults:
        raise InputError.together(faults)
    return used, is_dry, notes


def _has_moisture(found: Mapping[str, Found], asked: Asked) -> bool:
    return asked.moisture_frac is not None or "moisture" in found


def _lacks(found: Mapping[str, Found], asked: Asked, *, has_time: bool) -> list[str]:
    """List what a flow needs, beside the places, and has not."""
    lacks = []
    if "speed" not in found and "interval" not in found and not has_time:
        lacks.append("a speed, a time or an interval")
    if "swath" not in found and asked.header_m is None:
        lacks.append("a swath or [harvest] header")
    return lacks


def _is_dry(column: Found, asked: Asked, notes: list[Said]) -> bool:
    """Tell whether yields are dry: as told, else as the name says, else yes, and that is said."""
    if asked.yields:
        return asked.yields == "dry"
    words = parted(column.name, "yield")[0]
    if ("dry" in words) == ("wet" in words):
        notes.append(Said("harvest.dry_assumed", column=column.name))
        return True
    return "dry" in words
