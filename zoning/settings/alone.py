"""One value checked as if it stood in the settings: the same limits, the same words, no file.

For the options of a command that asks what a key asks.
"""

from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from zoning.errors import SETTINGS, InputError
from zoning.settings.keys import keys
from zoning.settings.model import Money, Response, Settings
from zoning.settings.plain import of_one_value
from zoning.settings.quantities import Part

_TABLES: dict[str, type[Part]] = {"": Settings, "money": Money, "response": Response}


@cache
def _check(pattern: str) -> TypeAdapter[Any]:
    """Take what the model says of one key."""
    key = keys()[pattern]
    adapter: TypeAdapter[Any] = TypeAdapter(
        _TABLES[key.table].model_fields[key.attribute].rebuild_annotation()
    )
    return adapter


def said(pattern: str, typed: object) -> tuple[str, str] | None:
    """Say what is wrong with a value and how to mend it; None where nothing is.

    Examples
    --------
    >>> said("money.grain_price", "386 USD/bu")[1]
    'Give at most 60 USD/bu. Did you mean 386 USD/t, which is 10.51 USD/bu?'
    >>> said("money.grain_price", "386 USD/t") is None
    True
    """
    try:
        _check(pattern).validate_python(typed)
    except ValidationError as error:
        told = (of_one_value(one, typed, keys()[pattern]) for one in error.errors(include_url=False))
        return next((one for one in told if one is not None), ("not understood", "Compare it with --help."))
    return None


def value(pattern: str, typed: object, where: str) -> Any:
    """Read a value as the settings would.

    Parameters
    ----------
    pattern : str
        The key, as "money.grain_price".
    typed : object
        As it was typed.
    where : str
        What a fault begins with, as '--price = "10.40"'.

    Returns
    -------
    Any
        In our own unit, which the key's attribute names.

    Raises
    ------
    InputError
        Code 2.

    Examples
    --------
    >>> value("money.product", "19 USD/ac", "--cost")
    19.0
    """
    fault = said(pattern, typed)
    if fault is not None:
        raise InputError(fault[0], where=where, mend=fault[1], code=SETTINGS)
    return _check(pattern).validate_python(typed)
