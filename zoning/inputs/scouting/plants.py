"""What one line of a scout says of the stage: plants by stage, k of n, the longest pod, or one stage.

Does not know where or when it was seen.
"""

import re
from typing import cast

from zoning import units
from zoning.evidence import number
from zoning.inputs.given import AtOrPast, PodLength, Seen, StagedNote, Tally
from zoning.inputs.scouting.points import UNREAD, Line
from zoning.words import Said

BEFORE = "before R1"
_LATER = ("r5", "r6", "r7", "r8")  # one class: R5 or later
_BY_STAGE = ("v", "r1", "r2", "r3", "r4", *_LATER)
_WHOLE = re.compile(r"\+?\d{1,9}(?:\.0*)?")
_VEGETATIVE = re.compile(r"V(?:\d{1,2}|E|C|N|EG)?|BEFORE_?R1")
_REPRODUCTIVE = re.compile(r"R[1-8]")
_NODES = re.compile(
    r"\bnodes?\s*(?:no\.?|#|number)?\s*(\d{1,2})(?:\s*(?:-|–|to|and|or|,)\s*(\d{1,2}))?\b"
    r"|\b(\d{1,2})(?:st|nd|rd|th)\s+node\b",
    re.IGNORECASE,
)
_FROM_BELOW = re.compile(r"from (?:the )?(?:bottom|below|ground|base)", re.IGNORECASE)


class CountError(ValueError):
    """A count that cannot be used; `said` is the line for the user."""

    def __init__(self, said: Said) -> None:
        super().__init__(said.text)
        self.said = said


def seen(line: Line) -> tuple[Seen | None, tuple[Said, ...]]:
    """Read the count of a line, and what is to be said of it.

    Where a line holds several, the most telling one is taken: plants by stage, k of n, pod, stage alone.

    Returns
    -------
    Seen or None, tuple of Said
        None where the line holds no count.

    Raises
    ------
    CountError
        When it holds one that cannot be.
    """
    if line.text(UNREAD):
        raise _refused("inputs.count_text", line, text=line.text(UNREAD))
    by_stage = any(line.text(name) for name in _BY_STAGE)
    if by_stage and line.text("k"):
        raise _refused("inputs.count_two_forms", line)
    if by_stage:
        return _tally(line)
    if line.text("k"):
        return _share(line), ()
    if line.text("pod_mm") or line.text("pod_in"):
        return _pod(line)
    return _note(line) if line.text("stage") else (None, ())


def stage_of(text: str) -> str | None:
    """Name a stage as the rest of the program does; "R6" for every stage later than R5, None if unknown.

    Examples
    --------
    >>> stage_of("r 3"), stage_of("V6"), stage_of("R7"), stage_of("R9")
    ('R3', 'before R1', 'R6', None)
    """
    word = text.upper().replace(" ", "").replace("-", "_")
    if _VEGETATIVE.fullmatch(word):
        return BEFORE
    if not _REPRODUCTIVE.fullmatch(word):
        return None
    return word if word <= "R5" else "R6"


def _refused(code: str, line: Line, **values: object) -> CountError:
    return CountError(Said(code, where=line.where, **values))


def _plants(line: Line, name: str) -> int:
    """Read a number of plants, 0 where the cell is empty."""
    text = line.text(name)
    if not text:
        return 0
    if not _WHOLE.fullmatch(text):
        raise _refused("inputs.count_whole", line, column=name, text=text)
    found = int(float(text))
    if found > number("inputs.count_most_plants"):
        most = number("inputs.count_most_plants")
        raise _refused("inputs.count_most", line, column=name, plants=found, most=most)
    return found


