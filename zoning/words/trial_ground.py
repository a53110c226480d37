"""Sentences about where strips lie and what was really sprayed on them."""

SENTENCES: dict[str, str] = {}
