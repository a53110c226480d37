"""Names that a terminal can show: at most 32 characters, on one line, no signs that old fonts lack.

Letters of every language stay as they are, for XML in UTF-8 holds them; what goes are control and formatting
characters, pictures (emoji, arrows, dingbats) and everything beyond U+FFFF, which old programs split in two.
Writes no file.
"""

import unicodedata
from collections.abc import Iterable

LONGEST = 32
_LATIN_1 = "\u00ff"  # up to here every printable sign is in the oldest fonts
_LAST_OF_PLANE = "\uffff"
_PICTURES = "\ufe0e\ufe0f"  # they choose between text and picture, and stand behind one that was dropped
_KEPT = ("L", "N", "P", "Sm", "Sc", "Sk")  # letters, digits, punctuation, signs of sums and of money


def _kept(letter: str, before: str) -> bool:
    """Say whether a character stays; a mark does behind the letter or mark that it belongs to."""
    if letter <= _LATIN_1:
        return letter.isprintable()
    if letter > _LAST_OF_PLANE or letter in _PICTURES:
        return False
    kind = unicodedata.category(letter)
    if kind.startswith("M"):
        return before != "" and unicodedata.category(before)[0] in "LM"
    return kind.startswith(_KEPT)


def plain(text: str) -> str:
    r"""Drop what a terminal cannot show, and make every run of white space one space.

    Examples
    --------
    >>> plain("  Señor & Söhne \U0001f33d \x07 <40>\n")
    'Señor & Söhne <40>'
    """
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    letters: list[str] = []
    before = ""
    for letter in unicodedata.normalize("NFC", text):
        if letter.isspace():
            letters.append(" ")
            before = ""
        elif _kept(letter, before):
            letters.append(letter)
            before = letter
        elif not unicodedata.category(letter).startswith("M"):
            before = ""
    return " ".join("".join(letters).split())


def short(text: str, otherwise: str, longest: int = LONGEST) -> str:
    r"""Give a name that a terminal can show, `otherwise` where nothing of it is left.

    A letter is never parted from the marks that belong to it: where they do not all fit it goes too.

    Examples
    --------
    >>> short("Three Dates", "field 1"), short("\U0001f33d", "field 1")
    ('Three Dates', 'field 1')
    >>> short("x" * 31 + "q\u0323\u0307", "field 1") == "x" * 31  # q with two marks is three characters
    True
    """
    whole = plain(text)
    end = min(longest, len(whole))
    while 0 < end < len(whole) and unicodedata.category(whole[end]).startswith("M"):
        end -= 1
    return whole[:end].strip() or otherwise


def unlike(names: Iterable[str]) -> tuple[str, ...]:
    """Tell names apart that became the same when they were cut: the second one ends with ` 2`.

    Examples
    --------
    >>> unlike(["North", "South", "North"])
    ('North', 'South', 'North 2')
    """
    given = list(names)
    taken = set(given)
    told: list[str] = []
    for place, name in enumerate(given):
        one, number = name, 1
        while place > given.index(name) and one in taken:
            number += 1
            ending = f" {number}"
            one = short(name, "", LONGEST - len(ending)) + ending
        taken.add(one)
        told.append(one)
    return tuple(told)


def comment(lines: Iterable[str]) -> str:
    r"""Write lines as an XML comment, which may hold no `--` and not end with `-`.

    Examples
    --------
    >>> comment(["run_id: 3f9a1c27", "field: A--B"])
    '<!--\nrun_id: 3f9a1c27\nfield: A- -B\n-->'
    """
    inside = "\n".join(plain(line).replace("--", "- -").replace("--", "- -") for line in lines)
    return f"<!--\n{inside}\n-->"
