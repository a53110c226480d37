"""What a farm learned, as objects for JSON: entries of learned.toml, what is believed, the season book."""

from collections.abc import Sequence
from datetime import date

from zoning.inputs.season_book import COLUMNS, BookRow
from zoning.prescription.as_json.twins import Json, if_known, number, with_twins
from zoning.settings.learned import LearnedTrial
from zoning.strips.learned.learned_terms import Belief, SeasonBook
from zoning.words import Said


def said_rows(told: Sequence[Said]) -> list[Json]:
    """Give sentences with their codes."""
    return [{"code": one.code, "text": one.text} for one in told]


def belief_rows(beliefs: Sequence[Belief], *, metric: bool) -> list[Json]:
    """Give what is believed of each pressure class as objects for JSON."""
    return [with_twins(_belief(one), metric) for one in beliefs]


def _belief(one: Belief) -> Json:
    return {
        "pressure": one.pressure,
        "before_mean_bu_ac": number(one.before_mean_bu_ac, "before_mean_bu_ac"),
        "before_sd_bu_ac": number(one.before_sd_bu_ac, "before_sd_bu_ac"),
        "trials_mean_bu_ac": number(one.data_mean_bu_ac, "trials_mean_bu_ac"),
        "trials_sd_bu_ac": number(one.data_sd_bu_ac, "trials_sd_bu_ac"),
        "after_mean_bu_ac": number(one.after_mean_bu_ac, "after_mean_bu_ac"),
        "after_sd_bu_ac": number(one.after_sd_bu_ac, "after_sd_bu_ac"),
        "chance_before": if_known(one.chance_before, "chance_before"),
        "chance_after": if_known(one.chance_after, "chance_after"),
    }


def trial_rows(trials: Sequence[LearnedTrial], *, metric: bool) -> list[Json]:
    """Give the entries of learned.toml as objects for JSON."""
    return [
        with_twins(
            {
                "season": one.season,
                "field": one.field,
                "pressure": one.pressure,
                "mean_bu_ac": number(one.mean_bu_ac, "mean_bu_ac"),
                "se_bu_ac": number(one.se_bu_ac, "se_bu_ac"),
                "pairs": one.pairs,
            },
            metric,
        )
        for one in trials
    ]


def book_object(book: SeasonBook, *, metric: bool) -> Json:
    """Give the season book as an object for JSON."""
    return {
        "rows": [with_twins(_row(one), metric) for one in book.rows],
        "reliability": [
            {
                "low": one.low,
                "high": one.high,
                "zones": one.zones,
                "seasons": one.seasons,
                "mean_forecast": number(one.mean_forecast, "mean_forecast"),
                "paid_frac": number(one.paid_frac, "paid_frac"),
            }
            for one in book.reliability
        ],
        "brier": book.brier,
        "brier_of_mean": book.brier_of_mean,
        "r3_off": [
            {
                "kind": one.kind,
                "name": one.name,
                "seasons": one.seasons,
                "seen_d": number(one.seen_d, "seen_d"),
                "shrunk_d": number(one.shrunk_d, "shrunk_d"),
                "sd_d": number(one.sd_d, "sd_d"),
            }
            for one in book.biases
        ],
        "notes": said_rows(book.notes),
    }


def _row(row: BookRow) -> Json:
    """Give a row of season.csv, column by column; a cell that is empty there is null."""
    return {name: _cell(getattr(row, name), name) for name in COLUMNS} | {"zone": row.zone or None}


def _cell(value: object, name: str) -> object:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float):
        return number(value, name)
    return None if value == "" else value
