"""A reason or a doubt is a code plus numbers; here it becomes a sentence, one file a room.

Rooms say `Said("zones.one_response", block="A")`; people read `said.text`. Numbers are rounded here and
nowhere else. The words never promise that a spray does no harm, and never replace the label.
"""

from zoning.words import (
    brought,
    cleaning,
    decisions,
    desk,
    done,
    farm_page,
    fetch,
    field_map,
    file_checks,
    harvest,
    hours,
    inputs,
    learned,
    lessons,
    loads,
    many,
    money,
    offers,
    page,
    passes,
    prescription,
    questions,
    returns,
    schedule,
    scout,
    scouting,
    season,
    settings,
    since,
    sprayer,
    stage,
    strips,
    styles,
    trial,
    trial_ground,
    trial_page,
    weeks,
    worth,
    zones,
)


class Said:
    """One thing that the user should know: a code and the numbers that belong to it.

    Parameters
    ----------
    code : str
        Key of `SENTENCES`.
    **values : object
        What the sentence names; checked at once, so that a wrong name is found in tests.

    Examples
    --------
    >>> Said("zones.one_response", block="A").text
    'the zones of block A respond alike, as far as is known'
    """

    __slots__ = ("code", "text", "values")

    def __init__(self, code: str, **values: object) -> None:
        self.code = code
        self.values = values
        self.text = SENTENCES[code].format(**values)

    def __hash__(self) -> int:
        return hash((self.code, self.text))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Said) and (self.code, self.text) == (other.code, other.text)

    def __repr__(self) -> str:
        return f"Said({self.code!r}: {self.text})"


_ROOMS = (
    brought,
    cleaning,
    decisions,
    desk,
    done,
    farm_page,
    fetch,
    field_map,
    file_checks,
    harvest,
    hours,
    inputs,
    learned,
    lessons,
    loads,
    many,
    money,
    offers,
    page,
    passes,
    prescription,
    questions,
    returns,
    schedule,
    scout,
    scouting,
    season,
    settings,
    since,
    sprayer,
    stage,
    strips,
    styles,
    trial,
    trial_ground,
    trial_page,
    weeks,
    worth,
    zones,
)
# A code is `<room>.<what>`; the sentences of each room stand in a file of their own.
SENTENCES: dict[str, str] = {code: text for room in _ROOMS for code, text in room.SENTENCES.items()}

_CAUTIONS = (
    "a prediction, not an instruction: the product label, local rules and a licensed applicator decide",
    "a pesticide can harm people: keep to the label's protective equipment and re-entry interval",
    "soybean still flowers at R3 and bees are in the field: tell beekeepers, and spray when they do not fly",
    "neighbours, water and homes lie downwind of somewhere: buffers depend on the wind at spraying",
)
_CAUTIONS_OF = {
    "US": ("in the United States using a product against its label breaks federal law",),
}


def cautions(country: str) -> tuple[str, ...]:
    """Give the cautions that go with every result; a country's own law only in that country.

    Examples
    --------
    >>> len(cautions("US")) - len(cautions("AR"))
    1
    """
    return (*_CAUTIONS, *_CAUTIONS_OF.get(country, ()))
