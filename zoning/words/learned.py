"""Sentences about learned.toml: what own trials say, and which of them count."""

SENTENCES: dict[str, str] = {}
