"""Sentences about plantings that are only asked about."""

SENTENCES: dict[str, str] = {
    "questions.no_dates": "no dates for {planting}: {why}",
    "questions.too_long": (
        "no dates for {planting}: R3 would come more than {most:.0f} days after planting, and no crop stands "
        "so long"
    ),
    "questions.no_calendar": (
        "no dates for {planting}: without daily weather a calendar table stands in, and {outside}; add {add}"
    ),
    "questions.walk": (
        "not pinned by a count and so provisional: walk {walks}; stage {plants:.0f} plants there"
    ),
    "questions.walk_each": (
        "not pinned by a count and so provisional: {count} plantings; walk each about {ahead:.0f} days "
        "before its R3 is likely, and stage {plants:.0f} plants"
    ),
    "questions.days_unseen": (
        "{places}: R3 comes {days} days after planting, outside the {least:.0f} to {most:.0f} days of the "
        "plots that the stage model was compared with; it knows no frost and no seed that rots in cold soil"
    ),
    "questions.latitude_far": (
        "latitude {latitude:.1f} lies beyond 55 S to 60 N, for which this is meant: hardly any soybean grows "
        "there"
    ),
}
