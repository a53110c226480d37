"""Sentences about what `get` fetched or brought in."""

SENTENCES: dict[str, str] = {}
