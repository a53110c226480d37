"""The load sheet of a pass as one page of plain text, 80 letters wide, for the operator in the cab.

It is the order for a custom applicator too. What stands on it is in `load_rows`. Writes no file.
"""

import textwrap
from collections.abc import Sequence

from zoning.passes.loads.sheet import LoadSheet
from zoning.plan import Plan, PlanPass
from zoning.show import load_rows
from zoning.show.record import record_text

WIDTH = 80
_PAGE_LINES = 66  # at six to the inch on eleven inches
_LEFT = 14  # letters of the left column
_COLUMN = 28
_NAME = 22  # letters of a product's name beside its amounts


def texts(plan: Plan) -> dict[str, str]:
    """Write the load sheet and the record to fill in of every pass that has a load sheet.

    Parameters
    ----------
    plan : Plan
        One field's plan.

    Returns
    -------
    dict of str to str
        Names of files relative to the folder of the results, and what stands in them.
    """
    found = {}
    for one in plan.passes:
        if one.sheet is not None:
            place = f"passes/P{one.number}"
            found[f"{place}/load_sheet.txt"] = _page(plan, one, one.sheet)
            found[f"{place}/record.txt"] = f"{record_text(load_rows.record_known(plan, one, one.sheet))}\n"
    return found


def _page(plan: Plan, one: PlanPass, sheet: LoadSheet) -> str:
    lines = [load_rows.title(plan, one)[:WIDTH], "=" * WIDTH]
    for text in load_rows.warnings(one):
        lines += _wrapped(text, "", " " * _LEFT)
    for name, text in load_rows.place(plan, one, sheet):
        lines += _row(name, text)
    lines.append("")
    for name, text in load_rows.dose_and_mix(plan, sheet):
        lines += _row(name, text)
    lines += ["", *_table(load_rows.table(plan, sheet, _NAME)), ""]
    for name, text in load_rows.rules(one, sheet):
        lines += _row(name, text)
    lines.append("")
    for text in load_rows.notes(plan, sheet):
        lines += _wrapped(text, "- ", "  ")
    return "\n".join(_on_one_page(lines)) + "\n"


def _on_one_page(lines: Sequence[str]) -> list[str]:
    """Leave out empty lines, the last ones first, as long as there are more than a page holds."""
    too_many = max(len(lines) - _PAGE_LINES, 0)
    empty = [place for place, line in enumerate(lines) if not line]
    out = empty[max(len(empty) - too_many, 0) :]
    return [line for place, line in enumerate(lines) if place not in out]


def _row(name: str, text: str) -> list[str]:
    """Write one line of the sheet, or several: the name stands beside the first."""
    head = f"{name:<{_LEFT}}"
    return _wrapped(text, head, " " * _LEFT) or [head]


def _wrapped(text: str, first: str, then: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=then, break_on_hyphens=False)


def _table(loads: load_rows.LoadTable) -> list[str]:
    return [_cells("", loads.columns), *(_cells(name, cells) for name, cells in loads.rows), *loads.below]


def _cells(name: str, cells: Sequence[str]) -> str:
    left = WIDTH - 2 * _COLUMN
    return f"{name:<{left}}{''.join(f'{cell:>{_COLUMN}}' for cell in cells)}"
