"""Sentences about spray hours: what they rest on, why an hour is out, what to mind in the others."""

SENTENCES: dict[str, str] = {
    "hours.forecast": (
        "spray hours of {first:%b} {first.day} to {last:%b} {last.day} are those of the hourly forecast as "
        "it stands; every forecast errs"
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
        "from {first:%b} {first.day} on spray hours are those of the same days of {count} past years "
        "({years}); the plan "
        "counts on what a week brings with a chance of {percent:.0f} %"
    ),
    "hours.one_past_year": (
        "from {first:%b} {first.day} on spray hours are those of the same days of {year} alone, as they "
        "were: one year cannot say how often a week brings as much, nor how likely a pass is over in time; "
        "hourly records of more years would"
    ),
    "hours.used_today": (
        "{sprayer} has sprayed {hours:.1f} h on {day:%b} {day.day} (done.csv): they are taken off the spray "
        "hours of that day; hours that went by unused are not"
    ),
    "hours.used_not_known": (
        "done.csv lacks start or end of a pass of {sprayer} on {day:%b} {day.day}: its hours are not taken "
        "off those of that day"
    ),
    "hours.years_lacking": ("the hours of {years} are not known: other years stand in for them"),
    "hours.years_dropped": "too many hours of {years} are not known, so these years give no spray hours",
    "hours.past_gaps": (
        "{hours} hours of the past years are not known and count as no spray hours, not as dry or calm"
    ),
    "hours.triple": (
        "from {first:%b} {first.day} on spray hours are a planning figure and no forecast: {hours:.1f} h a "
        "day, reached with a chance of {percent:.0f} %; hourly records of past years would replace it"
    ),
    "hours.rests": (
        "{file}: wind {least} to {most} at the boom, measured at {height:g} m; no rain for {rainfast:g} h "
        "after; {whose}"
    ),
    "hours.whose_label": "limits of the label as entered, usual ones where it is silent",
    "hours.whose_usual": "usual limits, as no label is entered",
    "hours.clock_by_longitude": (
        "hours of the clock go by longitude, without daylight saving: name a time zone for the farm's clock"
    ),
    "hours.fields_apart": (
        "{fields} have hourly weather or label limits of their own: these are those of {first}, ask for each "
        "field by itself"
    ),
    "hours.last_days": "the last {days} days of the file; --from and --to give others",
    "hours.decides": (
        "a count, not a permission: the label, local rules and the operator, who sees sky, leaves and "
        "neighbours, decide at the field"
    ),
    "hours.bees": (
        "bees fly in the warm hours of the day, also over soybean in flower: spray when they do not, and "
        "keep to what the label says of them"
    ),
    # why an hour is out: short, for a row of a table
    "hours.short_not_known": "not known",
    "hours.short_inversion": "inversion",
    "hours.short_rain": "rain",
    "hours.short_rain_after": "rain soon after",
    "hours.short_wet_ground": "wet ground",
    "hours.short_calm": "too calm",
    "hours.short_windy": "too windy",
    "hours.short_hot": "too hot",
    "hours.short_dry_air": "air too dry",
    # and with its limit
    "hours.out_not_known": "not known: a value of the hour, or of the rain around it, is missing",
    "hours.out_inversion": "inversion likely: from {before:g} h before sunset to {after:g} h after sunrise",
    "hours.out_rain": "rain in the hour",
    "hours.out_rain_after": "rain within {rainfast:g} h after",
    "hours.out_wet_ground": "more than {wet} of rain in the {past:.0f} h before",
    "hours.out_calm": "wind below {least} at the boom",
    "hours.out_windy": "wind above {most} at the boom",
    "hours.out_hot": "hotter than the limit that was given",
    "hours.out_dry_air": "drier than the limit that was given",
    # what to mind in a spray hour
    "hours.mind_strong_wind": "wind above {usual}, which only this label and droplet class allow",
    "hours.mind_delta_t_low": "delta T below {low:g} C: drops stay small and drift far",
    "hours.mind_delta_t_marginal": "delta T of {marginal:g} to {high:g} C: drops dry fast",
    "hours.mind_delta_t_high": "delta T above {high:g} C: drops dry before they land",
    "hours.mind_hot_and_dry": "drier than {dry:g} % and warmer than {warm}",
    "hours.mind_heat": "warmer than {heat}",
    "hours.mind_dew": "dew on the leaves is likely: much water may run off",
    "hours.mind_beside_a_limit": "delta T within {beside:g} C of {marginal:g} or {high:g} C: on either side",
}
