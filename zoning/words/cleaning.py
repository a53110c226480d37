"""Sentences about the combine's points: lag, rules, what could not be told."""

SENTENCES: dict[str, str] = {}
