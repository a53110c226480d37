"""What a line that tells a fault must be: shown on one line, with what, where and how to mend it."""

from zoning.errors import InputError

LONGEST = 3100  # letters: three parts of up to a thousand


def unclear(fault: InputError) -> str:
    """Say what is amiss with the line of one fault; "" where nothing is."""
    line = str(fault)
    if not line.isprintable():
        return f"a line that does not show, or breaks: {fault.what!r}"[:120]
    if len(line) > LONGEST:
        return f"a line of more than {LONGEST} letters: {fault.what[:60]}"
    if not fault.mend.endswith((".", "?")) or not fault.what or not fault.where:
        return f"no mend, or no place: {line}"[:120]
    if any(hint in line for hint in ("Traceback", "Errno", "NoneType", "<class", "object at 0x")):
        return f"words of the machine: {line}"[:120]
    return ""


def check(error: InputError, codes: tuple[int, ...] = (2, 3)) -> None:
    """Check every fault of an error."""
    assert error.code in codes, error
    assert [one for one in map(unclear, error.faults) if one] == []
