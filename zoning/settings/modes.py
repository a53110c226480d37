"""Rules for modes of action: a text that holds no FRAC code would count as no mode of action at all."""

import re
from collections.abc import Iterator

from zoning.errors import InputError
from zoning.settings.given import Given
from zoning.settings.plain import fault

FAULT = ("no FRAC code", 'Write the code that stands on the label, as "11" or "M05".')
_LISTS = (("product", "groups"), ("product", "groups_used"), ("response", "resistant"))
_NOT_CLASSIFIED = "NC"  # the one code without a number


def is_code(text: str) -> bool:
    """Whether a text holds a mode of action that can be told from others.

    Examples
    --------
    >>> is_code("FRAC 11"), is_code("3 + 7"), is_code("QoI")
    (True, True, False)
    """
    return re.search(r"\d", text) is not None or text.strip().upper() == _NOT_CLASSIFIED


def _codes(given: Given) -> Iterator[InputError]:
    for steps in _LISTS:
        typed = given.get(*steps)
        for number, text in enumerate(typed if isinstance(typed, list) else ()):
            if isinstance(text, str) and not is_code(text) and (text.strip() or steps[0] == "response"):
                yield fault(given, (*steps, number), *FAULT)


RULES = (_codes,)
