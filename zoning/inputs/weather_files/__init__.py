"""Daily and hourly weather from its files."""
