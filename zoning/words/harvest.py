"""Sentences about files of yield points: columns, units, what is doubtful in them."""

SENTENCES: dict[str, str] = {}
