"""A reason or a doubt is a code plus numbers; here it becomes a sentence.

Rooms say `Said("zones.one_response", block="A")`; people read `said.text`. Numbers are rounded here and
nowhere else. The words never promise that a spray does no harm, and never replace the label.
"""


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
    'the zones of block A have one response'
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


# One section a room; a code is `<room>.<what>`.
SENTENCES: dict[str, str] = {
    # -- settings ------------------------------------------------------------------------------------------
    # -- inputs --------------------------------------------------------------------------------------------
    # -- sprayer -------------------------------------------------------------------------------------------
    # -- zones ---------------------------------------------------------------------------------------------
    "zones.one_response": "the zones of block {block} have one response",
    # -- stage ---------------------------------------------------------------------------------------------
    # -- returns -------------------------------------------------------------------------------------------
    # -- passes --------------------------------------------------------------------------------------------
    # -- prescription --------------------------------------------------------------------------------------
    # -- field and farm ------------------------------------------------------------------------------------
}
