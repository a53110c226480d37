"""Spray hours as text: a row for each day, what every rule takes out, cautions, and each hour where asked."""

from zoning import units
from zoning.evidence import number, numbers
from zoning.passes.hours.counts import main_reasons
from zoning.passes.hours.rules import CAUTIONS, RULES
from zoning.questions.hours_of import HoursAnswer
from zoning.show.figures import full_day
from zoning.show.layout import Table, as_text, wrapped
from zoning.show.machine_units import MachineUnits
from zoning.words import Said

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_NOTHING = "-"


class HourUnits(MachineUnits):
    """The units of one farm, for weather too.

    Examples
    --------
    >>> HourUnits(metric=False).temperature(30), HourUnits(metric=True).rain(12)
    ('86 F', '12 mm')
    """

    __slots__ = ()

    def wind(self, mph: float) -> str:
        """Write a wind with its unit."""
        return f"{units.kmh_from_mph(mph):.0f} km/h" if self.metric else f"{mph:.0f} mph"

    def temperature(self, temp_c: float) -> str:
        """Write a temperature with its unit."""
        return f"{temp_c:.0f} C" if self.metric else f"{units.f_from_c(temp_c):.0f} F"

    def rain(self, rain_mm: float) -> str:
        """Write rain with its unit."""
        return f"{rain_mm:.3g} mm" if self.metric else f"{units.in_from_mm(rain_mm):.2f} in"


def rule_words(answer: HoursAnswer, *, short: bool) -> dict[str, str]:
    """Word each rule, with its limit unless it is to be short."""
    if short:
        return {rule: Said(f"hours.short_{rule}").text for rule in RULES}
    limits, write = answer.limits, HourUnits(metric=answer.metric)
    values = {
        "before": limits.before_sunset_h or 0.0,
        "after": limits.after_sunrise_h,
        "rainfast": limits.rainfast_h or 0.0,
        "wet": write.rain(limits.wet_ground_mm or 0.0),
        "past": number("passes.wet_ground_h"),
        "least": write.wind(limits.wind_least_mph),
        "most": write.wind(limits.wind_most_mph),
    }
    return {rule: Said(f"hours.out_{rule}", **values).text for rule in RULES}


def caution_words(answer: HoursAnswer) -> dict[str, str]:
    """Word each caution, with its limits."""
    write = HourUnits(metric=answer.metric)
    low_c, marginal_c = numbers("passes.delta_t_ideal_c").tolist()
    dry_pct, warm_c = numbers("passes.hot_and_dry").tolist()
    values = {
        "usual": write.wind(answer.limits.wind_caution_mph),
        "low": low_c,
        "marginal": marginal_c,
        "high": number("passes.delta_t_high_c"),
        "beside": number("passes.delta_t_beside_c"),
        "dry": dry_pct,
        "warm": write.temperature(warm_c),
        "heat": write.temperature(number("passes.heat_c")),
    }
    return {one: Said(f"hours.mind_{one}", **values).text for one in CAUTIONS}


def hours_text(answer: HoursAnswer, width: int, *, each: bool) -> str:
    """Write the answer for people.

    Parameters
    ----------
    answer : HoursAnswer
        The judged hours.
    width : int
        Of the terminal. [characters]
    each : bool
        List every hour with why it is out or what to mind.
    """
    place = f"{answer.latitude_deg:.2f}, {answer.longitude_deg:.2f}"
    days = f"{full_day(answer.first)} to {full_day(answer.last)}"
    top = [f"spray hours of {days} at {place}, by {rests(answer).text}"]
    parts = [wrapped([_total(answer), *top], width), _day_table(answer, width)]
    parts += [_hour_table(answer, width)] if each else []
    parts += [_rule_table(answer, width), _cautions(answer, width)]
    notes = [said.text for said in answer.notes]
    notes += [Said("hours.bees").text, Said("hours.decides").text]
    parts.append(wrapped([f"note: {text}" for text in notes], width))
    return "\n\n".join(part for part in parts if part)


