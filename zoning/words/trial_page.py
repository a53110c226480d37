"""Sentences of the page, picture and report of a trial."""

SENTENCES: dict[str, str] = {}
