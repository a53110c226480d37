"""Sentences about what `get` fetched or brought in."""

SENTENCES: dict[str, str] = {
    "fetch.offset_taken_off": (
        "{scene}: its item says that 1000 is to be taken off its counts, but then canopy could not reflect "
        "what it does: it was taken off already, and is not taken off again"
    ),
    "fetch.offset_not_taken_off": (
        "{scene}: its item says that nothing is to be taken off its counts, but canopy reflects as it must "
        "only with 1000 taken off: so it is taken off"
    ),
    "fetch.offset_doubtful": (
        "{scene}: canopy reflects red as it hardly can, whether 1000 is taken off its counts or not; taken "
        "as its item says"
    ),
    "fetch.image_alone": (
        "no day shows {least:.0f} % of the field, so the clearest one is kept alone; ask for more days"
    ),
    "fetch.weather_of_farm": "{field} shares its weather with its farm, for which it was got",
    "fetch.weather_field_passed": "{field} was passed over when the middle was sought: {what}",
    "fetch.weather_far": (
        "the fields lie up to {far_m:,.0f} m from the middle of all {fields}, for which the weather was got: "
        "rain, and in hills temperature too, may differ there; give such a field a weather file of its own"
    ),
    "fetch.weather_oldest": "{service} has days from {first} on: fewer past years than were asked for",
    "fetch.weather_ends": (
        "the last day that the service knows is {last}, {days} days before {today}: too old to plan as of "
        "that day; ask again later, or plan as of an earlier day with --today"
    ),
    "fetch.weather_gaps": (
        "days without temperatures: {days}, the first {first}; left empty. --fill draws a straight line over "
        "gaps of up to {most_d} days"
    ),
    "fetch.weather_gaps_left": (
        "days without temperatures: {days}, the first {first}; left empty, for such gaps are longer than "
        "{most_d} days or have no day before them"
    ),
    "fetch.weather_filled": (
        "temperatures filled by a straight line between the days around them: {days}, the first {first}; "
        "they are marked filled, and their rain stays unknown"
    ),
    "fetch.weather_own": (
        "days of your own {own_file}, which stays as it is: {own}; days of {service}: {got}; {file} holds "
        "both, and {toml} names it"
    ),
    "fetch.weather_no_forecast": (
        "{service} knows no hours to come at this place; name a file of your own as hourly_forecast in "
        "[weather]"
    ),
    "fetch.weather_other_forecast": (
        "{file} holds the hours to come, but hourly_forecast in [weather] names {named}: change it to use "
        "them"
    ),
    "fetch.weather_hours_lack": (
        "the hours to come of {service} lack {what}: they tell no spray hours without wind and rain"
    ),
    "fetch.weather_wind_height": (
        "the wind of {service} is that at {height_m:g} m, and wind_height says {ours_m:g} m: set it to that "
        "of the forecast, or leave the forecast out"
    ),
    "fetch.weather_hours_elsewhen": (
        "the hours to come are those from {first} to {last}, and today is {today}: they tell nothing about it"
    ),
    # planting: how a column or a unit was found, and what comes next
    "fetch.planting_by_told": "as told",
    "fetch.planting_by_format": "as the format says",
    "fetch.planting_by_name": "by its own name",
    "fetch.planting_by_words": "by words in its name",
    "fetch.planting_unit_told": "as told",
    "fetch.planting_unit_name": "by its name",
    "fetch.planting_unit_size": "by its size",
    "fetch.planting_unit_farm": "as the farm counts",
    "fetch.planting_picture": "the blocks are drawn in {file}; nothing else was written",
    "fetch.planting_take": "to take them: {command}",
    "fetch.planting_written": "written: {files}",
}
