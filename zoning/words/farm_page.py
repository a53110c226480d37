"""Sentences that only the page of a farm says."""

SENTENCES: dict[str, str] = {
    # a field's row
    "farm_page.share": "{share}; skip {skip}",
    "farm_page.range": "{net} a sprayed {unit}; {low} to {high}",
    "farm_page.nearest": "nearest pass {net}; {low} to {high}",
    "farm_page.of_nearest": "of the nearest pass",
    "farm_page.counted": "counted",
    "farm_page.some_counted": "{counted} of {zones} zones counted",
    "farm_page.provisional": "provisional",
    "farm_page.spread": "early {early}, late {late}; {how}",
    "farm_page.walk": "zone {zone} by {day}, {plants} plants",
    # the calendar
    "farm_page.sprayers": "letter behind a number: the sprayer, {sprayers}",
    "farm_page.open": "from R3 likely until the window closes: {days}",
    "farm_page.near_best": "return near its best: {days}",
    # the map
    "farm_page.map": "Map of {count} fields, north up; the table below says the same.",
    "farm_page.one_map": "Map of the field, north up; the table below says the same.",
    "farm_page.field": "{rank}, {name}: {decision}",
    "farm_page.sprayed_of": "{spray} of {area} {unit}",
    "farm_page.apart": (
        "The fields lie apart: the map shows where, and each is drawn enlarged too, all of them at one scale."
    ),
    "farm_page.far": (
        "The fields lie too far apart for one map; each is drawn by itself, all of them at one scale."
    ),
    "farm_page.patches": "The {count} fields with the best return have their number.",
    "farm_page.named_patches": (
        "The {count} fields with the best return have their number; where a pointer rests, the name is told."
    ),
    "farm_page.far_first": (
        "The fields lie too far apart for one map; the first {count} are drawn by themselves, at one scale."
    ),
    # of many fields
    "farm_page.first_rows": "The {count} fields with the best return; all {all} stand in",
    "farm_page.first_passes": "The first {count} of {all} passes; all of them stand in",
    "farm_page.rig_hours": (
        "Bars: spray hours a half-day, {first} to {last}, pale to plan on, dark in use, all at one scale"
    ),
    "farm_page.rigs_shown": "The {count} busiest of {all} sprayers",
    "farm_page.with_pages": "Each name leads to the page of its field",
    "farm_page.some_pages": "Names that are links lead to the page of the field",
    "farm_page.no_pages": (
        "The results of a field lie in the folder below its name; with --pictures each has a page too"
    ),
    # the total
    "farm_page.total_range": (
        "8 seasons of 10 between {low} and {high}, all fields added up season by season; the ranges of "
        "single fields do not add up to it"
    ),
    "farm_page.range_unknown": (
        "the ranges of single fields do not add up to one of the farm: seasons are shared"
    ),
    "farm_page.least_net": "the least net that you ask for is taken off",
    "farm_page.of_area": "of {area} {unit}",
    "farm_page.never": "{area} {unit} are never sprayed",
    "farm_page.dates_only": "{fields} without prices: dates only",
    "farm_page.first_last": "first {first}, last {last}",
    "farm_page.look": "{field}, zone {zone}: count {plants} plants by {day}, worth {usd}",
}
