"""A file or folder takes another name in one step, also where a system refuses it while somebody looks at it.

Windows renames nothing that a program has open, and a scanner of viruses has each new file open for a moment.
Who still has it open after that is for people to close.
"""

import time
from pathlib import Path

_WAITS_S = (0.05, 0.1, 0.2, 0.4, 0.8)
_OPEN_ELSEWHERE = (5, 32, 33)  # of Windows: access denied, as to a folder of an open file; sharing; lock


def rename(path: Path, to: Path) -> None:
    """Rename, and replace what has that name; waits a moment while another program has either open.

    Raises
    ------
    OSError
        When the system refuses.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "new"
    >>> _ = path.write_text("plan")
    >>> rename(path, path.with_name("out"))
    >>> path.with_name("out").read_text()
    'plan'
    """
    for wait_s in _WAITS_S:
        try:
            path.replace(to)
            return
        except PermissionError as error:
            if not is_open_elsewhere(error):
                raise
            time.sleep(wait_s)
    path.replace(to)


def is_open_elsewhere(error: OSError) -> bool:
    """Tell whether the system refused because another program has the file open.

    Examples
    --------
    >>> is_open_elsewhere(PermissionError(13, "Permission denied"))
    False
    """
    return getattr(error, "winerror", None) in _OPEN_ELSEWHERE
