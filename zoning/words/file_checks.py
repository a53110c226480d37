"""Sentences about files for terminals: what is wrong with one, and how to mend it."""

# Name of the rule: what is wrong, and what to do about it.
_FAULTS: dict[str, tuple[str, str]] = {
    "more": ("{count} more of the same kind", "Mend them in the same way."),
    "too_large": (
        "{size_mb:.0f} MB is more than the {limit_mb:.0f} MB that are read",
        "Export the field again, one file for each pass.",
    ),
    "refused_by_disk": ("cannot be read ({why})", "Copy the file anew and check again."),
    "damaged_in_zip": ("is damaged inside its zip", "Make or copy the zip anew."),
    "no_rate": ("row {row}: no rate", "Write 0 for boom off."),
}

SENTENCES: dict[str, str] = {
    **{f"file_checks.{name}": what for name, (what, _) in _FAULTS.items()},
    **{f"file_checks.{name}.mend": mend for name, (_, mend) in _FAULTS.items()},
}
