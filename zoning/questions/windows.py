"""The answer to "when is R3?": a row for each planting, as an object and as a table for people."""

from dataclasses import dataclass
from datetime import date

from zoning.plan import SCHEMA_VERSION
from zoning.prescription.as_json.plan_json import window_object
from zoning.show.figures import day, full_day
from zoning.show.layout import Table, as_text
from zoning.stage.draws import Window
from zoning.words import Said

LEGEND = (
    "R3 has begun by the early day with a chance of 1 in 10, by the likely day 1 in 2, by the late day "
    "9 in 10; it closes when R4 begins"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """One planting of one group and its window.

    `block` is "" without a field, `window` None without date; `counted` is True where a count of its own pins
    the window, and its days are provisional where none does.
    """

    block: str
    planted: date
    emerged: date | None
    maturity_group: float
    window: Window | None
    counted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StageAnswer:
    """The windows, and what should be known about them."""

    rows: tuple[StageRow, ...]
    notes: tuple[Said, ...]


def stage_object(answer: StageAnswer) -> dict[str, object]:
    """Give the windows as an object for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "rows": [_row_object(row) for row in answer.rows],
        "notes": [{"code": said.code, "text": said.text} for said in answer.notes],
    }


def _row_object(row: StageRow) -> dict[str, object]:
    return {
        **({"block": row.block} if row.block else {}),
        "planted": row.planted.isoformat(),
        "emerged": row.emerged.isoformat() if row.emerged else None,
        "maturity_group": row.maturity_group,
        "stage": window_object(row.window),
        "state": _state(row) or None,
        "provisional": not row.counted,
    }


def stage_text(answer: StageAnswer) -> str:
    r"""Write the windows as a table and the notes below it.

    Examples
    --------
    >>> at = Window(
    ...     r1=date(2026, 6, 28),
    ...     r3_early=date(2026, 7, 6),
    ...     r3_likely=date(2026, 7, 11),
    ...     r3_late=date(2026, 7, 16),
    ...     closes=date(2026, 7, 20),
    ...     sd_d=3.9,
    ... )
    >>> row = StageRow(
    ...     block="", planted=date(2026, 5, 6), emerged=None, maturity_group=2.4, window=at, counted=True
    ... )
    >>> print("\n".join(stage_text(StageAnswer(rows=(row,), notes=())).splitlines()[:3]))
                               R3     R3      R3               SD
    planted     group      R1  early  likely  late    closes    d  state
    2026-05-06    2.4  Jun 28  Jul 6  Jul 11  Jul 16  Jul 20  3.9  counted
    """
    named = any(row.block for row in answer.rows)
    emerged = any(row.emerged for row in answer.rows)
    head = (
        *(("block",) if named else ()),
        "planted",
        *(("emerged",) if emerged else ()),
        *("group", "R1", "R3 early", "R3 likely", "R3 late", "closes", "SD d", "state"),
    )
    rows = tuple(_cells(row, named, emerged) for row in answer.rows)
    table = as_text(Table(head=head, rows=rows))
    return "\n".join((table, "", *(f"- {said.text}" for said in answer.notes), f"- {LEGEND}"))


def _cells(row: StageRow, named: bool, emerged: bool) -> tuple[str, ...]:
    return (
        *((row.block,) if named else ()),
        row.planted.isoformat(),
        *((row.emerged.isoformat() if row.emerged else "-",) if emerged else ()),
        f"{row.maturity_group:g}",
        *_days(row),
    )


def _days(row: StageRow) -> tuple[str, ...]:
    of = row.window
    if of is None:
        return (day(None),) * 7
    dates = (of.r1, of.r3_early, of.r3_likely, of.r3_late, of.closes)
    # a day in another year than the planting carries its year
    texts = (day(one) if one.year == row.planted.year else full_day(one) for one in dates)
    return (*texts, f"{of.sd_d:.1f}", _state(row))


def _state(row: StageRow) -> str:
    if row.window is None:
        return ""
    return "counted" if row.counted else "provisional"
