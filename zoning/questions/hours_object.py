"""Spray hours as an object for JSON: metric where a unit is in the name, exact, every rule and caution."""

from dataclasses import asdict

from zoning.passes.hours.counts import known, main_reasons
from zoning.plan import SCHEMA_VERSION
from zoning.questions.hours_of import HoursAnswer
from zoning.questions.hours_told import rests
from zoning.words import Said


def hours_object(answer: HoursAnswer, *, each: bool) -> dict[str, object]:
    """Give the answer as an object.

    Parameters
    ----------
    answer : HoursAnswer
        The judged hours.
    each : bool
        Put every hour in.
    """
    said = (*answer.notes, Said("hours.bees"), Said("hours.decides"))
    return {
        "schema_version": SCHEMA_VERSION,
        "latitude_deg": answer.latitude_deg,
        "longitude_deg": answer.longitude_deg,
        "first": answer.first.isoformat(),
        "last": answer.last.isoformat(),
        "rests_on": rests(answer).text,
        "limits": asdict(answer.limits),
        "days": _days(answer),
        "rules": [asdict(one) for one in answer.rules],
        "cautions_h": answer.cautions,
        **({"hours": _hours(answer)} if each else {}),
        "notes": [{"code": one.code, "text": one.text} for one in said],
    }


def _days(answer: HoursAnswer) -> list[dict[str, object]]:
    counts = answer.counts
    rows = counts.rows([day.toordinal() for day in answer.days])
    return [
        {
            "day": day.isoformat(),
            "am_h": float(counts.usable_h[at, 0]),
            "pm_h": float(counts.usable_h[at, 1]),
            "hours_h": float(counts.hours_h[at]),
            "unknown_h": float(counts.unknown_h[at]),
            "out_h": main_reasons(answer.judged, answer.judged.hourly.day == day.toordinal()),
        }
        for day, at in zip(answer.days, rows, strict=True)
    ]


def _hours(answer: HoursAnswer) -> list[dict[str, object]]:
    judged, hourly = answer.judged, answer.judged.hourly
    read = known(judged)
    return [
        {
            "day": answer.first.fromordinal(int(hourly.day[at])).isoformat(),
            "hour": int(hourly.hour[at]),
            "utc_h": float(hourly.utc_h[at]),
            "known": bool(read[at]),
            "usable": bool(judged.usable[at]),
            "out": list(judged.why(at)),
            "cautions": list(judged.cautions_at(at)),
            "wind_at_boom_mph": _number(judged.wind_mph[at]),
            "delta_t_c": _number(judged.delta_t_c[at]),
        }
        for at in answer.inside.nonzero()[0].tolist()
    ]


def _number(value: float) -> float | None:
    return round(float(value), 2) if value == value else None
