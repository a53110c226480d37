"""Sentences about spray hours: what they rest on, why an hour is out, what to mind in the others."""

SENTENCES: dict[str, str] = {
    "hours.forecast": (
        "spray hours from {first} to {last} are those of the hourly forecast, taken as it stands; every "
        "forecast errs"
    ),
    "hours.no_column": (
        "the hourly {file} holds no {what}, so none of its hours is known well enough to be a spray hour"
    ),
    "hours.forecast_gaps": (
        "{hours} hours of the forecast days are not known and count as no spray hours, not as dry or calm"
    ),
    "hours.forecast_days_unknown": (
        "{days} days of the hourly forecast, the first {first}, have too many unknown hours and are not used"
    ),
    "hours.past_years": (
        "from {first} on spray hours are those of the same days of {count} past years ({years}); the plan "
        "counts on what {percent:.0f} % of the futures reach in a week"
    ),
    "hours.years_lacking": (
        "the hours of {years} are not known: in the futures of these years other years give the spray hours"
    ),
    "hours.years_dropped": "too many hours of {years} are not known, so these years give no spray hours",
    "hours.past_gaps": (
        "{hours} hours of the past years are not known and count as no spray hours, not as dry or calm"
    ),
    "hours.triple": (
        "from {first} on spray hours are a published planning figure, {hours:.1f} h a day on average as "
        "planned, reached in {percent:.0f} % of the futures; it is no forecast, and an hourly file that "
        "holds past years replaces it"
    ),
}
