"""Offers and plans of the last run, kept on disk and taken again where nothing changed since."""
