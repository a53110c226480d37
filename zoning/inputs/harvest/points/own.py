"""Which rows of a combine's file are of this field and this crop, where columns say so."""

from collections.abc import Mapping, Sequence

import numpy as np

from zoning.errors import InputError
from zoning.inputs.harvest.points.columns import Found
from zoning.inputs.harvest.points.rows import Rows, one_line
from zoning.words import Said

_SOYBEAN = ("soy", "soja", "bean")
_MOST_NAMES = 5


def rows_of(rows: Rows, found: Mapping[str, Found], field: Sequence[str]) -> tuple[Rows, list[Said]]:
    """Keep the rows of a field and of soybeans.

    Parameters
    ----------
    rows : Rows
    found : mapping of str to Found
        With the columns of fields and crops, where there are such.
    field : sequence of str
        The names that the field goes by.

    Returns
    -------
    Rows, list of Said
        What was left out is said with its count. One name for all rows is taken as this field's.

    Raises
    ------
    InputError
        Where no row names this field, among several, or no row soybeans.
    """
    notes: list[Said] = []
    if "field" in found:
        rows = _of_field(rows, found["field"], field, notes)
    if "crop" in found:
        rows = _of_crop(rows, found["crop"], notes)
    return rows, notes


def _plain(name: str) -> str:
    """Give the letters and digits of a name, so that signs and capitals do not part it from itself."""
    return "".join(one for one in name.casefold() if one.isalnum())


def _listed(names: Sequence[str]) -> str:
    more = f" and {len(names) - _MOST_NAMES} more" if len(names) > _MOST_NAMES else ""
    return ", ".join(map(one_line, names[:_MOST_NAMES])) + more


def _of_field(rows: Rows, column: Found, field: Sequence[str], notes: list[Said]) -> Rows:
    texts = rows.texts(column.place)
    names = sorted(set(texts) - {""})
    ours = {_plain(name) for name in field}
    if len(names) <= 1:
        if names and _plain(names[0]) not in ours:
            notes.append(Said("harvest.field_called", column=column.name, name=one_line(names[0])))
        return rows
    keep = np.array([_plain(text) in ours for text in texts])
    if not keep.any():
        what = (
            f"{column.name} names {_listed(names)}, and none of them is {' or '.join(dict.fromkeys(field))}"
        )
        mend = 'Export this field alone, or give --column field="" where all of it is this field.'
        raise InputError(what, where=rows.file, mend=mend)
    others = _listed([name for name in names if _plain(name) not in ours])
    if not keep.all():
        notes.append(Said("harvest.other_field", count=int((~keep).sum()), names=others or "no field"))
    return rows.kept(keep)


def _of_crop(rows: Rows, column: Found, notes: list[Said]) -> Rows:
    """Leave out other crops; a crop that is a number or is not named may be soybeans."""
    texts = rows.texts(column.place)
    is_other = {
        name: any(one.isalpha() for one in name) and not any(word in name.casefold() for word in _SOYBEAN)
        for name in set(texts)
    }
    names = sorted(name for name, other in is_other.items() if other)
    if not names:
        return rows
    keep = np.array([not is_other[text] for text in texts])
    if not keep.any():
        mend = 'Name the file of the soybeans, or give --column crop="" where these are soybeans.'
        raise InputError(f"{column.name} says {_listed(names)}, not soybeans", where=rows.file, mend=mend)
    notes.append(Said("harvest.other_crop", count=int((~keep).sum()), names=_listed(names)))
    return rows.kept(keep)
