"""What was found, in words and as an object for JSON."""

from zoning.file_checks.check import Checked
from zoning.words import Said

LIMITS = Said("file_checks.limits").text  # goes with every answer


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def as_text(checked: Checked) -> str:
    """Write a line for each finding, and one of what was checked."""
    files, findings = _count(len(checked.files), "file"), _count(len(checked.findings), "finding")
    last = Said("file_checks.checked", files=files, findings=findings).text
    return "\n".join([*(str(one) for one in checked.findings), last])


def as_object(checked: Checked) -> dict[str, object]:
    """Give the check as an object for JSON."""
    return {
        "schema_version": 1,
        "files": list(checked.files),
        "findings": [
            {
                "severity": one.severity,
                "code": one.code,
                "where": one.where,
                "text": one.text,
                "mend": one.mend,
            }
            for one in checked.findings
        ],
        "note": LIMITS,
    }
