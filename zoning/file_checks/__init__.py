"""WHAT A TERMINAL MAY REFUSE: files as a stranger would read them, rule by rule.

Nothing here is shared with what writes the files: readers of our own on the bytes, against the published
descriptions of the formats. `table.py` has a row for each format; a format is a parser that gives a small
frozen dataclass, and a table of rules (`finding.Rule`) over it, in a package of its own or one module. What
all maps of polygons must hold stands once, in `of_polygons`.
"""

from zoning.file_checks.check import Checked, check, checks
from zoning.file_checks.finding import Finding, Severity

__all__ = ["Checked", "Finding", "Severity", "check", "checks"]
