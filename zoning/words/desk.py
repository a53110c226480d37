"""Sentences of the desk about earlier plans."""

SENTENCES: dict[str, str] = {
    "desk.zones_redrawn": "the zones were drawn anew since {day}: they cannot be compared one by one",
}
