"""Which visits another one beats in everything, by the definition: each against all that stand before it."""

import numpy as np

SLACK = 1e-9


def unbeaten(every):
    """Rows that stand, the best first; visits of the same score in the order in which they are given."""
    order = np.argsort(-every.score, kind="stable")
    stand = []
    for row in order.tolist():
        ones = np.array(stand, dtype=int)
        if not beats(every, ones, row).any():
            stand.append(row)
    return stand


def beats(every, ones, row):
    """Whether visits ask for no block, half-day or hour that the visit `row` does not ask for."""
    start, end = every.start[ones], every.end[ones]
    first_h, last_h = every.first_h[ones] - SLACK, every.last_h[ones] - SLACK
    in_blocks = (every.first_block[ones] >= every.first_block[row]) & (
        every.last_block[ones] <= every.last_block[row]
    )
    same = (start == every.start[row]) & (end == every.end[row])
    same &= (first_h <= every.first_h[row]) & (last_h <= every.last_h[row])
    # of a half-day in the middle a visit asks for all hours
    asked_h = np.where(start == every.start[row], every.first_h[row], np.inf)
    if every.end[row] > every.start[row]:
        asked_h = np.where(start == every.end[row], every.last_h[row], asked_h)
    inside = (start == end) & (start >= every.start[row]) & (end <= every.end[row]) & (first_h <= asked_h)
    return in_blocks & (same | inside)
