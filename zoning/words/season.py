"""Sentences about season.csv: forecasts against what came, and the decisions that were made."""

SENTENCES: dict[str, str] = {}
