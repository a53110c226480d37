"""The file: what the operator loads and what other programs read."""
