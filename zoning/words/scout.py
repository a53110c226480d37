"""Sentences about where to walk."""

SENTENCES: dict[str, str] = {
    "scout.none": (
        "no count is worth a walk, today or on a later day: the best gains {usd:.0f} USD, a walk costs "
        "{cost:.0f} USD"
    ),
    "scout.no_money": "no returns here: ranked by how many days one count takes off the SD of R3",
    "scout.again": "after a count run again: it speaks of the zones beside it too, and their values fall",
}
