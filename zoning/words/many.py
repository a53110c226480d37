"""Sentences about farms with more fields than a screen or a page has room for."""

SENTENCES: dict[str, str] = {
    "many.fields": "{fields} fields: {counts}",
    "many.spray": "{count} to spray",
    "many.part": "{count} to spray in part",
    "many.skip": "{count} to skip",
    "many.none": "{count} with dates only",
    "many.r3": "R3 likely {days}",
    "many.by_return": "the {count} fields with the best return, and the sum of all:",
    "many.by_date": "the {count} fields in which R3 comes first, and the sum of all:",
    "many.by_sprayer": "the passes of each sprayer, and the sum of all:",
    "many.busiest": "the passes of the {count} busiest of {all} sprayers, and the sum of all:",
    "many.hours": "hours: spray hours in use, of those to plan on up to the last day in use",
    "many.late": "late: passes planned to end after their due day",
    "many.rest": "every field stands in out/farm.csv, every pass in out/schedule.csv; page: out/farm.html",
    "many.more": "{named} and {count} more",
    "many.more_zones": "{zones} more zones, {area}",
}
