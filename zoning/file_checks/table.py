"""The table of formats: one row each."""

from zoning.file_checks.formats import Format

FORMATS: tuple[Format, ...] = ()
