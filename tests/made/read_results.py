"""Every byte that a farm's run left, by name: two runs are the same where these are equal."""

import hashlib
from pathlib import Path

OURS = ("out", "strips")  # in a field's folder and in the farm's; what is kept for the next run is no result


def results(farm: Path) -> dict[str, str]:
    """SHA-256 of every file of the results of a farm and its fields, with check strips that were laid."""
    found = {}
    for path in sorted(farm.rglob("*")):
        inside = path.relative_to(farm).parts
        if path.is_file() and any(part in OURS for part in inside[:2]) and path.suffix != ".bak":
            found["/".join(inside)] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def half_written(farm: Path) -> list[str]:
    """Names of what a run leaves only while it works."""
    endings = ("out.new", "out.last")
    return sorted(str(path.relative_to(farm)) for path in farm.rglob("*") if path.name in endings)