def rests(answer: HoursAnswer) -> Said:
    """Say in one line what the answer rests on."""
    limits, write = answer.limits, HourUnits(metric=answer.metric)
    return Said(
        "hours.rests",
        file=answer.files,
        least=write.wind(limits.wind_least_mph),
        most=write.wind(limits.wind_most_mph),
        height=limits.wind_height_m,
        rainfast=limits.rainfast_h or 0.0,
        whose=Said("hours.whose_label" if answer.labelled else "hours.whose_usual").text,
    )


def _day_table(answer: HoursAnswer, width: int) -> str:
    counts, words = answer.counts, rule_words(answer, short=True)
    rows = []
    for day, at in zip(answer.days, counts.rows([day.toordinal() for day in answer.days]), strict=True):
        reasons = main_reasons(answer.judged, answer.judged.hourly.day == day.toordinal())
        told = ", ".join(f"{words[rule]} {hours}" for rule, hours in reasons.items())
        rows.append(
            (
                f"{_DAYS[day.weekday()]} {day.isoformat()}",
                f"{counts.usable_h[at, 0]:.0f}",
                f"{counts.usable_h[at, 1]:.0f}",
                f"{counts.unknown_h[at]:.0f}" if counts.unknown_h[at] else _NOTHING,
                told or _NOTHING,
            )
        )
    head = ("when", "AM hours", "PM hours", "hours not known", "due to")
    return as_text(Table(head, tuple(rows)), width)


def _total(answer: HoursAnswer) -> str:
    """Give the answer in one line: how many spray hours there are."""
    counts, days = answer.counts, len(answer.days)
    total_h = counts.usable_h[counts.rows([day.toordinal() for day in answer.days])].sum()
    hours = f"{total_h:.0f} spray hour{'' if round(total_h) == 1 else 's'}"
    return f"{hours} in {days} day{'' if days == 1 else 's'}, {total_h / days:.1f} a day"


def _rule_table(answer: HoursAnswer, width: int) -> str:
    words = rule_words(answer, short=False)
    rows = tuple(
        (words[one.rule], str(one.out_h), str(one.left_h), str(one.alone_h))
        for one in answer.rules
        if one.out_h or one.rule in ("calm", "windy", "inversion", "rain", "rain_after", "wet_ground")
    )
    total_h = int(answer.inside.sum())
    head = ("rule", "hours out", "left by it alone", "out for it alone")
    return f"under every rule, of {total_h:,} hours:\n{as_text(Table(head, rows), width)}"


def _cautions(answer: HoursAnswer, width: int) -> str:
    if not answer.cautions:
        return ""
    words = caution_words(answer)
    lines = ["to mind in the spray hours (these take none out):"]
    lines += [f"  {hours} h: {words[one]}" for one, hours in answer.cautions.items()]
    return wrapped(lines, width, "    ")


def _hour_table(answer: HoursAnswer, width: int) -> str:
    """Every hour; its reasons stand behind it."""
    short, write = rule_words(answer, short=True), HourUnits(metric=answer.metric)
    judged, hourly, rows = answer.judged, answer.judged.hourly, []
    for at in answer.inside.nonzero()[0].tolist():
        why = judged.why(at)
        told = ", ".join(short[rule] for rule in why) if why else "spray hour"
        minds = () if why else judged.cautions_at(at)
        day = answer.first.fromordinal(int(hourly.day[at]))
        rows.append(
            (
                f"{day.isoformat()} {int(hourly.hour[at]):02d}:00",
                _known(judged.wind_mph[at], f"{write.speed(judged.wind_mph[at])} {write.speed_unit}"),
                _known(hourly.temp_c[at], write.temperature(hourly.temp_c[at])),
                _known(hourly.rh_pct[at], f"{hourly.rh_pct[at]:.0f} %"),
                _known(judged.delta_t_c[at], f"{judged.delta_t_c[at]:.1f} C"),
                _known(hourly.rain_mm[at], write.rain(hourly.rain_mm[at])),
                "; ".join([told, *(one.replace("_", " ").replace("delta t", "delta T") for one in minds)]),
            )
        )
    head = ("hour", "wind at boom", "air", "humidity", "delta T", "rain", "state")
    return as_text(Table(head, tuple(rows)), width)


def _known(value: float, text: str) -> str:
    return text if value == value else _NOTHING
