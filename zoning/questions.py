"""Two questions that need no plan: when R3 is, and whether a pass pays."""

from dataclasses import dataclass
from datetime import date
from math import inf
from pathlib import Path
from typing import Literal

from zoning.errors import SETTINGS, InputError
from zoning.inputs import read, weather
from zoning.inputs.given import Weather
from zoning.plan import NO_PRICE_PAYS, SCHEMA_VERSION
from zoning.prescription.plan_json import window_object
from zoning.returns.curve import MID_R3_POSITION
from zoning.returns.response import Place, curve_for, mixture_for
from zoning.returns.worth import Question, Worth, worth
from zoning.settings.model import Pressure, Response, Source
from zoning.settings.read import load
from zoning.show.figures import chance, day, signed
from zoning.show.layout import Table, as_text
from zoning.stage.draws import StageDraws, Window
from zoning.stage.forecast import Sown, forecast, window
from zoning.stage.spread import Situation
from zoning.words import Said

# The middle of each stage as a position on the stage curve.
_MIDDLE = {name: MID_R3_POSITION + step for step, name in enumerate(("R1", "R2", "R3", "R4", "R5"), start=-2)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """Planting dates and maturity groups at one place; every pair is asked."""

    planted: tuple[date, ...]
    maturity_groups: tuple[float, ...]
    latitude_deg: float
    habit: Literal["indeterminate", "determinate"]
    weather: Path | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRow:
    """One planting of one group and its window; `block` is "" without a field, `window` None without date."""

    block: str
    planted: date
    maturity_group: float
    window: Window | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StageAnswer:
    """The windows, and what should be known about them."""

    rows: tuple[StageRow, ...]
    notes: tuple[Said, ...]


def stage_of(crop: Crop, *, today: date | None, seed: int, clock: date) -> StageAnswer:
    """Forecast R3 for every planting date and maturity group.

    Raises
    ------
    InputError
        When the weather file is bad, or there is none and the calendar does not reach this place.
    """
    sown = [
        Sown(name=f"{planted}, group {group:g}", planted=planted, maturity_group=group)
        for planted in crop.planted
        for group in crop.maturity_groups
    ]
    known: Weather | None = None
    doubts: tuple[Said, ...] = ()
    if crop.weather is not None:
        known, doubts = weather.with_notes(crop.weather, today or clock)
    made = forecast(sown, known, _situation("", crop.habit, crop.latitude_deg, today or clock, seed))
    rows = tuple(
        StageRow(block="", planted=one.planted, maturity_group=one.maturity_group, window=_window(stage))
        for one, stage in zip(sown, made.stages, strict=True)
    )
    return _answer(rows, (*doubts, *made.notes))


def stage_of_field(folder: Path, *, today: date | None, seed: int, clock: date) -> StageAnswer:
    """Forecast R3 for the blocks of a field folder."""
    settings = load(folder)
    on = today or settings.as_of or clock
    given = read.field(settings, on)
    situation = _situation(settings.name, settings.habit, given.latitude_deg, on, seed)
    made = forecast(given.blocks, given.weather, situation)
    rows = tuple(
        StageRow(
            block=block.name,
            planted=block.planted,
            maturity_group=block.maturity_group,
            window=_window(stage),
        )
        for block, stage in zip(given.blocks, made.stages, strict=True)
    )
    return _answer(rows, (*given.notes, *made.notes))


def _window(stage: StageDraws | None) -> Window | None:
    return window(stage) if stage is not None else None


def _answer(rows: tuple[StageRow, ...], notes: tuple[Said, ...]) -> StageAnswer:
    """Refuse to answer with a table without any date."""
    if all(row.window is None for row in rows):
        raise InputError(
            "; ".join(said.text for said in notes) or "nothing was asked",
            where="sprayworth stage",
            mend="Name a file with daily weather of past years and of this season.",
        )
    return StageAnswer(rows=rows, notes=notes)


def _situation(field: str, habit: str, latitude_deg: float, today: date, seed: int) -> Situation:
    return Situation(field=field, habit=habit, latitude_deg=latitude_deg, today=today, seed=seed)


def stage_object(answer: StageAnswer) -> dict[str, object]:
    """Give the windows as an object for JSON."""
    return {
        "schema_version": SCHEMA_VERSION,
        "rows": [
            {
                "planted": row.planted.isoformat(),
                "maturity_group": row.maturity_group,
                "stage": window_object(row.window),
            }
            for row in answer.rows
        ],
        "notes": [{"code": said.code, "text": said.text} for said in answer.notes],
    }


def stage_text(answer: StageAnswer) -> str:
    """Write the windows as a table and the notes below it."""
    named = any(row.block for row in answer.rows)
    head = ("planted", "group", "R1", "R3 early", "R3 likely", "R3 late", "closes", "SD d")
    rows = [
        (
            *((row.block,) if named else ()),
            row.planted.isoformat(),
            f"{row.maturity_group:g}",
            *_days(row.window),
        )
        for row in answer.rows
    ]
    table = as_text(Table(head=("block", *head) if named else head, rows=tuple(rows)))
    return "\n".join((table, *(f"- {said.text}" for said in answer.notes)))


def _days(of: Window | None) -> tuple[str, ...]:
    if of is None:
        return (day(None),) * 6
    dates = (of.r1, of.r3_early, of.r3_likely, of.r3_late, of.closes)
    return (*(day(one) for one in dates), f"{of.sd_d:.1f}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trials:
    """The grower's own trials; None where there are none."""

    mean_bu_ac: float | None
    se_bu_ac: float | None
    years: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bet:
    """What `worth` is asked without a field."""

    price_usd_bu: float
    cost_usd_ac: float
    source: Source
    pressure: Pressure
    own: Trials
    expected_yield_bu_ac: float | None
    track_loss_bu_ac: float
    stage: Literal["R1", "R2", "R3", "R4", "R5"]


def worth_of(bet: Bet) -> Worth:
    """Say what a pass is worth, in closed form.

    Raises
    ------
    InputError
        When own trials are named without mean, standard error and years, or price or cost make no sense.
    """
    own = bet.own
    if bet.source == "own trials" and None in (own.mean_bu_ac, own.se_bu_ac, own.years):
        raise InputError(
            "own trials need their mean, standard error and years",
            where="sprayworth worth --source",
            mend='Add --mean "3.4 bu/ac" --se "0.6 bu/ac" --years 4 (your figures).',
            code=SETTINGS,
        )
    if bet.price_usd_bu <= 0 or bet.cost_usd_ac < 0:
        raise InputError(
            f"a price of {bet.price_usd_bu:g} USD/bu and a cost of {bet.cost_usd_ac:g} USD/ac make no sense",
            where="sprayworth worth",
            mend="Give a price above zero and a cost of zero or more.",
            code=SETTINGS,
        )
    response = Response.model_construct(
        source=bet.source, mean_bu_ac=own.mean_bu_ac, se_bu_ac=own.se_bu_ac, years=own.years
    )
    return worth(
        Question(
            mixture=mixture_for(bet.source, response, Place(pressure=bet.pressure)),
            price_usd_bu=bet.price_usd_bu,
            cost_usd_ac=bet.cost_usd_ac,
            expected_yield_bu_ac=inf if bet.expected_yield_bu_ac is None else bet.expected_yield_bu_ac,
            track_loss_bu_ac=bet.track_loss_bu_ac,
            curve=curve_for(bet.source, response),
            stage_position=_MIDDLE[bet.stage],
        )
    )


def worth_object(bet: Bet, answer: Worth) -> dict[str, object]:
    """Give the answer as an object for JSON; a price of 9999 means that no price pays."""
    return {
        "schema_version": SCHEMA_VERSION,
        "source": bet.source,
        "pressure": bet.pressure,
        "response_bu_ac": {"mean": answer.response_mean_bu_ac, "sd": answer.response_sd_bu_ac},
        "net_usd_ac": answer.net_usd_ac,
        "chance_pays": answer.chance_frac,
        "break_even_response_bu_ac": answer.break_even_response_bu_ac,
        "break_even_price_usd_bu": answer.break_even_price_usd_bu,
        "perfect_information_usd_ac": answer.perfect_information_usd_ac,
        "table": [
            {
                "price_usd_bu": cell.price_usd_bu,
                "cost_usd_ac": cell.cost_usd_ac,
                "net_usd_ac": cell.net_usd_ac,
                "chance_pays": cell.chance_frac,
                "break_even_response_bu_ac": cell.break_even_response_bu_ac,
            }
            for row in answer.table
            for cell in row
        ],
    }


def worth_text(bet: Bet, answer: Worth) -> str:
    """Write the answer in words and the table around it."""
    price = answer.break_even_price_usd_bu
    pays_from = "no price pays" if price >= NO_PRICE_PAYS else f"pays from {price:.2f} USD/bu"
    lines = [
        f"{bet.source}, pressure {bet.pressure}, sprayed in the middle of {bet.stage}:",
        f"expect {answer.response_mean_bu_ac:.2f} bu/ac (SD {answer.response_sd_bu_ac:.2f}), "
        f"needs {answer.break_even_response_bu_ac:.2f}",
        f"net {signed(answer.net_usd_ac)} USD/ac, "
        f"chance that it pays {chance(answer.chance_frac)}, {pays_from}",
        f"knowing the response beforehand would be worth up to "
        f"{answer.perfect_information_usd_ac:.2f} USD/ac",
        "",
    ]
    costs = tuple(f"{cell.cost_usd_ac:.2f} USD/ac" for cell in answer.table[0])
    rows = tuple(
        (
            f"{row[0].price_usd_bu:.2f} USD/bu",
            *(f"{signed(cell.net_usd_ac)} ({chance(cell.chance_frac)})" for cell in row),
        )
        for row in answer.table
    )
    return "\n".join(lines) + as_text(Table(head=("net (chance)", *costs), rows=rows))
