"""Texts for files that hold plain letters only."""

import unicodedata

NOTHING = "-"  # what an empty text is written as: empty cells are not portable


def ascii_text(text: str, width: int) -> str:
    """Write a text with plain letters, cut to a width; what has no plain letter becomes `_`.

    Examples
    --------
    >>> ascii_text("Señor Ünal's 40", 12), ascii_text("", 8)
    ("Senor Unal's", '-')
    """
    letters = []
    for letter in unicodedata.normalize("NFKD", text):
        if unicodedata.combining(letter):
            continue
        letters.append(letter if letter.isascii() and letter.isprintable() else "_")
    return "".join(letters)[:width].strip() or NOTHING
