"""Sentences about the answer of the strips: whether the pass paid, and where."""

SENTENCES: dict[str, str] = {}