def _tally(line: Line) -> tuple[Seen, tuple[Said, ...]]:
    before, r1, r2, r3, r4, *later = (_plants(line, name) for name in _BY_STAGE)
    counted = before + r1 + r2 + r3 + r4 + sum(later)
    if line.text("n"):
        total = _plants(line, "n")
        if counted > total:
            raise _refused("inputs.count_sum_above", line, counted=counted, n=total)
        if counted < total and line.text("v"):
            raise _refused("inputs.count_sum_below", line, counted=counted, n=total)
        before, counted = before + total - counted, total
    if counted == 0:
        raise _refused("inputs.count_none", line)
    if counted > number("inputs.count_most_plants"):
        most = number("inputs.count_most_plants")
        raise _refused("inputs.count_most", line, column="the sum", plants=counted, most=most)
    low = _low_node(line)
    if low and sum(later):
        raise _refused("inputs.count_low_seeds", line, node=low, top=_top())
    if low and r3 + r4:
        said = Said("inputs.count_low_plants", where=line.where, plants=r3 + r4, node=low, top=_top())
        return Tally((before, r1, r2 + r3 + r4, 0, 0, 0)), (said,)
    return Tally((before, r1, r2, r3, r4, sum(later))), ()


def _share(line: Line) -> Seen:
    k = _plants(line, "k")
    if not line.text("stage"):
        raise _refused("inputs.count_no_stage", line)
    stage = _stage(line)
    if not line.text("n"):
        raise _refused("inputs.count_no_n", line, k=k)
    n = _plants(line, "n")
    if n == 0:
        raise _refused("inputs.count_none", line)
    if k > n:
        raise _refused("inputs.count_k_above_n", line, k=k, n=n, stage=stage)
    if stage in (BEFORE, "R6"):
        raise _refused("inputs.count_at_or_past", line, stage=line.text("stage"))
    low = _low_node(line)
    if low and stage > "R2" and k:
        raise _refused("inputs.count_low_share", line, stage=stage, node=low, top=_top())
    return AtOrPast(stage, k, n)


def _stage(line: Line) -> str:
    stage = stage_of(line.text("stage"))
    if stage is None:
        raise _refused("inputs.count_stage", line, text=line.text("stage"))
    return stage


def _pod(line: Line) -> tuple[Seen | None, tuple[Said, ...]]:
    if line.text("pod_mm") and line.text("pod_in"):
        raise _refused("inputs.count_two_pods", line)
    column = "pod_mm" if line.text("pod_mm") else "pod_in"
    try:
        length = float(line.text(column))
    except ValueError:
        length = -1
    longest_mm = length if column == "pod_mm" else units.mm_from_in(length)
    if not 0 <= longest_mm <= number("inputs.pod_longest_mm"):
        most = number("inputs.pod_longest_mm")
        raise _refused("inputs.count_pod", line, column=column, text=line.text(column), most=most)
    low = _low_node(line)
    if not low:
        return PodLength(longest_mm), ()
    refused = _refused("inputs.count_low_pod", line, node=low, top=_top())
    if not line.text("stage"):
        raise refused
    noted, said = _note(line)
    return noted, (refused.said, *said)


def _note(line: Line) -> tuple[Seen, tuple[Said, ...]]:
    stage = _stage(line)
    low = _low_node(line)
    if low and stage in ("R3", "R4"):
        said = Said("inputs.count_low_note", where=line.where, stage=stage, node=low, top=_top())
        return StagedNote("R2"), (said,)
    if low and stage > "R4" and stage != BEFORE:
        raise _refused("inputs.count_low_seeds", line, node=low, top=_top())
    return StagedNote("R5" if stage == "R6" else stage), ()


def _top() -> int:
    return int(number("inputs.pod_top_nodes"))


def _low_node(line: Line) -> int:
    """Give the node of the pod that was staged, from the top, if it is too low to count; else 0."""
    text = line.text("node")
    if text:
        node = int(float(text)) if _WHOLE.fullmatch(text) else 0
        if not 1 <= node <= number("inputs.node_most"):
            raise _refused("inputs.count_node", line, text=text)
    else:
        node = _node_in(line.text("note"))
    return node if node > _top() else 0


def _node_in(note: str) -> int:
    """Find the uppermost node that a note tells of a pod, 0 if none.

    Examples
    --------
    >>> _node_in("pod at node 6"), _node_in("pods on the 5th node"), _node_in("12 nodes, a pod")
    (6, 5, 0)
    >>> _node_in("pod at node 3 from the bottom")
    0
    """
    if "pod" not in note.lower() or _FROM_BELOW.search(note):
        return 0
    found = [int(cast(str, one)) for match in _NODES.finditer(note) for one in match.groups() if one]
    return min(found, default=0)
