"""What an answer that is a refusal means, for a catalogue and for the files of its scenes."""

BUSY = (429, 500, 502, 503, 504)  # answers after which the same may be asked again


def of_status(status: int) -> tuple[str, str]:
    """Say what a refusal means, and what to do.

    Examples
    --------
    >>> of_status(429)[0]
    'it asks for fewer requests (429)'
    """
    if status == 429:  # method: the number that stands for it
        return f"it asks for fewer requests ({status})", "Run again in an hour: it goes on where it stopped."
    if status in (401, 403):
        mend = (
            "Name a catalogue that is open, or put what it asks for into the .netrc file of your home folder."
        )
        return f"it lets nobody in without leave ({status})", mend
    if status in (404, 410):
        return f"there is nothing at this address ({status})", "Check catalogue and collection."
    if status >= 500:
        return f"it is down ({status})", "Run again later: it goes on where it stopped."
    return f"it does not understand what it is asked ({status})", "Name another catalogue or collection."
