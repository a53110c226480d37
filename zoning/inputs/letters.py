"""Letters of a file that nobody sees: they never reach a name or a note that is shown.

Those that turn the direction of writing make a name read as another one, letters of control move the screen.
"""

import re

# Breaks of lines and tabs stay, which part rows and cells, and the joiners that some alphabets need.
_CONTROL = r"\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"
_TURNING = r"\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff"
_UNSEEN = re.compile(f"[{_CONTROL}{_TURNING}]")


def seen(text: str) -> str:
    r"""Leave out letters of control, and those that turn the direction of writing.

    Examples
    --------
    >>> seen("wet\u202e dnuorg\x1b[2J"), seen("Gr\u00f6\u00dfe \u05e9\u05dc\u05d5\u05dd")
    ('wet dnuorg[2J', 'Größe שלום')
    """
    return text if text.isprintable() else _UNSEEN.sub("", text)
