"""Sentences about the stage forecast and its counts."""

SENTENCES: dict[str, str] = {
    "stage.calendar": "no weather file: stage dates come from a calendar table, SD {sd:g} d",
    "stage.no_date": (
        "block {block} has no stage dates: without past years of daily weather a calendar table stands in, "
        "and {outside}; add {add}"
    ),
    "stage.no_complete_year": (
        "no past year of the weather file has every day from {first:%b} {first.day} to {last:%b} {last.day}: "
        "stage dates come from a calendar table, SD {sd:g} d, as without a weather file"
    ),
    "stage.few_years": (
        "complete past years behind the weather to come: {count} ({years}); {wanted:g} or more tell better "
        "how far it may differ"
    ),
    "stage.weather_ends": (
        "the weather file has no temperatures from {first} on; past years stand in from that day"
    ),
    "stage.latitude_unseen": (
        "latitude {latitude:.1f} lies outside {south:g} to {north:g} degrees, where the stage model was "
        "compared with plots"
    ),
    "stage.count_contradicts": (
        "the counts in {place} are far from the model: R3 {after:%b} {after.day} instead of "
        "{before:%b} {before.day}; the counts are used, check variety and planting date"
    ),
    "stage.two_ages": (
        "{place} has plants of two ages, seen on {on:%b} {on.day}: {share:.0%} near R3 on "
        "{older:%b} {older.day}, the rest near {younger:%b} {younger.day}; they are not averaged to one date "
        "and tell nothing of other places"
    ),
    "stage.group_unseen": "the stage model was compared with no plot of maturity group {group:g}",
    "seen.not_read": "the counts of field {field} were not used here: {why}",
    "seen.some_not_read": "the counts of fields {fields} were not used here: `sprayworth check` says why",
    "seen.many_not_read": (
        "the counts of fields {fields} and {more} more were not used here: `sprayworth check` says why"
    ),
}
